"""From lines to answers over all of SR28: which entry, how sure, and when the answer is none."""

from __future__ import annotations

import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.core.analyse import Resolver
from service.core.errors import InputError, NotFoundError
from service.core.line_list import in_their_list

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
    ("1 tbsp vinegar 9%", "check", "02053"),  # stronger than the entry
    ("200 g feta 40%", "check", "01019"),
    ("25 g yeast", "check", "18375"),  # fresh in Europe
    ("25 g instant yeast", "resolved", "18375"),
    ("7 g yeast", "resolved", "18375"),
    ("2 tbsp wholegrain mustard", "check", "02046"),  # a stand-in
    ("1 can chickpeas, drained", "resolved", "16358"),  # the trade knows one size of can
    ("1 jar chickpeas, drained", "check", "16358"),  # jars are of any size
    ("150 g pan-fried aubergine", "check", "11210"),  # the entry is boiled, without the fat
    ("8 sardines, scaled and gutted", "check", "15039"),  # fresh, where no can is said
    ("6 lamb loin chops, trimmed", "resolved", "17236"),
    ("1 rack of lamb, tied", "resolved", "17239"),
    ("1 tin mandarin segments, drained", "check", "09383"),
    ("1 bottle gourd, grated", "resolved", "11218"),
    ("1 cup mashed lentils", "resolved", "16070"),  # what is mashed was cooked
    ("200 g zorvani butter", "check", "01001"),  # a word that nobody knows
    ("4 cloves, minced", "resolved", "11215"),  # of garlic, the spice is not minced
    ("5 cloves, lightly crushed", "check", "11215"),
    ("1 bunch mustard, washed", "resolved", "11270"),  # by the bunch a plant, not the sauce
    ("6 leaves lime", "no_match", None),  # no fruit
    ("3 drops pear flavouring", "no_match", None),  # no pear
    ("1 tbsp thyme, leaves stripped", "resolved", "02049"),  # stripped of its stalks, so fresh
    ("1 turnip (rutabaga)", "resolved", "11435"),  # a bracket that names another food says which is meant
    ("1 cup corn flour (cornstarch)", "resolved", "20027"),
    ("1 yellow capsicum (bell pepper)", "resolved", "11951"),
    ("200 g harina de maiz (yellow cornmeal)", "check", "20317"),  # of the bracket only the noun is known
    ("2 cups brolo (coconut cream)", "check", "12115"),  # the bracket's own usual kind
    ("zorvani / lobio", "check", "16032"),  # without an amount it may be a title
    ("Zorvani almond granola", "check", "08037"),
    ("6 eggs (3 whole, 3 yolks)", "resolved", "01123"),  # and the yolks by themselves
    ("3 lemons (2 juiced, 1 sliced)", "resolved", "09152"),
    ("2 onions (1 red, 1 white)", "resolved", "11282"),
    ("1 keto bagel", "check", "18001"),  # the table has none
    ("1 cup low-carb milk", "check", "01077"),
    ("1 rye bread", "check", "18060"),  # a loaf or a slice
    ("400 g sliced peaches in syrup", "resolved", "09241"),  # sliced, but not raw
    ("1 tbsp diced red pepper", "resolved", "11821"),
    ("600 g lamb with fat", "check", "17226"),  # no fat
    ("6 garlic", "check", "11215"),  # cloves or heads
    ("half a tuber of yam", "check", "11601"),  # from 350 g to 4 kg
    ("butter, size of an egg", "resolved", "01001"),
    ("butter, size of a fist", "check", "01001"),  # no table weighs that
    ("1 lb lean ground beef (94/6)", "check", "23562"),  # shares of lean and fat that the entry has not
    ("5 palm nut fruits", "no_match", None),  # no Brazil nuts
    ("2 lb stew beef", "resolved", "23093"),  # no stew
    ("2 rib eye steaks", "resolved", "23201"),  # no ribs of some eye steak
    ("1 rib roast", "resolved", "13824"),
    ("2 rib celery", "resolved", "11143"),
    ("2 8 oz strip steaks", "resolved", "23388"),
    ("1 slice of turnip, the size of a hand", "check", "11564"),  # no table weighs that
    ("1 winter melon", "check", "11593"),  # pieces differ by several times; so the next
    ("1 bok choy", "check", "11116"),
    ("1/2 onion thin slices", "check", "11282"),  # half an onion, or half a slice
    ("3 onion slices", "resolved", "11282"),
    ("2 tbsp xì dầu", "resolved", "16123"),  # sauce, no oil
    ("1 lb catfish steaks", "resolved", "15234"),  # no beef
    ("4 flakes garlic", "check", "11215"),  # cloves in India, dried garlic elsewhere
    ("salt n pepper", "resolved", "02047"),
    ("patols 6", "no_match", None),  # a gourd, no duck
    ("1 tsp mirchi", "resolved", "02031"),  # by the spoon, ground
    ("2 tbsp gheee", "check", "01003"),  # a short word put right
    ("3 tbsp ghee or oil + 1 tsp cumin seeds", "check", "01003"),  # an amount is not counted; so the next three
    ("chicken breast, cut in strips 400g", "check", "05062"),
    ("500 g pork belly, marinated in 2 tbsp soy sauce and 1 tbsp sugar", "check", "10005"),
    ("2 cucumbers, mixed with 1 tsp salt", "check", "11205"),
    ("100 g pasta, cooked in salted water", "resolved", "20120"),  # what is cooked so was weighed dry
    ("250 g cooked pasta", "resolved", "20121"),
    ("2 tbsp (25 g) cocoa powder", "check", "19165"),  # 10.8 g by the spoon
    ("2 tbsp (40 g) honey", "resolved", "19296"),
    ("300 g flour (200 g white, 100 g wholemeal)", "resolved", "20081"),
    ("3 eggs (+ 1 yolk)", "resolved", "01123"),
    ("200 g cheese (half cheddar, half mozzarella)", "resolved", "01009"),
    ("60g light cheddar slices", "check", "01270"),
    ("1 c milk (skim)", "resolved", "01085"),
    ("2 portions cooked brown rice (about 250 g)", "resolved", "20037"),
    ("6 ser potatoes", "check", "11352"),  # what lies between the number and the food may be a measure
    ("1 fifth bourbon", "check", "14052"),
    ("1 whole chicken breast on the bone (about 700 g)", "resolved", "05057"),
    ("100 g cheese (feta)", "resolved", "01019"),  # a bracket that only qualifies
    ("100 g pickled mustard seeds", "no_match", None),
    ("600 g potatoes, mashed", "resolved", "11352"),  # weighed as bought
    ("150 g yogurt without fruit", "check", "01116"),  # denied, so no fruit yogurt
    ("flour without 00, 00 flour", "check", "20081"),  # said and denied: asked, and the reading ends
    ("2 tbsp mayonnaise without egg", "check", "04025"),  # no entry is
    ("5 egg yolks (freeze the whites)", "resolved", "01125"),  # a bracket that tells what to do
    ("300 g apricots in syrup", "resolved", "09027"),  # canned, though no can is said
    ("90 g raisins soaked in apple juice", "check", "09298"),  # and these are not
    ("1 cup herbs - chervil, tarragon, dill", "check", "02045"),  # several foods, one is counted
    ("500 g mixed berries (blueberries, raspberries)", "check", "09302"),
    ("300 g beef mince, 11% fat", "check", "23572"),  # a share of fat that no entry has
    ("400 g rice cakes, sliced", "check", "19051"),  # by weight they may be no snack
    ("1/4 cup coconut flour", "no_match", None),
    ("1 c. evap. milk", "resolved", "01096"),
    ("2 c. A.P. flour", "resolved", "20081"),
    ("1 (12 oz) can frozen orange juice concentrate", "resolved", "09214"),  # a can that holds it
    ("1 can (540 ml) maple syrup", "resolved", "19353"),  # a can changes no syrup
    ("1 (16.3 oz) can refrigerated biscuits", "resolved", "18014"),
    ("1/2 cup coconut milk (from a carton)", "check", "12118"),  # that of cartons is thinned, the entry is of a can
    ("saltine crackers, to serve", "resolved", "18228"),  # what goes beside a dish is no title of it
    ("tostadas, for serving", "resolved", "18952"),
    ("1/2 cup brown sugar substitute", "check", "19909"),  # by the cup of very different weights
    ("1 tsp rose water", "no_match", None),
    ("7 oz shirataki noodles", "no_match", None),
    ("300 g 豆腐", "no_match", None),
    ("9 garlic cloves, left whole", "resolved", "11215"),  # no spice
    ("9 whole cloves", "resolved", "02011"),
    ("180 g sunflower seeds, ground to a flour", "resolved", "12036"),  # weighed before
    ("140 g raw almonds, ground to a flour", "resolved", "12061"),  # with their skins
    ("310 g ground almonds", "resolved", "12062"),
    ("2 onions, fried till brown", "resolved", "11282"),  # counted before
    ("220 g black beans from a tin", "resolved", "16018"),  # not dry
    ("260 g white beans, drained", "resolved", "16050"),
    ("700 g white beans, rinsed and drained", "check", "16049"),  # or out of a tin
    ("16 lady fingers", "check", "11278"),  # a vegetable, or biscuits
    ("100 g feta (goat cheese works too)", "resolved", "01019"),
    ("1/2 c. chopped gr. pepper", "resolved", "11333"),  # no cup of black pepper
    ("1 gr. pepper, sliced", "resolved", "11333"),
    ("250 gr. pepper, sliced", "check", "11333"),
    ("2 gr. peppers", "resolved", "11333"),
    ("2 cl. garlic", "resolved", "11215"),
    ("1 can cr. of chick. soup", "resolved", "06016"),
    ("2 c. cottage ch.", "resolved", "01012"),
    ("1/2 c. p. butter", "resolved", "16098"),
    ("2 tbsp óleo", "resolved", "04044"),
    ("2 tbsp oleo", "resolved", "04610"),
    ("1 pimentón rojo", "resolved", "11821"),
    ("2 tbsp alcaparras", "resolved", "02054"),
    ("1 can chicken", "check", "05311"),  # from 5 oz on; it is no can of broth
    ("1 can moist coconut", "check", "12110"),  # no coconut milk
    ("1 pot roast (4 lb)", "resolved", "13809"),  # no pot of roast meat
    ("1 round steak", "check", "13891"),  # a whole slice of the round, or a portion
    ("1 qt shelled butter beans", "resolved", "11031"),  # fresh
    ("1 c. coconut", "check", "12109"),  # fresh or dried, which a recipe card leaves out
    ("1 cup pecan meats", "resolved", "12142"),  # no coconut
    ("6 pimento peppers", "check", "11821"),  # seasoning peppers, or sweet ones
    ("1/2 breadfruit, peeled", "check", "09059"),  # from 280 g to 1.6 kg; so the next
    ("1 papaya", "check", "09226"),
    ("1 large papaya", "resolved", "09226"),
    ("6 eggs", "resolved", "01123"),
    ("1 lb prunes, raisins, currants", "check", "09291"),  # of the others nobody says how much
    ("1 tsp salt, pepper", "resolved", "02047"),
    ("2 eggs, parsley to garnish", "resolved", "01123"),
    ("1 cup milk (I use evaporated)", "resolved", "01096"),  # what the writer took; so the next six
    ("1 cup milk, I used skim", "resolved", "01085"),
    ("1 cup milk - we use 2%", "resolved", "01079"),
    ("1 lb ground meat (I used turkey)", "resolved", "05167"),
    ("1 cup nuts (we like toasted pecans)", "resolved", "12143"),
    ("1 onion (I use my food processor)", "resolved", "11282"),  # no food
    ("2 tbsp oil (I use a spray)", "resolved", "04044"),
    ("Butter (1 part to 2 parts chicken; 1/4 works fine)", "resolved", "01001"),
    ("2 kg veal bones, roasted", "no_match", None),  # mostly what nobody eats
    ("1 kg zorvani (white grouper)", "resolved", "15031"),
    ("1 tsp huacatay (black mint) paste", "no_match", None),
    ("4 lb Saigon", "no_match", None),  # no misspelled drink
    ("5 verdeos (scallions)", "resolved", "11291"),  # no slip for "verde"
    ("3 slices Swiss", "resolved", "01040"),
    ("30 g butter per person", "check", "01001"),  # for how many is not said
    ("1 cube chicken stock", "resolved", "06081"),  # no liquid
    ("1 small tin evaporated milk", "check", "01096"),  # the usual tin is not small
    ("2 cups pulled pork", "check", "22972"),  # with a sauce or without
    ("2 tbsp zorble (cumin seeds)", "resolved", "02014"),  # the bracket says what it is
    ("1 tsp turmeric (saffron powder)", "check", "02037"),  # two names of two foods
    ("200 g zorble or cod", "resolved", "15015"),  # the line names what may stand in
    ("12 callaloo (dasheen) leaves", "resolved", "11520"),  # the leaves of what the bracket names
    ("12 dasheen (taro) leaves, chopped", "resolved", "11520"),
    # a bracket of several foods: its parts, or kinds of which nobody knows how much
    ("1.2 kg chicken legs (thigh + drumstick)", "resolved", "05075"),
    ("4 eggs (yolks and whites)", "resolved", "01123"),
    ("4 eggs (whites and yolks separated)", "resolved", "01123"),
    ("500 g fish (cod, haddock)", "check", "15015"),
    ("1 cup mushrooms (shiitake and oyster)", "check", "11260"),
    ("200 g mixed nuts (almonds and cashews)", "check", "12135"),
    ("1 chicken (liver and heart reserved)", "check", "05006"),
    ("200 g sour cream (yogurt, creme fraiche)", "check", "01056"),
    # the only cooked entry may be of what the line does not mean; so may the food be that something only imitates
    ("200 g grilled figs", "check", "09095"),
    ("200 g stewed prunes", "resolved", "09292"),
    ("200 g meatless mince", "check", "23572"),
    ("200 g imitation bacon", "check", "10123"),
    ("100 g meatless meatballs", "resolved", "43132"),
    ("1 tsp imitation vanilla extract", "resolved", "02052"),
    # what is compared, served under it or set apart says nothing of the food
    ("1 cup milk, served over rice", "resolved", "01077"),
    ("1 cup milk (about as much as the rice)", "resolved", "01077"),
    ("200 g pasta (see rice recipe)", "resolved", "20120"),
    ("200 g pasta, dipped in egg", "resolved", "20120"),
    ("250 g boneless chicken thigh with skin", "resolved", "05091"),
    ("1/2 cup dried ful", "resolved", "16052"),  # mature seeds are dried
    ("half the butter", "check", "01001"),  # of which another line states how much
    ("1 clove garlic or 1/4 tsp garlic powder", "resolved", "11215"),
    ("2 su su", "resolved", "11149"),  # chayote by its Vietnamese name
    ("100 g su", "no_match", None),
    ("2 kg paprika", "check", "02028"),  # so many may be peppers
    ("1 lb. gr. beef", "resolved", "23572"),
    ("1/2 tsp gr. pepper", "resolved", "02030"),
    ("1.200g beef mince", "check", "23572"),  # the dot of many countries parts thousands
    ("1 onion / 2 shallots", "check", "11282"),  # either may be meant
    ("1 tbsp sugar, less 1 cup", "check", "19335"),
    ("1/2 the onion", "check", "11282"),
    ("4 chicken thighs wrapped in bacon", "resolved", "05091"),
    ("6 eggs, 3 hard boiled", "check", "01129"),
    ("1/2 cup oil (olive or canola)", "resolved", "04053"),
    ("1 kg lamb, leg", "resolved", "17230"),  # the cut behind the animal
    ("juice of 1 sour orange", "no_match", None),  # no sweet one
    ("1 tsp ginger", "check", "02021"),  # by the spoon it may be ground or fresh
    ("1 tsp ginger, grated", "resolved", "11216"),
    ("butter (not salted) 100 g", "resolved", "01145"),
    ("100 g peanuts, neither salted nor roasted", "resolved", "16087"),
    ("2 apples, no skin", "resolved", "09004"),
    ("1 cucumber, no peel", "resolved", "11206"),
    ("200 g rice, weighed after cooking", "resolved", "20045"),
    ("1 cup pancake mix (buchim garu)", "check", "18291"),  # the bracket names what the table lacks
    ("1 labanos (white radish)", "check", "11430"),  # both names are of one entry
    ("1 cup moong dal, dry roasted", "resolved", "16080"),  # roasting boils nothing
    ("1/2 cup roasted urad dal", "resolved", "16083"),
    ("50 g roasted peanuts", "resolved", "16390"),
    ("1 cup rice, dry roasted", "resolved", "20044"),
    ("250 g cockles, shelled", "check", "35028"),  # weighed with the shells or without
    ("250 g shelled cockles", "resolved", "35028"),
    ("2 tins tomatoes (800 g)", "check", "11531"),  # of each or of both
    ("2 portions soba noodles, dried", "check", "20114"),
    ("2 seer fish slices", "resolved", "15049"),  # no kitchen tool
    ("Carbs: 1 cup cooked rice", "resolved", "20045"),  # no label: a part of a meal
    ("Carbs: 20 g", "not_food", None),
    ("1/2 cup toor dal, pressure cooked", "check", "16102"),  # measured dry or cooked
    ("Garlic cloves - 6 nos", "resolved", "11215"),
    ("1 cup masoor dal (red lentils)", "resolved", "16144"),  # both names are of one entry
    ("1 scoop unflavoured whey", "check", "14066"),  # by the scoop a powder
    ("1 cup whey", "resolved", "01114"),
    ("200 g roast pumpkin", "resolved", "11644"),  # an adjective, no joint
    ("300 g roast beef", "check", "07043"),
    ("2 raw bananas", "check", "09040"),  # unripe ones, for Indian cooks
    ("1 ripe mango, peeled and diced", "resolved", "09176"),
    ("1 chicken, not too fat, cut up", "resolved", "05006"),
    ("1 cup chole, soaked overnight", "resolved", "16056"),
    ("Chole", "not_food", None),  # alone it is the dish
    ("1 cup leche (milk), skimmed", "resolved", "01085"),  # a bracket's word with the fat that is said behind it
    ("1 lb beef top round, cubed", "resolved", "13891"),  # the cut, not cubed beef
    ("mince 5% fat 500 g", "resolved", "23557"),
    ("or 100 g butter", "check", "01001"),  # it may stand in for the line before
    ("2 cups flour, 1 cup wholemeal", "resolved", "20081"),  # and the wholemeal by itself
    ("2 eggs on toast", "check", "01123"),
    ("2 slices bread soaked in milk", "check", "18069"),  # no milk bread
    ("1 tin peaches sliced in juice", "check", "09238"),
    ("100 g dried tofu", "check", "16426"),  # another food than the fresh
    ("1 egg for each pie", "check", "01123"),  # nobody says how many pies
    ("2 tbsp rice for each pepper", "check", "20044"),
    ("1 pineapple, peel only", "check", "09266"),  # not the flesh; so the next two
    ("1 lemon, peel only", "check", "09150"),
    ("6 potatoes, skins only", "check", "11352"),
    ("2 beetroots, leaves only", "check", "11080"),
    ("1 bunch chard, leaves only", "check", "11147"),
    ("200 g rice, cooked", "check", "20045"),  # weighed before or after; so the next two
    ("1 cup lentils, boiled", "check", "16070"),
    ("1 cup soaked chickpeas", "check", "16056"),  # so before or after soaking
    ("500 g chickpeas (soaked weight)", "check", "16056"),
    ("1 cup chickpeas, soaked overnight", "resolved", "16056"),
    ("1 cup rice washed and soaked", "resolved", "20044"),
    ("300 g macaroni (cooked weight)", "resolved", "20121"),
    ("500 g sukuma, boiled", "resolved", "11162"),  # without the salt that the line does not say
    ("300 g cooked skinless chicken", "resolved", "05013"),  # not fried
    ("500 g patty pans", "resolved", "11475"),  # a squash, though bakers have such pans
    ("low carb: 300 g cauliflower rice", "check", "11135"),  # a food for whom the label names
    ("1 bunch zorvani (basil)", "resolved", "02044"),  # by the bunch the fresh herb
    ("1 bunch dill (dereotu)", "resolved", "02045"),
    ("2 tbsp Turkish coffee", "no_match", None),  # by the spoon ground, the table has the drink
    ("1 can whole tomatoes, crushed by hand", "resolved", "11531"),
    ("2 loaves pita bread", "check", "18041"),  # flat breads, not of a pound each
    ("1 jar (14 oz) lingonberries", "check", "35030"),  # what is sold in a jar is sweetened or pickled, not raw
    ("1 jar (700 g) red cabbage", "check", "11112"),
    ("600 g salt cod, desalted", "check", "15018"),  # soaked, it holds water in place of salt
    ("500 g pork rind", "check", "19041"),  # so much of it may be raw skin
    ("50 g pork rinds, crushed", "resolved", "19041"),
    ("200 ml sour cream 12%", "resolved", "01055"),
    ("3 tbsp sour cream (20%)", "resolved", "01056"),
    ("500 g Hackfleisch, gemischt", "check", "23572"),  # of two beasts
    ("600 g mixed minced meat (beef and lamb)", "check", "23572"),
    ("135g pack raspberry jelly", "check", "19300"),  # a dessert, where it is sold so
    ("2 tbsp raspberry jelly", "resolved", "19300"),
    ("4 herring fillets in oil", "check", "15039"),  # out of a jar
    ("4 herring fillets, fried in oil", "check", "15039"),
    ("500 g prawns in their shells", "resolved", "15149"),
    ("100 g trucha ahumada", "check", "15114"),  # smoked, in the cook's own language
    ("100 g smoked bacon (boczek wędzony)", "resolved", "10123"),
    ("1 x 500g/1lb 2oz pack mince", "resolved", "23572"),
    ("400g/14oz tin chickpeas, drained", "resolved", "16358"),
    ("3 tbsp sourdough", "no_match", None),  # the starter
    ("100 g sourdough", "check", "18029"),
    ("24 small onions", "check", "11282"),  # button onions
    ("100 g almond flour, partially defatted", "no_match", None),
    ("100 g peanut flour, partially defatted", "resolved", "16100"),
    ("120 g mackerel in tomato", "no_match", None),  # out of a tin
    ("300 ml milk 1.5%", "resolved", "01079"),
    ("1/2 lb ham, diced", "resolved", "10182"),
    ("1 egg <img src=x onerror=alert(1)>", "resolved", "01123"),
    ("1 egg src=x", "check", "01123"),  # no "1 batch = 16 buns"
    ("1 cup almond, soy, or coconut milk", "resolved", "14091"),
    ("4 cups chicken, beef, or vegetable stock", "resolved", "06172"),
    ("2 tbsp butter, ghee or coconut oil", "resolved", "01001"),  # there is no ghee oil
    ("1/2 tsp freshly grated ginger", "check", "02021"),
    ("quantities for 4: 400 g rice", "resolved", "20044"),
    ("my homemade jam", "resolved", "19297"),
    ("quick 5 minute polenta", "check", "20022"),
    ("After 1 hour turn the meat", "not_food", None),
    ("for every 500 g flour", "not_food", None),
    ("4 broccoli stalks only", "resolved", "11741"),
    ("200 g roast potatoes", "check", "11674"),
    ("100 g raw ham", "check", "10182"),
    ("2 cups chicken, cooked and chopped", "resolved", "05013"),  # cups are not filled with raw meat
    ("4 cups brown rice, cooked", "check", "20037"),
    ("2 slices rye bread with butter", "check", "18060"),  # the butter is not counted
    ("1 pita with hummus", "check", "18041"),
    ("2 crackers with cheese", "check", "18214"),  # cheese crackers, or cheese beside crackers
    ("400 g tomatoes with basil", "resolved", "11529"),
    ("2 pancakes with maple syrup", "check", "18293"),
    ("6 slices bacon, cooked", "resolved", "10862"),  # counted alike before and after
    ("1 bowl of oatmeal", "check", "08120"),
    ("chicken thighs with skin, 600 g", "resolved", "05091"),
    ("1 lb macaroni, cooked", "check", "20121"),  # which may have been weighed dry
    ("1 lb bacon, cooked and crumbled", "check", "10862"),
    ("2 cups cooked rice", "resolved", "20045"),
    ("200 g rice (cooked)", "resolved", "20045"),
    ("200 g half-cooked rice", "check", "20044"),
    ("200 g half-cooked potatoes", "resolved", "11352"),
    ("1 bowl of rice", "check", "20044"),
    ("1 daikon", "check", "11430"),  # from 150 g to 1.5 kg
    ("3 in daikon", "check", "11430"),
    ("8 small eggplants", "check", "11209"),
    ("1 small eggplant", "resolved", "11209"),
    ("red pepper to taste", "resolved", "02031"),
    ("1 can (10 count) biscuits", "check", "18014"),
    ("In the morning", "not_food", None),  # though descriptions have the word
    ("One batch", "not_food", None),
    ("For the dressing:", "not_food", None),
    ("Polish, Czech and Hungarian", "not_food", None),
    ("", "not_food", None),
]


@pytest.mark.parametrize(("line", "outcome", "code"), ANSWERS)
def test_answers(resolver: Resolver, line: str, outcome: str, code: str | None) -> None:
    result = resolver.resolve(line)
    food = result.parts[0].food if result.parts else None
    assert (result.outcome, food.code if food else None) == (outcome, code)
    assert result.line == line


SIZED = [  # vague measures follow the size that is said
    (".5 tbsp ground allspice", 3), ("a handful of kale", 25), ("a small handful of kale", 17.5),
    ("a large handful of kale", 35),
    ("4 oranges", 524), ("150 ml sour cream", 145.8), ("1 brace of pheasants", 1500),
    ("1 small glass of milk", 142), ("1 glass of brandy", 60), ("1 small glass brandy", 42),
    ("1 cup rice, half cooked", 185),  # SR28 20044: dry
    ("an egg-sized knob of lard", 50), ("1 nip salt", 0.4), ("1 saucisse de Morteau", 350), ("1 rookworst", 275),
    ("1 pimiento verde", 90), ("12 guindillas", 96), ("500 g amêijoas", 140), ("1 packet budyń", 40),
]


@pytest.mark.parametrize(("line", "grams"), SIZED)
def test_weights_that_were_wrong_once(resolver: Resolver, line: str, grams: float) -> None:
    weight = resolver.resolve(line).parts[0].grams
    assert weight is not None
    assert weight.value == pytest.approx(grams, rel=0.01)


# line, lowest and highest grams that a cook could mean: common kitchen practice unless a source stands beside it
MEANT = [
    ("1/2 onion thin slices", 35, 75),
    ("2 tomatoes wedges", 180, 370),
    ("1 tomato slices", 90, 185),
    ("3 onion slices", 27, 114),
    ("black pepper, a bit", 0.1, 2),
    ("1 Korean radish", 500, 1500),
    ("1 whole garlic", 24, 65),  # a head
    ("4 roti", 120, 220),
    ("2 fuzzy melons", 500, 1200),
    ("tamarind - lemon size", 15, 50),
    ("1 pao dahi", 233, 251),
    ("rice 2 go", 260, 330),
    ("1 stalk negi", 60, 150),  # no scallion
    ("4 pork escalopes", 320, 560),  # no chops
    ("1 kg crabs", 200, 450),  # whole ones
    ("5 lb live crayfish", 280, 500),
    ("1 broccoli, in florets", 225, 450),  # a head, no stalk
    ("1 whole garlic", 24, 65),  # a bulb
    ("1 small piece jaggery", 5, 30),
    ("2 cups sifted flour", 215, 245),  # 115 g a cup, where it is sifted first
    ("2 cups flour, sifted", 240, 255),
    ("1 cup sifted cake flour", 92, 105),
    ("1 (6 count) package english muffins", 330, 350),  # SR28: 57 g each
    ("1.5 kg leg of lamb", 1100, 1250),  # sold on the bone where nothing else is said
    ("1.5 kg boneless leg of lamb", 1490, 1510),
    ("2 in ginger", 10, 22),
    ("1 cup mint leaves", 15, 45),  # SR28 02064; the 91 g that 02065 gives are chopped
    ("1 cup packed mint leaves", 25, 60),
    ("1/4 cup chopped mint", 6, 23),
    ("1 cup celery leaves", 15, 40),
    ("1 smoked ham hock (about 1 kg)", 400, 700),  # smoked on its bone
    ("200 g shredded ham hock", 200, 200),
    ("1 quince", 120, 250),
    ("2 long or 4 short cucumbers", 480, 730),  # the first of two, which has its noun from the second
    ("200 g halloumi, or 250 g feta", 250, 250),  # of what no table has, its alternative with an amount of its own
    ("1 tbsp harissa or 1 tsp cayenne", 1.6, 2),
    ("2 preserved lemons or lemons", 100, 180),  # without one, the amount of the first
    ("4 lamb shanks (about 400 g each)", 700, 830),  # SR28 refuse 17228: 52 %
    ("4 goat shanks", 500, 1000),
    ("1.5 kg lamb knuckles", 750, 1130),  # shanks with their bone
    ("1 kg beef knuckle", 1000, 1000),  # a boneless cut of the round
    ("1 lump of sugar", 2, 8),
    ("1 small spoon turmeric", 1.5, 4.5),
    ("4 fingers of plantain", 480, 1000),
    ("1 cup elbow macaroni", 121, 123),  # SR28 20120
    ("2 cups penne", 189, 191),
    ("1 celery, diced", 39, 41),  # SR28 11143: a medium stalk 40 g
    ("4 slices veal shank", 500, 1150),
    ("4 slices cucumber", 12, 48),
    ("1 kg lamb shoulder, bone out", 950, 1000),
    ("2 cups packed kale", 38, 70),  # SR28 11233: 16 g a cup, loosely packed
    ("2 cups kale", 31.9, 32.1),
    ("1/2 cup coriander leaves, loosely packed", 7, 9),  # SR28 11165: a quarter cup 4 g
    ("1 bunch parsley, leaves picked", 30, 55),
    ("1 telegraph cucumber, peeled", 215, 400),
    ("100 g \u0441rab meat", 99, 101),  # with a Cyrillic letter
    ("1 EL Butter", 13, 16),  # 15 ml, common practice in German kitchens
    ("3 TL sugar", 11, 14),
    ("2 stone of potatoes", 12_690, 12_710),  # 14 lb each
    ("1 (4 lb) chicken", 1100, 1300),  # counted and weighed: as bought, with bones; SR28 05006 refuse 32 %
    ("1 papaya (about 900 g)", 520, 620),  # SR28 09226 refuse 38 %
    ("2 mangoes, 700 g", 450, 560),  # SR28 09176 refuse 29 %
    ("2 tins chickpeas (drained weight 240 g)", 480, 480),  # of each, as labels state it
    ("1 x 400g tin chickpeas (240g drained weight)", 240, 240),
    ("2 jin pork belly, skin on", 1000, 1000),
    ("1 tin evaporated milk 385 ml", 400, 420),  # SR28 01096: 31.9 g a fluid ounce
    ("3 tins pilchards in tomato sauce (155 g each)", 465, 465),  # the sauce is eaten
    ("500 g prawns without shells", 500, 500),
    ("1 honeydew", 850, 1280),  # SR28 09184
    ("1 fuyu persimmon", 150, 190),  # SR28 09263; no fermented tofu
    ("1 cherry yogurt", 100, 227),  # a pot, no cherry
    ("1 cup sour cream and onion chips", 20, 40),
    ("1 cup Splenda", 20, 30),  # from memory: labels state 24 g
    ("1 spaghetti squash (about 3 lb)", 900, 1020),  # SR28 11492 refuse 29 %
    ("1 coconut (700 g)", 330, 400),  # SR28 12104 refuse 48 %
    ("200 g whole pistachios", 200, 200),  # whole kernels
    ("12 mozzarella pearls", 90, 200),
    ("1 mozzarella", 100, 227),  # a ball
    ("3 peaches (450 g)", 425, 455),  # eaten with the skin
    ("4 lamb shanks (400 g each), off the bone", 1550, 1650),
    ("1 no. 10 can tomatoes", 2850, 3350),  # 6 lb 6 oz to 7 lb 5 oz
    ("6 green chillies, split", 18, 80),
    ("1 red chilli, shredded", 8, 20),
    ("1 green chile, charred", 35, 60),  # SR28 11670: 45 g
    ("3 bird's eye chillies, bruised", 2, 9),
    ("10 dried red chillies, broken", 6, 20),  # SR28 11962: 0.5 g; arbol and the like about 1 g
    ("2 dried pasilla chiles, toasted", 12, 16),  # SR28 11982: 7 g
    ("1 chuck roast, tied", 1000, 1800),
    ("1 pork butt, rind scored", 1800, 4000),
    ("2 chuck steaks", 350, 600),
    ("6 chicken pieces, bone in", 450, 900),
    ("1 rotisserie chicken, picked", 450, 750),  # SR28 05009: half a bird 299 g
    ("1 lb broccoli as purchased", 276, 277),  # SR28 11090: refuse 39 %
    ("1 kg avocados (as bought)", 660, 680),  # SR28 09038: refuse 33 %
    ("800 g chicken, curry cut", 500, 600),  # SR28 05006: refuse 32 %
    ("600 g lamb neck fillet, diced", 600, 600),  # sold without bone
    ("1 French-trimmed rack of lamb (500 g)", 330, 400),  # SR28 17420 and kin
    ("3 cooking spoons palm oil", 90, 170),
    ("1 fuet", 130, 250), ("2 yogurt pots of flour", 120, 180), ("1 lemon", 50, 90),
    ("1 small spoon salt", 4, 7), ("1 Pfund potatoes", 500, 500), ("1 teacupful milk", 120, 215),
    ("peel of 1 lemon", 4, 20), ("1 piece of lemon peel", 1, 4), ("2 flat tbsp flour", 14, 20),
    ("2 goose legs", 440, 900), ("4 guinea fowl legs", 360, 800), ("2 pheasant legs", 160, 320),  # no whole birds
    ("1 rabbit loin", 50, 250), ("2 octopus tentacles", 120, 700), ("1 kg veal knuckle", 450, 750),
    ("2 in piece of cucumber", 24, 100), ("2in piece cucumber", 24, 100), ("1 9-in pie shell", 150, 240),
    ("1 in piece root ginger", 5, 20), ("4 in piece of leek", 24, 120), ("6 courgettes in pieces", 1000, 1300),
    ("1 spring cabbage", 250, 700), ("1 vegetable marrow", 500, 1500), ("1 miniature of brandy", 44, 50),
    ("1 wineglass olive oil", 55, 130),  # 2 fl oz in old books, 120 ml in Greece
    ("1 Greek coffee cup olive oil", 45, 85),
    ("2 saddles of rabbit", 400, 900),
    ("4 carp steaks", 480, 920),
    ("1/2 cube yeast", 12, 25),
    ("0,5 dl chopped dill", 5, 12),  # Fineli 369: a tablespoon 2.5 g
    ("4 slices crispbread", 20, 80),  # SR28 18216: 10 g
    ("1 tea glass red lentils", 75, 110),
    ("a lime-sized ball of tamarind", 15, 50),
    ("a few drops of chilli oil", 0.1, 1.2),
    ("2 tbsp toasted slivered almonds", 11, 15),  # SR28 12061: 108 g a cup
    ("1 cup crushed pork rinds", 25, 60),
    ("1/2 tsp stevia extract powder", 0.5, 1.4),
    ("3 qts chicken stock", 2700, 3000),
    ("1 bunch bananas", 450, 800),
    ("12 sambar onions (the small ones)", 90, 170),
    ("250 ml cream, softly whipped", 240, 265),  # measured before it is whipped
    ("2 sea bream (350 g each)", 330, 450),  # whole fish yield about 55 %, FAO
    ("2 tsp kosher salt", 5.6, 10),  # 2.8 to 5 g a teaspoon
    ("1/2 cup panko", 22, 35),
    ("1 cup orzo", 160, 205),
    ("1 daikon, 12 cm piece", 120, 300),
    ("1 carrot, 2 cm pieces", 50, 80),  # cut up, not two centimetres of it
    ("3 flour tortillas (10-inch)", 210, 220),  # SR28 18364: 72 g
    ("6 pork cheeks", 210, 600),
    ("30 mussels", 150, 350),
    ("8 chicken wings, jointed", 350, 650),
    ("1 aubergine, cubed", 220, 400),
    ("2 bulbs kohlrabi", 220, 450),
    ("900 g raw shrimp, shell on", 630, 790),  # tails lose about a fifth
    ("900 g whole prawns, heads on", 400, 600),  # and whole ones nearly half
    ("3 chicken leg quarters", 500, 1000),
    ("1 smoked turkey leg", 150, 450),
    ("6 rashers streaky bacon", 90, 170),  # 12 to 20 to 300 g as sold
    ("4 slices white bread, crusts off", 60, 104),
    ("1 soda bread", 300, 900),  # a loaf, no slice
    ("1 bundle long beans", 120, 400),
    ("3 turkey breast steaks", 240, 510),  # "from whole bird" is no bird chilli
    ("1 turkey neck", 80, 250),  # nor the whole bird
    ("2 goose breasts", 400, 900),
    ("1 Thai mango", 180, 410),
    ("tomatoes 4 (500 g)", 500, 500),  # a weight behind a number is of all, as before the food
    ("eggs 3 (180 g in shell)", 150, 180),
    ("2 bags spinach (400 g total)", 400, 400),
    ("Butter.....100 g", 100, 100),
    ("2 eggs plus 1 for brushing", 150, 150),
    ("75g plus 25g butter", 100, 100),
    ("11/2 cups flour", 170, 200),  # SR28 20081: 125 g a cup
    ("2*400g tins tomatoes", 800, 800),
    ("120g peeled banana", 120, 120),
    ("3 bananas (300 g peeled)", 300, 300),
    ("500 g prawns (300 g peeled)", 300, 300),
    ("500 g unpeeled potatoes", 500, 500),  # SR28 11352 is of flesh and skin
    ("two potatoes weighing 400 g", 400, 400),
    ("4 salmon fillets, each weighing 125 g", 500, 500),
    ("1 whole chicken (1.5 kg), boiled and shredded", 900, 1200),  # SR28 05006 refuse 32 %
    ("1 kg mussels in shell, steamed", 150, 350),  # common kitchen practice: a quarter of it is meat
    ("juice of 12 limes (about 1 cup)", 235, 250),  # SR28 09160: 242 g a cup
    ("2 cups rice, cooked in 4 cups water", 350, 400),  # SR28 20044: 185 g a cup, dry
    ("1 can chickpeas (240 g drained)", 240, 240),
    ("2 lb, 8 oz chicken thighs", 1130, 1140),
    ("1 kg, 200 g potatoes", 1200, 1200),
    ("200 g, 7 oz butter", 200, 200),  # said twice
    ("1 cup, plus 2 tablespoons sugar", 223, 229),
    ("2 cups, less 1 tablespoon, flour", 241, 243),  # SR28 20081: 125 g a cup
    ("1 cup sugar, less 2 tbsp", 173, 178),
    ("1-8 oz pkg cream cheese", 226, 228),  # a count before a size, no range
    ("2-14.5 oz cans tomatoes", 820, 824),
    ("10-12-oz. package frozen peas", 283, 341),
    ("400g x 2 tins tomatoes", 800, 800),
    ("mushrooms 2 x 250g", 500, 500),
    ("l cup sugar", 200, 202),  # as scanners read it
    ("2 L eggs", 90, 128),  # their size
    ("1 half red onion", 35, 75),
    ("2 packs of 6 eggs", 456, 768),
    ("1 quart, 4 cups milk", 960, 976),  # the same said again
    ("4 tablespoons, 1/4 cup butter", 56, 57),
    ("2-5 oz cans tuna", 190, 260),
    ("1-3 inch piece of ginger", 5, 45),
    ("1 L egg whites", 970, 1080),
    ("2 gr nutmeg", 2, 2),
    ("1 half dozen eggs", 228, 384),
    ("3 eggs, whites and yolks separated", 114, 192),
    ("500grams flour", 500, 500),
    ("1 pineapple, 600 g net", 600, 600),
    ("1 small pumpkin (about 1 kg), peeled: 700 g flesh", 700, 700),
    ("1 / 2 cup sugar", 100, 101),
    ("1.1/2 cups flour", 187, 188),
    ("butter or margarine (100 g)", 100, 100),
    ("1 cup rice cooked in 2 cups water", 185, 185),  # SR28 20044, dry
    ("1 cup water at 110 F", 225, 249),
    ("1 cup plus 2 tbsp (126 g) almond flour", 126, 126),  # the weight is of both
    ("1 cup plus 2 tbsp flour (140 g)", 140, 140),
    ("1 cup (112 g) plus 2 tbsp (14 g) almond flour", 126, 126),
    ("1 cup (112 g) + 2 tbsp (14 g) almond flour", 126, 126),
    ("1 tin (400 g, 235 g drained) chickpeas", 235, 235),
    ("1 can (400g/240g drained) white beans", 240, 240),
    ("1 tin (400 g, drained) chickpeas", 220, 264),
    ("500gmince", 500, 500),
    ("2/3rds cup sugar", 125, 140),
    ("1/2 a cup sugar", 95, 105),
    ("300 g dasheen, peeled weight", 300, 300),  # as the line says, and so the next five
    ("1 kg potatoes (peeled weight)", 1000, 1000),
    ("200 g potatoes (weighed peeled)", 200, 200),
    ("500 g cherries, pitted weight 400 g", 400, 400),
    ("500 g cherries (400 g pitted weight)", 400, 400),
    ("1 kg chestnuts (shelled weight 500 g)", 500, 500),
    ("1 kg potatoes, peeled (about 5)", 800, 950),  # SR28 11352 refuse 25 %, in part
    ("2 cauliflower steaks", 200, 600),
    ("2 English muffins, split", 90, 140),  # SR28 18258: 57 g
    ("4 x large carrots", 280, 300),  # SR28 11124: 72 g
    ("1/2 doz eggs", 228, 384),  # SR28 01123: 38 to 64 g
    ("1 Korean pear", 110, 350),  # SR28 09340; no chilli
    ("2 slices rye bread (13 g carbs each)", 50, 90),  # the carbohydrate is no weight
    ("2 green plantains, fried", 190, 360),  # SR28 09277: 179 g; its fried entry is measured in slices
    ("3 tostones", 24, 120),  # slices
    ("1 kit kat", 40, 46),  # SR28 19109: a bar 42 g, no wafer
    ("2 tins (400 g/235 g drained) chickpeas", 470, 470),
    ("2 x 400 g tins chickpeas (480 g drained weight)", 480, 480),  # no tin of 400 g drains to 480 g
    ("2 cups flour, 1 cup wholemeal", 240, 255),  # SR28 20081; the wholemeal is a food of its own
    ("500 g flour, 100 g rye", 500, 500),
    ("600 g avocado with skin and stone", 390, 410),  # SR28 09038 refuse 33 %
    ("600 g avocado, skin and stone removed", 400, 480),
    ("500 g mango without skin and stone", 500, 500),
    ("1 kg watermelon with rind", 500, 540),  # SR28 09326 refuse 48 %
    ("1 kg watermelon, rind removed", 480, 620),
    ("500 g bananas, with skin", 310, 330),  # SR28 09040 refuse 36 %
    ("300 g cherries with stones", 270, 280),  # SR28 09070 refuse 8 %
    ("200 g brie with rind", 200, 200),
    ("500 g potatoes, skin on", 500, 500),
    ("500 g corn with husk", 175, 185),  # SR28 11167 refuse 64 %
    ("500 g prawns, heads off", 360, 500),  # no weight of whole ones
    ("2 lemons with rind, sliced", 110, 170),  # SR28 09150; no zest
    ("1 avocado pit removed", 110, 165),
    ("1 c.à.s. sugar", 12, 13.5),  # 15 ml, no cup
    ("1 pincée de sel", 0.2, 0.8),
    ("2 Zehen Knoblauch", 6, 6),
    ("1 vine of cherry tomatoes", 120, 300),
    ("2 heirloom carrots", 100, 150),  # no tomatoes
    ("12 egg roll wrappers", 380, 390),  # SR28 18368: 32 g
    ("12 jumbo pasta shells", 84, 168),  # no sheets of lasagne
    ("10 chocolate chips", 2, 6),  # SR28 19080: about 60 to the ounce
    ("20 mini pretzels", 12, 40),
    ("1 flank steak", 400, 1000),
    ("1 london broil", 450, 1300),
    ("1 tomahawk steak", 400, 1000),
    ("1 summer sausage", 200, 900),
    ("4 Italian sausages", 360, 460),  # SR28 07036: 91 and 113 g
    ("1 lamb neck", 250, 700),
    ("4 lamb neck chops", 180, 520),
    ("8 chicken drumettes", 120, 320),
    ("4 chicken cutlets", 280, 720),
    ("1 slice pound cake", 28, 60),  # SR28 18121: a twelfth of 12 oz; no pat of butter
    ("1 slice cornbread", 40, 95),
    ("2 slices white toast", 40, 48),  # SR28 18070: 22 g, no thin slice
    ("2 hoagie rolls", 110, 260),
    ("6 tartlet shells", 48, 240),
    ("6 baby squid", 60, 360),
    ("1 whole cod", 350, 2500),
    ("24 cockles", 24, 144),
    ("8 salad potatoes", 240, 800),
    ("3 baby beets", 60, 165),
    ("2 large beetroot", 200, 500),
    ("1 elephant garlic clove", 10, 50),
    ("1 half lemon", 29, 42),
    ("1 half-stick of butter", 54, 60),
    ("juice of 6 key limes", 24, 120),  # common kitchen practice: 10 g each
    ("zest of 1 lime", 2, 6),
    ("1 stalk of celery (about 8 inches)", 17, 64),  # SR28 11143; so long is a stalk
    ("6 inches of kielbasa", 120, 270),  # SR28 07970
    ("1 cup crushed ice", 118, 178),
    ("3 salsify", 120, 420),  # no oysters, though it is called one
    ("4 pork scallops", 280, 680),  # no shellfish
    ("9 lasagna noodles", 135, 270),
    ("1 silken tofu", 100, 400),  # a block, no slice
    ("a drop of milk", 0.05, 20),
    ("1 piece of cucumber 5 cm", 25, 100),
    ("2 pieces ginger 3 cm", 15, 60),
    ("500 g T550 flour", 500, 500),  # a number in a name counts nothing
    ("100 g omega 3 margarine", 100, 100),
    ("450 g of lamb leg meat, diced", 450, 450),  # what is diced has no bone
    ("500 g lamb shoulder, cubed", 500, 500),
    ("2 loaves white bread", 800, 1600),
    ("1 baguette loaf, sliced", 250, 350),
    ("2 Lebanese eggplants", 120, 340),
    ("2 jitomates saladet", 100, 170),
    ("3 kipfler potatoes", 120, 390),
    ("1 kumara", 150, 450),
    ("4 ajies dulces", 4, 40),
    ("8 oz tamarind pods", 60, 110),  # SR28 09322: two thirds are pod and seed
    ("1 can Coco Lopez", 400, 450),  # 15 oz, as labelled
    ("2 cups sifted cake flour", 190, 230),
    ("1 cup pork rind crumbs", 25, 71),
    ("2 lb chicken backs", 440, 600),  # SR28 05048
    ("1 kg chicken nibbles", 520, 700),  # joints of the wing
    ("1 lb smoked turkey legs", 300, 380),  # the entry is without its bone
    ("2 cups pretzel twists", 70, 120),
    ("2 field mushrooms", 80, 240),
    ("1 cup stuffing mix", 38, 80),
    ("8 street taco tortillas", 90, 160),
    ("2 burrito-size tortillas", 120, 234),
    ("6 blue corn tortillas", 108, 240),
    ("2 Kirby cucumbers", 100, 280),
    ("1 Butterfinger", 50, 60),
    ("1 cup cooked ground beef", 105, 150),
    ("1 cup crumbled bacon", 75, 115),
    ("1 cup banana chips", 65, 95),
    ("1 cup jelly beans", 170, 210),
    ("1/2 cup marshmallow creme", 35, 60),
    ("2 cups tortilla chips", 45, 90),
    ("2 lb snow crab legs", 360, 600),  # in their shells
    ("1 (12.5 oz) can chicken, drained", 210, 290),
    ("6 cups crumbled cornbread", 540, 860),
    ("2 pork loin chops, 1/2 inch (about 150 g each)", 270, 330),  # the weight says more than the thickness
    ("2 sirloin steaks, 1 inch (300 g each)", 600, 600),
    ("2 bundles dried soba (200 g)", 200, 200),  # as they are sold
    ("2 bundles soba (100 g each)", 200, 200),
    ("2 cans crushed tomatoes (28 oz)", 1580, 1590),  # cans are called by their ounces
    ("2 tins chickpeas (400 g)", 800, 800),
    ("2 blocks tofu (600 g)", 600, 600),
    ("1 pineapple (peeled, about 600 g)", 540, 660),
    ("1 onion (peeled, 120 g)", 120, 120),
    ("3 servings broccoli", 240, 540),  # no three heads
    ("2 portions tofu", 80, 400),
    ("2 chicken tenderloins", 60, 150),
    ("2 Japanese cucumbers", 140, 340),
    ("2 kirby cucumbers", 100, 260),
    ("8 prik kee noo (bird's eye chillies)", 5, 32),
    ("1 stalk kinchay", 3, 20),
    ("6 thin slices pork belly", 60, 210),
    ("a handful of dried chillies", 4, 25),
    ("2 lb chicken drumettes", 470, 640),  # with their bones
    ("2 oz mung bean thread", 56, 57),
    ("a handful of grapes", 30, 90),  # no leaves, though the entry says "green"
    ("a handful of green peas", 30, 110),
    ("1/2 kg tahong", 75, 200),  # in their shells under any name
    ("1 pc tofu (tokwa), fried", 60, 350),
    ("200 g roast duck", 140, 200),
    ("1 spring chicken", 300, 750),
    ("Lemon juice - from 1/2 lemon", 14, 34),
    ("lime juice, from 2 limes", 52, 124),
    ("10 large prawns", 100, 250),
    ("10 large shrimp", 60, 80),
    ("handful of sun-dried tomatoes", 10, 40),
    ("1 handful black fungus, soaked", 3, 15),
    ("10 dried red dates", 25, 80),
    ("handful of dried parsley", 1.5, 10),
]


@pytest.mark.parametrize(("line", "low", "high"), MEANT)
def test_a_weight_is_what_a_cook_means(resolver: Resolver, line: str, low: float, high: float) -> None:
    weight = resolver.resolve(line).parts[0].grams
    assert weight is not None
    assert weight.value is not None
    assert low <= weight.value <= high, weight


# line, grams that its bounds must hold
HELD = [
    ("4 sheets filo pastry", 160),  # sheets of the European trade weigh up to 45 g
    ("seeds of 1 pomegranate", 150),
    ("2 sweet potatoes", 450),
    ("1 leek", 150),
    ("1 chicken stock cube", 10),
    ("6 small red potatoes", 450), ("1 breadfruit", 1200), ("1 turkey leg", 400), ("10 raw prawns, peeled", 130),
    ("1 kg pork neck", 1000), ("1 kg pork neck", 700), ("1 leek", 150), ("1 kg crayfish", 200),
    ("4 thick slices bacon", 150), ("1 catfish", 400), ("2 heads belgian endive", 240), ("10 spinach leaves", 15),
]  # fmt: skip


@pytest.mark.parametrize(("line", "grams"), HELD)
def test_bounds_hold_what_a_cook_may_mean(resolver: Resolver, line: str, grams: float) -> None:
    weight = resolver.resolve(line).parts[0].grams
    assert weight is not None
    assert weight.low is not None
    assert weight.high is not None
    assert weight.low <= grams <= weight.high, weight


UNTOLD = [
    "1 wedge brie", "6 slices turkey", "2 slices Texas toast", "1 (14 oz) bag coconut", "1/4 cup stevia",
    "1 flat of strawberries", "2 flats of eggs", "1 lug of grapes", "1 crate of peaches", "1 can frozen lemonade",
    "1 piece of watermelon",
    "a piece of daikon",
    "1 small piece of cabbage",
    "1 sponge cake", "1 piece of butter", "1 piece feta", "1 lemon Jello", "1 strawberry jam", "3 penne",
    "1 glass gherkins", "1 glass of sour cherries", "1 coffee cup oil", "1 small cup milk", "1 big spoon butter",
    "2 flans", "1 white chocolate", "3 toor dal", "1 butter", "1 coke", "2 ground turkey", "2 lemon-lime sodas",
]  # fmt: skip


@pytest.mark.parametrize("line", UNTOLD)
def test_what_may_weigh_anything_is_asked(resolver: Resolver, line: str) -> None:
    assert resolver.resolve(line).outcome == "check"


def test_a_food_noun_that_the_entry_lacks_is_never_silent(resolver: Resolver) -> None:
    result = resolver.resolve("100 g lentil carrot")
    assert result.outcome != "resolved"


def test_a_long_line_gets_a_reason_at_once(resolver: Resolver) -> None:
    start = time.process_time()  # others may be at work on the machine
    result = resolver.resolve("salt, " * 17_000)
    assert time.process_time() - start < 0.05
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
    """Unknown is not nothing: a line without any known word may be taken for a title, and that is said."""
    assert resolver.resolve("non-butter based quay sauce").outcome == "no_match"
    assert resolver.resolve("тонкие блины").outcome == "no_match"
    assert resolver.resolve("finishing flourishes").unread


@pytest.mark.parametrize(
    "dish",
    "potato salad|fish cakes|yorkshire pudding|pork pie|sausage roll|banana bread|egg fried rice|rice pudding|waffles"
    "|leftover chicken curry|vinaigrette|pancakes|spring rolls|fish pie|scotch egg|Chicken soup".split("|"),
)
def test_a_dish_without_an_amount_is_not_passed_over_in_silence(resolver: Resolver, dish: str) -> None:
    found = in_their_list([resolver.resolve(line) for line in ("100 g ham", dish, "100 g cheddar")])
    assert [one.unread for one in found] == [False, True, False]
    assert any("nothing of it is counted" in reason for reason in found[1].reasons)


@pytest.mark.parametrize(
    ("lines", "unread"),
    [
        ("Sauce|100 g cream|To serve|1 lemon", ""),
        ("Apple Pie|3 apples|Spice mix|1 tsp cinnamon|Crust:", ""),
        ("100 g cream|Sauce", "Sauce"),
        ("100 g cream|Filling|Topping|1 lemon", "Filling"),
        ("Caesar Salad|Chicken Soup|1 lemon", "Caesar Salad"),
        ("Chicken Soup|Serves 4|1 kg chicken", ""),
    ],
)
def test_headings_have_lines_below_them(resolver: Resolver, lines: str, unread: str) -> None:
    found = in_their_list([resolver.resolve(line) for line in lines.split("|")])
    assert [one.line for one in found if one.unread] == [line for line in [unread] if line]


def test_the_first_line_of_a_list_may_be_its_title(resolver: Resolver) -> None:
    lines = [resolver.resolve(line) for line in ("Fish pie", "For the sauce", "500 ml milk")]
    assert not any(one.unread for one in in_their_list(lines, titled=True))
    assert in_their_list(lines)[0].unread


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


@pytest.mark.parametrize("components", [None, ("CHOCDF", "FIBTG"), ("all",)])
def test_what_is_remembered_is_what_would_be_resolved(resolver: Resolver, components: tuple[str, ...] | None) -> None:
    lines = ["200 g smoked haddock", "1 onion", "no such thing", "", "salt " * 100]
    wanted = [resolver.resolve(line, components=components) for line in lines]
    for _ in range(2):
        assert [resolver.recall(line, components=components) for line in lines] == wanted
    assert resolver.remembered.cache_info().currsize <= resolver.remembered.cache_info().maxsize


def test_a_line_is_remembered_for_each_choice_of_components(resolver: Resolver) -> None:
    few, more = (resolver.recall("2 eggs", components=asked) for asked in (("FAT",), ("FAT", "PROCNT")))
    assert [list(found.parts[0].components) for found in (few, more)] == [["FAT"], ["FAT", "PROCNT"]]


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("2-3 tbsp olive oil, plus extra for frying", True),
        ("2 tbsp oil (plus more as needed)", True),
        ("extra virgin olive oil 1 tbsp", False),
        ("1 egg, plus 1 extra yolk", False),
    ],
)
def test_more_without_an_amount_is_told(resolver: Resolver, line: str, told: bool) -> None:
    reasons = resolver.resolve(line).parts[0].reasons
    assert any("what it adds is not counted" in reason for reason in reasons) == told


@pytest.mark.parametrize(
    ("line", "grams"),
    [
        ("0 g butter", 0), ("0.0 kg butter", 0), ("0 tbsp butter", 0), ("butter, 0 g", 0), ("butter: 0 g", 0),
        ("0 ml milk", 0), ("0 cups sugar", 0), ("0 eggs", 0), ("0 large eggs", 0), ("0 cloves garlic", 0),
        ("0 tins tomatoes", 0), ("juice of 0 lemons", 0), ("0 oz (0 g) butter", 0), ("0 lb 4 oz butter", 113.4),
        # kinds of a food, and what it holds none of
        ("00 flour 100 g", 100), ("type 0 flour, 200 g", 200), ("0% fat yogurt 100 g", 100), ("0.5 g salt", 0.5),
        ("1 tbsp sugar (0 g fat)", 12.6), ("0 g carb noodles 200 g", 200), ("2 eggs, 0 g carbs", 100),
    ],
)  # fmt: skip
def test_an_amount_of_nothing_weighs_exactly_nothing(resolver: Resolver, line: str, grams: float) -> None:
    part = resolver.resolve(line).parts[0]
    assert part.grams is not None
    assert part.grams.value == pytest.approx(grams, abs=0.1)
    if grams == 0:
        assert (part.outcome, part.grams.low, part.grams.high) == ("resolved", 0, 0)


def test_nothing_that_weighs_something_is_to_be_checked(resolver: Resolver) -> None:
    assert resolver.resolve("0 eggs (50 g)").outcome == "check"


@pytest.mark.parametrize(("line", "said"), [
    ("butter the size of an egg", "an egg sized knob of this food was taken as 50 g"),
    ("a handful of parsley", "a handful of this food was taken as"), ("an armful of kale", "an armful of this food"),
    ("1 ear of ricotta", "no table says what an ear of"), ("1 wedge of gelatin", "no table says what a wedge of"),
])  # fmt: skip
def test_a_measure_is_told_with_its_article(resolver: Resolver, line: str, said: str) -> None:
    reasons = [reason for part in resolver.resolve(line).parts for reason in part.reasons]
    assert any(said in reason for reason in reasons), reasons
