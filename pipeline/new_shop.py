"""`peelwright new-shop`: a working shop to edit, copied from the sample that comes with the program."""

import shutil
from importlib.resources import as_file, files
from pathlib import Path

from pipeline.problems import Problem, StopRun

# What a run leaves beside the sample, and what Python does.
_NOT_COPIED = shutil.ignore_patterns(
    "out", "ledger.sqlite*", "inbox", "work", "done", "rejected", "__pycache__", "__init__.py", "*-held"
)


def make_shop(folder: Path) -> Path:
    """Copy the sample shop into `folder`, which must not exist or be empty. Raises StopRun otherwise."""
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        message = f"`{folder}` is there already, and not empty"
        raise StopRun([Problem(code="E700", message=message, hint="name a folder that does not exist yet")])
    with as_file(files("sample_jobs")) as sample:
        shutil.copytree(sample, folder, ignore=_NOT_COPIED, dirs_exist_ok=True)
    schemas = folder / ".schemas"
    with as_file(files("schemas")) as source:
        shutil.copytree(source, schemas, ignore=_NOT_COPIED)
    for path in sorted(folder.rglob("*.yaml")):
        _point_to_schemas(path, schemas)
    return folder


def _point_to_schemas(path: Path, schemas: Path) -> None:
    """The first line names the schema for editors: it lies elsewhere now."""
    text = path.read_text("utf-8")
    first, _, rest = text.partition("\n")
    if first.startswith("# yaml-language-server: $schema="):
        depth = len(path.relative_to(schemas.parent).parts) - 1
        name = first.rsplit("/", 1)[-1]
        path.write_text(
            f"# yaml-language-server: $schema={'../' * depth}.schemas/{name}\n{rest}", "utf-8", newline="\n"
        )
