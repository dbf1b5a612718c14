"""Every way to write an amount, and the parts of a line."""

from __future__ import annotations

from dataclasses import fields
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from bookgen import model
from bookgen.source.amounts import read_amount, read_evaporates, read_left, split_line
from bookgen.units import Complaint

ROWS: list[dict[str, str]] = yaml.load(
    Path(__file__).with_name("amounts.yaml").read_text("utf-8"), Loader=yaml.BaseLoader
)
NUMBERS = {"share", "grams", "ml", "count", "parts", "alcohol"}


def as_written(value: Any) -> Any:
    """Return a field as the table writes it."""
    return getattr(value, "text", value)


@pytest.mark.parametrize("row", ROWS, ids=[row["text"] for row in ROWS])
def test_an_amount_is_read(row: dict[str, str]) -> None:
    amount = read_amount(row["text"], False)
    assert type(amount).__name__ == row["kind"], amount
    assert amount.text == row["tidied"]  # type: ignore[union-attr]
    for one in fields(amount):  # type: ignore[arg-type]
        if one.name == "text":
            continue
        wanted: Any = row["each"] == "yes" if one.name == "each" and "each" in row else row.get(one.name)
        if one.name == "each" and wanted is None:
            wanted = False
        if wanted is not None and one.name in NUMBERS:
            wanted = Fraction(wanted)
        assert as_written(getattr(amount, one.name)) == wanted, one.name


@pytest.mark.parametrize("row", ROWS, ids=[row["tidied"] for row in ROWS])
def test_tidied_text_is_read_the_same(row: dict[str, str]) -> None:
    amount = read_amount(row["text"], False)
    assert not isinstance(amount, Complaint)
    assert read_amount(amount.text, False) == amount


@pytest.mark.parametrize(
    ("text", "amount", "function"),
    [
        ("5 %, humectant", "5 %", "humectant"),
        ("5 %,humectant", "5 %", "humectant"),
        ("0,2 g, scent, top note", "0,2 g", "scent, top note"),
        ("0,4 % as 1,2-propanediol, humectant", "0,4 % as 1,2-propanediol", "humectant"),
        ("to 100 g", "to 100 g", ""),
        ("q.s. to pH 4.8 (about 1,6 g), buffer", "q.s. to pH 4.8 (about 1,6 g)", "buffer"),
        (", buffer", "", "buffer"),
    ],
)
def test_the_first_comma_that_is_no_decimal_comma_ends_the_amount(text: str, amount: str, function: str) -> None:
    assert split_line(text) == (amount, function)


def test_what_is_left() -> None:
    left = read_left("at most 0.05 % v/v", False)
    assert isinstance(left, model.Left)
    assert (left.at_most, left.percent.share, left.percent.basis) == (True, Fraction(1, 2000), model.Basis.VV)
    assert isinstance(read_left("at most 2 mL", False), Complaint)
    assert isinstance(read_left("0 %", False), Complaint)


def test_what_evaporates() -> None:
    grams, share = read_evaporates("20 g", False), read_evaporates("25%", False)
    assert grams == model.Evaporates(grams=Fraction(20), text="20 g")
    assert share == model.Evaporates(share=Fraction(1, 4), text="25 %")
    assert isinstance(read_evaporates("100 %", False), model.Evaporates)
    for text in ("20 mL", "101 %", "0 g", "some"):
        assert isinstance(read_evaporates(text, False), Complaint)


@given(st.text(alphabet=st.sampled_from("0123456789.,%gmL +:()/toqs.adinpartsdropsHc½–-"), max_size=24), st.booleans())
def test_no_amount_makes_reading_raise(text: str, comma: bool) -> None:
    found = read_amount(text, comma)
    if isinstance(found, Complaint):
        assert str(found.says)
        assert 0 <= found.at <= max(len(text), 1)


@pytest.mark.parametrize("amount", ["20 drops", "2 parts"])
def test_a_strength_behind_drops_or_parts_is_no_dropper(amount):
    found = read_amount(f"{amount} of 70 %vol", comma=False)
    assert isinstance(found, Complaint)
    assert str(found.says).startswith(f"`of 70 %vol` cannot follow {amount}: write a weight, a volume or a share")


@pytest.mark.parametrize("comma", [False, True])
def test_a_second_amount_is_one_with_either_decimal_sign(comma: bool) -> None:
    found = read_amount("5 g 1,500 kg" if comma else "5 g 1.500 kg", comma)
    assert isinstance(found, Complaint)
    assert found.says.words().endswith("after 5 g is a second amount: write one, the sum.")


@pytest.mark.parametrize("text", ["3 in 2", "3 in 2 w/v"])
def test_more_than_the_whole_is_told_as_it_was_written(text: str) -> None:
    found = read_amount(text, comma=False)
    assert isinstance(found, Complaint)
    assert str(found.says) == f"{text} is more than the whole."
