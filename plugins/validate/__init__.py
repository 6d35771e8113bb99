"""Validate: which transfer suits which print, and everything that is wrong with the orders.

This page is the stage's hook implementations and nothing else. Each module beside it holds one kind of rule.
"""

import datetime
from collections.abc import Iterable

from pipeline.hookspecs import hookimpl
from pipeline.model.order import Order
from pipeline.model.prints import TransferFits
from pipeline.problems import Problem
from pipeline.shop import Shop
from plugins.validate.artwork_rules import check_artwork
from plugins.validate.cases import cases
from plugins.validate.choice import check_choice
from plugins.validate.dates import check_dates
from plugins.validate.fit import Fitter
from plugins.validate.goods import check_goods
from plugins.validate.names import check_names
from plugins.validate.safety import check_safety
from plugins.validate.sizes import check_sizes


@hookimpl(trylast=True)
def fit_transfers(orders: tuple[Order, ...], shop: Shop, date: datetime.date) -> TransferFits:
    """Hold every transfer against every print, in the order of the files and then the shop's."""
    fitter = Fitter(shop, date)
    fits = (fitter.fit(case, transfer) for case in cases(orders, shop) for transfer in shop.transfers)
    return TransferFits(fits=tuple(fits))


@hookimpl
def check_orders(
    orders: tuple[Order, ...], shop: Shop, fits: TransferFits, date: datetime.date
) -> Iterable[Problem]:
    """Every rule on every order; what is wrong comes out kind by kind."""
    found = tuple(cases(orders, shop))
    yield from check_names(orders, shop)
    yield from check_goods(orders, shop)
    yield from check_artwork(found, shop)
    yield from check_sizes(orders, found, shop)
    yield from check_choice(found, shop, fits)
    yield from check_dates(orders, found, shop, fits, date)
    yield from check_safety(orders, shop, date)
