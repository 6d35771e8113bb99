"""E64x: the watched folder."""

TEXT = """\
E640 The order waits in another version

The watched folder has taken in another file of this job, and it waits for the week to be closed. Which of the two is
meant nobody but you can say. Close the week for the one that waits, or withdraw it; or drop the new file into the
inbox, where it takes the place of the earlier one.

E641 The job id is another customer's

An order with this job id waits already, and it is another customer's. A later file takes the place of an earlier one
only when both are the same customer's: otherwise an order would be lost. Give this order a job id of its own.

E642 The inbox belongs to another ledger

The hidden file `.peelwright` in the inbox names the ledger whose orders are dropped there. It is not this shop's. Two
ledgers on one inbox would share out the orders between them. Give each shop an inbox of its own. If the other ledger
is gone for good, delete the hidden file.

E643 Not on one disk

A file is taken out of the inbox by a rename, and only within one file system is that all or nothing. Keep inbox/,
work/, done/, rejected/ and out/ on the same disk as the shop's folder.

E644 Tried three times

The program or a plugin ended in a fault three times at this order, and the others were waiting. The fault is named,
as far as it is known. When it is mended, drop the file again.

E645 Not a file

What was dropped is a link, a folder or something else that is not a file. Drop the file itself.
"""
