"""gramwright recipe: saving in every form, tables and JSON of what recipes come to, publishing, wrong use."""

from __future__ import annotations

import csv
import io
import json
import math
import os
import re
import subprocess
import sys
import xml.etree.ElementTree as ElementTree

import pytest

from service import cli
from service.publish.publication import MAIN_FIGURES
from tests.cli.conftest import ROOT

PLATE = """Smoked fish plate

Serves 2
150 g smoked haddock
half a small avocado
1 tsp mayonnaise
2 large eggs

+ To serve:
10 g chives
"""
CRACKERS = {
    "title": "Seed crackers", "servings": 20,
    "yield": {"pieces": 20, "piece_name": "cracker", "cooked_grams": 170},
    "sections": [
        {"lines": [
            {"text": "100 g sunflower seeds"}, {"text": "50 g flaxseed"},
            {"text": "1 tbsp olive oil", "share_eaten": 0.8}, {"text": "80 ml water"},
        ]},
        {"name": "Topping", "optional": True, "lines": [{"text": "10 g sesame seeds"}]},
    ],
    "variants": [{"name": "of almonds", "swaps": [{"line": "50 g flaxseed", "by": {"text": "50 g almonds"}}]}],
}  # fmt: skip
JSON_LD = {
    "@context": "https://schema.org", "@type": "Recipe", "name": "Egg <b>cup</b>", "recipeYield": "2 servings",
    "recipeIngredient": ["2 large eggs", "1 tsp mayonnaise"],
}  # fmt: skip


def sent(value: object) -> bytes:
    return value.encode() if isinstance(value, str) else json.dumps(value).encode()


def save(run, value: object, *more: str) -> str:
    ran = run("recipe", "save", "-", *more, stdin=sent(value))
    assert (ran.code, ran.err) == (0, "")
    return ran.out


def rows(out: str, start: str) -> list[list[str]]:
    """Cells of the rows that begin so, parted by two spaces or more."""
    return [[cell.strip() for cell in line.split("  ") if cell.strip()] for line in out.splitlines()
            if line.strip().startswith(start)]  # fmt: skip


# ---- saving ----------------------------------------------------------------------------------------------------

# (what is sent, title, servings, texts of the lines)
FORMS = [
    ("text", PLATE, "Smoked fish plate", 2, 5),
    ("JSON", CRACKERS, "Seed crackers", 20, 5),
    ("JSON-LD", JSON_LD, "Egg cup", 2, 2),
    ("JSON-LD in a graph", [{"@graph": [JSON_LD]}], "Egg cup", 2, 2),
    ("text with a byte order mark", "\ufeff" + PLATE, "Smoked fish plate", 2, 5),
]


@pytest.mark.parametrize(("value", "title", "servings", "lines"), [row[1:] for row in FORMS], ids=[r[0] for r in FORMS])
def test_a_recipe_is_saved_in_each_form(kitchen_run, value, title, servings, lines):
    assert save(kitchen_run, value).startswith(f"Saved recipe:1, revision 1: {title}\n")
    shown = json.loads(kitchen_run("recipe", "show", "recipe:1", "--json").out)
    assert (shown["title"], shown["servings"]) == (title, servings)
    assert sum(len(section["lines"]) for section in shown["sections"]) == lines


def test_what_show_prints_as_json_can_be_saved_again(kitchen_run, tmp_path):
    save(kitchen_run, CRACKERS)
    shown = kitchen_run("recipe", "show", "1", "--json").out
    (tmp_path / "again.json").write_text(shown, encoding="utf-8")
    assert kitchen_run("recipe", "save", str(tmp_path / "again.json")).code == 0
    assert kitchen_run("recipe", "show", "recipe:2", "--json").out == shown


def test_show_says_all_that_was_saved(kitchen_run):
    save(kitchen_run, CRACKERS)
    out = kitchen_run("recipe", "show", "1").out
    for words in ("Seed crackers", "Serves 20, makes 20 cracker, 170 g cooked", "1 tbsp olive oil  [80% eaten]",
                  "Topping (optional):", "Variant of almonds: 50 g almonds for 50 g flaxseed"):  # fmt: skip
        assert words in out


def test_doubts_and_assumptions_are_said_when_saving(kitchen_run):
    out = save(kitchen_run, "Plate\n\n1 cup glimmerstones\n2 large eggs")
    assert "Look at line 1, no_match: 1 cup glimmerstones" in out
    assert "Note: the text does not say for how many it is: taken as one serving" in out


def test_revisions_are_kept_and_what_changes_is_said(kitchen_run):
    save(kitchen_run, CRACKERS)
    save(kitchen_run, "Plate\n\nServes 1\n5 seed crackers")
    richer = {**CRACKERS, "yield": {**CRACKERS["yield"], "cooked_grams": 160}}
    out = save(kitchen_run, richer, "--id", "recipe:1", "--revision", "1")
    assert out.startswith("Saved recipe:1, revision 2")
    assert "Changed recipe:2, Plate, per serving: energy " in out
    assert [row[0] for row in rows(kitchen_run("recipe", "revisions", "1").out, ("1 ", "2 "))] == ["1", "2"]
    assert "170 g cooked" in kitchen_run("recipe", "show", "1", "--revision", "1").out
    late = kitchen_run("recipe", "save", "-", "--id", "1", "--revision", "1", stdin=sent(CRACKERS))
    assert late.code == 2
    assert "revision 1 was seen, but revision 2 is the latest" in late.err


def test_list_search_and_using(kitchen_run):
    assert kitchen_run("recipe", "list").out == "No recipe is saved.\n"
    save(kitchen_run, CRACKERS)
    save(kitchen_run, "Plate\n\nServes 1\n5 seed crackers")
    for asked, ids in [((), ["recipe:2", "recipe:1"]), (("--search", "SEED"), ["recipe:1"]),
                       (("--using", "recipe:1"), ["recipe:2"]), (("--using", "sr28:12036"), ["recipe:1"]),
                       (("--search", "soup"), [])]:  # fmt: skip
        assert [row[0] for row in rows(kitchen_run("recipe", "list", *asked).out, "recipe:")] == ids, asked
    assert "There are more than 1" in kitchen_run("recipe", "list", "--limit", "1").out


def test_a_recipe_in_use_is_not_deleted(kitchen_run):
    save(kitchen_run, CRACKERS)
    save(kitchen_run, "Plate\n\nServes 1\n5 seed crackers")
    ran = kitchen_run("recipe", "delete", "1")
    assert (ran.code, ran.err) == (2, "gramwright: recipe 1 was not deleted: it is used by 'Plate'\n")
    assert kitchen_run("recipe", "delete", "2").code == 0
    assert kitchen_run("recipe", "delete", "1").code == 0
    assert kitchen_run("recipe", "show", "1").code == 2
    assert ", deleted" in kitchen_run("recipe", "show", "1", "--revision", "2").out


# ---- what it comes to ------------------------------------------------------------------------------------------


def test_nutrition_of_a_file_is_not_saved_and_equals_that_of_the_saved_recipe(kitchen_run, tmp_path):
    (tmp_path / "plate.txt").write_text(PLATE, encoding="utf-8")
    ways = [kitchen_run("recipe", "nutrition", str(tmp_path / "plate.txt")),
            kitchen_run("recipe", "nutrition", "-", stdin=sent(PLATE))]  # fmt: skip
    assert kitchen_run("recipe", "list").out == "No recipe is saved.\n"
    save(kitchen_run, PLATE)
    ways += [kitchen_run("recipe", "nutrition", "recipe:1"), kitchen_run("recipe", "nutrition", "1")]
    assert {ran.code for ran in ways} == {0}
    assert len({ran.out.split("\n", 1)[1] for ran in ways}) == 1
    assert ways[0].out.startswith("Smoked fish plate: 2 servings (not saved)\n")
    assert ways[2].out.startswith("Smoked fish plate: 2 servings (recipe:1, revision 1)\n")


def test_tables_show_lines_and_figures(kitchen_run):
    # SR28 09038: 136 g of avocado a fruit, so 68 g; 8.64 g carbohydrate and 6.8 g fibre in 100 g.
    out = kitchen_run("recipe", "nutrition", "-", stdin=sent(PLATE)).out
    [avocado] = rows(out, "2  half")
    assert avocado[2:] == ["Avocados, raw, California [sr28:09038]", "68", "5.9 g", "1.3 g", "yes", "resolved"]
    assert rows(out, "5  10 g chives")[0][-2:] == ["optional", "resolved"]
    total, net = rows(out, "Total carbohydrate")[0], rows(out, "Net carbohydrate ")[0]
    assert (total[1:3], net[1:3]) == (["6.6 g", "3.3 g"], ["2.0 g", "1.0 g"])
    assert out.index("Total carbohydrate") < out.index("Net carbohydrate ")
    for words in ("Ketogenic ratio on total", "Ketogenic ratio on net", "95 % range of a serving", "Energy from: fat",
                  "The totals count 4 of 4 lines", "Weight: ", "What makes carbohydrate uncertain", "Not for dosing",
                  "release 28", "g fat : (g protein + g carbohydrate)"):  # fmt: skip
        assert words in out, words


def test_variants_stand_side_by_side_with_the_difference(kitchen_run):
    save(kitchen_run, CRACKERS)
    payload = json.loads(kitchen_run("recipe", "nutrition", "1", "--json").out)
    out = kitchen_run("recipe", "nutrition", "1").out
    assert [one["name"] for one in payload["variants"]] == ["of almonds", "with everything"]
    table = out[out.index("Each way to serve it") :].splitlines()
    heads = next(line for line in table if line.startswith(" a serving "))
    said = [head.strip() for head in heads.split("  ") if head.strip()]
    assert said == ["a serving", "plain", "of almonds", "with everything"]
    for tagname, name in MAIN_FIGURES:
        at = next(place for place, line in enumerate(table) if line.startswith(f" {name} "))
        shown = [float(cell) for cell in table[at + 1].replace("±", "").split()]
        changes = [one["difference_per_serving"][tagname] for one in payload["variants"]]
        assert shown == [pytest.approx(change, abs=STEPS[tagname] * 0.5001) for change in changes], name


def test_no_figure_of_many_variants_is_cut(kitchen_run):
    name = "the way that the harbour-side lunch room serves it on day"
    ways = [{"name": f"{name} {day}", "servings": day, "with": ["To serve"]} for day in range(1, 8)]
    plate = {"title": "Quay plate", "servings": 2, "variants": ways, "sections": [
        {"lines": [{"text": "1.2 kg smoked haddock"}, {"text": "2 tbsp grated zorgroot"}, {"text": "300 g butter"}]},
        {"name": "To serve", "optional": True, "lines": [{"text": "200-300 ml double cream"}]},
    ]}  # fmt: skip
    save(kitchen_run, plate)
    out = kitchen_run("recipe", "nutrition", "1").out
    table = out[out.index("Each way to serve it") : out.index("Energy from")]
    assert "…" not in table
    assert [day for day in range(1, 8) if not re.search(rf"day {day}\b|\b{day}$", table, re.MULTILINE)] == []
    payload = json.loads(kitchen_run("recipe", "nutrition", "1", "--json").out)
    for one in payload["variants"]:
        least = one["per_serving"]["components"]["ENERC_KCAL"]["low"]
        assert f"at least {math.floor(least)} kcal" in table, one["name"]


# What a difference is rounded to.
STEPS = {"ENERC_KCAL": 1, "FAT": 0.1, "PROCNT": 0.1, "CHOCDF": 0.1, "FIBTG": 0.1, "net_carbohydrate": 0.1}


def test_a_variant_may_stand_alone(kitchen_run):
    save(kitchen_run, CRACKERS)
    whole = json.loads(kitchen_run("recipe", "nutrition", "1", "--json").out)
    alone = json.loads(kitchen_run("recipe", "nutrition", "1", "--json", "--variant", "of almonds").out)
    assert alone["per_serving"] == whole["variants"][0]["per_serving"]
    assert alone["variants"] == []
    ran = kitchen_run("recipe", "nutrition", "1", "--variant", "of almonds")
    assert ran.out.startswith("Seed crackers, of almonds: 20 servings")
    assert rows(ran.out, "2  50 g flaxseed")[0][-2:] == ["in a variant", "resolved"]


def test_a_lower_bound_says_at_least_and_unknown_is_no_zero(kitchen_run):
    out = kitchen_run(
        "recipe", "nutrition", "-", stdin=sent("Plate\n\nServes 2\n2 large eggs\n1 cup glimmerstones")
    ).out
    for name in ("Weight", "Energy", "Fat", "Protein", "Total carbohydrate", "Net carbohydrate"):
        assert rows(out, f"{name} ")[0][1].startswith("at least "), name
    assert rows(out, "Energy ")[0][3].startswith("of what is known, ")
    assert rows(out, "2  1 cup")[0][2:] == ["not known", "not known", "yes", "no_match"]
    assert rows(out, "Ketogenic ratio on net")[0][1] == "not known"
    assert "Figures are lower bounds" in out
    only = kitchen_run("recipe", "nutrition", "-", stdin=sent("Plate\n\nServes 2\n1 cup glimmerstones")).out
    assert rows(only, "Total carbohydrate ")[0][1:] == ["not known", "not known"]  # and no range from 0 to 0


def test_trace_gives_each_part_of_a_figure(kitchen_run):
    save(kitchen_run, CRACKERS)
    save(kitchen_run, "Plate\n\nServes 1\n5 seed crackers\n2 large eggs")
    payload = json.loads(kitchen_run("recipe", "nutrition", "2", "--trace", "CHOCDF,net_carbohydrate", "--json").out)
    assert list(payload["trace"]) == ["CHOCDF", "net_carbohydrate"]
    amounts = [one["amount"] for one in payload["trace"]["CHOCDF"]]
    assert sum(amounts) == pytest.approx(payload["whole"]["components"]["CHOCDF"]["value"], rel=1e-4)
    out = kitchen_run("recipe", "nutrition", "2", "--trace", "CHOCDF").out
    assert "How CHOCDF of the whole dish came about" in out
    assert rows(out, "1  Seed crackers >")[0][3:6] == ["25.0", "20", "5.00"]


def test_csv_has_a_row_a_figure(kitchen_run):
    save(kitchen_run, PLATE)
    for arguments in (("nutrition", "1", "--csv"), ("publish", "1", "--as", "csv")):
        found = list(csv.DictReader(io.StringIO(kitchen_run("recipe", *arguments).out, newline="")))
        served = {row["served"] for row in found}
        assert served == {"plain", "with everything"}
        [total] = [
            row for row in found if (row["served"], row["share"], row["component"]) == ("plain", "serving", "CHOCDF")
        ]
        assert float(total["value"]) == pytest.approx(3.31, abs=0.01)


# ---- publishing ------------------------------------------------------------------------------------------------

# (what it is published as, how it begins, words in it)
OUTPUTS = [
    ("us-panel", "<!doctype html>", "Nutrition Facts"),
    ("eu-declaration", "<!doctype html>", "Nutrition declaration"),
    ("card", "<!doctype html>", "half a small avocado"),
    ("strip", "<svg ", "Net carbohydrate"),
    ("json-ld", "{", '"recipeIngredient"'),
    ("csv", "recipe,revision,", "CHOCDF"),
    ("text", "Smoked fish plate, serves 2", "net carbohydrate"),
]


@pytest.mark.parametrize(("form", "start", "words"), OUTPUTS, ids=[row[0] for row in OUTPUTS])
def test_a_recipe_is_published(kitchen_run, tmp_path, form, start, words):
    save(kitchen_run, PLATE)
    ran = kitchen_run("recipe", "publish", "recipe:1", "--as", form)
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.lower().startswith(start.lower())
    assert words in ran.out
    written = kitchen_run("recipe", "publish", "1", "--as", form, "--out", str(tmp_path / "out"))
    assert (written.code, written.out) == (0, "")
    assert (tmp_path / "out").read_bytes().decode() == ran.out
    if form == "json-ld":
        assert json.loads(ran.out)["@type"] == "Recipe"


HOUSES = [("card", '<p class="house">The Bollard Room</p>'), ("json-ld", '"The Bollard Room"')]


@pytest.mark.parametrize(("form", "said"), HOUSES)
def test_what_is_published_names_its_house(kitchen_run, form, said):
    save(kitchen_run, PLATE)
    named = kitchen_run("recipe", "publish", "recipe:1", "--as", form, "--house", "The Bollard Room")
    assert (named.code, named.err) == (0, "")
    assert said in named.out
    assert said not in kitchen_run("recipe", "publish", "recipe:1", "--as", form).out


@pytest.mark.parametrize("form", ["us-panel", "eu-declaration", "strip"])
def test_a_name_in_svg_is_drawn(kitchen_run, tmp_path, form):
    save(kitchen_run, PLATE)
    assert kitchen_run("recipe", "publish", "1", "--as", form, "--out", str(tmp_path / "out.svg")).code == 0
    assert ElementTree.parse(tmp_path / "out.svg").getroot().tag == "{http://www.w3.org/2000/svg}svg"


def test_every_output_names_its_origin(kitchen_run):
    save(kitchen_run, PLATE)
    save(kitchen_run, PLATE, "--id", "1")
    for form in ("us-panel", "eu-declaration", "card", "text"):
        assert "recipe:1, revision 2" in kitchen_run("recipe", "publish", "1", "--as", form).out, form


def test_a_variant_is_published_alone(kitchen_run):
    save(kitchen_run, CRACKERS)
    out = kitchen_run("recipe", "publish", "1", "--as", "text", "--variant", "of almonds").out
    assert out.startswith("Seed crackers (of almonds), serves 20")
    assert "with everything" not in out


# ---- wrong use -------------------------------------------------------------------------------------------------

CIRCLE = {"title": "Plate", "sections": [{"lines": [{"text": "100 g board"}]}]}
# (arguments, standard input, words of the message)
WRONG = [
    (("recipe",), "", "COMMAND"),
    (("recipe", "save", "-"), "", "no recipe in the input"),
    (("recipe", "save", "/nowhere/plate.txt"), "", "cannot read /nowhere/plate.txt"),
    (("recipe", "save", "/"), "", "directory"),
    (("recipe", "save", "-"), "{", "no JSON"),
    (("recipe", "save", "-"), '{"title": "Plate", "servings": 2, "servings": 4}', "'servings' stands twice"),
    (("recipe", "save", "-"), "[]", "no schema.org Recipe"),
    (("recipe", "save", "-"), {"@type": "HowTo"}, "no schema.org Recipe"),
    (("recipe", "save", "-"), {"@type": "Recipe", "name": "Plate"}, "/recipeIngredient"),
    (("recipe", "save", "-"), {"title": ""}, "standard input, /title: a recipe needs a title"),
    (("recipe", "save", "-"), {"title": "Plate", "servings": 0}, "/servings"),
    (("recipe", "save", "-"), {"title": "Plate", "servings": "four"}, "/servings"),
    (("recipe", "save", "-"), {"title": "Plate", "serves": 4}, "/serves"),
    (("recipe", "save", "-"), {"title": "Plate", "sections": [{"lines": [{"text": "eggs", "share_eaten": 2}]}]},
     "/sections/0/lines/0/share_eaten"),
    (("recipe", "save", "-"), {"title": "Plate", "sections": [{"lines": [{"text": "eggs", "treatment": "wished"}]}]},
     "/sections/0/lines/0/treatment"),
    (("recipe", "save", "-"), {**CRACKERS, "yield": {"cooked_grams": 4000}}, "/yield/cooked_grams"),
    (("recipe", "save", "-"), "Plate\n\nServes 0\n2 eggs", "0 servings"),
    (("recipe", "save", "-"), "Plate\n\n" + "2 eggs\n" * 2001, "2,000 lines"),
    (("recipe", "save", "-", "--id", "own:1"), PLATE, "recipe:7"),
    (("recipe", "save", "-", "--id", "9"), PLATE, "no recipe 9"),
    (("recipe", "save", "-", "--revision", "1"), PLATE, "--revision needs --id"),
    (("recipe", "show", "9"), "", "no recipe 9"),
    (("recipe", "show", "0"), "", "recipe:7"),
    (("recipe", "show", "\u0661"), "", "recipe:7"),
    (("recipe", "show", "1", "--revision", "4"), "", "revision 4"),
    (("recipe", "nutrition", "9"), "", "no recipe 9"),
    (("recipe", "nutrition", "-"), {"title": "Plate", "servings": -1}, "/servings"),
    (("recipe", "nutrition", "1", "--variant", "of gold"), "", "'plain', 'of almonds', 'with everything'"),
    (("recipe", "nutrition", "1", "--variant", "of gold", "--csv"), "", "'plain', 'of almonds', 'with everything'"),
    (("recipe", "nutrition", "1", "--trace", "GOLD"), "", "'GOLD'"),
    (("recipe", "nutrition", "1", "--json", "--csv"), "", "not allowed with"),
    (("recipe", "delete", "9"), "", "no recipe 9"),
    (("recipe", "revisions", "9"), "", "no recipe 9"),
    (("recipe", "publish", "1"), "", "--as"),
    (("recipe", "publish", "1", "--as", "poster"), "", "poster"),
    (("recipe", "publish", "1", "--as", "text", "--variant", "of gold"), "", "'of gold'"),
]  # fmt: skip


@pytest.mark.parametrize(("arguments", "stdin", "words"), WRONG, ids=range(len(WRONG)))
def test_wrong_use(kitchen_run, arguments, stdin, words):
    save(kitchen_run, CRACKERS)
    ran = kitchen_run(*arguments, stdin=sent(stdin))
    assert ran.code == 2
    assert words in ran.err
    assert "Traceback" not in ran.err
    assert len(rows(kitchen_run("recipe", "list").out, "recipe:")) == 1


def test_a_circle_of_sub_recipes_is_refused_by_name(kitchen_run):
    save(kitchen_run, {"title": "Plate", "sections": [{"lines": [{"text": "2 large eggs"}]}]})
    save(kitchen_run, {"title": "Board", "sections": [{"lines": [{"text": "100 g plate"}]}]})
    ran = kitchen_run("recipe", "save", "-", "--id", "1", stdin=sent(CIRCLE))
    assert (ran.code, "Plate -> Board -> Plate" in ran.err) == (2, True)


def test_an_output_that_cannot_be_written_is_a_failure(kitchen_run, tmp_path):
    save(kitchen_run, PLATE)
    ran = kitchen_run("recipe", "publish", "1", "--as", "text", "--out", str(tmp_path / "nowhere" / "out"))
    assert (ran.code, "cannot write" in ran.err) == (1, True)


def test_hostile_titles_cannot_act_on_the_terminal(kitchen_run):
    out = save(kitchen_run, {"title": "Plate\x1b[2J\u202e<script>", "sections": [{"lines": [{"text": "2 eggs\x07"}]}]})
    out += kitchen_run("recipe", "list").out + kitchen_run("recipe", "show", "1").out
    out += kitchen_run("recipe", "nutrition", "1").out + kitchen_run("recipe", "revisions", "1").out
    assert not {"\x1b", "\x07", "\u202e"} & set(out)


def test_every_command_has_its_function():
    def commands(parser):
        groups = [action for action in parser._actions if isinstance(action, cli.Commands)]
        for group in groups:
            for one in group.choices.values():
                yield from commands(one)
        if not groups:
            yield parser

    found = list(commands(cli.make_parser()))
    assert len(found) >= 20
    for parser in found:
        assert cli.function_of(parser.get_default("run")).__doc__.startswith(parser.prog)


@pytest.mark.parametrize("command", [("recipe", "list"), ("own", "list", "--search", "bar")])
def test_lists_need_no_tables_of_foods(sr28_store, command):
    """They start in the time of a look-up in the store: what loads the tables is not even imported."""
    asked = f"import sys; from service.cli import main; main({command!r}); print('service.wiring' in sys.modules)"
    environment = {**os.environ, "GRAMWRIGHT_DATA_DIR": str(sr28_store.data_dir)}
    ran = subprocess.run([sys.executable, "-c", asked], capture_output=True, env=environment, check=True, cwd=ROOT)
    assert ran.stdout.decode().splitlines()[-1] == "False"


def test_a_search_of_titles_minds_no_accents(kitchen_run):
    for title in ("Crème of leek", "Cream of kale"):
        assert kitchen_run("recipe", "save", "-", stdin=f"{title}\n\nServes 1\n1 leek".encode()).code == 0
    for words in ("creme", "CRÈME", "Creme leek"):
        out = kitchen_run("recipe", "list", "--search", words).out
        assert ("Crème of leek" in out, "kale" in out) == (True, False), words
