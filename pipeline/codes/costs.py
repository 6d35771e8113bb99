"""W8xx: costs."""

TEXT = """\
W801 Dearer together than apart

Buying the transfers of these orders together costs more than buying them apart, so no way of sharing keeps everyone
at or below what they would pay alone. Search longer, or press one of the orders in another week.
"""
