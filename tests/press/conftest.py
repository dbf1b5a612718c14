"""A small book's leaves, set in the type the themes use, printed and bound once for all tests of the press."""

from __future__ import annotations

from pathlib import Path

import fontpkg
import pytest

from bookgen.leaf import Face, Leaf, Style
from bookgen.press.bind import Binder, bind
from bookgen.press.piece import PrintedLeaf
from bookgen.press.render import render_all

CSS = """
@page { size: A5; margin: 15mm;
  @top-left { content: string(title); font: 8.5pt "Source Sans 3" }
  @bottom-right { content: "sheet " counter(page) " of " counter(pages); font: 8.5pt "Source Sans 3" } }
html { font: 9.5pt/1.35 "Source Serif 4" }
h1 { string-set: title content() }
table { font-family: "Source Sans 3"; font-variant-numeric: tabular-nums lining-nums }
.turn { break-before: page }
"""


@pytest.fixture(scope="session")
def style() -> Style:
    """Five cuts of the two families."""
    serif = Path(fontpkg.path("Source Serif 4"))
    italic = Path(fontpkg.path("Source Serif 4", style="italic"))
    sans = Path(fontpkg.path("Source Sans 3"))
    return Style(
        css=CSS,
        faces=(
            Face(family="Source Serif 4", file=serif),
            Face(family="Source Serif 4", file=serif, weight=700),
            Face(family="Source Serif 4", file=italic, slope="italic"),
            Face(family="Source Sans 3", file=sans),
            Face(family="Source Sans 3", file=sans, weight=700),
        ),
    )


def sheet(number: int, *, turn: bool = False, more: str = "") -> Leaf:
    """The leaf of one imagined formula; with `turn` it has two pages."""
    rows = "".join(
        f"<tr><th scope=row>material {row}</th><td>{row * number}.5 %</td><td>{row} g</td></tr>" for row in range(1, 5)
    )
    html = (
        f'<!DOCTYPE html><html lang="en"><head><title>F-{number:02d}</title></head><body><article>'
        f'<h1>Water no. {number}</h1><p>First make <a href="sheet:F-{(number + 1) % 12:02d}">the next</a>, see '
        f'<a href="#method">the method</a> or <a href="https://example.org/table">the table</a>. <em>Warm</em>.</p>'
        f"<table><thead><tr><th>name</th><th>as written</th><th>weight</th></tr></thead><tbody>{rows}</tbody></table>"
        f'<h2 id="method"{" class=turn" if turn else ""}>Method</h2>'
        f"<ol><li>Weigh.</li><li>Stir until <b>clear</b>, {chr(97 + number)}{chr(65 + number)}.</li></ol>{more}"
        f"</article></body></html>"
    )
    chapter = "" if number == 0 else "Waters" if number < 6 else "Creams"
    return Leaf(code=f"F-{number:02d}", title=f"Water no. {number}", chapter=chapter, html=html)


@pytest.fixture(scope="session")
def leaves() -> tuple[Leaf, ...]:
    """Twelve leaves; every third has two pages."""
    return tuple(sheet(number, turn=number % 3 == 1) for number in range(12))


@pytest.fixture(scope="session")
def pieces(leaves: tuple[Leaf, ...], style: Style) -> tuple[PrintedLeaf, ...]:
    """The leaves printed by two processes."""
    return render_all(leaves, style, workers=2)


@pytest.fixture(scope="session")
def binder(pieces: tuple[PrintedLeaf, ...]) -> Binder:
    """The leaves bound."""
    return bind(pieces, title="Waters & creams", lang="en-GB", author="The keeper")
