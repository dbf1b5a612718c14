"""What is to be diluted or mixed, as it is typed at the bench.

`96%vol to 70%vol`, `2.5% 0.25% to 1%`, `240 g of 0.25%`.  Words in, a `Mixing` or a `Complaint` out: strengths that
relate to different things are refused here, because no figure can be right where `40 %` may be by weight or by volume.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

from ..findings import Finding
from ..model import Component, DecimalSign, MixedBy, Mixing, Obtain, Quantity, Strength, StrengthBasis
from ..units import Complaint, in_sign, read_number
from .amounts import read_quantity, tidy
from .obtain import EXAMPLE, read_obtain
from .strengths import read_strength

DILUTE = "96%vol to 70%vol"
MIX = "2.5% 0.25% to 1%"

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
        return _wrong(f"Write what you have, the word `to`, and what you want, as in {DILUTE}.")
    have = _component(sides[0].strip(), decimal)
    want = read_strength(sides[1], decimal)
    weaker = WATER if diluent is None else read_strength(diluent, decimal)
    for one in (have, want, weaker):
        if isinstance(one, Complaint):
            return one
    assert isinstance(have, Component)
    assert isinstance(want, Strength)
    assert isinstance(weaker, Strength)
    if use_up is not None:
        if have.quantity is not None:
            return _wrong(f"How much there is of {have.strength.text} is written twice: leave --from out.")
        amount = read_quantity(use_up, decimal is DecimalSign.COMMA, "200 g")
        if isinstance(amount, Complaint):
            return _wrong(f"To use up: {amount.message}")
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
    mix = in_sign(MIX, decimal is DecimalSign.COMMA)
    sides = _TO.split(tidy(" ".join(words)))
    if len(sides) > 2 or not sides[0].strip() or (len(sides) == 2 and not sides[1].strip()):
        return _wrong(f"Write the strengths, the word `to`, and what you want, as in {mix}.")
    components: list[Component] = []
    for text in _items(sides[0]):
        component = _component(text, decimal)
        if isinstance(component, Complaint):
            return component
        components.append(component)
    if len(components) < 2:
        return _wrong(f"One strength alone is not mixed: write two or more, as in {mix}; with water, use dilute.")
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
            return _wrong(
                f"{amount.text} lacks its strength: write it as in {amount.text} of {in_sign('2.5 %', comma)}."
            )
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
        return _wrong("A temperature counts for ethanol in %vol only: leave --at out.")
    return Mixing(components=components, want=want, obtain=batch, by=by, at_c=at_c, diluting=diluting)


def _obtained(text: str, decimal: DecimalSign) -> Obtain | Complaint:
    if re.search(r"\bof\b", text):
        return _wrong(f"To obtain: `{tidy(text)[:40]}` names a supply: write an amount alone, such as 500 g.")
    batch = read_obtain(text, decimal)
    if isinstance(batch, Finding):
        return _wrong(batch.message.replace(in_sign(EXAMPLE, decimal is DecimalSign.COMMA), "500 g or 500 mL"))
    if batch.times is not None:
        return _wrong(f"To obtain: `{tidy(text)}` does not say of what: write an amount, such as 500 g or 500 mL.")
    return batch


# ── What the strengths relate to ──────────────────────────────────────────────────────────────────────────────────


def mixed_by(strengths: Sequence[Strength]) -> MixedBy | Complaint:
    """Return how these strengths are reckoned with; a complaint where they do not relate to one thing.

    Plain water, and 0 %, go with everything.  Beside %vol a % w/w is that of ethanol.  Bare percentages are by weight,
    but not beside others that say what they are of.
    """
    told = [one for one in strengths if one.share or one.basis]
    bases = {one.basis for one in told}
    bare = next((one for one in told if one.basis is None), None)
    if StrengthBasis.VOL in bases:
        vol = next(one for one in told if one.basis is StrengthBasis.VOL)
        by_volume = next((one for one in told if one.basis in (StrengthBasis.WV, StrengthBasis.VV)), None)
        if bare:
            return _of_what(bare, "vol", " w/w")
        if by_volume:
            figure = by_volume.text.removesuffix(f" {by_volume.basis}")
            return _wrong(f"{by_volume.text} cannot be set beside {vol.text}: write {_as(figure, 'vol')} for ethanol.")
        return MixedBy.ETHANOL
    if StrengthBasis.WV in bases or StrengthBasis.VV in bases:
        first = next(one for one in told if one.basis in (StrengthBasis.WV, StrengthBasis.VV))
        if bare:
            return _of_what(bare, f" {first.basis}")
        other = next((one for one in told if one.basis is not first.basis), None)
        if other:
            return _wrong(
                f"{first.text} and {other.text} differ by a density that is not known here: write both as % w/w "
                f"or both as % {first.basis}."
            )
        return MixedBy.VOLUME
    return MixedBy.WEIGHT


def _as(figure: str, basis: str) -> str:
    """Return a figure with a basis behind it; one that is no percentage is named by `%` alone."""
    return f"{figure}{basis}" if figure.endswith("%") or basis != "vol" else "it as %vol"


def _of_what(bare: Strength, *bases: str) -> Complaint:
    ways = " or ".join(dict.fromkeys(_as(bare.text, basis) for basis in bases))
    return _wrong(f"{bare.text} of what: write {ways}.")


def _unfit(
    by: MixedBy, strengths: Sequence[Strength], quantities: Sequence[Quantity], obtain: Obtain | None
) -> Complaint | None:
    """Return why an amount does not fit the strengths: mL beside w/w, or g beside w/v and v/v."""
    amounts = [(one.text, one.unit) for one in quantities]
    amounts += [(obtain.text, obtain.quantity.unit)] if obtain and obtain.quantity else []
    if by is MixedBy.WEIGHT:
        text = next((text for text, unit in amounts if unit == "mL"), "")
        bare = next((one.text for one in strengths if one.basis is None and one.share), "")
        if text and bare:
            return _wrong(f"{text} is a volume, and {bare} of what: write {bare} w/v or {bare} v/v, or a weight.")
        if text:
            return _wrong(f"{text} is a volume and the strengths are by weight: write a weight, or % w/v or % v/v.")
    if by is MixedBy.VOLUME:
        text = next((text for text, unit in amounts if unit == "g"), "")
        if text:
            stated = next(one.text for one in strengths if one.basis)
            return _wrong(
                f"{text} is a weight and {stated} relates to a volume; the density is not known here: "
                "write mL, or strengths as % w/w."
            )
    return None


def _celsius(text: str, decimal: DecimalSign) -> Fraction | Complaint:
    """Read `25 °C`."""
    text = tidy(text)
    if _FAHRENHEIT.fullmatch(text):
        return _wrong(f"`{text}` is in degrees Fahrenheit: write degrees Celsius, such as 25 °C.")
    match = _CELSIUS.fullmatch(text)
    if match is None:
        return _wrong(f"`{text[:40]}` is not a bench temperature: write it as in 25 °C.")
    number = read_number(match[1], comma=decimal is DecimalSign.COMMA)
    return number if isinstance(number, Complaint) else number.value


def _wrong(message: str) -> Complaint:
    return Complaint(says=message, rule="unreadable-mixing")
