"""The solver: never worse than the rules, the best where all can be enumerated, and the same every time."""

from itertools import combinations_with_replacement, pairwise, permutations

from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from plugins.schedule.bound import least_tardiness
from plugins.schedule.decoder import decode
from plugins.schedule.dispatch import best_by_atcs, by_rule, due_first
from plugins.schedule.model import Placed, Problem, Weights
from plugins.schedule.replan import replan
from plugins.schedule.solve import solve
from plugins.schedule.stop import iterations
from plugins.schedule.tables import Tables
from tests.referee_placed import violations
from tests.schedule.small import press, run
from tests.weeks import generated_week


@st.composite
def small_problems(draw: st.DrawFn) -> Problem:
    """Up to five runs on two presses with change-overs, hours, deliveries and second places."""
    number = draw(st.integers(1, 5))
    change = st.lists(st.integers(0, 9), min_size=2, max_size=2)
    tables = [draw(st.lists(change, min_size=2, max_size=2)) for _ in range(2)]
    presses = tuple(press(table, calendar=((0, 30), (40, 9999))) for table in tables)
    runs = tuple(
        run(
            draw(st.integers(1, 20)),
            draw(st.sampled_from(((0,), (1,), (0, 1)))),
            setting=draw(st.integers(0, 1)),
            due=draw(st.integers(0, 60)),
            weight=draw(st.integers(1, 5)),
            release=draw(st.integers(0, 20)),
            after=(index - 1,) if index and draw(st.integers(0, 3)) == 0 else (),
        )
        for index in range(number)
    )
    return Problem(runs=runs, presses=presses, weights=Weights(tardiness=10, changeover=1))


def best_of_all(problem: Problem) -> int:
    """The least cost of any lists, by trying them all."""
    tables, runs = Tables(problem), range(len(problem.runs))
    costs = []
    for order in permutations(runs):
        for (cut,) in combinations_with_replacement(range(len(order) + 1), 1):
            lists = [list(order[:cut]), list(order[cut:])]
            if all(tables.work[at][each] >= 0 for at, own in enumerate(lists) for each in own):
                floor = decode(tables, lists)
                if floor is not None:
                    costs.append(floor.total)
    return min(costs)


@settings(max_examples=25)
@given(small_problems())
def test_small_problems_are_solved_to_the_optimum(problem: Problem) -> None:
    """Nothing is cheaper than what is found, where everything can be tried."""
    assert solve(problem, iterations(800), 1).total == best_of_all(problem)


@settings(max_examples=10)
@given(st.integers(1, 4), st.integers(13, 30), st.integers(0, 10**6))
def test_generated_weeks_break_no_rule(presses: int, runs: int, seed: int) -> None:
    """Operators, platens, rack, hours and chains, as a referee sees them; and no schedule undercuts the bound."""
    problem = generated_week(presses, runs, 0.9, seed)
    result = solve(problem, iterations(300), seed)
    assert violations(problem, result) == []
    assert result.cost.tardiness >= (least_tardiness(problem) or 0)


def test_the_same_input_gives_the_same_schedule() -> None:
    """No clock, no unseeded chance."""
    problem = generated_week(3, 30, 0.95, 5)
    assert solve(problem, iterations(2000), 7) == solve(problem, iterations(2000), 7)


def test_search_improves_on_the_rules() -> None:
    """And it says truthfully how long it searched."""
    problem = generated_week(3, 40, 0.95, 6)
    tables = Tables(problem)
    rules = min(best_by_atcs(tables).total, by_rule(tables, due_first).total)
    result = solve(problem, iterations(4000), 1)
    assert result.total < rules
    assert 4000 <= result.iterations < 4000 + 2 * 40
    assert solve(problem, iterations(0), 1).total == rules


def test_atcs_beats_due_dates_where_change_overs_are_dear() -> None:
    """What the rule was made for (Lee, Bhaskaran and Pinedo 1997)."""
    for seed in range(3):
        tables = Tables(generated_week(4, 80, 0.9, seed))
        assert best_by_atcs(tables).total < by_rule(tables, due_first).total


def test_re_planning_without_change_returns_the_same() -> None:
    """A schedule on the wall is not rewritten for nothing."""
    problem = generated_week(3, 30, 0.9, 3)
    before = solve(problem, iterations(1000), 1)
    done = {placed.run: placed.done for placed in before.placed}
    again = replan(problem, before.lists, done, iterations(1000), 2)
    assert evolve(again, iterations=0) == evolve(before, iterations=0)


def test_in_the_middle_of_the_week_what_has_begun_stays() -> None:
    """Begun runs stand, frozen ones come next, new ones find their place."""
    problem = generated_week(3, 30, 0.9, 4)
    before = solve(problem, iterations(500), 1)
    now = sorted(placed.setup for placed in before.placed)[10]
    begun = tuple(placed for placed in before.placed if placed.setup < now)
    left = tuple(tuple(run for run in runs if run not in {p.run for p in begun}) for runs in before.lists)
    later = evolve(
        problem,
        runs=tuple(evolve(each, release=max(each.release, now)) for each in problem.runs),
        fixed=begun,
        frozen=tuple(runs[:2] for runs in left),
    )
    gone = left[0][-1] if len(left[0]) > 2 else left[1][-1]
    kept = tuple(tuple(run for run in runs if run != gone) for runs in left)
    result = replan(later, kept, {}, iterations(500), 1)
    assert set(begun) <= set(result.placed)
    assert tuple(runs[:2] for runs in result.lists) == tuple(runs[:2] for runs in left)
    assert sorted(run for runs in result.lists for run in runs) == sorted(run for runs in left for run in runs)
    assert all(pair[0].end <= pair[1].setup for pair in _by_press(result.placed))


def _by_press(placed: tuple[Placed, ...]) -> list[tuple[Placed, Placed]]:
    """Every two runs that follow one another on a press."""
    pairs: list[tuple[Placed, Placed]] = []
    for index in {each.press for each in placed}:
        pairs += pairwise(sorted((each for each in placed if each.press == index), key=lambda each: each.setup))
    return pairs
