"""Lines that are no food: headings, titles, notes, remarks.

    heading = heading-word ... [ remark ] | words heading-word ( "-" | ":" ) | words that make no food heading-word
            | words ":" | ( "for" | "to" ) words that name no food
    title   = food "with" food, both without an amount | words "(" yield ")"
    note    = verb-of-a-step words | words verb-of-advice words | remark words | manner ...
    remark  = one word of cutting, size or taste alone

A line that states an amount is food unless a note or a title says otherwise.
"""

from __future__ import annotations

from collections.abc import Sequence

from service.core.amount import WEIGHABLE
from service.core.line_items import before_bracket
from service.core.noun_phrase import NAMING, Lexicon
from service.core.text import singular
from service.core.vocabulary import Token, key_word

_MANNER = frozenset({"preparation", "filler", "remark", "optional", "to taste", "approximate", "size", "joiner"})
_ALONE = frozenset({"preparation", "remark", "optional", "to taste", "approximate", "size"})
# What a food comes with without being a dish: "chicken thighs with skin", "tomatoes with juice".
_OWN_PARTS = frozenset(
    "skin bone juice oil liquid salt water rind shell peel stem leaf syrup brine fat head tail".split()
)


def not_food(tokens: Sequence[Token], lexicon: Lexicon) -> str:
    """Why the line is a heading or a note, "" where it may be food; it has one token or more."""
    first = next((token for token in tokens if token.kind != "mark"), tokens[0])
    words = [token for token in before_bracket(tokens) if token.kind != "mark"] or [first]
    counted = first.kind == "measure" or any(token.kind == "number" for token in words)
    if first.kind == "note start" and _is_note(first, words, counted, lexicon):
        return "a note"
    if first.kind == "number":
        return ""
    weighed = any(lexicon.measures.kind(token) in WEIGHABLE for token in tokens)
    if tokens[-1].text == ":" and not weighed:
        return "a heading"
    if first.kind == "remark" and first.text.split()[0] in ("for", "to") and not lexicon.names_food(words[1:]):
        return "a heading"
    if any(token.kind == "optional" for token in tokens) and lexicon.names_food(words):
        return ""
    if _is_title(tokens, words, lexicon) or (not counted and _is_dish(words, lexicon)):
        return "a heading"
    if not counted and (_is_sentence(words, lexicon) or _opens_remark(first)):
        return "a note"
    if not counted and not any(token.text == "/" for token in tokens) and _is_heading(_before_remark(words), lexicon):
        return "a heading"
    return "a remark" if len(words) == 1 and first.kind in _ALONE else ""


def _is_note(first: Token, words: Sequence[Token], counted: bool, lexicon: Lexicon) -> bool:
    nouns = [token for token in words if token.kind not in ("number", "measure")]
    if first.value == "verb" and len(words) > 3:  # "Freeze the beef for 20 minutes"
        return True
    return first.value == "always" or not lexicon.names_food(nouns) or (len(words) > 3 and not counted)


def _is_title(tokens: Sequence[Token], words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Potato topping -", "Butter tarts (makes 12)": a heading word before a last dash, a yield in brackets."""
    yields = any(token.kind == "note start" and token.value == "always" for token in tokens[1:])
    if yields and words[0].kind not in ("number", "measure"):
        return True
    return tokens[-1].text == "-" and singular(words[-1].text) in lexicon.vocabulary.headings


def _is_dish(words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Lentils with spiced butter": a food with another, and no amount, is a dish's title."""
    place = next((at for at, token in enumerate(words) if token.value == "with"), 0)
    behind = [token for token in words[place + 1 :] if token.kind in NAMING]
    if not place or not behind or {key_word(token) for token in behind} & _OWN_PARTS:
        return False
    return lexicon.names_food(words[:place]) and lexicon.names_food(behind)


def _is_sentence(words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "vegetarians can skip the anchovies": a verb of advice with no food before it; or no noun at all."""
    place = next((at for at, token in enumerate(words) if token.value == "sentence"), None)
    if place is not None:
        return not any(lexicon.names_food(words[:end]) for end in range(min(place, 6), 0, -1))
    return all(token.kind in _MANNER for token in words)


def _opens_remark(first: Token) -> bool:
    """ "or use ...", "if you like it hot": a remark without a food before it."""
    return first.kind == "remark" and first.text.split()[0] not in ("for", "to", "like", "such", "preferably")


def _before_remark(words: Sequence[Token]) -> Sequence[Token]:
    """The words before a remark: "sugar for the top crust" is sugar."""
    place = next((at for at, token in enumerate(words) if at and token.kind == "remark"), len(words))
    return words[:place]


def _is_heading(words: Sequence[Token], lexicon: Lexicon) -> bool:
    """Heading words alone ("Filling"), or behind words that make no known food with them ("Chicken marinade")."""
    said = [singular(token.text) for token in words if token.kind not in ("filler", "joiner", "remark")]
    headings = lexicon.vocabulary.headings
    either = any(token.text in ("or", "/") for token in words)  # "fish or oyster sauce" is an ingredient
    if not said:
        return False
    if not either and (" ".join(said) in headings or all(word in headings for word in said)):
        return True
    if said[-1] not in headings or len(said) > 4 or any(token.kind == "joiner" for token in words):
        return False
    keys = [word for token in words if token.kind == "word" and (word := key_word(token))]
    name = lexicon.ending(keys)
    return name is None or not (name.key | headings) >= set(keys)
