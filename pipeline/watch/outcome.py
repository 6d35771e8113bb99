"""Where a claimed file goes: `done/DATE/` or `rejected/DATE/`, with the reasons beside it, written before the move.

The name gets the beginning of the SHA-256 of its content: done again after a crash it is the same name, and what it
would replace has the same bytes. A file that could not be read gets the name of its claim instead.
"""

import json
import os
from collections.abc import Mapping, Sequence
from pathlib import Path, PurePath
from zoneinfo import ZoneInfo

from pipeline.canonical import digest
from pipeline.durable import make_folders, sync_folder, write_new
from pipeline.failpoints import reach
from pipeline.problems import Problem
from pipeline.report import as_json, printable, render
from pipeline.watch.claim import PART, Claim

ERROR_TEXT, ERROR_DATA = ".error.txt", ".error.json"
_LONGEST = 200
"""Bytes of a name: with room for what is added to it."""


def place(folder: Path, claim: Claim, content: bytes | None, zone: ZoneInfo) -> Path:
    """Where the claim's file goes in `done/` or `rejected/`. `content` is None when it could not be read."""
    day = claim.at.astimezone(zone).date().isoformat()
    return folder / day / _unique(claim.name, claim.id if content is None else digest(content)[:16])


def settle(claim: Claim, target: Path) -> None:
    """Move the claim's file to its place. Done again after a crash, it ends the same. Raises OSError."""
    make_folders(target.parent)
    if os.path.lexists(claim.path):
        claim.path.replace(target)
        reach("watch.moved")
        sync_folder(target.parent)
    claim.clear()


def explain(
    claim: Claim, target: Path, sha256: str, problems: Sequence[Problem], sources: Mapping[str, str]
) -> None:
    """Write beside `target` why the file was rejected, for people and for tools. Raises OSError.

    `sha256` is that of its content, "" when it could not be read.
    """
    words = render(problems, sources).encode()
    data = {"file": called(claim), "sha256": sha256, "problems": as_json(problems)}
    write(target.with_name(target.name + ERROR_TEXT), words, claim.folder)
    write(target.with_name(target.name + ERROR_DATA), json.dumps(data, indent=2).encode() + b"\n", claim.folder)
    reach("watch.explained")


def write(path: Path, content: bytes, staging: Path) -> None:
    """A file whole and on the disk, in place of an earlier one. Raises OSError.

    It is made in `staging`, a folder that nobody else writes to: what a killed writer leaves is written over there.
    """
    make_folders(path.parent)
    part = staging / PART
    part.unlink(missing_ok=True)
    write_new(part, content)
    part.replace(path)
    sync_folder(path.parent)


def called(claim: Claim) -> str:
    """How messages call a claimed file: as its sender knows it, with nothing invisible in it."""
    return f"inbox/{printable(claim.name)}"


def _unique(name: str, mark: str) -> str:
    """`monday.yaml` -> `monday.3f2a9c1b7d20e455.yaml`."""
    suffix = PurePath(name).suffix
    stem = os.fsencode(name.removesuffix(suffix))[: _LONGEST - len(mark) - len(suffix)]
    return f"{os.fsdecode(stem)}.{mark}{suffix}"
