"""Foods around an "or": which is counted, and which share the head behind the last."""

from __future__ import annotations

import pytest

from service.core.analyse import Resolver

# line -> entry, None where the tables have none; the first choice with the head that stands behind the last
SHARING = [
    ("1 tbsp raspberry or other jam", "19297"),
    ("1 cup almond or other plant milk", "14091"),
    ("500 g cherry or other small tomatoes", "11529"),
    ("2 tbsp sunflower or other neutral oil", "04506"),
    ("1 cup kidney, black or other beans", "16032"),
    ("2 tbsp cider or other vinegar", "02048"),
    ("2 cups chicken or other stock", "06172"),
    ("1 cup orange or any other juice", "09206"),
    ("2 tbsp strawberry or your favourite jam", "19297"),
    ("100 g milk or other chocolate", "19120"),
    ("500 g potato or other flour", "11413"),
    ("200 g cashew or other milk", None),  # which no table has, and nobody means the nut
    ("200 ml oat or other milk", None),
    ("2 tbsp pumpkin seed or other oil", None),
    ("50 g date or other sugar", None),
    ("200 g lentil or other pasta", None),
    ("2 goose or 4 hen eggs", "01139"),  # each with a count
    ("6 lemon or bay leaves", "02004"),  # lemon leaves have no entry
    ("10 lime or curry leaves", None),
    ("4 banana or grape leaves", "11975"),
    ("10 mint or basil leaves", "02065"),
    ("beetroot or radish leaves, a handful", "11086"),
    ("2 cups carrot or beet tops", "11086"),
    ("6 parsnip or carrot tops", None),
    ("1 cup grape or cherry tomatoes", "11529"),
    ("1 cup cherry or grape tomatoes", "11529"),
    ("2 corn or flour tortillas", "18363"),
    ("100 g egg or rice noodles", "20109"),
    ("2 tbsp peanut or almond butter", "16098"),
    ("2 tbsp corn or canola oil", "04518"),
    ("1 cup tomato or mushroom soup", "06159"),
    ("1 tsp almond or vanilla extract", "02050"),
    ("1 tsp rum or vanilla extract", "02050"),
    ("1 tbsp tomato or red pepper paste", "11546"),
    ("2 slices rye or wheat bread", "18060"),
    ("250 g shoulder or middle bacon", "10123"),
    ("1 bunch mustard or turnip greens", "11270"),
    ("2 tsp garlic or onion granules", "02020"),
    ("1 chicken or vegetable stock cube", "06081"),
    ("1 cup oat, soy or cow's milk", "16139"),
    ("1 cup soy, oat or almond milk", "16139"),
    ("1 cup almond, soy or cow's milk", "14091"),
    ("1 cup apple, pear or grape juice", "09016"),
    ("2 tbsp peanut, almond or cashew butter", "16098"),
    ("1 cup whole wheat, rye or spelt flour", "20080"),
    ("1 cup wheat or rye flour", "20081"),
    ("rice, wheat or corn flour 200 g", "20061"),
    ("100 g milk, white or dark chocolate", "19120"),
    ("1 cup chicken, beef or vegetable stock", "06172"),
    ("500 g beef, pork or lamb mince", "23572"),
    ("1 cup lima, navy or butter beans", "16071"),
    ("olive, sunflower or canola oil", "04053"),
    ("8 oz greens (collard, turnip or mustard)", "11161"),
    # the whole name behind kinds of it, not its last word
    ("1 cup smooth or chunky peanut butter", "16098"),
    ("2 tbsp natural or regular almond butter", "12195"),
    ("1 cup white or brown rice flour", "20061"),
    ("1 cup light or full-fat sour cream", "01179"),
    ("1 cup full-fat or light sour cream", "01056"),
    ("1 tbsp light or extra virgin olive oil", "04053"),
    ("1 tbsp solid or melted coconut oil", "04047"),
    ("1 cup hot or cold almond milk", "14091"),
    ("1 cup plain or vanilla almond milk", "14091"),
    ("1 cup light or regular coconut milk", "12118"),
    ("1 white or orange sweet potato", "11507"),
    ("1 cup light or dark brown sugar", "19334"),
    ("8 oz regular or low-fat cream cheese", "01017"),
    ("1 cup red or white wine vinegar", "02068"),
    ("2 cups brown or white basmati rice", "20036"),
    ("1 cup white or apple cider vinegar", "02053"),
    ("1 cup white or soft brown sugar", "19335"),
    ("1 cup black or red kidney beans", "16014"),
    ("1 can navy or great northern beans", "16039"),
    ("1 cup low-fat or regular coconut milk", "12118"),
    ("1 cup skim or whole goat milk", "01085"),
    ("2 green or red chili peppers", "11670"),
    ("1 cup whole or skimmed goat milk", "01106"),
    # foods of their own that are kinds of what stands behind an adjective
    ("1 cup vanilla or plain ice cream", "19095"),
    ("1 cup strawberry or plain yogurt", "01122"),
    ("1 tbsp rice or maple syrup", "19350"),
    ("1 tbsp corn or maple syrup", "19350"),
    ("1 tbsp date or brown sugar", "19334"),
    ("1 cup milk or dark chocolate chips", "19120"),
    ("2 tbsp peanut or almond or any nut butter", "16098"),
    ("1 lb skin-on or skinless chicken thighs", "05091"),
    ("1 lb skinless or skin-on chicken thighs", "05096"),
    ("1 lb bone-in or boneless pork chops", "10036"),
    # with the amount behind them
    ("grape or cherry tomatoes 200 g", "11529"),
    ("almond or coconut milk 1 cup", "14091"),
    ("sunflower or olive oil: 2 tbsp", "04506"),
    ("grape/cherry tomatoes - 200 g", "11529"),
    ("apple or pear juice (200 ml)", "09016"),
    ("apple, pear or grape juice 200 ml", "09016"),
    ("chicken, beef or vegetable stock, 500 ml", "06172"),
    ("1 cup juice (apple, grape or pear)", "09016"),
    ("1 cup milk (oat, soy or almond)", None),
]

# foods that stand alone before an "or", whatever follows
ALONE = [
    ("200 g salmon or other oily fish", "15236"),  # a group of foods is no head
    ("50 g walnuts or other nuts", "12155"),
    ("1 tbsp butter or other fat", "01001"),
    ("1 tbsp honey or other syrup", "19296"),
    ("1 apple or other fruit", "09003"),
    ("250 g ricotta or other soft cheese", "01036"),
    ("100 g cheddar, gruyere or other hard cheese", "01009"),
    ("150 g feta, ricotta salata or other salty cheese", "01019"),
    ("2 tbsp butter or olive oil", "01001"),
    ("butter or olive oil 2 tbsp", "01001"),
    ("2 tbsp lard, butter or olive oil", "04002"),
    ("3 tbsp lard, dripping or butter", "04002"),
    ("1 tbsp oil, butter or ghee", "04044"),
    ("1 cup milk, cream or yogurt", "01077"),
    ("1 tbsp egg or heavy cream", "01123"),
    ("1 cup milk or coconut cream", "01077"),
    ("1 tsp salt or soy sauce", "02047"),
    ("2 tbsp ham or bacon bits", "10182"),
    ("1 tbsp sugar or maple syrup", "19335"),
    ("1 tbsp sugar, honey or maple syrup", "19335"),
    ("1 cup water, milk or chicken stock", "14411"),
    ("200 g yogurt or cream cheese", "01116"),
    ("200 g tofu or goat cheese", "16427"),
    ("6 lemons or bay leaves", "09150"),  # in the plural
    ("1 cup almonds or peanut butter", "12061"),
    ("1 cup pecans, walnuts or pumpkin seeds", "12142"),
    ("1 cup strawberries or raspberry jam", "09316"),
    ("1 lb asparagus or green beans", "11011"),  # there are asparagus beans
    ("1 lb asparagus or runner beans", "11011"),
    ("1 turnip or savoy cabbage", "11564"),
    ("1 bunch spinach or Swiss chard", "11457"),
    ("1 onion or spring onion", "11282"),
    ("1 egg or egg white", "01123"),
    ("1 clove garlic or garlic powder", "11215"),
    ("1 clove garlic or 1/4 tsp garlic powder", "11215"),
    ("1 cup rum, brandy or orange juice", "14050"),
    ("1 cup raisins, dates or dried apricots", "09298"),
    ("1 cup rice, basmati or jasmine", "20044"),
    ("1 lb fish, cod or haddock fillets", "15015"),
    ("1 onion, red or white", "11282"),
    ("8 oz greens (kale or collard)", "11233"),
]


@pytest.mark.parametrize(("line", "code"), [*SHARING, *ALONE])
def test_the_first_choice_is_counted_with_its_head(resolver: Resolver, line: str, code: str | None) -> None:
    result = resolver.resolve(line)
    assert len(result.parts) == 1
    food = result.parts[0].food
    assert (food.id if food else None) == (f"sr28:{code}" if code else None)
    assert result.outcome in ("resolved", "check") if code else result.outcome == "no_match"


@pytest.mark.parametrize(
    ("line", "outcome"),
    [
        ("2 cups butter or romaine lettuce", "check"),
        ("1 cup butter or cannellini beans", "check"),
        ("1 cup low-fat or regular almond milk", "check"),  # which may be sold, and has no entry
        ("1 tbsp butter or olive oil", "resolved"),
        ("1 tbsp honey or maple syrup", "resolved"),
        ("1 tbsp oil or cooking spray", "resolved"),
    ],
)
def test_what_may_be_a_kind_is_asked_about(resolver: Resolver, line: str, outcome: str) -> None:
    assert resolver.resolve(line).outcome == outcome


def test_an_amount_behind_three_choices_is_of_the_first(resolver: Resolver) -> None:
    (part,) = resolver.resolve("apple, pear or grape juice 200 ml").parts
    assert part.grams is not None
    assert part.grams.value == pytest.approx(209.6, abs=0.1)
    eggs, milk = resolver.resolve("2 eggs, almond or oat milk 200 ml").parts
    assert eggs.grams is not None
    assert milk.grams is not None
    assert (eggs.grams.value, milk.grams.value) == (100, pytest.approx(221.5, abs=0.1))


@pytest.mark.parametrize(("line", "grams"), [
    ("4 lemon or orange slices", 28), ("2 lemon or lime wedges", 14), ("3 garlic or shallot cloves", 9),
    ("6 lemon or bay leaves", 1.2), ("2 lemons or lime wedges", 116),
])  # fmt: skip
def test_pieces_behind_the_last_choice_count_the_first(resolver: Resolver, line: str, grams: float) -> None:
    weight = resolver.resolve(line).parts[0].grams
    assert weight is not None
    assert weight.value == pytest.approx(grams)
