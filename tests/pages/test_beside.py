"""Two formulas on a page, side by side: an earlier issue and the present one, a trial and its base."""

from __future__ import annotations

from fractions import Fraction

import pytest

from bookgen.look.themes import load_theme
from bookgen.pages.site import site_files
from bookgen.pipeline import check_book
from bookgen.pipeline.checking import edition_for_others
from tests.books_of_text import MATERIALS, formula, write_book

from .conftest import parse, words
from .test_kept import of_class, plain, tagged

METHOD = "\n## Method\n\n1. Weigh [the acid](amount:lactic-80).\n2. Stir.\n"
TRIAL = "---\ncode: T-0{n}\ntitle: Other\nbased on: {base}\ningredients:\n  gly: {much} %, active\n{more}---\n{body}"
PAGES = ("S-02-issue-2-beside-S-02", "S-02-beside-T-01", "S-02-issue-2-beside-T-02")


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    lines = "lactic-80: 0.5 %; gly: {} %, active; a: 1 %; water: to 100 g"
    present = formula("S-02", lines.format(4), "issue: 3", "pH: 4.6 to 5.0", "changes: {3: less}") + METHOD
    trials = {
        "t": TRIAL.format(n=1, base="S-02", much=6, more="  oil: {amount: 2 g, removed: filtered}\npH: 5\n", body=""),
        "u": TRIAL.format(n=2, base="S-02@2", much=8, more="", body="\n## Method\n\n1. Stir well.\n"),
    }
    root = write_book(tmp_path_factory.mktemp("beside"), {"s": present, **trials}, MATERIALS)
    (root / "formulas" / "earlier").mkdir()
    old = formula("S-02", lines.format(5), "issue: 2", "pH: 4.6 to 5.0") + METHOD
    (root / "formulas" / "earlier" / "S-02-issue-2.md").write_text(old)
    return check_book(root)


@pytest.fixture(scope="module")
def site(book):
    return site_files(book.reckoning, book.review, load_theme())


def page(site, name):
    return parse(site[f"formulas/{name}.html"].decode())


def rows(part):
    return [[plain(cell) for cell in row] for row in tagged(part, "tr")[1:]]


def test_there_is_one_page_for_each_issue_and_each_trial(site):
    assert {path for path in site if "beside" in path} == {f"formulas/{name}.html" for name in PAGES}


@pytest.mark.parametrize(("name", "first", "second"), [*zip(PAGES, (5, 4, 5), (4, 6, 8), strict=True)])
def test_what_differs_has_its_figures_and_their_difference(site, name, first, second):
    """Glycerol takes the place of water; acid and `a` are the same in all."""
    shares, actives, substances = of_class(page(site, name), "shares")[:3]
    found = {row[0]: row[1:4] for row in rows(shares)}
    by = second - first
    sign = "+" if by > 0 else "−"
    water = Fraction("98.5")
    assert found["gly"] == [f"{first}.00", f"{second}.00", f"{sign}{abs(by)}.00"]
    assert [Fraction(text) for text in found["water"][:2]] == [water - first, water - second]
    assert plain(of_class(shares, "same")[0]) == "The same in both: lactic-80: 0.500 % and a: 1.00 %."
    assert rows(actives)[0][:4] == ["gly", *found["gly"]]
    assert plain(of_class(substances, "same")[0]) == "The same in both: lactic acid: 0.400 %."
    assert "Nothing differs." in plain(substances)


def test_what_is_taken_out_again_and_what_else_is_written(site):
    shares, *_, facts = of_class(page(site, "S-02-beside-T-01"), "shares")
    assert ["oil, taken out again", "none", "used", "", ""] in rows(shares)
    assert rows(facts) == [["pH", "4.6 to 5.0", "5"]]
    assert plain(of_class(facts, "same")[0]).startswith("The same in both: yield: 100 %")


def test_pieces_and_what_they_cost_stand_on_the_page(tmp_path):
    """Each holds 250 or 300 mg of what costs 40 EUR a kilogram; of the rest nobody wrote a price."""
    text = "a: {} mg each; gly: to 2 g each"
    present = formula("S-02", text.format(300), "issue: 2", "makes: 12 pastilles")
    priced = "\nlots:\n  A: {received: 2026-01-02, amount: 1 kg, price: 40 EUR/kg}"
    root = write_book(tmp_path, {"s": present}, {**MATERIALS, "a": MATERIALS["a"] + priced})
    (root / "formulas" / "earlier").mkdir()
    old = formula("S-02", text.format(250), "issue: 1", "makes: 10 pastilles")
    (root / "formulas" / "earlier" / "S-02-issue-1.md").write_text(old)
    checked = check_book(root)
    made = site_files(checked.reckoning, checked.review, load_theme())
    facts = of_class(page(made, "S-02-issue-1-beside-S-02"), "shares")[-1]
    assert rows(facts) == [
        ["makes", "10 pastilles", "12 pastilles"],
        ["one piece", "2.00 g (250 mg of a)", "2.00 g (300 mg of a)"],
        ["100 g cost", "at least 0.50 EUR", "at least 0.60 EUR"],
    ]
    others = edition_for_others(checked)
    assert not any(b"100 g cost" in text for text in site_files(others.reckoning, others.review, load_theme()).values())


def test_why_differences_are_not_known_is_told_once(tmp_path):
    present = formula("S-02", "lactic-80: 0.5 %; quartz: 4 %; gly: 1 %; water: to 100 g", "issue: 2")
    root = write_book(tmp_path, {"s": present}, MATERIALS)
    (root / "formulas" / "earlier").mkdir()
    old = formula("S-02", "lactic-80: 0.5 %; gly: 5 %; water: to 100 g", "issue: 1")
    (root / "formulas" / "earlier" / "S-02-issue-1.md").write_text(old)
    checked = check_book(root)
    made = site_files(checked.reckoning, checked.review, load_theme())
    substances = of_class(page(made, "S-02-issue-1-beside-S-02"), "shares")[1]
    assert rows(substances)[0] == ["lactic acid", "0.400", "not known", "–", ""]
    assert [plain(part) for part in of_class(substances, "same")] == [
        "The composition of quartz is not known: no file yet for quartz."
    ]


def test_shares_are_drawn_from_the_first_to_the_second(site):
    (drawn,) = [svg for svg in of_class(page(site, "S-02-beside-T-01"), "shift") if plain(svg[0]).startswith("gly")][:1]
    assert plain(drawn[0]) == "gly: 4.00 %, then 6.00 %"
    assert [dot.get("cx") for dot in tagged(drawn, "circle")] == ["44", "64"]
    assert [dot.get("class") for dot in tagged(drawn, "circle")] == [None, "now"]


def test_steps_that_differ_stand_side_by_side(site):
    assert "The methods are the same." in words(page(site, PAGES[0]))
    (step,) = of_class(page(site, PAGES[2]), "step")
    first, second = (of_class(step, name)[0] for name in ("was", "now"))
    assert [plain(part) for part in first] == ["issue 2 of S-02", "Weigh the acid.", "Stir."]
    assert [plain(part) for part in second] == ["T-02", "Stir well."]


def test_the_pages_lead_to_it_and_it_leads_back(site):
    def targets(name):
        return {link.get("href") for link in tagged(page(site, name), "a")}

    for name in PAGES:
        assert f"../formulas/{name}.html" in targets("S-02")
    assert "../formulas/S-02-beside-T-01.html" in targets("T-01")
    assert "../formulas/S-02-issue-2-beside-T-02.html" in targets("T-02")
    assert {"../formulas/S-02.html", "../formulas/S-02-issue-2.html"} <= targets(PAGES[0])
    assert "less" in plain(page(site, PAGES[0]))
    heading = [plain(part) for name in PAGES for part in tagged(page(site, name), "h1")]
    assert heading == ["S-02: issue 2 beside issue 3", "S-02 beside T-01", "issue 2 of S-02 beside T-02"]


def test_a_head_tells_its_issue_once(site):
    (head,) = of_class(page(site, PAGES[0]), "two")
    assert [plain(side) for side in tagged(head, "dd")] == [
        "S-02 Formula S-02 Issue 2 earlier issue",
        "S-02 Formula S-02 Issue 3 draft",
    ]


def test_an_edition_for_others_sets_no_earlier_issue_beside_another(book):
    others = edition_for_others(book)
    files = site_files(others.reckoning, others.review, load_theme())
    assert {path for path in files if "beside" in path} == {"formulas/S-02-beside-T-01.html"}
