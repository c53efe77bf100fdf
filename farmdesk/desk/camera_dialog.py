"""Reads the codes that are held before a webcam, beside the desk; the bench's answers are large."""

from __future__ import annotations

import time
from collections.abc import Callable

from PySide6.QtCore import QSize, Qt, QTimer, Signal
from PySide6.QtGui import QImage, QKeyEvent
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
)

from farmdesk.desk.answer_board import AnswerBoard
from farmdesk.desk.answers import AnswerView
from farmdesk.desk.camera_source import CameraSource, Clock
from farmdesk.desk.messages import sentence_of
from farmdesk.desk.picture_view import PictureView
from farmdesk.desk.scanner_keys import has_fitting_check
from farmdesk.desk.theme import Theme
from farmdesk.desk.workplace import Workplace
from farmdesk.devices.pictures import GreyFrame, PictureCode, read_frame
from farmdesk.devices.sightings import Sightings
from farmdesk.domain.codes import shown
from farmdesk.errors import DeviceTrouble, FarmdeskError
from farmdesk.wording.language import tr

READ_SECONDS = 0.2
"""A frame is read no sooner after the one before, and never while one is being read."""
SILENT_SECONDS = 5.0
"""A camera that gives no frame for so long has stopped, though nothing said so."""
_LOOK_MS = 1000


class CameraDialog(QDialog):
    """`begin` starts the camera; each newly seen code of a farm leaves once by `codes_seen`."""

    codes_seen = Signal(list)
    replied = Signal(bool)
    camera_chosen = Signal(str)
    """The key of the camera that a person chose."""

    def __init__(
        self,
        workplace: Workplace,
        theme: Theme,
        *,
        wanted: str = "",
        make_source: Callable[..., CameraSource] = CameraSource,
        clock: Clock = time.monotonic,
    ) -> None:
        super().__init__()
        self._workplace = workplace
        self._clock = clock
        self._make_source = make_source
        self.source: CameraSource | None = None
        self._wanted = wanted
        self._running = ""
        self._names: dict[str, str] = {}
        self._has_begun = self._is_live = self._is_reading = False
        self._blind = ""
        self._frame_at = self._read_at = float("-inf")
        self._sightings = Sightings(clock)
        self._image = QImage()
        self._marks: list[tuple[str, PictureCode]] = []
        self._watch = QTimer(self)
        self._watch.setInterval(_LOOK_MS)
        self._watch.timeout.connect(self.look_for_silence)
        self.setWindowTitle(tr("Read codes with a camera"))
        self.setAccessibleName(tr("Read codes with a camera"))
        self._lay_out(theme)

    def _lay_out(self, theme: Theme) -> None:
        self.board = AnswerBoard(self)
        self.board.set_theme(theme)
        self.view = PictureView(tr("The picture of the camera comes here."))
        self.told = QLabel(tr("The camera starts …"))
        self.told.setWordWrap(True)
        self.choice = QComboBox()
        self.choice.setAccessibleName(tr("Camera"))
        self.choice.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.choice.setPlaceholderText(tr("Choose a camera"))
        self.choice.setMinimumContentsLength(12)
        self.choice.setSizeAdjustPolicy(
            QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        )
        self.choice.activated.connect(self._choose)
        self.choice.hide()
        self.yes_button = self._button(tr("Yes (Y)"), lambda: self._reply(True))
        self.no_button = self._button(tr("No (N)"), lambda: self._reply(False))
        self.close_button = self._button(tr("Close (Esc)"), self.reject)
        self.yes_button.hide()
        self.no_button.hide()
        buttons = QHBoxLayout()
        buttons.addWidget(self.choice, 1)
        buttons.addStretch(0)
        for button in (self.yes_button, self.no_button, self.close_button):
            buttons.addWidget(button)
        column = QVBoxLayout(self)
        column.setContentsMargins(18, 16, 18, 14)
        column.setSpacing(10)
        column.addWidget(self.board)
        column.addWidget(self.view, 1)
        column.addWidget(self.told)
        column.addLayout(buttons)
        self.resize(QSize(820, 620))
        self.close_button.setFocus()

    def _button(self, title: str, then: Callable[[], object]) -> QPushButton:
        button = QPushButton(title)
        button.setAutoDefault(False)
        button.clicked.connect(lambda _=False: then())
        return button

    # ---- the camera

    def begin(self) -> None:
        """Start the camera that was wanted, or the computer's usual one."""
        try:
            source = self._make_source(self, clock=self._clock)
        except DeviceTrouble as trouble:
            self.told.setText("⚠ " + sentence_of(trouble))
            return
        self.source = source
        source.began.connect(self._wait_for_pictures)
        source.frame_came.connect(self._take_picture)
        source.cameras_changed.connect(self._look_for_cameras)
        source.troubled.connect(self._fail)
        self._look_for_cameras()

    def _look_for_cameras(self) -> None:
        """One came or went: the one that was lost is started again when it is back."""
        if self.source is None:
            return
        before, self._names = self._names, {one.key: one.name for one in self.source.cameras()}
        if self._running and self._running not in self._names:
            self._lose(before[self._running])
        if not self._running and self._wanted in self._names:
            self._start(self._wanted)
        elif self._names and not self._has_begun:
            self._start(next(iter(self._names)))
        elif not self._has_begun:
            sentence = tr("No camera was found. Plug one in, it is found by itself. Until then "
                          "codes can be typed, or read from photos (Ctrl+Shift+R).")  # fmt: skip
            self.told.setText(sentence)
        self._offer()

    def _offer(self) -> None:
        """The cameras to choose from, with the one that runs."""
        self.choice.clear()
        for key, name in self._names.items():
            self.choice.addItem(name, key)
        self.choice.setCurrentIndex(self.choice.findData(self._running or None))
        self.choice.setVisible(bool(self._names))

    def _choose(self, at: int) -> None:
        key = str(self.choice.itemData(at))
        self._start(key)
        self.camera_chosen.emit(key)

    def _start(self, key: str) -> None:
        if self.source is None:
            return
        self._wanted = self._running = key
        self._has_begun, self._is_live = True, False
        self.told.setText(tr("The camera starts …"))
        self._watch.stop()
        self.source.start(key)

    def _wait_for_pictures(self) -> None:
        """Not before: a person may read the system's question for as long as they like."""
        self._frame_at = self._clock()
        self._watch.start()

    def _stop(self) -> None:
        self._running, self._is_live = "", False
        self._image, self._marks = QImage(), []
        self._watch.stop()
        if self.source is not None:
            self.source.stop()
        self._show()

    def _lose(self, name: str) -> None:
        self._stop()
        sentence = tr("⚠ The camera “{name}” is gone. What was read is kept; plug it in again and "
                      "go on, it is found by itself. Until then codes can be typed.")  # fmt: skip
        self.told.setText(sentence.format(name=name))

    def _fail(self, sentence: str) -> None:
        """It gives no pictures: a person chooses it again, or it is plugged in anew."""
        self._stop()
        self._offer()
        self.told.setText(f"⚠ {sentence}")

    def look_for_silence(self) -> None:
        """Say so when the camera has stopped and nothing told of it."""
        if self._watch.isActive() and self._clock() - self._frame_at > SILENT_SECONDS:
            self._is_live = False
            sentence = tr(
                "⚠ The camera “{name}” sends no picture. See that no other program uses it, or "
                "pull it out and plug it in again. Until then codes can be typed."
            )
            self.told.setText(sentence.format(name=self._names[self._running]))

    # ---- its pictures

    def _take_picture(self, image: QImage) -> None:
        now = self._frame_at = self._clock()
        if not self._is_live:
            self._is_live = True
            self._tell_ready()
        self._image = image
        self._show()
        if self._is_reading or self._blind or now - self._read_at < READ_SECONDS:
            return
        self._is_reading, self._read_at = True, now
        self._workplace.read(read_frame, grey_of(image), then=self._found, failed=self._not_read)

    def _show(self) -> None:
        self.view.show_picture(self._image, self._marks)

    def _tell_ready(self) -> None:
        sentence = tr("Hold a label before the camera. Each code goes to the bench once, and again "
                      "when it was out of the picture for two seconds.")  # fmt: skip
        self.told.setText(self._blind or sentence)

    def _found(self, codes: tuple[PictureCode, ...]) -> None:
        self._is_reading = False
        if not self._running:
            return
        self._marks = [("✓" if has_fitting_check(one.text) else "?", one) for one in codes]
        self._show()
        new = self._sightings.look(one.text for one in codes)
        ours = [one for one in new if has_fitting_check(one)]
        foreign = [one for one in new if one not in ours]
        if foreign:
            sentence = tr("“{code}” is no code of a farm; it is left alone.")
            self.told.setText(sentence.format(code=shown(foreign[-1])))
        elif ours:
            self._tell_ready()
        if ours:
            self.codes_seen.emit(ours)

    def _not_read(self, error: FarmdeskError) -> None:
        """What reads the codes is not there: the picture is still shown, but none is read."""
        self._is_reading = False
        self._blind = "⚠ " + sentence_of(error)
        self.told.setText(self._blind)

    # ---- the bench's answers

    def show_answer(self, answer: AnswerView) -> None:
        """Show what came of a scan; a question brings Yes and No."""
        self.board.show_answer(answer)
        self.yes_button.setVisible(answer.asks)
        self.no_button.setVisible(answer.asks)
        if answer.asks:
            self.yes_button.setFocus()

    def set_meaning(self, meaning: str) -> None:
        """Say what scans mean now."""
        self.board.set_meaning(meaning)

    def set_theme(self, theme: Theme) -> None:
        """Take over colours and sizes."""
        self.board.set_theme(theme)

    @property
    def is_asking(self) -> bool:
        """Whether a question waits for Yes or No."""
        return not self.yes_button.isHidden()

    def _reply(self, yes: bool) -> None:
        if self.is_asking:
            self.yes_button.hide()
            self.no_button.hide()
            self.close_button.setFocus()
            self.replied.emit(yes)

    # ---- Qt's own

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's own name
        """Y or Enter says yes, N or Esc says no, while a question waits."""
        key, keys = event.key(), Qt.Key
        if self.is_asking and key in (keys.Key_Y, keys.Key_Return, keys.Key_Enter):
            self._reply(True)
        elif self.is_asking and key in (keys.Key_N, keys.Key_Escape):
            self._reply(False)
        else:
            super().keyPressEvent(event)

    def done(self, result: int) -> None:
        """Let the camera go."""
        self._stop()
        super().done(result)


def grey_of(image: QImage) -> GreyFrame:
    """A picture as it is read: grey, a byte to a pixel."""
    grey = image.convertToFormat(QImage.Format.Format_Grayscale8)
    return GreyFrame(bytes(grey.constBits()), grey.width(), grey.height(), grey.bytesPerLine())
