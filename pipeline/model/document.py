"""A finished paper or table, before anyone has written it to a disk."""

from enum import StrEnum

from attrs import frozen


class Audience(StrEnum):
    """Who may see a document. What one customer gets never names or pictures another."""

    CUSTOMER = "customer"
    FLOOR = "floor"
    OFFICE = "office"
    SUPPLIER = "supplier"


@frozen(kw_only=True)
class Document:
    """One file of a run's output. `path` is relative, `/` separated, in lower case."""

    path: str
    title: str
    content: bytes
    audience: Audience
    #: The order it belongs to, "" when it belongs to the whole run.
    job: str = ""
