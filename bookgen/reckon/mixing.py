"""Diluting and mixing at the bench: how much of each, what the balances can set, and the strength that results.

Enters: what is asked (`Mixing`) and the workroom's balances.  Leaves: a `Mixture` in exact grams and millilitres, or a
`Missing` whose reason is a sentence for the one who asked.  Ethanol is reckoned by weight, where nothing is lost;
volumes and strengths in %vol come from the alcohol tables (OIML R 22).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import gcd, lcm

from ..findings import Missing
from ..fraction import Fraction
from ..model import Balance, Component, Known, MixedBy, Mixing, Strength, Workroom
from ..wording.saying import says
from . import ethanol
from .densities import plain_c
from .dilution import medial
from .known import ONE, ZERO
from .measure import balance_for, finest_first, half_up, least_weighable, portions_on
from .wishes import BILLIONTH, amount_of, amounts_of, density_of, share_of

MOST_PARTS = 100
"""Parts above this say less than the grams beside them."""

NO_BALANCE = Missing(says=says("no-balance-stated"))
BY_VOLUME = Missing(says=says("by-volume"))
BY_WEIGHT = Missing(says=says("by-weight"))
TO_THE_MARK = Missing(says=says("to-the-mark"))
MAY_SHRINK = Missing(says=says("may-shrink"))
TAKEN_TO_ADD_UP = Missing(says=says("taken-to-add-up"))


@dataclass(frozen=True, slots=True, kw_only=True)
class MixturePart:
    """One component of a mixture."""

    strength: Strength
    """How strong it is, as written."""
    share: Fraction
    """How strong it is as a share of what is reckoned with: by weight, or w/v or v/v."""
    grams: Known
    """Exact grams, 0 or more."""
    ml: Known
    """Millilitres at the temperature asked for; not known for the water that makes up to the mark."""
    metered_g: Known
    """What its balance can set: whole steps."""
    balance: Balance | None = None
    """The balance that weighs it."""
    portions: int = 1
    """In how many portions it is weighed."""
    least_g: Known = NO_BALANCE
    """The least that its balance weighs within the accepted error."""

    @property
    def too_small(self) -> bool:
        """True when its balance cannot weigh it within the accepted error."""
        known = isinstance(self.grams, Fraction) and isinstance(self.least_g, Fraction)
        return known and self.grams < self.least_g  # type: ignore[operator]


@dataclass(frozen=True, slots=True, kw_only=True)
class Mixture:
    """What is taken of each component, and what results."""

    mixing: Mixing
    """What was asked."""
    parts: tuple[MixturePart, ...]
    """One for each component, in their order."""
    share: Fraction
    """The strength that results from the exact amounts, reckoned as in the parts."""
    grams: Known
    """All of it, exact grams."""
    ml: Known
    """All of it, millilitres at the temperature asked for."""
    metered_g: Known
    """The sum of the metered weights."""
    metered_share: Known
    """The strength that the metered weights really give."""
    contraction_ml: Known
    """By how much the volumes shrink when they are mixed; 0 where they grow."""
    expansion_ml: Known
    """By how much they grow, as weak spirit may; 0 where they shrink."""
    obtain_at_least: Known
    """The least amount, in grams, at which every part can be weighed within the accepted error."""
    one_of_many: bool = False
    """True when other amounts give the same strength as well."""
    ratio: tuple[int, ...] = ()
    """The amounts as whole parts, 1 : 1 : 10, where these are small."""

    @property
    def made_up(self) -> bool:
        """True when water makes up to the mark, so that its own millilitres are not measured."""
        return any(isinstance(part.ml, Missing) for part in self.parts) and not isinstance(self.ml, Missing)


def mix(mixing: Mixing, room: Workroom) -> Mixture | Missing:
    """Return how much of each component is taken, or why the wish cannot be.

    Amounts of components are kept as they are given; without any, the amount to obtain is shared out.

    Source: C1·m1 = C2·m2 and alligation as in `dilution`; volumes of ethanol by OIML R 22.
    """
    if mixing.by is MixedBy.ETHANOL:
        low, high = ethanol.reach()
        if not low <= mixing.at_c <= high:
            # The temperature as it was typed, lest 40.001 °C be said to be beyond 40 °C.
            return Missing(says=says("beyond-tables", low=low, high=high, at=plain_c(mixing.at_c)))
    shares = tuple(share_of(component.strength, mixing.by) for component in mixing.components)
    want = None if mixing.want is None else share_of(mixing.want, mixing.by)
    given = tuple(
        amount_of(component, share, mixing) for component, share in zip(mixing.components, shares, strict=True)
    )
    amounts = amounts_of(mixing, shares, given, want)
    if isinstance(amounts, Missing):
        return amounts
    return _mixture(mixing, shares, amounts, room)


# ── What results ──────────────────────────────────────────────────────────────────────────────────────────────────


def _mixture(mixing: Mixing, shares: Sequence[Fraction], amounts: Sequence[Fraction], room: Workroom) -> Mixture:
    total = sum(amounts, ZERO)
    pairs = list(zip(amounts, shares, strict=True))
    share = medial(pairs)
    by_volume = mixing.by is MixedBy.VOLUME
    parts = tuple(
        MixturePart(
            strength=component.strength,
            share=of,
            grams=BY_VOLUME if by_volume else amount,
            ml=_ml(mixing, component, amount, of),
            metered_g=BY_VOLUME if by_volume else NO_BALANCE,
            least_g=BY_VOLUME if by_volume else NO_BALANCE,
        )
        for component, (amount, of) in zip(mixing.components, pairs, strict=True)
    )
    mixture = Mixture(
        mixing=mixing,
        parts=parts,
        share=share,
        grams=BY_VOLUME if by_volume else total,
        ml=_total_ml(mixing, total, share),
        metered_g=BY_VOLUME if by_volume else NO_BALANCE,
        metered_share=BY_VOLUME if by_volume else NO_BALANCE,
        obtain_at_least=NO_BALANCE,
        one_of_many=mixing.want is not None
        and len(parts) > 2
        and all(component.quantity is None for component in mixing.components),
        ratio=_ratio(amounts),
        **_changed(mixing, pairs, share, made_up=any(part.ml == TO_THE_MARK for part in parts)),
    )
    return mixture if by_volume or not room.balances else _metered(mixture, room)


def _ml(mixing: Mixing, component: Component, amount: Fraction, share: Fraction) -> Known:
    if mixing.by is MixedBy.WEIGHT:
        return BY_WEIGHT
    if mixing.by is MixedBy.ETHANOL:
        return half_up(amount / density_of(share, mixing.at_c), BILLIONTH)
    # Volumes of solutions do not add up exactly, so plain water is never measured but made up to the mark.
    if component.strength.share == 0 and component.quantity is None:
        return TO_THE_MARK
    return amount


def _total_ml(mixing: Mixing, total: Fraction, share: Fraction) -> Known:
    if mixing.by is MixedBy.WEIGHT:
        return BY_WEIGHT
    return half_up(total / density_of(share, mixing.at_c), BILLIONTH) if mixing.by is MixedBy.ETHANOL else total


def _ratio(amounts: Sequence[Fraction]) -> tuple[int, ...]:
    """Return amounts as the smallest whole parts; nothing where a part would be above 100."""
    common = lcm(*(amount.denominator for amount in amounts))
    whole = [int(amount * common) for amount in amounts]
    shared = gcd(*whole)
    parts = tuple(share // shared for share in whole)
    return parts if max(parts) <= MOST_PARTS else ()


def _changed(
    mixing: Mixing, pairs: Sequence[tuple[Fraction, Fraction]], share: Fraction, *, made_up: bool
) -> dict[str, Known]:
    """Return by how much the volumes shrink or grow: those of the parts less that of the mixture."""
    if mixing.by is not MixedBy.ETHANOL:
        unknown = BY_WEIGHT if mixing.by is MixedBy.WEIGHT else MAY_SHRINK if made_up else TAKEN_TO_ADD_UP
        return {"contraction_ml": unknown, "expansion_ml": unknown}
    before = sum((ethanol.volume_ml(amount, of, mixing.at_c) for amount, of in pairs), ZERO)
    after = ethanol.volume_ml(sum((amount for amount, _ in pairs), ZERO), share, mixing.at_c)
    lost = before - after
    return {
        "contraction_ml": half_up(max(ZERO, lost), BILLIONTH),
        "expansion_ml": half_up(max(ZERO, -lost), BILLIONTH),
    }


# ── On the balances ───────────────────────────────────────────────────────────────────────────────────────────────


def _metered(mixture: Mixture, room: Workroom) -> Mixture:
    """Return the mixture as the balances can set it.

    Each part is metered by itself, half up, on the finest balance that holds it.  Where an amount is shared out, the
    weakest part (the diluent) takes the rounding, so that the sum is right; amounts that are given stand as they are.
    """
    finest = finest_first(room.balances)
    parts = [_on_balance(part, finest, room) for part in mixture.parts]
    if all(component.quantity is None for component in mixture.mixing.components):
        last = min(range(len(parts)), key=lambda place: (parts[place].share, -place))
        others = sum((_grams(other.metered_g) for place, other in enumerate(parts) if place != last), ZERO)
        parts[last] = _rest(parts[last], _grams(mixture.grams) - others)
    total = sum((_grams(component.metered_g) for component in parts), ZERO)
    pairs = [(_grams(component.metered_g), component.share) for component in parts]
    return replace(
        mixture,
        parts=tuple(parts),
        metered_g=total,
        metered_share=medial(pairs) if total else Missing(says=says("nothing-weighed")),
        obtain_at_least=_obtain_at_least(parts, _grams(mixture.grams), finest, room.accepted_error.share),
    )


def _grams(known: Known) -> Fraction:
    assert isinstance(known, Fraction)
    return known


def _on_balance(part: MixturePart, finest: Sequence[Balance], room: Workroom) -> MixturePart:
    grams = _grams(part.grams)
    balance = balance_for(grams, finest)
    assert balance is not None
    return replace(
        part,
        metered_g=half_up(grams, balance.readability_g),
        balance=balance,
        portions=portions_on(grams, balance),
        least_g=least_weighable(balance.readability_g, room.accepted_error.share),
    )


def _rest(part: MixturePart, grams: Fraction) -> MixturePart:
    """Return the part that takes the rounding, metered on its own balance's step; never below nothing."""
    assert part.balance is not None
    return replace(part, metered_g=half_up(max(ZERO, grams), part.balance.readability_g))


def _obtain_at_least(
    parts: Sequence[MixturePart], total: Fraction, finest: Sequence[Balance], accepted_error: Fraction
) -> Known:
    """Return the least amount at which each part is weighed within the accepted error, on the balance that holds it.

    Where a part is too small in what was asked for, the least above that.
    """
    shares = [_grams(part.grams) / total for part in parts if part.grams]
    needed = total if any(part.too_small for part in parts) else ZERO
    while shares:  # each turn goes on to where the next part begins to be; there are finitely many such weights
        more = max(_next_weighable(needed * share, finest, accepted_error) / share for share in shares)
        if more == needed:
            break
        needed = more
    return needed


def _next_weighable(grams: Fraction, finest: Sequence[Balance], accepted_error: Fraction) -> Fraction:
    """Return the first weight from a given one on that the balance which holds it weighs within the accepted error."""
    held = ZERO
    for balance in finest:
        least = max(grams, least_weighable(balance.readability_g, accepted_error))
        if balance.capacity_g is None or max(least, held) <= balance.capacity_g:
            return max(least, held)
        if balance.capacity_g > held:
            held = balance.capacity_g + balance.readability_g  # more than it holds: the next balance weighs it
    largest = balance_for(max(grams, held), finest)
    assert largest is not None
    return max(grams, held, least_weighable(largest.readability_g, accepted_error))


def vol_share(share: Known) -> Known:
    """Return the strength in %vol at 20 °C of so much ethanol by weight, as a share rounded to nine decimals.

    Source: OIML R 22 (1975).

    >>> round(vol_share(Fraction("0.5")), 6)
    Fraction(578893, 1000000)
    """
    if isinstance(share, Missing):
        return share
    return half_up(min(ONE, ethanol.volume_share(share)), BILLIONTH)
