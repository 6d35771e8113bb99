"""What has to be printed: the transfers that may be used, and how many copies of which picture."""

from datetime import date
from functools import cached_property

from attrs import field, frozen

from pipeline.model.measure import Length
from pipeline.model.order import Artwork


@frozen(kw_only=True)
class PrintRef:
    """Which print of which order is meant. `line` and `print` count from 0, as they stand in the file."""

    job: str
    line: int
    print: int


@frozen(kw_only=True)
class Objection:
    """Why a transfer may not be used for a print: a problem code and a sentence for people."""

    code: str
    message: str


@frozen(kw_only=True)
class TransferFit:
    """One transfer held against one print. It may be used when there is no objection."""

    ref: PrintRef
    transfer: str
    objections: tuple[Objection, ...] = ()

    @property
    def fits(self) -> bool:
        """True when nothing speaks against it."""
        return not self.objections


@frozen(kw_only=True)
class TransferFits:
    """Every transfer of the shop held against every print whose garment and placement are known."""

    fits: tuple[TransferFit, ...]
    _by_ref: dict[PrintRef, tuple[TransferFit, ...]] = field(init=False, eq=False, repr=False)

    @_by_ref.default
    def _index(self) -> dict[PrintRef, tuple[TransferFit, ...]]:
        index: dict[PrintRef, tuple[TransferFit, ...]] = {}
        for fit in self.fits:
            index[fit.ref] = (*index.get(fit.ref, ()), fit)
        return index

    def of(self, ref: PrintRef) -> tuple[TransferFit, ...]:
        """Every transfer held against this print, in the shop's order."""
        return self._by_ref.get(ref, ())

    def usable(self, ref: PrintRef) -> tuple[str, ...]:
        """Names of the transfers that may be used for this print, in the shop's order."""
        return tuple(fit.transfer for fit in self.of(ref) if fit.fits)


@frozen(kw_only=True)
class StockLot:
    """Leftover prints in stock: the same picture, size and transfer, bought with one run."""

    lot: int
    customer: str
    #: The artwork file's name and hash; a changed file is another picture.
    artwork: str
    sha256: str
    width: Length
    height: Length
    transfer: str
    copies: int
    #: The last day on which they may be pressed.
    use_by: date
    #: Where they lie, "" where nobody has said.
    place: str = ""


@frozen(kw_only=True)
class StockUse:
    """So many prints are taken from a lot for a demand. `place` is where the lot lies, "" where nobody has said."""

    lot: int
    demand: str
    copies: int
    place: str = ""


@frozen(kw_only=True)
class PrintUse:
    """Where a demand's prints go: so many pieces of one size of one print of an order."""

    ref: PrintRef
    size: str
    pieces: int


@frozen(kw_only=True)
class PrintDemand:
    """Copies of one picture at one size, all by one transfer out of those eligible."""

    #: `P01`, `P02`, ...: in the order of the jobs.
    id: str
    customer: str
    artwork: Artwork
    width: Length
    height: Length
    #: Transfers that may be used, by name, in the shop's order; never empty.
    transfers: tuple[str, ...]
    uses: tuple[PrintUse, ...]
    #: Copies above the pieces, for spoilage.
    spares: int
    #: Taken from stock (see `PrintList.stock_uses`).
    from_stock: int = 0
    may_turn: bool = True
    #: The customer wants no other customer's print on the sheet.
    alone: bool = False

    @property
    def pieces(self) -> int:
        """Good prints needed."""
        return sum(use.pieces for use in self.uses)

    @property
    def to_buy(self) -> int:
        """Copies that must come from new sheets."""
        return max(0, self.pieces + self.spares - self.from_stock)

    @property
    def jobs(self) -> tuple[str, ...]:
        """The orders that this demand serves, each once."""
        return tuple(dict.fromkeys(use.ref.job for use in self.uses))


@frozen(kw_only=True)
class PrintList:
    """All prints of the batch, less what lies in stock."""

    demands: tuple[PrintDemand, ...]
    stock_uses: tuple[StockUse, ...] = ()

    def demand(self, demand_id: str) -> PrintDemand:
        """The demand of this id. Raises KeyError."""
        return self._by_id[demand_id]

    @cached_property
    def _by_id(self) -> dict[str, PrintDemand]:
        return {demand.id: demand for demand in self.demands}
