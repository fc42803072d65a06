"""What holds for every answer, errors too: security headers, a request id, a log line, counts. HEAD has no body."""

from __future__ import annotations

import logging
import re
from collections.abc import Iterable, Mapping
from http import HTTPStatus
from secrets import token_hex
from time import perf_counter

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.api.log import REQUESTS, error_fields
from service.api.metrics import Metrics

_ID = re.compile(rb"[A-Za-z0-9._-]{1,64}")
Header = tuple[bytes, bytes]
SECURITY: tuple[Header, ...] = (
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-opener-policy", b"same-origin"),
)
# Of an answer that brings no policy of its own: it is data, and nothing in it may run or be framed.
POLICY: Header = (b"content-security-policy", b"default-src 'none'; frame-ancestors 'none'")

# Of an answer from a kitchen in memory while the database is away: the change that it stands at.
KITCHEN_CHANGE = b"kitchen-change"


class Frame:
    """The outermost part of the app."""

    def __init__(self, app: ASGIApp, metrics: Metrics) -> None:
        self.app, self._metrics = app, metrics

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            return await self.app(scope, receive, send)
        state = {**scope.get("state", {})}
        answering = _Answering(scope, send, state)
        self._metrics.began()
        inner = {**scope, "state": state, "method": answering.method}
        try:
            await self.app(inner, receive, answering.send)
        except Exception as error:
            if not answering.status:
                raise
            REQUESTS.error("defect", extra={"fields": {"request": answering.id.decode(), **error_fields(error)}})
            if not answering.whole:  # cut off, so that nobody takes it for the whole answer
                raise ConnectionAbortedError("the answer broke off") from None
        finally:
            seconds, route = perf_counter() - answering.began, _route(inner)
            self._metrics.ended(scope["method"], route, answering.status, seconds)
            answering.log(inner, route, seconds)


class _Answering:
    """One answer on its way."""

    def __init__(self, scope: Scope, send: Send, state: Mapping[str, object]) -> None:
        self._send, self._state, self._head = send, state, scope["method"] == "HEAD"
        self.method = "GET" if self._head else scope["method"]
        self.id, self.status, self.size, self.whole = request_id(scope["headers"]), 0, 0, False
        self.began = perf_counter()

    async def send(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.status = message["status"]
            headers = framed(message.get("headers", ()), self.id)
            change = self._state.get("kitchen_change")
            if change is not None and self.status < HTTPStatus.BAD_REQUEST:
                headers.append((KITCHEN_CHANGE, str(change).encode()))
            message = {**message, "headers": headers}
        elif message["type"] == "http.response.body":
            self.size += len(message.get("body", b""))
            self.whole = not message.get("more_body", False)
            message = {**message, "body": b""} if self._head else message
        await self._send(message)

    def log(self, scope: Scope, route: str, seconds: float) -> None:
        """One line, with no word of what was asked or answered."""
        if not REQUESTS.isEnabledFor(logging.INFO):
            return
        said = scope["state"].get("access")
        fields = {
            "request": self.id.decode(), "method": scope["method"], "route": route,
            "status": self.status, "bytes": self.size, "ms": round(seconds * 1000, 1),
            "key": getattr(said, "key", ""), "kitchen": getattr(said, "kitchen", ""),
        }  # fmt: skip
        REQUESTS.info("request", extra={"fields": fields})


def _route(scope: Scope) -> str:
    """The path of the route that answered, with names for what stands in it; "" where none did."""
    path: str = getattr(scope.get("route"), "path", "")
    version = "/v1" if scope["path"].startswith("/v1/") and path and not path.startswith("/v1/") else ""
    return f"{version}{path}"


def request_id(headers: Iterable[Header]) -> bytes:
    """The X-Request-Id of the caller where it is a plain word, else one of our own."""
    said = next((value for name, value in headers if name == b"x-request-id"), b"")
    return said if _ID.fullmatch(said) else token_hex(16).encode()


def framed(headers: Iterable[Header], request: bytes) -> list[Header]:
    """The headers of an answer with those that every answer has."""
    given = [*headers]
    named = {name.lower() for name, _ in given}
    ours = [header for header in (*SECURITY, POLICY) if header[0] not in named]
    return [*given, *ours, (b"x-request-id", request)]
