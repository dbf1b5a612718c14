"""What is reckoned anew after an edit, and what is left as it was: no more than rests on what changed, and no less."""

from __future__ import annotations

from pathlib import Path

import pytest

from bookgen.reckon.figures import reckon
from bookgen.source import read_book
from bookgen.source.memory import Memory

from ..books_of_text import MATERIALS, ONE_BALANCE, formula, write_book

FORMULAS = {
    "inner": formula("I-1", "a: 10 %; water: to 100 g"),
    "user": formula("U-1", "I-1: 20 %; gly: to 100 g"),
    "other": formula("O-1", "b: 10 %; gly: to 100 g"),
    "spirit": formula("S-1", "spirit: 50 g of 70 %vol; gly: to 100 g"),
}
ALL = {"i-1", "u-1", "o-1", "s-1"}
STOCK = {**MATERIALS, "spirit": "contains:\n  ethanol: 96 %vol"}


def material(name: str, front: str) -> str:
    return f"---\nname: {name}\n{front}\n---\n"


@pytest.mark.parametrize(
    ("file", "text", "anew"),
    [
        pytest.param("inner.md", FORMULAS["inner"].replace("10 %", "5 %"), {"i-1", "u-1"}, id="a line"),
        pytest.param("inner.md", FORMULAS["inner"] + "\n## Method\n\n1. Stir it.\n", {"i-1"}, id="words alone"),
        pytest.param("inner.md", None, {"u-1"}, id="an intermediate is gone"),
        pytest.param("materials/a.md", material("a", "water: 5 %"), {"i-1", "u-1"}, id="a material"),
        pytest.param("materials/b.md", None, {"o-1"}, id="a material is gone"),
        pytest.param("materials/e.md", material("e", "also: [b]"), set(), id="a name that stays with its file"),
        pytest.param("materials/e.md", material("e", "water: 0 %"), set(), id="a material that nothing uses"),
        pytest.param("materials/rain.md", material("rain", "water: 100 %"), {"s-1"}, id="a second water"),
        pytest.param("new.md", formula("N-1", "b: to 100 g"), {"n-1"}, id="a formula more"),
        pytest.param("workroom.yaml", ONE_BALANCE.replace("0.01", "0.1"), ALL, id="the balance"),
        pytest.param("workroom.yaml", ONE_BALANCE + "limits: none\n", ALL, id="what is judged"),
    ],
)
def test_what_is_reckoned_anew(tmp_path: Path, file: str, text: str | None, anew: set[str]) -> None:
    book, memory = write_book(tmp_path / "book", FORMULAS, STOCK), Memory()
    before = reckon(read_book(book, memory))
    path = book / "formulas" / file
    if text is None:
        path.unlink()
    else:
        path.write_text(text, encoding="utf-8")
    now = reckon(read_book(book, memory), before)
    assert repr(now) == repr(reckon(read_book(book)))
    found = {key for key, one in now.figures.items() if before.figures.get(key) is not one}
    assert found == anew
