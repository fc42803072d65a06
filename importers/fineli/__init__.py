"""Fineli, the Finnish food composition database: its open data package; `read(folder_or_zip)` returns the release."""

from importers.fineli.files import CITATION, DATASET, LICENCE, NAME, RELEASE, read

__all__ = ["CITATION", "DATASET", "LICENCE", "NAME", "RELEASE", "read"]
