"""The items of a line, and what stands at a place of it: no error where none stands there."""

from __future__ import annotations

from collections.abc import Sequence

from service.core.vocabulary import Token

# The items of a line: tokens, and a tuple of items for each bracket.
Items = Sequence[object]


def text_of(item: object) -> str:
    """The text of an item, "" of a bracket and of none."""
    return item.text if isinstance(item, Token) else ""


def text_at(items: Items, at: int) -> str:
    """The text of the token at a place, "" of a bracket and behind the end."""
    item = items[at] if at < len(items) else None
    return item.text if isinstance(item, Token) else ""


def kind_at(items: Items, at: int) -> str:
    """The kind of the token at a place, "" of a bracket and behind the end."""
    item = items[at] if at < len(items) else None
    return item.kind if isinstance(item, Token) else ""


def is_word(item: object) -> bool:
    """Whether an item is a word that is no measure, number or other part of the grammar."""
    return isinstance(item, Token) and item.kind == "word"


def is_number(item: object) -> bool:
    """Whether an item is a number, in digits or in words."""
    return isinstance(item, Token) and item.kind == "number"


def is_of(items: Items, at: int) -> bool:
    """Whether "of" stands at a place."""
    return text_at(items, at) == "of"
