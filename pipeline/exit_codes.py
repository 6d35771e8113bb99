"""What the shell is told when a command ends."""

from enum import IntEnum


class ExitCode(IntEnum):
    """What the shell is told."""

    #: All done (warnings included).
    DONE = 0
    #: Some orders are held; the others went on (with --strict: nothing did).
    HELD = 1
    #: The command line, the shop's files or a named file is wrong; nothing was done.
    USAGE = 2
    #: A fault of the program or of a plugin; nothing was recorded.
    INTERNAL = 3
    #: Disk or ledger could not be read or written; running again is safe.
    UNWRITABLE = 74
    #: The ledger is busy with another run, or its database does not answer; run again later.
    BUSY = 75
