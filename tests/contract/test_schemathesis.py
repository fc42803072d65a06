"""Whatever the OpenAPI document allows, and what it does not, is answered as the document says.

Schemathesis makes the requests: the examples of the document, edges of each parameter, random values, and sequences
that follow the links from what was saved to what can be done with it. GRAMWRIGHT_CONTRACT_EXAMPLES is how many random
requests are made of each operation, 10 by default.
"""

from __future__ import annotations

import os
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
# Whose requests may be of the right form and yet name what there is not: a component, a food, a section, a change, a
# word, the latest revision. The document says 422 or 412 of them; of all others each well-formed request is taken.
MAY_NAME_NOTHING = {
    "search_foods", "resolve_lines", "compare_releases", "save_own_food", "change_own_food", "delete_own_food",
    "save_recipe", "preview_recipe", "change_recipe", "delete_recipe", "read_nutrition", "read_panel", "read_card",
    "read_strip", "read_schema_org", "read_csv", "read_description", "save_choice", "change_choice", "delete_choice",
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
    left_out = [positive_data_acceptance] if _name(case) in MAY_NAME_NOTHING else []
    case.call_and_validate(excluded_checks=left_out)


def _name(case: Any) -> str:
    return str(case.operation.definition.raw["operationId"])


def test_all_checks_are_made() -> None:
    assert len(CHECKS.get_all()) >= 12


def test_what_was_saved_can_be_followed() -> None:
    machine = schema.as_state_machine()

    class Kitchen(machine):  # type: ignore[misc,valid-type]
        def validate_response(self, response: Any, case: Any, **more: Any) -> None:
            left_out = [positive_data_acceptance] if _name(case) in MAY_NAME_NOTHING else []
            case.validate_response(response, excluded_checks=left_out)

    hypothesis.seed(7)(Kitchen).run(settings=settings(SETTINGS, stateful_step_count=6))
