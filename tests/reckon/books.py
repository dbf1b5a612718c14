"""Books of records for property tests, and generators of them: no file, no parser."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

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
    Workroom,
)
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
    materials = {
        name: Material(name=name, key=name, drops=(drop,) if name == "oil" else ()) for name in LEAVES
    }
    return Book(
        workroom=Workroom(balances=balances),
        formulas={one.code.casefold(): one for one in formulas},
        materials=materials,
    )


amounts_g = st.fractions(min_value=Fraction(1, 1000), max_value=500, max_denominator=1000)
yields = st.fractions(min_value=Fraction(1, 2), max_value=1, max_denominator=100)
benches = st.sampled_from(BENCHES)


@st.composite
def weighed_lines(draw: st.DrawFn, names: tuple[str, ...] = LEAVES) -> tuple[Line, ...]:
    """Lines by weight, some of which lose something by evaporation, at least one of which does not."""
    chosen = draw(st.lists(st.sampled_from(names), min_size=1, max_size=len(names), unique=True))
    lines = []
    for number, name in enumerate(chosen):
        loss = None
        if number and draw(st.booleans()):
            share = draw(st.fractions(min_value=0, max_value=Fraction(9, 10), max_denominator=20))
            loss = Evaporates(share=share, text="some")
        kind = draw(st.integers(0, 2)) if loss else 0
        lines.append(
            Line(material=name, amount=grams(draw(amounts_g)), evaporates=loss, made_up=kind == 1, added=kind == 2)
        )
    return tuple(lines)


@st.composite
def nested_books(draw: st.DrawFn) -> Reckoning:
    """Four formulas, each of leaves and of some of those before it."""
    formulas: list[Formula] = []
    for number in range(4):
        inner = draw(st.lists(st.sampled_from(range(number)), unique=True)) if number else []
        lines = (
            *draw(weighed_lines()),
            *(Line(material=formulas[one].code, amount=grams(draw(amounts_g))) for one in inner),
        )
        formulas.append(formula(f"F{number}", lines, draw(yields)))
    return reckon(book(formulas, draw(benches)))


@st.composite
def filled_formulas(draw: st.DrawFn) -> Reckoning:
    """One formula with percentages, drops and a fill."""
    shares = draw(st.lists(st.fractions(min_value=Fraction(1, 10000), max_value=Fraction(1, 5), max_denominator=10000),
                           min_size=1, max_size=3))  # fmt: skip
    lines = [Line(material=name, amount=percent(share)) for name, share in zip("abc", shares, strict=False)]
    if draw(st.booleans()):
        count = Fraction(draw(st.integers(1, 12)))
        lines.append(Line(material="oil", amount=Drops(count=count, text=f"{count} drops")))
    lines.append(Line(material="d", amount=Fill(text="q.s.")))
    return reckon(book([formula("F", lines, draw(yields))], draw(benches)))


def sure(value: Fraction | Missing | None) -> Fraction:
    """Return a figure that a test knows to be known."""
    assert isinstance(value, Fraction), value
    return value
