"""How sure a batch is, in words: the plain verdict, and the interval of each line that is not within its error.

Enters: a weighing.  Leaves: sentences for page, sheet and terminal.
"""

from __future__ import annotations

from collections.abc import Mapping

from .. import show
from ..findings import Missing
from ..fraction import Fraction
from ..language import noted
from ..reckon.batchline import Interval
from ..reckon.certainty import Certainty, strength_between
from ..reckon.doubt import measuring_error
from ..reckon.weighing import Weighing
from ..show import Fine
from .phrases import NOTHING, Figure, Phrase, phrase
from .sentences import SENTENCES, said

OTHERWISE = 2
"""Names that are listed; more are counted."""


def verdict_of(weighing: Weighing, signs: show.Signs) -> Phrase:
    """Return one or two sentences on the batch; empty where no balance is stated, as then nothing can be said."""
    sure = weighing.certainty
    if not weighing.workroom.balances or not sure.evaluation.lines:
        return NOTHING
    accepted = _accepted(weighing, signs)
    words = phrase(SENTENCES["within"], accepted=accepted)
    if sure.table.has_own_errors:
        words += said("own-error")
    doubtful = [line.figure.name for line in sure.doubtful]
    inside = [said("inside", name=name, title=weighing.titles[key][1]) for key, name in weighing.doubtful_first]
    names = listed([*doubtful, *inside])
    if not names:
        return phrase(SENTENCES["sure"], words=words)
    if len(doubtful) == sum(line.figure.counts for line in sure.evaluation.lines):
        told = phrase(SENTENCES["none-sure"], words=words)
        if inside:
            told += phrase(SENTENCES["likewise"], names=listed(inside))
    else:
        told = phrase(SENTENCES["doubtful"], words=words, names=names)
    enough, unit = sure.enough, sure.table.unit
    served = () if enough is None else enough[1]
    if enough is not None and len(served) == len(doubtful):
        told += phrase(SENTENCES["smallest"], smallest=_enough("smallest-batch", enough[0], unit, signs))
    elif enough is not None:
        told += phrase(
            SENTENCES["partly"],
            smallest=_enough("enough-batch", enough[0], unit, signs),
            names=listed([line.figure.name for line in served]),
        )
    for key, (batch, unit) in weighing.enough_first.items():
        code, title = weighing.titles[key]
        first = _enough(f"first-{key}.enough", batch, unit, signs)
        told += phrase(SENTENCES["enough"], first=first, title=title or code)
    if any(line.is_coarse and line.drops is None and line not in served for line in sure.doubtful):
        told += said("finer")
    if weighing.evaluation.left_out:
        told += phrase(SENTENCES["open"], names=listed([line.figure.name for line in weighing.evaluation.left_out]))
    return told


def _enough(name: str, batch: Fraction, unit: str, signs: show.Signs) -> Figure:
    return Figure(text=show.plain(batch, signs), value=show.exact(batch), name=name, unit=unit)


def _accepted(weighing: Weighing, signs: show.Signs) -> Figure:
    share = weighing.workroom.accepted_error.share
    return Figure(
        text=show.significant(share * 100, signs=signs) if (share * 100).denominator != 1 else str(int(share * 100)),
        value=show.exact(share * 100),
        name="accepted-error",
        unit="%",
    )


def listed(names: list[str]) -> str:
    """Return names as a list: two and how many others, where there are more than three."""
    return show.listing(names, OTHERWISE)


def doubts_of(sure: Certainty, signs: show.Signs, *, strengths: bool = True) -> Mapping[int, Phrase]:
    """Return what the percentage of each line beyond its accepted error may really be, by the line's number.

    Of diluted ethanol it is its strength, where `strengths` is asked for.
    """
    if not sure.doubtful:
        return {}
    told: dict[int, Phrase] = {}
    percents = sure.percents
    for line in sure.doubtful:
        if measuring_error(line) is None or isinstance(line.printed, Missing):
            continue
        strength = strength_between(line)
        if strength is not None:
            if not strengths:
                continue
            name = f"line-{line.index}.strength"
            told[line.index] = _between(
                noted("Its strength may really be {low} to {high}."), name, strength, signs, "%vol"
            )
        elif line.index in percents:
            told[line.index] = _between(SENTENCES["between"], f"line-{line.index}.percent", percents[line.index], signs)
    return told


def share_range(key: str, share: Fraction, weighing: Weighing, signs: show.Signs) -> Phrase:
    """Return what a material's share may really be, where that is beyond the accepted error; empty otherwise."""
    interval = weighing.composition.get(key)
    if interval is None or not share:
        return NOTHING
    if max(interval[1] - share, share - interval[0]) <= weighing.workroom.accepted_error.share * share:
        return NOTHING
    return _between(noted("may be {low} to {high}"), f"composition-{key}", interval, signs)


def _between(template: str, name: str, interval: Interval, signs: show.Signs, unit: str = "%") -> Phrase:
    """Return a sentence with both ends of an interval, rounded outward."""
    digits = next((more for more in range(Fine.ERROR, Fine.RANGE) if _apart(interval, more)), Fine.RANGE)
    low, high = (
        Figure(
            text=show.significant(end * 100, digits, signs, side) if end else "0",
            value=show.exact(end * 100),
            name=f"{name}-{word}",
            unit="" if side == show.DOWN else unit,
        )
        for word, end, side in zip(("low", "high"), interval, (show.DOWN, show.UP), strict=True)
    )
    return phrase(template, low=low, high=high)


def _apart(interval: Interval, digits: int) -> bool:
    low, high = (show.significant(end * 100, digits) for end in interval)
    return low != high
