"""The stage: orders and stock become prints, prints become sheets that the referee passes."""

from datetime import date, timedelta
from fractions import Fraction
from random import Random

import pytest
from attrs import evolve

from pipeline.model.measure import Length, Percent
from pipeline.model.money import Money
from pipeline.model.order import Order
from pipeline.model.prints import PrintRef, StockLot, TransferFit, TransferFits
from pipeline.shop import GroupOptions, Options, Recipe, SheetPrice, Shop, SparesStep
from plugins.group import gang_sheets, list_prints
from plugins.group.demands import spares_for
from tests.builders import INCH, make_artwork, make_line, make_order, make_print, make_shop, make_transfer
from tests.referee_sheets import faults_of_plan

NAMES = ("full-colour", "film")


def fits_of(orders: tuple[Order, ...], names: tuple[str, ...] = ("full-colour",)) -> TransferFits:
    """These transfers fit every print."""
    return TransferFits(
        fits=tuple(
            TransferFit(ref=PrintRef(job=order.job, line=line, print=number), transfer=name)
            for order in orders
            for line, item in enumerate(order.lines)
            for number in range(len(item.prints))
            for name in names
        )
    )


def lot(number: int, copies: int, **changes: object) -> StockLot:
    """Leftovers of the gull at 3 x 3 in."""
    given = {
        "lot": number,
        "customer": "harbour-bakery",
        "artwork": "art/gull.svg",
        "sha256": "a" * 64,
        "width": Length(3 * INCH),
        "height": Length(3 * INCH),
        "transfer": "full-colour",
        "copies": copies,
        "use_by": date(2027, 5, 1),
    }
    return StockLot(**{**given, **changes})


def busy_shop(**changes: object) -> Shop:
    """A shop with two transfers, one of them with an order charge and slower to press, and few iterations."""
    recipe = make_transfer().recipe
    slow = Recipe(
        temperature=recipe.temperature, dwell=timedelta(seconds=25), pressure=recipe.pressure, peel=recipe.peel
    )
    film = make_transfer("film", order_charge=Money(900), set_up=Money(150), minimum_sheets=2, recipe=slow)
    options = Options(group=GroupOptions(iterations=8))
    return make_shop(**{"transfers": (make_transfer(), film), "options": options, **changes})


def busy_week(seed: int, orders: int = 5) -> tuple[Order, ...]:
    """Orders of one or two prints each; the customer of the second wants sheets of its own."""
    draw = Random(seed)
    made = []
    for number in range(orders):
        prints = tuple(
            make_print(
                f"art/{number}{k}.svg",
                width=Length(draw.randint(6, 32) * INCH // 4),
                art=make_artwork(
                    f"art/{number}{k}.svg", sha256=f"{seed}{number}{k}", aspect=Fraction(draw.randint(2, 8), 4)
                ),
            )
            for k in range(draw.randint(1, 2))
        )
        line = make_line({"M": draw.randint(1, 30), "L": draw.randint(1, 40)}, prints=prints)
        made.append(
            make_order(f"H-{number}", lines=(line,), customer=f"customer-{number % 4}", share_sheets=number != 1)
        )
    return tuple(made)


def test_spares_are_reckoned_back_from_the_good_ones() -> None:
    """500 good ones when 5 % spoil: 527 are started, not 525 (by arithmetic: 527 x 0.95 = 500.65)."""
    steps = (SparesStep(from_pieces=1, percent=Percent(Fraction(0)), at_least=1),)
    steps += (SparesStep(from_pieces=13, percent=Percent(Fraction(5, 100)), at_least=2),)
    assert [spares_for(pieces, steps) for pieces in (6, 13, 500)] == [1, 2, 27]
    assert spares_for(6, ()) == 0


def test_sizes_of_one_print_are_one_demand() -> None:
    """M and L carry the same picture at the same size: one demand of six pieces, used twice."""
    orders = (make_order(),)
    prints = list_prints(orders, make_shop(), fits_of(orders), ())
    assert [(d.id, d.pieces, d.width, len(d.uses), d.transfers) for d in prints.demands] == [
        ("P01", 6, 3 * INCH, 2, ("full-colour",))
    ]


def test_two_orders_of_one_customer_share_a_demand_and_two_customers_do_not() -> None:
    """The same file of two customers stays apart: leftovers belong to somebody."""
    orders = (make_order("H-1"), make_order("H-2"), make_order("H-3", customer="sailing-school"))
    prints = list_prints(orders, make_shop(), fits_of(orders), ())
    assert [demand.jobs for demand in prints.demands] == [("H-1", "H-2"), ("H-3",)]


def test_stock_is_used_first_and_the_oldest_lot_before_the_others() -> None:
    """Two lots of the same picture: the one that passes first is used up, the rest comes from the other."""
    orders = (make_order(),)
    stock = (
        lot(1, 3, place="drawer 4"),
        lot(2, 2, use_by=date(2027, 1, 1)),
        lot(3, 9, customer="sailing-school"),
    )
    prints = list_prints(orders, make_shop(), fits_of(orders), stock)
    assert [(use.lot, use.copies, use.place) for use in prints.stock_uses] == [(2, 2, ""), (1, 3, "drawer 4")]
    assert [(d.from_stock, d.to_buy) for d in prints.demands] == [(5, 1)]


def test_stock_of_a_transfer_decides_the_transfer() -> None:
    """One print is pressed with one recipe: with film in stock the rest is bought as film."""
    orders = (make_order(),)
    prints = list_prints(orders, busy_shop(), fits_of(orders, NAMES), (lot(1, 2, transfer="film"),))
    assert prints.demands[0].transfers == ("film",)


def test_nothing_to_buy() -> None:
    """Everything is in stock: no sheet, no order, nothing to pay, and the transfer is still told."""
    orders = (make_order(),)
    shop = make_shop()
    prints = list_prints(orders, shop, fits_of(orders), (lot(1, 50),))
    plan = gang_sheets(orders, shop, prints)
    assert (plan.layouts, plan.cost, plan.lower_bound, plan.chosen) == ((), 0, 0, (("P01", "full-colour"),))
    assert faults_of_plan(shop, prints, plan) == []


@pytest.mark.parametrize("seed", range(3))
def test_a_week_passes_the_referee_and_sharing_pays(seed: int) -> None:
    """Together no dearer than apart, and apart no dearer than the simple way; nothing below the bound."""
    orders = busy_week(seed)
    shop = busy_shop()
    prints = list_prints(orders, shop, fits_of(orders, NAMES), ())
    plan = gang_sheets(orders, shop, prints)
    assert faults_of_plan(shop, prints, plan) == []
    assert 0 < plan.lower_bound <= plan.cost + plan.extra_labour
    assert [item.job for item in plan.alone] == [order.job for order in orders]
    assert plan.cost <= sum(item.cost for item in plan.alone) <= plan.simple_cost


def test_a_print_that_two_orders_share_may_stand_on_two_transfers_when_each_is_alone() -> None:
    """Nine pieces are cheapest on film, 300 on screen: together all go on one of them, no dearer than apart.

    15 of them lie on a sheet. 9 need one sheet of film for 5.00, 300 need 20 of screen at 1.00 and a set-up of 20.00:
    45.00. All 309 on 21 sheets of screen cost 41.00 (by arithmetic).
    """
    (sheet,) = make_transfer().sheets
    tables = {"full-colour": ((1, 300), (10, 100)), "film": ((1, 500),)}
    screen, film = (
        make_transfer(
            name,
            set_up=Money(2_000 if name == "full-colour" else 0),
            sheets=(evolve(sheet, prices=tuple(SheetPrice(from_sheets=n, price=Money(p)) for n, p in steps)),),
        )
        for name, steps in tables.items()
    )
    shop = make_shop(transfers=(screen, film), options=Options(group=GroupOptions(iterations=0)))
    orders = tuple(make_order(job, lines=(make_line({"M": n}),)) for job, n in (("H-1", 9), ("H-2", 300)))
    prints = list_prints(orders, shop, fits_of(orders, NAMES), ())
    plan = gang_sheets(orders, shop, prints)
    assert faults_of_plan(shop, prints, plan) == []
    assert [item.cost for item in plan.alone] == [500, 4_000]
    assert plan.cost == 4_100


@pytest.mark.untraced
def test_the_same_week_gives_the_same_plan() -> None:
    """Twice the same orders, twice the same sheets."""
    orders = busy_week(4)
    shop = busy_shop()
    prints = list_prints(orders, shop, fits_of(orders, NAMES), ())
    assert gang_sheets(orders, shop, prints) == gang_sheets(orders, shop, prints)


def test_a_wish_to_be_alone_is_kept() -> None:
    """No print of the customer who wants its own sheets lies beside another's."""
    orders = busy_week(0)
    shop = busy_shop()
    prints = list_prints(orders, shop, fits_of(orders, NAMES), ())
    alone = {demand.id for demand in prints.demands if demand.alone}
    plan = gang_sheets(orders, shop, prints)
    assert alone
    for layout in plan.layouts:
        on_it = {placed.demand for placed in layout.prints}
        assert on_it <= alone or not on_it & alone


def test_the_referee_sees_a_fault() -> None:
    """A referee that never whistles judges nothing: one sheet less, one print moved, one cut lost."""
    orders = busy_week(1)
    shop = busy_shop()
    prints = list_prints(orders, shop, fits_of(orders, NAMES), ())
    plan = gang_sheets(orders, shop, prints)
    first = max(plan.layouts, key=lambda layout: len(layout.prints))
    moved = evolve(first.prints[0], x=Length(first.prints[0].x + 2 * first.width))
    for broken in (
        evolve(first, sheets=first.sheets - 1),
        evolve(first, prints=(moved, *first.prints[1:])),
        evolve(first, cuts=first.cuts[1:]),
    ):
        others = tuple(layout for layout in plan.layouts if layout.id != first.id)
        assert faults_of_plan(shop, prints, evolve(plan, layouts=(broken, *others)))
