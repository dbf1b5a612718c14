"""The reckoning of dangers at its corners: for whom, from which share on, with what, and how much of it."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from bookgen.reckon.dangers import (
    Dangers,
    goes_on_body,
    left_on,
    lets_nothing_grow,
    ratio_in_the_sun,
    scent_of,
    stands,
    told_of_heat,
    told_of_meeting,
    untried,
)
from bookgen.reckon.figures import reckon
from bookgen.reference.dangers import Peril
from bookgen.source import read_book

from ..books_of_text import MATERIALS, ONE_BALANCE, write_book

HELD = {
    "lye": "known as: sodium hydroxide\nwater: 0 %",
    "potash": "known as: potassium hydroxide\nwater: 0 %",
    "lactic": "known as: lactic acid\nwater: 0 %",
    "vinegar-acid": "known as: acetic acid\nwater: 0 %",
    "carbolic": "known as: phenol\nwater: 0 %",
    "fat": "soluble: oil\nwater: 0 %",
    "olive": "soluble: oil\nwater: 0 %\nsaponification: 184 to 196 mg KOH/g",
    "beeswax": "kind: wax\nwater: 0 %",
    "shea": "kind: butter\nwater: 0 %",
    "bleach": "known as: sodium hypochlorite\nwater: 0 %",
    "citric": "known as: citric acid\nwater: 0 %",
    "bergamot": "known as: bergamot oil\nwater: 0 %",
    "lime": "known as: lime oil expressed\nwater: 0 %",
    "lemon": "known as: lemon oil\nwater: 0 %",
    "camphor": "water: 0 %",
    "rose oil": "function: aroma\nwater: 0 %",
    "rose water": "function: aroma\nwater: 99 %",
    "rose spirit": "function: aroma\nwater: 20 %\ncontains:\n  ethanol: 70 %",
    "spirit of unknown": "function: aroma\nwater: 20 %\ncontains:\n  ethanol: 70 to 75 %",
}


def book_of(folder: Path, formulas: dict[str, str], more: dict[str, str] | None = None) -> Path:
    return write_book(folder / "book", formulas, MATERIALS | HELD | (more or {}), ONE_BALANCE)


def text_of(code: str, lines: str, *keys: str) -> str:
    body = "\n".join(f"  {line.strip()}" for line in lines.split(";"))
    head = "".join(f"{key}\n" for key in keys)
    return f"---\ncode: {code}\ntitle: Title {code}\n{head}ingredients:\n{body}\n---\n"


def dangers_in(folder: Path, lines: str, *keys: str) -> Dangers:
    return reckon(read_book(book_of(folder, {"F": text_of("F", lines, *keys)}))).figures["f"].dangers


@pytest.mark.parametrize(
    ("keys", "on_body", "stays"),
    [
        ([], False, True),
        (["kind: cosmetic"], True, True),
        (["kind: medicine"], True, True),
        (["kind: household"], False, True),
        (["use: leave-on"], True, True),
        (["use: rinse-off"], True, False),
        (["use: adults"], False, True),
        (["kind: household", "use: leave-on"], False, True),
        (["kind: household", "use: hands"], True, True),
        (["kind: cosmetic", "use: textiles"], False, True),
        (["kind: cosmetic", "use: textiles, hands"], True, True),
        (["kind: cosmetic", "use: intermediate"], False, True),
    ],
)
def test_what_goes_onto_somebody_and_stays_there(keys, on_body, stays, tmp_path):
    """By the place that is named, else by its kind, else by whether it says that it stays on or not."""
    figures = reckon(read_book(book_of(tmp_path, {"F": text_of("F", "fat: 100 g", *keys)}))).figures["f"]
    assert goes_on_body(figures.formula) is figures.dangers.on_body is on_body
    assert left_on(figures.formula) is stays


@pytest.mark.parametrize(
    ("lines", "keys", "burns"),
    [
        ("lye: 2 %; water: to 100 g", [], {Peril.CAUSTIC: "0.02"}),
        ("lye: 1.99 %; water: to 100 g", [], {}),
        ("lye: 1 %; potash: 1 %; water: to 100 g", [], {Peril.CAUSTIC: "0.02"}),
        ("lye: 1 %; potash: 0.99 %; water: to 100 g", [], {}),
        ("lye: 5 %; water: to 100 g", ["pH: 12"], {}),
        ("carbolic: 2 %; water: to 100 g", ["pH: 5"], {Peril.PHENOL: "0.02"}),
        ("carbolic: 1.9 %; water: to 100 g", [], {}),
        ("vinegar-acid: 10 %; water: to 100 g", [], {Peril.STRONG_ACID: "0.1"}),
        ("vinegar-acid: 9.9 %; water: to 100 g", [], {}),
        ("lye: 19 g; fat: 100 g; water: 50 g", [], {}),
        ("lye: 19.1 g; fat: 100 g; water: 50 g", [], {Peril.CAUSTIC: "191/1691"}),
        ("lye: 9.5 g; potash: 13.5 g; fat: 100 g; water: 50 g", [], {}),
        ("lye: 9.5 g; potash: 13.6 g; fat: 100 g; water: 50 g", [], {Peril.CAUSTIC: "231/1731"}),
    ],
)
def test_what_burns_by_its_strength(lines, keys, burns, tmp_path):
    """Shares ÷ the share from which each burns come to 1; a lye that its fat turns into soap does not, nor by a pH."""
    found = dangers_in(tmp_path, lines, *keys)
    assert {burn.peril: burn.share for burn in found.burns} == {
        peril: Fraction(share) for peril, share in burns.items()
    }


def test_what_burns_is_named_the_most_first_and_may_be_taken_up(tmp_path):
    found = dangers_in(tmp_path, "lye: 1.5 %; potash: 3 %; vinegar-acid: 1 %; water: to 100 g")
    (burn,) = found.burns
    assert burn.names == ("Potassium hydroxide", "Sodium hydroxide")
    assert burn.burns_from == Fraction("0.02")
    assert burn.may_be_taken_up
    (alone,) = dangers_in(tmp_path / "alone", "lye: 3 %; carbolic: 0.1 %; water: to 100 g").burns
    assert not alone.may_be_taken_up


def test_two_that_must_never_meet_are_told_wherever_they_are_handled(tmp_path):
    lines = "bleach: {amount: 5 g, removed: filtered}; citric: 1 g; water: 94 g"
    found = dangers_in(tmp_path, lines)
    ((first, second, freed),) = found.never
    assert (first.substance.name, second.substance.name) == ("Sodium hypochlorite", "Citric acid")
    assert (freed.gas, freed.harm) == ("chlorine", "a poison")
    assert (first.share, first.strength) == (None, 1)
    (told,) = told_of_meeting(found)
    assert told.fact("gas") == "chlorine"
    assert not dangers_in(tmp_path / "one", "bleach: 5 g; water: 95 g").never


def test_what_is_aromatic_counts_without_its_water_and_ethanol(tmp_path):
    """10 % of an oil, of a water with 1 % in it and of a spirit with a tenth, 5 % of what a line calls so: 16.1 %."""
    lines = "rose oil: 10 %; rose water: 10 %; rose spirit: 10 %; fat: 5 %, fragrance; water: to 100 g"
    found = dangers_in(tmp_path, lines)
    assert found.aromatic_keys == {"rose oil", "rose water", "rose spirit", "fat"}
    assert found.aromatic == Fraction("0.161")
    book = read_book(tmp_path / "book")
    assert scent_of(book.materials["rose water"]) == Fraction("0.01")
    assert scent_of(book.materials["spirit of unknown"]) == Fraction("0.1")
    assert scent_of(book.materials["a"]) == 1


def test_what_an_intermediate_brings_is_aromatic_in_what_is_made_with_it(tmp_path):
    inner = text_of("N", "fat: 50 g, scent; b: 50 g", "use: intermediate")
    outer = text_of("F", "N: 10 g; water: 90 g")
    figures = reckon(read_book(book_of(tmp_path, {"N": inner, "F": outer}))).figures
    assert figures["f"].dangers.aromatic_keys == {"fat"}
    assert figures["f"].dangers.aromatic == Fraction("0.05")


@pytest.mark.parametrize(
    ("lines", "celsius"),
    [
        ("A, at 70 °C: {beeswax: 5 g}; B, at 65 °C: {fat: 5 g}", 70),
        ("A, at 60.5 °C: {shea: 5 g}", Fraction("60.5")),
        ("A, at 60 °C: {fat: 5 g}", None),
        ("A, at 80 °C: {water: 5 g}", None),
        ("A: {fat: 5 g}", None),
    ],
)
def test_how_hot_fat_is_melted(lines, celsius, tmp_path):
    found = dangers_in(tmp_path, lines)
    assert found.melt_c == celsius
    assert [told.fact("celsius") for told in told_of_heat(found)] == ([] if celsius is None else [celsius])


@pytest.mark.parametrize(
    ("lines", "keys", "told"),
    [
        ("fat: 100 g", [], None),
        ("fat: 100 g", ["pH: 3.5 to 9"], None),
        ("fat: 100 g", ["pH: 3.4"], "ph-not-tried"),
        ("fat: 100 g", ["pH: 9.1"], "ph-not-tried"),
        ("fat: 100 g", ["pH: 2"], "not-for-skin"),
        ("fat: 100 g", ["pH: 11.5"], "not-for-skin"),
        ("fat: 100 g", ["pH: 2.1 to 11.4"], "ph-not-tried"),
        ("carbolic: 1 g; fat: 99 g", [], "phenol-not-tried"),
        ("rose oil: 50 g; fat: 50 g", [], "not-undiluted"),
        ("rose oil: 49 g; fat: 51 g", [], None),
        ("lye: 5 g; water: 95 g", [], "not-for-skin"),
        ("lactic: 10.1 g; water: to 100 g", [], "peel-not-tried"),
        ("lactic: 10 g; water: to 100 g", [], None),
        ("lactic: 30.1 g; water: to 100 g", ["use: rinse-off, body"], "peel-not-tried"),
        ("lactic: 30 g; water: to 100 g", ["use: rinse-off, body"], None),
        ("bleach: 1 g; water: to 100 g", ["pH: 8"], "not-for-skin"),
        ("lye: 12 g; olive: 60 g; water: to 100 g", [], "may-burn-not-tried"),  # 60 g take up some 8 g
        ("lye: 12 g; olive: 60 g; water: to 100 g", ["pH: 9"], None),
        ("lye: 7 g; olive: 60 g; water: to 100 g", [], None),
        ("lye: 5 g; water: to 100 mL", [], "may-burn-not-tried"),  # nor is what 1 mL weighs
        ("carbolic: 5 g; water: to 100 mL", ["pH: 7"], "phenol-not-tried"),
        ("citric: 5 g; water: to 100 mL", [], None),
        ("lye: 5 g; water: to 100 mL", ["pH: 7"], None),
        ("bleach: 0.75 g; water: to 100 mL", ["pH: 8"], "may-burn-not-tried"),  # 1 % at 0.75 g/mL
        ("bleach: 0.74 g; water: to 100 mL", ["pH: 8"], None),
        ("lactic: 7.6 g; water: to 100 mL", [], "may-peel-not-tried"),  # 10.1 %
        ("lactic: 7.5 g; water: to 100 mL", [], None),
        ("rose oil: 37.5 g; fat: to 100 mL", [], "not-undiluted"),  # 50 %
        ("rose oil: 37 g; fat: to 100 mL", [], None),
        ("bleach: 0.9 g; water: to 100 g", ["pH: 8"], None),
    ],
)
def test_what_is_said_in_place_of_a_trial_on_the_arm(lines, keys, told, tmp_path):
    figures = reckon(read_book(book_of(tmp_path, {"F": text_of("F", lines, *keys)}))).figures["f"]
    found = untried(figures.formula, figures.dangers, figures.soap)
    assert (None if found is None else found.key) == told


def test_how_it_stands_to_what_is_judged_by_its_share(tmp_path):
    """What is taken out again has no share in the product, and nothing is told of it."""
    lines = "lye: {amount: 1 g, removed: filtered}; potash: 1 g; bergamot: 1 g; camphor: 1 g; citric: 1 g; fat: 96 g"
    told = stands(dangers_in(tmp_path, lines))
    assert [(saying.key, saying.fact("name")) for saying in told] == [
        ("danger-sun", "Bergamot oil"),
        ("danger-airways", "Camphor"),
        ("danger-burns", "Potassium hydroxide"),
    ]


def test_oils_that_burn_in_the_sun_add_up(tmp_path):
    """Bergamot 0.2 of 0.4 %, lime 0.3 of 0.7 %, lemon 1.0 of 2.0 %: 142.86 % (limits as others quote them)."""
    found = dangers_in(tmp_path, "bergamot: 0.2 %; lime: 0.3 %; lemon: 1 %; fat: to 100 g")
    assert ratio_in_the_sun(found) == Fraction(10, 7)
    assert ratio_in_the_sun(dangers_in(tmp_path / "none", "fat: 100 g")) == 0


def test_of_an_unknown_share_the_whole_is_taken_as_its_strength(tmp_path):
    more = {"drain cleaner": "water: 50 %\ncontains:\n  sodium hydroxide: 30 to 40 %"}
    lines = "drain cleaner: 10 g; water: 90 g"
    book = book_of(tmp_path, {"F": text_of("F", lines), "G": text_of("G", "caustic soda: 5 g; water: 95 g")}, more)
    figures = reckon(read_book(book)).figures
    (met,) = figures["f"].dangers.of(Peril.CAUSTIC)
    assert (met.strength, met.share) == (Fraction("0.4"), Fraction("0.04"))
    (unfiled,) = figures["g"].dangers.of(Peril.CAUSTIC)
    assert (unfiled.substance.name, unfiled.strength, unfiled.share) == ("Sodium hydroxide", 1, None)


@pytest.mark.parametrize(
    ("acid", "names"),
    [
        ("", ("Sodium hydroxide",)),
        ("citric: 1 g;", ()),
        ("citric: {amount: 1 g, left: 0 %};", ()),  # what it took up before it was taken out nobody knows
        ("thin: 1 g;", ("Sodium hydroxide",)),
    ],
)
def test_lye_keeps_germs_out_unless_an_acid_may_take_it_up(acid, names, tmp_path):
    """Common practice, no source: what is nothing but water takes nothing up."""
    thin = {"thin": "known as: citric acid\nwater: 100 %"}
    root = book_of(tmp_path, {"F": text_of("F", f"lye: 5 g; {acid} water: to 100 g")}, thin)
    figures = reckon(read_book(root)).figures["f"]
    assert lets_nothing_grow(figures.formula, figures.dangers) == names
