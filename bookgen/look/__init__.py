"""Shown records into HTML: the printer of pieces, templates, themes and what they may do."""

from __future__ import annotations

from .templates import ThemeFault
from .themes import Theme, ThemeNotFound, load_theme

__all__ = ["Theme", "ThemeFault", "ThemeNotFound", "load_theme"]
