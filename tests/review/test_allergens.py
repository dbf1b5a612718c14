"""Fragrance allergens: what a label names, at which share, and which material does not say enough."""

from __future__ import annotations

import json
from fractions import Fraction
from importlib.resources import files
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner

from bookgen.cli import main
from bookgen.findings import Missing
from bookgen.model import Contact
from bookgen.pipeline import check_book, publish
from bookgen.reckon.allergens import Allergens
from bookgen.reckon.figures import Figures
from bookgen.reference import spelt
from bookgen.reference.allergens import allergens
from bookgen.show import exact

from ..books_of_text import write_book

LEAVE, RINSE = "leave-on, face", "rinse-off, hands"
OIL = {
    "oil": "label: Lavandula Angustifolia Oil\nfunction: aroma\n"
    "contains:\n  linalool: 35 %\n  linalyl acetate: 38 %\nwater: 0 %"
}
"""The oil of the cases of care, which is itself an entry of the list; contents invented round figures."""
PETAL = {"petal": "function: aroma\ncontains:\n  linalool: 20 to 35 %\n  geranial: 0.4 %\n  neral: 0.3 %\nwater: 0 %"}
SILENT = {"rose oil": "function: aroma\nwater: 0 %", "scent": "function: aroma\ncontains:\n  ethanol: 96 %vol"}
BLEND = {
    "blend": "contains:\n  benzyl alcohol: 87 %\n  dehydroacetic acid: 8 %\n"
    "label:\n  Benzyl Alcohol: 87 %\n  Dehydroacetic Acid: 8 %\n  Aqua: 5 %\nwater: 5 %"
}

# number, use, lines, more materials, the names on a label, in order, each with its share in %
CASES: tuple[tuple[str, str, str, dict[str, str], dict[str, str]], ...] = (
    ("50", LEAVE, "oil: 0.05 %", OIL,
     {"Lavandula Oil/Extract": "0.05", "Linalyl Acetate": "0.019", "Linalool": "0.0175"}),
    ("51", RINSE, "oil: 0.02 %", OIL, {"Lavandula Oil/Extract": "0.02"}),
    ("53", RINSE, "limonene: 0.01 %", {}, {}),
    ("53", RINSE, "limonene: 0.0101 %", {}, {"Limonene": "0.0101"}),
    ("26", LEAVE, "blend: 1.2 %", BLEND, {"Benzyl alcohol": "1.044"}),
    ("46", LEAVE, "wg: 0.06 %", {"wg": "contains:\n  methyl salicylate: 99 %"}, {"Methyl salicylate": "0.0594"}),
    ("72", LEAVE, "laurus nobilis leaf oil: 0.0005 %", {}, {}),
    ("78", LEAVE, "lippia citriodora absolute: 0.1 %", {}, {"Lippia citriodora absolute": "0.1"}),
    ("at", LEAVE, "linalool: 0.001 %", {}, {}),
    ("less its water", LEAVE, "limonene: 1 %", {"limonene": "water: 40 %"}, {"Limonene": "0.6"}),
    ("grouped", LEAVE, "petal: 0.2 %", PETAL, {"Linalool": "0.07", "Citral": "0.0014"}),
    ("range below", LEAVE, "petal: 0.0028 %", PETAL, {}),
    ("range across", LEAVE, "petal: 0.004 %", PETAL, {"Linalool": "0.0014"}),
    ("over materials", LEAVE, "petal: 0.002 %; limonene: 0.0009 %; linalool: 0.0004 %", PETAL, {"Linalool": "0.0011"}),
    ("isomers", LEAVE, "alpha-pinene: 0.0006 %; beta-pinene: 0.0005 %", {}, {"Pinene": "0.0011"}),
)  # fmt: skip


def figures_of(folder: Path, use: str, lines: str, materials: dict[str, str], *keys: str) -> Figures:
    """Return the figures of a cosmetic whose lines are made up to 100 g."""
    names = {line.partition(":")[0].strip() for line in lines.split(";")}
    texts = {name: "water: 0 %" for name in names if name != "BASE"} | materials | {"water": "water: 100 %"}
    head = "\n".join(["code: X", "title: X", f"use: {use}", "storage: cupboard, 180 days", *keys])
    body = "\n".join(f"  {line.strip()}" for line in (*lines.split(";"), "water: to 100 g"))
    inner = "---\ncode: BASE\ntitle: Base\nuse: intermediate\ningredients:\n  petal: 1 %\n  water: to 100 g\n---\n"
    formulas = {"X": f"---\n{head}\ningredients:\n{body}\n---\n"} | ({"BASE": inner} if "BASE" in lines else {})
    return check_book(write_book(folder / "book", formulas, texts)).reckoning.figures["x"]


def named(found: Allergens) -> dict[str, str]:
    return {
        item.row.label: "" if isinstance(item.high, Missing) else exact(item.high * 100)
        for item in found.judged
        if item.named
    }


@pytest.mark.parametrize(("number", "use", "lines", "materials", "names"), CASES)
def test_a_case_of_care(number, use, lines, materials, names, tmp_path):
    found = figures_of(tmp_path, use, lines, materials, "kind: cosmetic").allergens
    assert list(named(found).items()) == list(names.items()), number
    if found.judged:
        assert found.contact.value == use.partition(",")[0]
        assert found.above == Fraction("0.00001" if found.contact is Contact.LEAVE_ON else "0.0001")


def test_an_intermediate_brings_its_own(tmp_path):
    found = figures_of(tmp_path, RINSE, "BASE: 10 %; petal: 0.01 %", PETAL, "kind: cosmetic").allergens
    assert named(found) == {"Linalool": "0.0385"}
    assert [exact(item.low * 100) for item in found.judged if not isinstance(item.low, Missing)][:1] == ["0.022"]


def judged_in(folder: Path, lines: str) -> dict[str, tuple[str, str, str]]:
    """Return least, most and outcome of each entry in a cosmetic of exactly these lines."""
    head = f"code: X\ntitle: X\nkind: cosmetic\nuse: {LEAVE}\nstorage: cupboard, 180 days\n"
    body = "\n".join(f"  {line.strip()}" for line in lines.split(";"))
    texts = {"limonene": "water: 0 %", "wax": "water: 0 %", **PETAL}
    root = write_book(folder / "book", {"X": f"---\n{head}ingredients:\n{body}\n---\n"}, texts)
    return {
        item.row.label: (exact(item.low * 100), exact(item.high * 100), item.outcome.value)
        for item in check_book(root).reckoning.figures["x"].allergens.judged
        if isinstance(item.low, Fraction) and isinstance(item.high, Fraction)
    }


@pytest.mark.parametrize(
    ("lines", "found"),
    [
        ("limonene: 100 g", {"Limonene": ("100", "100", "beyond")}),
        ("limonene: {amount: 5 g, left: 0 %}; wax: 95 g", {}),
        ("limonene: {amount: 5 g, left: at most 1 %}; wax: 95 g", {"Limonene": ("0", "1", "crosses")}),
        # the low end of 20 to 35 % of linalool is at 0.001 % exactly, so that it is not known to be beyond
        ("petal: 0.005 g; wax: to 100 g",
         {"Linalool": ("0.001", "0.00175", "crosses"), "Citral": ("0.000035", "0.000035", "below")}),
        ("petal: 0.0050001 g; wax: to 100 g",
         {"Linalool": ("0.00100002", "0.001750035", "beyond"), "Citral": ("0.0000350007", "0.0000350007", "below")}),
    ],
)  # fmt: skip
def test_both_ends_stand_against_the_share(lines, found, tmp_path):
    assert judged_in(tmp_path, lines) == found


def test_what_is_only_water_of_a_listed_name_is_not_in_it(tmp_path):
    found = figures_of(tmp_path, LEAVE, "limonene: 5 %", {"limonene": "water: 100 %"}, "kind: cosmetic").allergens
    assert found.judged == ()


def test_a_use_that_does_not_say_is_leave_on(tmp_path):
    found = figures_of(tmp_path, "hands", "limonene: 0.005 %", {}, "kind: cosmetic").allergens
    assert named(found) == {"Limonene": "0.005"}
    assert str(found.assumed).startswith("`use:` does not say leave-on or rinse-off")


@pytest.mark.parametrize("keys", [("kind: medicine",), ("kind: household",)])
def test_only_a_cosmetic_has_a_label_of_that_kind(keys, tmp_path):
    assert figures_of(tmp_path, LEAVE, "limonene: 1 %", {}, *keys).allergens.judged == ()


def test_who_does_not_say_what_it_contains_is_named(tmp_path):
    """By the function of the material, of a line, or of a line without a file; a single substance says it."""
    lines = "rose oil: 0.1 %; scent: 1 %; musk: 0.1 %, aroma; limonene: 0.1 %, aroma; oak: 0.1 %"
    found = figures_of(tmp_path, LEAVE, lines, SILENT | {"oak": "label: Evernia Prunastri Extract\nfunction: scent"})
    assert found.allergens.silent == ("musk", "oak", "rose oil")


def test_without_a_file_the_share_is_not_known_and_it_is_named(tmp_path):
    text = "---\ncode: X\ntitle: X\nkind: cosmetic\nuse: leave-on, face\ningredients:\n  1, limonen oil: 1 %\n---\n"
    text = text.replace("  1, limonen oil: 1 %", "  limonene: 5 mL\n  musk: 1 g, aroma\n  water: to 100 g")
    root = write_book(tmp_path / "book", {"X": text}, {"limonene": "water: 0 %", "water": "water: 100 %"})
    found = check_book(root).reckoning.figures["x"].allergens
    assert named(found) == {"Limonene": ""}
    assert found.silent == ("musk",)


# ── Where it is shown ─────────────────────────────────────────────────────────────────────────────────────────────────


def book(folder: Path) -> Path:
    text = (
        "---\ncode: X\ntitle: Ex\nkind: cosmetic\nuse: leave-on, face\nstorage: cupboard, 180 days\n"
        "ingredients:\n  petal: 0.004 g\n  rose oil: 0.1 g\n  methyl 2-octynoate: 0.01 g\n  limonene: 0.001 g\n"
        "  water: to 100 g\n---\n"
    )
    names = {"methyl 2-octynoate": "water: 0 %", "limonene": "water: 0 %", "water": "water: 100 %"}
    return write_book(folder / "book", {"X": text}, PETAL | {"rose oil": SILENT["rose oil"]} | names)


EDITION = "leave-on, CosIng of February 2024"
SAID = (
    "Methyl 2-Octynoate 0.01 %: to be named on a label (III/89: above 0.001 %, leave-on, CosIng of February 2024).",
    f"Linalool up to 0.0014 %: to be named on a label, as it may be above it (III/84: above 0.001 %, {EDITION}).",
    "Limonene 0.001 %: need not be named (III/88: above 0.001 %, leave-on, CosIng of February 2024).",
    "Citral 0.000028 %: need not be named (III/70: above 0.001 %, leave-on, CosIng of February 2024).",
    "Methyl 2-Octynoate: a label name from memory.",
    "INCOMPLETE: rose oil does not say what it contains.",
)


def test_the_terminal_says_what_is_named_and_what_is_open(tmp_path):
    result = CliRunner().invoke(main, ["check", "--explain", "x", "--book", str(book(tmp_path))])
    text = result.stdout.replace("\n    ", " ")
    assert text[text.index("Fragrance allergens") :].splitlines()[1:7] == [f"  {said}" for said in SAID]


def test_the_page_says_the_same(tmp_path):
    publish(check_book(book(tmp_path)), tmp_path / "site", binder=False)
    page = (tmp_path / "site" / "formulas" / "X.html").read_text("utf-8").replace("\u202f", " ")
    assert all(f"<li>{said}<" in page for said in SAID)


def test_for_machines(tmp_path):
    result = CliRunner().invoke(main, ["check", "--explain", "x", "--json", "--book", str(book(tmp_path))])
    answer = json.loads(result.stdout)["judged"]["allergens"]
    assert (answer["complete"], answer["do_not_say"]) == (False, ["rose oil"])
    linalool = next(item for item in answer["found"] if item["name"] == "Linalool")
    assert linalool | {"says": ""} == {
        "name": "Linalool",
        "entry": "III/84",
        "named": True,
        "outcome": "crosses",
        "percent_low": "0.0008",
        "percent_high": "0.0014",
        "above_percent": "0.001",
        "materials": ["petal"],
        "says": "",
    }


def test_a_demo_blend_counts_what_stands_in_two_lists_once():
    figures = check_book(Path(__file__).parents[2]).reckoning.figures["h-02"]
    (alcohol,) = (item for item in figures.allergens.judged if item.row.label == "Benzyl alcohol")
    assert alcohol.high == figures.composition.shares["benzyl-alcohol-dha"] * 87 / 100


# ── The table ─────────────────────────────────────────────────────────────────────────────────────────────────────────


def test_the_list_has_its_81_entries_each_with_names_of_its_own():
    """Source: the Commission's table of annex III, export of February 2024: 81 entries with the duty to name."""
    table = allergens()
    assert len(table.rows) == len({row.entry for row in table.rows}) == 81
    assert table.above == {Contact.LEAVE_ON: Fraction(1, 100000), Contact.RINSE_OFF: Fraction(1, 10000)}
    assert all(table.names[spelt(row.label)] is row for row in table.rows)
    assert {row.label for row in table.rows if row.mixture and not any(w in row.label for w in ("Oil", "xtract"))} == {
        "Pinus Mugo", "Pinus Pumila", "Turpentine", "Lippia citriodora absolute",
    }  # fmt: skip


def test_a_mixture_is_an_oil_or_an_extract():
    """Nothing of one molecule is called an oil."""
    read = yaml.safe_load(files("bookgen.reference").joinpath("allergens.yaml").read_text(encoding="utf-8"))
    oils = {row["label"] for row in read["allergens"] if any(word in row["label"] for word in (" Oil", "xtract"))}
    assert oils <= {row["label"] for row in read["allergens"] if "mixture" in row}
