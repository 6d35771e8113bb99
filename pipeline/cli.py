"""The commands and their exit codes; nothing else."""

import argparse
import json
import os
import sys
import traceback
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from io import TextIOWrapper
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pipeline.exit_codes import ExitCode
from pipeline.ledger_cli import add_commands, day

# Only what parsing the command line needs is imported here; each command imports its own work, so that
# `--help` answers at once.
if TYPE_CHECKING:
    from pipeline.problems import Problem
    from pipeline.request import Request
    from pipeline.run import Report


_INTERRUPTED = 130
"""What shells report of a program that Ctrl-C ended."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    options = _parser().parse_args(arguments)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            # A terminal that lacks a character must not turn a run that was recorded into a failure.
            stream.reconfigure(errors="backslashreplace")
    try:
        code = int(options.command(options))
        sys.stdout.flush()
    except BrokenPipeError:
        # Whoever read our words has heard enough (`peelwright plugins | head`); nothing is wrong with the work.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return int(ExitCode.DONE)
    except KeyboardInterrupt:
        print("\nstopped; nothing is lost: run again", file=sys.stderr)
        return _INTERRUPTED
    except Exception as error:
        return int(_failed(error, options))
    return code


def _run(options: argparse.Namespace) -> ExitCode:
    if options.name == "run" and options.as_of is not None:
        return _replan(options)
    return _plan(_request(options), options)


def _replan(options: argparse.Namespace) -> ExitCode:
    from pipeline.progress import progress_on
    from pipeline.replan import replan
    from pipeline.request import find_progress
    from pipeline.summary import replanned, replanned_as_json

    with progress_on(sys.stderr) as progress:
        done = replan(_request(options), options.as_of, find_progress(options.jobs), progress)
    if options.format == "json":
        _print_json(replanned_as_json(done))
    else:
        _print_problems(done.problems, done.sources)
        print(replanned(done))
    return ExitCode.HELD if done.held else ExitCode.DONE


def _close_week(options: argparse.Namespace) -> ExitCode:
    return _plan(_week_request(options), options)


def _plan(request: "Request", options: argparse.Namespace) -> ExitCode:
    from pipeline.progress import progress_on
    from pipeline.run import run
    from pipeline.summary import as_json, summary

    with progress_on(sys.stderr) as progress:
        report = run(request, progress)
    return _tell(report, as_json(report), summary(report), options)


def _check(options: argparse.Namespace) -> ExitCode:
    from pipeline.run import check
    from pipeline.summary import as_json, checked

    report = check(_request(options))
    return _tell(report, as_json(report), checked(report), options)


def _tell(report: "Report", data: object, words: str, options: argparse.Namespace) -> ExitCode:
    """Say what came of a batch: `data` to programs, its problems and `words` to people."""
    if options.format == "json":
        _print_json(data)
    else:
        _print_problems(report.problems, report.sources)
        print(words)
    return ExitCode.HELD if report.held else ExitCode.DONE


def _deposit(options: argparse.Namespace) -> ExitCode:
    from pipeline.books.counter import open_counter
    from pipeline.books.deposit import ask_deposits
    from pipeline.books.report import given_data, given_text
    from pipeline.report import as_json

    request = _request(options)
    with open_counter(request.shop, request.out, create=True) as counter:
        asked = ask_deposits(counter, request)
    report, given = asked.report, asked.given
    data = {**given_data(given), "held": list(report.held), "problems": as_json(report.problems)}
    words = given_text(given, report.shop.currency) or "No order asks for a deposit."
    return _tell(report, data, words, options)


def _intake(options: argparse.Namespace) -> ExitCode:
    from pipeline.intake import intake
    from pipeline.intake.report import as_data, words

    taken = intake(options.table, options.map, options.into or options.table.with_suffix(""))
    if options.format == "json":
        _print_json(as_data(taken))
    else:
        _print_problems(taken.problems, taken.sources)
        print(words(taken))
    return ExitCode.HELD if any(problem.is_error for problem in taken.problems) else ExitCode.DONE


def _plugins(options: argparse.Namespace) -> ExitCode:
    from pipeline.batch import read_shop
    from pipeline.plugin_manager import load_plugins
    from pipeline.problems import showing
    from pipeline.request import find_shop
    from pipeline.stages import hook_names

    loaded = read_shop(find_shop([], options.shop))
    if loaded.value is None:
        raise AssertionError("a shop that could not be read stops the command")
    with showing(loaded.sources):
        chain = load_plugins(loaded.value).chain()
    if options.format == "json":
        _print_json([{"hook": link.hook, "plugin": link.plugin, "wraps": link.wraps} for link in chain])
        return ExitCode.DONE
    for hook in hook_names():
        print(hook)
        for link in chain:
            if link.hook == hook:
                print(f"    {link.plugin}{' (wraps those below)' if link.wraps else ''}")
    return ExitCode.DONE


def _explain(options: argparse.Namespace) -> ExitCode:
    from pipeline.codes import CODES
    from pipeline.problems import Problem, StopRun

    code = options.code.strip("[]").upper()
    if code not in CODES:
        # Codes that begin alike belong together; the one that merely looks alike may be about anything.
        near = [known for known in sorted(CODES) if code[:2] == known[:2]]
        hint = f"there are {', '.join(near)}" if near else "codes stand in brackets in each message"
        raise StopRun([Problem(code="E700", message=f"there is no code `{options.code}`", hint=hint)])
    if options.format == "json":
        _print_json({"code": code, "title": CODES[code].title, "text": CODES[code].text})
    else:
        print(f"{code}: {CODES[code].title}\n\n{CODES[code].text}")
    return ExitCode.DONE


def _new_shop(options: argparse.Namespace) -> ExitCode:
    from pipeline.new_shop import make_shop

    folder = make_shop(options.folder)
    weeks = sorted(path for path in folder.iterdir() if (path / "week.yaml").is_file())
    if options.format == "json":
        _print_json({"shop": str(folder), "weeks": [str(week) for week in weeks]})
        return ExitCode.DONE
    print(f"A working shop stands in {folder}: edit shop.yaml and the folders beside it. Try it:")
    print(f"    peelwright run {weeks[0] if weeks else folder}")
    return ExitCode.DONE


def _watch(options: argparse.Namespace) -> ExitCode:
    from pipeline.request import find_shop
    from pipeline.watch.commands import watch

    watch(find_shop([], options.shop), options.log)
    return ExitCode.DONE


def _status(options: argparse.Namespace) -> ExitCode:
    from pipeline.request import find_shop
    from pipeline.watch.board import as_data
    from pipeline.watch.commands import status, words

    folder = status(find_shop([], options.shop), datetime.now(UTC))
    if options.format == "json":
        _print_json(as_data(folder))
    else:
        print(words(folder))
    return ExitCode.DONE


def _withdraw(options: argparse.Namespace) -> ExitCode:
    from pipeline.request import find_shop
    from pipeline.watch.commands import withdraw

    withdraw(find_shop([], options.shop), options.job, datetime.now(UTC))
    if options.format == "json":
        _print_json({"withdrawn": options.job})
    else:
        print(f"{options.job} waits no more. Its file stays in done/.")
    return ExitCode.DONE


def _week_request(options: argparse.Namespace) -> "Request":
    from pipeline.model.run import RunKind
    from pipeline.request import Request, find_shop

    return Request(
        kind=RunKind.RUN,
        shop=find_shop([], options.shop),
        gathered=(),
        day=options.date,
        start=options.start,
        now=datetime.now(UTC),
        out=options.out,
        strict=options.strict,
    )


def _request(options: argparse.Namespace) -> "Request":
    from pipeline.model.run import RunKind
    from pipeline.request import Request, find_jobs, find_recorded, find_shop

    again = options.name == "run" and options.as_of is not None
    recorded = find_recorded(options.jobs) if again else ()
    files, week, label = ((), None, "") if recorded else find_jobs(options.jobs)
    without = tuple(options.without) if options.name == "run" else ()
    return Request(
        kind=RunKind.RUN if options.name == "run" and not without else RunKind.QUOTE,
        shop=find_shop(options.jobs, options.shop),
        files=files,
        recorded=recorded,
        week=week,
        label=label,
        day=options.date,
        start=options.start,
        now=datetime.now(UTC),
        out=options.out,
        strict=options.strict,
        without=without,
        backdate=options.allow_earlier_date,
    )


def _failed(error: Exception, options: argparse.Namespace) -> ExitCode:
    """Turn what a command raised into words for people and an exit code."""
    from pipeline.ledger.errors import LedgerAway, LedgerBusy, LedgerError
    from pipeline.problems import StopRun
    from pipeline.stages import PluginFailed

    if options.debug:
        traceback.print_exception(error)
    if isinstance(error, StopRun):
        if options.format == "json":
            from pipeline.report import as_json

            _print_json({"problems": as_json(error.problems)})
        else:
            _print_problems(error.problems, error.sources)
        return ExitCode.USAGE
    if isinstance(error, PluginFailed):
        return _say(ExitCode.INTERNAL, str(error), "this is a fault of the plugin; --debug shows where", options)
    if isinstance(error, LedgerBusy):
        return _say(
            ExitCode.BUSY, str(error), "another run is writing to the ledger; run again in a moment", options
        )
    if isinstance(error, LedgerAway):
        return _say(ExitCode.BUSY, str(error), "nothing is lost: run again when the database answers", options)
    if isinstance(error, LedgerError | OSError):
        return _say(ExitCode.UNWRITABLE, _in_words(error), "nothing is lost: mend it and run again", options)
    hint = "this is a fault of peelwright, nothing was recorded; --debug shows where"
    return _say(ExitCode.INTERNAL, f"internal error: {error!r}", hint, options)


def _in_words(error: Exception) -> str:
    """Of the system's errors the file and what is wrong with it, without the number."""
    if isinstance(error, OSError) and error.strerror and error.filename is not None:
        return f"`{error.filename}`: {error.strerror}"
    return str(error)


def _say(code: ExitCode, message: str, hint: str, options: argparse.Namespace) -> ExitCode:
    if options.format == "json":
        _print_json({"error": message, "hint": hint})
    else:
        print(f"error: {message}\n  = help: {hint}", file=sys.stderr)
    return code


def _print_problems(problems: Sequence["Problem"], sources: Mapping[str, str]) -> None:
    from pipeline.report import render

    if problems:
        print(render(problems, sources, colour=sys.stderr.isatty()), file=sys.stderr)


def _print_json(value: object) -> None:
    # ASCII alone: the same for whoever reads it, whatever the terminal's encoding.
    print(json.dumps(value, indent=2))


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="peelwright",
        description="From a week of orders to shared transfer sheets, a press schedule, packing lists and invoices.",
        epilog="Exit codes: 0 done; 1 orders held; 2 usage or a shop's file; 3 a fault of the program or a plugin; "
        "74 disk or ledger; 75 ledger busy or its database away.",
    )
    parser.add_argument("--version", action=_Version, help="show the version and stop")
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND", dest="name")
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
        type=_local,
        metavar="'YYYY-MM-DD HH:MM'",
        help="when pressing may begin, the shop's local time (default: that of week.yaml, else that day)",
    )
    when.add_argument("--out", type=Path, metavar="DIR", help="where run folders go (default: out/ in the shop)")
    when.add_argument(
        "--allow-earlier-date", action="store_true", help="give numbers though later days have some already"
    )
    when.add_argument("--strict", action="store_true", help="one held order stops the batch")
    for name, command, parents, words in (
        ("run", _run, (jobs, when, shop, common), "take orders through everything, give numbers, record it"),
        ("quote", _run, (jobs, when, shop, common), "the same without numbers; nothing is recorded"),
        ("check", _check, (jobs, when, shop, common), "validate only"),
        ("deposit", _deposit, (jobs, when, shop, common), "ask for the deposits of orders before they are run"),
        ("watch", _watch, (own, common), "take in orders that are dropped into the shop's inbox"),
        ("status", _status, (own, common), "how the watched folder stands"),
        ("close-week", _close_week, (own, when, common), "run what the watched folder has gathered"),
        ("withdraw", _withdraw, (own, common), "take back an order that the watched folder has gathered"),
        ("plugins", _plugins, (shop, common), "each hook's plugins in the order in which they are called"),
    ):
        added = commands.add_parser(name, parents=parents, help=words, description=words)
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
                type=_local,
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
    intake.set_defaults(command=_intake)
    explain = commands.add_parser("explain", parents=(common,), help="what a problem's code means")
    explain.add_argument("code", metavar="CODE", help="for instance E203")
    explain.set_defaults(command=_explain)
    new_shop = commands.add_parser("new-shop", parents=(common,), help="make a working shop folder to edit")
    new_shop.add_argument("folder", type=Path, metavar="DIR")
    new_shop.set_defaults(command=_new_shop)
    return parser


class _Version(argparse.Action):
    """Looks the version up only when it is asked for."""

    def __init__(self, option_strings: Sequence[str], dest: str, **options: Any) -> None:
        super().__init__(option_strings, dest, nargs=0, **options)

    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> None:
        from importlib.metadata import version

        print(f"peelwright {version('peelwright')}")
        parser.exit()


def _local(text: str) -> datetime:
    """A local moment without a zone: the shop's is added when it is known."""
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"`{text}` is no time: write it like '2026-11-30 07:30'") from None
    if moment.tzinfo is not None:
        raise argparse.ArgumentTypeError("write local time, without a zone")
    return moment
