"""Numbers drawn at random that are the same in C and in Python (loops/chance.h)."""

from collections.abc import Sequence
from typing import TypeVar

MASK = 2**64 - 1
T = TypeVar("T")


class Chance:
    """Draws at random from a seed (Steele, Lea & Flood 2014, Fast splittable pseudorandom number generators).

    `state` is all that the next draws hang on.
    """

    def __init__(self, seed: int) -> None:
        self.state = seed & MASK

    def random(self) -> float:
        """Return a number from 0 to 1, never 1 itself."""
        self.state = state = (self.state + 0x9E3779B97F4A7C15) & MASK
        z = (state ^ (state >> 30)) * 0xBF58476D1CE4E5B9 & MASK
        z = (z ^ (z >> 27)) * 0x94D049BB133111EB & MASK
        return ((z ^ (z >> 31)) >> 11) * 2.0**-53

    def below(self, count: int) -> int:
        """Return a whole number from 0 to one less than `count`."""
        return int(self.random() * count)

    def choice(self, some: Sequence[T]) -> T:
        """Return one of `some`."""
        return some[int(self.random() * len(some))]

    def sample(self, some: Sequence[T], count: int) -> list[T]:
        """Return so many of `some`, in random order."""
        drawn = list(some)
        for k in range(count):
            other = k + int(self.random() * (len(drawn) - k))
            drawn[k], drawn[other] = drawn[other], drawn[k]
        return drawn[:count]
