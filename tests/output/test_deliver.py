"""Delivery: all or nothing, nothing of a stranger's touched, and no path that leads elsewhere."""

import errno
import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline import durable, output
from pipeline.output import deliver, papers_in, path_problems
from pipeline.problems import StopRun
from tests.builders import make_document

PAPERS = (make_document("index.html", b"index"), make_document("invoices/h-101.pdf", b"invoice"))


def tree(folder: Path) -> dict[str, bytes]:
    """Every file below `folder`."""
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def test_a_new_folder(tmp_path: Path) -> None:
    """Folders above are made, and nothing but the papers is left."""
    delivery = deliver(tmp_path / "a" / "out" / "2026-W49", PAPERS)
    assert delivery.written == ("index.html", "invoices/h-101.pdf")
    assert delivery.unchanged == ()
    assert tree(tmp_path) == {
        "a/out/2026-W49/index.html": b"index",
        "a/out/2026-W49/invoices/h-101.pdf": b"invoice",
    }


def test_again_changes_nothing(tmp_path: Path) -> None:
    """The same papers a second time: not even a file's time changes, so that a backup sees no change."""
    deliver(tmp_path / "run", PAPERS)
    before = {path: path.stat().st_mtime_ns for path in tmp_path.rglob("*")}
    delivery = deliver(tmp_path / "run", PAPERS)
    assert delivery.written == ()
    assert delivery.unchanged == ("index.html", "invoices/h-101.pdf")
    assert {path: path.stat().st_mtime_ns for path in tmp_path.rglob("*")} == before


def test_puts_right_what_is_lost_or_changed(tmp_path: Path) -> None:
    """Lost papers come back, changed ones too; a stranger's file stays, even one that looks like a leftover."""
    folder = tmp_path / "run"
    deliver(folder, PAPERS)
    (folder / "index.html").write_bytes(b"scribbled")
    (folder / "invoices" / "h-101.pdf").unlink()
    (folder / "invoices").rmdir()
    (folder / "notes.txt").write_bytes(b"call the ferry line")
    (folder / ".notes.txt.0123abcd.part").write_bytes(b"not ours")
    assert deliver(folder, PAPERS).written == ("index.html", "invoices/h-101.pdf")
    assert tree(folder) == {
        "index.html": b"index",
        "invoices/h-101.pdf": b"invoice",
        "notes.txt": b"call the ferry line",
        ".notes.txt.0123abcd.part": b"not ours",
    }


def test_takes_away_what_a_killed_delivery_left(tmp_path: Path) -> None:
    """Half a folder and half a file of an earlier attempt are gone after the next."""
    (tmp_path / ".run.0123abcd.part").mkdir()
    (tmp_path / ".run.0123abcd.part" / "index.html").write_bytes(b"ind")
    deliver(tmp_path / "run", PAPERS)
    (tmp_path / "run" / ".index.html.89abcdef.part").write_bytes(b"in")
    deliver(tmp_path / "run", PAPERS)
    assert set(tree(tmp_path)) == {"run/index.html", "run/invoices/h-101.pdf"}


@pytest.mark.parametrize("exists", [False, True])
def test_a_full_disk_leaves_no_trace(exists: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """When the second file does not fit, not even the first appears: the folder is as it was."""
    folder = tmp_path / "run"
    if exists:
        deliver(folder, [make_document("index.html", b"old")])
    before = tree(tmp_path)
    calls = []

    def write_some(path: Path, content: bytes) -> None:
        calls.append(path)
        if len(calls) == 2:
            path.write_bytes(content[:2])
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(path))
        durable.write_new(path, content)

    monkeypatch.setattr(output, "write_new", write_some)
    with pytest.raises(OSError, match="No space left"):
        deliver(folder, PAPERS)
    assert tree(tmp_path) == before
    assert folder.exists() == exists


def test_somebody_else_was_faster(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Another program renames its folder in first: ours goes away, and the papers are compared."""
    folder = tmp_path / "run"
    rename = Path.rename

    def late(self: Path, target: Path) -> Path:
        rename(self, target)
        self.mkdir()
        (self / "x").write_bytes(b"")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", late)
    assert deliver(folder, PAPERS).unchanged == ("index.html", "invoices/h-101.pdf")
    assert set(tree(tmp_path)) == {"run/index.html", "run/invoices/h-101.pdf"}


def test_a_folder_that_cannot_be_put_in_place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The last step fails: the error is told, and nothing is left."""

    def refuse(self: Path, target: Path) -> Path:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(target))

    monkeypatch.setattr(Path, "rename", refuse)
    with pytest.raises(PermissionError):
        deliver(tmp_path / "run", PAPERS)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "path",
    [
        "../out.pdf",
        "a/../../b",
        "/etc/passwd",
        "C:/x",
        "a\\b",
        "a//b",
        "",
        "a/",
        ".",
        "a\x00b",
        "line\nbreak",
        "nul",
        "com1.pdf",
        ".hidden",
        "dot.",
        "blank ",
        "x" * 300,
        "what?",
    ],
)
def test_paths_that_lead_elsewhere_or_nowhere(path: str, tmp_path: Path) -> None:
    """Refused before anything is written: on some system each would leave the folder or fail half-way."""
    with pytest.raises(StopRun, match="E620"):
        deliver(tmp_path / "run", [*PAPERS, make_document(path)])
    assert tree(tmp_path) == {}


@pytest.mark.parametrize(
    "twins",
    [
        ("a.pdf", "a.pdf"),
        ("a.pdf", "A.pdf"),
        ("caf\u00e9.pdf", "cafe\u0301.pdf"),
        ("stra\u00dfe.pdf", "STRASSE.pdf"),
        ("a", "a/b.pdf"),
        ("b/c/d.pdf", "B"),
    ],
)
def test_twins(twins: tuple[str, str]) -> None:
    """One file on a system where capitals or the form of accents do not count: one paper would be lost."""
    assert [problem.code for problem in path_problems([make_document(path) for path in twins])] == ["E621"]


@given(st.lists(st.from_regex(r"[a-z]{1,3}(/[a-z]{1,3}){0,2}\.pdf", fullmatch=True), unique=True, max_size=8))
def test_plain_paths_are_good(paths: list[str]) -> None:
    """No false alarm: lower-case names below folders never collide, device names apart."""
    if not any(part.split(".")[0] in ("con", "prn", "aux", "nul") for path in paths for part in path.split("/")):
        assert path_problems([make_document(path) for path in paths]) == ()


def test_things_in_the_way_stay(tmp_path: Path) -> None:
    """A folder in a paper's place, a file in a folder's place, a file in the run's place: named, not touched."""
    folder = tmp_path / "run"
    (folder / "index.html").mkdir(parents=True)
    (folder / "invoices").write_bytes(b"a list")
    with pytest.raises(StopRun) as refused:
        deliver(folder, PAPERS)
    assert [problem.code for problem in refused.value.problems] == ["E622", "E622"]
    assert tree(tmp_path) == {"run/invoices": b"a list"}
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(StopRun, match="not a folder"):
        deliver(tmp_path / "file", PAPERS)


def test_links_are_not_followed_out(tmp_path: Path) -> None:
    """A link out of the folder is refused; a link in a paper's place is replaced, and its target left alone."""
    folder, elsewhere = tmp_path / "run", tmp_path / "elsewhere"
    folder.mkdir()
    elsewhere.mkdir()
    (elsewhere / "h-101.pdf").write_bytes(b"private")
    try:
        (folder / "invoices").symlink_to(elsewhere, target_is_directory=True)
    except OSError:
        pytest.skip("this system does not let us make links")
    with pytest.raises(StopRun, match="leads out"):
        deliver(folder, PAPERS)
    (folder / "invoices").unlink()
    (folder / "index.html").symlink_to(elsewhere / "h-101.pdf")
    deliver(folder, PAPERS)
    assert tree(folder) == {"index.html": b"index", "invoices/h-101.pdf": b"invoice"}
    assert (elsewhere / "h-101.pdf").read_bytes() == b"private"


def test_strangers_records_are_not_ours(tmp_path: Path) -> None:
    """Another tool's run.json, half a file or a list: no reason to stop; where there is no folder, no papers."""
    for name, content in (
        ("a", b"{"),
        ("b", b"[]"),
        ("c", b'{"format": "other"}'),
        ("d", b'"text"'),
        (".e", b""),
    ):
        (tmp_path / name).mkdir()
        (tmp_path / name / "run.json").write_bytes(content)
    assert papers_in(tmp_path) == ()
    assert papers_in(tmp_path / "none") == ()
