"""A lot is held back, so that nothing of it is packed or sold for now."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from farmdesk.actions.base import Act
from farmdesk.actions.cold_store import hold_stock, release_stock
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.fields import TextField
from farmdesk.reports.cold_store_lists import LotRow
from farmdesk.wording.language import tr


class HoldDialog(FormDialog):
    """Asks why lots are held back."""

    def __init__(self, context: DeskContext, rows: Sequence[LotRow]) -> None:
        super().__init__(
            tr("Hold back"),
            sentence=tr(
                "{lots}: nothing of it is packed, promised or sold until it is let go. Waste may"
                " still be taken out."
            ).format(lots=", ".join(one.lot for one in rows)),
            save_title=tr("Hold back"),
        )
        self.form.add(TextField("why", tr("Why"), required=True, placeholder=tr("green spot seen")))
        ids = [one.id for one in rows]
        self.on_save = lambda values: self.run(context.act, partial(_hold, ids=ids, **values))


def release(act: Act, *, ids: Sequence[int]) -> None:
    """Let lots go again."""
    for one in ids:
        release_stock(act, one)


def _hold(act: Act, *, ids: Sequence[int], why: str) -> None:
    for one in ids:
        hold_stock(act, one, why=why)
