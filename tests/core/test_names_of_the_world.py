"""Lines in English with words of the cooks' own languages in them, in Latin letters, and cooks' shorthand."""

from __future__ import annotations

import pytest

from service.core.analyse import Resolver
from tests.core.reading import assert_read

# line -> outcome, entry and grams of each part (None: unknown); one list per family of languages
SOUTH_ASIAN = [
    ("hariyo pyaj (green onion) 1 muttha", "resolved", [("11291", 100)]),
    ("2 wata golbheda", "resolved", [("11529", 246)]),
    ("1 thulo chamcha besar", "resolved", [("02043", 9.54)]),
    ("250 g musuro dal", "resolved", [("16144", 250)]),
    ("1/2 sano chamcha jira ko dhulo", "resolved", [("02014", 1.07)]),
    ("1 khane ka chamcha pisa zeera", "resolved", [("02014", 6.09)]),
    ("1/2 chai ka chamcha haldi powder", "resolved", [("02043", 1.52)]),
    ("2 pyaaz, bareek kata hua", "resolved", [("11282", 220)]),
    ("6 jawe lehsun", "resolved", [("11215", 18)]),
    ("namak hasb-e-zaiqa", "resolved", [("02047", None)]),
    ("namak swad anusar", "resolved", [("02047", None)]),
    ("3 bade chamach sarson ka tel", "resolved", [("04583", 42.6)]),
    ("1 katori arhar dal", "resolved", [("16101", 130)]),
    ("1 chutki hing", "no_match", []),
    ("500 g machli", "check", [("15015", 500)]),
    ("2 peyaj kuchi", "resolved", [("11282", 220)]),
    ("1 cha chamoch holud guro", "resolved", [("02043", 3.04)]),
    ("4 kacha lonka", "resolved", [("11670", 28)]),
    ("2 kanda, barik chirlela", "check", [("11282", 220)]),
    ("1 vati chana dal", "resolved", [("16056", 127)]),
    ("mith chavipurte", "resolved", [("02047", None)]),
    ("2 bataka", "resolved", [("11352", 426)]),
    ("1 chamchi hardar", "resolved", [("02043", 3.04)]),
    ("200 g chinna vengayam", "resolved", [("11677", 200)]),
    ("10 cheriya ulli", "resolved", [("11677", 120)]),
    ("uppu thevaiyana alavu", "resolved", [("02047", None)]),
    ("2 tbsp velichenna", "resolved", [("04047", 27.2)]),
    ("1 kothu kariveppila", "no_match", []),
    ("2 ullipayalu", "resolved", [("11282", 220)]),
    ("1 cup kandi pappu", "resolved", [("16101", 205)]),
    ("1 tsp arishina", "resolved", [("02043", 3)]),
    ("uppu ruchige takkashtu", "resolved", [("02047", None)]),
    ("loku lunu 1", "resolved", [("11282", 110)]),
    ("3 amu miris karal", "resolved", [("11670", 21)]),
    ("1 tsp kaha kudu", "resolved", [("02043", 3)]),
    ("1 cup pol kiri", "resolved", [("12118", 226)]),
]
WEST_AND_CENTRAL_ASIAN = [
    ("2 adad piaz", "resolved", [("11282", 220)]),
    ("1 ghashogh chaykhori zardchoobeh", "resolved", [("02043", 3.04)]),
    ("3 tbsp rob gojeh farangi", "resolved", [("11546", 48)]),
    ("500 g gosht charkh kardeh", "resolved", [("23572", 500)]),
    ("1 mal'aqa kabira zeit zaytoun", "resolved", [("04053", 13.7)]),
    ("2 bassal, mafrouma", "resolved", [("11282", 220)]),
    ("2 basal", "check", [("11282", 220)]),
    ("1/2 kg lahme mafroumeh", "check", [("23572", 500)]),
    ("1 rabta baqdounes", "resolved", [("11297", 60)]),
    ("1 kubaya burghul", "resolved", [("20012", 148)]),
    ("dibs remman 3 tbsp", "no_match", []),
    ("1 bunch na'na", "resolved", [("02065", 40)]),
    ("2 tane domates", "resolved", [("11529", 246)]),
    ("1 bardak sut", "resolved", [("01077", 206)]),
    ("1 tutam tuz ve karabiber", "check", [("02047", 0.2), ("02030", 0.075)]),
    ("yarim demet maydanoz, ince kiyilmis", "resolved", [("11297", 30)]),
    ("2 orta boy patlican", "resolved", [("11209", 400)]),
    ("1 su bardagi toz seker", "resolved", [("19335", 169)]),
    ("3 kapot shemen zayit", "resolved", [("04053", 41.1)]),
    ("2 batzal katzutz", "resolved", [("11282", 220)]),
    ("1 kapit kamun", "resolved", [("02014", 2.13)]),
    ("500 g chaze of", "resolved", [("05062", 500)]),
    ("1 kos orez", "resolved", [("20044", 195)]),
    ("2 tsali khakhvi", "resolved", [("11282", 220)]),
    ("1 chais kovzi utskho suneli", "no_match", []),
    ("2 dona piyoz", "resolved", [("11282", 220)]),
    ("1 kg guruch", "resolved", [("20044", 1000)]),
    ("100 g dumba yog'i", "check", [("04520", 100)]),
]
# words of English that lie near the added ones, and slips, stay what they were
NEAR_ENGLISH = [
    ("2 cups award", "no_match", []),
    ("1 tsp sober", "no_match", []),
    ("2 tomata", "resolved", [("11529", 246)]),
    ("200 g turkey", "resolved", [("05165", 200)]),
    ("1 tablespoon buter", "resolved", [("01001", 14.2)]),
]
ROMANCE = [
    # Spanish
    ("1 cebolla grande, picada finamente", "resolved", [("11282", 150)]),
    ("media cebolla morada en juliana", "resolved", [("11282", 55.0)]),
    ("medio kilo de harina", "resolved", [("20081", 500)]),
    ("3 jitomates maduros", "resolved", [("11529", 369)]),
    ("2 dientes de ajo picados", "resolved", [("11215", 6.0)]),
    ("sal y pimienta al gusto", "resolved", [("02047", None), ("02030", None)]),
    ("aceite para freír, cantidad necesaria", "resolved", [("04044", None)]),
    ("1 mazo de espinacas", "resolved", [("11457", 340)]),
    ("el jugo de 2 limones", "check", [("09152", 96.0)]),
    ("ralladura de 1 limón", "resolved", [("09156", 8.0)]),
    ("2 huevos batidos", "resolved", [("01123", 100)]),
    ("1/2 kilo de camarones pelados", "resolved", [("15149", 500)]),
    ("1 cucharada rasa de sal", "resolved", [("02047", 18.3)]),
    ("1 taza de frijoles negros cocidos", "resolved", [("16015", 182)]),
    ("1 sobre de levadura seca", "resolved", [("18375", 7.0)]),
    ("200 g queso para freír", "resolved", [("01229", 200)]),
    # Portuguese
    ("2 colheres (sopa) cheias de açúcar", "resolved", [("19335", 38.3)]),
    ("2 cebolas médias em rodelas", "resolved", [("11282", 220)]),
    ("3 dentes de alho esmagados", "resolved", [("11215", 9.0)]),
    ("sal e pimenta preta a gosto", "no_match", []),
    ("1 fio de azeite", "resolved", [("04053", 7.0)]),
    ("óleo para fritar", "resolved", [("04044", None)]),
    ("suco de 1 limão", "resolved", [("09160", 44.0)]),
    # French
    ("2 gousses d'ail hachées", "resolved", [("11215", 6.0)]),
    ("1 oignon émincé", "resolved", [("11282", 110)]),
    ("3 carottes coupées en rondelles", "resolved", [("11124", 183)]),
    ("2 c. à soupe d'huile d'olive", "resolved", [("04053", 27.4)]),
    ("2 petits oignons", "resolved", [("11282", 140)]),
    ("200 g petit beurre", "resolved", [("18155", 200)]),
    ("100 g petits pois", "resolved", [("11304", 100)]),
    ("sel et poivre", "resolved", [("02047", None), ("02030", None)]),
    ("1 verre d'eau", "resolved", [("14411", 200)]),
    ("1 gousse de vanille", "no_match", []),
    # Italian: "e" is an ezafe in Persian too and joins nothing, so that salt is not lost without a word
    ("sale e pepe q.b.", "no_match", []),
    ("2 spicchi d'aglio tritati", "resolved", [("11215", 6.0)]),
    ("1 cipolla tritata finemente", "resolved", [("11282", 110)]),
    ("1 carota media", "resolved", [("11124", 61.0)]),
    ("1 cucchiaio colmo di zucchero", "resolved", [("19335", 19.2)]),
    ("2 etti di prosciutto cotto", "resolved", [("10182", 200)]),
    ("1 costa di sedano", "resolved", [("11143", 40.0)]),
    ("200 g schiacciata", "resolved", [("18973", 200)]),
    # Romanian, Catalan, Basque
    ("3 catei de usturoi", "resolved", [("11215", 9.0)]),
    ("1 lingura de ulei", "resolved", [("04044", 13.8)]),
    ("200 ml smantana", "resolved", [("01056", 194)]),
    ("2 cebes picades", "resolved", [("11282", 220)]),
    ("1 got de vi blanc", "resolved", [("14106", 150)]),
    ("250 g irin", "resolved", [("20081", 250)]),
]
AFRICAN_AND_CREOLE = [
    # Swahili
    ("2 vijiko vikubwa vya mafuta ya kupikia", "resolved", [("04044", 27.6)]),
    ("vitunguu maji 2, iliyokatwa", "resolved", [("11282", 220)]),
    ("1 kikombe cha maziwa ya nazi", "resolved", [("12118", 239)]),
    ("chumvi kiasi cha kutosha", "resolved", [("02047", None)]),
    # Hausa, Yoruba, Igbo, Twi, Wolof
    ("2 albasa", "resolved", [("11282", 220)]),
    ("3 tattasai", "resolved", [("11821", 357)]),
    ("1 cup ororo", "resolved", [("04044", 218)]),
    ("500 g anu ewu", "resolved", [("17168", 500)]),
    ("1 tbsp nkatie paste", "resolved", [("16098", 16.0)]),
    ("50 g guedj", "no_match", []),
    # Amharic, Somali, Shona
    ("1 qey shinkurt", "resolved", [("11282", 110)]),
    ("2 ukun", "resolved", [("01123", 100)]),
    ("100 g dovi", "resolved", [("16098", 100)]),
    ("1 tsp tikur azmud", "no_match", []),
    # Maghreb, Haiti
    ("3 maticha", "resolved", [("11529", 369)]),
    ("1 rabta dyal kesbour", "resolved", [("11165", 60.0)]),
    ("1 kas dial rouz", "resolved", [("20044", 156)]),
    ("2 gwo kiye lwil oliv", "resolved", [("04053", 27.4)]),
    ("1 zonyon", "resolved", [("11282", 110)]),
]
# German, Dutch, Swedish, Norwegian, Danish
GERMANIC = [
    ("2 EL Öl", "resolved", [("04044", 28)]),
    ("1 kleine Zwiebel, fein gehackt", "resolved", [("11282", 70)]),
    ("2 Knoblauchzehen, gepresst", "resolved", [("11215", 7)]),
    ("1 Dose Kichererbsen, abgetropft", "resolved", [("16058", 425)]),
    ("Salz und Pfeffer", "resolved", [("02047", None), ("02030", None)]),
    ("3 Frühlingszwiebeln, in Ringe geschnitten", "resolved", [("11291", 45)]),
    ("200 g TK-Erbsen", "resolved", [("11312", 200)]),
    ("1 rote Paprika", "resolved", [("11821", 119)]),
    ("2 paprika", "check", [("11333", 238)]),
    ("250 g Speisequark", "check", [("43352", 250)]),
    ("1 Bund Schnittlauch", "resolved", [("11156", 25)]),
    ("1 el citroensap", "resolved", [("09152", 15)]),
    ("2 eetlepels bloem", "resolved", [("20081", 16)]),
    ("150 g spekblokjes", "resolved", [("10123", 150)]),
    ("400 g blandfärs eller nötfärs", "check", [("23572", 400)]),
    ("2 vitlöksklyftor, pressade", "resolved", [("11215", 7)]),
    ("400 g krossade tomater", "resolved", [("11531", 400)]),
    ("1 gul lök, finhackad", "resolved", [("11282", 110)]),
    ("2 st ägg", "resolved", [("01123", 100)]),
    ("1 dl strösocker", "resolved", [("19335", 85)]),
    ("100 g smør, blødt", "resolved", [("01001", 100)]),
    ("1 boks hakkede tomater", "resolved", [("11531", 400)]),
    ("1 bunt persille", "resolved", [("11297", 60)]),
    ("1 fed hvidløg, knust", "resolved", [("11215", 3.5)]),
    ("2 egg, små", "resolved", [("01123", 76)]),
    ("500 ml nýmjólk", "resolved", [("01077", 516)]),
    ("2 ui, in ringen", "resolved", [("11282", 220)]),
    ("1 handje verse koriander", "resolved", [("11165", 12)]),
]
# Finnish, Estonian, Latvian, Lithuanian
FINNIC_AND_BALTIC = [
    ("2 dl vehnäjauhoja", "resolved", [("20081", 106)]),
    ("1 tl suolaa", "resolved", [("02047", 6.09)]),
    ("1 sipuli, hienonnettuna", "resolved", [("11282", 110)]),
    ("3 munaa", "resolved", [("01123", 150)]),
    ("1 prk tomaattimurskaa", "check", [("11531", 350)]),
    ("400 g jauhelihaa", "resolved", [("23572", 400)]),
    ("200 g hapukoort", "resolved", [("01056", 200)]),
    ("2 svogūnai", "resolved", [("11282", 220)]),
    ("1 stiklinė pieno", "resolved", [("01077", 203)]),
]
# Polish, Czech and Slovak, Serbian and Croatian, Russian in Latin letters
SLAVIC = [
    ("1 szklanka mąki", "resolved", [("20081", 132)]),
    ("2 łyżki cukru", "resolved", [("19335", 26)]),
    ("szczypta soli", "resolved", [("02047", 0.4)]),
    ("2 ząbki czosnku, posiekane", "resolved", [("11215", 6)]),
    ("1 cebula, pokrojona w kostkę", "resolved", [("11282", 110)]),
    ("200 g śmietany", "resolved", [("01056", 200)]),
    ("500 g mielonej wołowiny", "resolved", [("23572", 500)]),
    ("2 lžíce oleje", "resolved", [("04044", 28)]),
    ("2 stroužky česneku", "resolved", [("11215", 6)]),
    ("250 g hladké mouky", "resolved", [("20081", 250)]),
    ("2 kašike ulja", "resolved", [("04506", 28)]),
    ("500 g mlevenog mesa", "check", [("23572", 500)]),
    ("3 jaja", "resolved", [("01123", 150)]),
    ("2 st.l. smetany", "resolved", [("01056", 24)]),
    ("1 stakan muki", "resolved", [("20081", 106)]),
    ("500 g svyokla", "resolved", [("11080", 500)]),
]
# Hungarian, Greek in Latin letters, Albanian, Scots
OTHER_EUROPEAN = [
    ("1 fej hagyma, apróra vágva", "resolved", [("11282", 110)]),
    ("2 gerezd fokhagyma", "resolved", [("11215", 6)]),
    ("1 dl fehérbor", "resolved", [("14106", 99)]),
    ("2 dl tejföl", "resolved", [("01056", 194)]),
    ("2 kremmydia, psilokommena", "resolved", [("11282", 220)]),
    ("4 skelides skordo", "resolved", [("11215", 12)]),
    ("1 flitzani alevri", "resolved", [("20081", 132)]),
    ("2 qepe", "resolved", [("11282", 220)]),
    ("4 tatties", "resolved", [("11352", 852)]),
    ("2 syboes", "resolved", [("11291", 30)]),
]
# clippings and slang of cooks who write English
SHORTHAND = [
    ("3 strawbs", "resolved", [("09316", 36)]),
    ("1 medm onion", "resolved", [("11282", 110)]),
    ("B'onion 1", "resolved", [("11282", 110)]),
    ("abt 200g mozz", "resolved", [("01026", 200)]),
    ("1 hpd tsp flour", "resolved", [("20081", 3.91)]),
    ("2 cups chkn stock", "resolved", [("06172", 480)]),
    ("1 tsp grnd cinn", "resolved", [("02010", 2.6)]),
    ("200g SR flr", "resolved", [("20082", 200)]),
    ("100g btr", "resolved", [("01001", 100)]),
    ("zest 1 lem", "resolved", [("09156", 6)]),
    ("2 cloves garl, crshd", "resolved", [("11215", 6)]),
    ("150ml sour cr", "resolved", [("01056", 146)]),
    ("1 lb taters", "resolved", [("11352", 454)]),
    ("1 tin coco milk", "resolved", [("12118", 406)]),
    ("1 tsp bk powder", "resolved", [("18369", 4.6)]),
    ("2 tbsp cider vin", "resolved", [("02048", 30)]),
    ("2 chicken brst", "resolved", [("05062", 348)]),
    ("1 cup froz peas", "resolved", [("11312", 134)]),
    ("1 tsp black pep", "resolved", [("02030", 2.3)]),
    ("250g brwn sugar", "resolved", [("19334", 250)]),
    ("2 tbsp p nuts", "resolved", [("16087", 18)]),
    ("1 red pep", "resolved", [("11821", 119)]),
    ("1 tbsp tom puree", "resolved", [("11546", 16)]),
]
# English words that lie near a word of another language, and what the same letters mean to others
NO_HARM = [
    ("1 packet Kool-Aid", "no_match", []),
    ("1 red peper", "resolved", [("11821", 119)]),
    ("200 ml coconut milk", "resolved", [("12118", None)]),
    ("1 pak choi", "check", [("11116", None)]),
]

LINES = [
    *SOUTH_ASIAN,
    *WEST_AND_CENTRAL_ASIAN,
    *NEAR_ENGLISH,
    *ROMANCE,
    *AFRICAN_AND_CREOLE,
    *GERMANIC,
    *FINNIC_AND_BALTIC,
    *SLAVIC,
    *OTHER_EUROPEAN,
    *SHORTHAND,
    *NO_HARM,
]


@pytest.mark.parametrize(("line", "outcome", "parts"), LINES)
def test_a_line_with_words_of_another_language(
    resolver: Resolver, line: str, outcome: str, parts: list[tuple[str, float | None]]
) -> None:
    assert_read(resolver.resolve(line), outcome, parts)
