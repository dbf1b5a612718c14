"""How the figures of a formula came about, in words: basis, losses, drops, periods."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from .. import show
from ..findings import Missing
from ..reckon.figures import Figures
from ..reckon.scale import Measure
from ..reckon.weighing import Weighing
from .drops import one_drop
from .figures import column, known, percent, period_html, stated_percent
from .shelf import Shelf
from .shown import Fact, Figure, Share

_ORIGINS = {
    "written": "as the formula says",
    "fill": "as its fill says",
    "assumed": "100 g, because nothing else is written",
    "sum": "the sum of its lines",
}


def why_of(figures: Figures, weighing: Weighing | None, shelf: Shelf) -> tuple[Fact, ...]:
    """Return the account of the figures; of the batch's own only where weights are printed."""
    return (
        *_basis(figures, shelf.signs),
        *(_bench(figures, weighing, shelf) if weighing else ()),
        *_keeping(figures, shelf.signs),
    )


def _basis(figures: Figures, signs: show.Signs) -> Iterator[Fact]:
    makes = figures.amounts.makes
    origin = _ORIGINS.get(makes.origin, makes.origin)
    yield Fact(
        general=makes.origin == "written" and makes.about is None,
        term="Makes",
        figures=known("makes", makes.amount, makes.unit, signs),
        text=f"{origin}; processing aids do not count."
        if isinstance(makes.amount, Fraction)
        else f"not known: {makes.amount.reason}.",
    )
    if makes.about is not None:
        figure = Figure(
            text=show.plain(makes.about, signs), value=show.exact(makes.about), name="makes-about", unit=makes.unit
        )
        yield Fact(
            term="Written",
            figures=(figure,),
            text="is a rounded figure; the sum of the lines counts, and percentages are of the sum.",
        )
    part = figures.amounts.part_g
    if part is not None and not isinstance(part, Missing):
        yield Fact(term="One part", figures=known("part", part, "g", signs))
    flow = figures.flow
    stated = figures.formula.yield_
    if stated is not None:
        yield Fact(
            general=True,
            term="Yield",
            figures=(stated_percent("yield", stated, signs),),
            text="weigh in all is to obtain ÷ yield; what stays behind has the same composition.",
        )
    if isinstance(flow.evaporated, Fraction) and flow.evaporated:
        yield Fact(
            term="Evaporates",
            figures=(percent("evaporated", flow.evaporated, signs),),
            text="of what it makes, not replaced; the composition is after evaporation.",
        )
    yield Fact(
        general=True,
        term="Percent",
        text="as written where written so; else computed from the exact amounts and shown with three "
        "significant figures.",
    )


def _bench(figures: Figures, weighing: Weighing, shelf: Shelf) -> Iterator[Fact]:
    yield Fact(
        general=True,
        term="Weights",
        text="written amount × batch ÷ makes, exact, then rounded half up to the step of the finest "
        "balance that holds it. A fill is weighed last and takes up the rounding.",
    )
    for one, metered in zip(figures.amounts.lines, weighing.evaluation.lines, strict=True):
        if metered.measure is not Measure.DROPS or isinstance(one.drop, Missing):
            continue
        material = shelf.book.materials.get(one.key)
        line = next((line for line in material.drops if line.dropper == one.drop.dropper), None) if material else None
        term = f"One drop of {one.name}"
        yield one_drop(term, f"line-{one.index}", one.drop, line, shelf.signs, by=one.drop.dropper)


def _keeping(figures: Figures, signs: show.Signs) -> Iterator[Fact]:
    storage = figures.storage
    kind = (
        f"not known: {storage.preparation.reason}" if isinstance(storage.preparation, Missing) else storage.preparation
    )
    yield Fact(term="Kind of preparation", text=f"{kind}.")
    if isinstance(storage.water, Fraction) and storage.water:
        yield Fact(term="Free water", figures=(percent("water", storage.water, signs),))
    if isinstance(storage.alcohol, Fraction) and storage.alcohol:
        yield Fact(term="Alcohol", figures=(percent("alcohol", storage.alcohol, signs),), text="by weight.")
    for number, limit in enumerate(storage.limits):
        place = f", {limit.place}" if limit.place else ""
        text = period_html(f"limit-{number}", limit.period) + f"{place}: {show.written(limit.words, signs)}."
        yield Fact(term="At most", text=text)


def composition_of(figures: Figures, shelf: Shelf) -> tuple[Share, ...]:
    """Return what the finished product is made of, intermediates expanded; empty when it is not known."""
    composition = figures.composition
    if isinstance(composition.shares, Missing):
        return ()
    shares = [(key, share) for key, share in composition.shares.items()]
    figured = [
        percent(f"composition-{key}", share, shelf.signs, unit="") if isinstance(share, Fraction) else None
        for key, share in shares
    ]
    cells = column(figured, ["not known"] * len(shares), shelf.signs)
    return tuple(
        Share(link=shelf.link(key), percent=cell, word="at most" if key in composition.at_most else "")
        for (key, _), cell in zip(shares, cells, strict=True)
    )
