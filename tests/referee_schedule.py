"""An independent judge of a PressSchedule: replays it from the shop's rules and says what is wrong.

It shares no code with the stage: shifts, change-overs, operators, platens and the rack are worked out anew, from
what the shop's files say and from the times in the schedule alone.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime, timedelta
from math import ceil
from zoneinfo import ZoneInfo

from pipeline.model.order import Order
from pipeline.model.press import PressTaskList
from pipeline.model.schedule import PressRun, PressSchedule
from pipeline.shop import Operator, Press, Shop

Stretch = tuple[int, int]
DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def violations(schedule: PressSchedule, tasks: PressTaskList, orders: tuple[Order, ...], shop: Shop) -> list[str]:
    """Everything that the schedule does which cannot or may not be; empty for a good one."""
    return list(_Referee(schedule, tasks, orders, shop).judge())


class _Referee:
    def __init__(
        self, schedule: PressSchedule, tasks: PressTaskList, orders: tuple[Order, ...], shop: Shop
    ) -> None:
        self.schedule, self.orders, self.shop = schedule, orders, shop
        self.tasks = {task.id: task for task in tasks.tasks}
        self.operators = {operator.name: operator for operator in shop.operators}
        self.by_press: dict[str, list[PressRun]] = defaultdict(list)
        for run in sorted(schedule.runs, key=lambda run: run.change_start):
            self.by_press[run.press].append(run)
        self.last = max((self.at(run.done) for run in schedule.runs), default=0)
        self.hours: dict[str, list[Stretch]] = {}

    def judge(self) -> Iterator[str]:
        """All checks, one after the other."""
        yield from self.pieces()
        for run in self.schedule.runs:
            yield from self.may_be_pressed(run)
            yield from self.in_sequence(run)
        for name, runs in self.by_press.items():
            yield from self.press(self.shop.press(name), runs)
        yield from self.tools("platen", {platen.name: platen.count for platen in self.shop.platens})
        yield from self.tools("pad", {pad.name: pad.count for pad in self.shop.pads})
        yield from self.one_print_after_another()
        yield from self.people()
        yield from self.rack()
        yield from self.lateness()

    def at(self, moment: datetime) -> int:
        """Seconds from the start of the schedule."""
        return int((moment.astimezone(UTC) - self.schedule.start.astimezone(UTC)).total_seconds())

    # --- what is pressed -------------------------------------------------------------------------------

    def pieces(self) -> Iterator[str]:
        """Every task is run once; every piece of every print is in a task."""
        if sorted(run.task for run in self.schedule.runs) != sorted(self.tasks):
            yield "not every task is run exactly once"
        for order in self.orders:
            for at, line in enumerate(order.lines):
                wanted = {count.size: count.count for count in line.pieces}
                for index in range(len(line.prints)):
                    pressed: dict[str, int] = defaultdict(int)
                    for task in self.tasks.values():
                        if (task.ref.job, task.ref.line, task.ref.print) == (order.job, at, index):
                            for count in task.pieces:
                                pressed[count.size] += count.count
                    if pressed != wanted:
                        yield f"{order.job} line {at} print {index}: {dict(pressed)} pressed instead of {wanted}"

    def may_be_pressed(self, run: PressRun) -> Iterator[str]:
        """The press reaches the recipe and takes the platen, the placement allows it."""
        task, press = self.tasks[run.task], self.shop.press(run.press)
        recipe = self.shop.transfer(task.transfer).recipe
        if not press.lowest <= recipe.temperature <= press.highest:
            yield f"{run.task}: {press.name} does not reach {recipe.temperature}"
        if press.pressure_settings.get(recipe.pressure) != run.pressure_setting:
            yield f"{run.task}: {press.name} is set to {run.pressure_setting} for {recipe.pressure} pressure"
        if run.platen not in task.platens or run.platen not in press.platens or run.pad != task.pad:
            yield f"{run.task}: platen {run.platen} and pad {run.pad} on {press.name} are not as they must be"

    def in_sequence(self, run: PressRun) -> Iterator[str]:
        """Goods are in, the prints before are done, and pieces cool before they are peeled."""
        task, done = self.tasks[run.task], {other.task: other.done for other in self.schedule.runs}
        if run.change_start < max(task.release, self.schedule.start):
            yield f"{run.task} begins before its goods are in"
        if not run.change_start <= run.start < run.end <= run.done:
            yield f"{run.task}: its times are not in order"
        for before in task.after:
            if run.change_start < done[before]:
                yield f"{run.task} begins before {before} is done"
        if (self.at(run.peel_start) if run.peel_start else self.at(run.done)) < self.at(
            run.end
        ) + task.cool.seconds:
            yield f"{run.task}: the last piece has not cooled"

    def one_print_after_another(self) -> Iterator[str]:
        """Of no size more garments are at their next print than have come, cooled, from the one before."""
        runs: dict[tuple[str, int, int], list[PressRun]] = defaultdict(list)
        for run in self.schedule.runs:
            ref = self.tasks[run.task].ref
            runs[ref.job, ref.line, ref.print].append(run)
        for (job, line, index), here in runs.items():
            for run in here if index else ():
                for size in {count.size for count in self.tasks[run.task].pieces}:
                    begun = [other for other in here if other.start <= run.start]
                    done = [other for other in runs[job, line, index - 1] if other.done <= run.start]
                    wanted, there = self.count(begun, size), self.count(done, size)
                    if wanted > there:
                        yield f"{run.task} begins with {wanted} of size {size} in all, {there} are there"

    def count(self, runs: Iterable[PressRun], size: str) -> int:
        """Pieces of a size in these runs."""
        return sum(each.count for run in runs for each in self.tasks[run.task].pieces if each.size == size)

    # --- presses ---------------------------------------------------------------------------------------

    def press(self, press: Press, runs: list[PressRun]) -> Iterator[str]:
        """One run at a time; time enough for each change and for each piece, within hours."""
        # Cold at first, and heated before its working time begins (`shifts`).
        platen, pad, heat, pressure = press.platen_on, "", None, ""
        ends = 0
        for run in runs:
            task = self.tasks[run.task]
            recipe = self.shop.transfer(task.transfer).recipe
            if self.at(run.change_start) < ends:
                yield f"{run.task} begins on {press.name} before the run before has ended"
            ends = self.at(run.end)
            times, needed = self.shop.times, 0.0
            needed += times.platen_change.total_seconds() * (run.platen != platen or self.puts_on(run, "platen"))
            needed += times.pad_change.total_seconds() * (run.pad != pad or self.puts_on(run, "pad"))
            needed += times.pressure_change.total_seconds() * (recipe.pressure != pressure)
            rise = 0 if heat is None else recipe.temperature - heat
            needed += 60 * max(rise / press.heating_per_minute, -rise / press.cooling_per_minute)
            given = self.worked(run, run.change_start, run.start)
            if given < needed:
                yield f"{run.task}: {given} s to change {press.name}, it takes {needed} s"
            piece = task.piece_time
            pressing = task.set_up + task.quantity * piece.on_press
            given = self.worked(run, run.start, run.end)
            if given < pressing.total_seconds():
                yield f"{run.task}: {given} s to press, it takes {pressing}"
            for word, old, new in (("platen", platen, run.platen), ("pad", pad, run.pad)):
                if (old != new) > self.puts_on(run, word):
                    yield f"{run.task}: nobody is told to change the {word} of {press.name}"
            platen, pad, heat, pressure = run.platen, run.pad, recipe.temperature, recipe.pressure

    @staticmethod
    def puts_on(run: PressRun, word: str) -> bool:
        """True when the run's changes speak of the platen (or pad)."""
        return any(change.split()[0] == word for change in run.changes)

    def tools(self, word: str, copies: dict[str, int]) -> Iterator[str]:
        """A platen lies on a press from when it is put on until the last run before another is put on."""
        held: dict[str, list[tuple[int, int, int]]] = defaultdict(list)
        for name, runs in self.by_press.items():
            tool, begins, ends = (self.shop.press(name).platen_on if word == "platen" else ""), 0, 0
            for run in runs:
                if self.puts_on(run, word):
                    held[tool].append((begins, ends, 1))
                    begins = self.at(run.change_start)
                tool, ends = (run.platen if word == "platen" else run.pad), self.at(run.end)
            held[tool].append((begins, ends, 1))
        for tool, count in copies.items():
            if most(held[tool]) > count:
                yield f"{word} {tool} is on {most(held[tool])} presses at once, there are {count}"

    # --- people, rack, promises ------------------------------------------------------------------------

    def people(self) -> Iterator[str]:
        """Nobody tends more presses than they can; peeling is done in their hours."""
        busy: dict[str, list[tuple[int, int, int]]] = defaultdict(list)
        for run in self.schedule.runs:
            tends = self.operators[run.operator].tends
            load = 1 if self.shop.press(run.press).opens_itself else tends
            busy[run.operator].append((self.at(run.change_start), self.at(run.end), load))
            if run.peel_start is not None:
                busy[run.peeler].append((self.at(run.peel_start), self.at(run.done), 1))
                given = overlap(self.of(self.operators[run.peeler]), self.at(run.peel_start), self.at(run.done))
                piece = self.tasks[run.task].piece_time
                if given < run.rack_slots * piece.peel.total_seconds():
                    yield f"{run.task}: {given} s to peel {run.rack_slots} pieces"
        for name, stretches in busy.items():
            if most(stretches) > self.operators[name].tends:
                yield f"{name} tends too many presses at once"

    def rack(self) -> Iterator[str]:
        """Pieces that cool have a slot each: the rack is large enough, and slots are free again in time."""
        used = [(self.at(run.start), self.at(run.done), run.rack_slots) for run in self.schedule.runs]
        if most(used) > self.shop.options.schedule.rack_slots * len(self.shop.operators):
            yield "more pieces are on the rack than it has slots"
        for run in self.schedule.runs:
            task = self.tasks[run.task]
            if not task.piece_time.peel:
                continue
            pace = (self.worked(run, run.start, run.end) - task.set_up.total_seconds()) / task.quantity
            cools = (task.cool + task.piece_time.peel).total_seconds()
            if run.rack_slots < min(task.quantity, ceil(cools / pace)) or run.peel_start is None:
                yield f"{run.task}: {run.rack_slots} slots for {task.quantity} pieces, one every {pace} s"

    def lateness(self) -> Iterator[str]:
        """Exactly the orders that are late are called late, by as much."""
        late: dict[str, datetime] = {}
        for run in self.schedule.runs:
            task = self.tasks[run.task]
            if run.done > task.due:
                late[task.ref.job] = max(run.done, late.get(task.ref.job, run.done))
        named = {order.job: order.ready for order in self.schedule.late}
        if named != late:
            yield f"late are {late}, the schedule says {named}"

    # --- hours -----------------------------------------------------------------------------------------

    def of(self, owner: Press | Operator) -> list[Stretch]:
        """The working time of a press or a person, in seconds from the start."""
        name = f"{type(owner).__name__} {owner.name}"
        if name not in self.hours:
            self.hours[name] = sorted(self.shifts(owner))
        return self.hours[name]

    def shifts(self, owner: Press | Operator) -> Iterator[Stretch]:
        zone = ZoneInfo(self.shop.time_zone)
        day = self.schedule.start.astimezone(zone).date()
        while self.at(datetime(day.year, day.month, day.day, tzinfo=zone)) <= self.last:
            cold_until: int | None = None if isinstance(owner, Press) else 0
            for shift in owner.shifts or self.shop.calendar.shifts:
                if DAYS[day.weekday()] in shift.days and day not in self.shop.calendar.holidays:
                    edges = [shift.start, *(t for b in shift.breaks for t in (b.start, b.end)), shift.end]
                    at = [self.at(datetime.combine(day, edge, tzinfo=zone)) for edge in edges]
                    for begin, end in zip(at[::2], at[1::2], strict=True):
                        if cold_until is None and end > 0:
                            cold_until = max(begin, 0) + int(self.shop.times.warm_up.total_seconds())
                        if end > (cold_until or 0):
                            yield max(begin, cold_until or 0), end
            day += timedelta(days=1)

    def worked(self, run: PressRun, begin: datetime, end: datetime) -> int:
        """Seconds in which both the press and the operator of the run work."""
        return overlap(self.both(run), self.at(begin), self.at(end))

    def both(self, run: PressRun) -> list[Stretch]:
        """When both the press and the operator of the run work."""
        press, person = self.of(self.shop.press(run.press)), self.of(self.operators[run.operator])
        return [(max(a, c), min(b, d)) for a, b in press for c, d in person if max(a, c) < min(b, d)]


def overlap(stretches: Iterable[Stretch], begin: int, end: int) -> int:
    """Seconds of the stretches between two moments."""
    return sum(max(0, min(b, end) - max(a, begin)) for a, b in stretches)


def most(loads: Iterable[tuple[int, int, int]]) -> int:
    """The highest sum of loads (from, to, load) at any moment."""
    events = [(at, sign * load) for a, b, load in loads if a < b for at, sign in ((a, 1), (b, -1))]
    height = highest = 0
    for _, step in sorted(events):
        height += step
        highest = max(highest, height)
    return highest
