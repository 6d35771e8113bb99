"""What hangs at the presses: press instructions and the schedule."""

from collections.abc import Iterator
from datetime import timedelta
from itertools import groupby

from attrs import frozen
from reportlab.graphics.shapes import Drawing

from pipeline.model.document import Audience, Document
from pipeline.model.measure import Length
from pipeline.model.order import Line
from pipeline.model.press import PressTask
from pipeline.model.schedule import PressRun
from pipeline.shop import Peel
from plugins.documents.cautions import ENDING, cautions
from plugins.documents.desk import Desk, slug
from plugins.documents.drawings.gantt import Bar, BarKind, gantt
from plugins.documents.drawings.garments import placement_drawing
from plugins.documents.hours import open_parts
from plugins.documents.words import ANCHOR_WORDS, PEEL_WORDS, PRESSURE_WORDS

# Points: so that an instruction fits one page.
_PLACEMENT_ROOM = (390.0, 172.0)


@frozen(kw_only=True)
class SizeRow:
    """Pieces of one garment size, and how large its print is."""

    size: str
    pieces: int
    print: tuple[Length, Length]


@frozen(kw_only=True)
class RunRow:
    """A press run as a line of the schedule."""

    run: PressRun
    task: PressTask
    job: str
    what: str
    press: str
    overnight: bool


def documents(desk: Desk) -> Iterator[Document]:
    """An instruction per press run, and the schedule."""
    for run in desk.run.plan.schedule.runs:
        yield _instruction(desk, run)
    yield _schedule(desk)


def _instruction(desk: Desk, run: PressRun) -> Document:
    task = desk.run.plan.tasks.task(run.task)
    shop, order = desk.shop, desk.run.order(task.ref.job)
    line = order.lines[task.ref.line]
    item = line.prints[task.ref.print]
    garment, transfer, press = shop.garment(line.garment), shop.transfer(task.transfer), shop.press(run.press)
    placement = garment.placement(item.placement)
    if placement is None:
        raise AssertionError(f"{order.job}: {item.placement} was not checked")
    recipe = transfer.recipe
    sizes = tuple(SizeRow(size=s.size, pieces=s.count, print=item.size_on(s.size)) for s in task.pieces)
    largest = max((row.print for row in sizes), key=lambda size: size[0])
    picture = desk.picture(item.picture)
    metric, _ = desk.display.metric_first, desk.language.gettext
    degrees = (desk.display.fahrenheit(recipe.temperature), desk.display.celsius(recipe.temperature))
    child = any(found.child for s in task.pieces if (found := garment.size(s.size)) is not None)
    return desk.paper(
        "press_instruction",
        f"floor/press-{slug(task.id)}.pdf",
        _("Press instruction %(run)s, %(job)s", run=task.id, job=order.job),
        Audience.FLOOR,
        order.job,
        drawings={
            "placement": placement_drawing(
                garment.outline,
                str(placement.view),
                anchor=placement.anchor,
                down=placement.down,
                across=placement.across,
                print_width=largest[0],
                print_height=largest[1],
                picture=picture,
                display=desk.display,
                room=_PLACEMENT_ROOM,
            )
        },
        pictures={"artwork": picture},
        task=task,
        press_run=run,
        press=press,
        order=order,
        garment=garment,
        colour=line.colour,
        own_blanks=line.blanks == "customer",
        placement=placement,
        artwork=item.artwork.rsplit("/", 1)[-1],
        transfer=transfer,
        recipe=recipe,
        # The scale that the shop's presses show stands large.
        degrees=degrees[::-1] if metric else degrees,
        peel=tuple(_(word) for word in PEEL_WORDS[recipe.peel]),
        pressure=_(PRESSURE_WORDS[recipe.pressure]),
        anchor=_(ANCHOR_WORDS[placement.anchor]),
        cool=garment.cool if recipe.peel is Peel.COLD else timedelta(0),
        sizes=sizes,
        one_print_size=len({row.print for row in sizes}) == 1,
        total=task.quantity,
        spares=sum(desk.run.plan.prints.demand(d).spares for d in task.demands),
        place=(desk.run.label, len(line.prints), task.ref.print + 1),
        cautions=tuple(cautions(transfer, garment, placement, press, desk.display, child)),
        ending=_(ENDING),
    )


def _schedule(desk: Desk) -> Document:
    rows = run_rows(desk)
    days = tuple((day, tuple(group)) for day, group in groupby(rows, key=lambda row: row.run.start.date()))
    return desk.paper(
        "schedule",
        "floor/schedule.pdf",
        desk.language.gettext("Press schedule %(week)s", week=desk.week),
        Audience.FLOOR,
        drawings={"gantt": schedule_drawing(desk)},
        days=days,
        schedule=desk.run.plan.schedule,
        uses=desk.run.plan.schedule.presses,
        titles={press.name: press.title for press in desk.shop.presses},
    )


def run_rows(desk: Desk) -> tuple[RunRow, ...]:
    """The runs in the order of their start, with what is pressed in words."""
    return tuple(
        RunRow(
            run=run,
            task=task,
            job=task.ref.job,
            what=_what(desk, task),
            press=desk.shop.press(run.press).title,
            overnight=run.end.date() > run.start.date(),
        )
        for run in desk.run.plan.schedule.runs
        for task in (desk.run.plan.tasks.task(run.task),)
    )


def schedule_drawing(desk: Desk) -> Drawing:
    """The schedule as bars, press by press."""
    late = {order.job for order in desk.run.plan.schedule.late}
    bars = []
    for row in run_rows(desk):
        run = row.run
        pressing = BarKind.LATE if row.job in late else BarKind.PRESS
        spans = (
            (run.change_start, run.start, "", BarKind.CHANGE),
            (run.start, run.end, f"{row.task.id} {row.job}", pressing),
        )
        bars += [
            Bar(row=row.press, start=begin, end=until, label="" if part else label, kind=kind)
            for start, end, label, kind in spans
            for part, (begin, until) in enumerate(open_parts(desk.shop.calendar, start, end))
        ]
    used = {run.press for run in desk.run.plan.schedule.runs}
    rows = [press.title for press in desk.shop.presses if press.name in used]
    return gantt(bars, rows=rows, display=desk.display)


def _what(desk: Desk, task: PressTask) -> str:
    line: Line = desk.run.order(task.ref.job).lines[task.ref.line]
    garment = desk.shop.garment(line.garment)
    placement = garment.placement(line.prints[task.ref.print].placement)
    where = placement.title if placement else line.prints[task.ref.print].placement
    return f"{garment.title}, {line.colour}: {where}"
