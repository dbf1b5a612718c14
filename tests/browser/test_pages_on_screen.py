"""The pages in a real browser, opened from disk: nothing is fetched, nothing overflows, everything can be read."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser

from ..shared import made_once, shared_by_all
from .conftest import BOOKS, Watched, some_of_each, until
from .probes import unfold

WIDTHS = (320, 360, 820, 1440)
SMALLEST_TYPE = 11.5
"""CSS pixels; smaller cannot be read at arm's length."""

TEXTS = """() => {
  const channel = part => { part /= 255; return part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4 };
  const luminance = ([r, g, b]) => 0.2126 * channel(r) + 0.7152 * channel(g) + 0.0722 * channel(b);
  const rgba = text => {
    const found = text.match(/[\\d.]+/g).map(Number);
    return found.length < 4 ? [...found, 1] : found;
  };
  const over = (above, below) => [0, 1, 2].map(at => above[at] * above[3] + below[at] * (1 - above[3]));
  const grounds = new Map();
  const ground = one => {
    if (!one) return [255, 255, 255];
    if (!grounds.has(one))
      grounds.set(one, over(rgba(getComputedStyle(one).backgroundColor), ground(one.parentElement)));
    return grounds.get(one);
  };
  const folded = [...document.querySelectorAll('details:not([open])')];
  for (const one of folded) one.open = true;
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const faint = [], small = [];
  let read = 0;
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const element = node.parentElement, style = getComputedStyle(element);
    if (!node.data.trim() || element.closest('style, script, [aria-hidden=true]')) continue;
    if (!element.getClientRects().length || style.visibility === 'hidden') continue;
    const below = ground(element), mine = over(rgba(style.color), below);
    const [light, dark] = [luminance(mine), luminance(below)].sort((a, b) => b - a);
    const contrast = (light + 0.05) / (dark + 0.05), size = parseFloat(style.fontSize);
    const named = `${element.tagName}.${element.className} '${node.data.trim().slice(0, 40)}'`;
    read += 1;
    if (!(contrast >= 4.5)) faint.push(`${named}: ${contrast.toFixed(2)}`);
    if (!(size >= %SMALLEST%)) small.push(`${named}: ${size.toFixed(1)} px`);
  }
  for (const one of folded) one.open = false;
  return {read, faint, small};
}""".replace("%SMALLEST%", str(SMALLEST_TYPE))
"""How many texts a page shows, its folded parts opened, and which of them are faint or small."""

FIGURES = """() => {
  for (const one of document.querySelectorAll('details')) one.open = true;
  return [...document.querySelectorAll('[data-figure]')]
    .map(one => [one.dataset.figure, one.textContent, one.getClientRects().length > 0]);
}"""

FOCUS = """() => {
  const style = getComputedStyle(document.activeElement);
  return [document.activeElement.tagName, parseFloat(style.outlineWidth), style.outlineStyle];
}"""

IN_SIGHT = """() => {
  const box = document.activeElement.getBoundingClientRect();
  return box.top >= -1 && box.bottom <= innerHeight + 1;
}"""

OVERFLOWING = """() => {
  const width = document.documentElement.clientWidth;
  const rolls = /auto|scroll|hidden|clip/;
  const wide = [...document.body.querySelectorAll('*')].filter(one => {
    for (let up = one.parentElement; up && up !== document.documentElement; up = up.parentElement)
      if (rolls.test(getComputedStyle(up).overflowX)) return false;
    return one.getBoundingClientRect().right > width + 0.5 || one.getBoundingClientRect().left < -0.5;
  });
  return [document.documentElement.scrollWidth - width, wide.map(one => one.tagName + '.' + one.className).slice(0, 3)];
}"""

SET = """() => {
  const all = document.querySelectorAll('main, main *, .running *, .foot *');
  const own = one => [...one.childNodes].some(node => node.nodeType === 3 && node.data.trim());
  const text = parseFloat(getComputedStyle(document.documentElement).fontSize), line = document.createRange();
  const seen = [...all].filter(one => own(one) && one.checkVisibility());
  const sizes = seen.map(one => parseFloat(getComputedStyle(one).fontSize));
  line.selectNodeContents(document.querySelector('h1'));
  return [Math.round(line.getBoundingClientRect().left), [...new Set(sizes)].filter(size => size > text * 1.005)];
}"""
"""Where the title begins, and the sizes of type that are larger than the text."""


@pytest.fixture(scope="module")
def walked(sites, measuring, tmp_path_factory) -> Callable[[str], dict[str, Any]]:
    """Tells what is found on the pages of a book; each page is opened once for all that is asked of it."""

    def of_book(name: str) -> dict[str, Any]:
        place = shared_by_all(tmp_path_factory) / "on-screen" / name
        made_once(place, lambda folder: (folder / "found").write_text(json.dumps(walk(sites[name], measuring))))
        return json.loads((place / "found").read_text())

    return of_book


def walk(site: Path, browser: Browser) -> dict[str, Any]:
    """Open pages of every kind from disk; return what is too wide at any width, what was fetched, and the texts.

    Texts are looked at in both schemes, wide on each page and narrow on every other.
    """
    context = browser.new_context()
    watched = Watched(context.new_page())
    page, wide = watched.page, []
    edges: dict[int, dict[int, str]] = {width: {} for width in WIDTHS}
    larger: dict[int, dict[float, str]] = {width: {} for width in WIDTHS}
    texts: dict[str, dict[str, Any]] = {scheme: {"read": 0, "faint": [], "small": []} for scheme in ("light", "dark")}
    for number, path in enumerate(some_of_each(site)):
        page.goto(path.as_uri())
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 900})
            beyond, which = page.evaluate(OVERFLOWING)
            if beyond > 0 or which:
                wide.append(f"{path.name} at {width}: {beyond} px, {which}")
            left, sizes = page.evaluate(SET)
            edges[width].setdefault(left, path.name)
            for size in sizes:
                larger[width].setdefault(size, path.name)
        unfold(page)  # once for all texts
        for width in (1440, 360)[: 2 - number % 2]:
            page.set_viewport_size({"width": width, "height": 900})
            for scheme, found in texts.items():
                page.emulate_media(color_scheme=scheme)
                here = page.evaluate(TEXTS)
                found["read"] += here["read"]
                found["faint"] += [f"{path.name} {one}" for one in here["faint"]]
                found["small"] += [f"{path.name} {one}" for one in here["small"]]
    context.close()
    set_ = {"edges": list(edges.values()), "larger": list(larger.values())}
    return {"wide": wide, "texts": texts, **set_, "requests": watched.requests, "complaints": watched.complaints}


@pytest.mark.parametrize("name", BOOKS)
def test_opened_from_disk_nothing_is_fetched_and_nothing_overflows(name, walked):
    found = walked(name)
    assert not found["wide"], "\n".join(found["wide"])
    assert found["complaints"] == []
    assert found["requests"]
    assert [one for one in found["requests"] if not one.startswith(("file:", "data:"))] == []


@pytest.mark.parametrize("name", BOOKS)
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_word_can_be_read(name, scheme, walked):
    found = walked(name)["texts"][scheme]
    assert found["read"] > 1000
    assert not found["faint"], "\n".join(sorted(set(found["faint"]))[:20])
    assert not found["small"], "\n".join(sorted(set(found["small"]))[:20])


@pytest.mark.parametrize("name", BOOKS)
def test_every_title_begins_at_one_edge_and_three_sizes_at_most_are_larger_than_the_text(name, walked):
    found = walked(name)
    assert [len(edges) for edges in found["edges"]] == [1] * len(WIDTHS), found["edges"]
    assert all(0 < len(sizes) <= 3 for sizes in found["larger"]), found["larger"]


def test_dark_and_light_are_two_grounds(sites, watched):
    grounds = []
    for scheme in ("light", "dark"):
        watched.page.emulate_media(color_scheme=scheme)
        watched.page.goto((sites["demo"] / "index.html").as_uri())
        grounds.append(watched.page.evaluate("getComputedStyle(document.documentElement).backgroundColor"))
    assert len(set(grounds)) == 2


@pytest.mark.parametrize("name", BOOKS)
def test_without_javascript_every_figure_is_there(name, sites, measuring):
    shown = {}
    for enabled in (True, False):
        context = measuring.new_context(java_script_enabled=enabled)
        page = context.new_page()
        for path in sorted((sites[name] / "formulas").glob("*.html"))[::3]:
            page.goto(path.as_uri())
            figures = page.evaluate(FIGURES)
            assert all(seen for *_, seen in figures), path.name
            shown.setdefault(path.name, []).append([figure[:2] for figure in figures])
        context.close()
    assert all(scripted == plain for scripted, plain in shown.values())
    assert sum(len(plain) for _, plain in shown.values()) > 100


def test_the_keyboard_leads_through_a_page_and_its_place_is_seen(sites, watched):
    path = sites["demo"] / "formulas" / "H-02.html"
    watched.page.goto(path.as_uri())
    watched.page.wait_for_selector("form.obtain:not([hidden])")
    unfolded = "one => !one.closest('details > :not(summary)') && one.getClientRects().length"
    stops = watched.page.evaluate(
        f"[...document.querySelectorAll('a[href], summary, input, button')].filter({unfolded}).length"
    )
    reached = []
    while len(reached) <= stops + 10:
        watched.page.keyboard.press("Tab")
        tag, width, style = watched.page.evaluate(FOCUS)
        if tag == "BODY":  # the end of the page
            break
        assert tag in ("A", "SUMMARY", "DIV", "INPUT", "BUTTON"), tag
        assert width >= 2, f"{tag} shows no focus"
        assert style != "none"
        until(watched.page, IN_SIGHT)  # the browser scrolls there in its own time
        reached.append(tag)
    assert len([tag for tag in reached if tag != "DIV"]) == stops > 10


def test_folded_reasons_open_by_keyboard(sites, watched):
    watched.page.goto((sites["demo"] / "formulas" / "H-02.html").as_uri())
    summary = watched.page.locator("summary").first
    summary.focus()
    watched.page.keyboard.press("Enter")
    assert watched.page.evaluate("document.querySelector('details').open") is True


def test_a_moved_page_is_still_read(sites, watched, tmp_path):
    """One file sent to a phone: figures and style are there, only the type and the neighbours are missing."""
    alone = tmp_path / "H-02.html"
    alone.write_bytes((sites["demo"] / "formulas" / "H-02.html").read_bytes())
    watched.page.goto(alone.as_uri())
    figures = watched.page.evaluate(FIGURES)
    assert len(figures) > 30
    assert watched.page.evaluate("getComputedStyle(document.querySelector('main')).display") != "none"
    assert watched.page.evaluate("getComputedStyle(document.querySelector('th')).textAlign") != ""


@pytest.mark.parametrize("name", BOOKS)
def test_in_print_the_figures_stay(name, sites, watched):
    watched.page.emulate_media(media="print")
    for path in sorted((sites[name] / "formulas").glob("*.html"))[::4]:
        watched.page.goto(path.as_uri())
        assert all(seen for *_, seen in watched.page.evaluate(FIGURES)), path.name


def test_in_print_a_closed_fold_stays_closed(sites, watched):
    page = watched.page
    page.goto((sites["demo"] / "formulas" / "H-02.html").as_uri())
    page.emulate_media(media="print")
    inside = page.locator("details.why table.composition")
    closed = page.evaluate("document.querySelector('details.why').getBoundingClientRect().height")
    assert closed < 60
    page.evaluate("document.querySelector('details.why').open = true")
    assert inside.first.bounding_box()["height"] > 60


def test_each_heading_of_a_page_stands_off_what_is_above_it(sites, watched):
    """At the width where notes and sources have a column of their own, which stands among the others in the file."""
    watched.page.set_viewport_size({"width": 1024, "height": 900})
    watched.page.goto((sites["demo"] / "formulas" / "W-01.html").as_uri())
    notes, others = (
        watched.page.locator("section.prose", has=watched.page.locator("h2", has_text=heading)).bounding_box()
        for heading in ("Notes", "Among other formulas")
    )
    assert others["y"] - (notes["y"] + notes["height"]) >= 16


def test_a_remark_at_the_head_of_a_batch_does_not_shout(sites, watched):
    """What is not in the weight is said below it, in small print, and with a space before it when copied."""
    watched.page.goto((sites["demo"] / "formulas" / "W-01.html").as_uri())
    weight = watched.page.locator(".batch dd", has_text="without what is taken out again")
    assert weight.text_content() == "597.00\u202fg without what is taken out again"
    size = "element => parseFloat(getComputedStyle(element).fontSize)"
    assert weight.locator("small").evaluate(size) < weight.evaluate(size)


def test_in_the_index_by_material_a_name_stands_off_what_follows_and_no_code_is_parted(sites, measuring):
    page = measuring.new_page(viewport={"width": 390, "height": 844})
    page.goto((sites["demo"] / "by-material.html").as_uri())
    until(page, "document.fonts.status === 'loaded'")
    entries = page.locator(".entries dl > div").all_inner_texts()
    assert {"alcohol see ethanol 96 %", "cetearyl alcohol, H-02"} <= {" ".join(text.split()) for text in entries}
    parted, indented = page.evaluate("""() => [
      [...document.querySelectorAll('.entries .code')].filter(one => one.getClientRects().length > 1),
      [...document.querySelectorAll('.entries .stamp')].filter(one => getComputedStyle(one).textIndent !== '0px'),
    ].map(found => found.map(one => one.textContent))""")
    assert (parted, indented) == ([], [])
    page.close()


def test_no_page_is_underlined_whole(sites, measuring):
    """On a screen that is touched, terms that lead to their figure are dotted; only links are."""
    context = measuring.new_context(has_touch=True, is_mobile=True)
    page = context.new_page()
    for path in some_of_each(sites["demo"]):
        page.goto(path.as_uri())
        lined = page.evaluate(
            "[...document.querySelectorAll('body, body *')].filter(one => !one.closest('a, abbr, button, summary')"
            " && getComputedStyle(one).textDecorationLine.includes('underline')).map(one => one.outerHTML.slice(0, 60))"
        )
        assert lined == [], path.name
    assert page.evaluate("matchMedia('(hover: none)').matches")
    context.close()
