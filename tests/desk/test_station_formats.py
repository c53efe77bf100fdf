"""This computer's own formats and usual stock, and the language chosen before the desk loads."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from small_farm import begin_small

from farmdesk.desk.station_formats import formats_of, usual_stock
from farmdesk.domain.catalogue import Farm
from farmdesk.settings.preferences import Preferences
from farmdesk.store.farm_store import open_farm

STOCKS = [("A4 3 x 8", "A4 3 x 8"), ("Roll 57 x 32", "Roll 57 x 32")]


@pytest.fixture
def farm(tmp_path: Path) -> Farm:
    store = open_farm(tmp_path / "farm.sqlite", make=True)
    begin_small(store)
    with store.reading() as reading:
        found = reading.first(Farm)
    store.close()
    assert found is not None
    return found


def test_formats_are_the_farms_until_this_computer_has_its_own(farm: Farm) -> None:
    as_farm = formats_of(farm, Preferences(paper="a4"))
    assert (as_farm.locale, as_farm.mass_unit, as_farm.paper) == ("en_US", "kg", "a4")
    own = formats_of(farm, Preferences(locale="de_DE", mass_unit="lb_oz", temperature_unit="F"))
    assert (own.locale, own.mass_unit, own.temperature_unit) == ("de_DE", "lb_oz", "F")
    assert (own.zone, own.currency) == (farm.zone, farm.currency)


def test_the_usual_stock_counts_where_the_farm_has_it() -> None:
    assert usual_stock(STOCKS, Preferences(label_stock="Roll 57 x 32")) == "Roll 57 x 32"
    assert usual_stock(STOCKS, Preferences(label_stock="Gone")) == "A4 3 x 8"
    assert usual_stock([], Preferences()) is None


LINE = (
    "from farmdesk.startup import preferences_here, speak;"
    "from farmdesk.wording.language import spoken_language;"
    "speak(preferences_here().language);"
    "import sys;"
    "print(spoken_language(), 'farmdesk.desk.application' in sys.modules)"
)


def spoken_in(home: Path, chosen: str, named: str = "") -> list[str]:
    """The language that a fresh process speaks with these preferences."""
    config = home / ".config" / "farmdesk"
    config.mkdir(parents=True, exist_ok=True)
    text = json.dumps({"language": chosen})
    (config / "preferences.json").write_text(text, encoding="utf-8")
    folder = {"HOME": str(home), "XDG_CONFIG_HOME": str(home / ".config")}
    env = {**os.environ, **folder, "FARMDESK_LANGUAGE": named}
    patch = (
        "import farmdesk.startup as s; from pathlib import Path;"
        f"s.settings_file = lambda: Path({str(config / 'preferences.json')!r});"
    )
    found = subprocess.run(
        [sys.executable, "-c", patch + LINE], env=env, capture_output=True, text=True, check=True
    )
    return found.stdout.split()


def test_a_language_that_is_not_known_leaves_english_and_the_desk_unloaded(
    tmp_path: Path,
) -> None:
    assert spoken_in(tmp_path, "xx") == ["en", "False"]
    assert spoken_in(tmp_path, "en", named="xx") == ["en", "False"]


def test_the_language_of_the_preferences_is_spoken_and_the_environment_comes_first(
    tmp_path: Path,
) -> None:
    assert spoken_in(tmp_path, "es") == ["es", "False"]
    assert spoken_in(tmp_path, "es", named="en") == ["en", "False"]
