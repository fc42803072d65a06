"""The outputs of a recipe over HTTP: media types, variants, what they name, markup that no title breaks out of."""

from __future__ import annotations

import json
import re
from xml.etree import ElementTree

import pytest

from service.api import schemas
from service.tables.version import vocabulary_version
from tests.api.lunchroom import BREAD, CRACKERS, recipe
from tests.api.test_bad_requests import assert_problem

EVIL = '<script>alert("x")</script> & "stew"'
DISH: dict[str, object] = {
    "title": "Harbour plate", "servings": 2,
    "sections": [
        {"lines": [{"text": "150 g smoked salmon"}, {"text": "2 seed crackers"}]},
        {"name": "To serve", "optional": True, "lines": [{"text": "1 slice quayside bread"}]},
    ],
    "variants": [
        {"name": "with cod", "swaps": [{"line": "150 g smoked salmon", "by": {"text": "150 g cod"}}]},
        {"name": "for one", "servings": 1},
    ],
}  # fmt: skip


@pytest.fixture
def published(kitchen):
    """A kitchen with a plate (recipe:2) of crackers and bread."""
    kitchen.save("/v1/recipes", CRACKERS)
    kitchen.save("/v1/foods", BREAD)
    kitchen.save("/v1/recipes", DISH)
    return kitchen


# (path, Accept, media type)
OUTPUTS = [
    ("panel", "", "application/json"),
    ("panel?rules=us", "text/html", "text/html; charset=utf-8"),
    ("panel?rules=us", "image/svg+xml", "image/svg+xml; charset=utf-8"),
    ("panel?rules=eu", "application/json", "application/json"),
    ("panel?rules=eu", "text/html", "text/html; charset=utf-8"),
    ("panel?rules=eu", "image/svg+xml, */*;q=0.1", "image/svg+xml; charset=utf-8"),
    ("card", "", "text/html; charset=utf-8"),
    ("card?paper=half-letter", "text/html", "text/html; charset=utf-8"),
    ("strip", "image/*", "image/svg+xml; charset=utf-8"),
    ("schema-org", "", "application/ld+json"),
    ("csv", "text/csv", "text/csv; charset=utf-8"),
    ("description", "", "text/plain; charset=utf-8"),
]


def get(client, name, accept="", recipe="recipe:2"):
    return client.get(f"/v1/recipes/{recipe}/{name}", headers={"Accept": accept} if accept else {})


@pytest.mark.parametrize(("name", "accept", "media_type"), OUTPUTS)
def test_every_output(published, name, accept, media_type):
    answer = get(published, name, accept)
    assert (answer.status_code, answer.headers["content-type"]) == (200, media_type), answer.text
    assert answer.headers["vary"] == "Accept, Accept-Encoding"
    tag = answer.headers["etag"]
    again = published.get(f"/v1/recipes/recipe:2/{name}", headers={"Accept": accept or "*/*", "If-None-Match": tag})
    assert (again.status_code, again.content) == (304, b"")
    if "svg" in media_type:
        assert ElementTree.fromstring(answer.content).tag == "{http://www.w3.org/2000/svg}svg"
    if "svg" in media_type or "html" in media_type:
        assert answer.headers["content-security-policy"] == "default-src 'none'; style-src 'unsafe-inline'"


def test_card_and_json_ld_name_the_house_that_publishes(published):
    house = "Rope & <i>Anchor</i>"
    card = published.get("/v1/recipes/recipe:2/card", params={"house": house}).text
    assert '<p class="house">Rope &amp; &lt;i&gt;Anchor&lt;/i&gt;</p>' in card
    found = published.get("/v1/recipes/recipe:2/schema-org", params={"house": house}).json()
    assert found["author"] == {"@type": "Organization", "name": house}
    assert published.get("/v1/recipes/recipe:2/card", params={"house": "x" * 101}).status_code == 422


@pytest.mark.parametrize(("name", "accept", "_"), OUTPUTS)
def test_every_output_leads_to_its_figures_for_good(published, name, accept, _):
    link = get(published, name, accept).headers["link"]
    path = re.fullmatch(r'<(/v1/recipes/recipe:2/nutrition\?at=3)>; rel="describedby"', link)
    assert path
    origin = published.get(path[1]).json()["origin"]
    assert (origin["recipe"], origin["revision"], origin["change"]) == ("recipe:2", 1, 3)


@pytest.mark.parametrize(("name", "accept", "_"), OUTPUTS)
def test_every_output_names_recipe_revision_change_tables_and_release(published, name, accept, _):
    said = get(published, name, accept).text
    if said.startswith("{") and "origin" in said:
        origin = json.loads(said)["origin"]
        releases = origin.pop("releases")
        assert origin == {"recipe": "recipe:2", "revision": 1, "change": 3, "vocabulary": vocabulary_version()}
        assert releases == ["sr28 28", "pantry 1"]
    else:
        assert f"recipe:2, revision 1, change 3, tables {vocabulary_version()}" in said
        assert "release 28" in said


@pytest.mark.parametrize("rules", ["us", "eu"])
def test_a_panel_as_data(published, rules):
    body = get(published, f"panel?rules={rules}").json()
    schemas.PanelAnswer.model_validate(body)
    assert (body["rules"], body["variant"], body["origin"]["revision"]) == (rules, "plain", 1)
    assert not any("net" in row["name"].lower() for row in body["rows"])


def test_panels_keep_to_the_figures(published):
    # 21 CFR 101.9(c)(1) rounds energy above 50 kcal to 10, (c)(6) carbohydrate to 1 g.
    serving = published.nutrition("recipe:2")["per_serving"]["components"]
    rows = {row["tagname"]: row["amount"] for row in get(published, "panel").json()["rows"]}
    assert abs(int(rows["ENERC_KCAL"]) - serving["ENERC_KCAL"]["value"]) <= 5
    assert abs(int(rows["CHOCDF"].removesuffix(" g")) - serving["CHOCDF"]["value"]) <= 0.5


VARIANTS = [
    ("plain", ["150 g smoked salmon", "2 seed crackers"]),
    ("with cod", ["150 g cod", "2 seed crackers"]),
    ("for one", ["150 g smoked salmon", "2 seed crackers"]),
    ("with everything", ["150 g smoked salmon", "2 seed crackers", "1 slice quayside bread"]),
]


@pytest.mark.parametrize(("variant", "lines"), VARIANTS)
def test_one_way_to_serve_it(published, variant, lines):
    body = published.get("/v1/recipes/recipe:2/schema-org", params={"variant": variant}).json()
    assert (body["name"], body["recipeIngredient"]) == (f"Harbour plate ({variant})", lines)
    nutrition = published.nutrition("recipe:2")
    ways = {"plain": nutrition, **{one["name"]: one for one in nutrition["variants"]}}
    fat = ways[variant]["per_serving"]["components"]["FAT"]["value"]
    assert float(body["nutrition"]["fatContent"].removesuffix(" g")) == pytest.approx(fat, abs=0.05 + 1e-6)
    panel = published.get("/v1/recipes/recipe:2/panel", params={"variant": variant}).json()
    assert panel["variant"] == variant


@pytest.mark.parametrize(
    ("name", "accept", "status"),
    [
        ("panel?rules=uk", "", 422), ("panel?variant=hot", "", 422), ("card?paper=a0", "", 422),
        ("panel", "image/png", 406), ("card", "image/svg+xml", 406), ("csv", "application/json", 406),
        ("csv?at=99", "", 422), ("strip?at=1", "", 404), ("poster", "", 404),
    ],
)  # fmt: skip
def test_what_there_is_not(published, name, accept, status):
    assert_problem(get(published, name, accept), status)


@pytest.mark.parametrize(("name", "accept", "media_type"), [one for one in OUTPUTS if "json" not in one[2]])
def test_no_text_breaks_out_of_its_markup(kitchen, name, accept, media_type):
    kitchen.save("/v1/recipes", recipe(EVIL, f"100 g cod {EVIL}", f"100 g {EVIL}"))
    text = get(kitchen, name, accept, "recipe:1").text
    markup = "html" in media_type or "svg" in media_type
    assert not markup or "<script" not in text
    assert "alert" in text


def test_linked_data_may_stand_in_a_script_element(kitchen):
    kitchen.save("/v1/recipes", recipe(EVIL, "100 g cod"))
    answer = get(kitchen, "schema-org", recipe="recipe:1")
    assert "</script" not in answer.text
    assert answer.json()["name"] == EVIL


def test_what_is_not_known_is_said_in_every_output(kitchen):
    kitchen.save("/v1/recipes", recipe("Odd soup", "100 g butter", "100 g glimmerstones"))
    for name in ("card", "strip", "description"):
        assert re.search("at least|not known", get(kitchen, name, recipe="recipe:1").text)
    rows = get(kitchen, "panel", recipe="recipe:1").json()["rows"]
    assert {row["state"] for row in rows} <= {"at least", "not known"}
