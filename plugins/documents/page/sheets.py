"""A sheet to scale for the page: pointing at a print tells whose it is, pointing at an order shows its prints."""

from xml.etree.ElementTree import SubElement

from pipeline.model.index import grouped
from pipeline.model.sheet import Layout, PlacedPrint
from plugins.documents.desk import Desk
from plugins.documents.drawings import ink
from plugins.documents.page import svg

#: Points across the shorter side, and how many times as long as wide a sheet is before it lies on its side.
_WIDE = 300.0
_LONG = 2.0
#: As many tints as the style knows.
_TINTS = 6


def sheet_view(desk: Desk, layout: Layout) -> str:
    """The sheet with its prints by their numbers on the sheet map, and its orders below."""
    lying = layout.height > _LONG * layout.width
    scale = _WIDE / min(layout.width, layout.height)
    wide, high = layout.width * scale, layout.height * scale
    _ = desk.language.gettext
    plan = desk.run.plan
    jobs = {item.demand: plan.prints.demand(item.demand).jobs for item in layout.prints}
    tints = {of: f"tint{number % _TINTS}" for number, of in enumerate(dict.fromkeys(jobs.values()))}
    about = _("Sheet %(id)s, for %(jobs)s", id=layout.id, jobs=", ".join(job for of in tints for job in of))
    size = (high, wide) if lying else (wide, high)
    figure, drawing = svg.view(about, size[0] + 2, size[1] + 2)
    svg.rect(drawing, 1, 1, *size, "ground")
    for number, item in enumerate(layout.prints, 1):
        of = jobs[item.demand]
        left, top, width, height = _place(layout, item, lying, scale)
        group = svg.part(drawing, of, _about(desk, layout, number, item), tints[of])
        svg.rect(group, left + 1, top + 1, width, height)
        said = str(number)
        letters = min(13.0, height * 0.7, 13.0 * (width - 2) / ink.width_of(said, 13, bold=True))
        if letters >= 5:
            svg.words(
                group, left + 1 + width / 2, top + 1 + height / 2 + letters * 0.36, said, letters, "centred"
            )
    key = SubElement(figure, "ul", {"class": "key"})
    for of, items in grouped(layout.prints, lambda item: jobs[item.demand]).items():
        customer = desk.shop.customer(plan.prints.demand(items[0].demand).customer).title
        prints = desk.language.ngettext("%(num)s print", "%(num)s prints", len(items))
        entry = SubElement(
            SubElement(key, "li"), "span", {"class": f"part {tints[of]}", "data-jobs": " ".join(of)}
        )
        SubElement(entry, "b").text = ", ".join(of)
        entry[0].tail = f" {customer} · {prints}"
    return svg.as_html(figure)


def _place(layout: Layout, item: PlacedPrint, lying: bool, scale: float) -> tuple[float, float, float, float]:
    """Where a print stands in the drawing: left, top, width, height. A sheet that lies is turned to the left."""
    far_y, far_x = item.y + item.height, item.x + item.width
    if lying:
        left, top, width, height = layout.height - far_y, layout.width - far_x, item.height, item.width
    else:
        left, top, width, height = item.x, layout.height - far_y, item.width, item.height
    return left * scale, top * scale, width * scale, height * scale


def _about(desk: Desk, layout: Layout, number: int, item: PlacedPrint) -> str:
    demand = desk.run.plan.prints.demand(item.demand)
    return " · ".join(
        (
            f"{layout.id}/{number}",
            ", ".join(demand.jobs),
            desk.shop.customer(demand.customer).title,
            demand.artwork.path.rsplit("/", 1)[-1],
            desk.display.size((demand.width, demand.height)),
        )
    )
