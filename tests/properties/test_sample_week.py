"""The sample week, searched as long as its shop says, before the same judges as the small weeks."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from pipeline.batch import read_batch
from pipeline.model.run import RunKind
from pipeline.plugin_manager import load_plugins
from pipeline.request import Request, find_jobs
from pipeline.run import make_plan
from tests.properties.judges import faults, ordered, packed, pressed, short_prints

SAMPLE = Path(__file__).parents[2] / "sample_jobs"


@pytest.mark.untraced
def test_no_referee_objects_to_the_sample_week() -> None:
    """What a new user sees first is right to the cent, the minute and the micrometre, a shop's plugin included."""
    jobs, week, _ = find_jobs([SAMPLE / "2026-W49"])
    now = datetime(2031, 5, 5, tzinfo=UTC)
    batch = read_batch(Request(kind=RunKind.QUOTE, shop=SAMPLE, files=jobs, week=week, now=now))
    stages = load_plugins(batch.shop)
    fits = stages.fit_transfers(orders=batch.orders, shop=batch.shop, date=batch.date)
    plan = make_plan(stages, batch.orders, batch.shop, fits, (), batch.date, batch.start)
    assert faults(batch.shop, plan, batch.date) == []
    assert list(short_prints(plan)) == []
    assert packed(plan) == ordered(plan.orders) == pressed(plan)[0]
    assert plan.sheets.cost < plan.sheets.simple_cost
