"""Prices by the number of sheets, against figures from outside."""

from fractions import Fraction

import pytest

from plugins.group.prices import PriceTable
from plugins.group.problem import Sheet

STEPS = ((1, 800), (5, 600), (10, 450), (25, 325), (50, 260), (100, 210))


def table(**changes: object) -> PriceTable:
    """A price table of a sheet with these changes."""
    return PriceTable(Sheet(**{"width": 1, "height": 1, "prices": STEPS, **changes}))


def test_buying_one_more_sheet_can_cost_less() -> None:
    """24 sheets at 4.50 cost 108.00, 25 at 3.25 cost 81.25: whoever needs 24 buys 25 (by arithmetic)."""
    assert table().price(24) * 24 == 10_800
    assert table().best(24) == (25, 8_125)


def test_the_quantities_where_more_costs_less() -> None:
    """At these steps exactly 4, 8, 9, 19-24, 41-49 and 81-99 are better bought up (by arithmetic).

    40 at 3.25 and 50 at 2.60 both cost 130.00: of equal prices the larger quantity is taken.
    """
    up = [needed for needed in range(1, 120) if table().best(needed)[1] < table().price(needed) * needed]
    assert up == [4, 8, 9, *range(19, 25), *range(41, 50), *range(81, 100)]
    assert table().best(40) == (50, 13_000)


def test_set_up_and_minimum() -> None:
    """The set-up is paid once per layout; less than the minimum is not sold."""
    assert table(set_up=1_500, minimum=6).best(1) == (6, 6 * 600 + 1_500)


def test_no_cheaper_quantity_is_missed() -> None:
    """Against trying every quantity one by one."""
    for needed in range(1, 130):
        cheapest = min(table().price(quantity) * quantity for quantity in range(needed, 201))
        assert table().best(needed)[1] == cheapest


def test_all_units_discount_of_a_textbook() -> None:
    """Heizer & Render, Operations Management, the toy store example (its answer from memory, recomputed here).

    5,000 a year, 49.00 per order, 20 % to hold, 5.00 / 4.80 from 1,000 / 4.75 from 2,000: order 1,000, 24,725.00.
    """
    prices = table(prices=((1, 500), (1_000, 480), (2_000, 475)))

    def yearly(quantity: int) -> Fraction:
        price = prices.price(quantity)
        return 5_000 * price + Fraction(5_000 * 4_900, quantity) + Fraction(quantity * price, 10)

    assert min(range(1, 3_000), key=yearly) == 1_000
    assert yearly(1_000) == 2_472_500


def test_all_units_discount_with_a_fixed_holding_cost() -> None:
    """Stevenson, Operations Management, the hospital's cleaner (its answer from memory, recomputed here).

    816 a year, 12.00 per order, 4.00 a year to hold one; 20.00 / 18.00 from 50 / 17.00 from 80 / 16.00 from 100:
    order 100, 13,353.92 a year.
    """
    prices = table(prices=((1, 2_000), (50, 1_800), (80, 1_700), (100, 1_600)))

    def yearly(quantity: int) -> Fraction:
        return 816 * prices.price(quantity) + Fraction(816 * 1_200, quantity) + Fraction(quantity * 400, 2)

    assert min(range(1, 1_000), key=yearly) == 100
    assert yearly(100) == 1_335_392


def test_a_sheet_without_prices_is_refused() -> None:
    """It could not be bought."""
    with pytest.raises(ValueError, match="at least one price"):
        table(prices=())
