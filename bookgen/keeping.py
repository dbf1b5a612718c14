"""A trial kept: it becomes the next issue of its base, whose present file is kept as an earlier issue.

Enters: a checked book and the words typed.  Leaves: what was written.  Three files change as one, or none does.
"""

from __future__ import annotations

import os
from collections import Counter
from dataclasses import dataclass, replace
from datetime import date

from .beginning import Declined
from .bench import formula_key
from .findings import Finding, Severity
from .issuing import LONGEST_CHANGE, content_of, must_be_as_filed, must_follow
from .model import Book, DecimalSign, Formula, Line
from .pipeline import Checked, check_with
from .show import listing
from .source.amounts import tidy
from .source.book import front_alone
from .source.earlier import next_issue, path_of_earlier
from .source.keeping import TAKEN_SECTIONS, FrontRows, rows_of_file, text_of, with_note, with_trial
from .source.writing import AlreadyThere, FileChange, write_changes
from .wording.saying import Saying, says


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptTrial:
    """A trial that was kept."""

    path: str
    """The base's file, relative to the book's folder."""
    code: str
    """Its code."""
    issue: int
    """Its new issue."""
    change: str
    """What stands under `changes:`."""
    earlier: str
    """Where the issue before is kept."""
    trial: str
    """The trial's file."""
    stays: tuple[str, ...]
    """Sections of the trial that stay in its own file alone, by their headings."""
    follow: tuple[str, ...]
    """Codes of other trials of the base, which follow it to the new issue."""
    behind: tuple[str, ...]
    """Codes of trials of this trial, which stay with it as it was tried."""
    outdated: str
    """The day on which the trial was made last, where that was before the issue it is based on; else empty."""


def keep_trial(checked: Checked, code: str, words: str, on: date) -> KeptTrial:
    """Make a trial the next issue of its base.  Raises Unknown, Declined where something would be lost, CannotAdd and
    ChangedMeanwhile."""
    book, root = checked.book, checked.root
    key = formula_key(book, code)
    trial = book.formulas[key]
    base_key = _base_of(checked, key)
    base = book.formulas[base_key]
    must_follow(base, on)
    contents = {path: content_of(root, path) for path in (base.path, trial.path)}
    sheets = [_sheet(formula, contents[formula.path], book) for formula in (base, trial)]

    def same(name: str) -> str:
        return book.key_of(name) or name.casefold()

    number = base.issue + 1
    text = with_trial(sheets[0], sheets[1], trial, same)
    if text is None:
        raise Declined(says("keep-by-hand", path=base.path, code=trial.code))
    if text == contents[base.path]:
        raise Declined(says("keep-nothing", code=trial.code, base=base.code))
    change = _change(trial.code, words, list(sheets[1].formula.lines))
    comma = book.workroom.decimal is DecimalSign.COMMA
    after = next_issue(text, base.path, change, on.isoformat(), comma=comma)
    if isinstance(after, Saying):
        raise Declined(after)
    note = with_note(sheets[1], base.code, base.issue, number)
    if note is None:
        raise Declined(says("keep-by-hand", path=trial.path, code=trial.code))
    earlier = path_of_earlier(base.code, base.issue)
    changes = [
        FileChange(earlier, None, contents[base.path]),
        FileChange(base.path, contents[base.path], after),
        FileChange(trial.path, contents[trial.path], note),
    ]
    if os.path.lexists(root / earlier):
        if content_of(root, earlier) != contents[base.path]:
            raise AlreadyThere(says("issue-kept-other", path=earlier))
        changes.pop(0)  # left by a run of `issue` that was ended
    _must_be_as_tried(checked, key, base_key, {earlier: contents[base.path], base.path: after, trial.path: note})
    write_changes(root, changes)
    others = [
        (other.code, book.key_of(other.based_on))
        for other in book.formulas.values()
        if other is not trial and other.based_on and "@" not in other.based_on
    ]
    return KeptTrial(
        path=base.path,
        code=base.code,
        issue=number,
        change=change,
        earlier=earlier,
        trial=trial.path,
        stays=tuple(
            section.title
            for section in trial.body.sections
            if section.place.path == trial.path and section.title and section.title.casefold() not in TAKEN_SECTIONS
        ),
        outdated=_outdated(book, key, base),
        follow=tuple(other for other, of in others if of == base_key),
        behind=tuple(other for other, of in others if of == key),
    )


def _base_of(checked: Checked, key: str) -> str:
    """Return the key of the formula whose next issue the trial can become.  Raises Declined."""
    book, trial = checked.book, checked.book.formulas[key]
    if not trial.based_on:
        raise Declined(says("keep-no-trial", code=trial.code))
    if trial.kept_as is not None:
        raise Declined(says("keep-kept", code=trial.code, base=trial.kept_as.code, issue=trial.kept_as.issue))
    name, _, issue = trial.based_on.partition("@")
    base_key = book.key_of(name)
    if base_key not in book.formulas or key in checked.review.barred or not trial.readable:
        raise Declined(says("keep-barred", code=trial.code))
    base = book.formulas[base_key]
    if base.based_on:
        kept = base.kept_as
        if kept is not None and (now := book.formulas.get(book.key_of(kept.code))) and now.issue == kept.issue:
            raise Declined(says("keep-of-kept", code=trial.code, base=base.code, now=now.code, issue=now.issue))
        below = base
        while below.based_on and (found := book.formulas.get(book.key_of(below.based_on.partition("@")[0]))):
            below = found
        raise Declined(says("keep-of-trial", code=trial.code, base=base.code, below=below.code))
    if issue and int(issue) != base.issue:
        raise Declined(says("keep-old-base", code=trial.code, issue=int(issue), base=base.code, present=base.issue))
    if base.preserved_by is not None and trial.preserved_by is None:
        raise Declined(says("keep-preserved", code=trial.code, base=base.code))
    must_be_as_filed(checked, base)
    return base_key


def _outdated(book: Book, key: str, base: Formula) -> str:
    """Return the day of the trial's last batch where the base was another issue then; empty where it was not."""
    days = [
        record.made.on.isoformat()
        for record in book.batches.values()
        if record.made is not None and book.key_made(record) == key
    ]
    last, began = max(days, default=""), next((entry.on for entry in base.changes if entry.issue == base.issue), "")
    return last if last and last[: len(began)] < began else ""


def _sheet(formula: Formula, content: bytes, book: Book) -> FrontRows:
    """Return the file of a formula as it stands, with what was read of its text.  Raises Declined."""
    front = front_alone(formula.path, content, book.workroom.decimal is DecimalSign.COMMA)
    sheet = rows_of_file(formula.path, content, replace(front.formula, body=formula.body)) if front else None
    if sheet is None:
        raise Declined(says("issue-unread", path=formula.path))
    return sheet


def _change(code: str, words: str, lines: list[Line]) -> str:
    """Return what is entered under `changes:`: the keeper's words, else the lines as the trial has them."""
    words = tidy(words)
    if not words.isprintable() or len(words) > LONGEST_CHANGE:
        raise Declined(says("issue-change-long", length=len(words), most=LONGEST_CHANGE))
    told = words or listing([_of_line(line) for line in lines])
    whole = f"as tried in {code}, {told}" if told else f"as tried in {code}"
    return whole if len(whole) <= LONGEST_CHANGE else f"as tried in {code}"


def _of_line(line: Line) -> str:
    if line.departs is not None and not line.departs.instead_of:
        return f"{line.material} out"
    text = str(getattr(line.amount, "text", ""))
    instead = f"instead of {line.departs.instead_of}" if line.departs is not None else ""
    return " ".join(part for part in (line.material, text, instead) if part)


def _must_be_as_tried(checked: Checked, key: str, base_key: str, files: dict[str, bytes]) -> None:
    """Read the book as it would be: the new issue is the trial, the trial is as it was, and nothing else is wrong now.

    Raises Declined.
    """
    after = check_with(checked.root, files)
    trial, base = checked.book.formulas[key], checked.book.formulas[base_key]
    new, kept = after.book.formulas.get(base_key), after.book.formulas.get(key)
    by_hand = Declined(says("keep-by-hand", path=base.path, code=trial.code))
    if new is None or kept is None or after.book.earlier.get(f"{base.code.casefold()}@{base.issue}") is None:
        raise by_hand
    if new != _tried(trial, new) or text_of(new) != {**text_of(base), **text_of(trial)}:
        raise by_hand
    was = replace(
        trial, status=kept.status, based_on=kept.based_on, kept_as=kept.kept_as, issue=kept.issue, body=kept.body
    )
    if kept != was:
        raise by_hand
    before, now = (_errors(of) for of in (checked, after))
    more = [finding for finding, count in now.items() if count > before[finding]]
    if more:
        path, _ = more[0]
        told = next(f for f in after.review.findings if _mark(f) == more[0])
        raise Declined(says("keep-would-break", code=trial.code, path=path, why=told.says))


def _tried(trial: Formula, of: Formula) -> Formula:
    """Return a trial with what tells of the file itself as another formula has it."""
    return replace(
        trial, code=of.code, title=of.title, status=of.status, issue=of.issue, based_on=of.based_on,
        kept_as=of.kept_as, source=of.source, formerly=of.formerly, changes=of.changes, chapter=of.chapter,
        path=of.path, body=of.body,
    )  # fmt: skip


def _mark(finding: Finding) -> tuple[str, str]:
    return finding.place.path, finding.rule


def _errors(checked: Checked) -> Counter[tuple[str, str]]:
    return Counter(_mark(found) for found in checked.review.findings if found.severity is Severity.ERROR)
