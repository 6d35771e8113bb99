"""A day at a watched shop, for a process that can be killed.

It is run again after a crash: what was dropped before is not dropped again. The names of claims are those of the
clock and of a watcher with a fixed name, so that two days can be compared byte for byte.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path
from typing import Any

import plugins
from pipeline.failpoints import reach
from pipeline.watch.claim import Claim
from pipeline.watch.intake import Intake, Taken
from pipeline.watch.outcome import place
from tests.host import folder, plain
from tests.watch.house import NOON, House

DROPS = (
    ("H-101", {}),
    ("H-102", {}),
    ("H-103", {"text": folder.ORDER.format(job="H-103", pieces=6).replace("tee", "teh")}),
    ("H-101", {"pieces": 9}),
)
WATCH = 'watch: {cut_offs: [{days: [mon], time: "18:00"}]}\n'


def prepare(root: Path) -> Path:
    """A shop that closes on Mondays at six."""
    shop = folder.make_shop(root / "shop")
    with (shop / "shop.yaml").open("a") as file:
        file.write(WATCH)
    return shop


@contextmanager
def plain_stages() -> Iterator[None]:
    """Plans that take no time."""
    before, plugins.STAGES = plugins.STAGES, plain.STAGES
    try:
        yield
    finally:
        plugins.STAGES = before


def day(shop: Path, owner: str) -> None:
    """Orders are dropped, one of them is faulty, one is changed; then the week is closed, and one comes again."""
    house = House(root=shop)
    watcher = house.watcher(owner)
    for number, (job, how) in enumerate(DROPS):
        once(house, f"drop-{number}", job, how)
        house.clock.set(NOON + timedelta(minutes=number))
        house.settle(watcher)
    house.clock.set(NOON + timedelta(hours=12))
    house.settle(watcher)
    once(house, "drop-again", "H-102", {})
    house.settle(watcher)
    watcher.close()


def mortal_day(shop: Path, owner: str, naively: bool) -> None:
    """The day in a process of its own."""
    if naively:
        naive()
    with plain_stages():
        day(shop, owner)


def once(house: House, mark: str, job: str, how: dict[str, object]) -> None:
    """Drop an order, unless that was done before the crash."""
    done = house.root / mark
    if not done.exists():
        part = house.drop(job, name=f".{mark}", **how)  # type: ignore[arg-type]
        done.touch()
        part.rename(house.layout.inbox / f"{job.lower()}.yaml")


def naive() -> None:
    """From now on a file is put aside first and the ledger told afterwards, as one would do without thinking."""

    def keep(intake: Intake, claim: Claim, content: bytes, *given: Any) -> Taken:
        """Put the file into its place, then do what is to be done."""
        claim.path.replace(made(place(intake._layout.done, claim, content, intake._zone)))
        reach("naive.moved")
        return real(intake, claim, content, *given)

    def made(target: Path) -> Path:
        """A path whose folder is there."""
        target.parent.mkdir(exist_ok=True)
        return target

    real, Intake._keep = Intake._keep, keep
