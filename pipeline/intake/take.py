"""The whole of `peelwright intake`: read the map and the table, check the orders, write a file for each good one."""

from collections.abc import Iterator, Mapping
from enum import StrEnum
from pathlib import Path
from typing import Any

from attrs import frozen

from pipeline.durable import make_folders, part_of, sync_folder, write_new
from pipeline.intake.column_map import ColumnMap, missing_columns, read_map
from pipeline.intake.orders import Drafted, draft
from pipeline.intake.table import read_table
from pipeline.problems import Problem, StopRun, has_errors, in_order
from pipeline.readings import Loaded
from pipeline.request import PROGRESS_FILE, SHOP_FILE, WEEK_FILE
from pipeline.source import is_ambiguous

_OTHERS = {Path(name).stem for name in (SHOP_FILE, WEEK_FILE, PROGRESS_FILE)}


class Fate(StrEnum):
    """What became of an order of the table."""

    WRITTEN = "written"
    #: A file with the same content was there.
    UNCHANGED = "unchanged"
    REFUSED = "refused"


@frozen(kw_only=True)
class Intaken:
    """What a table gave. `orders` are (job, fate) in the table's order."""

    folder: Path
    orders: tuple[tuple[str, Fate], ...]
    problems: tuple[Problem, ...]
    sources: Mapping[str, str]

    def jobs(self, fate: Fate) -> tuple[str, ...]:
        """The orders of one fate."""
        return tuple(job for job, what in self.orders if what is fate)


def intake(table_file: Path, map_file: Path, into: Path) -> Intaken:
    """Write the orders of a table into the folder `into`, a job file each. Raises StopRun and OSError.

    An order with an error is not written; the others are. A file that is there already is never changed.
    """
    found = read_map(map_file, map_file.as_posix())
    column_map = found.value
    if column_map is None:
        raise StopRun(_all_problems(found, table_file), found.sources)
    read = read_table(table_file, table_file.as_posix(), column_map.sheet)
    table = read.value
    sources = {**found.sources, **read.sources}
    if table is None:
        raise StopRun([*found.problems, *read.problems], sources)
    if missing := [*read.problems, *missing_columns(column_map, table)]:
        raise StopRun([*found.problems, *missing], sources)
    drafts, stray = draft(table, column_map)
    problems = [*found.problems, *stray]
    orders, names = [], dict[str, str]()
    for one in drafts:
        fate = Fate.REFUSED
        faults = [*one.problems, *_bad_name(one, names)]
        if not has_errors(faults):
            fate = _write(one, into)
            faults += [_another(one, into)] if fate is Fate.REFUSED else []
        orders.append((one.job, fate))
        problems += faults
    return Intaken(folder=into, orders=tuple(orders), problems=in_order(problems), sources=sources)


def _all_problems(found: Loaded[ColumnMap], table_file: Path) -> tuple[Problem, ...]:
    """What is wrong with a map, the columns that the table does not have among it."""
    maps = found.readings
    if maps is None or maps.least.sheet != maps.most.sheet:
        return found.problems
    read = read_table(table_file, table_file.as_posix(), maps.least.sheet)
    table = read.value
    if table is None:
        return found.problems + read.problems
    return found.held_against(lambda column_map: missing_columns(column_map, table))


def as_yaml(data: Mapping[str, Any]) -> bytes:
    """An order's data as a job file: what could be taken for something else is quoted."""
    import yaml

    class Dumper(yaml.SafeDumper):
        """Quotes a few words more than YAML 1.1 asks for."""

    def quoted(dumper: Dumper, text: str) -> yaml.ScalarNode:
        return dumper.represent_scalar("tag:yaml.org,2002:str", text, style="'" if is_ambiguous(text) else None)

    Dumper.add_representer(str, quoted)
    made: str = yaml.dump(data, Dumper=Dumper, sort_keys=False, allow_unicode=True, width=100)
    return made.encode()


def _bad_name(one: Drafted, names: dict[str, str]) -> Iterator[Problem]:
    """An order whose file could not be told from another (E118). `names` are those before it."""
    plain = one.job.casefold()
    if plain in _OTHERS:
        message = f"`{one.job}.yaml` beside job files is no order"
        yield Problem(
            code="E118", message=message, hint="call the order otherwise", origin=one.origin, job=one.job
        )
    elif names.setdefault(plain, one.job) != one.job:
        message = f"`{one.job}` and `{names[plain]}` would be one file on many systems"
        yield Problem(
            code="E118", message=message, hint="call one of them otherwise", origin=one.origin, job=one.job
        )


def _write(one: Drafted, into: Path) -> Fate:
    path, content = _file(one, into), as_yaml(one.data)
    if path.exists():
        return Fate.UNCHANGED if path.is_file() and path.read_bytes() == content else Fate.REFUSED
    make_folders(into)
    part = part_of(path)
    write_new(part, content)
    part.replace(path)
    sync_folder(into)
    return Fate.WRITTEN


def _another(one: Drafted, into: Path) -> Problem:
    message = f"`{_file(one, into).as_posix()}` is there already, with other content"
    hint = "a job file is never changed: delete it if the table is right, or name another folder with --into"
    return Problem(code="E118", message=message, hint=hint, origin=one.origin, job=one.job)


def _file(one: Drafted, into: Path) -> Path:
    return into / f"{one.job}.yaml"
