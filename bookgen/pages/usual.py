"""The usual hazards of the trade, for materials whose files do not mention them.

Every hazard here is common practice, no source.  A material is known by what its file says it is: its name, synonyms,
the file's own name, its label names and what it contains.  Nothing here says that something is allowed or safe.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from ..model import Material, MaterialKind

_AROMATIC = ("aroma", "scent", "fragrance", "perfume")
_AROMATIC_TEXT = "Undiluted aromatic materials irritate skin and eyes: gloves, and keep them from children."
_ESSENTIAL = re.compile(r"\bessential oils?\b|\bess\. oil\b")
_DUSTY = re.compile(r"\b(powder|dust|talc|kaolin|clay|starch|silica|mica|pigment|(zinc|iron|titanium) (di)?oxide)\b")
_DUST_TEXT = "Raises dust: weigh out of the draught, scoop low, do not breathe it in."
_DUST_SAID = ("dust", "breathe", "mask", "hangs in the air")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Usual:
    """One hazard that goes with a substance."""

    words: re.Pattern[str]
    """How the substance is called, in lower case."""
    said: tuple[str, ...]
    """Words by which the keeper's own sentences already say it."""
    text: str
    """The sentence."""
    least: Fraction = Fraction(0)
    """Share from which a material that contains it has the hazard; common practice, no source."""


_SUBSTANCES = (
    _Usual(
        words=re.compile(
            r"\b(sodium|potassium|lithium|calcium) hydroxide\b|\bcaustic (soda|potash)\b|\blye\b"
            r"|\bnaoh\b|\bkoh\b"
        ),
        said=("caustic", "corrosive", "burns skin"),
        text="Caustic: goggles and gloves; it goes into the water, never water onto it.",
    ),
    _Usual(
        words=re.compile(r"\bammonia\b|\bammonium hydroxide\b"),
        said=("vapour", "fumes", "airways", "lungs"),
        text="Ammonia burns eyes and airways: goggles and gloves, and open it only in moving air.",
    ),
    _Usual(
        words=re.compile(
            r"\b(hydrochloric|muriatic|sul(ph|f)uric|nitric|phosphoric|hydrofluoric|formic|trichloroacetic) acid\b"
            r"|\bglacial acetic acid\b|\bacetic acid,? glacial\b"
        ),
        said=("corrosive", "caustic", "burns skin"),
        text="Strong acid: goggles and gloves; it goes into the water, never water onto it.",
    ),
    _Usual(
        words=re.compile(r"\bphenol\b|\bcarbolic acid\b"),
        said=("burn", "corrosive", "caustic"),
        text="Burns the skin without pain at first and passes through it: gloves and goggles, rinse splashes at once "
        "and see a doctor.",
    ),
    _Usual(
        words=re.compile(
            r"(?<!phenyl )(?<!phenoxy )\bethanol\b|\b(ethyl|isopropyl|denatured|rubbing) alcohol\b|\balcohol denat\b"
            r"|\bisopropanol\b|\b2 propanol\b|\bpropan 2 ol\b|\b(methylated|surgical) spirits?\b"
            r"|^alcohol( \d|$)|\bacetone\b"
        ),
        said=("flammable", "flame", "fire"),
        text="Burns, and so does its vapour: no flame and no hot plate near it.",
        least=Fraction(1, 5),
    ),
)


class _Facts(NamedTuple):
    """What tells which usual hazards a material has: the same for every formula that uses it."""

    called: tuple[str, ...]
    contents: tuple[tuple[str, Fraction], ...]
    function: str
    kind: MaterialKind | None


def usual_hazards(material: Material, formula: Sequence[str] = ()) -> Iterator[str]:
    """Yield the hazards of a material that neither its file says, nor the formula's own sentences about it."""
    own = " ".join(material.hazards).casefold()
    about = " ".join(one for one in formula if material.name.casefold() in one.casefold()).casefold()
    said = f"{own} {about}"
    for text, words in _hazards(_facts(material)):
        if not any(word in said for word in words):
            yield text


def burns(material: Material) -> bool:
    """Tell whether a material has the hazard of flammable alcohol, said by its file or not."""
    facts = _facts(material)
    return _is(facts, _names(facts), _SUBSTANCES[-1])


def _facts(material: Material) -> _Facts:
    return _Facts(
        called=(material.name, material.key, *material.also, *(one.name for one in material.label)),
        contents=tuple((one.substance, one.share) for one in material.contains),
        function=material.function,
        kind=material.kind,
    )


@lru_cache(maxsize=4096)
def _hazards(facts: _Facts) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return each usual hazard with the words that show it is said already; kept, as many formulas ask for it."""
    names = _names(facts)
    found = [(usual.text, usual.said) for usual in _SUBSTANCES if _is(facts, names, usual)]
    if _aromatic(facts, names):
        found.append((_AROMATIC_TEXT, ("undiluted",)))
    if _powder(facts, names):
        found.append((_DUST_TEXT, _DUST_SAID))
    return tuple(found)


def _names(facts: _Facts) -> tuple[str, ...]:
    """Return what the material is called, each name in lower case with spaces for hyphens."""
    return tuple(_plain(one) for one in facts.called)


def _plain(name: str) -> str:
    return re.sub(r"[-_\s]+", " ", name.casefold()).strip()


def _is(facts: _Facts, names: Sequence[str], usual: _Usual) -> bool:
    """Tell whether a material is, or carries enough of, a substance."""
    return any(usual.words.search(name) for name in names) or any(
        usual.words.search(_plain(substance)) and share >= usual.least for substance, share in facts.contents
    )


def _aromatic(facts: _Facts, names: Sequence[str]) -> bool:
    return facts.function.casefold().startswith(_AROMATIC) or any(_ESSENTIAL.search(name) for name in names)


def _powder(facts: _Facts, names: Sequence[str]) -> bool:
    """Tell whether it is a powder: by its kind, else by its name."""
    if facts.kind is not None:
        return facts.kind is MaterialKind.POWDER
    return any(_DUSTY.search(name) for name in names)
