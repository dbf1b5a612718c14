"""Sides of a PDF as they come out of a grey printer, by poppler: arrays of 0 (black) to 255 (white)."""

from __future__ import annotations

import re
import subprocess
from fractions import Fraction
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

_PAGE = re.compile(r"<page [^>]*>.*?</page>", re.DOTALL)
_WORD = re.compile(r'<word xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)">([^<]*)</word>')

Side = NDArray[np.uint8]
PER_MM = 5
"""Dots in a millimetre."""
WHITE = 250
"""What is darker is ink; an edge that is smoothed away to less is no ink that a reader could see."""


def sides_of(pdf: bytes, folder: Path) -> list[Side]:
    """Return every side of a PDF; a machine without poppler fails."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "read.pdf").write_bytes(pdf)
    resolution = PER_MM * Fraction(254, 10)
    command = ["pdftoppm", "-gray", "-r", str(float(resolution)), "read.pdf", "side"]
    done = subprocess.run(command, cwd=folder, capture_output=True, encoding="utf-8", timeout=300, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    files = sorted(folder.glob("side-*.pgm"))
    assert files
    return [_read(file) for file in files]


def _read(file: Path) -> Side:
    """Return a picture in the raw form of PGM."""
    sort, width, height, most, *_ = file.read_bytes().split(maxsplit=4)
    assert (sort, most) == (b"P5", b"255")
    count = int(width) * int(height)
    return np.frombuffer(file.read_bytes()[-count:], dtype=np.uint8).reshape(int(height), int(width))


def ink_between(side: Side, left: Fraction, right: Fraction, darker_than: int = WHITE) -> Side:
    """Return the strip between two distances from the left edge, mm: true where there is ink."""
    return side[:, round(left * PER_MM) : round(right * PER_MM)] < darker_than


def spots(strip: Side) -> list[tuple[float, float, float, float]]:
    """Return the extent (left, top, right, bottom; mm from the strip's corner) of every group of rows that has ink."""
    rows = np.flatnonzero(strip.any(axis=1))
    found = []
    for group in np.split(rows, np.flatnonzero(np.diff(rows) > 1) + 1) if len(rows) else ():
        columns = np.flatnonzero(strip[group].any(axis=0))
        edges = (columns[0], group[0], columns[-1] + 1, group[-1] + 1)
        found.append(tuple(float(edge) / PER_MM for edge in edges))
    return found


class Word(NamedTuple):
    """A word where it stands, mm from the left and the top edge."""

    left: float
    top: float
    right: float
    bottom: float
    text: str

    def runs_into(self, other: Word) -> bool:
        """Tell whether two words are printed upon one another; lines may touch, and letters lean over their width."""
        across = min(self.right, other.right) - max(self.left, other.left)
        down = min(self.bottom, other.bottom) - max(self.top, other.top)
        return across > 0.2 and down > 1.2


def words_of(pdf: bytes, folder: Path) -> list[list[Word]]:
    """Return the words of every side, by poppler."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "read.pdf").write_bytes(pdf)
    command = ["pdftotext", "-bbox", "read.pdf", "-"]
    done = subprocess.run(command, cwd=folder, capture_output=True, encoding="utf-8", timeout=300, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    return [
        [Word(*(float(one) * 25.4 / 72 for one in found[:4]), found[4]) for found in _WORD.findall(page)]
        for page in _PAGE.findall(done.stdout)
    ]
