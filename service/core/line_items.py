"""From a line's text to its items: tokens of the first sentence, each bracket as one item.

    text    = [ bullet ] [ place in a list ] sentence { number measure word ... } [ more sentences, which are not read ]
    free    = ( "0" [ unit ] | "zero" | "no" ) held food, put as the food's name      "0 sugar jam" is sugar free jam
    size    = food [ "," ] "the size of" [ "an" ] thing, put as a measure      "butter the size of an egg"
    items   = { token | bracket }
    bracket = ( "(" | "[" | "{" ) items ( ")" | "]" | "}" | end of line )
    piece   = items between two marks, such as commas
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import dropwhile, takewhile

from service.core.line_item import Items, is_number, text_of
from service.core.line_text import as_read
from service.core.text import singular
from service.core.vocabulary import ANY_AMOUNT, Token, Vocabulary

# "1. The sponge", "b) icing", "12) 4 apples", "2. 1/2 cup sugar", "a. 2 onions"
_PLACE = re.compile(
    r"(?:\(?\d{1,2}[.)]|\(?[a-z]\)|[a-z]\.(?=\s+\d)|\(?(?:i{1,3}|iv|vi{0,3}|ix)[.)])\s+(?=[^\W_])"
)
_OPENING, _CLOSING = frozenset("([{"), frozenset(")]}")
_STOPS = frozenset(".!?")


def read_tokens(text: str, vocabulary: Vocabulary) -> list[Token]:
    """The tokens of the first sentence of a line that says something."""
    folded = as_read(text)
    tokens = _without_place(folded, vocabulary)
    tokens = _portions(tokens, vocabulary) if "serving" in folded or "portions" in folded else tokens
    tokens = _named_free(tokens, vocabulary) if not NONE.isdisjoint([token.text for token in tokens]) else tokens
    tokens = _set_off(_likened(tokens, vocabulary)) if "size" in folded else tokens
    tokens = _graded(_can_sized(tokens)) if any(token.value.endswith(_TRADE) for token in tokens) else tokens
    tokens = _trussed(tokens) if "vine" in folded or "truss" in folded else tokens
    return tokens if _STOPS.isdisjoint(folded) else _first_sentence(tokens)


# What is counted of a food as often as of a dish, what says which food, and what an amount is made of.
_PORTIONS = frozenset({"portions", "serving", "servings"})
_OF_A_FOOD = frozenset({"word", "state", "preparation"})
_OF_A_RANGE = frozenset({"-", "to", "/"})


def _portions(tokens: list[Token], vocabulary: Vocabulary) -> list[Token]:
    """The tokens with portions of a food as its measure: "3 servings broccoli", but not "4 portions, 30 minutes"."""
    at = next((at for at, token in enumerate(tokens) if token.kind != "number" and token.text not in _OF_A_RANGE), 0)
    if not at or tokens[at].kind != "note start" or tokens[at].text not in _PORTIONS:
        return tokens
    behind = list(takewhile(lambda token: token.kind in _OF_A_FOOD or token.text == "of", tokens[at + 1 :]))
    if not any(token.key in vocabulary.nouns for token in behind):
        return tokens
    measure = Token(tokens[at].text, "measure", "serving", several=tokens[at].text != "serving")
    return [*tokens[:at], measure, *tokens[at + 1 :]]


# How none is said of what a food holds ("0 g sugar", "no gluten"), and the units of such a zero.
NONE = frozenset({"0", "0.0", "0%", "0.0%", "zero", "no"})
_UNITS, _LONGEST_HELD = frozenset({"g", "mg"}), 2
# What stands before a "no" that denies what follows it: "with no sugar".
BEFORE_NO = frozenset({"with", "but", "and"})


def _named_free(tokens: list[Token], vocabulary: Vocabulary) -> list[Token]:
    """The tokens with what a food holds none of as its name has it: "0 sugar jam", "flour 0 gluten", "no fat milk".

    What no food beside it is said to be free of stays as it is, "0 g salt"; behind a mark it is a remark: ", 0 g carb".
    """
    heard: list[Token] = []
    at = 0
    while at < len(tokens):
        start, end = _held_none(tokens, at, vocabulary)
        if start == end:
            heard.append(tokens[at])
            at += 1
            continue
        said = " ".join(token.text for token in tokens[start:end])
        if _is_food_beside(tokens, at, end, vocabulary):
            one = end == start + 1  # no "fat free" in "trans fat free"
            heard += vocabulary.lex(f"{said} free") if one else [*tokens[start:end], *vocabulary.lex("free")]
        elif at and tokens[at].text != "no":
            heard.append(Token(f"{tokens[at].text} {said}", "remark"))
        else:
            heard += tokens[at:end]
        at = end
    return heard


def _held_none(tokens: Sequence[Token], at: int, vocabulary: Vocabulary) -> tuple[int, int]:
    """From where to where tokens behind a zero name what a food may be free of; an empty stretch where none do."""
    if tokens[at].text not in NONE or (tokens[at].text == "no" and at and _parts_off(tokens[at - 1])):
        return at, at
    start = at + 1
    if tokens[at].text != "no" and start < len(tokens) and tokens[start].value in _UNITS:
        start += 1 + (start + 1 < len(tokens) and tokens[start + 1].text == "of")
    for end in range(min(start + _LONGEST_HELD, len(tokens)), start, -1):
        if " ".join(singular(token.text) for token in tokens[start:end]) in vocabulary.titles.free_of:
            return (at, at) if _is_named_so(tokens, at, end, vocabulary) else (start, end)
    return at, at


def _parts_off(token: Token) -> bool:
    return token.kind == "mark" or token.text in BEFORE_NO


def _is_named_so(tokens: Sequence[Token], at: int, end: int, vocabulary: Vocabulary) -> bool:
    """Whether a name has a zero with all that stands behind it: "zero alcohol beer"."""
    behind = [token.key for token in takewhile(_is_of_food, tokens[end : end + _MOST_NAMED])]
    words = frozenset((tokens[at].text, tokens[end - 1].key, *behind))
    names = (vocabulary.find(word, words - {word}, ANY_AMOUNT) for word in behind)
    return any(name is not None and name.key >= words for name in names)


def _is_food_beside(tokens: Sequence[Token], at: int, end: int, vocabulary: Vocabulary) -> bool:
    """Whether a food stands right beside what it holds none of; before a "no" none does: "no sugar"."""
    if at and tokens[at - 1].key in vocabulary.heads and tokens[at].text != "no":
        return True
    return any(token.key in vocabulary.heads for token in takewhile(_is_of_food, tokens[end : end + _MOST_NAMED]))


def _is_of_food(token: Token) -> bool:
    return token.kind in _OF_A_FOOD


_MOST_NAMED = 4
# What a piece is compared with, and of what kind of piece that is said; of pieces that are counted it is only a size.
_LIKENESS = frozenset({"the size of", "size of", "about the size"})
_LUMPS = frozenset({"piece", "lump", "knob", "ball", "chunk"})
_CLOSED = Token(")", "mark", ")")


def _likened(tokens: list[Token], vocabulary: Vocabulary) -> list[Token]:
    """The tokens with a comparison as the measure that it is: "butter the size of an egg"."""
    at = next((at for at, token in enumerate(tokens) if at and token.text in _LIKENESS), 0)
    if not at:
        return tokens
    start = at + (at + 1 < len(tokens) and tokens[at + 1].text == "of")  # "about the size" ends before it
    end = start + 2 + (start + 1 < len(tokens) and tokens[start + 1].text in ("a", "an"))
    if end > len(tokens):
        return tokens
    sizes = (vocabulary.lex(f"{tokens[end - 1].text} sized {piece}") for piece in ("knob", "piece"))
    size = next((found[0] for found in sizes if len(found) == 1 and found[0].kind == "measure"), None)
    food = tokens[: at - (tokens[at - 1].text in (",", "("))]
    behind = tokens[end + (tokens[end : end + 1] == [_CLOSED]) :]
    lump = next((place for place, token in enumerate(food) if token.value in _LUMPS), None)
    if size is None or not food:
        return tokens
    if lump is not None:
        return [*food[:lump], size, *food[lump + 1 :], *behind]
    if counted_so := _counted_so(food, size):
        return [*counted_so, *behind]
    one = food[-1].kind == "word" and food[-1].text == food[-1].key  # no "potatoes, size of an egg"
    counted = any(token.kind in ("measure", "number") for token in food)
    return [Token("1", "number", "1"), size, *food, *behind] if one and not counted else tokens


_NUMBERS = frozenset({"number", "vague number", "approximate"})


def _counted_so(food: Sequence[Token], size: Token) -> list[Token]:
    """A counted food with the size of each as its measure: "6 small potatoes, the size of an egg"; empty for none.

    Only of what a lump of that size weighs: what a lemon is compared with is no knob.
    """
    at = next((at for at, token in enumerate(food) if token.kind not in _NUMBERS and token.text not in _OF_A_RANGE), 0)
    if not at or not size.value.endswith("knob") or any(token.kind == "measure" for token in food):
        return []
    return [*food[:at], size, *(token for token in food[at:] if token.kind != "size")]


def _set_off(tokens: list[Token]) -> list[Token]:
    """The tokens with a comma before a lump told by its size at the end: "tamarind lemon size ball".

    Of several that nobody counts the size says no amount: "potatoes, egg sized".
    """
    last = tokens[-1] if len(tokens) > 1 else None
    if last is None or last.kind != "measure" or _SIZED.isdisjoint(last.text.split()):
        return tokens
    named = tokens[-2] if tokens[-2].kind != "mark" else tokens[-3:][0]
    several = named.kind == "word" and named.text != named.key and last.text.endswith(("size", "sized"))
    if several and not any(token.kind in COUNTING for token in tokens):
        return [*tokens[:-1], Token(last.text, "remark")]
    return [*tokens[:-1], Token(",", "mark"), last] if tokens[-2].kind == "word" else tokens


_SIZED = frozenset({"size", "sized"})


# Trade sizes of cans that grades of eggs, potatoes and fruit are called by too, and what says that there is a can.
_TRADE = " can"
_GRADES = frozenset({"no. 1 can", "no. 2 can", "no. 3 can"})
_CANNED = frozenset({"can", "cans", "tin", "tins", "canned", "tinned"})


def _can_sized(tokens: list[Token]) -> list[Token]:
    """The tokens with the trade size of a can right before it: "1 can tomatoes (No. 303)"."""
    size = next(at for at, token in enumerate(tokens) if token.value.endswith(_TRADE))
    can = next((at for at, token in enumerate(tokens[:size]) if token.value == "can"), None)
    if can is None:
        return tokens
    inside = tokens[size - 1].text == "(" and tokens[size + 1 : size + 2] == [_CLOSED]
    behind = [*tokens[can : size - inside], *tokens[size + 1 + inside :]]
    return [*tokens[:can], tokens[size], *behind]


def _graded(tokens: list[Token]) -> list[Token]:
    """The tokens with grades as words that count nothing: "2 No. 1 eggs", where the line says nothing of cans."""
    if any(token.value == "can" or not _CANNED.isdisjoint(token.text.split()) for token in tokens):
        return tokens
    return [Token(token.text, "filler") if token.value in _GRADES else token for token in tokens]


_TRUSSES = frozenset({"vine", "vines", "truss", "trusses"})
_ONE = frozenset({"1", "a", "one"})


def _trussed(tokens: list[Token]) -> list[Token]:
    """The tokens with trusses of tomatoes as their measure: "2 trusses cherry tomatoes", but not "4 vine tomatoes"."""
    if not any(token.key == "tomato" for token in tokens):
        return tokens
    return [
        Token(token.text, "measure", "truss", several=token.text.endswith("s") and token.text != "truss")
        if at and token.text in _TRUSSES and _is_truss(tokens, at) else token
        for at, token in enumerate(tokens)
    ]  # fmt: skip


def _is_truss(tokens: Sequence[Token], at: int) -> bool:
    """Whether a word behind a number counts trusses: in the plural, with nothing behind it, or one with fruits."""
    before, behind = tokens[at - 1], tokens[at + 1 : at + 1 + _MOST_NAMED]
    if before.kind not in COUNTING and before.text not in _ONE:
        return False
    if tokens[at].text in ("vines", "trusses") or not behind or behind[0].kind == "mark":
        return True
    fruits = next((token for token in behind if token.key == "tomato"), None)
    return before.text in _ONE and fruits is not None and fruits.text != fruits.key


def _without_place(folded: str, vocabulary: Vocabulary) -> list[Token]:
    """The tokens behind a place in a list, "2) icing"; before a measure or a size it is an amount: "1. cup flour"."""
    found = _PLACE.match(folded)
    behind = vocabulary.lex(folded[found.end() :]) if found else []
    tokens = behind if behind and behind[0].kind not in ("measure", "size") else vocabulary.lex(folded)
    if tokens and tokens[0].kind == "note start" and _COMPOUND.match(folded):
        return [Token(f"{tokens[0].text}-", "filler"), *tokens[1:]]
    return tokens


# "stir-in sauce", "bake-at-home rolls": a verb that is part of a word begins no step.
_COMPOUND = re.compile(r"[a-z]+-[a-z]")


# A sentence of so few words ends no line that goes on to count.
_SHORT = 2
COUNTING = frozenset({"number", "vague number"})


def _first_sentence(tokens: list[Token]) -> list[Token]:
    """The tokens up to the end of the first sentence that says something; dots of abbreviations fall away."""
    kept: list[Token] = []
    depth = 0
    for at, token in enumerate(tokens):
        if token.kind == "mark" and token.text in _STOPS:
            before = tokens[at - 1] if at else None
            behind = tokens[at + 1] if at + 1 < len(tokens) else None
            if token.text == "." and not _ends_words(before, tokens[at + 1 : at + 1 + _SAID_NEXT]):
                continue
            if token.text == "." and behind is not None and behind.text == ",":
                continue  # "red wine vin., 1 tsp oregano"
            if at <= _SHORT and behind is not None and behind.kind in COUNTING:
                kept.append(Token(",", "mark"))  # "Salt. Few spring onions" is a list
                continue
            if _measures(tokens[at + 1 : at + 1 + _SAID_NEXT], kept[-_SAID_BEFORE:]):
                kept.append(FURTHER)
                continue
            if depth == 0 and _is_amount(tokens[at + 1 : at + 1 + _SAID_NEXT]):
                kept.append(Token(",", "mark"))
                continue
            said = any(one.kind == "word" for one in kept)
            if token.text == "?" and depth == 0 and said:
                kept.append(token)  # a question is no ingredient
            if depth == 0 and said and at + 1 < len(tokens):
                break
            continue
        if token.kind == "mark":
            depth += (token.text in _OPENING) - (token.text in _CLOSING)
        kept.append(token)
    return kept


# Parts what may be another food, or the same again.
FURTHER = Token(",", "mark", "further")
_INSTEAD = frozenset({"instead", "can be used", "may be used", "could be used"})


def _measures(behind: Sequence[Token], before: Sequence[Token]) -> bool:
    """Whether a sentence begins with what is measured: "1 onion, chopped. 50 g feta", not "2 medium will do".

    Nor where it is the food before it again, "1 large onion. 200 g onion": nobody says whether that is more of it.
    """
    said = [token for token in behind if token.text != "." and token.kind != "approximate"]
    said = list(dropwhile(_goes_on_adding, said))[:3]
    instead = any(token.value == "advice" or token.text in _INSTEAD for token in behind)
    if instead or [token.kind for token in said] not in (["number", "measure", "word"], ["number", "size", "word"]):
        return False
    if said[1].kind == "size" and said[2].text == said[2].key:  # "2 large eggs", not "2 large will do"
        return False
    return all(token.key != said[-1].key for token in before)


def _ends_words(before: Token | None, behind: Sequence[Token]) -> bool:
    """Whether a dot stands behind a word or a bracket, and not behind a number or an abbreviation.

    Behind a bracket it may be of an abbreviation too where something is counted next: "1 (14 oz). can".
    """
    if before is None or before.text == ")":
        named = bool(behind) and behind[0].kind in _OPENS_SENTENCE
        return before is not None and named and all(token.kind not in COUNTING for token in behind)
    done = before.kind == "preparation" and before.text.endswith("ed")  # no "chop."
    return done or (before.kind == "word" and len(before.text) > 2)


def _goes_on_adding(token: Token) -> bool:
    """ "Plus 50 g feta", "Then stir in 50 g feta", "Also needs 100 ml cream"."""
    return token.text in _MORE or token.kind == "note start"


_MORE = frozenset({"plus", "also", "then", "and", "&", "+", "in", "i", "add", "adds", "needs", "need"})


def _is_amount(said: Sequence[Token]) -> bool:
    """Whether the rest of a line is an amount of what was named: "2 carrots, peeled. About 200 g"."""
    kinds = [token.kind for token in said if token.text != "."]
    return kinds in (["number", "measure"], ["approximate", "number", "measure"])


_OPENS_SENTENCE = frozenset({"word", "filler", "remark", "note start", "preposition"})
_SAID_NEXT, _SAID_BEFORE = 8, 64
# Words behind "I use" that say which food was taken, and what joins them: "milk (I use 2%)", not "(I use a blender)".
_MOST_CHOSEN = 4


def chosen(tokens: Sequence[Token]) -> list[Token]:
    """The tokens without "I used" behind a mark, where what follows is the kind of food: "oil (I use olive)"."""
    if "chosen" not in [token.value for token in tokens]:
        return list(tokens)
    found: list[Token] = []
    for at, token in enumerate(tokens):
        if not (at and token.value == "chosen" and _chooses(tokens, at)):
            found.append(token)
        elif found[-1].text == ";":  # "chicken breasts; I use thighs" names one food
            found[-1] = Token("or", "joiner", "or")
    return found


def _chooses(tokens: Sequence[Token], at: int) -> bool:
    """Whether few plain words stand between a remark behind a mark and the next mark."""
    behind = tokens[at + 1 : at + 3 + _MOST_CHOSEN]
    said = list(takewhile(lambda token: token.kind != "mark" or token.text == "%", behind))
    plain = all(
        token.kind in _OF_A_FOOD or token.text in _ADJECTIVES_TOO or _is_share(said, place)
        for place, token in enumerate(said)
    )
    return tokens[at - 1].kind == "mark" and 0 < len(said) <= _MOST_CHOSEN and plain


def _is_share(said: Sequence[Token], at: int) -> bool:
    """Whether a number or its sign is part of a percentage: "2%"."""
    return "%" in "".join(token.text for token in said[at : at + 2])


def before_bracket(tokens: Sequence[Token]) -> Sequence[Token]:
    """The tokens before the first bracket, all where the line begins with one."""
    for at, token in enumerate(tokens):
        if token.text in _OPENING:
            return tokens[:at] if at else tokens
    return tokens


def bracketed(tokens: Sequence[Token]) -> list[object]:
    """The tokens with each bracket as one tuple; brackets inside brackets are opened, unmatched ones ignored."""
    items: list[object] = []
    inside: list[Token] | None = None
    depth = 0
    for at, token in enumerate(tokens):
        if token.kind == "mark" and token.text in _OPENING:
            depth += 1
            inside = [] if inside is None else inside
        elif token.kind == "mark" and token.text in _CLOSING:
            depth = max(depth - 1, 0)
            if depth == 0 and inside is not None:
                if not _repeats_measure(inside, items):
                    items.append(tuple(inside))
                inside = None
        else:
            word = token
            if token.kind == "note start":
                word = _as_word(token, tokens[at - 1 : at + 2] if at else (), opens=inside == [])
            (items if inside is None else inside).append(word)
    if inside:
        items.append(tuple(inside))
    return items


def _repeats_measure(inside: Sequence[Token], items: Sequence[object]) -> bool:
    """ "4 tablespoons (tbsp.) of oil"."""
    before = items[-1] if items and len(inside) == 1 else None
    return isinstance(before, Token) and before.kind == "measure" and inside[0].value == before.value


_AFTER_A_STEP = frozenset({"filler", "preposition", "joiner"})


_ADJECTIVES_TOO = frozenset({"skim"})  # "1 c milk (skim)"


def _as_word(token: Token, around: Sequence[Token], *, opens: bool) -> Token:
    """Words that open a note at the start of a line are plain words inside it: "dressing mix", "roast".

    A step that opens a bracket or a clause makes a remark of it: "6 egg yolks (freeze the whites)", "2 yams, boil in
    their skins"; `around` are the token before and the one behind.
    """
    if token.value == "need":
        return Token(token.text, "remark", "sentence")  # "1 tsp salt (I always add more)"
    if opens and token.value == "verb" and token.text not in _ADJECTIVES_TOO:
        return Token(token.text, "remark")
    if len(around) == 3 and around[0].kind == "mark" and _goes_on(around[2]):
        return Token(token.text, "remark")
    return Token(token.text, "word", singular(token.text))


def _goes_on(token: Token) -> bool:
    """Whether a word behind a verb shows that it is one: "boil the", "soak in", "rinse well"."""
    return token.kind in _AFTER_A_STEP or token.text in _PARTICLES


_PARTICLES = frozenset({"out", "off", "up", "down", "well", "until", "till", "it", "them"})


def split(items: Items, marks: str = ",;:-") -> list[Items]:
    """The pieces between the marks that part clauses, empty ones left out."""
    pieces: list[Items] = []
    start = 0
    for at, item in enumerate(items):
        if isinstance(item, Token) and item.kind == "mark" and item.text in marks and _parts(item, items, at):
            pieces.append(items[start:at])
            start = at + 1
    pieces.append(items[start:])
    return [piece for piece in pieces if piece]


def _parts(mark: Token, items: Items, at: int) -> bool:
    """Whether a mark parts clauses where it stands: a comma and its like, a dash that is no range."""
    if mark.text in ",;:":
        return True
    if mark.text != "-" or not 0 < at < len(items) - 1 or is_number(items[at - 1]):
        return False
    hyphen = text_of(items[at - 1]) in _OF_A_RANGE and is_number(items[at + 1])  # "6-to-8-oz"
    return not hyphen and not _is_range(items, at)


def _is_range(items: Items, at: int) -> bool:
    """Whether a dash stands between two amounts in one measure, or in it and the next larger: "30 g - 70 g"."""
    before, number, behind = items[at - 1], items[at + 1], items[at + 2] if at + 2 < len(items) else None
    if not (isinstance(before, Token) and isinstance(behind, Token) and is_number(number)):
        return False
    return before.kind == behind.kind == "measure" and in_one_range(before, behind)


def in_one_range(first: Token, second: Token) -> bool:
    """Whether a range may begin in the first measure and end in the second: "500 g - 1 kg"."""
    return first.value == second.value or (first.value, second.value) in _LARGER


_LARGER = frozenset({("g", "kg"), ("oz", "lb"), ("tsp", "tbsp"), ("ml", "l"), ("tbsp", "cup")})
