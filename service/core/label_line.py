"""Labels: lines that say something of the recipe before a colon or a number, whom a dish suits, what a kitchen uses.

    label     = label-word ... ( ":" | "|" ) words | label-word ... number time-word words
              | label-word ( number | letter )                    "Part 2", "Group B - the filling"
    diets     = diet [ "," words ]                                "Gluten free, can be made vegan"
    version   = words "," label-word number                       "Chicken pie, version 3": a title
    equipment = words that name no food equipment-word            "12 wooden skewers, soaked"
              | words tool [ "x" number ]                         "sausage press", "jelly roll pan x 2"
              | { build } vessel [ "," { build } ]                "a thick-bottomed vessel", "4 jars, sterilised"
"""

from __future__ import annotations

from collections.abc import Sequence

from service.core.amount import LENGTHS, WEIGHABLE
from service.core.figure_line import states_time
from service.core.line_items import COUNTING, before_bracket
from service.core.line_words import is_counted, is_name, plain, spelled, until_mark
from service.core.noun_phrase import NAMING, Lexicon
from service.core.text import singular
from service.core.vocabulary import TitleWords, Token

_LONGEST_LABEL = 4
# Words of the longest thing in tables/titles.csv, and a few more.
_LONGEST_EQUIPMENT = 8
# Words behind which a piece of equipment is only described: "a saucepan with a lid".
_HOLDING = frozenset({"with", "for", "to", "from", "fitted"})


def is_label(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Prep: 15 min | cook: 1 h", "Per 100 g: 250 kcal", "Day 2: shape the loaf"."""
    labels = lexicon.vocabulary.titles.labels
    if _counts_one(tokens, lexicon):
        return False
    if len(tokens) > 2 and tokens[1].text == "=" and len(tokens[0].text) == 1 and tokens[0].text.isalpha():
        return tokens[2].kind != "number"  # "A = mix together beforehand"
    if len(tokens) > 2 and tokens[1].text == ":" and states_time(tokens[2:], lexicon):  # "Proving: 2 hrs"
        return singular(tokens[0].text) in lexicon.vocabulary.titles.pauses
    if _times(tokens, lexicon.vocabulary.titles) or _labels_only(tokens, lexicon.vocabulary.titles):
        return True
    place = next((at for at, token in enumerate(tokens) if token.text in (":", "|")), 0)
    place = place or next((at for at, token in enumerate(tokens[:3]) if token.text == "-"), 0)
    if len(tokens) > 1 and (place or len(tokens)) == 2 and _numbers(tokens[1]):  # "Part 2", "Group B - the filling"
        return singular(tokens[0].text) in labels
    if not 0 < place <= _LONGEST_LABEL:
        return False
    words = [singular(word) for token in tokens[:place] for word in token.text.split()]
    if " ".join(words) in lexicon.vocabulary.titles.diets and _counts_food(tokens[place:], lexicon):
        return False  # "low carb: 300 g cauliflower rice"
    # "Grandmother's note: ..."
    food = lexicon.names_food(tokens[:place])
    if food and any(lexicon.measures.kind(token) for token in tokens[place:]):
        return False  # "wine - red - 2 dl"
    told = tokens[0].kind in ("word", "filler") and words[-1] in labels and not food
    return (told or " ".join(words) in labels) and not _is_part_of_a_meal(words, tokens[place + 1 :], lexicon)


def _counts_one(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "2-3 dates", "Dates: 4": several of a food that shares its name with a label, and no other word."""
    words = [token for token in tokens if token.kind not in ("number", "mark")]
    return len(words) == 1 and words[0].text != singular(words[0].text) and lexicon.names_food(words)


def _is_part_of_a_meal(label: Sequence[str], behind: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Carbs: 1 cup rice", "Per person: 2 eggs": what or whom a food is for, if one is counted; not "Carbs: 20 g"."""
    titles = lexicon.vocabulary.titles
    handled = not titles.handling.isdisjoint(label) or label[-1] in titles.aisles or label[-1] in titles.shelves
    served = len(label) > 1 and label[-1] in titles.portions
    if not (handled or served or titles.nutrients.intersection(label)):
        return False
    if not behind or behind[0].kind not in COUNTING:
        return False
    food = [token for token in until_mark(behind) if token.kind in ("word", "state")]
    figures = lexicon.vocabulary.figure_words
    return lexicon.names_food(food) and (handled or not any(singular(token.text) in figures for token in food))


def _times(tokens: Sequence[Token], titles: TitleWords) -> bool:
    """ "Prep 20 mins, cook 1 1/2 hrs": a label before a time, without a colon."""
    place = next((at for at, token in enumerate(tokens) if token.kind == "number"), 0)
    if not 0 < place <= _LONGEST_LABEL:
        return False
    behind = [token for token in tokens[place:] if token.text not in ("-", "+") and token.kind != "number"]
    if not behind or singular(behind[0].text) not in titles.minutes:
        return False
    return " ".join(singular(word) for token in tokens[:place] for word in token.text.split()) in titles.labels


def _labels_only(tokens: Sequence[Token], titles: TitleWords) -> bool:
    """ "Prep 15 / cook 40", "© 2020", "1x 2x 3x": labels with their figures, and nothing else."""
    if tokens[0].text == "©":
        return True
    if not any(token.kind == "number" for token in tokens):
        return False
    said = [singular(token.text) for token in tokens if token.kind not in ("number", "mark")]
    if not said or len(tokens) <= _SHORTEST:
        return False
    if set(said) == {"x"} or set(said) <= titles.feedback:
        return True  # "Comments (12)"
    return said[0] in titles.labels and titles.labels | titles.minutes | {"of"} >= set(said)


_SHORTEST = 3


def _numbers(token: Token) -> bool:
    """Whether a token tells one of several from the others: a number, or a letter alone."""
    return token.kind == "number" or (len(token.text) == 1 and token.text.isalpha())


def is_version(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Chicken pie, version 3": a title that counts the cook's attempts, without an amount before it."""
    last = max((at for at, token in enumerate(tokens) if token.text in (",", "-", "(")), default=0)
    behind = [token for token in tokens[last + 1 :] if token.text != ")"]
    counted = tokens[0].kind == "measure" or any(token.kind == "number" for token in tokens[:last])
    if not last or len(behind) != 2 or counted:
        return False
    return singular(behind[0].text) in lexicon.vocabulary.titles.labels and _numbers(behind[1])


def suits(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Gluten free, can be made vegan", "Vegan | nut free": whom the dish suits, before anything else."""
    said = list(until_mark(tokens))
    suited = lexicon.vocabulary.titles.diets.issuperset(plain(said).split(" and "))
    return suited and not _counts_food(tokens[len(said) :], lexicon)


def _counts_food(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ ": 300 g cauliflower rice": a food with its amount behind a colon."""
    behind = tokens[1:]
    if not behind or tokens[0].text != ":" or not is_counted(behind[:2]):
        return False
    return lexicon.names_food([token for token in behind if token.kind in NAMING])


def _is_weighed_food(named: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "500 g patty pans": a food that is called as a thing of the kitchen is."""
    kinds = [lexicon.measures.kind(token) for token in named[:3]]
    at = next((at for at, kind in enumerate(kinds) if kind in ("mass", "package")), None)
    return at is not None and is_name([token for token in named[at + 1 :] if token.text != "of"], lexicon)


def is_equipment(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "12 wooden skewers, soaked", "a 23 cm springform tin": what the kitchen uses, and no food before it."""
    if lexicon.vocabulary.equipment_words.isdisjoint([token.key for token in tokens]):
        return False
    counts = tokens[0].text in ("a", "an") or tokens[0].kind == "number"
    if counts and len(tokens) > 1 and tokens[1].kind == "number":
        tokens = tokens[1:]  # "a 23 cm tin", "two 9-inch cake pans"
    if tokens[0].kind == "number" and tokens[1:] and tokens[1].text == "-":
        tokens = tokens[2:]  # "12-hole muffin tin"
    named = [token for token in until_mark(before_bracket(tokens)) if token.kind != "mark"]
    if not named or _is_bought(named, tokens[len(named) :], lexicon):
        return False
    if len(named) < len(tokens) and tokens[len(named)].text == ":" and _names_any(tokens[len(named) + 1 :], lexicon):
        return False  # "For the baking tin: butter and flour"
    either = next((at for at, token in enumerate(named) if token.value in ("or", "and")), len(named))
    if _is_tool(named, lexicon) or _is_vessel(named, tokens[len(named) :], lexicon):
        return True
    parts = (named[:either], named[either + 1 :])
    return all(parts) and all(_is_tool(one, lexicon) or _is_vessel(one, (), lexicon) for one in parts)


_FLAVOURS = frozenset({"flavour", "flavor", "flavoured", "flavored"})


def _is_bought(named: Sequence[Token], behind: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether a thing of the kitchen is food of that name: "1 Knorr stock pot", "1 stock pot, any flavour".

    Its whole name is known and is no tool's, a flavour is spoken of, or a word that nobody knows, such as a brand,
    stands before a vessel by whose name foods go.
    """
    words = [word for word, _ in spelled(named)]
    name = lexicon.ending(words)
    if any(not _FLAVOURS.isdisjoint(singular(word) for word in token.text.split()) for token in behind):
        return name is not None and name.words >= _LAST  # no "wood chips, for flavour"
    name = name if len(words) > _LAST else None
    if name is not None and name.words == _LAST and words[-1] in lexicon.vocabulary.titles.vessels:
        before = words[-_LAST - 1]
        known = lexicon.vocabulary.knows(before) or lexicon.vocabulary.is_plain(before)
        known = known or before in lexicon.vocabulary.titles.builds
        return not known and any(one.text == before and one.kind == "word" for one in named)
    if name is None or name.words <= _LAST or name.key != frozenset(words[-name.words :]):
        return False
    return " ".join(words[-name.words :]) not in lexicon.vocabulary.titles.equipment  # "1 ice cream scoop"


def _is_tool(named: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether words end as a piece of equipment does, and name no food before."""
    equipment = lexicon.vocabulary.titles.equipment
    end = next((at for at, token in enumerate(named) if at and token.text in _HOLDING), len(named))
    end -= _LAST * (end > _LAST and named[end - 1].kind == "number" and named[end - _LAST].text == "x")  # "x 6"
    words = spelled(named[:end])
    if _serves_use(named[:end], lexicon):
        return True
    if not words or words[-1][0] not in lexicon.vocabulary.equipment_words:
        return False
    may_start = range(max(0, len(words) - _LONGEST_EQUIPMENT), len(words))
    start = next((at for at in may_start if " ".join(word for word, _ in words[at:]) in equipment), None)
    if start is None:
        return False
    before = [token for token in named[: max(0, end - len(words) + start)] if token.kind != "measure"]
    if _is_weighed_food(named[:end], lexicon):
        return False
    return not lexicon.names_any(before)


_LAST = 2


def _serves_use(named: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "sausage press", "jelly roll pan": a tool, before which a food only says its use; no name of a food."""
    last = singular(named[-1].text)
    if last not in lexicon.vocabulary.titles.tools or any(token.kind == "remark" for token in named):
        return False
    kinds = {token.kind for token in named}
    if "preposition" in kinds and kinds.isdisjoint({"note start", "number"}):
        return False  # "a thin layer of oil on the pan", but not "heat the oil in a pan"
    if any(lexicon.measures.kind(token) == "mass" for token in named) or named[-_LAST:][0].kind == "number":
        return False  # "500 g patty pans", "toor dal 1 ladle"
    words = [token for token in named if token.kind in ("word", "state", "preparation")]
    return len(words) > 1 and not is_name(words, lexicon)


def _names_any(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    return lexicon.names_any(tokens[:_LONGEST_EQUIPMENT])


_FROM = frozenset({"with", "from"})  # "a large bowl with rice"
_BESIDE_VESSEL = frozenset({"number", "filler", "size", "joiner", "vague number", "approximate"})
_BESIDE_BUILD = frozenset({"x", "-", "by", "of", "/"})


def _is_vessel(named: Sequence[Token], behind: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "a thick-bottomed vessel", "8 inch round tins x 2", "4 x 250 ml jars, sterilised": how it is made, and no food.

    What packages are called too is a vessel by how it is made alone: "1 large jar" holds a food of another line.
    """
    titles = lexicon.vocabulary.titles
    end = next((at for at, token in enumerate(named) if at and token.text in _HOLDING), len(named))
    told = [token for token in named[:end] if token.kind not in _BESIDE_VESSEL and token.text not in _BESIDE_BUILD]
    sizes = (token.value in LENGTHS or lexicon.measures.kind(token) in WEIGHABLE for token in told)
    told = told[next((at for at, is_size in enumerate(sizes) if not is_size), len(told)) :]
    holds = [*(named[end:] if named[end:] and named[end].text in _FROM else ()), *behind]
    if not told or singular(told[-1].text) not in titles.vessels or _names_any(holds, lexicon):
        return False
    builds = [singular(word) for token in told[:-1] for word in token.text.split()]
    after = [word for token in behind if token.kind not in ("mark", "joiner") for word in token.text.split()]
    if not titles.builds.issuperset(builds):
        return False
    made = bool(builds) or bool(after and after[0] in titles.builds)
    sized = any(token.kind == "size" for token in named) and lexicon.measures.kind(told[-1]) != "package"
    return made or sized
