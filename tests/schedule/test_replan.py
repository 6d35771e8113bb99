"""A week planned again: what has begun stands, the rest is a schedule that can be carried out."""

from datetime import timedelta

import pytest
from attrs import evolve
from hypothesis import Phase, assume, settings
from hypothesis import given as given_by
from hypothesis import strategies as st

from pipeline.model.schedule import Begun, PressRun, PressSchedule, RunState, SoFar
from plugins.schedule import schedule_presses
from tests.referee_schedule import violations
from tests.schedule.shops import START, Given, weeks


def planned(week: Given) -> PressSchedule:
    """The week as it is planned at first."""
    return schedule_presses(orders=week.orders, shop=week.shop, tasks=week.tasks, start=START, so_far=None)


def begun_by(schedule: PressSchedule, moment: int) -> tuple[SoFar, PressRun]:
    """Everything done as planned until just after this run began; and the run."""
    run = schedule.runs[moment % len(schedule.runs)]
    now = run.change_start + timedelta(minutes=1)
    begun = tuple(
        Begun(
            task=each.task,
            press=each.press,
            operator=each.operator,
            started=each.change_start,
            finished=each.end if each.end <= now else None,
            peeled=each.done if each.peel_start is not None and each.done <= now else None,
            peeler=each.peeler,
        )
        for each in schedule.runs
        if each.change_start < now
    )
    return SoFar(start=schedule.start, runs=schedule.runs, begun=begun), run


def again(week: Given, so_far: SoFar, run: PressRun) -> PressSchedule:
    """The week planned again a minute after the run began."""
    now = run.change_start + timedelta(minutes=1)
    return schedule_presses(orders=week.orders, shop=week.shop, tasks=week.tasks, start=now, so_far=so_far)


@pytest.mark.untraced
@settings(max_examples=10, phases=tuple(Phase)[:3])  # shrinking a week takes minutes
@given_by(weeks(), st.integers(0, 50))
def test_without_change_it_is_the_same(week: Given, moment: int) -> None:
    """A schedule on the wall is not rewritten for nothing."""
    before = planned(week)
    so_far, run = begun_by(before, moment)
    after = again(week, so_far, run)
    assert [evolve(each, state=RunState.PLANNED) for each in after.runs] == list(before.runs)
    states = {each.task: each.state for each in after.runs}
    assert {task for task, state in states.items() if state is not RunState.PLANNED} == {
        each.task for each in so_far.begun
    }
    assert (after.presses, after.operators) == (before.presses, before.operators)
    # What is late stays so; what it waits for may not: goods that are in are waited for no more.
    assert [(late.job, late.ready) for late in after.late] == [(late.job, late.ready) for late in before.late]


@pytest.mark.untraced
@settings(max_examples=10, phases=tuple(Phase)[:3])  # shrinking a week takes minutes
@given_by(weeks(), st.integers(0, 50), st.data())
def test_after_a_delay_the_referee_finds_nothing(week: Given, moment: int, data: st.DataObject) -> None:
    """Of a run that is on a press no piece is pressed yet, however long it has been there."""
    before = planned(week)
    so_far, run = begun_by(before, moment)
    on_press = [each for each in so_far.begun if each.finished is None]
    assume(on_press)
    delayed = data.draw(st.sampled_from(on_press))
    begun = tuple(evolve(each, pressed=0 if each == delayed else each.pressed) for each in so_far.begun)
    after = again(week, evolve(so_far, begun=begun), run)
    assert violations(after, week.tasks, week.orders, week.shop) == []
    assert after.run_of(delayed.task).end >= before.run_of(delayed.task).end
    for each in so_far.begun:
        assert after.run_of(each.task).change_start == each.started
    for each in after.runs:
        if each.state is RunState.PLANNED:
            assert each.change_start >= run.change_start + timedelta(minutes=1)
