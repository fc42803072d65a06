"""Ingredient lines into food entries, gram weights and totals."""

from __future__ import annotations

import asyncio
import time
from collections.abc import AsyncIterator, Sequence

from fastapi import APIRouter, Request, Response
from fastapi.responses import StreamingResponse

from service.api import documents
from service.api.exchange import (
    JSON,
    JSONL,
    accepted,
    catalogue_of,
    content_type,
    json_answer,
    parse_json,
    read_body,
    shelf_of,
)
from service.api.payloads import analysis_payload, encode, line_payload
from service.api.problems import refusal
from service.api.schemas import ResolutionRequest
from service.bulk import analyse_results
from service.core.analyse import LineResult, Resolver
from service.core.kitchen import Kitchen
from service.core.nutrients import chosen_components

router = APIRouter(tags=["resolutions"])

# Long lists are worked off in the server's own thread, which serves others after each such spell: a resolver is not
# for several threads, and a second thread would gain nothing since the work is Python's own.
SPELL_SECONDS = 0.02
# From so many lines on, writing the answer out takes longer than handing it to a thread.
LONG_LIST = 200


@router.post("/resolutions", **documents.RESOLUTIONS)
async def resolve_lines(request: Request) -> Response:
    """Resolve an ingredient list: each line's food entry, gram weight and components, totals, coverage."""
    sent = content_type(request)
    wanted = accepted(request, *((JSONL, JSON) if sent == JSONL else (JSON, JSONL)))
    asked = read_request(sent, await read_body(request), dict(request.query_params))
    resolver = catalogue_of(request).resolver(asked.datasets)
    chosen_components(resolver.table, asked.given_components())
    kitchen = shelf_of(request).book(datasets=asked.datasets).kitchen if asked.kitchen else None
    if wanted == JSONL:
        return StreamingResponse(stream(resolver, asked, kitchen), media_type=JSONL)
    return await analysed(resolver, asked, kitchen)


def read_request(sent: str, body: bytes, query: dict[str, str]) -> ResolutionRequest:
    """The request as sent; with JSON Lines the body has only lines, and the query string the rest."""
    if sent == JSON:
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


async def resolved(resolver: Resolver, asked: ResolutionRequest, kitchen: Kitchen | None) -> AsyncIterator[LineResult]:
    """Resolve line by line, letting others have the thread now and then."""
    components = asked.given_components()
    end = time.monotonic() + SPELL_SECONDS
    for line in asked.given_lines():
        yield resolver.resolve(line, components=components, kitchen=kitchen)
        if time.monotonic() > end:
            await asyncio.sleep(0)
            end = time.monotonic() + SPELL_SECONDS


async def stream(resolver: Resolver, asked: ResolutionRequest, kitchen: Kitchen | None) -> AsyncIterator[bytes]:
    """One result a line, as JSON Lines, sent in pieces of some lines each."""
    piece: list[bytes] = []
    async for result in resolved(resolver, asked, kitchen):
        piece.append(encode(line_payload(result)) + b"\n")
        if len(piece) == 64:
            yield b"".join(piece)
            piece.clear()
    yield b"".join(piece)


async def analysed(resolver: Resolver, asked: ResolutionRequest, kitchen: Kitchen | None) -> Response:
    """Lines with totals and coverage; a long answer is written in a thread of its own, which only reads tables."""
    results = [result async for result in resolved(resolver, asked, kitchen)]
    if len(results) > LONG_LIST:
        return await asyncio.to_thread(answer, resolver, results, asked, kitchen)
    return answer(resolver, results, asked, kitchen)


def answer(
    resolver: Resolver, results: Sequence[LineResult], asked: ResolutionRequest, kitchen: Kitchen | None
) -> Response:
    """The answer with totals and coverage of resolved lines; the kitchen has their foods ready."""
    components, servings = asked.given_components(), asked.servings
    analysis = analyse_results(resolver, results, components=components, servings=servings, kitchen=kitchen)
    return json_answer(analysis_payload(analysis))
