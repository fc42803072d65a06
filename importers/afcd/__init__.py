"""Australian Food Composition Database: its nutrient workbook; `read(path)` returns the checked release value."""

from importers.afcd.files import CITATION, DATASET, LICENCE, NAME, RELEASE, read

__all__ = ["CITATION", "DATASET", "LICENCE", "NAME", "RELEASE", "read"]
