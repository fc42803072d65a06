"""The server's log: one JSON object a line on standard error, written by a thread so that nobody waits for it.

A request is logged by its route, never by its path, query or body: no ingredient text and no key comes into the log. An
error is logged by its kind and the places of the code, without its words, which may repeat what was sent.
"""

from __future__ import annotations

import atexit
import logging
import os
import traceback
from collections import deque
from datetime import UTC, datetime
from threading import Event, Lock, Thread
from typing import Any, TextIO

import orjson

# Lines that wait to be written; beyond, the oldest are dropped rather than kept in memory.
MOST_LINES = 10_000
WRITING_SECONDS = 0.1
REQUESTS = logging.getLogger("gramwright.requests")


class JsonLines(logging.Handler):
    """Log records as JSON Lines on a stream, some at a time."""

    def __init__(self, stream: TextIO) -> None:
        super().__init__()
        self._file, self._lines = stream.fileno(), deque[bytes](maxlen=MOST_LINES)
        self._ended, self._writing = Event(), Lock()
        Thread(target=self._write, name="log", daemon=True).start()
        atexit.register(self.flush)

    def emit(self, record: logging.LogRecord) -> None:
        self._lines.append(line_of(record))

    def _write(self) -> None:
        while not self._ended.wait(WRITING_SECONDS):
            self.flush()

    def flush(self) -> None:
        """Write what waits, unless another thread is at it or nobody reads."""
        if not self._lines or not self._writing.acquire(blocking=False):
            return
        try:
            lines = [self._lines.popleft() for _ in range(len(self._lines))]
            said = b"".join(lines)
            while said:
                said = said[os.write(self._file, said) :]
        except (OSError, IndexError):  # the stream is closed: there is nobody to tell
            return
        finally:
            self._writing.release()


def line_of(record: logging.LogRecord) -> bytes:
    """A record as one line."""
    time = datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds")
    fields: dict[str, Any] = {"time": time, "level": record.levelname.lower(), "event": record.getMessage().strip()}
    fields |= getattr(record, "fields", {})
    if record.exc_info and record.exc_info[1] is not None:
        fields |= error_fields(record.exc_info[1])
    return orjson.dumps(fields, option=orjson.OPT_APPEND_NEWLINE, default=str)


def error_fields(error: BaseException) -> dict[str, Any]:
    """What an error is and where it arose, without its words."""
    frames = traceback.extract_tb(error.__traceback__)[-8:]
    return {"error": type(error).__name__, "at": [f"{frame.filename}:{frame.lineno} {frame.name}" for frame in frames]}


def start(stream: TextIO, *, requests: bool) -> None:
    """Log on this stream from now on; without `requests` only what goes wrong."""
    handler = JsonLines(stream)
    for name, level in (("gramwright", "INFO"), ("gramwright.requests", "INFO" if requests else "WARNING"),
                        ("uvicorn.error", "WARNING")):  # fmt: skip
        logging.getLogger(name).setLevel(level)
    for name in ("gramwright", "uvicorn.error"):
        logger = logging.getLogger(name)
        logger.handlers, logger.propagate = [handler], False
