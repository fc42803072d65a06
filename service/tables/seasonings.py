"""Loads seasonings.csv: the most that one serving takes of what a line leaves to taste."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from service.core.edible_portion import KindTable
from service.tables.weights import load_kinds

FOLDER = Path(__file__).parent


@lru_cache(maxsize=1)
def load_seasonings(folder: Path = FOLDER) -> KindTable:
    """Grams by kind of food; raises TableError for the first bad row."""
    return load_kinds(folder, "seasonings.csv", "grams")
