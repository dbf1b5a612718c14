"""Measuring: what balances and droppers can give of the batch as written.

Enters: the weighing as written.  Leaves: findings on lines that cannot be measured, each with a way out.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..findings import Missing, Place
from ..reckon.figures import Reckoning
from ..reckon.known import ONE
from ..reckon.measure import LARGEST_DROP_COUNT, half_up
from ..reckon.metering import Metered
from ..reckon.scale import Measure
from ..show import not_below
from .rule import Case, Said, known, with_errors


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


def drop_rounding(case: Case) -> Iterator[Said]:
    """A line in drops comes to a whole count within the accepted error at the batch as written; query, with a way out.

    Source: T13-10 (5 % is generally accepted for most formulas); more than 30 drops are not counted reliably (common
    practice, no source).
    """
    for line in _unmeasured(case):
        figure = case.lines[line.index]
        grams, exact = known(line.grams), line.drops_exact
        if not figure.by_drops or grams is None or exact is None:
            continue
        count = half_up(exact, ONE)
        if count > LARGEST_DROP_COUNT:
            why = f"{count} drops are too many to count"
        elif count < 1:
            why = f"it is less than half a drop ({case.against(exact, count)[0]})"
        else:
            off = abs(count - exact) / exact
            found, limit = case.against(off * 100, case.figures.scale.rows[line.index].error * 100, 2)
            side = "over" if count > exact else "under"
            why = f"{count} {'drop is' if count == 1 else 'drops are'} {found} % {side}, and {limit} % is accepted"
        yield Said(
            place=figure.line.amount_place,
            words=f"{case.grams(grams)} of {figure.name} cannot be measured: {why}{_balance(case, line)}; "
            f"{_way_out(case, line)}",
        )


def below_least_weighable(case: Case) -> Iterator[Said]:
    """A weight, at the batch as written, is at least what the balance weighs within the accepted error; query.

    Source: T04-01 (least weighable quantity = readability ÷ accepted error).
    """
    for line in _unmeasured(case):
        figure = case.lines[line.index]
        grams = known(line.grams)
        if figure.by_drops or grams is None:
            continue
        drops = (
            ""
            if line.drops_exact is None
            else (f", and {case.against(line.drops_exact, half_up(line.drops_exact, ONE))[0]} drops are no whole count")
        )
        yield Said(
            place=figure.line.amount_place,
            words=f"{case.grams(grams)} of {figure.name} cannot be measured"
            f"{_balance(case, line).replace(', and', ':', 1)}{drops}; {_way_out(case, line)}",
        )


def _unmeasured(case: Case) -> Iterator[Metered]:
    """Yield the lines that neither balance nor dropper can measure at the batch as written."""
    if isinstance(case.evaluation, Missing):
        return
    if any(isinstance(one.line.amount, Missing) for one in case.lines):
        return  # a line that cannot be read is told; what the others could be thinned with is not known then
    for line in case.evaluation.lines:
        if case.lines[line.index].is_about:
            continue  # added little by little until it is right, and not weighed
        if line.measure is Measure.NONE and isinstance(line.metered, Missing) and known(line.grams):
            yield line


def _balance(case: Case, line: Metered) -> str:
    """Return what the finest balance can weigh, as the continuation of a sentence."""
    least = case.figures.scale.rows[line.index].least_g
    return "" if least is None else f", and the finest balance weighs {case.grams(least)} or more"


def _way_out(case: Case, line: Metered) -> str:
    """Return the next batch that serves, or the other ways."""
    if line.next_batch is not None:
        batch = not_below(line.next_batch, case.signs)
        stock = _stock(case, line)
        return f"make {batch} {case.makes.unit} ({line.next_way})" + (f", or {stock}" if stock else "")
    return f"{_stock(case, line) or 'make a larger batch'}, or write a dropper or a finer balance"


def _stock(case: Case, line: Metered) -> str:
    """Return the way by a stock dilution: the book plans one where it knows what the material dissolves in.

    Where it knows, and plans none, the formula has no room for one; then nothing is said of it.
    """
    figure = case.lines[line.index]
    material = case.reckoning.book.materials.get(figure.key)
    if material is None or material.soluble:
        return ""
    return f"write what {figure.name} dissolves in (`soluble:`), for a stock dilution to be planned"
