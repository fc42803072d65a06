"""Values that are made by the dozen for every line, made as quickly as other objects: frozen for the type checker only.

A frozen dataclass sets each field through `object.__setattr__`, which takes three to five times as long as setting it;
through the descriptors of its slots it still takes twice as long. So nothing but mypy stops who assigns to a field, and
what is remembered is handed to everyone who asks: to have another value, use `dataclasses.replace`.
"""

from __future__ import annotations

from dataclasses import field, fields, make_dataclass
from typing import TypeVar

T = TypeVar("T")


def quick(frozen: type[T]) -> type[T]:
    """A frozen dataclass with the initialiser and the assignments of a plain one: it is frozen in name only."""
    same = [
        (one.name, one.type, field(default=one.default, default_factory=one.default_factory, init=one.init))
        for one in fields(frozen)  # type: ignore[arg-type]
    ]
    after = {name: vars(frozen)[name] for name in vars(frozen).keys() & {"__post_init__"}}
    frozen.__init__ = make_dataclass(frozen.__name__, same, namespace=after).__init__  # type: ignore[misc, method-assign]
    del frozen.__setattr__, frozen.__delattr__
    return frozen
