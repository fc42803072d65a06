"""From lines to results: parse -> find the food -> weigh -> components. The one place where the steps meet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from service.core.amount import Amount, MeasureWords
from service.core.errors import InputError, NotFoundError
from service.core.food import FoodEntry, FoodTable
from service.core.food_choice import Outcome, choose, weakest
from service.core.food_index import FacetWords, FoodIndex
from service.core.food_match import FoodMatcher, Match
from service.core.gram_weight import GramWeight, WeightTables, measure_kind, weigh
from service.core.ingredient_line import parse_line
from service.core.noun_phrase import Phrase
from service.core.nutrients import component_amounts
from service.core.part import Part
from service.core.vocabulary import Name, Vocabulary

LINE_LIMIT = 1000
# Lists of candidates that are kept, since lines name the same foods.
MOST_LISTED = 20_000


@dataclass(frozen=True, slots=True)
class Candidate:
    """A food entry that a phrase may mean; `confidence` is a calibrated share of 1."""

    food: FoodEntry
    confidence: float


@dataclass(frozen=True, slots=True)
class PartResult:
    """One food of a line. `components` maps tagnames to amounts in `grams`, None where unknown.

    named  the tables know the name, or a word of it as a food, though perhaps no entry for it
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


@dataclass(frozen=True, slots=True)
class LineResult:
    """A line with what it was taken to mean; the outcome is the weakest of its parts'."""

    line: str
    outcome: Outcome
    parts: tuple[PartResult, ...]
    reasons: tuple[str, ...] = ()


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


class Resolver:
    """Resolves lines against one table of foods; not for use by several threads at once."""

    def __init__(self, table: FoodTable, tables: Tables) -> None:
        self.table, self._tables = table, tables
        self.index = FoodIndex(table, tables.facet_words, tables.uses)
        self.vocabulary = Vocabulary(tables.words, tables.names, other_words=self.index.postings)
        self.matcher = FoodMatcher(self.index, self.vocabulary, tables.neutral)
        self._listed: dict[tuple[tuple[int, ...], float], tuple[Candidate, ...]] = {}
        self._columns = {component.tagname: place for place, component in enumerate(table.components)}

    def resolve(self, line: str, *, components: Sequence[str] | None = None) -> LineResult:
        """What a line means; `components` are tagnames, or ("all",). Unknown tagnames raise NotFoundError."""
        columns = self._wanted(components)
        if len(line) > LINE_LIMIT:
            reason = f"the line has {len(line):,} characters; at most {LINE_LIMIT:,} are read"
            return LineResult(line, "no_match", (), (reason,))
        parsed = parse_line(line, self.vocabulary, self._tables.measures)
        if not parsed.parts:
            return LineResult(line, "not_food", (), (parsed.reason,) if parsed.reason else ())
        parts = tuple(self._part(part, columns) for part in parsed.parts)
        if all(part.food is None and part.amount is None and not part.named for part in parts):
            return LineResult(line, "not_food", (), ("no amount and no known food: taken as a heading or a note",))
        return LineResult(line, weakest([part.outcome for part in parts]), parts)

    def _wanted(self, components: Sequence[str] | None) -> Mapping[str, int]:
        if not components:
            return {}
        if tuple(components) == ("all",):
            return self._columns
        unknown = [tagname for tagname in components if tagname not in self._columns]
        if unknown:
            raise NotFoundError(f"no component has the tagname {unknown[0]!r}", pointer="/components")
        return {tagname: self._columns[tagname] for tagname in components}

    def _part(self, part: Part, columns: Mapping[str, int]) -> PartResult:
        match, phrase = self._match(part)
        if not match.found:
            choice = choose(part, match, None)
            return PartResult(
                part.text, choice.outcome, 0.0, None, (), part.amount, None, {}, choice.reasons,
                named=match.name is not None or not self.vocabulary.nouns.isdisjoint(phrase.tokens),
            )
        food = self.index.entry(match.places[0])
        weight = self._weigh(part, phrase, food)
        choice = choose(part, match, weight, food.group_name)
        if choice.outcome == "no_match":
            candidates = self._candidates(match)
            return PartResult(part.text, "no_match", 0.0, None, candidates, part.amount, None, {}, choice.reasons)
        amounts = component_amounts(self.table.amounts[match.places[0]], weight.value, columns) if columns else {}
        return PartResult(
            part.text, choice.outcome, choice.confidence, food, self._candidates(match), part.amount, weight,
            amounts, choice.reasons, part.optional,
        )

    def _match(self, part: Part) -> tuple[Match, Phrase]:
        """The match of the counted phrase; an alternative stands in where the first names nothing."""
        kind = measure_kind(part.amount)
        first: tuple[Match, Phrase] | None = None
        for phrase in part.phrases:
            match = self.matcher.match(part, phrase, kind)
            if match.found:
                return match, phrase
            first = first or (match, phrase)
        if first is None:
            return Match(reasons=("no food is named",)), Phrase("", ())
        return first

    def _weigh(self, part: Part, phrase: Phrase, food: FoodEntry) -> GramWeight:
        return weigh(
            part.amount, food, words=part.words, states=phrase.states, tokens=phrase.tokens,
            preparations=phrase.preparations, as_purchased=part.as_purchased, drained=part.drained,
            taken=part.taken, tables=self._tables.weights,
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
        parsed = parse_line(words[:LINE_LIMIT], self.vocabulary, self._tables.measures)
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
