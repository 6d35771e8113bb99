"""The week: planned as it stands after each drop, closed at a cut-off, by a due date or by hand; or each at once."""

import json
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from pipeline.cli import main
from pipeline.failpoints import KILLED
from pipeline.watch import week
from pipeline.watch.worker import Processes
from tests.host.folder import ORDER, add_plugin
from tests.watch.house import NOON, SETTLED, Done, House
from tests.watch.test_intake import close

pytestmark = pytest.mark.untraced

WEDNESDAY = datetime(2026, 12, 2, 17, tzinfo=UTC)
"""Noon in the shop's zone."""


def rules(house: House, text: str) -> None:
    """What shop.yaml says of watching."""
    with (house.root / "shop.yaml").open("a") as file:
        file.write(f"watch: {text}\n")


def status(house: House) -> Any:
    """What the watcher tells programs."""
    house.clock.wait(3)
    return json.loads((house.layout.out / "status.json").read_bytes())


def planned(house: House) -> list[str]:
    """The jobs of the plan as it stands."""
    path = house.layout.out / "quote-gathered" / "run.json"
    return [order["job"] for order in json.loads(path.read_bytes())["orders"]] if path.exists() else []


def test_the_week_as_it_stands(house: House) -> None:
    """After each drop what is gathered is planned again, and the page shows its prices; no number is given."""
    watcher = house.watcher()
    house.drop("H-101")
    house.settle(watcher)
    assert planned(house) == ["H-101"]
    house.drop("H-102", pieces=8)
    house.settle(watcher)
    assert planned(house) == ["H-101", "H-102"]
    house.clock.wait(60)
    watcher.cycle()
    shown = status(house)
    assert [(order["job"], order["net"]) for order in shown["waiting"]] == [("H-101", 5400), ("H-102", 7200)]
    assert shown["plan"] == "quote-gathered"
    assert shown["closes"] is None
    assert shown["last"] is None
    assert house.invoices() == {}


def test_nothing_changes_nothing_is_planned(house: House) -> None:
    """A plan is made when something was dropped, the shop's files changed, or a day begins; not at every look."""
    watcher = house.watcher()
    house.drop("H-101")
    house.settle(watcher, cycles=10)
    assert len(house.events("planned")) == 1
    with (house.root / "shop.yaml").open("a") as file:
        file.write("# changed\n")
    house.settle(watcher)
    assert len(house.events("planned")) == 2
    house.clock.wait(24 * 3600)
    house.settle(watcher)
    assert len(house.events("planned")) == 3


def test_a_cut_off(house: House) -> None:
    """At noon on Wednesday what is gathered becomes a run; what comes later waits for the next."""
    rules(house, '{cut_offs: [{days: [wed], time: "12:00"}]}')
    watcher = house.watcher()
    for job in ("H-102", "H-101"):
        house.drop(job)
        house.settle(watcher)
    assert status(house)["closes"] == "2026-12-02T12:00:00-05:00"
    house.clock.set(WEDNESDAY - timedelta(seconds=1))
    watcher.cycle()
    assert house.invoices() == {}
    house.clock.wait(1)
    house.settle(watcher)
    assert house.events("closed") == ["closed"]
    assert house.invoices() == {"H-101": "2026-0001", "H-102": "2026-0002"}
    assert house.waiting() == []
    assert not (house.layout.out / "quote-gathered").exists()
    house.drop("H-103")
    house.settle(watcher)
    assert house.waiting() == ["H-103"]
    house.clock.wait(60)
    watcher.cycle()
    shown = status(house)
    assert shown["closes"] == "2026-12-09T12:00:00-05:00"
    assert shown["last"] == {"label": "2026-W49", "date": "2026-12-02", "orders": 2}


def test_a_cut_off_that_nobody_was_there_for(house: House) -> None:
    """The machine was off at noon: the week is closed when it is on again."""
    rules(house, '{cut_offs: [{days: [wed], time: "12:00"}]}')
    watcher = house.watcher()
    house.drop("H-101")
    house.settle(watcher)
    watcher.close()
    house.clock.set(WEDNESDAY + timedelta(hours=20))
    house.settle(house.watcher())
    assert house.invoices() == {"H-101": "2026-0001"}


@pytest.mark.parametrize(
    ("due", "closes"),
    [
        # The shop's transfer takes two working days to come; the order is picked up on the day it is due.
        ("2026-12-18", "2026-12-04T12:00:00-05:00"),
        ("2026-12-08", "2026-12-04T12:00:00-05:00"),
        ("2026-12-07", "2026-12-03T12:00:00-05:00"),
        ("2026-12-04", "2026-12-02T12:00:00-05:00"),
    ],
)
def test_a_due_date_forces_it(house: House, due: str, closes: str) -> None:
    """All that is gathered is closed on the last day on which the most urgent order could still go on."""
    rules(house, '{cut_offs: [{days: [fri], time: "12:00"}]}')
    watcher = house.watcher()
    house.drop("H-101")
    house.drop("H-102", text=ORDER.format(job="H-102", pieces=6).replace("2026-12-18", due))
    house.settle(watcher)
    assert status(house)["closes"] == closes
    house.clock.set(datetime.fromisoformat(closes) - timedelta(seconds=1))
    watcher.cycle()
    assert house.invoices() == {}
    house.clock.wait(2)
    house.settle(watcher)
    assert house.invoices() == {"H-101": "2026-0001", "H-102": "2026-0002"}


def test_an_order_that_can_go_on_no_more(house: House) -> None:
    """It stays behind with its reason and keeps nobody up; dropped anew with another day it goes on."""
    rules(house, '{cut_offs: [{days: [wed], time: "12:00"}]}')
    watcher = house.watcher()
    house.drop("H-101")
    house.drop("H-102")
    house.settle(watcher)
    art = house.root / "art" / "gull.svg"
    kept = art.read_bytes()
    art.unlink()
    house.clock.set(WEDNESDAY)
    house.settle(watcher)
    assert house.invoices() == {}
    art.write_bytes(kept)
    house.clock.wait(3600 * 24)
    house.settle(watcher)
    assert house.invoices() == {"H-101": "2026-0001", "H-102": "2026-0002"}


def test_held_ones_wait_and_are_shown(house: House) -> None:
    """What is held does not close the week again and again."""
    rules(house, '{cut_offs: [{days: [wed], time: "12:00"}]}')
    watcher = house.watcher()
    house.drop("H-101", text=ORDER.format(job="H-101", pieces=6).replace("12-18", "12-14"))
    house.drop("H-102")
    house.settle(watcher)
    # Nobody watches until it is too late for one of them.
    house.clock.set(WEDNESDAY + timedelta(days=11))
    house.settle(watcher, cycles=5)
    assert house.invoices() == {"H-102": "2026-0001"}
    assert house.events("closed") == ["closed"]
    house.clock.wait(60)
    watcher.cycle()
    (order,) = status(house)["waiting"]
    assert order["job"] == "H-101"
    assert "due on" in order["held"][0]
    house.drop("H-101", text=ORDER.format(job="H-101", pieces=6).replace("12-18", "12-31"))
    house.settle(watcher)
    assert house.waiting() == ["H-101"]
    assert house.events("closed") == ["closed"]
    house.clock.wait(7 * 24 * 3600)
    house.settle(watcher)
    assert house.invoices() == {"H-101": "2026-0002", "H-102": "2026-0001"}


def test_each_at_once(house: House) -> None:
    """Every order is a run of its own as soon as it is taken in, in the order in which they came."""
    rules(house, "{policy: each}")
    watcher = house.watcher()
    for job in ("H-102", "H-101"):
        house.drop(job)
        house.clock.wait(1)
    house.settle(watcher)
    runs = {path.parent.parent.name: path.read_text("utf-8") for path in house.layout.out.glob("*/orders/*.txt")}
    assert set(runs) == {"order-H-101", "order-H-102"}
    assert sorted(house.invoices().values()) == ["2026-0001", "2026-0002"]
    assert house.waiting() == []
    assert not (house.layout.out / "quote-gathered").exists()


def test_closed_by_hand_while_it_is_planned(house: House) -> None:
    """The watcher notices, and plans what is left."""
    watcher = house.watcher()
    house.drop("H-101")
    house.settle(watcher)
    close(house)
    house.settle(watcher)
    assert house.invoices() == {"H-101": "2026-0001"}
    assert planned(house) == []


def test_an_edit_while_the_week_is_closed(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    """It was acknowledged, so it counts: the closing sees it and plans again."""
    watcher = house.watcher()
    house.drop("H-101", pieces=6)
    house.settle(watcher)
    real = week.run
    house.drop("H-101", pieces=9)
    taken: list[int] = []

    def progress(step: str) -> None:
        """When the papers are about to be recorded, the edit comes in."""
        if step == "writing" and not taken:
            taken.append(1)
            for _ in range(3):
                house.clock.wait(SETTLED)
                watcher.cycle()

    monkeypatch.setattr(week, "run", lambda request: real(request, progress))
    house.workers = Elsewhere()
    watcher._lead._workers = house.workers
    assert week.close(house.root, house.clock.now()).fault == ""
    assert house.events("replaced") == ["replaced H-101"]
    (paper,) = house.layout.out.glob("2026-*/orders/h-101.txt")
    assert paper.read_text("utf-8") == "2026-0001 H-101 9\n"


class Elsewhere:
    """Work that another process has not done yet."""

    def begin(self, *_: object) -> Any:
        """It never ends."""
        return NotDone(None)


class NotDone(Done):
    """A task that goes on."""

    def done(self) -> bool:
        """No."""
        return False


def test_the_clock_was_set_back(house: House) -> None:
    """Numbers follow the days: no closing before the last day of issue; orders are taken in all the same."""
    rules(house, '{cut_offs: [{days: [mon, tue, wed, thu, fri], time: "12:00"}]}')
    watcher = house.watcher()
    house.drop("H-101")
    house.settle(watcher)
    house.clock.wait(24 * 3600)
    house.settle(watcher)
    assert house.invoices() == {"H-101": "2026-0001"}
    house.clock.set(NOON - timedelta(days=4))
    house.drop("H-102")
    house.settle(watcher)
    assert house.waiting() == ["H-102"]
    house.clock.set(NOON - timedelta(days=3))
    house.settle(watcher)
    assert "E602" in str(house.told)
    assert house.invoices() == {"H-101": "2026-0001"}
    house.clock.set(NOON + timedelta(days=2))
    house.clock.wait(60)
    house.settle(watcher)
    assert house.invoices() == {"H-101": "2026-0001", "H-102": "2026-0002"}


def test_a_plan_that_fails(house: House) -> None:
    """A plugin fails at the whole, not at one order: it is told and tried again; orders are taken in meanwhile."""
    fails = "@hookimpl(tryfirst=True)\ndef make_documents(run):\n    raise ValueError('no paper')\n"
    plugin = add_plugin(house.root, fails)
    watcher = house.watcher()
    house.drop("H-101")
    house.settle(watcher)
    house.drop("H-102")
    house.settle(watcher)
    assert house.waiting() == ["H-101", "H-102"]
    assert "no paper" in (house.layout.out / "status.html").read_text("utf-8")
    plugin.unlink()
    house.clock.wait(60)
    house.settle(watcher)
    assert planned(house) == ["H-101", "H-102"]


def test_a_process_that_is_killed(house: House) -> None:
    """Whatever it was doing is told and done again."""
    watcher = house.watcher()
    real = house.workers
    lost = Elsewhere()
    lost.begin = lambda *_: Done(ChildProcessError("the process was ended"))  # type: ignore[method-assign]
    watcher._lead._workers = lost
    house.drop("H-101")
    house.settle(watcher)
    assert "the process was ended" in str(house.told)
    assert planned(house) == []
    watcher._lead._workers = real
    house.clock.wait(60)
    house.settle(watcher)
    assert planned(house) == ["H-101"]


def test_processes() -> None:
    """What a function returns comes back; of one that ends its process, how it ended; one may be stopped."""
    task = Processes().begin(sum, [1, 2])
    assert task.result() == 3
    task = Processes().begin(end, KILLED)
    with pytest.raises(ChildProcessError, match="exit code 137"):
        task.result()
    Processes().begin(input).stop()


def end(code: int) -> None:
    """End the process."""
    import os

    os._exit(code)


def test_an_order_whose_deposit_is_not_paid_stays_behind(house: House) -> None:
    """It is shown as held, the cut-off passes it by, and nothing is tried over and over; paid, it goes on."""
    file = house.root / "customers" / "harbour-bakery.yaml"
    file.write_text(file.read_text("utf-8").rstrip() + "\ndeposit: 50%\n", "utf-8")
    rules(house, '{cut_offs: [{days: [wed], time: "12:00"}]}')
    watcher = house.watcher()
    house.drop("H-101")
    house.settle(watcher)
    (order,) = (house.layout.done / "2026-11-30").iterdir()
    assert main(["deposit", str(order), "--shop", str(house.root), "--date", "2026-11-30"]) == 0
    house.settle(watcher)
    (shown,) = status(house)["waiting"]
    assert [reason for reason in shown["held"] if "is not paid" in reason]
    house.told.clear()
    house.clock.set(WEDNESDAY + timedelta(minutes=5))
    house.settle(watcher, cycles=10)
    assert len(house.events("planned")) <= 1
    assert house.invoices() == {}
    assert main(["ledger", "pay", "D2026-001", "--shop", str(house.root), "--date", "2026-12-02"]) == 0
    house.settle(watcher)
    assert house.invoices() == {"H-101": "2026-0001"}


def test_a_closing_that_changes_nothing_is_not_tried_again(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    """Should the plan ever take for able to go on what the closing holds: once, until something changes."""
    closings = []

    def nothing(*given: object) -> week.Closed:
        closings.append(given)
        return week.Closed(held={"H-101": ("not today",)})

    rules(house, '{cut_offs: [{days: [wed], time: "12:00"}]}')
    watcher = house.watcher()
    house.drop("H-101")
    house.settle(watcher)
    monkeypatch.setattr(week, "close", nothing)
    house.clock.set(WEDNESDAY + timedelta(minutes=5))
    house.settle(watcher, cycles=10)
    assert len(closings) == 1
    house.drop("H-102")
    house.settle(watcher)
    assert len(closings) == 2
