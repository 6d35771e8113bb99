"""Calendar files, read back by a library that shares no code with their writer; and the schedule by operator."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import icalendar
import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from pipeline.model.run import Replan
from pipeline.model.schedule import RunState
from pipeline.shop import Shop
from plugins.documents import make_replan_documents
from plugins.documents.desk import Desk
from plugins.documents.ical import Event, calendar
from plugins.documents.timetable import schedule_drawings
from tests.builders import make_line, make_order
from tests.documents.small_shop import drawn, numbered_run, papers_of, shop_on_disk

pytestmark = pytest.mark.untraced

STAMP = datetime(2026, 11, 30, tzinfo=UTC)
_TEXT = st.text(st.characters(exclude_categories=("Cc", "Cs", "Zl", "Zp")), max_size=200)


@pytest.fixture(name="shop")
def _shop(tmp_path: Path) -> Shop:
    return shop_on_disk(tmp_path)


def events(content: bytes) -> list[icalendar.Event]:
    """The entries of a file, as the library reads them."""
    return list(icalendar.Calendar.from_ical(content).walk("VEVENT"))


def one_event(**changes: object) -> Event:
    """An hour's work."""
    given_ = {
        "uid": "week.r01@shop",
        "sequence": 0,
        "start": STAMP,
        "end": STAMP + timedelta(hours=1),
        "title": "R01",
        "place": "Clamshell",
        "text": "30 pieces",
    }
    return Event(**{**given_, **changes})  # type: ignore[arg-type]


@given(title=_TEXT, text=st.lists(_TEXT, max_size=4).map("\n".join))
def test_texts_come_back_as_they_were(title: str, text: str) -> None:
    """Whatever stands in a customer's file: escaped, folded at 75 octets without cutting a character in two."""
    content = calendar("A press", [one_event(title=title, text=text)], STAMP)
    (event,) = events(content)
    assert (str(event["SUMMARY"]), str(event["DESCRIPTION"])) == (title, text)
    # RFC 5545, section 3.1: lines end with CR LF and have 75 octets at the most.
    assert content.endswith(b"\r\n")
    for line in content.split(b"\r\n"):
        assert len(line) <= 75
        assert b"\n" not in line
        line.decode()


def test_each_press_has_its_runs(shop: Shop) -> None:
    """The entries of a run's calendar are its schedule; the same run gives the same bytes, stamped with its day."""
    orders = [make_order(f"H-{n}", lines=(make_line(prints=(drawn(shop),)),)) for n in (101, 102)]
    run = numbered_run(shop, orders)
    content = papers_of(run)["floor/calendar-press-a.ics"].content
    found = {str(event["UID"]): event for event in events(content)}
    assert len(found) == len(run.schedule.runs) == 2
    for each in run.schedule.runs:
        event = found[f"2026-w49.{each.task.lower()}@gullhaven-press-works.peelwright.invalid"]
        assert event["DTSTART"].dt == each.change_start
        assert event["DTEND"].dt == each.end
        assert event["DTSTAMP"].dt == datetime(run.date.year, run.date.month, run.date.day, tzinfo=UTC)
        assert event["SEQUENCE"] == 0
        assert each.operator in str(event["DESCRIPTION"])
    assert icalendar.Calendar.from_ical(content)["VERSION"] == "2.0"
    assert papers_of(run)["floor/calendar-press-a.ics"].content == content


def test_a_planning_replaces_the_entries(shop: Shop) -> None:
    """The same names and a higher sequence (RFC 5545, section 3.8.7.4); no instruction for what is finished."""
    run = numbered_run(
        shop, [make_order(f"H-{n}", lines=(make_line(prints=(drawn(shop),)),)) for n in (101, 102)]
    )
    before = events(papers_of(run)["floor/calendar-press-a.ics"].content)
    first, *rest = run.schedule.runs
    as_of = run.schedule.start + timedelta(hours=2)
    schedule = evolve(run.schedule, as_of=as_of, runs=(evolve(first, state=RunState.FINISHED), *rest))
    replan = Replan(
        label="again",
        runs=(run.label,),
        date=as_of.date(),
        shop=shop,
        orders=run.orders,
        tasks=run.tasks,
        schedule=schedule,
    )
    papers = {document.path: document for document in make_replan_documents(replan=replan)}
    after = events(papers["floor/calendar-press-a.ics"].content)
    assert {str(event["UID"]) for event in after} == {str(event["UID"]) for event in before}
    assert {event["SEQUENCE"] for event in after} == {120}
    instructions = {path for path in papers if path.startswith("floor/press-")}
    assert instructions == {f"floor/press-{each.task.lower()}.pdf" for each in rest}


def test_the_schedule_is_drawn_by_press_and_by_operator(shop: Shop) -> None:
    """Every run stands in both drawings, and a person's name once, whatever goes on at once."""
    run = numbered_run(
        shop, [make_order(f"H-{n}", lines=(make_line(prints=(drawn(shop),)),)) for n in (101, 102)]
    )
    at_once = tuple(evolve(each, change_start=run.schedule.start) for each in run.schedule.runs)
    doubled = evolve(run, plan=evolve(run.plan, schedule=evolve(run.schedule, runs=at_once)))
    said = {name: _words(drawing) for name, drawing in schedule_drawings(Desk(doubled)).items()}
    assert set(said) == {"presses", "operators"}
    for task in ("R01", "R02"):
        assert any(word.startswith(task) for word in said["presses"])
        assert task in said["operators"]
    assert said["operators"].count("Ada") == 1


def _words(drawing: object) -> list[str]:
    return [str(part.text) for part in drawing.contents if hasattr(part, "text")]  # type: ignore[attr-defined]
