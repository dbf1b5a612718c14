"""The digest of a formula's figures changes exactly when a figure on its sheet does, held against the sheets.

Figures are read back from the HTML of each leaf: the numbers that name a figure, with their units, the numbers of the
amounts as written, the period, the durations, and which material each line is of.  Books are changed at random, but
always the same: numbers, words, instruments.
"""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

import pytest

from bookgen.binder import bindery_for, leaves_of
from bookgen.binder.printed import printed_by
from bookgen.binder.records import LeafKind
from bookgen.look.themes import load_theme
from bookgen.reckon.figures import reckon
from bookgen.review import review
from bookgen.source import book_from

CHECKOUT = Path(__file__).parents[2]
BOOKS = {"demo": CHECKOUT / "formulas", "official": CHECKOUT / "tests" / "books" / "official" / "formulas"}
NUMBER = re.compile(r"(?<![\w.,-])\d+(?:\.\d+)?(?![\w.,:-])")
WORD = re.compile(r"(?<=[a-z] )[a-z]{5,}(?= [a-z])")


class Reader(HTMLParser):
    """Collects the figures of one leaf, in the order of the sheet."""

    def __init__(self) -> None:
        super().__init__()
        self.figures: list[tuple[str, str, str]] = []
        self.inside: list[str] = []
        self.named = False

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        told = dict(attributes)
        kind = ""
        self.named = (self.named and tag not in ("td", "tr")) or (tag == "th" and "row" in str(told.get("scope")))
        if tag in ("data", "time") and "data-figure" in told:
            kind = tag
            self.figures.append((str(told["data-figure"]), "", ""))
        elif tag == "span" and str(told.get("data-figure", "")).endswith(".written"):
            kind = "written"
            self.figures.append((str(told["data-figure"]), "", ""))
        elif tag == "time" and told.get("class") == "duration":
            self.figures.append(("duration", str(told["datetime"]), ""))
        elif tag == "a" and self.named:
            self.figures.append(("material", str(told["href"]), ""))
        elif tag == "span" and told.get("class") == "unit":
            kind = "unit"
        if tag not in ("br", "img", "meta", "wbr", "col", "link", "hr"):
            self.inside.append(kind)

    def handle_endtag(self, tag: str) -> None:
        if self.inside and tag not in ("br", "img", "meta", "wbr", "col", "link", "hr"):
            self.inside.pop()

    def handle_data(self, text: str) -> None:
        kinds = [kind for kind in self.inside if kind]
        if not kinds:
            return
        name, digits, unit = self.figures[-1]
        if kinds[-1] == "unit":
            self.figures[-1] = (name, digits, unit + text)
        elif kinds[-1] == "written":
            self.figures[-1] = (name, digits + "".join(re.findall(r"\d+(?:[.,]\d+)*|(?<=\d) ", text)), unit)
        else:
            self.figures[-1] = (name, digits + text, unit)


def figures_on(html: str) -> tuple[tuple[str, str], ...]:
    """Return digits and units in the order of the sheet; the decimal sign is no matter."""
    reader = Reader()
    reader.feed(html)
    return tuple((digits.replace(",", ".").strip(), unit) for _, digits, unit in reader.figures)


def read(folder: Path) -> dict[str, bytes]:
    return {
        f"formulas/{one.relative_to(folder).as_posix()}": one.read_bytes() for one in folder.rglob("*") if one.is_file()
    }


def perturbed(files: dict[str, bytes], count: int) -> Iterator[dict[str, bytes]]:
    """Yield the book with one thing changed: a number, a word, a digit more, the decimal sign, a balance."""
    chance = random.Random(20261125)
    names = sorted(name for name in files if name.endswith(".md"))
    room = files["formulas/workroom.yaml"].decode()
    yield {**files, "formulas/workroom.yaml": (room.replace("decimal: point", "decimal: comma")).encode()}
    yield {**files, "formulas/workroom.yaml": room.replace("0.01 g", "0.1 g").encode()}
    for _ in range(count):
        name = chance.choice(names)
        text = files[name].decode()
        way = chance.choice(("number", "number", "digit", "word"))
        found = list((WORD if way == "word" else NUMBER).finditer(text))
        if not found:
            continue
        one = chance.choice(found)
        new = {"number": f"{float(one[0]) * 1.1 + 1:.3g}" if way == "number" else "", "digit": f"{one[0]}.0"}
        yield {**files, name: f"{text[: one.start()]}{new.get(way, 'otherwise')}{text[one.end() :]}".encode()}


@pytest.mark.parametrize(("name", "edits"), [("demo", 12), ("official", 5)])
def test_it_changes_exactly_when_a_printed_figure_does(name: str, edits: int) -> None:
    theme, files = load_theme(), read(BOOKS[name])
    known: dict[tuple[str, str], tuple[tuple[str, str], ...]] = {}
    seen: dict[tuple[str, tuple[tuple[str, str], ...]], str] = {}
    states = 0
    for book in (files, *perturbed(files, edits)):
        reckoning = reckon(book_from(book))
        reviewed = review(reckoning)
        printed = printed_by(reckoning)
        codes = {one.formula.code: key for key, one in reckoning.figures.items()}
        for sheet in leaves_of(bindery_for(reckoning, reviewed, theme)):
            if sheet.kind is not LeafKind.FORMULA:
                continue
            if codes[sheet.leaf.code] in reviewed.barred:
                assert sheet.figures == ""
                continue
            assert printed(reckoning.figures[codes[sheet.leaf.code]]) == {sheet.figures}
            figures = figures_on(sheet.leaf.html)
            assert len(figures) > 4
            state, shown = (sheet.leaf.code, sheet.figures), (sheet.leaf.code, figures)
            assert known.setdefault(state, figures) == figures, "another figure, the same digest"
            assert seen.setdefault(shown, sheet.figures) == sheet.figures, "the same figures, another digest"
            states += 1
    assert len(known) >= len({code for code, _ in known}) + 3, "enough of them changed"
    assert states > len(known) * 3
