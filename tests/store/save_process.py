"""Run as a process of its own by test_kitchen.py: save documents without end, until it is killed.

Arguments: the store's URL, and the statement after which it kills itself as by kill -9 (0: never). Prints a JSON array
for each save that is done: number, revision and body. Every third save is a new document, the others are revisions; a
document's uses are as many as its body says.
"""

from __future__ import annotations

import json
import os
import signal
import sys
from itertools import count

from sqlalchemy import Engine, event

from service.store import kitchen
from service.store.engine import open_engine

KITCHEN = "lunch room"


def die_after(engine: Engine, statement: int) -> None:
    done = count(1)

    @event.listens_for(engine, "after_cursor_execute")
    def die(*_: object) -> None:
        if next(done) == statement:
            os.kill(os.getpid(), signal.SIGKILL)


def main() -> None:
    engine = open_engine(sys.argv[1])
    die_after(engine, int(sys.argv[2]))
    number: int | None = None
    for turn in count(1):
        uses = [f"sr28:{one:05}" for one in range(turn % 7 + 1)]
        body = json.dumps({"turn": turn, "uses": len(uses), "filler": "crackers " * 400})
        new = number is None or turn % 3 == 0
        saved = kitchen.save(
            engine, KITCHEN, "recipe", title=f"Plate {turn}", body=body, uses=uses, number=None if new else number
        )
        number = saved.number
        print(json.dumps([saved.number, saved.revision, saved.body]), flush=True)


if __name__ == "__main__":
    main()
