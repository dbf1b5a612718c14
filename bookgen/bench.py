"""What is asked of a checked book at the bench: one batch, a shopping list, a drop mass from weighings.

Enters: a checked book and the words typed.  Leaves: what pages set as text or JSON, or `Unknown` and `Refused` with a
sentence for the user.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from .findings import NOWHERE, Finding, Missing, Severity, did_you_mean
from .model import Book, DecimalSign, DropperLine, Formula, Material, Obtain, Status
from .pipeline import Checked
from .reckon.cost import Cost, cost_asked, costs_of
from .reckon.densities import density_of
from .reckon.droppers import DropMass, drop_mass
from .reckon.first import with_below
from .reckon.measure import finest_first
from .reckon.metering import evaluate
from .reckon.needs import Needs, needs
from .reckon.on_shelf import on_shelf
from .reckon.recount import recounts
from .reckon.there import less_the_shelf
from .reckon.trace import Traced, lots_called, sources_of, takers_of
from .reckon.weighing import NO_DROPS, Weighing, batch_wanted, tables_with, weigh
from .review.doubts import doubts_of_records
from .review.droppers import doubts
from .show import POINT, Signs, signs_of
from .source import (
    dropper_named,
    material_of,
    pasted,
    read_container,
    read_obtain,
    read_order,
    read_weighings,
    supplies_there,
    todays_drops,
)
from .source.naming import hint_in
from .terminal.calibration import Calibration, lines_to_paste
from .units import Complaint
from .wording.saying import Saying, says

OF_THE_BATCH_AS_WRITTEN = "below-least-weighable"
"""The rule that judges how the batch as written is measured."""


class Unknown(Exception):
    """No formula, or no dropper, of that name, or words that cannot be read; the text is a sentence for the user."""

    def __init__(self, told: Saying, signs: Signs = POINT) -> None:
        super().__init__(told.words(signs))


class Refused(Exception):
    """The batch is refused; the text says why."""

    def __init__(
        self,
        formula: Formula,
        why: Saying,
        findings: tuple[Finding, ...] = (),
        *,
        signs: Signs,
        barred: bool = False,
        ended: bool = False,
    ) -> None:
        """`why` is a clause, or a sentence with its end (`ended`)."""
        super().__init__(why.words(signs))
        self.formula = formula
        self.why = why
        self.findings = findings
        self.signs = signs
        self.barred = barred
        self.ended = ended

    @property
    def told(self) -> Saying:
        """The sentence that it is not weighed and why, unless a finding in a file, told with it, says why already."""
        code, title = self.formula.code, self.formula.title
        if self.why.key == "barred":
            why = self.why.fact("why")
            if any(finding.told == why for finding in self.findings if finding.place.path):
                return says("not-weighed-barred", code=code, title=title)
        if self.ended:
            return says("not-weighed-for", code=code, title=title, why=self.why)
        return says("not-weighed", code=code, title=title, why=self.why)


# ── One batch ─────────────────────────────────────────────────────────────────────────────────────────────────────────


def weigh_batch(
    checked: Checked,
    code: str,
    obtain: str | None,
    today: date,
    dropper: str | None = None,
    *,
    drops: Sequence[str] = (),
    into: str | None = None,
) -> Weighing:
    """Return one batch; `drops` are weighings of today, `into` is the content of one container.

    Raises Unknown for a name that the book does not have and for words that cannot be read, Refused for a batch that
    cannot be made.
    """
    book = checked.book
    key = formula_key(book, code)
    if dropper is not None and dropper.casefold() not in {dropper.casefold() for dropper in droppers_of(book)}:
        raise Unknown(says("no-dropper", name=dropper, hint=did_you_mean(dropper, droppers_of(book))))
    masses = _todays_masses(checked, key, drops)
    container = None if into is None else read_container(into, book.workroom.decimal)
    if isinstance(container, Complaint):
        raise Unknown(says("into", says=container.says), signs_of(book.workroom))
    formula = sound_formula(checked, key)
    asked = asked_batch(checked, formula, obtain)
    if asked is not None and asked.containers and container is not None:
        raise Unknown(says("containers-twice", batch=asked.text))
    weighing = weigh(
        checked.reckoning, key, obtain=asked, today=today, dropper=dropper, drops=masses, into=container
    )  # fmt: skip
    if isinstance(weighing, Missing):
        raise refused_batch(checked, key, weighing.says)
    if asked is not None and (why := _below_a_step(weighing)):
        raise refused_batch(checked, key, why)
    return weighing


def _below_a_step(weighing: Weighing) -> Saying | None:
    """Return why nothing of a batch can be weighed; None where it is one step of the finest balance or more."""
    finest, grams = finest_first(weighing.workroom.balances), weighing.evaluation.start_g
    if not finest or isinstance(grams, Missing) or grams >= finest[0].readability_g:
        return None
    return says("below-a-step", grams=grams, step=finest[0].readability_g)


def refused_batch(checked: Checked, key: str, why: Saying) -> Refused:
    """Return why a batch of a sound formula is refused: the reason, as a finding, before what else was found."""
    formula, signs = checked.book.formulas[key], signs_of(checked.book.workroom)
    finding = Finding(
        severity=Severity.ERROR,
        rule="batch-refused",
        title=formula.title,
        says=says("clause", says=why),
        place=NOWHERE,
        concerns=formula.code,
        signs=signs,
    )
    return Refused(formula, why, (finding, *checked.findings_of(key)), signs=signs)


def formula_key(book: Book, code: str) -> str:
    """Return the key of the formula of that code.  Raises Unknown, for an earlier issue too: that is never made."""
    earlier = book.earlier.get(code.casefold())
    if earlier is not None:
        raise Unknown(says("earlier-not-made", name=code, code=earlier.code))
    key = book.key_of(code)
    if key not in book.formulas:
        material = book.at(key)
        hint = says("file-unread", path=book.unread[0]) if book.unread else hint_in(book, code)
        if material:
            raise Unknown(says("material-for-formula", name=code))
        raise Unknown(says("no-formula", name=code, hint=hint))
    return key


def sound_formula(checked: Checked, key: str) -> Formula:
    """Return a formula that may be weighed.  Raises Refused for one that is barred or withdrawn."""
    formula, signs = checked.book.formulas[key], signs_of(checked.book.workroom)
    if checked.unreadable_workroom:
        path = checked.book.workroom.path
        said = tuple(finding for finding in checked.review.findings if finding.place.path == path)
        raise Refused(formula, says("workroom-first", path=path), said, signs=signs)
    barred = checked.review.barred.get(key)
    if barred is not None:
        why = says("barred", why=barred.says)
        raise Refused(formula, why, checked.findings_of(key), signs=signs, barred=True, ended=True)
    if formula.status is Status.WITHDRAWN:
        raise Refused(formula, says("withdrawn"), checked.findings_of(key), signs=signs, barred=True)
    return formula


def _todays_masses(checked: Checked, key: str, drops: Sequence[str]) -> dict[str, DropMass]:
    """Return what the drops weighed today weigh, by the material's key.  Raises Unknown."""
    book = checked.book
    lines = todays_drops(book, drops)
    if isinstance(lines, Complaint):
        raise Unknown(says("drop", says=lines.says), signs_of(book.workroom))
    inside = {line.key for used in with_below(checked.reckoning, (key,)) for line in
              checked.reckoning.figures[used].amounts.lines}  # fmt: skip
    for name in lines:
        if name not in inside:
            none = says("supply-not-taken", name=book.materials[name].key, title=book.formulas[key].title)
            raise Unknown(says("clause", says=none))
    masses = {name: drop_mass(line, book.workroom.balances) for name, line in lines.items()}
    return {name: mass for name, mass in masses.items() if isinstance(mass, DropMass)}


def asked_batch(checked: Checked, formula: Formula, obtain: str | None) -> Obtain | None:
    """Return the batch asked for; None for the one written.  Raises Refused for words that cannot be read."""
    if obtain is None:
        return None
    room, form = checked.book.workroom, formula.makes.form if formula.makes else None
    asked = read_obtain(obtain, room.decimal, form=form, language=room.language)
    if isinstance(asked, Finding):
        raise Refused(formula, asked.told, (asked,), signs=signs_of(room), ended=True)
    return asked


def droppers_of(book: Book) -> list[str]:
    """Return the names of all droppers: the workroom's, then those that materials list."""
    listed = [line.dropper for material in book.materials.values() for line in material.drops]
    return list(dict.fromkeys((*book.workroom.droppers, *listed)))


# ── Droppers ──────────────────────────────────────────────────────────────────────────────────────────────────────────


def known_material(checked: Checked, name: str) -> Material:
    """Return the material of that name.  Raises Unknown."""
    found = material_of(checked.book, name)
    if isinstance(found, Complaint):
        raise Unknown(found.says, signs_of(checked.book.workroom))
    return found


def check_weighing(checked: Checked, text: str) -> None:
    """Look whether one weighing can be read.  Raises Unknown."""
    read = read_weighings((text,), checked.book.workroom.decimal)
    if isinstance(read, Complaint):
        raise Unknown(read.says, signs_of(checked.book.workroom))


def calibrate(checked: Checked, name: str, texts: Sequence[str], dropper: str | None) -> Calibration:
    """Return what weighings of counted drops come to.

    Raises Unknown for a name that the book does not have and for words that cannot be read.
    """
    room = checked.book.workroom
    material = known_material(checked, name)
    weighings = read_weighings(texts, room.decimal)
    if isinstance(weighings, Complaint):
        raise Unknown(weighings.says, signs_of(room))
    if not weighings:
        raise Unknown(says("no-weighing-given"), signs_of(room))
    line = DropperLine(dropper=dropper_named(checked.book, material, dropper), weighings=weighings)
    mass = drop_mass(line, room.balances)
    assert isinstance(mass, DropMass), "weighings always make a drop mass"
    paste = lines_to_paste(line, room.decimal is DecimalSign.COMMA)
    if pasted(paste, room.decimal) != (line.dropper, weighings):
        raise Unknown(says("weighings-unwritable"))
    density = density_of(material)
    return Calibration(
        material=material,
        line=line,
        mass=mass,
        density=Missing(says=says("no-density", name=material.name)) if density is None else density,
        paste=paste,
        recounts=recounts(checked.reckoning, material, mass),
        findings=_queries(checked, material, line, room.droppers),
    )


def _queries(
    checked: Checked, material: Material, line: DropperLine, droppers: Sequence[str] = ()
) -> tuple[Finding, ...]:
    """Return what is doubtful about weighings typed at the bench."""
    room = checked.book.workroom
    return tuple(
        Finding(
            severity=Severity.QUERY,
            rule=rule,
            title=material.name,
            says=said,
            place=NOWHERE,
            concerns=material.key,
            signs=signs_of(room),
        )
        for rule, said in doubts(line, room.balances, room.accepted_error.share, droppers)
    )


def todays_queries(
    checked: Checked, weighing: Weighing, texts: Sequence[str], dropper: str | None = None
) -> tuple[Finding, ...]:
    """Return what is doubtful about the drops weighed today for one batch; that one weighing is enough for it.

    `dropper` is the one that the batch is counted with where none were weighed.
    """
    lines = todays_drops(checked.book, texts)
    if isinstance(lines, Complaint):
        return ()
    concerned = _concerned(checked, weighing, dropper)
    said: list[Finding] = []
    for key, line in lines.items():
        material = checked.book.materials[key]
        said += (query for query in _queries(checked, material, line) if query.rule != "few-weighings")
        if key not in concerned:
            said.append(
                Finding(
                    severity=Severity.NOTE,
                    rule="not-counted",
                    title=material.name,
                    says=says("not-counted"),
                    place=NOWHERE,
                    concerns=material.key,
                )
            )
    return tuple(said)


def findings_at(checked: Checked, weighing: Weighing) -> tuple[Finding, ...]:
    """Return what the check says of a formula, at one batch of it: how the batch as written is measured is left out at
    another, which says of itself how sure it is."""
    found = checked.findings_of(weighing.figures.key)
    as_written = weighing.evaluation == weighing.figures.written
    return tuple(finding for finding in found if as_written or finding.rule != OF_THE_BATCH_AS_WRITTEN)


def _concerned(checked: Checked, weighing: Weighing, dropper: str | None) -> frozenset[str]:
    """Return the materials of a batch, and of what is made first for it, that are counted in drops, or would be
    without the drops weighed today, or are measured otherwise because of them."""
    before = tables_with(checked.reckoning, dropper, NO_DROPS)
    batches = [(weighing.figures, weighing.evaluation)]
    for first in weighing.make_first:
        if first.evaluation is not None:
            batches.append((checked.reckoning.figures[first.key], first.evaluation))
    return frozenset(
        line.figure.key
        for figures, evaluation in batches
        for line, usual in zip(evaluation.lines, evaluate(before(figures), evaluation.obtain).lines, strict=True)
        if line.drops is not None or (line.metered, line.drops_exact) != (usual.metered, usual.drops_exact)
    )


# ── A shopping list ───────────────────────────────────────────────────────────────────────────────────────────────────


def list_needs(checked: Checked, wanted: Sequence[str], have: Sequence[str], shelf_on: date | None = None) -> Needs:
    """Return everything that is weighed in for several batches, `S-02: 250 g`, less what is there, `glycerol: 200 g`.

    With `shelf_on` also less what stands on the shelf at the end of that day; what `have` tells of something goes
    before what the shelf has of it.

    Raises Unknown for a name that the book does not have and for words that cannot be read, Refused for a batch that
    cannot be made.
    """
    book = checked.book
    batches: list[tuple[str, Obtain | None]] = []
    for text in wanted:
        code, batch = read_order(text)
        first, _, rest = code.partition(" ")
        if batch is None and rest and not book.key_of(code) and book.key_of(first) in book.formulas:
            raise Unknown(says("colon-after-code", text=code, code=first))
        key = formula_key(book, code)
        obtain = asked_batch(checked, sound_formula(checked, key), batch)
        if obtain is not None and obtain.supplies:
            raise Unknown(says("supply-for-batch", code=code))
        size = batch_wanted(checked.reckoning.figures[key], obtain)
        if isinstance(size, Missing):
            raise refused_batch(checked, key, size.says)
        batches.append((key, obtain))
    there = supplies_there(book, have)
    if isinstance(there, Complaint):
        raise Unknown(says("have", says=there.says), signs_of(book.workroom))
    found = needs(checked.reckoning, batches, there)
    if not isinstance(found, Missing) and shelf_on is not None:
        found = less_the_shelf(checked.reckoning, batches, there, found, on_shelf(checked.reckoning, shelf_on))
    if isinstance(found, Missing):
        raise Unknown(says("have", says=says("clause", says=found.says)), signs_of(book.workroom))
    return found


# ── Where a lot went ──────────────────────────────────────────────────────────────────────────────────────────────────


def trace_of(checked: Checked, code: str) -> Traced:
    """Return where every lot of that code went, and what went into the batch of that number.

    Raises Unknown where no lot and no batch is called so.
    """
    book, lots = checked.book, checked.reckoning.lots
    number, names = code.casefold(), lots_called(checked.reckoning.lots, code)
    if number not in book.batches and not names:
        called = [account.code for account in lots.accounts.values()] + [record.key for record in book.batches.values()]
        raise Unknown(says("nothing-to-trace", name=code, hint=did_you_mean(code, called)))
    takers = [takers_of(lots, book, name) for name in names]
    return Traced(
        code=code,
        sources=sources_of(lots, book, number) if number in book.batches else None,
        takers=tuple(taken for taken in takers if taken.lot.batch is None or taken.batches),
        doubts=doubts_of_records(book, checked.review.findings),
    )


# ── What a batch costs ────────────────────────────────────────────────────────────────────────────────────────────────


def cost_of(
    checked: Checked, code: str, obtain: str | None, into: str | None, today: date
) -> tuple[Cost, Formula | None, str]:
    """Return what a batch on record cost, or what one of a formula will cost by the last prices; its formula, and the
    number of the batch on record, empty for one that is asked for.

    Raises Unknown and Refused.
    """
    book = checked.book
    record = book.batches.get(code.casefold())
    if record is not None:
        if obtain is not None or into is not None:
            raise Unknown(says("cost-on-record", batch=record.key))
        formula = book.formulas.get(book.key_made(record))
        return costs_of(checked.reckoning)[code.casefold()], formula, record.key
    if book.key_of(code) not in book.formulas:
        called = [
            *(record.key for record in book.batches.values()),
            *(formula.code for formula in book.formulas.values()),
        ]
        raise Unknown(says("nothing-to-cost", name=code, hint=did_you_mean(code, called)))
    weighing = weigh_batch(checked, code, obtain, today, into=into)
    return cost_asked(weighing, today), weighing.formula, ""
