"""Themes: the built-in one, a book's own files in front of it, and type for the sheets."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from bookgen.binder import faces, sheet_style
from bookgen.leaf import END
from bookgen.look import ThemeFault, ThemeNotFound, load_theme
from bookgen.look.themes import small as small_css
from bookgen.model import Paper
from bookgen.pages import site_files
from bookgen.show import THIN
from bookgen.shown.material import material_shown
from bookgen.shown.shelf import shelf_of

from .conftest import HTML, STYLE, Published, leaves, parse


def test_a_book_overrides_one_template(small: Published, tmp_path: Path) -> None:
    own = tmp_path / "themes" / "workroom" / "pages"
    own.mkdir(parents=True)
    (own / "material.html").write_text(
        '{% extends "pages/base.html" %}{% block main %}<h1>Mine: {{ page.name }}</h1>{% endblock %}'
    )
    files = site_files(small.reckoning, small.review, load_theme(tmp_path), named=True)
    assert f"<h1>Mine: lye 10{THIN}%</h1>" in files["materials/lye.html"].decode()
    other = "formulas/C-2.html"
    assert without_style_and_scripts(files[other]) == without_style_and_scripts(small.site[other])


def without_style_and_scripts(page: bytes) -> str:
    """Return a page without what is shorter where a book has no theme of its own, and the policy that names it."""
    html = STYLE.sub("", page.decode())
    return re.sub(r"'sha256-[^']*'", "", re.sub(r"<script>.*?</script>", "", html, flags=re.DOTALL))


def test_a_page_encoded_in_pieces_is_the_page_encoded_as_one(
    small: Published, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    own = tmp_path / "themes" / "workroom" / "pages"
    own.mkdir(parents=True)
    (own / "material.html").write_text(
        "{% for one in range(9) %}{{ '' }}{{ page.name }}{{ one }}{% endfor %}", encoding="utf-8"
    )
    theme, page = load_theme(tmp_path), material_shown("lye", shelf_of(small.reckoning, small.review), str)
    for count in (1, 2, 7, 10_000):
        monkeypatch.setattr("bookgen.look.themes.PIECES", count)
        made = theme.render_bytes("pages/material.html", page=page)
        assert made.decode() == theme.render("pages/material.html", page=page)
        assert made.decode() == "".join(f"lye 10{THIN}%{one}" for one in range(9))


def test_a_template_of_another_name_is_for_one_that_takes_it_in(small: Published, tmp_path: Path) -> None:
    """What nothing takes in would change nothing, and nobody would know."""
    own = tmp_path / "themes" / "workroom" / "pages"
    own.mkdir(parents=True)
    (own / "jar.html").write_text("<h1>Jar: {{ page.name }}</h1>")
    with pytest.raises(ThemeFault, match=r"pages/jar\.html: nothing is made with a template of this name\."):
        load_theme(tmp_path)
    for name in ('"pages/jar.html"', '"pages/" ~ "jar" ~ ".html"'):
        (own / "material.html").write_text(
            f'{{% extends "pages/base.html" %}}{{% block main %}}{{% include {name} %}}{{% endblock %}}'
        )
        assert b"<h1>Jar: " in site_files(small.reckoning, small.review, load_theme(tmp_path))["materials/lye.html"]


def test_a_book_overrides_the_style_and_a_font(small: Published, tmp_path: Path) -> None:
    own = tmp_path / "themes" / "workroom"
    (own / "style").mkdir(parents=True)
    (own / "fonts").mkdir()
    (own / "sheets").mkdir()
    (own / "style" / "page.css").write_text("p { color: olive; }")
    (own / "fonts" / "serif.woff2").write_bytes(b"mine")
    (own / "sheets" / "a5.css").write_text("@page { size: A6; }")
    theme = load_theme(tmp_path)
    files = site_files(small.reckoning, small.review, theme, named=True)
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
    with pytest.raises(ThemeFault, match=r"pages/contents\.html, line 1: nothing here is called `chapterz`"):
        dict(site_files(small.reckoning, small.review, load_theme(tmp_path), named=True))


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
    singles = leaves(reckoning, small.review, load_theme())
    for single in singles:
        assert "@counter-style" not in single.html
        assert END not in single.html
    for both in small.leaves:
        assert "@counter-style sheet" in both.html
        assert parse(both.html).find(f"{HTML}body")[-1].get("id") == END
    # A sheet printed on one side has room for fewer materials; whatever else is printed is the same leaves.
    assert [leaf.code for leaf in singles if not leaf.holds] == [leaf.code for leaf in small.leaves if not leaf.holds]
    assert [held for leaf in singles for held in leaf.holds] == [held for leaf in small.leaves for held in leaf.holds]
    assert sum(bool(leaf.holds) for leaf in singles) > sum(bool(leaf.holds) for leaf in small.leaves)


def test_style_sheets_lose_comments_and_space_only() -> None:
    css = (
        "/* ink */\na:hover { color: red ; margin: 0 auto; }\n@media (width > 9px) { p > b { top: calc(1px + 2px); } }"
    )
    assert small_css(css) == "a:hover{color:red;margin:0 auto}@media (width>9px){p>b{top:calc(1px + 2px)}}"


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
