"""References: what a formula calls, and whether it can be used.

Enters: a formula's figures, the graph.  Leaves: findings on missing, ambiguous, circular or withdrawn ingredients.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from ..findings import Missing, Place
from ..model import Formula, Likeness, Status
from ..reckon.amounts import Amounts, LineFigure
from ..reckon.figures import Reckoning
from ..source.naming import said_of
from ..wording.saying import says
from .rule import Case, Said, with_errors

LONGEST_PATH = 8
"""Steps of a circle that are told one by one."""


def cycle(reckoning: Reckoning) -> Iterator[Said]:
    """Formulas that use each other in a circle cannot be made; error, once for each circle, with its path.

    Source: common practice, no source (nothing can be an ingredient of itself).
    """
    formulas = reckoning.book.formulas
    for path in reckoning.graph.cycles:
        first = formulas[path[0]]
        following = path[1] if len(path) > 1 else path[0]
        place = next(
            (line.place for line in first.lines if reckoning.book.key_of(line.material) == following),
            Place(path=first.path),
        )
        codes = [formulas[key].code for key in path]
        if len(path) == 1:
            told = says("own-ingredient", code=codes[0])
        else:
            steps = [says("uses", one=one, other=other) for one, other in pairwise([*codes, codes[0]])]
            if len(steps) > LONGEST_PATH:
                steps = [*steps[: LONGEST_PATH - 1], says("and-so-on", count=len(steps)), steps[-1]]
            told = says("cycle", steps=tuple(steps))
        yield Said(place=place, says=told, concerns=first.code, title=first.title)


def missing_reference(case: Case) -> Iterator[Said]:
    """What a line names resembles something that the book has, and is not it; error, with what was probably meant.

    Source: common practice, no source.
    """
    for figure in case.lines:
        typed = figure.line.material
        meant = case.reckoning.book.naming.meant.get(typed.casefold())
        if figure.key or meant is None:
            continue
        if meant.how is Likeness.SPELLING:
            name = meant.write[0]
            hint = says("mean-called", name=name, called=meant.called) if meant.called else says("mean", name=name)
            told = says("no-such-item", name=typed, hint=hint)
        else:
            told = says(
                "renamed" if meant.how is Likeness.RENAMED else "title-for-name", name=typed, what=said_of(meant)
            )
        yield Said(place=figure.line.place, says=told)


def ambiguous_name(case: Case) -> Iterator[Said]:
    """A name that several materials share does not say which is meant; error, with their file names.

    Source: common practice, no source (glycerol is sold at 85 and at 99.5 %).
    """
    for figure in case.lines:
        named = case.reckoning.book.naming.shared.get(figure.line.material.casefold())
        if named and not figure.key:
            yield Said(
                place=figure.line.place,
                says=says("ambiguous-name", name=figure.line.material, names=tuple(named)),
            )


def former_name(case: Case) -> Iterator[Said]:
    """A line that calls something by its former name is read as what it is called now; note, with that.

    Source: common practice, no source.
    """
    book = case.reckoning.book
    for figure in case.lines:
        item = book.at(figure.key)
        if item is None or book.naming.former.get(figure.line.material.casefold()) != figure.key:
            continue
        now = item.code if isinstance(item, Formula) else item.key
        yield Said(place=figure.line.place, says=says("former-name", name=figure.line.material, now=now))


def no_file_yet(case: Case) -> Iterator[Said]:
    """Ingredients that nothing in the book resembles have no file yet; query, one for the formula, and it is weighed.

    Where a file or folder cannot be read nobody knows; that is told in its place.

    Source: common practice, no source.
    """
    if case.reckoning.book.unread:
        return
    strange = [figure for figure in case.lines if figure.key in case.reckoning.book.naming.unfiled]
    names = tuple({figure.key: figure.name for figure in strange}.values())
    if names:
        told = says("no-file-yet", name=names[0]) if len(names) == 1 else says("no-files-yet", names=names)
        yield Said(place=strange[0].line.place, says=told)


def only_a_name(reckoning: Reckoning) -> Iterator[Said]:
    """The file of a material that a formula uses says more than its name; query, once for the material.

    Source: common practice, no source.
    """
    unread = with_errors(reckoning.book)
    for material in reckoning.book.materials.values():
        if material.is_bare and material.path not in unread and reckoning.graph.used_by.get(material.key.casefold()):
            yield Said(
                place=Place(path=material.path),
                title=material.name,
                concerns=material.key,
                says=says("only-a-name"),
            )


def withdrawn_ingredient(case: Case) -> Iterator[Said]:
    """A withdrawn formula is not made any more, so nothing can be made with it; error.

    Source: common practice, no source.
    """
    for figure, used in _intermediates(case):
        if used.status is Status.WITHDRAWN:
            yield Said(
                place=figure.line.place,
                says=says("withdrawn-ingredient", code=used.code, title=used.title),
            )


def unapproved_ingredient(case: Case) -> Iterator[Said]:
    """An approved formula should not rest on an intermediate that is still a draft or on trial; query.

    Source: common practice, no source.  An intermediate with an error is left alone: its status may be what could not
    be read.
    """
    if case.formula.status is not Status.APPROVED:
        return
    for figure, used in _intermediates(case):
        if used.status in (Status.DRAFT, Status.TRIAL) and figure.key not in case.doubtful:
            told = says(
                "draft-ingredient" if used.status is Status.DRAFT else "trial-ingredient",
                code=used.code,
                title=used.title,
            )
            yield Said(place=figure.line.place, says=told)


def _intermediates(case: Case) -> Iterator[tuple[LineFigure, Formula]]:
    """Yield the lines that call a formula, each formula once."""
    met: set[str] = set()
    for figure in case.lines:
        if figure.is_formula and figure.key not in met:
            met.add(figure.key)
            yield figure, case.reckoning.book.formulas[figure.key]


def intermediate_by_volume(reckoning: Reckoning) -> Iterator[Said]:
    """A formula by volume without density, used in one by weight, leaves volume and composition unknown; query, once.

    Source: mass = volume × density, common practice, no source.
    """
    for key, figures in reckoning.figures.items():
        formula = figures.formula
        if figures.amounts.makes.unit != "mL" or formula.density is not None or "density" in formula.places:
            continue
        users = tuple(
            reckoning.book.formulas[user].code
            for user in reckoning.graph.used_by.get(key, ())
            if user in reckoning.figures and _weighs(reckoning.figures[user].amounts, key)
        )
        if users:
            yield Said(
                place=formula.places.get("makes", Place(path=formula.path)),
                title=formula.title,
                concerns=formula.code,
                says=says("weighed-by-volume", users=users),
            )


def _weighs(amounts: Amounts, key: str) -> bool:
    """Return whether a formula by weight takes a known weight of the intermediate; a gap there has its own finding."""
    return amounts.makes.unit == "g" and any(
        line.key == key and not isinstance(line.grams, Missing) for line in amounts.lines
    )
