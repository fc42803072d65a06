"""Kinds of arguments: each turns text into a value, or says in one clause why it cannot."""

from __future__ import annotations

import math
import re
from argparse import ArgumentTypeError

from service.commands.tables_of_text import plain

# A document's number; the store gives smaller ones.
_NUMBER = r"([1-9]\d{0,8})"


def names(text: str) -> tuple[str, ...]:
    """Names separated by commas."""
    found = tuple(name.strip() for name in text.split(",") if name.strip())
    if not found:
        raise ArgumentTypeError("names none")
    return found


def above_zero(text: str) -> float:
    """A number of servings, or of grams."""
    number = _number(text)
    if not (math.isfinite(number) and number > 0):
        raise ArgumentTypeError(f"must be a finite number above 0, not {plain(text)}")
    return number


def count(text: str) -> int:
    """How many entries to show."""
    return _whole(text, 1, 1000)


def rate(text: str) -> int:
    """How many requests."""
    return _whole(text, 1, 1_000_000)


def processes(text: str) -> int:
    """How many processes."""
    return _whole(text, 1, 256)


def port(text: str) -> int:
    """A TCP port, 0 for any that is free."""
    return _whole(text, 0, 65535)


def revision(text: str) -> int:
    """The number of a revision."""
    return _whole(text, 1, 999_999_999)


def recipe_id(text: str) -> int:
    """The number of a saved recipe by its id."""
    return _document("recipe", text)


def own_id(text: str) -> int:
    """The number of an own food by its id."""
    return _document("own", text)


def choice_id(text: str) -> int:
    """The number of a standing choice by its id."""
    return _document("choice", text)


def _document(kind: str, text: str) -> int:
    found = re.fullmatch(rf"(?:{kind}:)?{_NUMBER}", text, re.ASCII)
    if found is None:
        raise ArgumentTypeError(f"must be an id such as {kind}:7, not {plain(text)}")
    return int(found[1])


def _whole(text: str, least: int, most: int) -> int:
    number = _number(text)
    if not (number.is_integer() and least <= number <= most):
        raise ArgumentTypeError(f"must be a whole number from {least} to {most}, not {plain(text)}")
    return int(number)


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return math.nan
