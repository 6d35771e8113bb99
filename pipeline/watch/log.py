"""The log: one line of JSON for each event, with nothing in it that could drive a terminal."""

import json
import sys
from datetime import datetime
from pathlib import Path
from typing import Protocol

from pipeline.report import printable


class Log(Protocol):
    """Where events are told."""

    def __call__(self, at: datetime, event: str, **details: str | int) -> None:
        """Tell an event."""


class LineLog:
    """Events as lines, onto standard error or a file, which is opened for each: it may be renamed meanwhile."""

    def __init__(self, path: Path | None = None) -> None:
        self._path = path

    def __call__(self, at: datetime, event: str, **details: str | int) -> None:
        """Write a line. What cannot be written does not stop the work: the orders matter more."""
        shown = {key: printable(value) if isinstance(value, str) else value for key, value in details.items()}
        line = json.dumps({"at": at.isoformat(timespec="milliseconds"), "event": event, **shown}) + "\n"
        try:
            if self._path is None:
                sys.stderr.write(line)
                sys.stderr.flush()
            else:
                with self._path.open("a", encoding="ascii") as file:
                    file.write(line)
        except OSError:
            return
