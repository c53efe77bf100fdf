"""From the first start to a paid invoice and the week's export, on an empty farm, without a mouse.

Nothing is put in behind the desk's back: all that the farm holds at the end was typed or scanned.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hands import Hands
from label_reading import read_codes
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication, QFileDialog, QTableView
from week_from_csv import compare_week

from farmdesk.actions.exchange import export_farm
from farmdesk.desk.application import Desk
from farmdesk.desk.farm_steps import SAMPLE
from farmdesk.domain.cards import COLONISED, DISCARD, MOVE, OPENED, YES
from farmdesk.domain.codes import code_of
from farmdesk.domain.things import THINGS
from farmdesk.reports.check import check_farm
from farmdesk.settings.preferences import Preferences

BAGS = 6


@pytest.fixture
def hands(qtbot, tmp_path: Path) -> Iterator[Hands]:
    app = QApplication.instance()
    assert isinstance(app, QApplication)
    preferences = Preferences(theme="light", language="en", locale="en_GB")
    where = tmp_path / "farm" / "farm.sqlite"
    desk = Desk(app, str(where), preferences, tmp_path / "settings.toml")
    desk.window.resize(1280, 800)
    desk.window.show()
    qtbot.waitUntil(lambda: desk.session is not None)
    made = Hands(desk, qtbot.waitUntil)
    made.settle()
    yield made
    desk.end()
    desk.window.deleteLater()
    desk.deleteLater()


def everything(hands: Hands, kind: str, **where: object) -> list[Any]:
    with hands.desk.session.store.reading() as reading:
        return reading.all(THINGS[kind], **where)


def only(hands: Hands, kind: str, **where: object) -> Any:
    (found,) = everything(hands, kind, **where)
    return found


def test_a_first_week_without_a_mouse(
    hands: Hands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    begin(hands)
    fill_catalogue(hands)
    grow(hands, tmp_path)
    wait_and_pick(hands, tmp_path)
    pack(hands, tmp_path)
    sell(hands, tmp_path)
    take_out(hands)
    stand_at_market(hands)
    export(hands, tmp_path, monkeypatch)


def begin(hands: Hands) -> None:
    """Five questions begin a farm."""
    hands.go("Begin an empty farm of my own")
    hands.press("Space")
    hands.go("Name of the farm")
    hands.write("Otter Lane")
    hands.fill({"Time zone": "UTC"})
    hands.press("Ctrl+Return")
    hands.fill({"Weights in": "kilo", "Temperatures in": "°C", "Paper": "A4"})
    hands.press("Ctrl+Return")
    hands.fill({"Money": "EUR"})
    hands.press("Ctrl+Return")
    hands.press("Return")
    hands.scan(SAMPLE)
    hands.press("Ctrl+Return")
    hands.wait_for(lambda: hands.desk.session.store is not None)
    assert only(hands, "farm").name == "Otter Lane"


def catalogue(hands: Hands, kind: str, answers: dict[str, str]) -> None:
    """One new thing of the catalogue."""
    hands.press("Ctrl+9")
    hands.go("Kinds of thing")
    hands.press("Home")
    for _ in range(20):
        if hands.focus.currentItem().text().startswith(kind):
            break
        hands.press("Down")
    hands.press("Ctrl+N")
    hands.save(answers)


def fill_catalogue(hands: Hands) -> None:
    """What a farm of oysters for one inn needs beyond what every farm begins with."""
    strain = {"Species": "Oyster", "Code": "07", "Name": "Grey winter"}
    product = {
        "Name": "Oyster, 200 g", "Species": "Oyster", "Sold": "by the pack",
        "Net weight of a pack": "200 g", "Weight of an empty pack": "12 g",
    }  # fmt: skip
    price = {
        "Price list": "Chefs",
        "Product": "Oyster, 200 g",
        "Unit": "by the pack",
        "Price": "3.20",
    }
    catalogue(hands, "Strains", strain)
    catalogue(hands, "Crates", {"Name": "Blue 1", "Empty weight (tare)": "0.5 kg"})
    catalogue(hands, "Products", product)
    catalogue(hands, "Price lists", {"Name": "Chefs"})
    catalogue(hands, "Prices", price)
    inn = {"Name": "Harbour Inn", "Channel": "Restaurant", "Price list": "Chefs"}
    catalogue(hands, "Customers", inn)
    stall = {"Name": "Quay market", "Channel": "Market", "Price list": "Chefs"}
    catalogue(hands, "Customers", stall)


def grow(hands: Hands, folder: Path) -> None:
    """A culture, two bags of spawn, and an inoculation day to labelled blocks."""
    hands.press("Ctrl+2", "Ctrl+N")
    hands.save({"Strain": "OY07", "Where it came from": "Own tissue"})
    hands.choose_tab("Spawn")
    hands.press("Ctrl+N")
    hands.save({"Strain": "OY07", "Bags or jars": "2", "Weight of each": "1.5 kg"})
    hands.press("Alt+5")
    plan = {"Recipe": "Pellets and bran", "Blocks": str(BAGS), "Strain meant for it": "OY07"}
    hands.fill(plan)
    hands.press("Ctrl+Return")
    assert only(hands, "run").status == "planned"
    hands.press("Ctrl+Return")
    assert only(hands, "run").status == "mixed"
    for title in ("Started now", "At temperature now", "Ended now"):
        hands.go(title)
        hands.press("Space")
    hands.fill({"Probe readings, one a line": "0:00 121 °C middle", "Outcome": "passed"})
    hands.press("Ctrl+Return")
    assert only(hands, "run").status == "passed"
    spawn = everything(hands, "spawn")[0]
    hands.scan(code_of(spawn.id))
    hands.press("Ctrl+Return", "Ctrl+Return")
    assert len(everything(hands, "bag")) == BAGS
    hands.press("Ctrl+Return")
    print_labels(hands, folder / "bags.pdf")
    assert read_codes(folder / "bags.pdf") == {code_of(one.id) for one in everything(hands, "bag")}


def print_labels(hands: Hands, out: Path) -> None:
    """Keep the print dialog in front as a PDF; nobody is there to look at it."""
    hands.fill({"Label stock": "a4-3x8", "PDF file": str(out)})
    hands.go("Show it when written")
    hands.press("Space")
    hands.save()


def scan_all(hands: Hands, card: str, bags: list[Any]) -> None:
    """A card of the wall, then each bag; what is asked is meant."""
    hands.scan(code_of(only(hands, "card", act=card, retired=0).id))
    for bag in bags:
        hands.scan(code_of(bag.id))
        if hands.desk.window.strip.is_asking:
            hands.scan(code_of(only(hands, "card", act=YES).id))


def wait_and_pick(hands: Hands, folder: Path) -> None:
    """Bags move rooms by scans, are opened and picked; the crate's label is decoded."""
    bad, *bags = everything(hands, "bag")
    mould = next(one.id for one in everything(hands, "reason") if one.name == "Green mould")
    hands.scan(code_of(only(hands, "card", act=DISCARD, reason=mould).id))
    hands.scan(code_of(bad.id))
    fruiting = only(hands, "room", use="fruiting")
    hands.press("Ctrl+4")
    scan_all(hands, COLONISED, bags)
    move = only(hands, "card", act=MOVE, room=fruiting.id, shelf="")
    hands.scan(code_of(move.id))
    for bag in bags:
        hands.scan(code_of(bag.id))
    scan_all(hands, OPENED, bags)
    opened = {(one.stage, one.room, one.opened_on is not None) for one in everything(hands, "bag")}
    assert opened == {("discarded", bad.room, False), ("fruiting", fruiting.id, True)}
    hands.press("Ctrl+N")
    for bag in bags:
        hands.scan(code_of(bag.id))
    hands.scan(code_of(only(hands, "crate").id))
    hands.save({"Gross weight": "2.9 kg"})
    print_labels(hands, folder / "crate.pdf")
    pick = only(hands, "pick")
    assert pick.net_mg == 2_400_000
    assert read_codes(folder / "crate.pdf") == {code_of(pick.id)}


def pack(hands: Hands, folder: Path) -> None:
    """Ten packs from the crate by its code, and their labels."""
    pick = only(hands, "pick")
    hands.press("Ctrl+5", "Ctrl+N")
    hands.scan(code_of(pick.id))
    hands.save({"Product": "Oyster, 200 g", "Packs": "10"})
    print_labels(hands, folder / "packs.pdf")
    assert read_codes(folder / "packs.pdf") == {code_of(only(hands, "pack").id)}


def sell(hands: Hands, folder: Path) -> None:
    """Offered, ordered, promised, packed by scan, delivered, billed and paid."""
    hands.press("Ctrl+6")
    hands.choose_tab("Offer")
    hands.press("Ctrl+D")
    assert "Oyster, 200 g" in QGuiApplication.clipboard().text()
    hands.press("Ctrl+N")
    hands.save({"Customer": "Harbour Inn", "To be delivered on": "today",
                "Product": "Oyster, 200 g", "Amount": "6"})  # fmt: skip
    hands.choose_tab("Orders")
    choose_first(hands)
    hands.press("Ctrl+D")
    hands.save()
    choose_first(hands)
    hands.press("Ctrl+E")
    hands.scan(code_of(only(hands, "pack").id))
    hands.save()
    hands.fill({"Into folder": str(folder)})
    hands.go("Show them, to print them")
    hands.press("Space")
    hands.save()
    assert (folder / "I-0001.pdf").exists()
    hands.choose_tab("Invoices")
    choose_first(hands)
    hands.press("Ctrl+E")
    hands.save()
    assert only(hands, "invoice").paid_on is not None


def choose_first(hands: Hands) -> None:
    """The first row of the list in sight."""
    for _ in range(40):
        if isinstance(hands.focus, QTableView):
            break
        hands.press("Tab")
    hands.press("Home")


def take_out(hands: Hands) -> None:
    """A little of the loose mushrooms is thrown away."""
    hands.press("Ctrl+5")
    choose_first(hands)
    hands.press("End", "Del")
    hands.save({"Why": "Waste: Trimmings", "How much": "100 g"})


def stand_at_market(hands: Hands) -> None:
    """Three packs are taken along, one comes back."""
    hands.press("Ctrl+6", "Ctrl+M")
    hands.save({"Market": "Quay market", "Stand fee": "4.00"})
    hands.choose_tab("Market days")
    choose_first(hands)
    hands.press("Ctrl+R")
    hands.scan(code_of(only(hands, "pack").id))
    hands.save({"Amount": "3"})
    choose_first(hands)
    hands.press("Ctrl+E")
    hands.save({"Oyster, 200 g, 3 packs taken: came back": "1"})
    assert only(hands, "market_day").status == "closed"


def export(hands: Hands, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The week as a spreadsheet; every figure of it anew from the farm's plain tables.

    The system's own dialog for a file's name is not the desk's: its answer is given here.
    """
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(folder / "week.xlsx"), ""))
    hands.press("Ctrl+7", "Ctrl+S")
    store = hands.desk.session.store
    assert check_farm(store).is_clean
    export_farm(store, folder / "csv")
    compare_week(folder / "week.xlsx", folder / "csv")
