"""Which files in the inbox are complete. A file that is still being written is a valid order, but another one.

Without an end marker: size, time and inode were the same in two scans at least so many seconds apart, and no
program has the file open for writing, where the system can tell. With one: the last line is `...`.
"""

import os
import signal
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from pipeline.watch.scan import Seen

END_MARKER = b"..."


class Settling:
    """What was seen of the inbox so far. Nothing of it need outlive the program."""

    def __init__(self) -> None:
        self._since: Mapping[Seen, float] = {}
        self._ended: Mapping[Seen, bool] = {}

    def quiet(self, found: Iterable[Seen], now: float, seconds: float) -> tuple[Seen, ...]:
        """Those that were left alone for so long. `now` is of a clock that never goes back."""
        self._since = {file: self._since.get(file, now) for file in found}
        return tuple(file for file, since in self._since.items() if now - since >= seconds)

    def ended(self, found: Iterable[Seen]) -> tuple[Seen, ...]:
        """Those that end with the marker. An end is looked at until it has one."""
        self._ended = {file: self._ended.get(file) or _ends(file.path) for file in found}
        return tuple(file for file, ended in self._ended.items() if ended)


def ends_with_marker(content: bytes) -> bool:
    """True when the last line is `...`, with or without a line end."""
    last = content.removesuffix(b"\n").removesuffix(b"\r")
    return last == END_MARKER or last.endswith(b"\n" + END_MARKER)


def open_unfollowed(path: Path) -> int:
    """A descriptor for reading: never of what a link leads to, and never waiting for a pipe's other end."""
    flags = ("O_NOFOLLOW", "O_NONBLOCK", "O_CLOEXEC", "O_BINARY")
    return os.open(path, os.O_RDONLY | sum(getattr(os, flag, 0) for flag in flags))


def _ends(path: Path) -> bool:
    try:
        handle = open_unfollowed(path)
    except OSError:  # claimed by another, or not to be read: it waits, and is shown as waiting
        return False
    with os.fdopen(handle, "rb") as file:
        # The last line and both its line ends, and one byte more: a shorter file is read whole.
        file.seek(max(0, os.fstat(handle).st_size - 8))
        return ends_with_marker(file.read())


try:
    from fcntl import F_RDLCK, F_SETLEASE, F_SETSIG, F_UNLCK, fcntl
except ImportError:  # not Linux

    @contextmanager
    def unwritten(path: Path) -> Iterator[bool]:  # noqa: ARG001 (one signature for all systems)
        """True, since here nobody can say who writes."""
        yield True
else:

    @contextmanager
    def unwritten(path: Path) -> Iterator[bool]:
        """False when a program has the file open for writing. While it is true, none can open it so.

        Raises OSError when the file cannot be read.
        """
        try:
            handle = open_unfollowed(path)
        except FileNotFoundError:
            yield False
            return
        try:
            # Whoever wants to write meanwhile makes the kernel send us a signal; this one is ignored by default.
            fcntl(handle, F_SETSIG, signal.SIGURG)
            held = _lease(handle, F_RDLCK)
            yield held is not False
            if held:
                _lease(handle, F_UNLCK)
        finally:
            os.close(handle)

    def _lease(handle: int, kind: int) -> bool | None:
        """True when we have it, False when somebody writes, None where there are no leases (a network share)."""
        try:
            fcntl(handle, F_SETLEASE, kind)
        except BlockingIOError:
            return False
        except OSError:
            return None
        return True
