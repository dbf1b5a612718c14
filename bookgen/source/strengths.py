"""How strong something is, as a practitioner writes it: `96 %vol`, `40 % w/w`, `1 in 2000`, `50 ppm`, `water`.

Text in, a `Strength` or a `Complaint` out.  A bare percentage stays bare: whether it may be read as by weight is for
the place where it stands.
"""

from __future__ import annotations

import re

from ..fraction import Fraction
from ..model import DecimalSign, Strength, StrengthBasis
from ..units import Complaint, Digits, explain_number, read_number
from ..wording.saying import Saying, says
from .amounts import tidy

EXAMPLE = ("96 %vol", "40 % w/w", "1 in 2000", "50 ppm")
"""Strengths as they may be written, for advice."""

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
    >>> print(read_strength("1:2000").says)
    1:2000 can be read as 1 in 2000 or as 1 and 2000 parts: write `1 in 2000` or `1 + 2000`.
    """
    text = tidy(text)
    comma = decimal is DecimalSign.COMMA
    if not text:
        return _complaint(says("strength-missing", wanted=EXAMPLE), "empty-value")
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
        return _complaint(says("strength-zero", text=match[0]), "zero-amount")
    return first, second


def _strength(share: Fraction, figure: str, tail: str, bare: StrengthBasis | None = None) -> Strength | Complaint:
    """Return the strength with its basis; more than the whole is refused."""
    name = tail.strip().removeprefix("(").removesuffix(")").rstrip(".").casefold().replace(" /", "/").replace("/ ", "/")
    basis = _BASES.get(name, bare)
    if name and name not in _BASES:
        return _unknown_basis(figure, tail.strip(), name)
    text = figure + (_behind(figure, basis) if name else "")
    if share > 1:
        by_volume = basis is StrengthBasis.WV
        told = says("denser-than-whole" if by_volume else "beyond-whole", said=text)
        return _complaint(told, "impossible-value")
    if basis is StrengthBasis.VOL and not figure.endswith("%"):
        return _complaint(says("vol-of-percent", text=f"{figure} {tail.strip()}"))
    return Strength(share=share, basis=basis, text=text, figure=figure)


def _behind(figure: str, basis: StrengthBasis | None) -> str:
    """Return the basis as it is written behind the figure: `%vol`, `% w/w`."""
    if basis is None:
        return ""
    return f"{basis}" if basis is StrengthBasis.VOL else f" {basis}"


def _unknown_basis(figure: str, written: str, name: str) -> Complaint:
    if name in {"by volume", "volume"}:
        return _complaint(says("volume-of-what", figure=figure, text=written))
    if name in {"as is", "as"} or name.startswith(("as ", "of ")):
        return _complaint(says("strength-tail", figure=figure, text=written, wanted=EXAMPLE))
    return _complaint(says("strength-basis", figure=figure, text=written))


def _refused(text: str, comma: bool) -> Complaint:
    """Return why a text is not a strength."""
    colon = _COLON.match(text)
    if colon:
        return _complaint(says("ratio-either-way", first=colon[1], second=colon[2]), "ambiguous-ratio")
    if _PROOF.match(text):
        return _complaint(says("proof", text=text), "refused-unit")
    degrees = _DEGREES.match(text)
    if degrees:
        return _complaint(says("degrees", text=text, number=degrees[1]), "refused-unit")
    small = _PER_MILLE.match(text)
    if small:
        return _complaint(says("per-mille", text=small[2]), "refused-unit")
    if _CONCENTRATION.match(text):
        return _complaint(says("weight-in-volume", text=text), "refused-unit")
    if _MOLAR.match(text):
        return _complaint(says("moles", text=text), "refused-unit")
    if re.fullmatch(r"[0-9]+(?:[.,][0-9]+)?", text):
        bare = read_number(text, comma=comma)
        if isinstance(bare, Complaint):
            return bare
        return _complaint(says("strength-without-unit", number=text), "missing-unit")
    number = explain_number(text, comma=comma)
    return _complaint(says("no-strength", text=text, wanted=EXAMPLE)) if number.is_said("no-number") else number


def _complaint(told: Saying, rule: str = "unreadable-value") -> Complaint:
    return Complaint(says=told, rule=rule)
