"""What the tests of the ledger share."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from pipeline.ledger.database import Place
from tests.ledger.databases import KINDS, place_for


@pytest.fixture(name="place", params=KINDS)
def _place(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Place]:
    """Where the ledger lies, on each database in turn."""
    with place_for(request.param, tmp_path) as place:
        yield place
