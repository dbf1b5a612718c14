"""Limits of the law for cosmetics: each case as it must be said, and where silence is right."""

from __future__ import annotations

from fractions import Fraction
from importlib.resources import files
from pathlib import Path

import molmass
import pytest
import yaml
from click.testing import CliRunner

from bookgen.cli import main
from bookgen.findings import Missing
from bookgen.model import Contact
from bookgen.pipeline import check_book, publish
from bookgen.reckon.ceilings import WORST, AgainstLimit, Outcome
from bookgen.reckon.judgements import judgement, words_judgement
from bookgen.reckon.limits import Limits
from bookgen.reckon.recognised import counted
from bookgen.reckon.weighing import weigh as weigh_batch
from bookgen.reference import spelt
from bookgen.reference.limits import Ceiling, limits
from bookgen.show import exact, significant
from bookgen.shown.formula import formula_shown
from bookgen.shown.shelf import shelf_of

from ..books_of_text import weigh, write_book

COPY = Path(__file__).parents[1] / "check_values" / "law" / "limits.yaml"
LEAVE, RINSE, FACE, BODY = "leave-on, face", "rinse-off, hands", "leave-on, face", "leave-on, body"
BLEND = {"blend": "contains:\n  phenoxyethanol: 90 %\n  ethylhexylglycerin: 10 %"}
OTHER = {"other": "contains:\n  benzyl alcohol: 87 %\n  dehydroacetic acid: 8 %\nwater: 5 %"}
MIX = {"mix": "contains:\n  MCI/MI: 1.5 %"}
DIGLUCONATE = {"dg": "contains:\n  chlorhexidine digluconate: 20 %\nwater: 80 %"}
AMMONIA = {"am": "contains:\n  ammonia: 25 %\nwater: 75 %"}
WINTERGREEN = {"wg": "contains:\n  methyl salicylate: 99 %"}
BASIL = {"basil": "contains:\n  methyl eugenol: 2 %"}
NUTMEG = {"nutmeg": "contains:\n  safrole: 1.5 %"}
PRESERVES = ", preservative"

# number, use and purpose, lines, more materials, what is said: entry → outcome, amount in % (None: not asked)
CASES: tuple[tuple[str, str, str, dict[str, str], dict[str, tuple[str, str | None]]], ...] = (
    ("1", LEAVE, "sodium benzoate: 0.59 %", {}, {"V/1": ("below", "0.500")}),
    ("2", LEAVE, "sodium benzoate: 0.60 %", {}, {"V/1": ("beyond", "0.508")}),
    ("3", LEAVE, "sodium benzoate: 0.58 %", {}, {"V/1": ("below", "0.492")}),
    ("5", RINSE, "sodium benzoate: 2.96 %", {}, {"V/1": ("beyond", "2.51")}),
    ("5", RINSE, "sodium benzoate: 2.95 %", {}, {"V/1": ("below", "2.50")}),
    ("6", RINSE, "potassium benzoate: 0.70 %", {}, {"V/1a": ("beyond", "0.534")}),
    ("7", LEAVE, "sodium benzoate: 0.40 %; benzoic acid: 0.20 %", {}, {"V/1": ("beyond", "0.539")}),
    ("9", LEAVE, "potassium sorbate: 0.80 %", {}, {"V/4": ("below", "0.597")}),
    ("10", LEAVE, "potassium sorbate: 0.81 %", {}, {"V/4": ("beyond", "0.605")}),
    ("11", LEAVE, "sorbic acid: 0.30 %; potassium sorbate: 0.40 %", {}, {"V/4": ("below", "0.599")}),
    ("13", "rinse-off, hair, small children/shampoo", "sodium salicylate: 0.50 %, preservative", {},
     {"V/3": ("below", "0.431")}),
    ("13", "leave-on, hair, small children", "sodium salicylate: 0.50 %, preservative", {}, {"V/3": ("never", None)}),
    # an age left open is that of the youngest
    ("13", "leave-on, hair, children", "sodium salicylate: 0.50 %, preservative", {}, {"V/3": ("never", None)}),
    ("13", "rinse-off, hair, adults, children/shampoo", "sodium salicylate: 0.50 %, preservative", {},
     {"V/3": ("below", "0.431")}),
    ("13", "leave-on, hair, children over three", "sodium salicylate: 0.50 %, preservative", {},
     {"V/3": ("below", "0.431")}),
    ("14", FACE, "salicylic acid: 2.0 %", {}, {"III/98": ("below", "2.00")}),
    ("15", BODY, "salicylic acid: 0.6 %", {}, {"III/98": ("beyond", "0.600")}),
    ("15", FACE, "salicylic acid: 0.6 %, preservative", {}, {"V/3": ("beyond", "0.600")}),
    ("17", LEAVE, "sodium dehydroacetate: 0.68 %", {}, {"V/13": ("beyond", "0.601")}),
    ("17", LEAVE, "sodium dehydroacetate: 0.67 %", {}, {"V/13": ("below", "0.593")}),
    ("18", LEAVE, "sodium dehydroacetate monohydrate: 0.74 %", {}, {"V/13": ("below", "0.598")}),
    ("19", "leave-on, body/Aerosol", "sodium dehydroacetate: 0.1 %", {}, {"V/13": ("never", None)}),
    ("19", "leave-on, body/pump spray", "sodium dehydroacetate: 0.1 %", {}, {"V/13": ("below", "0.0884")}),
    ("19", "leave-on, body/cooling, spray can", "chlorobutanol: 0.1 %", {}, {"V/11": ("never", None)}),
    ("19", "leave-on, body/aerosol", "glutaral: 0.05 %", {}, {"V/48": ("never", None)}),
    ("21", LEAVE, "methylparaben: 0.30 %; ethylparaben: 0.30 %", {}, {"V/12": ("below", "0.522")}),
    ("22", LEAVE, "propylparaben: 0.18 %", {}, {"V/12a": ("below", "0.138")}),
    ("22", LEAVE, "propylparaben: 0.19 %", {}, {"V/12a": ("beyond", "0.146")}),
    ("23", LEAVE, "propylparaben: 0.10 %; butylparaben: 0.10 %", {}, {"V/12a": ("beyond", "0.148")}),
    ("25", LEAVE, "blend: 1.1 %", BLEND, {"V/29": ("below", "0.990")}),
    ("25", LEAVE, "blend: 1.12 %", BLEND, {"V/29": ("beyond", "1.01")}),
    ("26", LEAVE, "other: 1.2 %", OTHER, {"V/34": ("beyond", "1.04"), "V/13": ("below", "0.0960")}),
    ("27", LEAVE, "sodium metabisulfite: 0.29 %, preservative", {}, {"V/9": ("below", "0.195")}),
    ("27", LEAVE, "sodium metabisulfite: 0.30 %, preservative", {}, {"V/9": ("beyond", "0.202")}),
    ("29", LEAVE, "dg: 2.6 %", DIGLUCONATE, {"V/42": ("below", "0.293")}),
    ("29", LEAVE, "dg: 2.7 %", DIGLUCONATE, {"V/42": ("beyond", "0.304")}),
    ("30", RINSE, "mix: 0.10 %", MIX, {"V/39": ("below", "0.00150")}),
    ("30", RINSE, "mix: 0.11 %", MIX, {"V/39": ("beyond", "0.00165")}),
    ("31", LEAVE, "mix: 0.01 %", MIX, {"V/39": ("never", None)}),
    ("34", LEAVE, "sodium hydroxymethylglycinate: 0.42 %", {}, {"V/51": ("below", None)}),
    ("34", LEAVE, "sodium hydroxymethylglycinate: 0.43 %", {}, {"V/51": ("beyond", "0.102")}),
    ("35", BODY, "IPBC: 0.005 %", {}, {"V/56": ("never", None)}),
    ("35", FACE, "IPBC: 0.01 %", {}, {"V/56": ("below", "0.0100")}),
    ("35", "leave-on, feet/deodorant", "IPBC: 0.008 %", {}, {"V/56": ("beyond", "0.00800")}),
    ("33", LEAVE, "DMDM hydantoin: 0.003 %", {}, {"V/33": ("below", "0.00300")}),
    ("37", RINSE, "sodium hydroxide: 12.5 %; olive oil: 85 %", {}, {}),
    ("38", "leave-on, nails/cuticle remover", "potassium hydroxide: 7.0 %", {}, {"III/15a": ("below", "4.99")}),
    ("38", "leave-on, nails/cuticle remover", "potassium hydroxide: 7.1 %", {}, {"III/15a": ("beyond", "5.06")}),
    ("39", LEAVE, "am: 8.1 %", AMMONIA, {"III/4": ("below", "2.03")}),
    ("41", FACE, "retinol: 0.20 %; retinyl acetate: 0.12 %", {}, {"III/376": ("beyond", "0.305")}),
    ("41", FACE, "retinol: 0.20 %; retinyl acetate: 0.11 %", {}, {"III/376": ("below", "0.296")}),
    ("42", BODY, "retinyl palmitate: 0.09 %", {}, {"III/376": ("below", "0.0491")}),
    ("42", BODY, "retinyl palmitate: 0.10 %", {}, {"III/376": ("beyond", "0.0546")}),
    ("43", LEAVE, "zinc gluconate: 6.9 %", {}, {"III/24": ("below", "0.990")}),
    ("43", LEAVE, "zinc gluconate: 7.0 %", {}, {"III/24": ("beyond", "1.00")}),
    ("45", LEAVE, "triethanolamine: 2.5 %", {}, {"III/62": ("below", "2.50")}),
    ("45", LEAVE, "triethanolamine: 2.6 %", {}, {"III/62": ("beyond", "2.60")}),
    ("45", RINSE, "triethanolamine: 8 %", {}, {}),
    ("46", LEAVE, "wg: 0.06 %", WINTERGREEN, {"III/324": ("below", "0.0594")}),
    ("46", LEAVE, "wg: 0.07 %", WINTERGREEN, {"III/324": ("beyond", "0.0693")}),
    ("47", LEAVE, "basil: 0.01 %", BASIL, {"III/102": ("below", "0.000200")}),
    ("47", LEAVE, "basil: 0.02 %", BASIL, {"III/102": ("beyond", "0.000400")}),
    ("47", RINSE, "basil: 0.05 %", BASIL, {"III/102": ("below", "0.00100")}),
    ("range", LEAVE, "wg-range: 0.06 %", {"wg-range": "contains:\n  methyl salicylate: 96 to 100 %"},
     {"III/324": ("below", "0.0600")}),
    ("range", LEAVE, "wg-range: 0.061 %", {"wg-range": "contains:\n  methyl salicylate: 96 to 100 %"},
     {"III/324": ("crosses", "0.0610")}),
    ("range", LEAVE, "wg-range: 0.07 %", {"wg-range": "contains:\n  methyl salicylate: 96 to 100 %"},
     {"III/324": ("beyond", "0.0700")}),
    ("49", LEAVE, "nutmeg: 0.60 %", NUTMEG, {"II/360": ("below", "0.00900")}),
    ("49", LEAVE, "nutmeg: 0.70 %", NUTMEG, {"II/360": ("beyond", "0.0105")}),
    ("54", "leave-on, face/sunscreen", "zinc oxide: 25 %; zinc oxide nano: 1 %",
     {"zinc oxide nano": "also: zinc oxide (nano)"}, {"VI/30, 30a": ("beyond", "26.0")}),
    ("54", "leave-on, face/sunscreen", "titanium dioxide: 15 %; zinc oxide: 20 %", {},
     {"VI/30, 30a": ("below", "20.0"), "VI/27, 27a": ("below", "15.0")}),
    ("55", "leave-on, body/sunscreen", "homosalate: 5 %", {}, {"VI/3": ("never", None)}),
    ("55", "leave-on, face/sunscreen", "homosalate: 5 %", {}, {"VI/3": ("below", "5.00")}),
    ("own", BODY, "salicylic acid: 0.4 %; second: 0.2 %, preservative",
     {"second": "known as: salicylic acid\nwater: 0 %"}, {"III/98": ("beyond", "0.600"), "V/3": ("below", "0.200")}),
    ("own", FACE, "resorcinol: 0.3 %", {}, {"III/22": ("never", None)}),
    ("own", "leave-on, scalp", "resorcinol: 0.3 %", {}, {"III/22": ("below", "0.300")}),
    ("own", "leave-on, face/self-tanner", "dihydroxyacetone: 5 %", {}, {"III/322": ("below", "5.00")}),
    ("own", "rinse-off, hair", "cetrimonium chloride: 2 %", {}, {"III/286": ("below", "2.00")}),
    ("own", BODY, "cetrimonium chloride: 2 %", {}, {"V/44": ("beyond", "2.00")}),
    ("75", LEAVE, "phenoxyethanol: 1.0 %", {}, {"V/29": ("below", "1.00")}),
    ("75", "leave-on, face/toner", "salicylic acid: 2.0 %", {}, {"III/98": ("below", "2.00")}),
    # what natural oils bring with them is not the substance itself; what else lists a prohibited one holds it
    ("own", LEAVE, "bergamot: 1 %", {"bergamot": "contains:\n  bergapten: 0.3 %"}, {}),
    ("own", LEAVE, "bergapten: 0.1 %", {}, {"II/358": ("prohibited", None)}),
    ("own", LEAVE, "paste: 1 %", {"paste": "contains:\n  hydroquinone: 2 %"}, {"II/1339": ("prohibited", None)}),
    ("N-06", "leave-on, face, pregnancy", "hydroquinone: 4 %; ammoniated mercury: 2 %", {},
     {"II/1339": ("prohibited", None), "II/221": ("prohibited", None)}),
)  # fmt: skip
"""Cases of care; contents of oils in them are invented round figures.  Amounts are own arithmetic."""

AVOID = "“Avoid contact with eyes”"
# number, use and purpose, lines, more materials, the words for a label: `@` for `Words that`, `@TABLE` for the edition
WORDS: tuple[tuple[str, str, str, dict[str, str], list[str]], ...] = (
    ("39", LEAVE, "am: 8.0 %", AMMONIA, []),
    ("39", LEAVE, "am: 8.1 %", AMMONIA, [
        "@III/4 asks for on a label @TABLE: “Contains ammonia”"]),
    ("39", LEAVE, "am: 8 %", {"am": "contains:\n  ammonia: 20 to 26 %"}, [
        "@III/4 asks for on a label, as it may be beyond 2 % @TABLE: “Contains ammonia”"]),
    ("13", "rinse-off, hair, small children/shampoo", "sodium salicylate: 0.50 %, preservative", {}, [
        ("@V/3 asks for on a label, only on products which might be used for children under 3 and stay in "
        "prolonged contact with the skin @TABLE: “Not to be used for children under 3 years of age”")
    ]),
    ("14", FACE, "salicylic acid: 2.0 %", {}, [
        ("@III/98 asks for on a label, only on products which might be used for children under 3 (CosIng of "
        "February 2024): “Not to be used for children under 3 years of age”")]),
    ("41", FACE, "retinol: 0.20 %", {}, [
        ("@III/376 asks for on a label (CosIng of September 2026): “Contains Vitamin A. Consider your daily "
        "intake before use”")]),
    # 0.003 % × 60.05 ÷ 188.18 are 0.00096 % of formaldehyde; 0.0032 % are 0.00102 %
    ("33", LEAVE, "DMDM hydantoin: 0.003 %", {}, []),
    ("33", LEAVE, "DMDM hydantoin: 0.0032 %", {}, [
        "@V, preamble 2 asks for on a label ((EU) 2022/1181): “releases formaldehyde”"]),
    ("33", LEAVE, "DMDM hydantoin: 0.002 %; sodium hydroxymethylglycinate: 0.002 %", {}, [
        "@V, preamble 2 asks for on a label ((EU) 2022/1181): “releases formaldehyde”"]),
    ("33", LEAVE, "bronopol: 0.05 %", {}, [
        ("@V, preamble 2 asks for on a label, as it may be beyond 0.001 % ((EU) 2022/1181): “releases "
        "formaldehyde”")]),
    ("34", LEAVE, "sodium hydroxymethylglycinate: 0.42 %", {}, [
        "@V, preamble 2 asks for on a label ((EU) 2022/1181): “releases formaldehyde”"]),
    ("38", "leave-on, nails/cuticle remover", "potassium hydroxide: 7.0 %", {}, [
        ("@III/15a asks for on a label, cuticle remover, hair straightener @TABLE: “Contains "
        "alkali” “Avoid contact with eyes” “Can cause blindness” “Keep out of reach of children”")]),
    ("38", "rinse-off, body/depilatory", "potassium hydroxide: 1 %", {}, [
        "@III/15a asks for on a label, depilatory @TABLE: “Keep out of reach of children” "
        + AVOID]),
    ("38", "rinse-off, hands", "potassium hydroxide: 1 %", {}, []),
    ("own", LEAVE, "glutaral: 0.05 %", {}, []),
    ("own", LEAVE, "glutaral: 0.06 %", {}, [
        "@V/48 asks for on a label, the figure is from memory @TABLE: “Contains glutaral”"]),
    ("own", "leave-on, body, small children", "propylparaben: 0.05 %", {}, [
        ("@V/12a asks for on a label, leave-on, small children @TABLE: “Do not use on the "
        "nappy area”")]),
    ("own", "leave-on, body, children", "propylparaben: 0.05 %", {}, [
        ("@V/12a asks for on a label, leave-on, small children @TABLE: “Do not use on the "
        "nappy area”")]),
    ("own", "leave-on, body, children over three", "propylparaben: 0.05 %", {}, []),
    ("own", "leave-on, body", "propylparaben: 0.05 %", {}, []),
    ("own", "leave-on, body, small children", "talc: 95 %", {}, [
        ("@III/59 asks for on a label, small children, powdery products @TABLE: “Keep powder "
        "away from children's nose and mouth”")]),
    ("own", "leave-on, feet, adults", "talc: 95 %", {}, []),
    # what may not be in it asks for no words
    ("own", FACE, "resorcinol: 0.3 %", {}, []),
    ("own", "leave-on, scalp", "resorcinol: 0.3 %", {}, [
        "@III/22 asks for on a label @TABLE: “Contains resorcinol”"]),
    ("own", LEAVE, "phenoxyethanol: 1 %", {}, []),
)  # fmt: skip


@pytest.mark.parametrize(("number", "use", "lines", "materials", "asked"), WORDS)
def test_which_words_are_asked_for_on_a_label(number, use, lines, materials, asked, tmp_path):
    found = judged(tmp_path, use, lines, materials).words
    told = [f"{words_judgement(words)}: {words.text}" for words in found]
    assert told == [words.replace("@TABLE", "(CosIng of February 2024)").replace("@", "Words that ") for words in asked]


def test_every_entry_with_words_has_them_in_the_table():
    """Of 26 entries by their own words; seven more are asked for by what gives off formaldehyde."""
    asked = {row.key: row.label for row in limits().rows if row.label}
    releasers = {key for key, label in asked.items() if label[0].entry == "V, preamble 2"}
    assert (len(releasers), len(asked) - len(releasers)) == (7, 26)
    assert all(items and all(item.words for item in items) for items in asked.values())
    assert {exact(item.above.share * 100) for items in asked.values() for item in items
            if item.above is not None and item.above.share is not None} == {"0.001", "0.05", "2"}  # fmt: skip


def test_the_words_stand_on_page_sheet_terminal_and_for_machines(tmp_path):
    judged(tmp_path, "leave-on, scalp", "resorcinol: 0.3 %", {}, "storage: refrigerator, 14 days")
    root, words = tmp_path / "book", "“Contains resorcinol”"
    told = "Words that III/22 asks for on a label (CosIng of February 2024): " + words
    explained = CliRunner().invoke(main, ["check", "--explain", "x", "--book", str(root)]).stdout
    assert told in " ".join(explained.split())
    batch = weigh(root, "X")
    assert {"text": words, "of": told.partition(": ")[0]} in batch["cautions"]
    assert batch["label"]["words"] == [{
        "words": ["Contains resorcinol"], "entry": "III/22", "edition": "CosIng of February 2024", "when": None,
        "sure": True, "says": told.partition(": ")[0],
    }]  # fmt: skip
    checked = check_book(root)
    publish(checked, tmp_path / "site", binder=False)
    page = (tmp_path / "site" / "formulas" / "X.html").read_text("utf-8")
    assert page.count(words) >= 2
    shelf = shelf_of(checked.reckoning, checked.review)
    sheet = formula_shown(
        checked.reckoning.figures["x"], weigh_batch(checked.reckoning, "x"), shelf, str, on_paper=True
    )
    assert words in [caution.text for caution in sheet.cautions]


SILENT = (
    "caprylyl glycol: 0.5 %; ethylhexylglycerin: 0.8 %; pentylene glycol: 4 %",
    "sodium levulinate: 0.3 %; p-anisic acid: 0.2 %",
    "benzyl benzoate: 0.3 %",
    "cetearyl alcohol: 3 %; lanolin alcohol: 1 %",
    "sodium chloride: 1 %",
    "cetyl ethylhexanoate: 5 %",
    "potassium iodide: 0.1 %",
    "calendula officinalis extract: 5 %",
    "laurus nobilis leaf oil: 0.0005 %",
    "behentrimonium methosulfate: 4 %",
    "dha: 5 %",
    "white petrolatum: 90 %",
    "tea tree oil: 1 %",
    "fig fruit extract: 2 %",
    "lippia citriodora absolute: 0.1 %",
    "citric acid: 1 %",
)
"""What nobody is to be troubled with: names that look like those of an entry."""


def judged(folder: Path, use: str, lines: str, materials: dict[str, str], *keys: str, whole: str = "100 g") -> Limits:
    """Return the limits of a cosmetic whose lines are made up to 100 g."""
    use, _, purpose = use.partition("/")
    names = {line.partition(":")[0].strip() for line in lines.split(";")}
    texts = dict.fromkeys(names, "water: 0 %") | materials | {"water": "water: 100 %"}
    head = "\n".join(
        ["code: X", "title: X", "kind: cosmetic", f"use: {use}", *([f"purpose: {purpose}"] if purpose else []), *keys]
    )
    body = "\n".join(f"  {line.strip()}" for line in (*lines.split(";"), f"water: to {whole}"))
    root = write_book(folder / "book", {"X": f"---\n{head}\ningredients:\n{body}\n---\n"}, texts)
    return check_book(root).reckoning.figures["x"].limits


@pytest.mark.parametrize(("number", "use", "lines", "materials", "said"), CASES)
def test_a_case_of_care(number, use, lines, materials, said, tmp_path):
    found = judged(tmp_path, use, lines, materials).judged
    gravest: dict[str, AgainstLimit] = {}
    for one in sorted(
        found, key=lambda one: (WORST.index(one.outcome), 0 if isinstance(one.high, Missing) else -one.high)
    ):
        gravest.setdefault(one.row.entry, one)
    assert {entry: one.outcome.value for entry, one in gravest.items()} == {
        entry: outcome for entry, (outcome, _) in said.items()
    }, number
    for entry, (_, amount) in said.items():
        if amount is not None:
            high = gravest[entry].high
            assert not isinstance(high, Missing)
            assert significant(high * 100, 3) == amount, number


OTHER_NAME = {"other": "known as: phenoxyethanol\nwater: 0 %"}
FEBRUARY, AS_PHB = ", CosIng of February 2024", "as 4-hydroxybenzoic acid"
ON_HAIR, BENZALKONIUM = ", leave-on, hair, scalp", "0.1 % as benzalkonium chloride"
V_1 = "V/1 (0.5 % as benzoic acid, leave-on, CosIng of February 2024)"
V_29 = "V/29 (1 %, CosIng of February 2024)"
STRICTER = "`use:` does not say leave-on or rinse-off, so the stricter limit is taken"
STRICTEST = "`use:` does not say where it is used, so the strictest limit is taken"

# use, lines, more materials, more keys, what is said of it: the gravest first, then what was assumed, or why nothing is
TOLD: tuple[tuple[str, str, dict[str, str], tuple[str, ...], list[str]], ...] = (
    (LEAVE, "sodium benzoate: 0.5902 %", {}, (), [f"Sodium benzoate 0.500 % as benzoic acid: at {V_1}"]),
    (LEAVE, "sodium benzoate: 0.590295 %", {}, (), [f"Sodium benzoate 0.5003 % as benzoic acid: beyond {V_1}"]),
    (LEAVE, "sodium benzoate: 0.5903 %", {}, (), [f"Sodium benzoate 0.5003 % as benzoic acid: beyond {V_1}"]),
    (LEAVE, "phenoxyethanol: 1.0001 %", {}, (), [f"Phenoxyethanol 1.0001 %: beyond {V_29}"]),
    ("face", "sodium benzoate: 1 %", {}, (), [f"Sodium benzoate 0.8475 % as benzoic acid: beyond {V_1}", STRICTER]),
    ("leave-on", "salicylic acid: 0.6 %", {}, (), [
        "Salicylic acid 0.6 %: beyond III/98 (0.5 %, leave-on, body, CosIng of February 2024)", STRICTEST]),
    ("face", "wax: 1 %", {}, (), []),
    (LEAVE, "phenoxyethanol: 1 %; other: {amount: 10 %, left: at most 10 % w/w}", OTHER_NAME, (), [
        f"Phenoxyethanol up to 11 %: perhaps beyond {V_29}"]),
    ("leave-on, hands", "sodium hydroxide: 1 %", {}, ("pH: 11 to 12",), [
        "Sodium hydroxide up to pH 12: perhaps beyond III/15a (at most pH 11, CosIng of February 2024)"]),
    ("leave-on, hands", "sodium hydroxide: 1 %", {}, ("pH: 10 to 11",), []),
    ("leave-on, hands", "sodium hydroxide: 1 %", {}, (), []),
    (LEAVE, "benzalkonium bromide: 0.05 %; phenoxyethanol: 2 %", {}, (), [
        f"Phenoxyethanol 2 %: beyond {V_29}",
        f"Benzalkonium bromide: how much is not known, so V/54 ({BENZALKONIUM}{FEBRUARY}) is not judged"]),
    ("rinse-off, mouth", "sodium benzoate: 1.8 %", {}, (), [
        "Sodium benzoate 1.53 % as benzoic acid: below V/1 (1.7 % as benzoic acid, mouth, CosIng of February 2024)"]),
    ("rinse-off, mouth, hands", "sodium benzoate: 2.2 %", {}, (), [
        "Sodium benzoate 1.864 % as benzoic acid: beyond V/1 (1.7 % as benzoic acid, mouth, CosIng of February 2024)"]),
    (LEAVE, "methylparaben: 0.42 %; ethylparaben: 0.5 %; propylparaben: 0.1 %", {}, (), [
        f"Ethylparaben 0.4156 % {AS_PHB}: beyond V/12 (0.4 % {AS_PHB}{FEBRUARY})",
        f"Ethylparaben, Methylparaben and Propylparaben 0.8735 % {AS_PHB}: beyond V/12 (0.8 % {AS_PHB}{FEBRUARY})",
        f"Methylparaben 0.381 % {AS_PHB}: below V/12 (0.4 % {AS_PHB}{FEBRUARY})",
        f"Propylparaben 0.0766 % {AS_PHB}: below V/12a (0.14 % {AS_PHB}{FEBRUARY})"]),
    ("leave-on, hair", "cetrimonium chloride: 0.9 %; behentrimonium chloride: 2.2 %", {}, (), [
        f"Behentrimonium chloride and Cetrimonium chloride 3.1 %: beyond III/287 (3 %{ON_HAIR}{FEBRUARY})",
        f"Cetrimonium chloride 0.9 %: below III/286 (1 %{ON_HAIR}{FEBRUARY})"]),
    (FACE, "salicylic acid: 0.4 %; peel: 0.2 %, preservative", {"peel": "known as: salicylic acid\nwater: 0 %"}, (), [
        "Salicylic acid 0.2 %: below V/3 (0.5 %, CosIng of February 2024)",
        "Salicylic acid 0.6 %: below III/98 (2 %, body, face, feet, hands, CosIng of February 2024)"]),
    ("leave-on, face, room", "sodium benzoate: 1 %", {}, (), [
        f"Sodium benzoate 0.8475 % as benzoic acid: beyond {V_1}"]),
    ("leave-on, textiles, room", "sodium benzoate: 1 %", {}, (), [
        "limits for cosmetics are not judged for what is not used on skin"]),
    (LEAVE, "bergamot: 1 %", {"bergamot": "contains:\n  bergapten: 0.3 %\nwater: 0 %"}, (), []),
    (LEAVE, "bergapten: 0.1 %", {}, (), ["Bergapten: prohibited in cosmetics by II/358, CosIng of February 2024"]),
    (LEAVE, "benz: 1 %", {"benz": "known as: sodium benzoate\nwater: 10 %"}, (), [
        f"Sodium benzoate 0.7627 % as benzoic acid: beyond {V_1}"]),
    (LEAVE, "benz: 1 %", {"benz": "known as: [sodium benzoate, potassium sorbate]\nwater: 10 %"}, (), [
        f"Sodium benzoate 0.7627 % as benzoic acid: beyond {V_1}",
        "Potassium sorbate 0.6718 % as sorbic acid: beyond V/4 (0.6 % as sorbic acid, CosIng of February 2024)"]),
    (LEAVE, "benz: 1 %", {"benz": "known as: sodium benzoate\ncontains:\n  sodium benzoate: 50 %\nwater: 50 %"}, (), [
        f"Sodium benzoate 0.424 % as benzoic acid: below {V_1}"]),
    (LEAVE, "benz: 1 %", {"benz": "also: [sodium benzoate, potassium sorbate]\nwater: 10 %"}, (), []),
    (LEAVE, "benz: 1 %", {"benz": "known as: nothing listed\nalso: [sodium benzoate]\nwater: 10 %"}, (), []),
    (LEAVE, "sodium benzoate: 1 %", {"sodium benzoate": "kind: powder"}, (), [
        f"Sodium benzoate 0.8475 % as benzoic acid: beyond {V_1}"]),
    (LEAVE, "benz: 1 %", {"benz": "also: [Sodium benzoate 50 %]"}, (), [
        f"Sodium benzoate: how much is not known, so {V_1} is not judged"]),
    (LEAVE, "benz: 1 %", {"benz": "also: [sodium benzoate solution 50% w/w]\nwater: 50 %"}, (), [
        f"Sodium benzoate 0.424 % as benzoic acid: below {V_1}"]),
    (LEAVE, "benz: 1 %", {"benz": "also: [sodium benzoate 50 %]\ncontains: {sodium benzoate: 40 %}"}, (), [
        f"Sodium benzoate 0.339 % as benzoic acid: below {V_1}"]),
    ("leave-on, hands", "sodium hydroxide: 1 %", {}, ("purpose: depilatory", "pH: 12 to 12.8"), [
        f"Sodium hydroxide up to pH 12.8: perhaps beyond III/15a (at most pH 12.7, depilatory{FEBRUARY})"]),
    # what a line is there for tells a sunscreen too
    (FACE, "zinc oxide: 26 %, UV filter", {}, ("purpose: day cream",), [
        f"Zinc oxide 26 %: beyond VI/30, 30a (25 %, sunscreen{FEBRUARY})"]),
    (FACE, "homosalate: 5 %, sunscreen agent", {}, (), [
        f"Homosalate 5 %: below VI/3 (7.34 %, face{FEBRUARY})"]),
    (FACE, "zinc oxide: 26 %, pigment", {}, ("purpose: day cream",), []),
    (FACE, "resorcinol: 0.3 %; kojic acid: 2 %", {}, (), [
        f"Resorcinol: III/22 lists it only for hair, scalp{FEBRUARY}",
        "Kojic acid 2 %: beyond III/375 (number inferred) (1 %, face, hands, (EU) 2024/996, as summaries of it say)"]),
    ("leave-on, face, small children", "salicylic acid: 0.1 %", {}, (), [
        f"Salicylic acid: III/98 rules it out for small children{FEBRUARY}"]),
    # of several uses without it, the one that is meant is told
    ("rinse-off, mouth", "salicylic acid: 0.1 %, preservative", {}, (), [
        f"Salicylic acid: V/3 rules it out for mouth{FEBRUARY}"]),
    (FACE, "methyl salicylate: 0.06 %", {}, (), [
        "Methyl salicylate 0.06 %: at III/324 (0.06 %, leave-on, CosIng of February 2024)"]),
    ("rinse-off, hands", "methyl salicylate: 0.5 %", {}, (), [
        "Methyl salicylate 0.5 %: below III/324 (0.6 %, rinse-off, hands, CosIng of February 2024)"]),
    ("rinse-off, hands, body", "methyl salicylate: 0.5 %", {}, (), [
        "Methyl salicylate 0.5 %: beyond III/324 (0.06 %, rinse-off, CosIng of February 2024)"]),
)  # fmt: skip
"""Own arithmetic: 0.5 % × 1.0005 is reached with 0.59029 % of sodium benzoate (122.122 of 144.103)."""


@pytest.mark.parametrize(("use", "lines", "materials", "keys", "told"), TOLD)
def test_what_is_told_of_a_formula(use, lines, materials, keys, told, tmp_path):
    found = judged(tmp_path, use, lines, materials, *keys)
    said = [
        *(judgement(verdict) for verdict in found.judged),
        *found.assumed,
        *([found.silent] if found.silent else []),
    ]
    assert [str(saying) for saying in said] == told


@pytest.mark.parametrize(
    ("head", "told"),
    [
        ("use: leave-on, face", []),
        ("kind: cosmetic", [STRICTER, STRICTEST]),
        ("kind: scent", [STRICTER, STRICTEST]),
        ("kind: medicine", ["limits for cosmetics are not judged where `kind:` is medicine"]),
        ("kind: household\nuse: leave-on, face", ["limits for cosmetics are not judged where `kind:` is household"]),
        ("status: draft", ["neither `kind:` nor `use:` is written, so limits for cosmetics are not judged"]),
        ("use: intermediate", ["an intermediate has no limits of its own; what is made with it is judged"]),
    ],
)
def test_an_ingredient_without_a_file_is_known_by_its_name_and_its_share_is_not(head, told, tmp_path):
    book = f"---\ncode: X\ntitle: X\n{head}\ningredients:\n  phenoxyethanol: 2 %\n  rest: 1 %\n  wax: to 100 g\n---\n"
    found = check_book(write_book(tmp_path / "book", {"X": book}, {"wax": "water: 0 %"})).reckoning.figures["x"].limits
    assert [item.substance for item in found.present] == ["Phenoxyethanol"]
    judged_here = [f"Phenoxyethanol: how much is not known, so {V_29} is not judged"] if found.silent is None else []
    assert [str(judgement(verdict)) for verdict in found.judged] == judged_here
    assert [str(saying) for saying in (*found.assumed, *([found.silent] if found.silent else []))] == told


def test_where_less_than_a_figure_is_asked_for_the_figure_itself_is_beyond(tmp_path):
    """127.075 mg bring 30.026 mg of formaldehyde (molar masses of the table), which are 0.1 % of 30.026 g."""
    found = judged(tmp_path, LEAVE, "sodium hydroxymethylglycinate: 0.127075 g", {}, whole="30.026 g").judged
    assert [str(judgement(verdict)) for verdict in found] == [
        f"Sodium hydroxymethylglycinate 0.1 % as formaldehyde: beyond V/51 (less than 0.1 % as formaldehyde{FEBRUARY})",
        f"Sodium hydroxymethylglycinate 0.423 %: below V/51 (0.5 %{FEBRUARY})",
    ]


def test_what_is_nothing_but_a_listed_substance(tmp_path):
    book = "---\ncode: X\ntitle: X\nkind: cosmetic\nuse: leave-on, face\ningredients:\n  hydroquinone: 100 g\n---\n"
    root = write_book(tmp_path / "book", {"X": book}, {"hydroquinone": "water: 0 %"})
    (verdict,) = check_book(root).reckoning.figures["x"].limits.judged
    assert (str(verdict.outcome), verdict.low, verdict.high) == ("prohibited", 1, 1)


def test_what_is_only_water_of_a_listed_name_is_not_in_it(tmp_path):
    found = judged(tmp_path, LEAVE, "benz: 1 %", {"benz": "known as: sodium benzoate\nwater: 100 %"})
    assert found.present == ()


@pytest.mark.parametrize("lines", SILENT)
def test_what_only_looks_like_an_entry_is_not_judged(lines, tmp_path):
    found = judged(tmp_path, LEAVE, lines, {}).judged
    assert not [one for one in found if one.outcome is not Outcome.BELOW]


# ── The table ─────────────────────────────────────────────────────────────────────────────────────────────────────────


def test_every_form_that_is_counted_has_its_factor():
    """Two salts of benzalkonium are mixtures, of which no factor can be had."""
    wanted = {(name, one.counted_as) for row in limits().rows for one in row.most for name in row.substances}
    lacking = {name for name, form in wanted if counted(name, form) is None}
    assert lacking == {"Benzalkonium bromide", "Benzalkonium saccharinate"}


def test_factors_are_those_of_an_independent_library():
    """Source: standard atomic weights by the library molmass 2026.1.8, for the formulas of the table."""
    table = yaml.safe_load(files("bookgen.reference").joinpath("limits.yaml").read_text(encoding="utf-8"))
    for turn in table["turns"]:
        there, wanted = molmass.Formula(turn["formula"]), molmass.Formula(turn["of"])
        expected = turn["times"] * wanted.mass / there.mass
        found = counted(turn["form"], spelt(turn["counts as"]))
        assert found is not None
        assert abs(float(found) - expected) < 5e-5 * expected, turn["form"]


MORE_THAN_ONCE = {
    2: {
        "Calcium benzoate", "Calcium paraben", "Calcium propionate", "Calcium salicylate", "Calcium sorbate",
        "Calcium undecylenate", "Magnesium benzoate", "Magnesium propionate", "Magnesium salicylate",
        "Calcium fluoride", "Stannous fluoride", "Potassium metabisulfite", "Sodium metabisulfite", "DMDM hydantoin",
    },
    3: {"Zinc citrate"},
}  # fmt: skip
"""Salts of two charges hold the acid or the fluorine twice, S₂O₅ gives two SO₂, the hydantoin has two CH₂OH; the
citrate has three zinc.  All others hold what is counted once."""


def test_how_often_a_form_holds_what_is_counted():
    table = yaml.safe_load(files("bookgen.reference").joinpath("limits.yaml").read_text(encoding="utf-8"))
    found = {times: {turn["form"] for turn in table["turns"] if turn["times"] == times} for times in (2, 3)}
    assert found == MORE_THAN_ONCE
    assert {turn["times"] for turn in table["turns"]} == {1, 2, 3}


def test_molar_masses_are_those_of_an_independent_library():
    """Source: standard atomic weights by the library molmass 2026.1.8."""
    table = yaml.safe_load(files("bookgen.reference").joinpath("limits.yaml").read_text(encoding="utf-8"))
    for turn in table["turns"]:
        for atoms, mass in ((turn["formula"], turn["molar mass"]), (turn["of"], turn["weighs"])):
            assert abs(mass - molmass.Formula(atoms).mass) < 0.0015, (turn["form"], atoms)


def test_every_figure_is_that_of_the_second_copy():
    """Source: the head of the copy; each of its rows has its entry, and every entry with a figure is in it."""
    found = [
        (row.key, row.entry, "secondary" if row.secondary else "seen", [_figure(ceiling) for ceiling in row.most])
        for row in limits().rows
        if row.most
    ]
    copied = [
        (row["id"], row["entry"], row["class"], [_copied(figure) for figure in row["figures"]])
        for row in yaml.load(COPY.read_text(encoding="utf-8"), Loader=yaml.CBaseLoader)
    ]
    assert sorted(found) == sorted(copied)


def _figure(ceiling: Ceiling) -> tuple[Fraction | None, Fraction | None, str]:
    return None if ceiling.share is None else ceiling.share * 100, ceiling.ph, ceiling.counted_as


def _copied(figure: dict[str, str]) -> tuple[Fraction | None, Fraction | None, str]:
    most, acidity = figure.get("most"), figure.get("pH most")
    return most and Fraction(most), acidity and Fraction(acidity), figure.get("as", "")


def test_a_figure_for_one_contact_is_for_that_contact_in_the_second_copy():
    rows = {row.key: row for row in limits().rows}
    for row in yaml.load(COPY.read_text(encoding="utf-8"), Loader=yaml.CBaseLoader):
        for ceiling, figure in zip(rows[row["id"]].most, row["figures"], strict=True):
            if figure["for"] in {"leave-on", "rinse-off"}:
                assert ceiling.where.contact is Contact(figure["for"]), row["id"]


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("seen: seen, names: [[Benzoic acid]], most: [{most: 1}]", ""),
        ("seen: seen, names: [[Benzoic acid]], never: [{contact: leave-on}]", ""),
        ("seen: seen, names: [[Benzoic acid]], prohibited: yes", ""),
        ("seen: heard, names: [[Benzoic acid]], most: [{most: 1}]", "x: heard is no way of seeing"),
        ("seen: seen, names: [[Benzoic acid]]", "x: it says nothing"),
        ("seen: seen, names: [[Benzoic acid]], most: [{contact: leave-on}]", "either a percentage or a pH"),
        ("seen: seen, names: [[Benzoic acid]], most: [{most: 1, pH most: 5}]", "either a percentage or a pH"),
        (
            "seen: seen, names: [[New acid, Benzoic  ACID]], most: [{most: 1}]",
            "Benzoic  ACID is Benzoic acid in another",
        ),
        ("seen: seen, names: [[Benzoic acid]], most: [{most: 1}], other purpose: [iii-none]", "x: no entry"),
    ],
)
def test_a_row_that_cannot_be_meant_stops_the_build(row, told, monkeypatch):
    text = files("bookgen.reference").joinpath("limits.yaml").read_text(encoding="utf-8")
    text = f"{text.rstrip()}\n  - {{id: x, entry: V/0, edition: annex V 2024, {row}}}\n"
    table = yaml.load(text, Loader=yaml.CBaseLoader)
    monkeypatch.setattr("bookgen.reference.limits.table_in", lambda file: table)
    limits.cache_clear()
    try:
        if told:
            with pytest.raises(ValueError, match=told):
                limits()
        else:
            assert limits().rows[-1].key == "x"
    finally:
        limits.cache_clear()


def test_what_an_entry_says_besides_its_figures():
    rows = {row.key: row for row in limits().rows}
    releaser, kojic, salicylic = rows["v-sodium-hydroxymethylglycinate"], rows["iii-kojic"], rows["iii-salicylic"]
    assert [ceiling.below for ceiling in releaser.most] == [False, True]
    assert (kojic.secondary, kojic.only, salicylic.secondary, salicylic.only) == (True, True, False, False)
    assert [item.words for item in salicylic.label] == [("Not to be used for children under 3 years of age",)]
    assert [row.key for row in limits().rows if row.natural] == ["ii-furocoumarins"]
    assert {row.key for row in limits().rows if row.prohibited and (row.most or row.never)} == set()


def test_each_name_stands_for_one_substance():
    table = limits()
    assert len(table.rows) > 200
    assert all(spelt(name) == name for name in table.names)
    assert table.by_substance.keys() == set(table.names.values())
    assert Fraction("0.8474") < counted("sodium benzoate", "benzoic acid") < Fraction("0.8475")
