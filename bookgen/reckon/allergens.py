"""Fragrance allergens: what a label of a cosmetic names above a share of it, and which material does not say enough.

Enters: a formula, its composition, what its materials list and are called.  Leaves: `Allergens`.  The law binds what is
put on the market; for the keeper it is a guide.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ..findings import Missing
from ..fraction import Fraction
from ..model import Contact, Formula, Known, Material
from ..reference import spelt
from ..reference.allergens import AllergenRow, allergens
from ..wording.saying import Saying, says
from .called import Called
from .ceilings import Outcome
from .composition import Composition
from .known import ONE, ZERO, add, times
from .limits import not_of_a_cosmetic
from .recognised import listed_contents, listed_labels, own_names


@dataclass(frozen=True, slots=True, kw_only=True)
class AllergenHeld:
    """One entry of the list in a material."""

    row: AllergenRow
    """The entry."""
    low: Known
    """Least share by weight of the material."""
    high: Known
    """Greatest share by weight of the material."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AllergenJudged:
    """One entry of the list in the finished product."""

    row: AllergenRow
    """The entry."""
    materials: tuple[str, ...]
    """Keys of the materials that bring it."""
    low: Known
    """Least share by weight of the finished product."""
    high: Known
    """Greatest share by weight of the finished product."""
    outcome: Outcome
    """Beyond the share above which it is named, below it, between, or not known."""

    @property
    def named(self) -> bool:
        """True when a label names it: at the high end of what it may be, it is beyond."""
        return self.outcome is not Outcome.BELOW


@dataclass(frozen=True, slots=True, kw_only=True)
class Allergens:
    """The topic's figures for one formula."""

    judged: tuple[AllergenJudged, ...]
    """What it holds of the list: what is named first, the most of it first."""
    above: Fraction
    """The share above which an entry is named."""
    contact: Contact
    """The way of use for which that holds: leave-on where the formula does not say."""
    assumed: Saying | None
    """What its use does not say."""
    silent: tuple[str, ...]
    """Keys of the aromatic materials that do not say what they contain, of what has no file yet its name: with one of
    them the list is incomplete."""


AllergensHeld = Mapping[str, tuple[AllergenHeld, ...]]
"""Material key → what it holds of the list; materials that hold nothing of it are left out."""
NONE_HELD = Allergens(judged=(), above=ZERO, contact=Contact.LEAVE_ON, assumed=None, silent=())
"""What is said of a product that holds nothing aromatic, and of what is no cosmetic."""


def held_by(material: Material) -> tuple[AllergenHeld, ...]:
    """Return what a material is or lists of the fragrance allergens.

    What it lists under `contains:`, or with a share under `label:`, stands at that share, the names of one entry added
    up.  Its own names (`known as:`, else name, synonyms and label names) stand for the whole of it, but for an entry of
    which it lists something.

    Source: the names of the table; own arithmetic.
    """
    names = allergens().names
    found: dict[AllergenRow, list[tuple[Known, Known]]] = {}
    for listing in (listed_contents(material), listed_labels(material)):
        here: dict[AllergenRow, list[tuple[Known, Known]]] = {}
        for name, ends in listing:
            row = names.get(spelt(name))
            if row is not None:
                here.setdefault(row, []).append(ends)
        found = here | found  # what stands in two lists counts once
    whole = ONE if material.contains or material.water is None else ONE - material.water.share
    for name in own_names(material):
        row = names.get(spelt(name))
        if row is not None:
            found.setdefault(row, [(whole, whole)])
    return tuple(
        AllergenHeld(row=row, low=add(low for low, _ in ends), high=add(high for _, high in ends))
        for row, ends in found.items()
    )


def allergens_of(
    formula: Formula,
    composition: Composition,
    materials: Mapping[str, Material],
    held: AllergensHeld,
    called: Called,
) -> Allergens:
    """Return which fragrance allergens a label of a cosmetic names.

    The share of each entry is summed over all materials, intermediates included, at both ends of what it may be.  It is
    named where the high end is above 0.001 % of what stays on and 0.01 % of what is rinsed off; at that share exactly
    it is not.  A product whose use does not say which is taken to stay on.  An aromatic material that lists no contents
    may bring more; one that is itself a single substance of the list says enough.

    Source: Regulation (EC) No 1223/2009, Annex III, as amended by (EU) 2023/1545; the reckoning is own arithmetic.
    """
    silent = tuple(key for key in sorted(called.aromatic) if is_silent(materials.get(key), held.get(key, ())))
    holding = [key for key in sorted(composition.materials) if key in held]
    if not_of_a_cosmetic(formula) is not None or not (holding or silent):
        return NONE_HELD
    table, contact = allergens(), formula.use.contact if formula.use is not None else None
    judged = tuple(_judged(composition, holding, held, table.above[contact or Contact.LEAVE_ON]))
    return Allergens(
        judged=tuple(sorted(judged, key=_named_first)),
        above=table.above[contact or Contact.LEAVE_ON],
        contact=contact or Contact.LEAVE_ON,
        assumed=None if contact else says("contact-assumed"),
        silent=silent,
    )


def is_silent(material: Material | None, held: tuple[AllergenHeld, ...]) -> bool:
    """Tell whether an aromatic material does not say what it contains."""
    return (material is None or not material.contains) and not any(not item.row.mixture for item in held)


def _judged(
    composition: Composition, holding: list[str], held: AllergensHeld, above: Fraction
) -> Iterator[AllergenJudged]:
    shares = composition.shares
    parts: dict[AllergenRow, list[tuple[str, Known, Known]]] = {}
    for key in holding:
        share = shares if isinstance(shares, Missing) else shares[key]
        for item in held[key]:
            low, high = times(item.low, share), times(item.high, share)
            least = ZERO if key in composition.at_most and not isinstance(low, Missing) else low
            parts.setdefault(item.row, []).append((key, least, high))
    for row, brought in parts.items():
        low, high = add(least for _, least, _ in brought), add(most for _, _, most in brought)
        if high == 0:
            continue
        yield AllergenJudged(
            row=row,
            materials=tuple(key for key, _, _ in brought),
            low=low,
            high=high,
            outcome=_stands(low, high, above),
        )


def _stands(low: Known, high: Known, above: Fraction) -> Outcome:
    if isinstance(low, Missing) or isinstance(high, Missing):
        return Outcome.UNKNOWN
    if high <= above:
        return Outcome.BELOW
    return Outcome.BEYOND if low > above else Outcome.CROSSES


def _named_first(item: AllergenJudged) -> tuple[bool, bool, Fraction, str]:
    unknown = isinstance(item.high, Missing)
    return not item.named, unknown, ZERO if isinstance(item.high, Missing) else -item.high, item.row.label
