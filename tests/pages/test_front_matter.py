"""Front matter and dividers as printed: lists whose heads repeat, leaders, columns, tabs at the fore-edge.

The leaves are set by the press and read back by poppler: words with their boxes, and ink.  The binder as a whole is
read back in `test_binder`.
"""

from __future__ import annotations

import pickle
import re
import subprocess
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest

from bookgen.binder import Sheet, bindery_for, effective_sheets, leaves_of, row_of, sheet_style
from bookgen.binder.front import BETWEEN, MARGIN, PLACES
from bookgen.binder.paper import POINT, SIZES, ZONE
from bookgen.look import load_theme
from bookgen.model import Book, Holes, Paper, Workroom
from bookgen.press.bind import bind
from bookgen.press.render import render_all
from bookgen.reckon.figures import reckon
from bookgen.review import review
from bookgen.source import book_from

from ..shared import made_once, shared_by_all
from .raster import PER_MM, WHITE, Side, sides_of

LONG = "ointments-for-hands-in-clay-lime-and-cold-water-all-day" + "-longer" * 8 + "-evenings"
CHAPTERS = ("waters", "balms", "körperpflegemittel-und-salben", LONG, "five", "six", "seven", "eight", "nine")
ROOM = "title: A book\npaper: A5\nbalances:\n  - {name: fine, readability: 0.01 g, capacity: 100 g}\nchapters: [%s]\n"


def formula(
    code: str, materials: str = "water", *, title: str = "", purpose: str = "", status: str = "approved"
) -> str:
    lines = "".join(
        f"  {name}: {'to 100 g' if number == 0 else '1 %'}\n" for number, name in enumerate(materials.split())
    )
    more = f"purpose: {purpose}\n" if purpose else ""
    return (
        f"---\ncode: {code}\ntitle: {title or f'Formula {code}'}\nstatus: {status}\nissue: 3\n"
        f"use: leave-on, hands, adults\n{more}makes: 100 g\ningredients:\n{lines}---\n"
    )


def material(name: str, also: str = "") -> str:
    return f"---\nname: {name}\n{f'also: [{also}]' + chr(10) if also else ''}density: 1\nwater: 0 %\n---\n"


def book_of(files: Mapping[str, str], chapters: tuple[str, ...] = ()) -> Book:
    texts = {"workroom.yaml": ROOM % ", ".join(chapters), **files}
    return book_from({f"formulas/{name}": text.encode() for name, text in texts.items()})


def odd_book() -> Book:
    """Return a book with more chapters than places, one of them empty and one with a title of 120 letters."""
    files = {f"{name}/f{at}.md": formula(f"F-{at}", "water wax", purpose="hands") for at, name in enumerate(CHAPTERS)}
    files["gone/g.md"] = formula("G-1", status="withdrawn")
    files["materials/water.md"] = material("water", "aqua, wet")
    files["materials/wax.md"] = material("wax, yellow")
    return book_of(files, CHAPTERS)


def large_book() -> Book:
    """Return a book of 150 formulas in three chapters and 60 materials, five of which are in every formula.

    Each list goes over several sides, and each chapter over more than one.
    """
    files = {}
    for number in range(150):
        names = ["m0", "m1", "m2", "m3", "m4", f"m{5 + number % 55}"]
        code = f"{'ABC'[number // 50]}-{number % 50 + 1:02}"
        purpose = f"{'abcdefghijklmnopqrstuvw'[number % 23]} use {number % 37}, hands"
        title = f"Formula that takes a line {number}"
        files[f"chapter-{number // 50}/{code}.md"] = formula(code, " ".join(names), title=title, purpose=purpose)
    for number in range(60):
        files[f"materials/m{number}.md"] = material(f"{'abcdefghijklmnopqrst'[number % 20]}-oil {number}")
    return book_of(files)


@dataclass(frozen=True, slots=True, kw_only=True)
class Word:
    """A word of a PDF."""

    text: str
    left: float
    top: float
    right: float
    bottom: float
    """Millimetres from the upper left corner of the paper."""


@dataclass(frozen=True, kw_only=True)
class Set:
    """Leaves of a book, set."""

    room: Workroom
    chapters: frozenset[str]
    """Titles of the chapters."""
    formulas: frozenset[str]
    """Codes of the formulas."""
    sheets: Mapping[str, Sheet]
    """By code, the list of effective sheets with two sides for every other leaf."""

    def printed(self, *codes: str) -> bytes:
        """Return some leaves as one PDF; nothing may be lost in setting them."""
        room = self.room
        pieces = render_all([self.sheets[code].leaf for code in codes], sheet_style(load_theme(), room), workers=1)
        assert [problem for piece in pieces for problem in piece.problems] == []
        elsewhere = {*self.sheets, *(held.code for sheet in self.sheets.values() for held in sheet.leaf.holds)}
        bound = bind(pieces, title=room.title, lang="en", duplex=room.duplex, elsewhere=elsewhere)
        assert bound.problems == ()
        return bound.pdf


def set_of(book: Book, **room: object) -> Set:
    book = replace(book, workroom=replace(book.workroom, **room))
    reckoning = reckon(book)
    bindery = bindery_for(reckoning, review(reckoning), load_theme())
    sheets = leaves_of(bindery)
    listed = effective_sheets(bindery, [row_of(one, 2, "look", duplex=True) for one in sheets])
    return Set(
        room=book.workroom,
        chapters=frozenset(one.title for one in bindery.shelf.chapters),
        formulas=frozenset(one.code for one in book.formulas.values()),
        sheets={one.leaf.code: one for one in (*sheets, *listed)},
    )


@cache
def odd() -> Set:
    return set_of(odd_book())


@pytest.fixture(scope="module")
def large(tmp_path_factory: pytest.TempPathFactory) -> Set:
    """The large book, whose 210 leaves one worker makes for all."""

    def make(folder: Path) -> None:
        (folder / "set").write_bytes(pickle.dumps(set_of(large_book())))

    found = made_once(shared_by_all(tmp_path_factory) / "large book", make)
    made: Set = pickle.loads((found / "set").read_bytes())
    return made


def pages_of(pdf: bytes, folder: Path) -> list[list[Word]]:
    """Return the words of each side as poppler reads them."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "words.pdf").write_bytes(pdf)
    subprocess.run(["pdftotext", "-bbox", "words.pdf", "words.xml"], cwd=folder, check=True, timeout=300)
    text = re.sub(r"<!DOCTYPE[^>]*>", "", (folder / "words.xml").read_text(encoding="utf-8"))
    space = "{http://www.w3.org/1999/xhtml}"

    def mm(word: ElementTree.Element, name: str) -> float:
        return float(word.attrib[name]) * float(POINT)

    return [
        [
            Word(
                text=word.text or "",
                left=mm(word, "xMin"),
                top=mm(word, "yMin"),
                right=mm(word, "xMax"),
                bottom=mm(word, "yMax"),
            )
            for word in page.iter(f"{space}word")
        ]
        for page in ElementTree.fromstring(text).iter(f"{space}page")
    ]


def lines_of(words: list[Word]) -> list[list[Word]]:
    """Return words in lines from top to bottom, each from left to right; words of two sizes share a line."""
    found: list[list[Word]] = []
    for word in sorted(words, key=lambda one: (one.top + one.bottom, one.left)):
        middle = (word.top + word.bottom) / 2
        if found and found[-1][0].top < middle < found[-1][0].bottom:
            found[-1].append(word)
        else:
            found.append([word])
    return [sorted(line, key=lambda one: one.left) for line in found]


def said(line: list[Word]) -> str:
    return " ".join(one.text for one in line)


def body(words: list[Word], paper: Paper = Paper.A5) -> list[Word]:
    """Return the words between running head and foot."""
    height = float(SIZES[paper].height)
    return [one for one in words if one.top > 12 and one.bottom < height - 15]


# ── List of effective sheets ──────────────────────────────────────────────────────────────────────────────────────


def test_a_long_list_repeats_its_heads_with_the_chapter(large: Set, tmp_path) -> None:
    """Every side after the first begins with a chapter's name, the names of the columns, and two rows at least."""
    codes = [code for code in large.sheets if code.startswith("effective-sheets")]
    assert len(codes) > 2
    continued, rows = 0, []
    for code in codes:
        pages = [lines_of(body(page)) for page in pages_of(large.printed(code), tmp_path)]
        assert len(pages) == 2, "each is one sheet"
        assert said(pages[0][0]).startswith("List of effective sheets")
        for page in (page for page in pages[1:] if page and not said(page[0]).startswith("This side is blank")):
            head = said(page[0])
            materials = re.fullmatch(r"Materials Code Sheets Check", head)
            chapter = re.fullmatch(r"(.+) Issue of Sheets Check", head)
            assert materials or (chapter and chapter[1] in large.chapters), head
            continued += not said(page[1]).startswith("divider-")
            assert all(re.search(r" \d+ \w{3}-\w{3}$", said(line)) for line in page[1:3]), [said(x) for x in page[:3]]
        rows += [said(line) for page in pages for line in page if re.search(r"\d \w{3}-\w{3}$", said(line))]
    assert continued > 1
    assert len(rows) == len(large.sheets) - len(codes)


def test_a_change_costs_the_sheet_of_the_list_with_its_row(large: Set) -> None:
    """A new formula that has room on the sheet of its chapter costs that one, and no sheet tells of another."""
    reckoning = reckon(large_book())
    bindery = bindery_for(reckoning, review(reckoning), load_theme())
    rows = [row_of(sheet, 2, "look", duplex=True) for sheet in large.sheets.values() if not is_list_code(sheet)]
    before = {sheet.leaf.code: sheet.content for sheet in effective_sheets(bindery, rows)}
    for at in (1, 30, 90, len(rows) - 1):
        changed = [replace(row, check="AAA-AAA") if number == at else row for number, row in enumerate(rows)]
        after = {sheet.leaf.code: sheet.content for sheet in effective_sheets(bindery, changed)}
        assert before.keys() == after.keys()
        assert len([code for code in before if before[code] != after[code]]) == 1
    more = [*rows, replace(rows[-1], code="materials-z", title="Materials Z")]
    after = {sheet.leaf.code: sheet.content for sheet in effective_sheets(bindery, more)}
    assert [code for code in before if before[code] != after[code]] == [list(before)[-1]]


def is_list_code(sheet: Sheet) -> bool:
    return sheet.leaf.code.startswith("effective-sheets")


def test_figures_and_check_codes_of_the_list_are_aligned(large: Set, tmp_path) -> None:
    """The hyphens of all check codes stand below each other, the counts end at one distance."""
    (first, *_) = pages_of(large.printed("effective-sheets"), tmp_path)
    rows = [line for line in lines_of(body(first)) if re.search(r"^[A-C]-\d\d .* 3 1 \w{3}-\w{3}$", said(line))]
    assert len(rows) > 15
    for at in (-3, -2):
        ends = {round(line[at].right, 1) for line in rows}
        assert len(ends) == 1, ends
    assert len({line[1].left for line in rows}) == 1
    assert all(" ".join(word.text for word in line[1:-3]).startswith("Formula that takes a line") for line in rows)


def test_the_list_says_where_its_own_check_code_is_and_what_is_withdrawn(tmp_path) -> None:
    text = "\n".join(
        said(line) for page in pages_of(odd().printed("effective-sheets"), tmp_path) for line in lines_of(page)
    )
    assert "List of effective sheets effective-sheets see its foot" in text
    rest = text.partition("\nWithdrawn\n")[2]
    assert rest.splitlines()[:2] == ["None of these sheets belongs in the binder:", "G-1 Formula G-1"]
    assert "divider-gone" not in text
    assert f"{len(odd().sheets)} leaves, {len(odd().sheets) - 1} sheets without this list." in text


# ── Contents and indexes ──────────────────────────────────────────────────────────────────────────────────────────


def dots(side: Side, left: float, right: float, top: float, bottom: float) -> int:
    """Return how many spots of ink stand side by side between two words of a line."""
    strip = side[round(top * PER_MM) : round(bottom * PER_MM), round(left * PER_MM) : round(right * PER_MM)] < WHITE
    columns = strip.any(axis=0)
    return int((columns[1:] & ~columns[:-1]).sum() + columns[0])


def test_a_leader_reaches_from_the_title_to_the_code(large: Set, tmp_path) -> None:
    """From title to code there is a dot about every 1.2 mm, and none stands in either."""
    pdf = large.printed("contents")
    sides, found = sides_of(pdf, tmp_path / "ink"), 0
    for side, page in zip(sides, pages_of(pdf, tmp_path), strict=True):
        for line in lines_of(body(page)):
            if re.fullmatch(r"[A-C]-\d\d", line[-1].text):
                title, code = line[-2], line[-1]
                room = code.left - title.right
                counted = dots(side, title.right, code.left, code.top, code.bottom)
                assert abs(counted - room / 1.2) < 4, said(line)
                found += 1
    assert found == 150


def test_the_contents_count_and_cite_what_is_in_the_binder(tmp_path) -> None:
    text = "\n".join(said(line) for page in pages_of(odd().printed("contents"), tmp_path) for line in lines_of(page))
    assert f"{len(CHAPTERS)} formulas, 2 materials" in text
    assert all(re.search(rf"^Formula F-{number} F-{number}$", text, re.M) for number in range(len(CHAPTERS)))
    assert "G-1" not in text
    assert "Gone" not in text


def test_materials_stand_in_the_contents_where_their_divider_has_no_room_for_them() -> None:
    """Where they stand on its back, the contents say so."""
    behind = "By name, on the back of their divider."
    assert behind in odd().sheets["contents"].leaf.html
    assert "wax, yellow" in odd().sheets["divider-materials"].leaf.html
    names = [f"{'very long ' * 9}name {at}" for at in range(40)]
    many = set_of(book_of({f"materials/m{at}.md": material(name) for at, name in enumerate(names)})).sheets
    assert behind not in many["contents"].leaf.html
    for code, listed in (("contents", True), ("divider-materials", False)):
        assert ("very long" in many[code].leaf.html) == listed


def test_a_purpose_is_not_printed_in_the_contents_and_does_not_change_them() -> None:
    book = odd_book()
    changed = book_of({"waters/f0.md": formula("F-0", purpose="feet")})
    other = replace(book, formulas={**book.formulas, "f-0": changed.formulas["f-0"]})
    assert book.formulas["f-0"].purpose != other.formulas["f-0"].purpose
    before, after = odd().sheets, set_of(other).sheets
    assert before["contents"].content == after["contents"].content
    assert before["contents"].leaf.html == after["contents"].leaf.html
    assert before["by-purpose"].content != after["by-purpose"].content


@pytest.mark.parametrize("index", ["contents", "by-material", "by-purpose"])
def test_each_index_cites_every_formula_and_no_head_stands_last_in_a_column(index: str, large: Set, tmp_path) -> None:
    pages = pages_of(large.printed(index), tmp_path)
    text = " ".join(word.text for page in pages for word in page)
    assert large.formulas <= set(re.findall(r"[A-C]-\d\d", text))
    heads = 0
    for number, page in enumerate(pages):
        # Fronts have the wide margin at the right, backs at the left.
        middle = 19 + (148 - 28) / 2 if number % 2 == 0 else 9 + (148 - 28) / 2
        inner = body(page) if number else [one for one in body(page) if one.top > 26]
        for column in ([one for one in inner if one.left < middle], [one for one in inner if one.left >= middle]):
            if column:
                lines = lines_of(column)
                head = re.compile(r"[A-Z]|[a-w] use \d+|hands|In .*|(\d+|≈).*(days|weeks|months)")
                heads += sum(bool(head.fullmatch(said(line))) for line in lines)
                assert not head.fullmatch(said(lines[-1])), (number, said(lines[-1]))
    assert heads


def test_the_columns_of_an_index_end_at_about_the_same_height(tmp_path) -> None:
    """A short index fills both columns; the one by storage follows that by purpose on the same side."""
    first, _ = pages_of(odd().printed("by-purpose"), tmp_path)
    begins = max(one.top for one in first if one.text == "storage")  # above it the head names both
    for purposes in (True, False):
        codes = [one for one in first if re.fullmatch(r"F-\d", one.text) and (one.top < begins) == purposes]
        left, right = ([one.top for one in codes if (one.left < 70) == half] for half in (True, False))
        assert len(left) + len(right) == 2 * len(CHAPTERS), "each has a code and a title that ends with it"
        assert abs(max(left) - max(right)) < 9


def test_other_names_lead_to_the_entry_and_many_codes_have_no_links(large: Set) -> None:
    html = odd().sheets["by-material"].leaf.html
    assert re.search(r'<p [^>]*>aqua <i>see</i> <a href="#of-water">water</a></p>', html)
    assert 'id="of-water"' in html
    assert html.count('href="sheet:F-3"') == 2
    crowded = large.sheets["by-material"].leaf.html
    assert "<b>A-01, A-02, A-03, " in crowded
    assert 0 < crowded.count('href="sheet:') < 60 + 150 * 2


@pytest.mark.parametrize("many", [False, True], ids=["with links", "without"])
def test_an_index_stamps_a_formula_wherever_it_names_it(many: bool) -> None:
    """Also through which intermediate; one that is approved later is another sheet."""
    states = ("approved", "draft", "trial", *(["approved"] * 12 if many else []))
    files = {f"a/f{at}.md": formula(f"F-{at}", "water wax", status=state) for at, state in enumerate(states)}
    files["a/g.md"] = formula("G-1", "water F-1")
    files |= {f"materials/{name}.md": material(name) for name in ("water", "wax")}
    stamped = set_of(book_of(files)).sheets
    for index, named in (("contents", r"{}</b> <.*?"), ("by-material", r"{}</(?:a|b)>" if not many else "{}")):
        html = stamped[index].leaf.html
        for code, stamp in (("F-1", "draft"), ("F-2", "trial")):
            assert re.search(named.format(code) + rf'<strong class="stamp {stamp}">{stamp}</strong>', html), index
        assert not re.search(r"F-0(?:<[^>]*>| )*<strong", html)
    through = re.search(r"<i>through</i> (.*?)</p>", stamped["by-material"].leaf.html, re.DOTALL)
    assert through
    assert re.search(r"F-1(?:</a>)?<strong", through[1])
    later = set_of(book_of({**files, "a/f1.md": formula("F-1", "water wax")})).sheets
    assert stamped["by-material"].content != later["by-material"].content


def test_no_line_of_an_index_ends_before_the_number_of_a_name(tmp_path) -> None:
    """Whatever length the words before have; nor does one behind the divider and in the table of a formula."""
    names = [f"{'soft ' * (at % 7)}wool{'l' * (at % 9)} fat {80 + at % 7}" for at in range(60)]
    files = {f"materials/m{at}.md": material(f"{'abcdefghij'[at % 10]} {name}") for at, name in enumerate(names)}
    files["a/f.md"] = formula("F-1", " ".join(f"m{at}" for at in range(20)))
    made = set_of(book_of(files))
    told = 0
    for page in pages_of(made.printed("by-material", "divider-materials", "F-1"), tmp_path):
        for before, word in pairwise(page):
            if re.fullmatch(r"8\d\W*", word.text) and before.text == "fat":
                told += 1
                assert abs(before.top - word.top) < 1, word
            assert before.text != "fat" or re.match(r"8\d", word.text), "its number comes next"
    on_the_formula = 20 + 20 + 20 + 19
    """In its table, on the label, among those without a label name, among those at 1 %, where the fill has more."""
    assert told == 60 + 60 + on_the_formula


# ── Dividers ──────────────────────────────────────────────────────────────────────────────────────────────────────


def dividers(made: Set) -> list[str]:
    return [code for code in made.sheets if code.startswith("divider-")]


DOT = 1.05 / PER_MM
"""As near as a place can be read, mm: the grid of dots begins at the paper's edge and not at the tab's."""


def tab(side: Side, *, right: bool) -> tuple[float, float, float]:
    """Return top, bottom and depth of the tab, mm: the one block at an edge of the paper."""
    strip = side[:, -15:] if right else side[:, :15]
    rows = (strip < 128).mean(axis=1) > 0.9
    (edges,) = (rows[1:] != rows[:-1]).nonzero()
    assert len(edges) == 2, "one tab, within the sheet"
    top, bottom = edges[0] + 1, edges[1] + 1
    row = (side[top + 2] < 128)[:: -1 if right else 1]
    depth = row[:100].nonzero()[0][-1] + 1  # from the paper's edge to its own; a letter may reach into this row
    return top / PER_MM, bottom / PER_MM, depth / PER_MM


@pytest.mark.parametrize("paper", list(Paper))
def test_tabs_step_down_the_fore_edge_on_both_sides_and_the_materials_come_last(paper: Paper, tmp_path) -> None:
    made = set_of(odd_book(), paper=paper)
    codes = dividers(made)
    assert len(codes) == len(CHAPTERS) + 1
    assert codes[-1] == "divider-materials"
    sides = sides_of(made.printed(*codes), tmp_path)
    height = float(SIZES[paper].height)
    pitch = (height - 2 * float(MARGIN)) / PLACES
    tops = []
    for front, back in zip(sides[::2], sides[1::2], strict=True):
        top, bottom, depth = tab(front, right=True)
        assert tab(back, right=False) == pytest.approx((top, bottom, depth), abs=DOT)
        assert bottom - top == pytest.approx(pitch - float(BETWEEN), abs=DOT)
        assert 11.5 <= depth <= 16
        assert 0 < top < bottom < height
        zone = round(float(ZONE) * PER_MM)
        assert (front[:, :zone] >= WHITE).all()
        assert (back[:, -zone:] >= WHITE).all()
        tops.append(top)
    places = [*range(PLACES - 1), 0, 1, PLACES - 1]
    assert tops == pytest.approx([float(MARGIN) + pitch * place for place in places], abs=DOT)
    assert all(below - above == pytest.approx(pitch, abs=DOT) for above, below in pairwise(tops[: PLACES - 1]))


def test_a_divider_prints_its_title_its_tab_and_its_foot_and_nothing_else(tmp_path) -> None:
    made = odd()
    codes = dividers(made)
    pages = pages_of(made.printed(*codes), tmp_path)
    for code, words, back in zip(codes, pages[::2], pages[1::2], strict=True):
        title = made.sheets[code].title
        listed = " ".join(word.text for word in back)
        assert "Formula F-" in listed or "wax, yellow" in listed, "what stands behind it"
        beside = [one for one in words if one.left > 148 - 16]
        inner = [one for one in words if one not in beside and one.bottom - one.top > 7]
        assert "".join(one.text for one in inner) == title.replace(" ", "")
        assert all(one.left >= 19 and one.right <= 148 - 15.9 for one in inner)
        shown = "".join(one.text for one in sorted(beside, key=lambda one: (-round(one.left), one.top)))
        shown = re.sub(r"[-\u2010]", "", shown).removesuffix("…")
        assert shown
        assert title.replace(" ", "").startswith(shown.replace(" ", "")), (title, shown)
        if len(title) < 36:
            assert shown == title.replace(" ", "")
        assert all(one.top >= 0 and one.bottom <= 210 and one.right <= 148 for one in beside)
        foot = [one for one in words if one.top > 210 - 20 and one not in beside]
        assert "front" in [one.text for one in foot]
    assert len(made.sheets[codes[3]].title) == len(LONG)


def test_a_chapter_of_withdrawn_formulas_alone_has_no_divider() -> None:
    assert "divider-gone" not in odd().sheets
    assert "G-1" not in odd().sheets


@pytest.mark.parametrize("title", ["", "Another title"])
def test_a_change_in_a_formula_changes_no_divider_but_its_own_by_its_title(title: str) -> None:
    book = odd_book()
    changed = book_of({"waters/f0.md": formula("F-0", "water", title=title)})
    other = set_of(replace(book, formulas={**book.formulas, "f-0": changed.formulas["f-0"]}))
    for code, sheet in odd().sheets.items():
        lasting = code == "title" or code.startswith("divider-")
        if lasting:
            assert (other.sheets[code].content == sheet.content) is (not title or code != "divider-waters"), code
    assert other.sheets["F-0"].content != odd().sheets["F-0"].content


def test_a_chapter_that_does_not_fit_on_the_back_of_its_divider_is_not_listed_there() -> None:
    many = {f"waters/f{number}.md": formula(f"F-{number}") for number in range(60)}
    few = {f"balms/b{number}.md": formula(f"B-{number}") for number in range(30)}
    made = set_of(book_of({**many, **few}))
    assert "behind" not in made.sheets["divider-waters"].leaf.html
    assert made.sheets["divider-balms"].leaf.html.count("sheet:B-") == 30
    one_side = set_of(book_of({**many, **few}), duplex=False)
    assert "behind" not in one_side.sheets["divider-balms"].leaf.html


# ── Title and how to use ──────────────────────────────────────────────────────────────────────────────────────────


ROOMS = [
    *((paper, None, duplex, duplex) for paper in Paper for duplex in (False, True)),
    (Paper.A4, Holes.FOUR, False, True),
]
"""Paper, holes, punch marks, both sides; marks and both sides take the most words."""


@pytest.mark.parametrize(("paper", "holes", "marks", "duplex"), ROOMS)
def test_how_to_use_stands_on_the_back_of_the_title_and_says_how_this_binder_is_printed(
    paper: Paper, holes: Holes | None, marks: bool, duplex: bool, tmp_path
) -> None:
    made = set_of(book_of({}), paper=paper, holes=holes, punch_marks=marks, duplex=duplex)
    pages = pages_of(made.printed("title"), tmp_path)
    assert len(pages) == 2
    assert "law and licensed practice to decide." in said(pages[0])
    text = said(pages[1])
    assert (f"{paper} paper at 100" in text, "over the long edge" in text, "faint crosses" in text) == (
        True,
        duplex,
        marks,
    )
    number = "Four" if holes else "Three" if paper is Paper.LETTER else "Two"
    assert f"{number} holes" in text
    for command in ("bookgen binder --changes", "bookgen filed", "site/changes.pdf"):
        assert command in text
    order = ["Hazards come first", "filing instructions", "bookgen filed", "Dividers go on card"]
    assert [text.index(one) for one in order] == sorted(text.index(one) for one in order)


def test_the_title_counts_nothing_and_stays_on_one_side(tmp_path) -> None:
    long = replace(
        odd_book().workroom, title="A book of formulas " * 8, keeper="the keeper of the wash-house and her heirs"
    )
    made = set_of(replace(odd_book(), workroom=long))
    pages = pages_of(made.printed("title"), tmp_path)
    assert len(pages) == 2
    assert said(body(pages[1])).startswith("How to use this binder")
    words = said(body(pages[0]))
    assert words.startswith("A book of formulas")
    assert not re.search(r"\d", words)
    tops = defaultdict(list)
    for word in body(pages[0]):
        tops[round(word.top, 1)].append(word)
    lines = [tops[top] for top in sorted(tops)]
    assert all(max(w.bottom for w in above) <= min(w.bottom for w in below) for above, below in pairwise(lines))


# ── Small books ───────────────────────────────────────────────────────────────────────────────────────────────────


def test_an_empty_book_has_front_matter_that_says_so(tmp_path) -> None:
    made = set_of(book_of({}))
    assert list(made.sheets) == [
        "title", "contents", "by-material", "by-purpose", "effective-sheets",
    ]  # fmt: skip
    text = " ".join(said(page) for page in pages_of(made.printed(*made.sheets), tmp_path))
    assert "0 formulas, 0 materials" in text
    assert text.count("This book holds no formula yet.") == 1
    assert "This book holds no material yet." in text
    assert "5 leaves, 4 sheets without this list." in text
    assert "Withdrawn" not in text


def test_a_book_of_one_formula_has_one_divider(tmp_path) -> None:
    made = set_of(book_of({"waters/w.md": formula("W-1")}))
    assert dividers(made) == ["divider-waters"]
    pages = pages_of(made.printed(*(code for code in made.sheets if code != "W-1")), tmp_path)
    assert len(pages) == 2 * (len(made.sheets) - 1)
    rows = [said(line) for page in pages for line in lines_of(page)]
    check = made.sheets["W-1"].content[:6]
    assert f"W-1 Formula W-1 3 1 {check[:3]}-{check[3:]}" in rows
