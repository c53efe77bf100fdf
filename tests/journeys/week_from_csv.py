"""The week's export worked out anew from the farm's plain tables, by nothing but sums.

Written apart from the program: no report and no query of it is used. It knows what a small farm
does that buys nothing by the books and pays no wages; a figure it does not know fails.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from itertools import chain
from pathlib import Path
from typing import Any

import openpyxl
import pytest

Row = dict[str, str]
Cells = list[Any]
MG_PER_KG = 1_000_000
UNBOOKED = ("purchase", "labour", "overhead", "supply", "lab_purchase", "credit_note")
"""Tables that are empty on such a farm: growing, wages and credits are then nothing."""


def compare_week(workbook: Path, folder: Path) -> None:
    """Every row with a figure or a day, on every sheet, is what the tables say."""
    wanted = WeekOfTables(folder)
    book = openpyxl.load_workbook(workbook)
    for sheet in book:
        found = [cells for row in sheet.iter_rows(values_only=True) if (cells := figures_of(row))]
        expected = [[one for one in cells if one != ""] for cells in wanted.sheet(sheet.title)]
        assert len(found) == len(expected), (sheet.title, found, expected)
        for cells, hoped in zip(found, expected, strict=True):
            same = len(cells) == len(hoped) and all(
                one == (other if isinstance(other, str | bool) else pytest.approx(other, abs=6e-4))
                for one, other in zip(cells, hoped, strict=True)
            )
            assert same, (sheet.title, cells, hoped)


def figures_of(row: tuple[Any, ...]) -> Cells:
    """The filled cells of a row that has a figure or a day; nothing for headings and notes."""
    cells = [one.date().isoformat() if isinstance(one, datetime) else one for one in row]
    filled = [one for one in cells if one not in (None, "")]
    return filled if any(not isinstance(one, str) for one in filled) else []


class WeekOfTables:
    """The tables of an export, and the sheets that follow from them for this week."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._read: dict[str, list[Row]] = {}
        today = datetime.now(UTC).date()
        self.today = today
        self.monday = today - timedelta(today.weekday())
        assert not any(self.all(name) for name in UNBOOKED)

    def all(self, name: str) -> list[Row]:
        """The rows of a table."""
        if name not in self._read:
            with (self._folder / f"{name}.csv").open(encoding="utf-8", newline="") as file:
                self._read[name] = list(csv.DictReader(file))
        return self._read[name]

    def sheet(self, title: str) -> list[Cells]:
        """The rows with figures that a sheet must have."""
        return list(getattr(self, "sheet_" + title.lower().replace(" ", "_"))())

    # ---- what the sheets are made of

    def one(self, name: str, thing: str) -> Row:
        """A row by its id."""
        return next(row for row in self.all(name) if row["id"] == thing)

    def within(self, day: str) -> bool:
        """Whether a day or an instant lies in this week; the farm's clock is UTC."""
        return self.monday <= date.fromisoformat(day[:10]) <= self.monday + timedelta(6)

    def picks(self) -> list[Row]:
        """This week's picks."""
        return [one for one in self.all("pick") if self.within(one["picked_at"])]

    def sold(self) -> list[Row]:
        """This week's delivered lines, with customer and channel."""
        found = []
        for line in self.all("delivery_line"):
            sent = self.one("delivery", line["delivery"])
            buyer = self.one("customer", sent["customer"])
            product = self.one("product", line["product"])
            mass = int(line["count"]) * int(product["pack_mg"] or 0) or int(line["amount_mg"])
            facts = {"customer": buyer["name"], "channel": buyer["channel"], "mass": str(mass),
                     "product_name": product["name"], "order": sent["order"]}  # fmt: skip
            if self.within(sent["delivered_on"]):
                found.append({**line, **facts})
        return found

    def gone(self, use: str) -> list[Row]:
        """What left unsold this week for a use."""
        reasons = {one["id"]: one["name"] for one in self.all("reason") if one["use"] == use}
        return [
            {**one, "why": reasons[one["reason"]]}
            for one in self.all("removal")
            if one["reason"] in reasons and self.within(one["removed_at"])
        ]

    def bags(self, **wanted: str) -> list[Row]:
        """Bags whose cells are so."""
        return [
            one for one in self.all("bag") if all(one[key] == cell for key, cell in wanted.items())
        ]

    def discarded(self) -> list[Row]:
        """Bags discarded this week with the reason's own row."""
        found = [one for one in self.bags(stage="discarded") if self.within(one["stage_since"])]
        return [self.one("reason", one["reason"]) for one in found]

    def opened(self) -> int:
        """Bags opened this week."""
        return sum(bool(one["opened_on"]) and self.within(one["opened_on"]) for one in self.bags())

    def made(self) -> int:
        """Bags of the batches inoculated this week."""
        return sum(
            int(one["made"]) for one in self.all("batch") if self.within(one["inoculated_on"])
        )

    def alive(self) -> list[Row]:
        """Bags that still stand somewhere."""
        dead = ("discarded", "spent", "lost", "void")
        return [one for one in self.bags() if one["stage"] not in dead]

    @property
    def species(self) -> str:
        """The only species that was picked."""
        (found,) = {one["species"] for one in self.all("pick")}
        return self.one("species", found)["name"]

    # ---- the sheets

    def sheet_summary(self) -> Iterator[Cells]:
        """What happened, in one figure each."""
        bills = [one for one in self.all("invoice") if self.within(one["issued_on"])]
        lots = [one for one in self.all("pick") if int(one["left_mg"])]
        lots += [one for one in self.all("pack") if int(one["left"])]
        sent = {one["delivery"] for one in self.sold()}
        yield ["Picked", kg(self.picks(), "net_mg"), len(self.picks())]
        yield ["Picked the week before", 0.0]
        yield ["Delivered", kg(self.sold(), "mass"), money(self.sold(), "total"), len(sent)]
        yield ["Invoiced, tax included", money(bills, "total"), len(bills)]
        yield ["Waste", kg(self.gone("waste"), "amount_mg")]
        yield ["On hand", self._on_hand(), len(lots)]
        yield ["Blocks inoculated", self.made()]
        yield ["Blocks opened", self.opened()]
        yield ["Bags discarded", len(self.discarded())]
        yield ["of these contaminated", self._contaminated()]
        yield ["Live bags", len(self.alive())]

    def sheet_picked(self) -> Iterator[Cells]:
        """By species, then by batch and flush as the links share them."""
        whole = kg(self.picks(), "net_mg")
        yield [self.species, len(self.picks()), whole, 0.0]
        yield ["All", len(self.picks()), whole, 0.0]
        batch, shares = self._shares()
        yield [self.species, batch["name"], 1, *shares]
        yield ["All", *shares]

    def sheet_yields(self) -> Iterator[Cells]:
        """Fresh weight over dry substrate, on opened and on made blocks."""
        batch, (picked, measured, allocated) = self._shares()
        opened, made = self.opened(), int(batch["made"])
        dry = int(batch["dry_mg"]) / MG_PER_KG
        ratios = [picked / (opened * dry), picked / (made * dry)]
        days = [min(one["picked_at"][:10] for one in self.picks())] * 2
        for flush in ("1", "all"):
            yield [
                self.species, batch["name"], flush, "to date", picked, measured, allocated, 1.0,
                opened, made, opened * dry, made * dry, *ratios, *ratios, picked / opened,
                picked / made, *days,
            ]  # fmt: skip

    def sheet_stock(self) -> Iterator[Cells]:
        """What lies in the cold store, packs before crates of the same last day."""
        for pack in self.all("pack"):
            product = self.one("product", pack["product"])
            mass = int(pack["left"]) * int(product["pack_mg"]) / MG_PER_KG
            yield [pack["name"], code(pack["id"]), product["name"], pack["packed_on"], mass,
                   int(pack["left"]), *self._dates(pack), self._room(pack)]  # fmt: skip
        for pick in self.all("pick"):
            yield [pick["name"], code(pick["id"]), self.species, pick["grade"],
                   pick["picked_at"][:10], int(pick["left_mg"]) / MG_PER_KG, *self._dates(pick),
                   self._room(pick)]  # fmt: skip
        yield ["All", self._on_hand()]

    def sheet_sales(self) -> Iterator[Cells]:
        """Line by line, as each customer bought one product once."""
        for line in sorted(self.sold(), key=lambda one: one["customer"]):
            yield [line["customer"], line["product_name"], float(line["quantity"]), line["unit"],
                   kg([line], "mass"), money([line], "total")]  # fmt: skip
        yield ["All", kg(self.sold(), "mass"), money(self.sold(), "total")]

    def sheet_channels(self) -> Iterator[Cells]:
        """By channel, and how much of what is gone was sold."""
        for channel, lines in self._channels():
            paid, mass = money(lines, "total"), kg(lines, "mass")
            buyers = len({one["customer"] for one in lines})
            yield [channel, lines[0]["product_name"], buyers, mass, paid, paid / mass, 0]
        sold, picked = kg(self.sold(), "mass"), kg(self.picks(), "net_mg")
        yield ["All", sold, money(self.sold(), "total")]
        wasted, given = (kg(self.gone(use), "amount_mg") for use in ("waste", "gift"))
        gone = sold + wasted + given
        yield [self.species, picked, sold, wasted, given, sold / gone, sold / picked]

    def sheet_orders_filled(self) -> Iterator[Cells]:
        """What was asked, and how much of it came."""
        asked = self.all("order_line")
        came = {one["order_line"]: int(one["count"]) for one in self.sold() if one["order_line"]}
        shares = [min(1.0, came.get(one["id"], 0) / float(one["quantity"])) for one in asked]
        full = sum(share >= 1 for share in shares)
        mean = sum(shares) / len(shares)
        figures = [len(asked), full, mean, full / len(asked), mean]
        (buyer,) = {self.one("order", one["order"])["customer"] for one in asked}
        yield [self.one("customer", buyer)["name"], *figures]
        yield ["All", *figures]

    def sheet_margins(self) -> Iterator[Cells]:
        """Sold less fees; nothing else costs anything on this farm."""
        fees: dict[str, float] = {}
        for day in self.all("market_day"):
            channel = self.one("customer", day["customer"])["channel"]
            fees[channel] = fees.get(channel, 0.0) + float(day["fee"])
        rows = [(channel, lines, fees.get(channel, 0.0)) for channel, lines in self._channels()]
        rows.sort(key=lambda row: -money(row[1], "total"))
        for channel, lines, fee in [*rows, ("All", self.sold(), sum(fees.values()))]:
            paid, mass = money(lines, "total"), kg(lines, "mass")
            yield [channel, mass, paid, paid / mass, 0.0, 0.0, 0.0, 0.0, fee, paid - fee,
                   (paid - fee) / paid]  # fmt: skip

    def sheet_compared(self) -> Iterator[Cells]:
        """This week, nothing the week before, and the year that has just begun."""
        masses = {
            "Picked": kg(self.picks(), "net_mg"),
            "Sold": kg(self.sold(), "mass"),
            "Wasted": kg(self.gone("waste"), "amount_mg"),
            "Given away": kg(self.gone("gift"), "amount_mg"),
            "Own use": kg(self.gone("own"), "amount_mg"),
            "To drying": kg(self.gone("drying"), "amount_mg"),
        }
        paid = money(self.sold(), "total")
        amounts = {"Sold, before tax": paid, "Credited, before tax": 0, "Left after credits": paid}
        counts = {
            "Blocks inoculated": self.made(),
            "Blocks opened": self.opened(),
            "Bags discarded": len(self.discarded()),
            "of these contaminated": self._contaminated(),
        }
        for name, value in chain(masses.items(), amounts.items(), counts.items()):
            yield [name, value, 0, value]

    def sheet_waste(self) -> Iterator[Cells]:
        """What left unsold, and the bags that were discarded."""
        for one in self.gone("waste"):
            yield ["Waste", one["why"], self.species, kg([one], "amount_mg")]
        yield ["All", kg(self.gone("waste"), "amount_mg")]
        for reason in self.discarded():
            yield [reason["name"], self.species, reason["contamination"] == "1", 1]
        yield ["All", len(self.discarded())]

    def sheet_bags(self) -> Iterator[Cells]:
        """Where the live bags stand; blocks made and opened."""
        alive = self.alive()
        ((stage, room),) = {(one["stage"], one["room"]) for one in alive}
        yield [stage, self.one("room", room)["name"], len(alive)]
        yield ["All", len(alive)]
        yield [self.species, len(self.all("batch")), self.made(), self.opened()]
        yield ["All", len(self.all("batch")), self.made(), self.opened()]

    def sheet_chart_figures(self) -> Iterator[Cells]:
        """Eight weeks that end with this one."""
        weeks = [f"W{(self.monday - timedelta(7 * ago)).isocalendar().week:02d}"
                 for ago in range(7, -1, -1)]  # fmt: skip
        channels = [money(lines, "total") for _, lines in self._channels()]
        for values in ([kg(self.picks(), "net_mg")], channels):
            for week in weeks[:-1]:
                yield [week, *(0.0 for _ in values)]
            yield [weeks[-1], *values]

    # ---- shared by sheets

    def _shares(self) -> tuple[Row, list[float]]:
        """The only batch that was picked; what came of it, measured and allocated, kg."""
        bags = {one["id"]: one["batch"] for one in self.bags()}
        picks = {one["id"] for one in self.picks()}
        links = [one for one in self.all("link") if one["child"] in picks and one["parent"] in bags]
        (batch,) = {bags[one["parent"]] for one in links}
        sums = [
            kg([one for one in links if one["how"] in hows], "amount_mg")
            for hows in (("measured", "allocated"), ("measured",), ("allocated",))
        ]
        return self.one("batch", batch), sums

    def _channels(self) -> list[tuple[str, list[Row]]]:
        names = sorted({one["channel"] for one in self.sold()})
        return [(name, [one for one in self.sold() if one["channel"] == name]) for name in names]

    def _contaminated(self) -> int:
        return sum(one["contamination"] == "1" for one in self.discarded())

    def _on_hand(self) -> float:
        packs = sum(
            int(one["left"]) * int(self.one("product", one["product"])["pack_mg"])
            for one in self.all("pack")
        )
        return packs / MG_PER_KG + kg(self.all("pick"), "left_mg")

    def _dates(self, lot: Row) -> Cells:
        left = (date.fromisoformat(lot["shelf_on"]) - self.today).days
        return [lot["sell_by"], lot["shelf_on"], left]

    def _room(self, lot: Row) -> str:
        return self.one("room", lot["room"])["name"] if lot["room"] else ""


def kg(rows: list[Row], column: str) -> float:
    """A column of milligrams as kilograms."""
    return sum(int(one[column]) for one in rows) / MG_PER_KG


def money(rows: list[Row], column: str) -> float:
    """A column of amounts."""
    return float(sum((Decimal(one[column]) for one in rows), Decimal(0)))


def code(thing: str) -> str:
    """The id with its check digits (ISO 7064, MOD 97-10)."""
    return f"{thing}{98 - int(thing) * 100 % 97:02d}"
