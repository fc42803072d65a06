"""The tables of cautions: they load, say of SR28 what its descriptions and the laws say, and name a bad row."""

from __future__ import annotations

import csv
import re
import shutil
from pathlib import Path

import pytest

import service.tables
from service.core.allergens import EU_ANNEX_II, US_MAJOR
from service.core.cautions import safe_temperature
from service.core.composition import Ingredient
from service.core.errors import TableError
from service.core.food import FoodEntry, FoodTable
from service.tables.cautions import load_caution_tables

FOLDER = Path(service.tables.__file__).parent
NAMES = ("allergens.csv", "allergen_words.csv", "safe_temperatures.csv")
TABLES = load_caution_tables(FOLDER)

# Code and description of SR28, and what such a food may contain: by its description, else by its usual recipe
# (common practice, no source). Which of these a law lists is in allergens.csv, with the law.
ENTRIES = [
    ("01001", "Butter, salted", "milk"),
    ("01145", "Butter, without salt", "milk"),
    ("01032", "Cheese, parmesan, grated", "milk"),
    ("01019", "Cheese, feta", "milk"),
    ("01036", "Cheese, ricotta, whole milk", "milk"),
    ("01053", "Cream, fluid, heavy whipping", "milk"),
    ("01069", "Cream substitute, powdered", "milk"),
    ("01077", "Milk, whole, 3.25% milkfat, with added vitamin D", "milk"),
    ("01107", "Milk, human, mature, fluid", ""),
    ("01106", "Milk, goat, fluid, with added vitamin D", "milk"),
    ("01116", "Yogurt, plain, whole milk, 8 grams protein per 8 ounce", "milk"),
    ("01115", "Whey, sweet, dried", "milk"),
    ("01123", "Egg, whole, raw, fresh", "egg"),
    ("01124", "Egg, white, raw, fresh", "egg"),
    ("01138", "Egg, duck, whole, fresh, raw", "egg"),
    ("01144", "Egg substitute, powder", "egg"),
    ("01057", "Eggnog", "egg, milk"),
    ("19095", "Ice creams, vanilla", "milk"),
    ("19090", "Ice creams, french vanilla, soft-serve", "egg, milk"),
    ("01003", "Butter oil, anhydrous", "milk"),
    ("04610", "Margarine, regular, 80% fat, composite, stick, with salt", "milk, soybean"),
    ("04708", "Mayonnaise, reduced fat, with olive oil", "egg, mustard"),
    ("04025", "Salad dressing, mayonnaise, regular", "egg, mustard"),
    ("43015", "Salad dressing, caesar dressing, regular", "egg, fish, milk, mustard, wheat"),
    ("04639", "Salad dressing, ranch dressing, regular", "egg, milk, mustard"),
    ("04053", "Oil, olive, salad or cooking", ""),
    ("04047", "Oil, coconut", ""),
    ("04058", "Oil, sesame, salad or cooking", "sesame"),
    ("04042", "Oil, peanut, salad or cooking", "peanut"),
    ("04044", "Oil, soybean, salad or cooking", ""),
    ("04528", "Oil, walnut", "walnut"),
    ("04501", "Oil, cocoa butter", ""),
    ("04589", "Fish oil, cod liver", "fish"),
    ("04002", "Lard", ""),
    ("04532", "Oil, hazelnut", "hazelnut"),
    ("04529", "Oil, almond", "almond"),
    ("04038", "Oil, wheat germ", "wheat"),
    ("02025", "Spices, nutmeg, ground", ""),
    ("02007", "Spices, celery seed", "celery"),
    ("02024", "Spices, mustard seed, ground", "mustard"),
    ("02015", "Spices, curry powder", "mustard"),
    ("02046", "Mustard, prepared, yellow", "mustard"),
    ("02055", "Horseradish, prepared", "sulphites"),
    ("02068", "Vinegar, red wine", "sulphites"),
    ("02053", "Vinegar, distilled", ""),
    ("02034", "Spices, poultry seasoning", "celery"),
    ("02030", "Spices, pepper, black", ""),
    ("15076", "Fish, salmon, Atlantic, wild, raw", "fish"),
    ("15002", "Fish, anchovy, european, canned in oil, drained solids", "fish"),
    ("15121", "Fish, tuna, light, canned in water, drained solids", "fish"),
    ("15109", "Fish, surimi", "crustacean, egg, fish, soybean, wheat"),
    ("15149", "Crustaceans, shrimp, mixed species, raw (may have been pre", "crustacean"),
    ("15139", "Crustaceans, crab, blue, raw", "crustacean"),
    ("15138", "Crustaceans, crab, alaska king, imitation, made from surim", "crustacean, egg, fish, soybean, wheat"),
    ("15147", "Crustaceans, lobster, northern, raw", "crustacean"),
    ("15242", "Crustaceans, crayfish, mixed species, farmed, raw", "crustacean"),
    ("15167", "Mollusks, oyster, eastern, wild, raw", "molluscs"),
    ("15172", "Mollusks, scallop, mixed species, raw", "molluscs"),
    ("15175", "Mollusks, squid, mixed species, raw", "molluscs"),
    ("90560", "Mollusks, snail, raw", "molluscs"),
    ("15164", "Mollusks, mussel, blue, raw", "molluscs"),
    ("15166", "Mollusks, octopus, common, raw", "molluscs"),
    ("43497", "Jellyfish, dried, salted", ""),
    ("80200", "Frog legs, raw", ""),
    ("12061", "Nuts, almonds", "almond"),
    ("12195", "Nuts, almond butter, plain, without salt added", "almond"),
    ("12120", "Nuts, hazelnuts or filberts", "hazelnut"),
    ("12155", "Nuts, walnuts, english", "walnut"),
    ("12154", "Nuts, walnuts, black, dried", "walnut"),
    ("12087", "Nuts, cashew nuts, raw", "cashew"),
    ("12142", "Nuts, pecans", "pecan"),
    ("12147", "Nuts, pine nuts, dried", "pine nut"),
    ("12151", "Nuts, pistachio nuts, raw", "pistachio"),
    ("12131", "Nuts, macadamia nuts, raw", "macadamia"),
    ("12078", "Nuts, brazilnuts, dried, unblanched", "Brazil nut"),
    ("12635", "Nuts, mixed nuts, dry roasted, with peanuts, with salt add", "nuts of unsaid kind, peanut"),
    ("12138", "Nuts, mixed nuts, oil roasted, without peanuts, without sa", "nuts of unsaid kind"),
    ("12117", "Nuts, coconut milk, raw (liquid expressed from grated meat", ""),
    ("12104", "Nuts, coconut meat, raw", ""),
    ("12098", "Nuts, chestnuts, european, raw, peeled", ""),
    ("12127", "Nuts, ginkgo nuts, raw", ""),
    ("12084", "Nuts, butternuts, dried", ""),
    ("12058", "Nuts, acorns, raw", ""),
    ("12023", "Seeds, sesame seeds, whole, dried", "sesame"),
    ("12166", "Seeds, sesame butter, tahini, from roasted and toasted ker", "sesame"),
    ("12040", "Seeds, sunflower seed butter, without salt", ""),
    ("12006", "Seeds, chia seeds, dried", ""),
    ("12220", "Seeds, flaxseed", ""),
    ("16087", "Peanuts, all types, raw", "peanut"),
    ("16098", "Peanut butter, smooth style, with salt", "peanut"),
    ("16099", "Peanut flour, defatted", "peanut"),
    ("16123", "Soy sauce made from soy and wheat (shoyu)", "soybean, wheat"),
    ("16124", "Soy sauce made from soy (tamari)", "soybean, wheat"),
    ("16426", "Tofu, raw, firm, prepared with calcium sulfate", "soybean"),
    ("16114", "Tempeh", "soybean"),
    ("16112", "Miso", "barley, soybean"),
    ("16113", "Natto", "soybean"),
    ("16117", "Soy flour, defatted", "soybean"),
    ("16120", "Soymilk, original and vanilla, unfortified", "soybean"),
    ("11211", "Edamame, frozen, unprepared", "soybean"),
    ("16076", "Lupins, mature seeds, raw", "lupin"),
    ("11052", "Beans, snap, green, raw", ""),
    ("16071", "Lima beans, large, mature seeds, raw", ""),
    ("16158", "Hummus, commercial", "sesame"),
    ("16138", "Falafel, home-prepared", "sesame, wheat"),
    ("16056", "Chickpeas (garbanzo beans, bengal gram), mature seeds, raw", ""),
    ("16069", "Lentils, raw", ""),
    ("11209", "Eggplant, raw", ""),
    ("11143", "Celery, raw", "celery"),
    ("11141", "Celeriac, raw", "celery"),
    ("11270", "Mustard greens, raw", "mustard"),
    ("11274", "Mustard spinach, (tendergreen), raw", ""),
    ("11485", "Squash, winter, butternut, raw", ""),
    ("11492", "Squash, winter, spaghetti, raw", ""),
    ("11475", "Squash, summer, scallop, raw", ""),
    ("11987", "Mushrooms, oyster, raw", ""),
    ("11588", "Waterchestnuts, chinese, (matai), raw", ""),
    ("11250", "Lettuce, butterhead (includes boston and bibb types), raw", ""),
    ("11437", "Salsify, (vegetable oyster), raw", ""),
    ("11118", "Cabbage, kimchi", "crustacean, fish"),
    ("11749", "Cabbage, common (danish, domestic, and pointed types), fre", ""),
    ("11174", "Corn, sweet, yellow, canned, cream style, regular pack", ""),
    ("11657", "Potatoes, mashed, home-prepared, whole milk added", "milk"),
    ("11372", "Potatoes, scalloped, home-prepared with butter", "milk"),
    ("11937", "Pickles, cucumber, dill or kosher dill", "mustard"),
    ("09077", "Crabapples, raw", ""),
    ("09086", "Custard-apple, (bullock's-heart), raw", ""),
    ("09032", "Apricots, dried, sulfured, uncooked", "sulphites"),
    ("09298", "Raisins, seedless", "sulphites"),
    ("09087", "Dates, deglet noor", ""),
    ("09037", "Avocados, raw, all commercial varieties", ""),
    ("09152", "Lemon juice, raw", ""),
    ("20081", "Wheat flour, white, all-purpose, enriched, bleached", "wheat"),
    ("20084", "Wheat flour, white, cake, enriched", "wheat"),
    ("20011", "Buckwheat flour, whole-groat", ""),
    ("20061", "Rice flour, white, unenriched", ""),
    ("20017", "Corn flour, masa, enriched, white", ""),
    ("20063", "Rye flour, dark", "rye"),
    ("20005", "Barley, pearled, raw", "barley"),
    ("20038", "Oats", "oats"),
    ("20033", "Oat bran, raw", "oats"),
    ("20028", "Couscous, dry", "wheat"),
    ("20012", "Bulgur, dry", "wheat"),
    ("20140", "Spelt, uncooked", "wheat"),
    ("20066", "Semolina, enriched", "wheat"),
    ("20069", "Triticale", "rye, wheat"),
    ("20035", "Quinoa, uncooked", ""),
    ("20109", "Noodles, egg, dry, enriched", "egg, wheat"),
    ("20133", "Rice noodles, dry", ""),
    ("20114", "Noodles, japanese, soba, dry", "wheat"),
    ("20120", "Pasta, dry, enriched", "wheat"),
    ("20091", "Pasta, gluten-free, corn, dry", ""),
    ("48052", "Vital wheat gluten", "wheat"),
    ("18363", "Tortillas, ready-to-bake or -fry, corn", ""),
    ("18364", "Tortillas, ready-to-bake or -fry, flour, refrigerated", "wheat"),
    ("18060", "Bread, rye", "rye, wheat"),
    ("18029", "Bread, french or vienna (includes sourdough)", "wheat"),
    ("18228", "Crackers, saltines (includes oyster, soda, soup)", "wheat"),
    ("18178", "Cookies, oatmeal, commercially prepared, regular", "egg, milk, oats, wheat"),
    ("18185", "Cookies, peanut butter, commercially prepared, regular", "egg, milk, peanut, wheat"),
    ("18133", "Cake, sponge, commercially prepared", "egg, wheat"),
    ("18373", "Leavening agents, cream of tartar", ""),
    ("18375", "Leavening agents, yeast, baker's, active dry", ""),
    ("18371", "Leavening agents, baking powder, low-sodium", ""),
    ("18271", "Ice cream cones, cake or wafer-type", "egg, milk, wheat"),
    ("19312", "Pie fillings, apple, canned", ""),
    ("18239", "Croissants, butter", "egg, milk, wheat"),
    ("18245", "Danish pastry, cheese", "egg, milk, wheat"),
    ("18291", "Pancakes, plain, dry mix, incomplete (includes buttermilk)", "egg, milk, wheat"),
    ("18338", "Phyllo dough", "wheat"),
    ("18360", "Taco shells, baked", ""),
    ("14091", "Beverages, almond milk, unsweetened, shelf stable", "almond"),
    ("14171", "Beverages, coconut milk, sweetened, fortified with calcium", ""),
    ("14639", "Beverages, rice milk, unsweetened", ""),
    ("14003", "Alcoholic beverage, beer, regular, all", "barley, sulphites"),
    ("14096", "Alcoholic beverage, wine, table, red", "sulphites"),
    ("14037", "Alcoholic beverage, distilled, all (gin, rum, vodka, whisk", ""),
    ("14157", "Beverages, carbonated, root beer", ""),
    ("14136", "Beverages, carbonated, ginger ale", ""),
    ("14187", "Beverages, Clam and tomato juice, canned", "molluscs"),
    ("06971", "Sauce, worcestershire", "barley, fish"),
    ("06179", "Sauce, fish, ready-to-serve", "fish"),
    ("06176", "Sauce, oyster, ready-to-serve", "molluscs, soybean, wheat"),
    ("06175", "Sauce, hoisin, ready-to-serve", "sesame, soybean, wheat"),
    ("06112", "Sauce, teriyaki, ready-to-serve", "soybean, wheat"),
    ("06626", "Sauce, pesto, ready-to-serve, refrigerated", "cashew, milk, pine nut"),
    ("27049", "Sauce, tartar, ready-to-serve", "egg"),
    ("06150", "Sauce, barbecue", "fish, mustard, soybean, wheat"),
    ("06043", "Soup, cream of mushroom, canned, condensed", "celery, milk, wheat"),
    ("06030", "Soup, clam chowder, new england, canned, condensed", "celery, fish, milk, molluscs, wheat"),
    ("06174", "Soup, stock, fish, home-prepared", "celery, fish"),
    ("06076", "Soup, beef broth, cubed, dry", "celery"),
    ("06019", "Soup, chicken noodle, canned, condensed", "celery, wheat"),
    ("06116", "Gravy, beef, canned, ready-to-serve", "wheat"),
    ("06037", "Soup, lentil with ham, canned, ready-to-serve", "celery"),
    ("19165", "Cocoa, dry powder, unsweetened", ""),
    ("19120", "Candies, milk chocolate", "milk, nuts of unsaid kind, peanut, soybean"),
    ("19116", "Candies, marshmallows", ""),
    ("19106", "Candies, gumdrops, starch jelly pieces", ""),
    ("19080", "Candies, semisweet chocolate", "milk, nuts of unsaid kind, peanut, soybean"),
    ("19117", "Candies, halavah, plain", "milk, nuts of unsaid kind, peanut, sesame, soybean"),
    ("19335", "Sugars, granulated", ""),
    ("19334", "Sugars, brown", ""),
    ("19177", "Gelatins, dry powder, unsweetened", ""),
    ("19201", "Puddings, vanilla, ready-to-eat", "milk"),
    ("19230", "Frostings, vanilla, creamy, ready-to-eat", "milk, soybean"),
    ("19304", "Molasses", "sulphites"),
    ("23572", "Beef, ground, 80% lean meat / 20% fat, raw", ""),
    ("10060", "Pork, fresh, loin, tenderloin, separable lean only, raw", ""),
    ("10123", "Pork, cured, bacon, unprepared", ""),
    ("07050", "Mortadella, beef, pork", "pistachio"),
    ("07972", "Meatballs, frozen, Italian style", "egg, milk, wheat"),
    ("16104", "Bacon, meatless", "soybean, wheat"),
    ("05631", "Emu, oyster, raw", ""),
    ("05327", "Chicken breast tenders, breaded, uncooked", "egg, milk, wheat"),
    ("21096", "Fast foods, cheeseburger; single, large patty; plain", "milk, wheat"),
    ("21232", "McDONALD'S, FILET-O-FISH", "egg, fish, milk, wheat"),
    ("22954", "Egg rolls, chicken, refrigerated, heated", "egg, wheat"),
    ("08020", "Cereals ready-to-eat, KELLOGG, KELLOGG'S Corn Flakes", "barley"),
    ("19047", "Snacks, pretzels, hard, plain, salted", "wheat"),
    ("19034", "Snacks, popcorn, air-popped", ""),
    ("19059", "Snacks, trail mix, regular", "milk, nuts of unsaid kind, peanut, soybean"),
    ("19015", "Snacks, granola bars, hard, plain", "milk, nuts of unsaid kind, oats, peanut, soybean, wheat"),
    ("19056", "Snacks, tortilla chips, plain, white corn, salted", ""),
    ("19400", "Snacks, banana chips", "sulphites"),
]

# Names as writers have them, false friends among them (common practice, no source).
WRITTEN = [
    ("heavy cream", "milk"),
    ("soy sauce", "soybean, wheat"),
    ("tamari", "soybean"),
    ("mayonnaise", "egg, mustard"),
    ("tahini", "sesame"),
    ("Worcestershire sauce", "barley, fish"),
    ("vegetable stock cube", "celery, milk, soybean, wheat"),
    ("Dijon mustard", "mustard"),
    ("dry white wine", "sulphites"),
    ("coconut milk", ""),
    ("peanut butter", "peanut"),
    ("buckwheat flour", ""),
    ("aubergine", ""),
    ("eggplant", ""),
    ("butternut squash", ""),
    ("buttercup squash", ""),
    ("water chestnuts", ""),
    ("nutmeg", ""),
    ("oyster mushrooms", ""),
    ("king oyster mushroom", ""),
    ("cream of tartar", ""),
    ("almond milk", "almond"),
    ("oat milk", "oats"),
    ("soya milk", "soybean"),
    ("rice milk", ""),
    ("butter beans", ""),
    ("cocoa butter", ""),
    ("butter lettuce", ""),
    ("apple butter", ""),
    ("fish sauce", "fish"),
    ("oyster sauce", "molluscs, soybean, wheat"),
    ("egg noodles", "egg, wheat"),
    ("noodles, egg", "egg, wheat"),
    ("rice noodles", ""),
    ("shirataki noodles", ""),
    ("spaghetti squash", ""),
    ("rye bread", "rye, wheat"),
    ("barley malt", "barley"),
    ("rolled oats", "oats"),
    ("gluten-free oats", "oats"),
    ("gluten-free bread", ""),
    ("surimi sticks", "crustacean, egg, fish, soybean, wheat"),
    ("Caesar dressing", "egg, fish, milk, mustard, wheat"),
    ("plain flour", "wheat"),
    ("almond flour", "almond"),
    ("coconut flour", ""),
    ("crème fraîche", "milk"),
    ("egg-free mayo", "mustard"),
    ("crab apples", ""),
    ("lobster bisque", "crustacean, milk, wheat"),
    ("monk fruit sweetener", ""),
    ("root beer", ""),
    ("beer", "barley, sulphites"),
    ("portobello mushrooms", ""),
    ("sweetbreads", ""),
    ("curry leaves", ""),
    ("chicken curry", "celery, mustard"),
    ("coconut ice cream", "milk"),
    ("walnuts and coconut", "walnut"),
    ("chopped nuts and coconut", "nuts of unsaid kind"),
    ("psyllium husk", ""),
    ("erythritol", ""),
    ("olive oil", ""),
    ("sea bass", "fish"),
    ("goat's cheese", "milk"),
    ("salted butter", "milk"),
    ("filo pastry", "wheat"),
    ("cheese danish", "egg, milk, wheat"),
    ("oysters with crackers", "molluscs, wheat"),
]


def kinds(text: str) -> set[str]:
    return set(filter(None, text.split(", ")))


@pytest.mark.parametrize(("code", "description", "expected"), ENTRIES, ids=[code for code, *_ in ENTRIES])
def test_allergens_of_food_entries(sr28_table: FoodTable, code: str, description: str, expected: str) -> None:
    entry = next(food for food in sr28_table.foods if food.id == f"sr28:{code}")
    assert entry.description.startswith(description)
    assert TABLES.allergens.of(entry.description, entry.group_name) == kinds(expected)


def test_enough_entries_are_looked_at() -> None:
    assert len(ENTRIES) >= 150


@pytest.mark.parametrize(("written", "expected"), WRITTEN, ids=[written for written, _ in WRITTEN])
def test_allergens_of_names_as_written(written: str, expected: str) -> None:
    assert TABLES.allergens.of(written) == kinds(expected)


# A word of a description and what no entry with it, in these groups, may go without.
SURE = [
    ("Dairy and Egg Products", "milk", "milk", {"human"}), ("Dairy and Egg Products", "cheese", "milk", set()),
    ("Finfish and Shellfish Products", "fish", "fish", set()),
    ("Finfish and Shellfish Products", "crustaceans", "crustacean", set()),
    ("Finfish and Shellfish Products", "mollusks", "molluscs", set()),
    ("Baked Products", "wheat", "wheat", {"gluten"}), ("Baked Products", "bread", "wheat", {"gluten"}),
    ("Legumes and Legume Products", "peanut", "peanut", set()),
    ("Legumes and Legume Products", "tofu", "soybean", set()),
    ("Nut and Seed Products", "sesame", "sesame", set()), ("Nut and Seed Products", "almonds", "almond", set()),
    ("Breakfast Cereals", "wheat", "wheat", set()), ("Sweets", "almonds", "almond", set()),
]  # fmt: skip


@pytest.mark.parametrize(("group", "word", "allergen", "but"), SURE, ids=[f"{row[1]} in {row[0]}" for row in SURE])
def test_no_entry_with_a_sure_word_is_missed(
    sr28_table: FoodTable, group: str, word: str, allergen: str, but: set[str]
) -> None:
    missed, met = [], 0
    for food in sr28_table.foods:
        said = set(re.findall("[a-z]+", food.description.lower()))
        if food.group_name == group and word in said and not but & said:
            met += 1
            if allergen not in TABLES.allergens.of(food.description, food.group_name):
                missed.append(food.description)
    assert met
    assert missed == []


def test_every_class_of_the_laws_has_an_allergen_and_every_allergen_a_word() -> None:
    """US: FD&C Act 201(qq), 9 classes; EU and UK: Regulation (EU) 1169/2011 Annex II, 14 classes."""
    allergens = TABLES.allergens.allergens.values()
    assert {one.us for one in allergens} - {""} == set(US_MAJOR)
    assert {one.eu for one in allergens} - {""} == set(EU_ANNEX_II)
    assert (len(US_MAJOR), len(EU_ANNEX_II)) == (9, 14)
    rows = csv.DictReader((FOLDER / "allergen_words.csv").open(encoding="utf-8"))
    brought = {name for row in rows for name in row["brings"].split("|")}
    assert {one.name for one in allergens} <= brought


def test_no_phrase_is_idle() -> None:
    """Each phrase, written as a name of its own, brings what its row says."""
    for row in csv.DictReader((FOLDER / "allergen_words.csv").open(encoding="utf-8")):
        wanted = {name for name in row["brings"].split("|") if name and not name.startswith("no ")}
        for phrase in filter(None, row["food"].split("|")):
            assert wanted <= TABLES.allergens.of(phrase, row["group"].split("|")[0]), phrase


# ---- temperatures ----------------------------------------------------------------------------------------------

# Raw food entries of SR28 and degrees Fahrenheit by the FSIS chart; None: cooked, preserved or no meat, egg or fish.
TEMPERATURES = [
    ("23572", 160), ("23557", 160), ("17224", 160), ("10219", 160), ("05332", 165), ("05062", 165), ("05165", 165),
    ("05139", 165), ("13970", 145), ("10060", 145), ("17013", 145), ("01123", 160), ("01125", 160), ("15076", 145),
    ("15149", 145), ("15167", 145), ("07036", 160), ("05064", None), ("15077", None), ("15121", None), ("01129", None),
    ("15035", 145), ("06174", None), ("10123", None), ("11209", None), ("20109", None), ("06179", None),
    ("04025", None), ("07063", 160), ("07965", 160), ("07254", 165), ("07967", None), ("07022", None),
]  # fmt: skip


@pytest.mark.parametrize(("code", "fahrenheit"), TEMPERATURES, ids=[code for code, _ in TEMPERATURES])
def test_safe_temperatures_of_food_entries(sr28_table: FoodTable, code: str, fahrenheit: int | None) -> None:
    entry = next(food for food in sr28_table.foods if food.id == f"sr28:{code}")
    found = safe_temperature(Ingredient(1, "", entry, None, None), TABLES.temperatures)
    assert (found.fahrenheit if found else None) == fahrenheit, entry.description


# Foods that a writer entered or no table has go by their words.
NAMED = [
    ("chicken wings", 165), ("minced beef", 160), ("ground turkey", 165), ("pork shoulder", 145),
    ("salmon fillets", 145), ("2 eggs", 160), ("venison", 160), ("chicken stock", None), ("smoked salmon", None),
    ("tinned tuna", None), ("egg noodles", None), ("fish sauce", None), ("cooked prawns", None),
    ("vegetarian sausages", None),
]  # fmt: skip


@pytest.mark.parametrize(("name", "fahrenheit"), NAMED, ids=[name for name, _ in NAMED])
def test_safe_temperatures_of_names(name: str, fahrenheit: int | None) -> None:
    for entry in (None, FoodEntry("own:1", name, group_name="Own foods")):
        found = safe_temperature(Ingredient(1, name, entry, None, None), TABLES.temperatures)
        assert (found.fahrenheit if found else None) == fahrenheit


MEATS = ("Beef", "Pork", "Poultry", "Lamb", "Finfish")


def test_raw_meat_and_fish_have_a_temperature(sr28_table: FoodTable) -> None:
    raw = [
        food for food in sr28_table.foods if food.group_name.startswith(MEATS) and food.description.endswith(", raw")
    ]
    missed = {
        food.description
        for food in raw
        if not safe_temperature(Ingredient(1, "", food, None, None), TABLES.temperatures)
    }
    assert len(raw) > 500
    # Fat, and animals that the chart does not name.
    assert missed == {"Beef, variety meats and by-products, suet, raw", "Frog legs, raw", "Turtle, green, raw",
                      "Beef, New Zealand, imported, cube roll, separable lean only, raw",
                      "Beef, New Zealand, imported, cube roll, separable lean and fat, raw"}  # fmt: skip


# ---- bad rows --------------------------------------------------------------------------------------------------

# table, a row appended to it, the column that is blamed
BAD = [
    ("allergens.csv", "kelp,seaweed,,x", "us"),
    ("allergens.csv", "kelp,,seaweed,x", "eu"),
    ("allergens.csv", "kelp,,,x", "us"),
    ("allergens.csv", "kelp,milk,milk,", "source"),
    ("allergens.csv", "milk,milk,milk,x", "allergen"),
    ("allergen_words.csv", ",kelp,,seaweed,x", "brings"),
    ("allergen_words.csv", ",kelp,,no seaweed,x", "brings"),
    ("allergen_words.csv", ",kelp,,milk,", "source"),
    ("allergen_words.csv", ",,,milk,x", "food"),
    ("safe_temperatures.csv", "kelp,,seaweed,,20,0,x", "fahrenheit"),
    ("safe_temperatures.csv", "kelp,,seaweed,,warm,0,x", "fahrenheit"),
    ("safe_temperatures.csv", "kelp,,,,160,0,x", "what"),
    ("safe_temperatures.csv", "kelp,,seaweed,,160,0,", "source"),
    ("safe_temperatures.csv", ",,seaweed,,160,0,x", "food"),
]


@pytest.mark.parametrize(("name", "line", "column"), BAD)
def test_a_bad_row_is_named_by_file_line_and_column(name: str, line: str, column: str, tmp_path: Path) -> None:
    for table in NAMES:
        shutil.copy(FOLDER / table, tmp_path)
    with (tmp_path / name).open("a", encoding="utf-8") as file:
        file.write(line + "\n")
    with pytest.raises(TableError) as raised:
        load_caution_tables(tmp_path)
    lines = (tmp_path / name).read_text("utf-8").count("\n")
    assert (raised.value.file, raised.value.line, raised.value.column) == (name, lines, column)
