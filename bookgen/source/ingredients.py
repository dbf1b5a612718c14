"""The ingredients of a formula: phases and lines, in short and long form.

A line that cannot be read stays in the formula with a Missing amount that is already reported, so that nothing else
is said about what rests on it.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import lru_cache
from string import ascii_uppercase
from sys import intern
from typing import Any

from ..findings import Missing, Place, nearest
from ..fraction import Fraction
from ..model import Adjust, Amount, Departs, Fill, Line, Makes, Percent, Phase
from ..units import Complaint
from ..wording.saying import Saying, says
from .amounts import EXAMPLE, read_amount, split_line, tidy
from .desk import Desk
from .leftovers import astray
from .schema import LONGEST_NAME, UNREAD, Fields, complain, fits, keys_of, lacks_space, read_fields, wrong_shape
from .tree import Branch, Node, TextLeaf, is_empty

_PHASE = re.compile(r"([A-Z])\s*(?:,\s*(.*))?", re.DOTALL)
_ALMOST_PHASE = re.compile(r"(?:phase\s+)?([A-Za-z])\b[\s.,:;(–-]*(.*)", re.IGNORECASE | re.DOTALL)
_TEMPERATURE = re.compile(
    r"(?<![0-9.,])(?:(?<![0-9C] )(?<!C)([-−–]))?([0-9]+)(?:[.,]([0-9]+))?\s*(?:[°º˚]\s*C\b|℃)"
)  # a dash is a sign only where no figure stands before it: 70-75 °C is a range

_SHAPING = {"removed", "left", "evaporates", "made up", "added"}
"""Keys of a line without which its amount means something else."""


def read_ingredients(node: Node, desk: Desk, key: str) -> Any:
    """Return the phases, in order; lines without phases make one phase without a letter."""
    if not isinstance(node, Branch) or not node.entries:
        return wrong_shape(desk, key, says("lines-wanted"), node)
    phases: list[Phase] = []
    loose: dict[str, list[Line]] = {}
    first_loose: TextLeaf | None = None
    in_phases = any(_PHASE.fullmatch(leaf.text) and isinstance(value, Branch) for leaf, value in node.entries)
    for leaf, value in node.entries:
        letter, instruction = _phase_of(leaf, value, in_phases, desk)
        if letter is None:
            first_loose = first_loose or leaf
            _add(_line(leaf, value, desk), loose, desk, "")
            continue
        if any(phase.letter == letter for phase in phases):
            desk.report("wrong-phase", says("phase-twice", letter=letter), leaf.line, leaf.column)
        phases.append(_phase(letter, instruction, leaf, value, desk))
    if not loose:
        return tuple(phases) or UNREAD
    place = desk.place(first_loose.line, first_loose.column) if first_loose else Place()
    if phases and first_loose:
        told = says("outside-phases", name=first_loose.text)
        desk.report("line-without-phase", told, first_loose.line, first_loose.column)
        phases.insert(0, Phase(lines=_in_order(loose), place=place))
        return tuple(phases)
    return (Phase(lines=_in_order(loose), place=place),)


def _phase_of(leaf: TextLeaf, value: Node, in_phases: bool, desk: Desk) -> tuple[str | None, str]:
    """Return the letter and instruction of a phase; None for a line.

    A single letter names a phase, unless an amount stands behind it and the formula has no phases: then it is the
    code of a formula.
    """
    name = tidy(leaf.text)
    match = _PHASE.fullmatch(name)
    is_line = isinstance(value, Branch) and any(key.text in keys_of(Line) for key, _ in value.entries)
    if isinstance(value, Branch) and not match and not is_line:
        # Before a name is called a wrong phase: it may be a line whose keys are misspelt.
        is_line = value.flow or any(nearest(key.text, keys_of(Line)) for key, _ in value.entries)
    if match and not (match[2] is None and not in_phases and (is_line or _is_amount(value))):
        return match[1], match[2] or ""
    if not isinstance(value, Branch) or is_line:
        return None, ""
    almost = _ALMOST_PHASE.fullmatch(name)
    letter = almost[1].upper() if almost else ""
    rest = (almost[2].strip(" )") if almost else name) or ""
    wanted = f"{letter or 'A'}, {rest}" if rest else letter or "A"
    desk.report("wrong-phase", says("no-phase", name=name, wanted=wanted), leaf.line, leaf.column)
    return letter or ascii_uppercase[-1], rest


def _is_amount(value: Node) -> bool:
    return isinstance(value, TextLeaf) and not is_empty(value) and not re.match(r"[^\s:]+:[^\s/]", value.text)


def temperature_in(instruction: str) -> Fraction | None:
    """Return the last temperature in an instruction, in degrees Celsius, or None.

    >>> temperature_in("warm to 70 to 75 °C")
    Fraction(75, 1)
    """
    found = _TEMPERATURE.findall(instruction)
    if not found:
        return None
    sign, whole, decimals = found[-1]
    if len(whole) + len(decimals) > 6:
        return None
    value = Fraction(int(whole + decimals), 10 ** len(decimals))
    return -value if sign else value


def _phase(letter: str, instruction: str, leaf: TextLeaf, value: Node, desk: Desk) -> Phase:
    lines: dict[str, list[Line]] = {}
    if isinstance(value, Branch) and (value.entries or value.broken):
        for name, amount in value.entries:
            if _PHASE.fullmatch(name.text) and not isinstance(amount, TextLeaf):
                desk.report("wrong-phase", says("phase-in-phase", name=name.text), name.line, name.column)
                continue
            _add(_line(name, amount, desk), lines, desk, letter)
    elif isinstance(value, Branch) or is_empty(value):
        desk.report("wrong-phase", says("phase-empty", letter=letter), leaf.line, leaf.column)
    elif not (isinstance(value, TextLeaf) and (value.broken or lacks_space(value, desk))):
        desk.report("wrong-phase", says("letter-for-phase", letter=letter), leaf.line, leaf.column)
    return Phase(
        letter=letter,
        instruction=instruction,
        temperature_c=temperature_in(instruction),
        lines=_in_order(lines),
        place=desk.place(leaf.line, leaf.column),
    )


def _in_order(lines: dict[str, list[Line]]) -> tuple[Line, ...]:
    """Return the lines as they are written."""
    found = [line for same in lines.values() for line in same]
    if len(found) > len(lines):
        found.sort(key=lambda line: line.place)
    return tuple(found)


def _add(line: Line, lines: dict[str, list[Line]], desk: Desk, letter: str) -> None:
    """Put the line among those of its phase, by name in lower case; report a second one of the same name."""
    same = lines.setdefault(line.material.casefold(), [])
    if same:
        name = line.material
        told = says("twice-in-phase", name=name, letter=letter) if letter else says("twice-here", name=name)
        desk.report("material-twice", told, line.place.line, line.place.column)
    same.append(line)


def _line(name: TextLeaf, value: Node, desk: Desk) -> Line:
    """Read one line in its short or long form."""
    place = desk.place(name.line, name.column)
    if not fits(name, desk, "ingredients", LONGEST_NAME):
        return Line(material="", amount=_missing(place), place=place, amount_place=place)
    material = intern(tidy(name.text))  # many formulas hold the same
    if isinstance(value, TextLeaf):
        at = desk.place(value.line, value.column) if value.text or value.broken else place
        amount, function, departs = _amount(material, value, at, desk)
        return Line(material=material, amount=amount, function=function, departs=departs, place=place, amount_place=at)
    if not isinstance(value, Branch):
        wrong_shape(desk, material, says("line-wanted"), value)
        at = desk.place(value.line, value.column)
        return Line(material=material, amount=_missing(at), place=place, amount_place=at)
    read = read_fields(value, _LINE_KEYS, desk, says("a-line"), f"{material}, ")
    at = read.places.get("amount", place)
    return _long_line(material, value, read, place, at, desk)


def _long_line(material: str, value: Branch, read: Fields, place: Place, at: Place, desk: Desk) -> Line:
    found = dict(read.values)
    amount, function, departs = found.pop("amount", (None, "", None))
    if amount is None:
        misspelt = any(key.text not in _LINE_KEYS for key, _ in value.entries)  # that is reported already
        if "amount" not in read.unread and not value.broken and not misspelt:
            told = says("amount-key-missing", name=material, wanted=EXAMPLE)
            desk.report("unreadable-amount", told, place.line, place.column)
        amount = _missing(at)
    if value.broken or _SHAPING & set(read.unread):
        amount = _missing(at)
    evaporates = found.get("evaporates")
    if found.get("added") and evaporates is not None and evaporates.share == 1:
        where = read.places["evaporates"]
        desk.report("impossible-value", says("nothing-to-add", name=material), where.line, where.column)
        amount = _missing(where)
    if found.get("removed") and "left" in found:
        where = read.places["left"]
        desk.report("wrong-value", says("removed-and-left", name=material), where.line, where.column)
        amount = _missing(where)
    if function and found.get("function"):
        where = read.places["function"]
        desk.report("repeated-key", says("function-twice", name=material), where.line, where.column)
    elif function:
        found["function"] = function
    return Line(
        material=material, amount=amount, departs=departs, place=place, amount_place=at, places=read.places, **found
    )


def _amount_key(node: Node, desk: Desk, key: str) -> Any:
    if not isinstance(node, TextLeaf):
        return wrong_shape(desk, key, says("amount-wanted", wanted=EXAMPLE), node)
    read = _amount(key.rpartition(", ")[0], node, desk.place(node.line, node.column), desk)
    return UNREAD if isinstance(read[0], Missing) and read[2] is None else read


_LINE_KEYS = {
    key: entry._replace(read=_amount_key, compulsory=False) if key == "amount" else entry
    for key, entry in keys_of(Line).items()
    if key != "material"
}


def _missing(place: Place) -> Missing:
    return Missing(says=says("amount-unread"), place=place, reported=True)


_DEPARTS = re.compile(r"(?:(out)|(?:(.*\S)\s+)?instead\s+of\s+(\S.*?))\s*", re.DOTALL)


def _amount(material: str, leaf: TextLeaf, place: Place, desk: Desk) -> tuple[Amount | Missing, str, Departs | None]:
    """Read `amount, function`; in a trial also `out`, `instead of W-01` and `3 % instead of W-01`."""
    written, comma, behind = leaf.text.partition(",")
    departs = _DEPARTS.fullmatch(written) if not leaf.broken else None
    if departs is None:
        return (*_plain_amount(material, leaf, place, desk), None)
    if departs[1]:
        return _missing(place), "", Departs()
    found = Departs(instead_of=tidy(departs[3]), keeps_amount=departs[2] is None)
    if departs[2] is None:
        return _missing(place), tidy(behind), found
    own = TextLeaf(f"{departs[2]}{comma}{behind}", leaf.line, leaf.column, plain=leaf.plain, spans=leaf.spans)
    amount, function = _plain_amount(material, own, place, desk)
    return amount, function, found


def refuse_departing(phases: tuple[Phase, ...], desk: Desk) -> None:
    """Report `out` and `instead of` in a formula that is based on none; such a line has no amount."""
    for line in (line for phase in phases for line in phase.lines if line.departs is not None):
        told = says("trial-without-base", name=line.material)
        desk.report("trial-line", told, line.amount_place.line, line.amount_place.column)


def _plain_amount(material: str, leaf: TextLeaf, place: Place, desk: Desk) -> tuple[Amount | Missing, str]:
    """Read `amount, function`."""
    if leaf.broken:
        return _missing(place), ""
    if is_empty(leaf):
        told = says("amount-missing", name=material, wanted=EXAMPLE)
        where = desk.report("unreadable-amount", told, place.line, place.column)
        return _missing(where), ""
    if not fits(leaf, desk, material):
        return _missing(place), ""
    amount, function = _read_line(leaf.text, desk.comma)
    if isinstance(amount, Complaint):
        complain(desk, material, amount, leaf)
        return _missing(desk.findings[-1].place), function
    return amount, function


@lru_cache(maxsize=4096)
def _read_line(text: str, comma: bool) -> tuple[Amount | Complaint, str]:
    """Return amount and function; many lines of a book are written alike."""
    written, function = split_line(tidy(text) if "\n" in text else text)
    function = tidy(function)
    if not written and text[:1] == "," and function[:1].isdigit():
        return read_amount(text, comma), ""
    if not written:
        return Complaint(says=says("nothing-before-comma", wanted=EXAMPLE)), function
    amount = read_amount(written, comma)
    if function and not isinstance(amount, Complaint):
        wrong = astray(tidy(written), function) or _second_amount(amount, function, comma)
        if wrong:
            at = text.find(function[:1], text.find(",") + 1)
            return Complaint(says=wrong, at=max(at, 0), rule="unreadable-amount"), function
    return amount, function


def _second_amount(amount: Amount, function: str, comma: bool) -> Saying | None:
    """Return what is wrong with a function that is an amount; None when it is none.

    `q.s., to 1000 mL` would otherwise be made up to what the formula makes, with a total nobody reads.
    """
    other = read_amount(function.partition(", ")[0], comma)
    if isinstance(other, Complaint | Adjust) and not (isinstance(amount, Fill) and function[:5].casefold() == "to ph"):
        return None
    if isinstance(amount, Fill) and not amount.to:
        return says("amount-goes-on", text=function, amount="q.s.")
    return says("second-amount", text=function)


def require_bases(phases: tuple[Phase, ...], makes: Makes | None, desk: Desk) -> tuple[Phase, ...]:
    """Refuse a bare percentage in a formula by volume: w/w, w/v or v/v must be written, in `left` too."""
    if not _by_volume(phases, makes):
        return phases
    return tuple(replace(phase, lines=tuple(_with_basis(line, desk) for line in phase.lines)) for phase in phases)


def _by_volume(phases: tuple[Phase, ...], makes: Makes | None) -> bool:
    if makes is not None:
        return makes.quantity.unit == "mL"
    fills = (line.amount for phase in phases for line in phase.lines)
    return any(isinstance(fill, Fill) and fill.to is not None and fill.to.unit == "mL" for fill in fills)


def _with_basis(line: Line, desk: Desk) -> Line:
    amount = line.amount.about if isinstance(line.amount, Adjust) else line.amount
    if isinstance(amount, Percent) and amount.basis is None:
        where, what = line.amount_place, amount.text
    elif line.left is not None and line.left.percent.basis is None:
        where, what = line.places.get("left", line.amount_place), line.left.percent.text
    else:
        return line
    told = says("percent-of-volume", name=line.material, amount=what, written=_with(what, "w/v"))
    desk.report("bare-percent", told, where.line, where.column)
    return replace(line, amount=_missing(where))


def _with(text: str, basis: str) -> str:
    """Return an amount as written, with its basis: before `as` and before a strength."""
    head, separator, tail = text.partition(" of " if " of " in text else " as ")
    return f"{head} {basis}{separator}{tail}"
