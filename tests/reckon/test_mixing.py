"""Laws of diluting and mixing: what goes in comes out, nothing is negative, and the balances can set every weight."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bookgen.findings import Missing
from bookgen.model import (
    Balance,
    Component,
    MixedBy,
    Mixing,
    Obtain,
    Quantity,
    Strength,
    StrengthBasis,
    Workroom,
)
from bookgen.reckon import ethanol
from bookgen.reckon.dilution import alligate, alternate, medial, strong_part, to_add
from bookgen.reckon.measure import least_weighable
from bookgen.reckon.mixing import Mixture, mix, vol_share
from bookgen.reckon.wishes import density_of, share_of

# Whole numbers over a few denominators, thirds and sevenths among them: much quicker to draw than `st.fractions`.
shares = st.builds(
    lambda number, parts: Fraction(number % (parts + 1), parts),
    st.integers(0, 10_000),
    st.sampled_from((10_000, 9973, 1000, 100, 30, 7)),
)
amounts = st.builds(Fraction, st.integers(1, 10_000), st.sampled_from((1000, 700, 100, 30, 7, 1)))
three_shares = st.lists(shares, min_size=3, max_size=3, unique=True).map(sorted)
temperatures = st.integers(min_value=-20, max_value=40).map(Fraction)
steps = st.sampled_from([Fraction(1), Fraction(1, 10), Fraction(1, 100), Fraction(1, 1000)])


@st.composite
def rooms(draw: st.DrawFn) -> Workroom:
    """One to three balances, the last without a limit."""
    found = [
        Balance(name=f"b{number}", readability_g=draw(steps), capacity_g=Fraction(draw(st.integers(20, 3000))))
        for number in range(draw(st.integers(0, 2)))
    ]
    return Workroom(balances=(*found, Balance(name="large", readability_g=draw(steps))))


def written(share: Fraction, basis: StrengthBasis | None = None) -> Strength:
    return Strength(share=share, basis=basis, text=f"{share}")


def grams(value: Fraction, unit: str = "g") -> Obtain:
    return Obtain(quantity=Quantity(value=value, unit=unit, text=f"{value} {unit}"), text=f"{value} {unit}")


def mixture_of(mixing: Mixing, room: Workroom | None = None) -> Mixture:
    found = mix(mixing, room or Workroom())
    assert isinstance(found, Mixture), found
    return found


# ── The arithmetic ────────────────────────────────────────────────────────────────────────────────────────────────


@given(have=shares, want=shares, diluent=shares)
def test_a_dilution_has_the_strength_wanted_or_is_refused(have, want, diluent):
    part = strong_part(have, want, diluent)
    if isinstance(part, Missing):
        assert not diluent < want < have
    else:
        assert 0 < part < 1
        assert medial([(part, have), (1 - part, diluent)]) == want


@given(higher=shares, lower=shares, want=shares)
def test_medial_gives_back_what_alligation_wants(higher, lower, want):
    both = alligate(higher, lower, want)
    if isinstance(both, Missing):
        assert not lower < want < higher
    else:
        assert min(both) > 0
        assert sum(both) == 1
        assert medial([(both[0], higher), (both[1], lower)]) == want


@given(components=st.lists(shares, min_size=2, max_size=6), want=shares)
def test_medial_gives_back_what_alternate_pairing_wants(components, want):
    parts = alternate(components, want)
    if isinstance(parts, Missing):
        assert want in components or not min(components) < want < max(components)
    else:
        assert min(parts) > 0
        assert sum(parts) == 1
        assert medial(list(zip(parts, components, strict=True))) == want
        if len(components) == 2 and components[0] > components[1]:
            assert parts == alligate(components[0], components[1], want)


@given(components=st.lists(st.tuples(amounts, shares), min_size=1, max_size=4), added=shares, want=shares)
def test_what_is_added_brings_the_rest_to_the_strength_wanted(components, added, want):
    more = to_add(components, added, want)
    if isinstance(more, Missing):
        there = medial(components)
        assert not min(there, added) < want < max(there, added)
    else:
        assert more > 0
        assert medial([*components, (more, added)]) == want


@given(four=st.lists(shares, min_size=4, max_size=4, unique=True).map(sorted))
def test_a_stronger_wish_takes_more_of_the_strong_one(four):
    diluent, low, high, have = four
    assert strong_part(have, low, diluent) < strong_part(have, high, diluent)


# ── At the bench ──────────────────────────────────────────────────────────────────────────────────────────────────


@st.composite
def dilutions(draw: st.DrawFn, by: MixedBy) -> Mixing:
    """A dilution that can be: diluent < wanted < had."""
    three = draw(three_shares)
    basis = {MixedBy.ETHANOL: StrengthBasis.VOL, MixedBy.WEIGHT: None, MixedBy.VOLUME: StrengthBasis.WV}[by]
    unit = draw(st.sampled_from(["g", "mL"])) if by is MixedBy.ETHANOL else "mL" if by is MixedBy.VOLUME else "g"
    return Mixing(
        components=(Component(strength=written(three[2], basis)), Component(strength=written(three[0], basis))),
        want=written(three[1], basis),
        obtain=grams(draw(amounts), unit),
        by=by,
        at_c=draw(temperatures) if by is MixedBy.ETHANOL else Fraction(20),
        diluting=True,
    )


any_dilution = st.one_of(*map(dilutions, MixedBy))


@given(mixing=any_dilution)
def test_the_sum_is_what_was_asked(mixing):
    mixture = mixture_of(mixing)
    assert mixing.obtain is not None
    assert mixing.want is not None
    asked = mixing.obtain.quantity
    assert mixture.share == share_of(mixing.want, mixing.by)
    if mixing.by is MixedBy.VOLUME:
        assert mixture.ml == asked.value
        return
    weights = [part.grams for part in mixture.parts]
    assert all(isinstance(one, Fraction) and one > 0 for one in weights)
    assert sum(weights) == mixture.grams
    if asked.unit == "g":
        assert mixture.grams == asked.value
    else:
        assert mixture.grams == asked.value * density_of(mixture.share, mixing.at_c)
        assert isinstance(mixture.ml, Fraction)
        assert abs(mixture.ml - asked.value) < Fraction(1, 10**8)


@settings(max_examples=300)
@given(mixing=st.one_of(dilutions(MixedBy.ETHANOL), dilutions(MixedBy.WEIGHT)), room=rooms())
def test_metered_amounts_are_whole_steps_and_add_up(mixing, room):
    mixture = mixture_of(mixing, room)
    assert isinstance(mixture.grams, Fraction)
    assert isinstance(mixture.metered_g, Fraction)
    metered = []
    for part in mixture.parts:
        assert part.balance is not None
        assert isinstance(part.grams, Fraction)
        assert isinstance(part.metered_g, Fraction)
        assert (part.metered_g / part.balance.readability_g).denominator == 1
        assert part.metered_g >= 0
        assert part.balance.capacity_g is None or part.grams <= part.balance.capacity_g
        assert part.least_g == least_weighable(part.balance.readability_g, room.accepted_error.share)
        assert part.too_small == (part.grams < part.least_g)
        metered.append(part.metered_g)
    assert sum(metered) == mixture.metered_g
    strong, diluent = mixture.parts
    assert abs(strong.metered_g - strong.grams) <= strong.balance.readability_g / 2
    # The diluent takes the rounding: the sum is off by half a step of its balance at most, unless it came to nothing.
    assert diluent.metered_g == 0 or abs(mixture.metered_g - mixture.grams) <= diluent.balance.readability_g / 2
    if mixture.metered_g:
        assert mixture.metered_share == medial([(part.metered_g, part.share) for part in mixture.parts])
        assert min(part.share for part in mixture.parts) <= mixture.metered_share
        assert mixture.metered_share <= max(part.share for part in mixture.parts)


@given(mixing=dilutions(MixedBy.WEIGHT), room=rooms())
def test_the_amount_that_is_advised_can_be_weighed(mixing, room):
    one = Workroom(balances=room.balances[-1:])
    needed = mixture_of(mixing, one).obtain_at_least
    assert isinstance(needed, Fraction)
    more = mixture_of(Mixing(components=mixing.components, want=mixing.want, obtain=grams(needed), by=mixing.by), one)
    assert not any(part.too_small for part in more.parts)
    less = Mixing(
        components=mixing.components, want=mixing.want, obtain=grams(needed * Fraction(99, 100)), by=mixing.by
    )
    assert any(part.too_small for part in mixture_of(less, one).parts)


@given(mixing=dilutions(MixedBy.ETHANOL))
def test_spirit_shrinks_or_grows_and_its_volumes_say_so(mixing):
    mixture = mixture_of(mixing)
    assert min(mixture.contraction_ml, mixture.expansion_ml) == 0
    before = sum(part.ml for part in mixture.parts)
    change = mixture.contraction_ml - mixture.expansion_ml
    assert mixture.contraction_ml >= 0
    assert mixture.expansion_ml >= 0
    # Volumes are rounded to nine decimals, and so are the densities they rest on: 1 in 10⁹ of all that is mixed.
    assert abs(before - mixture.ml - change) < Fraction(1, 10**8) * (1 + before)


@given(strong=shares, water=amounts, spirit=amounts, at_c=temperatures)
def test_contraction_is_that_of_the_alcohol_tables(strong, water, spirit, at_c):
    components = (
        Component(strength=written(strong, StrengthBasis.WW), quantity=Quantity(value=spirit, unit="g", text="spirit")),
        Component(strength=written(Fraction(0)), quantity=Quantity(value=water, unit="g", text="water")),
    )
    mixture = mixture_of(Mixing(components=components, by=MixedBy.ETHANOL, at_c=at_c))
    for ours, theirs in (
        (mixture.contraction_ml, ethanol.contraction_ml(spirit, strong, water, at_c)),
        (mixture.expansion_ml, ethanol.expansion_ml(spirit, strong, water, at_c)),
    ):
        assert abs(ours - theirs) <= Fraction(1, 2 * 10**9)
    assert mixture.share == ethanol.mixed_share(spirit, strong, water)


@given(volume=st.integers(0, 10_000).map(lambda number: Fraction(number, 10_000)))
def test_by_weight_and_back_is_the_strength_of_the_bottle(volume):
    found = vol_share(share_of(written(volume, StrengthBasis.VOL), MixedBy.ETHANOL))
    assert isinstance(found, Fraction)
    assert abs(found - volume) <= Fraction(1, 10**9)


@given(mixing=any_dilution, other=shares)
def test_no_wish_is_answered_with_a_negative_amount(mixing, other):
    """Whatever is wanted of the same two components: amounts above zero, or a sentence."""
    basis = mixing.components[0].strength.basis
    found = mix(
        Mixing(
            components=mixing.components, want=written(other, basis), obtain=mixing.obtain, by=mixing.by, diluting=True
        ),
        Workroom(),
    )
    if isinstance(found, Missing):
        high, low = (share_of(component.strength, mixing.by) for component in mixing.components)
        assert not low < share_of(written(other, basis), mixing.by) < high
        assert found.reason[-1] not in ".:"
        return
    for part in found.parts:
        for amount in (part.grams, part.ml):
            assert isinstance(amount, Missing) or amount > 0 or mixing.obtain.quantity.value < 1


# ── Figures of the method ─────────────────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    ("strong_g", "water_g", "ratio"),
    [("2", "200", (1, 100)), ("2", "202", ()), ("100", "1", (100, 1)), ("100.5", "1", ()), ("0.3", "0.45", (2, 3))],
)
def test_parts_are_told_up_to_a_hundred(strong_g: str, water_g: str, ratio: tuple[int, ...]) -> None:
    """Parts above 100 say less than the grams beside them (own choice, no source)."""
    components = (("0.5", strong_g), ("0", water_g))
    found = mixture_of(
        Mixing(
            components=tuple(
                Component(
                    strength=written(Fraction(share)), quantity=Quantity(value=Fraction(much), unit="g", text=much)
                )
                for share, much in components
            ),
            by=MixedBy.WEIGHT,
        )
    )
    assert found.ratio == ratio


def test_where_no_amount_is_asked_for_100_g_are_mixed() -> None:
    components = tuple(Component(strength=written(Fraction(share))) for share in ("0.1", "0.02"))
    found = mixture_of(Mixing(components=components, by=MixedBy.WEIGHT, want=written(Fraction("0.04"))))
    assert [part.grams for part in found.parts] == [25, 75]


@pytest.mark.parametrize(
    ("share", "at_c", "density"),
    # the formula of OIML R 22 worked out: 0.91377059502617, 0.86761081771413, 0.90976993808455
    [("0.5", 20, "0.913770595"), ("0.7", 20, "0.867610818"), ("0.5", 25, "0.909769938")],
)
def test_densities_of_spirit_have_nine_decimals(share: str, at_c: int, density: str) -> None:
    assert density_of(Fraction(share), Fraction(at_c)) == Fraction(density)


@given(mixing=dilutions(MixedBy.WEIGHT), room=rooms())
def test_the_amount_that_is_advised_can_be_weighed_on_every_balance_together(mixing, room):
    """A larger amount may come onto a coarser balance, which weighs less well: the advice follows it there."""
    needed = mixture_of(mixing, room).obtain_at_least
    assert isinstance(needed, Fraction)
    more = mixture_of(Mixing(components=mixing.components, want=mixing.want, obtain=grams(needed), by=mixing.by), room)
    assert not any(part.too_small for part in more.parts)


@pytest.mark.parametrize(
    ("capacity", "portions"), [(None, (1, 1)), ("200", (1, 2)), ("200.01", (1, 1)), ("66", (4, 4)), ("", (1, 1))]
)
def test_in_how_many_portions_a_balance_weighs(capacity: str | None, portions: tuple[int, int]) -> None:
    """200 g and 200.01 g: on one balance that holds anything, or so much; without a balance nothing is divided."""
    holds = Fraction(capacity) if capacity else None
    balances = () if capacity == "" else (Balance(name="b", readability_g=Fraction(1, 100), capacity_g=holds),)
    components = tuple(
        Component(strength=written(Fraction(share)), quantity=Quantity(value=Fraction(much), unit="g", text=much))
        for share, much in (("0.5", "200"), ("0", "200.01"))
    )
    found = mixture_of(Mixing(components=components, by=MixedBy.WEIGHT), Workroom(balances=balances))
    assert tuple(part.portions for part in found.parts) == portions
