"""What is drawn otherwise than an SVG asks: said here or in svglib's log, and caught while a drawing is made."""

import logging
from collections.abc import Iterator
from contextlib import contextmanager

_LOG = logging.getLogger("svglib.svglib")
# It lists what it did not use unless its own logger says otherwise, whoever listens.
_LOG.setLevel(logging.WARNING)
_LONGEST = 100
"""Characters of what is said that are kept: it may quote a value of any length."""


def doubt(what: str, *quoted: object) -> None:
    """Say it where svglib says what it could not draw."""
    _LOG.warning(what, *quoted)


@contextmanager
def heard() -> Iterator[dict[str, None]]:
    """What is said in here, in its order and each once; nobody else hears it."""
    listener = _Listener()
    before, _LOG.propagate = _LOG.propagate, False
    _LOG.addHandler(listener)
    try:
        yield listener.said
    finally:
        _LOG.removeHandler(listener)
        _LOG.propagate = before


class _Listener(logging.Handler):
    def __init__(self) -> None:
        super().__init__()
        self.said: dict[str, None] = {}

    def emit(self, record: logging.LogRecord) -> None:
        # An inch of 90 px. An order says how large a drawing is printed, so it hardly ever shows.
        if "90 dpi" in str(record.msg):
            return
        text = record.getMessage()
        self.said[text if len(text) <= _LONGEST else f"{text[: _LONGEST - 1]}…"] = None
