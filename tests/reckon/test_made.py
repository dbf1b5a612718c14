"""What batches came to, against a second reckoning: shares, deviations, yield, contents of lots, last days of use."""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis.strategies import fractions, integers

from bookgen.findings import Missing
from bookgen.reckon.figures import Reckoning, reckon
from bookgen.reckon.lastdays import last_days_of
from bookgen.reckon.lot_content import weigh_instead
from bookgen.reckon.made import BatchResult, Loss, loss_that_explains, result_of
from bookgen.source import book_from

FORMULA = """---
code: S-1
title: Splash
use: leave-on, face, adults
issue: 2
yield: 95 %
pH: 4.6 to 5.0
storage: refrigerator, bottle, 10 days
density: 1.02
ingredients:
  A:
    water: 40 g
    acid: 0.8 % as lactic acid
    wool: {amount: 5 g, removed: filtered}
  B:
    base: 20 g
    water: to 100 g
---
"""
BASE = "---\ncode: base\ntitle: Base\nuse: intermediate\nstorage: cool place, 8 days\ningredients:\n  gly: 100 g\n---\n"
MATERIALS = {
    "water": "water: 100 %\n",
    "acid": "contains: {lactic acid: 80 %}\nwater: 20 %\nlots:\n  A-1: {content: 88.5 %, expires: 2026-03-20}\n"
    "  A-2: {opened: 2026-01-31, good after opening: 1 month}\n",
    "wool": "kind: powder\n",
    "gly": "water: 0 %\ndensity: 1.26\nlots:\n  G-1: {expires: 2026-03}\n",
}


def book(**records: str) -> Reckoning:
    """Return a reckoned book; records by batch number with underscores for hyphens, from `obtain` on."""
    files = {"formulas/s.md": FORMULA, "formulas/b.md": BASE}
    files |= {f"formulas/materials/{name}.md": f"---\nname: {name}\n{text}---\n" for name, text in MATERIALS.items()}
    for name, text in records.items():
        number = name.replace("_", "-")
        code, day = number[:-11], number[-10:]
        files[f"formulas/batches/{number}.md"] = f"---\nbatch: {number}\nof: {code}, issue 2\nmade: {day}\n{text}---\n"
    return reckon(book_from({path: text.encode() for path, text in files.items()}))


def come_to(record: str) -> BatchResult:
    return result_of(book(S_1_2026_03_01=record), "s-1-2026-03-01")


PLAIN = """obtain: 100 g
planned:
  A:
    water: 40 g
    acid: 1.13 g
    wool: 5 g
  B:
    base: 20 g
    water: 44 g
weighed:
  A:
    water: 42 g
    acid: 1.2 g, lot A-1
    wool: 5 g
  B:
    base: 20 g
    water: 40.8 g
came out: 96 g
pH: 5.04
"""


def test_shares_and_deviations_line_by_line() -> None:
    lines = {(line.key, line.phase): line for line in come_to(PLAIN).lines}
    assert list(lines) == [("water", "A"), ("acid", "A"), ("wool", "A"), ("base", "B"), ("water", "B")]
    assert lines["water", "A"].deviation == Fraction(2, 40)
    assert lines["water", "B"].deviation == Fraction("-3.2") / 44
    assert lines["base", "B"].share == Fraction(20, 104)
    assert lines["wool", "A"].share is None
    assert not lines["wool", "A"].counts
    assert sum(line.share for line in lines.values() if isinstance(line.share, Fraction)) == 1


def test_if_the_loss_was_water_the_rest_is_that_much_stronger() -> None:
    lines = {(line.key, line.phase): line.share_if_water for line in come_to(PLAIN).lines}
    assert lines["base", "B"] == Fraction(20, 96)
    waters = [share for (key, _), share in lines.items() if key == "water" and isinstance(share, Fraction)]
    assert sum(waters) == (Fraction("82.8") - 8) / 96
    assert sum(share for share in lines.values() if isinstance(share, Fraction)) == 1
    assert all(line.share_if_water is None for line in come_to(PLAIN.replace("out: 96 g", "out: 10 g")).lines)


def test_yield_against_plan_and_against_what_went_in() -> None:
    came = come_to(PLAIN).yielded
    assert (came.went_in, came.out, came.planned) == (104, 96, 100)
    assert (came.of_plan, came.of_what_went_in) == (Fraction(96, 100), Fraction(96, 104))
    assert came.loss is Loss.YIELD
    by_volume = come_to(PLAIN.replace("obtain: 100 g", "obtain: 2 x 50 mL").replace("out: 96 g", "out: 95 mL")).yielded
    assert (by_volume.planned, by_volume.out) == (102, Fraction("96.9"))


@pytest.mark.parametrize(
    ("out", "yield_", "evaporated", "loss"),
    [
        ("0.954", "0.95", "0", Loss.YIELD),
        ("0.99", "0.95", "0", Loss.NONE),
        ("0.90", "0.95", "0.1", Loss.EVAPORATION),
        ("0.86", "0.95", "0.1", Loss.BOTH),
        ("0.80", "0.95", "0.1", Loss.OTHER),
        ("0.80", "1", "0", Loss.OTHER),
        ("1", "1", "0", Loss.NONE),
    ],
)
def test_the_nearest_loss_explains_it_within_the_accepted_error(
    out: str, yield_: str, evaporated: str, loss: Loss
) -> None:
    found = loss_that_explains(Fraction(out), Fraction(yield_), Fraction(evaporated), Fraction("0.05"))
    assert found is loss


def test_a_percent_yield_of_the_check_values() -> None:
    """T13-08: theoretical 250 g, obtained 238.5 g: 95.4 %, 11.5 g lost; own arithmetic."""
    text = PLAIN.replace("obtain: 100 g", "obtain: 250 g").replace("out: 96 g", "out: 238.5 g")
    came = come_to(text.replace("water: 40.8 g", "water: 186.8 g")).yielded
    assert came.of_plan == Fraction(477, 500)
    assert isinstance(came.went_in, Fraction)
    assert came.went_in - Fraction("238.5") == Fraction(23, 2)


def test_the_content_of_a_lot_says_how_much_of_it_carries_what_was_planned() -> None:
    (held,) = come_to(PLAIN).contents
    assert (held.nominal, held.actual) == (Fraction("0.8"), Fraction("0.885"))
    assert held.instead == Fraction("1.13") * Fraction("0.8") / Fraction("0.885")
    assert held.carried == Fraction("1.2") * Fraction("0.885")
    assert weigh_instead(Fraction(1), Fraction(1, 2), Fraction(1, 4)) == 2


@given(*[fractions(min_value=Fraction(1, 100), max_value=1, max_denominator=200)] * 2, integers(1, 10**6))
@settings(max_examples=40)
def test_content_times_weight_stays_what_was_planned(nominal: Fraction, actual: Fraction, milligrams: int) -> None:
    planned = Fraction(milligrams, 1000)
    assert weigh_instead(planned, nominal, actual) * actual == planned * nominal


@pytest.mark.parametrize(("ph", "within"), [("4.6", True), ("5.0", True), ("5.04", False), ("4.59", False)])
def test_the_ph_is_within_or_not(ph: str, within: bool) -> None:
    assert come_to(PLAIN.replace("5.04", ph)).ph_within is within


# ── The last day of use ───────────────────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    ("lines", "last"),
    [
        ("acid: 1 g", "2026-03-09"),  # 8 days of the intermediate, shorter than the formula's 10
        ("acid: 1 g, lot A-2", "2026-02-28"),  # a month after it was opened on 31 January
        ("acid: 1 g, lot A-1", "2026-03-09"),
        ("base: 1 g, lot base-2026-02-22", "2026-03-02"),  # 8 days from 22 February
    ],
)
def test_the_earliest_date_of_all_that_went_in(lines: str, last: str) -> None:
    reckoning = book(
        S_1_2026_03_01=f"obtain: 100 g\nweighed:\n  {lines}\n", base_2026_02_22="obtain: 9 g\nweighed:\n  gly: 9 g\n"
    )
    assert result_of(reckoning, "s-1-2026-03-01").use_by == date.fromisoformat(last)


def test_the_last_day_limited_by_an_ingredient() -> None:
    """T08-07: 180 days from 2026-03-01 would be 2026-08-28; an ingredient that expires on 2026-06-30 ends it then."""
    files = {
        "formulas/b.md": "---\ncode: B-1\ntitle: Balm\nuse: leave-on, body, adults\nstorage: cupboard, 180 days\n"
        "ingredients:\n  wax: 100 g\n---\n",
        "formulas/materials/wax.md": "---\nname: wax\nkind: wax\nlots:\n  W-1: {expires: 2026-06}\n  W-2: {}\n---\n",
        "formulas/batches/B-1-2026-03-01.md": "---\nbatch: B-1-2026-03-01\nof: B-1, issue 1\nmade: 2026-03-01\n"
        "obtain: 100 g\nweighed:\n  wax: 100 g, lot W-1\n---\n",
    }
    text = {path: content.encode() for path, content in files.items()}
    assert last_days_of(reckon(book_from(text)))["b-1-2026-03-01"][0] == date(2026, 6, 30)
    other = {path: content.replace(b"lot W-1", b"lot W-2") for path, content in text.items()}
    assert last_days_of(reckon(book_from(other)))["b-1-2026-03-01"][0] == date(2026, 8, 28)


def test_a_circle_of_batches_has_no_last_day_and_ends() -> None:
    reckoning = book(base_2026_02_22="obtain: 9 g\nweighed:\n  base: 9 g, lot base-2026-02-22\n")
    assert isinstance(last_days_of(reckoning)["base-2026-02-22"][0], Missing)


def test_a_year_of_chains_has_the_last_days_of_a_second_reckoning() -> None:
    chance = Random(8)
    records: dict[str, str] = {}
    expected: dict[str, date] = {}
    expiry = {"A-1": date(2026, 3, 20), "A-2": date(2026, 2, 28), "G-1": date(2026, 3, 31), "": date.max}
    for number in range(60):
        day = date(2026, 1, 1) + timedelta(days=2 * number)
        inner = chance.choice([*expected, ""]) if expected else ""
        key = f"base_{day.isoformat().replace('-', '_')}"
        lots, lines = [chance.choice(["A-1", "A-2", ""]), chance.choice(["G-1", ""])], []
        for material, lot in zip(("acid", "gly"), lots, strict=True):
            lines.append(f"  {material}: 5 g{f', lot {lot}' if lot else ''}\n")
        if inner:
            lines.append(f"  base: 5 g, lot {inner}\n")
        records[key] = "obtain: 9 g\nweighed:\n" + "".join(lines)
        ends = [day + timedelta(days=8), *(expiry[lot] for lot in lots)]
        expected[key.replace("_", "-")] = min([*ends, *([expected[inner]] if inner else [])])
    found = last_days_of(book(**records))
    assert {key: last for key, (last, _) in found.items()} == expected
