"""Finding things in a tuple without walking through it each time: a week has thousands of lines.

Values keep their indexes in a `cached_property`: it is no field, so it is neither compared, printed nor written.
"""

from collections.abc import Callable, Hashable, Iterable
from typing import TypeVar

K = TypeVar("K", bound=Hashable)
V = TypeVar("V")


def grouped(things: Iterable[V], key: Callable[[V], K]) -> dict[K, list[V]]:
    """The things by their key, each group and the groups in the order in which they come."""
    groups: dict[K, list[V]] = {}
    for thing in things:
        groups.setdefault(key(thing), []).append(thing)
    return groups
