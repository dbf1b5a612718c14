"""Themes: the built-in one, a book's own files in front of it, and type for the sheets."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO
from pathlib import Path

import jinja2
import pikepdf
import pytest
from pypdf import PdfReader

from bookgen.model import Paper
from bookgen.pages import ThemeNotFound, faces, leaves, load_theme, sheet_style, site_files
from bookgen.pages.themes import small as small_css
from bookgen.press.render import render
from bookgen.reckon.figures import reckon
from bookgen.review import review
from bookgen.source import book_from

from .conftest import HERE, Published
from .ink import ink


def test_a_book_overrides_one_template(small: Published, tmp_path: Path) -> None:
    own = tmp_path / "themes" / "workroom" / "pages"
    own.mkdir(parents=True)
    (own / "material.html").write_text(
        '{% extends "pages/base.html" %}{% block main %}<h1>Mine: {{ page.name }}</h1>{% endblock %}'
    )
    files = site_files(small.reckoning, small.review, load_theme(tmp_path))
    assert b"<h1>Mine: lye 10 %</h1>" in files["materials/lye.html"]
    assert files["formulas/C-2.html"] == small.site["formulas/C-2.html"]


def test_a_book_overrides_the_style_and_a_font(small: Published, tmp_path: Path) -> None:
    own = tmp_path / "themes" / "workroom"
    (own / "style").mkdir(parents=True)
    (own / "fonts").mkdir()
    (own / "sheets").mkdir()
    (own / "style" / "page.css").write_text("p { color: olive; }")
    (own / "fonts" / "serif.woff2").write_bytes(b"mine")
    (own / "sheets" / "a5.css").write_text("@page { size: A6; }")
    theme = load_theme(tmp_path)
    files = site_files(small.reckoning, small.review, theme)
    assert b"p{color:olive}" in files["index.html"]
    assert files["fonts/serif.woff2"] == b"mine"
    assert files["fonts/sans.woff2"] == small.site["fonts/sans.woff2"]
    assert "size: A6" in sheet_style(theme, small.book.workroom).css


def test_a_theme_of_the_books_own(tmp_path: Path) -> None:
    (tmp_path / "themes" / "plain" / "pages").mkdir(parents=True)
    assert load_theme(tmp_path, "plain").layers == (tmp_path / "themes" / "plain",)
    with pytest.raises(ThemeNotFound, match="there is no theme called rococo"):
        load_theme(tmp_path, "rococo")


def test_a_misspelt_name_in_a_template_is_an_error(small: Published, tmp_path: Path) -> None:
    own = tmp_path / "themes" / "workroom" / "pages"
    own.mkdir(parents=True)
    (own / "contents.html").write_text("{{ page.chapterz }}")
    with pytest.raises(jinja2.UndefinedError, match="chapterz"):
        dict(site_files(small.reckoning, small.review, load_theme(tmp_path)))


def test_cuts_of_type_for_the_sheets() -> None:
    found = faces(load_theme())
    assert {(one.family, one.weight, one.slope) for one in found} >= {
        ("Workroom Serif", 400, "normal"),
        ("Workroom Serif", 400, "italic"),
        ("Workroom Sans", 400, "normal"),
        ("Workroom Sans", 700, "normal"),
    }
    assert all(one.file.is_file() for one in found)


@pytest.mark.parametrize(
    ("paper", "duplex", "has", "lacks"),
    [
        (Paper.A4, True, ("210mm 297mm", ":left", "counter(page, side)"), ("148mm",)),
        (Paper.A5, False, ("148mm 210mm", 'counter(page) " of "'), (":left", "counter(page, side)")),
    ],
)
def test_paper_and_sides(
    small: Published, paper: Paper, duplex: bool, has: tuple[str, ...], lacks: tuple[str, ...]
) -> None:
    css = sheet_style(load_theme(), replace(small.book.workroom, paper=paper, duplex=duplex)).css
    for text in has:
        assert text in css
    for text in lacks:
        assert text not in css


def test_sides_are_counted_as_sheets_only_when_printed_on_both(small: Published) -> None:
    book = replace(small.book, workroom=replace(small.book.workroom, duplex=False))
    reckoning = replace(small.reckoning, book=book)
    single = next(iter(leaves(reckoning, small.review, load_theme())))
    assert "@counter-style" not in single.html
    assert "@counter-style sheet" in small.leaves[0].html


def test_style_sheets_lose_comments_and_space_only() -> None:
    css = (
        "/* ink */\na:hover { color: red ; margin: 0 auto; }\n@media (width > 9px) { p > b { top: calc(1px + 2px); } }"
    )
    assert small_css(css) == "a:hover{color:red;margin:0 auto}@media (width>9px){p>b{top:calc(1px + 2px)}}"


def test_a_sheet_on_paper(small: Published, tmp_path: Path) -> None:
    """Set by the press: nothing lost, every letter embedded, sides numbered as sheets."""
    style = sheet_style(load_theme(), small.book.workroom)
    piece = render(next(one for one in small.leaves if one.code == "C-2"), style)
    assert piece.problems == ()
    reader = PdfReader(BytesIO(piece.pdf))
    assert len(reader.pages) >= 2
    for number, page in enumerate(reader.pages):
        text = page.extract_text()
        assert "C-2 · issue 1 · 2026-03-01" in text
        assert f"sheet {number // 2 + 1} of {(len(reader.pages) + 1) // 2}" in text
        assert ("front", "back")[number % 2] in text
        assert "Cold cream" in text
        for font in page["/Resources"]["/Font"].values():
            inner = font.get_object().get("/DescendantFonts", [font])[0].get_object()["/FontDescriptor"]
            assert {"/FontFile2", "/FontFile3"} & set(inner.get_object())


@pytest.mark.parametrize(("paper", "width", "zone"), [(Paper.A5, 148, 17), (Paper.A4, 210, 18)], ids=["A5", "A4"])
@pytest.mark.parametrize("duplex", [True, False], ids=["both sides", "one side"])
def test_no_ink_where_the_holes_are(paper: Paper, width: int, zone: int, duplex: bool) -> None:
    """Holes stand within 12 mm of the inner edge (ISO 838), which is the right one of a back.

    The longest leaf of the small book, as it is and with names and a title far too long for the page.
    """
    files = {path.relative_to(HERE / "book").as_posix(): path.read_bytes() for path in (HERE / "book").rglob("*.*")}
    stretched = files | {
        "formulas/creams/cold-cream.md": files["formulas/creams/cold-cream.md"].replace(b"Cold cream", b"Cold" * 70),
        "formulas/materials/wax.md": files["formulas/materials/wax.md"].replace(b"name: ", b"name: " + b"wax" * 30),
    }
    for content in (files, stretched):
        book = book_from(content)
        book = replace(book, workroom=replace(book.workroom, paper=paper, duplex=duplex))
        reckoning = reckon(book)
        leaf = next(one for one in leaves(reckoning, review(reckoning), load_theme()) if one.code == "C-2")
        piece = render(leaf, sheet_style(load_theme(), book.workroom))
        assert piece.problems == ()
        with pikepdf.open(BytesIO(piece.pdf)) as pdf:
            sides = [list(ink(page)) for page in pdf.pages]
        assert len(sides) >= 2
        for number, runs in enumerate(sides):
            left, right = min(start for start, _ in runs), max(end for _, end in runs)
            back = duplex and number % 2 == 1
            assert left >= (6 if back else zone)
            assert right <= width - (zone if back else 6)


NEITHER = "a template literal inside another: the library that leaves space out drops spaces there"


def nested_templates(script: str) -> list[int]:
    """Return the lines on which a template literal stands in another; strings, comments and patterns are skipped."""
    found, stack, at, before = [], ["code"], 0, ""
    while at < len(script):
        sign, two = script[at], script[at : at + 2]
        if stack[-1] == "template":
            if two == "${":
                stack.append("code in template")
                at += 1
            elif sign == "`":
                stack.pop()
            at += 2 if sign == "\\" else 1
            continue
        if two in ("//", "/*"):
            at = script.index("\n" if two == "//" else "*/", at + 2) + (1 if two == "//" else 2)
            continue
        if sign in "\"'" or (sign == "/" and before in "(,=:[!&|?{};"):
            end, group = at + 1, False
            while script[end] != sign or group:
                group = sign == "/" and (script[end] == "[" or (group and script[end] != "]"))
                end += 2 if script[end] == "\\" else 1
            at = end
        elif sign == "`":
            if "template" in stack:
                found.append(script.count("\n", 0, at) + 1)
            stack.append("template")
        elif sign == "{":
            stack.append("code")
        elif sign == "}":
            stack.pop()
        before = before if sign.isspace() else sign
        at += 1
    return found


def test_the_scanner_sees_nested_templates() -> None:
    assert nested_templates("let a = `x ${b ? `y` : 1} z`;\n") == [1]
    assert nested_templates("let a = `x ${b({c: 1})}` + `y`; // `\nlet d = /`[/`]/, e = '`';\n") == []


def test_no_script_nests_template_literals() -> None:
    scripts = load_theme().files("script", ".js")
    assert len(scripts) > 8
    nested = {name: lines for name, path in scripts.items() if (lines := nested_templates(path.read_text()))}
    assert not nested, NEITHER
