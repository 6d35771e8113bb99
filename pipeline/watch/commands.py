"""`peelwright watch`, `status`, `close-week` and `withdraw`, after the command line was read."""

import json
import signal
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from types import FrameType
from typing import Any

from pipeline.batch import read_shop
from pipeline.display import Display
from pipeline.ledger import Ledger
from pipeline.model.folder import WatchedFolder
from pipeline.model.show import count
from pipeline.plugin_manager import load_plugins
from pipeline.problems import Problem, StopRun
from pipeline.shop import Shop
from pipeline.watch.board import DATA, LEAD, PAGE, Board, write_page
from pipeline.watch.clock import SystemClock
from pipeline.watch.layout import Layout
from pipeline.watch.lock import Lock
from pipeline.watch.log import LineLog
from pipeline.watch.service import Watcher
from pipeline.watch.worker import Processes


def watch(shop: Path, log: Path | None) -> None:
    """Watch a shop's inbox until SIGTERM or Ctrl-C. Raises StopRun when it cannot start."""
    stop = threading.Event()
    clock = SystemClock(stop)
    with _stopping(stop):
        watcher = Watcher(shop, clock, Processes(), LineLog(log), stop)
        watcher.open()
        try:
            while not stop.is_set():
                clock.wait(watcher.cycle())
        finally:
            watcher.close()


def status(shop: Path, now: datetime) -> WatchedFolder:
    """How the folder stands, from disk and ledger, whether or not a watcher is at work. Raises StopRun."""
    loaded = _shop(shop)
    layout = Layout(root=shop)
    if not all(folder.is_dir() for folder in (layout.inbox, layout.work, layout.rejected)):
        hint = "`peelwright watch` makes its folders"
        raise StopRun([Problem(code="E700", message=f"`{shop}` has never been watched", hint=hint)])
    told = _told(layout)
    closes = datetime.fromisoformat(told["closes"]) if told.get("closes") else None
    with Ledger.of(loaded, create=False) as ledger:
        held = {order["job"]: order["held"] for order in told.get("waiting", ())}
        return Board(layout).look(ledger, loaded, now, closes, held, told.get("faults", ()))


def words(folder: WatchedFolder) -> str:
    """The status for a terminal."""
    at_work = count(folder.watchers, "watcher") if folder.watchers else "NO WATCHER"
    lines = [
        f"{at_work} at work; {count(folder.arriving_count, 'file')} arriving, {folder.in_work} in work",
        f"gathered  {count(folder.waiting_count, 'order')}"
        + (
            f", to be closed on {Display().moment(folder.closes)}"
            if folder.closes and folder.waiting_count
            else ""
        ),
    ]
    lines += [
        f"  {order.job}  {order.customer}  {'HELD: ' + '; '.join(order.held) if order.held else ''}".rstrip()
        for order in folder.waiting
    ]
    lines.append(f"rejected  {count(folder.rejected_count, 'file')}")
    lines += [f"  {file.name}: {file.message} ({file.reasons})" for file in folder.rejected]
    if folder.last:
        lines.append(f"closed    {folder.last.label}, {folder.last.date}: {count(folder.last.orders, 'order')}")
    lines += [f"FAULT     {fault}" for fault in folder.faults]
    return "\n".join(lines)


def withdraw(shop: Path, job: str, now: datetime) -> None:
    """Take back an order that is gathered. Raises StopRun when none of this job is."""
    claim = f"withdrawn-{now:%Y%m%dT%H%M%S.%f}-{job}"
    with Ledger.of(_shop(shop), create=False) as ledger:
        if not ledger.withdraw(job, claim, now):
            hint = "`peelwright status` lists those that wait; a recorded order is credited, not withdrawn"
            raise StopRun([Problem(code="E700", message=f"no order {job} waits", hint=hint)])
    (Layout(root=shop).received / f"{job}.txt").unlink(missing_ok=True)
    refresh(shop, now)


def refresh(shop: Path, now: datetime) -> None:
    """Write the page of a watched folder anew, unless a watcher does so."""
    layout = Layout(root=shop)
    if not (layout.out / PAGE).is_file() or (lock := Lock.take(layout.work / LEAD)) is None:
        return
    try:
        loaded, folder = _shop(shop), status(shop, now)
        write_page(layout, folder, load_plugins(loaded).show_folder(folder=folder, shop=loaded))
    finally:
        lock.release()


def _shop(folder: Path) -> Shop:
    shop = read_shop(folder).value
    if shop is None:
        raise AssertionError("a shop that could not be read has stopped the command")
    return shop


@contextmanager
def _stopping(stop: threading.Event) -> Iterator[None]:
    """SIGTERM and Ctrl-C ask for a stop: what was begun with one order is brought to its end."""

    def ask(_: int, __: FrameType | None) -> None:
        stop.set()

    before = {number: signal.signal(number, ask) for number in (signal.SIGTERM, signal.SIGINT)}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def _told(layout: Layout) -> Mapping[str, Any]:
    """What the watcher wrote last; nothing where none did."""
    try:
        told: Mapping[str, Any] = json.loads((layout.out / DATA).read_bytes())
    except (FileNotFoundError, ValueError):
        return {}
    return told
