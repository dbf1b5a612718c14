"""The demo on a kitchen table, one scale of 1 g and one dropper: nothing is hidden, nothing absurd is advised."""

from __future__ import annotations

import re
import shutil
from fractions import Fraction
from pathlib import Path

import pytest
from click.testing import CliRunner

from bookgen.cli import main
from bookgen.findings import Missing
from bookgen.model import Obtain, Quantity
from bookgen.pipeline import Checked, check_book
from bookgen.reckon.weighing import Weighing, weigh
from bookgen.shown.plain import as_text
from bookgen.shown.shelf import shelf_of
from bookgen.shown.table import table_of

from .books_of_text import ON_THAT_DAY, check, formula, run, write_book

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
    for path in (root / "formulas").rglob("*.md"):  # the one dropper that there is
        text = path.read_text(encoding="utf-8").replace("glass pipette", "pipette")
        other = "" if "  pipette:" in text else r"  pipette:\1\n"
        path.write_text(re.sub(r"  bottle insert:(.*)\n", other, text), encoding="utf-8")
    found = check_book(root)
    assert not found.review.barred
    return found


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
            assert "cannot be measured" not in "".join(as_text(one.words) for one in rows[line.index].measured), where
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


@pytest.mark.parametrize(
    ("step", "advice"),
    [
        ("0.01 g", "weigh 20 of them once"),
        ("0.1 g", "weigh 100 of them once"),
        ("1 g", "weigh 20 of them once with `bookgen drops`, on a finer balance as they weigh about 0.5 g"),
    ],
)
def test_nobody_weighs_drops_on_a_scale_that_does_not_show_them(tmp_path: Path, step: str, advice: str) -> None:
    """Own arithmetic: at 5 % the scale needs 0.2, 2 and 20 g; drops of 0.02 g make 10, 100 and 1000 of it."""
    room = f"balances:\n  - {{name: scale, readability: {step}}}\ndroppers: [pipette]\n"
    kinds = {"rose": "kind: liquid\nwater: 0 %", "wax": "water: 0 %"}
    book = write_book(tmp_path / "book", {"F": formula("F", "rose: 0.04 %; wax: to 100 g")}, kinds, room)
    (query,) = check(book)
    assert f"count drops: {advice}" in query["message"]
    checked = check_book(book)
    weighing = checked.reckoning.figures["f"]
    page = table_of(weighing, weigh(checked.reckoning, "f"), shelf_of(checked.reckoning, checked.review))
    notes = " ".join(as_text(note) for phase in page.phases for row in phase.rows for note in row.notes)
    told = notes.replace("`", "").replace("\u202f", " ")
    assert f"Count drops: {advice.replace('`', '')}" in told


def test_the_query_about_the_batch_as_written_is_not_told_of_another(tmp_path: Path) -> None:
    room = "balances:\n  - {name: scale, readability: 1 g}\n"
    book = write_book(tmp_path / "book", {"F": formula("F", "a: 3 g; b: 7 g; c: to 100 g")}, workroom=room)
    rules = {
        batch: [one["rule"] for one in run(book, "weigh", "F", *batch)[1]["findings"]]
        for batch in ((), ("--obtain", "100 g"), ("--obtain", "1 kg"))
    }
    assert rules == {
        (): ["below-least-weighable"],
        ("--obtain", "100 g"): ["below-least-weighable"],
        ("--obtain", "1 kg"): [],
    }


def test_one_batch_serves_all_and_is_told_once(tmp_path: Path) -> None:
    """Own arithmetic: 1 g of 5 % is 20 g, and 7 g reach them, rounded by little, at 300 g."""
    room = "balances:\n  - {name: scale, readability: 1 g}\n"
    lines = "a: 7 g; b: 8 g; c: 9 g; d: to 100 g"
    book = write_book(tmp_path / "book", {"F": formula("F", lines)}, workroom=room)
    text = " ".join(CliRunner(env=ON_THAT_DAY).invoke(main, ["weigh", "F", "--book", str(book)]).output.split())
    told = re.findall(r"batch of (\d+) g", text)
    assert len(told) == 1
    answer = run(book, "weigh", "F", "--obtain", f"{told[0]} g")[1]
    assert answer["how_sure"]["doubtful"] == []
    assert "but for: a, b and c." in text


def test_where_no_line_is_sure_that_is_said_and_names_with_commas_stand_apart(tmp_path: Path) -> None:
    room = "balances:\n  - {name: scale, readability: 1 g}\n"
    kinds = {"p": "name: oil, sweet\nwater: 0 %", "q": "name: oil, bitter\nwater: 0 %", "r": "water: 0 %"}
    folder = tmp_path / "book"
    book = write_book(
        folder,
        {"F": formula("F", "p: 2 g; q: 3 g; r: to 8 g"), "G": formula("G", "p: 2 g; q: 3 g; r: to 100 g")},
        {},
        room,
    )
    for key, front in kinds.items():
        text = front if front.startswith("name") else f"name: {key}\n{front}"
        (folder / "formulas" / "materials" / f"{key}.md").write_text(f"---\n{text}\n---\n", encoding="utf-8")
    said = [CliRunner(env=ON_THAT_DAY).invoke(main, ["weigh", code, "--book", str(book)]).output for code in "FG"]
    assert "No line is measured within 5 % at this batch." in " ".join(said[0].split())
    assert "but for: oil, sweet; and oil, bitter." in " ".join(said[1].split())


def test_what_the_verdict_names_says_so_on_its_own_line(tmp_path: Path) -> None:
    """21.38 g is above the least weighable 20 g, and 21 g with a step of 1 g may be 20: 6.5 % off, rounded up."""
    room = "balances:\n  - {name: scale, readability: 1 g}\n"
    book = write_book(tmp_path / "book", {"F": formula("F", "a: 21.38 g; b: to 100 g")}, workroom=room)
    answer = run(book, "weigh", "F")[1]
    assert answer["how_sure"]["doubtful"] == ["a"]
    assert answer["lines"][0]["shown"].replace("\u202f", " ") == "21 g, to within 6.5 %"
    assert (
        "scale, to within 6.5 %" in CliRunner(env=ON_THAT_DAY).invoke(main, ["weigh", "F", "--book", str(book)]).output
    )
