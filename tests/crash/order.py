"""Whether what a trace tells would outlive a power cut: bytes on the disk before their name is, and then the name.

A file is on the disk after its fsync, a name after the fsync of its folder (POSIX, fsync; Linux, fsync(2): "calling
fsync() does not necessarily ensure that the entry in the directory containing the file has also reached disk").
"""

import re
from collections.abc import Iterator
from pathlib import Path, PurePosixPath

OPTIONS = ["-y", "-s", "4096", "-e", "trace=write,pwrite64,fsync,fdatasync,rename,mkdir,openat"]

_WRITE = re.compile(r"^\d+\s+p?write(?:64)?\(\d+<(?P<path>/[^>]*)>")
_SYNC = re.compile(r"^\d+\s+f(?:data)?sync\(\d+<(?P<path>/[^>]*)>")
_RENAME = re.compile(r'^\d+\s+rename\("(?P<old>[^"]*)", "(?P<new>[^"]*)"\)\s+= 0')


def violations(log: Path, root: Path, ours: tuple[str, ...]) -> Iterator[str]:
    """What in the folders `ours` of `root` a power cut could take away."""
    unsynced: set[str] = set()
    unnamed: dict[str, str] = {}
    kept = tuple(f"{root}/{name}/" for name in ours)
    for line in log.read_text(errors="replace").splitlines():
        if match := _WRITE.match(line):
            unsynced.add(match["path"])
        elif match := _SYNC.match(line):
            unsynced.discard(match["path"])
            unnamed.pop(match["path"], None)
        elif match := _RENAME.match(line):
            old, new = match["old"], match["new"]
            for path in [path for path in unsynced if path == old or path.startswith(f"{old}/")]:
                if new.startswith(kept):
                    yield f"{new}: renamed before {PurePosixPath(path).name} was on the disk"
                unsynced.discard(path)
            if new.startswith(kept):
                unnamed[str(PurePosixPath(new).parent)] = new
    for path in sorted(unsynced):
        if path.startswith(kept):
            yield f"{path}: never on the disk"
    for parent, new in sorted(unnamed.items()):
        yield f"{new}: its name is not on the disk, since {parent} is not"
