"""Preferences survive odd files and are written whole."""

import json
from dataclasses import fields, replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.errors import NotWritten
from farmdesk.settings.preferences import (
    LoadedPreferences,
    Preferences,
    load_preferences,
    save_preferences,
    usual_preferences,
)

CHOSEN = Preferences(
    language="es",
    printer="Label room",
    is_muted=True,
    scanner_gap_ms=60,
    scanner_prefix="~",
    scanner_suffix="#",
    scanner_terminator="tab",
    scanner_port="COM4",
    scanner_speed=115_200,
    scale="serial",
    scale_port="COM5",
    scale_speed=1200,
    scale_format="7E1",
    scale_terminator="crlf",
    scale_comma=True,
    picture_folder="C:\\photos",
    camera="\\\\?\\usb#vid_0000",
    locale="de_DE",
    mass_unit="g",
    temperature_unit="C",
    paper="a4",
    theme="dark",
    text_scale=150,
    initials="AB",
    station="Tür 2 “links”",
    card_minutes=5,
    label_stock="A4 3 x 8",
    sound_volume=0,
    last_farm="C:\\farm\\ünï.sqlite",
    window="AdnQywAD",
)


def names(folder: Path) -> list[str]:
    return sorted(one.name for one in folder.iterdir())


def test_preferences_come_back(tmp_path: Path) -> None:
    path = tmp_path / "new" / "folder" / "preferences.json"
    save_preferences(CHOSEN, path)
    save_preferences(CHOSEN, path)
    assert load_preferences(path) == LoadedPreferences(CHOSEN)
    assert all(
        getattr(CHOSEN, one.name) != getattr(Preferences(), one.name) for one in fields(CHOSEN)
    )
    assert names(path.parent) == ["preferences.json"]


def test_no_file_is_no_problem(tmp_path: Path) -> None:
    assert load_preferences(tmp_path / "none.json") == LoadedPreferences(Preferences())


@pytest.mark.parametrize(
    "content",
    [b"", b"{", b"[]", b"null", b"\xff\xfe\x00", b'{"locale": ' + b"[" * 5000, b" " * 1_000_001],
)
def test_an_unreadable_file_keeps_the_usual_and_is_told(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "preferences.json"
    path.write_bytes(content)
    loaded = load_preferences(path, usual=CHOSEN)
    assert loaded.preferences == CHOSEN
    assert [one.code for one in loaded.problems] == ["settings_unreadable"]


def test_an_unreadable_file_is_kept_beside_the_new_one(tmp_path: Path) -> None:
    path = tmp_path / "preferences.json"
    path.write_text("my own notes", encoding="utf-8")
    save_preferences(CHOSEN, path)
    assert load_preferences(path).preferences == CHOSEN
    kept = tmp_path / "preferences.json.unreadable"
    assert kept.read_text(encoding="utf-8") == "my own notes"


def test_a_folder_in_its_place_is_told(tmp_path: Path) -> None:
    path = tmp_path / "preferences.json"
    path.mkdir()
    assert [one.code for one in load_preferences(path).problems] == ["settings_unreadable"]
    with pytest.raises(NotWritten, match="file_not_written"):
        save_preferences(CHOSEN, path)
    assert names(tmp_path) == ["preferences.json"]


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("locale", "xx_YY_nowhere"),
        ("language", "../es"),
        ("language", 3),
        ("is_muted", 1),
        ("scanner_gap_ms", 0),
        ("scanner_prefix", "\t"),
        ("scanner_terminator", "space"),
        ("scale", "wireless"),
        ("scale_format", "9N1"),
        ("scale_speed", True),
        ("locale", 5),
        ("mass_unit", "stone"),
        ("temperature_unit", ["C"]),
        ("theme", None),
        ("text_scale", 10_000),
        ("text_scale", True),
        ("card_minutes", 0),
        ("card_minutes", "30"),
        ("sound_volume", 10.5),
        ("station", "x" * 61),
        ("station", "two\nlines"),
        ("window", {}),
    ],
)
def test_one_odd_value_leaves_the_others(tmp_path: Path, name: str, value: object) -> None:
    path = tmp_path / "preferences.json"
    written = {"paper": "a4", "label_stock": "Roll", name: value}
    path.write_text(json.dumps(written), encoding="utf-8")
    loaded = load_preferences(path)
    assert loaded.preferences == Preferences(paper="a4", label_stock="Roll")
    (told,) = loaded.problems
    assert (told.code, told.facts["name"]) == ("setting_not_usable", name)


def test_settings_of_a_newer_version_are_kept(tmp_path: Path) -> None:
    path = tmp_path / "preferences.json"
    path.write_text('{"colour_of_door": "blue", "paper": "a4"}', encoding="utf-8")
    assert load_preferences(path).problems == ()
    save_preferences(replace(load_preferences(path).preferences, station="Door"), path)
    written = json.loads(path.read_text(encoding="utf-8"))
    assert (written["colour_of_door"], written["paper"]) == ("blue", "a4")
    assert written["station"] == "Door"


def test_a_refused_write_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "preferences.json"
    save_preferences(CHOSEN, path)

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(NotWritten) as refused:
        save_preferences(Preferences(), path)
    assert refused.value.problems[0].facts["reason"] == "No space left on device"
    assert load_preferences(path).preferences == CHOSEN
    assert names(tmp_path) == ["preferences.json"]


@given(st.dictionaries(st.text(), st.none() | st.booleans() | st.integers() | st.text()))
def test_any_object_is_survived(
    tmp_path_factory: pytest.TempPathFactory, content: dict[str, object]
) -> None:
    path = tmp_path_factory.mktemp("odd") / "preferences.json"
    path.write_text(json.dumps(content), encoding="utf-8")
    assert load_preferences(path).preferences == Preferences()


@pytest.mark.parametrize(
    ("locale", "mass_unit", "temperature_unit", "paper"),
    [
        ("en_US", "lb", "F", "letter"),
        ("en_GB", "kg", "C", "a4"),
        ("de_DE", "kg", "C", "a4"),
        ("fr_CA", "kg", "C", "letter"),
    ],
)
def test_usual_units_of_a_land(
    locale: str, mass_unit: str, temperature_unit: str, paper: str
) -> None:
    usual = usual_preferences(locale)
    assert (usual.mass_unit, usual.temperature_unit, usual.paper) == (
        mass_unit,
        temperature_unit,
        paper,
    )


@pytest.mark.parametrize("system", ["C", "POSIX", "xx_YY", ""])
def test_a_computer_without_locale_speaks_american(
    monkeypatch: pytest.MonkeyPatch, system: str
) -> None:
    for name in ("LANGUAGE", "LC_ALL", "LC_CTYPE", "LANG", "LC_NUMERIC"):
        monkeypatch.setenv(name, system)
    assert usual_preferences().locale == "en_US"
