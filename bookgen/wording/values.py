"""Values that are written as one text: choices, periods, dates, shares, weighings, pH and density."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # choices
    "write-one": " Write {names:or}.",
    "no-choice": "`{text:typed}` is not one of the choices.{hint}",
    "no-use": "`{text:typed}` is not a use, a place or a person.{hint}",
    "intermediate-alone": "`intermediate` is written alone: an intermediate has no place and no person of its own.",
    "leave-on-or-rinse-off": "It is either leave-on or rinse-off.",
    "no-yes-or-no": "`{text:typed}` is neither yes nor no.",
    "no-language": "`{text:typed}` is not a language code: write one such as en or de-CH.",
    "place-first": "{says} The place of storage comes first.",
    # codes and file names
    "bad-code": "`{name:typed}` {why}",
    "bad-base": "`{name:typed}` names no issue: write `{code}`, or one of its issues as in `{code}@3`.",
    "name-of-device": "is kept for a device by some systems, so no page can be called so: write another, such as "
    "{name}-1.",
    "name-too-long": "is longer than {most} characters.",
    "name-letters": "may hold only the letters a to z, digits and hyphens.",
    # numbers, weights and shares
    "no-whole-number": "{number:stated} is not a whole number of 1 or more.",
    "volume-for-weight": "{text} is a volume: write a weight, such as {wanted:such}.",
    "substance-of-share": "`as {substance:typed}` does not belong here: write the share alone, such as {wanted:such}.",
    "range-of-one-end": "`{text:typed}` lacks an end: write both, as in {wanted:such}.",
    "ends-differ": "The two ends of `{text:typed}` relate to different things: write both alike, as in {wanted:such}.",
    "no-share-by-weight": "`{text:typed}` is not a share by weight: write one, such as {wanted:such}.{ethanol}",
    "ethanol-by-volume": " Only ethanol is given by volume too, as in `ethanol: 96 %vol`.",
    "no-weighing": "`{text:typed}` is not a weighing: write it as in 20 drops 0.52 g.",
    "not-between": "{stated} is not between {low} and {high}.",
    # periods and dates
    "not-a-period": "`{text:typed}` is not a period: write {wanted:such}.",
    "period-zero": "{said} is not a period: write a number above zero.",
    "period-broken": "{said}: whole days or months are wanted.",
    "period-too-long": "{said} is longer than a life: write a shorter period.",
    "period-early": "`{text:typed}` comes before the container: the period comes last.",
    "no-date": "`{text:typed}` is not a date: write it as in 2026-04-03, 2026-04 or 2026.",
    "date-of-others": "`{text}` is not a date here: write {wanted:or}.",
    "no-such-year": "{date}: there is no year 0.",
    "no-such-month": "{date}: there is no month {month}.",
    "no-such-day": "{date}: there is no day {day} in that month.",
    # pH
    "no-such-ph": "pH {number:stated} does not exist: pH is 0 to 14.",
    "range-backwards": "The range ends below its beginning: write {low} to {high}.",
    "no-such-pka": "pKa {number:stated} is none of a weak acid in water: write one from 0 to 14.",
    "pka-backwards": "{number:stated} comes behind {before:stated}: write the pKa of one acid, from the lowest on.",
    "ph-without-figure": "`{text:typed}` has no figure: write it as in `q.s. to pH 4.8 (about 1.6 g)`.",
    "about-in-brackets": "`{text:typed}` belongs in brackets: write it as in `q.s. to pH 4.8 (about 1.6 g)`.",
    # how much dissolves
    "solubility-percent": "`{text:typed}` may be of the solution or of the solvent: write how many grams 100 g of the "
    "solvent dissolve, such as {wanted:such}.",
    "solubility-parts": "`{text:typed}` counts parts: write how many grams 100 g of the solvent dissolve, "
    "{grams:3 figures} g.",
    "solubility-none": "`{text:typed}` has no figure: write {wanted:such}.",
    "solubility-free": "`{text:typed}` has no figure: write how many grams 100 g of the solvent dissolve, such as "
    "{wanted:such}, or name the solvent under `soluble:` alone.",
    # density
    "density-tail": "`{text:typed}` is not understood: write it as in {wanted:such}.",
    "gravity-tail": "`{text:typed}` is not understood: write it as in {wanted:such}, a specific gravity as in "
    "{gravity:such}.",
    "incompatible-wanted": "a name, or `name: what happens`, is expected here.",
    "hlb-impossible": "an HLB of {number:stated} is not on the scale of nonionic emulsifiers: write one above 0 "
    "and up to {most}.",
    "length-wanted": "`{text:typed}` is no length: write millimetres, as in 63.5 mm.",
    "length-impossible": "{number:stated} mm is impossible: write millimetres above 0 and up to {most} mm.",
    "labels-too-wide": "{count} labels side by side reach {takes} mm; {paper} is {most} mm wide.",
    "labels-too-high": "{count} labels below each other reach {takes} mm; {paper} is {most} mm high.",
    "heat-wanted": "`{text:typed}` is no temperature: write it as in 40 °C.",
    "heat-impossible": "{number:stated} °C is impossible: write degrees above 0 and up to {most} °C.",
    "density-impossible": "A density of {number} g/mL is impossible: write grams per millilitre.",
    "gravity-with-unit": "A specific gravity has no unit: write {number:stated} at {at:stated}/{water:stated} °C, or "
    "{number:stated} g/mL at {at:stated} °C if it is grams per millilitre.",
    "gravity-of-what-water": "The density of water is known from {low} to {high} °C, not at {at} °C: write the "
    "density in g/mL.",
}
"""Name → sentence."""
