"""What counts as an order in the inbox, and whose turn it is."""

import os
import sys
from pathlib import Path

import pytest

from pipeline.watch.scan import is_candidate, scan
from tests.host.folder import ORDER
from tests.watch.house import House

posix = pytest.mark.skipif(os.name != "posix", reason="no such names or kinds of files there")


@pytest.mark.parametrize(
    ("name", "taken"),
    [
        ("monday.yaml", True),
        ("monday.yml", True),
        ("-rf.yaml", True),
        (" leading space.yaml", True),
        ("mönday.yaml", True),
        ("two\nlines.yaml", True),
        (".hidden.yaml", False),
        ("~monday.yaml", False),
        ("#monday.yaml", False),
        ("monday.yaml~", False),
        ("monday.yaml.tmp", False),
        ("monday.yaml.part", False),
        ("monday.yaml.swp", False),
        ("monday.yaml.crdownload", False),
        ("monday.YAML", False),
        ("monday.txt", False),
        ("shop.yaml", False),
        ("week.yaml", False),
        (".yaml", False),
    ],
)
def test_names(name: str, taken: bool) -> None:
    """By its name alone: an order, or something hidden, unfinished or else."""
    assert is_candidate(name) is taken


def test_whose_turn(tmp_path: Path) -> None:
    """The earliest first; of one moment by the bytes of the name, in which Z stands before a, and a before é."""
    moments = {"late.yaml": 2_000, "b.yaml": 1_000, "Z.yaml": 1_000, "é.yaml": 1_000, "early.yaml": 0}
    for name, ns in moments.items():
        (tmp_path / name).write_text("x")
        os.utime(tmp_path / name, ns=(ns, ns))
    assert [file.path.name for file in scan(tmp_path)] == [
        "early.yaml",
        "Z.yaml",
        "b.yaml",
        "é.yaml",
        "late.yaml",
    ]


@posix
def test_links_pipes_and_folders_are_passed_over(house: House) -> None:
    """Only regular files. They stay where they are; the order beside them is taken in."""
    watcher = house.watcher()
    order = house.root / "elsewhere.yaml"
    order.write_text(ORDER.format(job="H-666", pieces=1), "utf-8")
    (house.layout.inbox / "link.yaml").symlink_to(order)
    (house.layout.inbox / "dangling.yaml").symlink_to(house.root / "nothing")
    os.mkfifo(house.layout.inbox / "pipe.yaml")
    (house.layout.inbox / "folder.yaml").mkdir()
    house.drop("H-101")
    house.settle(watcher)
    assert house.waiting() == ["H-101"]
    assert len(list(house.layout.inbox.glob("*.yaml"))) == 4
    assert house.events("rejected", "failed") == []


@posix
@pytest.mark.skipif(sys.platform == "darwin", reason="its file system takes names in UTF-8 only")
@pytest.mark.parametrize(
    "name",
    [
        b"caf\xe9.yaml",
        b"two\nlines.yaml",
        b"-rf --no-preserve-root.yaml",
        b"\x1b[2J.yaml",
        b"a" * 250 + b".yaml",
        "\N{RIGHT-TO-LEFT OVERRIDE}yaml.exe.yaml".encode(),
        b"$(reboot);'\".yaml",
    ],
)
@pytest.mark.parametrize("good", [True, False])
def test_odd_names(house: House, name: bytes, good: bool) -> None:
    """They are taken in or rejected as any other; no message, log or page holds what could drive a terminal."""
    watcher = house.watcher()
    text = ORDER.format(job="H-101", pieces=6)
    path = Path(os.fsdecode(os.fsencode(house.layout.inbox) + b"/" + name))
    path.write_text(text if good else text.replace("tee", "teh"), "utf-8")
    house.settle(watcher)
    assert house.events("received", "rejected") == ["received H-101" if good else "rejected H-101"]
    (kept,) = (house.layout.done if good else house.layout.rejected).glob("*/*[!x].yaml")
    assert os.fsencode(kept.name)[:5] == name[:5]
    shown = [str(value) for _, details in house.told for value in details.values()]
    shown += [file.read_text("utf-8") for file in house.layout.rejected.rglob("*.error.*")]
    shown += [
        file.read_text("utf-8") for file in (*house.layout.received.glob("*"), house.layout.out / "status.json")
    ]
    for text in shown:
        assert not set(text) & {"\x1b", "\x00", "\N{RIGHT-TO-LEFT OVERRIDE}"}
    with house.ledger() as ledger:
        assert all("\n" not in drop.name for drop in ledger.waiting())
