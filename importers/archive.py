"""A publication's files by name, in a folder or read in place out of a zip archive.

Nothing is unpacked. An archive is refused whole (DataError) if it cannot be read, if a member's name leaves the
archive, if two members bear one name, or if it would expand past all measure.
"""

from __future__ import annotations

import errno
import io
import os
import stat
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path, PurePosixPath
from typing import IO, Any, Protocol

from importers.check import Findings
from service.core.errors import DataError

LARGEST = 16 * 2**30  # bytes of all members; the fullest known publication expands to a fifth of it
SMALL = 2**28  # bytes that a member may have whatever its ratio: padding with blank rows packs very well
RATIO = 200  # of unpacked to packed bytes; published tables of figures pack 3 to 30 to one

DAMAGED = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError)


class Files(Protocol):
    """Files by base name ("food.csv"), whatever folder inside the publication they stand in."""

    name: str

    def sizes(self) -> Mapping[str, int]:
        """Unpacked bytes of each file."""

    def open(self, name: str) -> IO[bytes]:
        """The file as a stream of bytes; KeyError if there is none of that name."""


class _Folder(Mapping[str, int]):
    """The files of a folder, as a mapping their sizes; each is looked at when it is asked for, and others may go."""

    def __init__(self, path: Path, findings: Findings) -> None:
        self.name, self._findings = path.name, findings
        found = sorted(Path(folder, name) for folder, _, names in os.walk(path) for name in names)
        self._paths = {file.name: file for file in found}

    def sizes(self) -> Mapping[str, int]:
        return self

    def open(self, name: str) -> IO[bytes]:
        path = self._paths[name]
        with self._faults_of(name):
            if not stat.S_ISREG(path.stat().st_mode):  # a pipe would never end
                raise OSError(errno.EINVAL, "it is no plain file")
            return path.open("rb")

    def __getitem__(self, name: str) -> int:
        path = self._paths[name]
        with self._faults_of(name):
            return path.stat().st_size

    def __contains__(self, name: object) -> bool:
        return name in self._paths

    def __iter__(self) -> Iterator[str]:
        return iter(self._paths)

    def __len__(self) -> int:
        return len(self._paths)

    @contextmanager
    def _faults_of(self, name: str) -> Iterator[None]:
        try:
            yield
        except OSError as error:
            self._findings.add(f"cannot be read: {error.strerror or error}", file=name)
            raise DataError(self._findings.publication, self._findings.faults) from error


class _Archive:
    def __init__(self, path: Path, archive: zipfile.ZipFile, findings: Findings) -> None:
        self.name, self._findings = path.name, findings
        self._archive = archive
        self._members = {PurePosixPath(member.filename).name: member for member in _members(archive)}

    def sizes(self) -> Mapping[str, int]:
        return {name: member.file_size for name, member in self._members.items()}

    def open(self, name: str) -> IO[bytes]:
        member = self._members[name]
        try:
            stream = self._archive.open(member)
        except DAMAGED as error:
            raise self.damaged(error) from error
        return io.BufferedReader(_Member(stream, self))

    def damaged(self, error: Exception) -> DataError:
        """What to raise for an error of unpacking, with what was found before."""
        self._findings.add(f"is damaged or cut short: {error}", file=self.name)
        return DataError(self._findings.publication, self._findings.faults)


class _Member(io.RawIOBase):
    """An unpacked member; damage that shows while it is read is a DataError that names the archive."""

    def __init__(self, stream: IO[bytes], archive: _Archive) -> None:
        self._stream, self._within = stream, archive

    def readable(self) -> bool:
        return True

    def seekable(self) -> bool:
        return self._stream.seekable()

    def seek(self, offset: int, whence: int = io.SEEK_SET) -> int:
        return self._stream.seek(offset, whence)

    def readinto(self, buffer: Any) -> int:
        try:
            data = self._stream.read(len(buffer))
        except DAMAGED as error:
            raise self._within.damaged(error) from error
        buffer[:len(data)] = data
        return len(data)

    def close(self) -> None:
        self._stream.close()
        super().close()


@contextmanager
def open_files(path: Path, findings: Findings) -> Iterator[Files]:
    """The files of a folder or a zip; DataError, with what `findings` holds, if it cannot be opened or is unsafe.

    A member that turns out to be damaged while it is read is a DataError too.
    """
    if path.is_dir():
        yield _Folder(path, findings)
        return
    with _opened(path, findings) as archive:
        yield _Archive(path, archive, findings)


def _opened(path: Path, findings: Findings) -> zipfile.ZipFile:
    try:
        archive = zipfile.ZipFile(path)
    except (OSError, *DAMAGED) as error:
        told = getattr(error, "strerror", None)
        findings.add(f"cannot be read: {told}" if told else f"is damaged or cut short: {error}", file=path.name)
        raise DataError(findings.publication, findings.faults) from error
    _check_members(path, archive, findings)
    if findings.faults:
        archive.close()
    findings.raise_any()
    return archive


def _members(archive: zipfile.ZipFile) -> list[zipfile.ZipInfo]:
    return [member for member in archive.infolist() if not member.is_dir()]


def _check_members(path: Path, archive: zipfile.ZipFile, findings: Findings) -> None:
    seen: set[str] = set()
    for member in _members(archive):
        place = PurePosixPath(member.filename.replace("\\", "/"))
        if place.is_absolute() or ".." in place.parts or ":" in place.parts[0]:
            findings.add("a member's name leaves the archive", file=path.name, value=member.filename)
        if place.name in seen:
            findings.add("two members bear this name", file=path.name, value=place.name)
        if member.file_size > max(SMALL, RATIO * member.compress_size):
            findings.add(f"a member expands to {member.file_size:,} bytes, more than {RATIO} times its packed size",
                         file=path.name, value=member.filename)
        if member.flag_bits & 1 or member.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            findings.add("a member is encrypted or packed in an uncommon way", file=path.name, value=member.filename)
        seen.add(place.name)
    total = sum(member.file_size for member in _members(archive))
    if total > LARGEST:
        findings.add(f"expands to {total:,} bytes, more than {LARGEST:,}", file=path.name)
