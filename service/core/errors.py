"""Every error that this project raises, as one family.

    GramwrightError                a failure, said in one sentence
    ├── InputError                 the caller's input is at fault; `pointer` names the field
    │   ├── NotFoundError          a named food, dataset or component does not exist
    │   ├── CircleError            recipes would use each other in a circle; the message names them
    │   ├── ConflictError          somebody else saved in between; `current` is the revision that now stands
    │   └── InUseError             what is to be deleted is used; `users` names where
    ├── TableError                 a hand-kept table has a bad row: file, line, column, value
    ├── DataError                  a publisher's files are at fault: every fault found, gathered
    ├── FetchError                 a publication cannot be fetched, or is not the one that it should be
    └── StoreError                 the store cannot be opened, built or written
        ├── StoreAwayError         the database server does not answer; it may in a moment
        └── OvertakenError         somebody saved since a save was prepared: it is prepared anew

An ordinary miss (a line that names no food) is a value, not an error.
"""

from __future__ import annotations

from dataclasses import dataclass


class GramwrightError(Exception):
    """Base of the family; `str(error)` is one clear sentence for a person."""


class InputError(GramwrightError):
    """The caller's input is at fault; `pointer` is the RFC 6901 pointer of the field, "" for the whole."""

    def __init__(self, message: str, *, pointer: str = "", line: int | None = None) -> None:
        super().__init__(message)
        self.pointer = pointer
        self.line = line


class NotFoundError(InputError):
    """Something named by the caller (a food, a dataset, a component) does not exist."""


class CircleError(InputError):
    """A recipe is used by one that it uses."""


class ConflictError(InputError):
    """The caller's revision is no longer the latest; nothing was saved."""

    def __init__(self, message: str, *, current: int) -> None:
        super().__init__(message)
        self.current = current


class InUseError(InputError):
    """What is to be deleted is used by `users`, by their ids and titles; nothing was deleted."""

    def __init__(self, message: str, *, users: tuple[tuple[str, str], ...]) -> None:
        super().__init__(message)
        self.users = users


class TableError(GramwrightError):
    """A hand-kept table has a bad row."""

    def __init__(self, message: str, *, file: str, line: int, column: str, value: str) -> None:
        super().__init__(f"{file}:{line}:{column}: {message} (value {value!r})")
        self.file, self.line, self.column, self.value = file, line, column, value


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault of a publisher's file; `line` counts from 1, 0 means the file as a whole."""

    file: str
    line: int
    column: str
    value: str
    message: str

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}" if self.line else self.file
        column = f":{self.column}" if self.column else ""
        value = f" (value {self.value[:60]!r})" if self.value else ""
        return f"{place}{column}: {self.message}{value}"


class DataError(GramwrightError):
    """A publisher's files are at fault; `faults` holds every fault found, the message the first twenty."""

    def __init__(self, publication: str, faults: tuple[Fault, ...]) -> None:
        self.publication, self.faults = publication, faults
        shown = "\n".join(f"  {fault}" for fault in faults[:20])
        more = f"\n  and {len(faults) - 20} more" if len(faults) > 20 else ""
        noun = "fault" if len(faults) == 1 else "faults"
        super().__init__(f"{publication}: {len(faults)} {noun}\n{shown}{more}")


class FetchError(GramwrightError):
    """A publication cannot be fetched from its publisher, or what came is not the file that it should be."""


class StoreError(GramwrightError):
    """The store cannot be opened, built or written.

    The message may say where the store is; `told` is for clients of the API, who need not know that.
    """

    def __init__(self, message: str, told: str = "The store cannot be used; the server's log says why") -> None:
        super().__init__(message)
        self.told = told


class StoreAwayError(StoreError):
    """The server that holds the store does not answer; what is in memory still stands, since nobody can save."""


class OvertakenError(StoreError):
    """Somebody saved in the same kitchen since a save was prepared; whoever prepared it looks again and repeats it."""
