"""Lines that are no food: the order in which the questions of `title` to `heading` are asked.

    line = label | figures | equipment | diet | note | title | heading | remark | food
    food = [ heading ( ":" | "-" ) ] words
    remark = one word of cutting, size or taste alone

A line that states an amount is food unless a label, a note or a title says otherwise. Behind the colon of a heading
a food may stand all the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import takewhile

from service.core.amount import LENGTHS, WEIGHABLE
from service.core.figure_line import (
    bakes,
    is_ordinal_stage,
    is_priced,
    is_yield,
    measures_no_food,
    states_claims,
    states_heat,
    states_nutrients,
    states_whole,
    states_worth,
)
from service.core.heading import (
    claims,
    ends_as_title,
    is_about_some,
    is_for_some,
    is_framed,
    is_heading,
    is_lettered,
    is_one_of,
    is_per,
    is_purpose,
    is_ranked,
    is_the,
    is_told_apart,
    names_dish,
    serves,
    serves_at_end,
)
from service.core.label_line import is_equipment, is_label, is_version, suits
from service.core.line_items import before_bracket
from service.core.line_words import before_mark, before_remark, first_outside, is_counted, is_name, plain
from service.core.note import (
    CONDITIONS,
    IS,
    NEEDS,
    advises,
    is_sentence,
    is_sourced,
    judges,
    opens_note,
    opens_remark,
    says_no_food,
    speaks,
    stands_where,
    takes_place,
    takes_time,
    tells_what_it_gives,
)
from service.core.noun_phrase import NAMING, Lexicon
from service.core.portion import speaks_of_portion
from service.core.telling import (
    FIGURES,
    JUDGED,
    LABEL,
    NUMBERED,
    NUTRIENT,
    OPENING,
    PARTED,
    STEP,
    SUITS,
    TIMED,
    TITLED,
    open_questions,
)
from service.core.text import singular
from service.core.title import counted_title
from service.core.vocabulary import Token

_ALONE = frozenset({"preparation", "remark", "optional", "to taste", "approximate", "size"})
_LONGEST_LEAD = 10
HEADING = "a heading"
LABEL_LINE = "a label"
NOTE = "a note"
GIVES = "what an amount comes to, of which nothing is counted"
EQUIPMENT = "kitchen equipment"
# A line that a dish is named by, and no amount: the title of what follows, or a dish that is eaten.
TITLE = "the title of a dish"
# A line that names what a cook makes of other lines, and no amount; it may be bought as well.
MADE = "a part of a dish that is made here"


def not_food(tokens: Sequence[Token], lexicon: Lexicon) -> str:
    """Why the line is a label, a heading or a note, "" where it may be food; it has one token or more."""
    words = [token for token in before_bracket(tokens) if token.kind != "mark"]
    words = words or [next((token for token in tokens if token.kind != "mark"), tokens[0])]
    first = words[0]
    asked = open_questions(tokens, lexicon)
    if reason := _opens_otherwise(first, tokens, words, asked, lexicon):
        return reason
    if first.kind == "number":
        if is_yield(tokens, lexicon) or is_ordinal_stage(words, lexicon):
            return HEADING
        if tells_what_it_gives(tokens):
            return GIVES
        return TITLE if asked & (NUMBERED | OPENING) and counted_title(tokens, lexicon) else ""
    if _is_titled(first, tokens, words, lexicon):
        return HEADING
    counted = is_counted(words)
    named = is_name(before_mark(tokens), lexicon)
    if not named and ((not counted and says_no_food(tokens, words, lexicon)) or advises(tokens, lexicon)):
        return NOTE
    weighed = any(lexicon.measures.kind(token) in WEIGHABLE for token in tokens)
    if (tokens[-1].text == ":" and not weighed) or is_purpose(tokens, words, lexicon) or is_the(tokens, lexicon):
        return HEADING
    if any(token.kind == "optional" for token in tokens) and lexicon.names_food(words):
        return ""
    own = is_counted(before_remark(words)) if serves(words) else counted
    amounts = own or ((weighed or _bracket_counts(tokens)) and not _is_for_some(tokens))
    if ends_as_title(tokens, words, lexicon):
        return HEADING
    if not amounts and names_dish(tokens, words, lexicon):
        return TITLE
    if not counted and not named and _is_note(first, tokens, words, lexicon):
        return NOTE
    if is_heading(tokens, words, amounts, lexicon):
        return HEADING
    return "a remark" if len(words) == 1 and first.kind in _ALONE else ""


def _is_note(first: Token, tokens: Sequence[Token], words: Sequence[Token], lexicon: Lexicon) -> bool:
    """A line without an amount that speaks rather than names a food."""
    if is_sentence(words, lexicon) or opens_remark(first) or speaks(words, lexicon):
        return True
    if stands_where(words, lexicon) or _speaks_aside(tokens):
        return True
    return _tells_recipe(words, lexicon) or _announces(tokens, lexicon)


def _speaks_aside(tokens: Sequence[Token]) -> bool:
    """ "(The mushrooms shrink a lot, so don't worry.)": a whole line in a bracket that bans or advises."""
    aside = tokens[0].text == "(" and tokens[-1].text == ")" and all(token.kind != "number" for token in tokens)
    return aside and any(token.kind == "note start" and token.value == "always" for token in tokens)


def _tells_recipe(words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Full recipe on the blog", "recipe from my aunt": nothing is named before the word."""
    place = next((at for at, token in enumerate(words) if token.text == "recipe"), -1)
    return place >= 0 and not lexicon.names_any(words[:place])


def _announces(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Important: weigh the flour": plain words before a colon that name no food, and behind it a note."""
    place = next((at for at, token in enumerate(tokens[:_LONGEST_LEAD]) if token.text == ":"), 0)
    lead, rest = tokens[:place], tokens[place + 1 :]
    if not lead or not rest:
        return False
    if lexicon.names_any(lead):  # "Spices: tie in a bag"
        group = len(lead) == 1 and singular(lead[0].text) in lexicon.vocabulary.titles.groups
        return group and not lexicon.names_any(rest) and all(token.kind != "number" for token in rest)
    if any(token.text == ":" for token in rest):
        return False  # one announcement a line, or a line of colons is read once for each
    return bool(not_food(rest, lexicon))


def _opens_otherwise(
    first: Token, tokens: Sequence[Token], words: Sequence[Token], asked: int, lexicon: Lexicon
) -> str:
    """What a line is by its first words or its figures, whether it states an amount or not; "" where they leave it."""
    if asked & LABEL and (is_label(tokens, lexicon) or is_priced(tokens, lexicon) or bakes(tokens, lexicon)):
        return LABEL_LINE
    if is_equipment(tokens, lexicon):
        return EQUIPMENT
    if asked & SUITS and (suits(tokens, lexicon) or speaks_of_portion(tokens, lexicon)):
        return NOTE
    if asked & (TITLED | PARTED) and _heads_list(tokens, asked, lexicon):
        return HEADING
    said = [token for token in tokens if token.kind != "mark"]
    if said and said[0].text in _LIST_HEADS and not lexicon.names_any(said):
        return HEADING  # "(Ingredients, 4 persons)"
    if len(words) > _LEAST_ADVISED and first.text in _SUGGESTING:
        return NOTE  # "You can swap the butter for 80 ml oil"
    may_note = asked & (JUDGED | STEP) or first.kind in ("note start", "optional")
    if may_note and (opens_note(first, tokens, words, lexicon) or is_sourced(words, lexicon) or judges(words)):
        return NOTE
    if asked & TIMED and (takes_time(words, lexicon) or takes_place(words, lexicon)):
        return NOTE
    if not asked & (FIGURES | NUTRIENT):
        return ""
    figures = states_claims(tokens, lexicon) or measures_no_food(tokens, words, lexicon)
    figures = figures or states_heat(tokens, lexicon) or states_whole(tokens, lexicon)
    return LABEL_LINE if figures or states_nutrients(tokens, lexicon) or states_worth(tokens, lexicon) else ""


def _heads_list(tokens: Sequence[Token], asked: int, lexicon: Lexicon) -> bool:
    """Whether a line says by its first or last words what a list makes, what it is for, or which of several it is."""
    if asked & TITLED and (
        is_version(tokens, lexicon) or is_for_some(tokens, lexicon) or is_about_some(tokens, lexicon)
    ):
        return True
    if not asked & PARTED:
        return False
    return is_per(tokens, lexicon) or is_ranked(tokens, lexicon) or is_told_apart(tokens, lexicon)


def _is_titled(first: Token, tokens: Sequence[Token], words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Crack slaw", "Celeriac gratin - 9 g carbs per portion", "Locro criollo para 10": figures that count no food."""
    if first.kind == "measure" and lexicon.vocabulary.titles.dishes.get(plain(words)) == "dish":
        return True
    if is_lettered(tokens, lexicon) or is_framed(tokens):
        return True
    if len(words) == 1 and plain(words) in lexicon.vocabulary.titles.family:
        return True  # "- Grandma"
    return claims(tokens, lexicon) or serves_at_end(tokens, words, lexicon)


def _is_for_some(tokens: Sequence[Token]) -> bool:
    """ "Marinade (for 1 kg of chicken)", "Broth (20 l pan)": a bracket tells of another food, or of a vessel."""
    inside = [token.text for token in tokens[len(before_bracket(tokens)) + 1 :] if token.kind != "mark"]
    large = inside[-1:] in (["pot"], ["pots"]) and not _LITRES.isdisjoint(inside)  # a small one is bought: yoghurt
    return bool(inside) and (large or inside[0].split()[0] in _USED_FOR or not _VESSELS.isdisjoint(inside[-1].split()))


_USED_FOR = frozenset({"for", "use", "using", "in"})
_LITRES = frozenset({"l", "litre", "liter", "litres", "liters", "qt", "quart", "quarts"})
_VESSELS = frozenset("pan pans dish dishes bowl casserole mould mold".split())  # a pot or tin may be what is bought


def _bracket_counts(tokens: Sequence[Token]) -> bool:
    """ "Beef bones (3x)": a bracket that begins with a number states an amount."""
    inside = tokens[len(before_bracket(tokens)) + 1 :]
    return bool(inside) and inside[0].kind == "number"


def without_need(tokens: Sequence[Token]) -> Sequence[Token]:
    """What stands behind "you'll need", "don't forget" or "needs"."""
    if len(tokens) < 2 or (tokens[0].value != "need" and tokens[0].text not in NEEDS):
        return tokens
    return tokens[2:] if tokens[1].text == ":" else tokens[1:]


# First words of verbs that do not use what they weigh, and of remarks that say what would do as well.
_NOT_USING = frozenset(
    "increase decrease reduce discard remove skip leave omit reserve save keep or like such without not".split()
)
_BEFORE_WEIGHT = frozenset({",", "(", "-", ":"})
_OF_FOOD = frozenset({"word", "state", "preparation", "size", "filler"})
_LONGEST_FOOD = 5


def weighed_food(tokens: Sequence[Token], lexicon: Lexicon) -> Sequence[Token]:
    """A food with its weight behind a verb or remark that hides it: "whip cream 200 ml", "In season tomatoes, 500 g".

    Nothing where the line says more. A verb is left out, for what a food is goes behind it: "oil 50 ml for frying".
    """
    if timed := _behind_time(tokens, lexicon):
        return timed
    first, end = tokens[0], len(tokens) - (tokens[-1].text == ")")
    opens = first.kind == "remark" or (first.kind == "note start" and first.value in ("", "bare", "verb"))
    if not opens or end < _LEAST_WEIGHED or first.text == "for the" or first.text.split()[0] in _NOT_USING:
        return ()
    if tokens[end - 2].kind != "number" or lexicon.measures.kind(tokens[end - 1]) not in WEIGHABLE:
        return ()
    food = tokens[1 : end - 2 - (tokens[end - 3].text in _BEFORE_WEIGHT)]
    plain_food = len(food) <= _LONGEST_FOOD and all(token.kind in _OF_FOOD for token in food)
    if not plain_food or not lexicon.names_food(food):
        return ()
    if first.text.startswith(("for ", "to ")):
        return [*tokens[1:], first]
    named = Token(first.text, "word", singular(first.text))  # "skim milk 1 cup" is milk that was skimmed
    name = lexicon.ending([named.key, *(token.key for token in food)])
    return [named, *tokens[1:]] if name is not None and name.words == len(food) + 1 else tokens[1:]


def noted_food(tokens: Sequence[Token], lexicon: Lexicon) -> Sequence[Token]:
    """The food that a note weighs, with its amount: "my trick is 2 tsp of instant coffee"; mostly none.

    Not what another line weighs: "melt the 50 g butter", "put 2 tbsp of the flour in a bowl", "sub 1 cup honey".
    """
    told = {word for token in tokens for word in token.text.split()}
    titles = lexicon.vocabulary.titles
    yields = any(token.value == "yield" for token in tokens)
    hint = tokens[0].text in _HINTS
    if yields or tokens[0].text.startswith(_SUGGESTING) or told & (_NOT_USING | titles.nutrients | _TELLING_NO_USE):
        return ()
    for at in range(1, len(tokens) - 1):
        start = _behind_amount(tokens, at, lexicon)
        food = list(takewhile(_may_name_food, tokens[start : start + _LONGEST_FOOD])) if start else []
        end = next((size for size in range(len(food), 0, -1) if lexicon.names_food(food[:size])), 0)
        if end and food[0].text not in _UNCOUNTED and (not hint or start + end == len(tokens)):
            return tokens[at : start + end]  # "NB 7 g salt", but "Tip: 1 tbsp vodka keeps it flaky"
    return ()


_LIST_HEADS = frozenset({"ingredients", "ingredient list", "ingredients list"})
_SUGGESTING = ("you can", "you could")
_LEAST_ADVISED = 2
_HINTS = frozenset({"bring", "tip", "tips", "hint", "hints", "nb", "n.b.", "note", "notes", "ps", "p.s."})
_TELLING_NO_USE = frozenset(
    "per don't not never than if replace replaced swap swapped sub substitute substituted instead =".split()
)
_SPOKEN_OF = frozenset({"the", "other", "that", "this", "remaining"})
_UNCOUNTED = frozenset({"the", "water"})


def _behind_amount(tokens: Sequence[Token], at: int, lexicon: Lexicon) -> int:
    """The place behind an amount that is not spoken of as another line's, 0 for none: "2 tsp of", "add 3"."""
    counts = tokens[at].kind == "number" or tokens[at].text in _ONE
    if not counts or tokens[at - 1].text in _SPOKEN_OF:
        return 0
    if lexicon.measures.kind(tokens[at + 1]) in _MEASURED and tokens[at + 1].value not in LENGTHS:
        return at + 2 + (at + 2 < len(tokens) and tokens[at + 2].text == "of")
    return at + 1 if tokens[at].kind == "number" and tokens[at - 1].text in _ADDING else 0


_MEASURED, _ONE, _ADDING = WEIGHABLE | {"piece"}, frozenset({"a", "an"}), frozenset({"add", "adding"})


def _may_name_food(token: Token) -> bool:
    return token.kind in _OF_FOOD and token.text not in IS


def finished_with(tokens: Sequence[Token], lexicon: Lexicon) -> Sequence[Token]:
    """The food that a dish is finished with, where a line says no more: "Garnish with chopped parsley"; mostly none.

    Not what another line names: "top with the remaining cheese".
    """
    leads = range(1, min(len(tokens), _LONGEST_SERVED + 1))
    behind = next((at for at in leads if plain(tokens[:at]) in lexicon.vocabulary.titles.served), 0)
    first, *_, last = plain(tokens[:behind]).split() or ("", "")
    food = tokens[behind:]
    if last not in _WITHIN or first in _BESIDE or food[0].text in _OF_OTHERS:
        return ()
    told = all(token.kind in _NAMED_OR_JOINED or token.text == "of" for token in food)
    return food if told and lexicon.names_food(food) else ()


_LONGEST_SERVED = 2
_WITHIN = frozenset({"with", "in"})
_BESIDE = frozenset({"serve", "served", "to"})  # what goes with a dish is none of it
_OF_OTHERS = _SPOKEN_OF | {"rest", "reserved", "half", "your", "leftover"}
_NAMED_OR_JOINED = _OF_FOOD | {"measure", "joiner"}


def _behind_time(tokens: Sequence[Token], lexicon: Lexicon) -> Sequence[Token]:
    """ "aged 30 days beef 500 g", "soaked for 12 hours, 200 g chickpeas": what was done so long, without the time."""
    place = next((at for at, token in enumerate(tokens[:_LEAST_WEIGHED]) if token.kind == "number"), 0)
    times = lexicon.vocabulary.titles.minutes | lexicon.vocabulary.titles.periods
    done = tokens[0].kind in ("state", "preparation", "word") and tokens[0].text.endswith("ed")
    if not place or not done or singular("".join(token.text for token in tokens[place + 1 : place + 2])) not in times:
        return ()
    rest = tokens[place + 2 :]
    rest = rest[1:] if rest and rest[0].text == "," else rest
    at = next((at for at, token in enumerate(rest) if lexicon.measures.kind(token) in WEIGHABLE), 0)
    if not at or rest[at - 1].kind != "number":
        return ()
    food = [*rest[: at - 1], *rest[at + 1 :]]
    plain_food = 0 < len(food) <= _LONGEST_FOOD and all(token.kind in _OF_FOOD for token in food)
    return [tokens[0], *rest] if plain_food and lexicon.names_food(food) else ()


_LEAST_WEIGHED = 4  # words of such a line: what hides the food, the food, a number, a measure


def behind_plus(tokens: Sequence[Token], lexicon: Lexicon) -> Sequence[Token]:
    """What stands behind a "plus" that opens a line of its own: "plus oil for frying", not "plus extra to dust"."""
    if not tokens or tokens[0].kind != "remark" or tokens[0].text.split()[0] != "plus":
        return tokens
    rest = tokens[1:]
    return rest if rest and lexicon.names_food(before_remark(before_mark(rest))) else tokens


def behind_heading(tokens: Sequence[Token], lexicon: Lexicon) -> Sequence[Token]:
    """What stands behind a heading on the food's own line: "Marinade: 1 cup buttermilk", "If using, 100 g prawns".

    The whole line where it begins with no heading, or no food stands behind it: "Topping: see below".
    """
    asked = bool(tokens) and tokens[0].text.split()[0] in CONDITIONS
    place = first_outside(tokens[: _LONGEST_LEAD + 1], (":", "-", ",") if asked else (":", "-"))
    if not 0 < place < len(tokens) - 1 or any(token.text == "each" for token in tokens[:place]):
        return tokens  # "Spices (1 tsp each): cumin, paprika"
    if tokens[0].value == "yield" and tokens[place].text == "-":
        return tokens  # "serves 2-3 with steamed rice"
    lead, rest = before_bracket(tokens[:place]), tokens[place + 1 :]
    lead = [token for token in lead if token.kind != "optional"] or lead  # "Extras (optional): 30 g feta"
    counted = rest[0].kind == "number" or (asked and is_counted(rest))
    if tokens[place].text in "-," and not counted:
        return tokens
    if counted and _opens_list(lead, tokens[place].text, rest, lexicon) and not not_food(rest, lexicon):
        return rest if lexicon.names_food(before_mark(rest)) else tokens
    if any(token.kind in ("number", "measure") for token in lead):
        return tokens
    if _says_when(lead, lexicon) and lexicon.names_food(before_mark(rest)) and not not_food(rest, lexicon):
        return rest
    served = plain(lead) in lexicon.vocabulary.titles.served  # "Garnish with: chives"
    if tokens[place].text == ":" and (served or all(token.text == "optional" for token in lead)):
        return rest if lexicon.names_food(before_mark(rest)) and not not_food(rest, lexicon) else tokens
    purpose = lead[0].text == "for the" and is_purpose([*lead, tokens[place]], lead, lexicon)
    if not (purpose or is_heading(lead, lead, False, lexicon)) or not_food(rest, lexicon):
        return tokens
    if not any(token.kind == "word" for token in rest):
        return tokens  # "Dough - 200 g"
    return rest if counted or lexicon.names_food(before_mark(rest)) else tokens


def _opens_list(lead: Sequence[Token], mark: str, rest: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether counted foods behind a mark belong to what stands before it; "sauce 1 - 2 cups" is a range."""
    numbered = is_one_of(lead, lexicon, foods=mark == ":") or _says_when(lead, lexicon)
    numbered = numbered or plain(lead) in lexicon.vocabulary.titles.equipment  # "Slow cooker: 500 g beans"
    return numbered or _is_stage(lead, lexicon) or _titles(lead, rest, lexicon)


_WHEN = CONDITIONS | {"to", "at", "don't", "do", "never"}


def _says_when(lead: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "if using", "at the end", "to eat with it": when or for what a food is needed; no food is named before it."""
    opened = lead[0].text.split()[0]
    if opened not in _WHEN or lead[0].value == "yield":
        return False
    return not lexicon.names_any(lead)


def _is_stage(lead: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Day 1", "the night before": when what follows is needed."""
    titles = lexicon.vocabulary.titles
    if " ".join(singular(word) for token in lead for word in token.text.split()) in titles.moments:
        return True
    return len(lead) == 2 and singular(lead[0].text) in titles.stages and lead[1].kind == "number"


def _titles(lead: Sequence[Token], rest: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether a food before the colon is the title of what is made: "Jam: 500 g strawberries", not "Eggs: 2 large"."""
    if any(token.kind in ("number", "measure") for token in lead) or not lexicon.names_food(lead):
        return False
    nouns = [token for token in before_mark(rest) if token.kind in NAMING and token.kind not in ("number", "measure")]
    name = lexicon.ending([token.key for token in nouns if token.key])
    return name is not None and name.kind not in ("default", "absent") and len(name.form.split()) + 1 >= len(nouns)
