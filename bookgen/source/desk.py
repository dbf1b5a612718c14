"""The desk at which one file is read: where it is, how its numbers are written, what was found."""

from __future__ import annotations

from dataclasses import replace

from ..findings import Finding, Place, Severity
from ..show import COMMA, POINT
from ..wording.saying import Saying, shortened
from .rules import RULES


class Desk:
    """Collects the findings of one file; a finding is raised here and nowhere else."""

    __slots__ = ("comma", "findings", "path")

    def __init__(self, path: str, *, comma: bool = False) -> None:
        self.path = path
        """The file, relative to the book's folder."""
        self.comma = comma
        """True in a book whose decimal sign is the comma."""
        self.findings: list[Finding] = []

    def place(self, line: int, column: int = 0) -> Place:
        """Return the place in this file; line and column count from 1."""
        return Place(path=self.path, line=line, column=column)

    def report(
        self, rule: str, says: Saying, line: int = 0, column: int = 0, severity: Severity = Severity.ERROR
    ) -> Place:
        """Add a finding and return its place; the same rule speaks once at one place."""
        assert rule in RULES, rule
        place = self.place(line, column)
        if column and any(finding.rule == rule and finding.place == place for finding in self.findings):
            return place
        signs = COMMA if self.comma else POINT
        self.findings.append(Finding(severity=severity, rule=rule, says=says, place=place, signs=signs))
        return place

    def query(self, rule: str, says: Saying, line: int = 0, column: int = 0) -> Place:
        """Add a query and return its place."""
        return self.report(rule, says, line, column, Severity.QUERY)

    def concerning(self, code: str = "", title: str = "") -> tuple[Finding, ...]:
        """Return the findings, marked with the code of the formula or material that they concern.

        Their messages begin with its title and the line, as a practitioner would say it.
        """
        called = shortened(title) or self.path
        return tuple(replace(finding, concerns=code, title=called) for finding in self.findings)
