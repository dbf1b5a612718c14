"""The keeper's page of findings: by severity, then by the formula or material they concern, each with its place."""

from __future__ import annotations

from .. import show
from ..findings import Finding, Severity
from .figures import code_html
from .shelf import Shelf, at_root, in_natural_order
from .shown import FindingGroup, FindingShown, FindingsShown, Link, SeverityShown

_TITLES = {
    Severity.ERROR: (
        "error",
        "errors",
        "An error bars its formula, and the formulas that use it, until it is put right.",
    ),
    Severity.QUERY: ("query", "queries", "What a pharmacist would ask before making it."),
    Severity.NOTE: ("note", "notes", "Worth knowing; nothing has to be done."),
}


def findings_shown(shelf: Shelf) -> FindingsShown:
    """Return the page; severities that do not occur are left out."""
    root = at_root(shelf)
    shown = []
    for severity in Severity:
        found = [one for one in shelf.review.findings if one.severity is severity]
        if found:
            one, many, means = _TITLES[severity]
            shown.append(
                SeverityShown(
                    word=str(severity),
                    title=show.counted(len(found), one, many),
                    means=means,
                    groups=_groups(found, root),
                )
            )
    return FindingsShown(frame=root.frame(), severities=tuple(shown))


def _groups(found: list[Finding], root: Shelf) -> tuple[FindingGroup, ...]:
    """Return findings by what they concern: formulas by code, materials by name, the workroom and files last."""
    by_item: dict[str, list[Finding]] = {}
    for one in found:
        by_item.setdefault(one.concerns.casefold() if root.book.find(one.concerns) else "", []).append(one)
    ordered = sorted(by_item, key=lambda key: (not key, key in root.book.materials, in_natural_order(key)))
    return tuple(
        FindingGroup(
            link=root.link(key) if key else Link(words="The book itself", href=""),
            findings=tuple(
                FindingShown(text=code_html(show.glued(one.message)), place=str(one.place), rule=one.rule)
                for one in by_item[key]
            ),
        )
        for key in ordered
    )
