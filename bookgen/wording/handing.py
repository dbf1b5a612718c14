"""Sentences of handing a formula on."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "hand-on-barred": "{code} is not handed on. {why:capital}",
}
