"""What hangs at the presses: press instructions, the schedule and its calendars."""

from collections.abc import Iterator
from datetime import timedelta
from functools import partial

from attrs import frozen

from pipeline.model.document import Audience, Document
from pipeline.model.measure import Length
from pipeline.model.press import PressTask
from pipeline.model.run import Replan
from pipeline.model.schedule import PressRun, RunState
from pipeline.shop import Peel
from plugins.documents import calendars
from plugins.documents.cautions import ENDING, cautions
from plugins.documents.desk import FloorDesk, WholeWork, Work, slug
from plugins.documents.drawings.garments import placement_drawing
from plugins.documents.tables import schedule_table
from plugins.documents.timetable import schedule_paper
from plugins.documents.words import ANCHOR_WORDS, PEEL_WORDS, PRESSURE_WORDS

# Points: so that an instruction fits one page.
_PLACEMENT_ROOM = (390.0, 172.0)


@frozen(kw_only=True)
class SizeRow:
    """Pieces of one garment size, and how large its print is."""

    size: str
    pieces: int
    print: tuple[Length, Length]


def works(desk: FloorDesk) -> Iterator[Work]:
    """An instruction for each press run that is not finished, the schedule and its calendars."""
    for run in desk.pressing.schedule.runs:
        if run.state is not RunState.FINISHED:
            yield partial(_instruction, desk, run)
    yield WholeWork(_schedule, desk)
    yield WholeWork(calendars.documents, desk)


def planned_again(replan: Replan) -> Iterator[Document]:
    """The same of a week that was planned again, and its table."""
    desk = FloorDesk(replan)
    for work in works(desk):
        yield from work()
    yield schedule_table(desk)


def _schedule(desk: FloorDesk) -> Iterator[Document]:
    yield schedule_paper(desk)


def _instruction(desk: FloorDesk, run: PressRun) -> Iterator[Document]:
    task = desk.pressing.tasks.task(run.task)
    shop, order = desk.shop, desk.pressing.order(task.ref.job)
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
    yield desk.paper(
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
        spares=task.spares,
        parts=_parts_of(desk, task),
        place=(desk.pressing.label, len(line.prints), task.ref.print + 1),
        cautions=tuple(cautions(transfer, garment, placement, press, desk.display, child)),
        ending=_(ENDING),
    )


def _parts_of(desk: FloorDesk, task: PressTask) -> tuple[str, ...]:
    """The runs that a long run was cut into, this one among them."""
    line = desk.pressing.tasks.of_line(task.ref.job, task.ref.line)
    return tuple(each.id for each in line if (each.ref, each.transfer) == (task.ref, task.transfer))
