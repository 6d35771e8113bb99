"""The shop floor during a replay: what is free when, and what it takes to begin one run or one peeling.

Everything is entered in order of its beginning. What others need can then only become free later by it, never
earlier; so a look at the state of now is enough, and nothing is planned around what was decided before.
"""

from __future__ import annotations

from bisect import insort

from plugins.schedule.model import Cost, Placed
from plugins.schedule.tables import NO, Crew, Tables

_NEVER = 1 << 62

Offer = tuple[int, int, int, int]
"""When a task could begin, ticks of change-over in it, who does it, when it would end."""


class Floor:
    """The shop floor at one moment of a replay, and what has happened on it up to then.

    `lists` are the runs begun, per press; `begun` and `peeled` say how, by run; `done` when, NO if that is not
    known yet.
    """

    __slots__ = (
        "begun", "done", "finish", "free", "holders", "lists", "now", "peeled", "places", "racked", "remounted",
        "setting", "tables", "tardiness", "to_peel", "total_change",
    )  # fmt: skip

    def __init__(self, tables: Tables) -> None:
        problem = tables.problem
        runs, presses = len(problem.runs), problem.presses
        self.tables = tables
        self.now = 0
        self.free = [0] * len(presses)
        self.setting = [press.setting for press in presses]
        self.places = [[0] * places for places in tables.places]
        self.holders: list[list[int]] = [[] for _ in problem.tools]
        self.racked: list[tuple[int, int]] = []
        self.to_peel = 0
        self.lists: list[list[int]] = [[] for _ in presses]
        self.begun: list[Offer | None] = [None] * runs
        self.peeled: list[Offer | None] = [None] * runs
        self.remounted: dict[int, tuple[int, ...]] = {}
        self.done = [NO] * runs
        self.tardiness = self.total_change = self.finish = 0
        for press, setting in enumerate(self.setting):
            for tool in tables.scarce[setting]:
                self.holders[tool].append(press)
        for placed in sorted(problem.fixed, key=lambda placed: placed.setup):
            self._fix(placed)

    def copy(self) -> Floor:
        """The same floor, to go on from in another way."""
        other: Floor = Floor.__new__(Floor)
        other.tables, other.now, other.to_peel = self.tables, self.now, self.to_peel
        other.tardiness, other.total_change, other.finish = self.tardiness, self.total_change, self.finish
        other.free, other.setting, other.racked = self.free[:], self.setting[:], self.racked[:]
        other.places = [places[:] for places in self.places]
        other.holders = [holders[:] for holders in self.holders]
        other.lists = [runs[:] for runs in self.lists]
        other.begun, other.peeled, other.done = self.begun[:], self.peeled[:], self.done[:]
        other.remounted = self.remounted.copy()
        return other

    def _fix(self, placed: Placed) -> None:
        """Let a run that has begun already stand as it is; its peeling too, where that names who does it."""
        run, press, tables = placed.run, placed.press, self.tables
        operator = press if placed.operator is None else placed.operator
        self.begin(press, run, (placed.setup, placed.changeover, operator, placed.end))
        self.lists[press].remove(run)
        if tables.peel[run] and placed.peeler is not None:
            self.peel(run, (placed.peel, 0, placed.peeler, placed.done))

    def offer(self, press: int, run: int) -> Offer | None:
        """The first moment when the press could turn to the run; None while that is not yet known.

        Not yet known: the run before it on the same garment is not peeled, or the rack is full of pieces of
        which nobody knows yet when they will be peeled.
        """
        tables = self.tables
        setting, work, ready, after, rack, tools = tables.ways[press][run]
        if self.now > ready:
            ready = self.now
        if self.free[press] > ready:
            ready = self.free[press]
        for before in after:
            done = self.done[before]
            if done == NO:
                return None
            if done > ready:
                ready = done
        now = self.setting[press]
        change = tables.changeover[press][now][setting]
        for tool in tools:
            holders = self.holders[tool]
            if press in holders:
                continue
            if tool in tables.scarce[now]:
                change += tables.mount[tool]
            if len(holders) >= tables.copies[tool]:
                ready = max(ready, min([self.free[holder] for holder in holders]))
        if rack:
            ready = self._rack_free(rack, ready)
            if ready == NO:
                return None
        begin, end, who = self._first_of(tables.crew[press], tables.which[press], ready, change + work)
        return begin, change, who, end

    def _first_of(self, crew: Crew, which: int, ready: int, work: int) -> tuple[int, int, int]:
        """The operator with whom it begins first, of those with whom it ends first; (begin, end, operator).

        `which` is 0 when one of an operator's places is enough, -1 when all must be free.
        """
        places = self.places
        best = (_NEVER, 0, 0)
        for hours, members in crew:
            who = members[0]
            when = places[who][which]
            if when > ready:
                for member in members:
                    free = places[member][which]
                    if free < when:
                        who, when = member, free
                        if when <= ready:
                            break
            begin, end = hours.span(when if when > ready else ready, work)
            if (begin, end, who) < best:
                best = begin, end, who
        return best

    def _rack_free(self, need: int, ready: int) -> int:
        """The first moment from `ready` on with so many free slots, NO if that waits for a peeling."""
        free = self.tables.problem.rack - self.to_peel
        for done, slots in self.racked:
            if done > ready:
                free -= slots
        if free >= need:
            return ready
        for done, slots in sorted(self.racked):
            if done > ready:
                free += slots
                if free >= need:
                    return done
        return NO

    def begin(self, press: int, run: int, offer: Offer) -> bool:
        """Turn the press to the run as offered; says whether it is known when the run is done."""
        tables = self.tables
        begin, change, operator, end = offer
        setting, _, _, _, rack, tools = tables.ways[press][run]
        now = self.setting[press]
        if tools or tables.scarce[now]:
            self._fetch_tools(press, run, now, setting)
        self.setting[press] = setting
        self.free[press] = end
        self._occupy(operator, end, all_places=tables.which[press] == NO)
        self.lists[press].append(run)
        self.begun[run] = offer
        self.total_change += change
        if rack:
            self.racked = [entry for entry in self.racked if entry[0] > begin]
        if tables.peel[run]:
            self.to_peel += rack
            return False
        self._finish(run, end + tables.cool[run])
        return True

    def _fetch_tools(self, press: int, run: int, now: int, setting: int) -> None:
        """Take off what the setting does not hold; put on the rest, off the shelf or off who rests longest."""
        scarce, holders_of = self.tables.scarce, self.holders
        for tool in scarce[now]:
            if tool not in scarce[setting] and press in holders_of[tool]:
                holders_of[tool].remove(press)
        for tool in scarce[setting]:
            holders = holders_of[tool]
            if press in holders:
                continue
            if len(holders) >= self.tables.copies[tool]:
                holders.remove(min(holders, key=lambda holder: (self.free[holder], holder)))
            holders.append(press)
            if tool in scarce[now]:
                self.remounted[run] = (*self.remounted.get(run, ()), tool)

    def _occupy(self, operator: int, until: int, *, all_places: bool) -> None:
        places = self.places[operator]
        if all_places:
            self.places[operator] = [until] * len(places)
        else:
            del places[0]
            insort(places, until)

    def _finish(self, run: int, done: int) -> None:
        """The run is done: count lateness, and let its slots be free from then on."""
        tables = self.tables
        self.done[run] = done
        late = done - tables.due[run]
        if late > 0:
            self.tardiness += tables.weight[run] * late
        if done > self.finish:
            self.finish = done
        if tables.rack[run]:
            self.racked.append((done, tables.rack[run]))

    def peel_offer(self, run: int) -> Offer:
        """Who could peel the run first: one place of an operator, once the pieces are cool."""
        tables = self.tables
        ready, work = self.end(run) + tables.cool[run], tables.peel[run]
        begin, end, who = self._first_of(tables.peelers, 0, ready, work)
        return begin, 0, who, end

    def peel(self, run: int, offer: Offer) -> None:
        """Peel the run as offered."""
        _, _, operator, end = offer
        self.peeled[run] = offer
        self._occupy(operator, end, all_places=False)
        self.to_peel -= self.tables.rack[run]
        self._finish(run, end)

    def end(self, run: int) -> int:
        """When the pressing of a run that has begun ends."""
        return self.how(run)[3]

    def how(self, run: int) -> Offer:
        """How a run was begun."""
        offer = self.begun[run]
        if offer is None:
            raise AssertionError(f"run {run} has not begun")
        return offer

    def placed(self, press: int, run: int) -> Placed:
        """When and by whom the run was done, on that press."""
        tables, peeled = self.tables, self.peeled[run]
        setup, change, operator, end = self.how(run)
        start = setup
        if change:
            hours = tables.hours(press, operator)
            start = hours.span(hours.span(setup, change)[1], tables.work[press][run])[0]
        return Placed(
            run=run,
            press=press,
            setup=setup,
            start=start,
            end=end,
            peel=peeled[0] if peeled else self.done[run],
            done=self.done[run],
            operator=operator if tables.problem.operators else None,
            peeler=peeled[2] if peeled else None,
            changeover=change,
            remounted=self.remounted.get(run, ()),
        )

    @property
    def total(self) -> int:
        """What the replay has cost so far, as one number."""
        weights = self.tables.problem.weights
        return (
            weights.tardiness * self.tardiness
            + weights.changeover * self.total_change
            + weights.finish * self.finish
        )

    @property
    def cost(self) -> Cost:
        """What the replay has cost so far."""
        return Cost(tardiness=self.tardiness, changeover=self.total_change, finish=self.finish)
