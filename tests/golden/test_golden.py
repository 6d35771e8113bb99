"""A small week comes out exactly as it did when somebody last read it."""

from difflib import unified_diff

from tests.golden.golden import EXPECTED, Files, comparable, delivered, files_in

MOST_LINES = 200
"""Of a difference, so that a new font does not bury the line that matters."""


def difference(expected: Files, got: Files) -> str:
    """What changed, as a patch of the golden files; "" when nothing did."""
    lines: list[str] = []
    for path in sorted({*expected, *got}):
        old, new = (files.get(path, b"").decode().splitlines() for files in (expected, got))
        changed = list(unified_diff(old, new, f"expected/{path}", f"now/{path}", n=1, lineterm=""))
        if not changed and expected.get(path) != got.get(path):
            changed = [f"{path}: only the ends of lines differ, or it is empty"]
        lines += changed
    more = [f"... and {len(lines) - MOST_LINES} lines more"] if len(lines) > MOST_LINES else []
    return "\n".join([*lines[:MOST_LINES], *more])


def test_a_week_comes_out_as_it_was_last_read() -> None:
    """Nothing that people get on paper or as data changes unseen: not a cent, a minute or a word."""
    changed = difference(files_in(EXPECTED), comparable(delivered()))
    assert not changed, f"python -m tests.golden.update, and read the difference:\n{changed}"


def test_a_difference_is_seen() -> None:
    """A comparison that lets something through would keep everyone calm for the wrong reason."""
    old = {"a.csv": b"job,net\r\nGW-01,1.00\r\n", "b.txt": b"one\n"}
    assert difference(old, dict(old)) == ""
    assert "+GW-01,1.01" in difference(old, {**old, "a.csv": b"job,net\r\nGW-01,1.01\r\n"})
    assert "ends of lines" in difference(old, {**old, "a.csv": b"job,net\nGW-01,1.00\n"})
    assert "-one" in difference(old, {"a.csv": old["a.csv"]})
    assert "empty" in difference(old, {**old, "c.txt": b""})


def test_the_golden_week_shows_what_it_should() -> None:
    """The files are worth reading: an order is held, one is exempt from tax, and every kind of paper is there."""
    files = files_in(EXPECTED)
    record = files["run.json"].decode()
    assert '"GW-05"' in record
    assert '"E423"' in record
    kinds = {path.split("/")[-1].split("-")[0].split(".")[0] for path in files}
    assert kinds == {"blanks", "calendar", "carton", "costs", "delivery", "index", "invoice", "orders", "packing",
                     "press", "purchase", "run", "schedule", "sharing", "sheet", "sheets", "traveller",
                     "week"}  # fmt: skip
    assert b"Zero-rated lifesaving equipment" in files["orders/gw-03/invoice-mt-2026-003.pdf.txt"]
