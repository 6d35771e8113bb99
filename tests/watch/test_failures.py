"""Three kinds of failure: the environment's is waited out, poison is put aside, no order pays for the shop's."""

import errno
import os
import shutil
import sqlite3
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from pipeline.ledger import Ledger, LedgerUnwritable
from pipeline.problems import StopRun
from pipeline.request import LEDGER_FILE
from pipeline.watch import settle
from pipeline.watch.backoff import Backoff
from tests.host.folder import add_plugin
from tests.watch.house import SETTLED, House
from tests.watch.test_intake import close, errors

RAISES = "@hookimpl\ndef check_orders(orders):\n    if any(o.job == 'H-666' for o in orders):\n        raise {}\n"


def test_backing_off() -> None:
    """1, 2, 4 ... at most 60 s; told once for each fault; forgotten when it works."""
    backoff = Backoff()
    now, delays = 0.0, []
    for _ in range(8):
        assert backoff.ready("disk", now)
        backoff.failed("disk", now, "full")
        begun = now
        while not backoff.ready("disk", now):
            now += 1
        delays.append(now - begun)
    assert delays == [1, 2, 4, 8, 16, 32, 60, 60]
    assert backoff.faults == ("full",)
    assert not backoff.failed("disk", now, "full")
    assert backoff.failed("disk", now, "read-only")
    backoff.worked("disk")
    assert backoff.ready("disk", now)
    assert backoff.failed("disk", now, "full")


@pytest.mark.parametrize("fault", ["ValueError('poison')", "MemoryError()", "RecursionError()"])
def test_poison_is_put_aside(house: House, fault: str) -> None:
    """An order at which a plugin fails is tried three times, then rejected with the fault; the others go on."""
    add_plugin(house.root, RAISES.format(fault))
    watcher = house.watcher()
    house.drop("H-666")
    house.drop("H-101")
    house.settle(watcher)
    assert house.waiting() == ["H-101"]
    assert errors(house) == []
    for _ in range(3):
        house.clock.wait(60)
        watcher.cycle()
    assert errors(house) == [("inbox/h-666.yaml", ["E644"])]
    (words,) = house.layout.rejected.rglob("*.error.txt")
    assert f"plugin 'shop:own' failed in check_orders, own.py:5: {fault}" in words.read_text("utf-8")
    assert house.names("work") == []


def test_a_plugin_that_is_mended_in_time(house: House) -> None:
    """Two attempts are not three: after the plugin was mended the order is taken in."""
    plugin = add_plugin(house.root, RAISES.format("KeyError"))
    watcher = house.watcher()
    house.drop("H-666")
    house.settle(watcher, cycles=1)
    house.clock.wait(60)
    watcher.cycle()
    assert house.names("work") == ["attempt-1", "attempt-2", "h-666.yaml"]
    plugin.unlink()
    house.clock.wait(60)
    watcher.cycle()
    assert house.waiting() == ["H-666"]
    assert house.names("work") == []


def test_a_shop_file_that_is_wrong(house: House) -> None:
    """Nothing is claimed, let alone rejected, while it is; the page says so; afterwards all goes on."""
    watcher = house.watcher()
    watcher.cycle()
    file = house.root / "shop.yaml"
    good = file.read_text("utf-8")
    file.write_text(good.replace("currency", "curency"), "utf-8")
    house.drop("H-101")
    house.settle(watcher, cycles=20)
    assert house.names("inbox") == ["h-101.yaml"]
    assert house.events("failed") == ["failed"]
    assert "curency" in (house.layout.out / "status.html").read_text("utf-8")
    file.write_text(good, "utf-8")
    house.clock.wait(60)
    house.settle(watcher)
    assert house.waiting() == ["H-101"]
    assert "well" in (house.layout.out / "status.html").read_text("utf-8")


def test_a_shop_file_that_is_wrong_at_the_start(house: House) -> None:
    """The watcher does not start, and says why."""
    file = house.root / "shop.yaml"
    file.write_text(file.read_text("utf-8").replace("currency", "curency"), "utf-8")
    with pytest.raises(StopRun, match="curency"):
        house.watcher()


def test_the_ledger_is_locked(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    """By another program, for long: the order stays in the inbox or in `work/`, and is taken in afterwards."""
    monkeypatch.setattr(Ledger.open.__func__, "__defaults__", (True, 0.01))
    watcher = house.watcher()
    house.drop("H-101")
    watcher.cycle()
    other = sqlite3.connect(house.root / LEDGER_FILE, isolation_level=None)
    other.execute("BEGIN EXCLUSIVE")
    house.clock.wait(SETTLED)
    watcher.cycle()
    other.execute("ROLLBACK")
    other.close()
    assert "locked by another program" in str(house.told)
    assert errors(house) == []
    house.clock.wait(60)
    house.settle(watcher)
    assert house.waiting() == ["H-101"]


def test_the_ledger_is_gone(house: House) -> None:
    """A new one is not begun: it would give the old one's numbers again."""
    watcher = house.watcher()
    watcher.cycle()
    (house.root / LEDGER_FILE).rename(house.root / "away")
    house.drop("H-101")
    house.settle(watcher)
    assert not (house.root / LEDGER_FILE).exists()
    assert house.names("inbox") == ["h-101.yaml"]
    assert "is gone" in (house.layout.out / "status.html").read_text("utf-8")
    (house.root / "away").rename(house.root / LEDGER_FILE)
    house.clock.wait(60)
    house.settle(watcher)
    assert house.waiting() == ["H-101"]


def test_the_database_fails_at_one_order(house: House) -> None:
    """It stays in `work/` uncounted, however often: the disk is not the order's fault."""
    watcher = house.watcher()

    def full(*_: object) -> None:
        raise LedgerUnwritable("database or disk is full")

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Ledger, "receive", full)
        house.drop("H-101")
        for _ in range(8):
            house.clock.wait(60)
            watcher.cycle()
    assert house.names("work") == ["h-101.yaml"]
    assert errors(house) == []
    house.clock.wait(60)
    watcher.cycle()
    assert house.waiting() == ["H-101"]


def test_out_is_read_only(house: House) -> None:
    """Acknowledgements cannot be written: the order waits in `work/` and nothing is rejected."""
    if os.geteuid() == 0:
        pytest.skip("nothing is read-only to root")
    watcher = house.watcher()
    watcher.cycle()
    house.layout.out.chmod(0o500)
    house.drop("H-101")
    house.settle(watcher)
    assert house.names("work") == ["h-101.yaml"]
    house.layout.out.chmod(0o700)
    house.clock.wait(60)
    house.settle(watcher)
    assert house.names("work") == []
    assert house.waiting() == ["H-101"]


def test_something_is_in_the_way_in_out(house: House) -> None:
    """The same for root, too: a file where the folder of acknowledgements should be."""
    watcher = house.watcher()
    watcher.cycle()
    house.layout.received.write_text("not a folder")
    house.drop("H-101")
    house.settle(watcher)
    assert house.names("work") == ["h-101.yaml"]
    assert errors(house) == []
    house.layout.received.unlink()
    house.clock.wait(60)
    house.settle(watcher)
    assert house.names("work") == []
    assert house.names("out/received") == ["H-101.txt"]
    assert house.events("received", "again") == ["again H-101"]


@pytest.fixture(name="small_disk")
def _small_disk(house: House, tmp_path: Path) -> Iterator[House]:
    """The shop on a file system of two megabytes."""
    place = tmp_path / "disk"
    place.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=2m", "tmpfs", str(place)], capture_output=True, check=False
    )
    if mounted.returncode:
        pytest.skip("only root can mount a disk that is small enough to fill")
    try:
        shutil.copytree(house.root, place / "shop")
        yield House(root=place / "shop")
    finally:
        subprocess.run(["umount", "-l", str(place)], check=True)


def test_the_disk_is_full(small_disk: House) -> None:
    """Nothing is rejected, nothing is lost, nothing is half; when there is room, all goes on."""
    house = small_disk
    watcher = house.watcher()
    for number in range(5):
        house.drop(f"H-10{number}")
    watcher.cycle()
    ballast = house.root / "ballast"
    with pytest.raises(OSError, match="No space"):
        fill(ballast)
    for _ in range(5):
        house.clock.wait(60)
        watcher.cycle()
    assert errors(house) == []
    assert "o space" in str(house.told) or "full" in str(house.told)
    assert len(house.names("inbox")) + len([n for n in house.names("work") if n.startswith("h-")]) >= 4
    ballast.unlink()
    house.clock.wait(60)
    house.settle(watcher)
    assert house.waiting() == [f"H-10{number}" for number in range(5)]
    assert house.names("inbox") == house.names("work") == house.names("rejected") == []
    assert len(house.names("out/received")) == 5


def fill(path: Path) -> None:
    """Write until nothing goes on the disk any more."""
    with path.open("wb", buffering=0) as file:
        while True:
            file.write(b"x" * 512)


def test_a_file_that_cannot_be_read(house: House) -> None:
    """It stays in the inbox, the page says why, and the others do not wait for it."""
    real = settle.open_unfollowed

    def refuses(path: Path) -> int:
        if path.name == "h-101.yaml":
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))
        return real(path)

    watcher = house.watcher()
    house.drop("H-101")
    house.drop("H-102")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(settle, "open_unfollowed", refuses)
        house.settle(watcher, cycles=5)
    assert house.names("inbox") == ["h-101.yaml"]
    assert house.waiting() == ["H-102"]
    assert house.events("failed") == ["failed"]
    assert "h-101.yaml: Permission denied" in (house.layout.out / "status.html").read_text("utf-8")
    house.clock.wait(60)
    house.settle(watcher)
    assert house.waiting() == ["H-102", "H-101"]
    assert "well" in (house.layout.out / "status.html").read_text("utf-8")


def test_the_inbox_is_removed_and_made_again(house: House) -> None:
    """By someone who tidies up: it is there again with the next look, and still ours."""
    watcher = house.watcher()
    watcher.cycle()
    shutil.rmtree(house.layout.inbox)
    watcher.cycle()
    assert house.layout.inbox.is_dir()
    shutil.rmtree(house.layout.inbox)
    house.drop("H-101")
    house.settle(watcher)
    assert house.waiting() == ["H-101"]
    assert (house.layout.inbox / ".peelwright").read_text() == f"{watcher._claims.owner}\n"


def test_two_ledgers_on_one_inbox(house: House, tmp_path: Path) -> None:
    """Refused at the start, and noticed when it comes about later."""
    first = house.watcher()
    first.cycle()
    other = House(root=Path(shutil.copytree(house.root, tmp_path / "other")))
    (other.root / LEDGER_FILE).unlink()
    shutil.rmtree(other.layout.inbox)
    other.layout.inbox.symlink_to(house.layout.inbox)
    with pytest.raises(StopRun, match="E642"):
        other.watcher()
    (house.layout.inbox / ".peelwright").write_text("somebody else\n")
    house.drop("H-101")
    house.settle(first)
    assert house.names("inbox") == ["h-101.yaml"]
    assert "belongs to another ledger" in str(house.told)


def test_an_old_ledger_was_put_back(house: House) -> None:
    """It does not know an order that was acknowledged, or a number that was given: the watcher does not start."""
    watcher = house.watcher()
    old = (house.root / LEDGER_FILE).read_bytes()
    house.drop("H-101")
    house.settle(watcher)
    watcher.close()
    new = (house.root / LEDGER_FILE).read_bytes()
    (house.root / LEDGER_FILE).write_bytes(old)
    with pytest.raises(StopRun, match="H-101 was acknowledged"):
        house.watcher()
    (house.root / LEDGER_FILE).write_bytes(new)
    close(house)
    (house.root / LEDGER_FILE).write_bytes(new)
    with pytest.raises(StopRun, match="E603"):
        house.watcher()


def test_another_file_system(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder on another disk: refused at the start, since a rename onto it is no rename."""
    house.layout.make()
    elsewhere = Path("/dev/shm")  # noqa: S108 (a folder that is there, to link to)
    if not elsewhere.is_dir() or elsewhere.stat().st_dev == house.root.stat().st_dev:
        pytest.skip("no second file system to try it with")
    house.layout.done.rmdir()
    house.layout.done.symlink_to(elsewhere)
    with pytest.raises(StopRun, match="E643"):
        house.watcher()
