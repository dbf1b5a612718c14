"""What has to be printed and filed so that the binder holds the book as it is: a comparison, and nothing else.

Enters: the record of what was filed, and what the book prints now.  Leaves: which leaves are new, changed or withdrawn,
which are printed in an earlier look, and which have to be moved.  The unit is the leaf: all its sheets are reissued.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from .. import show
from ..model import Filed, FiledLeaf
from .digest import check_code
from .records import EffectiveRow, Sheet
from .style import paper_in


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """What tells the states of one leaf apart."""

    code: str
    """Its code."""
    content: str
    """Digest of what is printed on it."""
    look: str
    """Digest of how it is printed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """What differs between the binder and the book; each field holds codes, in the order of the binder."""

    new: tuple[str, ...]
    """Leaves that the binder has not."""
    changed: tuple[str, ...]
    """Leaves on which something else is printed now, another code too."""
    withdrawn: tuple[str, ...]
    """Leaves of the binder that the book prints no longer, in the order of the record."""
    looks: tuple[str, ...]
    """Leaves on which the same is printed in another look."""
    moved: tuple[str, ...]
    """Leaves that stand elsewhere now; the fewest that bring the rest into order."""

    @property
    def nothing(self) -> bool:
        """True when the binder holds the book as it is, whatever the look."""
        return not (self.new or self.changed or self.withdrawn or self.moved)


def compare(then: Mapping[str, FiledLeaf], now: Sequence[State]) -> Comparison:
    """Compare the leaves on record with those that the book prints now, both in the order of the binder.

    `then` has the code that each leaf has now, which is another than on its paper where it was renamed.
    """
    here = {leaf.code for leaf in now}
    both = [leaf for leaf in now if leaf.code in then]
    place = {code: number for number, code in enumerate(then)}
    staying = _longest_rising([place[leaf.code] for leaf in both])
    return Comparison(
        new=tuple(leaf.code for leaf in now if leaf.code not in then),
        changed=tuple(leaf.code for leaf in both if not _same(leaf, then[leaf.code])),
        withdrawn=tuple(code for code in then if code not in here),
        looks=tuple(leaf.code for leaf in both if _same(leaf, then[leaf.code]) and leaf.look != then[leaf.code].look),
        moved=tuple(leaf.code for leaf in both if place[leaf.code] not in staying),
    )


def _same(leaf: State, then: FiledLeaf) -> bool:
    return leaf.content == then.content and leaf.code == then.code


def _longest_rising(numbers: Sequence[int]) -> frozenset[int]:
    """Return a longest rising part of a sequence of different numbers, the later ones where there are several.

    >>> sorted(_longest_rising([3, 0, 1, 2]))
    [0, 1, 2]
    """
    ends: list[int] = []
    before: dict[int, int | None] = {}
    for number in numbers:
        at = bisect_left(ends, number)
        before[number] = ends[at - 1] if at else None
        ends[at : at + 1] = [number]
    kept, last = set(), ends[-1] if ends else None
    while last is not None:
        kept.add(last)
        last = before[last]
    return frozenset(kept)


def filed_leaf(row: EffectiveRow) -> FiledLeaf:
    """Return a printed leaf's row as it goes on record."""
    return FiledLeaf(
        code=row.code,
        title=row.title,
        chapter=row.chapter,
        issue=row.issue,
        issued=row.issued,
        sheets=row.sheets,
        content=row.content,
        look=row.look,
        figures=row.figures,
    )


def row_on_record(sheet: Sheet, leaf: FiledLeaf) -> EffectiveRow:
    """Return the row of a leaf that stays in the binder as it is, so many sheets as it takes in the look it has."""
    return EffectiveRow(
        code=leaf.code,
        title=leaf.title,
        chapter=leaf.chapter,
        kind=sheet.kind,
        issue=leaf.issue,
        issued=leaf.issued,
        sheets=leaf.sheets,
        check=check_code(leaf.content),
        content=leaf.content,
        look=leaf.look,
        figures=leaf.figures,
    )


def record_of(rows: Iterable[EffectiveRow], looks: Mapping[str, str], words: str, against: str = "") -> Filed:
    """Return what the binder holds once these rows are filed; `words` says the look of those that `looks` does not."""
    leaves = tuple(filed_leaf(row) for row in rows)
    return Filed(against=against, looks={leaf.look: looks.get(leaf.look, words) for leaf in leaves}, leaves=leaves)


def earlier_looks(codes: Collection[str], filed: Filed, words: str) -> str:
    """Return the sentence on leaves that are printed in an earlier look; empty where there are none."""
    if not codes:
        return ""
    was = dict.fromkeys(filed.looks[leaf.look] for leaf in filed.leaves if leaf.code in codes)
    many = len(codes) > 1
    how = (
        f"was: {' and '.join(was)}, is: {words}"
        if list(was) != [words]
        else "another template, style sheet, type or layout engine"
    )
    return (
        f"{show.counted(len(codes), 'leaf', 'leaves')} {'are' if many else 'is'} printed in an earlier look ({how}); "
        f"bookgen binder --changes --appearance prints {'them' if many else 'it'} too."
    )


def other_paper(filed: Filed, words: str) -> tuple[str, str] | None:
    """Return how sheets on record are printed, and how they are now, where the two do not stand in one binder.

    Another paper, other holes, other sides and another size of type are no matter of single leaves.
    """
    now = paper_in(words)
    for leaf in filed.leaves:
        then = paper_in(filed.looks[leaf.look])
        if any(was != is_now for was, is_now in zip(then, now, strict=False)):
            return ", ".join(then), ", ".join(now[: len(then)])
    return None
