"""From a phrase to food entries: names first, then facets, with the questions that decide how sure the answer is.

Unsaid state means as bought: the entry of a name's row says which state that is (raw, dry, uncooked). A stated
state moves to a sister entry with that state. A food noun of the line that the entry lacks is the best sign of a
wrong answer, so it is never passed over.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from service.core.food_index import STATE_BIT, STATES, FoodIndex
from service.core.noun_phrase import Phrase
from service.core.part import Part
from service.core.vocabulary import Name, Vocabulary

# What a difference of state costs, by trial on public lines: large, since raw against cooked changes the figures.
UNSAID_STATE = 0.9
MISSING_STATE = 1.4
NAME_BONUS = 0.7
MODIFIER = 1.3
# Rankings kept in memory; a ranking is two tuples of five.
MOST_RANKINGS = 20_000
# Places, best first, and their scores.
Ranking = tuple[tuple[int, ...], tuple[float, ...]]
_NEAR_STATES = {"cooked": "roasted", "roasted": "cooked"}
# Share of right foods by kind of name, on labelled lines of four writers (see DEVELOPERS.md, "Measure").
_CONFIDENCE = {"name": 0.985, "regional": 0.965, "trade": 0.965, "near": 0.91, "default": 0.85, "absent": 0.0}


@dataclass(frozen=True, slots=True)
class Match:
    """What a phrase was taken to mean: places of entries, best first, and the answers to the deciding questions."""

    places: tuple[int, ...] = ()
    scores: tuple[float, ...] = ()
    name: Name | None = None
    confidence: float = 0.0
    reasons: tuple[str, ...] = ()
    certain: bool = False
    foreign: frozenset[str] = field(default_factory=frozenset)

    @property
    def found(self) -> bool:
        return bool(self.places)


@lru_cache(maxsize=512)
def _state_cost(asked: frozenset[str], usual: int) -> NDArray[np.float32]:
    """Cost of each combination of entry states, for the states a line asks for and those of the usual entry."""
    costs = np.zeros(1 << len(STATES), dtype=np.float32)
    wanted = [state for state in asked if state in STATE_BIT and state != "raw"]
    for bits in range(len(costs)):
        has = {state for state in STATES if bits & STATE_BIT[state]}
        cost = 0.0
        for state in wanted:
            near = _NEAR_STATES.get(state, "")
            if state not in has:
                cost += 0.25 if near in has else MISSING_STATE
        for state in has:
            near = _NEAR_STATES.get(state, "")
            allowed = state in asked or near in asked or (not wanted and usual & STATE_BIT[state])
            if not allowed and not (state == "raw" and not wanted):
                cost += UNSAID_STATE if not usual & STATE_BIT[state] else 0.35
        if not wanted and usual and not bits & usual:
            cost += 0.5
        costs[bits] = cost
    return costs


class FoodMatcher:
    """Finds entries for phrases; one instance serves any number of lines, one at a time."""

    def __init__(self, index: FoodIndex, vocabulary: Vocabulary, neutral: frozenset[str]) -> None:
        self.index, self.vocabulary, self.neutral = index, vocabulary, neutral
        self._families: dict[int, NDArray[np.int32]] = {}
        self._ranked: dict[tuple[int, frozenset[str], frozenset[str]], Ranking] = {}

    def match(self, part: Part, phrase: Phrase, amount_kind: str) -> Match:
        """The entries that one phrase of a part may mean."""
        return _with_spelling(self._match(part, phrase, amount_kind), phrase)

    def _match(self, part: Part, phrase: Phrase, amount_kind: str) -> Match:
        states = self._states(part, phrase)
        name = self._name(part, phrase, states, amount_kind)
        if name is None:
            return self._by_words(phrase, states)
        if name.food_id is None:
            return Match(name=name, confidence=0.0, reasons=(f"the tables have no entry for '{name.form}'",))
        place = self.index.places.get(name.food_id)
        if place is None:
            return self._by_words(phrase, states)
        return self._by_name(phrase, name, place, states)

    @staticmethod
    def _states(part: Part, phrase: Phrase) -> frozenset[str]:
        return phrase.states | {"canned"} if "can" in _holders(part, phrase) else phrase.states

    # -- by the names of the tables --------------------------------------------------------------

    def _name(self, part: Part, phrase: Phrase, states: frozenset[str], amount_kind: str) -> Name | None:
        """The longest name that ends the phrase, its piece word included; else the one that ends earliest before."""
        others = frozenset(phrase.tokens) | phrase.qualifiers
        if not states and "jar" in _holders(part, phrase):
            states = frozenset({"canned"})  # chickpeas in a jar are cooked; peanut butter has no name of that kind
        if phrase.piece is not None:  # "bay leaf" is a name, "garlic clove" is garlic
            named = self.vocabulary.find(phrase.piece, others, amount_kind, implied=states)
            if named is not None and named.words > 1:
                return named
        tokens = phrase.tokens
        best: Name | None = None
        for place in range(len(tokens) - 1, -1, -1):
            head = tokens[place]
            best = self.vocabulary.find(head, others - {head}, amount_kind, implied=states, weak=phrase.preparations)
            # a head that no name has, though descriptions do, is not passed over: it may be another food
            if best is not None or (head not in self.neutral and head in self.index.postings):
                break
        loose = self.vocabulary.find_any_order(frozenset(tokens) | states, amount_kind)
        if loose is not None and (best is None or loose.words > best.words):
            return loose
        return best

    def _by_name(self, phrase: Phrase, name: Name, place: int, states: frozenset[str]) -> Match:
        said = (frozenset(phrase.tokens) | phrase.qualifiers) - name.key
        modifiers = frozenset(word for word in said if word not in self.neutral and not word.isdigit())
        asked = states - {self.index.words.states.get(word, word) for word in name.key}
        usual = int(self.index.state_bits[place])
        useful = frozenset(word for word in modifiers if word in self.index.postings)
        moved = any(state not in _states_of(usual) for state in asked if state != "raw")
        best, scores = self._rank(place, useful, asked)
        if not moved and not useful and (not best or best[0] != place):
            best, scores = (place, *(p for p in best if p != place)), (1.0, *scores)
        return self._judge(phrase, name, place, best, scores, modifiers, asked)

    def _rank(self, place: int, modifiers: frozenset[str], asked: frozenset[str]) -> Ranking:
        """The target's family ranked for modifiers and states, best five; kept, since lines repeat them."""
        key = (place, modifiers, asked)
        found = self._ranked.get(key)
        if found is None:
            if len(self._ranked) >= MOST_RANKINGS:
                self._ranked.clear()
            found = self._ranked[key] = self._rank_family(place, modifiers, asked)
        return found

    def _rank_family(self, place: int, modifiers: frozenset[str], asked: frozenset[str]) -> Ranking:
        family = self._family(place)
        wanted = dict.fromkeys(self.index.words_at(place), 1.0)
        for word in modifiers:
            wanted.setdefault(word, MODIFIER)
        costs = _state_cost(asked, int(self.index.state_bits[place]))
        scores = self.index.score(family, wanted, costs)
        for word in modifiers:
            if word not in self.index.words_at(place):
                holding = np.isin(family, self.index.holding(word), assume_unique=True)
                # a share of fat or lean decides; other words only add weight
                scores = scores + holding * (MODIFIER * (3.0 if word.endswith("%") else 0.6))
        return _top(family, scores + (family == place) * NAME_BONUS)

    def _family(self, place: int) -> NDArray[np.int32]:
        """Entries of the target's food group that share all words of its first facet."""
        family = self._families.get(place)
        if family is None:
            first = self.index.facets(place)[0]
            family = self.index.holding_all(first.words or first.bracketed)
            group = self.index.entry(place).group
            keep = [p for p in family.tolist() if self.index.entry(p).group == group]
            family = self._families[place] = np.array(keep or [place], dtype=np.int32)
        return family

    def _judge(
        self,
        phrase: Phrase,
        name: Name,
        target: int,
        best: tuple[int, ...],
        scores: tuple[float, ...],
        modifiers: frozenset[str],
        asked: frozenset[str],
    ) -> Match:
        """The questions: what kind of name, is every food noun accounted for, is the state met."""
        chosen = best[0]
        entry = self.index.entry(chosen)
        words = set(self.index.words_at(chosen))
        confidence = _CONFIDENCE[name.kind]
        reasons = [_said_of(name, entry.description)]
        unmet = {word for word in modifiers if word not in words}
        # beside the noun phrase ("leeks, white part only") a noun is rarely another food
        foreign = frozenset(unmet & self.vocabulary.nouns & set(phrase.tokens))
        if foreign:
            confidence *= 0.7
            reasons.append(f"the entry says nothing of {_listed(foreign)}")
        odd = unmet - foreign
        if odd:
            known = {word for word in odd if word in self.index.postings}
            confidence *= 0.96 if known else 0.98
            reasons.append(f"not counted: {_listed(odd)}")
        has = _states_of(int(self.index.state_bits[chosen]))
        missing = {s for s in asked if s != "raw" and s not in has and _NEAR_STATES.get(s, "") not in has}
        if missing:
            confidence *= 0.75
            reasons.append(f"no entry is {_listed(missing)}: the figures are of '{entry.description}'")
        if chosen != target:
            confidence *= 0.98
        certain = name.kind not in ("default", "near") and not self._may_change(odd & set(phrase.tokens))
        return Match(best, scores, name, confidence, tuple(reasons), certain, foreign)

    def ranked(self, phrase: Phrase, *, limit: int) -> tuple[int, ...]:
        """Places of the entries that share most with a phrase, for a search."""
        tokens = [token for token in phrase.tokens if token in self.index.postings]
        places = self.index.holding_all(tokens)
        if not len(places):
            places = self.index.holding(tokens[-1])
        wanted = dict.fromkeys(tokens, 1.2)
        scores = self.index.score(places, wanted, _state_cost(phrase.states, STATE_BIT["raw"]))
        return _top(places, scores, limit)[0]

    def _may_change(self, odd: set[str]) -> bool:
        """Whether words that the entry lacks may make another food: "fermented garlic", a word unknown to all."""
        changing = self.index.words.changing
        return any(word in changing or not self.vocabulary.knows(word) for word in odd)

    # -- by the words of the descriptions --------------------------------------------------------

    def _by_words(self, phrase: Phrase, states: frozenset[str]) -> Match:
        """Entries whose description has the phrase's words, for phrases that no name explains."""
        tokens = [token for token in phrase.tokens if token not in STATE_BIT]
        known = [token for token in tokens if token in self.index.postings]
        if not known:
            return Match(reasons=("no entry has these words",))
        head = known[-1]
        places = self.index.holding(head)
        wanted = dict.fromkeys(known, 1.2)
        wanted.update({word: 0.4 for word in phrase.qualifiers if word in self.index.postings and word not in wanted})
        scores = self.index.score(places, wanted, _state_cost(states, STATE_BIT["raw"]))
        best, values = _top(places, scores)
        entry_words = self.index.words_at(best[0])
        content = [token for token in tokens if token not in self.neutral]
        met = [token for token in content if token in entry_words]
        if not met or len(met) < len(content) or head != content[-1]:
            unmet = [token for token in content if token not in entry_words]
            return Match(reasons=(f"no entry accounts for {_listed(unmet)}",))
        first = self.index.facets(best[0])[0]
        leading = any(token in first.words or entry_words.get(token, 0) >= 0.5 for token in met)
        confidence = 0.75 if leading else 0.45
        return Match(best, values, None, confidence, ("found by the words of its description only",), False)


def _holders(part: Part, phrase: Phrase) -> tuple[str | None, str | None]:
    """What the food comes in, before its name ("a can of beans") or behind it."""
    return (part.amount.measure if part.amount else None), phrase.piece


def _with_spelling(match: Match, phrase: Phrase) -> Match:
    """A spelling put right by two letters is never silent; one letter is said but trusted."""
    if not phrase.spelled or not match.found:
        return match
    confidence, certain, reasons = match.confidence, match.certain, match.reasons
    for written, read, distance in phrase.spelled:
        confidence *= 0.97 if distance == 1 else 0.85
        certain = certain and distance == 1
        reasons = (*reasons, f"'{written}' read as '{read}'")
    return replace(match, confidence=confidence, certain=certain, reasons=reasons)


def _states_of(bits: int) -> frozenset[str]:
    return frozenset(state for state in STATES if bits & STATE_BIT[state])


def _top(
    places: NDArray[np.int32], scores: NDArray[np.float32], count: int = 5
) -> Ranking:
    """The best few places, ties by place, which is the order of ids."""
    if len(places) > 64:
        cut = np.argpartition(-scores, count - 1)[: count + 3]
        cut = np.flatnonzero(scores >= scores[cut].min())
        places, scores = places[cut], scores[cut]
    order = np.lexsort((places, -scores))[:count]
    return tuple(places[order].tolist()), tuple(scores[order].tolist())


def _listed(words: Sequence[str] | frozenset[str] | set[str]) -> str:
    return ", ".join(f"'{word}'" for word in sorted(words))


_SAYING: Mapping[str, str] = {
    "default": "'{form}' says no kind; taken as the usual one",
    "near": "no entry of its own for '{form}'; a near one stands in",
}


def _said_of(name: Name, description: str) -> str:
    template = _SAYING.get(name.kind, "'{form}' means this entry")
    return template.format(form=name.form, description=description)
