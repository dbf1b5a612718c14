"""Published check values on HLB: the table, blends of emulsifiers, what oils require.

`test_check_values.py` holds the items of `check_values/06-…` to these.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from pathlib import Path
from typing import Any

from bookgen.reckon.figures import reckon
from bookgen.reckon.hlb import share_of_higher, together
from bookgen.reference import spelt
from bookgen.reference.hlb import hlb_table
from bookgen.source import read_book

from .books_of_text import write_book

Item = dict[str, Any]


def close(item: Item, found: Fraction, wanted: str) -> None:
    margin = 0 if item["tolerance"] == "exact" else Fraction(item["tolerance"])
    assert abs(found - Fraction(wanted)) <= margin, float(found)


def of_emulsifier(name: str) -> Fraction:
    return hlb_table().emulsifiers[spelt(name)].value


def hlb(item: Item, folder: Path) -> None:
    for name, wanted in item["expected"].items():
        close(item, of_emulsifier(name), wanted)


def hlb_by_numbers(item: Item, folder: Path) -> None:
    """Griffin's formula for esters agrees with the table."""
    for name, (saponification, acid) in item["inputs"].items():
        value = 20 * (1 - Fraction(saponification) / Fraction(acid))
        assert value == Fraction(item["expected"][name])
        close(item, of_emulsifier(name), str(value))


def blend(item: Item, folder: Path) -> None:
    parts = [(Fraction(share), of_emulsifier(name)) for name, share in item["inputs"].items()]
    close(item, together(parts), item["expected"])


def share(item: Item, folder: Path) -> None:
    inputs = item["inputs"]
    found = share_of_higher(of_emulsifier(inputs["high"]), of_emulsifier(inputs["low"]), Fraction(inputs["wanted"]))
    assert found is not None
    close(item, found * 100, item["expected"])


def required(item: Item, folder: Path) -> None:
    """Through a book whose files have the figures of the source."""
    materials = {
        name.replace(" ", "-"): f"soluble: oil\nrequired HLB: {value}" for name, (_, value) in item["inputs"].items()
    }
    lines = "".join(f"  {name.replace(' ', '-')}: {amount} g\n" for name, (amount, _) in item["inputs"].items())
    emulsifiers = "  polysorbate-80: 5 g\n  water: 50 g\n"
    text = f"---\ncode: X\ntitle: X\nemulsion: o/w by HLB\ningredients:\n{lines}{emulsifiers}---\n"
    materials |= {"polysorbate-80": "also: polysorbate 80\nwater: 0 %", "water": "water: 100 %"}
    found = reckon(read_book(write_book(folder, {"X": text}, materials))).figures["x"].emulsified
    assert found is not None
    assert found.required is not None
    assert found.lacking == ()
    close(item, found.required, item["expected"])


HLB: Mapping[str, Callable[[Item, Path], None]] = {
    "HLB": hlb,
    "HLB by numbers": hlb_by_numbers,
    "blend of emulsifiers": blend,
    "share of the higher": share,
    "required HLB": required,
}
"""What is checked → the function that checks it."""
