"""Slips of the pen in a formula or the workroom: figures that do not go with others that are written.

Enters: the book, a formula's lines.  Leaves: queries; none of them bars a formula.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from ..findings import Missing, Place
from ..fraction import Fraction
from ..model import Adjust, Percent, Status
from ..reckon.droppers import drop_mass_of
from ..reckon.figures import Reckoning
from ..reckon.known import ZERO
from ..reckon.standing import drops_of
from ..wording.saying import Saying, says
from .droppers import DROP_MASSES
from .rule import Case, Said

LARGEST_ACCEPTED_ERROR = Fraction(1, 5)
"""Above it a balance is trusted with next to nothing (own choice, no source; T13-10 has 5 %)."""
WEIGHT_SLACK = Fraction(1, 200)
"""Grams by which a fixed weight of drops may be rounded: half of the hundredth that is usually written."""
_PH = re.compile(r"\bpH\s*([0-9]+(?:[.,][0-9]+)?)(?:\s*(?:to|-|–)\s*([0-9]+(?:[.,][0-9]+)?))?", re.IGNORECASE)


def fixed_drop_weight(case: Case) -> Iterator[Said]:
    """A weight fixed for drops goes with what a drop of it weighs; query outside the range of its file, or of any drop.

    Source: T03-09 for the range of a stated drop mass; common practice, no source, for what any drop weighs.
    """
    for figure in case.lines:
        drops = drops_of(figure.line)
        if drops is None or drops.grams is None or not figure.key:
            continue
        each, slack = drops.grams / drops.count, WEIGHT_SLACK / drops.count
        book = case.reckoning.book
        mass = drop_mass_of(
            book.find(figure.line.material), drops.dropper, figure.line.amount_place, book.workroom.balances
        )
        low, high = DROP_MASSES if isinstance(mass, Missing) else (mass.low - slack, mass.high + slack)
        if low <= each <= high:
            continue
        if isinstance(mass, Missing):
            told = says("drop-weight-of-none", drops=drops.text, each=each, low=low, high=high)
        else:
            told = says(
                "drop-weight-beside-file",
                drops=drops.text,
                each=each,
                name=figure.name,
                grams=mass.grams,
                dropper=mass.dropper,
            )
        yield Said(place=figure.line.amount_place, says=told)


def adjusted_beyond_ph(case: Case) -> Iterator[Said]:
    """What the last line brings the pH to (`q.s. to pH 5.5`) lies within the formula's `pH:`; query when it does not.

    Source: common practice, no source.  Earlier lines may go through another pH on the way.
    """
    expected = case.formula.ph
    aims = [
        (line, amount.result, aim)
        for line in case.lines
        if isinstance(amount := line.line.amount, Adjust) and (aim := _aim(amount.result)) is not None
    ]
    if expected is None or not aims:
        return
    figure, result, (low, high) = aims[-1]
    # One value is as exact as its digits: pH 5 is anything from 4.5 to 5.5.
    slack = _half_step(expected.low.text) if expected.low.value == expected.high.value else ZERO
    if low > expected.high.value + slack or high < expected.low.value - slack:
        first, last = expected.low.text, expected.high.text
        if expected.low.value == expected.high.value:
            told = says("adjusted-beside-ph", name=figure.name, result=result, ph=first)
        else:
            told = says("adjusted-beyond-ph", name=figure.name, result=result, low=first, high=last)
        yield Said(place=figure.line.amount_place, says=told)


def _aim(result: str) -> tuple[Fraction, Fraction] | None:
    """Return the lowest and highest pH that a line is to reach; None when it is a colour or a scent."""
    match = _PH.search(result)
    if match is None:
        return None
    low = Fraction(match[1].replace(",", "."))
    return low, Fraction(match[2].replace(",", ".")) if match[2] else low


def _half_step(text: str) -> Fraction:
    places = len(text.replace(",", ".").partition(".")[2])
    return Fraction(1, 2 * 10**places)


def accepted_error(reckoning: Reckoning) -> Iterator[Said]:
    """An accepted error stays within 20 %, in the workroom and in a line; query, as a balance is then trusted too far.

    Source: T13-10 (5 % is accepted for most formulas).
    """
    workroom = reckoning.book.workroom
    if (words := _too_large(workroom.accepted_error)) is not None:
        place = workroom.places.get("accepted error", Place(path=workroom.path))
        yield Said(place=place, title=workroom.title, says=words)
    for formula in reckoning.book.formulas.values():
        if formula.status is Status.WITHDRAWN:
            continue
        for line in formula.lines:
            if line.error is not None and (words := _too_large(line.error)) is not None:
                yield Said(
                    place=line.places.get("error", line.place), title=formula.title, concerns=formula.code, says=words
                )


def _too_large(error: Percent) -> Saying | None:
    return None if error.share <= LARGEST_ACCEPTED_ERROR else says("accepted-error", error=error.text)


def no_formula(reckoning: Reckoning) -> Iterator[Said]:
    """A book holds formulas; query when there is none and nothing else is wrong, as the folder is probably another.

    Source: common practice, no source.
    """
    book = reckoning.book
    if not book.formulas and not book.findings:
        yield Said(
            place=Place(path="formulas"),
            title=book.workroom.title,
            says=says("no-formulas"),
        )
