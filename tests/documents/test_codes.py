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
