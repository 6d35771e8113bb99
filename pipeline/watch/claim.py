"""Claims: a file is taken out of the inbox by a rename, which one watcher alone can do.

Each claim is a folder of its own, `work/<ns>-<pid>-<hex>/NAME`: a rename silently replaces what has its name. The
time is that of the claim, and the rest names the watcher, who holds the lock `work/<pid>-<hex>.lock`. When a lock
is free its watcher is dead, and whoever takes the lock resumes its claims.
"""

import errno
import os
import re
import secrets
import stat
from collections.abc import Iterator
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

from attrs import frozen

from pipeline.failpoints import reach
from pipeline.request import JOB_SUFFIXES
from pipeline.source import MAX_BYTES
from pipeline.watch.clock import Clock
from pipeline.watch.lock import Lock
from pipeline.watch.scan import Seen, seen
from pipeline.watch.settle import open_unfollowed

_CLAIM = re.compile(r"(?P<ns>\d+)-(?P<owner>\d+-[0-9a-f]+)", re.ASCII)
_TICK = 10**9
_ATTEMPT = "attempt-"
PART = ".part"
"""In a claim's folder: a file in the making."""


class NotAFile(Exception):
    """What was claimed is a link, a pipe or a folder by now."""


class StillWritten(Exception):
    """The file changed while it was read, or has lost its end."""


@frozen(kw_only=True)
class Claim:
    """One file that was taken out of the inbox."""

    #: The claim's folder, and the file's name as it was in the inbox.
    folder: Path
    name: str

    @property
    def id(self) -> str:
        """The name of the claim: no two are alike."""
        return self.folder.name

    @property
    def path(self) -> Path:
        """Where the file lies."""
        return self.folder / self.name

    @property
    def at(self) -> datetime:
        """When it was taken, UTC."""
        match = _CLAIM.fullmatch(self.folder.name)
        if match is None:
            raise AssertionError("a claim is called by its time")
        seconds, ns = divmod(int(match["ns"]), 10**9)
        return datetime.fromtimestamp(seconds, UTC).replace(microsecond=ns // 1000)

    def read(self) -> bytes:
        """The file, read once; of one that is too large, a byte more than may be read.

        Raises NotAFile, StillWritten and OSError.
        """
        if not stat.S_ISREG(self.path.lstat().st_mode):
            raise NotAFile
        with os.fdopen(open_unfollowed(self.path), "rb") as file:
            before = os.fstat(file.fileno())
            content = file.read(MAX_BYTES + 1)
            after = os.fstat(file.fileno())
        if seen(self.path, before) != seen(self.path, after) or min(after.st_size, MAX_BYTES + 1) != len(content):
            raise StillWritten
        reach("watch.read")
        return content

    def faults(self) -> tuple[str, ...]:
        """Of each attempt that did not come to an end, the fault; "" when the process was ended from outside."""
        marks = sorted(path for path in self.folder.iterdir() if _is_ours(path.name) and path.name != PART)
        return tuple(mark.read_text("utf-8", errors="replace") for mark in marks)

    def begin(self) -> Path:
        """Count an attempt before it is made: who is killed cannot count. `unlink` what is returned when it ended."""
        mark = self.folder / f"{_ATTEMPT}{len(self.faults()) + 1}"
        mark.touch()
        reach("watch.counted")
        return mark

    def clear(self) -> None:
        """Remove the claim, whose file is elsewhere now."""
        with suppress(FileNotFoundError):
            for ours in self.folder.iterdir():
                if _is_ours(ours.name):
                    ours.unlink(missing_ok=True)
            self.folder.rmdir()


class Claims:
    """The claims of one watcher."""

    def __init__(self, work: Path, clock: Clock, owner: str = "") -> None:
        self._work = work
        self._clock = clock
        self._last = 0
        self.owner = owner or f"{os.getpid()}-{secrets.token_hex(6)}"
        self._locks: dict[str, Lock] = {}

    def open(self) -> None:
        """Hold our lock. Raises OSError."""
        if self.owner not in self._locks:
            path = self._work / f"{self.owner}.lock"
            lock = Lock.take(path)
            if lock is None:  # another looks, this very moment, whether its holder is dead
                raise BlockingIOError(errno.EAGAIN, os.strerror(errno.EAGAIN), str(path))
            self._locks[self.owner] = lock

    def close(self) -> None:
        """Give back every lock. What is in `work/` is then for whoever comes next."""
        for lock in self._locks.values():
            lock.release()
        self._locks.clear()

    def take(self, file: Seen) -> Claim | None:
        """Claim a file; None when another was faster. Raises OSError."""
        now = self._clock.now()
        ns = int(now.timestamp()) * 10**9 + now.microsecond * 1000
        if (
            self._last - _TICK <= ns <= self._last
        ):  # the clock stands still; when it was set back, its time counts
            ns = self._last + 1
        while (folder := self._work / f"{ns}-{self.owner}").exists():
            ns += 1
        self._last = ns
        folder.mkdir()
        reach("watch.folder")
        try:
            file.path.rename(folder / file.path.name)
        except OSError as error:
            folder.rmdir()
            # On Windows a file that a program has open cannot be moved: it is not complete.
            if isinstance(error, FileNotFoundError) or (os.name == "nt" and isinstance(error, PermissionError)):
                return None
            raise
        reach("watch.claimed")
        return Claim(folder=folder, name=file.path.name)

    def resumed(self) -> tuple[Claim, ...]:
        """Our claims that are not done with, and those of watchers that are dead, in turn. Raises OSError."""
        found: list[tuple[tuple[int, bytes], Claim]] = []
        for folder in sorted(self._work.iterdir()):
            match = _CLAIM.fullmatch(folder.name)
            if match and self._is_ours(match["owner"]):
                found += self._in(folder)
        self._forget_the_dead()
        return tuple(claim for _, claim in sorted(found, key=lambda pair: pair[0]))

    def _is_ours(self, owner: str) -> bool:
        """True for ourselves, and for a watcher that is dead: its lock is then held, so that nobody else is it."""
        if owner not in self._locks:
            lock = Lock.take(self._work / f"{owner}.lock")
            if lock is None:
                return False
            self._locks[owner] = lock
        return True

    def _in(self, folder: Path) -> Iterator[tuple[tuple[int, bytes], Claim]]:
        """The claim of a folder; one without a file was cut off before or after, and is removed."""
        names = [path.name for path in folder.iterdir() if not _is_ours(path.name)]
        if not names:
            Claim(folder=folder, name="").clear()
        for name in names[:1]:
            claim = Claim(folder=folder, name=name)
            yield seen(claim.path, claim.path.lstat()).turn, claim

    def _forget_the_dead(self) -> None:
        """Give back the locks of dead watchers who have no claims left, and remove those of others."""
        left = {m["owner"] for path in self._work.iterdir() if (m := _CLAIM.fullmatch(path.name))}
        for path in sorted(self._work.glob("*-*.lock")):
            owner = path.name.removesuffix(".lock")
            if owner != self.owner and owner not in left and self._is_ours(owner):
                self._locks.pop(owner).release()


def _is_ours(name: str) -> bool:
    """True for what a watcher writes into a claim; a file of the inbox has neither name."""
    return name == PART or (name.startswith(_ATTEMPT) and not name.endswith(JOB_SUFFIXES))
