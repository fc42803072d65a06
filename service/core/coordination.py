"""What foods named together lend each other: a head, a first word, one amount.

    list  = food { "," food } [ "and" food ]                 "salt, pepper, oregano"
    chain = food "and" food                                  "salt and pepper"; one food where it is one name
    heads = adjective ( "and" | "," ) ... adjective head     "1 red and 1 green pepper", "lemon and lime juice"
    each  = amount "each" list                               "1 tsp each ground cumin, coriander and turmeric"
          | list ( "," amount "each" | "(" amount "each" ")" )    "cumin and coriander, 1 tsp of each"
    manner = ( state | cutting ) list                        "2 tbsp chopped mint, parsley and coriander"
    behind = list amount                                     "Mint, parsley, dill - a handful": of all together
    same   = amount food "," food "same" [ "amount" ]        "3 cloves of garlic, ginger same amount"
    label  = words ":" list                                  "Greens: dill, parsley, mint - 1 bunch each"
    taken  = fruit ( "," takers | "(" takers ")" )           "1 lime, zest and juice", "2 lemons, juice of 1"
           | amount takers "and" amount takers "of" fruit        "1 tsp zest and 1 tbsp juice of 1 lemon"
           | amount fruit takers ( "plus" | "," ) amount takers  "1 tbsp lemon juice plus 1 tsp zest"
    halves = amount [ head ] ( "," | "(" ) "half" food [ "and" ] "half" food     "500 g mince, half beef, half pork"
           | amount [ head ] ( "," | "(" ) ( "equal parts" | "50/50" ) food "and" food

Clauses are changed in place: they gain the words or the amount that they share.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise, takewhile

from service.core.amount import LENGTHS, Amount, Items, is_number, read_amount, text_of
from service.core.clause import EATEN_WITH, SEASONINGS, TAKEN, Clause, ClauseReader, name_by_measure
from service.core.line_items import split
from service.core.noun_phrase import ADJECTIVES, CITRUS, Lexicon
from service.core.vocabulary import Token, key_word


def is_list(clauses: Sequence[Clause], lexicon: Lexicon) -> bool:
    """Whether commas part foods: "salt, pepper, oregano", "1 tsp each cumin, coriander and turmeric"."""
    named = [clause for clause in clauses if clause.named()]
    if len(named) < 2 or any(clause.amount for clause in named[1:]) or named[0].after:
        return False  # "diced tomatoes with basil, garlic and oregano" is one food
    plain = named[0].amount is None and len(named) == len(clauses) and (len(clauses) > 2 or _are_two(named, lexicon))
    if not (plain or named[-1].joined or clauses[0].says_each()):
        return False
    strangers = [clause for clause in named if not _names_food(clause, lexicon)]
    return len(named) - len(strangers) > min(len(strangers), 1) and all(_is_unknown(one, lexicon) for one in strangers)


def _is_unknown(clause: Clause, lexicon: Lexicon) -> bool:
    """Whether nobody knows a word of a clause; between foods it is one too: "mint, zorvani, dill"."""
    nouns, remarks = clause.nouns(), [token for token in clause.remarks if token.kind != "joiner"]
    said = remarks or clause.after or clause.prepared() or any(token.kind == "filler" for token in clause.before)
    return not said and nouns[-1].kind == "word" and not any(_is_known(noun, lexicon) for noun in nouns)


def _names_food(clause: Clause, lexicon: Lexicon) -> bool:
    """Whether a clause names a food, or its bracket does: "sarriette (savory)"."""
    glosses = ([item for item in bracket if isinstance(item, Token)] for bracket in clause.brackets)
    return lexicon.names_food(clause.nouns()) or any(map(lexicon.names_food, glosses))


def first_list(clauses: Sequence[Clause], lexicon: Lexicon) -> Sequence[Clause]:
    """The list that stands before a food with an amount, or before words on its last food.

    "salt, pepper, nutmeg, 50 g butter", "potatoes, onions, peeled"
    """
    end = next((at for at, clause in enumerate(clauses) if clause.amount), len(clauses))
    if end < len(clauses):
        counted = end > 1 and lexicon.names_food(clauses[end].nouns())
        return clauses[:end] if counted and is_list(clauses[:end], lexicon) else ()
    foods = list(takewhile(lambda clause: _names_food(clause, lexicon), clauses))
    return foods if 1 < len(foods) < len(clauses) and is_list(foods, lexicon) else ()


def _are_two(clauses: Sequence[Clause], lexicon: Lexicon, *, usual: bool = False) -> bool:
    """Whether a comma parts two foods, "salt, pepper", and not a food from its kind, "oil, olive"."""
    if any(clause.of or clause.after or clause.brackets or clause.remarks for clause in clauses):
        return False
    *earlier, second = ([_named_words(one, lexicon) for one in clause.all()] for clause in clauses)
    firsts = [words for group in earlier for words in group]
    if any(clause.alternatives for clause in clauses) or not _is_whole_name(second[0], lexicon, usual=True):
        return False
    if not all(_is_whole_name(words, lexicon, usual=usual or len(firsts) > 1) for words in firsts):
        return False
    return not any(says_kind(words, second[0], lexicon) or _says_part(words, second[0], lexicon) for words in firsts)


def _named_words(clause: Clause, lexicon: Lexicon) -> list[str]:
    """The words of a clause; a measure is one where it belongs to the name: "stock cube", not "garlic cloves"."""
    words, every = _words(clause), [key_word(token) for token in clause.nouns()]
    name = lexicon.ending(every) if len(every) > len(words) and not ADJECTIVES.issuperset(words) else None
    return every if name is not None and name.key >= set(every) else words


def _words(clause: Clause) -> list[str]:
    """The words of a clause that may name its food; the last ones of a long one, which is compared with many."""
    return [key_word(token) for token in clause.before[-_FAR:] if token.kind in ("word", "state")]


_FAR = 16


def _is_whole_name(words: Sequence[str], lexicon: Lexicon, *, usual: bool = False) -> bool:
    """Whether words are, all together, the name of one food: a certain one, or its usual kind where asked."""
    name = lexicon.ending(words)
    if name is None or not name.key >= set(words) - ADJECTIVES:
        return False
    return usual or name.kind not in ("default", "absent")


def says_kind(first: Sequence[str], second: Sequence[str], lexicon: Lexicon) -> bool:
    """Whether the second words say which food the first mean: "oil, olive", or name the same one again."""
    one, other = lexicon.ending(first), lexicon.ending(second)
    if one is not None and other is not None and one.food_id and one.food_id == other.food_id:
        return True
    kind = lexicon.ending([*second, first[-1]])
    return kind is not None and kind.key >= set(second) and not _make_dish([*second, first[-1]], lexicon)


def _says_part(first: Sequence[str], second: Sequence[str], lexicon: Lexicon) -> bool:
    """Whether the second words say which part of the first is meant: "chicken, thigh"."""
    part = lexicon.ending([*first, second[-1]]) if len(second) == 1 else None
    return part is not None and first[-1] in part.key and not _make_dish([*first, second[-1]], lexicon)


def _make_dish(words: Sequence[str], lexicon: Lexicon) -> bool:
    """Whether a comma parts the foods that a dish is named by: "lemon, chicken", but "salad, potato" is the dish."""
    dishes = lexicon.vocabulary.titles.dishes
    return dishes.get(" ".join(words)) == "dish" and words[-1] not in dishes


# The clauses of a group that a later one is compared with; no food is told in more.
_NEAREST = 4


def is_seasoning(clause: Clause) -> bool:
    """ "1 tbsp oil, salt, pepper": what is said alone and without an amount is nothing of the food before it."""
    words = {key_word(token) for token in clause.nouns()} - {"black", "sea", "freshly", "ground"}
    return clause.amount is None and bool(words) and words <= SEASONINGS


def has_own_purpose(clause: Clause, group: Sequence[Clause], lexicon: Lexicon, *, listed: bool) -> bool:
    """Whether a food without an amount is used for something else than those before it, or left to taste.

    "salt, water to knead", "leeks, cooked down with a little butter".

    `listed`: the line has counted several foods already, "1 bay leaf, 2 tsp salt, black pepper".
    """
    purpose = listed or clause.is_to_taste() or has_purpose(clause)
    earlier = [words for one in group[:_NEAREST] if one.named() and (words := _words(one))]
    if not purpose or not earlier or not _is_whole_name(_words(clause), lexicon):
        return False
    return not any(says_kind(words, _words(clause), lexicon) for words in earlier)


def lend_heads_on(clauses: Sequence[Clause], lexicon: Lexicon) -> None:
    """ "1 cup white rice, 1 cup brown": a measured clause of adjectives alone borrows the nouns before it.

    So does one of a word that tells a kind of the food before it: "2 cups flour, 1 cup wholemeal".
    """
    for earlier, clause in pairwise(clauses):
        said = [key_word(token) for token in clause.nouns()]
        if clause.amount is None or clause.amount.measure is None or not said:
            continue
        if ADJECTIVES.issuperset(said):
            clause.before += [token for token in earlier.nouns()[-_NEAREST:] if key_word(token) not in ADJECTIVES]
        elif earlier.amount is not None and _tells_kind(said, earlier, lexicon):
            clause.before.append(earlier.nouns()[-1])


def _tells_kind(said: Sequence[str], earlier: Clause, lexicon: Lexicon) -> bool:
    """Whether words that name no food do so before the head of the clause before them."""
    head = _words(earlier)[-1:]
    name = lexicon.ending([*said, *head]) if head and len(said) == 1 else None
    return name is not None and name.key == {*said, *head} and lexicon.ending(said) is None


def wrap_each(clause: Clause, food: Clause | None) -> None:
    """ "12 spears, each wrapped in a slice of ham": what each piece of the food before it takes is taken so often."""
    if not clause.joined or EATEN_WITH.isdisjoint([token.text for token in clause.before]):
        return
    counted = (clause if clause.named() else food) if clause.says_each() else None
    if counted is None or counted.amount is None:
        return
    times = counted.amount
    for one in clause.joined:
        if one.amount is not None:
            one.amount = replace(one.amount, low=one.amount.low * times.low, high=one.amount.high * times.high)


# What refers to the amount of the food before it, and what may follow that.
_SAME, _AS_MUCH = frozenset({"same", "equal", "ditto"}), frozenset({"much", "many"})
_OF_AMOUNTS = frozenset("amount amounts quantity quantities weight measure volume part parts again of".split())
# What may stand across from the food; "twice" and what it is bought with may not.
_BESIDE_AGAIN = frozenset({"filler", "approximate", "preparation", "state", "size"})


def repeat_amounts(clauses: Sequence[Clause], lexicon: Lexicon) -> None:
    """ "garlic 3 cloves, ginger same amount": a food takes the amount of the one before it, if nothing else is said.

    Not in "salt as much as needed", "same brand sugar": what else is said is but a remark then.
    """
    for earlier, clause in pairwise(clauses):
        if clause.amount is not None or earlier.amount is None or not earlier.named():
            continue
        words, (start, end) = clause.before, _again(clause.before)
        if start == end:
            continue
        tail = next((at for at in range(end, len(words)) if words[at].text == "as"), len(words))
        ahead = [token for token in words[:start] if token.text not in ("the", "an")]
        behind = words[end:tail] or clause.of
        food, across = (behind, ahead) if lexicon.names_food(behind) else (ahead, behind)
        if not lexicon.names_food(food):
            continue
        plain = end > start + 1 or food is ahead or _is_name_alone(food, lexicon)
        if plain and not _says_more(across, words[tail:], clause, earlier):
            clause.before, clause.of, clause.amount = [*ahead, *behind], [], earlier.amount
        elif words[start].text == "as":
            clause.before, clause.of = list(food), []
            if not across:  # "twice as much" is an amount, which nobody works out: the food stands there without one
                clause.remarks += [*words[start:end], *words[tail:]]


def _again(words: Sequence[Token]) -> tuple[int, int]:
    """Where words refer to an amount: "the same amount of", "as many", "ditto"; an empty stretch where none do."""
    for at, token in enumerate(words):
        as_much = token.text == "as" and at + 1 < len(words) and words[at + 1].text in _AS_MUCH
        if as_much or token.text in _SAME:
            behind = takewhile(lambda one: _OF_AMOUNTS.issuperset(one.text.split()), words[at + 1 + as_much :])
            return at, at + 1 + as_much + sum(1 for _ in behind)
    return 0, 0


def _is_name_alone(food: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether a food's name stands right behind "the same", and no brand or size of which it is the same."""
    words = [key_word(token) for token in food]
    return all(token.kind == "word" for token in food) and _is_whole_name(words, lexicon, usual=True)


def _says_more(across: Sequence[Token], compared: Sequence[Token], clause: Clause, earlier: Clause) -> bool:
    """Whether more is said than "as much": "twice as much", "as much as needed", but not "as much sugar as butter"."""
    other = [key_word(token) for token in compared[1:] if token.kind in ("word", "state")]
    if any(token.kind not in _BESIDE_AGAIN for token in across) or (compared and other != _words(earlier)):
        return True
    return any(token.kind == "to taste" or token.text.startswith("as ") for token in clause.remarks)


def lend_amounts(clauses: list[Clause]) -> None:
    """ "Onion - 2 large, tomato - 3 medium": amounts behind the foods, in a line where every food has its own so."""
    pairs = [(first, second) for first, second in pairwise(clauses) if _is_told_by(first, second)]
    if len(pairs) < 2:
        return
    for first, second in pairs:
        first.absorb(second)
        clauses.remove(second)


def _is_told_by(food: Clause, amount: Clause) -> bool:
    """Whether a clause states the amount of the food before it, and nothing else."""
    return food.named() and food.amount is None and amount.amount is not None and not amount.named()


def begins_with_food(clause: Clause, lexicon: Lexicon) -> bool:
    """Whether the first words of a counted clause name a food that further ones describe."""
    nouns = clause.nouns()[:_NEAREST]
    return any(lexicon.names_food(nouns[:size]) for size in range(1, len(nouns))) and not clause.prepared()


def name_pieces(clauses: Sequence[Clause], lexicon: Lexicon) -> None:
    """ "1 cinnamon stick, 4 cloves": a piece that is a food itself, but not "1 bulb of garlic, 4 cloves"."""
    counted = False
    for before, clause in pairwise(clauses):
        counted = counted or before.amount is not None
        if counted and clause.amount is not None and before.named() and "garlic" not in _words(before):
            name_by_measure(clause, lexicon, known=True)


def is_unknown_food(clause: Clause, lexicon: Lexicon) -> bool:
    """Whether a clause counts or measures something that no table knows: "2 tomatoes, 1 locoto"."""
    if clause.amount is None or clause.amount.measure in LENGTHS or not clause.named():
        return False  # "ketchup, the peppery kind", "rice, soaked 1 hr"
    minutes = lexicon.vocabulary.titles.minutes
    return not any(token.text in minutes for token in clause.before) and _is_unknown(clause, lexicon)


def _is_known(noun: Token, lexicon: Lexicon) -> bool:
    """Whether a word is one of foods or of plain speech as it is written."""
    is_word = lexicon.vocabulary.is_word
    return is_word(noun.text) or (is_word(key_word(noun)) and not noun.distance)


def is_food_of_its_own(clause: Clause, group: Sequence[Clause], lexicon: Lexicon) -> bool:
    """Whether only the later of two foods is measured: "salt, 1 tsp paprika", but not "flour, 2 cups rye"."""
    earlier = [_words(one) for one in group[:_NEAREST] if one.named()]
    if clause.amount is None or not all(_is_whole_name(words, lexicon) for words in (_words(clause), *earlier)):
        return False
    return not any(says_kind(words, _words(clause), lexicon) for words in earlier)


def is_second_food(clause: Clause, group: Sequence[Clause], lexicon: Lexicon, *, usual: bool = False) -> bool:
    """Whether a name alone behind a measured food is another food: "1 onion, garlic", but not "1 cup rice, basmati".

    usual  whether the first may be a generic noun: "1 cup cream, half-and-half, or milk"
    """
    earlier = [one for one in group[:_NEAREST] if one.named()]
    if clause.amount is not None or clause.prepared() or any(token.kind == "preposition" for token in clause.before):
        return False  # "4 dried mushrooms, soaked in hot water"
    return len(earlier) == 1 and _are_two([*earlier, clause], lexicon, usual=usual)


def is_sister(clause: Clause, before: Clause, lexicon: Lexicon) -> bool:
    """Whether a name alone is of another food with the same head: "olive oil, vegetable oil, or butter"."""
    if clause.amount is not None or clause.prepared() or clause.remarks or clause.brackets or before.brackets:
        return False
    words, earlier = _words(clause), _words(before)
    if min(len(words), len(earlier)) < 2 or words[-1] != earlier[-1]:
        return False
    one, other = lexicon.ending(earlier), lexicon.ending(words)
    if one is None or other is None or not (one.key >= set(earlier) and other.key >= set(words)):
        return False
    return one.food_id != other.food_id


def first_run(clauses: Sequence[Clause]) -> Sequence[Clause]:
    """The clauses that an "each" may hold for: those before the next that states an amount of its own."""
    if not clauses or not clauses[0].says_each():
        return clauses
    end = next((at for at, clause in enumerate(clauses) if at and clause.amount and clause.named()), len(clauses))
    return clauses[:end]


def lend_heads(clauses: Sequence[Clause]) -> None:
    """ "1 red and 1 green pepper": a clause of adjectives alone borrows the nouns of the next that has some."""
    heads: list[Token] = []  # those of the nearest clause behind that counts a food
    for clause in reversed(clauses):
        if clause.amount is None:
            continue
        said = {key_word(token) for token in clause.nouns()}
        if said and said <= ADJECTIVES and not clause.of:
            clause.before.extend(heads)
            continue
        heads = [token for token in clause.nouns() if key_word(token) not in ADJECTIVES] or heads


_EGGS, _WHITES = frozenset({"egg", "eggs"}), frozenset({"white", "whites"})
_MORE = frozenset({"plus", "+", "and", "&"})


def lend_eggs(items: list[object]) -> list[object]:
    """ "2 eggs plus 2 whites": the whites that are counted beside eggs are theirs, where no noun follows them."""
    for at in range(2, len(items)):
        behind = items[at + 1] if at + 1 < len(items) else None
        ends = not isinstance(behind, Token) or behind.kind in ("mark", "remark")
        if text_of(items[at]) not in _WHITES or not ends:
            continue
        sized = items[at - 1]
        number = at - 1 - (isinstance(sized, Token) and sized.kind == "size")
        if not is_number(items[number]) or number < 1 or text_of(items[number - 1]) not in _MORE:
            continue
        before = next((one for one in reversed(items[: number - 1]) if is_number(one) or text_of(one) in _EGGS), None)
        if isinstance(before, Token) and before.text in _EGGS:
            return [*items[:at], replace(before, text=before.key), *items[at:]]
    return items


def lend_to_adjectives(clauses: Sequence[Clause]) -> None:
    """ "Salt, red and black pepper": adjectives alone behind a comma borrow the noun of what "and" joins to them."""
    for clause in clauses[1:]:
        said = {key_word(token) for token in clause.nouns()}
        if clause.amount is not None or clause.of or not clause.joined or not said or not said <= ADJECTIVES:
            continue
        nouns = clause.joined[0].nouns()
        if clause.joined[0].amount is None and len(nouns) > 1 and key_word(nouns[-1]) not in ADJECTIVES:
            clause.before.append(nouns[-1])


def is_label(pieces: Sequence[Items], reader: ClauseReader) -> bool:
    """Whether the first piece of a line only says what a list is of: "Greens: dill, parsley, mint"."""
    lead = reader.read(pieces[0])
    if lead.amount is not None or lead.brackets or lead.joined or lead.alternatives or len(lead.nouns()) > 2:
        return False
    named = [clause for clause in map(reader.read, pieces[1 : 1 + _NEAREST]) if clause.named()]
    if len(named) < 2 or any(clause.amount or clause.prepared() for clause in named):
        return False
    of, foods = _words(lead), [_words(clause) for clause in named]
    if not all(_is_whole_name(said, reader.lexicon, usual=True) for said in foods):
        return False
    return not all(_is_of(of, said, reader.lexicon) for said in foods)  # "tomatoes: cherry, plum"


def _is_of(first: Sequence[str], second: Sequence[str], lexicon: Lexicon) -> bool:
    """Whether the second words say which food the first mean, or which part of it."""
    return bool(first) and (says_kind(first, second, lexicon) or _says_part(first, second, lexicon))


def take_of_fruit(clauses: list[Clause], reader: ClauseReader) -> None:
    """What is taken of a fruit: "1 lime, zest and juice", "1 lemon (juice and zest)", "2 lemons, juice of 1"."""
    at = next((at for at, clause in enumerate(clauses) if _is_fruit(clause)), len(clauses))
    fruit = clauses[at] if at < len(clauses) else None
    if fruit is None or fruit.joined or fruit.alternatives:
        return
    inside = [reader.read(piece) for bracket in fruit.brackets[:1] for piece in split(bracket)]
    held = list(takewhile(_only_takes, _everyone(inside)))
    _part_takers(clauses, at)
    takers = held or list(takewhile(_only_takes, _everyone(clauses[at + 1 :])))
    if len(takers) < 2 and not any(one.amount for one in takers):
        return  # of one thing it is the yield of whole fruits: "1 lime, juiced"
    for one in takers:
        one.of, one.amount = list(fruit.before), one.amount or fruit.amount
    takers[0].remarks.extend(fruit.remarks)
    takers[0].brackets.extend(() if held else fruit.brackets)
    clauses[at : at + 1] = inside if held else ()


def divide_count(clauses: list[Clause], reader: ClauseReader) -> None:
    """What becomes of some and of others is a food each, where the line counts all: "6 eggs (4 whole, 2 yolks)"."""
    for at in range(min(len(clauses), _NEAREST) - 1, -1, -1):
        clause = clauses[at]
        alone = at == len(clauses) - 1 and not clause.brackets
        if clause.amount is None or alone or not clause.named():
            continue
        held = [reader.read(piece) for bracket in clause.brackets[:1] for piece in split(bracket)]
        if kinds := _kinds(clause, _everyone(held), reader.lexicon):
            clauses[at : at + 1] = kinds
        elif kinds := _kinds_behind(clause, _everyone(clauses[at + 1 :]), reader.lexicon):
            clauses[at:] = kinds  # "2 lemons, 1 juiced and 1 sliced"
        elif any(_counts_some(clause.amount, one) for one in clauses[at + 1 : at + 2]):
            clause.divided = True  # "6 eggs, 3 hard boiled"


def _counts_some(whole: Amount, clause: Clause) -> bool:
    """Whether a clause counts fewer pieces than there are, by what becomes of them, and names nothing."""
    some = clause.amount
    if some is None or some.measure is not None or whole.measure is not None or not clause.before or clause.named():
        return False
    return some.high < whole.high and all(token.kind in ("state", "preparation") for token in clause.before)


def _kinds_behind(clause: Clause, kinds: Sequence[Clause], lexicon: Lexicon) -> list[Clause]:
    """The kinds that stand behind a food; "3 tbsp yogurt, 2 tbsp vinegar, 1 lemon" are three foods."""
    mine = _words(clause) if kinds else []
    for one in kinds if mine else ():
        own = _is_whole_name(words := _words(one), lexicon, usual=True)
        if own and not (says_kind(mine, words, lexicon) or _says_part(mine, words, lexicon)):
            return []
    return _kinds(clause, kinds, lexicon)


def _kinds(clause: Clause, kinds: Sequence[Clause], lexicon: Lexicon) -> list[Clause]:
    """The kinds that make up all of a food, by the same measure; none where they do not, or all are the same food."""
    whole = clause.amount
    if whole is None or not 1 < len(kinds) <= _NEAREST or whole != Amount(whole.low, whole.high, whole.measure):
        return []
    amounts = [one.amount for one in kinds if one.amount is not None and (one.before or one.amount.size)]
    same = all(amount.measure in (None, whole.measure) for amount in amounts)
    if len(amounts) < len(kinds) or not same or sum(amount.high for amount in amounts) != whole.high:
        return []
    parted = [
        Clause(amount=replace(amount, measure=whole.measure), before=_kind_of(clause, one, lexicon))
        for one, amount in zip(kinds, amounts, strict=True)
    ]
    return parted if len({_meant(one, lexicon) for one in parted}) > 1 else []


def _kind_of(clause: Clause, kind: Clause, lexicon: Lexicon) -> list[Token]:
    """ "egg yolks", "juiced lemons": the words of a kind behind the food's name where that makes a name of its own."""
    name = lexicon.ending([word for token in (*clause.before, *kind.before) if (word := key_word(token))])
    behind = name is not None and name.words > 1
    return [*clause.before, *kind.before] if behind else [*kind.before, *clause.before]


def _meant(clause: Clause, lexicon: Lexicon) -> tuple[str | None, bool, str | None]:
    """What a clause names: the entry, whether what is taken of a fruit is meant, and the size of its pieces."""
    name = lexicon.ending([word for token in clause.before if (word := key_word(token))])
    taken = any(token.text in TAKEN for token in clause.before)
    return name.food_id if name else None, taken, clause.amount.size if clause.amount is not None else None


def _part_takers(clauses: list[Clause], at: int) -> None:
    """ "1 lemon, zested and juiced", "1 lemon zested, then juiced": a clause of its own for each that is taken."""
    near = clauses[at : at + 2]
    done = [token for clause in near for token in clause.before if token.kind == "preparation" and token.text in TAKEN]
    if len(done) < 2 or any(one.named() or one.amount for one in near[1:]):
        return
    clauses[at].before = [token for token in clauses[at].before if token not in done]
    takers = [Clause(before=[Token(token.text, "word", token.text)]) for token in done]
    alone = near[1:] and all(token in done or token.kind != "preparation" for token in near[1].before)
    clauses[at + 1 : at + 2 if alone else at + 1] = takers


def _everyone(clauses: Sequence[Clause]) -> list[Clause]:
    return [one for clause in clauses for one in clause.all()]


def _only_takes(clause: Clause) -> bool:
    """Whether a clause names what is taken of a fruit and no more: "grated zest", "juice of 1"."""
    nouns = {key_word(token) for token in clause.nouns()}
    return bool(nouns) and nouns <= TAKEN.keys() and CITRUS.isdisjoint(key_word(token) for token in clause.of)


def take_each(clauses: list[Clause], reader: ClauseReader) -> None:
    """ "cumin, coriander and turmeric, 1 tsp of each": an amount that is said last holds for each food before it."""
    everyone = _everyone(clauses)
    cut = everyone.pop() if len(everyone) > 2 and everyone[-2].says_each() and _is_cutting(everyone[-1]) else None
    if len(everyone) < 2 or any(one.amount for one in everyone[:-1]):
        return
    last = everyone[-1]
    if last.named() and last.late and last.says_each():
        for one in everyone[:-1]:  # "butter, sugar, flour 100 g each"
            one.amount = last.amount
        return
    if not last.named() and last.amount and last.says_each():
        clauses.remove(last)
    elif last.amount is None and last.brackets and (inner := reader.read(last.brackets[-1])).says_each():
        if inner.amount is None or inner.named():
            return
        last.brackets.pop()
        last = inner
    else:
        return
    clauses[0].amount = last.amount
    clauses[0].remarks.extend((*last.before, *last.remarks))
    if cut in clauses:  # "onion and carrot, 1 of each, minced"
        clauses.remove(cut)
        clauses[0].remarks.extend(cut.before)


def share_behind(clauses: list[Clause], lexicon: Lexicon) -> None:
    """ "Mint, parsley, dill - a handful": an amount that stands behind a list of foods is of all of them together."""
    *foods, last = clauses
    if last.amount is None or last.named() or len(foods) < 2 or any(one.amount or one.joined for one in foods):
        return
    if all(one.named() and not one.remarks for one in foods) and is_list(foods, lexicon):
        share = even_share(last.amount, len(foods))
        for one in foods:
            one.amount, one.shared = share, True
        foods[0].remarks.extend((*last.before, *last.remarks))
        clauses.remove(last)


def _is_cutting(clause: Clause) -> bool:
    """Whether a clause says how foods are cut, and nothing else."""
    return clause.amount is None and bool(clause.before) and all(token.kind == "preparation" for token in clause.before)


def lend_last_head(clauses: Sequence[Clause], lexicon: Lexicon) -> None:
    """ "sunflower, pumpkin and sesame seeds": heads that foods share across a list go to each of them."""
    everyone = [one for clause in clauses for one in clause.all() if one.named()]
    nouns = everyone[-1].nouns()
    head = key_word(nouns[-1]) if len(nouns) > 1 else ""
    for one in everyone[:-1]:
        words = [key_word(token) for token in one.nouns()]
        if head and ADJECTIVES.issuperset(words):  # "red, green and yellow pepper"
            one.before.append(nouns[-1])
        if head not in lexicon.vocabulary.titles.shared_heads:
            continue
        name = lexicon.ending([*words, head])
        if head not in words and name is not None and len(name.key) > 1:
            one.before.append(nouns[-1])


def share_amount(clauses: Sequence[Clause], lexicon: Lexicon) -> None:
    """ "1 tsp each ground cumin, coriander": the first clause's amount, and its "ground", hold for all."""
    first = clauses[0]
    others = [one for clause in clauses[1:] for one in clause.all()]
    if not any(one.says_each() for one in (first, *others)) and _is_of_first(first, others):
        return
    for one in others:
        one.amount = one.amount or first.amount
        _lend_manner(first, one, lexicon)
    every = [first, *others]
    if first.amount is not None and lexicon.measured_by(first.amount) == "mass":
        if all(one.amount is first.amount and not one.says_each() for one in every):
            share = even_share(first.amount, len(every))
            for one in every:  # "100 g watercress, spinach and rocket" is of all together
                one.amount, one.shared = share, True


def _is_of_first(first: Clause, others: Sequence[Clause]) -> bool:
    """Whether an amount is of its own food alone: "2 tbsp oil, salt and pepper", "1 tbsp rum, parsley to serve"."""
    if any(one.is_to_taste() or has_purpose(one) for one in others):
        return True
    seasonings = SEASONINGS.intersection(key_word(token) for one in others for token in one.nouns())
    spoons = first.amount is not None and first.amount.measure in ("tsp", "tbsp", "pinch", "dash")
    own = SEASONINGS.intersection(key_word(token) for token in first.nouns())
    return bool(seasonings) and not own and (len(seasonings) > 1 or not spoons)


def has_purpose(clause: Clause) -> bool:
    """Whether it says what its food is for: "parsley to serve"."""
    return any(token.text.split()[0] in ("to", "for") for token in clause.remarks)


def _lend_manner(lender: Clause, clause: Clause, lexicon: Lexicon) -> None:
    """What is said of a food's state and cutting before its name holds for those named after it that say none."""
    if any(token.kind in _MANNER or token.text == "ground" for token in clause.before):
        return
    said = [token for token in lender.before if token.text != "each"]
    place = next((at for at, token in enumerate(said) if token.kind not in _MANNER and token.text != "ground"), 0)
    nouns = [word for token in clause.nouns() if (word := key_word(token))]
    clause.before[:0] = [token for token in said[:place] if _holds(token, nouns, lexicon)]


def _holds(manner: Token, nouns: Sequence[str], lexicon: Lexicon) -> bool:
    """Whether a state goes with a food: what is fresh or chopped may be any, what is dried or smoked has a name."""
    if manner.text == "ground":
        return len(nouns) == 1
    if manner.kind == "preparation" or manner.value == "raw":
        return True
    name = lexicon.ending([manner.text, *nouns])
    return name is not None and manner.text in name.key


_MANNER = frozenset({"preparation", "state"})


def even_share(amount: Amount, count: int) -> Amount:
    """One of `count` even shares of an amount, of which only the first measure is kept."""
    return replace(amount, low=amount.low / count, high=amount.high / count, also=None, plus=None)


_EVENLY = frozenset({"half", "50/50", "equal"})
_LONGEST_HALF = 3


def halves(items: Items, lexicon: Lexicon) -> list[list[object]]:
    """The lines of two foods that share an amount evenly, each with all of it; none where a line says no such thing.

    "500 g mince, half beef and half pork" is 500 g beef mince and 500 g pork mince, of which each counts half.
    """
    items = _amount_first(items, lexicon)
    if not items or not is_number(items[0]):
        return []
    said = [text_of(item[0]) if isinstance(item, tuple) and item else text_of(item) for item in items]
    if _EVENLY.isdisjoint(said):
        return []  # most lines, quickly
    at = next((at for at, word in enumerate(said) if at and word in _EVENLY), 0)
    stated = read_amount(items, 0, lexicon.measures) if at else None
    if stated is None or stated[1] > at:
        return []
    item = items[at]
    kinds = _two_halves(item if isinstance(item, tuple) else items[at:])
    rest = items[at + 1 :] if isinstance(item, tuple) else ()
    head = [item for item in items[stated[1] : at] if isinstance(item, Token) and item.kind in ("word", "preparation")]
    named = [_of_half(kind, head, lexicon) for kind in kinds]
    return [[*items[: stated[1]], *one, *rest] for one in named] if len(named) > 1 and all(named) else []


def _amount_first(items: Items, lexicon: Lexicon) -> Items:
    """The items with the amount behind the first words before them: "mince 700 g - half beef, half pork"."""
    at = next((at for at, item in enumerate(items) if is_number(item)), 0)
    found = read_amount(items, at, lexicon.measures) if 0 < at <= _LONGEST_HALF else None
    named = all(isinstance(item, Token) and item.kind in ("word", "state", "preparation") for item in items[:at])
    return [*items[at : found[1]], *items[:at], *items[found[1] :]] if found and named else items


def _two_halves(items: Items) -> list[list[Token]]:
    """The words of two foods of "half beef, half pork", "half each beef and pork", "50/50 beef and pork"."""
    first, *behind = (item for item in items if not (isinstance(item, Token) and item.kind in ("filler", "mark")))
    behind = behind[1:] if text_of(first) == "equal" else behind  # "equal parts"
    apart = {"half"} if any(text_of(item) == "half" for item in behind) else {"and", "&"}
    place = next((at for at, item in enumerate(behind) if text_of(item) in apart), 0)
    found = (list(takewhile(_names_half, part)) for part in (behind[:place], behind[place + 1 :]))
    return [[item for item in part if isinstance(item, Token)] for part in found if 0 < len(part) <= _LONGEST_HALF]


def _names_half(item: object) -> bool:
    return isinstance(item, Token) and item.kind in ("word", "state")


def _of_half(kind: list[Token], head: list[Token], lexicon: Lexicon) -> list[Token]:
    """The food of one half, with the head before it where it has none: "beef" of "ground meat" is ground beef."""
    words = [key_word(token) for token in kind]
    if head and key_word(head[-1]) in lexicon.vocabulary.titles.groups:
        return [*head[:-1], *kind]
    name = lexicon.ending([*words, key_word(head[-1])]) if head and key_word(head[-1]) not in words else None
    if name is not None and name.key >= {key_word(head[-1])} | {words[-1]} - ADJECTIVES:
        return [*kind, *head]
    return kind if lexicon.names_food(kind) else []


def chain(main: Clause, lexicon: Lexicon, *, each: bool = False) -> list[Clause]:
    """The clauses joined by "and" that are foods of their own; what is no food of its own is merged back."""
    if not main.joined:
        return [main]
    rest = main.joined[0]
    main.joined = []
    if rest.of and not main.of and {key_word(token) for token in main.nouns()} <= TAKEN.keys():
        # "zest and juice of 1 orange"; "1 tbsp zest and 2 tbsp juice from 1 lemon" are each as much as it says
        main.of, main.amount = rest.of, main.amount or (rest.amount if rest.late else None)
        return [main, *chain(rest, lexicon)]
    _lend_fruit(main, rest)
    if _shares_fruit(main, rest):
        main.of, main.amount = [one for one in rest.nouns() if key_word(one) in CITRUS], rest.amount
    if main.of and main.takes() and rest.amount is not None and _only_takes(rest):
        rest.of = list(main.of)  # "zest of 1 lemon and juice of 2"
    if main.of and main.takes() and rest.amount is not None and _is_fruit(rest):
        rest.of, rest.before = rest.before, list(main.before)  # "juice of 1 lime and 1 orange"
    each = each or main.says_each()
    if rest.amount is None and main.after and main.after[0].value == "with" and not rest.joined:
        main.after += rest.before  # "coffee with milk and sugar"
        return [main]
    if rest.amount is None and not rest.beside:
        one_name = not each and _is_one_name(main, rest, lexicon)
        another = lexicon.names_food(rest.nouns()) or is_dish(rest, lexicon) or _is_another_part(main, rest, lexicon)
        if one_name or not another:
            main.absorb(rest)
            return chain(main, lexicon, each=each)
        if not lexicon.names_food(main.nouns()):
            _lend_head(rest, main, lexicon)
        _lend_manner(main, rest, lexicon)
    if not rest.beside:
        _lend_first_word(main, rest, lexicon)
    return [main, *chain(rest, lexicon, each=each)]


def is_dish(clause: Clause, lexicon: Lexicon) -> bool:
    """Whether it names a dish and no more, which beside a food is another one: "yoghurt and chopped salad"."""
    words = [key_word(token) for token in clause.nouns()]
    return len(words) == 1 and lexicon.vocabulary.titles.dishes.get(words[0]) == "dish"


def _lend_fruit(main: Clause, rest: Clause) -> None:
    """ "1 lemon zest & juice": both are taken of the fruits that are counted."""
    fruit = [one for one in main.nouns() if key_word(one) in CITRUS]
    if not fruit or not main.takes() or main.amount is None or rest.amount is not None:
        return
    if _only_takes(rest) and not rest.of:
        main.before, main.of = [one for one in main.before if one not in fruit], fruit
        rest.of, rest.amount = fruit, main.amount


def lend_fruit_on(everyone: Sequence[Clause]) -> None:
    """ "1 tbsp lemon juice plus 1 tsp zest": what is measured of no fruit is taken of that named right before it."""
    for one, other in pairwise(everyone):
        fruit = [token for token in one.nouns() if key_word(token) in CITRUS]
        if not fruit or one.of or other.of or other.amount is None or not (one.takes() and _only_takes(other)):
            continue
        if {key_word(token) for token in one.nouns()}.isdisjoint(key_word(token) for token in other.nouns()):
            other.of = fruit


def _shares_fruit(main: Clause, rest: Clause) -> bool:
    """ "zest & juice 1 lime": both are taken of the fruit that the second counts behind its name."""
    taken = {key_word(token) for token in main.nouns()}
    return rest.late and rest.takes() and not main.of and not rest.of and taken <= TAKEN.keys()


def _is_fruit(clause: Clause) -> bool:
    """Whether a clause names a fruit whose juice and zest are used, and no more."""
    fruit = not CITRUS.isdisjoint([token.key for token in clause.nouns()])
    return fruit and not clause.takes() and not clause.of


def _is_another_part(first: Clause, second: Clause, lexicon: Lexicon) -> bool:
    """Whether both name parts of one animal or plant by its name: "chicken wings and legs", "egg yolks and whites"."""
    nouns, said = first.nouns(), second.nouns()
    if len(nouns) < 2 or len(said) != 1 or second.of:
        return False
    whole, *parts = (key_word(token) for token in (nouns[0], nouns[-1], said[0]))
    one, other = (lexicon.ending((whole, part)) for part in parts)
    if one is None or other is None or one.food_id == other.food_id:
        return False
    return one.key >= {whole, parts[0]} and other.key >= {whole, parts[1]}


# A name of so few words is no name where each of them is a food: "rice and wine".
_MAY_BE_TWO_FOODS = 2


def _is_one_name(first: Clause, second: Clause, lexicon: Lexicon) -> bool:
    """Whether the words of both make one name: "macaroni and cheese", "sweet and sour sauce"; not "rice and wine"."""
    words = [word for token in (*first.nouns(), *second.nouns()) if (word := key_word(token))]
    name = lexicon.ending(words) if len(words) > 1 else None
    seasons = words[0] in SEASONINGS and len(first.nouns()) == 1 and _is_whole_name(words[1:], lexicon)
    if name is None or name.words < len(words) or seasons:  # "pepper and chili powder" are two foods
        return False
    if _are_two_kinds(first, second, lexicon) and "and" not in name.form.split():
        return False  # "white and whole wheat flour" is no white whole wheat flour
    if len(words) > _MAY_BE_TWO_FOODS or "and" in name.form.split():
        return True  # "clam and tomato juice", "macaroni and cheese"
    one = lexicon.names_food(first.nouns()) or is_dish(first, lexicon)  # "salad and cheese" are no salad cheese
    return not (one and lexicon.names_food(second.nouns()))


def _are_two_kinds(first: Clause, second: Clause, lexicon: Lexicon) -> bool:
    """Whether adjectives tell one kind of a food before its head, and the words beside the head another."""
    said, nouns = ([word for token in one.nouns() if (word := key_word(token)) != "mixed"] for one in (first, second))
    if len(nouns) < 2 or not ADJECTIVES.issuperset(said):
        return False
    one, other = lexicon.ending([*said, nouns[-1]]), lexicon.ending(nouns)
    if one is None or other is None or one.food_id == other.food_id:
        return False
    return nouns[-1] in one.key and other.key >= set(nouns)


def _lend_head(lender: Clause, clause: Clause, lexicon: Lexicon) -> None:
    """ "red and green peppers": the first phrase borrows the head of the second."""
    nouns, said = lender.nouns(), clause.nouns()[-_FAR:]
    for size in range(min(len(nouns) - 1, _FAR), 0, -1):
        if lexicon.names_food([*said, *nouns[-size:]]):
            clause.before.extend(nouns[-size:])
            return


def _lend_first_word(lender: Clause, clause: Clause, lexicon: Lexicon) -> None:
    """ "ground cumin and coriander": the second phrase borrows the first word where that makes a known name."""
    if clause.amount is not None or len(clause.nouns()) != 1 or len(lender.nouns()) < 2:
        return
    lead, noun = lender.nouns()[0], clause.nouns()[0]
    name = lexicon.ending((key_word(lead), key_word(noun)))
    if name is not None and name.words == 2:
        clause.before.insert(0, lead)
