"""Headings: lines that open a section of a recipe, and titles that figures or brackets give away.

    heading = heading-word ... [ remark ] | words heading-word ( "-" | ":" ) | words that make no food heading-word
            | ( "for" | "to" ) words that name no food | heading-word digit
    title   = food "with" food, both without an amount | words "(" yield ")" | words ( "para" | ... ) number
            | words ( "-" | "(" | ... ) claims | see `title`
"""

from __future__ import annotations

from collections.abc import Sequence

from service.core.figure_line import states_claims, states_time
from service.core.line_items import before_bracket
from service.core.line_words import before_mark, before_remark, is_counted, is_name, spelled
from service.core.noun_phrase import NAMING, Lexicon
from service.core.text import singular
from service.core.title import dish_kind, is_title
from service.core.vocabulary import Token, key_word

# What may be a word of a heading's name.
_NAMED = NAMING | {"note start"}
_CLAIM_MARKS = frozenset({"-", "|", ",", "(", ":"})


def is_purpose(tokens: Sequence[Token], words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "For the top", "to finish": a purpose with no food, or with one that is made here: "For the dal (boil)"."""
    first = words[0]
    if first.kind != "remark" or first.text.split()[0] not in ("for", "to"):
        return False
    alone = len(words) == len(before_bracket(tokens)) and not any(token.kind == "number" for token in words)
    if first.text == "for the" and alone:
        return True
    return not lexicon.names_food(words[1:]) and not lexicon.names_food(before_mark(tokens)[1:])


def claims(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Celeriac gratin - 9 g carbs per portion", "Fish pie - 40 min": what a dish holds or takes, behind a mark."""
    place = next((at for at, token in enumerate(tokens) if at and token.text in _CLAIM_MARKS), len(tokens))
    if any(token.kind in ("number", "measure") for token in tokens[:place]):
        return False
    timed = place < len(tokens) and tokens[place].text in "-|" and states_time(tokens[place + 1 :], lexicon)
    return timed or states_claims(tokens[place + 1 :], lexicon)


def serves_at_end(tokens: Sequence[Token], words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Locro criollo para 10": whom a dish is for, in languages whose recipes are read here."""
    if len(words) < 3 or tokens[-1].kind != "number" or is_counted(words[:-2]):
        return False
    return tokens[-2].text in lexicon.vocabulary.titles.for_whom


def ends_as_title(tokens: Sequence[Token], words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Potato topping -", "Butter tarts (makes 12)": a heading word before a last dash, a yield in brackets."""
    behind = [token for token in tokens[len(before_bracket(tokens)) :] if token.kind != "mark"]
    yields = any(token.value == "yield" for token in tokens[1:]) or _feeds(behind, lexicon)
    if yields and words[0].kind not in ("number", "measure"):
        return True
    return tokens[-1].text == "-" and singular(words[-1].text) in lexicon.vocabulary.headings


def _feeds(inside: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "(for 4)", "(for 6-8 people)": a bracket that says for how many, and nothing else."""
    if len(inside) < 2 or inside[0].text != "for" or inside[1].kind != "number":
        return False
    return inside[-1].kind == "number" or inside[-1].key in lexicon.vocabulary.titles.eaters


def names_dish(tokens: Sequence[Token], words: Sequence[Token], lexicon: Lexicon) -> bool:
    return _is_dish(words, lexicon) or is_title(tokens, lexicon)


def _is_dish(words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Lentils with spiced butter": a food with another, and no amount, is a dish's title."""
    place = next((at for at, token in enumerate(words) if token.value == "with"), 0)
    behind = [token for token in words[place + 1 :] if token.kind in NAMING]
    if not place or not behind or is_name(words, lexicon):
        return False
    if not lexicon.vocabulary.titles.own_parts.isdisjoint([key_word(token) for token in behind]):
        return False
    return lexicon.names_food(words[:place]) and lexicon.names_food(behind)


def serves(words: Sequence[Token]) -> bool:
    """ "Cottage pie for two", "stuffing for one 5 kg goose": a number that counts what the dish is for."""
    behind = words[len(before_remark(words)) :]
    return len(behind) > 1 and behind[0].text == "for" and behind[1].kind == "number"


def is_for_some(tokens: Sequence[Token]) -> bool:
    """ "For 20 pancakes", "for about 12 dumplings": how many a list makes; nothing is measured or named before."""
    if len(tokens) > 2 and tokens[0].text == "for" and _is_about(tokens[1]):
        tokens = [tokens[0], *tokens[2:]]
    if len(tokens) < 3 or tokens[0].text != "for" or tokens[1].kind != "number":
        return False
    behind = next((at for at in range(2, len(tokens)) if tokens[at].kind != "number" and tokens[at].text != "-"), 0)
    return bool(behind) and all(token.kind not in ("number", "measure", "mark") for token in tokens[behind:])


def is_about_some(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "about 30 pieces", "roughly 16-18 slices": how much a list makes; cookies and muffins may be eaten as foods."""
    if len(tokens) < 3 or not _is_about(tokens[0]) or tokens[1].kind != "number":
        return False
    counted = all(token.kind == "number" or token.text in ("-", "to") for token in tokens[1:-1])
    last = tokens[-1]
    return counted and last.kind == "measure" and singular(last.text) in lexicon.vocabulary.titles.portions


def _is_about(token: Token) -> bool:
    return token.kind == "approximate" or token.text == "roughly"  # "roughly chopped" is a manner


def is_heading(tokens: Sequence[Token], words: Sequence[Token], amounts: bool, lexicon: Lexicon) -> bool:
    """Heading words without an amount of their own: "Filling", "Stuffing for one turkey", "Chicken marinade"."""
    if any(token.text == "/" for token in tokens):
        return False
    if not amounts and _is_of_places(tokens, lexicon):
        return True
    head = before_remark(words)
    if _is_served(words[len(head) :], head, lexicon) or _is_group_for(words[len(head) :], head, lexicon):
        return False
    if is_one_of(tokens, lexicon):
        return True
    if amounts and (is_counted(head) or not serves(words)):
        return False
    said, bought = _headed(head), dish_kind(spelled(head), lexicon) == "bought"
    if " ".join(said) in lexicon.vocabulary.headings and not any(token.text in ("or", "/") for token in head):
        return True
    return not bought and _says_heading(said, head, lexicon)


def _is_of_places(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Polish, Czech and Hungarian": whence the dishes of a list are; one such word alone may be a food."""
    said = [token.text for token in tokens if token.kind not in ("mark", "joiner")]
    return len(said) > 1 and lexicon.vocabulary.titles.origins.issuperset(said)


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
    words = before_mark(tokens)
    behind = tokens[len(words) :]
    if len(words) < 2 or not _is_ordinal(words[-1]) or any(token.kind == "number" for token in behind):
        return False
    if behind and behind[0].text not in ("(", "-"):  # "pie crust 1, unbaked"
        return False
    said = _headed(words[:-1])
    heads = lexicon.vocabulary.headings - (frozenset() if foods else lexicon.vocabulary.headed_foods)
    return len(said) == len(words) - 1 and (" ".join(said) in heads or heads.issuperset(said))


def _is_ordinal(token: Token) -> bool:
    """Whether a token may tell one of several: "2", "two", "#2", "no. 2"; the last two are sizes of tins elsewhere."""
    if token.kind == "measure":
        return token.text.startswith(("#", "no")) and token.text[-1].isdigit()
    return token.kind == "number" and len(token.value) == 1


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
    if name is None or name.key <= headings:  # "Shawarma marinade": what is named is the heading's own word
        return True
    return not plain - name.key - headings <= lexicon.vocabulary.titles.dishes.keys()
