"""Kinds of arguments: text of the command line -> values."""

import argparse
import re
from datetime import date, datetime
from typing import TYPE_CHECKING
from unicodedata import category

if TYPE_CHECKING:
    from pipeline.model.account import CreditedLine


def day(text: str) -> date:
    """A day of the command line."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"`{text}` is no day: write it like 2026-11-30") from None


def moment(text: str) -> datetime:
    """A local moment without a zone: the shop's is added when it is known."""
    try:
        local = datetime.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"`{text}` is no time: write it like '2026-11-30 07:30'") from None
    if local.tzinfo is not None:
        raise argparse.ArgumentTypeError("write local time, without a zone")
    return local


def words(text: str) -> str:
    """Words that can be kept and printed."""
    if any(category(sign) in ("Cc", "Cs") for sign in text):
        raise argparse.ArgumentTypeError("there is a sign in it that cannot be printed")
    return text


def lot(text: str) -> int:
    """The number of a lot of leftover prints."""
    if not re.fullmatch(r"\d{1,9}", text, re.ASCII):
        raise argparse.ArgumentTypeError(f"`{text}` is no lot: `peelwright ledger show` lists them")
    return int(text)


def line(text: str) -> "CreditedLine":
    """What is credited of a line: `2` or `2=5`."""
    from pipeline.model.account import CreditedLine

    if not (match := re.fullmatch(r"(\d{1,4})(?:=(\d{1,6}))?", text)):
        raise argparse.ArgumentTypeError(f"`{text}` is no line: write it like 2 or 2=5")
    return CreditedLine(number=int(match[1]), pieces=int(match[2]) if match[2] else None)
