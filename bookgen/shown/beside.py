"""Two formulas side by side on a page: an earlier issue and the present one, a trial and what it is based on.

What differs comes first, a row each; what is the same in both stands in one sentence below.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache

from .. import show
from ..findings import Missing
from ..fraction import Fraction
from ..language import noted, word
from ..model import Book
from ..reckon.compared import Compared, ComparedLine, compared, moved
from ..reckon.cost import cost_of_issue
from ..reckon.figures import Figures
from ..reckon.kept import figures_kept, trials_in
from ..reckon.same import Same
from .cost import hundred_grams
from .kept import FACTS, difference_text, share_text, with_percent
from .kept_records import BesideRow, BesideSide, BesideTable, ShiftPicture, TrialLink
from .made_records import linked
from .phrases import Phrase
from .records import Frame
from .shelf import Pair, Shelf


@dataclass(frozen=True, slots=True, kw_only=True)
class BesideStep:
    """Steps that differ."""

    first: tuple[str, ...]
    """In the first; empty where it has none there."""
    second: tuple[str, ...]
    """In the second."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BesideShown:
    """The page of two formulas."""

    frame: Frame
    """What surrounds it."""
    title: str
    """Its heading."""
    first: BesideSide
    """The first."""
    second: BesideSide
    """The second."""
    change: str
    """What the change log of the second says of its issue, where the first is the issue before; else empty."""
    tables: tuple[BesideTable, ...]
    """Ingredients, active content, substances, and what else is written of both."""
    steps: tuple[BesideStep, ...]
    """Where the methods differ."""
    has_method: bool
    """True where either has one."""


def beside_shown(pair: Pair, shelf: Shelf) -> BesideShown:
    """Return the page of two that are set side by side."""
    present, second = shelf.reckoning.figures[pair.first], shelf.reckoning.figures[pair.second]
    kept = figures_kept(shelf.reckoning, pair.first, pair.issue) if pair.issue else None
    first = kept or present
    found = compared(first, second)
    change = next((entry.text for entry in second.formula.changes if entry.issue == second.formula.issue), "")
    follows = pair.first == pair.second and first.formula.issue == second.formula.issue - 1
    tables = (
        _table(noted("Ingredients, %"), found.lines, shelf, first, second),
        _table(noted("Active content, %"), found.actives, shelf),
        _table(noted("Substances, %"), found.carried, shelf),
        _facts(found, shelf, pair),
    )
    of_one = pair.first == pair.second
    sides = [_side(first, pair.first, pair.issue, shelf), _side(second, pair.second, 0, shelf)]
    if of_one:
        sides = [replace(side, column=word("issue {issue}", issue=side.issue)) for side in sides]
    return BesideShown(
        frame=shelf.frame(pair.second),
        title=word(
            "{code}: {first} beside {second}",
            code=second.formula.code or pair.second,
            first=sides[0].column,
            second=sides[1].column,
        )
        if of_one
        else word("{first} beside {second}", first=sides[0].column, second=sides[1].column),
        first=sides[0],
        second=sides[1],
        change=show.written(change, shelf.signs) if follows else "",
        tables=tuple(table for table in tables if table.rows or table.same),
        steps=tuple(BesideStep(first=step.first, second=step.second) for step in found.steps),
        has_method=any(figures.formula.body.sections for figures in (first, second)),
    )


def trials_of(key: str, shelf: Shelf) -> tuple[TrialLink, ...]:
    """Return the trials that are based on a formula, in whatever issue, by code."""
    trials, formulas = _based_on(Same(shelf.book)).get(key, {}), shelf.book.formulas
    return tuple(
        TrialLink(
            name=linked(f"{formulas[trial].code} {formulas[trial].title}", shelf.way(trial)),
            stamp=shelf.stamp(trial),
            beside=linked(word("side by side"), shelf.beside_way(Pair(key, trials[trial], trial))),
        )
        for trial in shelf.by_code(trials)
    )


@lru_cache(maxsize=4)
def _based_on(book: Same[Book]) -> Mapping[str, Mapping[str, int]]:
    """Return formula → the trials that are based on it, each with the issue that it is based on; once for a book."""
    found: dict[str, dict[str, int]] = {}
    for trial, base, issue in trials_in(book.record):
        found.setdefault(base, {})[trial] = issue
    return found


def _side(figures: Figures, key: str, issue: int, shelf: Shelf) -> BesideSide:
    formula = figures.formula
    code = formula.code or key
    words = word("issue {issue} of {code}", issue=issue, code=code) if issue else code
    return BesideSide(
        words=code,
        column=words,
        href=shelf.issue_way(key, issue) if issue else shelf.way(key),
        title=formula.title or code,
        issue=str(formula.issue),
        stamp=noted("earlier issue") if issue else shelf.stamp(key),
    )


def _table(head: str, lines: tuple[ComparedLine, ...], shelf: Shelf, *sides: Figures) -> BesideTable:
    """Return shares side by side; with the figures of the two sides names lead to their pages."""
    keys = {line.name: line.key for figures in sides for line in figures.amounts.lines if line.key}
    differ = [line for line in lines if moved(line) or not isinstance(line.first, Fraction | None)]
    same = [line for line in lines if line not in differ]
    return BesideTable(
        head=word(head),
        rows=tuple(_row(line, shelf, keys.get(line.name, "")) for line in differ),
        same=show.listing([f"{line.name}: {_both(line, shelf.signs)}" for line in same]),
        unknown=tuple(
            dict.fromkeys(
                show.sentence(line.difference.says.words(shelf.signs))
                for line in differ
                if isinstance(line.difference, Missing) and not line.removed
            )
        ),
        drawn=True,
    )


def _both(line: ComparedLine, signs: show.Signs) -> str:
    return word("taken out again") if line.removed else with_percent(share_text(line.first, signs))


def _row(line: ComparedLine, shelf: Shelf, key: str) -> BesideRow:
    name = linked(line.name, shelf.way(key)) if key else Phrase((line.name,))
    if line.removed:
        first, second = (word("none") if share is None else word("used") for share in (line.first, line.second))
        return BesideRow(
            name=name + ", " + word("taken out again"), first=first, second=second, difference="", picture=None
        )
    first, second = (share_text(share, shelf.signs) for share in (line.first, line.second))
    if isinstance(line.difference, Missing):
        return BesideRow(name=name, first=first, second=second, difference="–", picture=None)
    ends = [show.exact(share * 100) if isinstance(share, Fraction) else "0" for share in (line.first, line.second)]
    told = word("{name}: {first}, then {second}", name=line.name, first=_told(first), second=_told(second))
    return BesideRow(
        name=name,
        first=first,
        second=second,
        difference=difference_text(line.difference, shelf.signs),
        picture=ShiftPicture(first=ends[0], second=ends[1], told=told),
    )


def _told(text: str) -> str:
    return with_percent(text) if any(sign.isdigit() for sign in text) else word("none")


def _facts(found: Compared, shelf: Shelf, pair: Pair) -> BesideTable:
    """Return what else is written of both, and what they cost by the last prices of the book."""
    rows, same, nothing = [], [], word("not written")
    told = [
        (name, *(show.written(read(side), shelf.signs) for side in (found.first, found.second))) for name, read in FACTS
    ]
    for name, first, second in (*told, *_costs(found, shelf, pair)):
        term = word(name)
        if first != second:
            rows.append(
                BesideRow(
                    name=Phrase((term,)), first=first or nothing, second=second or nothing, difference="", picture=None
                )
            )
        elif first:
            same.append(f"{term}: {first}")
    return BesideTable(
        head=word("What else is written"), rows=tuple(rows), same=show.listing(same), unknown=(), drawn=False
    )


def _costs(found: Compared, shelf: Shelf, pair: Pair) -> Iterator[tuple[str, str, str]]:
    """Yield what 100 g cost of both; nothing where no lot of the book has a price."""
    if not any(lot.price for material in shelf.book.materials.values() for lot in material.lots):
        return
    first, second = (
        hundred_grams(cost_of_issue(shelf.reckoning, key, side.formula, date.max), shelf.signs)
        for key, side in ((pair.first, found.first), (pair.second, found.second))
    )
    if first or second:
        unknown = word("not known")
        yield noted("100 g cost"), first or unknown, second or unknown
