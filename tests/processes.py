"""Processes of a test beside others: how busy the machine is, and workers that are asked one at a time."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest


def slowdown() -> float:
    """How many times longer things take now, as the machine is busy with others too."""
    began, worked = time.perf_counter(), time.thread_time()
    while time.thread_time() - worked < 0.1:
        pass
    return max(1.0, (time.perf_counter() - began) / 0.1)


def within(seconds: float, happened: Callable[[], object]) -> bool:
    """Whether it happens within so many seconds of a machine that has nothing else to do."""
    began = time.monotonic()
    while not happened():
        took = time.monotonic() - began
        if took > seconds and took > seconds * slowdown():
            return False
        time.sleep(0.02)
    return True


def workers_of(first: int) -> list[int]:
    """The processes that answer for a server's first one."""
    children = Path(f"/proc/{first}/task/{first}/children")
    if not children.exists():
        pytest.skip("this system does not tell the children of a process")
    return [int(number) for number in children.read_text().split()]


def one_by_one(workers: list[int]) -> Iterator[int]:
    """Each worker while the others stand still: what is asked on a new connection then is answered by it."""
    for one in workers:
        others = [other for other in workers if other != one]
        try:
            for other in others:
                os.kill(other, signal.SIGSTOP)
            while any(_state(other) != "T" for other in others):
                time.sleep(0.01)
            yield one
        finally:
            for other in others:
                os.kill(other, signal.SIGCONT)


def _state(process: int) -> str:
    return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0]
