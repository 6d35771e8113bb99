"""What must hold for every week, whatever the shop's rules."""

import random

import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from pipeline.model.cost import ChargeKind
from tests.builders import MONDAY
from tests.cost.cases import Week, weeks
from tests.referee_money import faults_of_bill, faults_of_costs, faults_of_margins, faults_of_shares
from tests.referee_packing import faults_of_packing

pytestmark = pytest.mark.untraced


@given(weeks())
def test_the_referee_finds_no_fault_with_the_shares(week: Week) -> None:
    """Shares sum to what was paid, follow one factor, and ask nobody more than alone unless that is told."""
    assert faults_of_shares(week.orders, week.shop, week.prints, week.sheets, week.costs()) == []


@given(weeks())
def test_the_referee_finds_no_fault_with_the_costs(week: Week) -> None:
    """Each part of each line's cost is made again; so are the cartons that it pays for."""
    assert faults_of_packing(week.orders, week.shop, week.packing) == []
    assert faults_of_costs(week.orders, week.shop, week.packing, week.tasks, week.costs()) == []


@given(weeks())
def test_the_referee_finds_no_fault_with_the_bills(week: Week) -> None:
    """Lines, charges, tax per rate, total, deposit and margins are made again."""
    prices, book = week.prices(), week.bills()
    assert [bill.job for bill in book.bills] == [order.job for order in week.orders]
    for order, bill in zip(week.orders, book.bills, strict=True):
        assert faults_of_bill(order, week.shop, prices, bill, MONDAY) == []
    assert faults_of_margins(week.orders, week.costs(), prices, book) == []


@given(weeks(), st.integers(0, 1_000))
def test_the_sequence_of_the_orders_changes_nothing(week: Week, seed: int) -> None:
    """Job files come in any order: every order costs and pays the same, to the cent."""
    mixed = random.Random(seed).sample(week.orders, len(week.orders))
    other = evolve(
        week,
        orders=tuple(mixed),
        prints=evolve(week.prints, demands=tuple(reversed(week.prints.demands))),
        sheets=evolve(week.sheets, layouts=tuple(reversed(week.sheets.layouts))),
    )
    assert sorted(other.costs().lines, key=str) == sorted(week.costs().lines, key=str)
    assert sorted(other.costs().shares, key=str) == sorted(week.costs().shares, key=str)
    assert sorted(other.bills().bills, key=str) == sorted(week.bills().bills, key=str)


@given(weeks())
def test_no_charge_is_empty_or_of_a_strange_sign(week: Week) -> None:
    """A bill shows no charge of nothing; only a discount takes off; nobody is paid for ordering."""
    prices = week.prices()
    for charge in prices.charges:
        assert charge.amount
        assert (charge.amount < 0) == (charge.kind is ChargeKind.DISCOUNT)
    for bill in week.bills().bills:
        assert bill.net >= 0
        assert 0 <= bill.deposit <= bill.total


@given(weeks())
def test_the_minimum_is_reached(week: Week) -> None:
    """Without freight, no order is asked less than the shop's minimum."""
    prices = week.prices()
    for bill in week.bills().bills:
        freight = sum(c.amount for c in prices.charges_of(bill.job) if c.kind is ChargeKind.FREIGHT)
        assert bill.net - freight >= week.shop.pricing.minimum_order
