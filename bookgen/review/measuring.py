"""Measuring: what balances and droppers can give of the batch as written.

Enters: the weighing as written.  Leaves: one finding for the lines that are measured coarsely, with the ways out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ..findings import Missing, Place
from ..reckon.batchline import BatchLine, Counted, OnlyCounted
from ..reckon.certainty import certainty
from ..reckon.doubt import measuring_error
from ..reckon.dripping import USUAL_DROP, USUAL_WEIGHED, USUAL_WEIGHT, drips, drops_to_weigh, may_drip, usual_count
from ..reckon.enough import way_out
from ..reckon.figures import Reckoning
from ..reckon.measure import LARGEST_DROP_COUNT, finest_first
from ..reckon.plans import LARGEST_STOCK, plans
from ..wording.saying import Saying, says
from .rule import Case, Said, known, with_errors
from .slips import LARGEST_ACCEPTED_ERROR


def no_balance(reckoning: Reckoning) -> Iterator[Said]:
    """Without a balance in the workroom no weight can be rounded to what it reads; query, once for the book.

    Source: common practice, no source.
    """
    book = reckoning.book
    if not book.workroom.balances and any(formula.lines for formula in book.formulas.values()):
        if "balances" in book.workroom.places or book.workroom.path in with_errors(book):
            return  # written but not readable, or hidden by what is not readable: reading has said so
        yield Said(
            place=Place(path=book.workroom.path),
            title=book.workroom.title,
            says=says("no-balance-written"),
        )


def balance_capacity(reckoning: Reckoning) -> Iterator[Said]:
    """A balance holds more than its smallest step; query, as the two figures are probably swapped.

    Source: common practice, no source.
    """
    workroom = reckoning.book.workroom
    for balance in workroom.balances:
        if balance.capacity_g is not None and balance.capacity_g <= balance.readability_g:
            yield Said(
                place=workroom.places.get("balances", Place(path=workroom.path)),
                title=workroom.title,
                says=says("balance-capacity", name=balance.name),
            )


def below_least_weighable(case: Case) -> Iterator[Said]:
    """Every line, at the batch as written, is measured within the accepted error; query, one for the formula.

    It names the lines that are weighed or counted only coarsely, and those that are less than the balance shows, with
    the ways out: drops, a larger batch, a stock, a finer balance, or a larger error that is accepted.

    Source: T04-01 (least weighable quantity = readability ÷ accepted error); T13-10 (5 % is generally accepted for most
    formulas); more than 30 drops are not counted reliably (common practice, no source).
    """
    coarse = list(_coarse(case))
    if not coarse:
        return
    named = tuple(_named(line) for line in coarse if not line.is_unshown)
    hidden = tuple(_amount(line) for line in coarse if line.is_unshown)
    least, ways, count = _least(coarse), tuple(_ways_out(case, coarse)), len(hidden)
    if not hidden:
        told = says("coarse", coarse=named, least=least, ways=ways)
    elif not named:
        told = says("hidden", hidden=hidden, count=count, least=least, ways=ways)
    else:
        told = says("coarse-and-hidden", coarse=named, hidden=hidden, count=count, least=least, ways=ways)
    yield Said(place=coarse[0].written.amount_place, says=told)


def _coarse(case: Case) -> Iterator[BatchLine]:
    """Yield the lines that are measured beyond their accepted error at the batch as written, or show on no balance."""
    if isinstance(case.evaluation, Missing):
        return
    if any(isinstance(line.line.amount, Missing) for line in case.lines):
        return  # a line that cannot be read is told; what the others could be thinned with is not known then
    for line in case.evaluation.lines:
        if line.is_coarse and line.figure.counts and not line.figure.is_about:
            yield line


def _least(coarse: Sequence[BatchLine]) -> Saying:
    """Return what the finest balance weighs within the accepted error; that alone, where the lines have several."""
    rows = {(line.row.error, line.row.least_g) for line in coarse}
    ((error, least), *others) = rows
    if others:
        return says("own-errors")
    if least is None:
        return says("error-accepted", error=error)
    return says("finest-weighs", least=least, error=error)


def _named(line: BatchLine) -> Saying | str:
    """Return a line that is measured coarsely, with how far off it may be: `3 g of urea to within 34 %`."""
    worst, amount, metered = measuring_error(line), _amount(line), line.metered
    if isinstance(metered, (Counted, OnlyCounted)):
        if isinstance(metered, Counted):
            amount = says("in-drops", amount=amount, drops=metered.drops)
        else:
            amount = says("drops-of", drops=metered.drops, name=line.figure.name)
        many = metered.drops > LARGEST_DROP_COUNT
        if many:
            amount = says("too-many-drops", amount=amount)
        if worst is not None:
            return says("many-to-within" if many else "to-within", amount=amount, worst=worst)
        if metered.off:
            return says("drops-over" if metered.off > 0 else "drops-under", amount=amount, off=abs(metered.off))
        return amount
    return amount if worst is None else says("to-within", amount=amount, worst=worst)


def _amount(line: BatchLine) -> Saying | str:
    grams = known(line.grams)
    return line.figure.name if grams is None else says("grams-of", grams=grams, name=line.figure.name)


def _ways_out(case: Case, coarse: Sequence[BatchLine]) -> Iterator[Saying]:
    """Yield what can be done, the best first; nothing far away, and nothing that would be queried in its turn."""
    for line in coarse:
        yield from _drops(case, line)
    unsaid = tuple(line.figure.name for line in coarse if _may_be_liquid(case, line))
    if unsaid:
        yield says("say-liquid", names=unsaid, count=len(unsaid))
    yield from _larger(case, coarse)
    thinned = tuple(line.figure.name for line in coarse if _would_thin(case, line))
    if thinned:
        yield says("say-soluble", names=thinned, count=len(thinned))
    else:
        yield says("measure-elsewhere")
    errors = [measuring_error(line) for line in coarse if line.drops is None and not line.is_unshown]
    worst = max((error for error in errors if error is not None), default=None)
    if worst is not None and len(errors) == len(coarse) and worst <= LARGEST_ACCEPTED_ERROR:
        yield says("accept-error", worst=worst)


def _larger(case: Case, coarse: Sequence[BatchLine]) -> Iterator[Saying]:
    """Yield the batch to make: of one line with how it is measured then, of several one that serves them all, or as
    many of them as a batch serves."""
    if isinstance(case.evaluation, Missing):
        return
    table, unit = case.figures.scale, case.makes.unit
    if len(coarse) == 1:
        way = way_out(table, case.evaluation, coarse[0].index)
        if way is not None:
            yield says("make-more", batch=way.batch, unit=unit, how=way.how)
        return
    enough = certainty(table, case.evaluation).enough
    served = [line for line in coarse if enough is not None and line in enough[1]]
    if enough is None or not served:
        return
    if len(served) == len(coarse):
        yield says("make-enough", batch=enough[0], unit=unit)
    else:
        names = tuple(line.figure.name for line in served)
        yield says("make-enough-for", batch=enough[0], unit=unit, names=names)


def _drops(case: Case, line: BatchLine) -> Iterator[Saying]:
    """Yield the way out of a liquid without a drop mass: to count it."""
    grams = known(line.grams)
    counts = None if grams is None else usual_count(grams)
    if counts is not None and grams is not None and drips(line.figure, case.reckoning.book):
        light, heavy = USUAL_DROP
        few, many = counts
        room = case.workroom
        number = drops_to_weigh(room.balances, room.accepted_error.share)
        finer = None if number else says("on-finer-balance", grams=USUAL_WEIGHT)
        count = number or USUAL_WEIGHED
        if few == many:
            yield says("count-first-about", count=count, finer=finer, grams=grams, drops=many, light=light, heavy=heavy)
        else:
            yield says(
                "count-first", count=count, finer=finer, grams=grams, few=few, drops=many, light=light, heavy=heavy
            )


def _may_be_liquid(case: Case, line: BatchLine) -> bool:
    """Tell whether it could be counted in drops, were it written that it is a liquid."""
    grams, book = known(line.grams), case.reckoning.book
    return (
        grams is not None
        and usual_count(grams) is not None
        and not drips(line.figure, book)
        and may_drip(line.figure, book)
    )


def _would_thin(case: Case, line: BatchLine) -> bool:
    """Tell whether a stock dilution could be planned, were it written what the material dissolves in."""
    grams = known(line.grams)
    material = case.reckoning.book.materials.get(line.figure.key)
    if material is None or material.soluble or grams is None or isinstance(case.evaluation, Missing):
        return False
    total = known(case.evaluation.start_g)
    finest, error = finest_first(case.reckoning.book.workroom.balances), line.row.error
    return total is not None and any(
        plan.largest_stock <= min(LARGEST_STOCK, total) and plan.least_g <= grams <= plan.most_g
        for plan in plans(finest, error)
    )
