"""A shop with a run behind it, and the command."""

from collections.abc import Iterator
from pathlib import Path

import pytest

import plugins
from pipeline.books.counter import Counter, open_counter
from pipeline.run import run
from tests.host import folder, plain
from tests.host.test_cli import Peelwright


@pytest.fixture(name="shop")
def _shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A shop whose two orders of six tees at 9.00, 5.5 % tax, were run by the plain stages on the Monday."""
    monkeypatch.setattr(plugins, "STAGES", plain.STAGES)
    shop = folder.make_shop(tmp_path / "shop")
    for job in ("H-101", "H-102"):
        folder.write(shop, job)
    monkeypatch.chdir(shop)
    run(folder.request(shop))
    return shop


@pytest.fixture(name="counter")
def _counter(shop: Path) -> Iterator[Counter]:
    """The shop with its ledger open."""
    with open_counter(shop) as counter:
        yield counter


@pytest.fixture(name="peelwright")
def _peelwright(capsys: pytest.CaptureFixture[str]) -> Peelwright:
    """The command."""
    return Peelwright(capsys)
