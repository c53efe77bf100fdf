"""Codes out of a picture file, for the farm without a scanner."""

from __future__ import annotations

import importlib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from farmdesk.errors import DeviceTrouble, NotUnderstood, problem

MOST_PIXELS = 89_000_000
"""A picture with more is no photo of labels; it would fill the memory."""
FORMATS = ("Code128", "QRCode", "DataMatrix", "EAN13")
_LEANINGS = (0, 30, -30, 15, -15, 45)
_SHRUNK = 4096


@dataclass(frozen=True)
class PictureCode:
    """One code in a picture: its text and the name of its symbology."""

    text: str
    symbology: str


def read_picture(path: Path) -> tuple[PictureCode, ...]:
    """Every code in a picture, each once; labels may lean or lie in any direction.

    Raises NotUnderstood when the file is no picture, is too large or shows no code that can be
    read, DeviceTrouble when the libraries are not installed.
    """
    decoder, image = _load("zxingcpp", "zxing-cpp"), _open_grey(path)
    formats = [getattr(decoder.BarcodeFormat, name) for name in FORMATS]
    found: dict[str, PictureCode] = {}
    for degrees in _LEANINGS:
        turned = _leaning(image, degrees)
        for one in decoder.read_barcodes(turned, formats=formats):
            found.setdefault(one.text, PictureCode(one.text, str(one.format)))
    if not found:
        raise NotUnderstood(problem("picture_without_code", name=path.name))
    return tuple(found.values())


def _leaning(image: Any, degrees: int) -> Any:
    """The picture itself, or a copy turned by so much, small enough to be turned quickly."""
    if not degrees:
        return image
    small = image.copy()
    small.thumbnail((_SHRUNK, _SHRUNK))
    return small.rotate(degrees, _load("PIL.Image", "pillow").Resampling.BICUBIC,
                        expand=True, fillcolor=255)  # fmt: skip


def _open_grey(path: Path) -> Any:
    pillow = _load("PIL.Image", "pillow")
    turning = _load("PIL.ImageOps", "pillow")
    try:
        with path.open("rb") as stream, pillow.open(stream) as image:
            if image.width * image.height > MOST_PIXELS:
                raise NotUnderstood(problem("picture_too_large", name=path.name))
            return turning.exif_transpose(image).convert("L")
    except (pillow.DecompressionBombError, pillow.DecompressionBombWarning) as trouble:
        raise NotUnderstood(problem("picture_too_large", name=path.name)) from trouble
    except (OSError, ValueError, SyntaxError) as trouble:
        reason = getattr(trouble, "strerror", None) or "it is not a picture that can be opened"
        told = problem("picture_unreadable", name=path.name, reason=reason)
        raise NotUnderstood(told) from trouble


def _load(module: str, library: str) -> Any:
    try:
        return importlib.import_module(module)
    except ImportError as missing:
        told = problem("device_library_missing", library=library, what="pictures of codes")
        raise DeviceTrouble(told) from missing
