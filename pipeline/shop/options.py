"""shop.yaml, options: how each stage is set."""

from enum import StrEnum
from fractions import Fraction

from attrs import field, frozen

from pipeline.model.measure import Percent, Temperature
from pipeline.problems import FromFile


class SharingRule(StrEnum):
    """How the purchase of transfers is shared out among the prints on the sheets."""

    PER_PRINT = "per-print"
    BY_AREA = "by-area"
    STAND_ALONE = "stand-alone"


@frozen(kw_only=True)
class ValidateOptions(FromFile):
    """Limits of the art check (pixels per inch at the printed size), of proportions, and of recipes.

    On a dyed polyester no recipe hotter than `dye_limit` is used: above it, dye wanders into the print. A print
    for a child's size is advised to be `youth_scale` of the grown-ups'.
    """

    warn_under_ppi: int = 300
    refuse_under_ppi: int = 150
    proportions: Percent = Percent(Fraction(2, 100))
    dye_limit: Temperature = Temperature(150_000)
    youth_scale: Percent = Percent(Fraction(75, 100))


@frozen(kw_only=True)
class GroupOptions(FromFile):
    """How long and how the grouping is searched. `guillotine`: layouts that straight cuts take apart."""

    iterations: int = 20_000
    seed: int = 1
    guillotine: bool = True


@frozen(kw_only=True)
class CostOptions(FromFile):
    """How the purchase of transfers is shared out."""

    sharing: SharingRule = SharingRule.STAND_ALONE


@frozen(kw_only=True)
class ScheduleOptions(FromFile):
    """How many changes of the schedule are tried, what rush weighs, and the rack for cold peel (slots per operator).

    When a week is planned again, runs that were to begin within `keep_minutes` stay next on their presses.
    A run of `split_from` pieces or more is cut into parts for several presses; 0 cuts none.
    A second of lateness (times the order's weight), of change-over, and until the last run ends costs the schedule
    `weigh_lateness`, `weigh_change_over` and `weigh_finish`: that sum is made small.
    What would help late orders is tried with `help_iterations` for all changes of the week together; 0 tries nothing.
    """

    iterations: int = 50_000
    seed: int = 1
    rush_weight: int = 4
    rack_slots: int = 24
    keep_minutes: int = 120
    help_iterations: int = 8000
    split_from: int = 0
    weigh_lateness: int = 10_000
    weigh_change_over: int = 100
    weigh_finish: int = 1


@frozen(kw_only=True)
class Options(FromFile):
    """Settings by stage. In shop.yaml: `options: {group: {iterations: 50000}}`."""

    validate: ValidateOptions = field(factory=ValidateOptions)
    group: GroupOptions = field(factory=GroupOptions)
    cost: CostOptions = field(factory=CostOptions)
    schedule: ScheduleOptions = field(factory=ScheduleOptions)
