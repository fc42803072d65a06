"""From lines to results: parse -> find the food -> weigh -> components. The one place where the steps meet."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache, partial
from itertools import chain
from typing import Literal
from weakref import proxy

import numpy as np

from service.core.amount import Amount, MeasureWords
from service.core.bare_line import Heads, is_capitalized
from service.core.clause import SEASONINGS
from service.core.counted_raw import FRESH, RawTwins, as_fresh, counts_fresh, less_water
from service.core.errors import InputError, NotFoundError
from service.core.food import FoodEntry, FoodTable
from service.core.food_choice import Choice, Outcome, choose, of_line, weakest
from service.core.food_index import FacetWords, FoodIndex
from service.core.food_match import FoodMatcher, Match
from service.core.gram_weight import weigh
from service.core.ingredient_line import IngredientLine, parse_line
from service.core.kitchen import (
    RECIPE_PREFIX,
    Content,
    Kitchen,
    KitchenFood,
    Marked,
    Named,
    begins_with_amount,
    chosen_weight,
    counts_whole,
    own_weight,
    recipe_weight,
    said_otherwise,
    takes_rest,
    words_of,
)
from service.core.measure import measure_kind
from service.core.name_doubts import EntryKinds, doubts_of_amount
from service.core.namesake import Namesakes
from service.core.near_equal import NearEntries
from service.core.no_food import GIVES, HEADING, LABEL_LINE, MADE, TITLE
from service.core.noun_phrase import ADJECTIVES, Phrase
from service.core.nutrients import KnownAmounts, amounts_in, component_amounts, known_amounts
from service.core.part import Part
from service.core.portion import FOR_ONE
from service.core.sisters import sisters
from service.core.text import STAND_IN
from service.core.twins import twins, weighed_as
from service.core.values import quick
from service.core.vocabulary import ANY_AMOUNT, Name, TitleWords, Vocabulary
from service.core.weighed_line import GramWeight, WeightTables
from service.core.weight_doubts import may_differ

LINE_LIMIT = 1000
By = Literal["", "by hand", "standing choice", "own food", "saved recipe"]
# Lists of candidates, and entries put together, that are kept, since lines name the same foods.
MOST_LISTED = 20_000
# Foods whose known amounts are kept as plain numbers, about 6 kB each.
MOST_AMOUNTS = 1_500


@quick
@dataclass(frozen=True, slots=True)
class Candidate:
    """A food entry that a phrase may mean; `confidence` is a calibrated share of 1."""

    food: FoodEntry
    confidence: float


@quick
@dataclass(frozen=True, slots=True)
class PartResult:
    """One food of a line. `components` maps tagnames to amounts in `grams`, None where unknown.

    named  the tables know the name, or a word of it as a food, though perhaps no entry for it
    by     who chose the food, where it was not found in the tables: see `By`
    borrowed  of `components`, those that come from the same food in another table: tagname -> id of that entry
    derived   of `components`, those that are worked out from published ones: tagname -> the formula per 100 g
    """

    text: str
    outcome: Outcome
    confidence: float
    food: FoodEntry | None
    candidates: tuple[Candidate, ...]
    amount: Amount | None
    grams: GramWeight | None
    components: Mapping[str, float | None] = field(default_factory=dict)
    reasons: tuple[str, ...] = ()
    optional: bool = False
    named: bool = False
    by: By = ""
    borrowed: Mapping[str, str] = field(default_factory=dict)
    derived: Mapping[str, str] = field(default_factory=dict)


@quick
@dataclass(frozen=True, slots=True)
class LineResult:
    """A line with what it was taken to mean; the outcome is the weakest of its parts', as `of_line` has it.

    unread  it was taken for a title or note, though it may be food: no word of it is known, or it heads nothing
    heads   what it may head by its words alone; whether it does, the lines around it tell: see line_list
    """

    line: str
    outcome: Outcome
    parts: tuple[PartResult, ...]
    reasons: tuple[str, ...] = ()
    unread: bool = False
    heads: Heads = ""


def _unread(line: str, parts: Sequence[PartResult]) -> bool:
    """Whether a line without an amount may be a title or note, since nothing in it is known and it is in Latin letters.

    Titles of dishes are endless; that it was so taken is said with every total.
    """
    if any(part.food is not None or part.named for part in parts):
        return False
    return any(char.isascii() and char.isalpha() for char in line)


_HEADS = frozenset({HEADING, MADE, TITLE})


@dataclass(frozen=True, slots=True)
class Tables:
    """All hand-kept tables that resolving needs, as service.tables loads them."""

    words: Mapping[str, tuple[str, str]]
    names: tuple[Name, ...]
    facet_words: FacetWords
    uses: Mapping[str, int]
    neutral: frozenset[str]
    measures: MeasureWords
    weights: WeightTables
    titles: TitleWords
    plain_words: frozenset[str]
    abroad: frozenset[str]
    entry_kinds: EntryKinds


def vocabulary_of(tables: Tables) -> Vocabulary:
    """The words and names of the tables, to be read with beside those of descriptions: see `Vocabulary.beside`."""
    return Vocabulary(
        tables.words, tables.names, titles=tables.titles, plain_words=tables.plain_words, abroad=tables.abroad
    )


# Answers that a resolver keeps for `recall`; each takes some 3 KB.
MOST_REMEMBERED, REMEMBERED_LENGTH, FEW_COMPONENTS = 8_000, 200, 12
MOST_READ = 128  # lines kept as read: those of a recipe
# How often a line is read anew since a name of the kitchen was but part of another name.
_MOST_READINGS = 4
# One of these is known of every food that was analysed as a whole.
_WHOLE_FOOD = ("ENERC_KCAL", "FAT", "CHOCDF", "CHOAVL", "CHOAVLDF")
_GROUPS = {"own": "Own foods", "recipe": "Recipes"}
_KITCHEN_IDS = frozenset(_GROUPS)
# Stands for the food of a line that does not name it.
_NAMELESS = f"{STAND_IN}z"
_CHOSEN = frozenset({"by hand", "standing choice", "own food", "saved recipe"})


def _in_place_of(first: Match, phrase: Phrase, match: Match, *, counted: bool) -> Match:
    """The match of an alternative, where the tables have nothing for the phrase that is named first.

    It is certain where it may be the same food in another language, "dhania / coriander seeds", and no title,
    "(foreign) / lobio"; not where the first is a food that the tables lack: "2 tbsp erythritol or sugar".
    """
    lacking = first.name is not None and first.name.kind == "absent"
    known = f"the tables have no entry for '{phrase.text}'" if lacking else f"nothing is known of '{phrase.text}'"
    reason = f"{known}; the alternative that the line names is counted"
    return replace(match, reasons=(*match.reasons, reason), certain=match.certain and counted and not lacking)


def _without_food(part: Part, choice: Choice) -> PartResult:
    """The result of a part for which no entry is counted."""
    return PartResult(
        text=part.text, outcome=choice.outcome, confidence=0.0, food=None, candidates=(), amount=part.amount,
        grams=None, reasons=choice.reasons, optional=part.optional,
    )  # fmt: skip


class Resolver:
    """Resolves lines against one table of foods; not for use by several threads at once."""

    def __init__(
        self, table: FoodTable, tables: Tables, vocabulary: Vocabulary | None = None, before: Resolver | None = None
    ) -> None:
        """`vocabulary`: that of the tables, if made before; `before`: one with an index over much the same."""
        self.table, self._tables = table, tables
        self.index: FoodIndex = FoodIndex(table, tables.facet_words, tables.uses, before.index if before else None)
        self.vocabulary = (vocabulary or vocabulary_of(tables)).beside(self.index.postings)
        self._near = NearEntries(self.index, self.vocabulary, tables.neutral)
        self._namesakes = Namesakes(self.index, self._near, self.vocabulary.datasets)
        self.matcher = FoodMatcher(self.index, self.vocabulary, tables.neutral, self._namesakes)
        states = {form for form, (kind, _) in tables.words.items() if kind == "state"}
        self._telling_nothing = tables.neutral - states  # of a food of the kitchen, which has no entry for each state
        self._twins = twins(table)
        self._sisters = sisters(table.foods)
        self._raw = RawTwins(table.foods)
        self._both: dict[tuple[str, str, bool], FoodEntry] = {}  # entries as `weighed_as` puts them together
        self._listed: dict[tuple[tuple[int, ...], float], tuple[Candidate, ...]] = {}
        self._known: dict[int, KnownAmounts] = {}
        self._columns = {component.tagname: place for place, component in enumerate(table.components)}
        self._unknown = dict.fromkeys(self._columns)
        # a recipe's text is read twice: for its headings, then line by line
        self._read = lru_cache(MOST_READ)(partial(parse_line, vocabulary=self.vocabulary, measures=tables.measures))
        # By a weak proxy: in a circle it would stay after another took its place, where nobody collects circles
        self.remembered = lru_cache(MOST_REMEMBERED)(partial(Resolver._remember, proxy(self)))

    def recall(
        self, line: str, *, components: Sequence[str] | None = None, kitchen: Kitchen | None = None
    ) -> LineResult:
        """As `resolve`, from memory where the same was asked lately: for servers, which are asked it again and again.

        Kept are lines of an ordinary length with a few components that mean the same in every kitchen.
        """
        asked = tuple(components or ())
        if kitchen or len(line) > REMEMBERED_LENGTH or len(asked) > FEW_COMPONENTS or asked == ("all",):
            return self.resolve(line, components=components, kitchen=kitchen)
        return self.remembered(line, asked)

    def _remember(self, line: str, components: tuple[str, ...]) -> LineResult:
        return self.resolve(line, components=components)

    def resolve(
        self,
        line: str,
        *,
        components: Sequence[str] | None = None,
        kitchen: Kitchen | None = None,
        food: str | None = None,
        grams: float | None = None,
    ) -> LineResult:
        """What a line means; `components` are tagnames, or ("all",). Unknown tagnames raise NotFoundError.

        `kitchen` has the writer's own foods, recipes and standing choices; `food` (an id) and `grams` overrule what
        the text says, `grams` only where it names one food (else InputError).
        """
        columns = self._wanted(components)
        if len(line) > LINE_LIMIT:
            reason = f"the line has {len(line):,} characters; at most {LINE_LIMIT:,} are read"
            return LineResult(line, "no_match", (), (reason,))
        if food is not None:
            return self._by_hand(line, self.known(food, kitchen), columns, grams)
        parsed, meant = self._parsed(line, kitchen) if kitchen else (self.read(line), {})
        if not parsed.parts:
            told, heads = (parsed.reason,) if parsed.reason else (), self._heads(line, parsed)
            return LineResult(line, "not_food", (), told, unread=parsed.reason == GIVES, heads=heads)
        if kitchen:
            parts = tuple(self._kitchen_part(part, columns, kitchen, meant) for part in parsed.parts)
        else:
            parts = tuple(self._part(part, columns) for part in parsed.parts)
        if grams is not None:
            parts = self._reweighed(parts, columns, grams, kitchen)
        counted = any(part.amount is not None or part.to_taste for part in parsed.parts)  # "nun - to taste" is food
        if not counted and (_unread(line, parts) or self._is_plain(parsed, parts)):
            reason = "no amount and no known food: taken for a heading or a note"
            return LineResult(line, "not_food", (), (reason,), True)
        if (unknown := self._unknown_head(parsed)) and not any(part.by for part in parts) and is_capitalized(line):
            reason = f"no amount, capital letters, and nothing is known of '{unknown}': taken for a title"
            return LineResult(line, "not_food", (), (reason,), True)
        if parsed.doubt and parts[-1].outcome == "resolved" and not any(part.by for part in parts):
            parts = (*parts[:-1], replace(parts[-1], outcome="check", reasons=(*parts[-1].reasons, parsed.doubt)))
        return LineResult(line, of_line([part.outcome for part in parts]), self._with_origins(parts))

    def _is_plain(self, parsed: IngredientLine, parts: Sequence[PartResult]) -> bool:
        """Whether nothing but plain words stands in a line without an amount, though descriptions have them too."""
        if any(part.named or part.by or (part.food and part.optional) for part in parts):
            return False
        phrases = [part.phrases[0].tokens for part in parsed.parts if part.phrases]
        named = any(self.vocabulary.find(words[-1], frozenset(words[:-1]), ANY_AMOUNT) for words in phrases if words)
        said = (word for part in parsed.parts for word in part.words if " " not in word)
        plain = all(map(self.vocabulary.is_plain, chain.from_iterable(phrases)))
        return not named and bool(phrases) and plain and self.vocabulary.heads.isdisjoint(said)

    def _unknown_head(self, line: IngredientLine) -> str:
        """The last word of a single food without an amount, where no table and no description knows it, else ""."""
        if len(line.parts) > 1 or line.parts[0].amount is not None or not line.parts[0].phrases:
            return ""
        head = line.parts[0].phrases[0].tokens[-1]
        return "" if self.vocabulary.is_word(head) or head in self.index.postings else head

    def read(self, line: str) -> IngredientLine:
        """A line read into parts, not yet matched with the tables."""
        return self._read(line)

    def heads(self, line: str) -> Heads:
        """What a line may head by its words; one that is too long to be read heads nothing."""
        return "" if len(line) > LINE_LIMIT else self._heads(line, self.read(line))

    def _heads(self, line: str, parsed: IngredientLine) -> Heads:
        """A title names a dish; words of headings may name a dish or an entry too, but not as headings begin."""
        if parsed.reason not in _HEADS:
            return ""
        if parsed.reason == MADE:
            return "part"
        begins = next(filter(str.isalpha, line), "")
        named = parsed.reason == TITLE or (begins.islower() and self._names_dish_or_entry(words_of(line)))
        return "food" if named else "heading"

    def _names_dish_or_entry(self, words: Sequence[str]) -> bool:
        name = self.vocabulary.find(words[-1], frozenset(words[:-1]), ANY_AMOUNT) if words else None
        dishes = self.vocabulary.titles.dishes
        known = name is not None and name.food_id is not None
        return known or any(" ".join(words[-size:]) in dishes for size in (1, 2))

    def _with_origins(self, parts: tuple[PartResult, ...]) -> tuple[PartResult, ...]:
        """The parts with what is borrowed or worked out of their components, where the table has any such."""
        return tuple(map(self._with_origin, parts)) if self.table.borrowed or self.table.derived else parts

    def _with_origin(self, part: PartResult) -> PartResult:
        borrowed, derived = (self._told(part, origins) for origins in (self.table.borrowed, self.table.derived))
        return replace(part, borrowed=borrowed, derived=derived) if borrowed or derived else part

    @staticmethod
    def _told(part: PartResult, origins: Mapping[str, Mapping[str, str]]) -> Mapping[str, str]:
        """The origins of those components that the part has."""
        told = origins.get(part.food.id, {}) if part.food is not None else {}
        return {tagname: origin for tagname, origin in told.items() if part.components.get(tagname) is not None}

    def _wanted(self, components: Sequence[str] | None) -> Mapping[str, int]:
        if not components:
            return {}
        if tuple(components) == ("all",):
            return self._columns
        unknown = [tagname for tagname in components if tagname not in self._columns]
        if unknown:
            raise NotFoundError(f"no component has the tagname {unknown[0]!r}", pointer="/components")
        return {tagname: self._columns[tagname] for tagname in components}

    # ---- what a kitchen and its writer say -----------------------------------------------------------------

    def known(self, food_id: str, kitchen: Kitchen | None = None) -> KitchenFood:
        """A food by its id: an entry of the tables, an own food or a saved recipe; else NotFoundError."""
        place = self.index.places.get(food_id)
        if place is not None:
            return KitchenFood(self.index.entry(place), lambda: Content(self.table.amounts[place]))
        if kitchen is None or food_id.partition(":")[0] not in _KITCHEN_IDS:
            raise NotFoundError(f"no food has the id {food_id!r}{self._looked_in(food_id)}", pointer="/food")
        return kitchen.fetch(food_id)

    def _looked_in(self, food_id: str) -> str:
        """The release in which a food of a dataset in use is not: another one may have had it."""
        found = [one for one in self.table.releases if one.dataset == food_id.partition(":")[0]]
        return f" in release {found[0].release}, which answers now" if found else ""

    def _by_hand(self, line: str, food: KitchenFood, columns: Mapping[str, int], grams: float | None) -> LineResult:
        part = self._part_by_hand(line)
        result = self._chosen(part, food, columns, "by hand", line)
        if grams is not None:
            result = self._with_grams(result, food, columns, grams)
        elif part.amount is None and any(map(str.isdigit, line)):
            unread = "its figures were not read as an amount"
            result = replace(result, outcome="check", reasons=(*result.reasons, unread))
        return LineResult(line, result.outcome, self._with_origins((result,)))

    def _part_by_hand(self, line: str) -> Part:
        """What a line says of a food chosen for it; one that names none ("100 g block") is read with a name."""
        read = self.read(line)
        if read.parts or read.reason == LABEL_LINE:
            return read.parts[0] if read.parts else Part(line, None, ())
        amount, comma, rest = line.partition(",")
        parts = self.read(f"{amount} {_NAMELESS}{comma}{rest}").parts
        counted = len(parts) == 1 and parts[0].amount is not None
        return replace(parts[0], text=line) if counted else Part(line, None, ())

    def _parsed(self, line: str, kitchen: Kitchen) -> tuple[IngredientLine, Mapping[str, Named]]:
        """The line read with stand-ins for the kitchen's names; a name that is but part of a phrase is left."""
        leaving, first = frozenset[str](), None
        for _ in range(_MOST_READINGS):
            marked = kitchen.marked(line, leaving=leaving)
            if not marked.names:
                break
            parsed, first = self.read(marked.text), first or marked
            whole = {part.phrases[0].tokens for part in parsed.parts if part.phrases}
            partial = frozenset(named.written for mark, named in marked.names.items() if (mark,) not in whole)
            if not partial:
                return parsed, marked.names
            leaving |= partial
        parsed = self.read(line)
        heads = parsed.reason in _HEADS and (line.rstrip().endswith(":") or not begins_with_amount(line))
        noted = None if parsed.parts or first is None or heads else self._in_note(first)
        return noted or (parsed, {})

    def _in_note(self, marked: Marked) -> tuple[IngredientLine, Mapping[str, Named]] | None:
        """An amount of a name of the kitchen where else no food is named: not passed over, though perhaps not read."""
        for mark, named in marked.names.items():
            clause = re.split(r"[:;,(]", marked.text[: marked.text.index(mark)])[-1]
            parts = self.read(f"{clause}{mark}").parts
            counted = len(parts) == 1 and (parts[0].amount is not None or named.batch)
            if counted and parts[0].phrases and parts[0].phrases[0].tokens == (mark,):
                doubts = (*named.doubts, "what the line says beside it was not read")
                return IngredientLine(marked.text, parts), {mark: replace(named, doubts=doubts)}
        exact = next(((mark, named) for mark, named in marked.names.items() if named.exact), None)
        if exact is None or not begins_with_amount(marked.text):
            return None
        mark, named = exact
        doubts = (*named.doubts, "how much of it the line means was not read")
        return IngredientLine(marked.text, self.read(mark).parts), {mark: replace(named, doubts=doubts)}

    def _kitchen_part(
        self, part: Part, columns: Mapping[str, int], kitchen: Kitchen, meant: Mapping[str, Named]
    ) -> PartResult:
        tokens = part.phrases[0].tokens if part.phrases else ()
        name = meant.get(tokens[0]) if len(tokens) == 1 else None
        if name is not None:
            return self._named_by_kitchen(replace(part, text=name.written), name, columns, kitchen)
        ruled = kitchen.ruled(part)
        result = self._part(replace(part, amount=ruled.amount) if ruled.amount is not part.amount else part, columns)
        if not ruled.reason or result.food is None:
            return result
        weighs = ruled.grams_each is not None and part.amount is not None
        guessed = result.grams.reasons if weighs and result.grams is not None else ()
        kept = (reason for reason in result.reasons if reason not in guessed)
        result = replace(result, reasons=(*kept, ruled.reason), by="standing choice")
        if ruled.grams_each is None or part.amount is None:
            return result
        return self._with_weight(result, columns, chosen_weight(part.amount, ruled.grams_each, ruled.reason))

    def _named_by_kitchen(
        self, part: Part, name: Named, columns: Mapping[str, int], kitchen: Kitchen
    ) -> PartResult:
        by: By = "standing choice"
        if " ".join(words_of(part.text)) not in kitchen.chosen:
            by = "saved recipe" if name.food.startswith(RECIPE_PREFIX) else "own food"
        try:
            food = self.known(name.food, kitchen)
        except InputError as error:
            missing = isinstance(error, NotFoundError)
            if kitchen.in_recipe and not missing:
                raise
            why = f"names {name.food}, which is not there" if missing else f"cannot be worked out: {error}"
            return PartResult(
                part.text, "check", 0.0, None, (), part.amount, None,
                reasons=(f"the {by} for '{part.text}' {why}",), named=True, by=by,
            )  # fmt: skip
        result = self._chosen(part, food, columns, by, name.before, batch=name.batch)
        doubts = list(self._doubts_of_name(part, name, food, result.grams))
        if not doubts:
            return result
        # Those that go by the same name are not worked out: one of them may name this very recipe.
        others = [replace(food.entry, id=one, group_name=_GROUPS[one.partition(":")[0]]) for one in name.others]
        shared = tuple(Candidate(one, round(1 / (len(others) + 1), 4)) for one in (food.entry, *others))
        return replace(
            result, outcome=weakest(["check", result.outcome]),
            reasons=tuple(dict.fromkeys((*doubts, *result.reasons))),
            confidence=shared[0].confidence if others else 0.9,
            candidates=shared if others else result.candidates,
        )  # fmt: skip

    def _doubts_of_name(self, part: Part, name: Named, food: KitchenFood, weight: GramWeight | None) -> Iterator[str]:
        """Why somebody should look at what a name of the kitchen was taken to mean, and at how much of it."""
        if name.others:
            ids = " and ".join((name.food, *name.others))
            yield f"'{part.text}' is the name of {ids}: choose the one that is meant"
        if not name.exact:
            yield f"taken to mean {food.entry.description}"
        elif counts_whole(part.amount, name, food):
            yield "counted as whole recipes: say 'serving of' or 'batch of' before its name"
        if takes_rest(name) and (weight is None or weight.value is None):
            yield "how much of it is left is not known"
        yield from (one for one in name.doubts if one != FOR_ONE or part.amount is not None)
        yield from doubts_of_amount(part, None)
        yield from said_otherwise(part, food, self._telling_nothing)
        guessed = weight is not None and (may_differ(weight) or weight.rule.startswith("piece default"))
        if guessed and name.food.partition(":")[0] in _KITCHEN_IDS:
            yield f"what '{part.text}' weighs in this measure is a guess"

    def _chosen(
        self, part: Part, food: KitchenFood, columns: Mapping[str, int], by: By, before: str, *, batch: bool = False
    ) -> PartResult:
        """A food that a person chose: nothing about it is uncertain but perhaps its weight."""
        phrase = part.phrases[0] if part.phrases else Phrase(part.text, ())
        own = own_weight(part.amount, food.entry) if food.entry.dataset == "own" else None
        weight = recipe_weight(part.amount, before, food, batch=batch) or own or self._weigh(part, phrase, food.entry)
        unweighed = part.amount is not None and weight.value is None
        doubts = [one for one in doubts_of_amount(part, None) if one == FOR_ONE]
        doubts += [weight.basis if weight.share else "no weight is known for this amount"] if unweighed else []
        reasons = (by, *weight.reasons, *doubts)
        amounts = component_amounts(food.content().row, weight.value, columns) if columns else {}
        return PartResult(
            part.text, "check" if doubts else "resolved", 1.0, food.entry, (Candidate(food.entry, 1.0),),
            part.amount, weight, amounts, reasons, part.optional, True, by,
        )  # fmt: skip

    def _reweighed(
        self, parts: tuple[PartResult, ...], columns: Mapping[str, int], grams: float, kitchen: Kitchen | None
    ) -> tuple[PartResult, ...]:
        if len(parts) != 1:
            raise InputError("grams can be given for a line that names one food", pointer="/grams")
        part = parts[0]
        return (
            part if part.food is None else self._with_grams(part, self.known(part.food.id, kitchen), columns, grams),
        )

    def _with_grams(self, part: PartResult, food: KitchenFood, columns: Mapping[str, int], grams: float) -> PartResult:
        weight = GramWeight(grams, grams, grams, "by hand", f"{grams:g} g", True)
        amounts = component_amounts(food.content().row, grams, columns) if columns else {}
        outcome: Outcome = part.outcome
        if part.by in _CHOSEN and part.food is not None and len(part.candidates) < 2:
            outcome = "resolved"
        return replace(
            part, outcome=outcome, grams=weight, components=amounts, reasons=(*part.reasons, "grams by hand")
        )

    def _with_weight(self, part: PartResult, columns: Mapping[str, int], weight: GramWeight) -> PartResult:
        assert part.food is not None
        row = self.table.amounts[self.index.places[part.food.id]]
        amounts = component_amounts(row, weight.value, columns) if columns else {}
        return replace(part, grams=weight, components=amounts)

    # ---- what the tables say -------------------------------------------------------------------------------

    def _part(self, part: Part, columns: Mapping[str, int]) -> PartResult:
        match, phrase = self._match(part)
        if match.found and phrase.amount is not None and self._names_something(part.phrases[0]):
            part = replace(part, amount=phrase.amount)  # an alternative that is counted in place of the first
        if not match.found:
            named = match.name is not None or not self.vocabulary.nouns.isdisjoint(phrase.tokens)
            return replace(_without_food(part, choose(part, match, None)), named=named)
        meant = match.places[0] if match.name is not None else None
        match, food, other = self._preferred(match, part, phrase)
        if other is None:
            weight = self._weigh(part, phrase, food)
        else:
            weight = self._weighed_as(part, phrase, food, other, itself=match.places[0] == meant)
        choice = choose(part, match, weight, food, self._tables.entry_kinds)
        if choice.outcome == "no_match":
            return replace(_without_food(part, choice), candidates=self._candidates(match))
        if (fresh := as_fresh(part, phrase)) and (counted := self._counted_fresh(fresh, food, weight, columns)):
            return counted
        amounts = self._amounts(match.places[0], weight.value, columns) if columns else {}
        return PartResult(
            text=part.text, outcome=choice.outcome, confidence=choice.confidence, food=food,
            candidates=self._candidates(match), amount=part.amount, grams=weight, components=amounts,
            reasons=choice.reasons, optional=part.optional,
        )  # fmt: skip

    def _counted_fresh(
        self, fresh: Part, dried: FoodEntry, weight: GramWeight, columns: Mapping[str, int]
    ) -> PartResult | None:
        """The part as the fresh food, where the pieces that the line counts are of that."""
        found = self._part(fresh, columns)
        if found.food is None or found.food.id == dried.id or not counts_fresh(fresh, dried, weight, found.grams):
            return None
        return replace(found, outcome=weakest(["check", found.outcome]), reasons=(*found.reasons, FRESH))

    def _preferred(self, match: Match, part: Part, phrase: Phrase) -> tuple[Match, FoodEntry, FoodEntry | None]:
        """The match as the preferred table has the food; its entry, and the same food elsewhere, None where nowhere."""
        first = self.index.entry(match.places[0])
        same = [self.index.places[one] for one in self._twins.get(first.id, ())]
        said = [place for place in self.matcher.said_by(part, phrase, match) if self._is_like(place, match)]
        found = min((match.places[0], *same, *said), key=self._preference) if same or said else match.places[0]
        near = self._near_to(match, phrase, found)
        found = found if near is None else near
        stood = self._namesakes.named(match.name) if match.name is not None and found == match.places[0] else None
        known = [self.index.places[stood.food_id or ""]] if stood is not None else [match.places[0], *same]
        others = [self.index.entry(place) for place in known if place != found]
        if not others:
            return match, first, None
        food = self.index.entry(found)
        named = " and ".join(f"{one.id} '{one.description}'" for one in others)
        reason = f"preferred to {named}"
        if stood is not None:
            stands_in = "only stands in for it" if stood.kind == "near" else "has it under another name"
            reason += f", which {stands_in}: {food.dataset} has the food itself"
        elif near is not None:
            reason += f", near-equal by name, state and figures: {food.dataset} is asked before {first.dataset}"
        elif found == match.places[0] or found in same:
            reason += ", the same food by its publisher"
            other = self.index.places[others[0].id]
            if self._preference(other)[0]:
                reason += ", of which it gives no energy, fat or carbohydrate"
            if apart := self._near.difference(found, other):
                reason += f", but {apart}"
                match = replace(match, certain=match.certain and found == match.places[0])
        else:
            reason += f", as the line says its whole description: {food.dataset} is asked before {first.dataset}"
        places = (found, *(place for place in match.places if place != found))
        scores = (match.scores[0], *match.scores)[: len(places)]
        match = replace(match, places=places, scores=scores, reasons=(*match.reasons, reason))
        return match, food, others[0]

    def _is_like(self, place: int, match: Match) -> bool:
        """Whether an entry whose description the line says may be the food that a name in it means."""
        return match.name is None or not self._near.is_unlike(place, match.places[0])

    def _near_to(self, match: Match, phrase: Phrase, found: int) -> int | None:
        """The near-equal entry of a table that is preferred to that of what was found, where a name found the food."""
        if match.name is None or match.foreign or not self.index.ranks[found]:
            return None
        said = frozenset(phrase.tokens) | phrase.qualifiers
        near = self._near.of(match.name, match.places[0], said)
        closer = near is not None and self.index.ranks[near] < self.index.ranks[found]
        return near if closer else None

    def _weighed_as(
        self, part: Part, phrase: Phrase, food: FoodEntry, other: FoodEntry, *, itself: bool
    ) -> GramWeight:
        """The weight by what is known of the entry and of the same food elsewhere, which is named where that tells.

        `itself`: a name stands for the entry, which so keeps its own words.
        """
        key = (food.id, other.id, itself)
        both = self._both.get(key)
        if both is None:
            if len(self._both) >= MOST_LISTED:
                self._both.clear()
            both = self._both[key] = weighed_as(food, other, itself=itself)
        weight = self._weigh(part, phrase, both)
        if weight.rule == "stated mass":
            return weight
        own = self._weigh(part, phrase, food)
        if weight.value is None or (weight.value, weight.basis) == (own.value, own.basis):
            return weight
        return replace(weight, reasons=(*weight.reasons, f"weighed by what is known of {other.id}"))

    def _preference(self, place: int) -> tuple[bool, int]:
        """What decides between entries of one food: whether its table analysed the whole food, then the table's rank.

        Of some foods, most of them oils, a table gives single fatty acids and minerals only.
        """
        columns = [self._columns[tagname] for tagname in _WHOLE_FOOD if tagname in self._columns]
        unknown = bool(columns) and bool(np.isnan(self.table.amounts[place, columns]).all())
        return unknown, int(self.index.ranks[place])

    def _amounts(self, place: int, grams: float | None, columns: Mapping[str, int]) -> dict[str, float | None]:
        """Components in `grams` of a food of the table; its known amounts are kept, since lines name the same foods."""
        known = self._known.get(place)
        if known is None:
            if len(self._known) >= MOST_AMOUNTS:
                self._known.clear()
            known = self._known[place] = known_amounts(self.table.amounts[place], self._columns)
        found = amounts_in(grams, known, self._unknown)
        return found if columns is self._columns else {tagname: found[tagname] for tagname in columns}

    def _names_something(self, phrase: Phrase) -> bool:
        """Whether a phrase has a noun of its own: "2 long or 4 short cucumbers" counts two."""
        return any(token not in ADJECTIVES and token not in self.matcher.neutral for token in phrase.tokens)

    def _match(self, part: Part) -> tuple[Match, Phrase]:
        """The match of the counted phrase; an alternative stands in where the first names nothing."""
        first: tuple[Match, Phrase] | None = None
        for phrase in part.phrases:
            kind = measure_kind(phrase.amount or part.amount)
            if part.to_taste and part.amount is None and phrase.tokens and phrase.tokens[-1] in SEASONINGS:
                kind = "spoon"  # "salt and red pepper to taste": ground, not a vegetable
            elif kind == "none" and phrase.text.endswith("peppers"):
                kind = "piece"  # "peppers, chopped" are counted, and nobody counts ground pepper
            match = self.matcher.match(part, phrase, kind)
            if match.found and first is not None:
                return _in_place_of(*first, match, counted=part.amount is not None), phrase
            if match.found:
                return self._by_example(part, match, kind) or (match, phrase)
            first = first or (match, phrase)
        if first is None:
            return Match(reasons=("no food is named",)), Phrase("", ())
        return first

    def _by_example(self, part: Part, match: Match, kind: str) -> tuple[Match, Phrase] | None:
        """The match of a line's example, where its noun says no kind of it: "sweetener such as xylitol"; mostly None.

        A certain noun is told more closely by an example of it alone, "oil such as sunflower oil", and by none that it
        is only compared with: "vegan mince like beef mince".
        """
        if part.example is None:
            return None
        sure = match.certain and match.name is not None and match.name.kind == "name"
        general = match.name is None or match.name.kind == "default"
        if not general and (not sure or part.compared or part.phrases[0].tokens[-1] not in part.example.tokens):
            return None
        found = self.matcher.match(part, part.example, kind)
        reason = f"'{part.phrases[0].text}' is one of several; the line's example '{part.example.text}' is meant"
        return replace(found, certain=found.certain and sure, reasons=(*found.reasons, reason)), part.example

    def _weigh(self, part: Part, phrase: Phrase, food: FoodEntry) -> GramWeight:
        counted = self._raw.counted(part, phrase, food)
        return less_water(self._weighed(part, phrase, counted)) if counted else self._weighed(part, phrase, food)

    def _weighed(self, part: Part, phrase: Phrase, food: FoodEntry) -> GramWeight:
        return weigh(
            part.amount,
            food,
            words=part.words,
            states=phrase.states,
            tokens=phrase.tokens,
            preparations=phrase.preparations,
            as_purchased=part.as_purchased,
            drained=part.drained,
            taken=part.taken,
            tables=self._tables.weights,
            sisters=self._sisters.get(food.id, ()),
            piece=phrase.piece,
        )

    def _candidates(self, match: Match) -> tuple[Candidate, ...]:
        key = (match.places, match.confidence)
        found = self._listed.get(key)
        if found is None:
            if len(self._listed) >= MOST_LISTED:
                self._listed.clear()
            found = self._listed[key] = self._list(match)
        return found

    def _list(self, match: Match) -> tuple[Candidate, ...]:
        left = max(0.0, 1.0 - match.confidence)
        return tuple(
            Candidate(self.index.entry(place), round(match.confidence if order == 0 else left * 0.5**order, 4))
            for order, place in enumerate(match.places)
        )

    def search(self, words: str, *, limit: int = 20) -> tuple[Candidate, ...]:
        """Food entries for search words, best first."""
        asked = words[:LINE_LIMIT]
        parsed = parse_line(asked, self.vocabulary, self._tables.measures)
        if not parsed.parts and any(map(str.isalpha, asked)):
            # Words that alone are a dish's title or a heading name a food where they are weighed.
            parsed = parse_line(f"1 g {asked}", self.vocabulary, self._tables.measures)
        if not parsed.parts:
            raise InputError("the search has no words", pointer="/search")
        match, phrase = self._match(parsed.parts[0])
        found = list(match.places)
        tokens = {token for token in phrase.tokens if token in self.index.postings}
        if tokens:
            more = self.matcher.ranked(phrase, limit=limit)
            found += [place for place in more if place not in found]
        return tuple(
            Candidate(self.index.entry(place), match.confidence if order == 0 else 0.0)
            for order, place in enumerate(found[:limit])
        )

    def food(self, food_id: str) -> FoodEntry:
        """One entry by its public id."""
        place = self.index.places.get(food_id)
        if place is None:
            raise NotFoundError(f"no food has the id {food_id!r}", pointer="/id")
        return self.index.entry(place)
