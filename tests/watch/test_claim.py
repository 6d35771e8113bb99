"""Claims: one watcher alone gets a file, and what a dead one left is resumed by one alone."""

import os
from pathlib import Path

import pytest

from pipeline.watch.claim import Claim, Claims, NotAFile, StillWritten
from pipeline.watch.lock import Lock, is_held
from pipeline.watch.scan import scan
from tests.watch.house import FakeClock, House


@pytest.fixture(name="inbox")
def _inbox(tmp_path: Path) -> Path:
    """An inbox with an order, beside an empty `work/`."""
    for name in ("inbox", "work"):
        (tmp_path / name).mkdir()
    (tmp_path / "inbox" / "h.yaml").write_text("job: H-101\n")
    return tmp_path / "inbox"


def claims(inbox: Path, owner: str = "") -> Claims:
    """A watcher's."""
    made = Claims(inbox.parent / "work", FakeClock(), owner)
    made.open()
    return made


def test_one_of_two_gets_it(inbox: Path) -> None:
    """Both saw the file. Who comes second finds nothing, and leaves nothing behind."""
    one, two = claims(inbox), claims(inbox)
    (file,) = scan(inbox)
    claim = one.take(file)
    assert claim is not None
    assert two.take(file) is None
    assert claim.read() == b"job: H-101\n"
    assert [path.name for path in (inbox.parent / "work").iterdir() if path.is_dir()] == [claim.id]


def test_no_two_claims_have_one_name(inbox: Path) -> None:
    """Though the clock stands still, and the files are called the same."""
    mine = claims(inbox)
    taken = []
    for _ in range(5):
        (inbox / "h.yaml").write_text("x")
        claim = mine.take(scan(inbox)[0])
        assert claim is not None
        taken.append(claim.id)
    assert len(set(taken)) == 5
    assert taken == sorted(taken)
    assert [claim.id for claim in mine.resumed()] == taken


def test_the_living_keep_their_claims(inbox: Path) -> None:
    """However slow it is. When its watcher is dead, one other resumes a claim, and a third does not."""
    one, two, three = claims(inbox), claims(inbox), claims(inbox)
    claim = one.take(scan(inbox)[0])
    assert claim is not None
    assert two.resumed() == ()
    die(one)
    assert [found.id for found in two.resumed()] == [claim.id]
    assert three.resumed() == ()
    claim.path.unlink()
    claim.clear()
    assert two.resumed() == ()
    assert not (inbox.parent / "work" / f"{one.owner}.lock").exists()
    assert is_held(inbox.parent / "work" / f"{two.owner}.lock")


def die(watcher: Claims) -> None:
    """What the system does for a process that ends: its files are closed, and nothing is removed."""
    for lock in watcher._locks.values():
        os.close(lock._handle)


def test_claims_whose_lock_is_gone(inbox: Path) -> None:
    """Somebody cleaned up locks by hand: the claim is resumed all the same."""
    one, two = claims(inbox), claims(inbox)
    claim = one.take(scan(inbox)[0])
    assert claim is not None
    one.close()
    assert [found.id for found in two.resumed()] == [claim.id]


def test_claims_that_were_cut_off(inbox: Path) -> None:
    """A folder without a file, before or after the move, is removed; what is no claim is left alone."""
    one, two = claims(inbox), claims(inbox)
    work = inbox.parent / "work"
    for ns in (1, 2):
        (work / f"{ns}-{one.owner}").mkdir()
    (work / f"2-{one.owner}" / "attempt-1").touch()
    (work / f"2-{one.owner}" / ".part").touch()
    (work / "notes").mkdir()
    die(one)
    assert two.resumed() == ()
    assert {path.name for path in work.iterdir()} == {"notes", f"{two.owner}.lock"}


def test_read_once(inbox: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A link, a folder or a pipe that took the file's place is not read; nor one that changes meanwhile."""
    mine = claims(inbox)
    claim = mine.take(scan(inbox)[0])
    assert claim is not None
    content = claim.path.read_bytes()
    real = os.fstat
    seen: list[int] = []

    def grows(handle: int) -> os.stat_result:
        """Between the two looks a line is added."""
        if seen:
            with claim.path.open("ab") as file:
                file.write(b"more\n")
        seen.append(handle)
        return real(handle)

    monkeypatch.setattr("pipeline.watch.claim.os.fstat", grows)
    with pytest.raises(StillWritten):
        claim.read()
    monkeypatch.undo()
    for replace in (lambda: claim.path.symlink_to(inbox), claim.path.mkdir, lambda: os.mkfifo(claim.path)):
        remove(claim)
        replace()
        with pytest.raises(NotAFile):
            claim.read()
    remove(claim)
    claim.path.write_bytes(content)
    assert claim.read() == content


def remove(claim: Claim) -> None:
    """Whatever lies in the claim."""
    if claim.path.is_dir() and not claim.path.is_symlink():
        claim.path.rmdir()
    else:
        claim.path.unlink()


@pytest.mark.parametrize("kind", ["link", "folder"])
def test_what_became_no_file_is_put_aside(house: House, kind: str) -> None:
    """It changed after it was claimed: rejected as it is, nothing is followed."""
    watcher = house.watcher()
    house.drop("H-101")
    watcher.cycle()
    claim = watcher._claims.take(scan(house.layout.inbox)[0])
    assert claim is not None
    claim.path.unlink()
    if kind == "link":
        claim.path.symlink_to("/etc/passwd")
    else:
        claim.path.mkdir()
        (claim.path / "inner").write_text("x")
    watcher.cycle()
    assert [details["why"] for event, details in house.told if event == "rejected"] == [
        "inbox/h-101.yaml:0:0: error[E645]: what was dropped is not a file"
    ]
    (kept,) = (path for path in house.layout.rejected.glob("*/*.yaml"))
    assert kept.is_symlink() == (kind == "link")
    assert house.names("work") == []


def test_locks(tmp_path: Path) -> None:
    """Held by one; free when it is released or its holder ends; then the file is gone."""
    path = tmp_path / "a.lock"
    assert not is_held(path)
    first = Lock.take(path)
    assert first is not None
    assert Lock.take(path) is None
    assert is_held(path)
    first.release()
    assert not path.exists()
    second = Lock.take(path)
    assert second is not None
    os.close(second._handle)
    assert path.exists()
    assert not is_held(path)
