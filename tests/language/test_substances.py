"""German names of substances: what a German book says of those of the tables, and what its materials are taken for."""

from __future__ import annotations

import re

import pytest

from bookgen.fraction import Fraction
from bookgen.language import READ, read_table, speaking
from bookgen.language.substances import names_read, substance
from bookgen.model import Content, LabelName, Material
from bookgen.reckon.recognised import names_of_tables, recognised, strengths_named
from bookgen.reckon.substances import factor
from bookgen.reference import spelt, substance_forms
from bookgen.reference.allergens import allergens
from bookgen.reference.dangers import dangers
from bookgen.reference.dissolving import dissolving
from bookgen.reference.heat import heat_limits
from bookgen.reference.hlb import hlb_table
from bookgen.reference.incompatible import incompatible
from bookgen.wording.saying import says

from ..shared import checked

HANDBOOK = [
    ("Natriumhydroxid", "Sodium hydroxide"),
    ("ÄTZNATRON", "Sodium hydroxide"),
    ("Kalilauge", "Potassium hydroxide"),
    ("Salzsäure", "Hydrochloric acid"),
    ("Eisessig", "Acetic acid"),
    ("Salmiakgeist", "Ammonia"),
    ("Chlorbleichlauge", "Sodium hypochlorite"),
    ("Wasserstoffperoxid-Lösung", "Hydrogen peroxide"),
    ("Weingeist", "Ethanol"),
    ("Karbolsäure", "Phenol"),
    ("Kampfer", "Camphor"),
    ("Pfefferminzöl", "Peppermint oil"),
    ("Salzsaeure", "Hydrochloric acid"),
    ("Chlorbleiche", "Sodium hypochlorite"),
    ("Natrii hydroxidum", "Sodium hydroxide"),
    ("Acidum trichloraceticum", "Trichloroacetic acid"),
    ("Natriumhydroxid-Plätzchen", "Sodium hydroxide"),
    ("Wintergrünöl", "Wintergreen oil"),
    ("Natriumhydroxidlösung", "Sodium hydroxide"),
    ("Salzsäure, konz.", "Hydrochloric acid"),
    ("konzentrierte Schwefelsäure", "Sulfuric acid"),
    ("verdünnte Salzsäure", "Dilute hydrochloric acid"),
    ("Retinolpalmitat", "Retinyl palmitate"),
]
"""German and Latin names as a bottle has them, and the substance of the table of dangers; from memory of handbooks."""


@pytest.mark.parametrize(("german", "english"), HANDBOOK)
def test_a_dangerous_substance_is_known_by_its_german_name(german: str, english: str) -> None:
    assert {told.substance for told in recognised(Material(name=german), dangers().names)} == {english}


@pytest.mark.parametrize("name", ["Natriumhydroxidfrei", "Ätznatronersatz", "Salzsäurebeständiges Glas", "Kampferbaum"])
def test_a_part_of_a_german_name_is_none(name: str) -> None:
    assert recognised(Material(name=name), dangers().names) == ()


ALIKE = {
    "captopril", "chloramphenicol", "clindamycin", "diazepam", "dronabinol", "erythromycin", "estradiol", "estriol",
    "fluorouracil", "imiquimod", "isotretinoin", "ivermectin", "ketamine", "methoxsalen", "metronidazole", "midazolam",
    "mupirocin", "phenobarbital", "pimecrolimus", "podophyllin", "podophyllotoxin", "retinal", "retinol", "tacrolimus",
}  # fmt: skip
"""Names of the table of dangers that are the same in German."""


def test_every_dangerous_substance_has_a_german_name() -> None:
    german = {dangers().names.get(english) for english in names_read().values()}
    assert {row.casefold() for row in dangers().substances if row not in german} == ALIKE


@pytest.mark.parametrize("name", ["Seifenstein", "Soda", "Spiritus"])
def test_what_means_two_things_is_none_of_them(name: str) -> None:
    """Seifenstein is lye, and steatite too."""
    assert spelt(name) == name.casefold()


@pytest.mark.parametrize(
    ("german", "english"),
    [
        ("Bittersalz", "Epsom salt"),
        ("Kupfervitriol", "blue vitriol"),
        ("Eisenvitriol", "green vitriol"),
        ("Natriumtetraborat", "sodium tetraborate"),
    ],
)
def test_a_german_name_counts_with_as_much_water_as_the_english_one(german: str, english: str) -> None:
    def is_form(name: str) -> tuple[str, ...]:
        table = substance_forms()
        named = (form.name for form in table.forms if spelt(name) in map(spelt, (form.name, *form.also)))
        return tuple(named) or table.unclear[spelt(name)]

    assert is_form(german) == is_form(english)


def test_what_a_german_material_lists_is_what_an_english_one_lists() -> None:
    def of(substance: str) -> list[tuple[str, object]]:
        content = Content(substance=substance, share=Fraction(87, 100), text="87 %")
        found = recognised(Material(name="Mischung", contains=(content,)), names_of_tables())
        return [(told.substance, told.low) for told in found]

    assert of("Benzylalkohol") == of("benzyl alcohol") == [("Benzyl alcohol", Fraction(87, 100))]
    assert factor("Kaliumsorbat", "Sorbinsäure") == factor("potassium sorbate", "sorbic acid")


def test_a_german_solution_names_its_strength() -> None:
    names = {**names_of_tables(), **dangers().names}
    found = [
        (one.substance, one.share)
        for name in ("Natriumbenzoatlösung 33 %", "Wasserstoffperoxid-Lösung 30 %", "Natronlauge 33 %")
        for one in strengths_named(Material(name=name), names)
    ]
    assert found == [
        ("Sodium benzoate", Fraction(33, 100)),
        ("Hydrogen peroxide", Fraction(3, 10)),
        ("Sodium hydroxide", Fraction(33, 100)),
    ]


def test_every_row_is_of_a_substance_of_the_tables() -> None:
    tables = (
        *(names_of_tables(), dangers().names, incompatible().names, dissolving().names, heat_limits().names),
        *(allergens().names, hlb_table().emulsifiers, hlb_table().oils, substance_forms().unclear),
    )
    forms = {spelt(name) for form in substance_forms().forms for name in (form.name, *form.also)}
    known = forms.union(*tables)
    assert not [
        english for language in READ for english in read_table(language, "substances") if spelt(english) not in known
    ]
    assert not [german for german, english in names_read().items() if german in known and german != english]


def test_sentences_say_a_substance_in_german_and_never_translate_a_label() -> None:
    kept = says("keeps-as-usual", names=("benzyl alcohol", "Polysorbate 20"))
    burns = says("danger-burns", name="Sodium hydroxide", share=Fraction(1), least=Fraction(1, 50), known="from memory")
    with speaking("de"):
        assert kept.words() == "Benzylalkohol und Polysorbate 20, mit üblichem Anteil und pH"
        assert burns.words() == "Natriumhydroxid 100 %: verätzt die Haut ab etwa 2 % (aus dem Gedächtnis)"
    assert kept.words() == "benzyl alcohol and Polysorbate 20, at the usual share and pH"
    assert substance("Benzyl alcohol") == "Benzyl alcohol"


def test_a_german_page_names_substances_in_german_but_on_its_label(german_pages: dict[str, str]) -> None:
    page = german_pages["formulas/H-01.html"]
    judged = page[page.index("Was beurteilt wurde") : page.index("Duftstoff-Allergene")]
    assert "Benzylalkohol 0,87 %: zu wenig" in judged
    assert "Dehydracetsäure 0,08 %: unter V/13" in judged
    assert not re.search(r"alcohol|acid", judged)
    assert "Ingredients: Aqua, Prunus Amygdalus Dulcis Oil, Glyceryl Stearate Citrate, Benzyl Alcohol" in page
    assert "In den Tabellen als Benzylalkohol und Dehydracetsäure" in german_pages["materials/konservierung.html"]


def test_a_label_lists_a_german_material_by_its_label_name() -> None:
    book = checked("german").book
    assert book.materials["konservierung"].label[0] == LabelName(name="Benzyl Alcohol", share=Fraction(87, 100))
