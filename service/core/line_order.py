"""The items of a line put as the grammar of clauses expects them, where people write them otherwise.

    fruit   = taken "from" amount fruit | taken "plus" taken "of" amount        "lemon juice, from 1/2 lemon"
    more    = food ( "+" | "plus" ) amount purpose | food "plus" another food   "300 g strawberries + 6 to decorate"
    either  = "a" food "or two" | amount "," amount food                        "a cup or two of milk"
    length  = count food length [ "thick" ]                                     "2 pork chops 2 cm thick"
    added   = food "(" ( "and" | "with" | "plus" ) amount food ")"              "100 g feta (and 50 g olives)"
    gloss   = foreign-food "-" food                                             "1 labanos - white radish"

Nothing here names a food or weighs one: items are moved, and marks put or taken away.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import takewhile

from service.core import choices
from service.core.amount import LESS, WEIGHABLE, MeasureWords, read_amount
from service.core.clause import SEASONINGS, TAKEN
from service.core.left_open import PURPOSES
from service.core.line_item import Items, is_number, is_word, kind_at, text_of
from service.core.line_items import COUNTING, FURTHER
from service.core.line_words import before_mark, before_remark
from service.core.note import IS
from service.core.noun_phrase import CITRUS, EATEN, Lexicon
from service.core.number import read_number
from service.core.vocabulary import Token


def in_order(items: list[object], lexicon: Lexicon) -> list[object]:
    """The items of a line in the order of the grammar."""
    said = frozenset(map(text_of, items))  # most lines lack what these look for
    items = _from_fruit(items) if "from" in said else items
    items = items if said.isdisjoint(IS) else _without_definition(items)
    items = items if said.isdisjoint(_CONTRASTS) else _without_contrast(items, lexicon)
    items = _seasoned(items) if "with" in said and "salt" in said else items
    items = _more_of_fruit(items) if said & _PLUS and not said.isdisjoint(TAKEN) else items
    items = choices.without_contrary(_or_one_more(items)) if "or" in said else items
    items = _more_apart(items, lexicon.measures) if said & _MORE_OR_LESS else items
    items = _measured_again(items, lexicon) if "," in said and "of" in said else items
    items = _done_apart(items, lexicon) if "," in said and "and" in said else items
    items = items if said.isdisjoint(_PLUS_SOME) else _another_behind(items, lexicon)
    items = _restated(_amount_together(items, lexicon), lexicon) if "," in said else items
    items = _length_apart(items) if said & _LENGTH_WORDS else items
    items = items if said.isdisjoint(_WHITES) else _lend_eggs(items)
    items = _glossed(items, lexicon) if "-" in said else items
    return _with_bracketed(items, lexicon) if "" in said else items  # a bracket has no text


def _glossed(items: list[object], lexicon: Lexicon) -> list[object]:
    """The items with brackets around what explains a foreign word behind a dash: "1 labanos - white radish"."""
    at = next((at for at, item in enumerate(items) if at and text_of(item) == "-"), 0)
    start = at + 1 + (text_of(items[at + 1]) == "-" if at + 1 < len(items) else 0)
    gloss = list(takewhile(_may_gloss, items[start : start + _LONGEST_GLOSS]))
    end = start + len(gloss)
    words = [item.key for item in items[:at] if isinstance(item, Token) and item.kind == "word" and item.key]
    if not (at and words and gloss) or (end < len(items) and text_of(items[end]) != ","):
        return items
    name, vocabulary = lexicon.ending(words), lexicon.vocabulary
    foreign = name.kind in _FOREIGN if name is not None else not any(map(vocabulary.is_word, words))
    meant = lexicon.ending([item.key for item in gloss if isinstance(item, Token) and item.key])
    if not foreign or meant is None or (name is not None and meant.food_id is None is not name.food_id):
        return items
    return [*items[:at], tuple(gloss), *items[end:]]


_LONGEST_GLOSS = 5
_FOREIGN = frozenset({"regional", "absent"})


def _may_gloss(item: object) -> bool:
    return isinstance(item, Token) and item.kind in ("word", "state", "preparation")


def _without_definition(items: list[object]) -> list[object]:
    """The items before a sentence about the food itself: "mace: mace is a dried flower", "sumac - it is sour"."""
    at = next((at for at, item in enumerate(items) if at and text_of(item) in (":", "-")), len(items))
    subject = list(takewhile(lambda item: text_of(item) not in IS, items[at + 1 : at + 2 + _LONGEST_SUBJECT]))
    if not 0 < len(subject) <= _LONGEST_SUBJECT or any(map(is_number, items)):
        return items
    named = {item.key for item in items[:at] if isinstance(item, Token) and item.key}
    about = {item.key or item.text for item in subject if isinstance(item, Token)} - {"the", "a"}
    return items[:at] if about and (about <= named or about <= _PRONOUNS) else items


_LONGEST_SUBJECT = 3
_PRONOUNS = frozenset({"it", "this", "that", "they", "these", "which"})


_CONTRASTS = frozenset({"but", "yet"})
_DESCRIBING = frozenset({"filler", "word", "state", "size", "preparation"})


def _without_contrast(items: list[object], lexicon: Lexicon) -> list[object]:
    """The items without a "but" between what is said of a food before its name: "1 ripe but firm avocado"."""
    at = next((at for at, item in enumerate(items) if text_of(item) in _CONTRASTS), 0)
    before = [item for item in items[max(0, at - _LONGEST_GLOSS) : at] if isinstance(item, Token)]
    told = bool(before) and before[-1].kind in _DESCRIBING and not lexicon.names_any(before)
    return [*items[:at], *items[at + 1 :]] if told else items


def _seasoned(items: list[object]) -> list[object]:
    """The items with an "and" for the "with" behind salt: "salt and pepper with oregano" are three foods."""
    at = next((at for at, item in enumerate(items) if text_of(item) == "with"), 0)
    before = items[:at]
    seasons = bool(before) and not any(map(is_number, before)) and {"salt"} <= set(map(text_of, before)) <= _SEASONED
    return [*before[: at - _is_comma(items, at - 1)], _AND, *items[at + 1 :]] if seasons else items


_AND = Token("and", "joiner", "and")
_SEASONED = SEASONINGS | {"and", "&", ",", "black", "ground", "sea", "kosher", "freshly ground", "coarse", "some"}


def _from_fruit(items: list[object]) -> list[object]:
    """The items without a mark between what is taken of a fruit and the fruit: "lemon juice, from 1/2 lemon"."""
    apart = (
        at
        for at in range(1, len(items) - 2)
        if text_of(items[at]) in (",", "-") and text_of(items[at + 1]) == "from" and text_of(items[at - 1]) in TAKEN
    )
    at = next(apart, 0)
    named = {item.key for item in items[at + 2 :] if isinstance(item, Token)}
    counted = at and is_number(items[at + 2]) and not named.isdisjoint(CITRUS)  # no juice from a bottle
    told = any(map(is_number, items[:at]))  # "1/2 cup lemon juice, from 3 lemons"
    return items[:at] + items[at + 1 :] if counted and not told else items


def _more_of_fruit(items: list[object]) -> list[object]:
    """The items with "and" before what else is taken of fruits: "zest of 1 lime plus juice of 2"."""
    for at in range(1, len(items) - 2):
        if text_of(items[at]) not in _PLUS:
            continue
        behind = items[at + 1 + (text_of(items[at + 1]) == "the") :]
        if len(behind) > 1 and text_of(behind[0]) in TAKEN and text_of(behind[1]) == "of":
            return [*items[: at - _is_comma(items, at - 1)], _AND, *behind]
    return items


def _more_apart(items: list[object], measures: MeasureWords) -> list[object]:
    """The items with a comma before more of the same: "300 g strawberries + 6 to decorate", "2 eggs, another to brush".

    Behind "and" only what is called more is: "2 onions, 1 for the sauce and 1 for garnish" are two. What is measured
    goes on so, "1 bunch parsley, plus another for garnish"; nobody says "another" of grams.
    """
    for at in range(2, len(items) - 2):
        sign, more, behind = text_of(items[at]), items[at + 1], text_of(items[at + 2])
        another = text_of(more) == "another"
        added = sign in _PLUS or (sign == "and" and (another or behind.startswith(_MORE_FOR)))
        if not added or not (another or is_number(more)):
            continue
        end = at - _is_comma(items, at - 1)
        if is_word(items[end - 1]) and behind.startswith((*PURPOSES, _MORE_FOR)):
            measure = [one for one in items[1:2] if isinstance(one, Token) and one.kind == "measure"]
            weighed = any(measures.kind(one) == "mass" for one in measure)
            if another and weighed:
                return items
            held = [] if weighed else measure
            return [*items[:end], _COMMA, _MORE_OF_IT, _ONE if another else more, *held, *items[at + 2 :]]
    return items


def _another_behind(items: list[object], lexicon: Lexicon) -> list[object]:
    """The items with "+" before another food of which nobody says how much: "100 g feta plus olives".

    Not before more of the same, "butter plus extra butter", a part of it, "tomatoes plus juice", or what fills it up,
    "plus water to make 2 cups".
    """
    return [
        _PLUS_SIGN if text_of(item) in _PLUS_SOME and _is_another(items, at, lexicon) else item
        for at, item in enumerate(items)
    ]


def _is_another(items: Items, at: int, lexicon: Lexicon) -> bool:
    start = at + 1 + (kind_at(items, at + 1) == "filler")  # "plus a bit of salt"
    ahead = items[start : start + 1 + _MOST_COUNTED]
    food = [item for item in takewhile(_may_name, ahead) if isinstance(item, Token)]
    behind = ahead[len(food)] if len(food) < len(ahead) else None
    words = [token.key for token in food if token.kind == "word"]
    name = lexicon.ending(words) if words else None
    if name is None or TAKEN.keys() >= set(words) or len(food) > _MOST_COUNTED:
        return False
    before = {item.key for item in items[max(0, at - _FAR_BEFORE) : at] if isinstance(item, Token)}
    ends = not isinstance(behind, Token) or behind.kind in _BEHIND_FOOD or behind.several  # "plus basil leaves"
    filled = isinstance(behind, Token) and behind.text.startswith("to make")
    same = words[-1] in before if text_of(items[at]) in _PLUS_MORE else before >= name.key
    return ends and not filled and not same


def _may_name(item: object) -> bool:
    return isinstance(item, Token) and item.kind in ("word", "state", "preparation")


def _measured_again(items: list[object], lexicon: Lexicon) -> list[object]:
    """The items with the measure of the food before behind a number with "of": "3 tbsp oil, 1 of lemon juice"."""
    found: list[object] = []
    measure: Token | None = None
    for at, item in enumerate(items):
        if text_of(item) == "of" and at > 1 and is_number(items[at - 1]) and text_of(items[at - 2]) in _LISTING:
            food = takewhile(_may_name, items[at + 1 : at + 1 + _MOST_COUNTED])
            if measure is not None and lexicon.names_food([one for one in food if isinstance(one, Token)]):
                found.append(measure)
        if isinstance(item, Token) and lexicon.measures.kind(item) in WEIGHABLE and is_number(items[at - 1]):
            measure = item
        found.append(item)
    return found


_LISTING = frozenset({",", "and"})


def _done_apart(items: list[object], lexicon: Lexicon) -> list[object]:
    """The items with a comma before another food behind what is done: "1 cabbage, core removed and 2 carrots"."""
    mark = next(at for at, item in enumerate(items) if text_of(item) == ",")
    for at in range(mark + 2, len(items) - 2):
        if text_of(items[at]) != "and" or kind_at(items, at - 1) != "preparation" or not is_number(items[at + 1]):
            continue
        behind = takewhile(_may_count_food, items[at + 2 : at + 2 + _FAR_BEFORE])
        if lexicon.names_food([item for item in behind if isinstance(item, Token)]):
            return [*items[:at], _COMMA, *items[at:]]
    return items


def _may_count_food(item: object) -> bool:
    return isinstance(item, Token) and item.kind in _COUNTED_KINDS and item.kind != "preparation"


_PLUS_SIGN = Token("+", "joiner", "plus")
_PLUS_MORE = frozenset({"plus extra", "plus more", "plus additional"})
_PLUS_SOME = _PLUS_MORE | {"plus", "plus some", "plus a little"}
_FAR_BEFORE = 8
_COMMA = Token(",", "mark", ",")
_PLUS = frozenset({"plus", "+"})
_MORE_FOR = "more for"
_MORE_OF_IT, _ONE = Token("plus", "remark"), Token("1", "number", "1")
_SUMMED = WEIGHABLE | {"package"}
_MORE_OR_LESS = LESS | {"plus", "+", "and"}


_LENGTH_WORDS = frozenset({"cm", "inch", "inches", "centimetre", "centimetres", "centimeter", "centimeters"})
_ACROSS = frozenset({"thick", "long", "wide", "across", "diameter", "high", "each"})


def _length_apart(items: list[object]) -> list[object]:
    """The items with a comma before the length of what is counted: "2 pork chops 2 cm thick", "1 banana 18 cm".

    Not where a piece is asked for that is as long: "1 piece ginger 3 cm".
    """
    if not is_number(items[0]):
        return items
    if thick := _thickness_first(items):
        return thick
    piece = isinstance(items[1], Token) and items[1].kind == "measure"
    for at in range(3, len(items)):
        before, behind = items[at - 2], items[at + 1] if at + 1 < len(items) else None
        counted = is_number(items[at - 1]) and isinstance(before, Token) and before.kind in ("word", "measure")
        if text_of(items[at]) not in _LENGTH_WORDS or not counted:
            continue
        told = text_of(behind) in _ACROSS
        ends = behind is None or (isinstance(behind, Token) and behind.kind == "mark")
        if told or (ends and not piece):
            return [*items[: at - 1], _COMMA, *items[at - 1 :]]
    return items


def _thickness_first(items: list[object]) -> list[object]:
    """The items of "4 3/4-inch-thick pork chops" with the thickness behind; none of "1 1/2 inch thick steak", one."""
    thick = next((at for at, item in enumerate(items[:_MOST_THICK]) if text_of(item) == "thick"), 0)
    count, size = read_number(items[:1], 0), read_number(items, 1)
    if not thick or count is None or size is None or count[0] < _FEWEST_THICK or size[0] >= 2:
        return []
    between = [text_of(item) for item in items[size[1] : thick] if text_of(item) != "-"]
    if len(between) != 1 or between[0] not in _LENGTH_WORDS:
        return []
    return [items[0], *items[thick + 1 :], _COMMA, *items[1 : thick + 1]]


_MOST_THICK, _FEWEST_THICK = 7, 3


def _or_one_more(items: list[object]) -> list[object]:
    """The items with the range before what is counted: "a cup or two of milk", "an onion or two", "1 tbsp or 2".

    Not where the second number counts another food: "1 cup or 2 eggs", "an onion or two carrots".
    """
    at = next((at for at in range(2, len(items) - 1) if text_of(items[at]) == "or" and is_number(items[at + 1])), 0)
    second = read_number(items, at + 1) if at else None
    one = next((place for place in range(max(0, at - _MOST_COUNTED), at) if _is_one(items[place])), -1)
    if second is None or not 0 <= one < at - 1 or second[0] != _TWO:
        return items  # "juice of 1 or 2 lemons" is read as a range anyhow
    counted, end = items[one + 1 : at], second[1]
    behind = items[end] if end < len(items) else None
    measured = isinstance(counted[-1], Token) and counted[-1].kind == "measure" and text_of(items[at + 1]).isalpha()
    ends = not isinstance(behind, Token) or behind.kind in _BEHIND_RANGE or behind.text == "of"
    plain = all(isinstance(item, Token) and item.kind in _COUNTED_KINDS for item in counted)
    follows = isinstance(behind, Token) and behind.kind in ("measure", "number")
    if not plain or follows or not (ends or measured):
        return items
    return [*items[:one], _ONE, Token("-", "mark", "-"), items[at + 1], *counted, *items[end:]]


_TWO = 2
_MOST_COUNTED = 4
_COUNTED_KINDS = frozenset({"word", "measure", "size", "heap", "state", "preparation"})
_BEHIND_RANGE = frozenset({"mark", "preparation", "preposition", "remark", "optional", "to taste"})
_BEHIND_FOOD = _BEHIND_RANGE | {"joiner"}


def _is_one(item: object) -> bool:
    return isinstance(item, Token) and item.text in ("a", "an", "one", "1")


def _amount_together(items: list[object], lexicon: Lexicon) -> list[object]:
    """The items without commas inside an amount: "2 lb, 8 oz chicken", "2 cups, less 1 tbsp, flour"."""
    nouns, measures = lexicon.vocabulary.nouns, lexicon.measures
    before = takewhile(lambda item: text_of(item) != ",", items)
    if any(isinstance(item, Token) and item.kind == "word" and item.key in nouns for item in before):
        return items  # most lines: a food parts the amount from the comma
    first = read_amount(items, 0, measures) if is_number(items[0]) else None
    if first is None or measures.kinds.get(first[0].measure or "", "") not in _SUMMED:
        return items
    end = first[1]
    if _is_comma(items, end) and (is_number(items[end + 1]) or text_of(items[end + 1]) in _MORE_OR_LESS):
        whole = read_amount(items[:end] + items[end + 1 :], 0, measures)
        end = whole[1] + 1 if whole is not None and whole[1] > end + 1 else end
    if end >= len(items) or not any(_is_comma(items, at) for at in range(end)):
        return items
    return [item for item in items[:end] if text_of(item) != ","] + items[end + _is_comma(items, end) :]


def _restated(items: list[object], lexicon: Lexicon) -> list[object]:
    """The items with a bracket around what a food weighs in another state: "400 g cooked potatoes, about 450 g raw".

    So stands what is eaten of it: "2 lobsters, about 150 g meat each". Only behind "about": "100 g smoked salmon, 50 g
    fresh" are two foods.
    """
    for at in range(2, len(items) - 3):
        about = items[at + 1]
        if text_of(items[at]) != "," or not isinstance(about, Token) or about.kind != "approximate":
            continue
        end = next((place for place in range(at + 1, len(items)) if text_of(items[place]) in _MARKS), len(items))
        told = items[at + 1 : end]
        found = read_amount(told, 0, lexicon.measures)
        said = told[found[1] :] if found is not None and found[0].measure is not None else []
        if said and all(map(_says_state, said)) and not _is_of_another(items[max(0, at - _FAR_BEFORE) : at], said):
            return [*items[:at], tuple(told), *items[end:]]
    return items


_MARKS = frozenset({",", ";", ":"})
_STATED_OF = EATEN | {"each", "in", "all", "total", "when", "once"}
_PARTICIPLE = re.compile(r"[a-z]{3,}(?<!se)(?<!we)(?<!re)ed")


def _says_state(item: object) -> bool:
    if not isinstance(item, Token):
        return False
    said = item.kind in ("state", "preparation") or item.text in _STATED_OF or item.key in _COOKED_OR_NOT
    return said or (item.kind == "word" and _PARTICIPLE.fullmatch(item.text) is not None)  # "podded"


# What has meat, flesh or kernels that are weighed apart.
_HAS_MEAT = frozenset(
    "lobster crab crayfish langoustine clam mussel oyster conch chicken hen turkey duck goose rabbit wing thigh leg "
    "drumstick coconut corn cob ear avocado mango pumpkin squash melon".split()
)


def _is_of_another(before: Items, said: Items) -> bool:
    """Whether "meat" that is weighed is none of the food before it: "12 lasagne sheets, about 500 g meat"."""
    if EATEN.isdisjoint(map(text_of, said)):
        return False
    return _HAS_MEAT.isdisjoint([item.key or item.value for item in before if isinstance(item, Token)])


_COOKED_OR_NOT = frozenset({"cooked", "raw", "dry", "dried", "fresh", "uncooked"})


def _is_comma(items: Sequence[object], at: int) -> bool:
    return at < len(items) - 1 and text_of(items[at]) == ","


def _with_bracketed(items: list[object], lexicon: Lexicon) -> list[object]:
    """The items with what a bracket adds out of it: "100 g feta (and 50 g olives)", "2 eggs (plus 1 to glaze)".

    Not the same food again, "1 can (400 g) chickpeas (with 240 g chickpeas)".
    """
    found: list[object] = []
    before = set[str]()
    for at, item in enumerate(items):
        if isinstance(item, Token):
            before.add(item.key)
        opened = at and isinstance(item, tuple) and len(item) > 2 and (is_number(item[1]) or _is_some(item[1]))
        if not opened or not isinstance(item, tuple) or text_of(item[0]) not in _JOINING:
            found.append(item)
            continue
        named = before_remark(before_mark([one for one in item[1:] if isinstance(one, Token)]))
        again = before.issuperset([one.key for one in named if one.kind == "word"])
        if lexicon.names_food(named) and not again:
            found += [FURTHER if text_of(item[0]) == "with" else _AND, *item[1:]]
        elif text_of(item[0]) != "with" and any(text_of(one).startswith(PURPOSES) for one in item):
            found += [_COMMA, _MORE_OF_IT, *item[1:]]
        else:
            found.append(item)
    return found


_JOINING = frozenset({"and", "&", "with", "plus", "+"})


def _is_some(item: object) -> bool:
    """ "Some olives", "an onion"."""
    return text_of(item) in _SOME or (isinstance(item, Token) and item.kind in COUNTING)


_SOME = frozenset({"a", "an", "some"})


_EGGS, _WHITES = frozenset({"egg", "eggs"}), frozenset({"white", "whites"})
_MORE_EGGS = frozenset({"plus", "+", "and", "&"})


def _lend_eggs(items: list[object]) -> list[object]:
    """ "2 eggs plus 2 whites": the whites that are counted beside eggs are theirs, where no noun follows them."""
    for at in range(2, len(items)):
        behind = items[at + 1] if at + 1 < len(items) else None
        ends = not isinstance(behind, Token) or behind.kind in ("mark", "remark")
        if text_of(items[at]) not in _WHITES or not ends:
            continue
        sized = items[at - 1]
        number = at - 1 - (isinstance(sized, Token) and sized.kind == "size")
        if not is_number(items[number]) or number < 1 or text_of(items[number - 1]) not in _MORE_EGGS:
            continue
        before = next((one for one in reversed(items[: number - 1]) if is_number(one) or text_of(one) in _EGGS), None)
        if isinstance(before, Token) and before.text in _EGGS:
            return [*items[:at], replace(before, text=before.key), *items[at:]]
    return items
