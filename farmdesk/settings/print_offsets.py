"""How far each printer of this computer misses on each label stock, kept in a file."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from pathlib import Path

from farmdesk.settings.whole_files import read_object, write_object

_LARGEST_FILE = 1_000_000
MOST_UM = 15_000
"""A printer that misses by more than this is set up wrongly; no correction is kept for it."""


@dataclass(frozen=True)
class Offset:
    """How far everything is moved on paper before it is printed, micrometres."""

    right_um: int = 0
    down_um: int = 0


class PrintOffsets:
    """Corrections by printer and stock. Without a path they last as long as the program."""

    def __init__(self, path: Path | None = None) -> None:
        self._path = path
        self._kept = _read(path) if path is not None else {}

    def find(self, printer: str, stock: str) -> Offset:
        """The correction for a stock on a printer; none at all when it was never measured."""
        return self._kept.get(_key(printer, stock), Offset())

    def keep(self, printer: str, stock: str, offset: Offset) -> None:
        """Keep a correction for good; a zero one forgets it. Raises NotWritten."""
        kept = {**self._kept, _key(printer, stock): offset}
        kept = {key: one for key, one in kept.items() if one != Offset()}
        if self._path is not None:
            write_object(self._path, {key: asdict(one) for key, one in kept.items()})
        self._kept = kept


def _key(printer: str, stock: str) -> str:
    return f"{printer}\n{stock}"


def _read(path: Path) -> dict[str, Offset]:
    """What can be used of the file; one that cannot be read only loses corrections."""
    try:
        found = read_object(path, largest=_LARGEST_FILE)
    except (OSError, ValueError, RecursionError):
        return {}
    return {
        key: Offset(**one)
        for key, one in found.items()
        if isinstance(one, dict)
        and set(one) == {"right_um", "down_um"}
        and all(type(um) is int and abs(um) <= MOST_UM for um in one.values())
    }
