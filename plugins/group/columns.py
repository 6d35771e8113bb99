"""What the bound's linear program is made of: columns, and the limits by which its branches differ."""

from typing import Any, NamedTuple

from plugins.group.pricing import Numbers

Group = tuple[int, int, int]
"""The number of a pricer, and by their positions there a price step and a key."""


class Column(NamedTuple):
    """A column in the program: `quantity` sheets with `counts` of the prints of a pricer.

    `variable` is its amount in the program.
    """

    variable: Any
    quantity: int
    group: Group
    counts: Numbers


class Place(NamedTuple):
    """What a limit counts: columns of one pricer of at least `start` sheets, with one key or (None) with any."""

    pricer: int
    start: int
    key: int | None

    def holds(self, column: Column) -> bool:
        """Return whether `column` is one of those counted."""
        number, _, key = column.group
        return number == self.pricer and column.quantity >= self.start and self.key in (None, key)


class Limit(NamedTuple):
    """There are at least `least` and at most `most` layouts of `place`."""

    place: Place
    least: int = 0
    most: int | None = None


class Branch(NamedTuple):
    """A part of all plans: `bound` is what is proven for it; media are `shut` or must be `open`."""

    bound: float
    limits: tuple[Limit, ...] = ()
    shut: frozenset[int] = frozenset()
    open: frozenset[int] = frozenset()
