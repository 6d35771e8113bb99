"""Weeks for the tests of costs: by hand, or drawn by hypothesis."""

from collections.abc import Sequence
from datetime import date
from fractions import Fraction

from attrs import evolve, frozen
from hypothesis import strategies as st

from pipeline.model.cost import BillBook, CostBook, PriceBook
from pipeline.model.measure import Length, Percent
from pipeline.model.money import Money
from pipeline.model.order import Blanks, Delivery, Line, Order
from pipeline.model.packing import PackingPlan
from pipeline.model.press import PressTaskList
from pipeline.model.prints import PrintDemand, PrintList
from pipeline.model.sheet import Layout, OrderAlone, PlacedPrint, SheetPlan, TransferOrder
from pipeline.shop import (
    AgreedPrice,
    CostOptions,
    Exemption,
    ListPrice,
    Options,
    Packing,
    PriceMethod,
    PriceRules,
    Rates,
    SharingRule,
    Shop,
    TaxBasis,
    TaxRate,
    TaxRegime,
    TaxRules,
)
from plugins.cost import bill_orders, cost_orders, price_orders
from plugins.pack import pack_orders
from tests.builders import INCH, MONDAY, make_customer, make_line, make_order, make_print, make_shop
from tests.plans import make_demands, make_plan


@frozen(kw_only=True)
class Week:
    """Everything that the cost stage is given."""

    shop: Shop
    orders: tuple[Order, ...]
    prints: PrintList
    sheets: SheetPlan
    packing: PackingPlan
    tasks: PressTaskList

    def costs(self) -> CostBook:
        """The costs by the stage."""
        return cost_orders(self.orders, self.shop, self.prints, self.sheets, self.packing, self.tasks)

    def prices(self) -> PriceBook:
        """The prices by the stage."""
        return price_orders(self.orders, self.shop, self.costs(), self.packing)

    def bills(self, on: date = MONDAY) -> BillBook:
        """The bills by the stage."""
        return bill_orders(self.orders, self.shop, self.costs(), self.prices(), (), on)


def make_week(shop: Shop, orders: Sequence[Order]) -> Week:
    """The plain plan of `tests/plans.py`, packed by the stage."""
    plan = make_plan(shop, orders)
    return Week(
        shop=shop,
        orders=plan.orders,
        prints=plan.prints,
        sheets=plan.sheets,
        packing=pack_orders(tuple(orders), shop),
        tasks=plan.tasks,
    )


def sharing(rule: SharingRule) -> Options:
    """Options with this rule."""
    return Options(cost=CostOptions(sharing=rule))


def gang(
    shop: Shop, prints: PrintList, layouts: Sequence[tuple[Sequence[str], int, int]], alone: dict[str, int]
) -> SheetPlan:
    """Sheets of the shop's first transfer: (demands on the layout, sheets, price of one); no set-up or charge."""
    transfer = shop.transfers[0]
    size = transfer.sheets[0]
    made = tuple(
        Layout(
            id=f"S{number}",
            transfer=transfer.name,
            sheet_size=size.name,
            width=size.width,
            height=size.height,
            # Where a print lies is nothing to the costs.
            prints=tuple(_lying(prints.demand(name)) for name in names),
            cuts=(),
            sheets=sheets,
            price=Money(price),
            set_up=transfer.set_up,
        )
        for number, (names, sheets, price) in enumerate(layouts, 1)
    )
    bought = TransferOrder(
        transfer=transfer.name,
        layouts=tuple(layout.id for layout in made),
        sheets=sum(layout.sheets for layout in made),
        order_charge=transfer.order_charge,
        cost=Money(sum(layout.cost for layout in made) + transfer.order_charge),
    )
    return SheetPlan(
        layouts=made,
        orders=(bought,),
        surplus=(),
        chosen=tuple((demand.id, transfer.name) for demand in prints.demands),
        alone=tuple(OrderAlone(job=job, cost=Money(cost)) for job, cost in alone.items()),
        lower_bound=Money(0),
        simple_cost=Money(0),
        iterations=0,
    )


def _lying(demand: PrintDemand) -> PlacedPrint:
    return PlacedPrint(demand=demand.id, x=Length(0), y=Length(0), width=demand.width, height=demand.height)


# --- drawn weeks -----------------------------------------------------------------------------------------

percents = st.integers(0, 60).map(lambda n: Percent(Fraction(n, 100)))
rates = st.sampled_from(("0.055", "0.0825", "0.07", "0.21", "0.065")).map(lambda text: Percent(Fraction(text)))
prices = st.integers(1, 500_000).map(lambda n: Fraction(n, 100))
cents = st.integers(0, 3_000).map(Money)
sizes = st.dictionaries(st.sampled_from(("S", "M", "L", "XL")), st.integers(1, 60), min_size=1)

lines = st.builds(
    lambda pieces, width, places, price, blanks: make_line(
        pieces,
        prints=tuple(make_print(placement=place, width=Length(width * INCH)) for place in places),
        price=price,
        blanks=blanks,
    ),
    sizes,
    st.integers(1, 14),
    st.sampled_from(((), ("left-chest",), ("left-chest", "back"))),
    st.none() | prices,
    st.sampled_from(Blanks),
)


@st.composite
def shops(draw: st.DrawFn) -> Shop:
    """Shops with all kinds of rules."""
    rate = TaxRate(name="goods", title="Tax", percent=draw(rates))
    zero = TaxRate(name="freight", title="Tax 0 %", percent=Percent(Fraction(0)), reason="carriage is not taxed")
    exemption = Exemption(
        certificate="ME-1", expires=draw(st.sampled_from((date(2026, 1, 1), date(2027, 1, 1)))), reason="Resale"
    )
    agreed = AgreedPrice(garment="tee", from_pieces=draw(st.integers(1, 80)), price=draw(prices))
    return make_shop(
        tax=TaxRules(
            regime=draw(st.sampled_from(TaxRegime)),
            rates=(rate, zero),
            goods="goods",
            freight=draw(st.sampled_from(("goods", "freight"))),
            basis=draw(st.sampled_from(TaxBasis)),
        ),
        rates=Rates(labour_per_hour=draw(st.integers(0, 10_000).map(Fraction)), overhead=draw(percents)),
        pricing=PriceRules(
            method=draw(st.sampled_from(PriceMethod)),
            print_prices=(
                ListPrice(from_pieces=1, price=draw(prices)),
                ListPrice(from_pieces=24, price=draw(prices)),
            ),
            blanks_mark_up=draw(percents),
            mark_up=draw(percents),
            target_margin=draw(percents),
            oversize_from_width=draw(st.none() | st.just(Length(10 * INCH))),
            oversize_from_height=Length(10 * INCH),
            oversize_per_piece=draw(cents),
            rush=draw(percents),
            minimum_order=draw(cents),
            freight_per_order=draw(cents),
            freight_per_carton=draw(cents),
        ),
        packing=Packing(
            carton_limit=draw(st.integers(1_000, 15_000)),
            carton_weight=500,
            carton_cost=draw(cents),
            bag_cost=draw(cents),
        ),
        customers=(
            make_customer(deposit=draw(percents), discount=draw(percents), prices=(agreed,)),
            make_customer("sailing-school", exemption=exemption, terms_days=draw(st.integers(0, 90))),
        ),
        options=sharing(draw(st.sampled_from(SharingRule))),
    )


@st.composite
def orders_of(draw: st.DrawFn, job: str) -> Order:
    """Orders of either customer."""
    goods: list[Line] = draw(st.lists(lines, min_size=1, max_size=3))
    return make_order(
        job,
        customer=draw(st.sampled_from(("harbour-bakery", "sailing-school"))),
        lines=tuple(goods),
        delivery=draw(st.sampled_from(Delivery)),
        rush=draw(st.booleans()),
        share_sheets=draw(st.booleans()),
        discount=draw(percents),
    )


@st.composite
def weeks(draw: st.DrawFn) -> Week:
    """Weeks of one to four orders whose prints lie together on layouts, with spares and stock.

    What each order would cost alone is drawn from far below to far above what was paid.
    """
    shop = draw(shops())
    orders = tuple(draw(orders_of(f"H-{number}")) for number in range(1, draw(st.integers(1, 4)) + 1))
    apart = {order.job for order in orders if not order.share_sheets}
    demands = []
    for demand in make_demands(orders).demands:
        spares = draw(st.integers(0, 5))
        needed = demand.pieces + spares
        stock = draw(st.sampled_from((0, 0, 0, 1, needed)))
        demands.append(
            evolve(demand, spares=spares, from_stock=min(stock, needed), alone=demand.jobs[0] in apart)
        )
    prints = PrintList(demands=tuple(demands))
    clubs: dict[str, list[str]] = {}
    for demand in demands:
        if demand.to_buy:
            clubs.setdefault(demand.customer if demand.alone else "", []).append(demand.id)
    layouts = []
    for names in clubs.values():
        cut = draw(st.integers(0, len(names)))
        for group in (names[:cut], names[cut:]):
            if group:
                layouts.append((group, draw(st.integers(1, 200)), draw(st.integers(1, 900))))
    alone = {order.job: draw(st.integers(0, 200_000)) for order in orders}
    sheets = gang(shop, prints, layouts, alone)
    if not layouts:
        sheets = evolve(sheets, orders=())
    plain = make_plan(shop, orders)
    return Week(
        shop=shop,
        orders=orders,
        prints=prints,
        sheets=sheets,
        packing=pack_orders(orders, shop),
        tasks=plain.tasks,
    )
