"""A day's shopping list, batches from several supplies, and containers: text, JSON, CSV, and every slip."""

from __future__ import annotations

import csv
import io
import json
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest
from click.testing import CliRunner

from bookgen.cli import main
from tests.books_of_text import MATERIALS, ONE_BALANCE, formula, run, weigh, write_book


@pytest.fixture
def book(tmp_path) -> Path:
    """Two creams that share a water, which has a yield of 80 %; a shake by volume; one barred, one withdrawn."""
    return write_book(
        tmp_path / "book",
        {
            "cream": formula("C-01", "W-01: 45 %; gly: 4 %; a: to 100 g", "density: 0.95"),
            "balm": formula("B-01", "W-01: 10 %; oil: 2 drops; a: to 100 g", "yield: 95 %"),
            "flower-water": formula("W-01", "b: {amount: 5 g, removed: filtered}; water: 100 g", "yield: 80 %"),
            "shake": formula("S-01", "b: 10 g; gly: 20 mL; d: 5 mL; water: to 100 mL"),
            "wrong": formula("X-01", "a: 90 %; b: 5 %"),
            "user": formula("X-02", "X-01: 50 %; a: to 100 g"),
            "old": formula("O-01", "a: to 100 g", "status: withdrawn"),
        },
        MATERIALS,
        ONE_BALANCE,
    )


def said(book: Path, *arguments: str) -> tuple[int, str, str]:
    """Run a command."""
    result = CliRunner(env={"COLUMNS": ""}).invoke(main, [*arguments, "--book", str(book)])
    assert isinstance(result.exception, SystemExit | None), result.exception
    return result.exit_code, result.stdout, result.stderr


DAY = ("C-01: 250 g", "B-01: 2 x 95 g", "S-01")
EXPECTED = """\
To be made
  C-01  Formula C-01  250 g
  B-01  Formula B-01  2 × 95 g = 190 g
  S-01  Formula S-01  as written = 100 mL

Make first, in this order
  W-01 Formula W-01: obtain 132.50 g on the bench balance, weigh in all 165.63 g; for C-01, B-01

To be weighed in
              g       mL  for
  a      307.4            C-01, B-01
  b       18.28           S-01, W-01
  d                5      S-01
  gly     35.2    27.9    C-01, S-01
  oil      0.1     0.111  B-01
  water  165.63  165.63   W-01

Not known, look at the formula
  water for S-01: made up to a volume; the density of the finished product is not written

Local law and licensed practice decide whether it may be made, used or passed on.
"""
"""W-01: 45 % of 250 g and 10 % of 190 g ÷ 0.95 = 112.5 + 20 g, ÷ 0.8 = 165.625 g of water and 5 % of that, 8.28 g, of
the aid; S-01 adds 10 g of it, and 20 mL × 1.26 = 25.2 g to the 10 g of glycerol (own
arithmetic)."""


def test_the_list_as_text(book):
    code, out, err = said(book, "needs", *DAY)
    assert (code, err) == (0, "")
    assert out == EXPECTED


def test_the_list_as_json(book):
    status, answer = run(book, "needs", *DAY)
    assert status == 0
    assert [(one["code"], one["text"], one["obtain_g"], one["obtain_ml"]) for one in answer["orders"]] == [
        ("C-01", "250 g", "250", "5000/19"), ("B-01", "2 × 95 g", "190", None), ("S-01", "as written", None, "100"),
    ]  # fmt: skip
    assert answer["orders"][1]["why"]["obtain_ml"].endswith("Formula B-01 states no `density:`")
    (water,) = answer["make_first"]
    assert (water["code"], water["needed_g"], water["obtain_g"], water["start_g"]) == (
        "W-01",
        "132.5",
        "132.5",
        "165.625",
    )
    assert water["asked_by"] == ["C-01", "B-01"]
    rows = {one["material"]: one for one in answer["materials"]}
    assert {key: (one["grams"], one["by_volume_ml"], one["asked_by"]) for key, one in rows.items()} == {
        "a": ("307.4", "0", ["C-01", "B-01"]),
        "b": ("18.28", "0", ["S-01", "W-01"]),
        "d": ("0", "5", ["S-01"]),
        "gly": ("35.2", "0", ["C-01", "S-01"]),
        "oil": ("0.1", "0", ["B-01"]),
        "water": ("165.63", "0", ["W-01"]),
    }
    assert rows["oil"]["ml"] == "1/9"
    assert (rows["a"]["ml"], rows["a"]["why"]) == (None, {"ml": "no density is written for a"})
    (unknown,) = answer["unknown"]
    assert (unknown["material"], unknown["asked_by"]) == ("water", "S-01")
    assert unknown["why"]
    assert (answer["unused"], answer["findings"]) == ([], [])


def test_one_formula_needs_what_its_weighing_says(book):
    """Line by line the printed weights, the intermediate's among them."""
    weighing, inner = weigh(book, "C-01", "250 g"), weigh(book, "W-01", "112.5 g")
    rows = {one["material"]: one["grams"] for one in run(book, "needs", "C-01: 250 g")[1]["materials"]}
    printed = [line for line in (*weighing["lines"], *inner["lines"]) if line["material"] != "W-01"]
    assert {line["material"]: Fraction(line["metered_g"]) for line in printed} == {
        key: Fraction(value) for key, value in rows.items()
    }


class TestHave:
    def test_only_what_is_missing_is_listed(self, book):
        have = ("--have", "gly: 30 g", "--have", "b: 1 kg", "--have", "lactic-80: 5 g", "--have", "d: 2 mL")
        _, out, _ = said(book, "needs", *DAY, *have)
        assert "\nMissing\n" in out
        assert [line.split() for line in out.splitlines() if line.startswith(("  gly", "  d "))] == [
            ["d", "3", "S-01"],
            ["gly", "5.2", "4.13", "30", "C-01,", "S-01"],
        ]
        assert "Enough is on hand: b (18.28 g of 1000 g)." in out
        assert "On hand and not needed: lactic-80." in out
        rows = {one["material"]: one for one in run(book, "needs", *DAY, *have)[1]["materials"]}
        assert (rows["gly"]["have_g"], rows["gly"]["missing_g"]) == ("30", "5.2")
        assert (rows["b"]["missing_g"], rows["d"]["have_ml"], rows["d"]["missing_ml"]) == ("0", "2", "3")

    def test_a_volume_counts_through_the_density(self, book):
        """10 mL of glycerol at 1.26 g/mL are 12.6 g."""
        (row,) = [
            one
            for one in run(book, "needs", "C-01: 500 g", "--have", "gly: 10 mL")[1]["materials"]
            if one["material"] == "gly"
        ]
        assert (row["grams"], row["have_g"], row["missing_g"]) == ("20", "12.6", "7.4")

    def test_an_intermediate_is_made_so_much_less(self, book):
        answer = run(book, "needs", *DAY, "--have", "W-01: 50 g")[1]
        assert [(one["needed_g"], one["obtain_g"], one["start_g"]) for one in answer["make_first"]] == [
            ("82.5", "82.5", "103.125")
        ]
        answer = run(book, "needs", *DAY, "--have", "w-01: 132.5 g")[1]
        assert answer["make_first"] == []
        assert "water" not in {one["material"] for one in answer["materials"]}

    def test_several_bottles_add_up(self, book):
        answer = run(book, "needs", "C-01: 500 g", "--have", "gly: 10 g", "--have", "GLY: 5 g")[1]
        assert [one["have_g"] for one in answer["materials"] if one["material"] == "gly"] == ["15"]

    def test_nothing_is_missing(self, book):
        _, out, _ = said(book, "needs", "W-01: 80 g", "--have", "water: 1 kg", "--have", "b: 1 kg")
        assert "Nothing is missing.\n\nEnough is on hand: b (5 g of 1000 g), water (100 g of 1000 g)." in out


class TestOrders:
    def test_an_intermediate_wanted_for_itself_is_made_once_for_both(self, book):
        """112.5 g for C-01 and 40 g for the shelf are 152.5 g in one batch."""
        answer = run(book, "needs", "C-01: 250 g", "W-01: 40 g")[1]
        (water,) = answer["make_first"]
        assert (water["obtain_g"], water["start_g"], water["asked_by"]) == ("152.5", "190.625", ["C-01", "W-01"])
        assert [one["grams"] for one in answer["materials"] if one["material"] == "water"] == ["190.63"]
        assert "for C-01, itself\n" in said(book, "needs", "C-01: 250 g", "W-01: 40 g")[1]

    def test_what_is_asked_twice_is_one_batch(self, book):
        answer = run(book, "needs", "C-01: 250 g", "c-01", "C-01: 3 x 50 g")[1]
        assert [(one["text"], one["obtain_g"]) for one in answer["orders"]] == [
            ("250 g and as written and 3 × 50 g", "500")
        ]
        assert "C-01  Formula C-01  250 g and as written = 350 g\n" in said(book, "needs", "C-01: 250 g", "C-01")[1]

    def test_used_stands_before_its_users(self, tmp_path):
        names = ("D-1", "D-2", "D-3", "D-4")
        texts = {"D-1": formula("D-1", "a: to 100 g")}
        for used, user in pairwise(names):
            texts[user] = formula(user, f"{used}: 50 %; a: to 100 g")
        place = write_book(tmp_path / "chain", texts)
        out = said(place, "needs", "D-4: 80 g")[1]
        assert [line.split()[0] for line in out.splitlines() if ": obtain" in line] == ["D-1", "D-2", "D-3"]

    def test_an_intermediate_by_volume_without_density_is_not_left_out(self, tmp_path):
        place = write_book(
            tmp_path / "by-volume",
            {
                "I1": formula("I1", "a: 10 g; water: to 1000 mL"),
                "F": formula("F", "I1: 60 %; b: to 100 g"),
            },
        )
        answer = run(place, "needs", "F")[1]
        assert {(one["material"], one["asked_by"]) for one in answer["unknown"]} == {
            ("I1", "F"), ("a", "I1"), ("water", "I1"),
        }  # fmt: skip
        assert all(one["why"] for one in answer["unknown"])
        assert [one["material"] for one in answer["materials"]] == ["b"]

    def test_an_amount_that_no_one_wrote_is_not_left_out(self, tmp_path):
        place = write_book(tmp_path / "qs", {"F": formula("F", "b: q.s. to pH 5; c: 10 g; a: to 100 g")})
        answer = run(place, "needs", "F")[1]
        assert [one["material"] for one in answer["unknown"]] == ["b", "a"]
        assert [one["material"] for one in answer["materials"]] == ["c"]
        assert "no usual amount is written" in answer["unknown"][0]["why"]
        assert "b for F: as much as pH 5 needs; no usual amount is written" in said(place, "needs", "F")[1]


def test_csv_follows_rfc_4180(book):
    result = CliRunner().invoke(main, ["needs", *DAY, "--csv", "--book", str(book)])
    text = result.stdout_bytes.decode("utf-8")
    rows = list(csv.DictReader(io.StringIO(text, newline=""), strict=True))
    answer = run(book, "needs", *DAY)[1]
    assert text.count("\r\n") == text.count("\n") == 1 + len(answer["materials"]) + len(answer["unknown"])
    for row, one in zip(rows, answer["materials"], strict=False):
        assert (row["material"], row["grams"], row["missing_g"]) == (one["material"], one["grams"], one["missing_g"])
        assert row["asked_by"].split() == one["asked_by"]
    last = rows[-1]
    assert (last["material"], last["grams"], last["asked_by"]) == ("water", "", "S-01")
    assert last["why"] == answer["unknown"][0]["why"]


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ([], "Missing argument 'BATCH...'"),
        (["C-1"], "C-1 is not a formula of this book. Did you mean C-01?"),
        (["C-1: 250 g"], "C-1 is not a formula of this book. Did you mean C-01?"),
        (["C-01 250 g"], "`C-01 250 g` lacks a colon after C-01: write it as in C-01: 40 g."),
        (["C-1 250 g"], "C-1 250 g is not a formula of this book."),
        (["gly: 250 g"], "gly is a material, not a formula."),
        ([": 250 g"], "is not a formula of this book."),
        ([""], "is not a formula of this book."),
        (["C-01: 40 g of W-01"], "C-01: write what must come out, such as 250 g; what is there is given with --have."),
        (["C-01", "--json", "--csv"], "Give --json or --csv, not both."),
        (["C-01", "--have", "gly"], "`gly` lacks a colon after the name: write it as in glycerol-85: 200 g."),
        (["C-01", "--have", "gly:"], "Nothing is written after gly"),
        (["C-01", "--have", ": 5 g"], "lacks the name before the colon"),
        (["C-01", "--have", ""], "lacks a colon"),
        (["C-01", "--have", "glyc: 5 g"], "glyc is neither a material nor a formula of the book. Did you mean gly?"),
        (["C-01", "--have", "gly: 0 g"], "gly: 0 g is nothing"),
        (["C-01", "--have", "gly: -5 g"], "has a plus or minus sign"),
        (["C-01", "--have", "gly: 5"], "5 lacks a unit"),
        (["C-01", "--have", "gly: 5 drops"], "neither a weight nor a volume"),
        (["C-01", "--have", "gly: 5 g left"], "not understood"),
        (["C-01", "--have", "gly: 5 %"], "neither a weight nor a volume"),
        (["C-01", "--have", "gly: 1,000 g"], "can be read as"),
        (["C-01", "--have", "gly: 5 g", "--have", "gly: 5 mL"], "gly is given in g and in mL"),
        (["C-01", "--have", "a: 5 mL"], "a is needed in g too and states no `density:`; say what is there in g."),
        (["S-01", "--have", "d: 5 g"], "d is needed in mL too and states no `density:`; say what is there in mL."),
        (["B-01", "--have", "W-01: 5 mL"], "what is there of Formula W-01 cannot be counted:"),
    ],
)
def test_a_slip_is_a_sentence_and_code_2(book, arguments, says):
    result = CliRunner().invoke(main, ["needs", "--book", str(book), *arguments])
    assert isinstance(result.exception, SystemExit | None), result.exception
    assert (result.exit_code, result.stdout) == (2, "")
    assert says in " ".join(result.stderr.split())


@pytest.mark.parametrize(
    ("arguments", "code", "says"),
    [
        (["X-01"], "X-01", "is not weighed: barred"),
        (["C-01: 250 g", "X-02: 10 g"], "X-02", "is not weighed: barred"),
        (["O-01"], "O-01", "withdrawn, so it is no longer weighed"),
        (["B-01: 250 mL"], "B-01", "mL cannot be turned into g"),
        (["S-01: 250 g"], "S-01", "g cannot be turned into mL"),
        (["C-01: 0 g"], "C-01", "is nothing"),
        (["C-01:"], "C-01", "nothing is written"),
        (["C-01: 250"], "C-01", "lacks a unit"),
        (["C-01: 250 oz"], "C-01", "weight or a volume"),
        (["C-01: -5 g"], "C-01", "has a plus or minus sign"),
        (["C-01: 12 x 0 mL"], "C-01", "is nothing"),
        (["C-01: 3 drops"], "C-01", "neither a weight nor a volume"),
    ],
)
def test_a_batch_that_cannot_be_is_refused_in_the_manner_of_weigh(book, arguments, code, says):
    exit_code, out, err = said(book, "needs", *arguments)
    assert (exit_code, out) == (1, "")
    assert err.startswith(f"{code} Formula {code} is not weighed: ")
    assert says in err
    good, status = run(book, "needs", "C-01")[1], run(book, "needs", *arguments)
    assert (status[0], list(status[1])) == (1, list(good))
    assert status[1]["materials"] == []
    assert status[1]["why"]["materials"]
    assert bool(status[1]["findings"]) is ("withdrawn" not in says)


# ── From several supplies ───────────────────────────────────────────────────────────────────────────────────────────


class TestStocks:
    """C-01 takes 0.45 g of W-01 and 0.04 g of gly a gram: 40 g allow 88.89 g, 12 g allow 300 g."""

    def test_the_one_that_limits(self, book):
        answer = weigh(book, "C-01", "40 g of W-01 and 12 g of gly")
        assert (answer["obtain"]["g"], answer["make_first"]) == ("800/9", [])
        stocks = {"stocks_g": "0", "why": {}}
        assert answer["supplies"] == [
            {"material": "W-01", "have_g": "40", "used_g": "40", "left_g": "0", "limits": True, **stocks},
            {"material": "gly", "have_g": "12", "used_g": "3.56", "left_g": "8.44", "limits": False, **stocks},
        ]
        _, out, _ = said(book, "weigh", "C-01", "--obtain", "12 g of gly; 40 g of W-01")
        assert (
            "To obtain 12 g of gly and 40 g of W-01 = 88.89 g  ·  weigh in all 88.89 g\n"
            "W-01 limits the batch: all 40 g are used.\n"
            "Of gly 3.56 g are used, 8.44 g of 12 g are left.\n" in out
        )

    def test_both_may_limit(self, book):
        answer = weigh(book, "C-01", "45 g of W-01 and 4 g of gly")
        assert [(one["limits"], one["left_g"]) for one in answer["supplies"]] == [(True, "0"), (True, "0")]

    def test_through_an_intermediate_with_its_loss(self, book):
        """100 g of C-01 take 45 g of W-01, for which 56.25 g of water go in: 112.5 g of water allow 200 g."""
        answer = weigh(book, "C-01", "112.5 g of water and 120 g of a")
        assert answer["obtain"]["g"] == "200"
        assert [one["material"] for one in answer["supplies"] if one["limits"]] == ["water"]
        assert [one["left_g"] for one in answer["supplies"]] == ["0", "18"]
        assert answer["make_first"][0]["start_g"] == "112.5"

    def test_a_volume_counts_through_the_density(self, book):
        """10 mL × 1.26 g/mL = 12.6 g of glycerol, of which 100 g of a limit: 100 ÷ 0.51 × 0.04 is 7.84 g as weighed."""
        supplies = weigh(book, "C-01", "10 mL of gly and 100 g of a")["supplies"]
        assert [one["limits"] for one in supplies] == [False, True]
        assert (supplies[0]["have_g"], supplies[0]["used_g"]) == ("12.6", "7.84")
        assert (supplies[0]["have_ml"], supplies[0]["used_ml"]) == ("10", "56/9")

    def test_what_is_measured_by_volume_has_no_weight(self, book):
        supplies = weigh(book, "S-01", "10 mL of d and 100 g of b")["supplies"]
        assert (supplies[0]["used_ml"], supplies[0]["used_g"], supplies[0]["limits"]) == ("10", None, True)
        assert "density" in supplies[0]["why"]["used_g"]

    def test_one_supply_reads_as_before(self, book):
        _, out, _ = said(book, "weigh", "C-01", "--obtain", "40 g of W-01")
        assert "limits" not in out
        assert [one["limits"] for one in weigh(book, "C-01", "40 g of W-01")["supplies"]] == [True]
        assert weigh(book, "C-01")["supplies"] == []

    @pytest.mark.parametrize(
        ("obtain", "says"),
        [
            ("40 g of W-01 and", "`40 g of W-01 and` is not a supply"),
            ("40 g of W-01 and 12 g", "`12 g` is not a supply"),
            ("40 g of W-01 and 0 g of gly", "0 g is nothing"),
            ("40 g of W-01 and 12 of gly", "12 lacks a unit"),
            (
                "40 g of W-01 and 12 g of glyc",
                "glyc is neither a material nor a formula of the book; perhaps gly is meant.",
            ),
            ("40 g of W-01 and 5 g of flower-water", "flower-water is the file of W-01 (Formula W-01); write W-01."),
            ("40 g of W-01 and 5 g of w-01", "w-01 is named twice"),
            ("40 g of W-01 and 5 g of water", "water is not weighed in anywhere in Formula C-01"),
            ("40 g of W-01 and 5 g of lactic-80", "lactic-80 is not weighed in anywhere in Formula C-01"),
            ("40 g of W-01 and 5 g of C-01", "C-01 is what is to be made"),
            ("40 g of W-01 and 5 mL of a", "a supply in mL needs the density of a"),
            ("40 g of W-01 and 3 drops of gly", "neither a weight nor a volume"),
        ],
    )
    def test_a_stock_that_cannot_be_is_refused(self, book, obtain, says):
        code, out, err = said(book, "weigh", "C-01", "--obtain", obtain)
        assert (code, out) == (1, "")
        assert says in " ".join(err.split())


# ── Into containers ───────────────────────────────────────────────────────────────────────────────────────────────


class TestInto:
    def test_full_containers_and_what_is_left(self, book):
        """250 g ÷ 0.95 g/mL = 263.16 mL: 5 of 50 mL, 13.16 mL or 12.5 g over."""
        status, answer = run(book, "weigh", "C-01", "--obtain", "250 g", "--into", "50 mL")
        assert (status, answer["containers"]) == (0, {"full": 5, "left_g": "12.5", "content_on_label": None})
        _, out, _ = said(book, "weigh", "C-01", "--obtain", "250 g", "--into", "50 mL")
        assert "Fills 5 containers of 50 mL, 12.50 g left over\n" in out

    def test_of_any_batch(self, book):
        for obtain, full in ((None, 2), ("40 g of W-01", 2), ("100 mL", 2)):
            more = ("--obtain", obtain) if obtain else ()
            assert run(book, "weigh", "C-01", *more, "--into", "45 mL")[1]["containers"]["full"] == full, obtain

    def test_too_little_for_one(self, book):
        answer = run(book, "weigh", "C-01", "--into", "1 kg")[1]
        assert answer["containers"] == {"full": 0, "left_g": "100", "content_on_label": None}

    def test_by_weight_no_density_is_needed(self, book):
        answer = run(book, "weigh", "B-01", "--into", "30 g")[1]
        assert answer["containers"] == {"full": 3, "left_g": "5", "content_on_label": None}

    def test_without_density_it_is_refused(self, book):
        code, out, err = said(book, "weigh", "B-01", "--into", "30 mL")
        assert (code, out) == (1, "")
        assert "g cannot be turned into mL: Formula B-01 states no `density:`" in err

    @pytest.mark.parametrize(
        ("into", "says"),
        [
            ("0 mL", "0 mL is nothing"),
            ("-50 mL", "has a plus or minus sign"),
            ("50", "50 lacks a unit"),
            ("mL", "lacks a number"),
            ("", "Nothing is written here: write 50 mL."),
            ("12 x 50 mL", "is a batch: write the content of one container, as in 50 mL."),
            ("50 %", "neither a weight nor a volume"),
            ("50 mL bottles", "not understood"),
            ("5 drops", "neither a weight nor a volume"),
        ],
    )
    def test_a_slip_is_a_sentence_and_code_2(self, book, into, says):
        result = CliRunner().invoke(main, ["weigh", "C-01", "--book", str(book), f"--into={into}"])
        assert (result.exit_code, result.stdout) == (2, "")
        assert f"Into: {says}" in result.stderr or says in result.stderr

    def test_a_batch_in_containers_names_them_itself(self, book):
        result = CliRunner().invoke(
            main, ["weigh", "C-01", "--obtain", "12 x 50 mL", "--into", "30 mL", "--book", str(book)]
        )
        assert result.exit_code == 2
        assert "The batch 12 × 50 mL names its containers itself" in result.stderr


def test_json_stays_json(book):
    result = CliRunner().invoke(main, ["needs", *DAY, "--json", "--book", str(book)])
    assert json.loads(result.stdout)["materials"]
    assert result.stdout.endswith("}\n")


def test_diluted_ethanol_is_listed_as_what_is_weighed(tmp_path):
    """100 g of a strength made on the spot are its spirit and its water, in the list and in the supplies alike."""
    spirit = {"spirit": "contains:\n  ethanol: 96 %vol\nwater: 6.2 %\ndensity: 0.81", "water": "water: 100 %"}
    place = write_book(tmp_path / "spirit", {"F": formula("F", "spirit: to 100 g of 70 %vol")}, spirit)
    rows = {one["material"]: Fraction(one["grams"]) for one in run(place, "needs", "F")[1]["materials"]}
    assert set(rows) == {"spirit", "water"}
    assert sum(rows.values()) == 100
    assert abs(rows["spirit"] - Fraction("66.5")) < 1  # 62.4 % ÷ 93.8 % by weight (OIML R 22)
    limited = weigh(place, "F", "10 g of water and 1 kg of spirit")
    assert [one["limits"] for one in limited["supplies"]] == [True, False]
    assert abs(Fraction(limited["obtain"]["g"]) - 10 / rows["water"] * 100) < Fraction("0.01")  # the list is metered
    in_ml = weigh(place, "F", "100 mL of spirit")
    assert abs(Fraction(in_ml["obtain"]["g"]) - 81 / rows["spirit"] * 100) < Fraction("0.01")


def test_diluted_ethanol_is_listed_as_its_two_weights_are_printed(tmp_path: Path) -> None:
    spirit = {"spirit": "kind: liquid\ncontains:\n  ethanol: 96 %vol"}
    book = write_book(
        tmp_path, {"F": formula("F", "spirit: 10 g of 70 %vol; a: to 100 g")}, {**MATERIALS, **spirit}, ONE_BALANCE
    )
    blend = weigh(book, "F")["lines"][0]["blend"]
    grams = {one["material"]: one["grams"] for one in run(book, "needs", "F")[1]["materials"]}
    assert (blend["strong_g"], blend["water_g"]) == ("6.65", "3.35")  # 66.48 % of 10 g, OIML R 22
    assert (grams["spirit"], grams["water"]) == ("6.65", "3.35")


def test_what_stays_behind_in_stocks_is_told_of_a_supply(tmp_path: Path) -> None:
    """0.102 g of dye comes from a stock of 0.5 g in 2.5 g: 0.398 g of it and 1.592 g of water stay behind."""
    more = {"dye": "kind: powder\nsoluble: water", "water": "kind: liquid\nwater: 100 %"}
    book = write_book(tmp_path, {"F": formula("F", "dye: 0.1 g; water: to 100 g")}, {**MATERIALS, **more}, ONE_BALANCE)
    status, answer = run(book, "weigh", "F", "--obtain", "99.9 g of water and 0.4 g of dye")
    assert (status, answer["why"]["lines"]) == (1, "0.4 g of dye is too little to measure a batch from")
    answer = weigh(book, "F", "103.5 g of water and 0.6 g of dye")
    # own arithmetic: 101.91 g of water less 0.41 g that come with 0.51 g of a stock 1 in 5, and 2 g for that stock
    water, dye = answer["supplies"]
    assert (answer["obtain"]["g"], answer["lines"][0]["plan"]["stock_g"]) == ("102.01", "2.5")
    assert (water["used_g"], dye["used_g"], dye["left_g"]) == ("103.5", "0.5", "0.1")
    assert (water["stocks_g"], dye["stocks_g"]) == ("1.592", "0.398")  # own arithmetic: 2 g − 0.408 g, 0.5 g − 0.102 g
    grams = {one["material"]: one["grams"] for one in run(book, "needs", "F: 100 g")[1]["materials"]}
    assert grams == {"dye": "0.5", "water": "103.5"}  # what the batch takes and what stays behind
    _, out, _ = said(book, "weigh", "F", "--obtain", "103.5 g of water")
    assert "of water stay behind in stocks that small amounts are measured from." in " ".join(out.split())


def test_what_is_there_of_what_is_ordered_is_not_taken_off(book):
    """An order is what is to be made; what is there of it lessens only what others ask of it."""
    _, out, _ = said(book, "needs", "C-01: 100 g", "--have", "C-01: 40 g", "--have", "d: 5 g")
    told = "To be made as asked, whatever of it is on hand: Formula C-01. On hand and not needed: d."
    assert told in " ".join(out.split())
