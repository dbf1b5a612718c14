"""The keeper's page of findings: by severity, then by the formula or material they concern, each with its place."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from .. import show
from ..findings import Finding, Severity
from ..language import noted, word
from ..reckon.figures import Reckoning
from .finding_records import FindingGroup, FindingShown, FindingsShown, SeverityShown
from .phrases import coded
from .records import Link
from .shelf import Shelf, at_root, in_natural_order

_MANY = {Severity.QUERY: "queries"}
_MEANS = {
    Severity.ERROR: noted("An error bars its formula, and the formulas that use it, until it is put right."),
    Severity.QUERY: noted("What a pharmacist would ask before making it."),
    Severity.NOTE: noted("Worth knowing; nothing has to be done."),
}


def counted(number: int, severity: Severity) -> str:
    """Return how many findings there are of one severity: `2 errors`, `1 query`."""
    return show.counted(number, severity.value, _MANY.get(severity, ""))


def findings_words(findings: Iterable[Finding]) -> str:
    """Return how many findings there are of each severity that occurs: `2 errors, 1 query`; empty without any."""
    counts = Counter(finding.severity for finding in findings)
    return ", ".join(counted(counts[severity], severity) for severity in Severity if counts[severity])


def judged_words(reckoning: Reckoning) -> str:
    """Return what the check judged and what it did not, as a sentence that can follow `no findings in `."""
    formulas = len(reckoning.figures)
    cosmetics = sum(figures.limits.silent is None for figures in reckoning.figures.values())
    return word(
        "amounts, measuring, storage and use, what dissolves in what, the dangers and incompatible pairs that are "
        "tabled, and limits of the law for cosmetics ({cosmetics} of {formulas}). Not judged: whether it works, "
        "whether it stays stable, and what no file says.",
        cosmetics=cosmetics,
        formulas=show.counted(formulas, "formula"),
    )


def findings_shown(shelf: Shelf) -> FindingsShown:
    """Return the page; severities that do not occur are left out."""
    root = at_root(shelf)
    shown = []
    for severity in Severity:
        found = [finding for finding in shelf.review.findings if finding.severity is severity]
        if found:
            shown.append(
                SeverityShown(
                    word=str(severity),
                    title=counted(len(found), severity),
                    means=word(_MEANS[severity]),
                    groups=_groups(found, root),
                )
            )
    return FindingsShown(
        frame=root.frame(),
        severities=tuple(shown),
        judged=word("No findings in {judged}", judged=judged_words(shelf.reckoning)) if not shown else "",
    )


def _groups(found: list[Finding], root: Shelf) -> tuple[FindingGroup, ...]:
    """Return findings by what they concern: formulas by code, materials by name, the workroom and files last."""
    by_item: dict[str, list[Finding]] = {}
    for finding in found:
        by_item.setdefault(finding.concerns.casefold() if root.book.find(finding.concerns) else "", []).append(finding)
    ordered = sorted(by_item, key=lambda key: (not key, key in root.book.materials, in_natural_order(key)))
    return tuple(
        FindingGroup(
            link=root.link(key) if key else Link(words=word("The book itself"), href=""),
            findings=tuple(
                FindingShown(text=coded(show.glued(finding.message)), place=str(finding.place), rule=finding.rule)
                for finding in by_item[key]
            ),
        )
        for key in ordered
    )
