"""A small book with one formula of each sort, labels, lots and batch records."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from bookgen.pipeline import Checked, check_book
from tests.books_of_text import MATERIALS, write_book

DAY = date(2026, 3, 2)
SHEET = "{across: 3, down: 8, width: 63.5 mm, height: 33.9 mm, left: 7.2 mm, top: 12.9 mm, gap: 2.5 mm}"
ROOM = (
    "balances:\n  - {name: bench, readability: 0.01 g, capacity: 2000 g}\n"
    f"label sheet: {SHEET}\nresponsible: Weir Yard Pottery, Millbrook\n"
)
LONG = "Keep it away from children, who take it for something to eat, and from whoever reads no labels at all."


def formula(code: str, kind: str, lines: str, *more: str) -> str:
    listed = "\n".join(f"  {line}" for line in lines.split("; "))
    keys = "\n".join(more)
    return f"---\ncode: {code}\ntitle: Thing {code}\n{kind}\nstatus: approved\ningredients:\n{listed}\n{keys}\n---\n"


FORMULAS = {
    "cream": formula(
        "C-01", "kind: cosmetic\nuse: leave-on, hands, adults\npurpose: hand care", "water: to 100 g; gly: 5 %",
        "cautions:\n  - Not on open cracks.", "storage: refrigerator, 5 days",
    ),
    "wordy": formula(
        "C-02", "kind: cosmetic\nuse: rinse-off, hands, adults", "water: to 100 g; gly: 5 %",
        "cautions:", *(f"  - No {number}. {LONG}" for number in range(1, 5)), "storage: refrigerator, 5 days",
    ),
    "balm": formula(
        "C-03", "kind: cosmetic\nuse: leave-on, hands, adults", "gly: to 100 g",
        "storage: {place: cupboard, period: 3 years, because: it was looked at for four}",
    ),
    "nameless": formula("C-04", "kind: cosmetic\nuse: leave-on, hands", "a: to 100 g", "storage: cupboard, 1 month"),
    "paste": formula(
        "M-01", "kind: medicine\nuse: leave-on, hands, adults\npurpose: paste", "a: 10 %, active; gly: to 100 g",
        "storage: refrigerator, 10 days",
    ),
    "idle": formula("M-02", "kind: medicine\nuse: leave-on, hands", "gly: to 100 g", "storage: cupboard, 1 month"),
    "pastilles": formula(
        "M-03", "kind: medicine\nuse: leave-on, hands, adults\npurpose: balm\nmakes: 24 pastilles\ndose: 2 pastilles",
        "a: 250 mg each, active; gly: to 2 g each", "storage: cupboard, 1 month",
    ),
    "stock": formula(
        "N-01", "use: intermediate", "gly: to 100 g; a: 5 %", "hazards:\n  - Hot.", "storage: cool place, 2 months"
    ),
    "wipe": formula(
        "H-01", "kind: household\nuse: surfaces, adults", "gly: to 100 g", "hazards:\n  - Slippery.",
        "storage: cupboard, 1 month",
    ),
    "trial": formula("T-01", "issue: 2\nkind: scent\nuse: room", "gly: to 100 g", "storage: cupboard, 1 month").replace(
        "status: approved", "status: trial"
    ),
    "strange": formula("K-01", "purpose: some", "gly: to 100 g", "storage: cupboard, 1 month"),
    "timeless": formula("K-02", "kind: household\nuse: surfaces", "oil: to 100 g"),
    "barred": formula("X-01", "use: intermediate", "gly: 60 %; a: 30 %"),
}  # fmt: skip


GLYCEROL = (
    "\nlabel: Glycerin\nhazards:\n  - It makes the floor slippery."
    "\nlots:\n  GL-1: {received: 2026-01-10, amount: 5 kg, expires: 2026-03}"
)


def record(batch: str, of: str, obtain: str, weighed: str, *more: str) -> str:
    code, day = batch[:4], batch[5:15]
    lines = "\n".join(f"  {line}" for line in weighed.split("; "))
    keys = "".join(f"{key}\n" for key in more)
    head = f"batch: {batch}\nof: {code}, {of}\nmade: {day}\nobtain: {obtain}"
    return f"---\n{head}\nweighed:\n{lines}\n{keys}---\n"


STOCK, CREAM = "gly: 285 g, lot GL-1; a: 15 g", "water: 190 g; gly: 10 g, lot GL-1"
BALM, DROPS = "gly: 200 g, lot GL-1", "gly: 24.5 g, lot GL-1; a: 3.5 g"
RECORDS = {
    "N-01-2026-02-20": record("N-01-2026-02-20", "issue 1", "300 g", STOCK, "filled: 3 x 100 g"),
    "N-01-2026-02-21": record(
        "N-01-2026-02-21", "issue 1", "900 g", STOCK, "outcome: discarded", "next time: half of it"
    ),
    "N-01-2026-02-22": record("N-01-2026-02-22", "issue 1", "280 g", STOCK, "used up: 2026-03-01"),
    "C-01-2026-03-01-b": record("C-01-2026-03-01-b", "issue 1", "200 g", CREAM, "filled: [2 x 50 g, 1 x 100 g]"),
    "C-03-2026-02-26": record("C-03-2026-02-26", "issue 1", "200 g", BALM, "came out: 188.6 g", "kept sample: 10 g"),
    "C-03-2026-02-27": record("C-03-2026-02-27", "issue 1", "200 g", BALM),
    "M-03-2026-02-26": record(
        "M-03-2026-02-26", "issue 1", "12 + 2 pastilles", DROPS, "came out: 11 pastilles", "kept sample: 1 piece"
    ),
    "M-03-2026-02-27": record("M-03-2026-02-27", "issue 1", "12 pastilles", DROPS),
    "M-03-2026-02-28": record("M-03-2026-02-28", "issue 1", "12 pastilles", DROPS, "filled: 2 x 5 pieces"),
    "H-01-2026-02-01": record("H-01-2026-02-01", "issue 1", "2 x 50 g", "gly: 100 g, lot GL-1", "came out: 98.5 g"),
    "H-01-2026-02-24": record("H-01-2026-02-24", "issue 1", "100 g", "gly: 100 g, lot GL-9"),
    "T-01-2026-02-25": record("T-01-2026-02-25", "issue 1", "100 g", "gly: 100 g, lot GL-1"),
}


@pytest.fixture(scope="session")
def folder(tmp_path_factory) -> Path:
    named = {"water": "\nlabel: Aqua", "gly": GLYCEROL}
    materials = {name: text + named.get(name, "") for name, text in MATERIALS.items()}
    book = write_book(tmp_path_factory.mktemp("labelled"), FORMULAS, materials, ROOM)
    (book / "formulas" / "batches").mkdir()
    for name, text in RECORDS.items():
        (book / "formulas" / "batches" / f"{name}.md").write_text(text, encoding="utf-8")
    return book


@pytest.fixture(scope="session")
def book(folder) -> Checked:
    return check_book(folder)
