"""A scanner on a port: each scan once, without what the scanner is set to add."""

import pytest
from device_streams import WAIT_SECONDS, Heard, MemoryPort

from farmdesk.devices.device_thread import Connected, Lost
from farmdesk.devices.scanner import Scanned, Scanner, ScannerSettings, trim_scan
from farmdesk.devices.serial_lines import SerialSettings

PORT = SerialSettings("scanner")


@pytest.mark.parametrize(
    ("line", "prefix", "suffix", "text"),
    [
        ("2000000155", "", "", "2000000155"),
        ("]C12000000155", "]C1", "", "2000000155"),
        ("~2000000155#", "~", "#", "2000000155"),
        ("\x022000000155\x03", "", "", "2000000155"),
        ("  2000000155 ", "", "", "2000000155"),
        ("OY02-0147 #17", "", "", "OY02-0147 #17"),
        ("~", "~", "#", ""),
        ("\x02~2000000155#\x1d", "~", "#", "2000000155"),
    ],
)
def test_scan_without_additions(line, prefix, suffix, text):
    assert trim_scan(line, ScannerSettings(PORT, prefix, suffix)) == text


def test_scans_come_one_by_one_and_the_first_is_not_lost():
    line, news = MemoryPort(), Heard()
    device = line.plug_in()
    scanner = Scanner(
        ScannerSettings(PORT), news.put, open_source=line.open_source, retry_seconds=0.02
    )
    device.send(b"2000000155\r2000000252\r")
    scanner.start()
    try:
        assert isinstance(news.get(timeout=WAIT_SECONDS), Connected)
        assert news.get(timeout=WAIT_SECONDS) == Scanned("2000000155")
        assert news.get(timeout=WAIT_SECONDS) == Scanned("2000000252")
        device.send(b"20000")
        device.pull_out()
        assert isinstance(news.get(timeout=WAIT_SECONDS), Lost)
        line.plug_in().send(b"2000000349\r")
        assert isinstance(news.get(timeout=WAIT_SECONDS), Connected)
        assert news.get(timeout=WAIT_SECONDS) == Scanned("2000000349")
    finally:
        scanner.stop()


def test_a_scanner_without_an_end_of_line_is_heard_too():
    line, news = MemoryPort(), Heard()
    device = line.plug_in()
    scanner = Scanner(ScannerSettings(PORT), news.put, open_source=line.open_source)
    scanner.start()
    try:
        for code in ("2000000155", "2000000252"):
            device.send(code.encode())
            assert news.wait_for(Scanned) == Scanned(code)
    finally:
        scanner.stop()
