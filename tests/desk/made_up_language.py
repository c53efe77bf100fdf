"""Walks every part, dialog and report of the demo farm in a made-up language; run as a program.

In that language each text that is translated stands between « and ». What shows a bare code of the
farm, such as `incubating`, was never put into words. Prints a line for each; the last line says how
many texts were seen, and whether codes put there on purpose were found.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
_HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(_HERE), str(_HERE.parent), str(_HERE.parent.parent)]

from farmdesk.wording import language  # noqa: E402


class MadeUp:
    """A catalogue that only marks what it is asked for."""

    def gettext(self, message: str) -> str:
        """The text between marks."""
        return f"«{message}»" if message.strip() else message

    def ngettext(self, one: str, many: str, number: int) -> str:
        """The form for a number, between marks."""
        return self.gettext(one if number == 1 else many)


language._Spoken.catalogue = MadeUp()  # before the desk: its modules translate as they are loaded

from demo_window import each_part, open_demo  # noqa: E402
from every_dialog import DIALOGS, close_dialog  # noqa: E402
from farm_window import FarmWindow  # noqa: E402
from PySide6.QtCore import QModelIndex, Qt  # noqa: E402
from PySide6.QtWidgets import (  # noqa: E402
    QAbstractButton,
    QAbstractItemView,
    QApplication,
    QComboBox,
    QHeaderView,
    QLabel,
    QLineEdit,
    QListWidget,
    QTableWidget,
    QTableWidgetItem,
    QWidget,
)

from farmdesk.desk.commands import PLACES  # noqa: E402
from farmdesk.desk.list_view import ListView  # noqa: E402
from farmdesk.desk.tables import LongTable  # noqa: E402
from farmdesk.desk.theme import Theme  # noqa: E402
from farmdesk.paper.tables import show_heading, show_value  # noqa: E402
from farmdesk.reports.farm_terms import read_terms  # noqa: E402
from farmdesk.reports.overview import REPORTS  # noqa: E402
from farmdesk.wording.happenings import THINGS  # noqa: E402
from farmdesk.wording.states import CELLS  # noqa: E402

CODES = frozenset(code for words in CELLS.values() for code in words) | set(THINGS) | {"yes", "no"}
"""Stored codes that have a word."""
OWN_WORDS = frozenset({"station", "shelf", "note", "method", "code"})
"""Columns whose texts are a person's own, and may be the same as a code."""
MOST_ROWS = 400
Text = tuple[str, str]


def texts_of(root: QWidget) -> Iterator[Text]:
    """(where, text) of everything that is in sight in a window or dialog."""
    for widget in [root, *root.findChildren(QWidget)]:
        if widget is not root and not widget.isVisible():
            continue
        where = f"{type(widget).__name__} {widget.accessibleName()}".strip()
        if isinstance(widget, QHeaderView):
            continue  # it shares the model of its table
        if isinstance(widget, QAbstractItemView):
            yield from ((f"{where}: {column}", text) for column, text in _cells_of(widget))
        elif isinstance(widget, QComboBox):
            yield from ((where, widget.itemText(at)) for at in range(widget.count()))
        elif isinstance(widget, QLabel | QAbstractButton):
            yield where, widget.text()
        elif isinstance(widget, QLineEdit):
            yield where, widget.placeholderText()


def _cells_of(view: QAbstractItemView) -> Iterator[Text]:
    model = view.model()
    if model is None:
        return
    if not isinstance(model, LongTable | QTableWidget) and view.inherits("QListView"):
        for row in range(model.rowCount(QModelIndex())):
            yield "", str(model.index(row, 0).data() or "")
        return
    columns = getattr(model, "columns", ())
    for at in range(model.columnCount(QModelIndex())):
        key = columns[at].key if columns else str(at)
        yield key, str(model.headerData(at, Qt.Orientation.Horizontal) or "")
        for row in range(min(model.rowCount(QModelIndex()), MOST_ROWS)):
            yield key, str(model.index(row, at).data() or "")


def _pages(shown: FarmWindow) -> Iterator[Text]:
    for spec in PLACES:
        page = shown.show(spec.key)
        for part in each_part(page, shown):
            for _ in _turned(page, shown):
                yield from ((f"{spec.key} {part} {at}", text) for at, text in texts_of(page))


def _turned(page: QWidget, shown: FarmWindow) -> Iterator[None]:
    """Each kind of a list at the left in turn; the first row of every list is chosen."""
    kinds = page.findChild(QListWidget, "kinds")
    for row in range(kinds.count() if kinds is not None else 1):
        if kinds is not None:
            kinds.setCurrentRow(row)
        for view in page.findChildren(ListView):
            if view.isVisible():
                view.choose(lambda _row: True)
        shown.settle()
        yield
    if kinds is not None:
        kinds.setCurrentRow(0)


def _dialogs(shown: FarmWindow) -> Iterator[Text]:
    for name, open_dialog in DIALOGS.items():
        dialog = open_dialog(shown)
        shown.settle()
        yield from ((f"dialog {name} {at}", text) for at, text in texts_of(dialog))
        close_dialog(dialog, shown)


def _reports(shown: FarmWindow) -> Iterator[Text]:
    with shown.store.reading() as reading:
        formats = read_terms(reading).formats
        for report in REPORTS:
            table = report.make(reading)
            for column in table.columns:
                yield f"report {report.key}: {column.key}", show_heading(column, formats)
            for row in table.rows:
                for column, value in zip(table.columns, row, strict=True):
                    told = show_value(value, column, formats)
                    yield f"report {report.key}: {column.key}", told


def _planted() -> QWidget:
    """A table and a label that show codes, to see that they are found."""
    board = QWidget()
    table = QTableWidget(1, 1, board)
    table.setItem(0, 0, QTableWidgetItem("incubating"))
    QLabel("liquid culture", board)
    board.show()
    return board


def _bare(texts: Iterator[Text], seen: list[int]) -> Iterator[str]:
    for where, text in texts:
        seen[0] += 1
        if text.strip() in CODES and where.rpartition(": ")[2] not in OWN_WORDS:
            yield f"{where}: {text}"


def main() -> int:
    """Walk, and print what was found."""
    app = QApplication.instance() or QApplication([])
    seen = [0]
    with TemporaryDirectory() as folder, open_demo(Path(folder), Theme()) as shown:
        found: dict[str, None] = {}
        for texts in (_pages(shown), _dialogs(shown), _reports(shown)):
            found.update(dict.fromkeys(_bare(texts, seen)))
        planted = list(_bare(texts_of(_planted()), [0]))
    app.processEvents()
    print(*found, sep="\n")
    print(f"{seen[0]} texts, {len(planted)} of 2 planted codes found")
    return 0


if __name__ == "__main__":
    sys.exit(main())
