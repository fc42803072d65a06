"""Lines that hold words of other languages, as cooks type them."""

from __future__ import annotations

import pytest

from service.core.analyse import Resolver
from tests.core.reading import assert_read

# line -> outcome, entry and grams of each part (None: unknown)
JAPANESE_AND_KOREAN = [
    ("2 gō kome", "resolved", [("20052", 304)]),
    ("300 g butabara", "resolved", [("10005", 300)]),
    ("200 g tori mune niku", "resolved", [("05062", 200)]),
    ("2 osaji usukuchi shoyu", "resolved", [("16123", 32)]),
    ("1 o-saji katakuriko", "no_match", []),
    ("1 ko-saji shio", "resolved", [("02047", 6.09)]),
    ("1 ko tamanegi", "resolved", [("11282", 110)]),
    ("1 taba horenso", "resolved", [("11457", 340)]),
    ("1 taba nira", "check", [("11156", 25)]),
    ("1 cho momen tofu", "resolved", [("16427", 300)]),
    ("200 g gyu hikiniku", "resolved", [("23572", 200)]),
    ("2 mai aburaage", "check", [("16129", 26)]),
    ("shio tekiryō", "resolved", [("02047", None)]),
    ("1 osaji sarada yu", "resolved", [("04044", 13.8)]),
    ("1 kake ninniku", "resolved", [("11215", 3.0)]),
    ("200 ml gyūnyū", "resolved", [("01077", 206)]),
    ("2 dae daepa", "check", [("11291", 180)]),
    ("3 jjok maneul", "resolved", [("11215", 9.0)]),
    ("1 gae yangpa", "resolved", [("11282", 110)]),
    ("1 pogi baechu", "resolved", [("11119", 840)]),
    ("1 mo dubu", "resolved", [("16427", 300)]),
    ("2 keun-sul ganjang", "resolved", [("16123", 32)]),
    ("1 jageun-sul chamgireum", "resolved", [("04058", 4.56)]),
    ("1 geun samgyeopsal", "resolved", [("10005", 600)]),
    ("300 g sogogi", "check", [("13795", 300)]),
    ("1 jumeok kongnamul", "resolved", [("11452", 30)]),
    ("2 keun-sul gochugaru", "resolved", [("02031", 10.8)]),
    ("1 keunsul gukganjang", "check", [("16124", 18.3)]),
    ("100 g dangmyeon", "resolved", [("16082", 100)]),
    ("sogeum yakgan", "resolved", [("02047", None)]),
]

MALAY_AND_TAGALOG = [
    ("6 siung bawang putih", "resolved", [("11215", 18.0)]),
    ("8 butir bawang merah", "resolved", [("11677", 200)]),
    ("3 bh cabai rawit", "resolved", [("11819", 6.0)]),
    ("2 bh tomat", "resolved", [("11529", 246)]),
    ("5 lbr kol", "resolved", [("11109", 115)]),
    ("1 sudu teh garam", "resolved", [("02047", 6.09)]),
    ("2 cawan air", "resolved", [("14411", 500)]),
    ("1 biji bawang besar", "resolved", [("11282", 110)]),
    ("2 ulas bawang putih", "resolved", [("11215", 6.0)]),
    ("5 ekor udang", "resolved", [("15149", 30)]),
    ("1 ekor ayam, potong 8", "resolved", [("05006", 920)]),
    ("gula dan garam secukupnya", "resolved", [("19335", None), ("02047", None)]),
    ("200 g tepung terigu", "resolved", [("20081", 200)]),
    ("100 g gula merah", "resolved", [("19334", 100)]),
    ("3 lbr daun jeruk", "no_match", []),
    ("1 sdt ketumbar bubuk", "resolved", [("02013", 1.83)]),
    ("2 cups bigas", "resolved", [("20044", 370)]),
    ("500 g beras merah", "check", [("20036", 500)]),
    ("1 ulo bawang", "check", [("11215", 40)]),
    ("5 butil bawang", "check", [("11215", 15.0)]),
    ("3 kutsara suka", "resolved", [("02053", 45)]),
    ("1 tasa gata ng niyog", "resolved", [("12118", 239)]),
    ("1/2 tasa toyo", "resolved", [("16123", 135)]),
    ("1 kg karne ng baboy", "check", [("10187", 1000)]),
    ("1 tali kangkong", "resolved", [("11503", 200)]),
    ("2 piraso sibuyas, hiniwa", "resolved", [("11282", 220)]),
    ("3 dahon ng laurel", "resolved", [("02004", 0.6)]),
    ("1 kg liempo", "resolved", [("10005", 1000)]),
    ("2 piraso patatas, hiniwa", "resolved", [("11352", 426)]),
    ("8 cups air popped popcorn", "resolved", [("19034", 64)]),
]


@pytest.mark.parametrize(("line", "outcome", "parts"), [*JAPANESE_AND_KOREAN, *MALAY_AND_TAGALOG])
def test_words_of_other_languages(
    resolver: Resolver, line: str, outcome: str, parts: list[tuple[str, float | None]]
) -> None:
    assert_read(resolver.resolve(line), outcome, parts)
