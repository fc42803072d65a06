"""How much a worker takes on: places, waiting, slow clients, time; and what every answer is framed by."""

from __future__ import annotations

import asyncio
import json
import logging
import os
from collections.abc import Awaitable, Callable, Coroutine
from typing import Any

import pytest
from fastapi import FastAPI, Request, Response

from service.api import admission, log, problems
from service.api.admission import Admission, Limits
from service.api.exchange import read_body
from service.api.frame import Frame
from service.api.metrics import Metrics
from tests.api.conftest import AppClient
from tests.api.test_bad_requests import Broken

LIMITS = Limits(working=1, waiting=2, request_seconds=0.3, client_seconds=0.3)
App = Callable[[Any, Any, Any], Awaitable[None]]


class Call:
    """One request to an ASGI app, whose body comes in parts with pauses, and whose reader may be slow."""

    def __init__(self, app: App, *body: bytes | float, reads_in: float = 0.0, path: str = "/v1/x", **headers: str):
        self._app, self._body, self._reads_in = app, list(body), reads_in
        self.status, self.sent = 0, b""
        self.headers: dict[str, str] = {}
        said = {"content-length": "9", **headers} if body else headers
        self._scope = {
            "type": "http", "method": "POST", "path": path, "query_string": b"", "state": {},
            "headers": [(name.replace("_", "-").encode(), value.encode()) for name, value in said.items()],
        }  # fmt: skip

    async def run(self) -> Call:
        await self._app(self._scope, self._receive, self._send)
        return self

    async def _receive(self) -> dict[str, Any]:
        while self._body and isinstance(self._body[0], float):
            await asyncio.sleep(self._body.pop(0))  # type: ignore[arg-type]
        if not self._body:
            await asyncio.sleep(60)
        part = self._body.pop(0)
        return {"type": "http.request", "body": part, "more_body": bool(self._body)}

    async def _send(self, message: dict[str, Any]) -> None:
        if message["type"] == "http.response.start":
            self.status = message["status"]
            self.headers = {name.decode(): value.decode() for name, value in message["headers"]}
        else:
            await asyncio.sleep(self._reads_in)
            self.sent += message["body"]


def answering(work: float = 0.0, parts: int = 1, *, read: bool = False) -> App:
    """An app that works for so long, then answers in parts."""

    async def app(scope: Any, receive: Any, send: Any) -> None:
        while read and (await receive())["more_body"]:
            pass
        await asyncio.sleep(work)
        await send({"type": "http.response.start", "status": 200, "headers": []})
        for part in range(parts):
            await send({"type": "http.response.body", "body": b"x", "more_body": part < parts - 1})

    return app


class Unhurried(asyncio.SelectorEventLoop):
    """A loop whose clock goes on when everybody waits, and at once then: no machine is too busy for it."""

    _now = 0.0

    def time(self) -> float:
        return self._now

    def _run_once(self) -> None:
        waits = [one.when() for one in self._scheduled if not one.cancelled()]  # type: ignore[attr-defined]
        if waits and not self._ready:  # type: ignore[attr-defined]
            self._now = max(self._now, min(waits))
        super()._run_once()  # type: ignore[misc]


def finish(work: Coroutine[Any, Any, Any]) -> Any:
    with asyncio.Runner(loop_factory=Unhurried) as runner:
        return runner.run(work)


def run(*calls: Call) -> list[Call]:
    async def all_of() -> list[Call]:
        return await asyncio.gather(*(call.run() for call in calls))

    return finish(all_of())


def test_some_work_some_wait_and_the_others_are_told_at_once() -> None:
    app = Admission(answering(0.05), LIMITS)
    calls = run(*(Call(app) for _ in range(20)))
    statuses = [call.status for call in calls]
    assert statuses.count(200) == 3, "one at work and two that wait"
    assert statuses.count(503) == 17
    refused = next(call for call in calls if call.status == 503)
    assert refused.headers["retry-after"] == "1"
    assert json.loads(refused.sent)["status"] == 503


def test_work_that_does_not_pause_is_counted_too() -> None:
    """Requests that come in one turn of the loop are refused before the first of them is worked on."""
    worked: list[int] = []

    async def busy(scope: Any, receive: Any, send: Any) -> None:
        worked.append(len(worked))
        await answering()(scope, receive, send)

    app = Admission(busy, LIMITS)
    assert [call.status for call in run(*(Call(app) for _ in range(9)))].count(200) == len(worked) == 3


def test_whoever_waits_comes_in_order_and_places_are_given_back() -> None:
    app, ended = Admission(answering(0.01), LIMITS), list[Call]()

    async def rounds() -> None:
        for _ in range(5):
            calls = [Call(app) for _ in range(3)]
            await asyncio.gather(*(noted(call) for call in calls))
            assert ended[-3:] == calls

    async def noted(call: Call) -> None:
        ended.append(await call.run())

    finish(rounds())
    assert {call.status for call in ended} == {200}
    assert (app._places.waiting, app._places.held) == (0, 0)


def test_health_is_told_however_busy_the_server_is() -> None:
    app = Admission(answering(0.05), LIMITS)
    *_, health = run(*(Call(app) for _ in range(9)), Call(app, path="/healthz"))
    assert health.status == 200


def test_a_slow_body_holds_no_place() -> None:
    app = Admission(answering(read=True), LIMITS)
    slow = [Call(app, b"a", 0.2, b"b") for _ in range(3)]
    quick = [Call(app, b"a") for _ in range(2)]
    loop_time: list[float] = []

    async def timed(call: Call) -> None:
        started = asyncio.get_running_loop().time()
        await call.run()
        loop_time.append(asyncio.get_running_loop().time() - started)

    async def all_of() -> None:
        begun = [asyncio.ensure_future(call.run()) for call in slow]
        await asyncio.sleep(0.05)
        await asyncio.gather(*(timed(call) for call in quick))
        await asyncio.gather(*begun)

    finish(all_of())
    assert {call.status for call in (*slow, *quick)} == {200}
    assert max(loop_time) < 0.1


SLOW = [(0.5, b"a"), (b"a", 0.5, b"b"), (b"a", 0.2, b"b", 0.2, b"c", 0.2, b"d")]


@pytest.mark.parametrize("body", SLOW, ids=["never begun", "broken off", "byte by byte"])
def test_a_body_that_does_not_come_is_408(body: tuple[bytes | float, ...]) -> None:
    reading = Call(Admission(_reading_route(), LIMITS), *body)
    run(reading)
    assert (reading.status, reading.headers["connection"]) == (408, "close")


def _reading_route() -> App:
    """A route of an app like ours that reads the body."""
    app = FastAPI()
    problems.install(app)

    @app.post("/v1/x")
    async def read(request: Request) -> Response:
        return Response(await read_body(request))

    return app


def test_a_reader_that_is_slow_holds_no_place_and_is_cut_off() -> None:
    app = Admission(answering(parts=3), LIMITS)
    slow, quick = Call(app, reads_in=0.1), Call(app)
    run(slow, quick)
    assert (slow.status, slow.sent, quick.sent) == (200, b"xxx", b"xxx")
    with pytest.raises(TimeoutError):
        run(Call(app, reads_in=0.5))
    assert run(Call(app))[0].status == 200


def test_work_that_takes_too_long_is_ended() -> None:
    app = Admission(answering(0.6), LIMITS)
    [call] = run(Call(app))
    assert (call.status, call.headers["retry-after"]) == (503, "1")
    assert "longer than 0.3 s" in json.loads(call.sent)["detail"]


def test_an_answer_that_has_begun_may_take_its_time() -> None:
    async def long(scope: Any, receive: Any, send: Any) -> None:
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await asyncio.sleep(0.5)
        await send({"type": "http.response.body", "body": b"x", "more_body": False})

    assert run(Call(Admission(long, LIMITS)))[0].sent == b"x"


def test_bodies_take_so_much_memory_and_no_more(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(admission, "MOST_HELD", 10)
    limits = Limits(working=9, waiting=9, request_seconds=5, client_seconds=5)
    app = Admission(_reading_route(), limits)
    calls = run(*(Call(app, b"abcd", 0.05, b"ef") for _ in range(4)))
    assert {call.status for call in calls} == {200, 503}
    assert app._places.held == 0
    assert run(Call(app, b"abcd"))[0].status == 200


def test_a_failure_gives_the_place_back() -> None:
    async def failing(scope: Any, receive: Any, send: Any) -> None:
        raise RuntimeError("password")

    app = Admission(failing, LIMITS)
    for _ in range(3):
        with pytest.raises(RuntimeError):
            run(Call(app))


# ---- the frame -----------------------------------------------------------------------------------------------------

ANSWERS = [
    ("GET", "/v1/components"), ("HEAD", "/v1/components"), ("GET", "/healthz"), ("GET", "/nowhere"),
    ("PUT", "/v1/recipes"), ("POST", "/v1/resolutions"), ("GET", "/docs"), ("GET", "/openapi.json"),
]  # fmt: skip


@pytest.mark.parametrize(("method", "path"), ANSWERS)
def test_every_answer_has_the_headers_of_the_frame(client: AppClient, method: str, path: str) -> None:
    headers = client.request(method, path).headers
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "no-referrer"
    assert "frame-ancestors 'none'" in headers["content-security-policy"]
    assert "default-src 'none'" in headers["content-security-policy"]
    assert len(headers["x-request-id"]) == 32


def test_a_defect_is_framed_too(client_of: Any) -> None:
    answer = client_of(Broken(RuntimeError("half a small avocado"))).get("/v1/components")
    assert (answer.status_code, answer.headers["x-content-type-options"]) == (500, "nosniff")
    assert answer.headers["x-request-id"]


IDS = [
    ("a1", True), ("0c.2-f_3", True), ("x" * 64, True), ("", False), ("x" * 65, False), ("a b", False), ("é", False),
    ("a\tb", False), ("<b>", False), ("a,b", False), ("a\r\nX: 1", False),
]  # fmt: skip


@pytest.mark.parametrize(("said", "kept"), IDS)
def test_request_ids(client: AppClient, said: str, kept: bool) -> None:
    answer = client.get("/healthz", headers=[(b"X-Request-Id", said.encode())])
    assert (answer.headers["x-request-id"] == said) == kept
    assert "x" not in answer.headers


@pytest.fixture
def lines(caplog: pytest.LogCaptureFixture) -> Callable[[], list[dict[str, Any]]]:
    """What was logged, as the server would write it."""
    caplog.set_level(logging.INFO, logger="gramwright")
    return lambda: [json.loads(log.line_of(record)) for record in caplog.records]


def test_the_log_names_routes_and_no_words(client: AppClient, lines: Callable[[], list[dict[str, Any]]]) -> None:
    client.post("/v1/resolutions", json={"lines": ["7 oz secret haddock"]}, headers={"X-Request-Id": "r1"})
    client.get("/v1/foods?search=secret+haddock")
    client.get("/v1/foods/secret%20haddock")
    client.get("/secret/haddock")
    said = [line for line in lines() if line["event"] == "request"]
    assert [line["route"] for line in said] == ["/v1/resolutions", "/v1/foods", "/v1/foods/{id}", ""]
    assert said[0] == {
        **said[0], "level": "info", "request": "r1", "method": "POST", "status": 200, "key": "", "kitchen": "default"
    }  # fmt: skip
    assert said[0]["bytes"] > 100
    assert "haddock" not in json.dumps(lines())


def test_a_defect_is_logged_by_place_not_by_words(client_of: Any, lines: Callable[[], list[dict[str, Any]]]) -> None:
    client_of(Broken(RuntimeError("secret haddock"))).get("/v1/components")
    [defect] = [line for line in lines() if line["event"] == "defect"]
    assert (defect["level"], defect["error"]) == ("error", "RuntimeError")
    assert any("test_bad_requests.py" in place for place in defect["at"])
    assert "haddock" not in json.dumps(lines())


def test_an_answer_that_breaks_off_is_not_taken_for_whole() -> None:
    async def breaking(scope: Any, receive: Any, send: Any) -> None:
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b"x", "more_body": True})
        raise RuntimeError("secret haddock")

    with pytest.raises(ConnectionAbortedError):
        run(Call(Frame(breaking, Metrics("0", tuple))))


def test_nobody_waits_for_a_log_that_nobody_reads() -> None:
    reader, writer = os.pipe()
    os.set_blocking(writer, True)
    with os.fdopen(writer, "w") as stream:
        handler = log.JsonLines(stream)
        record = logging.LogRecord("x", logging.INFO, "", 0, "y" * 1000, None, None)
        for _ in range(3 * log.MOST_LINES):
            handler.emit(record)
        assert len(handler._lines) <= log.MOST_LINES
        handler._ended.set()
        os.close(reader)
