"""From orders to prints: how many copies of which picture at which size, less what lies in stock."""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import ceil

from attrs import evolve, frozen

from pipeline.model.measure import Length
from pipeline.model.order import Artwork, Order
from pipeline.model.prints import PrintDemand, PrintList, PrintRef, PrintUse, StockLot, StockUse, TransferFits
from pipeline.shop import Shop, SparesStep


@frozen(kw_only=True)
class _Kind:
    """What makes prints one and the same: they may be cut from the same sheets and stand in for each other."""

    customer: str
    sha256: str
    width: Length
    height: Length
    transfers: tuple[str, ...]
    may_turn: bool
    alone: bool


def demands_of(
    orders: tuple[Order, ...], shop: Shop, fits: TransferFits, stock: tuple[StockLot, ...]
) -> PrintList:
    """Return one demand for each picture, size and choice of transfers, with spares, less stock."""
    pictures: dict[_Kind, Artwork] = {}
    uses: dict[_Kind, list[PrintUse]] = {}
    for kind, picture, use in _wanted(orders, fits):
        pictures.setdefault(kind, picture)
        uses.setdefault(kind, []).append(use)
    shelf = Shelf(stock)
    demands = []
    for number, (kind, used) in enumerate(uses.items(), start=1):
        demand = PrintDemand(
            id=f"P{number:02}",
            customer=kind.customer,
            artwork=pictures[kind],
            width=kind.width,
            height=kind.height,
            transfers=kind.transfers,
            uses=tuple(used),
            spares=spares_for(sum(use.pieces for use in used), shop.spares),
            may_turn=kind.may_turn,
            alone=kind.alone,
        )
        demands.append(shelf.serve(demand))
    return PrintList(demands=tuple(demands), stock_uses=tuple(shelf.taken))


def _wanted(orders: tuple[Order, ...], fits: TransferFits) -> Iterator[tuple[_Kind, Artwork, PrintUse]]:
    """Go through every size of every print of every line."""
    for order in orders:
        for line_number, line in enumerate(order.lines):
            for print_number, item in enumerate(line.prints):
                ref = PrintRef(job=order.job, line=line_number, print=print_number)
                for count in line.pieces:
                    if not count.count:
                        continue
                    width, height = item.size_on(count.size)
                    kind = _Kind(
                        customer=order.customer,
                        sha256=item.picture.sha256,
                        width=width,
                        height=height,
                        transfers=fits.usable(ref),
                        may_turn=item.may_turn,
                        alone=not order.share_sheets,
                    )
                    yield kind, item.picture, PrintUse(ref=ref, size=count.size, pieces=count.count)


def spares_for(pieces: int, steps: Sequence[SparesStep]) -> int:
    """Return how many copies above `pieces` are needed if the step's share of all copies spoils.

    To have n good ones when a share p spoils, n / (1 - p) are started, rounded up: n x (1 + p) is too few.
    """
    reached = [step for step in steps if step.from_pieces <= pieces]
    if not reached:
        return 0
    step = max(reached, key=lambda step: step.from_pieces)
    return max(ceil(Fraction(pieces) / (1 - step.percent)) - pieces, step.at_least)


class Shelf:
    """The stock of leftover prints while demands are served from it, one after the other."""

    def __init__(self, stock: tuple[StockLot, ...]) -> None:
        self._lots = sorted(stock, key=lambda lot: (lot.use_by, lot.lot))
        self._left = {lot.lot: lot.copies for lot in stock}
        self.taken: list[StockUse] = []

    def serve(self, demand: PrintDemand) -> PrintDemand:
        """Return the demand less what lies here, the lots that pass first being used first.

        A demand is pressed with one recipe, so it is served from one transfer's lots, and what it still lacks
        is bought on that transfer: of those with most copies, the first in the shop's order.
        """
        wanted = demand.pieces + demand.spares
        lots: dict[str, list[StockLot]] = {name: [] for name in demand.transfers}
        for lot in self._lots:
            if lot.transfer in lots and self._is_same(lot, demand) and self._left[lot.lot]:
                lots[lot.transfer].append(lot)
        copies = {name: min(wanted, sum(self._left[lot.lot] for lot in here)) for name, here in lots.items()}
        chosen = max(demand.transfers, key=lambda name: copies[name], default="")
        if not chosen or not copies[chosen]:
            return demand
        for lot in lots[chosen]:
            taken = min(wanted, self._left[lot.lot])
            if taken:
                self._left[lot.lot] -= taken
                wanted -= taken
                self.taken.append(StockUse(lot=lot.lot, demand=demand.id, copies=taken, place=lot.place))
        return evolve(demand, transfers=(chosen,), from_stock=copies[chosen])

    @staticmethod
    def _is_same(lot: StockLot, demand: PrintDemand) -> bool:
        return (
            lot.customer == demand.customer
            and lot.sha256 == demand.artwork.sha256
            and lot.width == demand.width
            and lot.height == demand.height
        )
