"""What the ledger cannot do, apart from a user's mistakes, which are problems."""


class LedgerError(Exception):
    """Base of the ledger's errors. Nothing was recorded, or all of it: running again is safe."""


class LedgerUnwritable(LedgerError):
    """The disk refuses: full, read-only, failing, or no such folder."""


class LedgerBusy(LedgerError):
    """Another program has kept the ledger locked for too long."""


class LedgerAway(LedgerError):
    """The database server does not answer."""


class LedgerMoved(LedgerError):
    """Something was recorded since the snapshot on which a run was planned; plan again."""

    def __init__(self) -> None:
        super().__init__("another run was recorded in the meantime")
