"""Published tables as YAML, each value with document, edition, section and the date it was taken."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import yaml


@dataclass(frozen=True, slots=True, kw_only=True)
class PublishedPeriod:
    """The longest period of one kind of preparation."""

    days: int
    """Whole days."""
    place: str
    """Where it has to be kept for that; empty when the table names none."""
    words: str
    """Which kind of preparation it is for."""
    document: str
    """Document, edition and section."""
    short: str
    """The document as pages name it."""


@cache
def storage_periods() -> Mapping[str, PublishedPeriod]:
    """Return the published periods by kind: `water`, `preserved`, `alcohol`, `no_water`."""
    text = files(__package__).joinpath("storage.yaml").read_text(encoding="utf-8")
    table = yaml.safe_load(text)
    source = f"{table['document']}, {table['edition']}, {table['section']}"
    return {
        kind: PublishedPeriod(
            days=int(entry["period"].removesuffix(" days")),
            place=entry.get("place", ""),
            words=entry["words"],
            document=source,
            short=table["short"],
        )
        for kind, entry in table["periods"].items()
    }
