"""What is said to requests that come while nobody more may wait: at once, and without touching anything else."""

from __future__ import annotations

import asyncio
import re
import socket
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field
from types import SimpleNamespace
from typing import Any

import orjson
import pytest
from hypothesis import given
from hypothesis import strategies as st
from starlette.types import ASGIApp

from service.api.admission import BUSY, Admission, Limits, Places
from service.api.connections import Server, server_config
from service.api.frame import POLICY, SECURITY
from service.api.refusing import MOST_LEFT, plain
from service.settings import Settings

HEAD = b"POST /v1/resolutions HTTP/1.1\r\nHost: quay\r\nContent-Length: 4\r\n"
WHOLE = HEAD + b"\r\nkelp"
LENGTH = re.compile(rb"content-length", re.IGNORECASE)

PLAIN = {
    "whole": (WHOLE, 0),
    "no body": (b"GET /v1/foods?search=kelp HTTP/1.1\r\nHost: quay\r\n\r\n", 0),
    "body to come": (WHOLE[:-3], 3),
    "kept alive": (HEAD + b"Connection: keep-alive\r\n\r\nkelp", 0),
    "another case": (HEAD.replace(b"Content-Length", b"content-LENGTH") + b"\r\nkelp", 0),
}
NOT_PLAIN = {
    "always answered": b"GET /healthz HTTP/1.1\r\nHost: quay\r\n\r\n",
    "always answered, with a query": b"GET /metrics?x HTTP/1.1\r\nHost: quay\r\n\r\n",
    "perhaps always answered": b"GET /%68ealthz HTTP/1.1\r\nHost: quay\r\n\r\n",
    "headers to come": HEAD,
    "two at once": WHOLE + WHOLE,
    "more than announced": WHOLE + b"!",
    "two lengths": HEAD + b"Content-Length: 4\r\n\r\nkelp",
    "no number": HEAD.replace(b"4", b"+4") + b"\r\nkelp",
    "a long body": HEAD.replace(b"4", b"%d" % (MOST_LEFT + 5)) + b"\r\nkelp",
    "in chunks": b"POST / HTTP/1.1\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n",
    "in chunks, with a length": HEAD + b"transfer-encoding: chunked\r\n\r\nkelp",
    "to be closed": HEAD + b"Connection: close\r\n\r\nkelp",
    "kept alive and more": HEAD + b"Connection: keep-alive, upgrade\r\n\r\nkelp",
    "to become something else": HEAD + b"Upgrade: h2c\r\n\r\nkelp",
    "waits to be let on": HEAD + b"Expect: 100-continue\r\n\r\n",
    "of another origin's page": HEAD + b"Origin: http://pier\r\n\r\nkelp",
    "without a body in its answer": b"HEAD /v1/foods HTTP/1.1\r\nHost: quay\r\n\r\n",
    "an older version": WHOLE.replace(b"1.1", b"1.0"),
    "a folded header": HEAD + b" x: y\r\n\r\nkelp",
    "a header without a name": HEAD + b": y\r\n\r\nkelp",
    "the character NUL": HEAD + b"X: \0\r\n\r\nkelp",
    "lines that end otherwise": WHOLE.replace(b"\r\n", b"\n"),
    "no HTTP": b"\x16\x03\x01\x02\x00\x01",
}


@pytest.mark.parametrize(("data", "left"), PLAIN.values(), ids=PLAIN)
def test_a_plain_request_is_known(data: bytes, left: int) -> None:
    found = plain(data)
    assert found is not None
    assert (found.method, found.left) == (data.split()[0].decode(), left)


@pytest.mark.parametrize("data", NOT_PLAIN.values(), ids=NOT_PLAIN)
def test_anything_else_takes_the_long_way(data: bytes) -> None:
    assert plain(data) is None


@pytest.mark.parametrize(
    ("said", "kept"), [(b"lunch-7", True), (b"a b", False), (b"", False), (b"x" * 65, False), (b"<b>", False)]
)
def test_a_request_keeps_its_id_where_that_is_a_plain_word(said: bytes, kept: bool) -> None:
    found = plain(HEAD + b"X-Request-Id: " + said + b"\r\n\r\nkelp")
    assert found is not None
    assert (found.id == said) is kept
    assert found.id.isalnum() or kept


@given(st.binary(max_size=300), st.integers(0, len(WHOLE)))
def test_no_bytes_are_taken_for_more_than_they_are(more: bytes, place: int) -> None:
    data = WHOLE[:place] + more + WHOLE[place:]
    found = plain(data)
    if found is not None:
        head, _, body = data.partition(b"\r\n\r\n")
        lengths = [int(line.partition(b":")[2]) for line in head.split(b"\r\n") if LENGTH.match(line)]
        assert len(lengths) <= 1
        assert len(body) + found.left == sum(lengths)
        assert b"\0" not in head


# ---- on connections --------------------------------------------------------------------------------------------


@dataclass
class Counting:
    """Stands for the metrics."""

    counted: list[Any] = field(default_factory=list)

    def began(self) -> None:
        self.counted.append("began")

    def ended(self, *told: Any) -> None:
        self.counted.append(told)


class App:
    """Answers 200 to whatever reaches it."""

    def __init__(self) -> None:
        places = SimpleNamespace(taken=True, announce=lambda: None)
        self.state = SimpleNamespace(places=places, metrics=Counting(), stopping=False)
        self.asked: list[str] = []
        self.behind: ASGIApp = self.work

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        if scope["type"] != "lifespan":
            await self.behind(scope, receive, send)

    async def work(self, scope: Any, receive: Any, send: Any) -> None:
        self.asked.append(scope["path"])
        while (await receive()).get("more_body"):
            pass
        await send({"type": "http.response.start", "status": 200, "headers": [(b"content-length", b"0")]})
        await send({"type": "http.response.body"})


async def answered(reader: asyncio.StreamReader) -> tuple[int, dict[bytes, bytes], bytes]:
    head = await asyncio.wait_for(reader.readuntil(b"\r\n\r\n"), 5)
    first, *fields = head.strip().split(b"\r\n")
    headers = {name.lower(): value for name, _, value in (one.partition(b": ") for one in fields)}
    return int(first.split()[1]), headers, await reader.readexactly(int(headers[b"content-length"]))


def on_a_connection(
    talk: Callable[[App, asyncio.StreamReader, asyncio.StreamWriter], Awaitable[None]], settings: Settings,
    app: App | None = None,
) -> None:  # fmt: skip
    """Talk with a server of this app on one connection."""

    async def run() -> None:
        served = app or App()
        with socket.create_server(("127.0.0.1", 0)) as listener:
            server = Server(server_config(served, settings))
            serving = asyncio.create_task(server.serve(sockets=[listener]))
            reader, writer = await asyncio.open_connection(*listener.getsockname())
            await talk(served, reader, writer)
            writer.close()
            server.should_exit = True
            await serving

    asyncio.run(run())


def test_a_full_server_refuses_without_its_app_and_the_connection_goes_on(sr28_store: Settings) -> None:
    async def talk(app: App, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        for sent in (WHOLE, HEAD + b"X-Request-Id: lunch-7\r\n\r\nkelp"):
            writer.write(sent)
            status, headers, body = await answered(reader)
            assert (status, body, orjson.loads(body)["status"]) == (503, BUSY.body, 503)
            assert headers[b"retry-after"] == b"1"
            assert {*SECURITY, POLICY, *BUSY.headers} <= {*headers.items()}
        assert headers[b"x-request-id"] == b"lunch-7"
        assert (app.asked, app.state.metrics.counted) == ([], ["began", ("POST", "", 503, 0.0)] * 2)
        writer.write(b"GET /healthz HTTP/1.1\r\nHost: quay\r\n\r\n")
        assert (await answered(reader))[0] == 200
        app.state.places.taken = False
        writer.write(WHOLE)
        assert (await answered(reader))[0] == 200
        assert app.asked == ["/healthz", "/v1/resolutions"]

    on_a_connection(talk, sr28_store)


@pytest.mark.parametrize("full", [True, False], ids=["still full", "no longer full"])
def test_the_rest_of_a_refused_body_is_no_request(sr28_store: Settings, full: bool) -> None:
    async def talk(app: App, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        hidden = b"GET /hidden HTTP/1.1\r\nHost: quay\r\n\r\n"
        writer.write(HEAD.replace(b"4", b"%d" % (len(hidden) + 2)) + b"\r\n")
        assert (await answered(reader))[0] == 503
        app.state.places.taken = full
        for piece in (b"--", hidden[:9], hidden[9:] + WHOLE):
            writer.write(piece)
            await writer.drain()
            await asyncio.sleep(0.05)
        assert (await answered(reader))[0] == (503 if full else 200)
        assert app.asked == ([] if full else ["/v1/resolutions"])

    on_a_connection(talk, sr28_store)


def test_what_was_begun_the_long_way_goes_on_so(sr28_store: Settings) -> None:
    async def talk(app: App, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        app.state.places.taken = False
        writer.write(HEAD)  # its headers are not whole yet
        await asyncio.sleep(0.1)
        app.state.places.taken = True
        writer.write(b"\r\nkelp")
        assert (await answered(reader))[0] == 200
        writer.write(WHOLE)
        assert (await answered(reader))[0] == 503

    on_a_connection(talk, sr28_store)


def test_what_comes_in_one_turn_of_the_loop_is_counted_before_it_has_come_in(sr28_store: Settings) -> None:
    """The first of those that come while the loop is busy are let in, the others refused without the app."""
    most = 1 + 2
    app = App()
    places = app.state.places = Places(Limits(working=1, waiting=2))
    app.behind = Admission(app.work, Limits(), places)

    async def talk(_: App, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        to = writer.get_extra_info("peername")
        others = [await asyncio.open_connection(*to) for _ in range(8)]
        await asyncio.sleep(0.1)  # all are taken in
        for _, other in ((reader, writer), *others):
            other.write(WHOLE)
        statuses = [(await answered(one))[0] for one, _ in ((reader, writer), *others)]
        assert statuses.count(200) == len(app.asked) == most
        assert len(app.state.metrics.counted) == 2 * statuses.count(503) == 2 * (9 - most)
        writer.write(WHOLE)
        assert (await answered(reader))[0] == 200
        for _, other in others:
            other.close()

    on_a_connection(talk, sr28_store, app)
