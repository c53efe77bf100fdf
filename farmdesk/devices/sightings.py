"""Which codes of a camera's frames are newly seen: each once, until it was away for a while."""

from __future__ import annotations

from collections.abc import Callable, Iterable

AWAY_SECONDS = 2.0
"""A code that frames did not show for so long has left; shorter is a blurred frame or a hand."""


class Sightings:
    """Remembers what is in the picture; `clock` gives seconds that only grow."""

    def __init__(self, clock: Callable[[], float], *, away_seconds: float = AWAY_SECONDS) -> None:
        self._clock = clock
        self._away = away_seconds
        self._gone_since: dict[str, float | None] = {}

    def look(self, texts: Iterable[str]) -> list[str]:
        """The codes of the next frame that nobody has been told of, in its order.

        Only frames count: while none is read, nothing leaves the picture.
        """
        now, here = self._clock(), list(dict.fromkeys(texts))
        new = [one for one in here if one not in self._gone_since]
        for text in [one for one in self._gone_since if one not in here]:
            since = self._gone_since[text]
            if since is None:
                self._gone_since[text] = now
            elif now - since >= self._away:
                del self._gone_since[text]
        self._gone_since.update(dict.fromkeys(here))
        return new
