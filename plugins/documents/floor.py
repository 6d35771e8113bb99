"""What hangs at the presses and the cutting table: press instructions, sheet maps, the schedule."""

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
from pipeline.model.sheet import Layout
from pipeline.shop import Peel
from plugins.documents.cautions import ENDING, cautions
from plugins.documents.desk import Desk, slug
from plugins.documents.drawings.gantt import Bar, BarKind, gantt
from plugins.documents.drawings.garments import placement_drawing
from plugins.documents.drawings.sheetmap import MapCut, MapPrint, sheet_map
from plugins.documents.hours import open_parts
from plugins.documents.words import ANCHOR_WORDS, PEEL_WORDS, PRESSURE_WORDS

# Points: so that an instruction, and the map of an ordinary sheet with its list, fit one page.
_PLACEMENT_ROOM = (390.0, 172.0)
_MAP_ROOM = (520.0, 410.0)


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


@frozen(kw_only=True)
class MapRow:
    """The prints on a sheet that are alike, by their numbers on the map: for whom, how large as they lie."""

    numbers: str
    job: str
    artwork: str
    size: tuple[Length, Length]
    turned: bool
    each: int
    total: int


def documents(desk: Desk) -> Iterator[Document]:
    """An instruction per press run, a map per layout, and the schedule."""
    for run in desk.run.plan.schedule.runs:
        yield _instruction(desk, run)
    for layout in desk.run.plan.sheets.layouts:
        yield _map(desk, layout)
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


def _map(desk: Desk, layout: Layout) -> Document:
    jobs = [", ".join(desk.run.plan.prints.demand(placed.demand).jobs) for placed in layout.prints]
    tints = {job: tint for tint, job in enumerate(dict.fromkeys(jobs))}
    drawing = sheet_map(
        width=layout.width,
        height=layout.height,
        margin=_margin(desk, layout),
        prints=tuple(
            MapPrint(
                number=str(number),
                x=p.x,
                y=p.y,
                width=p.width,
                height=p.height,
                turned=p.turned,
                caption=job,
                tint=tints[job],
            )
            for number, (job, p) in enumerate(zip(jobs, layout.prints, strict=True), 1)
        ),
        room=_MAP_ROOM,
        display=desk.display,
        cuts=tuple(MapCut(x1=cut.x1, y1=cut.y1, x2=cut.x2, y2=cut.y2) for cut in layout.cuts),
    )
    return desk.paper(
        "sheet_map",
        f"floor/sheet-{slug(layout.id)}.pdf",
        desk.language.gettext("Sheet map %(id)s", id=layout.id),
        Audience.FLOOR,
        drawings={"map": drawing},
        layout=layout,
        transfer=desk.shop.transfer(layout.transfer),
        rows=tuple(_map_rows(desk, layout)),
        each=len(layout.prints),
        total=len(layout.prints) * layout.sheets,
        cuts=len(layout.cuts),
    )


def _map_rows(desk: Desk, layout: Layout) -> Iterator[MapRow]:
    alike: dict[tuple[str, bool], list[int]] = {}
    for number, placed in enumerate(layout.prints, 1):
        alike.setdefault((placed.demand, placed.turned), []).append(number)
    for (name, turned), numbers in alike.items():
        demand, first = desk.run.plan.prints.demand(name), layout.prints[numbers[0] - 1]
        yield MapRow(
            numbers=_ranges(numbers),
            job=", ".join(demand.jobs),
            artwork=demand.artwork.path.rsplit("/", 1)[-1],
            size=(first.width, first.height),
            turned=turned,
            each=len(numbers),
            total=len(numbers) * layout.sheets,
        )


def _ranges(numbers: list[int]) -> str:
    """Rising numbers as people write them: 1–4, 7."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and runs[-1][-1] == number - 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(f"{run[0]}–{run[-1]}" if len(run) > 1 else str(run[0]) for run in runs)


def _margin(desk: Desk, layout: Layout) -> Length:
    return desk.shop.transfer(layout.transfer).offer(layout.sheet_size).margin


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
