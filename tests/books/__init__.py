"""Money beside the weeks: deposits, credit notes, counts, payments, statements."""
