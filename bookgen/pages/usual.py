"""The usual hazards of the trade, for materials whose files do not mention them.

Every hazard here is common practice, no source.  A material is known by what its file says it is: its name, synonyms,
the file's own name, its label names and what it contains.  Nothing here says that something is allowed or safe.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from ..model import Material, MaterialKind

_AROMATIC = ("aroma", "scent", "fragrance", "perfume")
_ESSENTIAL = re.compile(r"\bessential oils?\b|\bess\. oil\b")
_DUSTY = re.compile(r"\b(powder|dust|talc|kaolin|clay|starch|silica|mica|pigment|(zinc|iron|titanium) (di)?oxide)\b")
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


def usual_hazards(material: Material, formula: Sequence[str] = ()) -> Iterator[str]:
    """Yield the hazards of a material that neither its file says, nor the formula's own sentences about it."""
    own = " ".join(material.hazards).casefold()
    about = " ".join(one for one in formula if material.name.casefold() in one.casefold()).casefold()
    said = f"{own} {about}"
    names = _names(material)
    for usual in _SUBSTANCES:
        if _is(material, names, usual) and not any(word in said for word in usual.said):
            yield usual.text
    if _aromatic(material, names) and "undiluted" not in said:
        yield "Undiluted aromatic materials irritate skin and eyes: gloves, and keep them from children."
    if _powder(material, names) and not any(word in said for word in _DUST_SAID):
        yield "Raises dust: weigh out of the draught, scoop low, do not breathe it in."


def burns(material: Material) -> bool:
    """Tell whether a material has the hazard of flammable alcohol, said by its file or not."""
    return _is(material, _names(material), _SUBSTANCES[-1])


def _names(material: Material) -> tuple[str, ...]:
    """Return what the material is called, each name in lower case with spaces for hyphens."""
    called = (material.name, material.key, *material.also, *(one.name for one in material.label))
    return tuple(_plain(one) for one in called)


def _plain(name: str) -> str:
    return re.sub(r"[-_\s]+", " ", name.casefold()).strip()


def _is(material: Material, names: Sequence[str], usual: _Usual) -> bool:
    """Tell whether a material is, or carries enough of, a substance."""
    return any(usual.words.search(name) for name in names) or any(
        usual.words.search(_plain(one.substance)) and one.share >= usual.least for one in material.contains
    )


def _aromatic(material: Material, names: Sequence[str]) -> bool:
    return material.function.casefold().startswith(_AROMATIC) or any(_ESSENTIAL.search(name) for name in names)


def _powder(material: Material, names: Sequence[str]) -> bool:
    """Tell whether it is a powder: by its kind, else by its name."""
    if material.kind is not None:
        return material.kind is MaterialKind.POWDER
    return any(_DUSTY.search(name) for name in names)
