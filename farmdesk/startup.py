"""The composition root: puts the desk together. Nothing heavy is loaded before the window."""

from __future__ import annotations

import logging
import logging.handlers
import os

from farmdesk.settings.places import log_file, settings_file
from farmdesk.settings.preferences import Preferences, load_preferences, usual_preferences
from farmdesk.wording.language import choose_language


def open_desk(where: str) -> int:
    """Open the desk on the farm at a file or postgresql URL; returns the exit status."""
    _keep_log()
    preferences = preferences_here()
    speak(preferences.language)
    # Texts of classes are made when they are loaded: only after the language is chosen.
    from farmdesk.desk.application import run_desk  # noqa: PLC0415 - commands need no Qt

    return run_desk(where, preferences, settings_file())


def preferences_here() -> Preferences:
    """What this computer prefers; the paper usual in its land, until another is chosen."""
    usual = Preferences(paper=usual_preferences().paper)
    return load_preferences(settings_file(), usual=usual).preferences


def speak(language: str) -> None:
    """Speak FARMDESK_LANGUAGE if it is set, else this language, if there is a catalogue of it."""
    try:
        choose_language(os.environ.get("FARMDESK_LANGUAGE") or language)
    except OSError as missing:
        logging.getLogger("farmdesk").warning("The language was not found: %s", missing)


def _keep_log() -> None:
    logger = logging.getLogger("farmdesk")
    if logger.handlers:
        return
    try:
        log_file().parent.mkdir(parents=True, exist_ok=True)
        handler: logging.Handler = logging.handlers.RotatingFileHandler(
            log_file(), maxBytes=1_000_000, backupCount=3, encoding="utf-8", delay=True
        )
    except OSError:
        handler = logging.StreamHandler()
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(name)s %(message)s"))
    logger.addHandler(handler)
    logger.setLevel(logging.INFO)
