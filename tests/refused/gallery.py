"""The cases of the gallery, and what is printed about each.

A case is a folder with one job file or more and `expected.txt`. All cases use the small shop in `shop/` and are
checked as on the same Monday. `python -m tests.refused.update` writes every `expected.txt` anew: read the
difference before you commit it.
"""

from datetime import UTC, date, datetime
from pathlib import Path

from pipeline.model.run import RunKind
from pipeline.report import render
from pipeline.request import Request
from pipeline.run import check

HERE = Path(__file__).parent
SHOP = HERE / "shop"
MONDAY = date(2026, 11, 30)
EXPECTED = "expected.txt"


def cases() -> tuple[Path, ...]:
    """The folder of every case, by name."""
    return tuple(sorted(path for path in HERE.iterdir() if any(path.glob("*.yaml")) and path != SHOP))


def printed(case: Path) -> str:
    """Everything that is printed about the job files of a case."""
    request = Request(
        kind=RunKind.QUOTE,
        shop=SHOP,
        files=tuple(sorted(case.glob("*.yaml"))),
        day=MONDAY,
        now=datetime(2026, 11, 30, 12, tzinfo=UTC),
    )
    report = check(request)
    return render(report.problems, report.sources)


def expected(case: Path) -> str:
    """What was printed about a case when it was last looked at."""
    path = case / EXPECTED
    return path.read_text(encoding="utf-8") if path.is_file() else ""
