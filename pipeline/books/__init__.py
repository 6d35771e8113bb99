"""Money back and forth beside the weeks: deposits before an order, counts, credit notes and payments after it.

    counter.py    the shop with its ledger open: numbers, records, delivers     credit.py     an invoice taken back
    deposit.py    asked for before work starts                                  tally.py      what was shipped
    statement.py  what each customer owes

An invoice is made with the run and never changes. What the floor counts afterwards leads to a credit note.
"""
