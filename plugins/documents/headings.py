"""What the workbook's sheets and columns are called, by their names in the CSV tables, and its fixed words."""

from collections.abc import Mapping

from pipeline.language import N_, Language
from pipeline.model.order import Delivery
from plugins.documents.words import COST_WORDS, STATE_WORDS

HEADINGS = {
    "summary": N_("Summary"),
    "orders": N_("Orders"),
    "sheets": N_("Sheets"),
    "sharing": N_("Shares of the sheets"),
    "costs": N_("Costs"),
    "schedule": N_("Press schedule"),
    "job": N_("Job"),
    "customer": N_("Customer"),
    "invoice": N_("Invoice"),
    "due": N_("Due"),
    "pieces": N_("Pieces"),
    "net": N_("Net"),
    "tax": N_("Tax"),
    "total": N_("Total"),
    "cost": N_("Cost"),
    "margin": N_("Margin"),
    "saved_by_sharing": N_("Saved by sharing"),
    "late": N_("Late"),
    "customer_order": N_("Customer's order"),
    "delivery": N_("Delivery"),
    "line": N_("Line"),
    "garment": N_("Garment"),
    "colour": N_("Colour"),
    "size": N_("Size"),
    "order_net": N_("Order, net"),
    "order_tax": N_("Order, tax"),
    "order_total": N_("Order, total"),
    "order_cost": N_("Order, cost"),
    "order_margin": N_("Order, margin"),
    "layout": N_("Layout"),
    "transfer": N_("Transfer"),
    "sheet_size": N_("Sheet size"),
    "sheet_width_mm": N_("Sheet width, mm"),
    "sheet_height_mm": N_("Sheet height, mm"),
    "cutting_stages": N_("Cutting stages"),
    "price_per_sheet": N_("Price per sheet"),
    "set_up": N_("Set-up"),
    "layout_cost": N_("Cost of the layout"),
    "print": N_("Print"),
    "demand": N_("Print number"),
    "jobs": N_("Jobs"),
    "artwork": N_("Artwork"),
    "x_mm": N_("From the left, mm"),
    "y_mm": N_("From below, mm"),
    "width_mm": N_("Width, mm"),
    "height_mm": N_("Height, mm"),
    "turned": N_("Turned"),
    "transfers_alone": N_("Transfers if alone"),
    "transfers": N_("Transfers"),
    "saved": N_("Saved"),
    "kind": N_("Kind of cost"),
    "run": N_("Run"),
    "state": N_("State"),
    "what": N_("What"),
    "spares": N_("Spares"),
    "press": N_("Press"),
    "platen": N_("Platen"),
    "pad": N_("Pad"),
    "pressure_setting": N_("Pressure setting"),
    "changes": N_("Changed before"),
    "operator": N_("Operator"),
    "change_start": N_("Change begins"),
    "start": N_("Pressing begins"),
    "end": N_("Pressing ends"),
    "rack_slots": N_("Rack slots"),
    "peeler": N_("Who peels"),
    "peel_start": N_("Peeling begins"),
    "done": N_("All done"),
    "release": N_("Goods and prints in"),
    "after": N_("After run"),
    "order_late": N_("Order late"),
}

_ANSWERS = {"yes": N_("yes"), "no": N_("no")}
_FIXED: Mapping[str, Mapping[str, str]] = {
    "late": _ANSWERS,
    "turned": _ANSWERS,
    "order_late": _ANSWERS,
    "delivery": {Delivery.SHIP: N_("shipped"), Delivery.PICK_UP: N_("picked up")},
    "kind": {str(kind): word for kind, word in COST_WORDS.items()},
    "state": {"planned": N_("planned"), **{str(state): word for state, word in STATE_WORDS.items()}},
}


def heading(name: str, language: Language) -> str:
    """What a sheet or column is called; a name that is not ours stays as it is."""
    return language.gettext(HEADINGS.get(name, name))


def said(column: str, value: object, language: Language) -> object:
    """A column's fixed word in the reader's language, any other value as it is."""
    words = _FIXED.get(column, {})
    return language.gettext(words[value]) if isinstance(value, str) and value in words else value
