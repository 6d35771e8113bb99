"""The costs of sheets that were really searched for: sharing must pay for everyone, not only on paper."""

from fractions import Fraction

import pytest
from attrs import evolve

from pipeline.model.measure import Length, Percent
from pipeline.model.prints import PrintRef, TransferFit, TransferFits
from pipeline.shop import CostOptions, GroupOptions, Options, SharingRule, SparesStep
from plugins.group import gang_sheets, list_prints
from tests.builders import INCH, make_line, make_order, make_print, make_shop
from tests.cost.cases import Week, make_week
from tests.referee_money import faults_of_shares


def searched_week(rule: SharingRule) -> Week:
    """A small, a middling and a large order, with spares, on the sheets that the search finds."""
    shop = make_shop(
        options=Options(group=GroupOptions(iterations=400), cost=CostOptions(sharing=rule)),
        spares=(SparesStep(from_pieces=1, percent=Percent(Fraction(1, 20)), at_least=1),),
    )
    orders = tuple(
        make_order(
            f"H-{number}",
            customer=customer,
            lines=(
                make_line({"M": pieces}, prints=(make_print(f"art/{number}.svg", width=Length(width * INCH)),)),
            ),
        )
        for number, customer, pieces, width in (
            (1, "harbour-bakery", 5, 4),
            (2, "sailing-school", 18, 3),
            (3, "sailing-school", 60, 5),
        )
    )
    # Pictures are told apart by their content, so each order's is another.
    orders = tuple(
        evolve(
            order, lines=(evolve(line, prints=(evolve(item, art=evolve(item.picture, sha256=order.job * 16)),)),)
        )
        for order in orders
        for line in order.lines
        for item in line.prints
    )
    fits = TransferFits(
        fits=tuple(
            TransferFit(ref=PrintRef(job=order.job, line=0, print=0), transfer="full-colour") for order in orders
        )
    )
    prints = list_prints(orders, shop, fits, ())
    return evolve(make_week(shop, orders), prints=prints, sheets=gang_sheets(orders, shop, prints))


@pytest.mark.parametrize("rule", SharingRule)
def test_everyone_gains_by_sharing(rule: SharingRule) -> None:
    """Together the sheets cost less than apart, nobody pays more than alone, and the shares sum."""
    week = searched_week(rule)
    costs = week.costs()
    assert week.sheets.cost < sum(item.cost for item in week.sheets.alone)
    assert costs.notes == ()
    assert all(order.saving >= 0 for order in costs.orders)
    assert faults_of_shares(week.orders, week.shop, week.prints, week.sheets, costs) == []
    assert all(share.spares > 0 for share in costs.shares)
