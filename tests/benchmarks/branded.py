"""How time and memory of loading branded foods grow with their number, on generated invented products.

    python -m tests.benchmarks.branded [--foods 200000 500000 2000000] [--values 13] [--json] [--folder DIR]

Products and values stand in unlike orders, which is the hardest case: every block of a table is dealt out to every
part. Each size is loaded into a store by a process of its own, as `gramwright dataset fetch fdc-branded --file` does,
so that its peak of memory is its own. What to look at: `peak_mb` must hardly grow with the rows and stay below 500,
`cpu_us_per_food` must stay level (processor time, since others may be at work on the machine); `read_us_per_food` is
what of it is reading into release parts; a look-up by id and one by bar code must not grow.
"""

from __future__ import annotations

import argparse
import json
import resource
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import Engine

from importers.fdc import branded
from importers.release import ReleaseData
from service.store.engine import open_engine
from service.store.read import food_details, foods_of_gtin, stored_releases
from service.store.url import sqlite_url
from service.store.write import add_release, migrate

FIRST = 300_001  # ids have six and seven digits, as the publisher's have
CATEGORIES = ("Crispbread of the quay", "Pickles, jarred", "Smoked fish, tinned", "Sea lettuce crisps")
NUTRIENTS = (  # id, name, unit, number
    (1003, "Protein", "G", "203"), (1004, "Total lipid (fat)", "G", "204"),
    (1005, "Carbohydrate, by difference", "G", "205"), (1008, "Energy", "KCAL", "208"),
    (1079, "Fiber, total dietary", "G", "291"), (1087, "Calcium, Ca", "MG", "301"), (1089, "Iron, Fe", "MG", "303"),
    (1092, "Potassium, K", "MG", "306"), (1093, "Sodium, Na", "MG", "307"), (1253, "Cholesterol", "MG", "601"),
    (1257, "Fatty acids, total trans", "G", "605"), (1258, "Fatty acids, total saturated", "G", "606"),
    (2000, "Total Sugars", "G", "269"),
)
FOOD = "fdc_id,data_type,description,food_category_id,publication_date"
PRODUCT = ("fdc_id,brand_owner,brand_name,subbrand_name,gtin_upc,ingredients,not_a_significant_source_of,serving_size,"
           "serving_size_unit,household_serving_fulltext,branded_food_category,data_source,package_weight,"
           "modified_date,available_date,market_country,discontinued_date,preparation_state_code,trade_channel,"
           "short_description,material_code")
VALUE = "id,fdc_id,nutrient_id,amount,data_points,derivation_id,min,max,median,footnote,min_year_acquired"
NUTRIENT = "id,name,unit_name,nutrient_nbr,rank"


def write_download(folder: Path, foods: int, *, values: int = len(NUTRIENTS)) -> None:
    """A download of `foods` invented products with `values` values each, as FoodData Central writes its tables."""
    folder.mkdir(parents=True, exist_ok=True)
    _write(folder / "nutrient.csv", NUTRIENT, (
        f'"{number}","{name}","{unit}","{code}","{rank}"'
        for rank, (number, name, unit, code) in enumerate(NUTRIENTS, 1)))
    _write(folder / "food.csv", FOOD, (
        f'"{FIRST + k}","branded_food","{_name(k)}","","2024-10-31"' for k in range(foods)))
    _write(folder / "branded_food.csv", PRODUCT, (_product(k) for k in _spread(foods, 7919)))
    _write(folder / "food_nutrient.csv", VALUE, (
        f'"{k * values + n}","{FIRST + k}","{NUTRIENTS[n][0]}","{amount_of(k, n)}","","","","","","",""'
        for n in range(values) for k in _spread(foods, 104_729)))


def amount_of(k: int, n: int) -> float:
    """The amount of the nth nutrient in the kth product."""
    return (k * 31 + n * 17) % 9973 / 100


def _name(k: int) -> str:
    return f"HARBOUR STORES, {CATEGORIES[k % len(CATEGORIES)].upper()}, NO. {k}"


def _product(k: int) -> str:
    return (f'"{FIRST + k}","Harbour Stores","Quay","","{9_000_000_000_000 + k}","Rye, ""sea"" salt, water (tap)","",'
            f'"{30 + k % 50}.0","g","{1 + k % 3} piece","{CATEGORIES[k % len(CATEGORIES)]}","LI",'
            '"","","","","","","","",""')


def _spread(foods: int, step: int) -> Iterable[int]:
    """Every number below `foods` once, neighbours far apart; `step` is a prime that does not divide `foods`."""
    return ((k * step) % foods for k in range(foods))


def _write(path: Path, head: str, rows: Iterable[str]) -> None:
    quoted = ",".join(f'"{name}"' for name in head.split(","))
    with path.open("w", encoding="utf-8", newline="") as stream:
        stream.write(quoted + "\n")
        stream.writelines(row + "\n" for row in rows)


def load_once(folder: Path) -> dict[str, float]:
    """Load a download into a new store; seconds, counts, look-ups and this process's peak of memory."""
    before, store = _peak_mb(), folder.parent / f"{folder.name}.sqlite3"
    engine = open_engine(sqlite_url(store))
    migrate(engine)
    clock = _Clock()
    with clock.running("all"):
        add_release(engine, clock.each(branded.read_chunks(folder, scratch=folder.parent), "read"), active=True)
    foods = stored_releases(engine, branded.DATASET)[0].foods
    size = sum(path.stat().st_size for path in store.parent.glob(f"{store.name}*"))
    found = {
        "foods": foods, "seconds": round(clock.seconds["all"], 2),
        "cpu_us_per_food": round(clock.worked["all"] / foods * 1e6, 2),
        "read_us_per_food": round(clock.worked["read"] / foods * 1e6, 2),
        "store_bytes_per_food": round(size / foods, 1), **_look_ups(engine, foods),
        "peak_mb": round(_peak_mb(), 1), "started_with_mb": round(before, 1),
    }  # fmt: skip
    engine.dispose()
    return found


class _Clock:
    """Seconds by the clock and of the processor, by name."""

    def __init__(self) -> None:
        self.seconds: dict[str, float] = defaultdict(float)
        self.worked: dict[str, float] = defaultdict(float)

    @contextmanager
    def running(self, name: str) -> Iterator[None]:
        start, worked = time.perf_counter(), time.process_time()
        yield
        self.seconds[name] += time.perf_counter() - start
        self.worked[name] += time.process_time() - worked

    def each(self, parts: Iterator[ReleaseData], name: str) -> Iterator[ReleaseData]:
        """The parts, with the time that each takes to come."""
        while True:
            with self.running(name):
                part = next(parts, None)
            if part is None:
                return
            yield part


def _look_ups(engine: Engine, foods: int, *, times: int = 200) -> dict[str, float]:
    """Milliseconds of a look-up by id and of one by bar code, of foods all over the table."""
    clock, picked = _Clock(), [k * foods // times for k in range(times)]
    with clock.running("id"):
        for k in picked:
            food_details(engine, f"{branded.DATASET}:{FIRST + k}")
    with clock.running("gtin"):
        for k in picked:
            assert foods_of_gtin(engine, f"{9_000_000_000_000 + k:014}") == (f"{branded.DATASET}:{FIRST + k}",)
    return {f"ms_by_{name}": round(clock.seconds[name] / times * 1000, 2) for name in ("id", "gtin")}


def _peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def _measured(foods: int, values: int, folder: Path) -> dict[str, float]:
    place = folder / f"branded-{foods}"
    write_download(place, foods, values=values)
    command = [sys.executable, "-m", "tests.benchmarks.branded", "--load", str(place)]
    done = subprocess.run(command, check=True, capture_output=True, text=True)
    for file in (*place.iterdir(), *folder.glob(f"{place.name}.sqlite3*")):
        file.unlink()
    found: dict[str, float] = json.loads(done.stdout)
    return found


def main(arguments: list[str] | None = None) -> None:
    """Measure and print, see the module's text."""
    parser = argparse.ArgumentParser(description="Time and memory of loading generated branded foods.")
    parser.add_argument("--foods", type=int, nargs="+", default=[200_000, 500_000, 2_000_000])
    parser.add_argument("--values", type=int, default=len(NUTRIENTS))
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--folder", type=Path)
    parser.add_argument("--load", type=Path, help=argparse.SUPPRESS)
    options = parser.parse_args(arguments)
    if options.load:
        print(json.dumps(load_once(options.load)))
        return
    with tempfile.TemporaryDirectory(dir=options.folder) as folder:
        rows = [_measured(foods, options.values, Path(folder)) for foods in options.foods]
    if options.json:
        print(json.dumps(rows))
        return
    for row in rows:
        row["cpu_to_first"] = round(row["cpu_us_per_food"] / rows[0]["cpu_us_per_food"], 2)
        print("  ".join(f"{name} {value:,}" for name, value in row.items()))


if __name__ == "__main__":
    main()
