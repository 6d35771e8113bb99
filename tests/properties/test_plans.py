"""Every small week: nothing is lost on the way from order to carton, every sum is right, no referee objects."""

import pytest
from hypothesis import given, settings

from tests.builders import MONDAY
from tests.properties.judges import faults, late_transfers, ordered, packed, pressed, short_prints
from tests.properties.small_weeks import Week, planned, weeks

pytestmark = pytest.mark.untraced

FEW = settings(max_examples=20)
"""A plan takes half a second; the thorough profile is for a night."""


@FEW
@given(weeks())
def test_every_plan_keeps_what_the_journey_promises(week: Week) -> None:
    """Pieces in = pressed = packed; prints suffice; shares sum; totals add up; and the referees agree.

    One test, since the plan is what takes the time: each assertion is a promise of its own.
    """
    done = planned(week)
    plan = done.plan

    pieces = ordered(plan.orders)
    assert packed(plan) == pieces
    for position, made in pressed(plan).items():
        with_so_many = {
            (order.job, at)
            for order in plan.orders
            for at, line in enumerate(order.lines)
            if len(line.prints) > position
        }
        assert made == {key: count for key, count in pieces.items() if key[:2] in with_so_many}

    assert list(short_prints(plan)) == []
    assert list(late_transfers(done.shop, plan, MONDAY)) == []

    assert sum(share.amount for share in plan.costs.shares) == plan.sheets.cost
    for bill in plan.bills.bills:
        assert bill.total == sum(line.net for line in bill.lines) + sum(tax.amount for tax in bill.taxes)

    assert faults(done.shop, plan, MONDAY) == []
