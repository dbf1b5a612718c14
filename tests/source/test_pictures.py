"""Photographs that are damaged, cut short, no pictures or too large: told by the check at the place that names them."""

from __future__ import annotations

import io
from functools import cache
from pathlib import Path
from struct import pack
from zlib import crc32

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from bookgen.leaf import Leaf, Style
from bookgen.press.render import render
from bookgen.source.pictures import DAMAGED, MOST_PIXELS, NO_PICTURE, flaw_of
from bookgen.wording.saying import Saying
from tests.books_of_text import MATERIALS, check, dot, formula, write_book

FORMS = {
    "png": ("PNG", "RGB", {}),
    "png with colours of its own": ("PNG", "P", {}),
    "jpeg": ("JPEG", "RGB", {}),
    "jpeg in passes": ("JPEG", "L", {"progressive": True}),
    "jpeg that begins anew": ("JPEG", "RGB", {"restart_marker_blocks": 4}),
    "gif": ("GIF", "P", {}),
    "webp": ("WEBP", "RGB", {}),
    "webp without loss": ("WEBP", "RGB", {"lossless": True}),
    "webp with alpha": ("WEBP", "RGBA", {}),
}


@cache
def photograph(form: str) -> bytes:
    """Return a picture of noise, 80 by 60."""
    kind, mode, more = FORMS[form]
    noise = np.random.default_rng(7).integers(0, 255, (60, 80, 4), dtype=np.uint8)
    out = io.BytesIO()
    Image.fromarray(noise).convert(mode).save(out, kind, **more)
    return out.getvalue()


@pytest.mark.parametrize("form", FORMS)
def test_a_whole_picture_is_taken(form: str) -> None:
    assert flaw_of(photograph(form)) is None
    assert flaw_of(photograph(form) + b"\0" * 100) in (None, DAMAGED)  # what follows the end is nobody's loss


@given(form=st.sampled_from(sorted(FORMS)), part=st.floats(0, 1, exclude_max=True))
def test_a_picture_that_is_cut_short_is_told(form: str, part: float) -> None:
    whole = photograph(form)
    cut = whole[: int(len(whole) * part)]
    if cut != whole[: len(cut)] or len(cut) < len(whole) - 2:
        assert flaw_of(cut) in (DAMAGED, NO_PICTURE)


@given(at=st.integers(8, len(photograph("png")) - 1), bit=st.integers(0, 7))
def test_one_bit_of_a_png_that_is_not_what_it_was_is_told(at: int, bit: int) -> None:
    changed = bytearray(photograph("png"))
    changed[at] ^= 1 << bit
    assert flaw_of(bytes(changed)) == DAMAGED


@given(
    st.binary(max_size=400), st.sampled_from([b"", b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff", b"GIF89a", b"RIFF....WEBP"])
)
def test_no_bytes_end_otherwise_than_in_words(rest: bytes, start: bytes) -> None:
    assert isinstance(flaw_of(start + rest), Saying | None)


def of_size(width: int, height: int) -> bytes:
    """Return a PNG that says it has so many pixels."""
    head = pack(">LLBBBBB", width, height, 8, 0, 0, 0, 0)
    end = dot(0).index(b"IDAT") - 4
    return dot(0)[:8] + pack(">L", 13) + b"IHDR" + head + pack(">L", crc32(b"IHDR" + head)) + dot(0)[end:]


def test_the_most_pixels_are_taken_and_one_row_more_is_not() -> None:
    assert flaw_of(of_size(MOST_PIXELS // 5000, 5000)) is None
    assert str(flaw_of(of_size(MOST_PIXELS // 5000, 5001))) == (
        "it has 10000 × 5001 pixels, 51 million; make it smaller, at most 50 million"
    )
    assert "169 million" in str(flaw_of(of_size(13000, 13000)))
    assert flaw_of(of_size(0, 5)) == DAMAGED
    assert flaw_of(of_size(5, 0)) == DAMAGED


def test_a_png_without_dots_is_damaged() -> None:
    head, end = dot(0).index(b"IDAT") - 4, dot(0).index(b"IEND") - 4
    assert flaw_of(dot(0)[:head] + dot(0)[end:]) == DAMAGED
    assert flaw_of(dot(0)[:8] + dot(0)[head:]) == DAMAGED  # nor does it say how large it is


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (photograph("jpeg")[:-500], DAMAGED),
        (b"a letter", NO_PICTURE),
        (of_size(13000, 13000), "it has 13000 × 13000 pixels, 169 million; make it smaller, at most 50 million"),
    ],
    ids=["cut short", "no picture", "too large"],
)
def test_the_check_tells_it_at_its_place(tmp_path: Path, content: bytes, why: str) -> None:
    text = formula("A-01", "water: to 100 g") + "\n## Method\n\n1. Pour.\n\n![the jar](jar.jpg) and ![dot](dot.png)\n"
    book = write_book(tmp_path / "book", {"a": text}, {"water": MATERIALS["water"]})
    (book / "formulas" / "jar.jpg").write_bytes(content)
    (book / "formulas" / "dot.png").write_bytes(dot(9))
    found = [one for one in check(book) if one["rule"] == "refused-image"]
    line = text.split("\n").index("![the jar](jar.jpg) and ![dot](dot.png)") + 1
    assert [(one["path"], one["line"], one["severity"]) for one in found] == [("formulas/a.md", line, "query")]
    assert found[0]["message"] == f"Formula A-01, line {line}: The image `jar.jpg` is left out: {why}."


def test_the_press_never_quotes_a_picture() -> None:
    rubbish = "A" * 400_000
    html = f'<html lang="en"><body><img alt="a" src="data:image/png;base64,{rubbish}"><p style="colour: {rubbish}">b'
    problems = render(Leaf(code="X-1", title="x", chapter="", html=html), Style()).problems
    assert any(one.sentence.startswith("A picture cannot be read and is left out") for one in problems)
    assert all(len(one.sentence) < 400 for one in problems), [len(one.sentence) for one in problems]
