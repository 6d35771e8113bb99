"""The golden run: a small shop's week is taken through everything, and what comes out is put so that it compares.

Pages and tables stand in `expected/` byte for byte, `run.json` with its lines broken. A PDF stands there as its
text, page by page, under the SHA-256 of the PDF with its streams unpacked: packed, the same paper has other bytes
under another release of zlib, which is the system's and not locked in constraints.txt. Unpacked, it depends on
reportlab and pikepdf alone, which are. So each PDF's digest is also what `run.json` shows here, once it has been
compared with the bytes that were delivered. A workbook is packed, too: its digest is that of its parts.
"""

import hashlib
import json
import shutil
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory
from unittest.mock import patch
from zipfile import ZipFile

import pikepdf
import pypdfium2

from pipeline.canonical import canonical, digest
from pipeline.model.run import RunKind
from pipeline.record import RECORD
from pipeline.request import Request, find_jobs
from pipeline.run import run
from plugins.group import bound

HERE = Path(__file__).parent
SHOP = HERE / "shop"
WEEK = "2026-W23"
EXPECTED = HERE / "expected"

Files = dict[str, bytes]
"""Path within a run's folder -> content."""


def delivered(backwards: bool = False) -> Files:
    """What a run of the week leaves in its folder; `backwards` names its job files in the opposite order.

    The shop is copied: a run writes its ledger into it.
    """
    with TemporaryDirectory() as folder:
        shop, out = Path(folder).resolve() / "shop", Path(folder).resolve() / "out"
        shutil.copytree(SHOP, shop)
        jobs, week, label = find_jobs([shop / WEEK])
        jobs = jobs[::-1] if backwards else jobs
        # The clock is years ahead: whatever it got into would differ from the golden files.
        now = datetime(2031, 5, 5, 9, 41, tzinfo=UTC)
        # Where the loops of grouping are compiled, of few prints more is proven: here as much as everywhere.
        with patch.object(bound, "LAID", 0):
            run(Request(kind=RunKind.RUN, shop=shop, files=jobs, week=week, label=label, out=out, now=now))
        return files_in(out / WEEK)


def files_in(folder: Path) -> Files:
    """Every file below a folder."""
    found = sorted(path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in found}


def comparable(files: Files) -> Files:
    """The files of a run as they stand in `expected/`."""
    packed = {path: content for path, content in files.items() if path.endswith((".pdf", ".xlsx"))}
    unpacked = {path: _unpacked(path, content) for path, content in packed.items()}
    told: Files = {}
    for path, content in files.items():
        if path in unpacked:
            text = _text(content) if path.endswith(".pdf") else "The tables beside it, as one workbook.\n"
            told[f"{path}.txt"] = f"sha256 {unpacked[path]}\n\n{text}".encode()
        elif path == RECORD:
            told[path] = _record(files, unpacked)
        else:
            told[path] = content
    return told


def _record(files: Files, unpacked: dict[str, str]) -> bytes:
    """`run.json` with a line for each value; see the module's docstring for the digests.

    Raises AssertionError when the record is not canonical or names another digest than that of a file.
    """
    record = json.loads(files[RECORD])
    assert canonical(record) == files[RECORD], "run.json is not canonical"
    for document in record["documents"]:
        path = document["path"]
        assert document["sha256"] == digest(files[path]), f"{path} is not what run.json says"
        document["sha256"] = unpacked.get(path, document["sha256"])
    # The release that is being worked on: its number is no part of how a week comes out.
    assert list(record["versions"]) == ["peelwright"]
    record["versions"] = {}
    return (json.dumps(record, ensure_ascii=False, indent=1, sort_keys=True) + "\n").encode()


def _unpacked(path: str, content: bytes) -> str:
    """SHA-256 of what is packed in a file."""
    plain = _plain_workbook(content) if path.endswith(".xlsx") else _plain_pdf(content)
    return hashlib.sha256(plain).hexdigest()


def _plain_workbook(content: bytes) -> bytes:
    with ZipFile(BytesIO(content)) as parts:
        return b"".join(name.encode() + b"\n" + parts.read(name) for name in parts.namelist())


def _plain_pdf(content: bytes) -> bytes:
    """A PDF whose streams are not compressed. The trailer's ID goes: it was made of packed bytes."""
    plain = BytesIO()
    with pikepdf.open(BytesIO(content)) as pdf:
        if "/ID" in pdf.trailer:
            del pdf.trailer["/ID"]
        pdf.save(
            plain,
            static_id=True,
            compress_streams=False,
            stream_decode_level=pikepdf.StreamDecodeLevel.generalized,
            object_stream_mode=pikepdf.ObjectStreamMode.disable,
        )
    return plain.getvalue()


def _text(content: bytes) -> str:
    """The text layer, page by page, each under its size in points."""
    pages = []
    for number, page in enumerate(pypdfium2.PdfDocument(content), 1):
        width, height = page.get_size()
        text = page.get_textpage().get_text_bounded().replace("\r\n", "\n")
        pages.append(f"--- page {number}, {width:.1f} x {height:.1f}\n{text}\n")
    return "\n".join(pages)
