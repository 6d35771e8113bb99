"""PDF artwork: one page, whose size gives the picture's proportions."""

from fractions import Fraction
from io import BytesIO
from typing import Any

from pipeline.artwork.unfit import Unfit
from pipeline.model.order import Artwork, ArtworkKind


def measure_pdf(path: str, content: bytes) -> Artwork:
    """The artwork but for its hash. Raises Unfit: E303 broken or several pages, E305 encrypted."""
    import pikepdf

    try:
        # No repair: what a repaired file still shows is anyone's guess.
        with pikepdf.open(BytesIO(content), attempt_recovery=False) as document:
            _check_document(path, document)
            page = document.pages[0]
            pikepdf.parse_content_stream(page)
            width, height = _size(page)
    except Unfit:
        raise
    except pikepdf.PasswordError as error:
        raise Unfit("E305", f"`{path}` is encrypted", "export it without a password or restrictions") from error
    except Exception as error:
        # The parser raises its own errors, and others on values of a kind that it did not expect.
        message = f"`{path}` is broken or cut off"
        raise Unfit("E303", message, "ask for the file again, or export it again from the drawing") from error
    if width <= 0 or height <= 0:
        raise Unfit("E303", f"the page of `{path}` has no size", "export it again from the drawing")
    return Artwork(path=path, sha256="", kind=ArtworkKind.PDF, aspect=width / height)


def _check_document(path: str, document: Any) -> None:
    if document.is_encrypted:
        raise Unfit("E305", f"`{path}` is encrypted", "export it without a password or restrictions")
    if len(document.pages) != 1:
        raise Unfit("E303", f"`{path}` has {len(document.pages)} pages", "export the one page to print")


def _size(page: Any) -> tuple[Fraction, Fraction]:
    """Width and height of the page as it is seen, in points."""
    left, bottom, right, top = (Fraction(str(value)) for value in page.cropbox)
    width, height = abs(right - left), abs(top - bottom)
    turned = int(page.obj.get("/Rotate", 0)) % 180 != 0
    return (height, width) if turned else (width, height)
