"""`watch`, `status`, `close-week` and `withdraw` as a shell sees them; the log."""

import json
import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from pipeline.cli import main
from pipeline.watch.log import LineLog
from tests.host.folder import ORDER
from tests.watch.house import NOON, House

DAY = ("--date", "2026-11-30")
WATCH = """\
import sys
import plugins
from pipeline.cli import main
from tests.host import plain

plugins.STAGES = plain.STAGES
sys.exit(main(["watch", sys.argv[1]]))
"""


def said(captured: pytest.CaptureFixture[str], *arguments: str | Path) -> Any:
    """What a command answers to a program."""
    code = main([*map(str, arguments), "--format", "json"])
    return code, json.loads(captured.readouterr().out)


def test_status(house: House, capsys: pytest.CaptureFixture[str]) -> None:
    """What waits and was rejected, what was closed last, and whether anybody watches."""
    watcher = house.watcher()
    house.drop("H-101")
    house.drop("H-102", text="job: [")
    house.settle(watcher)
    assert main(["status", str(house.root)]) == 0
    words = capsys.readouterr().out
    assert words.startswith(
        "1 watcher at work; 0 files arriving, 0 in work\ngathered  1 order\n  H-101  harbour-bakery"
    )
    assert "rejected  1 file\n  inbox/h-102.yaml: " in words
    watcher.close()
    house.drop("H-103")
    assert main(["status", str(house.root)]) == 0
    assert capsys.readouterr().out.startswith("NO WATCHER at work; 1 file arriving, 0 in work\n")
    code, data = said(capsys, "status", house.root)
    assert code == 0
    assert (data["watchers"], data["waiting"][0]["job"], data["last"]) == (0, "H-101", None)


def test_status_of_what_is_not_watched(house: House, capsys: pytest.CaptureFixture[str]) -> None:
    """2, and what to do; also where somebody made the inbox beforehand."""
    for _ in range(2):
        assert main(["status", str(house.root)]) == 2
        assert "has never been watched" in capsys.readouterr().err
        house.layout.inbox.mkdir(exist_ok=True)


def test_status_of_rejected_files_that_others_changed(house: House, capsys: pytest.CaptureFixture[str]) -> None:
    """A file beside the days, reasons that are none of ours: neither stops the page, nor the watcher."""
    watcher = house.watcher()
    house.drop("H-101", text="job: [")
    house.settle(watcher)
    (explained,) = house.layout.rejected.glob("*/*.error.json")
    explained.write_text('{"file": "x"', "utf-8")
    explained.with_name("note.error.json").write_text("[]", "utf-8")
    (house.layout.rejected / "notes.txt").write_text("call the bakery", "utf-8")
    house.settle(watcher)
    assert house.events("failed") == []
    assert main(["status", str(house.root)]) == 0
    words = capsys.readouterr().out
    assert "rejected  2 files\n" in words
    assert words.count("its reasons cannot be read") == 2


def test_close_week(house: House, capsys: pytest.CaptureFixture[str]) -> None:
    """As `run` of what was gathered: the same words, the same exit codes; a second time there is nothing to do."""
    house.drop("H-101")
    house.drop("H-102", text=ORDER.format(job="H-102", pieces=6).replace("12-18", "12-10"))
    house.settle(house.watcher())
    code, data = said(capsys, "close-week", house.root, "--date", "2026-12-14")
    assert code == 1
    assert data["orders"] == [{"job": "H-101", "invoice": "2026-0001"}]
    assert data["held"] == ["H-102"]
    assert house.waiting() == ["H-102"]
    assert main(["close-week", str(house.root), "--date", "2026-12-14"]) == 1
    assert "Nothing was planned." in capsys.readouterr().out
    assert main(["status", str(house.root)]) == 0
    assert "closed    2026-W51, 2026-12-14: 1 order" in capsys.readouterr().out


def test_the_page_is_kept_up_when_no_watcher_does_so(house: House, capsys: pytest.CaptureFixture[str]) -> None:
    """Its last page would go on showing orders that were withdrawn or closed."""
    watcher = house.watcher()
    house.drop("H-101")
    house.drop("H-102", text=ORDER.format(job="H-102", pieces=6))
    house.settle(watcher)
    watcher.close()
    page = house.layout.out / "status.html"
    assert page.read_text("utf-8").startswith("2 waiting")
    assert main(["withdraw", str(house.root), "H-101"]) == 0
    assert page.read_text("utf-8").startswith("1 waiting")
    assert main(["close-week", str(house.root), "--date", "2026-12-07"]) == 0
    assert page.read_text("utf-8").startswith("0 waiting")


def test_withdraw(house: House, capsys: pytest.CaptureFixture[str]) -> None:
    """It waits no more, and closing passes it over; the same file dropped again waits again."""
    watcher = house.watcher()
    house.drop("H-101")
    house.settle(watcher)
    assert main(["withdraw", str(house.root), "H-101"]) == 0
    assert "waits no more" in capsys.readouterr().out
    assert house.waiting() == []
    assert house.names("out/received") == []
    assert main(["withdraw", str(house.root), "H-101"]) == 2
    assert "no order H-101 waits" in capsys.readouterr().err
    house.drop("H-101")
    house.settle(watcher)
    assert house.waiting() == ["H-101"]
    code, data = said(capsys, "withdraw", house.root, "H-101")
    assert (code, data) == (0, {"withdrawn": "H-101"})


def test_an_invoiced_order_is_not_withdrawn(house: House, capsys: pytest.CaptureFixture[str]) -> None:
    """An invoice is for ever."""
    house.drop("H-101")
    house.settle(house.watcher())
    assert main(["close-week", str(house.root), *DAY]) == 0
    assert main(["withdraw", str(house.root), "H-101"]) == 2
    assert house.invoices() == {"H-101": "2026-0001"}


@pytest.mark.skipif(os.name != "posix", reason="signals")
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_watch_until_it_is_stopped(house: House, number: signal.Signals) -> None:
    """Events on standard error, a line of JSON each; an order is taken in; a signal ends it cleanly, with 0."""
    with (house.root / "shop.yaml").open("a") as file:
        file.write("watch: {require_end_marker: true, poll_seconds: 1}\n")
    due_far = ORDER.format(job="H-101", pieces=6).replace("2026-12-18", "2126-12-18")
    command = [sys.executable, "-c", WATCH, str(house.root)]
    with subprocess.Popen(command, stderr=subprocess.PIPE, text=True, cwd=Path(__file__).parents[2]) as process:
        assert process.stderr is not None
        first = json.loads(process.stderr.readline())
        assert first["event"] == "started"
        house.drop("H-101", text=due_far + "...\n")
        taken = json.loads(process.stderr.readline())
        process.send_signal(number)
        rest = [json.loads(line) for line in process.stderr.read().splitlines()]
    assert (taken["event"], taken["job"]) == ("received", "H-101")
    assert rest[-1]["event"] == "stopped"
    assert process.returncode == 0
    assert house.names("work") == []
    assert list(house.layout.work.iterdir()) == []
    assert house.waiting() == ["H-101"]


def test_watch_that_cannot_start(house: House, capsys: pytest.CaptureFixture[str]) -> None:
    """2, with the line of the shop's file; nothing was made."""
    file = house.root / "shop.yaml"
    file.write_text(file.read_text("utf-8").replace("currency", "curency"), "utf-8")
    assert main(["watch", str(house.root)]) == 2
    assert "did you mean `currency`?" in capsys.readouterr().err
    assert not house.layout.inbox.exists()


def test_the_log(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One line for each event, in letters that can do nothing to a terminal; a log that is full stops no order."""
    LineLog()(NOON, "received", file="two\nlines\x1b[2J\x7f\udcff", held=2)
    line = capsys.readouterr().err
    assert line.count("\n") == 1
    assert line.isascii()
    assert not set(line) & {"\x1b", "\x7f"}
    data = json.loads(line)
    assert data == {
        "at": "2026-11-30T12:00:00.000+00:00",
        "event": "received",
        "file": r"two\nlines\x1b[2J\x7f\udcff",
        "held": 2,
    }
    log = LineLog(tmp_path / "log")
    log(NOON, "one")
    (tmp_path / "log").rename(tmp_path / "log.1")
    log(NOON, "two")
    assert json.loads((tmp_path / "log").read_text("ascii"))["event"] == "two"
    LineLog(tmp_path / "nowhere" / "log")(NOON, "three")
