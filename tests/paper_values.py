"""What holds the published values of paper and holes: topic 14 of `check_values/`."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

from bookgen.binder.paper import ISO_838, POINT, SIZES, THREE_HOLES, ZONE, Size, centres, rim
from bookgen.model import PUNCHED, Holes, Paper

Item = dict[str, Any]


def by_the_standard(item: Item, folder: Path) -> None:
    """T14-01: the figures themselves, and that the far rim of the worst hole lies inside the zone."""
    expected = {key: Fraction(value) for key, value in item["expected"].items()}
    assert (ISO_838.across, ISO_838.across_within) == (expected["diameter_mm"], expected["diameter_tol"])
    assert (ISO_838.pitch, ISO_838.edge) == (expected["spacing_mm"], expected["edge_mm"])
    assert ISO_838.edge_within == expected["edge_tol"]
    widest = expected["diameter_mm"] + expected["diameter_tol"]
    assert rim(ISO_838) == expected["edge_mm"] + expected["edge_tol"] + widest / 2 < ZONE


def where_they_stand(item: Item, folder: Path) -> None:
    """T14-02, -03, -04, -06: holes on the sheet, and so a number of holes that the workroom may ask for."""
    inputs, paper, holes = item["inputs"], Paper(item["inputs"]["paper"]), Holes(item["inputs"]["holes"])
    assert SIZES[paper].height == Fraction(inputs["height_mm"])
    assert centres(Fraction(inputs["height_mm"]), holes) == tuple(map(Fraction, item["expected"]))
    assert holes in PUNCHED[paper]


def three(item: Item, folder: Path) -> None:
    """T14-05: the spacing, and that no sheet lower than this is punched so."""
    expected = item["expected"]
    assert round(THREE_HOLES.pitch) == Fraction(expected["spacing_mm"])
    low = {paper for paper, size in SIZES.items() if size.height < Fraction(expected["min_height_mm"])}
    assert low == {Paper.A5}
    assert not any(Holes.THREE in PUNCHED[paper] for paper in low)


def sizes(item: Item, folder: Path) -> None:
    """T14-07, -08: every size that is a paper of the book; a sheet cut too wide keeps its holes inside the zone."""
    known = {Paper(name): item["expected"][name] for name in Paper if name in item["expected"]}
    assert known
    for paper, (width, height) in known.items():
        assert SIZES[paper] == Size(width=Fraction(width), height=Fraction(height))
    if "tol_150_600_mm" in item["expected"]:
        # A sheet that is too wide is printed half of that nearer to the inner edge.
        off = Fraction(item["expected"]["tol_150_600_mm"]) / 2
        assert rim(ISO_838) + off < ZONE


def in_points(item: Item, folder: Path) -> None:
    """T14-09: the sizes as a PDF measures them."""
    assert {Paper(name) for name in item["expected"]} == set(Paper)
    for name, (width, height) in item["expected"].items():
        size, off = SIZES[Paper(name)], Fraction(item["tolerance"]["abs"])
        assert abs(size.width / POINT - Fraction(width)) <= off
        assert abs(size.height / POINT - Fraction(height)) <= off


PAPER: dict[str, Callable[[Item, Path], None]] = {
    "holes by ISO 838": by_the_standard,
    "centres of holes": where_they_stand,
    "three holes": three,
    "sizes of paper": sizes,
    "sizes in points": in_points,
}
PAPER_FACTS = {"T14-10": "labels cut from a sheet: the book prints none"}
"""Items with nothing to compute, and why."""
