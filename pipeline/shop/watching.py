"""shop.yaml, watch: the folder into which orders are dropped, and when the week is closed."""

from datetime import time
from enum import StrEnum

from attrs import frozen

from pipeline.problems import FromFile


class ClosingPolicy(StrEnum):
    """When orders that were dropped become a run: each at once, or gathered until the week is closed."""

    EACH = "each"
    GATHER = "gather"


@frozen(kw_only=True)
class CutOff(FromFile):
    """When the week is closed: on these weekdays (`mon` ... `sun`) at this local time."""

    days: tuple[str, ...]
    time: time


@frozen(kw_only=True)
class WatchRules(FromFile):
    """How the inbox is watched.

    It is looked at every `poll_seconds`. A file is complete when it was left alone for `settle_seconds`, or with
    `require_end_marker` as soon as its last line is `...`.
    """

    policy: ClosingPolicy = ClosingPolicy.GATHER
    cut_offs: tuple[CutOff, ...] = ()
    poll_seconds: int = 2
    settle_seconds: int = 5
    require_end_marker: bool = False
