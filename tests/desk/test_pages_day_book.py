"""The day book's page: acts in words, late and undone marks, undo of any act, older pages."""

from __future__ import annotations

from dataclasses import replace

from farm_window import FarmWindow
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from farmdesk.actions.bags import move_bag
from farmdesk.actions.base import Who
from farmdesk.actions.catalogue import save
from farmdesk.actions.inoculation import SpawnUse, inoculate
from farmdesk.actions.lab import register_spawn
from farmdesk.desk.pages.day_book import DayBookPage
from farmdesk.desk.questions import ask_farm
from farmdesk.domain.catalogue import Crate, Person
from farmdesk.reports.day_book import DayBookPage as DayBookPageOfActs
from farmdesk.reports.day_book import day_book, day_book_table

CONTROL = Qt.KeyboardModifier.ControlModifier
KG = 1_000_000


def add_crate(window: FarmWindow, name: str, **more):
    return window.act(lambda act: save(act, Crate(0, name, 500_000)), **more)


def make_batch(window: FarmWindow, bags: int = 3):
    strain = window.all("strain")[0].id
    spawn = window.act(lambda act: register_spawn(act, strain=strain, bags=1, each_mg=3 * KG))[0]
    return window.act(
        lambda act: inoculate(
            act, strain=strain, spawn=[SpawnUse(spawn.id, KG)], bags=bags, block_mg=2 * KG
        )
    )


def sentences(page: DayBookPage) -> list[str]:
    return [row.sentence for row in page.acts.table.shown_rows()]


def test_acts_stand_newest_first_in_words(farm_window: FarmWindow) -> None:
    batch = make_batch(farm_window)
    room = farm_window.all("room", use="fruiting")[0]
    bag = farm_window.all("bag")[0]
    farm_window.act(lambda act: move_bag(act, bag, room=room.id))
    page: DayBookPage = farm_window.show("day_book")
    assert sentences(page)[:2] == [
        f"{batch.name}-001 moved to {room.name}",
        f"Batch {batch.name} inoculated: 3 bags",
    ]
    assert sentences(page)[-1].startswith("Farm Heron Lane begun")


def test_any_act_is_taken_back_and_marked(farm_window: FarmWindow) -> None:
    page: DayBookPage = farm_window.show("day_book")
    add_crate(farm_window, "C1")
    add_crate(farm_window, "C2")
    page.acts.choose(lambda row: "C1" in row.sentence)
    page.acts.view.setFocus()
    QTest.keyClick(page.acts.view, Qt.Key.Key_Backspace, CONTROL)
    farm_window.settle()
    assert [one.name for one in farm_window.all("crate")] == ["C2"]
    states = {row.sentence: row.state for row in page.acts.table.shown_rows()}
    assert states["Crate C1 added"] == "taken back"
    assert "C1" in page.acts.table.row_at(0).sentence
    assert page.acts.table.row_at(0).is_undo


def test_an_act_that_others_build_on_is_refused_in_words(farm_window: FarmWindow) -> None:
    crate = add_crate(farm_window, "C1")
    farm_window.act(lambda act: save(act, replace(crate, tare_mg=600_000)))
    page: DayBookPage = farm_window.show("day_book")
    page.acts.choose(lambda row: row.sentence == "Crate C1 added")
    page.take_back(page.acts.chosen_rows())
    told = farm_window.dialog()
    assert told.sentence.text()
    told.accept()
    assert farm_window.all("crate")[0].tare_mg == 600_000


def test_what_was_written_on_a_later_day_says_so(farm_window: FarmWindow) -> None:
    add_crate(farm_window, "C9", happened_at="2026-01-05T10:00:00Z", now="2026-01-07T10:00:00Z")
    page: DayBookPage = farm_window.show("day_book")
    assert page.acts.table.row_at(0).state == "entered late"


def test_older_acts_are_read_in_pages_without_gap_or_overlap(farm_window: FarmWindow) -> None:
    for number in range(7):
        add_crate(farm_window, f"C{number}")
    seen: list[int] = []
    before: int | None = None
    for _ in range(10):
        page = ask_farm(farm_window.store, day_book, before=before, limit=3)
        seen += [line.number for line in page.lines]
        before = page.older
        if before is None:
            break
    assert seen == sorted(set(seen), reverse=True)
    assert len(seen) == 8


def test_who_did_it_is_named_in_list_and_table(farm_window: FarmWindow) -> None:
    person = farm_window.act(lambda act: save(act, Person(0, "Ines", "IN")))
    add_crate(farm_window, "C1", who=Who("Bench", person.id))
    page: DayBookPage = farm_window.show("day_book")
    assert page.acts.table.row_at(0).who == "Ines"
    table = day_book_table(DayBookPageOfActs(tuple(page.acts.table.shown_rows()), None))
    assert next(iter(table.rows))[2] == "Ines"
