"""An order as the customer placed it: one job file, one order."""

from datetime import date
from enum import StrEnum
from fractions import Fraction

from attrs import field, frozen

from pipeline.model.measure import Length, Percent
from pipeline.problems import FromFile


class ArtworkKind(StrEnum):
    """What an artwork file is made of."""

    PNG = "png"
    JPEG = "jpeg"
    TIFF = "tiff"
    SVG = "svg"
    PDF = "pdf"


@frozen(kw_only=True)
class Artwork:
    """An artwork file that was found, read and measured. `path` is relative to the shop's folder."""

    path: str
    sha256: str
    kind: ArtworkKind
    #: Width / height of the picture, exact.
    aspect: Fraction
    #: Pixels; 0 for line artwork (SVG, PDF), which has no resolution of its own.
    width_px: int = 0
    height_px: int = 0
    has_alpha: bool = True
    #: The border of the picture is opaque and (nearly) white: it would print as a white box.
    white_background: bool = False


@frozen(kw_only=True)
class SizeCount(FromFile):
    """So many pieces of one garment size. In a job file: `pieces: {S: 4, M: 10}`."""

    size: str
    count: int


@frozen(kw_only=True)
class SizeScale(FromFile):
    """The print of one garment size is smaller or larger. In a job file: `scale: {YS: 75%}`."""

    size: str
    percent: Percent


CHEAPEST = "cheapest"
"""In place of a transfer's name: the cheapest that fits."""


@frozen(kw_only=True)
class Print(FromFile):
    """One print on each piece of a line. Written: `width` or `height` (or both), the rest optional."""

    artwork: str
    placement: str
    width: Length | None = None
    height: Length | None = None
    transfer: str = CHEAPEST
    scale: tuple[SizeScale, ...] = ()
    #: The print may lie turned by 90 degrees on the sheet.
    may_turn: bool = True
    #: The measured file; None until it was read, and in an order that is held because it could not be.
    art: Artwork | None = field(default=None, eq=False)

    @property
    def picture(self) -> Artwork:
        """The measured artwork. Past the door every print has one."""
        if self.art is None:
            raise AssertionError(f"the artwork {self.artwork} was not read")
        return self.art

    def size_on(self, garment_size: str) -> tuple[Length, Length]:
        """Printed (width, height) in micrometres on a garment of this size.

        What was not written follows from the picture's proportions. Rounded to the micrometre.
        """
        aspect = self.picture.aspect
        width = Fraction(self.width) if self.width is not None else Fraction(self.height or 0) * aspect
        height = Fraction(self.height) if self.height is not None else Fraction(self.width or 0) / aspect
        percent = next((s.percent for s in self.scale if s.size == garment_size), Fraction(1))
        return Length(round(width * percent)), Length(round(height * percent))


class Blanks(StrEnum):
    """Whose garments are pressed."""

    OURS = "ours"
    CUSTOMER = "customer"


@frozen(kw_only=True)
class Line(FromFile):
    """One garment style in one colour, with its prints."""

    garment: str
    colour: str
    pieces: tuple[SizeCount, ...]
    prints: tuple[Print, ...]
    blanks: Blanks = Blanks.OURS
    #: Agreed net price per piece in minor units, exact; None = by the shop's price rules (`price: by-list`).
    price: Fraction | None = None
    notes: str = ""

    @property
    def quantity(self) -> int:
        """Pieces of all sizes."""
        return sum(item.count for item in self.pieces)


class Delivery(StrEnum):
    """How the order leaves the shop."""

    SHIP = "ship"
    PICK_UP = "pick-up"


@frozen(kw_only=True)
class Signature(FromFile):
    """Who took responsibility, and when. In a job file: `safety_signed: {by: ..., on: 2026-11-20}`."""

    by: str
    on: date


@frozen(kw_only=True)
class Order(FromFile):
    """One customer's order, one job file."""

    job: str
    customer: str
    due: date
    delivery: Delivery
    lines: tuple[Line, ...]
    #: The customer's purchase order number, "" when there is none.
    customer_order: str = ""
    rush: bool = False
    #: False: the customer wants its prints on sheets of their own.
    share_sheets: bool = True
    discount: Percent = Percent(Fraction(0))
    #: Children's articles are held until the responsible person has signed.
    safety_signed: Signature | None = None
    notes: str = ""
    #: SHA-256 of the job file's bytes: the identity of the order.
    sha256: str = field(default="", eq=False)

    @property
    def quantity(self) -> int:
        """Pieces of all lines."""
        return sum(line.quantity for line in self.lines)
