"""Small values for tests: a shop of one press, an order of six tees, a document.

Every maker takes changes by field name, so that a test states only what it is about. Plans and runs of such
orders are made in `tests/plans.py`.
"""

from collections.abc import Mapping
from datetime import date, time, timedelta
from fractions import Fraction
from pathlib import Path
from typing import Any

from pipeline.model.document import Audience, Document
from pipeline.model.measure import Length, Percent, Temperature
from pipeline.model.money import Money
from pipeline.model.order import Artwork, ArtworkKind, Delivery, Line, Order, Print, SizeCount
from pipeline.shop import (
    Address,
    Customer,
    Fibre,
    Garment,
    GarmentSize,
    ListPrice,
    Operator,
    Packing,
    Peel,
    Placement,
    Platen,
    Press,
    Pressure,
    PriceMethod,
    PriceRules,
    Rates,
    Recipe,
    SheetPrice,
    SheetSize,
    Shift,
    Shop,
    SparesStep,
    Stretch,
    TaxRate,
    TaxRegime,
    TaxRules,
    Transfer,
    View,
    WorkingCalendar,
)

INCH = 25_400
MONDAY = date(2026, 11, 30)


def make_customer(name: str = "harbour-bakery", **changes: Any) -> Customer:
    """A customer in the shop's own town."""
    address = Address(lines=("1 Quay Street",), city="Gullhaven", postcode="00000", country="US", region="ME")
    return Customer(**{"name": name, "title": name.replace("-", " ").title(), "address": address, **changes})


def make_transfer(name: str = "full-colour", **changes: Any) -> Transfer:
    """A hot-peel transfer on 11 x 17 in sheets: $6.00 a sheet, $4.00 from 10 on."""
    recipe = Recipe(
        temperature=Temperature(143_000), dwell=timedelta(seconds=10), pressure=Pressure.MEDIUM, peel=Peel.HOT
    )
    sheet = SheetSize(
        name="11x17",
        width=Length(11 * INCH),
        height=Length(17 * INCH),
        margin=Length(6_350),
        gap=Length(6_350),
        prices=(SheetPrice(from_sheets=1, price=Money(600)), SheetPrice(from_sheets=10, price=Money(400))),
    )
    given = {
        "name": name,
        "title": name,
        "family": "screen-printed",
        "supplier": "north-pier-prints",
        "recipe": recipe,
        "fabrics": ("cotton", "polyester"),
        "stretch": Stretch.MEDIUM,
        "thinnest_line": Length(500),
        "sheets": (sheet,),
        "shelf_life_days": 180,
    }
    return Transfer(**{**given, **changes})


def make_garment(name: str = "tee", **changes: Any) -> Garment:
    """A cotton tee in sizes S to XL, printable on the left chest and the back."""
    chest = Placement(
        name="left-chest",
        title="Left chest",
        view=View.FRONT,
        anchor="shoulder point",
        down=Length(7 * INCH),
        across=Length(4 * INCH),
        max_width=Length(5 * INCH),
        max_height=Length(5 * INCH),
        platens=("16x20",),
    )
    back = Placement(
        name="back",
        title="Full back",
        view=View.BACK,
        anchor="collar seam",
        down=Length(3 * INCH),
        max_width=Length(14 * INCH),
        max_height=Length(17 * INCH),
        platens=("16x20",),
    )
    given = {
        "name": name,
        "title": "Cotton tee",
        "outline": "tee",
        "fabric": (Fibre(name="cotton", percent=Percent(Fraction(1))),),
        "heat_ceiling": Temperature(200_000),
        "stretch": Stretch.LOW,
        "colours": ("white", "navy"),
        "sizes": tuple(GarmentSize(name=size, cost=Money(250), weight=150) for size in ("S", "M", "L", "XL")),
        "placements": (chest, back),
        "supplier": "mill-lane-blanks",
    }
    return Garment(**{**given, **changes})


def make_press(name: str = "press-a", **changes: Any) -> Press:
    """A clam press that takes the 16 x 20 in platen."""
    given = {
        "name": name,
        "title": name,
        "lowest": Temperature(100_000),
        "highest": Temperature(210_000),
        "heating_per_minute": Temperature(8_000),
        "cooling_per_minute": Temperature(3_000),
        "platens": ("16x20",),
        "pressure_settings": {Pressure.LIGHT: "2", Pressure.MEDIUM: "4", Pressure.FIRM: "6"},
    }
    return Press(**{**given, **changes})


def make_shop(**changes: Any) -> Shop:
    """A shop with one of everything, two customers, and 5.5 % sales tax."""
    shift = Shift(days=("mon", "tue", "wed", "thu", "fri"), start=time(8), end=time(17))
    rate = TaxRate(name="goods", title="Sales tax 5.5 %", percent=Percent(Fraction(55, 1000)))
    given = {
        "root": Path("shop"),
        "name": "Gullhaven Press Works",
        "address": Address(
            lines=("9 Net Loft Lane",), city="Gullhaven", postcode="00000", country="US", region="ME"
        ),
        "phone": "555-0100",
        "email": "office@gullhaven.example",
        "currency": "USD",
        "time_zone": "UTC",
        "tax": TaxRules(regime=TaxRegime.SALES_TAX, rates=(rate,), goods="goods", freight="goods"),
        "rates": Rates(labour_per_hour=Fraction(2_400)),
        "pricing": PriceRules(
            method=PriceMethod.PRICE_LIST, print_prices=(ListPrice(from_pieces=1, price=Fraction(650)),)
        ),
        "spares": (SparesStep(from_pieces=1, percent=Percent(Fraction(0))),),
        "calendar": WorkingCalendar(shifts=(shift,)),
        "operators": (Operator(name="Ada"),),
        "platens": (Platen(name="16x20", width=Length(16 * INCH), height=Length(20 * INCH)),),
        "packing": Packing(carton_limit=15_000, carton_weight=500, carton_cost=Money(180)),
        "presses": (make_press(),),
        "transfers": (make_transfer(),),
        "garments": (make_garment(),),
        "customers": (make_customer(), make_customer("sailing-school")),
    }
    return Shop(**{**given, **changes})


def make_artwork(path: str = "art/gull.svg", **changes: Any) -> Artwork:
    """A square line drawing."""
    return Artwork(
        **{"path": path, "sha256": "a" * 64, "kind": ArtworkKind.SVG, "aspect": Fraction(1), **changes}
    )


def make_print(artwork: str = "art/gull.svg", **changes: Any) -> Print:
    """A print 3 in wide on the left chest."""
    given = {
        "artwork": artwork,
        "placement": "left-chest",
        "width": Length(3 * INCH),
        "art": make_artwork(artwork),
    }
    return Print(**{**given, **changes})


def make_line(pieces: Mapping[str, int] | None = None, **changes: Any) -> Line:
    """Six white tees with one print at $12.00 a piece."""
    counts = tuple(SizeCount(size=size, count=count) for size, count in (pieces or {"M": 4, "L": 2}).items())
    given = {
        "garment": "tee",
        "colour": "white",
        "pieces": counts,
        "prints": (make_print(),),
        "price": Fraction(1_200),
    }
    return Line(**{**given, **changes})


def make_order(job: str = "H-101", **changes: Any) -> Order:
    """An order of one line for the harbour bakery, shipped for Friday of the week after."""
    given = {
        "job": job,
        "customer": "harbour-bakery",
        "due": MONDAY + timedelta(days=11),
        "delivery": Delivery.SHIP,
        "lines": (make_line(),),
        "sha256": "b" * 64,
    }
    return Order(**{**given, **changes})


def make_document(path: str = "invoices/h-101.pdf", content: bytes = b"paper", **changes: Any) -> Document:
    """A document for the office."""
    return Document(**{"path": path, "title": path, "content": content, "audience": Audience.OFFICE, **changes})
