"""Dilutions and mixtures as text for the terminal: what to weigh or measure, and what results.

The exact figures come from `reckon.mixing`; here they get their digits and their words.
"""

from __future__ import annotations

from collections.abc import Sequence

from .. import show
from ..findings import Missing
from ..fraction import Fraction
from ..model import Component, MixedBy, Strength, StrengthBasis
from ..reckon.measure import half_up
from ..reckon.mixing import Mixture, MixturePart, vol_share
from ..reckon.percents import parts_per_million, whole_of_one
from ..reckon.wishes import share_of
from ..shown.shelf import LAW_SHORT
from ..shown.table import balance_words
from .columns import WIDEST, side_by_side, wrapped

WEAK = Fraction(1, 100)
"""Strengths below this are also said as 1 in n and in ppm."""
TENTH = Fraction(1, 10)
"""Millilitres; a smaller change of volume is not worth a figure."""
FAR_MORE = 100
"""Times as much as is asked for; more than that is no advice."""
STRONG = Fraction(1, 10)
"""From this strength on the caution about strong acids and alkalis is said."""

FLAMMABLE = (
    "Ethanol is highly flammable: no flame, no hot plate, fresh air. Local law and the duty on it decide what may be "
    "made, kept or passed on."
)
CAUSTIC = (
    "If it is a strong acid or alkali: it goes slowly into the water, never water onto it; goggles and gloves, and "
    "keep it from eyes and broken skin."
)


# ── Text ──────────────────────────────────────────────────────────────────────────────────────────────────────────


def mixture_text(mixture: Mixture, signs: show.Signs, width: int = WIDEST) -> str:
    """Return what to take of each, then what results, remarks and cautions."""
    parts = [
        wrapped(show.written(asked(mixture), signs), 2, width),
        _table(mixture, signs),
        [line for text in remarks(mixture, signs) for line in wrapped(text, 2, width)],
        [line for text in cautions(mixture) for line in wrapped(text, 2, width)],
        wrapped(LAW_SHORT, 0, width),
    ]
    return "\n\n".join("\n".join(lines) for lines in parts if lines) + "\n"


def asked(mixture: Mixture) -> str:
    """Return what was asked, in one line."""
    mixing = mixture.mixing
    if mixing.diluting:
        have, diluent = mixing.components
        assert mixing.want is not None
        head = f"Dilute {_component(have)} to {mixing.want.text}"
        if diluent.strength.text != "water":
            head += f" with {diluent.strength.text}"
    else:
        head = f"Mix {show.listing([_component(component) for component in mixing.components])}"
        if mixing.want is not None:
            head += f" to {mixing.want.text}"
    if mixing.obtain is not None:
        return f"{head}, to obtain {mixing.obtain.text}"
    if any(component.quantity for component in mixing.components):
        return head
    return f"{head}, to obtain 100 {_unit(mixture)} (no amount is asked for)"


def _component(component: Component) -> str:
    return f"{component.quantity.text} of {component.strength.text}" if component.quantity else component.strength.text


def _unit(mixture: Mixture) -> str:
    return "mL" if mixture.mixing.by is MixedBy.VOLUME else "g"


def name_of(strength: Strength, mixture: Mixture) -> str:
    """Return what a component is called: `ethanol 96 %vol`, `0.25 %`, `water`."""
    ethanol = mixture.mixing.by is MixedBy.ETHANOL and strength.share
    return f"ethanol {strength.text}" if ethanol else strength.text


def _table(mixture: Mixture, signs: show.Signs) -> list[str]:
    """Return a line for each component and one for all; a column has one number of decimals, so they line up."""
    grams = grams_column(mixture, signs)
    ml = ml_column(mixture, signs)
    rows = [
        (show.written(name_of(part.strength, mixture), signs), *cells)
        for part, *cells in zip(mixture.parts, grams, ml, map(_with, mixture.parts), strict=False)
    ]
    rows.append(("together", grams[-1], ml[-1], ""))
    return side_by_side(rows, {0, 3})


def _with(part: MixturePart) -> str:
    """Return on which balance a part is weighed: `fine balance, in 2 portions`; or that it is too little for it."""
    if part.balance is None:
        return ""
    if part.too_small:
        return f"too little for the {balance_words(part.balance.name)}"
    portions = f", in {show.counted(part.portions, 'portion')}" if part.portions > 1 else ""
    return balance_words(part.balance.name) + portions


def grams_column(mixture: Mixture, signs: show.Signs) -> list[str]:
    """Return the weights as the balances read them, or as exactly as four decimals say; the sum last."""
    if not isinstance(mixture.grams, Fraction):
        return [""] * (len(mixture.parts) + 1)
    grams = [part.grams for part in mixture.parts if isinstance(part.grams, Fraction)]
    if not isinstance(mixture.metered_g, Fraction):
        places = _places((*grams, mixture.grams), show.Fine.MIXED_G)
        return [_cell(grams_of, places, "g", signs) for grams_of in (*grams, mixture.grams)]
    steps = [part.balance.readability_g for part in mixture.parts if part.balance]
    total = show.weight(mixture.metered_g, min(steps), signs)
    if mixture.metered_g != mixture.grams and any(part.too_small for part in mixture.parts):
        total = show.with_unit(show.plain(mixture.grams, signs), "g")  # of exact weights, never a sum that rounds to 0
    return [*(_weight(part, signs) for part in mixture.parts), total]


def _weight(part: MixturePart, signs: show.Signs) -> str:
    """Return what the balance reads; of what is too little for it the exact weight, lest it be weighed as nothing."""
    assert part.balance is not None
    assert isinstance(part.metered_g, Fraction)
    assert isinstance(part.grams, Fraction)
    if part.too_small:
        return show.with_unit(show.plain(part.grams, signs), "g")
    return show.weight(part.metered_g, part.balance.readability_g, signs)


def ml_column(mixture: Mixture, signs: show.Signs) -> list[str]:
    """Return the volumes; where water makes up to the mark it says so."""
    if not isinstance(mixture.ml, Fraction):
        return [""] * (len(mixture.parts) + 1)
    known = [part.ml for part in mixture.parts if isinstance(part.ml, Fraction)]
    ethanol = mixture.mixing.by is MixedBy.ETHANOL
    places = _places((*known, mixture.ml), show.Fine.ETHANOL_ML if ethanol else show.Fine.MIXED_ML)
    total = _cell(mixture.ml, places, "mL", signs)
    cells = [
        f"to {total}" if isinstance(part.ml, Missing) else _cell(part.ml, places, "mL", signs) for part in mixture.parts
    ]
    return [*cells, total]


def _cell(value: Fraction, places: int, unit: str, signs: show.Signs) -> str:
    """Return an amount with the decimals of its column; one that these would hide keeps two figures."""
    digits = show.fixed(value, places, signs)
    hidden = value and half_up(value, Fraction(1, 10**places)) == 0
    return show.with_unit(show.significant(value, show.Fine.ERROR, signs) if hidden else digits, unit)


def _places(values: Sequence[Fraction], figures: int) -> int:
    """Return one number of decimals for a column: exact where few say it, else so many figures of the largest.

    The smallest keeps three figures, as far as so many decimals go.
    """
    most = show.Fine.COLUMN
    for places in range(most + 1):
        if all(10**places % value.denominator == 0 for value in values):
            return places
    above = [value for value in values if value]
    largest = show.decimals(show.significant(max(above), figures))
    return min(most, max(largest, show.decimals(show.significant(min(above)))))


def remarks(mixture: Mixture, signs: show.Signs = show.POINT) -> list[str]:
    """Return what results and what is to be known about it, a sentence or two each."""
    own = _ethanol(mixture, signs) if mixture.mixing.by is MixedBy.ETHANOL else _plain(mixture, signs)
    return [show.glued(text) for text in (*own, *_many(mixture), *_weighing(mixture, signs))]


def _ethanol(mixture: Mixture, signs: show.Signs) -> list[str]:
    mixing = mixture.mixing
    told: dict[str, str] = {}
    for strength in (*(component.strength for component in mixing.components), *([mixing.want] if mixing.want else ())):
        if strength.share:
            told[show.written(strength.text, signs)] = _both(share_of(strength, mixing.by), signs, strength.basis)
    said = [f"{'; '.join(f'{text} is {other}' for text, other in told.items())} (%vol at 20 °C, % w/w by weight)."]
    if mixing.want is None:
        said.insert(0, f"Gives {_vol(mixture.share, signs)}, {_mass(mixture.share, signs)}.")
    at = show.plain(mixing.at_c, signs)
    if isinstance(mixture.contraction_ml, Fraction) and isinstance(mixture.expansion_ml, Fraction):
        change, verb = mixture.contraction_ml, "shrink"
        if mixture.expansion_ml:
            change, verb = mixture.expansion_ml, "grow"
        by = (
            show.with_unit(show.fixed(change, show.Fine.CHANGE, signs), "mL")
            if change >= TENTH
            else show.stated("less than 0.1 mL", signs)
        )
        shrink = f"mixing makes them {verb} by {by}" if change else "mixing does not change them"
        said.append(f"Volumes at {at} °C; {shrink}, so weigh, and never reckon the water by subtraction.")
    return said


def _both(share: Fraction, signs: show.Signs, basis: StrengthBasis | None) -> str:
    return _mass(share, signs) if basis is StrengthBasis.VOL else _vol(share, signs)


def _mass(share: Fraction, signs: show.Signs) -> str:
    return show.with_unit(show.significant(share * 100, show.Fine.STRENGTH, signs), "% w/w")


def _vol(share: Fraction, signs: show.Signs, figures: int = show.Fine.STRENGTH) -> str:
    volume = vol_share(share)
    assert isinstance(volume, Fraction)
    return show.with_unit(show.significant(volume * 100, figures, signs), "%vol")


def _plain(mixture: Mixture, signs: show.Signs) -> list[str]:
    mixing = mixture.mixing
    strengths = [*(component.strength for component in mixing.components), *([mixing.want] if mixing.want else [])]
    basis = next((strength.basis for strength in strengths if strength.basis), StrengthBasis.WW)
    said = []
    if mixing.want is None:
        said.append(f"Gives {_percent(mixture.share, signs)} {basis}.")
    if any(strength.basis is None and strength.share for strength in strengths):
        said.append("Bare figures are taken by weight (w/w); for ethanol by volume write 96%vol.")
    if 0 < mixture.share < WEAK:
        whole, ppm = whole_of_one(mixture.share), parts_per_million(mixture.share)
        said.append(
            f"{_percent(mixture.share, signs)} {basis} is 1 in {show.plain(whole, signs)}, or "
            f"{show.plain(ppm, signs)} ppm."
        )
    if mixing.by is MixedBy.VOLUME:
        if mixture.made_up:
            said.append(
                "Measure, then make up to the mark with the water: volumes do not add up exactly, so the water is not "
                "measured."
            )
        else:
            said.append("The volumes are taken to add up; measured, they may differ a little.")
        if basis is StrengthBasis.VV:
            said.append("If this is ethanol, write %vol: it shrinks with water, and the answer is then by weight.")
    return said


def _percent(share: Fraction, signs: show.Signs, figures: int = show.Fine.STRENGTH) -> str:
    return show.with_unit(show.plain(share * 100, signs, figures), "%")


def _many(mixture: Mixture) -> list[str]:
    if not mixture.one_of_many or mixture.mixing.want is None:
        return []
    parts = f" in parts {' : '.join(map(str, mixture.ratio))}" if mixture.ratio else ""
    wanted = mixture.mixing.want.text
    told = (
        f"Each stronger one is paired with each weaker one{parts}; other mixtures give {wanted} as well. Checked by "
        "alligation medial."
    )
    return [told]


def _weighing(mixture: Mixture, signs: show.Signs) -> list[str]:
    """Return what the metered weights give, and what is too small for its balance."""
    if not isinstance(mixture.grams, Fraction):
        return []
    if not isinstance(mixture.metered_g, Fraction):
        return ["No balance is stated, so the weights are not rounded to the steps of one."]
    said = []
    weighed = all(part.metered_g and not part.too_small for part in mixture.parts)
    if isinstance(mixture.metered_share, Fraction) and weighed:
        if mixture.mixing.by is MixedBy.ETHANOL:
            said.append(f"As weighed: {_vol(mixture.metered_share, signs, 5)}, {_mass(mixture.metered_share, signs)}.")
        else:
            said.append(f"As weighed: {_percent(mixture.metered_share, signs)}.")
    small = [part for part in mixture.parts if part.too_small]
    if not small:
        return said
    for part in small:
        assert part.balance is not None
        assert isinstance(part.least_g, Fraction)
        least = show.with_unit(show.not_below(part.least_g, signs), "g")
        said.append(
            f"{show.written(part.strength.text, signs)}: less than {least}, the least that the "
            f"{balance_words(part.balance.name)} weighs within the accepted error."
        )
    instead = _instead(mixture, small, signs)
    return [*said, instead] if instead else said


def _instead(mixture: Mixture, small: Sequence[MixturePart], signs: show.Signs) -> str:
    """Return what to do about parts that are too small: more of it, or two steps where it is not the diluent."""
    ways = []
    needed = mixture.obtain_at_least
    if isinstance(needed, Fraction) and isinstance(mixture.grams, Fraction) and needed <= FAR_MORE * mixture.grams:
        ways.append(f"make {show.with_unit(show.not_below(needed, signs), 'g')} or more of it")
    if any(part.share > mixture.share for part in small):
        ways.append("dilute in two steps, by way of a weaker stock")
    return show.sentence(", or ".join(ways))


def cautions(mixture: Mixture) -> list[str]:
    """Return the usual cautions: of ethanol always, of strong acids and alkalis where something strong is diluted."""
    if mixture.mixing.by is MixedBy.ETHANOL:
        return [FLAMMABLE]
    strongest = max(part.strength.share for part in mixture.parts)
    water = any(part.strength.text == "water" for part in mixture.parts)
    return [CAUSTIC] if water and strongest >= STRONG else []
