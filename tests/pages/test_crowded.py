"""Tables of ingredients on A5 with long names of droppers and balances and figures that are not known: all on paper."""

from __future__ import annotations

from pathlib import Path

import pytest

from bookgen.binder import bindery_for, leaves_of, sheet_style
from bookgen.binder.fitting import fitting
from bookgen.look import load_theme
from bookgen.model import Paper
from bookgen.pipeline import check_book
from bookgen.press.render import render_all
from tests.books_of_text import MATERIALS, write_book

from .raster import words_of

ROOM = """paper: A5
balances:
  - {name: dispensary balance, readability: 0.01 g, capacity: 200 g}
  - {name: bench scale, readability: 1 g, capacity: 3000 g}
droppers: [pharmacopoeia dropper, glass pipette]
"""
OILS = {
    "peppermint-oil-terpeneless": "drops:\n  pharmacopoeia dropper: 0.025 g\nsoluble: oil",
    "glycerol-85": "density: 1.22",
    "unmeasured-concentrate": "kind: liquid",
    "liquorice-liquid-extract": "kind: liquid",
}
LINES = """\
  A, stir together at room temperature:
    liquorice-liquid-extract: 25 drops of pharmacopoeia dropper, flavour
    peppermint-oil-terpeneless: 3 drops of pharmacopoeia dropper, antimicrobial preservative
    glycerol-85: 123.25 mL, sweetener and thickener
    unmeasured-concentrate: 2 mL, solvent
    a: 0.5 g, active substance
"""
RIGHT = 148 - 9
"""Where the type area of a front side ends, mm."""


def front(code: str, makes: str, lines: str) -> str:
    return (
        f"---\ncode: {code}\ntitle: Drops for the throat\nuse: intermediate\nmakes: {makes}\n"
        f"ingredients:\n{lines}    water: to {makes}, solvent\n---\n"
    )


def test_a_crowded_table_stays_within_its_column(tmp_path: Path) -> None:
    short = "\n".join(LINES.splitlines()[:1] + LINES.splitlines()[2:4]) + "\n"
    known = LINES.replace("2 mL, solvent", "2.5 g, solvent").replace("25 drops of pharmacopoeia dropper", "0.6 g")
    book = write_book(
        tmp_path / "book",
        {
            "d1": front("D-01", "1000 mL", LINES),
            "d2": front("D-02", "1000 mL", known),
            "d3": front("D-03", "250 g", short.replace("123.25 mL", "12 g")),
            "d4": front("D-04", "1000 mL", short),
        },
        MATERIALS | OILS,
        ROOM,
    )
    checked, theme = check_book(book), load_theme(book)
    leaves = [
        one.leaf for one in leaves_of(bindery_for(checked.reckoning, checked.review, theme)) if "D-0" in one.leaf.code
    ]
    assert [one.code for one in leaves] == ["D-01", "D-02", "D-03", "D-04"]
    pieces = render_all(leaves, sheet_style(theme, checked.book.workroom), workers=1)
    assert [one.problems for one in pieces] == [()] * 4
    for piece in pieces:
        for word in words_of(piece.pdf, tmp_path / piece.code)[0]:
            assert word.right <= RIGHT + 0.2, (piece.code, word)
    assert "ingredients crowded" in leaves[0].html
    assert "ingredients crowded" not in leaves[2].html


@pytest.mark.parametrize(("paper", "crowded"), [(Paper.A5, True), (Paper.A4, False)])
def test_only_what_does_not_stand_side_by_side_is_crowded(paper: Paper, crowded: bool) -> None:
    row = (
        '<tr id="line-0" class="line"><th scope="row" class="name">concentrate</th><td class="written">25 drops of '
        'pharmacopoeia dropper</td><td class="num percent"><span class="none">not known</span></td>'
        '<td class="num ml">123.25</td><td class="num grams"><span class="none">not known</span></td>'
        '<td class="measured">pharmacopoeia dropper</td></tr>'
    )
    table = f'<table class="ingredients mixed">{row}</table>'
    assert ('class="ingredients crowded mixed"' in fitting(table, paper)) is crowded
    assert "crowded" not in fitting(table.replace("pharmacopoeia", "glass"), paper)
