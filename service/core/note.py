"""Notes: steps of the method, advice, bans and questions.

    note   = verb-of-a-step words | word ( "the" | "your" ) words | words verb-of-advice words | remark words
           | "no" words ( "until" | ... ) words | ( "no" | "less" ) food | words "used" | words "?" | manner ...
           | words ( "is" | "are" ) words | words ( "your" | "it" | ... ) words | words number time-word words
           | "the" comparative words "the" words | ( "in" | "from" | ... ) words that name no food
    step   = verb words, none of them an amount | ( "then" | "gently" | ... ) step
           | ( "in" | "on" | ... ) ( "a" | "the" | ... ) words
           | readying-verb ( "in" | "into" ) words that name no food                  "Break into 8 pieces"
           | handling-verb ( "with" | "in" | ... ) words | verb plural-noun | measure words "into" ( "a" | "the" ) words
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from itertools import pairwise

from service.core.amount import WEIGHABLE
from service.core.line_words import MAY_BE_VERB, before_mark, before_remark, is_counted, is_name
from service.core.noun_phrase import Lexicon
from service.core.text import singular
from service.core.vocabulary import Token

_MANNER = frozenset({"preparation", "filler", "remark", "optional", "to taste", "approximate", "size", "joiner"})
# Words before which a first word is a verb: "salt the aubergine", "juice your lemons".
_AFTER_A_VERB = frozenset({"the", "your", "them", "it"})
# First words that choose among foods: "any mild cheese will do" names an ingredient.
_CHOOSING = frozenset({"any", "some", "whatever", "whichever", "enough", "all", "half", "both", "just", "only"})
CONDITIONS = frozenset({"if", "unless"})
_BANS_TILL = frozenset({"until", "unless", "if", "because"})
# What says how much of a food there is.
_COUNTS = frozenset({"number", "vague number", "measure", "to taste", "optional"})
# What a step is done with or in.
TOOLS = frozenset({"with", "in", "over", "on", "into", "through"})
_CUT_IN = frozenset({"in", "into"})
_EATEN = frozenset({"served", "eaten", "made"})
_GROUND = frozenset({"a", "the", "your", "medium", "high", "low"})


def opens_note(first: Token, tokens: Sequence[Token], words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Freeze the beef", "makes 12"; but "peel of 2 lemons" and "roast beef" are foods."""
    if first.kind == "optional" and len(words) > 1 and words[1].value == "always":  # "Optional step"
        return True
    if first.text.split()[0] in CONDITIONS and len(words) > 2:  # "If using dried beans, soak them"
        return True
    if _begins_step(words, lexicon):
        return True
    if first.text == "no need" and len(words) > 1:  # "No need for 4 eggs"
        return True
    if first.text == "bring" and any(token.text in _BROUGHT_TO for token in words):
        return True  # "Bring 2 litres of salted water to a rolling boil"
    if first.kind != "note start" or _takes_of(words):
        return False
    if first.value == "need":
        return not _wants(words[1:], lexicon)
    return not is_name(before_remark(before_mark(tokens)), lexicon) and _starts_note(first, tokens, words, lexicon)


_BROUGHT_TO = frozenset({"boil", "simmer", "room temperature", "at room temperature"})


def _starts_note(first: Token, tokens: Sequence[Token], words: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether a line that begins as notes do is one, and no food with what is done to it: "sift 200 g flour"."""
    if first.text.split()[-1] in TOOLS and not is_counted(words):  # "Brush with egg"
        return True
    if first.text.split()[-1] in TOOLS and len(words) > 1 and words[1].kind == "number":
        return not lexicon.names_food(words)  # "Serve with 4 pitta breads"
    said = before_remark(words) if words[1:2] and words[1].kind == "number" else words  # "fry 2 onions till brown"
    nouns = [token for token in said if token.kind not in ("number", "measure")]
    if first.value == "verb" and len(nouns) == 1 and any(lexicon.measures.kind(one) in WEIGHABLE for one in said):
        return False  # "roast, 2 kg"
    handled = first.text in lexicon.vocabulary.titles.handling and len(words) > 1 and words[1].text == "with"
    if handled and is_counted(words):  # "dust with icing sugar, 1 tbsp"
        return not lexicon.names_food(before_mark(tokens))
    joined = len(words) > 1 and words[1].kind == "joiner"  # "heat and serve rolls"
    if first.value == "bare" and not joined and _COUNTS.isdisjoint([token.kind for token in tokens]):  # "Add water"
        return True
    if first.value == "verb" and " " in first.text and _COUNTS.isdisjoint([token.kind for token in tokens]):
        return True  # "Look for firm plums"
    if first.value == "verb" and len(words) > 3:  # "Freeze the beef for 20 minutes", but "sift 200 g flour"
        return not (_is_weighed(words[1:3], lexicon) and lexicon.names_food(before_mark(tokens)))
    always = first.value in ("always", "yield")
    taken = any(token.value == "from" for token in words)  # "roast peppers from a jar"
    counted = is_counted(words) or is_counted(words[1:] or words)  # "add a pinch of sugar"
    return always or not lexicon.names_food(nouns) or (len(words) > 3 and not (taken or counted))


def _tells_of_all(words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "All vegetables washed and dried", "vegetables all chopped": what holds of a whole class of foods.

    All of one food may be what a line wants, "all onions sliced", "nuts, all chopped", and a class may be a word of a
    food, "all fruit jam".
    """
    place = 0 if words[0].text.startswith("all ") else _behind_all(words)
    if place < 0 or any(token.kind in _COUNTS for token in words):
        return False
    group, *said = words[place:] or words
    classes = lexicon.vocabulary.titles.groups | _CLASSES
    while len(said) > 1 and said[0].kind == "joiner" and said[1].key in classes:
        said = said[2:]
    if group.key not in classes or not said or lexicon.names_any(said):
        return False
    return said[0].kind in _DONE or said[0].text.endswith("ed") or said[0].text in ("ground", "same")


_DONE = frozenset({"preparation", "state", "filler"})
_CLASSES = frozenset({"dairy", "produce", "ingredient"})
_OF_IT = frozenset({"the", "of", "your", "my", "our", "these", "this", "other", "fresh"})


def _behind_all(words: Sequence[Token]) -> int:
    """Where the class stands that "all" is said of, before it or right behind: "herbs all"; else -1."""
    if len(words) > 1 and words[1].text == "all":
        return 0
    if words[0].text != "all":
        return -1
    return next((at for at, token in enumerate(words) if at and token.text not in _OF_IT), -1)


def _takes_of(words: Sequence[Token]) -> bool:
    """ "peel of 2 lemons", "peel only of 1 orange": what is taken of a food."""
    behind = words[2:3] if len(words) > 1 and words[1].text in _ONLY else words[1:2]
    return bool(behind) and behind[0].text == "of"


_ONLY = frozenset({"only", "just"})
_WANTED = frozenset({"number", "vague number", "to taste", "measure"})


def _wants(words: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether an amount of a food stands behind "you'll need", "don't forget"."""
    counted = any(token.kind in _WANTED for token in words[:2]) or any(one.text in ("a", "an") for one in words[:1])
    return counted and lexicon.names_any(words[:_FAR])


NEEDS = frozenset({"needs", "takes"})
_FAR = 8  # words, among which what is wanted is named


def _is_weighed(words: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether words are a number and a measure of weight or volume."""
    return len(words) == 2 and words[0].kind == "number" and lexicon.measures.kind(words[1]) in WEIGHABLE


def _begins_step(words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Then add the tomatoes", "In a bowl whisk eggs", "peel potatoes": a step of the method, without an amount."""
    first, *rest = words
    titles = lexicon.vocabulary.titles
    if first.text in titles.readying and rest and rest[0].text in _CUT_IN and not lexicon.names_food(rest):
        return True  # "Break into 8 pieces"
    if not rest or any(token.kind == "number" and token.text[0].isdigit() for token in words):
        return False
    if first.text.split()[0] in titles.step_words:
        if rest[0].text.split()[0] in _EATEN:  # "Traditionally served with polenta"
            return True
        return rest[0].text == "the" or rest[0].kind == "note start" or rest[0].value in ("verb", "advice")
    if first.text in TOOLS:
        return rest[0].text in _GROUND and len(rest) > 2
    if first.kind == "measure" and any(one.text == "into" and two.text in _GROUND for one, two in pairwise(rest)):
        return True  # "Crack eggs into a bowl"
    if first.text in titles.handling and rest[0].text in TOOLS and len(rest) > 1:
        return True
    if first.text in titles.step_verbs and any(token.text in _CUT_IN for token in rest[1:]):
        return True  # "Cut carrots in half"
    plural = rest[-1].kind == "word" and rest[-1].text != rest[-1].key
    return len(words) == 2 and first.text in titles.step_verbs and plural


def says_no_food(tokens: Sequence[Token], words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "No lid until it boils", "No MSG", "Vegan?", "All fruit peeled": a ban, a question, what holds of all foods."""
    if tokens[-1].text == "?" or (words[0].text == "without" and len(words) == len(tokens)):
        return True
    banned = words[0].text.split()[0] == "no"
    if len(tokens) == 1 or (banned and " " in words[0].text and tokens[1].text == ","):
        return banned and " " in words[0].text  # "No salt", which before a food is a state
    signed = len(words) > 1 and (tokens[1].text == "," or words[1].text in lexicon.vocabulary.titles.family)
    if words[0].text == "love" and signed:
        return True  # "love, Nana"
    if words[0].text.split()[0] == "all" or (len(words) > 1 and words[1].text == "all"):
        return _tells_of_all(words, lexicon)
    if banned and " " in words[0].text and words[1:] and words[1].text.split()[0] in _NOT_THERE:
        return True  # "No salt here", which before a food is a state
    if words[0].text == "less" and len(words) == len(tokens) <= _SHORT_WISH:
        return True  # "Less salt"
    if not banned or len(words) < 2:
        return False
    again = any(token.text == "no" for token in words[1:])  # "No onion no garlic"
    if words[2:] and words[2].text.split()[0] in _NOT_THERE and lexicon.names_food(words[1:2]):
        return True  # "No coconut in our sambar"
    said = before_mark(tokens)
    alone = len(said) == 2 and lexicon.names_food(said[1:])  # "No sugar", "No garlic, ever", but "no boil lasagna"
    return again or alone or any(token.text in _BANS_TILL for token in words)


_NOT_THERE = frozenset("in at on here please needed required necessary thanks".split())
_SHORT_WISH = 2
# Whom a note speaks of or to, wherever it does; "your favourite cheese" and "as you like" are said of foods.
_SPOKEN_OF = frozenset("it's i'm i've i'll you're you'll they're it them your my our".split())
_OWN = frozenset({"my", "your", "our"})
_GRADES = frozenset({"a", "an", "the", "very", "so", "not", "too", "really"})
_OF_TASTE = frozenset("choice favourite favorite preferred preference liking taste own usual go".split())


# Of what a sentence speaks that begins with it: "This one is a keeper".
_SUBJECTS = frozenset("this that these those there it we i they he she everyone nobody".split())
_FEW = 2
_WHO = frozenset("the it we i they he she everyone nobody there".split())
_HOW = frozenset({"very", "not", "too", "quite", "really"})
_HAS = frozenset({"has", "have", "had"})


def _compares(words: Sequence[Token]) -> bool:
    """ "The riper the bananas the better"."""
    again = any(token.text == "the" for token in words[2:])
    return words[0].text == "the" and words[1].text.endswith("er") and again


def takes_place(words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "2 h in the smoker", "45 minutes on low": a time before all else, and behind it where or when; no food."""
    if words[0].kind != "number":
        return False
    unit = next((at for at, token in enumerate(words) if token.kind != "number" and token.text not in ("-", "to")), 0)
    if not unit or unit + 1 >= len(words) or singular(words[unit].text) not in lexicon.vocabulary.titles.minutes:
        return False
    placed = words[unit + 1].kind in ("preposition", "note start") or words[unit + 1].text.split()[0] in _PLACING
    return placed and not lexicon.names_food(words)


_PLACING = frozenset({"to", "at", "in", "on", "over", "under", "before", "until", "till", "per", "each", "with"})


def judges(words: Sequence[Token]) -> bool:
    """ "One tin is enough", "2 is plenty": a number, of which the line tells nothing but what is thought of it."""
    if words[0].kind not in _COUNTS:
        return False
    stated = next((at for at, token in enumerate(words) if token.text in IS), 0)
    return stated > 0 and all(token.kind in _COUNTS | {"size"} for token in words[:stated])


def tells_what_it_gives(tokens: Sequence[Token]) -> bool:
    """ "400 g raw chicken gives about 280 g cooked": what an amount comes to, and none of it is taken here."""
    words = before_mark(tokens)
    place = next((at for at, token in enumerate(words) if at > 1 and token.value == "yield"), 0)
    behind = [token for token in words[place + 1 : place + 3] if token.kind != "approximate"] if place else []
    return bool(behind) and behind[0].kind == "number"


def is_sourced(words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "from a cutting in the parish paper, about 1978": the only number is a year, and no food stands before it."""
    place = next((at for at, token in enumerate(words) if token.kind == "number"), 0)
    if not place or not is_year(words[place].text) or any(token.kind == "number" for token in words[place + 1 :]):
        return False
    if place + 1 < len(words) and words[place + 1].kind == "measure":
        return False  # "about 1900 g potatoes"
    told = words[0].text.split()[-1] == "from"  # "from Auntie Grace, 1987"
    return told or not lexicon.names_any(words[:place])


def is_year(number: str) -> bool:
    return number.isdigit() and len(number) == 4 and number[:2] in ("18", "19", "20")


def speaks(words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "It's worth making your own stock", "Let it rest": someone is spoken to or of, and no food stands before."""
    if len(words) > _FEW and (words[0].text in _SUBJECTS or _compares(words)):
        near = _FEW if words[0].text in _WHO else len(words)  # "It goes with rice", but "these potatoes"
        return not lexicon.names_any(words[:near])
    if words[0].text.split()[0] in _HOW and 1 < len(words) <= _FEW + 1 and not lexicon.names_any(words):
        return True  # "Very spicy!", "Not too sweet"
    if words[0].text in _GRADES and any(token.text in lexicon.vocabulary.titles.praises for token in words[1:]):
        return not lexicon.names_any(words)  # "A family favourite"
    having = next((at for at, token in enumerate(words) if token.text in _HAS), 0)
    if having and not lexicon.names_any(words[:having]):
        return True
    place = next((at for at, token in enumerate(words) if token.text in _SPOKEN_OF), len(words))
    behind = words[place + 1].text.split()[0] if place + 1 < len(words) else ""
    if not behind or behind in _OF_TASTE or (words[place].text in _OWN and lexicon.names_food(words[place + 1 :])):
        return False  # "my homemade jam"
    return not lexicon.names_any(words[:place])


COUNTED_OF_IT = frozenset({"ingredient"})  # "that's it, only 4 ingredients"


def takes_time(words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Eat within 2 days", "After 1 hour turn the meat": the first number is of a time, and no food stands before."""
    place = next((at for at, token in enumerate(words) if token.kind == "number"), 0)
    if not place or place + 1 >= len(words):
        return False
    titles = lexicon.vocabulary.titles
    unit = next((token for token in words[place + 1 :] if token.kind != "number"), words[place])
    if singular(unit.text.split()[0]) not in titles.minutes | titles.periods | COUNTED_OF_IT:
        return False
    at, verb = words.index(unit), words[0].text in titles.readying  # "Toast 2 min" is no toast
    if unit.text == singular(unit.text) and any(lexicon.names_food(words[at + 1 : at + far]) for far in (2, 3)):
        return False  # "quick 5 minute polenta"
    return not any(lexicon.names_food(words[: at + 1]) for at in range(verb, place))


def stands_where(words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "In the morning", "From the garden", "On the day": a place or a time before anything else, and no food."""
    return words[0].kind == "preposition" and words[0].value in _WHERE and not lexicon.names_food(words)


_WHERE = frozenset({"in", "on", "from"})


_MUST = frozenset({"must", "should", "should be", "must be", "need to be", "needs to be"})
_KINDS_OF = frozenset("shape kind type sort size brand variety colour color cut style".split())


def _is_any_group(words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "any leftover vegetables work": advice on a whole group of foods; "any mild cheese will do" is one food."""
    place = next((at for at, token in enumerate(words) if at and token.value == "advice"), 0)
    place = len(words) - 1 if words[-1].text == "work" else place
    if place > 2 and singular(words[1].text) in _KINDS_OF and words[2].text == "of":
        return words[0].text == "any"  # "any shape of pasta works"
    return place > 0 and singular(words[place - 1].text) in lexicon.vocabulary.titles.groups


def advises(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Eggs should be fresh", "Salt the slices": advice or a step before the first comma, no amount before it."""
    words = before_mark(tokens)
    if len(words) < 3 or words[0].value == "need" or _counts_behind(tokens, words, lexicon):
        return False
    stated = next((at for at, token in enumerate(words) if at and token.text in IS), 0)
    if stated and not (is_counted(words[:stated]) and lexicon.names_any(words[:stated])):
        return True
    uses = words[-1].text == "used" and all(token.kind != "number" for token in words)  # "Medium eggs used"
    if uses or _does_something(words, lexicon):
        return True
    if words[0].text in _CHOOSING:
        must = words[0].text == "all" and any(token.text in _MUST for token in words[1:])
        return must or _is_any_group(words, lexicon)
    acts = words[0].kind in MAY_BE_VERB or words[0].text in lexicon.vocabulary.titles.dividing
    if acts and words[1].text in _AFTER_A_VERB:
        return True
    if words[0].value == "advice" and words[0].kind == "remark":
        return True  # "Keeps 3 days in the fridge"
    place = next((at for at, token in enumerate(words) if at and token.value == "advice"), 0)
    return place > 0 and not is_counted(words[:place]) and not _is_a_must(words, place)


def _counts_behind(tokens: Sequence[Token], words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "Salt is 2 tsp", "Cream can be single, 200 ml", "needs 4 bananas": a sentence that states an amount."""
    if words[0].text in NEEDS and _wants(words[1:], lexicon):
        return True
    place = next((at for at, token in enumerate(words) if at and (token.text in IS or token.value == "advice")), 0)
    if not place or not lexicon.names_food(words[:place]):
        return False
    further = tokens[len(words) :]
    if further and further[0].text != ",":
        return False  # "sugar to water is 1:1"
    return _is_amount(further[1:] or words[place + 1 :], lexicon)


def _is_amount(words: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether words are a number, with a measure or without, and nothing else."""
    said = [token for token in words if token.kind != "approximate"]
    if not said or said[0].kind != "number":
        return False
    return len(said) == 1 or (len(said) == 2 and lexicon.measures.kind(said[1]) in WEIGHABLE)


def _does_something(words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "vinegar stops the eggs from breaking", "salt goes in every layer": a verb behind a food, no plural of one."""
    return any(
        (two.text in _AFTER_A_VERB and one.text.endswith("s") and one.kind == "word" and _is_verb(one, lexicon))
        or (one.text == "goes" and (two.kind == "preposition" or two.text.split()[0] in TOOLS))
        for one, two in pairwise(words[1:])
    )


def _is_verb(token: Token, lexicon: Lexicon) -> bool:
    one = singular(token.text)
    return token.text != one and one not in lexicon.vocabulary.heads


def _is_a_must(words: Sequence[Token], at: int) -> bool:
    """ "curry leaves must": what may not be missing, where nothing follows the verb."""
    return words[at].text == "must" and at == len(words) - 1


IS = frozenset({"is", "are", "was"})  # "All eggs are large"
_BEST = frozenset({"is best", "are best"})


def says_best(said: Collection[str]) -> bool:
    """Whether texts say which kind is best, "bread flour is best", "duck eggs are the best"."""
    return not _BEST.isdisjoint(said) or ("best" in said and not IS.isdisjoint(said))


def is_sentence(words: Sequence[Token], lexicon: Lexicon) -> bool:
    """ "vegetarians can skip the anchovies": a verb of advice with no food before it; or no noun at all."""
    place = next((at for at, token in enumerate(words) if token.value in ("sentence", "advice")), None)
    if place is not None:
        return not any(lexicon.names_food(words[:end]) for end in range(min(place, 6), 0, -1))
    return all(token.kind in _MANNER for token in words)


_BEFORE_FOOD = frozenset({"what's", "for", "to", "like", "such", "preferably", "your", "choice"})


def opens_remark(first: Token) -> bool:
    """ "or use ...", "if you like it hot": a remark without a food before it."""
    return first.kind == "remark" and first.text.split()[0] not in _BEFORE_FOOD
