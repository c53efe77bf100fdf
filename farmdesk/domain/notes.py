"""Notes and photos that people keep about a thing."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from farmdesk.domain.cells import ref


@dataclass(frozen=True)
class Note:
    """Something written down about the thing with the id `subject`, with a photo or without.

    `photo` is the name of a picture that the farm keeps (`photo_name`).
    """

    id: int
    subject: int
    text: str = ""
    photo: str = ""
    noted_at: str = ""
    person: int | None = ref("person", none=True)


@dataclass(frozen=True)
class Photo:
    """A picture as a JPEG file's bytes, and the name it is kept under."""

    name: str
    data: bytes


def photo_name(data: bytes) -> str:
    """The name of a picture: the SHA-256 of its bytes (FIPS 180-4) and its ending.

    The same picture has the same name everywhere, and a name tells whether bytes are its own.
    """
    return f"{hashlib.sha256(data).hexdigest()}.jpg"
