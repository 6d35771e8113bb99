"""When a search ends. A rule is asked with the number of steps done and says which share of the search that is.

Rules count steps, never seconds, so that the same input gives the same schedule on every machine.
"""

from __future__ import annotations

from collections.abc import Callable

Stop = Callable[[int], float]
"""(steps done) -> share of the search that is over; 1.0 or more ends it."""


def iterations(number: int) -> Stop:
    """Stop after this many steps; 0 keeps what the dispatching rules found."""
    if number <= 0:
        return lambda _done: 1.0
    return lambda done: done / number
