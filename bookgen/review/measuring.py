"""Measuring: what balances and droppers can give of the batch as written.

Enters: the weighing as written.  Leaves: one finding for the lines that are measured coarsely, with the ways out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from ..findings import Missing, Place
from ..reckon.batchline import BatchLine, Counted, OnlyCounted
from ..reckon.certainty import certainty
from ..reckon.doubt import measuring_error
from ..reckon.dripping import USUAL_DROP, USUAL_WEIGHED, USUAL_WEIGHT, drips, drops_to_weigh, may_drip, usual_count
from ..reckon.enough import way_out
from ..reckon.figures import Reckoning
from ..reckon.measure import LARGEST_DROP_COUNT, finest_first
from ..reckon.plans import LARGEST_STOCK, plans
from ..show import UP, listing, off, plain, significant
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
            words="no balance is written, so weights are not rounded to what yours reads; write `balances:` with name, "
            "readability and capacity",
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
                words=f"the balance {balance.name} holds no more than its smallest step; are readability and capacity "
                "swapped?",
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
    named = [_named(case, line) for line in coarse if not line.is_unshown]
    told = [f"measured only coarsely: {listing(named)}"] if named else []
    hidden = [_amount(case, line) for line in coarse if line.is_unshown]
    if hidden:
        told.append(f"{listing(hidden)} {'is' if len(hidden) == 1 else 'are'} less than the balance shows")
    yield Said(
        place=coarse[0].written.amount_place,
        words=f"{'; '.join(told)} ({_least(case, coarse)}); {_or(_ways_out(case, coarse))}",
    )


def _coarse(case: Case) -> Iterator[BatchLine]:
    """Yield the lines that are measured beyond their accepted error at the batch as written, or show on no balance."""
    if isinstance(case.evaluation, Missing):
        return
    if any(isinstance(one.line.amount, Missing) for one in case.lines):
        return  # a line that cannot be read is told; what the others could be thinned with is not known then
    for line in case.evaluation.lines:
        if line.is_coarse and line.figure.counts and not line.figure.is_about:
            yield line


def _least(case: Case, coarse: Sequence[BatchLine]) -> str:
    """Return what the finest balance weighs within the accepted error; that alone, where the lines have several."""
    rows = {(line.row.error, line.row.least_g) for line in coarse}
    ((error, least), *others) = rows
    if others or least is None:
        return "each has its accepted error" if others else f"{case.percent(error)} is accepted"
    return f"the finest balance weighs {case.grams(least)} or more within the accepted {case.percent(error)}"


def _named(case: Case, line: BatchLine) -> str:
    """Return a line that is measured coarsely, with how far off it may be: `3 g of urea to within 34 %`."""
    worst, amount, metered = measuring_error(line), _amount(case, line), line.metered
    if isinstance(metered, Counted | OnlyCounted):
        count = f"{metered.drops} {'drop' if metered.drops == 1 else 'drops'}"
        amount = f"{amount} in {count}" if isinstance(metered, Counted) else f"{count} of {line.figure.name}"
        if metered.drops > LARGEST_DROP_COUNT:
            amount += ", too many to count surely,"
    if worst is not None:
        return f"{amount} to within {_up(case, worst)} %"
    return f"{amount}, {off(metered.off, case.signs)}" if isinstance(metered, Counted | OnlyCounted) else amount


def _amount(case: Case, line: BatchLine) -> str:
    grams = known(line.grams)
    return line.figure.name if grams is None else f"{case.grams(grams)} of {line.figure.name}"


def _up(case: Case, share: Fraction) -> str:
    return significant(share * 100, 2, case.signs, UP)


def _ways_out(case: Case, coarse: Sequence[BatchLine]) -> Iterator[str]:
    """Yield what can be done, the best first; nothing far away, and nothing that would be queried in its turn."""
    for line in coarse:
        yield from _drops(case, line)
    yield from _larger(case, coarse)
    thinned = [line.figure.name for line in coarse if _would_thin(case, line)]
    if thinned:
        verb = "dissolves" if len(thinned) == 1 else "dissolve"
        yield f"write what {listing(thinned)} {verb} in (`soluble:`), for a stock dilution to be planned"
    else:
        yield "take what is too little from a stock or a trituration made on a finer balance"
    errors = [measuring_error(line) for line in coarse if line.drops is None and not line.is_unshown]
    worst = max((one for one in errors if one is not None), default=None)
    if worst is not None and len(errors) == len(coarse) and worst <= LARGEST_ACCEPTED_ERROR:
        yield f"write on the line that you accept as much (`error: {_up(case, worst)} %`)"


def _larger(case: Case, coarse: Sequence[BatchLine]) -> Iterator[str]:
    """Yield the batch to make: of one line with how it is measured then, of several one that serves them all, or as
    many of them as a batch serves."""
    if isinstance(case.evaluation, Missing):
        return
    table, unit = case.figures.scale, case.makes.unit
    if len(coarse) == 1:
        way = way_out(table, case.evaluation, coarse[0].index)
        if way is not None:
            yield f"make {plain(way.batch, case.signs)} {unit} ({way.how})"
        return
    enough = certainty(table, case.evaluation).enough
    served = [one for one in coarse if enough is not None and one in enough[1]]
    if enough is not None and served:
        whom = "" if len(served) == len(coarse) else f" for {listing([one.figure.name for one in served])}"
        yield f"make {plain(enough[0], case.signs)} {unit}{whom}"


def _drops(case: Case, line: BatchLine) -> Iterator[str]:
    """Yield the way out of a liquid without a drop mass: to count it."""
    grams = known(line.grams)
    counts = None if grams is None else usual_count(grams)
    if counts is not None and grams is not None and drips(line.figure, case.reckoning.book):
        light, heavy = (plain(each, case.signs) for each in USUAL_DROP)
        few, many = counts
        some = f"{few} to {many}" if few != many else str(many)
        room = case.workroom
        count = drops_to_weigh(room.balances, room.accepted_error.share)
        finer = "" if count else f", on a finer balance as they weigh about {plain(USUAL_WEIGHT, case.signs)} g"
        yield (
            f"count drops: weigh {count or USUAL_WEIGHED} of them once with `bookgen drops`{finer} "
            f"(until then {case.grams(grams)} is about {some} {'drop' if many == 1 else 'drops'} at {light} to {heavy} "
            "g a drop; common practice, no source)"
        )
    elif counts is not None and may_drip(line.figure, case.reckoning.book):
        yield f"if {line.figure.name} is a liquid, write `kind: liquid` in its file, to be told of drops"


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


def _or(ways: Iterator[str]) -> str:
    found = list(ways)
    return found[0] if len(found) == 1 else f"{'; '.join(found[:-1])}; or {found[-1]}"
