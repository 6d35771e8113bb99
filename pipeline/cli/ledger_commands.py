"""`peelwright ledger ...`: its commands and what each is given."""

import argparse
from pathlib import Path

from pipeline.cli.arguments import day, line, lot, words
from pipeline.cli.books import book_tally, credit_invoice, make_statements, record_payment
from pipeline.cli.ledger import back_up, check_ledger, place_lot, restore_ledger, show_ledger


def add_commands(
    commands: "argparse._SubParsersAction[argparse.ArgumentParser]", parents: tuple[argparse.ArgumentParser, ...]
) -> None:
    """The command `ledger` with those below it. `parents` hold the options that every command has."""
    about = "what is recorded: look, check, copy, credit, count, pay"
    ledger = commands.add_parser("ledger", help=about, description=about)
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
    ).set_defaults(command=check_ledger)
    backup = below.add_parser(
        "backup", parents=parents, help="copy the ledger into a new file and check the copy"
    )
    backup.add_argument("file", type=Path, metavar="FILE")
    backup.set_defaults(command=back_up)
    restore = below.add_parser(
        "restore", parents=parents, help="fill an empty ledger from a backup, and check it"
    )
    restore.add_argument("file", type=Path, metavar="FILE")
    restore.set_defaults(command=restore_ledger)
    below.add_parser(
        "show", parents=(issued, *parents), help="invoices, deposits, what is open, leftover prints"
    ).set_defaults(command=show_ledger)
    credit = below.add_parser("credit", parents=(issued, back, *parents), help="take an invoice back, or a part")
    credit.add_argument(
        "number", type=words, metavar="INVOICE", help="the number of an invoice or deposit invoice"
    )
    credit.add_argument("--reason", type=words, required=True, help="why, as printed on the credit note")
    what = credit.add_mutually_exclusive_group()
    what.add_argument(
        "--line",
        action="append",
        type=line,
        metavar="N[=PIECES]",
        help="of line N so many pieces, or all that is left of it; may be repeated (default: the whole invoice)",
    )
    what.add_argument("--amount", metavar="AMOUNT", help="a net amount over all lines")
    credit.add_argument(
        "--again", action="store_true", help="the same once more, though it was credited that day"
    )
    credit.set_defaults(command=credit_invoice)
    pay = below.add_parser("pay", parents=(issued, *parents), help="record a payment of an invoice or deposit")
    pay.add_argument("number", type=words, metavar="INVOICE", help="the number of an invoice or deposit invoice")
    pay.add_argument("--amount", metavar="AMOUNT", help="below zero for money paid back (default: what is open)")
    pay.add_argument("--note", type=words, default="", help="for instance the bank's reference")
    pay.add_argument("--again", action="store_true", help="the same once more, though it was recorded that day")
    pay.set_defaults(command=record_payment)
    tally = below.add_parser("tally", parents=(issued, back, *parents), help="book what the floor counted")
    tally.add_argument("file", type=Path, metavar="FILE", help="a tally file (see schemas/tally.schema.json)")
    tally.set_defaults(command=book_tally)
    place = below.add_parser("place", parents=parents, help="note where leftover prints lie")
    place.add_argument("lot", type=lot, metavar="LOT")
    place.add_argument("place", type=words, metavar="PLACE", help="for instance 'drawer 4'")
    place.set_defaults(command=place_lot)
    state = below.add_parser("statement", parents=(issued, *parents), help="statements of account, as of a day")
    state.add_argument("customer", nargs="?", default="", metavar="CUSTOMER", help="(default: all who owe)")
    state.set_defaults(command=make_statements)
