"""For everyone: WCAG 2.2 AA by axe-core and by measuring, the keyboard, zoom, spaced text, other colours, paper."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Browser, Page
from pypdf import PdfReader

from ..shared import checked, made_once, shared_by_all, site_of
from .conftest import BOOKS
from .probes import (
    FORCED,
    HIDDEN_BY,
    LAID_OUT,
    MOVING,
    ON_SCREEN_ONLY,
    SHARED,
    SMALL_TARGETS,
    UNCOVERED,
    WATCH_FOCUS,
    cover,
    kind_of,
    put_to_use,
    unfold,
)
from .test_pages_on_screen import TEXTS

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
OF_WIDTH = ["target-size", "scrollable-region-focusable", "link-in-text-block"]
"""Rules of axe-core whose answer may change with the width of the page or its colours; contrast is looked at apart."""

SPACED = """* { line-height: 1.5 !important; letter-spacing: .12em !important; word-spacing: .16em !important }
p { margin-bottom: 2em !important }"""
"""The text spacing of WCAG 1.4.12."""

TWICE = "html { font-size: 212.5% !important }"
"""Text alone at twice its size."""

FIGURES = """[...document.querySelectorAll('[data-figure], td.percent, td.written')]
.filter(one => !one.closest('details:not([open])'))
.map(one => [one.dataset.figure ?? one.className, one.textContent])"""
"""What a page shows: a closed fold stays closed on paper."""


@pytest.fixture(scope="module")
def pages(sites, tmp_path_factory) -> list[Path]:
    """Pages of three books on which every kind and every class of each is found.

    The small book of the page tests has what an approved book has not: barred, withdrawn and draft formulas, findings.
    """
    found = cover(*sites.values(), site_of("small", tmp_path_factory))
    assert {"index", "findings", "figures", "search", "possible", "uses", "formulas", "materials"} <= {
        kind_of(page) for page in found
    }
    text = "".join(page.read_text() for page in found)
    assert all(f'class="stamp {word}"' in text for word in ("barred", "withdrawn", "draft", "trial"))
    return found


@contextmanager
def without_network(browser: Browser, width: int, **options) -> Iterator[Page]:
    """Yield a page of a fresh context without a network; what it asks for beyond the disk fails the test."""
    context = browser.new_context(viewport={"width": width, "height": 900}, offline=True, **options)
    page = context.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("pageerror", lambda reason: asked.append(str(reason)))
    yield page
    context.close()
    assert asked
    assert [one for one in asked if not one.startswith(("file:", "data:"))] == []


def each(page: Page, paths: list[Path]) -> Iterator[str]:
    """Open each page and yield its name; then, where a page can be worked with, yield it once more in use.

    Formula pages work alike, so that the first of them is enough.
    """
    used: set[str] = set()
    for path in paths:
        name = f"{path.parent.name}/{path.name}"
        page.goto(path.as_uri())
        if page.locator("form.obtain").count():  # its script unpacks itself first
            page.wait_for_selector("form.obtain:not([hidden])")
        unfold(page)
        yield name
        if kind_of(path) not in used and put_to_use(page):
            used.add(kind_of(path))
            unfold(page)
            yield f"{name} in use"
    assert {"search", "possible", "formulas"} <= used


def none(found: list[str]) -> None:
    """Fail with all that was found."""
    assert not found, f"{len(found)} faults\n" + "\n".join(found[:40])


def test_axe_finds_no_violation(pages, measuring):
    """Each page by every rule, in both schemes and widths by turns, and then in the other scheme and width by the rules
    whose answer may differ there.  Contrast once for each look: it is measured on each page in both schemes."""
    ways = [("light", 1440), ("dark", 320), ("dark", 1440), ("light", 320)]
    found, ran, looks = [], set(), set()
    with without_network(measuring, 1440) as page:
        for number, name in enumerate(each(page, pages)):
            if not page.evaluate("typeof axe === 'object'"):
                page.evaluate(AXE_SCRIPT)
            for names, at in ((TAGS, number % 4), (OF_WIDTH, number % 4 ^ 1)):
                scheme, width = ways[at]
                page.emulate_media(color_scheme=scheme)
                page.set_viewport_size({"width": width, "height": 900})
                if page.evaluate(HIDDEN_BY):  # what lies under a bar until it is rolled away is judged too, whole
                    high = page.evaluate("document.documentElement.scrollHeight + 1")
                    page.set_viewport_size({"width": width, "height": high})
                answers = [page.evaluate(AXE, ["tag" if names is TAGS else "rule", names])]
                if names is TAGS:
                    answers.append(page.evaluate(AXE_ON_LOOKS, [scheme, sorted(looks)]))
                    looks.update(answers[-1]["looks"])
                for answer in answers:
                    ran.update(answer["ran"])
                    found += [f"{name}, {scheme}, {width} px: {one}" for one in answer["wrong"]]
    none(found)
    assert {"color-contrast", "target-size"} <= ran
    assert len(ran) > 60
    assert len(looks) > 200


AXE_TOLD = """
  const told = answer => ({
    ran: [answer.passes, answer.violations, answer.inapplicable].flatMap(group => group.map(one => one.id)),
    wrong: answer.violations.flatMap(one => one.nodes.slice(0, 3).map(
      node => `${one.id}: ${node.html.slice(0, 120)} ${node.failureSummary.slice(-150)}`)),
  });
  const options = {resultTypes: ["violations"], preload: false};
"""
AXE = (
    """async ([type, values]) => {"""
    + AXE_TOLD
    + """
  /* Of WCAG 2.2, which axe-core leaves out unless asked; contrast is looked at by itself. */
  const rules = {"target-size": {enabled: true}, "color-contrast": {enabled: false}};
  return told(await axe.run(document, {...options, runOnly: {type, values}, rules}));
}"""
)
"""Runs rules of axe-core on the whole page; returns those that ran, and what they found wrong."""
AXE_ON_LOOKS = (
    """async ([scheme, known]) => {"""
    + SHARED
    + AXE_TOLD
    + """
  const seen = new Set(known), looks = [], include = [];
  /* Its kind and class, and those of all around it. */
  const look = one =>
    one === document.body ? one.className : `${look(one.parentElement)} ${one.localName}.${one.getAttribute("class")}`;
  for (const one of document.body.querySelectorAll("*")) {
    if (![...one.childNodes].some(node => node.nodeType === Node.TEXT_NODE && node.data.trim())) continue;
    if (one.closest("svg, script, style") || !visible(one)) continue;
    const its = `${scheme} ${look(one)}`;
    if (seen.has(its)) continue;
    seen.add(its);
    looks.push(its);
    include.push(one);
  }
  const runOnly = {type: "rule", values: ["color-contrast"]};
  const answer = include.length ? told(await axe.run({include}, {...options, runOnly})) : {ran: [], wrong: []};
  return {...answer, looks};
}"""
)
"""Asks axe-core for the contrast of one text of each look that is not known yet; returns those looks as well.

Nine tenths of its time, and what looks alike has one contrast: that of every text is measured besides, in both schemes.
"""


def test_the_keyboard_reaches_everything_in_reading_order(pages, measuring):
    """Three pages of each kind, wide and narrow by turns, light and dark by turns: one rule shows the focus on all."""
    found, walks = [], {}
    with without_network(measuring, 820) as page:
        for number, name in enumerate(each(page, pages)):
            kind = page.evaluate("document.body.className") + name.partition(".html")[2]
            walks[kind] = walks.get(kind, 0) + 1
            if walks[kind] > 3:
                continue
            page.emulate_media(color_scheme=("light", "dark")[number % 2])
            page.set_viewport_size({"width": (820, 1440, 360)[number % 3], "height": 900})
            page.evaluate("scrollTo(0, 0); document.activeElement.blur()")
            due = page.evaluate(WATCH_FOCUS)
            over = page.evaluate(HIDDEN_BY)
            for _ in range(due + 3):
                page.keyboard.press("Tab")
                if over and (covered := page.evaluate(UNCOVERED)):
                    found.append(f"{name}: {covered} is under {over}")
            walked = page.evaluate("walked")
            # A trap would show here as well: whatever follows it is not reached.
            found += [f"{name}: never reached: {one}" for one in set(walked["due"]) - set(walked["reached"])]
            found += [f"{name}: {one}" for one in walked["faults"]]
    none(sorted(set(found)))


@pytest.fixture(scope="module")
def walked(pages, measuring, tmp_path_factory) -> dict[str, Any]:
    """What is found on the pages, by what was asked of them; each is opened once, by one worker, for all that is asked.

    No probe leaves anything behind that another could see.
    """

    def walk(folder: Path) -> None:
        found: dict[str, list[str]] = {asked: [] for asked in ("size", "larger", *SCHEMES, *SETTINGS)}
        read = dict.fromkeys(SCHEMES, 0)
        with without_network(measuring, 320, device_scale_factor=2) as page:
            for name in each(page, pages):
                for asked, these in asked_of(page, read).items():
                    found[asked] += [f"{name}: {one}" for one in these]
        (folder / "found").write_text(json.dumps({**found, "read": read}))

    place = made_once(shared_by_all(tmp_path_factory) / "access", walk)
    return json.loads((place / "found").read_text())


SCHEMES = ("light", "dark")
SETTINGS = {
    "still": (MOVING, {"reduced_motion": "reduce"}),
    "own light": (FORCED, {"forced_colors": "active", "color_scheme": "light"}),
    "own dark": (FORCED, {"forced_colors": "active", "color_scheme": "dark"}),
}
"""What is asked of a page under a reader's own settings."""
USUAL = {"reduced_motion": "null", "forced_colors": "null", "color_scheme": "null"}


def asked_of(page: Page, read: dict[str, int]) -> dict[str, list[str]]:
    """Return what is wrong with the page that is open, by what was asked; `read` counts the texts of each scheme."""
    page.set_viewport_size({"width": 320, "height": 900})
    controls = page.evaluate(SMALL_TARGETS)
    found = {"size": [f"{one}: {wide:.0f} by {high:.0f}" for wide, high, one in controls if min(wide, high) < 24]}
    page.set_viewport_size({"width": 360, "height": 900})
    for scheme in read:
        page.emulate_media(color_scheme=scheme)
        here = page.evaluate(TEXTS)
        read[scheme] += here["read"]
        found[scheme] = here["faint"] + here["small"]
    page.set_viewport_size({"width": 820, "height": 900})
    for asked, (probe, settings) in SETTINGS.items():
        page.emulate_media(**{**USUAL, **settings})
        found[asked] = page.evaluate(probe)
    page.emulate_media(**USUAL)
    found["larger"] = larger(page)
    return found


def larger(page: Page) -> list[str]:
    """Return what is lost at 320 px, at 200 %, with text alone larger, and spaced."""
    found = []
    page.evaluate("document.head.append(Object.assign(document.createElement('style'), {id: 'larger'}))")
    for width, style in [(320, ""), (640, ""), (1280, TWICE), (320, SPACED), (1440, SPACED)]:
        page.set_viewport_size({"width": width, "height": 900})
        page.evaluate("style => { document.getElementById('larger').textContent = style }", style)
        found += [f"{width} px {style[:4]}: {one}" for one in page.evaluate(LAID_OUT)]
    page.evaluate("document.getElementById('larger').remove()")
    return found


def test_controls_can_be_hit(walked):
    """WCAG 2.5.8: 24 by 24 pixels; links are axe's to judge."""
    none(walked["size"])


def test_nothing_is_lost_when_it_is_larger(walked):
    """At 320 px, at 200 %, with text alone larger, and spaced, no text is cut off, beyond the edge or on other text."""
    none(walked["larger"])


@pytest.mark.parametrize("scheme", SCHEMES)
def test_every_text_can_be_read(scheme, walked):
    """Contrast and size of type, on the pages as they come and of what scripts put on them."""
    none(walked[scheme])
    assert walked["read"][scheme] > 5000


def test_who_wants_less_motion_gets_none(walked):
    none(walked["still"])


@pytest.mark.parametrize("scheme", SCHEMES)
def test_colours_of_the_readers_own_leave_links_and_stamps(scheme, walked):
    none(walked[f"own {scheme}"])


@pytest.mark.parametrize("name", BOOKS)
def test_the_language_is_the_books(name, sites):
    language = checked(name).book.workroom.language
    for path in cover(sites[name]):
        assert f'<html lang="{language}">' in path.read_text(), path.name


def test_paper_has_no_screen_parts(pages, measuring):
    found = []
    with without_network(measuring, 820) as page:
        page.emulate_media(media="print")
        for path in pages:
            page.goto(path.as_uri())
            found += [f"{path.parent.name}/{path.name}: {one}" for one in page.evaluate(ON_SCREEN_ONLY)]
    none(found)


def test_a_printed_page_holds_every_figure_that_the_screen_shows(pages, browser):
    """Chromium's own PDF of the page as it comes, read back; spaces and the breaks of lines do not count."""
    missing, read = [], 0
    with without_network(browser, 820) as page:
        for path in [page for page in pages if kind_of(page) == "formulas"]:
            page.goto(path.as_uri())
            due = page.evaluate(FIGURES)
            paper = PdfReader(BytesIO(page.pdf(format="A4")))
            printed = bare("".join(sheet.extract_text() for sheet in paper.pages))
            read += len(due)
            missing += [f"{path.name}: {figure} {text!r}" for figure, text in due if bare(text) not in printed]
    none(missing)
    assert read > 140


def bare(text: str) -> str:
    """Return a text without spaces and hyphens."""
    return "".join(text.replace("-", "").replace("‐", "").replace("\u00ad", "").replace("\u200b", "").split())


@pytest.mark.parametrize("name", BOOKS)
def test_a_formula_page_stands_alone(name, sites):
    for path in sorted((sites[name] / "formulas").glob("*.html")):
        text = path.read_text()
        assert "<script src" not in text
        assert 'rel="stylesheet"' not in text
        assert "@import" not in text
