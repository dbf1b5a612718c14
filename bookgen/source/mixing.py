"""What is to be diluted or mixed, as it is typed at the bench.

`96%vol to 70%vol`, `2.5% 0.25% to 1%`, `240 g of 0.25%`.  Words in, a `Mixing` or a `Complaint` out: strengths that
relate to different things are refused here, because no figure can be right where `40 %` may be by weight or by volume.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from ..findings import Finding
from ..fraction import Fraction
from ..model import Component, DecimalSign, MixedBy, Mixing, Obtain, Quantity, Strength, StrengthBasis
from ..units import Complaint, read_number
from ..wording.saying import Saying, says
from .amounts import read_quantity, tidy
from .obtain import read_obtain
from .strengths import read_strength

DILUTE = "96%vol to 70%vol"
MIX = "2.5% 0.25% to 1%"
BATCHES = ("500 g", "500 mL")
"""What is to be obtained, for advice."""

_TO = re.compile(r"(?:^|(?<=\s))to(?:\s|$)", re.IGNORECASE)
_LOT = re.compile(r"(.+?) of (.+)", re.IGNORECASE)
_BEGINS = re.compile(r"[-−~<>]?[0-9½¼¾]|(?:water|purified|distilled)\b", re.IGNORECASE)
_JOINS = {"in", "+", "of", "x", "×", "purified", "distilled"}
_BETWEEN = {"and", "with", "&"}
_CELSIUS = re.compile(r"([0-9.,]+) ?(?:[°º] ?)?(?:C|Celsius)?", re.IGNORECASE)
_FAHRENHEIT = re.compile(r"[-0-9.,]+ ?(?:[°º] ?)?F(?:ahrenheit)?", re.IGNORECASE)

WATER = Strength(share=Fraction(0), text="water")


def read_dilution(
    words: Sequence[str],
    *,
    obtain: str | None = None,
    use_up: str | None = None,
    diluent: str | None = None,
    at: str | None = None,
    decimal: DecimalSign = DecimalSign.POINT,
) -> Mixing | Complaint:
    """Return what `HAVE to WANT` asks for; `use_up` is how much of the stronger one there is.

    >>> read_dilution(["96%vol", "to", "70%vol"], obtain="500 g").want.text
    '70 %vol'
    """
    sides = _TO.split(tidy(" ".join(words)))
    if len(sides) != 2 or not sides[0].strip() or not sides[1].strip():
        return _wrong(says("dilution-unread", wanted=DILUTE))
    have = _component(sides[0].strip(), decimal)
    want = read_strength(sides[1], decimal)
    weaker = WATER if diluent is None else read_strength(diluent, decimal)
    for strength in (have, want, weaker):
        if isinstance(strength, Complaint):
            return strength
    assert isinstance(have, Component)
    assert isinstance(want, Strength)
    assert isinstance(weaker, Strength)
    if use_up is not None:
        if have.quantity is not None:
            return _wrong(says("from-twice", strength=have.strength.text))
        amount = read_quantity(use_up, decimal is DecimalSign.COMMA, "200 g")
        if isinstance(amount, Complaint):
            return _wrong(says("to-use-up", says=amount.says))
        have = Component(strength=have.strength, quantity=amount)
    return _mixing((have, Component(strength=weaker)), want, obtain, at, decimal, diluting=True)


def read_mixing(
    words: Sequence[str],
    *,
    obtain: str | None = None,
    at: str | None = None,
    decimal: DecimalSign = DecimalSign.POINT,
) -> Mixing | Complaint:
    """Return what strengths, or amounts of strengths, `to` a strength ask for; without `to` the strength is asked.

    >>> [component.strength.text for component in read_mixing(["2.5%", "240 g of 0.25%", "to", "1%"]).components]
    ['2.5 %', '0.25 %']
    """
    sides = _TO.split(tidy(" ".join(words)))
    if len(sides) > 2 or not sides[0].strip() or (len(sides) == 2 and not sides[1].strip()):
        return _wrong(says("mixing-unread", wanted=MIX))
    components: list[Component] = []
    for text in _items(sides[0]):
        component = _component(text, decimal)
        if isinstance(component, Complaint):
            return component
        components.append(component)
    if len(components) < 2:
        return _wrong(says("mixing-of-one", wanted=MIX))
    want = read_strength(sides[1], decimal) if len(sides) == 2 else None
    if isinstance(want, Complaint):
        return want
    return _mixing(tuple(components), want, obtain, at, decimal)


def _items(text: str) -> list[str]:
    """Return the components: each begins with a figure or with water, unless `of`, `in` or the like is before it."""
    items: list[list[str]] = []
    for word in text.split():
        plain = word.rstrip(",;")
        before = items[-1][-1].casefold() if items else ""
        if plain.casefold() in _BETWEEN or not plain:
            continue
        if not items or (_BEGINS.match(plain) and before not in _JOINS):
            items.append([plain])
        else:
            items[-1].append(plain)
    return [" ".join(item) for item in items]


def _component(text: str, decimal: DecimalSign) -> Component | Complaint:
    """Read `240 g of 0.25 %`, or a strength alone."""
    comma = decimal is DecimalSign.COMMA
    match = _LOT.fullmatch(text)
    if match is None:
        strength = read_strength(text, decimal)
        if isinstance(strength, Strength):
            return Component(strength=strength)
        amount = read_quantity(text, comma)
        if isinstance(amount, Quantity):
            return _wrong(says("strength-of-amount", amount=amount.text))
        return strength
    quantity = read_quantity(match[1], comma, "240 g of 0.25 %")
    if isinstance(quantity, Complaint):
        return quantity
    strength = read_strength(match[2], decimal)
    return strength if isinstance(strength, Complaint) else Component(strength=strength, quantity=quantity)


def _mixing(
    components: tuple[Component, ...],
    want: Strength | None,
    obtain: str | None,
    at: str | None,
    decimal: DecimalSign,
    *,
    diluting: bool = False,
) -> Mixing | Complaint:
    strengths = [component.strength for component in components] + ([want] if want else [])
    by = mixed_by(strengths)
    if isinstance(by, Complaint):
        return by
    batch = None if obtain is None else _obtained(obtain, decimal)
    if isinstance(batch, Complaint):
        return batch
    wrong = _unfit(by, strengths, [component.quantity for component in components if component.quantity], batch)
    if wrong:
        return wrong
    at_c = Fraction(20) if at is None else _celsius(at, decimal)
    if isinstance(at_c, Complaint):
        return at_c
    if at is not None and by is not MixedBy.ETHANOL:
        return _wrong(says("temperature-of-ethanol"))
    return Mixing(components=components, want=want, obtain=batch, by=by, at_c=at_c, diluting=diluting)


def _obtained(text: str, decimal: DecimalSign) -> Obtain | Complaint:
    if re.search(r"\bof\b", text):
        return _wrong(says("to-obtain", says=says("supply-to-obtain", text=tidy(text))))
    batch = read_obtain(text, decimal, BATCHES)
    if isinstance(batch, Finding):
        return _wrong(batch.says)
    if batch.times is not None or batch.pieces:
        return _wrong(says("to-obtain", says=says("times-of-what", text=tidy(text), wanted=BATCHES)))
    return batch


# ── What the strengths relate to ──────────────────────────────────────────────────────────────────────────────────


def mixed_by(strengths: Sequence[Strength]) -> MixedBy | Complaint:
    """Return how these strengths are reckoned with; a complaint where they do not relate to one thing.

    Plain water, and 0 %, go with everything.  Beside %vol a % w/w is that of ethanol.  Bare percentages are by weight,
    but not beside others that say what they are of.
    """
    told = [strength for strength in strengths if strength.share or strength.basis]
    bases = {strength.basis for strength in told}
    bare = next((strength for strength in told if strength.basis is None), None)
    if StrengthBasis.VOL in bases:
        vol = next(strength for strength in told if strength.basis is StrengthBasis.VOL)
        by_volume = next(
            (strength for strength in told if strength.basis in (StrengthBasis.WV, StrengthBasis.VV)), None
        )
        if bare:
            return _of_what(bare)
        if by_volume:
            return _beside_vol(by_volume, vol)
        return MixedBy.ETHANOL
    if StrengthBasis.WV in bases or StrengthBasis.VV in bases:
        first = next(strength for strength in told if strength.basis in (StrengthBasis.WV, StrengthBasis.VV))
        if bare:
            return _wrong(says("of-what", figure=bare.text, basis=first.basis or ""))
        other = next((strength for strength in told if strength.basis is not first.basis), None)
        if other:
            return _wrong(says("differ-by-density", one=first.text, other=other.text, basis=first.basis or ""))
        return MixedBy.VOLUME
    return MixedBy.WEIGHT


def _beside_vol(by_volume: Strength, vol: Strength) -> Complaint:
    """Return why a share of the volume does not go with ethanol in %vol; a ratio has no figure to write instead."""
    if by_volume.figure.endswith("%"):
        return _wrong(says("beside-vol", one=by_volume.text, vol=vol.text, figure=by_volume.figure))
    return _wrong(says("ratio-beside-vol", one=by_volume.text, vol=vol.text))


def _of_what(bare: Strength) -> Complaint:
    """Return that a strength beside one in %vol does not say what it relates to."""
    percent = bare.figure.endswith("%")
    return _wrong(says("of-what-beside-vol" if percent else "ratio-of-what-beside-vol", figure=bare.text))


def _unfit(
    by: MixedBy, strengths: Sequence[Strength], quantities: Sequence[Quantity], obtain: Obtain | None
) -> Complaint | None:
    """Return why an amount does not fit the strengths: mL beside w/w, or g beside w/v and v/v."""
    amounts = [(quantity.text, quantity.unit) for quantity in quantities]
    amounts += [(obtain.text, obtain.quantity.unit)] if obtain and obtain.quantity else []
    if by is MixedBy.WEIGHT:
        text = next((text for text, unit in amounts if unit == "mL"), "")
        bare = next((strength.text for strength in strengths if strength.basis is None and strength.share), "")
        if text and bare:
            return _wrong(says("volume-of-bare", amount=text, figure=bare))
        if text:
            return _wrong(says("volume-by-weight", amount=text))
    if by is MixedBy.VOLUME:
        text = next((text for text, unit in amounts if unit == "g"), "")
        if text:
            stated = next(strength.text for strength in strengths if strength.basis)
            return _wrong(says("weight-by-volume", amount=text, strength=stated))
    return None


def _celsius(text: str, decimal: DecimalSign) -> Fraction | Complaint:
    """Read `25 °C`."""
    text = tidy(text)
    if _FAHRENHEIT.fullmatch(text):
        return _wrong(says("fahrenheit", text=text))
    match = _CELSIUS.fullmatch(text)
    if match is None:
        return _wrong(says("no-temperature", text=text))
    number = read_number(match[1], comma=decimal is DecimalSign.COMMA)
    return number if isinstance(number, Complaint) else number.value


def _wrong(told: Saying) -> Complaint:
    return Complaint(says=told, rule="unreadable-mixing")
