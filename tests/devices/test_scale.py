"""Scales on the bench: serial and USB, taken once, troubles told once, gone and back."""

import sys

import pytest
from device_streams import (
    CRATE_PUT_ON,
    HAS_PSEUDO_TERMINALS,
    NO_MARKS,
    WAIT_SECONDS,
    Heard,
    MemoryPort,
    PseudoTerminal,
)

from farmdesk.devices.device_thread import Connected, Lost
from farmdesk.devices.hid_scale import HidScaleSource, list_hid_scales
from farmdesk.devices.scale import (
    HidScale,
    Live,
    NoWeight,
    ScaleSettings,
    SerialScale,
    Taken,
    open_scale,
)
from farmdesk.devices.serial_lines import SerialSettings
from farmdesk.errors import DeviceTrouble
from farmdesk.wording.sentences import say, say_error


@pytest.fixture
def line():
    return MemoryPort()


@pytest.fixture
def started():
    """Starts scales and stops them after the test."""
    scales = []

    def start(scale):
        scales.append(scale)
        scale.start()
        return scale

    yield start
    for scale in scales:
        scale.stop()


def serial_scale(line, news, **settings):
    return SerialScale(
        ScaleSettings(**settings),
        news.put,
        serial=SerialSettings("bench"),
        open_source=line.open_source,
        retry_seconds=0.02,
    )


def test_a_crate_is_taken_once_and_the_next_after_starting_over(line, started):
    news, device = Heard(), line.plug_in()
    device.send(b"")
    scale = started(serial_scale(line, news))
    device.send(CRATE_PUT_ON)
    device.send(b"ST,GS,+  7.000kg\r\nOL\r\n")
    taken = news.wait_for(Taken).reading
    assert (taken.mg, taken.unit) == (5_060_000, "kg")
    shown = news.wait_for(NoWeight)
    assert shown.problem.code == "scale_overload"
    scale.start_over()
    device.send(b"ST,GS,+  4.000kg\r\n")
    assert news.wait_for(Taken).reading.mg == 4_000_000


def test_the_same_crate_counts_again_only_after_it_was_taken_off(line, started):
    news, device = Heard(), line.plug_in()
    device.send(b"")
    scale = started(serial_scale(line, news))
    device.send(b"ST,NT,+  3.460kg\r\n")
    news.wait_for(Taken)
    scale.start_over()
    device.send(b"ST,NT,+  3.460kg\r\nST,NT,-  0.800kg\r\n")
    before = news.get(timeout=WAIT_SECONDS)
    assert isinstance(before, Live)
    assert news.get(timeout=WAIT_SECONDS).problem.code == "scale_under_zero"
    device.send(b"ST,NT,+  3.460kg\r\n")
    assert news.wait_for(Taken).reading.net is True


def test_a_scale_without_marks_waits_for_equal_readings(line, started):
    news, device = Heard(), line.plug_in()
    device.send(b"")
    started(serial_scale(line, news))
    device.send(NO_MARKS)
    assert news.wait_for(Taken).reading.text == "1.550 lb"


def test_a_scale_opened_in_the_middle_of_a_line_gives_no_wrong_mass(line, started):
    news, device = Heard(), line.plug_in()
    device.send(b"34kg\r\nST,GS,+  1.234kg\r\n")
    started(serial_scale(line, news))
    assert news.wait_for(Live).reading.mg == 1_234_000
    assert news.wait_for(Taken).reading.mg == 1_234_000


def test_a_trouble_is_told_once_until_it_changes(line, started):
    news, device = Heard(), line.plug_in()
    device.send(b"")
    started(serial_scale(line, news))
    device.send(b"OL\r\n" * 50 + b"----\r\n" * 50 + b"1.0 kg\r\n" + b"OL\r\n")
    heard = [news.get(timeout=WAIT_SECONDS) for _ in range(5)]
    assert isinstance(heard.pop(0), Connected)
    assert [one.problem.code if isinstance(one, NoWeight) else "live" for one in heard] == [
        "scale_overload",
        "scale_shows_dashes",
        "live",
        "scale_overload",
    ]


def test_unplugging_in_mid_weighing_forgets_the_run_and_comes_back(line, started):
    news, device = Heard(), line.plug_in()
    device.send(b"")
    started(serial_scale(line, news, equal_readings=3))
    device.send(b"2.00 kg\r\n2.00 kg\r\n2.0")
    device.pull_out()
    assert news.wait_for(Lost).problem.code == "device_unplugged"
    again = line.plug_in()
    news.wait_for(Connected)
    again.send(b"")
    again.send(b"2.00 kg\r\n3.00 kg\r\n3.00 kg\r\n3.00 kg\r\n")
    assert news.wait_for(Taken).reading.mg == 3_000_000
    assert device.closed == 1


def test_taken_stays_taken_while_unplugged(line, started):
    news, device = Heard(), line.plug_in()
    device.send(b"")
    started(serial_scale(line, news))
    device.send(b"ST,GS,+  5.060kg\r\n")
    first = news.wait_for(Taken)
    device.pull_out()
    news.wait_for(Lost)
    again = line.plug_in()
    news.wait_for(Connected)
    again.send(b"")
    again.send(b"ST,GS,+  9.000kg\r\n")
    assert news.wait_for(Live).reading.mg == 9_000_000
    assert first.reading.mg == 5_060_000
    assert not [one for one in news.rest() if isinstance(one, Taken)]


def test_open_scale_reads_a_port(tmp_path, started):
    news = Heard()
    if HAS_PSEUDO_TERMINALS:
        device = PseudoTerminal(tmp_path / "scale").plug_in()
        serial = SerialSettings(str(device.link), speed=4800, data_bits=7, parity="E")
        started(open_scale(ScaleSettings(serial=serial), news.put))
    else:
        line = MemoryPort()
        device = line.plug_in()
        started(serial_scale(line, news))
    news.wait_for(Connected)
    device.send(b"rest of a line\r\n" + CRATE_PUT_ON)
    assert news.wait_for(Taken).reading.mg == 5_060_000
    device.pull_out()
    assert news.wait_for(Lost).problem.code == "device_unplugged"


class FakeHid:
    """The binding of hidapi with one scale and one keyboard plugged in."""

    def __init__(self, reports=()):
        self.reports = list(reports)
        self.opened = []

    def enumerate(self):
        keyboard = {"path": b"/k", "usage_page": 1, "product_string": "Keyboard"}
        return [keyboard, {"path": b"/s", "usage_page": 0x8D, "product_string": None}]

    def device(self):
        return self

    def open_path(self, path):
        self.opened.append(path)

    def read(self, size, timeout):
        if not self.reports:
            raise OSError("read error")
        return self.reports.pop(0)

    def close(self):
        self.opened.append("closed")


def test_usb_scale_is_found_by_its_usage_and_read(started):
    hid = FakeHid([[3, 3, 2, 0, 16, 1], [], [3, 4, 2, 0, 20, 0], [3, 6, 2, 0, 0, 0]])
    assert [(one.path, one.name) for one in list_hid_scales(hid)] == [(b"/s", "USB scale")]
    news = Heard()
    started(
        HidScale(
            ScaleSettings(),
            news.put,
            open_source=lambda: HidScaleSource(hid=hid),
            retry_seconds=60,
        )
    )
    assert news.wait_for(Live).reading.stable is False
    assert news.wait_for(Taken).reading.mg == 20_000
    assert news.wait_for(NoWeight).problem.code == "scale_overload"
    assert say(news.wait_for(Lost).problem).startswith("The device at USB scale does not answer")
    assert hid.opened[:2] == [b"/s", "closed"]


def test_no_usb_scale_is_a_calm_sentence(started):
    hid = FakeHid()
    hid.enumerate = list
    news = Heard()
    started(HidScale(ScaleSettings(), news.put, open_source=lambda: HidScaleSource(hid=hid)))
    assert say(news.wait_for(Lost).problem).startswith("No USB scale was found.")


def test_without_hidapi_a_sentence_says_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "hid", None)
    with pytest.raises(DeviceTrouble) as caught:
        open_scale(ScaleSettings(), print)
    assert "hidapi" in say_error(caught.value)
