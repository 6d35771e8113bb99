"""The solver against an exact model on small random problems: never below it, equal where it proves its optimum.

The model says which run stands at which place on which press; it shares nothing with the scheduler, whose own
windows are tours. Presses without hours, tools or people: with those the replay's rules would be part of the model.
"""

from itertools import product
from random import Random

import pytest
from ortools.sat.python import cp_model

from plugins.schedule.model import Problem, Weights
from plugins.schedule.solve import solve
from plugins.schedule.stop import iterations
from tests.referee_placed import violations
from tests.schedule.small import press, run

RUNS, PRESSES, SETTINGS = 7, 2, 3


def drawn(seed: int) -> Problem:
    """Seven runs with deliveries, due dates and second places, on two presses that change between three settings."""
    draw = Random(seed)
    tables = [
        [[draw.randint(0, 9) * (a != b) for b in range(SETTINGS)] for a in range(SETTINGS)] for _ in range(2)
    ]
    runs = tuple(
        run(
            draw.randint(1, 20),
            draw.choice(((0,), (1,), (0, 1), (0, 1))),
            setting=draw.randrange(SETTINGS),
            due=draw.randint(5, 50),
            weight=draw.randint(1, 5),
            release=draw.choice((0, draw.randint(0, 25))),
            after=(index - 1,) if index and draw.random() < 0.25 else (),
        )
        for index in range(RUNS)
    )
    return Problem(
        runs=runs, presses=tuple(press(table) for table in tables), weights=Weights(tardiness=10, changeover=1)
    )


class Places:
    """The model: `stands[run, press, place]`, when each run ends, and the change-over before each place."""

    def __init__(self, problem: Problem) -> None:
        self.problem, self.model = problem, cp_model.CpModel()
        new, horizon = self.model.new_int_var, 500
        self.places = list(product(range(PRESSES), range(RUNS)))
        self.stands = {(r, *at): self.model.new_bool_var("") for r in range(RUNS) for at in self.places}
        self.end = [new(0, horizon, "") for _ in problem.runs]
        self.late = [new(0, horizon, "") for _ in problem.runs]
        self.change = {at: new(0, 9, "") for at in self.places}
        for index, each in enumerate(problem.runs):
            able = {option.press for option in each.options}
            self.model.add_exactly_one(self.stands[index, *at] for at in self.places if at[0] in able)
            self.model.add(sum(self.stands[index, *at] for at in self.places if at[0] not in able) == 0)
            self.model.add(self.late[index] >= self.end[index] - each.due)
        for at, place in self.places:
            here = [self.stands[index, at, place] for index in range(RUNS)]
            self.model.add_at_most_one(here)
            if place:
                self.model.add(sum(self.stands[index, at, place - 1] for index in range(RUNS)) >= sum(here))
            for index in range(RUNS):
                for before in range(RUNS) if place else [None]:
                    if before != index:
                        self.follows(at, place, index, before)

    def follows(self, at: int, place: int, index: int, before: int | None) -> None:
        """If the run stands there after the one before it (None: first), it ends so late at the earliest."""
        runs, given = self.problem.runs, self.problem.presses[at]
        each = runs[index]
        last = given.setting if before is None else runs[before].options[0].setting
        change = given.changeover[last][each.options[0].setting]
        both = [self.stands[index, at, place]]
        begins = [each.release, *(self.end[other] for other in each.after)]
        if before is not None:
            both.append(self.stands[before, at, place - 1])
            begins.append(self.end[before])
        for begin in begins:
            self.model.add(self.end[index] >= begin + change + each.options[0].work).only_enforce_if(both)
        self.model.add(self.change[at, place] >= change).only_enforce_if(both)

    def solve(self) -> tuple[int, bool]:
        """What no schedule can undercut, and whether some schedule costs just that."""
        late = sum(each.weight * late for each, late in zip(self.problem.runs, self.late, strict=True))
        self.model.minimize(10 * late + sum(self.change.values()))
        solver = cp_model.CpSolver()
        solver.parameters.num_workers, solver.parameters.max_deterministic_time = 1, 5.0
        status = solver.solve(self.model)
        assert status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
        return round(solver.best_objective_bound), status == cp_model.OPTIMAL


@pytest.mark.parametrize("seed", range(8))
def test_never_below_the_exact_model_and_equal_where_it_proves(seed: int) -> None:
    """A schedule below the bound would break a rule; one above a proven optimum would be a search too weak."""
    problem = drawn(seed)
    bound, proven = Places(problem).solve()
    result = solve(problem, iterations(2000), 1)
    assert violations(problem, result) == []
    assert result.total == bound if proven else result.total >= bound
