"""Puts a run's documents into its folder: all of them or none, and never a half-written file.

A new folder is built beside its place and renamed in. In a folder that is there already, only what is missing or
differs is written; files that are not ours stay.
"""

import json
import shutil
import unicodedata
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path, PurePosixPath
from typing import Any

from attrs import frozen

from pipeline.canonical import digest
from pipeline.durable import make_folders, part_of, sweep, sync_folder, write_new
from pipeline.failpoints import reach
from pipeline.model.document import Document
from pipeline.model.run import RunKind
from pipeline.problems import Problem, StopRun
from pipeline.record import FORMAT, RECORD, VOUCHERS, VOUCHERS_FORMAT
from pipeline.recorded import REPLAN_RECORD, read_replan

_LONGEST_NAME = 200
"""Bytes of one part of a path: with room for a temporary name's additions, whatever the file system."""

_NOT_IN_NAMES = frozenset('<>:"\\|?*')
_DEVICES = frozenset(
    ["con", "prn", "aux", "nul", *(f"{name}{n}" for name in ("com", "lpt") for n in range(1, 10))]
)


@frozen(kw_only=True)
class Delivery:
    """What a delivery did, by path."""

    written: tuple[str, ...]
    unchanged: tuple[str, ...]


@frozen(kw_only=True)
class Papers:
    """A run's folder as it was found: which run, and which invoices it holds."""

    folder: str
    label: str
    invoices: tuple[str, ...]


def deliver(folder: Path, documents: Sequence[Document]) -> Delivery:
    """Write the documents into `folder`, which is made when it is missing.

    When it returns, everything is on the disk. Raises StopRun when a path cannot be delivered (E620, E621) or
    something that is not ours is in its way (E622), before anything is written; OSError when the disk refuses:
    deliver again, and it ends as if nothing had happened.
    """
    if problems := path_problems(documents):
        raise StopRun(problems)
    if not folder.exists() and _deliver_new(folder, documents):
        return Delivery(written=tuple(document.path for document in documents), unchanged=())
    # There already, or another program delivered the same run in the meantime.
    return _deliver_into(folder, documents)


def withdraw_quote(folder: Path, documents: Sequence[Document]) -> tuple[str, ...]:
    """Take away the papers of an earlier quote in `folder` that `documents` do not replace; their paths.

    Without it the folder of a quote that was made again would show orders and sheets that are in it no more. Only
    files that the earlier quote's record names, unchanged since, are taken. Raises OSError.
    """
    record = read_record(folder / RECORD)
    if record is None or record.get("kind") != RunKind.QUOTE:
        return ()
    return _withdraw(folder, record, documents)


def withdraw_replan(folder: Path, documents: Sequence[Document]) -> tuple[str, ...]:
    """The same for a planning that is made again: instructions of runs that are finished by now."""
    record = read_replan(folder / REPLAN_RECORD)
    return () if record is None else _withdraw(folder, record, documents)


def _withdraw(folder: Path, record: Mapping[str, Any], documents: Sequence[Document]) -> tuple[str, ...]:
    kept = {_folded(document.path) for document in documents}
    gone = []
    for path, sha256 in [(str(paper["path"]), paper["sha256"]) for paper in record["documents"]]:
        file = folder / path
        if (
            _folded(path) in kept
            or _path_fault(path)
            or not file.is_file()
            or digest(file.read_bytes()) != sha256
        ):
            continue
        file.unlink()
        gone.append(path)
        for parent in list(file.relative_to(folder).parents)[:-1]:
            if not any((folder / parent).iterdir()):
                (folder / parent).rmdir()
    return tuple(gone)


def path_problems(documents: Sequence[Document]) -> tuple[Problem, ...]:
    """Paths that leave the folder or that not every system can have (E620), and that collide (E621)."""
    problems = []
    taken: dict[str, str] = {}
    for path in (document.path for document in documents):
        if fault := _path_fault(path):
            problems.append(_problem("E620", f"a document cannot be called `{path}`: {fault}"))
        twin = taken.setdefault(_folded(path), path)
        if twin != path:
            problems.append(_problem("E621", f"`{twin}` and `{path}` are one file on some systems"))
    for path, times in Counter(document.path for document in documents).items():
        if times > 1:
            problems.append(_problem("E621", f"{times} documents are called `{path}`"))
        for parent in PurePosixPath(path).parents:
            if file := taken.get(_folded(str(parent))):
                problems.append(_problem("E621", f"`{file}` is a document and also the folder of `{path}`"))
    return tuple(problems)


def papers_in(out: Path) -> tuple[Papers, ...]:
    """The runs and vouchers whose papers lie in folders of `out`, by name. Quotes do not count, nor strangers'."""
    found = []
    records = (*out.glob(f"*/{RECORD}"), *out.glob(f"*/{VOUCHERS}")) if out.is_dir() else ()
    for path in sorted(records):
        if not path.parent.name.startswith(".") and (papers := _papers(path)):
            found.append(papers)
    return tuple(found)


def _papers(path: Path) -> Papers | None:
    """What a record says; None for a quote's, and for a file of that name that we did not write."""
    record = read_record(path)
    if record is None or record.get("kind") == RunKind.QUOTE:
        return None
    try:
        invoices = (
            tuple(str(voucher["number"]) for voucher in record["vouchers"])
            if record["format"] == VOUCHERS_FORMAT
            else tuple(str(order["invoice"]) for order in record["orders"])
        )
        return Papers(folder=path.parent.name, label=str(record["label"]), invoices=invoices)
    except (KeyError, TypeError):
        return None  # We never leave half a record: somebody else's.


def read_record(path: Path) -> dict[str, Any] | None:
    """A record of ours; None where there is none, and for a file that we did not write."""
    try:
        record: dict[str, Any] = json.loads(path.read_bytes())
        if record["format"] == VOUCHERS_FORMAT:
            return record
        return record if record["format"] == FORMAT and record["kind"] in tuple(RunKind) else None
    except (ValueError, KeyError, TypeError, FileNotFoundError, NotADirectoryError):
        return None


def _deliver_new(folder: Path, documents: Sequence[Document]) -> bool:
    """Build the folder beside its place and rename it in; false when somebody else was faster."""
    make_folders(folder.parent)
    staging = part_of(folder)
    staging.mkdir()
    try:
        for document in documents:
            write_new(_make_way(staging, document), document.content)
            reach("output.file")
        for inner in sorted({path.parent for path in staging.rglob("*")} | {staging}, reverse=True):
            sync_folder(inner)
        reach("output.staged")
        try:
            staging.rename(folder)
        except OSError:
            if folder.exists():
                return False
            raise
    finally:
        # Gone when all went well; what cannot be removed now is swept away by the next delivery.
        shutil.rmtree(staging, ignore_errors=True)
    reach("output.renamed")
    sync_folder(folder.parent)
    sweep(folder.parent, {folder.name})
    return True


def _deliver_into(folder: Path, documents: Sequence[Document]) -> Delivery:
    """Write what is missing or differs: first all of it beside its place, then one rename each."""
    if problems := tuple(_obstacles(folder, documents)):
        raise StopRun(problems)
    differing = [document for document in documents if not _stands(folder / document.path, document.content)]
    parts: list[tuple[Path, Path]] = []
    try:
        for document in differing:
            target = _make_way(folder, document)
            part = part_of(target)
            parts.append((part, target))
            write_new(part, document.content)
            reach("output.part")
        for part, target in parts:
            part.replace(target)
            reach("output.replaced")
    finally:
        for part, _ in parts:
            part.unlink(missing_ok=True)
    for inner in sorted({(folder / document.path).parent for document in documents}):
        sync_folder(inner)
        sweep(inner, {PurePosixPath(document.path).name for document in documents})
    sync_folder(folder.parent)
    sweep(folder.parent, {folder.name})
    written = {document.path for document in differing}
    return Delivery(
        written=tuple(document.path for document in differing),
        unchanged=tuple(document.path for document in documents if document.path not in written),
    )


def _make_way(folder: Path, document: Document) -> Path:
    target = folder / document.path
    make_folders(target.parent)
    return target


def _stands(path: Path, content: bytes) -> bool:
    """True when `path` is a file of our own, not a link to another, with this content."""
    return path.is_file() and not path.is_symlink() and path.read_bytes() == content


def _obstacles(folder: Path, documents: Sequence[Document]) -> Iterator[Problem]:
    """What lies in the way of the documents in a folder that is there already."""
    if not folder.is_dir():
        yield _obstacle(f"`{folder}` is not a folder")
        return
    inside = folder.resolve()
    for document in documents:
        target = folder / document.path
        if target.is_dir():
            yield _obstacle(f"`{target}` is a folder, where a document should be")
        elif not target.parent.resolve().is_relative_to(inside):
            yield _obstacle(f"`{target.parent}` leads out of the folder")
        elif any(parent.exists() and not parent.is_dir() for parent in target.parents):
            yield _obstacle(f"a file lies where the folder `{target.parent}` should be")


def _path_fault(path: str) -> str:
    """What is wrong with a document's path, "" when nothing is."""
    for name in path.split("/"):
        if name in ("", ".", ".."):
            return "it must be relative, of plain names with `/` between them"
        if any(
            character in _NOT_IN_NAMES or unicodedata.category(character) in ("Cc", "Cs") for character in name
        ):
            return 'control characters and < > : " \\ | ? * are not possible everywhere'
        if name.startswith(".") or name.endswith((".", " ")):
            return "a name neither begins with a dot nor ends with a dot or a space"
        if name.split(".")[0].casefold() in _DEVICES:
            return f"`{name}` is a device on Windows"
        if len(name.encode()) > _LONGEST_NAME:
            return f"a name may have {_LONGEST_NAME} bytes at the most"
    return ""


def _folded(path: str) -> str:
    """Equal for paths that are one file where capitals or the form of accents do not count."""
    return unicodedata.normalize("NFC", unicodedata.normalize("NFD", path).casefold())


def _problem(code: str, message: str) -> Problem:
    return Problem(code=code, message=message, hint="the plugin that makes the document must call it otherwise")


def _obstacle(message: str) -> Problem:
    return Problem(code="E622", message=message, hint="move it away, or choose another folder with --out")
