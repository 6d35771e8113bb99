"""Whether a file is complete: left alone for long enough and written by nobody, or ended by its marker."""

import os
import sys
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from pipeline.watch.scan import scan
from pipeline.watch.settle import Settling, ends_with_marker, unwritten
from tests.host.folder import ORDER
from tests.watch.house import SETTLED, House

linux = pytest.mark.skipif(sys.platform != "linux", reason="leases are Linux's")
WHOLE = ORDER.format(job="H-101", pieces=6)


def demand_markers(house: House) -> None:
    """The shop wants every file to end with a marker."""
    with (house.root / "shop.yaml").open("a") as file:
        file.write("watch: {require_end_marker: true}\n")


def test_left_alone_for_five_seconds(house: House) -> None:
    """By a clock that never goes back: not after 4.9 s, but after 5 s."""
    watcher = house.watcher()
    house.drop("H-101")
    watcher.cycle()
    house.clock.wait(4.9)
    watcher.cycle()
    assert house.waiting() == []
    house.clock.wait(0.1)
    watcher.cycle()
    assert house.waiting() == ["H-101"]


def test_a_file_that_was_there_long_before(house: House) -> None:
    """Its age proves nothing: a copy may keep the old time while it is written. It is seen twice as any other."""
    path = house.drop("H-101")
    os.utime(path, (1_000, 1_000))
    watcher = house.watcher()
    watcher.cycle()
    assert house.waiting() == []
    house.clock.wait(SETTLED)
    watcher.cycle()
    assert house.waiting() == ["H-101"]


def test_a_slow_writer(house: House) -> None:
    """Who writes a line every four seconds is waited for, though each part is a valid file."""
    watcher = house.watcher()
    path = house.drop("H-101", text=" ")
    text = ""
    for line in WHOLE.splitlines(keepends=True):
        text += line
        path.write_text(text, "utf-8")
        watcher.cycle()
        house.clock.wait(4)
    assert house.events("received", "rejected") == []
    house.settle(watcher)
    assert house.events("received", "rejected") == ["received H-101"]


def test_the_same_size_again(house: House) -> None:
    """A file that is replaced by one of the same length counts from anew."""
    watcher = house.watcher()
    house.drop("H-101")
    watcher.cycle()
    house.clock.wait(3)
    other = house.drop("H-102", name="other.txt")
    other.replace(house.layout.inbox / "h-101.yaml")
    watcher.cycle()
    house.clock.wait(3)
    watcher.cycle()
    assert house.waiting() == []
    house.clock.wait(3)
    watcher.cycle()
    assert house.waiting() == ["H-102"]


@linux
def test_a_writer_that_pauses(house: House) -> None:
    """However long nothing is written: while a program has the file open for it, it is not complete."""
    watcher = house.watcher()
    path = house.layout.inbox / "h-101.yaml"
    with path.open("w") as file:
        file.write(WHOLE[:100])
        file.flush()
        house.settle(watcher, cycles=5)
        assert house.events("received", "rejected") == []
        file.write(WHOLE[100:])
    house.settle(watcher)
    assert house.events("received", "rejected") == ["received H-101"]


@linux
def test_readers_are_not_in_the_way(tmp_path: Path) -> None:
    """An indexer or a virus scanner that reads does not hold an order up; what is not there is not free."""
    path = tmp_path / "h.yaml"
    path.write_text("x")
    with path.open(), unwritten(path) as free:
        assert free
    with path.open("a"), unwritten(path) as free:
        assert not free
    with unwritten(tmp_path / "gone.yaml") as free:
        assert not free


def test_the_memory_of_the_inbox_does_not_grow(tmp_path: Path) -> None:
    """What is no longer there is forgotten: dropped under its old name and time, it counts from anew."""
    settling = Settling()
    path = tmp_path / "h.yaml"
    path.write_text("x")
    found = scan(tmp_path)
    assert settling.quiet(found, 0.0, 5) == ()
    assert settling.quiet((), 4.0, 5) == ()
    assert settling.quiet(found, 6.0, 5) == ()
    assert settling.quiet(found, 11.0, 5) == found


def test_a_job_cut_short_may_be_another_valid_job() -> None:
    """The reason for all of this: cut within a number or after a line, it is still an order that could be made."""
    short = WHOLE[: WHOLE.index("        width: 3in") + len("        width: 3in")]
    assert yaml.safe_load(short) == yaml.safe_load(WHOLE)
    few = WHOLE.replace("pieces: {M: 6}", "pieces:\n      M: 60")
    cut = few[: few.index("M: 60") + len("M: 6")]
    assert yaml.safe_load(cut)["lines"][0]["pieces"] == {"M": 6}


@pytest.mark.parametrize("end", ["...", "...\n", "...\r\n"])
def test_cut_at_every_byte(house: House, end: str) -> None:
    """With an end marker no part of a file is taken, and the whole is, at once."""
    demand_markers(house)
    watcher = house.watcher()
    whole = (WHOLE + end).encode()
    path = house.layout.inbox / "h-101.yaml"
    complete = len(WHOLE + "...")
    for length in range(complete):
        path.write_bytes(whole[:length])
        (file,) = scan(house.layout.inbox)
        assert Settling().ended([file]) == (), length
    watcher.cycle()
    house.clock.wait(100)
    watcher.cycle()
    assert house.events("received", "rejected") == []
    path.write_bytes(whole)
    watcher.cycle()
    assert house.events("received", "rejected") == ["received H-101"]


@pytest.mark.parametrize("text", ["....", "a...", "...b", "... ", " ...", "...\n\n", "...\nx", "", ".."])
def test_what_is_no_marker(text: str) -> None:
    """Only a last line of exactly three dots."""
    assert not ends_with_marker(text.encode())
    assert not ends_with_marker(b"job: 1\n" + text.encode())


@given(st.binary(max_size=30), st.sampled_from([b"", b"\n", b"\r\n"]))
def test_the_marker_alone_on_its_line(before: bytes, end: bytes) -> None:
    """Whatever stands before it, also in a file shorter than what is read of its end."""
    assert ends_with_marker(before + b"\n..." + end)
    assert ends_with_marker(b"..." + end)


def test_a_marker_that_is_lost_again(house: House) -> None:
    """Claimed with its marker and cut short before it was read: it is tried again, not taken for another order."""
    demand_markers(house)
    watcher = house.watcher()
    path = house.drop("H-101", text=WHOLE + "...\n")
    watcher.cycle()
    assert house.waiting() == ["H-101"]
    path = house.drop("H-102", text=WHOLE.replace("H-101", "H-102") + "...\n")
    claimed = watcher._claims.take(scan(house.layout.inbox)[0])
    assert claimed is not None
    claimed.path.write_text("job: H-102\n")
    watcher.cycle()
    assert house.events("failed", "rejected") == ["failed"]
    claimed.path.write_text(path.name and WHOLE.replace("H-101", "H-102") + "...\n", "utf-8")
    house.settle(watcher)
    assert house.waiting() == ["H-101", "H-102"]
