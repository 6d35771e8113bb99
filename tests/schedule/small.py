"""Small problems in whole numbers, for tests to be worked out on paper."""

from collections.abc import Sequence

from plugins.schedule.decoder import decode
from plugins.schedule.model import Option, Placed, Press, Problem, Run, Weights
from plugins.schedule.solve import result_of
from plugins.schedule.tables import Tables

ALWAYS = ((0, 1 << 40),)
MAKESPAN = Weights(tardiness=0, changeover=0, finish=1)
LATENESS = Weights(tardiness=1, changeover=0, finish=0)


def press(changeover: Sequence[Sequence[int]] = ((0,),), **changes: object) -> Press:
    """A press that is always open and has setting 0 at first."""
    table = tuple(tuple(row) for row in changeover)
    return Press(**{"calendar": ALWAYS, "setting": 0, "changeover": table, **changes})  # type: ignore[arg-type]


def run(work: int, on: Sequence[int] = (0,), setting: int = 0, due: int = 1 << 40, **changes: object) -> Run:
    """A run of so much work on any of the presses."""
    options = tuple(Option(press=index, setting=setting, work=work) for index in on)
    return Run(options=options, due=due, **changes)  # type: ignore[arg-type]


def replayed(problem: Problem, *lists: Sequence[int]) -> tuple[Placed, ...] | None:
    """What becomes of the lists, by run; None when they wait in a circle."""
    floor = decode(Tables(problem), [list(each) for each in lists])
    return None if floor is None else result_of(floor, 0).placed
