"""Decisive cases, in numbers.

Own arithmetic throughout, found by hand and by a trial computation; no published check values.  Unless said: one
balance (0.01 g, 2000 g), accepted error 5 %, `water` 1 g/mL, `oil` 0.9 g/mL with drops of 0.025 g, `lactic-80` with
80 % lactic acid, `gly` 1.26 g/mL, `a` to `d` plain.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
import yaml

from .books_of_text import MATERIALS, check, column, errors, formula, run, weigh, write_book

SPLASH = """---
code: S-02
title: Shaving splash
kind: cosmetic
status: approved
use: leave-on, face, adults
makes: 100 g
{density}ingredients:
  A, warm to 40 °C:
    W-01: 45 %, base
    gly: 4 %, humectant
    lactic-80: 0.4 % as lactic acid, buffer
  B:
    b: q.s. to pH 4.8 (about 1.6 g), buffer
    water: to 100 g
storage: refrigerator, amber glass, 14 days
---
"""
FLOWER_WATER = formula("W-01", "a: 1 %; water: to 100 g")
TWO_BALANCES = (
    "balances:\n  - {name: fine, readability: 0.001 g, capacity: 20 g}\n"
    "  - {name: bench, readability: 0.1 g, capacity: 2000 g}\n"
)


def splash(folder: Path, density: str = "", **more: Any) -> Path:
    return write_book(folder, {"S-02": SPLASH.format(density=density), "W-01": FLOWER_WATER}, **more)


def one(folder: Path, ingredients: str, *keys: str) -> Path:
    return write_book(folder, {"F": formula("F", ingredients, *keys)})


def test_01_made_up_to_a_volume(tmp_path: Path) -> None:
    answer = weigh(one(tmp_path, "a: 10 g; water: to 1000 mL"), "F", "250 mL")
    assert answer["makes"]["ml"] == "1000"
    assert answer["lines"][0]["metered_g"] == "2.50"
    assert "to 250" in answer["lines"][1]["shown"]
    assert answer["lines"][1]["grams"] is None
    assert answer["printed_total_g"] is None


def test_02_bare_percent_by_volume_is_refused(tmp_path: Path) -> None:
    bare = one(tmp_path / "bare", "oil: {amount: 2 mL, left: at most 0.05 %}; water: to 1000 mL")
    assert len(errors(bare)) == 1
    written = one(tmp_path / "written", "oil: {amount: 2 mL, left: at most 0.05 % v/v}; water: to 1000 mL")
    assert errors(written) == []


def test_03_aromatic_water_with_a_processing_aid(tmp_path: Path) -> None:
    materials = {**MATERIALS, "oil": "soluble: oil", "talc": "kind: powder"}
    text = formula("F", "oil: {amount: 2 mL, left: at most 0.05 % v/v}; talc: {amount: 15 g, removed: filtered}; "
                        "water: to 1000 mL")  # fmt: skip
    answer = weigh(write_book(tmp_path, {"F": text}, materials), "F", "250 mL")
    assert answer["lines"][0]["ml"] == "0.5"
    assert answer["lines"][1]["metered_g"] == "3.75"
    assert answer["lines"][1]["removed"] == "filtered"
    assert answer["printed_total_g"] is None


def test_04_lotion_by_volume(tmp_path: Path) -> None:
    materials = dict.fromkeys(("calamine", "zinc-oxide", "bentonite", "citrate", "phenol", "glycerol"), "water: 0 %")
    text = formula("F", "calamine: 150 g; zinc-oxide: 50 g; bentonite: 30 g; citrate: 5 g; phenol: 5 mL; "
                        "glycerol: 50 mL; water: to 1000 mL")  # fmt: skip
    answer = weigh(write_book(tmp_path, {"F": text}, {**materials, "water": "water: 100 %"}), "F", "240 mL")
    assert column(answer, "grams")[:4] == ["36", "12", "7.2", "1.2"]
    assert column(answer, "ml")[4:6] == ["1.2", "12"]
    assert "to 240" in answer["lines"][6]["shown"]


def test_05_splash_at_250_g(tmp_path: Path) -> None:
    answer = weigh(splash(tmp_path), "S-02", "250 g")
    assert column(answer, "metered_g") == ["112.50", "10.00", "1.25", "4.00", "122.25"]
    assert answer["printed_total_g"] == "250"


def test_06_splash_with_two_balances(tmp_path: Path) -> None:
    answer = weigh(splash(tmp_path, workroom=TWO_BALANCES), "S-02", "250 g")
    assert answer["lines"][4]["metered_g"] == "122.3"
    assert answer["printed_total_g"] == "250.05"


def test_07_splash_from_a_scarce_stock(tmp_path: Path) -> None:
    answer = weigh(splash(tmp_path), "S-02", "40 g of W-01")
    assert answer["obtain"]["g"] == "800/9"
    assert column(answer, "metered_g") == ["40.00", "3.56", "0.44", "1.42", "43.47"]
    assert answer["printed_total_g"] == "88.89"
    assert answer["make_first"] == []


def test_08_containers_without_density_are_refused(tmp_path: Path) -> None:
    status, answer = run(splash(tmp_path), "weigh", "S-02", "--obtain", "12 x 50 mL + 5 %")
    assert status == 1
    assert answer["lines"] == []
    assert "density" in answer["why"]["lines"]


def test_09_containers_with_density_and_yield(tmp_path: Path) -> None:
    book = one(tmp_path, "a: 10 %; water: to 100 g", "density: 0.95", "yield: 95 %")
    answer = weigh(book, "F", "12 x 50 mL + 5 %")
    assert (answer["obtain"]["g"], answer["start_g"]) == ("598.5", "630")
    assert column(answer, "metered_g") == ["63.00", "567.00"]
    assert answer["containers"] == {"full": 12, "left_g": "28.5", "content_on_label": None}


def test_10_yield(tmp_path: Path) -> None:
    answer = weigh(one(tmp_path, "a: 6 g; water: to 100 g", "yield: 95 %"), "F", "200 g")
    assert answer["start_g"] == "4000/19"
    assert column(answer, "metered_g") == ["12.63", "197.90"]
    assert answer["printed_total_g"] == "210.53"


def test_11_yield_as_written(tmp_path: Path) -> None:
    answer = weigh(one(tmp_path, "a: 6 g; water: to 100 g", "yield: 95 %"), "F")
    assert (answer["obtain"]["g"], answer["start_g"]) == ("95", "100")


@pytest.mark.parametrize(
    ("extra", "keys", "start", "weights", "composition"),
    [
        pytest.param("", (), "125", ["100.00", "25.00"], {"water": "75", "gly": "25"}, id="12 lost"),
        pytest.param(", made up: yes", (), "100", ["80.00", "20.00"], {"water": "80", "gly": "20"}, id="13 made up"),
        pytest.param(
            "", ("yield: 96 %",), "3125/24", ["104.17", "26.04"], {"water": "75", "gly": "25"}, id="14 lost, with yield"
        ),
    ],
)
def test_12_to_14_evaporation(
    tmp_path: Path, extra: str, keys: tuple[str, ...], start: str, weights: list[str], composition: dict[str, str]
) -> None:
    text = f"water: {{amount: 80 g, evaporates: 20 g{extra}}}; gly: 20 g"
    answer = weigh(one(tmp_path, text, "makes: 100 g", *keys), "F", "100 g")
    assert answer["start_g"] == start
    assert column(answer, "metered_g") == weights
    assert {row["material"]: row["percent"] for row in answer["composition"]} == composition
    assert Fraction(answer["printed_total_g"]) == sum(Fraction(weight) for weight in weights)


def test_15_parts_that_do_not_add_up_to_100(tmp_path: Path) -> None:
    lines = "a: 70 parts; b: 15 parts; c: 15 parts; d: 90 parts; oil: 0.17 parts"
    answer = weigh(one(tmp_path / "shares", lines), "F")
    assert answer["lines"][0]["percent"] == "700000/19017"
    assert answer["makes"]["g"] == "100"
    weights = weigh(one(tmp_path / "weights", lines, "part: 6 g"), "F")
    assert weights["makes"]["g"] == "1141.02"
    assert column(weights, "percent") == column(answer, "percent")


def test_16_parts_beside_percent_and_grams(tmp_path: Path) -> None:
    answer = weigh(one(tmp_path, "a: 10 %; b: 5 g; c: 2 parts; d: 1 part"), "F", "200 g")
    assert column(answer, "metered_g") == ["20.00", "10.00", "113.33", "56.67"]


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        pytest.param("a: 33.3 %; b: 33.3 %; c: 33.3 %", ["99.9", "0.1"], id="17 short"),
        pytest.param("a: 60 %; b: 40 %; oil: 2 drops", ["0.05"], id="19 over"),
        pytest.param("a: 104 g; water: to 100 g", ["4"], id="20 beyond the fill"),
    ],
)
def test_17_19_20_totals_that_miss(tmp_path: Path, lines: str, words: list[str]) -> None:
    book = one(tmp_path, lines)
    (message,) = errors(book)
    assert all(word in message for word in words), message
    assert "-" not in message.split(":", 1)[1]
    assert "\N{MINUS SIGN}" not in message
    status, answer = run(book, "weigh", "F")
    assert (status, answer["barred"], answer["lines"]) == (1, True, [])


def test_18_about(tmp_path: Path) -> None:
    materials = dict.fromkeys("abcdeg", "density: 1\nwater: 0 %") | {"h": "density: 1\nwater: 0 %"}
    text = formula("F", "a: 125 g; b: 120 g; c: 560 g; d: 5 g; e: 25 mL; g: 165 mL; h: 0.2 mL", "makes: about 1000 g")
    book = write_book(tmp_path, {"F": text}, materials)
    assert weigh(book, "F")["makes"]["g"] == "1000.2"
    assert check(book) == []


def test_21_thousands_comma(tmp_path: Path) -> None:
    (finding,) = check(one(tmp_path, "a: 1,000 g"))
    assert finding["severity"] == "error"
    assert "1.000" in finding["message"]
    assert "1000" in finding["message"]


def test_22_comma_in_braces(tmp_path: Path) -> None:
    book = one(tmp_path, "a: {amount: 0,2 g}")
    (finding,) = check(book)
    line = (book / "formulas" / "F.md").read_text(encoding="utf-8").splitlines()[finding["line"] - 1]
    assert line[finding["column"] - 1] == ","


def test_23_drops_that_do_not_fit(tmp_path: Path) -> None:
    book = one(tmp_path, "oil: 2 drops; a: to 100 g")
    line = weigh(book, "F", "105 g")["lines"][0]
    assert (line["drops"], line["drop_error_percent"]) == (2, "-100/21")
    line = weigh(book, "F", "130 g")["lines"][0]
    # 2.6 drops: 3 of 0.017 to 0.033 g may be 0.1 g, 0.07 g on the balance at most 0.08 g, so that it is weighed
    assert (line["measure"], line["metered_g"], line["error_percent"]) == ("weigh", "0.07", "300/13")
    assert line["why"]["measure"] == "150 g: 3 drops"


def test_24_drops_end_at_thirty(tmp_path: Path) -> None:
    book = one(tmp_path, "oil: 2 drops; a: to 100 g")
    assert weigh(book, "F", "1.5 kg")["lines"][0]["drops"] == 30
    line = weigh(book, "F", "1.6 kg")["lines"][0]
    assert (line["measure"], line["metered_g"]) == ("weigh", "0.80")


def test_25_calibrated_dropper(tmp_path: Path) -> None:
    calibrated = "drops:\n  dropper:\n    - 20 drops 0.52 g\n    - 20 drops 0.48 g\n    - 10 drops 0.26 g"
    book = write_book(tmp_path, {"F": formula("F", "oil: 3 drops; a: to 100 g")}, {**MATERIALS, "oil": calibrated})
    answer = weigh(book, "F", "100 g")
    oil, fill = answer["lines"]
    # each weighing a step of 0.01 g off: a drop of 0.47 g ÷ 20 to 0.27 g ÷ 10
    assert (oil["percent"], oil["grams_low"], oil["grams_high"]) == ("0.0756", "0.0705", "0.081")
    assert fill["metered_g"] == "99.92"


def test_26_strength_through_an_intermediate(tmp_path: Path) -> None:
    book = write_book(tmp_path, {
        "I1": formula("I1", "lactic-80: 50 %; water: to 100 g", "yield: 80 %"),
        "F": formula("F", "I1: 0.4 % as lactic acid; water: to 100 g"),
    })  # fmt: skip
    answer = weigh(book, "F", "250 g")
    assert (answer["lines"][0]["percent"], answer["lines"][0]["metered_g"]) == ("1", "2.50")
    assert answer["make_first"][0]["obtain_g"] == "2.5"
    assert answer["make_first"][0]["start_g"] == "3.125"


def test_27_intermediates_of_intermediates(tmp_path: Path) -> None:
    book = write_book(tmp_path, {
        "D1": formula("D1", "gly: 30 %; a: to 100 g", "yield: 80 %"),
        "D2": formula("D2", "D1: 50 %; a: to 100 g", "yield: 90 %"),
        "D3": formula("D3", "D1: 20 %; a: to 100 g"),
        "D4": formula("D4", "D2: 40 %; D3: 30 %; D1: 10 %; water: to 100 g", "yield: 95 %"),
    })  # fmt: skip
    answer = weigh(book, "D4", "100 g")
    shares = {row["material"]: row["percent"] for row in answer["composition"]}
    assert shares["gly"] == "10.8"
    assert column(answer, "metered_g")[:2] == ["42.11", "31.58"]
    first = {made["code"]: made for made in answer["make_first"]}
    assert list(first)[-1] == "D1"
    assert (first["D1"]["needed_g"], first["D1"]["obtain_g"], first["D1"]["start_g"]) == ("6880/171", "40.24", "50.3")


def test_28_stock_inside_intermediates(tmp_path: Path) -> None:
    book = write_book(tmp_path, {
        "I1": formula("I1", "a: 10 %; b: to 100 g"),
        "I2": formula("I2", "a: 20 %; b: to 100 g", "yield: 50 %"),
        "F": formula("F", "I1: 50 %; I2: 50 %"),
    })  # fmt: skip
    assert weigh(book, "F", "40 g of a")["obtain"]["g"] == "160"


@pytest.mark.parametrize(("density", "start"), [((), None), (("density: 1.02",), "1000/17")])
def test_29_intermediate_by_volume(tmp_path: Path, density: tuple[str, ...], start: str | None) -> None:
    book = write_book(tmp_path, {
        "I1": formula("I1", "a: 10 g; water: to 1000 mL", *density),
        "F": formula("F", "I1: 60 %; b: to 100 g"),
    })  # fmt: skip
    answer = weigh(book, "F", "100 g")
    assert answer["lines"][0]["metered_g"] == "60.00"
    assert answer["make_first"][0]["start_ml"] == start
    assert [one["severity"] for one in check(book)] == ([] if density else ["query"])


def test_30_a_cycle_is_one_error(tmp_path: Path) -> None:
    book = write_book(tmp_path, {
        "X": formula("X", "Y: 50 %; a: to 100 g"),
        "Y": formula("Y", "X: 50 %; a: to 100 g"),
        "Z": formula("Z", "X: 50 %; a: to 100 g"),
    })  # fmt: skip
    (finding,) = check(book)
    assert finding["severity"] == "error"
    assert "X" in finding["message"]
    assert "Y" in finding["message"]
    assert run(book, "weigh", "Z")[0] == 1


WORKED = {
    "100 g": [("2", "0.049"), ("2", "0.050"), (None, "4.000"), (None, "60.0"), (None, "35.9"), "99.999"],
    "130 g": [(None, "0.064"), (None, "0.065"), (None, "5.200"), (None, "78.0"), (None, "46.7"), "130.029"],
    "600 g": [("12", "0.294"), ("12", "0.300"), (None, "24.0"), (None, "360.0"), (None, "215.4"), "599.994"],
}


@pytest.mark.parametrize("batch", WORKED)
def test_two_balances_worked(tmp_path: Path, batch: str) -> None:
    materials = yaml.safe_load("""
        rose-oil: "drops:\\n  dropper:\\n    - 20 drops 0.52 g\\n    - 20 drops 0.46 g"
        peppermint-oil: "drops:\\n  dropper: 0.025 g"
        glycerol: "water: 0 %"
        mineral-oil: "water: 0 %"
        almond-oil: "water: 0 %"
    """)
    lines = "rose-oil: 2 drops; peppermint-oil: 2 drops; glycerol: 4 %; mineral-oil: 60 %; almond-oil: to 100 g"
    answer = weigh(write_book(tmp_path, {"F": formula("F", lines)}, materials, TWO_BALANCES), "F", batch)
    *expected, total = WORKED[batch]
    found = [(None if line["drops"] is None else str(line["drops"]), line["metered_g"]) for line in answer["lines"]]
    assert found == expected
    assert answer["printed_total_g"] == total


# ── The modest bench ──────────────────────────────────────────────────────────────────────────────────────────────────

KITCHEN = "balances:\n  - {name: kitchen scale, readability: 1 g, capacity: 5000 g}\ndroppers: [dropper]\n"
"""One balance of 1 g; `w` is water, `oil` weighs 0.9 g/mL and 0.03 g a drop, `a`, `b` and `c` are solids."""
AT_HOME = {
    "w": "density: 1\nwater: 100 %",
    "oil": "density: 0.9\ndrops:\n  dropper: 0.03 g (0.02 to 0.04 g)\nsoluble: oil",
    "a": "water: 0 %",
    "b": "water: 0 %",
    "c": "water: 0 %",
}


def home(folder: Path, ingredients: str, *keys: str, workroom: str = KITCHEN) -> Path:
    return write_book(folder, {"F": formula("F", ingredients, *keys)}, AT_HOME, workroom)


FINE = "balances:\n  - {name: fine balance, readability: 0.001 g, capacity: 200 g}\n"


@pytest.mark.parametrize(("asked", "grams"), [("twice", "200 g"), ("2x", "200 g"), ("half", "50 g")])
def test_38_twice_and_half(tmp_path: Path, asked: str, grams: str) -> None:
    book = home(tmp_path, "a: 3 g; b: 7 g; c: 9 g; w: to 100 g")
    by_word, by_weight = weigh(book, "F", asked), weigh(book, "F", grams)
    assert by_word["obtain"]["text"] in ("2 × as written", "0.5 × as written")
    for answer in (by_word, by_weight):
        del answer["obtain"]["text"]
    assert by_word == by_weight


def test_38_twice_doubles_every_weight_of_a_formula_with_a_yield(tmp_path: Path) -> None:
    answer = weigh(one(tmp_path, "a: 6 g; water: to 100 g", "yield: 95 %"), "F", "twice")
    assert (answer["obtain"]["g"], answer["start_g"]) == ("190", "200")
    assert column(answer, "metered_g") == ["12.00", "188.00"]


def test_38_a_list_takes_twice_as_much(tmp_path: Path) -> None:
    book = one(tmp_path, "a: 10 g; water: to 100 g")
    status, answer = run(book, "needs", "F: twice")
    assert status == 0
    assert answer["orders"][0]["obtain_g"] == "200"


def test_39_in_a_comma_book_a_comma_is_the_decimal_sign(tmp_path: Path) -> None:
    book = home(tmp_path, "a: '2,125 g'; w: to 100 g", workroom=FINE + "decimal: comma\n")
    assert errors(book) == []
    answer = weigh(book, "F", "12,5 g")
    assert column(answer, "metered_g")[0] == "0.266"
    assert weigh(book, "F", "12,500 g")["obtain"]["g"] == "12.5"
    status, answer = run(book, "weigh", "F", "--obtain", "1.000 g")
    assert status == 1
    assert "write 1,000 or 1000." in answer["why"]["lines"]


def test_40_in_a_point_book_both_readings_are_named_and_taken(tmp_path: Path) -> None:
    (told,) = errors(home(tmp_path / "typed", "a: 2,125 g; w: to 5000 g", workroom=FINE))
    assert "2,125 can be read as 2.125 or as 2125: write 2.125 or 2125." in told
    for grams in ("2.125", "2125"):
        book = home(tmp_path / grams, f"a: {grams} g; w: to 5000 g", workroom=FINE)
        assert errors(book) == []
        assert weigh(book, "F")["lines"][0]["grams"] == grams


def test_41_what_nothing_resembles_is_weighed_and_asked_about(tmp_path: Path) -> None:
    book = home(tmp_path, "syrop: 5 %; w: to 100 g")
    answer = weigh(book, "F", "200 g")
    assert column(answer, "grams") == ["10", "190"]
    assert errors(book) == []
    assert [
        one["severity"] for one in check(book) if "syrop" in one["message"] and "no file yet" in one["message"]
    ] == ["query"]
    assert (answer["composition"], answer["use_by"]) == (None, None)
    assert "syrop" in answer["why"]["composition"]


def test_42_what_a_known_name_is_close_to_is_an_error(tmp_path: Path) -> None:
    materials = {**AT_HOME, "glycerol": "density: 1.26"}
    book = write_book(tmp_path, {"F": formula("F", "glycerl: 5 %; w: to 100 g")}, materials, KITCHEN)
    assert [told for told in errors(book) if "Did you mean glycerol?" in told] == errors(book) != []
    assert run(book, "weigh", "F")[0] == 1


KITCHEN_MATERIALS = {
    **MATERIALS,
    "oil": "density: 0.9\nkind: liquid\ndrops:\n  dropper: 0.03 g (0.02 to 0.04 g)",
    "rose": "density: 0.9\nkind: liquid",
    "talc": "kind: powder",
    "w": "kind: liquid\nwater: 100 %",
}


def kitchen(folder: Path, ingredients: str, workroom: str = KITCHEN) -> Path:
    return write_book(folder, {"F": formula("F", ingredients)}, KITCHEN_MATERIALS, workroom)


def outward(share: Fraction) -> str:
    """Return a percentage of two significant figures, rounded up; own arithmetic for this page alone."""
    return str(-(-share.numerator * 100 // share.denominator))


def test_31_weighed_coarsely_and_never_hidden(tmp_path: Path) -> None:
    book = kitchen(tmp_path, "a: 3 g; b: 7 g; c: 9 g; w: to 100 g")
    answer = weigh(book, "F")
    assert column(answer, "metered_g") == ["3", "7", "9", "81"]
    assert answer["printed_total_g"] == "100"
    assert column(answer, "measure") == ["weigh", "weigh", "weigh", "fill"]
    assert column(answer, "error_percent")[:3] == ["100/3", "100/7", "100/9"]
    assert [one.replace("\u202f", " ") for one in column(answer, "shown")[:3]] == [
        "3 g, to within 34 %", "7 g, to within 15 %", "9 g, to within 12 %",
    ]  # fmt: skip
    assert [outward(Fraction(1, grams)) for grams in (3, 7, 9)] == ["34", "15", "12"]
    (query,) = check(book)
    assert query["severity"] == "query"
    for words in ("3 g of a to within 34 %", "7 g of b to within 15 %", "9 g of c to within 12 %", "finer balance"):
        assert words in query["message"]


def test_32_drops_have_a_weight_on_a_coarse_scale(tmp_path: Path) -> None:
    answer = weigh(kitchen(tmp_path, "oil: 0.27 g; w: to 100 g"), "F")
    assert (answer["lines"][0]["drops"], answer["lines"][0]["metered_g"]) == (9, "0.27")
    assert answer["printed_total_g"] == "100.27"


def test_33_a_liquid_without_a_drop_mass_is_about_so_many_drops(tmp_path: Path) -> None:
    book = kitchen(tmp_path, "rose: 0.2 g; w: to 100 g")
    answer = weigh(book, "F")
    rose = answer["lines"][0]
    assert (rose["measure"], rose["metered_g"], rose["grams"]) == ("none", None, "0.2")
    assert answer["printed_total_g"] == "100"
    assert "0.2 g of rose" in answer["why"]["printed_total_g"].replace("\u202f", " ")
    (query,) = check(book)
    ways = query["message"].partition("); ")[2]
    assert ways.startswith("count drops: weigh 20 of them once with `bookgen drops`")
    assert "0.2 g is about 7 to 10 drops at 0.02 to 0.03 g a drop; common practice, no source" in ways


def test_34_what_is_taken_out_again_is_not_judged(tmp_path: Path) -> None:
    book = kitchen(tmp_path, "talc: {amount: 3 g, removed: filtered}; w: to 100 g")
    answer = weigh(book, "F")
    assert (answer["lines"][0]["measure"], answer["lines"][0]["metered_g"]) == ("weigh", "3")
    assert answer["how_sure"]["doubtful"] == []
    assert check(book) == []


def test_35_a_dozen_drops_are_not_nothing(tmp_path: Path) -> None:
    line = weigh(kitchen(tmp_path, "oil: 12 drops; w: to 100 g"), "F")["lines"][0]
    assert (line["measure"], line["drops"], line["metered_g"]) == ("drops", 12, "0.36")


def test_36_a_balance_that_is_surer_than_the_dropper_weighs(tmp_path: Path) -> None:
    fine = "balances:\n  - {name: fine, readability: 0.001 g, capacity: 200 g}\n"
    line = weigh(kitchen(tmp_path, "rose: 20 drops (0.5 g); w: to 100 g", fine), "F")["lines"][0]
    assert (line["measure"], line["metered_g"], line["drops"]) == ("weigh", "0.500", 20)
    assert line["shown"].replace("\u202f", " ").replace("\u00a0", " ") == "0.500 g, 20 drops"
    assert line["with"] == "fine"


def test_37_less_than_the_balance_shows_keeps_its_weight(tmp_path: Path) -> None:
    book = kitchen(tmp_path, "a: 0.3 g; w: to 100 g")
    answer = weigh(book, "F")
    assert (answer["lines"][0]["metered_g"], answer["lines"][0]["grams"]) == (None, "0.3")
    assert "less than the balance shows" in answer["lines"][0]["shown"]
    (query,) = check(book)
    assert "make " not in query["message"]
    assert "5 %" in query["message"]
    assert "trituration" in query["message"]


def test_43_portions_where_a_coarser_balance_is_not_within_the_error(tmp_path: Path) -> None:
    room = (
        "balances:\n  - {name: fine, readability: 0.001 g, capacity: 20 g}\n"
        "  - {name: kitchen, readability: 1 g, capacity: 5000 g}\naccepted error: 2 %\n"
    )
    book = kitchen(tmp_path, "a: 30 %; w: to 100 g", room)
    line = weigh(book, "F")["lines"][0]
    assert (line["measure"], line["with"], line["metered_g"]) == ("weigh", "fine", "30.000")
    assert line["error_percent"] == "1/150"  # two weighings, a step of 0.001 g each
    assert check(book) == []


def test_44_the_verdict_names_the_fill(tmp_path: Path) -> None:
    names = [f"m{number}" for number in range(11)]
    materials = {**KITCHEN_MATERIALS, **dict.fromkeys(names, "water: 0 %")}
    text = formula("F", "; ".join([*(f"{name}: 9.045 %" for name in names), "oil: to 100 g"]))
    one = weigh(write_book(tmp_path / "one", {"F": text}, materials), "F", "50 g")
    assert (one["lines"][-1]["grams"], one["lines"][-1]["metered_g"]) == ("0.2525", "0.28")
    assert "oil" in one["how_sure"]["doubtful"]
    room = (
        "balances:\n  - {name: fine, readability: 0.01 g, capacity: 20 g}\n"
        "  - {name: kitchen, readability: 1 g, capacity: 5000 g}\n"
    )
    text = formula("F", "a: 22.6 g; b: 22.6 g; c: 22.6 g; w: to 70 g")
    two = weigh(write_book(tmp_path / "two", {"F": text}, materials, room), "F")
    assert (two["lines"][-1]["grams"], two["lines"][-1]["metered_g"]) == ("2.2", "1.00")
    assert "w" in two["how_sure"]["doubtful"]
    for line in (*one["lines"], *two["lines"]):
        low, high = Fraction(line["percent_low"]), Fraction(line["percent_high"])
        assert low <= Fraction(line["percent"]) <= high


@pytest.mark.parametrize(("front", "grams"), [("water: 100 %", "99.82"), ("water: 100 %\ndensity: 1", "100.00")])
def test_water_without_a_density_has_that_of_water(tmp_path: Path, front: str, grams: str) -> None:
    book = write_book(tmp_path, {"F": formula("F", "a: 1 g; water: 100 mL")}, {**MATERIALS, "water": front})
    assert column(weigh(book, "F"), "metered_g") == ["1.00", grams]
