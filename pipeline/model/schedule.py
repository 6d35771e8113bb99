"""Who presses what, on which press and platen, when."""

from datetime import datetime, timedelta
from fractions import Fraction
from functools import cached_property

from attrs import frozen


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


@frozen(kw_only=True)
class LateOrder:
    """An order that cannot be ready in time by this schedule."""

    job: str
    due: datetime
    ready: datetime
    #: What it waits for: "transfers", "blanks", "press", "platen", "operator" or "working hours".
    waits_for: str

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
class PressSchedule:
    """The batch's runs in order of their start, and what is late."""

    start: datetime
    runs: tuple[PressRun, ...]
    late: tuple[LateOrder, ...]
    presses: tuple[PressUse, ...]
    iterations: int
    #: Proven lower bound of the weighted tardiness in seconds; None = gap unknown.
    bound: int | None = None

    def run_of(self, task: str) -> PressRun:
        """The run of a task. Raises KeyError."""
        return self._by_task[task]

    @cached_property
    def _by_task(self) -> dict[str, PressRun]:
        return {run.task: run for run in self.runs}
