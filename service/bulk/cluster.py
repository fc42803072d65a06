"""Chunks worked off by Dask distributed: processes of this machine, or the workers of a cluster.

As many chunks are under way as keep the workers busy; the next is read when one is finished, so that memory does not
grow with the input. What a lost worker had in hand is worked off by another.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack, contextmanager
from functools import partial
from itertools import islice
from tempfile import TemporaryDirectory
from typing import Any, TypeVar

from service.core.errors import GramwrightError

LOOPBACK = "127.0.0.1"
# Chunks that wait at a worker while it works on one: it need never wait for the next.
AHEAD = 2
# How long a cluster may take to show a first worker.
WAIT_SECONDS = 30
# How often the processes of this machine are started: Dask replaces one that dies only once all have begun.
STARTS = 3
# What the web pages of Dask are is of no use here, and they would listen on the network.
_CONFIG = {
    "distributed.scheduler.http.routes": [],
    "distributed.worker.http.routes": [],
    "distributed.nanny.http.routes": [],
    "distributed.admin.tick.limit": "1h",
    "distributed.worker.profile.enabled": False,
}
T = TypeVar("T")
R = TypeVar("R")


@contextmanager
def workers(*, processes: int, scheduler: str | None = None) -> Iterator[Any]:
    """A Dask client of the scheduler at an address, or of so many processes that end with it."""
    dask, distributed = _libraries()
    # Answers come straight from the processes of this machine; of a cluster only the scheduler may be within reach.
    straight = scheduler is None
    where = scheduler or LOOPBACK
    with ExitStack() as stack:
        stack.enter_context(dask.config.set(_CONFIG))
        try:
            if scheduler is None:
                scheduler = stack.enter_context(_local(distributed, processes, stack))
            client = stack.enter_context(
                distributed.Client(
                    scheduler, timeout=WAIT_SECONDS, set_as_default=False, direct_to_workers=straight or None
                )
            )
            client.wait_for_workers(1, timeout=WAIT_SECONDS)
        except (OSError, ValueError, TimeoutError) as error:
            raise GramwrightError(f"no Dask worker within {WAIT_SECONDS} s at {where}: {error}") from error
        yield client


def _libraries() -> tuple[Any, Any]:
    try:
        import dask
        import distributed
    except ImportError:
        raise GramwrightError("bulk work needs Dask: pip install 'gramwright[bulk]'") from None
    return dask, distributed


def _local(distributed: Any, processes: int, stack: ExitStack) -> Any:
    folder = stack.enter_context(TemporaryDirectory(prefix="gramwright-bulk-"))
    start = partial(
        distributed.LocalCluster,
        n_workers=processes,
        threads_per_worker=1,
        processes=True,
        host=LOOPBACK,
        security=distributed.Security.temporary(),  # or whoever is on this machine could hand in work
        dashboard_address=f"{LOOPBACK}:0",
        scheduler_kwargs={"dashboard": False},
        memory_limit=0,
        local_directory=folder,
        silence_logs=logging.CRITICAL,
    )
    for left in reversed(range(STARTS)):
        try:
            return start()
        except RuntimeError as error:  # a process ended before it had begun
            if not left:
                raise GramwrightError(f"the processes of this machine end while they start: {error}") from error


def work_off(client: Any, work: Callable[[T], R], chunks: Iterable[T], *, done: Callable[[T, R], None]) -> None:
    """Have each chunk worked on, and tell `done` of each as it is finished, in any order."""
    from distributed import as_completed

    waiting = iter(chunks)
    under_way: dict[Any, T] = {}
    finished: Any = as_completed(loop=client.loop)  # type: ignore[no-untyped-call]

    def hand_out() -> None:
        room = max(sum(client.nthreads().values()), 1) * AHEAD - len(under_way)
        for chunk in islice(waiting, max(room, 0)):
            future = client.submit(work, chunk, pure=False)
            under_way[future.key] = chunk
            finished.add(future)

    hand_out()
    for future in finished:
        done(under_way.pop(future.key), _result(future))
        future.release()
        hand_out()


def _result(future: Any) -> Any:
    from distributed import CancelledError, KilledWorker

    try:
        return future.result()
    except GramwrightError:
        raise
    except KilledWorker:
        said = "a chunk ended several workers, one after the other"
    except CancelledError:
        said = "the scheduler is gone"
    raise GramwrightError(f"{said}; what is finished is kept: run the same command again")
