"""A picture file as the farm keeps it: upright, small, without what the camera wrote into it."""

from __future__ import annotations

import io
from pathlib import Path

from farmdesk.devices.pictures import open_upright
from farmdesk.domain.notes import Photo, photo_name

LONGEST_PX = 1600
"""Mould on a bag is told at this size; a telephone's picture then takes about 300 kB."""
_QUALITY = 85


def read_photo(path: Path) -> Photo:
    """A picture file as a JPEG of at most `LONGEST_PX` pixels on its longer side.

    The place and the camera that a telephone writes into a picture (EXIF) are left out.
    Raises NotUnderstood for what is no picture or too large, DeviceTrouble without the library.
    """
    image = open_upright(path, "RGB")
    image.thumbnail((LONGEST_PX, LONGEST_PX))
    image.info.clear()
    kept = io.BytesIO()
    image.save(kept, "JPEG", quality=_QUALITY, optimize=True)
    data = kept.getvalue()
    return Photo(photo_name(data), data)
