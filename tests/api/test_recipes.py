"""Recipes over HTTP: saving, conditions, what they come to, past states, and what is refused with a pointer."""

from __future__ import annotations

import json
import math

import pytest

from service.api import schemas
from tests.api.lunchroom import BREAD, CRACKERS, MAYO, PLATE, RICHER_CRACKERS, recipe
from tests.api.test_bad_requests import assert_problem

FIGURES = ("whole", "per_serving", "per_100g")


@pytest.fixture
def lunch(kitchen):
    """A kitchen with crackers (recipe:1), bread (own:1) and a plate of both (recipe:2)."""
    kitchen.save("/v1/recipes", CRACKERS)
    kitchen.save("/v1/foods", BREAD)
    kitchen.save("/v1/recipes", PLATE)
    return kitchen


# ---- saving and reading ----------------------------------------------------------------------------------------


def test_a_recipe_is_read_as_it_was_saved(kitchen):
    answer = kitchen.post("/v1/recipes", json=CRACKERS)
    assert (answer.status_code, answer.headers["location"]) == (201, "/v1/recipes/recipe:1")
    schemas.SavedRecipeAnswer.model_validate(answer.json())
    read = kitchen.get(answer.headers["location"])
    schemas.RecipeAnswer.model_validate(read.json())
    assert read.headers["etag"] == answer.headers["etag"] == '"1"'
    saved = {key: value for key, value in answer.json().items() if key not in ("notes", "changed")}
    assert read.json() == saved
    assert [line["text"] for line in saved["sections"][0]["lines"]] == [
        line["text"] for line in CRACKERS["sections"][0]["lines"]
    ]


def test_what_was_read_can_be_saved_again_without_a_change(lunch):
    read = lunch.get("/v1/recipes/recipe:2").json()
    form = {key: value for key, value in read.items() if key not in ("id", "revision", "saved")}
    before = lunch.nutrition("recipe:2")
    assert lunch.put("/v1/recipes/recipe:2", form, seen='"1"').json()["revision"] == 2
    assert lunch.nutrition("recipe:2")["whole"] == before["whole"]


def test_nutrition_keeps_to_its_schema_and_shares_add_up(lunch):
    body = lunch.nutrition("recipe:2", trace="CHOCDF,net_carbohydrate")
    schemas.NutritionAnswer.model_validate(body)
    assert set(body["trace"]) == {"CHOCDF", "net_carbohydrate"}
    for tagname in ("ENERC_KCAL", "CHOCDF", "FIBTG"):
        whole, serving = (body[share]["components"][tagname]["known"] for share in ("whole", "per_serving"))
        assert whole == pytest.approx(2 * serving, rel=1e-5)
        traced = sum(one["amount"] or 0 for one in body["trace"].get(tagname, ()))
        assert tagname != "CHOCDF" or traced == pytest.approx(whole, rel=1e-5)
    by = [part["by"] for line in body["lines"] for part in line["parts"]]
    assert by == ["saved recipe", "own food", ""]


def test_components_can_be_chosen(lunch):
    chosen = lunch.nutrition("recipe:2", components="CHOCDF,FAT")
    whole = lunch.nutrition("recipe:2")
    assert all(set(chosen[share]["components"]) == {"CHOCDF", "FAT"} for share in FIGURES)
    assert chosen["whole"]["components"]["FAT"] == whole["whole"]["components"]["FAT"]
    assert chosen["whole"]["net_carbohydrate"] == whole["whole"]["net_carbohydrate"]


def test_a_preview_comes_to_what_the_saved_recipe_does_and_saves_nothing(lunch):
    preview = lunch.post("/v1/recipes/preview", json=CRACKERS).json()
    schemas.NutritionAnswer.model_validate(preview)
    assert preview["origin"]["recipe"] is None
    saved = lunch.nutrition("recipe:1")
    assert [preview[share] for share in FIGURES] == [saved[share] for share in FIGURES]
    assert len(lunch.get("/v1/recipes").json()["recipes"]) == 2


TEXT = "Kelp broth\nServes 4\n\n1 l water\n10 g salt\n+ To serve:\n2 large eggs\nMethod\nSimmer.\n"
LINKED = {
    "@graph": [{"@type": "WebPage"}, {"@type": ["Recipe"], "name": "Kelp <b>broth</b>", "recipeYield": ["4 servings"],
                                      "recipeIngredient": ["1 l water", "10 g salt", "2 large eggs"]}],
}  # fmt: skip


PICNIC = ["100 g ham", "scotch egg", "100 g cheddar", "chicken soup"]


@pytest.mark.parametrize("sent", ["text/plain", "application/ld+json", "application/json"])
def test_dishes_without_an_amount_stay_and_every_total_tells_of_them(kitchen, sent):
    """A dish that is named and not weighed is no heading: it is in the recipe, and nothing says that all is counted."""
    linked = {"@type": "Recipe", "name": "Picnic", "recipeYield": "1", "recipeIngredient": PICNIC}
    body = {
        "text/plain": "\n".join(["Picnic", "Serves 1", *PICNIC]), "application/ld+json": json.dumps(linked),
        "application/json": json.dumps(recipe("Picnic", *PICNIC)),
    }[sent]  # fmt: skip
    saved = kitchen.post("/v1/recipes", content=body, headers={"Content-Type": sent}).json()
    assert [line["text"] for section in saved["sections"] for line in section["lines"]] == PICNIC
    assert sent == "application/json" or any("scotch egg" in note for note in saved["notes"])
    told = kitchen.nutrition(saved["id"])["coverage"]["notes"]
    assert "Taken for a title or a note, and not counted: lines 2, 4." in told
    card = kitchen.get(f"/v1/recipes/{saved['id']}/card").text
    assert "Not counted, taken for a title or a note: “scotch egg”, “chicken soup”." in card


def test_dishes_of_a_bare_list_are_told_of(kitchen):
    coverage = kitchen.post("/v1/resolutions", json={"lines": ["Lunch", *PICNIC]}).json()["coverage"]
    assert any("not counted: lines 3, 5" in note for note in coverage["notes"])


def test_a_bare_line_that_is_the_name_of_a_saved_recipe_means_it(kitchen):
    kitchen.save("/v1/recipes", recipe("Dock vinaigrette", "60 ml olive oil", "20 ml vinegar"))
    body = "Salad\nServes 1\n100 g lettuce\ndock vinaigrette\n2 eggs"
    saved = kitchen.post("/v1/recipes", content=body, headers={"Content-Type": "text/plain"}).json()
    assert [line["text"] for line in saved["sections"][0]["lines"]] == ["100 g lettuce", "dock vinaigrette", "2 eggs"]
    answer = kitchen.nutrition(saved["id"])
    assert answer["lines"][1]["parts"][0]["by"] == "saved recipe"
    assert answer["whole"]["components"]["FAT"]["value"] is None


@pytest.mark.parametrize(
    ("sent", "body"), [("text/plain", TEXT), ("application/ld+json", json.dumps(LINKED))], ids=["text", "json-ld"]
)
def test_recipes_as_people_keep_them(kitchen, sent, body):
    answer = kitchen.post("/v1/recipes", content=body, headers={"Content-Type": sent})
    assert answer.status_code == 201, answer.text
    saved = answer.json()
    assert (saved["title"], saved["servings"]) == ("Kelp broth", 4)
    assert [line["text"] for section in saved["sections"] for line in section["lines"]] == [
        "1 l water", "10 g salt", "2 large eggs",
    ]  # fmt: skip


def test_lists_and_their_pages(kitchen):
    for title in ("Cod cakes", "Cod soup", "Leek soup"):
        kitchen.save("/v1/recipes", recipe(title, "100 g cod"))
    schemas.RecipesAnswer.model_validate(kitchen.get("/v1/recipes").json())
    soups = kitchen.get("/v1/recipes?search=soup").json()["recipes"]
    assert [one["title"] for one in soups] == ["Cod soup", "Leek soup"]
    first = kitchen.get("/v1/recipes?search=cod&limit=1")
    assert [one["title"] for one in first.json()["recipes"]] == ["Cod cakes"]
    assert first.headers["link"] == '</v1/recipes?search=cod&using=&limit=1&offset=1>; rel="next"'


def test_users_and_search_by_food(lunch):
    lunch.save("/v1/recipes", recipe("Board", "1 quay plate"))
    users = lunch.get("/v1/recipes/recipe:1/users").json()
    schemas.UsersAnswer.model_validate(users)
    assert [one["title"] for one in users["users"]] == ["Quay plate", "Board"]
    assert [one["id"] for one in lunch.get("/v1/recipes?using=own:1").json()["recipes"]] == ["recipe:2"]


# ---- conditions ------------------------------------------------------------------------------------------------

# If-Match where revision 2 is the latest; strong comparison (RFC 9110, 13.1.1), 428 by RFC 6585.
CONDITIONS = [
    ('"2"', 200), ("*", 200), ('"1", "2"', 200), ('"1"', 412), ('W/"2"', 412), ('"3"', 412), ('"two"', 412), ("", 428),
]  # fmt: skip


@pytest.mark.parametrize(("seen", "status"), CONDITIONS)
def test_if_match(kitchen, seen, status):
    kitchen.save("/v1/recipes", CRACKERS)
    kitchen.put("/v1/recipes/recipe:1", CRACKERS, seen='"1"')
    answer = kitchen.put("/v1/recipes/recipe:1", RICHER_CRACKERS, seen=seen)
    assert answer.status_code == status
    latest = kitchen.get("/v1/recipes/recipe:1").json()
    assert latest["revision"] == (3 if status == 200 else 2)
    if status == 412:
        assert assert_problem(answer, 412)["current_revision"] == 2
    if status == 428:
        assert '"2" is the latest' in assert_problem(answer, 428)["detail"]


def test_a_change_that_was_made_already_succeeds_and_is_not_made_again(kitchen):
    """RFC 9110, 13.1.1, of If-Match: where the answer to a change was lost and it is sent again."""
    kitchen.save("/v1/recipes", CRACKERS)
    answers = [kitchen.put("/v1/recipes/recipe:1", RICHER_CRACKERS, seen='"1"') for _ in range(2)]
    assert [(one.status_code, one.headers["etag"]) for one in answers] == [(200, '"2"')] * 2
    assert answers[0].json()["saved"] == answers[1].json()["saved"]
    assert_problem(kitchen.put("/v1/recipes/recipe:1", CRACKERS, seen='"1"'), 412)


@pytest.mark.parametrize(("path", "body", "other"), [
    ("/v1/recipes", CRACKERS, RICHER_CRACKERS), ("/v1/foods", BREAD, {**BREAD, "description": "Rye bread"}),
])  # fmt: skip
def test_a_request_with_a_name_is_done_once(kitchen, path, body, other):
    """By the IETF draft on Idempotency-Key: the same answer again, 422 where the name comes with something else."""
    named = {"Idempotency-Key": '"8e03978e-40d5-43dd-bc93-6894a57f9324"'}
    answers = [kitchen.post(path, json=body, headers=named) for _ in range(2)]
    assert [one.status_code for one in answers] == [201, 201]
    assert answers[0].headers["location"] == answers[1].headers["location"]
    bare = {"Idempotency-Key": named["Idempotency-Key"].strip('"')}
    assert kitchen.post(path, json=body, headers=bare).json()["id"] == answers[0].json()["id"]
    assert answers[0].json()["id"] in assert_problem(kitchen.post(path, json=other, headers=named), 422)["detail"]
    assert kitchen.post(path, json=body).json()["id"] != answers[0].json()["id"]
    for name in ("", "two words", "x" * 201, '"'):
        assert_problem(kitchen.post(path, json=body, headers={"Idempotency-Key": name}), 400)


def test_if_none_match(kitchen):
    kitchen.save("/v1/recipes", CRACKERS)
    for path in ("/v1/recipes/recipe:1", "/v1/recipes/recipe:1/nutrition", "/v1/recipes"):
        tag = kitchen.get(path).headers["etag"]
        assert kitchen.get(path, headers={"If-None-Match": tag}).status_code == 304
    kitchen.put("/v1/recipes/recipe:1", RICHER_CRACKERS)
    assert kitchen.get("/v1/recipes/recipe:1/nutrition", headers={"If-None-Match": tag}).status_code == 200


def test_a_change_says_what_is_known_of_a_recipe_with_a_line_without_an_entry(kitchen):
    kitchen.save("/v1/recipes", CRACKERS)
    kitchen.save("/v1/recipes", recipe("Dip plate", "2 seed crackers", "10 g zorblax"))
    answer = kitchen.put("/v1/recipes/recipe:1", RICHER_CRACKERS)
    schemas.SavedRecipeAnswer.model_validate(answer.json())
    (changed,) = answer.json()["changed"]
    assert changed["before"]["FIBTG"] is None
    assert 0 < changed["before_bounds"]["FIBTG"]["low"] < changed["after_bounds"]["FIBTG"]["low"]
    assert changed["after_bounds"]["FIBTG"]["high"] is None
    whole = kitchen.nutrition("recipe:2")["per_serving"]["components"]["FIBTG"]
    assert changed["after_bounds"]["FIBTG"]["low"] == whole["low"]


def test_a_change_names_the_recipes_that_it_changes(lunch):
    answer = lunch.put("/v1/recipes/recipe:1", RICHER_CRACKERS)
    schemas.SavedRecipeAnswer.model_validate(answer.json())
    (changed,) = answer.json()["changed"]
    assert (changed["id"], changed["title"]) == ("recipe:2", "Quay plate")
    assert changed["before"]["FIBTG"] < changed["after"]["FIBTG"]
    assert changed["after"]["FIBTG"] == lunch.nutrition("recipe:2")["per_serving"]["components"]["FIBTG"]["value"]


def test_what_is_used_is_not_deleted(lunch):
    problem = assert_problem(lunch.delete("/v1/recipes/recipe:1"), 409)
    assert problem["users"] == [{"id": "recipe:2", "title": "Quay plate"}]
    assert lunch.delete("/v1/recipes/recipe:2", seen='"1"').status_code == 204
    assert lunch.delete("/v1/recipes/recipe:1", seen='"1"').status_code == 204
    assert_problem(lunch.get("/v1/recipes/recipe:1"), 404)
    assert lunch.get("/v1/recipes/recipe:1?revision=1").json()["title"] == "Seed crackers"
    revisions = lunch.get("/v1/recipes/recipe:1/revisions").json()["revisions"]
    assert [(one["revision"], one["deleted"]) for one in revisions] == [(1, False), (2, True)]


# ---- past states -----------------------------------------------------------------------------------------------


def test_a_past_state_gives_the_same_bytes(lunch):
    path = "/v1/recipes/recipe:2"
    then = lunch.nutrition("recipe:2")["origin"]["change"]
    asked = [f"{path}/nutrition?trace=CHOCDF&at={then}", *(f"{path}/{name}?at={then}" for name in ("csv", "panel"))]
    before = [lunch.get(one).content for one in asked]
    now = lunch.nutrition("recipe:2")
    lunch.put("/v1/recipes/recipe:1", RICHER_CRACKERS)
    lunch.put("/v1/foods/own:1", {**BREAD, "components": {**BREAD["components"], "FAT": 18}})
    lunch.save("/v1/choices", {"phrase": "smoked salmon", "food": "sr28:15035"})
    lunch.put(path, {**PLATE, "servings": 3})
    later = lunch.nutrition("recipe:2")
    assert later["whole"] != now["whole"]
    assert [lunch.get(one).content for one in asked] == before
    assert json.loads(before[0])["whole"] == now["whole"]


@pytest.mark.parametrize(("at", "status"), [(0, 404), (2, 404), (99, 422), (-1, 422), (2**31, 422)])
def test_a_state_that_never_was(lunch, at, status):
    assert_problem(lunch.get(f"/v1/recipes/recipe:2/nutrition?at={at}"), status)


# ---- what is refused -------------------------------------------------------------------------------------------

LINE = "/sections/0/lines/0"
PLAIN = "100 g cod"
REFUSED = [
    (recipe(""), "/title", "needs a title"),
    (recipe("T" * 301), "/title", "at most 300"),
    ({"sections": []}, "/title", "required"),
    ([], "", "object"),
    (recipe("Soup", PLAIN, serves=4), "/serves", "not permitted"),
    (recipe("Soup", PLAIN, servings="4"), "/servings", "number"),
    (recipe("Soup", PLAIN, servings=True), "/servings", "number"),
    (recipe("Soup", PLAIN, servings=0), "/servings", "above 0"),
    (recipe("Soup", PLAIN, servings=-2), "/servings", "above 0"),
    (recipe("Soup", PLAIN, servings=1e9), "/servings", "at most 10,000"),
    (recipe("Soup", PLAIN, servings=0.0001), "/servings", "at least 0.1"),
    (recipe("Soup", PLAIN, variants=[{"name": "v", "servings": 0.01}]), "/variants/0/servings", "at least 0.1"),
    (recipe("Soup", PLAIN, **{"yield": {"pieces": 0}}), "/yield/pieces", "above 0"),
    (recipe("Soup", PLAIN, **{"yield": {"factor": 50}}), "/yield/factor", "at most 5"),
    (recipe("Soup", PLAIN, **{"yield": {"cooked_grams": -1}}), "/yield/cooked_grams", "above 0"),
    (recipe("Soup", PLAIN, **{"yield": {"cooked_grams": 90, "factor": 0.9}}), "/yield/factor", "not both"),
    (recipe("Soup", PLAIN, **{"yield": {"cooked_grams": 5}}), "/yield/cooked_grams", "water"),
    (recipe("Soup", {"text": PLAIN, "share_eaten": 1.5}), f"{LINE}/share_eaten", "from 0 to 1"),
    (recipe("Soup", {"text": PLAIN, "share_eaten": -0.1}), f"{LINE}/share_eaten", "from 0 to 1"),
    (recipe("Soup", PLAIN, **{"yield": {"cooked_grams": 9000}}), "/yield/cooked_grams", "cannot come from 100 g"),
    (recipe("Soup", PLAIN, **{"yield": {"pieces": -3}}), "/yield/pieces", "above 0"),
    (recipe("Soup", {"text": PLAIN, "grams": "100"}), f"{LINE}/grams", "number"),
    (recipe("Soup", {"text": PLAIN, "grams": -1}), f"{LINE}/grams", "from 0"),
    (recipe("Soup", {"text": "salt and pepper", "grams": 3}), f"{LINE}/grams", "one food"),
    (recipe("Soup", {"text": PLAIN, "food": "cod"}), f"{LINE}/food", "'cod' is no food id, such as"),
    (recipe("Soup", {"text": PLAIN, "food": "sr28:00000"}), f"{LINE}/food", "sr28:00000"),
    (recipe("Soup", {"text": PLAIN, "food": "own:9"}), f"{LINE}/food", "own food 9"),
    (recipe("Soup", {"text": PLAIN, "food": "recipe:9"}), f"{LINE}/food", "recipe 9"),
    (recipe("Soup", {"text": "x" * 1001}), f"{LINE}/text", "at most 1000 characters, not 1001"),
    (recipe("Soup", PLAIN, servings=1e9), "/servings", "at most 10,000, not 1,000,000,000"),
    (recipe("Soup", PLAIN, **{"yield": {"factor": 0.05}}), "/yield/factor", "water"),
    (recipe("Soup", {"text": PLAIN, "treatment": "steemed"}), f"{LINE}/treatment", "'steamed'"),
    (recipe("Soup", {"text": PLAIN, "treatment": "steamed"}, {"text": PLAIN, "treatment": "wished away"}),
     "/sections/0/lines/1/treatment", "'wished away'"),
    (recipe("Soup", *[PLAIN] * 2001), "/sections", "2,000 lines, not 2,001"),
    (recipe("Soup", PLAIN, variants=[{"name": "bare", "without": ["leek"]}]), "/variants/0/without/0", "'leek'"),
    (recipe("Soup", PLAIN, variants=[{"name": "v", "swaps": [{"line": "leek", "by": {"text": "x"}}]}]),
     "/variants/0/swaps/0/line", "'leek'"),
    (recipe("Soup", PLAIN, net_carbohydrate={"polyols": "some"}), "/net_carbohydrate/polyols", "'all'"),
]  # fmt: skip


def test_a_recipe_without_lines_is_worked_out_but_not_kept(kitchen):
    problem = assert_problem(kitchen.post("/v1/recipes", json=recipe("Soup")), 422)
    assert problem["errors"][0]["pointer"] == "/sections"
    cautions = kitchen.post("/v1/recipes/preview", json=recipe("Soup")).json()["cautions"]
    assert "nothing counted" in {one["kind"] for one in cautions}


def test_two_variants_of_one_name_are_not_kept(kitchen):
    body = recipe("Soup", PLAIN, variants=[{"name": "big"}, {"name": "small"}, {"name": "big", "servings": 3}])
    problem = assert_problem(kitchen.post("/v1/recipes", json=body), 422)
    assert problem["errors"] == [{"pointer": "/variants/2/name", "detail": "another variant is called 'big' already"}]


@pytest.mark.parametrize("path", ["/v1/recipes", "/v1/recipes/preview"])
@pytest.mark.parametrize(("body", "pointer", "words"), REFUSED, ids=range(len(REFUSED)))
def test_what_cannot_be_is_refused_with_a_pointer(kitchen, path, body, pointer, words):
    problem = assert_problem(kitchen.post(path, json=body), 422)
    assert problem["errors"][0]["pointer"] == pointer
    assert words in problem["errors"][0]["detail"]
    assert kitchen.get("/v1/recipes").json()["recipes"] == []


@pytest.mark.parametrize(
    ("sent", "body", "status", "pointer"),
    [
        ("application/ld+json", '{"@type": "Boat"}', 422, ""),
        ("application/ld+json", "[]", 422, ""),
        ("application/ld+json", '{"@type": "Recipe", "name": "Air"}', 422, "/recipeIngredient"),
        ("application/ld+json", "<html>", 400, ""),
        ("text/plain", b"soup \xff", 400, ""),
        ("text/plain", "Serves 0\n100 g cod", 422, "/servings"),
        ("text/plain", "Soup\n\nServes 2\n100 g cod [120% eaten]", 422, "/sections/0/lines/0/share_eaten"),
        ("text/plain", "Soup\n\nServes 2\nCooked weight: 9 kg\n100 g cod", 422, "/yield/cooked_grams"),
        ("text/html", "<p>soup</p>", 415, None),
    ],
)
def test_what_is_no_recipe(kitchen, sent, body, status, pointer):
    problem = assert_problem(kitchen.post("/v1/recipes", content=body, headers={"Content-Type": sent}), status)
    assert pointer is None or problem["errors"][0]["pointer"] == pointer


@pytest.mark.parametrize("path", ["/v1/recipes", "/v1/recipes/preview"])
@pytest.mark.parametrize("body", [
    {"@context": "https://schema.org", "@type": "Recipe", "name": "Soup", "recipeIngredient": ["100 g cod"]},
    [{"@type": "Recipe", "name": "Soup", "recipeIngredient": ["100 g cod"]}], {"@graph": []},
], ids=["recipe", "list", "graph"])  # fmt: skip
def test_json_ld_that_is_sent_as_json_is_told_its_media_type(kitchen, path, body):
    problem = assert_problem(kitchen.post(path, json=body), 422)
    [error] = problem["errors"]
    assert error["pointer"] == ""
    assert "JSON-LD" in error["detail"]
    assert "application/ld+json" in error["detail"]


def test_a_circle_is_refused_at_the_line_that_closes_it(lunch):
    body = recipe("Seed crackers", "100 g flaxseed", "50 g quay plate")
    problem = assert_problem(lunch.put("/v1/recipes/recipe:1", body), 422)
    assert problem["errors"][0]["pointer"] == "/sections/0/lines/1"
    assert "Seed crackers -> Quay plate -> Seed crackers" in problem["detail"]
    itself = recipe("Seed crackers", {"text": "50 g crumbs", "food": "recipe:1"})
    assert_problem(lunch.put("/v1/recipes/recipe:1", itself), 422)
    assert lunch.get("/v1/recipes/recipe:1").json()["revision"] == 1


PATHS = [
    ("GET", "/v1/recipes/recipe:9", 404), ("GET", "/v1/recipes/recipe:9/nutrition", 404),
    ("GET", "/v1/recipes/recipe:9/users", 404), ("GET", "/v1/recipes/recipe:9/revisions", 404),
    ("GET", "/v1/recipes/recipe:1?revision=9", 404), ("GET", "/v1/recipes/soup", 422),
    ("GET", "/v1/recipes/recipe:1/nutrition?trace=SEASPRAY", 422),
    ("GET", "/v1/recipes/recipe:1/nutrition?components=SEASPRAY", 422), ("PUT", "/v1/recipes/recipe:9", 404),
    ("DELETE", "/v1/recipes/recipe:9", 404), ("PATCH", "/v1/recipes/recipe:1", 405),
]  # fmt: skip


@pytest.mark.parametrize(("method", "path", "status"), PATHS)
def test_paths_that_lead_nowhere(kitchen, method, path, status):
    kitchen.save("/v1/recipes", CRACKERS)
    body = CRACKERS if method == "PUT" else None
    assert_problem(kitchen.request(method, path, json=body, headers={"If-Match": "*"}), status)


def test_two_thousand_lines_are_worked_out(kitchen):
    body = kitchen.post("/v1/recipes/preview?components=FAT", json=recipe("Feast", *["10 g butter"] * 2000)).json()
    assert len(body["lines"]) == 2000
    assert body["whole"]["grams"]["value"] == pytest.approx(20_000)
    # SR28 01001: 81.11 g of fat in 100 g of butter.
    assert body["whole"]["components"]["FAT"]["value"] == pytest.approx(200 * 81.11, rel=1e-5)


def test_a_choice_and_a_share_eaten_count_in_a_recipe(kitchen):
    kitchen.save("/v1/choices", MAYO)
    half = recipe("Dip", {"text": "100 g mayo", "share_eaten": 0.5})
    body = kitchen.post("/v1/recipes/preview?components=FAT", json=half).json()
    part = body["lines"][0]["parts"][0]
    assert (part["food"]["id"], part["by"]) == ("sr28:04025", "standing choice")
    # SR28 04025: 74.85 g of fat in 100 g.
    assert math.isclose(body["whole"]["components"]["FAT"]["value"], 74.85 / 2, rel_tol=1e-5)
