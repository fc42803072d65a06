"""JSON Lines that are answered while they come in.

A record is read, answered and forgotten. While the client is slow to read its answers no more of them are made; what it
goes on sending is kept meanwhile, up to the limit of a body, so that a client too is served that sends all before it
reads. When it leaves, the work ends.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterator
from contextlib import suppress
from http import HTTPStatus
from typing import Any

from fastapi import Response
from starlette.types import Message, Receive, Scope, Send

from service.api.exchange import BODY_LIMIT

# Answers that are sent together, and how long others wait for the thread while they are made.
PIECE_ANSWERS, PIECE_SECONDS = 64, 0.02
Answer = Callable[[int, bytes], bytes]


class Inbox:
    """The body as far as it has come, given out as numbered records."""

    def __init__(self, begun: bytes, *, whole: bool) -> None:
        self._rest, self._lines = b"", list[bytes]()
        self._number, self._size, self.whole, self.left, self.too_large = 0, 0, False, False, False
        self.take({"type": "http.request", "body": begun, "more_body": not whole})

    @property
    def open(self) -> bool:
        """Whether more is to be read."""
        return not (self.whole or self.left or self.too_large)

    @property
    def waiting(self) -> bool:
        """Whether records are here that were not given out."""
        return bool(self._lines)

    def take(self, message: Message) -> None:
        """What the client sent next, or that it left."""
        if message["type"] == "http.disconnect":
            self.left = True
            return
        body = message.get("body", b"")
        self._size += len(body)
        self.whole, self.too_large = not message.get("more_body", False), self._size > BODY_LIMIT
        if self.too_large:
            return
        *lines, self._rest = (self._rest + body).split(b"\n")
        if self.whole:
            lines, self._rest = [*lines, self._rest], b""
        self._lines += lines

    def records(self) -> Iterator[tuple[int, bytes]]:
        """The records that are here, with the numbers of their lines; blank lines are none."""
        lines, self._lines = self._lines, []
        for place, line in enumerate(lines):
            self._number += 1
            if line.strip():
                yield self._number, line
            lines[place] = b""


class Streamed(Response):
    """The answers to records, sent as they are made."""

    def __init__(self, inbox: Inbox, answer: Answer, *, too_large: Callable[[int], bytes], media_type: str) -> None:
        super().__init__(media_type=media_type)
        del self.headers["content-length"]
        self._inbox, self._answer, self._too_large = inbox, answer, too_large
        self._number = 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        await send({"type": "http.response.start", "status": HTTPStatus.OK, "headers": self.raw_headers})
        inbox, watching = self._inbox, None
        try:
            while not inbox.left:
                for piece in self._pieces():
                    if inbox.whole and watching is None:
                        watching = asyncio.ensure_future(receive())  # only the client's leaving is to come
                    if watching is not None and watching.done():
                        return
                    await self._sent(piece, receive, send)
                    if inbox.left:
                        return
                if inbox.waiting:
                    continue
                if not inbox.open:
                    break
                inbox.take(await receive())
            if inbox.too_large:
                await send(_body(self._too_large(self._number + 1)))
            await send(_body(b"", more=False))
        finally:
            if watching is not None:
                watching.cancel()

    def _pieces(self) -> Iterator[bytes]:
        """The answers to what is here, in pieces that are soon made."""
        loop = asyncio.get_running_loop()
        piece, end = list[bytes](), loop.time() + PIECE_SECONDS
        for number, record in self._inbox.records():
            self._number = number
            piece.append(self._answer(number, record))
            if len(piece) == PIECE_ANSWERS or loop.time() > end:
                yield b"".join(piece)
                piece, end = [], loop.time() + PIECE_SECONDS
        if piece:
            yield b"".join(piece)

    async def _sent(self, piece: bytes, receive: Receive, send: Send) -> None:
        """Send a piece, reading on while the client does not take it."""
        sending = asyncio.ensure_future(send(_body(piece)))
        try:
            await asyncio.sleep(0)
            while self._inbox.open and not sending.done():
                await self._read_beside(sending, receive)
            await sending
        finally:
            sending.cancel()

    async def _read_beside(self, sending: asyncio.Future[None], receive: Receive) -> None:
        reading = asyncio.ensure_future(receive())
        try:
            both: set[asyncio.Future[Any]] = {sending, reading}
            await asyncio.wait(both, return_when=asyncio.FIRST_COMPLETED)
        finally:
            reading.cancel()
            with suppress(asyncio.CancelledError):
                self._inbox.take(await reading)


def _body(body: bytes, *, more: bool = True) -> Message:
    return {"type": "http.response.body", "body": body, "more_body": more}
