"""PNG, JPEG and TIFF: how many pixels, and whether a white box stands behind the motif."""

import struct
import warnings
from fractions import Fraction
from io import BytesIO
from typing import TYPE_CHECKING

from pipeline.artwork.unfit import Unfit
from pipeline.model.order import Artwork, ArtworkKind

if TYPE_CHECKING:
    from PIL.Image import Image

MAX_PIXELS = 150_000_000
# A border is white when so much of it is opaque and each of its colours is this light.
_WHITE, _OPAQUE, _SHARE = 235, 250, Fraction(9, 10)
_ORIENTATION = 0x0112


def measure_pixels(path: str, content: bytes, kind: ArtworkKind) -> Artwork:
    """The artwork but for its hash. Raises Unfit: E303 broken, turned or several pictures, E306 too many pixels."""
    if kind is ArtworkKind.PNG:
        _check_png_header(path, content)
    image = _decoded(path, content, kind)
    has_alpha = image.has_transparency_data
    return Artwork(
        path=path,
        sha256="",
        kind=kind,
        aspect=Fraction(image.width, image.height),
        width_px=image.width,
        height_px=image.height,
        has_alpha=has_alpha,
        white_background=white_border(image),
    )


def _check_png_header(path: str, content: bytes) -> None:
    """Width and height stand in the first 24 bytes (PNG specification, 11.2.1 IHDR): look before decoding."""
    if len(content) < 33 or content[12:16] != b"IHDR":
        raise Unfit("E303", f"`{path}` is cut off", "ask for the file again")
    _check_size(path, *struct.unpack(">II", content[16:24]))


def _check_size(path: str, width: int, height: int) -> None:
    if width * height > MAX_PIXELS:
        message = f"`{path}` has {width} × {height} pixels; at most {MAX_PIXELS:,} are read"
        raise Unfit("E306", message, "export it at 300 pixels per inch of the printed size")
    if not width or not height:
        raise Unfit("E303", f"`{path}` has no pixels", "ask for the file again")


def _decoded(path: str, content: bytes, kind: ArtworkKind) -> "Image":
    from PIL import Image

    try:
        with warnings.catch_warnings():
            # Our own limit stands in place of Pillow's; what else it warns of (broken metadata) is not printed.
            warnings.simplefilter("ignore")
            image = Image.open(BytesIO(content), formats=[kind.upper()])
            _check_size(path, *image.size)
            _check_single_and_upright(path, image)
            image.load()
            plain = eight_bits(image)
            return plain if plain.mode in ("RGB", "RGBA", "L", "LA", "P", "1", "CMYK") else plain.convert("RGBA")
    except Unfit:
        raise
    except Exception as error:
        # Decoders document no closed list of what they raise on broken bytes.
        message = f"`{path}` is broken or cut off: {str(error) or type(error).__name__}"
        raise Unfit("E303", message, "ask for the file again, or export it again from the drawing") from error


def eight_bits(image: "Image") -> "Image":
    """A picture of 16 bit grey with the 8 upper bits of each pixel; any other as it is."""
    if not image.mode.startswith("I;16"):
        return image
    # Pillow opens these, but in most of what it does with them it cuts off all that is lighter than 255 of 65,535.
    return image.convert("I").point(lambda level: level / 256).convert("L")


def _check_single_and_upright(path: str, image: "Image") -> None:
    frames = getattr(image, "n_frames", 1)
    if frames != 1:
        raise Unfit("E303", f"`{path}` holds {frames} pictures", "export the one to print")
    if image.getexif().get(_ORIENTATION, 1) != 1:
        raise Unfit("E303", f"`{path}` is stored lying on its side", "turn it upright and save it again")


def white_border(image: "Image") -> bool:
    """True when nine tenths of the outermost pixels are opaque and nearly white."""
    width, height = image.size
    edges = [(0, 0, width, 1), (0, height - 1, width, height), (0, 0, 1, height), (width - 1, 0, width, height)]
    white = sum(_white_pixels(image.crop(edge)) for edge in edges)
    return Fraction(white, 2 * (width + height)) >= _SHARE


def _white_pixels(strip: "Image") -> int:
    from PIL import ImageChops

    red, green, blue, alpha = strip.convert("RGBA").split()
    darkest = ImageChops.darker(red, ImageChops.darker(green, blue))
    white = darkest.point([255 if level >= _WHITE else 0 for level in range(256)])
    opaque = alpha.point([255 if level >= _OPAQUE else 0 for level in range(256)])
    return ImageChops.darker(white, opaque).histogram()[255]
