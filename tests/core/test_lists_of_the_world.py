"""Lines of lists as the world writes them: kinds that are counted, glosses, sums, packages, steps that add a food."""

from __future__ import annotations

import pytest

from service.core.analyse import Resolver
from tests.core.reading import assert_read

# line, outcome, (SR28 code, grams) of each part; weights by SR28's measures, pieces by common kitchen practice
WRITTEN = [
    # a state in a clause that says how long
    ("200 g lentils, boiled until tender", "check", [("16070", 200)]),
    ("1 cup quinoa, simmered until fluffy", "check", [("20137", 185)]),
    ("2 potatoes, boiled until just tender, cooled", "resolved", [("11367", 334)]),
    ("150 g firm tofu, fried till golden", "resolved", [("16126", 150)]),
    ("4 slices bacon, crisped", "check", [("10862", 46)]),
    # a dish by the cup is the made one
    ("2 cups macaroni and cheese", "check", [("22960", 396)]),
    ("1 cup prepared grits", "resolved", [("08091", 257)]),
    ("1 cup chili", "check", [("11819", 150)]),
    ("1/2 cup crushed peppermint candies", "resolved", [("19107", 88.7)]),
    # whom it is for, what it stands in
    ("Per person: 2 eggs", "check", [("01123", 100)]),
    ("Per serving: 20 g fat", "not_food", []),
    ("In a large bowl, 200 g flour and 1 tsp salt", "resolved", [("20081", 200), ("02047", 6)]),
    ("In a cup 2 tbsp sugar", "resolved", [("19335", 25.2)]),
    ("In the same saucepan mix 3 eggs", "check", [("01123", 150)]),
    ("Into a bowl put 3 eggs", "check", [("01123", 150)]),
    # what a dish is finished with
    ("Garnish with chopped parsley", "check", [("11297", None)]),
    ("Finish with a squeeze of lemon", "check", [("09152", 5)]),
    ("Roll in breadcrumbs", "check", [("18079", None)]),
    ("Serve with rice", "not_food", []),
    ("Top with the remaining cheese", "not_food", []),
    ("Stir in 2 tbsp chopped chives", "check", [("11156", 6)]),
    ("Decorate with 8 pecan halves", "check", [("12142", 11.9)]),
    ("Brush w/ 1 egg", "check", [("01123", 50)]),
    ("Sprinkle with 2 tbsp sesame seeds", "check", [("12023", 18)]),
    # a range with a slash, sums
    ("10/12 green olives, stoned", "resolved", [("09195", 29.7)]),
    ("4/6 eggs", "resolved", [("01123", 250)]),
    ("2/4 cup milk", "resolved", [("01077", 122)]),
    ("2/3 cup milk", "resolved", [("01077", 163)]),
    ("2 + 1 eggs", "resolved", [("01123", 150)]),
    ("1 + 1/2 cup flour", "resolved", [("20081", 188)]),
    ("2 cinnamon sticks + 4 cloves + 1 bay leaf", "resolved", [("02010", 5.2), ("02011", 0.32), ("02004", 0.2)]),
    ("1 onion + another 1/2 for frying", "resolved", [("11282", 165)]),
    # kinds of a food that are counted
    ("peppers, 1 red, 1 green", "resolved", [("11821", 119), ("11333", 119)]),
    ("chillies, 2 red, 4 green, sliced", "check", [("11819", 24), ("11670", 28)]),
    ("Potatoes: 2 large, 3 small", "resolved", [("11352", 738), ("11352", 510)]),
    ("onions, 2 large, chopped", "resolved", [("11282", 300)]),
    # each, over every sign
    ("1 tbsp each cumin + coriander", "resolved", [("02014", 6), ("02013", 5)]),
    ("1 tbsp each cumin/coriander", "resolved", [("02014", 6), ("02013", 5)]),
    ("Spices (1 tsp each): cumin, paprika", "resolved", [("02014", 2.1), ("02028", 2.3)]),
    ("Nuts (50 g each): almonds, walnuts", "resolved", [("12061", 50), ("12155", 50)]),
    # a bracket that says what a food is a kind of, or which kind of it
    ("1 cup atta (wheat flour)", "resolved", [("20080", 120)]),
    ("1 cup atta - wheat flour", "resolved", [("20080", 120)]),
    ("1 cup sooji - flour", "check", [("20066", 167)]),
    ("100 g chocolate (milk)", "resolved", [("19120", 100)]),
    ("100 g chocolate (milk or dark)", "resolved", [("19120", 100)]),
    # a liquid that is left, in whatever words
    ("1 can chickpeas (drain)", "resolved", [("16358", 255)]),
    ("1 can coconut milk (do not use the water)", "check", [("12118", 406)]),
    ("1 can coconut milk, chilled, not using the watery part", "check", [("12118", 406)]),
    ("1 can coconut milk, leave the water behind", "check", [("12118", 406)]),
    ("2 chicken thighs, do not use the skin", "resolved", [("05096", 298)]),
    ("1 can chickpeas (do not use the liquid)", "resolved", [("16358", 255)]),
    ("1 can tomatoes, not using the juice", "resolved", [("11531", 240)]),
    ("2 tins sardines, leave the oil in the tin", "check", [("15088", 180)]),
    ("1 can chickpeas, drain and discard the liquid", "resolved", [("16358", 255)]),
    # packages and what they hold
    ("3 cartons milk, 500 ml each", "resolved", [("01077", 1550)]),
    ("2 tins chickpeas, 400 g", "resolved", [("16058", 800)]),
    ("3 cartons milk, 500 ml", "check", [("01077", 1550)]),
    ("2 packets yeast, 14 g", "resolved", [("18375", 14)]),
    ("6 slices pork belly (120 g)", "check", [("10005", 720)]),
    # what counts or measures in no known way
    ("nutmeg, 5 rasps", "resolved", [("02025", 0.5)]),
    ("oil, 1 tbsp at a time, about 5 in total", "check", [("04044", 13.6)]),
    ("2 cooking spoons g/nut oil", "check", [("04044", 82.9)]),
    ("2 onions, one goes in, the other goes on top", "resolved", [("11282", 220)]),
    # a bracket or what stands behind a dash says which food
    ("sal & pimenta (salt and pepper)", "resolved", [("02047", None), ("02030", None)]),
    ("ada bata, roshun bata - 1 tbsp each (ginger paste, garlic paste)", "check", [("11216", 16), ("11215", 16)]),
    ("1 labanos -- white radish, sliced", "check", [("11430", 338)]),
    ("1 cup atta - wholemeal flour", "resolved", [("20080", 120)]),
    ("1 egg (dough)", "resolved", [("01123", 50)]),
    # what is left of a line
    ("4 eggs, parted (whites stiff)", "resolved", [("01123", 200)]),
    ("200 ml milk, or half milk half water", "resolved", [("01077", 206)]),
    ("basil to finish, and dark chocolate grated over", "resolved", [("02044", None), ("19905", None)]),
    ("parsley / mint / some walnuts", "check", [("11297", None)]),
    ("spring onions / scallions / green onions", "resolved", [("11291", None)]),
    ("mutton 700 g, chopped, fat in", "check", [("17226", 700)]),
    ("wine - red - 2 dl", "resolved", [("14096", 199)]),
    ("Salt - tsp 1½ or so", "resolved", [("02047", 9)]),
    ("hummus, a good one, 200 g", "resolved", [("16158", 200)]),
    ("Dough - 200 g", "no_match", []),
    ("500 ml sauce", "no_match", []),
    # what stands behind a name that counts nothing yet
    ("Rice: 4 scoops, about 600 g", "resolved", [("20044", 600)]),
    ("prawns, 1 bag, about 400 g", "resolved", [("15149", 400)]),
    ("2 eggs for the dough, 1 more for brushing", "resolved", [("01123", 150)]),
    ("sugar 1 cup (makes 12)", "resolved", [("19335", 200)]),
    ("4 onions, small cubes", "resolved", [("11282", 440)]),
    ("eggs, 2 each", "check", [("01123", 100)]),
    ("boiled potatoes, 3 each", "check", [("11367", 501)]),
    ("2 cans kidney beans, one drained", "check", [("16145", 510)]),
    ("1 egg plus milk to make 1 cup", "check", [("01123", 50)]),
    ("2 eggs, duck eggs are the best", "check", [("01123", 100)]),
    ("1 branch of celery", "resolved", [("11143", 40)]),
    # out of a tin or dry
    ("400 g chickpeas, drained and rinsed", "check", [("16056", 400)]),
    ("2 x 400 g chickpeas", "check", [("16056", 800)]),
    ("15 oz corn, drained", "check", [("11167", 425)]),
    ("200 g spinach, washed and drained", "resolved", [("11457", 200)]),
    ("200 g tofu, drained", "resolved", [("16427", 200)]),
    ("10 oz spinach, thawed and squeezed dry", "resolved", [("11463", 283)]),
    # what all of several packages hold
    ("2 packages (16 oz total) cream cheese", "resolved", [("01017", 454)]),
    ("2 (16 oz total) packages cream cheese", "resolved", [("01017", 454)]),
    ("2 tins beans, in total 480 g", "check", [("16029", 480)]),
    ("2 blocks (28 oz) tofu", "resolved", [("16427", 794)]),
    ("2 cans (14 oz) tomatoes", "resolved", [("11531", 794)]),
    ("half a 70 g bag rocket", "resolved", [("11959", 35)]),
    ("half a tin (200 g) tomatoes", "resolved", [("11531", 200)]),
    # heads that are shared
    ("1 cup plain and 1 cup wholemeal flour", "resolved", [("20081", 125), ("20080", 120)]),
    ("1 cup whole and 1 cup skim milk", "resolved", [("01077", 244), ("01085", 245)]),
    ("1 tsp black and 1/2 tsp cayenne pepper", "resolved", [("02030", 2.3), ("02031", 0.9)]),
    ("1 red and 1 green bell pepper", "resolved", [("11821", 119), ("11333", 119)]),
    ("100 g milk and 100 g dark chocolate", "check", [("01077", 100), ("19905", 100)]),
    ("1 tsp onion and 1 tsp garlic powder", "check", [("11282", 3.33), ("02020", 3.1)]),
    ("2 tbsp butter and 2 tbsp olive oil", "resolved", [("01001", 28.4), ("04053", 27)]),
    ("100 g caster and 50 g brown sugar", "resolved", [("19335", 100), ("19334", 50)]),
    # an amount for each
    ("Spices (1 tsp each): cumin, coriander, paprika", "resolved", [("02014", 2.1), ("02013", 1.8), ("02028", 2.3)]),
    ("oregano, basil, thyme - 1/2 tsp each, dried", "resolved", [("02027", 0.5), ("02003", 0.35), ("02042", 0.5)]),
    # what is said of a food before its name
    ("1 ripe but firm avocado", "resolved", [("09038", 136)]),
    ("2 small yet ripe mangoes", "resolved", [("09176", 440)]),
    ("Optional but nice: 30 g grated parmesan", "resolved", [("01033", 30)]),
    ("Eggs - they are small but tasty", "resolved", [("01123", None)]),
    ("2/4 lb butter", "resolved", [("01001", 227)]),
    ("2/4 onion", "resolved", [("11282", 55)]),
    ("2 packages (8 oz all purpose) flour", "resolved", [("20081", 454)]),
    ("4 green onions, white and green parts", "resolved", [("11291", 60)]),
    # old lists
    ("pastry for a single-crust pie", "check", [("18402", None)]),
    ("2 tbsp concentrated tomato", "resolved", [("11546", 32)]),
    # dried by the cook, behind a comma, and bought dried
    ("5 medium onions, sliced thin and dried out in the sun or a low oven", "resolved", [("11282", 550)]),
    ("3 onions, sliced and dried", "check", [("11282", 330)]),
    ("2 onions, dried out in a low oven", "resolved", [("11282", 220)]),
    ("2 medium onions, dried", "check", [("11282", 220)]),
    ("3 onions, dried", "check", [("11282", 330)]),
    ("2 bunches parsley, dried", "check", [("11297", 120)]),
    ("1 cup cranberries, dried on a towel", "resolved", [("09078", 100)]),
    ("6 mushrooms, wiped and dried with a cloth", "resolved", [("11260", 108)]),
    ("1 kg apricots, dried in the sun", "check", [("09021", 1000)]),
    ("200 g tomatoes, dried in the oven", "check", [("11529", 200)]),
    ("3 large tomatoes, sun-dried at home", "resolved", [("11529", 546)]),
    ("1 kg figs, left to dry", "check", [("09089", 1000)]),
    ("1 lb potatoes, peeled, dried", "check", [("11352", 399)]),
    ("4 fillets cod, dried on kitchen paper", "resolved", [("15015", 600)]),
    ("1 bunch parsley, dried well", "resolved", [("11297", 60)]),
    ("100 g apricots, dried", "resolved", [("09032", 100)]),
    ("200 g mushrooms, dried", "check", [("11268", 200)]),
    ("4 tomatoes, dried", "resolved", [("11955", 8)]),
    ("6 figs, dried", "resolved", [("09094", 50.4)]),
    ("4 red chillies, dried", "resolved", [("11962", 4)]),
    ("4 red chilies, dried and crushed", "check", [("02031", None)]),
    ("1 head lettuce, washed and dried", "resolved", [("11253", 360)]),
    # all of a food may be what other lines count; no class of foods
    ("all onions sliced", "check", [("11282", None)]),
    ("all eggs at room temperature", "check", [("01123", None)]),
    ("all-purpose flour, sifted", "resolved", [("20081", None)]),
    ("all spice, ground", "resolved", [("02001", None)]),
    ("3 love apples", "resolved", [("11529", 369)]),
    # no special kind, no region and no cut that the line does not name; what is added without an amount
    ("50 g peanut flour", "check", [("16099", 50)]),
    ("50 g groundnut flour", "check", [("16099", 50)]),
    ("50 g defatted peanut flour", "resolved", [("16099", 50)]),
    ("100 g cottonseed flour", "check", [("12007", 100)]),
    ("1 cup fresh or frozen wild blueberries", "resolved", [("09053", 140)]),
    ("1 cup Alaskan wild blueberries", "resolved", [("35155", 147)]),
    ("100 g bone marrow", "check", [("35021", 100)]),
    ("1/2 kg beef, cut up", "check", [("13795", 500)]),
    ("500 g beef, cut", "check", [("13795", 500)]),
    ("1 chicken, cut up", "resolved", [("05006", 920)]),
    ("800 g gravy beef, cubed", "resolved", [("13227", 800)]),
    ("300 g carolino rice", "resolved", [("20052", 300)]),
    ("100 g flour, plus a little for dusting", "resolved", [("20081", 100)]),
    ("100 g flour, plus a bit more", "resolved", [("20081", 100)]),
    ("100 g butter, and some for the pan", "resolved", [("01001", 100)]),
    ("100 g sugar, plus 1 tbsp for dusting", "resolved", [("19335", 113)]),
    # a bracket that names the food before a local word that has no sure entry
    ("500 g kanda (cow skin), pre-cooked", "no_match", []),
    ("500 g kanda (onions)", "check", [("11282", 500)]),
    ("2 cups lolo (thick coconut cream)", "check", [("12115", 480)]),
    ("½ teaspoon shatta (hot red pepper powder)", "check", [("02031", 0.9)]),
    ("½ teaspoon shatta", "no_match", []),
    ("1 tbsp kewra (screwpine water)", "no_match", []),
    ("300 gr gjizë (or a mix of feta and ricotta)", "no_match", []),
    # a local word that has an entry by some amounts; what a bracket says of drying; thickness in figures
    ("1 tsp methi (fenugreek seeds)", "resolved", [("02019", 3.7)]),
    ("1 hoho (green capsicum)", "resolved", [("11333", 119)]),
    ("2 slices white bread, 1 cm thick", "check", [("18069", 58)]),
    ("1 kg apricots (dried in the sun)", "resolved", [("09032", 1000)]),
    ("1 1/2 cups of pinto beans (can be dried or canned)", "resolved", [("16042", 290)]),
]


@pytest.mark.parametrize(("line", "outcome", "parts"), WRITTEN)
def test_what_a_line_of_a_list_says(
    resolver: Resolver, line: str, outcome: str, parts: list[tuple[str, float | None]]
) -> None:
    assert_read(resolver.resolve(line), outcome, parts)


# Names of parts that are made here, and notes, with what else is written on their lines.
NO_FOOD = [
    "Guacamole - do it last",
    "Biga - 12 hours ahead",
    "Poolish - night before",
    "Fillings - choose any three",
    "Fillings - all as long as your hand",
    "Zorbani = the crispy onions",
    "THE RICE",
    "No oil at the beginning",
    "No coconut in our sambar",
    "Spinach goes in last",
    "a food processor helps",
    "trust me on this one",
    "no salt, the rashers will do that",
    "no sugar needed, the fruit is sweet",
    "And the fish",
    "all spices freshly ground",
    "all spices toasted and ground",
    "all vegetables washed and dried",
    "all herbs picked and washed",
    "all fruit peeled",
    "all meat trimmed",
    "All dairy at room temperature",
    "vegetables all peeled and chopped",
    "all the vegetables washed and trimmed",
    "All fruit and veg washed",
    "all veg roughly the same size",
    "thanks, Gran",
    "thanks again, Tom",
    "thank you Sue for this one",
    "many thanks to Sue",
    "love, Nana",
    "lots of love, Aunty Jean",
]


@pytest.mark.parametrize("line", NO_FOOD)
def test_what_tells_of_a_part_is_no_food(resolver: Resolver, line: str) -> None:
    assert resolver.resolve(line).outcome == "not_food"


# The same words with an amount, or of what is bought, are food.
FOOD = [
    "Biga - 200 g", "Guacamole, 2 tbsp", "Guacamole, to serve", "Kimchi - this is the sour one", "THE 2 EGGS",
    "all-purpose flour, sifted", "all fruit jam", "all meat sausages", "all spice, ground", "3 love apples",
]  # fmt: skip


@pytest.mark.parametrize("line", FOOD)
def test_what_is_counted_or_bought_is_food(resolver: Resolver, line: str) -> None:
    assert resolver.resolve(line).outcome != "not_food"
