"""Whatever the OpenAPI document allows, and what it does not, is answered as the document says.

Schemathesis makes the requests: the examples of the document, edges of each parameter, random values, and sequences
that follow the links from what was saved to what can be done with it. GRAMWRIGHT_CONTRACT_EXAMPLES is how many random
requests are made of each operation, 10 by default.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from typing import Any

import hypothesis
import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, settings
from schemathesis.checks import CHECKS
from schemathesis.specs.openapi.checks import positive_data_acceptance
from starlette.types import ASGIApp, Receive, Scope, Send

from service.api.app import create_app
from service.wiring import Catalogue
from tests.api.conftest import empty_kitchens
from tests.contract.test_snapshot import document_now

EXAMPLES = int(os.environ.get("GRAMWRIGHT_CONTRACT_EXAMPLES", "10"))
SETTINGS = settings(
    max_examples=EXAMPLES, deadline=None, database=None, derandomize=True, suppress_health_check=list(HealthCheck),
    phases=[Phase.explicit, Phase.generate],
)  # fmt: skip
# What a request of the right form may be told beside 404 and 409, which Schemathesis expects itself, and why the form
# cannot say so. Any other refusal of such a request is a failure.
_OTHER_REVISION = {412: "If-Match names a revision that is not the latest"}
_NO_OWN_FOOD = {405: "the id is that of a food of the tables, which nobody changes"}
_RECIPE = {422: "parts of a recipe go together: a line at all, a variant's name, what it leaves out, a treatment"}
_LABEL = {422: "a label's figures go with its basis, its grams and its tagnames"}
_CHOICE = {422: "one of three fields, a food that is there, or a table with its header"}
_PAST = {422: "a change that is yet to come"}
MAY_ANSWER: dict[str, dict[int, str]] = {
    "search_foods": {422: "words of which none is left once marks are taken away; datasets that the tables have"},
    "resolve_lines": {
        400: "JSON Lines are each JSON, which the form of a text does not say",
        422: "lines or text, not both; components and datasets that the tables have",
    },
    "compare_releases": {422: "releases that the store has"},
    "save_recipe": _RECIPE, "preview_recipe": _RECIPE, "change_recipe": {**_RECIPE, **_OTHER_REVISION},
    "delete_recipe": _OTHER_REVISION, "save_own_food": _LABEL,
    "change_own_food": {**_LABEL, **_OTHER_REVISION, **_NO_OWN_FOOD},
    "delete_own_food": {**_OTHER_REVISION, **_NO_OWN_FOOD}, "save_choice": _CHOICE,
    "change_choice": {**_CHOICE, **_OTHER_REVISION}, "delete_choice": _OTHER_REVISION,
    "read_nutrition": {422: "a component or figure that the tables have not; a change that is yet to come"},
    "read_panel": _PAST, "read_card": _PAST, "read_strip": _PAST, "read_schema_org": _PAST, "read_csv": _PAST,
    "read_description": _PAST,
}  # fmt: skip


class Forward:
    """Stands for the app, which is not there yet when requests are made up."""

    app: ASGIApp

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        await self.app(scope, receive, send)


@schemathesis.serializer("application/jsonl", "text/csv")
def as_it_is(_context: Any, value: Any) -> bytes:
    return value if isinstance(value, bytes) else str(value).encode(errors="surrogatepass")


# Beside the statuses that Schemathesis knows for it: the one of RFC 6585 for an If-Match that is missing.
CONFIG = schemathesis.Config.from_dict(
    {"checks": {"missing_required_header": {"expected-statuses": [400, 401, 403, 406, 415, 422, 428]}}}
)
schema = schemathesis.openapi.from_dict(document_now(), config=CONFIG)
schema.app = Forward()


@pytest.fixture(scope="module", autouse=True)
def _over_real_data(catalogue: Catalogue) -> Iterator[None]:
    """The document follows from the code alone; answers come from an app over the store, whose kitchen is empty."""
    empty_kitchens(catalogue)
    schema.app.app = create_app(catalogue)
    yield
    empty_kitchens(catalogue)


@schema.parametrize()
@SETTINGS
def test_every_operation_answers_as_the_document_says(case: Any) -> None:
    response = case.call()
    case.validate_response(response, excluded_checks=_left_out(case, response))


def _left_out(case: Any, response: Any) -> list[Any]:
    """The check that a request of the right form is taken, only where this very refusal is expected."""
    return [positive_data_acceptance] if response.status_code in MAY_ANSWER.get(_name(case), ()) else []


def _name(case: Any) -> str:
    return str(case.operation.definition.raw["operationId"])


def test_what_may_be_answered_is_in_the_document() -> None:
    operations = {one["operationId"]: one for path in document_now()["paths"].values() for one in path.values()}
    for name, answers in MAY_ANSWER.items():
        assert {str(status) for status in answers} <= operations[name]["responses"].keys()


def test_all_checks_are_made() -> None:
    assert len(CHECKS.get_all()) >= 12


def _is_of_another_kind(case: Any) -> bool:
    """Whether the id that was followed is of another kind than the path asks for: links go by the name "id" alone."""
    asked = {one["name"]: one["schema"] for one in case.operation.definition.raw.get("parameters", ())}
    return any(
        not re.search(asked[name].get("pattern", ""), str(value)) for name, value in case.path_parameters.items()
    )


def test_what_was_saved_can_be_followed() -> None:
    machine = schema.as_state_machine()

    class Kitchen(machine):  # type: ignore[misc,valid-type]
        def validate_response(self, response: Any, case: Any, **more: Any) -> None:
            another = response.status_code == 422 and _is_of_another_kind(case)
            left_out = [positive_data_acceptance] if another else _left_out(case, response)
            case.validate_response(response, excluded_checks=left_out)

    hypothesis.seed(7)(Kitchen).run(settings=settings(SETTINGS, stateful_step_count=6))
