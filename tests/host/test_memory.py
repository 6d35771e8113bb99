"""A week's papers are never in memory together, whichever way they go."""

import tracemalloc
from collections.abc import Callable
from pathlib import Path

import pytest

from pipeline.ledger import Ledger
from pipeline.model.run import RunKind
from pipeline.outbox import deliver_run
from pipeline.request import LEDGER_FILE
from pipeline.run import run
from tests.host.folder import add_plugin, request, write

EACH = 100_000

PAPERS = f"""
import tracemalloc
from random import Random
from pipeline.model.document import Audience, Document

@hookimpl
def make_documents(run):
    # What went before, reading and planning, is another matter.
    tracemalloc.start()
    # As many papers as pieces were ordered, of bytes that cannot be packed any smaller.
    draw = Random(1)
    for number in range(run.orders[0].quantity):
        content = draw.randbytes({EACH})
        yield Document(path=f"office/{{number}}.bin", title="Paper", content=content, audience=Audience.OFFICE)
"""


def anew(shop: Path) -> None:
    """A new run: made, recorded, delivered."""
    run(request(shop))


def quoted(shop: Path) -> None:
    """A quote: made and delivered."""
    run(request(shop, RunKind.QUOTE))


def restored(shop: Path) -> None:
    """Papers read from the ledger, delivered where they were lost and compared where they lie."""
    label = run(request(shop)).folder.rpartition("/")[2]
    tracemalloc.stop()
    with Ledger.open(shop / LEDGER_FILE) as ledger:
        tracemalloc.start()
        for _ in range(2):
            deliver_run(ledger, label, shop / "elsewhere")


@pytest.mark.parametrize("way", [anew, quoted, restored])
def test_ten_times_the_papers_take_no_more_memory(shop: Path, way: Callable[[Path], None]) -> None:
    """What is held beside the one paper that is being made or written does not grow with their number."""
    add_plugin(shop, PAPERS)
    # The first time loads modules that the others find.
    _, few, many = (peak_of(shop, papers, way) for papers in (1, 4, 40))
    assert few > EACH
    assert many - few < 3 * EACH


def peak_of(shop: Path, papers: int, way: Callable[[Path], None]) -> int:
    """The most memory, in bytes, that Python's own objects took from the first paper on."""
    for old in (shop / "week").iterdir():
        old.unlink()
    write(shop, f"H-{papers:03}", pieces=papers)
    try:
        way(shop)
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
