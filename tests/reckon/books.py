"""Books of records for property tests, and generators of them: no file, no parser."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction
from random import Random

from hypothesis import strategies as st

from bookgen.findings import Missing
from bookgen.model import (
    Balance,
    Book,
    DropperLine,
    Drops,
    Evaporates,
    Fill,
    Formula,
    Line,
    Makes,
    Mass,
    Material,
    Percent,
    Phase,
    Quantity,
    Solvent,
    Workroom,
)
from bookgen.reckon.batchline import BatchLine
from bookgen.reckon.figures import Reckoning, reckon

LEAVES = ("a", "b", "c", "d", "oil")
BENCHES: tuple[tuple[Balance, ...], ...] = (
    (Balance(name="bench", readability_g=Fraction(1, 100), capacity_g=Fraction(2000)),),
    (
        Balance(name="fine", readability_g=Fraction(1, 1000), capacity_g=Fraction(20)),
        Balance(name="coarse", readability_g=Fraction(1, 10), capacity_g=Fraction(2000)),
    ),
    (Balance(name="kitchen", readability_g=Fraction(1)),),
    (
        Balance(name="fine", readability_g=Fraction(1, 1000), capacity_g=Fraction(1)),
        Balance(name="kitchen", readability_g=Fraction(1), capacity_g=Fraction(300)),
    ),
)


def really(line: BatchLine) -> tuple[Fraction, Fraction]:
    """Return the least and the most that is really taken of a line."""
    found = line.between
    assert not isinstance(found, Missing)
    return found


def grams(value: Fraction) -> Mass:
    return Mass(grams=value, text=f"{value} g")


def percent(share: Fraction) -> Percent:
    return Percent(share=share, text=f"{share * 100} %")


def formula(code: str, lines: Iterable[Line], yield_: Fraction = Fraction(1), makes: Fraction | None = None) -> Formula:
    quantity = None if makes is None else Quantity(value=makes, unit="g", text=f"{makes} g")
    return Formula(
        code=code,
        title=code,
        ingredients=(Phase(lines=tuple(lines)),),
        yield_=percent(yield_),
        makes=None if quantity is None else Makes(quantity=quantity),
    )


def book(formulas: Iterable[Formula], balances: tuple[Balance, ...] = BENCHES[0]) -> Book:
    drop = DropperLine(dropper="pipette", stated_g=Fraction(1, 40))
    materials = {name: Material(name=name, key=name, drops=(drop,) if name == "oil" else ()) for name in LEAVES}
    for name in ("a", "b"):  # these can be thinned with d, which formulas are made up with
        materials[name] = replace(materials[name], soluble=(Solvent.WATER,))
    materials["d"] = replace(materials["d"], water=percent(Fraction(1)))
    return Book(
        workroom=Workroom(balances=balances),
        formulas={one.code.casefold(): one for one in formulas},
        materials=materials,
    )


# Whole numbers over a few denominators, thirds and sevenths among them: much quicker to draw than `st.fractions`.
amounts_g = st.builds(Fraction, st.integers(1, 3500), st.sampled_from((1000, 700, 100, 30, 7)))
benches = st.sampled_from(BENCHES)
seeds = st.integers(0, 2**40)
"""A book is drawn from one seed, as a draw for each of its numbers takes ten times as long as reckoning it."""


def draw_amount(random: Random) -> Mass:
    return grams(Fraction(random.randint(1, 3500), random.choice((1000, 700, 100, 30, 7))))


def draw_yield(random: Random) -> Fraction:
    return Fraction(random.randint(50, 100), 100)


def draw_lines(random: Random, names: tuple[str, ...] = LEAVES) -> tuple[Line, ...]:
    """Lines by weight, some of which lose something by evaporation, at least one of which does not."""
    lines = []
    for number, name in enumerate(random.sample(names, random.randint(1, len(names)))):
        loss, kind = None, 0
        if number and random.randrange(2):
            loss, kind = Evaporates(share=Fraction(random.randint(0, 18), 20), text="some"), random.randrange(3)
        lines.append(
            Line(material=name, amount=draw_amount(random), evaporates=loss, made_up=kind == 1, added=kind == 2)
        )
    return tuple(lines)


@st.composite
def weighed_lines(draw: st.DrawFn) -> tuple[Line, ...]:
    """Lines by weight, see `draw_lines`."""
    return draw_lines(Random(draw(seeds)))


@st.composite
def nested_books(draw: st.DrawFn) -> Reckoning:
    """Four formulas, each of leaves and of some of those before it."""
    random = Random(draw(seeds))
    formulas: list[Formula] = []
    for number in range(4):
        inner = random.sample(range(number), random.randint(0, number))
        lines = (
            *draw_lines(random),
            *(Line(material=formulas[one].code, amount=draw_amount(random)) for one in inner),
        )
        formulas.append(formula(f"F{number}", lines, draw_yield(random)))
    return reckon(book(formulas, random.choice(BENCHES)))


@st.composite
def filled_formulas(draw: st.DrawFn) -> Reckoning:
    """One formula with percentages, drops and a fill."""
    random = Random(draw(seeds))
    names = random.sample("abc", random.randint(1, 3))
    scale = random.choice((10_000, 10_000, 5_000_000))
    lines = [Line(material=name, amount=percent(Fraction(random.randint(1, 2000), scale))) for name in names]
    if random.randrange(2):
        count = Fraction(random.randint(1, 12))
        lines.append(Line(material="oil", amount=Drops(count=count, text=f"{count} drops")))
    lines.append(Line(material="d", amount=Fill(text="q.s.")))
    return reckon(book([formula("F", lines, draw_yield(random))], random.choice(BENCHES)))


def sure(value: Fraction | Missing | None) -> Fraction:
    """Return a figure that a test knows to be known."""
    assert isinstance(value, Fraction), value
    return value
