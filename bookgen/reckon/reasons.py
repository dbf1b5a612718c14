"""What is said of what keeps a preparation from spoiling, the same for findings, pages and machines.

Enters: `Keeping` and the kind of preparation.  Leaves: sayings.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from ..findings import Missing
from ..fraction import Fraction
from ..model import AcidityRange, Formula, Material, Preserved, Preserver
from ..reference.preservatives import PreservativeRow, preservatives
from ..wording.saying import Saying, says
from .acids import Acid
from .activity import WaterActivity
from .preserving import ORDINARY_PH, Effect, Keeping, PreservativeJudged
from .storage import Preparation, StorageFigure


def reasons(figure: StorageFigure, formula: Formula, materials: Mapping[str, Material]) -> Iterator[Saying]:
    """Yield why a preparation keeps or does not: what decides first, then every preservative, then what is none."""
    keeping, kind = figure.keeping, figure.preparation
    if isinstance(kind, Missing):
        yield says("keeping-unknown", why=kind.says)
        return
    if kind is Preparation.NO_WATER:
        yield says("keeping-dry")
        if formula.water_enters_in_use:
            word = formula.preserved_by
            yield _by_formula(word) if word is not None and word.is_reasoned else says("keeping-wetted")
    elif figure.by_word_of_formula is not None:
        yield _by_formula(figure.by_word_of_formula)
    elif kind is Preparation.WATER and isinstance(figure.alcohol, Missing):
        yield says("keeping-unreckoned", why=figure.alcohol.says)
    elif kind is Preparation.WATER:
        yield says("keeping-nothing")
    elif keeping.reason is not None:
        yield keeping.reason
    if keeping.activity is not None:
        yield _activity(keeping.activity)
    if keeping.together:
        yield says("preservatives-together", names=small(name for item in keeping.judged for name in item.substances))
    for item in keeping.judged:
        yield told_of(item)
    for key in keeping.by_word:
        yield _told_by_word(key, keeping, materials)
    for key, row in keeping.mistaken.items():
        yield says("preservative-mistaken", name=materials[key].name, why=row.why, source=row.source)


def _by_formula(word: Preserved) -> Saying:
    return says("keeping-by-formula", what=tuple(item.value for item in word.what), because=word.because)


def _activity(found: WaterActivity) -> Saying:
    table = preservatives().activity
    return says(
        "water-activity-most" if found.is_most else "water-activity",
        estimate=found.estimate,
        names=small(row.substance for row in found.rows),
        sources=tuple(dict.fromkeys(row.source for row in found.rows)),
        bacteria=table.stops["bacteria"],
        yeasts=table.stops["yeasts"],
        moulds=table.stops["moulds"],
        all=table.stops["all"],
        growth=table.source,
    )


def told_of(item: PreservativeJudged) -> Saying:
    """Return how a preservative stands: its share, the pH, what is undissociated, and by which table."""
    row = item.row
    form = says("limit-form", form=row.acid.casefold()) if row.acid and item.substances != (row.acid,) else None
    names, source = small(item.substances), says("keeping-source", sources=row.source)
    if item.effect is Effect.UNKNOWN or isinstance(item.share, Missing):
        return says("preservative-unknown", names=names, source=source)
    if item.effect is Effect.LITTLE:
        return says(
            "preservative-little",
            names=names,
            share=item.share,
            form=form,
            least=row.usual[0],
            most=row.usual[1],
            source=source,
        )
    if item.effect is Effect.TAKEN_UP:
        memory = None if row.is_sure_of("taken up by") else says("keeping-from-memory")
        return says(
            "preservative-taken-up",
            names=names,
            share=item.share,
            form=form,
            takers=small(item.takers),
            memory=memory,
        )
    if item.effect is Effect.PARTNER:
        return says("preservative-partner", names=names, share=item.share, form=form, source=source)
    works = _working(*_works(row))
    if item.effect is Effect.PH_UNWRITTEN:
        return says("preservative-ph-unwritten", names=names, works=works, source=source)
    if item.effect is Effect.WORKS:
        return says(
            "preservative-works",
            names=names,
            share=item.share,
            form=form,
            least=row.usual[0],
            most=row.usual[1],
            works=works,
            ph=_written(item.ph),
            free=_free(item.acid),
            source=source,
        )
    return says(
        "preservative-ph-beyond" if item.effect is Effect.PH_BEYOND else "preservative-ph-crosses",
        names=names,
        share=item.share,
        form=form,
        works=works,
        ph=_written(item.ph),
        free=_free(item.acid),
        source=source,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class AcidCurve:
    """A weak acid in a formula of known pH, as a curve over pH."""

    acid: Acid
    """The acid."""
    ph: AcidityRange
    """The formula's pH."""
    works: tuple[Fraction | None, Fraction | None] | None
    """Lowest and highest pH at which it works; None for an end that is not given, or where no table has it."""
    beside: Saying
    """The sentence beside which it stands."""
    told: Saying
    """What the curve says."""


def acid_curves(keeping: Keeping, materials: Mapping[str, Material]) -> Iterator[AcidCurve]:
    """Yield the weak acids of which a pH tells how much is undissociated."""
    for item in keeping.judged:
        if item.acid is not None:
            yield from _curve(item.acid, _works(item.row), told_of(item))
    for key, acid in keeping.acids.items():
        yield from _curve(acid, None, _told_by_word(key, keeping, materials))


def _curve(acid: Acid, works: tuple[Fraction | None, Fraction | None] | None, beside: Saying) -> Iterator[AcidCurve]:
    if acid.free is None or acid.ph is None:
        return
    (least, most), ph = acid.free, acid.ph
    shaded = None if works is None else says("acid-shaded", works=_working(*works))
    if least == most:
        told = says("acid-drawn", shaded=shaded, ph=ph.low.text, most=most)
    else:
        told = says("acid-drawn-between", shaded=shaded, low=ph.low.text, high=ph.high.text, least=least, most=most)
    yield AcidCurve(acid=acid, ph=ph, works=works, beside=beside, told=told)


def small(names: Iterable[str]) -> tuple[str, ...]:
    """Return names of substances as they stand within a sentence: those that begin as a word does, in small letters.

    >>> small(["Sodium benzoate", "DMDM hydantoin", "p-Anisic acid", "L-lysine", "NaOH pellets", "Urea", "Ox gall"])
    ('sodium benzoate', 'DMDM hydantoin', 'p-Anisic acid', 'L-lysine', 'NaOH pellets', 'urea', 'ox gall')
    """
    return tuple(
        name[:1].lower() + name[1:] if name[1:2].islower() and name.split()[0][1:].islower() else name for name in names
    )


def _works(row: PreservativeRow) -> tuple[Fraction | None, Fraction | None]:
    """Return the pH from which and up to which it works; a weak acid works at a lower pH all the better."""
    return row.ph[0] if row.pka is None else None, row.ph[1]


def _working(least: Fraction | None, most: Fraction | None) -> Saying:
    if least is None:
        return says("works-up-to", most=most)
    return says("works-between", least=least, most=most)


def _written(ph: AcidityRange | None) -> Saying:
    if ph is None:
        return says("ph-taken", low=ORDINARY_PH[0], high=ORDINARY_PH[1])
    if ph.low.value == ph.high.value:
        return says("at-ph", ph=ph.low.text)
    return says("at-ph-between", low=ph.low.text, high=ph.high.text)


def _free(acid: Acid | None) -> Saying | None:
    """Return how much of a weak acid is undissociated at most."""
    if acid is None or acid.free is None:
        return None
    low, high = acid.free
    of_file = says("pka-of-file", pkas=acid.pkas) if acid.of_file else None
    if low == high:
        return says("undissociated", most=high, of_file=of_file)
    return says("undissociated-between", least=low, most=high, of_file=of_file)


def _told_by_word(key: str, keeping: Keeping, materials: Mapping[str, Material]) -> Saying:
    free = _free_by_word(keeping.acids.get(key))
    return says("preservative-by-word", name=materials[key].name, free=free)


def _free_by_word(acid: Acid | None) -> Saying | None:
    """Return how much is undissociated at most of an acid that no table has."""
    if acid is None or acid.free is None or acid.ph is None:
        return None
    (least, most), ph = acid.free, acid.ph
    if least == most:
        return says("acid-by-word", ph=ph.low.text, most=most, pkas=acid.pkas)
    return says("acid-by-word-between", low=ph.low.text, high=ph.high.text, least=least, most=most, pkas=acid.pkas)


def kept_by(figure: StorageFigure, materials: Mapping[str, Material]) -> Saying | None:
    """Return in a few words what keeps a preparation that holds water; None where nothing does."""
    keeping, kind = figure.keeping, figure.preparation
    if isinstance(kind, Missing) or kind in (Preparation.WATER, Preparation.NO_WATER):
        return None
    if figure.by_word_of_formula is not None:
        word = figure.by_word_of_formula
        because = word.because.removesuffix(".")
        return says("keeps-by-formula", what=tuple(item.value for item in word.what), because=because)
    if keeping.by is not None and keeping.by is not Preserver.PRESERVATIVE:
        return says("keeps", what=(keeping.by.value,))
    works = small(
        name for item in keeping.judged if keeping.together or item.effect is Effect.WORKS for name in item.substances
    )
    if works:
        return says("keeps-together" if keeping.together else "keeps-as-usual", names=works)
    doubtful = small(name for item in keeping.judged if not item.fails for name in item.substances)
    if doubtful:
        return says("keeps-in-doubt", names=doubtful)
    return says("keeps-by-word", names=tuple(materials[key].name for key in keeping.by_word))
