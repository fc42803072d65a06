"""Lines that are no food: labels, headings, titles, notes, remarks.

    label   = number words number "°" number time-word
            | label-word ... ( ":" | "|" ) words | label-word ... number time-word words | claims
            | label-word ( number | letter ) | words that name no food currency words | diet [ "," words ]
            | heading-word number [ ":" words ] | number yield-word
            | number words "=" number words
    heading = heading-word ... [ remark ] | words heading-word ( "-" | ":" ) | words that make no food heading-word
            | words ":" | ( "for" | "to" ) words that name no food;  behind its colon a food may stand all the same
    title   = food "with" food, both without an amount | words "(" yield ")" | words ( "para" | ... ) number
            | words "," label-word number
            | words ( "-" | "(" | ... ) claims | see `title`
    claims  = number "g" ( "carbs" | "kcal" | ... ) [ "per" "portion" ] ...
    note    = verb-of-a-step words | word ( "the" | "your" ) words | words verb-of-advice words | remark words
            | "no" words ( "until" | ... ) words | words "?" | manner ...
    remark  = one word of cutting, size or taste alone
    equipment = words that name no food equipment-word

A line that states an amount is food unless a label, a note or a title says otherwise.
"""

from __future__ import annotations

from collections.abc import Sequence

from service.core.amount import WEIGHABLE
from service.core.line_items import before_bracket
from service.core.noun_phrase import NAMING, Lexicon
from service.core.text import singular
from service.core.title import MINUTES, counted_title, dish_kind, is_name, is_title, spelled, until_mark
from service.core.vocabulary import Token, key_word

_MANNER = frozenset({"preparation", "filler", "remark", "optional", "to taste", "approximate", "size", "joiner"})
_ALONE = frozenset({"preparation", "remark", "optional", "to taste", "approximate", "size"})
# What a food comes with without being a dish: "chicken thighs with skin", "tomatoes with juice".
_OWN_PARTS = frozenset(
    "skin bone juice oil liquid salt water rind shell peel stem leaf syrup brine fat head tail marrow".split()
)
# Words before which a first word is a verb: "salt the aubergine", "juice your lemons".
_AFTER_A_VERB = frozenset({"the", "your", "them", "it"})
_MAY_BE_VERB = frozenset({"word", "measure", "preparation", "remark", "note start"})
# First words that choose among foods: "any mild cheese will do" names an ingredient.
_CHOOSING = frozenset({"any", "some", "whatever", "whichever", "enough", "all", "half", "both", "just", "only"})
_NAMED = NAMING | {"note start"}
_CONDITIONS = frozenset({"if", "unless"})
_LONGEST_LABEL = 4
# Words behind which a piece of equipment is only described: "a saucepan with a lid".
_HOLDING = frozenset({"with", "for", "to", "from"})
_CLAIM_MARKS = frozenset({"-", "|", ",", "(", ":"})
_COUNTED_CLAIMS = frozenset("carb carbohydrate kcal calorie cal".split())
_SERVED = frozenset("portion serving serve slice person plate bowl piece muffin cookie".split())
_CLAIM_WORDS = _COUNTED_CLAIMS | _SERVED.union(
    "protein fibre fiber fat net sugar per each total g mg and a of only just approx about".split()
)
_FOR = frozenset({"para", "pour", "fur", "per", "voor", "til"})


def not_food(tokens: Sequence[Token], lexicon: Lexicon) -> str:
    """Why the line is a label, a heading or a note, "" where it may be food; it has one token or more."""
    first = next((token for token in tokens if token.kind != "mark"), tokens[0])
    words = [token for token in before_bracket(tokens) if token.kind != "mark"] or [first]
    counted = _is_counted(words)
    if _is_label(tokens, lexicon) or _is_priced(tokens, lexicon) or _bakes(tokens, lexicon):
        return "a label"
    if _is_equipment(tokens, lexicon):
        return "kitchen equipment"
    if _suits(tokens, lexicon):
        return "a note"
    if _is_version(tokens, lexicon):
        return "a heading"
    if _opens_note(first, tokens, words, lexicon):
        return "a note"
    if states_claims(tokens):
        return "a label"
    if _measures_no_food(tokens, words, lexicon) or _states_nutrients(tokens):
        return "a label"
    if first.kind == "number":
        return "a heading" if _is_yield(tokens, lexicon) or counted_title(tokens, lexicon) else ""
    if first.kind == "measure" and lexicon.vocabulary.titles.dishes.get(_plain(words)) == "dish":
        return "a heading"  # "Crack slaw"
    if _claims(tokens, lexicon) or _serves_at_end(tokens, words):
        return "a heading"
    named = is_name(_before_mark(tokens), lexicon)
    if not named and ((not counted and _says_no_food(tokens, words)) or _advises(tokens)):
        return "a note"
    weighed = any(lexicon.measures.kind(token) in WEIGHABLE for token in tokens)
    if (tokens[-1].text == ":" and not weighed) or _is_purpose(tokens, words, lexicon):
        return "a heading"
    if any(token.kind == "optional" for token in tokens) and lexicon.names_food(words):
        return ""
    own = _is_counted(_before_remark(words)) if _serves(words) else counted
    amounts = own or weighed or _bracket_counts(tokens)
    if _ends_as_title(tokens, words, lexicon) or (not amounts and _names_dish(tokens, words, lexicon)):
        return "a heading"
    if not counted and not named and (_is_sentence(words, lexicon) or _opens_remark(first)):
        return "a note"
    if _is_heading(tokens, words, amounts, lexicon):
        return "a heading"
    return "a remark" if len(words) == 1 and first.kind in _ALONE else ""


_LONGEST_LEAD = 10


def behind_heading(tokens: Sequence[Token], lexicon: Lexicon) -> Sequence[Token]:
    """What stands behind a heading on the food's own line: "Marinade: 1 cup buttermilk", "Filling - 500 g mince".

    The whole line where it begins with no heading, or no food stands behind it: "Topping: see below".
    """
    place = _first_outside(tokens[: _LONGEST_LEAD + 1], (":", "-"))
    lead, rest = before_bracket(tokens[:place]), tokens[place + 1 :]
    if not lead or not rest:
        return tokens
    counted = rest[0].kind == "number"
    if tokens[place].text == "-" and not counted:
        return tokens
    if counted and (_is_stage(lead) or _titles(lead, rest, lexicon)) and not not_food(rest, lexicon):
        return rest if lexicon.names_food(_before_mark(rest)) else tokens
    if any(token.kind in ("number", "measure") for token in lead):
        return tokens
    purpose = lead[0].text == "for the" and _is_purpose([*lead, tokens[place]], lead, lexicon)
    if not (purpose or _is_heading(lead, lead, False, lexicon)) or not_food(rest, lexicon):
        return tokens
    return rest if counted or lexicon.names_food(_before_mark(rest)) else tokens


# What a recipe is made in, one after the other, and whom it serves: "Day 1: 500 g flour", "serves 4: 400 g pasta".
_STAGES = frozenset({"step", "day", "part", "layer", "stage", "phase", "week", "serves", "serve"})


_WHEN = frozenset({
    "day before", "the day before", "night before", "the night before", "at the end", "to finish", "what you need",
    "you will need", "you need", "ingredients", "leftovers",
})  # fmt: skip


def _is_stage(lead: Sequence[Token]) -> bool:
    """ "Day 1", "the night before": when what follows is needed."""
    if " ".join(token.text for token in lead) in _WHEN:
        return True
    return len(lead) == 2 and singular(lead[0].text) in _STAGES and lead[1].kind == "number"


def _titles(lead: Sequence[Token], rest: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether a food before the colon is the title of what is made: "Jam: 500 g strawberries", not "Eggs: 2 large"."""
    if any(token.kind in ("number", "measure") for token in lead) or not lexicon.names_food(lead):
        return False
    nouns = [token for token in _before_mark(rest) if token.kind in NAMING and token.kind not in ("number", "measure")]
    name = lexicon.ending([token.key for token in nouns if token.key])
    return name is not None and name.kind not in ("default", "absent") and len(name.form.split()) + 1 >= len(nouns)


def _first_outside(tokens: Sequence[Token], marks: Sequence[str]) -> int:
    """Where the first of some marks stands outside brackets, 0 where none does."""
    depth = 0
    for at, token in enumerate(tokens):
        if depth == 0 and token.text in marks:
            return at
        depth += (token.text in "([{") - (token.text in ")]}") if token.kind == "mark" else 0
    return 0


def _plain(words: Sequence[Token]) -> str:
    return " ".join(word for word, _ in spelled(words))


def _is_counted(words: Sequence[Token]) -> bool:
    """Whether words state an amount: a number, a measure before all else, "a jar"."""
    if any(token.kind == "number" for token in words) or words[0].kind == "measure":
        return True
    return len(words) > 1 and words[0].text in ("a", "an") and words[1].kind == "measure"


def _serves(words: Sequence[Token]) -> bool:
    """ "Cottage pie for two", "stuffing for one 5 kg goose": a number that counts what the dish is for."""
    behind = words[len(_before_remark(words)) :]
    return len(behind) > 1 and behind[0].text == "for" and behind[1].kind == "number"


def _bracket_counts(tokens: Sequence[Token]) -> bool:
    """ "Beef bones (3x)": a bracket that begins with a number states an amount."""
    inside = tokens[len(before_bracket(tokens)) + 1 :]
    return bool(inside) and inside[0].kind == "number"


def _is_label(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Prep: 15 min | cook: 1 h", "Per 100 g: 250 kcal", "Day 2: shape the loaf"."""
    labels = lexicon.vocabulary.titles.labels
    if _times(tokens, labels):
        return True
    place = next((at for at, token in enumerate(tokens) if token.text in (":", "|")), 0)
    place = place or next((at for at, token in enumerate(tokens[:3]) if token.text == "-"), 0)
    if len(tokens) > 1 and (place or len(tokens)) == 2 and _numbers(tokens[1]):  # "Part 2", "Group B - the filling"
        return singular(tokens[0].text) in labels
    if not 0 < place <= _LONGEST_LABEL:
        return False
    words = [singular(word) for token in tokens[:place] for word in token.text.split()]
    # "Grandmother's note: ..."
    told = tokens[0].kind in ("word", "filler") and words[-1] in labels and not lexicon.names_food(tokens[:place])
    return told or " ".join(words) in labels


_CURRENCIES = frozenset("$£€₹")


def _is_priced(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Total cost approx. $11.50": a price, and no food before it."""
    place = next((at for at, token in enumerate(before_bracket(tokens)) if token.text in _CURRENCIES), None)
    if place is None or tokens[0].kind == "number":
        return False
    return not any(lexicon.names_food(tokens[: at + 1]) for at in range(place))


def _bakes(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "12 scones; 220° 12-15 min", "350F for 20 mins": what comes out of which oven, and when; nothing is weighed."""
    heats = {at + 1 for at, token in enumerate(tokens[:-1]) if _is_heat(token, tokens[at + 1])}
    if not heats or not any(singular(token.text) in MINUTES for token in tokens):
        return False
    return not any(lexicon.measures.kind(token) for at, token in enumerate(tokens) if at not in heats)


_EATERS = frozenset({"people", "ppl", "pax", "person", "guest", "adult", "hungry", "child", "friend", "head"})
# Units and words of times, temperatures, dates and people, of which no food is counted.
_TIMES = MINUTES | frozenset("second sec day week month year overnight night".split())
_HEATS = frozenset("degree c f fahrenheit celsius fan gas mark oven °".split())
_MONTHS = frozenset(
    "january february march april may june july august september october november december "
    "jan feb mar apr jun jul aug sep sept oct nov dec".split()
)
_DATES = _MONTHS | frozenset({"st", "nd", "rd", "th"})
_BESIDE = frozenset("a an the in at for about and or to - – few several half of on".split())


def _measures_no_food(tokens: Sequence[Token], words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "45 min", "180°C", "12 March", "4 adults and 2 children": numbers of what is no food, and nothing else."""
    if len(words) > _LONGEST_MEASURE or len(words) < len(tokens) - 2:
        return False
    labels = lexicon.vocabulary.titles.labels
    ends = singular(words[-1].text.split()[-1])
    if words[-1].kind not in _AMOUNTS and ends not in _NO_FOODS and ends not in labels:
        return False  # most lines, quickly
    if not any(token.kind in ("number", "vague number") for token in words):
        return False
    said = {singular(word) for token in words if token.kind not in _AMOUNTS for word in token.text.split()} - _BESIDE
    if not said:
        return False
    timed = not said.isdisjoint(_TIMES) and said <= _TIMES | _PLACES | labels
    hot = said <= _HEATS | _TIMES and (not said <= {"c", "f"} or any(len(token.text) > 2 for token in words))
    return timed or hot or said <= _EATERS or (said <= _DATES and not said.isdisjoint(_MONTHS))


_LONGEST_MEASURE = 8
_AMOUNTS = frozenset({"number", "vague number", "approximate"})
_PLACES = frozenset("fridge freezer oven chilling resting marinating cooking ahead prep soaking proving".split())
_NO_FOODS = _TIMES.union(_HEATS, _DATES, _PLACES, _EATERS)


_DEGREES = frozenset({"f", "c", "degrees", "fahrenheit", "celsius"})


def _is_heat(number: Token, unit: Token) -> bool:
    """ "180 c", which no recipe means as cups; "220°"."""
    if number.kind != "number":
        return False
    return unit.text == "°" or (unit.text in _DEGREES and number.text.isdigit() and len(number.text) > 2)


# Words of the longest thing in tables/titles.csv, and a few more.
_LONGEST_EQUIPMENT = 8


def _is_equipment(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "12 wooden skewers, soaked", "a 23 cm springform tin": what the kitchen uses, and no food before it."""
    if lexicon.vocabulary.equipment_words.isdisjoint([token.key for token in tokens]):
        return False
    equipment = lexicon.vocabulary.titles.equipment
    if tokens[0].kind == "number" and tokens[1:] and tokens[1].text == "-":
        tokens = tokens[2:]  # "12-hole muffin tin"
    named = [token for token in until_mark(tokens) if token.kind != "mark"]
    end = next((at for at, token in enumerate(named) if at and token.text in _HOLDING), len(named))
    words = spelled(named[:end])
    may_start = range(max(0, len(words) - _LONGEST_EQUIPMENT), len(words))
    start = next((at for at in may_start if " ".join(word for word, _ in words[at:]) in equipment), None)
    if start is None:
        return False
    before = [token for token in named[: max(0, end - len(words) + start)] if token.kind != "measure"]
    return not any(lexicon.names_food(before[: at + 1]) for at in range(len(before)))


def _suits(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Gluten free, can be made vegan", "Vegan | nut free": whom the dish suits, before anything else."""
    return " ".join(word for word, _ in spelled(list(until_mark(tokens)))) in lexicon.vocabulary.titles.diets


def _is_version(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Chicken pie, version 3": a title that counts the cook's attempts, without an amount before it."""
    last = max((at for at, token in enumerate(tokens) if token.text in (",", "-", "(")), default=0)
    behind = [token for token in tokens[last + 1 :] if token.text != ")"]
    counted = tokens[0].kind == "measure" or any(token.kind == "number" for token in tokens[:last])
    if not last or len(behind) != 2 or counted:
        return False
    return singular(behind[0].text) in lexicon.vocabulary.titles.labels and behind[1].kind == "number"


def _numbers(token: Token) -> bool:
    """Whether a token tells one of several from the others: a number, or a letter alone."""
    return token.kind == "number" or (len(token.text) == 1 and token.text.isalpha())


def _times(tokens: Sequence[Token], labels: frozenset[str]) -> bool:
    """ "Prep 20 mins, cook 1 1/2 hrs": a label before a time, without a colon."""
    place = next((at for at, token in enumerate(tokens) if token.kind == "number"), 0)
    if not 0 < place <= _LONGEST_LABEL:
        return False
    behind = [token for token in tokens[place:] if token.text not in ("-", "+") and token.kind != "number"]
    if not behind or singular(behind[0].text) not in MINUTES:
        return False
    return " ".join(singular(word) for token in tokens[:place] for word in token.text.split()) in labels


def _is_yield(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "2 servings", "1 batch = 16 buns": what a recipe yields rather than what goes into it."""
    if not any(token.value in ("yield", "=") for token in tokens):
        return False
    place = next((at for at, token in enumerate(tokens) if token.text == "="), len(tokens))
    words = [token for token in before_bracket(tokens)[1:place] if token.kind not in ("mark", "filler")]
    if place < len(tokens):
        return bool(words) and all(token.kind == "word" for token in words) and not lexicon.names_food(words)
    yields = [token for token in words if token.kind not in ("number", "joiner")]
    return bool(yields) and yields[0].value == "yield" and not lexicon.names_food(yields[1:])


def _opens_note(first: Token, tokens: Sequence[Token], words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Freeze the beef", "makes 12"; but "peel of 2 lemons" and "roast beef" are foods."""
    if first.text.split()[0] in _CONDITIONS and len(words) > 2:  # "If using dried beans, soak them"
        return True
    if _begins_step(words):
        return True
    if first.kind != "note start" or (len(words) > 1 and words[1].text == "of"):
        return False
    if is_name(_before_remark(_before_mark(tokens)), lexicon):
        return False
    if first.text.split()[-1] in _TOOLS and not _is_counted(words):  # "Brush with egg"
        return True
    nouns = [token for token in words if token.kind not in ("number", "measure")]
    if first.value == "verb" and len(words) > 3:  # "Freeze the beef for 20 minutes"
        return True
    always = first.value in ("always", "yield")
    return always or not lexicon.names_food(nouns) or (len(words) > 3 and not _is_counted(words))


# What a step is done with or in; words that tell when or how it is done; verbs that no food is called by.
_TOOLS = frozenset({"with", "in", "over", "on", "into", "through"})
_IN_STEPS = frozenset("then next now finally first meanwhile gently slowly lightly carefully".split())
_VERBS = frozenset({"peel", "chop", "grate", "melt", "beat", "boil", "whip", "crush"})
_HANDLING = frozenset(
    "fry roll dip wrap coat glaze spread finish toss simmer cook melt deglaze loosen scatter shake pour dust sprinkle "
    "drizzle brush garnish season stir".split()
)
_GROUND = frozenset({"a", "the", "your", "medium", "high", "low"})


def _begins_step(words: Sequence[Token]) -> bool:
    """ "Then add the tomatoes", "In a bowl whisk eggs", "peel potatoes": a step of the method, without an amount."""
    first, *rest = words
    if not rest or any(token.kind == "number" and token.text[0].isdigit() for token in words):
        return False
    if first.text.split()[0] in _IN_STEPS:
        return rest[0].text == "the" or rest[0].kind == "note start" or rest[0].value in ("verb", "advice")
    if first.text in _TOOLS:
        return rest[0].text in _GROUND and len(rest) > 2
    if first.text in _HANDLING and rest[0].text in _TOOLS and len(rest) > 1:
        return True
    plural = rest[-1].kind == "word" and rest[-1].text != rest[-1].key
    return len(words) == 2 and first.text in _VERBS and plural


def _is_purpose(tokens: Sequence[Token], words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "For the top", "to finish": a purpose with no food, or with one that is made here: "For the dal (boil)"."""
    first = words[0]
    if first.kind != "remark" or first.text.split()[0] not in ("for", "to"):
        return False
    alone = len(words) == len(before_bracket(tokens)) and not any(token.kind == "number" for token in words)
    if first.text == "for the" and alone:
        return True
    return not lexicon.names_food(words[1:]) and not lexicon.names_food(_before_mark(tokens)[1:])


def _says_no_food(tokens: Sequence[Token], words: Sequence[Token]) -> bool:
    """ "No lid until it boils", "Vegan?": a ban or a question before anything else."""
    if tokens[-1].text == "?":
        return True
    banned = words[0].text.split()[0] == "no"
    return banned and any(token.text in ("until", "unless", "if", "because") for token in words)


def _advises(tokens: Sequence[Token]) -> bool:
    """ "Eggs should be fresh", "Salt the slices": advice or a step before the first comma, no amount before it."""
    words = _before_mark(tokens)
    if len(words) < 3 or words[0].text in _CHOOSING:
        return False
    if words[0].kind in _MAY_BE_VERB and words[1].text in _AFTER_A_VERB:
        return True
    if words[0].value == "advice" and words[0].kind == "remark":
        return True  # "Keeps 3 days in the fridge"
    place = next((at for at, token in enumerate(words) if at and token.value == "advice"), 0)
    return place > 0 and not _is_counted(words[:place])


def _claims(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Celeriac gratin - 9 g carbs per portion", "Fish pie - 40 min": what a dish holds or takes, behind a mark."""
    place = next((at for at, token in enumerate(tokens) if at and token.text in _CLAIM_MARKS), len(tokens))
    if any(token.kind in ("number", "measure") for token in tokens[:place]):
        return False
    timed = place < len(tokens) and tokens[place].text in "-|" and _states_time(tokens[place + 1 :], lexicon)
    return timed or states_claims(tokens[place + 1 :])


def _states_time(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "15 min prep", "1 hour": a time, with what takes it, and nothing else."""
    words = {singular(token.text) for token in tokens if token.kind not in ("number", "mark", "filler", "approximate")}
    if not tokens or tokens[0].kind != "number" or words.isdisjoint(MINUTES):
        return False
    return words <= MINUTES | lexicon.vocabulary.titles.labels


def states_claims(tokens: Sequence[Token]) -> bool:
    """ "4 g net carbs per serving", "250 kcal, 5 g carbs": figures of a dish and nothing else."""
    if not any("carb" in token.text or "cal" in token.text for token in tokens):
        return False  # most lines, quickly: no word of _COUNTED_CLAIMS is there
    words = [singular(word) for token in tokens if token.kind not in ("number", "mark") for word in token.text.split()]
    counted = any(token.kind == "number" for token in tokens)
    return counted and not _COUNTED_CLAIMS.isdisjoint(words) and _CLAIM_WORDS.issuperset(words)


# Nutrients of which no food goes by the name, and those that are foods as well.
_NUTRIENTS = frozenset(
    "fibre fiber sodium cholesterol calcium potassium saturated saturate unsaturated monounsaturated polyunsaturated "
    "kj kilojoule energy vitamin carb carbohydrate".split()
)
_ALSO_FOODS = frozenset("protein fat sugar salt iron alcohol".split())
_FIGURES = _CLAIM_WORDS.union(
    _NUTRIENTS, _ALSO_FOODS, "gram milligram mcg of which c d b12 day daily value".split()
)


_KJ = frozenset({"kj"})


def _states_nutrients(tokens: Sequence[Token]) -> bool:
    """ "Protein: 24 g, fibre 6 g", "Salt 1.1 g per portion": what a dish holds, each nutrient before its figure."""
    first = tokens[1:2] if tokens[0].kind == "number" else tokens[:1]
    if not first or singular(first[0].text.split()[0]) not in (_KJ if tokens[0].kind == "number" else _FIGURES):
        return False  # most lines, quickly
    words = [singular(word) for token in tokens if token.kind not in ("number", "mark") for word in token.text.split()]
    if not _FIGURES.issuperset(words):
        return False
    if not any(token.kind == "number" for token in tokens):
        return False
    nutrients = (_NUTRIENTS | _ALSO_FOODS).intersection(words)
    told = {"per", "each", "protein"}.intersection(words)
    return bool(nutrients & _NUTRIENTS) or len(nutrients) > 1 or bool(nutrients and told)


def _serves_at_end(tokens: Sequence[Token], words: Sequence[Token]) -> bool:
    """ "Locro criollo para 10": whom a dish is for, in languages whose recipes are read here."""
    last = tokens[-2:]
    return len(words) > 2 and last[0].text in _FOR and last[1].kind == "number" and not _is_counted(words[:-2])


def _ends_as_title(tokens: Sequence[Token], words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Potato topping -", "Butter tarts (makes 12)": a heading word before a last dash, a yield in brackets."""
    behind = [token for token in tokens[len(before_bracket(tokens)) :] if token.kind != "mark"]
    yields = any(token.value == "yield" for token in tokens[1:]) or _feeds(behind)
    if yields and words[0].kind not in ("number", "measure"):
        return True
    return tokens[-1].text == "-" and singular(words[-1].text) in lexicon.vocabulary.headings


def _feeds(inside: Sequence[Token]) -> bool:
    """ "(for 4)", "(for 6-8 people)": a bracket that says for how many, and nothing else."""
    if len(inside) < 2 or inside[0].text != "for" or inside[1].kind != "number":
        return False
    return inside[-1].kind == "number" or inside[-1].key in _EATERS




def _names_dish(tokens: Sequence[Token], words: Sequence[Token], lexicon: Lexicon) -> bool:
    return _is_dish(words, lexicon) or is_title(tokens, lexicon)


def _is_dish(words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Lentils with spiced butter": a food with another, and no amount, is a dish's title."""
    place = next((at for at, token in enumerate(words) if token.value == "with"), 0)
    behind = [token for token in words[place + 1 :] if token.kind in NAMING]
    if not place or not behind or {key_word(token) for token in behind} & _OWN_PARTS or is_name(words, lexicon):
        return False
    return lexicon.names_food(words[:place]) and lexicon.names_food(behind)


def _is_sentence(words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "vegetarians can skip the anchovies": a verb of advice with no food before it; or no noun at all."""
    place = next((at for at, token in enumerate(words) if token.value in ("sentence", "advice")), None)
    if place is not None:
        return not any(lexicon.names_food(words[:end]) for end in range(min(place, 6), 0, -1))
    return all(token.kind in _MANNER for token in words)


def _opens_remark(first: Token) -> bool:
    """ "or use ...", "if you like it hot": a remark without a food before it."""
    return first.kind == "remark" and first.text.split()[0] not in ("for", "to", "like", "such", "preferably")


def _before_mark(tokens: Sequence[Token]) -> Sequence[Token]:
    """The tokens before the first comma, bracket or other mark."""
    return tokens[: next((at for at, token in enumerate(tokens) if at and token.kind == "mark"), len(tokens))]


def _before_remark(words: Sequence[Token]) -> Sequence[Token]:
    """The words before a remark: "sugar for the top crust" is sugar."""
    place = next((at for at, token in enumerate(words) if at and token.kind == "remark"), len(words))
    return words[:place]


def _is_heading(tokens: Sequence[Token], words: Sequence[Token], amounts: bool, lexicon: Lexicon) -> bool:
    """Heading words without an amount of their own: "Filling", "Stuffing for one turkey", "Chicken marinade"."""
    if any(token.text == "/" for token in tokens):
        return False
    head = _before_remark(words)
    if _is_served(words[len(head) :], head):
        return False
    if amounts and (_is_counted(head) or not _serves(words)):
        return False
    said, bought = _headed(head), dish_kind(spelled(head), lexicon) == "bought"
    if " ".join(said) in lexicon.vocabulary.headings and not any(token.text in ("or", "/") for token in head):
        return True
    return not bought and _says_heading(said, head, lexicon)


# Sections of a list, which hold foods and are none: "toppings, to serve".
_SECTIONS = frozenset("topping garnish accompaniment extra side decoration serving trimming condiment".split())
_SERVING = frozenset({"to serve", "for serving", "to sprinkle", "to decorate", "of choice", "of your choice"})


def _is_served(remarks: Sequence[Token], head: Sequence[Token]) -> bool:
    """ "gravy, to serve", "frosting of choice": bought or made before, and eaten; no heading."""
    served = any(token.text in _SERVING for token in remarks)
    return served and bool(head) and singular(head[-1].text) not in _SECTIONS


def _headed(words: Sequence[Token]) -> list[str]:
    """The words of a heading in the singular, without those that join them."""
    return [singular(token.text) for token in words if token.kind not in ("filler", "joiner", "remark")]


def _is_in(words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Sardines in tomato sauce": a food before the heading words."""
    place = next((at for at, token in enumerate(words) if token.kind == "preposition"), 0)
    return place > 0 and lexicon.names_food(words[:place])


def _says_heading(said: list[str], words: Sequence[Token], lexicon: Lexicon) -> bool:
    """Heading words alone ("Sauce and topping"), or behind words that make no known food ("Chicken marinade")."""
    headings = lexicon.vocabulary.headings
    either = any(token.text in ("or", "/") for token in words)  # "fish or oyster sauce" is an ingredient
    if not said or is_name(words, lexicon):
        return False
    if not either and headings.issuperset(said):
        return True
    heads = headings - lexicon.vocabulary.headed_foods
    if said[-1] not in heads or len(said) > 4 or any(token.kind == "joiner" for token in words):
        return False
    if _is_in(words, lexicon):
        return False
    keys = [word for token in words if token.kind in _NAMED and (word := key_word(token))]
    plain = {key_word(token) for token in words if token.kind == "word"}
    name = lexicon.ending(keys)
    return name is None or not plain - name.key - headings <= lexicon.vocabulary.titles.dishes.keys()
