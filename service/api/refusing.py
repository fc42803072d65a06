"""503 for whole requests that come while nobody more may wait, before anything is made for them.

A server that is asked for ten times what it can do spends its time on saying no: read by the HTTP server and led
through the app that costs as much as a small answer. What has its headers in one piece and is of the plainest form is
answered here by constant bytes, on a connection that stays open; all else takes the long way, and is refused there.
"""

from __future__ import annotations

import logging
import re
from typing import NamedTuple

from service.api.admission import ALWAYS, BUSY
from service.api.frame import framed, request_id
from service.api.log import REQUESTS
from service.api.metrics import Metrics

_HEAD = re.compile(
    rb"(GET|POST|PUT|DELETE) (/[!-$&-~]*) HTTP/1\.1\r\n((?:[!#-'*+.^_`|~0-9A-Za-z-]+:[^\r\n\0]*\r\n)+)\r\n"
)
# Fields that change what a request is, where it ends, what becomes of its connection, or who may read the answer.
_ODD = re.compile(
    rb"^(?:transfer-encoding|expect|upgrade|origin|connection(?!:[ \t]*keep-alive[ \t]*\r$)):",
    re.IGNORECASE | re.MULTILINE,
)
_LENGTH = re.compile(rb"^content-length:[ \t]*(\d{1,9})[ \t]*\r$", re.IGNORECASE | re.MULTILINE)
_ID = re.compile(rb"^x-request-id:[ \t]*([^\r\n]*?)[ \t]*\r$", re.IGNORECASE | re.MULTILINE)
# Bytes of a body that are read for nothing, so that the connection can stay.
MOST_LEFT = 64 * 1024
_ALWAYS = frozenset(path.encode() for path in ALWAYS)


class Plain(NamedTuple):
    """A request of which nothing but its refusal is of interest; so many bytes of its body are still to come."""

    method: str
    id: bytes
    left: int


def plain(data: bytes) -> Plain | None:
    """The request that these bytes begin, and no other; None where they are anything else, or always answered."""
    head = _HEAD.match(data)
    if head is None:
        return None
    method, target, fields = head.groups()
    lengths = _LENGTH.findall(fields)
    announced = int(lengths[0]) if len(lengths) == 1 else 0
    one_length = len(lengths) == fields.lower().count(b"content-length") < 2
    left = announced - (len(data) - head.end())
    if not one_length or not 0 <= left <= MOST_LEFT or _ODD.search(fields):
        return None
    if target.partition(b"?")[0] in _ALWAYS:
        return None
    said = _ID.search(fields)
    return Plain(method.decode(), request_id([(b"x-request-id", said[1])] if said else ()), left)


def refuse(request: Plain, metrics: Metrics) -> bytes:
    """The whole answer, which is counted and logged as any other."""
    metrics.began()
    metrics.ended(request.method, "", 503, 0.0)
    if REQUESTS.isEnabledFor(logging.INFO):
        fields = {"request": request.id.decode(), "method": request.method, "route": "", "status": 503,
                  "bytes": len(BUSY.body), "ms": 0.0, "key": "", "kitchen": ""}  # fmt: skip
        REQUESTS.info("request", extra={"fields": fields})
    return _BEFORE_ID + request.id + _AFTER_ID


def _written() -> tuple[bytes, bytes]:
    mark = b"-"
    *fields, (name, last) = framed(BUSY.headers, mark)
    assert last == mark
    lines = b"".join(b"%s: %s\r\n" % field for field in fields)
    return b"HTTP/1.1 503 Service Unavailable\r\n" + lines + name + b": ", b"\r\n\r\n" + BUSY.body


_BEFORE_ID, _AFTER_ID = _written()
