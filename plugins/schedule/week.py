"""Tasks and shop -> the scheduler's problem in whole numbers, and its answer back into the trade's words."""

from datetime import datetime, timedelta
from itertools import count

from attrs import evolve, field, frozen

from pipeline.model.press import PressTask, PressTaskList
from pipeline.shop import Operator, Press, Shop
from plugins.schedule import model
from plugins.schedule.model import Option, Problem, Run, Span, Tool, Weights
from plugins.schedule.settings import Setting, at_start, changeover, platens_on, setting_for
from plugins.schedule.shifts import Clock
from plugins.schedule.tables import ends_too_early

_SECOND = timedelta(seconds=1)
_DAY = 24 * 3600


@frozen(kw_only=True)
class Rack:
    """How a run of cold-peel pieces goes over the rack: slots, and seconds per piece at the press.

    A piece is peeled when its slot is needed again, so as many pieces as slots are left when the press is done.
    The press waits where the rack is too small for its pace, and where peeling takes longer than it stays closed.
    """

    slots: int
    pace: int


def rack_of(task: PressTask, slots: int) -> Rack:
    """How the task goes over a rack of so many slots (>= 1); no slots where nothing is peeled cold."""
    piece = task.piece_time
    pace, peel, cool = _whole(piece.on_press), _whole(piece.peel), _whole(task.cool)
    if not peel:
        return Rack(slots=0, pace=pace)
    pace = max(pace + max(0, peel - _whole(piece.closed)), -(-(cool + peel) // slots))
    return Rack(slots=min(task.quantity, -(-(cool + peel) // pace)), pace=pace)


def _whole(time: timedelta) -> int:
    """Whole seconds, rounded up."""
    return -(-time // _SECOND)


@frozen(kw_only=True)
class Week:
    """The problem, and what its indices stand for. Settings are shared by all presses.

    Nothing is planned before `now`, in the clock's seconds.
    """

    problem: Problem
    clock: Clock
    now: int
    tasks: tuple[PressTask, ...]
    presses: tuple[Press, ...]
    settings: tuple[Setting, ...]
    tools: tuple[str, ...] = field(repr=False)


def _run(
    shop: Shop,
    task: PressTask,
    tasks: tuple[PressTask, ...],
    clock: Clock,
    now: int,
    number: dict[Setting, int],
) -> Run:
    rack = rack_of(task, shop.options.schedule.rack_slots)
    index = {press.name: at for at, press in enumerate(shop.presses)}
    place = {other.id: at for at, other in enumerate(tasks)}
    return Run(
        options=tuple(
            Option(
                press=index[name],
                setting=number[setting_for(task, shop.press(name), shop)],
                work=_whole(task.set_up) + task.quantity * rack.pace,
            )
            for name in task.presses
        ),
        due=clock.seconds(task.due),
        weight=task.weight,
        release=max(now, clock.seconds(task.release)),
        after=tuple(place[before] for before in task.after),
        cool=_whole(task.cool),
        peel=rack.slots * _whole(task.piece_time.peel),
        rack=rack.slots,
    )


def week_of(shop: Shop, tasks: PressTaskList, zero: datetime, start: datetime) -> Week:
    """The tasks as a problem in seconds from `zero`; nothing is planned before `start`.

    Raises ValueError where the shop has no hours, or nobody is ever at a press.
    """
    clock = Clock.of(shop, zero)
    now = clock.seconds(start)
    settings = _settings(shop, tasks)
    for weeks in (4 * 2**doubling for doubling in count()):
        problem = _problem(shop, tasks.tasks, clock, now, settings, days=now // _DAY + 7 * weeks)
        if not ends_too_early(problem):
            break
    return Week(
        problem=problem,
        clock=clock,
        now=now,
        tasks=tasks.tasks,
        presses=shop.presses,
        settings=settings,
        tools=_tool_names(shop),
    )


def _settings(shop: Shop, tasks: PressTaskList) -> tuple[Setting, ...]:
    """Every setting that a press has or may be given, each once, in the order in which they come up."""
    found = [at_start(press) for press in shop.presses]
    for task in tasks.tasks:
        for press in map(shop.press, task.presses):
            preferred = setting_for(task, press, shop)
            found += [evolve(preferred, platen=platen) for platen in platens_on(task, press)]
    return tuple(dict.fromkeys(found))


def _tool_names(shop: Shop) -> tuple[str, ...]:
    """Platens, then pads: a tool's index is its place here. A pad may have the name of a platen."""
    return (*(f"platen {platen.name}" for platen in shop.platens), *(f"pad {pad.name}" for pad in shop.pads))


def _problem(
    shop: Shop,
    tasks: tuple[PressTask, ...],
    clock: Clock,
    now: int,
    settings: tuple[Setting, ...],
    days: int,
) -> Problem:
    holidays, number = shop.calendar.holidays, {setting: index for index, setting in enumerate(settings)}
    names = _tool_names(shop)

    def hours(own: Press | Operator) -> tuple[Span, ...]:
        return clock.calendar(own.shifts or shop.calendar.shifts, holidays, days)

    def tools(setting: Setting) -> tuple[int, ...]:
        held = (f"platen {setting.platen}", f"pad {setting.pad}")
        return tuple(names.index(name) for name in held if name in names)

    presses = tuple(
        model.Press(
            calendar=clock.warm(hours(press), _whole(shop.times.warm_up)),
            setting=number[at_start(press)],
            changeover=tuple(
                tuple(changeover(press, shop.times, before, after) for after in settings) for before in settings
            ),
            opens_itself=press.opens_itself,
        )
        for press in shop.presses
    )
    options = shop.options.schedule
    platen_mount, pad_mount = _whole(shop.times.platen_change), _whole(shop.times.pad_change)
    return Problem(
        runs=tuple(_run(shop, task, tasks, clock, now, number) for task in tasks),
        presses=presses,
        operators=tuple(model.Operator(calendar=hours(each), places=each.tends) for each in shop.operators),
        tools=(
            *(Tool(copies=platen.count, mount=platen_mount) for platen in shop.platens),
            *(Tool(copies=pad.count, mount=pad_mount) for pad in shop.pads),
        ),
        tools_of=tuple(tools(setting) for setting in settings),
        rack=options.rack_slots * len(shop.operators),
        weights=Weights(
            tardiness=options.weigh_lateness,
            changeover=options.weigh_change_over,
            finish=options.weigh_finish,
        ),
    )
