"""Small artwork, made as it is needed."""

from io import BytesIO

from PIL import Image

SVG = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="40mm" height="20mm" viewBox="0 0 40 20">{}</svg>'  # noqa: E501


def svg(inner: str) -> bytes:
    """A drawing 40 x 20 mm around some elements."""
    return SVG.format(inner).encode()


def png(size: tuple[int, int], colour: tuple[int, ...], mode: str = "RGBA") -> bytes:
    """A PNG of one colour."""
    out = BytesIO()
    Image.new(mode, size, colour).save(out, "PNG")
    return out.getvalue()
