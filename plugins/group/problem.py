"""What the solver is given and what it gives back: plain integers, nothing about orders or files.

Lengths are micrometres, money is in minor units (cents), prints and media are known by their index.
A *medium* is one kind of transfer; it may be had on several sheet sizes, and by length from a roll. A *layout* is
one arrangement of prints on one sheet, of which a number of sheets is bought. A piece of a roll is a sheet, too: as
long as the layout needs.
"""

from collections.abc import Iterator

from attrs import field, frozen


@frozen(kw_only=True)
class Sheet:
    """One sheet size of a medium.

    `prices` holds (from this many sheets of one layout, price of each sheet): the price of the highest step
    reached counts for all sheets. `set_up` is paid once per layout; less than `minimum` sheets are not sold.
    """

    width: int
    height: int
    margin: int = 0
    gap: int = 0
    prices: tuple[tuple[int, int], ...]
    set_up: int = 0
    minimum: int = 1


@frozen(kw_only=True)
class Roll:
    """A medium sold by length: pieces of one width, each a whole number of steps long, `longest` at the most.

    `prices` holds (from this length of one layout, price of each step): all pieces of a layout count together,
    and the price of the highest length reached counts for all of it. Less than `minimum` of a layout is not sold.
    """

    width: int
    step: int
    longest: int
    margin: int = 0
    gap: int = 0
    prices: tuple[tuple[int, int], ...]
    set_up: int = 0
    minimum: int = 0

    @property
    def most_steps(self) -> int:
        """How many steps the longest piece has."""
        return self.longest // self.step

    def piece(self, steps: int) -> Sheet:
        """Return the sheet that a piece of so many steps is: from as many as reach a length, its price holds."""
        length = steps * self.step
        prices = {max(1, -(-start // length)): price * steps for start, price in sorted(self.prices)}
        return Sheet(
            width=self.width,
            height=length,
            margin=self.margin,
            gap=self.gap,
            prices=tuple(prices.items()),
            set_up=self.set_up,
            minimum=max(1, -(-self.minimum // length)),
        )


@frozen(kw_only=True)
class Medium:
    """A kind of transfer: its sheet sizes and rolls, and the charge for ordering any of it at all."""

    sheets: tuple[Sheet | Roll, ...]
    order_charge: int = 0


@frozen(kw_only=True)
class Print:
    """A picture at one size, `copies` of which are needed.

    `media` are the media it may be bought on; `extras` what choosing each of them costs besides the purchase
    (labour; for all copies together), in the same order. Only prints of equal `company` share a sheet.
    """

    width: int
    height: int
    copies: int
    media: tuple[int, ...] = (0,)
    extras: tuple[int, ...] = field()
    may_turn: bool = True
    company: int = 0

    @extras.default
    def _no_extras(self) -> tuple[int, ...]:
        return (0,) * len(self.media)

    def extra_on(self, medium: int) -> int:
        """Return what pressing all copies from `medium` costs besides the purchase."""
        return self.extras[self.media.index(medium)]


@frozen(kw_only=True)
class Problem:
    """Prints to be bought, and the media to buy them on.

    `guillotine` asks for sheets that fall apart by straight cuts through the whole piece. `most_layouts`
    limits the number of layouts, if given.
    """

    prints: tuple[Print, ...]
    media: tuple[Medium, ...]
    guillotine: bool = True
    most_layouts: int | None = None

    def only(self, wanted: Iterator[int] | tuple[int, ...]) -> "Problem":
        """Return the same problem with no other prints than those of index `wanted`, in that order."""
        return Problem(
            prints=tuple(self.prints[i] for i in wanted),
            media=self.media,
            guillotine=self.guillotine,
            most_layouts=self.most_layouts,
        )


@frozen(kw_only=True, order=True)
class Placement:
    """A copy of print `print` with its lower left corner at x, y of the sheet; width and height as placed."""

    x: int
    y: int
    width: int
    height: int
    print: int
    turned: bool


@frozen(kw_only=True)
class Cut:
    """One straight cut across a whole piece, from (x1, y1) to (x2, y2).

    Cuts of equal `stage` can be made with the trimmer set one way: stage 1 goes through the sheet, stage 2
    across what fell off, and so on.
    """

    stage: int
    x1: int
    y1: int
    x2: int
    y2: int


@frozen(kw_only=True)
class Layout:
    """One arrangement and how many sheets of it are bought; `cost` is all of them with the set-up.

    `height` is the sheet's, or how long the piece of the roll is; `price` that of each sheet or piece.
    `cuts` is None where the sheet does not fall apart by guillotine cuts.
    """

    medium: int
    sheet: int
    height: int
    placements: tuple[Placement, ...]
    quantity: int
    price: int
    cost: int
    cuts: tuple[Cut, ...] | None

    @property
    def stages(self) -> int:
        """Number of cutting stages (0: nothing to cut, or not to be cut by a guillotine)."""
        return max((cut.stage for cut in self.cuts or ()), default=0)


@frozen(kw_only=True)
class Result:
    """The best plan found. Its cost is `purchase` (layouts) + `order_charges` + `extras`.

    `media` is the medium chosen for each print, `surplus` how many copies of it come beyond those needed.
    No plan costs less than `bound`, which is proven.
    """

    layouts: tuple[Layout, ...]
    media: tuple[int, ...]
    surplus: tuple[int, ...]
    purchase: int
    order_charges: int
    extras: int
    bound: int
    iterations: int

    @property
    def cost(self) -> int:
        """All that the plan costs, in minor units."""
        return self.purchase + self.order_charges + self.extras


class Unplaceable(ValueError):
    """No sheet that print `index` may use has room for it."""

    def __init__(self, index: int) -> None:
        super().__init__(f"print {index} fits on no sheet that it may use")
        self.index = index
