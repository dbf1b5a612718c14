"""What is printed for one batch: a worksheet, or labels, as one PDF of its own.  Decides nothing."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from ..fraction import Fraction
from ..language import speaking
from ..source.values import LONGEST_MM
from ..wording.saying import Saying, says
from .checking import Checked
from .publishing import in_sentences

if TYPE_CHECKING:
    from ..leaf import Leaf, Style
    from ..look.themes import Theme
    from ..model import LabelSheet, Paper
    from ..reckon.labelled import LabelWish
    from ..reckon.weighing import Weighing
    from ..shown.jar_label import JarLabel

WORKSHEET = "worksheet"
LABEL = "label"


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedAlone:
    """What became of it."""

    written: str = ""
    """The PDF; empty where nothing could be printed."""
    problems: tuple[str, ...] = ()
    """What the press had to say, in sentences."""


def print_worksheet(
    checked: Checked, weighing: Weighing, target: Path, *, paper: Paper, today: date, trainee: bool = False
) -> PrintedAlone:
    """Write the worksheet of one batch.  Raises CannotPublish and FaultyTheme."""
    from ..binder.leaves import picture_within
    from ..look import load_theme
    from ..loose.worksheet import worksheet_leaves, worksheet_style
    from ..press.render import PressError
    from ..shown.shelf import shelf_of
    from ..shown.worksheet import worksheet_shown

    room = checked.book.workroom
    shelf = replace(shelf_of(checked.reckoning, checked.review), way=_nowhere)
    with in_sentences(target), speaking(shelf.book.workroom.language):
        theme = load_theme(checked.root)
        shown = worksheet_shown(weighing, shelf, picture_within(shelf), today)
        style = worksheet_style(theme, room, paper)
        ways = [
            tuple(worksheet_leaves(theme, room, paper, shown, trainee=trainee, close=close)) for close in (False, True)
        ]
        try:
            leaves = _fewest_sheets(ways, style, duplex=room.duplex)
        except PressError as reason:
            return PrintedAlone(problems=(str(reason),))
        title = f"{shown.code} {shown.title}: {WORKSHEET} of {shown.made}"
        return print_alone(checked, leaves, style, target, WORKSHEET, title, duplex=room.duplex)


def _fewest_sheets(ways: Sequence[tuple[Leaf, ...]], style: Style, *, duplex: bool) -> tuple[Leaf, ...]:
    """Return the first of the ways to set a worksheet that takes fewest sheets; one sheet is not tried to be fewer.

    Raises PressError.
    """
    from ..press.cache import Cache, cache_folder
    from ..press.render import Press

    found: list[int] = []
    with Press(style, workers=1, cache=Cache(folder=cache_folder())) as press:
        for leaves in ways:
            sides = press.print(leaves[:1])[0].pages
            found.append((sides + 1) // 2 if duplex else sides)
            if found[-1] == 1:
                break
    return ways[found.index(min(found))]


def print_abreast(
    checked: Checked, weighings: Sequence[Weighing], target: Path, *, paper: Paper, today: date
) -> PrintedAlone:
    """Write one worksheet for several batches, side by side.  Raises CannotPublish and FaultyTheme."""
    from ..binder.leaves import picture_within
    from ..look import load_theme
    from ..loose.worksheet import ABREAST, abreast_leaf, worksheet_style
    from ..shown.abreast import abreast_shown
    from ..shown.shelf import shelf_of

    room = checked.book.workroom
    shelf = replace(shelf_of(checked.reckoning, checked.review), way=_nowhere)
    with in_sentences(target), speaking(room.language):
        theme = load_theme(checked.root)
        shown = abreast_shown(weighings, shelf, picture_within(shelf), today)
        leaf = abreast_leaf(theme, room, paper, shown)
        style = worksheet_style(theme, room, paper, ABREAST)
        return print_alone(
            checked, (leaf,), style, target, WORKSHEET, f"{leaf.title} of {shown.made}", duplex=room.duplex
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelJob:
    """How labels are printed."""

    sheet: LabelSheet
    """The sheet."""
    alone: bool
    """True where the sheet is one label, and its own paper."""
    count: int
    """How many, 1 or more."""
    first: int
    """The field to begin at, from 1."""
    leaflet: bool
    """True where cautions and ingredients go on a leaflet."""
    rulers: bool
    """True where outlines and marks are drawn."""


class LabelTooSmall(Exception):
    """The text does not fit on the label in legible type."""

    def __init__(self, says: Saying) -> None:
        super().__init__(str(says))
        self.says = says
        """What to do instead, as a reason."""


def print_labels(checked: Checked, weighing: Weighing, wish: LabelWish, target: Path, job: LabelJob) -> PrintedAlone:
    """Write the labels of one batch, in the largest type that fits.

    Raises LabelTooSmall, CannotPublish and FaultyTheme.
    """
    from ..binder.paper import SIZES
    from ..look import load_theme
    from ..loose.fields import least_points, size_of, sizes_down_to
    from ..loose.labels import label_faces, label_leaf, label_style, leaflet_leaf
    from ..press.cuts import x_height
    from ..press.render import PressError
    from ..shown.jar_label import jar_label, on_leaflet
    from ..shown.shelf import shelf_of

    shelf = replace(shelf_of(checked.reckoning, checked.review), way=_nowhere)
    with in_sentences(target), speaking(shelf.book.workroom.language):
        theme = load_theme(checked.root)
        style, label = label_style(theme), jar_label(weighing, wish, shelf)
        short, leaflet = on_leaflet(label) if job.leaflet else (label, None)
        try:
            least = least_points(min(map(x_height, label_faces(style))), job.sheet)
            points = _fitting(theme, style, short, job, sizes_down_to(least))
        except (ValueError, PressError) as reason:
            return PrintedAlone(problems=(str(reason),))
        leaves = [
            label_leaf(
                theme,
                short,
                job.sheet,
                size_of(job.sheet, alone=job.alone),
                points,
                count=job.count,
                first=job.first,
                with_rulers=job.rulers,
            )
        ]
        if leaflet is not None and leaflet.pieces:
            leaves.append(leaflet_leaf(theme, leaflet, SIZES[checked.book.workroom.paper]))
        title = f"{weighing.formula.code} {weighing.formula.title}: labels"
        return print_alone(checked, leaves, style, target, LABEL, title, duplex=False)


def _fitting(theme: Theme, style: Style, label: JarLabel, job: LabelJob, sizes: Sequence[Fraction]) -> Fraction:
    """Return the largest of the sizes of type, which fall, in which a label holds its text.  Raises LabelTooSmall."""
    from ..loose.labels import trial_leaf
    from ..press.render import Press

    sheet = job.sheet

    with Press(style, workers=1) as press:

        def fits(points: Fraction, height: Fraction) -> bool:
            (printed,) = press.print([trial_leaf(theme, label, sheet.width_mm, height, points)])
            return printed.pages == 1 and not printed.problems

        least = sizes[-1]
        if fits(least, sheet.height_mm):
            return sizes[bisect_left(sizes, True, key=lambda points: fits(points, sheet.height_mm))]
        leaflet = None if job.leaflet else says("label-or-leaflet")
        heights = range(1, int(LONGEST_MM) + 1)
        at = bisect_left(heights, True, key=lambda height: fits(least, Fraction(height)))
    if at == len(heights):
        told = says("label-far-too-small", points=least, width=sheet.width_mm, leaflet=leaflet)
    else:
        told = says(
            "label-too-small",
            points=least,
            needs=Fraction(heights[at]),
            width=sheet.width_mm,
            height=sheet.height_mm,
            leaflet=leaflet,
        )
    raise LabelTooSmall(told)


def _nowhere(key: str) -> str:
    """No link leads out of a loose leaf."""
    return ""


def print_alone(
    checked: Checked,
    leaves: Sequence[Leaf],
    style: Style,
    target: Path,
    what: str,
    title: str,
    *,
    duplex: bool,
    elsewhere: Collection[str] = frozenset(),
) -> PrintedAlone:
    """Print leaves and write them as one file; links to the codes `elsewhere` are taken off."""
    from ..press.alone import write_alone
    from ..press.bind import bind
    from ..press.cache import Cache, cache_folder
    from ..press.render import Press, PressError

    room = checked.book.workroom
    try:
        with Press(style, workers=1, cache=Cache(folder=cache_folder())) as press:
            pieces = press.print(leaves)
        bound = bind(pieces, title=title, lang=room.language, author=room.keeper, duplex=duplex, elsewhere=elsewhere)
    except PressError as reason:
        return PrintedAlone(problems=(str(reason),))
    write_alone(target, bound.pdf, what)
    said = (*(problem for piece in pieces for problem in piece.problems), *bound.problems)
    return PrintedAlone(written=str(target), problems=tuple(f"{problem.code}: {problem.sentence}" for problem in said))
