"""Issues of a formula: a new one is begun and the present one kept; one is asked for by `S-02@3`.

Enters: a checked book and the words typed.  Leaves: what was written, or the formula as it was in that issue, reckoned
with the materials and intermediates of today.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from .beginning import Declined
from .bench import Unknown, formula_key
from .findings import Missing
from .model import Book, DecimalSign, Formula
from .pipeline import Checked
from .reckon.compared import Compared, compared
from .reckon.cost import Cost, cost_of_issue
from .reckon.kept import issues_kept, reckoned_with
from .source.amounts import tidy
from .source.earlier import next_issue, path_of_earlier
from .source.writing import CannotAdd, why_of, write_issue
from .wording.saying import Saying, says

LONGEST_CHANGE = 300
"""Characters of the longest entry of a change log."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Begun:
    """A new issue that was begun."""

    path: str
    """The formula's file, relative to the book's folder."""
    kept: str
    """Where the issue before is kept."""
    issue: int
    """The new issue."""


def begin_issue(checked: Checked, code: str, change: str, on: date) -> Begun:
    """Keep the present issue of a formula, count its number up and enter the change.

    Raises Unknown, Declined where something would be lost, and CannotAdd.
    """
    formula = checked.book.formulas[formula_key(checked.book, code)]
    change = tidy(change)
    if not change:
        raise Declined(says("issue-change-empty", code=formula.code))
    if len(change) > LONGEST_CHANGE or not change.isprintable():
        raise Declined(says("issue-change-long", length=len(change), most=LONGEST_CHANGE))
    must_be_as_filed(checked, formula)
    before = content_of(checked.root, formula.path)
    must_follow(formula, on)
    comma = checked.book.workroom.decimal is DecimalSign.COMMA
    after = next_issue(before, formula.path, change, on.isoformat(), comma=comma)
    if isinstance(after, Saying):
        raise Declined(after)
    kept = path_of_earlier(formula.code, formula.issue)
    write_issue(checked.root, formula.path, before, after, kept)
    return Begun(path=formula.path, kept=kept, issue=formula.issue + 1)


def must_be_as_filed(checked: Checked, formula: Formula) -> None:
    """Refuse a formula whose figures are others than those on record under its issue.  Raises Declined."""
    if any(f.rule == "figures-without-issue" and f.place.path == formula.path for f in checked.review.findings):
        raise Declined(says("issue-edited", code=formula.code, issue=formula.issue))


def content_of(root: Path, path: str) -> bytes:
    """Return a file that is to be kept.  Raises CannotAdd."""
    try:
        return (root / path).read_bytes()
    except OSError as reason:
        raise CannotAdd(says("issue-not-written", path=path, why=why_of(reason))) from reason


def must_follow(formula: Formula, on: date) -> None:
    """Refuse a day before that of an issue in the change log; of a vague date the first day counts."""
    day = on.isoformat()
    later = [entry for entry in formula.changes if day[: len(entry.on)] < entry.on]
    if later:
        latest = max(later, key=lambda entry: entry.on)
        raise Declined(says("issue-too-early", code=formula.code, issue=latest.issue, of=latest.on, day=day))


def issue_asked(book: Book, name: str) -> tuple[str, Formula]:
    """Return the key and the formula that `S-02` or `S-02@3` names.  Raises Unknown."""
    code, at, number = name.partition("@")
    key = formula_key(book, code.strip())
    formula = book.formulas[key]
    if not at:
        return key, formula
    issue = number.strip()
    if not (issue.isascii() and issue.isdigit()) or len(issue) > 9:
        raise Unknown(says("issue-number", name=name, code=formula.code))
    if int(issue) == formula.issue:
        return key, formula
    earlier = next((kept for kept in issues_kept(book, key) if kept.issue == int(issue)), None)
    if earlier is None:
        raise Unknown(says("issue-not-kept", issue=int(issue), code=formula.code, kept=_kept(book, key)))
    return key, earlier


def _kept(book: Book, key: str) -> Saying:
    kept = tuple(str(formula.issue) for formula in issues_kept(book, key))
    return says("issues-kept", count=len(kept), issues=kept) if kept else says("issues-none")


def compared_issues(
    checked: Checked, first: str, second: str, day: date
) -> tuple[Compared, tuple[str, str], tuple[Cost | Missing, Cost | Missing]]:
    """Return two formulas or issues side by side, what each is called, `S-02@2` or `S-02`, and what each costs.

    The costs are of the batches as written, by the last prices on the day.  Raises Unknown.
    """
    found, names, costs = [], [], []
    for asked in (first, second):
        key, formula = issue_asked(checked.book, asked)
        found.append(reckoned_with(checked.reckoning, key, formula).figures[key])
        costs.append(cost_of_issue(checked.reckoning, key, formula, day))
        is_present = checked.book.formulas[key] is formula
        names.append(formula.code if is_present else f"{formula.code}@{formula.issue}")
    return compared(found[0], found[1]), (names[0], names[1]), (costs[0], costs[1])
