"""The sample shop's own plugin: what it charges, whom, and the slip that goes along."""

from fractions import Fraction
from pathlib import Path

import pytest

from pipeline.model.cost import ChargeKind, CostBook
from pipeline.model.document import Audience
from pipeline.model.measure import Percent
from pipeline.model.order import Delivery, Order
from pipeline.plugin_manager import load_plugins
from pipeline.shop import Address, Shop, TaxRate, TaxRegime, TaxRules
from tests.builders import MONDAY, make_customer, make_line, make_order, make_shop
from tests.plans import make_run

SAMPLE = Path(__file__).parents[2] / "sample_jobs"
LANDING = Address(lines=("Landing Stage",), city="Outer Skerry", postcode="00000", country="US")


@pytest.fixture(name="shop")
def _shop() -> Shop:
    """A shop with the sample's plugins, one customer in town and one whose goods go to the island."""
    town = make_customer()
    rate = make_shop().tax.rates[0]
    free = TaxRate(name="freight", title="Freight", percent=Percent(Fraction(0)), reason="by carrier")
    tax = TaxRules(regime=TaxRegime.SALES_TAX, rates=(rate, free), goods=rate.name, freight=free.name)
    return make_shop(root=SAMPLE, customers=(town, make_customer("ferry", ship_to=LANDING)), tax=tax)


ISLAND = make_order("H-1", customer="ferry")
OVER_THE_COUNTER = make_order("H-2", customer="ferry", delivery=Delivery.PICK_UP)
TOWN = make_order("H-3")
#: 72 pieces are the most in a carton of the test shop.
LARGE = make_order("H-4", customer="ferry", lines=(make_line({"M": 100}),))


@pytest.mark.parametrize(
    ("order", "fares"),
    [(ISLAND, [450]), (OVER_THE_COUNTER, []), (TOWN, []), (LARGE, [900])],
    ids=["shipped to the island", "picked up", "shipped in town", "two cartons"],
)
def test_each_carton_that_crosses_pays_its_fare(shop: Shop, order: Order, fares: list[int]) -> None:
    """The wrapper of `price_orders` adds one charge, and only to an order that really crosses."""
    stages = load_plugins(shop, stages=("plugins.pack", "plugins.cost"))
    packing = stages.pack_orders(orders=(order,), shop=shop)
    nothing = CostBook(lines=(), shares=(), orders=())
    prices = stages.price_orders(orders=(order,), shop=shop, costs=nothing, packing=packing)
    added = [charge for charge in prices.charges_of(order.job) if charge.kind is ChargeKind.OTHER]
    assert [charge.amount for charge in added] == fares


def test_the_fare_is_billed_and_taxed_as_freight(shop: Shop) -> None:
    """What a shop's plugin charges stands on the invoice without a line of code in the billing stage."""
    stages = load_plugins(shop, stages=("plugins.pack", "plugins.cost"))
    packing = stages.pack_orders(orders=(ISLAND,), shop=shop)
    run = make_run((ISLAND,), shop)
    costs = run.plan.costs
    prices = stages.price_orders(orders=(ISLAND,), shop=shop, costs=costs, packing=packing)
    bill = stages.bill_orders(
        orders=(ISLAND,), shop=shop, costs=costs, prices=prices, prepaid=(), date=MONDAY
    ).bill("H-1")
    fare = bill.lines[-1]
    assert (fare.description, fare.net, fare.tax) == ("Ferry to Outer Skerry", 450, "freight")
    # Six pieces at 12.00, taxed at 5.5 %; the fare is not.
    assert (bill.net, bill.tax) == (7_200 + 450, 396)


def test_a_slip_for_each_order_that_crosses(shop: Shop) -> None:
    """The purser gets a paper that names this order and no other customer."""
    run = make_run((ISLAND, OVER_THE_COUNTER, TOWN), shop)
    (slip,) = load_plugins(shop, stages=()).make_documents(run=run)
    assert (slip.path, slip.job, slip.audience) == ("orders/h-1/ferry-slip.txt", "H-1", Audience.CUSTOMER)
    # The plain plan packs six pieces of 150 g into one carton of 500 g: 1.4 kg, about 3 lb.
    assert "[ ] carton 1 of 1: 3 lb" in slip.content.decode()
    assert "Harbour Bakery" not in slip.content.decode()
