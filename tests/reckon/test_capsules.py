"""What capsules hold: the published sizes, check values of filling, and plain arithmetic on tapped densities."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bookgen.model import CapsuleSize
from bookgen.reckon.figures import Figures, reckon
from bookgen.reference.capsules import capsule_sizes
from bookgen.source import book_from
from bookgen.source.pieces import read_displaces

from ..books_of_text import formula, weigh, write_book

SIZES = {
    # size: mL, lactose mg (University of North Carolina, read), mL of a second table (read), smallest figure of makers
    "000": ("1.37", 1340, "1.37", "1.37"),
    "00": ("0.95", 929, "0.95", "0.90"),
    "0": ("0.68", 665, "0.68", "0.68"),
    "1": ("0.50", 489, "0.50", "0.48"),
    "2": ("0.37", 362, "0.37", "0.36"),
    "3": ("0.30", 293, "0.30", "0.27"),
    "4": ("0.20", 195, "0.21", "0.20"),
    "5": ("0.13", 127, "0.10", "0.10"),
}


@pytest.mark.parametrize("size", SIZES)
def test_the_sizes_are_those_of_the_tables(size: str) -> None:
    ml, lactose_mg, other, least = SIZES[size]
    row = capsule_sizes()[CapsuleSize(f"size {size}")]
    assert (row.ml, row.least_ml) == (Fraction(ml), Fraction(least))
    assert row.least_ml <= Fraction(other)
    assert Fraction("0.970") < Fraction(lactose_mg, 1000) / row.ml < Fraction("0.985")  # one density of lactose


def test_no_size_is_left_out_and_each_is_smaller_than_the_last() -> None:
    rows = list(capsule_sizes().values())
    assert [row.size for row in rows] == list(CapsuleSize)
    assert rows == sorted(rows, key=lambda row: -row.ml)


def capsules(size: str, *lines: str, drug: str = "0.6", filler: str = "0.8") -> Figures:
    files = {
        "formulas/materials/drug.md": f"---\nname: drug\nwater: 0 %\ntapped density: {drug} g/mL\n---\n",
        "formulas/materials/filler.md": f"---\nname: filler\nwater: 0 %\ntapped density: {filler} g/mL\n---\n",
        "formulas/x.md": formula("X", "; ".join(lines), "makes: 20 capsules", f"capsule: {size}"),
    }
    return reckon(book_from({path: text.encode() for path, text in files.items()})).figures["x"]


def test_diluent_for_a_size_by_lactose_itself() -> None:
    """Check value: 250 mg at 0.60 g/mL in size 0; lactose 665 mg to 0.68 mL gives 257.52 mg."""
    density = round(Fraction(665, 680), 12)
    figures = capsules("size 0", "drug: 250 mg each", "filler: q.s.", filler=str(float(density)))
    assert abs(figures.amounts.lines[1].grams / 20 * 1000 - Fraction("257.52")) < Fraction("0.05")


@pytest.mark.parametrize(("size", "larger"), [("1", "size 0"), ("0", None), ("2", "size 0")])
def test_400_mg_at_0_8_g_per_ml(size: str, larger: str | None) -> None:
    """Check value: 0.5 mL; exactly a size 1 by one table, and a size 0 by makers who print 0.48 mL for size 1."""
    capsule = capsules(size, "filler: to 400 mg each").capsule
    assert capsule is not None
    assert capsule.takes_ml == Fraction(1, 2)
    assert (capsule.larger and capsule.larger.size) == larger


def test_what_would_fill_it_up() -> None:
    capsule = capsules("size 1", "drug: 60 mg each", "filler: to 200 mg each").capsule
    assert capsule is not None  # 0.5 − 60 ÷ 600 − 140 ÷ 800 = 0.225 mL
    assert (capsule.takes_ml, capsule.more_g) == (Fraction("0.275"), Fraction("0.18"))
    assert (capsule.filled_up, capsule.filler) == ("", "filler")
    bare = capsules("size 1", "drug: 60 mg each", "filler: q.s.").capsule
    assert bare is not None
    assert (bare.filled_up, bare.filler, bare.more_g) == ("filler", "filler", None)


@given(
    drug=st.integers(20, 120).map(lambda figure: Fraction(figure, 100)),
    filler=st.integers(20, 120).map(lambda figure: Fraction(figure, 100)),
    mg=st.integers(1, 80),
    percent=st.booleans(),
)
@settings(max_examples=12, deadline=None)
def test_a_fill_fills_the_size(drug: Fraction, filler: Fraction, mg: int, percent: bool) -> None:
    """The volumes add up to the size, whether the drug is written for each or as a share of what comes of it."""
    line = f"drug: {mg} %" if percent else f"drug: {mg} mg each"
    lines = capsules("1", line, "filler: q.s.", drug=str(float(drug)), filler=str(float(filler))).amounts.lines
    a, b = (each.grams for each in lines)
    assert a / drug + b / filler == 20 * Fraction(1, 2)
    assert a / (a + b) == Fraction(mg, 100) if percent else a == Fraction(mg * 20, 1000)


def test_page_and_machine_say_it(tmp_path: Path) -> None:
    materials = {"drug": "water: 0 %\ntapped density: 0.6", "filler": "water: 0 %\ntapped density: 0.8"}
    text = formula("X", "drug: 60 mg each; filler: to 200 mg each", "makes: 20 capsules", "capsule: size 1")
    answer = weigh(write_book(tmp_path, {"X": text}, materials=materials), "X")
    assert answer["capsule"] == {
        "size": "size 1", "ml": "0.5", "least_ml": "0.48", "takes_ml": "0.275", "more_g": "0.18", "larger": None,
    }  # fmt: skip


# ── Displacement found from weighings ─────────────────────────────────────────────────────────────────────────────────

FROM_WEIGHINGS = (
    # pieces, mould g, all of them g, % of drug, displacement value: as printed, and exactly
    (10, "1", "15", 40, "6", "6"),  # teaching page on displacement values
    (8, "1", "11.74", 40, "5", "4.9121"),  # homework page, whose first answer takes 8.8 g
)


@pytest.mark.parametrize(("pieces", "mould", "total", "percent", "printed", "exactly"), FROM_WEIGHINGS)
def test_a_displacement_from_weighings_gives_these_weighings_again(
    tmp_path: Path, pieces: int, mould: str, total: str, percent: int, printed: str, exactly: str
) -> None:
    """Drug ÷ (base that fills the moulds − base that is in them) is the value; with it the book weighs the same."""
    drug = Fraction(total) * percent / 100
    value = drug / (pieces * Fraction(mould) - (Fraction(total) - drug))
    assert abs(value - Fraction(exactly)) < Fraction(1, 10000)
    assert abs(value - Fraction(printed)) < Fraction(1, 10)
    written = round(value, 10)
    text = formula("S", f"a: {percent} %; fat: q.s.", f"makes: {pieces} pieces", f"mould: {mould} g of fat")
    how = f"displaces: {float(written)} g per g of fat"
    lines = weigh(write_book(tmp_path, {"S": text}, materials={"a": how, "fat": ""}), "S")["lines"]
    assert abs(sum(Fraction(line["grams"]) for line in lines) - Fraction(total)) < Fraction(1, 10**6)


def test_a_drug_taken_from_finished_suppositories(tmp_path: Path) -> None:
    """25 of 60 mg from 3 of 500 mg and 2.8 g, mould 1.07 g, f 0.72: 18.77 g of base in addition (a pharmacist's page).

    1 g of the old ones takes the place of what base and drug in it do: (2.3 + 0.72 × 0.5) ÷ 2.8 = 0.95 g.
    """
    text = formula("S", "old: 336 mg each; fat: q.s.", "makes: 25 suppositories", "mould: 1.07 g of fat")
    folder = write_book(tmp_path, {"S": text}, materials={"old": "displaces: 0.95 g of fat per g", "fat": ""})
    assert [line["grams"] for line in weigh(folder, "S")["lines"]] == ["8.4", "18.77"]


@pytest.mark.parametrize(("factor", "value"), [("0.72", "1.3889"), ("0.2128", "4.7")])
def test_each_definition_from_the_other(factor: str, value: str) -> None:
    one = read_displaces(f"{factor} g of fat per g", False).grams  # type: ignore[union-attr]
    assert abs(1 / one - Fraction(value)) < Fraction("0.001")
