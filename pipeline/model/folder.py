"""The watched folder as it stands: what waits, what was rejected, and when the week is closed."""

from datetime import date, datetime

from attrs import frozen

from pipeline.model.money import Money


@frozen(kw_only=True)
class WaitingOrder:
    """An order that was taken in and waits for the week to be closed."""

    job: str
    customer: str
    #: Zone-aware, the shop's.
    received: datetime
    #: Where its file lies, relative to the shop.
    file: str
    #: By the plan as it stands; None while there is none of this order.
    due: date | None = None
    pieces: int | None = None
    net: Money | None = None
    #: Why it would not go on if the week were closed now.
    held: tuple[str, ...] = ()


@frozen(kw_only=True)
class RejectedFile:
    """A file that was not taken in."""

    #: Its name in the inbox, and where it and the reasons lie, relative to the shop.
    name: str
    file: str
    reasons: str
    #: The first of the reasons.
    message: str


@frozen(kw_only=True)
class Closing:
    """The last run that was recorded."""

    label: str
    date: date
    orders: int


@frozen(kw_only=True)
class WatchedFolder:
    """The folder at one moment. Of long lists only the first are there; the counts are of all."""

    #: Zone-aware, the shop's.
    at: datetime
    policy: str
    #: How many watchers are at work.
    watchers: int
    #: When the week is closed by itself; None for by hand, and while it is not known.
    closes: datetime | None
    #: Files in the inbox that are not complete or not claimed yet, and how many are being processed.
    arriving: tuple[str, ...]
    arriving_count: int
    in_work: int
    waiting: tuple[WaitingOrder, ...]
    waiting_count: int
    rejected: tuple[RejectedFile, ...]
    rejected_count: int
    #: Folder of the plan as it stands, below `out/`; "" while there is none.
    plan: str
    last: Closing | None
    #: What keeps the watcher from its work.
    faults: tuple[str, ...]
