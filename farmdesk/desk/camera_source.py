"""A webcam's frames as pictures; the system's part for cameras is loaded when one is made.

QtMultimedia is no part of what the desk needs: a computer without it does everything but this.
"""

from __future__ import annotations

import importlib
import time
from collections.abc import Callable
from typing import Any, NamedTuple

from PySide6.QtCore import QCameraPermission, QCoreApplication, QObject, Qt, Signal
from PySide6.QtGui import QImage

from farmdesk.errors import DeviceTrouble, problem
from farmdesk.wording.language import tr

SHOWN_SECONDS = 0.08
"""A dozen pictures a second look alive; each costs the window's thread some milliseconds."""
WIDEST = 1280
"""Enough pixels for a label across the whole picture; more only take longer to read."""
_MODULE = "PySide6.QtMultimedia"

Clock = Callable[[], float]


class CameraFound(NamedTuple):
    """A camera of this computer: what tells it from others, and its name for people."""

    key: str
    name: str


def load_multimedia() -> Any:
    """Qt's part for cameras; raises DeviceTrouble when it is not installed or cannot run."""
    try:
        return importlib.import_module(_MODULE)
    except ModuleNotFoundError as missing:
        raise DeviceTrouble(problem("camera_library_missing")) from missing
    except ImportError as trouble:  # on Linux a system library such as that for sound is missing
        raise DeviceTrouble(problem("camera_library_broken", reason=str(trouble))) from trouble


class CameraSource(QObject):
    """Lists the cameras and runs one of them; raises DeviceTrouble when `load` does."""

    frame_came = Signal(QImage)
    cameras_changed = Signal()
    """One was plugged in or pulled out."""
    began = Signal()
    """The system allows it: from now on pictures are to come."""
    troubled = Signal(str)
    """A sentence: the camera that was started gives no pictures, and what to do."""

    def __init__(
        self,
        parent: QObject | None = None,
        *,
        clock: Clock = time.monotonic,
        load: Callable[[], Any] = load_multimedia,
    ) -> None:
        super().__init__(parent)
        self._clock = clock
        self._qt = load()
        self._shown_at = float("-inf")
        self._camera: Any = None
        self._name = ""
        self._devices = self._qt.QMediaDevices(self)
        self._devices.videoInputsChanged.connect(self.cameras_changed)
        self._sink = self._qt.QVideoSink(self)
        self._sink.videoFrameChanged.connect(self.take_frame)
        self._session = self._qt.QMediaCaptureSession(self)
        self._session.setVideoSink(self._sink)

    def cameras(self) -> list[CameraFound]:
        """The cameras that are plugged in, the usual one first."""
        found = sorted(self._qt.QMediaDevices.videoInputs(), key=lambda one: not one.isDefault())
        return [CameraFound(_key(one), one.description()) for one in found]

    def start(self, key: str) -> None:
        """Run this camera from now on, once the system allows it."""
        self.stop()
        device = next((d for d in self._qt.QMediaDevices.videoInputs() if _key(d) == key), None)
        if device is None:
            return
        self._name = device.description()
        self._camera = camera = self._qt.QCamera(device, self)
        camera.errorOccurred.connect(self._failed)
        wanted = _fitting_format(device.videoFormats())
        if wanted is not None:
            camera.setCameraFormat(wanted)
        self._session.setCamera(camera)
        ask_permission(self, self._allowed)

    def stop(self) -> None:
        """Let the camera go."""
        camera, self._camera = self._camera, None
        if camera is not None:
            camera.stop()
            self._session.setCamera(None)
            camera.deleteLater()

    def take_frame(self, frame: Any) -> None:
        """A QVideoFrame of the camera; those that come too quickly are dropped."""
        now = self._clock()
        if self._camera is None or now - self._shown_at < SHOWN_SECONDS:
            return
        image = frame.toImage()
        if not image.isNull():
            self._shown_at = now
            self.frame_came.emit(image)

    def _allowed(self, is_allowed: bool) -> None:
        if self._camera is None:
            return
        if is_allowed:
            self._camera.start()
            self.began.emit()
            return
        self.stop()
        self.troubled.emit(
            tr("This computer does not let Farmdesk use the camera. Allow it in the computer's "
               "settings for privacy, then choose the camera again.")
        )  # fmt: skip

    def _failed(self, _error: object, reason: str) -> None:
        if self._camera is None:
            return
        self.stop()
        sentence = tr(
            "The camera “{name}” gives no pictures ({reason}). See that it is plugged in, that no "
            "other program uses it and that the computer allows it, then choose it again."
        )
        self.troubled.emit(sentence.format(name=self._name, reason=reason.strip(" .")))


def ask_permission(owner: QObject, then: Callable[[bool], object]) -> None:
    """Ask the system whether the camera may be used; it may ask the person. `then` is told."""
    app, permission = QCoreApplication.instance(), QCameraPermission()
    if app is None:
        return
    status = app.checkPermission(permission)
    if status == Qt.PermissionStatus.Undetermined:
        granted = Qt.PermissionStatus.Granted
        app.requestPermission(permission, owner, lambda told: then(told.status() == granted))
    else:
        then(status == Qt.PermissionStatus.Granted)


def _key(device: Any) -> str:
    return bytes(device.id().data()).decode(errors="replace")


def _fitting_format(formats: list[Any]) -> Any | None:
    """The largest that is no wider than needed and quick enough; None leaves the usual one."""
    fitting = [
        one for one in formats if one.resolution().width() <= WIDEST and one.maxFrameRate() >= 10
    ]
    return max(
        fitting, key=lambda one: (one.resolution().width(), one.maxFrameRate()), default=None
    )
