"""Recipes that a save changed, in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.commands.tables_of_text import print_out, short
from service.core.figures import Figures
from service.kitchens.shelf import Changed
from service.publish.publication import NET, total_of
from service.publish.wording import amount_text

# The figures by which a recipe that another one changed is told apart.
_COMPARED = (("ENERC_KCAL", "energy"), ("CHOCDF", "carbohydrate"), (NET, "net carbohydrate"))


def print_changed(changed: Sequence[Changed]) -> None:
    """Say which recipes a save changed, with the figures of a serving before and after."""
    print_out(*(text for one in changed for text in _changed(one)))


def _changed(one: Changed) -> Iterator[str]:
    begun = f"Changed {one.food_id}, {short(one.title)}, "
    yield f"{begun}per serving: {_few(one.before)}; now {_few(one.after)}"
    for way in one.variants:
        yield f"{begun}{short(way.name)}, per serving: {_few(way.before)}; now {_few(way.after)}"


def _few(figures: Figures | None) -> str:
    if figures is None:
        return "it cannot be worked out"
    return ", ".join(f"{name} {amount_text(total_of(figures, tagname))}" for tagname, name in _COMPARED)
