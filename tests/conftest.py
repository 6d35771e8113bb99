"""What holds for every test: no network, and property tests that try the same examples each time."""

import socket
from typing import Any, NoReturn

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile(
    "repeatable",
    derandomize=True,
    deadline=None,
    max_examples=60,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
settings.register_profile("thorough", settings.get_profile("repeatable"), max_examples=1000)
settings.load_profile("repeatable")


@pytest.fixture(autouse=True)
def _no_network(monkeypatch: pytest.MonkeyPatch) -> None:
    """Peelwright never needs the network; a test that opens a connection fails."""

    def refuse(self: socket.socket, address: Any) -> NoReturn:
        raise AssertionError(f"a test tried to connect to {address}")

    monkeypatch.setattr(socket.socket, "connect", refuse)
