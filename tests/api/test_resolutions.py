"""POST /v1/resolutions: what comes back, in which form, and that it keeps to its schema."""

from __future__ import annotations

import json

import pytest

from service.api import schemas

PATH = "/v1/resolutions"
JSONL = {"Content-Type": "application/jsonl"}
LUNCH = ["For the chowder", "400 g cod fillet", "2 tbsp butter", "1 oz almonds", "salt to taste", "1 cup glimmerstones"]


def resolve(client, **body):
    answer = client.post(PATH, json=body)
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_answer_keeps_to_its_schema_and_to_the_lines(client):
    body = resolve(client, lines=LUNCH, servings=4, components="all")
    schemas.ResolutionAnswer.model_validate(body)
    assert [line["line"] for line in body["lines"]] == LUNCH
    every = client.get("/v1/components").json()["components"]
    assert list(body["whole"]["components"]) == [component["tagname"] for component in every]
    assert [release["dataset"] for release in body["releases"]] == ["sr28", "pantry"]


def test_totals_add_up_and_say_what_they_lack(client):
    body = resolve(client, lines=LUNCH, servings=4)
    parts = [part for line in body["lines"] for part in line["parts"]]
    energy = body["whole"]["components"]["ENERC_KCAL"]
    assert energy["known"] == pytest.approx(sum(part["components"].get("ENERC_KCAL") or 0 for part in parts), rel=1e-5)
    assert (energy["value"], energy["high"], energy["unknown_in"]) == (None, None, [6])
    assert body["per_serving"]["components"]["ENERC_KCAL"]["known"] == pytest.approx(energy["known"] / 4, rel=1e-5)
    assert body["coverage"]["lines"] == {"given": 6, "food": 5, "counted": 3, "share": 0.6}
    assert (body["coverage"]["no_match"], body["coverage"]["no_weight"]) == ([6], [5])
    assert body["coverage"]["notes"][0] == "No fair entry for line 6: every total is a lower bound."


def test_default_components_and_net_carbohydrate(client):
    # 1 oz of almonds, SR28 12061: 6.11 g carbohydrate less 3.54 g fibre.
    body = resolve(client, lines=["1 oz almonds"])
    assert list(body["whole"]["components"]) == ["ENERC_KCAL", "PROCNT", "FAT", "CHOCDF", "FIBTG"]
    assert list(body["lines"][0]["parts"][0]["components"]) == list(body["whole"]["components"])
    assert body["whole"]["net_carbohydrate"]["value"] == pytest.approx(2.57, rel=0.005)
    assert body["per_serving"] is None


def test_lines_of_json_are_one_list_and_records_each_by_itself(client):
    lines = ["Rice", "2 cups basmati rice", "1 tsp salt"]
    body = resolve(client, lines=lines)
    assert [line["outcome"] for line in body["lines"]] == ["not_food", "resolved", "resolved"]
    assert body["coverage"]["notes"] == ["Taken for a title or a note, and not counted: line 1."]
    sent = "".join(json.dumps({"line": line}) + "\n" for line in lines)
    answers = client.post(PATH, content=sent, headers=JSONL).text.splitlines()
    assert [json.loads(answer)["outcome"] for answer in answers] == ["resolved"] * 3


TEXTS = [
    ("2 large eggs\n1 oz almonds\n", ["2 large eggs", "1 oz almonds"]),
    ("2 large eggs\n\n1 oz almonds", ["2 large eggs", "", "1 oz almonds"]),
    ("2 large eggs\u20281 oz almonds\x0b\x0c", ["2 large eggs\u20281 oz almonds\x0b\x0c"]),
    ("2 large eggs\r\n", ["2 large eggs\r"]),
    ("\n", [""]),
]


@pytest.mark.parametrize(("text", "lines"), TEXTS)
def test_text_is_parted_at_line_feeds_only(client, text, lines):
    assert [line["line"] for line in resolve(client, text=text)["lines"]] == lines


# (Content-Type, Accept, media type of the answer)
FORMS = [
    ("application/json", None, "application/json"),
    ("application/json", "*/*", "application/json"),
    ("application/json; charset=utf-8", "application/json", "application/json"),
    ("application/json", "application/jsonl", "application/jsonl"),
    ("application/json", "application/jsonl;q=0.5, application/json", "application/json"),
    ("application/jsonl", "*/*", "application/jsonl"),
    ("application/x-ndjson", "application/x-ndjson", "application/jsonl"),
    ("application/jsonl", "application/json", "application/json"),
    ("application/jsonl", "application/*;q=0.1, application/jsonl;q=0", "application/json"),
]


@pytest.mark.parametrize(("sent", "wanted", "given"), FORMS)
def test_media_types(client, sent, wanted, given):
    is_json = sent.partition(";")[0] == "application/json"
    content = '{"lines": ["2 large eggs"]}' if is_json else '{"line": "2 large eggs"}\n'
    headers = {"Content-Type": sent, **({"Accept": wanted} if wanted else {})}
    answer = client.post(PATH, content=content, headers=headers)
    assert (answer.status_code, answer.headers["content-type"]) == (200, given)
    line = answer.json() if given == "application/jsonl" else answer.json()["lines"][0]
    assert line["parts"][0]["food"]["id"] == "sr28:01123"


def test_json_lines_come_one_for_one_and_in_order(client):
    lines = [f"{number} large eggs" for number in range(1, 301)]
    content = "".join(json.dumps({"line": line}) + "\n" for line in lines)
    answer = client.post(f"{PATH}?components=CHOCDF", content=content, headers=JSONL)
    results = [json.loads(line) for line in answer.text.splitlines()]
    assert [result["line"] for result in results] == lines
    assert set(results[0]["parts"][0]["components"]) == {"CHOCDF"}
    for result in results[:3]:
        schemas.LineAnswer.model_validate(result)


def test_ten_thousand_lines_are_read(client):
    body = resolve(client, lines=["2 large eggs"] * 10_000)
    assert body["coverage"]["lines"]["counted"] == 10_000
    assert body["whole"]["components"]["ENERC_KCAL"]["value"] == pytest.approx(1_430_000)


def test_same_request_same_answer(client):
    answers = {client.post(PATH, json={"lines": LUNCH}).content for _ in range(3)}
    assert len(answers) == 1


# Lines of any kind are answered, never refused: (line, outcomes that are right for it).
ODD = [
    ("", {"not_food"}),
    ("?!... --- ***", {"not_food"}),
    (" \t ", {"not_food"}),
    ("\x00\x01\x1b[31m\x7f", {"not_food", "no_match"}),
    ("شوربة السمك", {"no_match", "not_food"}),
    ("\u202e2 large eggs\u202c", {"resolved", "check", "no_match"}),
    ("<script>alert(1)</script>", {"no_match", "not_food"}),
    ("e" * 100_000, {"no_match"}),
    ("egg " * 25_000, {"no_match"}),
    ("🥑" * 1000, {"no_match", "not_food"}),
]


@pytest.mark.parametrize(("line", "outcomes"), ODD, ids=range(len(ODD)))
def test_odd_lines_are_answered(client, line, outcomes):
    body = resolve(client, lines=[line])
    assert body["lines"][0]["line"] == line
    assert body["lines"][0]["outcome"] in outcomes
    assert all(part["grams"] is None or part["outcome"] != "no_match" for part in body["lines"][0]["parts"])


def test_a_line_that_is_too_long_is_answered_with_the_reason(client):
    line = resolve(client, lines=["e" * 1001])["lines"][0]
    assert (line["outcome"], line["parts"]) == ("no_match", [])
    assert line["reasons"] == ["the line has 1,001 characters; at most 1,000 are read"]


def test_sql_in_a_line_changes_nothing(client, catalogue):
    before = catalogue.releases()
    resolve(client, lines=["1 egg'; DROP TABLE food; --", '" OR 1=1 --'])
    assert client.get("/v1/foods", params={"search": "'; DELETE FROM food; --"}).status_code in (200, 422)
    assert client.get("/v1/foods/sr28:' OR '1'='1").status_code == 404
    assert catalogue.releases() == before
    assert client.get("/v1/foods/sr28:01123").status_code == 200
