"""Figures into shown records, shown records into the pages of the site and the leaves of the binder."""

from __future__ import annotations

from .leaves import faces, leaves, sheet_style
from .site import Files, site_files
from .themes import Theme, ThemeNotFound, load_theme

__all__ = [
    "Files",
    "Theme",
    "ThemeNotFound",
    "faces",
    "leaves",
    "load_theme",
    "sheet_style",
    "site_files",
]
