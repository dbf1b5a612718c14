"""Pages as documents: valid, self-contained, harmless, in the right order, linked, small."""

from __future__ import annotations

import os
import re
from html.parser import HTMLParser
from pathlib import Path
from posixpath import dirname, join, normpath
from statistics import median
from urllib.parse import unquote
from zlib import decompress

import pytest

from bookgen.look.light import followed
from bookgen.look.markup import PAGE, html_of
from bookgen.preview.remarks import STYLE as REMARKS
from bookgen.shown.phrases import coded
from bookgen.shown.search.page import PAGE as SEARCH
from bookgen.shown.search.page import TERMS
from tests.shared import DAY

from .conftest import HERE, HTML, STYLE, Published, parse, words

GOLDEN = HERE / "golden"
REWRITE = os.environ.get("BOOKGEN_REWRITE_GOLDEN") == "1"
"""Set to rewrite the kept pages; read what changed before keeping it."""
PACKET = re.compile(r"<script>.*?</script>", re.DOTALL)
DATA = re.compile(r'(id="following">)([^<]+)(?=</script>)')
DIGEST = re.compile(r"'sha256-[^']*'")


def html_pages(published: Published) -> dict[str, str]:
    return {path: content.decode() for path, content in published.site.items() if path.endswith(".html")}


@pytest.mark.parametrize(
    ("name", "path"),
    [
        ("contents", "index.html"),
        ("findings", "findings.html"),
        ("formula", "formulas/C-2.html"),
        ("formula-by-volume", "formulas/W-1.html"),
        ("formula-draft", "formulas/C-10.html"),
        ("formula-barred", "formulas/C-12.html"),
        ("material", "materials/sweet-oil.html"),
    ],
)
def test_kept_page(small: Published, name: str, path: str) -> None:
    """A snapshot made by bookgen itself, for reviewing changes; the numbers are checked elsewhere."""
    compare(GOLDEN / f"{name}.html", small.site[path].decode())


@pytest.mark.parametrize(
    ("name", "code"), [("sheet", "C-2"), ("sheet-contents", "contents"), ("sheet-materials", "materials-a")]
)
def test_kept_sheet(small: Published, name: str, code: str) -> None:
    compare(GOLDEN / f"{name}.html", next(one.html for one in small.leaves if one.code == code))


def inflated(small: str) -> str:
    """Return a text that stands in a page in small."""
    signs = [sign for sign in map(chr, range(32, 127)) if sign not in '"<\\']
    digits = [first + second for first in signs for second in signs] + [chr(160 + more) for more in range(1858)]
    values = {digit: value for value, digit in enumerate(digits)}
    numbers = [values[digit] for digit in re.findall("[\\x20-~]{2}|[^\\x20-~]", small[1:])]
    fives = [(high * 10322 + middle) * 10322 + low for high, middle, low in zip(*[iter(numbers)] * 3, strict=True)]
    packed = b"".join(five.to_bytes(5, "big") for five in fives)
    return decompress(packed[: len(packed) - int(small[0])], -15).decode()


def compare(kept: Path, html: str) -> None:
    html = DATA.sub(lambda data: data[1] + inflated(data[2]).replace("<", "\\u003c"), html)
    html = DIGEST.sub("'sha256-'", PACKET.sub("<script></script>", STYLE.sub("<style></style>", html)))
    if REWRITE:
        kept.parent.mkdir(exist_ok=True)
        kept.write_text(html, encoding="utf-8")
    assert html == kept.read_text(encoding="utf-8")


def test_every_page_and_sheet_is_valid_html(published: Published) -> None:
    for path, html in html_pages(published).items():
        tree = parse(html)
        assert words(tree.find(f"{HTML}head/{HTML}title")), path
        assert tree.get("lang") == published.book.workroom.language
        ids = [one.get("id") for one in tree.iter() if one.get("id")]
        assert len(ids) == len(set(ids)), path
    for leaf in published.leaves:
        assert parse(leaf.html).get("lang") == published.book.workroom.language


def test_pages_request_nothing_from_elsewhere(published: Published) -> None:
    for path, html in html_pages(published).items():
        tree = parse(html)
        loaded = [one.get("src") for one in tree.iter(f"{HTML}script") if one.get("src")]
        assert loaded == ([TERMS] if path == SEARCH else []), path
        assert not list(tree.iter(f"{HTML}link")), path
        for one in tree.iter():
            for attribute in ("src", "srcset", "poster", "data", "action"):
                assert ":" not in (one.get(attribute) or ""), path
            assert not [name for name in one.attrib if name.startswith("on")]
        style = "".join(STYLE.findall(html))
        root = "../" if "/" in path else ""
        addresses = re.findall(r'url\("?([^")]*)"?\)', style)
        assert addresses
        for address in addresses:
            assert address.startswith(f"{root}fonts/")
            assert normpath(join(dirname(path), address)) in published.site
        assert "@import" not in style


def test_every_relative_link_and_fragment_leads_somewhere(published: Published) -> None:
    pages = html_pages(published)
    ids = {path: {one.get("id") for one in parse(html).iter()} for path, html in pages.items()}
    for path, html in pages.items():
        for link in parse(html).iter(f"{HTML}a"):
            href = link.get("href")
            if re.match(r"https?:|mailto:", href):
                assert link.get("rel") == "noreferrer"
                continue
            target, _, fragment = href.partition("#")
            target = normpath(join(dirname(path), unquote(target))) if target else path
            assert target in published.site, f"{path}: {href}"
            assert not fragment or fragment in ids[target], f"{path}: {href}"


def test_sheet_links_lead_to_leaves(published: Published) -> None:
    codes = [code for leaf in published.leaves for code in (leaf.code, *(held.code for held in leaf.holds))]
    assert len(codes) == len(set(codes))
    links = []
    for leaf in published.leaves:
        page = parse(leaf.html)
        ids = {one.get("id") for one in page.iter() if one.get("id")}
        found = [link.get("href") for link in page.iter(f"{HTML}a") if link.get("href")]
        assert {href.removeprefix("#") for href in found if href.startswith("#")} <= ids, leaf.code
        assert {held.code for held in leaf.holds} <= ids
        links += [href for href in found if not href.startswith("#")]
    ours = [href for href in links if href.startswith("sheet:")]
    assert ours
    assert {href.removeprefix("sheet:") for href in ours} <= set(codes)
    assert not [href for href in links if not re.match(r"sheet:|https?:|mailto:", href)]


def test_leaves_come_in_the_order_of_the_binder(small: Published) -> None:
    """Front matter, then chapter by chapter a divider and its formulas, then the materials; nothing withdrawn."""
    assert [(one.kind, one.leaf.code) for one in small.sheets] == [
        *(("front", code) for code in ("title", "contents")),
        *(("front", code) for code in ("by-material", "by-purpose")),
        ("divider", "divider-waters"), ("formula", "W-1"),
        ("divider", "divider-creams"), *(("formula", code) for code in ("C-2", "C-10", "C-11", "C-12")),
        ("divider", "divider-materials"),
        ("materials", "materials-a"),
    ]  # fmt: skip
    assert [one.leaf.chapter for one in small.sheets] == [
        *[""] * 4, *["Waters"] * 2, *["Creams"] * 5, *["Materials"] * 2
    ]  # fmt: skip
    held = [one.code for one in small.leaves[-1].holds]
    assert held == ["lye", "purified-water", "scent-oil", "sweet-oil", "wax", "clay"]
    assert [one.kind == "divider" for one in small.sheets] == [one.divides for one in small.leaves]


def test_what_the_keeper_typed_is_text(published: Published, small: Published) -> None:
    title = small.site["formulas/W-1.html"].decode()
    assert "<script>alert" not in title
    assert "<h1>Clear water &lt;script&gt;alert(&#34;1&#34;)&lt;/script&gt;</h1>" in title
    cream = small.site["formulas/C-2.html"].decode()
    assert "&lt;script&gt;alert(&#34;body&#34;)&lt;/script&gt;" in cream
    assert "scent oil &lt;b&gt;bold&lt;/b&gt;" in cream
    for html in html_pages(published).values():
        assert "<script>alert" not in html
        assert "<b>bold" not in html


def test_order_of_a_formula_page(small: Published) -> None:
    page = words(parse(small.site["formulas/C-2.html"].decode()).find(f"{HTML}body"))
    marks = [
        "C-2", "Cold cream", "Issue 1 of 2026-03-01", "For dry hands", "leave-on, hands, adults", "To obtain",
        "Weigh in all",
        "Hazards", "Hot wax clings.", "lye 10 %: Caustic", "Make first", "W-1", "Ingredients", "melt at 70 °C",
        "Printed total",
        "Equipment", "When it is right", "Method", "Keeping", "Use by", "Cautions for use", "Not on open cracks.",
        "Source", "Changes", "Why these figures", "local law and licensed practice",
    ]  # fmt: skip
    found = [page.index(mark) for mark in marks]
    assert found == sorted(found)


def test_hazards_come_from_inside_intermediates_too(small: Published) -> None:
    page = words(parse(small.site["formulas/C-2.html"].decode()))
    hazards = page[page.index("Hazards") : page.index("Make first")]
    assert "white clay (for Clear water" in hazards
    assert "Raises dust" in hazards
    assert "Undiluted aromatic materials" in hazards


def test_usual_cautions_are_said_once(small: Published) -> None:
    page = words(parse(small.site["formulas/C-2.html"].decode()))
    assert page.count("Before first use try a little") == 1
    assert "Water without a preservative" in page
    assert "Not meant for children or use in pregnancy without professional advice." in page
    water = words(parse(small.site["formulas/W-1.html"].decode()))
    assert "Before first use" not in water
    children = words(parse(small.site["formulas/C-10.html"].decode()))
    assert "Not meant for children" not in children


def test_amounts_and_durations_stand_beside_their_words(small: Published) -> None:
    page = words(parse(small.site["formulas/C-2.html"].decode()))
    weighing = small.weighings["c-2"]
    half, rest = weighing.links[3].grams, weighing.links[4].grams
    whole = weighing.evaluation.lines[2].printed
    assert half + rest == whole
    assert "Wait a day." in page
    assert "6 drops (0,15 g)" in page


def test_material_page_says_where_it_is_used(small: Published) -> None:
    page = words(parse(small.site["materials/lye.html"].decode()))
    assert page.index("Caustic, so goggles & gloves.") < page.index("sodium hydroxide")
    assert "C-2 Cold cream" in page
    assert "C-10 Thin cream" in page
    drop = words(parse(small.site["materials/scent-oil.html"].decode()))
    assert "0,025 g (0,0235 to 0,0265 g), from 3 weighings" in drop


def test_findings_page_has_every_finding_with_its_place(published: Published) -> None:
    page = words(parse(published.site["findings.html"].decode()))
    for finding in published.review.findings:
        assert str(finding.place) in page
        assert " ".join(finding.message.replace("`", "").split()) in page
    if not published.review.findings:
        assert "No findings in amounts, measuring, storage and use, what dissolves in what, the dangers and" in page


def test_backticks_of_a_message_are_code_and_nothing_else_is_markup() -> None:
    assert html_of(coded("write `a: <b>` or `c`, not <i>")) == (
        "write <code>a: &lt;b&gt;</code> or <code>c</code>, not &lt;i&gt;"
    )
    assert html_of(coded("one ` alone")) == "one ` alone"


def test_words_too_long_for_a_column_have_places_to_break() -> None:
    assert PAGE.breakable("short words & more") == "short words &amp; more"
    broken = PAGE.breakable("a " + "x" * 40 + "&")
    assert broken.replace("<wbr>", "") == "a " + "x" * 40 + "&amp;"
    assert max(len(part) for part in broken.split("<wbr>")) <= 20


def test_pages_stay_small(published: Published) -> None:
    """Half of the demo's pages weigh less than 60 kB before their type; the longest a third more."""
    sizes = sorted(len(content) for path, content in published.light.items() if path.startswith("formulas/"))
    assert median(sizes) < 58_500
    assert sizes[-1] < 82_750


class Seen(HTMLParser):
    """What a page says and how it is marked, but for the names of figures that no script looks for, and ends."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.seen: list[object] = [""]
        self.feed(STYLE.sub("", html))
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        name = dict(attrs).get("data-figure")
        if name is None or tag == "time" or followed(name):
            self.seen += [(tag, attrs), ""]

    def handle_data(self, data: str) -> None:
        self.seen[-1] += "".join(data.split())


def test_a_published_page_says_what_the_one_with_every_name_says(published: Published) -> None:
    for path, html in html_pages(published).items():
        light = published.light[path].decode()
        assert Seen(light).seen == Seen(html).seen, path
        assert len(light) < len(html), path


def test_a_published_page_is_valid_html(small: Published) -> None:
    for path in html_pages(small):
        parse(small.light[path].decode())


def test_a_page_has_the_style_of_what_stands_on_it_alone(published: Published) -> None:
    for path, html in html_pages(published).items():
        style, rest = STYLE.findall(html)[0], STYLE.sub("", html)
        assert (".lineage line" in style) is ('class="lineage"' in rest), path
        assert (".material .tab" in style) is ('<body class="material"' in rest), path


def test_what_a_style_calls_by_name_is_declared(published: Published) -> None:
    """On the page, be it under a short name; by the names that the preview's remarks ask for as well."""
    for path in html_pages(published):
        page = published.light[path].decode()
        declared = set(re.findall(r"(--[a-z]+):", page))
        assert set(re.findall(r"var\((--[a-z]+)", page + REMARKS)) <= declared, path


def test_same_input_same_bytes(small: Published) -> None:
    from bookgen.look import load_theme
    from bookgen.pages import site_files

    again = site_files(small.reckoning, small.review, load_theme(), named=True, day=DAY)
    assert again == small.site
