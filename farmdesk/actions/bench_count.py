"""The running count of a bench: bags done under the card in force, and what was taken back."""

from __future__ import annotations

from collections.abc import Iterable

from farmdesk.actions.bench_answers import Answering
from farmdesk.domain.events import Entry
from farmdesk.domain.stages import ALIVE
from farmdesk.store.history import undoings_after
from farmdesk.store.transaction import Reading


class RunningCount:
    """Counts bags under one card, all in all and of each batch.

    What is taken back counts no more, whoever took it back, and what is done again counts again.
    """

    def __init__(self) -> None:
        self.bags = 0
        self.batches: dict[int, tuple[int, int]] = {}
        """By batch: bags done under this card, and live bags it had before the first was done."""
        self._acts: dict[int, tuple[int | None, int]] = {}
        self._seen = 0

    def begin(self) -> None:
        """Begin at nothing: another card is in force."""
        self.bags = 0
        self.batches.clear()
        self._acts.clear()

    def add(self, answer: Answering, number: int | None) -> tuple[int, int]:
        """Count what a scan did, by its first day book number; (done, of) for its batch."""
        batch = answer.batch
        if answer.bags and number is not None:
            self._acts[number] = (batch, answer.bags)
        self.bags += answer.bags
        if batch is None or not (answer.bags or batch in self.batches):
            return 0, 0
        if batch not in self.batches:
            ended = answer.bags if answer.stage not in ALIVE else 0
            self.batches[batch] = (0, answer.batch_alive + ended)
        return self._change(batch, answer.bags)

    def look(self, reading: Reading, last_number: int) -> None:
        """Follow what was written since by others: the desk, or another station."""
        if self._acts and last_number > self._seen:
            for number, undone in undoings_after(reading, self._seen):
                self._take_back(number, undone)
        self._seen = max(self._seen, last_number)

    def follow(self, entries: Iterable[Entry]) -> None:
        """Count down for what these entries take back, and up for what they do again."""
        for entry in entries:
            self._seen = max(self._seen, entry.number)
            if entry.undoes is not None:
                self._take_back(entry.number, entry.undoes)

    def _take_back(self, number: int, undone: int) -> None:
        known = self._acts.pop(undone, None)
        if known is None:
            return
        batch, bags = known
        self._acts[number] = (batch, -bags)
        self.bags -= bags
        if batch in self.batches:
            self._change(batch, -bags)

    def _change(self, batch: int, bags: int) -> tuple[int, int]:
        done, of = self.batches[batch]
        self.batches[batch] = (done + bags, of)
        return self.batches[batch]
