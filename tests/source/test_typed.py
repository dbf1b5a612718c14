"""Quantities that are typed in running text beside an ingredient's name."""

from __future__ import annotations

import pytest

from bookgen.source.book import book_from
from bookgen.source.typed import Names, typed_quantities

BOOK = b"---\ncode: X\ntitle: X\ningredients:\n  oil: 5 g\n  water: to 100 g\n---\n"


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Stir in 5 g oil.", ["oil"]),
        ("Stir in 5 g of oil", ["oil"]),
        ("Cover it with 5 g oilcloth.", []),
        ("The oil, 5 g, comes last.", ["oil"]),
        ("Turmoil 5 g.", []),
    ],
)
def test_a_name_counts_as_a_whole_word_alone(text: str, found: list[str]) -> None:
    formula = book_from({"formulas/x.md": BOOK}).formulas["x"]
    assert [typed.material for typed in typed_quantities(text, Names(formula, {}), comma=False)] == found
