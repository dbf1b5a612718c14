"""What was judged, as text for the terminal: topic by topic."""

from __future__ import annotations

from collections.abc import Iterator

from ..shown.judged_records import JudgedShown
from ..shown.plain import in_one_line
from .columns import WIDEST, wrapped


def judged_text(shown: JudgedShown, width: int = WIDEST) -> str:
    """Return each topic: what was judged, then what was assumed or not judged."""
    return "\n".join(line for text, indent in _texts(shown) for line in wrapped(" " * indent + text, indent + 2, width))


def _texts(shown: JudgedShown) -> Iterator[tuple[str, int]]:
    """Yield each sentence and how far it is set in."""
    for topic in shown.topics:
        yield topic.head, 0
        for entry in topic.entries:
            yield in_one_line(entry.words), 2
            for asks in entry.asks:
                yield asks, 4
        for note in topic.notes:
            yield in_one_line(note), 2
