"""Errors as problem details (RFC 9457); the one home of the HTTP status of an error.

InputError       422, or 404 where the path itself names what does not exist
ConflictError    412: somebody else saved in between
InUseError       409
StoreError       503; where the store is goes to the log, not to the caller
any other        500; what happened goes to the log, not to the caller
"""

from __future__ import annotations

import logging
import re
from collections.abc import Iterable, Mapping
from functools import cache
from http import HTTPStatus
from typing import Any

from fastapi import FastAPI, HTTPException, Request, Response
from fastapi.exceptions import RequestValidationError
from pydantic import ValidationError
from starlette.exceptions import HTTPException as StarletteHTTPException
from starlette.requests import ClientDisconnect

from service.api.payloads import Payload, encode
from service.core.errors import ConflictError, GramwrightError, InputError, InUseError, NotFoundError, StoreError
from service.kitchens.forms import fault_text

LOG = logging.getLogger("gramwright")
PROBLEM = "application/problem+json"
# A caller's faults are gathered and reported once, but not without end.
MOST_ERRORS = 50
LONGEST_NAME = 200
PATH_POINTERS = ("", "/id")
# Titles by RFC 9110, which older releases of Python do not have yet.
_TITLES = {413: "Content Too Large", 422: "Unprocessable Content"}


def problem(
    request: Request,
    status: int,
    detail: str,
    *,
    errors: Iterable[Payload] = (),
    headers: Mapping[str, str] | None = None,
    more: Mapping[str, object] | None = None,
) -> Response:
    """A problem details answer; `errors` are objects of pointer (RFC 6901), line and detail, `more` extensions."""
    body: Payload = {
        "type": "about:blank",
        "title": _TITLES.get(status) or HTTPStatus(status).phrase,
        "status": status,
        "detail": detail,
        "instance": request.scope["path"],
        **(more or {}),
    }
    if gathered := list(errors):
        body["errors"] = gathered[:MOST_ERRORS]
    return Response(encode(body), status, headers=dict(headers or {}), media_type=PROBLEM)


def refusal(
    status: int, detail: str, *, pointer: str | None = None, line: int | None = None,
    headers: dict[str, str] | None = None,
) -> HTTPException:  # fmt: skip
    """An HTTP error to raise, with the place in the body where there is one."""
    place = {"pointer": pointer, "line": line}
    named = {name: value for name, value in place.items() if value is not None}
    errors = [{**named, "detail": detail}] if named else []
    return HTTPException(status, {"detail": detail, "errors": errors}, headers)


def status_of(error: GramwrightError) -> int:
    """The HTTP status of an error of the family."""
    if isinstance(error, ConflictError):
        return HTTPStatus.PRECONDITION_FAILED
    if isinstance(error, InUseError):
        return HTTPStatus.CONFLICT
    if isinstance(error, NotFoundError) and error.pointer in PATH_POINTERS:
        return HTTPStatus.NOT_FOUND
    if isinstance(error, InputError):
        return HTTPStatus.UNPROCESSABLE_ENTITY
    return HTTPStatus.SERVICE_UNAVAILABLE if isinstance(error, StoreError) else HTTPStatus.INTERNAL_SERVER_ERROR


def install(app: FastAPI) -> None:
    """Make every error of the app a problem details answer."""
    app.exception_handler(StarletteHTTPException)(on_http_error)
    app.exception_handler(RequestValidationError)(on_bad_parameter)
    app.exception_handler(ValidationError)(on_bad_body)
    app.exception_handler(GramwrightError)(on_known_error)
    app.exception_handler(ClientDisconnect)(on_client_gone)
    app.exception_handler(Exception)(on_defect)


async def on_http_error(request: Request, error: StarletteHTTPException) -> Response:
    """404, 405 and whatever a route refuses."""
    said: Any = error.detail
    detail, errors = (said["detail"], said["errors"]) if isinstance(said, dict) else (_plainly(request, error), ())
    if error.status_code == HTTPStatus.METHOD_NOT_ALLOWED and said == HTTPStatus.METHOD_NOT_ALLOWED.phrase:
        return _not_allowed(request, _methods(request) or error.headers)
    return problem(request, error.status_code, detail, errors=errors, headers=error.headers)


def _not_allowed(request: Request, headers: Mapping[str, str] | None) -> Response:
    detail = f"{request.scope['path']} does not answer {request.method}"
    return problem(request, HTTPStatus.METHOD_NOT_ALLOWED, detail, headers=headers)


def _methods(request: Request) -> dict[str, str]:
    """The Allow header of a path: the methods of every operation there; a path without parameters is meant as such."""
    paths, asked = request.app.openapi()["paths"], request.scope["path"]
    found: Iterable[str] = paths.get(asked) or next((paths[form] for form in paths if _form(form).fullmatch(asked)), {})
    methods = sorted({method.upper() for method in found} | ({"HEAD"} if "get" in found else set()))
    return {"Allow": ", ".join(methods)} if methods else {}


@cache
def _form(path: str) -> re.Pattern[str]:
    return re.compile("[^/]+".join(map(re.escape, re.split(r"\{\w+\}", path))))


def _plainly(request: Request, error: StarletteHTTPException) -> str:
    if error.status_code == HTTPStatus.NOT_FOUND:
        return f"nothing is at {request.scope['path']}"
    return str(error.detail)


async def on_bad_parameter(request: Request, error: RequestValidationError) -> Response:
    """Query or path parameters that do not fit; a path may be one that answers other methods, and no id."""
    allowed = _methods(request)
    if allowed and request.method not in allowed["Allow"].split(", "):
        return _not_allowed(request, allowed)
    return _invalid(request, error.errors(), skip=1)


async def on_bad_body(request: Request, error: ValidationError) -> Response:
    """A body that is JSON but not of the form asked for."""
    return _invalid(request, error.errors(include_url=False, include_context=False), skip=0)


def _invalid(request: Request, faults: Iterable[Any], *, skip: int) -> Response:
    gathered = list(faults)
    told = gathered[:MOST_ERRORS]
    errors = [{"pointer": pointer(fault["loc"][skip:]), "detail": fault_text(fault)} for fault in told]
    first = errors[0]
    more = f" (and {len(gathered) - 1:,} more)" if len(gathered) > 1 else ""
    detail = f"{first['pointer'] or 'the request'}: {first['detail']}{more}"
    return problem(request, HTTPStatus.UNPROCESSABLE_ENTITY, detail, errors=errors)


def pointer(place: Iterable[object]) -> str:
    """The RFC 6901 pointer of a place such as ("lines", 3); a name that no form has is cut short."""
    return "".join("/" + str(key)[:LONGEST_NAME].replace("~", "~0").replace("/", "~1") for key in place)


async def on_known_error(request: Request, error: GramwrightError) -> Response:
    """An error of the project's own family."""
    status = status_of(error)
    errors = []
    if isinstance(error, InputError) and status == HTTPStatus.UNPROCESSABLE_ENTITY:
        line = {} if error.line is None else {"line": error.line}
        errors = [{"pointer": error.pointer, **line, "detail": str(error)}]
    headers = {"Retry-After": "5"} if status == HTTPStatus.SERVICE_UNAVAILABLE else {}
    return problem(request, status, said_to_clients(error), errors=errors, headers=headers, more=_named_by(error))


def said_to_clients(error: GramwrightError) -> str:
    """The words of an error; of the store they leave out where it is, which goes to the log."""
    if not isinstance(error, StoreError):
        return str(error)
    LOG.error("%s", error)
    return error.told


def _named_by(error: GramwrightError) -> Payload:
    """What a conflict names beyond its words: the revision that now stands, or who uses what is to be deleted."""
    if isinstance(error, ConflictError):
        return {"current_revision": error.current}
    if isinstance(error, InUseError):
        return {"users": [{"id": food_id, "title": title} for food_id, title in error.users]}
    return {}


async def on_client_gone(request: Request, _error: ClientDisconnect) -> Response:
    """Nobody is there to be answered; the log has the status."""
    return problem(request, HTTPStatus.BAD_REQUEST, "the client left before its body was whole")


async def on_defect(request: Request, _error: Exception) -> Response:
    """A defect of the server; the server's log has the error itself."""
    return problem(request, HTTPStatus.INTERNAL_SERVER_ERROR, "the server met an error, which is in its log")
