"""Lines in English with words of the cooks' own languages between, as they write them in Latin letters."""

from __future__ import annotations

import pytest

from service.core.analyse import Resolver
from tests.core.reading import assert_read

# line -> outcome, entry and grams of each part (None: unknown)
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


@pytest.mark.parametrize(("line", "outcome", "parts"), [*SOUTH_ASIAN, *WEST_AND_CENTRAL_ASIAN, *NEAR_ENGLISH])
def test_a_line_with_words_of_another_language(
    resolver: Resolver, line: str, outcome: str, parts: list[tuple[str, float | None]]
) -> None:
    assert_read(resolver.resolve(line), outcome, parts)
