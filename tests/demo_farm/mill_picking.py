"""Picking at the demo farm: blocks that are ripe go into crates, and the crates on the scale."""

from __future__ import annotations

from fractions import Fraction
from itertools import groupby

from mill_blocks import Block
from mill_catalogue import COLD, Mill
from mill_diary import Diary, need_bags
from mill_lab import CRATE_STOCK
from mill_rooms import Rooms

from farmdesk.actions.base import Act
from farmdesk.actions.labelling import record_printing
from farmdesk.actions.picks import add_bag, correct_pick, record_pick, start_pick
from farmdesk.domain.harvest import Pick
from farmdesk.quantities.mass import amount_in, read_mass

_MOST_IN_CRATE = 9


class Picking:
    """Picks what is ripe each morning."""

    def __init__(self, diary: Diary, mill: Mill, rooms: Rooms) -> None:
        self.diary = diary
        self.mill = mill
        self.rooms = rooms
        self.chance = diary.chance("picking")
        self._crates = 0

    def pick_ripe(self, most: int = 99) -> None:
        """Pick every block that is ripe today, crate by crate."""
        for blocks in self._crate_loads()[:most]:
            self._pick(blocks)

    def pick_late_entry(self) -> None:
        """What was picked yesterday afternoon and written down only today."""
        loads = self._crate_loads()
        if loads:
            self._pick(loads[0], happened_at=self.diary.instant("16:40", days=-1))

    def correct_last(self) -> None:
        """The crate of the last pick had been left on the scale: its weight is put right."""
        with self.diary.store.reading() as reading:
            latest = reading.all(Pick, status="weighed")[-6:]
        pick = max(latest, key=lambda one: one.left_mg)
        typed = self._typed((pick.gross_mg or 0) - 120_000)
        gross = read_mass(typed).mg
        why = "A lid lay on the crate when it was weighed"
        self.diary.do(
            lambda act: correct_pick(act, pick, why=why, gross_mg=gross, typed=typed),
            person="june",
            station="cold store",
        )

    def weigh_slip(self) -> None:
        """A crate written down twice; the second is taken back."""
        loads = self._crate_loads()
        if not loads:
            return
        again = [(one, (one.stage, one.flush, one.next_on, one.picked_on)) for one in loads[0]]
        self._pick(loads[0])
        self.diary.take_back(person="june", station="fruiting")
        for one, (stage, flush, next_on, picked_on) in again:
            one.stage, one.flush, one.next_on, one.picked_on = stage, flush, next_on, picked_on

    def leave_crate_unweighed(self) -> None:
        """A crate that is filled but not weighed yet."""
        blocks = self._crate_loads()[0]
        crate = self.mill.crates[self._crates % len(self.mill.crates)].id

        def fill(act: Act) -> None:
            species = blocks[0].species.id
            pick = start_pick(act, species=species, crate=crate, room=self.mill.rooms[COLD])
            for bag in need_bags(act, [one.bag for one in blocks]):
                add_bag(act, act.need(Pick, pick.id), bag, flush=blocks[0].flush + 1)

        self.diary.do(fill, person="june", station="fruiting")

    def _crate_loads(self) -> list[list[Block]]:
        """Ripe blocks of one species and flush; small crates of two batches are put together."""
        day = self.diary.day
        ripe = [
            one
            for one in self.rooms.blocks
            if one.stage in ("fruiting", "resting") and one.next_on <= day
        ]
        ripe.sort(key=lambda one: (one.code, one.flush, one.batch, one.number))
        loads: list[list[Block]] = []
        for _, some in groupby(ripe, lambda one: (one.code, one.flush)):
            batches = [list(part) for _, part in groupby(some, lambda one: one.batch)]
            if len(batches) > 1 and len(batches[0]) + len(batches[1]) <= _MOST_IN_CRATE:
                batches[:2] = [batches[0] + batches[1]]
            for blocks in batches:
                loads += [
                    blocks[at : at + _MOST_IN_CRATE] for at in range(0, len(blocks), _MOST_IN_CRATE)
                ]
        return loads

    def _pick(self, blocks: list[Block], happened_at: str | None = None) -> None:
        net = sum(one.give(self.chance) for one in blocks)
        crate = self.mill.crates[self._crates % len(self.mill.crates)]
        self._crates += 1
        flush = blocks[0].flush + 1
        grade = "B" if self.chance.random() < 0.08 * flush else "A"
        typed = self._typed(net + crate.tare_mg)

        def record(act: Act) -> Pick:
            pick = record_pick(
                act,
                bags=[one.bag for one in blocks],
                gross_mg=read_mass(typed).mg,
                crate=crate.id,
                grade=grade,
                flush=flush,
                typed=typed,
                room=self.mill.rooms[COLD],
            )
            record_printing(act, [pick.id], [1], CRATE_STOCK)
            return pick

        self.diary.do(record, person="june", station="fruiting", happened_at=happened_at)
        for one in blocks:
            one.flush = flush
            one.picked_on = self.diary.day
            one.stage = "last" if flush >= one.flushes else "picked"
            one.wait_for_flush(self.chance, self.diary.day)

    def _typed(self, gross_mg: int) -> str:
        """A weight as it is typed: mostly pounds and ounces, at times kilograms or grams."""
        kind = self.chance.random()
        if kind < 0.15:
            return f"{gross_mg / 1_000_000:.2f} kg"
        if kind < 0.2 and gross_mg < 1_000_000:
            return f"{round(gross_mg / 1000)} g"
        tenths = round(amount_in(gross_mg, "oz") * Fraction(10))
        pounds, rest = divmod(tenths, 160)
        return f"{pounds} lb {rest // 10}.{rest % 10} oz"
