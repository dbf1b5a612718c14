"""The preview in Chromium: a keeper writes in one window and looks at the page in the other."""

from __future__ import annotations

import json
import re
import shutil
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple

import pytest
from playwright.sync_api import Page, expect

from bookgen.model import Percent
from bookgen.pipeline import check_book, publish
from bookgen.preview import Preview
from bookgen.shown.accounts.anchors import PAGE as HOW_FIGURES_ARE_FOUND

from .conftest import CHECKOUT, Watched, until

LONG_MS = 60_000


@pytest.fixture
def book(tmp_path) -> Path:
    """A copy of the demo book."""
    shutil.copytree(CHECKOUT / "formulas", tmp_path / "book" / "formulas")
    return tmp_path / "book"


@pytest.fixture
def preview(book) -> Iterator[Preview]:
    """The copy, shown as the command shows it."""
    running, stop = Preview(book), threading.Event()
    watcher = threading.Thread(target=running.watch, args=(stop,))
    running.start()
    watcher.start()
    yield running
    stop.set()
    watcher.join()
    running.close()


@pytest.fixture
def seen(watched) -> Watched:
    """A page that waits as long as a busy machine needs."""
    expect.set_options(timeout=LONG_MS)
    watched.page.set_default_timeout(LONG_MS)
    return watched


def edit(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


class Subject(NamedTuple):
    """A formula that is being written, and one of its lines."""

    path: Path
    address: str
    text: str
    number: int
    line: str


def subject_of(book: Path) -> Subject:
    """Return the first formula whose fill takes up what another amount leaves, and such a line of it."""
    checked = check_book(book)
    for key, figures in checked.reckoning.figures.items():
        formula, lines = figures.formula, figures.amounts.lines
        if key in checked.review.barred or not any(one.is_fill for one in lines):
            continue
        for one in lines[:-1]:
            if isinstance(one.line.amount, Percent) and " %, " in one.line.amount.text + ", ":
                text = (book / formula.path).read_text(encoding="utf-8")
                line = text.split("\n")[one.line.place.line - 1]
                if " %" in line:
                    return Subject(book / formula.path, f"formulas/{formula.code}.html", text, one.index, line)
    raise AssertionError("no formula with a fill")


def test_an_edit_arrives_with_its_figures_and_the_place_is_kept(preview, book, seen):
    path, address, _, number, line = subject_of(book)
    page = seen.page
    page.set_viewport_size({"width": 700, "height": 500})
    page.goto(preview.address + address)
    page.wait_for_selector("form.obtain:not([hidden])")
    page.evaluate("document.querySelector('details.why').open = true")
    page.evaluate("scrollTo(0, 420)")
    page.evaluate("window.first = true")
    grams = page.locator(f"[data-figure='line-{number}.metered']")
    before = grams.get_attribute("value")
    edit(path, line, re.sub(r"[0-9.]+ %", "1.25 %", line))
    expect(grams).not_to_have_attribute("value", str(before))
    expect(page.locator(f"#line-{number} .written")).to_contain_text("1.25")
    assert page.evaluate("window.first"), "the page was loaded anew"
    until(page, "scrollY === 420")
    assert page.evaluate("document.querySelector('details.why').open")
    assert seen.unloaded_fonts() == seen.complaints == []


WHOLE = "document.head.outerHTML + document.body.outerHTML"


def renewed(preview: Preview, page: Page, address: str) -> None:
    """Wait until a page shows what the book makes of it now, and its scripts have done what they do at first."""
    digest = preview.current.answer(address).digest
    expect(page.locator(f"script[data-shown='{digest}']")).to_be_attached()
    begun = (
        "document.getElementById('following') === null || document.querySelector('form.obtain:not([hidden])') !== null"
    )
    until(page, f"document.readyState === 'complete' && ({begun})")


def wait_until(holds: Callable[[], bool]) -> None:
    end = time.monotonic() + LONG_MS / 1000
    while not holds():
        assert time.monotonic() < end
        time.sleep(0.02)


def retitled(path: Path, words: str) -> None:
    text = path.read_text(encoding="utf-8")
    path.write_text(re.sub(r"^title: .*", rf"\g<0> {words}", text, count=1, flags=re.MULTILINE), encoding="utf-8")


def marked(page: Page) -> None:
    """Put a mark into the page's window, which a reload takes away."""
    page.evaluate("window.first = true")


def in_place(page: Page) -> bool:
    """Tell whether the page was written over since it was marked, and not loaded anew."""
    return page.evaluate("window.first === true")


def test_a_page_in_place_is_the_page_that_is_loaded_anew(preview, book, seen, browser):
    path, address, text, _, line = subject_of(book)
    checked = check_book(book)
    key = next(key for key in checked.book.formulas if f"formulas/{checked.book.formulas[key].code}.html" == address)
    inside = checked.reckoning.figures[key].amounts.lines
    material = next(one.key for one in inside if one.key in checked.book.materials)
    addresses = [address, f"materials/{material}.html", "index.html", "findings.html", "possible.html"]
    # A browser keeps six connections to one host, and each open page listens on one.
    apart = browser.new_context()
    pages = {address: seen.page} | {one: apart.new_page() for one in addresses[1:]}
    fresh = browser.new_context().new_page()
    for one, page in pages.items():
        page.goto(preview.address + one)
        renewed(preview, page, one)
    broken = text.replace(line, line.partition(":")[0] + ": a pinch")
    first, second = (re.sub(r"^title: .*", rf"\g<0> {word}", text, flags=re.MULTILINE) for word in ("new", "newer"))
    for edited in (first, second, broken, text):
        for page in pages.values():
            marked(page)
        before = preview.current.answer(address).digest
        path.write_text(edited, encoding="utf-8")
        wait_until(lambda shown=before: preview.current.answer(address).digest != shown)
        for one, page in pages.items():
            renewed(preview, page, one)
            fresh.goto(preview.address + one)
            renewed(preview, fresh, one)
            assert page.evaluate(WHOLE) == fresh.evaluate(WHOLE), one
        if edited in (first, second):  # a formula that is barred has other scripts, so its policy is another
            assert {one for one, page in pages.items() if in_place(page)} >= {*addresses[:4]}
    apart.close()
    fresh.context.close()
    assert seen.complaints == []


def test_what_was_touched_or_holds_something_is_loaded_anew(preview, book, seen):
    path, address, *_ = subject_of(book)
    page = seen.page
    page.goto(preview.address + address)
    kept = f"preview {address}"

    def edited(number: int) -> bool:
        """Edit and wait; return whether it was put in place."""
        marked(page)
        retitled(path, f"{number}")
        expect(page.locator("h1").first).to_contain_text(f" {number}")
        renewed(preview, page, address)
        return in_place(page)

    renewed(preview, page, address)
    assert edited(1)
    page.locator("h1").first.click()
    assert not edited(2)
    assert edited(3)
    page.keyboard.press("Tab")
    assert not edited(4)
    assert edited(5)
    page.evaluate("location.hash = 'obtain=50+g'")
    assert not edited(6)
    expect(page.locator("#obtain")).to_have_value("50 g")
    page.goto(preview.address + address)
    renewed(preview, page, address)
    bench = page.evaluate("({...document.getElementById('bench').dataset})")
    page.evaluate("name => localStorage.setItem(name, '{}')", f"bookgen {bench['book']} {bench['code']}")
    assert not edited(7)  # a countdown may run
    page.evaluate("localStorage.clear()")
    assert edited(8)
    page.evaluate("state => sessionStorage.setItem(...state)", [kept, json.dumps([0, 0, [], None, 0, 50])])
    page.reload()
    renewed(preview, page, address)
    assert not edited(9)  # after so many times
    assert edited(10)
    assert seen.unloaded_fonts() == seen.complaints == []


def test_a_page_whose_script_does_not_begin_is_loaded_anew(preview, book, seen):
    address, page = subject_of(book).address, seen.page
    page.goto(preview.address + address)
    renewed(preview, page, address)
    policy = page.evaluate("document.querySelector('meta[http-equiv]').outerHTML")
    stream = {"content_type": "text/event-stream", "body": f"event: changed\ndata: {json.dumps(policy)}\n\n"}
    page.route("**/changes?*", lambda route: route.fulfill(**stream), times=1)
    page.reload()
    expect(page.locator("h1").first).to_be_attached()
    renewed(preview, page, address)


def test_a_theme_of_the_books_own_begins_anew(preview, book, seen):
    path, address, *_ = subject_of(book)
    page = seen.page
    page.goto(preview.address + address)
    renewed(preview, page, address)
    script = book / "themes" / "workroom" / "script" / "field.js"
    script.parent.mkdir(parents=True)
    own = (CHECKOUT / "themes" / "workroom" / "script" / "field.js").read_text(encoding="utf-8")
    for number in (1, 2):
        marked(page)
        script.write_text(f"{own}\ndocument.body.dataset.own = {number};\n", encoding="utf-8")
        expect(page.locator("body")).to_have_attribute("data-own", str(number))
        assert not in_place(page)
    marked(page)
    retitled(path, "newly")
    expect(page.locator("h1").first).to_contain_text("newly")
    expect(page.locator("body")).to_have_attribute("data-own", "2")
    assert not in_place(page)
    assert seen.complaints == []


def test_focus_is_kept(preview, book, seen):
    path, address, *_ = subject_of(book)
    page = seen.page
    page.goto(preview.address + address)
    renewed(preview, page, address)
    focused = "document.activeElement.getAttribute('href')"
    page.evaluate("[...document.querySelectorAll('main a')].at(-2).focus({ preventScroll: true })")
    before = page.evaluate(focused)
    marked(page)
    retitled(path, "newly")
    expect(page.locator("h1").first).to_contain_text("newly")
    renewed(preview, page, address)
    assert in_place(page)
    until(page, f"{focused} === {json.dumps(before)}")
    page.keyboard.press("Shift+Tab")
    other = page.evaluate(focused)
    retitled(path, "again")
    expect(page.locator("h1").first).to_contain_text("again")
    renewed(preview, page, address)
    assert not in_place(page)
    until(page, f"{focused} === {json.dumps(other)}")
    assert before != other


def test_nothing_gathers_in_a_page_that_is_written_over(preview, book, seen):
    path, address, text, *_ = subject_of(book)
    page = seen.page
    page.goto(preview.address + address)
    renewed(preview, page, address)
    marked(page)
    cdp = page.context.new_cdp_session(page)
    cdp.send("Performance.enable")

    def held() -> tuple[int, int, int]:
        for _ in range(2):
            cdp.send("HeapProfiler.collectGarbage")
        found = {one["name"]: one["value"] for one in cdp.send("Performance.getMetrics")["metrics"]}
        return found["JSEventListeners"], found["Nodes"], found["JSHeapUsedSize"]

    for number in range(12):
        path.write_text(text.replace("title: ", f"title: {10 + number} ", 1), encoding="utf-8")
        expect(page.locator("h1").first).to_contain_text(f"{10 + number} ")
        renewed(preview, page, address)
        if number == 3:  # what is compiled once and kept stands by then
            before = held()
    after = held()
    assert in_place(page)
    assert after[:2] == before[:2]
    assert after[2] < before[2] * 1.1


def test_a_finding_comes_to_its_row_and_goes_again(preview, book, seen):
    path, address, text, number, line = subject_of(book)
    page = seen.page
    page.goto(preview.address + address)
    expect(page.locator(".remark")).to_have_count(0)
    edit(path, line, line.partition(":")[0] + ": a pinch")
    remark = page.locator(f"#line-{number} ~ tr.remarks .remark.error")
    expect(remark).to_have_count(1)
    expect(remark).to_contain_text("pinch")
    boxes = [page.locator(f"#line-{number}"), remark, page.locator(f"#line-{number + 1}")]
    row, note, following = [one.bounding_box() or {} for one in boxes]
    assert row["y"] + row["height"] - 1 <= note["y"] < note["y"] + note["height"] <= following["y"] + 1
    for width in (320, 700, 1440):
        page.set_viewport_size({"width": width, "height": 700})
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), width
    path.write_text(text, encoding="utf-8")
    expect(page.locator(".remark")).to_have_count(0)
    assert seen.unloaded_fonts() == seen.complaints == []


def test_a_file_in_the_middle_of_writing_and_mended(preview, book, seen):
    path, address, text, *_ = subject_of(book)
    page = seen.page
    page.goto(preview.address + address)
    title = page.locator("h1").first.inner_text()
    path.write_text(text[: text.index("ingredients:") + 14], encoding="utf-8")
    expect(page.locator(".remark.error")).not_to_have_count(0)
    path.write_text(text, encoding="utf-8")
    expect(page.locator(".remark")).to_have_count(0)
    expect(page.locator("h1").first).to_have_text(title)
    path.unlink()
    expect(page.locator("h1").first).to_have_text("The page is gone")
    path.write_text(text, encoding="utf-8")
    expect(page.locator("h1").first).to_have_text(title)
    page.get_by_role("link", name=check_book(book).book.workroom.title).first.click()
    expect(page).to_have_url(preview.address + "index.html")


def test_a_workroom_that_cannot_be_read_and_its_mending(preview, book, seen):
    address = subject_of(book).address
    workroom = book / "formulas" / "workroom.yaml"
    text = workroom.read_text(encoding="utf-8")
    page = seen.page
    page.goto(preview.address + address)
    title = page.locator("h1").first.inner_text()
    workroom.write_text(text.replace("balances:", "balances: ["), encoding="utf-8")
    expect(page.locator("body")).to_contain_text("all figures wait until it is put right")
    expect(page.locator("data")).to_have_count(0)
    workroom.write_text(text, encoding="utf-8")
    expect(page.locator("h1").first).to_have_text(title)


def test_a_material_and_who_uses_it_while_a_page_unconcerned_stays(preview, book, seen, browser):
    checked = check_book(book)
    used = checked.reckoning.graph.used_by
    key = next(key for key in checked.book.materials if len(used.get(key, ())) > 2)
    material, page = checked.book.materials[key], seen.page
    page.goto(f"{preview.address}materials/{material.key}.html")
    page.evaluate("window.first = true")
    calm = browser.new_context().new_page()
    calm.set_default_timeout(LONG_MS)
    calm.goto(preview.address + HOW_FIGURES_ARE_FOUND)
    calm.evaluate("window.first = true")
    shown = preview.current.answer(HOW_FIGURES_ARE_FOUND).digest
    edit(book / material.path, f"name: {material.name}", f"name: {material.name} of the new year")
    expect(page.locator("h1").first).to_contain_text("of the new year")
    page.goto(f"{preview.address}formulas/{checked.book.formulas[used[key][0]].code}.html")
    expect(page.locator("table.ingredients")).to_contain_text("of the new year")
    assert preview.current.answer(HOW_FIGURES_ARE_FOUND).digest == shown  # of another it would be told
    assert calm.evaluate("window.first") is True
    calm.context.close()
    assert seen.unloaded_fonts() == seen.complaints == []


def test_nothing_is_asked_for_elsewhere_and_nothing_of_it_is_published(preview, book, seen, tmp_path):
    page = seen.page
    address = subject_of(book).address
    for one in ("", address, "findings.html", "formulas/none.html"):
        with page.expect_request("**/changes?**"):  # the last thing that a page asks for
            page.goto(preview.address + one)
    assert {one.startswith(preview.address) for one in seen.requests} == {True}
    assert not any("favicon" in one for one in seen.requests)
    publish(check_book(book), tmp_path / "site", binder=False)
    for one in (tmp_path / "site").rglob("*.html"):
        assert "EventSource" not in one.read_text(encoding="utf-8")
