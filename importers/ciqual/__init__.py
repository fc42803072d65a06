"""CIQUAL, the French food composition table: its English workbook; `read(path)` returns the checked release value."""

from importers.ciqual.files import CITATION, DATASET, LICENCE, NAME, RELEASE, read

__all__ = ["CITATION", "DATASET", "LICENCE", "NAME", "RELEASE", "read"]
