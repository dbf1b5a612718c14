"""Earlier issues on the pages: beside the present one, on pages of their own without a batch, under batches."""

from __future__ import annotations

from fractions import Fraction

import pytest

from bookgen.look.themes import load_theme
from bookgen.pages.site import site_files
from bookgen.pipeline import check_book
from bookgen.pipeline.checking import edition_for_others
from bookgen.reckon.compared import UNLIKE, lines_over
from bookgen.reckon.kept import figures_kept
from tests.books_of_text import MATERIALS, formula, write_book

from .conftest import parse, words

RECORD = """---
batch: K-1
of: S-02, issue {issue}
made: 2026-01-05
planned:
  gly: 6 g
  water: 94 g
weighed:
  gly: 6 g
  water: 94 g
came out: 94 g
pH: 5.2
outcome: good
---
"""


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    present = formula("S-02", "gly: 4 %; lactic-80: 0.5 %; water: to 100 g", "issue: 3", "pH: 4.6 to 5.0")
    root = write_book(tmp_path_factory.mktemp("kept"), {"s": present}, MATERIALS)
    for folder in ("earlier", "batches"):
        (root / "formulas" / folder).mkdir()
    second = formula("S-02", "gly: 6 %; water: to 100 g", "issue: 2", "pH: 5.0 to 5.5", "yield: 94 %")
    first = formula("S-02", "gly: 60 mL; water: to 1000 mL", "issue: 1")
    for issue, text in ((1, first), (2, second)):
        (root / "formulas" / "earlier" / f"S-02-issue-{issue}.md").write_text(text)
    (root / "formulas" / "batches" / "K-1.md").write_text(RECORD.format(issue=2))
    return check_book(root)


@pytest.fixture(scope="module")
def site(book):
    return site_files(book.reckoning, book.review, load_theme())


def plain(element):
    return words(element).replace("\u202f", " ").replace("\xa0", " ")


def of_class(element, name):
    return [inner for inner in element.iter() if name in (inner.get("class") or "").split()]


def tagged(element, tag, name=""):
    found = [inner for inner in element.iter() if inner.tag.rpartition("}")[2] == tag]
    return [inner for inner in found if name in (inner.get("class") or "").split()] if name else found


def section(site):
    (found,) = tagged(parse(site["formulas/S-02.html"].decode()), "section", "kept")
    return found


def test_each_earlier_issue_is_shown_beside_the_present_one(site):
    rows = {words(row[0]): [words(cell) for cell in row[1:-1]] for row in tagged(section(site), "tr")}
    assert rows["gly"][1:] == ["6.00", "4.00"]
    assert rows["lactic-80"] == ["–", "–", "0.500"]
    assert rows["water"][1:] == ["94.0", "95.5"]
    told = [plain(item) for item in tagged(section(site), "li")]
    assert told[:5] == [
        "gly: 6.00 %, now 4.00 % (−2.00)",
        "water: 94.0 %, now 95.5 % (+1.50)",
        "lactic-80: new, 0.500 %",
        "pH: 5.0 to 5.5, now 4.6 to 5.0",
        "yield: 94.0 %, now 100 %",
    ]


def test_each_share_is_drawn_with_its_words(site):
    (drawn,) = [svg for svg in of_class(section(site), "issues") if words(svg[0]).startswith("lactic-80")]
    assert plain(drawn[0]) == "lactic-80: none in issue 1, none in issue 2 and 0.500 % in issue 3"
    earlier, now, _ = (path.get("d") for path in drawn[1:])
    assert (earlier, now) == ("", "M20 16V0H27V16Z")


def test_an_earlier_issue_has_a_page_without_a_batch(site):
    page = parse(site["formulas/S-02-issue-2.html"].decode())
    assert [words(stamp) for stamp in of_class(page, "stamp")] == ["earlier issue"]
    (told,) = of_class(page, "says")
    assert [link.get("href") for link in tagged(told, "a")] == ["../formulas/S-02.html"]
    assert not [name for name in ("obtain", "bench", "batch", "kept") if of_class(page, name)]
    assert not tagged(page, "input")
    assert not [inner for inner in page.iter() if inner.get("id") == "following"]
    (table,) = of_class(page, "ingredients")
    assert "6 %" in plain(table)


def test_a_batch_leads_to_its_issue_and_is_judged_by_it(book, site):
    page = parse(site["batches/K-1.html"].decode())
    (issue,) = of_class(page, "issue")
    (link,) = tagged(issue, "a")
    assert (words(link), link.get("href")) == ("Issue 2", "../formulas/S-02-issue-2.html")
    text = words(of_class(page, "facts")[0])
    assert "as the yield of the formula has it" in text.casefold()
    assert "Not as expected" not in text
    asked = {finding.rule for finding in book.review.findings if finding.place.path.endswith("K-1.md")}
    assert not asked & {"ph-off", "bench-line-unwritten", "bench-line-besides"}


def test_an_edition_for_others_has_none_of_them(book):
    others = edition_for_others(book)
    files = site_files(others.reckoning, others.review, load_theme())
    assert "formulas/S-02-issue-2.html" not in files
    assert b"Earlier issues" not in files["formulas/S-02.html"]


def test_shares_of_another_basis_are_not_set_beside_the_others(book):
    issues = [figures_kept(book.reckoning, "s-02", number) for number in (1, 2)]
    found = {line.key: line.shares for line in lines_over([issues[0], issues[1], book.reckoning.figures["s-02"]])}
    assert found["gly"] == (UNLIKE, Fraction(6, 100), Fraction(4, 100))
    assert found["lactic-80"] == (None, None, Fraction(5, 1000))
    assert figures_kept(book.reckoning, "s-02", 9) is None
