"""What drops weighed at the bench come to: the text of `bookgen drops`, and the lines to paste."""

from __future__ import annotations

from dataclasses import dataclass

from .. import show
from ..findings import Finding, Missing
from ..fraction import Fraction
from ..model import DropperLine, DropperWeighing, Known, Material
from ..reckon.batchline import Counted, Unshown, Weighed
from ..reckon.droppers import DropMass, drops_per_gram, drops_per_ml, spread
from ..reckon.recount import Recount
from ..shown.shelf import LAW_SHORT
from .columns import WIDEST, wrapped


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibration:
    """Weighings of one material from one dropper, and what follows from them."""

    material: Material
    """The material."""
    line: DropperLine
    """The weighings."""
    mass: DropMass
    """What one drop weighs."""
    density: Fraction | Missing
    """Density of the material in g/mL."""
    paste: tuple[str, ...]
    """The lines for the material's front matter."""
    recounts: tuple[Recount, ...]
    """What the formulas that are written in drops of it are counted as today."""
    findings: tuple[Finding, ...]
    """What there is to query."""

    @property
    def per_ml(self) -> Known:
        """Drops in one millilitre."""
        return self.density if isinstance(self.density, Missing) else drops_per_ml(self.mass, self.density)


def calibration_text(found: Calibration, signs: show.Signs, width: int = WIDEST) -> str:
    """Return the drop mass with range and spread, the queries, today's counts and the lines to paste."""
    parts = [
        _figures(found, signs),
        [
            line
            for finding in found.findings
            for line in wrapped(f"{finding.severity.value:5}  {finding.message}", 7, width)
        ],
        _counts(found, signs, width),
        _pasting(found, signs, width),
        wrapped(LAW_SHORT, 0, width),
    ]
    return "\n\n".join("\n".join(lines) for lines in parts if lines) + "\n"


def _figures(found: Calibration, signs: show.Signs) -> list[str]:
    line, mass = found.line, found.mass
    drops = sum(weighing.drops for weighing in line.weighings)
    grams = sum((weighing.grams for weighing in line.weighings), Fraction(0))
    low = show.fixed(mass.low, show.Fine.DROP_WEIGHED, signs, show.DOWN)
    high = show.fixed(mass.high, show.Fine.DROP_WEIGHED, signs, show.UP)
    per_g = show.significant(drops_per_gram(mass), signs=signs)
    if isinstance(found.per_ml, Missing):
        per_ml = f"in 1 mL not known: {found.per_ml.says.words(signs)}"
    else:
        per_ml = f"{show.significant(found.per_ml, signs=signs)} in 1 mL"
    weighed = f"{show.drops(drops)} in all weigh {show.with_unit(show.plain(grams, signs), 'g')}"
    each = show.with_unit(show.fixed(mass.grams, show.Fine.DROP_WEIGHED, signs), "g")
    head = f"{found.material.name}, {line.dropper}: {show.counted(len(line.weighings), 'weighing')}, {weighed}"
    if len(line.weighings) == 1:
        taken = f"taken as {low} to {high}, as one weighing alone shows no spread"
        return [head, f"  one drop  {each}, {taken}", f"  drops     {per_g} in 1 g, {per_ml}"]
    return [
        head,
        f"  one drop  {each}, from {low} to {high} with each weighing a step off",
        f"  spread    {show.percent(spread(line), signs, 2, show.UP)} from the mean at most",
        f"  drops     {per_g} in 1 g, {per_ml}",
    ]


def _counts(found: Calibration, signs: show.Signs, width: int) -> list[str]:
    if not found.recounts:
        return []
    lines = ["Written in drops of it; with this dropper, the formula's weight kept:"]
    for recount in found.recounts:
        name = f"{recount.formula.code} {recount.formula.title}: {written_drops(recount.count)}"
        lines += wrapped(f"  {name}{_weight(recount, signs)}, {_today(recount, found.mass, signs)}", 6, width)
    changed = [recount for recount in found.recounts if _changes(recount, found)]
    if changed:
        examples = "; ".join(
            f"{recount.formula.code} would weigh {_pasted(recount, found, signs)}" for recount in changed
        )
        fixes = " or ".join(dict.fromkeys(_fixed(recount, signs) for recount in changed))
        words = (
            f"These lines take the place of the drop mass that the book counts by, so {examples}. To keep a weight, "
            f"fix it in the formula: {fixes}."
        )
        lines += wrapped(words, 2, width)
    return lines


def _weight(recount: Recount, signs: show.Signs) -> str:
    """Return what the drops weigh in the formula, ` = 0.15 g`; nothing where it is not known."""
    return f" = {_grams(recount.grams, signs)}" if isinstance(recount.grams, Fraction) else ""


def _grams(grams: Fraction, signs: show.Signs) -> str:
    return show.with_unit(show.plain(grams, signs, show.Fine.COMPUTED), "g")


def _today(recount: Recount, mass: DropMass, signs: show.Signs) -> str:
    """Return today's count of one line, for the batch as written."""
    if not isinstance(recount.grams, Fraction):
        return f"{_grams(recount.count * mass.grams, signs)} with this dropper (the book has no drop mass for it)"
    today = recount.today
    if today is None or isinstance(today.grams, Missing):
        return "its batch is not known"
    match today.metered:
        case Counted(drops=drops, off=off):
            return f"today {show.drops(drops)}, {show.off(off, signs)}"
        case Unshown():
            drops_exact = today.drops_exact
            exact = (
                ""
                if drops_exact is None
                else f", {show.significant(drops_exact, show.Fine.ERROR, signs)} drops exactly"
            )
            return f"today less than the balance shows{exact}"
        case Weighed(beside=int(drops)):
            beside = f", {show.drops(drops)}"
        case _:
            beside = ""
    weight = today.printed if isinstance(today.printed, Fraction) else today.grams
    return f"today weighed, {show.weight(weight, today.step, signs)}{beside}"


def _changes(recount: Recount, found: Calibration) -> bool:
    """Return whether pasting the lines would change what the formula's drops weigh."""
    same = recount.dropper.casefold() == found.line.dropper.casefold()
    return (
        same
        and not recount.is_fixed
        and recount.grams != recount.count * found.mass.grams
        and isinstance(recount.grams, Fraction)
    )


def _pasted(recount: Recount, found: Calibration, signs: show.Signs) -> str:
    instead = _grams(recount.grams, signs) if isinstance(recount.grams, Fraction) else ""
    return f"{_grams(recount.count * found.mass.grams, signs)} instead of {instead}"


def _fixed(recount: Recount, signs: show.Signs) -> str:
    weight = f" ({_grams(recount.grams, signs)})" if isinstance(recount.grams, Fraction) else ""
    return written_drops(recount.count) + weight


def _pasting(found: Calibration, signs: show.Signs, width: int) -> list[str]:
    material, name = found.material, found.line.dropper
    there = next((drop for drop in material.drops if drop.dropper.casefold() == name.casefold()), None)
    if there is not None:
        where = f"in place of {name} in line {there.place.line}" if there.place.line else f"in place of {name}"
    elif material.drops:
        where = "the second line below the others under `drops:`"
    else:
        where = "in its front matter"
    return [*wrapped(f"To paste into {material.path}, {where}:", 2, width), *found.paste]


def lines_to_paste(line: DropperLine, comma: bool) -> tuple[str, ...]:
    """Return the weighings as they stand in a material's front matter.

    The decimal sign is the point, which both kinds of book read and which YAML does not cut at.

    >>> from bookgen.model import DropperWeighing
    >>> first = DropperWeighing(drops=20, grams=Fraction("0.52"))
    >>> lines_to_paste(DropperLine(dropper="pipette", weighings=(first,)), comma=False)
    ('drops:', '  pipette: [20 drops 0.52 g]')
    """
    weighings = ", ".join(
        f"{written_drops(weighing.drops)} {_digits(weighing, comma)} g" for weighing in line.weighings
    )
    return ("drops:", f"  {_key(line.dropper)}: [{weighings}]")


def written_drops(count: int) -> str:
    """Return a count of drops as a formula or a material writes it."""
    return show.with_ordinary_spaces(show.drops(count))


def _digits(weighing: DropperWeighing, comma: bool) -> str:
    """Return a weight with the digits it was read with, as the last tells how finely it was weighed.

    It cannot be read otherwise: with a comma book's eyes 1.125 could be a thousand and more.
    """
    text = show.exact(weighing.grams)
    if weighing.digit_g and weighing.digit_g < 1:
        text = show.fixed(weighing.grams, show.places_of(weighing.digit_g))
    whole, point, decimals = text.partition(".")
    return f"{text}0" if comma and point and whole != "0" and len(decimals) == 3 else text


def _key(name: str) -> str:
    """Return a dropper's name as a key of YAML: in quotes where it needs them."""
    plain = all(sign.isalnum() or sign in " -_." for sign in name) and name[:1].isalpha()
    return name if plain else '"' + name.replace("\\", "\\\\").replace('"', '\\"') + '"'
