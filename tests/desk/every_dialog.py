"""Every dialog of the desk, opened on the demo farm: add a line here with each new dialog.

A line gives a name and a function that opens the dialog and returns it; the layout, the names for
screen readers and the way of the keyboard are then tested, and its picture is taken.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory

from demo_window import each_part
from farm_window import FarmWindow
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QApplication, QDialog

from farmdesk.desk.column_dialog import ColumnDialog
from farmdesk.desk.dialogs import MessageDialog, QuestionDialog
from farmdesk.desk.life_dialog import LifeDialog
from farmdesk.desk.list_view import ListView
from farmdesk.desk.note_dialog import NoteDialog
from farmdesk.desk.offset_dialog import OffsetDialog
from farmdesk.desk.pages.cost_lines_dialog import CostLinesDialog
from farmdesk.desk.pages.lab_substrate import VesselDialog
from farmdesk.desk.photo_view import PhotoDialog
from farmdesk.desk.print_labels import LabelsDialog
from farmdesk.desk.who_works import PersonDialog, list_people
from farmdesk.domain.mixing import Vessel
from farmdesk.labels.stocks import shipped_stocks
from farmdesk.reports.notes import NoteRow, notes_about

_MARKS = str.maketrans("", "", "«»")
Opener = Callable[[FarmWindow], QDialog]


def close_dialog(dialog: QDialog, shown: FarmWindow) -> None:
    """Close a dialog and let it be dropped."""
    dialog.done(0)
    shown.settle()
    QApplication.processEvents()


def plain(text: str) -> str:
    """A title without its dots, and without the marks of the made-up language of the tests."""
    return text.translate(_MARKS).rstrip(" …")


def press(shown: FarmWindow, place: str, title: str, part: str = "") -> QDialog:
    """The dialog that a button of a page opens, with the first row of its list chosen."""
    page = shown.show(place)
    for name in each_part(page, shown):
        if part and not plain(name).startswith(part):
            continue
        for action in page.findChildren(QAction):
            owner = action.parent()
            if plain(action.text()) == title and owner.isVisible():  # type: ignore[attr-defined]
                if isinstance(owner, ListView):
                    owner.choose(lambda _row: True)
                action.trigger()
                assert shown.has_dialog(), f"{place} {name}: {title!r} opens no dialog"
                return shown.dialog()
    raise AssertionError(f"{place} {part} has no button {title!r}")


def _show(shown: FarmWindow, make: Callable[[FarmWindow], QDialog]) -> QDialog:
    dialog = make(shown)
    shown.window.open_dialog(dialog)
    shown.settle()
    return dialog


def _columns(shown: FarmWindow) -> QDialog:
    page = shown.show("catalogue")
    view = page.findChild(ListView)
    return ColumnDialog(view.look, view.table.columns, view)


def _life(shown: FarmWindow) -> QDialog:
    return LifeDialog(shown.context, shown.all("batch")[0].id)


def _noted(shown: FarmWindow) -> QDialog:
    note = next(one for one in shown.all("note") if one.photo)
    dialog = LifeDialog(shown.context, note.subject)
    dialog.tabs.setCurrentWidget(dialog.notes)
    return dialog


def _note(shown: FarmWindow) -> QDialog:
    row = NoteRow(1, "2026-03-02T10:00:00Z", "June", "Green at a corner.", "a.jpg")
    return NoteDialog(shown.context, shown.all("batch")[0].id, row)


def _photo(shown: FarmWindow) -> QDialog:
    note = next(one for one in shown.all("note") if one.photo)
    with shown.store.reading() as reading:
        rows = [one for one in notes_about(reading, note.subject) if one.photo]
    return PhotoDialog(shown.context, rows, rows[0])


def _help(shown: FarmWindow) -> QDialog:
    shown.show("today")
    shown.window.command("help_page").trigger()
    shown.settle()
    dialog = shown.window._help
    assert dialog is not None
    return dialog


def _print_list(shown: FarmWindow) -> QDialog:
    shown.show("sales").print_page()
    return shown.dialog()


def _people(shown: FarmWindow) -> QDialog:
    return PersonDialog(list_people(shown.store), None, lambda _: None)


def _labels(shown: FarmWindow) -> QDialog:
    return LabelsDialog(shown.context, shown.all("batch")[-1].name)


def _test_print(shown: FarmWindow) -> QDialog:
    return OffsetDialog(shown.context, "Bench laser", shipped_stocks()["a4-3x8"])


def _vessel(shown: FarmWindow) -> QDialog:
    return VesselDialog(shown.context, Vessel(0, ""))


def _read_in(shown: FarmWindow) -> QDialog:
    lines = [f"2026-03-02 {hour:02d}:00;{16 + hour / 10:.1f};90;800" for hour in range(24)]
    part = shown.show("rooms").show_part("climate")
    shown.settle()
    with TemporaryDirectory() as folder:
        path = Path(folder) / "shelf.csv"
        path.write_text("\n".join(["time;temp °C;rh;co2", *lines]), encoding="utf-8")
        part.choose_file = lambda: str(path)
        part.read_file()
        return shown.dialog()


def _net(shown: FarmWindow) -> QDialog:
    view = shown.show("cold_store").findChild(ListView)
    assert view.choose(lambda row: row.is_pack)
    next(one for one in view.view.actions() if plain(one.text()) == "Check net contents").trigger()
    return shown.dialog()


def _cost_lines(shown: FarmWindow) -> QDialog:
    return CostLinesDialog(shown.context, shown.all("batch")[-1].name)


_SENTENCE = (
    "This crate held 4.2 kg before and 42 kg now, ten times as much. Keep it only if the scale "
    "says so."
)

DIALOGS: dict[str, Opener] = {
    "columns": partial(_show, make=_columns),
    "life": partial(_show, make=_life),
    "life with photos": partial(_show, make=_noted),
    "note": partial(_show, make=_note),
    "photo": partial(_show, make=_photo),
    "help": _help,
    "print a list": _print_list,
    "print labels": partial(_show, make=_labels),
    "test print": partial(_show, make=_test_print),
    "vessel": partial(_show, make=_vessel),
    "read in a logger's file": _read_in,
    "net contents": _net,
    "costs of a batch": partial(_show, make=_cost_lines),
    "who works": partial(_show, make=_people),
    "question": partial(_show, make=lambda _: QuestionDialog(_SENTENCE)),
    "message": partial(
        _show, make=lambda _: MessageDialog("Not done", _SENTENCE, details="Line 1\nLine 2")
    ),
}

_BUTTONS: tuple[tuple[str, str, str], ...] = (
    ("today", "Put off", ""),
    ("lab", "New culture", ""),
    ("lab", "New spawn", "Spawn"),
    ("lab", "New heat run", "Heat runs"),
    ("lab", "Record heat", "Heat runs"),
    ("lab", "Inoculate", "Heat runs"),
    ("lab", "Measure", "Cultures"),
    ("incubation", "Walk batch", ""),
    ("incubation", "Walk room", ""),
    ("fruiting", "New pick", ""),
    ("fruiting", "Move", "Bags"),
    ("fruiting", "Discard", "Bags"),
    ("fruiting", "Weigh", "Picks"),
    ("cold_store", "Make packs", ""),
    ("cold_store", "Take out", ""),
    ("cold_store", "Put into room", ""),
    ("cold_store", "Sell", ""),
    ("cold_store", "Marking of packs", ""),
    ("sales", "New order", ""),
    ("sales", "Deliver", "Orders"),
    ("sales", "Cancel", "Orders"),
    ("sales", "Promise", "Orders"),
    ("sales", "Packing list", "Orders"),
    ("sales", "Standing orders", ""),
    ("sales", "Paid", "Invoices"),
    ("sales", "Credit note", "Invoices"),
    ("sales", "Payment", "Accounts"),
    ("sales", "Statement", "Accounts"),
    ("sales", "New market day", ""),
    ("sales", "Sell without order", ""),
    ("sales", "Pay back", "Accounts"),
    ("sales", "Take along", "Market days"),
    ("sales", "Close the day", "Market days"),
    ("cold_store", "Hold back, let go", ""),
    ("ahead", "New standing order", "Standing"),
    ("ahead", "Weeks that differ", "Standing"),
    ("ahead", "Figures of the plan", "Plan"),
    ("week", "Show", "All reports"),
    ("catalogue", "New species", ""),
    ("rooms", "Type a reading", "Climate"),
    ("rooms", "CO₂", "Climate"),
    ("costs", "Goods received", "Goods bought"),
    ("costs", "New supply", "Supplies"),
    ("costs", "Type work", "Work"),
    ("costs", "Start a clock", "Work"),
    ("costs", "New overhead", "Overhead"),
    ("costs", "Price", "Spawn and cultures"),
    ("costs", "Settings", ""),
    ("cold_store", "Rule of the sell-by day", "Shelf life"),
)
"""Place, button and tab of the dialogs that buttons open."""

DIALOGS |= {
    f"{place} {title}": partial(press, place=place, title=title, part=part)
    for place, title, part in _BUTTONS
}
