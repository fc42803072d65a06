"""A kitchen's book: what it calls things and what its recipes come to, as of one change of the kitchen.

The same kitchen, change, releases and vocabulary give the same figures bit for bit.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache, cached_property, partial
from types import MappingProxyType

import numpy as np
from sqlalchemy import Engine

from service.core.analyse import LineResult, PartResult, Resolver
from service.core.bare_line import Heads
from service.core.composition import Composition, Dish, Ingredient, Spread, Taken, dish, ingredients
from service.core.cooking import CookingTables, Treated
from service.core.eaten import counted_against, eaten_note, treatment_note
from service.core.edible_portion import KindTable
from service.core.errors import CircleError, InputError, NotFoundError
from service.core.figures import Difference, Figures, differences, figures, per_100_grams, row_of, weight_fault
from service.core.food import Component, ComponentValue, FoodDetails, FoodEntry, HouseholdMeasure
from service.core.kitchen import RECIPE_PREFIX, Content, Kitchen, KitchenFood, StandingChoice
from service.core.label import OwnFood, household_measures
from service.core.label import composition as label_composition
from service.core.line_list import in_their_list
from service.core.measure import food_words
from service.core.nutrients import (
    CONVENTION,
    NET_TERMS,
    NetCarbohydrate,
    NetConvention,
    net_of_food,
    net_terms,
)
from service.core.part import Part
from service.core.recipe import EVERYTHING, PLAIN, Recipe, RecipeLine, all_lines, plain_lines, variant_lines
from service.core.text import fold, singular
from service.core.uncertainty import table_errors
from service.core.weighed_line import GramWeight
from service.kitchens.forms import ChoiceForm, F, Form, OwnFoodForm, RecipeForm, read_form
from service.store import kitchen as store
from service.store.read import holding

# Prefixes of foods that no publication describes value by value.
UNPUBLISHED = frozenset({"own", "pantry", "recipe"})
NO_DRAFTS: Mapping[str, Form | None] = MappingProxyType({})
# Lines whose reading is kept, since an edit changes one line of a recipe; and what they say of what is eaten, likewise.
MOST_LINES_KEPT = 20_000


@dataclass(frozen=True, eq=False)
class Portions:
    """The figures of a dish, whole and shared out; `per_piece` and `per_100g` are None where they are not known."""

    dish: Dish
    servings: float
    pieces: float | None
    whole: Figures
    components: Sequence[Component]
    net: NetConvention

    @cached_property
    def per_serving(self) -> Figures:
        return self.whole.divided(self.servings)

    @cached_property
    def per_piece(self) -> Figures | None:
        return self.whole.divided(self.pieces) if self.pieces else None

    @cached_property
    def per_100g(self) -> Figures | None:
        return per_100_grams(self.whole, self.dish, self.components, self.net)


@dataclass(frozen=True, slots=True, eq=False)
class Serving:
    """A way to serve the recipe: a variant by its name, with the numbers of the lines that it counts."""

    name: str
    lines: frozenset[int]
    portions: Portions


@dataclass(frozen=True, slots=True, eq=False)
class Worked:
    """A recipe worked out: `base` is the plain recipe, `servings` the further ways to serve it.

    lines        results of all lines, those of swaps last
    optional     numbers of lines that may be left out
    ingredients  of every line, optional ones too
    """

    recipe: Recipe
    lines: tuple[LineResult, ...]
    optional: frozenset[int]
    ingredients: tuple[Ingredient, ...]
    base: Serving
    variants: tuple[Serving, ...]

    @property
    def uses(self) -> frozenset[str]:
        """Ids of every food that a line names, sub-recipes included."""
        return frozenset(part.food.id for line in self.lines for part in line.parts if part.food is not None)


@dataclass(frozen=True, slots=True, eq=False)
class _Read:
    """The lines of a recipe as they were read.

    optional   numbers of lines that are so by their own text
    plain      numbers of the lines that the plain recipe counts
    """

    results: tuple[LineResult, ...]
    ingredients: tuple[Ingredient, ...]
    optional: frozenset[int]
    plain: frozenset[int]


# The figures by which ways to serve and revisions are compared, beside net carbohydrate.
COMPARED = ("ENERC_KCAL", "ENERC_KJ", "PROCNT", "FAT", "CHOCDF", "FIBTG")


def serving_differences(worked: Worked, serving: Serving) -> dict[str, Difference]:
    """How a serving of one way to serve a recipe differs from a plain one, by tagname."""
    plain = worked.base
    shares = {
        line: (line in serving.lines) / serving.portions.servings - (line in plain.lines) / plain.portions.servings
        for line in serving.lines | plain.lines
    }
    components = plain.portions.components
    places = [at for at, one in enumerate(components) if one.tagname in COMPARED or one.tagname in NET_TERMS]
    every = [one.of_columns(places) for one in worked.ingredients if shares.get(one.line)]
    found = differences(every, shares, [components[at] for at in places], worked.recipe.net)
    before, after = plain.portions.per_serving, serving.portions.per_serving
    return {one.tagname: _with_seasoning(one, before, after) for one in found}


def _with_seasoning(found: Difference, before: Figures, after: Figures) -> Difference:
    """Where seasonings to taste leave both figures their value, they leave it to the difference."""
    one, other = before.value(found.tagname), after.value(found.tagname)
    return found if found.value is not None or one is None or other is None else replace(found, value=other - one)


class Book:
    """One kitchen with the tables in use. It is a larder for core.composition; not for several threads at once.

    change  the change that it stands for: of the kitchen, and of the releases that the resolver is over
    at      that change where it is a past one, as of which the kitchen is read; None: as it stands now
    drafts  recipes, own foods and standing choices that are not saved yet, by id, in place of the saved ones; None is
            one that is to be deleted
    lost    lines of saved recipes that were led to an entry, chosen for them or by a standing choice, that the release
            in use lacks, as (recipe, line, entry): they stand unmatched
    """

    def __init__(
        self,
        engine: Engine,
        kitchen: str,
        resolver: Resolver,
        *,
        cooking: CookingTables,
        seasonings: KindTable,
        label_components: Sequence[Component],
        details: Callable[[str], FoodDetails],
        change: int,
        at: int | None = None,
        drafts: Mapping[str, Form | None] = NO_DRAFTS,
    ) -> None:
        self.lost: dict[tuple[str, str, str], None] = {}
        self._engine, self.name, self.resolver = engine, kitchen, resolver
        self._cooking, self._seasonings = cooking, seasonings
        self.change = change
        known = {component.tagname for component in resolver.table.components}
        more = [component for component in label_components if component.tagname not in known]
        self.components = (*resolver.table.components, *more)
        self.columns = {component.tagname: place for place, component in enumerate(self.components)}
        self._details = details
        self._values: dict[str, Mapping[str, ComponentValue]] = {}
        self._errors: dict[str, Mapping[str, float]] = {}
        self._drafts = drafts
        self._documents: dict[str, store.Document] = {}
        self._recipes: dict[str, Recipe] = {}
        self._dishes: dict[str, Dish] = {}

        self._made: dict[str, KitchenFood] = {}
        self._compositions: dict[str, Composition] = {}
        self._lines: dict[tuple[str, str, str | None, float | None], LineResult] = {}
        self._noted: dict[tuple[str, float, str | None], tuple[str, ...]] = {}
        self._making: list[tuple[str, str]] = []
        self.kitchen = Kitchen(self._names(at), self._choices(at), fetch=self.fetch, read=self._read)

    def _names(self, at: int | None) -> list[tuple[str, str]]:
        """(name, food id) of own foods and recipes, each kind in order of number."""
        names: dict[str, str] = {}
        kinds: tuple[tuple[store.Kind, type[OwnFoodForm | RecipeForm]], ...]
        kinds = (("own", OwnFoodForm), ("recipe", RecipeForm))
        for kind, form in kinds:
            names |= {food_id: title for title, food_id in store.titles(self._engine, self.name, kind, at=at)}
            names |= {food_id: one.title for food_id, one in self._drafts.items() if isinstance(one, form)}
        gone = {food_id for food_id, one in self._drafts.items() if one is None}
        return [(title, food_id) for food_id, title in names.items() if food_id not in gone]

    def _choices(self, at: int | None) -> list[StandingChoice]:
        saved = store.all_of(self._engine, self.name, "choice", at=at)
        forms: dict[str, Form | None] = {one.food_id: read_form(ChoiceForm, one.body) for one in saved}
        return [one.value() for one in (forms | dict(self._drafts)).values() if isinstance(one, ChoiceForm)]

    def _read(self, phrase: str) -> Sequence[Part]:
        return self.resolver.read(phrase).parts

    # ---- lines ---------------------------------------------------------------------------------------------

    def resolve(self, line: RecipeLine) -> LineResult:
        """What a line of a recipe means, in this kitchen."""
        inside = self._making[-1][0] if self._making else ""
        key = (inside, line.text, line.food, line.grams)
        found = self._lines.get(key)
        if found is None:
            if len(self._lines) >= MOST_LINES_KEPT:
                self._lines.clear()
            kitchen = self.kitchen.inside(inside)
            found = self._lost_line(inside, line) or self.resolver.resolve(
                line.text, kitchen=kitchen, food=line.food, grams=line.grams
            )
            if inside:
                self._note_lost(inside, found, kitchen)
            self._lines[key] = found
        return found

    def _lost_line(self, inside: str, line: RecipeLine) -> LineResult | None:
        """A line whose chosen entry only other releases have, unmatched: others are offered, none is taken for it."""
        if line.food is None or (now := self._missing_in(line.food)) is None:
            return None
        releases = holding(self._engine, line.food)
        if not releases:
            return None
        if inside:
            self.lost[inside, line.text, line.food] = None
        reason = f"its entry {line.food} is in release {releases[-1]}, not in {now}, which answers now: choose another"
        lost = partial(replace, outcome="no_match", confidence=0.0, food=None, grams=None, reasons=(reason,),
                       by="by hand")  # fmt: skip
        parts = tuple(lost(part) for part in self.resolver.resolve(line.text).parts[:1])
        return LineResult(line.text, "no_match", parts, (reason,))

    def _note_lost(self, inside: str, found: LineResult, kitchen: Kitchen) -> None:
        chosen = (kitchen.meant(part.text) for part in found.parts if part.by == "standing choice" and not part.food)
        for food_id in chosen:
            if food_id is not None and self._missing_in(food_id) is not None:
                self.lost[inside, found.line, food_id] = None

    def _missing_in(self, food_id: str) -> str | None:
        """The release in use of an entry's dataset, where it is not in it."""
        if food_id in self.resolver.index.places:
            return None
        dataset = food_id.partition(":")[0]
        return next((one.release for one in self.resolver.table.releases if one.dataset == dataset), None)

    # ---- the larder ----------------------------------------------------------------------------------------

    def composition(self, food_id: str) -> Composition:
        """What a food entry, own food or pantry substance holds, over this book's columns."""
        found = self._compositions.get(food_id)
        if found is None:
            found = self._compositions[food_id] = self._composition(food_id)
        return found

    def _composition(self, food_id: str) -> Composition:
        place = self.resolver.index.places.get(food_id)
        if place is not None:
            table, row = self.resolver.table, np.full(len(self.components), np.nan)
            row[: len(table.components)] = table.amounts[place]
            entry = self.resolver.index.entry(place)
            basis = table.bases.get(entry.dataset, "total")
            derived = table.derived.get(food_id, {})
            return Composition(entry, row, basis, table.limits.get(food_id, {}), derived)
        return self.composition_of(food_id, self._form(OwnFoodForm, "own", food_id).value())

    def composition_of(self, food_id: str, own: OwnFood) -> Composition:
        """What an own food holds by a label of it, which need not be the one that stands, over this book's columns."""
        entry = FoodEntry(food_id, own.description, group_name="Own foods", measures=household_measures(own))
        return Composition(entry, label_composition(own, self.columns), own.carbohydrate_basis)

    def values(self, food_id: str) -> Mapping[str, ComponentValue]:
        """The published values of a food entry by tagname; none for what the kitchen or the pantry holds."""
        if food_id not in self._values:
            found = self._details(food_id).values if food_id.partition(":")[0] not in UNPUBLISHED else ()
            self._values[food_id] = {value.tagname: value for value in found}
        return self._values[food_id]

    def errors(self, food_id: str) -> Mapping[str, float]:
        """Standard uncertainty per 100 g of each published component of a food, net carbohydrate included."""
        if food_id not in self._errors:
            dataset = food_id.partition(":")[0]
            basis = self.resolver.table.bases.get(dataset, "total")
            self._errors[food_id] = table_errors(self.values(food_id).values(), dataset=dataset, basis=basis)
        return self._errors[food_id]

    def _form(self, form: type[F], kind: store.Kind, food_id: str) -> F:
        """What a food id stands for as it was sent: the draft, or what is saved."""
        draft = self._drafts.get(food_id)
        return draft if isinstance(draft, form) else read_form(form, self.document(kind, food_id).body)

    def check_there(self, food_id: str) -> None:
        """NotFoundError for a food that neither the tables nor the kitchen have, whatever it comes to."""
        kind = food_id.partition(":")[0]
        if kind in ("own", "recipe"):
            self.document(kind, food_id)  # type: ignore[arg-type]
        else:
            self.resolver.known(food_id)

    def document(self, kind: store.Kind, food_id: str) -> store.Document:
        """The document of a food id, as this book reads it; NotFoundError where there is none."""
        prefix, _, text = food_id.partition(":")
        number = store.number_in(text)
        if prefix != kind or number is None:
            raise NotFoundError(f"no food has the id {food_id!r}", pointer="/food")
        found = self._documents.get(food_id)
        if found is None:
            try:
                found = store.get(self._engine, self.name, kind, number, at=self.change)
            except NotFoundError as error:
                raise NotFoundError(str(error), pointer="/food") from None
            self._documents[food_id] = found
        return found

    def treated(self, composition: Composition, treatment: str) -> Treated:
        """What a cooking treatment leaves of a food."""
        return self._cooking.treat(composition.row, composition.food, treatment, self.columns)

    def fetch(self, food_id: str) -> KitchenFood:
        """An own food or a saved recipe, ready to be named by a line."""
        found = self._made.get(food_id)
        if found is None:
            found = self._made[food_id] = self._fetched(food_id)
        return found

    def _fetched(self, food_id: str) -> KitchenFood:
        if not food_id.startswith(RECIPE_PREFIX):
            composition = self.composition(food_id)
            return KitchenFood(composition.food, partial(self._label_content, composition))
        recipe, made = self.recipe(food_id), self.dish(food_id)
        return KitchenFood(
            _recipe_entry(food_id, recipe, made), cache(partial(self._dish_content, made)), made.cooked.value or None,
            recipe.yields.pieces, recipe.yields.piece_name or "", recipe.servings, made.whole_weight is None,
            tuple(variant.name for variant in recipe.variants),
        )  # fmt: skip

    def _label_content(self, own: Composition) -> Content:
        return Content(own.row, net_of_food(net_terms(own.row[None, :], self.columns)[0], own.basis))

    def _dish_content(self, made: Dish) -> Content:
        """What 100 g of a dish hold as a food of others, by the usual convention whatever its own is."""
        whole = figures(made, self.components, CONVENTION)
        if not whole.grams.value:
            return Content(np.full(len(self.components), np.nan), NetCarbohydrate(None))
        plain = whole.divided(whole.grams.value, taken=100.0)
        row = row_of(plain)
        net = plain.net_carbohydrate.value
        return Content(row, NetCarbohydrate(None if net is None else Decimal(repr(net))))

    def revision(self, food_id: str) -> int:
        """The revision of a recipe that this book reads."""
        return self.document("recipe", food_id).revision

    def recipe(self, food_id: str) -> Recipe:
        """A saved recipe, or its draft."""
        found = self._recipes.get(food_id)
        if found is None:
            found = self._recipes[food_id] = self._form(RecipeForm, "recipe", food_id).value()
        return found

    def dish(self, food_id: str) -> Dish:
        """The plain dish of a saved recipe; a circle of sub-recipes raises InputError with their names."""
        found = self._dishes.get(food_id)
        if found is None:
            recipe = self.recipe(food_id)
            with self._in_making(food_id, recipe.title):
                read = self._read_lines(recipe)
                found = self._possible(dish(recipe, read.ingredients, read.plain), sent=food_id in self._drafts)
            self._dishes[food_id] = found
        return found

    @contextmanager
    def _in_making(self, food_id: str, title: str) -> Iterator[None]:
        if food_id in (being for being, _ in self._making):
            names = " -> ".join([*(name for _, name in self._making), title])
            raise CircleError(f"a circle of sub-recipes: {names}", pointer="/sections")
        self._making.append((food_id, title))
        try:
            yield
        finally:
            self._making.pop()

    # ---- recipes -------------------------------------------------------------------------------------------

    def work_saved(self, food_id: str) -> Worked:
        """A saved recipe or draft worked out, guarded against circles; NotFoundError where there is none."""
        try:
            recipe = self.recipe(food_id)
        except NotFoundError as error:
            raise NotFoundError(str(error), pointer="/id") from None
        with self._in_making(food_id, recipe.title):
            return self.work(recipe, sent=food_id in self._drafts)

    def work(self, recipe: Recipe, *, sent: bool = True) -> Worked:
        """Resolve the lines of a recipe and work out every way to serve it.

        InputError for a weight that cannot be, of a recipe that was just `sent`.
        """
        read = self._read_lines(recipe)
        every, plain = read.ingredients, read.plain
        portions = partial(self._portions, recipe, every, plain=plain, sent=sent)
        base = Serving(PLAIN, plain, portions(plain, servings=recipe.servings))
        served = tuple(
            Serving(one.name, lines, portions(lines, servings=one.servings or recipe.servings))
            for one in recipe.variants
            for lines in (variant_lines(recipe, one, read.optional),)
        )
        whole = all_lines(recipe)
        if whole != plain and all(one.lines != whole for one in served):
            served = (*served, Serving(EVERYTHING, whole, portions(whole, servings=recipe.servings)))
        return Worked(recipe, read.results, whole - plain, every, base, served)

    def _read_lines(self, recipe: Recipe) -> _Read:
        placed = list(recipe.placed())
        for pointer, line in placed:
            self._check_treatment(line, pointer)
        results = _by_section(recipe, [self._resolved(line, pointer) for pointer, line in placed])
        taken = [
            one
            for number, (result, (_, line)) in enumerate(zip(results, placed, strict=True), 1)
            if not line.left_out
            for one in self._taken(recipe, number, result)
        ]
        every = ingredients(recipe, taken, self)
        said = frozenset(
            number for number, result in enumerate(results, 1) if any(part.optional for part in result.parts)
        )
        return _Read(tuple(results), every, said, plain_lines(recipe, said))

    def heads(self, line: str) -> Heads:
        """What a line of a recipe's text may head by its words; a name of the kitchen is food unless written so."""
        found = self.resolver.heads(line)
        return "food" if found and self.kitchen.meant(line) is not None else found

    def _check_treatment(self, line: RecipeLine, pointer: str) -> None:
        try:
            if line.treatment:
                self._cooking.treatment(line.treatment)
        except NotFoundError as error:
            raise NotFoundError(str(error), pointer=f"{pointer}/treatment") from None

    def _taken(self, recipe: Recipe, number: int, result: LineResult) -> Iterator[Taken]:
        if result.outcome == "no_match" and not result.parts:
            yield Taken(number, result.line, None, None)
        for part in result.parts:
            if part.outcome != "not_food":
                food = part.food if part.outcome != "no_match" else None
                most = self._most(food) if food is not None and part.amount is None else None
                most = None if most is None else most * recipe.servings
                share = Spread(*part.grams.share) if part.grams is not None and part.grams.share else None
                gone = part.food is None and bool(part.by)
                yield Taken(number, part.text, food, _spread(part.grams), part.outcome == "check", most, share, gone)

    def _most(self, food: FoodEntry) -> float | None:
        """The most grams of a seasoning that one serving takes; None for what is no seasoning."""
        row = self._seasonings.find("", food_words(food), any_food=False)
        return None if row is None else row.high

    def _resolved(self, line: RecipeLine, pointer: str) -> LineResult:
        """The result of a line; what is at fault in a sub-recipe is at fault in the line that names it."""
        try:
            found = self.resolve(line)
        except InputError as error:
            field = error.pointer if error.pointer in ("/food", "/grams") else ""
            said = f"“{line.text}”: {error}" if field else str(error)
            raise type(error)(said, pointer=pointer + field) from None
        notes, faults = self._notes(line), tuple(self._faults(found))
        if found.outcome == "resolved" and (faults or (notes and counted_against(line.text, line.share_eaten))):
            found = replace(found, outcome="check", parts=tuple(replace(part, outcome="check") for part in found.parts))
        return replace(found, reasons=(*found.reasons, *notes, *faults)) if notes or faults else found

    def _faults(self, found: LineResult) -> Iterator[str]:
        """What is wrong with the weight of saved recipes that a line names, so that nobody can go by it."""
        for part in found.parts:
            if part.food is None or not part.food.id.startswith(RECIPE_PREFIX):
                continue
            if fault := self.dish(part.food.id).fault:
                yield f"the cooked weight of {part.food.description!r} cannot be: {fault}"

    def _notes(self, line: RecipeLine) -> tuple[str, ...]:
        """What a line's own words say of what is eaten of it, and of how it is cooked."""
        key = (line.text, line.share_eaten, line.treatment)
        found = self._noted.get(key)
        if found is None:
            if len(self._noted) >= MOST_LINES_KEPT:
                self._noted.clear()
            notes = [eaten_note(line.text, line.share_eaten)]
            notes += [] if line.treatment else [treatment_note(line.text, self._cooking.knows)]
            found = self._noted[key] = tuple(filter(None, notes))
        return found

    def _portions(
        self, recipe: Recipe, every: Sequence[Ingredient], lines: frozenset[int], *, plain: frozenset[int],
        servings: float, sent: bool,
    ) -> Portions:  # fmt: skip
        made = self._possible(dish(recipe, every, lines, plain=plain), sent=sent)
        whole = figures(made, self.components, recipe.net)
        return Portions(made, servings, recipe.yields.pieces, whole, self.components, recipe.net)

    def _possible(self, made: Dish, *, sent: bool) -> Dish:
        """The dish, with what is said of a weight that cannot be; InputError where its recipe was just `sent`.

        What was saved is worked out whatever is refused now, so that figures that were published still come out.
        """
        fault = weight_fault(made, self.components)
        if fault is None:
            return made
        if sent:
            raise fault
        return replace(made, fault=str(fault), notes=(*made.notes, f"this cannot be: {fault}"))


def _by_section(recipe: Recipe, results: Sequence[LineResult]) -> list[LineResult]:
    """The results of all lines, each read as one of its section's list; those of swaps stand alone."""
    found: list[LineResult] = []
    for section in recipe.sections:
        found += in_their_list(results[len(found) : len(found) + len(section.lines)])
    for one in results[len(found) :]:
        found += in_their_list([one])
    return found


def weight_of(part: PartResult) -> Spread | None:
    """Grams of a part of a line, as the line gives them; None for what is no food and where no weight is known."""
    return None if part.outcome == "not_food" else _spread(part.grams)


def _spread(weight: GramWeight | None) -> Spread | None:
    if weight is None or weight.value is None:
        return None
    low = weight.value if weight.low is None else weight.low
    return Spread(weight.value, min(low, weight.value), weight.value if weight.high is None else weight.high)


def _recipe_entry(food_id: str, recipe: Recipe, made: Dish) -> FoodEntry:
    """The recipe as a food entry whose household measure is its piece, where all of it has a weight."""
    pieces, name = recipe.yields.pieces, recipe.yields.piece_name
    measures: tuple[HouseholdMeasure, ...] = ()
    if pieces and name and made.whole_weight is not None:
        measures = (HouseholdMeasure(1.0, singular(fold(name)), made.cooked.value / pieces),)
    return FoodEntry(food_id, recipe.title, group_name="Recipes", measures=measures)
