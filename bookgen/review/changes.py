"""The change log: issues and dates that cannot both be right, and figures that changed without an issue.

Enters: a formula's changes, its leaf as it was filed.  Leaves: findings.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from ..wording.saying import says
from .rule import Case, Said


def change_beyond_issue(case: Case) -> Iterator[Said]:
    """The change log goes no further than the issue of the formula; query.

    Source: common practice, no source.
    """
    newest = max(case.formula.changes, key=lambda change: change.issue, default=None)
    if newest is not None and newest.issue > case.formula.issue:
        yield Said(
            place=newest.place,
            says=says("change-beyond-issue", logged=newest.issue, issue=case.formula.issue),
        )


def issue_without_change(case: Case) -> Iterator[Said]:
    """A formula with a change log has an entry for its present issue; query, as its date is printed.

    Source: common practice, no source.
    """
    changes = case.formula.changes
    logged = max((change.issue for change in changes), default=case.formula.issue)
    if logged < case.formula.issue:
        yield Said(
            place=case.place_of("issue", "changes"),
            says=says("issue-without-change", issue=case.formula.issue, logged=logged),
        )


def change_dates(case: Case) -> Iterator[Said]:
    """A later issue has no earlier date; query.  A month or a year alone is before what it ends before.

    Source: common practice, no source.
    """
    dated = sorted((change for change in case.formula.changes if change.on), key=lambda change: change.issue)
    for earlier, later in pairwise(dated):
        known = min(len(earlier.on), len(later.on))  # year, year-month or year-month-day, as text in order
        if later.on[:known] < earlier.on[:known] and later.issue != earlier.issue:
            told = says("change-dates", later=later.issue, on=later.on, earlier=earlier.issue, before=earlier.on)
            yield Said(place=later.place, says=told)


def figures_without_issue(case: Case) -> Iterator[Said]:
    """A figure that is printed on a filed sheet changes only together with the issue, which counts on; error.

    Words may be put better within an issue; whoever holds two sheets of one issue must find the same figures on both,
    so that one of them is not made while the other is meant.

    Source: common practice, no source.
    """
    filed, issue = case.filed, case.formula.issue
    if filed is None or case.printed is None:
        return
    if filed.issue.isdecimal() and int(filed.issue) > issue:
        told = says("issue-below-record", issue=issue, code=case.formula.code, filed=filed.issue)
        yield Said(place=case.place_of("issue", "code"), says=told)
    elif filed.issue == str(issue) and filed.figures and filed.figures not in case.printed(case.figures):
        told = says("figures-without-issue", code=case.formula.code, issue=issue, next=issue + 1)
        yield Said(place=case.place_of("issue", "code"), says=told)
