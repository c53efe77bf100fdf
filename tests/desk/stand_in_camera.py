"""QtMultimedia without a camera: what `CameraSource` uses of it, played by a test.

A test plugs cameras in and pulls them out; `show` hands an image to the slot that the real video
sink calls for each frame.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from types import SimpleNamespace
from typing import Any

from PySide6.QtCore import QByteArray, QObject, QSize, Qt, Signal
from PySide6.QtGui import QImage, QPainter

from farmdesk.desk.camera_source import CameraSource
from farmdesk.paper.symbols import modules

MODULE_PX = 4


class Clock:
    """Seconds that go on when a test says so."""

    def __init__(self) -> None:
        self.now = 1000.0

    def __call__(self) -> float:
        return self.now


class StandInFormat:
    """What a camera can send."""

    def __init__(self, wide: int, tall: int, rate: float) -> None:
        self._size, self._rate = QSize(wide, tall), rate

    def resolution(self) -> QSize:
        return self._size

    def maxFrameRate(self) -> float:  # noqa: N802 - Qt's own name
        return self._rate


class StandInDevice:
    """A camera that is plugged in; sizes are width, height and frames a second."""

    def __init__(self, key: str, name: str, sizes: Sequence[tuple[int, int, int]] = ()) -> None:
        self._key, self._name = key, name
        self.is_usual = False
        self.formats = [StandInFormat(*one) for one in sizes]

    def id(self) -> QByteArray:
        return QByteArray(self._key.encode())

    def description(self) -> str:
        return self._name

    def isDefault(self) -> bool:  # noqa: N802 - Qt's own name
        return self.is_usual

    def videoFormats(self) -> list[Any]:  # noqa: N802 - Qt's own name
        return self.formats


class StandInMultimedia:
    """Stands where the module is; `plugged` are the cameras, `made` those that were started."""

    def __init__(self) -> None:
        self.plugged: list[StandInDevice] = []
        self.made: list[Any] = []
        self.sinks: list[Any] = []
        self.devices: list[Any] = []
        outer = self

        class QMediaDevices(QObject):
            videoInputsChanged = Signal()  # noqa: N815 - Qt's own name

            def __init__(self, parent: QObject) -> None:
                super().__init__(parent)
                outer.devices.append(self)

            @staticmethod
            def videoInputs() -> list[StandInDevice]:  # noqa: N802 - Qt's own name
                return list(outer.plugged)

        class QVideoSink(QObject):
            videoFrameChanged = Signal(object)  # noqa: N815 - Qt's own name

            def __init__(self, parent: QObject) -> None:
                super().__init__(parent)
                outer.sinks.append(self)

        class QMediaCaptureSession(QObject):
            def setVideoSink(self, sink: object) -> None:  # noqa: N802 - Qt's own name
                self.sink = sink

            def setCamera(self, camera: object) -> None:  # noqa: N802 - Qt's own name
                self.camera = camera

        class QCamera(QObject):
            errorOccurred = Signal(object, str)  # noqa: N815 - Qt's own name

            def __init__(self, device: StandInDevice, parent: QObject) -> None:
                super().__init__(parent)
                self.device, self.is_on, self.format = device, False, None
                outer.made.append(self)

            def setCameraFormat(self, wanted: object) -> None:  # noqa: N802 - Qt's own name
                self.format = wanted

            def start(self) -> None:
                self.is_on = True

            def stop(self) -> None:
                self.is_on = False

        self.QMediaDevices, self.QVideoSink = QMediaDevices, QVideoSink
        self.QMediaCaptureSession, self.QCamera = QMediaCaptureSession, QCamera

    def plug_in(self, *devices: StandInDevice) -> None:
        self.plugged += devices
        self._tell()

    def pull_out(self, device: StandInDevice) -> None:
        self.plugged.remove(device)
        self._tell()

    def _tell(self) -> None:
        for one in self.devices:
            one.videoInputsChanged.emit()

    def show(self, image: QImage) -> None:
        """A frame of the camera that runs."""
        self.sinks[-1].videoFrameChanged.emit(SimpleNamespace(toImage=lambda: image))

    def running(self) -> list[str]:
        """The names of the cameras that are on."""
        return [one.device.description() for one in self.made if one.is_on]


def source_of(multimedia: StandInMultimedia) -> Callable[..., CameraSource]:
    """Makes the real source, which finds the stand-in where it looks for QtMultimedia."""
    return partial(CameraSource, load=lambda: multimedia)


def held(*codes: str, soft: int = 0) -> QImage:
    """What a camera sees: labels with these codes on a grey bench, unsharp by so many pixels."""
    image = QImage(800, 600, QImage.Format.Format_RGB32)
    image.fill(Qt.GlobalColor.lightGray)
    painter = QPainter(image)
    for row, code in enumerate(codes):
        top = 40 + row * 190
        painter.fillRect(40, top, 720, 170, Qt.GlobalColor.white)
        for at, one in enumerate(modules(code)):
            if one == "1":
                painter.fillRect(
                    120 + at * MODULE_PX, top + 25, MODULE_PX, 110, Qt.GlobalColor.black
                )
    painter.end()
    if soft:
        smooth = Qt.TransformationMode.SmoothTransformation
        small = image.scaledToWidth(image.width() // soft, smooth)
        image = small.scaledToWidth(800, smooth)
    return image
