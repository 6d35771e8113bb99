"""Customers' artwork: found in the shop's folder, opened with care, measured.

Whatever is wrong with a file is a problem with a code of E301-E307; nothing a customer can send stops the
program. Limits: files of at most 50 MB (an SVG 5 MB), pictures of at most 150 million pixels (a sheet of
22 x 24 in at 500 pixels per inch has 132 million), SVGs that draw at most 50,000 elements.
"""

import hashlib
from pathlib import Path

from attrs import evolve

from pipeline.artwork.files import MAX_BYTES, read_inside
from pipeline.artwork.unfit import Unfit
from pipeline.model.order import Artwork, ArtworkKind
from pipeline.problems import Origin, Outcome, Problem, StopRun

__all__ = ["MAX_BYTES", "measure_artwork", "read_artwork"]


def measure_artwork(root: Path, path: str) -> Outcome[Artwork]:
    """What the file `path` in the shop's folder `root` is, or why it cannot be printed.

    The problems have no origin and no job: the caller knows who asked. Problems: E301-E306.
    """
    try:
        content = read_inside(root, path)
        artwork = _measure(path, content)
    except Unfit as fault:
        return Outcome(value=None, problems=[fault.problem()])
    return Outcome(value=evolve(artwork, sha256=hashlib.sha256(content).hexdigest()))


def read_artwork(root: Path, artwork: Artwork) -> bytes:
    """The bytes of an artwork that was inspected before. Raises StopRun when they are gone or changed (E307)."""
    try:
        content = read_inside(root, artwork.path)
    except Unfit as fault:
        raise StopRun([fault.problem()]) from None
    if hashlib.sha256(content).hexdigest() != artwork.sha256:
        message = f"`{artwork.path}` was changed while the week was being planned"
        raise StopRun([Problem(code="E307", message=message, hint="run again", origin=Origin(file=artwork.path))])
    return content


_BEGINS = {
    b"\x89PNG\r\n\x1a\n": ArtworkKind.PNG,
    b"\xff\xd8\xff": ArtworkKind.JPEG,
    b"II*\x00": ArtworkKind.TIFF,
    b"MM\x00*": ArtworkKind.TIFF,
    b"%PDF-": ArtworkKind.PDF,
}
_SUFFIXES = {
    "png": ArtworkKind.PNG,
    "jpg": ArtworkKind.JPEG,
    "jpeg": ArtworkKind.JPEG,
    "tif": ArtworkKind.TIFF,
    "tiff": ArtworkKind.TIFF,
    "svg": ArtworkKind.SVG,
    "pdf": ArtworkKind.PDF,
}


def _measure(path: str, content: bytes) -> Artwork:
    """The artwork but for its hash. The content says what it is; the name must not say otherwise."""
    suffix = path.rpartition(".")[2].lower()
    named = _SUFFIXES.get(suffix)
    if named is None:
        raise Unfit("E303", f"`{path}` is no kind of file that is printed", "use PNG, JPEG, TIFF, SVG or PDF")
    found = next((kind for begin, kind in _BEGINS.items() if content.startswith(begin)), ArtworkKind.SVG)
    if not content:
        raise Unfit("E303", f"`{path}` is empty", "ask for the file again")
    if found is not named:
        what = f"a {found.upper()}" if found is not ArtworkKind.SVG else f"no {named.upper()}"
        raise Unfit("E303", f"`{path}` is {what}, not what its name says", "export it again from the drawing")
    if found is ArtworkKind.SVG:
        from pipeline.artwork.svg import measure_svg

        return measure_svg(path, content)
    if found is ArtworkKind.PDF:
        from pipeline.artwork.pdf import measure_pdf

        return measure_pdf(path, content)
    from pipeline.artwork.pixels import measure_pixels

    return measure_pixels(path, content, found)
