"""The list of ingredients for a label: its order, what is split and added up, and what makes it incomplete.

Expected lists are own arithmetic on the lines of each little book.  Source of the rules: Regulation (EC) No 1223/2009,
Article 19(1)(g), as guides quote it; 21 CFR 701.3(f) from memory.
"""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import pytest
from click.testing import CliRunner

from bookgen.cli import main
from bookgen.findings import Missing
from bookgen.pipeline import check_book, publish
from bookgen.reckon.figures import reckon
from bookgen.reckon.label import LabelList, LabelPart
from bookgen.wording.saying import says as saying

from ..books_of_text import weigh, write_book

MATERIALS = {
    "water": "label: Aqua\nwater: 100 %",
    "glycerol": "label: Glycerin\nwater: 15 %",
    "acid": "label:\n  Lactic Acid: 80 %\n  Water: 20 %\nwater: 20 %",
    "betaine": "label:\n  Cocamidopropyl Betaine: 30 %\n  Sodium Chloride: 5 %\nwater: 65 %",
    "half": "label:\n  Tocopherol: 50 %\nwater: 0 %",
    "rose water": "label: Rosa Damascena Flower Water\nwater: 99.9 %",
    "oil": "label: Helianthus Annuus Seed Oil\nwater: 0 %",
    "wax": "label: Cera Alba\nwater: 0 %",
    "bare": "water: 10 %",
    "menthol": "label: Menthol\nwater: 0 %",
    "red": "label: CI 77491\nfunction: pigment, Colourant\nwater: 0 %",
    "petal": "label: Parfum\nfunction: aroma\ncontains:\n  linalool: 20 to 35 %\nwater: 0 %",
    "sand": "label: Silica\nwater: 0 %",
    "peel": "label: Citrus Aurantium Dulcis Peel Oil\nfunction: aroma\ncontains:\n  ethanol: 0.1 %\nwater: 0 %",
    "bitter": "label: Citrus Aurantium Amara Peel Oil\nfunction: aroma\ncontains:\n  ethanol: 0.1 %\nwater: 0 %",
    "limonene": "label: LIMONENE\nwater: 0 %",
    "lye": "label: Sodium Hydroxide\nwater: 0 %",
    "blend": "label:\n  Benzyl Alcohol: 90 %\n  Lactic Acid: 10 %\nwater: 0 %",
    "lactate": "label: Sodium Lactate\nwater: 0 %",
}
SOAP = "label:\n  Sodium Olivate: 70 %\n  Aqua: 20 %\n  Glycerin: 10 %\ningredients:\n  oil: 70 g\n  lye: 10 g"
NAMED = {
    "SOAP": f"---\ncode: SOAP\ntitle: Soap\nuse: intermediate\n{SOAP}\n  water: to 100 g\n---\n",
    "MIXED": "---\ncode: MIXED\ntitle: Half\nuse: intermediate\ningredients:\n  SOAP: 50 %\n  oil: to 100 g\n---\n",
    "SALT": "---\ncode: SALT\ntitle: Lactate\nuse: intermediate\nlabel: Sodium Lactate\ningredients:\n"
    "  acid: 50 g\n  lye: 50 g\n---\n",
    "DRAWN": "---\ncode: DRAWN\ntitle: Rose salve\nuse: intermediate\nlabel: Unguentum Rosae\ningredients:\n"
    "  red: {amount: 5 g, removed: strained, function: drug}\n  wax: to 100 g\n---\n",
}
"""Intermediates with label names of their own, and one that holds such a one."""
HEAD = "code: X\ntitle: X\nkind: cosmetic\nuse: leave-on, face\nstorage: cupboard, 180 days\n"


def book(folder: Path, lines: str, head: str = HEAD) -> Path:
    """Return a book with X, whose lines are made up to 100 g, and an intermediate I."""
    body = "\n".join(f"  {line.strip()}" for line in lines.split(";"))
    inner = "---\ncode: I\ntitle: I\nuse: intermediate\ningredients:\n  acid: 10 %\n  red: 10 %\n  oil: to 100 g\n---\n"
    formulas = {"X": f"---\n{head}ingredients:\n{body}\n---\n", "I": inner, **NAMED}
    return write_book(folder / "book", formulas, MATERIALS)


def label(folder: Path, lines: str, head: str = HEAD) -> LabelList:
    return check_book(book(folder, lines, head)).reckoning.figures["x"].label


@pytest.mark.parametrize(
    ("lines", "text"),
    [
        # glycerol 20 % of which 3 % is water: 33 % of water in all
        ("oil: 50 %; glycerol: 20 %; water: to 100 g", "Helianthus Annuus Seed Oil, Aqua, Glycerin"),
        # water of an acid under its American name is the same water: 10 + 1 %
        ("acid: 5 %; oil: 85 %; water: to 100 g", "Helianthus Annuus Seed Oil, Aqua, Lactic Acid"),
        # the water of a composite whose label leaves it out: 6.5 %; nothing else brings any
        ("betaine: 10 %; oil: to 100 g",
         "Helianthus Annuus Seed Oil, Aqua, Cocamidopropyl Betaine, Sodium Chloride"),
        # a water with a name of its own is not split
        ("rose water: 60 %; glycerol: to 100 g", "Rosa Damascena Flower Water, Glycerin, Aqua"),
        # a processing aid is out; an intermediate is expanded; what colours is last, though it is 2 %
        ("I: 20 %; sand: {amount: 5 g, removed: filtered}; wax: to 100 g",
         "Cera Alba, Helianthus Annuus Seed Oil, Lactic Acid, Aqua, CI 77491"),
        # the same label name of two materials, in whatever case
        ("oil: 30 %; wax: 40 %; half: 0.5 %; I: to 100 g",
         "Helianthus Annuus Seed Oil, Cera Alba, Lactic Acid, Aqua, Tocopherol, CI 77491"),
    ],
)  # fmt: skip
def test_the_order(lines, text, tmp_path):
    assert label(tmp_path, lines).text.partition(": ")[2] == text


def test_all_water_goes_by_the_name_of_the_formulas_own(tmp_path):
    """That of the acid stands as Water in its file, that of the formula as Eau; without either it is Aqua."""
    root = book(tmp_path, "acid: 5 %; oil: 85 %; water: to 100 g")
    (root / "formulas" / "materials" / "water.md").write_text(
        "---\nname: water\nlabel: Eau\nwater: 100 %\n---\n", encoding="utf-8"
    )
    found = check_book(root).reckoning.figures["x"].label
    assert found.text == "Ingredients: Helianthus Annuus Seed Oil, Eau, Lactic Acid"
    assert label(tmp_path / "none", "acid: 5 %; oil: to 100 g").text == (
        "Ingredients: Helianthus Annuus Seed Oil, Lactic Acid, Aqua"
    )


def test_one_name_with_a_share_is_so_much_of_its_material(tmp_path):
    found = label(tmp_path, "half: 10 %; wax: to 100 g")
    assert not isinstance(found.entries, Missing)
    assert {entry.name: entry.high for entry in found.entries} == {
        "Cera Alba": Fraction("0.9"), "Tocopherol": Fraction("0.05"),
    }  # fmt: skip


def test_one_percent_is_in_order_and_below_it_is_not(tmp_path):
    found = label(tmp_path, "oil: 1 %; glycerol: 1.17 %; menthol: 0.99 %; wax: to 100 g")
    assert not isinstance(found.entries, Missing)
    assert [(entry.name, entry.part) for entry in found.entries] == [
        ("Cera Alba", LabelPart.ORDERED),
        ("Helianthus Annuus Seed Oil", LabelPart.ORDERED),
        ("Glycerin", LabelPart.ANY_ORDER),
        ("Menthol", LabelPart.ANY_ORDER),
        ("Aqua", LabelPart.ANY_ORDER),
    ]
    assert [str(told).partition(" (")[0] for told in found.told] == [
        "From Glycerin onwards each is below 1 % and may stand in any order",
        "Helianthus Annuus Seed Oil is at 1 % exactly: in order in the EU, in any order in the US",
    ]


def test_an_order_that_a_range_leaves_open_is_said(tmp_path):
    """Menthol is 0 to 2 %, between 1.5 % of oil and nothing at all; wax is above both."""
    lines = "menthol: {amount: 3 g, left: at most 2 %}; oil: 1.5 g; wax: 96.5 g"
    assert [str(told) for told in label(tmp_path, lines).told] == [
        "Menthol and Helianthus Annuus Seed Oil: which comes first is not decided, as one of them is a range",
        "Menthol may be below 1 %, where the order is free",
    ]


def test_allergens_are_named_once_and_what_is_below_their_bound_is_not(tmp_path):
    """Linalool is at most 0.00105 % of it; menthol is an ingredient that is one of them itself."""
    found = label(tmp_path, "petal: 0.003 %; menthol: 0.5 %; wax: to 100 g")
    assert found.text == "Ingredients: Cera Alba, Menthol, Parfum, Linalool"
    assert not isinstance(found.entries, Missing)
    assert [entry.name for entry in found.entries if entry.allergen] == ["Menthol", "Linalool"]
    assert (found.entries[1].high, found.entries[3].high) == (Fraction("0.005"), Fraction("0.0000105"))


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        ("bare: 10 %; wax: to 100 g", "INCOMPLETE: bare has no label name; write `label:`"),
        ("half: 10 %; wax: to 100 g", "INCOMPLETE: the shares under `label:` of half do not add up to the whole"),
        ("red: {amount: 5 g, removed: strained, function: drug}; wax: to 100 g",
         "INCOMPLETE: what was drawn from red is in it, and has neither name nor share"),
        ("oil: 1 %, aroma; wax: to 100 g", "INCOMPLETE: not every fragrance allergen in it is known"),
    ],
)  # fmt: skip
def test_what_makes_it_incomplete(lines, says, tmp_path):
    found = label(tmp_path, lines)
    assert [str(told) for told in found.open] == [says]
    assert found.text.startswith("Ingredients (INCOMPLETE): Cera Alba")


@pytest.mark.parametrize(("free", "text"), [("90 %", "Hamamelis Water, Glycerin"), ("89.9 %", "Aqua, Hamamelis Water")])
def test_what_is_nearly_all_water_keeps_its_name(free, text, tmp_path):
    """Nine tenths of free water, and what has less is what it is called and water (own choice, no source)."""
    root = book(tmp_path, "drawn: 95 %; glycerol: to 100 g")
    (root / "formulas" / "materials" / "drawn.md").write_text(
        f"---\nname: drawn\nlabel: Hamamelis Water\nwater: {free}\n---\n", encoding="utf-8"
    )
    found = check_book(root).reckoning.figures["x"].label.text
    assert found.startswith(f"Ingredients: {text}")


def test_a_material_without_a_label_name_stands_in_brackets(tmp_path):
    assert label(tmp_path, "bare: 50 %; wax: 40 %; water: to 100 g").text == (
        "Ingredients (INCOMPLETE): [bare], Cera Alba, Aqua"
    )


@pytest.mark.parametrize(
    ("lines", "text"),
    [
        # above 0.001 % the entry's name alone, at the oil's place: 0.5 % before the 0.3 % of menthol
        ("peel: 0.5 %; menthol: 0.3 %; wax: to 100 g", "Cera Alba, Citrus Aurantium Peel Oil, Menthol"),
        # two oils of one entry are one name: 0.2 + 0.2 %
        ("peel: 0.2 %; bitter: 0.2 %; menthol: 0.3 %; wax: to 100 g",
         "Cera Alba, Citrus Aurantium Peel Oil, Menthol"),
        # at 0.001 % it is not to be named, and has its own
        ("peel: 0.001 %; wax: to 100 g", "Cera Alba, Citrus Aurantium Dulcis Peel Oil"),
        # an entry of an oil's own name in another spelling is that oil
        ("limonene: 0.5 %; wax: to 100 g", "Cera Alba, LIMONENE"),
    ],
)  # fmt: skip
def test_an_oil_that_is_an_entry_of_the_allergens_stands_once(lines, text, tmp_path):
    assert label(tmp_path, lines).text.partition(": ")[2] == text


def test_the_name_that_went_is_told(tmp_path):
    found = label(tmp_path, "peel: 0.2 %; bitter: 0.2 %; wax: to 100 g")
    assert [str(told) for told in found.told if told.key == "label-grouped"] == [
        (
            "Citrus Aurantium Amara Peel Oil and Citrus Aurantium Dulcis Peel Oil are listed as Citrus "
            "Aurantium Peel Oil, its name in the list of fragrance allergens"
        )
    ]


# ── Hydrates, neutralised pairs, names of an intermediate's own ───────────────────────────────────────────────────────


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("citric acid monohydrate", [("INCOMPLETE: citric acid monohydrate has no label name; if Citric Acid is meant, "
         "without its water, write `label: Citric Acid`")]),
        ("magnesium sulfate, heptahydrate", [("INCOMPLETE: magnesium sulfate, heptahydrate has no label name; if "
         "Magnesium Sulfate is meant, without its water, write `label: Magnesium Sulfate`")]),
        ("hydrate", ["INCOMPLETE: hydrate has no label name; write `label:`"]),
        ("chloral rehydrated", ["INCOMPLETE: chloral rehydrated has no label name; write `label:`"]),
    ],
)  # fmt: skip
def test_how_a_hydrate_is_written_is_asked(name, says, tmp_path):
    root = book(tmp_path, "crystals: 5 %; wax: to 100 g")
    file = root / "formulas" / "materials" / "crystals.md"
    file.write_text(f"---\nname: {name}\nwater: 0 %\n---\n", encoding="utf-8")
    assert [str(told) for told in check_book(root).reckoning.figures["x"].label.open] == says
    file.write_text(f"---\nname: {name}\nlabel: Citric Acid\nwater: 0 %\n---\n", encoding="utf-8")
    assert check_book(root).reckoning.figures["x"].label.open == ()


def asked_of_salts(found: LabelList) -> list[str]:
    return [str(told) for told in found.told if told.key == "label-neutralised"]


def test_a_neutralised_pair_is_asked_about_once(tmp_path):
    found = label(tmp_path, "acid: 5 %; lye: 1 %; acid: 1 %; wax: to 100 g")
    assert asked_of_salts(found) == [
        (
            "Lactic Acid and Sodium Hydroxide are listed as they go in; if Sodium Lactate, which they make, is "
            "meant, write that instead"
        )
    ]
    assert found.open == ()


@pytest.mark.parametrize(
    "lines",
    ["acid: 5 %; wax: to 100 g", "lye: 1 %; wax: to 100 g", "lactate: 2 %; lye: 1 %; acid: 1 %; wax: to 100 g",
     "SALT: 20 %; wax: to 100 g", "blend: 5 %; lye: 1 %; wax: to 100 g"],
)  # fmt: skip
def test_nothing_is_asked_where_one_is_missing_or_the_salt_is_named(lines, tmp_path):
    assert asked_of_salts(label(tmp_path, lines)) == []


@pytest.mark.parametrize(("acid", "alkali", "salt"), [
    ("Citric Acid", "Sodium Hydroxide", "Sodium Citrate"),
    ("Benzoic Acid", "Potassium Hydroxide", "Potassium Benzoate"),
    ("STEARIC ACID", "Triethanolamine", "TEA-Stearate"),
    ("Carbomer", "Sodium Hydroxide", "Sodium Carbomer"),
])  # fmt: skip
def test_other_pairs(acid, alkali, salt, tmp_path):
    root = book(tmp_path, "first: 5 %; second: 1 %; wax: to 100 g")
    for name, called in (("first", acid), ("second", alkali)):
        text = f"---\nname: {name}\nlabel: {called}\nwater: 0 %\n---\n"
        (root / "formulas" / "materials" / f"{name}.md").write_text(text, encoding="utf-8")
    assert [told.fact("salt") for told in check_book(root).reckoning.figures["x"].label.told
            if told.key == "label-neutralised"] == [salt]  # fmt: skip


@pytest.mark.parametrize(
    ("lines", "text"),
    [
        # 40 % of SOAP: sodium olivate 28 %, water 8 % beside 10 % of its own, glycerin 4 % with 8.5 %
        ("SOAP: 40 %; water: 10 %; glycerol: 10 %; wax: to 100 g", "Cera Alba, Sodium Olivate, Aqua, Glycerin"),
        # its own oil counts apart from that in SOAP
        ("SOAP: 40 %; oil: 30 %; wax: to 100 g",
         "Cera Alba, Helianthus Annuus Seed Oil, Sodium Olivate, Aqua, Glycerin"),
        # through another intermediate, which has 50 % of SOAP and no names of its own: 20 % of it, oil 20 %
        ("MIXED: 40 %; wax: to 100 g", "Cera Alba, Helianthus Annuus Seed Oil, Sodium Olivate, Aqua, Glycerin"),
        # one name is all of it, whatever was drawn from the petals in it
        ("SALT: 20 %; wax: to 100 g", "Cera Alba, Sodium Lactate"),
        ("DRAWN: 20 %; wax: to 100 g", "Cera Alba, Unguentum Rosae"),
    ],
)  # fmt: skip
def test_an_intermediate_stands_by_its_own_label_names(lines, text, tmp_path):
    found = label(tmp_path, lines)
    assert found.text == f"Ingredients: {text}"


def test_shares_of_an_intermediates_names(tmp_path):
    found = label(tmp_path, "SOAP: 40 %; MIXED: 20 %; wax: to 100 g")
    assert not isinstance(found.entries, Missing)
    assert {entry.name: entry.high for entry in found.entries} == {
        "Sodium Olivate": Fraction("0.35"), "Aqua": Fraction("0.1"), "Glycerin": Fraction("0.05"),
        "Cera Alba": Fraction("0.4"), "Helianthus Annuus Seed Oil": Fraction("0.1"),
    }  # fmt: skip


def test_what_was_drawn_elsewhere_too_is_open(tmp_path):
    lines = "DRAWN: 20 %; red: {amount: 5 g, removed: strained, function: drug}; wax: to 100 g"
    assert [str(told) for told in label(tmp_path, lines).open] == [
        "INCOMPLETE: what was drawn from red is in it, and has neither name nor share"
    ]


def test_a_rest_of_an_intermediate_without_a_name_is_open(tmp_path):
    root = book(tmp_path, "SOAP: 40 %; wax: to 100 g")
    file = root / "formulas" / "SOAP.md"
    file.write_text(file.read_text("utf-8").replace("70 %", "69 %"), encoding="utf-8")
    assert [str(told) for told in check_book(root).reckoning.figures["x"].label.open] == [
        "INCOMPLETE: the shares under `label:` of Soap do not add up to the whole"
    ]


def test_an_upper_limit_of_an_intermediate_is_one_of_its_names(tmp_path):
    found = label(tmp_path, "SOAP: {amount: 30 g, left: at most 20 %}; oil: 20 g; wax: 60 g")
    assert not isinstance(found.entries, Missing)
    olivate = next(entry for entry in found.entries if entry.name == "Sodium Olivate")
    assert (olivate.low, olivate.high) == (0, Fraction("0.14"))


def test_a_product_may_have_label_names_of_its_own(tmp_path):
    found = label(tmp_path, "oil: 50 g; wax: 50 g", HEAD + "label:\n  Sodium Olivate: 60 %\n  Aqua: 40 %\n")
    assert found.text == "Ingredients: Sodium Olivate, Aqua"


def test_other_label_names_are_reckoned_again_for_what_is_made_with_it(tmp_path):
    root = book(tmp_path, "SALT: 20 %; wax: to 100 g")
    before = check_book(root)
    file = root / "formulas" / "SALT.md"
    file.write_text(file.read_text("utf-8").replace("Sodium Lactate", "Potassium Lactate"), encoding="utf-8")
    after = check_book(root).book
    assert reckon(after, before.reckoning).figures["x"].label.text == "Ingredients: Cera Alba, Potassium Lactate"


@pytest.mark.parametrize("head", [HEAD.replace("cosmetic", "medicine"), HEAD.replace("leave-on, face", "intermediate")])
def test_only_a_cosmetic_has_one(head, tmp_path):
    assert label(tmp_path, "wax: 100 g", head).entries == ()


@pytest.mark.parametrize(
    ("period", "says"),
    [("30 months", False), ("31 months", True), ("915 days", False), ("916 days", True), ("3 years", True)],
)  # fmt: skip
def test_beyond_thirty_months_a_label_says_how_long_after_opening(period, says, tmp_path):
    because = f"storage: {{place: cupboard, period: {period}, because: kept so for years}}\n"
    found = label(tmp_path, "wax: 100 g", HEAD.replace("storage: cupboard, 180 days\n", because))
    assert (found.told[-1:] == (saying("label-after-opening"),)) is says


@pytest.mark.parametrize(("content", "named"), [("4.9 g", False), ("5 g", True), ("5 mL", True), ("4 mL", False)])
def test_a_label_of_a_small_pack_need_not_name_its_content(content, named, tmp_path):
    root = book(tmp_path, "wax: 100 g", HEAD + "density: 0.9 g/mL\n")
    assert weigh(root, "X", f"10 x {content}")["containers"]["content_on_label"] is named
    command = ["weigh", "X", "--obtain", f"10 x {content}", "--today", "2026-03-02", "--book", str(root)]
    text = CliRunner().invoke(main, command).stdout
    assert ("Below 5 g or 5 mL a label need not say how much is in it (EU)." in text) is not named
    assert (f"A label says how much is in it: {content}." in text) is named
    medicine = book(tmp_path / "other", "wax: 100 g", HEAD.replace("cosmetic", "medicine") + "density: 0.9 g/mL\n")
    assert weigh(medicine, "X", f"10 x {content}")["containers"]["content_on_label"] is None


# ── Where it is shown ─────────────────────────────────────────────────────────────────────────────────────────────────

LINES = "glycerol: 10 %, preservative; petal: 0.1 %; wax: to 100 g"
TEXT = "Ingredients: Cera Alba, Glycerin, Aqua, Parfum, Linalool"


def test_the_terminal_has_it_in_one_line_to_be_copied(tmp_path):
    result = CliRunner().invoke(main, ["check", "--explain", "x", "--book", str(book(tmp_path, LINES))])
    lines = result.stdout[result.stdout.index("For a label:") :].splitlines()
    assert lines[1] == TEXT
    assert lines[2].startswith("From Parfum onwards each is below 1 %")


def test_a_list_that_cannot_be_made_says_why(tmp_path):
    result = CliRunner().invoke(
        main, ["check", "--explain", "x", "--book", str(book(tmp_path, "oil: 5 mL; wax: 10 g"))]
    )
    told = result.stdout[result.stdout.index("For a label:") :]
    assert told.splitlines()[1].startswith("The list cannot be made: ")
    assert "Ingredients" not in told


def test_for_machines_the_shares_are_exact(tmp_path):
    root = book(tmp_path, LINES)
    result = CliRunner().invoke(main, ["check", "--explain", "x", "--json", "--book", str(root)])
    found = json.loads(result.stdout)["label"]
    assert found == weigh(root, "X")["label"]
    assert (found["text"], found["complete"]) == (TEXT, True)
    assert found["ingredients"][1:3] == [
        {"name": "Glycerin", "percent_low": "8.5", "percent_high": "8.5", "stands": "ordered", "label_name": True,
         "allergen": False},
        {"name": "Aqua", "percent_low": "1.5", "percent_high": "1.5", "stands": "ordered", "label_name": True,
         "allergen": False},
    ]  # fmt: skip
    assert found["ingredients"][4] == {
        "name": "Linalool", "percent_low": "0.02", "percent_high": "0.035", "stands": "any order", "label_name": True,
        "allergen": True,
    }  # fmt: skip


def test_the_page_has_it_behind_what_was_judged(tmp_path):
    publish(check_book(book(tmp_path, LINES)), tmp_path / "site", binder=False)
    page = (tmp_path / "site" / "formulas" / "X.html").read_text("utf-8")
    fold = page[page.index("<h3>What was judged</h3>") :]
    assert f"<h3>List of ingredients for a label</h3><p>{TEXT}</p>" in fold
