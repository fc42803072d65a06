"""From lines to answers over all of SR28: which entry, how sure, and when the answer is none."""

from __future__ import annotations

import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.core.analyse import Resolver
from service.core.errors import InputError, NotFoundError

# line -> outcome, entry of the first part
ANSWERS = [
    ("half a small avocado", "resolved", "09038"),
    ("2 courgettes, coarsely grated", "resolved", "11477"),
    ("1 lb 85% lean ground beef", "resolved", "23567"),
    ("1 tsp ground coriander", "resolved", "02013"),
    ("small bunch of coriander", "resolved", "11165"),
    ("1 tbsp chopped basil", "resolved", "02044"),
    ("1 tsp dried basil", "resolved", "02003"),
    ("6 eggs, hard boiled", "resolved", "01129"),
    ("2 garlic cloves", "resolved", "11215"),
    ("8 cloves", "resolved", "02011"),
    ("1 tabelspoon buter", "resolved", "01001"),
    ("200 g cheese", "check", "01009"),  # a generic noun
    ("2 tbsp wholegrain mustard", "check", "02046"),  # a stand-in
    ("1 can chickpeas, drained", "check", "16358"),  # the can's size is not said
    ("200 g zorvani butter", "check", "01001"),  # a word that nobody knows
    ("1/4 cup coconut flour", "no_match", None),
    ("1 tsp rose water", "no_match", None),
    ("7 oz shirataki noodles", "no_match", None),
    ("300 g 豆腐", "no_match", None),
    ("For the dressing:", "not_food", None),
    ("", "not_food", None),
]


@pytest.mark.parametrize(("line", "outcome", "code"), ANSWERS)
def test_answers(resolver: Resolver, line: str, outcome: str, code: str | None) -> None:
    result = resolver.resolve(line)
    food = result.parts[0].food if result.parts else None
    assert (result.outcome, food.code if food else None) == (outcome, code)
    assert result.line == line


SIZED = [  # vague measures follow the size that is said
    ("a handful of kale", 20), ("a small handful of kale", 14), ("a large handful of kale", 28),
    ("4 oranges", 524), ("150 ml sour cream", 145.8), ("1 brace of pheasants", 1500),
]


@pytest.mark.parametrize(("line", "grams"), SIZED)
def test_weights_that_were_wrong_once(resolver: Resolver, line: str, grams: float) -> None:
    weight = resolver.resolve(line).parts[0].grams
    assert weight is not None
    assert weight.value == pytest.approx(grams, rel=0.01)


def test_a_food_noun_that_the_entry_lacks_is_never_silent(resolver: Resolver) -> None:
    result = resolver.resolve("100 g lentil carrot")
    assert result.outcome != "resolved"


def test_a_long_line_gets_a_reason_at_once(resolver: Resolver) -> None:
    start = time.perf_counter()
    result = resolver.resolve("salt, " * 17_000)
    assert time.perf_counter() - start < 0.05
    assert result.outcome == "no_match"
    assert "at most 1,000" in result.reasons[0]


def test_unknown_component_and_food(resolver: Resolver) -> None:
    with pytest.raises(NotFoundError, match="NOPE"):
        resolver.resolve("1 egg", components=("NOPE",))
    with pytest.raises(NotFoundError, match="sr28:99999"):
        resolver.food("sr28:99999")
    with pytest.raises(InputError):
        resolver.search("!!!")


def test_unknown_components_stay_unknown(resolver: Resolver) -> None:
    """SR28 has no fibre (component 291) for 594 foods."""
    part = resolver.resolve("100 g butter", components=("all",)).parts[0]
    assert part.components["PROCNT"] == pytest.approx(0.85)
    assert len(part.components) == 150
    assert None in part.components.values()


def test_components_keep_their_amounts_in_any_order(resolver: Resolver) -> None:
    tagnames = [component.tagname for component in resolver.table.components]
    plain = resolver.resolve("100 g almonds", components=("all",)).parts[0].components
    turned = resolver.resolve("100 g almonds", components=tagnames[::-1]).parts[0].components
    assert dict(turned) == dict(plain)
    assert list(turned) == tagnames[::-1]


def test_an_unknown_line_with_a_food_word_stays_unmatched(resolver: Resolver) -> None:
    """Unknown is not nothing: only a line without any word of food may be taken for a note."""
    assert resolver.resolve("non-butter based quay sauce").outcome == "no_match"
    assert resolver.resolve("finishing flourishes").outcome == "not_food"


WORDS = st.lists(
    st.sampled_from(
        "1 2 1/2 cup tbsp g red chopped of and or , ( ) onion salt beans canned with large - plus half juice lemon"
        .split(" ")
    ),
    max_size=40,
)


@given(WORDS)
@settings(max_examples=400, deadline=None)
def test_any_mix_of_words_is_answered_alike_each_time(resolver: Resolver, words: list[str]) -> None:
    line = " ".join(words)
    first = resolver.resolve(line, components=("CHOCDF",))
    assert resolver.resolve(line, components=("CHOCDF",)) == first
    for part in first.parts:
        assert (part.food is None) == (part.outcome == "no_match")
        if part.grams is not None and part.grams.value is not None:
            assert part.grams.low is not None
            assert part.grams.high is not None
            assert part.grams.low <= part.grams.value * (1 + 1e-9)
            assert part.grams.value <= part.grams.high * (1 + 1e-9)
