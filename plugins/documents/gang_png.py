"""A print-ready sheet as a picture, for printers who take no PDF: PNG with transparency, drawn strip by strip.

A sheet of 22 x 60 in has 119 million pixels, half a gigabyte: no more than a strip of it is ever held.
"""

import zlib
from collections.abc import Iterator
from io import BytesIO
from math import ceil
from struct import pack
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

PPI = 300
_STRIP = 8_000_000
"""Pixels that are drawn at once."""


def sheet_png(sheet: bytes, width: int, strip: int = _STRIP) -> bytes:
    """The first page of a PDF as a PNG (ISO/IEC 15948) of 300 ppi; `width` is the page's, in micrometres.

    Its colours are RGB, eight bits each, not premultiplied. The same sheet gives the same bytes.
    """
    import pypdfium2

    out = BytesIO()
    document = pypdfium2.PdfDocument(sheet)
    try:
        page = document[0]
        across = round(width * PPI / 25_400)
        # The hair less keeps pdfium from rounding up by a pixel. By the page's own width, whatever its units are.
        scale = across / page.get_width() * (1 - 1e-9)
        down = ceil(page.get_height() * scale)
        out.write(b"\x89PNG\r\n\x1a\n")
        _chunk(out, b"IHDR", pack(">IIBBBBB", across, down, 8, 6, 0, 0, 0))
        per_metre = round(PPI / 0.0254)
        _chunk(out, b"pHYs", pack(">IIB", per_metre, per_metre, 1))
        packer = zlib.compressobj(6)
        for rows in _strips(page, scale, down, max(1, strip // across)):
            if data := packer.compress(_filtered(rows)):
                _chunk(out, b"IDAT", data)
        _chunk(out, b"IDAT", packer.flush())
        _chunk(out, b"IEND", b"")
    finally:
        document.close()
    return out.getvalue()


def _strips(page: Any, scale: float, down: int, high: int) -> Iterator["NDArray[np.uint8]"]:
    """The page's pixels from the top, `high` rows at a time: (rows, across, RGBA)."""
    import pypdfium2

    for top in range(0, down, high):
        below = max(0, down - top - high)
        # pdfium rounds what is cut off up to whole pixels.
        cut = (0, max(0.0, below - 0.5) / scale, 0, max(0.0, top - 0.5) / scale)
        bitmap = page.render(
            scale=scale,
            crop=cut,
            fill_color=(0, 0, 0, 0),
            force_bitmap_format=pypdfium2.raw.FPDFBitmap_BGRA,
            rev_byteorder=True,
        )
        yield bitmap.to_numpy()
        bitmap.close()


def _filtered(rows: "NDArray[np.uint8]") -> bytes:
    """Rows by PNG's filter "sub": each byte less the one a pixel before."""
    import numpy as np

    count, across, bands = rows.shape
    packed = np.empty((count, 1 + across * bands), dtype=np.uint8)
    packed[:, 0] = 1
    flat = rows.reshape(count, across * bands)
    packed[:, 1 : 1 + bands] = flat[:, :bands]
    np.subtract(flat[:, bands:], flat[:, :-bands], out=packed[:, 1 + bands :])
    return packed.tobytes()


def _chunk(out: BytesIO, kind: bytes, data: bytes) -> None:
    out.write(pack(">I", len(data)) + kind + data + pack(">I", zlib.crc32(kind + data)))
