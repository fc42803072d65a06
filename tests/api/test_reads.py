"""The reads: what they hold, entity tags, HEAD, paging."""

from __future__ import annotations

import re

import numpy as np
import pytest

from service.api import schemas

READS = [
    ("/v1/foods?search=smoked%20haddock", schemas.FoodSearchAnswer),
    ("/v1/foods/sr28:09038", schemas.FoodAnswer),
    ("/v1/components", schemas.ComponentsAnswer),
    ("/v1/datasets", schemas.DatasetsAnswer),
]
paths = pytest.mark.parametrize("path", [path for path, _ in READS])


HEALTH = [("/healthz", schemas.HealthAnswer), ("/readyz", schemas.ReadyAnswer)]


@pytest.mark.parametrize(("path", "schema"), [*READS, *HEALTH])
def test_reads_keep_to_their_schema(client, path, schema):
    answer = client.get(path)
    assert (answer.status_code, answer.headers["content-type"]) == (200, "application/json")
    assert answer.headers["x-content-type-options"] == "nosniff"
    schema.model_validate(answer.json())


# If-None-Match, with TAG for the current tag: RFC 9110, 13.1.2 (weak comparison; "*" is anything).
CONDITIONS = [("TAG", 304), ("W/TAG", 304), ('"other", TAG', 304), ("*", 304), ('"other"', 200), ("", 200)]


@paths
@pytest.mark.parametrize(("condition", "status"), CONDITIONS)
def test_entity_tags(client, path, condition, status):
    tag = client.get(path).headers["etag"]
    assert re.fullmatch(r'"[0-9a-f]+"', tag)
    answer = client.get(path, headers={"If-None-Match": condition.replace("TAG", tag)})
    assert (answer.status_code, answer.headers["etag"]) == (status, tag)
    # A search finds the kitchen's own foods as well, which are for nobody else.
    shared = "private" if "search=" in path else "public"
    assert answer.headers["cache-control"] == f"{shared}, no-cache"
    assert bool(answer.content) == (status == 200)


@paths
def test_head_is_get_without_a_body(client, path):
    got, head = client.get(path), client.request("HEAD", path)
    assert (head.status_code, head.content, head.headers["etag"]) == (200, b"", got.headers["etag"])
    assert head.headers["content-length"] == str(len(got.content))


def test_head_of_nothing_has_no_body(client):
    answer = client.request("HEAD", "/v1/menus")
    assert (answer.status_code, answer.content) == (404, b"")


def test_pages_follow_each_other_and_repeat_nothing(client):
    seen: list[str] = []
    path = "/v1/foods?search=cheddar%20cheese&limit=5"
    for _ in range(3):
        answer = client.get(path)
        seen += [food["id"] for food in answer.json()["foods"]]
        path = re.search(r'<([^>]+)>; rel="next"', answer.headers["link"]).group(1)
    whole = client.get("/v1/foods?search=cheddar%20cheese&limit=15").json()["foods"]
    assert seen == [food["id"] for food in whole]
    assert len(set(seen)) == 15


def test_the_last_page_has_no_next(client):
    answer = client.get("/v1/foods?search=rutabaga&limit=100")
    assert answer.json()["foods"]
    assert 'rel="next"' not in answer.headers.get("link", "")


# Search words and datasets, with those that the answer names and what every id found begins with.
CHOSEN = [
    ("erythritol", "pantry", ["pantry"], "pantry:"), ("erythritol", "pantry,sr28", ["pantry", "sr28"], "pantry:"),
    ("haddock", "sr28", ["sr28"], "sr28:"), ("haddock", " sr28 , pantry ", ["sr28", "pantry"], "sr28:"),
]  # fmt: skip


@pytest.mark.parametrize(("search", "datasets", "named", "prefix"), CHOSEN)
def test_a_search_looks_in_the_datasets_asked_for(client, search, datasets, named, prefix):
    found = client.get("/v1/foods", params={"search": search, "datasets": datasets}).json()
    assert [one["dataset"] for one in found["releases"]] == named
    assert found["foods"]
    assert all(food["id"].startswith(prefix) for food in found["foods"])


def test_a_search_of_sr28_alone_finds_no_substance_of_the_pantry(client):
    found = client.get("/v1/foods?search=erythritol&datasets=sr28").json()
    assert not [food for food in found["foods"] if food["id"].startswith("pantry:")]


def test_a_bar_code_that_no_food_bears_finds_nothing(client):
    answer = client.get("/v1/foods?search=9100000000003")
    assert (answer.status_code, answer.json()["foods"]) == (200, [])


def test_pages_of_a_search_keep_to_its_datasets(client):
    first = client.get("/v1/foods?search=cheddar%20cheese&datasets=sr28&limit=2")
    path = re.search(r'<([^>]+)>; rel="next"', first.headers["link"]).group(1)
    assert [one["dataset"] for one in client.get(path).json()["releases"]] == ["sr28"]


def test_a_food_has_its_origin_and_what_is_unknown(client):
    # SR28 09038: 136 g for a fruit without skin and seed, refuse 33 %.
    food = client.get("/v1/foods/sr28:09038").json()
    assert {"amount": 1.0, "measure": "fruit, without skin and seed", "grams": 136.0} in food["measures"]
    assert food["refuse"]["percent"] == 33.0
    assert food["components"]["PROCNT"]["samples"] == 30
    assert food["components"]["CHOCDF"]["value"] == 8.64
    assert food["net_carbohydrate"]["value"] == 1.84
    unknown = [name for name, value in food["components"].items() if value["value"] is None]
    assert unknown
    assert all(food["components"][name]["reason"] for name in unknown)
    known = {component["tagname"] for component in client.get("/v1/components").json()["components"]}
    assert food["components"].keys() == known


def test_an_entry_without_fibre_has_no_net_carbohydrate(client, sr28_table):
    column = [component.tagname for component in sr28_table.components].index("FIBTG")
    lacking = int(np.flatnonzero(np.isnan(sr28_table.amounts[:, column]))[0])
    net = client.get(f"/v1/foods/{sr28_table.foods[lacking].id}").json()["net_carbohydrate"]
    assert (net["value"], net["reason"]) == (None, "fibre unknown: net unknown, total reported")


def test_datasets_state_release_licence_and_counts(client):
    sr28, pantry = client.get("/v1/datasets").json()["datasets"]
    assert (sr28["dataset"], sr28["release"]) == ("sr28", "28")
    assert (pantry["dataset"], pantry["name"], pantry["foods"]) == ("pantry", "Pantry substances", 16)
    assert (sr28["foods"], sr28["components"], sr28["values"], sr28["measures"]) == (8789, 150, 679_045, 15_438)
    assert "ublic domain" in sr28["licence"]
