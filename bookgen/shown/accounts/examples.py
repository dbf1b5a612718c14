"""The small book that the worked lines are reckoned from, and what they ask of it.

A worked line is never typed with its result: this book is read and reckoned like any other, so that the line shows what
the functions really give.
"""

from __future__ import annotations

from datetime import date
from functools import cache

from ...findings import Finding, Missing
from ...model import BatchRecord, Material, Obtain
from ...reckon.amounts import LineFigure
from ...reckon.batchline import BatchLine
from ...reckon.figures import Figures, Reckoning, reckon
from ...reckon.weighing import Weighing, weigh
from ...source import book_from, read_obtain

_WORKROOM = """\
title: Worked lines
balances:
  - {name: fine balance, readability: 0.01 g, capacity: 200 g}
droppers: [pipette]
accepted error: 5 %
"""

_MATERIALS = {
    "water": "label: Aqua\ndensity: 1 g/mL\nwater: 100 %",
    "oil": "density: 0.92 g/mL\nsoluble: oil\ndrops: {pipette: 0.025 g}",
    "wax": "label: Cera Alba\nkind: wax\n"
    "lots: {W-1: {received: 2026-01-05, amount: 100 g, expires: 2026-03-31, price: 12 EUR}}",
    "zinc": "water: 0 %\ndisplaces: 4 g per g of wax",
    "scent": "label: Parfum\nfunction: aroma\ncontains: {linalool: 20 to 35 %}",
    "glycerol-85": "density: 1.22 g/mL\nwater: 15 %\ncontains: {glycerol: 85 %}",
    "lactic-acid-80": "water: 20 %\ncontains: {lactic acid: 80 %}",
    "dried": "contains: {active: 98.4 % of dried}\ndrying: 6.5 %",
    "spirit": "density: 0.807 g/mL\nwater: 6.16 %\ncontains: {ethanol: 96 %vol}",
    "olive": "soluble: oil\nwater: 0 %\nsaponification: 184 to 196 mg KOH/g",
    "beads": "kind: crystals\nwater: 0 %\ncontains: {sodium hydroxide: 98 %}",
    "rare": "",
    "salt": "kind: crystals\nsoluble: water\ntapped density: 0.5 g/mL",
    "talc": "kind: powder",
    "sugar": "kind: crystals\ntapped density: 0.8 g/mL",
    "lye": "known as: sodium hydroxide\nwater: 0 %",
    "potash": "known as: potassium hydroxide\nwater: 0 %",
    "bergamot": "known as: bergamot oil\nwater: 0 %",
    "lime": "known as: lime oil expressed\nwater: 0 %",
    "lemon": "known as: lemon oil\nwater: 0 %",
}

_FORMULAS = {
    "sum": ("wax: 8 g", "oil: 42 g"),
    "cast": ("makes: 10 suppositories", "mould: 2 g of wax", "zinc: 400 mg each", "wax: q.s."),
    "encapsulated": ("makes: 10 capsules", "capsule: size 1", "salt: 100 mg each", "sugar: q.s."),
    "dosed": ("density: 1.25 g/mL", "dose: 5 mL", "sugar: 50 %", "water: to 100 g"),
    "soap": ("olive: 100 g", "water: 30 g", "beads: q.s. for 5 % superfat"),
    "parts": ("makes: 100 g", "glycerol-85: 4 g", "oil: 3 parts", "wax: 1 part"),
    "fill": ("makes: 100 g", "glycerol-85: 4 %", "oil: 60 g", "water: to 100 g"),
    "carries": ("glycerol-85: 4 %", "lactic-acid-80: 1 %", "water: to 100 g"),
    "labelled": ("use: leave-on, face", "scent: 0.1 g", "wax: 5 g", "water: to 100 g"),
    "as": ("lactic-acid-80: 0.4 % as lactic acid", "water: to 100 g"),
    "base-of-lactic": ("lactic-acid-80: 5 %", "water: to 100 g"),
    "spirited": ("spirit: 60 g of 70 %vol", "water: 40 g"),
    "volume": ("oil: 50 mL", "wax: 4 g"),
    "yield": ("makes: 100 g", "yield: 95 %", "water: {amount: 60 g, evaporates: 20 g}", "oil: 40 g"),
    "dries": ("water: {amount: 60 g, evaporates: 25 %}", "wax: 40 g"),
    "allowed": ("makes: 50 g", "water: {amount: 46 g, evaporates: 8 %, added: yes}", "wax: 4 g"),
    "total": ("oil: 12.344 %", "wax: 7.344 %", "water: to 100 g"),
    "drops": ("oil: 0.074 g", "wax: 99.926 g"),
    "counted": ("oil: 6 drops", "wax: 50 g"),
    "rarely": ("rare: 0.05 g", "wax: 99.95 g"),
    "thinned": ("salt: 0.05 g", "water: to 100 g"),
    "base": ("yield: 90 %", "makes: 100 g", "oil: 25 %", "wax: 75 %"),
    "user": ("base: 60 %", "wax: 40 %"),
    "aromatic": ("oil: {amount: 2 g, left: 0.05 %}", "water: 98 g", "talc: {amount: 15 g, removed: filtered}"),
    "portions": ("oil: 42.01 g", "wax: 8 g"),
    "syrup": ("sugar: 65 g", "water: 35 g"),
    "thick": ("glycerol-85: 40 g", "sugar: 20 g", "water: to 100 g"),
    "caustic": ("lye: 1.5 %", "potash: 1 %", "water: to 100 g"),
    "citrus": ("bergamot: 0.2 %", "lime: 0.3 %", "lemon: 1 %", "wax: to 100 g"),
    "adrift": ("oil: 2 g", "water: 98 g"),
    "watery": ("glycerol-85: 20 %", "water: to 100 g", "storage: refrigerator, 2 months"),
}
"""Stem → keys of the formula and lines of its ingredients; whatever is a key of a formula stands above them."""

_RECORD = """\
---
batch: sum-2026-01-10
of: sum, issue 1
made: 2026-01-10
obtain: 50 g
planned: {wax: 8 g, oil: 42 g}
weighed: {wax: "8.2 g, lot W-1", oil: 41.8 g}
came out: 47.5 g
---
"""

_KEYS = ("makes", "mould", "capsule", "density", "dose", "yield", "storage", "use")
_METHOD = "\n## Method\n\n1. Half of [the oil](amount:oil*1/2), then [the rest](amount:oil*rest).\n"


def _formula(stem: str, written: tuple[str, ...]) -> str:
    keys = [line for line in written if line.partition(":")[0] in _KEYS]
    lines = [f"  {line}" for line in written if line not in keys]
    used = any(line.startswith("use:") for line in keys)
    head = [f"code: {stem}", f"title: {stem}", *([] if used else ["use: intermediate"]), *keys, "ingredients:", *lines]
    return "\n".join(("---", *head, "---", _METHOD if stem == "portions" else ""))


@cache
def examples() -> Reckoning:
    """Return the small book, reckoned."""
    files = {"formulas/workroom.yaml": _WORKROOM}
    for stem, front in _MATERIALS.items():
        files[f"formulas/materials/{stem}.md"] = f"---\nname: {stem}\n{front}\n---\n"
    for stem, written in _FORMULAS.items():
        files[f"formulas/{stem}.md"] = _formula(stem, written)
    files["formulas/batches/sum-2026-01-10.md"] = _RECORD
    return reckon(book_from({path: text.encode() for path, text in files.items()}))


def figures_of(stem: str) -> Figures:
    """Return a formula's figures."""
    return examples().figures[stem]


def line_of(stem: str, number: int) -> LineFigure:
    """Return one line of a formula."""
    return figures_of(stem).amounts.lines[number]


def material(stem: str) -> Material:
    """Return a material."""
    return examples().book.materials[stem]


def batch(stem: str, obtain: str = "", today: date | None = None) -> Weighing:
    """Return a batch of a formula: the one written, or the one asked for."""
    asked: Obtain | Finding | None = read_obtain(obtain) if obtain else None
    if isinstance(asked, Finding):
        raise ValueError(str(asked.says))
    found = weigh(examples(), stem, obtain=asked, today=today)
    if isinstance(found, Missing):
        raise ValueError(found.reason)
    return found


def record() -> BatchRecord:
    """Return the one batch that was made."""
    return examples().book.batches["sum-2026-01-10"]


def batch_line(stem: str, number: int) -> BatchLine:
    """Return one line of the batch that is written."""
    return batch(stem).evaluation.lines[number]
