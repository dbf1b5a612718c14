"""Metering: a scale table at one batch, exact and as the instruments can really give it.

Pages, terminal and JSON print what `evaluate` returns.  In the browser `script/scale.js` does the same; a test compares
the two.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import ceil

from ..findings import Missing
from ..fraction import Fraction
from ..model import Known
from ..wording.saying import says
from .batchline import (
    Aliquot,
    BatchLine,
    Blended,
    ByVolume,
    Counted,
    Exact,
    Metered,
    Nothing,
    OnlyCounted,
    Spared,
    UnknownAmount,
    Unshown,
    Weighed,
)
from .known import ONE, ZERO, add, less, times
from .measure import half_up
from .scale import ScaleRow, ScaleTable
from .ways import Measure, Piece


@dataclass(frozen=True, slots=True, kw_only=True)
class Evaluation:
    """A scale table at one batch."""

    obtain: Fraction
    """The batch to obtain, in the table's unit."""
    start: Known
    """Weigh in all, exact, in the table's unit."""
    start_g: Known
    """Weigh in all in grams, exact."""
    lines: tuple[BatchLine, ...]
    """One for each line."""
    printed_total: Known
    """Sum of the printed weights that count, in grams; without what is less than the balance shows."""
    left_out: tuple[BatchLine, ...]
    """The lines that count and that it leaves out, as they are less than the balance shows."""
    finest_step: Fraction | None
    """Finest step among the lines that count: it shows every digit of their sum; None without a balance."""
    read_step: Fraction | None
    """Finest step among those that are weighed: the batch as a whole is told with the digits of a balance, not with
    those that the weight of a few drops has; `finest_step` where nothing is weighed."""


def evaluate(table: ScaleTable, obtain: Fraction) -> Evaluation:
    """Return every line of one batch: exact, and as the instruments can give it; the printed total is their sum.

    A line that is thinned is metered as the aliquot of its stock, and the line that thins it is weighed with so much
    less.  The fill is metered last: weigh in all − the metered others, on its own balance's step, so that the printed
    weights add up.  Of diluted ethanol the strong one is weighed first, on the line's own balance, and water makes up
    the line's weight.  A line that is less than the balance shows stands there with its exact
    weight, which the printed total leaves out.

    Source: common practice, no source.
    """
    start_g = times(table.start_g, obtain)
    lines = [_line(row, obtain) for row in table.rows]
    for line in lines:
        if isinstance(line.metered, Aliquot):
            lines[line.metered.diluent] = _spared(lines[line.metered.diluent], line.metered)
    for number, line in enumerate(lines):
        if line.row.figure.is_fill:
            others = add(_weight_of(line) for line in lines if line.row.figure.counts and not line.row.figure.is_fill)
            lines[number] = _filled(line, less(start_g, others))
    lines = [line if line.row.strong is None else _blended(line, line.row.strong) for line in lines]
    counted = [line for line in lines if line.row.figure.counts]
    shown = [line for line in counted if not line.is_unshown]
    finest = _finest(line.step for line in counted)
    return Evaluation(
        obtain=obtain,
        start=times(table.start, obtain),
        start_g=start_g,
        lines=tuple(lines),
        printed_total=add(line.printed for line in shown)
        if shown or not counted
        else Missing(says=says("nothing-shows")),
        left_out=() if len(shown) == len(counted) else tuple(line for line in counted if line.is_unshown),
        finest_step=finest,
        read_step=_finest(line.step for line in counted if line.drops is None) or finest,
    )


def _finest(steps: Iterable[Fraction | None]) -> Fraction | None:
    """Return the finest step; None where there is none.  Most lines have the very same one, which is not compared."""
    found: Fraction | None = None
    for step in steps:
        if step is not None and step is not found and (found is None or step < found):
            found = step
    return found


def _weight_of(line: BatchLine) -> Known:
    """Return what a line adds to the batch: its printed weight, else its exact one."""
    return line.grams if isinstance(line.printed, Missing) else line.printed


def number_at(row: ScaleRow, exact: Known) -> int:
    """Return the number of the first piece that holds the exact weight or count; what is not known has one piece."""
    if isinstance(exact, Missing) or len(row.by_weight) == 1:
        return 0
    above, below = exact.numerator, exact.denominator  # compared in whole numbers: a dropper's line has many pieces
    for number, piece in enumerate(row.by_weight):
        to, from_ = piece.to, piece.from_
        if (to is None or above * to.denominator <= to.numerator * below) and (
            from_.numerator * below <= above * from_.denominator
        ):
            return number
    raise ValueError(f"no piece holds {exact}")


def _line(row: ScaleRow, obtain: Fraction) -> BatchLine:
    """Return a line as if it stood by itself."""
    exact = times(row.per, obtain)
    if exact == row.figure.weighed:
        exact = row.figure.weighed  # one number in a book's batches as written, which are held
    count = None if row.drops_per is None else times(row.drops_per, obtain)
    piece = row.by_weight[number_at(row, exact if count is None else count)]
    drops = None if isinstance(count, Missing) else count
    if drops is None and piece.drop and not isinstance(exact, Missing):
        drops = exact / piece.drop
    return BatchLine(
        row=row,
        piece=piece,
        grams=exact,
        ml=None if row.ml_per is None else times(row.ml_per, obtain),
        loss=None if row.loss_per is None else times(row.loss_per, obtain),
        drops_exact=drops,
        metered=_metered(row, piece, exact, drops),
    )


def _metered(row: ScaleRow, piece: Piece, exact: Known, drops: Fraction | None) -> Metered:
    """Return what the instruments give of so many grams, or so many drops; a fill's weight is not known yet."""
    if isinstance(exact, Missing):
        if piece.measure is Measure.DROPS and drops is not None:
            return _only_counted(piece, drops, exact)
        return ByVolume(printed=exact) if piece.measure is Measure.VOLUME else UnknownAmount(printed=exact)
    match piece.measure:
        case Measure.WEIGH if piece.step is not None:
            beside = int(half_up(drops, ONE)) if piece.beside and drops is not None else None
            return _weighed(half_up(exact, piece.step), piece.step, piece, row, exact, beside)
        case Measure.DILUTE | Measure.TRITURATE if piece.plan is not None and row.diluent is not None:
            aliquot = half_up(exact * piece.plan.factor, piece.plan.step)
            return Aliquot(printed=aliquot, plan=piece.plan, thinned=piece.measure, diluent=row.diluent)
        case Measure.DROPS if drops is not None:
            return _counted(piece, exact, drops)
        case Measure.NONE if exact > 0:
            return Unshown(printed=Missing(says=says("too-little")), balance="", step=None)
        case Measure.NONE:
            return Nothing(printed=exact)
        case _:
            return Exact(printed=exact)


def _weighed(
    weight: Fraction, step: Fraction, piece: Piece, row: ScaleRow, exact: Known, beside: int | None = None
) -> Weighed:
    """Return a weight as it is weighed, in portions where the balance does not hold it at once.

    At the accepted error exactly it is within it: full portions may be, of which a little more is not.
    """
    portions = 1 if piece.portion is None else max(1, ceil(weight / piece.portion))
    coarse = piece.coarse
    if coarse and row.strong is None and not isinstance(exact, Missing):
        coarse = abs(weight - exact) + portions * step > row.error * exact
    return Weighed(printed=weight, balance=piece.with_, step=step, portions=portions, coarse=coarse, beside=beside)


def _counted(piece: Piece, exact: Fraction, drops: Fraction) -> Metered:
    """Return whole drops with what they weigh."""
    assert piece.drop is not None
    assert piece.low is not None
    assert piece.high is not None
    count = half_up(drops, ONE)
    weight = count * piece.drop
    step = None if piece.step is None else drop_step(weight, piece.step)
    return Counted(
        drops=int(count),
        off=(weight - exact) / exact,
        dropper=piece.with_,
        printed=weight if step is None else half_up(weight, step),
        step=step,
        low=piece.low,
        high=piece.high,
        coarse=piece.coarse,
    )


def _only_counted(piece: Piece, drops: Fraction, why: Missing) -> OnlyCounted:
    """Return whole drops of which nobody knows what they weigh."""
    count = half_up(drops, ONE)
    return OnlyCounted(
        drops=int(count), off=(count - drops) / drops, dropper=piece.with_, printed=why, coarse=piece.coarse
    )


def drop_step(grams: Fraction, step: Fraction) -> Fraction:
    """Return what the printed weight of counted drops is rounded to.

    To the finest balance's step or to two significant figures, whichever is finer: 9 drops of 0.03 g are 0.27 g on a
    balance of 1 g as well.

    Source: common practice, no source.

    >>> str(drop_step(Fraction("0.27"), Fraction(1))), str(drop_step(Fraction("0.294"), Fraction("0.001")))
    ('1/100', '1/1000')
    """
    place = Fraction(1)
    while grams >= 10 * place:
        place *= 10
    while grams < place:
        place /= 10
    return min(step, place / 10)


def _spared(line: BatchLine, taken: Aliquot) -> BatchLine:
    """Return the diluent's line, weighed with so much less as an aliquot brings of it."""
    aliquot, plan = taken.printed, taken.plan
    brings, before = aliquot - taken.brings, line.spared or Spared(grams=ZERO, less=ZERO, more=ZERO, stocks_g=ZERO)
    spared = Spared(
        grams=before.grams + brings,
        less=before.less + brings - (aliquot - plan.step) * (1 - plan.high),
        more=before.more + (aliquot + plan.step) * (1 - plan.low) - brings,
        stocks_g=before.stocks_g + sum((stage.diluent_g for stage in plan.stages), ZERO),
    )
    metered = line.metered
    if isinstance(metered, Weighed) and not isinstance(line.grams, Missing):
        metered = replace(metered, printed=half_up(line.grams - spared.grams, metered.step))
    return replace(line, spared=spared, metered=metered)


def _filled(line: BatchLine, rest: Known) -> BatchLine:
    """Return the fill with its weight; what is too little for its balance is not 0."""
    step, metered = line.piece.step, line.metered
    if isinstance(rest, Missing):
        metered = UnknownAmount(printed=rest)
    else:
        weight = max(rest, ZERO)
        shown = weight if step is None else half_up(weight, step)
        if shown == 0 and line.grams != 0:
            metered = Unshown(printed=Missing(says=says("too-small")), balance=line.piece.with_, step=step)
        else:
            metered = Exact(printed=shown) if step is None else _weighed(shown, step, line.piece, line.row, line.grams)
    return replace(line, metered=metered)


def _blended(line: BatchLine, share: Fraction) -> BatchLine:
    """Return diluted ethanol with its two weights: the strong one half up on the line's balance, water for the rest."""
    if isinstance(line.printed, Missing):
        return line
    strong = line.printed * share
    strong = strong if line.step is None else half_up(strong, line.step)
    return replace(line, blended=Blended(strong_g=strong, water_g=line.printed - strong))
