"""E2xx and W2xx: the shape of a file, names, and what an order asks for."""

TEXT = """\
E201 A name that may not stand here

The file has a line with a name that this kind of file does not know, or that stands at the wrong place. It would
be passed over without a word, and a wish with it, so it is an error. The nearest known name is suggested. Look
whether the line is indented as it should be.

E202 Something is missing

A line that must be there is not, or a folder of the shop is empty. The message says where it belongs.

E203 A name that nothing in the shop has

One of the shop's files names a platen, pad, tax rate, garment or time zone that does not exist; or the ledger a
customer who is no longer among the shop's files. Write one of the names that are there, or add what is named.

E204 A value of another kind

A text stands where a number belongs, a single value where a list belongs, or nothing at all. Quotes make a text:
`12` is a number, `"12"` a text. Truth values are written `true` and `false`.

E205 Not one of the allowed words

Only certain words may stand here; the message lists them and names the nearest.

E206 Not written as it must be

The value is not written in the way that this line wants: a length without its unit, a day the calendar does not
have, an amount with a currency sign or more decimals than the currency has. The hint shows how to write it.

E207 Out of limits

A number is too small or too large, a text too long, or a list has too few or too many items. The message names
the limit.

E208 Does not go with its neighbours

Another line of the same group rules this one out. Delete one of the two.

E209 A thing named twice in a list

Each item of this list may stand in it once. Delete the second, or write what was meant in its place.

E210 Two things of one name

Two parts of the shop have the same name (capitals do not count), so an order that names it could mean either.
Give one of them another name. A thing without `name` is called by its file's name.

E211 Values that do not agree

Each value is well written, but they cannot both be true: the shares of a fabric do not add up to 100 %, a shift
ends before it begins, steps of a price list are out of order, a tax regime names no rate. Look at both values.

E212 An extra that is not installed

The shop's files ask for something that needs a package beside the program's own. The hint names the command that
installs it; or delete the line that asks for it.

E213 Own words that cannot be used

A file in the shop's `language/` is not a gettext file (.po), its name is no language's code, or a translation would
spoil a paper: a value such as %(job)s is left out or misspelt, a tag is not closed. The message names the line.
Languages that are written from right to left cannot be set.

E221 Unknown customer

The order is for a customer of whom the shop has no file in customers/. Without it there is no address, no tax
status and no terms. Write the name as the file gives it, or add a file.

E222 Unknown garment

The line names a garment that has no file in garments/. Fabric, heat ceiling and placements stand there, and
without them nothing can be pressed safely.

E223 Unknown colour

The garment is not made in this colour. Write one of its colours, or add the colour to the garment's file.

E224 Unknown size

The garment is not made in this size. Write one of its sizes, or add the size with its cost and weight.

E225 Unknown placement

The garment has no such placement. Placements say where a print lies and how large it may be. Write one of them,
or add one to the garment's file.

E226 Unknown transfer

The print wishes for a transfer that the shop does not buy. Write one of the shop's transfers, or leave the line
out: then the cheapest that fits is taken.

E227 A job id used twice

Two orders of this batch have one job id. Numbers and papers go by that id, so all of them are held. If the files
are equal, delete one; otherwise give each order an id of its own.

E231 No price

The line has no agreed price, and the price list has no step for so few pieces. Write `price:` in the line, or
complete the list.

W213 Own words that lack some

A language of the shop's own has messages without a translation, so papers mix it with English; or a message in its
file is one that no paper says, most likely misspelt, or worded otherwise since. `peelwright words CODE` adds the
messages that a file lacks, and leaves what stands there as it is.

W231 Nothing is asked

The price of the line is 0. That is right for a free replacement, and a slip otherwise.

W232 The agreed price is not used

The price that was agreed with the customer is that of a finished piece, garment included, but here the customer
brings the garments. The line is priced by the shop's own rule instead. Write a price for the printing alone if
one was agreed.

W233 A blank that costs nothing

The garment's file says that a blank of this size costs 0. Costs, margins and prices by mark-up will be wrong.

W234 A scale for a size that is not ordered

The print is to be smaller or larger on a size of which no piece is ordered. Perhaps the size is misspelt.
"""
