"""The order of the bench against the method: every formula of both books, walked from its first screen to its last.

What has to come is read from the book's own files by other means than the program's: the numbered steps of the method
as text, its amount links one after the other, the lines of the front matter.
"""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest
import yaml
from playwright.sync_api import Browser

from .conftest import BOOKS, until

WALK = """() => {
  const screens = [], next = document.querySelector('#bench .hand button:last-child');
  const plain = node => node?.textContent.replace(/\\s+/g, ' ').trim() ?? '';
  document.querySelector('#bench .steps button').click();
  for (;;) {
    const stage = document.querySelector('#bench .stage');
    screens.push([plain(stage.querySelector('h2')), plain(stage.querySelector('.asks span')), stage.textContent]);
    if (next.disabled) return screens;
    next.click();
  }
}"""
PRINTED = """() => [
  [...document.querySelectorAll('tr.line')].map(row =>
    [Number(row.id.slice(5)), row.querySelector('.name a').textContent]),
  [...document.querySelectorAll('.method [data-link]')].map(one => one.textContent)]"""
LINK = re.compile(r"\]\(amount:([^)@*]*)(?:@([A-Z]))?(?:\*([^)]*))?\)")
"""An amount link: name, phase, portion."""

Asked = tuple[str, str, str]


def front_and_method(text: str) -> tuple[dict, list[str]]:
    """The front matter, and the steps of the method: the items of its list."""
    _, front, body = re.split(r"^---$", text, maxsplit=2, flags=re.M)
    method = re.search(r"^## Method\n(.*?)(?=^## |\Z)", body, re.M | re.S)
    return yaml.safe_load(front), re.split(r"^\d+\. ", method[1], flags=re.M)[1:] if method else []


def lines_of(front: dict) -> list[tuple[str, str]]:
    """Name and phase of each line, in the order of the table."""
    found = []
    for name, amount in front["ingredients"].items():
        if re.match(r"[A-Z](, |$)", str(name)):
            found += [(str(inner).casefold(), name[0]) for inner in amount]
        else:
            found.append((str(name).casefold(), ""))
    return found


def expected(lines: list[tuple[str, str]], steps: list[str]) -> list[tuple[int, int, int | None]]:
    """Number of the step, of the line, and of the link whose portion it is, for each weighing in its turn."""
    links = [(number, link) for number, step in enumerate(steps, 1) for link in LINK.findall(step)]

    def meant(link: Asked) -> list[int]:
        name, phase, _ = link
        return [
            number for number, (called, where) in enumerate(lines)
            if (not name or called == name.casefold()) and (not phase or where == phase)
        ]  # fmt: skip

    found: list[tuple[int, int, int | None]] = []
    alone = {meant(link)[0] for _, link in links if len(meant(link)) == 1}
    seen: set[int] = set()
    for place, (step, link) in enumerate(links):
        rows = meant(link)
        if len(rows) > 1:
            rows = [row for row in rows if row not in alone]
        portions = [other[2] for _, other in links if meant(other) == rows and other[2]]
        complete = "rest" in portions or sum(Fraction(part) for part in portions if part != "rest") == 1
        for row in rows:
            if link[2] and complete:
                found.append((step, row, place))
            elif row not in seen:
                found.append((step, row, None))
            seen.add(row)
    return [(0, row, None) for row in range(len(lines)) if row not in seen] + found


@pytest.mark.parametrize("book", BOOKS)
def test_every_weighing_stands_in_the_step_that_takes_it(book: str, sites: dict[str, Path], measuring: Browser) -> None:
    files = {}
    for path in (BOOKS[book] / "formulas").rglob("*.md"):
        code = re.search(r"^code: (\S+)$", path.read_text(encoding="utf-8"), re.M)
        if code and "earlier" not in path.parts:
            files[code[1]] = path.read_text(encoding="utf-8")
    page = measuring.new_context().new_page()
    walked = portions = unnamed = 0
    for path in sorted((sites[book] / "formulas").glob("*.html")):
        page.goto(path.as_uri() + "#bench")
        if not page.locator("#bench").count() or "based on:" in files[path.stem]:
            continue  # withdrawn: nothing is weighed; of a trial the file has no more than what differs
        until(page, "!document.getElementById('bench').hidden")
        front, steps = front_and_method(files[path.stem])
        screens, (rows, printed) = page.evaluate(WALK), page.evaluate(PRINTED)
        names = {number: " ".join(name.split()) for number, name in rows}
        told = []
        for heading, step, whole in screens:
            weighed = re.match(r"Step (\d+)|Before the first step|Ingredients", step)
            if weighed:
                assert ("Not named in the method" in whole) is (step.startswith("Before")), (path.stem, heading)
                told.append((int(weighed[1] or 0), heading))
            elif re.fullmatch(r"Step \d+", heading):
                told.append((int(heading[5:]), "do"))
        wanted = []
        turns = expected(lines_of(front), steps)
        for number in range(len(steps) + 1):
            wanted += [turn for turn in turns if turn[0] == number]
            wanted += [(number, None, None)] if number else []
        assert [step for step, _ in told] == [step for step, _, _ in wanted], path.stem
        for (_, heading), (_, row, link) in zip(told, wanted, strict=True):
            assert (row is None) is (heading == "do"), path.stem
            if row is not None:
                assert names[row] in heading, (path.stem, heading)
            if link is not None:
                portions += 1
                assert " ".join(printed[link].split()).split(" (")[0] in heading, (path.stem, heading)
        walked += 1
        unnamed += sum(turn[0] == 0 for turn in turns)
    page.context.close()
    assert (walked, portions, unnamed) == ((24, 4, 0) if book == "demo" else (24, 2, 0))
