"""The demo farm: an invented farm whose last day is always today."""

from __future__ import annotations

import csv
from datetime import datetime
from zoneinfo import ZoneInfo

from farmdesk.actions.exchange import Moved, import_farm
from farmdesk.settings.places import demo_path
from farmdesk.store.exchange import Tell
from farmdesk.store.farm_store import FarmStore


def build_demo(store: FarmStore, tell: Tell = lambda _name, _rows: None) -> Moved:
    """Fill an empty farm with the demo farm, by the import that everybody has."""
    with (demo_path() / "farm.csv").open(encoding="utf-8", newline="") as file:
        zone = next(csv.DictReader(file))["zone"]
    today = datetime.now(ZoneInfo(zone)).date()
    return import_farm(store, demo_path(), last_day=today, tell=tell)
