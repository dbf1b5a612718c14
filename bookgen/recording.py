"""A batch is put on record: the text of it from what was planned and typed, checked, then written as a new file.

Enters: a checked book and the words typed, or the text that the bench page hands over.  Leaves: `OnRecord`, or
`NotRecorded` with a sentence and the findings.  Nothing that stands is written over: a second batch of a day gets a
number of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from string import ascii_lowercase

from .bench import weigh_batch
from .findings import Finding, Severity
from .fraction import Fraction
from .model import BatchRecord, Book, Formula
from .pipeline import Checked, check_book, check_with
from .reckon.batchline import Aliquot, BatchLine, ByVolume, Counted, OnlyCounted, Weighed
from .reckon.weighing import Weighing
from .show import Signs, metered, plain, signs_of, with_ordinary_spaces
from .source.batches import split_lot, split_number
from .source.book import BATCHES, book_from
from .source.record_text import WrittenLine, WrittenRecord, numbered, record_text
from .source.writing import AlreadyThere, only_writer, write_new
from .wording.saying import Saying, says

AS_WRITTEN = "1 x"
"""What was to come out where nothing was asked for: the batch as written."""
KEYS = ("came out", "pH", "filled", "kept sample", "outcome", "next time")
"""What is asked of a batch beside its lines, in the order of asking."""


class NotRecorded(Exception):
    """Nothing was written; the text is a sentence for the user."""

    def __init__(self, told: Saying, findings: tuple[Finding, ...] = ()) -> None:
        super().__init__(str(told))
        self.says = told
        self.findings = findings


def batch_record(
    formula: Formula,
    made: date,
    obtain: str | None,
    planned: Sequence[WrittenLine],
    weighed: Sequence[WrittenLine],
    more: Mapping[str, str],
    notes: str = "",
    beforehand: Sequence[WrittenLine] = (),
) -> WrittenRecord:
    """Return the record of a batch; `more` is key → what was typed for it."""
    return WrittenRecord(
        of=f"{formula.code}, issue {formula.issue}",
        made=made.isoformat(),
        obtain=obtain or AS_WRITTEN,
        planned=tuple(planned),
        weighed=tuple(weighed),
        beforehand=tuple(beforehand),
        more=more,
        notes=notes,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class OnRecord:
    """A batch that was put on record."""

    number: str
    """Its batch number."""
    path: str
    """Its file, relative to the book's folder."""
    findings: tuple[Finding, ...]
    """What is asked of it; none is an error."""
    renumbered: str = ""
    """The number that the text bore, where another record has it."""


# ── What was planned ──────────────────────────────────────────────────────────────────────────────────────────────


def planned_batch(checked: Checked, code: str, obtain: str | None, today: date) -> Weighing:
    """Return the batch as `weigh` gives it.  Raises Unknown and Refused, as that does."""
    return weigh_batch(checked, code, obtain, today)


def planned_lines(weighing: Weighing) -> tuple[WrittenLine, ...]:
    """Return what is to be weighed of each line, as printed: weights with the digits of the balance, drops counted.

    Of what is thinned it is so much of its stock; diluted ethanol is two lines.  What is not known is left out.
    """
    signs = signs_of(weighing.workroom)
    return tuple(line for batch_line in weighing.evaluation.lines for line in _planned(batch_line, weighing, signs))


def planned_beforehand(weighing: Weighing) -> tuple[WrittenLine, ...]:
    """Return what is to be weighed for the stocks that lines are taken from: of each the material, and what thins it
    in all."""
    lines, signs = weighing.evaluation.lines, signs_of(weighing.workroom)
    found = []
    for line in lines:
        if not isinstance(line.metered, Aliquot):
            continue
        plan, thinner = line.metered.plan, lines[line.metered.diluent].written.material
        for name, grams in (
            (line.written.material, plan.stages[0].weigh_g),
            (thinner, sum((stage.diluent_g for stage in plan.stages), Fraction(0))),
        ):
            text = f"{metered(grams, plan.step, signs)} g"
            found.append(WrittenLine(material=name, phase=line.figure.phase, text=text))
    return tuple(found)


def _planned(line: BatchLine, weighing: Weighing, signs: Signs) -> Iterator[WrittenLine]:
    phase, name = line.figure.phase, line.written.material
    if line.blended is not None and line.step is not None:
        strong, water = line.figure.takes[0], line.figure.takes[-1]
        book = weighing.reckoning.book
        for (key, _), grams in ((strong, line.blended.strong_g), (water, line.blended.water_g)):
            material = name if key == strong[0] else book.materials[key].key
            yield WrittenLine(material=material, phase=phase, text=f"{metered(grams, line.step, signs)} g")
        return
    text = _amount(line, signs)
    if isinstance(line.metered, Aliquot):
        thinner = weighing.evaluation.lines[line.metered.diluent].written.material
        text += f"{_OF_STOCK}{line.metered.plan.factor} with {thinner}"
    if text:
        yield WrittenLine(material=name, phase=phase, text=with_ordinary_spaces(text))


_OF_STOCK = " of 1 in "
"""What parts the weight of a stock from how it was thinned."""


def thinned_as(typed: str, planned: str) -> str:
    """Return what was weighed of a stock, with how it was thinned as it was planned; anything else as it was typed.

    >>> thinned_as("1.02 g, lot T-1", "1.00 g of 1 in 20 with kaolin"), thinned_as("2 g", "2.00 g")
    ('1.02 g of 1 in 20 with kaolin, lot T-1', '2 g')
    """
    _, mark, thinned = planned.partition(_OF_STOCK)
    amount, lot = split_lot(typed)
    if not mark or _OF_STOCK in amount:
        return typed
    return f"{amount}{mark}{thinned}" + (f", lot {lot}" if lot else "")


def _amount(line: BatchLine, signs: Signs) -> str:
    """Return one amount in words that the format reads; empty where it is not known."""
    match line.metered:
        case Weighed(printed=grams) | Aliquot(printed=grams):
            return f"{metered(grams, line.step, signs)} g"
        case Counted(drops=drops, printed=grams):
            return f"{drops} drops ({metered(grams, line.step, signs)} g)"
        case OnlyCounted(drops=drops):
            return f"{drops} drops"
        case ByVolume():
            return f"{plain(line.ml, signs)} mL" if isinstance(line.ml, Fraction) else ""
        case _:
            return f"{plain(line.grams, signs)} g" if isinstance(line.grams, Fraction) and line.grams > 0 else ""


# ── What was typed ────────────────────────────────────────────────────────────────────────────────────────────────


def weighed_of(checked: Checked, typed: Sequence[str], planned: Sequence[WrittenLine]) -> tuple[WrittenLine, ...]:
    """Return what was weighed, from `glycerol-85: 25.2 g, lot GL-2211` each, in the order of the plan.

    An ingredient that stands in several phases is named with its letter: `water@A: 40 g`.  Raises NotRecorded.
    """
    book = checked.book
    found: list[tuple[int, WrittenLine]] = []
    for text in typed:
        name, colon, amount = text.partition(":")
        name, _, phase = name.strip().partition("@")
        if not colon or not name.strip() or not amount.strip():
            raise NotRecorded(says("weighed-how", text=text))
        key = book.key_of(name.strip())
        places = [
            number
            for number, line in enumerate(planned)
            if book.key_of(line.material) == key and (not phase or line.phase == phase.strip())
        ]
        if key and not phase and len({planned[number].phase for number in places}) > 1:
            letters = tuple(dict.fromkeys(planned[number].phase for number in places))
            raise NotRecorded(says("weighed-in-which", name=name.strip(), phases=letters, first=letters[0]))
        line = planned[places[0]] if key and places else None
        found.append(
            (
                places[0] if line is not None else len(planned),
                WrittenLine(
                    material=line.material if line is not None else name.strip(),
                    phase=line.phase if line is not None else phase.strip(),
                    text=amount.strip(),
                ),
            )
        )
    return tuple(line for _, line in sorted(found, key=lambda pair: pair[0]))


def complaints_about(checked: Checked, key: str, typed: str, material: str = "") -> tuple[Saying, ...]:
    """Return what is wrong with one answer: the value of a key, or what was weighed of a material."""
    day = date(2026, 1, 1).isoformat()
    weighed = (WrittenLine(material=material, text=typed),) if material else ()
    trial = WrittenRecord(
        of="X, issue 1", made=day, obtain="1 g", weighed=weighed, more={} if material else {key: typed}
    )
    number = f"X-{day}"
    files = {f"formulas/{BATCHES}/{number}.md": record_text(number, trial).encode()}
    files |= _workroom(checked.book)
    found = book_from(files).findings
    return tuple(f.says for f in found if f.place.path in files and f.place.path.endswith(".md"))


def _workroom(book: Book) -> dict[str, bytes]:
    return {book.workroom.path: f"decimal: {book.workroom.decimal}\n".encode()}


# ── On record ─────────────────────────────────────────────────────────────────────────────────────────────────────


def put_on_record(checked: Checked, formula: Formula, record: WrittenRecord) -> OnRecord:
    """Check a record and write it under the first free number of its day.

    Raises NotRecorded where it has an error, and CannotAdd where the disk refuses.
    """
    return _written(checked, _first_number(formula, record), lambda number: record_text(number, record))


def handed_over(formula: Formula, record: WrittenRecord) -> str:
    """Return a record as text that can be mended and handed over."""
    return record_text(_first_number(formula, record), record)


def _first_number(formula: Formula, record: WrittenRecord) -> str:
    return f"{formula.code}-{record.made}"


def put_text_on_record(checked: Checked, content: bytes) -> OnRecord:
    """Check a record that was handed over as text, and write it; where its number is taken, under the next of that day.

    Raises NotRecorded where it has an error or is on record already, and CannotAdd where the disk refuses.
    """
    trial = book_from({f"formulas/{BATCHES}/handed-over.md": content, **_workroom(checked.book)})
    given = next(iter(trial.batches.values()))
    parts = split_number(given.batch)
    if parts is None or "batch" in given.unread:
        raise NotRecorded(says("no-record-handed"), tuple(f for f in trial.findings if f.rule != "batch-name"))
    text = content.decode("utf-8-sig")
    return _written(checked, f"{parts.code}-{parts.day}", lambda number: numbered(text, number), given)


def _bare(record: BatchRecord) -> BatchRecord:
    """Return a record without its number and file: two that are alike then are one batch, handed over twice."""
    return replace(record, batch="", key="", path="")


def _written(checked: Checked, first: str, text_of: Callable[[str], str], given: BatchRecord | None = None) -> OnRecord:
    """Write the record under the number that it was given, or the first of its day that is free.

    From the check to the name on the disk no other run puts a batch on record: two together could take more of a lot
    than is there, though each alone does not.  `given` is a record that was handed over as text.
    """
    wanted = "" if given is None else given.batch
    numbers = [*([wanted] if wanted else []), first, *(f"{first}-{letter}" for letter in ascii_lowercase[1:])]
    folder = f"formulas/{BATCHES}"
    with only_writer(checked.root, folder) as taken:
        for number in (number for number in numbers if f"{number}.md".casefold() not in taken):
            path = f"{folder}/{number}.md"
            text = text_of(number)
            findings = _findings_of(checked, path, text, given)
            errors = tuple(finding for finding in findings if finding.severity is Severity.ERROR)
            if errors:
                raise NotRecorded(says("not-on-record", batch=number), errors)
            try:
                write_new(checked.root, {path: text})
            except AlreadyThere:  # put there by another hand
                continue
            renumbered = wanted if wanted != number else ""
            return OnRecord(number=number, path=path, findings=findings, renumbered=renumbered)
    raise NotRecorded(says("day-is-full", batch=first))


def _findings_of(checked: Checked, path: str, text: str, given: BatchRecord | None) -> tuple[Finding, ...]:
    """Return what the check has to say of the book with the record in it, and has not without.

    Raises NotRecorded where the record that was given is on record already.
    """
    after = check_with(checked.root, {path: text.encode()})
    others = {key: record for key, record in after.book.batches.items() if record.path != path}
    twin = next((record.key for record in others.values() if given and _bare(record) == _bare(given)), "")
    if twin:
        raise NotRecorded(says("on-record-already", batch=twin))
    if others != checked.book.batches:  # another run was faster
        checked = check_book(checked.root, filed=False)
    before = set(checked.review.findings)
    return tuple(finding for finding in after.review.findings if finding not in before)
