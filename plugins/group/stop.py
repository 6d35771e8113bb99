"""When to stop: by iterations only, so that the same seed gives the same plan on every machine."""

from collections.abc import Callable

StopRule = Callable[[int, int], float]
"""Given (iterations done, cost of the best plan so far), says what share of the time is over; 1 is to stop."""


def after(iterations: int) -> StopRule:
    """Return a rule that stops after so many iterations."""
    return lambda done, _cost: done / iterations if iterations else 1.0


def when_stale(iterations: int) -> StopRule:
    """Return a rule that stops when so many iterations in a row have found nothing better."""
    best: list[int] = []
    since = [0]

    def stale(done: int, cost: int) -> float:
        if not best or cost < best[0]:
            best[:] = [cost]
            since[0] = done
        return float(done - since[0] >= iterations)

    return stale


def first_of(*rules: StopRule) -> StopRule:
    """Return a rule that stops as soon as one of `rules` does (each of them sees every iteration)."""
    return lambda done, cost: max([rule(done, cost) for rule in rules])
