"""The watcher ends at every named place in turn; started again, the day must end as if nothing had happened."""

import re
from pathlib import Path

import pytest

import pipeline
from pipeline.failpoints import KILLED
from pipeline.ledger import Ledger
from pipeline.request import LEDGER_FILE
from tests.mortal import ended
from tests.watch import journey

pytestmark = pytest.mark.untraced

ROOT = Path(pipeline.__file__).parent
REACH = re.compile(r'\breach\("([a-z.]+)"\)')
FOLDER = sorted(
    {
        point
        for file in ROOT.rglob("*.py")
        for point in REACH.findall(file.read_text("utf-8"))
        if point[:6] == "watch."
    }
)
OTHERS = (
    "file.written",
    "ledger.begin",
    "ledger.jobs",
    "ledger.written",
    "ledger.recorded",
    "ledger.mark",
    "output.renamed",
)
"""What a closing passes; tests/ledger/test_crash.py goes through all of those."""

TIMES = [(point, 1) for point in (*FOLDER, *OTHERS)] + [(point, 3) for point in FOLDER]


def killed_at(point: str, shop: Path, owner: str, naively: bool = False) -> int:
    """Spend the day up to a failpoint; the exit code."""
    return ended(point, journey.mortal_day, shop, f"1-{owner}", naively)


def tree(folder: Path) -> dict[str, bytes]:
    """Every file below `folder`, by its path. Times of receipt and what hangs on them may differ after a crash."""
    files = (path for path in sorted(folder.rglob("*")) if path.is_file() and path.name not in PAGES)
    return {path.relative_to(folder).as_posix(): without_times(path.read_bytes()) for path in files}


PAGES = ("status.html", "status.json")


def without_times(content: bytes) -> bytes:
    """An acknowledgement without its moment."""
    return re.sub(rb"received  \S+ \S+", b"received", content)


def state(shop: Path) -> dict[str, object]:
    """All that counts when the day is over."""
    with Ledger.open(shop / LEDGER_FILE) as ledger:
        assert ledger.check() == ()
        assert ledger.undelivered() == ()
        waiting = ledger.waiting_jobs()
    return {
        "waiting": waiting,
        **{name: tree(shop / name) for name in ("out", "done", "rejected")},
        "left": [path.name for name in ("inbox", "work") for path in (shop / name).glob("[!.]*")],
        "parts": [path.name for path in shop.rglob("*.part")],
    }


@pytest.fixture(name="clean", scope="module")
def _clean(tmp_path_factory: pytest.TempPathFactory) -> dict[str, object]:
    """The day without a crash, and what it must have come to."""
    shop = journey.prepare(tmp_path_factory.mktemp("clean"))
    with journey.plain_stages():
        journey.day(shop, "1-a")
    found = state(shop)
    assert found["waiting"] == ()
    assert found["left"] == []
    out = found["out"]
    assert isinstance(out, dict)
    assert out["2026-W49/orders/h-101.txt"] == b"2026-0001 H-101 9\n"
    assert out["2026-W49/orders/h-102.txt"] == b"2026-0002 H-102 6\n"
    return found


def test_the_points_are_found() -> None:
    """Around a claim, around what the ledger keeps, around a move: or this tests nothing."""
    assert {"watch.claimed", "watch.counted", "watch.kept", "watch.acknowledged", "watch.moved"} <= set(FOLDER)


@pytest.mark.parametrize(("point", "times"), TIMES)
def test_a_crash_leaves_no_trace(point: str, times: int, clean: dict[str, object], tmp_path: Path) -> None:
    """Each order once, each number once, the same papers; inbox and work empty; once more it changes nothing."""
    shop = journey.prepare(tmp_path)
    code = killed_at(f"{point}:{times}", shop, "a")
    assert code == KILLED or (code == 0 and times > 1)
    with journey.plain_stages():
        journey.day(shop, "1-b")
        assert state(shop) == clean
        if times == 1:
            journey.day(shop, "1-c")
            assert state(shop) == clean


def test_killed_again_and_again(clean: dict[str, object], tmp_path: Path) -> None:
    """At the same order, before its attempt is counted and after it: at the third it is put aside, others go on."""
    shop = journey.prepare(tmp_path)
    for owner in "abc":
        assert killed_at("watch.read:1", shop, owner) == KILLED
    with journey.plain_stages():
        journey.day(shop, "1-d")
    (words,) = (path for path in (shop / "rejected").rglob("h-101*.error.txt"))
    assert "in 3 attempts: the program was ended from outside" in words.read_text("utf-8")
    assert not [path for name in ("inbox", "work") for path in (shop / name).glob("[!.]*")]


def test_a_naive_watcher_is_caught(clean: dict[str, object], tmp_path: Path) -> None:
    """One that puts the file aside before the ledger has it loses the order, and the same comparison must say so."""
    shop = journey.prepare(tmp_path)
    assert killed_at("naive.moved:2", shop, "a", naively=True) == KILLED
    with journey.plain_stages():
        journey.day(shop, "1-b")
    found = state(shop)
    assert found != clean
    assert isinstance(found["out"], dict)
    assert "2026-W49/orders/h-102.txt" not in found["out"]
