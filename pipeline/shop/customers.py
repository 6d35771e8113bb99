"""customers/: one file for each business that orders."""

from datetime import date
from fractions import Fraction

from attrs import frozen

from pipeline.model.measure import Percent
from pipeline.problems import FromFile
from pipeline.shop.office import Address, ElectronicAddress


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
    """A business that orders. `deposit` is asked before work starts, as a share of the total.

    `tax` names the rate of all that it buys, where that is not the shop's. For e-invoices (EN 16931): `vat_id` is
    BT-48, `buyer_reference` BT-10, `electronic_address` BT-49.
    """

    name: str
    title: str
    address: Address
    ship_to: Address | None = None
    contact: str = ""
    terms_days: int = 30
    tax_number: str = ""
    tax: str = ""
    exemption: Exemption | None = None
    prices: tuple[AgreedPrice, ...] = ()
    discount: Percent = Percent(Fraction(0))
    deposit: Percent = Percent(Fraction(0))
    transit_days: int | None = None
    weight: int = 1
    #: Of this customer's papers (ISO 639-1), "" for the shop's.
    language: str = ""
    vat_id: str = ""
    buyer_reference: str = ""
    electronic_address: ElectronicAddress | None = None
