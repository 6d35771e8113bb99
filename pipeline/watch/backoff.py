"""How long to wait after a failure: 1 s, and twice as long each time, up to a minute."""

from attrs import frozen

LONGEST = 60.0


@frozen
class _Failure:
    until: float
    delay: float
    fault: str


class Backoff:
    """What failed lately, by name. `now` is of a clock that never goes back."""

    def __init__(self) -> None:
        self._failures: dict[str, _Failure] = {}

    def failed(self, name: str, now: float, fault: str) -> bool:
        """Note a failure; true when it is news: the first, or another fault than before."""
        before = self._failures.get(name)
        delay = min(2 * before.delay, LONGEST) if before else 1.0
        self._failures[name] = _Failure(now + delay, delay, fault)
        return before is None or before.fault != fault

    def worked(self, name: str) -> None:
        """It works again."""
        self._failures.pop(name, None)

    def ready(self, name: str, now: float) -> bool:
        """True unless it failed and the wait is not over."""
        return name not in self._failures or now >= self._failures[name].until

    def forget(self, keep: set[str]) -> None:
        """Only these can still fail."""
        self._failures = {name: found for name, found in self._failures.items() if name in keep}

    @property
    def faults(self) -> tuple[str, ...]:
        """What does not work now, each fault once."""
        return tuple(dict.fromkeys(failure.fault for failure in self._failures.values()))
