"""gramwright own, choice and treatment, and resolve with the kitchen."""

from __future__ import annotations

import json

import pytest

# Invented label on an EU basis.
BAR = {
    "description": "Harbour bar", "carbohydrate_basis": "available", "serving_grams": 40,
    "components": {"ENERC_KCAL": 420, "FAT": 28, "PROCNT": 12, "CHOAVLDF": 20, "POLYL": 15, "FIBTG": 20, "NA": 160},
    "measures": [{"amount": 1, "measure": "piece", "grams": 40}],
}  # fmt: skip


def save_own(run, value: dict, *more: str) -> str:
    ran = run("own", "save", "-", *more, stdin=json.dumps(value).encode())
    assert (ran.code, ran.err) == (0, "")
    return ran.out


def cells(out: str, start: str) -> list[str]:
    line = next(line for line in out.splitlines() if line.strip().startswith(start))
    return [cell.strip() for cell in line.split("  ") if cell.strip()]


# ---- own foods -------------------------------------------------------------------------------------------------


def test_an_own_food_is_kept_shown_and_used(kitchen_run):
    assert kitchen_run("own", "list").out == "No own food is saved.\n"
    assert save_own(kitchen_run, BAR).startswith("Saved own:1, revision 1: Harbour bar\n")
    assert cells(kitchen_run("own", "list", "--search", "BAR").out, "own:1")[:3] == ["own:1", "Harbour bar", "1"]
    shown = kitchen_run("own", "show", "1").out
    # 20 g available carbohydrate and 20 g fibre beside it are 40 g in total.
    assert cells(shown, "CHOCDF")[-2:] == ["40.00", "g"]
    assert "STARCH" not in shown  # what the label does not state is no 0
    assert cells(shown, "1  piece") == ["1", "piece", "40"]
    nutrition = kitchen_run("recipe", "nutrition", "-", stdin=b"Snack\n\nServes 1\n2 harbour bars").out
    assert cells(nutrition, "1  2 harbour bars")[2:] == [
        "Harbour bar [own:1]",
        "80",
        "32.0 g",
        "4.0 g",
        "yes",
        "resolved",
    ]


def test_an_own_food_as_json_can_be_saved_again(kitchen_run):
    save_own(kitchen_run, BAR)
    shown = json.loads(kitchen_run("own", "show", "own:1", "--json").out)
    save_own(kitchen_run, shown, "--id", "1", "--revision", "1")
    assert json.loads(kitchen_run("own", "show", "1", "--json").out) == shown
    assert "revision 2" in kitchen_run("own", "show", "1").out


def test_a_label_that_does_not_add_up_is_pointed_out(kitchen_run):
    out = save_own(kitchen_run, {**BAR, "components": {**BAR["components"], "ENERC_KCAL": 900}})
    assert "Look at components/ENERC_KCAL: " in out
    assert "Look at components/ENERC_KCAL: " in kitchen_run("own", "show", "1").out


def test_a_changed_own_food_names_the_recipes_that_changed(kitchen_run):
    save_own(kitchen_run, BAR)
    assert kitchen_run("recipe", "save", "-", stdin=b"Snack\n\nServes 1\n2 harbour bars").code == 0
    out = save_own(kitchen_run, {**BAR, "components": {**BAR["components"], "FAT": 29}}, "--id", "1")
    assert "Changed recipe:1, Snack" in out
    ran = kitchen_run("own", "delete", "1")
    assert (ran.code, ran.err) == (2, "gramwright: own food 1 was not deleted: it is used by 'Snack'\n")
    assert kitchen_run("recipe", "delete", "1").code == kitchen_run("own", "delete", "1").code == 0


# ---- standing choices ------------------------------------------------------------------------------------------


def test_choices_are_kept_listed_and_obeyed(kitchen_run):
    assert kitchen_run("choice", "list").out == "No standing choice is saved.\n"
    for given, said in [(("mayo", "--food", "sr28:04641"), "choice:1, revision 1: mayo means sr28:04641"),
                        (("1 egg", "--size", "medium"), "choice:2, revision 1: 1 egg means medium"),
                        (("a knob", "--grams", "10"), "choice:3, revision 1: a knob means 10 g"),
                        (("Mayo", "--food", "sr28:04025"), "choice:1, revision 2: Mayo means sr28:04025")]:  # fmt: skip
        assert kitchen_run("choice", "add", *given).out == f"Saved {said}\n"
    listed = kitchen_run("choice", "list").out
    assert cells(listed, "choice:1") == ["choice:1", "Mayo", "sr28:04025"]
    # SR28 01123: a medium egg weighs 44 g.
    for line, grams in [("1 egg", 44), ("a knob of butter", 10), ("2 knobs of butter", 20)]:
        result = json.loads(kitchen_run("resolve", "--jsonl", "-", "--kitchen", stdin=line.encode()).out)
        assert result["parts"][0]["grams"]["value"] == grams, line
    assert kitchen_run("choice", "delete", "choice:3").out.startswith("Deleted choice:3, a knob")
    assert "choice:3" not in kitchen_run("choice", "list").out


def test_a_choice_names_the_recipes_that_it_changes_by_its_end_too(kitchen_run):
    kitchen_run("recipe", "save", "-", stdin=b"Salad\n\nServes 1\n100 g mayo")
    for asked in (("add", "mayo", "--food", "sr28:01001"), ("add", "mayo", "--food", "sr28:04053"), ("delete", "1")):
        assert "Changed recipe:1, Salad, per serving: " in kitchen_run("choice", *asked).out


def test_choices_go_out_and_come_in_as_csv(kitchen_run, tmp_path):
    for given in (
        ("mayo", "--food", "sr28:04641"),
        ("1 egg, beaten", "--size", "medium"),
        ("a knob", "--grams", "10.5"),
    ):
        assert kitchen_run("choice", "add", *given).code == 0
    path = str(tmp_path / "choices.csv")
    assert kitchen_run("choice", "export", path).code == 0
    out = kitchen_run("choice", "export", "-").out
    assert (tmp_path / "choices.csv").read_bytes().decode() == out
    assert out.split("\r\n")[0] == "phrase,food,size,grams"
    for number in ("1", "2", "3"):
        assert kitchen_run("choice", "delete", number).code == 0
    assert kitchen_run("choice", "import", path).out == "Saved 3 standing choices.\n"
    assert kitchen_run("choice", "export", "-").out == out
    assert kitchen_run("choice", "import", "-", stdin=out.encode()).code == 0
    assert kitchen_run("choice", "export", "-").out == out


def test_a_file_of_choices_with_a_fault_changes_nothing(kitchen_run):
    for row, words in [("a knob,,,-1", "line 3, grams"), ("a knob,,,", "give just one"),
                       ("mine,sr28:99999,,", "'sr28:99999'"), ("mine,own:9,,", "own food 9")]:  # fmt: skip
        sent = f"phrase,food,size,grams\r\nmayo,sr28:04641,,\r\n{row}\r\n".encode()
        ran = kitchen_run("choice", "import", "-", stdin=sent)
        assert (ran.code, words in ran.err) == (2, True), (row, ran.err)
        assert kitchen_run("choice", "list").out == "No standing choice is saved.\n"


def test_every_line_at_fault_is_named_at_once(kitchen_run):
    sent = b"phrase,food,size,grams\na,,,-1\nmayo,sr28:04641,,\nb,,enormous,\nc,,,\n"
    ran = kitchen_run("choice", "import", "-", stdin=sent)
    assert ran.code == 2
    assert "line 2, grams" in ran.err
    assert "at fault too: lines 4, 5" in ran.err


def test_a_mark_of_byte_order_is_no_part_of_the_first_column(kitchen_run):
    sent = b"\xef\xbb\xbfphrase,food,size,grams\r\nmayo,sr28:04641,,\r\n"
    assert kitchen_run("choice", "import", "-", stdin=sent).out == "Saved 1 standing choice.\n"


def test_a_choice_whose_food_has_gone_is_said_to_be_lost(kitchen_run):
    save_own(kitchen_run, BAR)
    assert kitchen_run("choice", "add", "my bar", "--food", "own:1").code == 0
    assert "lost" not in kitchen_run("choice", "list").out
    assert kitchen_run("choice", "add", "mayo", "--food", "sr28:04641").code == 0
    assert "Standing choices that meant it are lost: my bar.\n" in kitchen_run("own", "delete", "1").out
    assert "lost: the food is in no table in use" in kitchen_run("choice", "list").out


def test_a_recipe_that_is_deleted_names_the_choices_that_meant_it(kitchen_run):
    assert kitchen_run("recipe", "save", "-", stdin=b"Quay plate\n\nServes 1\n40 g butter").code == 0
    assert kitchen_run("choice", "add", "the usual", "--food", "recipe:1").code == 0
    assert "Standing choices that meant it are lost: the usual.\n" in kitchen_run("recipe", "delete", "1").out


# ---- resolve with the kitchen ----------------------------------------------------------------------------------

LINES = ("1 harbour bar", "1 tbsp mayo", "2 large eggs")


def test_resolve_knows_the_kitchen_only_where_asked(kitchen_run):
    save_own(kitchen_run, BAR)
    assert kitchen_run("choice", "add", "mayo", "--food", "sr28:04641").code == 0
    foods = {}
    for given in ((), ("--kitchen",)):
        out = kitchen_run("resolve", "--jsonl", *given, stdin="\n".join(LINES).encode()).out
        results = [json.loads(line) for line in out.splitlines()]
        foods[given] = [[part["food"] and part["food"]["id"] for part in one["parts"]] for one in results]
    assert foods[()][0] in ([], [None])
    assert foods[()][1] == ["sr28:04025"]
    assert foods["--kitchen",] == [["own:1"], ["sr28:04641"], foods[()][2]]


def test_totals_with_the_kitchen_count_its_foods(kitchen_run):
    save_own(kitchen_run, BAR)
    ran = kitchen_run("resolve", *LINES, "--kitchen")
    assert (ran.code, ran.err) == (0, "")
    assert "[own:1]" in ran.out
    assert "count 3 of 3 lines" in ran.out
    rows = kitchen_run("resolve", *LINES, "--kitchen", "--csv").out.split("\r\n")
    # 40 g of the bar: 16 g carbohydrate in total, 8 g fibre, 6 g polyols, which net carbohydrate leaves out too.
    assert ",own:1,Harbour bar,40.0," in rows[1]
    assert ",16.0,8.0,2.0," in rows[1]


def test_treatments_are_listed_with_their_source(kitchen_run):
    out = kitchen_run("treatment", "list").out
    assert cells(out, "boiled, drained")[1] == "juices and fat"
    assert cells(out, "boiled, liquid eaten")[1] == "nothing: the liquid is eaten"
    assert "USDA retention factors release 6" in out


# ---- wrong use -------------------------------------------------------------------------------------------------

# (arguments, standard input, words of the message)
WRONG = [
    (("own", "save", "-"), "", "no JSON"),
    (("own", "save", "-"), "[]", "form"),
    (("own", "save", "-"), '{"description": "Bar", "components": {"FAT": 28, "FAT": 2.8}}', "'FAT' stands twice"),
    (("own", "save", "-"), '{"description": ""}', "standard input, /description"),
    (("own", "save", "-"), '{"description": "Bar", "components": {"GOLD": 1}}', "/components/GOLD"),
    (("own", "save", "-"), '{"description": "Bar", "components": {"FAT": 101}}', "/components/FAT"),
    (("own", "save", "-"), '{"description": "Bar", "components": {"FAT": "1"}}', "/components/FAT"),
    (("own", "save", "-"), '{"description": "Bar", "components": {"FAT": -1}}', "/components/FAT"),
    (("own", "save", "-", "--revision", "1"), "{}", "--revision needs --id"),
    (("own", "save", "-", "--id", "9"), '{"description": "Bar"}', "no own food 9"),
    (("own", "save", "/nowhere/bar.json"), "", "cannot read /nowhere/bar.json"),
    (("own", "show", "9"), "", "no own food 9"),
    (("own", "show", "recipe:1"), "", "such as own:7"),
    (("own", "delete", "9"), "", "no own food 9"),
    (("choice", "add", "mayo"), "", "required"),
    (("choice", "add", "mayo", "--food", "sr28:04641", "--grams", "3"), "", "not allowed with"),
    (("choice", "add", "mayo", "--food", "sr28:99999"), "", "'sr28:99999'"),
    (("choice", "add", "mayo", "--food", "butter"), "", "/food"),
    (("choice", "add", "1 egg", "--size", "enormous"), "", "/size"),
    (("choice", "add", "a knob", "--grams", "0"), "", "above 0"),
    (("choice", "add", "a knob", "--grams", "1e9"), "", "/grams"),
    (("choice", "add", "", "--grams", "1"), "", "/phrase"),
    (("choice", "delete", "9"), "", "no standing choice 9"),
    (("choice", "import", "-"), "mayo,sr28:04641", "the first line must be phrase,food,size,grams"),
    (("choice", "import", "-"), "", "the first line must be phrase,food,size,grams"),
    (("choice", "import", "-"), '{"choices":[{"id":"choice:1","x":2}]}', "choices are read as CSV, as they are"),
    (("choice", "import", "-"), '[\n {"phrase": "mayo"}]', "choices are read as CSV, as they are"),
    (("choice", "import", "-"), 'phrase,food,size,grams\n"mayo" b,sr28:04641,,', "line 2 is no CSV"),
    (("choice", "import", "/nowhere/choices.csv"), "", "cannot read"),
]


@pytest.mark.parametrize(("arguments", "stdin", "words"), WRONG, ids=range(len(WRONG)))
def test_wrong_use(kitchen_run, arguments, stdin, words):
    ran = kitchen_run(*arguments, stdin=stdin.encode())
    assert ran.code == 2, ran.err
    assert words in ran.err
    assert "Traceback" not in ran.err
    assert "No own food is saved." in kitchen_run("own", "list").out
    assert "No standing choice is saved." in kitchen_run("choice", "list").out
