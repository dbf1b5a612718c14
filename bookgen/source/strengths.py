"""How strong something is, as a practitioner writes it: `96 %vol`, `40 % w/w`, `1 in 2000`, `50 ppm`, `water`.

Text in, a `Strength` or a `Complaint` out.  A bare percentage stays bare: whether it may be read as by weight is for
the place where it stands.
"""

from __future__ import annotations

import re
from fractions import Fraction

from ..model import DecimalSign, Strength, StrengthBasis
from ..units import Complaint, Digits, explain_number, in_sign, read_number
from .amounts import tidy

EXAMPLE = "96 %vol, 40 % w/w, 1 in 2000 or 50 ppm"

_PERCENT, _PPM = Fraction(1, 100), Fraction(1, 1_000_000)
_BASES = {
    "w/w": StrengthBasis.WW, "m/m": StrengthBasis.WW, "by weight": StrengthBasis.WW, "wt": StrengthBasis.WW,
    "w/v": StrengthBasis.WV, "m/v": StrengthBasis.WV, "v/v": StrengthBasis.VV,
    "vol": StrengthBasis.VOL, "abv": StrengthBasis.VOL,
}  # fmt: skip
_WATER = re.compile(r"(?:purified |distilled )?water", re.IGNORECASE)
_PERCENTAGE = re.compile(r"([0-9.,]+) ?(?:%|percent\b|per cent\b|pct\b) ?(.*)", re.IGNORECASE)
_PARTS_PER_MILLION = re.compile(r"([0-9.,]+) ?ppm\b ?(.*)", re.IGNORECASE)
_IN = re.compile(r"([0-9.,]+) in ([0-9.,]+) ?(.*)", re.IGNORECASE)
_PLUS = re.compile(r"([0-9.,]+) ?\+ ?([0-9.,]+) ?(.*)")
_COLON = re.compile(r"([0-9.,]+) ?: ?([0-9.,]+)")
_DEGREES = re.compile(r"([0-9.,]+) ?(?:°|º|degrees?\b|deg\b)", re.IGNORECASE)
_PROOF = re.compile(r"[0-9.,]+ ?(?:°|degrees? )? ?(?:US |UK )?proof\b", re.IGNORECASE)
_PER_MILLE = re.compile(r"([0-9.,]+) ?(‰|ppb\b|ppt\b)", re.IGNORECASE)
_CONCENTRATION = re.compile(r"[0-9.,]+ ?(?:[mµμ]?g|[mµμ]?[lL]) ?(?:/|per) ?[0-9]* ?(?:[mk]?g|m?[lL])\b")
_MOLAR = re.compile(r"[0-9.,]+ ?(?:m?mol\b|M\b|N\b)")


def read_strength(text: str, decimal: DecimalSign = DecimalSign.POINT) -> Strength | Complaint:
    """Return how strong it is, or why that cannot be read.

    >>> read_strength("96%vol").text, read_strength("1 in 2000 w/v").text
    ('96 %vol', '1 in 2000 w/v')
    >>> read_strength("1:2000").message
    '1:2000 can be read as 1 in 2000 or as 1 and 2000 parts: write `1 in 2000` or `1 + 2000`.'
    """
    text = tidy(text)
    comma = decimal is DecimalSign.COMMA
    if not text:
        return _complaint(f"No strength is written: write it as in {EXAMPLE}.", "empty-value")
    if _WATER.fullmatch(text):
        return Strength(share=Fraction(0), text="water")
    for pattern, read in ((_PERCENTAGE, _percentage), (_PARTS_PER_MILLION, _ppm), (_IN, _one_in), (_PLUS, _one_plus)):
        match = pattern.fullmatch(text)
        if match:
            return read(match, comma)
    return _refused(text, comma)


def _percentage(match: re.Match[str], comma: bool) -> Strength | Complaint:
    number = read_number(match[1], comma=comma)
    if isinstance(number, Complaint):
        return number
    return _strength(number.value * _PERCENT, f"{number.text} %", match[2])


def _ppm(match: re.Match[str], comma: bool) -> Strength | Complaint:
    """Read parts per million: milligrams in a kilogram, unless w/v or v/v stands behind."""
    number = read_number(match[1], comma=comma)
    if isinstance(number, Complaint):
        return number
    return _strength(number.value * _PPM, f"{number.text} ppm", match[2], bare=StrengthBasis.WW)


def _one_in(match: re.Match[str], comma: bool) -> Strength | Complaint:
    both = _two(match, comma)
    if isinstance(both, Complaint):
        return both
    part, whole = both
    return _strength(part.value / whole.value, f"{part.text} in {whole.text}", match[3])


def _one_plus(match: re.Match[str], comma: bool) -> Strength | Complaint:
    both = _two(match, comma)
    if isinstance(both, Complaint):
        return both
    part, others = both
    return _strength(part.value / (part.value + others.value), f"{part.text} + {others.text}", match[3])


def _two(match: re.Match[str], comma: bool) -> tuple[Digits, Digits] | Complaint:
    """Return both figures of a ratio, each above zero."""
    first, second = (read_number(match[group], comma=comma, at=match.start(group)) for group in (1, 2))
    if isinstance(first, Complaint):
        return first
    if isinstance(second, Complaint):
        return second
    if not first.value or not second.value:
        return _complaint(f"{match[0]} is nothing: write figures above zero, or `water`.", "zero-amount")
    return first, second


def _strength(share: Fraction, figure: str, tail: str, bare: StrengthBasis | None = None) -> Strength | Complaint:
    """Return the strength with its basis; more than the whole is refused."""
    name = tail.strip().removeprefix("(").removesuffix(")").rstrip(".").casefold().replace(" /", "/").replace("/ ", "/")
    basis = _BASES.get(name, bare)
    if name and name not in _BASES:
        return _unknown_basis(figure, tail.strip(), name)
    text = figure + (_behind(figure, basis) if name else "")
    if share > 1:
        dense = ": for a dense liquid write it by weight, as % w/w" if basis is StrengthBasis.WV else ""
        return _complaint(f"{text} is more than the whole{dense}.", "impossible-value")
    if basis is StrengthBasis.VOL and not figure.endswith("%"):
        return _complaint(f"`{figure} {tail.strip()}` is written as a percentage: such as 70 %vol.", "unreadable-value")
    return Strength(share=share, basis=basis, text=text)


def _behind(figure: str, basis: StrengthBasis | None) -> str:
    """Return the basis as it is written behind the figure: `%vol`, `% w/w`."""
    if basis is None:
        return ""
    return f"{basis}" if basis is StrengthBasis.VOL else f" {basis}"


def _unknown_basis(figure: str, written: str, name: str) -> Complaint:
    if name in {"by volume", "volume"}:
        message = f"`{figure} {written}`: write {figure}vol for ethanol, {figure} v/v for another liquid."
    elif name in {"as is", "as"} or name.startswith(("as ", "of ")):
        message = f"`{written}` after {figure} is left out here: a strength is written alone, as in {EXAMPLE}."
    else:
        message = f"`{written[:40]}` after {figure} is not known: write w/w, w/v, v/v or vol."
    return _complaint(message, "unreadable-value")


def _refused(text: str, comma: bool) -> Complaint:
    """Return why a text is not a strength."""
    shown = text if len(text) <= 40 else text[:40] + "…"
    colon = _COLON.match(text)
    if colon:
        a, b = colon.groups()
        message = f"{a}:{b} can be read as {a} in {b} or as {a} and {b} parts: write `{a} in {b}` or `{a} + {b}`."
        return _complaint(message, "ambiguous-ratio")
    if _PROOF.match(text):
        return _complaint(f"`{shown}`: proof differs from country to country: write %vol.", "refused-unit")
    degrees = _DEGREES.match(text)
    if degrees:
        message = f"`{shown}`: degrees of alcohol had several scales: write {degrees[1]} %vol if that is meant."
        return _complaint(message, "refused-unit")
    small = _PER_MILLE.match(text)
    if small:
        message = f"`{small[2]}` is not read: write % {in_sign('(1 ‰ is 0.1 %) or ppm (1 ppm is 0.0001 %)', comma)}."
        return _complaint(message, "refused-unit")
    if _CONCENTRATION.match(text):
        return _complaint(f"`{shown}`: write it as % w/v (10 mg/mL is 1 % w/v) or % w/w.", "refused-unit")
    if _MOLAR.match(text):
        return _complaint(f"`{shown}` counts moles: write it as % w/v or % w/w.", "refused-unit")
    if re.fullmatch(r"[0-9]+(?:[.,][0-9]+)?", text):
        bare = read_number(text, comma=comma)
        if isinstance(bare, Complaint):
            return bare
        return _complaint(f"{text} lacks its unit: write {text} %vol, {text} % w/w or {text} %.", "missing-unit")
    number = explain_number(text, comma=comma)
    if "is not a number:" not in number.message:
        return number
    return _complaint(f"`{shown}` is not a strength: write it as in {EXAMPLE}.", "unreadable-value")


def _complaint(message: str, rule: str) -> Complaint:
    return Complaint(says=message, rule=rule)
