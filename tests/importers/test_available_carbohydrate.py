"""Available carbohydrate of three tables against SR28's total by difference less fibre, for 30 plain foods.

The tables take other samples and other methods (Fineli and AFCD sum sugars and starch, CIQUAL and SR28 take the rest
of 100 g), so that a food may differ by 4.5 g or a quarter; the medians tell whether a basis was mixed up: fibre
counted inside would move them by 13 to 18 points. Nuts and oil seeds are left out: there the rest of 100 g holds
much that is neither sugar nor starch (sunflower kernels: 11.4 g by difference, 3 g summed).
"""

from __future__ import annotations

import numpy as np
import pytest

from importers import afcd, ciqual, fineli
from service.core.food import FoodTable
from tests.importers.published import Read, amounts, published

# What, code in SR28, Fineli 20, CIQUAL 2020, AFCD 2. Source of each figure: that release's own files.
FOODS = (
    ("banana", "09040", "11049", "13005", "F000262"),
    ("apple", "09003", "28916", "13039", "F000092"),
    ("pear", "09252", "28917", "13037", "F006601"),
    ("orange", "09200", "11045", "13034", "F006277"),
    ("strawberry", "09316", "447", "13014", "F008952"),
    ("raspberry", "09302", "448", "13015", "F007619"),
    ("grape", "09132", "423", "13112", "F004260"),
    ("pineapple", "09266", "11056", "13002", "F006702"),
    ("blueberry", "09050", "442", "13028", "F001290"),
    ("peach", "09236", "11051", "13043", "F006573"),
    ("broccoli", "11090", "324", "20057", "F001905"),
    ("cauliflower", "11135", "322", "20016", "F002378"),
    ("spinach", "11457", "33456", "20059", "F008761"),
    ("carrot", "11124", "300", "20009", "F002276"),
    ("tomato", "11529", "352", "20047", "F009193"),
    ("onion", "11282", "335", "20034", "F006225"),
    ("celery", "11143", "339", "20023", "F002390"),
    ("cucumber", "11205", "346", "20019", "F003320"),
    ("potato", "11352", "205", "4008", "F007386"),
    ("white rice", "20444", "156", "9100", "F007682"),
    ("brown rice", "20036", "28910", "9102", "F007648"),
    ("rice flour", "20061", "182", "9520", "F003998"),
    ("white wheat flour", "20081", "110", "9436", "F004007"),
    ("wholemeal wheat flour", "20080", "28905", "9415", "F004014"),
    ("oats", "20038", "153", "9310", "F006143"),
    ("dry pasta", "20120", "121", "9810", "F006458"),
    ("dry lentils", "16069", "399", "20504", "F005182"),
    ("dry chickpeas", "16056", "31218", "20516", "F002881"),
    ("honey", "19296", "4", "31008", "F004380"),
    ("whole milk", "01077", "689", "19023", "F005634"),
)
TABLES: tuple[tuple[Read, str, str, int, float], ...] = (
    (fineli.read, "fineli/fineli_release20.zip", "CHOAVL", 2, -0.07),
    (ciqual.read, "ciqual", "CHOAVLDF", 3, -0.01),
    (afcd.read, "afcd", "CHOAVL", 4, -0.09),
)


def net(table: FoodTable, code: str) -> float:
    """CHOCDF - FIBTG of an SR28 food."""
    places = {c.tagname: k for k, c in enumerate(table.components)}
    row = next(k for k, one in enumerate(table.foods) if one.code == code)
    return float(table.amounts[row, places["CHOCDF"]] - table.amounts[row, places["FIBTG"]])


@pytest.mark.parametrize(("read", "place", "tagname", "column", "median"), TABLES, ids=["fineli", "ciqual", "afcd"])
def test_available_carbohydrate_is_total_less_fibre(sr28_table: FoodTable, read: Read, place: str, tagname: str,
                                                    column: int, median: float) -> None:
    release = published(read, place)
    ratios = []
    for one in FOODS:
        ours, theirs = amounts(release, one[column])[tagname], net(sr28_table, one[1])
        assert ours == pytest.approx(theirs, rel=0.25, abs=4.5), one[0]
        ratios.append(ours / theirs - 1)
    assert len(ratios) == 30
    assert np.median(ratios) == pytest.approx(median, abs=0.02)


# Factors in kJ/g or kcal/g of Regulation (EU) 1169/2011, Annex XIV; Standards Code of Australia and New Zealand,
# Schedule 11. Polyols have a factor of their own where they are inside the carbohydrate: POLYL is the difference.
ENERGY = (
    (fineli.read, "fineli/fineli_release20.zip", "ENERC_KJ",
     {"PROCNT": 17, "FAT": 37, "CHOAVL": 17, "FIBTG": 8}, 1.0),
    (ciqual.read, "ciqual", "ENERC_KCAL",
     {"PROCNT": 4, "FAT": 9, "CHOAVLDF": 4, "FIBTG": 2, "ALC": 7, "OA": 3, "POLYL": 2.4 - 4}, 0.5),
    (ciqual.read, "ciqual", "ENERC_KCAL_EU",
     {"PROCNT_625": 4, "FAT": 9, "CHOAVLDF": 4, "FIBTG": 2, "ALC": 7, "OA": 3, "POLYL": 2.4 - 4}, 0.5),
    (afcd.read, "afcd", "ENERC_KJ", {"PROCNT": 17, "FAT": 37, "CHOAVL": 17, "FIBTG": 8, "ALC": 29}, 2.0),
    (afcd.read, "afcd", "ENERC_KJ_NOFIB", {"PROCNT": 17, "FAT": 37, "CHOAVL": 17, "ALC": 29}, 2.0),
)


@pytest.mark.parametrize(("read", "place", "tagname", "factors", "most"), ENERGY,
                         ids=["fineli", "ciqual", "ciqual by the EU's", "afcd", "afcd without fibre"])
def test_energy_rests_on_the_factors_stated(read: Read, place: str, tagname: str, factors: dict[str, float],
                                            most: float) -> None:
    release = published(read, place)
    places = {c.tagname: k for k, c in enumerate(release.components)}
    matrix = release.matrix()
    energy = sum(factor * matrix[:, places[tag]] for tag, factor in factors.items())
    assert np.nanmedian(np.abs(matrix[:, places[tagname]] - energy)) < most
