"""Run as a process of its own by test_releases.py: load, activate and roll back a release without end.

Arguments: the store's URL, and the statement after which it kills itself as by kill -9.
"""

from __future__ import annotations

import os
import signal
import sys
from itertools import count

from sqlalchemy import event

from service.store.engine import open_engine
from service.store.write import activate, add_release, roll_back
from tests.harbour import HARBOUR, changed, harbour, in_parts


def main() -> None:
    engine = open_engine(sys.argv[1])
    done, last = count(1), int(sys.argv[2])

    @event.listens_for(engine, "after_cursor_execute")
    def die(*_: object) -> None:
        if next(done) == last:
            os.kill(os.getpid(), signal.SIGKILL)

    activate(engine, HARBOUR, "2025")
    while True:
        add_release(engine, in_parts(harbour("2026", changed("1", FAT=9))))
        activate(engine, HARBOUR, "2026")
        roll_back(engine, HARBOUR)


if __name__ == "__main__":
    main()
