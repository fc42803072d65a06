"""What to know before figures are published or eaten by; each caution names its source and where it applies.

Order: what the figures lack, what they do not mean, what polyols do, allergens, temperatures, law.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from service.core.allergens import AllergenTable, Law, by_law
from service.core.composition import Dish, Ingredient
from service.core.cooking import cooked_already
from service.core.figures import Figures
from service.core.food import FoodEntry
from service.core.health import of_composition
from service.core.lacking import absent, lacking_foods
from service.core.measure import to_celsius
from service.core.nutrients import (
    ALLULOSE,
    ERYTHRITOL,
    POLYOLS,
    POLYOLS_UNKNOWN,
    NetConvention,
    Total,
    net_of_food,
    net_terms,
    off_net,
)
from service.core.text import fold, singular
from service.core.total_carbohydrate import TOTAL

# The components that a reader looks at, in plain words; a gap in another shows in that figure's bounds only.
MAIN = {
    "ENERC_KCAL": "energy", "PROCNT": "protein", "FAT": "fat", "CHOCDF": "carbohydrate", "FIBTG": "fibre",
}  # fmt: skip
# Regulation (EU) 1169/2011 Annex III, 2.4: above this share of added polyols the notice is due.
LAXATIVE_SHARE = 0.1
# Grams of polyols other than erythritol per 100 g from which a food counts as sweetened with them.
SWEETENED = 1.0
# Share of energy from carbohydrate below which a diet is called low in it (Feinman, Nutrition 31 (2015), from memory).
LOW_CARBOHYDRATE = 0.26
MOST_NAMED = 3
# Grams of a serving beyond which it may well be a slip (no source).
LEAST_SERVED, MOST_SERVED = 1.0, 3_000.0
# What is said of the figures follows from them.
OWN_SUM = "this calculation"
# Share of a dish's raw weight from which an entry that does not add up matters.
DOUBTFUL_SHARE = 0.05
# Foods whose figures come from no publisher's table; what a label states has findings of its own.
OWN = "own"
_NO_TABLES = frozenset({OWN, "pantry"})
# Foods of these groups are named by a writer, not by a publisher: only their words can tell what they are.
_OWN_GROUPS = ("", "own foods")
_WORD = re.compile(r"[a-z]+")
_LAWS: Mapping[Law, tuple[str, str]] = {
    "us": ("US law", "FD&C Act 201(qq), FASTER Act; FDA Allergen Q&A ed. 5 (2025)"),
    "eu": ("EU and UK law", "Regulation (EU) 1169/2011 Annex II"),
}
EGGS = "eggs and egg dishes"
# What publishers say of foods that are raw, beside the word itself; what is "unheated" was cooked before.
_RAW, _RAW_TOO = frozenset({"raw"}), frozenset({"unprepared", "uncooked"})
LAXATIVE = "laxative"
# Words of a line by which a cooked egg is not cooked through.
_RUNNY = frozenset({"soft", "runny", "poached", "jammy", "coddled"})


@dataclass(frozen=True, slots=True)
class Caution:
    """What to know before the figures are published or eaten by; `lines` are those it is about, from 1."""

    kind: str
    text: str
    source: str
    lines: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class SafeTemperature:
    """The temperature that a kind of raw food must reach inside.

    what     the kind in plain words
    group    a part of the food group's name, one of these; foods that a writer named go by their words alone
    foods    the words of one of these must all be in the description
    without  words of which none may be there
    """

    what: str
    group: tuple[str, ...]
    foods: tuple[frozenset[str], ...]
    without: frozenset[str]
    fahrenheit: float
    rest_minutes: float
    source: str

    def words_met(self, group: str, words: frozenset[str]) -> int:
        """How many words of a food of this group are met, 0 where it is of another kind."""
        in_group = group in _OWN_GROUPS or any(one in group for one in self.group)
        if not in_group or self.without & words:
            return 0
        return max((len(food) for food in self.foods if food <= words), default=0)


@dataclass(frozen=True, slots=True, eq=False)
class CautionTables:
    """What cautions are drawn from."""

    allergens: AllergenTable
    temperatures: tuple[SafeTemperature, ...]


def cautions(
    dish: Dish,
    figures: Figures,
    *,
    tables: CautionTables,
    net: NetConvention | None = None,
    served: Sequence[Ingredient] | None = None,
    servings: float = 1,
) -> tuple[Caution, ...]:
    """The cautions that apply to a dish with these figures, the lower bound first.

    net     the convention of the figures' net carbohydrate
    served  every ingredient that may come to the table, toppings and swaps too; by default those of the dish
    servings  how many the dish is for
    """
    eaten = dish.ingredients if served is None else served
    return (
        *_gaps(dish, figures),
        *_impossible(dish),
        *_odd(dish, servings),
        *_doubtful(eaten, dish.raw.value, figures),
        *_derived(dish, figures),
        *_nets(dish.ingredients, figures, net or NetConvention()),
        *_other_nets(dish.ingredients, figures, net or NetConvention()),
        *_meaning(figures),
        *_polyols(dish, figures),
        *_allergens(eaten, tables.allergens),
        *_temperatures(eaten, tables.temperatures),
        Caution(
            "label law",
            "The law on labels differs from place to place: the local authority has the last word.",
            "21 CFR 101.9; Regulation (EU) 1169/2011",
        ),
    )


# ---- what the figures lack -------------------------------------------------------------------------------------


def _odd(dish: Dish, servings: float) -> Iterator[Caution]:
    """What may well be a slip: nothing to eat, a serving that nobody serves."""
    if not any(one.food is not None for one in dish.ingredients):
        yield Caution("nothing counted", "No line names a food that is counted: the figures are of nothing.", OWN_SUM)
        return
    each = dish.cooked.value / servings
    if each > MOST_SERVED or (0 < each < LEAST_SERVED and not (dish.unweighed or dish.undivided)):
        grams = f"{each:,.0f}" if each >= MOST_SERVED else f"{each:.3g}"
        text = f"A serving weighs {grams} g: look at the number of servings and at the weights."
        yield Caution("odd serving", text, OWN_SUM)


def _impossible(dish: Dish) -> Iterator[Caution]:
    """Weights that cannot be, of the dish and of the sub-recipes in it: they were saved before that was refused."""
    if dish.fault:
        text = f"The cooked weight cannot be: {dish.fault}. Water and all figures of 100 g rest on it: mend the yield."
        yield Caution("impossible weight", text, OWN_SUM)
    for used in dish.faulty:
        held = [one for one in dish.ingredients if used in one.through]
        text = f"The cooked weight of “{used.title}” cannot be: {used.fault}. Grams of it are a guess: mend its yield."
        yield Caution("impossible weight", text, OWN_SUM, _lines(held))


def _gaps(dish: Dish, figures: Figures) -> Iterator[Caution]:
    for gone, lacking in absent(dish):
        why = "The food chosen for {} is no longer there" if gone else "No table has an entry for {}"
        said = why.format(_named(one.text for one in lacking))
        yield Caution("lower bound", f"These figures are a lower bound. {said}: not counted.", OWN_SUM, _lines(lacking))
    if dish.unweighed:
        named = _named(_unweighed(dish))
        text = f"These figures are a lower bound. No weight is known for {named}: not counted."
        yield Caution("lower bound", text, OWN_SUM, dish.unweighed)
    if dish.undivided:
        titles = (one.within[0] for one in dish.ingredients if one.undivided and one.food is not None)
        text = f"These figures are a lower bound. Not all of {_named(titles)} has a weight, so nobody can say how much"
        text += " of each food the stated weight of it holds: not counted."
        yield Caution("lower bound", text, OWN_SUM, dish.undivided)
    if soaked := [one for one in dish.ingredients if one.absorbs]:
        text = f"Not known: the frying fat taken up by {_foods(soaked)}. Fat and energy are lower bounds."
        yield Caution("unknown value", text, OWN_SUM, _lines(soaked))
    yield from _unknown(dish, figures)


def _unweighed(dish: Dish) -> Iterator[str]:
    """What has no weight: a food, or a sub-recipe where its line says no amount of it."""
    for line in dish.unweighed:
        parts = [one for one in dish.ingredients if one.line == line and not one.undivided]
        whole = {one.within[0] for one in parts if one.within}
        if len(whole) == 1 and all(one.within and one.grams is None for one in parts):
            yield next(iter(whole))
        else:
            yield from (one.text for one in parts if one.food is not None and one.grams is None and one.most is None)


def _unknown(dish: Dish, figures: Figures) -> Iterator[Caution]:
    """A caution for each group of foods for which the tables lack the same main components, or give but a bound."""
    for lacking in lacking_foods(dish, figures, (one.tagname for one in figures.components if one.tagname in MAIN)):
        what = " and ".join(", ".join(MAIN[tagname] for tagname in lacking.tagnames).rsplit(", ", 1))
        given = "only a bound" if lacking.bounded else "no value"
        known = "Not known exactly" if lacking.bounded else "Not known"
        text = f"{known}: {what} of {_foods(lacking.foods)}. The tables give {given}, which does not mean 0."
        if figures.net_carbohydrate.value is None and {"CHOCDF", "FIBTG"} & set(lacking.tagnames):
            text += f" Net carbohydrate of the whole recipe is {_span(figures.net_carbohydrate)}."
        yield Caution("unknown value", text, OWN_SUM, _lines(lacking.foods))


def _span(total: Total) -> str:
    if total.high is None:
        return f"at least {_grams(total.low)} g"
    return f"{_grams(total.low)} to {_grams(total.high)} g"


def _grams(value: float) -> str:
    return f"{round(value, 1):g}"


def _doubtful(eaten: Iterable[Ingredient], raw: float, figures: Figures) -> Iterator[Caution]:
    """Entries of the tables that do not add up, of which there is a good part beside a dish of this raw weight."""
    for one in eaten:
        if one.food is None or one.row is None or one.grams is None or one.notes or one.food.dataset in _NO_TABLES:
            continue
        if one.grams.value < DOUBTFUL_SHARE * raw:
            continue
        amounts = zip((total.tagname for total in figures.components), one.row.tolist(), strict=True)
        known = {tagname: amount for tagname, amount in amounts if not math.isnan(amount)}
        for _, text in of_composition(known, total=one.basis == "total"):
            said = f"The table's figures of {one.food.description} do not add up: {text}. Look at the package, if any."
            yield Caution("doubtful entry", said, OWN_SUM, (one.line,))


def _derived(dish: Dish, figures: Figures) -> Iterator[Caution]:
    """Foods whose total carbohydrate no publisher gives: it is of another kind than totals by difference."""
    place = next((at for at, total in enumerate(figures.components) if total.tagname == TOTAL.tagname), None)
    held = [] if place is None else [one for one in dish.ingredients if TOTAL.tagname in one.derived]
    parts = [one for one in held if one.row is not None and one.row[place] > 0]
    if parts:
        named = _named(one.food.description for one in parts if one.food is not None)
        text = (
            f"Total carbohydrate of {named} is not published: it is worked out, as available carbohydrate and fibre or "
            "as what the other parts leave of 100 g. Tables that publish it take it by difference. Net carbohydrate "
            "rests on published figures alone."
        )
        yield Caution("derived value", text, "INFOODS tagnames CHOCDF, CHOAVLDF, CHOAVL, FIBTG", _lines(parts))


def _nets(parts: Iterable[Ingredient], figures: Figures, convention: NetConvention) -> Iterator[Caution]:
    """Foods with more taken off their carbohydrate than there is of it, or of whose polyols too little is known."""
    columns = {total.tagname: place for place, total in enumerate(figures.components)}
    weighed = [one for one in parts if one.row is not None]
    rows = np.array([one.row for one in weighed]).reshape(-1, len(columns))
    known = net_terms(rows, columns)
    nets = [net_of_food(amounts, one.basis, convention) for one, amounts in zip(weighed, known, strict=True)]
    clamped = [one for one, found in zip(weighed, nets, strict=True) if found.value is not None and found.flag]
    if clamped:
        text = f"Net carbohydrate comes out below 0 for {_foods(clamped)} and is counted as 0: look at the values."
        yield Caution("net below 0", text, OWN_SUM, _lines(clamped))
    unsure = [one for one, found in zip(weighed, nets, strict=True) if found.flag == POLYOLS_UNKNOWN]
    if unsure:
        text = (
            f"Not known: polyols of {_foods(unsure)}. They are not in the carbohydrate that the table gives, so that "
            f"net carbohydrate is a bound: that of the whole recipe is {_span(figures.net_carbohydrate)}."
        )
        yield Caution("unknown value", text, OWN_SUM, _lines(unsure))


def _other_nets(parts: Iterable[Ingredient], figures: Figures, convention: NetConvention) -> Iterator[Caution]:
    """Sub-recipes that are saved with another convention of net carbohydrate, where what they hold makes it matter."""
    columns = {total.tagname: place for place, total in enumerate(figures.components)}
    other: dict[tuple[str, str], list[Ingredient]] = {}
    for one in parts:
        if _at(one, columns, POLYOLS) > 0 or _at(one, columns, ALLULOSE) > 0:
            for used in one.through:
                if used.net != convention:
                    other.setdefault((used.title, off_net(used.net)), []).append(one)
    for (title, off), held in other.items():
        text = f"Net carbohydrate takes off {off_net(convention)}, of “{title}” too, which by itself takes off {off}."
        yield Caution("net convention", text, OWN_SUM, _lines(held))


def _foods(parts: Iterable[Ingredient]) -> str:
    return _named(one.food.description for one in parts if one.food is not None)





# ---- what the figures do not mean ------------------------------------------------------------------------------


def _meaning(figures: Figures) -> Iterator[Caution]:
    yield Caution(
        "net carbohydrate",
        "Net carbohydrate has no legal meaning on a label: print total carbohydrate beside it.",
        "21 CFR 101.9(c)(6) and Regulation (EU) 1169/2011 Annex I define no net carbohydrate",
    )
    yield Caution(
        "dosing",
        "Not for dosing: set no insulin dose and no medical ketogenic diet by these figures without a clinician.",
        "American Diabetes Association advises on total carbohydrate, seen as quoted by others",
    )
    share = (figures.energy_shares or {}).get("CHOCDF", 0.0)
    if share < LOW_CARBOHYDRATE:
        yield Caution(
            "SGLT2 inhibitors",
            "With SGLT2 inhibitors (medicines for diabetes whose names end in -gliflozin), a diet very low in "
            "carbohydrate can bring on ketoacidosis at near-normal glucose: ask a clinician first.",
            "case reports of euglycaemic ketoacidosis, 14 reviewed",
        )


def _polyols(dish: Dish, figures: Figures) -> Iterator[Caution]:
    columns = {total.tagname: place for place, total in enumerate(figures.components)}
    sweetened = [one for one in dish.ingredients if _at(one, columns, POLYOLS) >= SWEETENED]
    total = next((one for one in figures.components if one.tagname == POLYOLS), None)
    if sweetened and total is not None and total.known > LAXATIVE_SHARE * dish.cooked.value:
        yield Caution(
            LAXATIVE,
            "Polyols are more than 10 % of the weight: excessive consumption may produce laxative effects.",
            "Regulation (EU) 1169/2011 Annex III, 2.4, from memory",
            _lines(sweetened),
        )
    raising = [one for one in sweetened if _at(one, columns, POLYOLS) - _at(one, columns, ERYTHRITOL) >= SWEETENED]
    if raising:
        text = "Polyols other than erythritol can raise blood glucose, even where net carbohydrate leaves them out."
        yield Caution("polyols", text, "FDA on sugar alcohols", _lines(raising))


def _at(one: Ingredient, columns: Mapping[str, int], tagname: str) -> float:
    """Grams per 100 g, 0 where the table does not say."""
    if one.row is None or tagname not in columns or math.isnan(one.row[columns[tagname]]):
        return 0.0
    return float(one.row[columns[tagname]])


# ---- allergens -------------------------------------------------------------------------------------------------


def allergens_found(parts: Iterable[Ingredient], table: AllergenTable) -> dict[str, frozenset[int]]:
    """Names of the allergens that ingredients may contain -> their lines; by the entries and the words of the lines."""
    found: dict[str, set[int]] = {}
    for one in parts:
        for name in _allergens_of(one, table):
            found.setdefault(name, set()).add(one.line)
    return {name: frozenset(lines) for name, lines in found.items()}


def _allergens_of(one: Ingredient, table: AllergenTable) -> frozenset[str]:
    said = table.of(one.text)
    if one.food is None:
        return said
    return said | table.of(one.food.description, one.food.group_name)


def _allergens(parts: Iterable[Ingredient], table: AllergenTable) -> Iterator[Caution]:
    parts = list(parts)
    yield from _unknown_allergens(parts)
    found = allergens_found(parts, table)
    for law, (name, source) in _LAWS.items():
        listed = by_law(found, law, table)
        lines = sorted({line for kinds in listed.values() for held in kinds.values() for line in held})
        if listed:
            said = "; ".join(_allergen_text(called, kinds) for called, kinds in listed.items())
            text = (
                f"May contain, by the entries taken ({name}): {said}. This cannot show that anything else is absent: "
                "read the packets."
            )
            yield Caution(f"allergens {law}", text, source, tuple(lines))


def _unknown_allergens(parts: Iterable[Ingredient]) -> Iterator[Caution]:
    """A label's figures do not tell what is in the food: only the words of its name could be looked at."""
    own = [one for one in parts if one.food is not None and one.food.dataset == OWN]
    if own:
        named = _named(one.food.description for one in own if one.food is not None)
        text = f"Allergens of {named} are not known: read the packet."
        yield Caution("allergens unknown", text, "an own food states no ingredients", _lines(own))


def _allergen_text(called: str, kinds: Mapping[str, frozenset[int]]) -> str:
    """ "milk (lines 1, 4)", or "tree nuts: almond (line 2), pecan (line 3)" where a law has one name for several."""
    said = ", ".join(f"{name} ({_lines_text(lines)})" for name, lines in kinds.items())
    own_name = len(kinds) == 1 and called.startswith(next(iter(kinds)))
    if own_name:
        return f"{called} ({_lines_text(next(iter(kinds.values())))})"
    return f"{called}: {said}"


def _lines_text(lines: Iterable[int]) -> str:
    numbers = sorted(lines)
    return f"line{'s' if len(numbers) > 1 else ''} {', '.join(map(str, numbers))}"


# ---- temperatures ----------------------------------------------------------------------------------------------


def _temperatures(parts: Iterable[Ingredient], table: Sequence[SafeTemperature]) -> Iterator[Caution]:
    raw: dict[SafeTemperature, list[Ingredient]] = {}
    for one in parts:
        if found := safe_temperature(one, table):
            raw.setdefault(found, []).append(one)
    for found in sorted(raw, key=table.index):
        rest = f", then leave it {found.rest_minutes:g} minutes" if found.rest_minutes else ""
        text = (
            f"{found.what[0].upper()}{found.what[1:]}: cook to at least {found.fahrenheit:g} °F "
            f"({to_celsius(found.fahrenheit):.1f} °C) inside{rest}. Local rules come first."
        )
        yield Caution("safe temperature", text, found.source, _lines(raw[found]))
    eggs = [one for found, held in raw.items() if found.what == EGGS for one in held if not one.notes]
    if eggs:
        text = "Raw or runny egg, as in mayonnaise, mousse or custard, is a risk: use pasteurised egg there."
        yield Caution("raw egg", text, "USDA FSIS on eggs and egg dishes", _lines(eggs))


def safe_temperature(one: Ingredient, table: Sequence[SafeTemperature]) -> SafeTemperature | None:
    """The temperature that an ingredient must reach, None where it is no raw meat, egg or fish."""
    food = one.food or FoodEntry("", one.text)
    if cooked_already(food) and not _RUNNY & _words(one.text):
        return None
    group, words = fold(food.group_name), _words(food.description)
    words |= _RAW if _RAW_TOO & words else frozenset()
    met = [row.words_met(group, words) for row in table]
    most = max(met, default=0)
    found = table[met.index(most)] if most else None
    return None if found and found.what != EGGS and cooked_already(food) else found


@lru_cache(maxsize=4096)
def _words(text: str) -> frozenset[str]:
    return frozenset(singular(word) for word in _WORD.findall(fold(text)))


# ---- words -----------------------------------------------------------------------------------------------------


def _lines(parts: Iterable[Ingredient]) -> tuple[int, ...]:
    return tuple(sorted({one.line for one in parts}))


def _named(texts: Iterable[str]) -> str:
    """The first few in quotation marks, and how many more there are."""
    names = list(dict.fromkeys(texts))
    said = ", ".join(f"“{name}”" for name in names[:MOST_NAMED])
    return said if len(names) <= MOST_NAMED else f"{said} and {len(names) - MOST_NAMED} more"
