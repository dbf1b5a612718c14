"""Findings and batches as text for the terminal, for a practitioner to read."""

from __future__ import annotations

from collections.abc import Sequence

from ..findings import Finding, Missing, Severity
from ..model import Book, Formula, Known, Obtain
from ..reckon.figures import Reckoning
from ..reckon.weighing import Weighing
from ..review import Review
from ..show import Signs, off, percent, plain, signs_of, weight, with_unit, written
from .machine import line_shown, written_of


def findings_text(findings: Sequence[Finding]) -> str:
    """Return findings file by file: severity and sentence, then the place below it; errors, queries, notes."""
    rows = []
    for severity in Severity:
        for one in findings:
            if one.severity is severity:
                rows.append(f"{one.severity.value:5}  {one.message}\n       {one.place}  ({one.rule})")
    return "\n".join(rows)


def summary(book: Book, review: Review) -> str:
    """Return one line that counts: formulas, materials, errors, queries, notes."""
    counts = {severity: sum(one.severity is severity for one in review.findings) for severity in Severity}
    found = ", ".join(
        f"{count} {severity.value if count == 1 else _MANY[severity]}" for severity, count in counts.items() if count
    )
    barred = f"; {len(review.barred)} of the formulas barred" if review.barred else ""
    return f"{len(book.formulas)} formulas, {len(book.materials)} materials: {found or 'nothing to say'}{barred}."


_MANY = {Severity.ERROR: "errors", Severity.QUERY: "queries", Severity.NOTE: "notes"}


def refusal_text(formula: Formula, reason: str, findings: Sequence[Finding]) -> str:
    """Return why a batch is refused, with the findings that bar it."""
    text = f"{formula.code}  {formula.title}: {reason}"
    return f"{text}\n{findings_text(findings)}" if findings else text


def weighing_text(weighing: Weighing, reckoning: Reckoning, findings: Sequence[Finding]) -> str:
    """Return one batch as a table of plain text."""
    signs = signs_of(weighing.workroom)
    formula, evaluation = weighing.formula, weighing.evaluation
    makes = weighing.figures.amounts.makes
    batch = with_unit(plain(evaluation.obtain, signs), makes.unit)
    start = _known(evaluation.start, makes.unit, signs)
    lines = [
        f"{formula.code}  {formula.title}  ·  issue {formula.issue}"
        + ("" if formula.status.value == "approved" else f"  ·  {formula.status.value.upper()}"),
        f"To obtain {_asked(weighing.obtain, batch)}  ·  weigh in all {start}",
        "",
    ]
    for hazard in hazards(weighing, reckoning):
        lines.append(f"HAZARD  {hazard}")
    for made in weighing.make_first:
        code, title = weighing.titles[made.key]
        lines.append(
            f"MAKE FIRST  {code}  {title}: obtain {_known(made.obtain_g, 'g', signs)},"
            f" weigh in {_known(made.start_g, 'g', signs) if not isinstance(made.start_g, Missing) else _known(made.start_ml, 'mL', signs)}"
        )
    if lines[-1]:
        lines.append("")
    lines += _table(weighing, signs, batch)
    lines.append("")
    if isinstance(evaluation.printed_total, Missing):
        lines.append(f"Printed total: not known ({evaluation.printed_total.reason})")
    else:
        step = min((one.step for one in evaluation.lines if one.step), default=None)
        lines.append(f"Printed total {weight(evaluation.printed_total, step, signs)}")
    if weighing.containers_full is not None:
        lines.append(f"Fills {weighing.containers_full} containers")
    storage = formula.storage
    place = f"{storage.place.value}, " if storage and storage.place else ""
    if isinstance(weighing.use_by, Missing):
        lines.append(f"Keep: {place}use-by not known ({weighing.use_by.reason})")
    else:
        lines.append(f"Keep: {place}use by {weighing.use_by} ({weighing.use_by_reason})")
    if findings:
        lines += ["", findings_text(findings)]
    return "\n".join(lines) + "\n"


def hazards(weighing: Weighing, reckoning: Reckoning) -> tuple[str, ...]:
    """Return the hazards of the formula and of everything handled on the way, each once."""
    found = dict.fromkeys(weighing.formula.hazards)
    for key in sorted(weighing.figures.composition.handled):
        material = reckoning.book.materials[key]
        found.update(dict.fromkeys(f"{material.name}: {one}" for one in material.hazards))
    return tuple(found)


def _asked(obtain: Obtain | None, batch: str) -> str:
    return f"{obtain.text} = {batch}" if obtain and (obtain.containers or obtain.stock) else batch


def _known(known: Known, unit: str, signs: Signs) -> str:
    return f"not known ({known.reason})" if isinstance(known, Missing) else with_unit(plain(known, signs), unit)


def _table(weighing: Weighing, signs: Signs, batch: str) -> list[str]:
    rows: list[tuple[str, ...]] = []
    heads: dict[int, str] = {}
    lines = weighing.figures.amounts.lines
    for phase in weighing.formula.ingredients:
        if phase.letter:
            heads[len(rows)] = phase.letter + (f", {phase.instruction}" if phase.instruction else "")
        for _ in phase.lines:
            figure = lines[len(rows)]
            taken = weighing.evaluation.lines[figure.index]
            share = (
                ""
                if isinstance(figure.percent, Missing)
                else f"{percent(figure.percent, signs)} {figure.percent_of.value}"
            )
            error = "" if taken.drop_error is None else f", {off(taken.drop_error, signs)}"
            portions = f", in {taken.portions} portions" if taken.portions > 1 else ""
            way = f"{taken.with_}{portions}{error}"
            if taken.drops is not None and not isinstance(taken.metered, Missing):
                way = f"{weight(taken.metered, taken.step, signs)}, {way}"
            if taken.next_batch is not None:
                unit = weighing.figures.amounts.makes.unit
                way = f"{with_unit(plain(taken.next_batch, signs), unit)}: {taken.next_way}"
            if figure.line.removed:
                way = f"{way}, {figure.line.removed.value}".lstrip(", ")
            rows.append(
                (figure.line.material, figure.name, written(written_of(figure.line), signs), share,
                 line_shown(figure, taken, signs, batch), way)
            )  # fmt: skip
    widths = [max((len(row[column]) for row in rows), default=0) for column in range(6)]
    out = []
    for number, row in enumerate(rows):
        if number in heads:
            out.append(heads[number])
        cells = [
            cell.rjust(width) if column in (2, 3, 4) else cell.ljust(width)
            for column, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        out.append(("  " + "  ".join(cells)).rstrip())
    return out
