"""How formulas are set, read back from the printed sheets by poppler and pikepdf: what stays together, what lines up.

The demo is read as it is printed, and a book of formulas that strain a sheet (`long_formulas.py`).
"""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import dataclass, replace
from functools import cache
from io import BytesIO
from itertools import pairwise
from pathlib import Path

import pikepdf
import pytest
from markupsafe import Markup

from bookgen.binder import LeafKind, bindery_for, leaves_of, sheet_style
from bookgen.look import load_theme
from bookgen.look.closeness import CLOSER, GROWN, NARROW, WIDE, closeness, heights
from bookgen.look.typeset import typeset
from bookgen.model import Paper
from bookgen.press.render import render_all
from bookgen.reckon.figures import reckon
from bookgen.reckon.weighing import weigh
from bookgen.review import review
from bookgen.show import MINUS, NBSP, THIN
from bookgen.shown.formula import formula_shown
from bookgen.shown.phrases import Listing
from bookgen.shown.records import FormulaShown
from bookgen.source import read_book

from .conftest import ROOT
from .ink import rules_of, type_of
from .long_formulas import PROSE, write
from .raster import Word, words_of

SPACES = re.compile(r"\s+")
HEAD = ("Ingredient", "As", "written", "%", "w/w", "g", "Measured", "Weighed")


@dataclass(frozen=True, slots=True, kw_only=True)
class Set:
    """A formula as it is set."""

    page: FormulaShown
    """What is printed."""
    pdf: bytes
    """Its sides."""
    sides: list[list[Word]]
    """The words of each, in reading order."""

    def lines(self, side: int) -> list[str]:
        """Return the lines of a side from its top, without running head and foot."""
        rows: list[list[Word]] = []
        for word in sorted(self.sides[side], key=middle):
            if word.top < 12:
                continue
            if not rows or middle(word) - middle(rows[-1][0]) > 1.3:
                rows.append([])
            rows[-1].append(word)
        return [" ".join(word.text for word in sorted(row)) for row in rows]


def middle(word: Word) -> float:
    """Return the height at which the middle of a word stands, mm from the top."""
    return (word.top + word.bottom) / 2


@cache
def _set(folder: Path, paper: str, only: tuple[str, ...] = ()) -> dict[str, Set]:
    book = read_book(folder)
    book = replace(book, workroom=replace(book.workroom, paper=Paper(paper)))
    reckoning = reckon(book)
    reviewed = review(reckoning)
    theme = load_theme()
    bindery = bindery_for(reckoning, reviewed, theme)
    keys = {code: key for key, code in bindery.shelf.stems.items() if key in reckoning.figures}
    sheets = [one for one in leaves_of(bindery) if one.kind is LeafKind.FORMULA and (not only or one.leaf.code in only)]
    pieces = render_all([one.leaf for one in sheets], sheet_style(theme, book.workroom))
    found = {}
    for piece in pieces:
        key = keys[piece.code]
        page = formula_shown(reckoning.figures[key], weigh(reckoning, key), bindery.shelf, lambda _: "", on_paper=True)
        found[piece.code] = Set(page=page, pdf=piece.pdf, sides=words_of(piece.pdf, folder_for(piece.code)))
    return found


_folders: list[Path] = []


def folder_for(code: str) -> Path:
    """Return a folder for reading one leaf."""
    return _folders[0] / code


@pytest.fixture(autouse=True, scope="module")
def _room(tmp_path_factory: pytest.TempPathFactory) -> None:
    _folders[:] = [tmp_path_factory.mktemp("read")]


@pytest.fixture(scope="module")
def demo() -> dict[str, Set]:
    """The demo on its own paper."""
    return _set(ROOT, "A5")


@pytest.fixture(scope="module")
def hard(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Set]:
    """The formulas that strain a sheet."""
    return _set(write(tmp_path_factory.mktemp("hard")), "A5")


# ── Length ────────────────────────────────────────────────────────────────────────────────────────────────────────

TWO_SHEETS = {
    "A5": {
        "W-03": "set close 2.2 sides: a method of half a side that does not fit below the table",
        "H-01": "ten materials with eight hazards, six steps and five issues: set close 2.6 sides",
        "H-02": "eleven materials with ten hazards, nine steps and a table of faults: set close 3.3 sides",
        "B-01": "hazards of four oils, three formulas to be made first, a long list for the label: set close 2.1 sides",
        "B-03": "hazards, a long method and long notes: set close 2.2 sides",
        "T-01": "a trial of B-03, with all that it has",
        "T-02": "a trial of B-03, with all that it has",
    },
    "A4": {"H-02": "set close 2.4 sides"},
    "Letter": {"H-01": "set close 1.8 sides, told as more than two", "H-02": "set close 2.4 sides"},
}
"""Formulas of the demo that no setting brings on one sheet of the paper, with all type large enough, and why."""


def printed_sides(one: Set) -> int:
    """Return the sides that are not blank."""
    return sum(1 for words in one.sides if not any(word.text == "purpose." for word in words))


@pytest.fixture(scope="module", params=["A5", "A4", "Letter"])
def on_paper(request: pytest.FixtureRequest) -> tuple[str, dict[str, Set]]:
    """The demo on each paper."""
    return request.param, _set(ROOT, request.param)


def test_a_formula_of_the_demo_is_one_sheet_but_few_and_leaves_no_side_blank(
    on_paper: tuple[str, dict[str, Set]],
) -> None:
    paper, found = on_paper
    assert {code for code, one in found.items() if printed_sides(one) > 2} == set(TWO_SHEETS[paper])
    assert all(printed_sides(one) == (4 if code in TWO_SHEETS[paper] else 2) for code, one in found.items())


def test_no_side_is_nearly_empty(demo: dict[str, Set]) -> None:
    """A back that is printed at all carries more than what the leaf says of itself."""
    thin = {
        code: len(one.lines(side))
        for code, one in demo.items()
        for side in range(1, printed_sides(one))
        if len(one.lines(side)) < 14
    }
    assert thin == {}


def test_a_table_that_begins_the_back_leaves_no_front_half_empty(demo: dict[str, Set]) -> None:
    """How it is kept, and the cautions, fill what hazards leave of the front; table and method face each other."""
    for code in ("B-03", "T-01"):
        front, table, method, notes = (" ".join(word.text for word in side) for side in demo[code].sides)
        assert len(demo[code].lines(0)) > 24
        assert "Cautions for use" in front
        assert ("Printed total" in table, "Method" in method, "Why these figures" in notes) == (True, True, True)


def test_the_height_of_a_leaf_is_told_within_a_tenth(demo: dict[str, Set]) -> None:
    """What `closeness` reckons of a leaf, by the setting that it has chosen, and what the leaf takes."""
    told = []
    for one in demo.values():
        words = closeness(one.page, "A5")
        step = next((int(found[1]) for found in [re.search(r"grown-(\d)", words)] if found), 0)
        parts = heights(one.page, replace(NARROW, points=NARROW.points + GROWN[step]))
        set_ = sum(max(w.bottom for w in side if w.bottom < 193) - 13.5 for side in one.sides[: printed_sides(one)])
        told.append((parts.table + parts.work + parts.after) * (CLOSER if "close" in words else 1) / set_)
    assert len(told) > 20
    assert all(0.9 < ratio < 1.1 for ratio in told), told


def test_closeness_tells_of_each_paper_apart(demo: dict[str, Set]) -> None:
    assert "close" in closeness(demo["W-02"].page, "A5").split()
    assert "close" not in closeness(demo["W-02"].page, "A4").split()
    assert heights(demo["W-02"].page, WIDE).table > heights(demo["W-02"].page, NARROW).table * 0.8


# ── The method, what is weighed, what is written ───────────────────────────────────────────────────────────────────


def steps_of(page: FormulaShown) -> int:
    """Return the numbered steps of the method."""
    listings = [block for part in page.method for block in part.text.blocks if isinstance(block, Listing)]
    return sum(len(listing.items) for listing in listings if listing.ordered)


def test_the_method_stands_on_one_side(on_paper: tuple[str, dict[str, Set]]) -> None:
    """Its heading and every step, of all formulas of the demo; each of them fits a side."""
    paper, found = on_paper
    for code, one in found.items():
        (side,) = [at for at in range(len(one.sides)) if "Method" in one.lines(at)]
        lines = one.lines(side)
        numbers = [int(line.split(".")[0]) for line in lines[lines.index("Method") :] if re.match(r"\d+\. ", line)]
        assert numbers[: steps_of(one.page)] == list(range(1, steps_of(one.page) + 1)), (paper, code)


LEAST = {"A5": 9.5, "A4": 11, "Letter": 11}
"""Size of the type of weights and method, pt."""


def test_weights_and_method_are_large_enough(on_paper: tuple[str, dict[str, Set]]) -> None:
    """Told by the height of a word beside one of the same type whose size is known: the head of the table, 9 pt."""
    paper, found = on_paper
    for code, one in found.items():
        head = next(word for words in one.sides for word in words if word.text == "Ingredient")
        known = (head.bottom - head.top) / 9
        weights = [row.grams.figure.text for phase in one.page.table.phases for row in phase.rows if row.grams.figure]
        steps = [f"{step}." for step in range(1, steps_of(one.page) + 1)]
        sizes = defaultdict(list)
        for words in one.sides:
            for word in words:
                if word.text in (*weights, *steps):
                    sizes[word.text].append((word.bottom - word.top) / known)
        for text in (*weights, *steps):
            assert max(sizes[text]) > LEAST[paper] - 0.05, (code, text, sizes[text])


def test_each_line_has_a_rule_to_write_on(on_paper: tuple[str, dict[str, Set]]) -> None:
    """Below the head `Weighed`, in the row of each weight; at least 15 mm wide, 4 mm below the one before."""
    _, found = on_paper
    one = found["B-02"]
    (side,) = [at for at, words in enumerate(one.sides) if any(word.text == "Weighed" for word in words)]
    head = next(word for word in one.sides[side] if word.text == "Weighed")
    with pikepdf.open(BytesIO(one.pdf)) as pdf:
        height = float(pdf.pages[side].mediabox[3]) * 25.4 / 72
        rules = sorted(
            height - y
            for left, right, y in rules_of(pdf.pages[side])
            if abs(left - head.left) < 3 and right - left > 14
        )
    rows = [word for word in one.sides[side] if word.text == "fine" and word.right < head.left]
    assert len(rows) >= 3
    for row in rows:
        assert any(-1 < rule - row.bottom < 6 for rule in rules), (row, rules)
    assert all(below - above > 4 for above, below in pairwise(rules)), rules


@pytest.mark.parametrize(
    ("code", "words"),
    [("P-01", "Ingredients: Zea Mays Starch, Kaolin"), ("W-02", "Ingredients (INCOMPLETE): Aqua, Alcohol")],
)
def test_the_list_for_a_label_stands_on_the_sheet(code: str, words: str, on_paper: tuple[str, dict[str, Set]]) -> None:
    _, found = on_paper
    text = SPACES.sub(" ", " ".join(word.text for side in found[code].sides for word in side))
    assert words in text
    assert ("INCOMPLETE: not every fragrance allergen in it is known." in text) == (code == "W-02")
    assert "For a label" not in " ".join(word.text for side in found["N-01"].sides for word in side), "no cosmetic"


# ── Tables ────────────────────────────────────────────────────────────────────────────────────────────────────────


def heads_of(words: list[Word]) -> Word | None:
    """Return the word that begins the head of a table of ingredients on a side."""
    return next((word for word in words if word.text == "Ingredient"), None)


def column_of(one: Set, head: str) -> list[Word]:
    """Return the numbers below one head of the table, on all sides."""
    found = []
    for words in one.sides:
        first = heads_of(words)
        if first is None:
            continue
        same_line = [word for word in words if abs(word.top - first.top) < 1]
        above = next(word for word in same_line if word.text == head)
        end = min((word.top for word in words if word.text == "Every" and word.top > first.top), default=195.0)
        total = next((word for word in words if word.text == "Printed" and word.top > first.top), None)
        bottom = total.bottom if total else end
        found += [
            word
            for word in words
            if first.bottom < word.top < bottom
            and above.left - 7 < word.right <= above.right + 1
            and re.fullmatch(r"[\d.,]+", word.text)
        ]
    return found


@pytest.mark.parametrize("code", ["N-02", "W-03", "H-01", "H-02", "B-03", "P-01", "R-01"])
def test_numbers_of_a_column_line_up_on_their_decimal_sign(demo: dict[str, Set], code: str) -> None:
    numbers = column_of(demo[code], "g")
    assert len(numbers) >= 4
    # Figures are all as wide as one another: two numbers of unlike length tell how wide.
    with_sign = sorted((word for word in numbers if "." in word.text), key=lambda word: len(word.text))
    short, long = with_sign[0], with_sign[-1]
    digit = (long.right - long.left - short.right + short.left) / (len(long.text) - len(short.text))
    places = [word.left + len(word.text.partition(".")[0]) * digit for word in numbers]
    assert max(places) - min(places) < 0.15, [
        (word.text, round(at, 2)) for word, at in zip(numbers, places, strict=True)
    ]


def test_the_head_of_a_table_is_repeated_where_the_table_goes_on(hard: dict[str, Set]) -> None:
    one = hard["X-80"]
    with_rows = [side for side, words in enumerate(one.sides) if sum(word.text == "filler" for word in words) > 2]
    assert len(with_rows) >= 3
    for side in with_rows:
        assert one.lines(side)[0].split()[:8] == list(HEAD)


def test_no_phase_is_left_alone_with_its_letter(hard: dict[str, Set]) -> None:
    """At the foot of a side at least two rows stand below a phase's letter; the last row stays with the total."""
    one = hard["X-80"]
    tables = [one.lines(side) for side in range(len(one.sides)) if heads_of(one.sides[side])]
    for lines in tables:
        rows = [line for line in lines if re.match(r"sample \d+ filler|[A-F] warm|water to|Printed total", line)]
        letters = [at for at, line in enumerate(rows) if re.match(r"[A-F] warm", line)]
        assert all(at + 2 < len(rows) for at in letters), rows[-3:]
    last = next(lines for lines in tables if any(line.startswith("Printed total") for line in lines))
    at = next(number for number, line in enumerate(last) if line.startswith("Printed total"))
    assert last[at - 1].startswith("water")
    assert last[at - 2].startswith("sample 79")


def test_every_row_is_printed_once(hard: dict[str, Set]) -> None:
    one = hard["X-80"]
    rows = [line for side in range(len(one.sides)) for line in one.lines(side) if re.match(r"sample \d+ filler", line)]
    assert [int(line.split()[1]) for line in rows] == list(range(80))


# ── What stays together ───────────────────────────────────────────────────────────────────────────────────────────


def test_hazards_stand_below_their_word_on_every_side(hard: dict[str, Set]) -> None:
    one = hard["X-80"]
    sides = [one.lines(side) for side in range(len(one.sides)) if any("irritates" in w.text for w in one.sides[side])]
    assert len(sides) >= 4
    for lines in sides:
        word = next(number for number, line in enumerate(lines) if line == "HAZARDS")
        first = next(number for number, line in enumerate(lines) if "irritates" in line)
        assert first == word + 1
        assert lines[first].startswith("sample"), "a hazard is broken between two sides"


def test_a_step_is_not_broken_between_sides(hard: dict[str, Set], demo: dict[str, Set]) -> None:
    """Below the head and above the foot of a side no step goes on."""
    one = hard["X-80"]
    starts = [one.lines(side) for side in range(len(one.sides)) if any(w.text == "24." for w in one.sides[side])]
    assert starts
    assert re.match(r"(Method|\d+\. Take)", starts[0][0]), starts[0][0]
    for code, each in demo.items():
        for side in range(1, printed_sides(each)):
            lines = each.lines(side)
            begins = [number for number, line in enumerate(lines) if re.match(r"\d+\.\s", line)]
            if begins and not any(line.startswith("Method") for line in lines):
                assert begins[0] == 0, (code, lines[:2])


def test_no_line_begins_with_a_unit(demo: dict[str, Set]) -> None:
    for code, one in demo.items():
        for side in range(len(one.sides)):
            for line in one.lines(side):
                assert not re.match(r"(g|mL|%|°C)\b", line), (code, line)


def test_no_heading_is_last_on_a_side(demo: dict[str, Set], hard: dict[str, Set]) -> None:
    headings = {"Method", "Notes", "Cautions for use", "Make first", "HAZARDS", "Changes:"}
    for one in (*demo.values(), *hard.values()):
        for side in range(len(one.sides)):
            lines = [line for line in one.lines(side) if "sheet" not in line and not line.startswith("Local law")]
            assert not lines or lines[-1] not in headings


@pytest.mark.parametrize("language", ["en", "de"])
def test_two_lines_at_least_of_a_paragraph_stand_on_each_side(tmp_path: Path, language: str) -> None:
    one = _set(write(tmp_path, language=language), "A5", ("X-01",))["X-01"]
    lines = [one.lines(side) for side in range(printed_sides(one))]
    assert len(lines) == 3
    for side in lines[1:]:
        prose = [line for line in side if not re.match(r"Notes|Changes|Why|water", line)]
        assert all(len(line) > 60 for line in prose[:2]), prose[:2]


@pytest.mark.parametrize(
    ("language", "broken"), [("en", {"crystal-", "mois-"}), ("de", {"unmittel-", "Auskris-", "Feuchtigkeits-"})]
)
def test_words_are_hyphenated_in_the_language_of_the_book(tmp_path: Path, language: str, broken: set[str]) -> None:
    """Every word that ends a line with a hyphen goes on as one of the text."""
    one = _set(write(tmp_path, language=language), "A5", ("X-01",))["X-01"]
    text = [line for side in range(printed_sides(one)) for line in one.lines(side)]
    text = [line for line in text if not line.startswith(("X-01", "Local law"))]
    ends = [(a.split()[-1], b.split()[0]) for a, b in pairwise(text) if re.search(r"\w-$", a)]
    joined = {first[:-1] + second.strip(".,;:") for first, second in ends}
    assert joined
    assert joined <= {word.strip(".,") for word in PROSE[language].split()}
    assert {first for first, _ in ends} >= broken


def test_names_and_codes_are_not_hyphenated(demo: dict[str, Set]) -> None:
    names = {row.link.words for one in demo.values() for phase in one.page.table.phases for row in phase.rows}
    for code, one in demo.items():
        for side in range(len(one.sides)):
            lines = one.lines(side)
            for line, after in pairwise(lines):
                if re.search(r"\w-$", line):
                    word = line.split()[-1][:-1] + after.split()[0]
                    assert not any(word in name for name in names if len(word) > 5), (code, word)
                    assert not re.search(r"\b[A-Z]{1,3}-$", line), (code, line)


def test_nothing_leaves_the_column(hard: dict[str, Set]) -> None:
    """A title of 300 letters, a word of 180 and a picture larger than the sheet stay between the margins."""
    for code in ("X-01", "X-02", "X-03"):
        for number, words in enumerate(hard[code].sides):
            left, right = (19, 139) if number % 2 == 0 else (9, 129)
            body = [word for word in words if word.top > 12]
            assert all(left - 0.5 < word.left and word.right < right + 1 for word in body), code
    with pikepdf.open(BytesIO(hard["X-03"].pdf)) as pdf:
        placed = [
            float(operands[3])
            for page in pdf.pages
            for operands, operator in pikepdf.parse_content_stream(page)
            if str(operator) == "cm" and abs(float(operands[0])) > 20 and float(operands[1]) == 0
        ]
    assert placed
    assert max(abs(height) for height in placed) < 180 * 72 / 25.4


# ── Size, units, signs ────────────────────────────────────────────────────────────────────────────────────────────


def test_no_type_is_smaller_than_9_points(demo: dict[str, Set], hard: dict[str, Set]) -> None:
    for one in (*demo.values(), *hard.values()):
        with pikepdf.open(BytesIO(one.pdf)) as pdf:
            for page in pdf.pages:
                assert all(run.points > 8.99 for run in type_of(page))


def test_only_paper_sets_signs_and_spaces() -> None:
    set_ = {
        "40-45 °C": f'<span class="kept">40–45</span>{THIN}°C',
        "-5 °C": f"{MINUS}5{THIN}°C",
        "3 x 5 mL": f"3{THIN}×{THIN}5{THIN}mL",
        "about 250g": f"about 250{THIN}g",
        "~5 min": f"≈{NBSP}5{THIN}min",
        "1/2 turn": '<span class="fraction">1/2</span> turn',
        "in S-02 of 2026-09-12": 'in <span class="kept">S-02</span> of <span class="kept">2026-09-12</span>',
        "1.01 g/mL": f'<span class="kept">1.01{THIN}g/mL</span>',
        "12 drops, pH 5": f"12{NBSP}drops, pH{NBSP}5",
        '<a href="x-5 g.html">5 g</a>': f'<a href="x-5 g.html">5{THIN}g</a>',
        "<code>5 g</code>": "<code>5 g</code>",
        "3/2, 24/7, the 90s, 0x1F, O&#39;s": "3/2, 24/7, the 90s, 0x1F, O&#39;s",
    }
    assert {words: str(typeset(Markup(words))) for words in set_} == set_
    for words in set_.values():
        if "<" not in words:
            assert str(typeset(Markup(words))) == words, "what is set is left alone"


def test_a_number_in_a_name_stays_with_its_word() -> None:
    html = Markup("<p>20 polysorbate 80 of Polysorbate 80, acid 80 % or acid 805, and polysorbate 20")
    held = str(typeset(html, ("polysorbate 80", "lactic acid 80 %"))).replace(NBSP, "_").replace(THIN, "~")
    assert re.sub(r"</?span[^>]*>", "", held) == (
        "<p>20 polysorbate_80 of Polysorbate_80, acid_80~% or acid 805, and polysorbate 20"
    )


def test_an_amount_is_one_piece_with_its_word_and_its_stop() -> None:
    amount = '<b class="amount" data-link="1"><data value="5">5</data> g</b>'
    assert str(typeset(Markup(f"<li>the wax&nbsp;{amount}, stir</li>"))).startswith(
        f'<li>the <span class="kept">wax{NBSP}<b class="amount"'
    )


def test_units_stand_behind_a_narrow_space_on_paper(hard: dict[str, Set]) -> None:
    """The keeper's own text: a number, what belongs to it, and no plain space between them."""
    gaps = [
        after.left - before.right
        for words in hard["X-80"].sides
        for before, after in pairwise(words)
        if (before.text, after.text.strip(",")) == ("40–45", "°C")
    ]
    plain = [
        after.left - before.right
        for words in hard["X-80"].sides
        for before, after in pairwise(words)
        if before.text == "wait"
    ]
    assert len(gaps) == 24
    assert max(gaps) < min(gap for gap in plain if gap > 0)
