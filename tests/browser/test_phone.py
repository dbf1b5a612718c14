"""A formula on a phone: what stands first, what is folded, what lines up; and text twice as large."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from .conftest import until

WIDTH, HEIGHT = 390, 844
LONGEST = "H-02"
"""The formula of the demo with the most lines and hazards."""
TWICE = "html { font-size: 212.5% !important }"

BROKEN = r"""() => {
  const found = [], walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const number = /\d[\d.,]*(?:[\s\u00a0\u202f]?(?:%|°C|g|kg|mL|L|mg|min|drops?)(?![A-Za-z]))?/.source;
  const whole = new RegExp(`\\d{4}-\\d\\d-\\d\\d|${number}|[A-Za-zÀ-ÿ]{2,}`, 'g');
  while (walk.nextNode()) {
    const node = walk.currentNode, at = node.parentElement;
    if (!at.checkVisibility() || at.closest('script, style, svg, .spoken')) continue;
    for (const word of node.data.matchAll(whole)) {
      const range = document.createRange();
      range.setStart(node, word.index);
      range.setEnd(node, word.index + word[0].length);
      const tops = [...range.getClientRects()].filter(box => box.width > 1).map(box => box.top), lines = [];
      for (const top of tops) if (!lines.some(other => Math.abs(other - top) < 8)) lines.push(top);
      if (lines.length > (/\d/.test(word[0]) ? 1 : 2)) found.push(`${word[0]} in ${at.tagName}.${at.className}`);
    }
  }
  return found;
}"""
"""Numbers, strengths and dates that a line ends in, and words on three lines or more."""
SEEN = """row => [...row.cells].filter(cell => cell.getBoundingClientRect().width > 1)
  .map(cell => cell.innerText.replace(/\\s+/g, ' ').trim()).filter(Boolean)"""
"""What is seen of a row, cell by cell."""


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    yield from page_of_a_phone(browser)


@pytest.fixture
def measured_phone(measuring: Browser) -> Iterator[Page]:
    yield from page_of_a_phone(measuring)


def page_of_a_phone(browser: Browser) -> Iterator[Page]:
    context = browser.new_context(viewport={"width": WIDTH, "height": HEIGHT}, has_touch=True)
    yield context.new_page()
    context.close()


def at(sites: dict[str, Path], code: str, batch: str = "") -> str:
    return (sites["demo"] / "formulas" / f"{code}.html").as_uri() + batch


def settled(page: Page) -> None:
    page.wait_for_selector("form.obtain:not([hidden])")
    until(page, "document.fonts.status === 'loaded'")


def test_the_first_line_of_the_ledger_stands_within_a_screen_and_a_half_below_the_title(sites, phone):
    phone.goto(at(sites, LONGEST))
    settled(phone)
    title, line = (phone.locator(where).first.bounding_box() for where in ("h1", "tr.line"))
    assert line["y"] - (title["y"] + title["height"]) < 1.5 * HEIGHT


def test_a_hazard_of_more_than_three_lines_is_one_line_until_it_is_touched_but_for_what_burns(sites, phone):
    phone.goto(at(sites, LONGEST))
    settled(phone)
    entries = phone.locator(".hazard li")
    folded = [entry for entry in entries.all() if entry.locator("summary").count()]
    line = entries.first.evaluate("one => parseFloat(getComputedStyle(one).lineHeight)")
    assert 0 < len(folded) < entries.count()
    for entry in entries.all():
        low = entry.bounding_box()["height"]
        if entry.locator("summary").count():
            assert low < 1.5 * line
            entry.locator("summary").click()
            assert entry.bounding_box()["height"] > 3 * line
            entry.locator("summary").click()
        else:
            assert low < 3.5 * line or "Caustic" in entry.inner_text()
    assert [low for low in entries.all() if "Caustic" in low.inner_text() and low.locator("summary").count()] == []
    assert any("Caustic" in entry.inner_text() for entry in entries.all())
    phone.set_viewport_size({"width": 1280, "height": HEIGHT})
    heights = [entry.bounding_box()["height"] for entry in folded]
    phone.emulate_media(media="print")
    phone.set_viewport_size({"width": WIDTH, "height": HEIGHT})
    assert min(heights) > 1.5 * line
    assert all(entry.bounding_box()["height"] > 1.5 * line for entry in folded)
    phone.emulate_media(media="screen")
    phone.get_by_role("link", name="At the bench").click()
    expect(phone.locator("#bench")).to_be_visible()
    said = phone.locator("#bench .stage").inner_text()
    assert phone.locator("#bench details:not(.steps)").count() == 0
    assert all(" ".join(entry.text_content().split()) in " ".join(said.split()) for entry in entries.all())


def test_what_is_hazardous_in_a_step_is_folded_where_it_takes_more_than_three_lines(sites, phone):
    phone.goto(at(sites, LONGEST))
    settled(phone)
    told = phone.locator(".method .danger").all()
    line = told[0].evaluate("one => parseFloat(getComputedStyle(one).lineHeight)")
    folded = [one for one in told if one.locator("summary").count()]
    assert 0 < len(folded) < len(told)
    for one in told:
        low = one.bounding_box()["height"]
        if one in folded:
            assert low < 30
            one.locator("summary").click()
            assert one.bounding_box()["height"] > 2.5 * line
        else:
            assert low < 3.5 * line
    phone.reload()
    phone.set_viewport_size({"width": 820, "height": HEIGHT})
    assert all(one.bounding_box()["height"] > 1.5 * line for one in folded)


ASTRAY = """() => [...document.querySelectorAll('.ingredients tr:has(.grams)')].map(row => {
  const [name, grams] = ['.name', '.grams'].map(which => row.querySelector(which).getBoundingClientRect());
  return [row.innerText, row.getBoundingClientRect().right - grams.right, Math.abs(grams.top - name.top), name.width];
}).filter(([, right, lower, width]) => right > 1 || lower > 12 || width < 80)"""
"""Rows of the ledger whose weight stands elsewhere than at the right beside the name, or leaves the name no room."""


@pytest.mark.parametrize("width", [360, 390])
def test_every_weight_of_the_ledger_stands_at_the_right_beside_its_name(sites, phone, width):
    phone.set_viewport_size({"width": width, "height": HEIGHT})
    kinds = set()
    pages = sorted((sites["demo"] / "formulas").glob("?-??.html"))
    for path in (path for path in pages if path.stem == LONGEST or "num ml" in path.read_text(encoding="utf-8")):
        phone.goto(path.as_uri(), wait_until="commit")
        until(phone, "document.readyState === 'complete' && document.fonts.status === 'loaded'")
        assert phone.evaluate(ASTRAY) == [], path.stem
        kinds.add(phone.evaluate("[!!document.querySelector('.mixed'), !!document.querySelector('td.ml')].join()"))
    assert {"true,true", "false,false"} <= kinds


def test_the_balance_is_told_once_and_at_a_line_only_where_it_is_another(sites, phone):
    phone.goto(at(sites, LONGEST))
    settled(phone)
    told = phone.locator(".on")
    assert told.inner_text().replace("\u00a0", " ") == "All on the fine balance."
    assert not [row for row in phone.locator("tr.line").all() if "balance" in " ".join(row.evaluate(SEEN))]
    phone.goto(at(sites, LONGEST, "#obtain=525+g"))
    phone.reload()
    settled(phone)
    assert told.inner_text().replace("\u00a0", " ") == "On the fine balance where a line does not say otherwise."
    seen = [phone.locator(f"#line-{number}").evaluate(SEEN) for number in range(12)]
    assert seen[0][-1] == "bench scale"
    assert not [cells for cells in seen[1:] if re.search("balance|scale", " ".join(cells))]
    phone.set_viewport_size({"width": 1280, "height": HEIGHT})
    assert not told.is_visible()
    assert phone.locator("#line-1 .measured").inner_text().replace("\u00a0", " ") == "fine balance"


def test_heads_stand_over_their_columns_and_no_percentage_stands_twice(sites, phone):
    for code in (LONGEST, "W-01", "B-01", "P-02"):
        phone.goto(at(sites, code))
        settled(phone)
        for kind in ("percent", "grams"):
            ends = {
                round(box["x"] + box["width"])
                for cell in phone.locator(f".ingredients :is(thead, .line) .{kind}").all()
                if (box := cell.bounding_box()) and box["width"] > 1
            }
            assert len(ends) == 1, (code, kind, ends)
        names = phone.locator(".ingredients :is(thead, .line) .name").all()
        assert len({round(cell.bounding_box()["x"]) for cell in names}) == 1
        for row in phone.locator("tr.line").all():
            numbers = [number for cell in row.evaluate(SEEN)[1:] for number in re.findall(r"^[\d.]+(?= ?%?$)", cell)]
            assert len(numbers) == len(set(numbers)), (code, numbers)


def test_every_cell_has_its_head_for_who_listens(sites, phone):
    for code in (LONGEST, "W-01"):
        phone.goto(at(sites, code))
        settled(phone)
        cdp = phone.context.new_cdp_session(phone)
        nodes = {node["nodeId"]: node for node in cdp.send("Accessibility.getFullAXTree")["nodes"]}

        def role(node: dict) -> str:
            return node.get("role", {}).get("value", "")

        def below(node: dict, wanted: str, nodes: dict[str, dict] = nodes) -> list[dict]:
            found = []
            for child in map(nodes.get, node.get("childIds", ())):
                if child is not None:
                    found += [child] if role(child) == wanted else below(child, wanted)
            return found

        table = next(node for node in nodes.values() if role(node) == "table")
        rows = below(table, "row")
        heads = len(below(rows[0], "columnheader"))
        assert heads == phone.locator(".ingredients thead th").count() >= 5
        whole = [row for row in rows if len(below(row, "rowheader")) == 1 and below(row, "cell")]
        assert len(whole) >= phone.locator("tr.line").count()
        assert {1 + len(below(row, "cell")) for row in whole} == {heads}


def test_figures_of_two_side_by_side_end_below_their_heads(sites, measured_phone):
    measured_phone.goto(at(sites, "B-01-issue-1-beside-B-01"))
    until(measured_phone, "document.fonts.status === 'loaded'")
    ends = measured_phone.evaluate("""() => [...document.querySelectorAll('.shares table')].map(table =>
      [...table.rows].map(row => [...row.cells].slice(1).filter(cell => cell.checkVisibility())
        .map(cell => Math.round(cell.getBoundingClientRect().right)).join(' ')))""")
    assert [len(table) > 2 for table in ends] == [True, True, False], "shares, active content, cost"
    assert [len(set(table)) for table in ends] == [1, 1, 1], ends


def test_a_share_of_a_batch_says_of_what(sites, measured_phone):
    measured_phone.goto((sites["demo"] / "batches" / "B-03-2026-11-07.html").as_uri())
    rows = measured_phone.locator(".achieved tbody tr, .rows tbody tr").all_inner_texts()
    assert "of all 35.1" in rows[0].replace("\u202f", " ").replace("\u2007", "")


@pytest.mark.parametrize(
    ("path", "rows", "width"),
    [
        ("shelf.html", ".stored tbody tr", 768),
        ("batches/H-02-2026-10-31.html", ".achieved tbody tr", 768),
        ("batches/H-02-2026-10-31.html", ".achieved tbody tr", 390),
    ],
    ids=["shelf", "batch", "batch-on-a-phone"],
)
def test_where_no_head_stands_above_them_figures_still_stand_in_columns(path, rows, width, sites, measured_phone):
    measured_phone.set_viewport_size({"width": width, "height": 844})
    measured_phone.goto((sites["demo"] / path).as_uri())
    until(measured_phone, "document.fonts.status === 'loaded'")
    starts = measured_phone.locator(rows).evaluate_all("""rows => rows.map(row => [...row.querySelectorAll('td')]
      .slice(0, 3).map(cell => Math.round(cell.getBoundingClientRect().left)).join(' '))""")
    assert len(starts) >= 10
    assert len(set(starts)) == 1, starts


@pytest.mark.parametrize("style", ["", TWICE], ids=["as-it-is", "twice-as-large"])
def test_no_line_ends_within_a_number_and_nothing_rolls_sideways(style, sites, measured_phone):
    wrong = []
    for path in sorted((sites["demo"] / "formulas").glob("*.html")):
        measured_phone.goto(path.as_uri())
        if style:
            measured_phone.add_style_tag(content=style)
        until(measured_phone, "document.fonts.status === 'loaded'")
        beyond = measured_phone.evaluate("document.documentElement.scrollWidth - innerWidth")
        wrong += [
            f"{path.stem}: {found}" for found in (*measured_phone.evaluate(BROKEN), *([beyond] if beyond > 0 else ()))
        ]
    assert not wrong, "\n".join(wrong)


def test_the_bench_with_text_twice_as_large_shows_each_amount_above_its_bar(sites, phone):
    phone.goto(at(sites, LONGEST, "#bench"))
    expect(phone.locator("#bench")).to_be_visible()
    phone.add_style_tag(content=TWICE)
    seen = 0
    while True:
        assert phone.evaluate("document.documentElement.scrollWidth") <= WIDTH
        broken = phone.evaluate(BROKEN)
        assert not broken, (phone.locator("#bench .stage h2").inner_text(), broken)
        amount, bar = phone.locator("#bench .big"), phone.locator("#bench .hand").bounding_box()
        if amount.count():
            box = amount.first.bounding_box()
            assert box["y"] >= 0
            assert box["y"] + box["height"] < bar["y"]
            seen += 1
        forward = phone.get_by_role("button", name="Next", exact=True)
        if forward.is_disabled():
            break
        forward.click()
    assert seen == 13
