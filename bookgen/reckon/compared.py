"""Two formulas side by side: lines by what they call, shares, substances, pH, keeping and steps of the method.

Enters: the figures of both, each from its own reckoning.  Leaves: `Compared`.  Shares are of what each makes, 1 = all.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher

from ..findings import Missing
from ..fraction import Fraction
from ..model import METHOD, Basis, Formula, Known
from ..wording.saying import says
from ..written import (
    Emphasis,
    Linked,
    Picture,
    Words,
    WrittenHeading,
    WrittenParagraph,
    WrittenTable,
    plain_text,
    walked,
)
from .figures import Figures
from .known import ZERO, add, less
from .labelled import strengths_on_label

UNLIKE = Missing(says=says("bases-differ"))
"""Why two percentages have no difference."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparedLine:
    """One ingredient, or one substance, on both sides."""

    name: str
    """What it is called."""
    removed: bool = False
    """True for what is taken out again: it has no share."""
    first: Known | None
    """Its share in the first, all lines of it together; None where it has none of it."""
    second: Known | None
    """The same in the second."""
    difference: Known
    """Second − first, what one side lacks counted as none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparedStep:
    """Steps of the method that differ; on one side there may be none."""

    first: tuple[str, ...]
    """In the first."""
    second: tuple[str, ...]
    """In their place in the second."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """Two formulas, side by side."""

    first: Figures
    """The first."""
    second: Figures
    """The second."""
    lines: tuple[ComparedLine, ...]
    """The ingredients, in the order of the first, then what only the second has."""
    actives: tuple[ComparedLine, ...]
    """What their lines call active, as the label of a medicine tells it."""
    carried: tuple[ComparedLine, ...]
    """The substances that their materials list, by the greatest share where it is a range."""
    steps: tuple[ComparedStep, ...]
    """Where the methods differ, in order."""


def compared(first: Figures, second: Figures) -> Compared:
    """Return two formulas side by side.

    Lines are matched by what they call, and several lines of one material are added up; what is taken out again is
    matched with the like.  A difference is the second less the first, in percentage points; shares of different bases
    (w/w beside w/v) have none.

    Source: own arithmetic.
    """
    ours, theirs = _shares(first), _shares(second)
    lines = tuple(
        _line((ours.get(key) or theirs[key])[0], key[1], ours.get(key), theirs.get(key))
        for key in dict.fromkeys((*ours, *theirs))
    )
    return Compared(
        first=first,
        second=second,
        lines=lines,
        actives=_side_by_side(_actives(first), _actives(second)),
        carried=_side_by_side(_substances(first), _substances(second)),
        steps=_steps(first.formula, second.formula),
    )


Shared = tuple[str, Known, Basis]
"""Name, share, and what it is a share of."""


def _shares(figures: Figures) -> dict[tuple[str, bool], Shared]:
    found: dict[tuple[str, bool], Shared] = {}
    for line in figures.amounts.lines:
        name = line.key or line.line.material.casefold()
        key = (name, not line.counts)
        _, before, basis = found.get(key, ("", ZERO, line.percent_of))
        share = add([before, line.percent]) if basis is line.percent_of else UNLIKE
        found[key] = (line.name, share, line.percent_of)
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class LineOver:
    """One ingredient over several issues of a formula."""

    key: str
    """Its key; its written name in lower case where the book has none of that name."""
    name: str
    """What it is called."""
    shares: tuple[Known | None, ...]
    """Its share in each, all lines of it together; None where one has none of it."""


def lines_over(issues: Sequence[Figures]) -> tuple[LineOver, ...]:
    """Return the ingredients over several issues, in the order of the last one, then what only others have.

    What is taken out again is left out.  A share of another basis than that of the last issue that has the ingredient
    (w/v beside w/w) is not known.

    Source: as `compared`.
    """
    all_shares = [_shares(figures) for figures in issues]
    found = []
    for name in dict.fromkeys(name for shares in reversed(all_shares) for name in shares if not name[1]):
        has = [shares[name] for shares in all_shares if name in shares]
        basis = has[-1][2]
        shares = tuple(
            None if name not in shares else shares[name][1] if shares[name][2] is basis else UNLIKE
            for shares in all_shares
        )
        found.append(LineOver(key=name[0], name=has[-1][0], shares=shares))
    return tuple(found)


def _line(name: str, removed: bool, ours: Shared | None, theirs: Shared | None) -> ComparedLine:
    difference: Known = less(theirs[1] if theirs else ZERO, ours[1] if ours else ZERO)
    if ours and theirs and ours[2] is not theirs[2]:
        difference = UNLIKE
    return ComparedLine(
        name=name,
        removed=removed,
        first=ours[1] if ours else None,
        second=theirs[1] if theirs else None,
        difference=difference,
    )


Named = Mapping[str, Known] | Missing
"""Shares by name; Missing where no composition is known."""


def _side_by_side(ours: Named, theirs: Named) -> tuple[ComparedLine, ...]:
    """Return what either has by name; where a composition is not known, none of its shares is."""
    found = []
    for name in dict.fromkeys(name for side in (ours, theirs) if not isinstance(side, Missing) for name in side):
        here = ours if isinstance(ours, Missing) else ours.get(name)
        there = theirs if isinstance(theirs, Missing) else theirs.get(name)
        difference = less(ZERO if there is None else there, ZERO if here is None else here)
        found.append(ComparedLine(name=name, first=here, second=there, difference=difference))
    return tuple(found)


def _actives(figures: Figures) -> Named:
    found: dict[str, Known] = {}
    for active in strengths_on_label(figures):
        found[active.name] = add([found[active.name], active.share]) if active.name in found else active.share
    return found


def _substances(figures: Figures) -> Named:
    carried = figures.contents.carried
    if isinstance(carried, Missing):
        return carried
    return {substance.substance: substance.share for substance in carried if not substance.of}


def steps_of(formula: Formula, *, exact: bool = False) -> tuple[str, ...]:
    """Return the steps of a method as plain words: its paragraphs, the items of its lists, the rows of its tables.

    What is weighed is called by the words of its link, and by its name where the link has none; how much stands in the
    table of ingredients.  With `exact` the portion and the phase that a link names, and its duration, stand behind it.
    Without a heading `Method` it is the text before the first heading.
    """
    sections = formula.body.sections
    method = [section for section in sections if section.title.casefold() == METHOD]
    found: list[str] = []
    for section in method or [section for section in sections if not section.title]:
        for block in walked(section.blocks):
            match block:
                case WrittenParagraph() | WrittenHeading():
                    found.append(_step(block.words, exact=exact))
                case WrittenTable():
                    rows = ((_step(cell.words, exact=exact) for cell in row) for row in block.rows)
                    found += map(" | ".join, rows)
    return tuple(found)


def _step(words: Iterable[Words], *, exact: bool) -> str:
    return " ".join("".join(_told(piece, exact=exact) for piece in words).split())


def _told(piece: Words, *, exact: bool) -> str:
    match piece:
        case Picture():
            return ""
        case Emphasis():
            return "".join(_told(inner, exact=exact) for inner in piece.words)
        case Linked():
            words = "".join(_told(inner, exact=exact) for inner in piece.words)
            kind, _, of = piece.address.partition(":")
            if kind not in ("amount", "time"):
                return words
            if not words.strip():
                return words + (re.sub(r"[@*].*", "", of) if kind == "amount" else of)
            return f"{words} ({of})" if exact else words
        case _:
            return plain_text((piece,))


def _steps(first: Formula, second: Formula) -> tuple[ComparedStep, ...]:
    """Return where two methods differ; what is the same in words is told with the portions and durations."""
    exact = steps_of(first, exact=True), steps_of(second, exact=True)
    plain = steps_of(first), steps_of(second)
    found = []
    for tag, a, b, c, d in SequenceMatcher(None, *exact, autojunk=False).get_opcodes():
        if tag != "equal":
            ours, theirs = exact if plain[0][a:b] == plain[1][c:d] else plain
            found.append(ComparedStep(first=ours[a:b], second=theirs[c:d]))
    return tuple(found)


def moved(line: ComparedLine) -> bool:
    """Tell whether a line differs between the two, or may."""
    return (line.first is None) is not (line.second is None) or line.difference != Fraction(0)
