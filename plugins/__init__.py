"""The stages, in the order of the work. Each is a plugin like any other, registered by its name."""

STAGES = (
    "plugins.validate",  # orders -> what fits, what is wrong; an order with an error is held
    "plugins.group",  # orders, stock -> prints needed -> sheets to buy
    "plugins.pack",  # orders -> cartons
    "plugins.cost",  # orders, sheets, work -> costs -> prices -> bills
    "plugins.schedule",  # orders, sheets -> work to press -> who, where, when
    "plugins.documents",  # the whole run -> papers and tables
)
