"""This computer's preferences: read kindly, written whole; the farm itself is kept elsewhere."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, replace
from pathlib import Path

from babel import Locale, UnknownLocaleError, default_locale

from farmdesk.errors import NotWritten, Problem, problem
from farmdesk.settings.whole_files import read_object, write_object

_POUND_LANDS = frozenset({"US", "LR", "MM"})
_FAHRENHEIT_LANDS = frozenset({"US", "LR", "BS", "BZ", "KY", "PW", "FM", "MH"})
_LETTER_LANDS = frozenset({"US", "CA", "MX", "PH", "CL", "CO", "VE", "GT", "CR", "SV"})
_LARGEST_FILE = 1_000_000


@dataclass(frozen=True)
class Preferences:
    """What one computer remembers; nothing of it belongs to the farm's records.

    `locale`, `mass_unit` and `temperature_unit` are '' when this computer shows what the farm
    has; speeds are baud, gaps milliseconds, formats such as '8N1' data bits, parity, stop bits.
    """

    language: str = "en"
    locale: str = ""
    mass_unit: str = ""
    temperature_unit: str = ""
    paper: str = "letter"
    theme: str = "system"
    text_scale: int = 100
    station: str = ""
    initials: str = ""
    card_minutes: int = 30
    label_stock: str = ""
    printer: str = ""
    sound_volume: int = 70
    is_muted: bool = False
    last_farm: str = ""
    window: str = ""
    scanner_gap_ms: int = 35
    scanner_prefix: str = ""
    scanner_suffix: str = ""
    scanner_terminator: str = "either"
    scanner_port: str = ""
    scanner_speed: int = 9600
    scale: str = "none"
    scale_port: str = ""
    scale_speed: int = 9600
    scale_format: str = "8N1"
    scale_terminator: str = "any"
    scale_comma: bool = False
    picture_folder: str = ""
    camera: str = ""


@dataclass(frozen=True)
class LoadedPreferences:
    """The preferences to use, and what could not be used of the file."""

    preferences: Preferences
    problems: tuple[Problem, ...] = ()


def usual_preferences(locale: str | None = None) -> Preferences:
    """The units usual where the locale (by default the computer's) is spoken."""
    name = locale or _system_locale()
    land = Locale.parse(name).territory or ""
    return Preferences(
        locale=name,
        mass_unit="lb" if land in _POUND_LANDS else "kg",
        temperature_unit="F" if land in _FAHRENHEIT_LANDS else "C",
        paper="letter" if land in _LETTER_LANDS else "a4",
    )


def load_preferences(path: Path, *, usual: Preferences | None = None) -> LoadedPreferences:
    """Read the preferences; whatever is missing or odd keeps its usual value and is told.

    Never raises: a file that is missing is no problem, one that cannot be read is told as
    'settings_unreadable', one odd value as 'setting_not_usable'.
    """
    start = usual or Preferences()
    try:
        found = read_object(path, largest=_LARGEST_FILE)
    except FileNotFoundError:
        return LoadedPreferences(start)
    except (OSError, ValueError, RecursionError) as trouble:
        reason = getattr(trouble, "strerror", None) or "it is not readable as settings"
        told = problem("settings_unreadable", path=str(path), reason=reason)
        return LoadedPreferences(start, (told,))
    good = {name: value for name, value in found.items() if _is_usable(name, value)}
    odd = [name for name in found if name in _CHECKS and name not in good]
    told_odd = tuple(_odd(name, found[name], start, path) for name in odd)
    return LoadedPreferences(replace(start, **good), told_odd)  # type: ignore[arg-type]


def find_problems(preferences: Preferences) -> tuple[Problem, ...]:
    """What cannot be used, each as 'preference_not_usable' with the field's name."""
    return tuple(
        problem("preference_not_usable", field=name, value=str(value)[:60])
        for name, value in asdict(preferences).items()
        if not _is_usable(name, value)
    )


def save_preferences(preferences: Preferences, path: Path) -> None:
    """Write the preferences whole or not at all; raises NotWritten.

    Settings of a newer version are kept; a file that could not be read is kept beside the new
    one with '.unreadable' added to its name.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        foreign = _foreign_settings(path)
    except OSError as trouble:
        reason = trouble.strerror or str(trouble)
        raise NotWritten(problem("file_not_written", path=str(path), reason=reason)) from trouble
    write_object(path, {**foreign, **asdict(preferences)})


def _system_locale() -> str:
    with contextlib.suppress(ValueError, UnknownLocaleError):
        found = Locale.parse(default_locale("LC_NUMERIC") or "")
        if found.territory:
            return f"{found.language}_{found.territory}"
    return "en_US"


def _foreign_settings(path: Path) -> dict[str, object]:
    try:
        found = read_object(path, largest=_LARGEST_FILE)
    except FileNotFoundError:
        return {}
    except (ValueError, RecursionError):
        os.replace(path, path.with_name(path.name + ".unreadable"))
        return {}
    return {name: value for name, value in found.items() if name not in _CHECKS}


def _odd(name: str, value: object, start: Preferences, path: Path) -> Problem:
    kept = getattr(start, name)
    return problem(
        "setting_not_usable", name=name, value=repr(value)[:60], kept=kept, path=str(path)
    )


def _is_usable(name: str, value: object) -> bool:
    check = _CHECKS.get(name)
    return check is not None and check(value)


def _is_locale(value: object) -> bool:
    if not isinstance(value, str):
        return False
    try:
        Locale.parse(value)
    except (ValueError, UnknownLocaleError):
        return False
    return True


def _one_of(*allowed: str) -> Callable[[object], bool]:
    return lambda value: isinstance(value, str) and value in allowed


def _between(low: int, high: int) -> Callable[[object], bool]:
    return lambda value: type(value) is int and low <= value <= high


def _text_up_to(longest: int) -> Callable[[object], bool]:
    return lambda value: isinstance(value, str) and len(value) <= longest and value.isprintable()


def _is_yes_or_no(value: object) -> bool:
    return type(value) is bool


MASS_UNITS = ("kg", "g", "lb", "oz", "lb_oz")
TEMPERATURE_UNITS = ("C", "F")
PAPERS = ("letter", "a4")
THEMES = ("system", "light", "dark", "contrast")
TERMINATORS = ("either", "enter", "tab")
"""What a keyboard scanner may end a scan with."""
SCALES = ("none", "serial", "usb")
SERIAL_FORMATS = ("8N1", "8E1", "8O1", "8N2", "7N1", "7E1", "7O1", "7N2", "7E2", "7O2")
LINE_ENDS = ("any", "cr", "lf", "crlf", "etx")
LARGEST_GAP_MS = 200

_CHECKS: Mapping[str, Callable[[object], bool]] = {
    "language": lambda value: isinstance(value, str) and value.isalpha() and len(value) <= 8,
    "locale": lambda value: value == "" or _is_locale(value),
    "mass_unit": _one_of("", *MASS_UNITS),
    "temperature_unit": _one_of("", *TEMPERATURE_UNITS),
    "paper": _one_of(*PAPERS),
    "theme": _one_of(*THEMES),
    "text_scale": _between(50, 300),
    "station": _text_up_to(60),
    "initials": _text_up_to(20),
    "card_minutes": _between(1, 24 * 60),
    "label_stock": _text_up_to(120),
    "printer": _text_up_to(200),
    "sound_volume": _between(0, 100),
    "is_muted": _is_yes_or_no,
    "last_farm": _text_up_to(4096),
    "window": _text_up_to(4096),
    "scanner_gap_ms": _between(10, LARGEST_GAP_MS),
    "scanner_prefix": _text_up_to(8),
    "scanner_suffix": _text_up_to(8),
    "scanner_terminator": _one_of(*TERMINATORS),
    "scanner_port": _text_up_to(200),
    "scanner_speed": _between(50, 4_000_000),
    "scale": _one_of(*SCALES),
    "scale_port": _text_up_to(200),
    "scale_speed": _between(50, 4_000_000),
    "scale_format": _one_of(*SERIAL_FORMATS),
    "scale_terminator": _one_of(*LINE_ENDS),
    "scale_comma": _is_yes_or_no,
    "picture_folder": _text_up_to(4096),
    "camera": _text_up_to(4096),
}
