"""The digest of a leaf's content: it changes when, and only when, what is printed on the leaf changes.

Every shown record is altered in one place at a time and printed again by its template: HTML, without what does not show
on paper, against the digest.  And what goes into the digest is looked for on the printed sides.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field, fields, is_dataclass, replace
from functools import cache
from typing import Any

import html5lib
import pytest

from bookgen.binder import Bindery, Sheet, effective_sheets, leaves_of, row_of, sheet_style
from bookgen.binder.digest import content_of, printed_parts
from bookgen.look import load_theme
from bookgen.shown.phrases import Paragraph, Phrase, Prose
from bookgen.shown.shelf import shelf_of

from .bound import bound
from .conftest import BOOKS, publish
from .readback import bare

SIGN = "zq"
"""What is added to a text; it stands nowhere else."""
EACH = 2
"""How many records of a book are altered in one and the same field."""
UNSEEN = re.compile(r'\s(?:href|id|data-[a-z]+|value|datetime|rel|scope|headers|title)="[^"]*"', re.ASCII)
"""Attributes that show on no paper, and those of the foot."""

BY_ITS_OWN_ROOM = {
    ".why[].general": "is taken out before a sheet is made of it",
    ".frame.language": "parts the words; it is in the digest of the looks",
    ".parts[].entries[].link.href": "makes a link of the same words",
    ".groups[].rows[].kind": "is what the code and the chapter say already",
    ".groups[].rows[].chapter": "is the title of the group",
    ".foot_mm": "the paper's, which is in the digest of the looks",
    ".length_mm": "the paper's, which is in the digest of the looks",
    ".points": "is as large as what is printed leaves room for",
}
"""What shows on paper and is in no digest of content, and why that is right."""


SAID_OTHERWISE = {
    ".empty": "is always the same, and stands where there are no parts",
    ".indexes[].empty": "is always the same, and stands where there are no parts",
    ".stamp_root.code": "of another code it is another formula",
    ".table.phases[].rows[].letter": "is the letter of its phase",
    ".table.phases[].rows[].link.code": "of another code it is another formula",
}
"""What is in the digest and not on the leaf, and why it changes nothing but with what is."""


@dataclass(frozen=True, kw_only=True)
class Watched(Bindery):
    """A bindery that keeps what its leaves are made of."""

    seen: list[tuple[Any, str, dict[str, Any]]] = field(default_factory=list)
    """Shown record, template and what else a leaf was made of, in the order of the leaves."""

    def sheet(self, page: object, template: str, **given: Any) -> Sheet:
        self.seen.append((page, template, given))
        return super().sheet(page, template, **given)


@cache
def watched(name: str) -> tuple[Watched, tuple[Sheet, ...]]:
    """Return the bindery of a book and all its leaves, the list of effective sheets last."""
    published = publish(name)
    bindery = Watched(shelf=shelf_of(published.reckoning, published.review, sheets=True), theme=load_theme())
    sheets = leaves_of(bindery)
    rows = [row_of(one, 2, "looks", duplex=True) for one in sheets]
    return bindery, (*sheets, *effective_sheets(bindery, rows))


# ── One place of a record at a time ───────────────────────────────────────────────────────────────────────────────


def altered(value: Any, path: str, often: Counter[str]) -> Iterator[tuple[str, Any, bool]]:
    """Yield the record with one place altered, where that is, and whether words stood there that may be printed."""

    def once(here: str) -> bool:
        often[here] += 1
        return often[here] <= EACH

    match value:
        case Phrase():
            if once(path):
                yield path, value + SIGN, bool(value)
        case Prose():
            if once(path):
                yield path, value + Prose((Paragraph((SIGN,)),)), bool(value)
        case str():
            if once(path if value else f"{path}, empty"):
                yield path, value + SIGN, bool(value)
        case bool():
            if once(path):
                yield path, not value, False
        case int():
            if once(path):
                yield path, value + 1, False
        case tuple():
            for at, one in enumerate(value):
                if once(f"{path}[], one less"):
                    yield f"{path}[], one less", value[:at] + value[at + 1 :], True
                for place, other, words in altered(one, f"{path}[]", often):
                    yield place, (*value[:at], other, *value[at + 1 :]), words
        case _ if is_dataclass(value):
            for one in fields(value):
                for place, other, words in altered(getattr(value, one.name), f"{path}.{one.name}", often):
                    yield place, replace(value, **{one.name: other}), words


def on_paper(html: str, classes: frozenset[str]) -> str:
    """Return what of a leaf shows on paper, whatever its foot: elements, attributes that matter, text."""

    def styled(found: re.Match[str]) -> str:
        return " ".join(name for name in found[1].split() if name in classes)

    body = UNSEEN.sub("", html[html.index("<body") :])
    return re.sub(r'(?<=\sclass=")([^"]*)(?=")', styled, body).replace(' class=""', "")


def test_content_changes_with_what_is_printed_and_with_nothing_else() -> None:
    unnoticed, needless, tried = set(), set(), 0
    often: dict[str, Counter[str]] = {}
    for name in sorted(BOOKS):
        bindery, sheets = watched(name)
        style = sheet_style(bindery.theme, bindery.shelf.book.workroom).css
        selectors = re.sub(r"/\*.*?\*/|\{[^}]*\}", "{}", style, flags=re.DOTALL)
        classes = frozenset(re.findall(r"\.([a-zA-Z][\w-]*)", selectors))
        for (page, template, given), sheet in list(zip(bindery.seen, sheets, strict=True)):
            printed = on_paper(sheet.leaf.html, classes)
            for path, other, words in altered(page, "", often.setdefault(template, Counter())):
                after = Bindery.sheet(bindery, other, template, **given)
                shows, told = on_paper(after.leaf.html, classes) != printed, after.content != sheet.content
                if shows and not told and path not in BY_ITS_OWN_ROOM:
                    unnoticed.add((template, path))
                if told and not shows and words and path not in SAID_OTHERWISE:
                    needless.add((template, path))
                tried += 1
    assert tried > 500
    assert not sorted(unnoticed), "printed, and in no digest of content"
    assert not sorted(needless), "in the digest of content, and not printed"


def test_every_exception_is_a_place_of_some_record() -> None:
    shown = set()
    for name in BOOKS:
        bindery, _ = watched(name)
        for page, _, _ in list(bindery.seen):
            shown |= {path for path, _, _ in altered(page, "", Counter())}
    assert set(BY_ITS_OWN_ROOM) | set(SAID_OTHERWISE) <= shown


def test_heads_are_content_and_the_foot_is_not() -> None:
    bindery, sheets = watched("small")
    for (page, template, given), sheet in zip(list(bindery.seen), sheets, strict=True):
        running = given["running"]
        for name in ("left", "right"):
            other = replace(running, **{name: getattr(running, name) + SIGN})
            assert Bindery.sheet(bindery, page, template, **{**given, "running": other}).content != sheet.content
        foot = {**given, "code": given["code"] + SIGN, "issue": "77", "issued": "2030-01-01", "stamp": SIGN}
        assert Bindery.sheet(bindery, page, template, **foot).content == sheet.content


# ── On the printed sides ──────────────────────────────────────────────────────────────────────────────────────────


def words_of(part: str) -> Iterator[str]:
    """Yield the texts of one part of the digest: HTML by its text nodes; numbers and marks of records are no texts."""
    if part not in ("True", "False", "None") and not part.isdigit():
        yield from html5lib.parseFragment(part, treebuilder="etree").itertext() if re.search("<|&", part) else (part,)


def seen_but_lists(bindery, sheets):
    """Return what each leaf was made of, without the lists of effective sheets: these hold the sides of all others."""
    return [
        (seen, sheet)
        for seen, sheet in zip(bindery.seen, sheets, strict=True)
        if not sheet.leaf.code.startswith("effective-sheets")
    ]


@pytest.mark.parametrize("name", sorted(BOOKS))
def test_all_that_is_in_the_digest_stands_on_the_leaf(name: str, tmp_path_factory) -> None:
    """So that nothing unprinted reissues a leaf."""
    bindery, sheets = watched(name)
    binder = bound(name, tmp_path_factory)
    sides = {leaf[0].code: leaf for leaf in binder.leaves}
    sections = dict(zip((leaf[0].code for leaf in binder.leaves), binder.sections, strict=True))
    missing, looked = set(), 0
    for (page, _, given), sheet in seen_but_lists(bindery, sheets):
        code = sheet.leaf.code
        heads = "".join(binder.painted[side.number].artifacts for side in sides[code])
        printed = bare(binder.words(sections[code]) + heads)
        empty = {index.empty for index in getattr(page, "indexes", [page]) if hasattr(index, "empty")}
        for text in (text for part in printed_parts(given["running"], page) for text in words_of(part)):
            if letters := bare(text.strip("\1\2")):
                looked += 1
                if letters not in printed and text not in empty:
                    missing.add((code, text))
    assert looked > 500
    assert not sorted(missing)


def test_the_digest_is_the_one_that_the_foot_prints(tmp_path_factory) -> None:
    for name in BOOKS:
        bindery, sheets = watched(name)
        checks = {leaf[0].code: leaf[0].check for leaf in bound(name, tmp_path_factory).leaves}
        for (page, _, given), sheet in seen_but_lists(bindery, sheets):
            assert content_of(given["running"], page) == sheet.content
            assert sheet.content.startswith(checks[sheet.leaf.code].replace("-", ""))
