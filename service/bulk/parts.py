"""What is finished of a long piece of work, kept beside its output: a killed run loses nothing and repeats nothing.

`OUT.parts/` holds a manifest and one file a finished chunk. A file has its name only once it is whole and on the disk:
it is written under another name, flushed and renamed. The first line of a part counts its outcomes.
"""

from __future__ import annotations

import os
import shutil
from collections import Counter
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

import orjson
from filelock import FileLock, Timeout

from service.core.errors import GramwrightError, InputError

_MANIFEST, _LOCK, _NEW = "manifest.json", "lock", ".new"
_NAMES = {
    "input": "input", "chunk": "size of chunks", "vocabulary": "hand-kept tables", "releases": "releases",
    "change": "state of the kitchen", "components": "components", "kitchen": "--kitchen",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Done:
    """A chunk that is finished: how often each outcome is in it, and its answers, one JSON object a line."""

    outcomes: Mapping[str, int]
    answers: bytes


class Parts:
    """The finished chunks of one output."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.outcomes: Counter[str] = Counter()
        self.finished: set[int] = set()

    def manifest(self) -> Mapping[str, Any]:
        """That of the run that was left here, empty where none was."""
        try:
            found = orjson.loads((self.folder / _MANIFEST).read_bytes())
        except FileNotFoundError:
            return {}
        except ValueError:
            raise InputError(f"{self.folder / _MANIFEST} is no manifest; delete that folder to begin anew") from None
        return found if isinstance(found, dict) else {}

    def take_up(self, manifest: Mapping[str, Any]) -> None:
        """Begin, or go on where the same work was left; InputError where other work was."""
        before = self.manifest()
        if not before:
            write_whole(self.folder / _MANIFEST, orjson.dumps(manifest, option=orjson.OPT_INDENT_2))
        elif other := [_NAMES[name] for name in manifest if before.get(name) != manifest[name]]:
            raise InputError(
                f"{self.folder} holds a run with other {' and '.join(other)}; "
                "go on with the same, or delete that folder to begin anew"
            )
        for part in self.folder.glob("*.part"):
            self._count(int(part.stem), part)

    def _count(self, number: int, path: Path) -> None:
        with path.open("rb") as file:
            self.outcomes.update(orjson.loads(file.readline()))
        self.finished.add(number)

    def add(self, number: int, done: Done) -> None:
        """Keep a finished chunk."""
        head = orjson.dumps(dict(done.outcomes)) + b"\n"
        write_whole(self._path(number), head + done.answers)
        self.outcomes.update(done.outcomes)
        self.finished.add(number)

    def answers(self) -> Iterator[bytes]:
        """The answers of every chunk in order, one JSON object a line."""
        for number in sorted(self.finished):
            with self._path(number).open("rb") as file:
                file.readline()
                yield file.read()

    def _path(self, number: int) -> Path:
        return self.folder / f"{number:08d}.part"

    def remove(self) -> None:
        """Delete all that was kept."""
        shutil.rmtree(self.folder)


@contextmanager
def parts_of(out: Path) -> Iterator[Parts]:
    """The parts of an output, for one run at a time; InputError while another works on them."""
    folder = out.with_name(f"{out.name}.parts")
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        raise InputError(f"cannot write {out}: {error.strerror}") from error
    lock = FileLock(folder / _LOCK)
    try:
        lock.acquire(timeout=0)
    except Timeout:
        raise InputError(f"another run is writing {out}") from None
    try:
        yield Parts(folder)
    finally:
        lock.release()


def write_whole(path: Path, content: bytes) -> None:
    """Write a file that has its name only once it is whole and on the disk."""
    with whole_file(path) as file:
        file.write(content)


@contextmanager
def whole_file(path: Path, *, beside: Path | None = None) -> Iterator[IO[bytes]]:
    """A file to write that gets its name when all went well; until then it is in the folder `beside`."""
    new = (beside or path.parent) / f"{path.name}{_NEW}"
    try:
        with new.open("wb") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
        os.replace(new, path)
    except OSError as error:
        new.unlink(missing_ok=True)
        raise GramwrightError(
            f"cannot write {path}: {error.strerror or error}; what is finished is kept: run the same command again"
        ) from error
