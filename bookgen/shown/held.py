"""What a container holds, in words: a weight, a volume, or a number of pieces."""

from __future__ import annotations

from .. import show
from ..language import word
from ..model import Quantity


def held_words(content: Quantity, signs: show.Signs, side: show.Side = show.NEAREST) -> str:
    """Return `50 mL`, `30 capsules`, `1 suppository`."""
    form = content.form
    unit = content.unit if form is None else word(form.value if content.value != 1 else form.one_piece)
    return show.with_unit(show.plain(content.value, signs, side=side), unit)
