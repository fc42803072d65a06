"""Standing choices over HTTP, and lines resolved within a kitchen."""

from __future__ import annotations

import pytest

from service.api import schemas
from tests.api.lunchroom import BREAD, CRACKERS, MAYO
from tests.api.test_bad_requests import assert_problem

CSV = {"Content-Type": "text/csv"}
HEAD = "phrase,food,size,grams\n"


def test_a_choice_is_saved_changed_and_deleted(kitchen):
    saved = kitchen.save("/v1/choices", MAYO)
    schemas.OneChoiceAnswer.model_validate(saved)
    assert (saved["id"], saved["revision"], saved.pop("changed")) == ("choice:1", 1, [])
    assert kitchen.get("/v1/choices/choice:1").json() == saved
    assert_problem(kitchen.put("/v1/choices/choice:1", MAYO, seen=""), 428)
    answer = kitchen.put("/v1/choices/choice:1", {**MAYO, "food": "sr28:04641"}, seen='"1"')
    assert (answer.json()["food"], answer.headers["etag"]) == ("sr28:04641", '"2"')
    assert_problem(kitchen.delete("/v1/choices/choice:1", seen='"1"'), 412)
    gone = kitchen.delete("/v1/choices/choice:1", seen='"2"')
    schemas.DeletedChoiceAnswer.model_validate(gone.json())
    assert (gone.status_code, gone.json()) == (200, {"id": "choice:1", "changed": []})
    assert_problem(kitchen.get("/v1/choices/choice:1"), 404)


def test_a_choice_is_not_changed_to_the_phrase_of_another(kitchen):
    for phrase in ("mayo", "my egg"):
        kitchen.save("/v1/choices", {"phrase": phrase, "food": "sr28:04018"})
    problem = assert_problem(kitchen.put("/v1/choices/2", {"phrase": "Mayo", "grams": 10}, seen='"1"'), 422)
    assert problem["errors"] == [{"pointer": "/phrase", "detail": "choice:1 rules 'Mayo' already"}]
    assert kitchen.put("/v1/choices/2", {"phrase": "My eggs", "food": "sr28:04018"}, seen='"1"').status_code == 200


def test_a_choice_of_the_same_phrase_is_replaced(kitchen):
    kitchen.save("/v1/choices", MAYO)
    again = kitchen.save("/v1/choices", {"phrase": "Mayo", "food": "sr28:04641"})
    assert (again["id"], again["revision"]) == ("choice:1", 2)


def test_a_choice_lists_the_recipes_that_it_changes(kitchen):
    dish = {"title": "Quay toast", "sections": [{"lines": [{"text": "2 tbsp mayo"}, {"text": "100 g lettuce leaves"}]}]}
    kitchen.save("/v1/recipes", dish)
    kitchen.save("/v1/recipes", {"title": "Plain plate", "sections": [{"lines": [{"text": "1 egg"}]}]})
    first = kitchen.save("/v1/choices", {"phrase": "mayo", "food": "sr28:04018"})["changed"]
    assert [(one["id"], one["title"]) for one in first] == [("recipe:1", "Quay toast")]
    again = kitchen.put("/v1/choices/choice:1", {"phrase": "lettuce leaf", "grams": 10}, seen='"1"').json()["changed"]
    assert (again[0]["before"], again[0]["after"]) == (first[0]["after"], first[0]["before"])
    rows = f"{HEAD}mayo,sr28:04018,,\n1 egg,,small,\n"
    changed = kitchen.post("/v1/choices", content=rows, headers=CSV).json()["changed"]
    assert {one["id"] for one in changed} == {"recipe:1", "recipe:2"}


def test_csv_goes_out_as_it_came_in(kitchen):
    rows = f'{HEAD}mayo,sr28:04025,,\n"1 egg",,medium,\na knob,,,10.0\n"sauce, tartare",sr28:04025,,\n'
    answer = kitchen.post("/v1/choices", content=rows, headers=CSV)
    assert answer.status_code == 201, answer.text
    schemas.SavedChoiceAnswer.model_validate(answer.json())
    out = kitchen.get("/v1/choices", headers={"Accept": "text/csv"})
    assert (out.headers["content-type"], out.headers["vary"]) == ("text/csv; charset=utf-8", "Accept, Accept-Encoding")
    listed = kitchen.get("/v1/choices").json()
    schemas.ChoicesAnswer.model_validate(listed)
    again = kitchen.post("/v1/choices", content=out.text, headers=CSV).json()["choices"]
    assert [(one["id"], one["phrase"]) for one in again] == [(one["id"], one["phrase"]) for one in listed["choices"]]
    assert kitchen.get("/v1/choices", headers={"Accept": "text/csv"}).text == out.text


# (body, pointer, words)
REFUSED = [
    ({"phrase": "mayo"}, "", "just one of food, size and grams"),
    ({"phrase": "mayo", "food": "sr28:04025", "grams": 10}, "", "just one"),
    ({"phrase": "", "food": "sr28:04025"}, "/phrase", "at least 1"),
    ({"phrase": "mayo", "food": "sr28:00000"}, "/food", "sr28:00000"),
    ({"phrase": "mayo", "food": "own:9"}, "/food", "own food 9"),
    ({"phrase": "1 egg", "size": "tiny"}, "/size", "'small'"),
    ({"phrase": "a knob", "grams": 0}, "/grams", "greater than 0"),
    ({"phrase": "a knob", "grams": "10"}, "/grams", "number"),
]


@pytest.mark.parametrize(("body", "pointer", "words"), REFUSED, ids=range(len(REFUSED)))
def test_what_cannot_be_is_refused_with_a_pointer(kitchen, body, pointer, words):
    problem = assert_problem(kitchen.post("/v1/choices", json=body), 422)
    assert problem["errors"][0]["pointer"] == pointer
    assert words in problem["errors"][0]["detail"]


# (CSV, line of the fault or None, words)
BAD_CSV = [
    ("name,food\n", 1, "phrase,food,size,grams"),
    (f"{HEAD}mayo,sr28:04025,,\negg,,tiny,\n", 3, "'small'"),
    (f"{HEAD}mayo,sr28:04025,,\na knob,,,much\n", 3, "number"),
    (f"{HEAD}mayo,sr28:04025,,\nketchup,sr28:00000,,\n", None, "ketchup"),
    (f"{HEAD}mayo, the light one,sr28:04025,,\n", 2, "a phrase with a comma needs quotation marks"),
    (f"{HEAD}a knob,,,10\nmayo,sr28:04025,,\nA Knobs,,,20\n", 4, "'A Knobs' stands in line 2 already"),
]


@pytest.mark.parametrize(("rows", "line", "words"), BAD_CSV, ids=range(len(BAD_CSV)))
def test_a_bad_row_is_named_and_nothing_is_saved(kitchen, rows, line, words):
    problem = assert_problem(kitchen.post("/v1/choices", content=rows, headers=CSV), 422)
    assert problem["errors"][0].get("line") == line
    assert words in problem["detail"]
    assert kitchen.get("/v1/choices").json()["choices"] == []


def test_a_choice_whose_food_is_gone_is_reported(kitchen):
    kitchen.save("/v1/foods", BREAD)
    kitchen.save("/v1/choices", {"phrase": "my loaf", "food": "own:1"})
    assert kitchen.get("/v1/choices").json()["lost"] == []
    kitchen.delete("/v1/foods/own:1")
    assert kitchen.get("/v1/choices").json()["lost"] == ["choice:1"]
    part = resolve(kitchen, "50 g my loaf")["lines"][0]["parts"][0]
    assert (part["outcome"], part["food"], part["by"]) == ("check", None, "standing choice")


# ---- lines within a kitchen ------------------------------------------------------------------------------------


def resolve(client, *lines, **more):
    answer = client.post("/v1/resolutions", json={"lines": lines, **more})
    assert answer.status_code == 200, answer.text
    return answer.json()


@pytest.fixture
def stocked(kitchen):
    """A kitchen with bread (own:1), crackers (recipe:1) and rulings on mayo, eggs and knobs."""
    kitchen.save("/v1/foods", BREAD)
    kitchen.save("/v1/recipes", CRACKERS)
    for choice in (MAYO, {"phrase": "1 egg", "size": "medium"}, {"phrase": "a knob", "grams": 12}):
        kitchen.save("/v1/choices", choice)
    return kitchen


# (line, who chose, food, grams); SR28 01123: a medium egg weighs 44 g.
MEANT = [
    ("2 slices quayside bread", "own food", "own:1", 70),
    ("3 seed crackers", "saved recipe", "recipe:1", 25.5),
    ("100 g mayo", "standing choice", "sr28:04025", 100),
    ("2 eggs", "standing choice", "sr28:01123", 88),
    ("a knob of butter", "standing choice", "sr28:01001", 12),
    ("100 g rye bread", "", "sr28:18060", 100),
]


@pytest.mark.parametrize(("line", "by", "food", "grams"), MEANT)
def test_a_kitchen_comes_before_the_tables(stocked, line, by, food, grams):
    body = resolve(stocked, line)
    schemas.ResolutionAnswer.model_validate(body)
    part = body["lines"][0]["parts"][0]
    assert (part["by"], part["food"]["id"], part["grams"]["value"]) == (by, food, pytest.approx(grams))
    sent = stocked.post(
        "/v1/resolutions", content=f'{{"line": "{line}"}}\n', headers={"Content-Type": "application/jsonl"}
    )
    assert sent.json()["parts"][0]["by"] == by


@pytest.mark.parametrize("line", [line for line, by, *_ in MEANT if by])
def test_lines_without_the_kitchen(stocked, client_of, catalogue, line):
    assert {part["by"] for one in resolve(stocked, line, kitchen=False)["lines"] for part in one["parts"]} <= {""}
    sent = stocked.post(
        "/v1/resolutions?kitchen=false", content=f'{{"line": "{line}"}}', headers={"Content-Type": "application/jsonl"}
    )
    assert {part["by"] for part in sent.json()["parts"]} <= {""}


def test_totals_count_what_the_kitchen_made(stocked):
    body = resolve(stocked, "100 g quayside bread", "17 g seed crackers", "100 g butter", servings=2)
    crackers = stocked.nutrition("recipe:1")["per_100g"]["components"]
    fibre = body["whole"]["components"]["FIBTG"]
    assert fibre["value"] == pytest.approx(12 + crackers["FIBTG"]["value"] * 0.17, rel=1e-4)
    # SR28 01001: 81.11 g of fat in 100 g of butter.
    fat = 16 + crackers["FAT"]["value"] * 0.17 + 81.11
    assert body["per_serving"]["components"]["FAT"]["value"] == pytest.approx(fat / 2, rel=1e-4)
    assert body["coverage"]["lines"]["counted"] == 3


def test_a_long_list_counts_what_the_kitchen_made(stocked):
    body = resolve(stocked, *["10 g quayside bread"] * 300, "10 g butter")
    assert body["whole"]["components"]["FIBTG"]["value"] == pytest.approx(300 * 1.2, rel=1e-4)


@pytest.mark.parametrize("kitchen_said", ["yes", 1, None])
def test_kitchen_is_true_or_false(client, kitchen_said):
    problem = assert_problem(client.post("/v1/resolutions", json={"lines": ["egg"], "kitchen": kitchen_said}), 422)
    assert problem["errors"][0]["pointer"] == "/kitchen"


def test_recipes_that_a_choice_changes_by_its_end_are_listed(kitchen):
    kitchen.save("/v1/choices", {**MAYO, "food": "sr28:04641"})
    kitchen.save("/v1/recipes", {"title": "Egg salad", "sections": [{"lines": [{"text": "100 g mayo"}]}]})
    (changed,) = kitchen.delete("/v1/choices/choice:1", seen='"1"').json()["changed"]
    assert changed["title"] == "Egg salad"
    assert changed["before"] != changed["after"]
