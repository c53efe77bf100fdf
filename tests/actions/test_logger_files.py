"""Files of loggers of invention: encodings, delimiters, headings, clocks, faults with lines."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from farmdesk.actions.logger_files import (
    Choice,
    choice_of,
    form_of,
    guess_choice,
    open_logger_file,
)
from farmdesk.actions.logger_rows import read_logger_file, show_choice
from farmdesk.actions.logger_times import TimeReader
from farmdesk.errors import Refused

BERLIN, UTC_ZONE = ZoneInfo("Europe/Berlin"), ZoneInfo("UTC")
LATE = 1 << 40


def at(text: str) -> int:
    return int(datetime.fromisoformat(text).replace(tzinfo=UTC).timestamp())


def write(folder: Path, text: str, encoding: str = "utf-8") -> Path:
    path = folder / "readings.csv"
    path.write_bytes(text.encode(encoding))
    return path


def read(path: Path, zone: ZoneInfo = UTC_ZONE, *, month_first: bool = False, **changed):
    file = open_logger_file(path)
    choice = guess_choice(file, month_first=month_first)
    choice = Choice(**{**vars(choice), **changed})
    return choice, read_logger_file(file, choice, zone=zone, now_s=LATE)


GERMAN = (
    "Gerät;TH 7\nSeriennummer;0099\n\n"
    "Datum;Uhrzeit;Temperatur (°C);rel. Feuchte (%);Taupunkt (°C);CO2 [ppm]\n"
    "13.11.2026;08:00:00;18,5;91,2;17,0;1.204\n"
    "13.11.2026;08:05:00;18,6;90,9;17,0;1.198\n"
)
AMERICAN = (
    "Time,Temp(F),Humidity(%RH),Battery(%)\n"
    "11/02/2026 12:00:00 AM,65.3,88.1,99\n11/02/2026 1:05:00 PM,66.2,87.9,99\n"
)
PLAIN = "2026-11-02 00:00:00\t16.5\t91.2\t840\n2026-11-02 00:05:00\t16.6\t91.0\t845\n"
EPOCH = "ts,t,rh\n1793577600,16.5,91.2\n1793577900,16.6,91.0\n"
QUOTED = '"time","temp °C","rh"\n"2026-11-02T00:00:00+01:00","18,5","91,2"\n' \
         '"2026-11-02T00:05:00+01:00","18,6","91,0"\n'  # fmt: skip


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"])
def test_a_german_file_in_any_encoding(tmp_path: Path, encoding: str) -> None:
    choice, found = read(write(tmp_path, GERMAN, encoding), BERLIN)
    assert (choice.time, choice.clock, choice.celsius, choice.humidity, choice.co2) == (
        0, 1, 2, 3, 5,
    )  # fmt: skip
    assert (choice.day_order, choice.decimal, choice.unit) == ("dmy", ",", "C")
    assert found.readings.seconds[0] == at("2026-11-13T07:00:00")
    assert list(found.readings.celsius) == [18.5, 18.6]
    assert list(found.readings.co2) == [1204, 1198]


def test_an_american_file_in_fahrenheit(tmp_path: Path) -> None:
    choice, found = read(write(tmp_path, AMERICAN), month_first=True)
    assert (choice.unit, choice.day_order, choice.co2) == ("F", "mdy", None)
    assert list(found.readings.seconds) == [at("2026-11-02T00:00:00"), at("2026-11-02T13:05:00")]
    # 65.3 F = 18.5 C exactly.
    assert found.readings.celsius[0] == pytest.approx(18.5)


def test_the_same_day_is_another_where_the_day_comes_first(tmp_path: Path) -> None:
    _, found = read(write(tmp_path, AMERICAN), month_first=False)
    assert found.readings.seconds[0] == at("2026-02-11T00:00:00")


def test_a_file_without_headings_is_guessed_by_size(tmp_path: Path) -> None:
    choice, found = read(write(tmp_path, PLAIN))
    assert (choice.celsius, choice.humidity, choice.co2) == (1, 2, 3)
    assert len(found.readings) == 2


def test_seconds_since_1970_and_times_with_their_own_offset(tmp_path: Path) -> None:
    _, found = read(write(tmp_path, EPOCH), BERLIN)
    assert found.readings.seconds[0] == 1_793_577_600
    _, found = read(write(tmp_path, QUOTED))
    assert found.readings.seconds[0] == at("2026-11-01T23:00:00")
    assert list(found.readings.celsius) == [18.5, 18.6]


def test_error_codes_of_sensors_are_refused_with_their_lines(tmp_path: Path) -> None:
    text = (
        "time,temp,rh,co2\n2026-11-02 00:00,16.5,91,840\n2026-11-02 00:05,-127,999,65535\n"
        "2026-11-02 00:10,85,0,nan\nyesterday,16,90,800\n2026-11-02 00:20,warm,90,800\n"
    )
    file = open_logger_file(write(tmp_path, text))
    found = read_logger_file(file, guess_choice(file), zone=UTC_ZONE, now_s=LATE)
    told = [(one.line, one.column, one.text, one.reason) for one in found.refused]
    assert told == [
        (3, "temp", "-127", "out_of_range"), (3, "rh", "999", "out_of_range"),
        (3, "co2", "65535", "out_of_range"), (4, "temp", "85", "out_of_range"),
        (4, "rh", "0", "out_of_range"), (5, "time", "yesterday", "no_time"),
        (6, "temp", "warm", "no_number"),
    ]  # fmt: skip
    assert found.refused_count == 7
    # What is good on a line is kept.
    assert list(found.readings.seconds) == [at("2026-11-02T00:00:00"), at("2026-11-02T00:20:00")]


def test_air_a_little_over_a_hundred_percent_is_saturated(tmp_path: Path) -> None:
    text = "time,temp,rh\n2026-11-02 00:00,16.5,101.2\n2026-11-02 00:05,16.5,108\n"
    _, found = read(write(tmp_path, text))
    assert found.readings.humidity[0] == 100.0
    assert found.refused_count == 1


def test_readings_of_the_future_are_refused(tmp_path: Path) -> None:
    file = open_logger_file(write(tmp_path, PLAIN))
    now = at("2026-11-02T00:02:00")
    found = read_logger_file(file, guess_choice(file), zone=UTC_ZONE, now_s=now)
    assert [one.reason for one in found.refused] == ["in_future"]


def test_the_hour_that_comes_twice_and_the_one_that_is_left_out() -> None:
    # In Berlin clocks went back at 03:00 on 2026-10-25 and will go forth at 02:00 on 2027-03-28.
    times = TimeReader("ymd", "farm", BERLIN)
    texts = ["2026-10-25 01:30", "2026-10-25 02:00", "2026-10-25 02:30", "2026-10-25 02:00",
             "2026-10-25 02:30", "2026-10-25 03:00"]  # fmt: skip
    found = [times.read(one) for one in texts]
    first = at("2026-10-24T23:30:00")
    assert [one - first for one in found if one is not None] == [
        0, 1_800, 3_600, 5_400, 7_200, 9_000,
    ]  # fmt: skip
    winter = TimeReader("ymd", "standard", BERLIN)
    assert winter.read("2026-07-01 12:00") == at("2026-07-01T11:00:00")
    assert TimeReader("ymd", "farm", BERLIN).read("2026-07-01 12:00") == at("2026-07-01T10:00:00")
    assert TimeReader("ymd", "utc", BERLIN).read("2026-07-01 12:00") == at("2026-07-01T12:00:00")


@pytest.mark.parametrize(
    ("text", "order", "wanted"),
    [
        ("2026/11/02 03:04", "ymd", "2026-11-02T03:04:00"),
        ("02.11.26 03:04:05", "dmy", "2026-11-02T03:04:05"),
        ("02-Nov-2026 03:04", "mdy", "2026-11-02T03:04:00"),
        ("11/02/26 12:04 am", "mdy", "2026-11-02T00:04:00"),
        ("2026-11-02T03:04:05.250Z", "dmy", "2026-11-02T03:04:05"),
        ("2026-11-02 03:04 -0500", "ymd", "2026-11-02T08:04:00"),
    ],
)
def test_forms_of_time(text: str, order, wanted: str) -> None:
    assert TimeReader(order, "utc", UTC_ZONE).read(text) == at(wanted)


@pytest.mark.parametrize("text", ["2026-02-30 03:04", "2026-11-02 25:00", "13:00 pm", "soon", "",
                                  "11/02/2026 13:04 PM"])  # fmt: skip
def test_what_is_no_time(text: str) -> None:
    assert TimeReader("mdy", "utc", UTC_ZONE).read(text) is None


def test_a_choice_is_remembered_by_the_headings(tmp_path: Path) -> None:
    file = open_logger_file(write(tmp_path, GERMAN))
    chosen = Choice(time=0, clock=1, celsius=4, unit="F", day_order="mdy", zone="standard")
    form = form_of(file, chosen, logger="Top", room=3)
    assert choice_of(form) == chosen
    assert guess_choice(file, [form]) == chosen
    other = open_logger_file(write(tmp_path, AMERICAN))
    assert guess_choice(other, [form]).celsius == 1


def test_the_first_lines_are_shown_as_they_would_be_read(tmp_path: Path) -> None:
    file = open_logger_file(write(tmp_path, AMERICAN))
    shown = show_choice(file, guess_choice(file, month_first=True), zone=UTC_ZONE)
    assert shown[0][0] == at("2026-11-02T00:00:00")
    assert shown[0][1] == pytest.approx(18.5)
    assert shown[0][3] is None


@pytest.mark.parametrize(
    ("choice", "code"),
    [
        (Choice(celsius=1), "logger_time_missing"),
        (Choice(time=0), "logger_figure_missing"),
        (Choice(time=0, celsius=1, humidity=1), "logger_column_twice"),
    ],
)
def test_choices_that_cannot_be(tmp_path: Path, choice: Choice, code: str) -> None:
    file = open_logger_file(write(tmp_path, PLAIN))
    with pytest.raises(Refused) as refused:
        read_logger_file(file, choice, zone=UTC_ZONE, now_s=LATE)
    assert [one.code for one in refused.value.problems] == [code]


@pytest.mark.parametrize(
    ("text", "code"),
    [("", "logger_file_empty"), ("\n \n", "logger_file_empty"),
     ("hello\nworld\n", "logger_file_no_readings"), ("a,b\n1,2\n", "logger_file_no_readings"),
     ("\x00\x01\x02", "logger_file_no_readings")],
)  # fmt: skip
def test_files_without_readings(tmp_path: Path, text: str, code: str) -> None:
    with pytest.raises(Refused) as refused:
        open_logger_file(write(tmp_path, text))
    assert refused.value.problems[0].code == code


def test_a_missing_file_is_told(tmp_path: Path) -> None:
    with pytest.raises(Refused) as refused:
        open_logger_file(tmp_path / "gone.csv")
    assert refused.value.problems[0].code == "logger_file_unreadable"


def test_reading_can_be_stopped_and_tells_how_far_it_is(tmp_path: Path) -> None:
    rows = "".join(f"2026-11-02 {n // 60:02d}:{n % 60:02d},16.5,90\n" for n in range(1_200))
    file = open_logger_file(write(tmp_path, "time,temp,rh\n" + rows))
    told: list[tuple[int, int]] = []
    read_logger_file(file, guess_choice(file), zone=UTC_ZONE, now_s=LATE,
                     tell=lambda done, total: told.append((done, total)))  # fmt: skip
    assert told[0][1] == 1_201
    with pytest.raises(Refused) as refused:
        read_logger_file(file, guess_choice(file), zone=UTC_ZONE, now_s=LATE,
                         is_cancelled=lambda: True)  # fmt: skip
    assert refused.value.problems[0].code == "logger_import_stopped"
