"""What a scanner reads on the pages of a printed sheet."""

from __future__ import annotations

from pathlib import Path

import zxingcpp
from pypdfium2 import PdfDocument

from farmdesk.devices.pictures import FORMATS

_PRINTED = [getattr(zxingcpp.BarcodeFormat, name) for name in FORMATS]
"""As scanners are set: symbologies without a check, such as ITF, are now and then seen in the bars
of others."""


def read_codes(path: Path) -> set[str]:
    """Every code on every page of a PDF file, by zxing-cpp."""
    pages = PdfDocument(str(path))
    found = {
        one.text
        for page in pages
        for one in zxingcpp.read_barcodes(page.render(scale=4).to_pil(), formats=_PRINTED)
    }
    pages.close()
    return found
