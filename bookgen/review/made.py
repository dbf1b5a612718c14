"""What batches came to: what was off the plan, lots past their dates, and what the record does not explain.

Enters: the batch records of a book, reckoned.  Leaves: queries at the record; what its notes explain is not asked
again.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..findings import Place
from ..fraction import Fraction
from ..model import Adjust, BatchOutcome, BatchRecord
from ..reckon.figures import Reckoning
from ..reckon.lastdays import LotDate, figures_of, last_days_of, old_lots
from ..reckon.lye_weighed import lye_weighed
from ..reckon.made import YIELD_SEEN, Loss, contents_of, lines_of, ph_within, yielded
from ..wording.saying import Saying, says
from .batches import FAR_OFF, out_and_in
from .rule import Said, known

NOTES = "notes"
"""The heading, in any case of letters, below which a deviation is explained."""


_NOT_USED = (BatchOutcome.DISCARDED, BatchOutcome.REWORKED)


def _said(record: BatchRecord, place: Place, told: Saying) -> Said:
    return Said(place=place, says=told, concerns=record.key, title=record.key)


def explained(record: BatchRecord) -> bool:
    """Tell whether the record has notes: what was off is then taken as explained there."""
    return any(section.title.casefold() == NOTES and section.blocks for section in record.body.sections)


def lot_past_its_date(reckoning: Reckoning) -> Iterator[Said]:
    """A lot is used up to its expiry, as long after opening as it is good, and up to its retest, and a batch of an
    intermediate up to its last day, or the notes say what became of it; query.

    Source: USP <795>, expiry of each component, from memory; that a retest is no expiry is common practice, no source.
    """
    last_days = last_days_of(reckoning)
    for number, record in reckoning.book.batches.items():
        for old in () if explained(record) else old_lots(reckoning, number, last_days):
            lot, last = old.lot.code, old.last.isoformat()
            match old.which:
                case LotDate.EXPIRY:
                    told = says("lot-expired-then", lot=lot, day=last)
                case LotDate.OPENED:
                    told = says("lot-opened-too-long", lot=lot, day=last)
                case LotDate.USE_BY:
                    told = says("batch-too-old", batch=lot, day=last)
                case LotDate.RETEST:
                    told = says("lot-retest-due", lot=lot, day=last)
            yield _said(record, old.line.lot_place, told)


def lot_carries_otherwise(reckoning: Reckoning) -> Iterator[Said]:
    """What a lot carries of the substance that its line counts is what was planned, within the accepted error; query.

    Source: own arithmetic; common practice, no source.
    """
    for record in reckoning.book.batches.values():
        accepted = reckoning.book.workroom.accepted_error.share
        for held in contents_of(reckoning, record):
            weighed, planned, instead = known(held.weighed), known(held.planned), known(held.instead)
            if planned is None or weighed is None or instead is None or explained(record):
                continue
            if abs(weighed - instead) <= accepted * instead:
                continue
            told = says(
                "lot-carries-otherwise",
                lot=held.lot,
                substance=held.substance,
                actual=held.actual,
                nominal=held.nominal,
                instead=instead,
                planned=planned,
                weighed=weighed,
            )
            yield _said(record, held.line.amount_place, told)


def bench_line_unwritten(reckoning: Reckoning) -> Iterator[Said]:
    """Each line of the formula is written as weighed where its issue is the present one or kept, or the notes say why
    not; query, once a record.

    What goes in by way of a stock, or diluted first, is easily left out, and its lot is not found again then.  What is
    added until something is reached may not have been needed.

    Source: common practice, no source.
    """
    book = reckoning.book
    for record in book.batches.values():
        figures = figures_of(reckoning, record)
        if figures is None or record.of is None or record.of.issue != figures.formula.issue or explained(record):
            continue
        written = {book.key_of(line.material) for line in (*record.taken, *record.weighed, *record.planned)}
        if not record.weighed or "" in written or {"weighed", "weighed beforehand", "planned"} & set(record.unread):
            continue  # nothing is on record, or what is not understood may be it
        lines = figures.amounts.lines
        left = {
            line.name: None for line in lines if line.key not in written and not isinstance(line.line.amount, Adjust)
        }
        if left:
            told = says(
                "bench-line-unwritten",
                names=tuple(left),
                count=len(left),
                issue=record.of.issue,
                code=figures.formula.code,
            )
            yield _said(record, record.places.get("weighed", Place(path=record.path)), told)


def weighed_off(reckoning: Reckoning) -> Iterator[Said]:
    """What was weighed is within the accepted error of what was planned, or the notes say why not; query.

    Source: T13-10 for 5 %; that a deviation is written down with its reason: University of Illinois, master
    formulations and compounding records.
    """
    accepted = reckoning.book.workroom.accepted_error.share
    for record in reckoning.book.batches.values():
        if explained(record):
            continue
        figures = figures_of(reckoning, record)
        own = {} if figures is None else {line.key: line.line.error for line in figures.amounts.lines}
        contents = {held.line.material for held in contents_of(reckoning, record)}
        for line in lines_of(reckoning, record):
            off, weighed, planned = known(line.deviation), known(line.weighed), known(line.planned)
            if off is None or weighed is None or planned is None or line.name in contents:
                continue
            error = own.get(line.key)
            if abs(off) <= (accepted if error is None else error.share):
                continue
            if weighed >= planned * FAR_OFF or weighed * FAR_OFF <= planned:
                continue  # that is asked as a slip of the pen
            told = says(
                "weighed-more" if off > 0 else "weighed-less",
                weighed=weighed,
                name=line.name,
                planned=planned,
                share=abs(off),
            )
            yield _said(record, line.first.amount_place, told)


def batch_caustic(reckoning: Reckoning) -> Iterator[Said]:
    """No more lye was weighed than the fats that were weighed are sure to take up, or the batch was discarded or
    reworked; query, whatever the notes say.

    Source: as `caustic_soap`.
    """
    for record in reckoning.book.batches.values():
        found = None if record.outcome in _NOT_USED else lye_weighed(reckoning, record)
        if found is not None and found.beyond > 0:
            told = says("batch-caustic", lye=found.line.material, share=found.beyond)
            yield _said(record, found.line.amount_place, told)


def yield_off(reckoning: Reckoning) -> Iterator[Said]:
    """From 90 to 110 % of what was to come out did so, or the notes say why not; query, with the loss that explains it.

    Pieces made in addition need not come out: they are there for what breaks.

    Source: T13-09, from memory; that a yield outside what is expected is explained: common practice, no source.
    """
    low, high = YIELD_SEEN
    for record in reckoning.book.batches.values():
        if record.came_out is None or explained(record):
            continue
        came = yielded(reckoning, record, lines_of(reckoning, record))
        of_plan, out, planned = known(came.of_plan), known(came.out), known(came.planned)
        asked = record.obtain
        least = low if asked is None or not asked.pieces else low * (asked.pieces - asked.spare) / asked.pieces
        if of_plan is None or out is None or planned is None or least <= of_plan <= high:
            continue
        figures = figures_of(reckoning, record)
        each = None if figures is None or figures.pieces is None else known(figures.pieces.grams)
        if record.came_out.form is not None and each:
            told = says("pieces-off", out=record.came_out.text, planned=int(planned / each), share=of_plan)
            yield _said(record, record.places["came out"], told)
            continue
        told = says("yield-off", out=out, planned=planned, share=of_plan, loss=_loss(came.loss, came.of_what_went_in))
        yield _said(record, record.places["came out"], told)


def pieces_too_light(reckoning: Reckoning) -> Iterator[Said]:
    """No more pieces come out than what was weighed in makes, by more than the accepted error, as each would hold so
    much less than is written; or the notes say why, or they were not used; query.

    Source: conservation of mass.
    """
    accepted = reckoning.book.workroom.accepted_error.share
    for number, record in reckoning.book.batches.items():
        counted = record.came_out is not None and record.came_out.form is not None
        if not counted or explained(record) or record.outcome in _NOT_USED:
            continue
        weighed = out_and_in(reckoning, number, record)
        if record.came_out is not None and weighed is not None and weighed[0] > weighed[1] * (1 + accepted):
            told = says("pieces-too-light", out=record.came_out.text, grams=weighed[0], went_in=weighed[1])
            yield _said(record, record.places["came out"], told)


def _loss(loss: Loss | None, share: object) -> Saying | None:
    """Return what explains the yield, as a clause behind the sentence's figures."""
    if loss is None or not isinstance(share, Fraction):
        return None
    match loss:
        case Loss.NONE:
            return says("loss-none", share=share)
        case Loss.YIELD:
            return says("loss-of-yield", share=share)
        case Loss.EVAPORATION:
            return says("loss-of-evaporation", share=share)
        case Loss.BOTH:
            return says("loss-of-both", share=share)
        case Loss.OTHER:
            return says("loss-other", share=share)


def ph_off(reckoning: Reckoning) -> Iterator[Said]:
    """The pH that was measured is within what the formula expects, or the notes say what was done; query.

    Source: common practice, no source.
    """
    for record in reckoning.book.batches.values():
        figures = figures_of(reckoning, record)
        if figures is None or record.ph is None or explained(record) or ph_within(reckoning, record) is not False:
            continue
        expected = figures.formula.ph
        assert expected is not None, "without an expected pH nothing is within or beyond it"
        told = says("ph-off", ph=record.ph.text, low=expected.low.text, high=expected.high.text)
        if expected.low == expected.high:
            told = says("ph-off-one", ph=record.ph.text, expected=expected.low.text)
        yield _said(record, record.places["pH"], told)
