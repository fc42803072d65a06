"""Lines of any text: read, resolved and weighed; `python -m tests.fuzz.lines --seconds 600`."""

from __future__ import annotations

import os
import sys
import time
from functools import cache
from pathlib import Path

from service.core.analyse import LINE_LIMIT, Resolver
from service.settings import Settings
from service.wiring import open_catalogue
from tests.fuzz import fuzzing
from tests.fuzz.line_laws import check_reading, check_result

SEEDS = Path(__file__).parent / "seeds" / "lines"
LONGEST = 2000
# A line is made this long, and then so many times longer, to see how its time grows.
SHORT, TIMES = 600, 8
# How much slower than by its length the longer text may be: what is read once a line makes it less, caches more.
SLACK = 2.0
# One line in so many is made longer, beside each that is the slowest a character so far.
EVERY = 200


@cache
def resolver() -> Resolver:
    return open_catalogue(Settings.from_environment(os.environ, Path.cwd())).resolver()


@cache
def tagnames() -> frozenset[str]:
    return frozenset(component.tagname for component in resolver().table.components)


def text_of(data: bytes) -> str:
    """The text of an input; bytes that are no UTF-8 are passed over, as no door of the project lets them in."""
    return data.decode("utf-8", "ignore")


class Growth:
    """Looks whether time grows by more than a line's length."""

    def __init__(self) -> None:
        self.lines, self.slowest = 0, 0.0

    def __call__(self, line: str) -> None:
        if not line.strip():
            return
        self.lines += 1
        took = seconds(line) / (len(line) + 50)
        if took > self.slowest * 1.2 or self.lines % EVERY == 0:
            self.slowest = max(took, self.slowest)
            check_growth(line)


def seconds(line: str) -> float:
    """What reading takes of this process's own time, which others on the machine do not change."""
    started = time.process_time()
    resolver().read(line)
    return time.process_time() - started


def check_growth(line: str) -> None:
    """Repeated whole, and with only its middle or its beginning repeated, a line takes as long as it is."""
    half, third = len(line) // 2, max(1, len(line) // 3)
    for before, again, after in (("", line, ""), (line[:third], line[third:-third] or line, line[-third:]),
                                 ("", line[:half] or line, line[half:])):  # fmt: skip
        short, long = (before + again * (size // len(again) + 1) + after for size in (SHORT, SHORT * TIMES))
        allowed = SLACK * len(long) / len(short)
        if seconds(long) > 0.01 + allowed * seconds(short):  # looked at again before it is believed
            best = [min(seconds(text) for _ in range(4)) for text in (short, long)]
            assert best[1] <= 0.01 + allowed * best[0], f"{best[1] / best[0]:.1f} times the time, of {again[:200]!r}"


GROWTH = Growth()


def ready() -> None:
    resolver().resolve("1 egg", components=("all",))


def check(data: bytes) -> None:
    line = text_of(data)
    check_reading(line, resolver().read(line))
    result = resolver().resolve(line, components=("all",))
    check_result(line, result, tagnames())
    if len(line) <= LINE_LIMIT:
        assert resolver().resolve(line, components=("all",)) == result, "the same line has the same answer"
    GROWTH(line)


if __name__ == "__main__":
    fuzzing.main("lines", sys.argv[1:])
