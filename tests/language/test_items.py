"""German items of functions and purposes: each is one of the closed lists, and does what the English one does."""

from __future__ import annotations

import pytest

from bookgen.language import read_table, table
from bookgen.language.items import items_read
from bookgen.reckon.functions import (
    ACTIVE,
    AROMATIC,
    CARRIERS,
    COLOURANT,
    FILTER_AIDS,
    GELLING,
    PRESERVATIVE,
    SHAKEN,
    UNDISSOLVED,
    UV_FILTERS,
    items_of,
    preserves,
)
from bookgen.reference.heat import heat_limits
from bookgen.reference.limits import limits

FUNCTIONS = (
    {PRESERVATIVE},
    *(AROMATIC, COLOURANT, ACTIVE, CARRIERS, GELLING, UNDISSOLVED, FILTER_AIDS, SHAKEN, UV_FILTERS),
)


def test_every_row_is_an_item_of_a_closed_list() -> None:
    forms = {form for row in heat_limits().by_substance.values() for form in row.only_in}
    known = set().union(*FUNCTIONS, limits().products, forms)
    assert not [english for english in read_table("de", "items") if english not in known]
    assert not [german for german in items_read() if german in known]


@pytest.mark.parametrize("items", FUNCTIONS, ids=lambda items: min(items))
def test_what_a_page_calls_a_function_is_read_as_one_of_its_list(items: frozenset[str]) -> None:
    """Only what is alike in both languages has no row."""
    said = {table("de")[item] for item in items if item in table("de")}
    assert not [german for german in said if not set(items_of(german)) <= items and german.casefold() not in items]


def test_a_german_preservative_preserves_and_a_part_of_the_word_does_not() -> None:
    assert preserves("Feuchthaltemittel, Konservierungsmittel")
    assert not preserves("konservierungsmittelfrei", "kein Konservierungsmittel")
    assert items_of("Ätherisches Öl; Mundspülung") == ("aroma", "mouthwash")


def test_a_product_that_an_entry_excepts_is_known_by_its_name() -> None:
    """V/56 rules it out for children under three, but in bath products, shower gels and shampoo."""
    assert {"bath product", "shower gel", "shampoo"} <= limits().products
    assert items_of("Badezusatz") == ("bath product",)
    assert not UV_FILTERS.isdisjoint(items_of("UV-Filter"))


def test_a_product_of_the_limits_is_read_as_pages_call_it() -> None:
    said = {table("de")[product]: product for product in limits().products if product in table("de")}
    unread = {german for german, product in said.items() if items_of(german) != (product,)}
    assert unread <= {product.title() for product in limits().products} | {"Parfüm", "Seife", "Sonnenschutzmittel"}
