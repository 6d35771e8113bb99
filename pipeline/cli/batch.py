"""The commands that take a batch of orders: run, quote, check, deposit, close-week."""

import argparse
import sys
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from pipeline.cli.answers import answer, tell
from pipeline.exit_codes import ExitCode

if TYPE_CHECKING:
    from pipeline.request import Request


def run_batch(options: argparse.Namespace) -> ExitCode:
    """Run or quote a batch, or plan one again."""
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
    answer(options, replanned_as_json(done), replanned(done), done.problems, done.sources)
    return ExitCode.HELD if done.held else ExitCode.DONE


def close_week(options: argparse.Namespace) -> ExitCode:
    """Run what the watched folder has gathered."""
    from pipeline.watch.commands import refresh

    request = _week_request(options)
    code = _plan(request, options)
    refresh(request.shop, request.now)
    return code


def _plan(request: "Request", options: argparse.Namespace) -> ExitCode:
    from pipeline.progress import progress_on
    from pipeline.run import run
    from pipeline.summary import as_json, summary

    with progress_on(sys.stderr) as progress:
        report = run(request, progress)
    return tell(report, as_json(report), summary(report), options)


def check_batch(options: argparse.Namespace) -> ExitCode:
    """Validate only."""
    from pipeline.run import check
    from pipeline.summary import as_json, checked

    report = check(_request(options))
    return tell(report, as_json(report), checked(report), options)


def deposit(options: argparse.Namespace) -> ExitCode:
    """Ask for deposits."""
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
    return tell(report, data, words, options)


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
