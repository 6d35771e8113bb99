"""Values in problems read as people write them; pint is the judge of units."""

from datetime import date
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.model.measure import parse_length
from pipeline.model.money import Money
from pipeline.model.show import count, money, percent
from plugins.validate.words import Words, day, listed, quoted

UNITS = pint.UnitRegistry()
CUSTOMARY, METRIC = Words(), Words(metric_first=True)


def test_lengths_and_temperatures_show_both_units() -> None:
    """The shop's own stands first."""
    assert CUSTOMARY.length(88_900) == "3.5 in (89 mm)"
    assert METRIC.length(88_900) == "89 mm (3.5 in)"
    assert CUSTOMARY.length(500) == "0.02 in (0.5 mm)"
    assert CUSTOMARY.size(88_900, 101_600) == "3.5 × 4 in (89 × 102 mm)"
    assert CUSTOMARY.temperature(143_333) == "290 °F (143.3 °C)"
    assert METRIC.temperature(143_333) == "143.3 °C (290 °F)"


@given(st.integers(0, 2_000_000))
def test_lengths_are_those_of_pint(length: int) -> None:
    """Both figures name the same length, within half of their last digit."""
    inch, mm = CUSTOMARY.length(length).removesuffix(" mm)").split(" in (")
    exact = UNITS.Quantity(length, "micrometer")
    assert float(inch) == pytest.approx(exact.to("inch").magnitude, abs=0.00501)
    assert float(mm) == pytest.approx(exact.to("millimeter").magnitude, abs=0.501)


@given(st.integers(-40_000, 260_000))
def test_temperatures_are_those_of_pint(temperature: int) -> None:
    """Both figures name the same temperature, within half of their last digit."""
    fahrenheit, celsius = CUSTOMARY.temperature(temperature).removesuffix(" °C)").split(" °F (")
    exact = UNITS.Quantity(temperature / 1000, "degC")
    assert float(fahrenheit) == pytest.approx(exact.to("degF").magnitude, abs=0.0501)
    assert float(celsius) == pytest.approx(exact.magnitude, abs=0.0501)


@given(st.integers(0, 2_000_000), st.booleans())
def test_a_length_to_write_is_read_back_and_never_too_long(length: int, metric: bool) -> None:
    """Whoever types a hint in must not be refused again."""
    read = parse_length(Words(metric_first=metric).written(length))
    assert length - 1_000 < read <= length


def test_nouns_and_lists() -> None:
    """Sentences read as sentences."""
    assert [count(number, "piece") for number in (0, 1, 2)] == ["0 pieces", "1 piece", "2 pieces"]
    assert (count(1, "box", "boxes"), count(1_200, "box", "boxes")) == ("1 box", "1,200 boxes")
    assert [listed("a"), listed("ab"), listed("abc", "or"), listed([])] == [
        "a",
        "a and b",
        "a, b or c",
        "nothing",
    ]
    assert quoted(["a", "b"]) == "`a` and `b`"
    assert percent(Fraction(1, 8)) == "12.5 %"
    assert (money(Money(-123_450), "USD"), money(Money(1_234), "JPY")) == ("-1,234.50 USD", "1,234 JPY")
    assert day(date(2026, 11, 25)) == "Wed 2026-11-25"
