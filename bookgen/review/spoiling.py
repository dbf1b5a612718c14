"""Water that can spoil: what preserves it, where it is kept, and on whom it is used.

Enters: a formula's composition and storage figure.  Leaves: findings on water that microbes could grow in.  The periods
are published for medicines and borrowed for the rest; law and licensed practice decide.
"""

from __future__ import annotations

from collections.abc import Iterator
from difflib import get_close_matches

from ..findings import Missing, Place
from ..fraction import Fraction
from ..model import ETHANOL, Material, Person, Site, Status, StoragePlace
from ..reckon.amounts import LineFigure
from ..reckon.dangers import lets_nothing_grow
from ..reckon.figures import Reckoning
from ..reckon.functions import PRESERVATIVE, items_of, preserves
from ..reckon.known import ZERO, add, times
from ..reckon.preserving import Effect, PreservativeJudged, mistaken_for
from ..reckon.reasons import small, told_of
from ..reckon.recognised import names_of_tables, recognised
from ..reckon.storage import PeriodRule, Preparation, days_of
from ..reckon.strengths import strength_of_material
from ..reckon.waters import WATER_THAT_COUNTS, is_bound, water_in
from ..wording.saying import Saying, says
from .rule import Case, Said, known

AT_RISK: tuple[Site | Person, ...] = (
    Site.EYES,
    Site.LIPS,
    Site.MUCOUS_MEMBRANES,
    Site.BROKEN_SKIN,
    Site.RECTAL,
    Site.VAGINAL,
    Site.EAR,
    Site.NOSE,
    Person.SMALL_CHILDREN,
)
"""Where and on whom spoiled water does most harm (common practice, no source)."""
COLD = (StoragePlace.FREEZER, StoragePlace.REFRIGERATOR)
"""Places where the period of unpreserved water holds (T08-01: the refrigerator)."""
ALCOHOL_TOO_LITTLE = Fraction(1, 20)
"""Grams of ethanol in 1 g or 1 mL of product below which it is not taken to preserve, even where its share is not
known (own choice, no source: with so little, a fifth of ethanol and water needs less than 20 % of water)."""


def unpreserved(case: Case) -> bool:
    """Tell whether it counts as unpreserved water in which something grows."""
    return _is_water(case) and not _strong(case)


def _is_water(case: Case) -> bool:
    return case.figures.storage.preparation is Preparation.WATER


def _strong(case: Case) -> tuple[str, ...]:
    """Return what is so strong in it that nothing grows."""
    return lets_nothing_grow(case.formula, case.figures.dangers)


def may_be_alcohol(case: Case) -> bool:
    """Tell whether alcohol may preserve it, as ethanol is in it and how much of the product that is is not known."""
    if not unpreserved(case) or not isinstance(case.figures.storage.alcohol, Missing):
        return False
    whole = known(case.makes.grams) or known(case.makes.ml)
    found = known(add(_ethanol(case, line) for line in case.lines if line.counts))
    return found is None or whole is None or found >= ALCOHOL_TOO_LITTLE * whole


def _ethanol(case: Case, line: LineFigure) -> Fraction | Missing:
    """Return the grams of ethanol that a line brings."""
    if line.is_formula:
        inner = case.reckoning.figures.get(line.key)
        held = inner is not None and _holds_ethanol(case, inner.composition.materials)
        share = inner.storage.alcohol if inner is not None and held else ZERO
    elif line.key in case.reckoning.book.materials:
        materials = case.reckoning.book.materials
        share = add(strength_of_material(materials[line.key], name) or ZERO for name in sorted(ETHANOL))
        share = times(share, line.takes[0][1])
    else:
        share = ZERO
    return ZERO if share == 0 else times(share, line.grams)


def _holds_ethanol(case: Case, keys: frozenset[str]) -> bool:
    materials = case.reckoning.book.materials
    return any(entry.substance.casefold() in ETHANOL for key in keys for entry in materials[key].contains)


# ── What preserves it ─────────────────────────────────────────────────────────────────────────────────────────────


def _not_preserved(case: Case, otherwise: Saying) -> Saying:
    """Return why nothing preserves it and what to do, as the end of a sentence after a colon.

    The word that would silence it is not handed out: what preserves a product is the keeper's to say.
    """
    materials, figure = case.reckoning.book.materials, case.figures.storage
    word_of_formula = case.formula.preserved_by
    if word_of_formula is not None and word_of_formula.what:
        what = tuple(item.value for item in word_of_formula.what)
        return says("write-preserved-because", what=what, otherwise=otherwise)
    failing = next((item for item in figure.keeping.judged if item.called), None)
    if failing is not None:
        return says("preservative-fails", judged=told_of(failing), todo=_todo(failing), otherwise=otherwise)
    for line in case.lines:
        item = materials.get(line.key)
        if item is None or not line.counts:
            continue
        if word := _misspelt(line.line.function):
            return says("misspelt-in-line", line=line.line.place.line, word=word, otherwise=otherwise)
        if word := _misspelt(item.function):
            return says("misspelt-in-file", name=line.name, word=word, otherwise=otherwise)
    called = next((line for line in case.lines if line.counts and _water_called(line, materials.get(line.key))), None)
    asked = says("which-preserves", otherwise=otherwise)
    for key, row in figure.mistaken.items():
        at = case.line_with((key,))
        return says(
            "mistaken-in-line", name=materials[key].name, line=at.line, why=row.why, source=row.source, asked=asked
        )
    if called is not None:
        return says("only-called-so", name=called.name, line=called.line.place.line, asked=asked)
    for line in case.lines:
        whole = next((item for item in items_of(line.line.function) if PRESERVATIVE in item), "")
        if line.counts and whole and not preserves(line.line.function):
            return says("one-function", line=line.line.place.line, function=whole, asked=asked)
    return asked


def _todo(item: PreservativeJudged) -> Saying:
    """Return what to do about a preservative that does not work as it is."""
    if item.effect is Effect.LITTLE:
        return says("use-more-preservative")
    if item.effect is Effect.PARTNER:
        return says("add-preservative")
    return says("use-other-preservative" if item.effect is Effect.TAKEN_UP else "write-ph-or-change")


def preservative_in_doubt(case: Case) -> Iterator[Said]:
    """A preservative stands at its usual share, in its working pH, with nothing that takes it up; query.

    Nothing is asked where another one works, or where something else keeps it, and once only where the formula is an
    error for it.  Of an intermediate no pH is asked.

    Source: `preservatives.yaml`, row by row.
    """
    figure, use = case.figures.storage, case.formula.use
    called = [item for item in figure.keeping.judged if item.called]
    decided = figure.keeping.by is not None or figure.by_word_of_formula is not None
    if not called or not figure.brings_water or decided or _is_error(case):
        return
    without = [item for item in called if item.effect is Effect.PH_UNWRITTEN]
    if without and not (use is not None and use.intermediate):
        names = small(name for item in without for name in item.substances)
        place = case.line_with(without[0].materials)
        yield Said(place=place, says=says("preservative-without-ph", names=names, count=len(names)))
    for item in called:
        if item.effect not in (Effect.WORKS, Effect.UNKNOWN, Effect.PH_UNWRITTEN):
            yield Said(
                place=case.line_with(item.materials),
                says=says("preservative-found", judged=told_of(item), todo=_todo(item)),
            )


def mistaken_preservative(case: Case) -> Iterator[Said]:
    """What is called a preservative is one; query where it is known not to be, unless that is told already.

    Source: `preservatives.yaml`, row by row.
    """
    figure = case.figures.storage
    if not figure.mistaken or _is_error(case):
        return
    own = {line.key for line in case.lines}
    for key, row in figure.mistaken.items():
        if key in own:
            yield Said(
                place=case.line_with((key,)),
                says=says(
                    "mistaken-found", name=case.reckoning.book.materials[key].name, why=row.why, source=row.source
                ),
            )


def unknown_preservative(reckoning: Reckoning) -> Iterator[Said]:
    """What is called a preservative stands in the table of them; query, once a book, unless its file says more.

    `known as:` and `pKa:` say more, and sugar, salt or alcohol is judged by its share.  Of what comes in an
    intermediate that is called a preservative as a whole nothing is asked.

    Source: common practice, no source.
    """
    asked = set[str]()
    for figures in reckoning.figures.values():
        strange = figures.storage.keeping.by_word if figures.storage.brings_water else ()
        for key in strange:
            material = reckoning.book.materials[key]
            lines = [line.line.function for line in figures.amounts.lines if line.counts and line.key == key]
            if key in asked or not preserves(material.function, *lines) or _says_more(material):
                continue
            asked.add(key)
            yield Said(
                place=material.places.get("function", material.places.get("name", Place(path=material.path))),
                title=material.name,
                concerns=key,
                says=says("unknown-preservative", code=figures.formula.code),
            )


def _says_more(material: Material) -> bool:
    """Tell whether a material says what it is, or is to be asked about for something else."""
    unread = not {"known as", "pKa", "function"}.isdisjoint(material.unread)
    if material.known_as or material.pka or unread or material.is_bare:
        return True
    return mistaken_for(material, recognised(material, names_of_tables())) is not None


def _is_error(case: Case) -> bool:
    """Tell whether it is an error already that nothing preserves it."""
    if not unpreserved(case):
        return False
    rules = (unpreserved_at_risk, unpreserved_in_cupboard, unpreserved_too_long)
    return any(True for judge in rules for _ in judge(case))


def strong_without_ph(case: Case) -> Iterator[Said]:
    """What burns by its alkali, or holds bleach, says how it keeps where its storage counts on that; query.

    Germs do not grow in lye or in bleach, so that nothing is asked to preserve them.

    Source: common practice, no source.
    """
    storage, names = case.formula.storage, _strong(case)
    if storage is None or not names or not _is_water(case):
        return
    if storage.place not in COLD or too_long(case):
        way = says("strong-write-ph" if case.formula.ph is None else "strong-write-preserved")
        yield Said(place=storage.at, says=says("strong-without-ph", names=names, way=way))


def preserved_by_word(case: Case) -> Iterator[Said]:
    """What keeps water from spoiling by the word of the formula alone, with a reason, is asked about; query.

    Source: common practice, no source.
    """
    word = case.figures.storage.by_word_of_formula
    if word is not None:
        what = tuple(item.value for item in word.what)
        yield Said(place=word.at, says=says("preserved-by-word", what=what, count=len(what), because=word.because))


def water_enters_in_use(case: Case) -> Iterator[Said]:
    """What keeps by dryness alone does not where water enters in use; query where nothing in it preserves.

    What the formula says under `preserved by:` with its reason answers it.

    Source: common practice, no source.
    """
    figure, word = case.figures.storage, case.formula.preserved_by
    dry = figure.preparation is Preparation.NO_WATER
    if word is not None and word.is_reasoned:
        return
    if case.formula.water_enters_in_use and dry and not figure.keeping.works and not figure.keeping.may_work:
        yield Said(place=case.place_of("water enters in use"), says=says("water-enters-in-use"))


def _misspelt(function: str) -> str:
    """Return the item that is nearly `preservative`, or an empty string.

    One that holds the word means something else, the plural aside.
    """
    for item in items_of(function):
        if item == f"{PRESERVATIVE}s":
            return item
        if PRESERVATIVE not in item and get_close_matches(PRESERVATIVE, [item], cutoff=0.8):
            return item
    return ""


def _water_called(line: LineFigure, material: Material | None) -> bool:
    """Tell whether a line is nothing but water and is called a preservative all the same."""
    return material is not None and water_in(material) == 1 and preserves(line.line.function, material.function)


def preservative_by_intermediate(case: Case) -> Iterator[Said]:
    """A preservative that comes with an intermediate alone may be too little for the other water; query with its share.

    Of those whose usual share is published that is judged by itself.
    A stock of the preservative is measured out for its user and not asked about: an intermediate that its line calls a
    preservative, or whose own lines are preservatives and water alone.

    Source: common practice, no source (a preservative works from a share of the product on).
    """
    figure = case.figures.storage
    own = {line.key for line in case.lines if line.counts and not line.is_formula}
    judged = bool(figure.keeping.judged)
    if figure.preparation is not Preparation.PRESERVED or judged or not own.isdisjoint(figure.preservatives):
        return
    bringing = [line for line in case.lines if line.counts and line.is_formula and _preservatives(case, line)]
    if not bringing or any(_is_stock(case, line) for line in bringing) or not _other_water(case, bringing):
        return
    book, shares = case.reckoning.book, case.figures.composition.shares
    names = tuple(book.materials[key].name for key in figure.preservatives)
    codes = tuple(book.formulas[key].code for key in dict.fromkeys(line.key for line in bringing))
    if isinstance(shares, Missing):
        told = says("preservative-of-unknown-share", names=names, codes=codes)
    else:
        share = sum((shares[key] for key in figure.preservatives), ZERO)
        told = says("preservative-by-intermediate", names=names, codes=codes, share=share)
    yield Said(place=bringing[0].line.place, says=told)


def _preservatives(case: Case, line: LineFigure) -> tuple[str, ...]:
    """Return the preservatives that an intermediate brings."""
    inner = case.reckoning.figures.get(line.key)
    return () if inner is None else inner.storage.preservatives


def _is_stock(case: Case, line: LineFigure) -> bool:
    """Tell whether an intermediate is a preservative, perhaps with water, and nothing else."""
    if preserves(line.line.function):
        return True
    book, inner = case.reckoning.book, case.reckoning.figures[line.key]
    return all(
        inside.key in inner.storage.preservatives
        or (inside.key in book.materials and water_in(book.materials[inside.key]) == 1)
        for inside in inner.amounts.lines
        if inside.counts
    )


def _other_water(case: Case, bringing: list[LineFigure]) -> bool:
    """Tell whether water that counts comes by other lines; where it does not, the intermediate is not diluted."""
    other = [line for line in case.lines if line.counts and line not in bringing]
    water = known(add(_water(case, line) for line in other))
    whole = known(case.makes.grams)
    if water is None or whole is None:
        return water is None or water > 0
    return water >= WATER_THAT_COUNTS * whole


def _water(case: Case, line: LineFigure) -> Fraction | Missing:
    """Return the grams of free water that a line brings, all of it where that is not known."""
    if line.is_formula:
        inner = case.reckoning.figures.get(line.key)
        share = inner.storage.water if inner is not None and inner.storage.brings_water else ZERO
    else:
        material = case.reckoning.book.materials.get(line.key)
        part = None if material is None else ZERO if is_bound(material) else water_in(material)
        share = Fraction(1) if part is None else part
    return ZERO if share == 0 else times(share, line.grams)


# ── Where, how long and on whom ───────────────────────────────────────────────────────────────────────────────────


def unpreserved_at_risk(case: Case) -> Iterator[Said]:
    """Unpreserved water is not for eyes, lips, mucous membranes, broken skin or small children; error.

    Source: common practice, no source (microbes grow in water within days).
    """
    use = case.formula.use
    if use is None or not unpreserved(case):
        return
    places = tuple(who.value for who in AT_RISK if who in use.sites or who in use.persons)
    if places:
        asked = _not_preserved(case, says("change-use"))
        yield Said(place=case.place_of("use"), says=says("unpreserved-at-risk", places=places, asked=asked))


def unpreserved_in_cupboard(case: Case) -> Iterator[Said]:
    """Unpreserved water is not kept in a cupboard; error.

    Source: T08-01 (14 days, and in the refrigerator; borrowed where it is not a medicine).
    """
    storage = case.formula.storage
    if storage is None or storage.place is not StoragePlace.CUPBOARD or not unpreserved(case) or may_be_alcohol(case):
        return
    asked = _not_preserved(case, says("keep-cold"))
    yield Said(place=storage.at, says=says("unpreserved-in-cupboard", asked=asked))


def unpreserved_not_cold(case: Case) -> Iterator[Said]:
    """Unpreserved water is kept in the refrigerator; query when another place or (draft aside) none is written.

    Source: T08-01 (14 days, and in the refrigerator; borrowed where it is not a medicine).
    """
    storage, limit = case.formula.storage, case.figures.storage.published
    if not unpreserved(case) or not isinstance(limit, PeriodRule):
        return
    if storage is None:
        if case.formula.status is not Status.DRAFT:  # a draft is not finished; the page says the rule
            yield Said(place=case.place_of("ingredients"), says=says("unpreserved-without-place"))
        return
    if storage.place in COLD or storage.place is StoragePlace.CUPBOARD or may_be_alcohol(case):
        return  # the cupboard is an error of its own
    period = limit.period.text
    if storage.place:
        told = says("unpreserved-elsewhere", place=storage.place, period=period)
    else:
        told = says("unpreserved-anywhere", period=period)
    yield Said(place=storage.at, says=told)


def unpreserved_too_long(case: Case) -> Iterator[Said]:
    """Unpreserved water is never given longer than the published period, whatever the reason; error.

    Source: T08-01 (14 days in the refrigerator; borrowed where it is not a medicine).
    """
    limit, storage = case.figures.storage.published, case.formula.storage
    if storage is None or storage.period is None or not isinstance(limit, PeriodRule) or may_be_alcohol(case):
        return
    if too_long(case) and unpreserved(case):
        asked = _not_preserved(case, says("shorten-period"))
        told = says("unpreserved-too-long", period=storage.period.text, limit=limit.period.text, asked=asked)
        yield Said(place=storage.at, says=told)


def too_long(case: Case) -> bool:
    """Tell whether water that nothing is known to preserve is given longer than the published period."""
    limit, storage = case.figures.storage.published, case.formula.storage
    if storage is None or storage.period is None or not isinstance(limit, PeriodRule) or not _is_water(case):
        return False
    return days_of(storage.period) > days_of(limit.period)


def alcohol_not_known(case: Case) -> Iterator[Said]:
    """Whether alcohol preserves it depends on how much there is; query where that is not known and matters.

    Source: common practice, no source.  It matters outside the refrigerator and beyond the period of unpreserved water.
    """
    storage, limit = case.formula.storage, case.figures.storage.published
    if storage is None or not isinstance(limit, PeriodRule) or not may_be_alcohol(case):
        return
    if storage.place in COLD and not too_long(case):
        return
    by_volume = case.makes.unit == "mL" and case.formula.density is None
    why = case.figures.storage.alcohol
    way = says("write-density-alone") if by_volume or not isinstance(why, Missing) else why.says
    yield Said(
        place=case.place_of("makes", "ingredients") if by_volume else storage.at,
        says=says("alcohol-unknown", period=limit.period.text, way=way),
    )


def intermediate_kept_colder(case: Case) -> Iterator[Said]:
    """What holds an intermediate of its own kind that is kept cold is kept cold too; query unless `because:` is there.

    Source: common practice, no source (what spoils the one spoils the other).  Between cupboard and cool place, or
    refrigerator and freezer, nothing is asked.
    """
    figure, storage = case.figures.storage, case.formula.storage
    if storage is None or storage.place is None or storage.place in COLD or storage.because:
        return
    if unpreserved(case):
        return  # told already
    for line in case.lines:
        inner = case.reckoning.figures.get(line.key) if line.counts else None
        place = None if inner is None or inner.formula.storage is None else inner.formula.storage.place
        if inner is None or place not in COLD or isinstance(figure.preparation, Missing):
            continue
        if inner.storage.preparation is figure.preparation:
            here, colder = _article(storage.place), _article(place)
            told = says("kept-warmer", place=here, code=inner.formula.code, colder=colder)
            yield Said(place=storage.at, says=told)
            return


def _article(place: StoragePlace) -> Saying:
    return says("a-place" if place is StoragePlace.COOL else "the-place", place=place)
