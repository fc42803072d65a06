"""Several processes that answer on one address: forked, so that they share the food data that was loaded before.

The first process only watches: a worker that dies is replaced, a signal to stop is passed on, and where the first
process itself dies its workers end too.
"""

from __future__ import annotations

import logging
import os
import signal
import sys
import time
from collections.abc import Callable
from threading import Thread

from service.core.errors import InputError

# A worker that lives no longer than this is not replaced at once.
SHORTEST_LIFE_SECONDS = 1.0
_STOPPING = (signal.SIGTERM, signal.SIGINT)


def run_workers(count: int, work: Callable[[], None], ended: Callable[[int], None] = lambda _: None) -> None:
    """Run `work` in so many processes until this one is told to stop (SIGTERM, SIGINT); `ended` hears of each end."""
    if not hasattr(os, "fork"):
        raise InputError("this system cannot run several workers; leave out --workers")
    watched, alive = os.pipe()
    born: dict[int, float] = {}
    stopping = False

    def stop(_number: int, _frame: object) -> None:
        nonlocal stopping
        stopping = True
        for process in born:
            os.kill(process, signal.SIGTERM)

    def add() -> None:
        born[_forked(work, watched, alive)] = time.monotonic()

    for number in _STOPPING:
        signal.signal(number, stop)
    for _ in range(count):
        add()
    if stopping:
        stop(signal.SIGTERM, None)
    while born:
        process, status = os.wait()
        lived = time.monotonic() - born.pop(process, 0.0)
        ended(process)
        if not stopping:
            print(f"gramwright: worker {process} ended ({_why(status)}); another takes its place", file=sys.stderr)
            time.sleep(max(0.0, SHORTEST_LIFE_SECONDS - lived))
            add()
        if stopping:  # it may have been told so while the new one was made
            stop(signal.SIGTERM, None)


def _why(status: int) -> str:
    code = os.waitstatus_to_exitcode(status)
    return f"signal {-code}" if code < 0 else f"exit code {code}"


def _forked(work: Callable[[], None], watched: int, alive: int) -> int:
    """Start a worker; its process id."""
    sys.stderr.flush()
    signal.pthread_sigmask(signal.SIG_BLOCK, _STOPPING)  # a signal in between would reach nobody
    process = os.fork()
    if process:
        signal.pthread_sigmask(signal.SIG_UNBLOCK, _STOPPING)
        return process
    code = 1
    try:
        for number in _STOPPING:
            signal.signal(number, signal.SIG_DFL)
        signal.pthread_sigmask(signal.SIG_UNBLOCK, _STOPPING)
        os.close(alive)
        Thread(target=_end_with_the_first, args=(watched,), name="first-process", daemon=True).start()
        work()
        code = 0
    except BaseException as error:
        if isinstance(error, KeyboardInterrupt | SystemExit):
            code = 0
        else:
            print(f"gramwright: a worker failed: {error}", file=sys.stderr)
    finally:
        logging.shutdown()
        sys.stderr.flush()
        os._exit(code)


def _end_with_the_first(watched: int) -> None:
    """The other end of the pipe closes when the first process is gone, however it ended."""
    os.read(watched, 1)
    os.kill(os.getpid(), signal.SIGTERM)
