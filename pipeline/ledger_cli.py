"""`peelwright ledger ...`: the commands about what is recorded. Only parsing is imported here; see `cli.py`."""

import argparse
import json
import re
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING
from unicodedata import category
from zoneinfo import ZoneInfo

from pipeline.exit_codes import ExitCode

if TYPE_CHECKING:
    from pipeline.books.counter import Counter
    from pipeline.model.account import CreditedLine
    from pipeline.model.money import Money
    from pipeline.shop import Shop


_AMOUNT = re.compile(r"[+-]?\d{1,12}(\.\d{1,9})?", re.ASCII)


def add_commands(
    commands: "argparse._SubParsersAction[argparse.ArgumentParser]", parents: tuple[argparse.ArgumentParser, ...]
) -> None:
    """The command `ledger` with those below it. `parents` hold the options that every command has."""
    words = "what is recorded: look, check, copy, credit, count, pay"
    ledger = commands.add_parser("ledger", help=words, description=words)
    below = ledger.add_subparsers(title="commands", required=True, metavar="COMMAND", dest="below")
    issued = argparse.ArgumentParser(add_help=False)
    issued.add_argument("--date", type=day, metavar="YYYY-MM-DD", help="the day (default: today)")
    issued.add_argument("--out", type=Path, metavar="DIR", help="where papers go (default: out/ in the shop)")
    back = argparse.ArgumentParser(add_help=False)
    back.add_argument(
        "--allow-earlier-date", action="store_true", help="give numbers though later days have some already"
    )
    below.add_parser(
        "check", parents=parents, help="derive every total, seal and number anew and compare"
    ).set_defaults(command=_check)
    backup = below.add_parser(
        "backup", parents=parents, help="copy the ledger into a new file and check the copy"
    )
    backup.add_argument("file", type=Path, metavar="FILE")
    backup.set_defaults(command=_backup)
    restore = below.add_parser(
        "restore", parents=parents, help="fill an empty ledger from a backup, and check it"
    )
    restore.add_argument("file", type=Path, metavar="FILE")
    restore.set_defaults(command=_restore)
    below.add_parser(
        "show", parents=(issued, *parents), help="invoices, deposits, what is open, leftover prints"
    ).set_defaults(command=_show)
    credit = below.add_parser("credit", parents=(issued, back, *parents), help="take an invoice back, or a part")
    credit.add_argument(
        "number", type=_words, metavar="INVOICE", help="the number of an invoice or deposit invoice"
    )
    credit.add_argument("--reason", type=_words, required=True, help="why, as printed on the credit note")
    what = credit.add_mutually_exclusive_group()
    what.add_argument(
        "--line",
        action="append",
        type=_line,
        metavar="N[=PIECES]",
        help="of line N so many pieces, or all that is left of it; may be repeated (default: the whole invoice)",
    )
    what.add_argument("--amount", metavar="AMOUNT", help="a net amount over all lines")
    credit.add_argument(
        "--again", action="store_true", help="the same once more, though it was credited that day"
    )
    credit.set_defaults(command=_credit)
    pay = below.add_parser("pay", parents=(issued, *parents), help="record a payment of an invoice or deposit")
    pay.add_argument("number", type=_words, metavar="INVOICE", help="the number of an invoice or deposit invoice")
    pay.add_argument("--amount", metavar="AMOUNT", help="below zero for money paid back (default: what is open)")
    pay.add_argument("--note", type=_words, default="", help="for instance the bank's reference")
    pay.add_argument("--again", action="store_true", help="the same once more, though it was recorded that day")
    pay.set_defaults(command=_pay)
    tally = below.add_parser("tally", parents=(issued, back, *parents), help="book what the floor counted")
    tally.add_argument("file", type=Path, metavar="FILE", help="a tally file (see schemas/tally.schema.json)")
    tally.set_defaults(command=_tally)
    place = below.add_parser("place", parents=parents, help="note where leftover prints lie")
    place.add_argument("lot", type=_lot, metavar="LOT")
    place.add_argument("place", type=_words, metavar="PLACE", help="for instance 'drawer 4'")
    place.set_defaults(command=_place)
    state = below.add_parser("statement", parents=(issued, *parents), help="statements of account, as of a day")
    state.add_argument("customer", nargs="?", default="", metavar="CUSTOMER", help="(default: all who owe)")
    state.set_defaults(command=_statement)


def day(text: str) -> date:
    """A day of the command line."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"`{text}` is no day: write it like 2026-11-30") from None


def _words(text: str) -> str:
    """Words that can be kept and printed."""
    if any(category(sign) in ("Cc", "Cs") for sign in text):
        raise argparse.ArgumentTypeError("there is a sign in it that cannot be printed")
    return text


def _lot(text: str) -> int:
    if not re.fullmatch(r"\d{1,9}", text, re.ASCII):
        raise argparse.ArgumentTypeError(f"`{text}` is no lot: `peelwright ledger show` lists them")
    return int(text)


def _line(text: str) -> "CreditedLine":
    from pipeline.model.account import CreditedLine

    if not (match := re.fullmatch(r"(\d{1,4})(?:=(\d{1,6}))?", text)):
        raise argparse.ArgumentTypeError(f"`{text}` is no line: write it like 2 or 2=5")
    return CreditedLine(number=int(match[1]), pieces=int(match[2]) if match[2] else None)


@contextmanager
def _counter(options: argparse.Namespace) -> "Iterator[Counter]":
    from pipeline.books.counter import open_counter
    from pipeline.request import find_shop

    with open_counter(find_shop([], options.shop), getattr(options, "out", None)) as counter:
        yield counter


def _on(options: argparse.Namespace, shop: "Shop") -> date:
    """The day that was said, or the shop's today."""
    said: date | None = options.date
    return said or datetime.now(UTC).astimezone(ZoneInfo(shop.time_zone)).date()


def _amount(text: str, shop: "Shop") -> "Money":
    """An amount of the command line in minor units. Raises StopRun (E700)."""
    from pipeline.model.money import Money, minor_units
    from pipeline.problems import Problem, StopRun

    exact = minor_units(Decimal(text), shop.currency) if _AMOUNT.fullmatch(text) else None
    if exact is None or exact.denominator != 1:
        hint = f"write it like 12.50, with the decimals of {shop.currency} at most"
        raise StopRun([Problem(code="E700", message=f"`{text}` is no amount", hint=hint)])
    return Money(exact.numerator)


def _answer(options: argparse.Namespace, data: object, text: str) -> None:
    print(json.dumps(data, indent=2) if options.format == "json" else text)


def _check(options: argparse.Namespace) -> ExitCode:
    from pipeline.problems import StopRun

    with _counter(options) as counter:
        if problems := counter.ledger.check():
            raise StopRun(problems)
        papers = len(counter.ledger.items())
    _answer(
        options, {"problems": []}, f"The ledger is in order: {papers} invoices and deposits, all derived anew."
    )
    return ExitCode.DONE


def _backup(options: argparse.Namespace) -> ExitCode:
    from pipeline.problems import Problem, StopRun

    with _counter(options) as counter:
        try:
            problems = counter.ledger.backup(options.file)
        except FileExistsError:
            hint = "name a new file: a backup never overwrites another"
            raise StopRun(
                [Problem(code="E700", message=f"`{options.file}` is there already", hint=hint)]
            ) from None
        if problems:
            raise StopRun(problems)
    _answer(options, {"backup": str(options.file)}, f"Copied to {options.file}, and the copy is in order.")
    return ExitCode.DONE


def _restore(options: argparse.Namespace) -> ExitCode:
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
    _answer(options, {"restored": str(options.file)}, f"Filled from {options.file}, and the ledger is in order.")
    return ExitCode.DONE


def _show(options: argparse.Namespace) -> ExitCode:
    from pipeline.books.report import shown_data, shown_text

    with _counter(options) as counter:
        on = _on(options, counter.shop)
        items, stock = counter.ledger.items(), counter.ledger.stock(on)
        _answer(options, shown_data(items, stock), shown_text(items, stock, on, counter.shop.currency))
    return ExitCode.DONE


def _credit(options: argparse.Namespace) -> ExitCode:
    from pipeline.books.credit import CreditOrder, credit
    from pipeline.books.report import given_data, given_text
    from pipeline.model.account import CreditRequest

    with _counter(options) as counter:
        amount = None if options.amount is None else _amount(options.amount, counter.shop)
        order = CreditOrder(
            number=options.number,
            request=CreditRequest(lines=tuple(options.line or ()), amount=amount),
            date=_on(options, counter.shop),
            reason=options.reason,
            again=options.again,
            backdate=options.allow_earlier_date,
        )
        given = credit(counter, order)
        _answer(options, given_data(given), given_text(given, counter.shop.currency))
    return ExitCode.DONE


def _pay(options: argparse.Namespace) -> ExitCode:
    from pipeline.books.report import shown_data
    from pipeline.model.account import Payment
    from pipeline.model.show import money

    with _counter(options) as counter:
        currency = counter.shop.currency
        item = counter.item(options.number)
        if options.amount is None and not item.open:
            _answer(options, shown_data([item], ()), f"{item.number}: nothing is open, and nothing was recorded.")
            return ExitCode.DONE
        amount = item.open if options.amount is None else _amount(options.amount, counter.shop)
        payment = Payment(paid=_on(options, counter.shop), amount=amount, note=options.note)
        # Who pays what is open says another thing each time.
        known = options.amount is not None and payment in item.payments and not options.again
        if not known:
            item = counter.ledger.pay(options.number, payment, currency)
        words = "was recorded before" if known else "recorded"
        left = f"{money(item.open, currency)} is open" if item.open else "nothing is open"
        text = f"{item.number}: {money(amount, currency)} on {payment.paid} {words}; {left}."
        _answer(options, shown_data([item], ()), text)
    return ExitCode.DONE


def _tally(options: argparse.Namespace) -> ExitCode:
    from pipeline.books.report import given_data, given_text
    from pipeline.books.tally import tally
    from pipeline.load import load_tally, read_file
    from pipeline.problems import StopRun, has_errors, showing
    from pipeline.request import display_name

    with _counter(options) as counter:
        name = display_name(options.file, counter.shop.root)
        content = read_file(options.file, name)
        if content.value is None:
            raise StopRun(content.problems)
        loaded = load_tally(content.value, name, counter.shop.currency)
        if loaded.value is None or has_errors(loaded.problems):
            raise StopRun(loaded.problems, loaded.sources)
        on = options.date or loaded.value.date or _on(options, counter.shop)
        with showing(loaded.sources):
            done = tally(counter, loaded.value, on, options.allow_earlier_date)
        data = {**given_data(done.given), "counted": list(done.counted), "counted_before": list(done.before)}
        lines = [f"Counted: {', '.join(done.counted)}."] if done.counted else []
        lines += [f"Counted before, unchanged: {', '.join(done.before)}."] if done.before else []
        _answer(options, data, "\n".join((*lines, given_text(done.given, counter.shop.currency))).rstrip())
    return ExitCode.DONE


def _place(options: argparse.Namespace) -> ExitCode:
    from pipeline.problems import Problem, StopRun

    with _counter(options) as counter:
        try:
            counter.ledger.put(options.lot, options.place)
        except KeyError:
            hint = "`peelwright ledger show` lists the lots"
            problem = Problem(code="E639", message=f"there is no lot {options.lot}", hint=hint)
            raise StopRun([problem]) from None
    _answer(options, {"lot": options.lot, "place": options.place}, f"Lot {options.lot} lies in {options.place}.")
    return ExitCode.DONE


def _statement(options: argparse.Namespace) -> ExitCode:
    from pipeline.books.report import statement_lines
    from pipeline.books.statement import state_accounts
    from pipeline.request import as_typed

    with _counter(options) as counter:
        stated = state_accounts(counter, _on(options, counter.shop), options.customer)
        folder = as_typed(stated.folder) if stated.statements else ""
        data = {
            "folder": folder,
            "statements": [
                {"customer": s.customer, "total": s.total, "items": [item.number for item in s.items]}
                for s in stated.statements
            ],
        }
        lines = statement_lines(stated.statements, counter.shop.currency)
        text = "\n".join((*lines, f"Papers: {folder}")) if lines else "Nothing is open."
        _answer(options, data, text)
    return ExitCode.DONE
