"""What one process prints with one setting: the same whatever came before, its type as asked for, and odd leaves."""

from __future__ import annotations

import base64
import errno
import io
import os
import subprocess
import sys
import tempfile
import textwrap
import tomllib
from collections.abc import Callable
from dataclasses import replace
from functools import cache, partial
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont, woff2
from PIL import Image
from pypdf import PdfReader

from bookgen.leaf import Face, Leaf, Style
from bookgen.press import cache as caches
from bookgen.press import cuts, render
from bookgen.press.bind import bind
from bookgen.press.cache import Cache
from bookgen.press.setting import MADE_FOR, Setting
from tests.press.conftest import sheet
from tests.press.reading import check_structure


def leaf(body: str, code: str = "X-1") -> Leaf:
    html = f'<html lang="en"><head><title>x</title></head><body>{body}</body></html>'
    return Leaf(code=code, title="x", chapter="", html=html)


def setting(style: Style) -> Setting:
    return Setting(style, [cuts.cut(face) for face in style.faces])


# ── One after the other ───────────────────────────────────────────────────────────────────────────────────────────


def test_a_leaf_is_the_same_whatever_was_printed_before(leaves, pieces, style):
    one = setting(style)
    backwards = {leaf.code: one.print(leaf) for leaf in reversed(leaves)}
    again = {leaf.code: one.print(leaf) for leaf in leaves[::2]}
    for piece in pieces:
        assert backwards[piece.code].pdf == piece.pdf
        assert again.get(piece.code, backwards[piece.code]).pdf == piece.pdf
    assert setting(style).print(leaves[7]).pdf == pieces[7].pdf


def test_three_processes_make_the_same_bytes_as_one(leaves, pieces, style):
    assert render.render_all(leaves, style, workers=3) == pieces


def test_a_press_that_is_kept_prints_the_same_in_a_second_go(leaves, pieces, style, monkeypatch):
    with render.Press(style, workers=2) as press:
        first = press.print(leaves[1:])
        # Not in this process: those that are there already do it.
        monkeypatch.setattr(render, "Setting", None)
        assert press.print(leaves[:1]) + first == pieces
        assert press.print(()) == ()


def test_type_of_a_leafs_own_stays_with_it(style):
    def own(face: Face) -> Leaf:
        font = base64.b64encode(cuts.cut(face)).decode()
        rule = f'@font-face {{ font-family: Own; src: url("data:font/ttf;base64,{font}") }}'
        return leaf(f"<style>{rule}</style><p style='font-family: Own'>Plain words")

    serif, sans = own(style.faces[0]), own(style.faces[4])
    one = setting(style)
    first, second = one.print(serif), one.print(sans)
    assert first.pdf != second.pdf
    assert [printed.problems for printed in (first, second)] == [(), ()]
    assert setting(style).print(sans) == second
    assert one.print(serif) == first


def test_a_counter_style_may_stand_in_the_style_and_a_leaf_may_have_its_own():
    css = "@counter-style sign { system: cyclic; symbols: 'eye'; suffix: ' ' } ol { list-style: sign }"
    one = setting(Style(css=css))
    first = one.print(leaf("<ol><li>first</ol>"))
    changed = one.print(leaf("<style>@counter-style sign { system: cyclic; symbols: 'ear' }</style><ol><li>a</ol>"))
    assert "eye" in PdfReader(io.BytesIO(first.pdf)).pages[0].extract_text()
    assert "ear" in PdfReader(io.BytesIO(changed.pdf)).pages[0].extract_text()
    assert one.print(leaf("<ol><li>first</ol>")) == first


def test_nothing_is_left_in_the_temporary_folder(leaves, style, tmp_path, monkeypatch):
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    render.render_all(leaves, style, workers=2)
    assert list(tmp_path.iterdir()) == []
    with render.Press(style) as press:
        press.print(leaves[:1])
        assert list(tmp_path.iterdir()) != []
    assert list(tmp_path.iterdir()) == []


# ── No room ───────────────────────────────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize("count", [1, 12])
def test_no_temporary_folder_is_said_in_a_sentence(leaves, style, tmp_path, monkeypatch, count):
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "gone"))
    with pytest.raises(render.PressFailed, match=r"^The press cannot write .*gone.*: No such file or directory\.$"):
        render.render_all(leaves[:count], style, workers=2)


def test_a_cache_on_a_full_disk_is_no_error_and_leaves_nothing_behind(style, tmp_path, monkeypatch):
    class Full(io.BytesIO):
        def write(self, _: object) -> int:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    def full(handle: int, _: str) -> Full:
        os.close(handle)
        return Full()

    good = render.render(sheet(1), style)
    monkeypatch.setattr(caches.os, "fdopen", full)
    assert render.render(sheet(1), style, cache=Cache(folder=tmp_path)) == good
    assert [one for one in tmp_path.rglob("*") if one.is_file()] == []


# ── Type ──────────────────────────────────────────────────────────────────────────────────────────────────────────


def fails(file: object, sentence: str) -> None:
    with pytest.raises(render.PressFailed, match=sentence):
        render.render(leaf("<p>x"), Style(faces=(Face(family="Bad", file=file),)))  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def packed(style) -> Callable[[str], bytes]:
    """Packs the serif, each form once; WOFF2 loosely, as packing it tight takes as long as printing thirty leaves."""

    @cache
    def by_ending(ending: str) -> bytes:
        font, out = TTFont(style.faces[0].file, recalcTimestamp=False), io.BytesIO()
        font.flavor = None if ending == "ttf" else ending
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(woff2.brotli, "compress", partial(woff2.brotli.compress, quality=1))
            font.save(out)
        return out.getvalue()

    return by_ending


@pytest.mark.parametrize("ending", ["ttf", "woff2", "woff"])
def test_a_font_that_is_damaged_is_named_and_no_other_stands_in_for_it(packed, tmp_path, ending):
    raw = packed(ending)
    bad = tmp_path / f"letters.{ending}"
    for length in (4, 40, len(raw) // 2, len(raw) - 400):
        bad.write_bytes(raw[:length])
        fails(bad, rf"^letters\.{ending} is damaged or cut short\.$")
    bad.write_bytes(raw)
    piece = render.render(leaf("<p>whole"), Style(css="p { font-family: Bad }", faces=(Face(family="Bad", file=bad),)))
    assert piece.problems == ()


def test_a_font_without_what_it_needs_and_a_collection_are_named(style, tmp_path):
    for tag in ("cmap", "head", "glyf", "hmtx"):
        raw = style.faces[0].file.read_bytes()
        at = raw.index(tag.encode(), 12)
        bad = tmp_path / "bare.ttf"
        bad.write_bytes(raw[:at] + b"zzzz" + raw[at + 4 :])
        fails(bad, r"^bare\.ttf is damaged or cut short\.$")
    bad = tmp_path / "all.ttc"
    bad.write_bytes(b"ttcf" + bytes(100))
    fails(bad, r"^all\.ttc holds several fonts; name a file that holds one\.$")


def test_a_packed_font_is_set_like_a_plain_one(packed, style, tmp_path):
    (tmp_path / "serif.woff2").write_bytes(packed("woff2"))
    files = (tmp_path / "serif.woff2", style.faces[1].file)
    made = [TTFont(io.BytesIO(cuts.cut(replace(style.faces[1], file=file)))) for file in files]
    assert all("fvar" not in one for one in made)
    names = made[0].getGlyphOrder()
    assert [made[0]["glyf"][name] for name in names[:200]] == [made[1]["glyf"][name] for name in names[:200]]


def test_a_character_that_the_type_lacks_is_told_with_what_stands_in_for_it(style):
    known = render.render(leaf("<p>Fiat Ω ½ °C × ≈ −"), style)
    assert known.problems == ()
    for rare in "☃ᚠ":
        [told] = render.render(leaf(f"<p>one {rare} two"), style).problems
        assert f"(U+{ord(rare):04X})" in told.sentence
        assert "which another machine may not have" in told.sentence or "an empty box is printed" in told.sentence
    other = render.render(leaf('<p style="font-family: No Such Type">words'), style)
    assert any("The book's type has no letters for" in one.sentence for one in other.problems)
    assert render.render(leaf("<p>words"), Style()).problems == ()


# ── Odd leaves ────────────────────────────────────────────────────────────────────────────────────────────────────


def picture(width: int, height: int) -> str:
    out = io.BytesIO()
    Image.new("L", (width, height), 128).save(out, "PNG")
    return f'<img alt="grey" src="data:image/png;base64,{base64.b64encode(out.getvalue()).decode()}">'


@pytest.mark.parametrize(
    ("body", "words", "off"),
    [
        (f"<p>before</p>{picture(4000, 9000)}<p>after</p>", ["before", "after"], "a picture"),
        ("<p>before " + "x" * 6000 + " after</p>", ["before", "after"], f"“{'x' * 40}…”"),
        ("<table><tr><td>" + "y" * 3000 + "</td><td>beside</td></tr></table>", ["beside"], "“beside”"),
        ("", [], ""),
        ("<p> </p><div></div>", [], ""),
    ],
    ids=["a picture larger than the page", "a word without end", "one in a table", "nothing", "next to nothing"],
)
def test_an_odd_leaf_makes_a_right_document(style, tmp_path, body, words, off):
    piece = render.render(leaf(body), style)
    assert len(piece.problems) == bool(off)
    assert all(f"{off} runs " in one.sentence and " edge of the paper" in one.sentence for one in piece.problems)
    assert 1 <= piece.pages < 8
    binder = bind([piece, replace(piece, code="X-2")], title="B", lang="en", duplex=True)
    text = "".join(page.extract_text() for page in PdfReader(io.BytesIO(binder.pdf), strict=True).pages)
    assert all(word in text for word in words)
    check_structure(binder.pdf)
    path = tmp_path / "b.pdf"
    path.write_bytes(binder.pdf)
    assert subprocess.run(["qpdf", "--check", path], capture_output=True).returncode == 0


PAPER = (
    "@page { size: 100mm 80mm; margin: 10mm } body { margin: 0 } p { margin: 0; font-size: 10pt; white-space: nowrap }"
)


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ("<p>words</p>", []),
        ("<p style='margin-left: 82mm'>over the margin</p>", ["“over the margin” runs"]),
        ("<p style='margin-left: 70mm; width: 19mm; white-space: normal'>up to the very edge</p>", []),
        ("<p style='margin-left: 70mm; width: 19mm; overflow: hidden'>cut off on purpose, by its own box</p>", []),
        ("<p style='margin-left: -12mm'>left</p>", ["“left” runs 2.0 mm off the left edge"]),
        ("<p style='margin-top: -11mm'>up</p>", ["“up” runs 1.0 mm off the upper edge"]),
        (
            "<p>one</p><p style='break-before: page; margin-left: 88mm'>two of these</p>",
            ["Side 2: “two of these” runs"],
        ),
        ("<p style='position: relative; top: 68mm'>down</p>", ["“down” runs"]),
        ("<p style='transform: rotate(90deg)'>turned along the edge of the side, and read from there on</p>", []),
    ],
)
def test_what_runs_off_the_paper_is_told(body, said):
    problems = render.render(leaf(body), Style(css=PAPER)).problems
    assert len(problems) == len(said)
    for problem, words in zip(problems, said, strict=True):
        assert (problem.code, words in problem.sentence) == ("X-1", True), problem
        assert problem.sentence.endswith(" of the paper and is not printed whole.")


def test_an_engine_that_stumbles_is_told_with_the_sheet(monkeypatch):
    def stumble(*_: object, **__: object) -> None:
        raise AssertionError("no box here")

    monkeypatch.setattr("weasyprint.HTML.render", stumble)
    with pytest.raises(render.PressFailed) as told:
        render.render(leaf("<p>words"), Style())
    assert str(told.value) == (
        "Sheet X-1 cannot be set: the layout engine stops (AssertionError: no box here); look at what its template and "
        "the style of the sheets ask for."
    )


def test_another_engine_than_the_press_is_made_for_is_named(monkeypatch):
    """A later version may have moved what the press takes hold of."""
    monkeypatch.setattr("weasyprint.__version__", "71.0")
    monkeypatch.setattr("weasyprint.HTML.render", lambda *_, **__: object())
    with pytest.raises(render.PressFailed, match=r"^WeasyPrint 71\.0 lays out .* from 70 up and below 71\.$"):
        render.render(leaf("<p>words"), Style())


def test_a_picture_that_two_leaves_have_is_kept_once(style):
    one = render.render(leaf(picture(400, 300)), style)
    two = render.render(leaf(f"<p>words</p>{picture(400, 300)}", "X-2"), style)
    found = PdfReader(io.BytesIO(bind([one, two], title="B", lang="en").pdf))
    places = {
        page["/Resources"]["/XObject"].raw_get(name).idnum
        for page in found.pages
        for name in page["/Resources"]["/XObject"]
    }
    assert len(places) == 1


def test_a_leaf_that_is_no_html_is_printed_as_words_and_told(style):
    piece = render.render(Leaf(code="X-1", title="x", chapter="", html=""), style)
    assert piece.pages == 1
    assert any("lang" in problem.sentence for problem in piece.problems)


# ── What is not installed ─────────────────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize("count", [1, 20], ids=["in this process", "in processes of their own"])
def test_without_pango_a_real_run_says_what_to_install(tmp_path, count):
    lacking = tmp_path / "lacking" / "weasyprint"
    lacking.mkdir(parents=True)
    (lacking / "__init__.py").write_text("raise OSError(\"cannot load library 'libpango-1.0-0'\")\n")
    script = tmp_path / "run.py"
    script.write_text(
        textwrap.dedent(f"""
        import sys
        from bookgen.leaf import Leaf, Style
        from bookgen.press.render import PressUnavailable, render_all
        if __name__ == "__main__":
            leaves = [Leaf(code=str(n), title="x", chapter="", html="<html lang=en><p>x") for n in range({count})]
            try:
                render_all(leaves, Style(), workers=2)
            except PressUnavailable as reason:
                sys.exit(str(reason))
        """)
    )
    path = os.pathsep.join((str(lacking.parent), str(Path(render.__file__).parents[2])))
    run = subprocess.run(
        [sys.executable, str(script)], capture_output=True, text=True, env={**os.environ, "PYTHONPATH": path}
    )
    assert run.returncode == 1
    assert run.stderr.startswith("Nothing can be printed: the Pango library is missing. On Debian: apt-get")
    assert "Traceback" not in run.stderr


def test_spaces_and_hyphens_read_as_they_are_typed(style):
    """Each pair shares a glyph, and the first of the two that is met on the leaf would name it."""
    printed = render.render(leaf("<p>No\u00a0space, C\u201010 and C\u201112; then C-11 and a space."), style)
    text = PdfReader(io.BytesIO(printed.pdf)).pages[0].extract_text()
    assert "No space, C-10 and C-12; then C-11 and a space." in text


def test_a_cut_has_its_mark_where_a_font_says_when_it_was_made(style):
    marks = {cuts.mark_of(cuts.cut(face)) for face in style.faces}
    assert len(marks) == len(style.faces)
    for face in style.faces:
        made = cuts.cut(face)
        assert cuts.cut(face) == made
        # Seconds from 1904: from 1970, before which fontTools takes none for what it is, to 1989.
        assert 0x7C259DC0 < TTFont(io.BytesIO(made))["head"].created < 0xA0000000
        assert cuts.mark_of(cuts.part(made, [40, 41])) == cuts.mark_of(made)


def test_no_other_engine_is_installed_than_the_press_is_made_for():
    wanted = tomllib.loads((Path(__file__).parents[2] / "pyproject.toml").read_text(encoding="utf-8"))["project"][
        "dependencies"
    ]
    assert [one for one in wanted if one.startswith("weasyprint")] == [f"weasyprint>={MADE_FOR}.0,<{MADE_FOR + 1}"]
