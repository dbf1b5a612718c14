"""Forms of one substance: molar masses against a library, counts against the formulas, and `as` through them."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import molmass
import pytest

from bookgen.reckon.figures import reckon
from bookgen.reckon.strengths import turned_for
from bookgen.reckon.substances import factor, form_of, meant_by, turned
from bookgen.reference import SubstanceForm, substance_forms
from bookgen.source import read_book

from ..books_of_text import MATERIALS, errors, formula, weigh, write_book

FORMS = substance_forms().forms
MORE = {
    "sorbate": "contains:\n  potassium sorbate: 99 %\nwater: 0 %",
    "sorbic": "contains:\n  Sorbic acid: 98 %\nwater: 0 %",
    "citric": "contains:\n  citric acid monohydrate: 99.5 %\nwater: 0 %",
    "citrates": "contains:\n  citric acid monohydrate: 10 %\n  trisodium citrate dihydrate: 20 %\nwater: 70 %",
    "citrate": "contains:\n  sodium citrate: 99 %\nwater: 0 %",
    "epsom": "contains:\n  Magnesium sulphate heptahydrate: 100 %\nwater: 0 %",
    "lactic-90": "contains:\n  lactic acid: 90 %\nwater: 10 %",
    "odd": "contains:\n  unheard-of acid: 90 %\nwater: 10 %",
}


def test_every_molar_mass_is_that_of_its_formula() -> None:
    """Both sides rounded to the same three decimals, so that a changed digit is noticed."""
    differing = {
        form.name: (form.molar_mass, molmass.Formula(form.formula).mass)
        for form in FORMS
        if abs(form.molar_mass - Fraction(molmass.Formula(form.formula).mass)) > Fraction(1, 2000)
    }
    assert differing == {}


@pytest.mark.parametrize("form", FORMS, ids=lambda form: form.name)
def test_a_form_carries_what_its_formula_holds(form: SubstanceForm) -> None:
    each, element = form.counts
    atoms = {symbol: item.count for symbol, item in molmass.Formula(form.formula).composition().items()}
    base = form_of(form.base)
    assert base is not None
    assert base.carries == 1
    assert atoms[element] == each * form.carries


def test_a_name_is_found_however_it_is_spaced_and_whichever_english_it_is() -> None:
    assert form_of(" Citric  acid monohydrate") is form_of("citric acid monohydrate")
    assert meant_by("Magnesium  Sulphate") == meant_by("magnesium sulfate") != ()


def test_a_name_means_one_form() -> None:
    names = [name.casefold() for form in FORMS for name in (form.name, *form.also)]
    unclear = substance_forms().unclear
    assert len(names) == len(set(names))
    assert not set(names) & set(unclear)
    assert all(form_of(one) is not None for meant in unclear.values() for one in meant)
    assert all(len({getattr(form_of(one), "base", "") for one in meant}) == 1 for meant in unclear.values())


def test_the_table_says_where_it_comes_from() -> None:
    assert substance_forms().document == (
        "standard atomic weights as tabulated by the libraries molmass and periodictable; molmass 2026.1.8, checked "
        "with periodictable 2.1.0 (they agree within 1 in 10 000); molar masses of the formulas in the table"
    )


# Own arithmetic on atomic weights in round figures (C 12.011, H 1.008, N 14.007, O 15.999, Na 22.990, K 39.098 …).
KNOWN = (
    ("citric acid monohydrate", "citric acid", "0.91427"),  # T02-31
    ("potassium sorbate", "sorbic acid", "0.74643"),
    ("sodium benzoate", "benzoic acid", "0.84746"),
    ("sodium lactate", "lactic acid", "0.80384"),
    ("sodium salicylate", "salicylic acid", "0.86270"),
    ("borax", "boric acid", "0.64853"),
    ("calcium lactate pentahydrate", "lactic acid", "0.58436"),
    ("magnesium sulfate heptahydrate", "magnesium sulfate anhydrous", "0.48836"),
    ("zinc oxide", "zinc", "0.80342"),
    ("disodium edetate dihydrate", "edetic acid", "0.78511"),
    ("chlorhexidine digluconate", "chlorhexidine", "0.56301"),
)


@pytest.mark.parametrize(("have", "want", "expected"), KNOWN)
def test_a_factor_and_its_way_back(have: str, want: str, expected: str) -> None:
    there, back = factor(have, want), factor(want, have)
    assert there is not None
    assert back is not None
    assert abs(there - Fraction(expected)) < Fraction(1, 50_000)
    assert there * back == 1


def test_what_is_not_one_substance_is_not_turned() -> None:
    assert factor("sodium benzoate", "sorbic acid") is None
    assert factor("sodium citrate", "citric acid") is None
    assert factor("citric acid", "magnesium sulfate") is None
    assert turned("unheard-of", "unheard-of") is None
    assert meant_by("Magnesium Sulphate") == (
        "magnesium sulfate anhydrous", "magnesium sulfate monohydrate", "magnesium sulfate heptahydrate",
    )  # fmt: skip
    assert meant_by("citric acid") == ()


def taken(folder: Path, line: str, more: dict[str, str] | None = None) -> Fraction:
    """Return the grams of the first line of a formula that makes 100 g."""
    book = write_book(folder, {"F": formula("F", f"{line}; water: to 100 g"), **(more or {})}, {**MATERIALS, **MORE})
    return Fraction(weigh(book, "F")["lines"][0]["grams"])


@pytest.mark.parametrize(
    ("line", "grams"),
    [
        pytest.param("sorbate: 0.2 % as sorbic acid", "0.27065", id="salt as acid"),
        pytest.param("sorbic: 0.2 % as Potassium Sorbate", "0.15233", id="acid as salt"),
        pytest.param("citric: 1 g as citric acid", "1.09927", id="hydrate as anhydrous, T02-31"),
        pytest.param("citric: 1 g as citric acid monohydrate", "1.00503", id="the listed form itself"),
        pytest.param("citrates: 1 % as citric acid", "4.50290", id="several forms are added up"),
        pytest.param("epsom: 1 % as anhydrous magnesium sulfate", "2.04768", id="British spelling"),
        pytest.param("lactic-90: 2 g as lactic acid", "2.22222", id="assay, T02-32"),
    ],
)
def test_as_another_form(tmp_path: Path, line: str, grams: str) -> None:
    assert abs(taken(tmp_path, line) - Fraction(grams)) < Fraction(1, 50_000)


def test_as_another_form_through_an_intermediate(tmp_path: Path) -> None:
    inner = {"I": formula("I", "sorbate: 10 %; sorbic: 5 %; water: to 100 g")}
    share = Fraction("0.1") * Fraction("0.99") * Fraction("112.127") / Fraction("150.217")
    share += Fraction("0.05") * Fraction("0.98")
    assert taken(tmp_path, "I: 0.2 % as sorbic acid", inner) == Fraction("0.2") / share


@pytest.mark.parametrize(
    ("line", "says"),
    [
        pytest.param(
            "citrate: 1 % as citric acid",
            "citrate, line 4: citrate lists sodium citrate, which can be trisodium citrate anhydrous or trisodium "
            "citrate dihydrate; write which.",
            id="a name that two forms go by",
        ),
        pytest.param(
            "epsom: 1 % as magnesium sulfate",
            "Formula F, line 6: epsom does not say how much magnesium sulfate it contains (magnesium sulfate can be "
            "magnesium sulfate anhydrous, magnesium sulfate monohydrate or magnesium sulfate heptahydrate); write it "
            "under `contains:` in its file, or the amount of the raw material.",
            id="asked for by such a name",
        ),
        pytest.param(
            "odd: 1 % as citric acid",
            "Formula F, line 6: odd does not say how much citric acid it contains; write it under `contains:` in its "
            "file, or the amount of the raw material.",
            id="not in the table",
        ),
    ],
)
def test_what_is_not_clear_is_said(tmp_path: Path, line: str, says: str) -> None:
    book = write_book(tmp_path, {"F": formula("F", f"{line}; water: to 100 g")}, {**MATERIALS, **MORE})
    assert errors(book) == [says]


def test_each_pair_of_forms_is_told_once_and_a_form_that_is_asked_for_itself_not_at_all(tmp_path: Path) -> None:
    book = write_book(tmp_path, {"F": formula("F", "citric: 40 g; citrates: 50 g; citric-2: 5 g; sorbic: to 100 g")}, {
        **MATERIALS, **MORE, "citric-2": MORE["citric"],
    })  # fmt: skip
    reckoning = reckon(read_book(book))
    compositions = {"f": reckoning.figures["f"].composition}

    def told(key: str, substance: str) -> list[tuple[str, str]]:
        return [(turn.have.name, turn.want.name) for turn in turned_for(key, substance, reckoning.book, compositions)]

    assert told("f", "citric acid") == [
        ("citric acid monohydrate", "citric acid"), ("trisodium citrate dihydrate", "citric acid"),
    ]  # fmt: skip
    assert told("f", "Sorbic Acid") == told("sorbic", "sorbic acid") == told("unknown", "citric acid") == []
    assert told("citric", "citric acid") == [("citric acid monohydrate", "citric acid")]
