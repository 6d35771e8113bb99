"""The commands of the watched folder: watch, status, withdraw."""

import argparse
from datetime import UTC, datetime

from pipeline.cli.answers import answer
from pipeline.exit_codes import ExitCode


def watch_folder(options: argparse.Namespace) -> ExitCode:
    """Take in orders until somebody ends it."""
    from pipeline.request import find_shop
    from pipeline.watch.commands import watch

    watch(find_shop([], options.shop), options.log)
    return ExitCode.DONE


def show_status(options: argparse.Namespace) -> ExitCode:
    """How the watched folder stands."""
    from pipeline.request import find_shop
    from pipeline.watch.board import as_data
    from pipeline.watch.commands import status, words

    folder = status(find_shop([], options.shop), datetime.now(UTC))
    answer(options, as_data(folder), words(folder))
    return ExitCode.DONE


def withdraw_order(options: argparse.Namespace) -> ExitCode:
    """Take back a gathered order."""
    from pipeline.request import find_shop
    from pipeline.watch.commands import withdraw

    withdraw(find_shop([], options.shop), options.job, datetime.now(UTC))
    answer(options, {"withdrawn": options.job}, f"{options.job} waits no more. Its file stays in done/.")
    return ExitCode.DONE
