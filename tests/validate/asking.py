"""Asks the stage what it thinks of some orders, as the host does."""

from datetime import date
from typing import Any

from attrs import evolve

from pipeline.model.order import Order
from pipeline.model.prints import Objection, PrintRef
from pipeline.problems import Problem, in_order
from pipeline.shop import Garment, Shop, Transfer
from plugins.validate import check_orders, fit_transfers
from tests.builders import MONDAY, make_garment, make_line, make_order, make_print, make_shop, make_transfer


def ask(*orders: Order, shop: Shop | None = None, today: date = MONDAY) -> tuple[Problem, ...]:
    """Everything that is found in the orders, sorted as it is printed."""
    shop = shop or make_shop()
    fits = fit_transfers(orders=orders, shop=shop, date=today)
    return in_order(check_orders(orders=orders, shop=shop, fits=fits, date=today))


def codes(*orders: Order, shop: Shop | None = None, today: date = MONDAY) -> list[str]:
    """The codes of what is found, sorted."""
    return sorted(problem.code for problem in ask(*orders, shop=shop, today=today))


def only(*orders: Order, shop: Shop | None = None, today: date = MONDAY) -> Problem:
    """The one problem that is found."""
    (problem,) = ask(*orders, shop=shop, today=today)
    return problem


def objections(order: Order, shop: Shop, today: date = MONDAY) -> tuple[Objection, ...]:
    """What speaks against the shop's first transfer for the order's first print."""
    fits = fit_transfers(orders=(order,), shop=shop, date=today)
    return fits.of(PrintRef(job=order.job, line=0, print=0))[0].objections


def with_garment(shop: Shop | None = None, **changes: Any) -> Shop:
    """The shop, its only garment changed."""
    garment: Garment = make_garment(**changes)
    return evolve(shop or make_shop(), garments=(garment,))


def with_transfer(shop: Shop | None = None, **changes: Any) -> Shop:
    """The shop, its only transfer changed. `recipe_...` changes a field of its recipe."""
    recipe = {
        name.removeprefix("recipe_"): value for name, value in changes.items() if name.startswith("recipe_")
    }
    own = {name: value for name, value in changes.items() if not name.startswith("recipe_")}
    transfer: Transfer = make_transfer(**own)
    return evolve(shop or make_shop(), transfers=(evolve(transfer, recipe=evolve(transfer.recipe, **recipe)),))


def with_print(**changes: Any) -> Order:
    """The usual order, its only print changed."""
    return make_order(lines=(make_line(prints=(make_print(**changes),)),))


def with_line(**changes: Any) -> Order:
    """The usual order, its only line changed."""
    return make_order(lines=(make_line(**changes),))
