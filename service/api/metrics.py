"""What a scrape of `/metrics` finds, for Prometheus.

Names of routes, never paths; no kitchen, key or text. Of several workers each counts for itself in files of a folder
that they share (`share`), and a scrape of whichever answers gives the sums of all.
"""

from __future__ import annotations

import os
import platform
from collections.abc import Callable, Iterable, Iterator, Mapping
from time import monotonic
from typing import TYPE_CHECKING, Any

from service.core.nutrients import net_carbohydrate
from service.core.text import singular
from service.tables.version import vocabulary_version

if TYPE_CHECKING:
    from prometheus_client import Counter, Histogram
    from prometheus_client.registry import Collector

    from service.core.food import Release

# The library reads it when it is imported, which is why that is done so late.
FOLDER = "PROMETHEUS_MULTIPROC_DIR"
# Seconds, from a look-up to the longest that a worker may take.
BUCKETS = (0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0, 30.0)
OUTCOMES = ("resolved", "check", "no_match", "not_food")
_METHODS = frozenset({"GET", "HEAD", "POST", "PUT", "DELETE", "OPTIONS"})
_CACHES: Mapping[str, Any] = {"singulars": singular, "net carbohydrate": net_carbohydrate}
_CACHES_SECONDS = 1.0
# Files of the page are many, and what is of interest is whether they are quick.
_PAGE = "/page/"


def share(folder: str) -> None:
    """Let workers that are started from here on count in files of this folder; before any app is made."""
    os.environ[FOLDER] = folder


def forget_worker(process: int) -> None:
    """What this worker was doing is done no more; what it counted stays."""
    if FOLDER in os.environ:
        from prometheus_client.multiprocess import mark_process_dead

        mark_process_dead(process)  # type: ignore[no-untyped-call]


class Metrics:
    """The figures of one app; `releases` tells which releases answer, `caches` those of its own by name."""

    def __init__(
        self,
        version: str,
        releases: Callable[[], Iterable[Release]],
        caches: Callable[[], Mapping[str, Any]] = dict,
    ) -> None:
        from prometheus_client import (
            CollectorRegistry,
            Counter,
            Gauge,
            Histogram,
            ProcessCollector,
            disable_created_metrics,
        )

        disable_created_metrics()  # type: ignore[no-untyped-call]
        own = self._registry = CollectorRegistry(auto_describe=False)
        self._releases, self._version, self._caches = releases, version, caches
        self._requests = Histogram(
            "gramwright_request_seconds", "Time from a request's headers to the end of its answer.",
            ("method", "route", "status"), buckets=BUCKETS, registry=own,
        )  # fmt: skip
        self._lines = Counter("gramwright_lines", "Lines that were answered, by outcome.", ("outcome",), registry=own)
        self._under_way = Gauge(
            "gramwright_requests_under_way", "Requests that are worked on or wait.",
            multiprocess_mode="livesum", registry=own,
        )  # fmt: skip
        self._workers = Gauge("gramwright_workers", "Workers that answer.", multiprocess_mode="livesum", registry=own)
        self._hits = Counter("gramwright_cache_hits", "What a cache had.", ("cache",), registry=own)
        self._misses = Counter("gramwright_cache_misses", "What a cache did not have.", ("cache",), registry=own)
        self._seen: dict[tuple[str, int], int] = {}
        self._next_look = 0.0
        self._of_request: dict[tuple[str, str, int], Histogram] = {}
        self._of_outcome: dict[str, Counter] = {name: self._lines.labels(name) for name in OUTCOMES}
        self._workers.set(1)
        if FOLDER not in os.environ:
            ProcessCollector(registry=own)

    def began(self) -> None:
        """A request came."""
        self._under_way.inc()

    def ended(self, method: str, route: str, status: int, seconds: float) -> None:
        """A request ended; `route` is "" where it was refused before one was found, `status` 0 without an answer."""
        self._under_way.dec()
        key = method if method in _METHODS else "other", route, status
        found = self._of_request.get(key)
        if found is None:
            found = self._of_request[key] = self._requests.labels(key[0], _named(route), status or "none")
        found.observe(seconds)
        if monotonic() >= self._next_look:
            self._look_at_caches()

    def line(self, outcome: str, count: int = 1) -> None:
        """So many lines were answered."""
        self._of_outcome[outcome].inc(count)

    def _look_at_caches(self) -> None:
        self._next_look = monotonic() + _CACHES_SECONDS
        for name, cached in {**_CACHES, **self._caches()}.items():
            info = cached.cache_info()
            for place, (counter, now) in enumerate(((self._hits, info.hits), (self._misses, info.misses))):
                before = self._seen.get((name, place), 0)
                counter.labels(name).inc(max(now - before, 0))
                self._seen[name, place] = now

    def text(self, accepted: str) -> tuple[bytes, str]:
        """All figures in the format that an Accept header asks for, and its media type."""
        from prometheus_client import CollectorRegistry
        from prometheus_client.exposition import choose_encoder
        from prometheus_client.multiprocess import MultiProcessCollector

        self._look_at_caches()
        registry = self._registry
        if FOLDER in os.environ:
            registry = CollectorRegistry()
            MultiProcessCollector(registry)  # type: ignore[no-untyped-call]
        write, media_type = choose_encoder(accepted)
        return write(_Together(registry, self)), media_type

    def now(self) -> Iterator[Any]:
        """What is so rather than counted: the build, and the releases that answer."""
        from prometheus_client.core import GaugeMetricFamily

        about = {"version": self._version, "python": platform.python_version(), "vocabulary": vocabulary_version()}
        build = GaugeMetricFamily("gramwright_build_info", "What runs.", labels=list(about))
        build.add_metric(list(about.values()), 1)
        yield build
        found = GaugeMetricFamily("gramwright_release_info", "Releases that answer.", labels=["dataset", "release"])
        for one in self._releases():
            found.add_metric([one.dataset, one.release], 1)
        yield found


class _Together:
    """A registry, and what is so besides; as the library's writers read one."""

    def __init__(self, registry: Collector, metrics: Metrics) -> None:
        self._registry, self._metrics = registry, metrics

    def collect(self) -> Iterator[Any]:
        yield from self._registry.collect()
        yield from self._metrics.now()


def _named(route: str) -> str:
    return f"{_PAGE}{{file}}" if route.startswith(_PAGE) else route or "none"
