"""The keeper's pages of what was made: a batch, the batches of a formula, the lots of a material.  Own arithmetic."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from fractions import Fraction

from bookgen.look import load_theme
from bookgen.look.pictures import off_picture
from bookgen.pages.site import ROOT_PAGES, site_files
from bookgen.reckon.cost import costs_of
from bookgen.reckon.on_shelf import on_shelf
from bookgen.show import with_ordinary_spaces
from bookgen.shown.accounts.anchors import PAGE as FOUND
from bookgen.shown.accounts.anchors import anchors_for
from bookgen.shown.accounts.paragraphs import paragraphs
from bookgen.shown.batch import batch_shown, batches_shown
from bookgen.shown.batch_records import AchievedRow, BatchShown
from bookgen.shown.batches import lots_shown, made_shown
from bookgen.shown.made_records import OffPicture
from bookgen.shown.on_shelf import there_shown
from bookgen.shown.phrases import Phrase
from bookgen.shown.plain import in_one_line
from bookgen.shown.shelf import Shelf, shelf_of
from bookgen.source import book_from
from tests.books_of_text import dot
from tests.shared import DAY, checked

from .conftest import HTML, parse
from .conftest import words as words_of

SVG = "{http://www.w3.org/2000/svg}"
DEMO = checked("demo")
SITE = site_files(DEMO.reckoning, DEMO.review, load_theme(), named=True, day=DAY)
COSTS = costs_of(DEMO.reckoning)
SHELF = replace(shelf_of(DEMO.reckoning, DEMO.review), pages=tuple(ROOT_PAGES))


def words(text: str | Phrase) -> str:
    return with_ordinary_spaces(in_one_line(text))


def batch(number: str, shelf: Shelf = SHELF) -> BatchShown:
    return batch_shown(number.casefold(), shelf, str)


def row(shown: BatchShown, name: str, phase: str = "") -> AchievedRow:
    return next(one for one in shown.rows if words(one.name) == name and (not phase or one.phase == phase))


def facts(shown: BatchShown) -> dict[str, tuple[str, str]]:
    return {fact.term: (words(fact.text), fact.note) for fact in shown.facts}


def test_what_was_planned_stands_beside_what_was_weighed() -> None:
    """1.02 g for 1.13 g is 9.73 % under; 300.96 g went in, of which it is 0.339 %; 280 g of 282 g are 99.3 %."""
    shown = batch("H-02-2026-10-31")
    acid = row(shown, "lactic acid 80 %")
    assert [words(one).strip() for one in (acid.planned, acid.weighed, acid.off, acid.share)] == [
        "1.13", "1.02", "9.7 % under", "0.339 %",
    ]  # fmt: skip
    assert words(shown.went_in) == "300.96"
    assert facts(shown)["Came out"] == ("280 g, 99.3 % of the plan, 93.0 % of what went in",
                                        "As the yield of the formula has it.")  # fmt: skip
    assert [words(one) for one in row(shown, "purified water", "C").lots] == ["PW-26-15"]


def test_the_content_of_a_lot_says_what_was_to_be_weighed() -> None:
    """1.13 g × 80 ÷ 88.5 = 1.02 g."""
    (told,) = batch("H-02-2026-10-31").asked
    assert words(told) == (
        "Lot LC-885 of lactic acid 80 % holds 88.5 % lactic acid, not 80.0 %: 1.02 g of it give what 1.13 g "
        "were to give; 1.02 g were weighed."
    )


def batch_figures(number: str) -> dict[str, Fraction]:
    """Return the figures of a batch by their names, from what the reckoning says of it alone."""
    result, found = SHELF.result(number), {}
    for at, line in enumerate(result.lines):
        for name, share in (("off", line.deviation), ("share", line.share), ("share-if-water", line.share_if_water)):
            if isinstance(share, Fraction) and (share or name != "off"):
                found[f"made-{at}.{name}"] = share * 100
    told, record = result.yielded, DEMO.book.batches[number]
    for name, value in (("of-plan", told.of_plan), ("of-what-went-in", told.of_what_went_in)):
        if isinstance(value, Fraction):
            found[name] = value * 100
    found["went-in"] = told.went_in
    account = DEMO.reckoning.lots.accounts.get((DEMO.book.key_made(record), number))
    if account is not None and account.gone is None:
        found["left"] = account.left
    cost = COSTS[number]
    sums = {"total": cost.total, "gram": cost.per_gram} | {f"each-{at}": each for at, (_, each) in enumerate(cost.each)}
    for name, cash in sums.items():
        if isinstance(cash, dict) and cost.total:
            found |= {f"cost.{name}-{at}": much for at, much in enumerate(cash.values())}
    return found


def test_each_figure_of_a_batch_has_its_name_and_leads_to_how_it_is_found() -> None:
    known, seen = {one.anchor for one in paragraphs()}, set()
    for number, record in DEMO.book.batches.items():
        page = parse(SITE[f"batches/{record.key}.html"].decode())
        named = {one.get("data-figure"): Fraction(one.get("value")) for one in page.iter(f"{HTML}data")}
        expected = batch_figures(number)
        assert {name: value for name, value in expected.items() if name in named or name != "left"} == named, number
        leads = {one.get("href") for one in page.iter(f"{HTML}a")}
        for name in named:
            (anchor,) = anchors_for(name)
            assert anchor in known, name
            assert f"../{FOUND}#{anchor}" in leads, (number, name)
        seen |= {name.partition(".")[2] or name for name in named}
        assert ("Use by" in facts(batch(number))) == (f"../{FOUND}#last-day" in leads), number
    assert seen == {"off", "share", "share-if-water", "went-in", "of-plan", "of-what-went-in", "left",
                    "total-0", "gram-0", "each-0-0", "each-1-0"}  # fmt: skip


def test_a_batch_tells_what_it_cost() -> None:
    """Six jars at 0.55 EUR are 3.30; what is in 280 g, 1.878 EUR, ÷ 280 × 50 g + 0.55 = 0.885."""
    shown = batch("H-02-2026-10-31")
    assert [(words(fact.term), words(fact.text)) for fact in shown.cost] == [
        ("In all", "5.18 EUR"), ("Per gram, containers aside", "0.00671 EUR"), ("A container of 50 g", "0.89 EUR"),
    ]  # fmt: skip
    assert shown.no_price == ""
    paste = batch("B-03-2026-11-07")
    assert words(paste.cost[0].text) == "at least 2.48 EUR"
    assert paste.no_price == "No price is known for the containers."


def test_a_batch_of_what_has_no_price_tells_no_cost() -> None:
    free = replace(COSTS["p-01-2026-01-17"], ingredients={}, container=None)
    shown = batch("P-01-2026-01-17", replace(SHELF, cost=lambda number: free))
    assert (shown.cost, shown.no_price) == ((), "")


def test_what_was_thrown_away_has_no_last_day_of_use() -> None:
    assert "Use by" in facts(batch("H-02-2026-10-31"))
    told = facts(batch("H-02-2026-09-19"))
    assert "Use by" not in told
    assert told["Left"] == ("thrown away 2026-09-19", "")


def test_a_lot_that_was_to_be_tested_again_is_named() -> None:
    asked = [words(one) for one in batch("H-01-2026-08-15").asked]
    assert asked == [
        "Lot GD-610 of tetrasodium glutamate diacetate 47 %: it was to be tested again by 2026-07-31."
    ]  # fmt: skip


def test_a_formula_has_its_newest_batches_and_the_last_advice() -> None:
    made = made_shown("h-01", SHELF)
    assert made
    assert [words(one.batch) for one in made.rows] == [
        "2026-11-14", "2026-08-15", "2026-06-27", "2026-05-16", "2026-02-14",
    ]  # fmt: skip
    assert words(made.next_from) == "H-01-2026-06-27"
    assert words(made.rows[2].furthest) == "glycerol 85 %: 9.4 % over"
    assert made_shown("p-02", SHELF) is None


def test_how_far_batches_were_off_is_drawn_beside_their_list_from_three_batches_on() -> None:
    made = made_shown("h-01", SHELF)
    assert made is not None
    assert made.picture is not None
    drawn = made.picture
    results = [SHELF.result(f"h-01-{words(one.batch)}") for one in reversed(made.rows)]
    worst = [max((line.deviation for line in one.lines), key=abs) for one in results]
    assert list(drawn.offs) == worst
    assert (drawn.first, drawn.last) == (words(made.rows[-1].batch), words(made.rows[0].batch))
    assert drawn.scale == max(abs(off) for off in worst)
    page = parse(SITE["formulas/H-01.html"].decode())
    (plot,) = (one for one in page.iter(f"{SVG}svg") if one.get("aria-label") == drawn.label)
    bars = [one for one in plot.iter(f"{SVG}rect") if one.get("width") == "8"]
    heights = [round(off / drawn.scale * 50) for off in worst]
    assert [(int(one.get("y")), int(one.get("height"))) for one in bars] == [
        (50 - max(height, 0), abs(height)) for height in heights
    ]
    assert {-50, 50} & set(heights)
    for code in sorted(SHELF.book.formulas):
        made = made_shown(code, SHELF)
        assert (made is not None and made.picture is not None) == (made is not None and len(made.rows) >= 3), code
        assert made is None or len(made.rows) == min(len(SHELF.made_of(code)), 6)


def test_a_batch_without_a_plan_has_an_empty_place_in_the_picture() -> None:
    picture = OffPicture(
        offs=(Fraction(1, 50), None, Fraction(-1, 25), Fraction(0)), accepted=Fraction(1, 100), scale=Fraction(1, 25),
        edge="4 % over", first="2026-01-01", last="2026-04-01", label="Off", caption="",
    )  # fmt: skip
    drawn = off_picture(picture)
    bars = (
        'x="6" y="25" width="8" height="25"',
        'x="46" y="50" width="8" height="50"',
        'x="66" y="50" width="8" height="0"',
    )
    assert "".join(f"<rect {one}/>" for one in bars) in drawn
    assert '<rect y="38" width="80" height="24"' in drawn  # 1 of 4 % is a quarter of 50, rounded to even


def test_a_lot_leads_to_every_batch_that_has_something_of_it() -> None:
    lots = {lot.code: lot for lot in lots_shown("sunflower-oil", SHELF)}
    assert list(lots) == ["SU-0455", "SU-0312", "SU-0187"]
    assert [words(one) for one in lots["SU-0312"].batches] == [
        "N-01-2026-03-21", "N-02-2026-04-11", "B-01-2026-04-25", "B-02-2026-05-02", "N-05-2026-06-06",
        "B-03-2026-06-20",
    ]  # fmt: skip
    assert lots["SU-0312"].left == "thrown away 2026-08-20"
    assert lots["SU-0455"].until == "2027-08-31"


def test_all_batches_stand_by_year() -> None:
    years = batches_shown(SHELF).years
    told = {words(one.batch): one.outcome for year in years for one in year.rows}
    assert told["B-01-2026-04-25"] == "good, thrown away 2026-08-22"
    assert told["H-02-2026-09-19"] == "discarded"
    assert [year.title for year in years] == ["2026", "2025"]
    assert sum(len(year.rows) for year in years) == len(DEMO.book.batches)


def test_a_sheet_of_the_binder_knows_nothing_of_it() -> None:
    shelf = shelf_of(DEMO.reckoning, DEMO.review, sheets=True)
    assert made_shown("h-01", shelf) is None
    assert lots_shown("sunflower-oil", shelf) == ()


def test_a_damaged_photograph_of_a_batch_is_told_at_its_place() -> None:
    record = b"---\nbatch: X-01-2026-02-03\nof: X-01, issue 1\nmade: 2026-02-03\n---\n\n![The jar](../jar.png)\n"
    path = "formulas/batches/X-01-2026-02-03.md"
    told = [
        (finding.place.line, finding.message)
        for finding in book_from({path: record, "formulas/jar.png": dot(9)[:40]}).findings
        if finding.place.path == path
    ]
    assert [line for line, message in told if "it is damaged or cut short; copy it anew" in message] == [7]


# ── The shelf ─────────────────────────────────────────────────────────────────────────────────────────────────────


def shelf_page() -> str:
    return SITE["shelf.html"].decode()


def test_the_page_of_the_shelf_says_its_day_and_all_that_the_command_says() -> None:
    """Every lot with what is left of it and until when it is good, what to throw away, what to test again."""

    def close(text: str) -> str:
        return "".join(text.split())

    page = close(words_of(parse(shelf_page())))
    assert close("What is there by the records at the end of 2026-11-30") in page
    there = there_shown(on_shelf(DEMO.reckoning, DAY), DEMO.book)
    assert sum(len(item.lots) for item in there.items) > 40
    for item in there.items:
        for lot in item.lots:
            assert close(f"{words(lot.lot)} {lot.left} {lot.until} {lot.remark}") in page
    assert close("NE-07 neroli oil, 3.8 g, until 2026-10-31") in page
    assert close("N-06-2026-07-04 N-06 Orange-flower concentrate, 31.9 g, until 2026-10-31") in page
    assert close("GD-610 tetrasodium glutamate diacetate 47 %, 89.36 g, was to be tested by 2026-07-31") in page


def test_what_is_left_stands_with_its_decimal_signs_below_each_other() -> None:
    """As many spaces stand behind each number as decimals are lacking, and one for the sign; units are of one width."""
    lots = [lot for item in there_shown(on_shelf(DEMO.reckoning, DAY), DEMO.book).items for lot in item.lots]
    known = [lot for lot in lots if lot.digits]
    assert {lot.left for lot in known} == {f"{lot.digits}\u202f{lot.unit}" for lot in known}
    assert {"." in lot.digits for lot in known} == {True, False}
    behind = {len(lot.digits.partition(".")[2]) + len(lot.pad) - (not lot.digits.count(".")) for lot in known}
    assert len(behind) == 1
    assert "class=num>3.8<span class=pad>\u2007</span>" in shelf_page().replace('"', "")


def test_its_lots_lead_to_their_batch_and_to_the_lots_of_their_material() -> None:
    page = shelf_page()
    assert 'href="batches/N-06-2026-07-04.html"' in page
    assert 'href="materials/neroli-oil.html#lots"' in page


def test_no_other_page_depends_on_the_day() -> None:
    later = site_files(DEMO.reckoning, DEMO.review, load_theme(), named=True, day=date(2030, 1, 1))
    assert list(later) == list(SITE)
    assert later["shelf.html"] != SITE["shelf.html"]
    for path in ("index.html", "batches.html", "by-storage.html", "formulas/N-06.html", "batches/N-06-2026-07-04.html"):
        assert later[path] == SITE[path], path
    without = site_files(DEMO.reckoning, DEMO.review, load_theme(), named=True)
    assert set(SITE) - set(without) == {"shelf.html"}
    assert b"shelf.html" not in without["index.html"]
