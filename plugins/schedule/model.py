"""What the scheduler is given and what it answers: whole numbers and indices, frozen, nothing of orders or files.

Time is counted in ticks from a zero that the caller chooses (the stage uses seconds). A *setting* is all that a
press has to be changed to between two runs (platen, pad, pressure, temperature), as one index; what a change
costs is a table per press. *Tools* (platens and pads) exist in a limited number of copies and stay on a press
until another press needs them.
"""

from __future__ import annotations

from attrs import field, frozen

Span = tuple[int, int]
"""Half-open stretch of time (from, to) in ticks."""

Lists = tuple[tuple[int, ...], ...]
"""Per press, the runs in the order in which it does them. The whole of a decision: times follow from it."""


@frozen(kw_only=True)
class Option:
    """One way to do a run: on this press, with this setting, in this many ticks of pressing."""

    press: int
    setting: int
    work: int


@frozen(kw_only=True)
class Run:
    """So many pieces of one garment with one print: pressed without another run between.

    The run is *done* when it has cooled for `cool` ticks after pressing and then been peeled for `peel` ticks by
    an operator; `rack` slots are taken from the change-over until then. It may begin at `release`, and when the
    runs `after` (other places on the same garment) are done; it is late after `due`, `weight` per tick.
    """

    options: tuple[Option, ...]
    due: int
    weight: int = 1
    release: int = 0
    after: tuple[int, ...] = ()
    cool: int = 0
    peel: int = 0
    rack: int = 0


@frozen(kw_only=True)
class Press:
    """A heat press: when it may work, its setting at time zero, and ticks to change from setting to setting.

    A press that opens by itself leaves the operator a hand for other presses: its runs take one of the
    operator's places. One that does not takes all of them.
    """

    calendar: tuple[Span, ...]
    setting: int
    changeover: tuple[tuple[int, ...], ...] = field(repr=False)
    opens_itself: bool = False


@frozen(kw_only=True)
class Operator:
    """A person: hours of work, and how many presses they tend at once."""

    calendar: tuple[Span, ...]
    places: int = 1


@frozen(kw_only=True)
class Tool:
    """A platen or pad: copies in the shop, and ticks to put one back on a press that it was taken from."""

    copies: int
    mount: int = 0


@frozen(kw_only=True)
class Weights:
    """What a tick of each costs: lateness (times the run's weight), change-over, the end of the last run."""

    tardiness: int = 100
    changeover: int = 1
    finish: int = 0


@frozen(kw_only=True)
class Placed:
    """When one run happens: change-over from `setup`, pressing `start` to `end`, peeling from `peel` to `done`.

    Without peeling `peel` equals `done`, the moment the pieces are cool. The operators are None where the
    problem names none (and `peeler` where nothing is peeled). `changeover` is working time, breaks left out;
    `remounted` are the tools that had been taken from this press and were put back.
    """

    run: int
    press: int
    setup: int
    start: int
    end: int
    peel: int
    done: int
    operator: int | None
    peeler: int | None
    changeover: int
    remounted: tuple[int, ...] = ()


@frozen(kw_only=True)
class Problem:
    """All that has to be pressed and all that there is to press it with.

    `tools_of[setting]` names the tools that a setting holds. Without operators (an abstract instance) presses
    run unattended. `rack` is the number of slots for pieces that cool. `fixed` are runs already begun: they
    stand as they are. `frozen` are, per press, the runs that must come next, in that order.
    """

    runs: tuple[Run, ...]
    presses: tuple[Press, ...]
    operators: tuple[Operator, ...] = ()
    tools: tuple[Tool, ...] = ()
    tools_of: tuple[tuple[int, ...], ...] = ()
    rack: int = 0
    weights: Weights = Weights()
    fixed: tuple[Placed, ...] = ()
    frozen: Lists = ()


@frozen(kw_only=True)
class Cost:
    """The parts of the objective: weighted lateness, change-over, end of the last run; in ticks."""

    tardiness: int
    changeover: int
    finish: int

    def total(self, weights: Weights) -> int:
        """The one number that is minimised."""
        return (
            weights.tardiness * self.tardiness
            + weights.changeover * self.changeover
            + weights.finish * self.finish
        )


@frozen(kw_only=True)
class Result:
    """The answer: lists per press, when each run happens (by run index), what it costs, how long was searched."""

    lists: Lists
    placed: tuple[Placed, ...] = field(repr=False)
    cost: Cost
    total: int
    iterations: int
