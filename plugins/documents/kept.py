"""What is dear to make and asked for again: kept, up to a number of bytes."""

from collections.abc import Callable, Sized
from typing import Generic, TypeVar

V = TypeVar("V", bound=Sized)


class Kept(Generic[V]):
    """Values by a key, each made when it is first asked for; of the last ones used, `most` bytes are kept.

    A value's length is its bytes.
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._kept: dict[str, V] = {}
        self._size = 0

    def get(self, key: str, make: Callable[[], V]) -> V:
        """What is kept for `key`, or else what `make` gives."""
        value = self._kept.pop(key, None)
        if value is None:
            value = make()
            self._size += len(value)
        # A dict keeps its order: first stands what was not used for the longest time.
        self._kept[key] = value
        while self._size > self._most:
            self._size -= len(self._kept.pop(next(iter(self._kept))))
        return value
