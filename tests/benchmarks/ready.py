"""Shown records whose pieces are printed already: what printing them costs is the tool's, and in no floor."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from typing import Any

from markupsafe import Markup

from bookgen.look.markup import LIGHT
from bookgen.shown.phrases import Data, Figure, Phrase, Prose
from bookgen.shown.records import BarPicture, LineagePicture


class Ready(Markup):
    """Pieces that are printed already."""

    figures: tuple[Figure, ...] = ()
    """What a template asks of a text."""


def ready(shown: Any) -> Any:
    """Return a shown record with its pieces printed."""
    match shown:
        case tuple():
            return tuple(map(ready, shown))
        case Figure():
            return shown
        case Phrase() | Prose() | Data() | BarPicture() | LineagePicture():
            return Ready(LIGHT.printed(shown)) if shown else shown
        case _ if is_dataclass(shown):
            return replace(shown, **{one.name: ready(getattr(shown, one.name)) for one in fields(shown)})  # type: ignore[type-var]
        case _:
            return shown
