"""What a product carries: summed over materials, through intermediates, after evaporation, and over salts and hydrates.

Expected figures are own arithmetic on the lines of each little book.
"""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest

from bookgen.findings import Missing
from bookgen.look import load_theme
from bookgen.model import Content
from bookgen.pages import site_files
from bookgen.pipeline import check_book
from bookgen.reckon.contents import Carried, Contents
from bookgen.reckon.figures import reckon
from bookgen.source import read_book
from bookgen.source.values import read_content

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
    "petal": "contains:\n  linalool: 20 to 35 %\nwater: 0 %",
    "petal-2": "contains:\n  linalool: 30 %\nwater: 0 %",
    "bark": "contains:\n  linalool: 0-5 % of dried\n  cinnamal: 1 %\ndrying: 10 %\nwater: 0 %",
    "lactate-range": "contains:\n  sodium lactate: 50 % to 60 %\nwater: 40 %",
    "even": "contains:\n  zinc oxide: 30 %\n  talc: 30 %\n  kaolin: 40 %\nwater: 0 %",
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


def listed(name: str, percent: str, *, wv: str | None = None, of: list[str] | None = None) -> dict[str, object]:
    """Return a substance of one figure as the answer has it."""
    ends = {"percent": percent, "percent_low": percent, "percent_high": percent}
    return {"substance": name, **ends, "percent_wv": wv, "from": of or []}


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


def test_the_most_is_told_first_and_equals_by_their_names(tmp_path: Path) -> None:
    assert [*carried(tmp_path, "even: 10 %; water: to 100 g")] == ["kaolin", "talc", "zinc oxide", "zinc"]


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
        listed("potassium sorbate", "0.99"),
        listed("sorbic acid", str(percent), of=["potassium sorbate"]),
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
    assert answer["carries"] == [listed("menthol", "0.015", wv="0.018")]


# ── Ranges ────────────────────────────────────────────────────────────────────────────────────────────────────────


def test_a_range_is_summed_at_both_ends(tmp_path: Path) -> None:
    """2 % of an oil with 20 to 35 %, 1 % of one with 30 %, 10 % of a bark with at most 5 % of its dried nine tenths."""
    found = contents(tmp_path, "I: 20 %; petal-2: 1 %; bark: 10 %; water: to 100 g", I="petal: 10 %; water: to 100 g")
    assert found.carried == (
        Carried(substance="linalool", low=Fraction("0.007"), share=Fraction("0.0145")),
        Carried(substance="cinnamal", share=Fraction("0.001")),
    )


def test_a_range_is_turned_into_the_acid_at_both_ends(tmp_path: Path) -> None:
    found = contents(tmp_path, "lactate-range: 10 %; lactic-80: 1 %; water: to 100 g").carried
    factor = Fraction("90.078") / Fraction("112.060")
    assert not isinstance(found, Missing)
    assert found[1] == Carried(
        substance="lactic acid",
        low=Fraction("0.008") + Fraction("0.05") * factor,
        share=Fraction("0.008") + Fraction("0.06") * factor,
        of=("sodium lactate", "lactic acid"),
    )


def test_the_answer_gives_both_ends_of_a_range(tmp_path: Path) -> None:
    text = formula("F", "petal: 2 %; a: to 100 g", "density: 0.9")
    answer = weigh(write_book(tmp_path, {"F": text}, {**MATERIALS, **MORE}), "F")
    assert answer["carries"] == [
        {"substance": "linalool", "percent": None, "percent_low": "0.4", "percent_high": "0.7", "percent_wv": None,
         "from": []},
    ]  # fmt: skip
    assert answer["why"]["carries.linalool"] == "linalool is a range"


def test_the_page_rounds_the_ends_of_a_range_outward(tmp_path: Path) -> None:
    """3 % of 20 to 35 % in 97.3 % of what stays: 0.6166 to 1.0792 %."""
    lines = "petal: 3 g; bark: 1 g; water: {amount: 96 g, evaporates: 2.7 g}"
    text = formula("F", lines, "makes: 100 g").replace("use: intermediate", "use: leave-on, face")
    checked = check_book(write_book(tmp_path / "book", {"F": text}, {**MATERIALS, **MORE}))
    site = site_files(checked.reckoning, checked.review, load_theme(), named=True)
    page = site["formulas/F.html"].decode()
    shown = re.search(r'data-figure="carries-0.low"[^>]*>([^<]*)<.*?data-figure="carries-0"[^>]*>([^<]*)<', page)
    assert shown is not None
    assert shown.groups() == ("0.616", "1.13")
    material = site["materials/petal.html"].decode()
    assert re.search(r">20</data> to .*>35</data>", material)


def test_an_amount_as_a_substance_needs_one_figure(tmp_path: Path) -> None:
    book = write_book(tmp_path, {"F": formula("F", "petal: 1 g as linalool; a: to 100 g")}, {**MATERIALS, **MORE})
    found = [finding for finding in check_book(book).review.findings if finding.rule == "missing-content"]
    assert [(str(finding.severity), finding.message) for finding in found] == [
        ("error", "petal, line 4: petal gives linalool as a range, 20 to 35 %; write the one figure of what you have.")
    ]


@pytest.mark.parametrize(
    ("text", "comma", "low", "high", "tidied"),
    [
        ("20 to 35 %", False, "0.2", "0.35", "20 to 35 %"),
        ("20,5 to 35,25 %", True, "0.205", "0.3525", "20.5 to 35.25 %"),
        ("20 % to 35 %", False, "0.2", "0.35", "20 to 35 %"),
        ("20\u201335%", False, "0.2", "0.35", "20 to 35 %"),
        ("0 to 5 % of dried", False, "0", "0.05", "0 to 5 % of dried"),
        ("20 to 20 %", False, None, "0.2", "20 %"),
    ],
)
def test_both_ends_are_read(text: str, comma: bool, low: str | None, high: str, tidied: str) -> None:
    read = read_content("linalool", text, comma)
    assert isinstance(read, Content)
    assert (read.low, read.share) == (None if low is None else Fraction(low), Fraction(high))
    assert read.text == tidied


def test_a_range_by_volume_is_one_of_ethanol() -> None:
    read = read_content("ethanol", "95 to 96 %vol", False)
    assert isinstance(read, Content)
    assert (read.low, read.share, read.by_volume, read.text) == (
        Fraction("0.95"),
        Fraction("0.96"),
        True,
        "95 to 96 %vol",
    )
