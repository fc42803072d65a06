"""Tables for choices of datasets that a request names and nobody asked for lately: read and indexed beside the work.

That takes as long as a start, so that it is done in a thread, for one choice at a time, and few may wait for theirs.
"""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from http import HTTPStatus

from service.api.problems import refusal
from service.wiring import Catalogue

MOST_WAITING = 4
_BUSY = "tables in other orders are being read for others; ask again in a moment"


class Readying:
    """The choices of datasets of one app."""

    def __init__(self, catalogue: Catalogue) -> None:
        self._catalogue, self._one, self._waiting = catalogue, asyncio.Lock(), 0

    async def ready(self, datasets: Sequence[str] | None) -> None:
        """Return when these datasets can be asked without a wait; 503 where too many wait for theirs."""
        if self._waiting >= MOST_WAITING:
            raise refusal(HTTPStatus.SERVICE_UNAVAILABLE, _BUSY, headers={"Retry-After": "1"})
        self._waiting += 1
        try:
            async with self._one:
                await asyncio.to_thread(self._catalogue.resolver, datasets)
        finally:
            self._waiting -= 1
