"""What a worker of `gramwright bulk` does: a chunk of records into answers, with a resolver that it builds once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from threading import Lock
from typing import Any

from service.api.payloads import encode, error_payload, line_payload
from service.bulk.parts import Done
from service.bulk.records import COLUMN, Chunk, Fault, Record
from service.core.analyse import Resolver
from service.core.errors import GramwrightError, InputError, NotFoundError, StoreError
from service.kitchens.book import Book
from service.kitchens.forms import json_value
from service.kitchens.shelf import Shelf
from service.settings import Settings
from service.tables.version import vocabulary_version
from service.wiring import Catalogue, open_catalogue

ERROR, RECIPE = "error", "recipe"
# A resolver is not for several threads, which a worker of a cluster may have.
_ONE_AT_A_TIME = Lock()


@dataclass(frozen=True, slots=True)
class Job:
    """What is to be done with every record.

    settings    where the food data is; None where each worker has its own, by its environment
    datasets    the preferred one first
    components  tagnames, ("all",) or () for none with lines and all with recipes
    kitchen     whether lines are read with own foods, saved recipes and standing choices
    change      the state of the kitchen
    releases    of the store, by dataset: those that answered as of that change
    origin      releases and hand-kept tables that must answer
    """

    settings: Settings | None
    datasets: tuple[str, ...]
    components: tuple[str, ...]
    kitchen: bool
    change: int
    releases: tuple[tuple[str, str], ...]
    origin: tuple[str, ...]

    def __call__(self, chunk: Chunk) -> Done:
        """The answers to a chunk."""
        with _ONE_AT_A_TIME:
            return _desk(self).answered(chunk)


def origin_of(resolver: Resolver) -> tuple[str, ...]:
    """What answers follow from: the version of the hand-kept tables, and the releases."""
    releases = (f"{one.dataset} {one.release}" for one in resolver.table.releases)
    return (f"tables {vocabulary_version()}", *releases)


@lru_cache(maxsize=1)
def _desk(job: Job) -> Desk:
    settings = job.settings or replace(Settings.from_environment(), datasets=job.datasets)
    try:
        desk = Desk(open_catalogue(settings), job)
    except NotFoundError as error:
        raise StoreError(f"a worker has other food data: {error}") from None
    if (found := origin_of(desk.resolver)) != job.origin:
        raise StoreError(f"a worker has {', '.join(found)}, not {', '.join(job.origin)}")
    return desk


class Desk:
    """A resolver and a kitchen, ready for records."""

    def __init__(self, catalogue: Catalogue, job: Job) -> None:
        self.resolver = catalogue.past_resolver(None, dict(job.releases))
        self._catalogue, self._job = catalogue, job

    @cached_property
    def _shelf(self) -> Shelf:
        return Shelf(self._catalogue)

    @cached_property
    def _book(self) -> Book:
        """The kitchen, opened once for all records: it stays as it is, as the releases do."""
        book = self._shelf.book(at=self._job.change)
        if book.resolver is not self.resolver:
            raise StoreError(f"a worker's store had other releases as of change {self._job.change}")
        return book

    def answered(self, chunk: Chunk) -> Done:
        """One answer a record, in order; a record that cannot be read is answered with why."""
        outcomes: Counter[str] = Counter()
        answers = []
        for number, record in enumerate(chunk.records, chunk.first):
            outcome, answer = self._answer(number, record)
            outcomes[outcome] += 1
            answers.append(answer + b"\n")
        return Done(dict(outcomes), b"".join(answers))

    def _answer(self, number: int, record: Record) -> tuple[str, bytes]:
        try:
            asked = read_record(record)
            return self._line(asked) if isinstance(asked, str) else (RECIPE, encode(self._recipe(asked)))
        except InputError as error:
            return _error(number, str(error))
        except GramwrightError:  # the store, not the record
            raise
        except Exception as error:  # a defect: said in its place, and the others are answered
            return _error(number, f"unexpected {type(error).__name__}: {error}")

    def _line(self, line: str) -> tuple[str, bytes]:
        kitchen = self._book.kitchen if self._job.kitchen else None
        found = self.resolver.resolve(line, components=self._job.components, kitchen=kitchen)
        return found.outcome, encode(line_payload(found))

    def _recipe(self, value: Mapping[str, Any]) -> object:
        from service.api.recipe_answers import worked_answer
        from service.commands.recipe_inputs import recipe_form

        form, notes = recipe_form(value, is_treatment=self._shelf.cooking.knows)
        book = self._book
        chosen: Sequence[str] = () if self._job.components == ("all",) else self._job.components
        return worked_answer(self._shelf, book, book.work(form.value()), chosen=chosen, notes=notes)


def read_record(record: Record) -> str | Mapping[str, Any]:
    """The line of a record, or its recipe; InputError where it has neither."""
    if isinstance(record, str):
        return record
    if isinstance(record, Fault):
        raise InputError(record.message)
    value: Any = json_value(record)
    match value:
        case {"line": _, "sections": _} | {"line": _, "@type": _} | {"line": _, "@graph": _}:
            raise InputError(f"it is both a `{COLUMN}` and a recipe")
        case {"line": str(line)}:
            return line
        case {"line": _}:
            raise InputError(f"its `{COLUMN}` is no text")
        case {"sections": _} | {"@type": _} | {"@graph": _}:
            return dict(value)
    raise InputError(f'it is neither {{"{COLUMN}": "..."}} nor a recipe')


def _error(number: int, why: str) -> tuple[str, bytes]:
    return ERROR, encode(error_payload(number, f"record {number}: {why}"))
