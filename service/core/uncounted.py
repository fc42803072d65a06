"""What a line counts or measures and no part of it has, or counts in a way that was not read.

    bare     a food behind one with an amount, which has none            "1 lb prunes, raisins"
    bracket  a count or weight in a bracket that says more               "eggs (4 if small, 3 if large)"
    each     an amount for each eater                                    "boiled potatoes, 3 each"
    doled    an amount that is taken several times                       "oil, 1 tbsp at a time"
    filled   what fills something up                                     "1 egg plus milk to make 1 cup"
    some     what is drained of several                                  "2 cans beans, one drained"
    strange  what nobody knows as a measure                              "nutmeg, 5 rasps"
    passed   a further mass or volume                                    "2 cups flour, 200 g"
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from service.core.amount import WEIGHABLE, Amount
from service.core.clause import SEASONINGS
from service.core.left_open import PURPOSES
from service.core.line_item import Items, is_number, is_word, kind_at, text_of
from service.core.line_items import in_one_range, split
from service.core.note import says_best
from service.core.noun_phrase import Lexicon
from service.core.part import Part
from service.core.portion import FOR_ONE
from service.core.vocabulary import Token


def left_uncounted(items: Items, parts: Sequence[Part], said: frozenset[str], lexicon: Lexicon) -> str:
    """Why what a line counts may be more or less than its parts have, "" where nothing is left; `said`: its texts."""
    if bare := _bare(items, parts):
        return f"the line states an amount of '{parts[0].text}' and none of '{bare}'"
    if "" in said and (unread := _unread_bracket(items, parts, lexicon)):  # a bracket has no text
        return unread
    if text_of(items[-1]) == "each" and len(parts) == 1 and _is_bare(parts[0].amount):
        return FOR_ONE
    if "time" in said and "at" in said and _doles_out(items):
        return "the line says how much at a time; how much in all, nobody worked out"
    if not said.isdisjoint(_FILLING) and _fills_up(items):
        return "how much fills it up depends on what is in it already"
    best = says_best(said) or ("" in said and any(_says_best(item, lexicon) for item in items))
    if best and parts and parts[0].amount is not None:
        return "the line says which kind is best, not which is used"
    if not said.isdisjoint(_DRAINING) and _drains_some(items):
        return "the line says how many are drained, which was not read"
    if counted := _counts_unknown(items, parts, lexicon):
        return f"'{counted}' may be a measure; pieces were counted"
    passed = _passed_over(items, parts, lexicon)
    return f"the line also says '{passed}', which was not counted" if passed else ""


def _says_best(item: object, lexicon: Lexicon) -> bool:
    """ "12 oz mushrooms (shiitake is best)"; what is best frozen is read as frozen."""
    if not isinstance(item, tuple) or not says_best(frozenset(map(text_of, item))):
        return False
    return lexicon.names_any([one for one in item if isinstance(one, Token)])


def _bare(items: Items, parts: Sequence[Part]) -> str:
    """A food listed behind one with an amount that has none, and is no seasoning or garnish: "1 lb prunes, raisins"."""
    if len(parts) < 2 or parts[0].amount is None or all(text_of(item) != "," for item in items):
        return ""
    return next((part.text for part in parts[1:] if part.amount is None and is_measured(part)), "")


def is_measured(part: Part) -> bool:
    """Whether cooks say how much of a food they take: no salt, nothing for garnish."""
    if part.to_taste or part.optional or not part.phrases or part.phrases[0].tokens[-1] in SEASONINGS:
        return False
    return not any(word.startswith(PURPOSES) for word in part.words)


def _unread_bracket(items: Items, parts: Sequence[Part], lexicon: Lexicon) -> str:
    """What a bracket says of an amount that was not read, "" where it says none."""
    if _counts_in_bracket(items, parts):
        return "a bracket counts the food, which was not read"
    if any(map(_says_how_much, items)):
        return "a bracket says how much of it is used, which was not read"
    return "a bracket states a weight, which was not read" if _weighs_in_bracket(items, parts, lexicon) else ""


def _counts_in_bracket(items: Items, parts: Sequence[Part]) -> bool:
    """ "Eggs (4 if small, 3 if large)": a number begins a piece of a bracket, and the food has no amount."""
    if len(parts) != 1 or parts[0].amount is not None:
        return False
    held = [item for item in items if isinstance(item, tuple) and item]
    if any(text_of(item) in PROPORTIONS for bracket in held for item in bracket):
        return False  # "butter (1 part to 2 parts flour)"
    pieces = [piece for bracket in held for piece in split(bracket)]
    if any(is_number(piece[0]) and _goes_on_in_words(piece[1]) for piece in pieces if len(piece) > 1):
        return True
    return any(_tells_use(piece) for piece in pieces)


def _tells_use(piece: Items) -> bool:
    """ "Sugar to taste (I use 2 tsp)": how much the cook takes of what anyone may take as he likes."""
    speaks = isinstance(piece[0], Token) and piece[0].text.split()[0] in _COOKS
    return speaks and any(map(is_number, piece[1:_FAR_IN_BRACKET]))


_FAR_IN_BRACKET = 5
_COOKS = frozenset({"i", "we", "i'd", "we'd"})


def _weighs_in_bracket(items: Items, parts: Sequence[Part], lexicon: Lexicon) -> bool:
    """ "1 (28-ounce can, chilled) tomatoes": a count alone was read, and a bracket begins with a weight or volume."""
    amount = parts[0].amount if len(parts) == 1 else None
    if amount is None or parts[0].taken:
        return False
    held = [item for item in items if isinstance(item, tuple) and len(item) > 1]
    if not _is_weighed(amount, lexicon) and any(_hides_mass(one, lexicon) for one in held):
        return True  # "2 1/4 tsp (1 packet / 7 g) yeast"
    if amount.measure is not None or amount.combined:
        return False
    return any(is_number(one[0]) and any(lexicon.measures.kind(two) in WEIGHABLE for two in one[1:3]) for one in held)


def _is_weighed(amount: Amount, lexicon: Lexicon) -> bool:
    """Whether an amount or what hangs on it is a mass."""
    hanging = (one for one in (amount.package, amount.plus, amount.less, amount.also) if one is not None)
    return lexicon.measured_by(amount) == "mass" or any(_is_weighed(one, lexicon) for one in hanging)


def _hides_mass(bracket: Items, lexicon: Lexicon) -> bool:
    """Whether a bracket begins with a count and ends in a mass: "(1 bunch / 30 g)", "(one 7 g sachet)"."""
    if not is_number(bracket[0]) or "or" in map(text_of, bracket):
        return False
    return any(is_number(one) and lexicon.measures.kind(two) == "mass" for one, two in pairwise(bracket[1:]))


def _says_how_much(item: object) -> bool:
    """ "1 head of garlic (use 6 cloves)"."""
    if not isinstance(item, tuple) or len(item) < _LEAST_USED:
        return False
    return text_of(item[0]) in _USING and any(map(is_number, item[1 : _LEAST_USED]))


_USING, _LEAST_USED = frozenset({"use", "using", "you need", "you only need", "only need", "need"}), 3
PROPORTIONS = frozenset({"part", "parts"})


def _goes_on_in_words(item: object) -> bool:
    return isinstance(item, Token) and item.kind not in ("mark", "number")


# An alternative's own amount stands so near behind its "or"; no part counts it.
_NEAR_OR = 3
_INSTEAD = frozenset({"or", "/", "per"})
_YIELDING = frozenset({"to yield", "to make", "yield", "yields", "makes"})  # "quinoa, to yield 1 1/2 cups cooked"


def _is_bare(amount: Amount | None) -> bool:
    """Whether an amount says nothing of what each piece weighs."""
    return amount is not None and amount.also is None and amount.package is None and amount.plus is None


def _doles_out(items: Items) -> bool:
    """ "oil, 1 tbsp at a time", but not "3 eggs, one at a time"."""
    return any(kind_at(items, at) == "measure" and text_of(two) == "at" for at, two in enumerate(items[1:]))


_FILLING = frozenset({"to make", "to fill", "to make up"})


def _fills_up(items: Items) -> bool:
    """ "water to make 1 cup"."""
    return any(text_of(one) in _FILLING and is_number(two) for one, two in pairwise(items))


_DRAINING = frozenset({"drain", "drained", "undrained"})


def _drains_some(items: Items) -> bool:
    """ "2 cans beans, one drained", "2 tins, drain one"."""
    drains = [at for at, item in enumerate(items) if text_of(item) in _DRAINING]
    before = any(is_number(items[at - 1]) for at in drains if at)
    behind = [items[at + 1 : at + 3] for at in drains]  # "drained 240 g" is a weight
    return before or any(is_number(one[0]) and kind_at(one, 1) in ("", "mark") for one in behind if one)


def _counts_unknown(items: Items, parts: Sequence[Part], lexicon: Lexicon) -> str:
    """What is counted behind the food's name though no table knows it: "rasps" of "nutmeg, 5 rasps"."""
    amount = parts[0].amount if len(parts) == 1 else None
    if amount is None or amount.measure is not None or amount.package is not None:
        return ""
    for before, number, counted in zip(items[1:], items[2:], items[3:], strict=False):
        if text_of(before) in _BEFORE_COUNT and is_number(number) and is_word(counted):
            assert isinstance(counted, Token)
            several = counted.text != counted.key and counted.key not in lexicon.vocabulary.nouns
            if several or not lexicon.vocabulary.is_word(counted.key):
                return counted.text
    return ""


_BEFORE_COUNT = frozenset({",", ":", "-", "or", "to"})


def _passed_over(items: Items, parts: Sequence[Part], lexicon: Lexicon) -> str:
    """The last mass or volume outside brackets where the line states more of them than its parts have."""
    measures = [at for at, item in enumerate(items) if at and isinstance(item, Token) and item.kind == "measure"]
    stated = [at for at in measures if _states_weight(items, at, lexicon)]
    if not stated or len(stated) <= sum([_weighed(part.amount, lexicon) for part in parts]):
        return ""
    return " ".join(one.text for one in items[stated[-1] - 1 : stated[-1] + 1] if isinstance(one, Token))


def _states_weight(items: Items, at: int, lexicon: Lexicon) -> bool:
    """Whether a measure of mass or volume stands there behind its number, and behind no "or"."""
    item = items[at]
    if not isinstance(item, Token) or lexicon.measures.kind(item) not in WEIGHABLE:
        return False
    further = at > 1 and isinstance(items[at - 2], Token) and lexicon.measures.kind(items[at - 2]) in WEIGHABLE
    near = [one for one in items[max(0, at - _NEAR_OR - further) : at] if isinstance(one, Token)]  # "/ 1 lb 2 oz"
    if not near or near[-1].kind != "number":
        return False
    behind = near[-2].text if len(near) > 1 else ""
    if behind == "to":
        return False  # "from 30 g to 70 g"
    first = items[at - _OF_RANGE] if at > _OF_RANGE and behind == "-" else None
    if isinstance(first, Token) and first.kind == "measure" and in_one_range(first, item):
        return False  # "1/2 tsp - 1 tsp"
    return not any(one.value == "or" or one.text in _INSTEAD or one.text in _YIELDING for one in near)


_OF_RANGE = 3  # from its second measure back to the first


def _weighed(amount: Amount | None, lexicon: Lexicon) -> int:
    """How many masses and volumes an amount is stated by."""
    if amount is None:
        return 0
    own = int(lexicon.measured_by(amount) in WEIGHABLE)
    if not amount.combined:
        return own
    return own + sum(_weighed(more, lexicon) for more in (amount.package, amount.plus, amount.less, amount.also))
