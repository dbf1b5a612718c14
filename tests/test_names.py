"""A line, a link and a command call a formula by its code or its file name, ignoring case."""

from __future__ import annotations

from pathlib import Path

import pytest

from .books_of_text import check, formula, weigh, write_book

BASE = formula("B-1", "a: 10 g; water: to 100 g")


@pytest.mark.parametrize("name", ["B-1", "b-1", "base-stock", "Base-Stock"])
def test_a_formula_is_called_by_code_or_file_name(tmp_path: Path, name: str) -> None:
    user = formula("U-1", f"{name}: 50 %; b: to 100 g") + f"\nTake [the base](amount:{name}).\n"
    book = write_book(tmp_path, {"base-stock": BASE, "user": user})
    assert check(book) == []
    answer = weigh(book, "user", "200 g")
    assert answer["code"] == "U-1"
    assert [made["code"] for made in answer["make_first"]] == ["B-1"]
    assert weigh(book, "U-1", f"40 g of {name}")["obtain"]["g"] == "80"


def test_a_file_name_that_two_formulas_share_calls_neither(tmp_path: Path) -> None:
    book = write_book(tmp_path, {"base": BASE, "user": formula("U-1", "base: 50 %; b: to 100 g")})
    other = book / "formulas" / "other"
    other.mkdir()
    (other / "base.md").write_text(formula("B-2", "a: 10 g; water: to 100 g"), encoding="utf-8")
    assert [finding["rule"] for finding in check(book)] == ["ambiguous-name"]
