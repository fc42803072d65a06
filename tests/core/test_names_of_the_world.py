"""Lines in English, or nearly, with words of the cook's own language: foods, measures, cutting, halves, what for."""

from __future__ import annotations

import pytest

from service.core.analyse import Resolver
from tests.core.reading import assert_read

# line -> outcome, entry and grams of each part (None: unknown)
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


@pytest.mark.parametrize(("line", "outcome", "parts"), [*ROMANCE, *AFRICAN_AND_CREOLE])
def test_a_line_with_words_of_its_language(
    resolver: Resolver, line: str, outcome: str, parts: list[tuple[str, float | None]]
) -> None:
    assert_read(resolver.resolve(line), outcome, parts)
