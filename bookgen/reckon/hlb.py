"""HLB of an emulsion, where its formula asks: what the oils require, what the nonionic emulsifiers offer.

Enters: a formula, what its product is made of and what its materials are called.  Leaves: `Emulsified`, or None where
nobody asks.  It is a starting point for trials and no more.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from ..findings import Missing
from ..fraction import Fraction
from ..model import Book, Emulsion, Formula, Material, MaterialKind, Solvent
from ..reference import spelt
from ..reference.hlb import HlbRow, hlb_table
from ..reference.incompatible import incompatible
from ..show import Fine, fixed
from ..wording.saying import Saying, says
from .amounts import Amounts
from .composition import Composition
from .functions import AROMATIC, PRESERVATIVE, items_of
from .known import ONE, ZERO
from .limits import Recognitions
from .recognised import own_names

APART = Fraction(1)
"""By how much required and offered HLB may lie apart, as printed (rule of the trade for a first trial)."""
EMULSIFIER = frozenset({"emulsifier", "co-emulsifier", "emulsifying agent"})
"""The items of a function that say that a material is there to emulsify (common practice, no source)."""
LEFT_OUT = AROMATIC | {PRESERVATIVE, "antioxidant"}
"""The items of what is in the oils in traces and asks for nothing (own choice, no source)."""
IONIC = ("cationic substances", "anionic surfactants")
"""Groups of the table of incompatible pairs with a charge, for which HLB does not hold."""
ALKALINE = ("alkalis", "amines")
"""Groups of it that turn a fatty acid into soap in place."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HlbPart:
    """One oil or one emulsifier."""

    key: str
    """Key of the material."""
    share: Fraction
    """Share by weight of the finished product."""
    value: Fraction
    """Its HLB, or the one that it requires."""
    known: Saying
    """How that is known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EmulsifierPair:
    """How two emulsifiers would meet what is required."""

    high: HlbPart
    """The one with the higher HLB."""
    low: HlbPart
    """The other."""
    share: Fraction | None
    """Share of the two that the higher one makes up; None where no mixture of them reaches it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Emulsified:
    """The topic's figures for one formula."""

    asked: Emulsion
    """What is asked."""
    oils: tuple[HlbPart, ...]
    """The oils of which it is known what they require, the most first."""
    emulsifiers: tuple[HlbPart, ...]
    """The emulsifiers of which the HLB is known, the most first."""
    left_out: tuple[str, ...]
    """Keys of what is in the oils in traces and was not reckoned with."""
    lacking: tuple[Saying, ...]
    """Why it is not judged; empty where it is."""
    required: Fraction | None
    """What the oils require together; None where it is not judged."""
    offered: Fraction | None
    """What the emulsifiers offer together; None where it is not judged."""
    blend: EmulsifierPair | None
    """What two emulsifiers would have to be; None where it is not judged, or where there are not just two."""

    @property
    def apart(self) -> Fraction | None:
        """By how much the two lie apart, as printed: above 0 where the emulsifiers offer too much; None unjudged."""
        if self.required is None or self.offered is None:
            return None
        return as_printed(self.offered) - as_printed(self.required)

    @property
    def suits(self) -> bool:
        """Whether the two lie no further apart than is usual."""
        return self.apart is not None and abs(self.apart) <= APART


def as_printed(value: Fraction) -> Fraction:
    """Return an HLB as it is printed."""
    return Fraction(fixed(value, Fine.HLB))


def together(parts: Sequence[tuple[Fraction, Fraction]]) -> Fraction:
    """Return the HLB of several emulsifiers, or what several oils require together: the mean of each, by weight.

    Weight × HLB of each, added up, ÷ the weight of all.  Nothing is rounded before it is added.  It holds for nonionic
    emulsifiers, and is a starting point for trials: temperature, order and stirring decide as much.

    Source: Griffin's rule as lecture notes and OCL 29 (2022), article ocl210096, have it; tables of HLB row by row.

    >>> together([(Fraction(9), Fraction(15)), (Fraction(1), Fraction("4.3"))])
    Fraction(1393, 100)
    """
    return sum((weight * value for weight, value in parts), ZERO) / sum((weight for weight, _ in parts), ZERO)


def share_of_higher(high: Fraction, low: Fraction, wanted: Fraction) -> Fraction | None:
    """Return which share of two emulsifiers the one with the higher HLB has to be, where a mixture can reach it.

    By alligation: (wanted − lower) ÷ (higher − lower).

    Source: own arithmetic; examples in a study of emulsifier pairs (PMC3969497, Table I).

    >>> share_of_higher(Fraction(15), Fraction("4.3"), Fraction(12))
    Fraction(77, 107)
    """
    share = (wanted - low) / (high - low)
    return share if ZERO <= share <= ONE else None


def emulsified(
    formula: Formula, book: Book, amounts: Amounts, composition: Composition, found: Recognitions
) -> Emulsified | None:
    """Return what the oils of a formula require and what its emulsifiers offer; None where `emulsion:` is not written.

    An emulsifier is what has an HLB, written or tabled, or is called one; an oil what has a required HLB, or dissolves
    in oil and not in water, or is a wax or a butter.  What the keeper wrote stands before the table.  `found` is what
    the materials were recognised as by the table of pairs.

    Source: `hlb.yaml`, row by row.
    """
    asked = formula.emulsion
    if asked is None:
        return None
    shares = composition.shares
    if isinstance(shares, Missing):
        return _unjudged(asked, (shares.says,))
    items = _items(book, amounts)
    oils: list[HlbPart] = []
    emulsifiers: list[HlbPart] = []
    left_out: list[str] = []
    lacking: list[Saying] = []
    for key, share in shares.items():
        material, its = book.materials[key], items.get(key, frozenset(items_of(book.materials[key].function)))
        required = _required(material, asked)
        oil_by_word = material.required_hlb is not None and material.hlb is None
        offered = None if oil_by_word else _offered(material)
        if PRESERVATIVE not in its and (ionic := _of_groups(found, key, IONIC)):
            lacking.append(says("hlb-ionic", name=material.name, substance=ionic))
        elif offered is not None:
            emulsifiers.append(HlbPart(key=key, share=share, value=offered[0], known=offered[1]))
        elif not oil_by_word and (its & EMULSIFIER or _lists_emulsifier(material)):
            lacking.append(says("hlb-not-written", name=material.name))
        elif its & LEFT_OUT and _is_oil(material):
            left_out.append(key)
        elif required is not None:
            oils.append(HlbPart(key=key, share=share, value=required[0], known=required[1]))
        elif _is_oil(material):
            lacking.append(says("hlb-not-required", name=material.name, how=way_of(asked)))
    lacking += _soap(book, shares, found)
    if not lacking and not emulsifiers:
        lacking.append(says("hlb-no-emulsifier"))
    if not lacking and not oils:
        lacking.append(says("hlb-no-oil"))
    needs = None if lacking else together([(part.share, part.value) for part in oils])
    has = None if lacking else together([(part.share, part.value) for part in emulsifiers])
    return Emulsified(
        asked=asked,
        oils=tuple(oils),
        emulsifiers=tuple(emulsifiers),
        left_out=tuple(left_out),
        lacking=tuple(lacking),
        required=needs,
        offered=has,
        blend=None if needs is None else _blend(emulsifiers, needs),
    )


def _unjudged(asked: Emulsion, lacking: tuple[Saying, ...]) -> Emulsified:
    return Emulsified(
        asked=asked,
        oils=(),
        emulsifiers=(),
        left_out=(),
        lacking=lacking,
        required=None,
        offered=None,
        blend=None,
    )


def _items(book: Book, amounts: Amounts) -> dict[str, frozenset[str]]:
    """Return what the materials of the formula's own lines are called: by the line and by their files."""
    found: dict[str, frozenset[str]] = {}
    for line in amounts.lines:
        material = book.materials.get(line.key)
        if material is not None:
            own = frozenset((*items_of(line.line.function), *items_of(material.function)))
            found[line.key] = found.get(line.key, frozenset()) | own
    return found


def way_of(asked: Emulsion) -> str:
    """Return how an emulsion is called: o/w or w/o."""
    return "w/o" if asked is Emulsion.WATER_IN_OIL else "o/w"


def _required(material: Material, asked: Emulsion) -> tuple[Fraction, Saying] | None:
    """Return what a material requires, and how that is known: by its file, else by the table for oil in water."""
    own = material.required_hlb
    if own is not None:
        value = own.water_in_oil if asked is Emulsion.WATER_IN_OIL else own.oil_in_water
        return None if value is None else (value, says("its-file-says"))
    return None if asked is Emulsion.WATER_IN_OIL else _tabled(material, hlb_table().oils)


def _offered(material: Material) -> tuple[Fraction, Saying] | None:
    """Return the HLB of a material, and how that is known: by its file, else by the table."""
    if material.hlb is not None:
        return material.hlb, says("its-file-says")
    return _tabled(material, hlb_table().emulsifiers)


def _tabled(material: Material, rows: Mapping[str, HlbRow]) -> tuple[Fraction, Saying] | None:
    """Return the figure of the table where the material's own names stand for one row."""
    found = {row for name in own_names(material) if (row := rows.get(spelt(name))) is not None}
    if len(found) != 1:
        return None
    (row,) = found
    return row.value, says("known-so", known=row.known)


def _lists_emulsifier(material: Material) -> bool:
    """Tell whether a material lists an emulsifier of the table, or has the names of two, so that its HLB is another."""
    listed = (*(entry.substance for entry in material.contains), *(label.name for label in material.label))
    return any(spelt(name) in hlb_table().emulsifiers for name in (*listed, *own_names(material)))


def _is_oil(material: Material) -> bool:
    """Tell whether a material is an oil: by a required HLB, for whichever emulsion, by its kind or its solvents."""
    if material.required_hlb is not None or _tabled(material, hlb_table().oils) is not None:
        return True
    if material.kind in (MaterialKind.WAX, MaterialKind.BUTTER):
        return True
    return Solvent.OIL in material.soluble and Solvent.WATER not in material.soluble


def _of_groups(found: Recognitions, key: str, groups: Sequence[str]) -> str:
    """Return the substance of a group that a material is or lists; empty where there is none."""
    table = incompatible()
    held = (told.substance for told in found.get(key, ()))
    return next((name for name in held if not table.groups_of[name].isdisjoint(groups)), "")


def _soap(book: Book, shares: Mapping[str, Fraction], found: Recognitions) -> Iterator[Saying]:
    """Yield that a soap forms in place, where a fatty acid or beeswax meets an alkali."""
    formers = hlb_table().soap_formers
    acid = next((key for key in shares if any(spelt(name) in formers for name in own_names(book.materials[key]))), "")
    alkali = next((key for key in shares if _of_groups(found, key, ALKALINE)), "")
    if acid and alkali:
        yield says("hlb-soap", acid=book.materials[acid].name, alkali=book.materials[alkali].name)


def _blend(emulsifiers: Sequence[HlbPart], wanted: Fraction) -> EmulsifierPair | None:
    if len(emulsifiers) != 2:
        return None
    low, high = sorted(emulsifiers, key=lambda part: part.value)
    if low.value == high.value:
        return None
    return EmulsifierPair(high=high, low=low, share=share_of_higher(high.value, low.value, wanted))


def hlb_told(found: Emulsified | None, book: Book) -> Iterator[Saying]:
    """Yield what was reckoned with, how the two stand, and what a blend of two would have to be."""
    if found is None:
        return
    for parts, is_oil in ((found.oils, True), (found.emulsifiers, False)):
        whole = sum((part.share for part in parts), ZERO)
        for part in parts:
            yield says(
                "hlb-oil" if is_oil else "hlb-emulsifier",
                name=book.name_of(part.key),
                share=part.share / whole,
                value=part.value,
                known=part.known,
            )
    if found.left_out:
        yield says("hlb-left-out", names=tuple(map(book.name_of, found.left_out)))
    if found.lacking:
        yield says("hlb-unjudged", why=found.lacking)
    else:
        yield says(
            "hlb-suits" if found.suits else "hlb-apart",
            how=way_of(found.asked),
            required=found.required,
            offered=found.offered,
            most=APART,
        )
        if found.blend is not None:
            yield blend_told(found.blend, book)


def blend_told(blend: EmulsifierPair, book: Book) -> Saying:
    """Return what two emulsifiers would have to be."""
    high, low = book.name_of(blend.high.key), book.name_of(blend.low.key)
    if blend.share is None:
        return says("hlb-no-blend", high=high, low=low)
    return says("hlb-blend", high=high, low=low, share=blend.share, rest=ONE - blend.share)
