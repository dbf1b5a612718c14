"""How the figures are found: each figure has its paragraph, each paragraph its function, each function its source."""

from __future__ import annotations

import functools
import importlib
import pkgutil
import re
import sys
from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path
from xml.etree.ElementTree import Element

import pytest

import bookgen.reckon
from bookgen import reference, show
from bookgen.language import speaking
from bookgen.look import load_theme
from bookgen.look.leading import found
from bookgen.look.markup import html_of
from bookgen.model import MaterialKind
from bookgen.pages import site_files
from bookgen.reckon.figures import reckon
from bookgen.review import review
from bookgen.shown.accounts import examples
from bookgen.shown.accounts import page as whole_page
from bookgen.shown.accounts.anchors import PAGE, TABLE, anchor_for, anchors_for
from bookgen.shown.accounts.page import account_of, found_shown
from bookgen.shown.accounts.paragraphs import ReckonedRule, paragraphs
from bookgen.shown.accounts.working import Words
from bookgen.shown.phrases import Phrase
from bookgen.shown.records import Fact
from bookgen.shown.shelf import shelf_of
from bookgen.source import book_from

from .conftest import HTML, Published, parse, words

POINT = Words(show.POINT)
PARAGRAPHS = tuple(paragraphs())
RULES = [(paragraph.anchor, rule) for paragraph in PARAGRAPHS for rule in paragraph.rules]

RESULTS = {
    "as_written": "to 0,5 L",
    "makes": "50 g",
    "percent": "16 % w/w",
    "three_figures": "2.67 %",
    "parts": "24 g a part",
    "fill": "36 g",
    "cast": "19 g",
    "lye": "12.72 g",
    "glycerol": "6.701 % of glycerol",
    "one_piece": "2.3 g",
    "encapsulated": "0.24 g",
    "one_dose": "3.125 g",
    "volume": "46 g",
    "one_ml": "0.807 g for 1 mL",
    "weigh_in_all": "328.9 g",  # 250 ÷ 0.95 ÷ 0.8
    "evaporation": "15 g",
    "loss_allowed": "50 g",
    "from_supplies": "66.67 g",
    "containers": "12 full, 18 g left over",
    "make_first": "66.67 g to weigh in",
    "shopping": "98 g in all",  # 60 ÷ 0.9 × 0.75 in the base, 40 beside it, 8 in the other
    "weights": "84.8 g",
    "balance": "the bench scale",
    "printed_total": "100.00 g",
    "amounts_in_text": "21.01 g, then 21.00 g",
    "least": "0.2 g",
    "measured": "3 drops, 1.4 % over",
    "drop": "0.025 g a drop, from 0.0235 to 0.0265 g",
    "drop_range": "0.02 to 0.04 g",
    "spread": "8 %",
    "recounted": "5 drops",
    "larger_batch": "a batch of 400 g",
    "stock_dilution": "0.4 g of the stock",
    "trituration": "1, 2, 4, 8 g",
    "thinned_with": "a stock in the water, 1 in 20",
    "weighing_error": "0.20 % at the worst",
    "aliquot": "0.194 to 0.207 instead of 0.2 g",
    "interval": "15.98 to 16.02 % for 16 %",
    "smallest_batch": "a batch of 1.25 g",
    "substance": "0.5 g",
    "strength": "4 % in an intermediate made with it",
    "content": "92.004 %",
    "contents": "3.4 % of glycerol, 0.8 % of lactic acid",
    "named_allergen": "up to 0.035 % of Linalool, named above 0.001 %",
    "label": "Aqua, Cera Alba, Parfum, Linalool",
    "forms": "0.9143 g of citric acid in 1 g of its monohydrate",
    "one_in": "1 in 2000",
    "parts_per_million": "500 ppm",
    "weight_in_volume": "10.707 % w/v",
    "volume_in_weight": "0.5 % w/w",
    "liquids": "44.44 % w/w",
    "diluting": "7.5 g",
    "alligation": "33.33 g and 66.67 g",
    "several": "10 g, 10 g, 100 g",
    "mixing": "29 %",
    "adding": "120 g to add",
    "water_density": "0.998207 g/mL",  # T05-06
    "specific_gravity": "1.0329 g/mL",
    "spirit_density": "0.91377 g/mL",
    "spirit_by_volume": "57.89 % vol",
    "spirit_by_mass": "93.84 % by mass",
    "wanted_spirit": "39.89 g of 96 % vol and 20.11 g of water",
    "contraction": "3.64 mL less than their sum",
    "composition": "15 % of oil",
    "composition_interval": "0.19 to 0.40 % for 0.30 %",
    "free_water": "83 %",
    "preparation": "water that can spoil, unpreserved",
    "kept": "kept by sugar",
    "unheld": "335.3 mL",
    "undissociated": "13.68 %",
    "water_activity": "about 0.84",
    "one_solute": "0.9163",
    "caustics": "2.5 % in all, which burns skin",
    "in_the_sun": "1.429",
    "hlb_of_two": "HLB 13.9",
    "higher_of_two": "71.96 %",
    "brine": "185.7 g to 100 g of water, of which 203.9 g dissolve",
    "acidified": "0.5196 g",
    "rinse": "700 g",  # 480 and 220
    "afloat": "oil floats",
    "use_by": "2026-03-15",
    "months": "2027-02-28",
    "achieved": "2.5 % over, 16.4 % of all",
    "came_out": "95 %",
    "good_for": "up to and including 2026-03-31",
    "left": "91.8 g",
    "paid": "0.984 EUR",
}
"""What each worked line has to come to, reckoned by hand."""


# ── Every figure has its paragraph ────────────────────────────────────────────────────────────────────────────────


def formula_pages(published: Published) -> Iterator[tuple[str, Element]]:
    for path, content in published.site.items():
        if path.startswith("formulas/"):
            yield path, parse(content.decode())


def test_every_figure_of_every_page_belongs_to_one_paragraph(published: Published) -> None:
    known = {one.anchor for one in PARAGRAPHS}
    names = {one.get("data-figure") for _, page in formula_pages(published) for one in page.iter()} - {None}
    assert len(names) > 50
    for name in names:
        assert len(anchors_for(name)) == 1, name
        assert anchor_for(name) in known, name


def test_every_pattern_of_the_table_leads_to_a_paragraph() -> None:
    anchors = [one.anchor for one in PARAGRAPHS]
    assert len(anchors) == len(set(anchors))
    assert {anchor for _, anchor in TABLE} <= set(anchors)


def classes(element: Element) -> list[str]:
    return (element.get("class") or "").split()


def tag(element: Element) -> str:
    return element.tag.removeprefix(HTML)


def links_in(element: Element | None) -> set[str]:
    if element is None:
        return set()
    return {one.get("href", "") for one in element.iter(f"{HTML}a") if f"/{PAGE}#" in one.get("href", "")}


def heads_of(figure: Element, parents: dict[Element, Element]) -> set[str]:
    """Return where the head, term or heading of a figure leads: the nearest that stands above or beside it."""
    one, cell = figure, None
    while one in parents:
        kind = tag(one)
        if kind == "a" and f"/{PAGE}#" in one.get("href", ""):
            return {one.get("href", "")}
        if kind in ("td", "th"):
            cell = one
        if kind == "div" and tag(parents[one]) == "dl":
            return links_in(one.find(f"{HTML}dt"))
        if kind == "tr" and "note" in classes(one):
            rows = list(parents[one])
            line = next(row for row in reversed(rows[: rows.index(one)]) if "line" in classes(row))
            return links_in(line.find(f"{HTML}td[@class='measured']"))
        if kind == "table":
            assert cell is not None
            row = parents[cell]
            head = next(iter(one.iter(f"{HTML}tr")))
            at = list(row).index(cell)
            beside = links_in(row[0]) if "composition" not in classes(one) else links_in(head)
            return beside | links_in(head[at])
        if kind == "section":
            return links_in(one.find(f"{HTML}h2"))
        one = parents[one]
    return set()


def test_the_head_or_term_of_every_figure_leads_to_its_paragraph(published: Published) -> None:
    walked = 0
    for path, page in formula_pages(published):
        parents = {child: parent for parent in page.iter() for child in parent}
        for one in page.iter():
            name = one.get("data-figure")
            if name is None or any("intro" in classes(up) for up in ancestors(one, parents)):
                continue
            assert f"../{PAGE}#{anchor_for(name)}" in heads_of(one, parents), f"{path}: {name}"
            walked += 1
    assert walked > 100


def ancestors(element: Element, parents: dict[Element, Element]) -> Iterator[Element]:
    while element in parents:
        element = parents[element]
        yield element


def test_every_link_has_its_paragraph_and_sheets_have_none(published: Published) -> None:
    ids = {one.get("id") for one in parse(published.site[PAGE].decode()).iter()}
    links = {link for _, page in formula_pages(published) for link in links_in(page)}
    assert len(links) > 10
    for link in links:
        file, _, fragment = link.partition("#")
        assert file == f"../{PAGE}"
        assert fragment in ids
    assert not [leaf.code for leaf in published.leaves if links_in(parse(leaf.html))]


def test_contents_and_formulas_lead_to_the_whole_page(published: Published) -> None:
    pages = {"index.html": PAGE} | {path: f"../{PAGE}" for path, _ in formula_pages(published)}
    for path, href in pages.items():
        assert href in [one.get("href") for one in parse(published.site[path].decode()).iter(f"{HTML}a")], path


def test_a_fact_leads_by_its_figures_by_its_words_or_by_what_it_stands_for() -> None:
    assert "#free-water" in found("Free water", Fact(term="Free water", stands_for="water"), "../")
    assert found("Container", Fact(term="Container", text="a jar"), "../") == "Container"
    assert found("Container", "line-0.metered", None) == "Container"
    assert found("a <b>", "nobody-knows", "../") == "a &lt;b&gt;"
    assert anchor_for("nobody-knows") == ""


def site_of(formula: str) -> dict[str, bytes]:
    """Return the site of a book of one formula and one material."""
    files = {"formulas/figures.md": formula, "formulas/materials/wax.md": "---\nname: wax\n---\n"}
    reckoning = reckon(book_from({path: one.encode() for path, one in files.items()}))
    return dict(site_files(reckoning, review(reckoning), load_theme(), named=True))


FIGURES = "---\ncode: figures\ntitle: Figures\nuse: intermediate\ningredients:\n  wax: 8 g\n---\n"


def test_amounts_before_the_first_heading_have_their_link_too() -> None:
    page = parse(site_of(f"{FIGURES}\nMelt [the wax](amount:wax).\n")["formulas/figures.html"].decode())
    assert [one.get("data-figure") for one in page.iter(f"{HTML}data") if "link" in one.get("data-figure")]
    links = [one for one in page.iter(f"{HTML}a") if one.get("href") == f"../{PAGE}#amounts-in-text"]
    assert [words(one) for one in links] == ["Amounts in the introduction"]
    assert "Amounts in the introduction" not in site_of(FIGURES)["formulas/figures.html"].decode()


def test_no_code_takes_the_place_of_the_page() -> None:
    site = site_of(FIGURES)
    assert b"<h1>Figures</h1>" in site["formulas/figures.html"]
    assert b"<h1>How the figures are found</h1>" in site[PAGE]


# ── Every worked line is reckoned ─────────────────────────────────────────────────────────────────────────────────


def plain(text: str) -> str:
    return " ".join(text.split())


@pytest.fixture(scope="module", autouse=True)
def every_module() -> None:
    """Load all of the reckoning, so that a function is replaced wherever it is known."""
    for module in pkgutil.iter_modules(bookgen.reckon.__path__, "bookgen.reckon."):
        importlib.import_module(module.name)


@pytest.mark.parametrize(("anchor", "rule"), RULES, ids=[f"{anchor}-{rule.worked.__name__}" for anchor, rule in RULES])
def test_a_worked_line_comes_to_what_it_has_to(anchor: str, rule: ReckonedRule) -> None:
    assert plain(rule.worked(POINT).result) == RESULTS[rule.worked.__name__]


def test_the_weight_of_a_drop_has_its_unit() -> None:
    given = next(rule.worked(POINT).given for _, rule in RULES if rule.worked.__name__ == "recounted")
    assert plain(given) == "6 drops of 0.025 g, which weigh 0.15 g, with drops of 0.03 g today"


def test_no_result_is_expected_of_a_line_that_is_not_there() -> None:
    assert sorted(rule.worked.__name__ for _, rule in RULES) == sorted(RESULTS)


@pytest.mark.parametrize(("anchor", "rule"), RULES, ids=[f"{anchor}-{rule.worked.__name__}" for anchor, rule in RULES])
def test_a_worked_line_calls_the_function_that_its_paragraph_describes(
    anchor: str, rule: ReckonedRule, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The function is replaced by one that fails: the line must fail with it, so its result is not typed anywhere."""

    class Called(Exception):
        pass

    def fails(*_: object, **__: object) -> None:
        raise Called

    for module in [module for name, module in sys.modules.items() if name.startswith("bookgen.")]:
        for attribute, value in list(vars(module).items()):
            if value is rule.function:
                monkeypatch.setattr(module, attribute, fails)
            elif isinstance(value, functools._lru_cache_wrapper):
                value.cache_clear()
    with pytest.raises(Called):
        rule.worked(POINT)
    examples.examples.cache_clear()


def test_the_decimal_sign_is_the_books(small: Published) -> None:
    page = words(parse(small.site[PAGE].decode()))
    assert "0,01 g ÷ 5 % = 0,2 g" in page
    assert "84,75 g on a balance of 0,1 g gives 84,8 g" in page


# ── Every paragraph is the docstring, fit to be read ──────────────────────────────────────────────────────────────


def test_the_text_is_the_docstring_without_its_examples(small: Published, monkeypatch: pytest.MonkeyPatch) -> None:
    def reckons() -> None:
        """Return grams of `2 mL` < 3.

        Some say so,
        others not (T01-01, T01-02).

        Raises ValueError with a sentence.

        `argument` is for programmers.

        Source: a book, 2nd edition.

        >>> 1
        1

        Nothing after that.
        """

    text, sources = account_of(reckons)
    assert [plain(html_of(one)) for one in text] == [
        "Grams of <code>2 mL</code> &lt; 3.",
        "Some say so, others not (check values T01-01, T01-02).",
    ]
    assert sources == (Phrase(("A book, 2nd edition.",)),)
    monkeypatch.setattr(PARAGRAPHS[0].rules[0].function, "__doc__", "Return another rule.\n\nSource: nowhere.")
    monkeypatch.setattr(whole_page, "_parts", whole_page._parts.__wrapped__)  # what is kept is of the true docstring
    shelf = shelf_of(small.reckoning, small.review)
    first = found_shown(shelf).parts[0].paragraphs[0]
    assert [*first.rules[0].text, *first.sources] == [Phrase(("Another rule.",)), Phrase(("Nowhere.",))]


def test_worked_lines_of_one_language_are_not_kept_for_another(small: Published) -> None:
    shelf = shelf_of(small.reckoning, small.review)
    with speaking("de"):
        german = found_shown(shelf).parts
    assert "Tropfen" in repr(german)
    assert "Tropfen" not in repr(found_shown(shelf).parts)


CODE_WORDS = re.compile(
    r"\b(Fraction|Missing|None|True|False|ValueError|LookupError|tuple|dict|Mapping|Sequence|str|int|float|docstring|"
    r"kwarg|argument|parameter|frozenset|Known)\b|\w_\w|\w\(\)|\b\w+\.py\b"
)


def test_nothing_on_the_page_is_code(small: Published) -> None:
    page = parse(small.site[PAGE].decode())
    for one in page.find(f".//{HTML}main").iter():
        for text in (one.text, one.tail):
            assert not CODE_WORDS.search(text or ""), text
    functions = {rule.function.__name__ for _, rule in RULES}
    assert not [words(one) for one in page.iter(f"{HTML}code") if words(one) in functions]


def test_every_paragraph_reads_in_sentences_and_names_a_source(small: Published) -> None:
    shelf = shelf_of(small.reckoning, small.review)
    for part in found_shown(shelf).parts:
        for one in part.paragraphs:
            assert one.sources, one.anchor
            for rule in one.rules:
                assert rule.text, one.anchor
                assert rule.worked.sign in ("=", "gives")
                for text in map(html_of, rule.text):
                    assert text[0].isupper() or text[0].isdigit() or text.startswith("<code>"), text
                    assert text.endswith((".", ":")), text


def test_every_published_table_is_named_with_its_document(published: Published) -> None:
    page = words(parse(published.site[PAGE].decode()))
    files = sorted(Path(reference.__file__).parent.glob("*.yaml"))
    tables = reference.published_tables()
    assert len(files) == len(tables) >= 4
    for table in tables:
        for text in (table.document, table.edition, table.section, table.taken, table.seen):
            assert plain(text) in page
        assert table.values, table.holds
        for name, value in table.values:
            assert plain(f"{name}{value}") in page


def test_the_values_of_the_tables_are_those_that_are_reckoned_with() -> None:
    values = {name: value for table in reference.published_tables() for name, value in table.values}
    for period in reference.storage_periods().values():
        assert values[period.words].split(" days")[0] == str(period.days)
    for formula in (reference.water_formula(), reference.ethanol_water_formula()):
        for name, numbers in formula.numbers.items():
            assert tuple(Fraction(one) for one in values[name].split(", ")) == numbers
    for form in reference.substance_forms().forms:
        formula, mass, _ = re.split(", | ", values[form.name])
        assert (formula, Fraction(mass)) == (form.formula, form.molar_mass)


def test_the_examples_have_nothing_to_find_fault_with() -> None:
    reckoning = examples.examples()
    assert not reckoning.book.findings
    assert examples.material("talc").kind is MaterialKind.POWDER
    assert examples.figures_of("base").flow.yield_ == Fraction("0.9")


@pytest.mark.parametrize(
    "wrong",
    [lambda: examples.batch("sum", "a pinch"), lambda: examples.batch("sum", "40 g of oil-of-nothing")],
)
def test_an_example_that_cannot_be_reckoned_is_an_error(wrong: Callable[[], object]) -> None:
    with pytest.raises(ValueError):
        wrong()


def test_each_check_value_that_the_page_names_is_one(small: Published) -> None:
    page = words(parse(small.site[PAGE].decode()))
    assert "A check value, such as T04-01, is a problem with a known answer" in page
    folder = Path(__file__).parents[1] / "check_values"
    known = set(
        re.findall(r"^- id: (T\S+)$", "".join(path.read_text() for path in folder.glob("*.yaml")), re.MULTILINE)
    )
    assert "(check values T05-45 to T05-50)" in page
    assert set(re.findall(r"T\d\d-\d\d", page)) <= known


def test_each_word_is_explained_where_a_page_leads_and_the_head_of_a_batch_says_it_at_once(published):
    anchors = {one.get("id") for one in parse(published.site[PAGE].decode()).iter()}
    for path in (path for path, _ in formula_pages(published)):
        text = published.site[path].decode()
        assert f"{PAGE}#word-issue" in text
        assert anchors.issuperset(re.findall(rf'href="\.\./{PAGE}#((?:word|meanings)[\w-]*)"', text)), path
        assert ("(what comes out)" in text) is ('class="batch"' in text), path
    assert {"word-to-obtain", "word-yield", "word-stock-trituration-aliquot", "word-sheet-check-code"} <= anchors


def test_the_contents_say_what_the_stamps_on_them_mean(published):
    page = published.site["index.html"].decode()
    for stamp, means in (("draft", "draft: not yet made"), ("withdrawn", "withdrawn: no longer made")):
        assert (f'"stamp {stamp}"' in page) is (means in page.lower()), stamp
