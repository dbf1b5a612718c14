"""Droppers: whether the weighings that a drop mass rests on can be trusted.

Enters: weighings of counted drops.  Leaves: queries; the same judgements hold for a material's file and at the bench.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from math import ceil

from ..findings import Missing, did_you_mean
from ..model import Balance, DropperLine
from ..reckon.dripping import MOST_COUNTED
from ..reckon.droppers import FEWEST_DROPS, FEWEST_WEIGHINGS, WIDEST_SPREAD, DropMass, drop_mass, spread
from ..reckon.figures import Reckoning
from ..reckon.measure import finest_first, least_weighable
from ..show import Signs, apart, not_below, plain, signs_of, stated
from .rule import Said

Judge = Callable[[DropperLine, DropMass, Signs], str]
"""What is to be said of a drop mass; empty for nothing."""

DROP_MASSES = (Fraction("0.005"), Fraction("0.2"))
"""Grams per drop between which drops lie (common practice, no source; T03-06 has 50 drops of ether in a gram, 0.02 g,
and 12 of sulphuric acid, 0.083 g; T03-08 has 0.1 g from a wide tip)."""


def implausible_drop(reckoning: Reckoning) -> Iterator[Said]:
    """A drop weighs between 0.005 and 0.2 g; query, as a decimal sign is probably misplaced.

    Source: common practice, no source.
    """
    signs = signs_of(reckoning.book.workroom)
    for material in reckoning.book.materials.values():
        for line in material.drops:
            mass = drop_mass(line)
            words = "" if isinstance(mass, Missing) else implausible_words(line, mass, signs)
            if words:
                yield Said(place=line.place, title=material.name, concerns=material.key, words=words)


def few_weighings(reckoning: Reckoning) -> Iterator[Said]:
    """A drop mass that a formula uses rests on three weighings or more; query, as two do not show which one is a slip.

    Source: common practice, no source.
    """
    yield from _judged(reckoning, few_words)


def drop_spread(reckoning: Reckoning) -> Iterator[Said]:
    """No weighing lies further than 15 % from the mean of its dropper; query, with the one that does.

    Source: USP 32-NF 27, general chapter <1101>: the volume error of a calibrated dropper is not over 15 %.
    """
    yield from _judged(reckoning, spread_words)


def _judged(reckoning: Reckoning, judge: Judge) -> Iterator[Said]:
    """Yield what a judge says of every weighed drop mass of a material that a formula uses."""
    signs = signs_of(reckoning.book.workroom)
    for material in reckoning.book.materials.values():
        if not reckoning.graph.used_by.get(material.key.casefold()):
            continue
        for line in material.drops:
            mass = drop_mass(line)
            if not line.weighings or isinstance(mass, Missing):
                continue
            words = judge(line, mass, signs)
            if words:
                yield Said(place=line.place, title=material.name, concerns=material.key, words=words)


def few_words(line: DropperLine, mass: DropMass, signs: Signs) -> str:
    """Return what is to be said of too few weighings; empty when there are enough."""
    count = len(line.weighings)
    if count >= FEWEST_WEIGHINGS:
        return ""
    many = "1 weighing" if count == 1 else f"{count} weighings"
    return f"{many} cannot show a slip; weigh drops of {line.dropper} {_times(FEWEST_WEIGHINGS - count)} more"


def _times(count: int) -> str:
    return "once" if count == 1 else "twice" if count == 2 else f"{count} times"


def spread_words(line: DropperLine, mass: DropMass, signs: Signs) -> str:
    """Return what is to be said of weighings that lie too far apart; empty when they do not."""
    share = spread(line)
    if share <= WIDEST_SPREAD:
        return ""
    furthest = max(line.weighings, key=lambda one: abs(one.grams / one.drops - mass.grams))
    off, limit = apart(share * 100, WIDEST_SPREAD * 100, signs, 2)
    return (
        f"{_drops(furthest.drops)} {plain(furthest.grams, signs)} g lies {off} % from the mean of {line.dropper}, more "
        f"than the {limit} % that a calibrated dropper may be off; count and weigh again"
    )


def implausible_words(line: DropperLine, mass: DropMass, signs: Signs) -> str:
    """Return what is to be said of a drop that no dropper gives; empty for any other."""
    if DROP_MASSES[0] <= mass.grams <= DROP_MASSES[1]:
        return ""
    limits = stated("0.005 to 0.2", signs)
    return f"a drop of {plain(mass.grams, signs)} g is outside {limits} g; is the decimal sign in the right place?"


def unknown_words(dropper: str, droppers: Sequence[str]) -> str:
    """Return what is to be said of a dropper that the workroom does not have."""
    hint: object = did_you_mean(dropper, droppers) or " Write it under `droppers:` in workroom.yaml."
    return f"the workroom has no dropper called {dropper}.{hint}"


def doubts(
    line: DropperLine,
    balances: Sequence[Balance],
    accepted_error: Fraction,
    signs: Signs,
    droppers: Sequence[str] = (),
) -> Iterator[tuple[str, str]]:
    """Yield rule and words of every doubt about weighings at the bench; `droppers` are those that the workroom has."""
    mass = drop_mass(line)
    if isinstance(mass, Missing):
        return
    judges: tuple[tuple[str, Judge], ...] = (("implausible-drop", implausible_words),)
    if line.weighings:
        judges += (("few-weighings", few_words), ("drop-spread", spread_words))
    for rule, judge in judges:
        words = judge(line, mass, signs)
        if words:
            yield rule, words
    if droppers and line.dropper.casefold() not in {one.casefold() for one in droppers}:
        yield "unknown-dropper", unknown_words(line.dropper, droppers)
    few = [one for one in line.weighings if one.drops < FEWEST_DROPS]
    if few:
        counts = " and ".join(dict.fromkeys(str(one.drops) for one in few))
        drops = "drop" if counts == "1" else "drops"
        yield (
            "few-drops",
            f"{counts} {drops} in a weighing: one miscounted would be too much; count {FEWEST_DROPS} or more",
        )
    if balances:
        yield from _too_light(line, finest_first(balances)[0], accepted_error, signs)


def _too_light(
    line: DropperLine, balance: Balance, accepted_error: Fraction, signs: Signs
) -> Iterator[tuple[str, str]]:
    least = least_weighable(balance.readability_g, accepted_error)
    light = [one for one in line.weighings if one.grams < least]
    if light:
        one = min(light, key=lambda weighing: weighing.grams)
        count = ceil(least * one.drops / one.grams)
        weigh = "weighs" if one.drops == 1 else "together weigh"
        words = f"{_drops(one.drops)} {weigh} {plain(one.grams, signs)} g, less than the {not_below(least, signs)} g"
        within = f"that the {balance.name} weighs within {plain(accepted_error * 100, signs)} %"
        more = f"count {count} or more" if count <= MOST_COUNTED else "weigh them on a finer balance"
        yield "light-drops", f"{words} {within}; {more}"


def _drops(count: int) -> str:
    return f"{count} {'drop' if count == 1 else 'drops'}"
