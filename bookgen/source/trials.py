"""Trials: a formula `based on` another says which lines differ, and everything else is that formula's.

What is read here becomes a whole formula, so that no later room knows of it.  Each line keeps the place where it is
written: an own line in the trial's file, an inherited one in its base's.  Pure.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any, TypeVar

from ..findings import Finding, Place, did_you_mean
from ..model import METHOD, AmountLink, Body, Formula, Line, Phase, Section, Status, TimeLink, TypedQuantity
from ..wording.saying import Saying, says
from .desk import Desk
from .ingredients import require_bases
from .pieces import require_pieces
from .schema import written_as

OWN_KEYS = frozenset(
    {
        "code", "title", "status", "issue", "based on", "kept as", "purpose", "ingredients", "density",
        "tapped density", "yield", "pH", "appearance", "preserved by", "source", "formerly", "changes",
    }
)  # fmt: skip
"""Keys that a trial may have: what it is called, what differs, and what is found on it.  All others follow its base.

What keeps the base from spoiling was said of other lines, so `preserved by` does not follow: the trial says it anew.
"""

_OF_FILE = frozenset({"chapter", "path", "body", "places", "readable", "unread"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Expanded:
    """A trial as a whole formula."""

    own: Formula
    """As its file says."""
    base: Formula | None
    """What it is based on, whole itself; None where there is none."""
    formula: Formula
    """The whole."""
    findings: tuple[Finding, ...]
    """What is wrong with its lines."""


def expand(
    present: Mapping[str, Formula],
    earlier: Mapping[str, Formula],
    known: dict[str, Expanded],
    same: Callable[[str], str],
    *,
    comma: bool,
) -> dict[str, Expanded]:
    """Return key → trial as a whole formula, of every formula that is based on another, a base before its trials.

    `present` maps the keys of the book to the formulas as their files say, `earlier` those of earlier issues, `s-02@3`;
    `known` are the trials as they were last, by path, of which those stand whose files did not change; `same` returns
    one name for all names of a material.
    """
    read = {**earlier, **present}
    done: dict[str, Expanded] = {}
    trials = {key: formula for key, formula in read.items() if formula.based_on}
    if not trials:
        known.clear()
        return done
    former = {name.casefold(): key for key, formula in present.items() for name in formula.formerly}

    def now(code: str) -> str:
        name = code.casefold()
        return name if name in present else former.get(name, name)

    kept = {(now(formula.code), formula.issue): key for key, formula in earlier.items()}

    def base_of(formula: Formula) -> str:
        code, _, issue = formula.based_on.partition("@")
        key = now(code)
        if not issue or (key in present and present[key].issue == int(issue)):
            return key
        return kept.get((key, int(issue)), formula.based_on.casefold())

    for key in trials:
        chain = [key]
        while chain[-1] in trials and chain[-1] not in done:
            upper = base_of(trials[chain[-1]])
            if upper in chain:
                circle = chain[chain.index(upper) :]
                codes = tuple(dict.fromkeys(read[code].code for code in circle))
                told = says("trials-in-circle", codes=codes) if codes[1:] else says("trial-of-itself", code=codes[0])
                # Of earlier issues nothing is said.
                teller = next((at for at in circle if at in present), "")
                for at in circle:
                    done[at] = _without_base(trials[at], told if at == teller else None)
                break
            chain.append(upper)
        for at in reversed(chain):
            if at in done or at not in trials:
                continue
            own, upper = trials[at], base_of(trials[at])
            if upper not in read:
                done[at] = _without_base(own, _no_base(own, present, now))
                continue
            base = done[upper].formula if upper in done else read[upper]
            last = known.get(own.path)
            if last is not None and last.own is own and last.base is base:
                done[at] = last
            else:
                done[at] = _expanded(own, base, same, comma=comma)
    known.clear()
    known.update((trial.own.path, trial) for trial in done.values())
    return done


def _no_base(own: Formula, present: Mapping[str, Formula], now: Callable[[str], str]) -> Saying:
    code, _, issue = own.based_on.partition("@")
    if now(code) in present:
        return says("base-not-kept", issue=int(issue), code=present[now(code)].code)
    codes = [formula.code for formula in present.values() if formula.code != own.code]
    return says("base-missing", code=code, hint=did_you_mean(code, codes))


def _without_base(own: Formula, told: Saying | None) -> Expanded:
    """Return a trial of which nothing can be judged, as its base is not there."""
    desk = Desk(own.path)
    if told is not None:
        place = own.places["based on"]
        desk.report("no-base", told, place.line, place.column)
    return Expanded(own=own, base=None, formula=replace(own, readable=False), findings=tuple(desk.findings))


def _expanded(own: Formula, base: Formula, same: Callable[[str], str], *, comma: bool) -> Expanded:
    desk = Desk(own.path, comma=comma)
    for key in own.places:
        if key not in OWN_KEYS:
            place = own.places[key]
            desk.report("key-of-base", says("key-of-base", key=key, base=base.code), place.line, place.column)
    phases = _phases(own, base, same, desk)
    mould = base.places.get("mould") if base.mould is not None else None
    capsule = base.places.get("capsule") if base.capsule is not None else None
    if base.readable and own.readable and "makes" not in base.unread:
        # What the base's own lines lack is reported with the base.
        quiet = Desk(base.path, comma=comma)
        inherited = require_pieces(require_bases(phases, base.makes, quiet), base.makes, mould, capsule, quiet)
        desk.findings.extend(finding for finding in quiet.findings if finding.place in _own_places(phases, own.path))
        phases = inherited
    own_fields = {
        field.name
        for field in fields(Formula)
        if field.name in _OF_FILE or (written_as(field.name) in OWN_KEYS and written_as(field.name) in own.places)
    } | {"code", "title", "status", "issue", "based_on", "kept_as", "preserved_by", "source", "formerly", "changes"}
    values: dict[str, Any] = {name: getattr(own, name) for name in own_fields - {"ingredients"}}
    if "status" not in own.places:
        values["status"] = Status.TRIAL
    values["places"] = {
        **{
            key: place
            for key, place in base.places.items()
            if key not in {"formerly", "changes", "source", "preserved by", "kept as"}
        },
        **own.places,
    }
    values["readable"] = own.readable and base.readable
    values["unread"] = tuple(dict.fromkeys((*own.unread, *base.unread)))
    formula = replace(base, **values, ingredients=phases)
    return Expanded(own=own, base=base, formula=formula, findings=tuple(desk.findings))


def _own_places(phases: tuple[Phase, ...], path: str) -> set[Place]:
    lines = [line for phase in phases for line in phase.lines if line.place.path == path]
    return {place for line in lines for place in (line.place, line.amount_place, *line.places.values())}


# ── Lines ─────────────────────────────────────────────────────────────────────────────────────────────────────────


def _phases(own: Formula, base: Formula, same: Callable[[str], str], desk: Desk) -> tuple[Phase, ...]:
    """Return the base's phases with the lines that differ put in."""
    phases = [list(phase.lines) for phase in base.ingredients] or [[]]
    letters = [phase.letter for phase in base.ingredients] or [""]
    for phase, line in _lines(own):
        if not base.readable or not line.material:
            continue
        departs = line.departs
        wanted = line.material if departs is None else departs.instead_of or line.material
        out = departs is not None and not departs.instead_of
        at = [
            (row, index)
            for row, lines in enumerate(phases)
            for index, other in enumerate(lines)
            if same(other.material) == same(wanted) and other.place.path != own.path
        ]
        if phase.letter:
            at = [found for found in at if letters[found[0]] == phase.letter]
        if len(at) > 1:
            told = says("line-in-phases", name=wanted, base=base.code, letters=tuple(letters[row] for row, _ in at))
            desk.report("trial-line", told, line.place.line, line.place.column)
            continue
        if at:
            row, index = at[0]
            phases[row][index : index + 1] = [] if out else [_put(line, phases[row][index])]
            continue
        if departs is not None:
            names = [other.material for phase in base.ingredients for other in phase.lines]
            told = says("line-not-there", name=wanted, base=base.code, hint=did_you_mean(wanted, names))
            desk.report("trial-line", told, line.amount_place.line, line.amount_place.column)
        elif phase.letter and phase.letter not in letters:
            letters.append(phase.letter)
            phases.append([line])
        else:
            phases[letters.index(phase.letter) if phase.letter else -1].append(line)
    found = {phase.letter: phase for phase in (*own.ingredients, *base.ingredients)}
    made = zip(letters, phases, strict=True)
    return tuple(
        replace(found.get(letter, Phase()), letter=letter, lines=tuple(lines)) for letter, lines in made if lines
    )


def _lines(own: Formula) -> Iterator[tuple[Phase, Line]]:
    """Yield the own lines: those first that take a line out or its place."""
    lines = [(phase, line) for phase in own.ingredients for line in phase.lines]
    yield from sorted(lines, key=lambda item: item[1].departs is None)


def _put(line: Line, there: Line) -> Line:
    """Return a line of the trial in place of the base's: what it does not say is as it was.

    A reason for standing beyond a limit was given for another amount, so it goes with it.
    """
    keeps = line.departs is not None and line.departs.keeps_amount
    written = {field.name for field in fields(Line) if written_as(field.name) in line.places}
    values = {name: getattr(line, name) for name in written if name != "amount"}
    return replace(
        there,
        **{"because": "", "note": "", **values},
        material=line.material,
        amount=there.amount if keeps else line.amount,
        function=line.function or there.function,
        place=line.place,
        amount_place=line.amount_place,
        places={**there.places, **line.places},
    )


# ── The body ──────────────────────────────────────────────────────────────────────────────────────────────────────

_Item = TypeVar("_Item", AmountLink, TimeLink, TypedQuantity)


def with_body(own: Formula, base: Formula) -> Formula:
    """Return a trial with the base's text and its own: a section of its own stands in place of the base's of that name.

    `own` is the whole formula with the text of its own file, `base` has all of its text.
    """
    titles = {section.title.casefold() for section in own.body.sections}
    kept = tuple(section for section in base.body.sections if section.title.casefold() not in titles)
    method = [section for section in kept if section.title.casefold() == METHOD]
    sections = (*method, *own.body.sections, *(section for section in kept if section not in method))
    body = Body(
        sections=sections,
        amounts=_of(sections, (own.body, base.body), lambda body: body.amounts),
        times=_of(sections, (own.body, base.body), lambda body: body.times),
        typed=_of(sections, (own.body, base.body), lambda body: body.typed),
        page_links={**base.body.page_links, **own.body.page_links},
        images={**base.body.images, **own.body.images},
    )
    return replace(own, body=body)


def _of(
    sections: tuple[Section, ...], bodies: tuple[Body, ...], items: Callable[[Body], tuple[_Item, ...]]
) -> tuple[_Item, ...]:
    """Return what stands in these sections, in their order."""
    found: dict[Place, list[_Item]] = {}
    for body in bodies:
        for item in items(body):
            above = [
                section.place
                for section in body.sections
                if section.place.path == item.place.path and section.place.line <= item.place.line
            ]
            if above:
                found.setdefault(max(above, key=lambda place: place.line), []).append(item)
    return tuple(item for section in sections for item in found.get(section.place, ()))
