"""transfers/: one file for each kind of transfer on offer, with its recipe and prices."""

from datetime import timedelta
from enum import StrEnum

from attrs import frozen

from pipeline.model.measure import Length, Temperature
from pipeline.model.money import Money
from pipeline.problems import FromFile
from pipeline.shop.presses import Pressure


class Peel(StrEnum):
    """In which state the carrier is peeled off."""

    HOT = "hot"
    WARM = "warm"
    COLD = "cold"


class Stretch(StrEnum):
    """How far a fabric gives, and how far a transfer follows."""

    LOW = "low"
    MEDIUM = "medium"
    HIGH = "high"


@frozen(kw_only=True)
class Recipe(FromFile):
    """How a transfer is pressed. Times in seconds in the file. The transfer maker's sheet wins."""

    temperature: Temperature
    dwell: timedelta
    pressure: Pressure
    peel: Peel
    pre_press: timedelta = timedelta(0)
    post_press: timedelta = timedelta(0)
    #: What lies on top while pressing ("parchment"); "" for nothing.
    cover_sheet: str = ""
    #: May be pressed over a pad inside the garment.
    pad_allowed: bool = True


@frozen(kw_only=True)
class SheetPrice(FromFile):
    """From so many sheets of one layout on, each sheet costs this: `{from: 25, price: 3.25}`."""

    from_sheets: int
    price: Money


@frozen(kw_only=True)
class SheetSize(FromFile):
    """A sheet on offer. `margin` stays free along the edge, `gap` between two prints."""

    name: str
    width: Length
    height: Length
    margin: Length
    gap: Length
    prices: tuple[SheetPrice, ...]


@frozen(kw_only=True)
class RollPrice(FromFile):
    """From this length of one layout on, each step costs this: `{from: 60in, price: 0.48}`."""

    from_length: Length
    price: Money


@frozen(kw_only=True)
class Roll(FromFile):
    """A transfer sold by length: of one width, in whole steps, a piece of `longest` at the most.

    All pieces of one layout count together for the price; less than `minimum` of a layout is not sold. `margin`
    stays free along all four edges of a piece, `gap` between two prints.
    """

    name: str
    width: Length
    longest: Length
    step: Length
    margin: Length
    gap: Length
    prices: tuple[RollPrice, ...]
    minimum: Length = Length(0)


@frozen(kw_only=True)
class Transfer(FromFile):
    """A kind of transfer on offer from a printer, by the sheet, by length, or both.

    `fabrics` are the fibres that it holds on (`cotton`, `polyester`, ...); a garment is suited when every fibre
    of at least 5 % is among them. `set_up` is paid per layout, `order_charge` once per order. `lead_days`
    counts working days from ordering to arrival.
    """

    name: str
    title: str
    family: str
    supplier: str
    recipe: Recipe
    fabrics: tuple[str, ...]
    stretch: Stretch
    thinnest_line: Length
    sheets: tuple[SheetSize, ...] = ()
    rolls: tuple[Roll, ...] = ()
    set_up: Money = Money(0)
    minimum_sheets: int = 1
    order_charge: Money = Money(0)
    lead_days: int = 2
    shelf_life_days: int = 365
    #: Its printer takes pictures: each sheet comes as a PNG, too.
    png: bool = False
    #: It is pressed face down: what is printed is turned left to right.
    mirrored: bool = False
    #: Short ticks at the sheet's edges where the cuts begin and end.
    cut_marks: bool = False

    @property
    def offers(self) -> tuple[SheetSize | Roll, ...]:
        """Sheets and rolls, each by a name of its own."""
        return (*self.sheets, *self.rolls)

    def offer(self, name: str) -> SheetSize | Roll:
        """The sheet or roll of this name. Raises KeyError."""
        for offer in self.offers:
            if offer.name == name:
                return offer
        raise KeyError(name)
