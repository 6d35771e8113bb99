"""A file inside the shop's folder, and surely inside: a job file may come from anyone.

On POSIX each folder is opened from the one above it and no symlink is followed, so that nobody can exchange a
folder between look and open. Elsewhere each part is looked at before the file is opened by its path.
"""

import os
import re
import stat
from collections.abc import Iterable
from contextlib import ExitStack
from pathlib import Path

from pipeline.artwork.unfit import Unfit
from pipeline.problems import nearest

MAX_BYTES = 50_000_000

_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069\ud800-\udfff]")
# What Windows forbids in names, and its names of devices: a shop's folder must work on every system.
_RESERVED = re.compile(r'.*[<>:"|?*\\].*|.*[. ]|(?:con|prn|aux|nul|com\d|lpt\d)(?:\..*)?', re.IGNORECASE)
_BY_FOLDER = os.open in os.supports_dir_fd and os.listdir in os.supports_fd and hasattr(os, "O_NOFOLLOW")


def read_inside(root: Path, path: str) -> bytes:
    """The bytes of the file `path` (relative to `root`, parts divided by `/`).

    Raises Unfit: E301 there is no such file, E302 the path leads elsewhere, E303 it cannot be read, E306 it is
    larger than MAX_BYTES.
    """
    parts = _parts(path)
    try:
        with ExitStack() as stack:
            descriptor = (_descend if _BY_FOLDER else _look_and_open)(root, parts, path, stack)
            status = os.fstat(descriptor)
            if not stat.S_ISREG(status.st_mode):
                raise Unfit("E303", f"`{path}` is not a file", "name the file itself")
            if status.st_size > MAX_BYTES:
                message = f"`{path}` has {status.st_size:,} bytes; at most {MAX_BYTES:,} are read"
                raise Unfit("E306", message, "export it smaller")
            with os.fdopen(os.dup(descriptor), "rb") as stream:
                return stream.read(MAX_BYTES + 1)
    except OSError as error:
        message = f"`{path}` cannot be read: {error.strerror or error}"
        raise Unfit("E303", message, "look at the permissions of the file") from error


def _parts(path: str) -> list[str]:
    hint = "write the path from the shop's folder, such as art/harbour-bakery/chest.svg"
    if _CONTROL.search(path):
        raise Unfit("E302", "the path holds a control character", hint)
    if "\\" in path:
        raise Unfit("E302", f"`{path}` holds a backslash", f"write {path.replace(chr(92), '/')}")
    parts = path.split("/")
    if path.startswith("/") or re.match(r"[A-Za-z]:", path):
        raise Unfit("E302", f"`{path}` does not begin in the shop's folder", hint)
    for part in parts:
        if part in ("", ".", ".."):
            raise Unfit("E302", f"`{path}` leads through `{part}`", hint)
        if _RESERVED.fullmatch(part):
            raise Unfit("E302", f"`{part}` cannot be a file's name on every system", "rename the file")
    return parts


def _check_listed(parts: list[str], index: int, listed: Iterable[str]) -> None:
    """Each part must be written exactly as in its folder, on systems too where capitals do not count."""
    names = [name for name in listed if not name.startswith(".")]
    if parts[index] not in names:
        hint = "look for its name"
        if near := nearest(parts[index], names):
            hint = f"did you mean `{'/'.join((*parts[:index], near, *parts[index + 1 :]))}`?"
        raise Unfit("E301", f"there is no file `{'/'.join(parts)}`", hint)


def _descend(root: Path, parts: list[str], path: str, stack: ExitStack) -> int:
    """A descriptor of the file, closed by `stack`; every folder on the way is held open."""

    def opened(name: str | Path, flags: int, parent: int | None = None) -> int:
        descriptor = os.open(name, flags | os.O_RDONLY | os.O_CLOEXEC, dir_fd=parent)
        stack.callback(os.close, descriptor)
        return descriptor

    folder = opened(root, os.O_DIRECTORY)
    for index, part in enumerate(parts):
        _check_listed(parts, index, os.listdir(folder))  # noqa: PTH208 - a descriptor, not a path
        mode = os.stat(part, dir_fd=folder, follow_symlinks=False).st_mode
        _check_mode(mode, part, path, last=index == len(parts) - 1)
        folder = opened(part, os.O_NOFOLLOW | os.O_NONBLOCK, folder)
    return folder


def _look_and_open(root: Path, parts: list[str], path: str, stack: ExitStack) -> int:
    """The same by path, for systems without folder descriptors."""
    place = root
    for index, part in enumerate(parts):
        _check_listed(parts, index, (entry.name for entry in place.iterdir()))
        place = place / part
        _check_mode(place.lstat().st_mode, part, path, last=index == len(parts) - 1)
    descriptor = os.open(place, os.O_RDONLY | getattr(os, "O_BINARY", 0))
    stack.callback(os.close, descriptor)
    return descriptor


def _check_mode(mode: int, part: str, path: str, last: bool) -> None:
    if stat.S_ISLNK(mode):
        raise Unfit("E302", f"`{part}` is a link that leads elsewhere", "put the file itself there")
    if last and not stat.S_ISREG(mode):
        raise Unfit("E303", f"`{path}` is not a file", "name the file itself")
    if not last and not stat.S_ISDIR(mode):
        raise Unfit("E301", f"there is no file `{path}`: `{part}` is not a folder", "look for its name")
