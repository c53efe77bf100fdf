"""A scale in the window: steady readings taken once, frozen, and calm when it is pulled out."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from device_streams import CRATE_PUT_ON, HAS_PSEUDO_TERMINALS, MemoryPort, PseudoTerminal
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from farmdesk.desk.scale_field import WeighField
from farmdesk.desk.scale_link import ScaleLink, reading_text
from farmdesk.devices.readings import make_reading
from farmdesk.devices.scale import ScaleSettings, SerialScale
from farmdesk.devices.serial_lines import SerialSettings
from farmdesk.quantities.mass import read_mass
from farmdesk.wording.formats import Formats

FORMATS = Formats(locale="en_GB", mass_unit="kg")
STEADY = b"ST,GS,+  %s\r\n"


class Bench:
    """A scale in memory behind a link, and the field that takes from it."""

    def __init__(self, port: MemoryPort) -> None:
        self.port = port
        self.steady: list[str] = []
        self.link = ScaleLink(open_it=self._open)
        self.link.steadied.connect(lambda: self.steady.append(self.link.steady.text))
        self.link.use(ScaleSettings(serial=SerialSettings("bench")))

    def _open(self, settings: ScaleSettings, tell: Callable[[Any], None]) -> SerialScale:
        return SerialScale(
            settings,
            tell,
            serial=SerialSettings("bench"),
            open_source=self.port.open_source,
            retry_seconds=0.02,
        )


@pytest.fixture
def bench(qapp: QApplication) -> Iterator[Bench]:
    made = Bench(MemoryPort())
    yield made
    made.link.close()


@pytest.fixture
def field(bench: Bench, qtbot) -> WeighField:
    made = WeighField("gross_mg", "Gross weight", FORMATS, scale=bench.link)
    qtbot.addWidget(made)
    return made


def put(bench: Bench, data: bytes) -> Any:
    device = bench.port.plug_in()
    device.send(b"")
    device.send(data)
    return device


def test_the_crate_is_taken_once_and_stays_as_taken(bench, field, qtbot) -> None:
    device = put(bench, CRATE_PUT_ON[:90])
    qtbot.waitUntil(lambda: bench.link.steady is not None)
    assert "5.060 kg, at rest" in field.scale_line.text()
    field.take_button.click()
    assert field.text() == "5.060 kg"
    assert field.value() == 5_060_000
    device.send(b"US,GS,+  2.100kg\r\n")
    qtbot.waitUntil(lambda: "2.100" in field.scale_line.text())
    assert field.text() == "5.060 kg"


def test_the_key_takes_what_the_scale_shows_when_it_is_pressed(bench, field, qtbot) -> None:
    field.show()
    field.activateWindow()
    field.setFocus()
    put(bench, CRATE_PUT_ON[:90])
    qtbot.waitUntil(lambda: bench.link.steady is not None)
    QTest.keyClick(field.line, Qt.Key.Key_F4)
    assert field.text() == "5.060 kg", "taken at once, not when a button has sprung back"


def test_take_before_the_load_is_at_rest_waits_for_it(bench, field, qtbot) -> None:
    device = put(bench, b"US,GS,+  3.0kg\r\n")
    qtbot.waitUntil(lambda: bench.link.live is not None)
    field.take_button.click()
    assert "as soon as it is at rest" in field.scale_line.text()
    device.send(STEADY % b"3.4kg")
    qtbot.waitUntil(lambda: field.text() == "3.4 kg")


def test_pulled_out_in_mid_weighing_is_calm_and_typing_goes_on(bench, field, qtbot) -> None:
    device = put(bench, b"US,GS,+  3.0kg\r\n")
    qtbot.waitUntil(lambda: bench.link.live is not None)
    field.take_button.click()
    device.pull_out()
    qtbot.waitUntil(lambda: "does not answer any more" in field.scale_line.text())
    assert "can be typed" in field.scale_line.text()
    field.line.setText("3 lb 4 oz")
    assert field.value() == read_mass("3 lb 4 oz").mg
    again = put(bench, STEADY % b"3.4kg")
    qtbot.waitUntil(lambda: bench.link.is_connected)
    assert again.closed == 0


def test_an_unused_steady_weight_is_void_when_the_load_changes(bench, field, qtbot) -> None:
    device = put(bench, STEADY % b"1.000kg")
    qtbot.waitUntil(lambda: bench.link.steady is not None)
    device.send(b"US,GS,+  2.500kg\r\n")
    qtbot.waitUntil(lambda: bench.link.steady is None)
    device.send(STEADY % b"2.500kg")
    qtbot.waitUntil(lambda: bench.link.steady is not None)
    field.take_button.click()
    assert field.value() == 2_500_000


def test_a_load_that_stood_there_at_the_scan_does_not_count_as_put_on(bench, qtbot) -> None:
    device = put(bench, b"ST,GS,+  0.000kg\r\nUS,GS,+  1.000kg\r\n")
    qtbot.waitUntil(lambda: bench.link.live is not None and bench.link.live.mg > 0)
    assert bench.link.was_empty
    bench.link.note_scan()
    assert not bench.link.was_empty
    device.send(b"ST,GS,+  0.001kg\r\n")
    qtbot.waitUntil(lambda: bench.link.was_empty)


def test_without_a_scale_the_field_only_types(qtbot) -> None:
    link = ScaleLink()
    made = WeighField("gross_mg", "Gross weight", FORMATS, scale=link)
    qtbot.addWidget(made)
    assert not hasattr(made, "take_button")
    assert not link.is_in_use


def test_settings_that_no_port_can_have_are_said(qtbot) -> None:
    link = ScaleLink()
    link.use(ScaleSettings(serial=SerialSettings("bench", speed=1)))
    assert link.trouble is not None
    assert link.trouble.code == "serial_setting_not_usable"
    assert link.is_in_use


@pytest.mark.parametrize(
    ("amount", "division", "unit", "text"),
    [
        ("5.06", "0.001", "kg", "5.060 kg"),
        ("9.38", "0.01", "lb", "9.38 lb"),
        ("1250", "1", "g", "1250 g"),
        ("40.5", "0.5", "oz", "40.5 oz"),
    ],
)
def test_a_reading_is_written_as_the_scale_shows_it(amount, division, unit, text) -> None:
    from fractions import Fraction

    reading = make_reading(Fraction(amount), unit, division=Fraction(division))
    assert reading_text(reading) == text
    assert read_mass(text, decimal_comma=False).mg == reading.mg
    with_comma = reading_text(reading, decimal_comma=True)
    assert read_mass(with_comma, decimal_comma=True).mg == reading.mg


@pytest.mark.skipif(not HAS_PSEUDO_TERMINALS, reason="pseudo-terminals are not on Windows")
def test_a_pseudo_terminal_pulled_out_and_back(qtbot, tmp_path) -> None:
    port = PseudoTerminal(tmp_path / "scale").plug_in()
    link = ScaleLink()
    link.use(ScaleSettings(serial=SerialSettings(str(port.link))))
    qtbot.waitUntil(lambda: link.is_connected)
    port.send(b"\r\n" + STEADY % b"4.200kg")
    qtbot.waitUntil(lambda: link.steady is not None)
    assert link.take().mg == 4_200_000
    port.pull_out()
    qtbot.waitUntil(lambda: link.trouble is not None)
    assert link.trouble.code == "device_unplugged"
    link.close()
    port.close()
