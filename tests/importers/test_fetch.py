"""Fetching from a local server that breaks off, lies, redirects elsewhere, serves another file, is slow or busy."""

from __future__ import annotations

import errno
import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Event, Thread
from typing import Any

import httpx
import pytest

from importers.fetch import ATTEMPTS, LONGEST_WAIT, Fetched, Source, fetch, sources
from importers.release import Progress
from service.core.errors import FetchError, NotFoundError, TableError

CONTENT = (b"PK\x03\x04" + bytes(range(256)) * 4096)[: 2**20]  # a megabyte that begins as a zip does
OTHER = CONTENT[:4] + CONTENT[:3:-1]
DIGEST = hashlib.sha256(CONTENT).hexdigest()


@dataclass
class Publisher:
    """What the server does; each request takes one of `faults` off, and has none when they are used up."""

    content: bytes = CONTENT
    etag: str = '"one"'
    faults: list[str] = field(default_factory=list)
    modified: str = ""
    elsewhere: str = ""
    again_after: str = "7"
    requests: list[dict[str, str]] = field(default_factory=list)
    sent: int = 0
    url: str = ""
    ended: Event = field(default_factory=Event)


class Handler(BaseHTTPRequestHandler):
    server: Any

    def log_message(self, *_: object) -> None:
        """Says nothing."""

    def do_GET(self) -> None:
        publisher: Publisher = self.server.publisher
        publisher.requests.append({name.lower(): value for name, value in self.headers.items()})
        fault = publisher.faults.pop(0) if publisher.faults else ""
        if fault.isdigit():
            return self._status(int(fault), {"Retry-After": publisher.again_after} if fault in ("429", "503") else {})
        if fault == "redirect":
            return self._status(302, {"Location": publisher.elsewhere})
        if self.headers.get("If-None-Match") == publisher.etag:
            return self._status(304, {"ETag": publisher.etag})
        return self._send(publisher, fault)

    def _status(self, status: int, headers: dict[str, str]) -> None:
        self.send_response(status)
        for name, value in {**headers, "Content-Length": "0"}.items():
            self.send_header(name, value)
        self.end_headers()

    def _send(self, publisher: Publisher, fault: str) -> None:
        begun, content = 0, publisher.content
        asked = re.fullmatch(r"bytes=(\d+)-", self.headers.get("Range", ""))
        if asked and self.headers.get("If-Range") == publisher.etag:
            begun = int(asked[1])
        self.send_response(206 if begun else 200)
        first = begun + 5 if fault == "wrong part" else begun
        rest = content[first:-1000] if fault == "short part" else content[first:]
        said = len(rest) + {"says more": 1000, "says less": -1000}.get(fault, 0)
        if fault != "says nothing":
            self.send_header("Content-Length", str(said))
        self.send_header("ETag", publisher.etag)
        if publisher.modified:
            self.send_header("Last-Modified", publisher.modified)
        if begun:
            self.send_header("Content-Range", f"bytes {first}-{first + len(rest) - 1}/{len(content)}")
        self.end_headers()
        if fault == "breaks off":
            rest = rest[: len(rest) // 2]
        if fault == "slow":
            self.wfile.write(rest[:1000])
            self.wfile.flush()
            publisher.ended.wait(60)
        try:
            self.wfile.write(rest)
        except OSError:  # the caller has gone
            return
        publisher.sent += len(rest)
        self.close_connection = True


@pytest.fixture
def publisher() -> Iterator[Publisher]:
    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    publisher = Publisher(url=f"http://127.0.0.1:{server.server_port}")
    server.publisher = publisher  # type: ignore[attr-defined]
    thread = Thread(target=server.serve_forever, args=(0.02,), daemon=True)
    thread.start()
    yield publisher
    publisher.ended.set()
    server.shutdown()
    server.server_close()


def source(publisher: Publisher, **more: Any) -> Source:
    return replace(Source("harbour", f"{publisher.url}/h.zip", "h.zip", 2_000_000, "", "free"), **more)


def fetched(publisher: Publisher, folder: Path, *, waits: list[float] | None = None, progress: Progress | None = None,
            **more: Any) -> Fetched:  # fmt: skip
    rest = (lambda _: None) if waits is None else waits.append
    timeout = httpx.Timeout(2 if "slow" in publisher.faults else 60)  # the machine may be busy with others
    return fetch("harbour", folder, known={"harbour": source(publisher, **more)}, also_from={publisher.url}, wait=rest,
                 progress=progress, timeout=timeout)  # fmt: skip


def test_a_file_is_fetched_with_its_digest(publisher: Publisher, tmp_path: Path) -> None:
    told: list[tuple[int, int, str]] = []
    found = fetched(publisher, tmp_path, progress=lambda *step: told.append(step))
    assert (found.path.read_bytes(), found.sha256, found.changed) == (CONTENT, DIGEST, True)
    assert told[-1] == (len(CONTENT), len(CONTENT), "Fetching harbour")
    assert {path.name for path in tmp_path.iterdir()} - {"h.zip.lock"} == {"h.zip", "h.zip.json"}


def test_an_unchanged_file_is_not_fetched_again(publisher: Publisher, tmp_path: Path) -> None:
    fetched(publisher, tmp_path)
    again = fetched(publisher, tmp_path)
    assert (again.changed, again.sha256, publisher.sent) == (False, DIGEST, len(CONTENT))
    assert publisher.requests[-1]["if-none-match"] == '"one"'


def test_a_file_of_the_known_digest_needs_no_request(publisher: Publisher, tmp_path: Path) -> None:
    (tmp_path / "h.zip").write_bytes(CONTENT)
    assert not fetched(publisher, tmp_path, sha256=DIGEST).changed
    assert publisher.requests == []


def test_a_file_that_was_altered_here_is_fetched_anew(publisher: Publisher, tmp_path: Path) -> None:
    path = fetched(publisher, tmp_path).path
    path.write_bytes(b"x")
    assert fetched(publisher, tmp_path).path.read_bytes() == CONTENT


def test_a_broken_download_goes_on_where_it_ended(publisher: Publisher, tmp_path: Path) -> None:
    publisher.faults = ["breaks off", "breaks off"]
    waits: list[float] = []
    assert fetched(publisher, tmp_path, waits=waits).sha256 == DIGEST
    ranges = [request.get("range", "") for request in publisher.requests]
    assert ranges[0] == ""
    assert all(ranges[1:]), ranges
    assert publisher.sent == len(CONTENT)
    assert waits == [1, 2]


def test_a_later_call_goes_on_too(publisher: Publisher, tmp_path: Path) -> None:
    publisher.faults = ["breaks off", *["500"] * (ATTEMPTS - 1)]
    with pytest.raises(FetchError, match="6 attempts failed, the last one: status 500"):
        fetched(publisher, tmp_path)
    assert fetched(publisher, tmp_path).sha256 == DIGEST
    assert publisher.sent == len(CONTENT)


def test_a_file_that_changed_meanwhile_is_begun_anew(publisher: Publisher, tmp_path: Path) -> None:
    publisher.faults = ["breaks off", *["500"] * (ATTEMPTS - 1)]
    with pytest.raises(FetchError):
        fetched(publisher, tmp_path)
    publisher.content, publisher.etag = OTHER, '"two"'
    assert fetched(publisher, tmp_path).path.read_bytes() == OTHER


# (what the server does once, and the file comes all the same)
PASSING = ["breaks off", "says more", "slow", "429", "500", "503"]


@pytest.mark.parametrize("fault", PASSING)
def test_what_passes_is_tried_again(publisher: Publisher, tmp_path: Path, fault: str) -> None:
    publisher.faults = [fault]
    waits: list[float] = []
    assert fetched(publisher, tmp_path, waits=waits).path.read_bytes() == CONTENT
    assert waits == [7 if fault in ("429", "503") else 1]


@pytest.mark.parametrize("asked", ["100000", "Sat, 01 Jan 2500 00:00:00 GMT"])
def test_a_server_that_asks_for_a_long_wait_is_asked_again_after_a_minute(
    publisher: Publisher, tmp_path: Path, asked: str
) -> None:
    publisher.faults, publisher.again_after = ["503"], asked
    waits: list[float] = []
    assert fetched(publisher, tmp_path, waits=waits).sha256 == DIGEST
    assert waits == [LONGEST_WAIT]


# (entity tag, date, what If-Range may name of it: RFC 9110, 13.1.5, from memory)
DATE = "Sat, 01 Nov 2025 00:00:00 GMT"
VALIDATORS = [('"one"', "", '"one"'), ('W/"one"', "", None), ("", DATE, DATE), ('W/"one"', DATE, DATE)]


@pytest.mark.parametrize(("etag", "modified", "named"), VALIDATORS)
def test_the_rest_is_asked_for_only_by_what_tells_two_files_apart(
    publisher: Publisher, tmp_path: Path, etag: str, modified: str, named: str | None
) -> None:
    publisher.faults, publisher.etag, publisher.modified = ["breaks off"], etag, modified
    assert fetched(publisher, tmp_path).sha256 == DIGEST
    again = publisher.requests[-1]
    assert again.get("if-range") == named
    assert ("range" in again) == (named is not None)


def test_a_server_that_has_no_such_rest_is_asked_for_the_whole(publisher: Publisher, tmp_path: Path) -> None:
    publisher.faults = ["breaks off", "416"]
    assert fetched(publisher, tmp_path).path.read_bytes() == CONTENT
    assert ["range" in request for request in publisher.requests] == [False, True, False]


@pytest.mark.parametrize("fault", ["wrong part", "short part"])
def test_another_part_than_the_one_asked_for_is_not_taken(publisher: Publisher, tmp_path: Path, fault: str) -> None:
    publisher.faults = ["breaks off", fault]
    assert fetched(publisher, tmp_path).path.read_bytes() == CONTENT


@pytest.mark.parametrize(("fault", "most"), [("", 0), ("says nothing", 500_000)], ids=["announced", "not announced"])
def test_of_a_file_that_is_too_large_no_more_is_read_than_need_be(
    publisher: Publisher, tmp_path: Path, fault: str, most: int
) -> None:
    told: list[int] = []
    publisher.faults = [fault]
    with pytest.raises(FetchError, match="more than 500,000 bytes"):
        fetched(publisher, tmp_path, largest=500_000, progress=lambda done, *_: told.append(done))
    assert max(told, default=0) <= most
    assert [path.name for path in tmp_path.iterdir()] == ["h.zip.lock"]


def test_without_an_announced_length_the_file_comes(publisher: Publisher, tmp_path: Path) -> None:
    publisher.faults = ["says nothing"]
    assert fetched(publisher, tmp_path).sha256 == DIGEST


@pytest.mark.parametrize(("fault", "more", "message"), [
    ("says less", {"sha256": DIGEST}, "another file than the known one"),
    ("", {"sha256": "0" * 64}, "another file than the known one: SHA-256"),
    ("", {"largest": 1000}, "more than 1,000 bytes"),
    ("404", {}, "status 404"),
    ("403", {}, "status 403"),
], ids=["cut short", "another file", "too large", "not found", "forbidden"])  # fmt: skip
def test_what_does_not_pass_is_said_once(
    publisher: Publisher, tmp_path: Path, fault: str, more: dict[str, Any], message: str
) -> None:
    publisher.faults = [fault]
    with pytest.raises(FetchError, match=message):
        fetched(publisher, tmp_path, **more)
    assert len(publisher.requests) == 1
    assert not (tmp_path / "h.zip").exists()
    assert not (tmp_path / "h.zip.part").exists()


@pytest.mark.parametrize("file", ["h.zip", "h.xlsx", "h.xls"])
def test_a_page_in_place_of_the_file_is_not_taken(publisher: Publisher, tmp_path: Path, file: str) -> None:
    """Where a publisher moved it, the old address often answers 200 with a page."""
    publisher.content = b"<!DOCTYPE html><html>We have moved</html>"
    with pytest.raises(FetchError, match=rf"what comes is no \.{file[2:]} file"):
        fetched(publisher, tmp_path, file=file)
    assert sorted(path.name for path in tmp_path.iterdir()) == [f"{file}.lock"]
    publisher.content, publisher.etag = b"\xd0\xcf\x11\xe0" if file == "h.xls" else CONTENT, '"two"'
    assert fetched(publisher, tmp_path, file=file).changed


# What the server does, and what is told beside the page and the way to go on.
MOVED = {
    "404": "the server answers with status 404", "410": "the server answers with status 410",
    "redirect": "is none of the places of sources.csv", "500": "6 attempts failed",
}  # fmt: skip


@pytest.mark.parametrize("fault", MOVED)
def test_a_wrong_or_moved_address_names_the_page_and_how_to_go_on(
    publisher: Publisher, tmp_path: Path, fault: str
) -> None:
    publisher.faults, publisher.elsewhere = [fault] * ATTEMPTS, "https://elsewhere.invalid/h.zip"
    with pytest.raises(FetchError) as caught:
        fetched(publisher, tmp_path, page="https://harbour.invalid/data")
    said = str(caught.value)
    assert said.startswith(f"harbour cannot be fetched from {publisher.url}/h.zip: ")
    assert MOVED[fault] in said
    assert "look for it on https://harbour.invalid/data" in said
    assert said.endswith("gramwright dataset fetch harbour --file FILE")
    assert said.count("\n") == 0


ROW = "cnf,https://www.canada.ca/new/cnf.zip,cnf.zip,100000000,,https://www.canada.ca/,free\n"
HEAD = "name,url,file,largest,sha256,page,licence\n"


def test_a_table_of_ones_own_corrects_an_address(tmp_path: Path) -> None:
    own = tmp_path / "mine.csv"
    own.write_text(HEAD + ROW, encoding="utf-8")
    assert sources(own)["cnf"].url == "https://www.canada.ca/new/cnf.zip"
    assert sources(own)["fineli"] == sources()["fineli"]


@pytest.mark.parametrize(("old", "new", "told"), [
    ("https://www.canada.ca/new", "http://www.canada.ca/new", "mine.csv:2:url: must match"),
    (",cnf.zip", ",../cnf.zip", "mine.csv:2:file: must match"),
    ("100000000", "much", "mine.csv:2:largest: must match"),
    (",,https", ",abc,https", "mine.csv:2:sha256: must match"),
    (HEAD, "name,url\n", "mine.csv:2:file: must match"),
], ids=["not https", "a path", "no number", "no digest", "columns missing"])  # fmt: skip
def test_a_bad_row_of_that_table_is_told_with_its_place(tmp_path: Path, old: str, new: str, told: str) -> None:
    own = tmp_path / "mine.csv"
    own.write_text((HEAD + ROW).replace(old, new), encoding="utf-8")
    with pytest.raises(TableError) as caught:
        sources(own)
    assert str(caught.value).startswith(told)


def test_a_table_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(FetchError, match=r"the table of sources .* cannot be read"):
        sources(tmp_path / "none.csv")


def test_another_file_than_the_one_first_seen_is_refused(publisher: Publisher, tmp_path: Path) -> None:
    fetched(publisher, tmp_path)
    publisher.content, publisher.etag = OTHER, '"two"'
    with pytest.raises(FetchError, match=r"delete .*h\.zip\.json"):
        fetched(publisher, tmp_path)
    assert (tmp_path / "h.zip").read_bytes() == CONTENT
    (tmp_path / "h.zip.json").unlink()
    assert fetched(publisher, tmp_path).path.read_bytes() == OTHER


@pytest.mark.parametrize("elsewhere", [
    "http://127.0.0.1:1/h.zip", "https://harbour.invalid/h.zip", "file:///etc/passwd", "//harbour.invalid/h.zip",
])  # fmt: skip
def test_a_redirect_elsewhere_is_refused(publisher: Publisher, tmp_path: Path, elsewhere: str) -> None:
    publisher.faults, publisher.elsewhere = ["redirect"], elsewhere
    with pytest.raises(FetchError, match=r"is none of the places of sources\.csv"):
        fetched(publisher, tmp_path)


def test_a_redirect_to_an_allowed_place_is_followed(publisher: Publisher, tmp_path: Path) -> None:
    publisher.faults, publisher.elsewhere = ["redirect"], "/moved.zip"
    assert fetched(publisher, tmp_path).sha256 == DIGEST


def test_a_redirect_without_end_has_an_end(publisher: Publisher, tmp_path: Path) -> None:
    publisher.faults, publisher.elsewhere = ["redirect"] * 20, "/round.zip"
    with pytest.raises(FetchError, match="without end"):
        fetched(publisher, tmp_path)


def test_plain_http_is_refused(publisher: Publisher, tmp_path: Path) -> None:
    with pytest.raises(FetchError, match="not https"):
        fetch("harbour", tmp_path, known={"harbour": source(publisher)})
    assert publisher.requests == []


def test_nobody_there_is_told(tmp_path: Path) -> None:
    nobody = Source("harbour", "http://127.0.0.1:1/h.zip", "h.zip", 1000, "", "")
    with pytest.raises(FetchError, match="6 attempts failed"):
        fetch("harbour", tmp_path, known={"harbour": nobody}, also_from={"http://127.0.0.1:1"}, wait=lambda _: None)


def test_an_unknown_name_is_told(tmp_path: Path) -> None:
    with pytest.raises(NotFoundError, match="no source of 'moon' is known; there is: fdc-foundation"):
        fetch("moon", tmp_path)


@pytest.mark.parametrize("one", sources().values(), ids=sources())
def test_every_source_is_https_with_a_limit_and_a_plain_name(one: Source) -> None:
    assert one.url.startswith("https://")
    assert one.largest > 0
    assert re.fullmatch(r"[\w .-]+\.(zip|xlsx?)", one.file)
    assert re.fullmatch(r"(?:[0-9a-f]{64})?", one.sha256)
    assert one.licence
    assert one.page.startswith("https://")


def test_a_full_disk_is_told_with_the_place(
    publisher: Publisher, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("importers.fetch.os.fsync", full)
    with pytest.raises(FetchError, match=f"cannot be kept in {tmp_path}: No space left on device"):
        fetched(publisher, tmp_path)
