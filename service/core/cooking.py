"""What cooking leaves of 100 g of a raw food, by the name that a cook gives the treatment.

    component kept   amount x retention factor                     USDA Table of Nutrient Retention Factors, release 6
    cooked weight    100 g x yield factor                          USDA Table of Cooking Yields, release 2, SR28 pairs
    fat              fat lost is a share of the food's own fat; fat taken up from frying is grams per 100 g raw
    alcohol          ethanol x share kept by treatment and time    retention factors, codes 5001 to 5010
    water            what closes the balance: change of weight - change of fat + ethanol lost
    energy           - fat factor x fat lost + 8.84 x fat taken up - 6.93 x ethanol lost, kcal per gram

Retention touches vitamins, minerals and ethanol only: protein, carbohydrate and ash stay as they are. Which row of a
table applies follows from the kind of food, the most specific first; what no row covers is counted as raw, and says
so; but the fat that it takes up in frying is then unknown, never nothing. A publisher's entry that is cooked already
is never cooked again.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from difflib import get_close_matches
from functools import lru_cache
from typing import Literal

import numpy as np

from service.core.errors import NotFoundError
from service.core.food import FoodEntry
from service.core.nutrients import Array
from service.core.text import fold, singular

# kcal per gram. Ethanol: SR28 counts 6.93; fat: Agriculture Handbook 74, of meat 9.02 and of vegetable oil 8.84.
ETHANOL_ENERGY, FAT_ENERGY, OIL_ENERGY = 6.93, 9.02, 8.84
KILOJOULES = 4.184

Losses = Literal["drained", "fried", "fat eaten", "eaten"]
# What notes on the fat in the pan begin with.
FRYING_FAT = "frying fat"
# Columns of the retention table, and the components that keep the same share: USDA gives one factor for all of them.
RETAINED: Mapping[str, tuple[str, ...]] = {
    **dict.fromkeys("CA FE MG P K NA ZN CU VITC THIA RIBF NIA VITB6A CHOLN ALC".split(), ()),
    "FOL": ("FOLAC", "FOLFD", "FOLDFE"),
    "VITB12": ("578",),
    "VITA": ("VITA_RAE", "VITA_IU", "RETOL"),
    "CARTB": ("CARTA", "CRYPX", "LYCPN", "LUT+ZEA"),
}
_STEPPED = frozenset(RETAINED).union(*RETAINED.values())
# Retention factors are published in steps of 5 % (USDA retention factors, release 6): true within half a step.
HALF_STEP = 0.025
# What the note on a treatment says where the food is cooked already.
NOT_APPLIED = "not applied"
_FATTY_ACID = re.compile(r"F\d+D\d+.*|FASAT|FAMS|FAPU|FATRN[MP]?|665|666|856")
# What a frying fat may bring beside its fatty acids.
_IN_FAT = frozenset(
    """
    CHOLE PHYSTR STID7 CAMD5 SITSTR TOCPHA TOCPHB TOCPHG TOCPHD TOCTRA TOCTRB TOCTRG TOCTRD VITK1 VITK1D MK4 VITD
    VITD_IU CHOCAL ERGCAL VITA_RAE VITA_IU RETOL
    """.split()
)
_COOKED = re.compile(
    r"\b(?:cooked|precooked|boiled|roasted|baked|braised|broiled|browned|grilled|fried|steamed|simmered|stewed|toasted"
    r"|microwaved|canned|poached|scrambled|sauteed|rotisserie|barbecued|heated|reheated|mashed|souffle|gratin"
    r"|home-prepared|home recipe|prepared with (?:water|milk))\b|, prepared$"
)
_FRIED = re.compile(r"\bfried\b")
_RAW = frozenset("raw unprepared uncooked unheated unbaked dough".split())
# Groups of dishes that are sold or served cooked.
_PREPARED = ("baked products", "fast foods", "restaurant", "meals, entrees", "soups", "snacks", "baby foods")
_WORD = re.compile(r"[a-z]+")
_FRYING_FAT = re.compile(
    r"\b(?:for (?:(?:deep|shallow|pan)[ -]?)?frying|to (?:(?:deep|shallow)[ -]?)?fry|for the fryer)\b"
)


@dataclass(frozen=True, slots=True)
class Treatment:
    """A treatment by the name that a cook uses.

    retention, yields  methods of those tables, tried in this order
    alcohol            the method of the retention table that says how much ethanol is kept, "" where no time is said
    losses             "drained": juices and fat leave the food; "fried": they do, and frying fat comes in; "fat eaten":
                       the water leaves; "eaten": nothing leaves
    """

    name: str
    retention: tuple[str, ...]
    yields: tuple[str, ...]
    alcohol: str
    losses: Losses
    source: str


@dataclass(frozen=True, slots=True)
class FoodKind:
    """A kind of food that tables speak of.

    group     the group's name must begin with one of these; none: any group
    words     all must be in the description; without: none of these
    fat_from, fat_below   grams of fat per 100 g raw, None: any
    """

    name: str
    group: tuple[str, ...]
    words: frozenset[str]
    without: frozenset[str]
    fat_from: float | None = None
    fat_below: float | None = None

    def fits(self, group: str, words: frozenset[str], fat: float) -> bool:
        """Whether a food of this group, description and fat is one; a food without a group goes by its words."""
        in_group = not self.group or (group.startswith(self.group) if group else bool(self.words))
        if not in_group or not self.words <= words or self.without & words:
            return False
        if self.fat_from is not None and not fat >= self.fat_from:
            return False
        return self.fat_below is None or fat < self.fat_below

    @property
    def rank(self) -> tuple[int, bool, bool]:
        """How specific it is."""
        return len(self.words), self.fat_from is not None or self.fat_below is not None, bool(self.group)


@dataclass(frozen=True, slots=True)
class Retention:
    """Shares of 1 that a method leaves of components, by the names of RETAINED; `code` is the publisher's."""

    kind: str
    method: str
    code: str
    shares: Mapping[str, float]
    source: str


@dataclass(frozen=True, slots=True)
class CookingYield:
    """Weight and fat after a method.

    words, without      as of a kind, of the cut
    factor, low, high   grams cooked per gram raw
    fat_change, ...     grams per 100 g raw; a loss is that of a food with `raw_fat` g of fat and scales with fat,
                        a gain is fat taken up from frying
    """

    kind: str
    words: frozenset[str]
    without: frozenset[str]
    method: str
    factor: float
    low: float
    high: float
    fat_change: float
    fat_low: float
    fat_high: float
    raw_fat: float | None
    source: str

    def fat_change_of(self, fat: float) -> tuple[float, float, float]:
        """(value, low, high) change of fat in 100 g raw of a food with this much fat; it loses no more than it has.

        Unknown fat gives unknown changes.
        """
        scale = 1.0 if not self.raw_fat else fat / self.raw_fat
        found = [change * scale if change < 0 else change for change in (self.fat_change, self.fat_low, self.fat_high)]
        value, low, high = (change if math.isnan(fat) else max(change, -fat) for change in found)
        return value, low, high


@dataclass(frozen=True, slots=True, eq=False)
class Treated:
    """What a treatment leaves of 100 g raw.

    row            amounts in what is left, NaN where unknown
    yield_factor   grams cooked per gram raw, with bounds; None where no table gives it: weigh the dish, or state its
                   yield. Ethanol that boils off is taken from the weight without bounds
    fat_change     grams of fat per 100 g raw, below 0 lost, above 0 taken up, None where unknown; its bounds
                   are None too where they hang on unknown fat
    absorbs        frying fat is taken up, nobody knows how much: what hangs on fat is unknown, though not below `least`
    least, most    `row` at the bounds of the change of fat, with what hangs on fat, and of the retention factors; None
                   where nothing does
    notes          what was done, by which rows of which tables, and what could not be
    """

    row: Array
    yield_factor: float | None
    notes: tuple[str, ...]
    yield_low: float | None = None
    yield_high: float | None = None
    fat_change: float | None = None
    fat_low: float | None = None
    fat_high: float | None = None
    absorbs: bool = False
    least: Array | None = None
    most: Array | None = None


class CookingTables:
    """Treatments, kinds of food, retention factors and yields; `spellings` are other names of treatments."""

    def __init__(
        self,
        treatments: Iterable[Treatment],
        spellings: Mapping[str, str],
        kinds: Iterable[FoodKind],
        retention: Iterable[Retention],
        yields: Iterable[CookingYield],
    ) -> None:
        self.treatments, self.spellings = {one.name: one for one in treatments}, dict(spellings)
        self.kinds = tuple(sorted(kinds, key=lambda kind: kind.rank, reverse=True))
        self._kinds_by_word: dict[str, list[tuple[int, FoodKind]]] = {}
        for order, kind in enumerate(self.kinds):
            self._kinds_by_word.setdefault(max(kind.words, key=len, default=""), []).append((order, kind))
        self.retention = {(one.kind, one.method): one for one in retention}
        self.yields = tuple(yields)
        self._yields_by_kind: dict[str, list[CookingYield]] = {}
        for one in self.yields:
            self._yields_by_kind.setdefault(one.kind, []).append(one)
        self._named = {_plain(name): name for name in self.treatments}
        self._named |= {_plain(spelling): name for spelling, name in spellings.items()}

    def treatment(self, name: str) -> Treatment:
        """The treatment of this name or another spelling of it; NotFoundError names the known ones."""
        plain = _plain(name)
        if plain in self._named:
            return self.treatments[self._named[plain]]
        near = get_close_matches(plain, self._named, n=1)
        hint = f" (did you mean {self._named[near[0]]!r}?)" if near else ""
        known = "; ".join(self.treatments)
        raise NotFoundError(f"no treatment is called {name!r}{hint}; known are: {known}", pointer="/treatment")

    def knows(self, name: str) -> bool:
        """Whether a treatment is called so."""
        return _plain(name) in self._named

    def kind(self, food: FoodEntry, fat: float = math.nan) -> FoodKind | None:
        """The most specific kind that a food with `fat` g of fat per 100 g is of."""
        group, words = _folded(food.group_name), _words(food.description)
        near = (pair for word in (*words, "") for pair in self._kinds_by_word.get(word, ()))
        return min((pair for pair in near if pair[1].fits(group, words, fat)), default=(0, None))[1]

    def treat(
        self,
        row: Array,
        food: FoodEntry,
        treatment_name: str,
        columns: Mapping[str, int],
        *,
        frying_fat: Array | None = None,
    ) -> Treated:
        """What a treatment leaves of 100 g of a raw food; `columns` are the places of tagnames in `row`.

        `frying_fat` is the row of the fat that is taken up. Without it, what such a fat may hold becomes unknown,
        beside fat itself and energy. NotFoundError for an unknown treatment.
        """
        treatment = self.treatment(treatment_name)
        spirited = bool(treatment.alcohol) and _at(row, columns, "ALC") > 0
        if not spirited and (reason := cooked_already(food)):
            treated = Treated(row, None, (f"{treatment.name}: {NOT_APPLIED}, the entry is {reason} already",))
            # What was boiled or baked before takes up frying fat like anything else.
            again = treatment.losses == "fried" and not _FRIED.search(_folded(food.description))
            return _soaked(treated, food, 0.0, columns) if again else treated
        kind = self.kind(food, _at(row, columns, "FAT"))
        left, notes = self._retained(row, kind, treatment, columns)
        left, lost, alcohol_notes = self._without_alcohol(left, treatment, columns)
        steps = [_step(row, left, columns, sign) for sign in (-1, 1)]
        found = self._yield(food, kind, treatment)
        if found is None:
            treated = _unweighed(left, treatment, lost)
            if treatment.losses == "fried":
                treated = _soaked(treated, food, self._most_lost(food, kind, _at(row, columns, "FAT")), columns)
        else:
            treated = _weighed(left, food, found, treatment, columns, lost=lost, frying_fat=frying_fat)
        treated = _spread(treated, *steps) if any(step.any() for step in steps) else treated
        return replace(treated, notes=(*notes, *alcohol_notes, *treated.notes))

    def _retained(
        self, row: Array, kind: FoodKind | None, treatment: Treatment, columns: Mapping[str, int]
    ) -> tuple[Array, tuple[str, ...]]:
        """The row with what is kept of vitamins and minerals."""
        # Of drinks with alcohol the publisher counts all else as kept.
        if not treatment.retention or (kind is None and treatment.alcohol and _at(row, columns, "ALC") > 0):
            return row.copy(), ()
        found = None
        if kind is not None:
            methods = (self.retention.get((kind.name, method)) for method in treatment.retention)
            found = next((one for one in methods if one is not None), None)
        if found is None:
            what = "this kind of food" if kind is None else kind.name
            note = f"no retention factors for {what}, {treatment.name}: vitamins and minerals are counted as raw"
            return row.copy(), (note,)
        note = f"vitamins and minerals kept as of {found.kind}, {found.method} ({found.source})"
        return _scaled(row, found.shares, columns), (note,)

    def _without_alcohol(
        self, row: Array, treatment: Treatment, columns: Mapping[str, int]
    ) -> tuple[Array, float, tuple[str, ...]]:
        """The row without the ethanol that leaves, and how many grams do."""
        held = _at(row, columns, "ALC")
        if not held > 0:
            return row, 0.0, ()
        if not treatment.alcohol:
            note = 'no time is said for the alcohol: all of it is counted; "simmered 30 min" says what is kept'
            return row, 0.0, (note,)
        found = self.retention[("alcohol", treatment.alcohol)]
        left = _scaled(row, {"ALC": found.shares["ALC"]}, columns)
        lost = held * (1 - found.shares["ALC"])
        _add_energy(left, columns, -ETHANOL_ENERGY * lost)
        return left, lost, (f"{found.shares['ALC']:.0%} of the alcohol kept ({found.source})",)

    def _yield(self, food: FoodEntry, kind: FoodKind | None, treatment: Treatment) -> CookingYield | None:
        """The yield of the first method that has one for this food, of the cut with most words."""
        if kind is None or treatment.losses == "eaten":
            return None
        fitting = self._fitting(food, kind)
        for method in treatment.yields:
            if of_method := [one for one in fitting if one.method == method]:
                return max(of_method, key=lambda one: len(one.words))
        return None

    def _most_lost(self, food: FoodEntry, kind: FoodKind | None, fat: float) -> float:
        """The most that a method of the tables takes from the fat of this food, as a change: 0 or below."""
        fitting = () if kind is None else self._fitting(food, kind)
        return min((one.fat_change_of(fat)[1] for one in fitting if one.fat_low < 0), default=0.0)

    def _fitting(self, food: FoodEntry, kind: FoodKind) -> list[CookingYield]:
        """The yields of this food by any method."""
        words = _words(food.description)
        of_kind = self._yields_by_kind.get(kind.name, ())
        return [one for one in of_kind if one.words <= words and not one.without & words]


# ---- what is left ----------------------------------------------------------------------------------------------


def _step(row: Array, left: Array, columns: Mapping[str, int], sign: int) -> Array:
    """How far what is kept may be off, since factors are published in steps: at most by all that was there."""
    step = np.zeros_like(row)
    for tagname in _STEPPED & columns.keys():
        before, after = _at(row, columns, tagname), _at(left, columns, tagname)
        if before > 0 and after < before:
            step[columns[tagname]] = min(max(after + sign * HALF_STEP * before, 0.0), before) - after
    _add_change(step, columns, ETHANOL_ENERGY * float(step[columns["ALC"]]) if "ALC" in columns else 0.0)
    return step


def _add_change(step: Array, columns: Mapping[str, int], kcal: float) -> None:
    for tagname, by in (("ENERC_KCAL", 1.0), ("ENERC_KJ", KILOJOULES)):
        if tagname in columns:
            step[columns[tagname]] += kcal * by


def _spread(treated: Treated, down: Array, up: Array) -> Treated:
    """The bounds of what is left, by the steps of retention beside the change of fat."""
    least = treated.row if treated.least is None else treated.least
    most = treated.row if treated.most is None else treated.most
    return replace(treated, least=np.maximum(least + down, 0.0), most=most + up)


def _unweighed(row: Array, treatment: Treatment, lost: float) -> Treated:
    """Without a yield: only ethanol that left is off the weight."""
    if treatment.losses == "eaten":
        note = "liquid and juices are eaten: nothing but what boils off leaves the dish"
    else:
        note = f"no yield is known for this food, {treatment.name}: its weight is counted as raw; weigh the dish"
    return Treated(row, 1 - lost / 100 if lost else None, (note,))


def _soaked(treated: Treated, food: FoodEntry, lost: float, columns: Mapping[str, int]) -> Treated:
    """With frying fat of which no table tells how much: no less than the food keeps of its own, nobody knows how much.

    `lost` is the change of its own fat, 0 or below, NaN where that fat is not known.
    """
    row = treated.row.copy()
    row[[place for tagname, place in columns.items() if _hangs_on_fat(tagname)]] = np.nan
    least = row.copy() if math.isnan(lost) else treated.row.copy()
    if lost < 0:
        _change_fat(least, food, lost, columns, None)
    kept = "the food before" if lost == 0 else "what it keeps of its own"
    note = f"{FRYING_FAT}: the fat it takes up in frying is not known; fat and energy are no less than those of {kept}"
    return replace(treated, row=row, least=least, most=row, absorbs=True, notes=(*treated.notes, note))


def _weighed(
    row: Array,
    food: FoodEntry,
    found: CookingYield,
    treatment: Treatment,
    columns: Mapping[str, int],
    *,
    lost: float,
    frying_fat: Array | None,
) -> Treated:
    """With a yield: fat first, then water closes the balance of weight."""
    change, low, high = found.fat_change_of(_at(row, columns, "FAT"))
    factor, least, most = found.factor, found.low, found.high
    if treatment.losses == "fat eaten" and found.fat_change < 0:
        # The weight of the fat that ran out stays in the dish.
        factor, least, most = (one - found.fat_change / 100 for one in (factor, least, most))
        change = low = high = 0.0
    left = row.copy()
    _change_fat(left, food, change, columns, frying_fat)
    factor = _balance_water(left, columns, factor, change, lost)
    note = f"cooked weight {factor:.0%} of raw, {found.method} ({found.source})"
    notes = (note, *_fat_notes(change, found, frying_fat))
    treated = Treated(left, factor, notes, min(least, factor), max(most, factor))
    if math.isnan(low):  # unknown fat; yet what is taken up may be known
        return replace(treated, fat_change=change if change > 0 else None)
    ends = _ends_of_fat(row, food, (low, high), columns, frying_fat, fried=change > 0)
    of_fat = [place for tagname, place in columns.items() if _hangs_on_fat(tagname)]
    bounds = left.copy(), left.copy()
    for bound, end, farther in zip(bounds, ends, (np.fmin, np.fmax), strict=True):
        bound[of_fat] = farther(left[of_fat], end[of_fat])
    return replace(treated, fat_change=change, fat_low=low, fat_high=high, least=bounds[0], most=bounds[1])


def _ends_of_fat(
    row: Array, food: FoodEntry, changes: tuple[float, float], columns: Mapping[str, int], frying_fat: Array | None,
    *, fried: bool,
) -> tuple[Array, Array]:  # fmt: skip
    """`row` with what hangs on fat at both ends of a change of fat.

    Of a fat of which nobody knows what it holds, nothing or all may be of one kind. What else such a fat may bring has
    no end where food is `fried`; elsewhere a gain is but the spread of measuring.
    """
    ends = row.copy(), row.copy()
    for end, change in zip(ends, changes, strict=True):
        _change_fat(end, food, change, columns, frying_fat)
    least, most = ends
    if frying_fat is None and changes[1] > 0:
        for tagname, place in columns.items():
            if _is_fat(tagname):
                most[place] = row[place] + changes[1]
            elif tagname in _IN_FAT and not fried:
                most[place] = row[place]
    return np.where(np.isnan(least), row, least), most


def _fat_notes(change: float, found: CookingYield, frying_fat: Array | None) -> list[str]:
    if math.isnan(change):
        return ["the fat of this food is unknown, so is what it loses"]
    if change < 0:
        return [f"{-change:.1f} g of fat per 100 g raw left behind"]
    if change == 0:
        return []
    note = f"{change:.1f} g of frying fat taken up per 100 g raw ({found.fat_low:g} to {found.fat_high:g} g)"
    unsaid = "" if frying_fat is not None else "; its fatty acids are unknown"
    return [f"{note}{unsaid}; a line for the fat in the pan would count it twice: set its share eaten to 0"]


def _change_fat(
    row: Array, food: FoodEntry, change: float, columns: Mapping[str, int], frying_fat: Array | None
) -> None:
    """Takes lost fat out of `row`, with its fatty acids and energy, or puts what is taken up in."""
    if change > 0:
        _take_up(row, change, columns, frying_fat)
        return
    fat = _at(row, columns, "FAT")
    if change == 0 or fat == 0:
        return
    kept = 1 + change / fat
    for tagname, place in columns.items():
        if _is_fat(tagname):
            row[place] *= kept
    _add_energy(row, columns, (food.fat_factor or FAT_ENERGY) * change)


def _take_up(row: Array, grams: float, columns: Mapping[str, int], frying_fat: Array | None) -> None:
    if frying_fat is not None:
        row += frying_fat * (grams / 100)
        return
    for tagname, place in columns.items():
        if tagname == "FAT":
            row[place] += grams
        elif tagname in _IN_FAT or _is_fat(tagname):
            row[place] = np.nan
    _add_energy(row, columns, OIL_ENERGY * grams)


def _balance_water(row: Array, columns: Mapping[str, int], factor: float, change: float, lost: float) -> float:
    """Puts the water in `row` that closes the balance; a food gives no more than it has, then it weighs more."""
    moved = 100 * (factor - 1) - (0.0 if math.isnan(change) else change) + lost
    water = _at(row, columns, "WATER")
    if "WATER" in columns:
        row[columns["WATER"]] = max(0.0, water + moved) if not math.isnan(water) else water
    return factor if math.isnan(water) else factor + max(0.0, -(water + moved)) / 100


def _scaled(row: Array, shares: Mapping[str, float], columns: Mapping[str, int]) -> Array:
    left = row.copy()
    for name, share in shares.items():
        for tagname in (name, *RETAINED[name]):
            if tagname in columns:
                left[columns[tagname]] *= share
    return left


def _add_energy(row: Array, columns: Mapping[str, int], kcal: float) -> None:
    for tagname, by in (("ENERC_KCAL", 1.0), ("ENERC_KJ", KILOJOULES)):
        if tagname in columns:
            # A publisher's energy may be rounded below that of the fat or ethanol in it.
            row[columns[tagname]] = np.maximum(row[columns[tagname]] + kcal * by, 0.0)


def _at(row: Array, columns: Mapping[str, int], tagname: str) -> float:
    return float(row[columns[tagname]]) if tagname in columns else math.nan


# ---- words -----------------------------------------------------------------------------------------------------


def _plain(name: str) -> str:
    """A treatment's name as it is compared: folded, only letters and digits, its time in minutes."""
    return " ".join(re.findall(r"[a-z0-9.]+", _TIME.sub(_minutes, fold(name))))


_COUNT = r"(?:(\d+)\s+)?(\d+)/(\d+)|(\d+(?:\.\d+)?)|(half\s+an?|half|an|one)|(two)"
_TIME = re.compile(
    rf"(?:\bfor\s+)?(?<![\w.])(?:{_COUNT})[\s-]*"
    r"(?:(hours?|hrs?|h)(?:\s+and)?(?:\s+(a\s+half)|\s+(\d+)\s*min\w*)?|min\w*)\b\.?"
)


def _minutes(found: re.Match[str]) -> str:
    """ "for 1 1/2 hours" and "1 h 30 minutes" as "90 min"."""
    whole, top, bottom, digits, word, two, hours, half, more = found.groups()
    if word or two:
        number = 2.0 if two else 0.5 if word.startswith("half") else 1.0
    elif digits:
        number = float(digits)
    else:
        number = float(whole or 0) + float(top) / max(float(bottom), 1.0)
    minutes = number * (60 if hours else 1) + (30 if half else float(more or 0))
    return f" {minutes:g} min "


@lru_cache(maxsize=4096)
def _folded(text: str) -> str:
    return fold(text)


@lru_cache(maxsize=4096)
def _words(description: str) -> frozenset[str]:
    return frozenset(singular(word) for word in _WORD.findall(fold(description)))


@lru_cache(maxsize=1024)
def _is_fat(tagname: str) -> bool:
    """Whether a component is fat or a part of it."""
    return tagname == "FAT" or _FATTY_ACID.fullmatch(tagname) is not None


def _hangs_on_fat(tagname: str) -> bool:
    return tagname in ("ENERC_KCAL", "ENERC_KJ") or tagname in _IN_FAT or _is_fat(tagname)


@lru_cache(maxsize=4096)
def is_frying_fat(text: str) -> bool:
    """Whether a line says that its fat is what other food is fried in: "1 l oil for deep-frying"."""
    return _FRYING_FAT.search(fold(text)) is not None


def cooked_already(food: FoodEntry) -> str:
    """The words of a food entry that say it is cooked, or "" for a raw food."""
    description = _folded(food.description)
    if said := _COOKED.search(description):
        return said[0]
    prepared = _folded(food.group_name).startswith(_PREPARED) and not _RAW & set(_WORD.findall(description))
    return "prepared" if prepared else ""
