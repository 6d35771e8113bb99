"""The commands as a shell sees them: exit codes, words, JSON."""

import json
import sqlite3
import subprocess
import sys
from io import BytesIO, TextIOWrapper
from pathlib import Path
from typing import Any

import pytest

from pipeline.cli import main
from pipeline.codes import CODES
from pipeline.ledger import Ledger
from pipeline.request import LEDGER_FILE
from tests.host.folder import add_plugin, write
from tests.refused.gallery import SHOP

DAY = ("--date", "2026-11-30")
RAISES = "@hookimpl\ndef check_orders(orders):\n    return orders.nothing\n"


@pytest.fixture(name="week")
def _week(shop: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder of orders; the user stands in the shop."""
    monkeypatch.chdir(shop)
    return Path("week")


class Peelwright:
    """Runs a command and keeps what it said."""

    def __init__(self, captured: pytest.CaptureFixture[str]) -> None:
        self._captured = captured
        self.out = self.err = ""

    def __call__(self, *arguments: str | Path) -> int:
        """The exit code."""
        try:
            code = main([str(argument) for argument in arguments])
        except SystemExit as stop:  # argparse's way to refuse
            code = int(stop.code or 0)
        self.out, self.err = self._captured.readouterr()
        assert "Traceback" not in self.err
        return code

    @property
    def data(self) -> Any:
        """What was said, as JSON."""
        return json.loads(self.out)


@pytest.fixture(name="peelwright")
def _peelwright(capsys: pytest.CaptureFixture[str]) -> Peelwright:
    """The command."""
    return Peelwright(capsys)


def hold_one(week: Path) -> None:
    """Add an order that cannot go on."""
    bad = write(week.parent.resolve(), "H-103")
    bad.write_text(bad.read_text("utf-8").replace("tee", "teh"), "utf-8")


def test_done(week: Path, peelwright: Peelwright) -> None:
    """0, a summary on standard output, nothing on standard error; the folder as people would type it."""
    assert peelwright("run", week, *DAY) == 0
    assert peelwright.out.startswith("Run week, 2026-11-30: 2 orders, 12 pieces\n")
    assert f"See it all: {Path('out', 'week')}/index.html" in peelwright.out
    assert peelwright.err == ""
    assert peelwright("run", week, *DAY) == 0
    assert "Nothing new: nothing to do." in peelwright.out


def test_held(week: Path, peelwright: Peelwright) -> None:
    """1, the reasons on standard error with their line, the summary on standard output."""
    hold_one(week)
    assert peelwright("run", week, *DAY) == 1
    assert "error[E222]" in peelwright.err
    assert "7 |   - garment: teh" not in peelwright.err
    assert "6 |   - garment: teh" in peelwright.err
    assert "Held: H-103." in peelwright.out
    assert "2 orders" in peelwright.out
    assert peelwright("check", week, *DAY) == 1
    assert "held: H-103" in peelwright.out


def test_strict(week: Path, peelwright: Peelwright) -> None:
    """1, and nothing was done."""
    hold_one(week)
    assert peelwright("run", week, "--strict", *DAY) == 1
    assert "Nothing was planned." in peelwright.out
    assert not Path("out").exists()


def test_a_warning_holds_nothing(week: Path, peelwright: Peelwright) -> None:
    """0, and the warning is told."""
    order = week / "h-101.yaml"
    order.write_text(order.read_text("utf-8").replace("due: 2026-12-18", "due: 2026-12-20"), "utf-8")
    assert peelwright("run", week, *DAY) == 0
    assert "warning[W422]" in peelwright.err


@pytest.mark.parametrize("arguments", [(), ("--out", "papers"), ("--start", "2026-12-01 09:00")])
def test_a_quote(week: Path, peelwright: Peelwright, arguments: tuple[str, ...]) -> None:
    """0, no ledger, papers where they were asked for."""
    assert peelwright("quote", week, *DAY, *arguments) == 0
    assert "Nothing was recorded." in peelwright.out
    out = Path("papers" if "papers" in arguments else "out")
    assert (out / "quote-week" / "orders" / "h-101.txt").is_file()
    assert not Path(LEDGER_FILE).exists()


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((), "required: COMMAND"),
        (("chekc", "week"), "invalid choice: 'chekc'"),
        (("check",), "required: JOBS"),
        (("check", "nowhere"), "`nowhere` does not exist"),
        (("check", "shop.yaml"), "`shop.yaml` is no job file"),
        (("check", "week", "--shop", "art"), "`art` holds no shop.yaml"),
        (("check", "week", "--date", "tomorrow"), "`tomorrow` is no day: write it like 2026-11-30"),
        (("check", "week", "--start", "noon"), "`noon` is no time: write it like '2026-11-30 07:30'"),
        (("check", "week", "--start", "2026-11-30T08:00Z"), "write local time, without a zone"),
        (("check", "week", "--format", "xml"), "invalid choice: 'xml'"),
        (("run", "week", *DAY, "--out", "shop.yaml"), "`shop.yaml` is a file, not a folder"),
        (("explain", "E999"), "there is no code `E999`"),
        (("new-shop", "art"), "`art` is there already"),
    ],
)
def test_usage(week: Path, peelwright: Peelwright, arguments: tuple[str, ...], said: str) -> None:
    """2, with what is wrong and what to write instead, on standard error alone."""
    assert peelwright(*arguments) == 2
    assert said in peelwright.err
    assert peelwright.out == ""
    assert not Path(LEDGER_FILE).exists()


@pytest.mark.parametrize("command", [("run", "week"), ("quote", "week"), ("check", "week"), ("plugins",)])
def test_a_fault_of_the_shop(week: Path, peelwright: Peelwright, command: tuple[str, ...]) -> None:
    """2 whatever is asked, with the line of shop.yaml; its orders are not held, nothing was done."""
    file = Path("shop.yaml")
    file.write_text(file.read_text("utf-8").replace("currency: USD", "curency: USD"), "utf-8")
    assert peelwright(*command) == 2
    assert "did you mean `currency`?" in peelwright.err
    assert "| curency: USD" in peelwright.err


@pytest.mark.parametrize("command", ["run", "quote", "check"])
def test_a_fault_of_a_plugin(week: Path, peelwright: Peelwright, command: str) -> None:
    """3, with the plugin, the hook and the line; nothing was recorded."""
    add_plugin(Path(), RAISES)
    assert peelwright(command, week, *DAY) == 3
    assert "error: plugin 'shop:own' failed in check_orders, own.py:4" in peelwright.err
    assert "fault of the plugin" in peelwright.err


def test_debug_shows_where(week: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A traceback for those who ask, and the words all the same."""
    add_plugin(Path(), RAISES)
    assert main(["check", str(week), "--debug"]) == 3
    said = capsys.readouterr().err
    assert "Traceback (most recent call last)" in said
    assert "error: plugin 'shop:own' failed" in said


def test_a_fault_of_ours(week: Path, peelwright: Peelwright, monkeypatch: pytest.MonkeyPatch) -> None:
    """3, and it says whose fault it is."""

    def broken(*_: object) -> None:
        raise RuntimeError("no such case")

    monkeypatch.setattr("pipeline.run.run", broken)
    assert peelwright("run", week) == 3
    assert "internal error: RuntimeError('no such case')" in peelwright.err
    assert "fault of peelwright, nothing was recorded" in peelwright.err


def test_the_disk_refuses(week: Path, peelwright: Peelwright) -> None:
    """74 with the file: the papers have no place, or the ledger cannot be opened."""
    assert peelwright("run", week, *DAY, "--out", Path("shop.yaml", "below")) == 74
    assert "`shop.yaml`: " in peelwright.err
    assert "[Errno" not in peelwright.err
    assert "run again" in peelwright.err
    Path(LEDGER_FILE).unlink()
    Path(LEDGER_FILE).mkdir()
    assert peelwright("run", week, *DAY) == 74
    assert f"{LEDGER_FILE}`" in peelwright.err


def test_the_ledger_is_busy(week: Path, peelwright: Peelwright, monkeypatch: pytest.MonkeyPatch) -> None:
    """75: nothing is wrong, somebody else is writing. Afterwards it works."""
    # A moment's patience is enough for a test.
    monkeypatch.setattr(Ledger.open.__func__, "__defaults__", (True, 0.05))
    assert peelwright("run", week, *DAY) == 0
    other = sqlite3.connect(LEDGER_FILE, isolation_level=None)
    other.execute("BEGIN EXCLUSIVE")
    assert peelwright("run", week, *DAY) == 75
    assert "another run is writing" in peelwright.err
    other.execute("ROLLBACK")
    other.close()
    assert peelwright("run", week, *DAY) == 0


def test_stopped_by_hand(week: Path, peelwright: Peelwright, monkeypatch: pytest.MonkeyPatch) -> None:
    """130, as shells report Ctrl-C, and a word instead of a traceback."""

    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("pipeline.run.run", stopped)
    assert peelwright("run", week) == 130
    assert "nothing is lost" in peelwright.err


def test_json_of_each_outcome(week: Path, peelwright: Peelwright) -> None:
    """Whatever happens, a program gets one JSON value on standard output, and nothing beside it."""
    json_please = ("--format", "json")
    assert peelwright("run", week, *DAY, *json_please) == 0
    assert peelwright.data["orders"][0] == {"job": "H-101", "invoice": "2026-0001"}
    assert peelwright.data["folder"] == str(Path("out", "week"))
    assert "orders/h-101.txt" in peelwright.data["written"]
    assert peelwright.err == ""
    hold_one(week)
    assert peelwright("check", week, *DAY, *json_please) == 1
    (problem,) = peelwright.data["problems"]
    assert (problem["code"], problem["file"], problem["line"]) == ("E222", "week/h-103.yaml", 6)
    assert [known["invoice"] for known in peelwright.data["repeated"]] == ["2026-0001", "2026-0002"]
    assert peelwright.err == ""
    assert peelwright("run", "nowhere", *json_please) == 2
    assert [problem["code"] for problem in peelwright.data["problems"]] == ["E700"]
    write(Path(), "H-104")
    assert peelwright("run", week, *DAY, "--out", Path("shop.yaml", "below"), *json_please) == 74
    assert set(peelwright.data) == {"error", "hint"}
    add_plugin(Path(), RAISES)
    assert peelwright("run", week, *DAY, *json_please) == 3
    assert "'shop:own'" in peelwright.data["error"]
    assert peelwright.err == ""


def test_plugins(week: Path, peelwright: Peelwright) -> None:
    """Every hook with its chain, in words and as data."""
    add_plugin(Path(), "@hookimpl(wrapper=True)\ndef pack_orders():\n    return (yield)\n")
    assert peelwright("plugins") == 0
    assert "pack_orders\n    shop:own (wraps those below)\n    tests.host.plain\n" in peelwright.out
    assert peelwright("plugins", "--format", "json") == 0
    assert {"hook": "pack_orders", "plugin": "shop:own", "wraps": True} in peelwright.data


def test_explain(peelwright: Peelwright) -> None:
    """A code as it stands in a message, brackets and small letters included."""
    for spelling in ("E203", "[E203]", "e203"):
        assert peelwright("explain", spelling) == 0
        assert peelwright.out.startswith(f"E203: {CODES['E203'].title}\n\n")
    assert peelwright("explain", "E203", "--format", "json") == 0
    assert peelwright.data == {"code": "E203", "title": CODES["E203"].title, "text": CODES["E203"].text}
    assert peelwright("explain", "E69") == 2
    assert "there are E601, E602" in peelwright.err


def test_new_shop(tmp_path: Path, peelwright: Peelwright) -> None:
    """It says what to try, and that works."""
    folder = tmp_path / "my-shop"
    assert peelwright("new-shop", folder) == 0
    command = peelwright.out.splitlines()[-1].split()
    assert command[:2] == ["peelwright", "run"]
    assert peelwright("check", command[2]) == 0
    assert "11 orders can go on." in peelwright.out
    assert peelwright("new-shop", tmp_path / "other", "--format", "json") == 0
    assert peelwright.data == {"shop": str(tmp_path / "other"), "weeks": [str(tmp_path / "other" / "2026-W49")]}


def test_version_and_help(peelwright: Peelwright) -> None:
    """Every command is in the help; every option of a command has a word of explanation."""
    assert peelwright("--version") == 0
    assert peelwright.out.startswith("peelwright 0.")
    assert peelwright("--help") == 0
    for command in ("run", "quote", "check", "plugins", "explain", "new-shop"):
        assert f"\n    {command}" in peelwright.out
    assert peelwright("run", "--help") == 0
    for option in ("--date", "--start", "--out", "--strict", "--shop", "--format", "--debug"):
        assert option in peelwright.out


def test_a_terminal_without_the_letters(week: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An old Windows console lacks most of them; a run that was recorded must not end as a failure for that."""
    order = week / "h-101.yaml"
    order.write_text(order.read_text("utf-8").replace("tee", "шапка"), "utf-8")
    errors = BytesIO()
    monkeypatch.setattr(sys, "stderr", TextIOWrapper(errors, encoding="cp1252"))
    assert main(["check", str(week), *DAY]) == 1
    sys.stderr.flush()
    assert b"\\u0448\\u0430\\u043f\\u043a\\u0430" in errors.getvalue()


def test_a_reader_that_has_heard_enough() -> None:
    """`peelwright plugins | head -1`: no complaint, no failure."""
    command = "import sys; from pipeline.cli import main; sys.exit(main(sys.argv[1:]))"
    process = subprocess.Popen(
        [sys.executable, "-c", command, "plugins", "--shop", str(SHOP)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert process.stdout is not None
    assert process.stderr is not None
    process.stdout.close()
    assert process.stderr.read() == b""
    process.stderr.close()
    assert process.wait() == 0


def test_the_command_line_is_read_without_heavy_libraries() -> None:
    """`--help` answers at once, and so does a slip of the finger: nothing heavy is imported for the parser."""
    # What an environment loads at start, by .pth files, is not our doing.
    script = (
        "import sys\n"
        "before = set(sys.modules)\n"
        "import pipeline.cli.commands as cli\n"
        "cli.parser()\n"
        "print(*sorted({name.partition('.')[0] for name in set(sys.modules) - before}))"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    heavy = {"pandas", "reportlab", "sqlalchemy", "jsonschema", "jinja2", "pikepdf", "ortools", "numpy"}
    assert "pipeline" in done.stdout.split()
    assert heavy.isdisjoint(done.stdout.split())
