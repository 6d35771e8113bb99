"""Who presses what, on which press and platen, when."""

from datetime import date, datetime, timedelta
from enum import StrEnum
from fractions import Fraction
from functools import cached_property

from attrs import frozen


class RunState(StrEnum):
    """Where a run stands when a week is planned again; in a new week all are planned."""

    PLANNED = "planned"
    BEGUN = "begun"
    FINISHED = "finished"


@frozen(kw_only=True)
class PressRun:
    """One task with its press, its people and its times. All times are zone-aware."""

    task: str
    press: str
    platen: str
    pad: str
    operator: str
    #: What this press is set to for the recipe's pressure.
    pressure_setting: str
    #: What is changed before the run, in words ("platen 16x20 -> 6x6", "heat 143 C -> 160 C").
    changes: tuple[str, ...]
    change_start: datetime
    start: datetime
    #: The last piece leaves the press.
    end: datetime
    #: The last piece is cooled and peeled; equal to `end` for a hot peel.
    done: datetime
    #: Cold peel: slots of the rack that the run takes, and when who peels the pieces that are left on it when
    #: the press is done (the others are peeled as their slots are needed again).
    rack_slots: int = 0
    peel_start: datetime | None = None
    peeler: str = ""
    state: RunState = RunState.PLANNED


@frozen(kw_only=True)
class Begun:
    """A task that a press has been turned to, as the floor reports it. All times are zone-aware."""

    task: str
    press: str
    operator: str
    #: The press was turned to it, change-over included; the last piece left the press (None: still on it).
    started: datetime
    finished: datetime | None = None
    #: Pieces pressed so far; None: as many as planned by now.
    pressed: int | None = None
    #: The last piece was peeled (cold peel); None: not yet. By whom; "": by the operator.
    peeled: datetime | None = None
    peeler: str = ""


@frozen(kw_only=True)
class SoFar:
    """A week that is planned again: when it began, the runs as they were planned last, and what has begun."""

    start: datetime
    runs: tuple[PressRun, ...]
    begun: tuple[Begun, ...]


class HelpKind(StrEnum):
    """A change of the week that was tried."""

    OVERTIME = "overtime"
    GOODS = "goods"
    PLATEN = "platen"
    PAD = "pad"
    OPERATOR = "operator"
    PRESS = "press"


@frozen(kw_only=True)
class Help:
    """What makes a late order ready earlier, found by scheduling the changed week.

    An hour of overtime for all on `day`; the late orders' goods a working day earlier; one more platen or pad
    (`name`), operator, or press like the one named, with its platen. `delays` are the orders that would be late by
    it, or later than they are.
    """

    kind: HelpKind
    name: str
    day: date | None
    ready: datetime
    in_time: bool
    delays: tuple[str, ...] = ()


@frozen(kw_only=True)
class LateOrder:
    """An order that cannot be ready in time by this schedule."""

    job: str
    due: datetime
    ready: datetime
    #: What it waits for: "transfers", "blanks", "press", "platen", "operator" or "working hours".
    waits_for: str
    #: The best of what was tried, in time first; empty when nothing helps or nothing was tried.
    helps: tuple[Help, ...] = ()

    @property
    def late_by(self) -> timedelta:
        """How much too late."""
        return self.ready - self.due


@frozen(kw_only=True)
class PressUse:
    """How one press spends the time from the first to the last run of the schedule."""

    press: str
    pressing: timedelta
    changing: timedelta
    #: Pressing and changing as a share of the press's working time until its last run; 0 when unused.
    share: Fraction


@frozen(kw_only=True)
class OperatorUse:
    """How one operator spends the working time until the last run or peeling that is theirs."""

    operator: str
    #: At one press or more; peeling is counted when no press is tended.
    tending: timedelta
    peeling: timedelta
    #: Both as a share of the working time; 0 for who has nothing to do.
    share: Fraction


@frozen(kw_only=True)
class PressSchedule:
    """The batch's runs in order of their start, and what is late."""

    start: datetime
    #: The moment from which on it was planned again; None for a new week.
    as_of: datetime | None = None
    runs: tuple[PressRun, ...]
    late: tuple[LateOrder, ...]
    presses: tuple[PressUse, ...]
    iterations: int
    #: Proven lower bound of the weighted tardiness in seconds; None = gap unknown.
    bound: int | None = None
    operators: tuple[OperatorUse, ...] = ()
    #: Changes of the week that were tried for the orders that are late.
    tried: int = 0

    def run_of(self, task: str) -> PressRun:
        """The run of a task. Raises KeyError."""
        return self._by_task[task]

    @cached_property
    def _by_task(self) -> dict[str, PressRun]:
        return {run.task: run for run in self.runs}
