"""Fixtures of the acts: a farm begun with the shipped catalogue, on every database."""

from __future__ import annotations

from dataclasses import replace

import pytest
from begun_farm import BegunFarm, begin
from databases import Fill, nothing
from harvest_farm import KG, HarvestFarm, begin_harvest_farm

from farmdesk.actions.packs import make_packs
from farmdesk.domain.harvest import Pack, Pick
from farmdesk.store.farm_store import FarmStore


@pytest.fixture
def filling(request: pytest.FixtureRequest) -> Fill:
    """The farm that the test asks for by name."""
    if "harvest" in request.fixturenames:
        return begin_harvest_farm
    return begin if "farm" in request.fixturenames else nothing


@pytest.fixture
def farm(store: FarmStore) -> BegunFarm:
    """A farm begun with the shipped catalogue."""
    return BegunFarm(store)


@pytest.fixture
def harvest(filled: tuple[FarmStore, HarvestFarm]) -> HarvestFarm:
    """A farm that picks, packs and sells."""
    return replace(filled[1], store=filled[0])


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
