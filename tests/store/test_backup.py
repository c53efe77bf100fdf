"""A farm is copied while it is in use, and put back."""

from __future__ import annotations

from pathlib import Path

import pytest
from databases import fresh_farm
from small_farm import begin_small

from farmdesk.actions.base import perform
from farmdesk.domain.bags import Bag
from farmdesk.errors import NotWritten, Refused, StoreUnavailable
from farmdesk.reports.check import check_farm
from farmdesk.store.backup import backup_farm, restore_farm
from farmdesk.store.farm_store import open_farm


def test_a_backup_is_a_whole_farm_and_can_be_put_back(tmp_path: Path) -> None:
    with fresh_farm("sqlite", tmp_path) as store:
        farm = begin_small(store)
        assert backup_farm(store, tmp_path / "copy.sqlite") > 0
        perform(store, lambda act: act.change("bag_moved", act.need(Bag, farm.bags[0]), room=2))
        copy = open_farm(tmp_path / "copy.sqlite")
        assert check_farm(copy).is_clean
        copy.close()
        restore_farm(store, tmp_path / "copy.sqlite")
        with store.reading() as reading:
            assert reading.get(Bag, farm.bags[0]).room == farm.rooms[0]
        perform(store, lambda act: act.change("bag_moved", act.need(Bag, farm.bags[0]), room=2))
        assert check_farm(store).is_clean


def test_a_backup_that_cannot_be_written_leaves_no_half_file(tmp_path: Path) -> None:
    with fresh_farm("sqlite", tmp_path) as store:
        begin_small(store)
        with pytest.raises(NotWritten, match="backup_failed"):
            backup_farm(store, tmp_path / "nowhere" / "copy.sqlite")
        with pytest.raises(Refused, match="backup_onto_itself"):
            backup_farm(store, Path(store.where))
        assert check_farm(store).is_clean


def test_what_is_no_backup_is_not_put_back(tmp_path: Path) -> None:
    (tmp_path / "letter.sqlite").write_text("Dear diary " * 99, encoding="utf-8")
    with fresh_farm("sqlite", tmp_path) as store:
        farm = begin_small(store)
        with pytest.raises(StoreUnavailable, match="farm_not_database"):
            restore_farm(store, tmp_path / "letter.sqlite")
        with store.reading() as reading:
            assert reading.get(Bag, farm.bags[0]) is not None


def test_a_server_is_backed_up_by_its_own_tools(tmp_path: Path) -> None:
    with (
        fresh_farm("postgres", tmp_path) as store,
        pytest.raises(Refused, match="backup_by_server"),
    ):
        backup_farm(store, tmp_path / "copy.sqlite")
