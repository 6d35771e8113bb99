"""The commands of the ledger that book: credit, pay, tally, statement."""

import argparse

from pipeline.cli.answers import answer
from pipeline.cli.counter import amount_of, at_counter, day_of
from pipeline.exit_codes import ExitCode


def credit_invoice(options: argparse.Namespace) -> ExitCode:
    """Take an invoice back, or a part of it."""
    from pipeline.books.credit import CreditOrder, credit
    from pipeline.books.report import given_data, given_text
    from pipeline.model.account import CreditRequest

    with at_counter(options) as counter:
        amount = None if options.amount is None else amount_of(options.amount, counter.shop)
        order = CreditOrder(
            number=options.number,
            request=CreditRequest(lines=tuple(options.line or ()), amount=amount),
            date=day_of(options, counter.shop),
            reason=options.reason,
            again=options.again,
            backdate=options.allow_earlier_date,
        )
        given = credit(counter, order)
        answer(options, given_data(given), given_text(given, counter.shop.currency))
    return ExitCode.DONE


def record_payment(options: argparse.Namespace) -> ExitCode:
    """Record a payment of an invoice or deposit."""
    from pipeline.books.report import shown_data
    from pipeline.model.account import Payment
    from pipeline.model.show import money

    with at_counter(options) as counter:
        currency = counter.shop.currency
        item = counter.item(options.number)
        if options.amount is None and not item.open:
            answer(options, shown_data([item], ()), f"{item.number}: nothing is open, and nothing was recorded.")
            return ExitCode.DONE
        amount = item.open if options.amount is None else amount_of(options.amount, counter.shop)
        payment = Payment(paid=day_of(options, counter.shop), amount=amount, note=options.note)
        # Who pays what is open says another thing each time.
        known = options.amount is not None and payment in item.payments and not options.again
        if not known:
            item = counter.ledger.pay(options.number, payment, currency)
        words = "was recorded before" if known else "recorded"
        left = f"{money(item.open, currency)} is open" if item.open else "nothing is open"
        text = f"{item.number}: {money(amount, currency)} on {payment.paid} {words}; {left}."
        answer(options, shown_data([item], ()), text)
    return ExitCode.DONE


def book_tally(options: argparse.Namespace) -> ExitCode:
    """Book what the floor counted."""
    from pipeline.books.report import given_data, given_text
    from pipeline.books.tally import check_tally, tally
    from pipeline.load import load_tally, read_file
    from pipeline.problems import StopRun, showing
    from pipeline.request import display_name

    with at_counter(options) as counter:
        name = display_name(options.file, counter.shop.root)
        content = read_file(options.file, name)
        if content.value is None:
            raise StopRun(content.problems)
        loaded = load_tally(content.value, name, counter.shop.currency)
        if loaded.value is None:
            today = day_of(options, counter.shop)
            problems = loaded.held_against(lambda counts: check_tally(counter, counts, today))
            raise StopRun(problems, loaded.sources)
        on = options.date or loaded.value.date or day_of(options, counter.shop)
        with showing(loaded.sources):
            done = tally(counter, loaded.value, on, options.allow_earlier_date)
        data = {**given_data(done.given), "counted": list(done.counted), "counted_before": list(done.before)}
        lines = [f"Counted: {', '.join(done.counted)}."] if done.counted else []
        lines += [f"Counted before, unchanged: {', '.join(done.before)}."] if done.before else []
        answer(options, data, "\n".join((*lines, given_text(done.given, counter.shop.currency))).rstrip())
    return ExitCode.DONE


def make_statements(options: argparse.Namespace) -> ExitCode:
    """Statements of account, as of a day."""
    from pipeline.books.report import statement_lines
    from pipeline.books.statement import state_accounts
    from pipeline.request import as_typed

    with at_counter(options) as counter:
        stated = state_accounts(counter, day_of(options, counter.shop), options.customer)
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
        answer(options, data, text)
    return ExitCode.DONE
