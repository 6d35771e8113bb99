"""Deposit, payment, run, count, credit note and statement by the commands, with plain stages; it may be killed."""

import os
from pathlib import Path

import plugins
from pipeline.cli import main
from tests.host import folder, plain

LATER = ("--date", "2026-12-08")
TALLY = "orders:\n  - job: H-101\n    lines: [{line: 1, shipped: {M: 5}}]\n"

COMMANDS = (
    ("deposit", "week", "--date", "2026-11-30"),
    ("ledger", "pay", "D2026-001", "--amount", "28.49", "--date", "2026-11-30"),
    ("ledger", "pay", "D2026-002", "--amount", "28.49", "--date", "2026-11-30"),
    ("run", "week", "--date", "2026-11-30"),
    ("ledger", "tally", "tally.yaml", *LATER),
    ("ledger", "credit", "2026-0002", "--line", "1=2", "--reason", "Torn", *LATER),
    ("ledger", "credit", "2026-0002", "--amount", "5", "--reason", "Late", *LATER),
    ("ledger", "pay", "2026-0001", "--amount", "10", *LATER),
    ("ledger", "statement", *LATER),
)


def prepare(shop: Path) -> Path:
    """Two orders of a bakery that pays half before work starts, and the floor's count."""
    folder.make_shop(shop)
    file = shop / "customers" / "harbour-bakery.yaml"
    file.write_text(file.read_text("utf-8").rstrip() + "\ndeposit: 50%\n", "utf-8")
    for job in ("H-101", "H-102"):
        folder.write(shop, job)
    (shop / "tally.yaml").write_text(TALLY, "utf-8")
    return shop


def travel(commands: tuple[tuple[str, ...], ...] = COMMANDS) -> list[int]:
    """The exit codes of the commands, one after the other, in the folder where we are."""
    return [main(command) for command in commands]


def travel_plainly(shop: Path) -> None:
    """The same in a process of its own."""
    os.chdir(shop)
    plugins.STAGES = plain.STAGES
    assert set(travel()) == {0}
