"""Paper and holes, on the finished binder: boxes, the hole zone, punch marks, the pencil's margin, type, grey.

The binder is what the command makes of the small book and of one more formula that has everything too large.  The
figures come from the published check values; ink is what a grey printer would put on the sheet.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from io import BytesIO
from itertools import combinations
from pathlib import Path
from shutil import copytree

import numpy as np
import pikepdf
import pytest
from PIL import Image

from bookgen.binder import LeafKind, bindery_for, effective_sheets, leaves_of, row_of, sheet_style
from bookgen.binder.fitting import fitting
from bookgen.binder.paper import SIZES, ZONE, punch_marks
from bookgen.binder.style import numbering
from bookgen.leaf import Leaf
from bookgen.look import load_theme
from bookgen.model import PUNCHED, Holes, Paper, Workroom
from bookgen.pipeline import check_book
from bookgen.press.bind import bind
from bookgen.press.render import render, render_all
from tests.test_check_values import ITEMS

from .conftest import HERE
from .ink import Type, type_of
from .raster import PER_MM, WHITE, Side, ink_between, sides_of, spots, words_of

LONG_CODE = "W" * 40
WORD = "Q" * 60
TITLE = "A cream for hands that were in clay, lime and cold water all day, and for the wrists above them; " * 3

TOO_LARGE = f"""\
---
code: {LONG_CODE}
title: {TITLE.strip()[:299]}
kind: cosmetic
status: draft
issue: 12
use: leave-on, hands, adults
purpose: {WORD}
makes: 100 g
ingredients:
  A, {WORD}:
    wax: 10 %, {WORD}
  B:
    W-1: to 100 g, solvent
equipment: [{WORD}]
container: {WORD}
storage: refrigerator, {WORD}, 10 days
hazards: [{WORD}]
source: {WORD}
changes:
  12, 2026-03-01: {WORD}
---

![{WORD}](wide.png)

![tall](tall.png)

## Method

1. Melt {WORD} [the wax](amount:wax) with `{WORD}`.
2. Add [{WORD}](amount:W-1).

    {WORD * 3}

## Notes

| {" | ".join(f"head {WORD[:9]} {number}" for number in range(14))} |
| {" | ".join("---" for _ in range(14))} |
| {" | ".join(f"cell {WORD[:20]} {number}" for number in range(14))} |

[https://example.org/{WORD}](https://example.org/{WORD})

- {WORD}
  - {WORD}
    - {WORD}

> {WORD}

### {WORD}
"""


BATCH = f"""\
---
batch: {LONG_CODE}-2026-03-02
of: {LONG_CODE}, issue 12
made: 2026-03-02
obtain: 100 g
planned: {{A: {{wax: 10.0 g}}, B: {{W-1: 90.0 g}}}}
weighed: {{A: {{wax: 10.1 g}}, B: {{W-1: 89.9 g}}}}
came out: 99 g
observed: {{2026-03-09: {WORD}}}
next time: {WORD}
---

## Notes

{WORD}
"""


def picture(width: int, height: int) -> bytes:
    """Return a black picture."""
    file = BytesIO()
    Image.new("L", (width, height)).save(file, "PNG")
    return file.getvalue()


TOP = {Paper.A5: 13, Paper.A4: 21, Paper.LETTER: 13}
"""Height in which the running head stands, mm."""


def book(folder: Path, paper: Paper, duplex: bool, *more: str) -> Path:
    """Write the small book on that paper, with a formula that has everything too large."""
    copytree(HERE / "book", folder)
    room = folder / "formulas" / "workroom.yaml"
    told = room.read_text().replace("paper: A5", f"paper: {paper}\nduplex: {'yes' if duplex else 'no'}")
    assert str(paper) in told
    room.write_text("\n".join((told, *more, "")))
    creams = folder / "formulas" / "creams"
    (creams / "too-large.md").write_text(TOO_LARGE)
    batches = folder / "formulas" / "batches"
    batches.mkdir()
    (batches / f"{LONG_CODE}-2026-03-02.md").write_text(BATCH)
    (creams / "wide.png").write_bytes(picture(3000, 200))
    (creams / "tall.png").write_bytes(picture(200, 3000))
    return folder


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """A binder with what each of its sides is."""

    pdf: bytes
    kinds: tuple[LeafKind, ...]
    codes: tuple[str, ...]
    backs: tuple[bool, ...]


def printed(folder: Path, duplex: bool) -> Printed:
    """Print a book's binder; the list of effective sheets, which is made last, comes last: a leaf for each sheet."""
    checked, theme = check_book(folder), load_theme(folder)
    bindery = bindery_for(checked.reckoning, checked.review, theme, frozenset({LONG_CODE.casefold()}))
    style = sheet_style(theme, checked.book.workroom)
    sheets = leaves_of(bindery)
    pieces = render_all([one.leaf for one in sheets], style, workers=1)
    rows = [row_of(one, piece.pages, "", duplex=duplex) for one, piece in zip(sheets, pieces, strict=True)]
    listed = effective_sheets(bindery, rows)
    sheets += listed
    pieces += tuple(render(one.leaf, style) for one in listed)
    bound = bind(pieces, title="x", lang="en", duplex=duplex)
    assert [problem for piece in pieces for problem in piece.problems] + list(bound.problems) == []
    of = [(one, side) for one, piece in zip(sheets, pieces, strict=True) for side in range(piece.pages)]
    return Printed(
        pdf=bound.pdf,
        kinds=tuple(one.kind for one, _ in of),
        codes=tuple(one.leaf.code for one, _ in of),
        backs=tuple(duplex and side % 2 == 1 for _, side in of),
    )


def zone(side: Side, paper: Paper, back: bool) -> Side:
    """Return the hole zone of a side: true where there is ink."""
    width = SIZES[paper].width
    return ink_between(side, width - ZONE, width) if back else ink_between(side, Fraction(0), ZONE)


def fore_edge(side: Side, paper: Paper, back: bool, darker_than: int = WHITE) -> Side:
    """Return the margin for the pencil: true where there is ink.  A5 has 9 mm, no strip to write in, the others 35 mm.

    Rules end where it begins, so that the outermost tenths are left out.
    """
    width, pencil = SIZES[paper].width, Fraction(9 if paper is Paper.A5 else 35) - Fraction(4, 10)
    left, right = (Fraction(0), pencil) if back else (width - pencil, width)
    return ink_between(side, left, right, darker_than)


@pytest.mark.parametrize(
    ("paper", "duplex"),
    [(Paper.A4, True), (Paper.A5, True), (Paper.LETTER, True), (Paper.A5, False)],
    ids=["A4 both sides", "A5 both sides", "Letter both sides", "A5 one side"],
)
def test_every_side_keeps_to_its_paper(paper: Paper, duplex: bool, tmp_path: Path) -> None:
    """Boxes, size of type and grey, head and foot, hole zone, pencil margin: the binder is printed once for all."""
    binder = printed(book(tmp_path / "book", paper, duplex), duplex)
    assert LONG_CODE in binder.codes
    assert set(binder.kinds) == set(LeafKind)
    assert set(binder.backs) == ({True, False} if duplex else {False})
    check_boxes_type_and_grey(binder, paper)
    check_head_and_foot(binder, paper, duplex, tmp_path / "words")
    sides = sides_of(binder.pdf, tmp_path / "sides")
    inked = [
        (code, number)
        for number, (side, code, back) in enumerate(zip(sides, binder.codes, binder.backs, strict=True))
        if zone(side, paper, back).any()
    ]
    assert inked == []
    pencilled = [
        (code, number)
        for number, (side, code, kind, back) in enumerate(
            zip(sides, binder.codes, binder.kinds, binder.backs, strict=True)
        )
        if kind is not LeafKind.DIVIDER and fore_edge(side, paper, back).any()
    ]
    assert pencilled == []
    for side, kind, back in zip(sides, binder.kinds, binder.backs, strict=True):
        if kind is LeafKind.DIVIDER:
            check_tab(fore_edge(side, paper, back, darker_than=60))
    out_of_reach = 4 * PER_MM  # of many printers, at the top and at the foot
    for code, kind, side in zip(binder.codes, binder.kinds, sides, strict=True):
        if kind is not LeafKind.DIVIDER:  # whose tab runs to the edge
            assert (side[:out_of_reach] >= WHITE).all(), code
            assert (side[-out_of_reach:] >= WHITE).all(), code


def check_boxes_type_and_grey(binder: Printed, paper: Paper) -> None:
    """The page boxes are the paper; no type below 9 pt; every text dark enough, nothing told by a colour."""
    width, height = (Fraction(one) for one in ITEMS["T14-09"]["expected"][paper])
    within = Fraction(ITEMS["T14-09"]["tolerance"]["abs"])
    with pikepdf.open(BytesIO(binder.pdf)) as pdf:
        assert len(pdf.pages) == len(binder.codes)
        for page, code, kind in zip(pdf.pages, binder.codes, binder.kinds, strict=True):
            box = [Fraction(str(one)) for one in page.mediabox]
            assert box[:2] == [0, 0]
            assert abs(box[2] - width) <= within
            assert abs(box[3] - height) <= within
            assert {"/CropBox", "/TrimBox", "/BleedBox"}.isdisjoint(page.obj) or page.cropbox == page.mediabox
            for one in type_of(page):
                assert one.points >= 8.99, (code, one)
                on_the_tab = kind is LeafKind.DIVIDER and (one.red, one.green, one.blue) == (1, 1, 1)
                assert on_the_tab or contrast(one) >= 4.5, (code, one)
                assert one.red == one.green == one.blue, (code, one)


def check_head_and_foot(binder: Printed, paper: Paper, duplex: bool, folder: Path) -> None:
    """No word of head or foot is printed upon another; a blank side says so; the foot tells sheet and side."""
    height, blanks = float(SIZES[paper].height), 0
    number = dict.fromkeys(binder.codes, 0)
    for words, code, back in zip(words_of(binder.pdf, folder), binder.codes, binder.backs, strict=True):
        margins = [one for one in words if one.top < TOP[paper] or one.bottom > height - 16]
        for one, other in combinations(margins, 2):
            assert not one.runs_into(other), (code, one, other)
        foot = " ".join(one.text for one in words if one.bottom > height - 16)
        number[code] += 0 if back else 1
        of = (binder.codes.count(code) + 1) // (2 if duplex else 1) - (0 if duplex else 1)
        side = (" · back" if back else " · front") if duplex else ""
        assert f"sheet {number[code]} of {of}{side}" in foot, foot
        says = "This side is blank on purpose." in " ".join(one.text for one in margins)
        empty = len(words) == len(margins)
        assert says or not empty or code == LONG_CODE, code  # which has a side with a picture alone
        assert not says or (back and (empty or code.startswith("divider-"))), code  # which has its tab
        blanks += says
    assert (blanks > 0) == duplex


def check_tab(strip: Side) -> None:
    """The one tab of a divider's side is black enough around its white words."""
    ((left, top, right, bottom),) = spots(strip)
    inside = strip[round(top * PER_MM) : round(bottom * PER_MM), round(left * PER_MM) : round(right * PER_MM)]
    assert inside.mean() > 0.6


def contrast(one: Type) -> float:
    """Return the contrast of type with the white of the paper (WCAG 2, definition of contrast ratio)."""
    parts = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in (one.red, one.green, one.blue))
    luminance = sum(weight * part for weight, part in zip((0.2126, 0.7152, 0.0722), parts, strict=True))
    return 1.05 / (luminance + 0.05)


SINS = {
    "text": '<p style="margin-left: -12mm">in the way</p>',
    "rule": '<hr style="margin: 0 0 0 -12mm; border: 0; border-top: 0.5pt solid #777">',
    "picture": '<img style="position: absolute; left: -12mm; width: 5mm" alt="" src="data:image/png;base64,{}">',
}


def sin(name: str, back: bool) -> str:
    """Return something that a template puts into the hole zone of a front, or of a back."""
    found = SINS[name].format(b64encode(picture(9, 9)).decode())
    if back:
        found = found.replace("margin-left: -12mm", "text-align: right; margin-right: -12mm")
        found = found.replace("0 0 0 -12mm", "0 -12mm 0 0").replace("left: -12mm", "right: -12mm")
    return found


@pytest.mark.parametrize("name", SINS)
@pytest.mark.parametrize("back", [False, True], ids=["front", "back"])
def test_a_template_that_prints_in_the_hole_zone_is_found(name: str, back: bool, tmp_path: Path) -> None:
    """The same check as above sees what a book's own template does wrong, on its side and on no other."""
    folder = book(tmp_path / "book", Paper.A5, True)
    own = folder / "themes" / "workroom" / "sheets"
    own.mkdir(parents=True)
    turned = '<div style="break-before: page">' if back else "<div>"
    (own / "materials.html").write_text(
        '{% extends "sheets/base.html" %}{% block main %}<h1>Mine</h1>'
        f"{turned}<p>More</p>{sin(name, back)}</div>{{% endblock %}}"
    )
    checked, theme = check_book(folder), load_theme(folder)
    sheets = leaves_of(bindery_for(checked.reckoning, checked.review, theme))
    leaf = next(one.leaf for one in sheets if one.leaf.code == "materials-a")
    piece = render(leaf, sheet_style(theme, checked.book.workroom))
    front_side, back_side = sides_of(piece.pdf, tmp_path / "sides")
    assert zone(front_side, Paper.A5, False).any() is np.bool_(not back)
    assert zone(back_side, Paper.A5, True).any() is np.bool_(back)


def published(paper: Paper, holes: Holes) -> list[Fraction]:
    """Return where the holes stand: as published where there is an item, else by the pitch of the same items."""
    for key in ("T14-02", "T14-03", "T14-04", "T14-06"):
        inputs = ITEMS[key]["inputs"]
        if (inputs["paper"], inputs["holes"]) == (paper, holes):
            return [Fraction(one) for one in ITEMS[key]["expected"]]
    middle = Fraction(ITEMS["T14-08"]["expected"]["Letter"][1]) / 2  # ISO 838 on Letter, which no source tells
    pitch = Fraction(ITEMS["T14-01"]["expected"]["spacing_mm"])
    return [middle + pitch * Fraction(step, 2) for step in ((-1, 1) if holes is Holes.TWO else (-3, -1, 1, 3))]


@pytest.mark.parametrize(("paper", "holes"), [(paper, holes) for paper in Paper for holes in PUNCHED[paper]])
@pytest.mark.parametrize("duplex", [True, False], ids=["both sides", "one side"])
def test_punch_marks_stand_where_the_holes_go(paper: Paper, holes: Holes, duplex: bool, tmp_path: Path) -> None:
    """Centres within half a millimetre; nothing else in the zone; nothing that a reader of the PDF would hear."""
    room = Workroom(paper=paper, holes=holes, punch_marks=True, duplex=duplex)
    html = (
        f'<!DOCTYPE html><html lang="en"><head><title>x</title><style>{numbering(9)}</style></head>'
        '<body data-foot="x" data-mark="y" data-law="z"><p>one</p><p style="break-before: page">two</p></body></html>'
    )
    piece = render(Leaf(code="x", title="x", chapter="", html=html), sheet_style(load_theme(), room))
    assert piece.problems == ()
    edge = Fraction(127, 10) if holes is Holes.THREE else Fraction(ITEMS["T14-01"]["expected"]["edge_mm"])
    sides = sides_of(piece.pdf, tmp_path / "sides")
    assert len(sides) == 2
    for number, side in enumerate(sides):
        back = duplex and number == 1
        found = spots(zone(side, paper, back))
        assert [(top + bottom) / 2 for _, top, _, bottom in found] == pytest.approx(
            [float(one) for one in published(paper, holes)], abs=0.5
        )
        for left, top, right, bottom in found:
            assert (left + right) / 2 == pytest.approx(float(ZONE - edge if back else edge), abs=0.5)
            assert right - left < 6 > bottom - top  # the mark falls out with the hole
            assert right - left > 2 < bottom - top
    with pikepdf.open(BytesIO(piece.pdf)) as pdf:
        for page in pdf.pages:
            assert list(forms_outside_artifacts(page)) == []


def forms_outside_artifacts(page: pikepdf.Page) -> Iterator[str]:
    """Yield what is painted as a group and not marked as an artifact."""
    inside: list[bool] = []
    for operands, operator in pikepdf.parse_content_stream(page):
        if str(operator) in ("BMC", "BDC"):
            inside.append(str(operands[0]) == "/Artifact")
        elif str(operator) == "EMC":
            inside.pop()
        elif str(operator) == "Do" and not any(inside):
            yield str(operands[0])


def test_no_mark_is_printed_where_none_is_asked_for(tmp_path: Path) -> None:
    plain = sheet_style(load_theme(tmp_path), Workroom()).css
    marks = punch_marks(Workroom(punch_marks=True))
    assert punch_marks(Workroom()) == ""
    assert marks in sheet_style(load_theme(tmp_path), Workroom(punch_marks=True)).css
    assert marks not in plain


@pytest.mark.parametrize("paper", Paper)
def test_only_holes_that_lie_on_the_paper_are_offered(paper: Paper) -> None:
    """Three fit A4 as well, but are nobody's custom there."""
    height = SIZES[paper].height
    four = 3 * Fraction(ITEMS["T14-01"]["expected"]["spacing_mm"])
    assert (Holes.FOUR in PUNCHED[paper]) == (four < height)
    assert (Holes.THREE in PUNCHED[paper]) == (paper is Paper.LETTER)
    assert Holes.TWO in PUNCHED[paper]


def test_what_fits_is_left_as_it_is() -> None:
    table = '<table class="text">\n<tr><th>how</th><th>what</th></tr>\n<tr><td>slow</td><td>smooth</td></tr>\n</table>'
    words = "<p>With <i>Butyrospermumparkiibutterextra</i> &amp; magnesium.</p>"
    assert fitting(table, Paper.A5) == table
    assert fitting(words, Paper.A5) == words
    wide = table.replace("<td>slow</td>", "<td>slow</td>" + "<td>unhurriedly</td>" * 5)
    assert "crowded" in fitting(wide, Paper.A5)
    assert "crowded" not in fitting(wide, Paper.A4)
