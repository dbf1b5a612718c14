"""What keeps water from spoiling, at its corners: shares, pH, what takes it up, and what is mistaken for it."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest
import yaml

from bookgen.model import Preserver
from bookgen.reckon.acids import forms_of, undissociated
from bookgen.reckon.figures import reckon
from bookgen.reckon.preserving import Effect
from bookgen.reckon.storage import Preparation, StorageFigure
from bookgen.reference.limits import limits
from bookgen.reference.preservatives import preservatives
from bookgen.source import read_book

from ..books_of_text import MATERIALS, ONE_BALANCE, formula, write_book

WATER, KEPT, PRESERVED = Preparation.WATER, Preparation.SELF_KEEPING, Preparation.PRESERVED
SPIRIT = {"spirit": "contains:\n  ethanol: 100 %"}


def stored(folder: Path, lines: str, *keys: str, more: dict[str, str] | None = None) -> StorageFigure:
    names = {line.partition(":")[0].strip() for line in lines.split(";")}
    materials = dict.fromkeys(names, "water: 0 %") | MATERIALS | SPIRIT | (more or {})
    book = write_book(folder / "book", {"F": formula("F", lines, *keys)}, materials, ONE_BALANCE)
    return reckon(read_book(book)).figures["f"].storage


@pytest.mark.parametrize(
    ("lines", "keys", "kind", "by"),
    [
        ("sucrose: 850 g; water: 463 g", "", KEPT, Preserver.SUGAR),
        ("sucrose: 849 g; water: 464 g", "", WATER, None),
        ("sodium chloride: 23.1 %; water: 76.9 %", "", KEPT, Preserver.SALT),
        ("sodium chloride: 23.0 %; water: 77.0 %", "", WATER, None),
        ("glycerol: 1261 g; water: 1000 g", "", KEPT, Preserver.GLYCEROL),
        ("glycerol: 1260 g; water: 1000 g", "", WATER, None),
        ("sucrose: 425 g; glycerol: 1261 g; water: 1225 g", "", KEPT, Preserver.GLYCEROL),
        ("sucrose: 425 g; glycerol: 1261 g; water: 1226 g", "", WATER, None),
        ("propylene glycol: 186.48 g; water: 820 g", "", KEPT, Preserver.GLYCOL),
        ("propylene glycol: 186.47 g; water: 820 g", "", WATER, None),
        ("spirit: 142.1 g; water: 820 g", "", Preparation.ALCOHOL, Preserver.ALCOHOL),
        ("spirit: 142.0 g; water: 820 g", "", WATER, None),
        ("spirit: 118.4 g; water: 850 g", "pH: 5", Preparation.ALCOHOL, Preserver.ALCOHOL),
        ("spirit: 118.3 g; water: 850 g", "pH: 5", WATER, None),
        ("spirit: 118.4 g; water: 850 g", "pH: 4.9 to 5.1", WATER, None),
        ("spirit: 71.1 g; propylene glycol: 93.3 g; water: 820 g", "", Preparation.ALCOHOL, Preserver.ALCOHOL),
        ("spirit: 70 g; propylene glycol: 95 g; water: 820 g", "", KEPT, Preserver.GLYCOL),
        ("spirit: 58.5 g; sucrose: 500 g; water: 602.35 g", "", Preparation.ALCOHOL, Preserver.ALCOHOL),
        ("spirit: 58.4 g; sucrose: 500 g; water: 602.35 g", "", WATER, None),
        ("a: 1 %; water: to 100 g", "pH: 10 to 11", KEPT, Preserver.ALKALI),
        ("a: 1 %; water: to 100 g", "pH: 9.9 to 11", WATER, None),
    ],
)  # fmt: skip
def test_what_else_keeps_water(lines, keys, kind, by, tmp_path):
    """Thresholds of the table of preservatives, just reached and just missed; own arithmetic."""
    figure = stored(tmp_path, lines, *([keys] if keys else []))
    assert (figure.preparation, figure.keeping.by) == (kind, by)


@pytest.mark.parametrize(
    ("lines", "ph", "effect", "kind"),
    [
        ("phenoxyethanol: 0.5 %, preservative", "", Effect.WORKS, PRESERVED),
        ("phenoxyethanol: 0.5 %", "", Effect.WORKS, PRESERVED),
        ("phenoxyethanol: 0.49 %, preservative", "", Effect.LITTLE, WATER),
        ("phenoxyethanol: 0.49 %, preservative; ethylhexylglycerin: 0.3 %", "", Effect.LITTLE, PRESERVED),
        ("phenoxyethanol: 0.8 %, preservative", "8", Effect.PH_BEYOND, PRESERVED),
        ("methylparaben: 0.1 %, preservative", "8.1", Effect.PH_BEYOND, WATER),
        ("methylparaben: 0.1 %, preservative", "3.9", Effect.PH_BEYOND, WATER),
        ("methylparaben: 0.1 %, preservative", "7.9 to 8.1", Effect.PH_CROSSES, PRESERVED),
        ("methylparaben: 0.1 %, preservative", "8 to 8.5", Effect.PH_CROSSES, PRESERVED),
        ("methylparaben: 0.1 %, preservative", "3.5 to 4", Effect.PH_CROSSES, PRESERVED),
        ("methylparaben: 0.05 %, preservative", "7.9 to 8.1", Effect.LITTLE, WATER),
        ("methylparaben: 0.1 %, preservative; polysorbate 80: 3 %", "6", Effect.TAKEN_UP, PRESERVED),
        ("benzoic acid: 0.1 %, preservative", "5", Effect.WORKS, PRESERVED),
        ("benzoic acid: 0.1 %, preservative", "1.5", Effect.WORKS, PRESERVED),
        ("benzoic acid: 0.1 %, preservative", "5.1", Effect.PH_BEYOND, PRESERVED),
        ("benzoic acid: 0.1 %, preservative", "5.16", Effect.PH_BEYOND, WATER),
        # a tenth is undissociated at pKa + log 9: 4.20 and 4.76 + 0.9542 (own arithmetic)
        ("benzoic acid: 0.1 %, preservative", "5.15", Effect.PH_BEYOND, PRESERVED),
        ("sorbic acid: 0.1 %, preservative", "5.71", Effect.PH_BEYOND, PRESERVED),
        ("sorbic acid: 0.1 %, preservative", "5.72", Effect.PH_BEYOND, WATER),
        ("benzoic acid: 0.05 %, preservative", "5.1", Effect.LITTLE, WATER),
        ("benzoic acid: 0.05 %, preservative", "6", Effect.PH_BEYOND, WATER),
        ("benzoic acid: 0.1 %, preservative", "", Effect.PH_UNWRITTEN, PRESERVED),
        ("benzoic acid: 0.05 %, preservative", "", Effect.LITTLE, WATER),
        (
            "benzoic acid: {amount: 1 g, left: at most 0.5 g, removed: filtered}",
            "4",
            None,
            WATER,
        ),
        ("benzoic acid: 0.1 %", "", None, WATER),
        ("sodium benzoate: 0.12 %, preservative", "4.5", Effect.WORKS, PRESERVED),
        ("sodium benzoate: 0.11 %, preservative", "4.5", Effect.LITTLE, WATER),
        ("salicylic acid: 0.05 %, preservative", "3.5", Effect.LITTLE, PRESERVED),  # a row from memory bars nothing
        ("salicylic acid: 0.2 %", "3.5", None, WATER),  # nor does it keep what nobody calls a preservative
        ("chlorhexidine digluconate: 0.01 %, preservative", "", Effect.WORKS, PRESERVED),
        ("chlorocresol: 0.1 %, preservative", "", Effect.PH_UNWRITTEN, PRESERVED),
        ("cetrimide: 0.1 %, preservative", "", Effect.PH_UNWRITTEN, PRESERVED),
        ("p-anisic acid: 0.2 %, preservative", "5", Effect.PARTNER, PRESERVED),
        ("caprylyl glycol: 0.5 %, preservative", "5", Effect.PARTNER, PRESERVED),
    ],
)
def test_a_preservative_in_its_share_and_ph(lines, ph, effect, kind, tmp_path):
    figure = stored(tmp_path, f"{lines}; water: to 100 g", *([f"pH: {ph}"] if ph else []))
    assert figure.preparation is kind
    judged = [item for item in figure.keeping.judged if not item.row.partner or effect is Effect.PARTNER]
    assert [item.effect for item in judged] == ([] if effect is None else [effect])


def test_shares_below_the_usual_add_up(tmp_path):
    """Half the lowest share of one and half of another; own choice, no source."""
    for number, (share, works) in enumerate((("0.05", True), ("0.049", False))):
        pair = f"methylparaben: {share} %, preservative; propylparaben: 0.01 %, preservative; water: to 100 g"
        figure = stored(tmp_path / str(number), pair, "pH: 6")
        assert figure.keeping.together is works
        assert figure.preparation is (PRESERVED if works else WATER)


@pytest.mark.parametrize(
    ("name", "front", "is_mistaken"),
    [
        ("goat milk", "water: 88 %", True),
        ("drops", "contains:\n  tocopherols: 70 %\nwater: 0 %", True),
        ("drops", "contains:\n  tocopherols: 70 %\n  phenoxyethanol: 30 %\nwater: 0 %", False),
        ("tocopherol", "contains:\n  phenoxyethanol: 30 %\nwater: 0 %", False),
        ("tocopherol", "contains:\n  sunflower oil: 30 %\nwater: 0 %", True),
        ("drops", "contains:\n  tocopherols: 70 %\n  secret: 30 %\nwater: 0 %", False),
        ("secret", "water: 0 %", False),
        ("honey", "water: 18 %\nknown as: nothing listed", False),
    ],
)
def test_what_is_mistaken_for_a_preservative(name, front, is_mistaken, tmp_path):
    figure = stored(tmp_path, f"{name}: 5 %, preservative; water: to 100 g", more={name: front})
    assert bool(figure.mistaken) is is_mistaken
    assert figure.preparation is (WATER if is_mistaken else PRESERVED)


def test_salt_and_sugar_are_preservatives_from_their_share_on_alone(tmp_path):
    """A salted water for the eye is not preserved by calling its salt a preservative."""
    for number, (line, kind) in enumerate(
        (
            ("sodium chloride: 0.9 %", WATER),
            ("sodium chloride: 24 %", KEPT),
            ("spirit: 5 %", WATER),
            ("spirit: 25 %", Preparation.ALCOHOL),
        )
    ):
        lines = f"{line}, preservative; water: to 100 g"
        figure = stored(tmp_path / str(number), lines)
        assert figure.preparation is kind
        assert bool(figure.mistaken) is (kind is WATER)


def test_the_word_of_the_formula_holds_with_its_reason_alone(tmp_path):
    lines = "a: 60 %; water: to 100 g"
    for number, (key, kind) in enumerate(
        (
            ("preserved by: {what: sugar, because: two years on the shelf}", KEPT),
            ("preserved by: {what: alcohol, because: two years on the shelf}", Preparation.ALCOHOL),
            ("preserved by: {what: preservative, because: tested}", PRESERVED),
            ("preserved by: sugar", WATER),
        )
    ):
        figure = stored(tmp_path / str(number), lines, key)
        assert figure.preparation is kind
        assert (figure.by_word_of_formula is not None) is (kind is not WATER)


def test_more_acid_leaves_more_of_it_undissociated():
    pka = Fraction("4.2")
    shares = [undissociated(pka, Fraction(tenths, 10)) for tenths in range(141)]
    assert all(higher > lower for higher, lower in pairwise(shares))
    assert all(0 < share < 1 for share in shares)


def test_an_undissociated_share_has_fifteen_decimals():
    """1 ÷ (1 + 10 to the power of 0.4) is 0.28474724895080… (own arithmetic)."""
    assert undissociated(Fraction("4.2"), Fraction("4.6")) == Fraction("0.284747248950801")


def test_the_forms_of_an_acid_make_up_the_whole():
    pkas = [Fraction("3.13"), Fraction("4.76"), Fraction("6.40")]
    for tenths in range(141):
        shares = forms_of(pkas, Fraction(tenths, 10))
        assert abs(sum(shares) - 1) < Fraction(1, 10**14)
        assert (
            undissociated(pkas[0], Fraction(tenths, 10), *pkas[1:])
            == shares[0]
            < undissociated(pkas[0], Fraction(tenths, 10))
        )


@pytest.mark.parametrize(
    ("front", "pkas", "of_file"),
    [
        ("known as: sodium benzoate", ["4.2"], False),
        ("known as: sodium benzoate\npKa: 4.35", ["4.35"], True),
        ("known as: sodium benzoate\npKa: [4.3, 6.1]", ["4.3", "6.1"], True),
        ("contains:\n  sodium benzoate: 50 %\n  phenoxyethanol: 50 %\npKa: 4.3", ["4.3"], True),
        ("contains:\n  sodium benzoate: 50 %\n  potassium sorbate: 50 %\npKa: 4.3", ["4.2"], False),
        ("known as: methylparaben\npKa: 8.4", ["8.4"], True),
        ("contains:\n  sodium benzoate: 50 %\n  glycerol: 50 %\npKa: 4.3", ["4.3"], True),
        ("contains:\n  methylparaben: 50 %\n  phenoxyethanol: 50 %\npKa: 8.4", None, False),
    ],
)
def test_the_pka_of_a_file_holds_where_it_says_of_which_acid(front, pkas, of_file, tmp_path):
    """One file with two weak acids does not say whose its pKa is; of a row that is no weak acid it makes one."""
    figure = stored(
        tmp_path, "keeper: 0.5 %, preservative; water: to 100 g", "pH: 4.5", more={"keeper": f"{front}\nwater: 0 %"}
    )
    wanted = {"Sodium benzoate", "Methylparaben"}
    (judged,) = (item for item in figure.keeping.judged if wanted & set(item.substances))
    assert (judged.acid is None) is (pkas is None)
    if judged.acid is not None and pkas is not None:
        assert (judged.acid.pkas, judged.acid.of_file) == (tuple(map(Fraction, pkas)), of_file)
        first = undissociated(judged.acid.pkas[0], Fraction("4.5"), *judged.acid.pkas[1:])
        assert judged.acid.free == (first, first)


def test_further_steps_of_an_acid_count_where_it_is_beyond_its_working_ph(tmp_path):
    """At pH 5.1 11 % by a pKa of 4.2 alone, 1.7 % with a second of 4.3 (own arithmetic)."""
    for number, (pkas, kind) in enumerate((("4.2", PRESERVED), ("4.2, 4.3", WATER))):
        lines = "benzoic acid: 0.1 %, preservative; water: to 100 g"
        more = {"benzoic acid": f"pKa: {pkas}\nwater: 0 %"}
        figure = stored(tmp_path / str(number), lines, "pH: 5.1", more=more)
        assert [item.effect for item in figure.keeping.judged] == [Effect.PH_BEYOND]
        assert figure.preparation is kind


def test_a_content_that_is_not_known_leaves_the_amount_unknown(tmp_path):
    more = {"keeper": "contains:\n  sodium benzoate: 90 % of dried\nwater: 0 %"}
    (judged,) = stored(tmp_path, "keeper: 1 %, preservative; water: to 100 g", "pH: 4", more=more).keeping.judged
    assert judged.effect is Effect.UNKNOWN


def test_one_of_its_materials_called_so_is_enough(tmp_path):
    lines = "sodium benzoate: 0.2 %, preservative; benzoic acid: 0.1 %; water: to 100 g"
    (judged,) = stored(tmp_path, lines, "pH: 4.5").keeping.judged
    assert judged.called
    assert judged.substances == ("Benzoic acid", "Sodium benzoate")


def test_of_two_files_the_lowest_pka_holds(tmp_path):
    lines = "sodium benzoate: 0.3 %, preservative; benzoic acid: 0.1 %, preservative; water: to 100 g"
    more = {"sodium benzoate": "pKa: 4.3", "benzoic acid": "pKa: 4.1"}
    (judged,) = stored(tmp_path, lines, "pH: 4.5", more=more).keeping.judged
    assert judged.acid is not None
    assert judged.acid.pkas == (Fraction("4.1"),)


def test_a_pka_of_the_file_moves_the_ph_up_to_which_it_is_not_said_to_fail(tmp_path):
    """A tenth of benzoic acid is undissociated at pH 5.15, by a pKa of 4.3 at 5.25 (pKa + log10 of 9)."""
    for number, (front, effect_is_sure) in enumerate((("water: 0 %", True), ("pKa: 4.3\nwater: 0 %", False))):
        lines = "benzoic acid: 0.1 %, preservative; water: to 100 g"
        (judged,) = stored(tmp_path / str(number), lines, "pH: 5.2", more={"benzoic acid": front}).keeping.judged
        assert (judged.effect, judged.is_sure) == (Effect.PH_BEYOND, effect_is_sure)


def test_the_pka_of_what_no_table_has_is_told_at_the_formulas_ph(tmp_path):
    lines = "fern acid: 1 %, preservative; water: to 100 g"
    for number, (ph, free) in enumerate((("pH: 4.2 to 5.2", True), ("", False))):
        figure = stored(tmp_path / str(number), lines, *([ph] if ph else []), more={"fern acid": "pKa: 4.2"})
        (acid,) = figure.keeping.acids.values()
        assert figure.keeping.by_word == ("fern acid",)
        least = undissociated(Fraction("4.2"), Fraction("5.2"))
        assert acid.free == ((least, Fraction(1, 2)) if free else None)
        assert len(acid.forms) == (2 if free else 0)


def test_each_row_of_preservatives_has_its_second_copy():
    """Every figure of the table stands in the check values too, so that none is changed unseen."""
    path = Path(__file__).parents[1] / "check_values" / "07-preservation.yaml"
    items = yaml.safe_load(path.read_text(encoding="utf-8"))
    held = {item["inputs"]["substance"] for item in items if item["checks"] == "preservative"}
    table = preservatives()
    assert {table.by_substance[name] for name in held} == set(table.by_substance.values())
    copied = {name for item in items if item["checks"] == "what keeps" for name in item["expected"]}
    numbers = {f"{key} {name}" for key, row in table.kept.items() for name in row.numbers}
    assert numbers - copied == {"sucrose grams", "sucrose in", "sucrose holds"}  # held by the syrups


def test_the_table_says_of_each_name_one_thing():
    table = preservatives()
    assert table.by_substance.keys().isdisjoint(table.mistaken)
    kept = {name for row in table.kept.values() for name in row.substances}
    assert kept == {name for name, row in table.mistaken.items() if row.by_share}
    for name, substance in table.names.items():
        assert limits().names.get(name, substance) == substance
