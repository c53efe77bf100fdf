"""Each problem of typed quantities and of settings has a sentence with all its facts."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest

import farmdesk
from farmdesk.errors import NotUnderstood, problem
from farmdesk.quantities.mass import read_mass
from farmdesk.quantities.money import read_money
from farmdesk.quantities.percent import read_percent
from farmdesk.quantities.temperature import read_temperature
from farmdesk.quantities.times import find_zone, from_iso, read_day
from farmdesk.quantities.weeks import IsoWeek
from farmdesk.settings.preferences import load_preferences
from farmdesk.wording.sentences import SENTENCES, say, say_all, say_error
from farmdesk.wording.typed import SENTENCES as TYPED

CODE = re.compile(r'"((?:mass|money|percent|temperature|day|week|instant|zone)_[a-z_]+)"')
PLACE = re.compile(r"\([a-z_]+\)")


def test_each_code_of_the_quantities_has_a_sentence() -> None:
    room = Path(farmdesk.__file__).parent / "quantities"
    used = {
        code
        for path in room.glob("*.py")
        for code in CODE.findall(path.read_text(encoding="utf-8"))
        if code != "mass_unit"
    }
    doubts = {
        "ounces_over_sixteen",
        "grams_over_kilogram",
        "pounds_point_ounces",
        "comma_unclear",
    }
    assert used | doubts == set(TYPED)


READERS: list[tuple[Callable[[str], object], list[str]]] = [
    (read_mass, ["", "4", "-4 kg", "9000 kg", "four", "9" * 100]),
    (lambda text: read_mass(text, zero_allowed=False), ["0 g"]),
    (read_money, ["", "-4", "4.505", "€4", "four", "9" * 12]),
    (read_percent, ["", "-4", "400"]),
    (read_temperature, ["", "65", "900 C"]),
    (lambda text: read_day(text, "2026-01-01"), ["", "02/03/04", "2026-02-30"]),
    (from_iso, [""]),
    (find_zone, ["Moon/Base"]),
    (IsoWeek.parse, ["", "2025-W53"]),
]


@pytest.mark.parametrize(
    ("reader", "text"), [(reader, text) for reader, texts in READERS for text in texts]
)
def test_refusals_are_said_with_their_facts(reader: Callable[[str], object], text: str) -> None:
    with pytest.raises(NotUnderstood) as refused:
        reader(text)
    said = say_error(refused.value)
    assert not PLACE.search(said), said
    assert "{" not in said
    assert said.endswith(".")


def test_doubts_are_read_back() -> None:
    said = say_all(read_mass("9.65 lb").doubts)
    assert said == (
        "“9.65 lb” as decimal pounds is 9 lb 10.4 oz. "
        "If 9 lb 6.5 oz was meant, type it as 9 lb 6.5 oz."
    )
    assert say_all(read_mass("9 lb 18 oz").doubts).endswith("Is 10 lb 2 oz meant?")
    assert "1.234 kg or as 1234 kg" in say_all(read_mass("1,234 kg").doubts)
    assert "2.20 kg" in say_all(read_mass("1 kg 1200 g").doubts)
    assert "0.62 % or as 62 %" in say_all(read_percent("0.62").doubts)


def test_odd_settings_are_said_with_their_facts(tmp_path: Path) -> None:
    path = tmp_path / "preferences.json"
    path.write_text('{"theme": "plaid"}', encoding="utf-8")
    said = say_all(load_preferences(path).problems)
    assert "theme is 'plaid'" in said
    assert "theme is system for now" in said
    path.write_text("{", encoding="utf-8")
    assert str(path) in say_all(load_preferences(path).problems)


@pytest.mark.parametrize(
    ("code", "facts", "part"),
    [
        ("import_bad_row", {"file": "bags.csv", "row": 7, "reason": "no day"}, "Row 7 of bags.csv"),
        ("farm_newer", {"path": "f.sqlite", "found": 9, "known": 3}, "version 9"),
        ("disk_full", {"path": "labels.pdf"}, "labels.pdf"),
        ("file_not_written", {"path": "a.csv", "reason": "denied"}, "denied"),
    ],
)
def test_file_problems_name_the_place(code: str, facts: dict[str, object], part: str) -> None:
    said = say(problem(code, **facts))
    assert part in said
    assert not PLACE.search(said), said


def test_no_template_is_broken() -> None:
    for code, template in SENTENCES.items():
        assert template.strip(), code
        said = say(problem(code))
        assert code not in said
