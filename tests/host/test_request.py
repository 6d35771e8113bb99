"""What a command line asks for: which files, which shop, which day."""

from datetime import UTC, date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from attrs import evolve

from pipeline.batch import read_batch
from pipeline.problems import Problem, StopRun
from pipeline.request import as_typed, display_name, find_jobs, find_shop, is_job_file
from tests.host.folder import MONDAY, NOON, request, write

NEW_YORK = ZoneInfo("America/New_York")


def refused(*paths: Path) -> tuple[Problem, ...]:
    """Why these paths cannot be run."""
    with pytest.raises(StopRun) as stop:
        find_jobs(paths)
    return stop.value.problems


def test_a_folder_gives_its_files_its_week_and_its_name(shop: Path) -> None:
    """The usual way: one folder for each week."""
    (shop / "week" / "week.yaml").write_text("date: 2026-11-30\n", "utf-8")
    files, week, label = find_jobs([shop / "week"])
    assert [file.name for file in files] == ["h-101.yaml", "h-102.yaml"]
    assert (week, label) == (shop / "week" / "week.yaml", "week")


def test_several_paths_have_no_name(shop: Path) -> None:
    """Files, or two folders: the run is called for its ISO week, and no week.yaml decides for the others."""
    write(shop, "H-201", week="other")
    (shop / "week" / "week.yaml").write_text("date: 2026-11-30\n", "utf-8")
    files, week, label = find_jobs([shop / "week", shop / "other" / "h-201.yaml"])
    assert ([file.stem for file in files], week, label) == (["h-101", "h-102", "h-201"], None, "")
    assert read_batch(evolve(request(shop), files=files, label=label)).label == "2026-W49"


def test_a_file_named_twice_is_one_order(shop: Path) -> None:
    """By itself and by its folder, or by two spellings."""
    file = shop / "week" / "h-101.yaml"
    files, _, _ = find_jobs([file, shop / "week", shop / "week" / ".." / "week" / "h-101.yaml"])
    assert sorted(path.stem for path in files) == ["h-101", "h-102"]


def test_every_wrong_path_is_named(shop: Path) -> None:
    """All at once, so that it is mended at once."""
    (shop / "empty").mkdir()
    messages = [problem.message for problem in refused(shop / "no", shop / "empty", shop / "shop.yaml")]
    assert len(messages) == 3
    assert any("no` does not exist" in message for message in messages)
    assert any("empty` holds no job file" in message for message in messages)
    assert any("shop.yaml` is no job file" in message for message in messages)


@pytest.mark.parametrize("name", ["week/week.yaml", "art/gull.svg", "week/notes.txt"])
def test_a_file_that_cannot_be_an_order_is_said_to_be_none(shop: Path, name: str) -> None:
    """Read as an order it would earn a page of complaints that miss the point."""
    (shop / name).touch()
    (problem,) = refused(shop / name)
    assert "is no job file" in problem.message


def test_the_shop_itself_is_not_a_week(shop: Path) -> None:
    """A natural slip: the hint names the folders with orders in them, and not the shop's own."""
    (problem,) = refused(shop)
    assert problem.hint.endswith(f"`{shop / 'week'}`")
    (problem,) = refused(shop / "customers")
    assert "the shop's own" in problem.hint


def test_many_weeks_are_not_all_listed(shop: Path) -> None:
    """After a year a shop has fifty."""
    for number in range(5):
        write(shop, f"H-{number}", week=f"w{number}")
    (problem,) = refused(shop)
    assert problem.hint.endswith("(and 3 more)")


@pytest.mark.parametrize(
    ("name", "is_one"),
    [
        ("a.yaml", True),
        ("b.yml", True),
        ("shop.yaml", False),
        ("week.yaml", False),
        ("a.yaml~", False),
        (".a.yaml.swp", False),
        (".hidden.yaml", False),
        ("~a.yaml", False),
        ("#a.yaml", False),
        ("a.json", False),
    ],
)
def test_what_counts_as_a_job_file(tmp_path: Path, name: str, is_one: bool) -> None:
    """What editors leave behind is no order."""
    (tmp_path / name).touch()
    assert is_job_file(tmp_path / name) is is_one


def test_a_folder_is_no_job_file(tmp_path: Path) -> None:
    """Even when it is called like one."""
    (tmp_path / "old.yaml").mkdir()
    assert not is_job_file(tmp_path / "old.yaml")


def test_the_nearest_shop_upward(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """From the first path, or from where the user stands; files and folders alike."""
    deep = shop / "2026" / "november"
    deep.mkdir(parents=True)
    assert find_shop([deep], None) == shop
    assert find_shop([shop / "week" / "h-101.yaml"], None) == shop
    monkeypatch.chdir(deep)
    assert find_shop([], None) == shop
    assert find_shop([Path()], None) == shop


def test_a_shop_that_is_named_wins(shop: Path, tmp_path: Path) -> None:
    """The folder or its shop.yaml; orders may lie anywhere."""
    assert find_shop([tmp_path], shop) == shop
    assert find_shop([tmp_path], shop / "shop.yaml") == shop
    with pytest.raises(StopRun, match=r"holds no shop\.yaml"):
        find_shop([tmp_path], tmp_path)


def test_no_shop_at_all(tmp_path: Path) -> None:
    """The hint tells how to name one and how to make one."""
    with pytest.raises(StopRun) as stop:
        find_shop([tmp_path], None)
    assert "new-shop" in stop.value.problems[0].hint


def test_names_never_tell_the_machine(shop: Path, tmp_path: Path) -> None:
    """Records and messages name files relative to the shop; what lies elsewhere by its last name."""
    assert display_name(shop / "week" / "h-101.yaml", shop) == "week/h-101.yaml"
    assert display_name(tmp_path / "elsewhere.yaml", shop) == "elsewhere.yaml"


def test_paths_as_people_type_them(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Relative below the place where the user stands, in full elsewhere, and as given when given so."""
    monkeypatch.chdir(tmp_path)
    here = Path.cwd()
    assert as_typed(here / "out" / "week") == str(Path("out", "week"))
    assert as_typed(here.parent / "out") == str(here.parent / "out")
    assert as_typed(Path("out")) == "out"


@pytest.mark.parametrize(
    ("day", "start", "expected"),
    [
        (None, None, (date(2026, 11, 25), datetime(2026, 11, 30, 7, 30, tzinfo=NEW_YORK))),
        (date(2026, 12, 1), None, (date(2026, 12, 1), datetime(2026, 12, 1, tzinfo=NEW_YORK))),
        (date(2026, 11, 25), None, (date(2026, 11, 25), datetime(2026, 11, 30, 7, 30, tzinfo=NEW_YORK))),
        (
            None,
            datetime.fromisoformat("2026-12-02 09:00"),
            (date(2026, 11, 25), datetime(2026, 12, 2, 9, tzinfo=NEW_YORK)),
        ),
    ],
)
def test_which_day(shop: Path, day: date | None, start: datetime | None, expected: tuple[date, datetime]) -> None:
    """The arguments before week.yaml; another day than the week's does not keep the week's start."""
    (shop / "week" / "week.yaml").write_text("date: 2026-11-25\nstart: 2026-11-30 07:30\n", "utf-8")
    batch = read_batch(request(shop, day=day, start=start))
    assert (batch.date, batch.start) == expected


@pytest.mark.parametrize(
    ("now", "day", "start"),
    [
        # 12:00 UTC is 7:00 in New York in winter (UTC-5): on the quarter, it may begin at once.
        (NOON, MONDAY, datetime(2026, 11, 30, 7, tzinfo=NEW_YORK)),
        (NOON.replace(second=1), MONDAY, datetime(2026, 11, 30, 7, 15, tzinfo=NEW_YORK)),
        # Shortly after midnight in London it is still the evening before in the shop.
        (datetime(2026, 12, 1, 0, 5, tzinfo=UTC), MONDAY, datetime(2026, 11, 30, 19, 15, tzinfo=NEW_YORK)),
    ],
)
def test_today_is_the_shops_and_what_is_past_cannot_be_planned(
    shop: Path, now: datetime, day: date, start: datetime
) -> None:
    """Without arguments and week.yaml the clock decides, by the shop's zone, from the next quarter of an hour on."""
    batch = read_batch(request(shop, day=None, now=now))
    assert (batch.date, batch.start) == (day, start)


def test_a_week_file_with_a_fault_stops(shop: Path) -> None:
    """It concerns all orders: its line is shown."""
    (shop / "week" / "week.yaml").write_text("date: soon\n", "utf-8")
    with pytest.raises(StopRun) as stop:
        read_batch(request(shop))
    assert stop.value.problems[0].origin.file == "week/week.yaml"
    assert "week/week.yaml" in stop.value.sources


def test_everything_that_was_read_is_in_the_record(shop: Path) -> None:
    """Years later one must be able to say from what a paper was made: plugins, templates and artwork, too."""
    (shop / "shop_plugins").mkdir()
    (shop / "shop_plugins" / "own.py").touch()
    (shop / "templates" / "papers").mkdir(parents=True)
    (shop / "templates" / "papers" / "invoice.xml.j2").touch()
    inputs = read_batch(request(shop)).inputs
    assert {
        "shop.yaml",
        "customers/harbour-bakery.yaml",
        "week/h-101.yaml",
        "shop_plugins/own.py",
        "templates/papers/invoice.xml.j2",
        "art/gull.svg",
    } <= set(inputs)
    assert "art/banner.svg" not in inputs
