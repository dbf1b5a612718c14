"""Dangers that need no law: burns, what must be sterile, the sun, aromatic materials, what must never meet, heat, dust.

Enters: a formula's `Dangers`.  Leaves: findings that ask as a pharmacist does.  What is from memory bars nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Set

from ..findings import Missing, Place, Severity
from ..fraction import Fraction
from ..model import CHILDREN, Contact, Kind, Material, MaterialKind, Person, Site
from ..reckon.dangers import WHATEVER_PH, fruit_acids, left_on, ratio_in_the_sun
from ..reckon.functions import items_of
from ..reckon.heat import of_what
from ..reckon.known import ZERO
from ..reckon.soap import USED_ON_PURPOSE
from ..reckon.waters import water_in
from ..reference.dangers import MEMORY, Peril, figure
from ..wording.saying import Saying, says
from .rule import Case, Said

STERILE = frozenset(
    {
        "collyrium",
        "eye bath",
        "eye drops",
        "eye ointment",
        "eye wash",
        "infusion into a vein",
        "injection",
        "wound irrigation",
        *("augenbad", "augensalbe", "augenspülung", "augentropfen", "infusion in die vene", "injektion"),
        *("infusionslösung", "injektionslösung", "wundspüllösung", "wundspülung"),
    }
)
"""Titles and purposes, in English and German, whole between commas, that are met by sterile preparations alone (common
practice, no source)."""
SUN = frozenset(
    {
        *("sun block", "sun care", "sun cream", "sun milk", "sun protection", "sunblock", "sunscreen", "uv protection"),
        *("lichtschutz", "sonnencreme", "sonnenmilch", "sonnenschutz", "sonnenschutzmittel", "uv-schutz"),
    }
)
"""Purposes, in English and German, whole between commas, that claim protection from the sun (common practice, no
source)."""
_FACTOR = re.compile(r"(?<!\w)(?:SPF|LSF) ?\d*(?!\w)", re.IGNORECASE)
"""The sun protection factor by its letters, as a whole word."""


# ── What burns skin ───────────────────────────────────────────────────────────────────────────────────────────────────


def burns_skin(case: Case) -> Iterator[Said]:
    """What goes onto skin does not burn it, by its pH or by its strength of what burns; error.

    A query for a medicine, for what burns by design, where an acid or an alkali may have taken it up, and by a row from
    memory.  A pH that is written judges alkalis and acids; a lye that makes soap is judged by its fats.  Of milder
    alkalis only what stays on is judged.

    Source: `dangers.yaml`; common practice, no source.
    """
    danger, ph = case.figures.dangers, case.formula.ph
    if not danger.on_body:
        return
    asks = case.formula.kind is Kind.MEDICINE or not USED_ON_PURPOSE.isdisjoint(items_of(case.formula.purpose))
    usual = Severity.QUERY if asks else Severity.ERROR
    if ph is not None:
        alkaline = ph.high.value >= figure("pH that burns from")
        if alkaline or ph.low.value <= figure("pH that burns to"):
            by = danger.of(Peril.CAUSTIC if alkaline else Peril.ACID)
            names = tuple(dict.fromkeys(met.substance.name for met in by))
            yield Said(
                place=case.place_of("pH"),
                severity=usual,
                says=says(
                    "burns-by-ph",
                    ph=ph.high.value if alkaline else ph.low.value,
                    by=says("burns-by", names=names) if names else None,
                ),
            )
    for burn in danger.burns:
        place = place_of_any(case, {met.material for met in danger.of(burn.peril)})
        if burn.may_be_taken_up:
            told = says("burns-unless", names=burn.names, count=len(burn.names), share=burn.share)
            yield Said(place=place, severity=Severity.QUERY, says=told)
            continue
        way = says("burn-thin" if burn.peril in WHATEVER_PH else "burn-thin-or-ph")
        told = says(
            "burns-by-strength",
            names=burn.names,
            count=len(burn.names),
            share=burn.share,
            least=burn.burns_from,
            known=burn.known,
            way=way,
        )
        yield Said(place=place, severity=Severity.QUERY if burn.known == MEMORY else usual, says=told)


def ph_for_skin(case: Case) -> Iterator[Said]:
    """What stays on skin has a pH that skin bears; query.

    Source: common practice, no source.
    """
    ph = case.formula.ph
    if ph is None or not case.figures.dangers.on_body or not left_on(case.formula):
        return
    low, high = figure("pH on skin from"), figure("pH on skin to")
    burning = ph.low.value <= figure("pH that burns to") or ph.high.value >= figure("pH that burns from")
    if burning or (ph.low.value >= low and ph.high.value <= high):
        return
    worst = ph.low.value if ph.low.value < low else ph.high.value
    yield Said(place=case.place_of("pH"), says=says("ph-for-skin", ph=worst, low=low, high=high))


def peel(case: Case) -> Iterator[Said]:
    """What goes onto skin is no peel by fruit acids, unless it is a medicine; query.

    Source: `dangers.yaml`, from memory.
    """
    danger = case.figures.dangers
    share, most = fruit_acids(case.formula, danger)
    if not danger.on_body or case.formula.kind is Kind.MEDICINE:
        return
    mine = sorted((met for met in danger.of(Peril.FRUIT_ACID) if met.share), key=lambda met: -(met.share or ZERO))
    if share > most:
        where = says("peel-left-on" if left_on(case.formula) else "peel-rinsed-off")
        names = tuple(dict.fromkeys(met.substance.name for met in mine))
        place = place_of_any(case, {met.material for met in mine})
        yield Said(place=place, says=says("fruit-acids", names=names, share=share, most=most, where=where))


# ── What has to be sterile, and the sun ───────────────────────────────────────────────────────────────────────────────


def must_be_sterile(case: Case) -> Iterator[Said]:
    """What goes into eyes, veins or wounds is made sterile, by licensed practice; error, on broken skin a query.

    Cosmetics for the eyes go around them, so a formula that says nothing of its kind is asked: a query.

    Source: common practice, no source.
    """
    use, kind = case.formula.use, case.formula.kind
    told = (("purpose", case.formula.purpose), ("title", case.formula.title))
    found = next(((key, item) for key, text in told for item in items_of(text) if item in STERILE), None)
    if found is not None:
        yield Said(place=case.place_of(found[0]), says=says("sterile-purpose", purpose=found[1]))
    elif use is not None and Site.EYES in use.sites and kind is not Kind.COSMETIC:
        softer = Severity.QUERY if kind is None else None
        yield Said(place=case.place_of("use"), severity=softer, says=says("sterile-in-eyes"))
    elif use is not None and Site.BROKEN_SKIN in use.sites:
        yield Said(place=case.place_of("use"), severity=Severity.QUERY, says=says("sterile-on-wounds"))


def sun_protection(case: Case) -> Iterator[Said]:
    """Protection from the sun is not claimed untested; query.

    Source: common practice, no source.
    """
    formula = case.formula
    for key, text in (("title", formula.title), ("purpose", formula.purpose)):
        if _FACTOR.search(text) or (key == "purpose" and not SUN.isdisjoint(items_of(text))):
            yield Said(place=case.place_of(key), says=says("sun-protection"))
            return


def burns_in_the_sun(case: Case) -> Iterator[Said]:
    """Oils that make skin burn in the sun stay below what is quoted for them, added up; query.

    Source: `dangers.yaml`: maximum dermal levels as others quote them.
    """
    danger = case.figures.dangers
    if not danger.on_body or not left_on(case.formula):
        return
    mine = [met for met in danger.of(Peril.SUN) if met.share and met.substance.most]
    mine.sort(key=lambda met: -(met.share or ZERO) / (met.substance.most or 1))
    ratio = ratio_in_the_sun(danger)
    if ratio > 1:
        names = tuple(dict.fromkeys(met.substance.name for met in mine))
        most = mine[0].substance.most
        if len(names) == 1:
            share = sum((met.share or ZERO for met in mine), ZERO)
            told = says("burns-in-the-sun", name=names[0], share=share, most=most)
        else:
            told = says("burn-in-the-sun", names=names, ratio=ratio, first=names[0], most=most)
        yield Said(place=place_of_any(case, {mine[0].material}), says=told)


# ── Aromatic materials ────────────────────────────────────────────────────────────────────────────────────────────────


def undiluted_aromatic(case: Case) -> Iterator[Said]:
    """Aromatic materials do not go onto skin undiluted; error, a query for a scent or a medicine.

    Source: common practice, no source.
    """
    danger, kind = case.figures.dangers, case.formula.kind
    if not danger.on_body or danger.aromatic < figure("undiluted aromatic"):
        return
    told = says(
        "undiluted-aromatic",
        share=danger.aromatic,
        names=_names(case, danger.aromatic_keys),
        most=_usual_share(case)[0],
    )
    softer = kind in (Kind.SCENT, Kind.MEDICINE)
    yield Said(
        place=place_of_any(case, danger.aromatic_keys),
        severity=Severity.QUERY if softer else Severity.ERROR,
        says=told,
    )


def strong_aromatic(case: Case) -> Iterator[Said]:
    """A cosmetic holds no more aromatic material than is usual for where and on whom it is used; query.

    Source: common practice, no source.
    """
    danger, use = case.figures.dangers, case.formula.use
    if not danger.on_body or case.formula.kind in (Kind.SCENT, Kind.MEDICINE) or not danger.aromatic:
        return
    if danger.aromatic >= figure("undiluted aromatic"):
        return
    for_small_children = use is not None and Person.SMALL_CHILDREN in use.persons
    most, where = _usual_share(case)
    if not for_small_children and danger.aromatic <= most:
        return
    names, place = _names(case, danger.aromatic_keys), place_of_any(case, danger.aromatic_keys)
    told = says("strong-aromatic", share=danger.aromatic, names=names, where=where, most=most)
    if for_small_children:
        told = says("aromatic-for-small-children", share=danger.aromatic, names=names)
    yield Said(place=place, says=told)


def _usual_share(case: Case) -> tuple[Fraction, Saying]:
    """Return how much aromatic material is usual at most for where and on whom it is used, the least of those named."""
    use = case.formula.use
    persons = frozenset[Person]() if use is None else frozenset(use.persons)
    if use is not None and use.contact is Contact.RINSE_OFF:
        found = [(figure("aromatic, rinse-off"), says("strong-rinsed-off"))]
    else:
        found = [(figure("aromatic, elsewhere"), says("strong-on-skin"))]
        found += [
            (figure(f"aromatic, {site.value}"), says("strong-at", site=site.value))
            for site in (Site.FACE, Site.LIPS, Site.MOUTH, Site.HANDS)
            if use is not None and site in use.sites
        ]
    if not persons.isdisjoint({*CHILDREN, Person.SMALL_CHILDREN}):
        found.append((figure("aromatic for children"), says("strong-for-children")))
    if Person.PREGNANCY in persons:
        found.append((figure("aromatic in pregnancy"), says("strong-in-pregnancy")))
    return min(found, key=lambda pair: pair[0])


def airways_of_small_children(case: Case) -> Iterator[Said]:
    """Camphor, menthol, cineole and the oils that bring them are kept from children under three; query.

    Where it is for children whose age is not written, it asks for that.

    Source: `dangers.yaml`: Afssaps, recommendation on terpenoids in cosmetics, August 2008, as reported.
    """
    persons = case.formula.use.persons if case.formula.use is not None else ()
    if Person.SMALL_CHILDREN not in persons and Person.CHILDREN not in persons:
        return
    way = says("airways-leave-out" if Person.SMALL_CHILDREN in persons else "airways-write-age")
    for met in case.figures.dangers.of(Peril.AIRWAYS):
        most = met.substance.most
        if met.share and most is not None and met.share > most:
            limit = says("airways-most", most=most) if most else None
            told = says("airways-of-small-children", name=met.substance.name, share=met.share, most=limit, way=way)
            yield Said(place=place_of_any(case, {met.material}), says=told)


# ── What must never meet ──────────────────────────────────────────────────────────────────────────────────────────────


def never_together(case: Case) -> Iterator[Said]:
    """Hypochlorite never meets acid, ammonia, amines, alcohol or peroxide; error.

    Source: `dangers.yaml`; common practice, no source.
    """
    for first, second, freed in case.figures.dangers.never:
        names = (first.substance.name, second.substance.name)
        told = says("never-together", first=names[0], second=names[1], gas=freed.gas, harm=freed.harm)
        yield Said(place=place_of_any(case, {first.material}), says=told)


def peroxide_and_metal(case: Case) -> Iterator[Said]:
    """Peroxide is not kept with salts or oxides of metals that take it apart; query.

    Source: common practice, no source.
    """
    danger = case.figures.dangers
    peroxides, metals = danger.of(Peril.PEROXIDE), danger.of(Peril.METAL)
    if peroxides and metals:
        told = says("peroxide-and-metal", first=peroxides[0].substance.name, second=metals[0].substance.name)
        yield Said(place=place_of_any(case, {metals[0].material}), says=told)


# ── Heat, order, dust ─────────────────────────────────────────────────────────────────────────────────────────────────


def too_hot(case: Case) -> Iterator[Said]:
    """What bears little heat goes into a phase that is not hotter: by `bears:`, else by the tables; query.

    Source: `heat.yaml` and `dangers.yaml`; common practice, no source, where a row does not say otherwise.
    """
    for heated in case.figures.heat.lines:
        if heated.too_hot:
            told = says(
                "too-hot",
                name=heated.line.name,
                celsius=heated.celsius,
                most=heated.bears.celsius,
                of=of_what(heated, case.reckoning.book),
                known=heated.bears.known,
                why=heated.bears.beyond,
            )
            yield Said(place=heated.line.line.place, says=told)


def water_onto_lye(case: Case) -> Iterator[Said]:
    """Lye goes into water, never water onto lye; query where an earlier step of the method has the lye alone.

    Told from the links to amounts: in one phase a solid caustic is last named in a step before water is first named.

    Source: common practice, no source.
    """
    materials = case.reckoning.book.materials
    caustics = {met.material for met in case.figures.dangers.of(Peril.CAUSTIC)}
    links = [(link, case.reckoning.book.key_of(link.material)) for link in case.formula.body.amounts if link.material]
    for lye in sorted(caustics):
        if water_in(materials[lye]) != 0 if lye in materials else True:
            continue
        last = max((link.place.line for link, key in links if key == lye), default=0)
        waters = [(link, key) for link, key in links if _is_water(materials.get(key))]
        if not last or not waters or not _in_one_phase(case, lye, waters[0][1]):
            continue
        first, water = min(waters, key=lambda pair: pair[0].place.line)
        if last < first.place.line:
            told = says("water-onto-lye", water=materials[water].name, lye=materials[lye].name)
            yield Said(place=first.place, says=told)


def _is_water(material: Material | None) -> bool:
    return material is not None and water_in(material) == 1


def _in_one_phase(case: Case, *keys: str) -> bool:
    return any(
        all(any(line.key == key and line.phase == phase.letter for line in case.lines) for key in keys)
        for phase in case.formula.ingredients
    )


def powder_breathed(case: Case) -> Iterator[Said]:
    """A loose powder is not used on children under three, nor left on a face, nor scattered in a room; query.

    Source: common practice, no source.
    """
    use, shares = case.formula.use, case.figures.composition.shares
    if use is None or isinstance(shares, Missing):
        return
    small = Person.SMALL_CHILDREN in use.persons
    face = Site.FACE in use.sites and left_on(case.formula)  # what is rinsed off is wetted first
    if not small and not face and Site.ROOM not in use.sites:
        return
    materials = case.reckoning.book.materials
    loose = sum((share for key, share in shares.items() if materials[key].kind is MaterialKind.POWDER), ZERO)
    if loose >= figure("loose powder"):
        where = says("powder-for-small-children" if small else "powder-on-a-face" if face else "powder-in-a-room")
        way = says("powder-else-on-skin" if case.figures.dangers.on_body else "powder-else")
        yield Said(place=case.place_of("use"), says=says("powder-breathed", where=where, way=way))


# ── Names and places ──────────────────────────────────────────────────────────────────────────────────────────────────


def _names(case: Case, keys: frozenset[str]) -> tuple[str, ...]:
    """Return the names of materials, the most first."""
    shares = case.figures.composition.shares
    ordered = sorted(keys, key=lambda key: (ZERO if isinstance(shares, Missing) else -shares.get(key, ZERO), key))
    return tuple(case.reckoning.book.materials[key].name for key in ordered)


def place_of_any(case: Case, keys: Set[str]) -> Place:
    """Return the first line that brings one of the materials, itself or by an intermediate."""
    line = next((line for _, line in case.lines_bringing(keys)), None)
    return Place(path=case.formula.path) if line is None else line.line.place
