"""Will it hold together: what does not go together, and names that stand for nothing.

Enters: a formula's clashes.  Leaves: queries; an error for what burns or bursts.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..findings import Place, Severity
from ..reckon.figures import Reckoning
from ..reckon.hlb import APART, blend_told, way_of
from ..reckon.incompatible import Clash, clashes_told
from ..reckon.preserving import Effect
from ..reckon.recognised import names_of_tables
from ..reference import spelt
from ..reference.dangers import dangers
from ..reference.incompatible import incompatible
from ..source.naming import nearest_name
from ..wording.saying import Saying, says
from .rule import Case, Said


def incompatible_pair(case: Case) -> Iterator[Said]:
    """What does not go together is not in one formula; query, but an error where it burns or bursts, without a reason.

    It is told where the two first meet, and not again in what is made with that.

    Source: `incompatible.yaml`, row by row, and the materials' files.
    """
    taken_up = {
        key for item in case.figures.storage.keeping.judged if item.effect is Effect.TAKEN_UP for key in item.materials
    }
    for clash in case.figures.clashes:
        if clash.told_before or {party.key for party in clash.firsts} <= taken_up:
            continue
        (told,) = clashes_told((clash,), case.reckoning.book)
        place, reason = _line_of(case, clash)
        bars = clash.row is not None and clash.row.bars and not reason
        yield Said(
            place=place,
            says=says("clash-found", clash=told, todo=_todo(clash, reason)),
            severity=Severity.ERROR if bars else None,
        )


def _todo(clash: Clash, reason: str) -> Saying:
    if clash.row is None:
        return says("clash-leave-out")
    if clash.row.bars and reason:
        return says("limit-reason", reason=reason)
    return says("clash-todo", todo=clash.row.todo)


def _line_of(case: Case, clash: Clash) -> tuple[Place, str]:
    """Return where the line stands by which both sides are there, and the reason that one of their lines gives."""
    sides = [
        [number for number, _ in case.lines_bringing({party.key for party in parties})]
        for parties in (clash.firsts, clash.seconds)
    ]
    lines = [line for side in sides for line in side]
    later = max((side[0] for side in sides if side), default=None)
    because = next((reason for index in sorted(lines) if (reason := case.lines[index].line.because)), "")
    return (Place(path=case.formula.path) if later is None else case.lines[later].line.place), because


def hlb_too_far(case: Case) -> Iterator[Said]:
    """Where a formula asks, required and offered HLB lie no more than 1 apart, as printed; query with what would do.

    Source: Griffin's rule; that 1 is near enough for a first trial is common practice, no source.
    """
    found = case.figures.emulsified
    if found is None or found.apart is None or found.suits:
        return
    todo = says("hlb-higher") if found.apart < 0 else says("hlb-lower")
    if found.blend is not None:
        todo = blend_told(found.blend, case.reckoning.book)
    told = says(
        "hlb-too-far",
        required=found.required,
        offered=found.offered,
        how=way_of(found.asked),
        most=APART,
        todo=todo,
    )
    yield Said(place=case.place_of("emulsion"), says=told)


def hlb_not_judged(case: Case) -> Iterator[Said]:
    """Where a formula asks for HLB, all that it rests on is known and nothing ionic is in it; query, naming it.

    Source: Griffin's rule, which holds for nonionic emulsifiers.
    """
    found = case.figures.emulsified
    if found is not None and found.lacking:
        yield Said(place=case.place_of("emulsion"), says=says("hlb-unjudged-found", why=found.lacking))


def incompatible_with_nothing(reckoning: Reckoning) -> Iterator[Said]:
    """What `incompatible with:` names is no slip of a name that the book or a table has; query, with that name.

    What resembles nothing is a substance that the book does not have yet, and is left alone.

    Source: own choice, no source.
    """
    book = reckoning.book
    speaking = [material for material in book.materials.values() if material.incompatible_with]
    if not speaking:
        return
    table = incompatible()
    listed = {spelt(entry.substance) for material in book.materials.values() for entry in material.contains}
    labels = {spelt(label.name) for material in book.materials.values() for label in material.label}
    of_tables = names_of_tables().keys() | dangers().names.keys() | table.names.keys() | set(map(spelt, table.groups))
    known = {*map(spelt, (*book.materials, *book.naming.names, *book.naming.shared)), *of_tables, *listed, *labels}
    known |= {spelt(name) for material in book.materials.values() for name in material.known_as}
    for material in speaking:
        place = material.places.get("incompatible with", Place(path=material.path))
        for word in material.incompatible_with:
            if spelt(word.name) in known:
                continue
            if word.name.casefold() in book.formulas:
                told = says("incompatible-formula", name=word.name)
            elif (near := nearest_name(word.name, sorted(known))) is not None:
                told = says("incompatible-meant", name=word.name, meant=near)
            else:
                continue
            yield Said(place=place, title=material.name, concerns=material.key, says=told)
