"""This computer's preferences: read kindly, written whole; the farm itself is kept elsewhere."""

from __future__ import annotations

import contextlib
import json
import os
import uuid
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, replace
from pathlib import Path

from babel import Locale, UnknownLocaleError, default_locale

from farmdesk.errors import NotWritten, Problem, problem

_POUND_LANDS = frozenset({"US", "LR", "MM"})
_FAHRENHEIT_LANDS = frozenset({"US", "LR", "BS", "BZ", "KY", "PW", "FM", "MH"})
_LETTER_LANDS = frozenset({"US", "CA", "MX", "PH", "CL", "CO", "VE", "GT", "CR", "SV"})
_LARGEST_FILE = 1_000_000


@dataclass(frozen=True)
class Preferences:
    """What one computer remembers; nothing of it belongs to the farm's records."""

    locale: str = "en_US"
    mass_unit: str = "lb"
    temperature_unit: str = "F"
    paper: str = "letter"
    theme: str = "system"
    text_scale: int = 100
    station: str = ""
    initials: str = ""
    card_minutes: int = 30
    label_stock: str = ""
    sound_volume: int = 70
    last_farm: str = ""
    window: str = ""


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
        found = _read_object(path)
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


def save_preferences(preferences: Preferences, path: Path) -> None:
    """Write the preferences whole or not at all; raises NotWritten.

    Settings of a newer version are kept; a file that could not be read is kept beside the new
    one with '.unreadable' added to its name.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        text = json.dumps({**_foreign_settings(path), **asdict(preferences)}, indent=2)
        _put_in_place(path, text + "\n")
    except OSError as trouble:
        reason = trouble.strerror or str(trouble)
        raise NotWritten(problem("file_not_written", path=str(path), reason=reason)) from trouble


def _system_locale() -> str:
    with contextlib.suppress(ValueError, UnknownLocaleError):
        found = Locale.parse(default_locale("LC_NUMERIC") or "")
        if found.territory:
            return f"{found.language}_{found.territory}"
    return "en_US"


def _read_object(path: Path) -> Mapping[str, object]:
    if path.stat().st_size > _LARGEST_FILE:
        raise ValueError("too long for settings")
    found = json.loads(path.read_text(encoding="utf-8-sig"))
    if not isinstance(found, dict):
        raise ValueError("not an object")
    return found


def _foreign_settings(path: Path) -> dict[str, object]:
    try:
        found = _read_object(path)
    except FileNotFoundError:
        return {}
    except (ValueError, RecursionError):
        os.replace(path, path.with_name(path.name + ".unreadable"))
        return {}
    return {name: value for name, value in found.items() if name not in _CHECKS}


def _put_in_place(path: Path, text: str) -> None:
    draft = path.with_name(f".{path.name}.{uuid.uuid4().hex[:12]}.part")
    try:
        with draft.open("x", encoding="utf-8", newline="\n") as stream:
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
        os.replace(draft, path)
    finally:
        with contextlib.suppress(OSError):
            draft.unlink(missing_ok=True)


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


_CHECKS: Mapping[str, Callable[[object], bool]] = {
    "locale": _is_locale,
    "mass_unit": _one_of("kg", "g", "lb", "oz", "lb_oz"),
    "temperature_unit": _one_of("C", "F"),
    "paper": _one_of("letter", "a4"),
    "theme": _one_of("system", "light", "dark", "contrast"),
    "text_scale": _between(50, 300),
    "station": _text_up_to(60),
    "initials": _text_up_to(20),
    "card_minutes": _between(1, 24 * 60),
    "label_stock": _text_up_to(120),
    "sound_volume": _between(0, 100),
    "last_farm": _text_up_to(4096),
    "window": _text_up_to(4096),
}
