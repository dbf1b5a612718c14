"""What is printed on a leaf, as one digest: its words, figures and pictures, whatever template and style print them.

Two states of a leaf with the same digest look the same in the same style.  The foot is no part of it: it prints the
digest's first letters, the check code, so that a sheet in the hand can be held against the list of effective sheets.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import fields, replace
from hashlib import sha256

from ..look.markup import BARE
from ..shown.matter.records import ChapterShown, Cited, ContentsEntry, ContentsShown, IndexPart, MaterialEntry
from ..shown.phrases import Figure, Phrase, Prose
from ..shown.records import (
    Caution,
    Cell,
    Fact,
    FormulaShown,
    Frame,
    LineShown,
    Link,
    MaterialShown,
    MeasuredPart,
    TableShown,
)
from .records import DividerShown, EffectiveRow, HeldMaterial, MaterialsShown

LETTERS = "34679CDFHJKMNPRTVWXY"
"""Letters of a code: no vowel, so that none spells a word, and no two that look alike in print or in pencil."""
LENGTH = 16
"""Letters kept of a digest: 69 bits."""
CHECK = 6
"""Letters printed in the foot: of two states of one leaf, one in 64 million pairs agrees by chance."""

UNPRINTED: Mapping[type, frozenset[str]] = {
    Link: frozenset({"href", "stamp"}),
    MeasuredPart: frozenset({"stands_for"}),
    LineShown: frozenset({"index", "following", "twice", "common"}),
    TableShown: frozenset({"on"}),
    Caution: frozenset({"whole"}),
    Fact: frozenset({"general", "stands_for", "means"}),
    Frame: frozenset({field.name for field in fields(Frame)}),
    FormulaShown: frozenset(
        {
            "scaled", "as_written", "wishes", "following", "used_in", "composition", "composition_picture", "standing",
            "carries", "judged", "made", "kept", "trials",
        }
    ),
    MaterialShown: frozenset({"known", "used_in", "lots"}),
    ContentsShown: frozenset({"keeper", "matter", "findings", "stamps"}),
    ChapterShown: frozenset({"anchor"}),
    ContentsEntry: frozenset({"note"}),
    IndexPart: frozenset({"anchor"}),
    MaterialEntry: frozenset({"anchor"}),
    EffectiveRow: frozenset({"chapter", "kind", "content", "look", "figures"}),
    DividerShown: frozenset({"foot_mm", "length_mm"}),
    HeldMaterial: frozenset({"code"}),
    MaterialsShown: frozenset({"points"}),
}  # fmt: skip
"""Fields of shown records that no sheet prints: addresses, what only a script reads, what belongs to the indexes.  The
frame is not printed either: running heads are told apart, law and language are the foot's and the style's."""

_FIELDS: dict[type, tuple[str, ...]] = {}
"""Record → its printed fields, found once."""


def content_of(*records: object) -> str:
    """Return the digest of what the records print, in the letters of a code."""
    total = sha256()
    for part in printed_parts(*records):
        total.update(part.encode())
        total.update(b"\0")
    return in_letters(total.digest())


def printed_parts(*records: object) -> Iterator[str]:
    """Yield what the records print, piece by piece, in the order of their fields, bare of names and values."""
    for shown in _printed(records):
        yield (
            BARE.text(shown)
            if isinstance(shown, Phrase | Prose)
            else BARE.figure(shown)
            if isinstance(shown, Figure)
            else str(shown)
        )


def in_letters(digest: bytes) -> str:
    """Return a digest as letters of a code, the first ones sixteen."""
    number, letters = int.from_bytes(digest, "big"), []
    for _ in range(LENGTH):
        number, rest = divmod(number, len(LETTERS))
        letters.append(LETTERS[rest])
    return "".join(letters)


def check_code(content: str) -> str:
    """Return the letters of a digest that are printed.

    >>> check_code("KX7M4X9CDFHJ3467")
    'KX7-M4X'
    """
    return f"{content[: CHECK // 2]}-{content[CHECK // 2 : CHECK]}"


def printed_values(*records: object) -> Iterator[object]:
    """Yield what the records print, in the order of their fields: words, figures, marks that close lists."""
    return _printed(records)


def _printed(value: object) -> Iterator[object]:
    match value:
        case str() | Phrase() | Prose() | Figure():
            yield value
        case tuple():
            for item in value:
                yield from _printed(item)
            yield "\1"
        case None | bool() | int():
            yield str(value)
        case Cited():
            # An index of materials leads to formulas by codes and stamps; their titles stand in other indexes.
            yield from _printed(
                (
                    value.how,
                    value.of.words if value.of else "",
                    *(tuple(map(_cited, cited)) for cited in (value.through, value.formulas)),
                )
            )
        case TableShown(weighed=False) if value != (bare := _unweighed(value)):
            yield from _printed(bare)
        case _:
            for name in _fields(type(value)):
                yield from _printed(getattr(value, name))
            yield "\2"


def _cited(formula: Link) -> str:
    """Return a formula as an index of materials prints it."""
    return f"{formula.code} {formula.stamp}" if formula.stamp else formula.code


def _fields(kind: type) -> tuple[str, ...]:
    """Return the fields of a record that are printed."""
    if kind not in _FIELDS:
        unprinted = UNPRINTED.get(kind, frozenset())
        _FIELDS[kind] = tuple(field.name for field in fields(kind) if field.name not in unprinted)
    return _FIELDS[kind]


def _unweighed(table: TableShown) -> TableShown:
    """Return a table that prints no weights without what stands in the columns that it lacks."""

    def row(line: LineShown) -> LineShown:
        return replace(
            line, percent=Cell(), grams=Cell(), ml=Cell(), measured=(),
        )  # fmt: skip

    return replace(
        table, percent_head="", mixed=False, has_ml=False, percent_total=Cell(), total=Cell(), total_why="",
        phases=tuple(replace(phase, rows=tuple(map(row, phase.rows))) for phase in table.phases),
        aids=tuple(map(row, table.aids)),
    )  # fmt: skip
