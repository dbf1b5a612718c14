"""A batch and findings as a practitioner reads them in the terminal."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from bookgen.cli import main
from bookgen.pipeline import check_book
from bookgen.reckon.weighing import Weighing, weigh
from bookgen.shown.head import first_shown
from bookgen.shown.shelf import shelf_of
from tests.books_of_text import ON_THAT_DAY, ONE_BALANCE, TODAY, formula, write_book

MATERIALS = {
    "water": "density: 1\nwater: 100 %",
    "oil": "density: 0.9\ndrops:\n  pipette: 0.025 g\nsoluble: oil\nhazards:\n  - stains, so wear an apron",
    "lye": "contains:\n  sodium hydroxide: 10 %\nwater: 90 %",
    "earth": "kind: powder\nwater: 0 %",
    "dye": "water: 0 %\nkind: powder",
}
WORKROOM = """\
decimal: comma
balances:
  - {name: fine, readability: "0,01 g", capacity: 200 g}
  - {name: kitchen scale, readability: 1 g, capacity: 1500 g}
"""
SPLASH = """---
code: S-01
title: Plain splash
kind: household
status: trial
issue: 2
makes: 100 g
yield: 95 %
ingredients:
  A, warm to 40 °C:
    B-01: 60 %, base
    oil: 3 drops, scent
  B, cold:
    earth: {amount: 5 g, removed: filtered}
    lye: q.s. to pH 7 (about 1,2 g)
    water: to 100 g
storage: refrigerator, 5 days
---
"""

EXPECTED = """\
S-01  Plain splash  ·  issue 2  ·  TRIAL
To obtain 2 × 100 g + 5 % = 210 g  ·  weigh in all 221,05 g (without what is taken out again)
Fills 2 containers of 100 g, 10,00 g left over

Hazard  oil: Stains, so wear an apron.
Hazard  earth: Raises dust: weigh out of the draught, scoop low, do not breathe it in.
Hazard  lye: Caustic: goggles and gloves; it goes into the water, never water onto it.

Make first  B-01 Formula B-01: obtain 132,63 g on the fine balance; weigh in all 132,63 g

                                            as written     % w/w       g  measured
A, warm to 40 °C
  B-01 Formula B-01  base                         60 %   60       132,63  fine balance
  oil                scent                     3 drops    0,0750    0,17  fine balance, to within 8,6 %
      It may really be 0,072 to 0,082 %.
      Way out: a batch of 222 g; 7 drops then, no surer than the drops themselves.
B, cold
  lye                       q.s. to pH 7 (about 1,2 g)    1,20    ≈ 2,65  fine balance
  water                                       to 100 g   38,7      85,60  fine balance
                                                        100       221,05  printed total
Processing aids, taken out again
  earth                                            5 g         –   11,05  fine balance
      Taken out again: filtered. Not part of the total.

Every line is measured within 5 % at this batch but for: oil. A batch of 266 g measures every line of its own
  within that.

Keep in the refrigerator. Use up to and including 2026-03-07 (given by the formula).

Caution  Water without a preservative: it can spoil without a sign. Clean hands, keep it cold, and throw it
         away on the use-by date even if it still looks good.

Local law and licensed practice decide whether it may be made, used or passed on.
"""
"""A comma book; 221,05 g = 210 g ÷ 0,95; 60 % of it is 132,63 g on a balance of 0,01 g (own arithmetic).

8 drops of 0,025 g are counted up to 0,2 g ÷ 0,95, which 266,67 g have of the oil; above it is weighed.
"""


def run(book: Path, *arguments: str) -> str:
    result = CliRunner(env={"COLUMNS": "", **ON_THAT_DAY}).invoke(main, [*arguments, "--book", str(book)])
    assert isinstance(result.exception, SystemExit | None), result.exception
    return result.stdout + result.stderr


@pytest.fixture
def book(tmp_path) -> Path:
    base = formula("B-01", "water: to 100 g", "status: approved", "storage: refrigerator")
    return write_book(tmp_path / "book", {"splash": SPLASH, "base": base}, MATERIALS, WORKROOM)


def test_a_batch_reads_from_top_to_bottom(book):
    assert run(book, "weigh", "S-01", "--obtain", "2 x 100 g + 5 %") == EXPECTED


def test_the_total_stands_below_its_weights(book):
    """400 g ÷ 0,95 = 421,05 g; 0,3158 g of oil are weighed, 13 drops beside it; water is the rest (own arithmetic)."""
    lines = run(book, "weigh", "S-01", "--obtain", "400 g").splitlines()
    by_name = {line.split("  ")[1].strip(): line for line in lines if line.startswith("  ") and line.strip()}
    assert by_name["oil"].endswith("0,32  13 drops, fine balance")
    assert by_name["B-01 Formula B-01"].endswith("253     kitchen scale")
    total = next(line for line in lines if line.endswith("printed total"))
    ends = {line.index(",") for line in (by_name["oil"][60:], total[60:], by_name["water"][60:]) if "," in line}
    assert total.split()[:2] == ["100", "421,05"]
    assert len(ends) == 1


def test_what_is_used_up_of_a_stock(book):
    text = run(book, "weigh", "S-01", "--obtain", "30 g of B-01")
    assert "To obtain 30 g of B-01 = 47,5 g  ·  weigh in all 50,00 g (without what is taken out again)\n" in text
    assert "Make first" not in text


def test_portions_of_a_large_batch(book):
    text = run(book, "weigh", "S-01", "--obtain", "5 kg")
    assert "kitchen scale in 3 portions\n" in text


def test_findings_stand_at_the_end_with_their_place(book):
    path = book / "formulas" / "splash.md"
    path.write_text(path.read_text(encoding="utf-8").replace(" (about 1,2 g)", ""), encoding="utf-8")
    text = run(book, "weigh", "S-01")
    assert text.index("Keep in the refrigerator") < text.index("query  Plain splash, line ")
    assert "formulas/splash.md:15:" in text
    assert "not known" in text


def test_check_counts_and_wraps(book):
    for count in (1, 2):
        path = book / "formulas" / f"extra{count}.md"
        path.write_text(formula(f"E-{count}", "water: 90 %"), encoding="utf-8")
        text = run(book, "check")
        assert f"{2 + count} formulas, 5 materials: {count} error{'s' if count > 1 else ''}" in text
        assert f"; {count} of the formulas barred.\nLocal law and licensed practice decide" in text
        assert max(map(len, text.splitlines())) <= 110


def test_a_narrow_terminal_gets_narrow_lines(book, monkeypatch):
    monkeypatch.setenv("COLUMNS", "70")
    result = CliRunner().invoke(main, ["weigh", "S-01", "--book", str(book), "--today", TODAY])
    prose = [line for line in result.stdout.splitlines() if line.startswith(("Hazard", "Make first", "Keep", "Local"))]
    assert max(map(len, prose)) <= 70


@pytest.mark.parametrize(
    ("extra", "batch", "said"),
    [
        ("", "100 g", "25 g evaporates and is not replaced."),
        ("", "200 g", "50 g evaporates and is not replaced."),
        (", made up: yes", "200 g", "40 g evaporates: make it up to weight at the end."),
        (", added: yes", "200 g", "40 g of it evaporates; the weight allows for that."),
    ],
)
def test_what_evaporates_follows_the_batch(tmp_path, extra, batch, said):
    """80 g that lose 20 g, in 100 g: 125 g are weighed in for 100 g, and 25 g go (own arithmetic)."""
    text = formula("F", f"water: {{amount: 80 g, evaporates: 20 g{extra}}}; gly: 20 g", "makes: 100 g", "yield: 100 %")
    book = write_book(tmp_path / "book", {"F": text})
    result = CliRunner(env={"COLUMNS": ""}).invoke(main, ["weigh", "F", "--obtain", batch, "--book", str(book)])
    assert said in result.stdout


def test_the_head_has_the_digits_of_a_balance_not_of_a_few_drops(tmp_path: Path) -> None:
    """One drop of 0.025 g is printed 0.025 g, and the sum shows it; nobody reads 105.000 g on a balance of 0.01 g."""
    book = write_book(tmp_path / "book", {"F": formula("F", "oil: 1 drop; gly: to 105 g", "yield: 70 %")})
    for batch, head in (("73.5 g", "To obtain 73.5 g  ·  weigh in all 105.00 g"), ("3 x 20 g", "Fills 3")):
        said = CliRunner().invoke(main, ["weigh", "F", "--obtain", batch, "--book", str(book)], env=ON_THAT_DAY).output
        assert head in said
        assert ".000 g" not in said.partition("as written")[0]
    only = write_book(tmp_path / "only", {"F": formula("F", "oil: 20 drops")}, workroom=ONE_BALANCE)
    said = CliRunner().invoke(main, ["weigh", "F", "--book", str(only)], env=ON_THAT_DAY).output
    assert "weigh in all 0.50 g" in said


def test_what_is_made_first_to_a_volume_reads_alike_on_the_page_and_here(tmp_path):
    """50 mL of the base are wanted; its density is not known, so it is made up to a volume and never weighed."""
    base = formula("B-02", "oil: 2 mL; water: to 100 mL", "makes: 100 mL")
    user = formula("S-02", "B-02: 50 mL; water: to 100 mL", "makes: 100 mL")
    book = write_book(tmp_path / "book", {"base": base, "user": user}, MATERIALS, WORKROOM)
    made = "obtain 50 mL; make up to 50 mL"
    assert f"Make first  B-02 Formula B-02: {made}\n" in run(book, "weigh", "S-02")
    checked = check_book(book)
    weighing = weigh(checked.reckoning, "s-02")
    assert isinstance(weighing, Weighing)
    (first,) = (first_shown(made, shelf_of(checked.reckoning, checked.review)) for made in weighing.make_first)
    words = (f"{fact.term} {figure.text} {figure.unit}" for fact in first.amounts for figure in fact.figures)
    assert "; ".join(words) == made


@pytest.mark.parametrize(
    ("asked", "words"), [("", "within 5 %"), (", error: 10 %", "within 5 % (or what its line asks for)")]
)
def test_a_line_with_an_accepted_error_of_its_own_is_told_of(tmp_path: Path, asked: str, words: str) -> None:
    lines = f"a: {{amount: 40 g{asked}}}; b: to 100 g"
    said = run(write_book(tmp_path, {"F": formula("F", lines)}, workroom=ONE_BALANCE), "weigh", "F")
    assert f"\nEvery line is measured {words} at this batch.\n" in said
