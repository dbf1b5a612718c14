"""The end of a leaf: sides that are blank on purpose, and the page after them that is not printed."""

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader

from bookgen.leaf import END, Leaf, Style
from bookgen.press import render
from bookgen.press.bind import bind
from bookgen.press.cache import Cache

CSS = """
@page { size: A5; margin: 15mm; @bottom-left { content: "sheet " counter(page) } }
@page :blank { @top-left { content: "This side is blank on purpose" } }
#end-of-leaf { break-before: right }
.turn { break-before: page }
"""
MARK = f'<div id="{END}"></div>'


def leaf(code: str, body: str, *, end: str = MARK) -> Leaf:
    html = f'<html lang="en"><head><title>{code}</title></head><body><article>{body}</article>{end}</body></html>'
    return Leaf(code=code, title=code, chapter="", html=html)


ONE = leaf("L-1", "<h1>One side</h1><p>words <a href='#more'>on</a></p><p id=more>more</p>")
TWO = leaf("L-2", "<h1>Two sides</h1><p>front</p><p class=turn>back <a href='sheet:L-1'>one</a></p>")
THREE = leaf("L-3", "<h1>Three sides</h1><p>front</p><p class=turn>back</p><p class=turn>third</p>")


def test_the_page_with_the_end_alone_is_not_printed_and_blank_sides_say_so():
    pieces = render.render_all((ONE, TWO, THREE), Style(css=CSS))
    assert [piece.pages for piece in pieces] == [2, 2, 4]
    texts = [[page.extract_text() for page in PdfReader(io.BytesIO(piece.pdf)).pages] for piece in pieces]
    assert [len(found) for found in texts] == [2, 2, 4]
    blank = "This side is blank on purpose"
    assert [[blank in text for text in found] for found in texts] == [
        [False, True],
        [False, False],
        [False, False, False, True],
    ]
    assert "back" in texts[1][1]
    assert [piece.problems for piece in pieces] == [(), (), ()]


def test_nothing_of_that_page_is_left_in_the_document():
    pieces = render.render_all((ONE, TWO, THREE), Style(css=CSS))
    for piece in pieces:
        found = PdfReader(io.BytesIO(piece.pdf), strict=True)
        root = found.trailer["/Root"]
        assert END not in "".join(found.named_destinations)
        assert END.encode() not in piece.pdf
        pages = {page.indirect_reference.idnum for page in found.pages}
        keys = root["/StructTreeRoot"]["/ParentTree"]["/Nums"][::2]
        assert [key for key in keys if key < piece.pages] == [page["/StructParents"] for page in found.pages]
        for number in range(1, int(found.trailer["/Size"])):
            thing = found.get_object(number)
            if isinstance(thing, dict) and thing.get("/Type") == "/Page":
                assert thing.indirect_reference.idnum in pages
            if isinstance(thing, dict) and "/Pg" in thing:
                assert thing.raw_get("/Pg").idnum in pages


def test_the_end_on_a_page_with_words_or_a_picture_costs_nothing():
    for tail in ("<p>words after the end</p>", '<svg width="9" height="9"><title>s</title><rect/></svg>'):
        [piece] = render.render_all((leaf("L-1", "<p>front</p>", end=MARK + tail),), Style(css=CSS))
        assert piece.pages == 3
    single = Style(css=CSS.replace("break-before: right", "break-before: auto"))
    assert [piece.pages for piece in render.render_all((ONE, TWO, THREE), single)] == [1, 2, 3]
    [piece] = render.render_all((leaf("L-1", "", end=MARK),), single)
    assert piece.pages == 1


def test_the_count_of_sides_is_kept_with_the_leaf(tmp_path, monkeypatch):
    cache = Cache(folder=tmp_path)
    first = render.render_all((ONE, THREE), Style(css=CSS), cache=cache)
    monkeypatch.setattr(render.Setting, "print", None)
    assert render.render_all((ONE, THREE), Style(css=CSS), cache=cache) == first


@pytest.mark.parametrize("end", [MARK, ""])
def test_a_duplex_binder_has_whole_sheets_with_and_without_the_end(end):
    leaves = tuple(leaf(one.code, one.html.replace(MARK, ""), end=end) for one in (ONE, TWO, THREE))
    pieces = render.render_all(leaves, Style(css=CSS))
    bound = bind(pieces, title="B", lang="en", duplex=True)
    assert bound.first_page == {"L-1": 1, "L-2": 3, "L-3": 5}
    assert bound.pages == (8 if end else 7)
