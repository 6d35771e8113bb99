"""Files that are on the disk when we say so, and never half there. Every function raises OSError.

A file is written under another name beside its place and renamed: a reader sees the old one or the new one. What
is left of a writer that was killed begins with a dot and ends in `.part`.
"""

import os
import re
import secrets
import shutil
from collections.abc import Collection
from contextlib import suppress
from pathlib import Path

from pipeline.failpoints import reach

_PART = re.compile(r"\.(?P<name>.+)\.[0-9a-f]{8}\.part", re.DOTALL)


def part_of(path: Path) -> Path:
    """A name beside `path` that nobody else uses, for what is to become `path`."""
    return path.with_name(f".{path.name}.{secrets.token_hex(4)}.part")


def sweep(folder: Path, names: Collection[str]) -> None:
    """Take away what killed writers left in `folder` of these names; nothing else."""
    for path in sorted(folder.iterdir()):
        match = _PART.fullmatch(path.name)
        if match is None or match["name"] not in names:
            continue
        if path.is_dir() and not path.is_symlink():
            shutil.rmtree(path)
        else:
            path.unlink(missing_ok=True)


def write_new(path: Path, content: bytes) -> None:
    """A new file, its content on the disk; its name is safe after `sync_folder`."""
    with path.open("xb") as file:
        file.write(content)
        file.flush()
        reach("file.written")
        _sync(file.fileno())


def sync_folder(folder: Path) -> None:
    """The names in `folder` are on the disk. Windows has no such call and needs none."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        _sync(handle)
    finally:
        os.close(handle)


def make_folders(folder: Path) -> None:
    """`folder` and those above it, as far as they are missing, each on the disk."""
    if not folder.is_dir():
        make_folders(folder.parent)
        folder.mkdir(exist_ok=True)
        sync_folder(folder.parent)


if os.name == "posix":
    import fcntl

    # On macOS fsync leaves the bytes in the drive's own memory; this does not.
    _FULL_SYNC: int | None = getattr(fcntl, "F_FULLFSYNC", None)

    def _sync(handle: int) -> None:
        if _FULL_SYNC is not None:
            # Not every file system has it (a network share): there fsync is the most that can be asked for.
            with suppress(OSError):
                fcntl.fcntl(handle, _FULL_SYNC)
                return
        os.fsync(handle)
else:

    def _sync(handle: int) -> None:
        os.fsync(handle)
