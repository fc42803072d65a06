"""The database URL of a file; apart from engine.py because naming a store needs no database library."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import quote


def sqlite_url(path: Path) -> str:
    """The database URL of an SQLite file; characters with a meaning in URLs are escaped."""
    return f"sqlite:///{quote(str(path), safe='/:')}"
