"""What lines that cooks publish taught: foods that no table has, shares as ranges, masses said twice, sizes of cuts."""

from __future__ import annotations

import pytest

from service.core.analyse import Resolver
from tests.core.reading import assert_read

# line -> outcome, entry and grams of each part (None: unknown)
READ = [
    # what stands in for a food that no table has is asked about, in words or in a bracket
    ("3 tbsp xylitol or honey", "check", [("19296", 63)]),
    ("1 tbsp mirin (or sherry)", "check", [("14536", 15)]),
    ("2 tsp garam masala or curry powder", "check", [("02015", 4)]),
    ("1 tbsp dhania / coriander seeds", "resolved", [("02013", 5)]),
    # a size behind "in" is that of the pieces
    ("1 onion in small cubes", "resolved", [("11282", 110)]),
    ("1 head broccoli in large florets", "resolved", [("11090", 350)]),
    ("1 small onion in large chunks", "resolved", [("11282", 70)]),
    # a range of shares is its middle
    ("200 g 50-70% dark chocolate", "resolved", [("19903", 200)]),
    ("200 g dark chocolate (50% to 70% cocoa)", "resolved", [("19903", 200)]),
    ("cream 30-36% 250 ml", "resolved", [("01053", 251)]),
    ("200 ml milk 1-2%", "resolved", [("01079", 206)]),
    ("500 g ground beef, 15-20% fat", "resolved", [("23572", 500)]),
    # pounds beside kilograms are one mass, unless the line says what was done
    ("2 kg (2 lb) potatoes", "check", [("11352", 2000)]),
    ("450 g (1 lb) potatoes", "resolved", [("11352", 450)]),
    ("1 lb shrimp (300 g peeled)", "resolved", [("15149", 300)]),
    ("1 whole chicken, 2.5 kg (3 lb)", "check", [("05006", 1700)]),
    ("A whole chicken weighing close to 2.5 kg (roughly 3 pounds). Avoid small birds", "check", [("05006", 1700)]),
    ("1 pumpkin weighing in at 1.5 kg", "resolved", [("11422", 1050)]),
    ("close to 2 kg potatoes", "resolved", [("11352", 2000)]),
    # a sentence ends behind a bracket, an abbreviation does not
    ("1 onion (a red one). Keep the skin", "resolved", [("11282", 110)]),
    ("2 (14 oz). cans tomatoes", "resolved", [("11531", 794)]),
    # two parts of one animal or plant
    ("turkey wings and necks", "resolved", [("05195", None), ("05179", None)]),
    ("egg yolks and whites", "resolved", [("01125", None), ("01124", None)]),
    ("2 lb chicken backs and necks", "check", [("05048", 254), ("05084", 308)]),
    ("pork shoulder and belly", "resolved", [("10070", None), ("10005", None)]),
    ("half and half", "resolved", [("01049", None)]),
    # a chop is no roast, a loin no chop; pieces that SR28 weighed with their bones lose them
    ("4 pork sirloin chops", "resolved", [("10052", 790)]),
    ("1 lamb loin", "check", [("17236", 400)]),
    ("2 T-bone steaks", "resolved", [("23005", 690)]),
    ("1 porterhouse steak", "resolved", [("23001", 411)]),
    ("1 bone-in rib-eye steak", "resolved", [("23192", 360)]),
    ("1 boneless rib-eye steak", "resolved", [("23201", 225)]),
    ("4 turkey drumsticks", "resolved", [("05736", 954)]),
    ("1 turkey", "resolved", [("05165", 3551)]),
    ("6 bone-in, skin-on chicken thighs", "resolved", [("05091", 924)]),
    # what is taken off a vegetable is pared off, whatever word says so
    ("1 lb kale, stems removed", "resolved", [("11233", 327)]),
    ("1 lb kale (tough stems removed)", "resolved", [("11233", 327)]),
    ("1 lb asparagus, tough ends snapped off", "resolved", [("11011", 340)]),
    ("1 lb fennel, stalks discarded", "resolved", [("11957", 395)]),
    ("10 oz spinach, tough stems removed", "resolved", [("11457", 244)]),
    ("1 bunch kale, stemmed", "resolved", [("11233", 162)]),
    ("1 bunch chard, stems removed", "check", [("11147", 124)]),
    ("silverbeet 1 bunch, stalks out", "check", [("11147", 275)]),
    ("1 bunch parsley, stems removed", "resolved", [("11297", 60)]),  # a bunch of herbs is weighed by its leaves
    ("1 kg cauliflower, cut into florets", "resolved", [("11135", 600)]),
    ("900 g cauliflower florets", "resolved", [("11135", 900)]),
    ("2 lb leeks, white and light green parts only", "resolved", [("11246", 544)]),
    ("500 g leeks, trimmed", "resolved", [("11246", 325)]),
    # shells, pods and rinds are taken off what is weighed or filled into cups with them
    ("250 g edamame in pods", "resolved", [("11211", 132.5)]),
    ("2 cups walnuts in the shell", "resolved", [("12155", 56)]),
    ("1 cup sunflower seeds in shell", "resolved", [("12536", 46)]),
    ("2 cups peas in the pod", "resolved", [("11304", 60)]),
    ("1 cup pasta shells", "resolved", [("20120", 64)]),
    ("1 kg chestnuts in their shells", "resolved", [("12097", 740)]),
    ("300 g lychees, peeled and stoned", "resolved", [("09164", 180)]),
    ("2 kg jackfruit, peeled", "resolved", [("09144", 560)]),
    ("200 g macadamia nuts in shell", "resolved", [("12131", 62)]),
    ("1 kg T-bone steak", "resolved", [("23005", 750)]),
    # a vegetable that is counted and weighed at once was weighed as bought
    ("4 ears corn (about 2 lb)", "resolved", [("11167", 408)]),
    ("4 artichokes (about 300 g each)", "resolved", [("11007", 480)]),
    ("2 lb artichokes", "resolved", [("11007", 363)]),
    ("1 cauliflower (about 800 g)", "resolved", [("11135", 480)]),
    ("1 butternut (about 1 kg)", "resolved", [("11485", 840)]),
    ("2 large tomatoes (about 400 g)", "resolved", [("11529", 400)]),
    # a ring is no slice of the widest part, a fruit that is cut into slices no slice
    ("2 pineapple rings", "resolved", [("09266", 94)]),
    ("2 slices pineapple", "resolved", [("09266", 168)]),
    ("1 pineapple, cut into 8 slices", "resolved", [("09266", 905)]),
    ("1 kg lobster", "check", [("15147", 300)]),
    ("1 kg whole squid", "resolved", [("15175", 700)]),
    # salt and what is used with it
    ("salt and pepper with oregano", "resolved", [("02047", None), ("02030", None), ("02027", None)]),
    ("Seasoning: salt and pepper with chili powder", "resolved", [("02047", None), ("02030", None), ("02009", None)]),
    ("salt and vinegar chips", "resolved", [("19411", None)]),
    ("1 tsp salt with 1/2 tsp pepper", "resolved", [("02047", 6), ("02030", 1.15)]),
    # a sentence about the food names no other
    ("Mace: mace is the husk of nutmeg", "resolved", [("02022", None)]),
    ("Saffron - it is the most expensive spice after vanilla", "resolved", [("02037", None)]),
    ("Cinnamon: it is the bark of a tree", "resolved", [("02010", None)]),
    ("Cheese: cheddar is best", "resolved", [("01009", None)]),
    # a slash parts two ways to say one amount, which is none where a measure stands alone
    ("canola oil / spray", "resolved", [("04582", None)]),
    ("butter 1/2 cup / 1 stick", "resolved", [("01001", 113)]),
    ("1 cup + 1 tbsp sugar", "resolved", [("19335", 212.6)]),
    # "or" before another state of the same food
    ("240 g canned kidney beans, or 100 g dried, soaked overnight", "resolved", [("16034", 240)]),
    ("2 tbsp fresh dill, or 2 tsp dried", "resolved", [("02045", 1.1)]),
    ("500 g fresh tomatoes, or 400 g tinned, chopped", "resolved", [("11529", 500)]),
    ("1 cup butter, or 226 g", "resolved", [("01001", 227)]),
    # what becomes of it
    ("1 cup rice (makes 3 cups cooked)", "resolved", [("20044", 185)]),
    ("1 cup quinoa, will yield about 3 cups cooked", "resolved", [("20035", 170)]),
    # one or two
    ("a clove or two of garlic", "resolved", [("11215", 4.5)]),
    ("an onion or two", "resolved", [("11282", 165)]),
    ("a tablespoon or two of oil", "resolved", [("04044", 20.4)]),
    ("1 egg or two yolks", "resolved", [("01123", 50)]),
    ("juice of 1 or 2 lemons", "resolved", [("09152", 72)]),
    ("garlic, 1 or 2 cloves", "resolved", [("11215", 4.5)]),
    ("Onions - 1 or 2", "resolved", [("11282", 165)]),
    ("200 g sugar plus 1 or 2 tbsp", "resolved", [("19335", 218.9)]),
    # another food or size is no second one
    ("1 onion or 2 spring onions", "resolved", [("11282", 110)]),
    ("1 egg or 2 egg whites", "resolved", [("01123", 50)]),
    ("1 large or 2 small onions", "resolved", [("11282", 150)]),
    ("1 lemon or 2 tbsp lemon juice", "resolved", [("09150", 58)]),
    # more that is taken of fruits of the same kind
    ("zest of 1 lime, plus the juice of 3", "resolved", [("09156", 4), ("09160", 132)]),
    ("juice of 2 limes, plus zest of 1", "resolved", [("09160", 88), ("09156", 4)]),
    # a part of a food that the entry is without, or the whole of which it is
    ("tops of 4 leeks", "check", [("11246", 356)]),
    ("stems of 1 bunch parsley", "check", [("11297", None)]),
    ("leaves of 1 bunch parsley", "resolved", [("11297", 45)]),
    ("green tops of 2 spring onions", "resolved", [("11292", 24)]),
    ("1 can coconut milk, solids only", "check", [("12118", 406)]),
    ("12 taco shells", "resolved", [("18360", 152)]),
    ("1 cup crushed pineapple, drained", "resolved", [("09354", 195)]),
    # what would do as well is not what is used
    ("200 g flour (can sub almond flour)", "resolved", [("20081", 200)]),
    ("200 g flour (for keto: almond flour)", "resolved", [("20081", 200)]),
    ("200 g flour, sub almond flour for low carb", "resolved", [("20081", 200)]),
    ("200 g flour - almond flour works too", "resolved", [("20081", 200)]),
    ("200 g flour (almond flour ok)", "resolved", [("20081", 200)]),
    ("200 g flour (I've also tried almond flour)", "resolved", [("20081", 200)]),
    ("200 g flour, alternatively almond flour", "resolved", [("20081", 200)]),
    ("200 g butter (vegan: coconut oil)", "resolved", [("01001", 200)]),
    ("1 cup whole milk (cream if you want it richer)", "resolved", [("01077", 244)]),
    ("1 cup sugar (brown if you have it)", "resolved", [("19335", 200)]),
    ("4 tablespoons (tbsp.) of oil", "resolved", [("04044", 54.4)]),
    ("200 g flour (I prefer almond flour)", "resolved", [("12062", 200)]),
    # two volumes
    ("1 cup sugar (the recipe calls for 2 cups)", "check", [("19335", 200)]),
    ("1 pint (600 ml) milk", "resolved", [("01077", 619)]),
    ("1/2 cup water (warm at 100F / 38C)", "resolved", [("14411", 118)]),
    # one of a measure, about
    ("about a cup of rice", "resolved", [("20044", 185)]),
    ("just over a litre of milk", "resolved", [("01077", 1031)]),
    ("2 1/2 dozen eggs", "resolved", [("01123", 1500)]),
    # slices as thick as the line says, and as the table has them
    ("2 slices ham, 1/2 inch thick", "check", [("10182", 56)]),
    ("2 slices ham (1/2 inch)", "check", [("10182", 56)]),
    ("1 onion, sliced 1/4 inch thick", "resolved", [("11282", 110)]),
    # each, said last
    ("1 tbsp soy sauce and honey each", "resolved", [("16123", 16), ("19296", 21)]),
    # a capital T is a tablespoon before any mark; numbers in words with a hyphen are a range
    ("butter, for the pan (2 T)", "resolved", [("01001", 28.4)]),
    ("sugar: 2 T; salt: 1 t", "resolved", [("19335", 25), ("02047", 6)]),
    ("two-three tablespoons oil", "resolved", [("04044", 34)]),
    ("one-two onions", "resolved", [("11282", 165)]),
    # two kinds of a food before its head
    ("1 cup white and whole wheat flour", "check", [("20081", 62.5), ("20080", 60)]),
    ("1 cup white whole wheat flour", "resolved", [("20080", 120)]),
    # pieces of two sizes
    ("2 courgettes, 1 large 1 small", "resolved", [("11477", 392)]),
    ("3 tomatoes, large", "resolved", [("11529", 546)]),
    # names as some spell them
    ("2 tbsp creme cheese", "resolved", [("01017", 29)]),
    ("1 tsp cinammon", "resolved", [("02010", 2.6)]),
    ("2 zuchinis", "resolved", [("11477", 392)]),
    ("a pinch of season salt", "check", [("02047", 0.4)]),
    ("1/2 cup olives (preferably brine-cured)", "check", [("09193", None)]),
    # toasted nuts fill a cup as raw ones do
    ("1 cup toasted pecans", "resolved", [("12143", 109)]),
    ("1/2 cup hazelnuts, toasted and chopped", "resolved", [("12122", 62.7)]),
    # a weight of one of what is counted is of each; one of something else is not
    ("2 scoops whey protein (30g/scoop)", "resolved", [("14066", 60)]),
    ("2 scoops whey protein (30 g per scoop)", "resolved", [("14066", 60)]),
    ("3 slices bacon (15 g/slice)", "resolved", [("10123", 45)]),
    ("2 eggs, 50 g/egg", "resolved", [("01123", 100)]),
    ("6 rolls (50 g/piece)", "resolved", [("18342", 300)]),
    ("4 burger buns (2 oz per bun)", "resolved", [("18350", 227)]),
    ("1/2 avocado (150 g each)", "resolved", [("09038", 50.25)]),
    ("500 g rice (100 g per person)", "check", [("20044", 500)]),
    # what a bracket calls the weight of a food, and one that is without what is taken off
    ("4 potatoes (weighing about 1 kg)", "resolved", [("11352", 1000)]),
    ("1 cauliflower (weighing 600 g)", "resolved", [("11135", 360)]),
    ("4 potatoes (which weigh 1 kg)", "resolved", [("11352", 1000)]),
    ("2 chicken breasts (weighing 200 g each)", "resolved", [("05062", 400)]),
    ("1 banana (120 g without peel)", "resolved", [("09040", 120)]),
    ("1 banana, 120 g w/o peel", "resolved", [("09040", 120)]),
    ("1 avocado (150 g without skin and stone)", "resolved", [("09038", 150)]),
    ("1 mango (200 g without the stone)", "resolved", [("09176", 200)]),
    ("2 bone-in chicken thighs (300 g without skin)", "resolved", [("05096", 240)]),
    ("1 banana (120 g without skin)", "resolved", [("09040", 120)]),
    ("1 banana, 120 g peeled", "resolved", [("09040", 120)]),
    ("1 banana (100 g when peeled)", "resolved", [("09040", 100)]),
    ("1 banana, about 100 g once peeled", "resolved", [("09040", 100)]),
    ("1 banana weighing 100 g without the skin", "resolved", [("09040", 100)]),
    ("120 g banana (peeled weight)", "resolved", [("09040", 120)]),
    ("600 g pumpkin, peeled and seeded weight", "resolved", [("11422", 600)]),
    ("500 g potatoes, 400 g peeled", "resolved", [("11352", 400)]),
    ("1 cauliflower, 600 g trimmed", "resolved", [("11135", 600)]),
    ("2 bone-in chicken thighs, 300 g skinned", "resolved", [("05096", 240)]),
    # more of the same for something else
    ("2 eggs, + 1 for egg wash", "resolved", [("01123", 150)]),
    ("2 eggs plus another for brushing", "resolved", [("01123", 150)]),
    ("1 lemon, plus another to serve", "resolved", [("09150", 116)]),
    ("2 eggs and 1 more for glazing", "resolved", [("01123", 150)]),
    ("300 g strawberries, + 6 to decorate", "resolved", [("09316", 372)]),
    # what is set apart is some of what was counted
    ("2 onions, 2 tbsp reserved for the cream", "check", [("11282", 220)]),
    ("1 tin chickpeas, drained, 100 ml liquid reserved", "check", [("16358", 255)]),
    ("1 can tomatoes, drained (reserve 1/2 cup juice)", "resolved", [("11531", 240)]),
    ("2 onions, 1 cup chopped and reserved", "resolved", [("11282", 160)]),
    # so many that nobody counts them
    ("200 mushrooms", "check", [("11260", 3600)]),
    ("salmon fillet 200", "check", [("15236", 34000)]),
    ("60 dumpling wrappers", "resolved", [("18368", 480)]),
    ("a total of 200 g butter", "resolved", [("01001", 200)]),
    # another food in a bracket or behind a full stop is one too
    ("100 g feta (and 50 g walnuts)", "resolved", [("01019", 100), ("12155", 50)]),
    ("100 g feta (with 50 g walnuts)", "check", [("01019", 100), ("12155", 50)]),
    ("3 eggs (+ 1 yolk)", "resolved", [("01123", 150), ("01125", 17)]),
    ("3 eggs (plus 1 for glazing)", "resolved", [("01123", 200)]),
    ("1 cup yogurt (and 1 cup for serving)", "resolved", [("01116", 490)]),
    ("1 can (400 g) chickpeas (with 240 g chickpeas)", "resolved", [("16058", 240)]),
    ("200 g sugar (with 50 g for the meringue)", "check", [("19335", 200)]),
    ("150 g butter (and twice as much sugar)", "check", [("01001", 150)]),
    ("6 eggs, 1 yolk kept for glazing", "check", [("01123", 300), ("01125", 17)]),
    ("1 bunch parsley, plus another for garnish", "resolved", [("11297", 120)]),
    ("100 g sugar, plus another for dusting", "resolved", [("19335", 100)]),
    ("2 tbsp oil, plus 1 for frying", "resolved", [("04044", 40.8)]),
    ("400 ml milk (coconut and almond)", "check", [("01077", 412.5)]),
    ("100 g honey. 50 g walnuts", "check", [("19296", 100), ("12155", 50)]),
    ("100 g honey. About 50 g walnuts", "check", [("19296", 100), ("12155", 50)]),
    ("200 g flour. 2 large eggs", "check", [("20081", 200), ("01123", 100)]),
    ("1 onion, chopped. 50 g feta", "check", [("11282", 110), ("01019", 50)]),
    ("4 pears, peeled. 2 large pears are enough", "resolved", [("09252", 712)]),
    ("1 onion. About 100 g", "resolved", [("11282", 100)]),
    ("1 butternut squash. Approx. 900 g.", "resolved", [("11485", 756)]),
    ("1 carrot (and an onion)", "resolved", [("11124", 61), ("11282", 110)]),
    ("100 g feta (and some olives)", "check", [("01019", 100), ("09193", None)]),
    ("2 eggs (and a yolk)", "resolved", [("01123", 100), ("01125", 17)]),
    ("300 g flour (plus some for dusting)", "resolved", [("20081", 300)]),
    # what becomes of a part in a bracket names no food
    ("1 chicken (giblets reserved)", "check", [("05006", 920)]),
    ("4 eggs (yolks reserved)", "resolved", [("01123", 200)]),
    # a weight behind a colon is said of the food before it
    ("1 tin tuna (drained weight: 104 g)", "resolved", [("15121", 104)]),
    ("1 jar olives (net: 340 g, drained: 150 g)", "resolved", [("09193", 150)]),
    ("500 g potatoes (weight: 400 g peeled)", "resolved", [("11352", 400)]),
    # what is weighed is the cheese that is grated, what is filled into a cup is sold so
    ("30 g parmesan, grated", "resolved", [("01033", 30)]),
    ("1 oz grated parmesan", "resolved", [("01033", 28.35)]),
    ("1/2 cup grated parmesan", "resolved", [("01032", 50)]),
    ("1 cup freshly grated coconut", "resolved", [("12104", 80)]),
    ("1/2 cup scraped coconut", "resolved", [("12104", 40)]),
    ("1 tbsp dried coriander", "check", [("02013", 5)]),
    # what a bracket says in English is what foreign words mean, whatever they are like
    ("unga wa mahindi (white maize flour) - 2 cups", "resolved", [("20322", 250.8)]),
    ("750g habra (lean leg of lamb), minced twice", "resolved", [("17013", 750)]),
    ("kerupuk udang (prawn crackers), as many as you like", "resolved", [("25070", None)]),
    ("12 oignons grelots (pearl onions)", "resolved", [("11282", 120)]),
    ("dalo (taro) 1.5 kg", "resolved", [("11518", 1500)]),
    ("lo bak (daikon) 2 kg", "resolved", [("11430", 2000)]),
    # but a word beside a number may be a measure
    ("hariyo zubs (green onion) 1 zubs", "check", [("11291", 15)]),
    ("2 zubs pyaj (onion)", "check", [("11282", 220)]),
    ("satoimo 4 zubs (taro)", "check", [("11518", 200)]),
    ("4 mak kheua (apple aubergines), quartered", "check", [("11209", 120)]),
    ("100 g grasa de chancho (pork lard)", "resolved", [("04002", 100)]),
    ("250 g chaka (strained yoghurt)", "resolved", [("01293", 250)]),
    ("Maji (water) 4 cups", "resolved", [("14411", 946.4)]),
    ("dehi (lime) ½, squeezed", "resolved", [("09160", 22)]),
    ("Polos (young green jackfruit in brine) 1 tin 565g, drained", "no_match", []),
    ("100 g harina (yellow cornmeal)", "resolved", [("20022", 100)]),
    ("100 g brezza cheese (goat)", "check", [("01159", 100)]),
    # a weight behind a number behind the food is of all, unless it says "each"
    ("lamb chops, 6 (1.1 kg)", "resolved", [("17236", 858)]),
    ("eggs, 2 (100 g)", "resolved", [("01123", 100)]),
    ("salmon fillets, 4 (150 g each)", "resolved", [("15236", 600)]),
    ("tomatoes, 2 (400 g) tins", "resolved", [("11531", 800)]),
    ("tofu 1/2 (half a block, ~150g)", "resolved", [("16427", 150)]),
    ("mince 700 g - half beef, half pork", "check", [("23572", 350), ("10219", 350)]),
    # a bracket that says more than a name translates nothing
    ("50 g Zorva (contains milk)", "check", [("01077", 50)]),
    ("100 g zarf (similar to feta)", "check", [("01019", 100)]),
    ("100 g zarf (my mother's butter)", "check", [("01001", 100)]),
    ("100 g zarf (rice or lentils)", "check", [("20044", 100)]),
    ("100 g zarf (if using butter)", "check", [("01001", 100)]),
    # a word that only names of another language have tells nothing of an English one
    ("2 cups fool rice", "check", [("20044", 370)]),
    ("200 g hariyo pyaj", "resolved", [("11291", 200)]),
    # a cup is filled with what stands before the mark
    ("2 cups walnut halves, ground", "resolved", [("12155", 200)]),
    ("1 cup shredded cheddar, melted", "resolved", [("01009", 113)]),
    ("1 cup sliced banana, mashed", "resolved", [("09040", 150)]),
    ("1 cup carrot slices, grated", "resolved", [("11124", 122)]),
    ("1 cup almonds, ground", "resolved", [("12061", 143)]),
    ("1 cup ground almonds", "resolved", [("12061", 95)]),
    ("1 cup walnuts, chopped", "resolved", [("12155", 117)]),
    ("1 tsp cumin, ground", "resolved", [("02014", 2.1)]),
    # a further sentence may go on with a word that adds
    ("200 g spinach. Plus 50 g feta.", "check", [("11457", 200), ("01019", 50)]),
    ("500 g beef mince. I add 30 g lard.", "check", [("23572", 500), ("04002", 30)]),
    ("200 g flour. Add more if needed.", "resolved", [("20081", 200)]),
    # what a whole fruit weighs is no weight of its juice or zest
    ("1 orange (200 g), zested", "resolved", [("09216", 10)]),
    ("2 lemons (200 g), juiced", "resolved", [("09152", 96)]),
    ("juice of 2 lemons (90 g)", "resolved", [("09152", 90)]),
    # a bracket may end a name
    ("100 g rye (flour)", "resolved", [("20064", 100)]),
    ("100 g tomato (paste)", "resolved", [("11546", 100)]),
    ("2 tbsp sesame (paste)", "resolved", [("12169", 32)]),
    # slips and makers' names
    ("200 g sunflower ail", "check", [("11215", 200)]),
    ("2 Cathy eggs", "check", [("01123", 1200)]),
    ("1 tespoon salt", "resolved", [("02047", 6)]),
    ("1 lb ground beed", "no_match", []),
    ("200 g zarfini (linguine)", "check", [("20120", 200)]),
    ("200 g viande hachée (pork)", "check", [("23572", 200)]),
    ("200 g kartoffeln (sweet)", "check", [("11352", 200)]),
    # what a food is worked with is another one
    ("6 cloves garlic, crushed with a thumb of ginger", "resolved", [("11215", 18), ("11216", 20)]),
    ("2 cloves garlic, mashed with an anchovy", "resolved", [("11215", 6), ("15002", 4)]),
    ("2 carrots, peeled with a knife", "resolved", [("11124", 122)]),
    # what was rinsed was raw, whatever becomes of it
    ("500 g rice, rinsed and steamed", "resolved", [("20044", 500)]),
    ("250 g lentils, washed and boiled", "resolved", [("16069", 250)]),
    # another kind behind a mark is no sister of the first
    ("50 g Gruyère or if you have none, Edam", "resolved", [("01023", 50)]),
    ("400 g horse rump", "resolved", [("17170", 400)]),
    ("500 g leg of lamb without the bone, in 4 cm pieces", "resolved", [("17230", 500)]),
    # how they write elsewhere
    ("bucatini gr 400", "resolved", [("20120", 400)]),
    ("burro g 50", "resolved", [("01001", 50)]),
    ("2 chorizos, 150 g c/u", "resolved", [("07019", 300)]),
    ("rice, 3 cups = 540 g", "resolved", [("20044", 540)]),
    ("onion 1, a big one", "resolved", [("11282", 150)]),
    # a size that no row has changes what is usual; a publisher's piece weighs what is published
    ("1 small aubergine", "resolved", [("11209", 240)]),
    ("1 aubergine", "resolved", [("11209", 300)]),
    ("1 large aubergine", "resolved", [("11209", 360)]),
    ("1 small fennel bulb", "resolved", [("11957", 234)]),
    ("1 large onion. 2 medium will do", "resolved", [("11282", 150)]),
    ("1 large onion. 200 g onion", "resolved", [("11282", 150)]),
    ("100 g feta. 100 g goat cheese works too", "resolved", [("01019", 100)]),
    ("100 g feta. 100 g goat cheese can be used instead", "resolved", [("01019", 100)]),
    ("1 tsp. salt. 2 tsp. pepper", "check", [("02047", 6), ("02030", 4.6)]),
    ("1 kg mince (pork and veal)", "check", [("23572", 1000)]),
    ("2 tbsp oil (olive and sesame)", "check", [("04044", 27.2)]),
    ("To serve: guacamole", "no_match", []),
    ("Garnish: fried shallots", "no_match", []),
    # what is cut is the same food and weighs the same
    ("1 avocado, sliced", "resolved", [("09038", 136)]),
    ("2 sliced chicken breasts", "resolved", [("05062", 348)]),
    ("2 chicken breasts, thinly sliced", "resolved", [("05062", 348)]),
    ("1 measuring cup flour", "resolved", [("20081", 125)]),
    ("A measuring cup", "not_food", []),
    # choices that were gathered once are gathered no more
    ("200 g red, green or yellow pepper - or courgette", "resolved", [("11821", 200)]),
    # a food that shares its name with a label
    ("2-3 dates", "resolved", [("09087", 17.75)]),
    ("dates (4)", "resolved", [("09087", 28.4)]),
    ("Date: 12 March", "not_food", []),
    # a comma parts the foods that a dish is named by
    ("200 g rice, chicken", "check", [("20044", 200), ("05006", None)]),
    ("2 lemons, chicken", "check", [("09150", 116), ("05006", None)]),
    ("parsley & garlic, mushrooms", "resolved", [("11297", None), ("11215", None), ("11260", None)]),
    ("Chicken, pea and potato curry", "not_food", []),
    ("500 g chicken, thighs", "resolved", [("05091", 500)]),
    # what is eaten with a dish stands behind a colon too, or behind "plus" on a line of its own
    ("On the side: dill pickles", "resolved", [("11937", None)]),
    ("Garnish with: spring onions, toasted sesame seeds", "resolved", [("11291", None), ("12024", None)]),
    ("Top with: grated cheddar", "resolved", [("01009", None)]),
    ("plus extra basil leaves, to serve", "resolved", [("02044", None)]),
    ("plus olive oil for frying", "resolved", [("04053", None)]),
    ("Serve with: see page 5", "not_food", []),
    ("plus extra for dusting", "not_food", []),
    # a comma that turns a name round, as indexes and pantry lists do
    ("2 tbsp tomato, paste", "resolved", [("11546", 32)]),
    ("2 tbsp sauce, oyster", "resolved", [("06176", 36)]),
    ("3 tbsp sauce - plum", "resolved", [("06151", 57)]),
    ("100 g milk, powder, whole", "resolved", [("01090", 100)]),
    ("20 g egg white, powder", "resolved", [("01173", 20)]),
    ("1 cup chocolate, milk", "resolved", [("19120", 168)]),
    ("6 cuttlefish, small, with their ink", "resolved", [("15163", None)]),
    ("one banana, very ripe, squash it with your hand", "resolved", [("09040", 118)]),
    # lean is of a cut without the fat that comes off it
    ("500 g lean pork shoulder", "resolved", [("10072", 500)]),
    ("1 lb lean sirloin steak", "resolved", [("23611", 453.6)]),
    ("1 lb lean stewing beef", "check", [("23093", 453.6)]),
    ("4 slices processed cheddar cheese", "resolved", [("01042", 112)]),
    ("1 cup orange juice from frozen concentrate", "resolved", [("09215", 249)]),
    ("4 potato skins, baked", "resolved", [("11364", 232)]),
    # another food behind "plus" is one too where nobody says how much; more of the same, or a part of it, is none
    ("1 cup flour plus salt", "resolved", [("20081", 125), ("02047", None)]),
    ("1 cup flour, plus salt", "resolved", [("20081", 125), ("02047", None)]),
    ("100 g feta plus olives", "check", [("01019", 100), ("09193", None)]),
    ("1 avocado plus lime juice", "resolved", [("09038", 136), ("09160", None)]),
    ("1 tbsp butter plus oil for frying", "resolved", [("01001", 14.2), ("04044", None)]),
    ("1 cup whole milk plus salt and pepper", "resolved", [("01077", 244), ("02047", None), ("02030", None)]),
    ("1 tbsp butter plus extra butter for the pan", "resolved", [("01001", 14.2)]),
    ("400 g tin tomatoes plus juice", "resolved", [("11531", 400)]),
    ("1 cup milk plus water to make 2 cups", "check", [("01077", 244)]),
    ("2 eggs plus 1 for egg wash", "resolved", [("01123", 150)]),
    # of what is taken of one fruit each is as much as the line says of it
    ("1 tbsp zest and 2 tbsp juice from 1 lemon", "resolved", [("09156", 6), ("09152", 30.5)]),
    ("1 tsp zest and 1 tbsp juice of 1 lemon", "resolved", [("09156", 2), ("09152", 15.25)]),
    ("2 tbsp juice and 1 tsp zest from 1 orange", "resolved", [("09206", 31), ("09216", 2)]),
    ("1 tsp zest and juice of 1 lemon", "resolved", [("09156", 2), ("09152", 48)]),
    ("1 tbsp lemon juice plus 1 tsp zest", "resolved", [("09152", 15.25), ("09156", 2)]),
    ("1 tsp lemon zest, plus 2 tbsp juice", "resolved", [("09156", 2), ("09152", 30.5)]),
    # one each is a count
    ("one each red and yellow pepper, diced", "resolved", [("11821", 119), ("11951", 119)]),
    ("one of each: carrot, onion", "resolved", [("11124", 61), ("11282", 110)]),
    ("carrot and onion, one each", "resolved", [("11124", 61), ("11282", 110)]),
    # what is plain is not asked about
    ("1 lb 80/20 ground beef", "resolved", [("23572", 453.6)]),
    ("1/2 tsp-1 tsp salt", "resolved", [("02047", 4.5)]),
    ("1 cup - 2 cups flour", "resolved", [("20081", 187.5)]),
    ("4 potatoes at 200 g each", "resolved", [("11352", 800)]),
    ("2 salmon fillets at about 150 g each", "resolved", [("15236", 300)]),
    ("1 fat garlic clove", "resolved", [("11215", 4.5)]),
    ("1 fat carrot", "resolved", [("11124", 72)]),
    ("1 fat free yogurt", "resolved", [("01118", 150)]),
    ("2 or so tbsp of oil", "resolved", [("04044", 27.2)]),
]


@pytest.mark.parametrize(("line", "outcome", "parts"), READ)
def test_a_line_of_a_cook(
    resolver: Resolver, line: str, outcome: str, parts: list[tuple[str, float | None]]
) -> None:
    assert_read(resolver.resolve(line), outcome, parts)


@pytest.mark.parametrize(("line", "optional"), [
    ("1 leek or onion (optional)", True), ("2 carrots, and/or parsnips (optional)", True),
    ("60 ml rum, brandy, or whisky (optional)", True), ("2 tbsp extra virgin olive oil (optional)", True),
    ("2 tbsp sugar (optional), plus extra for dusting", True), ("1 onion or leek", False),
    ("2 tbsp sugar, plus extra for dusting if desired", False),
    ("1 tsp chili powder (or more if you like it hot)", False), ("1 cup sugar (brown if you have it)", False),
    ("1 tsp salt, or 1/2 tsp if using table salt", False), ("100 g prawns, if using", True),
])  # fmt: skip
def test_what_may_be_left_out(resolver: Resolver, line: str, optional: bool) -> None:
    assert resolver.resolve(line).parts[0].optional is optional


# line -> the least that is eaten of its weight, which may be with its bones (None: no less than is stated)
MAY_HAVE_BONES = [
    ("2 lb pork chops", 680),  # SR28 10036 refuse 25 %
    ("2 lb chicken thighs", 617),  # SR28 05691 refuse 32 %
    ("2 lb porterhouse steak", 699),  # SR28 23001 refuse 23 %
    ("2 lb boneless pork chops", None),
    ("2 lb skinless chicken thighs", None),
    ("500 g diced pork", None),
    ("500 g ground pork", None),
]


@pytest.mark.parametrize(("line", "least"), MAY_HAVE_BONES)
def test_a_weight_of_meat_may_be_with_its_bones(resolver: Resolver, line: str, least: float | None) -> None:
    weight = resolver.resolve(line).parts[0].grams
    assert weight is not None
    assert weight.low == pytest.approx(least or weight.value, rel=0.01)
