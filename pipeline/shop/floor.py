"""shop.yaml, the floor: when the shop works, who presses, on which platens, in which standard times."""

from datetime import date, time, timedelta

from attrs import frozen

from pipeline.model.measure import Length
from pipeline.model.money import Money
from pipeline.problems import FromFile


@frozen(kw_only=True)
class Break(FromFile):
    """A pause within a shift, local time."""

    start: time
    end: time


@frozen(kw_only=True)
class Shift(FromFile):
    """Working hours on the given weekdays (`mon` ... `sun`), local time, breaks cut out."""

    days: tuple[str, ...]
    start: time
    end: time
    breaks: tuple[Break, ...] = ()


@frozen(kw_only=True)
class WorkingCalendar(FromFile):
    """When the shop works. On `holidays` nobody does; `carrier` is when shipped orders must be ready."""

    shifts: tuple[Shift, ...]
    holidays: tuple[date, ...] = ()
    carrier: time = time(16, 0)
    #: Working days between the carrier's pick-up and the customer's hands, unless the customer has its own.
    transit_days: int = 1


@frozen(kw_only=True)
class Operator(FromFile):
    """Someone who presses. `tends` is how many presses at once; `shifts` replace the shop's where given."""

    name: str
    tends: int = 1
    shifts: tuple[Shift, ...] = ()


@frozen(kw_only=True)
class Platen(FromFile):
    """A kind of lower platen, and how many the shop has. `edge` stays free of print all round."""

    name: str
    width: Length
    height: Length
    count: int = 1
    edge: Length = Length(6_350)


@frozen(kw_only=True)
class Pad(FromFile):
    """A kind of pressing pad, and how many the shop has."""

    name: str
    count: int = 1


@frozen(kw_only=True)
class Packing(FromFile):
    """How orders are packed: the heaviest carton (grams, carton included), what carton and bag weigh and cost.

    With a GS1 Company Prefix each carton gets a number of its own that no other carton in the world has.
    """

    carton_limit: int
    carton_weight: int
    carton_cost: Money
    carton_pieces: int = 72
    bag_cost: Money = Money(0)
    gs1_prefix: str = ""


@frozen(kw_only=True)
class StandardTimes(FromFile):
    """The shop's standard times, in seconds in the file. Common practice, to be replaced by its own."""

    load: timedelta = timedelta(seconds=10)
    unload: timedelta = timedelta(seconds=8)
    peel: timedelta = timedelta(seconds=6)
    job_set_up: timedelta = timedelta(minutes=10)
    platen_change: timedelta = timedelta(minutes=10)
    pad_change: timedelta = timedelta(minutes=2)
    pressure_change: timedelta = timedelta(minutes=1)
    #: From switched off to pressing heat, when the press's day begins: nobody need stand by. Cold after the night.
    warm_up: timedelta = timedelta(minutes=20)
    #: Fold, bag and quality check per piece: counted as labour, not as press time.
    finish: timedelta = timedelta(seconds=40)
