"""The exact optimum of small problems on sheets of equal cells, by CP-SAT over every layout and quantity."""

from itertools import combinations_with_replacement

from ortools.sat.python import cp_model

from plugins.group.problem import Problem


def exact_cost(problem: Problem) -> int | None:
    """The least cost, or None where the solver did not prove it. Prints are one cell each, media one sheet high.

    Every multiset of prints that fills the sheet is a layout; every number of sheets up to the largest need is
    tried, and the first of each price step, but none below the minimum.
    """
    model = cp_model.CpModel()
    made: list[cp_model.LinearExprT] = [0] * len(problem.prints)
    cost: list[cp_model.LinearExprT] = []
    sheet = problem.media[0].sheets[0]
    most = max(p.copies for p in problem.prints)
    for multiset in combinations_with_replacement(range(len(problem.prints)), sheet.width):
        for quantity in sorted({*range(1, most + 1), *(start for start, _ in sheet.prices), sheet.minimum}):
            if quantity < sheet.minimum:
                continue
            price = max(step for step in sheet.prices if step[0] <= quantity)[1]
            taken = model.new_bool_var("")
            cost.append(taken * (quantity * price + sheet.set_up))
            for i in set(multiset):
                made[i] += taken * (quantity * multiset.count(i))
    for i, item in enumerate(problem.prints):
        model.add(made[i] >= item.copies)
    model.minimize(sum(cost))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = 10
    return round(solver.objective_value) if solver.solve(model) == cp_model.OPTIMAL else None
