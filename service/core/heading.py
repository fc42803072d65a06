"""Headings: lines that open a section of a recipe, and titles that figures or brackets give away.

    heading = heading-word ... [ remark ] | words heading-word ( "-" | ":" ) | words that make no food heading-word
            | ( "for" | "to" ) words that name no food | heading-word ( digit | letter ) | "the" noun
            | ( "first" | "2nd" | "final" | ... ) words | words ( "batch" | "version" | ... )
            | aisle ( "&" | "and" | "/" ) ( aisle | shelf )    "Dairy & eggs": parts of a shop
            | letter [ "-" ] heading-word | ( "==" | "--" | ... ) words ( "==" | "--" | ... )
            | heading-word "-" ( "overnight" | ... )
    title   = food "with" food, both without an amount | words "(" yield ")" | words ( "para" | ... ) number
            | words ( "-" | "(" ) ( "mrs" | ... ) words | words ( "-" | "(" | ... ) claims | see `title`
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from service.core.amount import WEIGHABLE
from service.core.figure_line import ORDINALS, states_claims, states_time
from service.core.line_items import before_bracket
from service.core.line_words import before_mark, before_remark, first_outside, is_counted, is_name, plain, spelled
from service.core.noun_phrase import NAMING, Lexicon
from service.core.number import read_range
from service.core.text import STAND_IN, singular
from service.core.title import dish_kind, is_title
from service.core.vocabulary import Token, key_word

# What may be a word of a heading's name.
_NAMED = NAMING | {"note start"}
_CLAIM_MARKS = frozenset({"-", "|", ",", "(", ":", "/"})


# More of a dish than this many is what a list makes: "around 40 dumplings".
_MANY = 15.0
_IN_ALL = frozenset({"total", "altogether", "in"})


def is_purpose(tokens: Sequence[Token], words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "For the top", "to finish": a purpose with no food, or with one that is made here: "For the dal (boil)"."""
    first = words[0]
    alone = len(words) == len(before_bracket(tokens)) and not any(token.kind == "number" for token in words)
    if alone and (first.text == "for the" or _acts_on(words)):
        return True
    if first.kind != "remark" or first.text.split()[0] not in ("for", "to"):
        return False
    return not lexicon.names_food(words[1:]) and not lexicon.names_food(before_mark(tokens)[1:])


def _acts_on(words: Sequence[Token]) -> bool:
    """ "To poach the eggs", "To pickle": what the foods that follow are for."""
    verb = len(words) == 2 and words[0].text == "to"
    return verb or (words[0].text.split()[0] == "to" and any(token.text == "the" for token in words[1:3]))


def claims(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Celeriac gratin - 9 g carbs per portion", "Fish pie - 40 min": what a dish holds or takes, behind a mark."""
    place = next((at for at, token in enumerate(tokens) if at and token.text in _CLAIM_MARKS), len(tokens))
    if any(token.kind in ("number", "measure") for token in tokens[:place]):
        return False
    behind = [token for token in tokens[place + 1 :] if token.text != ")"]
    timed = place < len(tokens) and tokens[place].text in "-|/" and states_time(behind, lexicon)
    if behind and " ".join(_headed(tokens[:place])) in lexicon.vocabulary.headings:  # "Marinade - overnight"
        titles = lexicon.vocabulary.titles
        whens = titles.periods | titles.pauses | titles.moments | titles.minutes
        timed = timed or plain(behind) in whens or all(
            token.kind == "number" or singular(token.text) in whens for token in behind
        )
        timed = timed or behind[0].text.split()[0] in _CHOOSING  # "Fillings - choose any three"
    return timed or states_claims(tokens[place + 1 :], lexicon)


_CHOOSING = frozenset({"choose", "pick", "select", "all", "any", "whatever"})


def serves_at_end(tokens: Sequence[Token], words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Locro criollo para 10": whom a dish is for, in languages whose recipes are read here."""
    if len(words) < 3 or tokens[-1].kind != "number" or is_counted(words[:-2]):
        return False
    return tokens[-2].text in lexicon.vocabulary.titles.for_whom


def ends_as_title(tokens: Sequence[Token], words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Potato topping -", "Butter tarts (makes 12)": a heading word before a last dash, a yield in brackets."""
    behind = [token for token in tokens[len(before_bracket(tokens)) :] if token.kind != "mark"]
    behind = behind or [token for token in tokens[first_outside(tokens, "-") or len(tokens) :] if token.kind != "mark"]
    feeds = _feeds(behind, lexicon) or _is_for_them(tokens, lexicon) or _is_ordered(tokens, words, lexicon)
    if any(one.kind == "number" and lexicon.measures.kind(two) in WEIGHABLE for one, two in pairwise(words)):
        return False  # "ghee 2 tbsp (makes it juicy)"
    if (feeds or any(token.value == "yield" for token in tokens[1:])) and words[0].kind not in ("number", "measure"):
        return True
    if _names_person(behind, lexicon) and not is_counted(words):
        return True
    return tokens[-1].text == "-" and singular(words[-1].text) in lexicon.vocabulary.headings


def _names_person(behind: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Plum jam (Mrs. A. Smith)", "Shortbread - Miss McKay, Dunedin": whose recipe it is; "(Mrs. Dash)" is a brand."""
    return len(behind) >= _FULL_NAME and behind[0].text in lexicon.vocabulary.titles.honorifics


_FULL_NAME = 3


def _feeds(inside: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "(for 4)", "(for 6-8 people)": a bracket that says for how many, and nothing else."""
    if len(inside) < 2 or inside[0].text not in _FOR or inside[1].kind != "number":
        return False
    return inside[-1].kind == "number" or inside[-1].key in lexicon.vocabulary.titles.eaters


_FOR = frozenset({"for", "good for", "enough for"})


def _is_for_them(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Adobo, good for 6 persons": for how many a dish is; "rice, enough for 4" is food without an amount."""
    head = before_mark(tokens)
    behind = [token for token in tokens[len(head) :] if token.kind != "mark"]
    if not _feeds(behind, lexicon):
        return False
    if behind[0].text == "good for" or not lexicon.names_food(head):
        return True
    return dish_kind(spelled(head), lexicon) == "dish"


def _is_ordered(tokens: Sequence[Token], words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Feijoada 60 pax - soak overnight": a dish by its name or one that nobody knows, then for how many."""
    eaters = lexicon.vocabulary.titles.eaters
    at = next((at for at in range(1, len(words)) if words[at].key in eaters and words[at - 1].kind == "number"), 0)
    head, behind = (words[: at - 1], tokens[at + 1 :]) if at else ((), ())
    if not head or any(token.kind == "number" for token in (*head, *behind)) or head[-1].kind == "measure":
        return False
    return dish_kind(spelled(head), lexicon) == "dish" or not lexicon.names_food(head)


def names_dish(tokens: Sequence[Token], words: Sequence[Token], lexicon: Lexicon) -> bool:
    return _is_dish(words, lexicon) or is_title(tokens, lexicon)


def _is_dish(words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Lentils with spiced butter": a food with another, and no amount, is a dish's title."""
    place = next((at for at, token in enumerate(words) if token.value == "with"), 0)
    behind = [token for token in words[place + 1 :] if token.kind in NAMING]
    if not place or not behind or is_name(words, lexicon):
        return False
    if key_word(words[place - 1]) in lexicon.vocabulary.titles.eaten_with and len(words) <= _SHORT_MEAL:
        return False  # "bread with butter"
    if not lexicon.vocabulary.titles.own_parts.isdisjoint([key_word(token) for token in behind]):
        return False
    return lexicon.names_food(words[:place]) and lexicon.names_food(behind)


_SHORT_MEAL = 6


def serves(words: Sequence[Token]) -> bool:
    """ "Cottage pie for two", "stuffing for one 5 kg goose": a number that counts what the dish is for."""
    behind = words[len(before_remark(words)) :]
    return len(behind) > 1 and behind[0].text == "for" and behind[1].kind == "number"


def is_for_some(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "For 20 pancakes", "for two", "enough for one 23 cm tin": how much a list makes, where nothing is weighed."""
    start = _past_for(tokens)
    if not start and tokens[0].text in lexicon.vocabulary.titles.for_whom and not lexicon.names_food(tokens):
        start = 1  # "Pour 8 blinis"
    rest = [token for token in tokens[start:] if token.kind != "approximate" and token.text != "."]
    if not start or not rest or rest[0].kind != "number":
        return False
    return all(token.kind != "mark" or token.text == "-" for token in rest) and not any(
        lexicon.measures.kind(token) in _WEIGHED for token in rest
    )


_WEIGHED = WEIGHABLE | {"vague"}


def is_per(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "per 1 kg pork", "For every 500 g flour", "Quantities for 1 kg mince": what the amounts that follow are for.

    What each eater gets is food: "per person 100 g rice".
    """
    titles = lexicon.vocabulary.titles
    if _lists_food(tokens, lexicon):
        return False  # "quantities for 4: 400 g rice"
    if any(singular(word) in titles.eaters | titles.portions for token in tokens[:3] for word in token.text.split()):
        return False
    if tokens[0].text == "each" and len(tokens) > 1 and tokens[1].kind == "word" and tokens[1].text != "of":
        return any(token.kind == "number" for token in tokens)  # "each pancake about 80 g"
    said = [word for token in tokens[:2] for word in token.text.split()]
    if any(token.kind == "number" for token in tokens[:3]) and said[0] == "per":
        return True
    return said[:2] in (["for", "every"], ["for", "each"]) or (said[0] in QUANTITIES and said[1:2] == ["for"])


def _lists_food(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether a food with its amount stands behind a colon or comma."""
    marks = [at for at, token in enumerate(tokens[:-1]) if token.text in (":", ",")]
    behind = tokens[marks[0] + 1 :] if marks else []
    return bool(behind) and behind[0].kind == "number" and lexicon.names_food([t for t in behind if t.kind in NAMING])


FOR_SOME = frozenset({"for", "for a", "enough for", "good for"})
QUANTITIES = frozenset({"quantity", "quantities", "amount", "amounts"})


def _past_for(tokens: Sequence[Token]) -> int:
    """The place behind "for" where a line says for how many it is; 0 where it says no such thing."""
    first, second = tokens[0].text, tokens[1].text if len(tokens) > 1 else ""
    if first in FOR_SOME:
        return 1
    return 2 if second == "for" and tokens[0].kind in ("word", "remark") and first in ("enough", "quantities") else 0


def is_about_some(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "about 30 pieces", "18 slices in total", "around 40 dumplings": how much a list makes.

    A few cookies or dumplings may be eaten as foods, and so may "24 cupcakes" of which nobody says about how many.
    """
    about = _is_about(tokens[0])
    kept = [token for token in tokens[about:] if token.text not in _IN_ALL]
    named = [token for token in kept if token.kind != "number" and token.text not in ("-", "to", "dozen")]
    if not named or named[0] is kept[0] or kept[-len(named) :] != named:
        return False
    if lexicon.measures.kind(named[0]) in WEIGHABLE:
        return False  # "about 100 g cupcake"
    titles = lexicon.vocabulary.titles
    if len(named) == 1 and named[0].kind == "measure":
        several = named[0].several or named[0].text != named[0].value  # "pcs"
        return named[0].value in titles.portions and (about or several)
    last = singular(named[-1].text)
    if not about or len(spelled(named)) >= _SHORT_NAME:
        return False
    return (last in titles.dishes or last in titles.portions) and _most(kept) >= _MANY


_SHORT_NAME = 3


def _most(tokens: Sequence[Token]) -> float:
    """The highest number that tokens begin with, dozens counted out; 0 where it is none."""
    found = read_range(tokens, 0)
    return found[1] if found is not None else 0.0


def _is_about(token: Token) -> bool:
    return token.kind == "approximate" or token.text == "roughly"  # "roughly chopped" is a manner


def is_ranked(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "1st marinade", "Second tempering", "Final dough": which of several, and words that head a part or no food."""
    words = before_mark(tokens)
    rank = 2 if words[0].kind == "number" and len(words) > 1 and words[1].text in ORDINALS else 0
    rank = rank or words[0].text in lexicon.vocabulary.titles.ranks
    named = words[rank:]
    if is_name(words, lexicon):  # "5th avenue bar"
        return False
    if not rank or not 0 < len(named) <= _LONGEST_RANKED or any(token.kind == "number" for token in tokens[rank:]):
        return False
    if lexicon.vocabulary.headings.issuperset(_headed(named)):
        return True
    return not lexicon.names_any(named)


_LONGEST_RANKED = 3


def is_told_apart(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Half batch", "Large tray version", "Injera (quick version)": which of several a list is, and no amount."""
    inside = () if is_counted(tokens) else _in_bracket(tokens)
    *told, last = inside or before_mark(tokens)
    if singular(last.text) not in lexicon.vocabulary.titles.batches or len(told) > _LONGEST_RANKED:
        return False
    if any(token.text.startswith(STAND_IN) for token in told):
        return False  # so much of a recipe of the kitchen
    alone = len(told) + 1 == len(tokens) - (tokens[-1].text == ":")
    return bool(told) and (alone or bool(inside))


def _in_bracket(tokens: Sequence[Token]) -> Sequence[Token]:
    """What a bracket at the end of a line holds: "quick version" of "Injera (quick version)"."""
    place = next((at for at, token in enumerate(tokens) if token.text == "("), 0)
    return tokens[place + 1 : -1] if place and tokens[-1].text == ")" else ()


def is_lettered(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "C. Topping", "T - marinade": a letter that measures go by too, before heading words that are no food."""
    if tokens[0].kind != "measure" or len(tokens[0].text) > 1:
        return False
    words = [token for token in before_bracket(tokens)[1:] if token.text not in ("-", ":")]
    said = " ".join(singular(token.text) for token in words)
    return said in lexicon.vocabulary.headings and said not in lexicon.vocabulary.headed_foods


def is_framed(tokens: Sequence[Token]) -> bool:
    """ "== Cake ==", "--- Rice ---": signs around words without an amount; "salt --" is salt."""
    if len(tokens) < _SHORTEST_FRAME or any(tokens[at].text not in _FRAMES for at in (0, -2, -1)):
        return False
    return not any(token.kind in ("number", "measure") for token in tokens)


_FRAMES = frozenset({"=", "-", "~", "#", "+"})
_SHORTEST_FRAME = 3


def is_the(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "The fish", "The salad:": an article before a noun that says no kind; "the butter" is food of a line before."""
    tokens = tokens[1:] if len(tokens) > 2 and tokens[0].value == "and" else tokens  # "And the fish"
    words = before_mark(tokens)
    alone = len(words) == 2 and len(tokens) - (tokens[-1].text == ":") == 2
    if not alone or words[0].text != "the" or words[1].kind != "word":
        return False
    name = lexicon.ending([key_word(words[1])])
    return not words[1].text.startswith(STAND_IN) and (name is None or name.kind == "default")


def is_heading(tokens: Sequence[Token], words: Sequence[Token], amounts: bool, lexicon: Lexicon) -> bool:
    """Heading words without an amount of their own: "Filling", "Stuffing for one turkey", "Chicken marinade"."""
    if not amounts and _are_headings(tokens, lexicon):
        return True
    if any(token.text == "/" for token in tokens):
        return False
    if not amounts and _is_of_places(tokens, lexicon):
        return True
    if _is_ready(tokens, lexicon):
        return False
    head = before_remark(words)
    if _lines_pie(head, words[len(head) :]):
        return False
    if _is_served(words[len(head) :], head, lexicon) or _is_group_for(words[len(head) :], head, lexicon):
        return False
    if is_one_of(tokens, lexicon):
        return True
    if amounts and (is_counted(head) or not serves(words)):
        return False
    said, bought = _headed(head), dish_kind(spelled(head), lexicon) == "bought"
    if said[-1:] and said[-1] in lexicon.vocabulary.headed_foods and _says_ready(head, lexicon):
        return False  # "ready-made custard"
    if " ".join(said) in lexicon.vocabulary.headings and not any(token.text in ("or", "/") for token in head):
        return True
    return not bought and _says_heading(said, head, lexicon)


def _lines_pie(head: Sequence[Token], behind: Sequence[Token]) -> bool:
    """ "pastry for a single-crust pie": what a pie is lined with, as lists of old recipes count it."""
    lining = bool(head) and singular(head[-1].text) in _LININGS
    return lining and len(behind) > 1 and behind[0].text.startswith("for") and behind[-1].key in _LINED


_LININGS = frozenset({"pastry", "dough"})
_LINED = frozenset({"pie", "tart", "flan", "quiche", "crust"})


def _are_headings(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Inner dough / oil dough", "Dressing/dip": parts of a list, joined; behind "or" none of which may be a food."""
    said = [""]
    for token in tokens:
        if token.kind == "joiner" or token.text == "/":
            said.append("")
        else:
            said[-1] = f"{said[-1]} {singular(token.text)}".strip()
    if len(said) < 2:
        return False
    headings, titles = lexicon.vocabulary.headings, lexicon.vocabulary.titles
    if not titles.aisles.isdisjoint(said):  # "Dairy & eggs", "Pulses and pasta"
        return all(one in titles.aisles or one in titles.shelves or one in headings for one in said)
    if not headings.issuperset(said):
        return False
    return lexicon.vocabulary.headed_foods.isdisjoint(said) or not any(token.value == "or" for token in tokens)


def _is_of_places(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Polish, Czech and Hungarian": whence the dishes of a list are; one such word alone may be a food."""
    said = [token.text for token in tokens if token.kind not in ("mark", "joiner")]
    return len(said) > 1 and lexicon.vocabulary.titles.origins.issuperset(said)


def _is_ready(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "tzatziki, shop-bought": what is said behind a mark of a food that is at hand."""
    return _says_ready(tokens[len(before_mark(tokens)) :], lexicon)


def _says_ready(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    words = [singular(token.text) for token in tokens]
    said = {*words, *(" ".join(pair) for pair in pairwise(words))}
    return not said.isdisjoint(lexicon.vocabulary.titles.ready)


def _is_served(remarks: Sequence[Token], head: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "gravy, to serve", "frosting of choice": bought or made before, and eaten; no heading."""
    titles = lexicon.vocabulary.titles
    served = any(token.text in titles.served for token in remarks)
    return served and bool(head) and singular(head[-1].text) not in titles.sections


def _is_group_for(remarks: Sequence[Token], head: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "meat for kebabs": a group of foods that is bought for something; but "Meat for 4" is a heading."""
    if len(head) != 1 or not remarks or remarks[0].text.split()[0] != "for":
        return False
    told = any(token.kind == "number" or token.text in ("the", "for the") for token in remarks)
    return not told and singular(head[0].text) in lexicon.vocabulary.titles.groups


def is_one_of(tokens: Sequence[Token], lexicon: Lexicon, *, foods: bool = False) -> bool:
    """ "Filling 1", "Spice mix two", "Filling #2 (cheese)": heading words, and behind them which of several it is.

    foods  whether heading words that may be a food count: "Sauce 1" may be an amount, "Sauce 1: 200 g tomatoes" not
    """
    words = _without_bracket(tokens)
    if len(words) < 2 or not _is_ordinal(words[-1]):
        return False
    behind = [token for token in tokens[len(words) :] if token is not words[-1]]  # "Batter (2)"
    if any(token.kind == "number" for token in behind):
        return False
    if behind and behind[0].text not in ("(", "-", ")"):  # "pie crust 1, unbaked"
        return False
    if len(words) == 2 and singular(words[0].text) in lexicon.vocabulary.titles.stages:
        return True  # "Bowl 1", "Stage B"
    said = _headed(words[:-1])
    foods = foods or _is_uncounted(words)
    heads = lexicon.vocabulary.headings - (frozenset() if foods else lexicon.vocabulary.headed_foods)
    if len(said) != len(words) - 1:
        return False
    made = foods and said[-1] in heads and not _is_sold(words[:-1], lexicon)  # "Tahini sauce 2", not "fish sauce 2"
    return made or " ".join(said) in heads or heads.issuperset(said)


def _is_sold(words: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether words are, all together, the name of a food that has an entry."""
    keys = [word for token in words if (word := key_word(token))]
    name = lexicon.ending(keys)
    return name is not None and name.food_id is not None and name.words == len(keys) > 1


def _is_uncounted(words: Sequence[Token]) -> bool:
    """Whether nobody counts what stands before a number or letter: "Sauce 2", "Broth B", but "Buns 4"."""
    return words[-2].text == singular(words[-2].text) and words[-1].text != "1"


def _without_bracket(tokens: Sequence[Token]) -> Sequence[Token]:
    """The tokens before the first mark; with a number that stands in brackets alone behind them: "Batter (2)"."""
    words = before_mark(tokens)
    inside = tokens[len(words) :]
    if len(inside) == 3 and inside[0].text == "(" and inside[1].kind == "number":
        return [*words, inside[1]]
    return words


def _is_ordinal(token: Token) -> bool:
    """Whether a token may tell one of several: "2", "two", "#2", "no. 2"; the last two are sizes of tins elsewhere."""
    if token.kind == "measure":
        return token.text.startswith(("#", "no")) and token.text[-1].isdigit()
    if token.kind == "number":
        return len(token.value) == 1
    return len(token.text) == 1 and token.text in "abcdef"


def _headed(words: Sequence[Token]) -> list[str]:
    """The words of a heading in the singular, without those that join them."""
    return [singular(token.text) for token in words if token.kind not in ("filler", "joiner", "remark")]


def _is_in(words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Sardines in tomato sauce": a food before the heading words."""
    place = next((at for at, token in enumerate(words) if token.kind == "preposition"), 0)
    return place > 0 and lexicon.names_food(words[:place])


def _is_of_dish(said: list[str], words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Kofta mix", "Zingy dressing": what a dish or a title's adjective makes of a heading that may be a food."""
    before = said[:-1]
    name = lexicon.ending([word for token in words if (word := key_word(token))])
    if not before or len(before) > 2 or not (name is None or name.key.isdisjoint(before)):
        return False
    titles, nouns = lexicon.vocabulary.titles, lexicon.vocabulary.nouns
    if all(word in titles.dishes and word not in titles.attributive for word in before):
        return True
    return len(before) == 1 and before[0].endswith("y") and before[0] not in nouns


def _says_heading(said: list[str], words: Sequence[Token], lexicon: Lexicon) -> bool:
    """Heading words alone ("Sauce and topping"), or behind words that make no known food ("Chicken marinade")."""
    headings = lexicon.vocabulary.headings
    either = any(token.text in ("or", "/") for token in words)  # "fish or oyster sauce" is an ingredient
    if not said or is_name(words, lexicon):
        return False
    if not either and headings.issuperset(said):
        return True
    heads = headings - lexicon.vocabulary.headed_foods
    if not either and said[-1] in lexicon.vocabulary.headed_foods and _is_of_dish(said, words, lexicon):
        return True
    if said[-1] not in heads or len(said) > 4 or either:
        return False
    if _is_in(words, lexicon):
        return False
    keys = [word for token in words if token.kind in _NAMED and (word := key_word(token))]
    plain = {key_word(token) for token in words if token.kind == "word"}
    name = lexicon.ending(keys)
    if name is None or name.key <= headings:  # "Shawarma marinade": what is named is the heading's own word
        return True
    return not plain - name.key - headings <= lexicon.vocabulary.titles.dishes.keys()
