"""What the others pay when some orders are taken off the sheets."""

from fractions import Fraction

from attrs import frozen

from pipeline.model.money import Money


@frozen(kw_only=True)
class TakenOff:
    """An order that is taken off: its share of the transfers with the others, and what they would cost it alone."""

    job: str
    customer: str
    paid: Money
    alone: Money


@frozen(kw_only=True)
class Remaining:
    """An order that stays: its share of the transfers and its price (net, freight included), before and after."""

    job: str
    customer: str
    transfers: Money
    transfers_after: Money
    net: Money
    net_after: Money

    @property
    def transfers_change(self) -> Money:
        """What its transfers cost more; below zero when they cost less."""
        return Money(self.transfers_after - self.transfers)

    @property
    def net_change(self) -> Money:
        """What it pays more; below zero when it pays less."""
        return Money(self.net_after - self.net)

    @property
    def share(self) -> Fraction | None:
        """The change of its transfers as a share of what they cost before; None when they cost nothing."""
        return Fraction(self.transfers_change, self.transfers) if self.transfers else None


@frozen(kw_only=True)
class Without:
    """A batch planned twice: with all its orders, and without some. `purchase` is what all transfers cost."""

    off: tuple[TakenOff, ...]
    orders: tuple[Remaining, ...]
    purchase: Money
    purchase_after: Money
