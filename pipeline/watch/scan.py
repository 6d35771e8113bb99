"""What lies in the inbox. The scan is the truth: it misses nothing, on network shares and after a restart too."""

import os
import stat
from pathlib import Path

from attrs import frozen

from pipeline.request import JOB_SUFFIXES, SHOP_FILE, WEEK_FILE

_NOT_BEFORE = (b".", b"~", b"#")


@frozen(kw_only=True)
class Seen:
    """A file in the inbox as it was found. It is the same file, unchanged, while this is equal."""

    path: Path
    size: int
    mtime_ns: int
    inode: int

    @property
    def turn(self) -> tuple[int, bytes]:
        """Whose turn it is: the earliest first, of two of one moment by the bytes of their names."""
        return self.mtime_ns, os.fsencode(self.path.name)


def scan(inbox: Path) -> tuple[Seen, ...]:
    """Every candidate in turn. Raises OSError when the folder cannot be read."""
    found = []
    with os.scandir(inbox) as entries:
        for entry in entries:
            if not is_candidate(entry.name):
                continue
            try:
                status = entry.stat(follow_symlinks=False)
                # On Windows the folder's own record has no inode and may be late.
                if os.name == "nt":
                    status = os.lstat(entry.path)
            except FileNotFoundError:  # claimed by another watcher meanwhile
                continue
            if stat.S_ISREG(status.st_mode):
                found.append(seen(inbox / entry.name, status))
    return tuple(sorted(found, key=lambda file: file.turn))


def seen(path: Path, status: os.stat_result) -> Seen:
    """A file of this status."""
    return Seen(path=path, size=status.st_size, mtime_ns=status.st_mtime_ns, inode=status.st_ino)


def is_candidate(name: str) -> bool:
    """A job file by its name: neither hidden, nor an editor's or a copier's file that is not finished.

    What ends otherwise than in .yaml or .yml is passed over: `~`, `.tmp`, `.part`, `.swp`, `.crdownload`, ...
    """
    return (
        name.endswith(JOB_SUFFIXES)
        and not os.fsencode(name).startswith(_NOT_BEFORE)
        and name not in (SHOP_FILE, WEEK_FILE)
    )
