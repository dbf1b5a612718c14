"""The usual hazards of the trade, for materials whose files do not mention them.

Every hazard here is common practice, no source.  A material is known by what its file says it is: its name, synonyms,
the file's own name, its label names and what it contains.  Names and sentences are read by whole words from closed
lists: `industrial` says nothing of dust, `misfired` nothing of fire, `ethanol-free` names no ethanol.  The lists have
English and German words, in every book: a bottle may have its label in either.

Nothing here says that something is allowed or safe.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from ..fraction import Fraction
from ..language import noted, word
from ..model import Material, MaterialKind
from ..reckon.functions import AROMATIC, items_of
from ..reckon.same import Same
from ..reference import spelt


@dataclass(frozen=True, slots=True, kw_only=True)
class Usual:
    """One hazard of the trade, and by which words it is known; all in lower case, with spaces for hyphens."""

    text: str
    """The sentence."""
    names: tuple[str, ...]
    """Whole words that name what has it."""
    alone: tuple[str, ...] = ()
    """Names that count only where nothing but a strength follows."""
    behind: tuple[str, ...] = ()
    """Words before such a name that make it the name of something else."""
    least: Fraction = Fraction(0)
    """Share from which a material that contains it has the hazard; common practice, no source."""
    said: tuple[str, ...]
    """Whole words by which the keeper's own sentence already speaks of this danger."""
    denied: tuple[str, ...] = ()
    """What holds one of those words and says the contrary."""


CAUSTIC = Usual(
    text=noted("Caustic: goggles and gloves; it goes into the water, never water onto it."),
    names=(
        "sodium hydroxide",
        "potassium hydroxide",
        "lithium hydroxide",
        "calcium hydroxide",
        "caustic soda",
        "caustic potash",
        "lye",
        "naoh",
        "koh",
        *("natriumhydroxid", "kaliumhydroxid", "lithiumhydroxid", "calciumhydroxid"),
        *("ätznatron", "ätzkali", "natronlauge", "kalilauge", "löschkalk"),
    ),
    said=("caustic", "corrosive", "burns skin", "burns the skin", "ätzend", "ätzt", "verätzt", "verätzungen"),
    denied=("not caustic", "not corrosive", "non corrosive", "nicht ätzend", "ätzt nicht"),
)
AMMONIA = Usual(
    text=noted("Ammonia burns eyes and airways: goggles and gloves, and open it only in moving air."),
    names=(
        *("ammonia", "ammonium hydroxide"),
        *("ammoniak", "ammoniaklösung", "ammoniakwasser", "salmiakgeist", "ammoniumhydroxid"),
    ),
    said=(
        *("vapour", "vapours", "vapor", "vapors", "fumes", "airways", "lungs"),
        *("dampf", "dämpfe", "atemwege", "lunge", "lungen"),
    ),
)
STRONG_ACID = Usual(
    text=noted("Strong acid: goggles and gloves; it goes into the water, never water onto it."),
    names=(
        "hydrochloric acid",
        "muriatic acid",
        "sulfuric acid",
        "sulphuric acid",
        "nitric acid",
        "phosphoric acid",
        "hydrofluoric acid",
        "formic acid",
        "trichloroacetic acid",
        "glacial acetic acid",
        "acetic acid glacial",
        "vinegar essence",
        *("salzsäure", "schwefelsäure", "salpetersäure", "phosphorsäure", "flusssäure", "ameisensäure"),
        *("trichloressigsäure", "eisessig", "essigessenz"),
    ),
    said=CAUSTIC.said,
    denied=CAUSTIC.denied,
)
PHENOL = Usual(
    text=noted(
        "Burns the skin without pain at first and passes through it: gloves and goggles, rinse splashes at once "
        "and see a doctor."
    ),
    names=("phenol", "carbolic acid", "karbolsäure", "carbolsäure"),
    said=("burn", "burns", "corrosive", "caustic", "ätzend", "ätzt", "verätzt", "verätzungen"),
    denied=CAUSTIC.denied,
)
HYPOCHLORITE = Usual(
    text=noted(
        "Never with acid, ammonia, alcohol or peroxide: poison gas comes off, or oxygen fast enough to burst a "
        "bottle. Gloves and goggles, and moving air."
    ),
    names=(
        "hypochlorite",
        "bleaching powder",
        "chlorinated lime",
        "javel water",
        "eau de javel",
        "dichloroisocyanurate",
        "troclosene sodium",
        "trichloroisocyanuric acid",
        "symclosene",
        *("hypochlorit", "natriumhypochlorit", "calciumhypochlorit", "chlorkalk", "bleichlauge", "chlorbleichlauge"),
        *("natriumdichlorisocyanurat", "trichlorisocyanursäure"),
        "active chlorine",
        "available chlorine",
    ),
    alone=("bleach",),
    said=("chlorine", "poison gas", "chloramines", "chlor", "chlorgas", "giftgas", "giftiges gas", "chloramine"),
)
PEROXIDE = Usual(
    text=noted("Bleaches and burns skin and eyes, and gives off oxygen: gloves and goggles, a vented cap, no metal."),
    names=(
        *("hydrogen peroxide", "carbamide peroxide", "urea peroxide"),
        *("wasserstoffperoxid", "wasserstoffperoxidlösung", "carbamidperoxid", "harnstoffperoxid"),
    ),
    least=Fraction(6, 100),
    said=("oxygen", "vented", "bleaches", "burns", "sauerstoff", "bleicht", "ätzt", "verätzt"),
)
FLAMMABLE = Usual(
    text=noted("Burns, and so does its vapour: no flame and no hot plate near it."),
    names=(
        "ethanol",
        "ethyl alcohol",
        "isopropyl alcohol",
        "denatured alcohol",
        "rubbing alcohol",
        "alcohol denat",
        "isopropanol",
        "2 propanol",
        "propan 2 ol",
        "methylated spirit",
        "methylated spirits",
        "surgical spirit",
        "surgical spirits",
        "acetone",
        *("äthanol", "ethylalkohol", "äthylalkohol", "weingeist", "spiritus", "brennspiritus"),
        *("isopropylalkohol", "vergällter alkohol", "aceton"),
    ),
    alone=("alcohol", "alkohol"),
    behind=("phenyl", "phenoxy"),
    least=Fraction(1, 5),
    said=(
        *("flammable", "inflammable", "flame", "flames", "fire"),
        *("entzündlich", "entzündbar", "brennbar", "brennt", "feuergefährlich", "flamme", "flammen", "feuer"),
    ),
    denied=(
        *("not flammable", "non flammable", "not inflammable"),
        *("nicht entzündlich", "nicht entzündbar", "nicht brennbar", "brennt nicht"),
    ),
)
DUST = Usual(
    text=noted("Raises dust: weigh out of the draught, scoop low, do not breathe it in."),
    names=(
        "powder",
        "dust",
        "talc",
        "kaolin",
        "clay",
        "starch",
        "silica",
        "mica",
        "pigment",
        "zinc oxide",
        "iron oxide",
        "titanium oxide",
        "titanium dioxide",
        *("pulver", "staub", "talkum", "talk", "tonerde", "weisser ton", "heilerde", "kieselsäure", "glimmer"),
        *("stärke", "maisstärke", "reisstärke", "weizenstärke", "kartoffelstärke"),
        *("zinkoxid", "eisenoxid", "titandioxid"),
    ),
    said=(
        *("staub", "staubt", "stäubt", "einatmen", "eingeatmet", "atemschutz", "staubmaske"),
        "dust",
        "dusty",
        "dusts",
        "not breathe",
        "breathe it",
        "be breathed",
        "wear a mask",
        "mask on",
        "hangs in the air",
    ),
    denied=(
        *("no dust", "not dusty", "dust free", "free of dust"),
        *("kein staub", "staubt nicht", "stäubt nicht", "staubfrei"),
    ),
)
"""By its name only where the file does not say its kind."""
UNDILUTED = Usual(
    text=noted("Undiluted aromatic materials irritate skin and eyes: gloves, and keep them from children."),
    names=("essential oil", "essential oils", "ess. oil", "ätherisches öl", "ätherische öle", "äth. öl"),
    said=("undiluted", "unverdünnt"),
)
"""Also for what has an aromatic function."""

_OF_SUBSTANCES = (CAUSTIC, AMMONIA, STRONG_ACID, PHENOL, HYPOCHLORITE, PEROXIDE, FLAMMABLE)
"""Hazards that also come with what a material contains."""
_CORROSIVE = frozenset({CAUSTIC, AMMONIA, STRONG_ACID, PHENOL, HYPOCHLORITE, PEROXIDE})
"""Those of what burns skin and blinds eyes, or sets free what does."""
_FREE = ("free", "less", "frei")
"""Words behind a name that say that it is not there."""
_WITHOUT = ("no", "non", "not", "without", "free of", "free from", "kein", "keine", "nicht", "ohne", "frei von")
"""Words before a name that say that it is not there."""
_STRENGTH = re.compile(r"[\d.,]+|%|%vol|vol|v/v|w/w")
"""What may follow a name that counts alone."""
_AT_STRENGTH = re.compile(r",?\s+[\d.,]+\s?%.*")
"""A strength that ends a name."""


class _Facts(NamedTuple):
    """What tells which usual hazards a material has: the same for every formula that uses it."""

    called: tuple[str, ...]
    contents: tuple[tuple[str, Fraction], ...]
    function: str
    kind: MaterialKind | None


def usual_hazards(material: Material, formula: Sequence[str] = ()) -> Iterator[str]:
    """Yield the hazards of a material that neither its file says, nor the formula's own sentences about it."""
    name = _plain(material.name)
    about = [hazard for hazard in formula if says(hazard, (name,))]
    for usual in _usual_of(Same(material)):
        if not any(says(hazard, usual.said, usual.denied) for hazard in (*material.hazards, *about)):
            yield word(usual.text)


def burns(material: Material) -> bool:
    """Tell whether a material has the hazard of flammable alcohol, said by its file or not."""
    return FLAMMABLE in _usual_of(Same(material))


def is_corrosive(material: Material) -> bool:
    """Tell whether a material has a usual hazard of what burns skin and eyes, said by its file or not."""
    return _is_corrosive(Same(material))


@lru_cache(maxsize=4096)
def _is_corrosive(same: Same[Material]) -> bool:
    return not _CORROSIVE.isdisjoint(_usual_of(same))


@lru_cache(maxsize=4096)
def _usual_of(same: Same[Material]) -> tuple[Usual, ...]:
    """Return the usual hazards of a material; every page of a formula that handles it asks for them."""
    return _hazards(_facts(same.record))


def says(sentence: str, words: Sequence[str], denied: Sequence[str] = ()) -> bool:
    """Tell whether a sentence has one of the words, whole and in any case; what is denied does not count.

    The words are in lower case, with spaces for hyphens.

    >>> says("Keep the dust down.", ["dust"]), says("Industrial grades hold quartz.", ["dust"])
    (True, False)
    """
    text = _plain(sentence)
    for contrary in denied:
        if contrary in text:
            text = _whole(contrary).sub(" ", text)
    return any(known in text and _whole(known).search(text) for known in words)


def _facts(material: Material) -> _Facts:
    names = (material.name, material.key, *material.also, *(part.name for part in material.label))
    return _Facts(
        called=tuple(dict.fromkeys((*names, *map(_in_tables, names)))),
        contents=tuple((_in_tables(content.substance), content.share) for content in material.contains),
        function=material.function,
        kind=material.kind,
    )


def _in_tables(name: str) -> str:
    """Return a name as the tables have it, without a strength that ends it: `Natronlauge 30 %` is sodium hydroxide."""
    return spelt(_AT_STRENGTH.sub("", name))


@lru_cache(maxsize=4096)
def _hazards(facts: _Facts) -> tuple[Usual, ...]:
    """Return the usual hazards by what they go by; kept, as an edit elsewhere in a file changes none of it."""
    found = [
        usual
        for usual in _OF_SUBSTANCES
        if any(_named(name, usual) for name in facts.called)
        or any(share >= usual.least and _named(substance, usual) for substance, share in facts.contents)
    ]
    if _aromatic(facts):
        found.append(UNDILUTED)
    if _powder(facts):
        found.append(DUST)
    return tuple(found)


@lru_cache(maxsize=8192)
def _plain(text: str) -> str:
    """Return a text in lower case with single spaces, also for hyphens and commas."""
    return re.sub(r"[-_,\s]+", " ", text.casefold()).strip()


@lru_cache(maxsize=4096)
def _whole(words: str) -> re.Pattern[str]:
    """Return the pattern of words that no letter or figure touches."""
    return re.compile(rf"(?<!\w){re.escape(words)}(?!\w)")


def _named(name: str, usual: Usual) -> bool:
    """Tell whether a name has one of a hazard's names as whole words, and does not say that it is without it."""
    plain = _plain(name)
    for known in usual.names:
        for met in _whole(known).finditer(plain):
            before, after = plain[: met.start()].rstrip(), plain[met.end() :].split()
            if not (after and after[0] in _FREE) and not _ends_with(before, (*_WITHOUT, *usual.behind)):
                return True
    first, *rest = plain.split() or [""]
    return first in usual.alone and all(_STRENGTH.fullmatch(word) for word in rest)


def _ends_with(text: str, words: Sequence[str]) -> bool:
    return any(met.end() == len(text) for word in words for met in _whole(word).finditer(text))


def _aromatic(facts: _Facts) -> bool:
    return not AROMATIC.isdisjoint(items_of(facts.function)) or any(_named(name, UNDILUTED) for name in facts.called)


def _powder(facts: _Facts) -> bool:
    """Tell whether it is a powder: by its kind, else by its name."""
    if facts.kind is not None:
        return facts.kind is MaterialKind.POWDER
    return any(_named(name, DUST) for name in facts.called)
