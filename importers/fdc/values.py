"""From rows of food_nutrient.csv to the values of a release."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from importers.check import Findings, check_unique
from importers.fdc.components import NUTRIENTS, Components, StandIn
from importers.fdc.rows import records
from importers.release import QUALIFIERS, CodeText, ReleaseValues

UNKNOWN = -1


@dataclass(frozen=True, slots=True, eq=False)
class Derivations:
    """How values were obtained; `place[derivation]` and `source[derivation]` are indices into the codes, the last
    code "" for none; `qualifier[place]` is an index into QUALIFIERS or UNKNOWN.
    """

    codes: tuple[CodeText, ...]
    sources: tuple[CodeText, ...]
    place: NDArray[np.int32]
    source: NDArray[np.int32]
    qualifier: NDArray[np.int8]


def _qualifiers() -> dict[str, int]:
    with Path(__file__).with_name("qualifiers.csv").open(encoding="utf-8", newline="") as stream:
        return {row["derivation"]: QUALIFIERS.index(row["qualifier"]) if row["qualifier"] in QUALIFIERS else UNKNOWN
                for row in csv.DictReader(stream)}


def read_derivations(derivations: pd.DataFrame, sources: pd.DataFrame, findings: Findings) -> Derivations:
    """Codes and texts of the two tables; a derivation's source must be known where sources are."""
    check_unique(findings, derivations, ["derivation"], file="food_nutrient_derivation.csv")
    check_unique(findings, sources, ["source"], file="food_nutrient_source.csv")
    source_place = dict(zip(sources["source"], range(len(sources)), strict=True))
    if len(sources):
        given = derivations["source"].dropna()
        findings.add_cells("no such source", given[~given.isin(source_place)].astype(int).items(),
                           file="food_nutrient_derivation.csv", column="source_id")
    place, source = np.full(NUTRIENTS, len(derivations), np.int32), np.full(NUTRIENTS, len(sources), np.int32)
    for k, row in enumerate(records(derivations)):
        if not 0 <= row.derivation < NUTRIENTS:  # no number, or none that may be: has been told
            continue
        place[int(row.derivation)] = k
        source[int(row.derivation)] = source_place.get(row.source, len(sources))
    special = _qualifiers()
    qualifier = np.array([special.get(code, 0) for code in derivations["code"]] + [0], np.int8)
    return Derivations(_texts(derivations), _texts(sources), place, source, qualifier)


def _texts(frame: pd.DataFrame) -> tuple[CodeText, ...]:
    return tuple(CodeText(code, text) for code, text in zip(frame["code"], frame["text"], strict=True))


def check_derivations(column: pd.Series, derivations: Derivations, findings: Findings) -> None:
    """Each derivation of a value, indexed by line, is known, if the publication has a table of them."""
    given = column.dropna()
    if derivations.codes:
        strange = given[derivations.place[given.to_numpy(np.int64)] == len(derivations.codes)]
        findings.add_cells("no such derivation", strange.astype(int).items(), file="food_nutrient.csv",
                           column="derivation_id")


@dataclass(frozen=True, slots=True, eq=False)
class ValueRows:
    """Columns of equal length: `food` an index, `nutrient` and `derivation` the publisher's numbers (0: none)."""

    food: NDArray[np.int32]
    nutrient: NDArray[np.int32]
    amount: NDArray[np.float64]
    samples: NDArray[np.int32]
    derivation: NDArray[np.int32]


def pack_values(rows: ValueRows, foods: int, components: Components,
                derivations: Derivations) -> tuple[ReleaseValues, dict[int, list[StandIn]]]:
    """The values in order of food and component, with those that stand in for absent ones, and of each food with
    such what stands in. Amounts above an unknown limit are left out.
    """
    qualifier = derivations.qualifier[derivations.place[rows.derivation]]
    kept = np.flatnonzero(qualifier != UNKNOWN)
    component = components.place[rows.nutrient[kept]]
    stated: dict[int, list[StandIn]] = {}
    taken, targets = [kept], [component]
    filled: dict[int, NDArray[np.bool_]] = {}
    for stand_in in components.stand_ins:
        present = filled.get(stand_in.target)
        if present is None:
            present = filled[stand_in.target] = np.zeros(foods, bool)
            present[rows.food[kept[component == stand_in.target]]] = True
        place = kept[rows.nutrient[kept] == stand_in.nutrient]
        place = place[~present[rows.food[place]]]
        present[rows.food[place]] = True
        taken.append(place)
        targets.append(np.full(len(place), stand_in.target, np.int32))
        for food in rows.food[place].tolist():
            stated.setdefault(food, []).append(stand_in)
    take, component = np.concatenate(taken), np.concatenate(targets)
    order = np.lexsort((component, rows.food[take]))
    take, component = take[order], component[order]
    derivation = rows.derivation[take]
    values = ReleaseValues(
        food=rows.food[take], component=component, amount=rows.amount[take], samples=rows.samples[take],
        standard_error=np.full(len(take), np.nan), source=derivations.source[derivation],
        derivation=derivations.place[derivation], source_codes=(*(text.code for text in derivations.sources), ""),
        derivation_codes=(*(text.code for text in derivations.codes), ""), qualifier=qualifier[take])
    return values, stated
