"""What a release would change in kitchens, said before anything is switched."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Engine

from service.core.errors import NotFoundError, StoreError
from service.kitchens.choice_table import choices_csv, read_choices_csv
from service.kitchens.forms import ChoiceForm, OwnFoodForm, RecipeForm, read_form
from service.kitchens.impact import compared, impact
from service.kitchens.shelf import Shelf, per_serving
from service.publish import publication
from service.publish.comparison import COLUMNS, by_what, comparison_csv, comparison_html, comparison_rows, counts
from service.store import schema
from service.store.engine import open_engine, writing
from service.store.read import releases, stored_releases
from service.store.url import sqlite_url
from service.store.write import activate, add_release, migrate, prune, replace_release, roll_back
from service.wiring import Catalogue
from tests.harbour import FOODS, HARBOUR, changed, harbour


@pytest.fixture
def engine(tmp_path: Path) -> Iterator[Engine]:
    engine = open_engine(sqlite_url(tmp_path / "gramwright.sqlite3"))
    migrate(engine)
    replace_release(engine, harbour())
    yield engine
    engine.dispose()


@pytest.fixture
def shelf(engine: Engine) -> Shelf:
    """A kitchen with a broth of kelp, buttered broth made of it, plain cod, and two choices."""
    shelf = Shelf(Catalogue(engine, (HARBOUR,)))
    for title, lines in (
        ("Broth", [("100 g kelp", "harbour:1")]), ("Buttered broth", [("1 broth", "recipe:1"), ("20 g", "harbour:3")]),
        ("Cod", [("150 g cod", "harbour:2")]),
    ):  # fmt: skip
        made = [{"text": text, "food": food} for text, food in lines]
        shelf.save_recipe(RecipeForm.model_validate({"title": title, "servings": 2, "sections": [{"lines": made}]}))
    for phrase, food in (("weed", "harbour:1"), ("spread", "harbour:3")):
        shelf.save_choice(ChoiceForm.model_validate({"phrase": phrase, "food": food}))
    return shelf


# (what, the new release, recipes that change, phrases that change)
CASES = [
    ("nothing", FOODS, [], []),
    ("a value", changed("1", FAT=9), ["Broth", "Buttered broth"], ["weed"]),
    ("a bound", changed("2", CHOCDF="<0.2"), ["Cod"], []),
    ("a food dropped", {code: FOODS[code] for code in ("1", "2")}, ["Buttered broth"], ["spread"]),
    ("a name", {**FOODS, "1": ("Seaweed, kelp, raw", FOODS["1"][1])}, [], ["weed"]),
    ("a food added", {**FOODS, "4": ("Dulse, dried", {"FAT": 1})}, [], []),
]  # fmt: skip


@pytest.mark.parametrize(("foods", "recipes", "phrases"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_what_would_change_is_named(
    engine: Engine, shelf: Shelf, foods: dict[str, object], recipes: list[str], phrases: list[str]
) -> None:
    add_release(engine, [harbour("2026", foods)])  # type: ignore[arg-type]
    found = impact(shelf, HARBOUR, "2026")
    assert ([one.title for _, one in found.recipes], [one.phrase for one in found.choices]) == (recipes, phrases)
    assert [one.release for one in releases(engine)] == ["2025"], "nothing is switched"


def test_the_figures_are_those_after_the_switch(engine: Engine, shelf: Shelf) -> None:
    add_release(engine, [harbour("2026", changed("1", FAT=9))])
    foretold = {one.food_id: one.after for _, one in impact(shelf, HARBOUR, "2026").recipes}
    activate(engine, HARBOUR)
    shelf.catalogue.refresh()
    for food_id, figures in foretold.items():
        assert shelf.book().work_saved(food_id).base.portions.per_serving == figures


def test_a_recipe_that_loses_an_entry_shows_what_is_left(engine: Engine, shelf: Shelf) -> None:
    lines = [{"text": "100 g kelp", "food": "harbour:1"}, {"text": "20 g butter", "food": "harbour:3"}]
    form = {"title": "Kelp in butter", "servings": 2, "sections": [{"lines": lines}]}
    shelf.save_recipe(RecipeForm.model_validate(form))
    add_release(engine, [harbour("2026", {code: FOODS[code] for code in ("1", "2")})])
    changes = impact(shelf, HARBOUR, "2026")
    [buttered] = [one for _, one in changes.recipes if one.title == "Kelp in butter"]
    assert buttered.lost == (("20 g butter", "harbour:3"),)
    rows = [(row.what, row.old, row.new) for row in comparison_rows(compared(shelf, HARBOUR), changes)
            if row.id == buttered.food_id]  # fmt: skip
    assert ("Fat, one serving", "8.4 g", "at least 0.3 g") in rows
    left_out = "not in the table: left out of the figures until the line has another food"
    assert ("“20 g butter”", "harbour:3", left_out) in rows
    assert not [row for row in rows if "worked out" in row[2]]


def test_after_the_switch_the_recipe_still_opens_and_says_what_it_lost(engine: Engine, shelf: Shelf) -> None:
    add_release(engine, [harbour("2026", {code: FOODS[code] for code in ("1", "2")})])
    foretold = {one.food_id: one.after for _, one in impact(shelf, HARBOUR, "2026").recipes}
    activate(engine, HARBOUR)
    shelf.catalogue.refresh()
    worked = shelf.book().work_saved("recipe:2")
    assert worked.base.portions.per_serving == foretold["recipe:2"]
    assert [line.outcome for line in worked.lines] == ["resolved", "no_match"]
    [reason] = worked.lines[1].reasons
    assert reason == "its entry harbour:3 is in release 2025, not in 2026, which answers now: choose another"
    assert worked.base.portions.per_serving.total("FAT").value is None


OPTIONAL = {
    "title": "Cod, buttered", "servings": 2,
    "sections": [
        {"lines": [{"text": "150 g cod", "food": "harbour:2"}]},
        {"name": "To serve", "optional": True, "lines": [{"text": "20 g butter", "food": "harbour:3"}]},
    ],
}  # fmt: skip


def test_a_recipe_of_which_only_what_may_be_added_changes_is_named(engine: Engine, shelf: Shelf) -> None:
    shelf.save_recipe(RecipeForm.model_validate(OPTIONAL))
    add_release(engine, [harbour("2026", changed("3", FAT=70))])
    changes = impact(shelf, HARBOUR, "2026")
    [one] = [one for _, one in changes.recipes if one.title == OPTIONAL["title"]]
    assert one.before is not None
    assert one.after is not None
    assert one.before.components == one.after.components
    rows = {row.what: (row.old, row.new) for row in comparison_rows(compared(shelf, HARBOUR), changes)
            if row.id == one.food_id}  # fmt: skip
    assert rows == {"Fat, one serving, with everything": ("8.6 g", "7.5 g")}


@pytest.mark.parametrize(("foods", "rows"), [
    (changed("3", NA=1000, FIBTG=0), [("NA, one serving", "64 mg", "100 mg")]),
    (changed("3", NA=1000, FAT=70), [("Fat, one serving", "8.1 g", "7.0 g")]),
    (changed("3", NA=643.0001), [("bounds, or figures by less than is shown", "", "")]),
], ids=["another component", "a main figure", "hardly"])  # fmt: skip
def test_what_changes_besides_the_main_figures_is_told(
    engine: Engine, shelf: Shelf, foods: dict[str, object], rows: list[tuple[str, str, str]]
) -> None:
    butter = {"title": "Butter", "servings": 2, "sections": [{"lines": [{"text": "20 g", "food": "harbour:3"}]}]}
    shelf.save_recipe(RecipeForm.model_validate(butter))
    add_release(engine, [harbour("2026", foods)])  # type: ignore[arg-type]
    found = comparison_rows(compared(shelf, HARBOUR), impact(shelf, HARBOUR, "2026"))
    assert [(row.what, row.old, row.new) for row in found if row.name.startswith("Butter (")] == rows


def test_an_entry_that_no_release_has_is_refused(shelf: Shelf) -> None:
    form = {"title": "Nothing", "sections": [{"lines": [{"text": "20 g butter", "food": "harbour:999"}]}]}
    with pytest.raises(NotFoundError, match="'harbour:999' in release 2025, which answers now"):
        shelf.save_recipe(RecipeForm.model_validate(form))


def test_a_line_whose_standing_choice_loses_its_entry_is_lost(engine: Engine, shelf: Shelf) -> None:
    form = {"title": "Spread cod", "sections": [{"lines": [{"text": "150 g cod"}, {"text": "20 g spread"}]}]}
    shelf.save_recipe(RecipeForm.model_validate(form))
    add_release(engine, [harbour("2026", {code: FOODS[code] for code in ("1", "2")})])
    [found] = [one for _, one in impact(shelf, HARBOUR, "2026").recipes if one.title == "Spread cod"]
    assert found.lost == (("20 g spread", "harbour:3"),)


@pytest.mark.parametrize("line", [{"text": "20 g spread"}, {"text": "20 g butter", "food": "harbour:3"}])
def test_what_is_lost_is_not_said_to_be_in_no_table(engine: Engine, shelf: Shelf, line: dict[str, str]) -> None:
    """In the recipe, and in one that it is part of."""
    inner = {"title": "Rubbed cod", "sections": [{"lines": [{"text": "150 g cod"}, line]}]}
    outer = {"title": "Plate", "sections": [{"lines": [{"text": "1 rubbed cod"}]}]}
    saved = [shelf.save_recipe(RecipeForm.model_validate(form)).document.food_id for form in (inner, outer)]
    add_release(engine, [harbour("2026", {code: FOODS[code] for code in ("1", "2")})])
    activate(engine, HARBOUR)
    shelf.catalogue.refresh()
    for recipe, named in zip(saved, (f"“{line['text']}”", "“1 rubbed cod” (in it “"), strict=True):
        worked = shelf.book().work_saved(recipe)
        notes = publication(worked, shelf.book().components).plain.notes
        cautions = [one.text for one in shelf.cautions(worked) if one.kind == "lower bound"]
        assert any(note.startswith(f"Not counted, the food that was chosen is no longer there: {named}")
                   for note in notes)  # fmt: skip
        assert any("is no longer there: not counted." in text for text in cautions)
        assert not any("table has an entry" in text for text in (*notes, *cautions))


def test_choices_that_were_exported_come_in_again_though_one_is_lost(engine: Engine, shelf: Shelf) -> None:
    shelf.save_own(OwnFoodForm(description="Pier bar", components={"FAT": 8}))
    shelf.save_choice(ChoiceForm(phrase="my bar", food="own:1"))
    add_release(engine, [harbour("2026", {code: FOODS[code] for code in ("1", "2")})])
    activate(engine, HARBOUR)
    shelf.catalogue.refresh()
    shelf.delete("own", 1)
    text = choices_csv(read_form(ChoiceForm, one.body) for one in shelf.documents("choice"))
    assert [one.title for one in shelf.lost_choices()] == ["spread", "my bar"]
    assert [one.title for one in shelf.save_choices(read_choices_csv(text))[0]] == ["weed", "spread", "my bar"]
    assert [one.title for one in shelf.lost_choices()] == ["spread", "my bar"]
    elsewhere = ChoiceForm(phrase="spread", food="harbour:3")
    assert len(shelf.save_choices([elsewhere], "pier")[0]) == 1, "a release that does not answer has it"
    for food in ("own:1", "harbour:99"):
        with pytest.raises(NotFoundError):
            shelf.save_choices([elsewhere, ChoiceForm(phrase="mine", food=food)], "quay")
    assert shelf.documents("choice", "quay") == []


def test_a_choice_that_another_replaces_meanwhile_is_not_said_to_stand(
    engine: Engine, shelf: Shelf, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What stands is looked at in the same state of the kitchen as what is saved."""
    add_release(engine, [harbour("2026", {code: FOODS[code] for code in ("1", "2")})])
    activate(engine, HARBOUR)
    shelf.catalogue.refresh()
    look, others = shelf._lost_as_sent, iter([ChoiceForm(phrase="spread", food="harbour:2")])

    def look_while_another_saves(*asked: Any) -> Any:
        found = look(*asked)
        for form in others:
            Shelf(shelf.catalogue).save_choice(form)
        return found

    monkeypatch.setattr(shelf, "_lost_as_sent", look_while_another_saves)
    sent = ChoiceForm(phrase="spread", food="harbour:3")
    [[saved], _] = shelf.save_choices([sent])
    assert (saved, saved.revision) == (shelf.document("choice", saved.number), 3)
    assert read_form(ChoiceForm, saved.body) == sent


def test_what_is_lost_already_is_no_change(engine: Engine, shelf: Shelf) -> None:
    form = {"title": "Spread cod", "sections": [{"lines": [{"text": "150 g cod"}, {"text": "20 g spread"}]}]}
    shelf.save_recipe(RecipeForm.model_validate(form))
    fewer = {code: FOODS[code] for code in ("1", "2")}
    for release in ("2026", "2027"):
        add_release(engine, [harbour(release, fewer)])
    activate(engine, HARBOUR, "2026")
    shelf.catalogue.refresh()
    assert impact(shelf, HARBOUR, "2027").recipes == ()


def test_a_lost_entry_names_the_code_that_its_food_has_now(engine: Engine) -> None:
    shelf = Shelf(Catalogue(engine, (HARBOUR,)))
    replace_release(engine, harbour("2025", linked={"3": ("pier:9",)}))
    shelf.catalogue.refresh()
    lines = [{"text": "100 g kelp", "food": "harbour:1"}, {"text": "20 g butter", "food": "harbour:3"}]
    shelf.save_recipe(RecipeForm.model_validate({"title": "Kelp in butter", "sections": [{"lines": lines}]}))
    shelf.save_choice(ChoiceForm.model_validate({"phrase": "spread", "food": "harbour:3"}))
    moved = {**{code: FOODS[code] for code in ("1", "2")}, "33": FOODS["3"]}
    add_release(engine, [harbour("2026", moved, linked={"33": ("pier:9",)})])
    rows = comparison_rows(compared(shelf, HARBOUR), impact(shelf, HARBOUR, "2026"))
    said = {row.what: row.new for row in rows if row.change in ("recipe changes", "standing choice changes")}
    assert said["“20 g butter”"].endswith("until the line has another food; the food is now harbour:33")
    assert said["food"] == "not in the table; the food is now harbour:33"


def test_what_answers_already_changes_nothing(engine: Engine, shelf: Shelf) -> None:
    add_release(engine, [harbour("2026", changed("1", FAT=9))])
    changes = impact(shelf, HARBOUR, "2025")
    assert (changes.active, changes.recipes) == ("2025", ())
    assert "release 2025 of harbour answers already" in by_what(compared(shelf, HARBOUR, "2026", "2025"), changes)


def test_a_dataset_that_is_not_in_use_changes_nothing(engine: Engine, shelf: Shelf) -> None:
    add_release(engine, [harbour("7", dataset="pier")])
    changes = impact(shelf, "pier", "7")
    assert (changes.active, changes.recipes) == (None, ())
    assert "pier is not among the datasets in use" in by_what(compared(shelf, "pier"), changes)


def test_the_figures_before_are_of_the_release_that_answers(engine: Engine, shelf: Shelf) -> None:
    for release, fat in (("2026", 5), ("2027", 9)):
        add_release(engine, [harbour(release, changed("1", FAT=fat))])
    found, changes = compared(shelf, HARBOUR, "2026", "2027"), impact(shelf, HARBOUR, "2027")
    assert "change from release 2025, which answers now, to release 2027" in by_what(found, changes)
    assert by_what(found, changes) in comparison_html(found, changes)


def test_by_default_the_active_release_is_compared_with_the_last_one(engine: Engine, shelf: Shelf) -> None:
    for release in ("2026", "2027"):
        add_release(engine, [harbour(release, changed("1", FAT=9))])
    found = compared(shelf, HARBOUR)
    assert (found.old.release, found.new.release, len(found.values)) == ("2025", "2027", 1)


@pytest.mark.parametrize(("dataset", "old", "new", "pointer"), [
    ("moon", None, None, ""), (HARBOUR, "1999", None, "/old"), (HARBOUR, None, "1999", "/new"),
])  # fmt: skip
def test_what_is_not_there_is_told(
    shelf: Shelf, dataset: str, old: str | None, new: str | None, pointer: str
) -> None:
    with pytest.raises(NotFoundError, match=r"in the store; there are: ") as caught:
        compared(shelf, dataset, old, new)
    assert caught.value.pointer == pointer


def test_a_comparison_in_print(engine: Engine, shelf: Shelf) -> None:
    marked = {**changed("1", FAT=9, CHOCDF="<0.5"), "4": ("<b>Dulse</b> & =1+1", {})}
    add_release(engine, [harbour("2026", marked)])
    found, changes = compared(shelf, HARBOUR), impact(shelf, HARBOUR, "2026")
    rows = [(row.change, row.id, row.what, row.old, row.new) for row in comparison_rows(found, changes)]
    assert ("value changed", "harbour:1", "FAT (g)", "0.6", "9") in rows
    assert ("value changed", "harbour:1", "CHOCDF (g)", "9.6", "<0.5") in rows
    assert ("recipe changes", "recipe:1", "Fat, one serving", "0.3 g", "4.5 g") in rows
    assert ("standing choice changes", "harbour:1", "food", "Kelp, raw", "Kelp, raw") in rows
    counted = counts(found, changes)
    assert (counted["recipes changed"], counted["values changed"], counted["foods added"]) == (2, 2, 1)
    page = comparison_html(found, changes)
    assert "&lt;b&gt;Dulse&lt;/b&gt;" in page
    assert "<b>" not in page
    text = comparison_csv(comparison_rows(found, changes))
    assert text.splitlines()[0] == ",".join(COLUMNS)
    assert len(text.splitlines()) == len(rows) + 1


# ---- what a revision was worked out by -----------------------------------------------------------------------------


def fat_of(shelf: Shelf, food_id: str, *, at: int | None = None) -> float | None:
    found = per_serving(shelf.book(at=at), food_id)
    assert found is not None
    return next(total.value for total in found.components if total.tagname == "FAT")


def test_an_old_figure_is_worked_out_by_the_release_it_was_saved_with(shelf: Shelf, engine: Engine) -> None:
    before, change = fat_of(shelf, "recipe:1"), shelf.book().change
    replace_release(engine, harbour("2026", changed("1", FAT=9)))
    shelf.catalogue.refresh()
    assert (before, fat_of(shelf, "recipe:1"), fat_of(shelf, "recipe:1", at=change)) == (0.3, 4.5, 0.3)
    assert [one.release for one in shelf.book(at=change).resolver.table.releases] == ["2025"]
    form = read_form(RecipeForm, shelf.document("recipe", 1).body)
    shelf.save_recipe(form, number=1)
    assert fat_of(shelf, "recipe:1", at=shelf.book().change) == 4.5
    assert fat_of(shelf, "recipe:1", at=change) == 0.3


def test_an_activation_and_the_way_back_are_changes_of_the_kitchen(shelf: Shelf, engine: Engine) -> None:
    """A change stands for one set of releases: what names it comes to the same figures again."""
    told = [(shelf.book().change, fat_of(shelf, "recipe:1"))]
    add_release(engine, [harbour("2026", changed("1", FAT=9))])
    for switch in (activate, roll_back, activate):
        switch(engine, HARBOUR)
        shelf.catalogue.refresh()
        told.append((shelf.book().change, fat_of(shelf, "recipe:1")))
    first = told[0][0]
    assert told == [(first, 0.3), (first + 1, 4.5), (first + 2, 0.3), (first + 3, 4.5)]
    assert [(change, fat_of(shelf, "recipe:1", at=change)) for change, _ in told] == told
    again = Shelf(Catalogue(engine, (HARBOUR,)))
    assert [(change, fat_of(again, "recipe:1", at=change)) for change, _ in told] == told


def test_a_save_after_an_activation_is_a_change_of_its_own(shelf: Shelf, engine: Engine) -> None:
    before = shelf.book().change
    replace_release(engine, harbour("2026", changed("1", FAT=9)))
    shelf.catalogue.refresh()
    form = read_form(RecipeForm, shelf.document("recipe", 1).body)
    saved = shelf.save_recipe(form, number=1, expected=1)
    assert (saved.document.change, saved.document.revision) == (before + 2, 2)
    again = shelf.save_recipe(form, number=1, expected=1)
    assert again.document == saved.document, "it is known though a release was activated in between"


@pytest.mark.parametrize("other", [False, True], ids=["saved by itself", "saved by another worker"])
def test_who_has_not_taken_an_activation_up_answers_as_of_before(shelf: Shelf, engine: Engine, other: bool) -> None:
    """Its change is the one that its figures are of; it takes the activation up where somebody saved since."""
    before = shelf.book().change
    replace_release(engine, harbour("2026", changed("1", FAT=9)))
    assert (shelf.book().change, fat_of(shelf, "recipe:1")) == (before, 0.3)
    saver = Shelf(Catalogue(engine, (HARBOUR,))) if other else shelf
    saved = saver.save_recipe(read_form(RecipeForm, shelf.document("recipe", 3).body))
    assert [one.release for one in shelf.book().resolver.table.releases] == ["2026"]
    assert (shelf.book().change, fat_of(shelf, "recipe:1")) == (saved.document.change, 4.5)
    assert [fat_of(shelf, "recipe:1", at=change) for change in (before, before + 1, before + 2)] == [0.3, 4.5, 4.5]


def test_a_release_that_cannot_be_read_stops_no_save(
    shelf: Shelf, engine: Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    replace_release(engine, harbour("2026", changed("1", FAT=9)))

    def broken(*_: object, **__: object) -> None:
        raise StoreError("is damaged")

    monkeypatch.setattr("service.wiring.load_table", broken)
    saved = shelf.save_recipe(read_form(RecipeForm, shelf.document("recipe", 1).body), number=1)
    assert (saved.document.revision, fat_of(shelf, "recipe:1")) == (2, 0.3)


def test_a_release_of_a_table_that_is_not_in_use_changes_no_figure(shelf: Shelf, engine: Engine) -> None:
    before = shelf.book().change
    replace_release(engine, harbour("1", dataset="pier"))
    assert shelf.book().change == before, "the first one was not answered without"
    replace_release(engine, harbour("2", dataset="pier"))
    shelf.catalogue.refresh()
    assert (shelf.book().change, fat_of(shelf, "recipe:1")) == (before + 1, 0.3)


def test_a_release_by_which_a_revision_was_worked_out_stays_whatever_foods_it_names(
    shelf: Shelf, engine: Engine
) -> None:
    """That a table lacked a food decided the figures too."""
    line = {"lines": [{"text": "2 cups of nothing known"}]}
    saved = shelf.save_recipe(RecipeForm.model_validate({"title": "Plate", "servings": 1, "sections": [line]}))
    shelf.delete("recipe", 2), shelf.delete("recipe", 1)
    with writing(engine) as connection:
        by = schema.table(schema.KitchenRelease)
        connection.execute(by.delete().where(by.c.change != saved.document.change))
    for release in ("2026", "2027", "2028", "2029"):
        replace_release(engine, harbour(release, {**FOODS, "4": ("Dulse, dried", {"FAT": 1})}))
        prune(engine, HARBOUR)
    assert [one.release for one in stored_releases(engine)] == ["2025", "2027", "2028", "2029"]


def test_a_change_whose_release_is_gone_is_refused(shelf: Shelf, engine: Engine) -> None:
    told = []
    for release in ("2026", "2027", "2028", "2029"):
        replace_release(engine, harbour(release, changed("1", FAT=9)))
        told.append(Shelf(Catalogue(engine, (HARBOUR,))).book().change)
    assert prune(engine, HARBOUR) == ("2026",)
    for reader in (shelf, Shelf(Catalogue(engine, (HARBOUR,)))):
        with pytest.raises(NotFoundError, match="release 2026 of harbour, which answered then, is no longer") as caught:
            reader.book(at=told[0])
        assert caught.value.pointer == "/at"
        assert fat_of(reader, "recipe:1", at=told[1]) == 4.5


def test_a_release_that_a_revision_was_worked_out_by_is_never_pruned(shelf: Shelf, engine: Engine) -> None:
    change = shelf.book().change
    for release in ("2026", "2027", "2028", "2029", "2030"):
        replace_release(engine, harbour(release, changed("1", FAT=9)))
        prune(engine, HARBOUR)
    assert [one.release for one in stored_releases(engine)] == ["2025", "2028", "2029", "2030"]
    shelf.catalogue.refresh()
    assert fat_of(shelf, "recipe:1", at=change) == 0.3
