"""A new shop works at once, and overwrites nothing."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from pipeline.model.run import RunKind
from pipeline.new_shop import make_shop
from pipeline.problems import StopRun
from pipeline.request import Request, find_jobs, find_shop
from pipeline.run import check


@pytest.fixture(name="made", scope="module")
def _made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A new shop."""
    return make_shop(tmp_path_factory.mktemp("new") / "my-shop")


def test_its_week_goes_through(made: Path) -> None:
    """The first thing that a new user does with it."""
    jobs, week, label = find_jobs([made / "2026-W49"])
    shop = find_shop([made / "2026-W49"], None)
    now = datetime(2031, 5, 5, tzinfo=UTC)
    report = check(Request(kind=RunKind.RUN, shop=shop, files=jobs, week=week, label=label, now=now))
    assert (len(report.orders), report.held, report.problems) == (11, (), ())


def test_editors_find_the_schemas(made: Path) -> None:
    """The first line of every file names a schema that came along."""
    files = [path for path in made.rglob("*.yaml") if ".schemas" not in path.parts]
    assert len(files) > 30
    for path in files:
        first = path.read_text("utf-8").partition("\n")[0]
        target = (path.parent / first.removeprefix("# yaml-language-server: $schema=")).resolve()
        assert target.parent == made.resolve() / ".schemas"
        assert target.is_file(), path


def test_nothing_of_ours_comes_along(made: Path) -> None:
    """Neither what a run of the sample left, nor the orders that teach mistakes, nor Python's own files."""
    names = {path.name for path in made.rglob("*")}
    assert not names & {"out", "ledger.sqlite", "__pycache__", "__init__.py", "2026-W49-held"}
    assert (made / "shop_plugins" / "island_ferry.py").is_file()


def test_an_empty_folder_may_be_there_already(tmp_path: Path) -> None:
    """Made with the file manager, perhaps."""
    (tmp_path / "mine").mkdir()
    assert (make_shop(tmp_path / "mine") / "shop.yaml").is_file()


@pytest.mark.parametrize("name", ["folder", "file"])
def test_nothing_is_overwritten(tmp_path: Path, name: str) -> None:
    """A folder with something in it, and a file, stay as they are."""
    (tmp_path / "folder").mkdir()
    (tmp_path / "folder" / "letter.txt").write_text("Dear", "utf-8")
    (tmp_path / "file").write_text("Dear", "utf-8")
    with pytest.raises(StopRun) as stop:
        make_shop(tmp_path / name)
    assert [problem.code for problem in stop.value.problems] == ["E700"]
    assert sorted(path.name for path in tmp_path.rglob("*")) == ["file", "folder", "letter.txt"]
