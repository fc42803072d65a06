"""The API over all of SR28, as tests/api has it."""

from __future__ import annotations

from tests.api.conftest import catalogue

__all__ = ["catalogue"]
