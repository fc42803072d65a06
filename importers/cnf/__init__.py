"""Canadian Nutrient File: the CSV download of Health Canada; `read(folder_or_zip)` returns the checked release."""

from importers.cnf.files import CITATION, DATASET, LICENCE, NAME, RELEASE, read

__all__ = ["CITATION", "DATASET", "LICENCE", "NAME", "RELEASE", "read"]
