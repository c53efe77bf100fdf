"""The kinds of picture file that can be read."""

from __future__ import annotations

from farmdesk.wording.language import tr

ENDINGS = (".jpg", ".jpeg", ".png", ".webp", ".bmp", ".tif", ".tiff")


def picture_filter() -> str:
    """What a file dialog offers."""
    endings = " ".join(f"*{one}" for one in ENDINGS)
    return tr("Pictures ({endings});;All files (*)").format(endings=endings)
