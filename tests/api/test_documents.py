"""The OpenAPI document and the page that shows it."""

from __future__ import annotations

import re

import pytest


@pytest.fixture(scope="module")
def document(client):
    return client.get("/openapi.json").json()


def operations(document):
    return [operation for methods in document["paths"].values() for operation in methods.values()]


def test_every_operation_is_explained_with_an_example(document):
    assert document["openapi"].startswith("3.1")
    assert len(operations(document)) == 35
    for operation in operations(document):
        assert operation["summary"]
        assert operation["description"].endswith(".")
        good = next(answer for status, answer in operation["responses"].items() if status.startswith("2"))
        form = good.get("content", {}).get("application/json")
        assert form is None or form["example"], operation["operationId"]


NOT_JSON = {
    "read_card", "read_strip", "read_schema_org", "read_csv", "read_description", "delete_own_food", "delete_recipe",
    "read_metrics",
}  # fmt: skip


def test_only_outputs_and_deletions_are_answered_without_json(document):
    others = {
        operation["operationId"]
        for operation in operations(document)
        if not any("application/json" in answer.get("content", {}) for answer in operation["responses"].values())
    }
    assert others == NOT_JSON


def test_what_is_written_says_that_it_wants_if_match(document):
    for methods in document["paths"].values():
        for method, operation in methods.items():
            wanted = [one for one in operation.get("parameters", ()) if one["name"] == "If-Match" and one["required"]]
            assert bool(wanted) == (method in ("put", "delete")), operation["operationId"]


def test_the_request_has_schema_and_examples_for_both_forms(document):
    content = document["paths"]["/v1/resolutions"]["post"]["requestBody"]["content"]
    assert set(content) == {"application/json", "application/jsonl"}
    assert all(form["example"] and form["schema"] for form in content.values())


def test_every_body_has_a_schema_and_an_example(document):
    bodies = [operation["requestBody"]["content"] for operation in operations(document) if "requestBody" in operation]
    assert len(bodies) == 8
    assert all(form["example"] and form["schema"] for content in bodies for form in content.values())


def test_every_error_is_problem_details(document):
    for operation in operations(document):
        for status, answer in operation["responses"].items():
            if int(status) >= 400:
                assert list(answer["content"]) == ["application/problem+json"]


def test_every_reference_leads_somewhere(document):
    schemas = document["components"]["schemas"]
    references = set(re.findall(r"'#/components/schemas/(\w+)'", str(document)))
    assert references
    assert references <= set(schemas)
    assert "#/$defs" not in str(document)


@pytest.mark.parametrize(("path", "media_type"), [("/docs", "html"), ("/docs.js", "javascript"), ("/docs.css", "css")])
def test_the_page_loads_nothing_from_another_host(client, path, media_type):
    answer = client.get(path)
    assert answer.status_code == 200
    assert media_type in answer.headers["content-type"]
    policy = answer.headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "//" not in re.sub(r"(?m)^\s*// .*$", "", answer.text).replace("<!doctype html>", "")
    assert "innerHTML" not in answer.text


def test_what_the_page_asks_for_is_there(client):
    page = client.get("/docs").text
    asked = set(re.findall(r'(?:src|href)="(/[^"]*)"', page))
    assert asked == {"/docs.js", "/docs.css", "/openapi.json"}
    assert all(client.get(path).status_code == 200 for path in asked)
