"""Preferences: chosen, checked, kept and in use at once; scanner and scale tried in the dialog."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from device_streams import HAS_PSEUDO_TERMINALS, PseudoTerminal
from PySide6.QtWidgets import QApplication
from small_farm import begin_small

from farmdesk.desk.application import Desk
from farmdesk.desk.preferences_dialog import PreferencesDialog
from farmdesk.desk.scanner_keys import Stroke
from farmdesk.desk.scanner_trial import KeyRun, describe_run
from farmdesk.desk.wedge import WedgeSettings
from farmdesk.domain.codes import code_of, make_id
from farmdesk.settings.preferences import Preferences, load_preferences
from farmdesk.store.farm_store import open_farm

CODE = code_of(make_id("bag", 12345))


@pytest.fixture
def desk(qtbot, tmp_path: Path) -> Iterator[Desk]:
    path = tmp_path / "farm.sqlite"
    store = open_farm(path, make=True)
    begin_small(store)
    store.close()
    app = QApplication.instance()
    assert isinstance(app, QApplication)
    made = Desk(app, str(path), Preferences(theme="light"), tmp_path / "preferences.json")
    made.window.show()
    qtbot.waitUntil(lambda: made.session is not None and made.session.store is not None)
    settle(made)
    yield made
    made.end()
    made.window.deleteLater()
    made.deleteLater()


def settle(desk: Desk) -> None:
    desk.workplace.settled()
    QApplication.processEvents()


@pytest.fixture
def dialog(desk: Desk) -> Any:
    desk.window.command("preferences").trigger()
    settle(desk)
    found = QApplication.activeModalWidget()
    assert isinstance(found, PreferencesDialog)
    yield found
    if found is QApplication.activeModalWidget():
        found.reject()


def set_fields(dialog: PreferencesDialog, **values: Any) -> None:
    for form in dialog.forms.values():
        for key, field in form.fields.items():
            if key in values:
                field.set_value(values[key])


def test_every_field_is_kept_and_in_use_at_once(desk: Desk, dialog, tmp_path: Path) -> None:
    set_fields(
        dialog,
        language="es",
        theme="dark",
        text_scale=125,
        station="Door",
        locale="de_DE",
        mass_unit="g",
        temperature_unit="F",
        paper="a4",
        scanner_gap_ms=60,
        scanner_prefix="~",
        scanner_terminator="tab",
        sound_volume=25,
        is_muted=True,
        label_stock="Roll",
        printer="Label room",
    )
    dialog.try_save()
    settle(desk)
    kept = load_preferences(tmp_path / "preferences.json").preferences
    assert kept == desk.preferences
    assert (kept.language, kept.theme, kept.station, kept.printer) == (
        "es",
        "dark",
        "Door",
        "Label room",
    )
    assert (desk.window.theme.scheme, desk.window.theme.scale) == ("dark", 1.25)
    context = desk.session.context
    assert (context.formats.locale, context.formats.mass_unit) == ("de_DE", "g")
    assert (context.formats.temperature_unit, context.formats.paper) == ("F", "a4")
    assert (context.station, context.preferences.label_stock) == ("Door", "Roll")
    wedge = desk.wedge.settings
    assert (wedge.gap_ms, wedge.prefix, wedge.terminator) == (60, "~", "tab")
    sounds = desk.session.bench_acts.sounds
    assert (sounds.volume, sounds.is_muted) == (25, True)
    assert "next start" in desk.window.statusBar().currentMessage()


def test_units_as_the_farm_has_them(desk: Desk, dialog) -> None:
    before = desk.session.context.formats
    dialog.try_save()
    settle(desk)
    assert desk.session.context.formats == before
    assert desk.preferences.mass_unit == ""


def test_what_cannot_be_is_shown_on_its_tab_and_nothing_is_kept(
    desk: Desk, dialog, tmp_path: Path
) -> None:
    set_fields(dialog, scanner_gap_ms=5)
    dialog.try_save()
    assert dialog.tabs.currentIndex() == 2
    field = dialog.forms["scanner"].fields["scanner_gap_ms"]
    assert "cannot be used here" in field.problem_text()
    assert not (tmp_path / "preferences.json").exists()
    set_fields(dialog, scanner_gap_ms="fast")
    dialog.try_save()
    assert field.problem_text()
    dialog.reject()


def test_a_scan_in_the_trial_field_is_told_key_by_key(desk: Desk, dialog, press_keys) -> None:
    dialog.tabs.setCurrentIndex(2)
    line = dialog.trial.line
    line.setFocus()
    assert desk.wedge.is_paused
    press_keys(line, CODE, every=7, end="enter")
    told = dialog.trial.told.text()
    assert f"“{CODE}”, 10 keys, 7 ms" in told
    assert "It ended with Enter." in told
    assert "✓ Known as code" in told
    dialog.reject()
    assert not desk.wedge.is_paused


def test_a_scan_while_another_field_has_the_cursor_is_not_typed_there(
    desk: Desk, dialog, press_keys
) -> None:
    station = dialog.forms["look"].fields["station"]
    press_keys(station.line, CODE, every=4, end="enter")
    assert station.text() == ""
    assert CODE in dialog.trial.told.text()
    assert dialog.tabs.currentIndex() == 2


def run_of(text: str, every: int, end: str = "enter") -> KeyRun:
    return KeyRun([Stroke(sign) for sign in text], [n * every for n in range(len(text))], end)


@pytest.mark.parametrize(
    ("run", "wants", "told"),
    [
        (run_of(CODE, 50), WedgeSettings(), "Set it to 75 ms"),
        (run_of(CODE, 140), WedgeSettings(), "typed by a person"),
        (run_of(CODE, 5, ""), WedgeSettings(), "No end yet"),
        (run_of(CODE, 5, "tab"), WedgeSettings(terminator="enter"), "Another end"),
        (run_of(CODE, 5), WedgeSettings(prefix="~"), "prefix or the suffix"),
        (run_of("quicktyper", 5), WedgeSettings(), "no code of a farm"),
    ],
)
def test_what_is_wrong_with_a_run_is_said_with_what_to_do(run, wants, told) -> None:
    assert told in " ".join(describe_run(run, wants))


@pytest.mark.skipif(not HAS_PSEUDO_TERMINALS, reason="pseudo-terminals are not on Windows")
def test_a_scale_is_tried_and_let_go_again(desk: Desk, dialog, qtbot, tmp_path: Path) -> None:
    port = PseudoTerminal(tmp_path / "scale").plug_in()
    set_fields(dialog, scale="serial", scale_port=str(port.link), scale_format="8N1")
    dialog.try_button.click()
    scale = desk.devices.scale
    qtbot.waitUntil(lambda: scale.is_connected)
    port.send(b"\r\nST,GS,+  4.200kg\r\n")
    qtbot.waitUntil(lambda: "4.200 kg, at rest" in dialog.weight.text())
    dialog.reject()
    assert not scale.is_in_use
    assert desk.preferences.scale == "none"
    port.close()


def test_only_a_serial_scale_has_a_port(desk: Desk, dialog) -> None:
    fields = dialog.forms["scale"].fields
    assert fields["scale_port"].isHidden()
    set_fields(dialog, scale="serial")
    assert not fields["scale_port"].isHidden()
    dialog.try_button.click()
    assert "port first" in dialog.weight.text()


def test_sounds_turned_off_stay_off(desk: Desk) -> None:
    desk.window.command("mute").trigger()
    assert desk.preferences.is_muted
    desk.window.command("mute").trigger()
    assert not desk.preferences.is_muted
