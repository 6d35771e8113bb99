"""shop.yaml, the office: who the shop is, how it numbers, taxes and prices."""

from enum import StrEnum
from fractions import Fraction

from attrs import field, frozen

from pipeline.model.measure import Length, Percent
from pipeline.model.money import Money
from pipeline.problems import FromFile


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


class VatCategory(StrEnum):
    """Why a rate of VAT is what it is (EN 16931, BT-118)."""

    STANDARD = "standard"
    ZERO_RATED = "zero-rated"
    EXEMPT = "exempt"
    REVERSE_CHARGE = "reverse-charge"
    EXPORT = "export"
    OUTSIDE = "outside"


@frozen(kw_only=True)
class TaxRate(FromFile):
    """One rate. `title` is printed ("Sales tax 5.5 %"); `reason` must be given for a rate of 0 %.

    `category` is for VAT: without it, a rate above 0 % is a standard one. `reason_code` is of the code list VATEX.
    """

    name: str
    title: str
    percent: Percent
    reason: str = ""
    category: VatCategory | None = None
    reason_code: str = ""


@frozen(kw_only=True)
class TaxRules(FromFile):
    """How tax is charged. `goods` and `freight` name the rates of decorated goods and of freight."""

    regime: TaxRegime
    rates: tuple[TaxRate, ...] = ()
    goods: str = ""
    freight: str = ""
    basis: TaxBasis = TaxBasis.INVOICE


@frozen(kw_only=True)
class ElectronicAddress(FromFile):
    """Where e-invoices are sent to or from. `scheme` is of the code list EAS: EM for an e-mail address."""

    scheme: str
    address: str


@frozen(kw_only=True)
class EInvoiceRules(FromFile):
    """What e-invoices say of the shop besides its papers (EN 16931): BT-31, BT-32, BT-30, BT-84, BT-86 and BT-34.

    Numbers are as the authority gave them; the IBAN may have spaces.
    """

    vat_id: str = ""
    tax_number: str = ""
    registration: str = ""
    iban: str = ""
    bic: str = ""
    electronic_address: ElectronicAddress | None = None


@frozen(kw_only=True)
class Numbering(FromFile):
    """How numbers look. `{year}` and `{number}` (also `{number:04}`) are filled in; each year counts from 1."""

    invoice: str = "{year}-{number:04}"
    purchase: str = "P{year}-{number:03}"
    credit: str = "C{year}-{number:03}"
    deposit: str = "D{year}-{number:03}"


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
    #: So many days after its date a quote is still good.
    quote_days: int = 30


@frozen(kw_only=True)
class SparesStep(FromFile):
    """From so many pieces on, this share of the prints may spoil: `{from: 13, percent: 5%, at_least: 2}`."""

    from_pieces: int
    percent: Percent
    at_least: int = 0


@frozen(kw_only=True)
class Wording:
    """The shop's own words for its papers in one language (ISO 639 code), as a gettext file."""

    code: str
    po: bytes = field(repr=False)
