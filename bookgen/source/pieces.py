"""What is counted in pieces: how many a formula makes, how many are to be obtained, moulds and what displaces a base.

Text in, a record of `model.py` or a `Complaint` out.
"""

from __future__ import annotations

import re
from dataclasses import replace

from ..findings import Missing, Place
from ..fraction import Fraction
from ..model import CapsuleSize, Displaces, Fill, Line, Makes, Mass, Mould, Obtain, Phase, PieceForm, Quantity, Superfat
from ..units import Complaint, Wanted, read_number
from ..wording.saying import Saying, says
from .amounts import read_quantity, tidy
from .desk import Desk

NAMES = {name: form for form in PieceForm for name in (form.value, form.one_piece)}
"""Names of pieces, of one and of several."""
_FORMS = "|".join(NAMES)
_COUNT = re.compile(rf"([0-9][0-9.,]*) ?({_FORMS})", re.IGNORECASE)
PATTERN = rf"([0-9][0-9.,]*)(?: ?({_FORMS}))?(?: ?\+ ?([0-9][0-9.,]*)(?: ?({_FORMS}))?)?"
"""Pieces as they may be asked for, for Python and for the script of a page."""
_PIECES = re.compile(PATTERN, re.IGNORECASE)
MOST = 100_000
"""Pieces of the largest batch that is read."""


def _whole(text: str, comma: bool) -> int | Complaint:
    number = read_number(text, comma=comma)
    if isinstance(number, Complaint):
        return number
    if number.value.denominator != 1 or not 0 < number.value <= MOST:
        return Complaint(says=says("no-piece-count", number=number.text, most=MOST), rule="impossible-value")
    return int(number.value)


def read_count(text: str, comma: bool) -> Makes | Complaint | None:
    """Return `12 suppositories`; None where no pieces are counted.

    >>> read_count("12 suppositories", False).form.one_piece
    'suppository'
    """
    match = _COUNT.fullmatch(text)
    if match is None:
        return None
    count = _whole(match[1], comma)
    if isinstance(count, Complaint):
        return count
    form = NAMES[match[2].casefold()]
    quantity = Quantity(value=Fraction(count), unit=form.value, text=named(count, form))
    return Makes(quantity=quantity, form=form)


def read_portion(text: str, comma: bool, wanted: Wanted) -> Quantity | Complaint:
    """Return a mass, a volume or a number of pieces: `617 g`, `50 mL`, `11 suppositories`.

    >>> read_portion("1 capsule", False, "50 mL").unit
    'capsules'
    """
    counted = read_count(tidy(text), comma)
    if counted is None:
        return read_quantity(text, comma, wanted)
    return counted if isinstance(counted, Complaint) else counted.quantity


def named(count: int, form: PieceForm) -> str:
    """Return `1 capsule`, `12 capsules`."""
    return f"{count} {form.of(count)}"


def read_pieces(text: str, comma: bool, form: PieceForm | None) -> Obtain | Complaint | None:
    """Return `24 suppositories`, `12 + 2 capsules`; of a `form` also `24` and `12 + 2`; None for anything else."""
    match = _PIECES.fullmatch(text)
    if match is None or not (form or match[2] or match[4]):
        return None
    counts: list[int] = []
    for written in (match[1], match[3]):
        if written:
            count = _whole(written, comma)
            if isinstance(count, Complaint):
                return count
            counts.append(count)
    name = match[2] or match[4]
    its_form = NAMES[name.casefold()] if name else form
    assert its_form is not None
    if form is not None and its_form not in (form, PieceForm.PIECES):
        return Complaint(says=says("other-pieces", form=form.value, said=name))
    its_form = form or its_form
    words = named(counts[0], its_form) if len(counts) == 1 else f"{' + '.join(map(str, counts))} {its_form.value}"
    if sum(counts) > MOST:
        return Complaint(says=says("no-piece-count", number=str(sum(counts)), most=MOST))
    return Obtain(pieces=sum(counts), spare=sum(counts[1:]), form=its_form, text=words)


# ── Moulds and displacement ───────────────────────────────────────────────────────────────────────────────────────────

_MOULD = re.compile(r"(.+?) of (\S.*)", re.IGNORECASE)
_OF_BASE = re.compile(r"(.+?) of (\S.*?) (?:per|for each|by each) (?:1 ?)?(?:g|gram)\.?", re.IGNORECASE)
_PER_BASE = re.compile(r"(.+?) (?:per|for each) (?:1 ?)?(?:g|gram) of (\S.*)", re.IGNORECASE)


def _grams(text: str, comma: bool, wanted: str) -> Quantity | Complaint:
    found = read_quantity(text, comma, wanted)
    if isinstance(found, Complaint):
        return found
    if found.unit != "g":
        return Complaint(says=says("no-mass", said=found.text, wanted=wanted), rule="unreadable-value")
    return found


def read_mould(text: str, comma: bool) -> Mould | Complaint:
    """Return `2.04 g of cocoa-butter`."""
    match = _MOULD.fullmatch(tidy(text))
    if match is None:
        return Complaint(says=says("mould-without-base", text=text), rule="unreadable-value")
    grams = _grams(match[1], comma, "2.04 g of cocoa-butter")
    if isinstance(grams, Complaint):
        return grams
    return Mould(grams=grams.value, base=match[2], text=f"{grams.text} of {match[2]}")


def read_displaces(text: str, comma: bool) -> Displaces | Complaint:
    """Return how much of a base 1 g takes the place of; a bare figure has two readings and is refused.

    The factor f is grams of base per gram; the value D, as older books have it, is grams that take the place of 1 g of
    base, and is 1 ÷ f.  Some notes call f a displacement value too, so neither is guessed.

    >>> read_displaces("1.5 g per g of hard-fat", False).grams
    Fraction(2, 3)
    """
    text = tidy(text)
    turned = _PER_BASE.fullmatch(text)
    match = turned or _OF_BASE.fullmatch(text)
    if match is None:
        number = read_number(text.split(" ")[0], comma=comma)
        if isinstance(number, Complaint):
            return Complaint(says=says("displaces-unreadable", text=text), rule="unreadable-value")
        return Complaint(says=says("displaces-either-way", figure=number.text), rule="ambiguous-ratio")
    grams = _grams(match[1], comma, "0.67 g of hard-fat per g")
    if isinstance(grams, Complaint):
        return grams
    base = match[2]
    words = f"{grams.text} per g of {base}" if turned else f"{grams.text} of {base} per g"
    return Displaces(grams=1 / grams.value if turned else grams.value, base=base, text=words)


_BARE_SIZE = re.compile(r"(?:size ?|no\. ?)?(0{1,3}|[1-5])", re.IGNORECASE)


def read_capsule(text: str, comma: bool) -> CapsuleSize | Complaint:
    """Return the size of a capsule: `size 1`, or `1` alone.

    >>> read_capsule("00", False).value
    'size 00'
    """
    match = _BARE_SIZE.fullmatch(tidy(text))
    if match is not None:
        return CapsuleSize(f"size {match[1]}")
    sizes = tuple(size.value for size in CapsuleSize)
    told = says("no-choice", text=text, hint=says("write-one", names=sizes))
    return Complaint(says=told, rule="wrong-value")


# ── What belongs together ─────────────────────────────────────────────────────────────────────────────────────────────


def require_pieces(
    phases: tuple[Phase, ...], makes: Makes | None, mould: Place | None, capsule: Place | None, desk: Desk
) -> tuple[Phase, ...]:
    """Refuse `each`, `mould:` and `capsule:` where no such pieces are made, and a mould beside whose lines no base is
    made up.

    What is refused is reported and is a Missing amount.
    """
    by_pieces = makes is not None and makes.form is not None
    if mould is not None and not by_pieces:
        desk.report("mould-without-pieces", says("mould-without-pieces"), mould.line, mould.column)
    if capsule is not None and (makes is None or makes.form is not PieceForm.CAPSULES):
        desk.report("capsule-without-capsules", says("capsule-without-capsules"), capsule.line, capsule.column)
    elif capsule is not None and mould is not None:
        desk.report("capsule-and-mould", says("capsule-and-mould"), capsule.line, capsule.column)
    lines = [line for phase in phases for line in phase.lines]
    if mould is not None and by_pieces:
        fills = [line for line in lines if isinstance(line.amount, Fill)]
        if not fills:
            desk.report("mould-without-fill", says("mould-without-fill"), mould.line, mould.column)
        elif fills[0].amount != Fill(text="q.s."):
            told = says("mould-and-fill", name=fills[0].material, amount=_text(fills[0]))
            desk.report("mould-and-fill", told, fills[0].amount_place.line, fills[0].amount_place.column)
    made_up = mould is not None or capsule is not None
    return tuple(
        replace(phase, lines=tuple(_looked_at(line, by_pieces, made_up, desk) for line in phase.lines))
        for phase in phases
    )


def _text(line: Line) -> str:
    return "" if isinstance(line.amount, Missing) else line.amount.text


def _looked_at(line: Line, by_pieces: bool, made_up: bool, desk: Desk) -> Line:
    amount, wrong = line.amount, None
    if isinstance(amount, Mass | Fill) and amount.each and not by_pieces:
        wrong = says("each-of-what", amount=amount.text)
    if isinstance(amount, Fill) and by_pieces and not amount.each and (amount.to is not None or not made_up):
        wrong = says("fill-of-pieces", amount=amount.text)
    if isinstance(amount, Superfat) and made_up:
        wrong = says("lye-in-mould", amount=amount.text)
    return line if wrong is None else _refused(line, wrong, desk)


def _refused(line: Line, wrong: Saying, desk: Desk) -> Line:
    where = line.amount_place
    told = says("of-key", key=line.material, says=wrong)
    desk.report("each-of-what", told, where.line, where.column)
    return replace(line, amount=Missing(says=says("amount-unread"), place=where, reported=True))
