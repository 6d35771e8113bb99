"""The commands and what each is given."""

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from pipeline.cli.arguments import day, moment
from pipeline.cli.batch import check_batch, close_week, deposit, run_batch
from pipeline.cli.desk import explain_code, make_new_shop, show_plugins, take_in, write_words
from pipeline.cli.folder import show_status, watch_folder, withdraw_order
from pipeline.cli.ledger_commands import add_commands


def parser() -> argparse.ArgumentParser:
    """The whole command line. What it gives has `command`, the function to call with it."""
    whole = argparse.ArgumentParser(
        prog="peelwright",
        description="From a week of orders to shared transfer sheets, a press schedule, packing lists and invoices.",
        epilog="Exit codes: 0 done; 1 orders held; 2 usage or a shop's file; 3 a fault of the program or a plugin; "
        "74 disk or ledger; 75 ledger busy or its database away.",
    )
    whole.add_argument("--version", action=_Version, help="show the version and stop")
    commands = whole.add_subparsers(title="commands", required=True, metavar="COMMAND", dest="name")
    common = argparse.ArgumentParser(add_help=False)
    common.add_argument("--format", choices=("text", "json"), default="text", help="how to answer")
    common.add_argument("--debug", action="store_true", help="show tracebacks")
    shop = argparse.ArgumentParser(add_help=False)
    shop.add_argument("--shop", type=Path, metavar="DIR", help="the shop's folder (default: the nearest upward)")
    own = argparse.ArgumentParser(add_help=False)
    own.add_argument("shop", type=Path, metavar="SHOP", help="the shop's folder")
    jobs = argparse.ArgumentParser(add_help=False)
    jobs.add_argument("jobs", type=Path, nargs="+", metavar="JOBS", help="folders of job files, or job files")
    when = argparse.ArgumentParser(add_help=False)
    when.add_argument(
        "--date",
        type=day,
        metavar="YYYY-MM-DD",
        help="day of issue (default: that of week.yaml beside the job files, else today)",
    )
    when.add_argument(
        "--start",
        type=moment,
        metavar="'YYYY-MM-DD HH:MM'",
        help="when pressing may begin, the shop's local time (default: that of week.yaml, else that day)",
    )
    when.add_argument("--out", type=Path, metavar="DIR", help="where run folders go (default: out/ in the shop)")
    when.add_argument(
        "--allow-earlier-date", action="store_true", help="give numbers though later days have some already"
    )
    when.add_argument("--strict", action="store_true", help="one held order stops the batch")
    for name, command, parents, about in (
        ("run", run_batch, (jobs, when, shop, common), "take orders through everything, give numbers, record it"),
        ("quote", run_batch, (jobs, when, shop, common), "the same without numbers; nothing is recorded"),
        ("check", check_batch, (jobs, when, shop, common), "validate only"),
        ("deposit", deposit, (jobs, when, shop, common), "ask for the deposits of orders before they are run"),
        ("watch", watch_folder, (own, common), "take in orders that are dropped into the shop's inbox"),
        ("status", show_status, (own, common), "how the watched folder stands"),
        ("close-week", close_week, (own, when, common), "run what the watched folder has gathered"),
        ("withdraw", withdraw_order, (own, common), "take back an order that the watched folder has gathered"),
        ("plugins", show_plugins, (shop, common), "each hook's plugins in the order in which they are called"),
    ):
        added = commands.add_parser(name, parents=parents, help=about, description=about)
        added.set_defaults(command=command)
        if name == "run":
            instead = added.add_mutually_exclusive_group()
            instead.add_argument(
                "--without",
                action="append",
                default=[],
                metavar="JOB",
                help="show what the others pay if this job is taken off, and record nothing (may be repeated)",
            )
            instead.add_argument(
                "--as-of",
                type=moment,
                metavar="'YYYY-MM-DD HH:MM'",
                help="plan the presses again from then on, for orders that were run before; progress.yaml beside the "
                "job files tells what has begun; instead of job files, JOBS may be the folder of a run's papers",
            )
        if name == "watch":
            added.add_argument(
                "--log", type=Path, metavar="FILE", help="where events go (default: standard error)"
            )
        if name == "withdraw":
            added.add_argument("job", metavar="JOB", help="the order's job id")
    add_commands(commands, (shop, common))
    intake = commands.add_parser("intake", parents=(common,), help="make job files out of a table of orders")
    intake.add_argument("table", type=Path, metavar="TABLE", help="orders as .csv or .xlsx")
    intake.add_argument(
        "--map", type=Path, required=True, metavar="FILE", help="which column holds what, as a YAML file"
    )
    intake.add_argument(
        "--into",
        type=Path,
        metavar="DIR",
        help="where job files go (default: a folder beside the table, of its name)",
    )
    intake.set_defaults(command=take_in)
    words = commands.add_parser(
        "words", parents=(shop, common), help="write the messages of papers, to be translated or worded otherwise"
    )
    words.add_argument("code", metavar="LANGUAGE", help="its code (ISO 639), for instance fr")
    words.set_defaults(command=write_words)
    explain = commands.add_parser("explain", parents=(common,), help="what a problem's code means")
    explain.add_argument("code", metavar="CODE", help="for instance E203")
    explain.set_defaults(command=explain_code)
    new_shop = commands.add_parser("new-shop", parents=(common,), help="make a working shop folder to edit")
    new_shop.add_argument("folder", type=Path, metavar="DIR")
    new_shop.set_defaults(command=make_new_shop)
    return whole


class _Version(argparse.Action):
    """Looks the version up only when it is asked for."""

    def __init__(self, option_strings: Sequence[str], dest: str, **options: Any) -> None:
        super().__init__(option_strings, dest, nargs=0, **options)

    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> None:
        from importlib.metadata import version

        print(f"peelwright {version('peelwright')}")
        parser.exit()
