"""GS1-128, GS1 DataMatrix and QR symbols as rows of modules; zxing-cpp draws them."""

from __future__ import annotations

import importlib
from functools import lru_cache
from typing import Any

import numpy as np

from farmdesk.errors import Refused, problem

LONGEST_DATA = 48
"""Characters of a GS1-128 symbol with identifiers and separators (GenSpecs 5.4.4)."""

KINDS = {"gs1_128": "Code128", "gs1_datamatrix": "DataMatrix", "qr": "QRCode"}


@lru_cache(maxsize=256)
def symbol_rows(kind: str, text: str) -> tuple[str, ...]:
    """The symbol's modules row by row, `1` dark and `0` light, without quiet zones.

    `kind` is 'gs1_128' or 'gs1_datamatrix' for element strings with bracketed identifiers, or
    'qr' for any text such as a Digital Link. GS1-128 has one row. Raises Refused
    ('symbol_not_possible').
    """
    zxing: Any = importlib.import_module("zxingcpp")
    is_gs1 = kind != "qr"
    try:
        made = zxing.create_barcode(text, getattr(zxing.BarcodeFormat, KINDS[kind]), gs1=is_gs1)
        image = zxing.write_barcode_to_image(made, scale=1, add_hrt=False, add_quiet_zones=False)
    except (ValueError, RuntimeError) as trouble:
        raise Refused(problem("symbol_not_possible", text=text[:60])) from trouble
    dark = np.array(image) < 128
    if kind == "gs1_128":
        middle = dark.shape[0] // 2
        dark = dark[middle : middle + 1]
    return tuple("".join("1" if one else "0" for one in row) for row in dark)
