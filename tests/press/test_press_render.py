"""Single leaves as printed, read back with pypdf, which shares no code with what made them."""

from __future__ import annotations

import base64
import io
import os
import pickle
import re
import signal
import subprocess
import sys
import textwrap
import threading
import time
from dataclasses import replace
from http.server import BaseHTTPRequestHandler, HTTPServer
from multiprocessing import active_children
from pathlib import Path
from typing import ClassVar

import pytest
from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont
from fontTools.varLib.instancer import instantiateVariableFont
from pypdf import PdfReader

from bookgen.leaf import Face, Leaf, Style
from bookgen.press import cuts, render, setting
from bookgen.press.cache import Cache, cache_folder
from bookgen.press.piece import PrintedLeaf, digest_leaf, digest_style
from tests.press.conftest import sheet

PIXEL = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg=="
)


def page(body: str) -> Leaf:
    """A leaf with this body."""
    html = f'<html lang="en"><head><title>x</title></head><body>{body}</body></html>'
    return Leaf(code="X-1", title="x", chapter="", html=html)


def read(piece: PrintedLeaf) -> PdfReader:
    return PdfReader(io.BytesIO(piece.pdf))


def test_a_leaf_has_its_text_its_size_its_language_and_its_own_count_of_pages(pieces):
    found = read(pieces[1])
    assert len(found.pages) == 2
    first, second = (sheet.extract_text() for sheet in found.pages)
    assert "Water no. 1" in first
    assert "material 4" in first
    assert "sheet 1 of 2" in first
    assert "Method" in second
    assert "clear" in second
    assert "sheet 2 of 2" in second
    assert [round(float(edge)) for edge in found.pages[0].mediabox] == [0, 0, 420, 595]
    assert found.trailer["/Root"]["/Lang"] == "en"
    assert found.trailer["/Root"]["/MarkInfo"]["/Marked"].value is True
    assert pieces[1].problems == ()


def test_every_font_is_embedded_as_a_subset_of_the_cut_asked_for(pieces):
    fonts = read(pieces[1]).pages[0]["/Resources"]["/Font"]
    names = set()
    for font in (entry.get_object() for entry in fonts.values()):
        descriptor = font["/DescendantFonts"][0].get_object()["/FontDescriptor"]
        file = descriptor["/FontFile2"].get_object().get_data()
        assert len(file) < 40_000
        assert "fvar" not in TTFont(io.BytesIO(file))
        prefix, name = font["/BaseFont"].lstrip("/").split("+")
        assert len(prefix) == 6
        names.add(name.rstrip(","))
    assert names == {
        "Source-Serif-4",
        "Source-Serif-4-Bold",
        "Source-Serif-4-Italic",
        "Source-Sans-3",
        "Source-Sans-3-Bold",
    }


def test_running_heads_are_artifacts_and_everything_else_is_tagged(pieces):
    for sheet_ in read(pieces[1]).pages:
        content = sheet_.get_contents().get_data().replace(b"\n", b" ")
        kinds = re.findall(rb"/Artifact <</Type /Pagination/Subtype /(\w+)>> BDC", content)
        assert sorted(kinds) == [b"Footer", b"Header"]


def test_one_process_and_two_and_another_time_make_the_same_bytes(leaves, pieces, style, monkeypatch):
    monkeypatch.setenv("TZ", "Pacific/Kiritimati")
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1000000000")
    again = render.render_all(leaves, style, workers=1)
    assert [piece.pdf for piece in again] == [piece.pdf for piece in pieces]
    assert os.environ["SOURCE_DATE_EPOCH"] == "1000000000"


def test_a_variable_font_named_by_the_style_sheet_itself_carries_no_time(style):
    font = style.faces[0].file
    data = f"data:font/ttf;base64,{base64.b64encode(font.read_bytes()).decode()}"
    css = f'@font-face {{ font-family: Own; src: url("{data}") }} html {{ font-family: Own }}'
    piece = render.render(page("<p>Own type"), Style(css=css))
    [entry] = read(piece).pages[0]["/Resources"]["/Font"].values()
    file = entry.get_object()["/DescendantFonts"][0].get_object()["/FontDescriptor"]["/FontFile2"].get_object()
    # Seconds from 1904 to 1970: fontTools was told that it is 1970.
    assert TTFont(io.BytesIO(file.get_data()))["head"].modified == 2082844800
    assert piece.problems == ()


def test_a_cut_equals_the_variable_font_at_that_place(style):
    for face in (style.faces[1], style.faces[2], style.faces[4]):
        made = TTFont(io.BytesIO(cuts.cut(face)))
        want = TTFont(face.file)
        place = {axis.axisTag: {"wght": face.weight, "opsz": face.optical}[axis.axisTag] for axis in want["fvar"].axes}
        assert "fvar" not in made
        names, letters = want.getGlyphOrder(), want.getBestCmap()
        # The last outline matters: HarfBuzz 6.0 miscounts where a font grows past 128 KiB.
        drawn = [letter for letter in letters if want["glyf"][letters[letter]].numberOfContours]
        chosen = [*map(ord, "Ag7é"), max(drawn, key=lambda letter: names.index(letters[letter]))]
        for tag in ("GPOS", "GSUB", "GDEF"):
            del want[tag]
        subsetter = Subsetter(Options(retain_gids=True))
        subsetter.populate(unicodes=chosen)
        subsetter.subset(want)
        want = instantiateVariableFont(want, place)
        for letter in chosen:
            name = letters[letter]
            other = made.getGlyphName(names.index(name))
            assert abs(made["hmtx"][other][0] - want["hmtx"][name][0]) <= 1
            box, wanted = made["glyf"][other], want["glyf"][name]
            for edge in ("xMin", "xMax", "yMin", "yMax"):
                assert abs(getattr(box, edge) - getattr(wanted, edge)) <= 1


def test_a_font_that_is_none_is_named(tmp_path):
    bad = tmp_path / "notes.ttf"
    bad.write_text("not a font")
    with pytest.raises(render.PressFailed, match=r"^notes\.ttf is not a font file\.$"):
        render.render(page("<p>x"), Style(faces=(Face(family="Bad", file=bad),)))
    with pytest.raises(render.PressFailed, match=r"none\.ttf cannot be read"):
        render.render(page("<p>x"), Style(faces=(Face(family="Bad", file=tmp_path / "none.ttf"),)))


class _Canary(BaseHTTPRequestHandler):
    """A server nobody may call."""

    called: ClassVar[list[str]] = []

    def do_GET(self) -> None:
        self.called.append(self.path)
        self.send_response(200)
        self.end_headers()

    def log_message(self, *_: object) -> None:
        return


def test_nothing_remote_is_fetched_and_each_attempt_is_reported():
    server = HTTPServer(("127.0.0.1", 0), _Canary)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    there = f"http://127.0.0.1:{server.server_port}"
    try:
        body = (
            f'<img alt="a" src="{there}/picture.png"><link rel=stylesheet href="{there}/style.css">'
            f'<p style="background: url({there}/ground.png)">words</p>'
            f'<style>@import "{there}/more.css"; @font-face {{ font-family: R; src: url({there}/r.ttf) }}</style>'
            f'<svg width="9" height="9"><title>s</title><image href="{there}/inner.png" width="9" height="9"/></svg>'
        )
        piece = render.render(page(body), Style())
    finally:
        server.shutdown()
        server.server_close()
    assert _Canary.called == []
    said = "\n".join(problem.sentence for problem in piece.problems)
    for name in ("picture.png", "style.css", "ground.png", "more.css", "inner.png"):
        assert name in said
    assert "nothing remote is fetched" in said
    assert {problem.code for problem in piece.problems} == {"X-1"}
    assert "words" in read(piece).pages[0].extract_text()


def test_a_picture_is_shown_from_its_data_and_never_from_a_file(tmp_path):
    (tmp_path / "in.png").write_bytes(PIXEL)

    def shown(src: str) -> tuple[int, str]:
        piece = render.render(page(f'<img alt="a" src="{src}">'), Style())
        return len(read(piece).pages[0].images), " ".join(problem.sentence for problem in piece.problems)

    assert shown(f"data:image/png;base64,{base64.b64encode(PIXEL).decode()}") == (1, "")
    for src in ((tmp_path / "in.png").as_uri(), "file:///etc/passwd"):
        count, said = shown(src)
        assert count == 0
        assert "no file is read for a sheet; a picture travels in it as data" in said
    count, said = shown("in.png")
    assert count == 0
    assert said


def test_a_link_to_no_place_and_a_rule_that_is_none_are_reported():
    piece = render.render(page('<p style="colour: red"><a href="#nowhere">go</a>'), Style())
    said = [problem.sentence for problem in piece.problems]
    assert any("nowhere" in sentence for sentence in said)
    assert any("colour" in sentence for sentence in said)


@pytest.mark.parametrize(
    ("reason", "sentence"),
    [
        (OSError("cannot load library 'libpango-1.0-0'"), "libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"),
        (ImportError("No module named 'weasyprint'", name="weasyprint"), "WeasyPrint is not installed"),
        (ImportError("No module named 'tinycss2'", name="tinycss2"), "the Python package tinycss2 is missing"),
    ],
)
def test_what_is_missing_is_named(monkeypatch, reason, sentence):
    def missing(name: str) -> None:
        raise reason

    monkeypatch.setattr(setting, "import_module", missing)
    setting.weasyprint.cache_clear()
    try:
        with pytest.raises(render.PressUnavailable, match=sentence):
            render.render(page("<p>x"), Style())
    finally:
        setting.weasyprint.cache_clear()


def test_importing_the_press_does_not_import_weasyprint():
    code = (
        "import sys, bookgen.press.render, bookgen.press.folder; bookgen.press.render.engine();"
        "sys.exit('weasyprint' in sys.modules or 'fontTools' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code]).returncode == 0


def test_a_kept_leaf_is_not_printed_again(style, tmp_path, monkeypatch):
    cache = Cache(folder=tmp_path / "cache")
    told: list[tuple[int, int]] = []
    first = render.render_all((sheet(1), sheet(2)), style, workers=1, cache=cache, progress=lambda *at: told.append(at))
    assert told == [(0, 2), (1, 2), (2, 2)]

    def refuse(*_: object) -> None:
        raise AssertionError("printed again")

    monkeypatch.setattr(render.Setting, "print", refuse)
    os.utime(style.faces[0].file)
    again = render.render_all((sheet(1), sheet(2)), style, workers=1, cache=cache)
    assert again == first
    renamed = replace(sheet(1), title="Another", chapter="Other")
    assert render.render(renamed, style, cache=cache).pdf == first[0].pdf
    for changed in (replace(sheet(1), html=sheet(1).html + "<p>"), replace(sheet(1), code="Z-1")):
        with pytest.raises(AssertionError, match="printed again"):
            render.render(changed, style, cache=cache)
    with pytest.raises(AssertionError, match="printed again"):
        render.render(sheet(1), replace(style, css=style.css + "p { color: red }"), cache=cache)


def test_problems_are_kept_with_the_leaf(tmp_path):
    cache = Cache(folder=tmp_path / "cache")
    leaf = page('<a href="#nowhere">go</a>')
    assert (
        render.render(leaf, Style(), cache=cache).problems == render.render(leaf, Style(), cache=cache).problems != ()
    )


def test_a_damaged_entry_is_replaced_and_a_cache_that_cannot_be_written_is_no_error(style, tmp_path):
    cache = Cache(folder=tmp_path / "cache")
    good = render.render(sheet(1), style, cache=cache)
    [entry] = (path for path in (tmp_path / "cache" / "leaves").rglob("*") if path.is_file())
    whole = entry.read_bytes()
    for damaged in (whole[:-1], whole[:50], b"", whole[:-1] + bytes([whole[-1] ^ 1]), b"\0" * len(whole)):
        entry.write_bytes(damaged)
        assert render.render(sheet(1), style, cache=cache) == good
        assert entry.read_bytes() == whole
    for kept in [path for path in (tmp_path / "cache" / "cuts").rglob("*") if path.is_file()]:
        kept.write_bytes(b"\0" * 50)
    entry.unlink()
    assert render.render(sheet(1), style, cache=cache) == good, "a damaged cut of type is made anew"
    (tmp_path / "file").write_text("in the way")
    assert render.render(sheet(1), style, cache=Cache(folder=tmp_path / "file")) == good


def test_the_cache_stands_where_the_keeper_says(monkeypatch, tmp_path):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert cache_folder() == tmp_path / "bookgen"
    monkeypatch.setenv("XDG_CACHE_HOME", "relative")
    monkeypatch.setenv("HOME", str(tmp_path))
    assert cache_folder() == tmp_path / ".cache" / "bookgen"


def test_a_digest_depends_on_content_style_type_and_engine_only(style, tmp_path):
    copy = tmp_path / "copy.ttf"
    copy.write_bytes(style.faces[0].file.read_bytes())
    os.utime(copy, (1, 1))
    moved = replace(style, faces=(replace(style.faces[0], file=copy), *style.faces[1:]))
    base = digest_style(style, ("engine 1",))
    assert digest_style(moved, ("engine 1",)) == base
    copy.write_bytes(copy.read_bytes() + b"\0")
    others = {
        base,
        digest_style(moved, ("engine 1",)),
        digest_style(style, ("engine 2",)),
        digest_style(replace(style, css=""), ("engine 1",)),
        digest_style(replace(style, faces=style.faces[:2]), ("engine 1",)),
    }
    assert len(others) == 5
    assert digest_leaf(sheet(1), base) != digest_leaf(sheet(1), "other") != digest_leaf(sheet(2), "other")


def test_all_workers_are_begun_at_once_and_leave_ctrl_c_to_this_process():
    # A job that cannot be handed over while the pool is told to end leaves the pool waiting for it for ever.
    assert pickle.loads(pickle.dumps(render._stand_by)) is render._stand_by
    before = set(active_children())
    with render._pool(2, Style(), ()):
        begun = [worker for worker in active_children() if worker not in before]
        assert len(begun) == 2
        for worker in begun:
            state = Path(f"/proc/{worker.pid}/status").read_text()
            (ignored,) = re.findall(r"^SigIgn:\s+(\w+)", state, re.MULTILINE)
            assert int(ignored, 16) >> (signal.SIGINT - 1) & 1


def test_ctrl_c_ends_all_processes_quietly(tmp_path):
    script = tmp_path / "long.py"
    script.write_text(
        textwrap.dedent("""
        import sys
        from bookgen.leaf import Leaf, Style
        from bookgen.press.render import render_all
        if __name__ == "__main__":
            leaves = [Leaf(code=f"L-{n}", title="x", chapter="", html=f"<html lang=en><p>{n} " + "word " * 500)
                      for n in range(200)]
            try:
                render_all(leaves, Style(), workers=2, progress=lambda *at: print(*at, flush=True))
            except KeyboardInterrupt:
                sys.exit(130)
        """)
    )
    scratch = tmp_path / "scratch"
    scratch.mkdir()
    run = subprocess.Popen(
        [sys.executable, str(script)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
        env={**os.environ, "PYTHONPATH": str(Path(render.__file__).parents[2]), "TMPDIR": str(scratch)},
    )
    assert run.stdout is not None
    for line in run.stdout:
        if not line.startswith("0 "):
            break
    os.killpg(run.pid, signal.SIGINT)
    _, said = run.communicate(timeout=60)
    assert run.returncode == 130
    assert said == ""
    assert list(scratch.iterdir()) == []
    # The interpreter's own tracker of shared resources goes when it sees that the rest is gone.
    deadline = time.monotonic() + 20
    while time.monotonic() < deadline:
        try:
            os.killpg(run.pid, 0)
        except ProcessLookupError:
            return
        time.sleep(0.1)
    pytest.fail("a process is still there")


UNGUARDED = """
import os, signal, tempfile
from bookgen.leaf import Leaf, Style
from bookgen.press.render import PressFailed, render_all
{first}
leaves = [Leaf(code=f"L-{{n}}", title="x", chapter="", html=f"<html lang=en><p>{{n}}") for n in range(12)]
try:
    render_all(leaves, Style(css="/*" + "much " * 50_000 + "*/"), workers=2)
except PressFailed as reason:
    print(reason)
"""


@pytest.mark.parametrize(
    "first",
    [
        "if __name__ != '__main__': tempfile.mkdtemp = lambda *_, **__: print('A worker wants a folder.')",
        "if __name__ != '__main__': os.kill(os.getpid(), signal.SIGKILL)",
    ],
    ids=["a script without a main guard", "a worker that is killed"],
)
def test_a_worker_that_ends_before_its_first_leaf_ends_the_run_in_a_sentence(tmp_path, first):
    script = tmp_path / "unguarded.py"
    script.write_text(UNGUARDED.format(first=first))
    scratch = tmp_path / "scratch"
    scratch.mkdir()
    run = subprocess.run(
        [sys.executable, str(script)],
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
        env={**os.environ, "PYTHONPATH": str(Path(render.__file__).parents[2]), "TMPDIR": str(scratch)},
    )
    assert run.stdout == "A printing process ended before its work was done, perhaps for want of memory.\n"
    assert list(scratch.iterdir()) == []
