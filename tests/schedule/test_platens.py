"""Which of several platens a run lies on: the preferred one, unless another costs less."""

from datetime import timedelta

import pytest
from attrs import evolve
from hypothesis import given as given_by
from hypothesis import settings

from pipeline.model.order import Blanks
from pipeline.model.press import PressTaskList
from pipeline.model.schedule import SoFar
from plugins.schedule import schedule_presses
from plugins.schedule.platens import with_best_platens
from plugins.schedule.solve import solve
from plugins.schedule.stop import iterations
from plugins.schedule.week import week_of
from tests.builders import make_line, make_order, make_press, make_print
from tests.referee_placed import violations
from tests.schedule.shops import START, Given, given, make_press_room, weeks

ONE_PRESS = (make_press("left", platens=("16x20", "6x6"), platen_on="16x20"),)


def chests(platens: tuple[str, ...]) -> Given:
    """Two orders of a print on the chest, the first for the large platen only; the second lies on these."""
    shop = make_press_room(presses=ONE_PRESS)
    line = make_line({"M": 20}, blanks=Blanks.CUSTOMER, prints=(make_print(),))
    week = given(shop, tuple(make_order(f"H-{number}", lines=(line,)) for number in range(2)))
    first, second = week.tasks.tasks
    first = evolve(first, platens=("16x20",))
    return evolve(week, tasks=PressTaskList(tasks=(first, evolve(second, platens=platens))))


def platens(week: Given) -> dict[str, str]:
    """What each run lies on."""
    made = schedule_presses(orders=week.orders, shop=week.shop, tasks=week.tasks, start=START, so_far=None)
    return {run.task: run.platen for run in made.runs}


def test_a_run_lies_on_its_neighbours_platen_where_it_may() -> None:
    """The small one is preferred; beside a run that needs the large one it is not worth ten minutes of change."""
    assert platens(chests(("6x6", "16x20"))) == {"R01": "16x20", "R02": "16x20"}
    assert platens(chests(("6x6",))) == {"R01": "16x20", "R02": "6x6"}


def test_the_preferred_platen_is_kept_where_it_costs_nothing() -> None:
    """It lies on the press at first, and nobody else needs another."""
    week = chests(("6x6", "16x20"))
    small = evolve(week.shop, presses=(evolve(week.shop.presses[0], platen_on="6x6"),))
    both = PressTaskList(tasks=tuple(evolve(t, platens=("6x6", "16x20")) for t in week.tasks.tasks))
    assert platens(evolve(week, shop=small, tasks=both)) == {"R01": "6x6", "R02": "6x6"}


@pytest.mark.untraced
@settings(max_examples=10)
@given_by(weeks())
def test_no_choice_makes_a_week_dearer(week: Given) -> None:
    """Judged by the referee for whole numbers, and never above what the preferred platens cost."""
    problem = week_of(week.shop, week.tasks, zero=START, start=START)
    before = solve(problem.problem, iterations(40), seed=1)
    chosen, after = with_best_platens(problem, before)
    assert violations(chosen.problem, after) == []
    assert (after.total, after.lists) <= (before.total, before.lists)
    for run, task in enumerate(chosen.tasks):
        for option in chosen.problem.runs[run].options:
            assert chosen.settings[option.setting].platen in task.platens


@pytest.mark.untraced
@settings(max_examples=5)
@given_by(weeks())
def test_a_week_planned_again_keeps_its_platens(week: Given) -> None:
    """A platen that was chosen in the first planning lies on the press: the next one knows that."""
    asked = {"orders": week.orders, "shop": week.shop, "tasks": week.tasks}
    first = schedule_presses(**asked, start=START, so_far=None)
    so_far = SoFar(start=START, runs=first.runs, begun=())
    again = schedule_presses(**asked, start=START + timedelta(minutes=5), so_far=so_far)
    assert {r.task: (r.press, r.platen) for r in again.runs} == {r.task: (r.press, r.platen) for r in first.runs}
