"""The same week again: in another process, with its files in another order, it gives the same bytes."""

import json
import os
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.model.run import RunKind
from pipeline.request import Request, find_jobs
from pipeline.run import check
from tests.golden.golden import SHOP, WEEK
from tests.properties.small_weeks import Week, planned, weeks

ROOT = Path(__file__).parents[2]
JOBS, WEEK_FILE, _ = find_jobs([SHOP / WEEK])


def digests(hash_seed: str, *words: str) -> dict[str, str]:
    """The delivered files of a run in a fresh process, by their SHA-256."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.properties.once", *words],
        env={**os.environ, "PYTHONHASHSEED": hash_seed},
        cwd=ROOT,
        capture_output=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr.decode()
    found: dict[str, str] = json.loads(done.stdout)
    return found


@pytest.mark.untraced
def test_two_processes_give_the_same_bytes() -> None:
    """Sets and dicts fall in another order in each process, and files in another on each disk: neither may tell."""
    once, again = digests("1"), digests("2", "backwards")
    assert len(once) > 20
    assert [path for path in once if once[path] != again.get(path)] == []
    assert once.keys() == again.keys()


@settings(max_examples=6)
@given(st.permutations(JOBS))
def test_the_order_of_files_does_not_matter(jobs: list[Path]) -> None:
    """A folder is listed in another order on each system; what is read, held and told is the same."""

    def report(files: tuple[Path, ...]) -> object:
        now = datetime(2031, 5, 5, tzinfo=UTC)
        found = check(Request(kind=RunKind.QUOTE, shop=SHOP, files=files, week=WEEK_FILE, now=now))
        assert found.orders
        assert found.held
        return found

    assert report(tuple(jobs)) == report(JOBS)


@settings(max_examples=3)
@given(weeks())
def test_the_same_week_gives_the_same_plan(week: Week) -> None:
    """The searches draw from their own seed: nothing is left over from a plan that was made before."""
    assert planned(week).plan == planned(week).plan
