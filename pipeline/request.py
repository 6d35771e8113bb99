"""What a run is asked to do: which shop, which job files, for which day, and where the papers go."""

from collections.abc import Sequence
from datetime import date, datetime
from pathlib import Path

from attrs import field, frozen

from pipeline.model.run import RunKind
from pipeline.problems import Origin, Problem, StopRun
from pipeline.record import RECORD

SHOP_FILE = "shop.yaml"
LEDGER_FILE = "ledger.sqlite"
WEEK_FILE = "week.yaml"
"""Beside the job files of a folder: the day and time for which they are planned."""

PROGRESS_FILE = "progress.yaml"
"""Beside them, too: what the floor has done of the week."""

JOB_SUFFIXES = (".yaml", ".yml")

SHOP_FOLDERS = ("presses", "transfers", "garments", "customers", "shop_plugins", "templates", "language")
"""What a shop's folder holds beside shop.yaml: what decides how a batch comes out."""


@frozen(kw_only=True)
class Request:
    """One batch to run. `day` and `start` are None where the caller's clock, or `week.yaml`, decides."""

    kind: RunKind
    shop: Path
    files: tuple[Path, ...] = ()
    #: Instead of files: the orders that the watched folder has gathered, all of them or those of these jobs.
    gathered: tuple[str, ...] | None = None
    #: Instead of files: the orders of these runs, which the ledger keeps; only to be planned again.
    recorded: tuple[str, ...] = ()
    #: `week.yaml` of the folder, when one folder was asked for and has one.
    week: Path | None = None
    #: Name of the run, "" = the ISO week of its date.
    label: str = ""
    day: date | None = None
    start: datetime | None = None
    #: The caller's time, used where neither arguments nor `week.yaml` say.
    now: datetime
    out: Path | None = None
    strict: bool = False
    #: A day of issue before the last one is allowed.
    backdate: bool = False
    #: Jobs to be taken off, to see what that does to the others: only a quote may ask for it.
    without: tuple[str, ...] = field(default=())

    @without.validator
    def _only_a_quote(self, _: object, jobs: tuple[str, ...]) -> None:
        if jobs and self.kind is not RunKind.QUOTE:
            raise ValueError("what is recorded is never without some of its orders")


def find_jobs(paths: Sequence[Path]) -> tuple[tuple[Path, ...], Path | None, str]:
    """Job files of folders and files, the folder's `week.yaml`, and a label: the name of a single folder.

    Raises StopRun when a path does not exist, a folder holds no job file, or a file cannot be one.
    """
    files: list[Path] = []
    problems: list[Problem] = []
    for path in paths:
        if path.is_dir():
            found = sorted(f for f in path.iterdir() if is_job_file(f))
            files += found
            if not found:
                problems.append(_usage(f"`{path}` holds no job file", _where_jobs_may_be(path)))
        elif path.is_file():
            files.append(path)
            if path.name in (SHOP_FILE, WEEK_FILE, PROGRESS_FILE) or not path.name.endswith(JOB_SUFFIXES):
                problems.append(
                    _usage(f"`{path}` is no job file", "name files of orders, or the folder that holds them")
                )
        else:
            problems.append(_usage(f"`{path}` does not exist", "name a job file or a folder of job files"))
    if problems:
        raise StopRun(problems)
    only = paths[0].resolve() if len(paths) == 1 and paths[0].is_dir() else None
    week = only / WEEK_FILE if only and (only / WEEK_FILE).is_file() else None
    # Two spellings of one file are one order, not two.
    unique = {file.resolve(): file for file in files}
    return tuple(unique.values()), week, only.name if only else ""


def find_recorded(paths: Sequence[Path]) -> tuple[str, ...]:
    """The labels of runs, where each path is the folder of a run's papers; else none."""
    labels = [path.resolve().name for path in paths if (path / RECORD).is_file()]
    return tuple(dict.fromkeys(labels)) if len(labels) == len(paths) else ()


def find_progress(paths: Sequence[Path]) -> Path | None:
    """The first `progress.yaml` of the folders among the paths."""
    return next((path / PROGRESS_FILE for path in paths if (path / PROGRESS_FILE).is_file()), None)


def is_job_file(path: Path) -> bool:
    """A regular .yaml or .yml file that is neither the shop's nor the week's own, nor an editor's leftover."""
    name = path.name
    return (
        path.is_file()
        and name.endswith(JOB_SUFFIXES)
        and name not in (SHOP_FILE, WEEK_FILE, PROGRESS_FILE)
        and not name.startswith((".", "~", "#"))
        and not _is_the_shops(path.parent)
    )


def _is_the_shops(folder: Path) -> bool:
    """True for `customers/` and the like beside a shop.yaml."""
    return folder.resolve().name in SHOP_FOLDERS and (folder.resolve().parent / SHOP_FILE).is_file()


def _where_jobs_may_be(folder: Path) -> str:
    """The hint for a folder without job files: folders within it that have some."""
    if _is_the_shops(folder):
        return "this folder is the shop's own; orders stand in another, for instance one for each week"
    inner = sorted(f for f in folder.iterdir() if f.is_dir() and any(is_job_file(file) for file in f.iterdir()))
    if not inner:
        return "job files end in .yaml or .yml"
    more = f" (and {len(inner) - 3} more)" if len(inner) > 3 else ""
    return f"folders in it with .yaml files: {', '.join(f'`{f}`' for f in inner[:3])}{more}"


def find_shop(paths: Sequence[Path], given: Path | None) -> Path:
    """The shop's folder: the given one, or the nearest folder upward from the first path with a shop.yaml.

    Raises StopRun when there is none.
    """
    if given is not None:
        folder = given.parent if given.name == SHOP_FILE else given
        if (folder / SHOP_FILE).is_file():
            return folder.resolve()
        raise StopRun([_usage(f"`{folder}` holds no {SHOP_FILE}", "--shop names the shop's folder")])
    begin = (paths[0] if paths else Path()).resolve()
    for folder in (begin, *begin.parents):
        if (folder / SHOP_FILE).is_file():
            return folder
    raise StopRun(
        [
            _usage(
                f"no {SHOP_FILE} in `{begin}` or any folder above it",
                "--shop names the shop's folder; `peelwright new-shop DIR` makes one",
            )
        ]
    )


def display_name(path: Path, shop: Path) -> str:
    """How a file is called in messages and records: relative to the shop, so that no machine's path gets in."""
    resolved = path.resolve()
    return resolved.relative_to(shop).as_posix() if resolved.is_relative_to(shop) else path.name


def as_typed(path: Path) -> str:
    """How people would type a path where they are now: relative when it lies below."""
    here = Path.cwd()
    return str(path.relative_to(here)) if path.is_relative_to(here) else str(path)


def _usage(message: str, hint: str) -> Problem:
    return Problem(code="E700", message=message, hint=hint, origin=Origin(file=""))
