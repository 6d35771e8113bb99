"""Artwork: what is measured, what is refused, and that nothing outside the shop is ever opened."""

import hashlib
import os
import struct
import sys
import zlib
from fractions import Fraction
from io import BytesIO
from pathlib import Path

import pikepdf
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from pipeline.artwork import MAX_BYTES, files, measure_artwork, read_artwork
from pipeline.model.order import Artwork, ArtworkKind
from pipeline.problems import StopRun

SVG = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
RED, WHITE, CLEAR = (200, 0, 0, 255), (255, 255, 255, 255), (255, 255, 255, 0)


def picture(border: tuple[int, int, int, int] = CLEAR, mode: str = "RGBA", kind: str = "PNG") -> bytes:
    """A red square of 20 x 10 pixels on 40 x 20."""
    image = Image.new("RGBA", (40, 20), border)
    image.paste(RED, (10, 5, 30, 15))
    out = BytesIO()
    image.convert(mode).save(out, kind)
    return out.getvalue()


def pdf(pages: int = 1, box: tuple[float, ...] = (0, 0, 90, 60), rotate: int = 0, **save: object) -> bytes:
    """A PDF of empty pages."""
    document = pikepdf.new()
    for _ in range(pages):
        page = document.add_blank_page(page_size=(box[2], box[3]))
        page.obj["/Rotate"] = rotate
    out = BytesIO()
    document.save(out, **save)
    return out.getvalue()


def measured(tmp_path: Path, name: str, content: bytes) -> Artwork:
    """The measures of a file that is fit."""
    (tmp_path / name).write_bytes(content)
    outcome = measure_artwork(tmp_path, name)
    assert outcome.problems == ()
    assert outcome.value is not None
    return outcome.value


def refused(tmp_path: Path, name: str, content: bytes | str) -> tuple[str, str]:
    """Code and message of the only problem of a file that is unfit."""
    (tmp_path / name).write_bytes(content.encode() if isinstance(content, str) else content)
    outcome = measure_artwork(tmp_path, name)
    (problem,) = outcome.problems
    assert outcome.value is None
    assert problem.hint
    return problem.code, problem.message


def test_a_png_is_measured(tmp_path: Path) -> None:
    """Hash, kind, proportions, pixels, transparency: all that the stages ask for."""
    content = picture()
    assert measured(tmp_path, "a.png", content) == Artwork(
        path="a.png",
        sha256=hashlib.sha256(content).hexdigest(),
        kind=ArtworkKind.PNG,
        aspect=Fraction(2),
        width_px=40,
        height_px=20,
        has_alpha=True,
        white_background=False,
    )


@pytest.mark.parametrize(
    ("border", "mode", "kind", "alpha", "white"),
    [
        (CLEAR, "RGBA", "PNG", True, False),
        (WHITE, "RGBA", "PNG", True, True),
        (WHITE, "RGB", "PNG", False, True),
        ((250, 248, 251, 255), "RGB", "PNG", False, True),
        ((200, 200, 200, 255), "RGB", "PNG", False, False),
        (WHITE, "L", "PNG", False, True),
        (WHITE, "P", "PNG", True, True),
        (WHITE, "RGB", "JPEG", False, True),
        (WHITE, "CMYK", "JPEG", False, True),
        (WHITE, "RGBA", "TIFF", True, True),
        (RED, "RGB", "TIFF", False, False),
    ],
)
def test_a_white_box_is_seen_in_every_mode(
    tmp_path: Path, border: tuple[int, int, int, int], mode: str, kind: str, alpha: bool, white: bool
) -> None:
    """An opaque white border prints as a box around the motif, however the file stores it."""
    name = {"PNG": "a.png", "JPEG": "a.jpg", "TIFF": "a.tif"}[kind]
    artwork = measured(tmp_path, name, picture(border, mode, kind))
    assert (artwork.has_alpha, artwork.white_background) == (alpha, white)
    assert artwork.kind == ArtworkKind(kind.lower())


@pytest.mark.parametrize("kind", ["PNG", "TIFF"])
@pytest.mark.parametrize(("grey", "white"), [(0xFFFF, True), (0x8000, False), (0x00FF, False)])
def test_a_grey_of_16_bits_is_measured_by_its_shade(tmp_path: Path, kind: str, grey: int, white: bool) -> None:
    """Pillow turns all that is lighter than 255 of 65,535 white: a dark photo would be refused as a white box."""
    out = BytesIO()
    Image.new("I;16", (40, 20), grey).save(out, kind)
    name = {"PNG": "a.png", "TIFF": "a.tif"}[kind]
    assert measured(tmp_path, name, out.getvalue()).white_background is white


@pytest.mark.parametrize(
    ("attributes", "aspect"),
    [
        ('width="90mm" height="60mm"', Fraction(3, 2)),
        ('width="1in" height="25.4mm"', Fraction(1)),
        ('width="72pt" height="96px"', Fraction(1)),
        ('width="6pc" height="1in"', Fraction(1)),
        ('width="300" height="100" viewBox="0 0 5 5"', Fraction(3)),
        ('viewBox="0 0 175, 50"', Fraction(7, 2)),
        ('width="100%" height="100%" viewBox="-5 -5 10 20"', Fraction(1, 2)),
    ],
)
def test_an_svg_has_the_proportions_that_it_says(tmp_path: Path, attributes: str, aspect: Fraction) -> None:
    """Units as CSS has them: 1 in = 96 px = 72 pt = 6 pc = 25.4 mm (CSS Values and Units, absolute lengths)."""
    artwork = measured(tmp_path, "a.svg", f"{SVG}{attributes}><path d='M0,0'/></svg>".encode())
    assert (artwork.kind, artwork.aspect, artwork.width_px) == (ArtworkKind.SVG, aspect, 0)


def test_a_pdf_has_the_proportions_of_its_page_as_it_is_seen(tmp_path: Path) -> None:
    """A turned page is measured turned."""
    assert measured(tmp_path, "a.pdf", pdf()).aspect == Fraction(3, 2)
    assert measured(tmp_path, "a.pdf", pdf(rotate=90)).aspect == Fraction(2, 3)


@pytest.mark.parametrize(
    ("inside", "words"),
    [
        ("<script>alert(1)</script>", "`script`"),
        ("<g><text>Hi</text></g>", "`text`"),
        ("<mask id='m'/>", "`mask`"),
        ("<filter id='m'/>", "`filter`"),
        ("<foreignObject/>", "`foreignObject`"),
        ("<symbol/>", "`symbol`"),
        ("<animate attributeName='x'/>", "`animate`"),
        ("<path onclick='x()' d=''/>", "a script (`onclick`)"),
        ("<image href='https://pictures.example/a.png'/>", "another file, `https://pictures.example/a.png`"),
        ("<image xlink:href='../secret.png'/>", "another file, `../secret.png`"),
        ("<use href='other.svg#a'/>", "another file"),
        ("<image href='data:image/svg+xml;base64,AAAA'/>", "another file"),
        ("<path style='fill: url(https://x.example/a)' d=''/>", "a style that refers"),
        ("<style>@import 'x.css';</style>", "a style that refers"),
        ("<style>.a { fill: url('x.svg#a') }</style>", "a style that refers"),
        ("<g opacity='0.5'><path d=''/></g>", "a transparent group"),
        ("<g style='fill:red;opacity:.5'/>", "a transparent group"),
        ("<g id='a'><use href='#b'/></g><g id='b'/><use href='#a'/>", "`use` stands again"),
        ("<g>" * 120 + "</g>" * 120, "more than 100 deep"),
    ],
)
def test_a_hostile_svg_is_refused_by_the_name_of_the_element(tmp_path: Path, inside: str, words: str) -> None:
    """The person who drew it must find the thing: its name and its line."""
    code, message = refused(tmp_path, "a.svg", f"{SVG}width='9' height='9'>\n{inside}</svg>")
    assert code == "E304"
    assert words in message
    assert "at its line 2" in message


def test_entities_are_refused_before_they_grow(tmp_path: Path) -> None:
    """A document type can define a text that doubles itself, or one that is a file of this machine."""
    bomb = "<!DOCTYPE svg [<!ENTITY a 'x'><!ENTITY b '&a;&a;'>]>" + SVG + "width='9' height='9'>&b;</svg>"
    assert refused(tmp_path, "a.svg", bomb) == ("E304", "`a.svg` holds a DOCTYPE, at its line 1")


def test_copies_of_copies_are_counted(tmp_path: Path) -> None:
    """Ten lines of `use` can draw millions of shapes."""
    shapes, copies = "<path d=''/>" * 1_000, "<use href='#a'/>" * 100
    code, message = refused(tmp_path, "a.svg", f"{SVG}width='9' height='9'><g id='a'>{shapes}</g>{copies}</svg>")
    assert (code, "draws 101,202 elements" in message) == ("E306", True)


def test_what_drawings_hold_is_allowed(tmp_path: Path) -> None:
    """Editors write notes of their own, gradients, clips, styles and embedded pictures."""
    inside = (
        "<metadata><x:note xmlns:x='urn:x' text='1'/></metadata><style>.a{fill:url(#g)}</style>"
        "<defs><linearGradient id='g'><stop offset='0'/></linearGradient><clipPath id='c'/><path id='p' d=''/></defs>"
        "<g opacity='1' clip-path='url(#c)'><use xlink:href='#p'/><image href='data:image/png;base64,AAAA'/></g>"
        "<path opacity='0.5' style=\"fill:url('#g')\" d=''/>"
    )
    assert measured(tmp_path, "a.svg", f"{SVG}width='9' height='9'>{inside}</svg>".encode()).aspect == 1


@pytest.mark.parametrize(
    ("name", "content", "code", "words"),
    [
        ("a.gif", b"GIF89a", "E303", "no kind of file that is printed"),
        ("a.png", b"", "E303", "is empty"),
        ("a.png", picture(kind="JPEG", mode="RGB"), "E303", "is a JPEG, not what its name says"),
        ("a.jpg", b"hello", "E303", "is no JPEG"),
        ("a.svg", b"hello", "E303", "is no SVG, or is cut off, at its line 1"),
        ("a.svg", b"<html/>", "E303", "is no SVG: it begins with `html`"),
        ("a.svg", f"{SVG}width='1' height='1'><g>".encode(), "E303", "cut off"),
        ("a.svg", f"{SVG}/>".encode(), "E303", "neither its width and height nor its `viewBox`"),
        ("a.svg", f"{SVG}width='0' height='1'/>".encode(), "E303", "neither"),
        ("a.png", picture()[:-30], "E303", "broken or cut off"),
        ("a.png", picture()[:20], "E303", "cut off"),
        ("a.jpg", picture(kind="JPEG", mode="RGB")[:-200], "E303", "broken or cut off"),
        ("a.pdf", pdf()[:-60], "E303", "broken or cut off"),
        ("a.pdf", b"%PDF-1.7 nothing", "E303", "broken or cut off"),
        ("a.pdf", pdf(pages=2), "E303", "has 2 pages"),
        ("a.pdf", pdf(encryption=pikepdf.Encryption(owner="o", user="u")), "E305", "is encrypted"),
        ("a.pdf", pdf(encryption=pikepdf.Encryption(owner="o", user="")), "E305", "is encrypted"),
    ],
)
def test_unreadable_files_say_why(tmp_path: Path, name: str, content: bytes, code: str, words: str) -> None:
    """The customer must be told what to send instead."""
    found, message = refused(tmp_path, name, content)
    assert found == code
    assert words in message


def test_a_picture_of_too_many_pixels_is_never_decoded(tmp_path: Path) -> None:
    """60,000 x 60,000 pixels in 100 bytes: the header alone must be enough to refuse it."""
    header = struct.pack(">IIBBBBB", 60_000, 60_000, 8, 6, 0, 0, 0)
    chunk = struct.pack(">I", 13) + b"IHDR" + header + struct.pack(">I", zlib.crc32(b"IHDR" + header))
    assert refused(tmp_path, "a.png", b"\x89PNG\r\n\x1a\n" + chunk)[0] == "E306"


def test_turned_and_several_pictures_are_refused(tmp_path: Path) -> None:
    """A camera's picture lies on its side with a note to turn it; not every program reads the note."""
    image, turned, several = Image.new("RGB", (4, 2)), BytesIO(), BytesIO()
    exif = Image.Exif()
    exif[0x0112] = 6
    image.save(turned, "JPEG", exif=exif)
    image.save(several, "TIFF", save_all=True, append_images=[image])
    assert "lying on its side" in refused(tmp_path, "a.jpg", turned.getvalue())[1]
    assert "holds 2 pictures" in refused(tmp_path, "a.tif", several.getvalue())[1]


@pytest.mark.parametrize(
    ("path", "code"),
    [
        ("../outside.png", "E302"),
        ("art/../../outside.png", "E302"),
        ("/etc/passwd", "E302"),
        ("C:/art/a.png", "E302"),
        ("art\\a.png", "E302"),
        ("art//a.png", "E302"),
        ("./art/a.png", "E302"),
        ("art/a.png\n", "E302"),
        ("art/a\u202egnp.png", "E302"),
        ("art/nul.png", "E302"),
        ("art/a.png ", "E302"),
        ("art/a.png:stream", "E302"),
        ("", "E302"),
        ("art", "E303"),
        ("art/a.png/b.png", "E301"),
        ("art/A.png", "E301"),
        ("art/b.png", "E301"),
        ("arts/a.png", "E301"),
    ],
)
@pytest.mark.parametrize("by_folder", [True, False])
def test_paths_lead_into_the_shop_or_nowhere(
    tmp_path: Path, path: str, code: str, by_folder: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Job files come from anyone. Both ways of opening (by folders, and by path for Windows) refuse the same."""
    monkeypatch.setattr(files, "_BY_FOLDER", by_folder and files._BY_FOLDER)
    shop = tmp_path / "shop"
    (shop / "art").mkdir(parents=True)
    (shop / "art" / "a.png").write_bytes(picture())
    (tmp_path / "outside.png").write_bytes(picture())
    assert measure_artwork(shop, "art/a.png").ok
    (problem,) = measure_artwork(shop, path).problems
    assert problem.code == code


def test_a_missing_file_suggests_the_nearest_path(tmp_path: Path) -> None:
    """The whole path, ready to be copied; capitals count on every system."""
    (tmp_path / "art").mkdir()
    (tmp_path / "art" / "chest.png").write_bytes(picture())
    for wrong in ("art/Chest.png", "art/chst.png", "Art/chest.png"):
        (problem,) = measure_artwork(tmp_path, wrong).problems
        assert problem.hint == "did you mean `art/chest.png`?"


@pytest.mark.skipif(sys.platform == "win32", reason="symlinks need a privilege there")
@pytest.mark.parametrize("by_folder", [True, False])
def test_no_link_is_followed(tmp_path: Path, by_folder: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """A link in the shop's folder could lead anywhere, as a file and as a folder on the way."""
    monkeypatch.setattr(files, "_BY_FOLDER", by_folder and files._BY_FOLDER)
    shop, outside = tmp_path / "shop", tmp_path / "outside"
    shop.mkdir()
    outside.mkdir()
    (outside / "a.png").write_bytes(picture())
    (shop / "a.png").symlink_to(outside / "a.png")
    (shop / "art").symlink_to(outside)
    for path in ("a.png", "art/a.png"):
        (problem,) = measure_artwork(shop, path).problems
        assert (problem.code, "is a link" in problem.message) == ("E302", True)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes there")
def test_a_pipe_does_not_make_the_program_wait(tmp_path: Path) -> None:
    """Opening a pipe waits for a writer that never comes."""
    os.mkfifo(tmp_path / "a.png")
    assert measure_artwork(tmp_path, "a.png").problems[0].code == "E303"


def test_a_file_beyond_the_limit_is_not_read(tmp_path: Path) -> None:
    """A sparse file of the limit and one byte costs nothing to make."""
    with (tmp_path / "a.png").open("wb") as stream:
        stream.truncate(MAX_BYTES + 1)
    assert measure_artwork(tmp_path, "a.png").problems[0].code == "E306"


def test_what_is_printed_is_what_was_checked(tmp_path: Path) -> None:
    """A file exchanged between check and papers stops the run."""
    artwork = measured(tmp_path, "a.png", picture())
    assert read_artwork(tmp_path, artwork) == picture()
    (tmp_path / "a.png").write_bytes(picture(RED))
    with pytest.raises(StopRun) as stopped:
        read_artwork(tmp_path, artwork)
    assert [problem.code for problem in stopped.value.problems] == ["E307"]
    (tmp_path / "a.png").unlink()
    with pytest.raises(StopRun):
        read_artwork(tmp_path, artwork)


GOOD = {
    "a.png": picture(),
    "a.jpg": picture(mode="RGB", kind="JPEG"),
    "a.tif": picture(kind="TIFF"),
    "a.pdf": pdf(),
    "a.svg": f"{SVG}width='9mm' height='9mm'><g id='a'><path d='M0,0'/></g><use href='#a'/></svg>".encode(),
}


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.sampled_from(sorted(GOOD)), st.integers(0, 10**6), st.binary(max_size=4), st.integers(0, 8))
def test_a_spoiled_file_is_fit_or_a_known_problem(
    tmp_path: Path, name: str, at: int, put: bytes, taken: int
) -> None:
    """Bytes lost or changed anywhere in a file of any kind: no exception, no endless work."""
    content = GOOD[name]
    at %= len(content)
    (tmp_path / name).write_bytes(content[:at] + put + content[at + taken :])
    outcome = measure_artwork(tmp_path, name)
    assert (outcome.value is None) == (not outcome.ok)
    assert all(problem.code in {"E303", "E304", "E305", "E306"} for problem in outcome.problems)
