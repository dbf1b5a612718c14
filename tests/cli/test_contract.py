"""`weigh --json` keeps its contract for every formula of both books: keys, types, and a reason for what is null."""

from __future__ import annotations

import csv
import io
import re
from datetime import date
from fractions import Fraction
from typing import Any

import pytest

from bookgen.bench import weigh_batch
from bookgen.machine.batch import CSV_COLUMNS, csv_of, weighing_json
from bookgen.machine.text import text_of
from bookgen.model import Status
from bookgen.pipeline import Checked
from bookgen.reckon.densities import grams_per_ml
from bookgen.shown.shelf import shelf_of
from tests import books_of_text
from tests.shared import checked

TODAY = date(2026, 3, 2)

NUMBER = re.compile(r"-?\d+(\.\d+|/\d+)?")
TOP = (
    "code", "title", "issue", "barred", "obtain", "start_g", "start_ml", "printed_total_g", "use_by", "makes",
    "pieces", "capsule", "dose", "soap", "composition", "carries", "label", "containers", "supplies", "lines",
    "how_sure", "make_first", "hazards", "cautions", "why", "findings",
)  # fmt: skip
LINE = (
    "phase", "material", "function", "written", "removed", "percent", "percent_of", "grams", "grams_low", "grams_high",
    "metered_g", "ml", "measure", "with", "drops", "drops_exact", "drop_error_percent", "least_g", "error_percent",
    "percent_low", "percent_high", "plan", "blend", "shown", "why",
)  # fmt: skip
FIRST = ("code", "title", "needed_g", "obtain_g", "start_g", "start_ml", "why")


def answers() -> list[Any]:
    """Every formula that is not withdrawn, as written and as `12 x 50 … + 5 %` in its own unit."""
    found = []
    for name in ("demo", "official"):
        book = checked(name)
        for formula in book.book.formulas.values():
            if formula.status is Status.WITHDRAWN:
                continue
            unit = book.reckoning.figures[book.book.key_of(formula.code)].amounts.makes.unit
            for obtain in (None, f"12 x 50 {unit} + 5 %"):
                found.append(pytest.param(book, formula.code, obtain, id=f"{name} {formula.code} {obtain}"))
    return found


def answer_of(book: Checked, code: str, obtain: str | None) -> dict[str, Any]:
    weighing = weigh_batch(book, code, obtain, TODAY)
    shelf = shelf_of(book.reckoning, book.review)
    return weighing_json(weighing, shelf, book.findings_of(weighing.figures.key))


def of_lots(book: Checked) -> tuple[str, ...]:
    """The field that stands last in a book that keeps lots, and in no other."""
    return ("lots",) if book.reckoning.lots.accounts else ()


def known_or_told(fields: dict[str, Any], why: dict[str, str]) -> None:
    """A number is a string of the machine's own grammar; a null has its reason and nothing else has one."""
    for name, value in fields.items():
        if value is None:
            assert why.get(name), f"{name} is null without a reason"
        else:
            assert isinstance(value, str), name
            assert NUMBER.fullmatch(value), f"{name}: {value}"
            assert name not in why


@pytest.mark.parametrize(("book", "code", "obtain"), answers())
def test_the_answer_keeps_the_contract(book, code, obtain):
    answer = answer_of(book, code, obtain)
    assert tuple(answer) == TOP
    assert (answer["code"], answer["barred"]) == (code, False)
    assert isinstance(answer["title"], str)
    assert isinstance(answer["issue"], int)
    assert tuple(answer["obtain"]) == tuple(answer["makes"]) == ("text", "g", "ml")
    assert answer["obtain"]["text"]
    assert all(tuple(one) == ("text", "of") and one["text"] for one in answer["hazards"] + answer["cautions"])
    why = answer["why"]
    known_or_told(
        {
            "obtain.g": answer["obtain"]["g"], "obtain.ml": answer["obtain"]["ml"],
            "makes.g": answer["makes"]["g"], "makes.ml": answer["makes"]["ml"],
            "start_g": answer["start_g"], "start_ml": answer["start_ml"],
            "printed_total_g": answer["printed_total_g"],
        },
        why,
    )  # fmt: skip
    assert why["use_by"]
    assert answer["use_by"] is None or date.fromisoformat(answer["use_by"]) >= TODAY
    assert (answer["label"] is None) == (why.get("label") == "only a cosmetic has such a list of ingredients")
    if answer["composition"] is None:
        assert answer["carries"] is None
        assert why["composition"] == why["carries"]
    else:
        shares = [Fraction(one["percent"]) for one in answer["composition"]]
        assert sum(shares) == 100
        assert all(set(one) == {"material", "percent"} for one in answer["composition"])
        for one in answer["carries"]:
            spirit = ("percent_vol",) if one["substance"] == "ethanol" else ()
            assert tuple(one) == ("substance", "percent", "percent_low", "percent_high", "percent_wv", *spirit, "from")
        spirits = [one["percent_vol"] for one in answer["carries"] if "percent_vol" in one]
        assert bool(why.pop("carries.percent_vol", "")) is (None in spirits)
        density = book.book.find(code).density
        untold = density is None and bool(answer["carries"])
        assert bool(why.pop("carries.percent_wv", "")) is untold
        known_or_told(
            {f"carries.{one['substance']}": one["percent"] for one in answer["carries"]},
            {name: reason for name, reason in why.items() if name.startswith("carries.")},
        )
        for one in answer["carries"]:
            if density is None or one["percent"] is None:  # of a range no share by volume is told
                assert one["percent_wv"] is None
            else:
                assert Fraction(one["percent_wv"]) == Fraction(one["percent"]) * grams_per_ml(density)
    if obtain is None:
        assert answer["containers"] is None
    else:
        assert answer["containers"]["full"] == 12
        assert set(answer["containers"]) == {"full", "left_g", "content_on_label"}


@pytest.mark.parametrize(("book", "code", "obtain"), answers())
def test_each_line_keeps_the_contract(book, code, obtain):
    answer = answer_of(book, code, obtain)
    for line in answer["lines"]:
        assert tuple(line) == (*LINE, *of_lots(book))
        for name in ("phase", "material", "function", "written", "shown"):
            assert isinstance(line[name], str), name
        assert line["removed"] in (None, "filtered", "strained", "pressed out", "settled")
        assert line["percent_of"] in ("w/w", "w/v", "v/v")
        assert line["measure"] in ("weigh", "drops", "dilute", "triturate", "volume", "fill", "none")
        why = line["why"]
        judged = {name: line[name] for name in ("grams", "metered_g", "least_g")}
        if line["removed"] is None:
            judged["percent"] = line["percent"]
        else:
            assert line["percent"] is None
            why = {name: reason for name, reason in why.items() if name != "percent"}
        known_or_told(judged, why)
        for name in ("grams_low", "grams_high", "ml", "drops_exact", "drop_error_percent", "error_percent"):
            assert line[name] is None or NUMBER.fullmatch(line[name]), name
        for end, beyond in (("percent_low", 0), ("percent_high", 100)):
            assert line[end] is None or NUMBER.fullmatch(line[end]), end
            assert (line[end] is None) is (line["percent_low"] is None)
            assert line[end] is None or (Fraction(line[end]) - beyond) * (1 if end == "percent_low" else -1) >= 0
        counted = line["measure"] == "drops"
        assert (line["plan"] is not None) is (line["measure"] in ("dilute", "triturate"))
        assert isinstance(line["drops"], int) or not counted
        assert line["drops"] is None or line["measure"] in ("drops", "weigh")  # counted, or beside the weight
        assert (line["drop_error_percent"] is not None) is counted
        assert isinstance(line["with"], str) is (
            line["measure"] in ("weigh", "drops", "fill", "dilute", "triturate") and bool(line["with"])
        )
        assert line["shown"]


@pytest.mark.parametrize(("book", "code", "obtain"), answers())
def test_the_printed_total_and_what_is_made_first(book, code, obtain):
    answer = answer_of(book, code, obtain)
    counted = [one["metered_g"] for one in answer["lines"] if one["removed"] is None]
    if answer["printed_total_g"] is None:
        assert None in counted
    else:
        assert sum(map(Fraction, counted)) == Fraction(answer["printed_total_g"])
    for made in answer["make_first"]:
        assert tuple(made) == (*FIRST, *of_lots(book))
        known_or_told({name: made[name] for name in FIRST[2:-1]}, made["why"])
    assert len({one["code"] for one in answer["make_first"]}) == len(answer["make_first"])


@pytest.mark.parametrize(("book", "code", "obtain"), answers())
def test_csv_says_the_same(book, code, obtain):
    answer = answer_of(book, code, obtain)
    rows = list(csv.DictReader(io.StringIO(csv_of(answer), newline=""), strict=True))
    assert [tuple(row) for row in rows] == [CSV_COLUMNS] * len(answer["lines"])
    for row, line in zip(rows, answer["lines"], strict=True):
        assert row == {name: "" if line[name] is None else str(line[name]) for name in CSV_COLUMNS}
    assert text_of(answer).endswith("}\n")


def test_without_a_balance_nothing_is_metered(tmp_path):
    """The exact grams stand; what a balance would read is not known, and why."""
    text = books_of_text.formula("F", "a: 10 %; water: to 100 g")
    book = books_of_text.write_book(tmp_path, {"F": text}, workroom="title: Without\n")
    answer = books_of_text.weigh(book, "F", "250 g")
    assert [line["grams"] for line in answer["lines"]] == ["25", "225"]
    assert [line["metered_g"] for line in answer["lines"]] == [None, None]
    assert answer["printed_total_g"] is None
    assert answer["why"]["printed_total_g"] == answer["lines"][0]["why"]["metered_g"] == "no balance is stated"


def test_a_fill_by_volume_is_shown_up_to_what_is_made_before_the_loss(tmp_path):
    """Of 750 mL made, a yield of 80 % leaves the 600 mL asked for: the lines and the mark are those of 750 mL."""
    text = books_of_text.formula("F", "a: 5 g; water: to 600 mL", "yield: 80 %")
    book = books_of_text.write_book(tmp_path, {"F": text})
    answer = books_of_text.weigh(book, "F", "600 mL")
    assert (answer["start_ml"], answer["lines"][0]["grams"]) == ("750", "6.25")
    assert answer["lines"][1]["shown"].replace("\u202f", " ") == "to 750 mL"
