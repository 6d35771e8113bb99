"""The shop with its ledger open: where vouchers get their numbers, are recorded and delivered."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from pathlib import Path

from attrs import evolve, frozen

from pipeline.batch import read_shop
from pipeline.durable import make_folders
from pipeline.ledger import Act, Ledger, LedgerMoved, Snapshot, next_numbers, number_problems
from pipeline.load import load_order
from pipeline.model.account import AccountItem, Voucher, VoucherKind
from pipeline.model.document import Document
from pipeline.model.order import Order
from pipeline.outbox import deliver_run, deliver_waiting
from pipeline.output import papers_in
from pipeline.plugin_manager import load_plugins
from pipeline.problems import Problem, StopRun, has_errors, showing
from pipeline.record import vouchers_record
from pipeline.request import as_typed
from pipeline.shop import Shop
from pipeline.spool import Spool
from pipeline.stages import Stages

TRIES = 5
"""How often an act is made anew because something was recorded meanwhile."""


@frozen(kw_only=True)
class Given:
    """What was recorded now, and what was known already and only looked after."""

    given: tuple[Voucher, ...] = ()
    known: tuple[Voucher, ...] = ()
    #: The folders of the papers, as people would type them, and papers that were missing or changed there.
    folders: tuple[str, ...] = ()
    restored: tuple[str, ...] = ()


@frozen(kw_only=True)
class Counter:
    """One shop, its plugins, its ledger, and where papers go."""

    shop: Shop
    stages: Stages
    ledger: Ledger
    out: Path

    def item(self, number: str) -> AccountItem:
        """The invoice or deposit invoice of this number. Raises StopRun (E631)."""
        try:
            return self.ledger.item(number)
        except KeyError:
            hint = "`peelwright ledger show` lists the invoices and deposits"
            message = f"the ledger has no invoice or deposit `{number}`"
            raise StopRun([Problem(code="E631", message=message, hint=hint)]) from None

    def order(self, job: str) -> Order:
        """A recorded order, as its file has it. Raises KeyError, and StopRun for one that can be read no more."""
        loaded = load_order(self.ledger.file(job), f"the recorded file of {job}", self.shop.currency)
        if loaded.value is None:
            raise StopRun(loaded.problems, loaded.sources)
        return loaded.value

    def insist_on(self, customers: Iterable[str]) -> None:
        """Stop unless the shop has these customers still: their papers need names and addresses (E203)."""
        gone = [name for name in dict.fromkeys(customers) if not self.shop.knows("customer", name)]
        hint = "put the file of each back into `customers/`: what was invoiced still needs it"
        insist(
            [Problem(code="E203", message=f"there is no customer `{name}` any more", hint=hint) for name in gone]
        )

    def numbered(self, kind: VoucherKind, vouchers: Sequence[Voucher], snapshot: Snapshot) -> tuple[Voucher, ...]:
        """The vouchers with the next numbers of their kind, in their order."""
        numbers = next_numbers(kind, len(vouchers), self.shop.numbering, snapshot)
        return tuple(evolve(v, number=number) for v, number in zip(vouchers, numbers, strict=True))

    def give(self, act: Act, snapshot: Snapshot, backdate: bool) -> Given:
        """Make the papers, record the act and deliver. Raises LedgerMoved: then make the act anew."""
        act = evolve(act, label=snapshot.free_label(act.label))
        make_folders(self.out)
        with Spool() as spool:
            papers: tuple[Document, ...] = ()
            if act.vouchers:
                papers = spool.keep(self.stages.make_vouchers(vouchers=act.vouchers, shop=self.shop))
                papers += (vouchers_record(act.label, act.date, self.shop, act.vouchers, papers),)
            self.ledger.give(evolve(act, papers=papers), snapshot, self.shop, backdate)
        if not papers:
            return Given()
        deliver_run(self.ledger, act.label, self.out)
        return Given(given=act.vouchers, folders=(as_typed(self.out / act.label),))

    def again(self, vouchers: Sequence[Voucher]) -> Given:
        """What is recorded already: its papers are put right."""
        restored, folders = [], []
        for label in dict.fromkeys(self.ledger.label_of(voucher.number) for voucher in vouchers):
            folders.append(as_typed(self.out / label))
            done = deliver_run(self.ledger, label, self.out)
            restored += [as_typed(self.out / label / path) for path in done.written]
        return Given(known=tuple(vouchers), folders=tuple(folders), restored=tuple(restored))


@contextmanager
def open_counter(folder: Path, out: Path | None = None, create: bool = False) -> Iterator[Counter]:
    """The shop of this folder, with whatever waits delivered.

    Raises StopRun when its files are wrong, when it has no ledger (E630; with `create` one is made), or when the
    papers know more (E603).
    """
    loaded = read_shop(folder)
    if (shop := loaded.value) is None:
        raise AssertionError("a shop that could not be read has stopped the command")
    with showing(loaded.sources):
        insist(number_problems(shop.numbering, date.max, last_issue=None))
        if not (create or Ledger.is_there(shop)):
            message, hint = f"`{as_typed(shop.root)}` has no ledger yet", "`peelwright run` makes one"
            raise StopRun([Problem(code="E630", message=message, hint=hint)])
        with Ledger.of(shop, create) as ledger:
            place = out or shop.root / "out"
            insist(ledger.unknown(papers_in(place)))
            deliver_waiting(ledger, place)
            yield Counter(shop=shop, stages=load_plugins(shop), ledger=ledger, out=place)


def insist(problems: Sequence[Problem]) -> None:
    """Stop when there is an error."""
    if has_errors(problems):
        raise StopRun(problems)


def until_recorded(make: Callable[[], Given]) -> Given:
    """Do it, and again as long as something else is recorded meanwhile. Raises LedgerMoved after some tries."""
    for _ in range(TRIES):
        try:
            return make()
        except LedgerMoved:
            continue
    raise LedgerMoved
