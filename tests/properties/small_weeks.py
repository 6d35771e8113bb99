"""Small weeks, drawn by hypothesis: a shop set in one of many ways, and orders that reach into every corner of it.

The shop has two competing transfers (the cheap one for many is peeled cold and takes no pad, the other may be sold by
length), two kinds of garment,
two presses and three customers of different standing. Searches take a few steps only: what must hold of a plan must
hold of a hasty one too.
"""

from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory

from attrs import evolve, frozen
from hypothesis import strategies as st

from pipeline.canonical import digest
from pipeline.model.measure import Length, Percent, Temperature
from pipeline.model.money import Money
from pipeline.model.order import Blanks, Delivery, Line, Order, Print, SizeCount, SizeScale
from pipeline.model.prints import StockLot
from pipeline.model.run import Plan
from pipeline.plugin_manager import load_plugins
from pipeline.problems import Problem
from pipeline.run import make_plan
from pipeline.shop import (
    AgreedPrice,
    CostOptions,
    Customer,
    Exemption,
    Garment,
    GroupOptions,
    Operator,
    Options,
    Packing,
    Pad,
    Peel,
    Placement,
    Platen,
    Pressure,
    PriceMethod,
    Recipe,
    Roll,
    RollPrice,
    ScheduleOptions,
    SharingRule,
    SheetPrice,
    Shop,
    SparesStep,
    StandardTimes,
    TaxBasis,
    TaxRate,
    TaxRegime,
    TaxRules,
    Transfer,
)
from pipeline.stages import Stages
from tests.builders import (
    INCH,
    MONDAY,
    make_artwork,
    make_customer,
    make_garment,
    make_press,
    make_shop,
    make_transfer,
)

START = datetime(2026, 12, 3, 8, tzinfo=UTC)
PICTURES = {"gull": Fraction(1), "mast": Fraction(2, 5), "wave": Fraction(3)}
"""Name -> width / height."""
# The drawings are looked at on their way in, so they are there.
FOLDER = TemporaryDirectory(prefix="small-weeks-")
DRAWINGS = {
    name: b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d 100"><path d="M9 9h9v9z"/></svg>'
    % (100 * aspect)
    for name, aspect in PICTURES.items()
}
for drawing, content in DRAWINGS.items():
    file = Path(FOLDER.name, "art", f"{drawing}.svg")
    file.parent.mkdir(exist_ok=True)
    file.write_bytes(content)


@frozen(kw_only=True)
class Week:
    """A shop and what was ordered of it."""

    shop: Shop
    orders: tuple[Order, ...]


@frozen(kw_only=True)
class Planned:
    """What became of a week: the orders that went on are those of the plan."""

    shop: Shop
    plan: Plan
    problems: tuple[Problem, ...]


def planned(week: Week, stock: tuple[StockLot, ...] = (), on: date = MONDAY) -> Planned:
    """The week taken from validation to schedule by the real stages; what the door objects to is held.

    Raises AssertionError when nothing goes on: such a week would show nothing.
    """
    stages: Stages = load_plugins(week.shop)
    fits = stages.fit_transfers(orders=week.orders, shop=week.shop, date=on)
    problems = stages.check_orders(orders=week.orders, shop=week.shop, fits=fits, date=on)
    held = {problem.job for problem in problems if problem.is_error}
    orders = tuple(order for order in week.orders if order.job not in held)
    assert orders, [str(problem) for problem in problems]
    plan = make_plan(stages, orders, week.shop, fits, stock, on, START + (on - MONDAY))
    return Planned(shop=week.shop, plan=plan, problems=problems)


@st.composite
def weeks(draw: st.DrawFn) -> Week:
    """A shop with one to three orders."""
    shop = draw(shops())
    orders = [draw(_orders(f"H-{number}", shop)) for number in range(1, draw(st.integers(1, 3)) + 1)]
    return Week(shop=shop, orders=tuple(orders))


@st.composite
def shops(draw: st.DrawFn) -> Shop:
    """The shop of the module's docstring, with its rules drawn."""
    rates = (
        TaxRate(
            name="goods",
            title="Tax",
            percent=Percent(draw(st.sampled_from((Fraction(55, 1000), Fraction(1, 5))))),
        ),
        TaxRate(name="freight", title="Freight", percent=Percent(Fraction(0)), reason="by carrier"),
    )
    pricing = make_shop().pricing
    return make_shop(
        root=Path(FOLDER.name),
        transfers=_transfers(draw(st.booleans()), draw(st.sampled_from(("sheet", "length", "both")))),
        garments=_garments(),
        customers=_customers(),
        presses=(
            make_press(platens=("16x20", "6x6"), platen_on="16x20"),
            make_press("press-b", platens=("16x20", "6x6"), opens_itself=draw(st.booleans())),
        ),
        platens=(
            Platen(name="16x20", width=Length(16 * INCH), height=Length(20 * INCH), count=2),
            Platen(name="6x6", width=Length(6 * INCH), height=Length(6 * INCH)),
        ),
        pads=(Pad(name="pillow"),),
        operators=draw(
            st.sampled_from(((Operator(name="Ada", tends=2),), (Operator(name="Ada"), Operator(name="Bo"))))
        ),
        tax=TaxRules(
            regime=draw(st.sampled_from(TaxRegime)),
            rates=rates,
            goods="goods",
            freight="freight",
            basis=draw(st.sampled_from(TaxBasis)),
        ),
        pricing=evolve(
            pricing,
            method=draw(st.sampled_from(PriceMethod)),
            blanks_mark_up=Percent(Fraction(1, 3)),
            mark_up=Percent(Fraction(2, 5)),
            target_margin=Percent(Fraction(3, 10)),
            rush=Percent(Fraction(1, 4)),
            minimum_order=Money(7_500),
            freight_per_order=Money(950),
            freight_per_carton=Money(333),
        ),
        spares=(
            SparesStep(from_pieces=1, percent=Percent(Fraction(0)), at_least=draw(st.integers(0, 2))),
            SparesStep(from_pieces=13, percent=Percent(Fraction(1, 20))),
        ),
        packing=Packing(
            carton_limit=draw(st.sampled_from((2_000, 15_000))),
            carton_weight=500,
            carton_cost=Money(180),
            carton_pieces=draw(st.sampled_from((7, 72))),
            bag_cost=Money(3),
        ),
        times=StandardTimes(load=timedelta(seconds=draw(st.integers(5, 15)))),
        options=Options(
            group=GroupOptions(iterations=3, seed=draw(st.integers(1, 3)), guillotine=draw(st.booleans())),
            schedule=ScheduleOptions(
                iterations=5,
                rack_slots=draw(st.sampled_from((6, 24))),
                split_from=draw(st.sampled_from((0, 20))),
            ),
            cost=CostOptions(sharing=draw(st.sampled_from(SharingRule))),
        ),
    )


def _transfers(with_charges: bool, sold: str) -> tuple[Transfer, ...]:
    """The hot one is sold by the sheet, by length, or both."""
    hot = make_transfer(order_charge=Money(900 * with_charges))
    cold = make_transfer(
        "cold-peel",
        recipe=Recipe(
            temperature=Temperature(155_000),
            dwell=timedelta(seconds=15),
            pressure=Pressure.FIRM,
            peel=Peel.COLD,
            pad_allowed=False,
        ),
        sheets=tuple(
            evolve(
                sheet, prices=tuple(SheetPrice(from_sheets=n, price=Money(p)) for n, p in ((1, 700), (6, 250)))
            )
            for sheet in hot.sheets
        ),
        set_up=Money(1_500 * with_charges),
        minimum_sheets=1 + with_charges,
    )
    roll = Roll(
        name="roll",
        width=Length(12 * INCH),
        longest=Length(60 * INCH),
        step=Length(2 * INCH),
        margin=Length(6_350),
        gap=Length(3_000),
        prices=tuple(RollPrice(from_length=Length(n * INCH), price=Money(p)) for n, p in ((0, 80), (50, 60))),
        minimum=Length(6 * INCH * with_charges),
    )
    if sold != "sheet":
        hot = evolve(hot, sheets=hot.sheets if sold == "both" else (), rolls=(roll,))
    return hot, cold


def _garments() -> tuple[Garment, ...]:
    tee = make_garment()
    pocket = Placement(
        name="pocket",
        title="Pocket",
        view=tee.placements[0].view,
        anchor="hem",
        down=Length(3 * INCH),
        max_width=Length(5 * INCH),
        max_height=Length(5 * INCH),
        platens=("6x6",),
        pad="pillow",
    )
    bag = make_garment("bag", title="Canvas bag", outline="tote", placements=(pocket,), lead_days=3)
    return tee, bag


def _customers() -> tuple[Customer, ...]:
    exemption = Exemption(certificate="E-1", expires=date(2027, 12, 31), reason="museum")
    agreed = AgreedPrice(garment="tee", from_pieces=12, price=Fraction(2_215, 2))
    return (
        make_customer(deposit=Percent(Fraction(3, 10)), discount=Percent(Fraction(1, 40))),
        make_customer("sailing-school", prices=(agreed,), transit_days=2),
        make_customer("old-mill", exemption=exemption),
    )


@st.composite
def _orders(draw: st.DrawFn, job: str, shop: Shop) -> Order:
    return Order(
        job=job,
        customer=draw(st.sampled_from([customer.name for customer in shop.customers])),
        # A Wednesday to a Friday: all the goods are in by then, and the shop works.
        due=MONDAY + timedelta(days=draw(st.integers(9, 11))),
        delivery=draw(st.sampled_from(Delivery)),
        lines=tuple(draw(st.lists(_lines(), min_size=1, max_size=2))),
        rush=draw(st.booleans()),
        share_sheets=draw(st.integers(0, 4)) > 0,
        discount=Percent(Fraction(draw(st.sampled_from((0, 5))), 100)),
        sha256=digest(job.encode()),
    )


@st.composite
def _lines(draw: st.DrawFn) -> Line:
    garment = draw(st.sampled_from(("tee", "tee", "bag")))
    places = (
        draw(st.sampled_from((("left-chest",), ("back",), ("left-chest", "back"))))
        if garment == "tee"
        else ("pocket",)
    )
    sizes = draw(st.lists(st.sampled_from(["S", "M", "L", "XL"]), min_size=1, max_size=3, unique=True))
    return Line(
        garment=garment,
        colour=draw(st.sampled_from(("white", "navy"))),
        pieces=tuple(SizeCount(size=size, count=draw(st.integers(1, 25))) for size in sizes),
        prints=tuple(draw(_prints(place, sizes)) for place in places),
        blanks=draw(st.sampled_from((Blanks.OURS, Blanks.OURS, Blanks.CUSTOMER))),
        price=draw(st.sampled_from((None, None, Fraction(1_995), Fraction(4_001, 4)))),
    )


@st.composite
def _prints(draw: st.DrawFn, place: str, sizes: list[str]) -> Print:
    name = draw(st.sampled_from(sorted(PICTURES)))
    # Each fits its placement, its platen and a sheet, if not turned: nothing is held but by chance.
    longest = draw(st.sampled_from((6, 9, 10))) if place == "back" else draw(st.sampled_from((2, 3, 4)))
    side = {"width" if PICTURES[name] >= 1 else "height": Length(longest * INCH)}
    scale = (SizeScale(size=sizes[0], percent=Percent(Fraction(3, 4))),) if draw(st.integers(0, 3)) == 0 else ()
    return Print(
        artwork=f"art/{name}.svg",
        placement=place,
        scale=scale,
        may_turn=draw(st.booleans()),
        art=make_artwork(f"art/{name}.svg", sha256=digest(DRAWINGS[name]), aspect=PICTURES[name]),
        **side,
    )
