"""What a scanner reads on the pages of a printed sheet."""

from __future__ import annotations

from pathlib import Path

import zxingcpp
from pypdfium2 import PdfDocument


def read_codes(path: Path) -> set[str]:
    """Every code on every page of a PDF file, by zxing-cpp."""
    pages = PdfDocument(str(path))
    found = {
        one.text for page in pages for one in zxingcpp.read_barcodes(page.render(scale=4).to_pil())
    }
    pages.close()
    return found
