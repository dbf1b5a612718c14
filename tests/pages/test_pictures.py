"""Pictures: parts true to their shares, every part named, lines that can be followed back to what goes into what."""

from __future__ import annotations

import re
import time
from collections import Counter
from fractions import Fraction
from itertools import combinations, pairwise
from random import Random
from statistics import median
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bookgen import pipeline, show
from bookgen.look.pictures import acid_picture, composition_picture, lineage_pictures
from bookgen.look.pictures.acids import curve
from bookgen.look.pictures.composition import COLUMN, spread
from bookgen.look.pictures.lettering import MORE, fitted, width_of
from bookgen.look.pictures.lineage import MOST_LANES, MOST_ROWS
from bookgen.reckon.acids import forms_of
from bookgen.shown.figures import percent
from bookgen.shown.judged_records import AcidPicture
from bookgen.shown.phrases import Phrase
from bookgen.shown.records import Cell, Link, Share

from ..books_of_text import formula, write_book
from .conftest import HTML, parse, publish, words

SVG = "{http://www.w3.org/2000/svg}"
AWKWARD = "mad \"quotes\" <b>&amp;</b> 'n' co"


def share(name: str, part: Fraction, word: str = "") -> Share:
    figure = percent(f"composition-{name}", part, show.POINT, unit="")
    return Share(link=Link(words=name, href=""), percent=Cell(figure=figure), word=word, range=Phrase())


def shares_of(weights: list[int], name: str = "material") -> list[Share]:
    ordered = sorted(weights, reverse=True)
    return [share(f"{name} {number}", Fraction(one, sum(ordered))) for number, one in enumerate(ordered)]


def drawn(picture: str) -> ElementTree.Element:
    return ElementTree.fromstring(picture)


def length(text: str) -> Fraction:
    return Fraction(re.fullmatch(r"(-?\d*\.?\d)(?:em|%)", text)[1])


def ruling(tree: ElementTree.Element) -> list[int]:
    """The edges at which the bar is ruled, in tenths of a percent."""
    path = tree.find(".//svg[@class='bar']/svg/path").get("d")
    outline, _, inner = path.partition("Z")
    assert outline == "M0 0H1000V18H0"
    return [0, *(int(one) for one in re.findall(r"M(\d+) 0V18", inner)), 1000]


def lines_of(text: ElementTree.Element) -> list[str]:
    """The lines of an SVG text."""
    lines = [text.text or ""]
    for one in text.findall("tspan"):
        if one.get("dy"):
            lines.append("".join(one.itertext()))
        else:
            lines[-1] += "".join(one.itertext()) + (one.tail or "")
    return lines


def labels(tree: ElementTree.Element) -> list[str]:
    """What is written in a picture, the wider space beside a number or code made plain."""
    return [
        " ".join(lines_of(one)).replace(f"{show.NBSP} ", " ").replace(f" {show.NBSP}", " ").replace(show.NBSP, " ")
        for one in tree.iter("text")
    ]


# ── The bar ───────────────────────────────────────────────────────────────────────────────────────────────────────


@given(st.lists(st.integers(1, 100_000), min_size=1, max_size=60))
@settings(max_examples=80, deadline=None)
def test_parts_are_ruled_where_the_exact_shares_end(weights: list[int]) -> None:
    shares = shares_of(weights)
    tree = drawn(composition_picture("x", shares))
    total, sum_, wanted = sum(weights), 0, {0, 1000}
    for one in sorted(weights, reverse=True):
        sum_ += one
        wanted.add((2 * sum_ * 1000 + total) // (2 * total))
    edges = ruling(tree)
    assert edges == sorted(wanted)
    parts = list(pairwise(edges))
    assert sum(end - start for start, end in parts) == 1000
    hatched = {}
    for rect in tree.iter("rect"):
        start = length(rect.get("x")) * 10
        hatched[(start, start + length(rect.get("width")) * 10)] = rect.get("fill")
    assert hatched.keys() <= set(parts)
    patterns = [hatched.get(one, "plain") for one in parts]
    assert all(one != other for one, other in pairwise(patterns)), "neighbours look alike"
    defined = {f"url(#{one.get('id')})" for one in tree.iter("pattern")}
    assert defined == set(hatched.values())


@given(st.lists(st.integers(1, 100_000), min_size=1, max_size=60), st.integers(1, 40))
@settings(max_examples=80, deadline=None)
def test_every_part_is_named_and_no_words_meet(weights: list[int], letters: int) -> None:
    shares = shares_of(weights, "n" * letters)
    tree = drawn(composition_picture("x", shares))
    found = labels(tree)
    own = len(shares) if len(shares) <= 40 else 39
    assert len(found) == min(len(shares), 40)
    for one, label in zip(shares, found[:own], strict=True):
        digits = show.with_unit(one.percent.figure.text, "%")
        assert label.startswith(digits) or label.endswith(digits)
        name = label.removeprefix(digits).removesuffix(digits).replace(" ", "")
        assert one.link.words.replace(" ", "").startswith(name.removesuffix(MORE))
    if own < len(shares):
        assert f"{len(shares) - own} others" in found[-1]
    for side in tree.iter("svg"):
        bottom = Fraction(-10)
        for text in side.findall("text"):
            lines = len(lines_of(text))
            assert length(text.get("y")) >= bottom + Fraction("1.2")
            bottom = length(text.get("y")) + (lines - 1) * Fraction("1.3")


@pytest.mark.parametrize("count", [1, 2, 3, 40])
def test_any_number_of_parts(count: int) -> None:
    tree = drawn(composition_picture("x", shares_of([1] * count)))
    assert len(ruling(tree)) == count + 1
    assert len(labels(tree)) == count


def test_what_is_kept_together_is_said() -> None:
    tree = drawn(composition_picture("x", shares_of([1] * 55)))
    assert labels(tree)[-1] == "16 others, in the table"
    assert len(ruling(tree)) == 56


@given(st.lists(st.integers(500, 1000), min_size=1, max_size=30).map(sorted))
def test_leaders_keep_order_distance_and_side(wanted: list[int]) -> None:
    places = spread(wanted, 504, 996)
    assert 504 <= places[0] <= places[-1] <= 996
    apart = min(20, 492 // max(len(wanted) - 1, 1))
    assert all(after - before >= apart for before, after in pairwise(places))


def test_a_leader_with_room_stands_in_the_middle_of_its_part() -> None:
    assert spread([300, 500, 800], 0, 1000) == [300, 500, 800]


@given(st.text(alphabet="abc mw-äß漢", max_size=80), st.integers(900, 2190), st.booleans())
def test_words_fit_their_room(name: str, room: int, last: bool) -> None:
    lines = fitted(name, room, 2, **{"after" if last else "before": "12.3 %"})
    assert 1 <= len(lines) <= 2
    assert all(width_of(line) <= room for line in lines)
    text = " ".join(lines)
    assert text.endswith("12.3 %") if last else text.startswith("12.3 %")
    assert text.count("12.3 %") == 1
    bare = text.replace("12.3 %", "").replace(" ", "")
    full = "".join(name.split())
    assert bare == full or (bare.endswith(MORE) and full.startswith(bare.removesuffix(MORE)))


def test_widths_leave_room_for_words_set_further_apart() -> None:
    """By the font's own widths, with the spacing of WCAG 2.2, 1.4.12: .12 em a letter, .16 em a word."""
    from fontTools.ttLib import TTFont

    from bookgen.look import load_theme

    font = TTFont(load_theme().file("fonts/sans.woff2"))
    letters, advances, size = font.getBestCmap(), font["hmtx"], font["head"].unitsPerEm
    for text in ("purified water", "sorbitan olivate, cetearyl olivate", "WOOL ALCOHOLS", "0.0446 %", "at most 13.2 %"):
        own = sum(advances[letters[ord(sign)]][0] for sign in text) * 100 / size
        spaced = own + 12 * len(text) + 16 * text.count(" ")
        assert spaced <= width_of(text) <= spaced + own * 0.05, text


def test_names_are_text_and_ids_are_unique() -> None:
    for picture in (
        composition_picture(AWKWARD, [share(AWKWARD, Fraction(2, 3)), share("<script>", Fraction(1, 3), "at most")]),
        *lineage_pictures(
            [
                Link(code="A-1", words=AWKWARD, href='a.html?x=1&y="2"'),
                Link(code="B-1", words="<script>", href="b.html"),
            ],
            [("A-1", "B-1")],
        ),
    ):
        tree = drawn(picture)
        assert "<script" not in picture
        assert any(AWKWARD in one for one in (*labels(tree), *(words(row) for row in tree.iter("li"))))
        ids = [one.get("id") for one in tree.iter() if one.get("id")]
        assert len(ids) == len(set(ids))


def test_a_limit_is_said_at_its_leader() -> None:
    tree = drawn(
        composition_picture("x", [share("water", Fraction(99, 100)), share("oil", Fraction(1, 100), "at most")])
    )
    assert labels(tree) == [f"99.0{show.THIN}% water", f"oil at most 1.00{show.THIN}%"]


def test_what_is_not_known_has_no_picture() -> None:
    unknown = Share(link=Link(words="x", href=""), percent=Cell(word="not known"), word="", range=Phrase())
    assert composition_picture("x", []) == composition_picture("x", [share("y", Fraction(1, 2)), unknown]) == ""


def test_thin_parts_are_owned_up_to() -> None:
    thin = composition_picture("x", [share("a", Fraction(999, 1000)), share("b", Fraction(1, 1000))])
    assert drawn(thin).findtext("figcaption") == "To scale; a part below half a percent is no more than a line."
    assert drawn(composition_picture("x", shares_of([1, 1]))).find("figcaption") is None


@pytest.mark.parametrize("name", ["demo", "official"])
def test_the_picture_says_what_its_table_says(name: str) -> None:
    published, sizes = publish(name), []
    for key in published.reckoning.figures:
        path = next(one for one in published.site if one.casefold() == f"formulas/{key}.html")
        tree = parse(published.site[path].decode())
        table = next((one for one in tree.iter(f"{HTML}table") if one.get("class") == "composition"), None)
        pictures = [one for one in tree.iter(f"{SVG}svg") if one.get("class") == "parts"]
        heads = [one for one in (table if table is not None else ()) if "Finished" in words(one)]
        assert len(pictures) == bool(heads), path
        if not pictures:
            continue
        picture = pictures[0]
        assert picture.get("role") == "img"
        by_id = {one.get("id"): one for one in picture.iter() if one.get("id")}
        assert by_id[picture.get("aria-labelledby")].tag == f"{SVG}title"
        assert by_id[picture.get("aria-describedby")].tag == f"{SVG}desc"
        numbers = [words(one) for one in picture.iter(f"{SVG}tspan") if one.get("class") == "n"]
        cells = [words(one) for one in table.iter(f"{HTML}td")]
        assert [re.search(r"[\d.,]+", one)[0] for one in numbers] == [re.search(r"[\d.,]+", one)[0] for one in cells]
        sizes.append(len(ElementTree.tostring(picture)))
    assert len(sizes) > 10
    assert median(sizes) < 3000
    assert max(sizes) < 5500  # with the namespace that the parser writes into every tag


# ── What goes into what ───────────────────────────────────────────────────────────────────────────────────────────


def nodes_of(count: int) -> list[Link]:
    return [
        Link(words=f"Formula {number}", href=f"formulas/X-{number}.html", code=f"X-{number}") for number in range(count)
    ]


def codes_of(tree: ElementTree.Element) -> list[str]:
    """The codes of a picture's rows."""
    return [next(one.text for one in row.iter("b") if one.get("class") == "code") for row in tree.iter("li")]


def followed(tree: ElementTree.Element) -> tuple[Counter[tuple[str, str]], int]:
    """Follow each line down from row to row: what it leads from and to, and how often one crosses another.

    By the picture alone: pieces of lanes meet where one row ends and the next begins, a line along a row touches the
    lanes that end at it and those with a dot, and crosses the others.
    """
    found: Counter[tuple[str, str]] = Counter()
    crossed, lanes = 0, {}
    for code, row in zip(codes_of(tree), tree.iter("li"), strict=True):
        down, over = [], []
        for line in row.iter("line"):
            x, end = length(line.get("x1")), length(line.get("x2"))
            top, bottom = (
                Fraction(99) if line.get(name) == "100%" else length(line.get(name) or "0em") for name in ("y1", "y2")
            )
            (down if x == end else over).append((x, end, top, bottom, bool(line.get("marker-end"))))
        dots = {length(one.get("cx")) for one in row.iter("circle") if one.get("class") != "node"}
        node = next(length(one.get("cx")) for one in row.iter("circle") if one.get("class") == "node")
        assert sorted(x for x, _, top, _, _ in down if not top) == sorted(lanes), code
        below = {}
        for start, end, height, _, tip in over:
            low, high = min(start, end), max(start, end)
            touched = []
            for x, _, top, bottom, _ in down:
                if low <= x <= high and top < height < bottom:
                    crossed += x not in dots
                    touched += [lanes[x]] if x in dots else []
                elif low <= x <= high and not top and bottom == height:
                    touched.append(lanes[x])
            assert touched, "a line that nothing leads to"
            if tip:
                assert abs(end - node) <= Fraction("0.3")
                found.update((source, code) for source in touched)
            else:  # a lane that parts
                for x, _, top, bottom, down_tip in down:
                    if top == height and low <= x <= high:
                        found.update([(touched[0], code)] if down_tip else [])
                        below |= {x: touched[0]} if bottom == 99 else {}
        for x, _, top, bottom, tip in down:
            if not top and bottom == 99:
                below[x] = lanes[x]
            elif not top and tip:
                assert x == node
                found[lanes[x], code] += 1
            elif x == node and bottom == 99 and x not in below:
                below[x] = code
        assert len(below) == len([1 for _, _, _, bottom, _ in down if bottom == 99])
        lanes = below
    assert not lanes
    return found, crossed


GRAPHS = st.integers(2, 14).flatmap(
    lambda count: st.sets(
        st.tuples(st.integers(0, count - 1), st.integers(0, count - 1)).filter(lambda one: one[0] < one[1]), min_size=1
    )
)


@given(GRAPHS, st.randoms(use_true_random=False))
@settings(max_examples=100, deadline=None)
def test_lines_lead_from_what_goes_in_to_what_it_goes_into(pairs, random) -> None:
    nodes = nodes_of(14)
    edges = [(f"X-{one}", f"X-{other}") for one, other in pairs]
    shuffled = list(edges)
    random.shuffle(shuffled)
    pictures = lineage_pictures(nodes, edges)
    assert pictures == lineage_pictures(nodes, shuffled + edges)
    if any(one.startswith("<p") for one in pictures):
        assert len(edges) > MOST_LANES
        return
    found: Counter[tuple[str, str]] = Counter()
    for picture in pictures:
        tree = drawn(picture)
        found += followed(tree)[0]
        order = codes_of(tree)
        assert len(order) == len(set(order))
        assert all(order.index(one) < order.index(other) for one, other in found if one in order)
    assert found == Counter(edges)


def without_crossing(random: Random, count: int) -> set[tuple[int, int]]:
    """Edges of a drawing without a crossing: each formula takes lines that lie side by side and sends out others."""
    lines: list[int] = []
    edges = set()
    for number in range(count):
        start = random.randrange(len(lines) + 1)
        end = min(len(lines), start + random.randrange(3))
        edges |= {(source, number) for source in lines[start:end]}
        lines[start:end] = [number] * random.randrange(1, 4) if number < count - 3 else []
    return edges


@given(st.randoms(use_true_random=False), st.integers(3, 14))
@settings(max_examples=150, deadline=None)
def test_no_line_crosses_another_where_a_drawing_without_is_known(random, count: int) -> None:
    edges = without_crossing(random, count)
    names = list(range(count))
    random.shuffle(names)
    for picture in lineage_pictures(
        nodes_of(count), [(f"X-{names[one]}", f"X-{names[other]}") for one, other in edges]
    ):
        if not picture.startswith("<p"):
            assert followed(drawn(picture))[1] == 0


@pytest.mark.parametrize("name", ["demo", "official"])
def test_no_line_of_a_book_crosses_another(name: str) -> None:
    published = publish(name)
    graph, found = published.reckoning.graph, Counter()
    for one in parse(published.site["uses.html"].decode()).iter(f"{HTML}ol"):
        text = re.sub(r"(</?)\w+:", r"\1", ElementTree.tostring(one, encoding="unicode")).replace("<path", "<path")
        edges, crossed = followed(ElementTree.fromstring(re.sub(r' xmlns:?\w*="[^"]*"', "", text)))
        assert crossed == 0
        found += edges
    assert found == Counter(
        (published.book.formulas[used].code, published.book.formulas[key].code)
        for key, uses in graph.uses.items()
        for used in uses
    )


def test_what_cannot_be_drawn_without_a_crossing_crosses_as_a_line_without_a_dot() -> None:
    """Five formulas, each two of which go into one: five corners that are all joined are in no way planar."""
    pairs = enumerate(combinations(range(5), 2), 5)
    edges = [(f"X-{one}", f"X-{number}") for number, pair in pairs for one in pair]
    (picture,) = lineage_pictures(nodes_of(15), edges)
    found, crossed = followed(drawn(picture))
    assert found == Counter(edges)
    assert crossed > 0


def test_a_lane_parts_round_what_stands_between_its_users() -> None:
    """A and B go into both of the outer ones, C into what lies between: no lane may stay on one side."""
    pairs = [(0, 3), (0, 4), (0, 5), (1, 3), (1, 4), (2, 4), (2, 5)]
    edges = [(f"X-{one}", f"X-{other}") for one, other in pairs]
    (picture,) = lineage_pictures(nodes_of(6), edges)
    found, crossed = followed(drawn(picture))
    assert (found, crossed) == (Counter(edges), 0)


def test_a_hard_group_is_drawn_within_a_second() -> None:
    nodes = nodes_of(30)
    edges = [(f"X-{one}", f"X-{other}") for one in range(6) for other in range(6, 30) if (one * other) % 3 != 1]
    start = time.process_time()
    lineage_pictures(nodes, edges)
    assert time.process_time() - start < 2


def test_a_long_chain_needs_one_lane() -> None:
    nodes = nodes_of(50)
    (picture,) = lineage_pictures(nodes, [(one.code, other.code) for one, other in pairwise(nodes)])
    tree = drawn(picture)
    assert codes_of(tree) == [node.code for node in nodes]
    assert len({one.get("x1") for one in tree.iter("line")}) == 1


def test_groups_that_do_not_hang_together_are_apart_and_loners_are_left_out() -> None:
    pictures = lineage_pictures(nodes_of(6), [("X-3", "X-1"), ("X-0", "X-4")], name="some")
    assert [codes_of(drawn(picture)) for picture in pictures] == [
        ["X-0", "X-4"],
        ["X-3", "X-1"],
    ]
    ids = [one.get("id") for picture in pictures for one in drawn(picture).iter() if one.get("id")]
    assert len(ids) == len(set(ids)) == 2


def test_too_much_for_a_picture_is_said_in_words() -> None:
    nodes = nodes_of(201)
    (star,) = lineage_pictures(nodes, [("X-0", node.code) for node in nodes[1:]])
    assert words(drawn(star)) == "X-0 Formula 0 and 200 others hang together: too many for a picture, see the list."
    knit = [(f"X-{one}", f"X-{other}") for one in range(20) for other in range(20, 40)]
    (close,) = lineage_pictures(nodes, knit)
    assert words(drawn(close)) == "X-0 Formula 0 and 39 others are too closely knit for a picture, see the list."
    (ring,) = lineage_pictures(nodes, [("X-0", "X-1"), ("X-1", "X-2"), ("X-2", "X-1")])
    assert words(drawn(ring)).startswith("X-0 Formula 0 and others go into each other in a ring")
    (self_,) = lineage_pictures(nodes, [("X-0", "X-0")])
    assert "in a ring" in self_
    assert lineage_pictures(nodes[:MOST_ROWS], [("X-0", node.code) for node in nodes[1:MOST_ROWS]])[0].startswith("<ol")


def test_codes_are_links_but_for_the_page_itself_and_what_has_no_page() -> None:
    nodes = [
        Link(code="A-1", words="First", href="../formulas/A-1.html", stamp="trial"),
        Link(code="B-1", words="Second", href="b.html"),
        Link(code="C-1", words="Third", href=""),
    ]
    (picture,) = lineage_pictures(nodes, [("A-1", "B-1"), ("B-1", "C-1")], here="B-1")
    tree = drawn(picture)
    assert {words(one): one.get("href") for one in tree.iter("a")} == {"A-1 First": "../formulas/A-1.html"}
    assert [words(one) for one in tree.iter("span") if one.get("class") == "here"] == ["B-1 Second"]
    assert [words(one) for one in tree.iter("li")] == ["A-1 First trial", "B-1 Second", "C-1 Third"]
    assert tree.get("aria-label") == (
        "What goes into Second, and what it goes into. What is made first stands above what it goes into: "
        "A-1 goes into B-1; B-1 goes into C-1."
    )


@pytest.mark.parametrize("name", ["demo", "official"])
def test_a_formula_with_both_sides_shows_where_it_stands(name: str) -> None:
    published = publish(name)
    graph = published.reckoning.graph
    seen = 0
    for key in published.reckoning.figures:
        path = next(one for one in published.site if one.casefold() == f"formulas/{key}.html")
        tree = parse(published.site[path].decode())
        pictures = [one for one in tree.iter(f"{HTML}ol") if one.get("class") == "lineage"]
        assert len(pictures) == bool(graph.uses[key] and graph.used_by.get(key)), path
        for picture in pictures:
            seen += 1
            shown = {words(one).split()[0].casefold() for one in picture.iter(f"{HTML}li")}
            assert {key, *graph.uses[key], *graph.used_by[key]} <= shown
    assert seen


def test_the_column_is_that_of_a_narrow_phone() -> None:
    """320 px less the page's padding, in the picture's type (12.75 and 15.3 px): a change of style shows here."""
    from bookgen.look import load_theme

    page, pictures = load_theme().text("style/page.css"), load_theme().text("style/pictures.css")
    assert "font: 106.25%/1.5" in page
    assert "padding: 0 1.1rem" in page
    assert "@media screen and (max-width: 640px) { .parts { font-size: .75rem; } }" in pictures
    assert "font: .9rem/1.3 var(--sans)" in pictures
    width = 320 - 2 * Fraction("1.1") * 17
    assert COLUMN <= width / (Fraction("0.75") * 17) * 100 < COLUMN + 40


# ── The undissociated share over pH ───────────────────────────────────────────────────────────────────────────────

UNIT, HIGH = 30, 100
"""A unit of pH and 100 % in the plot's own measures."""
BENZOATE, CITRIC = (Fraction("4.2"),), (Fraction("3.13"), Fraction("4.76"), Fraction("6.4"))


def acid(pkas: tuple[Fraction, ...], low: str, high: str, **fields: object) -> ElementTree.Element:
    given = {"works": (None, Fraction(5)), "label": "by pH", **fields}
    return drawn(acid_picture(AcidPicture(pkas=pkas, low=Fraction(low), high=Fraction(high), **given)))


def cubics(path: str) -> list[tuple[tuple[Fraction, Fraction], ...]]:
    """The path's pieces, four points each, as SVG reads `C` and `S`."""
    numbers = {
        at: [Fraction(one) for one in re.findall(r"\d+", part)] for at, part in enumerate(re.split("[CS]", path))
    }
    points = {at: list(zip(part[::2], part[1::2], strict=True)) for at, part in numbers.items()}
    here, pieces = points[0][0], []
    for at in range(1, len(points)):
        if at == 1:
            first, second, end = points[at]
        else:
            (x, y), (second, end) = pieces[-1][2], points[at]
            first = (2 * here[0] - x, 2 * here[1] - y)
        pieces.append((here, first, second, end))
        here = end
    return pieces


@pytest.mark.parametrize("pkas", [BENZOATE, CITRIC, (Fraction("8.4"),)])
def test_the_curve_is_the_undissociated_share(pkas):
    """Within 1.5 % of it at any pH, and at whole ones as near as the plot can show."""
    low = int(pkas[0]) - 2
    pieces = cubics(curve(pkas, low, low + 5))
    assert len(pieces) == 5
    for piece in pieces:
        for step in range(9):
            at = Fraction(step, 8)
            weights = ((1 - at) ** 3, 3 * at * (1 - at) ** 2, 3 * at**2 * (1 - at), at**3)
            x, y = (sum(weight * point[axis] for weight, point in zip(weights, piece, strict=True)) for axis in (0, 1))
            share = forms_of(pkas, low + x / UNIT)[0]
            assert abs(1 - y / HIGH - share) <= (Fraction("0.005") if step in (0, 8) else Fraction("0.015"))


def test_the_formulas_ph_is_ruled_and_where_it_works_is_shaded():
    """By benzoic acid 61 % at pH 4.0 and 33 % at 4.5 (pKa 4.2), drawn from pH 2 to 7."""
    tree = acid(BENZOATE, "4", "4.5")
    plot = tree.find("svg")
    assert plot.get("viewBox") == f"0 0 {5 * UNIT} {HIGH}"
    ruling, bold = (path.get("d") for path in plot.findall("path"))
    assert ruling == "M0 0H150V100H0ZM30 96v4m30-4v4m30-4v4m30-4v4M60 39V100M75 67V100"
    assert bold == curve(BENZOATE, 2, 7)
    shade = plot.find("rect")
    assert (shade.get("x"), shade.get("width"), shade.get("height")) == (None, str(3 * UNIT), str(HIGH))
    assert [" ".join(text.itertext()) for text in tree.iter("text")] == ["pH 2", f"100{show.THIN}% undissociated 7"]
    assert acid(BENZOATE, "4", "4").find("svg/path").get("d").count("V100M") == 0


def test_the_scale_of_ph_reaches_the_formulas_and_never_beyond_its_ends():
    for pkas, low, high, ends in (
        (BENZOATE, "1.5", "9.2", "1 10"),
        ((Fraction("0.5"),), "3", "3", "0 3"),
        ((Fraction("13.2"),), "12", "14", "11 14"),
    ):
        first, last = acid(pkas, low, high).iter("text")
        assert f"{first.text.removeprefix('pH ')} {last.find('tspan').text}" == ends


@pytest.mark.parametrize(
    ("works", "start", "width"),
    [
        ((Fraction(4), Fraction(8)), "60", "90"),
        ((None, None), None, "150"),
        ((Fraction(1), None), None, "150"),
        ((Fraction(8), Fraction(9)), "180", "0"),
    ],
)
def test_what_works_beyond_the_plot_is_shaded_within_it(works, start, width):
    shade = acid(BENZOATE, "4", "5", works=works).find("svg/rect")
    assert (shade.get("x"), shade.get("width")) == (start, width)
    assert acid(BENZOATE, "4", "5", works=None).find("svg/rect") is None


def test_a_label_of_an_acid_is_escaped():
    assert acid(BENZOATE, "4", "5", label=AWKWARD).get("aria-label") == AWKWARD


def test_an_acid_is_drawn_below_the_sentence_that_has_its_figures(tmp_path):
    """One of the table and one of the book's word, by a pKa of its file; without a pH none."""
    materials = {
        "benzoate": "known as: Sodium benzoate\nwater: 0 %",
        "fern acid": "pKa: 4.3\nwater: 0 %",
        "water": "water: 100 %",
    }
    lines = "benzoate: 0.4 %, preservative; fern acid: 1 %, preservative; water: to 100 g"
    for number, (keys, drawn_) in enumerate(((["pH: 4.5 to 5.0"], 2), (["pH: 4.5"], 2), ([], 0))):
        book = write_book(tmp_path / str(number), {"X": formula("X", lines, *keys)}, materials)
        pipeline.publish(pipeline.check_book(book), tmp_path / f"site-{number}", binder=False)
        page = (tmp_path / f"site-{number}" / "formulas" / "X.html").read_text("utf-8").replace("\u202f", " ")
        entries = re.findall(r"<li>((?:(?!<li>).)*)<svg class=\"picture plot\"(.*?)</svg>(?=<li>|</ul>)", page)
        assert len(entries) == page.count('class="picture plot"') == drawn_
        for told, picture in entries:
            shares = re.search(r"at most (.+?)(?: of it)? (?:is|undissociated)", told)[1]
            label = re.search(r'aria-label="([^"]*)"', picture)[1]
            assert f"at most {shares} undissociated" in label
            assert ("; shaded, it works up to pH 5" in label) is told.startswith("Sodium benzoate")
            assert ("<rect" in picture) is told.startswith("Sodium benzoate")
