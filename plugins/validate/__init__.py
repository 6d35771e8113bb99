"""Validate: which transfer suits which print, and everything that is wrong with the orders.

This page is the stage's hook implementations and nothing else. Each module beside it holds one kind of rule.
"""

import datetime

from pipeline.hookspecs import hookimpl
from pipeline.model.order import Order
from pipeline.model.prints import TransferFits
from pipeline.shop import Shop
from plugins.validate.cases import cases
from plugins.validate.fit import Fitter


@hookimpl(trylast=True)
def fit_transfers(orders: tuple[Order, ...], shop: Shop, date: datetime.date) -> TransferFits:
    """Hold every transfer against every print, in the order of the files and then the shop's."""
    fitter = Fitter(shop, date)
    fits = (fitter.fit(case, transfer) for case in cases(orders, shop) for transfer in shop.transfers)
    return TransferFits(fits=tuple(fits))
