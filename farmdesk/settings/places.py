"""Where things lie on this computer: shipped resources, the farm's file, settings, the log."""

from __future__ import annotations

from pathlib import Path

import platformdirs

_PACKAGE = Path(__file__).resolve().parent.parent
_SHIPPED = _PACKAGE / "_data"
_APP = "farmdesk"


def resource_path(*parts: str) -> Path:
    """The path of a shipped resource; inside an installed package first, then the repository."""
    return _find("resources", *parts)


def demo_path(*parts: str) -> Path:
    """The path of the demo farm's files, found like a resource."""
    return _find("demo_db", *parts)


def default_farm_file() -> Path:
    """The farm's file in the user's data folder; the folder is not made here."""
    return Path(platformdirs.user_data_dir(_APP, appauthor=False)) / "farm.sqlite"


def settings_file() -> Path:
    """The file of this computer's preferences."""
    return Path(platformdirs.user_config_dir(_APP, appauthor=False)) / "preferences.json"


def log_file() -> Path:
    """The file that Farmdesk writes its log to."""
    return Path(platformdirs.user_log_dir(_APP, appauthor=False)) / "farmdesk.log"


def _find(*parts: str) -> Path:
    inside = _SHIPPED.joinpath(*parts)
    return inside if inside.exists() else _PACKAGE.parent.joinpath(*parts)
