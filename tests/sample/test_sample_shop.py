"""The sample shop as a new user meets it: a week that goes through, and orders that are each held for a reason."""

import atexit
import shutil
import tempfile
from collections.abc import Iterable
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path

import holidays
import pytest

from pipeline.model.order import CHEAPEST, Blanks
from pipeline.model.run import RunKind
from pipeline.model.workdays import Workdays
from pipeline.problems import Problem
from pipeline.request import Request, find_jobs, find_shop
from pipeline.run import Report, check
from pipeline.shop import Shop

SAMPLE = Path(__file__).parents[2] / "sample_jobs"

HELD = {
    "w49-h01-misspelt-names": {"E221", "E222", "E223", "E224", "E225", "E226"},
    "w49-h02-missing-unit": {"E201", "E206"},
    "w49-h03-missing-artwork": {"E301"},
    "w49-h04-damaged-artwork": {"E303"},
    "w49-h05-white-background": {"E332"},
    "w49-h06-too-few-pixels": {"E331"},
    "w49-h07-too-large": {"E413"},
    "w49-h08-nothing-suits": {"E411"},
    "w49-h09-wrong-transfer": {"E412"},
    "w49-h10-too-early": {"E423"},
    "w49-h11-expired-certificate": {"E424"},
    "w49-h12-childrens-wear": {"E505"},
    "w49-h13-sleepwear": {"E501"},
    "w49-h14-goods-not-pressed": {"E502", "E503", "E504"},
    "w49-h15-same-id": {"E227"},
    "w49-h16-same-id-again": {"E227"},
}
"""Job file -> what holds it."""

CUSTOMER_AT_FAULT = {"W49-H11": "foghorn-choir"}
"""Job -> the customer whose own file holds the order."""


@cache
def fresh() -> Path:
    """A copy without what runs leave: a ledger that knows the week would have other things to say."""
    copy = Path(tempfile.mkdtemp()) / SAMPLE.name
    atexit.register(shutil.rmtree, copy.parent)
    shutil.copytree(SAMPLE, copy, ignore=shutil.ignore_patterns("out", "ledger.sqlite*", "__pycache__"))
    return copy


@cache
def checked(folder: str) -> Report:
    """What `peelwright check sample_jobs/FOLDER` finds."""
    jobs, week, _ = find_jobs([fresh() / folder])
    request = Request(
        kind=RunKind.QUOTE,
        shop=find_shop([fresh() / folder], None),
        files=jobs,
        week=week,
        # Long after the week: nothing may depend on the day on which somebody tries the sample.
        now=datetime(2031, 5, 5, tzinfo=UTC),
    )
    return check(request)


def codes(problems: Iterable[Problem]) -> set[str]:
    """The codes of errors."""
    return {problem.code for problem in problems if problem.is_error}


def test_the_week_goes_through() -> None:
    """The first command that a user types must show work, not complaints: no error and no warning."""
    report = checked("2026-W49")
    assert [str(problem) for problem in report.problems] == []
    assert (len(report.orders), report.held) == (11, ())


def test_the_week_is_one_worth_looking_at() -> None:
    """It shows what the program is for: several customers, many kinds of garment, and each way to order."""
    report = checked("2026-W49")
    orders, shop = report.orders, report.shop
    lines = [line for order in orders for line in order.lines]
    garments = {line.garment for line in lines}
    assert 5 <= len({order.customer for order in orders}) <= 7
    assert 20 <= sum(len(line.prints) for line in lines) <= 30
    assert len(garments) >= 6
    assert len({tuple(fibre.name for fibre in shop.garment(name).fabric) for name in garments}) >= 4
    assert {item.artwork.rsplit(".")[-1] for line in lines for item in line.prints} == {"svg", "png", "pdf"}
    assert len({order.delivery for order in orders}) == 2
    assert {order.rush for order in orders} == {True, False}
    assert {line.blanks for line in lines} == set(Blanks)
    assert {line.price is None for line in lines} == {True, False}
    assert any(item.scale for line in lines for item in line.prints)
    assert any(order.safety_signed for order in orders)


def test_the_order_that_a_careless_shop_gets_wrong() -> None:
    """No transfer is named there, so the machine has to see nylon, dyed polyester and the pocket by itself."""
    shop = checked("2026-W49").shop
    order = next(order for order in checked("2026-W49").orders if order.job == "W49-05")
    assert {CHEAPEST} == {item.transfer for line in order.lines for item in line.prints}
    jacket, polo, bag = (shop.garment(line.garment) for line in order.lines)
    usual = shop.transfer("full-colour-cold").recipe
    assert jacket.heat_ceiling < usual.temperature
    assert polo.dye_migrates
    assert polo.heat_ceiling < usual.temperature
    assert not usual.pad_allowed
    assert all(placement.pad for placement in bag.placements)


@pytest.mark.parametrize("name", HELD)
def test_each_held_order_is_held_for_its_own_reason(name: str) -> None:
    """The second folder teaches one reason a file; a second reason in it would blur the lesson."""
    report = checked("2026-W49-held")
    file, job = f"2026-W49-held/{name}.yaml", name[:7].upper()
    # A certificate stands in the customer's file, so its problem points there.
    own = [p for p in report.problems if p.origin.file in (file, f"customers/{CUSTOMER_AT_FAULT.get(job)}.yaml")]
    assert codes(own) == HELD[name]


def test_the_good_order_goes_on() -> None:
    """One order's mistake never keeps another waiting; a warning is told and holds nothing."""
    report = checked("2026-W49-held")
    assert [order.job for order in report.orders] == ["W49-H17"]
    assert {"W331"} == {p.code for p in report.problems if p.job == "W49-H17"}
    assert {path.stem for path in (SAMPLE / "2026-W49-held").glob("w49-*.yaml")} == {*HELD, "w49-h17-good"}


def test_every_file_names_its_schema_for_editors() -> None:
    """An editor completes and checks a shop's files from the first line on; a wrong path would switch that off."""
    folders = {"customers": "customer", "garments": "garment", "transfers": "transfer", "presses": "press"}
    folders |= {"tallies": "tally", "intake": "intake"}
    for path in sorted(SAMPLE.rglob("*.yaml")):
        first = path.read_text(encoding="utf-8").partition("\n")[0]
        schema = path.stem if path.stem in ("shop", "week") else folders.get(path.parent.name, "job")
        target = first.removeprefix("# yaml-language-server: $schema=")
        assert (path.parent / target).resolve() == SAMPLE.parent / "schemas" / f"{schema}.schema.json", path
        assert (path.parent / target).is_file(), path


def test_the_holidays_are_real() -> None:
    """Lead times run across Thanksgiving; the dates are those of the `holidays` package for the United States."""
    shop: Shop = checked("2026-W49").shop
    known = holidays.country_holidays("US", years=[2026, 2027])
    assert {"Thanksgiving Day", "Christmas Day", "New Year's Day"} == {
        known[day] for day in shop.calendar.holidays
    }
    # Two working days from the Wednesday before it: Friday, Monday.
    assert date(2026, 11, 30) == Workdays.of(shop.calendar).after(date(2026, 11, 25), 2)


def test_dwell_temperature_and_pressure_are_those_of_the_trade() -> None:
    """290 F, 15 s, firm, 5 s pre-press, under a cover sheet, peeled cold: common practice, no source."""
    recipe = checked("2026-W49").shop.transfer("full-colour-cold").recipe
    told = (recipe.temperature, recipe.dwell.seconds, recipe.pressure.value, recipe.pre_press.seconds)
    # (290 - 32) x 5 / 9 = 143.333 C
    assert told == (143_333, 15, "firm", 5)
    assert recipe.cover_sheet
    assert recipe.peel.value == "cold"
