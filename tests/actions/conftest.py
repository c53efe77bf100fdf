"""Fixtures of the acts: a farm begun with the shipped catalogue, on every database."""

from __future__ import annotations

import pytest
from begun_farm import BegunFarm, begin

from farmdesk.store.farm_store import FarmStore


@pytest.fixture
def farm(store: FarmStore) -> BegunFarm:
    """A farm begun with the shipped catalogue."""
    begin(store)
    return BegunFarm(store)
