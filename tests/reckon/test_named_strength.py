"""How strong a name says that a material is, in the ways that labels write it; common practice, no source."""

from __future__ import annotations

import pytest

from bookgen.fraction import Fraction
from bookgen.model import Material, Percent
from bookgen.reckon.named_strength import By, named_strength
from bookgen.reckon.recognised import names_of_tables, recognised
from bookgen.reference.dangers import dangers


@pytest.mark.parametrize(
    ("name", "stem", "percent", "by"),
    [
        ("lactic acid 80 %", "lactic acid", "80", By.UNSAID),
        ("Acetic acid, 80%", "Acetic acid", "80", By.UNSAID),
        ("Sodium hydroxide solution (33 %)", "Sodium hydroxide solution", "33", By.UNSAID),
        ("Natronlauge 30%ig", "Natronlauge", "30", By.UNSAID),
        ("30%ige Natronlauge", "Natronlauge", "30", By.UNSAID),
        ("70 % isopropyl alcohol", "isopropyl alcohol", "70", By.UNSAID),
        ("Ethanol 96 % (V/V)", "Ethanol", "96", By.VOLUME),
        ("Ethanol 70 Vol.-%", "Ethanol", "70", By.VOLUME),
        ("Ethanol 62,4 % (m/m)", "Ethanol", "62.4", By.WEIGHT),
        ("Salzsäure 10 % (m/V)", "Salzsäure", "10", By.WEIGHT_IN_VOLUME),
        ("Acetic acid 99-100 %", "Acetic acid", "100", By.UNSAID),
        ("Sodium hydroxide, min. 98 %", "Sodium hydroxide", "98", By.UNSAID),
    ],
)
def test_a_strength_is_read_as_a_label_has_it(name: str, stem: str, percent: str, by: By) -> None:
    assert named_strength(name) == (stem, Fraction(percent) / 100, by)


@pytest.mark.parametrize("name", ["Polysorbate 20", "Cream 5 % fat, thin", "Macrogol 400", "%", "33 %"])
def test_what_says_no_strength_has_none(name: str) -> None:
    assert named_strength(name) is None


@pytest.mark.parametrize(
    ("name", "substance"),
    [
        ("Sodium hydroxide solution (33 %)", "Sodium hydroxide"),
        ("Natronlauge 30%ig", "Sodium hydroxide"),
        ("Salzsäure 10 % (m/V)", "Hydrochloric acid"),
        ("Ethanol 96 % (V/V)", "Ethanol"),
        ("70 % isopropyl alcohol", "Isopropyl alcohol"),
    ],
)
def test_a_dangerous_substance_is_known_however_its_strength_is_written(name: str, substance: str) -> None:
    assert [told.substance for told in recognised(Material(name=name), dangers().names)] == [substance]


def test_grams_in_a_volume_are_no_share_by_weight_though_the_rest_is_water() -> None:
    def known(name: str) -> list[bool]:
        material = Material(name=name, water=Percent(share=Fraction(7, 10), text="70 %"))
        return [isinstance(told.high, Fraction) for told in recognised(material, names_of_tables())]

    assert known("Sodium benzoate 30 % (m/m)") == [True]
    assert known("Sodium benzoate 30 % (w/v)") == [False]
