"""Whole answers that are kept, since applications ask for the same recipe again and again.

An answer follows from what was sent and from what answered it: a resolver (tables, releases, vocabulary) or a kitchen's
book (a resolver, and the kitchen as of one change). Both are replaced when anything of that changes, never altered; an
answer is kept with the very one that gave it and is found by no other, so that none is ever stale. What else decides an
answer is fixed while the server runs.
"""

from __future__ import annotations

from collections import Counter, OrderedDict
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import count
from typing import NamedTuple
from weakref import WeakKeyDictionary

# Bytes of requests and answers that a worker keeps, and of the longest that it keeps.
MOST_BYTES, LONGEST = 16 * 1024 * 1024, 256 * 1024
# What the rest of an entry takes, about.
_BESIDE = 500


class Asked(NamedTuple):
    """All of a request that decides its answer."""

    route: str
    sent: str
    query: bytes
    body: bytes


@dataclass(frozen=True, slots=True)
class Answer:
    """The bytes of an answer, and the outcomes of its lines, which are counted each time."""

    body: bytes
    outcomes: tuple[tuple[str, int], ...]

    @classmethod
    def of(cls, body: bytes, outcomes: Iterable[str]) -> Answer:
        return cls(body, tuple(Counter(outcomes).items()))


class CacheInfo(NamedTuple):
    """As functools tells of its caches."""

    hits: int
    misses: int


class Answers:
    """The answers of one worker, those asked for least lately go first; not for several threads at once."""

    def __init__(self, *, most_bytes: int = MOST_BYTES, longest: int = LONGEST) -> None:
        self._most, self._longest = most_bytes, longest
        self._numbers, self._next = WeakKeyDictionary[object, int](), count()
        self._kept = OrderedDict[tuple[int, Asked], Answer]()
        self._hits = self._misses = self.size = 0

    def find(self, owner: object, asked: Asked) -> Answer | None:
        """The answer that this resolver or book gave to the same request."""
        key = (self._numbers.get(owner, -1), asked)
        found = self._kept.get(key)
        if found is None:
            self._misses += 1
            return None
        self._hits += 1
        self._kept.move_to_end(key)
        return found

    def keep(self, owner: object, asked: Asked, answer: Answer) -> None:
        """Keep what this resolver or book answered, unless it is long."""
        size = _size(asked, answer)
        if size > self._longest:
            return
        number = self._numbers.get(owner)
        if number is None:  # never that of another one, as an address might be
            number = self._numbers[owner] = next(self._next)
        before = self._kept.pop((number, asked), None)
        self.size += size - (0 if before is None else _size(asked, before))
        self._kept[number, asked] = answer
        while self.size > self._most:
            (_, oldest), gone = self._kept.popitem(last=False)
            self.size -= _size(oldest, gone)

    def cache_info(self) -> CacheInfo:
        return CacheInfo(self._hits, self._misses)


def _size(asked: Asked, answer: Answer) -> int:
    return len(asked.body) + len(asked.query) + len(answer.body) + _BESIDE
