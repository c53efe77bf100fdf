"""Grow the demo farm through the program's own acts and export it: grow.py OUT_DIR."""

from __future__ import annotations

import argparse
import tempfile
from datetime import date, timedelta
from pathlib import Path

from mill_catalogue import begin_mill
from mill_climate import read_rooms
from mill_diary import Diary
from mill_lab import PLAN, Lab
from mill_market import note_next
from mill_office import keep_books
from mill_papers import check_packs, count_store, credit_bruised, write_notes
from mill_picking import Picking
from mill_plans import note_plans
from mill_rooms import Rooms
from mill_sales import Sales

from farmdesk.actions.exchange import export_farm
from farmdesk.store.farm_store import FarmStore, open_farm

LAST_DAY = date(2026, 11, 19)
WEEKS = 26
SEED = 40_817
MONDAY, TUESDAY, WEDNESDAY, THURSDAY, FRIDAY, SATURDAY, SUNDAY = range(7)


class Mill:
    """The people of the mill and what each does on a day of the week."""

    def __init__(self, store: FarmStore) -> None:
        self.diary = Diary(store, SEED)
        self.diary.open_day(LAST_DAY - timedelta(weeks=WEEKS))
        self.diary.wait_until("09:00")
        self.known = known = begin_mill(self.diary)
        self.lab = Lab(self.diary, known)
        self.rooms = Rooms(self.diary, known)
        self.picking = Picking(self.diary, known, self.rooms)
        self.sales = Sales(self.diary, known)
        self.rooms.know_reasons()
        self.sales.know_reasons(self.rooms.reasons)
        self.diary.wait_until("13:00")
        self.lab.stock_up()

    def live_day(self, days: int) -> None:
        """One day of the mill, from the first pick to the last paper."""
        weekday = self.diary.day.weekday()
        self._morning(days)
        self._forenoon(weekday)
        self._afternoon(days, weekday)

    def live_last_morning(self) -> None:
        """The last day has only begun: two crates are weighed, a third is being filled."""
        self.diary.wait_until("05:40")
        self.picking.pick_ripe(most=2)
        self.picking.leave_crate_unweighed()

    def _morning(self, days: int) -> None:
        self.diary.wait_until("07:10")
        if days in (74, 127):
            self.picking.pick_late_entry()
        if days in (58, 133):
            self.picking.weigh_slip()
        self.picking.pick_ripe()
        if days in (66, 141):
            self.picking.correct_last()
        self.rooms.lose_or_find(days)
        if days in (49, 103, 151):
            self.rooms.slip()

    def _forenoon(self, weekday: int) -> None:
        if weekday == TUESDAY and self.lab.week < len(PLAN):
            blocks = self.lab.inoculate()
            self.rooms.blocks += blocks
            self.rooms.shelve(blocks)
        if weekday in (WEDNESDAY, SATURDAY):
            self.diary.wait_until("09:30")
            self.rooms.walk()
            self.rooms.mark_colonised()
        if weekday in (MONDAY, WEDNESDAY, FRIDAY):
            self.rooms.rest_and_end()
        if weekday in (MONDAY, THURSDAY):
            self.rooms.wake()
            self.rooms.see_pins()
            self.rooms.open_ripe()

    def _afternoon(self, days: int, weekday: int) -> None:
        self.diary.wait_until("13:10")
        if weekday == MONDAY:
            self.sales.clear_shelves()
        if weekday == THURSDAY:
            self.lab.tend()
        is_eve = days == WEEKS * 7 - 1
        if is_eve:
            self.lab.leave_run_held()
            self.lab.leave_run_mixed()
        self.sales.live_afternoon(weekday, is_eve=is_eve)
        if weekday == MONDAY and self.lab.week < len(PLAN):
            self.lab.heat()
        if days == WEEKS * 7 - 11:
            credit_bruised(self.diary)
        if weekday == FRIDAY and days > WEEKS * 7 - 7:
            check_packs(self.diary)
        if days == WEEKS * 7 - 4:
            count_store(self.diary)
        if is_eve:
            write_notes(self.diary)
            saturday = self.diary.day + timedelta((SATURDAY - weekday) % 7 or 7)
            note_next(self.diary, self.known, saturday.isoformat())
            note_plans(self.diary, self.known)
            self.diary.wait_until("15:00")
            read_rooms(self.diary, self.known)
            keep_books(self.diary)


def grow_farm(store: FarmStore) -> None:
    """Live all days of the demo farm in an empty store."""
    mill = Mill(store)
    first = mill.diary.day
    for days in range(1, WEEKS * 7):
        mill.diary.open_day(first + timedelta(days))
        mill.live_day(days)
    mill.diary.open_day(LAST_DAY)
    mill.live_last_morning()


def main() -> None:
    """Grow the farm in a file that is thrown away, and leave its CSV."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("out", type=Path, help="folder for the CSV files, such as demo_db")
    wanted = parser.parse_args()
    with tempfile.TemporaryDirectory() as place:
        store = open_farm(Path(place) / "demo.sqlite", make=True)
        try:
            grow_farm(store)
            moved = export_farm(store, wanted.out)
        finally:
            store.close()
    print(f"{moved.files} files, {moved.rows} rows in {wanted.out}")


if __name__ == "__main__":
    main()
