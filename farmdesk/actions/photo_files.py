"""The photos of a farm as files beside its CSV tables."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from farmdesk.domain.events import Entry
from farmdesk.domain.notes import Photo, photo_name
from farmdesk.errors import Refused, problem
from farmdesk.paper.safe_files import write_safely
from farmdesk.store.photos import all_photos
from farmdesk.store.transaction import Reading

FOLDER = "photos"


def write_photo_files(reading: Reading, folder: Path) -> int:
    """Write every photo into the folder `photos` of a folder; returns how many there are.

    Raises NotWritten when the disk or the folder says no. A file that holds its picture already
    is left alone: it may be open elsewhere, which forbids replacing it on Windows.
    """
    done = 0
    for photo in all_photos(reading):
        place = folder / FOLDER
        place.mkdir(exist_ok=True)
        if _name_of_file(place / photo.name) != photo.name:
            with write_safely(place / photo.name) as draft:
                draft.write_bytes(photo.data)
        done += 1
    return done


def need_photo_files(folder: Path, entries: Iterable[Entry]) -> list[str]:
    """The names of the photos that a day book tells of.

    Raises Refused when a file of them is missing in the folder.
    """
    cells = (one for entry in entries if entry.thing == "note" for one in _states(entry))
    names = sorted({str(one["photo"]) for one in cells if one.get("photo")})
    for name in names:
        if Path(name).name != name or not (folder / FOLDER / name).is_file():
            raise Refused(problem("import_photo_missing", file=f"{FOLDER}/{name}"))
    return names


def read_photo_files(folder: Path, names: Iterable[str]) -> Iterator[Photo]:
    """These photos, one at a time; Refused when a file is not the picture that its name says."""
    for name in names:
        try:
            data = (folder / FOLDER / name).read_bytes()
        except OSError as error:
            reason = error.strerror or str(error)
            told = problem("import_unreadable", file=f"{FOLDER}/{name}", reason=reason)
            raise Refused(told) from error
        if photo_name(data) != name:
            raise Refused(problem("import_photo_changed", file=f"{FOLDER}/{name}"))
        yield Photo(name, data)


def _name_of_file(path: Path) -> str:
    """The name that a file's picture has by what it holds; '' when it cannot be read."""
    try:
        return photo_name(path.read_bytes())
    except OSError:
        return ""


def _states(entry: Entry) -> Iterator[dict[str, object]]:
    for cells in (entry.before, entry.after):
        if cells is not None:
            yield dict(cells)
