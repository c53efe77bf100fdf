"""A USB scale on the bench, played by the binding of hidapi: report by report, as one is read.

The reports are those of the USB Implementers Forum's HID Usage Tables, weighing devices page
(0x8D): report number, status, unit, power of ten, weight with the low byte first.
"""

from __future__ import annotations

import contextlib
import queue
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest
from hands import Hands
from heron_lane import at_the_desk, things

from farmdesk.devices.scale import ScaleSettings
from farmdesk.domain import cards
from farmdesk.domain.codes import code_of

GRAM, POUND = 2, 12
AT_ZERO, IN_MOTION, STABLE = 2, 3, 4
CRATE_MG = 650_000


def report(status: int, unit: int, power: int, weight: int) -> bytes:
    return bytes([3, status, unit, power & 0xFF, weight & 0xFF, weight >> 8])


class UsbScale(ModuleType):
    """The module `hid` with one scale, which may be pulled out and plugged in again."""

    def __init__(self) -> None:
        super().__init__("hid")
        self.is_plugged = True
        self.reports: queue.Queue[bytes] = queue.Queue()
        self.shown = report(AT_ZERO, GRAM, 0, 0)

    def enumerate(self) -> list[dict[str, object]]:
        found = {"usage_page": 0x8D, "path": b"/usb/1", "product_string": "Bench scale"}
        keyboard = {"usage_page": 0x01, "path": b"/usb/2", "product_string": "Keys"}
        return [keyboard, found] if self.is_plugged else [keyboard]

    def device(self) -> UsbScale:
        return self

    def open_path(self, path: bytes) -> None:
        assert path == b"/usb/1"
        if not self.is_plugged:
            raise OSError("open failed")

    def read(self, length: int, _milliseconds: int) -> list[int]:
        """Such scales send their weight over and over, whether it changes or not."""
        if not self.is_plugged:
            raise OSError("read error")
        with contextlib.suppress(queue.Empty):
            self.shown = self.reports.get(timeout=0.01)
        return list(self.shown)[:length]

    def close(self) -> None:
        """Nothing is held."""


@pytest.fixture
def usb(monkeypatch: pytest.MonkeyPatch) -> UsbScale:
    scale = UsbScale()
    monkeypatch.setitem(sys.modules, "hid", scale)
    return scale


@pytest.fixture
def hands(qtbot, tmp_path: Path, usb: UsbScale) -> Iterator[Hands]:
    with at_the_desk(qtbot.waitUntil, tmp_path) as found:
        link = found.desk.devices.scale
        link.use(ScaleSettings())
        found.press("F11")
        found.wait_for(lambda: link.live is not None)
        yield found
        link.close()


def begin_pick(hands: Hands) -> None:
    hands.scan(code_of(things(hands, "card", act=cards.PICK)[0].id))
    hands.scan(code_of(things(hands, "crate")[0].id))
    hands.scan(code_of(things(hands, "bag")[0].id))


def test_a_crate_is_weighed_in_grams_and_what_moves_is_not_taken(
    hands: Hands, usb: UsbScale
) -> None:
    begin_pick(hands)
    link = hands.desk.devices.scale
    usb.reports.put(report(IN_MOTION, GRAM, 0, 1100))
    hands.wait_for(lambda: link.live is not None and link.live.mg == 1_100_000)
    assert things(hands, "pick")[0].gross_mg is None
    usb.reports.put(report(STABLE, GRAM, 0, 1240))
    hands.wait_for(lambda: things(hands, "pick")[0].gross_mg is not None)
    pick = things(hands, "pick")[0]
    assert (pick.gross_mg, pick.net_mg) == (1_240_000, 1_240_000 - CRATE_MG)
    usb.reports.put(report(STABLE, GRAM, 0, 2000))
    hands.wait_for(lambda: link.live.mg == 2_000_000)
    assert things(hands, "pick")[0].gross_mg == 1_240_000, "frozen when it was taken"


def test_pounds_with_a_power_of_ten_are_shown_as_the_scale_shows_them(
    hands: Hands, usb: UsbScale
) -> None:
    begin_pick(hands)
    usb.reports.put(report(STABLE, POUND, -2, 273))
    hands.wait_for(lambda: things(hands, "pick")[0].gross_mg is not None)
    # 1 lb = 453.59237 g (international yard and pound agreement, 1959).
    assert things(hands, "pick")[0].gross_mg == round(2.73 * 453_592.37)
    assert "2.73 lb" in hands.desk.session.bench_acts.view.scale.text()


def test_pulled_out_and_plugged_in_again(hands: Hands, usb: UsbScale) -> None:
    begin_pick(hands)
    view = hands.desk.session.bench_acts.view
    usb.is_plugged = False
    hands.wait_for(lambda: "does not answer" in view.scale.text())
    assert hands.top is view, "no window stands in the way"
    assert things(hands, "pick")[0].gross_mg is None
    usb.is_plugged = True
    hands.wait_for(lambda: "does not answer" not in view.scale.text())
    usb.reports.put(report(STABLE, GRAM, 0, 1240))
    hands.wait_for(lambda: things(hands, "pick")[0].gross_mg == 1_240_000)
