"""The wall sheet of the trading farm: every line of today in its room, and none put off."""

from __future__ import annotations

from pathlib import Path

import pytest
from pypdfium2 import PdfDocument
from trading_farm import NOW, TradingFarm

from farmdesk.actions.base import Act, perform
from farmdesk.actions.catalogue import begin_farm
from farmdesk.actions.put_offs import WorkLine, put_off
from farmdesk.domain.bags import Bag, Batch
from farmdesk.domain.catalogue import Room
from farmdesk.domain.trade import Order
from farmdesk.paper.documents import PageSize
from farmdesk.paper.page_pdf import write_pages
from farmdesk.reports.rest_of_week import list_rest_of_week
from farmdesk.reports.today import list_today
from farmdesk.reports.today_rows import TodayRow
from farmdesk.reports.wall_sheet import wall_pages, wall_sheet
from farmdesk.store.farm_store import FarmStore

TUESDAY = "2026-11-24T20:00:00Z"
SUNDAY_TO_COME = "2026-11-29"


def pdf_text(store: FarmStore, folder: Path, paper: PageSize = "A4", now: str = NOW) -> str:
    """The words of the PDF, in the order in which they are read."""
    with store.reading() as reading:
        pages = wall_pages(reading, paper, now=now)
    path = folder / f"wall-{paper}.pdf"
    write_pages(pages, path, title="Wall sheet")
    document = PdfDocument(path)
    texts = [page.get_textpage().get_text_range() for page in document]
    document.close()
    return " ".join(" ".join(texts).split())


def today(store: FarmStore, now: str = NOW) -> list[TodayRow]:
    with store.reading() as reading:
        return list_today(reading, now=now)


def places(store: FarmStore, now: str = NOW) -> dict[str, list[str]]:
    """The names under each place of the first part, in order."""
    with store.reading() as reading:
        first = wall_sheet(reading, now=now).parts[0]
    return {place.title: [line.name for line in place.lines] for place in first.places}


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_the_pdf_holds_every_line_of_today(
    store: FarmStore, trading: TradingFarm, out: Path, paper: PageSize
) -> None:
    text = pdf_text(store, out, paper)
    rows = today(store)
    assert len(rows) >= 6
    for row in rows:
        assert f"{row.section}: {row.name}" in text
        assert row.what in text
        assert row.reason in text
    for told in (
        "Sunday, November 22, 2026", "Week 47", "printed Nov 22, 2026",
        "are estimates: look and decide.",
    ):  # fmt: skip
        assert told in text


def test_what_was_put_off_is_not_on_it(store: FarmStore, trading: TradingFarm, out: Path) -> None:
    (spawn,) = [row for row in today(store) if row.section == "Spawn"]
    line = WorkLine(*spawn.id, spawn.name, spawn.due or "", spawn.grade)
    assert spawn.name in pdf_text(store, out)
    perform(store, lambda act: put_off(act, [line], "2026-11-26"), now=NOW, happened_at=NOW)
    text = pdf_text(store, out)
    assert spawn.name not in text
    assert "1 put off: not on this sheet." in text
    assert spawn.name in pdf_text(store, out, now="2026-11-26T20:00:00Z")


def test_lines_stand_in_their_rooms_in_the_order_of_the_walk(
    store: FarmStore, trading: TradingFarm
) -> None:
    found = places(store)
    # Shelves is for incubation, Mist for fruiting; this farm has no room that is a lab.
    assert list(found)[:2] == ["Lab", "Shelves"]
    assert [name.split(":")[0] for name in found["Shelves"]] == ["Open", "Look at", "Noticed"]
    assert found["Packing and delivery"][0] == "Late: O-0001"
    with store.reading() as reading:
        mist = next(one for one in reading.all(Room) if one.use == "fruiting")
    later = places(store, "2026-11-25T20:00:00Z")
    assert all(name.startswith("Pick") for name in later[mist.name])
    order = [title for title in later if title in ("Lab", "Shelves", mist.name)]
    assert order == ["Lab", "Shelves", mist.name]


def test_a_batch_in_two_rooms_is_one_line_that_names_both(
    store: FarmStore, trading: TradingFarm
) -> None:
    def move_one(act: Act) -> None:
        (batch,) = [one for one in act.tx.all(Batch) if one.name == "OY01-0002"]
        bag = act.tx.all(Bag, batch=batch.id)[0]
        act.change("bag_moved", bag, room=trading.ids["Mist"])

    perform(store, move_one, now=NOW, happened_at=NOW)
    with store.reading() as reading:
        first = wall_sheet(reading, now=NOW).parts[0]
    lines = [line for place in first.places for line in place.lines if "Look at" in line.name]
    (line,) = lines
    assert line.why.endswith("; also in Mist")


def test_the_rest_of_the_week_says_its_days(
    store: FarmStore, trading: TradingFarm, out: Path
) -> None:
    def due(act: Act, day: str) -> None:
        order = act.tx.first(Order, name="O-0001")
        assert order is not None
        act.change("order_changed", order, due_on=day)

    perform(store, lambda act: due(act, "2026-11-28"), now=NOW, happened_at=NOW)
    with store.reading() as reading:
        rows = list_rest_of_week(reading, now=TUESDAY)
        waiting = {row.id for row in list_today(reading, now=TUESDAY)}
    twice = [row for row in rows if row.id in waiting and row.section != "Pick"]
    assert not twice
    assert all("2026-11-24" < (row.due or "") <= SUNDAY_TO_COME for row in rows)
    assert [row.due for row in rows] == sorted(row.due or "" for row in rows)
    (order,) = [row for row in rows if row.section == "Ship"]
    assert order.reason == "due Sat, Nov 28, 1 line"
    text = pdf_text(store, out, now=TUESDAY)
    for row in rows:
        assert f"{row.section}: {row.name}" in text
        assert row.reason in text
    assert text.index("Later this week") < text.index("due Sat, Nov 28")
    with store.reading() as reading:
        assert list_rest_of_week(reading, now=NOW) == [], "NOW is a Sunday"


def test_bags_to_be_picked_later_are_told_though_others_of_their_batch_wait(
    store: FarmStore, trading: TradingFarm
) -> None:
    with store.reading() as reading:
        (now,) = [row for row in list_today(reading, now=TUESDAY) if row.name == "LM01-0003"]
        (later,) = [
            row for row in list_rest_of_week(reading, now=TUESDAY) if row.name == "LM01-0003"
        ]
    # One bag was picked on the 17th and rests for 7 days; three were opened on the 18th.
    assert (now.due, now.grade) == ("2026-11-24", 1)
    assert (later.due, later.grade) == ("2026-11-25", 3)
    assert later.reason == "Wed, Nov 25: 3 bags opened Nov 18, 2026"


def test_where_it_is_not_told_in_which_of_two_rooms_the_sheet_names_none(
    store: FarmStore, trading: TradingFarm
) -> None:
    def take_out(act: Act) -> None:
        act.make("room_made", Room(act.next_id("room"), "Fog", "fruiting", 50))
        (batch,) = [one for one in act.tx.all(Batch) if one.name == "LM01-0003"]
        for bag in act.tx.all(Bag, batch=batch.id):
            act.change("bag_moved", bag, room=None, shelf="")

    perform(store, take_out, now=NOW, happened_at=NOW)
    found = places(store, TUESDAY)
    assert "Pick: LM01-0003" in found["Fruiting"]
    assert "Pick: LM01-0003" not in found.get("Mist", [])


def test_what_customers_owe_does_not_hang_by_the_door(
    store: FarmStore, trading: TradingFarm, out: Path
) -> None:
    december = "2026-12-04T20:00:00Z"
    rows = [row for row in today(store, december) if "unpaid" in row.reason]
    assert rows
    text = pdf_text(store, out, now=december)
    assert "unpaid" not in text
    assert not any(f"Noticed: {row.name}" in text for row in rows)
    assert "What customers owe is not on this sheet" in " ".join(text.split())


def test_an_empty_day_says_so(store: FarmStore, out: Path) -> None:
    perform(store, lambda act: begin_farm(act, name="Heron Lane"), now=NOW)
    text = pdf_text(store, out)
    assert "Nothing waits today." in text
    assert "Nothing more is known to come this week." in text
    assert "Page 1 of 1" in text
