"""Whether a product holds together: what dissolves in what, and what carries oil into water."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # how much dissolves
    "solute-all": "{names:substances}: {amount:beside most} g to 100 g of {solvents:listed}; up to {most:beside "
    "amount} g dissolves{celsius} ({source:listed})",
    "solute-beyond": "{names:substances}: {amount:beside most} g to 100 g of {solvents:listed}, of which only "
    "{most:beside amount} g dissolves{celsius} ({source:listed})",
    "solute-crosses": "{names:substances}: up to {amount:least} g to 100 g of {solvents:listed}, of which perhaps only "
    "{least:beside amount} g dissolves{celsius} ({source:listed})",
    "acid-all": "{ph} {names:substances} {count:~gives/give} {amount:beside most} g of free {acid:listed} to 100 g of "
    "{solvents:listed}; up to {most:beside amount} g dissolve{celsius} ({source:listed})",
    "acid-beyond": "{ph} {names:substances} {count:~gives/give} {amount:beside most} g of free {acid:listed} to 100 g "
    "of {solvents:listed}, and only {most:beside amount} g dissolve{celsius} ({source:listed})",
    "acid-crosses": "{ph} {names:substances} {count:~gives/give} up to {amount:least} g of free {acid:listed} to 100 "
    "g of {solvents:listed}, and perhaps only {least:beside amount} g dissolve{celsius} ({source:listed})",
    "solute-at": " at {celsius} °C",
    "solute-of-file": "as its file says",
    "solute-of-table": "{source:listed}",
    "at-one-ph": "at pH {ph:stated}{of_file}",
    "at-these-ph": "at pH {low:stated} to {high:stated}{of_file}",
    "at-pka-of-file": ", with pKa {pkas:and} of its file,",
    "solute-unknown": "{names:substances}: whether all of it dissolves is not judged, as {why}",
    "acid-unknown": "free {acid:listed} from {names:substances}: whether all of it dissolves is not judged, as {why}",
    "solute-amount-unknown": "its amount is not known: {why}",
    "solute-reacts": "{others:and} {count:~makes/make} a salt of it",
    "solute-raised": "{others:and} {count:~keeps/keep} more of it dissolved",
    "solute-carried": "what carries oil into water takes it up as well",
    "solute-elsewhere": "other liquids in it take it up as well",
    "solute-without-figure": "how much of it dissolves in water at room temperature is not known",
    "solute-water-unknown": "how much water is in it is not known",
    "acid-needs-ph": "how much of it is free acid depends on the pH; write `pH:`",
    "solutes-together": "{names:substances} would each dissolve alone, but together they need {wants:beside there} g "
    "of water and there are {there} g ({sources:listed})",
    # findings
    "more-than-dissolves": "{told}; use less of it or more {solvents:listed}: warming does not help, as the rest comes "
    "out when it is cold.{solid}",
    "left-solid": " Where it is meant to stay undissolved, call it `scrub` or `filler` in its line.",
    "more-acid-than-dissolves": "{told}; raise the pH or use less of it: warming does not help, as the rest comes out "
    "when it is cold.",
    "want-more-water": "{told}: crystals may form; use less of them or more water.",
    # oil and water
    "carried-called": "oil and water: {names:and 3} {count:~carries/carry} the one into the other; whether that holds "
    "is not judged",
    "carried-soap": "oil and water: alkali makes soap of the fat, which carries the one into the other",
    "carried-shaken": "oil and water: they part and are shaken before use, as `purpose:` says",
    "carried-ethanol": "oil and water: there is ethanol enough to dissolve the oil (from 50 % by volume of ethanol and "
    "water on, common practice)",
    "carried-water": "oil and water: there is as little oil as the water dissolves by itself (0.05 % of aromatic oils, "
    "as in aromatic waters, or what `left:` says)",
    "carried-oil": "oil and water: there is as little water as `left:` says",
    "carried-gel": "oil and water: it is thickened, and up to 1 % of oil stays where it is (common practice)",
    "carried-powder": "oil and water: there is powder enough to hold them together (from 20 % on, common practice)",
    "oil-floats": "{names:and 3} ({share:percent}) {count:~does/do} not dissolve in water, and nothing carries "
    "{count:~it/them}",
    "water-parts": "{names:and 3} ({share:percent}) {count:~does/do} not dissolve in oil, and nothing carries "
    "{count:~it/them}",
    "carry-oil": "{told}, so {count:~it floats/they float}; add a solubiliser or an emulsifier and call it so in "
    "its line{ethanol}, or write `two-phase` in `purpose:` where it is shaken before use.",
    "carry-with-ethanol": ", take ethanol enough",
    "carry-water": "{told}, so {count:~it separates/they separate}; leave {count:~it/them} out, or add an "
    "emulsifier and call it so in its line.",
}
"""Name → sentence."""
