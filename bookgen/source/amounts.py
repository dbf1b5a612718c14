"""What a line asks for: its amount, what is left of it, what evaporates.

Text in, a record of `model.py` or a `Complaint` out.  Sloppy but clear writing is read (`5%`, `2 gtt`, `qs`,
`ad 100 g`); what has two readings or no weight is refused with what to write instead.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import lru_cache

from ..fraction import Fraction
from ..model import (
    Adjust,
    Amount,
    Basis,
    Drops,
    Evaporates,
    Fill,
    Left,
    Mass,
    Parts,
    Percent,
    Quantity,
    Superfat,
    Volume,
)
from ..units import PERCENT as _PERCENT_UNIT
from ..units import Complaint, Dimension, Measured, Wanted, read_measured, read_number
from ..wording.saying import Saying, says
from .acidity import result_complaint
from .leftovers import left_over

EXAMPLE = ("5 %", "5 g", "2 mL", "3 drops", "2 parts", "q.s.", "to 100 g")
"""Amounts as they may be written, for advice."""

_SPACES = re.compile(r"[\s\u2000-\u200a\u202f]+")
_COMMA = re.compile(r",(?!\d)|(?<!\d),")
_BASES = {
    "w/w": Basis.WW, "m/m": Basis.WW, "w/v": Basis.WV, "m/v": Basis.WV, "v/v": Basis.VV,
    "by weight": Basis.WW, "wt": Basis.WW, "by volume": Basis.VV, "vol": Basis.VV,
}  # fmt: skip
_BASIS = re.compile(r"\(?([wmv] ?/ ?[wmv]|by weight|by volume|wt|vol)\b\.?\)?(?:\s+|$)", re.IGNORECASE)
_BASIS_BEHIND = re.compile(r"\s+\(?([wmv] ?/ ?[wmv])\)?$", re.IGNORECASE)
_QS = re.compile(r"(?:q\. ?s\.? ?p\b\.?|qsp\b\.?|q\. ?s\.?|qs\b|quantum satis\b)\s*", re.IGNORECASE)
_TO = re.compile(r"(?:to|ad|up to|make up to)(?:\.?\s+|(?=[0-9]))", re.IGNORECASE)
_REST = re.compile(r"(?:the )?(?:rest|balance|remainder|remaining)\b.*", re.IGNORECASE)
ABOUT = re.compile(r"(?:(?:about|ca\.?|circa|approx\.?)\s+|[~≈]\s*)", re.IGNORECASE)
"""What makes a figure a rough one, before it."""
_IN = re.compile(r"([0-9.,]+) in ([0-9.,]+)(?:\s+(\S.*))?")
_PLUS = re.compile(r"([0-9.,]+) ?\+ ?([0-9.,]+)(?:\s+(\S.*))?")
_RATIO = re.compile(r"([0-9.,]+) ?: ?([0-9.,]+)")
_ABOUT = re.compile(r"(.*?)\s*\(\s*(?:(?:about|ca\.?|circa|approx\.?)\s+|[~≈]\s*)([^()]*)\)", re.IGNORECASE)
_WEIGHT_BEHIND = re.compile(r"\((?![^()]*\b(?:about|ca|circa|approx)\b)[~≈]?[0-9]|^\([^()]*\)$", re.IGNORECASE)
_FIGURE = re.compile(
    r"(?:[^\w(]|(?:about|ca|circa|approx\w*|roughly|max|min|at most|at least)\b)*[\d⁰¹²³⁴-⁹½¼¾⅐-⅞]", re.IGNORECASE
)
"""A figure, with whatever stands before it: `to ca. 100 g` is a total that is refused and no result to be reached."""
_WHOLE_PERCENT = re.compile(r"100(?:[.,]0+)? ?%")


def tidy(text: str) -> str:
    """Return the text with every run of spaces of any kind as one space, and none at its ends."""
    if text.isascii() and text.isprintable() and "  " not in text:
        return text.strip()
    return _SPACES.sub(" ", text).strip()


def split_line(text: str) -> tuple[str, str]:
    """Return amount and function of a line's short form: the first comma that is no decimal comma parts them.

    >>> split_line("0,4 % as lactic acid, buffer, mild")
    ('0,4 % as lactic acid', 'buffer, mild')
    """
    match = _COMMA.search(text)
    return (text[: match.start()].strip(), text[match.end() :].strip()) if match else (text, "")


@lru_cache(maxsize=4096)
def read_amount(text: str, comma: bool) -> Amount | Complaint:
    """Return what the line asks for; `comma` is true in a book whose decimal sign is the comma.

    >>> read_amount("2 gtt", False).text
    '2 drops'
    """
    amount = _read(tidy(text), comma)
    if isinstance(amount, Complaint) and amount.rule == "unreadable-value":
        return replace(amount, rule="unreadable-amount")
    return amount


def _refused(told: Saying, at: int = 0) -> Complaint:
    return Complaint(says=told, at=at, rule="unreadable-amount")


def _read(text: str, comma: bool) -> Amount | Complaint:
    if text[:1].isdigit():
        if "in" in text or "+" in text or ":" in text:
            ratio = _ratio(text, comma)
            if ratio is not None:
                return ratio
        return _measured(text, comma)
    match = _QS.match(text)
    if match:
        return _enough(text[match.end() :], comma)
    match = _TO.match(text)
    if match:
        return _made_up(text[match.end() :], comma, text)
    if _REST.fullmatch(text):
        return _refused(says("rest-in-words", text=text))
    return _measured(text, comma)


def _measured(text: str, comma: bool) -> Amount | Complaint:
    """Read what begins with a number and a unit."""
    found = read_measured(text, comma=comma, wanted=EXAMPLE)
    if isinstance(found, Complaint):
        return found
    if not found.number:
        return Complaint(says=says("amount-zero", said=found.said), rule="zero-amount")
    dimension = found.unit.dimension
    wanted = _diluted(found, comma)
    if wanted is not None:
        return wanted
    if dimension is Dimension.PERCENT:
        if _VOL.match(found.rest):
            return _refused(says("strength-alone", said=found.said), found.at_rest)
        return percent_of(found)
    if dimension is Dimension.MASS:
        plain, each = _for_each(found)
        substance, rest = _substance(plain.rest)
        if rest:
            return left_over(found)
        words = f"{found.text} as {substance}" if substance else found.text
        return Mass(grams=found.value, substance=substance, each=each, text=words + (" each" if each else ""))
    if dimension is Dimension.VOLUME:
        return left_over(found) if found.rest else Volume(ml=found.value, text=found.text)
    if dimension is Dimension.DROPS:
        return _drops(found, comma)
    if dimension is Dimension.PARTS:
        return left_over(found) if found.rest else Parts(parts=found.number, text=found.text)
    return _refused(says("time-for-amount", said=found.said, wanted=EXAMPLE))


_VOL = re.compile(r"\(?vol\b", re.IGNORECASE)
_OF_VOL = re.compile(r"% ?vol\b", re.IGNORECASE)
_OF = re.compile(r"(?:(.*?)\s)?of (?=[0-9])(.*)", re.IGNORECASE)


def _diluted(found: Measured, comma: bool) -> Amount | Complaint | None:
    """Read an amount of diluted ethanol, `60 g of 70 %vol`; None when no strength is written behind it."""
    match = _OF.fullmatch(found.rest) if found.rest else None
    if match is None:
        return None
    if found.unit.dimension not in {Dimension.PERCENT, Dimension.MASS, Dimension.VOLUME}:
        strong = _OF_VOL.search(match[2])
        told = says("strength-of-count", text=found.rest, said=found.said)
        return _refused(told, found.at_rest) if strong else None
    strength = _strength(match[2], comma, f"{found.said} {match[1] or ''}".rstrip(), found.at_rest + match.start(2))
    if isinstance(strength, Complaint):
        return strength
    alcohol, words = strength
    if found.unit.dimension is Dimension.PERCENT:
        percent = percent_of(found._replace(rest=match[1] or ""))
        if isinstance(percent, Complaint):
            return percent
        if percent.substance is None:
            return replace(percent, alcohol=alcohol, text=f"{percent.text} {words}")
    substance, rest = _substance(match[1] or "")
    if substance:
        return _refused(says("substance-and-strength", substance=substance, strength=words), found.at_rest)
    if rest:
        return left_over(found)
    if found.unit.dimension is Dimension.MASS:
        return Mass(grams=found.value, alcohol=alcohol, text=f"{found.text} {words}")
    return Volume(ml=found.value, alcohol=alcohol, text=f"{found.text} {words}")


def _strength(text: str, comma: bool, amount: str, at: int) -> tuple[Fraction, str] | Complaint:
    """Return ethanol as a share by volume and how it is printed, `of 70 %vol`; no other strength is read."""
    percent = read_percent(text, comma, wanted="70 %vol")
    if isinstance(percent, Complaint):
        return percent.behind(at)
    digits = percent.text.partition(" %")[0]
    if percent.basis is Basis.VV and percent.substance is None:
        return percent.share, f"of {digits} %vol"
    if percent.basis is None and percent.substance is None:
        return _refused(says("strength-either-way", digits=digits, amount=amount), at)
    return _refused(says("strength-not-by-volume", text=text, amount=amount), at)


_EACH = re.compile(r"(.*?)(?:\s|^)each", re.IGNORECASE)


def _for_each(found: Measured) -> tuple[Measured, bool]:
    """Return what is measured without the word `each` at its end, and whether that stands there."""
    match = _EACH.fullmatch(found.rest)
    return (found._replace(rest=match[1].strip()), True) if match else (found, False)


def _substance(rest: str) -> tuple[str | None, str]:
    """Return the substance after `as`, and what is not understood."""
    if rest[:3].casefold() == "as ":
        return rest[3:].strip() or None, ""  # what stands there is judged where the material's contents are known
    return None, rest


def percent_of(found: Measured, *, zero: bool = False) -> Percent | Complaint:
    """Return the percentage with its basis and substance; more than 100 % is refused, and 0 % unless allowed."""
    if found.number > 100:
        return Complaint(says=says("beyond-whole", said=found.said), rule="impossible-value")
    if not found.number and not zero:
        return Complaint(says=says("figure-zero", said=found.said), rule="zero-amount")
    rest, basis = found.rest, None
    match = _BASIS.match(rest)
    if match:
        basis = _BASES.get(match[1].casefold().replace(" /", "/").replace("/ ", "/"))
        if basis is None:
            return Complaint(says=says("basis-unknown", basis=match[1]), at=found.at_rest)
        rest = rest[match.end() :]
    substance, rest = _substance(rest)
    if rest:
        return left_over(found, rest)
    astray = _BASIS_BEHIND.search(substance) if substance else None
    if astray:
        return _refused(says("basis-astray", basis=astray[1], said=found.said), found.at_rest)
    words = found.text + (f" {basis}" if basis else "") + (f" as {substance}" if substance else "")
    return Percent(share=found.number / 100, basis=basis, substance=substance, text=words)


_DROPPER = re.compile(r"(?:of\s+([^()]+?)\s*)?(?:\(\s*([^()]*?)\s*\))?\s*")


def _drops(found: Measured, comma: bool) -> Amount | Complaint:
    """Read `6 drops`, `6 drops of pipette`, `2 drops (0.05 g)`."""
    if found.number.denominator != 1:
        return _refused(says("half-drop", said=found.said))
    match = _DROPPER.fullmatch(found.rest)
    if match is None:
        return left_over(found)
    dropper, weight = match[1], match[2]
    words = found.text + (f" of {dropper}" if dropper else "")
    if weight is None:
        return Drops(count=found.number, dropper=dropper, text=words)
    mass = read_quantity(weight, comma)
    if isinstance(mass, Complaint):
        return mass.behind(found.at_rest + match.start(2))
    if mass.unit != "g":
        return _refused(says("volume-of-drops", text=mass.text), found.at_rest + match.start(2))
    return Drops(count=found.number, dropper=dropper, grams=mass.value, text=f"{words} ({mass.text})")


def read_quantity(text: str, comma: bool, wanted: Wanted = "100 g") -> Quantity | Complaint:
    """Return a mass or a volume above zero, with nothing behind it."""
    found = read_measured(tidy(text), comma=comma, wanted=wanted)
    if isinstance(found, Complaint):
        return found
    if found.unit.dimension not in {Dimension.MASS, Dimension.VOLUME}:
        return Complaint(says=says("no-quantity", said=found.said, wanted=wanted))
    if not found.number:
        return Complaint(says=says("figure-zero", said=found.said), rule="zero-amount")
    if found.rest:
        return Complaint(says=says("tail", text=found.rest, said=found.said, wanted=wanted), at=found.at_rest)
    unit = "g" if found.unit.dimension is Dimension.MASS else "mL"
    return Quantity(value=found.value, unit=unit, text=found.text)


def _ratio(text: str, comma: bool) -> Amount | Complaint | None:
    """Read `1 in 2000` and `1 + 39`; refuse `1:2`; None when it is none of them."""
    match = _IN.fullmatch(text)
    plus = None if match else _PLUS.fullmatch(text)
    either = match or plus
    if either is None:
        bare = _RATIO.match(text)
        if bare is None:
            return None
        return Complaint(says=says("ratio-either-way", first=bare[1], second=bare[2]), rule="ambiguous-ratio")
    first, second = read_number(either[1], comma=comma), read_number(either[2], comma=comma, at=either.start(2))
    if isinstance(first, Complaint):
        return first
    if isinstance(second, Complaint):
        return second
    whole = second.value if match else first.value + second.value
    if not first.value or not whole:
        return Complaint(says=says("figures-zero", said=text), rule="zero-amount")
    if first.value > whole:
        return Complaint(says=says("beyond-whole", said=text), rule="impossible-value")
    words = f"{first.text} {'in' if match else '+'} {second.text}"
    as_percent = Measured(first.value * 100 / whole, words, _PERCENT_UNIT, either[3] or "", either.start(3))
    percent = percent_of(as_percent)
    if isinstance(percent, Complaint):
        return percent
    tail = percent.text.partition("%")[2]
    return Percent(share=percent.share, basis=percent.basis, substance=percent.substance, text=words + tail)


def _enough(rest: str, comma: bool) -> Amount | Complaint:
    """Read what follows q.s.: nothing, `to 100 g`, `to pH 4.8 (about 1.6 g)`, or `for 5 % superfat`."""
    if not rest:
        return Fill(text="q.s.")
    soap = _SUPERFAT.fullmatch(rest)
    if soap:
        return _superfat(soap[1], comma, len("q.s. ") + soap.start(1))
    strength = _OF.fullmatch(rest)
    if strength and not strength[1]:
        return _filled_with(Fill(text="q.s."), strength[2], comma, len("q.s. of "))
    match = _TO.match(rest)
    if match:
        return _made_up(rest[match.end() :], comma, f"q.s. {rest}")
    if rest[0].isdigit():
        return _made_up(rest, comma, f"q.s. to {rest}")
    return _refused(says("fill-tail", text=rest))


_SUPERFAT = re.compile(r"(?:for|to)\s+(.+?)\s*superfat", re.IGNORECASE)


def _superfat(text: str, comma: bool, at: int) -> Amount | Complaint:
    """Read how much of the fat a lye is to leave as it is."""
    percent = read_percent(text, comma)
    if isinstance(percent, Complaint):
        return percent.behind(at)
    if percent.basis is not None or percent.substance is not None:
        return _refused(says("superfat-alone", text=text), at)
    if percent.share == 1:
        return Complaint(says=says("superfat-whole", said=percent.text), at=at, rule="impossible-value")
    return Superfat(share=percent.share, text=f"q.s. for {percent.text} superfat")


def _filled_with(fill: Amount | Complaint, strength: str, comma: bool, at: int) -> Amount | Complaint:
    """Return a fill that is diluted ethanol: `to 100 g of 70 %vol`, `q.s. of 70 %vol`."""
    if not isinstance(fill, Fill):
        return fill
    alcohol = _strength(strength, comma, fill.text, at)
    if isinstance(alcohol, Complaint):
        return alcohol
    return replace(fill, alcohol=alcohol[0], text=f"{fill.text} {alcohol[1]}")


def _made_up(rest: str, comma: bool, words: str) -> Amount | Complaint:
    """Read what follows `to`: a total, or a result to be reached."""
    if _FIGURE.match(rest):
        match = _OF.fullmatch(rest)
        if match and match[1]:
            fill = _made_up(match[1], comma, words[: len(words) - len(match[2]) - 4])
            return _filled_with(fill, match[2], comma, len(words) - len(match[2]))
        if _WHOLE_PERCENT.fullmatch(rest):
            return Fill(text="to 100 %")
        if "%" in rest:
            return _refused(says("percent-for-total", text=words), len(words) - len(rest))
        each = _EACH.fullmatch(rest)
        total = read_quantity(each[1] if each else rest, comma)
        if isinstance(total, Complaint):
            return total.behind(len(words) - len(rest))
        if each and total.unit != "g":
            return _refused(says("each-by-volume", text=total.text), len(words) - len(rest))
        return Fill(to=total, each=each is not None, text=f"to {total.text}" + (" each" if each else ""))
    match = _ABOUT.fullmatch(rest)
    result = (match[1] if match else rest).strip()
    if _WEIGHT_BEHIND.search(result):
        return _refused(says("about-without-amount", text=words))
    if not result or "(" in result:
        return _refused(says("result-missing", text=words))
    wrong = result_complaint(result, comma)
    if wrong:
        return wrong.behind(max(words.find(result), 0))
    if match is None:
        return Adjust(result=result, text=f"q.s. to {result}")
    about = _measured(match[2], comma) if match[2][:1].isdigit() else None
    if isinstance(about, Complaint):
        return replace(about, at=0)
    if not isinstance(about, Mass | Volume | Drops | Percent):
        return _refused(says("about-no-amount", text=match[2]))
    return Adjust(result=result, about=about, text=f"q.s. to {result} (about {about.text})")


def read_percent(text: str, comma: bool, *, zero: bool = False, wanted: Wanted = "5 %") -> Percent | Complaint:
    """Return a percentage; 0 % only where allowed."""
    text = tidy(text)
    ratio = _ratio(text, comma) if text[:1].isdigit() and (" in " in text or "+" in text) else None
    if isinstance(ratio, Percent | Complaint):
        return ratio
    found = read_measured(text, comma=comma, wanted=wanted)
    if isinstance(found, Complaint):
        return found
    if found.unit.dimension is not Dimension.PERCENT:
        return Complaint(says=says("no-percentage", said=found.said, wanted=wanted))
    return percent_of(found, zero=zero)


_AT_MOST = re.compile(r"(?:at most|not more than|max\.?|≤)\s*", re.IGNORECASE)


def read_left(text: str, comma: bool) -> Left | Complaint:
    """Return what stays in the product: `0.05 % v/v`, `at most 0.05 % v/v`."""
    text = tidy(text)
    match = _AT_MOST.match(text)
    percent = read_percent(text[match.end() :] if match else text, comma, wanted="at most 0.05 %")
    if isinstance(percent, Complaint):
        return percent.behind(match.end() if match else 0)
    return Left(percent=percent, at_most=match is not None)


def read_evaporates(text: str, comma: bool) -> Evaporates | Complaint:
    """Return what boils or dries away: `20 g`, or `25 %` of the line."""
    found = read_measured(tidy(text), comma=comma, wanted=("20 g", "25 %"))
    if isinstance(found, Complaint):
        return found
    if found.rest or found.unit.dimension not in {Dimension.MASS, Dimension.PERCENT}:
        return Complaint(says=says("loss-unreadable", text=text))
    if not found.number:
        return Complaint(says=says("figure-zero", said=found.said), rule="zero-amount")
    if found.unit.dimension is Dimension.MASS:
        return Evaporates(grams=found.value, text=found.text)
    if found.number > 100:
        return Complaint(says=says("beyond-line", said=found.said), rule="impossible-value")
    return Evaporates(share=Fraction(found.number) / 100, text=found.text)
