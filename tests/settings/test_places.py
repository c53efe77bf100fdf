"""Where things lie on this computer."""

from pathlib import Path

import pytest

from farmdesk.settings import places


def test_shipped_files_are_found_in_the_repository() -> None:
    assert places.resource_path("seed", "species.csv").is_file()
    assert places.demo_path().name == "demo_db"


def test_an_installed_package_holds_them_itself(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    inside = tmp_path / "_data" / "resources" / "seed"
    inside.mkdir(parents=True)
    monkeypatch.setattr(places, "_SHIPPED", tmp_path / "_data")
    assert places.resource_path("seed") == inside
    assert places.resource_path("icons") != tmp_path / "_data" / "resources" / "icons"


def test_own_files_have_folders_of_the_user() -> None:
    files = (places.default_farm_file(), places.settings_file(), places.log_file())
    assert [one.name for one in files] == ["farm.sqlite", "preferences.json", "farmdesk.log"]
    assert all(one.is_absolute() and "farmdesk" in str(one.parent).lower() for one in files)
