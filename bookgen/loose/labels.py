"""Labels as leaves: sheets of them, one that is tried for size, and the leaflet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from markupsafe import Markup

from ..binder.paper import Size, millimetres
from ..binder.style import faces
from ..fraction import Fraction
from ..leaf import Face, Leaf, Style
from ..look.themes import Theme
from ..model import LabelSheet
from ..shown.jar_label import JarLabel
from .fields import PADDING, rulers, sheet_of_one, sheets_for

if TYPE_CHECKING:
    from .fields import LabelField

FAMILY = "Workroom Sans"
"""The type of labels."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedLabel:
    """One label's place, as a style sheet has it."""

    left: str
    """From the left edge of the paper, mm."""
    top: str
    """From the upper edge of the paper, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelsShown:
    """Sheets of one label, over and over."""

    label: JarLabel
    """The label."""
    points: str
    """Size of its type."""
    width: str
    """Width of a label, mm."""
    height: str
    """Height of a label, mm."""
    padding: str
    """Free at each of its edges, mm."""
    paper_height: str
    """Height of the paper, mm."""
    sheets: tuple[tuple[PlacedLabel, ...], ...]
    """The labels on each sheet; none where the text flows alone, as on a leaflet."""


def label_style(theme: Theme) -> Style:
    """Return the style of labels; their paper stands in each leaf."""
    return Style(css="\n".join((theme.text("sheets/label.css"), theme.text("sheets/own.css"))), faces=faces(theme))


def label_faces(style: Style) -> tuple[Face, ...]:
    """Return the cuts of type that labels are set in."""
    return tuple(face for face in style.faces if face.family == FAMILY)


def label_leaf(
    theme: Theme,
    label: JarLabel,
    sheet: LabelSheet,
    size: Size,
    points: Fraction,
    *,
    count: int,
    first: int,
    with_rulers: bool,
) -> Leaf:
    """Return so many labels on their sheets, from a field on."""
    placed = tuple(tuple(_placed(field) for field in fields) for fields in sheets_for(sheet, count, first))
    rules = rulers(sheet, size) if with_rulers else ""
    page = f"size: {millimetres(size.width)}mm {millimetres(size.height)}mm; margin: 0; {rules}"
    return _leaf(theme, label, "labels", sheet, size, points, page, placed)


def trial_leaf(theme: Theme, label: JarLabel, width: Fraction, height: Fraction, points: Fraction) -> Leaf:
    """Return the text of one label on paper of its size: what does not fit runs over onto a second page."""
    page = f"size: {millimetres(width)}mm {millimetres(height)}mm; margin: {millimetres(PADDING)}mm"
    sheet = sheet_of_one(width, height)
    return _leaf(theme, label, "trial", sheet, Size(width=width, height=height), points, page, ())


def leaflet_leaf(theme: Theme, label: JarLabel, size: Size) -> Leaf:
    """Return the leaflet, on paper of its own."""
    page = f"size: {millimetres(size.width)}mm {millimetres(size.height)}mm; margin: 15mm"
    sheet = sheet_of_one(size.width, size.height)
    return _leaf(theme, label, "leaflet", sheet, size, Fraction(10), page, ())


def _placed(field: LabelField) -> PlacedLabel:
    return PlacedLabel(left=millimetres(field.left), top=millimetres(field.top))


def _leaf(
    theme: Theme,
    label: JarLabel,
    what: str,
    sheet: LabelSheet,
    size: Size,
    points: Fraction,
    page: str,
    placed: Sequence[tuple[PlacedLabel, ...]],
) -> Leaf:
    shown = LabelsShown(
        label=label,
        points=millimetres(points),
        width=millimetres(sheet.width_mm),
        height=millimetres(sheet.height_mm),
        padding=millimetres(PADDING),
        paper_height=millimetres(size.height),
        sheets=tuple(placed),
    )
    html = theme.render("sheets/labels.html", page=shown, paper=Markup(f"@page {{ {page} }}"))
    return Leaf(code=what, title=f"{label.name}: {what}", chapter="", html=html)
