"""Papers and looks of the mill that do not come every week: credits, nets, counts, notes."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

from mill_diary import Diary

from farmdesk.actions.base import Act
from farmdesk.actions.cold_store import hold_stock
from farmdesk.actions.credit_notes import CreditWish, credit_invoice
from farmdesk.actions.net_checks import check_net
from farmdesk.actions.notes import write_note
from farmdesk.actions.stocktakes import begin_stocktake, count_lot, finish_stocktake
from farmdesk.domain.bags import Batch
from farmdesk.domain.catalogue import Product, Reason
from farmdesk.domain.harvest import Pack
from farmdesk.domain.notes import Photo, photo_name
from farmdesk.domain.trade import DeliveryLine, Invoice
from farmdesk.store.sales import lots_with_stock

_TARE_MG = 14_000
_OVERFILL_MG = (9_000, 11_000, 7_000, 12_000, 8_000, 10_000, 13_000, 9_500, 8_500, 11_500, 10_500,
                7_500)  # fmt: skip
_NOTES = (
    "Bags stood a day longer on the floor than planned.",
    "Caps larger than usual, stems short: the fan was repaired the week before.",
)
_PHOTOS = (
    ("grown_white.jpg", "Ten days in: white almost everywhere."),
    ("green_corner.jpg", "Green at the lower corner. Bag tied off and taken out unopened."),
)
"""Drawn for this farm, not taken of a real one."""


def credit_bruised(diary: Diary) -> None:
    """A buyer sent a pound back, and it is taken off the newest bill."""
    diary.do(_credit, person="wren")


def check_packs(diary: Diary) -> None:
    """Packs of the newest lot are weighed before they go out."""
    diary.do(_check, person="june", station="packing")


def count_store(diary: Diary) -> None:
    """The cold store is counted; all is as it stands in the book."""
    count = diary.do(begin_stocktake, person="june", station="cold store")
    with diary.store.reading() as reading:
        lots = lots_with_stock(reading)
    for lot in lots:
        seen = lot.left if isinstance(lot, Pack) else 1
        diary.do(
            lambda act, lot=lot, seen=seen: count_lot(act, count.id, lot.id, packs=seen),
            person="june", station="cold store",
        )  # fmt: skip
    diary.do(lambda act: finish_stocktake(act, count.id), person="june", station="cold store")


def write_notes(diary: Diary) -> None:
    """What was seen at two batches, and a crate that must not go out yet."""
    diary.do(_write, person="june")
    with diary.store.reading() as reading:
        lots = lots_with_stock(reading)
    why = "the lid stood open over night: look before it goes out"
    diary.do(lambda act: hold_stock(act, lots[-1].id, why=why), person="june")


def _credit(act: Act) -> object:
    bill = max(act.tx.all(Invoice), key=lambda one: one.id)
    line = max(act.tx.all(DeliveryLine, delivery=bill.delivery), key=lambda one: one.quantity)
    back = act.tx.first(Reason, code="market_return")
    return credit_invoice(
        act, bill, [CreditWish(line.id, Decimal(1))], reason="bruised on the way",
        returned=None if back is None else back.id,
    )  # fmt: skip


def _check(act: Act) -> object:
    lot = max(act.tx.all(Pack), key=lambda one: (one.left > 0, one.id))
    labelled = act.need(Product, lot.product).pack_mg or 0
    gross = [labelled + _TARE_MG + over for over in _OVERFILL_MG[: lot.count]]
    return check_net(act, lot, gross, tare_mg=_TARE_MG, division_mg=500)


def _write(act: Act) -> object:
    newest = sorted(act.tx.all(Batch), key=lambda one: one.id)[-9:]
    written = [write_note(act, one.id, text) for one, text in zip(newest, _NOTES, strict=False)]
    for name, text in _PHOTOS:
        data = (Path(__file__).parent / name).read_bytes()
        written.append(write_note(act, newest[0].id, text, Photo(photo_name(data), data)))
    return written
