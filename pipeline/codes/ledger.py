"""E6xx: the ledger, numbers, and the documents of a run."""

TEXT = """\
E601 The order changed after it was invoiced

A job of this id has a number already, and its file says something else now. An invoice that was sent cannot change.
Put the old file back, or give what is new a job id of its own.

E602 A day before the last one

Numbers follow the days of issue, without gaps and without going back. Choose the day of the last number or a later
one.

E603 The papers know more than the ledger

The folder of papers holds runs that the ledger has no record of. Most likely an old backup of the ledger was put
back. Going on would give numbers a second time. Put the latest ledger back.

E604 A pattern that does not tell numbers apart

The pattern in `numbering` would give two invoices or purchases the same number. It must hold {year} and {number}.

E605 The ledger is of a later version

A later version of this program has written the ledger. This one would not understand all that is in it. Install
that version, or a later one.

E606 The ledger is damaged, or no ledger

The file is not what it should be. Nothing was written to it. Put the latest backup back and look at the disk.

E607 A number given before

The pattern in `numbering` makes a number that was given already. Change it so that new numbers look different.

E608 A use of leftover prints that cannot be

The plan takes leftover prints that are not there, or more than there are. The plugin that lists the prints is at
fault; nothing was recorded.

E610 A bill that does not add up

Lines, tax and total of a bill do not agree. The plugin that makes the bills is at fault; nothing was recorded.

E611 A seal that does not fit

Each record carries a seal made from it and the record before. One does not fit: something was changed in the
ledger by other means. Put the latest backup back.

E612 A total that does not fit

Totals that were made anew from the lines differ from those in the ledger. Put the latest backup back.

E613 A gap in the numbers

Invoices, purchases and cartons are numbered without a gap, and one number is missing. Put the latest backup back.

E614 Stock that does not fit

Leftover prints taken and put in do not give the count in the ledger. Put the latest backup back.

E615 A document that does not fit

A document's record in the ledger and its content do not agree. Put the latest backup back.

E616 A ledger setting that does not work

The ledger is a file beside shop.yaml, or, where `ledger` in shop.yaml or PEELWRIGHT_LEDGER in the environment names
one, a PostgreSQL database: postgresql://user@host/database. A password does not belong into shop.yaml; the program
finds it in PGPASSWORD, in PostgreSQL's own password file, or in the address in PEELWRIGHT_LEDGER.

E617 A ledger that is not empty

A backup is put back into an empty ledger only: nothing that was recorded is ever overwritten. Name an empty database,
or move the file `ledger.sqlite` away first.

E618 The ledger is in another currency

Invoices, deposits and payments are kept in the shop's currency, and those in the ledger are in another: added up
they would be wrong. Write the currency of the ledger into shop.yaml. A shop that goes over to another currency begins
a new folder with its own ledger; what is open in the old one is settled there. Ask whoever keeps the books.

E619 No carton number left

Every carton gets a Serial Shipping Container Code, and a GS1 Company Prefix has only so many of them. All are used
up. License a further prefix from GS1, or leave `gs1_prefix` out: cartons then have plain labels.

E630 No ledger

Credit notes, payments and counts belong to invoices, and this shop has given none: its ledger is made by the first
run. Look whether --shop names the right folder.

E631 An unknown invoice

The ledger has no invoice or deposit invoice of this number. `peelwright ledger show` lists those that there are.

E632 What cannot be credited

A credit note takes back no more than was invoiced and is not credited yet: lines that are there, pieces that are
left, an amount above zero. It is never of a day before its invoice.

E633 A deposit that was used

The deposit was taken off the order's own invoice. What is given back is given back of that one.

E634 A payment that does not fit

A payment is no more than is open of its invoice, and what is paid back no more than was paid, its deposit with it.
Money for several invoices is recorded with each of them.

E635 A deposit that is not paid

A deposit was asked for before work starts, and it is not paid. The order is held until it is. Where it shall go on
without, take the deposit back with a credit note.

E636 Counted before, otherwise

An order is counted once. Its invoice and the stock follow that count. What turns out to differ later is credited
by hand.

E637 A count that does not fit the order

The tally names a job, line, print or size that the order does not have, names one twice, or counts more pieces than
were ordered; or it is of a day before the order's invoice.

E638 More prints used than there were

The orders that share these prints used more of them than were bought and lie in stock. Nothing was booked. Look at
the counts of spoiled prints.

E639 An unknown lot

There is no lot of leftover prints of this number. `peelwright ledger show` lists them.

E620 A document with an impossible name

A plugin makes a document whose name some system does not allow, or that leads out of the folder. The plugin must
call it otherwise.

E621 Two documents of one name

Two documents of the run have the same name, or names that are one on systems where capitals do not count. The
plugin that makes the later one must call it otherwise.

E622 Something is in the way

Where papers are to be written lies something that is not of this run. It is not overwritten. Move it away, or
choose another folder with --out.

E651 Nothing to plan again

`--as-of` plans the presses again for orders that were run before, and the ledger knows none of these. Run them
without `--as-of` first.

E652 Only a part of a run

The presses are planned again for whole runs, since their orders share presses and sheets. The message names orders
whose files are not among those given. Name the folder with all of them or, where the watched folder has put the files
aside, the folder of the run's papers, such as `out/2026-W49`: the ledger keeps its orders.

E653 A run that cannot be planned again

The run was recorded by an earlier version, which did not keep what is needed. Go on by its printed schedule.

W654 An order that is not yet on the schedule

The order was not run yet, so nothing of it can be pressed. Run it without `--as-of` first; then it is planned with
the others.
"""
