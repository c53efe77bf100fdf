"""Fixtures of the acts: a farm begun with the shipped catalogue, on every database."""

from __future__ import annotations

import pytest
from begun_farm import BegunFarm, begin
from harvest_farm import KG, HarvestFarm, begin_harvest_farm

from farmdesk.actions.packs import make_packs
from farmdesk.domain.harvest import Pack, Pick
from farmdesk.store.farm_store import FarmStore


@pytest.fixture
def farm(store: FarmStore) -> BegunFarm:
    """A farm begun with the shipped catalogue."""
    begin(store)
    return BegunFarm(store)


@pytest.fixture
def harvest(store: FarmStore) -> HarvestFarm:
    """A farm that picks, packs and sells."""
    return begin_harvest_farm(store)


@pytest.fixture
def pick(harvest: HarvestFarm) -> Pick:
    """Two kilograms of oyster in the cold store."""
    found: Pick = harvest.pick("OY", 2 * KG)
    return found


@pytest.fixture
def packs(harvest: HarvestFarm, pick: Pick) -> Pack:
    """Four packs that took half of the pick."""
    product = harvest.products["oyster punnet"]
    found: Pack = harvest.do(
        lambda act: make_packs(act, product=product, count=4, from_picks={pick.id: 1 * KG})
    )
    return found
