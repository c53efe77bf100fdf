"""The cold store and the sales of the demo farm: orders, deliveries, bills, packs, the market."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from typing import TypeVar

from mill_catalogue import COLD, POUND, Mill
from mill_diary import Diary
from mill_lab import CRATE_STOCK
from mill_market import stand_at_market

from farmdesk.actions.base import Act
from farmdesk.actions.cold_store import remove_stock
from farmdesk.actions.deliveries import deliver
from farmdesk.actions.invoices import issue_invoice, mark_paid
from farmdesk.actions.labelling import record_printing
from farmdesk.actions.orders import cancel_order, take_order
from farmdesk.actions.packs import make_packs
from farmdesk.actions.proposals import propose_orders
from farmdesk.domain.catalogue import Product
from farmdesk.domain.harvest import Pack, Pick
from farmdesk.domain.trade import Invoice, Order
from farmdesk.store.sales import packs_with_stock, picks_with_stock

_MONDAY, _WEDNESDAY, _THURSDAY, _FRIDAY, _SATURDAY, _SUNDAY = 0, 2, 3, 4, 5, 6
_THURSDAY_BUYERS = ("ladle", "larkfoot", "noodle", "grocer")
_FRIDAY_BUYERS = ("rye", "school")
_HALF_POUND = POUND // 2
_OYSTER, _MANE, _SHARE = "Oyster punnet, 8 oz", "Lion's mane punnet, 6 oz", "Mixed share, 1 lb"
# Nearly all bills are paid, most of them in time.
_PAID_SHARE = 0.96
_UNPAID = ("2026-09-03", "2026-10-16")
"""Days whose bills nobody has paid yet."""
R = TypeVar("R")
WantedLine = tuple[int, Decimal, str, Decimal | None]


class Sales:
    """Takes orders, packs, delivers, bills, and clears out what is old."""

    def __init__(self, diary: Diary, mill: Mill) -> None:
        self.diary = diary
        self.mill = mill
        self.chance = diary.chance("sales")
        self.reasons: dict[str, int] = {}
        self._pays_on: dict[date, list[Invoice]] = {}
        self._loose = {
            product.species: product
            for product in mill.products.values()
            if product.unit == "lb" and product.species is not None
        }

    def know_reasons(self, reasons: dict[str, int]) -> None:
        """The reasons for which stock leaves, by their codes."""
        self.reasons = reasons

    def live_afternoon(self, weekday: int, *, is_eve: bool) -> None:
        """What the office does on an afternoon; on the last eve some orders stay undelivered."""
        self._book_payments()
        self.diary.wait_until("14:00")
        if weekday == _MONDAY:
            self._take_orders(_THURSDAY_BUYERS, 3)
        if weekday == _WEDNESDAY:
            self._take_orders(_FRIDAY_BUYERS, 2)
            self._pack(_SHARE, self.chance.randint(10, 16))
            self._order_shares()
            self._pack(_OYSTER, 16)
        if weekday in (_THURSDAY, _FRIDAY):
            self._deliver_due()
        if weekday == _FRIDAY:
            self._pack(_OYSTER, 26)
            self._pack(_MANE, 16)
        if weekday == _SATURDAY:
            self._stand_at_market()
        if weekday == _SUNDAY:
            self._take_home()
        if is_eve:
            self._take_orders(("ladle", "grocer"), 0)
            self._take_orders(("larkfoot", "noodle", "school"), 5)

    def clear_shelves(self) -> None:
        """What is past its shelf date is wasted; what is past its sell-by date dried or given."""
        today = self.diary.day.isoformat()
        for lot in self._lots():
            if lot.shelf_on is not None and lot.shelf_on < today:
                self._remove(lot, "spoiled" if self.chance.random() < 0.2 else "past_shelf_date")
            elif isinstance(lot, Pick) and lot.sell_by is not None and lot.sell_by < today:
                self._remove(lot, self.chance.choice(("drying", "drying", "gift")))

    def _take_orders(self, buyers: tuple[str, ...], days: int) -> None:
        """Orders of what is plentiful, due in so many days."""
        due = (self.diary.day + timedelta(days)).isoformat()
        for buyer in buyers:
            lines = self._wishes()
            if buyer == "grocer" and lines:
                lines.append((self.mill.products[_OYSTER].id, Decimal(12), "pack", None))
            if lines and (self.chance.random() < 0.85 or days in (0, 5)):
                self._order(buyer, due, lines)

    def _wishes(self) -> list[WantedLine]:
        stock: dict[int, int] = {}
        for lot in self._lots():
            if isinstance(lot, Pick):
                stock[lot.species] = stock.get(lot.species, 0) + lot.left_mg
        known = [one for one in sorted(stock) if stock[one] > 2 * POUND]
        chosen = sorted(self.chance.sample(known, min(len(known), self.chance.randint(1, 3))))
        lines: list[WantedLine] = []
        for species in chosen:
            halves = min(self.chance.randint(4, 16), max(2, stock[species] // _HALF_POUND // 2))
            product = self._loose[species]
            lines.append((product.id, Decimal(halves) / 2, "lb", None))
        return lines

    def _order_shares(self) -> None:
        due = (self.diary.day + timedelta(2)).isoformat()
        product = self.mill.products[_SHARE]
        packed = sum(
            lot.left
            for lot in self._lots()
            if isinstance(lot, Pack) and lot.product == product.id and (lot.shelf_on or "") > due
        )
        if packed:
            self._order("shares", due, [(product.id, Decimal(packed), "pack", None)])

    def _order(self, buyer: str, due: str, lines: list[WantedLine]) -> None:
        customer = self.mill.customers[buyer]
        self._do(lambda act: take_order(act, customer=customer, due_on=due, lines=lines))

    def _deliver_due(self) -> None:
        """Deliver what is due from the lots that end first, and bill it."""
        today = self.diary.day.isoformat()
        with self.diary.store.reading() as reading:
            due = [one for one in reading.all(Order, status="open") if one.due_on <= today]
        for order in due:
            with self.diary.store.reading() as reading:
                lines = propose_orders(reading, [order], on=today)[0].lines
            if not lines:
                self._do(lambda act, order=order: cancel_order(act, order, note="nothing ripe"))
                continue
            sent = self._do(
                lambda act, order=order, lines=lines: deliver(act, order, lines, is_last=True)
            )
            bill = self._do(lambda act, sent=sent: issue_invoice(act, sent))
            is_late = self.diary.day.isoformat() in _UNPAID
            if not is_late and self.chance.random() < _PAID_SHARE:
                terms = (date.fromisoformat(bill.due_on) - self.diary.day).days
                after = self.chance.randint(2, terms + 3)
                self._pays_on.setdefault(self.diary.day + timedelta(after), []).append(bill)

    def _book_payments(self) -> None:
        for bill in self._pays_on.pop(self.diary.day, []):
            self._do(lambda act, bill=bill: mark_paid(act, bill))

    def _pack(self, name: str, most: int) -> None:
        """Fill packs from the lots that end first; the mixed ones from several species."""
        product = self.mill.products[name]
        picks = self._for_packing(product)
        each = product.pack_mg or 1
        count = min(most, sum(pick.left_mg for pick in picks) // each)
        if count < 4:
            return
        amounts = _share_out(picks, count * each)

        def make(act: Act) -> Pack:
            made = make_packs(
                act,
                product=product.id,
                count=count,
                from_picks=amounts,
                room=self.mill.rooms[COLD],
            )
            record_printing(act, [made.id], [made.count], CRATE_STOCK)
            return made

        self._do(make, person="june", station="packing")

    def _for_packing(self, product: Product) -> list[Pick]:
        fresh = (self.diary.day + timedelta(5)).isoformat()
        picks = [
            lot
            for lot in self._lots()
            if isinstance(lot, Pick) and (lot.shelf_on or "") >= fresh and lot.left_mg > 200_000
        ]
        if product.species is not None:
            return [one for one in picks if one.species == product.species][:3]
        first: dict[int, Pick] = {}
        for one in picks:
            first.setdefault(one.species, one)
        return list(first.values())[:4]

    def _stand_at_market(self) -> None:
        waste = self.reasons["market_return"]
        stand_at_market(
            self.diary, self.mill, self._lots(), self._loose, chance=self.chance, waste=waste
        )

    def _take_home(self) -> None:
        """Sunday: a little for the people of the mill."""
        lots = [lot for lot in self._lots() if isinstance(lot, Pick) and lot.left_mg > 600_000]
        if lots:
            self._remove(self.chance.choice(lots), "own_use", _HALF_POUND)

    def _remove(self, lot: Pick | Pack, reason: str, amount_mg: int | None = None) -> None:
        why = self.reasons[reason]
        self._do(
            lambda act: remove_stock(act, lot.id, reason=why, amount_mg=amount_mg),
            person="june",
            station="cold store",
        )

    def _lots(self) -> list[Pick | Pack]:
        """What is on hand, earliest shelf date first."""
        with self.diary.store.reading() as reading:
            found: list[Pick | Pack] = [*picks_with_stock(reading, None)]
            for product in self.mill.products.values():
                if product.unit == "pack":
                    found += packs_with_stock(reading, product.id)
        return sorted(found, key=lambda lot: (lot.shelf_on or "9", lot.id))

    def _do(self, action: Callable[[Act], R], *, person: str = "wren", station: str = "desk") -> R:
        return self.diary.do(action, person=person, station=station)


def _share_out(picks: list[Pick], needed_mg: int) -> dict[int, int]:
    """Amounts of picks that make up what is needed: even shares, as far as each pick goes."""
    amounts: dict[int, int] = {}
    rest = needed_mg
    for at, pick in enumerate(sorted(picks, key=lambda one: one.left_mg)):
        amount = min(pick.left_mg, -(-rest // (len(picks) - at)))
        amounts[pick.id] = amount
        rest -= amount
    return amounts
