"""A week planned again: from the ledger and progress.yaml, by the real stages, with nothing bought or numbered."""

import json
import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest

from pipeline import cli
from pipeline.ledger import Ledger, Snapshot
from pipeline.model.run import RunKind
from pipeline.model.schedule import RunState
from pipeline.problems import StopRun
from pipeline.replan import Replanned, replan
from pipeline.request import LEDGER_FILE, Request, find_jobs, find_progress
from pipeline.run import run
from tests.golden.golden import SHOP, WEEK
from tests.referee_schedule import violations

NOW = datetime(2031, 5, 5, 9, 41, tzinfo=UTC)
FIRST = "  - {run: R03, started: 2026-06-01 08:00, finished: 2026-06-01 09:01}\n"
"""A run that the floor began the week with; warm from 8:20, 13 min to change over and 27 min 36 s to press."""


@pytest.fixture(name="ran", scope="module")
def _ran(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The golden shop after its week was run, one order left out for later."""
    shop = tmp_path_factory.mktemp("replan").resolve() / "shop"
    shutil.copytree(SHOP, shop)
    later = shop / WEEK / "gw-04-crew.yaml"
    later.rename(shop / "gw-04-crew.later")
    run(asked(shop))
    return shop


@pytest.fixture(name="shop")
def _shop(ran: Path, tmp_path: Path) -> Path:
    """A copy of it, to plan again and to break."""
    return Path(shutil.copytree(ran, tmp_path.resolve() / "shop"))


def asked(shop: Path, *files: str) -> Request:
    """What `run` of the week asks for, or of some of its files."""
    paths = [shop / WEEK / file for file in files] or [shop / WEEK]
    jobs, week, label = find_jobs(paths)
    return Request(
        kind=RunKind.RUN,
        shop=shop,
        files=jobs,
        week=week,
        label=label,
        now=NOW,
    )


def again(shop: Path, as_of: str, *files: str) -> Replanned:
    """The same `--as-of` a time."""
    return replan(asked(shop, *files), datetime.fromisoformat(as_of), find_progress([shop / WEEK]))


def tell(shop: Path, *lines: str) -> None:
    """Write progress.yaml."""
    (shop / WEEK / "progress.yaml").write_text("runs:\n" + "".join(lines) or " []", "utf-8")


def tell_goods(shop: Path, *lines: str, runs: str = "") -> None:
    """Write progress.yaml with goods that come at another time."""
    text = "goods:\n" + "".join(lines) + ("runs:\n" + runs if runs else "")
    (shop / WEEK / "progress.yaml").write_text(text, "utf-8")


def known(shop: Path) -> Snapshot:
    """What the ledger says."""
    with Ledger.open(shop / LEDGER_FILE, create=False) as ledger:
        return ledger.read([f"GW-0{number}" for number in range(1, 6)], on=NOW.date())


def faults(done: Replanned) -> list[str]:
    """What the referee finds wrong."""
    made = done.replan
    return violations(made.schedule, made.tasks, made.orders, made.shop)


def refused(shop: Path, as_of: str, *files: str) -> list[tuple[str, str, int]]:
    """Code, file and line of what stops a planning."""
    with pytest.raises(StopRun) as stop:
        again(shop, as_of, *files)
    return [(problem.code, problem.origin.file, problem.origin.line) for problem in stop.value.problems]


def test_nothing_has_happened_and_nothing_changes(shop: Path) -> None:
    """Before the first run begins the schedule is the one on the wall, and the ledger is as it was."""
    before = known(shop)
    done = again(shop, "2026-06-01 08:00")
    record = json.loads((shop / "out" / WEEK / "run.json").read_text("utf-8"))
    planned = json.loads((shop / "out" / f"{WEEK}-at-0601-0800" / "replan.json").read_text("utf-8"))
    assert planned["schedule"] == record["schedule"]
    assert known(shop) == before
    assert done.before == WEEK
    assert not again(shop, "2026-06-01 08:00").delivery.written


def test_what_has_begun_stands_and_the_rest_gives_way(shop: Path) -> None:
    """An hour lost on the second run: the third comes after it, and who is finished gets no instruction."""
    tell(shop, FIRST, "  - {run: R01, started: 2026-06-01 09:01, pressed: 5}\n")
    done = again(shop, "2026-06-01 10:30")
    assert faults(done) == []
    states = {each.task: each.state for each in done.replan.schedule.runs}
    assert (states.pop("R03"), states.pop("R01")) == (RunState.FINISHED, RunState.BEGUN)
    assert set(states.values()) == {RunState.PLANNED}
    late = done.replan.schedule.run_of("R01").end
    assert f"{late:%H:%M}" > "10:30"
    for each in done.replan.schedule.runs:
        if each.state is RunState.PLANNED:
            assert each.change_start >= late
    papers = {path for path in done.delivery.written if path.startswith("floor/press-")}
    assert papers == {f"floor/press-{task.lower()}.pdf" for task in ("R01", *states)}
    assert "tables/schedule.csv" in done.delivery.written


def test_late_goods_are_waited_for(shop: Path) -> None:
    """Garments that come after noon: their run is not begun before, others are; and none of it is frozen."""
    tell_goods(shop, "  - {job: GW-02, expected: 2026-06-01 13:10, line: 2}\n")
    done = again(shop, "2026-06-01 08:00")
    assert faults(done) == []
    for task in done.replan.tasks.tasks:
        if task.ref.job == "GW-02":
            here = done.replan.schedule.run_of(task.id).start
            assert (f"{task.release:%d %H:%M}" == "01 13:10") == (task.ref.line == 1)
            assert here >= task.release


def test_goods_that_come_after_all_are_used(shop: Path) -> None:
    """Told for Thursday, then here on Monday: what is told last holds."""
    tell_goods(shop, "  - {job: GW-03, expected: 2026-06-04 12:00}\n")
    assert f"{again(shop, '2026-06-01 08:00').replan.schedule.run_of('R05').start:%d}" == "04"
    tell_goods(shop, "  - {job: GW-03, expected: 2026-06-01 08:30}\n")
    done = again(shop, "2026-06-01 08:40")
    assert faults(done) == []
    assert f"{done.replan.schedule.run_of('R05').start:%d}" == "01"


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("{job: GW-99, expected: 2026-06-02 08:00}", ("E203", 2)),
        ("{job: GW-02, expected: 2026-06-02 08:00, line: 3}", ("E211", 2)),
        ("{job: GW-02, expected: 2026-06-02}", ("E206", 2)),
        ("{job: GW-01, expected: 2026-06-02 08:00}\n  - {job: GW-01, expected: 2026-06-02 09:00}", ("E209", 3)),
        ("{job: GW-02, expected: 2026-06-02 08:00}", ("E211", 2)),
    ],
)
def test_goods_that_cannot_be_meant(shop: Path, line: str, expected: tuple[str, int]) -> None:
    """R03, of GW-02, has begun: its goods were there."""
    tell_goods(shop, f"  - {line}\n", runs=FIRST)
    assert [(code, at) for code, _, at in refused(shop, "2026-06-01 10:00")] == [expected]


def test_a_planning_goes_on_from_the_one_before(shop: Path) -> None:
    """What hangs on the wall by now is the last one; made again, papers of runs finished by then are taken away."""
    tell(shop, FIRST)
    first = again(shop, "2026-06-01 09:05")
    following = first.replan.schedule.runs[1].task
    begun = f"  - {{run: {following}, started: 2026-06-01 09:05}}\n"
    tell(shop, FIRST, begun)
    second = again(shop, "2026-06-01 09:20")
    assert (shop / "out" / first.replan.label / "index.html").exists()
    assert (first.before, second.before) == (WEEK, first.replan.label)
    assert [r.task for r in second.replan.schedule.runs] == [r.task for r in first.replan.schedule.runs]
    paper = shop / "out" / second.replan.label / f"floor/press-{following.lower()}.pdf"
    assert paper.exists()
    tell(shop, FIRST, begun.replace("}", ", finished: 2026-06-01 09:15}"))
    assert again(shop, "2026-06-01 09:20").folder == second.folder
    assert not paper.exists()


def test_orders_that_came_later_are_planned_with_the_others(shop: Path) -> None:
    """A second run of the folder took one: its tasks are called after it, and share the presses with the first's."""
    (shop / "gw-04-crew.later").rename(shop / WEEK / "gw-04-crew.yaml")
    waiting = again(shop, "2026-06-01 08:00")
    assert ("W654", "GW-04") in [(problem.code, problem.job) for problem in waiting.problems]
    run(asked(shop))
    done = again(shop, "2026-06-01 08:30")
    assert done.replan.runs == (WEEK, f"{WEEK}-2")
    assert "2.R01" in [task.id for task in done.replan.tasks.tasks]
    assert faults(done) == []


def test_only_whole_recorded_and_unchanged_runs_are_planned_again(shop: Path) -> None:
    """Sheets and presses are shared: a part of a run cannot be planned without the rest."""
    assert refused(shop, "2026-06-01 09:05", "gw-01-rowers.yaml") == [("E652", "", 0)]
    file = shop / WEEK / "gw-01-rowers.yaml"
    file.write_text(file.read_text("utf-8").replace("M: 14", "M: 15"), "utf-8")
    assert [code for code, *_ in refused(shop, "2026-06-01 09:05")] == ["E601"]
    (shop / LEDGER_FILE).unlink()
    assert [code for code, *_ in refused(shop, "2026-06-01 09:05")] == ["E651"]


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        (["  - {run: R93, started: 2026-06-01 08:00}\n"], [("E203", 2)]),
        ([FIRST, FIRST], [("E209", 3)]),
        (["  - {run: R03, started: 2026-06-01 08:00, press: clmm}\n"], [("E203", 2)]),
        (["  - {run: R03, started: 2026-06-01 08:00, operator: Wern}\n"], [("E203", 2)]),
        (["  - {run: R03, started: 2026-06-01 12:00}\n"], [("E211", 2)]),
        (["  - {run: R03, started: 2026-06-01 09:00, finished: 2026-06-01 08:00}\n"], [("E211", 2)]),
        (["  - {run: R03, started: 2026-06-01 08:00, finished: 2026-06-01 23:00}\n"], [("E211", 2)]),
        (["  - {run: R03, started: 2026-06-01 08:00, pressed: 24}\n"], [("E211", 2)]),
        ([FIRST.replace("}", ", pressed: 3}")], [("E208", 2)]),
        ([FIRST.replace("}", ", peeled: 2026-06-01 09:00}")], [("E208", 2)]),
        ([FIRST, "  - {run: R02, started: 2026-06-01 09:02}\n"], [("E211", 3)]),
        ([FIRST, "  - {run: R01, started: 2026-06-01 08:30}\n"], [("E211", 3)]),
        (["  - {run: R03, started: 2026-06-01}\n"], [("E206", 2)]),
        (["  - {run: R03, begun: 2026-06-01 08:00}\n"], [("E201", 2), ("E202", 2)]),
        (
            ["  - {run: R03, started: eight}\n", "  - {run: R93, started: 2026-06-01 08:00, presed: 1}\n"],
            [("E201", 3), ("E203", 3), ("E206", 2)],
        ),
    ],
)
def test_what_cannot_have_happened_is_told_where_it_stands(
    shop: Path, lines: list[str], expected: list[tuple[str, int]]
) -> None:
    """A slip in the operator's file must not become a schedule; nothing is written."""
    tell(shop, *lines)
    found = refused(shop, "2026-06-01 10:00")
    assert sorted((code, line) for code, _, line in found) == expected
    assert {file for _, file, _ in found} == {f"{WEEK}/progress.yaml"}
    assert [path.name for path in (shop / "out").iterdir()] == [WEEK]


@pytest.mark.untraced
def test_the_parts_of_a_long_run_are_reported_one_by_one(tmp_path: Path) -> None:
    """One part is finished, another on the press: the prints on the back wait for no more than their own part."""
    shop = tmp_path.resolve() / "shop"
    shutil.copytree(SHOP, shop)
    settings = (shop / "shop.yaml").read_text("utf-8")
    (shop / "shop.yaml").write_text(settings.replace("  schedule: {", "  schedule: {split_from: 20, "), "utf-8")
    made = run(asked(shop)).run
    assert made is not None
    parts = [task.id for task in made.plan.tasks.tasks if task.ref == made.plan.tasks.task("R01a").ref]
    assert parts == ["R01a", "R01b"]
    assert violations(made.plan.schedule, made.plan.tasks, made.orders, made.shop) == []
    tell(shop, "  - {run: R01a, started: 2026-06-01 08:00, finished: 2026-06-01 09:00}\n")
    done = again(shop, "2026-06-01 09:05")
    assert faults(done) == []
    states = {each.task: each.state for each in done.replan.schedule.runs}
    assert (states["R01a"], states["R01b"]) == (RunState.FINISHED, RunState.PLANNED)
    tell(
        shop,
        "  - {run: R01a, started: 2026-06-01 08:00, finished: 2026-06-01 09:00, peeled: 2026-06-01 09:08}\n",
        "  - {run: R02a, started: 2026-06-01 09:10}\n",
    )
    assert faults(again(shop, "2026-06-01 09:20")) == []
    tell(shop, "  - {run: R02b, started: 2026-06-01 09:10}\n")
    assert refused(shop, "2026-06-01 09:20") == [("E211", f"{WEEK}/progress.yaml", 2)]


def test_a_run_is_named_by_its_papers(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Job files that were put aside, or changed, are not needed: the ledger keeps the orders as they were run."""
    for file in (shop / WEEK).iterdir():
        file.unlink()
    papers = shop / "out" / WEEK
    (papers / "progress.yaml").write_text("runs:\n" + FIRST, "utf-8")
    given = ["run", str(papers), "--as-of", "2026-06-01 09:05"]
    assert cli.main(given) == cli.ExitCode.DONE
    assert "1 run finished" in capsys.readouterr().out
    planned = json.loads((shop / "out" / f"{WEEK}-at-0601-0905" / "replan.json").read_text("utf-8"))
    assert planned["runs"] == [WEEK]
    assert f"out/{WEEK}/progress.yaml" in [each["path"] for each in planned["inputs"]]

    elsewhere = shop / "out" / "2026-W99"
    papers.rename(elsewhere)
    given = ["run", str(elsewhere), "--as-of", "2026-06-01 09:05"]
    assert cli.main(given) == cli.ExitCode.USAGE
    assert "the ledger has no run `2026-W99`" in capsys.readouterr().err


def test_a_plugin_adds_a_paper(shop: Path) -> None:
    """The hook for a week that is planned again is every plugin's, as it is for a run."""
    (shop / "shop_plugins").mkdir()
    (shop / "shop_plugins" / "board.py").write_text(
        "from pipeline.hookspecs import hookimpl\n"
        "from pipeline.model.document import Audience, Document\n\n\n"
        "@hookimpl\n"
        "def make_replan_documents(replan):\n"
        "    text = ' '.join(run.task for run in replan.schedule.runs)\n"
        "    yield Document(path='floor/board.txt', title='Board', content=text.encode(), audience=Audience.FLOOR)\n",
        "utf-8",
    )
    done = again(shop, "2026-06-01 08:00")
    board = (shop / "out" / done.replan.label / "floor/board.txt").read_text("utf-8")
    assert sorted(board.split()) == [task.id for task in done.replan.tasks.tasks]


def test_from_the_command_line(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What people type, what they are told, and what tools are told."""
    tell(shop, FIRST)
    given = ["run", str(shop / WEEK), "--as-of", "2026-06-01 09:05"]
    assert cli.main(given) == cli.ExitCode.DONE
    told = capsys.readouterr().out
    assert f"{WEEK} again, as of Mon 1 Jun 2026, 09:05" in told
    assert "1 run finished" in told
    assert cli.main([*given, "--format", "json"]) == cli.ExitCode.DONE
    assert json.loads(capsys.readouterr().out)["label"] == f"{WEEK}-at-0601-0905"
