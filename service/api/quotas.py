"""How often one may ask: token buckets, kept by each worker for itself.

A bucket holds `burst` tokens, a request takes one, and `quota` a minute come back. What is left is said in the fields
of draft-ietf-httpapi-ratelimit-headers-10: q requests in w seconds; r are left, all are back in t seconds.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
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


class Buckets:
    """A bucket for each name; not for several threads at once."""

    def __init__(self, *, clock: Callable[[], float] = monotonic, most: int = MOST_BUCKETS) -> None:
        self._clock, self._most = clock, most
        self._buckets: dict[str, _Bucket] = {}

    def take(self, name: str, quota: Quota) -> Taken:
        """Take a token of this name where there is one."""
        now, bucket = self._clock(), self._bucket(name, quota)
        bucket.tokens = min(quota.burst, bucket.tokens + max(now - bucket.at, 0.0) * quota.a_second)
        bucket.at = now
        allowed = bucket.tokens >= 1
        bucket.tokens -= allowed
        whole_in = math.ceil((quota.burst - bucket.tokens) / quota.a_second)
        next_in = 0 if allowed else max(math.ceil((1 - bucket.tokens) / quota.a_second), 1)
        return Taken(allowed, int(bucket.tokens), whole_in, next_in)

    def _bucket(self, name: str, quota: Quota) -> _Bucket:
        found = self._buckets.pop(name, None) or _Bucket(quota.burst, self._clock())
        if len(self._buckets) >= self._most:
            del self._buckets[next(iter(self._buckets))]  # the one that was asked least lately
        self._buckets[name] = found
        return found
