"""Storage at its corners: what counts as water, alcohol or a preservative, and which limit is the earliest."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

from bookgen.findings import Missing
from bookgen.model import Period, StoragePlace
from bookgen.reckon.figures import reckon
from bookgen.reckon.storage import NO_PERIOD, PeriodRule, Preparation, StorageFigure, after, days_of, untested, use_by
from bookgen.reference import storage_periods
from bookgen.source import read_book
from bookgen.wording.saying import Saying, told

from ..books_of_text import MATERIALS, ONE_BALANCE, formula, weigh, write_book

SPIRIT = {"spirit": "contains:\n  ethanol: 100 %", "wine": "contains:\n  alcohol: 20 %\nwater: 80 %"}
GUARD = {"guard": "function: preservative\nwater: 0 %"}


def stored(
    folder: Path, ingredients: str, *keys: str, more: dict[str, str] | None = None, room: str = ""
) -> StorageFigure:
    text = {"F": formula("F", ingredients, *keys)}
    if any(one.startswith("use:") for one in keys):
        text["F"] = text["F"].replace("use: intermediate\n", "")
    book = write_book(folder / "book", text, {**MATERIALS, **(more or {})}, ONE_BALANCE + room)
    return reckon(read_book(book)).figures["f"].storage


@pytest.mark.parametrize(
    ("ingredients", "kind"),
    [
        pytest.param("water: 0.999 %; a: to 100 g", Preparation.NO_WATER, id="less than 1 % of water"),
        pytest.param("water: 1 %; a: to 100 g", Preparation.WATER, id="1 % of water"),
        pytest.param("spirit: 14.7 %; water: to 100 g", Preparation.WATER, id="too little alcohol"),
        pytest.param("spirit: 14.8 %; water: to 100 g", Preparation.ALCOHOL, id="18 % of alcohol by volume"),
        pytest.param("spirit: 10 %; water: 40 %; a: to 100 g", Preparation.ALCOHOL, id="oil aside"),
        pytest.param("wine: 60 %; a: to 100 g", Preparation.ALCOHOL, id="alcohol by its other name"),
        pytest.param("guard: 1 %; water: to 100 g", Preparation.PRESERVED, id="preserved by the material"),
        pytest.param("a: 1 %, preservative; water: to 100 g", Preparation.PRESERVED, id="preserved by the line"),
        pytest.param("a: 1 %, keeps it unpreserved; water: to 100 g", Preparation.WATER, id="unpreserved"),
        pytest.param("a: 1 %, no preservative; water: to 100 g", Preparation.WATER, id="no preservative"),
        *(
            pytest.param(f"a: {{amount: 1 %, function: {words}}}; water: to 100 g", Preparation.WATER, id=words)
            for words in (
                "not a preservative",
                "preservative-free base",
                "preservative booster",
                "preservatives none",
            )
        ),
        *(
            pytest.param(f"a: {{amount: 1 %, function: '{words}'}}; water: to 100 g", Preparation.PRESERVED, id=words)
            for words in ("buffer, preservative", "Preservative", " preservative ,  pH 5")
        ),
        pytest.param("water: 90 %, preservative; a: to 100 g", Preparation.WATER, id="water preserves nothing"),
        pytest.param("guard: {amount: 1 g, removed: filtered}; water: to 100 g", Preparation.WATER, id="taken out"),
    ],
)
def test_kind_of_preparation(tmp_path: Path, ingredients: str, kind: Preparation) -> None:
    assert stored(tmp_path, ingredients, more={**SPIRIT, **GUARD}).preparation is kind


def test_a_line_may_call_an_intermediate_its_preservative(tmp_path: Path) -> None:
    """All that the intermediate holds counts then, except water; another function of the line leaves it as it is."""
    for function, kind in (("preservative", Preparation.PRESERVED), ("preservative base", Preparation.WATER)):
        text = {
            "N": formula("N", "a: 20 %; water: to 100 g"),
            "F": formula("F", f"N: 2 %, {function}; water: to 100 g"),
        }
        book = write_book(tmp_path / function, text, MATERIALS, ONE_BALANCE)
        found = reckon(read_book(book)).figures["f"].storage
        assert found.preparation is kind
        assert found.preservatives == (("a",) if kind is Preparation.PRESERVED else ())


@pytest.mark.parametrize(
    ("front", "kind"),
    [
        *((f"kind: {kind}", Preparation.NO_WATER) for kind in ("powder", "crystals", "wax", "butter", "resin")),
        ("soluble: oil", Preparation.NO_WATER),
        ("contains:\n  salt: 5 %\n  sugar: 95 %", Preparation.NO_WATER),
        ("label:\n  Sal: 40 %\n  Sucrose: 60 %", Preparation.NO_WATER),
        ("contains:\n  tannins: 0.1 %", None),
        ("label: Sal", None),
        ("label:\n  Hamamelis Virginiana Water: 60 %\n  Sucrose: 40 %", None),
        *((front, None) for front in ("kind: liquid", "kind: gel", "kind: solid", "soluble: oil, water")),
    ],
)
def test_what_brings_no_water_unless_it_says_so(tmp_path: Path, front: str, kind: Preparation | None) -> None:
    found = stored(tmp_path, "thing: 50 %; a: to 100 g", more={"thing": front}).preparation
    assert (None if isinstance(found, Missing) else found) is kind


@pytest.mark.parametrize(
    ("kind", "days", "place"),
    [
        ("water", 14, "refrigerator"),
        ("preserved", 35, ""),
        ("alcohol", 35, ""),
        ("no_water", 180, ""),
        ("swallowed", 90, ""),
        ("solid", 180, ""),
    ],
)
def test_published_periods(kind: str, days: int, place: str) -> None:
    """T08-01 to T08-04; that alcohol counts as a preservative is common practice, no source."""
    entry = storage_periods()[kind]
    assert (entry.days, entry.place) == (days, place)
    assert "<795>" in entry.document


@pytest.mark.parametrize(
    ("front", "days", "words"),
    [
        ("use: swallowed", 90, "oral liquids without water"),
        ("use: rectal\nmakes: 10 suppositories", 180, "other than oral liquids"),
        ("use: swallowed\nmakes: 10 capsules", 180, "other than oral liquids"),
        ("use: face", 180, "for the skin"),
    ],
)
def test_without_water_what_is_swallowed_as_a_liquid_keeps_less_long(tmp_path, front, days, words) -> None:
    """T08-03 and T08-04."""
    lines = "a: 100 mg each; b: to 1 g each" if "makes" in front else "a: 50 %; b: to 100 g"
    rule = stored(tmp_path, lines, "kind: medicine", *front.split("\n")).rule
    assert isinstance(rule, PeriodRule)
    assert days_of(rule.period) == days
    assert words in rule.whose.words()


def test_the_rule_of_water_names_its_place(tmp_path: Path) -> None:
    rule = stored(tmp_path, "water: to 100 g; a: 5 g").rule
    assert isinstance(rule, PeriodRule)
    assert rule.place is StoragePlace.REFRIGERATOR


@pytest.mark.parametrize(
    ("room", "ingredients", "days"),
    [
        ("periods:\n  water: 3 days\n", "water: 50 %; a: to 100 g", 3),
        ("periods:\n  water: 20 days\n", "water: 50 %; a: to 100 g", 14),
        ("periods:\n  water preserved: 60 days\n", "guard: 1 %; water: to 100 g", 60),
        ("periods:\n  water preserved: 60 days\n", "spirit: 50 %; water: to 100 g", 60),
        ("periods:\n  no water: 1 year\n", "a: 50 %; b: to 100 g", 360),
    ],
)
def test_the_keepers_periods(tmp_path: Path, room: str, ingredients: str, days: int) -> None:
    period = stored(tmp_path, ingredients, more={**SPIRIT, **GUARD}, room=room).period
    assert isinstance(period, Period)
    assert days_of(period) == days


def test_a_reason_frees_from_the_rule_but_not_unpreserved_water(tmp_path: Path) -> None:
    long = "storage: {place: refrigerator, period: 100 days, because: tested}"
    kept = stored(tmp_path / "guarded", "guard: 1 %; water: to 100 g", long, more=GUARD).period
    assert isinstance(kept, Period)
    assert kept.days == 100
    spoils = stored(tmp_path / "bare", "a: 1 %; water: to 100 g", long).period
    assert isinstance(spoils, Period)
    assert spoils.days == 14


@pytest.mark.parametrize(
    ("made", "months", "last"),
    [
        ("2026-12-31", 1, "2027-01-31"),
        ("2026-01-31", 1, "2026-02-28"),
        ("2027-11-30", 3, "2028-02-29"),
        ("2026-03-02", 12, "2027-03-02"),
        ("2026-03-31", 30, "2028-09-30"),
    ],
)
def test_months_are_calendar_months_clipped_at_their_end(made: str, months: int, last: str) -> None:
    period = Period(months=months, text=f"{months} months")
    assert after(date.fromisoformat(made), period) == date.fromisoformat(last)


def test_months_are_judged_as_thirty_days() -> None:
    assert days_of(Period(months=6, text="6 months")) == 180
    assert days_of(Period(days=14, text="14 days")) == 14


@pytest.mark.parametrize(("made", "last"), [("2026-03-02", "2026-08-29"), ("2026-08-31", "2027-02-27")])
def test_six_months_and_180_days_reach_the_user_both(tmp_path: Path, made: str, last: str) -> None:
    """180 days after 2026-08-31 is 2027-02-27, six months is 2027-02-28; both pass through two intermediates."""
    book = write_book(tmp_path / "book", {
        "I1": formula("I1", "a: 50 %; b: to 100 g", "storage: cupboard, 6 months"),
        "I2": formula("I2", "I1: 50 %; b: to 100 g"),
        "F": formula("F", "I2: 50 %; b: to 100 g"),
    })  # fmt: skip
    limits = reckon(read_book(book)).figures["f"].storage.limits
    assert {(limit.period.days, limit.period.months) for limit in limits} >= {(180, 0), (0, 6)}
    assert len(limits) == len(set(limits))
    day, reason = last_day(limits, made)
    assert day == date.fromisoformat(last)
    assert reason


@pytest.mark.parametrize(
    ("room", "assigned", "earliest"),
    [
        ("", "6 months", "180 days"),
        ("periods:\n  no water: 360 days\n", "1 year", "360 days"),
        ("periods:\n  no water: 60 days\n", "2 months", "2 months"),
        ("", "5 months", "5 months"),
    ],
)
def test_six_months_are_always_longer_than_180_days(tmp_path: Path, room: str, assigned: str, earliest: str) -> None:
    """What the page says agrees with every date; two months may end before 60 days, so these stay as they are."""
    book = write_book(
        tmp_path / "book",
        {"F": formula("F", "a: 50 %; b: to 100 g", f"storage: cupboard, {assigned}")},
        MATERIALS,
        ONE_BALANCE + room,
    )
    found = reckon(read_book(book)).figures["f"].storage
    assert isinstance(found.period, Period)
    assert (found.period.text, found.whose) == (earliest, found.limits[0].whose)
    assert (str(found.whose) == "given by the formula") == (earliest == assigned)
    if found.period.months == 0:
        for day in range(366):
            made = (date(2027, 3, 1) + timedelta(days=day)).isoformat()
            assert last_day(found.limits, made)[1] == found.whose


def last_day(limits: tuple[PeriodRule, ...], made: str) -> tuple[date, Saying]:
    found = use_by(date.fromisoformat(made), limits)
    assert not isinstance(found, Missing)
    return found


def test_a_short_lived_intermediate_limits_its_user(tmp_path: Path) -> None:
    book = write_book(
        tmp_path / "book",
        {
            "I1": formula("I1", "a: 1 %; water: to 100 g"),
            "F": formula("F", "I1: 50 %; guard: 1 %; b: to 100 g"),
            "G": formula("G", "I1: {amount: 5 g, removed: filtered}; b: to 100 g"),
        },
        {**MATERIALS, **GUARD},
    )
    answer = weigh(book, "F")
    assert answer["use_by"] == "2026-03-16"
    assert "Formula I1" in answer["why"]["use_by"]
    assert weigh(book, "G")["use_by"] == "2026-08-29"


def test_a_period_beyond_the_calendar_limits_nothing() -> None:
    far = PeriodRule(period=Period(months=12 * 9000, text="9000 years"), place=None, whose=told("far"))
    near = PeriodRule(period=Period(days=1, text="1 day"), place=None, whose=told("near"))
    assert use_by(date(2026, 3, 2), [far, near]) == (date(2026, 3, 3), told("near"))
    assert isinstance(use_by(date(2026, 3, 2), [far]), Missing)
    assert isinstance(use_by(date(2026, 3, 2), []), Missing)


@pytest.mark.parametrize(
    ("front", "other", "kind"),
    [
        pytest.param("kind: powder\nwater: 12 %", "a", Preparation.NO_WATER, id="starch"),
        pytest.param("kind: powder\nwater: 15 %", "a", Preparation.NO_WATER, id="as moist as starch may be"),
        pytest.param("kind: powder\nwater: 15.1 %", "a", Preparation.WATER, id="moister"),
        pytest.param("kind: solid\nwater: 10 %", "a", Preparation.NO_WATER, id="dried herb"),
        pytest.param("kind: solid\nwater: 80 %", "a", Preparation.WATER, id="fresh fruit"),
        pytest.param("kind: crystals\nwater: 51 %", "a", Preparation.NO_WATER, id="water of crystals"),
        pytest.param("kind: gel\nwater: 12 %", "a", Preparation.WATER, id="gel"),
        pytest.param("water: 12 %", "a", Preparation.WATER, id="of no kind"),
        pytest.param("kind: powder\nwater: 12 %", "water", Preparation.WATER, id="starch in water"),
    ],
)
def test_moisture_that_is_bound_does_not_spoil_by_itself(
    tmp_path: Path, front: str, other: str, kind: Preparation
) -> None:
    assert stored(tmp_path, f"thing: 50 %; {other}: to 100 g", more={"thing": front}).preparation is kind


@pytest.mark.parametrize(("amount", "kind"), [("0.9 g", Preparation.NO_WATER), ("1 g", None)])
def test_what_cannot_reach_one_percent_of_water_is_not_asked_for(
    tmp_path: Path, amount: str, kind: Preparation | None
) -> None:
    found = stored(tmp_path, f"thing: {amount}; a: to 100 g", more={"thing": "kind: liquid"})
    assert (None if isinstance(found.preparation, Missing) else found.preparation) is kind
    assert found.unsure == (() if kind else ("thing",))


@pytest.mark.parametrize(
    ("keys", "borrowed"),
    [
        pytest.param(("kind: household",), False, id="a household product"),
        pytest.param(("kind: household", "use: hands"), False, id="a household product that is held"),
        pytest.param(("kind: scent", "use: room"), False, id="a room scent"),
        pytest.param(("use: textiles, surfaces",), False, id="for textiles and surfaces"),
        pytest.param(("kind: scent", "use: room, body"), True, id="also for the body"),
        pytest.param(("kind: scent",), True, id="a scent that says no place"),
        pytest.param(("kind: cosmetic",), True, id="a cosmetic"),
        pytest.param(("kind: medicine", "use: surfaces"), True, id="a medicine"),
        pytest.param((), True, id="no kind"),
    ],
)
def test_whose_period_is_borrowed(tmp_path: Path, keys: tuple[str, ...], borrowed: bool) -> None:
    for number, (lines, days) in enumerate([("a: 50 %; b: to 100 g", 180), ("guard: 1 %; water: to 100 g", 35)]):
        figure = stored(tmp_path / str(number), lines, *keys, more=GUARD)
        assert isinstance(figure.rule, PeriodRule) is borrowed
        assert [days_of(one.period) for one in figure.limits] == ([days] if borrowed else [])
        if not borrowed:
            assert isinstance(figure.rule, Missing)
            assert figure.rule.reason == "no period is assigned, and the published ones are not for this use"
            assert figure.whose is None


def test_what_is_not_for_the_body_has_the_period_it_is_given_and_the_keepers(tmp_path: Path) -> None:
    candle = ("kind: household", "storage: {place: cupboard, period: 3 years}")
    given = stored(tmp_path / "given", "a: 50 %; b: to 100 g", *candle)
    assert [(one.period.text, str(one.whose)) for one in given.limits] == [("3 years", "given by the formula")]
    own = stored(tmp_path / "own", "a: 50 %; b: to 100 g", "kind: household", room="periods:\n  no water: 1 year\n")
    assert [(one.period.text, str(one.whose)) for one in own.limits] == [
        ("1 year", "the keeper's own period: no water")
    ]


@pytest.mark.parametrize(
    ("kept", "kind", "limits"),
    [
        ("", "household", []),
        ("", "cosmetic", [180, 180]),
        ("storage: {place: cupboard, period: 1 year, because: tested}", "household", [360]),
    ],
)
def test_an_intermediate_brings_no_borrowed_period_either(
    tmp_path: Path, kept: str, kind: str, limits: list[int]
) -> None:
    text = {
        "N": formula("N", "a: 50 %; b: to 100 g", *([kept] if kept else [])),
        "F": formula("F", "N: 50 %; a: to 100 g", f"kind: {kind}"),
    }
    book = write_book(tmp_path / "book", text, MATERIALS, ONE_BALANCE)
    assert [days_of(one.period) for one in reckon(read_book(book)).figures["f"].storage.limits] == limits


def test_unpreserved_water_spoils_whatever_it_is_for(tmp_path: Path) -> None:
    figure = stored(tmp_path, "a: 5 %; water: to 100 g", "kind: household", "use: textiles")
    assert [days_of(one.period) for one in figure.limits] == [14]


def test_what_keeps_by_a_preservative_or_alcohol_is_not_known_to_be_tested(tmp_path: Path) -> None:
    plain = read_book(write_book(tmp_path / "book", {"F": formula("F", "a: to 100 g")})).formulas["f"]
    assert {kind for kind in Preparation if untested(kind, plain)} == {
        Preparation.PRESERVED,
        Preparation.ALCOHOL,
        Preparation.SELF_KEEPING,
    }
    assert not untested(NO_PERIOD, plain)


@pytest.mark.parametrize(
    ("lines", "storage", "counts"),
    [
        ("gly: 5 %; water: to 100 g", "refrigerator, bottle, 10 days", ["10 days"]),
        ("M: 50 %; oil: to 100 g", "cupboard, tin, 3 months", ["2 months", "180 days"]),
    ],
)
def test_of_an_intermediate_only_its_earliest_limits_come_along(
    tmp_path: Path, lines: str, storage: str, counts: list[str]
) -> None:
    """The shortest in days and the shortest in months, as six months may end before or after 180 days."""
    texts = {
        "M": formula("M", "oil: to 100 g", "use: intermediate", "storage: cupboard, tin, 2 months"),
        "N": formula("N", lines, "use: intermediate", f"storage: {storage}"),
        "F": formula("F", "N: 50 %; gly: to 100 g", "storage: cupboard, bottle, 1 month"),
    }
    figures = reckon(read_book(write_book(tmp_path / "book", texts, MATERIALS))).figures
    assert len(figures["n"].storage.limits) > len(counts)
    brought = [limit for limit in figures["f"].storage.limits if str(limit.whose).startswith("Formula N: ")]
    assert [limit.period.text for limit in brought] == counts
