"""Codes out of a picture file or a camera's frame, for the farm without a scanner."""

from __future__ import annotations

import importlib
import math
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from farmdesk.errors import DeviceTrouble, NotUnderstood, problem

MOST_PIXELS = 89_000_000
"""A picture with more is no photo of labels; it would fill the memory."""
FORMATS = ("Code128", "QRCode", "DataMatrix", "EAN13")
_LEANINGS = (0, 30, -30, 15, -15, 45)
"""With quarter turns, which the decoder tries itself, every angle is within 8 degrees of one."""
_SHRUNK = 4096


Point = tuple[float, float]


@dataclass(frozen=True)
class PictureCode:
    """One code in a picture: its text, the name of its symbology, and where it is.

    `corners` are four points round it as shares of the picture's width and height, from the
    upper left corner of the picture as it is seen.
    """

    text: str
    symbology: str
    corners: tuple[Point, ...] = ()


@dataclass(frozen=True)
class GreyFrame:
    """One frame of a camera: a byte to a pixel, rows of `row_bytes` from above."""

    pixels: bytes
    width: int
    height: int
    row_bytes: int


def read_picture(path: Path) -> tuple[PictureCode, ...]:
    """Every code in a picture, each once, by rows; labels may lean or lie in any direction.

    Raises NotUnderstood when the file is no picture, is too large or shows no code that can be
    read, DeviceTrouble when the libraries are not installed.
    """
    decoder, image = _load_decoder(), open_upright(path, "L")
    found = _codes_in(image, decoder)
    if not found:
        raise NotUnderstood(problem("picture_without_code", name=path.name))
    return found


def read_frame(frame: GreyFrame) -> tuple[PictureCode, ...]:
    """Every code in a camera's frame, each once, by rows; () where there is none.

    Raises DeviceTrouble when the libraries are not installed.
    """
    decoder, pillow = _load_decoder(), _load("PIL.Image", "pillow")
    size = (frame.width, frame.height)
    image = pillow.frombuffer("L", size, frame.pixels, "raw", "L", frame.row_bytes, 1)
    return _codes_in(image, decoder)


def _codes_in(image: Any, decoder: Any) -> tuple[PictureCode, ...]:
    formats = [getattr(decoder.BarcodeFormat, name) for name in FORMATS]
    found: dict[str, PictureCode] = {}
    for degrees in _LEANINGS:
        turned = _leaning(image, degrees)
        for one in decoder.read_barcodes(turned, formats=formats):
            if one.text not in found:
                corners = _corners(one.position, turned, degrees, image)
                found[one.text] = PictureCode(one.text, str(one.format), corners)
    return tuple(sort_by_rows(found.values(), (image.width, image.height)))


def sort_by_rows(codes: Iterable[PictureCode], shape: Point = (1.0, 1.0)) -> list[PictureCode]:
    """In the order of reading: rows from above, each from the left; `shape` is width and height.

    A code stands in a row when it is beside one that does, no more than half a length lower, and
    under none of them.
    """
    rows: list[list[PictureCode]] = []
    for one in sorted(codes, key=lambda code: _centre(code)[1]):
        row = rows[-1] if rows else []
        is_under = any(_is_under(one, other, shape) for other in row)
        if not is_under and any(_are_beside(one, other, shape) for other in row):
            rows[-1].append(one)
        else:
            rows.append([one])
    return [one for row in rows for one in sorted(row, key=lambda code: _centre(code)[0])]


def _are_beside(one: PictureCode, other: PictureCode, shape: Point) -> bool:
    apart = abs(_centre(one)[1] - _centre(other)[1]) * shape[1]
    return apart <= max(_length(one, shape), _length(other, shape)) / 2


def _is_under(one: PictureCode, other: PictureCode, shape: Point) -> bool:
    apart = abs(_centre(one)[0] - _centre(other)[0]) * shape[0]
    return apart <= max(_length(one, shape), _length(other, shape)) / 2


def _length(code: PictureCode, shape: Point) -> float:
    """The longer side of a code in pixels."""
    points = [(x * shape[0], y * shape[1]) for x, y in code.corners]
    return max((math.dist(points[0], one) for one in points), default=0.0)


def _centre(code: PictureCode) -> Point:
    count = len(code.corners) or 1
    return sum(x for x, _ in code.corners) / count, sum(y for _, y in code.corners) / count


def _corners(position: Any, turned: Any, degrees: int, image: Any) -> tuple[Point, ...]:
    """The corners in the picture as it is seen, from those in its turned copy."""
    found = (
        position.top_left, position.top_right, position.bottom_right, position.bottom_left,
    )  # fmt: skip
    angle = math.radians(degrees)
    long_side = max(image.width, image.height)
    shrunk = min(1.0, _SHRUNK / long_side) if degrees else 1.0
    wide, tall = image.width * shrunk, image.height * shrunk
    points = []
    for one in found:
        x, y = one.x - turned.width / 2, one.y - turned.height / 2
        back_x = x * math.cos(angle) - y * math.sin(angle)
        back_y = x * math.sin(angle) + y * math.cos(angle)
        points.append((_share(back_x / wide + 0.5), _share(back_y / tall + 0.5)))
    return tuple(points)


def _share(value: float) -> float:
    return min(1.0, max(0.0, value))


def _leaning(image: Any, degrees: int) -> Any:
    """The picture itself, or a copy turned by so much, small enough to be turned quickly."""
    if not degrees:
        return image
    small = image.copy()
    small.thumbnail((_SHRUNK, _SHRUNK))
    return small.rotate(degrees, _load("PIL.Image", "pillow").Resampling.BICUBIC,
                        expand=True, fillcolor=255)  # fmt: skip


def open_upright(path: Path, mode: str) -> Any:
    """A picture file as it is seen on white, in a mode of Pillow such as "L" or "RGB".

    Raises NotUnderstood when it is no picture or too large, DeviceTrouble without the library.
    """
    pillow = _load("PIL.Image", "pillow")
    turning = _load("PIL.ImageOps", "pillow")
    try:
        with path.open("rb") as stream, pillow.open(stream) as image:
            if image.width * image.height > MOST_PIXELS:
                raise NotUnderstood(problem("picture_too_large", name=path.name))
            return _on_white(turning.exif_transpose(image), pillow).convert(mode)
    except (pillow.DecompressionBombError, pillow.DecompressionBombWarning) as trouble:
        raise NotUnderstood(problem("picture_too_large", name=path.name)) from trouble
    except (OSError, ValueError, SyntaxError) as trouble:
        reason = getattr(trouble, "strerror", None)
        told = (
            problem("picture_unreadable", name=path.name, reason=reason)
            if reason
            else problem("picture_of_no_kind", name=path.name)
        )
        raise NotUnderstood(told) from trouble


def _on_white(image: Any, pillow: Any) -> Any:
    """What is seen through becomes white: Pillow would make it black, as the bars of a code are."""
    if not image.has_transparency_data:
        return image
    white = pillow.new("RGBA", image.size, "white")
    white.alpha_composite(image.convert("RGBA"))
    return white


def _load_decoder() -> Any:
    return _load("zxingcpp", "zxing-cpp")


def _load(module: str, library: str) -> Any:
    try:
        return importlib.import_module(module)
    except ImportError as missing:
        told = problem("device_library_missing", library=library, what="pictures of codes")
        raise DeviceTrouble(told) from missing
