"""Connections of the server: how long one may take to say what it wants, and how many there may be.

The HTTP server ends a connection that is silent between two requests. One that never says anything, or says it byte by
byte, is ended here.
"""

from __future__ import annotations

import asyncio
import socket
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import h11
import uvicorn
from uvicorn.protocols.http.auto import AutoHTTPProtocol

from service.api.access import MOST_HEADER_BYTES
from service.api.refusing import plain, refuse
from service.settings import Settings

if TYPE_CHECKING:
    from types import FrameType

    from starlette.types import ASGIApp

# Connections of a worker, as far as the system gives it so many files.
MOST_CONNECTIONS = 8192
SPARE_FILES = 128
KEEP_ALIVE_SECONDS = 5
# Connections that may wait to be taken in, and how many are before others have their turn: a thousand take a while.
MOST_CONNECTING, ACCEPTED_AT_ONCE = 1024, 8


class _Patient:
    """What is put before a protocol of uvicorn: a connection must bring whole headers in `seconds`."""

    seconds: float
    most: int
    transport: asyncio.Transport
    loop: asyncio.AbstractEventLoop
    connections: set[Any]
    cycle: Any
    on_response_complete: Callable[[], None]
    config: uvicorn.Config

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self._unread = 0
        self._state = self.config.app.state  # type: ignore[union-attr]  # it is our own app
        self._patience: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:
        super().connection_made(transport)  # type: ignore[misc]
        if len(self.connections) > self.most:
            transport.abort()
        self._watch()

    def data_received(self, data: bytes) -> None:
        if self._unread:  # of the body of what was refused
            passed = min(self._unread, len(data))
            self._unread, data = self._unread - passed, data[passed:]
            if not data:
                return
        if self._state.places.taken and self._at_rest() and (request := plain(data)) is not None:
            self._calm()
            self._unread = request.left
            self.transport.write(refuse(request, self._state.metrics))
            self.on_response_complete()  # as after any other answer: so long may it be silent now
            return
        before = self.cycle
        super().data_received(data)  # type: ignore[misc]
        if self.cycle is not before:
            self._state.places.announce()
        self._watch()

    def connection_lost(self, error: Exception | None) -> None:
        self._calm()
        super().connection_lost(error)  # type: ignore[misc]

    def _at_rest(self) -> bool:
        """Whether the next byte begins a request, and the client has read what it was answered."""
        parser = getattr(self, "conn", None)  # of h11; another parser does not tell
        return (
            parser is not None and parser.their_state is h11.IDLE and parser.our_state is h11.IDLE
            and not parser.trailing_data[0] and not self.transport.get_write_buffer_size()
        )  # fmt: skip

    def _watch(self) -> None:
        """Be patient from the first byte of headers on, not anew with each."""
        if self.cycle is not None and not self.cycle.response_complete:
            self._calm()
        elif self._patience is None:
            self._patience = self.loop.call_later(self.seconds, self._end)

    def _calm(self) -> None:
        if self._patience is not None:
            self._patience.cancel()
            self._patience = None

    def _end(self) -> None:
        self._patience = None
        if self.cycle is None or self.cycle.response_complete:
            self.transport.abort()


class Server(uvicorn.Server):
    """A server whose app knows that it was told to stop."""

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        for one in sockets or ():  # asyncio takes in as many at once as may wait, which are two things
            one.listen(MOST_CONNECTING)

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        self.config.app.state.stopping = True  # type: ignore[union-attr]  # it is our own app
        super().handle_exit(sig, frame)


def server_config(app: ASGIApp, settings: Settings) -> uvicorn.Config:
    """How uvicorn is to serve the app."""
    limits = {"seconds": settings.client_seconds, "most": min(MOST_CONNECTIONS, files_allowed() - SPARE_FILES)}
    protocol = type("PatientProtocol", (_Patient, AutoHTTPProtocol), limits)
    return uvicorn.Config(
        app, http=protocol, ws="none", lifespan="on", log_config=None, access_log=False, server_header=False,
        backlog=ACCEPTED_AT_ONCE, timeout_keep_alive=KEEP_ALIVE_SECONDS,
        timeout_graceful_shutdown=settings.request_seconds + 1, h11_max_incomplete_event_size=MOST_HEADER_BYTES,
    )  # fmt: skip


def files_allowed() -> int:
    """How many files and connections the process may have open, after asking for as many as it may get."""
    try:
        import resource
    except ImportError:  # a system without such limits
        return MOST_CONNECTIONS + SPARE_FILES
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = MOST_CONNECTIONS + SPARE_FILES
    if hard != resource.RLIM_INFINITY:
        wanted = min(wanted, hard)
    if soft != resource.RLIM_INFINITY and soft < wanted:
        resource.setrlimit(resource.RLIMIT_NOFILE, (wanted, hard))
        return wanted
    return wanted if soft == resource.RLIM_INFINITY else soft
