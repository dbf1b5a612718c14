"""Hazards before anything else, cautions for the user, and the usual ones that a file left out.

The usual hazards (`usual.py`) and cautions are common practice, no source; each is printed only where the formula's
and the materials' own sentences do not already say it.  None of them says that something is allowed or safe.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from .. import show
from ..findings import Missing
from ..fraction import Fraction
from ..language import noted, spoken, word
from ..model import CHILDREN, ROUTES, Contact, Kind, Material, Person, Removal, Site, Use
from ..reckon.composition import Composition
from ..reckon.dangers import told_of_heat, told_of_meeting, untried
from ..reckon.figures import Figures
from ..reckon.judgements import words_judgement
from ..reckon.same import Same
from ..reckon.storage import Preparation, untested
from .phrases import Danger, Stressed, ToldOfStep
from .records import Caution
from .shelf import Shelf
from .usual import burns, is_corrosive, says, usual_hazards

_DELICATE = (
    (Site.EYES, noted("the eye area")),
    (Site.BROKEN_SKIN, noted("broken skin")),
    (Site.MUCOUS_MEMBRANES, noted("mucous membranes")),
)
TAKEN_OUT: Mapping[Removal, str] = {
    Removal.FILTERED: noted("filtered off"),
    Removal.STRAINED: noted("strained off"),
    Removal.PRESSED_OUT: noted("pressed out"),
    Removal.SETTLED: noted("left to settle and poured off"),
}
"""How what was extracted was taken out again, in words."""
_TRIED = ("first use", "patch test", "ersten anwendung", "verträglichkeit prüfen", "armbeuge ausprobieren")
"""Whole words by which the keeper's own caution asks for a trial before use."""
_FOR_WHOM = (
    (
        frozenset({Person.SMALL_CHILDREN}),
        noted("For children under three ask a doctor or pharmacist first."),
        ("under three", "under 3", "unter drei jahren", "unter 3 jahren"),
    ),
    (
        CHILDREN,
        noted("With children an adult helps, and keeps the container out of their reach."),
        (
            *("out of reach of children", "out of the reach of children", "out of their reach"),
            *("für kinder unzugänglich", "für kinder unerreichbar", "ausser reichweite von kindern"),
        ),
    ),
    (
        frozenset({Person.PREGNANCY}),
        noted("In pregnancy ask a doctor, midwife or pharmacist before using it."),
        ("pregnancy", "pregnant", "schwangerschaft", "schwangere"),
    ),
)
"""Whom the formula names, what the trade adds for them, and by which whole words the keeper has said it."""
_HOT = ("hot", "scald", "scalds", "melted", "molten", "burns", "burn", "heiss", "verbrüht", "verbrennt", "geschmolzen")
"""Whole words by which the keeper's own hazard speaks of a hot melt."""
_REASON_STANDS = noted("It contains a preservative; what its period rests on stands with how it is kept.")
_UNTESTED = noted("It contains a preservative; its effect was not tested.")
"""Said instead of `not tested` where a reason is written."""
THREE_LINES = 128
"""Signs that stand on three lines of a step on a phone."""
MUCH = Fraction(1, 10)
"""From so much of an intermediate on, a material's hazards are told where the intermediate is let in (own choice, no
source)."""
_KEPT_AWAY = ((Site.EYES, noted("out of the eyes")), (Site.BROKEN_SKIN, noted("off broken skin")))


@dataclass(frozen=True, slots=True, kw_only=True)
class Bringer:
    """An intermediate for which a material is handled."""

    title: str
    """Its title."""
    holds: bool
    """True where the material stays in it; false for what is taken out again on the way."""


Handled = Mapping[str, tuple[Bringer, ...]]
"""Materials weighed in anywhere on the way → the intermediates that bring them; none for the formula's own lines."""


def handled_in_order(figures: Figures, shelf: Shelf) -> Handled:
    """Return the materials weighed in anywhere on the way → the intermediates that bring them.

    Those of the formula's own lines come first, in their order and with no intermediate; the others by name.
    """
    handled = figures.composition.handled
    found: dict[str, tuple[Bringer, ...]] = {}
    for line in figures.amounts.lines:
        if not line.is_formula and line.key in handled:
            found.setdefault(line.key, ())
    inner = {
        key: shelf.reckoning.figures[key].composition
        for key in shelf.reckoning.graph.uses.get(figures.key, ())
        if key in shelf.reckoning.figures
    }
    for key in sorted(handled - found.keys(), key=shelf.name):
        found[key] = tuple(
            Bringer(title=shelf.name(name), holds=key in brought.materials or key in brought.unfiled)
            for name, brought in inner.items()
            if key in brought.handled
        )
    return found


def hazards_of(figures: Figures, shelf: Shelf, materials: Handled) -> tuple[Caution, ...]:
    """Return the dangers in making a formula: its own, then the materials', each material in one entry."""
    listed, own, told, names, whole = _handled(Same(figures), Same(shelf), Same(materials), spoken())
    entries = [*(Caution(text=sentence) for sentence in own), *_by_sentences(told, names, whole)]
    strange = [shelf.name(key) + _brought(materials[key]) for key in materials if key in shelf.book.naming.unfiled]
    if strange:
        entries.append(Caution(text=word("No file yet, so its hazards are not known."), who=_listing(strange)))
    bare = {key: not_known(material) for key, material in listed.items()}
    entries += _by_sentences(bare, names)
    if figures.storage.preparation is Preparation.ALCOHOL and not any(burns(material) for material in listed.values()):
        entries.append(Caution(text=word("Alcohol burns: no flame and no hot plate near it.")))
    written = (*own, *(sentence for material in listed.values() for sentence in material.hazards))
    entries += (Caution(text=text, whole=True) for text in _by_making(figures, written, shelf.signs))
    return tuple(entries)


def _corrosive(listed: Mapping[str, Material]) -> Collection[str]:
    """Return the materials whose hazards are read whole before anything is opened: those that burn skin and eyes."""
    return {key for key, material in listed.items() if is_corrosive(material)}


def hazards_in_product(figures: Figures, shelf: Shelf, materials: Handled) -> tuple[Caution, ...]:
    """Return the dangers of a preparation that stands on the shelf: its own, and those of the materials that make up a
    tenth of it, or may."""
    much = frozenset(_much_of(figures.composition))
    listed = {key: shelf.book.materials[key] for key in materials if key in shelf.book.materials and key in much}
    own = tuple(dict.fromkeys(show.sentence(sentence) for sentence in figures.formula.hazards))
    told, names = _of_materials(listed, dict.fromkeys(materials, ()), own)
    return (*(Caution(text=sentence) for sentence in own), *_by_sentences(told, names))


class _Told(NamedTuple):
    """What is dangerous in what is handled."""

    listed: Mapping[str, Material]
    """The materials that have a file, by key."""
    own: tuple[str, ...]
    """The formula's own sentences."""
    told: Mapping[str, list[str]]
    """Key → what is said of it beside these."""
    names: Mapping[str, str]
    """Key → what it is called there."""
    whole: Collection[str]
    """Keys of those that burn skin and eyes."""


@lru_cache(maxsize=1)  # asked twice for a page: for its list of hazards, and for the steps of its method
def _handled(figures: Same[Figures], shelf: Same[Shelf], materials: Same[Handled], language: str) -> _Told:
    filed, handled = shelf.record.book.materials, materials.record
    listed = {key: filed[key] for key in handled if key in filed}
    own = tuple(dict.fromkeys(show.sentence(sentence) for sentence in figures.record.formula.hazards))
    told, names = _of_materials(listed, handled, own)
    return _Told(listed, own, told, names, _corrosive(listed))


def _of_materials(
    listed: Mapping[str, Material], brought: Handled, own: Sequence[str]
) -> tuple[Mapping[str, list[str]], Mapping[str, str]]:
    """Return what is dangerous in each material and is not the formula's own sentence, and what each is called."""
    told = {
        key: [hazard for hazard in hazards_of_material(material, own) if hazard not in own]
        for key, material in listed.items()
    }
    return told, {key: material.name + _brought(brought[key]) for key, material in listed.items()}


def dangers_of_steps(figures: Figures, shelf: Shelf, materials: Handled, *, short: bool) -> ToldOfStep:
    """Return what says, of the lines that a step lets in, which hazards their materials have.

    In full as the list of hazards has them; `short`, on paper, whose list stands before it, by what is let in alone.
    An intermediate brings those of the materials that make up much of it.
    """
    _, _, told, names, whole = _handled(Same(figures), Same(shelf), Same(materials), spoken())

    def said(rows: Sequence[int]) -> tuple[Danger, ...]:
        let_in: dict[str, None] = {}
        bringing: dict[str, None] = {}
        for row in rows:
            key = figures.amounts.lines[row].key
            inner = shelf.reckoning.figures.get(key)
            held = None if inner is None else _much_of(inner.composition)
            asked = (key,) if held is None else [name for name in told if name in held]
            found = [name for name in asked if told.get(name)]
            let_in |= dict.fromkeys(found)
            bringing |= {shelf.name(key): None} if found else {}
        if short and bringing:
            mark = "; " if any(", " in name for name in bringing) else ", "
            return (Danger((Stressed((word("Hazards above"),), strong=True), f": {mark.join(bringing)}.")),)
        return tuple(map(_in_full, _by_sentences({key: told[key] for key in let_in}, names, whole)))

    return said


def _much_of(composition: Composition) -> Collection[str]:
    """Return the materials of an intermediate that make up a tenth of it, or may."""
    shares = composition.shares
    return (
        composition.materials
        if isinstance(shares, Missing)
        else [key for key, share in shares.items() if share >= MUCH]
    )


def _in_full(entry: Caution) -> Danger:
    parts = (Stressed((entry.who,), strong=True), f": {entry.text}")
    return Danger(parts, folds=not entry.whole and len(entry.who + entry.text) > THREE_LINES)


def _by_making(figures: Figures, spoken: Sequence[str], signs: show.Signs) -> Iterator[str]:
    """Yield the dangers that come with what meets and with heat, where no sentence of the keeper's speaks of them.

    Source: common practice, no source.
    """
    yield from (told.words(signs) for told in told_of_meeting(figures.dangers))
    if not any(says(sentence, _HOT) for sentence in spoken):
        yield from (told.words(signs) for told in told_of_heat(figures.dangers))


def _brought(intermediates: Sequence[Bringer]) -> str:
    """Return which intermediates bring a material, behind its name; nothing for one of the formula's own lines.

    It is handled *for* what it is taken out of again, and not in it.
    """
    told = [
        word(way, titles=", ".join(titles))
        for way, holds in ((noted("in {titles}"), True), (noted("for {titles}"), False))
        if (titles := [bringer.title for bringer in intermediates if bringer.holds is holds])
    ]
    return f" ({', '.join(told)})" if told else ""


def hazards_of_material(material: Material, formula: Sequence[str] = ()) -> tuple[str, ...]:
    """Return the dangers in handling a material: as its file says, then the usual ones that nobody wrote down."""
    return _hazards_of_material(Same(material), tuple(formula), spoken())


@lru_cache(maxsize=4096)
def _hazards_of_material(same: Same[Material], formula: tuple[str, ...], language: str) -> tuple[str, ...]:
    material = same.record
    return tuple(dict.fromkeys((*map(show.sentence, material.hazards), *usual_hazards(material, formula))))


def not_known(material: Material) -> tuple[str, ...]:
    """Return what is said where nobody knows a material's hazards, as its file has nothing but its name."""
    return (word("Only its name is written, so its hazards are not known."),) if material.is_bare else ()


def cautions_of(figures: Figures, shelf: Shelf, materials: Handled) -> tuple[Caution, ...]:
    """Return the cautions for use: the formula's own, its intermediates', of the materials it holds, the usual ones.

    What was extracted and taken out again has its cautions too, and says so; a filter aid has none here.  Each sentence
    stands once, with whoever says it first.
    """
    own = dict.fromkeys(show.sentence(sentence) for sentence in figures.formula.cautions)
    brought: dict[str, list[str]] = {}
    for key, removal in formulas_in(figures, shelf).items():
        inner = shelf.book.formulas[key]
        who = _made_with(inner.title or inner.code or key, (), removal)
        for sentence in map(show.sentence, inner.cautions):
            if sentence not in own:
                brought.setdefault(sentence, []).append(who)
    composition = figures.composition
    told: dict[str, list[str]] = {}
    names: dict[str, str] = {}
    for key, through in materials.items():
        material, removal = shelf.book.materials.get(key), composition.extracted.get(key)
        if material is not None and (removal is not None or key in composition.materials):
            names[key] = _made_with(material.name, through, removal)
            sentences = map(show.sentence, material.cautions)
            told[key] = [sentence for sentence in sentences if sentence not in own and sentence not in brought]
    return (
        *(Caution(text=sentence) for sentence in own),
        *(Caution(text=sentence, who=_listing(titles)) for sentence, titles in brought.items()),
        *_by_sentences(told, names),
        *_words_of_the_law(figures, shelf.signs),
        *_usual_cautions(figures),
    )


def _words_of_the_law(figures: Figures, signs: show.Signs) -> Iterator[Caution]:
    """Yield the words that entries of the law for cosmetics ask for on a label, each in their own words."""
    for asked in figures.limits.words:
        yield Caution(text=asked.text, who=words_judgement(asked).words(signs))


def _made_with(name: str, through: Sequence[Bringer], removal: Removal | None) -> str:
    """Return whose caution it is: what is in the product by its name, what was extracted with how it was taken out."""
    if removal is None:
        return name
    return word("made with {name}, {how}", name=name + _brought(through), how=word(TAKEN_OUT[removal]))


def formulas_in(figures: Figures, shelf: Shelf) -> Mapping[str, Removal | None]:
    """Return the intermediates that gave the product something, at any depth, those of its own lines first.

    None stands for one that the product holds; the others were extracted, and how they were taken out is told.
    """
    found: dict[str, Removal | None] = {}
    waiting: list[tuple[Figures, Removal | None]] = [(figures, None)]
    for inside, outer in waiting:  # grows while it is walked
        for line in inside.amounts.lines:
            removal = outer or line.line.removed
            new = line.key not in found or (found[line.key] is not None and removal is None)
            if line.is_formula and line.gives and new and line.key != figures.key:
                found[line.key] = removal
                if line.key in shelf.reckoning.figures:
                    waiting.append((shelf.reckoning.figures[line.key], removal))
    return found


def _usual_cautions(figures: Figures) -> Iterable[Caution]:
    """The cautions of the trade that follow from what the preparation is and for whom it is meant."""
    formula, use = figures.formula, figures.formula.use
    if formula.kind is Kind.MEDICINE and not (use and use.intermediate):
        yield Caution(text=word("A medicine: for dose and use ask a pharmacist or doctor."))
    if not isinstance(figures.storage.preparation, Missing):
        if figures.storage.preparation is Preparation.WATER:
            yield Caution(
                text=word(
                    "Water without a preservative: it can spoil without a sign. Clean hands, keep it cold, "
                    "and throw it away on the use-by date even if it still looks good."
                )
            )
        elif figures.storage.preparation is Preparation.PRESERVED:
            told = _UNTESTED if untested(Preparation.PRESERVED, formula) else _REASON_STANDS
            yield Caution(text=word(told))
    tried = any(says(caution, _TRIED) for caution in formula.cautions)
    told_instead = untried(formula, figures.dangers, figures.soap)
    instead = "" if told_instead is None else told_instead.words()
    inside = bool(formula.sites & ROUTES)
    if inside and formula.kind is not Kind.MEDICINE:
        yield Caution(text=word("It goes into the body: ask a doctor or pharmacist before making or using it."))
    only_inside = inside and formula.sites <= ROUTES
    said = [] if only_inside or not figures.dangers.on_body else [*_on_skin(formula.kind, use or Use(), tried, instead)]
    if use is not None and only_inside:
        ask = list(_not_meant_for(frozenset(use.persons)))
        said += [_not_for(ask)] if ask else []
    if use is not None and figures.dangers.on_body:
        said += [
            word(sentence)
            for persons, sentence, words in _FOR_WHOM
            if not persons.isdisjoint(use.persons) and not any(says(caution, words) for caution in formula.cautions)
        ]
    if said:
        yield Caution(text=" ".join(said))


def _on_skin(kind: Kind | None, use: Use, tried: bool, instead: str) -> Iterator[str]:
    """Yield what is said of what goes onto skin; what does not say whether it stays on is taken to stay on.

    `tried`: the keeper's own cautions ask for a trial on the arm, so it is not asked for twice.  `instead`: what is
    said in its place where a trial would harm.  Nothing for eyes and broken skin is tried out on the arm.
    """
    if kind is not Kind.MEDICINE and instead:
        yield instead
    elif kind is not Kind.MEDICINE and not tried and not any(site in use.sites for site, _ in _KEPT_AWAY):
        yield word("Before first use try a little on the inside of the arm and wait a day.")
    delicate = [word(words) for site, words in _DELICATE if site in use.sites]
    if delicate:
        yield word("Not tested for {what}, and sterility is not given.", what=_between("or", delicate))
    away = [word(words) for site, words in _KEPT_AWAY if site not in use.sites]
    if away:
        yield word("Keep it {where}.", where=_between("and", away))
    if use.contact is not Contact.RINSE_OFF or kind is Kind.MEDICINE:
        ask = list(_not_meant_for(frozenset(use.persons)))
        if ask:
            yield _not_for(ask)


def _not_for(persons: Sequence[str]) -> str:
    return word("Not meant for {whom} without professional advice.", whom=_between("or", persons))


def _between(join: str, parts: Sequence[str]) -> str:
    return f" {word(join)} ".join(parts)


def _not_meant_for(persons: frozenset[Person]) -> Iterable[str]:
    """Return whom the formula does not name among those that the trade asks about first."""
    if Person.SMALL_CHILDREN not in persons:
        yield word("children") if CHILDREN.isdisjoint(persons) else word("children under three")
    if Person.PREGNANCY not in persons:
        yield word("use in pregnancy")


def _by_sentences(
    told: Mapping[str, Sequence[str]], names: Mapping[str, str], whole: Collection[str] = ()
) -> list[Caution]:
    """Return key → what is said of it as one entry for each, those of whom the same is said together.

    What is said of a key that is among the `whole` is never cut to a line.
    """
    entries: dict[tuple[str, ...], list[str]] = {}
    for key, sentences in told.items():
        if sentences:
            entries.setdefault(tuple(dict.fromkeys(sentences)), []).append(key)
    return [
        Caution(
            text=" ".join(sentences), who=_listing(names[key] for key in keys), whole=any(key in whole for key in keys)
        )
        for sentences, keys in entries.items()
    ]


def _listing(names: Iterable[str]) -> str:
    """Return names as a list in words, each once, in order; between semicolons where one has a comma of its own.

    What is said of several is written of one (`it irritates skin`), so the list ends with `each`.

    >>> _listing(["vetiver oil"]), _listing(["coriander seed oil", "vetiver oil", "vetiver oil"])
    ('vetiver oil', 'coriander seed oil, vetiver oil, each')
    """
    once = tuple(dict.fromkeys(names))
    each = (word("each"),) if len(once) > 1 else ()
    return ("; " if any(", " in name for name in once) else ", ").join((*once, *each))
