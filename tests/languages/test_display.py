"""How values look in a language and country, held against what is published.

The locale data of Unicode (CLDR), by which babel writes; DIN 5008 (thousands, decimal comma, a space before the per
cent sign; from memory); the posts' rules for addresses (from memory).
"""

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.display import Display
from pipeline.language import Language
from pipeline.shop import Address

SPACE = "\N{NO-BREAK SPACE}"
GERMAN = Display(language=Language("de", "DE"), currency="EUR", metric_first=True)


@pytest.mark.parametrize(
    ("shown", "expected"),
    [
        (GERMAN.money(123_450), f"1.234,50{SPACE}€"),
        (GERMAN.money(-5), f"-0,05{SPACE}€"),
        (GERMAN.money(Fraction(412, 10), 3), f"0,412{SPACE}€"),
        # Half away from zero, where babel itself would round half to even.
        (GERMAN.money(Fraction(5, 2), 2), f"0,03{SPACE}€"),
        (GERMAN.money(Fraction(-5, 2), 2), f"-0,03{SPACE}€"),
        (GERMAN.number(1_234_567), "1.234.567"),
        (GERMAN.percent(Fraction(825, 10_000)), f"8,25{SPACE}%"),
        (GERMAN.percent(Fraction(19, 100)), f"19{SPACE}%"),
        (GERMAN.length(88_900), f"89{SPACE}mm (3,5{SPACE}Zoll)"),
        (GERMAN.size((88_900, 101_600)), f"89{SPACE}×{SPACE}102{SPACE}mm (3,5{SPACE}×{SPACE}4{SPACE}Zoll)"),
        (GERMAN.temperature(143_333), f"143{SPACE}°C (290{SPACE}°F)"),
        # 4 218 g = 9.2991 lb by 453.59237 g to the pound (NIST Handbook 44, exact).
        (GERMAN.weight(4_218), f"4,2{SPACE}kg (9,3{SPACE}lb)"),
        (Display().weight(4_218), f"9.3{SPACE}lb (4.2{SPACE}kg)"),
        # 25 November 2026 is a Wednesday.
        (GERMAN.day(date(2026, 11, 25)), "Mi., 25. Nov. 2026"),
        (GERMAN.day(date(2026, 3, 2)), "Mo., 2. März 2026"),
        (Display(language=Language("de", "AT"), currency="EUR").money(123_450), f"€{SPACE}1.234,50"),
        (Display(language=Language("de", "CH"), currency="CHF").money(123_450), f"CHF{SPACE}1’234.50"),
        (Display(language=Language("en", "CA"), currency="CAD").money(123_450), "$1,234.50"),
        (Display(language=Language("en", "US"), currency="CHF").money(123_450), f"CHF{SPACE}1,234.50"),
        (Display(language=Language("en", "GB"), currency="GBP").money(-123_450), "-£1,234.50"),
        # A country that the locale data do not pair with the language: the language alone.
        (Display(language=Language("de", "JP"), currency="JPY").money(1_200), f"1.200{SPACE}¥"),
    ],
)
def test_values_in_a_language(shown: str, expected: str) -> None:
    """Amounts are rounded before they are written, and so are the same in every language."""
    assert shown == expected


@given(st.integers(-(10**12), 10**12))
def test_every_amount_reads_back(amount: int) -> None:
    """The digits are those of the amount, whatever stands between them, and the sign is there below zero."""
    for display in (Display(), GERMAN, Display(language=Language("de", "CH"), currency="CHF")):
        said = display.money(amount)
        assert int("".join(character for character in said if character.isdigit())) == abs(amount)
        assert ("-" in said) == (amount < 0)


def address(**parts: str) -> Address:
    """An address in a street."""
    return Address(lines=("6 Net Loft Lane",), **parts)


@pytest.mark.parametrize(
    ("where", "reader", "expected"),
    [
        ({"city": "Quillmouth", "region": "ME", "postcode": "04999", "country": "US"}, "US",
         ["Quillmouth, ME 04999"]),
        ({"city": "Quillmouth", "region": "NS", "postcode": "B0X 0X0", "country": "CA"}, "CA",
         ["Quillmouth NS B0X 0X0"]),
        ({"city": "Quillmouth", "postcode": "ZZ9 9ZZ", "country": "GB"}, "GB", ["Quillmouth", "ZZ9 9ZZ"]),
        ({"city": "Quillmouth", "region": "Saltshire", "postcode": "ZZ9 9ZZ", "country": "GB"}, "DE",
         ["Quillmouth", "Saltshire", "ZZ9 9ZZ", "Vereinigtes Königreich"]),
        ({"city": "Federhafen", "postcode": "00000", "country": "DE"}, "DE", ["00000 Federhafen"]),
        ({"city": "Federhafen", "postcode": "00000", "country": "DE"}, "US", ["00000 Federhafen", "Deutschland"]),
    ],
)  # fmt: skip
def test_an_address_is_as_its_post_wants_it(where: dict[str, str], reader: str, expected: list[str]) -> None:
    """The postcode in its place, and the country's name in the paper's language for a letter abroad."""
    assert GERMAN.address(address(**where), reader).splitlines() == ["6 Net Loft Lane", *expected]
