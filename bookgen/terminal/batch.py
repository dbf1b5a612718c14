"""Findings and batches as text for the terminal, for a practitioner to read at the bench.

The same shown records as the page of a formula, set in plain columns; nothing is worded twice.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from .. import show
from ..findings import Finding, Missing, Severity
from ..fraction import Fraction
from ..model import Status
from ..reckon.figures import Reckoning
from ..reckon.from_shelf import Proposal
from ..reckon.weighing import MakeFirst, Weighing
from ..review import Review
from ..shown.cautions import cautions_of, handled_in_order, hazards_of
from ..shown.findings import findings_words, judged_words
from ..shown.formula import keep_in
from ..shown.from_shelf import content_words, first_words, lots_words
from ..shown.head import capsule_fact, dose_fact, first_facts, piece_fact, start_facts
from ..shown.held import held_words
from ..shown.label import content_told
from ..shown.plain import figure_text, in_one_line
from ..shown.records import Caution, Cell, Fact, LineShown, TableShown
from ..shown.shelf import LAW_SHORT, Shelf, shelf_of
from ..shown.table import balance_words, table_of
from ..wording.saying import Saying
from .columns import WIDEST, side_by_side, wrapped
from .supplies import supply_sentences

# ── Findings ──────────────────────────────────────────────────────────────────────────────────────────────────────


def findings_text(findings: Sequence[Finding], width: int = WIDEST) -> str:
    """Return errors, then queries, then notes: the sentence, and below it the place and the rule."""
    rows: list[str] = []
    for severity in Severity:
        for finding in findings:
            if finding.severity is severity:
                rows += wrapped(f"{severity.value:5}  {finding.message}", 7, width)
                rows.append(f"       {finding.place}  ({finding.rule})")
    return "\n".join(rows)


def summary(reckoning: Reckoning, review: Review, width: int = WIDEST) -> str:
    """Return how many formulas, materials, errors, queries and notes there are, and how many formulas are barred.

    Without findings it says what was judged and what was not.  Law and licensed practice come last.
    """
    book = reckoning.book
    barred = f"; {len(review.barred)} of the formulas barred" if review.barred else ""
    formulas, materials = show.counted(len(book.formulas), "formula"), show.counted(len(book.materials), "material")
    found = findings_words(review.findings)
    told = f"{found}{barred}." if found else f"no findings in {judged_words(reckoning)}"
    return "\n".join([*wrapped(f"{formulas}, {materials}: {told}", 0, width), *wrapped(LAW_SHORT, 0, width)])


def refusal_text(told: Saying, findings: Sequence[Finding], signs: show.Signs, width: int = WIDEST) -> str:
    """Return the sentence that a batch is refused, and below it the findings that stand in a file."""
    written = [finding for finding in findings if finding.place.path]
    text = told.words(signs)
    return f"{text}\n{findings_text(written, width)}" if written else text


# ── One batch ─────────────────────────────────────────────────────────────────────────────────────────────────────


def weighing_text(
    weighing: Weighing, reckoning: Reckoning, review: Review, findings: Sequence[Finding], width: int = WIDEST
) -> str:
    """Return one batch: heading, hazards, what is made first, the table, total, use-by, cautions, findings.

    `width` is the terminal's, in columns.
    """
    shelf = shelf_of(reckoning, review)
    table = table_of(weighing.figures, weighing, shelf)
    handled = handled_in_order(weighing.figures, shelf)
    parts = [
        _heading(weighing, shelf.signs, width),
        _told("Hazard", hazards_of(weighing.figures, shelf, handled), width),
        _first(weighing, shelf, width),
        _table(table, weighing, shelf.signs, width),
        wrapped(in_one_line(table.verdict), 2, width),
        _keeping(weighing, shelf, width),
        _told("Caution", cautions_of(weighing.figures, shelf, handled), width),
    ]
    if findings:
        parts.append(findings_text(findings, width).split("\n"))
    parts.append(wrapped(LAW_SHORT, 0, width))
    return "\n\n".join("\n".join(lines) for lines in parts if lines) + "\n"


def _heading(weighing: Weighing, signs: show.Signs, width: int) -> list[str]:
    formula, evaluation, asked = weighing.formula, weighing.evaluation, weighing.obtain
    unit, step, pieces = weighing.figures.scale.unit, evaluation.read_step, weighing.figures.pieces
    stamp = "" if formula.status is Status.APPROVED else f"  ·  {formula.status.value.upper()}"
    batch = show.with_unit(show.batch(evaluation.obtain, unit, step, signs), unit)
    if asked is not None and (asked.containers or asked.supplies or asked.times or asked.pieces):
        batch = f"{show.written(asked.text, signs)} = {batch}"
    elif asked is not None:
        batch = show.written(asked.text, signs)
    elif pieces is not None and isinstance(number := pieces.whole_in(weighing.obtain_g), int):
        batch = f"{number} {pieces.form.value} = {batch}"
    start = ", ".join(fact_words(fact) for fact in start_facts(weighing, signs))
    lines = [
        f"{formula.code}  {formula.title}  ·  issue {formula.issue}{stamp}",
        *wrapped(f"To obtain {batch}  ·  {start}", 2, width),
    ]
    if pieces is not None:
        lines += wrapped(fact_text(piece_fact(pieces, signs)), 2, width)
    if weighing.figures.capsule is not None:
        lines += wrapped(fact_text(capsule_fact(weighing.figures.capsule, signs)), 2, width)
    if weighing.figures.dose is not None:
        lines += wrapped(fact_text(dose_fact(weighing.figures.dose, signs)), 2, width)
    if weighing.container is not None and weighing.containers_full is not None:
        full = show.counted(weighing.containers_full, "container")
        left, each = "", held_words(weighing.container, signs)
        if isinstance(weighing.left_over, Fraction) and weighing.left_over:
            left = f", {show.weight(weighing.left_over, step, signs)} left over"
        lines.append(f"Fills {full} of {each}{left}")
        lines += wrapped(content_told(weighing.figures, weighing.container, signs), 2, width)
    for sentence in supply_sentences(weighing.supplies, signs):
        lines += wrapped(sentence, 2, width)
    return lines


def _told(kind: str, cautions: Sequence[Caution], width: int) -> list[str]:
    """Return hazards or cautions, each headed by what it is, and by what it is said of."""
    lines: list[str] = []
    for caution in cautions:
        of = f"{caution.who}: " if caution.who else ""
        lines += wrapped(f"{kind}  {of}{caution.text}", len(kind) + 2, width)
    return lines


def _first(weighing: Weighing, shelf: Shelf, width: int) -> list[str]:
    """Return what is made first, in the order of work: what others are made of comes before them."""
    lines: list[str] = []
    for made in reversed(weighing.make_first):
        code, title = weighing.titles[made.key]
        there = weighing.from_shelf.first.get(made.key) if weighing.from_shelf else None
        instead = f"; {first_words(there, shelf.signs)}" if there else ""
        lines += wrapped(f"Make first  {code} {title}: {made_words(made, shelf.signs)}{instead}", 12, width)
    return lines


def made_words(made: MakeFirst, signs: show.Signs, mark: str = ";") -> str:
    """Return how much of an intermediate is made: to obtain, and what goes in; `mark` stands between the two."""
    obtain, start = first_facts(made, signs)
    if not obtain.figures:
        return fact_words(obtain)
    balance = f" on the {balance_words(made.with_)}" if made.with_ and isinstance(made.obtain_g, Fraction) else ""
    return f"{fact_words(obtain)}{balance}{mark} {fact_words(start)}"


def fact_words(fact: Fact) -> str:
    """Return a fact as it stands in a sentence: `weigh in all 221.05 g (without what is taken out again)`."""
    text = fact_text(fact)
    return text[0].lower() + text[1:]


def fact_text(fact: Fact) -> str:
    """Return a fact as it stands by itself: `One capsule 0.300 g with 0.250 g of zinc oxide`."""
    figures = map(figure_text, fact.figures)
    note = f"({in_one_line(fact.note)})" if fact.note else ""
    return " ".join(part for part in (fact.term, *figures, in_one_line(fact.text), note) if part)


def _keeping(weighing: Weighing, shelf: Shelf, width: int) -> list[str]:
    place = keep_in(weighing.figures)
    where = f"Keep in {place}. " if place else ""
    if isinstance(weighing.use_by, Missing):
        return wrapped(f"{where}Use by: not known: {weighing.use_by.says.words(shelf.signs)}.", 2, width)
    reason = show.written(str(weighing.use_by_why), shelf.signs)
    return wrapped(f"{where}Use up to and including {show.day(weighing.use_by)} ({reason}).", 2, width)


# ── The table ─────────────────────────────────────────────────────────────────────────────────────────────────────


def _table(table: TableShown, weighing: Weighing, signs: show.Signs, width: int) -> list[str]:
    """Return the lines by phase in columns, the total below their weights, processing aids apart."""
    printed_total = weighing.evaluation.printed_total
    lots = weighing.from_shelf.lines if weighing.from_shelf else {}
    grams = ("mL", "g") if table.has_ml else ("g",)
    head = ("", "", "as written", table.percent_head, *grams, "measured")
    rows: list[tuple[str, ...] | str] = [head]
    for phase in table.phases:
        if phase.letter:
            rows.append(phase.letter + (f", {phase.instruction}" if phase.instruction else ""))
        for row in phase.rows:
            rows += _lines(row, table, width)
            rows += _lots(lots.get(row.index, ()), signs, width)
    if isinstance(printed_total, Missing):
        rows.append(f"  No printed total: {printed_total.says.words(signs)}")
    else:
        why = f", {in_one_line(table.total_why)}" if table.total_why else ""
        total = ["", "", "", _cell(table.percent_total), *[""] * (len(grams) - 1), _cell(table.total)]
        rows.append((*total, f"printed total{why}"))
    if table.aids:
        rows.append("Processing aids, taken out again")
        for row in table.aids:
            rows += _lines(row, table, width)
            rows += _lots(lots.get(row.index, ()), signs, width)
    return side_by_side(rows, {0, 1, len(head) - 1})


def _lines(row: LineShown, table: TableShown, width: int) -> Iterable[tuple[str, ...] | str]:
    """Return one line of the table and the remarks below it."""
    grams = _cell(row.grams)
    name = f"{row.link.code} {row.link.words}" if row.link.code else row.link.words
    yield (
        name,
        row.function,
        row.written,
        _cell(row.percent),
        *((_cell(row.ml), grams) if table.has_ml else (grams,)),
        _measured(row),
    )
    if row.plan:
        yield from wrapped("      " + in_one_line(row.plan.summary), 6, width)
        for number, step in enumerate(row.plan.steps, 1):
            yield from wrapped(f"      {number}. {in_one_line(step)}", 9, width)
        closing = " ".join(
            in_one_line(sentence) for sentence in (row.plan.error, row.plan.left, row.plan.direct) if sentence
        )
        yield from wrapped(f"      {closing}", 6, width)
    for note in row.notes:
        yield from wrapped("      " + (note if isinstance(note, str) else in_one_line(note)), 6, width)


def _lots(proposals: Sequence[Proposal], signs: show.Signs, width: int) -> Iterable[str]:
    """Return the lots that a line is taken of, first expiring first."""
    for proposal in proposals:
        for words in (lots_words(proposal, signs), *content_words(proposal, signs)):
            yield from wrapped("      " + words, 6, width)


def _measured(row: LineShown) -> str:
    """Return how a line is measured: `8 drops, glass pipette, 2.4 % over`."""
    return ", ".join(in_one_line(part.words) for part in row.measured)


def _cell(cell: Cell) -> str:
    """Return a cell as text, padded so that decimal signs stand below each other."""
    if cell.figure is None:
        return cell.word
    basis = f" {cell.basis}" if cell.basis else ""
    about = show.ABOUT if cell.figure.about else ""
    text = f"({cell.figure.text})" if cell.figure.unshown else cell.figure.text
    return f"{about}{text}{cell.pad}{basis}"
