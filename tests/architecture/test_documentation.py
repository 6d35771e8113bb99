"""README.md and DEVELOPERS.md tell the truth: their examples are run, and what they name is there."""

import argparse
import importlib.util
import json
import re
import shutil
from datetime import UTC, date, datetime
from fnmatch import fnmatch
from functools import cache
from pathlib import Path

import pytest
from attrs import evolve

from pipeline.cli.commands import parser
from pipeline.exit_codes import ExitCode
from pipeline.intake.column_map import read_map
from pipeline.load import load_progress
from pipeline.load_shop import load_shop
from pipeline.model.cost import ChargeKind
from pipeline.model.run import Run, RunKind
from pipeline.request import Request, find_jobs
from pipeline.run import Report, check, run
from pipeline.source import parse
from tests.reading.shop_folder import example, make_folder

ROOT = Path(__file__).parents[2]


@cache
def text(name: str) -> str:
    """A document."""
    return (ROOT / name).read_text("utf-8")


def blocks(name: str, kind: str) -> list[str]:
    """The contents of a document's code blocks of one kind."""
    return re.findall(rf"^```{kind}\n(.*?)^```$", text(name), re.MULTILINE | re.DOTALL)


def first_column(name: str, heading: str) -> list[str]:
    """What stands in backticks in the first column of the table with this heading, row by row."""
    table = text(name).partition(f"| {heading} |")[2].partition("\n\n")[0]
    rows = table.splitlines()[2:]
    assert rows, heading
    return [word for row in rows for word in re.findall(r"`([^`]+)`", row.split("|")[1])]


@pytest.fixture(name="shop", scope="module")
def _shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the sample shop with README's order in `my-orders/`; its searches stop early."""
    shop = tmp_path_factory.mktemp("documentation").resolve() / "shop"
    ignored = shutil.ignore_patterns("out", "ledger.sqlite*", "__pycache__")
    shutil.copytree(ROOT / "sample_jobs", shop, ignore=ignored)
    file = shop / "shop.yaml"
    early = "options:\n  group:\n    iterations: 1\n  schedule:\n    iterations: 1\n"
    order, _, _, watch, _ = blocks("README.md", "yaml")
    file.write_text(file.read_text("utf-8").partition("options:\n")[0] + early + watch, "utf-8")
    (shop / "my-orders").mkdir()
    (shop / "my-orders" / "a-001.yaml").write_text(order, "utf-8")
    # Half a dozen for the plugin of DEVELOPERS.md, which asks for a fee below a dozen.
    assert "pieces: {S: 4, M: 10, L: 8}" in order
    few = order.replace("pieces: {S: 4, M: 10, L: 8}", "pieces: {S: 6}").replace("A-001", "A-002")
    (shop / "my-orders-2").mkdir()
    for job in ("B-001", "B-002"):
        (shop / "my-orders-2" / f"{job}.yaml").write_text(order.replace("A-001", job), "utf-8")
    (shop / "few").mkdir()
    (shop / "few" / "a-002.yaml").write_text(few, "utf-8")
    return shop


def asked(shop: Path, kind: RunKind, *folders: str) -> Request:
    """A request of some day before README's order is due."""
    jobs, week, label = find_jobs([shop / name for name in folders])
    day, now = date(2026, 11, 25), datetime(2026, 11, 25, tzinfo=UTC)
    return Request(kind=kind, shop=shop, files=jobs, week=week, label=label, day=day, now=now)


@pytest.fixture(name="taken", scope="module")
def _taken(shop: Path) -> Report:
    """README's order and the small one, taken through everything with the plugin of DEVELOPERS.md."""
    (plugin,) = blocks("DEVELOPERS.md", "python")
    (shop / "shop_plugins" / "documented.py").write_text(plugin, "utf-8")
    return run(asked(shop, RunKind.RUN, "my-orders", "few"))


def planned(report: Report) -> Run:
    """The run of a report that has one."""
    assert report.run is not None
    return report.run


def test_the_commands_are_word_for_word() -> None:
    """The first two blocks are what a new user types; CI runs them from here."""
    assert blocks("README.md", "sh")[:2] == [
        "python3 -m venv .venv && .venv/bin/pip install . && .venv/bin/peelwright run sample_jobs/2026-W49\n",
        "python3 -m venv .venv && .venv/bin/pip install -e '.[test]' && .venv/bin/pytest\n",
    ]


def test_the_example_of_progress_is_well_written() -> None:
    """What README tells people to write in the middle of the week."""
    _, progress, *_ = blocks("README.md", "yaml")
    loaded = load_progress(progress.encode(), "progress.yaml")
    assert loaded.problems == ()
    assert loaded.value is not None
    assert [item.pressed for item in loaded.value.runs] == [None, 30]


def test_the_example_of_a_map_is_well_written(tmp_path: Path) -> None:
    """What README tells people to write for a table of orders."""
    path = tmp_path / "columns.yaml"
    path.write_text(blocks("README.md", "yaml")[2], "utf-8")
    loaded = read_map(path, "columns.yaml")
    assert loaded.problems == ()
    assert loaded.value is not None
    assert loaded.value.meant("delivery", "by van") == "ship"


def test_the_example_of_einvoices_is_well_written(tmp_path: Path) -> None:
    """What README tells a shop with VAT to write, in a small shop."""
    written = parse(blocks("README.md", "yaml")[4].encode(), "readme.yaml").value
    assert written is not None
    file = make_folder(tmp_path) / "shop.yaml"
    file.write_text(json.dumps({**example("shop"), **written.data}), "utf-8")
    loaded = load_shop(tmp_path)
    assert [str(problem) for problem in loaded.problems] == []
    assert loaded.value is not None
    assert loaded.value.einvoice is not None


def test_the_first_order_goes_through(shop: Path) -> None:
    """The order of README works in the shop that `new-shop` makes, and nothing is said against it."""
    report = check(asked(shop, RunKind.QUOTE, "my-orders"))
    assert [str(problem) for problem in report.problems] == []
    assert [order.job for order in report.orders] == ["A-001"]


def test_the_plugin_changes_a_bill(taken: Report) -> None:
    """Its fee of 5.00 is on the bill of the order below a dozen, taxed like the rest, and on no other's."""
    plan = planned(taken).plan
    fees = [charge for charge in plan.prices.charges if charge.label == "Small order"]
    assert [(fee.job, fee.kind, fee.amount) for fee in fees] == [("A-002", ChargeKind.OTHER, 500)]
    billed = {
        bill.job: [line.net for line in bill.lines if line.description == "Small order"]
        for bill in plan.bills.bills
    }
    assert billed == {"A-001": [], "A-002": [500]}
    for bill in plan.bills.bills:
        assert sum(line.net for line in bill.lines) == bill.net == sum(tax.base for tax in bill.taxes)


def test_the_plugin_adds_a_paper(shop: Path, taken: Report) -> None:
    """It lies where it says, among the others."""
    (folder,) = (shop / "out").iterdir()
    assert (folder / "office" / "due.txt").read_text("utf-8") == "A-001 2026-12-11\nA-002 2026-12-11"


def test_every_paper_is_made_and_told(shop: Path, taken: Report) -> None:
    """Each paper of README's table comes out of a run or a quote, and each that comes out is in the table."""
    named = first_column("README.md", "paper")
    patterns = [re.sub(r"JOB|NUMBER|NAME", "*", name) for name in named] + ["orders/*/quote.pdf"]
    assert taken.delivery is not None
    quote = run(asked(shop, RunKind.QUOTE, "few"))
    assert quote.delivery is not None
    taken_off = run(evolve(asked(shop, RunKind.QUOTE, "my-orders-2"), without=("B-001",)))
    assert taken_off.delivery is not None
    made = {*taken.delivery.written, *quote.delivery.written, *taken_off.delivery.written}
    for pattern in patterns:
        assert any(fnmatch(path, pattern) for path in made), pattern
    by_plugins = {"office/due.txt"}
    for path in made - by_plugins:
        assert any(fnmatch(path, pattern) for pattern in patterns), path


def commands() -> dict[str, argparse.ArgumentParser]:
    """The parser of each command."""
    return below(parser())


def below(parser: argparse.ArgumentParser) -> dict[str, argparse.ArgumentParser]:
    """The parsers of the commands below one."""
    (actions,) = (a for a in parser._actions if isinstance(a, argparse._SubParsersAction))
    return dict(actions.choices)


def test_every_command_is_told() -> None:
    """README's table and the parser have the same commands; each option that README names is one."""
    told = [name.split()[1] for name in first_column("README.md", "command")]
    assert sorted(told) == sorted(commands())
    ledger = below(commands()["ledger"])
    assert sorted(name.split()[2] for name in first_column("README.md", "about the ledger")) == sorted(ledger)
    parsers = (*commands().values(), *ledger.values())
    options = {option for parser in parsers for option in parser._option_string_actions}
    named = set(re.findall(r"`(--[a-z-]+)", text("README.md").partition("## Commands")[2].partition("## VAT")[0]))
    assert named <= options
    assert {option for option in options if option.startswith("--")} - named == {"--help"}


def test_every_exit_code_is_told() -> None:
    """Programs rely on them: README and the help name those that there are."""
    words = re.search(r"Exit codes: (.*?)\.\s", text("README.md"), re.DOTALL)
    assert words is not None
    codes = {str(int(code)) for code in ExitCode}
    assert set(re.findall(r"(?:^|; )\s*(\d+)\s", words[1].replace("\n", " "))) == codes
    assert set(re.findall(r"(?:: |; )(\d+) ", parser().epilog or "")) == codes


def test_what_stands_in_a_shop_is_there(shop: Path, taken: Report) -> None:
    """The table of a shop's folder against the shop; changed templates and words are each shop's own."""
    for name in first_column("README.md", "in the folder"):
        if name not in ("templates/", "language/"):
            assert (shop / name).exists(), name


def test_the_commands_of_developers_exist() -> None:
    """`python -m X` in DEVELOPERS.md names a module with a main part."""
    modules = re.findall(r"python -m ([a-z_.]+)", text("DEVELOPERS.md"))
    assert len(modules) >= 5
    for name in modules:
        spec = importlib.util.find_spec(name)
        assert spec is not None, name
        assert spec.origin is not None
        if name.startswith("tests."):
            assert '__name__ == "__main__"' in Path(spec.origin).read_text("utf-8"), name


def test_the_house_is_as_it_is_drawn() -> None:
    """Each module, package and test that DEVELOPERS.md names is there; each module of the host is named."""
    drawn = text("DEVELOPERS.md").partition("## The house")[2].partition("## The journey")[0]
    host = set(re.findall(r"\b([a-z_]+\.py|[a-z_]+/)", drawn.partition("plugins/ ")[0])) - {"pipeline/"}
    for name in host:
        assert (ROOT / "pipeline" / name).exists(), name
    modules = {path.name for path in (ROOT / "pipeline").glob("*.py")} - {"__init__.py"}
    folders = {f"{path.name}/" for path in (ROOT / "pipeline").iterdir() if (path / "__init__.py").is_file()}
    # Helpers that a reader meets on the way.
    helpers = {"canonical.py", "failpoints.py", "new_shop.py", "record.py"}
    assert (modules | folders) - host == helpers
    for name in re.findall(r"`?((?:tests|plugins|sample_jobs)/[a-z_/]+(?:\.py)?)", text("DEVELOPERS.md")):
        assert (ROOT / name).exists(), name


def test_every_threat_has_its_test() -> None:
    """What the last column names is there, and every row names something."""
    rows = text("DEVELOPERS.md").partition("## Threats")[2].partition("\n## ")[0].splitlines()
    shown = [
        row.split("|")[3] for row in rows if row.startswith("|") and "---" not in row and "shown by" not in row
    ]
    assert len(shown) > 20
    for cell in shown:
        files = [ROOT / name.strip() for name in cell.split(",")]
        assert all("def test_" in file.read_text("utf-8") for file in files), cell
