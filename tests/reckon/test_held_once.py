"""What many formulas have alike is held once: a book of thousands fits a small machine."""

from __future__ import annotations

from bookgen.fraction import Fraction
from bookgen.reckon.figures import reckon
from bookgen.reckon.measure import half_up
from bookgen.reckon.metering import Evaluation
from bookgen.source import book_from
from bookgen.written import Linked, WrittenTable, lines_of

FORMULA = """---
code: {code}
title: {code}
ingredients:
  rose-water: 90 g
  glycerol: 10 g
---

## Method

1. Stir the [glycerol](amount:glycerol) into the [water](amount:rose-water) for [a while](time:2min).

| what | why |
| --- | --- |
| {code} | it is thin |
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
        assert one.words is other.words
    for one, other in zip(first.amounts.lines, second.amounts.lines, strict=True):
        assert one.key is other.key
    for one, other in zip(first.formula.places, second.formula.places, strict=True):
        assert one is other
    assert first.composition.materials is second.composition.materials
    assert first.composition.materials == {"rose-water", "glycerol"}
    assert first.composition.unfiled is second.called.aromatic == frozenset()


def test_words_links_and_cells_of_two_formulas_are_the_same_ones() -> None:
    files = {f"formulas/{code}.md": FORMULA.format(code=code).encode() for code in ("A-1", "A-2")}
    first, second = book_from(files).formulas.values()
    lines = [tuple(lines_of(formula.body.sections[0].blocks)) for formula in (first, second)]
    for one, other in zip(lines[0][0], lines[1][0], strict=True):
        assert one is other
    links = [piece for piece in lines[0][0] if isinstance(piece, Linked)]
    said = [*first.body.amounts, *first.body.times]
    assert all(link.words[0] is own.words for link, own in zip(links, said, strict=True))
    assert first.body.times[0].words is second.body.times[0].words
    tables = [block for formula in (first, second) for block in formula.body.sections[0].blocks][1::2]
    assert all(isinstance(table, WrittenTable) for table in tables)
    same = [
        [one is other for one, other in zip(*rows, strict=True)] for rows in zip(*(t.rows for t in tables), strict=True)
    ]
    assert same == [[True, True], [False, True]]


def test_a_weight_that_nothing_rounds_is_one_number_in_figure_and_batch() -> None:
    formula = reckon(book_from({"formulas/a.md": FORMULA.format(code="A-1").encode()})).figures["a-1"]
    assert isinstance(formula.written, Evaluation)
    for figure, line in zip(formula.amounts.lines, formula.written.lines, strict=True):
        assert line.grams is figure.weighed
    grams = Fraction("4.5")
    assert half_up(grams, Fraction("0.1")) is grams
    assert half_up(grams, Fraction(1)) == 5
