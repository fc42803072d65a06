"""Recipes that a save changed, in words."""

from __future__ import annotations

from collections.abc import Sequence

from service.commands.tables_of_text import print_out, short
from service.core.figures import Figures
from service.kitchens.shelf import Changed
from service.publish.publication import NET, total_of
from service.publish.wording import amount_text

# The figures by which a recipe that another one changed is told apart.
_COMPARED = (("ENERC_KCAL", "energy"), ("CHOCDF", "carbohydrate"), (NET, "net carbohydrate"))


def print_changed(changed: Sequence[Changed]) -> None:
    """Say which recipes a save changed, with the figures of a serving before and after."""
    print_out(*(_changed(one) for one in changed))


def _changed(one: Changed) -> str:
    return f"Changed {one.food_id}, {short(one.title)}, per serving: {_few(one.before)}; now {_few(one.after)}"


def _few(figures: Figures | None) -> str:
    if figures is None:
        return "it cannot be worked out"
    return ", ".join(f"{name} {amount_text(total_of(figures, tagname))}" for tagname, name in _COMPARED)
