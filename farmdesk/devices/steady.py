"""A steady weight out of a stream of readings: marked steady by the scale, or equal often enough.

Taken once, it stays as it is until `start_over`; what the scale says later does not change it.
Nor is the load that was taken, and still stands on the scale, taken a second time.
"""

from __future__ import annotations

from farmdesk.devices.readings import Reading

EQUAL_READINGS = 5
"""So many readings in a row within one division are steady (common practice, no source)."""


class SteadyWatch:
    """Watches one scale; `taken` is the frozen reading, None while there is none."""

    def __init__(self, equal: int = EQUAL_READINGS) -> None:
        self.taken: Reading | None = None
        self._equal = max(2, equal)
        self._run: list[Reading] = []
        self._left_on: Reading | None = None

    def offer(self, reading: Reading) -> Reading | None:
        """The reading just taken, or None: not steady yet, an empty scale, or already taken."""
        if self.taken is not None:
            return None
        self._notice_taken_off(reading)
        if reading.stable is False or reading.mg == 0:
            self._run = []
            return None
        if not reading.stable and not self._is_long_enough(reading):
            return None
        if self._is_left_on(reading):
            return None
        self.taken = reading
        self._run = []
        return reading

    def interrupt(self, *, load_gone: bool = False) -> None:
        """Forget the run: something between two readings was none."""
        self._run = []
        if load_gone:
            self._left_on = None

    def start_over(self, *, same_load: bool = False) -> None:
        """Let go of the taken reading and watch for the next load, or `same_load` once more."""
        self._left_on = None if same_load else self.taken or self._left_on
        self.taken = None
        self._run = []

    def _notice_taken_off(self, reading: Reading) -> None:
        if self._left_on is not None and reading.mg * 2 < self._left_on.mg:
            self._left_on = None

    def _is_left_on(self, reading: Reading) -> bool:
        left = self._left_on
        return left is not None and abs(reading.mg - left.mg) <= 2 * left.division_mg + 1

    def _is_long_enough(self, reading: Reading) -> bool:
        run = [*self._run, reading][-self._equal :]
        while run and not _agree(run):
            run.pop(0)
        self._run = run
        return len(run) == self._equal


def _agree(run: list[Reading]) -> bool:
    """All in one unit, all net or all gross, and no two further apart than one division."""
    masses = [one.mg for one in run]
    kinds = {(one.unit, one.net, one.division_mg) for one in run}
    # Rounding each to the milligram may add one to the step between neighbours.
    return len(kinds) == 1 and max(masses) - min(masses) <= run[0].division_mg + 1
