"""A customer's artwork as a PDF of one page, ready to be laid on sheets.

Pixels stay as they are (JPEG data untouched, other pixels loss-free with their transparency); PDF and SVG stay
vectors.
"""

import zlib
from io import BytesIO
from typing import Any

import numpy as np
import pikepdf
from pikepdf import Array, Dictionary, Name, Object, Pdf, Stream
from PIL import Image, ImageOps

from pipeline.model.order import ArtworkKind
from plugins.documents.artwork import open_pixels, reading, svg_page

_SPACES = {"L": Name.DeviceGray, "RGB": Name.DeviceRGB, "CMYK": Name.DeviceCMYK}
# A profile's bytes 16 to 19 say which colours it describes (ICC.1:2022, 7.2.8).
_PROFILED = {"L": b"GRAY", "RGB": b"RGB ", "CMYK": b"CMYK"}
_ORIENTATION = 0x0112
_STRIP = 128
"""Rows that are packed at a time, so that a large picture is not in memory several times over."""


def art_page(data: bytes, kind: ArtworkKind) -> bytes:
    """The artwork as a PDF whose first page it fills. The same artwork gives the same bytes.

    A PDF is given back as it is; whether it can be read is seen when it is laid. Raises ArtworkUnreadable.
    """
    if kind is ArtworkKind.PDF:
        return data
    if kind is ArtworkKind.SVG:
        return svg_page(data)
    image = open_pixels(data, kind)
    out = BytesIO()
    with reading(kind), Pdf.new() as pdf:
        upright = image.getexif().get(_ORIENTATION, 1) == 1
        if kind is ArtworkKind.JPEG and upright and image.mode in _SPACES:
            picture = _jpeg(pdf, data, image)
        else:
            image = ImageOps.exif_transpose(image)
            picture = _packed(pdf, image)
        wide, high = image.size
        page = Dictionary(
            Type=Name.Page,
            MediaBox=Array([0, 0, wide, high]),
            Resources=Dictionary(XObject=Dictionary(Pixels=picture)),
            Contents=pdf.make_stream(f"{wide} 0 0 {high} 0 0 cm /Pixels Do".encode("ascii")),
        )
        pdf.pages.append(pikepdf.Page(pdf.make_indirect(page)))
        pdf.save(out, deterministic_id=True)
    return out.getvalue()


def _jpeg(pdf: Pdf, data: bytes, image: Image.Image) -> Object:
    picture = _described(Stream(pdf, data), image.size, image.mode, _profile(pdf, image, image.mode))
    picture.Filter = Name.DCTDecode
    if image.mode == "CMYK" and "adobe" in image.info:
        picture.Decode = Array([1, 0] * 4)
    return picture


def _packed(pdf: Pdf, image: Image.Image) -> Object:
    clear = image.has_transparency_data
    mode = image.mode if image.mode in _SPACES and not clear else "RGB"
    colours, opacity = _Packer(image.width, Image.getmodebands(mode)), _Packer(image.width, 1)
    for top in range(0, image.height, _STRIP):
        strip = image.crop((0, top, image.width, min(top + _STRIP, image.height)))
        if clear:
            strip = strip.convert("RGBA")
            colours.add(np.asarray(strip.convert("RGB")))
            opacity.add(np.asarray(strip.getchannel("A")))
        else:
            colours.add(np.asarray(strip.convert(mode)))
    picture = _described(colours.stream(pdf), image.size, mode, _profile(pdf, image, mode))
    if clear and opacity.least < 255:
        picture.SMask = _described(opacity.stream(pdf), image.size, "L", None)
    return picture


def _profile(pdf: Pdf, image: Image.Image, mode: str) -> Object | None:
    profile = image.info.get("icc_profile") or b""
    if profile[16:20] != _PROFILED[mode]:
        return None
    stream = Stream(pdf, profile)
    stream.N = Image.getmodebands(mode)
    return stream


def _described(stream: Object, size: tuple[int, int], mode: str, profile: Object | None) -> Object:
    stream.Type, stream.Subtype = Name.XObject, Name.Image
    stream.Width, stream.Height = size
    stream.BitsPerComponent = 8
    stream.ColorSpace = Array([Name.ICCBased, profile]) if profile is not None else _SPACES[mode]
    return stream


class _Packer:
    """Rows of pixels on their way into a flate stream with PNG's "up" predictor: each as it differs from the last."""

    def __init__(self, width: int, bands: int) -> None:
        self.least = 255
        self._width, self._bands = width, bands
        self._above = np.zeros(width * bands, dtype=np.uint8)
        # Runs of one byte alone, as zlib has it for pictures: half the time of level 4, a photograph a tenth smaller,
        # flat colours half as large again.
        self._deflate = zlib.compressobj(strategy=zlib.Z_RLE)
        self._parts: list[bytes] = []

    def add(self, pixels: "np.ndarray[Any, np.dtype[np.uint8]]") -> None:
        rows = pixels.reshape(len(pixels), -1)
        packed = np.empty((len(rows), rows.shape[1] + 1), dtype=np.uint8)
        packed[:, 0] = 2
        np.subtract(rows[0], self._above, out=packed[0, 1:])
        np.subtract(rows[1:], rows[:-1], out=packed[1:, 1:])
        self._above = rows[-1]
        self.least = min(self.least, int(rows.min()))
        self._parts.append(self._deflate.compress(packed.tobytes()))

    def stream(self, pdf: Pdf) -> Object:
        stream = Stream(pdf, b"".join((*self._parts, self._deflate.flush())))
        stream.Filter = Name.FlateDecode
        stream.DecodeParms = Dictionary(Predictor=15, Colors=self._bands, BitsPerComponent=8, Columns=self._width)
        return stream
