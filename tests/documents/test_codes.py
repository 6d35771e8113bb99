"""Codes on paper, read back by a reader that did not write them."""

import pytest
import zxingcpp

from plugins.documents.paper import code
from tests.documents.papers import printed, raster, raster_drawing


@pytest.mark.parametrize("value", ["GS-104", "PW-2026-W49-R03", "0123456789", "a/b c#%$"])
def test_bar_codes_are_read_at_a_cheap_scanners_resolution(value: str) -> None:
    """Papers come from office printers and are read by whatever is at hand: 150 dots per inch must do."""
    found = zxingcpp.read_barcodes(raster_drawing(code.code128(value), 150))
    assert [(item.text, item.format) for item in found] == [(value, zxingcpp.BarcodeFormat.Code128)]


@pytest.mark.parametrize("value", ["R03", "https://example.org/runs/2026-W49/R03", "Löhr & Søn 漢字"])
def test_qr_codes_are_read(value: str) -> None:
    """The quiet zone belongs to the code: four modules (ISO/IEC 18004, from memory)."""
    found = zxingcpp.read_barcodes(raster_drawing(code.qr(value), 150))
    assert [item.text for item in found] == [value]


def test_both_are_read_from_a_printed_paper() -> None:
    """The way through the page must not scale a code below what a reader sees."""
    data = printed("<row><col><barcode value='GS-104'/></col><col><qr value='R03'/></col></row>").data
    assert {item.text for item in zxingcpp.read_barcodes(raster(data, 150))} == {"GS-104", "R03"}


def test_a_bar_code_without_text_is_refused() -> None:
    """Code 128 has no letters beyond ASCII; a code that reads as something else is worse than none."""
    for value in ("", "naïve"):
        with pytest.raises(ValueError, match="plain ASCII"):
            code.code128(value)


def test_a_qr_code_cannot_hold_a_book() -> None:
    """At most 2 331 bytes at this correction level (ISO/IEC 18004, version 40-M, from memory)."""
    code.qr("x" * 2331)
    with pytest.raises(ValueError, match=r".+"):
        code.qr("x" * 2332)


SSCC = "376104250021234569"


@pytest.mark.parametrize("dpi", [150, 203])
def test_a_container_code_is_read_as_gs1(dpi: int) -> None:
    """Office printer and label printer. `]C1` is how a reader says GS1-128 (ISO/IEC 15424, from memory)."""
    (found,) = zxingcpp.read_barcodes(raster_drawing(code.gs1_128(SSCC), dpi))
    assert found.symbology_identifier == "]C1"
    assert found.text == f"(00){SSCC}"
    assert found.content_type is zxingcpp.ContentType.GS1


def test_a_container_code_has_the_size_that_gs1_asks_for() -> None:
    """Start, FNC1, ten pairs of digits, check, stop: 156 bars of 0.495 mm, ten clear at both ends; 31.75 mm high."""
    drawing = code.gs1_128(SSCC)
    assert drawing.width / 72 * 25.4 == pytest.approx((156 + 20) * 0.495)
    dark = raster_drawing(drawing, 300).convert("L").point(lambda level: 255 if level < 128 else 0)
    left, top, right, bottom = dark.crop((0, 0, dark.width, round(31.75 / 25.4 * 300))).getbbox() or (0, 0, 0, 0)
    assert (bottom - top) / 300 * 25.4 == pytest.approx(31.75, abs=0.1)
    assert (right - left) / 300 * 25.4 == pytest.approx(156 * 0.495, abs=0.2)
    assert left / 300 * 25.4 >= 4.95 - 0.1


@pytest.mark.parametrize("value", ["", "37610425002123456", "37610425002123456x", "³76104250021234569"])
def test_a_container_code_is_eighteen_digits(value: str) -> None:
    """Anything else would be read as another carton, or not at all."""
    with pytest.raises(ValueError, match="18 digits"):
        code.gs1_128(value)
