"""What requests and answers have in common: media types, bodies with a limit, entity tags, paging links."""

from __future__ import annotations

from hashlib import blake2b
from typing import cast
from urllib.parse import urlencode

import orjson
from fastapi import Request, Response

from service.api.payloads import encode
from service.api.problems import refusal
from service.wiring import Catalogue

JSON = "application/json"
JSONL = "application/jsonl"
BODY_LIMIT = 5 * 1024 * 1024
_JSONL_NAMES = (JSONL, "application/x-ndjson", "application/x-jsonlines")


def catalogue_of(request: Request) -> Catalogue:
    """The food data that the app was made with."""
    return cast(Catalogue, request.app.state.catalogue)


# ---- what comes in ---------------------------------------------------------------------------------------------


async def read_body(request: Request) -> bytes:
    """The body; 413 as soon as it is known to pass the limit, by its announced or its real length."""
    announced = request.headers.get("content-length", "")
    if announced.isdigit() and int(announced) > BODY_LIMIT:
        raise _too_large()
    chunks, size = [], 0
    async for chunk in request.stream():
        chunks.append(chunk)
        size += len(chunk)
        if size > BODY_LIMIT:
            raise _too_large()
    return b"".join(chunks)


def _too_large() -> Exception:
    return refusal(413, f"the body may have {BODY_LIMIT // 1024**2} MB; send the lines in several requests")


def content_type(request: Request) -> str:
    """JSON or JSONL, as the request says its body is; 415 for anything else."""
    said = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    encoding = request.headers.get("content-encoding", "identity").strip().lower()
    if encoding not in ("", "identity"):
        raise refusal(415, f"bodies in Content-Encoding {encoding} are not read")
    if said in _JSONL_NAMES:
        return JSONL
    if said == JSON:
        return JSON
    raise refusal(415, f"the Content-Type must be {JSON} or {JSONL}, not {said or 'missing'}")


def parse_json(text: bytes, *, line: int | None = None) -> object:
    """A JSON value; 400 with the place where it is none."""
    try:
        return orjson.loads(text)
    except orjson.JSONDecodeError as error:
        where = "" if line is None else f"line {line} of the body is no JSON: "
        raise refusal(400, f"{where}{error}", pointer="", line=line or error.lineno) from None


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


def json_answer(payload: object) -> Response:
    """A JSON answer that is not kept by caches."""
    return Response(encode(payload), media_type=JSON, headers={"Cache-Control": "no-store"})


def tagged_answer(request: Request, payload: object, *, links: dict[str, str] | None = None) -> Response:
    """A JSON answer with a strong entity tag, or 304 where the caller has it already."""
    accepted(request, JSON)
    body = encode(payload)
    headers = {"ETag": f'"{blake2b(body, digest_size=16).hexdigest()}"', "Cache-Control": "public, no-cache"}
    if links:
        headers["Link"] = ", ".join(f'<{target}>; rel="{name}"' for name, target in links.items())
    if _has_it(request.headers.get("if-none-match", ""), headers["ETag"]):
        return Response(status_code=304, headers=headers)
    return Response(body, media_type=JSON, headers=headers)


def _has_it(condition: str, tag: str) -> bool:
    """If-None-Match by weak comparison (RFC 9110, 13.1.2); our tags hold no comma."""
    named = {part.strip().removeprefix("W/") for part in condition.split(",")}
    return condition.strip() == "*" or tag in named


def page_links(request: Request, *, offset: int, limit: int, more: bool, **query: str) -> dict[str, str]:
    """Links to the page before and the page after, where there are such pages."""
    pages = {}
    if offset > 0:
        pages["prev"] = max(offset - limit, 0)
    if more:
        pages["next"] = offset + limit
    return {
        name: f"{request.url.path}?{urlencode({**query, 'limit': limit, 'offset': start})}"
        for name, start in pages.items()
    }
