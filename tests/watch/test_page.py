"""The page of the watched folder, by the stage that draws it (the hook `show_folder`)."""

from datetime import UTC, date, datetime
from typing import Any

from pipeline.model.document import Document
from pipeline.model.folder import Closing, RejectedFile, WaitingOrder, WatchedFolder
from pipeline.model.money import Money
from plugins.documents import show_folder
from tests.builders import make_shop

AT = datetime(2026, 11, 30, 12, 5, tzinfo=UTC)


def make_folder(**changes: Any) -> WatchedFolder:
    """An empty folder, but for `changes`."""
    given = {
        "at": AT,
        "policy": "gather",
        "watchers": 1,
        "closes": None,
        "arriving": (),
        "arriving_count": 0,
        "in_work": 0,
        "waiting": (),
        "waiting_count": 0,
        "rejected": (),
        "rejected_count": 0,
        "plan": "",
        "last": None,
        "faults": (),
    }
    return WatchedFolder(**{**given, **changes})


def page(**changes: Any) -> str:
    """The page."""
    made = show_folder(folder=make_folder(**changes), shop=make_shop())
    assert isinstance(made, Document)
    return made.content.decode()


def test_it_refreshes_itself() -> None:
    """From the disk, without a script; an empty folder has a page, too."""
    assert '<meta http-equiv="refresh" content="5">' in page()
    assert "<script" not in page()
    assert "0 orders gathered" in page()
    assert "as of Mon 30 Nov 2026, 12:05" in page()


def test_it_shows_what_waits() -> None:
    """Each order with its price by the plan as it stands, the reasons where one is held, and the way to both."""
    waiting = (
        WaitingOrder(
            job="H-101",
            customer="harbour-bakery",
            received=AT,
            file="done/2026-11-30/h.yaml",
            due=date(2026, 12, 18),
            pieces=6,
            net=Money(5400),
        ),
        WaitingOrder(
            job="H-102", customer="harbour-bakery", received=AT, file="done/x.yaml", held=("<late> & more",)
        ),
    )
    text = page(waiting=waiting, waiting_count=60, plan="quote-gathered", closes=AT)
    assert '<a href="received/H-101.txt">H-101</a>' in text
    assert "$54.00" in text
    assert "Held: &lt;late&gt; &amp; more" in text
    assert "The first 2 of 60." in text
    assert '<a href="quote-gathered/index.html">' in text
    assert "the week is closed on Mon 30 Nov 2026, 12:05" in text


def test_it_shows_what_went_wrong() -> None:
    """Rejected files with the way to their reasons, and what keeps the watcher from its work."""
    rejected = (
        RejectedFile(
            name="inbox/a b.yaml", file="rejected/d/a b.yaml", reasons="rejected/d/a b.txt", message="no <tee>"
        ),
    )
    text = page(
        rejected=rejected, rejected_count=1, faults=("disk full",), arriving=("x.yaml",), arriving_count=1
    )
    assert '<a href="../rejected/d/a%20b.txt">' in text
    assert "no &lt;tee&gt;" in text
    assert "disk full" in text
    assert "x.yaml" in text


def test_it_shows_the_last_closing() -> None:
    """With the way to its page; when nothing else says so, the week is closed by hand."""
    last = Closing(label="2026-W49", date=date(2026, 11, 30), orders=3)
    text = page(last=last, waiting_count=1)
    assert '<a href="2026-W49/index.html">2026-W49</a>' in text
    assert "closed by hand" in text
