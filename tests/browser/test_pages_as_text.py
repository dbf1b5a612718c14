"""Every page of both sites: clean HTML, links that lead somewhere, headings in order."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from urllib.parse import unquote, urlsplit
from xml.etree.ElementTree import Element

import html5lib
import pytest

from .conftest import BOOKS


@pytest.fixture(scope="module", params=list(BOOKS))
def pages(request, sites) -> dict[Path, Element]:
    """Every page, parsed by the rules of HTML and refused at the first breach."""
    parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
    found = sorted(sites[request.param].rglob("*.html"))
    assert len(found) > 20
    return {path: parser.parse(path.read_bytes()) for path in found}


def test_every_link_and_fragment_leads_somewhere(pages):
    names = {path: {one.get("id") for one in tree.iter() if one.get("id")} for path, tree in pages.items()}
    wrong, walked = [], 0
    for path, tree in pages.items():
        for one in tree.iter():
            address = one.get("href") or one.get("src")
            if address is None or address.startswith("data:"):
                continue
            parts = urlsplit(address)
            if parts.scheme in ("https", "http", "mailto"):
                assert one.tag == "a", f"{path.name} loads {address}"
                continue
            assert not parts.scheme, f"{path.name}: {address}"
            goal = (path.parent / unquote(parts.path)).resolve() if parts.path else path
            walked += 1
            if not goal.is_file():
                wrong.append(f"{path.name}: {address}")
            elif parts.fragment and unquote(parts.fragment) not in names[goal]:
                wrong.append(f"{path.name}: {address} names nothing")
    assert not wrong, "\n".join(wrong)
    assert walked > 3 * len(pages)


def test_every_page_is_reached_from_the_contents(pages):
    root = min(pages, key=lambda path: len(path.parts) * 1000 + (path.name != "index.html"))
    assert root.name == "index.html"
    waiting, seen = [root], {root}
    for path in waiting:
        for one in pages[path].iter("a"):
            parts = urlsplit(one.get("href", ""))
            goal = (path.parent / unquote(parts.path)).resolve()
            if not parts.scheme and goal in pages and goal not in seen:
                seen.add(goal)
                waiting.append(goal)
    assert seen == set(pages)


def test_identifiers_are_unique(pages):
    for path, tree in pages.items():
        found = [one.get("id") for one in tree.iter() if one.get("id")]
        assert len(found) == len(set(found)), path.name


def test_each_page_has_its_language_title_and_one_first_heading(pages):
    titles = []
    for path, tree in pages.items():
        assert tree.get("lang"), path.name
        titles.append(tree.findtext("head/title"))
        assert titles[-1], path.name
        assert len(list(tree.iter("h1"))) == 1, path.name
        viewport = [one.get("content") for one in tree.iter("meta") if one.get("name") == "viewport"]
        assert viewport == ["width=device-width, initial-scale=1"], path.name
        assert len(list(tree.iter("main"))) == 1, path.name
    assert len(set(titles)) == len(titles)


def test_headings_descend_one_step_at_a_time(pages):
    for path, tree in pages.items():
        levels = [int(one.tag[1]) for one in tree.iter() if one.tag in ("h1", "h2", "h3", "h4", "h5", "h6")]
        assert levels[0] == 1, path.name
        assert all(after - before <= 1 for before, after in pairwise(levels)), path.name


def test_tables_name_their_rows_and_columns(pages):
    for path, tree in pages.items():
        for table in tree.iter("table"):
            heads = {id(cell) for head in table.iter("thead") for cell in head.iter("th")}
            assert all(cell.get("scope") or id(cell) in heads for cell in table.iter("th")), path.name
            widths, reaching = set[int](), list[int]()
            for row in table.iter("tr"):
                cells = [cell for cell in row if cell.tag in ("td", "th")]
                widths.add(len(reaching) + sum(int(cell.get("colspan", "1")) for cell in cells))
                reaching = [left - 1 for left in reaching if left > 1]
                reaching += [int(cell.get("rowspan", "1")) - 1 for cell in cells if cell.get("rowspan", "1") != "1"]
            assert len(widths) == 1, f"{path.name}: rows of {widths} columns"


def test_a_page_carries_all_it_needs_but_its_type(pages):
    """A formula page sent to a phone works alone: style and script are inline; the search alone loads its terms."""
    for path, tree in pages.items():
        assert not [one for one in tree.iter("link") if one.get("rel") == "stylesheet"], path.name
        loaded = [one.get("src") for one in tree.iter("script") if one.get("src")]
        assert loaded == (["search-terms.js"] if path.name == "search.html" else []), path.name
        assert list(tree.iter("style")), path.name
