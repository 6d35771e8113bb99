"""From prints to sheets: put the print list to the solver, and tell its answer in the shop's words."""

from collections.abc import Sequence
from datetime import timedelta
from fractions import Fraction

from attrs import evolve, frozen

from pipeline.model.measure import Length
from pipeline.model.money import Money, rounded
from pipeline.model.order import Order
from pipeline.model.prints import PrintDemand, PrintList
from pipeline.model.sheet import Cut, Layout, OrderAlone, PlacedPrint, SheetPlan, Surplus, TransferOrder
from pipeline.shop import Roll, SheetSize, Shop, Transfer
from plugins.group import problem as plain
from plugins.group.baseline import one_layout_per_owner
from plugins.group.solve import solve
from plugins.group.stop import after, first_of, when_stale

ALONE_STALE = 400
"""The plan of a single order is small: so many iterations in a row without gain are enough."""


def plan_sheets(orders: tuple[Order, ...], shop: Shop, prints: PrintList) -> SheetPlan:
    """Return the sheets to buy for everything in `prints` that does not come from stock.

    Each order is planned alone first, beginning with the simple way, and all together beginning with the plans
    of the single orders. So sharing never costs more than ordering apart, nor that more than the simple way.
    """
    asked = Asked.of(shop, prints)
    options = shop.options.group
    alone: list[OrderAlone] = []
    layouts: list[plain.Layout] = []
    simple_cost = 0
    for order in orders:
        share, indexes = asked.share_of(order.job)
        if not indexes:
            alone.append(OrderAlone(job=order.job, cost=Money(0)))
            continue
        simple = one_layout_per_owner(share, [order.job] * len(indexes))[0]
        stop = first_of(after(options.iterations), when_stale(ALONE_STALE))
        best = solve(share, stop, options.seed, simple.layouts, prove=False)
        simple_cost += simple.purchase + simple.order_charges
        alone.append(OrderAlone(job=order.job, cost=Money(best.purchase + best.order_charges)))
        layouts += [_renumbered(layout, indexes) for layout in best.layouts]
    result = solve(asked.problem, after(options.iterations), options.seed, tuple(layouts)) if layouts else None
    return asked.answer(prints, result, tuple(alone), Money(simple_cost))


def _renumbered(layout: plain.Layout, indexes: Sequence[int]) -> plain.Layout:
    """Return a layout of some of the prints with their indexes among all prints."""
    placements = sorted(evolve(p, print=indexes[p.print]) for p in layout.placements)
    return evolve(layout, placements=tuple(placements))


@frozen(kw_only=True)
class Asked:
    """The problem put to the solver, with the transfers and demands that its indexes stand for."""

    transfers: tuple[Transfer, ...]
    demands: tuple[PrintDemand, ...]
    problem: plain.Problem

    @classmethod
    def of(cls, shop: Shop, prints: PrintList) -> "Asked":
        """Put the demands of which something must be bought into numbers."""
        demands = tuple(demand for demand in prints.demands if demand.to_buy)
        wanted = {name for demand in demands for name in demand.transfers}
        transfers = tuple(transfer for transfer in shop.transfers if transfer.name in wanted)
        clubs = {name: number for number, name in enumerate(sorted({d.customer for d in demands if d.alone}), 1)}
        problem = plain.Problem(
            prints=tuple(
                plain.Print(
                    width=demand.width,
                    height=demand.height,
                    copies=demand.to_buy,
                    media=tuple(m for m, t in enumerate(transfers) if t.name in demand.transfers),
                    extras=_extra_labour(demand, [t for t in transfers if t.name in demand.transfers], shop),
                    may_turn=demand.may_turn,
                    company=clubs[demand.customer] if demand.alone else 0,
                )
                for demand in demands
            ),
            media=tuple(_medium(transfer) for transfer in transfers),
            guillotine=shop.options.group.guillotine,
        )
        return cls(transfers=transfers, demands=demands, problem=problem)

    def share_of(self, job: str) -> tuple[plain.Problem, list[int]]:
        """Return the problem of one order by itself, and the indexes of its prints among all.

        Of a print that several orders have in common, it buys its share of spares and stock.
        """
        indexes = [i for i, demand in enumerate(self.demands) if job in demand.jobs]
        part = self.problem.only(tuple(indexes))
        prints = []
        for i, item in zip(indexes, part.prints, strict=True):
            demand = self.demands[i]
            pieces = sum(use.pieces for use in demand.uses if use.ref.job == job)
            extras = tuple(extra * pieces // demand.pieces for extra in item.extras)
            prints.append(evolve(item, copies=-(-demand.to_buy * pieces // demand.pieces), extras=extras))
        return evolve(part, prints=tuple(prints)), indexes

    def answer(
        self, prints: PrintList, result: plain.Result | None, alone: tuple[OrderAlone, ...], simple_cost: Money
    ) -> SheetPlan:
        """Return the solver's result as a plan; None stands for nothing to buy."""
        found = result.layouts if result else ()
        layouts = tuple(self._layout(layout, number) for number, layout in enumerate(found, start=1))
        media = result.media if result else ()
        chosen = {d.id: self.transfers[m].name for d, m in zip(self.demands, media, strict=True)}
        surplus = zip(self.demands, result.surplus if result else (), strict=True)
        return SheetPlan(
            layouts=layouts,
            orders=tuple(self._order(t, layouts) for m, t in enumerate(self.transfers) if m in media),
            surplus=tuple(
                Surplus(demand=demand.id, transfer=chosen[demand.id], copies=copies)
                for demand, copies in surplus
                if copies
            ),
            chosen=tuple((demand.id, chosen.get(demand.id, demand.transfers[0])) for demand in prints.demands),
            alone=alone,
            lower_bound=Money(result.bound if result else 0),
            simple_cost=simple_cost,
            iterations=result.iterations if result else 0,
            extra_labour=Money(result.extras if result else 0),
        )

    def _layout(self, layout: plain.Layout, number: int) -> Layout:
        transfer = self.transfers[layout.medium]
        offer = transfer.offers[layout.sheet]
        return Layout(
            id=f"S{number}",
            transfer=transfer.name,
            sheet_size=offer.name,
            width=offer.width,
            height=Length(layout.height),
            prints=tuple(
                PlacedPrint(
                    demand=self.demands[p.print].id,
                    x=Length(p.x),
                    y=Length(p.y),
                    width=Length(p.width),
                    height=Length(p.height),
                    turned=p.turned,
                )
                for p in layout.placements
            ),
            cuts=tuple(
                Cut(x1=Length(c.x1), y1=Length(c.y1), x2=Length(c.x2), y2=Length(c.y2), stage=c.stage)
                for c in layout.cuts or ()
            ),
            sheets=layout.quantity,
            price=Money(layout.price),
            set_up=transfer.set_up,
            steps=layout.height // offer.step if isinstance(offer, Roll) else 0,
        )

    @staticmethod
    def _order(transfer: Transfer, layouts: tuple[Layout, ...]) -> TransferOrder:
        own = [layout for layout in layouts if layout.transfer == transfer.name]
        return TransferOrder(
            transfer=transfer.name,
            layouts=tuple(layout.id for layout in own),
            sheets=sum(layout.sheets for layout in own),
            order_charge=transfer.order_charge,
            cost=Money(sum(layout.cost for layout in own) + transfer.order_charge),
        )


def _medium(transfer: Transfer) -> plain.Medium:
    return plain.Medium(
        order_charge=transfer.order_charge, sheets=tuple(_offer(offer, transfer) for offer in transfer.offers)
    )


def _offer(offer: SheetSize | Roll, transfer: Transfer) -> plain.Sheet | plain.Roll:
    if isinstance(offer, Roll):
        return plain.Roll(
            width=offer.width,
            step=offer.step,
            longest=offer.longest,
            margin=offer.margin,
            gap=offer.gap,
            prices=tuple((step.from_length, step.price) for step in offer.prices),
            set_up=transfer.set_up,
            minimum=offer.minimum,
        )
    return plain.Sheet(
        width=offer.width,
        height=offer.height,
        margin=offer.margin,
        gap=offer.gap,
        prices=tuple((step.from_sheets, step.price) for step in offer.prices),
        set_up=transfer.set_up,
        minimum=transfer.minimum_sheets,
    )


def _extra_labour(demand: PrintDemand, transfers: list[Transfer], shop: Shop) -> tuple[int, ...]:
    """Return what pressing the demand costs more with each transfer than with the quickest, in minor units."""
    times = [t.recipe.pre_press + t.recipe.dwell + t.recipe.post_press for t in transfers]
    quickest = min(times)
    return tuple(
        rounded(Fraction((time - quickest) * demand.pieces // _MICROSECOND, _HOUR) * shop.rates.labour_per_hour)
        for time in times
    )


_MICROSECOND = timedelta(microseconds=1)
_HOUR = timedelta(hours=1) // _MICROSECOND
