"""A shop with three presses and a week of orders, to schedule: small, or drawn by hypothesis."""

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from attrs import evolve, frozen
from hypothesis import strategies as st

from pipeline.model.measure import Length, Temperature
from pipeline.model.order import Blanks, Delivery, Order
from pipeline.model.press import PressTaskList
from pipeline.shop import (
    Break,
    Operator,
    Options,
    Pad,
    Peel,
    Platen,
    Pressure,
    ScheduleOptions,
    Shift,
    Shop,
    WorkingCalendar,
)
from plugins.schedule.runs import press_tasks
from tests.builders import (
    INCH,
    MONDAY,
    make_garment,
    make_line,
    make_order,
    make_press,
    make_print,
    make_shop,
    make_transfer,
)
from tests.plans import make_demands, make_sheets

START = datetime(2026, 11, 30, 7, tzinfo=ZoneInfo("America/New_York"))
"""A Monday, an hour before work begins."""

NEVER = st.just(0)

WEEK = ("mon", "tue", "wed", "thu", "fri")


def platen(name: str, inches: int, count: int) -> Platen:
    """A square platen."""
    return Platen(name=name, width=Length(inches * INCH), height=Length(inches * INCH), count=count)


def make_press_room(**changes: object) -> Shop:
    """Three presses that differ, two operators, one small platen for two presses, and cold and hot transfers."""
    lunch = (Break(start=time(12), end=time(13)),)
    tee, tote = make_garment(), make_garment("tote", cool=timedelta(seconds=90))
    small = evolve(tee.placements[0], platens=("6x6", "16x20"))
    tote = evolve(tote, placements=(evolve(small, platens=("6x6",), pad="pocket"), tote.placements[1]))
    recipe = make_transfer().recipe
    given = {
        "time_zone": "America/New_York",
        "calendar": WorkingCalendar(
            shifts=(Shift(days=WEEK, start=time(8), end=time(17), breaks=lunch),), holidays=(date(2026, 12, 3),)
        ),
        "operators": (
            Operator(name="Ada", tends=2),
            Operator(name="Ben", shifts=(Shift(days=WEEK, start=time(9), end=time(15)),)),
        ),
        "platens": (platen("16x20", 20, 3), platen("6x6", 6, 1)),
        "pads": (Pad(name="pocket"),),
        "presses": (
            make_press("left", platens=("16x20", "6x6"), platen_on="16x20", opens_itself=True),
            make_press("right", platens=("16x20", "6x6"), platen_on="16x20"),
            make_press("old", platens=("16x20",), highest=Temperature(150_000)),
        ),
        "transfers": (
            make_transfer(),
            make_transfer(
                "cold-peel",
                lead_days=1,
                recipe=evolve(
                    recipe, peel=Peel.COLD, temperature=Temperature(160_000), pressure=Pressure.FIRM,
                    pre_press=timedelta(seconds=5),
                ),
            ),
        ),
        "garments": (tee, tote),
        "options": Options(schedule=ScheduleOptions(iterations=40, help_iterations=400, rack_slots=8)),
    }  # fmt: skip
    return make_shop(**{**given, **changes})


@frozen(kw_only=True)
class Given:
    """What the stage is asked to schedule."""

    shop: Shop
    orders: tuple[Order, ...]
    tasks: PressTaskList


def given(shop: Shop, orders: tuple[Order, ...], transfers: tuple[str, ...] = ()) -> Given:
    """The tasks of the orders, each print bought of the transfers in turn."""
    prints = make_demands(orders)
    chosen = tuple(
        (demand.id, transfers[index % len(transfers)] if transfers else "full-colour")
        for index, demand in enumerate(prints.demands)
    )
    sheets = evolve(make_sheets(shop, orders, prints), chosen=chosen)
    return Given(shop=shop, orders=orders, tasks=press_tasks(orders, shop, prints, sheets, MONDAY, START))


@st.composite
def weeks(draw: st.DrawFn, split_from: st.SearchStrategy[int] = NEVER) -> Given:
    """Weeks of one to six orders in press rooms with more or less of everything."""
    shop = make_press_room()
    shop = evolve(
        shop,
        options=Options(schedule=evolve(shop.options.schedule, split_from=draw(split_from))),
        operators=shop.operators[: draw(st.integers(1, 2))],
        platens=(platen("16x20", 20, draw(st.integers(2, 3))), platen("6x6", 6, draw(st.integers(1, 2)))),
    )
    orders = tuple(
        make_order(
            f"H-{number}",
            due=MONDAY + timedelta(days=draw(st.integers(1, 12))),
            delivery=draw(st.sampled_from(Delivery)),
            rush=draw(st.booleans()),
            lines=tuple(
                make_line(
                    {"M": draw(st.integers(1, 90)), "L": draw(st.integers(1, 30))},
                    garment=draw(st.sampled_from(("tee", "tote"))),
                    blanks=draw(st.sampled_from(Blanks)),
                    prints=(
                        make_print(),
                        make_print("art/back.svg", placement="back", width=Length(9 * INCH)),
                    )[: draw(st.integers(1, 2))],
                )
                for _ in range(draw(st.integers(1, 2)))
            ),
        )
        for number in range(draw(st.integers(1, 6)))
    )
    return given(shop, orders, tuple(draw(st.permutations(("full-colour", "cold-peel")))))
