"""The shop: what it owns, buys and sells, whom it works for, and how each stage is set.

Every class says in its docstring how it is written in the shop's files. A shop is a folder: `shop.yaml`, and
beside it `customers/`, `garments/`, `transfers/` and `presses/` with one file for each.
"""

from collections.abc import Mapping
from datetime import date, time, timedelta
from enum import StrEnum
from fractions import Fraction
from pathlib import Path
from typing import Protocol, TypeVar

from attrs import field, frozen

from pipeline.model.measure import Length, Percent, Temperature
from pipeline.model.money import Money
from pipeline.problems import FromFile


class Named(Protocol):
    """Anything that has a name."""

    @property
    def name(self) -> str:
        """The name by which other files call it."""


N = TypeVar("N", bound=Named)


def _by_name(things: tuple[N, ...]) -> dict[str, N]:
    return {thing.name: thing for thing in things}


# --- shop.yaml: the office -----------------------------------------------------------------------------


@frozen(kw_only=True)
class Address(FromFile):
    """A postal address, as it is printed. `lines` are street and the like; `country` is ISO 3166-1 alpha-2."""

    lines: tuple[str, ...]
    city: str
    postcode: str
    country: str
    region: str = ""


@frozen(kw_only=True)
class TaxNumber(FromFile):
    """A tax or company number with the label under which it is printed."""

    label: str
    number: str


class TaxRegime(StrEnum):
    """Which kind of tax the shop charges."""

    NONE = "none"
    SALES_TAX = "sales-tax"
    VAT = "vat"


class TaxBasis(StrEnum):
    """Where tax is rounded: per line and then added, or once per rate on the invoice."""

    LINE = "line"
    INVOICE = "invoice"


@frozen(kw_only=True)
class TaxRate(FromFile):
    """One rate. `title` is printed ("Sales tax 5.5 %"); `reason` must be given for a rate of 0 %."""

    name: str
    title: str
    percent: Percent
    reason: str = ""


@frozen(kw_only=True)
class TaxRules(FromFile):
    """How tax is charged. `goods` and `freight` name the rates of decorated goods and of freight."""

    regime: TaxRegime
    rates: tuple[TaxRate, ...] = ()
    goods: str = ""
    freight: str = ""
    basis: TaxBasis = TaxBasis.INVOICE


@frozen(kw_only=True)
class Numbering(FromFile):
    """How numbers look. `{year}` and `{number}` (also `{number:04}`) are filled in; each year counts from 1."""

    invoice: str = "{year}-{number:04}"
    purchase: str = "P{year}-{number:03}"


@frozen(kw_only=True)
class Rates(FromFile):
    """What the shop's time costs. `overhead` is a share of all other costs but blanks and transfers."""

    #: Minor units per hour, exact.
    labour_per_hour: Fraction
    overhead: Percent = Percent(Fraction(0))


@frozen(kw_only=True)
class ListPrice(FromFile):
    """Decoration price per print from a quantity on: `{from: 12, price: 6.50}`. In minor units, exact."""

    from_pieces: int
    price: Fraction


class PriceMethod(StrEnum):
    """How a line without an agreed price is priced."""

    PRICE_LIST = "price-list"
    MARK_UP = "mark-up"
    TARGET_MARGIN = "target-margin"


@frozen(kw_only=True)
class PriceRules(FromFile):
    """How prices are made. Percentages are of the order's net goods value unless said otherwise.

    price-list: blanks at cost plus `blanks_mark_up`, plus each print by `print_prices` at the line's quantity.
    mark-up: cost x (1 + `mark_up`); target-margin: cost / (1 - `target_margin`).
    """

    method: PriceMethod
    print_prices: tuple[ListPrice, ...] = ()
    blanks_mark_up: Percent = Percent(Fraction(0))
    mark_up: Percent = Percent(Fraction(0))
    target_margin: Percent = Percent(Fraction(0))
    #: A print of a larger area than this width x height costs `oversize_per_piece` more per piece.
    oversize_from_width: Length | None = None
    oversize_from_height: Length | None = None
    oversize_per_piece: Money = Money(0)
    rush: Percent = Percent(Fraction(0))
    minimum_order: Money = Money(0)
    freight_per_order: Money = Money(0)
    freight_per_carton: Money = Money(0)


@frozen(kw_only=True)
class SparesStep(FromFile):
    """From so many pieces on, this share of the prints may spoil: `{from: 13, percent: 5%, at_least: 2}`."""

    from_pieces: int
    percent: Percent
    at_least: int = 0


@frozen(kw_only=True)
class Break(FromFile):
    """A pause within a shift, local time."""

    start: time
    end: time


@frozen(kw_only=True)
class Shift(FromFile):
    """Working hours on the given weekdays (`mon` ... `sun`), local time, breaks cut out."""

    days: tuple[str, ...]
    start: time
    end: time
    breaks: tuple[Break, ...] = ()


@frozen(kw_only=True)
class WorkingCalendar(FromFile):
    """When the shop works. On `holidays` nobody does; `carrier` is when shipped orders must be ready."""

    shifts: tuple[Shift, ...]
    holidays: tuple[date, ...] = ()
    carrier: time = time(16, 0)
    #: Working days between the carrier's pick-up and the customer's hands, unless the customer has its own.
    transit_days: int = 1


@frozen(kw_only=True)
class Operator(FromFile):
    """Someone who presses. `tends` is how many presses at once; `shifts` replace the shop's where given."""

    name: str
    tends: int = 1
    shifts: tuple[Shift, ...] = ()


@frozen(kw_only=True)
class Platen(FromFile):
    """A kind of lower platen, and how many the shop has. `edge` stays free of print all round."""

    name: str
    width: Length
    height: Length
    count: int = 1
    edge: Length = Length(6_350)


@frozen(kw_only=True)
class Pad(FromFile):
    """A kind of pressing pad, and how many the shop has."""

    name: str
    count: int = 1


@frozen(kw_only=True)
class Packing(FromFile):
    """How orders are packed: the heaviest carton (grams, carton included), what carton and bag weigh and cost."""

    carton_limit: int
    carton_weight: int
    carton_cost: Money
    carton_pieces: int = 72
    bag_cost: Money = Money(0)


@frozen(kw_only=True)
class StandardTimes(FromFile):
    """The shop's standard times, in seconds in the file. Common practice, to be replaced by its own."""

    load: timedelta = timedelta(seconds=10)
    unload: timedelta = timedelta(seconds=8)
    peel: timedelta = timedelta(seconds=6)
    job_set_up: timedelta = timedelta(minutes=10)
    platen_change: timedelta = timedelta(minutes=10)
    pad_change: timedelta = timedelta(minutes=2)
    pressure_change: timedelta = timedelta(minutes=1)
    #: Fold, bag and quality check per piece: counted as labour, not as press time.
    finish: timedelta = timedelta(seconds=40)


# --- options of the stages -----------------------------------------------------------------------------


class SharingRule(StrEnum):
    """How the purchase of transfers is shared out among the prints on the sheets."""

    PER_PRINT = "per-print"
    BY_AREA = "by-area"
    STAND_ALONE = "stand-alone"


@frozen(kw_only=True)
class ValidateOptions(FromFile):
    """Limits of the art check (pixels per inch at the printed size), of proportions, and of recipes.

    On a dyed polyester no recipe hotter than `dye_limit` is used: above it, dye wanders into the print. A print
    for a child's size is advised to be `youth_scale` of the grown-ups'.
    """

    warn_under_ppi: int = 300
    refuse_under_ppi: int = 150
    proportions: Percent = Percent(Fraction(2, 100))
    dye_limit: Temperature = Temperature(150_000)
    youth_scale: Percent = Percent(Fraction(75, 100))


@frozen(kw_only=True)
class GroupOptions(FromFile):
    """How long and how the grouping is searched. `guillotine`: layouts that straight cuts take apart."""

    iterations: int = 400
    seed: int = 1
    guillotine: bool = True


@frozen(kw_only=True)
class CostOptions(FromFile):
    """How the purchase of transfers is shared out."""

    sharing: SharingRule = SharingRule.STAND_ALONE


@frozen(kw_only=True)
class ScheduleOptions(FromFile):
    """How long the schedule is searched, what rush weighs, and the rack for cold peel (slots per operator)."""

    iterations: int = 2000
    seed: int = 1
    rush_weight: int = 4
    rack_slots: int = 24


@frozen(kw_only=True)
class Options(FromFile):
    """Settings by stage. In shop.yaml: `options: {group: {iterations: 800}}`."""

    validate: ValidateOptions = field(factory=ValidateOptions)
    group: GroupOptions = field(factory=GroupOptions)
    cost: CostOptions = field(factory=CostOptions)
    schedule: ScheduleOptions = field(factory=ScheduleOptions)


# --- presses/ --------------------------------------------------------------------------------------------


class Pressure(StrEnum):
    """What a recipe asks for. Each press has its own setting for it; presses are never converted."""

    LIGHT = "light"
    MEDIUM = "medium"
    FIRM = "firm"


@frozen(kw_only=True)
class Press(FromFile):
    """One heat press.

    `pressure_settings` (`{light: "2", medium: "4", firm: "6"}`) is what the operator sets; a pressure that is
    missing cannot be pressed here. Heating and cooling in thousandths of a degree C per minute (`8C` in the
    file). `opens_itself`: the operator need not stand by during the dwell.
    """

    name: str
    title: str
    lowest: Temperature
    highest: Temperature
    heating_per_minute: Temperature
    cooling_per_minute: Temperature
    platens: tuple[str, ...]
    pressure_settings: Mapping[Pressure, str]
    opens_itself: bool = False
    #: At the start of the week: the platen that is on it; the press is cold.
    platen_on: str = ""
    shifts: tuple[Shift, ...] = ()


# --- transfers/ ------------------------------------------------------------------------------------------


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
class Transfer(FromFile):
    """A kind of transfer on offer from a printer.

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
    sheets: tuple[SheetSize, ...]
    set_up: Money = Money(0)
    minimum_sheets: int = 1
    order_charge: Money = Money(0)
    lead_days: int = 2
    shelf_life_days: int = 365


# --- garments/ -------------------------------------------------------------------------------------------


@frozen(kw_only=True)
class Fibre(FromFile):
    """A fibre of a fabric and its share. In the file: `fabric: {cotton: 60%, polyester: 40%}`."""

    name: str
    percent: Percent


@frozen(kw_only=True)
class GarmentSize(FromFile):
    """A size: what a blank of it costs and weighs (grams), and whether it is a child's."""

    name: str
    cost: Money
    weight: int
    child: bool = False


class View(StrEnum):
    """From which side a placement is seen."""

    FRONT = "front"
    BACK = "back"
    LEFT = "left"
    RIGHT = "right"


@frozen(kw_only=True)
class Placement(FromFile):
    """Where a print may go.

    `anchor` is the place from which it is measured ("collar seam", "shoulder point", "hem", "waistband",
    "brim seam", "pouch seam"); `down` is the distance from there to the print's nearest edge, `across` from the
    centre line to the print's centre, positive towards the wearer's left. `platens`: the preferred first.
    """

    name: str
    title: str
    view: View
    anchor: str
    down: Length
    max_width: Length
    max_height: Length
    platens: tuple[str, ...]
    across: Length = Length(0)
    pad: str = ""


class Hazard(StrEnum):
    """What makes a garment one that is held or refused."""

    SLEEPWEAR = "sleepwear"
    PROTECTIVE = "protective"
    COATED = "coated"


@frozen(kw_only=True)
class Garment(FromFile):
    """A garment style that the shop presses on.

    `outline` names the drawing for the press instruction. `dye_migrates`: a dyed polyester whose dye may wander
    into the print. `cool` is how long a pressed piece cools before a cold peel or the next print (seconds).
    """

    name: str
    title: str
    outline: str
    fabric: tuple[Fibre, ...]
    heat_ceiling: Temperature
    stretch: Stretch
    colours: tuple[str, ...]
    sizes: tuple[GarmentSize, ...]
    placements: tuple[Placement, ...]
    supplier: str
    lead_days: int = 2
    dye_migrates: bool = False
    hazards: tuple[Hazard, ...] = ()
    cool: timedelta = timedelta(seconds=45)

    def size(self, name: str) -> GarmentSize | None:
        """The size of this name, if there is one."""
        return _by_name(self.sizes).get(name)

    def placement(self, name: str) -> Placement | None:
        """The placement of this name, if there is one."""
        return _by_name(self.placements).get(name)


# --- customers/ ------------------------------------------------------------------------------------------


@frozen(kw_only=True)
class Exemption(FromFile):
    """Why a customer pays no tax: the certificate, the day it expires, the words that stand on the invoice."""

    certificate: str
    expires: date
    reason: str


@frozen(kw_only=True)
class AgreedPrice(FromFile):
    """A net price per finished piece of a garment for a customer: `{garment: ..., from: 24, price: 11.20}`."""

    garment: str
    from_pieces: int
    price: Fraction


@frozen(kw_only=True)
class Customer(FromFile):
    """A business that orders. `deposit` is asked before work starts, as a share of the total."""

    name: str
    title: str
    address: Address
    ship_to: Address | None = None
    contact: str = ""
    terms_days: int = 30
    tax_number: str = ""
    exemption: Exemption | None = None
    prices: tuple[AgreedPrice, ...] = ()
    discount: Percent = Percent(Fraction(0))
    deposit: Percent = Percent(Fraction(0))
    transit_days: int | None = None
    weight: int = 1


# --- the whole -------------------------------------------------------------------------------------------


class Paper(StrEnum):
    """The paper in the office's printer."""

    LETTER = "letter"
    A4 = "a4"


class Units(StrEnum):
    """Which unit of length stands first on papers; the other follows in brackets."""

    INCH = "in"
    MILLIMETRE = "mm"


@frozen(kw_only=True)
class Shop(FromFile):
    """Everything that is true of the shop from one week to the next."""

    #: The shop's folder; artwork paths are relative to it.
    root: Path = field(eq=False)
    name: str
    address: Address
    phone: str
    email: str
    currency: str
    time_zone: str
    tax: TaxRules
    rates: Rates
    pricing: PriceRules
    spares: tuple[SparesStep, ...]
    calendar: WorkingCalendar
    operators: tuple[Operator, ...]
    platens: tuple[Platen, ...]
    packing: Packing
    presses: tuple[Press, ...]
    transfers: tuple[Transfer, ...]
    garments: tuple[Garment, ...]
    customers: tuple[Customer, ...]
    pads: tuple[Pad, ...] = ()
    tax_numbers: tuple[TaxNumber, ...] = ()
    #: How to pay, as printed on the invoice.
    payment: str = ""
    paper: Paper = Paper.LETTER
    units: Units = Units.INCH
    numbering: Numbering = field(factory=Numbering)
    times: StandardTimes = field(factory=StandardTimes)
    options: Options = field(factory=Options)
    #: Names of installed packages whose plugins this shop uses.
    plugins: tuple[str, ...] = ()
    _index: dict[str, dict[str, object]] = field(init=False, eq=False, repr=False)

    @_index.default
    def _make_index(self) -> dict[str, dict[str, object]]:
        return {
            "press": dict(_by_name(self.presses)),
            "transfer": dict(_by_name(self.transfers)),
            "garment": dict(_by_name(self.garments)),
            "customer": dict(_by_name(self.customers)),
            "platen": dict(_by_name(self.platens)),
            "pad": dict(_by_name(self.pads)),
            "tax": dict(_by_name(self.tax.rates)),
        }

    def _find(self, kind: str, name: str, of: type[N]) -> N:
        found = self._index[kind][name]
        if not isinstance(found, of):
            raise KeyError(name)
        return found

    def press(self, name: str) -> Press:
        """The press of this name. Raises KeyError, as do all the following."""
        return self._find("press", name, Press)

    def transfer(self, name: str) -> Transfer:
        """The transfer of this name."""
        return self._find("transfer", name, Transfer)

    def garment(self, name: str) -> Garment:
        """The garment of this name."""
        return self._find("garment", name, Garment)

    def customer(self, name: str) -> Customer:
        """The customer of this name."""
        return self._find("customer", name, Customer)

    def platen(self, name: str) -> Platen:
        """The platen of this name."""
        return self._find("platen", name, Platen)

    def pad(self, name: str) -> Pad:
        """The pad of this name."""
        return self._find("pad", name, Pad)

    def tax_rate(self, name: str) -> TaxRate:
        """The tax rate of this name."""
        return self._find("tax", name, TaxRate)

    def knows(self, kind: str, name: str) -> bool:
        """True when there is a `press`, `transfer`, `garment`, `customer`, `platen` or `pad` of this name."""
        return name in self._index[kind]
