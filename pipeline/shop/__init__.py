"""The shop: what it owns, buys and sells, whom it works for, and how each stage is set.

Every class says in its docstring how it is written in the shop's files. A shop is a folder: `shop.yaml`, and
beside it `customers/`, `garments/`, `transfers/` and `presses/` with one file for each.
"""

from enum import StrEnum
from pathlib import Path

from attrs import field, frozen

from pipeline.problems import FromFile
from pipeline.shop.customers import AgreedPrice, Customer, Exemption
from pipeline.shop.floor import Break, Operator, Packing, Pad, Platen, Shift, StandardTimes, WorkingCalendar
from pipeline.shop.garments import Fibre, Garment, GarmentSize, Hazard, Placement, View
from pipeline.shop.named import N, Named, by_name
from pipeline.shop.office import (
    Address,
    EInvoiceRules,
    ElectronicAddress,
    ListPrice,
    Numbering,
    PriceMethod,
    PriceRules,
    Rates,
    SparesStep,
    TaxBasis,
    TaxNumber,
    TaxRate,
    TaxRegime,
    TaxRules,
    VatCategory,
    Wording,
)
from pipeline.shop.options import (
    CostOptions,
    GroupOptions,
    Options,
    ScheduleOptions,
    SharingRule,
    ValidateOptions,
)
from pipeline.shop.presses import Press, Pressure
from pipeline.shop.transfers import Peel, Recipe, Roll, RollPrice, SheetPrice, SheetSize, Stretch, Transfer
from pipeline.shop.watching import ClosingPolicy, CutOff, WatchRules

__all__ = [
    "Address",
    "AgreedPrice",
    "Break",
    "ClosingPolicy",
    "CostOptions",
    "Customer",
    "CutOff",
    "EInvoiceRules",
    "ElectronicAddress",
    "Exemption",
    "Fibre",
    "Garment",
    "GarmentSize",
    "GroupOptions",
    "Hazard",
    "ListPrice",
    "Named",
    "Numbering",
    "Operator",
    "Options",
    "Packing",
    "Pad",
    "Paper",
    "Peel",
    "Placement",
    "Platen",
    "Press",
    "Pressure",
    "PriceMethod",
    "PriceRules",
    "Rates",
    "Recipe",
    "Roll",
    "RollPrice",
    "ScheduleOptions",
    "SharingRule",
    "SheetPrice",
    "SheetSize",
    "Shift",
    "Shop",
    "SparesStep",
    "StandardTimes",
    "Stretch",
    "TaxBasis",
    "TaxNumber",
    "TaxRate",
    "TaxRegime",
    "TaxRules",
    "Transfer",
    "Units",
    "ValidateOptions",
    "VatCategory",
    "View",
    "WatchRules",
    "Wording",
    "WorkingCalendar",
]


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
    #: What e-invoices need; None where none are made.
    einvoice: EInvoiceRules | None = None
    paper: Paper = Paper.LETTER
    units: Units = Units.INCH
    #: Of the papers (ISO 639); a customer may have another.
    language: str = "en"
    wordings: tuple[Wording, ...] = ()
    numbering: Numbering = field(factory=Numbering)
    times: StandardTimes = field(factory=StandardTimes)
    options: Options = field(factory=Options)
    #: How the folder of dropped orders is watched.
    watch: WatchRules = field(factory=WatchRules)
    #: Address of a PostgreSQL database; "" = a file beside shop.yaml.
    ledger: str = ""
    #: Names of installed packages whose plugins this shop uses.
    plugins: tuple[str, ...] = ()
    _index: dict[str, dict[str, object]] = field(init=False, eq=False, repr=False)

    @_index.default
    def _make_index(self) -> dict[str, dict[str, object]]:
        return {
            "press": dict(by_name(self.presses)),
            "transfer": dict(by_name(self.transfers)),
            "garment": dict(by_name(self.garments)),
            "customer": dict(by_name(self.customers)),
            "platen": dict(by_name(self.platens)),
            "pad": dict(by_name(self.pads)),
            "tax": dict(by_name(self.tax.rates)),
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
