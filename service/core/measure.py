"""Measures: what a line's measure word is worth, and what a publisher's household measure means.

A measure is mass (grams), volume (millilitres), vague (either, with wide bounds), a package, or a piece. A line
that names no system is read by the US one; words that only one country uses choose another (tables/systems.csv).
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from service.core.amount import Amount, MeasureWords
from service.core.food import FoodEntry, HouseholdMeasure
from service.core.text import fold, singular

MeasureKind = Literal["mass", "volume", "vague", "package", "piece"]
AmountKind = Literal["pinch", "spoon", "cup", "piece", "weight", "none"]

# How an amount measures its food, by canonical measure; a measure in none of these counts pieces.
SPOONS = frozenset({
    "tsp", "tbsp", "dsp", "krm", "metric tsp", "metric tbsp", "au tbsp", "coffee spoon", "salt spoon", "spoonful",
    "pinch", "dash", "smidgen", "knife point", "dab", "shake", "grind", "grating", "sprinkle", "drop", "soup spoon",
    "serving spoon", "big spoon", "small spoon",
})
CUPS = frozenset({
    "cup", "us cup", "metric cup", "rice cup", "teacup", "coffee cup", "ml", "cl", "dl", "l", "fl oz", "uk fl oz",
    "gill", "pint", "uk pint", "us pint", "quart", "uk quart", "gallon", "uk gallon", "jigger", "shot", "splash",
    "squirt", "drizzle", "glug", "squeeze", "dollop", "smear", "ladle", "glass", "mug", "bowl", "capful", "thimble",
    "spray", "spray second", "tea glass", "water glass", "espresso cup", "breakfast cup", "egg cup", "katori",
    "rice bowl", "liqueur glass", "sherry glass", "small cup", "large cup", "miniature", "yogurt pot", "derica",
    "milk tin", "cigar cup", "gorogoro", "mudu", "kongo", "peymaneh", "piyala", "dry pint", "dry quart",
})
WEIGHTS = frozenset({
    "g", "mg", "kg", "dag", "hectogram", "oz", "lb", "tola", "chatak", "pao", "catty", "tael", "jin", "maund", "viss",
    "arroba", "funt", "geun", "pfund", "can", "jar", "packet", "package", "box", "bag", "carton",
    "bottle", "tub", "pot", "container", "envelope", "sachet", "pouch", "block", "bar", "tray", "punnet",
    "tube", "brick", "wheel", "basket", "canister", "log", "bucket", "slab", "keg", "growler", "clamshell", "bundle",
    "sleeve", "stone", "mini can", "flat", "case", "crate", "bushel", "peck", "ampoule", "vial",
    "no. 1 can", "no. 2 can", "no. 2 1/2 can", "no. 3 can",
    "no. 10 can", "no. 300 can", "no. 303 can",
})


# So little of a plant is its dried and ground spice: "1/2 tsp ginger".
_PINCHES = frozenset({"pinch", "dash", "smidgen", "knife point"})


def _is_half_teaspoon(amount: Amount) -> bool:
    return amount.measure == "tsp" and amount.high <= 0.5 and not amount.combined


def measure_kind(amount: Amount | None) -> AmountKind:
    """How an amount measures its food, for names that mean different foods by the spoon and by the bunch."""
    if amount is None:
        return "none"
    if amount.measure in SPOONS:
        return "pinch" if amount.measure in _PINCHES or _is_half_teaspoon(amount) else "spoon"
    if amount.measure in CUPS:
        return "cup"
    return "weight" if amount.measure in WEIGHTS or amount.package is not None else "piece"


@dataclass(frozen=True, slots=True)
class Measure:
    """One measure in one system: `value` grams or millilitres (`unit` "g" or "ml") with bounds; 0 where it has none."""

    name: str
    kind: MeasureKind
    unit: str = ""
    value: float = 0.0
    low: float = 0.0
    high: float = 0.0
    system: str = ""
    source: str = ""


# So many sets of measures of one food are kept: its own, and those that it has with its twins.
_MOST_OF_ONE = 4
# The international pound of 0.45359237 kg, of 16 ounces (NIST Handbook 44, Appendix C).
OUNCE = 28.349523125


def to_celsius(fahrenheit: float) -> float:
    """Degrees Celsius of degrees Fahrenheit (NIST SP 811, B.8)."""
    return (fahrenheit - 32) / 1.8


@dataclass(frozen=True, slots=True)
class MeasureForm:
    """One written form of a measure: one row of tables/measures.csv."""

    form: str
    measure: Measure


class Measures:
    """The measures by canonical name and system; `forms` maps each written form to its canonical name."""

    def __init__(self, rows: Iterable[MeasureForm]) -> None:
        self.forms: dict[str, str] = {}
        self._named: dict[str, Measure] = {}
        self._systems: dict[tuple[str, str], Measure] = {}
        for row in rows:
            measure = row.measure
            self.forms.setdefault(row.form, measure.name)
            self._named.setdefault(measure.name, measure)
            self._systems.setdefault((measure.name, measure.system), measure)
        self._households: dict[str, list[tuple[FoodEntry, Households]]] = {}

    @property
    def kinds(self) -> Mapping[str, str]:
        """Canonical name -> kind, as the grammar needs it."""
        return {name: measure.kind for name, measure in self._named.items()}

    @property
    def words(self) -> MeasureWords:
        """The measure words of the grammar."""
        return MeasureWords(self.kinds, {name: measure.value for name, measure in self._named.items()})

    def get(self, name: str | None, *, system: str = "") -> Measure | None:
        """The measure of that name, in `system` where that has its own, or None."""
        if name is None:
            return None
        return self._systems.get((name, system)) or self._named.get(name)

    def kind(self, name: str | None) -> str:
        """The kind of the measure of that name; "" for a count or an unknown name."""
        measure = self._named.get(name) if name is not None else None
        return measure.kind if measure is not None else ""

    def households(self, food: FoodEntry) -> Households:
        """The household measures of a food, read once; it may be known with those of a twin besides."""
        kept = self._households.setdefault(food.id, [])
        for known, read in kept:
            if known is food:
                return read
        read = next((read for known, read in kept if known == food), None) or Households.read(food, self)
        kept.insert(0, (food, read))
        del kept[_MOST_OF_ONE:]
        return read


# ---- household measures ------------------------------------------------------------------------------------------

SIZES = ("extra small", "small", "medium", "large", "extra large", "jumbo")
_MEDIUM = SIZES.index("medium")


def size_gap(listed: str, said: str) -> int:
    """How far the size of a row lies from the one said, 0 where it is the same; a row without a size is medium."""
    if listed == said:
        return 0
    return 1 + abs(_step(listed) - _step(said))


def is_beyond(said: str, listed: str) -> bool:
    """Whether a size said lies farther out than the row's, on the same side of medium: jumbo beyond large."""
    outer, inner = _step(said) - _MEDIUM, _step(listed) - _MEDIUM
    return outer * inner > 0 and abs(outer) > abs(inner)


def _step(size: str) -> int:
    return SIZES.index(size) if size in SIZES else _MEDIUM


_SIZE = re.compile(
    r"\b((?:extra|very) small|extra large|super colossal|small|medium|large|jumbo|regular|mini|miniature)\b"
)
_SIZE_NAMES = {
    "regular": "medium",
    "mini": "small",
    "miniature": "small",
    "very small": "extra small",
    "super colossal": "jumbo",
}
_WORD = re.compile(r"[a-z]+")
_BRACKET = re.compile(r"\(([^()]*)\)?")
_FROM_A_POUND = re.compile(r"yield from 1 ?(?:lb|pound)|^unit \(yield")
_NUTS = re.compile(r"(\d+) (?:whole )?(kernel|halve|nut|bean|seed|raisin|olive|cracker|chip)s?\b")
_SERVED = re.compile(r"^serving \(?\s*([\d./]+) (cup|tbsp|tsp|fl oz)\b")
_A_SERVING = frozenset({"serving"})
_HOLDS = re.compile(r"([\d.]+) ?(fl oz|oz|lb|g|ml)\b")

# Words that say how a food is cut, by their stem; any one of a row's cuts may meet the line's.
CUT_FORMS = {
    "chop": "chopped chop diced dice cubed cubes cube chunks chunk pieces piece cut quartered wedges broken",
    "mince": "minced",
    "slice": "sliced slices slice rings ribbons",
    "strip": "strips julienne julienned spiralized matchsticks",
    "sliver": "slivered",
    "shred": "shredded grated shaved shreds torn riced",
    "half": "halves halved half",
    "whole": "whole",
    "mash": "mashed pureed puree",
    "crush": "crushed",
    "crumble": "crumbled crumble",
    "crumb": "crumbs crumb breadcrumb breadcrumbs",
    "grind": "ground",
    "melt": "melted",
    "whip": "whipped",
    "sift": "sifted",
    "unsifted": "unsifted",
    "pack": "packed",
    "loose": "unpacked loosely",
    "flake": "flaked",
    "section": "sections segments segmented",
    "ball": "balls",
    "floret": "flowerets floweret florets floret",
    "pop": "popped",
    "stir": "stirred",
    "frozen": "unthawed frozen",
    "thaw": "thawed",
}
CUTS = {form: stem for stem, forms in CUT_FORMS.items() for form in forms.split()}
# Words of a household measure that choose nothing.
_SILENT_WORDS = """
with without refuse skin seed seeds pit pits peel removed and or of as to ns nfs nlea serving approx approximate
about each dia diameter high long thick by bone the yields yield for in florida california liquid excluding
edible used not shell hulls stem stems from prepared total contents plain peeled unpeeled pared ready eat
regular portion size leaves leaf kernels kernel fresh raw dry meat meats flesh pulp shelled boneless rounded
undiluted purchased
"""
_SILENT = frozenset(_SILENT_WORDS.split())
_WHOLE_WORDS = """
fruit item each unit bird root bulb berry nut head ear whole vegetable animal pepper plant wing steak chop
"""
_WHOLE_UNITS = frozenset(_WHOLE_WORDS.split())
# Units that a plain count may mean where the food has no whole piece of its own, likeliest first.
_COUNTED_WORDS = "slice strip stalk link patty fillet spear stick bar cookie cracker piece"
_COUNTED_UNITS = tuple(_COUNTED_WORDS.split())
_KEPT_APART = re.compile(
    r"\b(?:in shell|with hulls|as purchased(?!, yields)|skin only|dry, yields|with pits|crust not eaten)\b|^recipe\b"
)


@dataclass(frozen=True, slots=True)
class Household:
    """One household measure as read: `grams` is the edible weight of one `unit`.

    unit    canonical measure ("cup", "slice", "can"), a noun of the publisher's ("thigh"), or "" for the piece itself
    ml      of a volume, else 0
    size    of SIZES, "" where not said
    cuts    how it is cut, by the stems of CUTS; marks: other words that must fit the line
    holds   grams or millilitres that a package states, else 0
    whole   one whole piece of the food; apart: meant only where the line says so ("in shell")
    times   how many of the unit the publisher weighed; beside: what its text says beside the unit
    doubt   why the row may be wrong, "" for a sound one
    """

    unit: str
    grams: float
    text: str
    ml: float = 0.0
    size: str = ""
    cuts: frozenset[str] = frozenset()
    marks: frozenset[str] = frozenset()
    holds: float = 0.0
    whole: bool = False
    apart: bool = False
    times: float = 1.0
    beside: frozenset[str] = frozenset()
    doubt: str = ""


def read_household(
    row: HouseholdMeasure, measures: Measures, food_words: frozenset[str], silent: frozenset[str] | None = None
) -> Household | None:
    """A publisher's household measure as read, or None for one that is no measure of a line ("(yield from 1 lb)").

    `silent` are the words of the food that choose none of its measures, by default all.

        household = [ size ] unit { word } [ "," { word } ] [ "(" dimensions | contents | count ")" ]
    """
    text = fold(row.text)
    if row.amount <= 0 or not text or _FROM_A_POUND.search(text):
        return None
    said = as_published(row)
    grams = row.grams / row.amount
    if served := _SERVED.match(text):
        cup = measures.get(served[2])
        times = _fraction(served[1])
        if cup is None or not times:
            return None
        return Household(served[2], grams / times, said, ml=cup.value, times=row.amount * times, beside=_A_SERVING)
    plain = _BRACKET.sub(" ", text).replace("nlea serving", "serving")
    plain = plain.replace("not packed", "unpacked").replace("loosely packed", "loosely")
    size, rest = _read_size(plain)
    unit, marks = _read_unit(rest, measures, food_words)
    if unit == "oz" and (nuts := _NUTS.search(text)):
        noun = "half" if nuts[2] == "halve" else nuts[2]
        return Household(noun, grams / int(nuts[1]), said, whole=noun != "half")
    marks = [word for word in marks if singular(word) not in (food_words if silent is None else silent)]
    found = _household(unit, marks, size, grams, said, text, measures, food_words, row.amount)
    return replace(found, times=row.amount, beside=_beside(text, measures, food_words)) if found.ml else found


def as_published(row: HouseholdMeasure) -> str:
    """A publisher's household measure as an answer names it."""
    return f"{row.amount:g} {row.text} = {row.grams:g} g"


def _beside(text: str, measures: Measures, food_words: frozenset[str]) -> frozenset[str]:
    """What a text says beside its unit, words in brackets included."""
    return frozenset(_read_unit(text, measures, food_words)[1])


def _household(
    unit: str, marks: Sequence[str], size: str, grams: float, said: str, text: str, measures: Measures,
    food_words: frozenset[str], amount: float,
) -> Household:
    measure = measures.get(unit)
    kind = measure.kind if measure else ""
    ml = measure.value if measure and kind == "volume" else 0.0
    cuts = frozenset(CUTS[word] for word in marks if word in CUTS)
    other = frozenset(singular(word) for word in marks if word not in CUTS and word not in _SILENT)
    if unit == "breast" and amount == 0.5:  # the trade sells half of the bird's breast as one
        grams = grams / 2
    holds = _holds(text, measures) if kind == "package" else 0.0
    whole = not kind and (not unit or unit in _WHOLE_UNITS or unit in food_words)
    whole = whole or unit in ("head", "ear", "bulb")
    marks_left = other - {unit}
    apart = bool(_KEPT_APART.search(text))
    return Household(unit, grams, said, ml, size, cuts, marks_left, holds, whole, apart)


def _fraction(text: str) -> float:
    top, _, bottom = text.partition("/")
    try:
        return float(top) / float(bottom) if bottom else float(top)
    except (ValueError, ZeroDivisionError):
        return 0.0


def _read_size(plain: str) -> tuple[str, str]:
    found = _SIZE.search(plain)
    if found is None:
        return "", plain
    size = _SIZE_NAMES.get(found[1], found[1])
    return size, f"{plain[: found.start()]} {plain[found.end() :]}"


def _read_unit(plain: str, measures: Measures, food_words: frozenset[str]) -> tuple[str, list[str]]:
    """The unit of a household measure and its other words: a measure at the front, else a noun of the food."""
    words = _WORD.findall(plain)
    for count in (2, 1):
        form = " ".join([*words[: count - 1], singular(words[count - 1])]) if len(words) >= count else ""
        if form in measures.forms and form not in food_words:
            return measures.forms[form], words[count:]
    for word in words if words[:1] != ["serving"] else ():
        noun = singular(word)
        if (noun in food_words or noun in _WHOLE_UNITS) and word not in CUTS and word not in _SILENT:
            return noun, [other for other in words if other != word]
    for place, word in enumerate(words[:3]):
        if (form := singular(word)) in measures.forms:
            return measures.forms[form], [*words[:place], *words[place + 1 :]]
    if words and (words[0] == "serving" or words[0] not in CUTS.keys() | _SILENT):
        return singular(words[0]), words[1:]
    return "", words


def _holds(text: str, measures: Measures) -> float:
    found = _HOLDS.search(text)
    measure = measures.get(found[2]) if found else None
    return float(found[1]) * measure.value if found and measure and found[1].count(".") < 2 else 0.0


# Spoons are heaped and grams rounded: a volume's weight may be so much off another's, as a share and in grams.
_MEASURE_SHARE, _MEASURE_GRAMS = 0.35, 1.0
METRIC_VOLUMES = frozenset({"ml", "cl", "dl", "l"})


def _judged(volumes: Sequence[Household], measures: Measures) -> Iterator[tuple[Household, bool]]:
    """Each volume, with its doubt where it has one, and whether it is at odds with most others of the same words.

    Where most agree, those at odds with them are wrong; where no more agree than disagree, all that disagree may be.
    """
    doubts: dict[str, tuple[str, bool]] = {}
    for rows in _of_same_words(volumes, measures):
        at_odds = [row for row in rows if 2 * sum(_disagree(row, other) for other in rows) > len(rows) - 1]
        sound = [row for row in rows if row not in at_odds]
        for row in at_odds if sound else ():
            doubts[row.text] = _off(row, max(sound, key=_volume)), True
        left = sound or rows
        for row in left:
            if against := [other for other in left if _disagree(row, other)]:
                doubts[row.text] = _off(*_by_size(row, max(against, key=_volume))), False
    for row in volumes:
        doubt, is_wrong = doubts.get(row.text, ("", False))
        yield replace(row, doubt=doubt) if doubt else row, is_wrong


def _of_same_words(volumes: Sequence[Household], measures: Measures) -> Iterable[list[Household]]:
    """The volumes of a fixed size by what is said beside them; a spoon beside a decilitre is a metric one."""
    system = "metric" if any(row.unit in METRIC_VOLUMES for row in volumes) else ""
    same: dict[frozenset[str], list[Household]] = defaultdict(list)
    for row in volumes:
        vessel = measures.get(row.unit, system=system)
        if vessel is not None and vessel.low == vessel.high and row.grams > 0:
            same[row.beside].append(replace(row, ml=vessel.value))
    return same.values()


def _volume(row: Household) -> float:
    return row.ml * row.times


def _by_size(row: Household, other: Household) -> tuple[Household, Household]:
    small, large = sorted((row, other), key=lambda one: (_volume(one), one.text))
    return small, large


def _due(row: Household, other: Household) -> float:
    """What a volume would weigh by another one."""
    return other.grams / other.ml * _volume(row)


def _disagree(row: Household, other: Household) -> bool:
    small, large = _by_size(row, other)
    due = _due(small, large)
    return abs(small.grams * small.times - due) > max(_MEASURE_SHARE * due, _MEASURE_GRAMS)


def _off(row: Household, by: Household) -> str:
    said = row.text.replace(" = ", " weighs ")
    return f"{said}, by {by.text} it would be {_due(row, by):.3g} g"


@dataclass(frozen=True, slots=True)
class Households:
    """The household measures of one food, sorted by what they can answer, with the words of its description.

    `wrong` are volumes that are at odds with most others of the same words: nothing is weighed by them.
    """

    words: frozenset[str]
    volumes: tuple[Household, ...] = ()
    pieces: tuple[Household, ...] = ()
    packages: tuple[Household, ...] = ()
    wrong: tuple[Household, ...] = ()

    @classmethod
    def read(cls, food: FoodEntry, measures: Measures) -> Households:
        """Read the measures of one food, in the publisher's order."""
        words = food_words(food)
        silent = words - _telling(food, words)
        found = [row for measure in food.measures if (row := read_household(measure, measures, words, silent))]
        kinds = [measures.kind(row.unit) for row in found]
        pairs = list(zip(found, kinds, strict=True))
        volumes = list(_judged([row for row in found if row.ml], measures))
        return cls(
            words,
            tuple(row for row, is_wrong in volumes if not is_wrong),
            tuple(row for row, kind in pairs if kind in ("", "piece", "vague")),
            tuple(row for row, kind in pairs if kind == "package"),
            tuple(row for row, is_wrong in volumes if is_wrong),
        )

    @property
    def doubts(self) -> tuple[str, ...]:
        """What does not add up in the volumes, each once."""
        said = (row.doubt for row in (*self.volumes, *self.wrong) if row.doubt)
        return tuple(dict.fromkeys(said))

    def counted(self) -> tuple[Household, ...]:
        """The rows that a plain count means where no whole piece is listed: those of the likeliest single unit."""
        for unit in _COUNTED_UNITS:
            if rows := tuple(row for row in self.pieces if row.unit == unit and not row.apart):
                return rows
        return ()

    def bars(self) -> tuple[Household, ...]:
        """The bars of a food that is one by its name: "2 Kit Kats"."""
        return tuple(row for row in self.packages if row.unit == "bar") if "bar" in self.words else ()


def _telling(food: FoodEntry, words: frozenset[str]) -> frozenset[str]:
    """Words of the common name that tell the food's measures apart: "1 cup elbows", "1 cup penne" of pasta."""
    kinds = words - frozenset(singular(word) for word in _WORD.findall(fold(food.description)))
    if not kinds:
        return kinds
    said = {kinds.intersection(map(singular, _WORD.findall(fold(row.text)))) for row in food.measures}
    return kinds if len(said - {frozenset()}) > 1 else frozenset()


def food_words(food: FoodEntry) -> frozenset[str]:
    """The words of a description and common name, folded and singular."""
    return frozenset(singular(word) for word in _WORD.findall(fold(f"{food.description} {food.common_name}")))
