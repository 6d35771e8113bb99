"""An independent judge of the scheduler's own answer, on whole numbers: shares no code with the scheduler."""

from collections import defaultdict
from collections.abc import Iterator

from plugins.schedule.model import Placed, Problem, Result
from tests.referee_schedule import most, overlap


def violations(problem: Problem, result: Result) -> list[str]:
    """Everything in the answer that cannot be; empty for a good one."""
    return [
        *_runs(problem, result),
        *_presses(problem, result),
        *_shared(problem, result),
        *_cost(problem, result),
    ]


def _runs(problem: Problem, result: Result) -> Iterator[str]:
    done = {placed.run: placed.done for placed in result.placed}
    if sorted(placed.run for placed in result.placed) != list(range(len(problem.runs))):
        yield "not every run is done exactly once"
    for placed in result.placed:
        run = problem.runs[placed.run]
        if placed.setup < max((run.release, *(done[before] for before in run.after))):
            yield f"run {placed.run} begins too early"
        if not placed.setup <= placed.start < placed.end <= placed.done or placed.peel < placed.end + run.cool:
            yield f"run {placed.run}: its times are not in order"
        if placed.peeler is not None:
            hours = problem.operators[placed.peeler].calendar
            if _given(hours, placed.peel, placed.done) < run.peel:
                yield f"run {placed.run} is peeled too fast"
        if (placed.peeler is None) == bool(run.peel):
            yield f"run {placed.run}: peeled by nobody, or for nothing"


def _given(calendar: tuple[tuple[int, int], ...], begin: int, end: int) -> int:
    return overlap((span for span in calendar if span[1] > begin and span[0] < end), begin, end)


def _presses(problem: Problem, result: Result) -> Iterator[str]:
    placed_of = {placed.run: placed for placed in result.placed}
    for press, runs in enumerate(result.lists):
        given = problem.presses[press]
        setting, free = given.setting, 0
        for run in runs:
            placed = placed_of[run]
            option = next((each for each in problem.runs[run].options if each.press == press), None)
            if option is None or placed.press != press:
                yield f"run {run} is on press {press}"
                continue
            change = given.changeover[setting][option.setting]
            change += sum(problem.tools[tool].mount for tool in placed.remounted)
            if placed.setup < free or placed.changeover != change:
                yield f"run {run} begins at {placed.setup}, the press is free at {free}; change-over {change}"
            hours = given.calendar
            if placed.operator is not None:
                theirs = problem.operators[placed.operator].calendar
                hours = tuple(
                    (max(a, c), min(b, d))
                    for a, b in hours
                    if b > placed.setup and a < placed.end
                    for c, d in theirs
                    if max(a, c) < min(b, d)
                )
            given_time = _given(hours, placed.setup, placed.start), _given(hours, placed.start, placed.end)
            if given_time[0] < change or given_time[1] < option.work:
                yield f"run {run} has not the time it takes"
            setting, free = option.setting, placed.end


def _shared(problem: Problem, result: Result) -> Iterator[str]:
    tends: dict[int, list[tuple[int, int, int]]] = defaultdict(list)
    rack: list[tuple[int, int, int]] = []
    for placed in result.placed:
        if placed.operator is not None:
            load = 1 if problem.presses[placed.press].opens_itself else problem.operators[placed.operator].places
            tends[placed.operator].append((placed.setup, placed.end, load))
        if placed.peeler is not None:
            tends[placed.peeler].append((placed.peel, placed.done, 1))
        rack.append((placed.start, placed.done, problem.runs[placed.run].rack))
    for operator, loads in tends.items():
        if most(loads) > problem.operators[operator].places:
            yield f"operator {operator} tends {most(loads)} places"
    if most(rack) > problem.rack:
        yield f"{most(rack)} slots are used of {problem.rack}"
    for tool, stretches in _held(problem, result).items():
        if most(stretches) > problem.tools[tool].copies:
            yield f"tool {tool} is in {most(stretches)} places at once"


def _held(problem: Problem, result: Result) -> dict[int, list[tuple[int, int, int]]]:
    """When each tool lies on a press: from being put on to the end of the last run before it is put on anew."""
    held: dict[int, list[tuple[int, int, int]]] = defaultdict(list)
    placed_of: dict[int, Placed] = {placed.run: placed for placed in result.placed}
    if not problem.tools_of:
        return held
    for press, runs in enumerate(result.lists):
        now = dict.fromkeys(problem.tools_of[problem.presses[press].setting], (0, 0))
        for run in runs:
            placed = placed_of[run]
            option = next(each for each in problem.runs[run].options if each.press == press)
            wanted = problem.tools_of[option.setting]
            for tool in list(now):
                if tool not in wanted or tool in placed.remounted:
                    held[tool].append((*now.pop(tool), 1))
            for tool in wanted:
                now[tool] = (now.get(tool, (placed.setup, 0))[0], placed.end)
        for tool, (begin, end) in now.items():
            held[tool].append((begin, end, 1))
    return held


def _cost(problem: Problem, result: Result) -> Iterator[str]:
    late = sum(
        problem.runs[placed.run].weight * max(0, placed.done - problem.runs[placed.run].due)
        for placed in result.placed
    )
    change = sum(placed.changeover for placed in result.placed)
    finish = max((placed.done for placed in result.placed), default=0)
    weights = problem.weights
    total = weights.tardiness * late + weights.changeover * change + weights.finish * finish
    said = result.cost
    if (said.tardiness, said.changeover, said.finish, result.total) != (late, change, finish, total):
        yield f"lateness {late}, change-over {change}, end {finish}: the answer says {result.cost}"
