"""Unit factors against published exact values and scipy.constants."""

import csv
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
import scipy.constants

from farmdesk.quantities.mass import MG_PER_G, MG_PER_KG, MG_PER_LB, MG_PER_OZ, read_mass
from farmdesk.quantities.temperature import celsius_from, read_temperature

DATA = Path(__file__).parent / "data" / "units.csv"


def published(quantity: str) -> str:
    with DATA.open(newline="", encoding="utf-8") as stream:
        return {row["quantity"]: row["value"] for row in csv.DictReader(stream)}[quantity]


def test_pound_is_the_published_factor() -> None:
    # NIST Handbook 133, chapter 2 (453.592 g); exact by the agreement of 1959
    assert Fraction(published("lb in kg")) * MG_PER_KG == MG_PER_LB
    assert float(MG_PER_LB / MG_PER_KG) == pytest.approx(scipy.constants.pound, rel=1e-15)


def test_ounce_is_the_published_factor() -> None:
    # NIST Handbook 44, appendix C
    assert Fraction(published("oz (avdp) in g")) * MG_PER_G == MG_PER_OZ
    assert float(MG_PER_OZ / MG_PER_KG) == pytest.approx(scipy.constants.oz, rel=1e-15)
    assert MG_PER_OZ * 16 == MG_PER_LB


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        # NIST Handbook 133: metric equivalents of common label weights
        ("4 oz", "113.398"),
        ("8 oz", "226.796"),
        ("1 lb", "453.592"),
        # avoirdupois table of NIST Handbook 44, appendix C, to the milligram
        ("1 oz", "28.350"),
        ("2 lb", "907.185"),
    ],
)
def test_label_weights_of_the_handbooks(text: str, grams: str) -> None:
    assert read_mass(text).mg == Decimal(grams) * 1000


def test_pounds_and_ounces_worked_example() -> None:
    # 9 lb 6.5 oz gross less 1 lb 2 oz tare is 132.5 oz: 8 lb 4.5 oz, 3,756 g (worked by hand)
    net = read_mass("9 lb 6.5 oz").mg - read_mass("1 lb 2 oz").mg
    assert abs(net - read_mass("8 lb 4.5 oz").mg) <= 1
    assert round(net / 1000) == 3756


@pytest.mark.parametrize("degrees", [-40, 0, 32, 36, 60, 65, 72, 98, 212, 250])
def test_fahrenheit_agrees_with_scipy(degrees: int) -> None:
    # C = (F - 32) / 1.8: NIST SP 811, from memory; scipy.constants is the reference here
    theirs = scipy.constants.convert_temperature(degrees, "Fahrenheit", "Celsius")
    assert float(celsius_from(degrees, "F")) == pytest.approx(theirs, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "celsius"), [("32 F", "0"), ("212 F", "100"), ("-40 F", "-40"), ("98.6 F", "37")]
)
def test_fixed_points(text: str, celsius: str) -> None:
    # ice point, steam point and where both scales meet: NIST SP 811, from memory
    assert read_temperature(text).celsius == Decimal(celsius)
