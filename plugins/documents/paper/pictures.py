"""Artwork as a small picture for a paper: bounded in pixels, opaque, on a ground that lets it be seen."""

from io import BytesIO

from PIL import Image, ImageStat

from pipeline.model.order import ArtworkKind
from plugins.documents.artwork import raster
from plugins.documents.canvas import Picture

_DPI = 150
_LIGHT = 200
_DARK_GROUND = (99, 108, 118)
_WHITE = (255, 255, 255)


def picture(data: bytes, kind: ArtworkKind, longest_inches: float = 3.0) -> Picture:
    """Artwork bytes as a picture for print at most so many inches long.

    A mostly light motif, meant for dark cloth, stands on grey: on white paper nobody would see it.
    Raises ArtworkUnreadable.
    """
    image = raster(data, kind, round(longest_inches * _DPI))
    solid = image.getchannel("A").point(lambda level: 255 if level > 127 else 0)
    seen = ImageStat.Stat(image.convert("L"), solid)
    is_light = bool(seen.count[0]) and seen.mean[0] > _LIGHT
    ground = Image.new("RGBA", image.size, (*(_DARK_GROUND if is_light else _WHITE), 255))
    out = BytesIO()
    Image.alpha_composite(ground, image).convert("RGB").save(out, "PNG")
    return Picture(png=out.getvalue(), width=image.width, height=image.height)
