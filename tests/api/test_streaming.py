"""Long bodies of JSON Lines at /v1/resolutions: answered as they come in, no more kept than a body may have."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator, Awaitable, Callable

import pytest
from starlette.types import Message

from service.api import streaming
from service.api.app import create_app
from service.api.routes import resolutions
from tests.api.test_server import server  # noqa: F401

PATH = "/v1/resolutions"
JSONL = {"Content-Type": "application/jsonl"}
SCOPE = {
    "type": "http", "asgi": {"version": "3.0", "spec_version": "2.3"}, "http_version": "1.1", "method": "POST",
    "scheme": "http", "path": PATH, "raw_path": PATH.encode(), "query_string": b"kitchen=false&components=CHOCDF",
    "root_path": "", "headers": [(b"host", b"127.0.0.1"), (b"content-type", b"application/jsonl"),
                                 (b"transfer-encoding", b"chunked")],
    "client": ("127.0.0.1", 4000), "server": ("127.0.0.1", 8750),
}  # fmt: skip
LINES = [f"{number} large eggs" for number in range(3_000)]


def jsonl(lines: list[str]) -> bytes:
    return "".join(json.dumps({"line": line}) + "\n" for line in lines).encode()


BODY = jsonl(LINES)
FEW = 8 * 1024  # the length above which a body is streamed, in these tests
PIECES = [BODY[at : at + FEW + 1] for at in range(0, len(BODY), FEW + 1)]


class Peer:
    """A client of the app: what it sends, and what it was answered."""

    def __init__(self, takes: Callable[[Peer], Awaitable[None]] | None = None) -> None:
        self.sent, self.answered, self.status = 0, b"", 0
        self._takes = takes

    async def talk(self, app, pieces: AsyncIterator[Message]) -> None:
        async def receive() -> Message:
            try:
                message = await anext(pieces)
            except StopAsyncIteration:
                await asyncio.Event().wait()
            self.sent += 1
            return message

        async def send(message: Message) -> None:
            if message["type"] == "http.response.start":
                self.status = message["status"]
            elif self._takes:
                await self._takes(self)
            self.answered += message.get("body", b"")

        await app({**SCOPE, "state": {}}, receive, send)

    @property
    def lines(self) -> list[dict[str, object]]:
        return [json.loads(line) for line in self.answered.splitlines()]


def part(body: bytes, *, more: bool = True) -> Message:
    return {"type": "http.request", "body": body, "more_body": more}


async def sending(pieces: list[bytes]) -> AsyncIterator[Message]:
    for piece in pieces:
        yield part(piece)
    yield part(b"", more=False)


@pytest.fixture
def app(catalogue, monkeypatch):
    monkeypatch.setattr(resolutions, "CHECKED_BYTES", FEW)
    return create_app(catalogue)


def test_answers_come_before_the_last_line_is_sent(app):
    peer, seen = Peer(), []

    async def waiting() -> AsyncIterator[Message]:
        for piece in PIECES:
            yield part(piece)
            seen.append(len(peer.answered))
        yield part(b"", more=False)

    asyncio.run(peer.talk(app, waiting()))
    assert peer.status == 200
    assert [line["line"] for line in peer.lines] == LINES
    assert 0 < seen[1] < len(peer.answered) / 2


def test_a_client_that_does_not_read_is_read_from_and_no_more_is_made(app):
    """Who sends all before it reads is not held up, and no answer is made beyond what it takes."""
    stuck = asyncio.Event()

    async def talk() -> int:
        peer = Peer(lambda _: stuck.wait())
        talking = asyncio.ensure_future(peer.talk(app, sending(PIECES)))
        while peer.sent < len(PIECES) + 1:
            await asyncio.sleep(0.01)
        await asyncio.sleep(0.2)
        before = len(peer.answered)
        stuck.set()
        await talking
        assert [line["line"] for line in peer.lines] == LINES
        return before

    assert asyncio.run(asyncio.wait_for(talk(), 120)) == 0


def test_of_an_endless_body_no_more_is_kept_than_a_body_may_have(app, monkeypatch):
    monkeypatch.setattr(streaming, "BODY_LIMIT", 4 * FEW)
    stuck = asyncio.Event()

    async def talk() -> Peer:
        peer = Peer(lambda _: stuck.wait())
        talking = asyncio.ensure_future(peer.talk(app, sending(PIECES * 5)))
        await asyncio.sleep(0.5)
        assert peer.sent <= 6
        stuck.set()
        await talking
        return peer

    last = asyncio.run(asyncio.wait_for(talk(), 120)).lines[-1]
    assert last["outcome"] == "error"
    assert "5 MB" in str(last["reasons"])


@pytest.mark.parametrize("after", [2, len(PIECES)], ids=["while it sends", "while it reads"])
def test_work_ends_when_the_client_leaves(app, after):
    peer = Peer()

    async def leaving() -> AsyncIterator[Message]:
        for piece in PIECES[:after]:
            yield part(piece)
        if after == len(PIECES):
            yield part(b"", more=False)
        yield {"type": "http.disconnect"}

    async def all_at_once(_: Peer) -> None:
        while peer.sent <= after:  # as one that sends all before it reads, and leaves
            await asyncio.sleep(0.001)

    peer._takes = all_at_once
    asyncio.run(asyncio.wait_for(peer.talk(app, leaving()), 60))
    assert peer.status == 200
    assert len(peer.lines) < 500


def test_others_are_served_meanwhile(app):
    async def talk() -> int:
        peer, turns = Peer(), 0
        talking = asyncio.ensure_future(peer.talk(app, sending([BODY])))
        while not talking.done():
            await asyncio.sleep(0)
            turns += 1
        return turns

    assert asyncio.run(talk()) > len(LINES) / streaming.PIECE_ANSWERS


def test_a_bad_record_of_a_long_body_is_answered_in_its_place(client):
    body = jsonl(LINES[:3000]) + b'{"line": 1}\nno\n\n' + jsonl(["2 large eggs"])
    answer = client.post(f"{PATH}?kitchen=false", content=body, headers=JSONL)
    lines = [json.loads(line) for line in answer.text.splitlines()]
    assert (answer.status_code, len(lines)) == (200, 3003)
    assert [line.get("number") for line in lines[3000:]] == [3001, 3002, None]
    assert "is no JSON" in lines[3001]["reasons"][0]
    assert lines[3002]["line"] == "2 large eggs"


def test_a_bad_record_of_a_short_body_is_refused(client):
    answer = client.post(PATH, content=jsonl(LINES[:100]) + b"no\n", headers=JSONL)
    assert (answer.status_code, answer.json()["errors"][0]["line"]) == (400, 101)


def test_totals_are_of_ten_thousand_lines_at_most(client):
    """They need every line at hand; answers line by line do not."""
    headers = {**JSONL, "Accept": "application/json"}
    answer = client.post(PATH, content=jsonl(["2 large eggs"] * 10_001), headers=headers)
    assert (answer.status_code, "at most 10,000" in answer.text) == (422, True)


def test_a_client_that_sends_all_before_it_reads_is_served(server):  # noqa: F811
    import httpx

    answer = httpx.post(f"{server[1]}{PATH}?kitchen=false", content=BODY, headers=JSONL, timeout=120)
    assert answer.status_code == 200
    assert [json.loads(line)["line"] for line in answer.text.splitlines()] == LINES
