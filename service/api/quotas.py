"""How often one may ask: token buckets, which the workers of a server share.

A bucket holds `burst` tokens, a request takes one, and `quota` a minute come back. What is left is said in the fields
of draft-ietf-httpapi-ratelimit-headers-10: q requests in w seconds; r are left, all are back in t seconds.
"""

from __future__ import annotations

import math
import mmap
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from hashlib import blake2b
from struct import Struct
from tempfile import TemporaryFile
from time import monotonic

# Buckets kept; a full one says nothing, so that the fullest may go.
MOST_BUCKETS = 10_000


@dataclass(frozen=True, slots=True)
class Quota:
    """Requests a minute in the long run, and how many may come at once."""

    quota: int
    burst: int

    @property
    def a_second(self) -> float:
        return self.quota / 60

    @property
    def policy(self) -> str:
        """The RateLimit-Policy field: a whole burst, and the seconds in which it comes back."""
        return f'"requests";q={self.burst};w={math.ceil(self.burst / self.a_second)}'


@dataclass(slots=True)
class _Bucket:
    tokens: float
    at: float


@dataclass(frozen=True, slots=True)
class Taken:
    """Whether there was a token, how many are left, when all are back, and when the next one is; in seconds."""

    allowed: bool
    left: int
    whole_in: int
    next_in: int

    @property
    def field(self) -> str:
        """The RateLimit field."""
        return f'"requests";r={self.left};t={self.whole_in}'


def _take(bucket: _Bucket, now: float, quota: Quota) -> Taken:
    """Take a token, after those have come back that were to by now."""
    bucket.tokens = min(quota.burst, bucket.tokens + max(now - bucket.at, 0.0) * quota.a_second)
    bucket.at = now
    allowed = bucket.tokens >= 1
    bucket.tokens -= allowed
    whole_in = math.ceil((quota.burst - bucket.tokens) / quota.a_second)
    next_in = 0 if allowed else max(math.ceil((1 - bucket.tokens) / quota.a_second), 1)
    return Taken(allowed, int(bucket.tokens), whole_in, next_in)


class Buckets:
    """A bucket for each name; not for several threads at once."""

    def __init__(self, *, clock: Callable[[], float] = monotonic, most: int = MOST_BUCKETS) -> None:
        self._clock, self._most = clock, most
        self._buckets: dict[str, _Bucket] = {}

    def take(self, name: str, quota: Quota) -> Taken:
        """Take a token of this name where there is one."""
        return _take(self._bucket(name, quota), self._clock(), quota)

    def _bucket(self, name: str, quota: Quota) -> _Bucket:
        found = self._buckets.pop(name, None) or _Bucket(quota.burst, self._clock())
        if len(self._buckets) >= self._most:
            del self._buckets[next(iter(self._buckets))]  # the one that was asked least lately
        self._buckets[name] = found
        return found


# Of a name that was never asked for: its digest, tokens, and when it was asked last.
_SLOT, _NEVER = Struct("=16sdd"), bytes(16)
# Places in which a name may stand, beginning with one that follows from it.
_NEAR = 8


class SharedBuckets:
    """The same for all processes that are forked from the one that made it, in memory that they share.

    The lock is one that the system gives back for a process that dies; who holds it waits for nothing. Clocks are those
    of the machine since it started, which all its processes see alike.
    """

    def __init__(self, *, clock: Callable[[], float] = monotonic, most: int = MOST_BUCKETS) -> None:
        self._clock, self._most = clock, most
        self._slots = mmap.mmap(-1, most * _SLOT.size)
        self._file = TemporaryFile()  # noqa: SIM115  # it is locked as long as the server runs

    def take(self, name: str, quota: Quota) -> Taken:
        """Take a token of this name where there is one."""
        digest = blake2b(name.encode(), digest_size=16).digest()
        with self._locked():
            place, bucket = self._found(digest, quota)
            taken = _take(bucket, self._clock(), quota)
            _SLOT.pack_into(self._slots, place, digest, bucket.tokens, bucket.at)
        return taken

    @contextmanager
    def _locked(self) -> Iterator[None]:
        import fcntl  # there are no workers where it is not

        fcntl.lockf(self._file, fcntl.LOCK_EX)
        try:
            yield
        finally:
            fcntl.lockf(self._file, fcntl.LOCK_UN)

    def _found(self, digest: bytes, quota: Quota) -> tuple[int, _Bucket]:
        """Where a name stands, or may stand instead of the one that was asked least lately."""
        first = int.from_bytes(digest[:8], "big")
        places = [(first + step) % self._most * _SLOT.size for step in range(_NEAR)]
        slots = [(place, *_SLOT.unpack_from(self._slots, place)) for place in places]
        for place, held, tokens, at in slots:
            if held == digest:
                return place, _Bucket(tokens, at)
        place, *_ = min(slots, key=lambda slot: (slot[1] != _NEVER, slot[3]))
        return place, _Bucket(quota.burst, self._clock())
