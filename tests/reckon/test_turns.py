"""The order in which a method weighs its lines: little methods, each with what has to come out, by hand."""

from __future__ import annotations

from pathlib import Path

import pytest

from bookgen.pipeline import check_book
from bookgen.reckon.links import rows_of_each
from bookgen.reckon.turns import turns_of

from ..books_of_text import write_book

LINES = """
  A:
    water: to 100 g
    glycerol: 6 g
  B:
    oil: 20 g
    wax: 5 g
  C:
    water: 10 g
    acid: q.s. to pH 5 (about 1 g)
"""
MATERIALS = dict.fromkeys(("water", "glycerol", "oil", "wax", "acid"), "density: 1")


@pytest.mark.parametrize(
    ("method", "weighed"),
    [
        # each at its own link, in the order of the links; what no link names comes first, in the order of the table
        ("Melt [w](amount:wax) in [o](amount:oil).\n\nAdd [a](amount:acid).",
         "water.0 glycerol.0 water.1 | wax.2 oil.2 | acid.3"),
        # a list is as many steps as it has items; one step and phase is one vessel, a usual amount has its own
        ("1. [w](amount:water@A) and [g](amount:glycerol)\n2. [c](amount:water@C), [a](amount:acid), [o](amount:oil)",
         "wax.0 | water.1 glycerol.1 | water.2 acid.3 oil.4"),
        # what is of another phase breaks the run: into what was weighed before nothing more is poured
        ("1. [c](amount:water@C), [o](amount:oil), [w](amount:wax), [a](amount:water@A), [a](amount:acid)",
         "glycerol.0 | water.1 oil.2 wax.2 water.3 acid.4"),
        # portions that make up the whole stand at their own links
        ("1. [g](amount:glycerol*1/3), [w](amount:water@A)\n2. [b](amount:@B), [g](amount:glycerol*rest)",
         "water.0 acid.1 | glycerol/.2 water.2 | oil.3 wax.3 glycerol/.4"),
        ("1. [g](amount:glycerol*1/3)\n2. [g](amount:glycerol*2/3)",
         "water.0 oil.1 wax.1 water.2 acid.3 | glycerol/.4 | glycerol/.5"),
        # portions that do not make it up, or after the whole, leave it at its first link
        ("1. [g](amount:glycerol*1/3)\n2. [o](amount:oil)", "water.0 wax.1 water.2 acid.3 | glycerol.4 | oil.5"),
        ("1. [g](amount:glycerol)\n2. [g](amount:glycerol*1/2), [g](amount:glycerol*rest)",
         "water.0 oil.1 wax.1 water.2 acid.3 | glycerol.4"),
        # a link that names several lines weighs those that no link names alone
        ("1. [b](amount:@B), first [w](amount:wax)\n2. [w](amount:water)",
         "glycerol.0 acid.1 | oil.2 wax.2 | water.3 water.4"),
        # a second mention is none
        ("1. [o](amount:oil)\n2. [o](amount:oil) with [w](amount:wax)",
         "water.0 glycerol.0 water.1 acid.2 | oil.3 | wax.4"),
        # a method without links: the order of the table
        ("1. Mix.", "water.0 glycerol.0 oil.1 wax.1 water.2 acid.3"),
    ],
)  # fmt: skip
def test_each_line_is_weighed_where_the_method_takes_it(method: str, weighed: str, tmp_path: Path) -> None:
    text = f"---\ncode: X\ntitle: X\ningredients:{LINES}---\n\nOf [oil](amount:oil).\n\n## Method\n\n{method}\n\n"
    text += "## Notes\n\n[wax](amount:wax)\n"
    checked = check_book(write_book(tmp_path / "book", {"X": text}, MATERIALS))
    figures = checked.reckoning.figures["x"]
    links, lines = figures.formula.body.amounts, figures.amounts.lines
    told: list[str] = []
    step: object = "first"
    for turn in turns_of(links, rows_of_each(links, lines, checked.book), lines):
        place = None if turn.link is None else links[turn.link].step
        if told and place != step:
            told.append("|")
        step = place
        told.append(f"{lines[turn.row].name}{'/' * turn.portion}.{turn.vessel}")
    assert " ".join(told) == weighed


def test_a_block_and_an_item_of_a_list_are_steps_of_the_method_alone(tmp_path: Path) -> None:
    link = "[o](amount:oil)"
    body = f"{link}\n\n## METHOD\n\n{link}\n\n- {link}\n\n  1. {link}\n  2. {link}\n- {link}\n\n> {link}\n\n"
    body += f"## Notes\n\n{link}\n\n## Method\n\n{link}\n"
    text = f"---\ncode: X\ntitle: X\ningredients:\n  oil: 20 g\n---\n\n{body}"
    links = check_book(write_book(tmp_path / "book", {"X": text}, MATERIALS)).book.formulas["x"].body.amounts
    assert [link.step for link in links] == [None, 0, 1, 1, 1, 2, 3, None, 4]
