"""What has to be pressed: the runs, before anyone has said on which press and when."""

from datetime import datetime, timedelta
from functools import cached_property

from attrs import frozen

from pipeline.model.index import grouped
from pipeline.model.order import SizeCount
from pipeline.model.prints import PrintRef


@frozen(kw_only=True)
class PieceTime:
    """What one piece takes: standard times and the recipe's, each >= 0."""

    #: Put the garment on the platen, pull it straight, lay the transfer (and the cover sheet).
    load: timedelta
    #: The press is closed: pre-press, dwell and post-press together.
    closed: timedelta
    #: Take off, hang or stack; for a hot or warm peel, peel too.
    unload: timedelta
    #: Cold peel: peel one piece off the rack; 0 otherwise.
    peel: timedelta = timedelta(0)

    @property
    def on_press(self) -> timedelta:
        """How long one piece keeps the press."""
        return self.load + self.closed + self.unload


@frozen(kw_only=True)
class PressTask:
    """One run to press: one print of one order line, on all its sizes."""

    #: `R01`, `R02`, ...
    id: str
    ref: PrintRef
    #: The demands whose prints are pressed, one per printed size.
    demands: tuple[str, ...]
    pieces: tuple[SizeCount, ...]
    transfer: str
    #: Presses and platens that may be used, by name, the preferred first; pad "" when none is needed.
    presses: tuple[str, ...]
    platens: tuple[str, ...]
    pad: str
    piece_time: PieceTime
    #: Learn the job, first piece, test press: once per run, apart from changing press and platen.
    set_up: timedelta
    #: How long a piece cools before it is peeled or pressed again; 0 for a hot peel and the last print.
    cool: timedelta
    #: Transfers and blanks are in the shop.
    release: datetime
    #: It must have left the press, cooled and peeled.
    due: datetime
    weight: int
    #: Prints above the pieces, for what spoils.
    spares: int
    #: Tasks on the same garments that must be finished and cooled before.
    after: tuple[str, ...] = ()

    @property
    def quantity(self) -> int:
        """Pieces of all sizes."""
        return sum(item.count for item in self.pieces)

    @property
    def labour(self) -> timedelta:
        """Hands-on standard time of the whole run, set-up included, without waiting for the rack."""
        piece = self.piece_time
        return self.set_up + self.quantity * (piece.on_press + piece.peel)


@frozen(kw_only=True)
class PressTaskList:
    """All that has to be pressed for the batch."""

    tasks: tuple[PressTask, ...]

    def task(self, task_id: str) -> PressTask:
        """The task of this id. Raises KeyError."""
        return self._by_id[task_id]

    def of_line(self, job: str, line: int) -> tuple[PressTask, ...]:
        """The runs of one order line, in the order of its prints."""
        return tuple(self._by_line.get((job, line), ()))

    @cached_property
    def _by_id(self) -> dict[str, PressTask]:
        return {task.id: task for task in self.tasks}

    @cached_property
    def _by_line(self) -> dict[tuple[str, int], list[PressTask]]:
        return grouped(self.tasks, lambda task: (task.ref.job, task.ref.line))
