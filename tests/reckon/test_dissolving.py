"""Laws of what dissolves and of what carries: sums, water, intervals, and each figure at its edge."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bookgen.model import Solvent
from bookgen.reckon.bath import Bath
from bookgen.reckon.dissolving import Dissolved, free_acid, water_wanted
from bookgen.reckon.figures import reckon
from bookgen.reference.dissolving import SaltSide, as_hydrate, dissolving, of_solution
from bookgen.source import book_from

GRAMS = st.integers(1, 10**6).map(lambda number: Fraction(number, 1000))
MATERIALS = {
    "water": "kind: liquid\nwater: 100 %",
    "salt": "also: sodium chloride\nkind: crystals\nwater: 0 %",
    "more-salt": "also: sea salt\nkind: crystals\nwater: 0 %",
    "wet": "kind: gel\nwater: 60 %",
    "hydrate": "kind: crystals\nwater: 45 %",
    "talc": "kind: powder\nwater: 0 %",
    "azure": "kind: powder\nwater: 0 %\ndissolves: {water: 4 to 5 g at 25 °C}",
    "warm": "kind: powder\nwater: 0 %\ndissolves: {water: 4 g at 25.1 °C}",
    "cold": "kind: powder\nwater: 0 %\ndissolves: {water: 4 g at 14.9 °C}",
    "cool": "kind: powder\nwater: 0 %\ndissolves: {water: 4 g at 15 °C}",
    "faint": "kind: powder\nwater: 0 %\ndissolves: {water: 0.02 g}",
    "branded": "also: sodium chloride\nkind: powder\nwater: 0 %\ndissolves: {water: 4 g}",
    "sour": "kind: powder\nwater: 0 %\ncontains: {benzoic acid: 20 to 40 %}\npKa: [4.2, 5.5]",
    "benzoate": "also: sodium benzoate\nkind: crystals\nwater: 0 %",
    "citric": "also: citric acid\nkind: crystals\nwater: 0 %",
    "juice": "kind: liquid",
    "pebble": "kind: powder\nwater: 0 %\ndissolves: {water: 0.01 g}",
}


def judged(ph: str = "", **grams: Fraction):
    """Return what is judged of so many grams of each material."""
    lines = "\n".join(f"  {key.replace('_', '-')}: {exact(amount)} g" for key, amount in grams.items())
    files = {f"formulas/materials/{key}.md": f"---\nname: {key}\n{front}\n---\n" for key, front in MATERIALS.items()}
    files["formulas/x.md"] = f"---\ncode: X\ntitle: X\n{ph}ingredients:\n{lines}\n---\n"
    return reckon(book_from({path: text.encode() for path, text in files.items()})).figures["x"].dissolving


def exact(grams: Fraction) -> str:
    return f"{float(grams):.3f}"


@settings(max_examples=40, suppress_health_check=list(HealthCheck))
@given(GRAMS, GRAMS, GRAMS, GRAMS, GRAMS)
def test_what_there_is_is_the_sum_and_water_that_of_all_that_flows(salt, more, water, wet, hydrate):
    found = judged(salt=salt, more_salt=more, water=water, wet=wet, hydrate=hydrate, talc=Fraction(1))
    free = water + wet * Fraction(6, 10)
    whole = salt + more + water + wet + hydrate + 1
    if free < whole / 10:
        assert found.judged == ()
        return
    (solute,) = found.judged
    assert solute.low == solute.high == (salt + more) * 100 / free
    assert solute.outcome is (Dissolved.BEYOND if solute.low > 36 else Dissolved.ALL)
    assert solute.materials == tuple(key for _, key in sorted([(-salt, "salt"), (-more, "more-salt")])) or salt == more


@given(st.lists(st.tuples(GRAMS, GRAMS), max_size=5), st.lists(st.tuples(GRAMS, GRAMS), max_size=5))
def test_wants_of_water_add_up(some, others):
    assert water_wanted([*some, *others]) == water_wanted(some) + water_wanted(others)
    assert all(water_wanted([(most, most)]) == 100 for _, most in some)


@given(GRAMS, st.integers(0, 140), st.integers(0, 140))
def test_less_acid_is_free_at_a_higher_ph(grams, first, second):
    low, high = sorted((Fraction(first, 10), Fraction(second, 10)))
    pka = Fraction("4.2")
    assert 0 <= free_acid(grams, pka, high) <= free_acid(grams, pka, low) <= grams


@given(st.integers(1, 9999))
def test_a_percentage_of_the_solution_comes_back(number):
    percent = Fraction(number, 100)
    grams = of_solution(percent)
    assert grams * 100 / (100 + grams) == percent


@given(st.integers(1, 10000), st.integers(50, 300), st.integers(0, 300))
def test_a_saturated_solution_of_a_hydrate_holds_as_much_of_the_dry_form(number, dry, more):
    grams, hydrate = Fraction(number, 100), Fraction(dry + more)
    weighed = grams * hydrate / dry
    if weighed >= 100 + grams:
        return
    found = as_hydrate(grams, Fraction(dry), hydrate)
    in_it = found * dry / hydrate
    assert in_it * 100 / (100 + found - in_it) == grams


EDGES = {
    ("azure", "4.0"): Dissolved.ALL,
    ("azure", "4.001"): Dissolved.CROSSES,
    ("azure", "5.0"): Dissolved.CROSSES,
    ("azure", "5.001"): Dissolved.BEYOND,
    ("warm", "50"): Dissolved.UNKNOWN,
    ("cold", "50"): Dissolved.UNKNOWN,
    ("cool", "50"): Dissolved.BEYOND,
    ("faint", "50"): Dissolved.BEYOND,
}


@pytest.mark.parametrize(("name", "grams"), EDGES)
def test_a_figure_of_the_file_at_its_edge(name, grams):
    (solute,) = judged(**{name: Fraction(grams), "water": Fraction(100)}).judged
    assert solute.outcome is EDGES[name, grams]
    assert solute.row is None


def test_what_a_file_says_of_a_substance_of_the_table_is_told_by_the_name_of_that():
    (solute,) = judged(branded=Fraction(5), water=Fraction(100)).judged
    assert (solute.names, solute.most[1], solute.outcome) == (("Sodium chloride",), 4, Dissolved.BEYOND)


def test_between_which_ends_an_acid_is_free_follows_its_share_the_ph_and_all_its_steps():
    """The least of it at the higher pH, the most at the lower; 1 ÷ (1 + 10^(pH − 4.2) + 10^(2 pH − 9.7)) of all."""
    (solute,) = judged("pH: 5 to 6\n", sour=Fraction(10), water=Fraction(90)).judged
    least, most = (1 / (1 + 10 ** (ph - 4.2) + 10 ** (2 * ph - 9.7)) for ph in (6, 5))
    assert float(solute.low) == pytest.approx(100 * 0.02 * least / 0.9, rel=1e-9)
    assert float(solute.high) == pytest.approx(100 * 0.04 * most / 0.9, rel=1e-9)


def test_an_acid_that_the_water_known_to_be_there_does_not_take_up_wants_a_ph():
    """0.3 % of sodium benzoate is 0.254 % of the acid: more than 10 % of water dissolves, less than 95 % would."""
    found = judged(benzoate=Fraction(3), citric=Fraction(5), water=Fraction(100), juice=Fraction(892)).judged
    assert [solute.outcome for solute in found if "Sodium benzoate" in solute.names] == [Dissolved.UNKNOWN]


@pytest.mark.parametrize(("grams", "outcome"), [(2, Dissolved.ALL), (3, Dissolved.UNKNOWN), (6, Dissolved.BEYOND)])
def test_all_dissolves_where_the_water_known_to_be_there_takes_it_up(grams, outcome):
    """50 g of water, and up to 46 g more in what does not say: 4 to 5 g dissolve in 100 g."""
    (solute,) = judged(azure=Fraction(grams), water=Fraction(50), juice=Fraction(46)).judged
    assert solute.outcome is outcome
    if outcome is not Dissolved.UNKNOWN:
        assert solute.most == (4, 5)


@pytest.mark.parametrize(("oil", "water", "other"), [("5", "95", True), ("4.99", "95.01", False), ("0", "0", False)])
def test_a_twentieth_of_another_solvent_counts(oil, water, other):
    bath = Bath(
        water=(Fraction(water) / 100, Fraction(1)),
        ethanol=Fraction(0),
        oil=Fraction(oil) / 100,
        others=Fraction(0),
        carried=False,
        held={},
    )
    assert bath.takes_up(Solvent.OIL) is other


def test_what_is_practically_insoluble_is_there_to_be_dispersed():
    assert judged(pebble=Fraction(50), water=Fraction(100)).judged == ()


def test_rows_that_share_a_saturation_or_give_an_acid_name_a_row():
    rows = dissolving().rows
    assert all(row.saturates in rows and (not row.acid or row.acid in rows) for row in rows.values())
    assert {row.side for row in rows.values()} == {None, SaltSide.ACID, SaltSide.ALKALI}
