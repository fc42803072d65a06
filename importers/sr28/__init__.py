"""USDA National Nutrient Database for Standard Reference, Release 28: its official ASCII files.

`locate()` says where the installed data files are, `read(folder or zip)` returns the checked release value.
"""

from importers.sr28.files import DATASET, locate, read

__all__ = ["DATASET", "locate", "read"]
