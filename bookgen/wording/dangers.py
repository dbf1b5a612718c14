"""Dangers that need no law: what burns, must be sterile, must never meet, is too strong, too hot or breathed in."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # what burns skin
    "burns-by-ph": "pH {ph} burns skin{by}; dilute it, or correct `pH:` or `use:`.",
    "burns-by": " ({names:and})",
    "burns-by-strength": "{names:and} {share:percent} {count:~burns/burn} skin (from about {least:percent}, "
    "{known:listed}); {way}.",
    "burn-thin": "use less of it",
    "burn-thin-or-ph": "use less of it, or write the `pH:` where something takes it up",
    "burning-not-judged": "there may be enough of {names:and} in it to burn skin, and how much by weight is not known; "
    "{way}.",
    "burning-weigh": "write `density:`",
    "burning-weigh-or-ph": "write `density:`, or the `pH:` where something takes it up",
    "burns-unless": "{names:and} {share:percent} {count:~burns/burn} skin unless the rest takes {count:~it/them} up; "
    "measure and write its `pH:`.",
    "at-lightest": "write `density:`; at {lightest} g/mL, the lightest that is likely: {told}",
    "ph-for-skin": "it stays on skin at pH {ph}, and skin bears {low} to {high} for long (common practice); is that "
    "meant?",
    "fruit-acids": "{share:percent} of {names:and} is {where}, and more than {most:percent} is a peel (from memory); "
    "use less of it, or leave it to licensed practice.",
    "peel-left-on": "left on skin",
    "peel-rinsed-off": "rinsed off",
    # what has to be sterile
    "sterile-in-eyes": "what goes into the eyes must be sterile, and this bench cannot make it so: leave it to "
    "licensed practice.",
    "sterile-purpose": "{purpose} must be sterile, and this bench cannot make it so: leave it to licensed practice.",
    "sterile-on-wounds": "what goes onto broken skin should be sterile: ask a pharmacist, and leave wounds to licensed "
    "practice.",
    # sun
    "sun-protection": "sun protection can only be shown by testing, and the claim is regulated (in the US as a drug "
    "claim): take the claim out, or have it tested.",
    "burns-in-the-sun": "{name} {share:percent beside most} left on skin can make it burn in the sun (at most "
    "{most:percent}, as others quote it); use less, or have it rinsed off.",
    "burn-in-the-sun": "{names:and} left on skin can make it burn in the sun: against the most that is quoted for "
    "each, such as {most:percent} for {first}, they add up to {ratio:percent}; use less, or have it rinsed off.",
    # aromatic materials
    "undiluted-aromatic": "{share:percent} of it is aromatic material ({names:and 3}), and on skin that counts as "
    "undiluted; dilute it to {most:percent} or less.",
    "strong-aromatic": "{share:percent} aromatic material ({names:and 3}) is more than is usual {where} "
    "({most:percent}, common practice); use less.",
    "aromatic-for-small-children": "{share:percent} aromatic material ({names:and 3}) for children under three; "
    "leave it out (common practice), or ask a doctor or pharmacist.",
    "airways-of-small-children": "{name} {share:percent} can narrow the airways of children under three{most}; {way}.",
    "airways-leave-out": "leave it out",
    "airways-write-age": "write `children over three` in `use:` if none of them is younger, or leave it out",
    "airways-most": " (at most {most:percent}: Afssaps, 2008, as reported)",
    "not-for-small-children": "{name:substance} {share:percent} is not for children under three ({known:listed}); "
    "{way}, or ask a doctor or pharmacist.",
    "too-much-for-small-children": "{name:substance} {share:percent beside most} is too much for children under three "
    "(at most {most:percent}, {known:listed}); use less, or ask a doctor or pharmacist.",
    "not-in-pregnancy": "{name:substance} {share:percent} is not for use in pregnancy ({known:listed}); leave it out, "
    "or ask a doctor or pharmacist.",
    "on-prescription": "{name:substance} is available on prescription only in many countries (from memory); ask what "
    "the law says where you are before you make it or hand it on.",
    "on-prescription-elsewhere": "{name:substance} is available on prescription only in many countries (from memory); "
    "write `kind: medicine` if this is one, or leave it out.",
    "strong-in-pregnancy": "in pregnancy",
    "strong-for-children": "for children",
    "strong-rinsed-off": "in what is rinsed off",
    "strong-at": "on {site}",
    "strong-on-skin": "on skin",
    # what must not meet
    "never-together": "{first} and {second} set {gas} free, {harm:whole}: never bring them together, not even one "
    "after the other.",
    "peroxide-and-metal": "{second} takes {first} apart, and the gas can burst a closed bottle; leave it out.",
    # heat, order, dust
    "too-hot": "{name} goes in at {celsius} °C and bears only {most} °C{of} ({known}){why}; add it once the rest has "
    "cooled.",
    "too-hot-of": " for its {name}",
    "too-hot-why": ": {why}",
    "heat-practice": "common practice",
    "its-file-says": "as its file says",
    "known-so": "{known:listed}",
    "heat-borne": "{name} at {celsius} °C: bears {most} °C{of} ({known})",
    "heat-not-borne": "{name} at {celsius} °C: too hot, bears {most} °C{of} ({known})",
    "heat-known": "{most} °C{where} ({known})",
    "heat-only-in": " in {forms:listed}",
    "heat-on-body": " in what goes onto somebody",
    "too-hot-burns": ": its vapour burns",
    "water-onto-lye": "the method has {water} come to {lye}; put {lye} into the water, a little at a time, or it boils "
    "up and spits.",
    "powder-breathed": "a loose powder {where} is breathed in; {way}?",
    "powder-else-on-skin": "is a cream or an oil possible",
    "powder-else": "are coarse grains or a liquid possible",
    "powder-for-small-children": "for children under three",
    "powder-on-a-face": "on the face",
    "powder-in-a-room": "in a room",
    # what was judged
    "danger-burns": "{name:substance} {share:percent}: burns skin from about {least:percent} ({known:listed})",
    "danger-airways": "{name:substance} {share:percent}: asked about beyond {most:percent} for children under three "
    "(Afssaps, 2008, as reported)",
    "danger-sun": "{name:substance} {share:percent}: asked about from {most:percent} left on skin, with others like "
    "it less (as others quote it)",
    # hazards of the making
    "melt-scalds": "Melted wax and oil at {celsius} °C scald and stick: gloves, a water bath, no flame, never left "
    "alone.",
    "never-hazard": "{first:substance} and {second:substance} set {gas:listed} free, {harm:listed}: never together.",
    # in place of a trial on the arm
    "not-for-skin": "Not for skin: it burns.",
    "phenol-not-tried": "It holds phenol, which passes through skin: do not try it out on the arm.",
    "may-burn-not-tried": "It may burn skin: do not try it out on the arm.",
    "peel-not-tried": "It is a peel: do not try it out on the arm.",
    "may-peel-not-tried": "It may be a peel: do not try it out on the arm.",
    "not-undiluted": "Not for skin undiluted.",
    "ph-not-tried": "Its pH is beyond what skin bears for long: do not try it out on the arm.",
}
"""Name → sentence."""
