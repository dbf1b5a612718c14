"""The list of ingredients for the label of a cosmetic, from the label names of its materials.

Enters: a formula, its composition, its materials and the fragrance allergens that are named.  Leaves: `LabelList`.  It
is a draft: what the law asks of a label decides, and who holds a licence for it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import IntEnum
from itertools import pairwise

from ..findings import Missing
from ..fraction import Fraction
from ..language import word
from ..model import Formula, Known, Material, Period, Quantity
from ..reference import spelt
from ..reference.allergens import allergens
from ..reference.neutralised import neutralised
from ..wording.saying import Saying, says
from .allergens import Allergens
from .called import Called
from .composites import Composite, Composites
from .composition import Composition
from .densities import is_water
from .known import ONE, ZERO, add
from .limits import not_of_a_cosmetic

WATER = "Aqua"
"""The label name of water in the EU (common practice); a formula's own water has its own."""
WATERS = frozenset({"aqua", "aqua (water)", "aqua/water/eau", "eau", "water", "water (aqua)"})
"""Label names of water, in lower case; all of it is one ingredient."""
STILL_WATER = Fraction(9, 10)
"""From so much free water on, what goes by one label name is a water with that name (own choice, no source)."""
DATED_MONTHS, DATED_DAYS = 30, 915
"""What keeps so long, or less, has a date on its label (Article 19(1)(c), as guides quote it: beyond 30 months none is
asked for); 30 calendar months are at most so many days (own arithmetic)."""
LEAST_CONTENT = Fraction(5)
"""Grams or millilitres from which on a label names the content of a pack (Article 19(1)(b))."""
IN_ORDER = Fraction(1, 100)
"""What is below this share may stand in any order (Regulation (EC) No 1223/2009, Article 19(1)(g))."""


class LabelPart(IntEnum):
    """Where on the list an ingredient stands."""

    ORDERED = 0
    """By weight."""
    ANY_ORDER = 1
    """Behind those, in any order."""
    COLOURANT = 2
    """At the end, in any order."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelEntry:
    """One ingredient on the list."""

    name: str
    """Its label name; the name of the material where that has none."""
    low: Known
    """Least share by weight of the finished product."""
    high: Known
    """Greatest share by weight of the finished product."""
    part: LabelPart
    """Where it stands."""
    nameless: bool
    """True where the material has no label name."""
    allergen: bool
    """True for a fragrance allergen that is to be named."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelList:
    """The topic's figures for one formula."""

    entries: tuple[LabelEntry, ...] | Missing
    """The ingredients in their order; empty for what is no cosmetic."""
    open: tuple[Saying, ...]
    """What makes it incomplete."""
    told: tuple[Saying, ...]
    """What is to be known of its order."""

    @property
    def text(self) -> str:
        """The list as a line to be copied; a material without a label name stands in brackets."""
        if isinstance(self.entries, Missing):
            return ""
        names = [f"[{entry.name}]" if entry.nameless else entry.name for entry in self.entries]
        head = word("Ingredients (INCOMPLETE)") if self.open else word("Ingredients", "label")
        return f"{head}: {', '.join(names)}"


NO_LABEL = LabelList(entries=(), open=(), told=())
"""What is no cosmetic has no such list."""


@dataclass(slots=True)
class _Sum:
    """What has come together under one label name."""

    name: str
    nameless: bool
    alone: bool = False
    """True where a material has it as its only name beside water."""
    ends: list[tuple[Known, Known]] = field(default_factory=list)
    colours: bool = True
    allergen: bool = False

    def entry(self) -> LabelEntry:
        if len(self.ends) == 1:
            low, high = self.ends[0]
        else:
            low, high = add(least for least, _ in self.ends), add(most for _, most in self.ends)
        part = LabelPart.ANY_ORDER
        if self.colours:
            part = LabelPart.COLOURANT
        elif not isinstance(high, Missing) and high >= IN_ORDER:
            part = LabelPart.ORDERED
        return LabelEntry(name=self.name, low=low, high=high, part=part, nameless=self.nameless, allergen=self.allergen)


class _Sums:
    """What comes together under each label name, and which names stand under that of an allergen that is named."""

    def __init__(self, named: frozenset[str]) -> None:
        self._named = named
        self.found: dict[str, _Sum] = {}
        """Label name, as `spelt` has it → its sum."""
        self.groups: dict[str, dict[str, None]] = {}
        """Name of an allergen → the other names that stand under it."""

    def put(self, name: str, low: Known, high: Known, *, colours: bool, nameless: bool = False) -> _Sum:
        """Add a share, between its ends, to what has that name; return the sum."""
        row = allergens().names.get(spelt(name))
        if row is not None and row.label in self._named and spelt(row.label) != spelt(name):
            self.groups.setdefault(row.label, {})[name] = None
            name = row.label
        total = self.found.setdefault(spelt(name), _Sum(name, nameless))
        total.ends.append((low, high))
        total.colours = total.colours and colours
        return total

    def name(self, allergen: str, low: Known, high: Known) -> None:
        """Have an allergen named: what stands there already has its share."""
        total = self.found.setdefault(spelt(allergen), _Sum(allergen, nameless=False, colours=False))
        total.ends = total.ends or [(low, high)]
        total.allergen = True


def asks_for_date(period: Period) -> bool:
    """Tell whether a label has the date until which a product keeps, not how long it keeps after opening.

    Source: Regulation (EC) No 1223/2009, Article 19(1)(c), as guides quote it.

    >>> asks_for_date(Period(months=30, text="")), asks_for_date(Period(months=31, text=""))
    (True, False)
    """
    return period.months <= DATED_MONTHS and period.days <= DATED_DAYS


def asks_for_content(container: Quantity) -> bool:
    """Tell whether a label names how much a container holds; of pieces it always names their number.

    Source: Regulation (EC) No 1223/2009, Article 19(1)(b).

    >>> asks_for_content(Quantity(value=Fraction("4.9"), unit="g", text=""))
    False
    """
    return container.form is not None or container.value >= LEAST_CONTENT


def label_list(
    formula: Formula,
    composition: Composition,
    materials: Mapping[str, Material],
    called: Called,
    scents: Allergens,
    composites: Composites,
    period: Period | Missing,
    *,
    makes_soap: bool = False,
) -> LabelList:
    """Return the list of ingredients for the label of a cosmetic.

    Falling by weight in the finished product, intermediates expanded, processing aids out.  A material of several label
    names is split by their shares; free water, of whatever material, counts as water, but for what is nearly all water
    and goes by a name of its own.  An intermediate with label names of its own stands by these, in place of all that is
    in it.  Below 1 % the order is free, at 1 % exactly it is not; colourants come last.  The fragrance allergens that
    are to be named stand at their share, besides what brings them; an oil that is itself an entry of them stands once,
    by the name of that entry.  A soap has the names that the formula gives it.  The law counts what is put in: where
    much evaporates, the order may be another.

    Source: Regulation (EC) No 1223/2009, Article 19(1)(g), as guides quote it; colourants as in the German order of
    1997 that had the same rule; 21 CFR 701.3(f) from memory.
    """
    if not_of_a_cosmetic(formula) is not None:
        return NO_LABEL
    shares = composition.shares
    if isinstance(shares, Missing):
        return LabelList(entries=shares, open=(), told=())
    brought = composites.brought
    held = [key for key, share in shares.items() if key not in brought or share != brought[key]]
    sums = _Sums(frozenset(item.row.label for item in scents.judged if item.named))
    water = _water_name(held, materials)
    for key in held:
        share = shares[key] - brought[key] if key in brought else shares[key]
        for name, part, nameless in _names(materials[key], water):
            high = share if part is ONE else share * part
            low = ZERO if key in composition.at_most else high
            total = sums.put(name, low, high, colours=key in called.colourants, nameless=nameless)
            total.alone = total.alone or _is_single(materials[key])
    for composite in composites.parts.values():
        for name, part in _of_composite(composite, water):
            high = composite.share * part
            sums.put(name, ZERO if composite.at_most else high, high, colours=False)
    for item in scents.judged:
        if item.named:
            sums.name(item.row.label, item.low, item.high)
    entries = tuple(sorted((total.entry() for total in sums.found.values()), key=_place))
    return LabelList(
        entries=entries,
        open=(
            *((says("label-soap"),) if makes_soap else ()),
            *_open(held, entries, composition, materials, scents, composites),
        ),
        told=(
            *_told(entries),
            *(
                says("label-grouped", names=tuple(names), count=len(names), group=group)
                for group, names in sums.groups.items()
            ),
            *_neutralised(sums.found),
            *((says("label-after-opening"),) if isinstance(period, Period) and not asks_for_date(period) else ()),
        ),
    )


def _of_composite(composite: Composite, water: str) -> Iterator[tuple[str, Fraction]]:
    """Yield the label names of a preparation with the share of it that each has; a single one is all of it."""
    for part in composite.label:
        yield water if part.name.casefold() in WATERS else part.name, ONE if part.share is None else part.share


def _water_name(held: Iterable[str], materials: Mapping[str, Material]) -> str:
    """Return the label name of the formula's own water, the most of it first."""
    for key in held:
        material = materials[key]
        if is_water(material) and len(material.label) == 1 and material.label[0].name.casefold() in WATERS:
            return material.label[0].name
    return WATER


def _names(material: Material, water: str) -> Iterator[tuple[str, Fraction, bool]]:
    """Yield the label names of a material with the share of it that each has, and whether it lacks one."""
    free = material.water.share if material.water is not None else ZERO
    names = [(water if part.name.casefold() in WATERS else part.name, part.share) for part in material.label]
    if not names:
        if free:
            yield water, free, False
        if free < ONE:
            yield material.name, ONE - free, True
        return
    if len(names) == 1 and names[0][1] is None:
        name = names[0][0]
        rest = ONE if not free or name == water or free >= STILL_WATER else ONE - free
        yield name, rest, False
        if rest is not ONE:
            yield water, ONE - rest, False
        return
    for name, share in names:
        if share is not None:
            yield name, share, False
    if free and all(name != water for name, _ in names) and _stated(material) + free <= ONE:
        yield water, free, False


def _stated(item: Composite | Material) -> Fraction:
    return sum((part.share for part in item.label if part.share is not None), ZERO)


def _place(entry: LabelEntry) -> tuple[LabelPart, bool, Fraction, str]:
    unknown = isinstance(entry.high, Missing)
    return entry.part, unknown, ZERO if isinstance(entry.high, Missing) else -entry.high, entry.name


def _open(
    held: Iterable[str],
    entries: tuple[LabelEntry, ...],
    composition: Composition,
    materials: Mapping[str, Material],
    scents: Allergens,
    composites: Composites,
) -> Iterator[Saying]:
    """Yield what makes the list incomplete."""
    nameless = tuple(entry.name for entry in entries if entry.nameless)
    hydrates = {name: dry for name in nameless if (dry := without_its_water(name))}
    bare = tuple(name for name in nameless if name not in hydrates)
    if bare:
        yield says("label-nameless", names=bare, count=len(bare))
    for name, dry in hydrates.items():
        yield says("label-hydrate", name=name, label=dry)
    partly = (
        *(materials[key].name for key in held if _falls_short(materials[key])),
        *(part.title for part in composites.parts.values() if part.label[0].share is not None and _stated(part) < ONE),
    )
    if partly:
        yield says("label-partly", names=partly)
    besides = [key for key in composition.extracted if key not in composites.drawn]
    drawn = tuple(materials[key].name if key in materials else key for key in besides)
    if drawn:
        yield says("label-extracted", names=drawn)
    if scents.silent:
        yield says("label-allergens-open")


def without_its_water(name: str) -> str:
    """Return the label name that a hydrate probably has, as a label leaves its water of crystallisation out.

    Empty for what is not called a hydrate.

    Source: common practice, no source.

    >>> without_its_water("citric acid monohydrate"), without_its_water("citric acid")
    ('Citric Acid', '')
    """
    *words, last = name.replace(",", " ").split() or [""]
    return " ".join(words).title() if words and last.casefold() in neutralised().hydrates else ""


def _neutralised(found: Mapping[str, _Sum]) -> Iterator[Saying]:
    """Yield the acids and alkalis that make a salt of each other, where the list does not name that salt as well.

    What is one of several names of a material was named so by who sells it, and is not asked about.

    Source: `neutralised.yaml`: common practice, no source.
    """
    names = {key: total.name for key, total in found.items() if total.alone}
    for (acid, alkali), salt in neutralised().salts.items():
        if acid in names and alkali in names and spelt(salt) not in found:
            yield says("label-neutralised", acid=names[acid], alkali=names[alkali], salt=salt)


def _is_single(material: Material) -> bool:
    return sum(part.name.casefold() not in WATERS for part in material.label) == 1


def _falls_short(material: Material) -> bool:
    """Tell whether the shares of its label names leave something of a material without a name."""
    if not material.label or any(part.share is None for part in material.label):
        return False
    free = material.water.share if material.water is not None else ZERO
    watery = any(part.name.casefold() in WATERS for part in material.label)
    return _stated(material) + (ZERO if watery else free) < ONE


def _told(entries: tuple[LabelEntry, ...]) -> Iterator[Saying]:
    """Yield where the order is free, where it is not decided, and what differs elsewhere."""
    ordered = [entry for entry in entries if entry.part is LabelPart.ORDERED]
    for before, behind in pairwise(ordered):
        if isinstance(before.low, Fraction) and isinstance(behind.high, Fraction) and before.low < behind.high:
            yield says("label-unsure", first=before.name, second=behind.name)
    perhaps = tuple(entry.name for entry in ordered if isinstance(entry.low, Fraction) and entry.low < IN_ORDER)
    if perhaps:
        yield says("label-perhaps-below", names=perhaps)
    free = [entry for entry in entries if entry.part is LabelPart.ANY_ORDER]
    if free:
        yield says("label-any-order", name=free[0].name)
    at_bound = tuple(entry.name for entry in ordered if entry.low == IN_ORDER == entry.high)
    if at_bound:
        yield says("label-at-bound", names=at_bound, count=len(at_bound))
    colours = tuple(entry.name for entry in entries if entry.part is LabelPart.COLOURANT)
    if colours:
        yield says("label-colourants", names=colours, count=len(colours))
