"""Lines of a port: whole ones only, slow ones too, and a port that comes and goes."""

import importlib

import pytest
from device_streams import HAS_PSEUDO_TERMINALS, WAIT_SECONDS, Heard, MemoryPort, PseudoTerminal
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.devices.device_thread import Connected, Lost
from farmdesk.devices.serial_lines import (
    LONGEST_LINE_BYTES,
    LineCutter,
    SerialLines,
    SerialSettings,
    list_ports,
)
from farmdesk.errors import DeviceTrouble, Refused
from farmdesk.wording.sentences import say, say_error


@given(st.lists(st.text(alphabet="ST,GSU+0123456789. kg", min_size=1, max_size=20)), st.data())
def test_lines_are_the_same_however_the_bytes_arrive(lines, data):
    stream = "".join(line + "\r\n" for line in lines).encode()
    cutter, got = LineCutter(), []
    while stream:
        size = data.draw(st.integers(0, len(stream)))
        got += cutter.cut(stream[:size])
        stream = stream[size:]
    assert got == lines


@pytest.mark.parametrize(
    ("terminator", "stream", "lines"),
    [
        ("any", b"a\rb\nc\r\nd", ["a", "b", "c"]),
        ("any", b"a\tb\r", ["a\tb"]),
        ("any_or_tab", b"a\rb\tc\r\nd\t\r\ne", ["a", "b", "c", "d"]),
        ("tab", b"a\tb\t", ["a", "b"]),
        ("cr", b"a\rb\r", ["a", "b"]),
        ("lf", b"a\nb\n", ["a", "b"]),
        ("crlf", b"a\rx\r\nb\r\n", ["a\rx", "b"]),
        ("etx", b"\x02a\x03\x02b\x03", ["\x02a", "\x02b"]),
    ],
)
def test_ends_of_lines(terminator, stream, lines):
    assert LineCutter(terminator).cut(stream) == lines


def test_the_rest_of_a_line_nobody_heard_begin_is_dropped():
    cutter = LineCutter(skip_first=True)
    assert cutter.cut(b"34 kg\r\n1.250 kg\r\n") == ["1.250 kg"]
    late = LineCutter(skip_first=True)
    assert late.cut(b"34 ") == []
    assert late.cut(b"") == []
    assert late.cut(b"kg\r\n1.250 kg\r\n") == ["1.250 kg"]


def test_the_first_line_after_silence_is_whole():
    cutter = LineCutter(skip_first=True)
    assert cutter.cut(b"") == []
    assert cutter.cut(b"1.250 kg\r\n") == ["1.250 kg"]


def test_a_line_without_end_is_told_once_and_does_not_grow():
    cutter = LineCutter()
    told = [line for _ in range(20) for line in cutter.cut(b"9" * 400)]
    assert told == ["9" * LONGEST_LINE_BYTES + "…"]
    assert cutter.cut(b"9\r\n1 kg\r\n") == ["1 kg"]


def test_silence_ends_a_line_that_has_no_end():
    cutter = LineCutter(silence_ends=3)
    assert cutter.cut(b"20000") == []
    assert [cutter.cut(b""), cutter.cut(b"")] == [[], []]
    assert cutter.cut(b"00155") == []
    assert [cutter.cut(b"") for _ in range(5)] == [[], [], ["2000000155"], [], []]
    assert cutter.cut(b"\r\n") == []
    assert cutter.cut(b"2000000252\r") == ["2000000252"]


def test_silence_ends_the_rest_of_a_line_that_was_too_long():
    cutter = LineCutter(silence_ends=1)
    assert len(cutter.cut(b"9" * (LONGEST_LINE_BYTES + 1))) == 1
    assert [cutter.cut(b"99"), cutter.cut(b"")] == [[], []]
    assert cutter.cut(b"2000000252\r") == ["2000000252"]


def test_without_being_told_so_silence_ends_nothing():
    cutter = LineCutter()
    cutter.cut(b"1.2")
    assert [cutter.cut(b"") for _ in range(50)] == [[]] * 50
    assert cutter.cut(b"50 kg\r\n") == ["1.250 kg"]


class Port:
    """A port under test, the lines it gave and the news it told."""

    def __init__(self, line, settings, open_source=None):
        self.line = line
        self.lines, self.news = Heard(), Heard()
        self.heard = SerialLines(
            settings,
            take_line=self.lines.put,
            tell=self.news.put,
            open_source=open_source,
            retry_seconds=0.02,
        )


@pytest.fixture
def port(tmp_path):
    """A port that is not plugged in: a pseudo-terminal where there are any, else in memory."""
    if HAS_PSEUDO_TERMINALS:
        line = PseudoTerminal(tmp_path / "bench scale")
        port = Port(line, SerialSettings(str(line.link)))
    else:
        line = MemoryPort()
        port = Port(line, SerialSettings("bench scale"), line.open_source)
    yield port
    port.heard.stop()
    if HAS_PSEUDO_TERMINALS:
        line.close()
    assert not port.heard.is_running()


def test_lines_come_through_a_port_whole_and_slow_ones_too(port):
    device = port.line.plug_in()
    port.heard.start()
    port.news.wait_for(Connected)
    device.send(b"ST,GS,+  1.2")
    device.send(b"34k")
    device.send(b"g\r\n\r\nsecond\r\nthi")
    assert port.lines.get(timeout=WAIT_SECONDS) == "ST,GS,+  1.234kg"
    assert port.lines.get(timeout=WAIT_SECONDS) == "second"
    device.send(b"rd\r\n")
    assert port.lines.get(timeout=WAIT_SECONDS) == "third"


def test_pulled_out_is_told_once_and_found_again_by_itself(port):
    device = port.line.plug_in()
    port.heard.start()
    port.news.wait_for(Connected)
    device.send(b"first\r\nhalf a li")
    assert port.lines.get(timeout=WAIT_SECONDS) == "first"
    device.pull_out()
    lost = port.news.wait_for(Lost)
    assert lost.problem.code == "device_unplugged"
    assert "Nothing was recorded" in say(lost.problem)
    device = port.line.plug_in()
    assert isinstance(port.news.get(timeout=WAIT_SECONDS), Connected)
    device.send(b"whole\r\n")
    assert port.lines.get(timeout=WAIT_SECONDS) == "whole"
    assert port.news.rest() == []


def test_a_port_that_is_not_there_is_told_once_and_looked_for(port):
    port.heard.start()
    lost = port.news.wait_for(Lost)
    assert lost.problem.code == "device_not_opened"
    assert "plugged in" in say(lost.problem)
    port.line.plug_in()
    assert isinstance(port.news.get(timeout=WAIT_SECONDS), Connected)


def test_stop_before_start_and_twice(port):
    port.heard.stop()
    port.heard.stop()
    assert not port.heard.is_running()


def test_a_port_with_odd_settings_is_refused_setting_by_setting():
    odd = SerialSettings("", 0, data_bits=9, parity="Q", stop_bits=3, terminator="dot")
    with pytest.raises(Refused) as caught:
        SerialLines(odd, take_line=print, tell=print)
    names = [one.facts["name"] for one in caught.value.problems]
    assert names == ["port", "speed", "data bits", "parity", "stop bits", "end of line"]


def test_lines_through_the_library_looped_back():
    # pyserial's own loop:// port: what is written is read again.
    lines = Heard()
    opened = Heard()

    class Looped:
        def __init__(self):
            serial = importlib.import_module("serial")
            self.port = serial.serial_for_url("loop://", timeout=0.05)
            opened.put(self.port)

        def read(self):
            return self.port.read(1)

        def close(self):
            self.port.close()

    heard = SerialLines(
        SerialSettings("loop://"), take_line=lines.put, tell=lambda news: None, open_source=Looped
    )
    heard.start()
    opened.get(timeout=WAIT_SECONDS).write(b"  1.550 lb\r\n")
    assert lines.get(timeout=WAIT_SECONDS) == "  1.550 lb"
    heard.stop()


def test_ports_are_listed_with_names():
    ports = list_ports()
    assert sorted(one.port for one in ports) == [one.port for one in ports]
    assert all(one.port and one.description for one in ports)


def test_without_the_library_a_sentence_says_what_to_install(monkeypatch):
    monkeypatch.setitem(__import__("sys").modules, "serial", None)
    with pytest.raises(DeviceTrouble) as caught:
        SerialLines(SerialSettings("COM3"), take_line=print, tell=print)
    assert "pyserial" in say_error(caught.value)
    with pytest.raises(DeviceTrouble):
        list_ports()
