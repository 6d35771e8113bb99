"""Calendar files by RFC 5545: lines of 75 octets at most, text escaped, times in UTC."""

from collections.abc import Iterable, Iterator
from datetime import UTC, datetime

from attrs import frozen

PRODUCT = "-//peelwright//press schedule//EN"
_OCTETS = 75
# RFC 5545, section 3.3.11; the backslash first.
_ESCAPES = (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\r\n", "\\n"), ("\n", "\\n"))


@frozen(kw_only=True)
class Event:
    """One entry. `uid` is the same whenever the entry is written, `sequence` grows when it changes."""

    uid: str
    sequence: int
    start: datetime
    end: datetime
    title: str
    place: str
    text: str


def calendar(name: str, events: Iterable[Event], stamp: datetime) -> bytes:
    """A calendar file that was made at `stamp`. Times are zone-aware."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:{PRODUCT}", "CALSCALE:GREGORIAN", "METHOD:PUBLISH"]
    lines.append(f"X-WR-CALNAME:{_text(name)}")
    for event in events:
        lines += [
            "BEGIN:VEVENT",
            f"UID:{_text(event.uid)}",
            f"DTSTAMP:{_utc(stamp)}",
            f"SEQUENCE:{event.sequence}",
            f"DTSTART:{_utc(event.start)}",
            f"DTEND:{_utc(event.end)}",
            f"SUMMARY:{_text(event.title)}",
            f"LOCATION:{_text(event.place)}",
            f"DESCRIPTION:{_text(event.text)}",
            "END:VEVENT",
        ]
    lines.append("END:VCALENDAR")
    return b"".join(part + b"\r\n" for line in lines for part in _folded(line))


def _utc(moment: datetime) -> str:
    return f"{moment.astimezone(UTC):%Y%m%dT%H%M%SZ}"


def _text(text: str) -> str:
    for character, escaped in _ESCAPES:
        text = text.replace(character, escaped)
    return text


def _folded(line: str) -> Iterator[bytes]:
    """The line in parts, no character cut in two; from the second on they begin with a space (section 3.1)."""
    part = b""
    for character in line:
        octets = character.encode()
        if len(part) + len(octets) > _OCTETS:
            yield part
            part = b" "
        part += octets
    yield part
