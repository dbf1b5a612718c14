"""Pictures in a real browser: no words meet, none is crossed by a leader, none leaves the column or shrinks."""

from __future__ import annotations

import io
import re
from collections import Counter
from itertools import pairwise
from pathlib import Path

import pytest
from PIL import Image, ImageChops

from .conftest import BOOKS

SMALLEST = 11.5
"""CSS pixels."""

SPACED = "* { letter-spacing: .12em !important; word-spacing: .16em !important }"
"""Text as far apart as WCAG 2.2, 1.4.12 lets a reader set it."""
LARGE = "html { font-size: 212.5% !important }"
"""Text alone at twice its size."""

PICTURE = re.compile(r'<svg class="?[^">]*\b(?:parts|plot)\b|<ol class="?lineage')

ALONE = """() => {
  document.head.append(Object.assign(document.createElement('style'), {id: 'own'}));
  for (const one of document.querySelectorAll('details')) one.open = true;
  const drawn = [...document.querySelectorAll('svg.parts, svg.picture.plot, ol.lineage')];
  for (const one of document.querySelectorAll('main :is(section, details, div, table, p, ul, form)'))
    if (!drawn.some(picture => one.contains(picture) || picture.contains(one))) one.remove();
}"""
"""The pictures alone in the column that they stand in: whatever else is on the page is laid out for nothing."""

MEASURED = """() => {
  const channel = part => { part /= 255; return part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4 };
  const luminance = text => {
    const [r, g, b] = text.match(/[\\d.]+/g).map(Number).map(channel);
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const ground = luminance(getComputedStyle(document.documentElement).backgroundColor);
  const contrast = text => {
    const ink = luminance(text);
    return (Math.max(ink, ground) + 0.05) / (Math.min(ink, ground) + 0.05);
  };
  const inside = (box, x, y) => x > box.left && x < box.right && y > box.top && y < box.bottom;
  return [...document.querySelectorAll('svg.parts, svg.picture.plot')].map(picture => {
    const wrong = [], texts = [...picture.querySelectorAll('text')];
    const column = picture.parentElement.getBoundingClientRect();
    const outer = picture.getBoundingClientRect();
    const boxes = texts.map(text => {
      const own = text.getBBox(), ctm = text.getScreenCTM(), name = text.textContent;
      if (ctm.a !== 1 || ctm.d !== 1) wrong.push(name + ' is scaled');
      const size = parseFloat(getComputedStyle(text).fontSize);
      if (size < %SMALLEST%) wrong.push(name + ' is small: ' + size);
      if (contrast(getComputedStyle(text).fill) < 4.5) wrong.push(name + ' is faint');
      const box = {left: ctm.e + own.x, right: ctm.e + own.x + own.width, top: ctm.f + own.y + 2,
        bottom: ctm.f + own.y + own.height - 2, name};
      if (!(own.width > 0 && own.height > 0)) wrong.push(name + ' is not seen');
      if (box.left < column.left - 0.5 || box.right > column.right + 0.5) wrong.push(name + ' leaves the column');
      if (box.top < outer.top - 3 || box.bottom > outer.bottom + 3) wrong.push(name + ' leaves the picture');
      return box;
    });
    boxes.forEach((one, at) => boxes.slice(at + 1).forEach(other => {
      if (one.left < other.right && other.left < one.right && one.top < other.bottom && other.top < one.bottom)
        wrong.push(one.name + ' meets ' + other.name);
    }));
    let points = 0;
    for (const path of picture.querySelectorAll('.leaders path')) {
      const ctm = path.getScreenCTM(), long = path.getTotalLength();
      for (let at = 0; at <= long; at += 4) {
        const point = path.getPointAtLength(at).matrixTransform(ctm);
        points++;
        for (const box of boxes) if (inside(box, point.x, point.y)) wrong.push(box.name + ' is crossed');
      }
    }
    const kind = ['parts', 'plot'].find(kind => picture.classList.contains(kind));
    return {texts: texts.length, points, wrong: [...new Set(wrong)].slice(0, 5), kind};
  });
}""".replace("%SMALLEST%", str(SMALLEST))


def pages_with_pictures(site: Path) -> list[Path]:
    pages = [*sorted((site / "formulas").glob("*.html")), site / "uses.html"]
    return [one for one in pages if PICTURE.search(one.read_text(encoding="utf-8"))]


WAYS = ((320, "light", ""), (320, "dark", SPACED), (641, "dark", ""), (1280, "light", LARGE), (1440, "light", ""))
"""Width of the page, its colours, and what a reader's own style adds."""


@pytest.mark.parametrize("name", BOOKS)
def test_words_keep_clear_of_each_other_and_of_lines(name, sites, measuring):
    context, wrong, drawn = measuring.new_context(), [], Counter()
    page = context.new_page()
    for path in pages_with_pictures(sites[name]):
        page.goto(path.as_uri())
        page.evaluate(ALONE)
        page.evaluate("document.fonts.ready")
        for width, scheme, style in WAYS:
            page.set_viewport_size({"width": width, "height": 900})
            page.emulate_media(color_scheme=scheme)
            page.evaluate("style => { document.getElementById('own').textContent = style }", style)
            for found in page.evaluate(MEASURED):
                drawn[found["kind"]] += 1
                assert found["texts"], path.name
                assert found["points"] > 5 or found["kind"] == "plot", path.name
                wrong += [f"{path.name} at {width}, {scheme} {style}: {one}" for one in found["wrong"]]
    context.close()
    assert not wrong, "\n".join(wrong)
    assert drawn["parts"] >= 15 * len(WAYS)
    assert drawn["plot"] >= (5 if name == "demo" else 0) * len(WAYS)


LINED = """() => [...document.querySelectorAll('ol.lineage')].flatMap(list => {
  const wrong = [], rows = [...list.children], column = list.getBoundingClientRect();
  const lanes = rows.map(row => [...row.querySelectorAll('line')].map(line => line.getBoundingClientRect()));
  rows.forEach((row, at) => {
    const range = document.createRange(), name = row.textContent;
    range.setStartAfter(row.firstElementChild);
    range.setEndAfter(row.lastChild);
    const words = range.getBoundingClientRect(), disc = row.querySelector('.node').getBoundingClientRect();
    if (words.right > column.right + 1) wrong.push(name + ' leaves the column');
    if (/\u2026/.test(name)) wrong.push(name + ' is cut');
    for (const line of lanes.flat()) {
      if (line.right > words.left && line.bottom > words.top + 2 && line.top < words.bottom - 2)
        wrong.push(name + ' is crossed');
    }
    const [first] = range.getClientRects(), middle = disc.top + disc.height / 2;
    if (Math.abs(middle - first.top - first.height / 2) > first.height / 3) wrong.push(name + ' is off its disc');
    if (lanes[at].some(line => line.right > disc.right + column.width)) wrong.push(name + ' has a line astray');
    if (at + 1 < rows.length && rows[at + 1].getBoundingClientRect().top - row.getBoundingClientRect().bottom > 0.5)
      wrong.push('a gap below ' + name);
    const ink = getComputedStyle(row).color, strokes = [...row.querySelectorAll('line')];
    if (strokes.some(line => getComputedStyle(line).stroke !== ink)) wrong.push('a faint line');
  });
  return wrong;
})"""


@pytest.mark.parametrize("forced", ["none", "active"])
def test_names_beside_lines_are_whole_and_the_lines_meet_from_row_to_row(forced, sites, watched):
    page, seen = watched.page, 0
    page.emulate_media(forced_colors=forced)
    for path in pages_with_pictures(sites["demo"]):
        if "<ol class=lineage" not in path.read_text(encoding="utf-8"):
            continue
        page.goto(path.as_uri())
        page.evaluate(ALONE)
        for width, _, style in WAYS:
            page.set_viewport_size({"width": width, "height": 900})
            page.evaluate("style => { document.getElementById('own').textContent = style }", style)
            assert page.evaluate(LINED) == [], (path.name, width, style)
            seen += 1
    assert seen >= 4 * len(WAYS)


def test_a_code_in_a_picture_is_reached_by_keyboard_and_seen(sites, watched):
    page = watched.page
    page.goto((sites["demo"] / "uses.html").as_uri())
    link = page.locator("ol.lineage a").nth(1)
    before = Image.open(io.BytesIO(page.screenshot())).convert("L")
    for _ in range(60):
        page.keyboard.press("Tab")
        if link.evaluate("one => one === document.activeElement"):
            break
    else:
        raise AssertionError("no Tab leads to the second code")
    after = Image.open(io.BytesIO(page.screenshot())).convert("L")
    changed = ImageChops.difference(before, after).point(lambda value: 255 if value > 60 else 0)
    box = link.bounding_box()
    around = changed.crop(
        (int(box["x"]) - 6, int(box["y"]) - 6, int(box["x"] + box["width"]) + 6, int(box["y"] + box["height"]) + 6)
    )
    assert sum(1 for value in around.tobytes() if value) > box["width"], "the focus is not seen"
    page.keyboard.press("Enter")
    page.wait_for_url("**/formulas/*.html")


@pytest.mark.parametrize("forced", ["none", "active"])
def test_shares_on_the_page_of_a_material_are_bars_to_scale_in_any_colours(forced, sites, watched):
    page = watched.page
    page.emulate_media(forced_colors=forced)
    for width in (320, 1280):
        page.set_viewport_size({"width": width, "height": 900})
        page.goto((sites["demo"] / "materials" / "purified-water.html").as_uri())
        bars = page.evaluate(
            """() => [...document.querySelectorAll('.share')].map(one => {
              const bar = one.querySelector('rect').getBoundingClientRect(), all = one.querySelector('svg');
              const style = getComputedStyle(one.querySelector('rect')), words = one.querySelector('span');
              const value = parseFloat(/\\d[\\d.]*/.exec(words.textContent)[0]);
              return [bar.width / all.getBoundingClientRect().width * 100, value,
                bar.right <= words.getBoundingClientRect().left, style.fill, getComputedStyle(document.body).color];
            })"""
        )
        assert len(bars) > 10
        for drawn, value, apart, fill, ink in bars:
            assert abs(drawn - value) < 0.1
            assert apart
            assert forced == "none" or fill == ink


def test_patterns_differ_in_grey_on_paper(sites, watched):
    """Printed black on white, neighbouring parts that are wide enough differ in how much ink they carry or how."""
    page = watched.page
    page.set_viewport_size({"width": 820, "height": 900})
    page.emulate_media(media="print")
    page.goto((sites["demo"] / "formulas" / "H-02.html").as_uri())
    page.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")
    bar = page.locator("svg.bar").first
    rulings = bar.evaluate(
        """one => {
          const edges = [0, ...one.querySelector('svg path').getAttribute('d').matchAll(/M(\\d+) 0V/g)]
            .map(found => Array.isArray(found) ? +found[1] / 1000 : 0);
          return [...new Set([...edges, 1])].sort((a, b) => a - b);
        }"""
    )
    bar.scroll_into_view_if_needed()
    box = page.locator("svg.bar > svg > path").first.bounding_box()
    grey = Image.open(io.BytesIO(page.screenshot(clip=box))).convert("L")
    looks = []
    for start, end in pairwise(rulings):
        left, right = int(start * grey.width) + 3, int(end * grey.width) - 3
        if right - left >= 8:
            part = grey.crop((left, 4, left + 8, 20))
            looks.append(tuple(value // 32 for value in part.tobytes()))
    assert len(looks) >= 5
    assert all(one != other for one, other in pairwise(looks))
    assert len(set(looks)) >= 5
