"""What the terminal shows while a run works: one line that changes, and nothing at all in a pipe or a short run."""

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TextIO

_PATIENCE = 1.0
"""Seconds that pass before anything is shown."""


@contextmanager
def progress_on(stream: TextIO) -> Iterator[Callable[[str], None]]:
    """Something to tell what begins; it shows on `stream` when that is a terminal, and cleans up at the end."""
    if not stream.isatty():
        yield lambda _: None
        return
    began = time.monotonic()
    shown = 0

    def show(what: str) -> None:
        nonlocal shown
        if time.monotonic() - began >= _PATIENCE or what in _LONG:
            stream.write("\r" + f"{what} ...".ljust(shown))
            stream.flush()
            shown = max(shown, len(what) + 4)

    try:
        yield show
    finally:
        if shown:
            stream.write("\r" + " " * shown + "\r")
            stream.flush()


# These may last longer than the patience, and nothing is told in between.
_LONG = ("grouping", "scheduling", "documents")
