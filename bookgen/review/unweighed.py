"""What is asked of a product by volume where nobody wrote what 1 mL of it weighs: what may be too strong in it.

Enters: a formula's amounts.  Leaves: queries, as no share is known.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from ..findings import Severity
from ..model import Judging
from ..reckon.dangers import WHATEVER_PH, dangers_of
from ..reckon.lightest import LIGHTEST, at_lightest, is_of_unknown_weight
from ..reckon.limits import limits_of
from ..reckon.recognised import names_of_tables, recognised_among
from ..reference.dangers import dangers
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
    known = {line.key: case.reckoning.figures[line.key] for line in case.lines if line.key in case.reckoning.figures}
    light = at_lightest(figures.amounts, figures.composition, {key: inner.composition for key, inner in known.items()})
    if light is None:
        return case
    mine = {key: book.materials[key] for key in light.handled if key in book.materials}
    perils = {key: inner.dangers for key, inner in known.items()}
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
    danger = case.figures.dangers
    for peril, names in danger.may_burn.items() if danger.on_body else ():
        place = place_of_any(case, {met.material for met in danger.of(peril)})
        way = says("burning-weigh" if peril in WHATEVER_PH else "burning-weigh-or-ph")
        yield Said(place=place, says=says("burning-not-judged", names=names, way=way))
