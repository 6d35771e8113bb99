"""Invented weeks of prints for measuring the grouping: reproducible from a size and a seed."""

from random import Random
from typing import NamedTuple

from plugins.group.problem import Medium, Print, Problem, Roll, Sheet

INCH = 25_400
SHEET = Sheet(
    width=23 * INCH // 2,
    height=18 * INCH,
    margin=INCH // 4,
    gap=INCH // 4,
    prices=((1, 1540), (10, 1078), (25, 792), (50, 616), (100, 495)),
)
"""11.5 x 18 in at prices that fall by a fifth to a third with each step (common practice, no source)."""
ROLL = Roll(
    width=22 * INCH,
    step=INCH,
    longest=200 * INCH,
    margin=INCH // 4,
    gap=INCH // 4,
    prices=((INCH, 110), (120 * INCH, 90), (300 * INCH, 75), (600 * INCH, 62)),
)
"""22 in wide, by the inch: dearer by area than many equal sheets, cheaper than few (invented)."""


class Week(NamedTuple):
    """A problem and whose each print is."""

    problem: Problem
    owners: tuple[int, ...]


def invented_week(prints: int, seed: int, *, roll: bool = False) -> Week:
    """A week of so many prints: customers of one to seven prints each, most for the same number of garments.

    With `roll`, the transfer is also sold by length.
    """
    draw = Random(f"sheets {prints} {seed}")
    made: list[Print] = []
    owners: list[int] = []
    customer = 0
    while len(made) < prints:
        garments = draw.choices((6, 12, 18, 24, 36, 48, 72, 100, 144, 250), (2, 4, 3, 5, 4, 5, 3, 2, 2, 1))[0]
        for _ in range(min(draw.randint(1, 7), prints - len(made))):
            pieces = garments if draw.random() < 0.6 else max(2, garments * draw.randint(50, 100) // 100)
            spares = 1 if pieces < 13 else -(-pieces // 25)
            width, height = _size(draw)
            made.append(Print(width=width, height=height, copies=pieces + spares))
            owners.append(customer)
        customer += 1
    medium = Medium(sheets=(SHEET, ROLL) if roll else (SHEET,))
    return Week(Problem(prints=tuple(made), media=(medium,)), tuple(owners))


def _size(draw: Random) -> tuple[int, int]:
    """Width and height in quarter inches: chest marks, sleeve runs, fronts and backs."""
    quarters = INCH // 4
    kind = draw.random()
    if kind < 0.55:
        return draw.randint(9, 22) * quarters, draw.randint(8, 25) * quarters
    if kind < 0.75:
        return draw.randint(8, 14) * quarters, draw.randint(28, 48) * quarters
    return draw.randint(28, 42) * quarters, draw.randint(20, 52) * quarters
