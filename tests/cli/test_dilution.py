"""`bookgen dilute` and `bookgen mix`: the answers as printed, the JSON contract, and a sentence for each bad wish."""

from __future__ import annotations

import json
import re
import shlex
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from bookgen.cli import main

from ..tables import table

NUMBER = re.compile(r"-?\d+(\.\d+|/\d+)?")
TOP = (
    "asked", "by", "at_c", "want", "lines", "total_g", "metered_total_g", "total_ml", "make_up_to_ml",
    "contraction_ml", "expansion_ml", "obtain_at_least_g", "gives", "metered_gives", "one_of_many", "ratio", "remarks",
    "cautions", "why", "findings", "note",
)  # fmt: skip
LINE = (
    "name", "strength", "measure", "grams", "metered_g", "ml", "least_g", "with", "portions", "too_small", "shown",
    "why",
)  # fmt: skip
STRENGTH = ("text", "percent", "of", "percent_mass", "percent_vol")

TWO_BALANCES = (
    "balances:\n"
    "  - {name: fine, readability: 0.01 g, capacity: 200 g}\n"
    "  - {name: kitchen, readability: 1 g, capacity: 2000 g}\n"
)


@pytest.fixture
def nowhere(tmp_path, monkeypatch) -> Path:
    """A folder without a book, in which the commands run."""
    folder: Path = tmp_path / "nowhere"
    folder.mkdir()
    monkeypatch.chdir(folder)
    return folder


@pytest.fixture
def workroom(tmp_path, monkeypatch) -> Path:
    """A book with two balances, in which the commands run."""
    folder: Path = tmp_path / "book"
    (folder / "formulas").mkdir(parents=True)
    (folder / "formulas" / "workroom.yaml").write_text(TWO_BALANCES, encoding="utf-8")
    monkeypatch.chdir(folder)
    return folder


def run(line: str) -> Result:
    result = CliRunner(env={"COLUMNS": "110"}).invoke(main, shlex.split(line))
    if not isinstance(result.exception, SystemExit | None):
        raise result.exception
    return result


def text_of(line: str) -> str:
    """Return the answer in plain spaces, without the line on law and licensed practice that ends every one."""
    result = run(line)
    assert (result.exit_code, result.stderr) == (0, "")
    answer, law = result.stdout.rsplit("\n\n", 1)
    assert law == "Local law and licensed practice decide whether it may be made, used or passed on.\n"
    return f"{answer}\n"


def json_of(line: str) -> dict[str, Any]:
    result = run(f"{line} --json")
    assert (result.exit_code, result.stderr) == (0, "")
    answer: dict[str, Any] = json.loads(result.stdout)
    return answer


# ── As printed ────────────────────────────────────────────────────────────────────────────────────────────────────

FLAMMABLE = """\
Ethanol is highly flammable: no flame, no hot plate, fresh air. Local law and the duty on it decide what may
  be made, kept or passed on.
"""
CAUSTIC = """\
If it is a strong acid or alkali: it goes slowly into the water, never water onto it; goggles and gloves, and
  keep it from eyes and broken skin.
"""
UNMETERED = "No balance is stated, so the weights are not rounded to the steps of one.\n"

WITHOUT_A_BOOK = {
    'dilute 96%vol to 70%vol --obtain "100 g"': f"""\
Dilute 96 %vol to 70 %vol, to obtain 100 g

  ethanol 96 %vol   66.4825 g   82.34 mL
  water             33.5175 g   33.58 mL
  together         100.0000 g  112.92 mL

96 %vol is 93.84 % w/w; 70 %vol is 62.39 % w/w (%vol at 20 °C, % w/w by weight).
Volumes at 20 °C; mixing makes them shrink by 2.99 mL, so weigh, and never reckon the water by subtraction.
{UNMETERED}
{FLAMMABLE}""",
    'dilute 20%vol to 5%vol --at "25 °C"': f"""\
Dilute 20 %vol to 5 %vol, to obtain 100 g (no amount is asked for)

  ethanol 20 %vol   24.5586 g   25.28 mL
  water             75.4414 g   75.67 mL
  together         100.0000 g  101.02 mL

20 %vol is 16.21 % w/w; 5 %vol is 3.982 % w/w (%vol at 20 °C, % w/w by weight).
Volumes at 25 °C; mixing makes them grow by less than 0.1 mL, so weigh, and never reckon the water by
  subtraction.
{UNMETERED}
{FLAMMABLE}""",
    'dilute "0.2 % w/v" to "1 in 5000 w/v" --from "125 mL"': """\
Dilute 125 mL of 0.2 % w/v to 1 in 5000 w/v

  0.2 % w/v      125 mL
  water      to 1250 mL
  together      1250 mL

0.02 % w/v is 1 in 5000, or 200 ppm.
Measure, then make up to the mark with the water: volumes do not add up exactly, so the water is not measured.
""",
    "mix 50% 20% 5% to 10%": f"""\
Mix 50 %, 20 % and 5 % to 10 %, to obtain 100 g (no amount is asked for)

  50 %        8.3333 g
  20 %        8.3333 g
  5 %        83.3333 g
  together  100.0000 g

Bare figures are taken by weight (w/w); for ethanol by volume write 96%vol.
Each stronger one is paired with each weaker one in parts 1 : 1 : 10; other mixtures give 10 % as well.
  Checked by alligation medial.
{UNMETERED}""",
    'mix "50 mL of 100%vol" "50 mL of water"': f"""\
Mix 50 mL of 100 %vol and 50 mL of water

  ethanol 100 %vol  39.4620 g  50.000 mL
  water             49.9101 g  50.000 mL
  together          89.3720 g  96.463 mL

Gives 51.83 %vol, 44.15 % w/w.
100 %vol is 100.0 % w/w (%vol at 20 °C, % w/w by weight).
Volumes at 20 °C; mixing makes them shrink by 3.54 mL, so weigh, and never reckon the water by subtraction.
{UNMETERED}
{FLAMMABLE}""",
    'mix "20 mL of 5% v/v" "30 mL of 2% v/v"': """\
Mix 20 mL of 5 % v/v and 30 mL of 2 % v/v

  5 % v/v   20 mL
  2 % v/v   30 mL
  together  50 mL

Gives 3.2 % v/v.
The volumes are taken to add up; measured, they may differ a little.
If this is ethanol, write %vol: it shrinks with water, and the answer is then by weight.
""",
}

ON_BALANCES = {
    'dilute 96%vol to 70%vol --obtain "1 kg"': f"""\
Dilute 96 %vol to 70 %vol, to obtain 1 kg

  ethanol 96 %vol   665 g   823.4 mL  kitchen balance
  water             335 g   335.8 mL  kitchen balance
  together         1000 g  1129.2 mL

96 %vol is 93.84 % w/w; 70 %vol is 62.39 % w/w (%vol at 20 °C, % w/w by weight).
Volumes at 20 °C; mixing makes them shrink by 29.95 mL, so weigh, and never reckon the water by subtraction.
As weighed: 70.015 %vol, 62.40 % w/w.

{FLAMMABLE}""",
    'dilute "1 in 10" to "1 in 2000" --obtain "2 g"': f"""\
Dilute 1 in 10 to 1 in 2000, to obtain 2 g

  1 in 10   0.01 g  too little for the fine balance
  water     1.99 g  fine balance
  together  2.00 g

Bare figures are taken by weight (w/w); for ethanol by volume write 96%vol.
0.05 % w/w is 1 in 2000, or 500 ppm.
1 in 10: less than 0.2 g, the least that the fine balance weighs within the accepted error.
Make 40 g or more of it, or dilute in two steps, by way of a weaker stock.

{CAUSTIC}""",
    'mix "240 g of 0.25%" 2.5% to 1%': """\
Mix 240 g of 0.25 % and 2.5 % to 1 %

  0.25 %    240 g     kitchen balance
  2.5 %     120.00 g  fine balance
  together  360.00 g

Bare figures are taken by weight (w/w); for ethanol by volume write 96%vol.
As weighed: 1 %.
""",
    'dilute 5% to 4.99% --with 1% --obtain "5000 g"': """\
Dilute 5 % to 4.99 % with 1 %, to obtain 5000 g

  5 %        4988 g   kitchen balance, in 3 portions
  1 %       12.00 g   fine balance
  together  5000.00 g

Bare figures are taken by weight (w/w); for ethanol by volume write 96%vol.
As weighed: 4.9904 %.
""",
}


def squeezed(text: str) -> str:
    """Return the text with each run of spaces inside a line as one: columns are judged by a test of their own."""
    return re.sub(r"(?<=\S) +", " ", text)


@pytest.mark.parametrize("line", WITHOUT_A_BOOK)
def test_the_answer_without_a_book(nowhere, line):
    assert text_of(line) == WITHOUT_A_BOOK[line]


@pytest.mark.parametrize("line", ON_BALANCES)
def test_the_answer_for_the_balances_of_a_book(workroom, line):
    assert squeezed(text_of(line)) == squeezed(ON_BALANCES[line])


def test_columns_line_up(workroom):
    rows = text_of('dilute 96%vol to 70%vol --obtain "100 g"').split("\n\n")[1].splitlines()
    assert len({row.index(" g ") for row in rows}) == len({row.index(" mL") for row in rows}) == 1


def test_quotes_are_not_needed(nowhere):
    assert text_of("dilute 96 %vol to 70 % w/w") == text_of('dilute "96 %vol" to "70 % w/w"')
    plain = text_of("mix 240 g of 0.25 % and 1 in 40 to 1 %")
    assert plain == text_of('mix "240 g of 0.25 %", "1 in 40" to "1 %"')


def test_a_lot_may_carry_what_there_is_of_it(nowhere):
    assert json_of('dilute "200 g of 96%vol" to 70%vol') == json_of('dilute 96%vol to 70%vol --from "200 g"')


def test_a_book_with_a_decimal_comma(workroom):
    room = workroom / "formulas" / "workroom.yaml"
    room.write_text(TWO_BALANCES + "decimal: comma\n", encoding="utf-8")
    answer = text_of('mix 2,5% 0,25% to 1,5% --obtain "10,5 g"')
    assert "Mix 2,5 % and 0,25 % to 1,5 %, to obtain 10,5 g" in answer
    assert "5,83 g" in answer
    assert not re.search(r"\d\.\d", answer)
    assert "2.500 can be read as" in run("mix 2.500% 1% to 2%").stderr
    assert json_of('mix 2,5% 0,25% to 1,5% --obtain "10,5 g"')["lines"][0]["metered_g"] == "5.83"


# ── Published figures ─────────────────────────────────────────────────────────────────────────────────────────────


def near(found: str, wanted: str, within: str) -> bool:
    return abs(Fraction(found) - Fraction(wanted)) <= Fraction(within)


def test_spirit_by_weight_and_by_volume(nowhere):
    """T05-20 to T05-23, by OIML R 22 (Council Directive 76/766/EEC, Annex, section 4)."""
    strong, water = json_of('dilute 96%vol to 70%vol --obtain "100 g"')["lines"]
    assert near(strong["grams"], "66.4825", "0.00005")
    assert near(water["grams"], "33.5175", "0.00005")

    used = json_of('dilute 96%vol to 70%vol --from "100 mL"')
    assert near(used["lines"][1]["grams"], "40.706", "0.001")
    assert near(used["lines"][1]["ml"], "40.78", "0.005")
    assert near(used["total_ml"], "137.143", "0.0005")
    assert near(used["contraction_ml"], "3.637", "0.001")

    litre = json_of('dilute 96%vol to 70%vol --obtain "1000 mL"')
    assert near(litre["total_ml"], "1000", "0.000001")
    for line, key, wanted in ((0, "ml", "729.167"), (0, "grams", "588.743"), (1, "grams", "296.818")):
        assert near(litre["lines"][line][key], wanted, "0.001")
    assert near(litre["lines"][1]["ml"], "297.353", "0.002")

    equal = json_of('mix "50 mL of 100%vol" "50 mL of water"')
    assert near(equal["total_ml"], "96.463", "0.0005")
    assert near(equal["gives"]["percent_mass"], "44.155", "0.0005")
    assert near(equal["gives"]["percent_vol"], "51.834", "0.0005")


def test_the_temperature_moves_volumes_and_no_weight(nowhere):
    cold, warm = (json_of(f"dilute 96%vol to 70%vol --at '{at} °C'") for at in (10, 30))
    for one, other in zip(cold["lines"], warm["lines"], strict=True):
        assert one["grams"] == other["grams"]
        assert Fraction(one["ml"]) < Fraction(other["ml"])
    assert (cold["at_c"], warm["at_c"]) == ("10", "30")
    assert cold["want"] == warm["want"]


# ── JSON ──────────────────────────────────────────────────────────────────────────────────────────────────────────

ASKED = [
    'dilute 96%vol to 70%vol --obtain "500 g"',
    'dilute 96%vol to 70%vol --from "200 g" --with 20%vol --at 25',
    'dilute 40% to 5% --obtain "12 x 50 g + 5 %"',
    'dilute "40 % w/v" to "1 in 20 w/v" --obtain "500 mL"',
    'dilute "1 in 10" to "50 ppm" --obtain "1 g"',
    "mix 50% 20% 5% to 10%",
    'mix "240 g of 0.25%" "120 g of 2.5%"',
    'mix "10 mL of 5% v/v" 1% v/v to 3% v/v',
    'mix 96%vol "30 % w/w" water to 40%vol --obtain "1 L"',
]


def known_or_told(fields: dict[str, Any], why: dict[str, str], names: tuple[str, ...]) -> None:
    for name in names:
        if fields[name] is None:
            assert why.get(name), f"{name} is null without a reason"
        else:
            assert NUMBER.fullmatch(fields[name]), (name, fields[name])
            assert name not in why


@pytest.mark.parametrize("line", ASKED)
@pytest.mark.parametrize("place", ["nowhere", "workroom"])
def test_the_json_keeps_its_contract(request, place, line):
    request.getfixturevalue(place)
    answer = json_of(line)
    assert tuple(answer) == TOP
    amounts = ("total_g", "metered_total_g", "total_ml", "make_up_to_ml", "contraction_ml", "expansion_ml")
    known_or_told(answer, answer["why"], (*amounts, "obtain_at_least_g", "at_c"))
    assert (answer["want"] is None) == ("want" in answer["why"])
    assert (answer["metered_gives"] is None) == ("metered_gives" in answer["why"])
    given = [answer["gives"], *([answer["metered_gives"]] if answer["metered_gives"] else [])]
    strengths = [line["strength"] for line in answer["lines"]] + ([answer["want"]] if answer["want"] else [])
    for one in (*given, *strengths):
        assert NUMBER.fullmatch(one["percent"])
        nulls = {name for name in ("percent_mass", "percent_vol") if one[name] is None}
        assert nulls == {"percent_mass", "percent_vol"} & answer["why"].keys()
    for one in strengths:
        assert tuple(one) == STRENGTH
        assert one["of"] in {"w/w", "w/v", "v/v", "vol"}
    for one in answer["lines"]:
        assert tuple(one) == LINE
        known_or_told(one, one["why"], ("grams", "metered_g", "ml", "least_g"))
        assert (one["with"] is None) == bool(one["why"].get("with"))
        assert one["measure"] in {"weigh", "none", "volume", "fill"}
        assert isinstance(one["portions"], int)
        assert one["shown"]
    if answer["total_g"] is not None:
        assert sum(Fraction(one["grams"]) for one in answer["lines"]) == Fraction(answer["total_g"])
    if answer["metered_total_g"] is not None:
        assert sum(Fraction(one["metered_g"]) for one in answer["lines"]) == Fraction(answer["metered_total_g"])


def test_a_workroom_that_cannot_be_read_is_said(workroom):
    (workroom / "formulas" / "workroom.yaml").write_text("balances:\n  - {name: fine, readability: 5}\n", "utf-8")
    result = run("dilute 40% to 5%")
    assert (result.exit_code, result.stdout) == (1, "")
    assert result.stderr.startswith("Put formulas/workroom.yaml right first; balances and decimal sign are not known.")
    answer = run("mix 5% 2% to 3% --json")
    assert answer.exit_code == 1
    told = json.loads(answer.stdout)
    assert told["lines"] == []
    assert told["why"]["lines"].startswith("Put formulas/workroom.yaml right first")
    assert {one["path"] for one in told["findings"]} == {"formulas/workroom.yaml"}


def test_a_book_is_used_where_it_is_named(workroom, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert json_of("dilute 40% to 5%")["lines"][0]["with"] is None
    assert json_of(f"dilute 40% to 5% --book {workroom}")["lines"][0]["with"] == "fine"
    result = run(f"dilute 40% to 5% --book {tmp_path}")
    assert result.exit_code == 2
    assert "is not a book, as it has no folder formulas/: leave --book out to reckon without a book." in result.stderr


# ── What cannot be ────────────────────────────────────────────────────────────────────────────────────────────────

CASES = Path(__file__).with_name("refused_dilutions.yaml")
REFUSED: dict[str, str] = table(CASES)


def test_no_case_is_written_twice():
    assert len(REFUSED) == len(re.findall(r"^'", CASES.read_text(encoding="utf-8"), re.MULTILINE)) >= 40


@pytest.mark.parametrize("line", REFUSED)
def test_a_bad_wish_is_answered_in_a_sentence(nowhere, line):
    for more in ("", " --json"):
        result = run(line + more)
        assert (result.exit_code, result.stdout) == (2, "")
        said = result.stderr.splitlines()
        assert said[-1] == f"Error: {REFUSED[line]}"


def test_the_advice_follows_a_part_onto_the_balance_that_holds_it(tmp_path):
    """20.7 g of water in 70.7 g come from the fine balance, which holds 20 g, onto one that weighs 50 g and more."""
    (tmp_path / "formulas").mkdir()
    (tmp_path / "formulas" / "workroom.yaml").write_text(
        "balances:\n  - {name: fine, readability: 0.02 g, capacity: 20 g}\n"
        "  - {name: bench, readability: 0.5 g, capacity: 200 g}\naccepted error: 1 %\n"
    )
    text = text_of(f'dilute "99 % w/w" to "70 % w/w" --obtain "33.3 g" --book {tmp_path}')
    assert "Make 170.7 g or more of it" in text  # 50 g × 99 ÷ 29
    assert "As weighed" not in text


def test_what_is_too_little_to_weigh_adds_up_to_what_is_asked(tmp_path):
    (tmp_path / "formulas").mkdir()
    (tmp_path / "formulas" / "workroom.yaml").write_text("balances:\n  - {name: kitchen, readability: 1 g}\n")
    text = text_of(f'dilute 96%vol to 70%vol --obtain "0.3 g" --book {tmp_path}')
    assert "  together            0.3 g" in text
