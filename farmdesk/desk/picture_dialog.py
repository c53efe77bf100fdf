"""Reads codes out of pictures: chosen, dropped, pasted, or new in a watched folder."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory

from PySide6.QtCore import QMimeData, QSize, Qt
from PySide6.QtGui import (
    QDragEnterEvent,
    QDropEvent,
    QImage,
    QImageReader,
    QKeyEvent,
    QKeySequence,
)
from PySide6.QtWidgets import (
    QApplication,
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
)

from farmdesk.desk.messages import sentence_of
from farmdesk.desk.picture_kinds import picture_filter
from farmdesk.desk.picture_view import PictureView
from farmdesk.desk.scanner_keys import has_fitting_check
from farmdesk.desk.workplace import Workplace
from farmdesk.devices.pictures import PictureCode, read_picture
from farmdesk.domain.codes import group_code, shown
from farmdesk.errors import FarmdeskError
from farmdesk.wording.language import tr, tr_count

_SHOWN_PX = 1600
_ENTERS = (Qt.Key.Key_Return, Qt.Key.Key_Enter)
_PATH, _CODE = Qt.ItemDataRole.UserRole, Qt.ItemDataRole.UserRole + 1


class PicturesDialog(QDialog):
    """Codes of one or more pictures in order; `on_send(codes)` gets those that are ticked."""

    def __init__(self, workplace: Workplace) -> None:
        super().__init__()
        self._workplace = workplace
        self._folder: TemporaryDirectory[str] | None = None
        self._pasted = 0
        self._reading = 0
        self._problems: list[str] = []
        self.on_send: Callable[[list[str]], object] = lambda _codes: None
        self.setWindowTitle(tr("Read codes from pictures"))
        self.setAccessibleName(tr("Read codes from pictures"))
        self.setAcceptDrops(True)
        self.view = PictureView(tr("Choose pictures, drop them here, or paste one (Ctrl+V)."))
        self.list = QListWidget()
        self.list.setAccessibleName(tr("Codes found, in order; the space bar ticks"))
        self.list.setSpacing(4)
        self.list.setMinimumWidth(self.fontMetrics().averageCharWidth() * 24)
        self.list.currentItemChanged.connect(self._show_current)
        self.told = QLabel(
            tr("Codes that are ticked go to the bench in this order, as if they were scanned.")
        )
        self.told.setWordWrap(True)
        self._lay_out()

    def _lay_out(self) -> None:
        self.choose_button = self._button(tr("&Choose pictures …"), self.choose)
        self.close_button = self._button(tr("Close (Esc)"), self.reject)
        self.send_button = self._button(tr("To the bench (Ctrl+Enter)"), self.send)
        self.send_button.setDefault(True)
        self.send_button.setEnabled(False)
        middle = QHBoxLayout()
        middle.addWidget(self.view, 3)
        middle.addWidget(self.list, 2)
        buttons = QHBoxLayout()
        buttons.addWidget(self.choose_button)
        buttons.addStretch(1)
        buttons.addWidget(self.close_button)
        buttons.addWidget(self.send_button)
        column = QVBoxLayout(self)
        column.setContentsMargins(18, 16, 18, 14)
        column.setSpacing(10)
        column.addWidget(self.told)
        column.addLayout(middle, 1)
        column.addLayout(buttons)
        self.resize(QSize(900, 560))
        self.choose_button.setFocus()

    def _button(self, title: str, then: Callable[[], object]) -> QPushButton:
        button = QPushButton(title)
        button.setAutoDefault(False)
        button.clicked.connect(lambda _=False: then())
        return button

    # ---- pictures come

    def choose(self) -> None:
        """Choose picture files."""
        names, _ = QFileDialog.getOpenFileNames(self, tr("Pictures of codes"), "", picture_filter())
        self.read([Path(one) for one in names])

    def read(self, paths: Sequence[Path]) -> None:
        """Look for codes in these pictures."""
        self._problems = []
        for path in paths:
            self._reading += 1
            self._workplace.read(
                read_picture,
                path,
                then=partial(self._found, path),
                failed=self._not_found,
            )
        self._tell()

    def paste(self) -> None:
        """Take a picture, or picture files, from the clipboard."""
        if not self._take(QApplication.clipboard().mimeData()):
            self.told.setText(tr("⚠ There is no picture on the clipboard."))

    def _take(self, data: QMimeData) -> bool:
        paths = [Path(url.toLocalFile()) for url in data.urls() if url.isLocalFile()]
        if paths:
            self.read(paths)
            return True
        if not data.hasImage():
            return False
        image = QImage(data.imageData())
        if image.isNull():
            return False
        if self._folder is None:
            self._folder = TemporaryDirectory(prefix="farmdesk-pictures-")
        self._pasted += 1
        name = tr("Pasted picture {n}").format(n=self._pasted)
        path = Path(self._folder.name) / f"{name}.png"
        image.save(str(path))
        self.read([path])
        return True

    def _found(self, path: Path, codes: tuple[PictureCode, ...]) -> None:
        self._reading -= 1
        have = {self.list.item(row).data(_CODE).text for row in range(self.list.count())}
        first = None
        for code in codes:
            if code.text not in have:
                item = self._add(path, code)
                first = first or item
        if first is not None:
            self.list.setCurrentItem(first)
            self.list.setFocus()
        self._tell()

    def _add(self, path: Path, code: PictureCode) -> QListWidgetItem:
        is_ours = has_fitting_check(code.text)
        number = self.list.count() + 1
        bare = code.text.strip()
        text = group_code(bare) if len(bare) == 10 and bare.isdigit() else shown(bare)
        template = tr("{n}.  {code}") if is_ours else tr("{n}.  {code}  ⚠ no code of a farm")
        item = QListWidgetItem(template.format(n=number, code=text))
        item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
        item.setCheckState(Qt.CheckState.Checked if is_ours else Qt.CheckState.Unchecked)
        item.setData(_PATH, str(path))
        item.setData(_CODE, code)
        self.list.addItem(item)
        return item

    def _not_found(self, error: FarmdeskError) -> None:
        self._reading -= 1
        self._problems.append("⚠ " + sentence_of(error))
        self._tell()

    def _tell(self) -> None:
        count = self.list.count()
        parts = list(self._problems)
        if self._reading:
            parts.append(tr("Reading …"))
        elif count:
            found = tr_count(count, "{n} code was found.", "{n} codes were found.")
            parts.append(found.format(n=count))
            parts.append(tr("Those that are ticked go to the bench in this order."))
        self.send_button.setEnabled(bool(count) and not self._reading)
        if parts:
            self.told.setText(" ".join(parts))

    def _show_current(self, item: QListWidgetItem | None) -> None:
        if item is None:
            return
        path = str(item.data(_PATH))
        reader = QImageReader(path)
        reader.setAutoTransform(True)
        size = reader.size()
        if max(size.width(), size.height()) > _SHOWN_PX:
            reader.setScaledSize(size.scaled(_SHOWN_PX, _SHOWN_PX, _KEEP))
        rows = [self.list.item(row) for row in range(self.list.count())]
        here = [
            (str(number), one.data(_CODE))
            for number, one in enumerate(rows, start=1)
            if one.data(_PATH) == path
        ]
        self.view.show_picture(reader.read(), here)

    # ---- codes go

    def codes(self) -> list[str]:
        """The codes that are ticked, in order."""
        rows = [self.list.item(row) for row in range(self.list.count())]
        return [one.data(_CODE).text for one in rows if one.checkState() == Qt.CheckState.Checked]

    def send(self) -> None:
        """Hand the ticked codes over and close."""
        codes = self.codes()
        if not codes:
            self.told.setText(tr("⚠ No code is ticked."))
            return
        self.accept()
        self.on_send(codes)

    def take_scan(self, line: str) -> bool:
        """A scan goes on the list as well, at its end."""
        self._found(Path(), (PictureCode(line, ""),))
        return True

    def done(self, result: int) -> None:
        """Take away what was pasted."""
        if self._folder is not None:
            self._folder.cleanup()
            self._folder = None
        super().done(result)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:  # noqa: N802 - Qt's own name
        """Files and pictures may be dropped here."""
        if event.mimeData().hasUrls() or event.mimeData().hasImage():
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:  # noqa: N802 - Qt's own name
        """Read what was dropped."""
        if self._take(event.mimeData()):
            event.acceptProposedAction()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's own name
        """Ctrl+V pastes, Ctrl+Enter hands over."""
        if event.matches(QKeySequence.StandardKey.Paste):
            self.paste()
        elif event.key() in _ENTERS and event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            if self.send_button.isEnabled():
                self.send()
        else:
            super().keyPressEvent(event)


_KEEP = Qt.AspectRatioMode.KeepAspectRatio
