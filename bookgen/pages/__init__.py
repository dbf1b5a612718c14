"""The site: shown records, printed by a theme, as files."""

from __future__ import annotations

from .site import Files, site_files

__all__ = ["Files", "site_files"]
