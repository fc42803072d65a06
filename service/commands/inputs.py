"""Where the input of a command comes from and where its output goes: arguments, files, standard input and output."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import BinaryIO

from service.core.errors import GramwrightError, InputError

STDIN = "-"
# More than the longest recipe that may be saved takes.
MOST_BYTES = 5 * 1024 * 1024


@contextmanager
def lines_asked(asked: argparse.Namespace) -> Iterator[Iterable[str]]:
    """The lines, from the one place that is named; a file stays open as long as they are read."""
    named = [name for name in (asked.file, asked.jsonl) if name]
    if bool(asked.lines) + len(named) > 1:
        raise InputError("give lines as arguments, or one file, or - for standard input")
    if not named and not asked.lines and asked.jsonl is None:
        raise InputError("give lines as arguments, or --file FILE, or - for standard input")
    if asked.lines and asked.lines != [STDIN]:
        yield [_argument(number, line) for number, line in enumerate(asked.lines, 1)]
    elif not named or named == [STDIN]:
        yield read_lines(sys.stdin.buffer, "standard input")
    else:
        hint = "; lines given as arguments go before --jsonl" if asked.jsonl else ""
        with _opened(named[0], hint) as file:
            yield read_lines(file, named[0])


def _opened(name: str, hint: str = "") -> BinaryIO:
    try:
        return open(name, "rb")
    except (OSError, ValueError) as error:
        raise InputError(f"cannot read {name}: {getattr(error, 'strerror', None) or error}{hint}") from error


def _argument(number: int, line: str) -> str:
    try:
        line.encode("utf-8")
    except UnicodeEncodeError:
        raise InputError(f"argument {number} is not UTF-8", line=number) from None
    return line


def read_lines(stream: BinaryIO, name: str) -> Iterator[str]:
    """Lines in UTF-8 that end at LF only, so every other mark stays in its line; the last one needs no end."""
    for number, raw in enumerate(stream, 1):
        try:
            yield raw.removesuffix(b"\n").decode("utf-8")
        except UnicodeDecodeError as error:
            raise InputError(f"{name}, line {number}: not UTF-8 at byte {error.start + 1}", line=number) from None


def read_text(name: str) -> str:
    """The whole text of a file, or of standard input for "-"; InputError where it cannot be read."""
    if name == STDIN:
        return _text(sys.stdin.buffer, "standard input")
    with _opened(name) as file:
        return _text(file, name)


def _text(stream: BinaryIO, name: str) -> str:
    try:
        read = stream.read(MOST_BYTES + 1)
    except OSError as error:
        raise InputError(f"cannot read {name}: {error.strerror}") from error
    if len(read) > MOST_BYTES:
        raise InputError(f"{name} has more than {MOST_BYTES // 1024**2} MB")
    try:
        return read.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = read.count(b"\n", 0, error.start) + 1
        raise InputError(f"{name}, line {line}: not UTF-8 at byte {error.start + 1}", line=line) from None


@contextmanager
def pointed(name: str) -> Iterator[None]:
    """Name the file and the field (RFC 6901) where what the file holds cannot be."""
    try:
        yield
    except InputError as error:
        if not error.pointer or error.pointer == "/id":
            raise
        said = str(error).removeprefix(f"{error.pointer}: ")
        where = "standard input" if name == STDIN else name
        raise InputError(f"{where}, {error.pointer}: {said}", pointer=error.pointer) from None


def write_text(text: str, name: str | None = None) -> None:
    """Write a text in UTF-8 as it is to a file, or to standard output for None and "-"."""
    if name in (None, STDIN):
        sys.stdout.buffer.write(text.encode())
        sys.stdout.buffer.flush()
        return
    try:
        with open(str(name), "wb") as file:
            file.write(text.encode())
    except OSError as error:
        raise GramwrightError(f"cannot write {name}: {error.strerror}") from error
