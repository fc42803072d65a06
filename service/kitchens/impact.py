"""What activating a release would change in kitchens: recipes by old and new figures, standing choices."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from service.core.comparison import Comparison, compare
from service.core.composition import Composition
from service.core.errors import InputError, NotFoundError
from service.kitchens.book import Book
from service.kitchens.forms import ChoiceForm, read_form
from service.kitchens.shelf import Changed, Shelf, change_between, moved
from service.store import kitchen as store
from service.store.read import load_table, stored_releases


@dataclass(frozen=True, slots=True)
class ChangedChoice:
    """A standing choice whose food changes: its descriptions before and after, None where it is not there."""

    kitchen: str
    phrase: str
    food_id: str
    before: str | None
    after: str | None


@dataclass(frozen=True, slots=True)
class Impact:
    """What a release would change; recipes as (kitchen, what changes).

    active  the release that answers now, by which the old figures are; None where its dataset is not in use
    """

    active: str | None = None
    recipes: tuple[tuple[str, Changed], ...] = ()
    choices: tuple[ChangedChoice, ...] = ()


def compared(shelf: Shelf, dataset: str, old: str | None = None, new: str | None = None) -> Comparison:
    """What differs between two releases of a dataset, by default the active one and the one loaded last.

    NotFoundError for a dataset that is not in the store, with a pointer for a release that is not.
    """
    engine = shelf.catalogue.engine
    stored = stored_releases(engine, dataset)
    if not stored:
        known = ", ".join(dict.fromkeys(one.dataset for one in shelf.catalogue.stored_releases()))
        raise NotFoundError(f"no dataset {dataset!r} in the store; there are: {known}")
    active = next((one.release for one in stored if one.active), stored[0].release)
    names = {"old": old or active, "new": new or stored[-1].release}
    for field, name in names.items():
        if name not in {one.release for one in stored}:
            known = ", ".join(one.release for one in stored)
            message = f"no release {name!r} of {dataset} is in the store; there are: {known}"
            raise NotFoundError(message, pointer=f"/{field}")
    tables = [load_table(engine, (dataset,), chosen={dataset: name}) for name in names.values()]
    return compare(*tables)


def impact(shelf: Shelf, dataset: str, release: str, *, kitchens: Iterable[str] | None = None) -> Impact:
    """What would change if this release were the active one; nothing is switched.

    Of every kitchen by default. A release that answers already, or of a dataset that is not in use, changes nothing.
    """
    catalogue = shelf.catalogue
    active = {one.dataset: one.release for one in catalogue.resolver().table.releases}.get(dataset)
    if active in (None, release):
        return Impact(active)
    resolver = catalogue.candidate(dataset, release)
    recipes: list[tuple[str, Changed]] = []
    choices: list[ChangedChoice] = []
    for kitchen in store.kitchens(catalogue.engine) if kitchens is None else kitchens:
        old, new = shelf.book(kitchen), shelf.candidate_book(kitchen, resolver)
        recipes += [(kitchen, one) for one in _changed(shelf, kitchen, old, new)]
        choices += _choices(shelf, kitchen, old, new)
    return Impact(active, tuple(recipes), tuple(choices))


def _changed(shelf: Shelf, kitchen: str, old: Book, new: Book) -> Iterator[Changed]:
    for document in shelf.documents("recipe", kitchen):
        change = change_between(old, new, document.food_id, document.title)
        lost = tuple(one[1:] for one in new.lost if one[0] == document.food_id and one not in old.lost)
        if change.before is None and change.after is None:
            continue  # it can be worked out by neither release
        if lost or moved(change):
            yield replace(change, lost=lost)


def _choices(shelf: Shelf, kitchen: str, old: Book, new: Book) -> Iterator[ChangedChoice]:
    for document in shelf.documents("choice", kitchen):
        food_id = read_form(ChoiceForm, document.body).food
        if food_id is None or food_id.partition(":")[0] in ("own", "recipe"):
            continue
        before, after = _known(old, food_id), _known(new, food_id)
        if not _alike(old, before, new, after):
            names = [None if one is None else one.food.description for one in (before, after)]
            yield ChangedChoice(kitchen, document.title, food_id, *names)


def _known(book: Book, food_id: str) -> Composition | None:
    try:
        return book.composition(food_id)
    except InputError:
        return None


def _alike(old: Book, before: Composition | None, new: Book, after: Composition | None) -> bool:
    """Whether an entry is the same in both, over the components that both have."""
    if before is None or after is None:
        return before is after
    shared = [tagname for tagname in old.columns if tagname in new.columns]
    one, other = (found.row[[book.columns[tagname] for tagname in shared]]
                  for book, found in ((old, before), (new, after)))  # fmt: skip
    return before.food == after.food and np.array_equal(one, other, equal_nan=True)
