"""What is asked on the command line beside the batch: drops weighed today, contents of a container, supplies, orders.

Text in, a record of `model.py` or a `Complaint` out.  A name stands before a colon: `rose-oil: 20 drops 0.52 g`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

from ..fraction import Fraction
from ..model import Book, DecimalSign, DropperLine, DropperWeighing, Material, Quantity, Supply
from ..units import Complaint
from ..wording.saying import says
from .amounts import read_quantity, tidy
from .book import MATERIALS, WORKROOM, book_from
from .naming import hint_in
from .pieces import read_portion
from .values import WEIGHING, read_dropper, read_length, read_mass, read_weighing

TODAYS = "today's dropper"
"""What a dropper is called that is not in the book and was weighed today."""

A_BALANCE = "kitchen scale, 1 g, 5000 g"
"""A balance as it is typed."""

NAMELESS = "balance"
"""What a balance is called of which no name is typed."""

_PARTS = re.compile(r" ?; ?|,(?!\d) ?|(?<!\d), ?")
_WEIGHT_FIRST = re.compile(r"[0-9.,]+ ?[kmµ]?g (?:for |= ?)?([0-9]+ ?(?:drops?|gtts?))\.?", re.IGNORECASE)
_BARE_WEIGHT = re.compile(r"[0-9.,]+ ?[kmµ]?g(?:rams?)?", re.IGNORECASE)


def named(text: str, example: str) -> tuple[str, str] | Complaint:
    """Return the name before the colon and what stands behind it.

    >>> named("rose-oil: 20 drops 0.52 g", "")
    ('rose-oil', '20 drops 0.52 g')
    """
    name, colon, rest = tidy(text).partition(":")
    if not colon:
        return Complaint(says=says("colon-missing", text=tidy(text), wanted=example))
    if not name.strip():
        return Complaint(says=says("name-missing", text=tidy(text), wanted=example))
    if not rest.strip():
        return Complaint(says=says("nothing-after-name", name=name.strip(), wanted=example))
    return name.strip(), rest.strip()


def read_weighings(texts: Iterable[str], decimal: DecimalSign) -> tuple[DropperWeighing, ...] | Complaint:
    """Return weighings of counted drops, `20 drops 0.52 g`; one text may hold several, parted by commas."""
    found: list[DropperWeighing] = []
    for text in texts:
        for part in _PARTS.split(tidy(text)):
            weighing = read_weighing(part, decimal is DecimalSign.COMMA)
            if isinstance(weighing, Complaint):
                return _explained(part, weighing)
            found.append(weighing)
    return tuple(found)


def _explained(text: str, complaint: Complaint) -> Complaint:
    """Return the complaint about a weighing, more exactly where the slip is a usual one."""
    if not text:
        return Complaint(says=says("weighing-missing"))
    turned = _WEIGHT_FIRST.fullmatch(text)
    if turned:
        weight = text.partition(turned[1])[0].removesuffix("= ").removesuffix("for ").strip(" =")
        return Complaint(says=says("weight-before-drops", text=text, drops=turned[1], weight=weight))
    if _BARE_WEIGHT.fullmatch(text):
        return Complaint(says=says("drops-missing", text=text))
    return complaint


def read_todays_drop(text: str, decimal: DecimalSign) -> tuple[str, DropperLine] | Complaint:
    """Return a material's name and what its drops weighed today: weighings, or one drop's weight with its range."""
    both = named(text, f"rose-oil: {WEIGHING}")
    if isinstance(both, Complaint):
        return both
    name, rest = both
    line = read_dropper(TODAYS, rest, decimal is DecimalSign.COMMA)
    if isinstance(line, Complaint):
        turned = _explained(rest, line) if _WEIGHT_FIRST.fullmatch(rest) else line
        return replace(turned, says=says("of-key", key=name, says=turned.says))
    return name, line


def read_container(text: str, decimal: DecimalSign) -> Quantity | Complaint:
    """Return the content of one container: `50 mL`, `30 capsules`."""
    if re.match(r"[0-9]+ ?[x×*] ?[0-9]", text):
        return Complaint(says=says("batch-for-container", text=tidy(text)))
    return read_portion(text, decimal is DecimalSign.COMMA, "50 mL")


_SIZE = re.compile(r"(\S+?)(?: ?mm)? ?[x×] ?(\S+?) ?mm")
SMALLEST_MM = Fraction(10)
"""Millimetres of the least label that is printed: on less, no line of a name stands (own choice, no source)."""


def read_size(text: str, decimal: DecimalSign) -> tuple[Fraction, Fraction] | Complaint:
    """Return width and height of a label, in millimetres: `70 x 40 mm`.

    >>> read_size("63.5 mm x 40 mm", DecimalSign.POINT)
    (Fraction(127, 2), Fraction(40, 1))
    """
    match = _SIZE.fullmatch(tidy(text))
    if match is None:
        return Complaint(says=says("label-size-wanted", text=text))
    sides = [read_length(f"{side} mm", decimal is DecimalSign.COMMA) for side in match.groups()]
    wide, high = sides
    if isinstance(wide, Complaint) or isinstance(high, Complaint) or min(wide, high) < SMALLEST_MM:
        return Complaint(says=says("label-size-impossible", text=text))
    return wide, high


def read_order(text: str) -> tuple[str, str | None]:
    """Return the formula asked for and its batch; None for the one written.

    >>> read_order("S-02: 250 g"), read_order("W-01")
    (('S-02', '250 g'), ('W-01', None))
    """
    code, colon, batch = tidy(text).partition(":")
    return code.strip(), batch.strip() if colon else None


def read_have(text: str, decimal: DecimalSign) -> Supply | Complaint:
    """Return what there is of a material: `glycerol-85: 200 g`."""
    both = named(text, "glycerol-85: 200 g")
    if isinstance(both, Complaint):
        return both
    name, rest = both
    quantity = read_quantity(rest, decimal is DecimalSign.COMMA, "200 g")
    if isinstance(quantity, Complaint):
        return replace(quantity, says=says("of-key", key=name, says=quantity.says))
    return Supply(material=name, quantity=quantity)


def read_balance(text: str) -> tuple[str, ...] | Complaint:
    """Return a balance's name, its smallest step and, where that is given, the most it holds, as they are written.

    >>> read_balance("fine balance, 0.001 g, 20 g"), read_balance("0.1 g")
    (('fine balance', '0.001 g', '20 g'), ('balance', '0.1 g'))
    """
    parts = [part for part in _PARTS.split(tidy(text)) if part]
    if parts and not isinstance(read_mass(parts[0], False), Complaint):
        parts = [NAMELESS, *parts]
    if len(parts) not in (2, 3):
        return Complaint(says=says("no-balance", text=tidy(text), wanted=A_BALANCE))
    weights = []
    for text in parts[1:]:
        grams = read_mass(text, False)
        if isinstance(grams, Complaint):
            return grams
        weights.append(grams)
    if weights[0] >= weights[-1] and len(weights) > 1:
        told = says("step-above-capacity", step=parts[1], name=parts[0], most=parts[2], wanted=A_BALANCE)
        return Complaint(says=told)
    return tuple(parts)


def with_a_name(balance: tuple[str, ...], others: Iterable[tuple[str, ...]]) -> str:
    """Return how a balance without a name is typed with one that tells it from the others, by its smallest step.

    >>> with_a_name(("balance", "1 g", "5 kg"), [("balance", "0.01 g", "200 g")])
    'coarse balance, 1 g, 5 kg'
    """
    taken = {pair[0].casefold(): read_mass(pair[1], False) for pair in others}
    step, first = read_mass(balance[1], False), taken.get(NAMELESS)
    name = f"second {NAMELESS}"
    if isinstance(step, Fraction) and isinstance(first, Fraction) and step != first:
        name = f"{'fine' if step < first else 'coarse'} {NAMELESS}"
    if name in taken:
        name = f"{NAMELESS} {len(taken) + 1}"
    return ", ".join((name, *balance[1:]))


# ── Names of the book ─────────────────────────────────────────────────────────────────────────────────────────────


def material_of(book: Book, name: str) -> Material | Complaint:
    """Return the material called by that file name, ignoring case; a formula is told apart, a slip gets a hint."""
    found = book.find(name)
    if isinstance(found, Material):
        return found
    if found is not None:
        return Complaint(says=says("drops-of-formula", name=name))
    return Complaint(says=says("no-material", name=name, hint=hint_in(book, name)))


def todays_drops(book: Book, texts: Iterable[str]) -> dict[str, DropperLine] | Complaint:
    """Return what was weighed today by the material's key; several weighings of one material make one drop mass."""
    found: dict[str, DropperLine] = {}
    for text in texts:
        read = read_todays_drop(text, book.workroom.decimal)
        if isinstance(read, Complaint):
            return read
        material = material_of(book, read[0])
        if isinstance(material, Complaint):
            return material
        key, line = material.key.casefold(), read[1]
        before = found.get(key)
        if before is not None:
            if not before.weighings or not line.weighings:
                return Complaint(says=says("drop-mass-twice", name=material.key))
            weighings, words = before.weighings + line.weighings, f"{before.text}, {line.text}"
            line = DropperLine(dropper=TODAYS, weighings=weighings, text=words)
        found[key] = line
    return found


def supplies_there(book: Book, texts: Iterable[str]) -> dict[str, tuple[Fraction, str]] | Complaint:
    """Return what is there, by the key of the material or formula, as an amount with its unit."""
    found: dict[str, tuple[Fraction, str]] = {}
    for text in texts:
        read = read_have(text, book.workroom.decimal)
        if isinstance(read, Complaint):
            return read
        key, quantity = book.key_of(read.material), read.quantity
        if not key:
            told = says("no-item", name=read.material, hint=hint_in(book, read.material))
            return Complaint(says=told)
        before = found.get(key)
        if before is not None and before[1] != quantity.unit:
            return Complaint(says=says("two-units", name=read.material))
        found[key] = (quantity.value + (before[0] if before else 0), quantity.unit)
    return found


def dropper_named(book: Book, material: Material, name: str | None) -> str:
    """Return a dropper's name as the book spells it; without a name the material's first, else the workroom's first."""
    known = [*(line.dropper for line in material.drops), *book.workroom.droppers]
    if name is None or not tidy(name):
        return known[0] if known else "dropper"
    same = [dropper for dropper in known if dropper.casefold() == tidy(name).casefold()]
    return same[0] if same else tidy(name)


def pasted(lines: Iterable[str], decimal: DecimalSign) -> tuple[str, tuple[DropperWeighing, ...]] | None:
    """Return the dropper and the weighings that these lines of a front matter are read as; None when they are not."""
    text = "\n".join(("---", "name: pasted", *lines, "---", ""))
    book = book_from({
        WORKROOM: f"decimal: {decimal.value}\n".encode(),
        f"formulas/{MATERIALS}/pasted.md": text.encode("utf-8", "surrogateescape"),
    })  # fmt: skip
    found = [line for material in book.materials.values() for line in material.drops]
    return (found[0].dropper, found[0].weighings) if len(found) == 1 and not book.findings else None
