"""Who pays how much of the transfers that several orders bought together.

**What is shared.** Everything paid for one transfer - sheets, set-up, order charge - is one pot: on which
layout a print came to lie is the search's doing, not the customer's. Orders that do not share sheets pay for
their own and have no part in the others' saving: they form a club of their own, all the rest another.

**By what.** The shop's setting says what a pot is divided by:

- per print: each print bought costs the same, small or large;
- by area: each square micrometre printed costs the same;
- stand-alone: each order pays the same percentage of what it would have paid alone.

Only prints that were needed count, spares included. What was bought beyond them, because sheets come whole and
more may cost less, is paid for by the batch that bought it, in the same proportion; when a later batch uses
it, it costs nothing new. So prints taken from stock pay no share.

**Nobody pays more than alone.** Where the rule asks more of an order than its own sheets would have cost, it
pays that, and the others take over the rest in proportion, up to the same limit: each pays the smaller of
`alone` and `factor x what the rule asks`, with one factor for all. That has a solution whenever sharing costs
no more than all separate purchases together; where it does cost more, every order pays the same percentage
above alone and the cost book says so.

Why stand-alone is the default: with price steps, the small order's prints would cost more per print alone, so
shares per print or by area hand nearly all of the saving to it. A cost shared in proportion to stand-alone
cost never asks more than alone while there is a saving at all (S. Moriarity, "Another approach to allocating
joint costs", The Accounting Review 50, 1975; H. P. Young, "Cost allocation", Handbook of Game Theory 2, 1994:
both from memory). It promises that to each order, not to each group of orders: the core may be empty.

Everything is exact until the end; then each club's payment is split into whole cents by largest remainder,
first among its orders, then within each order, so that all shares sum to what was paid.
"""

from collections.abc import Mapping
from fractions import Fraction

from attrs import frozen

from pipeline.model.cost import OrderShare, SheetShare
from pipeline.model.money import ZERO, Money, rounded, split
from pipeline.model.order import Order
from pipeline.model.prints import PrintDemand, PrintList
from pipeline.model.sheet import SheetPlan
from pipeline.model.show import money
from pipeline.problems import Problem, Severity
from pipeline.shop import SharingRule, Shop

Pot = tuple[str, str]
"""A club and a transfer."""


@frozen(kw_only=True)
class Shares:
    """The purchase shared out. `shares` sum to what was paid."""

    shares: tuple[SheetShare, ...]
    orders: tuple[OrderShare, ...]
    notes: tuple[Problem, ...]


@frozen(kw_only=True)
class _Part:
    """The bought prints of one demand for one order line; `weight` is what the rule counts of them."""

    job: str
    line: int
    demand: PrintDemand
    pot: Pot
    weight: Fraction

    @property
    def place(self) -> tuple[int, int, int, int, str]:
        """Where it stands in its order, whatever other orders there are: odd cents must not depend on those."""
        first = min(
            use.ref.print for use in self.demand.uses if (use.ref.job, use.ref.line) == (self.job, self.line)
        )
        return self.line, first, self.demand.width, self.demand.height, self.demand.id


_Claim = tuple[_Part, Fraction]
"""A part, and what the rule asks for it in minor units."""


def share_purchase(orders: tuple[Order, ...], shop: Shop, prints: PrintList, sheets: SheetPlan) -> Shares:
    """Share what the sheets cost among the order lines that they are for, by the shop's rule.

    Raises KeyError when the plan does not say what an order would have paid alone.
    """
    rule = shop.options.cost.sharing
    pots = _pots(prints, sheets)
    chosen = dict(sheets.chosen)
    parts = [part for demand in prints.demands for part in _parts(demand, chosen[demand.id], rule)]
    alone = {order.job: order.cost for order in sheets.alone}
    clubs: dict[str, dict[str, list[_Claim]]] = {}
    for part, amount in zip(parts, _asked(parts, pots), strict=True):
        clubs.setdefault(part.pot[0], {}).setdefault(part.job, []).append((part, amount))
    shares: dict[str, list[SheetShare]] = {order.job: [] for order in orders}
    notes: list[Problem] = []
    for club, claims in clubs.items():
        paid = Money(sum(amount for pot, amount in pots.items() if pot[0] == club))
        jobs = sorted(claims)
        asked = [sum((amount for _, amount in claims[job]), Fraction(0)) for job in jobs]
        # Who bought nothing pays nothing, whatever its prints would have cost alone.
        caps = [alone[job] if amount else ZERO for job, amount in zip(jobs, asked, strict=True)]
        if rule is SharingRule.STAND_ALONE and any(caps):
            asked = [Fraction(cap) for cap in caps]
        if paid > sum(caps):
            notes.append(_dearer_together(jobs, paid, Money(sum(caps)), shop.currency))
        for job, whole in zip(jobs, split(paid, _capped(paid, asked, caps)), strict=True):
            shares[job] += _share_out(whole, claims[job])
    return Shares(
        shares=tuple(share for order in orders for share in shares[order.job]),
        orders=tuple(
            OrderShare(job=job, shared=Money(sum(share.amount for share in own)), alone=alone.get(job, ZERO))
            for job, own in shares.items()
        ),
        notes=tuple(notes),
    )


def _club(demand: PrintDemand) -> str:
    """The customer whose prints lie on sheets of their own, or "" for all who share."""
    return demand.customer if demand.alone else ""


def _pots(prints: PrintList, sheets: SheetPlan) -> dict[Pot, Money]:
    """What each club paid for each transfer; the charge per order is split by what the sheets cost."""
    demands = {demand.id: demand for demand in prints.demands}
    pots: dict[Pot, Money] = {}
    for order in (order for order in sheets.orders if order.layouts or order.cost):
        cost: dict[str, int] = {}
        for layout in sheets.layouts:
            if layout.transfer == order.transfer:
                club = _club(demands[layout.prints[0].demand])
                cost[club] = cost.get(club, 0) + layout.cost
        clubs = sorted(cost)
        for club, amount in zip(clubs, split(order.cost, [cost[club] for club in clubs]), strict=True):
            pots[club, order.transfer] = amount
    return pots


def _parts(demand: PrintDemand, transfer: str, rule: SharingRule) -> list[_Part]:
    """A demand's bought copies by order line. Copies from stock serve all of its pieces alike."""
    pieces: dict[tuple[str, int], int] = {}
    for use in demand.uses:
        key = use.ref.job, use.ref.line
        pieces[key] = pieces.get(key, 0) + use.pieces
    of_one = 1 if rule is SharingRule.PER_PRINT else demand.width * demand.height
    return [
        _Part(
            job=job,
            line=line,
            demand=demand,
            pot=(_club(demand), transfer),
            weight=Fraction(demand.to_buy * of_one * count, demand.pieces),
        )
        for (job, line), count in pieces.items()
    ]


def _asked(parts: list[_Part], pots: Mapping[Pot, Money]) -> list[Fraction]:
    """What each part would pay if its pot were divided by weight and nobody looked further."""
    whole: dict[Pot, Fraction] = {}
    for part in parts:
        whole[part.pot] = whole.get(part.pot, Fraction(0)) + part.weight
    return [pots[part.pot] * part.weight / whole[part.pot] if part.weight else Fraction(0) for part in parts]


def _capped(total: Money, claims: list[Fraction], caps: list[Money]) -> list[Fraction]:
    """`total` as min(cap, factor x claim) with one factor for all; above the caps' sum, weights like the caps.

    Who claims nothing pays nothing. Claims and caps are >= 0, and a cap is 0 where the claim is.
    """
    if total > sum(caps):
        return [Fraction(cap) for cap in caps] if any(caps) else claims
    amounts = [Fraction(0)] * len(claims)
    rest, weight = Fraction(total), sum(claims, Fraction(0))
    paying = [i for i, claim in enumerate(claims) if claim]
    # Who reaches the limit at the smallest factor comes first; what that leaves falls to those after.
    for i in sorted(paying, key=lambda i: (caps[i] / claims[i], i)):
        amounts[i] = min(Fraction(caps[i]), rest * claims[i] / weight)
        rest -= amounts[i]
        weight -= claims[i]
    return amounts


def _share_out(amount: Money, claims: list[_Claim]) -> list[SheetShare]:
    """One order's payment by line and demand. Spares cost what the other prints of their demand cost."""
    own = sorted(claims, key=lambda claim: claim[0].place)
    shares: list[SheetShare] = []
    for (part, _), cents in zip(own, split(amount, [claim for _, claim in own]), strict=True):
        demand = part.demand
        spares = rounded(Fraction(cents * demand.spares, demand.pieces + demand.spares))
        shares.append(SheetShare(job=part.job, line=part.line, demand=demand.id, amount=cents, spares=spares))
    return shares


def _dearer_together(jobs: list[str], paid: Money, alone: Money, currency: str) -> Problem:
    """The note that sharing costs more than buying apart."""
    return Problem(
        code="W801",
        severity=Severity.WARNING,
        message=f"the transfers for {', '.join(jobs)} cost {money(paid, currency)} together and "
        f"{money(alone, currency)} apart, so each pays more than alone",
        hint="search longer (`options: {group: {iterations: ...}}`), or press an order in another week",
    )
