"""A command ends at a named place, as by a power cut; given again, nothing is lost and nothing is there twice."""

import sqlite3
from pathlib import Path

import pytest

import plugins
from pipeline.failpoints import KILLED
from tests.books import journey
from tests.host import plain
from tests.mortal import ended

pytestmark = pytest.mark.untraced

# Place and which time it is reached: within each of the acts, and around its delivery.
POINTS = [
    *(f"ledger.{place}:{time}" for place in ("vouchers", "given") for time in (1, 2, 3, 4)),
    *(f"ledger.paid:{time}" for time in (1, 3)),
    *(f"ledger.recorded:{time}" for time in (1, 2, 3, 4, 5)),
    *(f"ledger.mark:{time}" for time in (1, 3, 5)),
    *(f"output.{place}:{time}" for place in ("staged", "renamed") for time in (1, 3, 6)),
    "file.written:2",
    "ledger.marked:5",
]


def state(shop: Path) -> tuple[list[str], dict[str, bytes]]:
    """The ledger as SQL text, and every paper."""
    connection = sqlite3.connect(shop / "ledger.sqlite")
    rows = list(connection.iterdump())
    connection.close()
    out = shop / "out"
    return rows, {p.relative_to(out).as_posix(): p.read_bytes() for p in sorted(out.rglob("*")) if p.is_file()}


@pytest.fixture(name="clean", scope="module")
def _clean(tmp_path_factory: pytest.TempPathFactory) -> tuple[list[str], dict[str, bytes]]:
    """What is there when nothing goes wrong; the commands given twice change nothing."""
    shop = journey.prepare(tmp_path_factory.mktemp("clean") / "shop")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(plugins, "STAGES", plain.STAGES)
        patch.chdir(shop)
        assert journey.travel() == [0] * len(journey.COMMANDS)
        once = state(shop)
        assert journey.travel() == [0] * len(journey.COMMANDS)
        assert state(shop) == once
    assert {"credit-2026-12-08-2/c2026-003.txt", "statements-2026-12-08/harbour-bakery.txt"} <= set(once[1])
    return once


@pytest.mark.parametrize("point", POINTS)
def test_a_crash_leaves_no_trace(
    point: str, clean: tuple[list[str], dict[str, bytes]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same numbers, amounts, stock and papers as without it."""
    shop = journey.prepare(tmp_path / "shop")
    monkeypatch.setattr(plugins, "STAGES", plain.STAGES)
    monkeypatch.chdir(shop)
    assert ended(point, journey.travel_plainly, shop) == KILLED
    assert journey.travel() == [0] * len(journey.COMMANDS)
    assert state(shop) == clean
    assert not list(shop.rglob("*.part"))
