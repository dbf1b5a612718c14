"""What a product carries: summed over materials, through intermediates, after evaporation, and over salts and hydrates.

Expected figures are own arithmetic on the lines of each little book.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

from bookgen.findings import Missing
from bookgen.reckon.contents import Carried, Contents
from bookgen.reckon.figures import reckon
from bookgen.source import read_book

from ..books_of_text import MATERIALS, formula, weigh, write_book

MORE = {
    "lactic-90": "contains:\n  Lactic Acid: 90 %\nwater: 10 %",
    "lactate-60": "contains:\n  sodium lactate: 60 %\nwater: 40 %",
    "sorbate": "contains:\n  potassium sorbate: 99 %\nwater: 0 %",
    "epsom": "contains:\n  epsom salt: 98 %\nwater: 0 %",
    "epsom-2": "contains:\n  magnesium sulphate heptahydrate: 100 %\nwater: 0 %",
    "citrate": "contains:\n  sodium citrate: 99 %\nwater: 0 %",
    "citric": "contains:\n  citric acid monohydrate: 100 %\nwater: 0 %",
    "dried": "contains:\n  citric acid: 99.5 % of dried\nwater: 0 %",
    "mint": "density: 0.9\ncontains:\n  menthol: 40 %\nwater: 0 %",
}


def contents(folder: Path, ingredients: str, *keys: str, **inner: str) -> Contents:
    """Return the contents of F, whose intermediates are given by their code."""
    texts = {"F": formula("F", ingredients, *keys)} | {code: formula(code, text) for code, text in inner.items()}
    return reckon(read_book(write_book(folder, texts, {**MATERIALS, **MORE}))).figures["f"].contents


def carried(folder: Path, ingredients: str, *keys: str, **inner: str) -> dict[str, Fraction]:
    """Return substance → percent of F."""
    found = contents(folder, ingredients, *keys, **inner).carried
    assert not isinstance(found, Missing)
    return {one.substance: one.share * 100 for one in found if isinstance(one.share, Fraction)}


def test_one_substance_over_several_materials_and_twice_through_an_intermediate(tmp_path: Path) -> None:
    found = carried(
        tmp_path,
        "lactic-80: 2 %; I: 10 %; J: 20 %; water: to 100 g",
        I="lactic-80: 5 %; lactic-90: 10 %; water: to 100 g",
        J="I: 50 %; a: 50 %",
    )
    inner = Fraction("0.05") * 80 + Fraction("0.1") * 90
    assert found == {"lactic acid": Fraction("0.02") * 80 + inner / 10 + inner / 2 / 5}


def test_what_evaporates_leaves_more_behind(tmp_path: Path) -> None:
    found = carried(tmp_path, "lactic-80: 10 g; water: {amount: 90 g, evaporates: 20 g}", "makes: 100 g")
    assert found == {"lactic acid": Fraction(10)}


def test_salts_are_summed_as_their_acid(tmp_path: Path) -> None:
    found = contents(tmp_path, "lactate-60: 10 %; lactic-80: 1 %; sorbate: 0.2 %; water: to 100 g").carried
    acid = Fraction("0.008") + Fraction("0.06") * Fraction("90.078") / Fraction("112.060")
    sorbic = Fraction("0.00198") * Fraction("112.127") / Fraction("150.217")
    assert found == (
        Carried(substance="sodium lactate", share=Fraction("0.06")),
        Carried(substance="lactic acid", share=acid, of=("sodium lactate", "lactic acid")),
        Carried(substance="lactic acid", share=Fraction("0.008")),
        Carried(substance="potassium sorbate", share=Fraction("0.00198")),
        Carried(substance="sorbic acid", share=sorbic, of=("potassium sorbate",)),
    )


def test_one_form_under_two_names_is_one_substance(tmp_path: Path) -> None:
    found = carried(tmp_path, "epsom: 1 %; epsom-2: 1 %; water: to 100 g")
    assert found == {
        "epsom salt": Fraction("1.98"),
        "magnesium sulfate anhydrous": Fraction("1.98") * Fraction("120.368") / Fraction("246.475"),
    }


def test_a_name_of_two_forms_is_not_summed(tmp_path: Path) -> None:
    (tmp_path / "alone").mkdir()
    assert carried(tmp_path / "alone", "citrate: 1 %; water: to 100 g") == {"sodium citrate": Fraction("0.99")}
    found = contents(tmp_path, "citrate: 1 %; citric: 0.1 %; water: to 100 g").carried
    assert not isinstance(found, Missing)
    summed = next(one for one in found if one.of)
    assert summed.of == ("sodium citrate", "citric acid monohydrate") or summed.of[::-1] == summed.of
    assert isinstance(summed.share, Missing)
    assert summed.share.reason == ("sodium citrate can be trisodium citrate anhydrous or trisodium citrate dihydrate")


def test_what_is_not_known_is_last_and_says_why(tmp_path: Path) -> None:
    found = contents(tmp_path, "dried: 5 %; lactic-80: 1 %; water: to 100 g").carried
    assert not isinstance(found, Missing)
    assert [one.substance for one in found] == ["lactic acid", "citric acid"]
    assert isinstance(found[1].share, Missing)
    assert found[1].share.reason == "dried gives citric acid of the dried material; write `drying:`"


def test_an_upper_limit_stays_one(tmp_path: Path) -> None:
    found = contents(
        tmp_path, "mint: {amount: 2 mL, left: at most 0.05 %}; c: {amount: 1 g, removed: filtered}; water: to 100 g"
    ).carried
    assert found == (Carried(substance="menthol", share=Fraction("0.0002"), at_most=True),)


def test_nothing_is_carried_where_the_composition_is_not_known(tmp_path: Path) -> None:
    found = contents(tmp_path, "lactic-80: 1 g; water: to 100 mL").carried
    assert isinstance(found, Missing)


def test_the_answer_says_what_is_carried(tmp_path: Path) -> None:
    book = write_book(tmp_path, {"F": formula("F", "sorbate: 1 %; a: to 100 g")}, {**MATERIALS, **MORE})
    answer = weigh(book, "F")
    percent = Fraction("0.99") * Fraction("112.127") / Fraction("150.217")
    assert answer["carries"] == [
        {"substance": "potassium sorbate", "percent": "0.99", "percent_wv": None, "from": []},
        {"substance": "sorbic acid", "percent": str(percent), "percent_wv": None, "from": ["potassium sorbate"]},
    ]
    assert answer["why"]["carries.percent_wv"] == "the density of the finished product is not written"


def test_what_is_not_known_by_weight_is_not_known_by_volume(tmp_path: Path) -> None:
    """The density turns what is known; what is not keeps its own reason."""
    text = formula("F", "dried: 5 %; lactic-80: 1 %; water: to 100 g", "density: 1.05")
    answer = weigh(write_book(tmp_path, {"F": text}, {**MATERIALS, **MORE}), "F")
    assert [one["percent_wv"] for one in answer["carries"]] == ["0.84", None]
    assert "carries.percent_wv" not in answer["why"]
    assert answer["why"]["carries.citric acid"] == "dried gives citric acid of the dried material; write `drying:`"


def test_what_is_left_by_volume_is_turned_by_both_densities(tmp_path: Path) -> None:
    """0.05 % v/v of an oil of 0.9 g/mL in a product of 1.2 g/mL is 0.0375 % w/w; 40 % of that is menthol."""
    text = formula("F", "mint: {amount: 2 mL, left: 0.05 % v/v}; water: to 100 g", "density: 1.2")
    answer = weigh(write_book(tmp_path, {"F": text}, {**MATERIALS, **MORE}), "F")
    assert answer["composition"][1] == {"material": "mint", "percent": "0.0375"}
    assert answer["carries"] == [{"substance": "menthol", "percent": "0.015", "percent_wv": "0.018", "from": []}]
