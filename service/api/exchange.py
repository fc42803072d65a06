"""What requests and answers have in common: media types, bodies with a limit, entity tags, paging links."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from hashlib import blake2b
from typing import cast
from urllib.parse import urlencode

import orjson
from fastapi import HTTPException, Request, Response
from starlette.requests import ClientDisconnect

from service.api.memory import Answer, Answers, Asked
from service.api.metrics import Metrics
from service.api.payloads import encode
from service.api.problems import refusal
from service.api.readying import Readying
from service.core.errors import ConflictError, InputError, NotFoundError
from service.kitchens.book import Book
from service.kitchens.forms import check_names
from service.kitchens.shelf import Shelf
from service.store.kitchen import Document, Kind
from service.wiring import Catalogue

JSON = "application/json"
JSONL = "application/jsonl"
BODY_LIMIT = 5 * 1024 * 1024
# Each field that a form does not know is a fault of its own, and faults take longer to make than to send.
MOST_FIELDS = 20_000
_FIELD = re.compile(rb'"\s*:')
# Entity tags of a condition (RFC 9110, 13.1.1).
TAGS = r'^(\*|(W/)?"[^"]*"( *, *(W/)?"[^"]*")*)$'
_TAGS = re.compile(TAGS)
# The tag of a revision as it is shown by tables that may change meanwhile: the revision, and a digest of the answer.
_SHOWN = re.compile(r'^"(\d+)-[0-9a-f]{8}"$')
LONGEST_NAME = 200
REQUEST_NAME = rf'^"?([!#-~]{{1,{LONGEST_NAME}}})"?$'
_REQUEST_NAME = re.compile(REQUEST_NAME)
_JSONL_NAMES = (JSONL, "application/x-ndjson", "application/x-jsonlines")


def catalogue_of(request: Request) -> Catalogue:
    """The food data that the app was made with."""
    return cast(Catalogue, request.app.state.catalogue)


def shelf_of(request: Request) -> Shelf:
    """The kitchen of who asks, as access let it in."""
    return cast(Shelf, request.app.state.shelf).of(request.state.access.kitchen)


def book_of(request: Request, *, datasets: Sequence[str] | None = None, at: int | None = None) -> Book:
    """The book of that kitchen; where the database is away the one in memory, which a header of the answer tells."""

    def tell(change: int) -> None:
        request.state.kitchen_change = change

    return shelf_of(request).book(datasets=datasets, at=at, on_away=tell)


async def ready_for(request: Request, datasets: Sequence[str] | None) -> None:
    """Wait until the tables of these datasets are at hand, while others work; 503 where too many wait for theirs."""
    if not catalogue_of(request).is_ready(datasets):
        await request.state.aside(cast(Readying, request.app.state.readying).ready(datasets))


def metrics_of(request: Request) -> Metrics:
    """What the app counts."""
    return cast(Metrics, request.app.state.metrics)


def answers_of(request: Request) -> Answers:
    """The answers that the app keeps."""
    return cast(Answers, request.app.state.answers)


# ---- what comes in ---------------------------------------------------------------------------------------------


async def read_body(request: Request) -> bytes:
    """The body; 413 as soon as it is known to pass the limit, by its announced or its real length."""
    body, _ = await begin_body(request, enough=BODY_LIMIT)
    return body


async def begin_body(request: Request, *, enough: int) -> tuple[bytes, bool]:
    """The body until it has more bytes than `enough`, and whether that is all of it; 413 as with `read_body`."""
    announced = request.headers.get("content-length", "")
    if announced.isdecimal() and int(announced[:20]) > BODY_LIMIT:
        raise too_large_refusal()
    chunks, size, more = list[bytes](), 0, True
    while more and size <= enough:
        message = await request.receive()
        if message["type"] == "http.disconnect":
            raise ClientDisconnect
        chunks.append(message.get("body", b""))
        size, more = size + len(chunks[-1]), message.get("more_body", False)
    if size > BODY_LIMIT:
        raise too_large_refusal()
    return b"".join(chunks), not more


def too_large_refusal() -> HTTPException:
    """413."""
    return refusal(413, f"the body may have {BODY_LIMIT // 1024**2} MB; send the lines in several requests")


def content_type(request: Request, *offers: str) -> str:
    """The one of `offers` that the request says its body is, by default JSON or JSONL; 415 for anything else."""
    offers = offers or (JSON, JSONL)
    said = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    encoding = request.headers.get("content-encoding", "identity").strip().lower()
    if encoding not in ("", "identity"):
        raise refusal(415, f"bodies in Content-Encoding {encoding} are not read")
    named = JSONL if said in _JSONL_NAMES else said
    if named in offers:
        return named
    raise refusal(415, f"the Content-Type must be {' or '.join(offers)}, not {said or 'missing'}")


def text_of(body: bytes) -> str:
    """The body as text; 400 where it is not UTF-8."""
    try:
        return body.decode("utf-8")
    except UnicodeDecodeError as error:
        raise refusal(400, f"the body is not UTF-8 at byte {error.start + 1}", pointer="") from None


def number_of(id: str) -> int:
    """The number of a document by its public id; 404 where it is none."""
    number = id.rpartition(":")[2]
    if not (number.isascii() and number.isdigit()) or len(number) > 9:
        raise refusal(404, f"nothing has the id {id!r}")
    return int(number)


def request_name(request: Request) -> str:
    """The client's name for a request that is to be done once (IETF draft "The Idempotency-Key HTTP Header Field").

    With or without the quotation marks of a structured field's string; "" where there is none, 400 for what is no name.
    """
    said = request.headers.get("idempotency-key")
    if said is None:
        return ""
    found = _REQUEST_NAME.fullmatch(said.strip())
    if found is None:
        raise refusal(400, f"Idempotency-Key is 1 to {LONGEST_NAME} letters, digits or signs of ASCII without blanks")
    return found[1]


def revision_seen(request: Request, kind: Kind, number: int) -> int | None:
    """The revision that If-Match names, or None for `*` (strong comparison, RFC 9110, 13.1.1).

    The latest, or the one before it, which a request that was sent twice names the second time. 428 where the header
    is missing, 412 with the latest revision where that is another, 404 where there is none.
    """
    said = request.headers.get("if-match", "").strip()
    try:
        latest = shelf_of(request).document(kind, number).revision
    except NotFoundError:
        if not said:
            raise unseen() from None
        raise
    if not said:
        raise unseen(f'"{latest}" is the latest, * is any')
    if not _TAGS.fullmatch(said):
        raise refusal(400, f'If-Match is "..." or *, not {said}')
    if said == "*":
        return None
    named = [_SHOWN.sub(r'"\1"', part.strip()) for part in said.split(",")]
    seen = next((one for one in (latest, latest - 1) if one and f'"{one}"' in named), None)
    if seen is None:
        raise ConflictError(f"If-Match names {said}, but revision {latest} is the latest", current=latest)
    return seen


def unseen(which: str = "its ETag, or * for any") -> HTTPException:
    """428."""
    return refusal(428, f"say by If-Match which revision is changed: {which}")


def parse_json(text: bytes, *, line: int | None = None) -> object:
    """A JSON value; 400 with the place where it is none, 422 for more fields than any form has, or one name twice."""
    if text.count(b":") > MOST_FIELDS and sum(1 for _ in _FIELD.finditer(text)) > MOST_FIELDS:
        raise refusal(422, f"the body has more than {MOST_FIELDS:,} fields", pointer="", line=line)
    try:
        value: object = orjson.loads(text)
        check_names(text)
    except orjson.JSONDecodeError as error:
        where = "" if line is None else f"line {line} of the body is no JSON: "
        raise refusal(400, f"{where}{error}", pointer="", line=line or error.lineno) from None
    except InputError as error:
        where = "" if line is None else f"line {line} of the body: "
        raise refusal(422, f"{where}{error}", pointer="", line=line) from None
    return value


def accepted(request: Request, *offers: str) -> str:
    """The first of `offers` that the request accepts best; 406 where it accepts none."""
    header = request.headers.get("accept", "").strip()
    if not header:
        return offers[0]
    ranges = [_media_range(part) for part in header.split(",")]
    weights = [_weight(offer, ranges) for offer in offers]
    best = max(weights)
    if best <= 0:
        raise refusal(406, f"the answer can be {' or '.join(offers)}, which the Accept header does not allow")
    return offers[weights.index(best)]


def _media_range(text: str) -> tuple[str, float]:
    name, *parameters = (part.strip().lower() for part in text.split(";"))
    said = next((part[2:] for part in parameters if part.startswith("q=")), "1")
    try:
        return name, min(max(float(said), 0.0), 1.0)
    except ValueError:
        return name, 0.0


def _weight(offer: str, ranges: list[tuple[str, float]]) -> float:
    """The weight of the most precise range that an offer falls in (RFC 9110, 12.5.1)."""
    names = _JSONL_NAMES if offer == JSONL else (offer,)
    for wanted in (names, (f"{offer.partition('/')[0]}/*",), ("*/*",)):
        found = [weight for name, weight in ranges if name in wanted]
        if found:
            return max(found)
    return 0.0


# ---- what goes out ---------------------------------------------------------------------------------------------


def json_answer(payload: object, *, status: int = 200) -> Response:
    """A JSON answer that is not kept by caches."""
    return Response(encode(payload), status, media_type=JSON, headers={"Cache-Control": "no-store"})


def asked_of(request: Request, sent: str, body: bytes) -> Asked:
    """A request as its answer is kept by."""
    return Asked(request.scope["path"], sent, request.scope["query_string"], body)


def kept_answer(request: Request, owner: object, asked: Asked) -> Response | None:
    """The answer that was given before, whose lines count anew."""
    found = answers_of(request).find(owner, asked)
    return None if found is None else _counted(request, found)


def counted_answer(request: Request, owner: object, asked: Asked, body: bytes, outcomes: Iterable[str]) -> Response:
    """A JSON answer of lines with these outcomes, which are counted; it is kept for who asks `owner` the same again."""
    answer = Answer.of(body, outcomes)
    answers_of(request).keep(owner, asked, answer)
    return _counted(request, answer)


def _counted(request: Request, answer: Answer) -> Response:
    for outcome, number in answer.outcomes:
        metrics_of(request).line(outcome, number)
    return Response(answer.body, media_type=JSON, headers={"Cache-Control": "no-store"})


def tagged_answer(
    request: Request, payload: object, *, links: dict[str, str] | None = None, private: bool = False
) -> Response:
    """A JSON answer with a strong entity tag, or 304 where the caller has it already."""
    accepted(request, JSON)
    more = {"Link": ", ".join(f'<{target}>; rel="{name}"' for name, target in links.items())} if links else {}
    return _tagged(request, encode(payload), JSON, {"Cache-Control": _caching(private=private), **more})


def _caching(*, private: bool) -> str:
    return "private, no-cache" if private else "public, no-cache"


def _tagged(request: Request, body: bytes, media_type: str, more: dict[str, str], *, tag: str = "") -> Response:
    tag = tag or f'"{blake2b(body, digest_size=16).hexdigest()}"'
    headers = {"ETag": tag, **more}
    if _has_it(request.headers.get("if-none-match", ""), tag):
        return Response(status_code=304, headers=headers)
    return Response(body, media_type=media_type, headers=headers)


def revision_answer(
    request: Request, payload: object, document: Document, *, status: int = 200, headers: dict[str, str] | None = None
) -> Response:
    """A saved document, or what became of it; the ETag is its revision, for If-Match."""
    tag = f'"{document.revision}"'
    more = {"ETag": tag, "Cache-Control": "private, no-cache", **(headers or {})}
    if request.method == "GET" and _has_it(request.headers.get("if-none-match", ""), tag):
        return Response(status_code=304, headers=more)
    return Response(encode(payload), status, media_type=JSON, headers=more)


def shown_answer(request: Request, payload: object, document: Document) -> Response:
    """A saved document with what the tables in use say of it; the ETag, which If-Match takes too, tells both."""
    body = encode(payload)
    tag = f'"{document.revision}-{blake2b(body, digest_size=4).hexdigest()}"'
    return _tagged(request, body, JSON, {"Cache-Control": _caching(private=True)}, tag=tag)


def created(request: Request, payload: object, document: Document) -> Response:
    """201 with the place of what was saved."""
    place = {"Location": f"{request.scope['path'].rstrip('/')}/{document.food_id}"}
    return revision_answer(request, payload, document, status=201, headers=place)


def typed_answer(request: Request, body: bytes, media_type: str, more: dict[str, str]) -> Response:
    """An answer in the one of several forms that the caller accepts best, with a strong entity tag, or 304."""
    headers = {"Cache-Control": _caching(private=True), "Vary": "Accept", **more}
    charset = "; charset=utf-8" if media_type.startswith(("text/", "image/")) else ""
    return _tagged(request, body, f"{media_type}{charset}", headers)


def file_answer(request: Request, body: bytes, media_type: str, more: dict[str, str] | None = None) -> Response:
    """What is the same for everybody as long as the server runs, with a strong entity tag, or 304."""
    return _tagged(request, body, media_type, {"Cache-Control": _caching(private=False), **(more or {})})


def _has_it(condition: str, tag: str) -> bool:
    """If-None-Match by weak comparison (RFC 9110, 13.1.2); our tags hold no comma."""
    named = {part.strip().removeprefix("W/") for part in condition.split(",")}
    return condition.strip() == "*" or tag in named


def page_links(request: Request, *, offset: int, limit: int, more: bool, **query: str | None) -> dict[str, str]:
    """Links to the page before and the page after, where there are such pages; a query that is None was not sent."""
    sent = {name: value for name, value in query.items() if value is not None}
    pages = {}
    if offset > 0:
        pages["prev"] = max(offset - limit, 0)
    if more:
        pages["next"] = offset + limit
    return {
        name: f"{request.scope['path']}?{urlencode({**sent, 'limit': limit, 'offset': start})}"
        for name, start in pages.items()
    }
