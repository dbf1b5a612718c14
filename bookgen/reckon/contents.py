"""What the finished product carries: every substance that its materials list, summed over all of them.

Enters: a formula's composition and what each material lists under `contains:`.  Leaves: `Contents`.  Shares are by
weight of the finished product, 1 = all.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from ..findings import Missing
from ..fraction import Fraction
from ..model import ETHANOL, Book, Density, Known, Material
from ..reference import spelt
from ..reference.dangers import dangers
from ..reference.soap import soap_table
from ..wording.saying import says
from . import ethanol
from .composition import Composition
from .densities import TWENTY, grams_per_ml
from .known import ONE, add, over, times
from .measure import half_up
from .percents import by_volume_of_solution
from .strengths import content_between
from .substances import Turned, form_of, meant_by, turned


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedSubstance:
    """One substance that a material lists."""

    name: str
    """The name as written."""
    form: str
    """The same in lower case; where the table of substances has the form, the name that it has there."""
    base: str
    """The substance of which it is a form; empty when the table does not have it."""
    low: Known
    """Least share by weight of the material."""
    high: Known
    """Greatest share by weight of the material."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """One substance in the finished product."""

    substance: str
    """Its name, as a material lists it; for a sum the name of the acid, the base or the form without water."""
    share: Known
    """Share by weight of the finished product; the greatest, where it is a range."""
    low: Known | None = None
    """The least, where a material gives a range; None where it is one figure."""
    of: tuple[str, ...] = ()
    """For a sum over the forms of one substance: the forms that it comes from; empty otherwise."""
    at_most: bool = False
    """True when the share is an upper limit."""

    @property
    def exactly(self) -> Known:
        """The share, where it is one figure."""
        return self.share if self.low is None else Missing(says=says("carried-as-range", name=self.substance))


@dataclass(frozen=True, slots=True, kw_only=True)
class Contents:
    """The topic's figures for one formula."""

    carried: tuple[Carried, ...] | Missing
    """The substances, largest share first, a sum behind the first of its forms; Missing without a composition."""


NO_DENSITY = Missing(says=says("no-product-density"))
"""Why what is carried is not given by volume."""
BILLIONTH = Fraction(1, 10**9)
"""To which a strength by volume is rounded; nothing at the bench sees it."""
NOT_AT_TWENTY = Missing(says=says("not-at-twenty"))
"""Why its ethanol is not given in %vol."""

Listings = Mapping[str, tuple[ListedSubstance, ...]]
"""Material key → what it lists; materials that list nothing are left out."""


def listings(book: Book) -> Listings:
    """Return what the materials of a book list, each looked up once."""
    return {key: _listed_by(material) for key, material in book.materials.items() if material.contains}


def _listed_by(material: Material) -> tuple[ListedSubstance, ...]:
    found = []
    for entry in material.contains:
        form = form_of(entry.substance)
        meant = () if form else meant_by(entry.substance)
        family = form or (form_of(meant[0]) if meant else None)
        low, high = content_between(material, entry)
        found.append(
            ListedSubstance(
                name=entry.substance,
                form=form.name if form else entry.substance.casefold(),
                base=family.base if family else "",
                low=low,
                high=high,
            )
        )
    return tuple(found)


def contents(composition: Composition, lists: Listings, taken_up: Collection[str] = ()) -> Contents:
    """Return what the finished product carries: each substance summed over all materials, intermediates included.

    Share of a material in the product × share of the substance in the material, added up; what a material gives as a
    range is a range here.  Where salts or hydrates are among them, their sum is given as the acid, the base or the form
    without water too, by their molar masses.  A material that lists no contents adds nothing, so that what is carried
    may be more.  Lye that turned fat into soap is no longer there; other reactions are left aside.

    Source: own arithmetic; molar masses as for hydrates and salts.
    """
    shares = composition.shares
    if isinstance(shares, Missing):
        return Contents(carried=shares)
    parts: dict[str, list[tuple[Known, Known]]] = {}
    first: dict[str, ListedSubstance] = {}
    limits: set[str] = set()
    for key, share in shares.items():
        for listed in lists.get(key, ()):
            if key in taken_up and dangers().names.get(spelt(listed.name)) in soap_table().alkalis:
                continue
            first.setdefault(listed.form, listed)
            parts.setdefault(listed.form, []).append((times(listed.low, share), times(listed.high, share)))
            if key in composition.at_most:
                limits.add(listed.form)
    totals = {form: (add(low for low, _ in ends), add(high for _, high in ends)) for form, ends in parts.items()}
    found = [
        _carried(first[form].name, ends, at_most=form in limits)
        for form, ends in sorted(totals.items(), key=lambda total: _largest_first(total[0], total[1][1]))
    ]
    return Contents(carried=_with_sums(found, totals, first, limits))


def by_volume(carried: Carried, density: Density | None) -> Known:
    """Return how strong the finished product is in one substance by volume, w/v: grams in 1 mL.

    Missing without a density of the finished product, and where the share by weight is not known or is a range.

    Source: own arithmetic, `by_volume_of_solution`.
    """
    share = carried.exactly
    if isinstance(share, Missing):
        return share
    if density is None:
        return NO_DENSITY
    return by_volume_of_solution(share, grams_per_ml(density))


def percent_vol(carried: Carried, density: Density | None) -> Known | None:
    """Return how strong the finished product is in ethanol by volume at 20 °C, as a share; None for what is no ethanol.

    Grams of ethanol in 1 mL of the finished product ÷ the density of pure ethanol.  Missing without a density of the
    finished product at 20 °C (one that names no temperature is taken so); rounded to nine decimals.

    Source: OIML R 22 (1975), the strength by volume as the volume of ethanol in that of the mixture.
    """
    if carried.substance.casefold() not in ETHANOL:
        return None
    if density is not None and density.at_c not in (None, TWENTY):
        return NOT_AT_TWENTY
    strength = over(by_volume(carried, density), ethanol.density(ONE))
    return strength if isinstance(strength, Missing) else half_up(strength, BILLIONTH)


def _carried(name: str, ends: tuple[Known, Known], *, of: tuple[str, ...] = (), at_most: bool) -> Carried:
    """Return one substance by both ends of its share; what is an upper limit has no low end to speak of."""
    low, high = ends
    return Carried(substance=name, share=high, low=None if low == high or at_most else low, of=of, at_most=at_most)


def _largest_first(form: str, share: Known) -> tuple[bool, Fraction, str]:
    unknown = isinstance(share, Missing)
    return unknown, Fraction(0) if isinstance(share, Missing) else -share, form


def _with_sums(
    found: list[Carried],
    totals: Mapping[str, tuple[Known, Known]],
    first: Mapping[str, ListedSubstance],
    limits: set[str],
) -> tuple[Carried, ...]:
    """Return the substances with the sum of a family behind the first of its forms, where a salt or hydrate is met."""
    by_name = {listed.name: listed for listed in first.values()}
    families: dict[str, list[str]] = {}
    for form in totals:
        if first[form].base:
            families.setdefault(first[form].base, []).append(form)
    rows: list[Carried] = []
    for listed in found:
        rows.append(listed)
        base = by_name[listed.substance].base
        forms = families.pop(base, [])
        turns = [turned(form, base) for form in forms]
        if forms == [base] or not any(turns):
            continue  # the substance itself, or a name that several forms go by
        rows.append(
            _carried(
                base,
                (_turned(forms, turns, totals, first, 0), _turned(forms, turns, totals, first, 1)),
                of=tuple(first[form].name for form in forms),
                at_most=not limits.isdisjoint(forms),
            )
        )
    return tuple(rows)


def _turned(
    forms: list[str],
    turns: list[Turned | None],
    totals: Mapping[str, tuple[Known, Known]],
    first: Mapping[str, ListedSubstance],
    end: int,
) -> Known:
    """Return the sum of the forms of one substance, at one end of what each may be."""
    return add(
        times(totals[form][end], turn.factor)
        if turn
        else Missing(says=says("can-be", name=first[form].name, meant=tuple(meant_by(first[form].name))))
        for form, turn in zip(forms, turns, strict=True)
    )
