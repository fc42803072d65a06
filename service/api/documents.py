"""The OpenAPI document: what it says of each operation beyond the route's own docstring, and its examples."""

from __future__ import annotations

from typing import Any

from fastapi import FastAPI, Response
from fastapi.openapi.utils import get_openapi
from pydantic import BaseModel

from service.api import examples, schemas
from service.api.access import scope_needed
from service.api.exchange import JSON, JSONL, REQUEST_NAME, TAGS
from service.api.kitchen_bodies import JSON_LD, TEXT
from service.api.problems import PROBLEM
from service.api.publishing import HTML, SVG
from service.kitchens import forms
from service.kitchens.choice_table import CSV

Document = dict[str, Any]

DESCRIPTION = """Ingredient lines as people write them, turned into food entries, gram weights and nutrient totals that
can be checked. Unknown is null, never zero; every answer names its dataset and release. Errors are problem details
(RFC 9457). Reads carry an ETag. A server on a loopback address is open; any other wants a key with the scope that an
operation names, and answers for the kitchen of that key alone. Every answer has an X-Request-Id. The figures are
computed from public tables: not for dosing medicines without a clinician."""

_MEANINGS = {
    304: "The caller has the current answer (If-None-Match).",
    400: "The body is no JSON, If-Match no entity tag, Idempotency-Key no name, or a parameter has the character NUL.",
    401: "There is no key, or not a good one.",
    403: "The key lacks the scope, or a page of another site asks.",
    408: "The body does not come, or too slowly.",
    404: "There is nothing of this id.",
    409: "It is used elsewhere.",
    412: "Somebody else saved in between (If-Match).",
    428: "The If-Match header is missing.",
    405: "Only own foods are changed or deleted.",
    406: "The Accept header allows no form that there is.",
    413: "The body is larger than 5 MB.",
    415: "The body is of another media type.",
    422: "The request is JSON but not of this form, or names what does not exist.",
    429: "That is more than the quota of the key allows.",
    503: "The server has too much to do, or the store cannot be read.",
}


def _operation(
    name: str,
    summary: str,
    answer: type[BaseModel] | None,
    example: object,
    *problems: int,
    good: int = 200,
    **more: Any,
) -> Document:
    """Keyword arguments of a route decorator; without an answer the operation gives 204."""
    problem = {status: _problem(status) for status in problems}
    if answer is None:
        responses = {204: {"description": "Done."}, **problem}
        return {"operation_id": name, "summary": summary, "responses": responses, **more}
    content = {JSON: {"example": example}, **more.pop("content", {})}
    reply = {"model": answer, "description": "The answer.", "content": content, **more.pop("reply", {})}
    responses = {good: reply, **problem}
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
    content={JSONL: {"schema": {"type": "string", "description": "A result a line, in order, each read by itself."}}},
    openapi_extra={
        "requestBody": _BODY,
        "parameters": [
            _query("components", "With JSON Lines: tagnames separated by commas, or all."),
            _query("datasets", "With JSON Lines: datasets separated by commas."),
            _query("servings", "With JSON Lines: divides the totals."),
            _query("kitchen", "With JSON Lines: true or false, whether the kitchen's foods and choices come first."),
        ],
    },
)  # fmt: skip
FOOD_SEARCH = _operation(
    "search_foods", "Search foods", schemas.FoodSearchAnswer, examples.FOOD_SEARCH, 304, 406, 422, 503,
    reply=_PAGED,
)  # fmt: skip
FOOD = _operation(
    "read_food", "Read a food", schemas.AnyFoodAnswer, examples.FOOD, 304, 404, 406, 422, 503, reply=_TAGGED
)
COMPONENTS = _operation(
    "list_components", "List components", schemas.ComponentsAnswer, examples.COMPONENTS, 304, 406, 503, reply=_TAGGED
)
DATASETS = _operation(
    "list_datasets", "List datasets", schemas.DatasetsAnswer, examples.DATASETS, 304, 406, 503, reply=_TAGGED
)
RELEASES = _operation(
    "list_releases", "List the releases of a dataset", schemas.ReleasesAnswer, examples.RELEASE_LIST,
    304, 404, 406, 422, 503, reply=_TAGGED,
)  # fmt: skip
COMPARISON = _operation(
    "compare_releases", "Compare two releases", schemas.ComparisonAnswer, examples.COMPARISON,
    304, 404, 406, 422, 503, reply=_TAGGED,
    content={HTML: {"schema": {"type": "string"}}, CSV: {"schema": {"type": "string"}}},
)  # fmt: skip
HEALTH = _operation("health", "Whether the server runs", schemas.HealthAnswer, {"status": "ok"})
READY = _operation(
    "ready", "Whether the server can answer", schemas.ReadyAnswer, {"status": "ready", "datasets": ["sr28"]}, 503
)


METRICS: Document = {
    "operation_id": "read_metrics", "summary": "Read the figures of the server", "response_class": Response,
    "responses": {200: {"description": "Prometheus text format.", "content": {TEXT: {"schema": {"type": "string"}}}}},
}  # fmt: skip


def _body(form: str, example: object, **more: Document) -> Document:
    """The body of a request: JSON of a form, or what else is read."""
    schema = {"$ref": f"#/components/schemas/{form}"}
    return {"requestBody": {"required": True, "content": {JSON: {"schema": schema, "example": example}, **more}}}


def _text(example: object) -> Document:
    return {"schema": {"type": "string"}, "example": example}


_RECIPE_BODY = _body(
    "RecipeForm", examples.RECIPE,
    **{TEXT: _text(examples.RECIPE_TEXT), JSON_LD: {"schema": {"type": "object"}, "example": examples.RECIPE_LD}},
)  # fmt: skip
_OWN_FOOD_BODY = _body("OwnFoodForm", examples.OWN_FOOD)
_CHOICE_BODY = _body("ChoiceForm", examples.CHOICE, **{CSV: _text(examples.CHOICES_CSV)})
_READS, _WRITES, _CHANGES = (304, 404, 406, 422, 503), (400, 413, 415, 422, 503), (404, 412, 428)
_CREATED = {
    "headers": {**_TAGGED["headers"], "Location": {"description": "Where it is now.", "schema": {"type": "string"}}}
}
_REVISION = {"headers": {"ETag": {"description": "The revision, for If-Match.", "schema": {"type": "string"}}}}
_IF_MATCH = {
    "parameters": [
        {"name": "If-Match", "in": "header", "required": True, "schema": {"type": "string", "pattern": TAGS},
         "description": "ETag of the latest revision, or `*`."}
    ]
}  # fmt: skip

_ONCE = {
    "parameters": [
        {"name": "Idempotency-Key", "in": "header", "schema": {"type": "string", "pattern": REQUEST_NAME},
         "description": "The client's own name for this request: sent again under it, nothing is saved twice."}
    ]
}  # fmt: skip


def _made(*operations: str) -> Document:
    """What 201 says: where it is now, and which operations take its id."""
    links = {
        name: {
            "operationId": name,
            "parameters": {"id": "$response.body#/id", **(_SEEN if name.startswith(_CHANGING) else {})},
        }
        for name in operations
    }
    return {**_CREATED, "links": links}


# What changes is told by If-Match what it follows from.
_CHANGING, _SEEN = ("change_", "delete_"), {"header.If-Match": "$response.header.ETag"}
_OF_RECIPE = (
    "read_recipe", "change_recipe", "delete_recipe", "list_revisions", "list_users", "read_nutrition", "read_panel",
    "read_card", "read_strip", "read_schema_org", "read_csv", "read_description",
)  # fmt: skip
# ---- own foods, treatments
OWN_FOOD_NEW = _operation(
    "save_own_food", "Save an own food", schemas.SavedOwnFoodAnswer, examples.SAVED_OWN_FOOD, *_WRITES,
    openapi_extra={**_OWN_FOOD_BODY, **_ONCE}, good=201, reply=_made("read_food", "change_own_food", "delete_own_food"),
)  # fmt: skip
OWN_FOOD_CHANGE = _operation(
    "change_own_food", "Change an own food", schemas.SavedOwnFoodAnswer, examples.SAVED_OWN_FOOD, 405, *_WRITES,
    *_CHANGES, openapi_extra={**_OWN_FOOD_BODY, **_IF_MATCH}, reply=_REVISION,
)  # fmt: skip
OWN_FOOD_DELETE = _operation(
    "delete_own_food", "Delete an own food", None, None, 405, 409, 422, 503, *_CHANGES, openapi_extra=_IF_MATCH
)
TREATMENTS = _operation(
    "list_treatments", "List cooking treatments", schemas.TreatmentsAnswer, examples.TREATMENTS, 304, 406,
    reply=_TAGGED,
)  # fmt: skip
# ---- recipes
RECIPES = _operation(
    "list_recipes", "List recipes", schemas.RecipesAnswer, examples.RECIPES, 304, 406, 422, 503, reply=_PAGED
)
OWN_FOODS = _operation(
    "list_own_foods", "List own foods", schemas.OwnFoodsAnswer, examples.OWN_FOODS, 304, 406, 422, 503, reply=_PAGED
)
RECIPE_NEW = _operation(
    "save_recipe", "Save a recipe", schemas.SavedRecipeAnswer, examples.SAVED_RECIPE, *_WRITES,
    openapi_extra={**_RECIPE_BODY, **_ONCE}, good=201, reply=_made(*_OF_RECIPE),
)  # fmt: skip
RECIPE_PREVIEW = _operation(
    "preview_recipe", "Work out a recipe", schemas.NutritionAnswer, examples.PREVIEW, *_WRITES,
    openapi_extra=_RECIPE_BODY,
)  # fmt: skip
RECIPE = _operation(
    "read_recipe", "Read a recipe", schemas.RecipeAnswer, examples.READ_RECIPE, *_READS, reply=_REVISION
)
RECIPE_CHANGE = _operation(
    "change_recipe", "Change a recipe", schemas.SavedRecipeAnswer, examples.CHANGED_RECIPE, *_WRITES, *_CHANGES,
    openapi_extra={**_RECIPE_BODY, **_IF_MATCH}, reply=_REVISION,
)  # fmt: skip
RECIPE_DELETE = _operation(
    "delete_recipe", "Delete a recipe", None, None, 409, 422, 503, *_CHANGES, openapi_extra=_IF_MATCH
)
RECIPE_REVISIONS = _operation(
    "list_revisions", "List revisions", schemas.RevisionsAnswer, examples.REVISIONS, *_READS, reply=_TAGGED
)
RECIPE_USERS = _operation(
    "list_users", "List recipes that use it", schemas.UsersAnswer, examples.USERS, *_READS, reply=_TAGGED
)
RECIPE_NUTRITION = _operation(
    "read_nutrition", "Read what a recipe comes to", schemas.NutritionAnswer, examples.NUTRITION, *_READS,
    reply=_TAGGED,
)  # fmt: skip
# ---- outputs of a recipe
_OUTPUT = {
    "headers": {
        **_TAGGED["headers"],
        "Link": {"description": "describedby: the same figures, for good.", "schema": {"type": "string"}},
    }
}


def _output(name: str, summary: str, media_type: str) -> Document:
    """An output that is no JSON."""
    problems = {status: _problem(status) for status in _READS}
    content = {media_type: {"schema": {"type": "object" if media_type == JSON_LD else "string"}}}
    responses = {200: {"description": "The answer.", "content": content, **_OUTPUT}, **problems}
    return {"operation_id": name, "summary": summary, "responses": responses, "response_class": Response}


PANEL = _operation(
    "read_panel", "Read a label", schemas.PanelAnswer, examples.PANEL, *_READS, reply=_OUTPUT,
    content={HTML: {"schema": {"type": "string"}}, SVG: {"schema": {"type": "string"}}},
)  # fmt: skip
CARD = _output("read_card", "Read the print card", HTML)
STRIP = _output("read_strip", "Read the strip for a video", SVG)
SCHEMA_ORG = _output("read_schema_org", "Read the schema.org Recipe", JSON_LD)
CSV_FIGURES = _output("read_csv", "Read the figures as CSV", CSV)
DESCRIPTION_TEXT = _output("read_description", "Read the text for a description box", TEXT)
# ---- standing choices
CHOICES = _operation(
    "list_choices", "List standing choices", schemas.ChoicesAnswer, examples.CHOICES, 304, 406, 503, reply=_TAGGED,
    content={CSV: {"schema": {"type": "string"}}},
)  # fmt: skip
CHOICE_NEW = _operation(
    "save_choice", "Save standing choices", schemas.SavedChoiceAnswer, examples.SAVED_CHOICE, *_WRITES,
    openapi_extra=_CHOICE_BODY, good=201, reply=_made("read_choice", "change_choice", "delete_choice"),
)  # fmt: skip
CHOICE = _operation(
    "read_choice", "Read a standing choice", schemas.ChoiceAnswer, examples.READ_CHOICE, 304, 404, 422, 503,
    reply=_REVISION,
)  # fmt: skip
CHOICE_CHANGE = _operation(
    "change_choice", "Change a standing choice", schemas.OneChoiceAnswer, examples.SAVED_CHOICE, *_WRITES, *_CHANGES,
    openapi_extra={**_body("ChoiceForm", examples.CHOICE), **_IF_MATCH}, reply=_REVISION,
)  # fmt: skip
CHOICE_DELETE = _operation(
    "delete_choice", "Delete a standing choice", schemas.DeletedChoiceAnswer, examples.DELETED_CHOICE, 422, 503,
    *_CHANGES, openapi_extra=_IF_MATCH,
)  # fmt: skip


def _drop_validation_errors(document: Document) -> None:
    """FastAPI adds an answer of its own form wherever a path has a parameter; ours are problems."""
    for methods in document["paths"].values():
        for operation in methods.values():
            if JSON in operation["responses"].get("422", {}).get("content", {}):
                del operation["responses"]["422"]
    for name in ("HTTPValidationError", "ValidationError"):
        document["components"]["schemas"].pop(name, None)


_KEY = {
    "type": "http", "scheme": "bearer",
    "description": "A key of `gramwright key create`; what stands beside it is the scope that it must have.",
}  # fmt: skip
_REQUEST_ID = {"X-Request-Id": {"description": "The caller's or a new one.", "schema": {"type": "string"}}}
_QUOTA = {
    "RateLimit-Policy": {
        "description": 'Where a key was needed: "requests";q=100;w=10 allows 100 requests at once, which come back in '
        "10 s (draft-ietf-httpapi-ratelimit-headers-10).",
        "schema": {"type": "string"},
    },
    "RateLimit": {
        "description": 'Where a key was needed: "requests";r=99;t=1 says that 99 are left, and all are back in 1 s.',
        "schema": {"type": "string"},
    },
}
_RETRY_AFTER = {"Retry-After": {"description": "Seconds to wait.", "schema": {"type": "integer", "minimum": 1}}}
# Only what `book_of` opens is answered so. It stands at every 200: a header that goes would break clients.
_KITCHEN_CHANGE = {
    "Kitchen-Change": {
        "description": "Only while the database is away, of what is then worked out from a kitchen in memory (figures "
        "of recipes, what is published of them, previews, lines): the change of the kitchen that the answer stands at. "
        "What another worker saved right before may not be in it.",
        "schema": {"type": "integer", "minimum": 0},
    }
}
_CHALLENGE = {"WWW-Authenticate": {"description": "What is wanted (RFC 6750).", "schema": {"type": "string"}}}
_MORE_HEADERS = {200: _KITCHEN_CHANGE, 401: _CHALLENGE, 403: _CHALLENGE, 429: _RETRY_AFTER, 503: _RETRY_AFTER}


def _add_access(document: Document) -> None:
    """What access and limits may answer to every operation, and what they add to each answer."""
    document["components"]["securitySchemes"] = {"key": _KEY}
    for path, methods in document["paths"].items():
        for method, operation in methods.items():
            scope = scope_needed(method.upper(), path)
            operation["security"] = [] if scope is None else [{"key": [scope]}, {}]
            _add_answers(operation, *(() if scope is None else (401, 403, 429, 503)), with_quota=scope is not None)


def _add_answers(operation: Document, *statuses: int, with_quota: bool) -> None:
    answers = operation["responses"]
    more = (*((408,) if "requestBody" in operation else ()), *((400,) if "parameters" in operation else ()))
    for status in (*statuses, *more):
        answers.setdefault(str(status), _problem(status))
    for status, answer in answers.items():
        quota = _QUOTA if with_quota and status != "401" else {}
        answer["headers"] = {**answer.get("headers", {}), **_REQUEST_ID, **quota, **_MORE_HEADERS.get(int(status), {})}


def openapi(app: FastAPI) -> Document:
    """The OpenAPI 3.1 document of the app, made once."""
    if not app.openapi_schema:
        document = get_openapi(
            title=app.title, version=app.version, openapi_version="3.1.0", description=app.description,
            routes=app.routes, tags=app.openapi_tags, license_info=app.license_info,
        )  # fmt: skip
        parts = document.setdefault("components", {}).setdefault("schemas", {})
        for form in (schemas.ResolutionRequest, forms.RecipeForm, forms.OwnFoodForm, forms.ChoiceForm):
            schema = form.model_json_schema(ref_template="#/components/schemas/{model}")
            parts.update(schema.pop("$defs", {}))
            parts[form.__name__] = schema
        problem = schemas.Problem.model_json_schema(ref_template="#/components/schemas/{model}")
        parts.update(problem.pop("$defs", {}))
        parts["Problem"] = problem
        _drop_validation_errors(document)
        _add_access(document)
        app.openapi_schema = document
    return app.openapi_schema
