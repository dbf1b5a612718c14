"""Random books of text, reckoned twice: by the code, and by the oracle."""

from __future__ import annotations

from fractions import Fraction
from math import ceil
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

from hypothesis import given, settings
from hypothesis import strategies as st

from bookgen.findings import Missing, Severity
from bookgen.model import Obtain, Quantity
from bookgen.reckon.figures import Reckoning, reckon
from bookgen.reckon.weighed import taken_grams
from bookgen.reckon.weighing import Weighing, weigh
from bookgen.review import review
from bookgen.source import read_book, read_obtain

from ..books_of_text import write_book
from .oracle import Figure, Oracle
from .plans import RAWS, decimal, draw_plans, workroom


def plain(value: Fraction | Missing | None) -> Figure:
    """Return a figure, or None for what is not known."""
    return value if isinstance(value, Fraction) else None


def asked(text: str) -> Obtain:
    obtain = read_obtain(text)
    assert isinstance(obtain, Obtain), obtain
    return obtain


def book_of(random: Random) -> tuple[Reckoning, Oracle]:
    """Write, read and reckon a book of four plans; the check has no error to tell.

    Densities are drawn at random, so lines by volume may come to more than a drawn density of the product allows; that
    the review says so is right, and no matter here.
    """
    plans, oracle = draw_plans(random, 4)
    with TemporaryDirectory() as folder:
        texts = {plan.code: plan.text for plan in plans}
        fronts = {name: raw.front for name, raw in RAWS.items()}
        book = read_book(write_book(Path(folder) / "book", texts, fronts, workroom(oracle.balances)))
    reckoning = reckon(book)
    errors = [one for one in review(reckoning).findings if one.severity is Severity.ERROR]
    wrong = [one.message for one in errors if one.rule != "volumes-beyond-whole"]
    assert wrong == [], "\n".join([*wrong, *(plan.text for plan in plans)])
    return reckoning, oracle


def obtained(oracle: Oracle, code: str, batch: Fraction) -> dict[str, Figure]:
    """Return the grams to obtain of every intermediate, from what its users meter, users before used."""
    grams: dict[str, list[Figure]] = {}
    own: dict[str, list[Figure]] = {}
    found: dict[str, Figure] = {}
    batches: dict[str, Figure] = {code: batch}
    for user in reversed(list(oracle.plans)):
        if user not in batches:
            if user not in grams:
                continue
            known = [one for one in grams[user] if one is not None]
            whole = [one for one in own[user] if one is not None]
            if len(known) == len(grams[user]):
                step = oracle.balance(sum(known, Fraction(0)))[1]
                found[user] = ceil(sum(known, Fraction(0)) / step) * step
                batches[user] = oracle.own_unit(user, found[user], None)
            else:
                found[user] = None
                batches[user] = sum(whole, Fraction(0)) if len(whole) == len(own[user]) else None
        size = batches[user]
        entries = oracle.plans[user].entries
        exact = [(None, None)] * len(entries) if size is None else oracle.taken(user, size)
        met = [None] * len(entries) if size is None else oracle.metered(user, size)
        for entry, (grams_exact, ml), weight in zip(entries, exact, met, strict=True):
            if entry.name in oracle.plans:
                taken = weight
                if entry.form != "fill" and grams_exact is not None:
                    # Of drops the larger of what falls and what is printed, so that neither is more than is there.
                    ways = [oracle.one(entry, grams_exact, printed=printed) for printed in (False, True)]
                    taken = grams_exact if None in ways else max(ways)
                grams.setdefault(entry.name, []).append(taken)
                own.setdefault(entry.name, []).append(oracle.own_unit(entry.name, taken, ml))
    return found


@given(st.integers(0, 2**40))
@settings(max_examples=60)
def test_both_reckonings_agree(seed: int) -> None:
    """Amounts, percentages, composition, weights, what is made first and what a stock makes: all the same."""
    random = Random(seed)
    reckoning, oracle = book_of(random)
    for code, plan in oracle.plans.items():
        told = plan.text
        figures = reckoning.figures[code.casefold()]
        solved = oracle.amounts(code)
        makes = figures.amounts.makes
        assert (plain(makes.amount), plain(makes.grams), plain(makes.ml)) == (
            solved.whole, solved.whole_g, solved.whole_ml
        ), told  # fmt: skip
        assert [plain(line.grams) for line in figures.amounts.lines] == solved.grams, told
        assert [plain(line.ml) for line in figures.amounts.lines] == solved.ml, told
        percents_agree(figures.amounts.lines, solved, oracle, code)
        shares = figures.composition.shares
        assert (None if isinstance(shares, Missing) else dict(shares)) == oracle.product(code), told
        batch_agrees(reckoning, oracle, code, Fraction(random.choice((7, 50, 130, 999, 12_345))))
        stock_agrees(reckoning, oracle, code, random)


def percents_agree(lines, solved, oracle: Oracle, code: str) -> None:  # type: ignore[no-untyped-def]
    """The percent column is the line over what is made, in the units that its basis names."""
    for line, entry, grams, ml in zip(lines, oracle.plans[code].entries, solved.grams, solved.ml, strict=True):
        over = {"w/w": (grams, solved.whole_g), "w/v": (grams, solved.whole_ml), "v/v": (ml, solved.whole_ml)}
        part, whole = over[line.percent_of.value]
        known = None if entry.removed or part is None or not whole else part / whole
        assert plain(line.percent) == known, oracle.plans[code].text


def batch_agrees(reckoning: Reckoning, oracle: Oracle, code: str, size: Fraction) -> None:
    """One batch: exact and metered weights, the printed total, intermediates."""
    plan = oracle.plans[code]
    weighing = weigh(reckoning, code.casefold(), obtain=asked(f"{size} {plan.unit}"))
    assert isinstance(weighing, Weighing)
    told = f"{size} {plan.unit} of {plan.text}"
    lines = weighing.evaluation.lines
    assert [(plain(line.grams), plain(line.ml)) for line in lines] == oracle.taken(code, size), told
    metered = oracle.metered(code, size)
    assert [plain(line.printed) for line in lines] == metered, told
    taken = oracle.taken(code, size)
    counted = [number for number, entry in enumerate(plan.entries) if not entry.removed]
    shown = [metered[number] for number in counted if metered[number] is not None]
    known = all(taken[number][0] is not None for number in counted)
    whole = sum(shown, Fraction(0)) if known and shown else None
    assert plain(weighing.evaluation.printed_total) == whole, told
    first = {one.key.upper(): one for one in weighing.make_first}
    assert first.keys() == {other for other in oracle.plans if other != code and oracle.reaches(code, other)}, told
    to_obtain = obtained(oracle, code, size)
    for other, made in first.items():
        assert plain(made.needed_g) == oracle.needs(code, size, other), f"{other} for {told}"
        assert plain(made.obtain_g) == to_obtain[other], f"{other} for {told}"


def exactly(batch: Fraction, unit: str) -> Obtain:
    """Return a batch that nobody can type."""
    return Obtain(quantity=Quantity(value=batch, unit=unit, text="asked"), text="asked")


def taken_of(weighing: Weighing, name: str) -> Fraction:
    """Return what the weighings of a batch, and of all that is made first for it, take of a material or formula."""
    made = [one.evaluation for one in weighing.make_first if one.key != name and one.evaluation is not None]
    return sum(
        (
            grams
            for evaluation in [weighing.evaluation, *made]
            for line in evaluation.lines
            if line.figure.key == name and isinstance(grams := taken_grams(line), Fraction)
        ),
        Fraction(0),
    )


def stock_agrees(reckoning: Reckoning, oracle: Oracle, code: str, random: Random) -> None:
    """What a stock makes is what it allows exactly, or less where the balance's steps would take more than is there."""
    name = random.choice([*RAWS, *(other for other in oracle.plans if other != code)])
    stock = Fraction(random.randint(1, 5000), 100)
    weighing = weigh(reckoning, code.casefold(), obtain=asked(f"{decimal(stock)} g of {name}"))
    used = oracle.needs(code, Fraction(1), name)
    if not used:
        assert isinstance(weighing, Missing), oracle.plans[code].text
        return
    if isinstance(weighing, Missing):
        assert weighing.reason.endswith("is too little to measure a batch from"), oracle.plans[code].text
        return
    (supply,), obtain = weighing.supplies, weighing.evaluation.obtain
    assert supply.limits
    assert supply.used <= stock, oracle.plans[code].text
    assert obtain <= stock / used, oracle.plans[code].text
    if obtain < stock / used:
        whole = weigh(reckoning, code.casefold(), obtain=exactly(stock / used, weighing.figures.scale.unit))
        assert isinstance(whole, Weighing)
        assert taken_of(whole, name.casefold()) > stock, oracle.plans[code].text
    assert name.casefold() not in {made.key for made in weighing.make_first}
