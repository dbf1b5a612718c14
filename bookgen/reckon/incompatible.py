"""What does not go together: pairs that a material's file declares, and pairs of the table.

Enters: a formula, what is in it or meets in its making, and what its materials were recognised as.  Leaves: `Clash`es.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from ..findings import Missing
from ..fraction import Fraction
from ..model import Book, Incompatible, Known, Material, MaterialKind
from ..reference import spelt
from ..reference.incompatible import Medium, PairRow, incompatible
from ..wording.saying import Saying, says
from .amounts import Amounts
from .composition import Composition
from .known import ZERO, times
from .limits import Recognitions
from .recognised import own_names
from .same import Same


@dataclass(frozen=True, slots=True, kw_only=True)
class Party:
    """One material of a pair."""

    key: str
    """Key of the material, or of what has no file yet."""
    substance: str
    """What in it is meant; empty where it is the material itself."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """What does not go together in one formula, by one row of the table or by one word of a file."""

    firsts: tuple[Party, ...]
    """One side."""
    seconds: tuple[Party, ...]
    """The other."""
    row: PairRow | None
    """The row of the table; None where a file declares it."""
    because: str
    """What happens, as the file of the first has it; empty where it does not say, and for a row."""
    told_before: bool = False
    """True when they meet in an intermediate already, which has the finding."""

    @property
    def keys(self) -> frozenset[str]:
        """Every material of it."""
        return frozenset(party.key for party in (*self.firsts, *self.seconds))


Declared = Mapping[str, tuple[tuple[Incompatible, frozenset[str]], ...]]
"""Material key → each word under `incompatible with:`, with the keys of the materials that it stands for."""


def declared(book: Book, tables: Sequence[tuple[Mapping[str, str], Recognitions]]) -> Declared:
    """Return what the materials' files declare: `tables` has the names of each table and what was recognised by it.

    A word stands for the materials that have it as a file, name, synonym, label name or `known as:`, for those that
    list it as a content, for those that a table knows by another name of the same substance, and, where it is a group
    of the table of pairs, for those that hold a substance of it.  A part of a name never counts.

    Source: own choice, no source.
    """
    speaking = [material for material in book.materials.values() if material.incompatible_with]
    if not speaking:
        return {}
    wanted = {spelt(word.name) for material in speaking for word in material.incompatible_with}
    targets: dict[str, set[str]] = {name: set() for name in wanted}
    for key, material in book.materials.items():
        for name in _names_of(Same(material)) & wanted:
            targets[name].add(key)
    for key, unfiled in book.naming.unfiled.items():
        targets.get(spelt(unfiled), set()).add(key)
    for names, recognitions in tables:
        for name in wanted:
            substances = {names[name]} if name in names else set[str]()
            if names is incompatible().names:
                substances |= incompatible().groups.get(name, frozenset())
            if substances:
                targets[name] |= {
                    key for key, found in recognitions.items() if any(told.substance in substances for told in found)
                }
    return {
        material.key.casefold(): tuple(
            (word, frozenset(targets[spelt(word.name)]) - {material.key.casefold()})
            for word in material.incompatible_with
        )
        for material in speaking
    }


@lru_cache(maxsize=16384)
def _names_of(material: Same[Material]) -> frozenset[str]:
    """Return every name that a material has or lists, as the tables are searched by it."""
    record = material.record
    listed = (*(entry.substance for entry in record.contains), *(label.name for label in record.label))
    return frozenset(map(spelt, (record.key, record.name, *own_names(record), *listed)))


def clashes_of(
    book: Book,
    amounts: Amounts,
    composition: Composition,
    water: Known,
    found: Recognitions,
    words: Declared,
    inner: Mapping[str, tuple[Clash, ...]],
) -> tuple[Clash, ...]:
    """Return what does not go together: what is in the finished product, and what only meets in its making.

    Both are in the product, themselves or through intermediates, or one is taken out again by a line of this formula: a
    processing aid of an intermediate has met its product there.  Where a row has a share, the group counts at its
    highest share of the product, and nothing is told where that is not known.

    Source: `incompatible.yaml`, row by row, and the materials' files.
    """
    met = _together(amounts, composition, inner)
    if words.keys().isdisjoint(met) and found.keys().isdisjoint(met) and book.naming.unfiled.keys().isdisjoint(met):
        return ()
    own = tuple(_declared(met, words))
    told = {frozenset({first.key, second.key}) for clash in own for first in clash.firsts for second in clash.seconds}
    rows = (clash for clash in _tabled(book, met, composition, water, found) if not _is_told(clash, told))
    before = [clash for line in amounts.lines for clash in inner.get(line.key, ())]
    return tuple(
        Clash(
            firsts=clash.firsts,
            seconds=clash.seconds,
            row=clash.row,
            because=clash.because,
            told_before=any(_holds(other, clash) for other in before),
        )
        for clash in (*own, *rows)
    )


def _together(amounts: Amounts, composition: Composition, inner: Mapping[str, tuple[Clash, ...]]) -> tuple[str, ...]:
    """Return the keys of what is in the product or meets it, in the order of their names."""
    own = (line.key for line in amounts.lines if line.key not in inner)
    return tuple(sorted({*composition.materials, *composition.unfiled, *composition.extracted, *own}))


def _declared(met: Sequence[str], words: Declared) -> Iterator[Clash]:
    """Yield the pairs that files declare, each once, where both name the other."""
    told: set[frozenset[str]] = set()
    for key in met:
        for word, targets in words.get(key, ()):
            others = [other for other in met if other in targets and frozenset({key, other}) not in told]
            if others:
                told |= {frozenset({key, other}) for other in others}
                yield Clash(
                    firsts=(Party(key=key, substance=""),),
                    seconds=tuple(Party(key=other, substance="") for other in others),
                    row=None,
                    because=word.because,
                )


def _tabled(
    book: Book, met: Sequence[str], composition: Composition, water: Known, found: Recognitions
) -> Iterator[Clash]:
    """Yield the rows of the table of which both groups are there."""
    table = incompatible()
    parties: dict[str, list[tuple[Party, Known]]] = {}
    for key in met:
        for party, substance, share in _parties(key, book, composition, found):
            for group in table.groups_of[substance]:
                parties.setdefault(group, []).append((party, share))
    if not parties:
        return
    for row in table.pairs:
        if row.first not in parties or row.second not in parties:
            continue
        firsts, seconds = parties[row.first], parties[row.second]
        if row.first == row.second:
            firsts, seconds = firsts[:1], firsts[1:]
        if not any(first.key != second.key for first, _ in firsts for second, _ in seconds):
            continue
        counted = firsts + seconds if row.first == row.second else seconds
        if row.unless in parties or not _enough(row, (share for _, share in counted)):
            continue
        if row.medium is Medium.WATER and not _at_least(water, "incompatible in water from"):
            continue
        if row.medium is Medium.POWDER and not _at_least(_powder(book, composition), "incompatible in powder from"):
            continue
        yield Clash(
            firsts=tuple(party for party, _ in firsts),
            seconds=tuple(party for party, _ in seconds),
            row=row,
            because="",
        )


def _parties(key: str, book: Book, composition: Composition, found: Recognitions) -> Iterator[tuple[Party, str, Known]]:
    """Yield what a material is or lists, with its substance and its greatest share of the product."""
    shares = composition.shares
    share = shares if isinstance(shares, Missing) else shares.get(key, Missing(says=says("not-in-product")))
    for told in found.get(key, ()):
        party = Party(key=key, substance="" if told.whole else told.substance)
        yield party, told.substance, times(told.high, share)
    unfiled = book.naming.unfiled.get(key)
    if unfiled and (substance := incompatible().names.get(spelt(unfiled))):
        yield Party(key=key, substance=""), substance, share


def _enough(row: PairRow, shares: Iterable[Known]) -> bool:
    """Tell whether there is enough of a group; not where that is not known."""
    total = ZERO
    for share in shares:
        if isinstance(share, Missing):
            return not row.least
        total += share
    return total >= row.least


def _at_least(share: Known, name: str) -> bool:
    return not isinstance(share, Missing) and share >= incompatible().figures[name]


def _powder(book: Book, composition: Composition) -> Known:
    shares = composition.shares
    if isinstance(shares, Missing):
        return shares
    powders = (share for key, share in shares.items() if book.materials[key].kind is MaterialKind.POWDER)
    return sum(powders, Fraction(0))


def _is_told(clash: Clash, told: set[frozenset[str]]) -> bool:
    """Tell whether files declare every pair of a row that is there."""
    pairs = {frozenset({first.key, second.key}) for first in clash.firsts for second in clash.seconds}
    return pairs <= told


def _holds(other: Clash, clash: Clash) -> bool:
    """Tell whether an intermediate's finding has all of a clash."""
    return other.row is clash.row and clash.keys <= other.keys


def clashes_told(clashes: Iterable[Clash], book: Book) -> Iterator[Saying]:
    """Yield what does not go together, and how that is known."""
    for clash in clashes:
        firsts, seconds = names_of_parties(clash.firsts, book), names_of_parties(clash.seconds, book)
        if clash.row is not None:
            row = clash.row
            yield says("clash-row", firsts=firsts, seconds=seconds, reason=row.reason, known=row.known)
        else:
            yield says("clash-word", firsts=firsts, seconds=seconds, why=why_of(clash))


def names_of_parties(parties: Iterable[Party], book: Book) -> tuple[Saying, ...]:
    """Return the materials, each once, with what in them is meant."""
    return tuple(
        dict.fromkeys(
            says("clash-holds", name=book.name_of(party.key), substance=party.substance)
            if party.substance
            else says("clash-itself", name=book.name_of(party.key))
            for party in parties
        )
    )


def why_of(clash: Clash) -> Saying | None:
    """Return what happens, by the word of a file; None where it does not say."""
    return says("clash-why", why=clash.because.rstrip(".")) if clash.because else None
