"""Hand-written food entries for tests of weighing: household measures as SR28 publishes them (public domain)."""

from __future__ import annotations

from pathlib import Path

import service.tables
from service.core.amount import Amount
from service.core.food import FoodEntry, HouseholdMeasure
from service.core.gram_weight import weigh
from service.core.sisters import sisters
from service.core.weighed_line import GramWeight
from service.tables.weights import load_weight_tables

TABLES = load_weight_tables(Path(service.tables.__file__).parent)
VEGETABLES, FRUITS = "Vegetables and Vegetable Products", "Fruits and Fruit Juices"


def food(
    code: str, description: str, *measures: tuple[float, str, float], refuse: float = 0, group: str = "",
    what: str = "",
) -> FoodEntry:
    rows = tuple(HouseholdMeasure(amount, text, grams, place) for place, (amount, text, grams) in enumerate(measures))
    return FoodEntry(
        f"sr28:{code}", description, group_name=group, refuse_percent=refuse, refuse_text=what, measures=rows
    )


def _foods() -> dict[str, FoodEntry]:
    rows = [
        food(
            "01001",
            "Butter, salted",
            (1, 'pat (1" sq, 1/3" high)', 5),
            (1, "tbsp", 14.2),
            (1, "cup", 227),
            (1, "stick", 113),
        ),
        food(
            "01009",
            "Cheese, cheddar",
            (1, "cup, diced", 132),
            (1, "cup, melted", 244),
            (1, "cup, shredded", 113),
            (1, "slice (1 oz)", 28),
        ),
        food(
            "01053",
            "Cream, fluid, heavy whipping",
            (1, "cup, fluid (yields 2 cups whipped)", 238),
            (1, "cup, whipped", 120),
        ),
        food(
            "01077",
            "Milk, whole, 3.25% milkfat",
            (1, "cup", 244),
            (1, "tbsp", 15),
            (1, "fl oz", 30.5),
            (1, "quart", 976),
        ),
        food(
            "01123",
            "Egg, whole, raw, fresh",
            (1, "large", 50),
            (1, "extra large", 56),
            (1, "jumbo", 63),
            (1, "medium", 44),
            (1, "small", 38),
            refuse=12,
        ),
        food(
            "02044",
            "Basil, fresh",
            (5, "leaves", 2.5),
            (2, "tbsp, chopped", 5.3),
            (0.25, "cup leaves, whole", 6),
            refuse=36,
        ),
        food("02030", "Spices, pepper, black", (1, "tsp, ground", 2.3), (1, "tsp, whole", 2.9)),
        food("02047", "Salt, table", (1, "tsp", 6), (1, "tbsp", 18), (1, "cup", 292), (1, "dash", 0.4)),
        food("04025", "Salad dressing, mayonnaise, regular", (1, "tbsp", 13.8), (1, "cup", 220)),
        food("04053", "Oil, olive, salad or cooking", (1, "tablespoon", 13.5), (1, "cup", 216), (1, "tsp", 4.5)),
        food(
            "05006",
            "Chicken, broilers or fryers, meat and skin, raw",
            (1, "unit (yield from 1 lb ready-to-cook chicken)", 276),
            (0.5, "chicken, bone removed", 460),
            refuse=32,
        ),
        food(
            "05057",
            "Chicken, broilers or fryers, breast, meat and skin, raw",
            (0.5, "breast, bone removed", 145),
            refuse=20,
        ),
        food("09059", "Breadfruit, raw", (1, "cup", 220), (0.25, "fruit, small", 96), refuse=22),
        food("05091", "Chicken, broilers or fryers, thigh, meat and skin, raw", (1, "thigh with skin", 193)),
        food("09037", "Avocados, raw, all commercial varieties", (1, "cup, cubes", 150), refuse=26, group=FRUITS),
        food(
            "09038",
            "Avocados, raw, California",
            (1, "cup, pureed", 230),
            (1, "fruit, without skin and seed", 136),
            refuse=33,
        ),
        food(
            "09040",
            "Bananas, raw",
            (1, "cup, sliced", 150),
            (1, 'small (6" to 6-7/8" long)', 101),
            (1, 'medium (7" to 7-7/8" long)', 118),
            (1, 'large (8" to 8-7/8" long)', 136),
            refuse=36,
            group=FRUITS,
        ),
        food("09152", "Lemon juice, raw", (1, "cup", 244), (1, "fl oz", 30.5), (1, "lemon yields", 48)),
        food("09156", "Lemon peel, raw", (1, "tbsp", 6), (1, "tsp", 2)),
        food("09195", "Olives, pickled, canned or bottled, green"),
        food(
            "09316",
            "Strawberries, raw",
            (1, "cup, halves", 152),
            (1, "cup, pureed", 232),
            (1, "cup, whole", 144),
            (1, "pint as purchased, yields", 357),
            (1, "NLEA serving", 147),
        ),
        food(
            "11090",
            "Broccoli, raw",
            (1, "cup chopped", 91),
            (1, "bunch", 608),
            (0.5, "cup, chopped or diced", 44),
            refuse=39,
            group=VEGETABLES,
        ),
        food(
            "11124",
            "Carrots, raw",
            (1, "cup chopped", 128),
            (1, "cup grated", 110),
            (1, "cup strips or slices", 122),
            (1, 'large (7-1/4" to 8-1/2" long)', 72),
            (1, "medium", 61),
            (1, 'small (5-1/2" long)', 50),
            refuse=11,
            group=VEGETABLES,
        ),
        food(
            "11143",
            "Celery, raw",
            (1, "cup chopped", 101),
            (1, 'stalk, large (11"-12" long)', 64),
            (1, 'stalk, medium (7-1/2" - 8" long)', 40),
            (1, 'stalk, small (5" long)', 17),
            refuse=11,
            group=VEGETABLES,
        ),
        food("11167", "Corn, sweet, yellow, raw", (1, 'ear, medium (6-3/4" to 7-1/2" long) yields', 102), refuse=64),
        food("11215", "Garlic, raw", (1, "cup", 136), (1, "tsp", 2.8), (1, "clove", 3), refuse=13, group=VEGETABLES),
        food("11147", "Chard, swiss, raw", (1, "leaf", 48), refuse=8, group=VEGETABLES),
        food("11233", "Kale, raw", (1, 'cup 1" pieces, loosely packed', 16), refuse=28, group=VEGETABLES),
        food("11246", "Leeks, (bulb and lower leaf-portion), raw", (1, "leek", 89), refuse=56, group=VEGETABLES),
        food(
            "11282",
            "Onions, raw",
            (1, "cup, chopped", 160),
            (1, "cup, sliced", 115),
            (1, "large", 150),
            (1, 'medium (2-1/2" dia)', 110),
            (1, "small", 70),
            (10, "rings", 60),
            refuse=10,
            group=VEGETABLES,
        ),
        food("11297", "Parsley, fresh", (1, "cup chopped", 60), (1, "tbsp", 3.8), (10, "sprigs", 10)),
        food(
            "11352",
            "Potatoes, flesh and skin, raw",
            (0.5, "cup, diced", 75),
            (1, 'Potato medium (2-1/4" to 3-1/4" dia)', 213),
            refuse=25,
            group=VEGETABLES,
        ),
        food(
            "11529",
            "Tomatoes, red, ripe, raw, year round average",
            (1, "cup cherry tomatoes", 149),
            (1, "cup, chopped or sliced", 180),
            (1, "Italian tomato", 62),
            (1, "cherry", 17),
            (1, 'large whole (3" dia)', 182),
            (1, 'medium whole (2-3/5" dia)', 123),
            (1, 'small whole (2-2/5" dia)', 91),
        ),
        food("11677", "Shallots, raw", (1, "tbsp chopped", 10)),
        food(
            "12061",
            "Nuts, almonds",
            (1, "cup, whole", 143),
            (1, "cup, sliced", 92),
            (1, "cup, ground", 95),
            (1, "oz (23 whole kernels)", 28.35),
            (1, "almond", 1.2),
            refuse=60,
        ),
        food(
            "10052",
            "Pork, fresh, loin, sirloin (chops or roasts), bone-in, separable lean and fat, raw",
            (1, "roast without refuse (Yield from 1 raw roast, with refuse, weighing 1817g)", 1327),
            refuse=27,
        ),
        food(
            "10210",
            "Pork, fresh, loin, sirloin (chops or roasts), boneless, separable lean and fat, raw",
            (1, "chop", 210),
            refuse=6,
        ),
        food(
            "10214",
            "Pork, fresh, loin, sirloin (chops or roasts), boneless, separable lean only, raw",
            (1, "chop", 210),
            refuse=7,
        ),
        food(
            "13478",
            'Beef, short loin, t-bone steak, bone-in, separable lean only, trimmed to 1/8" fat, all grades, raw',
            (1, "steak", 460),
            refuse=39,
        ),
        food(
            "23005",
            'Beef, short loin, t-bone steak, separable lean and fat, trimmed to 1/8" fat, all grades, raw',
            (1, "steak", 460),
            refuse=25,
            what="Bone and connective tissue 25%",
        ),
        food(
            "17236",
            'Lamb, domestic, loin, separable lean and fat, trimmed to 1/8" fat, choice, raw',
            (1, "steak, excluding refuse (yield from 1 raw steak, with refuse, weighing 102 g)", 79),
            refuse=22,
        ),
        food("09144", "Jackfruit, raw", (1, "cup, sliced", 165), refuse=72, group=FRUITS, what="Seeds and skin"),
        food(
            "09164",
            "Litchis, raw",
            (1, "fruit without refuse", 9.6),
            refuse=40,
            group=FRUITS,
            what="Shell and seeds",
        ),
        food("11211", "Edamame, frozen, unprepared", (1, "cup", 118)),
        food("12097", "Nuts, chestnuts, european, raw, unpeeled", (1, "cup", 145), refuse=26, what="Shells"),
        food("12151", "Nuts, pistachio nuts, raw", (1, "cup", 123), refuse=47, what="Shells"),
        food("16087", "Peanuts, all types, raw", (1, "cup", 146)),
        food("12118", "Nuts, coconut milk, canned", (1, "cup", 226), (1, "tbsp", 15)),
        food(
            "12155",
            "Nuts, walnuts, english",
            (1, "cup, chopped", 117),
            (1, "cup, in shell, edible yield (7 nuts)", 28),
            (1, "oz (14 halves)", 28.35),
            refuse=55,
            what="Shells",
        ),
        food("14003", "Alcoholic beverage, beer, regular, all", (1, "fl oz", 29.7), (1, "can", 356)),
        food("15076", "Fish, salmon, Atlantic, wild, raw", (3, "oz", 85), (0.5, "fillet", 198)),
        food(
            "15121",
            "Fish, tuna, light, canned in water, drained solids",
            (1, "can", 165),
            (1, "cup, solid or chunks", 154),
        ),
        food("15149", "Crustaceans, shrimp, mixed species, raw", (1, "medium", 6), (1, "small", 5), (4, "large", 28)),
        food("15164", "Mollusks, mussel, blue, raw", (1, "cup", 150)),
        food("16070", "Lentils, mature seeds, cooked, boiled, without salt", (1, "cup", 198)),
        food("16317", "Beans, black, mature seeds, canned, low sodium", (1, "cup", 240)),
        food("17230", "Lamb, domestic, leg, whole, separable lean and fat, choice, raw", refuse=22),
        food(
            "18364",
            "Tortillas, ready-to-bake or -fry, flour, refrigerated",
            (1, "tortilla", 48),
            (1, 'tortilla medium (approx 6" dia)', 30),
            (1, 'tortilla (approx 10" dia)', 72),
        ),
        food("19165", "Cocoa, dry powder, unsweetened", (1, "cup", 86), (1, "tbsp", 5.4)),
        food("19334", "Sugars, brown", (1, "tsp unpacked", 3), (1, "cup packed", 220), (1, "cup unpacked", 145)),
        food("20081", "Wheat flour, white, all-purpose, enriched, bleached", (1, "cup", 125)),
        food("23567", "Beef, ground, 85% lean meat / 15% fat, raw", (3, "oz", 85)),
        food("C1600", "Longan, dried", (100, "ml", 55.284), (125, "ml", 69.106), (225, "ml", 12439),
             (250, "ml", 138.21), (60, "ml", 31.171)),
        food("F11589", "Horseradish", (1, "decilitre", 45), (1, "tablespoon", 10)),
        food("90001", "Cheese, Greyfen, semi-hard"),
        food("90002", "Oil, thistle, cold pressed"),
    ]
    return {row.code: row for row in rows}


FOODS = _foods()
SISTERS = sisters(FOODS.values())


def of(
    code: str,
    amount: Amount | None,
    phrase: str = "",
    *,
    cut: str = "",
    said: str = "",
    states: str = "",
    as_purchased: bool = False,
    drained: bool = False,
    taken: str | None = None,
) -> GramWeight:
    """The gram weight of an amount of the food of this code; words are parted by spaces."""
    tokens, cuts = tuple(phrase.split()), frozenset(cut.split())
    return weigh(
        amount,
        FOODS[code],
        words=frozenset(said.split()) | frozenset(tokens) | cuts,
        states=frozenset(states.split()),
        tokens=tokens,
        preparations=cuts,
        as_purchased=as_purchased,
        drained=drained,
        taken=taken,
        tables=TABLES,
        sisters=SISTERS.get(FOODS[code].id, ()),
    )


def amount(
    number: float,
    measure: str | None = None,
    *,
    to: float | None = None,
    size: str | None = None,
    heap: str | None = None,
    about: bool = False,
    package: Amount | None = None,
    plus: Amount | None = None,
    also: Amount | None = None,
    behind: bool = False,
) -> Amount:
    most = number if to is None else to
    return Amount(number, most, measure, size, heap, about, package, plus, also, behind=behind)
