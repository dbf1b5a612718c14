"""What is asked of a checked book for a label: the batch, planned or made, the sheet, and whether there is one at all.

Enters: a checked book and the words typed.  Leaves: a batch with what is asked of its label, or `NoLabel`, `Unknown`
and `Refused` with a sentence for the user.
"""

from __future__ import annotations

from dataclasses import replace

from .bench import Unknown, formula_key, refused_batch, sound_formula
from .findings import Missing, Severity
from .fraction import Fraction
from .model import LabelSheet, Period
from .pipeline import Checked
from .reckon.counted import in_unit_of
from .reckon.labelled import LabelWish, filled_in, left_of, why_no_label, why_no_label_of_batch
from .reckon.made import result_of
from .reckon.weighing import Weighing, weigh
from .show import Signs, signs_of
from .source import read_container, read_period, read_size
from .units import Complaint
from .wording.saying import Saying, says


class NoLabel(Exception):
    """No label is printed; the text says why."""

    def __init__(self, weighing: Weighing, why: Saying) -> None:
        told = says("no-label", code=weighing.formula.code, title=weighing.formula.title, why=why)
        super().__init__(told.words(signs_of(weighing.workroom)))


def may_have_label(checked: Checked, weighing: Weighing, wish: LabelWish) -> None:
    """Raise NoLabel where no label is printed for a batch."""
    why = why_no_label(weighing, wish, checked.book.workroom.responsible)
    if why is not None:
        raise NoLabel(weighing, why)


def batch_for_label(checked: Checked, code: str, wish: LabelWish, into: str | None) -> tuple[Weighing, LabelWish, int]:
    """Return a batch that was made, as it is labelled, what is asked of its label, and how many were filled.

    Its use-by is that of its record, by the lots that went in.  Raises Unknown, Refused and NoLabel.
    """
    book, record = checked.book, checked.book.batches[code.casefold()]
    signs, content = signs_of(book.workroom), None if into is None else read_container(into, book.workroom.decimal)
    if isinstance(content, Complaint):
        raise Unknown(says("into", says=content.says), signs)
    key = formula_key(book, record.of.code if record.of is not None else record.key)
    formula = sound_formula(checked, key)
    filling, why = filled_in(record, content, formula)
    if why is not None:
        raise Unknown(why, signs)
    made = wish.today if record.made is None else record.made.on
    weighing = weigh(
        checked.reckoning, key, obtain=record.obtain, today=made, into=filling.each if filling is not None else content
    )
    if isinstance(weighing, Missing):
        raise refused_batch(checked, key, weighing.says)
    if any(
        (finding.severity is Severity.ERROR or finding.rule == "batch-caustic") and finding.place.path == record.path
        for finding in checked.review.findings
    ):
        raise NoLabel(weighing, says("label-record-wrong", path=record.path))
    result = result_of(checked.reckoning, code.casefold())
    wish = replace(wish, made=made, batch=record.batch, left=left_of(record, formula))
    why = why_no_label_of_batch(record, formula.issue, wish)
    if why is not None:
        raise NoLabel(weighing, why)
    weighing = replace(weighing, use_by=result.use_by, use_by_why=result.use_by_why)
    return weighing, wish, filling.count if filling is not None else _full(weighing, wish, signs)


def _full(weighing: Weighing, wish: LabelWish, signs: Signs) -> int:
    """Return how many containers of a batch on record are full, where it does not say what was filled; one where all
    of it is in one.  Raises Unknown where what came out fills none."""
    each, left = weighing.container, wish.left
    if each is None:
        return 1
    content = None if left is None else in_unit_of(weighing.figures, left, each.unit)
    if left is None or not isinstance(content, Fraction):
        return full_of_plan(weighing)
    full = int(content // each.value)
    if not full:
        raise Unknown(says("label-none-full", size=each.text, left=left.value, unit=left.unit), signs)
    return full


def full_of_plan(weighing: Weighing) -> int:
    """Return how many containers a planned batch fills; one where all of it is in one.  Raises Unknown where it fills
    none."""
    if weighing.container is not None and not weighing.containers_full:
        asked, unit, signs = weighing.evaluation.obtain, weighing.figures.scale.unit, signs_of(weighing.workroom)
        raise Unknown(says("label-none-to-fill", size=weighing.container.text, left=asked, unit=unit), signs)
    return weighing.containers_full or 1


def label_sheet(checked: Checked, size: str | None, first: int) -> LabelSheet | tuple[Fraction, Fraction]:
    """Return the workroom's sheet of labels, or width and height (mm) of the one label that is asked for.

    `first` is the field to begin at.  Raises Unknown.
    """
    room = checked.book.workroom
    if size is not None:
        sides = read_size(size, room.decimal)
        if isinstance(sides, Complaint):
            raise Unknown(sides.says, signs_of(room))
        if first != 1:
            raise Unknown(says("label-field", field=first, fields=1))
        return sides
    if room.label_sheet is None:
        raise Unknown(says("label-no-sheet"))
    fields = room.label_sheet.across * room.label_sheet.down
    if first > fields:
        raise Unknown(says("label-field", field=first, fields=fields))
    return room.label_sheet


def after_opening(text: str | None) -> Period | None:
    """Return how long something keeps once it is open; None where nothing is said.  Raises Unknown."""
    read = None if text is None else read_period(text, False)
    if isinstance(read, Complaint):
        raise Unknown(says("after-opening", says=read.says))
    return read
