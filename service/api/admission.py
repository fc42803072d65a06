"""How much a worker takes on: so many requests are worked on, so many wait, and who comes after is told so at once.

A place is held only while there is work: a request whose client is slow to send its body or to read its answer gives
its place to others meanwhile, and is ended where the client is too slow.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable
from dataclasses import dataclass
from http import HTTPStatus
from typing import NamedTuple

from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.api.exchange import BODY_LIMIT
from service.api.frame import Header
from service.api.payloads import encode
from service.api.problems import PROBLEM, problem, refusal
from service.settings import Settings

# The truth about a server is told however busy it is.
ALWAYS = frozenset({"/healthz", "/readyz", "/metrics"})
# Bytes of bodies that a worker holds, of all requests together.
MOST_HELD = 64 * 1024 * 1024
# Bytes a second that a body may be expected to come with, once the client's first seconds are over.
SLOWEST_BODY = 50_000
_RETRY, _CLOSE = {"Retry-After": "1"}, {"Connection": "close"}
_SLOW = "the body does not come, or too slowly"
_BUSY = "the server has more to do than it can; ask again in a moment"
_BUSY_BODY = encode({"type": "about:blank", "title": "Service Unavailable", "status": 503, "detail": _BUSY})


@dataclass(frozen=True, slots=True)
class Limits:
    """Requests worked on and waiting in a worker; seconds of work before an answer begins, and of a silent client."""

    working: int = 4
    waiting: int = 64
    request_seconds: float = 30
    client_seconds: float = 20


def limits_of(settings: Settings) -> Limits:
    """The limits of these settings."""
    return Limits(settings.working, settings.waiting, settings.request_seconds, settings.client_seconds)


class Full(Exception):
    """Nobody more may wait."""


class Places:
    """The places of a worker, given in the order of asking."""

    def __init__(self, limits: Limits) -> None:
        self._free, self._most_waiting = asyncio.Semaphore(limits.working), limits.waiting
        self.waiting = self.held = 0
        self._idle, self._coming = limits.working, 0

    @property
    def full(self) -> bool:
        """Whether nobody more may wait."""
        return self.waiting >= self._most_waiting

    @property
    def taken(self) -> bool:
        """Whether nobody more may wait once those have come in who are on their way."""
        return self.waiting + self._coming >= self._most_waiting + self._idle

    def announce(self) -> None:
        """Somebody is on the way: what is read from many connections in one turn of the loop comes in in the next."""
        if not self._coming:
            asyncio.get_running_loop().call_soon(self._all_came)
        self._coming += 1

    def _all_came(self) -> None:
        self._coming = 0

    async def enter(self) -> None:
        """Wait for a place; Full where too many do. Who gets one at once still lets others come in and be counted."""
        if self.full:
            raise Full
        await self.enter_again()
        try:
            await asyncio.sleep(0)
        except BaseException:
            self.leave()
            raise

    async def enter_again(self) -> None:
        """Wait for a place, as one who had it before."""
        self.waiting += 1
        try:
            await self._free.acquire()
            self._idle -= 1
        finally:
            self.waiting -= 1

    def leave(self) -> None:
        """Give the place to the next one."""
        self._idle += 1
        self._free.release()


class Admission:
    """Lets requests work by these limits."""

    def __init__(self, app: ASGIApp, limits: Limits, places: Places | None = None) -> None:
        self.app, self._limits, self._places = app, limits, places or Places(limits)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http" or scope["path"] in ALWAYS:
            return await self.app(scope, receive, send)
        if self._places.full:  # before anything is read or made for it
            return await _refused(send)
        visit = _Visit(self._places, self._limits, receive, send)
        try:
            await visit.enter(Request(scope))
            scope["state"]["aside"] = visit.aside
            await self._work(scope, visit)
        except _Ended as ended:
            await ended.answer(scope, receive, send)
        finally:
            visit.end()

    async def _work(self, scope: Scope, visit: _Visit) -> None:
        try:
            async with asyncio.timeout(self._limits.request_seconds) as visit.clock:
                await self.app(scope, visit.receive, visit.send)
        except TimeoutError:
            if visit.started or visit.clock is None or not visit.clock.expired():
                raise
            seconds = self._limits.request_seconds
            detail = f"the answer would take longer than {seconds:g} s; ask for less at once"
            raise _Ended(problem(Request(scope), HTTPStatus.SERVICE_UNAVAILABLE, detail, headers=_RETRY)) from None


class Busy(NamedTuple):
    """503 where nobody more may wait, in constant bytes."""

    headers: tuple[Header, ...]
    body: bytes


BUSY = Busy(
    (
        (b"content-type", PROBLEM.encode()), (b"content-length", str(len(_BUSY_BODY)).encode()),
        (b"retry-after", _RETRY["Retry-After"].encode()),
    ),
    _BUSY_BODY,
)  # fmt: skip
_REFUSED: tuple[Message, Message] = (
    {
        "type": "http.response.start", "status": HTTPStatus.SERVICE_UNAVAILABLE.value, "headers": [*BUSY.headers]
    },
    {"type": "http.response.body", "body": BUSY.body},
)  # fmt: skip


async def _refused(send: Send) -> None:
    """503, which costs the least there can be: it is sent when there is no time."""
    for message in _REFUSED:
        await send({**message})


class _Ended(Exception):
    """A request ends here, with this answer."""

    def __init__(self, answer: Response) -> None:
        self.answer = answer


class _Visit:
    """One request: the place it holds, and the patience with its client."""

    def __init__(self, places: Places, limits: Limits, receive: Receive, send: Send) -> None:
        self._places, self._limits, self._receive, self._send = places, limits, receive, send
        self._first: Message | None = None
        self._whole = self._holds = self.started = False
        self._waited, self._size = 0.0, 0
        self.clock: asyncio.Timeout | None = None

    async def enter(self, request: Request) -> None:
        """Take a place, once the body has begun to come."""
        try:
            if _has_body(request):
                self._first = await self._heard()
            await self._places.enter()
        except TimeoutError:
            raise _Ended(problem(request, HTTPStatus.REQUEST_TIMEOUT, _SLOW, headers=_CLOSE)) from None
        except Full:
            raise _Ended(Response(_BUSY_BODY, HTTPStatus.SERVICE_UNAVAILABLE, _RETRY, PROBLEM)) from None
        self._holds = True

    def end(self) -> None:
        """Leave for good."""
        self._places.held -= min(self._size, BODY_LIMIT)
        self.leave()

    def leave(self) -> bool:
        """Give the place away; whether there was one."""
        held, self._holds = self._holds, False
        if held:
            self._places.leave()
        return held

    async def aside(self, work: Awaitable[None]) -> None:
        """Wait for something that others do, without a place."""
        held = self.leave()
        await work
        if held:
            await self._enter_again(seconds=self._limits.request_seconds)

    async def _enter_again(self, *, seconds: float | None) -> None:
        await self._places.enter_again()
        self._holds = True
        self._allow(seconds)

    def _allow(self, seconds: float | None) -> None:
        """Work may take so long from now on."""
        if self.clock is not None and not self.clock.expired():
            self.clock.reschedule(None if seconds is None else asyncio.get_running_loop().time() + seconds)

    async def receive(self) -> Message:
        """A part of the body; 408 where it does not come."""
        if self._first is not None:
            message, self._first = self._first, None
            return message
        if self._whole:  # only the client's leaving is still to be heard of, which may be waited for beside the work
            return await self._receive()
        held = self.leave()
        self._allow(None)
        try:
            message = await self._heard()
        except TimeoutError:
            raise refusal(HTTPStatus.REQUEST_TIMEOUT, _SLOW, headers=_CLOSE) from None
        except Full:
            raise refusal(HTTPStatus.SERVICE_UNAVAILABLE, _BUSY, headers=_RETRY | _CLOSE) from None
        if held:
            await self._enter_again(seconds=None if self.started else self._limits.request_seconds)
        return message

    async def _heard(self) -> Message:
        loop = asyncio.get_running_loop()
        began = loop.time()
        patience = self._limits.client_seconds + self._size / SLOWEST_BODY - self._waited
        async with asyncio.timeout(max(patience, 0)):
            message = await self._receive()
        self._waited += loop.time() - began
        self._whole = not message.get("more_body", False)
        self._hold(len(message.get("body", b"")))
        return message

    def _hold(self, more: int) -> None:
        """Count what the body takes of memory; Full where that is too much for the worker."""
        before, self._size = self._size, self._size + more
        self._places.held += min(self._size, BODY_LIMIT) - min(before, BODY_LIMIT)
        if self._places.held > MOST_HELD:
            raise Full

    async def send(self, message: Message) -> None:
        """Send a part of the answer; of a long one, each part waits for the client without a place."""
        if message["type"] == "http.response.start":
            self.started = True
            self._allow(None)
        if not message.get("more_body", False):
            return await self._send(message)
        held = self.leave()
        async with asyncio.timeout(self._limits.client_seconds):
            await self._send(message)
        if held:
            await self._enter_again(seconds=None)


def _has_body(request: Request) -> bool:
    """Whether a body is on its way that is worth waiting for: not one that will be refused, nor one not yet wanted."""
    said = request.headers
    announced = said.get("content-length", "")
    if "expect" in said or (announced.isdecimal() and int(announced[:20]) > BODY_LIMIT):
        return False
    return announced not in ("", "0") or "transfer-encoding" in said
