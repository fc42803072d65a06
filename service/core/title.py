"""Titles: lines that name a dish, not an ingredient of one.

    title   = { word } dish [ link words ] | words { "," words } "and" { word } dish
            | opening words | origin words cooked words | words made words | family words
            | number time-word { word } dish | words "recipe"
            | words that name no food ( "(" title ")" | "-" title )
            | dish words that name no food                         "Ceviche costeño", "Pierogi babuni"
    link    = "with" | "in" | "of" | "on" | "for" | "and" | "con" | "de" | ...
    opening = "one pot" | "slow cooker" | ...
    made    = "crusted" | "smothered" | ...

A line with an amount, or one that says that the dish is at hand or goes beside another ("leftover", "to serve"),
names an ingredient. What people buy ready is no title, though it may end as one does: "cream of chicken soup".
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise, takewhile

from service.core.line_items import before_bracket, bracketed
from service.core.line_words import STOPS, Spelled, is_for_doing, is_name, spelled, until_mark
from service.core.noun_phrase import ADJECTIVES, HEATED, Lexicon
from service.core.text import singular
from service.core.vocabulary import Token

# A dish may stand behind these too, as behind links, in the manner that names it: "spaghetti alla puttanesca".
_MANNERS = frozenset({"al", "alla", "alle", "all'", "plus", "and"})
# Forms longer than this are in no table.
_LONGEST = 5
_LONGEST_TITLE = 10


def is_title(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether a line that states no amount names a dish."""
    if any(token.text in ("or", "/", "and/or") or _stands_beside(tokens, at) for at, token in enumerate(tokens)):
        return False
    if is_at_hand(tokens, lexicon):
        return False
    head = list(until_mark(before_bracket(tokens)))
    if _is_cut(tokens[len(head) :], lexicon):
        return False
    words = spelled(head)
    if _is_praised(words, lexicon) and not is_name(head, lexicon):
        return True
    if kind := dish_kind(words, lexicon, named=is_name(head, lexicon)):
        return kind == "dish"
    plain = [word for word, _ in words]
    told = _is_made(head, lexicon) or _opens(plain, lexicon) or plain[1:][-1:] == ["recipe"]
    if (told or _is_of_family(plain, lexicon)) and not is_name(head, lexicon):
        return True
    if _is_from_somewhere(plain, head, lexicon):
        return True
    return _epithet(head, lexicon) or _listed(tokens, lexicon) or _glossed(tokens, head, lexicon)


def counted_title(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "20-minute noodle soup", "one-pot rice", "three bean salad": a first number that counts no food."""
    begun = [word for word, _ in spelled([token for token in tokens[:4] if token.kind != "mark"][:3])]
    if len(begun) > 1 and begun[0] not in lexicon.vocabulary.title_starts and not _counts_else(begun[1], lexicon):
        return False
    words = spelled([token for token in tokens if token.kind != "mark"])
    plain = [word for word, _ in words]
    if " ".join(plain) in lexicon.vocabulary.titles.dishes or (_opens(plain, lexicon) and "of" not in plain):
        return True
    return len(plain) > 2 and _counts_else(plain[1], lexicon) and dish_kind(words[2:], lexicon) == "dish"


def _counts_else(word: str, lexicon: Lexicon) -> bool:
    """Whether a number before the word counts no food: "20-minute", "3-ingredient"."""
    return word == "ingredient" or word in lexicon.vocabulary.titles.minutes


def dish_kind(words: Sequence[Spelled], lexicon: Lexicon, *, named: bool = False) -> str:
    """What the words are: "dish", "bought", or "" where they end as no dish does; `named`: together a food's name."""
    links = lexicon.vocabulary.titles.links
    link = next((at for at, (word, _) in enumerate(words) if at and word in links), len(words))
    manner = next((at for at, (word, _) in enumerate(words) if at and word in _MANNERS), len(words))
    for said in (words, words[:link], words[: link if named else min(link, manner)]):
        if kind := _ending(said, link, lexicon):
            return "bought" if kind == "head" and named else "dish" if kind == "head" else kind
    return ""


def _ending(words: Sequence[Spelled], link: int, lexicon: Lexicon) -> str:
    """The kind of the longest dish that ends the words and begins before the first link."""
    titles = lexicon.vocabulary.titles
    for start in range(max(0, len(words) - _LONGEST), min(link, len(words))):
        kind = titles.dishes.get(" ".join(word for word, _ in words[start:]))
        if kind == "head":
            named = any(naming and word not in ADJECTIVES | titles.ready for word, naming in words[:start])
            return "head" if named else "bought"
        if kind:
            return kind
    return ""


def _opens(words: Sequence[str], lexicon: Lexicon) -> bool:
    """Whether the words begin with whose dish it is, or how it is cooked."""
    titles = lexicon.vocabulary.titles
    own = words[1:] if words and words[0] in ("my", "our", "the") else words
    if len(own) < 2:
        return False
    return " ".join(own[:2]) in titles.openings or own[0] in titles.openings or own[0] in titles.family


def _is_of_family(words: Sequence[str], lexicon: Lexicon) -> bool:
    """ "Salsa de la abuela": a link before whose dish it is."""
    titles = lexicon.vocabulary.titles
    return len(words) > 2 and words[-1] in titles.family and not titles.links.isdisjoint(words[1:-1])


def _is_praised(words: Sequence[Spelled], lexicon: Lexicon) -> bool:
    """ "Simple tomato soup", "best ever fish cakes": words of titles before a dish, even one that is bought too."""
    praises = lexicon.vocabulary.titles.praises
    end = next((at for at, (word, _) in enumerate(words) if word not in praises and word != "the"), len(words))
    return 0 < end < len(words) and words[end - 1][0] != "the" and bool(_ending(words, len(words), lexicon))


def _is_from_somewhere(plain: Sequence[str], head: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Peruvian roast chicken": a people, and two words or more for what it cooks and how.

    Not where the food's own name says whence it is: "Spanish smoked paprika".
    """
    origins = lexicon.vocabulary.titles.origins
    size = next((size for size in (1, 2) if " ".join(plain[:size]) in origins), 0)
    if not size or len(plain) < size + 2 or not any(token.value in HEATED or token.text == "roast" for token in head):
        return False
    name = lexicon.ending([token.key for token in head if token.key])
    return name is not None and name.key.isdisjoint(plain[:size])


def _is_cut(rest: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether what stands behind is about cutting: "pork pies, sliced", but not "Ropa vieja (shredded beef)"."""
    gloss = bool(rest) and rest[0].text == "(" and lexicon.names_food([token for token in rest if token.kind != "mark"])
    return not gloss and any(token.kind == "preparation" for token in rest)


def _epithet(head: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Ceviche costeño", "Pho Saigon style": a dish, and behind it words that say which and name no food."""
    if len(head) > _LONGEST_TITLE or lexicon.names_food(head):
        return False
    place = next((at for at in range(len(head) - 1, 0, -1) if _is_dish(head[:at], lexicon)), len(head))
    behind = head[place:]
    if not behind or any(token.kind not in ("word", "filler") for token in behind):
        return False
    if head[place - 1].value in lexicon.vocabulary.titles.attributive and behind[-1].text != "style":
        return False
    return not lexicon.names_any(behind)


def _is_dish(words: Sequence[Token], lexicon: Lexicon) -> bool:
    said = spelled(words)
    return _ending(said, len(said), lexicon) in ("dish", "head")


def _is_made(head: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Pork rind crusted catfish": a word that makes a dish of the food before it and the one behind."""
    made, links = lexicon.vocabulary.titles.made, lexicon.vocabulary.titles.links
    place = next((at for at, token in enumerate(head) if at and token.text in made), 0)
    behind = next((at for at, token in enumerate(head) if token.text in links), len(head))
    return place > 0 and lexicon.names_food(head[:place]) and lexicon.names_food(head[place + 1 : behind])


def _listed(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Chicken, pea and potato curry", "Aubergine (eggplant) curry": a dish behind a list or a bracket."""
    outside = [item for item in bracketed(tokens) if isinstance(item, Token)]
    if not outside or any(token.text in STOPS - {",", "-"} or token.kind == "remark" for token in outside):
        return False
    comma = any(token.text == "," for token in outside)
    last = list(takewhile(lambda token: token.text != ",", reversed(outside)))
    if (comma and not any(token.value == "and" for token in last)) or outside[-1].kind == "mark":
        return False  # "parsley and garlic, mushrooms"
    return len(outside) > len(before_bracket(tokens)) - comma and _ends_in_dish(outside, lexicon)


def _ends_in_dish(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    words = spelled(tokens)
    return _ending(words, len(words), lexicon) in ("dish", "head")


def _glossed(tokens: Sequence[Token], head: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Macher jhol (Bengali fish curry)", "Muhammara - walnut dip": words that name no food, then a dish."""
    behind = tokens[len(head) :]
    if not behind or behind[0].text not in ("(", "[", "{", "-") or _has_entry(head, lexicon):
        return False
    words = spelled(list(until_mark([token for token in behind if token.text not in "()[]{}-"])))
    if behind[0].text != "-" and " ".join(word for word, _ in words) in lexicon.vocabulary.headings:
        return True  # "Kaste (dressing)"
    return (len(words) > 1 or behind[0].text != "-") and dish_kind(words, lexicon) == "dish"


def _has_entry(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether the words end a name that stands for an entry."""
    name = lexicon.ending([token.key for token in tokens if token.key])
    return name is not None and name.food_id is not None


def is_at_hand(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether words say that the dish is bought or left over: "leftover", "cream of"."""
    words = [singular(token.text) for token in tokens]
    ready = lexicon.vocabulary.titles.ready
    pairs = (" ".join(pair) for pair in pairwise(words))
    return not ready.isdisjoint(words) or any(pair in ready for pair in pairs)


def _stands_beside(tokens: Sequence[Token], at: int) -> bool:
    """Whether a word says that the dish goes beside another or may be left out."""
    token = tokens[at]
    if token.kind in ("optional", "to taste") or is_for_doing(tokens, at):
        return True
    return token.kind == "remark" and token.text.split()[0] in ("to", "as", "or", "if")
