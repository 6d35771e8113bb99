"""What the shop's own hands cost: standard times at the shop's rate, whoever works and however long it takes."""

from datetime import timedelta
from fractions import Fraction

from attrs import frozen

from pipeline.model.money import Money, rounded
from pipeline.model.order import Line
from pipeline.model.press import PressTask
from pipeline.shop import Shop

_HOUR = timedelta(hours=1) // timedelta(microseconds=1)


@frozen(kw_only=True)
class LabourCost:
    """Work on the pieces, and setting up the runs."""

    pieces: Money
    set_up: Money


def hours(time: timedelta) -> Fraction:
    """A duration in hours, exact."""
    return Fraction(time // timedelta(microseconds=1), _HOUR)


def labour_of(line: Line, tasks: tuple[PressTask, ...], shop: Shop) -> LabourCost:
    """The labour of one line: its runs at the press, and finishing (quality check, fold, bag) each piece.

    Changing platens and heating up belong to the shop's week, not to a line: they are paid by overhead.
    """
    set_up = sum((task.set_up for task in tasks), timedelta())
    pressing = sum((task.labour for task in tasks), timedelta()) - set_up
    finishing = line.quantity * shop.times.finish
    return LabourCost(
        pieces=rounded(hours(pressing + finishing) * shop.rates.labour_per_hour),
        set_up=rounded(hours(set_up) * shop.rates.labour_per_hour),
    )
