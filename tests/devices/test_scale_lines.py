"""Lines of ASCII scales: the usual shapes are read, anything else gives no mass."""

from decimal import Decimal

import pytest
from device_streams import CRATE_PUT_ON, NO_MARKS
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.devices.scale_lines import read_scale_line
from farmdesk.errors import DeviceTrouble, FarmdeskError, NotUnderstood
from farmdesk.wording.sentences import say_error


# Shapes of lines: common practice of scales with a serial port, no source, from memory.
@pytest.mark.parametrize(
    ("line", "mg", "unit", "stable", "net"),
    [
        ("ST,GS,+  1.234kg", 1_234_000, "kg", True, False),
        ("US,NT,+  0.012lb", 5_443, "lb", False, True),
        ("  1.550 lb", 703_068, "lb", None, None),
        ("+0001.55 kg S", 1_550_000, "kg", True, None),
        ("\x02  540 g\x03", 540_000, "g", None, None),
        ("N 12.4 oz ?", 351_534, "oz", False, True),
        ("G, .5 LB", 226_796, "lb", None, False),
        ("ST,NT,-  0.000kg", 0, "kg", True, True),
    ],
)
def test_usual_lines_are_read(line, mg, unit, stable, net):
    found = read_scale_line(line)
    assert (found.mg, found.unit, found.stable, found.net) == (mg, unit, stable, net)


@pytest.mark.parametrize(
    ("line", "division_mg"), [("1.550 kg", 1_000), ("540 g", 1_000), ("1.5 kg", 100_000)]
)
def test_division_is_the_step_of_the_last_digit(line, division_mg):
    assert read_scale_line(line).division_mg == division_mg


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("", "scale_line_not_understood"),
        ("ST,GS,+  1.234", "scale_line_not_understood"),
        ("1.234", "scale_line_without_unit"),
        ("1.234 ct", "scale_line_without_unit"),
        ("123 G", "scale_line_without_unit"),
        ("1,234 kg", "scale_comma_unclear"),
        ("ST,GS,+1,234kg", "scale_comma_unclear"),
        ("1.234 kg 2.345 kg", "scale_line_not_understood"),
        ("2 lb 3.5 oz", "scale_line_not_understood"),
        ("1 234 kg", "scale_line_not_understood"),
        ("1.2e3 kg", "scale_line_not_understood"),
        ("1.2.3 kg", "scale_line_not_understood"),
        ("+-1.2 kg", "scale_line_not_understood"),
        ("ST,US,+  1.234kg", "scale_line_not_understood"),
        ("GS,NT,+  1.234kg", "scale_line_not_understood"),
        ("TR 0.800 kg", "scale_line_not_understood"),
        ("1.234 kg lb", "scale_line_not_understood"),
        ("١٫٢ kg", "scale_line_not_understood"),
        ("1.2\ufffd4 kg", "scale_line_not_understood"),
        ("1.2\x1b34 kg", "scale_line_not_understood"),
        ("9" * 200 + " kg", "scale_line_not_understood"),
    ],
)
def test_what_is_no_weight_is_not_understood(line, code):
    with pytest.raises(NotUnderstood) as caught:
        read_scale_line(line)
    assert caught.value.problems[0].code == code
    assert "{" not in say_error(caught.value)


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("OL,GS,+999999kg", "scale_overload"),
        ("   OL   kg", "scale_overload"),
        ("------ kg", "scale_shows_dashes"),
        ("ST,GS,- - - -", "scale_shows_dashes"),
        ("UL", "scale_under_zero"),
        ("ST,NT,-  0.012lb", "scale_under_zero"),
        ("999999999 kg", "scale_absurd"),
    ],
)
def test_scale_without_a_weight_says_so(line, code):
    with pytest.raises(DeviceTrouble) as caught:
        read_scale_line(line)
    assert caught.value.problems[0].code == code


def test_decimal_comma_only_when_it_is_set():
    assert read_scale_line("ST,GS,+  1,234kg", decimal_comma=True).mg == 1_234_000
    for line in ("1.234 kg", "1,234,567 kg", "1.234,5 kg"):
        with pytest.raises(NotUnderstood):
            read_scale_line(line, decimal_comma=True)


@given(st.text(alphabet="0123456789.,+- kglbozSTUGNOLM?\x02\r\ufffd", max_size=24))
def test_no_garbage_gives_a_mass(text):
    try:
        found = read_scale_line(text)
    except FarmdeskError:
        return
    digits = "".join(sign for sign in text if sign in "0123456789.").strip(".")
    scale = {"kg": 1_000_000, "g": 1_000, "lb": Decimal("453592.37"),
             "oz": Decimal("28349.523125")}[found.unit]  # fmt: skip
    assert text.count(found.unit) or text.upper().count(found.unit.upper())
    assert abs(found.mg - Decimal(digits) * scale) <= 1
    assert "OL" not in text


@given(st.binary(max_size=40))
def test_bytes_of_a_wrong_speed_raise_nothing_else(data):
    try:
        found = read_scale_line(data.decode("utf-8", errors="replace"))
    except FarmdeskError:
        return
    assert found.mg >= 0
    assert found.unit in {"kg", "g", "lb", "oz"}


@given(st.sampled_from((CRATE_PUT_ON + NO_MARKS).split(b"\r\n")[:-1]), st.data())
def test_one_wrong_byte_gives_no_mass_of_another_shape(line, data):
    at = data.draw(st.integers(0, len(line) - 1))
    wrong = data.draw(st.integers(128, 255))
    spoiled = line[:at] + bytes([wrong]) + line[at + 1 :]
    with pytest.raises(FarmdeskError):
        read_scale_line(spoiled.decode("utf-8", errors="replace"))
