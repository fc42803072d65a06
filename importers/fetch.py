"""Fetches publications from their publishers: resumed, tried again, checked, and only from where sources.csv says.

A file that is on its way is named `*.part`; it takes its name when it is whole and its SHA-256 is that of sources.csv,
or else the one recorded when the file was first seen. Only https is spoken, and only to hosts of sources.csv, where a
redirect leads too. Publishers move their files: a table of one's own may name other addresses, and a failure names the
publisher's page and how to go on with a file that was fetched by hand.
"""

from __future__ import annotations

import csv
import hashlib
import json
import os
import re
import time
from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import asdict, dataclass, replace
from email.utils import parsedate_to_datetime
from functools import lru_cache
from pathlib import Path
from urllib.parse import urljoin, urlsplit

import httpx
from filelock import FileLock

from importers.release import Progress, no_progress
from service.core.errors import FetchError, NotFoundError, TableError

BLOCK = 2**16
ATTEMPTS = 6
MOST_REDIRECTS = 5
LONGEST_WAIT = 60.0  # seconds between two attempts
# How files of each kind begin: a zip's first record (an .xlsx is a zip), an OLE container.
BEGINNINGS = {".zip": b"PK", ".xlsx": b"PK", ".xls": b"\xd0\xcf\x11\xe0"}
TIMEOUT = httpx.Timeout(30.0, connect=10.0)
# A server that is overloaded or in repair, asked again later; 429 and 503 may say when.
PASSING = frozenset({408, 429, 500, 502, 503, 504})


@dataclass(frozen=True, slots=True)
class Source:
    """Where a publication comes from: `file` it is kept as, `largest` it may be in bytes, `sha256` or "".

    `page` is where its publisher offers it to people, "" where that is not known.
    """

    name: str
    url: str
    file: str
    largest: int
    sha256: str
    licence: str
    page: str = ""

    @property
    def origin(self) -> str:
        return _origin(self.url)


@dataclass(frozen=True, slots=True)
class Fetched:
    """A file that is whole and checked; `changed` is False where it was there already."""

    path: Path
    sha256: str
    changed: bool


@dataclass(frozen=True, slots=True)
class _Seen:
    """What is recorded of a file, whole or on its way: its address, length, digest ("" on its way) and validator."""

    url: str
    length: int | None = None
    sha256: str = ""
    etag: str = ""
    modified: str = ""

    @property
    def validator(self) -> str:
        """What If-Range may name: a strong entity tag, else the date (RFC 9110, 13.1.5)."""
        return self.modified if not self.etag or self.etag.startswith("W/") else self.etag


class _TryAgain(Exception):
    """The connection broke off or the server is busy; `wait` is what the server asks for, in seconds."""

    def __init__(self, why: str, wait: float = 0.0) -> None:
        super().__init__(why)
        self.wait = wait


# Columns of sources.csv, with what each cell must be; one more says where a row's figures are from.
COLUMNS = {
    "name": r"[a-z0-9-]+", "url": r"https://\S+", "file": r"[\w .-]+\.(?:zip|xlsx?)", "largest": r"[1-9]\d{0,11}",
    "sha256": r"(?:[0-9a-f]{64})?", "page": r"(?:https://\S+)?", "licence": r".+",
}  # fmt: skip


@lru_cache(maxsize=2)
def sources(own: Path | None = None) -> Mapping[str, Source]:
    """The sources of sources.csv by name, those of a table of one's own with the same columns in their place.

    A bad row raises TableError, a table that cannot be read FetchError.
    """
    found = _rows(Path(__file__).with_name("sources.csv"))
    return found if own is None else {**found, **_rows(own)}


def _rows(path: Path) -> dict[str, Source]:
    try:
        with path.open(encoding="utf-8-sig", newline="") as stream:
            reader = csv.DictReader(stream)
            found = [_source(row, path.name, reader.line_num) for row in reader]
    except (OSError, UnicodeDecodeError) as error:
        raise FetchError(f"the table of sources {path} cannot be read: {error}") from error
    return {source.name: source for source in found}


def _source(row: dict[str, str], file: str, line: int) -> Source:
    for column, form in COLUMNS.items():
        value = row.get(column) or ""
        if not re.fullmatch(form, value):
            raise TableError(f"must match {form}", file=file, line=line, column=column, value=value)
    cells = {column: row[column] for column in COLUMNS}
    return Source(**{**cells, "largest": int(row["largest"])})  # type: ignore[arg-type]


def fetch(
    name: str,
    folder: Path,
    *,
    known: Mapping[str, Source] | None = None,
    also_from: Collection[str] = (),
    progress: Progress | None = None,
    wait: Callable[[float], None] = time.sleep,
    timeout: httpx.Timeout = TIMEOUT,
) -> Fetched:
    """The publication of a dataset, in `folder`; fetched only where it is not there or the publisher has another.

    `also_from` are origins ("http://127.0.0.1:8000") allowed beside the https ones of sources.csv; `wait` rests
    between attempts. NotFoundError for an unknown name, FetchError where the file cannot be fetched or is not the one
    that it should be; a broken download stays, for the next call to go on with.
    """
    known = sources() if known is None else known
    if name not in known:
        raise NotFoundError(f"no source of {name!r} is known; there is: {', '.join(known)}", pointer="/name")
    source = known[name]
    allowed = {one.origin for one in known.values() if one.url.startswith("https://")} | set(also_from)
    with (
        _kept_in(folder, name),
        FileLock(folder / f"{source.file}.lock"),
        httpx.Client(follow_redirects=False, timeout=timeout, trust_env=True) as client,
    ):
        return _Download(source, folder, client, allowed, progress or no_progress).run(wait)


@contextmanager
def _kept_in(folder: Path, name: str) -> Iterator[None]:
    """Say where a file could not be kept, as on a full disk."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        yield
    except OSError as error:
        raise FetchError(f"{name} cannot be kept in {folder}: {error.strerror or error}") from error


def _origin(url: str) -> str:
    parts = urlsplit(url)
    return f"{parts.scheme}://{parts.netloc}".lower()


class _Download:
    def __init__(
        self, source: Source, folder: Path, client: httpx.Client, allowed: Collection[str], progress: Progress
    ) -> None:
        self._source, self._client, self._allowed, self._progress = source, client, allowed, progress
        self._whole, self._part = folder / source.file, folder / f"{source.file}.part"

    def run(self, wait: Callable[[float], None]) -> Fetched:
        """Try until the file is whole; each attempt goes on where the one before ended."""
        if self._source.sha256 and self._whole.exists() and _digest(self._whole) == self._source.sha256:
            return Fetched(self._whole, self._source.sha256, changed=False)
        for attempt in range(1, ATTEMPTS + 1):
            try:
                return self._attempt()
            except (httpx.TransportError, _TryAgain) as error:
                if attempt == ATTEMPTS:
                    raise self._failure(f"{ATTEMPTS} attempts failed, the last one: {_why(error)}") from error
                asked = error.wait if isinstance(error, _TryAgain) else 0.0
                wait(min(max(asked, 2.0 ** (attempt - 1)), LONGEST_WAIT))
        raise AssertionError("unreachable")

    def _failure(self, why: str) -> FetchError:
        source = self._source
        where = f"on {source.page}" if source.page else "on its publisher's page"
        how = f"gramwright dataset fetch {source.name} --file FILE"
        return FetchError(
            f"{source.name} cannot be fetched from {source.url}: {why}. If its publisher moved it, look for it {where} "
            f"and load the file that you find there: {how}"
        )

    def _attempt(self) -> Fetched:
        there = self._seen(self._whole)
        with self._opened(self._source.url, self._headers(there)) as answer:
            if answer.status_code == 304 and there is not None:
                return Fetched(self._whole, there.sha256, changed=False)
            if answer.status_code == 416:
                self._drop()
                raise _TryAgain("the server has not what is missing of the file")
            self._receive(answer)
        return self._finish(there)

    # ---- what is asked ----

    def _headers(self, there: _Seen | None) -> dict[str, str]:
        """Ask only for another file than the one that is there, or for the rest of what is on its way."""
        headers = {"Accept-Encoding": "identity", "User-Agent": "gramwright"}
        if there is not None and (there.etag or there.modified):
            headers |= {"If-None-Match": there.etag} if there.etag else {"If-Modified-Since": there.modified}
        begun = self._seen(self._part)
        if there is None and begun is not None and begun.validator and self._part.stat().st_size:
            headers |= {"Range": f"bytes={self._part.stat().st_size}-", "If-Range": begun.validator}
        return headers

    @contextmanager
    def _opened(self, url: str, headers: Mapping[str, str]) -> Iterator[httpx.Response]:
        """The answer after redirects, each of which must lead to an allowed place."""
        for _ in range(MOST_REDIRECTS + 1):
            if _origin(url) not in self._allowed:
                raise self._failure(f"{_origin(url)} is none of the places of sources.csv, or not https")
            with self._client.stream("GET", url, headers=dict(headers)) as answer:
                if answer.has_redirect_location:
                    url = urljoin(url, answer.headers["location"])
                    continue
                self._check_status(answer)
                yield answer
                return
        raise self._failure("it is redirected without end")

    def _check_status(self, answer: httpx.Response) -> None:
        if answer.status_code in PASSING:
            raise _TryAgain(f"status {answer.status_code}", _retry_after(answer))
        if answer.status_code not in (200, 206, 304, 416):
            raise self._failure(f"the server answers with status {answer.status_code}")

    # ---- what comes ----

    def _receive(self, answer: httpx.Response) -> None:
        resumed = answer.status_code == 206
        begun = self._part.stat().st_size if resumed and self._part.exists() else 0
        if resumed and not answer.headers.get("content-range", "").startswith(f"bytes {begun}-"):
            self._drop()
            raise _TryAgain("the server sends another part than the one asked for")
        total = _length(answer, begun)
        self._check_size(total or 0)
        headers = answer.headers
        seen = _Seen(self._source.url, total, "", headers.get("etag", ""), headers.get("last-modified", ""))
        self._note(self._part, seen)
        done = begun
        with self._part.open("ab" if resumed else "wb") as stream:
            for block in answer.iter_bytes(BLOCK):
                done += len(block)
                self._check_size(done)
                stream.write(block)
                self._progress(done, max(total or 0, done), f"Fetching {self._source.name}")
            stream.flush()
            os.fsync(stream.fileno())
        if total is not None and done != total:
            raise _TryAgain(f"{done:,} of {total:,} bytes came")

    def _check_size(self, size: int) -> None:
        if size > self._source.largest:
            self._drop()
            raise self._failure(f"it has more than {self._source.largest:,} bytes, the most that sources.csv allows")

    def _finish(self, there: _Seen | None) -> Fetched:
        """Give the file its name if its digest is the known one."""
        if (suffix := self._whole.suffix.lower()) in BEGINNINGS and not _begins(self._part, BEGINNINGS[suffix]):
            self._drop()
            raise self._failure(f"what comes is no {suffix} file, perhaps a page that says where it is now")
        digest = _digest(self._part)
        recorded = self._recorded()
        expected = self._source.sha256 or (recorded.sha256 if recorded else "")
        if expected and digest != expected:
            self._drop()
            why = f"it is another file than the known one: SHA-256 {digest}, not {expected}"
            known = "correct its row of sources" if self._source.sha256 else f"delete {_note_of(self._whole)}"
            raise self._failure(f"{why}; if the publisher announced a new one, {known}")
        seen = self._seen(self._part) or _Seen(self._source.url)
        os.replace(self._part, self._whole)
        self._note(self._whole, replace(seen, sha256=digest, length=self._whole.stat().st_size))
        _note_of(self._part).unlink(missing_ok=True)
        return Fetched(self._whole, digest, changed=there is None or there.sha256 != digest)

    # ---- what is recorded ----

    def _recorded(self) -> _Seen | None:
        """What was noted of the whole file when it was first seen, whether it is still there or not."""
        return _read_note(self._whole, self._source.url)

    def _seen(self, path: Path) -> _Seen | None:
        """What is noted of a file that is there; a whole one only as it was then."""
        seen = _read_note(path, self._source.url)
        if seen is None or not path.exists():
            return None
        if path == self._whole and (self._source.sha256 or _digest(path) != seen.sha256):
            return None
        return seen

    def _note(self, path: Path, seen: _Seen) -> None:
        place = _note_of(path)
        new = place.with_name(f"{place.name}.new")
        new.write_text(json.dumps(asdict(seen), indent=1), encoding="utf-8")
        os.replace(new, place)

    def _drop(self) -> None:
        """Forget what is on its way."""
        self._part.unlink(missing_ok=True)
        _note_of(self._part).unlink(missing_ok=True)


def _note_of(path: Path) -> Path:
    return path.with_name(f"{path.name}.json")


def _read_note(path: Path, url: str) -> _Seen | None:
    try:
        seen = _Seen(**json.loads(_note_of(path).read_text(encoding="utf-8")))
    except (OSError, ValueError, TypeError):  # none, or one that something else wrote
        return None
    return seen if seen.url == url else None


def _begins(path: Path, beginning: bytes) -> bool:
    with path.open("rb") as stream:
        return stream.read(len(beginning)) == beginning


def _digest(path: Path) -> str:
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def _length(answer: httpx.Response, begun: int) -> int | None:
    """The length of the whole file as the server announces it."""
    if answer.status_code == 206:
        total = answer.headers["content-range"].rpartition("/")[2]
        return int(total) if total.isdecimal() and len(total) < 20 else None
    said = answer.headers.get("content-length", "")
    return int(said) if said.isdecimal() and len(said) < 20 else None


def _retry_after(answer: httpx.Response) -> float:
    said = answer.headers.get("retry-after", "")
    if said.isdecimal():
        return float(said)
    try:
        return max(0.0, parsedate_to_datetime(said).timestamp() - time.time())
    except ValueError:
        return 0.0


def _why(error: Exception) -> str:
    return str(error) or type(error).__name__
