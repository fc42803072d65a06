"""Opens the store for a command; a missing one is built, with bars on standard error that show how far it is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from service.datasets import terminal_progress
from service.settings import Settings
from service.wiring import Catalogue, open_catalogue

if TYPE_CHECKING:
    from service.core.kitchen import Kitchen
    from service.kitchens.shelf import Shelf


def open_store(settings: Settings | None = None) -> Catalogue:
    """The food data of these settings, by default those of the environment."""
    with terminal_progress() as progress:
        return open_catalogue(settings or Settings.from_environment(), progress=progress)


def open_shelf() -> Shelf:
    """The kitchens of the store."""
    from service.kitchens.shelf import Shelf  # brings pydantic: only where a kitchen is used

    return Shelf(open_store())


def kitchen_of(catalogue: Catalogue) -> Kitchen:
    """The names and rulings of the kitchen."""
    from service.kitchens.shelf import Shelf

    return Shelf(catalogue).book().kitchen
