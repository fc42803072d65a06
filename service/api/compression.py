"""Answers in gzip, where who asks can read it and it saves something.

An answer has another entity tag when it is compressed (RFC 9110, 8.8.3.3): "x" becomes "x-gzip". Whoever sends that
back in If-None-Match or If-Match means "x", so that nothing inside has to know of it. Streams go as they come.
"""

from __future__ import annotations

import asyncio
import zlib

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.api.frame import Header

# Below it is one packet either way.
SHORTEST = 1400
# From so many bytes on, compressing takes longer than handing it to a thread.
LONG = 512 * 1024
# The quickest level: our JSON becomes a seventh by it, and no more than a ninth by the slowest.
_LEVEL, _GZIP_FRAME = 1, 31
_KINDS = (b"application/json", b"application/problem+json", b"application/ld+json", b"text/", b"image/svg+xml")
_CONDITIONS = (b"if-none-match", b"if-match")
_SUFFIX, _VARIES = b'-gzip"', b"Accept-Encoding"


def accepts_gzip(header: str) -> bool:
    """Whether an Accept-Encoding header allows gzip (RFC 9110, 12.5.3)."""
    named = {}
    for part in header.lower().split(","):
        name, _, parameters = part.strip().partition(";")
        weight = parameters.replace(" ", "").removeprefix("q=")
        named[name.strip()] = not (weight and weight.strip("0.") == "")
    return named.get("gzip", named.get("x-gzip", named.get("*", False)))


def packed(body: bytes) -> bytes:
    """A body in gzip."""
    packer = zlib.compressobj(_LEVEL, zlib.DEFLATED, _GZIP_FRAME)
    return packer.compress(body) + packer.flush()


class Compression:
    """Compresses whole answers."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            return await self.app(scope, receive, send)
        said = dict(scope["headers"])
        conditions = b",".join(said.get(name, b"") for name in _CONDITIONS)
        if _SUFFIX in conditions:
            scope = {**scope, "headers": [_plain(header) for header in scope["headers"]]}
        wanted = accepts_gzip(said.get(b"accept-encoding", b"").decode("latin-1"))
        await self.app(scope, receive, _Answer(send, conditions, wanted=wanted).send)


def _plain(header: Header) -> Header:
    name, value = header
    return (name, value.replace(_SUFFIX, b'"')) if name in _CONDITIONS else header


class _Answer:
    """One answer, whose head waits for the body: it may be whole."""

    def __init__(self, send: Send, conditions: bytes, *, wanted: bool) -> None:
        self._send, self._conditions, self._wanted = send, conditions, wanted
        self._head: Message | None = None

    async def send(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self._head = message
            return
        if self._head is not None:
            head, self._head = self._head, None
            headers = dict(head.get("headers", ()))
            if self._wanted and _worth_it(headers, message):
                message = {**message, "body": await _small(message["body"])}
                headers |= {b"content-encoding": b"gzip", b"content-length": str(len(message["body"])).encode()}
            await self._send({**head, "headers": self._told(head, headers)})
        await self._send(message)

    def _told(self, head: Message, headers: dict[bytes, bytes]) -> list[Header]:
        """The headers: an answer that varies says so, and a compressed one has a tag of its own."""
        tag = headers.get(b"etag", b"")
        changed = tag.removesuffix(b'"') + _SUFFIX
        known = head["status"] == 304 and changed in self._conditions
        if tag and (known or headers.get(b"content-encoding") == b"gzip"):
            headers[b"etag"] = changed
        if tag or b"content-encoding" in headers:
            headers[b"vary"] = b", ".join(dict.fromkeys(part for part in (headers.get(b"vary"), _VARIES) if part))
        return [*headers.items()]


async def _small(body: bytes) -> bytes:
    return await asyncio.to_thread(packed, body) if len(body) > LONG else packed(body)


def _worth_it(headers: dict[bytes, bytes], message: Message) -> bool:
    """Whether the answer is whole, long enough, and of a kind that becomes smaller."""
    whole = not message.get("more_body", False) and len(message.get("body", b"")) >= SHORTEST
    return whole and b"content-encoding" not in headers and headers.get(b"content-type", b"").startswith(_KINDS)
