"""The batch asked for on the command line."""

from __future__ import annotations

import re

from ..findings import NOWHERE, Finding, Severity
from ..fraction import Fraction
from ..language import ENGLISH
from ..language.typed import in_english
from ..model import DecimalSign, Obtain, Percent, PieceForm, Quantity, Supply
from ..show import COMMA, POINT
from ..units import Complaint, explain_measured, read_number
from ..wording.saying import says
from .amounts import read_percent, read_quantity, tidy
from .pieces import read_pieces

EXAMPLE = ("250 g", "12 x 50 mL + 5 %", "40 g of W-01", "twice", "half", "1.5 x")
"""Batches as they may be asked for, for advice."""
EXAMPLE_SUPPLIES = "40 g of W-01 and 12 g of glycerol-85"

_CONTAINERS = re.compile(r"([^\s×*x]+) ?[x×*] ?([^+]+?) ?(?:\+ ?(.+))?", re.IGNORECASE)
_STOCK = re.compile(r"(.+?) of (\S+)", re.IGNORECASE)
_SURPLUS = re.compile(r"[0-9.,]+ ?(?:%|percent|pct)\.?", re.IGNORECASE)
_TIMES = re.compile(r"([0-9][^\s×*xt]*) ?(?:[x×*]|times)|[x×*] ?([0-9]\S*)", re.IGNORECASE)
_WORDS = {"twice": Fraction(2), "double": Fraction(2), "triple": Fraction(3), "half": Fraction(1, 2)}
_AND = re.compile(r" ?; ?|,? and ", re.IGNORECASE)


def read_obtain(
    text: str,
    decimal: DecimalSign = DecimalSign.POINT,
    wanted: tuple[str, ...] = EXAMPLE,
    *,
    form: PieceForm | None = None,
    language: str = ENGLISH,
) -> Obtain | Finding:
    """Return what must come out of one batch, or why it is refused.

    `250 g`, `12 x 50 mL + 5 %`, `40 g of W-01`, `40 g of W-01 and 12 g of glycerol-85`; `twice`, `half`, `1.5 x` of
    the batch as written.  `wanted` is what a refusal says to write.  Where pieces of a `form` are made, a
    number without a unit counts them: `24`, `12 + 2`; with their name (`24 suppositories`) it always does.  In a book
    of another `language` its words are read as well.

    >>> read_obtain("12 x 50 mL + 5 %").quantity.text
    '630 mL'
    """
    obtain = read_to_obtain(in_english(tidy(text), language), decimal is DecimalSign.COMMA, wanted, form=form)
    if not isinstance(obtain, Complaint):
        return obtain
    told, signs = says("to-obtain", says=obtain.says), COMMA if decimal is DecimalSign.COMMA else POINT
    return Finding(severity=Severity.ERROR, rule="unreadable-batch", says=told, place=NOWHERE, signs=signs)


LONGEST = 300
"""Characters of the longest batch that is read."""


def read_to_obtain(
    text: str, comma: bool, wanted: tuple[str, ...] = EXAMPLE, *, form: PieceForm | None = None
) -> Obtain | Complaint:
    """Return the same of a tidy text, or a complaint."""
    if len(text) > LONGEST:
        return Complaint(says=says("batch-too-long", length=len(text), wanted=wanted))
    if not text:
        return Complaint(says=says("batch-missing", wanted=wanted))
    pieces = read_pieces(text, comma, form)
    if pieces is not None:
        return pieces
    if _STOCK.match(text):
        return _stocks(text, comma)
    times = _times(text, comma)
    if times is not None:
        return times
    containers = _CONTAINERS.fullmatch(text) if text[0].isdigit() else None
    if containers:
        within = read_pieces(containers[2], comma, form)
        if isinstance(within, Obtain) and within.form is not None:
            return Complaint(says=says("pieces-in-containers", text=text, form=within.form.value))
        return _containers(containers[1], containers[2], containers[3], comma)
    if "+" in text:
        plain, _, more = text.partition("+")
        first = plain.strip(" .")
        instead = (first, *(form for form in wanted if form != first)) if first else wanted
        return Complaint(says=says("surplus-of-what", surplus=more.strip(), wanted=instead))
    if not any(sign.isdigit() for sign in text) and "½" not in text:
        explained = explain_measured(text, wanted, comma=comma)
        if explained.is_said("number-missing"):
            return explained
        return Complaint(says=says("no-batch", text=text, wanted=wanted))
    quantity = read_quantity(text, comma, wanted)
    if isinstance(quantity, Complaint):
        return quantity
    return Obtain(quantity=quantity, text=quantity.text)


def _times(text: str, comma: bool) -> Obtain | Complaint | None:
    """Read `twice`, `half`, `x 2`, `1.5 x`, `3 times`: so many times the batch as written; None for anything else."""
    times = _WORDS.get(text.casefold())
    if times is None:
        match = _TIMES.fullmatch(text)
        if match is None:
            return None
        number = read_number(match[1] or match[2], comma=comma)
        if isinstance(number, Complaint):
            return number
        if not number.value:
            return Complaint(says=says("figure-zero", said=text))
        times = number.value
    return Obtain(times=times, text=f"{_decimal(times)} × as written")


def _stocks(text: str, comma: bool) -> Obtain | Complaint:
    """Read `40 g of W-01 and 12 g of glycerol-85`, parted by `and` or `;`."""
    found: list[Supply] = []
    for part in _AND.split(text.rstrip("; ")):
        match = _STOCK.fullmatch(part)
        if match is None:
            return Complaint(says=says("no-supply", text=part, wanted=EXAMPLE_SUPPLIES))
        quantity = read_quantity(match[1], comma, "40 g of W-01")
        if isinstance(quantity, Complaint):
            return quantity
        if any(supply.material.casefold() == match[2].casefold() for supply in found):
            return Complaint(says=says("supply-twice", name=match[2]))
        found.append(Supply(material=match[2], quantity=quantity))
    words = " and ".join(f"{supply.quantity.text} of {supply.material}" for supply in found)
    return Obtain(quantity=found[0].quantity, supplies=tuple(found), text=words)


def _containers(count_text: str, content_text: str, surplus_text: str | None, comma: bool) -> Obtain | Complaint:
    """Read `12 x 50 mL + 5 %`."""
    count = read_number(count_text, comma=comma)
    if isinstance(count, Complaint):
        return count
    if count.value.denominator != 1 or not count.value:
        return Complaint(says=says("no-count", number=count.text))
    content = read_quantity(content_text, comma, "12 x 50 mL")
    if isinstance(content, Complaint):
        return content
    surplus: Percent | Complaint | None = read_percent(surplus_text, comma) if surplus_text else None
    if isinstance(surplus, Complaint):
        return surplus
    if surplus_text and not _SURPLUS.fullmatch(surplus_text):
        return Complaint(says=says("no-surplus", text=surplus_text))
    share = surplus.share if surplus else Fraction(0)
    total = count.value * content.value * (1 + share)
    words = f"{count.text} × {content.text}" + (f" + {surplus.text}" if surplus else "")
    return Obtain(
        quantity=Quantity(value=total, unit=content.unit, text=f"{_decimal(total)} {content.unit}"),
        containers=int(count.value),
        container=content,
        surplus=share,
        text=words,
    )


def _decimal(value: Fraction) -> str:
    """Return the exact decimal; every product of written decimals and percentages has one."""
    if value.denominator == 1:
        return str(value.numerator)
    digits = 0
    while (value * 10**digits).denominator != 1:
        digits += 1
    whole = str(int(value * 10**digits)).rjust(digits + 1, "0")
    return f"{whole[:-digits]}.{whole[-digits:]}"
