"""How each list of this computer looks: its columns, order, widths and groups, kept in a file."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from farmdesk.settings.whole_files import read_object, write_object

_LARGEST_FILE = 2_000_000
_MOST_LISTS = 1_000

Look = Mapping[str, object]
"""What one list remembers, by name; the list itself checks what it reads."""


class ListMemory:
    """The looks of lists by key. Without a path they last as long as the program."""

    def __init__(self, path: Path | None = None) -> None:
        self._path = path
        self._looks: dict[str, Look] = _read(path) if path is not None else {}
        self._is_changed = False

    def look(self, key: str) -> Look:
        """What is remembered of a list; empty when nothing is."""
        return self._looks.get(key, {})

    def keep(self, key: str, look: Look) -> None:
        """Remember the look of a list; an empty one forgets it."""
        if self.look(key) == look:
            return
        self._looks.pop(key, None)
        if look:
            self._looks[key] = dict(look)
        self._is_changed = True

    def save(self) -> None:
        """Write the file if something changed; raises NotWritten."""
        if not self._is_changed or self._path is None:
            return
        newest = dict(list(self._looks.items())[-_MOST_LISTS:])
        write_object(self._path, newest)
        self._is_changed = False


def _read(path: Path) -> dict[str, Look]:
    """The looks in a file; a file that cannot be read only loses looks, so it counts as empty."""
    try:
        found = read_object(path, largest=_LARGEST_FILE)
    except (OSError, ValueError, RecursionError):
        return {}
    return {key: look for key, look in found.items() if isinstance(look, dict)}
