"""Ingredient lines into food entries, gram weights and totals."""

from __future__ import annotations

import asyncio
import time
from collections.abc import AsyncIterator, Callable, Sequence

from fastapi import APIRouter, HTTPException, Request, Response
from fastapi.responses import StreamingResponse

from service.api import documents
from service.api.exchange import (
    BODY_LIMIT,
    JSON,
    JSONL,
    accepted,
    asked_of,
    begin_body,
    book_of,
    catalogue_of,
    content_type,
    counted_answer,
    kept_answer,
    metrics_of,
    parse_json,
    ready_for,
    too_large_refusal,
)
from service.api.payloads import analysis_payload, encode, error_payload, line_payload
from service.api.problems import refusal
from service.api.schemas import ResolutionRequest
from service.api.streaming import Inbox, Streamed
from service.bulk import analyse_results
from service.core.analyse import LineResult, Resolver
from service.core.kitchen import Kitchen
from service.core.nutrients import chosen_components
from service.kitchens.book import Book

router = APIRouter(tags=["resolutions"])

Count = Callable[[str], None]
# Long lists are worked off in the server's own thread, which serves others after each such spell: a resolver is not
# for several threads, and a second thread would gain nothing since the work is Python's own.
SPELL_SECONDS = 0.02
# A body of JSON Lines up to this length is checked as a whole before it is answered; a longer one is answered as it
# comes in.
CHECKED_BYTES = 64 * 1024
# What the query string says beside JSON Lines.
_IN_QUERY = frozenset({"components", "datasets", "servings", "kitchen"})
_STANDIN = b'{"line": ""}'  # for the lines of a body that is still to come
# From so many lines on, writing the answer out takes longer than handing it to a thread.
LONG_LIST = 200


@router.post("/resolutions", **documents.RESOLUTIONS)
async def resolve_lines(request: Request) -> Response:
    """Resolve an ingredient list: each line's food entry, gram weight and components, totals, coverage."""
    sent = content_type(request)
    wanted = accepted(request, *((JSONL, JSON) if sent == JSONL else (JSON, JSONL)))
    enough = CHECKED_BYTES if (sent, wanted) == (JSONL, JSONL) else BODY_LIMIT
    body, whole = await begin_body(request, enough=enough)
    asked = read_request(sent, body if whole else _STANDIN, dict(request.query_params))
    await ready_for(request, asked.datasets)
    owner = _owner(request, asked)
    key = asked_of(request, sent, body)
    if whole and wanted == JSON and (kept := kept_answer(request, owner, key)) is not None:
        return kept
    resolver, kitchen = (owner, None) if isinstance(owner, Resolver) else (owner.resolver, owner.kitchen)
    chosen_components(resolver.table, asked.given_components())
    count = metrics_of(request).line
    if not whole:
        return streamed(resolver, asked, kitchen, body, count)
    if wanted == JSONL:
        return StreamingResponse(stream(resolver, asked, kitchen, count), media_type=JSONL)
    results, written = await analysed(resolver, asked, kitchen)
    return counted_answer(request, owner, key, written, (result.outcome for result in results))


def _owner(request: Request, asked: ResolutionRequest) -> Book | Resolver:
    """What answers a request: the kitchen's book, or only the tables where the kitchen is left out."""
    if asked.kitchen:
        return book_of(request, datasets=asked.datasets)
    return catalogue_of(request).resolver(asked.datasets)


def read_request(sent: str, body: bytes, query: dict[str, str]) -> ResolutionRequest:
    """The request as sent; with JSON Lines the body has only lines, and the query string the rest.

    With JSON the body has all of it: what the query string says beside it would be passed over unseen.
    """
    if sent == JSON:
        for name in sorted(_IN_QUERY & query.keys()):
            raise refusal(422, f"{name!r} stands in the body where that is JSON, not in the query", pointer=f"/{name}")
        return ResolutionRequest.model_validate(parse_json(body))
    records = [(number, text) for number, text in enumerate(body.split(b"\n"), 1) if text.strip()]
    fields: dict[str, object] = dict(query)
    for name in ("components", "datasets"):
        if name in query:
            fields[name] = [word.strip() for word in query[name].split(",")]
    if "servings" in query:
        fields["servings"] = _number(query["servings"], "/servings")
    if query.get("kitchen") in ("true", "false"):
        fields["kitchen"] = query["kitchen"] == "true"
    fields["lines"] = [read_record(parse_json(text, line=number), number) for number, text in records]
    return ResolutionRequest.model_validate(fields)


def read_record(record: object, number: int) -> str:
    """The line of one record {"line": "..."} of a JSON Lines body."""
    match record:
        case {"line": str(line), **rest} if not rest:
            return line
    raise refusal(422, f'line {number} of the body must be an object {{"line": "..."}}', pointer="/line", line=number)


def _number(text: str, pointer: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise refusal(422, f"{text!r} is no number", pointer=pointer) from None


def streamed(
    resolver: Resolver, asked: ResolutionRequest, kitchen: Kitchen | None, begun: bytes, count: Count
) -> Streamed:
    """The answers to a long body, which are sent while it comes in; a bad record is answered in its place."""
    components = asked.given_components()

    def answer(number: int, record: bytes) -> bytes:
        try:
            line = read_record(parse_json(record, line=number), number)
        except HTTPException as error:
            return encode(error_payload(number, _detail(error))) + b"\n"
        result = resolver.recall(line, components=components, kitchen=kitchen)
        count(result.outcome)
        return encode(line_payload(result)) + b"\n"

    def too_large(number: int) -> bytes:
        return encode(error_payload(number, _detail(too_large_refusal()))) + b"\n"

    return Streamed(Inbox(begun, whole=False), answer, too_large=too_large, media_type=JSONL)


def _detail(error: HTTPException) -> str:
    said: object = error.detail
    return str(said["detail"]) if isinstance(said, dict) else str(said)


async def resolved(resolver: Resolver, asked: ResolutionRequest, kitchen: Kitchen | None) -> AsyncIterator[LineResult]:
    """Resolve line by line, letting others have the thread now and then."""
    components = asked.given_components()
    end = time.monotonic() + SPELL_SECONDS
    for line in asked.given_lines():
        yield resolver.recall(line, components=components, kitchen=kitchen)
        if time.monotonic() > end:
            await asyncio.sleep(0)
            end = time.monotonic() + SPELL_SECONDS


async def stream(
    resolver: Resolver, asked: ResolutionRequest, kitchen: Kitchen | None, count: Count
) -> AsyncIterator[bytes]:
    """One result a line, as JSON Lines, sent in pieces of some lines each."""
    piece: list[bytes] = []
    async for result in resolved(resolver, asked, kitchen):
        count(result.outcome)
        piece.append(encode(line_payload(result)) + b"\n")
        if len(piece) == 64:
            yield b"".join(piece)
            piece.clear()
    yield b"".join(piece)


async def analysed(
    resolver: Resolver, asked: ResolutionRequest, kitchen: Kitchen | None
) -> tuple[list[LineResult], bytes]:
    """Resolved lines, and the answer with totals and coverage; a long one is worked out in a thread of its own, which
    only reads tables."""
    results = [result async for result in resolved(resolver, asked, kitchen)]
    if len(results) > LONG_LIST:
        return results, await asyncio.to_thread(answer, resolver, results, asked, kitchen)
    return results, answer(resolver, results, asked, kitchen)


def answer(
    resolver: Resolver, results: Sequence[LineResult], asked: ResolutionRequest, kitchen: Kitchen | None
) -> bytes:
    """The answer with totals and coverage of resolved lines; the kitchen has their foods ready."""
    components, servings = asked.given_components(), asked.servings
    analysis = analyse_results(resolver, results, components=components, servings=servings, kitchen=kitchen)
    return encode(analysis_payload(analysis))
