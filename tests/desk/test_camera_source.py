"""A camera's frames: what QtMultimedia must give, and what is said when it does not."""

from __future__ import annotations

import sys
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from stand_in_camera import Clock, StandInDevice, StandInMultimedia, held

from farmdesk.desk.camera_source import CameraSource, load_multimedia
from farmdesk.errors import DeviceTrouble
from farmdesk.wording.sentences import say_error

STATUS = Qt.PermissionStatus
SOURCE = "farmdesk.desk.camera_source"


@pytest.fixture
def multimedia() -> StandInMultimedia:
    return StandInMultimedia()


@pytest.fixture
def make(qapp, multimedia: StandInMultimedia) -> Callable[..., CameraSource]:
    def made(*plugged: StandInDevice) -> CameraSource:
        multimedia.plugged = list(plugged)
        return CameraSource(clock=Clock(), load=lambda: multimedia)

    return made


def test_the_usual_camera_comes_first(make) -> None:
    usual = StandInDevice("b", "Lid")
    usual.is_usual = True
    source = make(StandInDevice("a", "Bench"), usual)
    assert [one.name for one in source.cameras()] == ["Lid", "Bench"]


def test_pictures_are_large_enough_to_read_and_no_larger(make, multimedia) -> None:
    sizes = [(3840, 2160, 30), (1280, 720, 5), (1280, 720, 30), (640, 480, 60)]
    make(StandInDevice("a", "Lid", sizes)).start("a")
    wanted = multimedia.made[-1].format
    assert (wanted.resolution().width(), wanted.maxFrameRate()) == (1280, 30)


def test_a_camera_with_large_pictures_only_keeps_its_own(make, multimedia) -> None:
    make(StandInDevice("a", "Lid", [(3840, 2160, 30)])).start("a")
    assert multimedia.made[-1].format is None
    assert multimedia.running() == ["Lid"]


def test_an_empty_frame_is_no_picture(make, multimedia) -> None:
    source, came = make(StandInDevice("a", "Lid")), []
    source.frame_came.connect(came.append)
    source.start("a")
    multimedia.show(QImage())
    assert came == []
    multimedia.show(held())
    assert len(came) == 1


def test_a_camera_that_went_between_list_and_choice_is_not_started(make, multimedia) -> None:
    make().start("a")
    assert multimedia.made == []


@pytest.mark.parametrize("is_granted", [True, False])
def test_the_person_is_asked_for_leave(make, multimedia, monkeypatch, is_granted) -> None:
    asked: list[Callable[[Any], object]] = []
    app = SimpleNamespace(
        checkPermission=lambda _one: STATUS.Undetermined,
        requestPermission=lambda _one, _owner, then: asked.append(then),
    )
    monkeypatch.setattr(f"{SOURCE}.QCoreApplication", SimpleNamespace(instance=lambda: app))
    source, told = make(StandInDevice("a", "Lid")), []
    source.troubled.connect(told.append)
    source.start("a")
    assert multimedia.running() == []
    answer = STATUS.Granted if is_granted else STATUS.Denied
    asked[0](SimpleNamespace(status=lambda: answer))
    assert multimedia.running() == (["Lid"] if is_granted else [])
    assert bool(told) != is_granted


def test_leave_that_was_refused_before_is_told(make, multimedia, monkeypatch) -> None:
    app = SimpleNamespace(checkPermission=lambda _one: STATUS.Denied)
    monkeypatch.setattr(f"{SOURCE}.QCoreApplication", SimpleNamespace(instance=lambda: app))
    source, told = make(StandInDevice("a", "Lid")), []
    source.troubled.connect(told.append)
    source.start("a")
    assert multimedia.running() == []
    assert "does not let Farmdesk use the camera" in told[0]


def test_without_qtmultimedia_the_extra_is_named(monkeypatch) -> None:
    monkeypatch.setitem(sys.modules, "PySide6.QtMultimedia", None)
    with pytest.raises(DeviceTrouble) as caught:
        load_multimedia()
    assert "its extra “camera”" in say_error(caught.value)


def test_a_system_library_that_is_missing_is_named(monkeypatch) -> None:
    def broken(_name: str) -> Any:
        raise ImportError("libsound.so.0: cannot open shared object file")

    monkeypatch.setattr(f"{SOURCE}.importlib", SimpleNamespace(import_module=broken))
    with pytest.raises(DeviceTrouble) as caught:
        load_multimedia()
    assert "libsound.so.0" in say_error(caught.value)


@pytest.mark.qt_log_ignore("Couldn't (load|resolve)", "No RHI backend")
def test_the_real_sink_takes_frames(qapp) -> None:
    """Where the extra is installed: the slot understands a real QVideoFrame."""
    qt = pytest.importorskip("PySide6.QtMultimedia", exc_type=ImportError)
    source, came = CameraSource(clock=Clock()), []
    source.frame_came.connect(came.append)
    source._camera = SimpleNamespace(stop=lambda: None)
    source._sink.setVideoFrame(qt.QVideoFrame(held("2000000155")))
    qapp.processEvents()
    assert [one.size().toTuple() for one in came] == [(800, 600)]
