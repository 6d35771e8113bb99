"""The commands of the ledger that look after it: check, backup, restore, show, place."""

import argparse

from pipeline.cli.answers import answer
from pipeline.cli.counter import at_counter, day_of
from pipeline.exit_codes import ExitCode


def check_ledger(options: argparse.Namespace) -> ExitCode:
    """Derive everything anew."""
    from pipeline.problems import StopRun

    with at_counter(options) as counter:
        if problems := counter.ledger.check():
            raise StopRun(problems)
        papers = len(counter.ledger.items())
    answer(
        options, {"problems": []}, f"The ledger is in order: {papers} invoices and deposits, all derived anew."
    )
    return ExitCode.DONE


def back_up(options: argparse.Namespace) -> ExitCode:
    """Copy the ledger into a new file."""
    from pipeline.problems import Problem, StopRun

    with at_counter(options) as counter:
        try:
            problems = counter.ledger.backup(options.file)
        except FileExistsError:
            hint = "name a new file: a backup never overwrites another"
            raise StopRun(
                [Problem(code="E700", message=f"`{options.file}` is there already", hint=hint)]
            ) from None
        if problems:
            raise StopRun(problems)
    answer(options, {"backup": str(options.file)}, f"Copied to {options.file}, and the copy is in order.")
    return ExitCode.DONE


def restore_ledger(options: argparse.Namespace) -> ExitCode:
    """Fill an empty ledger from a backup."""
    from pipeline.batch import read_shop
    from pipeline.ledger import Ledger
    from pipeline.problems import Problem, StopRun
    from pipeline.request import find_shop

    shop = read_shop(find_shop([], options.shop)).value
    if shop is None:
        raise AssertionError("a shop that could not be read has stopped the command")
    if not options.file.is_file():
        hint = "name a file that `peelwright ledger backup` made"
        raise StopRun([Problem(code="E700", message=f"there is no file `{options.file}`", hint=hint)])
    with Ledger.of(shop) as ledger:
        ledger.restore(options.file)
        if problems := ledger.check():
            raise StopRun(problems)
    answer(options, {"restored": str(options.file)}, f"Filled from {options.file}, and the ledger is in order.")
    return ExitCode.DONE


def show_ledger(options: argparse.Namespace) -> ExitCode:
    """Invoices, deposits, leftover prints."""
    from pipeline.books.report import shown_data, shown_text

    with at_counter(options) as counter:
        on = day_of(options, counter.shop)
        items, stock = counter.ledger.items(), counter.ledger.stock(on)
        answer(options, shown_data(items, stock), shown_text(items, stock, on, counter.shop.currency))
    return ExitCode.DONE


def place_lot(options: argparse.Namespace) -> ExitCode:
    """Note where leftover prints lie."""
    from pipeline.problems import Problem, StopRun

    with at_counter(options) as counter:
        try:
            counter.ledger.put(options.lot, options.place)
        except KeyError:
            hint = "`peelwright ledger show` lists the lots"
            problem = Problem(code="E639", message=f"there is no lot {options.lot}", hint=hint)
            raise StopRun([problem]) from None
    answer(options, {"lot": options.lot, "place": options.place}, f"Lot {options.lot} lies in {options.place}.")
    return ExitCode.DONE
