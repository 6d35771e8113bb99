"""What shows while a run works."""

from io import StringIO

import pytest

from pipeline import progress
from pipeline.progress import progress_on


class Terminal(StringIO):
    """A stream that calls itself a terminal."""

    def isatty(self) -> bool:
        """True."""
        return True


@pytest.fixture(name="clock")
def _clock(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """A clock that stands until the test moves it."""
    clock = [0.0]
    monkeypatch.setattr(progress.time, "monotonic", lambda: clock[0])
    return clock


def test_silent_in_a_pipe(clock: list[float]) -> None:
    """A log wants results, not a line that changes."""
    stream = StringIO()
    with progress_on(stream) as show:
        clock[0] = 60
        show("grouping")
    assert stream.getvalue() == ""


def test_silent_while_nobody_waits(clock: list[float]) -> None:
    """What is done within a second needs no words."""
    stream = Terminal()
    with progress_on(stream) as show:
        clock[0] = 0.9
        show("reading")
    assert stream.getvalue() == ""


def test_shows_what_lasts_and_wipes_it(clock: list[float]) -> None:
    """One line: a shorter word covers the longer one before it, and in the end nothing is left of it."""
    stream = Terminal()
    with progress_on(stream) as show:
        clock[0] = 1.0
        show("scheduling")
        show("writing")
    longest = len("scheduling ...")
    first, second, wiped = stream.getvalue().split("\r")[1:4]
    assert (first, second) == ("scheduling ...", "writing ...".ljust(longest))
    assert wiped == " " * longest
    assert stream.getvalue().endswith("\r")


def test_long_parts_show_at_once(clock: list[float]) -> None:
    """Within a search nothing is told: whoever waits must see it begin."""
    stream = Terminal()
    with progress_on(stream) as show:
        show("grouping")
    assert stream.getvalue().startswith("\rgrouping ...")


def test_wipes_when_something_is_raised(clock: list[float]) -> None:
    """An error must not stand behind half a word."""
    stream = Terminal()

    def fails() -> None:
        with progress_on(stream) as show:
            show("documents")
            raise ValueError("x")

    with pytest.raises(ValueError, match="x"):
        fails()
    assert stream.getvalue().endswith(" \r")
