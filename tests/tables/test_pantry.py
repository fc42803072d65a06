"""The pantry substances: their figures hold together, their names answer only where no national entry fits."""

from __future__ import annotations

import math
import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from service.core.analyse import Resolver, Tables
from service.core.errors import NotFoundError, TableError
from service.core.food import FoodTable
from service.core.label import LABEL_PART_OF, OwnFood, findings
from service.core.nutrients import US_SWEETENER_FACTORS
from service.core.polyols import POLYOL_NAMES
from service.core.vocabulary import Name
from service.tables import load_tables
from service.tables.pantry import FOLDER, GROUP, PANTRY, load_pantry, read_pantry, with_pantry

ALL = load_pantry()
TABLE = ALL.table
COLUMNS = {component.tagname: place for place, component in enumerate(TABLE.components)}
EXPECTED = {
    "allulose", "erythritol", "gelatine", "gluten", "guar", "inulin", "isomalt", "maltitol", "mct", "monkfruit",
    "psyllium", "sorbitol", "stevia", "whey_isolate", "xanthan", "xylitol",
}  # fmt: skip
foods = pytest.mark.parametrize("food", TABLE.foods, ids=[food.code for food in TABLE.foods])


def figures(code: str) -> dict[str, float]:
    """What is known of a substance per 100 g."""
    [place] = [place for place, food in enumerate(TABLE.foods) if food.code == code]
    return {name: float(TABLE.amounts[place, at]) for name, at in COLUMNS.items()
            if not math.isnan(TABLE.amounts[place, at])}  # fmt: skip


def test_the_release_counts_what_there_is() -> None:
    assert {food.code for food in TABLE.foods} == EXPECTED
    assert [food.id for food in TABLE.foods] == sorted(f"{PANTRY}:{code}" for code in EXPECTED)
    release = ALL.release
    assert (release.dataset, release.name, release.foods) == ("pantry", "Pantry substances", len(EXPECTED))
    assert release.components == len(TABLE.components)
    assert release.values == np.count_nonzero(~np.isnan(TABLE.amounts))


@foods
def test_every_value_has_its_origin_and_source(food) -> None:
    details = ALL.details(food.id)
    assert details.food is food
    assert {value.tagname: value.amount for value in details.values} == figures(food.code)
    assert all(value.source_text and value.derivation_text for value in details.values)
    assert "Source: " in details.footnotes[0]
    assert food.group_name == GROUP


@foods
def test_the_figures_of_a_substance_hold_together(food) -> None:
    known = figures(food.code)
    assert {"ENERC_KCAL", "PROCNT", "FAT", "CHOCDF", "FIBTG"} <= known.keys()
    for part, whole in LABEL_PART_OF.items():
        if part in known and whole in known:
            assert known[part] <= known[whole] + 1e-9, (part, whole)
    named = sum(known.get(tagname, 0.0) for tagname in POLYOL_NAMES)
    assert known["POLYL"] == pytest.approx(named)
    together = sum(known.get(name, 0.0) for name in ("WATER", "PROCNT", "FAT", "CHOCDF", "ASH", "ALC"))
    # a published pair of fat and carbohydrate need not meet 100 (SR28 48052: 100.0; 19177: 100.0)
    assert together == pytest.approx(100, abs=0.1)
    assert "NACL" not in known or known["NACL"] == pytest.approx(known["NA"] * 2.5 / 1000, abs=0.006)


# Energy by law of an EU label with the same figures; a substance as SR28 has it keeps that table's own factors.
@pytest.mark.parametrize("code", sorted(EXPECTED - {"gelatine", "gluten", "stevia", "monkfruit", "allulose"}))
def test_energy_is_that_of_the_law(code: str) -> None:
    known = figures(code)
    available = known["CHOCDF"] - known["FIBTG"]
    label = {name: known.get(name, 0.0) for name in ("PROCNT", "FAT", "FIBTG", "POLYL", "ERYTHL")}
    own = OwnFood(code, carbohydrate_basis="available", components={**label, "CHOAVLDF": available,
                                                                    "ENERC_KCAL": known["ENERC_KCAL"]})  # fmt: skip
    assert findings(own) == ()


# kcal and kJ per gram: Regulation (EU) 1169/2011 Annex XIV (erythritol 0; other polyols 2.4 and 10; fat 9 and 37);
# allulose 0.4 kcal/g, FDA guidance announced in 85 FR 66217.
ENERGIES = [
    ("erythritol", 0, 0), ("xylitol", 240, 1000), ("maltitol", 240, 1000), ("sorbitol", 240, 1000),
    ("isomalt", 228, 950), ("mct", 900, 3700), ("allulose", 40, 167.36),
]  # fmt: skip


@pytest.mark.parametrize(("code", "kcal", "kj"), ENERGIES, ids=[case[0] for case in ENERGIES])
def test_energy_set_by_law(code: str, kcal: float, kj: float) -> None:
    known = figures(code)
    assert (known["ENERC_KCAL"], known["ENERC_KJ"]) == (pytest.approx(kcal), pytest.approx(kj))


@pytest.mark.parametrize("tagname", POLYOL_NAMES)
def test_polyols_name_the_us_factor_beside_the_eu_one(tagname: str) -> None:
    if not (codes := [code for code in EXPECTED if figures(code).get(tagname)]):
        pytest.skip("no pantry substance of this polyol")
    [value] = [value for value in ALL.foods[f"{PANTRY}:{codes[0]}"].values if value.tagname == "ENERC_KCAL"]
    assert f"21 CFR 101.9(c)(1)(i)(F): {US_SWEETENER_FACTORS[POLYOL_NAMES[tagname]]:g} kcal/g" in value.derivation_text


def test_figures_carried_from_sr28_are_those_of_sr28(sr28_table: FoodTable) -> None:
    at = {food.code: place for place, food in enumerate(sr28_table.foods)}
    columns = {component.tagname: place for place, component in enumerate(sr28_table.components)}
    carried = [
        (value.derivation_text.removeprefix("SR28 "), value.tagname, value.amount)
        for details in ALL.foods.values() for value in details.values
        if value.derivation_text.startswith("SR28 ") and value.derivation_text[5:].isdigit()
    ]  # fmt: skip
    assert len(carried) > 20
    for code, tagname, amount in carried:
        assert amount == pytest.approx(sr28_table.amounts[at[code], columns[tagname]], abs=0.005), (code, tagname)


def test_an_unknown_substance_is_not_found() -> None:
    with pytest.raises(NotFoundError, match="pantry:sand"):
        ALL.details("pantry:sand")


# ---- bad rows --------------------------------------------------------------------------------------------------

BAD = [
    ("pantry.csv", "sand,Sand,available,,note,source", "carbohydrate_basis"),
    ("pantry.csv", "sand,Sand,total,,,source", "note"),
    ("pantry_values.csv", "sand,FAT,1,law,source", "code"),
    ("pantry_values.csv", "mct,FATT,1,law,source", "tagname"),
    ("pantry_values.csv", "mct,NA,-1,law,source", "code"),
    ("pantry_values.csv", "mct,K,some,law,source", "amount"),
    ("pantry_values.csv", "mct,K,1,hearsay,source", "origin"),
    ("pantry_values.csv", "mct,K,1,law,", "source"),
    ("pantry_names.csv", "sand,name,sand,common usage", "code"),
    ("pantry_names.csv", "sand,absent,mct,common usage", "code"),
    ("pantry_names.csv", "erythritol,name,mct,common usage", "form"),
    ("pantry_densities.csv", "sand,,1.5,sand,,2,3,source", "low"),
]


@pytest.mark.parametrize(("file", "row", "column"), BAD)
def test_a_bad_row_is_refused_with_its_place(tmp_path: Path, file: str, row: str, column: str) -> None:
    for path in FOLDER.glob("pantry*.csv"):
        shutil.copy(path, tmp_path)
    with (tmp_path / file).open("a", encoding="utf-8") as table:
        table.write(f"{row}\n")
    with pytest.raises(TableError, match=rf"^{file}:\d+:{column}: "):
        read_pantry(tmp_path)


# ---- beside the national tables --------------------------------------------------------------------------------


def national(*names: tuple[str, str, str | None]) -> Tables:
    rows = tuple(Name(form, kind, frozenset(), food_id, "") for form, kind, food_id in names)
    return replace(load_tables(), names=rows)


NAMES = [
    ("absent", None, "pantry:xanthan"),
    ("near", "sr28:42281", "pantry:xanthan"),
    ("default", "sr28:42281", "pantry:xanthan"),
    ("name", "sr28:42281", "sr28:42281"),
    ("regional", "sr28:42281", "sr28:42281"),
    ("trade", "sr28:42281", "sr28:42281"),
    ("name", "sr28:99999", "pantry:xanthan"),  # an entry that is not in use
]


@pytest.mark.parametrize(("kind", "food_id", "answers"), NAMES)
def test_a_name_yields_to_a_national_entry_that_fits(kind: str, food_id: str | None, answers: str) -> None:
    tables = with_pantry(national(("xanthan gum", kind, food_id)), ALL, {"sr28:42281"})
    assert [name.food_id for name in tables.names if name.form == "xanthan gum"] == [answers]


@pytest.mark.parametrize("kind", ["near", "default"])
def test_a_near_name_of_the_pantry_yields_to_a_near_entry(kind: str) -> None:
    tables = with_pantry(national(("xylitol sweetener", kind, "sr28:42281")), ALL, {"sr28:42281"})
    assert [name.food_id for name in tables.names if name.form == "xylitol sweetener"] == ["sr28:42281"]


def test_a_substance_with_a_national_entry_answers_no_name_beside_it() -> None:
    beside = with_pantry(national(), ALL, {"sr28:19177"})
    assert "pantry:gelatine" not in {name.food_id for name in beside.names}
    alone = with_pantry(national(), ALL, {"pantry:gelatine"})
    assert "pantry:gelatine" in {name.food_id for name in alone.names}


def test_national_entries_of_substances_exist(sr28_table: FoodTable) -> None:
    assert set(ALL.national.values()) <= {food.id for food in sr28_table.foods}
    assert ALL.national.keys() <= ALL.foods.keys()


def test_other_names_stay() -> None:
    before = load_tables()
    after = with_pantry(before, ALL, {name.food_id for name in before.names if name.food_id})
    forms = {name.form for name in ALL.names}
    assert [n for n in after.names if n.form not in forms] == [n for n in before.names if n.form not in forms]
    assert len({(name.form, name.when) for name in after.names}) == len(after.names)


@pytest.fixture(scope="module")
def pantry_resolver() -> Resolver:
    """A resolver over the pantry alone."""
    return Resolver(TABLE, with_pantry(load_tables(), ALL, {food.id for food in TABLE.foods}))


@pytest.fixture(scope="module")
def resolve(pantry_resolver: Resolver) -> Callable[[str], tuple[str, str | None]]:
    """The (outcome, pantry code) of a line that names one food."""

    def answer(line: str) -> tuple[str, str | None]:
        [part] = pantry_resolver.resolve(line).parts
        return part.outcome, part.food.code if part.food and part.outcome != "no_match" else None

    return answer


@pytest.mark.parametrize("name", [n for n in ALL.names if n.food_id], ids=lambda name: name.form)
def test_every_name_answers(resolve, name: Name) -> None:
    outcome, code = resolve(f"20 g {name.form}")
    assert f"{PANTRY}:{code}" == name.food_id
    assert outcome == ("check" if name.kind in ("near", "default") else "resolved")


@pytest.mark.parametrize("name", [n for n in ALL.names if n.food_id is None], ids=lambda name: name.form)
def test_what_is_something_else_has_no_entry(resolve, name: Name) -> None:
    assert resolve(f"20 g {name.form}") == ("no_match", None)


# Blends, syrups and foods made with a substance are not that substance.
OTHERS = [
    "2 tbsp monk fruit and erythritol blend", "1/4 cup monkfruit/erythritol sweetener", "2 pieces xylitol gum",
    "60 ml allulose syrup", "1 tbsp liquid inulin", "30 g vanilla whey isolate", "4 drops liquid monk fruit extract",
    "2 tsp MCT powder", "1 tbsp psyllium seeds",
]  # fmt: skip


@pytest.mark.parametrize("line", OTHERS)
def test_blends_and_syrups_have_no_silent_answer(resolve, line: str) -> None:
    assert resolve(line)[0] != "resolved"


# Grams of a US tablespoon (14.79 ml), common kitchen practice as the rows say.
TABLESPOONS = [
    ("granulated erythritol", 10, 14), ("powdered erythritol", 6, 12), ("psyllium husk", 4, 7),
    ("psyllium husk powder", 7, 11), ("xanthan gum", 7, 11), ("MCT oil", 13.7, 14.2), ("inulin powder", 5, 10),
    ("allulose", 10, 14), ("whey isolate", 4, 7.5), ("guar gum", 7, 11), ("vital gluten", 6, 9),
]  # fmt: skip


@pytest.mark.parametrize(("name", "low", "high"), TABLESPOONS, ids=[row[0] for row in TABLESPOONS])
def test_volumes_weigh_what_the_substance_does(pantry_resolver: Resolver, name: str, low: float, high: float) -> None:
    [part] = pantry_resolver.resolve(f"1 tbsp {name}").parts
    assert part.grams is not None
    assert part.grams.value is not None
    assert low < part.grams.value < high
    assert part.grams.low < part.grams.value < part.grams.high
