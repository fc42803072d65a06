"""Lines of figures that count no food.

    measured  = { number ( time-word | heat-word | month | eater | "votes" | ... ) }    "45 min", "180°C", "5 stars"
    bakes     = ... number ( "°" | degree ) ... time-word ...               "12 scones; 220° 12-15 min"
    heat      = words that name no food { number ( "°" | degree ) } words   "Dough at 24 °C", "internal temp 165 F"
    whole     = words of a whole "weight" ... number measure                "Total dough weight: 1,850 g"
    priced    = words that name no food currency words
    yield     = number yield-word | number words "=" number words           "2 servings", "1 batch = 16 buns"
    worth     = [ number ] measure ( "=" | "is" | ":" ) number measure ...    "1 cup = 240 ml, 1 tbsp = 15 ml"
              | words ( "=" | measure ... "holds" ) number measure words, none of which names a food
    ordinal   = number ( "st" | "nd" | ... ) stage                          "2nd layer"
    claims    = number "g" ( "carbs" | "kcal" | ... ) [ "per" "portion" ] ...
    nutrients = { nutrient number "g" } [ "per" "portion" ]                 "Salt 1.2 g per 100 g"
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from service.core.amount import WEIGHABLE
from service.core.line_items import COUNTING, before_bracket
from service.core.noun_phrase import Lexicon
from service.core.number import OF_AMOUNTS
from service.core.text import singular
from service.core.vocabulary import Token

CURRENCIES = frozenset("$£€₹") | frozenset("euro euros dollars bucks quid pence rupees pesos".split())
_LONGEST_MEASURE = 8
# What may stand among times, dates and eaters, and among figures of what a dish holds.
_BESIDE = frozenset(
    "a an the in at for about and or to - – + few several half of on before after under over plus".split()
)
BESIDE_FIGURES = frozenset(
    "net per each total g mg mcg iu gram milligram and a of only just approx about which c d b12 day daily value has"
    .split()
)
ORDINALS = frozenset({"st", "nd", "rd", "th"})
_AROUND = frozenset({"before", "after"})


def measures_no_food(tokens: Sequence[Token], words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "45 min", "180°C", "12 March", "4 adults and 2 children": numbers of what is no food, and nothing else."""
    if len(words) > _LONGEST_MEASURE or len(words) < len(tokens) - 2 or not _ends_uncounted(words[-1], lexicon):
        return False
    if not any(token.kind in COUNTING for token in words):
        return False
    said = {singular(word) for token in words if token.kind not in OF_AMOUNTS for word in token.text.split()} - _BESIDE
    titles = lexicon.vocabulary.titles
    if not said:
        return False
    times, heats = titles.minutes | titles.periods, titles.heats | titles.degrees | {"°"}
    timed = not said.isdisjoint(times) and said <= times | titles.pauses | titles.labels
    hot = said <= heats | times and (not said <= {"c", "f"} or any(len(token.text) > 2 for token in words))
    dated = not said.isdisjoint(titles.months) and said <= titles.months | ORDINALS
    return timed or hot or dated or said <= titles.eaters or said <= titles.feedback


def _ends_uncounted(last: Token, lexicon: Lexicon) -> bool:
    """Whether a line may be one of figures by its last word: a number, a time, a heat, a date, eaters, a label."""
    if last.kind in OF_AMOUNTS:
        return True
    word = singular(last.text.split()[-1])
    if word in lexicon.vocabulary.uncounted or word in lexicon.vocabulary.titles.labels:
        return True
    return word in ORDINALS or word in _AROUND  # "1-2 hours before"


def bakes(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "12 scones; 220° 12-15 min", "350F for 20 mins": what comes out of which oven, and when; nothing is weighed."""
    titles = lexicon.vocabulary.titles
    numbers = [at for at, token in enumerate(tokens[:-1]) if token.kind == "number"]
    heats = {at + 1 for at in numbers if _is_heat(tokens[at], tokens[at + 1], titles.degrees)}
    if not heats or not any(singular(token.text) in titles.minutes for token in tokens):
        return False
    others = (token for at, token in enumerate(tokens) if at not in heats and at and tokens[at - 1].kind == "number")
    return not any(map(lexicon.measures.kind, others))  # "shake halfway"


def _is_heat(number: Token, unit: Token, degrees: frozenset[str]) -> bool:
    """ "180 c", which no recipe means as cups; "220°"."""
    return unit.text == "°" or (singular(unit.text) in degrees and number.text.isdigit() and len(number.text) > 2)


def states_heat(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "DDT 78°F", "internal temp 165 F": a heat without an amount, and no food before but what it is of."""
    degrees = lexicon.vocabulary.titles.degrees
    if not any(token.text == "°" or token.text in degrees for token in tokens):
        return False  # most lines, quickly
    numbers = [at for at, token in enumerate(tokens) if token.kind == "number" and not (at and _is_gas(tokens[at - 1]))]
    if not numbers or any(token.kind == "measure" and token.text not in degrees for token in tokens):
        return False
    units = [tokens[at + 1] if at + 1 < len(tokens) else tokens[at] for at in numbers]
    before = [token for token in tokens[: numbers[0]] if token.kind not in ("mark", "approximate")]
    if before and before[-1].text in _TEMPERATURES:
        return all(unit.text == "°" or unit.text in degrees for unit in units)
    if not all(_is_heat(tokens[at], unit, degrees) for at, unit in zip(numbers, units, strict=True)):
        return False
    return not lexicon.names_any(before)


_TEMPERATURES = frozenset({"temp", "temperature"})


def _is_gas(token: Token) -> bool:
    return token.text in ("gas", "gas mark")  # "180°C / 160°C fan / gas mark 4"


def states_whole(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Total dough weight: 1,850 g", "Weight after baking about 750 g": what all of it weighs, and nothing else."""
    if tokens[0].kind == "number" or not any(token.text.split()[-1] in WHOLES for token in tokens):
        return False  # most lines, quickly
    place = next((at for at, token in enumerate(tokens) if token.kind == "number"), 0)
    lead = [token for token in tokens[:place] if token.kind != "mark"]
    behind = [token for token in tokens[place + 1 :] if token.kind not in ("approximate", "number", "mark", "joiner")]
    before = [token for token in lead if lexicon.measures.kind(token) == "mass"]  # "Weight (g): 700"
    masses = [*before, *behind]
    words = [word for token in lead if token not in before for word in token.text.split()]
    if WHOLES.isdisjoint(words) or not masses or any(lexicon.measures.kind(token) != "mass" for token in masses):
        return False
    return len(masses) <= _MOST_MASSES and lexicon.vocabulary.titles.wholes.issuperset(words)


_MOST_MASSES = 2  # "1 lb 8 oz"


WHOLES = frozenset({"weight", "portion", "output"})  # "Portion 300 g", "Output: 1000 g"


def is_priced(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Total cost approx. $11.50": a price, and no food before it."""
    place = next((at for at, token in enumerate(before_bracket(tokens)) if token.text in CURRENCIES), None)
    if place is None or tokens[0].kind == "number":
        return False
    return not lexicon.names_any(tokens[:place])


def is_yield(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "2 servings", "1 batch = 16 buns": what a recipe yields rather than what goes into it."""
    if _YIELDING.isdisjoint([token.value for token in tokens]):
        return False
    place = next((at for at, token in enumerate(tokens) if token.text == "="), len(tokens))
    words = [token for token in before_bracket(tokens)[1:place] if token.kind not in ("mark", "filler")]
    if place < len(tokens):
        counts = place + 1 < len(tokens) and tokens[place + 1].kind == "number"
        named = lexicon.names_any(words)
        return counts and bool(words) and all(token.kind == "word" for token in words) and not named
    yields = [token for token in words if token.kind not in ("number", "joiner")]
    if not yields or yields[0].value != "yield" or (len(yields) > 2 and yields[1].text == "of"):
        return False  # "1 serving of chips"
    return not lexicon.names_food(yields[1:])


_YIELDING = frozenset({"yield", "="})
EQUAL = frozenset({"=", "is", "are", "equals", ":"})
HOLD = frozenset({"holds", "hold", "means", "contains"})
_BESIDE_WORTH = frozenset({"measure", "mark", "number", "size", "joiner", "approximate", "heap", "filler"})


def states_worth(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "1 cup = 240 ml", "(one glass is 200 ml)", "*Tbsp = 15 cc": what measures are worth, and no food among them."""
    place = next((at for at, token in enumerate(tokens) if token.text in EQUAL | HOLD), 0)
    if not place:
        return False
    kinds = [lexicon.measures.kind(token) for token in tokens if token.kind == "measure"]
    others = {token.kind for token in tokens if token.text not in EQUAL} - _BESIDE_WORTH
    if len(kinds) > 1 and kinds[-1] in WEIGHABLE and not others:
        return True
    if tokens[place].text == "=" and _stands_for(tokens[:place], tokens[place + 1 :], lexicon):
        return True
    end = next((at for at, token in enumerate(tokens) if at > place and token.text == ","), len(tokens))
    told = tokens if any(token.kind == "number" for token in tokens[end:]) else tokens[:end]
    return _explains_measure(told, place, lexicon)


def _stands_for(one: Sequence[Token], other: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "1 egg = 1 tbsp ground flax + 3 tbsp water": foods of which each would do for the other."""
    counted = len(other) > 1 and one[0].kind == other[0].kind == "number"
    return counted and lexicon.names_any(one) and lexicon.names_any(other)


def _explains_measure(tokens: Sequence[Token], place: int, lexicon: Lexicon) -> bool:
    """ "In this book 1 glass = 200 ml", "[1 dkg = 10 grams. Trans.]", "our cup holds 180 ml": no word names a food."""
    behind = [token for token in tokens[place + 1 : place + 4] if token.kind != "approximate"]
    weighed = len(behind) > 1 and behind[0].kind == "number" and lexicon.measures.kind(behind[1]) in WEIGHABLE
    measured = tokens[place].text == "=" or any(token.kind == "measure" for token in tokens[:place])
    if not weighed or not measured or tokens[place].text not in HOLD | {"="}:
        return False
    return not lexicon.names_any(tokens)


def is_ordinal_stage(words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "2nd layer", "1st stage": which of several a section is."""
    if len(words) != 3 or words[1].text not in ORDINALS:
        return False
    return singular(words[2].text) in lexicon.vocabulary.titles.stages


def states_time(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "15 min prep", "1 hour": a time, with what takes it, and nothing else."""
    words = {singular(token.text) for token in tokens if token.kind not in ("number", "mark", "filler", "approximate")}
    titles = lexicon.vocabulary.titles
    if not tokens or tokens[0].kind != "number" or words.isdisjoint(titles.minutes):
        return False
    return words <= titles.minutes | titles.labels


def states_claims(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "4 g net carbs per serving", "250 kcal, 5 g carbs": figures of a dish and nothing else."""
    text = " ".join([token.text for token in tokens])
    if "carb" not in text and "cal" not in text:
        return False  # most lines, quickly: no claim is there
    words = _words_of_figures(tokens)
    counted = any(token.kind == "number" for token in tokens)
    said = [token for token in tokens[:3] if token.kind not in ("approximate", "mark")]
    if len(said) > 1 and said[0].kind == "number" and said[1].text in _ENERGY:
        return True  # "Approx. 180 kcal per biscuit"
    return counted and not lexicon.vocabulary.titles.claims.isdisjoint(words) and _are_figures(words, lexicon)


_ENERGY = frozenset({"kcal", "calories"})


def states_nutrients(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Protein: 24 g, fibre 6 g", "Salt 1.1 g per portion": what a dish holds, each nutrient before its figure."""
    if not _begins_nutrients(tokens, lexicon):
        return False  # most lines, quickly
    words = _words_of_figures(tokens)
    if not _are_figures(words, lexicon) or not any(token.kind == "number" for token in tokens):
        return False
    titles = lexicon.vocabulary.titles
    pure, foods = titles.nutrients.intersection(words), titles.nutrient_foods.intersection(words)
    told = {"per", "each", "protein"}.intersection(words)
    return bool(pure) or len(foods) > 1 or bool(foods and told)


def _words_of_figures(tokens: Sequence[Token]) -> list[str]:
    """The words of a line of figures without what they are of: "5 g carbs per roll"."""
    words = [singular(word) for token in tokens if token.kind not in ("number", "mark") for word in token.text.split()]
    return [word for before, word in pairwise(["", *words]) if before != "per"]


def _begins_nutrients(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether the first word may be of figures; of those with a number before it, energy alone: "1450 kJ"."""
    if tokens[0].kind == "number":
        return len(tokens) > 1 and singular(tokens[1].text) == "kj"
    word = singular(tokens[0].text.split()[0])
    return word in lexicon.vocabulary.figure_words or word in BESIDE_FIGURES


def _are_figures(words: Sequence[str], lexicon: Lexicon) -> bool:
    """Whether words are nutrients, portions and what stands beside their figures, and nothing else."""
    known = lexicon.vocabulary.figure_words
    return all(word in known or word in BESIDE_FIGURES for word in words)
