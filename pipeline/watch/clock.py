"""The clock, handed in at the edge: a test drives one of its own."""

import threading
import time
from datetime import UTC, datetime
from typing import Protocol


class Clock(Protocol):
    """What time it is, and waiting."""

    def now(self) -> datetime:
        """The time of day, UTC. People set it, forward and back."""

    def monotonic(self) -> float:
        """Seconds since some moment; it never goes back."""

    def wait(self, seconds: float) -> None:
        """Come back after so many seconds, or earlier when the service is to stop."""


class SystemClock:
    """The machine's. `stop` wakes who waits."""

    def __init__(self, stop: threading.Event) -> None:
        self._stop = stop

    def now(self) -> datetime:
        """See `Clock`, as for the following."""
        return datetime.now(UTC)

    def monotonic(self) -> float:
        """Seconds since the machine started."""
        return time.monotonic()

    def wait(self, seconds: float) -> None:
        """Wait."""
        self._stop.wait(seconds)
