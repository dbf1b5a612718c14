"""Strengths that are diluted and mixed: what cannot be read, and what does not go together."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # one strength
    "strength-missing": "No strength is written: write it as in {wanted:such}.",
    "no-strength": "`{text:typed}` is not a strength: write it as in {wanted:such}.",
    "strength-zero": "{text} is nothing: write figures above zero, or `water`.",
    "strength-without-unit": "{number} lacks its unit: write {number} %vol, {number} % w/w or {number} %.",
    "denser-than-whole": "{said} is more than the whole: for a dense liquid write it by weight, as % w/w.",
    "vol-of-percent": "`{text:typed}` is written as a percentage: such as 70 %vol.",
    "volume-of-what": "`{figure} {text:typed}`: write {figure}vol for ethanol, {figure} v/v for another liquid.",
    "strength-tail": "`{text:typed}` after {figure} is left out here: a strength is written alone, as in "
    "{wanted:such}.",
    "strength-basis": "`{text:typed}` after {figure} is not known: write w/w, w/v, v/v or vol.",
    "proof": "`{text:typed}`: proof differs from country to country: write %vol.",
    "degrees": "`{text:typed}`: degrees of alcohol had several scales: write {number} %vol if that is meant.",
    "per-mille": "`{text:typed}` is not read: write % (1 ‰ is 0.1 %) or ppm (1 ppm is 0.0001 %).",
    "weight-in-volume": "`{text:typed}`: write it as % w/v (10 mg/mL is 1 % w/v) or % w/w.",
    "moles": "`{text:typed}` counts moles: write it as % w/v or % w/w.",
    # what is asked of them
    "dilution-unread": "Write what you have, the word `to`, and what you want, as in {wanted:such}.",
    "mixing-unread": "Write the strengths, the word `to`, and what you want, as in {wanted:such}.",
    "mixing-of-one": "One strength alone is not mixed: write two or more, as in {wanted:such}; with water, use dilute.",
    "from-twice": "How much there is of {strength} is written twice: leave --from out.",
    "strength-of-amount": "{amount} lacks its strength: write it as in {amount} of 2.5 %.",
    "supply-to-obtain": "`{text:typed}` names a supply: write an amount alone, such as 500 g.",
    "times-of-what": "`{text:typed}` does not say of what: write an amount, such as {wanted:such}.",
    "temperature-of-ethanol": "A temperature counts for ethanol in %vol only: leave --at out.",
    "fahrenheit": "`{text:typed}` is in degrees Fahrenheit: write degrees Celsius, such as 25 °C.",
    "no-temperature": "`{text:typed}` is not a bench temperature: write it as in 25 °C.",
    # what they relate to
    "of-what": "{figure} of what: write {figure} {basis}.",
    "of-what-beside-vol": "{figure} of what: write {figure}vol or {figure} w/w.",
    "ratio-of-what-beside-vol": "{figure} of what: write it as %vol or {figure} w/w.",
    "beside-vol": "{one} cannot be set beside {vol}: write {figure}vol for ethanol.",
    "ratio-beside-vol": "{one} cannot be set beside {vol}: write it as %vol for ethanol.",
    "differ-by-density": "{one} and {other} differ by a density that is not known here: write both as % w/w or both "
    "as % {basis}.",
    "volume-of-bare": "{amount} is a volume, and {figure} of what: write {figure} w/v or {figure} v/v, or a weight.",
    "volume-by-weight": "{amount} is a volume and the strengths are by weight: write a weight, or % w/v or % v/v.",
    "weight-by-volume": "{amount} is a weight and {strength} relates to a volume; the density is not known here: "
    "write mL, or strengths as % w/w.",
}
"""Name → sentence."""
