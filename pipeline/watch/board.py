"""How the folder stands: read from disk and ledger, whoever asks; then shown as `out/status.html` and `.json`."""

import json
import os
from collections.abc import Mapping, Sequence
from datetime import datetime
from pathlib import Path
from types import MappingProxyType
from typing import Any
from zoneinfo import ZoneInfo

from pipeline.canonical import Json, plain
from pipeline.ledger import Drop, Ledger
from pipeline.model.document import Document
from pipeline.model.folder import Closing, RejectedFile, WaitingOrder, WatchedFolder
from pipeline.model.money import Money
from pipeline.output import read_record
from pipeline.record import RECORD
from pipeline.report import printable
from pipeline.shop import Shop
from pipeline.watch.layout import Layout
from pipeline.watch.lock import is_held
from pipeline.watch.outcome import ERROR_DATA, ERROR_TEXT, write
from pipeline.watch.scan import scan
from pipeline.watch.week import PLAN_FOLDER

PAGE, DATA = "status.html", "status.json"
LEAD = "lead.lock"
"""In `work/`: held by the one watcher that plans, closes and shows the page."""

MOST = 50
"""So much of a long list is shown."""


class Board:
    """Looks at the folder. What did not change since the last look is not read again."""

    def __init__(self, layout: Layout) -> None:
        self._layout = layout
        self._kept: dict[Path, tuple[int, Any]] = {}

    def look(
        self,
        ledger: Ledger,
        shop: Shop,
        now: datetime,
        closes: datetime | None = None,
        held: Mapping[str, Sequence[str]] = MappingProxyType({}),
        faults: Sequence[str] = (),
        arriving: Sequence[Path] | None = None,
    ) -> WatchedFolder:
        """The folder now; `arriving` is what lies in the inbox, where that is known.

        Raises what the ledger raises, and OSError.
        """
        zone = ZoneInfo(shop.time_zone)
        record = self._record()
        planned = {(order["job"], order["sha256"]): order for order in record.get("orders", ())}
        count, drops = ledger.first_waiting(MOST)
        if arriving is None:
            arriving = [file.path for file in scan(self._layout.inbox)]
        rejected_count, rejected = self._rejected()
        last = ledger.last_run()
        return WatchedFolder(
            at=now.astimezone(zone),
            policy=str(shop.watch.policy),
            watchers=sum(is_held(path) for path in self._layout.work.glob("*-*.lock")),
            closes=closes.astimezone(zone) if closes else None,
            arriving=tuple(printable(path.name) for path in arriving[:MOST]),
            arriving_count=len(arriving),
            in_work=sum(path.is_dir() for path in self._layout.work.iterdir()),
            waiting=tuple(
                _waiting(drop, planned.get((drop.job, drop.sha256)), held.get(drop.job, ()), zone)
                for drop in drops
            ),
            waiting_count=count,
            rejected=rejected,
            rejected_count=rejected_count,
            plan=PLAN_FOLDER if record and count else "",
            last=Closing(label=last[0], date=last[1], orders=last[2]) if last else None,
            faults=tuple(faults),
        )

    def _record(self) -> Mapping[str, Any]:
        """The plan as it stands, as data; empty where there is none."""
        return self._fresh(self._layout.out / PLAN_FOLDER / RECORD, lambda path: read_record(path) or {}) or {}

    def _rejected(self) -> tuple[int, tuple[RejectedFile, ...]]:
        """How many, and the latest of them."""
        found: list[Path] = []
        count = 0
        for day in sorted(filter(Path.is_dir, self._layout.rejected.iterdir()), reverse=True):
            names = self._fresh(day, _explained) or ()
            count += len(names)
            found += [day / name for name in names[: MOST - len(found)]]
        return count, tuple(file for path in found if (file := self._fresh(path, self._explained)))

    def _explained(self, path: Path) -> RejectedFile:
        file = path.name.removesuffix(ERROR_DATA)
        day = path.parent.relative_to(self._layout.root).as_posix()
        try:
            data = json.loads(path.read_bytes())
            name = str(data["file"])
            errors = [str(problem["message"]) for problem in data["problems"] if problem["severity"] == "error"]
        except (ValueError, KeyError, TypeError):  # somebody changed it, or it is none of ours
            name, errors = printable(file), ["its reasons cannot be read"]
        return RejectedFile(
            name=name,
            file=f"{day}/{file}",
            reasons=f"{day}/{file}{ERROR_TEXT}",
            message=errors[0] if errors else "",
        )

    def _fresh(self, path: Path, read: Any) -> Any:
        """What `read` makes of this path, read again when its time changes; None where it is not there."""
        try:
            changed = path.stat().st_mtime_ns
        except (FileNotFoundError, NotADirectoryError):
            return None
        if self._kept.get(path, (None,))[0] != changed:
            self._kept[path] = (changed, read(path))
        return self._kept[path][1]


def _explained(day: Path) -> tuple[str, ...]:
    """The names of a day's explanations, the latest first."""
    entries = [entry for entry in os.scandir(day) if entry.name.endswith(ERROR_DATA)]
    latest = sorted(entries, key=lambda entry: (-entry.stat().st_mtime_ns, entry.name))
    return tuple(entry.name for entry in latest)


def _waiting(drop: Drop, order: Mapping[str, Any] | None, held: Sequence[str], zone: ZoneInfo) -> WaitingOrder:
    return WaitingOrder(
        job=drop.job,
        customer=drop.customer,
        received=drop.received.astimezone(zone),
        file=drop.name,
        due=datetime.fromisoformat(order["due"]).date() if order else None,
        pieces=order["pieces"] if order else None,
        net=Money(order["bill"]["net"]) if order else None,
        held=tuple(held),
    )


def write_page(layout: Layout, folder: WatchedFolder, page: Document) -> None:
    """The page of the folder and its data."""
    write(layout.out / PAGE, page.content, layout.work)
    write(layout.out / DATA, json.dumps(as_data(folder), indent=2).encode() + b"\n", layout.work)


def as_data(folder: WatchedFolder) -> Json:
    """The folder for programs."""
    return plain(folder)
