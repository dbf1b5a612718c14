"""Dilutions and mixtures as text for the terminal and as JSON: what to weigh or measure, and what results.

The exact figures come from `reckon.mixing`; here they get their digits and their words.  In JSON exact values are
strings and what is not known is null with its `why`, as in `weigh --json`.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from textwrap import wrap

from .. import show
from ..findings import Finding, Missing
from ..model import Known, Lot, MixedBy, Strength, StrengthBasis
from ..reckon.mixing import Mixture, Part, vol_share
from ..reckon.percents import parts_per_million, whole_of_one
from ..reckon.wishes import share_of
from .machine import Json, findings_json, hundredfold, value, whys
from .rows import balance_words

NARROWEST, WIDEST = 60, 110
WEAK = Fraction(1, 100)
"""Strengths below this are also said as 1 in n and in ppm."""
TENTH = Fraction(1, 10)
"""Millilitres; a smaller change of volume is not worth a figure."""
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
NOT_ETHANOL = "no strength is in %vol"


# ── Text ──────────────────────────────────────────────────────────────────────────────────────────────────────────


def mixture_text(mixture: Mixture, signs: show.Signs, width: int = WIDEST) -> str:
    """Return what to take of each, then what results, remarks and cautions."""
    columns = max(NARROWEST, min(width, WIDEST))
    parts = [
        wrap(show.written(asked(mixture), signs), columns, subsequent_indent="  "),
        _table(mixture, signs),
        [line for text in remarks(mixture, signs) for line in wrap(text, columns, subsequent_indent="  ")],
        [line for text in cautions(mixture) for line in wrap(text, columns, subsequent_indent="  ")],
    ]
    return "\n\n".join("\n".join(lines) for lines in parts if lines) + "\n"


def asked(mixture: Mixture) -> str:
    """Return what was asked, in one line."""
    mixing = mixture.mixing
    if mixing.diluting:
        have, diluent = mixing.lots
        assert mixing.want is not None
        head = f"Dilute {_lot(have)} to {mixing.want.text}"
        if diluent.strength.text != "water":
            head += f" with {diluent.strength.text}"
    else:
        head = f"Mix {_listed([_lot(lot) for lot in mixing.lots])}"
        if mixing.want is not None:
            head += f" to {mixing.want.text}"
    if mixing.obtain is not None:
        return f"{head}, to obtain {mixing.obtain.text}"
    if any(lot.quantity for lot in mixing.lots):
        return head
    return f"{head}, to obtain 100 {_unit(mixture)} (no amount is asked for)"


def _lot(lot: Lot) -> str:
    return f"{lot.quantity.text} of {lot.strength.text}" if lot.quantity else lot.strength.text


def _listed(words: Sequence[str]) -> str:
    return f"{', '.join(words[:-1])} and {words[-1]}"


def _unit(mixture: Mixture) -> str:
    return "mL" if mixture.mixing.by is MixedBy.VOLUME else "g"


def name_of(strength: Strength, mixture: Mixture) -> str:
    """Return what a lot is called: `ethanol 96 %vol`, `0.25 %`, `water`."""
    ethanol = mixture.mixing.by is MixedBy.ETHANOL and strength.share
    return f"ethanol {strength.text}" if ethanol else strength.text


def _table(mixture: Mixture, signs: show.Signs) -> list[str]:
    """Return a line for each lot and one for all of it; decimals line up, since a column has one number of them."""
    grams = _grams_column(mixture, signs)
    ml = _ml_column(mixture, signs)
    rows = [
        (show.written(name_of(part.strength, mixture), signs), *cells)
        for part, *cells in zip(mixture.parts, grams, ml, map(_with, mixture.parts), strict=False)
    ]
    rows.append(("together", grams[-1], ml[-1], ""))
    widths = [max(len(row[column]) for row in rows) for column in range(4)]
    lines = []
    for name, *cells, with_ in rows:
        shown = [cell.rjust(size) for cell, size in zip(cells, widths[1:3], strict=True) if size]
        lines.append("  ".join(["", name.ljust(widths[0]), *shown, with_]).rstrip())
    return lines


def _with(part: Part) -> str:
    """Return on which balance a part is weighed: `fine balance, in 2 portions`."""
    if part.balance is None:
        return ""
    portions = f", in {show.counted(part.portions, 'portion')}" if part.portions > 1 else ""
    return balance_words(part.balance.name) + portions


def _grams_column(mixture: Mixture, signs: show.Signs) -> list[str]:
    """Return the weights as the balances read them, or as exactly as four decimals say; the sum last."""
    if not isinstance(mixture.grams, Fraction):
        return [""] * (len(mixture.parts) + 1)
    grams = [part.grams for part in mixture.parts if isinstance(part.grams, Fraction)]
    if not isinstance(mixture.metered_g, Fraction):
        places = _places((*grams, mixture.grams), most=4, figures=7)
        return [show.with_unit(show.fixed(one, places, signs), "g") for one in (*grams, mixture.grams)]
    steps = [part.balance.readability_g for part in mixture.parts if part.balance]
    metered = [
        show.weight(part.metered_g, part.balance.readability_g, signs)
        for part in mixture.parts
        if part.balance and isinstance(part.metered_g, Fraction)
    ]
    return [*metered, show.weight(mixture.metered_g, min(steps), signs)]


def _ml_column(mixture: Mixture, signs: show.Signs) -> list[str]:
    """Return the volumes; where water makes up to the mark it says so."""
    if not isinstance(mixture.ml, Fraction):
        return [""] * (len(mixture.parts) + 1)
    known = [part.ml for part in mixture.parts if isinstance(part.ml, Fraction)]
    places = _places((*known, mixture.ml), most=4, figures=5 if mixture.mixing.by is MixedBy.ETHANOL else 4)
    total = show.with_unit(show.fixed(mixture.ml, places, signs), "mL")
    return [
        *(
            f"to {total}" if isinstance(part.ml, Missing) else show.with_unit(show.fixed(part.ml, places, signs), "mL")
            for part in mixture.parts
        ),
        total,
    ]


def _places(values: Sequence[Fraction], most: int, figures: int) -> int:
    """Return one number of decimals for a column: exact where `most` say it, else so many figures of the largest.

    The smallest keeps three figures.
    """
    for places in range(most + 1):
        if all(10**places % one.denominator == 0 for one in values):
            return places
    above = [one for one in values if one]
    wanted = show.decimals(show.significant(max(above), figures))
    return max(min(most, wanted), show.decimals(show.significant(min(above), 3)))


def remarks(mixture: Mixture, signs: show.Signs = show.POINT) -> list[str]:
    """Return what results and what is to be known about it, a sentence or two each."""
    own = _ethanol(mixture, signs) if mixture.mixing.by is MixedBy.ETHANOL else _plain(mixture, signs)
    return [show.glued(text) for text in (*own, *_many(mixture), *_weighing(mixture, signs))]


def _ethanol(mixture: Mixture, signs: show.Signs) -> list[str]:
    mixing = mixture.mixing
    told: dict[str, str] = {}
    for one in (*(lot.strength for lot in mixing.lots), *([mixing.want] if mixing.want else ())):
        if one.share:
            told[show.written(one.text, signs)] = _both(share_of(one, mixing.by), signs, one.basis)
    said = [f"{'; '.join(f'{text} is {other}' for text, other in told.items())} (%vol at 20 °C, % m/m by weight)."]
    if mixing.want is None:
        said.insert(0, f"Gives {_vol(mixture.share, signs)}, {_mass(mixture.share, signs)}.")
    at = show.plain(mixing.at_c, signs)
    if isinstance(mixture.contraction_ml, Fraction) and isinstance(mixture.expansion_ml, Fraction):
        change, verb = mixture.contraction_ml, "shrink"
        if mixture.expansion_ml:
            change, verb = mixture.expansion_ml, "grow"
        by = (
            show.with_unit(show.fixed(change, 2, signs), "mL")
            if change >= TENTH
            else show.stated("less than 0.1 mL", signs)
        )
        shrink = f"mixing makes them {verb} by {by}" if change else "mixing does not change them"
        said.append(f"Volumes at {at} °C; {shrink}, so weigh, and never reckon the water by subtraction.")
    return said


def _both(share: Fraction, signs: show.Signs, basis: StrengthBasis | None) -> str:
    return _mass(share, signs) if basis is StrengthBasis.VOL else _vol(share, signs)


def _mass(share: Fraction, signs: show.Signs) -> str:
    return show.with_unit(show.significant(share * 100, 4, signs), "% m/m")


def _vol(share: Fraction, signs: show.Signs, figures: int = 4) -> str:
    volume = vol_share(share)
    assert isinstance(volume, Fraction)
    return show.with_unit(show.significant(volume * 100, figures, signs), "%vol")


def _plain(mixture: Mixture, signs: show.Signs) -> list[str]:
    mixing = mixture.mixing
    strengths = [*(lot.strength for lot in mixing.lots), *([mixing.want] if mixing.want else [])]
    basis = next((one.basis for one in strengths if one.basis), StrengthBasis.WW)
    said = []
    if mixing.want is None:
        said.append(f"Gives {_percent(mixture.share, signs)} {basis}.")
    if any(one.basis is None and one.share for one in strengths):
        said.append("Bare figures are taken by weight (w/w).")
    if 0 < mixture.share < WEAK:
        whole, ppm = whole_of_one(mixture.share), parts_per_million(mixture.share)
        said.append(
            f"{_percent(mixture.share, signs)} is 1 in {show.plain(whole, signs)}, or {show.plain(ppm, signs)} ppm."
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


def _percent(share: Fraction, signs: show.Signs, figures: int = 4) -> str:
    return show.with_unit(show.plain(share * 100, signs, figures), "%")


def _many(mixture: Mixture) -> list[str]:
    if not mixture.one_of_many or mixture.mixing.want is None:
        return []
    parts = f" in parts {' : '.join(map(str, mixture.ratio))}" if mixture.ratio else ""
    wanted = mixture.mixing.want.text
    told = (
        f"Each stronger lot is paired with each weaker one{parts}; other mixtures give {wanted} as well. Checked by "
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
    if isinstance(mixture.metered_share, Fraction):
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
        least = show.with_unit(show.plain(part.least_g, signs), "g")
        said.append(
            f"{show.written(part.strength.text, signs)}: less than {least}, the least that the "
            f"{balance_words(part.balance.name)} weighs within the accepted error."
        )
    if isinstance(mixture.obtain_at_least, Fraction):
        enough = show.with_unit(show.not_below(mixture.obtain_at_least, signs), "g")
        said.append(f"Make {enough} or more of it, or go by way of a stock dilution in two steps.")
    return said


def cautions(mixture: Mixture) -> list[str]:
    """Return the usual cautions: of ethanol always, of strong acids and alkalis where something strong is diluted."""
    if mixture.mixing.by is MixedBy.ETHANOL:
        return [FLAMMABLE]
    strongest = max(part.strength.share for part in mixture.parts)
    water = any(not part.strength.share for part in mixture.parts)
    return [CAUSTIC] if water and strongest >= STRONG else []


# ── JSON ──────────────────────────────────────────────────────────────────────────────────────────────────────────


def mixture_json(mixture: Mixture) -> Json:
    """Return the answer of `dilute --json` and `mix --json`."""
    mixing = mixture.mixing
    made_up: Known = mixture.ml if mixture.made_up else Missing(reason="nothing is made up to a mark")
    fields: dict[str, Known | None] = {
        "total_g": mixture.grams,
        "metered_total_g": mixture.metered_g,
        "total_ml": mixture.ml,
        "make_up_to_ml": made_up,
        "contraction_ml": mixture.contraction_ml,
        "expansion_ml": mixture.expansion_ml,
        "obtain_at_least_g": mixture.obtain_at_least,
    }
    why = whys(fields)
    if isinstance(mixture.metered_share, Missing):
        why["metered_gives"] = mixture.metered_share.reason
    if mixing.want is None:
        why["want"] = "the amounts are given and the strength is asked"
    if mixing.by is not MixedBy.ETHANOL:
        why["percent_mass"] = why["percent_vol"] = why["at_c"] = NOT_ETHANOL
    return {
        "asked": asked(mixture),
        "by": mixing.by.value,
        "at_c": value(mixing.at_c) if mixing.by is MixedBy.ETHANOL else None,
        "want": None if mixing.want is None else _strength_json(mixing.want, mixture),
        "lines": [_line_json(part, mixture) for part in mixture.parts],
        **{name: value(known) for name, known in fields.items()},
        "gives": _gives_json(mixture.share, mixture),
        "metered_gives": None
        if isinstance(mixture.metered_share, Missing)
        else _gives_json(mixture.metered_share, mixture),
        "one_of_many": mixture.one_of_many,
        "ratio": list(mixture.ratio),
        "remarks": remarks(mixture),
        "cautions": cautions(mixture),
        "why": why,
        "findings": [],
    }


def _strength_json(strength: Strength, mixture: Mixture) -> Json:
    """Return a strength as written, and of ethanol in both ways."""
    basis = strength.basis.value if strength.basis else StrengthBasis.WW.value
    answer = {"text": strength.text, "percent": hundredfold(strength.share), "of": basis}
    both = _gives_json(share_of(strength, mixture.mixing.by), mixture)
    if strength.basis is StrengthBasis.VOL:
        both["percent_vol"] = hundredfold(strength.share)  # as written, not there and back through the tables
    return answer | {name: both[name] for name in ("percent_mass", "percent_vol")}


def _gives_json(share: Fraction, mixture: Mixture) -> Json:
    ethanol = mixture.mixing.by is MixedBy.ETHANOL
    return {
        "percent": hundredfold(share),
        "percent_mass": hundredfold(share) if ethanol else None,
        "percent_vol": hundredfold(vol_share(share)) if ethanol else None,
    }


def _line_json(part: Part, mixture: Mixture) -> Json:
    fields: dict[str, Known | None] = {
        "grams": part.grams,
        "metered_g": part.metered_g,
        "ml": part.ml,
        "least_g": part.least_g,
    }
    why = whys(fields)
    if part.balance is None:
        why["with"] = part.metered_g.reason if isinstance(part.metered_g, Missing) else ""
    place = mixture.parts.index(part)
    return {
        "name": name_of(part.strength, mixture),
        "strength": _strength_json(part.strength, mixture),
        "measure": "weigh"
        if isinstance(part.grams, Fraction)
        else "volume"
        if isinstance(part.ml, Fraction)
        else "fill",
        **{name: value(known) for name, known in fields.items()},
        "with": part.balance.name if part.balance else None,
        "portions": part.portions,
        "too_small": part.too_small,
        "shown": (_grams_column(mixture, show.POINT)[place] or _ml_column(mixture, show.POINT)[place]).replace(
            show.THIN, " "
        ),
        "why": why,
    }


def unreadable_json(reason: str, findings: Sequence[Finding]) -> Json:
    """Return the answer where the workroom cannot be read: no lines, the reason, the findings."""
    return {"lines": [], "why": {"lines": reason}, "findings": findings_json(findings)}
