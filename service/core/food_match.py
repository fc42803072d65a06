"""From a phrase to food entries: names first, then facets, with the questions that decide how sure the answer is.

Unsaid state means as bought: the entry of a name's row says which state that is (raw, dry, uncooked). A stated
state moves to a sister entry with that state. A food noun of the line that the entry lacks is the best sign of a
wrong answer, so it is never passed over.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from service.core.amount import Amount
from service.core.food import FoodEntry
from service.core.food_index import STATE_BIT, STATES, FoodIndex
from service.core.namesake import Namesakes
from service.core.noun_phrase import ADJECTIVES, Phrase
from service.core.part import Part
from service.core.sisters import WITH_FAT, WITH_SKIN, Sister, lean_only, without_skin
from service.core.text import fold, singular
from service.core.values import quick
from service.core.vocabulary import ANY_AMOUNT, Name, Vocabulary

# What a difference of state costs, by trial on public lines: large, since raw against cooked changes the figures.
UNSAID_STATE = 0.9
MISSING_STATE = 1.4
NAME_BONUS = 0.7
# From this cost on a word of a description, unsaid, makes another kind of the food.
_DEAR = 0.4
MODIFIER = 1.3
# Confidence where a line says an entry's whole description and no name decides: as of a name.
EXACT = 0.97
# Rankings kept in memory; a ranking is two tuples of five.
MOST_RANKINGS = 20_000
# Matches kept in memory, about 2 kB each.
MOST_MATCHES = 10_000
# Places, best first, and their scores.
Ranking = tuple[tuple[int, ...], tuple[float, ...]]
# "Raw almonds, ground to a flour" are raw almonds before they are ground almonds, which are sold blanched.
_GROUND = frozenset({"ground"})
# "240 g black beans, drained" were not dry when they were weighed; "rinsed and drained" may be.
_DRAINED, _WASHED = frozenset({"drained"}), frozenset({"rinsed", "washed"})
# Counted by these, the name may mean another food of the plant or beast.
_PARTS = frozenset({"leaf", "bunch", "sprig", "root", "frond", "flower", "rack", "cube"})
# Groups of pulses and grains, which are sold dry and roasted so.
_DRY = frozenset({"Legumes and Legume Products", "Cereal Grains and Pasta"})
# States in which a food takes up so much salt, acid or sugar that no other entry of it is fair.
_STEEPED = frozenset({"pickled", "candied"})
# What a food is not where nothing says so: grilled figs are no dried ones, though only those have a cooked entry.
_KEPT = _STEEPED | {"dried", "canned", "smoked"}
_WITHOUT = frozenset({"without"})
_SKINLESS = frozenset({"skinless"})
# Words left over that deny something, nobody knows what.
_DENIALS = frozenset({"no", "0", "zero", "nor", "never", "minus", "less", "cannot", "avoid", "do not", "don't"})
# Words that make no title of a food: "whole courgette", "hot cooked rice".
_ENTIRE, _SERVED_HOT = frozenset({"whole"}), frozenset({"hot"})
# Groups whose foods a can does not change: drinks, syrups, dough.
_UNCHANGED = frozenset({"Beverages", "Sweets", "Baked Products"})
# Adjectives that tell foods of one name apart.
# Words that tell one kind of a food from another.
_KINDS = frozenset({"unsalted", "clarified", "salted", "skimmed", "smoked", "pink", "wild", "sour"})
_TELLING_APART = ADJECTIVES - {"whole", "plain", "dry", "fresh"}
_NEAR_STATES = {"cooked": "roasted", "roasted": "cooked"}
# Share of right foods by kind of name, on labelled lines of nine sets (see DEVELOPERS.md, "Measure"). Of 47 stand-ins
# 45 were right, which so few say no more closely.
_CONFIDENCE = {"name": 0.985, "regional": 0.965, "trade": 0.965, "near": 0.89, "default": 0.85, "absent": 0.0}




@quick
@dataclass(frozen=True, slots=True)
class Match:
    """What a phrase was taken to mean: places of entries, best first, and the answers to the deciding questions.

    foreign  nouns of other foods that the entry lacks;  strange  further words of the phrase that it lacks
    odd      all words said of it that it lacks, but for the foreign ones
    """

    places: tuple[int, ...] = ()
    scores: tuple[float, ...] = ()
    name: Name | None = None
    confidence: float = 0.0
    reasons: tuple[str, ...] = ()
    certain: bool = False
    foreign: frozenset[str] = field(default_factory=frozenset)
    strange: frozenset[str] = field(default_factory=frozenset)
    odd: frozenset[str] = field(default_factory=frozenset)

    @property
    def found(self) -> bool:
        return bool(self.places)


class Around(NamedTuple):
    """What a part says beside a phrase that tells which food is meant.

    measure  of its amount; laid: it is laid in something; ready: in pouches of the size of ready-cooked grains
    """

    measure: str | None
    laid: bool
    ready: bool = False


def _around(part: Part) -> Around:
    laid = "in" in part.words and not part.words.isdisjoint(_LAID_IN)
    return Around(part.amount.measure if part.amount else None, laid, _is_ready_pouch(part.amount))


# Grams of the pouches in which grains and pulses are sold cooked: 200 to 250 g in Europe, 8.5 to 8.8 oz in the US.
_LEAST_READY, _MOST_READY = 195.0, 260.0
_GRAMS = {"g": 1.0, "oz": 28.35}


def _is_ready_pouch(amount: Amount | None) -> bool:
    """Whether pouches are counted whose stated size is that of cooked grains."""
    size = amount.package if amount is not None and amount.measure == "pouch" else None
    if size is None or size.measure not in _GRAMS:
        return False
    return _LEAST_READY <= size.middle * _GRAMS[size.measure] <= _MOST_READY


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


_FLESH = frozenset({
    "Finfish and Shellfish Products", "Beef Products", "Pork Products", "Poultry Products",
    "Lamb, Veal, and Game Products",
})  # fmt: skip


# Groups whose foods roasting leaves much as they are: a seed has little water to lose, and its oil none.
_ROASTED_ALIKE = frozenset({"Nut and Seed Products", "Fats and Oils", "Spices and Herbs"})
# Groups of what is raw on the market, but in a jar is preserved with sugar, salt, acid or oil.
_PLANTS = frozenset({
    "Vegetables and Vegetable Products", "Fruits and Fruit Juices", "American Indian/Alaska Native Foods",
})  # fmt: skip
# Groups of what is grown, caught or raised: what else may bear an unknown name may imitate what its bracket says.
_GROWN = _PLANTS | _FLESH | frozenset({
    "Spices and Herbs", "Legumes and Legume Products", "Nut and Seed Products",
})  # fmt: skip
# What is sold cooked in pouches, what says that it is not, and what of these groups nobody sells so.
_SWELLING = frozenset({"Cereal Grains and Pasta", "Legumes and Legume Products"})
_UNREADY = frozenset({"raw", "dried", "canned", "frozen"})
_UNBOILED = ("Peanut", "Tofu", "Soy ", "Soy flour", "Wheat flour", "Cornstarch")
_LAID_IN = frozenset("oil tomato mustard brine water vinegar aspic jelly marinade escabeche".split())
# What is laid in these out of a tin or a jar.
_TINNED = frozenset({"Finfish and Shellfish Products", "Legumes and Legume Products"})
# The group of what flavours a food and is hardly counted by itself.
_FLAVOURS = "Spices and Herbs"
# Groups of what is cooked or baked: a line that names one without an amount may be a title.
DISHES = frozenset({
    "Baked Products", "Meals, Entrees, and Side Dishes", "Fast Foods", "Restaurant Foods",
    "Soups, Sauces, and Gravies",
})  # fmt: skip


class FoodMatcher:
    """Finds entries for phrases; one instance serves any number of lines, one at a time."""

    def __init__(
        self, index: FoodIndex, vocabulary: Vocabulary, neutral: frozenset[str], namesakes: Namesakes
    ) -> None:
        self.index, self.vocabulary, self.neutral, self._namesakes = index, vocabulary, neutral, namesakes
        self._families: dict[int, NDArray[np.int32]] = {}
        self._states_in: dict[int, frozenset[int]] = {}
        self._matched: dict[tuple[Phrase, Around, str], Match] = {}
        self._ranked: dict[tuple[int, frozenset[str], frozenset[str]], Ranking] = {}

    def match(self, part: Part, phrase: Phrase, amount_kind: str) -> Match:
        """The entries that one phrase of a part may mean; kept, since lines name the same foods in other amounts."""
        key = (phrase, _around(part), amount_kind)
        found = self._matched.get(key)
        if found is None:
            if len(self._matched) >= MOST_MATCHES:
                self._matched.clear()
            found = self._matched[key] = self._found(phrase, key[1], amount_kind)
        return found

    def _found(self, phrase: Phrase, around: Around, amount_kind: str) -> Match:
        phrase = self._roasted(around, phrase, amount_kind)
        match = self._match(around, phrase, amount_kind)
        if phrase.spelled and any(self._called(gloss, frozenset(gloss), amount_kind) for gloss in phrase.glosses):
            match = Match()  # "verdeos (scallions)": a word that its bracket explains is no slip for another food
        if len(phrase.glosses) > 1 and self._means_several(phrase, amount_kind):
            if match.found:
                sure = match.name is not None and match.name.kind != "default" and not self._are_kinds(match, phrase)
                return _with_spelling(replace(match, certain=match.certain and sure), phrase)
            match = replace(self._glossed(match, phrase.glosses[0], phrase, amount_kind), certain=False)
        else:
            for gloss in phrase.glosses:
                if not self._says_more(match, gloss, phrase):
                    match = self._glossed(match, gloss, phrase, amount_kind)
        if match.certain and any(self._is_lost(gloss, match, amount_kind) for gloss in phrase.glosses):
            match = replace(match, certain=False)  # "viande hachee (pork)"
        return _with_spelling(match, phrase)

    def _is_lost(self, gloss: tuple[str, ...], match: Match, amount_kind: str) -> bool:
        """Whether a bracket names another food than the one that was found, of which nothing is counted."""
        if match.odd.isdisjoint(gloss):
            return False
        name = self._called(gloss, frozenset(gloss), amount_kind)
        return name is not None and name.food_id != self.index.entry(match.places[0]).id

    def _means_several(self, phrase: Phrase, amount_kind: str) -> bool:
        """Whether brackets name several foods: kinds of a general one, "berries (blueberries and figs)", or its parts.

        What is sure by itself stays what it is: "chicken legs (thigh and drumstick)".
        """
        called = (self._called(gloss, frozenset(gloss), amount_kind) for gloss in phrase.glosses)
        return len({name.food_id for name in called if name is not None}) > 1

    def _are_kinds(self, match: Match, phrase: Phrase) -> bool:
        """Whether brackets name kinds of a food, "nuts (almonds, cashews)", "oil (olive, corn)", or foods of others."""
        head, group = phrase.tokens[-1], self.index.entry(match.places[0]).group
        for gloss in phrase.glosses:
            words = frozenset((*gloss, *phrase.tokens))
            if (kind := self.vocabulary.find(head, words, ANY_AMOUNT)) is not None and kind.key.issuperset(gloss):
                return True
            name = self._called(gloss, words, ANY_AMOUNT)
            place = self.index.places.get(name.food_id or "") if name is not None else None
            if place is not None and (self.index.entry(place).group != group or head in self.index.words_at(place)):
                return True
        return False

    def _roasted(self, around: Around, phrase: Phrase, amount_kind: str) -> Phrase:
        """The phrase with "roast" before a noun as a state: "roast pumpkin"; not where a name has it: "roast beef"."""
        if "roast" not in phrase.tokens[:-1]:
            return phrase
        name = self._name(around, phrase, phrase.states, amount_kind)
        if name is None or "roast" in name.key:
            return phrase
        tokens = tuple(token for token in phrase.tokens if token != "roast")
        return replace(phrase, tokens=tokens, states=phrase.states | {"roasted"})

    def _called(self, gloss: tuple[str, ...], others: frozenset[str], amount_kind: str) -> Name | None:
        """What a bracket names, as the amount tells: "1 bunch raihan (basil)" is of the fresh herb."""
        return self._namesakes.meant(self.vocabulary.find(gloss[-1], others, amount_kind))

    def _kind_told(self, gloss: tuple[str, ...], phrase: Phrase) -> Name | None:
        """The kind of a food that a bracket tells, which is itself a food: "chocolate (milk)" is no chocolate milk."""
        if len(gloss) > 1 or not phrase.tokens or gloss[0] not in self.vocabulary.nouns:
            return None
        name = self.vocabulary.find(phrase.tokens[-1], frozenset((*gloss, *phrase.tokens)), ANY_AMOUNT)
        return name if name is not None and name.kind != "near" and gloss[0] in name.key else None

    def _of_piece(self, gloss: tuple[str, ...], phrase: Phrase) -> Match | None:
        """What a bracket names together with the piece that is counted: "dasheen (taro) leaves" are taro leaves."""
        if phrase.piece is None:
            return None
        name = self.vocabulary.find(phrase.piece, frozenset((*gloss, phrase.piece)), ANY_AMOUNT)
        place = self.index.places.get(name.food_id or "") if name is not None else None
        if name is None or place is None or not name.key.issuperset(gloss):
            return None
        return self._by_name(replace(phrase, tokens=tuple(name.key)), name, place, phrase.states)

    def _glossed(self, match: Match, gloss: tuple[str, ...], phrase: Phrase, amount_kind: str) -> Match:
        """The match as another name in brackets has it: "turnip (rutabaga)" is the food that the bracket names.

        A bracket that only qualifies ("cheese (feta)") has its words in the entry already; one that names a food of
        another kind ("yogurt (mango)") leaves the food, but not sure.
        """
        words = frozenset(gloss) - self.neutral
        others = frozenset((*gloss, *phrase.tokens[:-1]))  # "red capsicum (bell pepper)"
        if (leaves := self._of_piece(gloss, phrase)) is not None:
            return leaves
        name = self._kind_told(gloss, phrase) or self._called(gloss, others, amount_kind)
        place = self.index.places.get(name.food_id or "") if name is not None else None
        if name is not None and name.kind == "absent" and match.certain and words <= name.key:
            # "pancake mix (buchim garu)": the food meant is another, of which the tables have nothing
            reason = f"the tables have no entry for '{name.form}', which the bracket names"
            return replace(match, certain=False, reasons=(*match.reasons, reason))
        if name is None or place is None or (match.found and name.kind == "default") or _is_in_absent(words, match):
            return match
        if not match.found:
            found = self._explained(match, gloss, phrase, name, place)
            # "2 zubs pyaj (onion)": the first of several words that nobody knows may be a measure
            told = phrase.meant and (len(phrase.tokens) == 1 or amount_kind != "piece")
            return replace(found, certain=found.certain and told)
        chosen = match.places[0]
        if not words <= name.key:  # "harina (yellow cornmeal)": of what the bracket says only the noun is known
            nouns = self.index.words_at(chosen).keys() | (match.name.key if match.name else frozenset())
            return replace(match, certain=match.certain and (chosen == place or gloss[-1] in nouns))
        agreed = match.name is not None and match.name.food_id == name.food_id and name.kind != "default"
        if agreed and chosen != place and self.index.state_bits[chosen] == self.index.state_bits[place]:
            # "labanos (white radish)": both names are of one entry, whatever a sister's description says too
            return replace(match, places=(place, *(one for one in match.places if one != place)))
        if chosen == place or words <= self.index.words_at(chosen).keys() or (match.name and words <= match.name.key):
            return match
        meant = replace(phrase, tokens=tuple(name.key), qualifiers=phrase.qualifiers - words)
        return self._renamed(match, meant, name, place)

    def _renamed(self, match: Match, meant: Phrase, name: Name, place: int) -> Match:
        """The food that a bracket names in place of the match; the match, but not sure, where they are no kin."""
        vague = match.name is not None and match.name.kind == "default"  # "drumsticks (moringa)" are no fowl's
        if self.index.entry(match.places[0]).group != self.index.entry(place).group and not vague:
            return replace(match, certain=False)
        # "turnip (rutabaga)": two names of two foods; which of them is meant is nobody's to guess
        sure = match.certain and match.name is not None and not vague
        found = self._by_name(meant, name, place, meant.states)
        return replace(found, certain=found.certain and not sure)

    def _says_more(self, match: Match, gloss: tuple[str, ...], phrase: Phrase) -> bool:
        """Whether a line names a kind of what its bracket names: "firm tofu (tahu)"."""
        if match.name is None or match.name.kind == "default" or match.name.words < _TWO_WORDS:
            return False
        general = self.vocabulary.find(phrase.tokens[-1], frozenset(phrase.tokens[-1:]), ANY_AMOUNT)
        named = self._called(gloss, frozenset(gloss), ANY_AMOUNT) if general is not None else None
        return named is not None and general is not None and general.food_id == named.food_id != match.name.food_id

    def _explained(self, match: Match, gloss: tuple[str, ...], phrase: Phrase, name: Name, place: int) -> Match:
        """The food of a bracket that says what a word is: "zira (cumin seeds)", "thiof (white grouper)"."""
        alone = match.name is None and not any(map(self.vocabulary.knows, phrase.tokens))
        if not (frozenset(gloss) - self.neutral <= name.key or (alone and gloss[-1] in name.key)):
            return match
        meant = replace(phrase, tokens=gloss) if alone else phrase
        found = self._by_name(meant, name, place, phrase.states)
        return replace(found, certain=found.certain and alone and frozenset(gloss) <= name.key)

    def _match(self, around: Around, phrase: Phrase, amount_kind: str) -> Match:
        states = self._states(around, phrase)
        name = self._namesakes.meant(self._name(around, phrase, states, amount_kind))
        place = self.index.places.get(name.food_id) if name is not None and name.food_id else None
        if name is not None and place is not None:
            named = self._kept(self._by_name(phrase, name, place, states), around, phrase)
            return self._ready(named, phrase, amount_kind) if around.ready else named
        pieces = (phrase.piece, around.measure)
        piece = next((one for one in pieces if name is not None and one in name.key), None)
        if exact := self._by_description(phrase, piece, states):  # another release may have what the names call absent
            return exact
        if name is not None and name.food_id is None:
            return Match(name=name, confidence=0.0, reasons=(f"the tables have no entry for '{name.form}'",))
        return self._by_words(phrase, states)

    def _kept(self, match: Match, around: Around, phrase: Phrase) -> Match:
        """The match, not certain where a raw food is said to be preserved: "1 jar lingonberries", "herring in oil"."""
        if not match.found or not self.index.state_bits[match.places[0]] & STATE_BIT["raw"]:
            return match
        entry = self.index.entry(match.places[0])
        jarred = "jar" in _holders(around, phrase) and entry.group_name in _PLANTS
        laid = entry.group_name in _TINNED and around.laid and not phrase.preparations
        laid = laid and not entry.description.startswith(_UNBOILED)
        if not jarred and not laid:
            return match
        return replace(match, certain=False, reasons=(*match.reasons, "what is kept so is not raw"))

    def _ready(self, match: Match, phrase: Phrase, amount_kind: str) -> Match:
        """The cooked grain or pulse of a pouch in which these are sold ready: "250 g pouch brown rice"."""
        entry = self.index.entry(match.places[0]) if match.found else None
        if entry is None or entry.group_name not in _SWELLING or not phrase.states.isdisjoint(_UNREADY):
            return match
        if self.index.state_bits[match.places[0]] & STATE_BIT["cooked"] or entry.description.startswith(_UNBOILED):
            return match
        meant = replace(phrase, states=phrase.states | {"cooked"})
        name = self._namesakes.meant(self._name(Around(None, laid=False), meant, meant.states, amount_kind))
        place = self.index.places.get(name.food_id) if name is not None and name.food_id else None
        if name is not None and place is not None:
            found = self._by_name(meant, name, place, meant.states)
            cooked = found.found and self.index.state_bits[found.places[0]] & STATE_BIT["cooked"]
            match = found if cooked else match
        return replace(match, certain=False, reasons=(*match.reasons, "such pouches are mostly sold cooked"))

    @staticmethod
    def _states(around: Around, phrase: Phrase) -> frozenset[str]:
        # what is sliced was raw, but not out of a can
        return phrase.states - {"raw"} | {"canned"} if "can" in _holders(around, phrase) else phrase.states

    # -- by the names of the tables --------------------------------------------------------------

    def _name(self, around: Around, phrase: Phrase, states: frozenset[str], amount_kind: str) -> Name | None:
        """The longest name that ends the phrase, its piece word included; else the one that ends earliest before."""
        others = frozenset(phrase.tokens) | phrase.qualifiers
        own = next((token for token in reversed(phrase.tokens) if token not in self.neutral), phrase.tokens[-1])
        if not states and "jar" in _holders(around, phrase):
            states = frozenset({"canned"})  # chickpeas in a jar are cooked; peanut butter has no name of that kind
        for piece in dict.fromkeys((phrase.piece, *(_PARTS & {around.measure}))):
            # "bay leaf" is a name, "garlic clove" is garlic; "4 leaves of lime" are no fruit
            named = self.vocabulary.find(piece, others, amount_kind, implied=states) if piece else None
            stolen = named is not None and own in self.vocabulary.nouns and not self._is_of(named, own)
            if named is not None and named.words > 1 and not stolen:
                return named  # but "garlic cloves, whole" are no whole cloves
        tokens = phrase.tokens
        weak = phrase.preparations | (_GROUND & phrase.qualifiers).difference(tokens)
        core = frozenset(tokens).union(*phrase.glosses)  # "ground meat (I used turkey)"
        best: Name | None = None
        for place in range(len(tokens) - 1, -1, -1):
            head = tokens[place]
            best = self.vocabulary.find(head, others - {head}, amount_kind, implied=states, weak=weak, core=core)
            # a head that no name has, though descriptions do, is not passed over: it may be another food
            passed = head in self.neutral or head in ADJECTIVES  # "potatoes whole"
            if best is not None or (not passed and head in self.index.postings):
                break
        if best is not None and (unread := _misread_lack(best, phrase)):
            return self._name(around, replace(phrase, qualifiers=phrase.qualifiers - unread), states, amount_kind)
        if best is not None and best.kind == "default" and (cut := self._cut(best, phrase, amount_kind)) is not None:
            return cut
        late = phrase.preparations & phrase.qualifiers - frozenset(tokens)
        if not phrase.preparations & _WASHED:
            late -= _DRAINED
        if amount_kind in ("weight", "piece") and best is not None and best.key & late and not self._is_raw(best):
            # "200 g potatoes, mashed" are weighed as bought
            bought = self._name(around, replace(phrase, qualifiers=phrase.qualifiers - late), states, amount_kind)
            return bought if bought is not None and (self._is_raw(bought) or "cooked" in states) else best
        loose = self.vocabulary.find_any_order(frozenset(tokens) | states, amount_kind)
        if loose is not None and (best is None or loose.words > best.words) and not self._is_turned(loose, tokens):
            return loose
        return best

    def _cut(self, usual: Name, phrase: Phrase, amount_kind: str) -> Name | None:
        """The cut or part that stands behind a bare kind: "lamb, leg", "beef, chuck"."""
        words = frozenset(phrase.tokens)
        said = sorted(phrase.qualifiers - words - phrase.lacking)
        found = (self.vocabulary.find(word, words, amount_kind) for word in said)
        named = [name for name in found if name is not None and usual.key < name.key and name.kind != "default"]
        return max(named, key=lambda name: (name.words, name.form), default=None)

    def _is_of(self, name: Name, noun: str) -> bool:
        """Whether a name is of what a noun says: "top round" is of beef, "whole cloves" are of no garlic."""
        place = self.index.places.get(name.food_id or "") if name.kind != "default" else None
        return noun in name.key or (place is not None and noun in self.index.words_at(place))

    def _is_turned(self, name: Name, tokens: Sequence[str]) -> bool:
        """Whether a dish's name stands in a phrase the other way round: "stew beef" is no beef stew."""
        place = self.index.places.get(name.food_id or "")
        if place is None or self.index.entry(place).group_name not in DISHES:
            return False
        return name.form.split()[-1] in tokens[:-1] and tokens[-1] in name.key

    def _is_raw(self, name: Name) -> bool:
        place = self.index.places.get(name.food_id or "")
        return place is not None and bool(self.index.state_bits[place] & STATE_BIT["raw"])

    def _by_name(self, phrase: Phrase, name: Name, place: int, states: frozenset[str]) -> Match:
        said = (frozenset(phrase.tokens) | phrase.qualifiers) - name.key - phrase.lacking - self._same(phrase, name)
        modifiers = frozenset([word for word in said if word not in self.neutral and not word.isdigit()])
        usual = int(self.index.state_bits[place])
        asked = self._unparched(self._asked(name, place, states), place) if states else states
        useful = frozenset([word for word in modifiers - _WITHOUT if word in self.index.postings])
        best, scores = self._rank(place, useful, asked)
        own = self.index.words_at(place)
        moved = not asked <= _states_of(usual) | {"raw"} and self._gains(best, place, asked)
        if not moved and not self._speaks(useful - own.keys(), name.key & own.keys(), place, best):
            # nothing that the line says speaks for a sister
            best, scores = (place, *(p for p in best if p != place)), (1.0, *scores)
        found = self._judge(phrase, name, place, best, scores, modifiers, asked)
        bare = not said.isdisjoint(_SKINLESS) or "skinless" in name.key or "skinned" in phrase.preparations
        if bare and found.found:
            return self._as_sister(found, WITH_SKIN, without_skin, "the figures are of it with its skin")
        if "lean" in said and found.found:
            return self._as_sister(found, WITH_FAT, lean_only, "the figures are of it with its fat")
        return found

    def _as_sister(self, match: Match, said: str, sister: Sister, otherwise: str) -> Match:
        """The match as the same cut without what an entry `said` to have on, where the line says that it is off."""
        chosen = match.places[0]
        entry = self.index.entry(chosen)
        if said not in entry.description:
            return match
        kin = {self.index.entry(place).id: place for place in self._family(chosen).tolist()}
        found = sister(entry, map(self.index.entry, kin.values()))
        if found is None:
            return replace(match, certain=False, reasons=(*match.reasons, otherwise))
        places = (kin[found.id], *(place for place in match.places if place != kin[found.id]))
        return replace(match, places=places, scores=(match.scores[0], *match.scores)[: len(places)])

    def _speaks(self, said: frozenset[str], named: Set[str], place: int, best: Sequence[int]) -> bool:
        """Whether words that a name lacks are of a sister that has those of the name: not "powder black pepper"."""
        words = self.index.words_at(best[0]).keys() if best else frozenset[str]()
        if said.isdisjoint(words) or not named <= words:
            return False
        first = self.index.facets(best[0])[0]
        return self.index.words_at(place).keys() | said >= {*first.words}  # "whole wheat semolina" is no pasta

    def _same(self, phrase: Phrase, name: Name) -> frozenset[str]:
        """The words of a phrase and its brackets that mean a name's entry too: "risotto rice (arborio)"."""
        if not phrase.glosses:
            return frozenset()
        said = frozenset(phrase.tokens)
        same = frozenset[str]()
        for words in (phrase.tokens, *phrase.glosses):
            called = self._called(words, said.union(words), ANY_AMOUNT)
            if called is not None and called.food_id == name.food_id:
                same |= called.key & frozenset(words)
        return same

    def _asked(self, name: Name, place: int, states: frozenset[str]) -> frozenset[str]:
        """The states that a line asks for beyond the name's own; with the entry's own where a sister has them all."""
        own = {self.index.words.states.get(word, word) for word in name.key}
        asked = states - own
        if not asked:
            return asked
        every = asked | (states & own & _states_of(int(self.index.state_bits[place])))
        wanted = sum(STATE_BIT.get(state, 0) for state in every)
        return every if any(has & wanted == wanted for has in self._family_states(place)) else asked

    def _unparched(self, asked: frozenset[str], place: int) -> frozenset[str]:
        """The states asked for, without what changes no figures: roasting a dry pulse or grain, freezing raw meat.

        Roasting boils nothing there and adds no water; what is "unheated" is frozen elsewhere, but no ham or sausage.
        """
        if self.index.entry(place).group_name in _FLESH:
            return asked - {"frozen"}
        dry = self.index.entry(place).group_name in _DRY and int(self.index.state_bits[place]) == STATE_BIT["raw"]
        if not dry or "roasted" not in asked:
            return asked
        wanted = STATE_BIT["roasted"]
        return asked if any(has & wanted for has in self._family_states(place)) else asked - {"roasted"}

    def _gains(self, best: Sequence[int], place: int, asked: frozenset[str]) -> bool:
        """Whether the best of a family is in a state that is asked for, or nearly, and its usual entry is not."""
        wanted = asked.union([_NEAR_STATES[state] for state in asked if state in _NEAR_STATES])
        states = self.index.state_bits
        return bool(best) and bool(wanted & _states_of(int(states[best[0]])) - _states_of(int(states[place])))

    def _family_states(self, place: int) -> frozenset[int]:
        """The combinations of states, as bits, that the entries of a target's family have."""
        found = self._states_in.get(place)
        if found is None:
            found = self._states_in[place] = frozenset(self.index.state_bits[self._family(place)].tolist())
        return found

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
        own = self.index.words_at(place)
        wanted = dict.fromkeys(own, 1.0)
        for word in modifiers:
            wanted.setdefault(word, MODIFIER)
        costs = _state_cost(asked, int(self.index.state_bits[place]))
        # the target's own words gain alike in every sister, or one that says "shoulder" earlier would win by that
        scores = self.index.score(family, wanted, costs, gains=own)
        for word in modifiers:
            if word not in own:
                holding = np.isin(family, self.index.holding(word), assume_unique=True)
                scores = scores + holding * (MODIFIER * self._bonus(word))
        return _top(family, scores + (family == place) * NAME_BONUS)

    def _bonus(self, word: str) -> float:
        """What a said word adds to a sister that has it: a share of fat decides, what changes a food weighs more."""
        if word.endswith("%"):
            return 3.0
        return 1.5 if word in self.index.words.changing else 0.6

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
        words = self.index.words_at(chosen)
        confidence = _CONFIDENCE[name.kind]
        reasons = [_said_of(name, entry.description)]
        unmet = frozenset([word for word in modifiers if word not in words]) - self._alike(phrase, name)
        # beside the noun phrase ("leeks, white part only") a noun is rarely another food
        foreign = unmet & self.vocabulary.nouns & set(phrase.tokens)
        if foreign:
            confidence *= 0.7
            reasons.append(f"the entry says nothing of {_listed(foreign)}")
        odd = unmet - foreign
        if odd:
            known = {word for word in odd if word in self.index.postings}
            confidence *= 0.96 if known else 0.98
            reasons.append(f"not counted: {_listed(odd)}")
        unlike = self._unlike(chosen, asked)
        if unlike & _STEEPED and "brined" not in {*phrase.tokens, *phrase.qualifiers}:
            return Match(name=name, reasons=(f"no entry is {_listed(unlike)}: '{entry.description}' is another food",))
        doubts = self._doubts_of_state(unlike | _fried(phrase, entry.description), chosen, target, asked)
        for doubt in (*doubts, *(self._doubts_of_sister(chosen, target, phrase, name) if chosen != target else ())):
            confidence *= 0.75
            reasons.append(doubt)
        if chosen != target:
            confidence *= 0.98
        served = list(self._served_with(odd, name, phrase))
        certain = not served and self._is_sure(name, odd, phrase, entry)
        reasons.extend(served)
        return Match(best, scores, name, confidence, tuple(reasons), certain, foreign, self._strange(odd, phrase), odd)

    def _doubts_of_sister(self, chosen: int, target: int, phrase: Phrase, name: Name) -> Iterator[str]:
        """What an entry says and neither the line nor the entry of its name: "radishes, roasted" are not oriental."""
        description = self.index.entry(chosen).description
        yield from _doubts_of_fat(phrase, name, description)
        costs, said = self.index.words.costs, {*phrase.tokens, *phrase.qualifiers, *name.key}
        kinds = (word for facet in self.index.facets(chosen)[:2] for word in facet.words)
        unsaid = (word for word in kinds if word not in said and word not in self.index.words_at(target))
        if kind := next((word for word in unsaid if costs.get(word, _DEAR) >= _DEAR), ""):
            yield f"the line does not say '{kind}': the figures are of '{description}'"

    def _doubts_of_state(
        self, unlike: frozenset[str] | set[str], chosen: int, target: int, asked: frozenset[str]
    ) -> Iterator[str]:
        """States that the line asks for and the entry lacks, and those that it is kept in though the line says none."""
        figures = f"the figures are of '{self.index.entry(chosen).description}'"
        if missing := unlike - self._harmless(chosen, asked):
            yield f"no entry is {_listed(missing)}: {figures}"
        bits = self.index.state_bits
        if unsaid := _states_of(int(bits[chosen])) & _KEPT - asked - _states_of(int(bits[target])):
            yield f"the line does not say {_listed(unsaid)}: {figures}"

    def _is_sure(self, name: Name, odd: frozenset[str], phrase: Phrase, entry: FoodEntry) -> bool:
        """Whether a name is of its own food, and nothing that is left over makes that another one."""
        if name.kind in ("default", "near") or self._may_change(odd, phrase) or self._is_renamed(name, odd, phrase):
            return False
        # "kartoffeln (sweet)", "huile (coconut)": said of the food, and nobody knows of which in its language
        if name.kind == "regional" and odd & phrase.qualifiers & (self.vocabulary.nouns | ADJECTIVES | _KINDS):
            return False
        if name.abroad and not odd.isdisjoint(phrase.tokens):  # an English word before it: "sunflower ail"
            return False
        if phrase.unknown and entry.group_name not in _GROWN:  # "zarfini (linguine)" may be a maker's name
            return False
        if phrase.unknown and self._is_absent(phrase.unknown):
            return False  # "shatta (hot red pepper powder)", of which the tables say that no entry is
        salted = "salted" in odd and entry.group_name in _FLESH  # salted fish is no fresh one
        return not salted and phrase.tokens[-1] not in odd  # "tomato conserva": the last word says what it is

    def _is_absent(self, words: str) -> bool:
        keys = [singular(word) for word in words.split()]
        name = self.vocabulary.find(keys[-1], frozenset(keys), ANY_AMOUNT)
        return name is not None and name.kind == "absent"

    def _is_renamed(self, name: Name, odd: frozenset[str], phrase: Phrase) -> bool:
        """Whether words from elsewhere make the name, and one before the head is lost: "green pepper - Hungarian"."""
        lost = odd.intersection(phrase.tokens) & _TELLING_APART
        return bool(lost) and not name.key <= {*phrase.tokens, *phrase.states, phrase.piece}.union(*phrase.glosses)

    def _has(self, place: int, asked: frozenset[str]) -> frozenset[str]:
        """The states of an entry, where the line asks for any."""
        return _states_of(int(self.index.state_bits[place])) if asked else asked

    def _unlike(self, place: int, asked: frozenset[str]) -> set[str]:
        """The states that a line asks for and an entry is not in, nor in one much like it."""
        has = self._has(place, asked)
        pickled = {"pickled"} if "pickle" in self.index.words_at(place) else set()
        return {s for s in asked if s != "raw" and s not in has and _NEAR_STATES.get(s, "") not in has} - pickled

    def _harmless(self, place: int, asked: frozenset[str]) -> set[str]:
        """The states that change nothing about an entry, so that it need not be in them."""
        has, group = self._has(place, asked), self.index.entry(place).group_name
        harmless = {"canned"} if group in _UNCHANGED or "frozen" in has else set()  # a can only holds it
        harmless |= {"frozen"} if group in _FLESH else set()  # nor does cold the figures of meat: "1 turkey, thawed"
        harmless |= {"roasted"} if group in _ROASTED_ALIKE else set()
        dry = not self.index.words.dry.isdisjoint(self.index.words_at(place)) and has <= {"raw"}
        return harmless | ({"dried"} if dry else set())

    def _served_with(self, odd: frozenset[str], name: Name, phrase: Phrase) -> Iterator[str]:
        """Why a food behind "with" makes the match uncertain, or what the line says that it is free of."""
        if self._is_free(phrase, name):
            yield f"the line says that it is free of something, '{name.form}' does not"
        if beside := self._beside(odd, phrase):
            yield f"the line also names {_listed(beside)}, of which nothing is counted"
        if "with" not in name.form.split() and (told := self._beside(name.key, phrase)):
            yield f"{_listed(told)} may stand beside the food, not tell which it is"

    def _alike(self, phrase: Phrase, name: Name) -> frozenset[str]:
        """Words of a phrase's own name of the entry that a bracket names too: "masoor dal (red lentils)"."""
        if not phrase.glosses or not phrase.tokens:
            return frozenset()
        own = self._called(phrase.tokens, frozenset(phrase.tokens), ANY_AMOUNT)
        return own.key if own is not None and own.food_id is not None and own.food_id == name.food_id else frozenset()

    def ranked(self, phrase: Phrase, *, limit: int) -> tuple[int, ...]:
        """Places of the entries that share most with a phrase, for a search."""
        tokens = [token for token in phrase.tokens if token in self.index.postings]
        places = self.index.holding_all(tokens)
        if not len(places):
            places = self.index.holding(tokens[-1])
        wanted = dict.fromkeys(tokens, 1.2)
        scores = self.index.score(places, wanted, _state_cost(phrase.states, STATE_BIT["raw"]))
        return _top(places, scores, limit)[0]

    def _strange(self, odd: frozenset[str], phrase: Phrase) -> frozenset[str]:
        """Words that the entry lacks and that may be foods or a title: in the phrase, or several that nobody knows."""
        unknown = [word for word in odd if not self.vocabulary.knows(word)]
        named = odd.intersection(phrase.tokens) - self.vocabulary.titles.origins - _ENTIRE
        if "cooked" in phrase.states:
            named -= _SERVED_HOT
        return frozenset(named).union(unknown if len(unknown) > 1 else ())

    def _beside(self, odd: frozenset[str], phrase: Phrase) -> frozenset[str]:
        """Foods behind "with" that are eaten too, "bread with butter": no part of the food, no herb or spice in it."""
        named = odd & phrase.beside & self.vocabulary.nouns
        return frozenset(word for word in named if not self._belongs(word, phrase.beside))

    def _belongs(self, word: str, others: frozenset[str]) -> bool:
        """Whether a food comes with what a word names: its "skin", a herb or spice; but not "maple syrup"."""
        name = self.vocabulary.find(word, others - {word}, ANY_AMOUNT)
        if word in self.vocabulary.titles.own_parts:
            return name is None or name.words < 2
        place = self.index.places.get(name.food_id or "") if name is not None else None
        return place is not None and self.index.entry(place).group_name == _FLAVOURS

    def _may_change(self, odd: frozenset[str], phrase: Phrase) -> bool:
        """Whether words that the entry lacks may make another food: "fermented garlic", "4%", a word unknown to all."""
        # "smoked bacon (boczek wedzony)": a bracket says the same again, in another language
        changing = self.index.words.changing | self.index.words.abroad.intersection(phrase.tokens)
        if odd & ADJECTIVES == {"light"}:  # "light cheddar", of which the tables have none; not "light green"
            return True
        if not odd.isdisjoint(_DENIALS):
            return True
        if "without" in odd and phrase.lacking & self.vocabulary.nouns:  # "mayonnaise without egg"
            return True
        if len(odd & self.vocabulary.nouns) > 1:  # "1 cup herbs - parsley, dill, mint"
            return True
        if any(word in changing or word[-1] == "%" or "/" in word for word in odd):  # "93/7" are shares of lean and fat
            return True
        return any(not self.vocabulary.knows(word) for word in odd.intersection(phrase.tokens))

    def _is_free(self, phrase: Phrase, name: Name) -> bool:
        """Whether the line says that the food is free of something, and the name does not: "calorie free cola"."""
        free = "free" in phrase.tokens and "free" not in name.key
        return free and not self.vocabulary.titles.free_of.isdisjoint(phrase.tokens)

    # -- by the words of the descriptions --------------------------------------------------------

    def _by_description(self, phrase: Phrase, piece: str | None, states: frozenset[str]) -> Match | None:
        """The one entry whose whole description the phrase says, in any order; None where there is none or several.

        Of several tables, that of the one that is preferred.
        piece  a piece word that belongs to the name: "banana leaf" is no banana
        """
        found = self._described(phrase, piece, states)
        if not found:
            return None
        return Match((found[0],), (1.0,), None, EXACT, ("the line says the whole description",), certain=True)

    def said_by(self, part: Part, phrase: Phrase, match: Match) -> tuple[int, ...]:
        """Entries of tables that are preferred to that of a match, whose whole description the phrase says."""
        if not self.index.ranks[match.places[0]] or match.foreign:
            return ()
        return self._described(phrase, phrase.piece, self._states(_around(part), phrase))

    def _described(self, phrase: Phrase, piece: str | None, states: frozenset[str]) -> tuple[int, ...]:
        """Entries of which `_by_description` speaks: one a table at most, the preferred table first."""
        words = (*phrase.tokens, *phrase.qualifiers, piece)
        said = {word for word in words if word is not None and word not in STATE_BIT}
        wanted = {state for state in states if state in STATE_BIT} - {"raw"}
        found = [
            place
            for place in self.index.holding_all(said).tolist()
            if self.index.words_at(place).keys() == said
            and _states_of(int(self.index.state_bits[place])) - {"raw"} == wanted
        ]
        by_table: dict[int, list[int]] = {}
        for place in found:
            by_table.setdefault(int(self.index.ranks[place]), []).append(place)
        return tuple(places[0] for _, places in sorted(by_table.items()) if len(places) == 1)

    def _is_of_brand(self, word: str, place: int) -> bool:
        """Whether a word stands in what a maker calls its product, and does not say what that is: "Thank U Cookies"."""
        found = _MADE_BY.search(self.index.entry(place).description)
        called = [singular(fold(one)) for one in found[1].split()] if found else []
        return word in called[:-1] and word not in self.vocabulary.nouns

    def _by_words(self, phrase: Phrase, states: frozenset[str]) -> Match:
        """Entries whose description has the phrase's words, for phrases that no name explains."""
        tokens = [token for token in phrase.tokens if token not in STATE_BIT]
        known = [token for token in tokens if token in self.index.postings]
        if not known:
            return Match(reasons=("no entry has these words",))
        head = known[-1]
        if len(tokens) == 1 and head in self.vocabulary.headings:  # "500 ml sauce" is no fish sauce
            return Match(reasons=(f"'{head}' names no food by itself",))
        places = self.index.holding(head)
        wanted = dict.fromkeys(known, 1.2)
        wanted.update({word: 0.4 for word in phrase.qualifiers if word in self.index.postings and word not in wanted})
        scores = self.index.score(places, wanted, _state_cost(states, STATE_BIT["raw"]))
        best, values = _top(places, scores)
        entry_words = self.index.words_at(best[0])
        content = [token for token in tokens if token not in self.neutral]
        met = [token for token in content if token in entry_words]
        if not met or len(met) < len(content) or head != content[-1]:
            unmet = [token for token in content if token not in entry_words] or tokens
            return Match(reasons=(f"no entry accounts for {_listed(unmet)}",))
        first = self.index.facets(best[0])[0]
        if len(met) == 1 and self._is_of_brand(met[0], best[0]):
            return Match(reasons=(f"'{met[0]}' is of a maker's name only",))
        leading = any(token in first.words or entry_words.get(token, 0) >= 0.5 for token in met)
        confidence = 0.75 if leading else 0.45
        return Match(best, values, None, confidence, ("found by the words of its description only",), False)


# A product of a maker: its name in capitals, then what it is called, of which the last word says what it is.
_MADE_BY = re.compile(r"(?:^|, )[A-Z][A-Z' ]+[A-Z]\b,? ([^,(]+)")


def _misread_lack(name: Name, phrase: Phrase) -> frozenset[str]:
    """The words behind a name that a phrase's "without" forbids: of the lack itself, or of what it is without.

    "Yogurt without fruit" is no fruit yogurt, "chili without beans" is a name; "zest of 1 lemon, without the pith" is
    no lemon without its zest.
    """
    if "without" not in name.key:
        return phrase.lacking if name.key & phrase.lacking & phrase.qualifiers else frozenset()
    return _WITHOUT if "without" in phrase.qualifiers and not name.key & phrase.lacking else frozenset()


def _is_in_absent(words: frozenset[str], match: Match) -> bool:
    """Whether words belong to a name without an entry: "milk (oat)" is oat milk, and no oats."""
    return match.name is not None and match.name.kind == "absent" and words < match.name.key


def _holders(around: Around, phrase: Phrase) -> tuple[str | None, str | None]:
    """What the food comes in, before its name ("a can of beans") or behind it."""
    return around.measure, phrase.piece


# Of words of fewer letters, too many differ by one: "patol", a gourd, is no "pato".
_LONG_ENOUGH = 5
_TWO_WORDS = 2


def _with_spelling(match: Match, phrase: Phrase) -> Match:
    """A spelling put right by two letters, or to a short word, is never silent; one letter is said but trusted."""
    if not phrase.spelled or not match.found:
        return match
    confidence, reasons = match.confidence, match.reasons
    # a word of another language lies near many that it is no slip for
    certain = match.certain and not (match.name is not None and match.name.kind == "regional")
    for written, read, distance in phrase.spelled:
        confidence *= 0.97 if distance == 1 else 0.85
        certain = certain and distance == 1 and len(read) >= _LONG_ENOUGH
        reasons = (*reasons, f"'{written}' read as '{read}'")
    return replace(match, confidence=confidence, certain=certain, reasons=reasons)


# Cooking that brings fat with it, by the stems of its words: a boiled entry lacks that fat.
_IN_FAT = ("fried", "saute", "carameli")


def _fried(phrase: Phrase, description: str) -> set[str]:
    """The words of a phrase for cooking in fat, where the entry is of no such food."""
    words = {word for word in (*phrase.tokens, *phrase.qualifiers) for stem in _IN_FAT if stem in word}
    if not words:
        return words
    described = fold(description)
    return set() if any(stem in described for stem in _IN_FAT) else words


def _doubts_of_fat(phrase: Phrase, name: Name, description: str) -> Iterator[str]:
    """That an entry is cooked in fat where the line says another way: "6 long peppers, roasted"."""
    described = fold(description)
    said = (*phrase.tokens, *phrase.qualifiers, *name.key)
    if any(stem in described for stem in _IN_FAT) and not any(stem in word for word in said for stem in _IN_FAT):
        yield "the entry is cooked in fat, of which the line says nothing"


@lru_cache(maxsize=1 << len(STATES))
def _states_of(bits: int) -> frozenset[str]:
    return frozenset(state for state in STATES if bits & STATE_BIT[state])


def _top(places: NDArray[np.int32], scores: NDArray[np.float32], count: int = 5) -> Ranking:
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
