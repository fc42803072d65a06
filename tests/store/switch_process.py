"""What test_releases.py runs in a process of its own: load, activate and roll back a release without end."""

from __future__ import annotations

import os
import signal
from itertools import count
from multiprocessing.connection import Connection

from sqlalchemy import event

from service.store.engine import open_engine
from service.store.write import activate, add_release, roll_back
from tests.harbour import HARBOUR, changed, harbour, in_parts


def switch(url: str, last: int, began: Connection) -> None:
    """Be at work on a store; `last` is the statement after which it kills itself as by kill -9, 0 for never."""
    engine = open_engine(url)
    done = count(1)

    @event.listens_for(engine, "after_cursor_execute")
    def die(*_: object) -> None:
        if next(done) == last:
            os.kill(os.getpid(), signal.SIGKILL)

    began.send("at work")
    activate(engine, HARBOUR, "2025")
    while True:
        add_release(engine, in_parts(harbour("2026", changed("1", FAT=9))))
        activate(engine, HARBOUR, "2026")
        roll_back(engine, HARBOUR)
