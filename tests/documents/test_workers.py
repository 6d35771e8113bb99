"""Papers made by several processes: those that one process makes, whatever happens to the others."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from multiprocessing import active_children
from pathlib import Path
from typing import Any

import pytest

from pipeline.model.document import Document
from pipeline.model.run import Run
from pipeline.plugin_manager import load_plugins
from pipeline.stages import PluginFailed
from plugins.documents import workers
from plugins.documents.desk import WholeWork
from tests.builders import make_line, make_order
from tests.documents.small_shop import drawn, numbered_run, shop_on_disk

pytestmark = pytest.mark.untraced

ROOT = Path(__file__).parents[2]


def small_week(root: Path, orders: int = 3) -> Run:
    """A run of a few orders of one print each."""
    shop = shop_on_disk(root)
    line = make_line(prints=(drawn(shop),))
    return numbered_run(shop, [make_order(f"H-{number}", lines=(line,)) for number in range(1, orders + 1)])


@pytest.fixture(scope="module")
def week(tmp_path_factory: pytest.TempPathFactory) -> Run:
    """A small week."""
    return small_week(tmp_path_factory.mktemp("shop"))


@pytest.fixture(scope="module")
def alone(week: Run) -> list[Document]:
    """Its papers, made by one process: it is not large."""
    return list(workers.documents(week))


@pytest.fixture
def two(monkeypatch: pytest.MonkeyPatch, alone: list[Document]) -> Iterator[None]:
    """From here on every week is large enough for two workers, on any machine; none of them is left at the end."""
    monkeypatch.setattr(workers, "_workers", lambda _: 2)
    yield
    assert active_children() == []


def test_workers_make_the_same_papers_in_the_same_order(
    week: Run, alone: list[Document], two: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All of them are theirs: here, and here alone, whatever makes one fails."""

    def refuse() -> tuple[Document, ...]:
        raise AssertionError("made by the parent")

    works = workers._works(week)
    monkeypatch.setattr(workers, "_works", lambda _: tuple(refuse for _ in works))
    assert list(workers.documents(week)) == alone


def test_what_is_about_the_whole_run_is_begun_first(
    week: Run, alone: list[Document], two: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And given when it is its turn: the week's summary takes seconds, which nobody waits for then."""
    begun: list[int] = []
    submit = workers.ProcessPoolExecutor.submit

    def noted(pool: Any, made: Any, place: int) -> Any:
        begun.append(place)
        return submit(pool, made, place)

    monkeypatch.setattr(workers.ProcessPoolExecutor, "submit", noted)
    assert list(workers.documents(week)) == alone
    works = workers._works(week)
    assert begun == sorted(range(len(works)), key=lambda place: not isinstance(works[place], WholeWork))
    assert 0 < begun[0] < len(works) - 1


def test_a_fault_is_told_as_it_is_without_workers(
    two: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With the template's line and the plugin's name, after the same papers."""
    week = small_week(tmp_path, 1)
    (tmp_path / "templates").mkdir()
    (tmp_path / "templates" / "traveller.xml.j2").write_text("<page>\n<p>{{ gone }}</p>\n</page>", "utf-8")
    told = []
    for count in (1, 2):
        monkeypatch.setattr(workers, "_workers", lambda _, count=count: count)
        made = []
        with pytest.raises(PluginFailed) as failed:
            made.extend(load_plugins(week.shop).make_documents(run=week))
        told.append((str(failed.value), made))
    assert "templates/traveller.xml.j2:2: 'gone' is undefined" in told[0][0]
    assert told[1] == told[0]


def test_what_a_killed_worker_leaves_is_made_all_the_same(week: Run, alone: list[Document], two: None) -> None:
    """A system that is short of memory ends processes; the week's papers are whole, each once."""
    documents = workers.documents(week)
    made = [next(documents)]
    for process in active_children():
        process.kill()
    assert [*made, *documents] == alone


def test_a_run_that_cannot_be_sent_is_made_here(
    week: Run, alone: list[Document], two: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A shop's own plugin may have put into the plan what only this process knows."""
    monkeypatch.setattr(workers.pickle, "dumps", lambda _: b"nothing that can be read")
    assert list(workers.documents(week)) == alone


def test_workers_end_when_nobody_asks_any_more(week: Run, two: None) -> None:
    """A full disk ends a run between two papers."""
    documents = workers.documents(week)
    next(documents)
    assert len(active_children()) == 2
    documents.close()


def hold(root: str) -> None:
    """Begin a week's papers by two workers, say so, and go no further."""
    workers._workers = lambda _: 2
    documents = workers.documents(small_week(Path(root)))
    next(documents)
    sys.stdout.write("begun\n")
    sys.stdout.flush()
    time.sleep(600)


@pytest.mark.skipif(os.name != "posix", reason="handles are inherited in other ways")
def test_workers_end_with_a_parent_that_is_killed(tmp_path: Path) -> None:
    """They hold its standard output, which ends when the last of them has."""
    code = f"from tests.documents.test_workers import hold\nhold({str(tmp_path)!r})"
    with subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, cwd=ROOT) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == b"begun\n"
        process.send_signal(signal.SIGKILL)
        assert process.communicate(timeout=60) == (b"", None)


def test_few_orders_and_processes_that_end_with_another_have_no_workers(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Python lets no such process have children."""
    monkeypatch.setattr(workers, "LARGE", 3)
    monkeypatch.setattr(workers.os, "sched_getaffinity", lambda _: range(16), raising=False)
    large = small_week(tmp_path)
    assert workers._workers(large) == 4
    assert workers._workers(small_week(tmp_path, 2)) == 1
    monkeypatch.setitem(workers.current_process()._config, "daemon", True)
    assert workers._workers(large) == 1
