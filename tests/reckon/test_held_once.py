"""What many formulas have alike is held once: a book of thousands fits a small machine."""

from __future__ import annotations

from bookgen.reckon.figures import reckon
from bookgen.source import book_from

FORMULA = """---
code: {code}
title: {code}
ingredients:
  rose-water: 90 g
  glycerol: 10 g
---

## Method

1. Stir the [glycerol](amount:glycerol) into the [water](amount:rose-water).
"""


def test_names_keys_and_sets_of_two_formulas_are_the_same_ones() -> None:
    files = {f"formulas/{code}.md": FORMULA.format(code=code).encode() for code in ("A-1", "A-2")}
    files |= {f"formulas/materials/{name}.md": b"---\nkind: liquid\n---\n" for name in ("rose-water", "glycerol")}
    reckoning = reckon(book_from(files))
    first, second = (reckoning.figures[key] for key in ("a-1", "a-2"))
    for one, other in zip(first.formula.lines, second.formula.lines, strict=True):
        assert one.material is other.material
        assert one.places is other.places
    for one, other in zip(first.formula.body.amounts, second.formula.body.amounts, strict=True):
        assert one.material is other.material
    for one, other in zip(first.amounts.lines, second.amounts.lines, strict=True):
        assert one.key is other.key
    for one, other in zip(first.formula.places, second.formula.places, strict=True):
        assert one is other
    assert first.composition.materials is second.composition.materials
    assert first.composition.materials == {"rose-water", "glycerol"}
    assert first.composition.unfiled is second.called.aromatic == frozenset()
