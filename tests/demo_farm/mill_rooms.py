"""What is done with the bags of the demo farm: walked, moved, opened, rested, ended."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import date, timedelta
from itertools import groupby

from mill_blocks import Block
from mill_catalogue import LOFT, ROLLERS, SHELVES, SILO, Mill
from mill_diary import Diary, need_bags

from farmdesk.actions.bags import BagAct, discard_bag, do_to_bags, find_again, spend_bag
from farmdesk.actions.base import Act
from farmdesk.actions.walks import walk
from farmdesk.domain import cards
from farmdesk.domain.bags import Bag
from farmdesk.domain.catalogue import Reason

_ROOM_OF = {"OY": ROLLERS, "LM": ROLLERS, "SH": SILO, "KO": SILO, "CH": SILO, "MA": SILO}
_CAPACITY = {ROLLERS: 165, SILO: 145}
_PINS_DAYS = 4
_TO_A_SHELF = 12
_LOSSES = (40, 61, 83, 97, 118, 139, 160, 171)
"""Days (from the first) on which a bag is not found."""


class Rooms:
    """All blocks of the farm, and the rounds through the rooms."""

    def __init__(self, diary: Diary, mill: Mill) -> None:
        self.diary = diary
        self.mill = mill
        self.chance = diary.chance("rooms")
        self.blocks: list[Block] = []
        self.reasons: dict[str, int] = {}
        self._lost: list[Block] = []

    def know_reasons(self) -> None:
        """Look up the reasons of the catalogue by their codes."""
        with self.diary.store.reading() as reading:
            self.reasons = {one.code: one.id for one in reading.all(Reason)}

    def walk(self) -> None:
        """Walk every batch in incubation: what is bad goes out, all others are fine."""
        day = self.diary.day
        for batch, blocks in _by_batch(self.blocks, lambda one: one.is_incubating):
            bad = [one for one in blocks if one.bad_on and one.bad_on <= day]
            slow = [one for one in blocks if one not in bad and _is_behind(one, blocks, day)]
            named = {one.bag: self.reasons[one.reason] for one in bad}
            lagging = {one.bag for one in slow}
            self.diary.do(
                lambda act, batch=batch, named=named, lagging=lagging: walk(
                    act, batch=batch, contaminated=named, slow=lagging
                ),
                person="tomas",
                station="incubation",
            )
            for one in bad:
                one.stage = "ended"
            for one in slow:
                one.slow_noted = True

    def mark_colonised(self) -> None:
        """Mark what is grown through."""
        day = self.diary.day
        for _, blocks in _by_batch(
            self.blocks, lambda one: one.stage == "incubating" and one.colonised_on <= day
        ):
            self._all(blocks, BagAct(cards.COLONISED))
            for one in blocks:
                one.stage = "colonised"

    def open_ripe(self) -> None:
        """Move what is grown through to its fruiting room and open it, while there is room."""
        latest = self.diary.day - timedelta(1)
        for _, blocks in _by_batch(
            self.blocks, lambda one: one.stage == "colonised" and one.colonised_on <= latest
        ):
            name = _ROOM_OF[blocks[0].code]
            standing = sum(
                one.stage in ("fruiting", "picked", "resting", "last")
                and _ROOM_OF[one.code] == name
                for one in self.blocks
            )
            going = blocks[: max(0, _CAPACITY[name] - standing)]
            if not going:
                continue
            for shelf, some in _by_shelf(going, SHELVES[name]):
                self._all(some, BagAct(cards.MOVE, room=self.mill.rooms[name], shelf=shelf))
            self._all(going, BagAct(cards.OPENED))
            for one in going:
                one.stage = "fruiting"
                one.wait_for_flush(self.chance, self.diary.day)
                self._turn_bad(one)

    def rest_and_end(self) -> None:
        """Rest what was picked, end what has given all, take out what went bad."""
        today = self.diary.day
        picked = [one for one in self.blocks if one.stage == "picked" and one.picked_on != today]
        for _, blocks in _by_batch(picked, lambda _: True):
            self._all(blocks, BagAct(cards.REST))
            for one in blocks:
                one.stage = "resting"
        for _, blocks in _by_batch(
            self.blocks, lambda one: one.stage == "last" and _days_since_pick(one, today) >= 3
        ):
            self._all(blocks, BagAct(cards.SPENT))
            for one in blocks:
                one.stage = "ended"
        for one in self.blocks:
            if one.bad_when_open and one.bad_on and one.bad_on <= today and one.stage != "ended":
                self._discard(one, self.reasons[one.reason])

    def wake(self) -> None:
        """What rests and shows pins is opened again."""
        soon = self.diary.day + timedelta(_PINS_DAYS)
        for _, blocks in _by_batch(
            self.blocks, lambda one: one.stage == "resting" and one.next_on <= soon
        ):
            self._all(blocks, BagAct(cards.OPENED))
            for one in blocks:
                one.stage = "fruiting"

    def see_pins(self) -> None:
        """What shows its first pins is noted."""
        soon = self.diary.day + timedelta(_PINS_DAYS)
        for _, blocks in _by_batch(
            self.blocks,
            lambda one: (
                one.stage == "fruiting" and not (one.flush or one.is_pinned) and one.next_on <= soon
            ),
        ):
            self._all(blocks, BagAct(cards.PINS))
            for one in blocks:
                one.is_pinned = True

    def shelve(self, blocks: Sequence[Block]) -> None:
        """New blocks are put on the shelves of the loft, half a load to a shelf."""
        for _, some in _by_batch(blocks, lambda _: True):
            for shelf, few in _by_shelf(some, SHELVES[LOFT]):
                self._all(few, BagAct(cards.MOVE, room=self.mill.rooms[LOFT], shelf=shelf))

    def lose_or_find(self, days: int) -> None:
        """Now and then a bag is not where it should be; one of them turns up again."""
        if days in _LOSSES:
            alive = [one for one in self.blocks if one.stage in ("colonised", "fruiting")]
            one = self.chance.choice(alive)
            self._discard(one, self.reasons["lost"])
            self._lost.append(one)
        if days == _LOSSES[2] + 6:
            one = self._lost[2]
            self.diary.do(
                lambda act: find_again(act, act.need(Bag, one.bag)),
                person="june",
                station="fruiting",
                confirmed=("bag_lost_found",),
            )
            one.stage = "fruiting"
            one.wait_for_flush(self.chance, self.diary.day)

    def slip(self) -> None:
        """The wrong bag is ended, and at once taken back."""
        one = self.chance.choice([one for one in self.blocks if one.stage == "fruiting"])
        self.diary.do(
            lambda act: spend_bag(act, act.need(Bag, one.bag)), person="tomas", station="fruiting"
        )
        self.diary.take_back(person="tomas", station="fruiting")

    def _turn_bad(self, one: Block) -> None:
        if one.bad_when_open:
            one.bad_on = self.diary.day + timedelta(self.chance.randint(6, 25))

    def _discard(self, one: Block, reason: int) -> None:
        self.diary.do(
            lambda act: discard_bag(act, act.need(Bag, one.bag), reason),
            person="tomas",
            station="fruiting",
        )
        one.stage = "ended"

    def _all(self, blocks: Sequence[Block], wanted: BagAct) -> None:
        def do(act: Act) -> None:
            done = do_to_bags(act, need_bags(act, [one.bag for one in blocks]), wanted)
            if done.left_out:
                raise ValueError(f"left out on {self.diary.day}: {done.left_out}")

        self.diary.do(do, person="tomas", station="fruiting")


def _by_batch(
    blocks: Iterable[Block], fits: Callable[[Block], bool]
) -> list[tuple[int, list[Block]]]:
    wanted = [one for one in blocks if fits(one)]
    return [(batch, list(some)) for batch, some in groupby(wanted, lambda one: one.batch)]


def _by_shelf(blocks: Sequence[Block], shelves: str) -> list[tuple[str, list[Block]]]:
    """Blocks of a batch by shelf: a dozen to each, the next batch where the last one ended."""
    names = shelves.split()

    def shelf_of(one: Block) -> str:
        return names[(2 * one.batch + (one.number - 1) // _TO_A_SHELF) % len(names)]

    return [(shelf, list(some)) for shelf, some in groupby(blocks, shelf_of)]


def _is_behind(one: Block, blocks: Sequence[Block], day: date) -> bool:
    """Whether a bag is seen to lag: most of its batch is grown through and it is not."""
    done = sum(other.colonised_on <= day for other in blocks)
    return one.is_slow and not one.slow_noted and 2 * done > len(blocks)


def _days_since_pick(one: Block, day: date) -> int:
    return 0 if one.picked_on is None else (day - one.picked_on).days
