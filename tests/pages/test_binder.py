"""The finished binders read back: what the foot and the list say, how they are tagged, linked, set and described.

Read with pypdf, poppler and qpdf.  Each binder is made once for all tests, by the way that the command goes.
"""

from __future__ import annotations

import json
import re
import subprocess
from collections.abc import Iterator
from fractions import Fraction
from io import BytesIO
from itertools import groupby
from pathlib import Path
from typing import Any

import pikepdf
import pytest
import yaml
from fontTools.ttLib import TTFont

from bookgen.shown.shelf import LAW_SHORT
from bookgen.source import read_workroom_alone

from ..press.matterhorn import failures
from ..test_check_values import ITEMS
from .bound import BOUND, bound
from .readback import ReadBack, Row, Side, bare

BLANK = "This side is blank on purpose."
LIST = "effective-sheets"
STAMP = re.compile(r"(?i)\b(draft|trial|barred)\b")
FRONT = ("title", LIST, "contents", "by-material", "by-purpose")


@pytest.fixture(scope="session", params=BOUND)
def binder(request: pytest.FixtureRequest, tmp_path_factory) -> ReadBack:
    """Each binder in turn, read back."""
    return bound(request.param, tmp_path_factory)


@pytest.fixture
def duplex(binder: ReadBack) -> bool:
    return binder.name != "small, one side"


@pytest.fixture
def room(binder: ReadBack) -> Any:
    return read_workroom_alone(binder.book).workroom


# ── The foot and the list of effective sheets ─────────────────────────────────────────────────────────────────────


def bookmark(row: Row) -> str:
    """Return what a leaf is called by its bookmark: a formula by code and title, materials by their letters."""
    letters = row.title.removeprefix("Materials ") if row.group == "Materials" else row.title
    return f"{row.code} {row.title}" if row.issue else letters


def held(binder: ReadBack) -> dict[str, list[tuple[str, int]]]:
    """Return code of a sheet of materials → the names on it, each with the page that it stands on."""
    found = {}
    for row, section in zip(binder.listed, binder.sections, strict=True):
        if row.group == "Materials" and not row.code.startswith("divider-"):
            heads = section.of_kind("H2")
            pages = [
                next(kid[0] for one in head.walk() for kid in one.kids if isinstance(kid, tuple)) for head in heads
            ]
            found[row.code] = [(bare(binder.words(head)), page) for head, page in zip(heads, pages, strict=True)]
    return found


def test_every_leaf_agrees_with_the_printed_list(binder: ReadBack) -> None:
    """Code, issue, date and check code on each side; the sheets are as many as the list says, in its order."""
    assert [leaf[0].code for leaf in binder.leaves] == [row.code for row in binder.listed]
    assert len({row.code for row in binder.listed}) == len(binder.listed)
    for leaf, row in zip(binder.leaves, binder.listed, strict=True):
        said = {(side.issue, side.issued, side.check, side.of) for side in leaf}
        own = row.code.startswith(LIST)
        assert said == {(row.issue, row.issued, leaf[0].check if own else row.check, leaf[0].of if own else row.sheets)}
    assert len(binder.listed) > 13


def test_sides_are_numbered_as_sheets(binder: ReadBack, duplex: bool) -> None:
    """Printed on both sides a leaf begins on a right-hand page; on one side every side is a sheet."""
    for leaf in binder.leaves:
        sheets, of = [side.sheet for side in leaf], leaf[0].of
        if duplex:
            assert leaf[0].number % 2 == 0, leaf[0].code
            assert sheets == [number // 2 + 1 for number in range(2 * of)]
            assert [side.side for side in leaf] == ["front", "back"] * of
        else:
            assert sheets == list(range(1, of + 1))
            assert {side.side for side in leaf} == {""}


def test_blank_backs_say_so_and_only_they(binder: ReadBack, duplex: bool) -> None:
    blank = {side.number for side in binder.sides if not binder.painted[side.number].numbers}
    assert {side.number for side in binder.sides if BLANK in side.text} == blank
    assert blank <= {leaf[-1].number for leaf in binder.leaves if leaf[-1].side == "back"}
    assert bool(blank) == duplex
    row = {one.code: one for one in binder.listed}
    for number in blank:
        side, lines = binder.sides[number], [line for line in binder.texts[number].splitlines() if line]
        # A divider's tab names its chapter on both sides.
        tab, rest = lines[: lines.index(BLANK)], lines[lines.index(BLANK) :]
        assert bare("".join(tab)) == (bare(row[side.code].title) if side.code.startswith("divider-") else "")
        assert len(rest) == 3, "nothing else but this and the foot's two ends"


INDEXES = ("by-material", "by-purpose", "divider-")


def test_the_line_on_law_stands_where_one_works_and_where_one_begins(binder: ReadBack) -> None:
    """On each side that tells of formulas and materials, and in front; on no blank side, divider or index."""
    with_law = {side.number for side in binder.sides if LAW_SHORT in side.text}
    assert with_law == {
        side.number for side in binder.sides if BLANK not in side.text and not side.code.startswith(INDEXES)
    }
    assert {side.code for side in binder.sides if side.number in with_law} > {LIST, "contents", "materials-a"}


def front(path: Path) -> dict[str, Any]:
    """Return the front matter of a file of the book."""
    return yaml.safe_load(path.read_text(encoding="utf-8").split("---")[1])


def test_formulas_materials_and_nothing_withdrawn(binder: ReadBack) -> None:
    """Front matter, then each chapter behind its divider, the materials last; withdrawn formulas are named only."""
    groups = [(name, list(rows)) for name, rows in groupby(binder.listed, key=lambda row: row.group)]
    assert len(dict(groups)) == len(groups)
    front_matter = tuple(row.code for row in groups[0][1] if row.code != f"{LIST}-2")
    assert (groups[0][0], front_matter) == ("Front matter", FRONT)
    assert groups[-1][0] == "Materials"
    for name, (divider, *rows) in groups[1:]:
        assert divider.code.startswith("divider-")
        assert rows
        assert {bool(row.issue) for row in rows} == {name != "Materials"}
    kept = [front(path) for path in (binder.book / "formulas").rglob("*.md")]
    withdrawn = {one["code"] for one in kept if one.get("status") == "withdrawn"}
    codes = {row.code for row in binder.listed}
    assert not withdrawn & codes
    text = "".join(side.text for side in binder.sides if side.code.startswith(LIST))
    assert all(code in text.partition("Withdrawn")[2] for code in withdrawn)
    assert bool(withdrawn) == (binder.name != "official")


def test_the_attached_list_is_the_printed_one(binder: ReadBack) -> None:
    assert list(binder.reader.attachments) == ["effective-sheets.yaml"]
    (content,) = binder.reader.attachments["effective-sheets.yaml"]
    leaves = yaml.safe_load(content)["leaves"]
    assert [one["code"] for one in leaves] == [row.code for row in binder.listed]
    for one, row, leaf in zip(leaves, binder.listed, binder.leaves, strict=True):
        assert one["sheets"] == leaf[0].of
        assert one["content"].startswith(leaf[0].check)
        assert str(one.get("issue", "")) == row.issue
        assert bare(one["title"]) == bare(row.title)


def test_a_leaf_has_its_title_and_its_running_heads(binder: ReadBack) -> None:
    for leaf, row, section in zip(binder.leaves, binder.listed, binder.sections, strict=True):
        assert bare(section.title) == bare(bookmark(row))
        title = bare(row.title)
        assert title in "".join(bare(binder.words(one)) for one in section.of_kind("H1")), row.code
        if row.code == "title" or row.code.startswith("divider-"):
            continue
        for side in leaf:
            painted = binder.painted[side.number]
            if painted.numbers:
                head = bare(painted.artifacts)
                assert title in head, row.code
                assert row.group == "Front matter" or head.startswith(bare(row.group)), row.code


# ── Paper and type ────────────────────────────────────────────────────────────────────────────────────────────────


def test_every_side_has_the_size_of_its_paper(binder: ReadBack, room: Any) -> None:
    item = ITEMS["T14-09"]
    width, height = (Fraction(edge) for edge in item["expected"][str(room.paper)])
    within = Fraction(item["tolerance"]["abs"])
    for page in binder.pages:
        for box in (page.mediabox, page.cropbox, page.trimbox, page.bleedbox):
            left, bottom, right, top = (Fraction(str(edge)) for edge in box)
            assert (left, bottom) == (0, 0)
            assert abs(right - width) <= within
            assert abs(top - height) <= within
        assert page.rotation == 0


def fonts(one: Any) -> Iterator[Any]:
    """Yield the fonts that a page or a form may use."""
    resources = one.get("/Resources", {}).get("/Font", {})
    yield from (font.get_object() for font in resources.get_object().values())
    for form in one.get("/Resources", {}).get("/XObject", {}).values():
        yield from fonts(form.get_object())


CUTS = (
    "Workroom-Serif",
    "Workroom-Serif-Semi-Bold",
    "Workroom-Serif-Italic",
    "Workroom-Sans",
    "Workroom-Sans-Semi-Bold",
    "Workroom-Sans-Bold",
)
"""The cuts that the theme has."""


def test_every_font_is_embedded_and_each_cut_is_there_once(binder: ReadBack) -> None:
    """And a cut holds no letter that the binder does not print, but what is missing and parts of other letters."""
    files: dict[str, Any] = {}
    for font in (font for page in binder.pages for font in fonts(page)):
        assert font["/Subtype"] == "/Type0"
        (inner,) = font["/DescendantFonts"]
        descriptor = inner.get_object()["/FontDescriptor"].get_object()
        tag, _, name = descriptor["/FontName"].removeprefix("/").partition("+")
        assert re.fullmatch(r"[A-Z]{6}", tag), "a subset says so by six letters (ISO 32000-1, 9.6.4)"
        file = descriptor.raw_get("/FontFile2")
        assert files.setdefault(name, file) == file, f"{name} is there twice"
    assert {name for name in files if name not in CUTS} == set(), "a cut that the theme does not have was made up"
    assert len(files) >= 5
    assert len({file.get_object().get_data() for file in files.values()}) == len(files)
    used: dict[int, set[int]] = {}
    for painted in binder.painted:
        for number, glyphs in painted.glyphs.items():
            used.setdefault(number, set()).update(glyphs)
    assert set(used) == {file.idnum for file in files.values()}
    for name, file in files.items():
        font = TTFont(BytesIO(file.get_object().get_data()))
        table, order = font["glyf"], font.getGlyphOrder()
        drawn = {number for number, glyph in enumerate(order) if table[glyph].numberOfContours}
        parts = {font.getGlyphID(part) for number in drawn for part in table[order[number]].getComponentNames(table)}
        assert drawn - parts - {0} <= used[file.idnum], name


# ── Bookmarks and links ───────────────────────────────────────────────────────────────────────────────────────────


def test_bookmarks_are_front_matter_chapters_and_their_leaves(binder: ReadBack) -> None:
    """In the order of the binder, each leading to the first side of its leaf, a chapter's to its divider.

    A material's stands below its sheet's, and leads to where it stands.
    """
    wanted: list[Any] = []
    below = held(binder)
    assert sum(map(len, below.values())) == len(list((binder.book / "formulas" / "materials").glob("*.md")))
    for group, rows in groupby(zip(binder.listed, binder.leaves, strict=True), key=lambda one: one[0].group):
        lines: list[Any] = []
        for row, leaf in rows:
            lines += [(bare(bookmark(row)), leaf[0].number), *([below[row.code]] if row.code in below else ())]
        wanted += lines if group == "Front matter" else [lines[0], lines[1:]]

    def read(items: list[Any]) -> list[Any]:
        return [
            read(one) if isinstance(one, list) else (bare(one.title), binder.reader.get_destination_page_number(one))
            for one in items
        ]

    assert read(binder.reader.outline) == wanted


def linked(binder: ReadBack) -> Iterator[tuple[Side, Any, str]]:
    """Yield every link annotation with the side it stands on and the words of its structure element."""
    words = {
        kid.idnum: binder.words(one)
        for one in binder.document.walk()
        for kid in one.kids
        if one.kind == "Link" and hasattr(kid, "idnum")
    }
    for side in binder.sides:
        for reference in binder.pages[side.number].get("/Annots", []):
            yield side, reference.get_object(), words[reference.idnum]


def _begins(said: str, names: list[str]) -> bool:
    return any(name.startswith(said) for name in names)


def test_every_link_lands_on_the_leaf_that_it_names(binder: ReadBack) -> None:
    """By its code or title, or by the words that the keeper wrote for it.

    Words that run over the end of a line are several links to one place, one behind the other.
    """
    first = {leaf[0].number: row for leaf, row in zip(binder.leaves, binder.listed, strict=True)}
    materials = {one for names in held(binder).values() for one in names}
    landed, begun, ended = set(), ("", -1), ""
    written = {
        (bare(words), bare(front((path.parent / other).resolve()).get("code", other.rpartition("/")[2][:-3])))
        for path in (binder.book / "formulas").rglob("*.md")
        for words, other in re.findall(r"\[([^\]]+)\]\(([^():]+\.md)\)", path.read_text())
    }
    for side, link, words in linked(binder):
        assert link["/Subtype"] == "/Link"
        if "/A" in link:
            assert link["/A"]["/S"] == "/URI"
            assert re.match(r"https?:|mailto:", link["/A"]["/URI"])
            continue
        if isinstance(link["/Dest"], str):
            place = binder.reader.get_destination_page_number(binder.reader.named_destinations[link["/Dest"]])
            assert binder.sides[place].code == side.code, "a place within a leaf is told of in that leaf alone"
            continue
        number = binder.at[link["/Dest"][0].idnum]
        if any(page == number for _, page in materials) and (
            number not in first or not bare(first[number].title).startswith(bare(words))
        ):
            # What ends with a line may be a name by itself, and yet the beginning of a longer one.
            names = [name for name, page in materials if page == number]
            said = next(
                (said for said in (begun[0] + bare(words), ended + bare(words)) if _begins(said, names)), bare(words)
            )
            meant = [name for name in names if name.startswith(said)]
            prose = any(text == bare(words) for text, _ in written)
            assert meant or prose, f"{side.code}: {words} leads to a side of materials that has none of that name"
            begun = ("", -1) if prose or said in meant else (said, number)
            ended = said
            landed.update({said} & {*meant})
            continue
        assert number in first, f"a link on page {side.number + 1} leads into a leaf"
        assert begun[0] == "" or begun[1] == number, f"{side.code}: {begun[0]} is named by no leaf"
        row, said = first[number], begun[0] + bare(STAMP.sub("", words))
        code, title = bare(row.code), bare(row.title)
        whole = said in (code, title, code + title, title + code)
        prose = not whole and (bare(words), code) in written
        assert whole or prose or title.startswith(said), f"{side.code}: {words} leads to {row.code}"
        begun = ("", -1) if whole or prose else (said, number)
        landed.add(row.code)
    assert begun[0] == ""
    # The contents lead to every formula and material, the list to every leaf.
    assert {row.code for row in binder.listed if row.group != "Front matter" and "divider-" not in row.code} <= landed
    assert {name for name, _ in materials} <= landed


# ── Tags and what the document says of itself ─────────────────────────────────────────────────────────────────────


def numbered(tree: Any) -> dict[int, Any]:
    """Return the entries of a number tree."""
    tree = tree.get_object()
    found = {number: entry for kid in tree.get("/Kids", []) for number, entry in numbered(kid).items()}
    listed = tree.get("/Nums", [])
    return found | dict(zip(map(int, listed[::2]), listed[1::2], strict=True))


def test_no_condition_of_pdf_ua_fails(binder: ReadBack) -> None:
    """Of all its leaves: content, tree, lists, headings, tables, pictures, links, type, and what it says of itself."""
    with pikepdf.open(binder.path) as pdf:
        assert failures(pdf) == {}


def test_what_is_printed_is_what_poppler_reads(binder: ReadBack) -> None:
    """The letters behind the glyphs, tagged and not, are the ones that another reader finds on each side."""
    for side, painted in zip(binder.sides, binder.painted, strict=True):
        letters = sorted(bare("".join(painted.tagged.values()) + painted.artifacts))
        assert letters == sorted(bare(side.text)), side.number


def test_the_document_says_what_it_is(binder: ReadBack, room: Any) -> None:
    root, told = binder.root, binder.reader.metadata
    assert told is not None
    assert root["/Lang"] == room.language
    assert root["/MarkInfo"]["/Marked"] is not False
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert (told.title, told.author, told.producer) == (room.title, room.keeper, "bookgen")
    xmp = binder.reader.xmp_metadata
    assert xmp is not None
    assert xmp.dc_title == {"x-default": told.title}
    assert xmp.dc_creator == [told.author]
    assert xmp.dc_language == [room.language]
    assert xmp.pdf_producer == told.producer
    assert xmp.xmp_create_date is None
    assert "/CreationDate" not in told


# ── Soundness ─────────────────────────────────────────────────────────────────────────────────────────────────────


def test_qpdf_finds_nothing_wrong(binder: ReadBack) -> None:
    run = subprocess.run(["qpdf", "--check", str(binder.path)], capture_output=True, text=True)
    assert (run.returncode, run.stderr) == (0, "")
    assert "No syntax or stream encoding errors found" in run.stdout


def keys(one: Any) -> Iterator[tuple[str, Any]]:
    """Yield every entry of every dictionary."""
    if isinstance(one, dict):
        for key, value in one.items():
            yield key, value
            yield from keys(value)
    elif isinstance(one, list):
        for each in one:
            yield from keys(each)


def test_nothing_runs_and_nothing_lies_outside(binder: ReadBack) -> None:
    run = subprocess.run(
        ["qpdf", "--json", "--json-key=qpdf", str(binder.path)], capture_output=True, check=True, encoding="utf-8"
    )
    files, found = 0, set()
    for key, value in keys(json.loads(run.stdout)["qpdf"][1]):
        found.add(key)
        assert key not in ("/JS", "/JavaScript", "/OpenAction", "/AA", "/Launch", "/AcroForm", "/RichMedia", "/FS")
        if key == "/S":
            assert value not in ("/JavaScript", "/Launch", "/GoToR", "/SubmitForm", "/ImportData")
        files += value == "/Filespec"
    assert files == 1
    assert {"/Annots", "/EF", "/StructTreeRoot", "/FontFile2"} <= found


def test_the_demo_spends_little_paper_and_leaves_little_of_it_blank(tmp_path_factory) -> None:
    demo = bound("demo", tmp_path_factory)
    blank = [side.code for side in demo.sides if BLANK in side.text]
    assert len(demo.sides) <= 116
    assert len(blank) < len(demo.sides) / 10
    assert not any(row.issue for row in demo.listed if row.code in blank), "each formula fills its sheets"
