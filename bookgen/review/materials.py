"""Materials and the workroom: values that are probably slips of the pen.

Enters: the book.  Leaves: queries at materials and the workroom; none of them bars a formula.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..findings import Missing, Place, Severity
from ..fraction import Fraction
from ..model import Content, Formula, Material
from ..reckon.densities import grams_per_ml
from ..reckon.figures import Reckoning
from ..reckon.strengths import content_between
from ..reckon.substances import factor, form_of
from ..reference import SubstanceForm
from ..source.naming import nearest_name
from ..wording.saying import says
from .droppers import no_dropper
from .rule import Said

DENSITIES = (Fraction("0.2"), Fraction(4))
"""Grams per millilitre between which products lie, from loose powders to pastes (common practice, no source)."""
ASSAY = Fraction(1, 100)
"""By how much of what a pure form holds an assay may go beyond it (own choice, no source)."""


def _at(item: Material | Formula, key: str) -> Place:
    return item.places.get(key, Place(path=item.path))


def implausible_density(reckoning: Reckoning) -> Iterator[Said]:
    """A density lies between 0.2 and 4 g/mL; query, as a decimal sign is probably misplaced.

    Source: common practice, no source.
    """
    book = reckoning.book
    items: list[Formula | Material] = [*book.formulas.values(), *book.materials.values()]
    for item in items:
        if item.density is None or DENSITIES[0] <= grams_per_ml(item.density) <= DENSITIES[1]:
            continue
        yield Said(
            place=_at(item, "density"),
            title=item.title if isinstance(item, Formula) else item.name,
            concerns=item.code if isinstance(item, Formula) else item.key,
            says=says("implausible-density", density=item.density.text, low=DENSITIES[0], high=DENSITIES[1]),
        )


def unknown_dropper(reckoning: Reckoning) -> Iterator[Said]:
    """A dropper that a material lists is one of the workroom's, where these are written; query, with the nearest name.

    Source: common practice, no source (a drop mass holds for one dropper only).
    """
    workroom = reckoning.book.workroom
    known = {dropper.casefold() for dropper in workroom.droppers}
    if not known:
        return
    for material in reckoning.book.materials.values():
        for line in material.drops:
            if line.dropper.casefold() not in known:
                yield Said(
                    place=line.place,
                    title=material.name,
                    concerns=material.key,
                    says=no_dropper(line.dropper, workroom.droppers),
                )


def label_shares(reckoning: Reckoning) -> Iterator[Said]:
    """The shares of several label names add up to 100 %; query when they fall short (reading refuses more).

    Source: common practice, no source.
    """
    items: dict[str, Material | Formula] = {**reckoning.book.materials, **reckoning.book.formulas}
    for key, item in items.items():
        shares = [part.share for part in item.label if part.share is not None]
        if shares and len(shares) == len(item.label) and sum(shares) < 1:
            yield Said(
                place=_at(item, "label"),
                title=item.title if isinstance(item, Formula) else item.name,
                concerns=key,
                says=says("label-shares", share=sum(shares, Fraction(0)) * 100),
            )


def content_beyond_form(reckoning: Reckoning) -> Iterator[Said]:
    """A material that is a salt or a hydrate holds no more of another form than the pure one can; query beyond that.

    Judged where its name, a synonym or its only label name is a form of the table.  Usually the assay of the salt
    stands under the name of its acid: 99 % is written as sorbic acid where 99 % potassium sorbate is meant.

    Source: `factor`; that 1 % of it may be the assay's is own choice, no source.
    """
    for material in reckoning.book.materials.values():
        forms = _forms_named(material)
        for entry in material.contains:
            beyond = _beyond(material, entry, forms)
            if beyond is None:
                continue
            form, held, most = beyond
            yield Said(
                place=_at(material, "contains"),
                title=material.name,
                concerns=material.key,
                says=says("content-beyond-form", share=held * 100, name=entry.substance, form=form.name, most=most),
            )


def _forms_named(material: Material) -> tuple[SubstanceForm, ...]:
    """Return the forms of substances that the material goes by; of several label names none is the whole of it."""
    label = [part.name for part in material.label] if len(material.label) == 1 else []
    found = (form_of(name) for name in (material.name, *material.also, *label))
    return tuple(dict.fromkeys(form for form in found if form is not None))


def _beyond(
    material: Material, entry: Content, forms: tuple[SubstanceForm, ...]
) -> tuple[SubstanceForm, Fraction, Fraction] | None:
    """Return the first form that cannot hold what is listed, with the listed share and the most it can hold."""
    held, _ = content_between(material, entry)
    if isinstance(held, Missing):
        return None
    for form in forms:
        most = factor(form.name, entry.substance)
        if most is not None and held > most * (1 + ASSAY):
            return form, held, most
    return None


def chapter_without_formulas(reckoning: Reckoning) -> Iterator[Said]:
    """A chapter of the workroom's list is a folder with formulas; query where another is meant, else one note for all.

    Where a file or folder cannot be read nobody knows; that is told in its place.

    Source: common practice, no source.
    """
    if reckoning.book.unread:
        return
    workroom = reckoning.book.workroom
    folders = {formula.chapter for formula in reckoning.book.formulas.values()}
    place = workroom.places.get("chapters", Place(path=workroom.path))
    planned = []
    for name in workroom.chapters:
        if name in folders or any(folder.startswith(f"{name}/") for folder in folders):
            continue
        meant = nearest_name(name, folders - set(workroom.chapters))
        if meant is None:
            planned.append(name)
            continue
        told = says("no-such-chapter", name=name, hint=says("mean", name=meant))
        yield Said(place=place, title=workroom.title, says=told)
    if planned:
        told = says("empty-chapters", count=len(planned), names=tuple(planned))
        yield Said(place=place, title=workroom.title, says=told, severity=Severity.NOTE)
