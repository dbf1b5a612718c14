"""Whether a product holds together: what must be asked, where silence is right, and each figure at its edge."""

from __future__ import annotations

from pathlib import Path

import pytest

from bookgen.findings import Missing
from bookgen.fraction import Fraction
from bookgen.pipeline import check_book
from bookgen.reckon.carrying import _is_strong
from bookgen.reckon.dissolving import Dissolved
from bookgen.reckon.holding import told_of_carrying, told_of_dissolving
from bookgen.reference.dissolving import dissolving
from bookgen.wording.saying import says

from ..books_of_text import write_book

OIL, SCENT = (
    "kind: liquid\nsoluble: oil\nwater: 0 %",
    "kind: liquid\nsoluble: oil, ethanol\nwater: 0 %\nfunction: aroma",
)
SALT = "kind: crystals\nsoluble: water\nwater: 0 %"
MATERIALS = {
    "water": "kind: liquid\nwater: 100 %\ndensity: 0.998",
    "olive oil": OIL,
    "jojoba oil": OIL,
    "beeswax": "kind: wax\nsoluble: oil",
    "shea butter": "kind: butter\nsoluble: oil",
    "cetyl alcohol": "kind: wax\nsoluble: oil",
    "vitamin e": "kind: liquid\nsoluble: oil, ethanol\nwater: 0 %",
    "castor oil": "kind: liquid\nsoluble: oil, ethanol\nwater: 0 %",
    "neroli oil": SCENT,
    "glycerol": "kind: liquid\nsoluble: water, ethanol\nwater: 0 %",
    "phenoxyethanol": "kind: liquid\nsoluble: water, ethanol\nwater: 0 %",
    "propylene glycol": "kind: liquid\nsoluble: water, ethanol\nwater: 0 %",
    "spirit": "kind: liquid\nsoluble: water, ethanol\ncontains:\n  ethanol: 96 %vol\nwater: 6.2 %",
    "zinc oxide": "kind: powder\nwater: 0 %",
    "kaolin": "kind: powder\nwater: 0 %",
    "xanthan gum": "kind: powder\nsoluble: water\nwater: 0 %\nfunction: thickener",
    "polysorbate 20": "kind: liquid\nsoluble: water, ethanol\nwater: 0 %",
    "syrup": "kind: liquid\ncontains:\n  sucrose: 66.7 %\nwater: 33.3 %",
    "sorbitol solution": "kind: liquid\ncontains:\n  sorbitol: 70 %\nwater: 30 %",
    "lime water": "kind: liquid\ncontains:\n  calcium hydroxide: 0.17 %\nwater: 99.83 %",
    "soda lye": "kind: liquid\ncontains:\n  sodium hydroxide: 33 %\nwater: 67 %",
    "lactic acid": "kind: liquid\nsoluble: water\ncontains:\n  lactic acid: 80 %\nwater: 20 %",
    "rose water": "kind: liquid\nwater: 100 %",
    "stearic acid": "kind: wax\nsoluble: oil",
    "triethanolamine": "kind: liquid\nsoluble: water\nwater: 0 %",
    "epsom salt": "kind: crystals\nsoluble: water\nwater: 51 %",
    "alum solution": "kind: liquid\nwater: 90 %\ncontains:\n  potassium alum: 10 %",
    "iron oxide": "kind: powder\ndissolves: {water: 0.01 g}",
    "azure": "kind: powder\nsoluble: water\ndissolves: {water: 4 to 5 g}",
    "rosin": "kind: powder\nsoluble: oil, ethanol\ndissolves: {ethanol: 50 g, water: 0 g}",
    "amber acid": "kind: crystals\nsoluble: water, ethanol\ndissolves: {water: 8 g}",
    "hot salt": "kind: crystals\nsoluble: water\ndissolves: {water: 80 g at 90 °C}",
    "bought cream": "kind: gel\nwater: 70 %\nlabel:\n  Aqua: 70 %\n  Paraffinum Liquidum: 25 %\n  Polysorbate 60: 5 %",
    "half water": "kind: liquid\nwater: 50 %",
    "less water": "kind: liquid\nwater: 49 %",
    "half spirit": "kind: liquid\nsoluble: water\nwater: 40 %\ncontains:\n  ethanol: 50 %\n  sugar: 10 %",
    "less spirit": "kind: liquid\nsoluble: water\nwater: 40 %\ncontains:\n  ethanol: 49 %\n  sugar: 11 %",
    "extract": "kind: liquid\nsoluble: water",
}
RULES = {
    "more-than-dissolves", "perhaps-more-than-dissolves", "want-more-water", "oil-not-carried", "water-not-carried",
}  # fmt: skip


def figures_of(folder: Path, lines: str, head: str = "", **formulas: str):
    """Return the rules of this topic that speak of X, its figures and its book; 100 g where it does not say."""
    names = {line.split(":")[0].strip() for text in (lines, *formulas.values()) for line in text.split(";")}
    materials = {
        name.replace(" ", "-"): f"also: {name}\n{MATERIALS.get(name, SALT)}"
        for name in names - {code.upper() for code in formulas}
    }

    def text(code: str, its_lines: str, keys: str) -> str:
        body = "\n".join(f"  {line.strip()}" for line in its_lines.split(";"))
        its_keys = "\n".join(key.strip() for key in keys.split(";")) + ("" if "makes" in keys else "\nmakes: 100 g")
        return f"---\ncode: {code}\ntitle: {code}\n{its_keys}\ningredients:\n{body}\n---\n"

    written = {"X": text("X", lines, head)}
    written |= {
        code.upper(): text(code.upper(), its_lines, "use: intermediate") for code, its_lines in formulas.items()
    }
    checked = check_book(write_book(folder / "book", written, materials))
    mine = (finding for finding in checked.review.findings if finding.concerns == "X")
    found = {finding.rule for finding in mine if finding.rule in RULES}
    return found, checked.reckoning.figures["x"], checked.reckoning.book


# what a practitioner would leave alone: lines, head
SILENT = {
    "bath salts": ("sodium hydrogen carbonate: 50 %; citric acid: 25 %; epsom salt: to 100 g", ""),
    "fizzing ball": ("sodium hydrogen carbonate: 60 %; citric acid: 30 %; olive oil: 5 %; water: to 100 g", ""),
    "oil into a bought cream": ("olive oil: 5 %; bought cream: to 100 g", ""),
    "oil into a bought base": ("olive oil: 5 %; rose water: to 100 g, cream base", ""),
    "zinc paste": ("zinc oxide: 25 %; olive oil: to 100 g", ""),
    "shake lotion": ("zinc oxide: 20 %; kaolin: 20 %; glycerol: 10 %; water: to 100 g", ""),
    "simple syrup": ("sucrose: 66.7 %; water: to 100 g", ""),
    "bought syrup, concentrated": ("syrup: 90 %; citric acid: 1 %; water: to 100 g", ""),
    "sorbitol solution": ("sorbitol solution: 80 %; water: to 100 g", ""),
    "hydrogel": ("xanthan gum: 1 %; glycerol: 5 %; water: to 100 g", ""),
    "scented gel": ("xanthan gum: 1 %; neroli oil: 1 %; water: to 100 g", ""),
    "cream": ("olive oil: 20 %; cetyl alcohol: 3 %; sorbitan stearate: 4 %, emulsifier; water: to 100 g", ""),
    "cream by a name alone": ("olive oil: 20 %; lecithin: 3 %; water: to 100 g", ""),
    "soap of stearic acid": ("stearic acid: 20 %; triethanolamine: 1 %; water: to 100 g", ""),
    "cold process soap": ("olive oil: 70 %; soda lye: to 100 g", ""),
    "borax cream": ("beeswax: 15 %; olive oil: 50 %; borax: 1 %; water: to 100 g", ""),
    "cologne": ("neroli oil: 3 %; spirit: 80 %; water: to 100 g", ""),
    "castor oil in spirit": ("castor oil: 5 %; spirit: to 100 g", ""),
    "aromatic water": ("neroli oil: 0.05 %; water: to 100 g", ""),
    "washed oil": ("olive oil: to 100 g; water: {amount: 20 g, left: 0.1 %}", ""),
    "two-phase remover": ("olive oil: 40 %; sodium chloride: 0.5 %; water: to 100 g", "purpose: two-phase, remover"),
    "sugar scrub": ("sucrose: 60 %; olive oil: to 100 g", ""),
    "salt scrub with wash": ("sodium chloride: 60 %, scrub; polysorbate 20: 10 %; water: to 100 g", ""),
    "clay mask": ("kaolin: 45 %; olive oil: 3 %; water: to 100 g", ""),
    "balm with zinc": ("zinc oxide: 10 %; beeswax: 10 %; shea butter: to 100 g", ""),
    "mouth wash with solubiliser": ("neroli oil: 0.2 %; polysorbate 20: 1 %; water: to 100 g", ""),
    "acid in spirit": ("salicylic acid: 2 %; spirit: 60 %; water: to 100 g", ""),
    "acid with glycol": ("salicylic acid: 2 %; propylene glycol: 30 %; water: to 100 g", "pH: 3.0"),
    "acid made a salt": ("salicylic acid: 2 %; sodium hydroxide: 0.6 %; water: to 100 g", "pH: 5.5"),
    "preserved tonic": ("sodium benzoate: 0.4 %; potassium sorbate: 0.2 %; water: to 100 g", "pH: 4.2 to 4.6"),
    "acid beside its alkali, no pH": ("salicylic acid: 2 %; sodium hydroxide: 0.6 %; water: to 100 g", ""),
    "iodine solution": ("iodine: 5 %; potassium iodide: 10 %; water: to 100 g", ""),
    "lime water": ("lime water: 50 %; water: to 100 g", ""),
    "lime liniment": ("lime water: 50 %; olive oil: to 100 g", ""),
    "alum solution": ("alum solution: 80 %; water: to 100 g", ""),
    "pigment in water": ("iron oxide: 20 %; water: to 100 g", ""),
    "rosin in spirit": ("rosin: 20 %; spirit: to 100 g", ""),
    "washing powder": ("soda ash: 60 %; sodium hydrogen carbonate: to 100 g", ""),
    "perfume oil": ("neroli oil: 10 %; jojoba oil: to 100 g", ""),
    "parabens in a cream": ("methylparaben: 0.3 %; olive oil: 20 %; polysorbate 20: 3 %; water: to 100 g", ""),
    "menthol in a shampoo": ("menthol: 0.5 %; polysorbate 20: 12 %, surfactant; water: to 100 g", ""),
    "camphor spirit": ("camphor: 10 %; spirit: 70 %; water: to 100 g", ""),
    "effervescent solution": ("sodium hydrogen carbonate: 20 %; citric acid: 15 %; water: to 100 g", ""),
    "extract of unknown water": ("sodium chloride: 20 %; extract: to 100 g", ""),
}  # fmt: skip


@pytest.mark.parametrize("name", SILENT)
def test_what_a_practitioner_leaves_alone(name, tmp_path):
    lines, head = SILENT[name]
    found, figures, book = figures_of(tmp_path, lines, head)
    told = [saying.words() for saying in told_of_dissolving(figures.dissolving)]
    assert not found, (told, told_of_carrying(figures.carrying, book.materials))


# lines, head, what is asked: just beyond each edge, in pairs with what is at it
ASKED = (
    # exactly at what dissolves, and a thousandth beyond it
    ("sodium chloride: 36 g; water: 100 g", "makes: 136 g", set()),
    ("sodium chloride: 36.04 g; water: to 136.04 g", "makes: 136.04 g", {"more-than-dissolves"}),
    ("epsom salt: 115.7 g; water: to 215.7 g", "makes: 215.7 g", set()),
    ("epsom salt: 115.8 g; water: to 215.8 g", "makes: 215.8 g", {"more-than-dissolves"}),
    ("potassium alum: 12 %; water: to 100 g", "", {"more-than-dissolves"}),
    ("magnesium sulfate anhydrous: 10 g; epsom salt: 80 g; water: 100 g", "makes: 190 g", set()),
    ("magnesium sulfate anhydrous: 12 g; epsom salt: 80 g; water: 100 g", "makes: 192 g", {"more-than-dissolves"}),
    # the keeper's figure before the table, and a range of it
    ("azure: 4 g; water: 100 g", "makes: 104 g", set()),
    ("azure: 4.1 g; water: 100 g", "makes: 104.1 g", {"perhaps-more-than-dissolves"}),
    ("azure: 5 g; water: 100 g", "makes: 105 g", {"perhaps-more-than-dissolves"}),
    ("azure: 5.1 g; water: 100 g", "makes: 105.1 g", {"more-than-dissolves"}),
    # free acid by pH: K-21's salt, at 3 and 4 it comes out and at 5 not
    ("sodium benzoate: 1 %; water: to 100 g", "pH: 3", {"more-than-dissolves"}),
    ("sodium benzoate: 1 %; water: to 100 g", "pH: 4", {"more-than-dissolves"}),
    ("sodium benzoate: 1 %; water: to 100 g", "pH: 5", set()),
    ("sodium benzoate: 1 %; water: to 100 g", "pH: 4 to 5", {"perhaps-more-than-dissolves"}),
    ("sodium benzoate: 1 %; water: to 100 g", "", set()),
    ("benzoic acid: 1 %; water: to 100 g", "", {"more-than-dissolves"}),
    ("salicylic acid: 1 %; sodium salicylate: 1 %; water: to 100 g", "pH: 3", {"more-than-dissolves"}),
    # less than a tenth of water is no solution
    ("sodium chloride: 90 %; water: to 100 g", "", {"more-than-dissolves"}),
    ("sodium chloride: 90.1 %; water: to 100 g", "", set()),
    # other solvents from a twentieth of the liquid on
    ("citric acid: 65 g; spirit: 1.5 g; water: 33.5 g", "", {"more-than-dissolves"}),
    ("citric acid: 65 g; spirit: 2 g; water: 33 g", "", set()),
    # sums over substances: borax and hydrogen carbonate of the help desk, and what each wants
    ("borax: 30 g; sodium hydrogen carbonate: 20 g; water: 600 g", "makes: 650 g", {"want-more-water"}),
    ("borax: 30 g; sodium hydrogen carbonate: 20 g; water: 700 g", "makes: 750 g", set()),
    ("sodium chloride: 35 g; potassium alum: 0.5 g; water: 100 g", "makes: 135.5 g", set()),
    ("sodium chloride: 35 g; potassium alum: 0.6 g; water: 100 g", "makes: 135.6 g", {"want-more-water"}),
    # an acid with a quarter of its weight of alkali is a salt
    ("citric acid: 65 g; sodium hydroxide: 16 g; water: 19 g", "", {"more-than-dissolves"}),
    ("citric acid: 64 g; sodium hydroxide: 16 g; water: 20 g", "", set()),
    # iodine with as much iodide
    ("iodine: 5 %; potassium iodide: 4.9 %; water: to 100 g", "", {"more-than-dissolves"}),
    # what the file says of other solvents
    ("rosin: 40 %; spirit: to 100 g", "", {"more-than-dissolves"}),
    ("amber acid: 20 %; water: to 100 g", "", {"more-than-dissolves"}),
    ("amber acid: 20 %; spirit: 40 %; water: to 100 g", "", set()),
    ("hot salt: 50 %; water: to 100 g", "", set()),
    # oil in water
    ("vitamin e: 0.02 %; water: to 100 g", "", {"oil-not-carried"}),
    ("neroli oil: 0.06 %; water: to 100 g", "", {"oil-not-carried"}),
    ("jojoba oil: 2 %; spirit: 70 %; water: to 100 g", "", {"oil-not-carried"}),
    ("castor oil: 5 %; spirit: 45 %; water: to 100 g", "", set()),
    ("castor oil: 5 %; spirit: 44 %; water: to 100 g", "", {"oil-not-carried"}),
    ("xanthan gum: 1 %; olive oil: 1.1 %; water: to 100 g", "", {"oil-not-carried"}),
    ("kaolin: 19.9 %; olive oil: 3 %; water: to 100 g", "", {"oil-not-carried"}),
    ("kaolin: 20 %; olive oil: 3 %; water: to 100 g", "", set()),
    ("olive oil: 30 %; sodium hydroxide: 0.1 %; water: to 100 g", "pH: 5 to 6.9", {"oil-not-carried"}),
    ("olive oil: 30 %; sodium hydroxide: 0.1 %; water: to 100 g", "pH: 5 to 7", set()),
    ("olive oil: 30 %; water: to 100 g", "purpose: not two-phase", {"oil-not-carried"}),
    ("neroli oil: 1 %; glycerol: to 100 g", "", {"oil-not-carried"}),
    # what counts as watery
    ("half water: 20 %; olive oil: to 100 g", "", {"water-not-carried"}),
    ("less water: 20 %; olive oil: to 100 g", "", set()),
    ("half spirit: 20 %; olive oil: to 100 g", "", set()),
    ("less spirit: 20 %; olive oil: to 100 g", "", {"water-not-carried"}),
    ("phenoxyethanol: 1 %; olive oil: to 100 g", "", set()),
    # as much of one as of the other, and a dry product in which crystals hold oil
    ("olive oil: 50 %; water: 50 %", "", {"oil-not-carried"}),
    ("sodium chloride: 88 %; olive oil: 2 %; water: 10 %", "", {"oil-not-carried", "more-than-dissolves"}),
    ("sodium chloride: 88.1 %; olive oil: 2 %; water: 9.9 %", "", set()),
    # water in oil
    ("beeswax: 20 %; olive oil: 70 %; glycerol: to 100 g", "", {"water-not-carried"}),
    ("beeswax: 20 %; rose water: 20 %; olive oil: to 100 g", "", {"water-not-carried"}),
    ("beeswax: 20 %; rose water: 20 %; lanolin: 5 %; olive oil: to 100 g", "", set()),
)  # fmt: skip


@pytest.mark.parametrize(("lines", "head", "rules"), ASKED)
def test_at_an_edge_and_beyond_it(lines, head, rules, tmp_path):
    found, figures, _ = figures_of(tmp_path, lines, head)
    assert found == rules, [saying.words() for saying in told_of_dissolving(figures.dissolving)]


def test_an_emulsifier_inside_an_intermediate_carries(tmp_path):
    found, figures, book = figures_of(
        tmp_path, "BASE: 30 %; water: to 100 g", base="olive oil: 80 %; sorbitan stearate: to 100 g, emulsifier"
    )
    assert not found
    told = told_of_carrying(figures.carrying, book.materials)
    assert told is not None
    assert str(told).startswith("oil and water: sorbitan-stearate carries the one into the other")


def test_a_function_of_a_line_inside_an_intermediate_counts(tmp_path):
    found, _, _ = figures_of(tmp_path, "BASE: 30 %; water: to 100 g", base="olive oil: 80 %; x1: to 100 g, emulsifier")
    assert not found


def test_what_an_intermediate_has_wrong_is_told_there_alone(tmp_path):
    found, _, _ = figures_of(tmp_path, "BASE: 30 %; water: to 100 g", base="neroli oil: 5 %; water: to 100 g")
    assert not found
    checked = check_book(tmp_path / "book")
    assert [finding.concerns for finding in checked.review.findings if finding.rule == "oil-not-carried"] == ["BASE"]


def test_a_compound_raw_material_that_holds_an_emulsifier_carries(tmp_path):
    folder = tmp_path / "book"
    materials = {
        "oil": OIL,
        "blend": "kind: liquid\nwater: 0 %\ncontains:\n  polysorbate 80: 60 %\n  glycerol: 40 %",
        "water": "water: 100 %",
    }
    text = "---\ncode: X\ntitle: X\ningredients:\n  oil: 5 g\n  blend: 5 g\n  water: 90 g\n---\n"
    checked = check_book(write_book(folder, {"X": text}, materials))
    assert not {finding.rule for finding in checked.review.findings} & RULES


def test_water_through_an_intermediate_counts(tmp_path):
    found, figures, _ = figures_of(tmp_path, "sodium chloride: 20 g; BASE: 80 g", base="zinc oxide: 20 %; water: 80 %")
    assert not found
    found, _, _ = figures_of(tmp_path / "2", "sodium chloride: 25 g; BASE: 75 g", base="zinc oxide: 20 %; water: 80 %")
    assert found == {"more-than-dissolves"}
    assert figures.dissolving.judged[0].outcome is Dissolved.ALL


def test_the_water_of_crystals_dissolves_nothing(tmp_path):
    found, figures, _ = figures_of(tmp_path, "sodium chloride: 8 g; epsom salt: 67 g; water: 25 g")
    (most,) = [solute for solute in figures.dissolving.judged if solute.outcome is Dissolved.BEYOND]
    assert (found, most.names, most.low) == ({"more-than-dissolves"}, ("Magnesium sulfate heptahydrate",), 268)


def test_only_of_salts_sugars_and_soda_it_is_said_that_crystals_may_be_meant():
    """Common practice, no source: what a scrub or a polish holds, and no drug, acid or preservative."""
    assert {name for name, row in dissolving().rows.items() if row.left_solid} == {
        "Sodium chloride", "Sodium hydrogen carbonate", "Sodium carbonate decahydrate", "Sodium carbonate anhydrous",
        "Magnesium sulfate heptahydrate", "Magnesium sulfate anhydrous", "Potassium alum", "Borax", "Calcium hydroxide",
        "Sucrose", "Glucose", "Lactose monohydrate", "Mannitol", "Sorbitol", "Xylitol",
    }  # fmt: skip


def test_some_ethanol_may_be_strong_where_the_water_is_not_known() -> None:
    unknown = Missing(says=says("made-by-weight"))
    assert [_is_strong(unknown, Fraction(share, 10)) for share in (0, 1)] == [False, True]
