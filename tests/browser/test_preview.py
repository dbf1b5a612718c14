"""The preview in Chromium: a keeper writes in one window and looks at the page in the other."""

from __future__ import annotations

import re
import shutil
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest
from playwright.sync_api import expect

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
    assert page.evaluate("window.first") is None, "the page was not reloaded"
    until(page, "scrollY === 420")
    assert page.evaluate("document.querySelector('details.why').open")
    assert seen.unloaded_fonts() == seen.complaints == []


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
