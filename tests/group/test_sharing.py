"""Who may share a sheet with whom: recipes, turning, a wish to be alone, and the days on which orders are due."""

from datetime import timedelta

from attrs import evolve

from pipeline.model.money import Money
from pipeline.model.order import Order
from pipeline.model.prints import PrintList, TransferFits
from pipeline.model.sheet import SheetPlan
from pipeline.model.workdays import Workdays, ready_by
from pipeline.shop import GroupOptions, Options, SheetPrice, Shop
from plugins.group import gang_sheets, list_prints
from plugins.group.problem import Medium, Print, Problem, Sheet
from plugins.group.solve import solve
from plugins.group.stop import after
from plugins.validate import fit_transfers
from tests.builders import MONDAY, make_artwork, make_line, make_order, make_print, make_shop, make_transfer
from tests.referee_sheets import faults_of_plan, faults_of_result


def shop_of_two(quick_days: int = 1, cheap_days: int = 1, **cheap: object) -> Shop:
    """A dear transfer that is soon here and one for half the price."""
    (sheet,) = make_transfer().sheets
    half = evolve(sheet, prices=(SheetPrice(from_sheets=1, price=Money(300)),))
    transfers = (
        make_transfer("quick", lead_days=quick_days),
        make_transfer("cheap", lead_days=cheap_days, sheets=(half,), **cheap),
    )
    return make_shop(transfers=transfers, options=Options(group=GroupOptions(iterations=30)))


def order(job: str, pieces: int, days: int = 20, *, art: str = "", **changes: object) -> Order:
    """An order of tees with a picture of its own (or `art`), due so many days after the Monday."""
    path = f"art/{art or job}.svg"
    item = make_print(path, art=make_artwork(path, sha256=(art or job).ljust(64, "0")))
    line = make_line({"M": pieces}, prints=(item,))
    return make_order(job, lines=(line,), due=MONDAY + timedelta(days=days), **changes)


def planned(shop: Shop, *orders: Order) -> tuple[PrintList, SheetPlan]:
    """The prints and the sheets, by the real rules of what fits; the referee has passed them."""
    fits: TransferFits = fit_transfers(orders, shop, MONDAY)
    prints = list_prints(orders, shop, fits, ())
    plan = gang_sheets(orders, shop, prints)
    assert faults_of_plan(shop, prints, plan) == []
    return prints, plan


def jobs_on(prints: PrintList, plan: SheetPlan) -> list[tuple[str, set[str]]]:
    """For each layout its transfer and the orders that lie on it."""
    return [
        (layout.transfer, {job for item in layout.prints for job in prints.demand(item.demand).jobs})
        for layout in plan.layouts
    ]


def test_a_print_that_may_not_turn_takes_more_sheets() -> None:
    """On 4 x 6, prints of 3 x 2 lie three to a sheet; turned, two beside two leave room for four in 4 x 6.

    Twelve copies: four sheets without turning, three with it (by arithmetic: 2 x 3 turned lie 2 across and 2 up).
    """
    media = (Medium(sheets=(Sheet(width=4, height=6, prices=((1, 10),)),)),)
    for may_turn, cost in ((False, 40), (True, 30)):
        problem = Problem(prints=(Print(width=3, height=2, copies=12, may_turn=may_turn),), media=media)
        result = solve(problem, after(30), 1)
        assert faults_of_result(problem, result) == []
        assert result.cost == cost


def test_prints_of_two_recipes_never_meet() -> None:
    """A recipe belongs to its transfer: what only one transfer suits shares with nobody on the other."""
    cotton, named = order("H-1", 12), order("H-2", 12)
    # The builders' tee is cotton: a transfer for polyester alone does not suit it.
    prints, plan = planned(shop_of_two(fabrics=("polyester",)), cotton, named)
    assert {transfer for transfer, _ in jobs_on(prints, plan)} == {"quick"}
    (line,) = named.lines
    asks = evolve(line, prints=tuple(evolve(item, transfer="quick") for item in line.prints))
    prints, plan = planned(shop_of_two(), cotton, evolve(named, lines=(asks,)))
    assert sorted(jobs_on(prints, plan)) == [("cheap", {"H-1"}), ("quick", {"H-2"})]


def test_a_rush_order_does_not_wait_for_the_others() -> None:
    """The cheap transfer takes eight working days: too long for the order of next week, right for the other.

    So the two never share a sheet, though together on the cheap one would cost less; each transfer is here before
    the last day on which its orders can be ready.
    """
    shop = shop_of_two(quick_days=1, cheap_days=8)
    soon, later = order("H-1", 12, days=7, rush=True), order("H-2", 12, days=25)
    prints, plan = planned(shop, soon, later)
    assert sorted(jobs_on(prints, plan)) == [("cheap", {"H-2"}), ("quick", {"H-1"})]
    workdays = Workdays.of(shop.calendar)
    for transfer, jobs in jobs_on(prints, plan):
        arrives = workdays.after(MONDAY, shop.transfer(transfer).lead_days)
        assert all(arrives <= ready_by(each, shop) for each in (soon, later) if each.job in jobs)


def test_one_picture_of_two_days_is_two_demands() -> None:
    """The same customer's same picture, wanted soon and later: one is not held to the other's transfer."""
    shop = shop_of_two(quick_days=1, cheap_days=8)
    soon, later = order("H-1", 12, days=7, art="gull"), order("H-2", 40, days=25, art="gull")
    prints, plan = planned(shop, soon, later)
    assert [(demand.jobs, demand.transfers) for demand in prints.demands] == [
        (("H-1",), ("quick",)), (("H-2",), ("quick", "cheap")),
    ]  # fmt: skip
    assert sorted(jobs_on(prints, plan)) == [("cheap", {"H-2"}), ("quick", {"H-1"})]


def test_who_wants_to_be_alone_is_alone_among_all() -> None:
    """Two customers who each want sheets of their own do not share with one another either."""
    orders = (
        order("H-1", 6, share_sheets=False),
        order("H-2", 6, customer="sailing-school", share_sheets=False),
        order("H-3", 6),
    )
    prints, plan = planned(shop_of_two(), *orders)
    assert sorted(tuple(jobs) for _, jobs in jobs_on(prints, plan)) == [("H-1",), ("H-2",), ("H-3",)]
