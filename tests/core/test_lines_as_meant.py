"""Lines whose states, denials and weights were once taken for something else, in families, over all of SR28."""

from __future__ import annotations

import re

import pytest

from service.core.analyse import Resolver

# line -> outcome, entry of the only part; first what only would do as well, and what is the food's own state
STATES = [
    ("Peaches, 2, ripe but firm (tinned if out of season)", "resolved", "09236"),
    ("500 g tomatoes, ripe (tinned in winter)", "resolved", "11529"),
    ("1 lb shrimp (cooked ones will do)", "resolved", "15149"),
    ("1 cup plums, ripe (canned out of season)", "resolved", "09279"),
    ("2 salmon fillets (smoked is good too)", "resolved", "15236"),
    ("300 g spinach, thawed if frozen", "resolved", "11457"),
    ("1 cup cherries (frozen in winter, fresh in summer)", "resolved", "09070"),
    ("200 g prawns, cooked if you like", "resolved", "15149"),
    ("3 beets, cooked (canned ones work too)", "resolved", "11081"),
    ("1 cup blueberries, frozen is okay", "resolved", "09050"),
    ("250 g mushrooms, canned in a pinch", "resolved", "11260"),
    ("1 cup corn kernels, frozen", "resolved", "11178"),
    ("2 cups pumpkin puree, canned or homemade", "resolved", "11424"),
    ("300 g spinach (frozen is best)", "resolved", "11463"),
]
DENIED = [
    ("1 cup milk, never skim", "resolved", "01077"),
    ("1 cup milk (do not use skim)", "resolved", "01077"),
    ("1 cup flour, never self-raising", "resolved", "20081"),
    ("4 eggs, yolks discarded", "resolved", "01124"),
    ("12 eggs without the yolks", "resolved", "01124"),
    ("6 eggs minus the yolks", "resolved", "01124"),
    ("3 eggs (discard the whites)", "resolved", "01125"),
    ("4 eggs, yolks reserved for another use", "resolved", "01124"),
    ("2 egg whites, no yolk", "resolved", "01124"),
    ("6 egg yolks (freeze the whites)", "resolved", "01125"),
    ("3 eggs, separated, whites reserved", "resolved", "01123"),
    ("5 eggs, 2 yolks discarded", "check", "01123"),
    ("6 eggs, minus 2 yolks", "check", "01123"),
    ("4 eggs, separated, yolks discarded", "resolved", "01124"),
    ("6 eggs, separated, discard the whites", "resolved", "01125"),
    ("3 eggs, separated (discard yolks)", "resolved", "01124"),
    ("4 eggs, separated, yolks saved for another use", "resolved", "01124"),
    ("2 eggs, separated (white only; yolk discarded)", "resolved", "01124"),
    ("3 eggs, whites beaten, yolks discarded", "resolved", "01124"),
    ("2 eggs, white part removed", "resolved", "01125"),
    ("3 eggs, yolks and whites separated", "resolved", "01123"),
    # of some of the eggs only, wherever their number stands
    ("2 eggs, white removed from 1", "check", "01123"),
    ("4 eggs, yolks of 2 discarded", "check", "01123"),
    ("4 eggs, discard 2 of the yolks", "check", "01123"),
    ("4 eggs, discard the yolk of one", "check", "01123"),
    ("4 eggs, yolks removed from two of them", "check", "01123"),
    ("3 eggs separated, 2 yolks discarded", "check", "01123"),
    # other foods are white, too, and a yolk may be asked to stay whole
    ("3 eggs, no white pepper", "check", "01123"),
    ("2 eggs without white bread", "check", "01123"),
    ("2 eggs, no white rice", "check", "01123"),
    ("3 eggs, minus the white vinegar", "check", "01123"),
    ("3 eggs, no white sauce", "resolved", "01123"),
    ("2 eggs, remove the white thread", "resolved", "01123"),
    ("2 eggs, no yolk colouring", "check", "01123"),
    ("1 egg, no yolk broken", "resolved", "01123"),
    ("2 eggs, no yolks broken", "resolved", "01123"),
    ("skin of 1 orange, no pith", "resolved", "09216"),
    ("zest of 1 lemon, no pith", "resolved", "09156"),
    ("1 lemon without peel", "resolved", "09150"),
    ("400 g tin lentils, do not drain", "check", "16070"),  # the table has none with their liquid
    ("400 g tin chickpeas, not drained", "resolved", "16058"),
    ("2 cups chicken broth with no MSG, not from a cube", "check", "06194"),
    ("1 cup no chicken broth", "resolved", "06700"),
    ("8 oz pasta, no eggs", "check", "20120"),
    ("1 cup mayonnaise, without egg", "check", "04025"),
    ("200 g ham, minus the fat", "check", "10182"),
    ("1 cup coconut milk without added sugar", "resolved", "12118"),
    ("3 lemons, no pips", "resolved", "09150"),
    ("any oil except olive, 2 tbsp", "resolved", "04044"),
    ("2 peppers (any colour except green)", "check", "11333"),
    ("1 cup beans, other than kidney", "check", "16042"),
]
# a share of fat is one, however it is spaced
SHARES = [
    ("1 cup 2 % milk", "resolved", "01079"),
    ("200 ml 3.5 % milk", "resolved", "01077"),
    ("1 cup cream 35 %", "resolved", "01053"),
    ("200 g yogurt 0 % fat", "resolved", "01118"),
    ("500 g beef mince (5 % fat)", "resolved", "23557"),
    ("200 g sour cream (30 % fat)", "check", "01052"),
    ("200 g sour cream, 30%", "check", "01052"),
]
WEIGHTS = [
    ("1 (4 oz) jar capers, drained", "check", "02054"),  # labels differ
    ("2 potatoes the size of an egg", "resolved", "11352"),  # only a size of what is counted
    ("1 (8 oz) can mushrooms with liquid", "check", "11264"),
    ("1 (15 oz) can black beans with liquid", "resolved", "16018"),
    ("2 lemons, for washing the chicken", "check", "09150"),  # hardly eaten
    ("1/2 cup vinegar to clean the fish", "check", "02053"),
    ("1 lemon, washed", "resolved", "09150"),
    ("2 whole chicken breasts", "check", "05062"),  # in the US of both halves; not where a weight is stated
    ("2 chicken breasts", "resolved", "05062"),
    ("Small onions 15 nos", "check", "11282"),
    ("Small onions 3 nos", "resolved", "11282"),
    ("Green chillies 5/6 nos., slit", "check", "11670"),  # five or six
    ("80 g pork rind, singed and scraped", "check", "19041"),
    ("30 g pork rinds", "resolved", "19041"),
    ("2 spoonfuls of tomato conserva", "check", "11529"),  # the last word says what it is
    ("100 g flour for dusting", "resolved", "20081"),
    ("1/2 cup uncooked quinoa, to yield 1 1/2 cups cooked", "resolved", "20035"),
    ("1 fryer, cut up (3 to 3½ lb.)", "resolved", "05006"),
    ("5 toes garlic, minced", "resolved", "11215"),
    ("1 can (No. 2) crushed pineapple", "resolved", "09268"),
    ("1 can cream of mushroom soup", "resolved", "06043"),
    ("1 can tomato soup", "check", "06159"),  # condensed or ready to eat
    ("2 tsp coriander seeds, dry roasted and crushed", "resolved", "02013"),
    ("500 g tripe, pre-boiled", "resolved", "23640"),
    ("10 green chillies, slit", "check", "11670"),  # slender ones, or of 45 g as SR28 has them
    ("10 bird's eye chillies, slit", "resolved", "11819"),
]


# a verb or remark before a food hides no weight that stands behind it
STEPS = [
    ("whip cream 200 ml", "check", "01053"),  # no kind
    ("whip the cream, 200 ml", "check", "01053"),
    ("chop onions 200 g", "resolved", "11282"),
    ("Chop the onions 200 g", "resolved", "11282"),
    ("Grate carrots 100 g", "resolved", "11124"),
    ("grate carrots (100 g)", "resolved", "11124"),
    ("peel potatoes 1 kg", "resolved", "11352"),
    ("sift flour 250 g", "resolved", "20081"),
    ("whip egg whites 100 g", "resolved", "01124"),
    ("rinse rice 300 g", "resolved", "20044"),
    ("boil potatoes 500 g", "resolved", "11352"),
    ("In season tomatoes, 500 g", "resolved", "11529"),
    ("In season tomatoes (500 g)", "resolved", "11529"),
    ("for frying oil 50 ml", "resolved", "04044"),
    ("for dusting flour 20 g", "resolved", "20081"),
    ("cube steak 200 g", "resolved", "13891"),
]
# the entry without skin, where it is taken off
SKIN = [
    ("4 split chicken breasts, skin removed", "resolved", "05062"),
    ("4 split chicken breasts", "resolved", "05057"),
    ("4 skinless chicken breasts on the bone", "resolved", "05062"),
    ("3 lb chicken parts, skin off", "check", "05011"),
    ("3 lb chicken parts", "resolved", "05006"),
]
# what may be written over a list; not what is bought, what is measured, or what a table has without an amount
HEADING_OR_FOOD = [
    ("GOMEN", "check", "11161"),
    ("COLLARD GREENS", "check", "11161"),
    ("2 CUPS COLLARD GREENS", "resolved", "11161"),
    ("OIL FOR FRYING", "resolved", "04044"),
    ("SALT", "resolved", "02047"),
    ("Hummus", "check", "16158"),
    ("hummus", "resolved", "16158"),
    ("200 g Hummus", "resolved", "16158"),
    ("Plum jam", "check", "19297"),
    ("Mashed potatoes", "check", "11657"),
    ("mashed potatoes, to serve", "resolved", "11657"),
    ("onion 1/150 g", "resolved", "11282"),  # one, which weighs so much
]


@pytest.mark.parametrize(("line", "code"), [(line, code) for line, _, code in STEPS])
def test_a_verb_before_an_amount_hides_none_of_it(resolver: Resolver, line: str, code: str) -> None:
    """Each row with its amount before the food: it weighs what it weighs as it stands, or is asked about."""
    said = re.fullmatch(r"(.+?),? \(?(\d+ (?:g|kg|ml))\)?", line)
    assert said is not None
    verb, _, food = said[1].partition(" the ") if " the " in said[1] else said[1].partition(" ")
    alone, moved = (resolver.resolve(one).parts for one in (line, f"{verb} {said[2]} {food}"))
    assert moved, "it is no note"
    assert moved[-1].outcome == "check" or (moved[-1].grams, moved[-1].food) == (alone[0].grams, alone[0].food), code


@pytest.mark.parametrize("line", [
    "chop onions", "Chop onions for 5 minutes", "fry onions 10 min", "chill dough 2 hours", "Knead dough, 10 min",
    "Reduce stock to 500 ml", "makes jam 500 g", "Bake in a tin (500 g)", "shape dough into balls of 50 g",
    "Add the onions, fry gently, then stir in flour 50 g", "divide dough 4 x 100 g", "omit salt 5 g",
    "reserve pasta water 200 ml", "skip butter 50 g",
    "increase sugar 50 g", "For the dough (500 g)", "Roll dough 5 mm thick", "drain tuna",
])  # fmt: skip
def test_a_step_that_weighs_no_food_is_a_note(resolver: Resolver, line: str) -> None:
    assert resolver.resolve(line).outcome == "not_food"


MEANT = STATES + DENIED + SHARES + WEIGHTS + STEPS + SKIN + HEADING_OR_FOOD


@pytest.mark.parametrize(("line", "outcome", "code"), MEANT)
def test_what_is_meant(resolver: Resolver, line: str, outcome: str, code: str) -> None:
    (part,) = resolver.resolve(line).parts
    assert part.food is not None
    assert (part.food.id, part.outcome) == (f"sr28:{code}", outcome), part.reasons


def test_the_white_of_another_food_is_none_of_the_eggs(resolver: Resolver) -> None:
    parts = resolver.resolve("2 eggs, 3 leeks, white removed").parts
    assert [part.food.id if part.food else None for part in parts] == ["sr28:01123", "sr28:11246"]


# line -> grams, within a twentieth; first what brackets state in several ways
WEIGHED_TWICE = [
    ("2 lb split chicken breasts, skin removed", 726),  # on the bone, whatever the entry is
    ("2 lb bone-in chicken breasts, skinless", 726),
    ("1 kg chicken breasts, bones removed", 1000),
    ("1.5 kg boned shoulder of veal, in 50 g pieces", 1500),  # how large they are cut
    ("1½ cups shredded mozzarella (6 oz / 170 g)", 170),
    ("1 cup milk (8 oz, 240 ml)", 244),  # fluid ounces
    ("2 baby leeks", 60),
    ("2 leeks", 178),
    ("3 baby fennel bulbs", 240),
    ("6 baby plum tomatoes", 90),
    ("1 rack of lamb (600 g)", 432),  # as "600 g rack of lamb"
    ("2 racks of lamb (about 400 g each)", 576),
    ("600 g rack of lamb", 432),
    ("1 cup mint", 26),  # whole leaves; the table's spoonful is chopped and pressed
    ("1/2 cup chopped mint", 24),
    ("1 tbsp mint", 5.7),
    ("1 (15.25 oz) can corn, drained", 268),  # more brine than in a tin of grams
    ("1 (340 g) tin sweetcorn, drained", 245),
    ("2 glasses red beans, the small dark ones", 330),  # small beans
    ("2 small glasses red beans", 231),
    ("3 glasses of flour, the big ones", 444),
    ("350 g flour / 12 oz", 350),  # behind a slash as in a bracket
    ("Tomatoes 2 medium / 200 grams", 200),
    ("2 onions / about 250 g", 250),
    ("rice 1 cup / 200 gms", 200),
    ("1 onion (1 cup chopped, 150 g)", 150),
    ("1 onion (about 1 cup chopped, 150 g)", 150),
    ("1 onion (150 g, 1 cup chopped)", 150),
    ("1 large zucchini (2 cups grated; 250 g)", 250),
    ("3 very ripe bananas, mashed (1 cup, 225 g)", 225),
    ("1 small pumpkin (4 cups cubed, 1 lb)", 454),
    ("1 head (6 cups florets, 600 g) cauliflower", 600),
    ("2 medium sweet potatoes (peeled, 3 cups diced, 400 g)", 400),
    ("3 ripe bananas (about 1 cup mashed)", 225),  # a volume far from the pieces says how large they are
    ("1 medium onion (1 cup diced)", 160),
    ("2 carrots (1 cup grated)", 122),  # that is as much as two carrots weigh
    ("4 chicken breasts (2 lb, 900 g)", 907),
    ("1 cup flour (120 g, 4 oz)", 120),
    ("2 chops, 1/2 inch (150 g each), pork", 300),
]
# packages: sold by the drained weight in the US, by the contents in grams
PACKAGES = [
    ("1 can (6 oz) pitted black olives, drained", 170),
    ("1 (2.25 oz) can sliced black olives, drained", 64),
    ("1 (4 oz) can mushrooms, drained", 113),
    ("1 (10 oz) jar green olives, drained", 284),
    ("1 can (200 g) black olives, drained", 100),
    ("1 (15 oz) can black beans, drained", 255),
    ("1 (8 oz) can water chestnuts, drained", 141),
]
# bones and skin: none in what is diced, those of the entry that answers, alike by every name of a cut
BONES = [
    ("800g diced lamb neck or shoulder", 800),
    ("500 g lamb neck, cubed", 500),
    ("900 g bone-in chicken thighs, boned", 720),  # weighed before they are out
    ("900 g chicken thighs (bone-in), deboned", 720),
    ("1 kg bone-in leg of lamb, bones removed", 780),
    ("500 g boneless chicken thighs (not bone-in)", 500),
    ("1.4 kg shoulder of lamb on the bone (1 kg boned weight)", 1000),
    ("500 g lamb neck chops", 340),
    ("500 g chicken wings, minced", 500),
    ("1 whole chicken (3 lb), cooked and diced", 925),
    ("1 whole chicken (about 3 lb), cut into pieces, skin off", 653),
    ("1 whole chicken, 1.5 kg, skinned", 720),
    ("1 whole chicken, 1.5 kg", 1020),
    ("1 whole duck, 2 kg, skinned", 680),
    ("1 kg beef shin on the bone", 660),
    ("1 kg beef shanks", 660),
    ("1 kg beef shin", 1000),
    ("500 g diced beef shin", 500),
    ("600 g mackerel, cleaned", 360),
    ("600 g mackerel fillets", 600),
    ("1 kg white grouper, in slices", 900),
    ("300 g tuna steaks", 300),
    ("500 g smoked salmon slices", 500),
    ("1 beef tongue, about 3 lb", 1143),
]
# pieces: names of one family weigh alike, and those of a larger animal more
PIECES = [
    ("4 baps", 240),
    ("4 barm cakes", 240),
    ("4 bread cakes", 240),
    ("4 morning rolls", 240),
    ("4 blaas", 240),
    ("4 pav, slit", 160),
    ("2 stotties", 400),
    ("4 dinner rolls", 112),
    ("1 ox kidney, cored and chopped", 550),
    ("1 calf's kidney", 300),
    ("1 pig's kidney", 233),
    ("1 lamb's kidney", 65),
    ("1 calf's heart", 500),
    ("1 lamb's heart", 130),
    ("1 pig's tongue", 250),
    ("1 lamb's tongue", 120),
    ("10 baby onions", 200),
    ("10 pickling onions", 200),
    ("10 pearl onions", 100),
    ("4 slices Lorne sausage", 220),
    ("1 big bunch of dill", 65),
    ("1 big bunch of parsley", 100),
    ("1 bunch dill", 40),
]
# packs of packs, ranges with hyphens, sizes that are compared
PACKS = [
    ("four 6-to-8-oz salmon fillets", 794),
    ("two 8-to-10-oz steaks", 510),
    ("a four-pack of 80 g tins of tuna in oil, drained", 250),
    ("1 four-pack of 125 g yogurts", 500),
    ("2 x 6-packs of eggs", 600),
    ("2 six-packs of eggs", 600),
    ("1 packet (4 bags of 100 g each) rice", 400),
    ("2 boxes (3 sleeves of 5 oz each) crackers", 850),
    ("2 tins of 400 g tomatoes", 800),
    ("2 boxes of 6 eggs", 600),
    ("1 carton of 1 litre milk", 1031),
    ("2 pouch tuna", 115),  # the word of a package in the food's name
    ("1 jar marinara", 680),
    ("4 chicken breasts of 150 g each", 600),
    ("2 fillets of 150 g salmon", 300),
    ("1 turkey of 5 kg", 3600),
    ("juice of 1 lemon", 48),
    ("and the juice of the other lemon", 48),
    ("zest of another orange", 10),
    ("1 tin of 400 g chickpeas, drained", 240),
    ("butter the size of an egg", 50),
    ("Butter (the size of a walnut)", 15),
    ("2 lumps of butter, the size of an egg", 100),
    ("1 bundle dasheen leaves (10 to 12)", 225),
    ("5 dasheen leaves", 50),
    ("250 g lamb shoulder, in small dice", 250),
    ("1 handful epazote", 12),
]
# what is added behind a bracket, or to what is added already
ADDED = [
    ("1/2 cup sugar (100 g) plus 50 g for topping", 150),
    ("1/2 cup sugar (100 g), plus 1 tbsp", 112.6),
    ("1/2 cup sugar (100 g) + 50 g", 150),
    ("1/2 cup sugar (100 g), and 50 g for topping", 150),
    ("1 cup flour (125 g), plus 1/4 cup for dusting", 156),
    ("1 cup flour (125 g), plus 2 tbsp (16 g)", 141),
    ("1 stick butter (113 g), plus 2 tbsp", 141),
    ("1 lb 4 oz flour plus 50 g for dusting", 617),
    ("1 cup plus 2 tbsp flour (140 g)", 140),
    ("1 cup plus 2 tbsp flour (140 g) plus 20 g for dusting", 160),
    ("1 cup plus 2 tbsp flour (140 g), plus 20 g for dusting", 160),
    ("1 cup sugar (200 g), less 2 tbsp", 175),
    ("1 onion plus another half", 165),
    ("1 onion, plus another half", 165),
    ("1 cup sugar plus another half", 300),
    ("1 cup sugar, plus another half", 300),
    ("1 cup sugar, plus half for topping", 300),
    ("1 onion plus half", 165),
    ("2 eggs plus 1", 150),
]
# a length, of what is counted or of a piece that is asked for
LENGTHS = [
    ("1'' ginger", 8),
    ("3'' piece ginger", 24),
    ("2’’ cinnamon stick", 2),
    ("2 pork chops 2 cm thick", 398),
    ("2 pork chops, 1 inch thick", 398),
    ("1 steak 2 cm thick", 225),
    ("1 banana 18 cm", 118),
    ("1 cucumber 20 cm long", 301),
    ("2 flour tortillas 10 inch", 144),
    ("1 piece ginger 3 cm", 12),
    ("1 daikon 10 cm", 220),
    ("1 lb chicken, 2-inch pieces", 454),
    ("500 g chicken, 5 cm chunks", 500),
]
# a number before a measure is none of a name that holds it: "a2 butter", "a2 milk"
NUMBERS = [
    ("melted 2 tbsp butter", 28.4),
    ("softened 2 tbsp butter", 28.4),
    ("remaining 2 tbsp butter", 28.4),
    ("another 2 tbsp butter", 28.4),
    ("the remaining 2 oz butter", 56.7),
    ("melted 2 sticks butter", 226),
    ("warm 2 cups milk", 488),
    ("remaining 2 cups milk", 488),
    ("soft 1 stick butter", 113),
    ("toasted 7 grain bread 2 slices", 52),
    ("lemon 7 up 1 can", 370),
    ("2 tbsp a2 butter", 28.4),
    ("1 cup A2 milk", 244),
]


WEIGHTS = [*WEIGHED_TWICE, *PACKAGES, *BONES, *PIECES, *PACKS, *NUMBERS, *ADDED, *LENGTHS]


@pytest.mark.parametrize(("line", "grams"), WEIGHTS)
def test_what_it_weighs(resolver: Resolver, line: str, grams: float) -> None:
    (part,) = resolver.resolve(line).parts
    assert part.grams is not None
    assert part.grams.value == pytest.approx(grams, rel=0.05), part.reasons


@pytest.mark.parametrize("line", ["2 eggs plus 2 whites", "2 eggs and 2 whites", "2 eggs, plus 2 large whites"])
def test_whites_beside_eggs_are_theirs(resolver: Resolver, line: str) -> None:
    eggs, whites = resolver.resolve(line).parts
    assert eggs.grams is not None
    assert whites.grams is not None
    assert (eggs.grams.value, whites.grams.value) == (100, 66)
    assert resolver.resolve(line).outcome == "resolved"


_GONE = [
    "leave out 2 eggs", "skip 2 tbsp sugar", "remove 2 egg yolks", "discard 2 egg yolks", "discard 100 g chicken skin",
    "drain 200 g bacon fat", "pour off 100 ml oil", "cut out 2 tbsp sugar", "leave off about 1 tbsp butter",
]  # fmt: skip


@pytest.mark.parametrize("line", _GONE)
def test_what_goes_away_is_not_counted_for_sure(resolver: Resolver, line: str) -> None:
    assert resolver.resolve(line).outcome == "check"


@pytest.mark.parametrize("line", ["drain 1 can chickpeas", "drain 400 g canned tomatoes", "200 g skipjack tuna"])
def test_what_is_drained_is_used(resolver: Resolver, line: str) -> None:
    answer = resolver.resolve(line)
    assert answer.parts
    assert "taken away" not in " ".join(answer.parts[-1].reasons)


@pytest.mark.parametrize("meat", ["1 lb chicken", "1 kg lamb", "beef 1 lb", "1 kg pork"])
def test_how_long_pieces_are_names_no_cut(resolver: Resolver, meat: str) -> None:
    for cut in ("2-inch pieces", "5 cm chunks", "1 inch strips"):
        alone, told = resolver.resolve(meat), resolver.resolve(f"{meat}, {cut}")
        assert told.outcome == alone.outcome
        assert [(part.food, part.grams) for part in told.parts] == [(part.food, part.grams) for part in alone.parts]


_HIDDEN = [
    ("cook 200 g pasta according to packet instructions", 200), ("cook 300 g rice as per packet", 300),
    ("keep 2 tbsp butter back", 28), ("heat 2 tbsp oil in a pan", 25.6), ("warm 1 cup milk in a saucepan", 244),
]  # fmt: skip


@pytest.mark.parametrize(("line", "grams"), _HIDDEN)
def test_food_behind_a_verb_is_asked_about(resolver: Resolver, line: str, grams: float) -> None:
    (part,) = resolver.resolve(line).parts
    assert part.outcome == "check"
    assert part.grams is not None
    assert part.grams.value == pytest.approx(grams, rel=0.1)


@pytest.mark.parametrize(
    "line", ["grease 2 cake tins", "line a 20 cm cake tin", "grease 1 loaf tin with paper", "heat a pan"]
)
def test_tools_behind_a_verb_are_no_food(resolver: Resolver, line: str) -> None:
    assert resolver.resolve(line).outcome == "not_food"


@pytest.mark.parametrize(
    ("line", "outcome"),
    [("1 cup jello", "check"), ("1 cup sugar-free jello", "check"), ("85 g jello", "resolved")],
)
def test_a_cup_of_jelly_may_be_made_or_dry(resolver: Resolver, line: str, outcome: str) -> None:
    assert resolver.resolve(line).outcome == outcome
