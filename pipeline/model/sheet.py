"""Sheets: what lies where on each layout, how many sheets of it are bought, and what that costs."""

from fractions import Fraction
from functools import cached_property

from attrs import frozen

from pipeline.model.measure import Length
from pipeline.model.money import Money


@frozen(kw_only=True)
class PlacedPrint:
    """One print on a layout: its lower left corner from the sheet's lower left corner, as it lies.

    `width` and `height` are as it lies: swapped against the demand when `turned` (90 degrees counter-clockwise).
    """

    demand: str
    x: Length
    y: Length
    width: Length
    height: Length
    turned: bool = False


@frozen(kw_only=True)
class Cut:
    """One straight cut through a whole piece of the sheet, in the order in which the cuts are made.

    It runs from (x1, y1) to (x2, y2): x1 == x2 for an upright cut, y1 == y2 for a level one.
    `stage` counts how often the direction has changed, from 1.
    """

    x1: Length
    y1: Length
    x2: Length
    y2: Length
    stage: int


@frozen(kw_only=True)
class Layout:
    """One arrangement of prints, of which `sheets` identical sheets are bought.

    A piece of a roll counts as a sheet as long as it is.
    """

    #: `S1`, `S2`, ...
    id: str
    transfer: str
    sheet_size: str
    width: Length
    height: Length
    prints: tuple[PlacedPrint, ...]
    #: Empty when the layout cannot be cut apart by straight cuts alone.
    cuts: tuple[Cut, ...]
    sheets: int
    #: Price of one sheet at this number of sheets, and the set-up of this layout.
    price: Money
    set_up: Money
    #: How many steps of its roll a piece is long; 0 for a sheet.
    steps: int = 0

    @property
    def cost(self) -> Money:
        """All sheets of this layout and its set-up."""
        return Money(self.sheets * self.price + self.set_up)

    @property
    def stages(self) -> int:
        """How often the cutting direction changes, the first included; 0 where straight cuts alone do not do."""
        return max((cut.stage for cut in self.cuts), default=0)

    @property
    def length(self) -> Length:
        """The length bought of a roll, all pieces together; 0 for sheets."""
        return Length(self.sheets * self.height if self.steps else 0)

    def copies(self, demand: str) -> int:
        """How many prints of one demand lie on one sheet."""
        return sum(1 for item in self.prints if item.demand == demand)


@frozen(kw_only=True)
class TransferOrder:
    """What is bought of one transfer: its layouts' cost plus the charge per order."""

    transfer: str
    layouts: tuple[str, ...]
    sheets: int
    order_charge: Money
    cost: Money


@frozen(kw_only=True)
class Surplus:
    """Prints bought above pieces and spares: they go to stock."""

    demand: str
    transfer: str
    copies: int


@frozen(kw_only=True)
class OrderAlone:
    """What one order's transfers would cost if nobody shared a sheet with it."""

    job: str
    cost: Money


@frozen(kw_only=True)
class SheetPlan:
    """The whole purchase of transfers."""

    layouts: tuple[Layout, ...]
    orders: tuple[TransferOrder, ...]
    surplus: tuple[Surplus, ...]
    #: Which transfer prints each demand: (demand, transfer), in the order of the demands.
    chosen: tuple[tuple[str, str], ...]
    alone: tuple[OrderAlone, ...]
    #: No plan for these demands can cost less (proven); 0 when nothing was proven.
    lower_bound: Money
    #: One layout per order and nothing shared: the simple way, for comparison.
    simple_cost: Money
    iterations: int
    #: What the chosen transfers cost more in labour than, for each print, the quickest that it may have. The
    #: choice is made by purchase and labour together, and so the lower bound holds for both.
    extra_labour: Money = Money(0)

    @property
    def cost(self) -> Money:
        """Everything that is paid for transfers."""
        return Money(sum(order.cost for order in self.orders))

    @property
    def gap(self) -> Fraction | None:
        """At most this share above the best possible; None when nothing was proven."""
        return Fraction(self.cost + self.extra_labour, self.lower_bound) - 1 if self.lower_bound else None

    def transfer_of(self, demand: str) -> str:
        """The transfer chosen for a demand. Raises KeyError."""
        return self._by_demand[demand]

    @cached_property
    def _by_demand(self) -> dict[str, str]:
        return dict(self.chosen)
