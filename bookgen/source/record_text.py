"""The text of a batch record: what was planned, what was weighed, and the rest as it was typed.

Everything written here reads back as what was typed; what cannot be read is told by the reader, at its line.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from .amounts import tidy
from .quotes import quoted

_NEEDS_QUOTES = re.compile(r"^[\s!&*?|>@`%#\[\]{},'\"-]|: |:$| #|^$|\s$")
"""What YAML would take for something else than the text that it is, in a value on its own line."""
_BATCH_LINE = re.compile(r"^(batch:[ \t]*)(\S.*?)[ \t]*$", re.MULTILINE)


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenLine:
    """One line of a record, in words."""

    material: str
    """The ingredient, as the formula's line calls it."""
    phase: str = ""
    """The letter of its phase; empty without phases."""
    text: str
    """The amount, with its lot where one is named: `25.2 g, lot GL-2211`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenRecord:
    """A record in words."""

    of: str
    """`S-02, issue 3`."""
    made: str
    """The day of making."""
    obtain: str
    """What was to come out."""
    planned: tuple[WrittenLine, ...] = ()
    """What was to be weighed."""
    weighed: tuple[WrittenLine, ...] = ()
    """What was weighed."""
    beforehand: tuple[WrittenLine, ...] = ()
    """What was weighed for stocks that were made first."""
    more: Mapping[str, str] = field(default_factory=dict)
    """Key → what was typed for it; left out where nothing was."""
    notes: str = ""
    """What stands below `## Notes`."""


def value_of(text: str) -> str:
    """Return a text as a value of YAML that stands on a line of its own: as it is where that is safe, else in quotes.

    >>> value_of("25,2 g, lot GL-2211"), value_of("warm: then cool")
    ('25,2 g, lot GL-2211', '"warm: then cool"')
    """
    text = tidy(text)
    return quoted(text) if _NEEDS_QUOTES.search(text) else text


def record_text(number: str, record: WrittenRecord) -> str:
    """Return the whole file of a batch record."""
    lines = [
        "---",
        f"batch: {number}",
        f"of: {record.of}",
        f"made: {record.made}",
        f"obtain: {value_of(record.obtain)}",
    ]
    lines += _lines("planned", record.planned) + _lines("weighed", record.weighed)
    lines += _lines("weighed beforehand", record.beforehand)
    lines += [f"{key}: {value_of(text)}" for key, text in record.more.items() if text.strip()]
    lines += ["---", "", "## Notes", ""]
    return "\n".join([*lines, *([record.notes.strip(), ""] if record.notes.strip() else [])])


def _lines(key: str, written: Sequence[WrittenLine]) -> list[str]:
    """Return lines by phase, a list where one ingredient has several amounts."""
    if not written:
        return []
    phases: dict[str, dict[str, list[str]]] = {}
    for line in written:
        phases.setdefault(line.phase, {}).setdefault(line.material, []).append(line.text)
    found = [f"{key}:"]
    for phase, materials in phases.items():
        indent = "  "
        if phase:
            found.append(f"  {phase}:")
            indent = "    "
        for material, texts in materials.items():
            name = value_of(material)
            if len(texts) == 1:
                found.append(f"{indent}{name}: {value_of(texts[0])}")
            else:
                found += [f"{indent}{name}:", *(f"{indent}  - {value_of(text)}" for text in texts)]
    return found


def numbered(text: str, number: str) -> str:
    """Return the text of a record with another batch number.

    >>> numbered("---\\nbatch: S-02-2026-11-29\\nof: S-02, issue 3\\n", "S-02-2026-11-29-b").splitlines()[1]
    'batch: S-02-2026-11-29-b'
    """
    return _BATCH_LINE.sub(lambda match: f"{match[1]}{number}", text, count=1)
