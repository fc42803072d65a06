"""Opens the store for a command; a missing one is built, with bars on standard error that show how far it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from service.datasets import EMBEDDED, ensure_ready, terminal_progress
from service.settings import Settings

if TYPE_CHECKING:
    from sqlalchemy import Engine

    from service.core.kitchen import Kitchen
    from service.kitchens.shelf import Shelf
    from service.wiring import Catalogue


def open_store(settings: Settings | None = None) -> Catalogue:
    """The food data of these settings, by default those of the environment."""
    from service.wiring import open_catalogue  # brings the resolver: only where lines or foods are asked for

    with terminal_progress() as progress:
        return open_catalogue(settings or Settings.from_environment(), progress=progress)


def settings_asked(datasets: Sequence[str] | None) -> Settings:
    """The settings of the environment, with the datasets that a command names in place of those in use."""
    settings = Settings.from_environment()
    return replace(settings, datasets=tuple(datasets)) if datasets else settings


def open_engine() -> Engine:
    """The store without its food data, for what needs none of it: datasets in use need not be in it yet."""
    settings = Settings.from_environment()
    built = tuple(one for one in settings.datasets if one in EMBEDDED) or tuple(EMBEDDED)
    with terminal_progress() as progress:
        return ensure_ready(replace(settings, datasets=built), progress=progress)


def open_shelf() -> Shelf:
    """The kitchens of the store."""
    return shelf_of(open_store())


def shelf_of(catalogue: Catalogue) -> Shelf:
    """The kitchens of this food data."""
    from service.kitchens.shelf import Shelf  # brings pydantic: only where a kitchen is used

    return Shelf(catalogue)


def kitchen_of(catalogue: Catalogue) -> Kitchen:
    """The names and rulings of the kitchen."""
    return shelf_of(catalogue).book().kitchen
