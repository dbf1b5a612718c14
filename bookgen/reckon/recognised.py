"""Which substances of the published tables a material holds, and by which of its names each was told.

Enters: a material.  Leaves: `Recognised`, one a substance.  A name counts as a whole, ignoring case; a part never.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache

from ..findings import Missing
from ..fraction import Fraction
from ..model import ETHANOL, Known, Material
from ..reference import spelt
from ..reference.limits import limits
from ..reference.preservatives import preservatives
from ..wording.saying import says
from .known import ONE
from .named_strength import By, named_strength
from .same import Same
from .strengths import content_between

NOTHING_LISTED = "nothing listed"
"""What the keeper writes where a material is none of the substances of the tables."""
_DISSOLVED = (" solution", " aqueous solution", " in water", "-lösung", "lösung", " in wasser")
"""What may stand between a substance and the strength of its solution."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Recognised:
    """One substance of the tables in a material."""

    substance: str
    """The substance, by the first name that the tables have for it."""
    name: str
    """The name by which it was told, as the material has it."""
    low: Known
    """Least share by weight of the material."""
    high: Known
    """Greatest share by weight of the material."""
    whole: bool
    """True when the material itself goes by that name; False when it lists the substance."""


@cache
def names_of_tables() -> Mapping[str, str]:
    """Return any name of the tables, as `spelt` has it → the first name of its substance."""
    return {**preservatives().names, **limits().names}


def recognised(material: Material, names: Mapping[str, str]) -> tuple[Recognised, ...]:
    """Return the substances of a table, by its names, that a material is or lists.

    What it lists under `contains:`, or with a share under `label:`, stands at that share.  Its own names (`known as:`,
    else name, synonyms and label names) stand for the whole of it less its water, but for a substance that it lists.

    A name with a strength stands for that share of what it names, if the rest is written as water;
    else nobody knows of what it is that share.

    Source: the names of the tables; own arithmetic.
    """
    found: dict[str, Recognised] = {}
    for name, (low, high) in (*listed_contents(material), *listed_labels(material)):
        substance = names.get(spelt(name))
        if substance is not None and substance not in found:
            found[substance] = Recognised(substance=substance, name=name, low=low, high=high, whole=False)
    own = identities(material, names)
    of_limits = [substance for substance in own if substance in limits().by_substance]
    sure = own if len(own) == 1 or material.known_as else of_limits if len(of_limits) == 1 else ()
    for substance in sure:
        if substance not in found:
            name = own[substance]
            share = ONE if material.contains or material.water is None else ONE - material.water.share
            found[substance] = Recognised(substance=substance, name=name, low=share, high=share, whole=True)
    for strong in strengths_named(material, names) if not own else ():
        if strong.substance not in found:
            unknown = Missing(says=says("strength-of-what", name=strong.name))
            told = strong.share if strong.is_told else unknown
            found[strong.substance] = Recognised(
                substance=strong.substance, name=strong.name, low=told, high=told, whole=False
            )
    return tuple(found.values())


def recognised_among(materials: Mapping[str, Material], names: Mapping[str, str]) -> dict[str, tuple[Recognised, ...]]:
    """Return what each material was recognised as, by its key; those of which the table has nothing are left out.

    A record that reading left as it was is not looked through again.
    """
    return {key: found for key, material in materials.items() if (found := _known(Same(material), Same(names)))}


@lru_cache(maxsize=16384)
def _known(material: Same[Material], names: Same[Mapping[str, str]]) -> tuple[Recognised, ...]:
    return recognised(material.record, names.record)


def identities(material: Material, names: Mapping[str, str]) -> dict[str, str]:
    """Return the substances that the material's own names stand for → the first such name.

    More than one, unless the keeper wrote `known as:`, is a question: nobody can be two substances.
    """
    found: dict[str, str] = {}
    for name in own_names(material):
        substance = names.get(spelt(name))
        if substance is not None and spelt(name) != NOTHING_LISTED:
            found.setdefault(substance, name)
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class StrengthNamed:
    """A name with a strength."""

    substance: str
    """The substance, by the first name that the tables have for it."""
    name: str
    """The whole name, as the material has it."""
    share: Fraction
    """The strength that it says."""
    by_volume: bool
    """True for a strength by volume, as that of ethanol is."""
    is_told: bool
    """True where the rest of the material is written as water."""


def strengths_named(material: Material, names: Mapping[str, str]) -> Iterator[StrengthNamed]:
    """Yield the names of a material that say a strength, of a substance that it does not list itself.

    `known as:` ends the question, and so does what it lists under `contains:`, or with shares under `label:`.

    >>> material = Material(name="Sodium benzoate solution 33 %")
    >>> [(one.substance, one.share, one.is_told) for one in strengths_named(material, names_of_tables())]
    [('Sodium benzoate', Fraction(33, 100), False)]
    """
    if material.known_as or material.contains or any(label.share is not None for label in material.label):
        return
    for name in own_names(material):
        strong = named_strength(name)
        if strong is None or spelt(name) in names:
            continue
        stem = spelt(strong.name)
        for ending in ("", *_DISSOLVED):
            substance = names.get(spelt(stem.removesuffix(ending)), "")
            if substance:
                rest = None if material.water is None else ONE - material.water.share
                by_volume = strong.by is By.VOLUME or (strong.by is By.UNSAID and spelt(substance) in ETHANOL)
                yield StrengthNamed(
                    substance=substance,
                    name=name,
                    share=strong.share,
                    by_volume=by_volume,
                    is_told=rest == strong.share and not by_volume and strong.by is not By.WEIGHT_IN_VOLUME,
                )
                break


def own_names(material: Material) -> tuple[str, ...]:
    """Return the names that stand for the whole of a material: `known as:`, else name, synonyms and label names."""
    return material.known_as or (
        material.name,
        *material.also,
        *(label.name for label in material.label if not label.share),
    )


def named(name: str) -> str:
    """Return the substance that goes by a name; an empty string where the tables of limits have none."""
    return limits().names.get(spelt(name), "")


def counted(substance: str, form: str) -> Fraction | None:
    """Return how many grams of a form 1 g of a substance counts as; None where the tables do not tell.

    Source: own arithmetic on standard atomic weights.

    >>> counted("Sodium benzoate", "benzoic acid")
    Fraction(122122, 144103)
    """
    if not form or spelt(substance) == form:
        return ONE
    return limits().counts.get((spelt(substance), form))


def listed_contents(material: Material) -> Iterator[tuple[str, tuple[Known, Known]]]:
    """Yield what a material lists under `contains:`, with its least and greatest share by weight."""
    for entry in material.contains:
        yield entry.substance, content_between(material, entry)


def listed_labels(material: Material) -> Iterator[tuple[str, tuple[Known, Known]]]:
    """Yield what a material lists with a share under `label:`, with its least and greatest share by weight."""
    for label in material.label:
        if label.share is not None:
            yield label.name, (label.share, label.share)
