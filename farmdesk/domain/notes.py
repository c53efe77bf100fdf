"""Notes and photos that people keep about a thing."""

from __future__ import annotations

from dataclasses import dataclass

from farmdesk.domain.cells import ref


@dataclass(frozen=True)
class Note:
    """Something written down about the thing with the id `subject`, with a photo or without.

    `photo` is the name of a file in the farm's folder of photos.
    """

    id: int
    subject: int
    text: str = ""
    photo: str = ""
    noted_at: str = ""
    person: int | None = ref("person", none=True)
