"""Named places where a test can end the process at once, as a power cut would.

`PEELWRIGHT_FAILPOINT=ledger.recorded:2` in the environment ends it the second time `ledger.recorded` is reached.
Without the variable, `reach` does nothing.
"""

import os

VARIABLE = "PEELWRIGHT_FAILPOINT"
KILLED = 137
"""The exit code then: that of a process ended by SIGKILL."""


class _Failpoint:
    """The one place at which this process ends, and how often it is still to be passed."""

    def __init__(self, setting: str) -> None:
        self.name, _, times = setting.partition(":")
        self.left = int(times or 1)

    def reach(self, name: str) -> None:
        if name == self.name:
            self.left -= 1
            if self.left == 0:
                # Neither `finally` nor `with` runs, buffers are not flushed: nothing may depend on them.
                os._exit(KILLED)


_failpoint = _Failpoint(os.environ.get(VARIABLE, ""))


def reach(name: str) -> None:
    """The place `name` is reached: nothing happens, unless a test asked for the process to end here."""
    _failpoint.reach(name)
