"""Parts of a dish that a cook makes of the lines below, and what a plate is filled with: bare names.

    component = { word } what-cooks-make                  "Tahini sauce", "Guacamole", "Fried shallots"
              | { dish } what-cooks-make-for-dishes        "Momo wrappers", "Rendang paste"
              | plate-food ( "and" | "&" ) plate-food      "Rice & vegetables"
              | name told, where nobody knows the name     "Ta'leya = the crispy onions"
    told      = ( "(" | "-" | "=" ) ( "the" | "this" | verb ) words | "," ( "in" | "on" ) "the" words | "-"

Such a line begins with a capital and says nothing else but what is `told` of what is made: a cook who writes "tahini
sauce", "Guacamole, to serve" or "2 tbsp tahini sauce" names a food. So does one who names what is mostly bought: "Plum
sauce", "Salsa". As it may be in the dish all the same, every total says that nothing of it is counted, unless it is
set off as a heading is: see bare_line.
"""

from __future__ import annotations

from collections.abc import Sequence

from service.core.line_words import plain, spelled
from service.core.noun_phrase import ADJECTIVES, HEATED, Lexicon
from service.core.text import STAND_IN
from service.core.title import dish_kind, is_at_hand
from service.core.vocabulary import Token, key_word

_LONGEST = 5  # words of such a name
_SAYING = frozenset({"word", "note start", "state", "joiner", "preparation"})
# States that cooks bring about; others are of what is bought: "low sodium", "dried".
_WORKED = HEATED | {"fried", "grilled", "pickled", "fresh", "raw"}


def is_component(text: str, tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether a line without an amount is the bare name of a part that is made, or of what a plate is filled with."""
    begins = next(filter(str.isalpha, text), "")
    if not tokens or not begins.isupper():  # of "'S" nothing is left
        return False
    if tokens[0].text == "the" and text.isupper() and all(token.kind in _SAYING for token in tokens[1:]):
        return True  # "THE RICE"
    mark = next((at for at, token in enumerate(tokens[: _LONGEST + 1]) if at and token.text in _BEHIND), len(tokens))
    told, tokens = tokens[mark:], tokens[:mark]
    if told and not _tells_of_part(told, lexicon):
        return False
    if told and _is_unknown(tokens, lexicon):
        return True
    return len(tokens) <= _LONGEST and _names_made(tokens, lexicon)


def _names_made(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether words alone name what is made, or what a plate is filled with."""
    if is_at_hand(tokens, lexicon):
        return False
    if len(tokens) > 1 and _is_listed(tokens, lexicon):
        return True
    drizzled = tokens[-1].kind == "measure" and plain(tokens[-1:]) in lexicon.vocabulary.titles.components
    # "drizzle" is a measure behind a number: "Crema drizzle"
    if not all(map(_may_name, tokens[:-1] if drizzled and len(tokens) > 1 else tokens)):
        return False
    if any(token.kind == "joiner" for token in tokens):
        return _fills_plate(tokens, lexicon)
    return dish_kind(spelled(tokens), lexicon) != "bought" and _is_made(tokens, lexicon)


_BEHIND, _OF_PART = frozenset({"(", "-", "=", ","}), frozenset({"the", "this", "this is"})
_AT = frozenset({"in", "on"})


def _tells_of_part(told: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether what stands behind a name tells of what is made: "(the crispy onions)", "- do it 3 days ahead"."""
    words = [token for token in told if token.kind != "mark"]
    if not words:
        return told[0].text == "-"
    if any(lexicon.measures.kind(token) for token in words) or (told[0].text == "," and words[0].text not in _AT):
        return False
    placed = words[0].text in _AT and len(words) > 1 and words[1].text == "the"
    return placed or words[0].text in _OF_PART or (words[0].kind == "note start" and words[0].value == "always")


def _is_unknown(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether nobody knows a word of a name: "Ta'leya" of "Ta'leya = the crispy onions"."""
    words = [token for token in tokens if token.kind != "measure"]  # "El-koshari"
    return bool(words) and all(
        token.kind == "word" and (token.distance or not lexicon.vocabulary.knows(token.key)) for token in words
    )


def _is_listed(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether the very words are what cooks make, though they join foods, or hold a measure: "Slice base".

    So is what ends as bought things do: "Cottage pie filling".
    """
    kinds = {token.kind for token in tokens if token.text != "&"}
    if not kinds.isdisjoint({"number", "mark"}) or any(token.value == "or" for token in tokens):
        return False
    form, titles = plain(tokens), lexicon.vocabulary.titles
    if form in titles.components:
        return titles.dishes.get(form) != "bought"
    return not kinds.isdisjoint({"measure", "filler"}) and form in lexicon.vocabulary.headings


def _may_name(token: Token) -> bool:
    verb = token.kind == "filler" and token.text.endswith("-")  # of "stir-fry sauce"
    if (token.kind not in _SAYING and not verb) or token.text.startswith(STAND_IN) or token.value == "or":
        return False
    return token.kind != "state" or token.value in _WORKED or token.text == "dry"  # "Dry garlic chutney"


def _fills_plate(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Rice & vegetables", "Meat and potatoes": two foods that say no kind, one of them cooked for the plate."""
    if len(tokens) != _PAIR or tokens[1].value != "and":
        return False
    titles = lexicon.vocabulary.titles
    pair = {plain([tokens[0]]), plain([tokens[2]])}
    return len(pair) > 1 and not pair.isdisjoint(titles.plates) and pair <= titles.plates | titles.plate_sides


_PAIR = 3  # tokens of "rice and vegetables"


def _is_made(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether the words are what cooks make, or end as that does, all before it is known and no entry has the name."""
    words = [word for word, _ in spelled(tokens)]
    starts = [at for at in range(len(words)) if _ends_made(words[:at], words[at:], lexicon)]
    if not starts:
        return False
    keys = [word for token in tokens if (word := key_word(token))]
    name = lexicon.ending(keys)
    if name is not None and plain(tokens) in lexicon.vocabulary.titles.components:
        return name.kind != "name" or len(words) > 1 or name.form != words[0]  # "Parippu", "Peanut sauce", but "Salsa"
    known = any(_are_known(words[:at], lexicon) for at in starts)
    if name is None:
        return known
    if name.food_id is not None:
        if name.kind == "default" and name.key <= frozenset(words[starts[0] :]):  # "Peanut dressing"
            return starts[0] > 0 and known
        return len(name.key) < len(words) and any(_is_dish(words[:at], lexicon) for at in starts)
    named = name.form.split()
    return known or all(word in named or _is_known(word, lexicon) for word in words[: starts[0]])


def _are_known(words: Sequence[str], lexicon: Lexicon) -> bool:
    """Whether words before a part say what it is of, for or like: "Som tam" of "Som tam dressing"."""
    if _is_component(words, lexicon) or _is_dish(words, lexicon):
        return True
    return all(_is_known(word, lexicon) for word in words)


def _ends_made(before: Sequence[str], end: Sequence[str], lexicon: Lexicon) -> bool:
    titles, form = lexicon.vocabulary.titles, " ".join(end)
    if form in titles.components:
        return True
    return form in titles.dish_components and any(_is_dish(before[at:], lexicon) for at in range(len(before)))


def _is_component(words: Sequence[str], lexicon: Lexicon) -> bool:
    """ "Mole verde" of "Mole verde sauce"."""
    form = " ".join(words)
    return form in lexicon.vocabulary.titles.components or form in lexicon.vocabulary.headings


def _is_dish(words: Sequence[str], lexicon: Lexicon) -> bool:
    return lexicon.vocabulary.titles.dishes.get(" ".join(words)) == "dish"


def _is_known(word: str, lexicon: Lexicon) -> bool:
    """Whether a word may say what a part is made of, for or like; others may be a maker's name: "Heinz sauce"."""
    vocabulary, titles = lexicon.vocabulary, lexicon.vocabulary.titles
    if word in vocabulary.nouns or word in titles.dishes or word in ADJECTIVES:
        return True
    return word in titles.origins or word in titles.praises
