"""Answers for machine readers as text: JSON, and rows as comma-separated values.

Every space that people would see is an ordinary one, so that a text can be searched for it.
"""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from ..findings import Missing
from ..model import Known
from ..show import exact, with_ordinary_spaces

Json = dict[str, Any]


def percent_json(share: Known) -> str | None:
    """Return a share as its exact percentage; None where it is not known."""
    return None if isinstance(share, Missing) else exact(share * 100)


def text_of(answer: Json) -> str:
    """Return JSON as text, readable and ending with a line; its spaces are ordinary ones, but for those of a path."""
    return json.dumps(_ordinary(answer), ensure_ascii=False, indent=2) + "\n"


def _ordinary(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: each if name == "path" else _ordinary(each) for name, each in value.items()}
    if isinstance(value, list):
        return [_ordinary(each) for each in value]
    return with_ordinary_spaces(value) if isinstance(value, str) else value


def csv_text(columns: Sequence[str], rows: Iterable[Mapping[str, object]]) -> str:
    """Return rows as comma-separated values by RFC 4180: null and what a row lacks are empty.

    Words that begin with a sign by which a spreadsheet takes them for a calculation have an apostrophe in front;
    numbers stay as they are.  Source: common practice, no source.

    >>> csv_text(("name", "g"), [{"name": "=1+2", "g": "-0.5"}])
    "name,g\\r\\n'=1+2,-0.5\\r\\n"
    """
    out = io.StringIO()
    writer = csv.DictWriter(out, columns, extrasaction="ignore", lineterminator="\r\n")
    writer.writeheader()
    for row in rows:
        writer.writerow({name: _cell(row[name]) for name in columns if name in row})
    return out.getvalue()


_RECKONED = re.compile(r"[=+\-@\t\r]")
_NUMBER = re.compile(r"-?\d+(?:[.,/]\d+)?")


def _cell(value: object) -> object:
    """Return a cell of such a row."""
    if isinstance(value, str) and _RECKONED.match(value) and not _NUMBER.fullmatch(value):
        return f"'{value}"
    return "" if value is None else value
