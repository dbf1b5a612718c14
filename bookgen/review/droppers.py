"""Droppers: whether the weighings that a drop mass rests on can be trusted.

Enters: weighings of counted drops.  Leaves: queries; the same judgements hold for a material's file and at the bench.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from math import ceil

from ..findings import Missing, did_you_mean
from ..fraction import Fraction
from ..model import Balance, DropperLine
from ..reckon.dripping import MOST_COUNTED
from ..reckon.droppers import FEWEST_DROPS, FEWEST_WEIGHINGS, WIDEST_SPREAD, DropMass, drop_mass, spread
from ..reckon.figures import Reckoning
from ..reckon.measure import finest_first, least_weighable
from ..wording.saying import Saying, says
from .rule import Said

Judge = Callable[[DropperLine, DropMass], Saying | None]
"""What is to be said of a drop mass; None for nothing."""

DROP_MASSES = (Fraction("0.005"), Fraction("0.2"))
"""Grams per drop between which drops lie (common practice, no source; T03-06 has 50 drops of ether in a gram, 0.02 g,
and 12 of sulphuric acid, 0.083 g; T03-08 has 0.1 g from a wide tip)."""


def implausible_drop(reckoning: Reckoning) -> Iterator[Said]:
    """A drop weighs between 0.005 and 0.2 g; query, as a decimal sign is probably misplaced.

    Source: common practice, no source.
    """
    for material in reckoning.book.materials.values():
        for line in material.drops:
            mass = drop_mass(line)
            told = None if isinstance(mass, Missing) else implausible(line, mass)
            if told:
                yield Said(place=line.place, title=material.name, concerns=material.key, says=told)


def few_weighings(reckoning: Reckoning) -> Iterator[Said]:
    """A drop mass that a formula uses rests on three weighings or more; query, as two do not show which one is a slip.

    Source: common practice, no source.
    """
    yield from _judged(reckoning, too_few)


def drop_spread(reckoning: Reckoning) -> Iterator[Said]:
    """No weighing lies further than 15 % from the mean of its dropper; query, with the one that does.

    Source: USP 32-NF 27, general chapter <1101>: the volume error of a calibrated dropper is not over 15 %.
    """
    yield from _judged(reckoning, too_far_apart)


def _judged(reckoning: Reckoning, judge: Judge) -> Iterator[Said]:
    """Yield what a judge says of every weighed drop mass of a material that a formula uses."""
    for material in reckoning.book.materials.values():
        if not reckoning.graph.used_by.get(material.key.casefold()):
            continue
        for line in material.drops:
            mass = drop_mass(line)
            if not line.weighings or isinstance(mass, Missing):
                continue
            told = judge(line, mass)
            if told:
                yield Said(place=line.place, title=material.name, concerns=material.key, says=told)


def too_few(line: DropperLine, mass: DropMass) -> Saying | None:
    """Return what is to be said of too few weighings; None when there are enough."""
    count = len(line.weighings)
    if count >= FEWEST_WEIGHINGS:
        return None
    return says("few-weighings", count=count, dropper=line.dropper, more=FEWEST_WEIGHINGS - count)


def too_far_apart(line: DropperLine, mass: DropMass) -> Saying | None:
    """Return what is to be said of weighings that lie too far apart; None when they do not."""
    share = spread(line)
    if share <= WIDEST_SPREAD:
        return None
    furthest = max(line.weighings, key=lambda weighing: abs(weighing.grams / weighing.drops - mass.grams))
    return says(
        "drop-spread",
        drops=furthest.drops,
        grams=furthest.grams,
        off=share,
        dropper=line.dropper,
        limit=WIDEST_SPREAD,
    )


def implausible(line: DropperLine, mass: DropMass) -> Saying | None:
    """Return what is to be said of a drop that no dropper gives; None for any other."""
    low, high = DROP_MASSES
    return None if low <= mass.grams <= high else says("implausible-drop", grams=mass.grams, low=low, high=high)


def no_dropper(dropper: str, droppers: Sequence[str]) -> Saying:
    """Return what is to be said of a dropper that the workroom does not have."""
    return says("unknown-dropper", name=dropper, hint=did_you_mean(dropper, droppers) or says("write-dropper"))


def doubts(
    line: DropperLine,
    balances: Sequence[Balance],
    accepted_error: Fraction,
    droppers: Sequence[str] = (),
) -> Iterator[tuple[str, Saying]]:
    """Yield rule and sentence of every doubt about weighings at the bench; `droppers` are those of the workroom."""
    mass = drop_mass(line)
    if isinstance(mass, Missing):
        return
    judges: tuple[tuple[str, Judge], ...] = (("implausible-drop", implausible),)
    if line.weighings:
        judges += (("few-weighings", too_few), ("drop-spread", too_far_apart))
    for rule, judge in judges:
        told = judge(line, mass)
        if told:
            yield rule, told
    if droppers and line.dropper.casefold() not in {dropper.casefold() for dropper in droppers}:
        yield "unknown-dropper", no_dropper(line.dropper, droppers)
    few = tuple(dict.fromkeys(weighing.drops for weighing in line.weighings if weighing.drops < FEWEST_DROPS))
    if few:
        yield "few-drops", says("few-drops", counts=few, most=max(few), fewest=FEWEST_DROPS)
    if balances:
        yield from _too_light(line, finest_first(balances)[0], accepted_error)


def _too_light(line: DropperLine, balance: Balance, accepted_error: Fraction) -> Iterator[tuple[str, Saying]]:
    least = least_weighable(balance.readability_g, accepted_error)
    light = [weighing for weighing in line.weighings if weighing.grams < least]
    if light:
        lightest = min(light, key=lambda weighing: weighing.grams)
        count = ceil(least * lightest.drops / lightest.grams)
        yield (
            "light-drops",
            says(
                "light-drops",
                drops=lightest.drops,
                grams=lightest.grams,
                least=least,
                balance=balance.name,
                error=accepted_error * 100,
                way=says("count-more", count=count) if count <= MOST_COUNTED else says("weigh-finer"),
            ),
        )
