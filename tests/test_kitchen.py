"""The demo on a kitchen table, one scale of 1 g and one dropper: nothing is hidden, nothing absurd is advised."""

from __future__ import annotations

import re
import shutil
from fractions import Fraction
from pathlib import Path

import pytest

from bookgen.findings import Missing
from bookgen.model import Obtain, Quantity
from bookgen.pages.rows import table_of
from bookgen.pages.shelf import shelf_of
from bookgen.pipeline import Checked, check_book
from bookgen.reckon.weighing import Weighing, weigh

CHECKOUT = Path(__file__).parents[1]
ROOM = """
balances:
  - {name: kitchen scale, readability: 1 g, capacity: 5000 g}
droppers: [pipette]
"""
BATCHES = (100, 150, 250, 400)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Checked:
    root = tmp_path_factory.mktemp("kitchen") / "book"
    shutil.copytree(CHECKOUT / "formulas", root / "formulas")
    (root / "formulas" / "workroom.yaml").write_text(f"title: A kitchen table{ROOM}", encoding="utf-8")
    for path in (root / "formulas" / "materials").glob("*.md"):  # the one dropper that there is
        text = (
            path.read_text(encoding="utf-8").replace("glass pipette:", "pipette:").replace("bottle insert:", "pipette:")
        )
        path.write_text(text, encoding="utf-8")
    return check_book(root)


def batches(book: Checked) -> list[Weighing]:
    found = []
    for key, figures in book.reckoning.figures.items():
        if key in book.review.barred or figures.formula.status == "withdrawn":
            continue
        for size in BATCHES:
            quantity = Quantity(value=Fraction(size), unit=figures.scale.unit, text=str(size))
            weighing = weigh(book.reckoning, key, obtain=Obtain(quantity=quantity, text=f"{size} {quantity.unit}"))
            assert isinstance(weighing, Weighing)
            found.append(weighing)
    return found


def test_no_known_weight_is_hidden(book: Checked) -> None:
    shelf, told = shelf_of(book.reckoning, book.review), 0
    for weighing in batches(book):
        table = table_of(weighing.figures, weighing, shelf)
        rows = {row.index: row for row in (*(row for phase in table.phases for row in phase.rows), *table.aids)}
        for line in weighing.evaluation.lines:
            where = (weighing.formula.code, weighing.evaluation.obtain, line.index)
            if isinstance(line.grams, Missing):
                continue
            told += 1
            figure = rows[line.index].grams.figure
            assert figure is not None, where
            assert "cannot be measured" not in rows[line.index].measured, where
            if not line.is_unshown:
                assert line.grams == 0 or Fraction(figure.value) > 0, where
            else:
                assert (Fraction(figure.value), figure.unshown) == (line.grams, True), where
        total = weighing.evaluation.printed_total
        assert isinstance(total, Fraction) or any(isinstance(one.grams, Missing) for one in weighing.evaluation.lines)
    assert told > 200


def test_nothing_absurd_is_advised(book: Checked) -> None:
    for weighing in batches(book):
        asked = weighing.evaluation.obtain
        told = [way.batch for way in weighing.certainty.ways_out.values()]
        if weighing.certainty.doubtful:
            told.append(weighing.certainty.smallest)
        for batch in told:
            assert batch is None or asked < batch <= 5 * asked, weighing.formula.code
        made = {one.key: one.evaluation.obtain for one in weighing.make_first if one.evaluation}
        for key, (batch, _) in weighing.enough_first.items():
            assert made[key] <= batch <= 5 * made[key]


def test_one_query_a_formula_names_all_that_is_coarse(book: Checked) -> None:
    queries = [one for one in book.review.findings if one.rule == "below-least-weighable"]
    assert len({one.concerns for one in queries}) == len(queries) > 5
    for one in queries:
        formula = next(figures for figures in book.reckoning.figures.values() if figures.formula.code == one.concerns)
        written = formula.written
        assert not isinstance(written, Missing)
        for line in written.lines:
            figure = line.figure
            named = f"of {figure.name}" in one.message.replace("\u202f", " ")
            assert named is (line.is_coarse and figure.counts and not figure.is_about), (one.message, figure.name)
        for batch in re.findall(r"make ([\d.]+) (?:g|mL)", one.message):
            assert Fraction(batch) <= 5 * written.obtain
