"""What a product by volume holds at most where nobody wrote its density; own arithmetic with 0.75 g a millilitre."""

from __future__ import annotations

from fractions import Fraction

import pytest

from bookgen.findings import Missing
from bookgen.reckon.figures import reckon
from bookgen.reckon.lightest import LIGHTEST, at_lightest
from bookgen.source import read_book

from ..books_of_text import write_book

INNER = "---\ncode: I\ntitle: I\ningredients:\n  a: 20 g\n  b: 80 g\n---\n"
SHARES = (
    ("a: 3 g; water: to 100 mL", {"a": "4", "water": "100"}),  # 3 g of 75 g; the fill may be all of it
    ("a: 3 g; I: 15 g; water: to 100 mL", {"a": "8", "b": "16", "water": "100"}),  # a fifth of 15 g beside its own
    ("gly: 3 mL; a: 1 mL; water: to 100 mL", {"gly": "126/25", "a": "1", "water": "100"}),  # a is as light as the whole
    ("oil: 10 drops; water: to 10 mL", {"oil": "40/9", "water": "100"}),  # at most a third more than 0.25 g, of 7.5 g
    ("a: {amount: 3 g, removed: filtered}; gly: 3 g; water: to 100 mL", {"gly": "4", "water": "100"}),
)


@pytest.mark.parametrize(("lines", "shares"), SHARES)
def test_it_holds_at_most_what_the_lightest_liquid_would(lines, shares, tmp_path):
    body = "\n".join(f"  {line.strip()}" for line in lines.split(";"))
    book = {"X": f"---\ncode: X\ntitle: X\ningredients:\n{body}\n---\n", "I": INNER}
    figures = reckon(read_book(write_book(tmp_path / "book", book))).figures
    light = at_lightest(figures["x"].amounts, figures["x"].composition, {"i": figures["i"].composition})
    assert light is not None
    assert not isinstance(light.shares, Missing)
    assert {key: share * 100 for key, share in light.shares.items()} == {
        key: Fraction(share) for key, share in shares.items()
    }
    assert light.at_most == light.shares.keys()


@pytest.mark.parametrize("head", ["makes: 100 g", "makes: 100 mL\ndensity: 0.9 g/mL"])
def test_what_is_of_known_weight_is_not_guessed(head, tmp_path):
    book = {"X": f"---\ncode: X\ntitle: X\n{head}\ningredients:\n  a: 3 g\n  water: to 100 g\n---\n"}
    book["X"] = book["X"].replace("to 100 g", "to 100 mL") if "mL" in head else book["X"]
    figures = reckon(read_book(write_book(tmp_path / "book", book))).figures["x"]
    assert at_lightest(figures.amounts, figures.composition, {}) is None
    assert Fraction(3, 4) == LIGHTEST
