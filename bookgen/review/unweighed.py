"""What is asked of a product by volume where nobody wrote what 1 mL of it weighs: what may be too strong in it.

Enters: a formula's amounts.  Leaves: queries, as no share is known.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from ..findings import Missing, Severity
from ..model import Judging, Superfat
from ..reckon.composition import Composition
from ..reckon.dangers import WHATEVER_PH, dangers_of, judged_by_strength
from ..reckon.known import ONE, ZERO
from ..reckon.lightest import LIGHTEST, at_lightest, is_of_unknown_weight
from ..reckon.limits import limits_of
from ..reckon.recognised import names_of_tables, recognised_among
from ..reference.dangers import Peril, dangers
from ..wording.saying import says
from .dangers import (
    airways_of_small_children,
    burns_in_the_sun,
    peel,
    place_of_any,
    strong_aromatic,
    undiluted_aromatic,
)
from .limits import perhaps_beyond_limit
from .persons import not_for_small_children, not_in_pregnancy
from .rule import Case, FormulaJudge, Said

BY_SHARE: tuple[FormulaJudge, ...] = (
    perhaps_beyond_limit,
    peel,
    undiluted_aromatic,
    strong_aromatic,
    airways_of_small_children,
    burns_in_the_sun,
    not_for_small_children,
    not_in_pregnancy,
)
"""The rules that judge by a share of the product, burns aside."""


def share_not_known(case: Case) -> Iterator[Said]:
    """What is judged by its share is not too much in a product by volume of unknown weight; query.

    Asked where it would be too much in 1 mL of 0.75 g, the lightest that is likely.

    Source: as the rules by share; 0.75 g/mL is own choice, no source.
    """
    if not is_of_unknown_weight(case.figures.amounts):
        return
    light = _at_lightest(case)
    for judge in BY_SHARE:
        for said in judge(light):
            told = says("at-lightest", lightest=LIGHTEST, told=said.says)
            yield replace(said, severity=Severity.QUERY, says=told)


def _at_lightest(case: Case) -> Case:
    """Return the case as if 1 mL of the product were of the least weight that is likely."""
    book, figures = case.reckoning.book, case.figures
    inner = _inner(case)
    light = at_lightest(figures.amounts, figures.composition, inner)
    if light is None:
        return case
    mine = {key: book.materials[key] for key in light.handled if key in book.materials}
    perils = {key: case.reckoning.figures[key].dangers for key in inner}
    return replace(
        case,
        figures=replace(
            figures,
            composition=light,
            dangers=dangers_of(
                case.formula,
                book,
                figures.amounts,
                light,
                recognised_among(mine, dangers().names),
                figures.soap,
                perils,
            ),
            limits=limits_of(
                case.formula,
                light,
                recognised_among(mine, names_of_tables()),
                figures.storage.preservatives,
                taken_up=figures.soap.taken_up,
                judging=case.workroom.limits is not Judging.NONE,
            ),
        ),
    )


def burning_not_judged(case: Case) -> Iterator[Said]:
    """Where 1 mL of a product is of unknown weight, it is not known whether what burns skin is too strong; query.

    Asked from the strength that burns skin in a liquid of 0.75 g/mL, the lightest that is likely; of a caustic or an
    acid where no pH tells and the lye is not one that follows its fats.

    Source: as `burns_skin`; 0.75 g/mL is own choice, no source.
    """
    danger, figures = case.figures.dangers, case.figures
    light = at_lightest(figures.amounts, figures.composition, _inner(case))
    follows = any(isinstance(line.line.amount, Superfat) for line in case.lines)
    if light is None or isinstance(light.shares, Missing) or not danger.on_body:
        return
    shares = light.shares
    for peril in judged_by_strength(case.formula):
        if follows and peril is Peril.CAUSTIC:
            continue
        met = [item for item in danger.of(peril) if not item.makes_soap and shares.get(item.material)]
        burning = sum(
            (shares[item.material] * item.strength / (item.substance.burns_from or ONE) for item in met), ZERO
        )
        if burning >= 1:
            place = place_of_any(case, {item.material for item in danger.of(peril)})
            way = says("burning-weigh" if peril in WHATEVER_PH else "burning-weigh-or-ph")
            names = tuple(dict.fromkeys(item.substance.name for item in met))
            yield Said(place=place, says=says("burning-not-judged", names=names, way=way))


def _inner(case: Case) -> dict[str, Composition]:
    """Return the composition of each intermediate of a formula, by its key."""
    known = case.reckoning.figures
    return {line.key: known[line.key].composition for line in case.lines if line.key in known}
