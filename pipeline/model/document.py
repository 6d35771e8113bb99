"""A finished paper or table, before anyone has written it to a disk."""

from collections.abc import Callable
from enum import StrEnum

from attrs import field, frozen


class Audience(StrEnum):
    """Who may see a document. What one customer gets never names or pictures another."""

    CUSTOMER = "customer"
    FLOOR = "floor"
    OFFICE = "office"
    SUPPLIER = "supplier"


def _read(content: bytes | Callable[[], bytes]) -> bytes:
    return content if isinstance(content, bytes) else content()


@frozen(kw_only=True)
class Document:
    """One file of a run's output. `path` is relative, `/` separated, in lower case.

    It is made of its content or, so that a week's papers need not be in memory together, of a way to read it.
    """

    path: str
    title: str
    _content: bytes | Callable[[], bytes] = field(eq=_read, repr=False)
    audience: Audience
    #: The order it belongs to, "" when it belongs to the whole run.
    job: str = ""

    @property
    def content(self) -> bytes:
        """The bytes of the file. Ask once where they are needed twice: each time they may be read anew."""
        return _read(self._content)
