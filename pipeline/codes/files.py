"""E1xx and W1xx: files, and what may stand in a YAML file."""

TEXT = """\
E101 The file cannot be read

The file is not there, is a folder, or the system does not let this program read it. Look for its name and its
permissions, and whether another program holds it open.

E102 The file is too large

A YAML file here has at most 1 MiB; a real order has a few thousand bytes. A larger file is most likely something
else with the wrong name. Split an order that is really so large into several.

E103 The file is not UTF-8

The bytes of the file are not text in UTF-8. It was saved in an older encoding (an é or ü then is another byte) or
as UTF-16. Guessing would change names and addresses, so the file is not read. Open it in an editor and save it
again with the encoding UTF-8. A byte-order mark at the beginning does no harm.

E104 A character that cannot be seen

The file, or a text in it, holds a control character or a mark that turns the direction of writing. Such
characters can make a text look other than it is, and can drive a terminal or a printer. Delete the character;
the column in the message says where it is. Typing the word anew is often quickest.

E105 The file is not YAML

The text breaks the rules of YAML, so nobody can say for sure what it means. The message names the usual causes:
a tab where only spaces may be, a quotation mark or bracket that is not closed, a second colon on a line, a line
that does not begin in the same column as its neighbours. Put a text with a colon, a # or a leading sign in quotes.

E106 Anchors and aliases are not read

`&name` marks a value to be repeated with `*name`. A few lines of it can stand for millions of values, and a reader
of the file cannot see what an order contains. Write the values out. If a text begins with & or *, put it in quotes.

E107 Tags and directives are not read

`!name` asks the reader to make a value of a certain kind, and `%` at the beginning of a line gives it directions.
Neither is needed here. Delete them; a text that begins with ! or % belongs in quotes.

E108 Merge keys are not read

`<<` copies the entries of another mapping into this one, so that what is ordered does not stand where one looks
for it. Write the entries out.

E109 A name is given twice

Two lines of one mapping have the same name. Many programs silently take the last one; here none is taken, since
nobody knows which was meant. Delete one of them. In a list of sizes, add the two counts.

E110 A second document in the file

`---` begins another document in the same file. One file holds one thing: one order, one garment. Put the second
into a file of its own. `...` at the very end is allowed.

E111 Beyond a limit

The file holds more than 50,000 values, values more than 16 deep, or a text of more than 4,096 characters. No
order needs that; the limits keep a broken or hostile file from using up the machine.

E112 The file is empty

There is nothing in the file but, perhaps, comments. It may have been saved before it was written, or cut off on
the way. Write the order into it, or delete it.

E113 A name must be plain text

Before a colon stands a list or a mapping. Here every name is one plain word or text: `name: value`.

E114 Too many faults in one file

More than a hundred things are wrong in this file, and reading stopped. Mend the first ones: often all the others
have the same cause. Perhaps it is another kind of file.

E115 The table cannot be read

Orders can come from a table: CSV in UTF-8 with commas, semicolons or tabs, or an XLSX workbook. Its first row names
the columns; every field that holds a delimiter, a quotation mark or a line end stands in quotation marks. The message
says where that is not so. Saving the table again from the spreadsheet, as .xlsx, mends most of these.

E116 A column is missing or stands twice

The map names a column that the table does not have, letter by letter, or the table has two of one name, so that
nobody can tell which is meant. Correct the name in the map or in the table's first row.

E117 The rows of an order do not agree

Rows with the same job are one order: they say the same of its customer, its day and its delivery, and each size of a
line once. Nothing is taken by guess from one of two rows that differ. Mend the row, or give it a job of its own.

E118 The order's file is there already

An order out of a table becomes a file called by its job. A file of that name with other content is never written
over, nor are two orders written whose files would be one. Delete or rename the earlier file, or name another folder.

E119 A file of another kind

The file is read as an order, and is none: it is a map of columns, a count of the floor, a report of progress, a
week's day or a part of the shop. The message says which, and the hint who reads it. Name the folder of the orders.

W101 Read otherwise by other programs

A word without quotes that is text here is something else in many programs: `NO` becomes false, `00501` the number
321, `12:30` the number 750, `~` nothing. The value was read as it stands. Put it in quotes, so that a spreadsheet,
an editor or the next program reads it the same way.
"""
