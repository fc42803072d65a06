"""The OpenAPI document: what it says of each operation beyond the route's own docstring, and its examples."""

from __future__ import annotations

from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi
from pydantic import BaseModel

from service.api import examples, schemas
from service.api.exchange import JSON, JSONL
from service.api.problems import PROBLEM

Document = dict[str, Any]

DESCRIPTION = """Ingredient lines as people write them, turned into food entries, gram weights and nutrient totals that
can be checked. Unknown is null, never zero; every answer names its dataset and release. Errors are problem details
(RFC 9457). Reads carry an ETag. The figures are computed from public tables: not for dosing medicines without a
clinician."""

_MEANINGS = {
    304: "The caller has the current answer (If-None-Match).",
    400: "The body is no JSON.",
    404: "There is no such food entry.",
    406: "The Accept header allows no form that there is.",
    413: "The body is larger than 5 MB.",
    415: "The body is of another media type.",
    422: "The request is JSON but not of this form, or names what does not exist.",
    503: "The store cannot be read.",
}


def _operation(
    name: str, summary: str, answer: type[BaseModel], example: object, *problems: int, **more: Any
) -> Document:
    """Keyword arguments of a route decorator."""
    content = {JSON: {"example": example}, **more.pop("content", {})}
    good = {"model": answer, "description": "The answer.", "content": content, **more.pop("reply", {})}
    responses = {200: good, **{status: _problem(status) for status in problems}}
    return {"operation_id": name, "summary": summary, "responses": responses, **more}


def _problem(status: int) -> Document:
    if status == 304:
        return {"description": _MEANINGS[304]}
    schema = {"$ref": "#/components/schemas/Problem"}
    return {"description": _MEANINGS[status], "content": {PROBLEM: {"schema": schema}}}


_TAGGED = {"headers": {"ETag": {"description": "Strong entity tag.", "schema": {"type": "string"}}}}
_PAGED = {
    "headers": {
        **_TAGGED["headers"],
        "Link": {"description": "Pages before and after (RFC 8288).", "schema": {"type": "string"}},
    }
}


def _query(name: str, description: str) -> Document:
    return {"name": name, "in": "query", "required": False, "description": description, "schema": {"type": "string"}}


_BODY = {
    "required": True,
    "content": {
        JSON: {"schema": {"$ref": "#/components/schemas/ResolutionRequest"}, "example": examples.REQUEST},
        JSONL: {
            "schema": {"type": "string", "description": 'One object {"line": "..."} a line.'},
            "example": '{"line": "2 large eggs"}\n{"line": "salt to taste"}\n',
        },
    },
}

RESOLUTIONS = _operation(
    "resolve_lines", "Resolve an ingredient list", schemas.ResolutionAnswer, examples.RESOLUTION,
    400, 406, 413, 415, 422, 503,
    content={JSONL: {"schema": {"type": "string", "description": "One line result a line, in order."}}},
    openapi_extra={
        "requestBody": _BODY,
        "parameters": [
            _query("components", "With JSON Lines: tagnames separated by commas, or all."),
            _query("datasets", "With JSON Lines: datasets separated by commas."),
            _query("servings", "With JSON Lines: divides the totals."),
        ],
    },
)  # fmt: skip
FOOD_SEARCH = _operation(
    "search_foods", "Search food entries", schemas.FoodSearchAnswer, examples.FOOD_SEARCH, 304, 406, 422, 503,
    reply=_PAGED,
)  # fmt: skip
FOOD = _operation(
    "read_food", "Read a food entry", schemas.FoodAnswer, examples.FOOD, 304, 404, 406, 503, reply=_TAGGED
)
COMPONENTS = _operation(
    "list_components", "List components", schemas.ComponentsAnswer, examples.COMPONENTS, 304, 406, 503, reply=_TAGGED
)
DATASETS = _operation(
    "list_datasets", "List datasets", schemas.DatasetsAnswer, examples.DATASETS, 304, 406, 503, reply=_TAGGED
)
HEALTH = _operation("health", "Whether the server runs", schemas.HealthAnswer, {"status": "ok"})
READY = _operation(
    "ready", "Whether the server can answer", schemas.ReadyAnswer, {"status": "ready", "datasets": ["sr28"]}, 503
)


def _drop_validation_errors(document: Document) -> None:
    """FastAPI adds an answer of its own form wherever a path has a parameter; ours are problems."""
    for methods in document["paths"].values():
        for operation in methods.values():
            if JSON in operation["responses"].get("422", {}).get("content", {}):
                del operation["responses"]["422"]
    for name in ("HTTPValidationError", "ValidationError"):
        document["components"]["schemas"].pop(name, None)


def openapi(app: FastAPI) -> Document:
    """The OpenAPI 3.1 document of the app, made once."""
    if not app.openapi_schema:
        document = get_openapi(
            title=app.title, version=app.version, openapi_version="3.1.0", description=app.description,
            routes=app.routes, tags=app.openapi_tags, license_info=app.license_info,
        )  # fmt: skip
        parts = document.setdefault("components", {}).setdefault("schemas", {})
        parts["ResolutionRequest"] = schemas.ResolutionRequest.model_json_schema()
        problem = schemas.Problem.model_json_schema(ref_template="#/components/schemas/{model}")
        parts.update(problem.pop("$defs", {}))
        parts["Problem"] = problem
        _drop_validation_errors(document)
        app.openapi_schema = document
    return app.openapi_schema
