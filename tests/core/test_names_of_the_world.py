"""Names, measures and cutting words of other languages, and the shorthand of cooks, as lists in English have them."""

from __future__ import annotations

import pytest

from service.core.analyse import Resolver
from tests.core.reading import assert_read

# line -> outcome, entry and grams of each part (None: unknown); one list per family of languages
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


@pytest.mark.parametrize(
    ("line", "outcome", "parts"), [*GERMANIC, *FINNIC_AND_BALTIC, *SLAVIC, *OTHER_EUROPEAN, *SHORTHAND, *NO_HARM]
)
def test_a_line_with_words_of_another_language(
    resolver: Resolver, line: str, outcome: str, parts: list[tuple[str, float | None]]
) -> None:
    assert_read(resolver.resolve(line), outcome, parts)
