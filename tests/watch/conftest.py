"""What the tests of the watched folder share."""

from pathlib import Path

import pytest

import plugins
from tests.host import folder, plain
from tests.watch.house import House


@pytest.fixture(name="house")
def _house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> House:
    """A watched shop with the plain stages, in which nothing was dropped yet."""
    monkeypatch.setattr(plugins, "STAGES", plain.STAGES)
    return House(root=folder.make_shop(tmp_path / "shop"))
