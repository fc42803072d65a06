"""Hand-kept vocabulary and weights, as CSV with a source in every row; README.md explains the columns."""

from service.tables.vocabulary import load_tables

__all__ = ["load_tables"]
