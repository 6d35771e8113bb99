"""The process ends at every named place in turn; run again, it must end as if nothing had happened."""

import re
from pathlib import Path

import pytest
from sqlalchemy.engine import URL

import pipeline
from pipeline.failpoints import KILLED
from pipeline.ledger import Ledger
from pipeline.ledger.database import Place
from pipeline.outbox import deliver_waiting
from tests.builders import MONDAY
from tests.ledger import journey
from tests.ledger.databases import dump, needs_server, place_for
from tests.mortal import ended

pytestmark = pytest.mark.untraced

ROOT = Path(pipeline.__file__).parent
POINTS = sorted(
    {
        point
        for file in ROOT.rglob("*.py")
        for point in re.findall(r'\breach\("([a-z.]+)"\)', file.read_text("utf-8"))
        # Those of the watched folder have a journey of their own: tests/watch/test_crash.py.
        if not point.startswith("watch.")
    }
)
NAIVE = ("naive.counted", "naive.written", "naive.done")


def prepared(folder: Path) -> Path:
    """An empty shop in whose first run folder somebody has left a note."""
    (folder / "out" / "2026-W49").mkdir(parents=True)
    (folder / "out" / "2026-W49" / "notes.txt").write_text("call the ferry line")
    return folder


def tree(folder: Path) -> dict[str, bytes]:
    """Every file below `folder`, by its path."""
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def rows(folder: Path, place: Place | None = None) -> dict[str, list[tuple[object, ...]]]:
    """The whole ledger; nothing for a writer that has none."""
    place = place or folder / "ledger.sqlite"
    return {} if isinstance(place, Path) and not place.exists() else dump(place)


def violations(folder: Path, clean: Path, place: Place | None = None) -> list[str]:
    """What is worse in `folder`, run again after a crash, than in `clean`, run once."""
    found = []
    if tree(folder / "out") != tree(clean / "out"):
        found.append("the papers differ")
    if list(folder.rglob("*.part")):
        found.append("temporary files are left")
    if rows(folder, place) != rows(clean):
        found.append("the ledger differs")
    papers = (folder / "out").glob("*/invoices/*.txt")
    numbers = sorted(int(paper.read_text().split()[0].split("-")[1]) for paper in papers)
    if numbers != list(range(1, 1 + sum(map(len, journey.BATCHES)))):
        found.append(f"the numbers are {numbers}")
    return found


def test_the_points_are_found() -> None:
    """The search for failpoints must see those around the transaction and the delivery, or it tests nothing."""
    assert {"ledger.written", "ledger.recorded", "output.staged", "output.replaced", "file.written"} <= set(
        POINTS
    )


@pytest.fixture(scope="module")
def clean(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What is there when nothing goes wrong."""
    folder = prepared(tmp_path_factory.mktemp("clean"))
    journey.with_ledger(folder)
    return folder


@pytest.mark.parametrize("times", [1, 2])
@pytest.mark.parametrize("point", POINTS)
def test_a_crash_leaves_no_trace(point: str, times: int, clean: Path, tmp_path: Path) -> None:
    """Numbers 1..n, the same papers and the same ledger, wherever the process ended."""
    folder = prepared(tmp_path)
    code = ended(f"{point}:{times}", journey.with_ledger, folder)
    assert code == KILLED or (times > 1 and code == 0)
    second = folder / "out" / "2026-W50"
    assert not second.exists() or tree(second) == tree(clean / "out" / "2026-W50"), (
        "a folder is whole or not there"
    )
    with Ledger.open(folder / "ledger.sqlite") as ledger:
        # Whatever is run next, and be it other jobs: what was recorded gets its papers.
        deliver_waiting(ledger, folder / "out")
        for label in ledger.read([], MONDAY).labels:
            assert tree(folder / "out" / label) == tree(clean / "out" / label)
    journey.with_ledger(folder)
    assert violations(folder, clean) == []
    with Ledger.open(folder / "ledger.sqlite") as ledger:
        assert ledger.check() == ()
        assert ledger.undelivered() == ()


@needs_server
@pytest.mark.parametrize("point", [point for point in POINTS if point.startswith("ledger.")])
def test_a_crash_leaves_no_trace_on_a_server(point: str, clean: Path, tmp_path: Path) -> None:
    """The same around each transaction of a server, which undoes what a client did not commit."""
    folder = prepared(tmp_path)
    with place_for("postgresql", folder) as place:
        assert isinstance(place, URL)
        assert ended(point, journey.with_ledger, folder, place) == KILLED
        journey.with_ledger(folder, place)
        assert violations(folder, clean, place) == []
        with Ledger.open(place) as ledger:
            assert ledger.check() == ()
            assert ledger.undelivered() == ()


def test_the_naive_writer_is_caught(tmp_path: Path) -> None:
    """The same harness must find fault with a writer that is at fault, or it would find none with anybody."""
    clean = prepared(tmp_path / "clean")
    journey.naively(clean)
    assert violations(clean, clean) == []
    caught = []
    for point in NAIVE:
        folder = prepared(tmp_path / point)
        assert ended(f"{point}:2", journey.naively, folder) == KILLED
        journey.naively(folder)
        caught += [point] if violations(folder, clean) else []
    assert caught == ["naive.counted", "naive.written"]
