"""Lines as chatty or hurried writers leave them: advice, yields, pictures, short forms, what is said of all foods."""

from __future__ import annotations

import pytest

from service.core.analyse import Resolver
from tests.core.reading import assert_read

# line, outcome, (SR28 code, grams) of each part; weights by SR28's measures, pieces by common kitchen practice
WRITTEN = [
    ("600 g boneless chicken thighs, skin left on", "resolved", [("05091", 600)]),
    ("1 kg chicken, skin left on", "resolved", [("05006", 1000)]),
    ("500 g salmon fillet, skin kept on", "resolved", [("15236", 500)]),
    ("1 cup fresh chickpeas", "check", [("16056", 200)]),  # those of the entry are dried
    ("1 cup kidney beans, fresh", "check", [("16032", 184)]),
    ("6 artichoke hearts, fresh", "resolved", [("11007", 180)]),
    ("8 water chestnuts, peeled", "resolved", [("11588", 72)]),
    ("1 tin (400 g) chickpeas, skins slipped off", "resolved", [("16358", 240)]),
    ("1 knuckle of ginger", "resolved", [("11216", 20)]),
    ("1 day ahead: soak the fish", "not_food", []),
    ("2 hours ahead: take the butter out of the fridge", "not_food", []),
    ("1 1-inch knob of ginger", "resolved", [("11216", 8)]),
    ("Net carbs 4 g per roll, fat 12 g", "not_food", []),
    ("Carbs per slice (1/14 loaf): 6 g", "not_food", []),
    ("Each serving has 5 g carbohydrate", "not_food", []),
    ("MARINADE / 24H", "not_food", []),
    ("Marinade (24 h)", "not_food", []),
    ("Broth (20 L pot)", "not_food", []),
    ("yogurt (500 g pot)", "resolved", [("01116", 500)]),
    ("6 cloves garlic, pounded with a 3 cm piece of ginger", "resolved", [("11215", 18), ("11216", 12)]),
    ("1 tsp ea. ground cumin, turmeric", "resolved", [("02014", 2.1), ("02043", 3)]),
    ("salt not included in the above", "not_food", []),
    ("butter (not included in the total), 20 g", "resolved", [("01001", 20)]),
    ("You can swap the butter for 80 ml oil.", "not_food", []),
    ("You can also use 1 cup of frozen peas", "not_food", []),
    ("Tip: one lemon gives roughly 3 tbsp juice.", "not_food", []),
    ("1 lemon yields 3 tbsp juice", "not_food", []),
    ("400 g of raw chicken gives about 280 g once cooked", "not_food", []),
    ("100 g dried beans become 250 g cooked", "not_food", []),
    ("1 lemon, gives about 3 tbsp juice", "check", [("09150", 58)]),
    ("1 cup = 240 ml throughout, and eggs are large unless I say so", "not_food", []),
    ("(The mushrooms shrink a lot, so don't worry.)", "not_food", []),
    ("— Beans & greens —", "not_food", []),
    ("— 200 g rice —", "resolved", [("20044", 200)]),
    ("Eggs x 3 (L)", "resolved", [("01123", 150)]),
    ("4 eggs (M), beaten", "resolved", [("01123", 176)]),
    ("red and yellow peppers, one of each", "resolved", [("11821", 119), ("11951", 119)]),
    ("sugar to taste (I use about 2 tsp)", "check", [("19335", None)]),
    ("salt (I add 1 tsp)", "check", [("02047", None)]),
    ("3 cups of pasta shells, the ones you boiled last night", "check", [("20121", 315)]),
    ("2 cups of rice (that you have already cooked)", "resolved", [("20045", 316)]),
    ("4 slices bacon, crumbled on top once you have cooked it crisp", "resolved", [("10123", 112)]),
    ("200-odd grams of button mushrooms", "resolved", [("11260", 200)]),
    ("2 chicken breasts, 150g apiece", "resolved", [("05062", 300)]),
    ("1/2 c. brn sgr, pkd", "resolved", [("19334", 110)]),
    ("🥕 3 large, grated", "resolved", [("11124", 216)]),
    ("1 🍌 (very ripe), mashed", "resolved", [("09040", 118)]),
    ("3 eggs 🥚", "resolved", [("01123", 150)]),
    ("peas 100g; sweetcorn 100g (both frozen)", "resolved", [("11312", 100), ("11178", 100)]),
    ("peas 100 g, sweetcorn 100 g, both frozen", "resolved", [("11312", 100), ("11178", 100)]),
    ("peas, sweetcorn (both frozen), 100 g each", "resolved", [("11312", 100), ("11178", 100)]),
    ("100 g lentils, 100 g rice (all cooked)", "resolved", [("16070", 100), ("20045", 100)]),
    ("2 carrots, 1 onion, both peeled", "resolved", [("11124", 122), ("11282", 110)]),
    ("150 g chickpeas, from a jar, liquid poured off", "resolved", [("16358", 150)]),
    ("2 tbsp lime juice, adjusted to taste", "resolved", [("09160", 30.8)]),
    ("6 long red peppers, roasted and skinned", "check", [("11921", 714)]),
    ("1 bunch kale, leaves only", "check", [("11233", 225)]),
    ("1 bunch parsley, leaves only", "resolved", [("11297", 45)]),
    ("1 milk tin rice", "check", [("20044", 219)]),
    ("1 stewing hen", "resolved", [("05123", 1000)]),
    # what is said late, far from the noun, or of another food
    ("4 chicken breasts, boneless and skinless (about 600 g in all)", "resolved", [("05062", 600)]),
    ("100 g mustard, leaves and stalks, washed and shredded", "check", [("02046", 100)]),
    ("white rice, 400 g of it, left over from last night", "resolved", [("20045", 400)]),
    ("2 cups brown lentils, measured after boiling", "resolved", [("16070", 396)]),
    ("salmon, 300 g, the sort that comes cold-smoked in slices", "check", [("15236", 270)]),
    ("1.2 kg chicken thighs, weighed once skin and bones are off", "resolved", [("05096", 1200)]),
    ("50 g walnuts, weighed without their shells", "resolved", [("12155", 50)]),
    ("milk, 60 g, the powdered skimmed kind", "check", [("01085", 60)]),
    ("2 cups spinach, cooked, packed", "resolved", [("11458", 360)]),
    ("2 large eggs, yolks not needed", "resolved", [("01124", 66)]),
    ("2 chicken thighs, skin not needed", "resolved", [("05096", 298)]),
    ("125ml red wine (+ a glass for the cook)", "resolved", [("14096", 124)]),
    ("Butter – real butter, please! – 200 g", "check", [("01001", None)]),
    ("All eggs should be at room temperature", "not_food", []),
    ("half of one cup of honey", "resolved", [("19296", 170)]),
    ("zest of 1 lemon, juice of 2", "resolved", [("09156", 6), ("09152", 96)]),
    ("juice of 1 lemon, zest of 2", "resolved", [("09152", 48), ("09156", 12)]),
    ("(don't panic) 40 cloves garlic, unpeeled", "resolved", [("11215", 120)]),
    ("** Herb butter for the fish **", "check", [("01001", None)]),
    ("Marinade (for 1 kg of chicken)", "not_food", []),
    ("salt (for 1 kg of chicken)", "check", [("02047", None)]),
    ("No salt here, the olives bring enough", "not_food", []),
    ("1.2 kg chicken, cut into pieces, skin removed", "resolved", [("05011", 768)]),
    ("1 kg chicken, cut into pieces", "resolved", [("05006", 680)]),
    ("1 kg skinless chicken pieces", "check", [("05011", 1000)]),
    ("1 jar (450 g) vine leaves in brine, drained and rinsed", "resolved", [("11975", 248)]),
    ("1 tin (340 g) corned beef, drained", "check", [("13348", 340)]),
    ("1 tin chickpeas (400 g, 240 g drained)", "resolved", [("16358", 240)]),
    # dots, misspellings, cartons, what a heading is made in
    ("2 fl. oz. dark rum", "resolved", [("14050", 55.6)]),
    ("1 lb lump crabmeat, picked over for shell", "resolved", [("15140", 454)]),
    ("1 tsp bicarb (heaped is too much)", "resolved", [("18372", 4.6)]),
    ("~~100 g~~ 120 g butter", "resolved", [("01001", 120)]),
    ("1 C. brown suger (packed)", "resolved", [("19334", 220)]),
    ("1 tsp vannila extract", "resolved", [("02050", 4.2)]),
    ("2 green chilly", "check", [("11670", 14)]),
    ("2 larg tomatos", "resolved", [("11529", 364)]),
    ("1 carton finely chopped tomatoes (390g)", "resolved", [("11531", 390)]),
    ("1 carton chickpeas", "resolved", [("16058", 425)]),
    ("1 carton cherry tomatoes", "check", [("11529", 280)]),
    ("32 g tomato purée sachet", "resolved", [("11546", 32)]),
    ("2 handfuls small pasta", "resolved", [("20120", 80)]),
    ("2 qts. cider vinegar", "resolved", [("02048", 1910)]),
    ("1 pint dry cider", "resolved", [("14250", 568)]),
    ("2 lts. water, divided", "resolved", [("14411", 2000)]),
    ("½ c walnuts broken up by hand", "resolved", [("12155", 58.5)]),
    ("butter, about the size of a hen's egg", "resolved", [("01001", 50)]),
    ("Bring 3 litres of salted water to the boil and drop in the pasta", "not_food", []),
    ("TIP: a tablespoon of vodka keeps the pastry flaky", "not_food", []),
    ("Potato topping (use a 2 litre dish)", "not_food", []),
    ("yoghurt (500 g pot)", "resolved", [("01116", 500)]),
    ("tomatoes, 1 can, whole, 400 g", "resolved", [("11531", 400)]),
    ("beans, 1 tin, black, 400 g", "resolved", [("16018", 400)]),
    ("1 tin tomatoes, 200 g fresh", "resolved", [("11531", 400), ("11529", 200)]),
    # what looks like these and is not
    ("2 cups of the rice you cooked", "check", [("20045", 316)]),
    ("1 can chickpeas, leave the liquid in", "resolved", [("16058", 425)]),
    ("2 kg clams, shelled after steaming", "check", [("15157", 560)]),
    ("6 apricots, halved, dried", "resolved", [("09032", 42)]),
    ("2 medium tomatoes, sun-dried", "resolved", [("11955", 4)]),
    ("2 tbsp butter and a little more oil", "resolved", [("01001", 28.4), ("04044", None)]),
    ("100g plain white flour, plus a little for dusting", "resolved", [("20081", 100)]),
    ("1 tbsp oil and some for the pan", "resolved", [("04044", 13.6)]),
    ("2 cups rice, 1 cup peas, 1 cup corn, both frozen", "resolved", [("20044", 370), ("11312", 134), ("11178", 136)]),
    ("100 g lentils, 100 g rice, 50 g peas, all cooked", "resolved", [("16070", 100), ("20045", 100), ("11305", 50)]),
    ("2 tbsp oil, you can use butter", "resolved", [("04044", 27.2)]),
    ("1 lemon, zest to taste", "resolved", [("09156", 6)]),
    ("1 lb chicken hearts, cleaned and cut into pieces", "resolved", [("05025", 454)]),
    ("1 kg rabbit meat, cut into pieces", "resolved", [("17177", 1000)]),
    ("do not use water", "not_food", []),
    ("nuts, all chopped", "check", [("12135", None)]),
    ("**butter**", "resolved", [("01001", None)]),
    ("1 tsp salt, adjust to taste", "resolved", [("02047", 6)]),
    ("1 tsp basil, dried leaves", "resolved", [("02003", 0.7)]),
    ("100 g mango, weighed without skin", "resolved", [("09176", 100)]),
    ("butter (unsalted) (cold) 100 g", "resolved", [("01145", 100)]),
    ("love ♥", "not_food", []),
    ("1 tsp mustard (seeds)", "resolved", [("02024", 3.4)]),
    ("400 g beans (butter)", "resolved", [("16071", 400)]),
    ("200 g beetroot, vacuum packed", "resolved", [("11081", 200)]),
    ("500 g goat, bones in, cut small", "resolved", [("17168", 375)]),
    ("1 kg horse meat on the bone", "check", [("17170", 1000)]),
    ("1 kg raw prawns, shell off", "resolved", [("15149", 1000)]),
    ("500 g walnuts, shells on", "resolved", [("12155", 225)]),
    ("1 kg snails in shell", "check", [("90560", 1000)]),
    # an article before a number
    ("a 1-inch piece of ginger", "resolved", [("11216", 8)]),
    ("a 1 inch knob of ginger", "resolved", [("11216", 8)]),
    ("one 1-inch knob of ginger, pounded", "resolved", [("11216", 8)]),
    ("4 cloves garlic and a 1-inch piece of ginger", "resolved", [("11215", 12), ("11216", 8)]),
    ("a 1 kg leg of lamb", "resolved", [("17230", 780)]),
    ("a 1-pound pork tenderloin", "resolved", [("10060", 454)]),
    ("2 tbsp A1 sauce", "resolved", [("27048", 34)]),
    ("1 piece of ginger, 1 inch long", "resolved", [("11216", 8)]),
    ("a good pinch of salt", "resolved", [("02047", 0.72)]),
    ("serves 2-3 with steamed rice", "not_food", []),
]


@pytest.mark.parametrize(("line", "outcome", "parts"), WRITTEN)
def test_what_a_hurried_line_says(
    resolver: Resolver, line: str, outcome: str, parts: list[tuple[str, float | None]]
) -> None:
    assert_read(resolver.resolve(line), outcome, parts)


@pytest.mark.parametrize("added", ["sambal", "zorvani"])
def test_what_is_added_to_taste_is_not_lost(resolver: Resolver, added: str) -> None:
    found = resolver.resolve(f"1 bay leaf, {added} to taste")
    assert (found.outcome, [part.outcome for part in found.parts]) == ("check", ["resolved", "no_match"])


ODD = ("skin with one of each must ... ] sambal", "love:", "rice (white) (long grain) 2 cups")


@pytest.mark.parametrize("line", ODD)
def test_odd_lines_are_read(resolver: Resolver, line: str) -> None:
    assert resolver.resolve(line).line == line


def test_what_comes_of_an_amount_is_said_with_every_total(resolver: Resolver) -> None:
    assert resolver.resolve("1 can chickpeas yields 1 1/2 cups").unread
