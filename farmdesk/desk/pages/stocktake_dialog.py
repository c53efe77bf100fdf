"""Counting the cold store by scanning; the records are put right at the end."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from PySide6.QtWidgets import QLabel

from farmdesk.actions.stocktakes import (
    StocktakeResult,
    begin_stocktake,
    count_lot,
    drop_stocktake,
    finish_stocktake,
)
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.fields import ChoiceField, MassField, NotesField, NumberField, TextField
from farmdesk.desk.list_view import ListView
from farmdesk.desk.messages import sentence_of
from farmdesk.desk.tables import Column
from farmdesk.domain.codes import group_code, kind_of, read_code
from farmdesk.domain.stocktake import Stocktake
from farmdesk.errors import FarmdeskError, NotUnderstood, problem
from farmdesk.reports.stocktake import StocktakeRow, StocktakeView, load_stocktake
from farmdesk.wording.language import tr

EVERYWHERE = 0


def open_stocktake_dialog(context: DeskContext) -> None:
    """Go on with the count that is under way, or begin one."""
    context.workplace.read(load_stocktake, context.farm, then=partial(_open, context))


def _open(context: DeskContext, view: StocktakeView) -> None:
    if view.stocktake is not None:
        context.open_dialog(StocktakeDialog(context, view))
        return
    dialog = BeginDialog(context, view)
    dialog.saved.connect(lambda _: open_stocktake_dialog(context))
    context.open_dialog(dialog)


class BeginDialog(FormDialog):
    """Which room is counted."""

    def __init__(self, context: DeskContext, view: StocktakeView) -> None:
        super().__init__(
            tr("Stocktake"),
            sentence=tr(
                "Every lot is scanned once: a crate once, each pack once. What nobody scanned is "
                "written off at the end, as an entry that can be undone."
            ),
            save_title=tr("Begin to count"),
        )
        self._context = context
        rooms = [(EVERYWHERE, tr("everything on hand")), *view.rooms]
        self.form.add(ChoiceField("room", tr("What is counted"), rooms, value=EVERYWHERE))
        self.form.add(NotesField("note", tr("Note")))

    def save(self, values: dict[str, Any]) -> None:
        """Begin."""
        room = values["room"] or None
        action = partial(begin_stocktake, room=room, note=values["note"] or "")
        self.run(self._context.act, action)


class StocktakeDialog(FormDialog):
    """Lots with their records; every scan counts one. Finishing puts the records right."""

    def __init__(self, context: DeskContext, view: StocktakeView) -> None:
        assert view.stocktake is not None
        super().__init__(
            tr("Stocktake {name}").format(name=view.stocktake.name),
            sentence=tr(
                "Scan crates and packs. Type a lot and its weight where a crate was weighed again. "
                "Esc leaves the count open; it can be gone on with at any time."
            ),
            save_title=tr("Put the records right"),
        )
        self._context = context
        self._count = view.stocktake
        self.form.widen(724)
        formats = context.formats
        add = self.form.add
        self.lot = add(
            TextField("lot", tr("Lot"), placeholder=tr("scan, or type a code and Enter"))
        )
        self.packs = add(
            NumberField("packs", tr("Packs of it"), formats,
                        hint=tr("Empty: one pack. Below zero takes back packs scanned twice."))
        )  # fmt: skip
        self.weight = add(
            MassField("amount", tr("Weighed, without the crate"), formats,
                      hint=tr("Only if a crate was weighed again."))
        )  # fmt: skip
        self.lot.line.returnPressed.connect(self._count_typed)
        self.progress = QLabel()
        self.progress.setObjectName("title")
        self.form.add_widget(self.progress)
        self.lots = self._make_lots()
        self.form.add_widget(self.lots)
        self.drop_button = self._add_button(tr("Drop this count"), self._drop)
        self._show(view)
        self.lot.line.setFocus()

    def take_scan(self, line: str) -> bool:
        """A lot was scanned."""
        self.lot.set_value("")
        self._see(line, packs=1, amount_mg=None)
        return True

    def save(self, values: dict[str, Any]) -> None:
        """Put the records right, but for the lots that are chosen to be left."""
        if values["lot"]:
            self._count_typed()
            return
        self.saved.connect(self._say_done)
        self.run(
            self._context.act, partial(finish_stocktake, stocktake=self._count.id, leave=self._left)
        )

    # ---- counting

    def _count_typed(self) -> None:
        text = self.lot.text()
        if not text:
            return
        try:
            packs, amount = self.packs.value(), self.weight.value()
        except NotUnderstood:
            self.form.values()
            return
        self._see(text, packs=1 if packs is None else int(packs), amount_mg=amount)

    def _see(self, text: str, *, packs: int, amount_mg: int | None) -> None:
        try:
            lot = self._read(text)
        except NotUnderstood as error:
            self.lot.show_problem(sentence_of(error))
            return
        action = partial(
            count_lot, stocktake=self._count.id, lot_id=lot, packs=packs, amount_mg=amount_mg
        )
        self._context.act(action, then=self._counted, failed=self._refused, parent=self)

    def _read(self, text: str) -> int:
        wanted = text.strip().casefold()
        for row in self._view.rows:
            if row.lot.casefold() == wanted:
                return row.id
        lot = read_code(text)
        if kind_of(lot) not in ("pick", "pack"):
            raise NotUnderstood(problem("not_a_lot", text=group_code(text)))
        return lot

    def _counted(self, _: object) -> None:
        for field in (self.lot, self.packs, self.weight):
            field.set_value(None if field is not self.lot else "")
        self._context.workplace.read(load_stocktake, self._context.farm, then=self._show)

    def _refused(self, error: FarmdeskError) -> None:
        self.lot.show_problem(sentence_of(error))

    def _show(self, view: StocktakeView) -> None:
        self._view = view
        self.progress.setText(view.count_text)
        self.lots.set_rows(view.rows)

    def _make_lots(self) -> ListView:
        view = ListView(
            [
                Column("lot", tr("Lot"), width=12),
                Column("what", tr("What"), width=18),
                Column("recorded", tr("Recorded"), width=12, right=True),
                Column("counted", tr("Counted"), width=12, right=True),
                Column("state", tr("State"), width=26),
                Column("left", tr("At the end"), value=self._end_text, width=16),
                Column("room", tr("Room"), width=14),
            ],
            name=tr("Lots counted"),
            empty_text=tr("Nothing lies here by the records. Scan what you see."),
        )
        self._left: set[int] = set()
        view.add_row_action(tr("Leave as recorded"), self._leave)
        view.add_row_action(tr("Put right"), self._put_right)
        view.setMinimumHeight(220)
        return view

    def _end_text(self, row: StocktakeRow) -> str:
        if not row.is_open:
            return ""
        return tr("left as recorded") if row.id in self._left else tr("put right")

    def _leave(self, rows: list[StocktakeRow]) -> None:
        self._left |= {row.id for row in rows}
        self.lots.set_rows(self._view.rows)

    def _put_right(self, rows: list[StocktakeRow]) -> None:
        self._left -= {row.id for row in rows}
        self.lots.set_rows(self._view.rows)

    # ---- the end

    def _drop(self) -> None:
        self._context.act(
            partial(drop_stocktake, stocktake=self._count.id), then=self._dropped, parent=self
        )

    def _dropped(self, count: Stocktake) -> None:
        self._context.say(tr("{name} is dropped; nothing was changed.").format(name=count.name))
        self.reject()

    def _say_done(self, done: StocktakeResult) -> None:
        count: Callable[..., str] = self._context.formats.count
        self._context.say(
            tr("{name}: {corrected} put right, {moved} moved, {left} left as recorded.").format(
                name=done.stocktake.name,
                corrected=count(len(done.corrected), "lot", "lots"),
                moved=len(done.moved),
                left=len(done.left),
            )
        )
