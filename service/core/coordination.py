"""What foods named together lend each other: a head, a first word, what is done to them.

    list  = food { "," food } [ "and" food ]                 "salt, pepper, oregano"
    chain = food "and" food                                  "salt and pepper"; one food where it is one name
    heads = adjective ( "and" | "," ) ... adjective head     "1 red and 1 green pepper", "lemon and lime juice"
    manner = ( state | cutting ) list                        "2 tbsp chopped mint, parsley and coriander"
    label  = words ":" list                                  "Greens: dill, parsley, mint - 1 bunch each"
    all    = list ( "(" | "," ) ( "both" | "all" ) manner    "100 g peas; 100 g corn (both frozen)"

Clauses are changed in place: they gain the words that they share.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise, takewhile

from service.core.amount import LENGTHS, WEIGHABLE, Amount
from service.core.clause import SEASONINGS, SOME, TAKEN, Clause, ClauseReader, name_by_measure
from service.core.fruit_parts import is_fruit, lend_fruit, only_takes, shares_fruit
from service.core.line_item import Items, text_of
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
    if any(clause.alternatives for clause in clauses) or not is_whole_name(second[0], lexicon, usual=True):
        return False
    if not all(is_whole_name(words, lexicon, usual=usual or len(firsts) > 1) for words in firsts):
        return False
    return not any(says_kind(words, second[0], lexicon) or says_part(words, second[0], lexicon) for words in firsts)


def _named_words(clause: Clause, lexicon: Lexicon) -> list[str]:
    """The words of a clause; a measure is one where it belongs to the name: "stock cube", not "garlic cloves"."""
    words, every = words_of(clause), [key_word(token) for token in clause.nouns()]
    name = lexicon.ending(every) if len(every) > len(words) and not ADJECTIVES.issuperset(words) else None
    return every if name is not None and name.key >= set(every) else words


def words_of(clause: Clause) -> list[str]:
    """The words of a clause that may name its food; the last ones of a long one, which is compared with many."""
    return [key_word(token) for token in clause.before[-_FAR:] if token.kind in ("word", "state")]


_FAR = 16


def is_whole_name(words: Sequence[str], lexicon: Lexicon, *, usual: bool = False) -> bool:
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


def says_part(first: Sequence[str], second: Sequence[str], lexicon: Lexicon) -> bool:
    """Whether the second words say which part of the first is meant: "chicken, thigh"."""
    part = lexicon.ending([*first, second[-1]]) if len(second) == 1 else None
    return part is not None and first[-1] in part.key and not _make_dish([*first, second[-1]], lexicon)


def turned_round(group: Sequence[Clause], lexicon: Lexicon) -> Clause | None:
    """The first of clauses with the noun that a comma sets behind it, "tomato, paste", or before it, "sauce, oyster".

    None where the two are no one food's name.
    """
    first, second = group[:2]
    words, behind = words_of(first), words_of(second)
    bare = not (second.amount or second.remarks or second.after or second.of or second.brackets or second.alternatives)
    alone = bare and all(token.kind == "word" for token in second.before) and not (first.joined or second.joined)
    if not alone or not words or not behind or any(word in ADJECTIVES or _is_done(word) for word in behind):
        return None
    if len(words) == 1 and is_whole_name([*behind, *words], lexicon, usual=True):
        first.before[:0] = second.before
    elif len(behind) == 1 and says_part(words, behind, lexicon):
        first.before += second.before
    else:
        return None
    return first


def _is_done(word: str) -> bool:
    """Whether a word tells what is done to a food after it was measured: "1 cup almonds, ground", "popcorn, popped"."""
    return word == "ground" or word.endswith("ed")


def _make_dish(words: Sequence[str], lexicon: Lexicon) -> bool:
    """Whether a comma parts the foods that a dish is named by: "lemon, chicken", but "salad, potato" is the dish."""
    dishes = lexicon.vocabulary.titles.dishes
    return dishes.get(" ".join(words)) == "dish" and words[-1] not in dishes


# The clauses of a group that a later one is compared with; no food is told in more.
NEAREST = 4


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
    earlier = [words for one in group[:NEAREST] if one.named() and (words := words_of(one))]
    if not purpose or not earlier or not is_whole_name(words_of(clause), lexicon):
        return False
    return not any(says_kind(words, words_of(clause), lexicon) for words in earlier)


def lend_heads_on(clauses: Sequence[Clause], lexicon: Lexicon) -> None:
    """ "1 cup white rice, 1 cup brown": a measured clause of adjectives alone borrows the nouns before it.

    So does one of a word that tells a kind of the food before it: "2 cups flour, 1 cup wholemeal".
    """
    for earlier, clause in pairwise(clauses):
        said = [key_word(token) for token in clause.nouns()]
        if clause.amount is None or clause.amount.measure is None or not said:
            continue
        if ADJECTIVES.issuperset(said) and _states_size(clause, earlier, lexicon):
            clause.after, clause.before = [*clause.after, *clause.before], []
        elif ADJECTIVES.issuperset(said):
            clause.before += [token for token in earlier.nouns()[-NEAREST:] if key_word(token) not in ADJECTIVES]
        elif earlier.amount is not None and _tells_kind(said, earlier, lexicon):
            clause.before.append(earlier.nouns()[-1])


def _states_size(clause: Clause, earlier: Clause, lexicon: Lexicon) -> bool:
    """Whether the weight behind adjectives is what the package before them holds: "tomatoes, 1 can, whole, 400 g"."""
    if earlier.amount is None or clause.amount is None or not ADJECTIVES.isdisjoint(words_of(earlier)):
        return False
    if "fresh" in words_of(clause) or any(token.kind == "state" and token.value == "raw" for token in clause.before):
        return False  # "1 tin tomatoes, 200 g fresh"
    packed = lexicon.measured_by(earlier.amount) == "package" and earlier.amount.package is None
    return packed and lexicon.measured_by(clause.amount) in WEIGHABLE


def _tells_kind(said: Sequence[str], earlier: Clause, lexicon: Lexicon) -> bool:
    """Whether words that name no food do so before the head of the clause before them."""
    head = words_of(earlier)[-1:]
    name = lexicon.ending([*said, *head]) if head and len(said) == 1 else None
    return name is not None and name.key == {*said, *head} and lexicon.ending(said) is None


def begins_with_food(clause: Clause, lexicon: Lexicon) -> bool:
    """Whether the first words of a counted clause name a food that further ones describe."""
    nouns = clause.nouns()[:NEAREST]
    return any(lexicon.names_food(nouns[:size]) for size in range(1, len(nouns))) and not clause.prepared()


def name_pieces(clauses: Sequence[Clause], lexicon: Lexicon) -> None:
    """ "1 cinnamon stick, 4 cloves": a piece that is a food itself, but not "1 bulb of garlic, 4 cloves"."""
    counted = False
    for before, clause in pairwise(clauses):
        counted = counted or before.amount is not None
        if counted and clause.amount is not None and before.named() and "garlic" not in words_of(before):
            name_by_measure(clause, lexicon, known=True)


def is_unknown_food(clause: Clause, lexicon: Lexicon) -> bool:
    """Whether a clause counts or measures something that no table knows: "2 tomatoes, 1 locoto"."""
    if clause.amount is None or clause.amount.measure in LENGTHS or not clause.named():
        return False  # "ketchup, the peppery kind", "rice, soaked 1 hr"
    minutes = lexicon.vocabulary.titles.minutes
    return not any(token.text in minutes for token in clause.before) and _is_unknown(clause, lexicon)


def is_added_to_taste(clause: Clause, lexicon: Lexicon) -> bool:
    """ "1 bay leaf, sambal to taste": what each adds as he likes is no more of the food before it, known or not."""
    if clause.amount is not None or clause.prepared() or not clause.is_to_taste() or only_takes(clause):
        return False  # "1 lemon, zest to taste"
    if lexicon.ending(words_of(clause)) is not None:
        return True
    strange = [noun for noun in clause.nouns() if not (_is_known(noun, lexicon) or noun.text.endswith(("ed", "ing")))]
    return 0 < len(strange) == len(clause.before) and strange[0].text != "as"  # "as many as you like"


def opens_further(clause: Clause) -> bool:
    """ "1 cup oil, some butter", "100 g butter, plus extra olive oil": what it names comes beside what was named."""
    first = (*clause.remarks[:1], *clause.before[:1])
    opened = any(token.value == "plus" or token.text in SOME for token in first)
    return clause.amount is None and opened and not only_takes(clause)


def _is_known(noun: Token, lexicon: Lexicon) -> bool:
    """Whether a word is one of foods or of plain speech as it is written."""
    is_word = lexicon.vocabulary.is_word
    return is_word(noun.text) or (is_word(key_word(noun)) and not noun.distance)


def is_food_of_its_own(clause: Clause, group: Sequence[Clause], lexicon: Lexicon) -> bool:
    """Whether only the later of two foods is measured: "salt, 1 tsp paprika", but not "flour, 2 cups rye"."""
    earlier = [words_of(one) for one in group[:NEAREST] if one.named()]
    if clause.amount is None or not all(is_whole_name(words, lexicon) for words in (words_of(clause), *earlier)):
        return False
    return not any(says_kind(words, words_of(clause), lexicon) for words in earlier)


def is_second_food(clause: Clause, group: Sequence[Clause], lexicon: Lexicon, *, usual: bool = False) -> bool:
    """Whether a name alone behind a measured food is another food: "1 onion, garlic", but not "1 cup rice, basmati".

    usual  whether the first may be a generic noun: "1 cup cream, half-and-half, or milk"
    """
    earlier = [one for one in group[:NEAREST] if one.named()]
    if clause.amount is not None or clause.prepared() or any(token.kind == "preposition" for token in clause.before):
        return False  # "4 dried mushrooms, soaked in hot water"
    return len(earlier) == 1 and _are_two([*earlier, clause], lexicon, usual=usual)


def is_sister(clause: Clause, before: Clause, lexicon: Lexicon) -> bool:
    """Whether a name alone is of another food with the same head: "olive oil, vegetable oil, or butter"."""
    if clause.amount is not None or clause.prepared() or clause.remarks or clause.brackets or before.brackets:
        return False
    words, earlier = words_of(clause), words_of(before)
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


def lend_heads(clauses: Sequence[Clause], lexicon: Lexicon) -> None:
    """ "1 red and 1 green pepper": a clause of adjectives alone borrows the nouns of the next that has some."""
    heads: list[Token] = []  # those of the nearest clause behind that counts a food
    for clause in reversed(clauses):
        if clause.amount is None:
            continue
        said = {key_word(token) for token in clause.nouns()}
        if said and said <= ADJECTIVES and not clause.of:
            clause.before.extend(_shared_nouns(said, heads, lexicon))
            continue
        heads = [token for token in clause.nouns() if key_word(token) not in ADJECTIVES] or heads


def _shared_nouns(said: set[str], heads: list[Token], lexicon: Lexicon) -> list[Token]:
    """The nouns that name a food with these adjectives: of "plain and wholemeal flour" not both of the second."""
    words = [key_word(token) for token in heads]
    for start in range(len(words)):
        name = lexicon.ending([*said, *words[start:]])
        if name is not None and name.key >= said.union(words[start:]):
            return heads[start:]
    alone = len(words) > 1 and lexicon.ending(words[-1:]) is not None and said <= _ANY_KIND
    return heads[-1:] if alone else heads


_ANY_KIND = frozenset({"plain", "whole", "light"})


def lend_to_adjectives(clauses: Sequence[Clause]) -> None:
    """ "Salt, red and black pepper": adjectives alone behind a comma borrow the noun of what "and" joins to them."""
    for clause in clauses[1:]:
        said = {key_word(token) for token in clause.nouns()}
        if clause.amount is not None or clause.of or not clause.joined or not said or not said <= ADJECTIVES:
            continue
        nouns = clause.joined[0].nouns()
        if clause.joined[0].amount is None and len(nouns) > 1 and key_word(nouns[-1]) not in ADJECTIVES:
            clause.before.append(nouns[-1])


def of_kinds(clauses: list[Clause]) -> list[Clause]:
    """ "Peppers, 1 red, 2 green": the counted kinds of a food that is named before them, each with its name."""
    first, *behind = clauses
    if first.amount is not None or not first.named() or first.joined:
        return clauses
    kinds = list(takewhile(lambda clause: all(map(_counts_kind, clause.all())), behind))
    counted = [one for clause in kinds for one in clause.all()]
    if len(counted) < 2:
        return clauses
    for one in counted:
        one.before += first.nouns()
    return [*kinds, *behind[len(kinds) :]]


def _counts_kind(clause: Clause) -> bool:
    """ "2 green", "3 large": how many of which kind or size."""
    kind = words_of(clause)
    return clause.amount is not None and (ADJECTIVES.issuperset(kind) if kind else clause.amount.size is not None)


def pair_glosses(everyone: Sequence[Clause], lexicon: Lexicon) -> None:
    """ "sal & pimenta (salt and pepper)": a bracket behind several foods that names each of them, in their order.

    Not "greens, herbs (parsley, mint)", where the cook's own words are known.
    """
    held = [clause for clause in everyone if clause.brackets]
    foods = [clause for clause in everyone if clause.named()]
    if len(held) != 1 or len(held[0].brackets) != 1 or len(foods) < 2:
        return
    glosses = _parted(held[0].brackets[0])
    if len(glosses) != len(foods) or not all(map(lexicon.names_food, glosses)):
        return
    names = [lexicon.ending(words_of(clause)) for clause in foods]
    if all(name is not None and name.kind != "regional" for name in names):
        return
    held[0].brackets = []
    for clause, gloss in zip(foods, glosses, strict=True):
        clause.brackets, clause.explained = [tuple(gloss)], len(clause.before)


def _parted(bracket: Items) -> list[list[Token]]:
    """The words of a bracket between its commas and joiners; none where it holds more than words."""
    parted: list[list[Token]] = [[]]
    for item in bracket:
        if not isinstance(item, Token) or item.kind == "number":
            return []
        if item.kind == "joiner" or item.text in _PARTING:
            parted.append([])
        else:
            parted[-1].append(item)
    return parted


_PARTING = frozenset({",", "/", "+", "&", ";"})


def is_label(pieces: Sequence[Items], reader: ClauseReader) -> bool:
    """Whether the first piece of a line only says what a list is of: "Greens: dill, parsley, mint"."""
    lead = reader.read(pieces[0])
    if lead.amount is not None or lead.joined or lead.alternatives or len(lead.nouns()) > 2:
        return False
    each = stated_each(pieces[0], reader) if lead.brackets else None
    if lead.brackets and each is None:
        return False
    named = [clause for clause in map(reader.read, pieces[1 : 1 + NEAREST]) if clause.named()]
    if len(named) < 2 or any(clause.amount or clause.prepared() for clause in named):
        return False
    of, foods = words_of(lead), [words_of(clause) for clause in named]
    if not all(is_whole_name(said, reader.lexicon, usual=True) for said in foods):
        return False
    # "tomatoes: cherry, plum", but "Spices (1 tsp each): cumin, paprika"
    return each is not None or not all(_is_of(of, said, reader.lexicon) for said in foods)


def is_total(pieces: Sequence[Items], reader: ClauseReader) -> bool:
    """Whether the first piece of a line is what the others make: "2 cups greens: 1 cup kale, 1 cup spinach"."""
    whole, *parts = [reader.read(piece) for piece in pieces]
    said = whole.amount
    if said is None or said.combined or not all(reader.lexicon.names_food(part.nouns()) for part in parts):
        return False  # "3 onions: 2 blended, 1 sliced"
    counted = [one for part in parts if (one := part.amount) and one.measure == said.measure and not one.combined]
    return len(counted) == len(parts) and abs(sum(one.low for one in counted) - said.low) < _SAME * said.low


_SAME = 0.01


def stated_each(label: Items, reader: ClauseReader) -> Amount | None:
    """What the bracket of a label says of each food behind it: "Spices (1 tsp each): cumin, paprika"."""
    inside = [reader.read(item) for item in label if isinstance(item, tuple)]
    told = len(inside) == 1 and inside[0].says_each() and not inside[0].of
    return inside[0].amount if told else None


def said_of_all(pieces: list[Items]) -> list[Items]:
    """The pieces of a line, each with what one says of all before it: "peas, 100 g; corn, 50 g (both frozen)"."""
    for at, piece in enumerate(pieces):
        held = piece[-1] if isinstance(piece[-1], tuple) else None
        told = held if held is not None else tuple(piece)
        if not _is_of_all(told) or at < (1 if held is not None else 2):
            continue
        end = at if held is not None else at - 1  # the last food of which it is said, which has a bracket already
        first = max(0, end - 1) if text_of(told[0]) == "both" else 0
        said = [[*one, told] if first <= place <= end and not (held and place == end) else one
                for place, one in enumerate(pieces[: end + 1])]  # fmt: skip
        return [*said, *pieces[at + 1 :]]
    return pieces


_OF_ALL, _MANNERS = frozenset({"both", "all"}), frozenset({"filler", "state", "preparation", "joiner"})


def _is_of_all(items: Items) -> bool:
    said = [item for item in items if isinstance(item, Token)]
    opens = len(said) > 1 and said[0].text in _OF_ALL and len(said) == len(items)
    return opens and all(token.kind in _MANNERS for token in said[1:])


def _is_of(first: Sequence[str], second: Sequence[str], lexicon: Lexicon) -> bool:
    """Whether the second words say which food the first mean, or which part of it."""
    return bool(first) and (says_kind(first, second, lexicon) or says_part(first, second, lexicon))


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


def has_purpose(clause: Clause) -> bool:
    """Whether it says what its food is for: "parsley to serve"."""
    return any(token.text.split()[0] in ("to", "for") for token in clause.remarks)


# What is ground in the butcher's way, as no plant beside it is.
_MINCED = frozenset("beef pork lamb mutton veal turkey chicken venison bison meat".split())


def lend_manner(lender: Clause, clause: Clause, lexicon: Lexicon) -> None:
    """What is said of a food's state and cutting before its name holds for those named after it that say none."""
    if any(token.kind in _MANNER or token.text == "ground" for token in clause.before):
        return
    said = [token for token in lender.before if token.text != "each"]
    place = next((at for at, token in enumerate(said) if token.kind not in _MANNER and token.text != "ground"), 0)
    if _MINCED.intersection(token.key for token in said[place:]):
        return  # "ground beef, onion"
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
    lend_fruit(main, rest)
    if shares_fruit(main, rest):
        main.of, main.amount = [one for one in rest.nouns() if key_word(one) in CITRUS], rest.amount
    if main.of and main.takes() and rest.amount is not None and only_takes(rest):
        rest.of = list(main.of)  # "zest of 1 lemon and juice of 2"
    if main.of and main.takes() and rest.amount is not None and is_fruit(rest):
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
        lend_manner(main, rest, lexicon)
    if not rest.beside:
        _lend_first_word(main, rest, lexicon)
    return [main, *chain(rest, lexicon, each=each)]


def is_dish(clause: Clause, lexicon: Lexicon) -> bool:
    """Whether it names a dish and no more, which beside a food is another one: "yoghurt and chopped salad"."""
    words = [key_word(token) for token in clause.nouns()]
    return len(words) == 1 and lexicon.vocabulary.titles.dishes.get(words[0]) == "dish"


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
    seasons = words[0] in SEASONINGS and len(first.nouns()) == 1 and is_whole_name(words[1:], lexicon)
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
