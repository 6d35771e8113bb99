"""Many files, and several watchers that take them from one inbox at the same time."""

import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from pipeline.watch import service
from tests.benchmarks.folder import Idle
from tests.watch.house import SETTLED, House

pytestmark = pytest.mark.untraced


@pytest.fixture(name="idle")
def _idle(house: House) -> House:
    """The shop; weeks are not planned, since they are not what these tests are about."""
    house.workers = Idle()
    return house


def drop(house: House, numbers: range) -> list[str]:
    """Orders of these numbers; their jobs."""
    jobs = [f"H-{number:04}" for number in numbers]
    for job in jobs:
        house.drop(job)
    return jobs


def test_a_watcher_that_is_stopped_in_the_middle(idle: House) -> None:
    """200 files, a stop after 50, 20 more meanwhile; the next watcher takes the rest, each once."""
    jobs = drop(idle, range(180))

    def stop_after(_: object, event: str, **details: Any) -> None:
        idle.told.append((event, details))
        if len(idle.events("received")) == 50:
            idle.stop.set()

    first = service.Watcher(idle.root, idle.clock, idle.workers, stop_after, idle.stop)
    first.open()
    idle.settle(first)
    first.close()
    assert len(idle.waiting()) == 50
    jobs += drop(idle, range(180, 200))
    idle.stop.clear()
    idle.settle(idle.watcher())
    assert sorted(idle.waiting()) == jobs
    assert len(idle.events("received")) == len(idle.names("done")) == 200
    assert idle.names("inbox") == idle.names("work") == idle.names("rejected") == []


def test_so_many_a_cycle(idle: House, monkeypatch: pytest.MonkeyPatch) -> None:
    """The earliest first, the others with the next: the page and the week are seen to in between."""
    monkeypatch.setattr(service, "MOST", 20)
    jobs = drop(idle, range(50))
    watcher = idle.watcher()
    watcher.cycle()
    counts = []
    for _ in range(3):
        idle.clock.wait(SETTLED)
        watcher.cycle()
        counts.append(len(idle.waiting()))
    assert counts == [20, 40, 50]
    assert [event.split()[1] for event in idle.events("received")] == jobs


def test_four_watchers_at_once(idle: House) -> None:
    """In four threads, on 100 files: each is taken by one, and none is left."""
    jobs = drop(idle, range(100))
    houses = [House(root=idle.root, workers=Idle()) for _ in range(4)]
    faults: list[BaseException] = []

    def work(house: House) -> None:
        try:
            house.settle(house.watcher(), cycles=4)
        except BaseException as error:
            faults.append(error)
            raise

    threads = [threading.Thread(target=work, args=(house,)) for house in houses]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert faults == []
    assert sorted(idle.waiting()) == jobs
    received = [event for house in houses for event in house.events("received", "again")]
    assert sorted(received) == [f"received {job}" for job in jobs]
    assert idle.names("inbox") == idle.names("work") == idle.names("rejected") == []
    assert sorted(idle.names("done")) == sorted(f"{job.lower()}.yaml" for job in jobs)


def test_one_leads(idle: House) -> None:
    """Of two watchers one plans and shows; when it ends, the other does."""
    one, two = idle.watcher(), idle.watcher()
    one.cycle()
    two.cycle()
    page = idle.layout.out / "status.json"
    assert page.exists()
    one.close()
    page.unlink()
    idle.clock.wait(SETTLED)
    two.cycle()
    assert page.exists()


def locks(folder: Path) -> Iterator[str]:
    """The names of the locks."""
    yield from (path.name for path in folder.glob("*.lock"))


def test_a_clean_stop_leaves_no_lock(idle: House) -> None:
    """And nothing else in `work/`."""
    watcher = idle.watcher()
    watcher.cycle()
    assert len(list(locks(idle.layout.work))) == 2
    watcher.close()
    assert list(idle.layout.work.iterdir()) == []
