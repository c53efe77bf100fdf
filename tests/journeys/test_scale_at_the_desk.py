"""A scale on the bench: crates are weighed without a key, and a pulled plug spoils nothing."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from device_streams import MemoryPort
from hands import Hands
from heron_lane import at_the_desk, things

from farmdesk.desk.scale_field import TAKE_KEY
from farmdesk.devices.scale import ScaleSettings, SerialScale
from farmdesk.devices.serial_lines import SerialSettings
from farmdesk.domain import cards
from farmdesk.domain.codes import code_of

EMPTY = b"ST,GS,+  0.000kg\r\n"
CRATE_MG = 650_000


class Weighing:
    """Somebody with a scanner, and a scale whose bytes come from the test."""

    def __init__(self, hands: Hands) -> None:
        self.hands = hands
        self.port = MemoryPort()
        self.device: Any = None
        scale = self.scale = hands.desk.devices.scale
        scale._open = lambda settings, tell: SerialScale(
            settings,
            tell,
            serial=SerialSettings("bench"),
            open_source=self.port.open_source,
            retry_seconds=0.02,
        )
        self.plug_in()
        scale.use(ScaleSettings(serial=SerialSettings("bench")))

    def plug_in(self) -> None:
        """The plug is in, and the scale begins with an empty line as they do."""
        self.device = self.port.plug_in()
        self.device.send(b"")

    def show(self, data: bytes) -> None:
        """The scale sends; wait until the desk has seen it."""
        before = self.scale.live
        self.device.send(data)
        self.hands.wait_for(lambda: self.scale.live not in (before, None))

    def begin_pick(self) -> None:
        """Card, crate and one bag."""
        self.hands.scan(code_of(things(self.hands, "card", act=cards.PICK)[0].id))
        self.hands.scan(code_of(things(self.hands, "crate")[0].id))
        self.hands.scan(code_of(things(self.hands, "bag")[0].id))

    def pick(self) -> Any:
        """The one pick of the farm."""
        (found,) = things(self.hands, "pick")
        return found


@pytest.fixture
def weighing(qtbot, tmp_path: Path) -> Iterator[Weighing]:
    with at_the_desk(qtbot.waitUntil, tmp_path) as hands:
        yield Weighing(hands)


def test_a_crate_is_weighed_less_its_tare_and_the_reading_stays_as_taken(
    weighing: Weighing,
) -> None:
    """A load in motion is not taken; what lies on the scale afterwards changes nothing."""
    hands = weighing.hands
    hands.press("F11")
    weighing.show(EMPTY)
    weighing.begin_pick()
    weighing.show(b"US,GS,+  1.100kg\r\n")
    view = hands.desk.session.bench_acts.view
    assert "1.100 kg" in view.scale.text()
    assert weighing.pick().gross_mg is None
    weighing.device.send(b"ST,GS,+  1.240kg\r\n")
    hands.wait_for(lambda: weighing.pick().gross_mg is not None)
    pick = weighing.pick()
    assert (pick.gross_mg, pick.net_mg) == (1_240_000, 1_240_000 - CRATE_MG)
    assert "0.59 kg net" in view.board.accessibleName()
    weighing.show(b"ST,GS,+  2.000kg\r\n")
    assert weighing.pick().gross_mg == 1_240_000


def test_pulled_out_in_mid_weighing_is_said_calmly_and_weighing_goes_on(
    weighing: Weighing,
) -> None:
    hands = weighing.hands
    hands.press("F11")
    weighing.show(EMPTY)
    weighing.begin_pick()
    weighing.show(b"US,GS,+  1.100kg\r\n")
    weighing.device.pull_out()
    view = hands.desk.session.bench_acts.view
    hands.wait_for(lambda: "does not answer" in view.scale.text())
    assert weighing.pick().gross_mg is None
    assert hands.top is view, "no window stands in the way"
    weighing.plug_in()
    weighing.show(EMPTY)
    assert "does not answer" not in view.scale.text()
    weighing.device.send(b"ST,GS,+  1.240kg\r\n")
    hands.wait_for(lambda: weighing.pick().gross_mg == 1_240_000)


def test_the_form_takes_the_weight_by_key_and_keeps_it_when_the_crate_is_lifted(
    weighing: Weighing,
) -> None:
    hands = weighing.hands
    weighing.show(EMPTY)
    hands.press("Ctrl+4", "Ctrl+N")
    hands.scan(code_of(things(hands, "bag")[0].id))
    hands.scan(code_of(things(hands, "crate")[0].id))
    dialog = hands.top
    weighing.device.send(b"ST,GS,+  1.240kg\r\n")
    hands.wait_for(lambda: weighing.scale.steady is not None)
    hands.press(TAKE_KEY)
    hands.wait_for(dialog.gross.line.text)
    assert dialog.gross.value() == 1_240_000
    weighing.show(EMPTY)
    assert dialog.gross.value() == 1_240_000
    hands.save()
    hands.press("Esc")
    assert weighing.pick().net_mg == 1_240_000 - CRATE_MG
