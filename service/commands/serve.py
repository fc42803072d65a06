"""gramwright serve: the REST API and the writer's page on an address and port."""

from __future__ import annotations

import argparse
import os
import socket
import sys
import tempfile

from service.api import log, metrics
from service.api.access import access_rules
from service.api.admission import limits_of
from service.api.app import create_app
from service.api.connections import Server, server_config
from service.api.quotas import SharedBuckets
from service.api.workers import run_workers
from service.commands import stores
from service.core.errors import GramwrightError
from service.settings import Settings
from service.web import add_page
from service.wiring import Catalogue


def serve(asked: argparse.Namespace) -> None:
    """gramwright serve"""
    settings = Settings.from_environment()
    with _listener(asked.host or settings.host, settings.port if asked.port is None else asked.port) as listener:
        host, port = listener.getsockname()[:2]
        catalogue = stores.open_store(settings)
        access_rules(settings, host, catalogue.engine)  # refuses here, once, where nobody could be let in
        name = f"[{host}]" if ":" in host else host
        print(f"Gramwright listens on http://{name}:{port}; its documentation is at /docs", file=sys.stderr, flush=True)

        shared = SharedBuckets() if asked.workers > 1 else None

        def work() -> None:
            _answer(settings, listener, catalogue, shared)

        if asked.workers == 1:
            return work()
        catalogue.engine.dispose()  # no connection is shared
        with tempfile.TemporaryDirectory(prefix="gramwright-metrics-") as folder:
            metrics.share(folder)
            run_workers(asked.workers, work, metrics.forget_worker)


def _answer(
    settings: Settings, listener: socket.socket, catalogue: Catalogue, shared: SharedBuckets | None = None
) -> None:
    """Answer on the listening socket until told to stop."""
    rules = access_rules(settings, listener.getsockname()[0], catalogue.engine, shared)
    app = add_page(create_app(catalogue, rules, limits_of(settings)))
    log.start(sys.stderr, requests=settings.log == "requests")
    Server(server_config(app, settings)).run(sockets=[listener])


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
