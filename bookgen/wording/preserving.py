"""What keeps water from spoiling: alcohol, sugar, salt, preservatives, and what is mistaken for one."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # what decides
    "keeping-unknown": "whether it can spoil is not known: {why}",
    "keeping-dry": "too little water for germs to grow: less than 1 % of free water (own choice, no source)",
    "keeping-wetted": "water enters in use, so dryness alone does not keep it",
    "keeping-nothing": "nothing that could be reckoned keeps its water from spoiling",
    "keeping-unreckoned": "what alcohol, sugar, glycerol or salt do for its water is not reckoned: {why}",
    "keeping-by-formula": "kept by {what:and}, as the formula says: {because:whole}",
    "kept-by-alkali": "kept by alkali: pH {ph}, where little grows from pH {least} on ({source:listed})",
    "kept-by-salt": "kept by salt: {share:percent beside least} of salt and water, from {least:percent} on "
    "({source:listed})",
    "kept-by-sugar": "kept by sugar: {share:percent beside least} of sugar and water, from {least:percent} on, as much "
    "as in syrup ({source:listed})",
    "kept-by-holding": "kept by what holds its water: sugar 450 mL for 850 g, glycerol its own volume "
    "({source:listed}); yeasts and moulds may still grow",
    "kept-by-alcohol": "kept by alcohol: {share:percent beside least} by volume of it and free water, from "
    "{least:percent} on ({source:listed})",
    "kept-by-glycol": "kept by propylene glycol: {share:percent beside least} by volume of it and free "
    "water, from {least:percent} on, counted as alcohol ({source:listed})",
    "kept-by-both": "kept by alcohol and propylene glycol: {share:percent beside least} by volume of them and free "
    "water, from {least:percent} on ({source:listed})",
    "water-activity": "water activity about {estimate:2 decimals}, an estimate from {names:substances} that decides "
    "nothing ({sources:listed}): most bacteria stop growing below {bacteria:2 decimals}, many yeasts below "
    "{yeasts:2 decimals}, most moulds below {moulds:2 decimals}, all below {all:2 decimals} ({growth:listed})",
    "water-activity-most": "water activity about {estimate:2 decimals} or less, an estimate from {names:substances} "
    "that decides nothing ({sources:listed}): most bacteria stop growing below {bacteria:2 decimals}, many yeasts "
    "below {yeasts:2 decimals}, most moulds below {moulds:2 decimals}, all below {all:2 decimals} ({growth:listed})",
    # the same in a few words
    "keeps": "{what:and}",
    "keeps-by-formula": "{what:and}, as the keeper has it: {because:whole}",
    "keeps-as-usual": "{names:substances}, at the usual share and pH",
    "keeps-together": "{names:substances} together",
    "keeps-in-doubt": "{names:substances}, in doubt",
    "keeps-by-word": "{names:and}, which is called a preservative",
    # preservatives
    "preservative-works": "{names:substances} {share:percent}{form}: reaches its usual share ({least:percent} to "
    "{most:percent}) and is in its working pH ({works}){ph}{free} ({source:listed})",
    "preservative-little": "{names:substances} {share:percent beside least}{form}: too little, its usual share is "
    "{least:percent} to {most:percent} ({source:listed})",
    "preservative-taken-up": "{names:substances} {share:percent}{form}: taken up by {takers:substances}, so less of it "
    "preserves{memory}",
    "preservative-partner": "{names:substances} {share:percent}{form}: supports a preservative and is none by itself "
    "({source:listed})",
    "preservative-ph-unwritten": "{names:substances}: cannot be judged, as it works {works} and no pH is written "
    "({source:listed})",
    "preservative-ph-beyond": "{names:substances} {share:percent}{form}: outside its working pH ({works}){ph}{free} "
    "({source:listed})",
    "preservative-ph-crosses": "{names:substances} {share:percent}{form}: perhaps outside its working pH "
    "({works}){ph}{free} ({source:listed})",
    "preservative-unknown": "{names:substances}: its share is not known, so it is not judged ({source:listed})",
    "preservative-by-word": "{name}: called a preservative, but no table of preservatives here lists it{free}",
    "acid-by-word": "; at pH {ph} at most {most:within} of it is undissociated, with pKa {pkas:and} of its file",
    "acid-by-word-between": "; at pH {low} to {high} at most {least:within} to {most:within} of it is undissociated, "
    "with pKa {pkas:and} of its file",
    "preservative-mistaken": "{name}: not known to preserve, as {why:listed} ({source:listed})",
    "preservatives-together": "{names:substances}: each below its usual share, together as much as one of them at it "
    "(own choice, no source)",
    "keeping-source": "{sources:listed}",
    "keeping-from-memory": " (from memory)",
    "works-up-to": "up to pH {most}",
    "works-between": "pH {least} to {most}",
    "at-ph": ", here {ph:stated}",
    "at-ph-between": ", here {low:stated} to {high:stated}",
    "ph-taken": ", taken as {low} to {high} as none is written",
    "undissociated": ", of which at most {most:within} is undissociated, the part that works{of_file}",
    "undissociated-between": ", of which at most {least:within} to {most:within} is undissociated, the part that "
    "works{of_file}",
    "pka-of-file": ", with pKa {pkas:and} of its file",
    "acid-drawn": "by pH: at {ph} at most {most:within} undissociated{shaded}",
    "acid-drawn-between": "by pH: from {low} to {high} at most {least:within} to {most:within} undissociated{shaded}",
    "acid-shaded": "; shaded, it works {works}",
    # findings
    "preservative-found": "{judged}; {todo}.",
    "preservative-fails": "{judged}; {todo}, or {otherwise}.",
    "mistaken-in-line": "{name} in line {line} is not known to preserve: {why:whole} ({source:whole}); {asked}",
    "mistaken-found": "{name} is not known to preserve: {why:whole} ({source:whole}); take another preservative, "
    "or write what it does instead.",
    "preservative-without-ph": "whether {names:and} {count:~preserves/preserve} it cannot be judged without its pH; "
    "write `pH:`.",
    "write-ph-or-change": "mend the pH, or take a preservative that works at it",
    "use-more-preservative": "use more of it, or another",
    "use-other-preservative": "take another preservative, or take out what takes it up",
    "add-preservative": "add a preservative to it",
    "unknown-preservative": "a preservative in {code} that no table of preservatives here lists, so its share and pH "
    "are not judged; write what it is as `known as:`, or `known as: nothing listed`.",
    "preserved-by-word": "nothing that could be reckoned keeps its water from spoiling; {what:and} "
    "{count:~does/do}, as written: {because:whole}.",
    "write-preserved-because": "`preserved by:` has no reason, so write how it is known as "
    "`{{what: {what:list}, because: …}}`, or {otherwise}.",
    "strong-without-ph": "nothing grows in so much {names:and} (common practice), but nothing written says so: {way}.",
    "strong-write-ph": "measure its pH and write it as `pH:`; from pH 10 on, alkali keeps it",
    "strong-write-preserved": "write how long it stays strong as `preserved by: {{what: preservative, because: …}}`",
    "water-enters-in-use": "water enters in use and nothing preserves it; add a preservative, or fill it so that no "
    "water gets in.",
}
"""Name → sentence."""
