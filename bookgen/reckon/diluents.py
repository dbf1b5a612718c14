"""Diluents: which ingredient of a formula can thin another that is too little to weigh.

Enters: the lines of a formula with their amounts, and the book.  Leaves: a `Diluent` for each line that has one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ..findings import Missing
from ..fraction import Fraction
from ..model import ETHANOL, Book, Material, MaterialKind, Solvent
from .amounts import Amounts, LineFigure
from .known import ZERO
from .plans import FACTORS
from .strengths import content_between
from .ways import Measure

MOSTLY_WATER = Fraction(9, 10)
"""Share of free water from which a material thins what dissolves in water (common practice, no source)."""

MOSTLY_ETHANOL = Fraction(1, 2)
"""Share of ethanol from which a material thins what dissolves in ethanol (common practice, no source)."""

SPARED = 2
"""A diluent gives at most one part in this many of itself to stocks, so that what is left of it can be weighed."""

LARGE = Fraction(1, 10)
"""Share of the formula from which a line is thinned no more, and a diluent of the same phase is taken before the fill
(common practice, no source)."""

POWDERS = (MaterialKind.POWDER, MaterialKind.CRYSTALS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Diluent:
    """What thins one line."""

    index: int
    """Number of the line that is the diluent."""
    measure: Measure
    """`dilute` in a liquid, `triturate` with a powder."""
    diluent_per_gram: Fraction
    """Grams of diluent that plans may use, per gram of the line."""
    batch_per_gram: Fraction
    """Grams of the batch, per gram of the line."""


Thins = Mapping[str, frozenset[Solvent | MaterialKind]]
"""Key of a material → for what it can be the diluent: for what dissolves in water, oil or ethanol, or for powders."""


def thins(book: Book) -> Thins:
    """Return for what each material of the book can be the diluent, where it can."""
    found = {key: _thins(material) for key, material in book.materials.items()}
    return {key: able for key, able in found.items() if able}


def diluents(amounts: Amounts, book: Book, able: Thins) -> Mapping[int, Diluent]:
    """Return the diluent of each line that another ingredient of the formula can thin.

    What dissolves in water is thinned with the formula's water, what dissolves in oil with its fixed oil, what
    dissolves in ethanol with its ethanol; a powder that dissolves in none of them is triturated with the formula's
    powder, where that makes up a tenth or more.  A large line of the same phase is taken first, then the fill, then the
    largest.  Several lines that share a diluent share it evenly, and half of it is spared.  Intermediates, processing
    aids, what evaporates and materials that do not say what they dissolve in are not thinned, nor is what makes up a
    tenth or more.

    Source: common practice, no source.
    """
    total = amounts.makes.total if isinstance(amounts.makes.grams, Missing) else amounts.makes.grams
    if isinstance(total, Missing):
        return {}
    small = LARGE * total
    choice = _Choice(amounts.lines, able, small)
    if not choice.lines:
        return {}
    chosen: dict[int, tuple[int, Measure]] = {}
    for line in amounts.lines:
        material = book.materials.get(line.key)
        if material is None or line.is_fill or not _plain(line) or isinstance(line.weighed, Missing):
            continue
        found = choice.of(line, material) if line.weighed.numerator > 0 and line.weighed < small else None
        if found is not None:
            chosen[line.index] = found
    users: dict[int, int] = {}
    for index, _ in chosen.values():
        users[index] = users.get(index, 0) + 1
    made: dict[int, Diluent] = {}
    for number, (index, measure) in chosen.items():
        own, its = amounts.lines[number].weighed, amounts.lines[index].weighed
        if isinstance(own, Missing) or isinstance(its, Missing):
            continue
        per_gram = its / (SPARED * users[index] * own)
        if per_gram >= FACTORS[0][0] - 1:
            made[number] = Diluent(index=index, measure=measure, diluent_per_gram=per_gram, batch_per_gram=total / own)
    return made


def _plain(line: LineFigure) -> bool:
    """Tell whether a line counts, is no intermediate, and loses nothing on the way."""
    simple = line.line.evaporates is None and line.line.left is None and line.blend is None
    return line.counts and not line.is_formula and simple


def _thins(material: Material) -> frozenset[Solvent | MaterialKind]:
    found: set[Solvent | MaterialKind] = set()
    if material.water is not None and material.water.share >= MOSTLY_WATER:
        found.add(Solvent.WATER)
    if material.kind is MaterialKind.LIQUID and set(material.soluble) == {Solvent.OIL} and not material.drops:
        found.add(Solvent.OIL)
    if any(
        entry.substance.casefold() in ETHANOL
        and isinstance(share := content_between(material, entry)[0], Fraction)
        and share >= MOSTLY_ETHANOL
        for entry in material.contains
    ):
        found.add(Solvent.ETHANOL)
    if material.kind is MaterialKind.POWDER:
        found.add(MaterialKind.POWDER)
    return frozenset(found)


class _Choice:
    """The diluents of one formula: the lines that thin what dissolves in something, the best first."""

    def __init__(self, lines: Sequence[LineFigure], able: Thins, least: Fraction) -> None:
        self.least = least
        self.large = {line.index for line in lines if not isinstance(line.weighed, Missing) and line.weighed >= least}
        self.lines: dict[Solvent | MaterialKind, list[LineFigure]] = {}
        self.ranked: dict[tuple[Solvent | MaterialKind, str], list[LineFigure]] = {}
        for line in lines:
            if line.key in able and _plain(line) and not (line.by_drops or line.is_about or line.ml is not None):
                for solvent in able[line.key]:
                    self.lines.setdefault(solvent, []).append(line)

    def of(self, line: LineFigure, material: Material) -> tuple[int, Measure] | None:
        """Return the number of the line that thins a line, and how; None where none does."""
        for solvent in material.soluble:
            index = self._best(line, solvent)
            if index is not None:
                return index, Measure.DILUTE
        if material.kind in POWDERS:
            index = self._best(line, MaterialKind.POWDER)
            if index is not None and index in self.large:
                return index, Measure.TRITURATE
        return None

    def _best(self, line: LineFigure, wanted: Solvent | MaterialKind) -> int | None:
        if wanted not in self.lines:
            return None
        name = wanted, line.phase
        if name not in self.ranked:
            self.ranked[name] = self.lines[wanted]
            if len(self.ranked[name]) > 1:
                self.ranked[name] = sorted(
                    self.ranked[name], key=lambda other: self._rank(other, line.phase), reverse=True
                )
        return next((other.index for other in self.ranked[name] if other.key != line.key), None)

    def _rank(self, other: LineFigure, phase: str) -> tuple[bool, bool, Fraction]:
        """Return the larger the better: a large line of the same phase, the fill, else the largest."""
        weighed = ZERO if isinstance(other.weighed, Missing) else other.weighed
        return other.phase == phase and weighed >= self.least, other.is_fill, weighed
