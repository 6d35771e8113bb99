"""What the host's tests share."""

from pathlib import Path

import pytest

import plugins
from tests.host import folder, plain


@pytest.fixture(name="shop")
def _shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A shop with two orders in the folder `week`, run by the plain stages."""
    monkeypatch.setattr(plugins, "STAGES", plain.STAGES)
    shop = folder.make_shop(tmp_path / "shop")
    for job in ("H-101", "H-102"):
        folder.write(shop, job)
    return shop
