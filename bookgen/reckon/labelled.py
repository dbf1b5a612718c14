"""What a label says of one batch, and why one is not printed.

Enters: one batch, and what is asked of its label.  Leaves: which sort of label it is, what it says of content and
actives, and the reason why there is none.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from ..findings import Missing
from ..fraction import Fraction
from ..model import BatchOutcome, BatchRecord, Filling, Formula, Kind, Known, Percent, Period, Quantity
from ..wording.saying import Saying, says
from .counted import as_made
from .doses import is_active
from .figures import Figures
from .known import ONE, ZERO, add
from .label import asks_for_date
from .measure import balance_for, finest_first
from .weighing import Weighing


class LabelSort(StrEnum):
    """What a label has to say goes by what it is for."""

    COSMETIC = "cosmetic"
    MEDICINE = "medicine"
    INTERMEDIATE = "intermediate"
    PLAIN = "plain"


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelWish:
    """What is asked of a label."""

    made: date
    """The day of making."""
    today: date
    """The day on which it is printed."""
    after_opening: Period | None = None
    """How long it keeps once it is open; None where nothing was said of it."""
    handed_on: bool = True
    """False for what stays with its keeper, and is marked so."""
    batch: str = ""
    """The batch number; empty for a batch that has no record, which is called by its code and day."""
    left: Quantity | None = None
    """What came out of a batch on record less what was kept back; None without a record, or where it does not tell."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ActiveStrength:
    """An active of a medicine, with how much of it there is."""

    name: str
    """The substance that the line is written as, else the material."""
    share: Known
    """Share of the product, 1 = all."""
    each: Fraction | None = None
    """Grams in one finished piece; None where no pieces are made, and of what is written as a substance."""


def sort_of_label(figures: Figures) -> LabelSort:
    """Return which sort of label a formula has.

    What goes onto skin and is no medicine is labelled as a cosmetic, whatever its formula calls it.
    """
    use = figures.formula.use
    if use is not None and use.intermediate:
        return LabelSort.INTERMEDIATE
    if figures.formula.kind is Kind.MEDICINE:
        return LabelSort.MEDICINE
    return LabelSort.PLAIN if figures.label.entries == () else LabelSort.COSMETIC


def content_on_label(weighing: Weighing, wish: LabelWish) -> Quantity | None:
    """Return how much one container holds: as it was named, else all of a batch.

    All of a batch that was made is what came out of it by its record, weighed, measured or counted in pieces, less what
    was kept back.  Of one that is planned it is what was asked for, or what the printed weights come to where that is
    less, in whole steps of the balance that holds it: never more than there is; of pieces their number, without those
    made in addition.  None for the batch as written, of which nobody said into how many containers it goes, and for one
    that was made where its record does not tell.

    Source: Regulation (EC) No 1223/2009, Article 19(1)(b), asks for the content; that it is rounded down is our own
    choice.
    """
    asked = weighing.obtain
    if weighing.container is not None:
        return weighing.container
    if wish.batch:
        return wish.left
    if asked is not None and asked.form is not None:
        return Quantity(value=Fraction(asked.pieces - asked.spare), unit=asked.form.value, text=asked.text)
    if asked is None:
        return None
    return Quantity(value=_all_of_it(weighing), unit=weighing.figures.scale.unit, text=asked.text)


def _all_of_it(weighing: Weighing) -> Fraction:
    """Return what comes out of a planned batch at the least, in its unit: by its printed weights, rounded down."""
    evaluation = weighing.evaluation
    start, out = evaluation.start_g, evaluation.obtain
    weighed = add((evaluation.printed_total, *(line.grams for line in evaluation.left_out)))
    if isinstance(start, Fraction) and isinstance(weighed, Fraction) and start:
        out = out * min(ONE, weighed / start)
    if weighing.figures.scale.unit != "g":
        return out
    balance = balance_for(out, finest_first(weighing.workroom.balances))
    steps = ZERO if balance is None else out // balance.readability_g * balance.readability_g
    return steps or out


def left_of(record: BatchRecord, formula: Formula) -> Quantity | None:
    """Return what came out of a batch less what was kept back; None where that is not told in one unit."""
    if record.came_out is None:
        return None
    out = as_made(record.came_out, formula)
    kept = [(size.count, as_made(size.each, formula)) for size in record.kept_sample]
    if any(each.unit != out.unit for _, each in kept):
        return None
    kept_back = sum((count * each.value for count, each in kept), ZERO)
    return replace(out, value=out.value - kept_back) if kept_back < out.value else None


def strengths_on_label(figures: Figures) -> Iterator[ActiveStrength]:
    """Yield the actives of a medicine: the lines that are called active, in their order.

    A line written as a substance names that, with the share it was written with; any other its material, with its share
    of the finished product, and of a piece what that share comes to.
    """
    shares, piece = figures.composition.shares, figures.pieces.grams if figures.pieces else None
    for line in figures.amounts.lines:
        if not is_active(line):
            continue
        amount = line.line.amount
        if isinstance(amount, Percent) and amount.substance:
            yield ActiveStrength(name=amount.substance, share=amount.share)
        elif isinstance(shares, Missing):
            yield ActiveStrength(name=line.name, share=shares)
        else:
            share = shares.get(line.key, line.percent)
            each = share * piece if isinstance(share, Fraction) and isinstance(piece, Fraction) else None
            yield ActiveStrength(name=line.name, share=share, each=each)


def keeps_after_opening(figures: Figures) -> bool:
    """Tell whether a label says how long a cosmetic keeps once it is open, in place of its date."""
    period = figures.storage.period
    return isinstance(period, Period) and not asks_for_date(period)


def filled_in(record: BatchRecord, content: Quantity | None, formula: Formula) -> tuple[Filling | None, Saying | None]:
    """Return what a batch was filled into, of several sizes the one that holds `content`; or why that is not known.

    Neither where the record says nothing of it.
    """
    filled = tuple(replace(size, each=as_made(size.each, formula)) for size in record.filled)
    wanted = None if content is None else as_made(content, formula)
    sizes = filled if wanted is None else tuple(size for size in filled if _same(size.each, wanted))
    if len(sizes) == 1:
        return sizes[0], None
    texts = tuple(size.text for size in record.filled)
    if content is None:
        return None, says("label-which-size", sizes=texts) if sizes else None
    return None, says("label-no-such-size", size=content.text, sizes=texts) if texts else None


def _same(one: Quantity, other: Quantity) -> bool:
    return (one.value, one.unit) == (other.value, other.unit)


def why_no_label_of_batch(record: BatchRecord, issue: int, wish: LabelWish) -> Saying | None:
    """Return why a batch that was made has no label: thrown away or used up, or made by an earlier issue, whose
    ingredients this book no longer has; `issue` is that of the formula now."""
    if record.outcome is BatchOutcome.DISCARDED or record.discarded is not None:
        return says("label-discarded")
    if record.used_up is not None:
        return says("label-used-up", day=record.used_up.text)
    if wish.handed_on and record.of is not None and record.of.issue != issue:
        return says("label-other-issue", made=record.of.issue, now=issue)
    return None


def why_no_label(weighing: Weighing, wish: LabelWish, responsible: str) -> Saying | None:
    """Return why no label is printed, in a sentence; None where one is.

    Without a use-by, or once that has passed, there is none at all.  What is handed on has to have all that its sort of
    label says; what stays with its keeper is marked so, and may lack it.

    Source: Regulation (EC) No 1223/2009, Article 19(1), and USP <795> (its label section, from memory), as the least
    that a label says; that nothing is printed otherwise is our own choice.
    """
    figures, sort = weighing.figures, sort_of_label(weighing.figures)
    if isinstance(weighing.use_by, Missing):
        return says("label-no-use-by", why=weighing.use_by.says)
    if weighing.use_by < wish.today:
        return says("label-expired", day=weighing.use_by.isoformat())
    if not wish.handed_on or sort is LabelSort.INTERMEDIATE:
        return None
    if figures.formula.kind is None and figures.formula.use is None:
        return says("label-no-kind")
    if sort is LabelSort.PLAIN:
        return None
    if not responsible:
        return says("label-no-responsible")
    if content_on_label(weighing, wish) is None:
        return says("label-no-content" if figures.pieces is None else "label-no-count")
    return _why_no_medicine(figures) if sort is LabelSort.MEDICINE else _why_no_cosmetic(figures, wish)


def _why_no_medicine(figures: Figures) -> Saying | None:
    strengths = list(strengths_on_label(figures))
    if not strengths:
        return says("label-no-active")
    unknown = next((strength for strength in strengths if isinstance(strength.share, Missing)), None)
    if unknown is not None and isinstance(unknown.share, Missing):
        return says("label-active-unknown", name=unknown.name, why=unknown.share.says)
    return None


def _why_no_cosmetic(figures: Figures, wish: LabelWish) -> Saying | None:
    label = figures.label
    if isinstance(label.entries, Missing):
        return says("label-list-incomplete", why=says("label-unknown", why=label.entries.says))
    if label.open:
        return says("label-list-incomplete", why=label.open[0])
    if keeps_after_opening(figures) and wish.after_opening is None:
        return says("label-no-opening")
    return None
