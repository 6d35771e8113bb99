"""What the plugins say of a batch's orders, of those that could not be read whole, too."""

from pipeline.batch import Batch
from pipeline.model.order import Order
from pipeline.model.prints import TransferFits
from pipeline.problems import Problem
from pipeline.readings import Readings, said_of_both
from pipeline.stages import Stages


def check_orders(batch: Batch, stages: Stages, fits: TransferFits) -> tuple[Problem, ...]:
    """The problems of all orders. `fits` are those of the orders that could be read.

    With others the plugins are asked twice, once for each reading of those, and what they say both times counts.
    """

    def ask(orders: tuple[Order, ...], fits: TransferFits) -> tuple[Problem, ...]:
        return stages.check_orders(orders=orders, shop=batch.shop, fits=fits, date=batch.date)

    def ask_with(others: tuple[Order, ...]) -> tuple[Problem, ...]:
        orders = (*batch.orders, *others)
        return ask(orders, stages.fit_transfers(orders=orders, shop=batch.shop, date=batch.date))

    if not batch.readings:
        return ask(batch.orders, fits)
    others = Readings(
        least=tuple(read.least for read in batch.readings),
        most=tuple(read.most for read in batch.readings),
        faults=frozenset().union(*(read.faults for read in batch.readings)),
    )
    return said_of_both(others.map(ask_with))
