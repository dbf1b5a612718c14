"""Finding as a person does it: typing, narrowing, going back, ticking what is at hand; from disk, by keyboard."""

from __future__ import annotations

import shutil
from itertools import pairwise
from pathlib import Path
from random import Random
from statistics import median
from urllib.parse import unquote

import pytest
from axe_playwright_python.sync_playwright import Axe

from bookgen.shown.matter.inherited import Inherited, Stays
from bookgen.shown.search.page import TERMS, terms_file
from bookgen.shown.search.records import SearchEntry

from .conftest import until

RESULTS = """() => [...document.querySelectorAll('#found li')].map(one => [
  one.querySelector('.title').textContent, one.querySelector('.code')?.textContent ?? '',
  one.querySelector('small')?.textContent ?? '', [...one.querySelectorAll('mark')].map(mark => mark.textContent)])"""
ROWS = """() => [...document.querySelectorAll('.takes tbody')].flatMap(body => [...body.rows].slice(1).map(row => [
  body.rows[0].textContent, row.querySelector('.code').textContent, row.cells[1].textContent]))"""
OPTIONS = "one => [...one.options].map(option => option.textContent)"


@pytest.fixture
def search(sites, watched):
    """The demo book's page to search with; in the end nothing was asked from elsewhere and nothing complained."""
    watched.page.goto((sites["demo"] / "search.html").as_uri())
    yield watched.page
    assert watched.complaints == []
    assert [one for one in watched.requests if not one.startswith(("file:", "data:"))] == []


def titles(page) -> list[str]:
    return [title for title, *_ in page.evaluate(RESULTS)]


def type_in(page, text: str) -> list[str]:
    page.fill("#words", text)
    return titles(page)


# ── Searching ─────────────────────────────────────────────────────────────────────────────────────────────────────


def test_results_follow_every_letter(search):
    search.click("#words")
    counts = []
    for letter in "glycerol hum":
        search.keyboard.press(letter if letter != " " else "Space")
        counts.append(search.locator("#found li").count())
    assert counts[0] > counts[-1] > 0
    assert search.inner_text("#count").startswith(f"{counts[-1]} formula") or "material" in search.inner_text("#count")


def test_the_code_comes_first_then_the_title_then_names_then_the_text(search):
    assert type_in(search, "glycerol 85")[0] == "glycerol 85 %"
    found = type_in(search, "glycerin")
    assert found[0] == "glycerol 85 %"  # its own synonym before the formulas that use it
    assert "After-throwing cream" in found
    assert type_in(search, "mucilage")[0] == "Linseed mucilage"
    lines = {title: (said, marks) for title, _, said, marks in search.evaluate(RESULTS)}
    assert lines["Wet-hands gel"] == ("with Linseed mucilage", ["mucilage"])


def test_what_is_exactly_a_code_finds_that_formula_and_what_it_goes_into(search):
    for typed in ("h-02", "H02", "h 02"):
        assert type_in(search, typed) == ["After-throwing cream"]
        assert search.evaluate(RESULTS)[0][1] == "H-02"
    for typed in ("N-03", "n03"):
        assert type_in(search, typed)[0] == "Linseed mucilage"
        users = {title: said for title, _, said, _ in search.evaluate(RESULTS)[1:]}
        assert users["Wet-hands gel"] == "with Linseed mucilage (N-03)"
        assert set(users.values()) == {"with Linseed mucilage (N-03)"}


def test_codes_that_are_parts_of_words_and_codes_alike(watched, tmp_path, sites):
    made = [
        entry(0, title="B cream", code="B-01"),
        entry(1, title="Tub of 01", text="b01 and B-01 in the text"),
        entry(2, title="Oil", code="OIL"),
        entry(3, title="Warm oil"),
        entry(4, title="One", code="D-1"),
        entry(5, title="Other", code="D1"),
    ]
    site = site_of(tmp_path, sites, made)
    watched.page.goto((site / "search.html").as_uri())
    assert type_in(watched.page, "b01") == type_in(watched.page, "B-01") == ["B cream"]
    assert type_in(watched.page, "B-01 text") == ["Tub of 01"]
    assert type_in(watched.page, "oil") == ["Oil", "Warm oil"]  # a code of letters alone is a word as well
    assert set(type_in(watched.page, "d1")) == {"One", "Other"}
    assert watched.complaints == []


def test_a_word_that_is_nearly_one_of_the_book_is_told_and_taken_with_a_press(search):
    for typed, near in (
        ("xantham", "xanthan"), ("glycrol", "glycerol"), ("glyecrol", "glycerol"), ("Glycerohll 85", "glycerol"),
        ("besswax", "beeswax"),
    ):  # fmt: skip
        assert type_in(search, typed) == []
        assert search.inner_text("#count") == f"Nothing is called {typed.split()[0]}. Near it: {near}."
    type_in(search, "lanoin castor")
    search.click("#count button")
    assert search.input_value("#words") == "lanolin castor"
    assert titles(search)
    assert search.evaluate("document.activeElement.id") == "words"
    assert unquote(search.url).endswith("#find=lanolin+castor")
    for typed in ("xxnthxx", "wxtr", "lanoin qqqqqqq"):  # too far, too short, of no use
        assert type_in(search, typed) == []
        assert search.locator("#count button").count() == 0


@pytest.mark.parametrize("how", ["replaceState", "pushState"])
def test_where_the_address_may_not_be_changed_the_search_goes_on(how, sites, watched):
    page = watched.page
    page.add_init_script(f"history.{how} = () => {{ throw new DOMException('no', 'SecurityError') }}")
    page.goto((sites["demo"] / "search.html").as_uri())
    type_in(page, "oil")
    until(page, "location.hash === '#find=oil'")
    page.click("summary")
    page.select_option("#by-kept", "refrigerator")
    until(page, "location.hash === '#find=oil&kept=refrigerator'")
    assert titles(page)
    assert watched.complaints == []


def test_the_words_found_stand_in_their_context(search):
    type_in(search, "steering clogs")
    assert titles(search) == []
    type_in(search, "clogs")
    [(title, code, said, marks)] = search.evaluate(RESULTS)
    assert (title, code) == ("Dry-feet powder", "P-02")
    assert "clogs" in said
    assert marks == ["clogs"]
    type_in(search, "wheel grease")
    [(title, _, said, marks)] = search.evaluate(RESULTS)
    assert title == "Wet-hands gel"
    assert marks == ["wheel", "grease"]
    assert "amount:" not in said


def test_every_word_has_to_occur_and_inflected_words_are_met(search):
    assert set(type_in(search, "cream")) == set(type_in(search, "creams"))
    one, other = set(type_in(search, "castor")), set(type_in(search, "lanolin"))
    assert set(type_in(search, "castor lanolin")) == set(type_in(search, "lanolin castor")) == one & other
    assert one & other
    assert one - other
    assert other - one
    balms = type_in(search, "balm")
    assert "Kiln-watch lip balm" in balms
    assert set(balms) == set(type_in(search, "balms"))


def test_accents_case_and_ligatures_do_not_matter(watched, tmp_path, sites):
    names = ["Crème d'Été", "Weiße Salbe", "Ægis balm", "Smørebrød wax", "Naïve ﬁller H₂O"]
    site = site_of(tmp_path, sites, [entry(number, title=name) for number, name in enumerate(names)])
    watched.page.goto((site / "search.html").as_uri())
    for typed, title in (
        ("creme dete", names[0]), ("CRÈME D’ÉTÉ", names[0]), ("weisse", names[1]), ("WEIßE", names[1]),
        ("aegis", names[2]), ("smorebrod", names[3]), ("naive filler h2o", names[4]),
    ):  # fmt: skip
        assert type_in(watched.page, typed) == [title], typed
    assert watched.page.evaluate(RESULTS)[0][3] == ["Naïve", "ﬁller", "H₂O"]
    assert watched.complaints == []


def test_what_a_keeper_wrote_is_text_on_the_page(watched, tmp_path, sites):
    wrong = '</script><img src=x onerror="document.title=1"><mark>'
    site = site_of(tmp_path, sites, [entry(0, title=f"Oil {wrong}", purpose=wrong, text=f"body {wrong}")])
    watched.page.goto((site / "search.html").as_uri())
    for typed in ("oil", "onerror", "body"):
        assert type_in(watched.page, typed) == [f"Oil {wrong}"]
        assert watched.page.locator("#found img").count() == 0
    assert watched.page.title().startswith("Search")
    assert watched.complaints == []


def test_what_ingredients_contain_and_caution_of_is_found_through_whatever_they_come(search):
    assert len(type_in(search, "limonene")) == 11
    said = {code: text for _, code, text, _ in search.evaluate(RESULTS)}
    assert said["N-04"] == "limonene: in sweet orange oil; in coriander seed oil"
    assert said["B-01"] == said["R-01"] == "limonene: in coriander seed oil, by N-04; in sweet orange oil, by N-04"
    assert said["W-02"] == "in neroli oil, by W-01: Contains linalool and limonene, which some people react to."
    type_in(search, "benzoic acid")
    said = {title: text for title, _, text, _ in search.evaluate(RESULTS)}
    assert said["sodium benzoate"] == "contains benzoic acid"
    assert said["Plaster-day rinse"] == "benzoic acid: in sodium benzoate"


def test_what_is_taken_out_again_is_told_apart_from_what_stays(search):
    type_in(search, "kaolin")
    said = {code: text for _, code, text, _ in search.evaluate(RESULTS)}
    assert said["P-01"] == "with kaolin"
    assert said["W-02"] == "made with kaolin, none of which stays in it, by W-01"
    type_in(search, "calendula")
    said = {code: text for _, code, text, _ in search.evaluate(RESULTS)}
    assert "made with pot marigold flowers, dried" in said["N-01"]
    assert said["B-02"].endswith("taken out again, by N-02")


def test_an_answer_about_contents_says_what_keeps_it_incomplete(search):
    for typed, incomplete in (
        ("limonene", True), ("eugenol", True), ("benzoic acid", True), ("Lavender oil", True), ("linal", True),
        ("cream", False), ("kaolin", False), ("N-04", False), ("flammable", False), ("", False),
    ):  # fmt: skip
        type_in(search, typed)
        assert search.is_visible("#incomplete") is incomplete, typed
    type_in(search, "eugenol")
    told = search.inner_text("#incomplete")
    assert told == "INCOMPLETE: neroli oil does not say what it contains. This concerns N-06, W-01, W-02."
    search.click("#incomplete a >> nth=0")
    search.wait_for_url("**/formulas/N-06.html")


def test_narrowing_keeps_what_passes_and_counts_the_rest(search):
    everything = type_in(search, "oil")
    search.click("summary")
    offered = search.eval_on_selector("#by-kept", OPTIONS)
    assert offered[0] == "any"
    search.select_option("#by-kept", "refrigerator")
    some = titles(search)
    assert set(some) < set(everything)
    assert f"refrigerator ({len(some)})" in offered
    assert search.inner_text("#narrowed") == "refrigerator"
    for option in search.eval_on_selector("#by-status", OPTIONS)[1:]:
        name, count = option.removesuffix(")").split(" (")
        search.select_option("#by-status", name)
        assert len(titles(search)) == int(count)
    search.click("#wide")
    assert titles(search) == everything
    assert search.evaluate("document.activeElement.id") == "words"


def test_narrowing_alone_lists_all_that_pass(search):
    search.click("summary")
    search.select_option("#by-chapter", "Balms")
    assert len(titles(search)) == int(search.inner_text("#count").split()[0]) == 6
    search.select_option("#by-use", "rinse-off")
    assert titles(search) == []
    assert "Balms, rinse-off" in search.inner_text("#count")
    assert search.is_visible("#nothing")


def test_what_was_asked_stands_in_the_address(search):
    type_in(search, "crème oil")
    search.click("summary")
    search.select_option("#by-status", "trial")
    search.select_option("#by-kept", "refrigerator")
    assert unquote(search.url).endswith("#find=crème+oil&kept=refrigerator&status=trial")
    found = titles(search)
    search.reload()
    assert search.input_value("#words") == "crème oil"
    assert titles(search) == found
    assert search.evaluate("document.getElementById('narrow').open") is True
    search.go_back()
    until(search, "!location.hash.includes('kept')")
    assert search.input_value("#by-kept") == ""
    assert search.input_value("#by-status") == "trial"


def test_coming_back_from_a_formula_finds_the_search_again(search):
    found = type_in(search, "hands")
    search.keyboard.press("Enter")
    search.wait_for_url("**/formulas/*.html")
    search.go_back()
    search.wait_for_selector("#found li")
    assert search.input_value("#words") == "hands"
    assert titles(search) == found


def test_an_address_with_a_value_that_the_book_has_not_is_read_as_any(sites, watched):
    watched.page.goto((sites["demo"] / "search.html").as_uri() + "#find=oil&kept=attic&colour=blue")
    assert watched.page.input_value("#by-kept") == ""
    assert titles(watched.page)
    assert watched.complaints == []


def test_the_contents_have_a_field_that_asks_the_search(sites, watched):
    page = watched.page
    page.goto((sites["demo"] / "index.html").as_uri())
    page.fill("#find", "limonene peel")
    page.keyboard.press("Enter")
    page.wait_for_url("**/search.html?find=limonene+peel*")
    assert page.input_value("#words") == "limonene peel"
    assert "Bench scent" in titles(page)
    type_in(page, "mucilage")
    until(page, "location.hash === '#find=mucilage'")
    page.reload()
    assert page.input_value("#words") == "mucilage"
    assert watched.complaints == []


def test_the_field_of_the_contents_says_what_it_needs(sites, browser):
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto((sites["demo"] / "index.html").as_uri())
    assert "needs JavaScript" in page.inner_text("form[role=search]")
    page.fill("#find", "oil")
    page.keyboard.press("Enter")
    page.wait_for_url("**/search.html?find=oil")
    assert "Searching needs JavaScript" in page.inner_text("#without")
    context.close()


def test_by_keyboard(search):
    assert search.evaluate("document.activeElement.id") == "words"
    search.keyboard.type("oil")
    found = titles(search)
    focused = "document.activeElement.querySelector('.title')?.textContent"
    search.keyboard.press("ArrowDown")
    assert search.evaluate(focused) == found[0]
    search.keyboard.press("ArrowDown")
    assert search.evaluate(focused) == found[1]
    search.keyboard.press("ArrowUp")
    search.keyboard.press("ArrowUp")
    assert search.evaluate("document.activeElement.id") == "words"
    for key in ("Tab", "Tab"):  # past the fold
        search.keyboard.press(key)
    assert search.evaluate(focused) == found[0]
    search.focus("#words")
    search.keyboard.press("Enter")
    search.wait_for_url("**/*.html")
    assert found[0] in search.inner_text("h1")


def test_nothing_found_says_where_to_look(search):
    assert type_in(search, "xyzzy") == []
    assert search.inner_text("#count") == "Nothing found for “xyzzy”."
    assert "by material" in search.inner_text("#nothing")
    assert type_in(search, "%") == []
    assert search.is_visible("#nothing")
    type_in(search, "")
    assert search.is_hidden("#nothing")
    assert "can be searched" in search.inner_text("#count")


@pytest.mark.parametrize("page", ["search.html", "possible.html"])
def test_without_javascript_the_page_says_so_and_leads_on(page, sites, browser):
    context = browser.new_context(java_script_enabled=False)
    opened = context.new_page()
    opened.goto((sites["demo"] / page).as_uri())
    assert "JavaScript" in opened.inner_text("#without")
    assert opened.locator("form").is_hidden()
    if page == "search.html":
        assert opened.locator("#without a").count() >= 3
    else:
        assert "glycerol 85 %" in opened.inner_text("tr:has(a[href='formulas/H-03.html']) td").replace("\u202f", " ")
    context.close()


def test_a_search_page_sent_alone_says_what_is_missing(sites, browser, tmp_path):
    alone = tmp_path / "search.html"
    alone.write_bytes((sites["demo"] / "search.html").read_bytes())
    context = browser.new_context()
    page = context.new_page()
    page.goto(alone.as_uri())
    assert TERMS in page.inner_text("#without")
    assert page.locator("form").is_hidden()
    context.close()


@pytest.mark.parametrize(("scheme", "width"), [("light", 1440), ("dark", 320)])
def test_nobody_is_shut_out(scheme, width, sites, watched):
    """States that the pages are not in when `test_access` uses them: nothing found but a word near, a question."""
    page = watched.page
    page.emulate_media(color_scheme=scheme)
    page.set_viewport_size({"width": width, "height": 900})
    for name in ("search.html#find=xantham&status=approved", "possible.html"):
        page.goto("about:blank")
        page.goto((sites["demo"] / name.split("#")[0]).as_uri() + "#" + name.partition("#")[2])
        if name == "possible.html":
            page.locator("#supplies input[type=checkbox]").first.check()
            page.click("#untick")
        found = Axe().run(page).response["violations"]
        assert not found, [(one["id"], one["nodes"][0]["html"]) for one in found]
        assert page.evaluate("document.documentElement.scrollWidth") <= width


# ── How fast ──────────────────────────────────────────────────────────────────────────────────────────────────────

KEYSTROKE = """async text => {
  const field = document.getElementById('words');
  field.value = text;
  field.dispatchEvent(new Event('input', { bubbles: true }));
  document.body.getBoundingClientRect();
  await new Promise(done => requestAnimationFrame(() => setTimeout(done)));
}"""
TYPED = ("cream 12", "glycerol", "C-1234", "stir until the", "glycrrol")


def entry(
    number: int, *, title: str, purpose: str = "", text: str = "", uses: tuple[str, ...] = (), code: str = ""
) -> SearchEntry:
    """One formula."""
    facets = ((purpose,) if purpose else (), ("Balms",), ("cosmetic",), ("leave-on",), ("cupboard",), ("approved",))
    code = code or f"C-{number:04}"
    return SearchEntry(
        key=code, title=title, code=code, stem=code, also=(), contains=(), hazards=(), cautions=(),
        holds=tuple(Inherited(key=key, stays=Stays.WHOLE, through=()) for key in uses),
        functions=("humectant", "aroma"),
        facets=facets, text=text,
    )  # fmt: skip


def large_book() -> list[SearchEntry]:
    """2,000 formulas with a page of text each, of a vocabulary as wide as a keeper's, and sixty materials."""
    chance = Random(4)
    vowels, others = "aeiouy", "bcdfghklmnprstvw"
    made = ["".join(chance.choice(one) for one in (others, vowels) * chance.randrange(1, 5)) for _ in range(8000)]
    usual = (
        "stir",
        "until",
        "the",
        "water",
        "is",
        "warm",
        "and",
        "pour",
        "it",
        "into",
        "glycerol",
        "for",
        "hands",
        "oil",
    )

    def words(count: int) -> str:
        return " ".join(chance.choice(usual) if chance.random() < 0.6 else chance.choice(made) for _ in range(count))

    materials = [
        SearchEntry(
            key=f"m{number}", title=words(2), code="", stem=f"m{number}", also=(words(1), words(2)), holds=(),
            contains=(words(1),), hazards=(words(12),), cautions=(words(12),), functions=("humectant",),
            facets=((), ("Materials",), ("liquid",), (), (), ()), text=words(30),
        )
        for number in range(60)
    ]  # fmt: skip
    keys = [one.key for one in materials]
    formulas = [
        entry(
            number,
            title=f"{chance.choice(('Cream', 'Balm', 'Gel'))} {number} {words(1)}",
            purpose=words(5),
            text="\n".join(words(25) for _ in range(10)),
            uses=tuple(chance.sample(keys, 12)),
        )
        for number in range(2000)
    ]
    return [*formulas, *materials]


def site_of(folder: Path, sites, entries: list[SearchEntry]) -> Path:
    """A folder with the demo book's page to search with, and what these entries are found by."""
    shutil.copy(sites["demo"] / "search.html", folder)
    shutil.copytree(sites["demo"] / "fonts", folder / "fonts")
    (folder / TERMS).write_bytes(terms_file(entries))
    return folder


def test_two_thousand_formulas_keep_up_with_typing(watched, tmp_path, sites):
    """Processor time of the page's own thread, results drawn, so that a busy machine does not count."""
    site = site_of(tmp_path, sites, large_book())
    page = watched.page
    clock = page.context.new_cdp_session(page)
    clock.send("Performance.enable", {"timeDomain": "threadTicks"})

    def spent() -> float:
        metrics = clock.send("Performance.getMetrics")["metrics"]
        return next(one["value"] for one in metrics if one["name"] == "TaskDuration") * 1000

    page.goto((site / "search.html").as_uri())
    assert page.inner_text("#count").startswith("2000 formulas and 60 materials")
    best = []
    for _ in range(3):
        times = []
        for typed in TYPED:
            for end in range(1, len(typed) + 1):
                before = spent()
                page.evaluate(KEYSTROKE, typed[:end])
                times.append(spent() - before)
        best.append((median(times), max(times)))
        if best[-1][0] <= 50:
            break
    size = (site / TERMS).stat().st_size
    print(f"median {min(best)[0]:.1f} ms, worst {min(best)[1]:.1f} ms a letter; {size / 2000:.0f} bytes a formula")
    assert min(best)[0] <= 50, best
    type_in(page, "stir")
    assert page.locator("#found li").count() == 50
    page.click("#more")
    assert page.locator("#found li").count() == 100
    assert page.evaluate("[...document.querySelectorAll('#found li')].indexOf(document.activeElement.parentNode)") == 50
    assert watched.complaints == []


# ── What is at hand ───────────────────────────────────────────────────────────────────────────────────────────────


@pytest.fixture
def possible(sites, watched):
    """The demo book's page of what is at hand."""
    watched.page.goto((sites["demo"] / "possible.html").as_uri())
    yield watched.page
    assert watched.complaints == []
    assert [one for one in watched.requests if not one.startswith(("file:", "data:"))] == []


def tick(page, *names: str) -> None:
    for name in names:
        page.get_by_label(name, exact=True).check()


def row(page, code: str) -> tuple[str, str]:
    return next((head, said) for head, found, said in page.evaluate(ROWS) if found == code)


def test_ticks_sort_the_formulas_by_what_is_missing(possible):
    assert {head for head, *_ in possible.evaluate(ROWS)}.isdisjoint({"Can be made"})
    first, *others = row(possible, "N-03")[1].split("; ")
    assert row(possible, "N-03")[0] == f"{1 + len(others)} missing"
    tick(possible, *others)
    assert row(possible, "N-03") == ("1 missing", first)
    tick(possible, first)
    assert row(possible, "N-03") == ("Can be made", "nothing")
    rows = possible.evaluate(ROWS)
    numbers = [0 if head == "Can be made" else int(head.split()[0]) for head, *_ in rows]
    assert numbers == sorted(numbers)
    for (one, code, _), (other, after, _) in pairwise(rows):
        assert one != other or code < after
    for head, _, said in rows:
        assert len([part for part in said.split("; ") if part != "nothing"]) == (
            0 if head == "Can be made" else int(head.split()[0])
        )
    assert possible.inner_text("#count").startswith(f"{1 + len(others)} of ")


@pytest.mark.parametrize("width", [320, 1280])
def test_the_counts_stay_in_sight_while_ticking_and_cover_no_focus(possible, width):
    possible.set_viewport_size({"width": width, "height": 500})
    boxes, account = possible.locator("#supplies input[type=checkbox]"), possible.locator(".account")
    boxes.last.check()
    assert account.bounding_box()["y"] == 0
    assert possible.evaluate(
        "getComputedStyle(document.querySelector('.account')).backgroundColor"
        " === getComputedStyle(document.documentElement).backgroundColor"
    )
    covered = """() => {
      const box = document.activeElement.getBoundingClientRect();
      const line = document.querySelector('.account').getBoundingClientRect();
      return document.activeElement.type === 'checkbox' && box.top < line.bottom && box.bottom > line.top;
    }"""
    for _ in range(boxes.count() - 1):
        possible.keyboard.press("Shift+Tab")
        assert not possible.evaluate(covered)
    possible.click(".account a")
    assert possible.evaluate("document.activeElement.id") == "formulas"


def test_an_intermediate_counts_as_its_materials_unless_it_is_there(possible):
    tick(possible, "glycerol 85 %", "sodium lactate solution 60 %", "purified water")
    assert row(possible, "H-03") == ("1 missing", "linseed, whole for Linseed mucilage")
    tick(possible, "Linseed mucilage N-03")
    assert row(possible, "H-03") == ("Can be made", "nothing")
    assert row(possible, "N-03") == ("1 missing", "linseed, whole")  # to make more of it


def test_a_processing_aid_has_to_be_there(possible):
    tick(possible, "Orange-flower concentrate N-06", "purified water")
    assert row(possible, "W-01") == ("1 missing", "kaolin")


def test_what_is_missing_leads_to_its_page(possible, sites):
    tick(possible, "Orange-flower concentrate N-06", "purified water")
    possible.click("tr:has(a[href='formulas/W-01.html']) td a")
    possible.wait_for_url("**/materials/kaolin.html")


def test_ticks_last_and_are_the_books_own(possible, sites):
    tick(possible, "kaolin", "Marigold oil N-01")
    possible.reload()
    assert possible.locator("input:checked").count() == 2
    kept = possible.evaluate("Object.entries(localStorage)")
    assert len(kept) == 1
    assert "The wash-house book of Weir Yard Pottery" in kept[0][0]
    possible.goto((sites["official"] / "possible.html").as_uri())
    assert possible.locator("input:checked").count() == 0


def test_all_are_ticked_and_unticked_and_what_would_be_lost_is_asked_for(possible):
    boxes, ticked = possible.locator("#supplies input[type=checkbox]"), possible.locator("input:checked")
    possible.click("#tick")
    assert ticked.count() == boxes.count()
    assert {head for head, *_ in possible.evaluate(ROWS)} == {"Can be made"}
    possible.click("#untick")
    assert possible.is_visible("#ask")
    assert ticked.count() == boxes.count()
    possible.click("#no")
    assert possible.is_hidden("#ask")
    assert ticked.count() == boxes.count()
    assert possible.evaluate("document.activeElement.id") == "untick"
    possible.click("#untick")
    assert possible.evaluate("document.activeElement.id") == "yes"
    possible.keyboard.press("Enter")
    assert ticked.count() == 0
    tick(possible, "kaolin")
    possible.click("#tick")
    assert possible.is_visible("#ask")
    assert ticked.count() == 1


def test_the_list_is_narrowed_by_name_and_only_what_is_listed_is_ticked(possible):
    possible.fill("#part", "OIL seed")
    listed = possible.locator("#supplies label:has(input[type=checkbox]):visible").all_inner_texts()
    assert listed
    assert all("oil" in one.casefold() and "seed" in one.casefold() for one in listed)
    possible.click("#tick")
    assert possible.locator("input:checked").count() == len(listed)
    possible.fill("#part", "")
    assert possible.locator("#supplies fieldset:visible").count() == possible.locator("#supplies fieldset").count()


def test_with_storage_blocked_the_page_works_and_says_so(sites, watched):
    watched.page.add_init_script(
        "Object.defineProperty(window, 'localStorage', { get() { throw new DOMException('no', 'SecurityError'); } });"
    )
    watched.page.goto((sites["demo"] / "possible.html").as_uri())
    assert watched.page.is_visible("#unkept")
    tick(watched.page, *row(watched.page, "N-03")[1].split("; "))
    assert row(watched.page, "N-03") == ("Can be made", "nothing")
    assert watched.complaints == []


def test_kept_ticks_that_cannot_be_read_are_no_ticks(sites, watched):
    page = watched.page
    page.goto((sites["demo"] / "possible.html").as_uri())
    for broken in ("{", "null", '{"a":1}', '["materials/gone.html", 5]'):
        page.evaluate("text => localStorage.setItem(Object.keys(localStorage)[0], text)", broken)
        page.reload()
        assert page.locator("input:checked").count() == 0
    assert watched.complaints == []


def test_a_large_book_lists_fifty_formulas_at_a_time(sites, watched, tmp_path):
    html = (sites["demo"] / "possible.html").read_text(encoding="utf-8")
    before, rest = html.split("<tbody>")
    rows, after = rest.split("</table>")
    row_of = next(one for one in rows.split("<tr>") if "<b class=code>N-03</b>" in one)
    many = "<tr>".join(row_of.replace("N-03", f"X-{number:03}") for number in range(120))
    (tmp_path / "possible.html").write_text(f"{before}<tbody><tr>{many}</table>{after}", encoding="utf-8")
    page = watched.page
    page.goto((tmp_path / "possible.html").as_uri())
    for listed in (50, 100, 120):
        assert [code for _, code, _ in page.evaluate(ROWS)] == [f"X-{number:03}" for number in range(listed)]
        assert page.is_hidden("#more") == (listed == 120)
        if listed < 120:
            page.click("#more")
            assert page.evaluate("document.activeElement.getAttribute('href')") == f"formulas/X-{listed:03}.html"
