"""Foods of which one is used: what stands around an "or", and the head that several share there.

    choices = food { "," food } [ "," ] "or" food             "2 tbsp maple syrup, agave, or honey"
    shared  = modifier { "," modifier } "or" modifier head    "6 lemon or bay leaves", "apple, pear or grape juice"

The first is counted, the others are its alternatives. A word before "or" is a food by itself, "butter or olive oil",
or wants the head behind it, "grape or cherry tomatoes": the names of foods tell, and whether it stands in the plural.
What tells kinds only shares the whole name behind the last, "smooth or chunky peanut butter", not its last word.
Where the tables have nothing of the first with its head, the next choice is counted, never the first without it.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import takewhile

from service.core.clause import OR_ELSE, Clause
from service.core.coordination import is_second_food, is_sister, says_kind
from service.core.line_item import Items, is_word, text_of
from service.core.noun_phrase import ADJECTIVES, COLOURS, Lexicon
from service.core.vocabulary import Token, key_word

_MOST_CHOICES = 6
# Words of a head that choices share: "light soy or teriyaki sauce"; more would take the square of a hostile line.
_LONGEST_HEAD = 3
# Words of any food, which make no kind with its last word alone: "low-fat or regular almond milk".
_OF_ANY = (ADJECTIVES - COLOURS) | {"lowfat", "nonfat", "reduced", "skim", "skimmed"}
_OR_OTHER = OR_ELSE | {"or similar", "or your", "or equivalent"}


def add_choice(clauses: list[Clause], food: Clause, last: Clause, lexicon: Lexicon) -> Clause:
    """Keep what stands behind "or" as an alternative: of the food before it, or of the first of a list of choices.

    That food is given back; it stands last in `clauses`, where those that became choices stand no more.

    "2 tbsp maple syrup, agave, or honey" is maple syrup; "1 cup rice, basmati or jasmine" is no list.
    """
    first = _first_choice(clauses, food, last, lexicon)
    first.alternatives.append(last)
    return first


def lend_head_of_others(clause: Clause, food: Clause | None, lexicon: Lexicon) -> None:
    """ "raspberry or other jam": the head behind "or other" is that of what stands before it, and before that.

    A group of foods is none of their heads: "salmon or other fish".
    """
    if not clause.remarks or clause.remarks[0].text not in _OR_OTHER or not clause.named():
        return
    head = next((token for token in reversed(clause.remarks) if token.kind == "word"), None)
    if head is None or key_word(head) in lexicon.vocabulary.titles.groups:
        return
    ends = food is not None and food.named() and not (food.remarks or food.brackets) and clause.amount is None
    for one in (clause, food) if ends and food is not None else (clause,):
        if _wants(one, key_word(head), lexicon):
            one.before.append(head)


def _wants(one: Clause, head: str, lexicon: Lexicon) -> bool:
    """Whether a name is of these words with a head, perhaps of no entry: they are not taken without it."""
    words = [key_word(token) for token in one.nouns()]
    if not words or head in words:
        return False
    name = lexicon.ending([*words, head])
    if name is None:
        return False
    titles = lexicon.vocabulary.titles
    if words[-1] in titles.taken_alone and head not in titles.wanted_heads:
        return False  # "butter or other oil", but "milk or other chocolate"
    return name.key >= {words[-1], head} and not _is_plural(one)


def may_lack_head(items: Items, lexicon: Lexicon) -> str:
    """The head behind "or other" that the word before it may want, though no name has both: "date or other sugar"."""
    at = next((at for at, item in enumerate(items) if at and text_of(item) in OR_ELSE), 0)
    before = items[at - 1] if at else None
    behind = [one for one in items[at + 1 : at + 1 + _LONGEST_HEAD] if isinstance(one, Token) and one.kind == "word"]
    if not isinstance(before, Token) or before.kind != "word" or before.text != before.key or not behind:
        return ""
    head, titles = key_word(behind[-1]), lexicon.vocabulary.titles
    if head not in titles.shared_heads | titles.made_heads or before.key in titles.taken_alone or head == before.key:
        return ""
    name = lexicon.ending([before.key, head])
    return "" if name is not None and name.key >= {before.key, head} else head


def may_share_head(items: Items, lexicon: Lexicon) -> str:
    """The head behind an "or" that the food before it may want: "oyster or button mushrooms", of which no table tells.

    Where what stands before that head is a food too it tells: "grape or cherry tomatoes".
    """
    at = next((at for at, item in enumerate(items) if at and text_of(item) == "or"), 0)
    three = [item for item in (*items[at - 1 : at], *items[at + 1 : at + 3]) if isinstance(item, Token)] if at else []
    if len(three) < _LONGEST_HEAD or any(token.kind != "word" for token in three):
        return ""
    one, kind, head = three
    plain = one.text == one.key and head.text != head.key and one.key not in ADJECTIVES
    if not plain or one.key in lexicon.vocabulary.titles.taken_alone or _is_shared(head.key, lexicon):
        return ""
    if not lexicon.names_food([one]) or lexicon.names_food([kind]):
        return ""
    name = lexicon.ending([one.key, head.key])
    return head.text if name is not None and name.key >= {one.key, head.key} else ""


def may_lack_kind(items: Items, lexicon: Lexicon) -> str:
    """The head behind an "or" of which what is taken alone may be a kind: "butter or romaine lettuce"."""
    at = next((at for at, item in enumerate(items) if at and text_of(item) == "or"), 0)
    one, titles = items[at - 1] if at else None, lexicon.vocabulary.titles
    if not isinstance(one, Token) or one.text != one.key or one.key not in titles.taken_alone:
        return ""
    behind = [item for item in takewhile(is_word, items[at + 1 : at + 2 + _LONGEST_HEAD]) if isinstance(item, Token)]
    for size in range(1, len(behind)):
        head = [key_word(token) for token in behind[-size:]]
        name = lexicon.ending([one.key, *head])
        both = name is not None and name.kind == "name" and name.key >= {one.key, *head}
        if both and head[-1] not in titles.taken_alone and lexicon.names_food(behind[-size:]):
            return head[-1]
    return ""


def without_contrary(items: Sequence[object]) -> list[object]:
    """The items without the second of two contraries around an "or": "bone-in or boneless chops" have their bones."""
    kept = list(items)
    for at in range(len(items) - 2, 0, -1):
        if text_of(items[at]) == "or" and _are_contrary(text_of(items[at - 1]), text_of(items[at + 1])):
            del kept[at : at + 2]
    return kept


def _are_contrary(one: str, other: str) -> bool:
    what, _, left = one.partition(" ")
    return left in ("on", "in") and other == f"{what}less"


def _is_shared(head: str, lexicon: Lexicon) -> bool:
    """Whether what stands before an "or" has a head too, though it may be a food without: "lemon or lime juice"."""
    titles = lexicon.vocabulary.titles
    return head in titles.shared_heads or head in titles.wanted_heads


def ends_choices(clause: Clause, food: Clause, lexicon: Lexicon) -> bool:
    """ "cheddar, gruyere or other hard cheese": the last of several foods by name, of which any may be taken."""
    if clause.amount is not None or not clause.named() or not clause.remarks or clause.remarks[0].text not in OR_ELSE:
        return False
    words, earlier = ([key_word(token) for token in one.nouns()] for one in (clause, food))
    one, other = lexicon.ending(earlier), lexicon.ending(words)
    if one is None or other is None or one.food_id == other.food_id or "default" in (one.kind, other.kind):
        return False
    return one.key >= set(earlier) and other.key >= set(words)


def gather_choices(clauses: list[Clause], lexicon: Lexicon) -> None:
    """Where the last clause names choices without an amount, make them those of the first of a list of them.

    "1 cup apple, pear or grape juice", "1 cup water, milk or stock"; an amount behind all is of the first, too
    """
    food = clauses[-1]
    if not food.alternatives or not food.named():
        return
    behind = food.late and all(one.amount is None for one in clauses[:-1])  # "apple, pear or grape juice 200 ml"
    if not (food.amount is None or behind):
        return
    if food.alternatives[0].amount is not None:
        return
    others, food.alternatives = food.alternatives, []
    amount, food.amount = food.amount, None
    first = _first_choice(clauses, food, others[-1], lexicon)
    first.alternatives += others
    first.amount, first.late = first.amount or amount, first.late or behind


def _first_choice(clauses: list[Clause], food: Clause, last: Clause, lexicon: Lexicon) -> Clause:
    """The first of a list of choices that ends with these two, with those between as its alternatives."""
    choices, shared = [food], _lent(food, last, lexicon)
    while food is not clauses[0] and food.amount is None and len(choices) < _MOST_CHOICES:
        before = clauses[clauses.index(food) - 1]
        shared = shared and _lend_one_head(before, food, last, lexicon)
        another = is_second_food(food, [before], lexicon, usual=True) or is_sister(food, before, lexicon)
        another = another or all(_is_taken_alone(one, lexicon) for one in (before, food))  # "oil, butter or ghee"
        if not (shared or another):
            break
        food = before
        choices.append(food)
    *others, first = choices
    if first.amount is None and others and not shared:
        return choices[0]  # "salt, pepper, or chilli" may be used all
    for one in reversed(others):
        clauses.remove(one)
        first.alternatives += [one, *one.alternatives]
        one.alternatives = []
    return first


def _is_taken_alone(clause: Clause, lexicon: Lexicon) -> bool:
    """Whether a clause names a food that is taken as it is, and no more of it."""
    bare = not (clause.of or clause.after or clause.brackets or clause.remarks)
    words = [key_word(token) for token in clause.nouns()]
    return bare and len(words) == 1 and words[0] in lexicon.vocabulary.titles.taken_alone


def _lend_one_head(before: Clause, food: Clause, last: Clause, lexicon: Lexicon) -> list[Token]:
    """The head that the last of three choices lends the first, where the second tells no kind of the first."""
    words, more = ([key_word(token) for token in one.nouns()] for one in (before, food))
    if not words or not more or before.brackets or before.remarks or says_kind(words, more, lexicon):
        return []  # "1 lb fish, cod or haddock fillets"
    return _lent(before, last, lexicon)


def lend_choice_heads(clauses: Sequence[Clause], lexicon: Lexicon) -> None:
    """Give each of several choices the head that it shares with one behind it: "6 lemon or bay leaves"."""
    for clause in clauses:
        for food in clause.all():
            if food.alternatives:
                food.alternatives = _flat(food.alternatives)
                lend_head_of_others(food.alternatives[-1], None, lexicon)  # "peanut or almond or any nut butter"
                _lend_from_last([food, *food.alternatives], lexicon)


def _flat(alternatives: Sequence[Clause]) -> list[Clause]:
    """ "sage or oregano or thyme": the choices behind a choice stand beside it."""
    found: list[Clause] = []
    waiting = list(reversed(alternatives))
    while waiting:
        one = waiting.pop()
        waiting += reversed(one.alternatives)
        one.alternatives = []
        found.append(one)
    return found


def _lend_from_last(choices: Sequence[Clause], lexicon: Lexicon) -> None:
    *others, lender = choices
    for one in reversed(others):
        counted = all(food.amount is None or food.amount.measure is None for food in (one, lender))
        # "2 goose or 4 hen eggs", but not "1 egg or 1 tbsp egg powder"
        lent = _lent(one, lender, lexicon) if lender.amount is None or (counted and not _is_plural(one)) else []
        one.before += lent
        lender = one if lent or len(lender.nouns()) < 2 else lender


def _lent(one: Clause, lender: Clause, lexicon: Lexicon) -> list[Token]:
    """The head that a choice shares with a later one, with the piece behind it; none where it is a food alone."""
    said, core = one.nouns(), lender.nouns()
    piece = core[-1:] if len(core) > 1 and lexicon.measures.kind(core[-1]) == "piece" else []
    core = core[: len(core) - len(piece)]
    if not said or one.of or one.after or (len(said) > 1 and lexicon.measures.kind(said[-1]) == "piece"):
        return []
    if kind := _head_of_kinds(said, lender, core, lexicon):
        return [*kind, *piece]
    if ADJECTIVES.issuperset(key_word(token) for token in said):  # "red or green peppers"
        return [*core[-1:], *piece] if key_word(core[-1]) not in ADJECTIVES else []
    states = {token.text for token in said if token.kind == "state"}
    if states and any(token.text in states for token in core):
        return []  # "boiled sausage or boiled chicken meat"
    for size in range(min(len(core) - 1, _LONGEST_HEAD), 0, -1):
        if _shares(one, core[:-size], core[-size:], lexicon):
            return [*core[-size:], *piece]
    return piece if piece and _is_counted_in(one, piece, lexicon) else []


def _head_of_kinds(said: Sequence[Token], lender: Clause, core: Sequence[Token], lexicon: Lexicon) -> Sequence[Token]:
    """The name of several words that stands behind kinds of it: "smooth or chunky peanut butter", not its butter."""
    words = [key_word(token) for token in said]
    known = lexicon.ending(words) is None and all(map(lexicon.vocabulary.knows, words))
    if not (known or ADJECTIVES.issuperset(words)):
        return ()
    prepared = any(token.kind == "preparation" for token in lender.before)  # "hot or cold almond milk"
    for size in range(min(len(core) - (not prepared), _LONGEST_HEAD), 1, -1):
        head, kinds = core[-size:], core[:-size]
        behind = [key_word(token) for token in head]
        name = lexicon.ending(behind)
        whole = name is not None and name.words == size and not set(behind) & set(words)
        own = _have_food(kinds, lexicon) or words[-1] not in _OF_ANY  # "navy or great northern beans"
        own = own and not _names_both(words, behind, lexicon)
        if whole and not (own and _names_both(words, behind[-1:], lexicon)):
            return head
    return ()


def _names_both(words: Sequence[str], head: Sequence[str], lexicon: Lexicon) -> bool:
    """Whether a kind and a head make a name: white vinegar, where it stands before "or apple cider vinegar"."""
    name = lexicon.ending([*words, *head])
    return name is not None and name.key >= {words[-1], *head}


def _have_food(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    return any(key_word(token) not in ADJECTIVES and lexicon.names_food([token]) for token in tokens)


def _shares(one: Clause, modifier: Sequence[Token], head: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether a choice wants a head that stands behind the modifier of the next one."""
    words, behind = ([key_word(token) for token in tokens] for tokens in (one.nouns(), head))
    alone, name = lexicon.ending(words), lexicon.ending([*words, *behind])
    if behind[-1] in words or words[-1] in map(key_word, modifier):
        return False  # "onion or spring onion", "egg or egg white"
    if alone is not None and _is_plural(one):
        return False  # "strawberries or raspberry jam"
    if name is None or not name.key >= {words[-1], *behind}:  # what no table has with the head
        if alone is None:  # "middle or back bacon"
            return len(head) == 1 and all(map(lexicon.vocabulary.knows, words))
        return len(head) == 1 and _is_counted(one) and lexicon.names_food(modifier)  # "6 parsnip or carrot tops"
    if alone is None or alone.kind in ("default", "absent"):
        return True
    if any(_is_shared(word, lexicon) for word in behind):  # "milk or dark chocolate chips"
        return not (behind[-1] == "sauce" and 1 < alone.words == len(words))  # "cayenne pepper or hot sauce"
    if words[-1] in lexicon.vocabulary.titles.taken_alone or name.kind == "regional":
        return False
    if " ".join(behind) in lexicon.vocabulary.titles.made_heads and not _have_food(modifier, lexicon):
        return True  # "strawberry or plain yogurt", "corn or maple syrup"
    # "grape or cherry tomatoes", but not "asparagus or runner beans"
    return lexicon.names_food([token for token in modifier if key_word(token) not in ADJECTIVES])


def _is_counted_in(one: Clause, piece: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether a choice is counted in the pieces that stand behind the next one: "4 lemon or orange slices"."""
    words = [key_word(token) for token in one.nouns()]
    name = lexicon.ending([*words, key_word(piece[0])])
    known = name is not None and name.key >= {words[-1], key_word(piece[0])}
    return not _is_plural(one) and (known or one.amount is None or _is_counted(one))


def _is_counted(one: Clause) -> bool:
    """Whether several of what a choice names are counted, which is no food by itself in the singular then."""
    counted = one.amount is not None and one.amount.measure is None and one.amount.high > 1
    return counted and len(one.nouns()) == 1 and not _is_plural(one)


def _is_plural(one: Clause) -> bool:
    last = one.nouns()[-1]
    return last.several or (last.text.endswith("s") and last.text != key_word(last))
