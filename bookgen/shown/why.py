"""How the figures of a formula came about, in words: basis, losses, drops, periods."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from .. import show
from ..findings import Missing
from ..fraction import Fraction
from ..language import noted, word
from ..language.substances import substance
from ..reckon.contents import by_volume, percent_vol
from ..reckon.densities import TWENTY, grams_per_ml, takes_water, water
from ..reckon.figures import Figures
from ..reckon.scale import Measure
from ..reckon.standing import substance_of
from ..reckon.storage import untested
from ..reckon.strengths import turned_for
from ..reckon.substances import Turned
from ..reckon.weighing import Weighing
from .cautions import TAKEN_OUT
from .drops import one_drop
from .figures import column, known, percent, period_figure, stated_percent
from .phrases import NOTHING, Figure, Phrase, phrase
from .records import Fact, Link, Share
from .shelf import Shelf
from .verdict import share_range

_ORIGINS = {
    "written": noted("as the formula says"),
    "fill": noted("as its fill says"),
    "assumed": noted("100 g, because nothing else is written"),
    "sum": noted("the sum of its lines"),
}


def why_of(figures: Figures, weighing: Weighing | None, shelf: Shelf) -> tuple[Fact, ...]:
    """Return the account of the figures; of the batch's own only where weights are printed."""
    return (
        *_basis(figures, shelf.signs),
        *_made_with(figures, shelf),
        *_forms(figures, shelf),
        *_densities(figures, shelf),
        *(_bench(figures, weighing, shelf) if weighing else ()),
        *_keeping(figures, shelf.signs),
    )


def _basis(figures: Figures, signs: show.Signs) -> Iterator[Fact]:
    makes = figures.amounts.makes
    origin = word(_ORIGINS.get(makes.origin, makes.origin))
    yield Fact(
        general=makes.origin == "written" and makes.about is None,
        term=word("Makes"),
        figures=known("makes", makes.amount, makes.unit, signs),
        text=word("{origin}; processing aids do not count.", origin=origin)
        if isinstance(makes.amount, Fraction)
        else word("not known: {why}.", why=makes.amount.says.words(signs)),
    )
    if makes.about is not None:
        figure = Figure(
            text=show.plain(makes.about, signs), value=show.exact(makes.about), name="makes-about", unit=makes.unit
        )
        yield Fact(
            term=word("Written"),
            figures=(figure,),
            text=word("is a rounded figure; the sum of the lines counts, and percentages are of the sum."),
        )
    part = figures.amounts.part_g
    if part is not None and not isinstance(part, Missing):
        yield Fact(term=word("One part"), figures=known("part", part, "g", signs))
    flow = figures.flow
    stated = figures.formula.yield_
    if stated is not None:
        yield Fact(
            general=True,
            term=word("Yield"),
            figures=(stated_percent("yield", stated, signs),),
            text=word("weigh in all is to obtain ÷ yield; what stays behind has the same composition."),
        )
    if isinstance(flow.evaporated, Fraction) and flow.evaporated:
        yield Fact(
            term=word("Evaporates"),
            figures=(percent("evaporated", flow.evaporated, signs),),
            text=word("of what it makes, not replaced; the composition is after evaporation."),
        )
    yield Fact(
        general=True,
        term=word("Percent"),
        stands_for="line-0.percent",
        text=word(
            "as written, where the formula writes a percentage; otherwise computed from the exact amounts and shown "
            "to three significant figures."
        ),
    )


def _made_with(figures: Figures, shelf: Shelf) -> Iterator[Fact]:
    """Yield what was extracted and taken out again, here or in an intermediate."""
    for key, how in figures.composition.extracted.items():
        text = word(
            "{name}, {how}; what it gave the product is not counted.", name=shelf.name(key), how=word(TAKEN_OUT[how])
        )
        yield Fact(term=word("Made with"), text=text)


def _forms(figures: Figures, shelf: Shelf) -> Iterator[Fact]:
    """Yield by which molar masses a line is reckoned as another form of what its ingredient lists."""
    for line in figures.amounts.lines:
        substance = substance_of(line.line)
        if substance is None or not line.key:
            continue
        inner = shelf.reckoning.figures.get(line.key)
        for number, turn in enumerate(
            turned_for(line.key, substance, shelf.book, {line.key: inner.composition} if inner else {})
        ):
            yield Fact(
                term=word("{name} as {substance}", name=line.name, substance=substance),
                text=_turned(f"line-{line.index}.form-{number}", turn, shelf.signs),
            )


def _densities(figures: Figures, shelf: Shelf) -> Iterator[Fact]:
    """Yield each density that is not simply the one written: of water by formula, or from a specific gravity."""
    by_volume = dict.fromkeys(line.key for line in figures.amounts.lines if line.ml is not None)
    for key in (figures.key, *by_volume):
        item = shelf.book.find(key)
        if item is None:
            continue
        written = item.density
        if written is not None and written.relative_to_c is not None:
            density = grams_per_ml(written)
            said = word(
                "the specific gravity {gravity}, times the density of water at {celsius}\u00a0°C.",
                gravity=show.written(written.text, shelf.signs),
                celsius=show.plain(written.relative_to_c, shelf.signs),
            )
        elif takes_water(item):
            density = water(TWENTY)
            said = word("at 20\u00a0°C by formula, because it is nothing but water and states no density.")
        else:
            continue
        yield Fact(
            term=word("Density of {name}", name=shelf.book.name_of(key)),
            figures=(
                Figure(
                    text=show.significant(density, show.Fine.DENSITY, shelf.signs),
                    value=show.exact(density),
                    name=f"density-{key}",
                    unit="g/mL",
                ),
            ),
            text=said,
        )


def _turned(name: str, turn: Turned, signs: show.Signs) -> Phrase:
    """Return a factor between two forms with both molar masses, and how many of the substance each carries."""
    have, want = turn.have, turn.want
    figured = {
        "factor": Figure(
            text=show.significant(turn.factor, show.Fine.DENSITY, signs),
            value=show.exact(turn.factor),
            name=f"{name}.factor",
            unit="g",
        )
    }
    for side, form in (("have", have), ("want", want)):
        mass = form.molar_mass
        figured[side] = Figure(
            text=show.plain(mass, signs, show.Fine.MOLAR),
            value=show.exact(mass),
            name=f"{name}.{side}",
            unit="g/mol",
        )
    times = {"have": want.carries, "want": have.carries}
    if have.carries == want.carries:
        times = {"have": 1, "want": 1}
    below, above = (
        phrase("{times} × {mass}", times=times[side], mass=figured[side])
        if times[side] > 1
        else Phrase((figured[side],))
        for side in ("have", "want")
    )
    return phrase(
        "1 g of {one} stands for {factor} of {other}: {above} ÷ {below}.",
        one=have.name,
        other=want.name,
        above=above,
        below=below,
        factor=figured["factor"],
    )


def _bench(figures: Figures, weighing: Weighing, shelf: Shelf) -> Iterator[Fact]:
    yield Fact(
        general=True,
        term=word("Weights"),
        stands_for="line-0.metered",
        text=word(
            "written amount × batch ÷ makes, exact, then rounded half up to the step of the finest "
            "balance that holds it. A fill is weighed last and takes up the rounding."
        ),
    )
    for taken in weighing.evaluation.lines:
        figure = taken.figure
        counted = any(piece.measure is Measure.DROPS for piece in taken.row.by_weight)
        if not counted or isinstance(figure.drop, Missing):
            continue
        material = shelf.book.materials.get(figure.key)
        line = (
            next((line for line in material.drops if line.dropper == figure.drop.dropper), None) if material else None
        )
        term = word("One drop of {name}", name=figure.name)
        fact = one_drop(term, f"line-{figure.index}", figure.drop, line, shelf.signs, by=figure.drop.dropper)
        yield replace(fact, general=taken.drops is None)


def _keeping(figures: Figures, signs: show.Signs) -> Iterator[Fact]:
    storage = figures.storage
    kind = (
        word("not known: {why}", why=storage.preparation.says.words(signs))
        if isinstance(storage.preparation, Missing)
        else word(str(storage.preparation))
    )
    told = (
        word("{kind}; effect not tested.", kind=kind) if untested(storage.preparation, figures.formula) else f"{kind}."
    )
    yield Fact(term=word("Kind of preparation"), text=told, stands_for="preparation")
    if isinstance(storage.water, Fraction) and storage.water:
        yield Fact(term=word("Free water"), figures=(percent("water", storage.water, signs),))
    if isinstance(storage.alcohol, Fraction) and storage.alcohol:
        yield Fact(term=word("Alcohol"), figures=(percent("alcohol", storage.alcohol, signs),), text=word("by weight."))
    for number, limit in enumerate(storage.limits):
        place = f", {word(str(limit.place))}" if limit.place else ""
        period = period_figure(f"limit-{number}", limit.period)
        text = phrase(
            "{period}{place}: {words}.", period=period, place=place, words=show.written(str(limit.whose), signs)
        )
        yield Fact(term=word("At most"), text=text)


def composition_of(figures: Figures, weighing: Weighing | None, shelf: Shelf) -> tuple[Share, ...]:
    """Return what the finished product is made of, intermediates expanded; empty when it is not known.

    Where measuring makes a share less sure than the accepted error, what it may really be stands beside it, for the
    batch as written.
    """
    composition = figures.composition
    if isinstance(composition.shares, Missing):
        return ()
    shares = [(key, share) for key, share in composition.shares.items()]
    written = weighing if weighing and weighing.obtain is None else None  # the script does not follow these ranges
    figured = [
        percent(f"composition-{key}", share, shelf.signs, unit="", side=_side(key in composition.at_most))
        if isinstance(share, Fraction)
        else None
        for key, share in shares
    ]
    cells = column(figured, [word("not known")] * len(shares), shelf.signs)
    return tuple(
        Share(
            link=shelf.link(key),
            percent=cell,
            word=word("at most") if key in composition.at_most else "",
            range=share_range(key, composition.shares[key], written, shelf.signs) if written else NOTHING,
        )
        for (key, _), cell in zip(shares, cells, strict=True)
    )


def carries_of(figures: Figures, shelf: Shelf) -> tuple[Share, ...]:
    """Return which substances the finished product carries; empty when nothing is listed or it is not known.

    By weight, a range with its ends rounded outward; where the density of the finished product is written, by volume
    (w/v) beside it.
    """
    carried = figures.contents.carried
    if isinstance(carried, Missing):
        return ()
    figured = [
        percent(f"carries-{number}", held.share, shelf.signs, unit="", side=_side(held.at_most or held.low is not None))
        if isinstance(held.share, Fraction)
        else None
        for number, held in enumerate(carried)
    ]
    cells = column(figured, [word("not known")] * len(carried), shelf.signs)
    in_ml = [by_volume(held, figures.formula.density) for held in carried]
    spirits = [percent_vol(held, figures.formula.density) for held in carried]
    return tuple(
        Share(
            link=Link(words=substance(held.substance) if held.of else held.substance, href=""),
            percent=cell,
            word=", ".join(
                [
                    *([word("at most")] if held.at_most else []),
                    *([word("from {names}", names=show.listing(held.of))] if held.of else []),
                ]
            ),
            range=NOTHING,
            low=_low_end(f"carries-{number}.low", held.low, shelf.signs) if isinstance(held.low, Fraction) else None,
            by_volume=None
            if isinstance(strength, Missing)
            else percent(f"carries-{number}.wv", strength, shelf.signs, unit="% w/v", side=_side(held.at_most)),
            spirit=percent(f"carries-{number}.vol", spirit, shelf.signs, unit="%vol", side=_side(held.at_most))
            if isinstance(spirit, Fraction)
            else None,
        )
        for number, (held, cell, strength, spirit) in enumerate(zip(carried, cells, in_ml, spirits, strict=True))
    )


def _side(at_most: bool) -> show.Side:
    """Return to which side a share is rounded: what is "at most", or ends a range, up."""
    return show.UP if at_most else show.NEAREST


def _low_end(name: str, share: Fraction, signs: show.Signs) -> Figure:
    """Return the low end of a range, rounded down; nothing at all is a plain 0."""
    end = percent(name, share, signs, unit="", side=show.DOWN)
    return end if share else replace(end, text="0")
