"""A weight typed with cards: digits, a point, units, enter and clear, for hands in wet gloves."""

from __future__ import annotations

from datetime import datetime, timedelta

from farmdesk.domain import cards

LONGEST = 16


class TypedWeight:
    """What the key cards have typed so far at one bench; forgotten when its time runs out."""

    def __init__(self, life: timedelta) -> None:
        self._life = life
        self._last: datetime | None = None
        self.text = ""

    def press(self, key: str, moment: datetime, *, decimal_comma: bool) -> None:
        """Add a digit, the decimal sign or a unit; `clear` takes all of it away."""
        self.forget_old(moment)
        self._last = moment
        if key == cards.CLEAR:
            self.text = ""
            return
        sign = {cards.POINT: "," if decimal_comma else "."}.get(key, key)
        parts = self.text.split(" ") if self.text else []
        is_unit = key in cards.UNITS
        ends_in_unit = bool(parts) and parts[-1] in cards.UNITS
        glue = " " if parts and (is_unit or ends_in_unit) else ""
        if len(self.text) < LONGEST:
            self.text = f"{self.text}{glue}{sign}"

    def take(self, moment: datetime) -> str:
        """What was typed, and nothing from now on."""
        self.forget_old(moment)
        taken, self.text = self.text, ""
        return taken

    def forget_old(self, moment: datetime) -> None:
        """Let go of what was begun too long ago: its digits would spoil the next weight."""
        if self._last is not None and moment - self._last > self._life:
            self.text = ""
