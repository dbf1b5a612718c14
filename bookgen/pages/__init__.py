"""Figures into shown records, shown records into the pages of the site and, in `sheets`, the leaves of the binder."""

from __future__ import annotations

from .site import Files, site_files
from .templates import ThemeFault
from .themes import Theme, ThemeNotFound, load_theme

__all__ = ["Files", "Theme", "ThemeFault", "ThemeNotFound", "load_theme", "site_files"]
