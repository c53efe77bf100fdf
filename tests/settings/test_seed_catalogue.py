"""The seed catalogue is whole, adds up and names where its figures come from."""

import csv
from collections import defaultdict
from decimal import Decimal

import pytest

from farmdesk.settings.places import resource_path

FILES = (
    "species",
    "species_sources",
    "storage_life",
    "defects",
    "removal_reasons",
    "ingredients",
    "recipes",
    "recipe_parts",
    "rooms",
    "cautions",
)
STATUSES = ("seen", "from memory, not verified", "common practice, no source")


def rows_of(name: str) -> list[dict[str, str]]:
    with resource_path("seed", f"{name}.csv").open(newline="", encoding="utf-8") as stream:
        return list(csv.DictReader(stream, strict=True))


@pytest.mark.parametrize("name", FILES)
def test_each_row_is_whole_and_says_its_status(name: str) -> None:
    rows = rows_of(name)
    assert rows
    for row in rows:
        assert None not in row
        assert None not in row.values()
        assert any(status in row["status"] for status in STATUSES), row
        assert not any(cell.startswith(("=", "+", "-", "@", "\t")) for cell in row.values())
        if row["status"].startswith("seen"):
            assert row["source"], row


def test_low_is_never_above_high() -> None:
    for row in rows_of("species") + rows_of("rooms"):
        for column in [one for one in row if one.endswith("_low")]:
            low, high = row[column], row[column.removesuffix("_low") + "_high"]
            assert bool(low) == bool(high)
            assert not low or Decimal(low) <= Decimal(high), (row, column)


def test_the_seven_species_and_their_flushes() -> None:
    rows = rows_of("species")
    assert [row["code"] for row in rows] == ["OY", "SH", "LM", "MA", "CH", "KO", "RE"]
    for row in rows:
        shares = [int(share) for share in row["flush_shares"].split("/")]
        assert sum(shares) == 100
        assert len(shares) == int(row["flushes"])
        assert shares == sorted(shares, reverse=True)
        assert 50 <= Decimal(row["moisture_percent"]) <= 70
    figures = {(row["species"], row["figure"]) for row in rows_of("species_sources")}
    assert len(figures) == len(rows) * 8


def test_published_figures_stand_as_published() -> None:
    species = {row["code"]: row for row in rows_of("species")}
    # Ko et al. 2005: 26-70 % over Hericium species on oak sawdust with rice bran
    assert (species["LM"]["be_percent_low"], species["LM"]["be_percent_high"]) == ("26", "70")
    # Shen & Royse 2001: best maitake recipes to 47 %
    assert species["MA"]["be_percent_high"] == "47"
    # Azizi et al. 2012 from 12.9 %; Soriano et al. 2022: 20.3 %
    assert (species["RE"]["be_percent_low"], species["RE"]["be_percent_high"]) == ("12.9", "20.3")
    life = {
        (row["species"], row["wrap"], row["temperature_c"]): row["days"]
        for row in rows_of("storage_life")
    }
    # Shiitake: middles of 20-24 d at 0 C, 6-8 at 10, 3-4 at 20 (journal, 13(2):44)
    assert [life["SH", "loose", t] for t in ("0", "10", "20")] == ["22", "7", "3.5"]
    # Acta Horticulturae 1213:251-256 (2018): tray with film at 4 C
    assert (life["OY", "wrapped", "4"], life["KO", "wrapped", "4"]) == ("15", "28")


def test_life_shortens_with_warmth() -> None:
    lines: dict[tuple[str, str], list[tuple[Decimal, Decimal]]] = defaultdict(list)
    for row in rows_of("storage_life"):
        point = (Decimal(row["temperature_c"]), Decimal(row["days"]))
        lines[row["species"], row["wrap"]].append(point)
    for points in lines.values():
        assert points == sorted(points)
        days = [one[1] for one in points]
        assert days == sorted(days, reverse=True)
    assert {species for species, wrap in lines if wrap == "loose"} == {
        row["code"] for row in rows_of("species")
    }


def test_recipes_add_up_to_a_hundred() -> None:
    ingredients = {row["name"] for row in rows_of("ingredients")}
    shares: dict[str, Decimal] = defaultdict(Decimal)
    for row in rows_of("recipe_parts"):
        assert row["ingredient"] in ingredients
        shares[row["recipe"]] += Decimal(row["share_percent"])
    assert dict(shares) == {row["name"]: Decimal(100) for row in rows_of("recipes")}


def test_reasons_have_codes_of_their_own() -> None:
    reasons = rows_of("defects") + rows_of("removal_reasons")
    assert len({row["code"] for row in reasons}) == len(reasons)
    assert {row["use"] for row in rows_of("defects")} == {"discard"}
    assert {row["use"] for row in rows_of("removal_reasons")} == {"waste", "gift", "own", "drying"}
    contamination = {row["code"] for row in reasons if row["contamination"] == "1"}
    assert "green_mould" in contamination
    assert contamination.isdisjoint({"slow", "lost", "damaged", "dried_out", "gift"})


def test_cautions_are_short_and_defer() -> None:
    for row in rows_of("cautions"):
        assert row["defer_to"]
        assert len(row["text"]) <= 260
    # a limit for people, quoted second-hand: it must never pass for a bag's set-point
    rooms = {row["use"]: row for row in rows_of("rooms")}
    assert int(rooms["incubation"]["co2_max"]) <= 5000
