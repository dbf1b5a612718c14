"""The filing instructions: what to take out of the binder, what to put in and where, in the order of the binder.

They head the printed changes, are ticked with a pencil, and are thrown away after filing.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from .. import show
from ..language import noted, word
from ..model import Filed, FiledLeaf
from ..shown.records import Frame
from .comparing import Comparison
from .digest import check_code
from .front import DIVIDER, FILING, GATHERED
from .leaves import MATERIALS_CHAPTER, Bindery
from .records import Sheet

TITLE = noted("Filing instructions")
FRONT = noted("in front of all others")
MOST_GONE = 6
"""Leaves beside each other that are taken out one by one; more are taken out together."""
MOST_MOVES = 12
"""Moves that are told one by one; where more are due, it is easier to sort by the list."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeafState:
    """The sheets of one leaf in one state."""

    code: str
    """Its code."""
    issue: str
    """`issue 3`, `issue 3, barred`, or empty."""
    sheets: str
    """`sheet 1`, `sheets 1–3`."""
    check: str
    """The check code in the foot."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One thing to do."""

    title: str
    """Title of the leaf, for the eye; empty for a step that concerns several."""
    out: LeafState | None = None
    """What is taken out."""
    through: LeafState | None = None
    """The last of several that are taken out together, all that stand from `out` to it."""
    count: str = ""
    """How many leaves and sheets these are."""
    into: LeafState | None = None
    """What is put in."""
    where: str = ""
    """Where it goes: `after S-01`; empty where it takes the place of what is taken out."""
    look: bool = False
    """True when the same is printed in another look."""
    moves: tuple[str, ...] = ()
    """Codes of leaves that are moved as they are."""
    sort: bool = False
    """True for the step that asks to put all leaves into the order of the list."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FilingShown:
    """The filing instructions."""

    frame: Frame
    """What surrounds them."""
    filed: str
    """The day on which the binder was filed last."""
    counts: tuple[str, ...]
    """What changed, and how many sheets go in and out."""
    steps: tuple[Step, ...]
    """In the order of the binder."""
    notes: tuple[str, ...]
    """What to think of first: sheets that would print a bar instead of weights, leaves in an earlier look."""


def filing_sheet(
    bindery: Bindery, found: Comparison, printed: Sequence[str], after: Filed, notes: Sequence[str]
) -> Sheet:
    """Return the instructions as a leaf; `printed` holds the codes of the leaves to put in, `after` what results."""
    shelf = bindery.shelf
    then = shelf.book.on_record()
    barred = frozenset(shelf.stems[key] for key in shelf.review.barred) & frozenset(printed)
    shown = FilingShown(
        frame=shelf.frame(),
        filed=shelf.book.filed.on,
        counts=_counts(found, printed, then, after),
        steps=steps_of(found, printed, then, after, barred),
        notes=tuple(sentence for sentence in (*notes, _on_barred(sorted(barred))) if sentence),
    )
    return bindery.front(shown, "filing", FILING, word(TITLE))


def _on_barred(codes: Sequence[str]) -> str:
    """Return the sentence on formulas with an error, whose new sheets say why they have no weights."""
    if not codes:
        return ""
    return word(
        "{codes} has an error: its sheets say why instead of weights. Put it right and print the changes anew, "
        "unless what the binder holds is wrong too."
        if len(codes) == 1
        else "{codes} have an error: their sheets say why instead of weights. Put it right and print the changes anew, "
        "unless what the binder holds is wrong too.",
        codes=", ".join(codes),
    )


def steps_of(
    found: Comparison,
    printed: Sequence[str],
    then: Mapping[str, FiledLeaf],
    after: Filed,
    barred: Collection[str] = (),
) -> tuple[Step, ...]:
    """Return what to do, in the order of the binder as it will be; what goes out stands where it stood.

    `then` has what is in the binder by the code that it has now.
    """
    runs = _runs(found, printed, after)
    sort = len(runs) > MOST_MOVES
    gone = _gone(found, then)
    steps = [*gone.get("", ())]
    before = ""
    for leaf in after.leaves:
        where = word("after {code}", code=before) if before else word(FRONT)
        if leaf.code in printed:
            earlier = then.get(leaf.code)
            placed = earlier is None or (leaf.code in found.moved and not sort)
            steps.append(
                Step(
                    title=leaf.title,
                    out=_state(earlier) if earlier else None,
                    into=_state(leaf, barred=leaf.code in barred),
                    where=where if placed else "",
                    look=leaf.code in found.looks,
                )
            )
        elif leaf.code in runs and not sort:
            moves = runs[leaf.code]
            steps.append(Step(title=leaf.title if len(moves) == 1 else "", moves=moves, where=where))
        steps += gone.get(leaf.code, ())
        before = leaf.code
    if sort:
        steps.append(Step(title="", sort=True))
    return tuple(steps)


def _runs(found: Comparison, printed: Sequence[str], after: Filed) -> dict[str, tuple[str, ...]]:
    """Return first code → codes of the leaves that are moved together, as they are."""
    runs: dict[str, list[str]] = {}
    moved, first = frozenset(found.moved) - frozenset(printed), ""
    for before, code in pairwise(("", *(leaf.code for leaf in after.leaves))):
        if code in moved:
            first = first if first and before in moved else code
            runs.setdefault(first, []).append(code)
        else:
            first = ""
    return {first: tuple(codes) for first, codes in runs.items()}


def _gone(found: Comparison, then: Mapping[str, FiledLeaf]) -> Mapping[str, Sequence[Step]]:
    """Return code of the leaf before it, where one stays → what is taken out behind it for good."""
    gone: dict[str, list[FiledLeaf]] = {}
    last = ""
    for code, leaf in then.items():
        if code in found.withdrawn:
            gone.setdefault(last, []).append(leaf)
        else:
            last = code
    return {code: tuple(_taken_out(leaves)) for code, leaves in gone.items()}


def _taken_out(leaves: Sequence[FiledLeaf]) -> Iterator[Step]:
    """Yield how leaves that stand beside each other are taken out for good."""
    if len(leaves) <= MOST_GONE:
        yield from (Step(title=leaf.title, out=_state(leaf)) for leaf in leaves)
        return
    sheets = sum(leaf.sheets for leaf in leaves)
    count = f"{show.counted(len(leaves), 'leaf', 'leaves')}, {show.counted(sheets, 'sheet')}"
    yield Step(
        title=word("{first} to {last}", first=leaves[0].title, last=leaves[-1].title),
        out=_state(leaves[0]),
        through=_state(leaves[-1]),
        count=count,
    )


def on_letters(found: Comparison, filed: Filed) -> str:
    """Return the sentence on a binder in which each material has a sheet of its own; empty for any other."""
    materials = [leaf.code for leaf in filed.leaves if leaf.chapter in (MATERIALS_CHAPTER, word(MATERIALS_CHAPTER))]
    own = [code for code in materials if not code.startswith((DIVIDER, GATHERED))]
    if not own or not set(own) <= set(found.withdrawn) or not any(code.startswith(GATHERED) for code in found.new):
        return ""
    return word(
        "Materials stand several to a sheet now: take out all sheets of materials behind their divider and put in the "
        "new ones."
    )


def _state(leaf: FiledLeaf, *, barred: bool = False) -> LeafState:
    words = (word("issue {issue}", issue=leaf.issue) if leaf.issue else "", word("barred") if barred else "")
    return LeafState(
        code=leaf.code,
        issue=", ".join(part for part in words if part),
        sheets=word("sheet 1") if leaf.sheets == 1 else word("sheets 1–{last}", last=leaf.sheets),
        check=check_code(leaf.content),
    )


def _counts(found: Comparison, printed: Sequence[str], then: Mapping[str, FiledLeaf], after: Filed) -> tuple[str, ...]:
    looks = sum(1 for code in found.looks if code in printed)
    kinds = {
        noted("changed"): len(found.changed), noted("new"): len(found.new), noted("withdrawn"): len(found.withdrawn),
        noted("in another look"): looks, noted("moved"): len(found.moved),
    }  # fmt: skip
    put = sum(leaf.sheets for leaf in after.leaves if leaf.code in printed)
    out = sum(leaf.sheets for code, leaf in then.items() if code in printed or code in found.withdrawn)
    return tuple(_counted(kinds, put, out))


def _counted(kinds: Mapping[str, int], put: int, out: int) -> Iterator[str]:
    yield f"{', '.join(f'{number}{show.NBSP}{word(kind)}' for kind, number in kinds.items() if number)}."
    yield word("{sheets} to put in, {out} to take out.", sheets=show.counted(put, "sheet"), out=out)
