"""What `peelwright intake` says it did: for people, and for programs. Pure functions."""

from typing import Any

from pipeline.intake.take import Fate, Intaken
from pipeline.report import as_json, printable


def words(taken: Intaken) -> str:
    """How many orders were written, which were there already, which could not be taken, and what to do next."""
    written, same, refused = (taken.jobs(fate) for fate in Fate)
    lines = [f"{len(written)} of {len(taken.orders)} orders written to {taken.folder.as_posix()}"]
    if same:
        lines.append(f"there already, and the same: {_listed(same)}")
    if refused:
        lines.append(f"not written: {_listed(refused)}; mend the table and run this again")
    if written or same:
        lines.append(f"next: peelwright check {taken.folder.as_posix()}")
    return "\n".join(lines)


def as_data(taken: Intaken) -> dict[str, Any]:
    """The same as plain data."""
    return {
        "folder": taken.folder.as_posix(),
        "orders": [{"job": job, "fate": str(fate)} for job, fate in taken.orders],
        "problems": as_json(taken.problems),
    }


def _listed(jobs: tuple[str, ...]) -> str:
    return ", ".join(printable(job) for job in jobs)
