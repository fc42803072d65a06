"""gramwright serve: the REST API and the writer's page on an address and port."""

from __future__ import annotations

import argparse
import os
import socket
import sys

import uvicorn

from service.api.app import create_app
from service.commands import stores
from service.core.errors import GramwrightError
from service.settings import Settings
from service.web import add_page


def serve(asked: argparse.Namespace) -> None:
    """gramwright serve"""
    settings = Settings.from_environment()
    with _listener(asked.host or settings.host, settings.port if asked.port is None else asked.port) as listener:
        app = add_page(create_app(stores.open_store(settings)))
        host, port = listener.getsockname()[:2]
        name = f"[{host}]" if ":" in host else host
        print(f"Gramwright listens on http://{name}:{port}; its documentation is at /docs", file=sys.stderr, flush=True)
        uvicorn.Server(uvicorn.Config(app, log_level="warning")).run(sockets=[listener])


def _listener(host: str, port: int) -> socket.socket:
    """A listening socket. The protocol has to be named: asyncio sends small answers at once (TCP_NODELAY) only on
    sockets that say they are TCP, and an answer takes 40 ms more without."""
    try:
        family, kind, protocol, _, address = socket.getaddrinfo(
            host, port, type=socket.SOCK_STREAM, proto=socket.IPPROTO_TCP
        )[0]
        listener = socket.socket(family, kind, protocol)
        if os.name == "posix":
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind(address)
        listener.listen(1024)
    except OSError as error:
        raise GramwrightError(f"cannot listen on {host} port {port}: {error.strerror}") from error
    return listener
