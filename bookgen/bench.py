"""What the bench asks of a checked book beside one batch: a shopping list, a drop mass from weighings.

Enters: a checked book and the words typed.  Leaves: what pages set as text or JSON, or the pipeline's `Unknown` and
`Refused` with a sentence for the user.
"""

from __future__ import annotations

from collections.abc import Sequence

from .findings import NOWHERE, Finding, Missing, Severity
from .model import DecimalSign, DropperLine, Material, Obtain
from .pages.calibration import Calibration, lines_to_paste
from .pipeline import Checked, Unknown, asked_batch, formula_key, refused_batch, sound_formula
from .reckon.densities import density_of
from .reckon.droppers import DropMass, drop_mass
from .reckon.needs import Needs, needs
from .reckon.recount import recounts
from .reckon.weighing import batch_wanted
from .review.droppers import doubts
from .show import signs_of
from .source import dropper_named, material_of, pasted, read_order, read_weighings, supplies_there, todays_drops
from .units import Complaint


def known_material(checked: Checked, name: str) -> Material:
    """Return the material of that name.  Raises Unknown."""
    found = material_of(checked.book, name)
    if isinstance(found, Complaint):
        raise Unknown(found.message)
    return found


def check_weighing(checked: Checked, text: str) -> None:
    """Look whether one weighing can be read.  Raises Unknown."""
    read = read_weighings((text,), checked.book.workroom.decimal)
    if isinstance(read, Complaint):
        raise Unknown(read.message)


def calibrate(checked: Checked, name: str, texts: Sequence[str], dropper: str | None) -> Calibration:
    """Return what weighings of counted drops come to.

    Raises Unknown for a name that the book does not have and for words that cannot be read.
    """
    room = checked.book.workroom
    material = known_material(checked, name)
    weighings = read_weighings(texts, room.decimal)
    if isinstance(weighings, Complaint):
        raise Unknown(weighings.message)
    if not weighings:
        raise Unknown("No weighing is given: write one, such as 20 drops 0.52 g.")
    line = DropperLine(dropper=dropper_named(checked.book, material, dropper), weighings=weighings)
    mass = drop_mass(line)
    assert isinstance(mass, DropMass), "weighings always make a drop mass"
    paste = lines_to_paste(line, room.decimal is DecimalSign.COMMA)
    if pasted(paste, room.decimal) != (line.dropper, weighings):
        raise Unknown("These weighings cannot be written into a file as they are: shorten the figures or the name.")
    density = density_of(material)
    return Calibration(
        material=material,
        line=line,
        mass=mass,
        density=Missing(reason=f"no density is written for {material.name}") if density is None else density,
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
            message=f"{material.name}: {words}" + ("" if words.endswith(("?", ".")) else "."),
            place=NOWHERE,
            concerns=material.key,
        )
        for rule, words in doubts(line, room.balances, room.accepted_error.share, signs_of(room), droppers)
    )


def todays_queries(checked: Checked, texts: Sequence[str]) -> tuple[Finding, ...]:
    """Return what is doubtful about the drops weighed today for one batch; that one weighing is enough for it."""
    lines = todays_drops(checked.book, texts)
    if isinstance(lines, Complaint):
        return ()
    said = [one for key, line in lines.items() for one in _queries(checked, checked.book.materials[key], line)]
    return tuple(one for one in said if one.rule != "few-weighings")


def list_needs(checked: Checked, wanted: Sequence[str], have: Sequence[str]) -> Needs:
    """Return everything that is weighed in for several batches, `S-02: 250 g`, less what is there, `glycerol: 200 g`.

    Raises Unknown for a name that the book does not have and for words that cannot be read, Refused for a batch that
    cannot be made.
    """
    book = checked.book
    batches: list[tuple[str, Obtain | None]] = []
    for text in wanted:
        code, batch = read_order(text)
        key = formula_key(book, code)
        obtain = asked_batch(checked, sound_formula(checked, key), batch)
        if obtain is not None and obtain.supplies:
            raise Unknown(f"{code}: write what must come out, such as 250 g; what is there is given with --have.")
        size = batch_wanted(checked.reckoning.figures[key], obtain)
        if isinstance(size, Missing):
            raise refused_batch(checked, key, size.reason)
        batches.append((key, obtain))
    there = supplies_there(book, have)
    if isinstance(there, Complaint):
        raise Unknown(f"Have: {there.message}")
    found = needs(checked.reckoning, batches, there)
    if isinstance(found, Missing):
        raise Unknown(f"Have: {found.reason}.")
    return found
