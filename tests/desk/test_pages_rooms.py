"""The rooms' page: readings typed and read in, charts with batches, the CO₂ sum, print, export."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from farm_window import FarmWindow, has_charts
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest
from working_farm import days_ago, fill_farm

from farmdesk.actions.climate import note_reading
from farmdesk.desk.pages.climate_dialogs import read_clock
from farmdesk.desk.pages.climate_import import ImportDialog
from farmdesk.desk.pages.climate_part import ClimatePart
from farmdesk.domain.climate import ClimateDay, LoggerFormat, RoomReading
from farmdesk.errors import NotUnderstood

FILE = "time;temp °C;rh;co2\n" + "".join(
    f"2026-03-02 {hour:02d}:00;{16 + hour / 10:.1f};90;{800 + hour}\n" for hour in range(24)
)


@pytest.fixture
def part(farm_window: FarmWindow) -> ClimatePart:
    found = farm_window.show("rooms").show_part("climate")
    assert isinstance(found, ClimatePart)
    farm_window.settle()
    return found


def write(folder: Path, text: str = FILE) -> Path:
    path = folder / "shelf.csv"
    path.write_text(text, encoding="utf-8")
    return path


def open_import(part: ClimatePart, shown: FarmWindow, path: Path) -> ImportDialog:
    part.choose_file = lambda: str(path)
    part.read_file()
    dialog = shown.dialog()
    assert isinstance(dialog, ImportDialog)
    return dialog


def test_an_empty_farm_says_what_to_do(farm_window: FarmWindow, part: ClimatePart) -> None:
    assert "no readings from" in part.sentence.text()
    assert "Ctrl+I" in part.chart.empty_text
    assert part.chart.is_empty()
    assert "5,000 ppm" in part.caution.text()
    assert len(farm_window.show("rooms").help()) > 200


def test_a_reading_is_typed_in_fahrenheit(farm_window: FarmWindow, part: ClimatePart) -> None:
    part.type_reading()
    dialog = farm_window.dialog()
    dialog.celsius.line.setText("65 F")
    dialog.humidity.line.setText("88")
    dialog.try_save()
    farm_window.settle()
    (kept,) = farm_window.all("room_reading")
    assert isinstance(kept, RoomReading)
    assert (kept.celsius, kept.humidity, kept.co2) == (Decimal("18.33"), Decimal("88.0"), None)
    assert kept.typed == "65 F, 88 %"
    assert "18.3 °C" in part.sentence.text()
    assert not part.chart.is_empty()


def test_nothing_typed_is_told_at_the_field(farm_window: FarmWindow, part: ClimatePart) -> None:
    part.type_reading()
    dialog = farm_window.dialog()
    dialog.try_save()
    farm_window.settle()
    assert "Nothing was read yet" in dialog.celsius.problem_text()
    dialog.reject()


def test_a_typed_reading_is_corrected_and_taken_away(
    farm_window: FarmWindow, part: ClimatePart
) -> None:
    room = part.view.climate.room.id if part.view and part.view.climate.room else 0
    farm_window.act(lambda act: note_reading(act, room=room, co2=900), happened_at=days_ago(1))
    part.tables.setCurrentIndex(3)
    part.tables.activated.emit(3)
    assert part.sheet.list is not None
    part.sheet.list.choose(lambda _row: True)
    part._correct()
    dialog = farm_window.dialog()
    assert dialog.co2.value() == 900
    dialog.co2.line.setText("950")
    dialog.try_save()
    farm_window.settle()
    assert [one.co2 for one in farm_window.all("room_reading")] == [950]
    part.sheet.list.choose(lambda _row: True)
    part._remove()
    farm_window.settle()
    assert farm_window.all("room_reading") == []


def test_a_file_is_read_in_once(farm_window: FarmWindow, part: ClimatePart, tmp_path: Path) -> None:
    dialog = open_import(part, farm_window, write(tmp_path))
    assert "Guessed" in dialog.sentence.text()
    assert "16 °C,  90.0%,  800 ppm" in dialog.preview.text().replace("\xa0", "")
    dialog.try_save()
    told = farm_window.dialog()
    assert told.sentence.text() == "24 readings taken in."
    told.accept()
    farm_window.settle()
    days = farm_window.all("climate_day")
    assert sum(one.readings for one in days if isinstance(one, ClimateDay)) == 24
    # The page goes to the days of the newest reading, months ago.
    assert "16.0 to 18.3" in part.sentence.text()
    again = open_import(part, farm_window, tmp_path / "shelf.csv")
    assert "read the same way again" in again.sentence.text()
    again.try_save()
    told = farm_window.dialog()
    assert "Nothing was added" in told.sentence.text()
    told.accept()
    assert len(farm_window.all("logger_format")) == 1


def test_values_that_cannot_be_are_asked_about_with_their_lines(
    farm_window: FarmWindow, part: ClimatePart, tmp_path: Path
) -> None:
    path = write(tmp_path, FILE + "2026-03-03 00:00;-127;90;800\n")
    open_import(part, farm_window, path).try_save()
    question = farm_window.dialog()
    assert "1 value cannot be taken: line 26, temp °C: “-127”" in question.sentence.text()
    question.accept()
    told = farm_window.dialog()
    assert "line 26" in told.details.toPlainText()
    told.accept()
    farm_window.settle()
    # What else stood on that line was taken.
    assert sum(one.readings for one in farm_window.all("climate_day")) == 25


def test_no_to_the_question_keeps_the_form_open(
    farm_window: FarmWindow, part: ClimatePart, tmp_path: Path
) -> None:
    dialog = open_import(part, farm_window, write(tmp_path, FILE + "2026-03-03 00:00;999;90;8\n"))
    dialog.try_save()
    farm_window.dialog().reject()
    farm_window.settle()
    assert dialog.isVisible()
    assert dialog.save_button.isEnabled()
    assert farm_window.all("climate_day") == []
    dialog.reject()


def test_a_wrong_choice_of_columns_is_told(
    farm_window: FarmWindow, part: ClimatePart, tmp_path: Path
) -> None:
    dialog = open_import(part, farm_window, write(tmp_path))
    dialog.form.fields["humidity"].set_value(1)
    dialog.try_save()
    farm_window.settle()
    assert "for two things" in dialog.form.fields["humidity"].problem_text()
    dialog.reject()


def test_a_file_without_readings_is_told_calmly(
    farm_window: FarmWindow, part: ClimatePart, tmp_path: Path
) -> None:
    part.choose_file = lambda: str(write(tmp_path, "hello\nthere\n"))
    part.read_file()
    told = farm_window.dialog()
    assert "No line of shelf.csv" in told.sentence.text()
    told.accept()


def test_figures_and_spans_of_days_are_chosen(
    farm_window: FarmWindow, part: ClimatePart, tmp_path: Path
) -> None:
    open_import(part, farm_window, write(tmp_path)).try_save()
    farm_window.dialog().accept()
    farm_window.settle()
    for at in range(part.figure.count()):
        part.figure.setCurrentIndex(at)
        part.figure.activated.emit(at)
        assert part.chart.chart is not None
        assert not part.chart.is_empty()
    part.range.choose_period("days")
    part.range.first.line.setText("2026-03-02")
    part.range.last.line.setText("2026-03-01")
    part.range.last.line.returnPressed.emit()
    assert "before the first day" in part.range.last.problem_text()
    part.range.last.line.setText("2026-03-02")
    part.range.last.line.returnPressed.emit()
    farm_window.settle()
    assert part.view is not None
    assert part.view.climate.readings == 24
    part.range.choose_period("ten")
    farm_window.settle()
    assert part.view.climate.lanes == ()


def test_batches_stand_under_the_climate(farm_window: FarmWindow, part: ClimatePart) -> None:
    farm = fill_farm(farm_window.act)
    room = part.view.climate.room if part.view else None
    assert room is not None
    farm_window.act(lambda act: note_reading(act, room=room.id, celsius=Decimal(30)))
    part.refresh()
    farm_window.settle()
    names = {one.name for one in part.lanes.lanes}
    assert names == {batch.name for batch in farm.batches}
    part.lanes.setFocus()
    QTest.keyClick(part.lanes, Qt.Key.Key_Down)
    assert part.lanes.accessibleDescription().startswith(part.lanes.lanes[0].name)
    seen: list[str] = []
    part.lanes.opened.connect(seen.append)
    QTest.keyClick(part.lanes, Qt.Key.Key_Return)
    assert seen == [part.lanes.lanes[0].name]
    farm_window.show("rooms")
    QTest.mouseClick(
        part.lanes, Qt.MouseButton.LeftButton, pos=QPointF(40, part.lanes._row * 1.5).toPoint()
    )
    assert part.lanes.place == 1
    assert not part.lanes.grab().isNull()
    assert part.view is not None
    row = next(iter(part.view.tables[0].rows))
    assert row[0] in names


def test_the_sum_of_co2_is_the_worked_one(farm_window: FarmWindow, part: ClimatePart) -> None:
    part.work_out_co2()
    dialog = farm_window.dialog()
    # 100 mg/kg/h x 20 kg = 2 g/h = 1.09 L/h at 20 C; 60 m3/h: 420 + 1e6 x 0.00109 / 60 = 438 ppm.
    assert dialog.answer.text().startswith("438 ppm in the end; 432 ppm after half an hour.")
    assert "1.1 L" in dialog.answer.text()
    dialog.form.fields["changes"].line.setText("0")
    assert "⚠" in dialog.answer.text()
    dialog.reject()


def test_print_and_export(farm_window: FarmWindow, part: ClimatePart, tmp_path: Path,
                          monkeypatch: pytest.MonkeyPatch) -> None:  # fmt: skip
    room = part.view.climate.room if part.view else None
    assert room is not None
    farm_window.act(lambda act: note_reading(act, room=room.id, celsius=Decimal(16)))
    assert part.print_page()
    farm_window.settle()
    assert has_charts(farm_window)
    target = tmp_path / "climate.csv"
    monkeypatch.setattr(
        "farmdesk.desk.exporting.QFileDialog.getSaveFileName", lambda *_: (str(target), "")
    )
    part.tables.setCurrentIndex(1)
    part.tables.activated.emit(1)
    part.export()
    farm_window.settle()
    assert "mean_c,lowest_c,highest_c" in target.read_text(encoding="utf-8-sig")


@pytest.mark.parametrize(
    ("text", "clock"),
    [("14:30", "14:30"), ("2:30 pm", "14:30"), ("7 am", "07:00"), ("0715", "07:15")],
)
def test_clock_times_as_typed(text: str, clock: str) -> None:
    assert read_clock(text) == clock


def test_what_is_no_clock_time() -> None:
    with pytest.raises(NotUnderstood):
        read_clock("25:00")


def test_a_form_is_remembered_with_its_room(
    farm_window: FarmWindow, part: ClimatePart, tmp_path: Path
) -> None:
    dialog = open_import(part, farm_window, write(tmp_path))
    dialog.form.fields["logger"].set_value("Shelf top")
    dialog.form.fields["zone"].set_value("standard")
    dialog.try_save()
    farm_window.dialog().accept()
    farm_window.settle()
    (form,) = farm_window.all("logger_format")
    assert isinstance(form, LoggerFormat)
    assert (form.logger, form.clock, form.columns) == (
        "Shelf top", "standard", "time=0 celsius=1 humidity=2 co2=3",
    )  # fmt: skip
