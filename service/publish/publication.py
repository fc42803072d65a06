"""What is published of a recipe: a frozen value that every renderer reads, and how it is made of a worked recipe."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal, NamedTuple

from service.core.analyse import LineResult
from service.core.cautions import Caution
from service.core.composition import Dish, Ingredient
from service.core.cooking import FRYING_FAT, NOT_APPLIED
from service.core.eaten import AS_RAW
from service.core.errors import NotFoundError
from service.core.figures import NET, Figures
from service.core.food import Component, Release
from service.core.lacking import absent, lacking_lines
from service.core.nutrients import Total, net_formula
from service.core.panel import MOST_NAMED, EuDeclaration, UsPanel, eu_declaration, us_panel
from service.core.recipe import PLAIN, RecipeLine, RecipeYield, all_lines
from service.core.text import fold, singular
from service.kitchens.book import Portions, Serving, Worked

# The figures of the card and the texts, with their names; net carbohydrate stands below the total.
MAIN_FIGURES = (
    ("ENERC_KCAL", "Energy"), ("FAT", "Fat"), ("PROCNT", "Protein"), ("CHOCDF", "Total carbohydrate"),
    ("FIBTG", "Fibre"), (NET, "Net carbohydrate"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Units:
    """What the card and the description say weights of lines and energy in; labels follow their own rules."""

    mass: Literal["g", "oz"] = "g"
    energy: Literal["kcal", "kJ"] = "kcal"

    def tagname(self, tagname: str) -> str:
        """The tagname of a figure in these units: energy is published in both."""
        return "ENERC_KJ" if tagname == "ENERC_KCAL" and self.energy == "kJ" else tagname

    def of(self, tagname: str) -> str:
        """The unit of a main figure."""
        return self.energy if tagname.startswith("ENERC") else "g"


@dataclass(frozen=True, slots=True)
class ListLine:
    """A line of the ingredient list as written.

    grams      edible grams of it, None where they are not known or where the line names no food
    counted    it is in the figures wherever its section or the line itself is served
    food       it names a food, known or not
    treatment  how it was counted as cooked, "" where it was not, or where nothing of it counts
    eaten      share of 1 of it that was counted, None where nothing of it counts
    """

    text: str
    grams: float | None
    optional: bool
    counted: bool = True
    food: bool = True
    treatment: str = ""
    eaten: float | None = None


@dataclass(frozen=True, slots=True)
class ListSection:
    """Lines under a name, "" for none."""

    name: str
    optional: bool
    lines: tuple[ListLine, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Helping:
    """One way to serve the recipe, with what labels print of it; `per_100g` is None where the weight is not known.

    notes        what the figures do not count or do not know, one sentence each
    unconfirmed  numbers of the lines whose reading is likely, and nobody has confirmed it
    """

    name: str
    servings: float
    per_serving: Figures
    per_100g: Figures | None
    us: UsPanel
    eu: EuDeclaration
    notes: tuple[str, ...] = ()
    unconfirmed: tuple[int, ...] = ()

    @property
    def partial(self) -> bool:
        """Whether one of the main figures is not known in full."""
        return any(total_of(self.per_serving, tagname).value is None for tagname, _ in MAIN_FIGURES)


@dataclass(frozen=True, slots=True)
class Origin:
    """What a published figure can be traced to and recomputed from; `date` as it is to be printed, "" for none.

    recipe      id of the saved recipe with its `revision`, "" and None for one that is not saved
    change      the kitchen's change as of which it was worked out
    vocabulary  version of the hand-kept tables
    """

    recipe: str = ""
    revision: int | None = None
    change: int | None = None
    vocabulary: str = ""
    date: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Publication:
    """All that is published of a recipe: the plain one, and it with everything where something is optional.

    house   who publishes it, "" for nobody
    yields  what the plain recipe makes as its writer states it
    """

    title: str
    sections: tuple[ListSection, ...]
    plain: Helping
    everything: Helping | None
    net_formula: str
    cautions: tuple[Caution, ...]
    releases: tuple[Release, ...]
    origin: Origin
    house: str = ""
    units: Units = Units()
    yields: RecipeYield = field(default_factory=RecipeYield)

    @property
    def helpings(self) -> tuple[Helping, ...]:
        """The plain recipe, then it with everything if that differs."""
        return (self.plain,) if self.everything is None else (self.plain, self.everything)

    def helping(self, *, everything: bool = False) -> Helping:
        """One of the two; NotFoundError where nothing of the recipe is optional."""
        if not everything:
            return self.plain
        if self.everything is None:
            raise NotFoundError("nothing of this recipe is optional", pointer="/everything")
        return self.everything


def total_of(figures: Figures, tagname: str) -> Total:
    """A figure by its tagname, net carbohydrate too; unknown where the tables in use do not have it."""
    if tagname == NET:
        return figures.net_carbohydrate
    found = next((one for one in figures.components if one.tagname == tagname), None)
    return found or Total(tagname, "", None, 0.0, 0.0, None)


# ---- from a worked recipe --------------------------------------------------------------------------------------


def publication(
    worked: Worked,
    components: Sequence[Component],
    *,
    variant: str = "",
    cautions: Iterable[Caution] = (),
    releases: Iterable[Release] = (),
    origin: Origin | None = None,
    house: str = "",
    units: Units | None = None,
) -> Publication:
    """The publication of a worked recipe; `components` are the columns of its figures, `Book.components`.

    `variant` names one way to serve it, which is then published alone; NotFoundError where there is none of the name.
    """
    whole = all_lines(worked.recipe)
    everything = next((one for one in worked.variants if one.lines == whole and one.lines != worked.base.lines), None)
    served = served_as(worked, variant) if variant else None
    return Publication(
        worked.recipe.title if served is None else f"{worked.recipe.title} ({served.name})",
        tuple(_sections(worked) if served is None else _sections_of(worked, served)),
        _helping(worked, served or worked.base, components),
        None if everything is None or served is not None else _helping(worked, everything, components),
        net_formula(worked.recipe.net),
        tuple(cautions),
        tuple(releases),
        origin or Origin(),
        house,
        units or Units(),
        worked.recipe.yields,
    )


def served_as(worked: Worked, variant: str) -> Serving:
    """The way to serve it of this name; NotFoundError names those there are."""
    ways = {one.name: one for one in reversed((worked.base, *worked.variants))}
    if variant not in ways:
        known = ", ".join(repr(name) for name in reversed(ways))
        raise NotFoundError(f"there is no variant {variant!r}; there is: {known}", pointer="/variant")
    return ways[variant]


def _sections_of(worked: Worked, serving: Serving) -> Iterable[ListSection]:
    """The sections of one way to serve it: its lines only, those it swaps in their place."""
    lines = [line for _, line in worked.recipe.placed()]
    swapped, counted = _swapped(worked, serving), _counted_as(worked)
    number = 0
    for section in worked.recipe.sections:
        numbers = range(number + 1, number + 1 + len(section.lines))
        number += len(section.lines)
        shown = [swapped.get(lines[one - 1].text, one) for one in numbers]
        kept = [
            _list_line(lines[one - 1], worked.lines[one - 1], False, counted.get(one, _NOT_COUNTED))
            for one in shown
            if one in serving.lines
        ]
        if kept:
            yield ListSection(section.name, False, tuple(kept))


def _swapped(worked: Worked, serving: Serving) -> dict[str, int]:
    """Text of a line -> number of the line that this way to serve has in its place."""
    swaps = [(variant.name, swap.line) for variant in worked.recipe.variants for swap in variant.swaps]
    start = len(worked.recipe.lines)
    return {line: start + place for place, (name, line) in enumerate(swaps, 1) if name == serving.name}


def _sections(worked: Worked) -> Iterable[ListSection]:
    number, counted = 0, _counted_as(worked)
    for section in worked.recipe.sections:
        lines = []
        for line in section.lines:
            number += 1
            if line.left_out:
                continue
            how = counted.get(number, _NOT_COUNTED)
            lines.append(_list_line(line, worked.lines[number - 1], number in worked.optional, how))
        yield ListSection(section.name, section.optional, tuple(lines))


class _Counted(NamedTuple):
    """How a line was counted: as in `ListLine`."""

    treatment: str = ""
    eaten: float | None = None


_NOT_COUNTED = _Counted()


def _counted_as(worked: Worked) -> dict[int, _Counted]:
    """By its number, how each line of which something counts was counted; a treatment only where it was applied."""
    lines = [line for _, line in worked.recipe.placed()]
    found: dict[int, _Counted] = {}
    for one in worked.ingredients:
        if one.food is None or one.grams is None:
            continue
        line, before = lines[one.line - 1], found.get(one.line, _NOT_COUNTED)
        said = line.treatment or (AS_RAW if _said_in_vain(worked.lines[one.line - 1]) else "")
        applied = bool(said) and not one.within and not any(NOT_APPLIED in note for note in one.notes)
        found[one.line] = _Counted(said if applied else before.treatment, line.share_eaten)
    return found


def _said_in_vain(result: LineResult) -> bool:
    """Whether the words of a line name a treatment that it was not counted with."""
    return any(AS_RAW in reason for reason in result.reasons)


def _list_line(line: RecipeLine, result: LineResult, optional: bool, how: _Counted) -> ListLine:
    parts = [part for part in result.parts if part.outcome != "not_food"]
    weights = [part.grams.value if part.grams is not None else None for part in parts]
    known = [weight for weight in weights if weight is not None]
    grams = sum(known) if parts and len(known) == len(parts) else None
    counted = grams is not None and all(part.outcome != "no_match" and part.food is not None for part in parts)
    return ListLine(line.text, grams, optional, counted, result.outcome != "not_food", *how)


def _helping(worked: Worked, serving: Serving, components: Sequence[Component]) -> Helping:
    portions = serving.portions
    measure = _measure(worked, portions)
    dish, servings = portions.dish, portions.servings
    return Helping(
        serving.name,
        servings,
        portions.per_serving,
        portions.per_100g,
        us_panel(portions.per_serving, servings=servings, measure=measure or "1 serving"),
        eu_declaration(dish, components, grams=portions.whole.grams, servings=servings, measure=measure or "1 portion"),
        tuple(_notes(worked, serving)),
        _unconfirmed(dish),
    )


def _unconfirmed(dish: Dish) -> tuple[int, ...]:
    return tuple(sorted({one.line for one in dish.ingredients if one.check}))


def _measure(worked: Worked, portions: Portions) -> str:
    """A serving in pieces, "" where the recipe makes none or not a whole or half number of them a serving."""
    pieces, name = worked.recipe.yields.pieces, fold(worked.recipe.yields.piece_name or "")
    each = (pieces or 0) / portions.servings
    if not name or each < 1 or not (each * 2).is_integer():
        return ""
    one = singular(name)
    return f"1 {one}" if each == 1 else f"{each:g} {name if name != one else f'{one}s'}"


# ---- what the figures do not say -------------------------------------------------------------------------------

_SAID = {
    "ENERC_KCAL": "energy", "FAT": "fat", "PROCNT": "protein", "CHOCDF": "total carbohydrate", "FIBTG": "fibre",
    NET: "net carbohydrate",
}  # fmt: skip


def _notes(worked: Worked, serving: Serving) -> Iterable[str]:
    dish, figures = serving.portions.dish, serving.portions.per_serving
    texts = [line.text for _, line in worked.recipe.placed()]
    if dish.fault:
        yield f"The cooked weight cannot be: {dish.fault}."
    yield from (f"The cooked weight of “{used.title}” cannot be: {used.fault}." for used in dish.faulty)
    for gone, parts in absent(dish):
        why = "the food that was chosen is no longer there" if gone else "no table has an entry"
        named = _named(texts, sorted({one.line for one in parts}), _within(parts))
        yield f"Not counted, {why}: {named}. Figures are lower bounds."
    if dish.unweighed:
        yield f"Not counted, no weight is known: {_named(texts, dish.unweighed)}."
    if dish.undivided:
        yield f"Not counted, since not all of the recipe that it names has a weight: {_named(texts, dish.undivided)}."
    for lacking in lacking_lines(dish, figures, _SAID):
        names = ", ".join(_SAID[tagname] for tagname in lacking.tagnames)
        tasted, lacked = ([line for line in lacking.lines if (line in dish.to_taste) is to] for to in (True, False))
        if lacked:
            how = "Only a bound is" if lacking.bounded else "Not"
            yield f"{how} in the tables for {_named(texts, lacked)}: {names}."
        if tasted:
            yield f"Of no stated weight: {_named(texts, tasted)}; may add to {names}."
    if unseen := _unconfirmed(dish):
        taken = {line: _taken_as(worked, line) for line in unseen}
        yield f"Likely readings that nobody has confirmed: {_named(texts, unseen, taken)}."
    if unread := [line for line in sorted(serving.lines) if worked.lines[line - 1].unread]:
        yield f"Not counted, taken for a title or a note: {_named(texts, unread)}."
    for one in dish.ingredients:
        if not one.within:
            yield from (f"{_named(texts, [one.line])}: {note}." for note in one.notes if note.startswith(FRYING_FAT))


def _within(parts: Iterable[Ingredient]) -> dict[int, str]:
    """By its line, what is meant of the sub-recipe that the line names."""
    found: dict[int, list[str]] = {}
    for one in parts:
        if one.within:
            found.setdefault(one.line, []).append(f"“{one.text}”")
    return {line: f" (in it {', '.join(dict.fromkeys(names))})" for line, names in found.items()}


def _taken_as(worked: Worked, line: int) -> str:
    """What a line was taken to mean, of the foods that somebody should look at."""
    foods = [part.food.description for part in worked.lines[line - 1].parts if part.food and part.outcome == "check"]
    return f" as {'; '.join(foods)}" if foods else ""


def _named(texts: Sequence[str], lines: Iterable[int], taken: Mapping[int, str] = MappingProxyType({})) -> str:
    names = [f"“{texts[line - 1].strip()}”{taken.get(line, '')}" for line in lines]
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    return ", ".join(names[:MOST_NAMED]) + more


__all__ = [
    "MAIN_FIGURES", "NET", "PLAIN", "Helping", "ListLine", "ListSection", "Origin", "Publication", "Units",
    "publication", "served_as", "total_of",
]  # fmt: skip
