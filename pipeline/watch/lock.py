"""A lock on a file that ends with its holder, however that ends. Who takes it over removes the file."""

import os
import sys
from contextlib import suppress
from pathlib import Path

if sys.platform != "win32":
    import fcntl

    def _try_lock(handle: int) -> bool:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True
else:
    import msvcrt

    def _try_lock(handle: int) -> bool:
        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True


class Lock:
    """A lock that is held. `Lock.take` gives one."""

    def __init__(self, path: Path, handle: int) -> None:
        self.path = path
        self._handle = handle

    @classmethod
    def take(cls, path: Path) -> "Lock | None":
        """The lock of this file, made where it is missing; None while another holds it. Raises OSError."""
        while True:
            handle = os.open(path, os.O_RDWR | os.O_CREAT | getattr(os, "O_CLOEXEC", 0), 0o644)
            if not _try_lock(handle):
                os.close(handle)
                return None
            # Its last holder may have removed the file between our open and our lock.
            with suppress(FileNotFoundError):
                if os.path.samestat(os.fstat(handle), path.stat()):
                    return cls(path, handle)
            os.close(handle)

    def release(self) -> None:
        """Give it back and remove the file."""
        if sys.platform != "win32":
            self.path.unlink(missing_ok=True)
            os.close(self._handle)
        else:  # an open file cannot be removed there
            os.close(self._handle)
            with suppress(PermissionError):
                self.path.unlink(missing_ok=True)


def is_held(path: Path) -> bool:
    """True while somebody holds the lock of this file. It is not made where it is missing."""
    try:
        handle = os.open(path, os.O_RDWR)
    except FileNotFoundError:
        return False
    try:
        return not _try_lock(handle)
    finally:
        os.close(handle)
