"""Counted drops weighed at the bench: the answer as text and JSON, what is queried, and every slip of the tongue."""

from __future__ import annotations

import json
import re
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from bookgen.cli import main
from bookgen.source import read_book
from tests.books_of_text import ONE_BALANCE, formula, run, weigh, write_book

MATERIALS = {
    "rose-oil": "density: 0.9\nwater: 0 %\ndrops:\n  pipette: [20 drops 0.52 g, 20 drops 0.48 g, 10 drops 0.25 g]",
    "tar": "water: 0 %\ndrops:\n  glass: 0.04 g",
    "water": "density: 1\nwater: 100 %",
    "a": "water: 0 %",
}
ROOM = ONE_BALANCE + "droppers: [pipette, glass]\n"


@pytest.fixture
def book(tmp_path) -> Path:
    """A splash that counts rose oil by the book's dropper, a scent whose weight is fixed, one through an intermediate.

    The balm counts what has no drop mass for water.
    """
    return write_book(
        tmp_path / "book",
        {
            "splash": formula("S-02", "rose-oil: 6 drops; a: to 100 g"),
            "scent": formula("N-01", "rose-oil: 20 drops (0.5 g); a: to 5 g"),
            "user": formula("B-01", "N-01: 10 %; a: to 100 g"),
            "wet": formula("W-01", "water: 6 drops; a: to 100 g"),
        },
        MATERIALS,
        ROOM,
    )


def drops(book: Path, *arguments: str, given: str | None = None):
    """Run the command; spaces of every kind are made plain."""
    result = CliRunner(env={"COLUMNS": ""}).invoke(main, ["drops", "--book", str(book), *arguments], input=given)
    assert isinstance(result.exception, SystemExit | None), result.exception
    return result.exit_code, result.stdout, result.stderr


EXPECTED = """\
rose oil, pipette: 3 weighings, 50 drops in all weigh 1.3 g
  one drop  0.0260 g, from 0.0230 to 0.0275 with each weighing a step off
  spread    7.7 % from the mean at most
  drops     38.5 in 1 g, 34.6 in 1 mL

Written in drops of it; with this dropper, the formula's weight kept:
  N-01 Formula N-01: 20 drops = 0.5 g, today weighed, 0.50 g, 19 drops
  S-02 Formula S-02: 6 drops = 0.15 g, today 6 drops, 4.0 % over
These lines take the place of the drop mass that the book counts by, so S-02 would weigh 0.156 g instead of
  0.15 g. To keep a weight, fix it in the formula: 6 drops (0.15 g).

To paste into formulas/materials/rose-oil.md, in place of pipette in line 6:
drops:
  pipette: [20 drops 0.52 g, 20 drops 0.54 g, 10 drops 0.24 g]

Local law and licensed practice decide whether it may be made, used or passed on.
"""
"""1.30 g ÷ 50 = 0.026 g; 10 drops 0.24 g lie furthest out, 7.7 % below it; with a
step of 0.01 g a drop weighs 0.23 ÷ 10 to 0.55 ÷ 20 g; 1 ÷ 0.026 = 38.46; 0.9 ÷ 0.026 = 34.62.

The book's drop is 1.25 g ÷ 50 = 0.025 g, so 6 drops are 0.15 g, which are 5.77 of today's: 6, 4 % over; 0.5 g are
19.23, 19 of them 0.494 g, 1.2 % under (own arithmetic)."""
WEIGHINGS = ("20 drops 0.52 g", "20 drops 0.54 g", "10 drops 0.24 g")


def test_the_answer_as_text(book):
    material = book / "formulas" / "materials" / "rose-oil.md"
    material.write_text(material.read_text(encoding="utf-8").replace("name: rose-oil", "name: rose oil"), "utf-8")
    code, out, err = drops(book, "rose-oil", *WEIGHINGS)
    assert (code, err) == (0, "")
    assert out == EXPECTED


def test_the_answer_as_json(book):
    status, answer = run(book, "drops", "rose-oil", *WEIGHINGS)
    assert status == 0
    assert {name: answer[name] for name in list(answer)[:11]} == {
        "material": "rose-oil",
        "name": "rose-oil",
        "dropper": "pipette",
        "weighings": [
            {"drops": 20, "grams": "0.52", "drop_g": "0.026"},
            {"drops": 20, "grams": "0.54", "drop_g": "0.027"},
            {"drops": 10, "grams": "0.24", "drop_g": "0.024"},
        ],
        "drop_g": "0.026",
        "low_g": "0.023",
        "high_g": "0.0275",
        "spread_percent": "100/13",
        "drops_per_g": "500/13",
        "drops_per_ml": "450/13",
        "paste": ["drops:", "  pipette: [20 drops 0.52 g, 20 drops 0.54 g, 10 drops 0.24 g]"],
    }
    assert answer["formulas"] == [
        {"code": "N-01", "title": "Formula N-01", "written": "20 drops", "grams": "0.5", "measure": "weigh",
         "drops": 19, "drops_exact": "250/13", "drop_error_percent": None, "why": {}},
        {"code": "S-02", "title": "Formula S-02", "written": "6 drops", "grams": "0.15", "measure": "drops",
         "drops": 6, "drops_exact": "75/13", "drop_error_percent": "4", "why": {}},
    ]  # fmt: skip
    assert (answer["why"], answer["findings"]) == ({}, [])


def test_a_material_without_density_and_drop_mass(book):
    """What the book cannot count yet is told with today's weight: 6 × 0.05 g = 0.3 g."""
    path = book / "formulas" / "materials" / "water.md"
    path.write_text("---\nname: water\nwater: 90 %\n---\n", encoding="utf-8")
    code, out, _ = drops(book, "water", "20 drops 1 g", "20 drops 1 g", "20 drops 1.0 g")
    assert code == 0
    assert "20.0 in 1 g, in 1 mL not known: no density is written for water" in out
    assert "W-01 Formula W-01: 6 drops, 0.3 g with this dropper (the book has no drop mass for it)" in out
    assert "To paste into formulas/materials/water.md, in its front matter:\ndrops:\n  pipette: [" in out
    answer = run(book, "drops", "water", "20 drops 1 g")[1]
    assert answer["drops_per_ml"] is None
    assert answer["why"]["drops_per_ml"] == "no density is written for water"
    assert answer["formulas"][0]["why"]["grams"]


@pytest.mark.parametrize("decimal", ["point", "comma"])
@pytest.mark.parametrize(
    ("dropper", "weighings"),
    [
        ("pipette", ("20 drops 0.52 g", "20 drops 480 mg")),
        ("glass", ("20 gtt 0,5 g",)),
        ("my dropper: the blue one", ("20 drops 1.1250 g", "11 drops 0.125 g")),
        ('"quoted" # one', ("100 drops 5 g",)),
        ("3 mm", ("20 drops 0.5 g",)),
        ("yes", ("20 drops 0.5 g, 20 drops 0.6 g; 20 drops 0.7 g",)),
    ],
)
def test_the_lines_to_paste_are_read_back_as_what_was_weighed(book, decimal, dropper, weighings):
    (book / "formulas" / "workroom.yaml").write_text(f"decimal: {decimal}\n", encoding="utf-8")
    status, answer = run(book, "drops", "a", *weighings, "--dropper", dropper)
    assert status == 0
    path = book / "formulas" / "materials" / "a.md"
    path.write_text("\n".join(("---", "name: a", *answer["paste"], "---", "")), encoding="utf-8")
    read = read_book(book)
    assert not [one for one in read.findings if one.place.path.endswith("a.md")]
    (line,) = read.materials["a"].drops
    assert line.dropper == dropper
    assert [one.drops for one in line.weighings] == [one["drops"] for one in answer["weighings"]]
    again = run(book, "drops", "a", *weighings)[1]
    assert again["weighings"] == answer["weighings"]
    assert again["dropper"] == dropper


def test_pasted_lines_are_what_the_book_then_counts_by(book):
    before = run(book, "drops", "rose-oil", *WEIGHINGS)[1]
    path = book / "formulas" / "materials" / "rose-oil.md"
    path.write_text(
        re.sub(r"drops:\n  pipette.*\n", "\n".join(before["paste"]) + "\n", path.read_text("utf-8")), encoding="utf-8"
    )
    assert weigh(book, "S-02")["lines"][0]["grams"] == "0.156"


class TestTyped:
    """Without weighings, one is read from each line."""

    def test_up_to_an_empty_line(self, book):
        code, out, err = drops(
            book, "rose-oil", given="20 drops 0.52 g\n20 drops 0.54 g\n10 drops 0.24 g\n\nnonsense\n"
        )
        assert (code, err) == (0, "")
        assert out == drops(book, "rose-oil", *WEIGHINGS)[1]

    def test_up_to_the_end(self, book):
        assert drops(book, "rose-oil", given="20 drops 0.52 g")[0] == 0

    @pytest.mark.parametrize("given", ["", "\n", "   \n20 drops 0.5 g\n"])
    def test_nothing_typed(self, book, given):
        code, out, err = drops(book, "rose-oil", given=given)
        assert (code, out) == (2, "")
        assert "No weighing is given: write one, such as 20 drops 0.52 g." in err

    def test_a_slip_in_a_pipe_names_its_line(self, book):
        code, out, err = drops(book, "rose-oil", given="20 drops 0.52 g\n20 drops 0.5 mL\n")
        assert (code, out) == (2, "")
        assert "Line 2: 0.5 mL is a volume: write a weight, such as 20 drops 0.52 g." in err

    def test_slips_in_a_pipe_are_told_together_and_the_other_lines_given_back(self, book):
        code, out, err = drops(
            book, "rose-oil", given="20 drops 0.52 g\n20 dops 0.5 g\n20 drops 0.54 g\n20 drops 0.5 mL\n"
        )
        assert (code, out) == (2, "")
        said = " ".join(err.split())
        assert "Line 2: `20 dops 0.5 g` is not a weighing" in said
        assert "Line 4: 0.5 mL is a volume: write a weight, such as 20 drops 0.52 g." in said
        assert said.endswith('The others were read: "20 drops 0.52 g" "20 drops 0.54 g".')

    def test_at_a_terminal_the_lines_before_and_after_a_slip_are_kept(self, book, monkeypatch):
        monkeypatch.setattr("bookgen.cli.drops.sys", Terminal())
        code, out, err = drops(book, "rose-oil", given="20 drops 0.52 g\n20 dops\n20 drops 0.54 g\n10 drops 0.24 g\n\n")
        assert code == 0
        assert out == drops(book, "rose-oil", *WEIGHINGS)[1]
        assert "`20 dops` is not a weighing" in err

    def test_at_a_terminal_it_asks_on_stderr_and_asks_again(self, book, monkeypatch):
        monkeypatch.setattr("bookgen.cli.drops.sys", Terminal())
        code, out, err = drops(book, "rose-oil", given="20 drops 0.5 mL\n20 drops 0.52 g\n\n")
        assert code == 0
        assert out.startswith("rose-oil, pipette: 1 weighing, 20 drops")
        assert err == (
            "Weighing 1, such as 20 drops 0.52 g: 0.5 mL is a volume: write a weight, such as 20 drops 0.52 g.\n"
            "Weighing 1, such as 20 drops 0.52 g: Weighing 2; an empty line ends: "
        )

    def test_ctrl_c_at_a_terminal_gives_back_what_was_typed(self, book, monkeypatch):
        class Stopped(Terminal):
            class _Keys(Terminal._Keys):
                def readline(self) -> str:
                    line = sys.stdin.readline()
                    if not line:
                        raise KeyboardInterrupt
                    return line

            stdin = _Keys()

        monkeypatch.setattr("bookgen.cli.drops.sys", Stopped())
        code, out, err = drops(book, "rose-oil", given="20 drops 0.52 g\n20 drops 0.54 g\n")
        assert (code, out) == (130, "")
        assert err.endswith('Interrupted; what was typed: "20 drops 0.52 g" "20 drops 0.54 g".\n')

    def test_an_unknown_material_is_told_before_anything_is_typed(self, book):
        assert "rose-oill is not a material of this book. Did you mean rose-oil?" in drops(book, "rose-oill")[2]


class Terminal:
    """The system with a keyboard at stdin."""

    class _Keys:
        def isatty(self) -> bool:
            return True

        def readline(self) -> str:
            return sys.stdin.readline()

    stdin = _Keys()


@pytest.mark.parametrize(
    ("weighings", "rules"),
    [
        (("20 drops 0.52 g", "20 drops 0.50 g", "20 drops 0.48 g"), []),
        (("20 drops 0.52 g", "20 drops 0.48 g"), ["few-weighings"]),
        (("20 drops 0.5 g", "20 drops 0.5 g", "20 drops 0.66 g"), ["drop-spread"]),
        (("20 drops 0.85 g", "20 drops 1 g", "20 drops 1.15 g"), []),
        (("20 drops 0.849 g", "20 drops 1 g", "20 drops 1.151 g"), ["drop-spread"]),
        (("9 drops 0.24 g", "20 drops 0.5 g", "20 drops 0.5 g"), ["few-drops"]),
        (("10 drops 0.19 g", "20 drops 0.4 g", "20 drops 0.4 g"), ["light-drops"]),
        (("10 drops 0.2 g", "20 drops 0.4 g", "20 drops 0.4 g"), []),
        (("100 drops 0.5 g", "100 drops 0.5 g", "100 drops 0.5 g"), []),
        (("100 drops 0.49 g", "100 drops 0.49 g", "100 drops 0.49 g"), ["implausible-drop"]),
        (("10 drops 2 g", "10 drops 2 g", "10 drops 2 g"), []),
        (("10 drops 2.01 g", "10 drops 2.01 g", "10 drops 2.01 g"), ["implausible-drop"]),
        (("1 drop 5.2 g",), ["implausible-drop", "few-weighings", "few-drops"]),
    ],
)
def test_what_is_queried(book, weighings, rules):
    """Limits from both sides: 3 weighings, 15 %, 10 drops, 0.2 g (0.01 g ÷ 5 %), 5 mg and 200 mg."""
    status, answer = run(book, "drops", "rose-oil", *weighings)
    assert status == 0
    assert [one["rule"] for one in answer["findings"]] == rules
    assert {one["severity"] for one in answer["findings"]} <= {"query"}
    assert all(one["message"].startswith("rose-oil: ") and one["message"][-1] in ".?" for one in answer["findings"])


def test_the_queries_in_words(book):
    _, out, _ = drops(book, "rose-oil", "9 drops 0.1 g", "20 drops 0.5 g", "--dropper", "pipete")
    said = " ".join(out.split())
    for words in (
        "query rose-oil: 2 weighings cannot show a slip; weigh drops of pipete once more.",
        "query rose-oil: 9 drops 0.1 g lies 46 % from the mean of pipete, more than the 15 % that a calibrated",
        "dropper may be off; count and weigh again.",
        "query rose-oil: the workroom has no dropper called pipete. Did you mean pipette?",
        "query rose-oil: 9 drops in a weighing: one miscounted would be too much; count 10 or more.",
        "query rose-oil: 9 drops together weigh 0.1 g, less than the 0.2 g that the bench weighs within 5 %; count 18",
    ):
        assert words in said, words


@pytest.mark.parametrize(
    ("weighing", "says"),
    [("10 drops 0.02 g", "within 5 %; count 100 or more."), ("10 drops 0.019 g", "within 5 %; weigh them on a finer")],
)
def test_nobody_is_asked_to_count_hundreds(book, weighing, says):
    """0.2 g is the least that the bench weighs: 100 drops of 0.002 g, 106 of 0.0019 g."""
    assert says in " ".join(drops(book, "rose-oil", weighing)[1].split())


def test_one_drop_is_no_drops(book):
    _, out, _ = drops(book, "rose-oil", "1 drop 0.01 g", "1 drop 0.01 g", "1 drop 0.02 g")
    said = " ".join(out.split())
    assert "1 drop 0.02 g lies 50 % from the mean" in said
    assert "1 drop together weigh" not in said
    assert "1 drop weighs 0.01 g, less than the 0.2 g" in said


def test_a_dropper_is_spelled_as_the_book_spells_it(book):
    assert run(book, "drops", "tar", "20 drops 0.8 g", "--dropper", "PIPETTE")[1]["dropper"] == "pipette"
    assert run(book, "drops", "tar", "20 drops 0.8 g")[1]["dropper"] == "glass"
    assert run(book, "drops", "a", "20 drops 0.8 g")[1]["dropper"] == "pipette"


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["rose-oill", "20 drops 0.5 g"], "rose-oill is not a material of this book. Did you mean rose-oil?"),
        (["S-02", "20 drops 0.5 g"], "S-02 is a formula; what a drop weighs is written in the materials' files."),
        (["", "20 drops 0.5 g"], "is not a material of this book."),
        (["rose-oil", "0 drops 0.5 g"], "0 is not a whole number of 1 or more."),
        (["rose-oil", "20 drops 0 g"], "0 g is nothing: write a figure above zero."),
        (["rose-oil", "20 drops 0.5 mL"], "0.5 mL is a volume: write a weight, such as 20 drops 0.52 g."),
        (["rose-oil", "20 drops 0.5"], "0.5 lacks a unit: write it as in 20 drops 0.52 g."),
        (["rose-oil", "20 drops"], "is not a weighing: write it as in 20 drops 0.52 g."),
        (["rose-oil", "0.026 g"], "0.026 g does not say of how many drops: count at least ten"),
        (["rose-oil", "26 mg"], "26 mg does not say of how many drops"),
        (["rose-oil", "0.52 g 20 drops"], "`0.52 g 20 drops`: the drops come first, write 20 drops 0.52 g."),
        (["rose-oil", "20.5 drops 0.5 g"], "20.5 is not a whole number of 1 or more."),
        (["rose-oil", "-20 drops 0.5 g"], "No such option"),
        (["rose-oil", "--", "-20 drops 0.5 g"], "is not a weighing"),
        (["rose-oil", "20 drops -0.5 g"], "has a plus or minus sign: write the number alone."),
        (["rose-oil", "20 drops 1,000 g"], "1,000 can be read as 1.000 or as 1000"),
        (["rose-oil", "20 drops 5e-1 g"], "power of ten"),
        (["rose-oil", "20 drops 0.5 oz"], "oz"),
        (["rose-oil", "20 drops 0.5 g more"], "`more` after 0.5 g is not understood"),
        (["rose-oil", "20 drips 0.5 g"], "is not a weighing"),
        (["rose-oil", "twenty drops 0.5 g"], "is not a weighing"),
        (["rose-oil", "20 drops 0.5 g,"], "Nothing is written: write a weighing as in 20 drops 0.52 g."),
        (["rose-oil", ""], "Nothing is written: write a weighing as in 20 drops 0.52 g."),
        (["rose-oil", "20 drops 0.5 g", "x"], "`x` is not a weighing"),
        (["rose-oil", "20 drops 0.000000000000001 g"], "more than 15 digits"),
        (["rose-oil", "20 drops 0.00000000000001 g"], "cannot be written into a file as they are"),
        (["rose-oil", "20 drops 0.5 g", "--dropper", "a\nb"], "weighing"),
        (["rose-oil", "20 drops 3 drops"], "neither a weight nor a volume"),
        (["rose-oil", "99999999999999999999 drops 1 g"], "more than 15 digits"),
        ([], "Missing argument 'MATERIAL'"),
    ],
)
def test_a_slip_is_a_sentence_and_code_2(book, arguments, says):
    code, out, err = drops(book, *arguments, given="")
    if "a\nb" in arguments:
        assert (code, "a b:" in out) == (0, True)  # a line break in a name is a space
        return
    assert (code, out) == (2, "")
    assert says in err
    assert "Traceback" not in err


@pytest.mark.parametrize(
    ("weighings", "balances", "low", "high"),
    [
        # own arithmetic: one weighing is taken like a stated drop, a third either way
        (("20 drops 0.6 g",), ONE_BALANCE, "0.02", "0.04"),
        (("2 drops 0.05 g", "2 drops 0.05 g", "2 drops 0.05 g"), ONE_BALANCE, "0.02", "0.03"),
        # the step is that of the finest balance that gives such a weight, however few digits are written
        (("20 drops 0.5 g", "20 drops 0.5 g"), ONE_BALANCE, "0.0245", "0.0255"),
        # what no balance of the workroom gives was weighed to the last digit written
        (("20 drops 0.512 g", "20 drops 0.512 g"), ONE_BALANCE, "0.02555", "0.02565"),
        (("20 drops 0.52 g", "20 drops 500 mg"), "", "0.02495", "0.0265"),
        (("20 drops 1 g", "20 drops 1 g"), "balances:\n  - {name: kitchen scale, readability: 1 g}\n", "0", "0.1"),
    ],
)
def test_a_drop_is_no_surer_than_its_weighings(tmp_path, weighings, balances, low, high):
    book = write_book(tmp_path / "book", {}, {"oil": "water: 0 %"}, balances or "title: A book\n")
    answer = run(book, "drops", "oil", *weighings)[1]
    assert (answer["low_g"], answer["high_g"]) == (low, high)


def test_one_weighing_says_that_it_shows_no_spread(book):
    _, out, _ = drops(book, "rose-oil", "20 drops 0.52 g")
    assert "  one drop  0.0260 g, taken as 0.0173 to 0.0347, as one weighing alone shows no spread\n" in out
    assert "spread  " not in out


def test_the_lines_to_paste_keep_the_digits_that_were_read(book):
    assert run(book, "drops", "a", "20 drops 0.50 g", "20 drops 0.5 g")[1]["paste"][1].endswith(
        "[20 drops 0.50 g, 20 drops 0.5 g]"
    )


def test_an_answer_leaves_the_book_as_it_is(book):
    before = {path: path.read_bytes() for path in book.rglob("*") if path.is_file()}
    drops(book, "rose-oil", *WEIGHINGS)
    assert {path: path.read_bytes() for path in book.rglob("*") if path.is_file()} == before


# ── Another dropper for one batch ─────────────────────────────────────────────────────────────────────────────────


def weighed_with(book: Path, code: str, *arguments: str):
    status, answer = run(book, "weigh", code, *arguments)
    assert status == 0, answer
    return answer


class TestAnotherDropper:
    """`--dropper` and `--drop` change today's count only: 0.15 g are 6 drops of 0.025 g, or 5 of 0.03 g."""

    def test_a_weighing_of_today(self, book):
        usual, today = weigh(book, "S-02"), weighed_with(book, "S-02", "--drop", "rose-oil: 20 drops 0.6 g")
        for name in ("grams", "percent", "written"):
            assert [one[name] for one in today["lines"]] == [one[name] for one in usual["lines"]]
        line = today["lines"][0]
        assert (usual["lines"][0]["drops"], usual["lines"][0]["with"]) == (6, "pipette")
        assert (line["drops"], line["with"], line["drop_error_percent"]) == (5, "today's dropper", "0")
        assert (line["drops_exact"], line["grams"]) == ("5", "0.15")

    def test_drops_that_nothing_is_counted_in_are_told(self, tmp_path):
        texts = {"f": formula("F", "oil: 5 %; a: to 100 g"), "g": formula("G", "oil: 2 drops; F: 5 g; a: to 100 g")}
        kept = write_book(tmp_path / "book", texts)
        told = [one["rule"] for one in weighed_with(kept, "F", "--drop", "oil: 20 drops 0.6 g")["findings"]]
        assert told == ["not-counted"]
        assert not weighed_with(kept, "G", "--drop", "oil: 20 drops 0.5 g")["findings"]
        second = write_book(
            tmp_path / "first", {"f": formula("F", "oil: 2 drops; a: to 5 g"), "g": formula("G", "F: 5 g; a: to 100 g")}
        )
        assert not weighed_with(second, "G", "--drop", "oil: 20 drops 0.5 g")["findings"]

    @pytest.mark.parametrize(("drop", "counted"), [("0.035 g", True), ("0.3 g", False)])
    def test_drops_that_change_how_a_line_is_measured_are_not_said_to_change_nothing(self, tmp_path, drop, counted):
        """7 drops of 0.025 g are exact; of drops of 0.3 g the same 0.175 g are not one, and so are not counted."""
        book = write_book(tmp_path / "book", {"f": formula("F", "oil: 7 drops; a: to 100 g")})
        assert weigh(book, "F")["lines"][0]["drops"] == 7
        answer = weighed_with(book, "F", "--drop", f"oil: {drop}")
        assert (answer["lines"][0]["measure"] == "drops") is counted
        assert answer["findings"] == [one for one in answer["findings"] if one["rule"] != "not-counted"]

    def test_one_drop_and_its_range(self, book):
        line = weighed_with(book, "S-02", "--drop", "rose-oil: 0.03 g (0.02 to 0.04 g)")["lines"][0]
        assert (line["drops"], line["grams_low"], line["grams_high"]) == (5, "0.1", "0.2")

    def test_weighings_of_one_material_belong_together(self, book):
        """1.2 g ÷ 40 drops = 0.03 g, from 0.57 ÷ 20 to 0.63 ÷ 20 g."""
        twice = ("--drop", "rose-oil: 20 drops 0.58 g", "--drop", "Rose-Oil: 20 drops 0.62 g")
        at_once = weighed_with(book, "S-02", "--drop", "rose-oil: 20 drops 0.58 g, 20 drops 0.62 g")
        answer = weighed_with(book, "S-02", *twice)
        assert answer == at_once
        line = answer["lines"][0]
        assert (line["drops"], line["grams_low"], line["grams_high"]) == (5, "0.1425", "0.1575")

    def test_a_dropper_of_the_book(self, book):
        path = book / "formulas" / "materials" / "rose-oil.md"
        path.write_text(path.read_text("utf-8").replace("drops:\n", "drops:\n  glass: 0.03 g\n").replace(
            "  glass: 0.03 g\n", "", 1).replace("0.25 g]", "0.25 g]\n  glass: 0.03 g"), encoding="utf-8")  # fmt: skip
        line = weighed_with(book, "S-02", "--dropper", "glass")["lines"][0]
        assert (line["drops"], line["with"], line["grams"]) == (5, "glass", "0.15")
        both = weighed_with(book, "S-02", "--dropper", "glass", "--drop", "rose-oil: 20 drops 1 g")["lines"][0]
        assert (both["drops"], both["with"], both["grams"]) == (3, "today's dropper", "0.15")

    @pytest.mark.parametrize("arguments", [("--dropper", "glass"), ("--drop", "rose-oil: 0.05 g")])
    def test_through_an_intermediate(self, book, arguments):
        """B-01 for 10 g takes 1 g of N-01; its rose oil is 0.1 g there, 4 drops of the book's or 2 of 0.05 g."""
        path = book / "formulas" / "materials" / "rose-oil.md"
        path.write_text(path.read_text("utf-8").replace("0.25 g]", "0.25 g]\n  glass: 0.05 g"), encoding="utf-8")
        usual = weighed_with(book, "B-01", "--obtain", "10 g")
        today = weighed_with(book, "B-01", "--obtain", "10 g", *arguments)
        assert today["make_first"] == usual["make_first"]
        assert today["make_first"][0]["obtain_g"] == "1"
        inner = weighed_with(book, "N-01", "--obtain", "1 g", *arguments)["lines"][0]
        assert (inner["drops"], inner["grams"]) == (2, "0.1")
        assert weighed_with(book, "N-01", "--obtain", "1 g")["lines"][0]["drops"] == 4

    def test_a_weight_line_is_counted_where_the_balance_fails(self, book):
        path = book / "formulas" / "splash.md"
        path.write_text(path.read_text("utf-8").replace("a: to 100 g", "a: to 100 g\n  tar: 0.1 g"), encoding="utf-8")
        line = weighed_with(book, "S-02", "--drop", "tar: 20 drops 1 g")["lines"][2]
        assert (line["measure"], line["drops"], line["with"]) == ("drops", 2, "today's dropper")

    def test_a_doubtful_drop_is_queried(self, book):
        answer = weighed_with(book, "S-02", "--drop", "rose-oil: 2 drops 0.6 g")
        assert [one["rule"] for one in answer["findings"]] == ["implausible-drop", "few-drops"]
        assert weighed_with(book, "S-02", "--drop", "rose-oil: 20 drops 0.6 g")["findings"] == []

    @pytest.mark.parametrize(
        ("drop", "says"),
        [
            ("rose-oil", "`rose-oil` lacks a colon after the name: write it as in rose-oil: 20 drops 0.52 g."),
            (": 20 drops 0.5 g", "lacks the name before the colon"),
            ("rose-oil:", "Nothing is written after rose-oil"),
            ("rose: 20 drops 0.5 g", "rose is not a material of this book."),
            ("rose-oill: 20 drops 0.5 g", "Did you mean rose-oil?"),
            ("S-02: 20 drops 0.5 g", "S-02 is a formula"),
            ("tar: 20 drops 0.5 g", "tar is not weighed in anywhere in Formula S-02."),
            ("rose-oil: 20 drops", "rose-oil: "),
            ("rose-oil: 0 drops 0.5 g", "not a whole number of 1 or more"),
            ("rose-oil: 0 g", "0 g is nothing"),
            ("rose-oil: 20 drops 0.5 mL", "is a volume"),
            ("rose-oil: 0.026 mL", "is a volume"),
            ("rose-oil: 0.52 g 20 drops", "the drops come first, write 20 drops 0.52 g."),
            ("rose-oil: 0.03 g (0.04 to 0.05 g)", "is not between"),
        ],
    )
    def test_a_slip_is_a_sentence_and_code_2(self, book, drop, says):
        result = CliRunner().invoke(main, ["weigh", "S-02", "--drop", drop, "--book", str(book)])
        assert (result.exit_code, result.stdout) == (2, "")
        assert f"Drop: {says}" in result.stderr or says in result.stderr

    def test_two_stated_drops_of_one_material(self, book):
        twice = ["--drop", "rose-oil: 0.03 g", "--drop", "rose-oil: 20 drops 0.5 g"]
        result = CliRunner().invoke(main, ["weigh", "S-02", *twice, "--book", str(book)])
        assert result.exit_code == 2
        assert "rose-oil is given twice: write one drop mass, or weighings that belong together." in result.stderr


def test_json_stays_json(book):
    result = CliRunner().invoke(main, ["drops", "rose-oil", *WEIGHINGS, "--json", "--book", str(book)])
    assert json.loads(result.stdout)["paste"]
    assert result.stdout.endswith("}\n")
