"""Numbers drawn at random that are the same in C and in Python (loops/chance.h)."""

from collections.abc import Iterator

MASK = 2**64 - 1


def numbers(state: int) -> Iterator[float]:
    """Yield numbers from 0 to 1 (Steele, Lea & Flood 2014, Fast splittable pseudorandom number generators)."""
    while True:
        state = (state + 0x9E3779B97F4A7C15) & MASK
        z = (state ^ (state >> 30)) * 0xBF58476D1CE4E5B9 & MASK
        z = (z ^ (z >> 27)) * 0x94D049BB133111EB & MASK
        yield ((z ^ (z >> 31)) >> 11) * 2.0**-53
