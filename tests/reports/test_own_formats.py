"""Reports write quantities as the reader's station does; papers for customers, as the farm does."""

from __future__ import annotations

from dataclasses import replace

from small_farm import begin_small

from farmdesk.reports.farm_terms import read_terms
from farmdesk.store.farm_store import FarmStore


def test_a_station_reads_in_its_own_formats(store: FarmStore) -> None:
    begin_small(store)
    with store.reading() as reading:
        as_farm = read_terms(reading).formats
    own = replace(as_farm, locale="de_DE", mass_unit="kg")
    store.formats = own
    with store.reading() as reading:
        assert read_terms(reading).formats.day("2026-03-09") == own.day("2026-03-09")
        assert own.day("2026-03-09") != as_farm.day("2026-03-09")
        assert read_terms(reading, for_others=True).formats == as_farm
