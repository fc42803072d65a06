"""Own foods over HTTP: what a label comes to, what on it does not add up, where it is used; foods of a kitchen."""

from __future__ import annotations

import pytest

from service.api import schemas
from tests.api.lunchroom import BISCUIT, BREAD, CRACKERS, PLATE, recipe
from tests.api.test_bad_requests import assert_problem


def test_a_label_comes_to_its_composition_per_100_g(kitchen):
    saved = kitchen.save("/v1/foods", BREAD)
    schemas.SavedOwnFoodAnswer.model_validate(saved)
    assert (saved["id"], saved["findings"], saved["changed"]) == ("own:1", [], [])
    components = saved["components"]
    # Available carbohydrate and fibre make total carbohydrate; 2.5 g of salt hold 1 g of sodium (EU 1169/2011 Annex I).
    assert [components[name]["value"] for name in ("CHOAVLDF", "FIBTG", "CHOCDF", "NA")] == [5.5, 12, 17.5, 440]
    assert components["FIBTG"]["source"]["text"] == "stated on the label"
    assert components["CHOCDF"]["source"]["text"] == "follows from what the label states"
    assert (components["CA"]["value"], components["CA"]["reason"]) == (None, "the label does not state it")
    assert saved["net_carbohydrate"]["value"] == 5.5
    assert saved["measures"] == [{"amount": 1, "measure": "slice", "grams": 35}]


def test_an_own_food_is_read_as_it_was_saved(kitchen):
    saved = kitchen.save("/v1/foods", BREAD)
    answer = kitchen.get("/v1/foods/own:1")
    schemas.OwnFoodAnswer.model_validate(answer.json())
    tag = answer.headers["etag"]
    assert tag.startswith('"1-')
    assert answer.json() == {key: value for key, value in saved.items() if key != "changed"}
    assert {key: answer.json()["form"][key] for key in ("description", "components")} == {
        "description": "Quayside bread", "components": BREAD["components"],
    }  # fmt: skip
    assert kitchen.get("/v1/foods/own:1", headers={"If-None-Match": tag}).status_code == 304
    for seen in ('"1-00000000"', '"1-"', '"2-' + tag[3:]):
        assert kitchen.get("/v1/foods/own:1", headers={"If-None-Match": seen}).status_code == 200


def test_an_answer_is_of_one_revision_whatever_was_saved_since(kitchen):
    """A request that is sent again brings what it saved, not that label beside the figures of a later one."""
    named = {"Idempotency-Key": "bread-1"}
    first = kitchen.post("/v1/foods", json=BREAD, headers=named)
    changed = {**BREAD, "components": {**BREAD["components"], "FIBTG": 2}}
    kitchen.put("/v1/foods/own:1", changed, seen='"1"')
    again = kitchen.post("/v1/foods", json=BREAD, headers=named)
    assert (again.status_code, again.headers["etag"], again.json()) == (201, '"1"', first.json())
    kitchen.delete("/v1/foods/own:1", seen='"2"')
    again = kitchen.post("/v1/foods", json=BREAD, headers=named)
    assert (again.status_code, again.json()) == (201, first.json())


def test_a_label_per_serving(kitchen):
    label = {**BISCUIT, "components": {"FAT": 9, "CHOCDF": 15, "PROCNT": 3}}
    components = kitchen.save("/v1/foods", label)["components"]
    assert [components[name]["value"] for name in ("FAT", "CHOCDF", "PROCNT")] == [30, 50, 10]
    assert components["FIBTG"]["value"] is None


def test_what_does_not_add_up_is_pointed_out_and_kept(kitchen):
    saved = kitchen.save("/v1/foods", BISCUIT)
    found = {one["pointer"]: one["text"] for one in saved["findings"]}
    assert set(found) == {"/components/FIBTG", "/components/ENERC_KCAL"}
    assert saved["form"]["components"] == BISCUIT["components"]


# (form, pointer, words)
REFUSED = [
    ({}, "/description", "required"),
    ({"description": " "}, "/description", "needs a description"),
    ({**BREAD, "salt": 1}, "/salt", "not permitted"),
    ({**BREAD, "basis": "1 oz"}, "/basis", "'100 g'"),
    ({**BREAD, "basis": "serving"}, "/serving_grams", "grams of a serving"),
    ({**BREAD, "serving_grams": -1}, "/serving_grams", "above 0"),
    ({**BREAD, "carbohydrate_basis": "net"}, "/carbohydrate_basis", "'total'"),
    ({**BREAD, "components": {"FAT": "16"}}, "/components/FAT", "number"),
    ({**BREAD, "components": {"FAT": -1}}, "/components/FAT", "0 or more"),
    ({**BREAD, "components": {"FAT": 101}}, "/components/FAT", "cannot hold 101 g"),
    ({**BREAD, "components": {"ENERC_KCAL": 1200}}, "/components/ENERC_KCAL", "cannot hold"),
    ({**BREAD, "components": {"SEASPRAY": 1}}, "/components/SEASPRAY", "'SEASPRAY'"),
    ({**BREAD, "measures": [{"measure": "slice", "grams": 0}]}, "/measures/0/grams", "greater than 0"),
    ({**BREAD, "measures": [{"measure": "", "grams": 35}]}, "/measures/0/measure", "at least 1"),
]


@pytest.mark.parametrize(("body", "pointer", "words"), REFUSED, ids=range(len(REFUSED)))
def test_what_cannot_be_is_refused_with_a_pointer(kitchen, body, pointer, words):
    problem = assert_problem(kitchen.post("/v1/foods", json=body), 422)
    assert problem["errors"][0]["pointer"] == pointer
    assert words in problem["errors"][0]["detail"]
    assert_problem(kitchen.get("/v1/foods/own:1"), 404)


def test_a_change_names_the_recipes_that_it_changes(kitchen):
    kitchen.save("/v1/foods", BREAD)
    kitchen.save("/v1/recipes", PLATE)
    assert_problem(kitchen.put("/v1/foods/own:1", BREAD, seen=""), 428)
    assert assert_problem(kitchen.put("/v1/foods/own:1", BREAD, seen='"7"'), 412)["current_revision"] == 1
    fatter = {**BREAD, "components": {**BREAD["components"], "FAT": 18}}
    answer = kitchen.put("/v1/foods/own:1", fatter, seen='"1"')
    assert (answer.status_code, answer.headers["etag"]) == (200, '"2"')
    (changed,) = answer.json()["changed"]
    # Two slices of 35 g for two: 0.7 g more fat each.
    assert changed["after"]["FAT"] - changed["before"]["FAT"] == pytest.approx(0.7)


def test_what_is_used_is_not_deleted(kitchen):
    kitchen.save("/v1/foods", BREAD)
    kitchen.save("/v1/recipes", PLATE)
    problem = assert_problem(kitchen.delete("/v1/foods/own:1"), 409)
    assert problem["users"] == [{"id": "recipe:1", "title": "Quay plate"}]
    kitchen.delete("/v1/recipes/recipe:1")
    assert kitchen.delete("/v1/foods/own:1", seen='"1"').status_code == 204
    assert_problem(kitchen.get("/v1/foods/own:1"), 404)


@pytest.mark.parametrize(
    ("method", "path", "status"),
    [
        ("PUT", "/v1/foods/own:9", 404), ("DELETE", "/v1/foods/own:9", 404), ("GET", "/v1/foods/own:9", 404),
        ("GET", "/v1/foods/own:bread", 404), ("GET", "/v1/foods/recipe:9", 404), ("PUT", "/v1/foods/sr28:01001", 405),
        ("DELETE", "/v1/foods/sr28:01001", 405), ("DELETE", "/v1/foods/recipe:1", 405),
    ],
)  # fmt: skip
def test_foods_that_are_not_there_or_not_the_kitchens(kitchen, method, path, status):
    answer = kitchen.request(method, path, json=BREAD, headers={"If-Match": "*"})
    assert_problem(answer, status)
    assert status != 405 or answer.headers["allow"] == "GET, HEAD"


# ---- foods of a kitchen ----------------------------------------------------------------------------------------


def test_a_search_finds_what_would_be_no_food_as_a_line(kitchen):
    """A line "bollard dip" alone is a dish's title; a search for it means the recipe, or dips."""
    kitchen.post("/v1/recipes", json={"title": "Bollard dip", "sections": [{"lines": [{"text": "100 g butter"}]}]})
    found = kitchen.get("/v1/foods?search=bollard%20dip").json()["foods"]
    assert found[0]["description"] == "Bollard dip"
    assert kitchen.get("/v1/foods?search=dip").json()["foods"]


def test_a_search_finds_own_foods_and_recipes_first(kitchen):
    kitchen.save("/v1/foods", {**BREAD, "description": "Butter of the quay"})
    kitchen.save("/v1/recipes", recipe("Herb butter", "100 g butter"))
    found = kitchen.get("/v1/foods?search=butter&limit=4").json()
    schemas.FoodSearchAnswer.model_validate(found)
    assert [one["id"].partition(":")[0] for one in found["foods"]] == ["own", "recipe", "sr28", "sr28"]
    assert [one["group"] for one in found["foods"][:2]] == ["Own foods", "Recipes"]
    second = kitchen.get("/v1/foods?search=butter&limit=2&offset=2").json()
    assert second["foods"] == found["foods"][2:]


def test_a_recipe_is_a_food_per_100_g(kitchen):
    kitchen.save("/v1/recipes", CRACKERS)
    food = kitchen.get("/v1/foods/recipe:1").json()
    schemas.RecipeFoodAnswer.model_validate(food)
    made = kitchen.nutrition("recipe:1")["per_100g"]
    for tagname, total in made["components"].items():
        assert food["components"][tagname]["value"] == total["value"], tagname
        assert total["value"] is not None or "lines" in food["components"][tagname]["reason"]
    assert food["net_carbohydrate"]["value"] == made["net_carbohydrate"]["value"]
    assert food["measures"] == [{"amount": 1, "measure": "cracker", "grams": 8.5}]
    assert food["origin"]["revision"] == 1


def test_a_recipe_of_unknown_weight_is_a_food_without_figures(kitchen):
    kitchen.save("/v1/recipes", recipe("Brine", "100 ml water", "100 g glimmerstones"))
    food = kitchen.get("/v1/foods/recipe:1").json()
    assert {value["value"] for value in food["components"].values()} == {None}
    assert food["components"]["NA"]["reason"] == "the weight of the dish is not known"


def test_treatments_are_listed_with_what_they_do(kitchen):
    answer = kitchen.get("/v1/treatments").json()
    schemas.TreatmentsAnswer.model_validate(answer)
    listed = {one["name"]: one for one in answer["treatments"]}
    assert "boiled" in listed["boiled, drained"]["also"]
    assert listed["browned, fat eaten"]["leaves"] == "Water leaves the food, its fat is eaten."
    assert all(one["source"] for one in answer["treatments"])
    for name, one in listed.items():
        for spelling in (name, *one["also"]):
            body = recipe("Test", {"text": "100 g cod", "treatment": spelling})
            assert kitchen.post("/v1/recipes/preview?components=FAT", json=body).status_code == 200, spelling
