"""The composition root: puts the desk together. Nothing heavy is loaded before the window."""

from __future__ import annotations

import logging
import logging.handlers

from farmdesk.settings.places import log_file, settings_file
from farmdesk.settings.preferences import load_preferences, usual_preferences


def open_desk(where: str) -> int:
    """Open the desk on the farm at a file or postgresql URL; returns the exit status."""
    from farmdesk.desk.application import run_desk  # noqa: PLC0415 - commands need no Qt

    _keep_log()
    loaded = load_preferences(settings_file(), usual=usual_preferences())
    return run_desk(where, loaded.preferences, settings_file())


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
