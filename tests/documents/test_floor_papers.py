"""Press instructions, sheet maps, the schedule: what somebody does with a hot press or a knife by them."""

from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction
from pathlib import Path

import pypdfium2
import pytest
import zxingcpp
from attrs import evolve

from pipeline.display import Display
from pipeline.model.measure import Length, Percent, Temperature
from pipeline.model.money import Money
from pipeline.model.order import SizeScale
from pipeline.model.press import PressTaskList
from pipeline.model.run import Run
from pipeline.model.sheet import PlacedPrint
from pipeline.shop import GarmentSize, Peel, Shift, Shop, Units, WorkingCalendar
from plugins.documents import floor
from plugins.documents.cautions import cautions
from plugins.documents.desk import Desk
from plugins.documents.door import undrawable, unsettable
from plugins.documents.drawings.bars import BarKind
from plugins.documents.hours import open_parts
from plugins.documents.timetable import schedule_bars
from tests.builders import INCH, make_garment, make_line, make_order, make_press, make_transfer
from tests.documents.papers import raster
from tests.documents.small_shop import drawn, numbered_run, papers_of, shop_on_disk, words_of
from tests.referee_tagged import read

CAUTION = {
    "Burns", "Pinch and crush", "Platen changes", "Fumes", "Fire", "Moisture", "Parts that melt", "Lifting", "Labels",
}  # fmt: skip
"""What every instruction warns of (guards and pinch points: 29 CFR 1910.212)."""


@pytest.fixture(name="shop")
def _shop(tmp_path: Path) -> Shop:
    return shop_on_disk(tmp_path)


def one_order(shop: Shop) -> Run:
    """A run of one order of six tees."""
    return numbered_run(shop, [make_order(lines=(make_line(prints=(drawn(shop),)),))])


def test_the_parts_of_a_long_run_name_each_other(shop: Shop) -> None:
    """Who presses one of them knows that the count of the order is not theirs alone; each has its instruction."""
    run = one_order(shop)
    (task,) = run.plan.tasks.tasks
    (planned,) = run.plan.schedule.runs
    parts = [
        (evolve(task, id=name, pieces=(count,)), evolve(planned, task=name))
        for name, count in zip(("R01a", "R01b"), task.pieces, strict=True)
    ]
    plan = evolve(
        run.plan,
        tasks=PressTaskList(tasks=tuple(part for part, _ in parts)),
        schedule=evolve(run.plan.schedule, runs=tuple(each for _, each in parts)),
    )
    papers = papers_of(evolve(run, plan=plan), floor)
    for name, pieces in (("r01a", "Size M All Pieces 4 4"), ("r01b", "Size L All Pieces 2 2")):
        said = words_of(papers[f"floor/press-{name}.pdf"].content)
        assert "part of a long run: R01a, R01b" in said
        assert pieces in said
    assert "part of a long run" not in words_of(papers_of(run, floor)["floor/press-r01.pdf"].content)


def test_who_presses_and_when_stands_in_the_text(shop: Shop) -> None:
    """A header or footer is an artifact, which no screen reader says."""
    run = one_order(shop)
    (planned,) = run.plan.schedule.runs
    said = [part.text for part in read(papers_of(run, floor)["floor/press-r01.pdf"].content).walk()]
    when = f"{Display().moment(planned.start)} to {Display().clock(planned.end)}"
    assert any(f"{when} · {planned.operator}" in text for text in said)


def test_an_operator_is_one_row(shop: Shop) -> None:
    """Who tends two presses, and peels meanwhile, is one person: runs at once lie on lines, peeling beside them."""
    run = one_order(shop)
    (first,) = run.plan.schedule.runs
    peel = {"peel_start": first.end, "peeler": "Ada", "done": first.end + timedelta(minutes=3)}
    second = evolve(first, task="R01", operator="Ada", start=first.start + timedelta(minutes=1))
    third = evolve(first, start=first.end, change_start=first.end, end=first.end + timedelta(minutes=2))
    runs = (evolve(first, **peel), second, third)
    pressing = evolve(run, plan=evolve(run.plan, schedule=evolve(run.plan.schedule, runs=runs)))
    rows, bars = schedule_bars(Desk(pressing))["operators"]
    assert rows == ("Ada",)
    assert [bar.line for bar in bars if bar.kind is BarKind.PRESS] == [0, 1, 0]
    (cooling,) = [bar for bar in bars if bar.kind is BarKind.COOL]
    assert (cooling.row, cooling.start, cooling.end) == ("Ada", peel["peel_start"], peel["done"])


def test_an_instruction_says_how_to_press(shop: Shop) -> None:
    """Recipe in both scales, the press's own setting, pieces by size, where it goes, when and who."""
    run = one_order(shop)
    task = run.plan.tasks.tasks[0]
    said = words_of(papers_of(run, floor)["floor/press-r01.pdf"].content)
    for figure in (
        "R01 · H-101", "Cotton tee, white", "Left chest",
        # 143 C = 289.4 F: 143 x 9/5 + 32.
        "Temperature 289 °F 143 °C", "Dwell 10 s no pre-press", "Pressure 4 medium", "Peel HOT at once",
        "Platen 16x20", "Pad none", "On top nothing", "gull.svg", "full-colour",
        "3 × 3 in (76 × 76 mm) on every size", "0 spare prints", "Size M L All", "Pieces 4 2 6",
        "Thu 3 Dec 2026, 08:10 to 08:12 · Ada",
    ):  # fmt: skip
        assert figure in said
    assert task.quantity == 6
    for caution in CAUTION:
        assert f"{caution}." in said


def test_a_scanner_reads_which_run_it_is(shop: Shop) -> None:
    """The code holds run and task: two weeks have an R01 each."""
    found = zxingcpp.read_barcodes(raster(papers_of(one_order(shop), floor)["floor/press-r01.pdf"].content, 150))
    assert [item.text for item in found] == ["2026-W49/R01"]


def test_the_longest_instruction_fits_one_page(tmp_path: Path) -> None:
    """Eight sizes with prints of their own, long names, every caution: a second page would be left at the printer."""
    names = ("YS", "YM", "YL", "S", "M", "L", "XL", "2XL")
    sizes = tuple(GarmentSize(name=n, cost=Money(250), weight=150, child=n[0] == "Y") for n in names)
    chest = evolve(make_garment().placements[0], title="Left chest, above the pocket", pad="pocket-insert")
    garment = make_garment(
        title="Long-sleeved polyester sailing jersey", sizes=sizes, placements=(chest,),
        heat_ceiling=Temperature(145_000), dye_migrates=True, cool=timedelta(seconds=100),
    )  # fmt: skip
    recipe = evolve(make_transfer().recipe, peel=Peel.COLD, cover_sheet="parchment, both sides",
                    pre_press=timedelta(seconds=5), post_press=timedelta(seconds=10))  # fmt: skip
    transfer = make_transfer(title="Low-temperature screen print with dye block, matt", recipe=recipe)
    press = make_press(title="Swing-away that opens itself, 16 x 20 in", opens_itself=True)
    shop = shop_on_disk(tmp_path, garments=(garment,), transfers=(transfer,), presses=(press,))
    scale = tuple(SizeScale(size=n, percent=Percent(Fraction(75 + i, 100))) for i, n in enumerate(names))
    line = make_line(
        dict.fromkeys(names, 112), prints=(drawn(shop, scale=scale), drawn(shop, "burgee")), colour="navy"
    )
    run = numbered_run(shop, [make_order("W49-2026-11", lines=(line,))])
    changes = ("platen 16x20 → 6x6", "pad pillow → pocket-insert", "set the pressure to 40 psi",
               "heat 68 °F (20 °C) → 270 °F (132 °C)")  # fmt: skip
    runs = tuple(evolve(r, changes=changes, pad="pocket-insert") for r in run.plan.schedule.runs)
    run = evolve(run, plan=evolve(run.plan, schedule=evolve(run.plan.schedule, runs=runs)))
    found = papers_of(run, floor)
    said = words_of(found["floor/press-r01.pdf"].content)
    warned = {c.title for c in cautions(transfer, garment, chest, press, Display(), child=True)}
    assert warned == CAUTION | {"Opens by itself", "Peel cold", "Scorch", "Dye migration", "Uneven surface",
                                "Children's wear"}  # fmt: skip
    assert all(f"{title}." in said for title in warned)
    # 3 in x 75 % = 2.25 in; 3 in x 82 % = 2.46 in.
    assert "Print, wide 2.25 in (57 mm)" in said
    assert "2.46 in (62 mm)" in said
    assert "once cool, hold 100 s" in said
    for name in ("floor/press-r01.pdf", "floor/press-r02.pdf"):
        assert len(pypdfium2.PdfDocument(found[name].content)) == 1


def test_a_caution_stands_only_where_it_applies(shop: Shop) -> None:
    """What is always there is no longer read: a hot peel on cotton by hand has those that always apply."""
    garment = shop.garments[0]
    plain = cautions(shop.transfers[0], garment, garment.placements[0], shop.presses[0], Display(), child=False)
    assert {caution.title for caution in plain} == CAUTION | {"Peel hot"}


def test_a_map_counts_what_is_cut(shop: Shop) -> None:
    """Prints that are alike are one line, with their numbers on the map, how many on a sheet and in all."""
    run = one_order(shop)
    layout = run.plan.sheets.layouts[0]
    side = layout.prints[0].width
    spots = [(x, y) for y in range(3) for x in range(2)]
    prints = tuple(
        PlacedPrint(demand="P01", x=Length(INCH + x * 4 * INCH), y=Length(INCH + y * 4 * INCH), width=side,
                    height=side, turned=(x, y) == (1, 1))
        for x, y in spots
    )  # fmt: skip
    layouts = (evolve(layout, prints=prints, sheets=7),)
    run = evolve(run, plan=evolve(run.plan, sheets=evolve(run.plan.sheets, layouts=layouts)))
    said = words_of(papers_of(run)["floor/sheet-s1.pdf"].content)
    for figure in ("Sheets like this 7", "1–3, 5–6 H-101 gull.svg 3 × 3 in (76 × 76 mm) 5 35",
                   "4 H-101 gull.svg 3 × 3 in (76 × 76 mm), turned 1 7", "All prints 6 42",
                   "cut each print out by hand"):  # fmt: skip
        assert figure in said


def test_a_shop_that_measures_in_millimetres_sees_them_first(shop: Shop) -> None:
    """On the map too: whoever cuts by it holds a metric rule. 3 in = 76.2 mm, 11 in = 279.4 mm."""
    found = papers_of(one_order(evolve(shop, units=Units.MILLIMETRE)))
    said = words_of(found["floor/sheet-s1.pdf"].content)
    for figure in ("279 mm (11 in)", "432 mm (17 in) high", "76 × 76 mm (3 × 3 in)"):
        assert figure in said
    pressed = words_of(found["floor/press-r01.pdf"].content)
    assert "Temperature 143 °C 289 °F" in pressed
    assert "The platen is at 143 °C (289 °F)." in pressed


def test_the_schedule_names_every_run(shop: Shop) -> None:
    """Day by day, with times of the shop's own zone."""
    said = words_of(papers_of(one_order(shop), floor)["floor/schedule.pdf"].content)
    for figure in ("Nothing is late.", "Thu 3 Dec 2026", "R01 H-101 Cotton tee, white: Left chest 6", "08:00",
                   "08:10–08:12", "times in UTC"):  # fmt: skip
        assert figure in said


CALENDAR = WorkingCalendar(
    shifts=(Shift(days=("mon", "tue"), start=time(8), end=time(16)),), holidays=(date(2026, 12, 8),)
)


def at(day: int, hour: int) -> datetime:
    """An hour in December 2026; the 7th is a Monday."""
    return datetime(2026, 12, day, hour, tzinfo=UTC)


@pytest.mark.parametrize(
    ("start", "end", "parts"),
    [
        (at(7, 9), at(7, 11), [(at(7, 9), at(7, 11))]),
        (at(14, 15), at(15, 9), [(at(14, 15), at(14, 16)), (at(15, 8), at(15, 9))]),
        # The 8th is a holiday, and so are all days from Wednesday on: it goes on the Monday after.
        (at(7, 15), at(14, 9), [(at(7, 15), at(7, 16)), (at(14, 8), at(14, 9))]),
        (at(9, 10), at(9, 11), [(at(9, 10), at(9, 11))]),
        (at(7, 9), at(7, 9), []),
    ],
    ids=["within a day", "over a night", "over a holiday and a weekend", "out of hours", "no time at all"],
)
def test_a_bar_is_drawn_while_the_shop_is_open(start: datetime, end: datetime, parts: list[object]) -> None:
    """A bar through the night would show a press at work for sixteen hours."""
    assert list(open_parts(CALENDAR, start, end)) == parts


def test_what_cannot_be_drawn_stays_at_the_door(shop: Shop) -> None:
    """Found when papers are made, it would stop the week of everybody."""
    order = make_order(lines=(make_line(prints=(drawn(shop),)),))
    assert list(undrawable((order,), shop)) == []
    chest = evolve(make_garment().placements[0], anchor="brim seam")
    for garment, wanted in (
        (make_garment(placements=(chest,)), "has no brim seam"),
        (make_garment(outline="gown"), "tee cannot be drawn"),
    ):
        (problem,) = undrawable((order,), evolve(shop, garments=(garment,)))
        assert (problem.code, problem.job) == ("E706", "H-101")
        assert wanted in problem.message


def test_letters_that_no_font_has_are_told_beforehand(shop: Shop) -> None:
    """A name in boxes on an invoice is worse than a warning."""
    order = make_order(notes="Grüße an 山田")
    (problem,) = unsettable((order,), shop)
    assert problem.code == "W405"
    assert "山 (U+5C71), 田 (U+7530)" in problem.message
    assert not problem.is_error
