"""A book of three formulas whose binder is quickly printed, and what is read back from printed binders.

Read by poppler and pypdf alone: nothing here knows a digest, a row or a record of the program's.
"""

from __future__ import annotations

import re
import subprocess
from collections.abc import Mapping
from functools import lru_cache
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from typing import NamedTuple

import numpy as np
import yaml
from click.testing import CliRunner, Result
from numpy.typing import NDArray
from pypdf import PdfReader

from bookgen.cli import main

from .raster import PER_MM, sides_of

FILES = {
    "workroom.yaml": """title: The quick book
keeper: nobody
decimal: point
paper: A5
balances:
  - {name: bench, readability: 0.01 g, capacity: 2000 g}
droppers: [pipette]
chapters: [waters, creams]
""",
    "waters/rose.md": """---
code: W-01
title: Rose water
kind: cosmetic
status: approved
issue: 2
use: leave-on, face, adults
purpose: cooling
makes: 100 g
ingredients:
  gly: 2.5 %
  water: to 100 g
storage: refrigerator, 5 days
---

## Method

1. Stir [the glycerol](amount:gly) into [the water](amount:water).
""",
    "creams/cold.md": """---
code: C-01
title: Cold cream
kind: cosmetic
status: approved
issue: 1
use: leave-on, hands, adults
purpose: softening
makes: 100 g
ingredients:
  wax: 12.5 g
  oil: 40 mL
  W-01: to 100 g
storage: refrigerator, 5 days
---

## Method

1. Melt [the wax](amount:wax) in [the oil](amount:oil).
2. Stir [the water](amount:W-01) in.
""",
    "creams/gel.md": """---
code: C-02
title: Hand gel
kind: cosmetic
status: approved
issue: 3
use: leave-on, hands, adults
purpose: softening
makes: 100 g
ingredients:
  gly: 5.5 %
  oil: 4 drops
  water: to 100 g
storage: refrigerator, 5 days
---

## Method

1. Stir [the glycerol](amount:gly) slowly into **the water**, [all of it](amount:water).
2. Drop [the oil](amount:oil) in.
""",
    "materials/water.md": "---\nname: purified water\nwater: 100 %\ndensity: 1\nkind: liquid\n---\n",
    "materials/gly.md": "---\nname: glycerol\nwater: 0 %\ndensity: 1.26 g/mL\nkind: liquid\n---\n",
    "materials/oil.md": "---\nname: almond oil\nwater: 0 %\ndensity: 0.92 g/mL\nkind: liquid\ndrops:\n"
    "  pipette: 0.025 g\n---\n",
    "materials/wax.md": "---\nname: white wax\nwater: 0 %\nkind: wax\n---\n",
    "materials/spare.md": "---\nname: spare clay\nwater: 0 %\ndensity: 2.6 g/mL\nkind: powder\n---\n",
}  # fmt: skip

_FOOT = re.compile(r"^ *(\S+)(?: · [\w ]+)*? · sheet \d+ of \d+", re.MULTILINE)
_FOOT_MM = 15
"""Height of the foot above the lower edge, which carries the check code: it is masked."""


class Look(NamedTuple):
    """A side's grey pixels, by their digests: two sides look the same when every pixel is the same."""

    whole: bytes
    above_foot: bytes

    @classmethod
    def of(cls, side: NDArray[np.uint8]) -> Look:
        cut = side[: -_FOOT_MM * PER_MM]
        return cls(*(sha256(repr(one.shape).encode() + one.tobytes()).digest() for one in (side, cut)))


Sides = tuple[Look, ...]


def write(folder: Path, files: Mapping[str, str] = FILES) -> Path:
    """Write a book's files, by their paths below formulas/."""
    for name, text in files.items():
        path = folder / "formulas" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return folder


def run(*arguments: object, **environ: str) -> Result:
    """Run a command in this process."""
    result = CliRunner(env={"SOURCE_DATE_EPOCH": "", "COLUMNS": "", **environ}).invoke(main, [*map(str, arguments)])
    assert isinstance(result.exception, SystemExit | None), result.exception
    result.exc_info = None  # its frames hold the whole book
    return result


@lru_cache(maxsize=4)  # each of a few PDFs is asked several times over
def codes_of(pdf: bytes) -> tuple[str, ...]:
    """Return the code that each side carries in its foot."""
    done = subprocess.run(["pdftotext", "-layout", "-", "-"], input=pdf, capture_output=True, check=True, timeout=120)
    pages = done.stdout.decode().replace("\u2010", "-").replace("\u2011", "-").split("\f")[:-1]
    feet = [_FOOT.findall(page) for page in pages]
    assert all(feet), pages[feet.index([])]
    return tuple(found[-1] for found in feet)


@lru_cache(maxsize=2)  # what it has read of a PDF once, which takes it long, it need not read again
def _read(pdf: bytes) -> PdfReader:
    return PdfReader(BytesIO(pdf))


def words_of(pdf: bytes, code: str) -> str:
    """Return the words on the sides of one leaf."""
    pages = _read(pdf).pages
    sides = [number for number, one in enumerate(codes_of(pdf)) if one == code]
    words = " ".join(" ".join(pages[number].extract_text().split()) for number in sides)
    return words.replace("\u2010", "-").replace("\u2011", "-")


def leaves_of(pdf: bytes, folder: Path) -> dict[str, Sides]:
    """Return code → how the leaf's sides look, in the order of the binder."""
    found: dict[str, list[Look]] = {}
    for code, side in zip(codes_of(pdf), sides_of(pdf, folder), strict=True):
        found.setdefault(code, []).append(Look.of(side))
    return {code: tuple(sides) for code, sides in found.items()}


def differ(one: Sides, other: Sides, *, foot: bool = False) -> bool:
    """Tell whether two leaves look different; `foot` says whether the foot counts."""
    return len(one) != len(other) or any(
        a.whole != b.whole if foot else a.above_foot != b.above_foot for a, b in zip(one, other, strict=True)
    )


def listed(pdf: bytes) -> dict[str, object]:
    """Return the list that a PDF carries."""
    attached = _read(pdf).attachments["effective-sheets.yaml"]
    return dict(yaml.safe_load(attached[0]))
