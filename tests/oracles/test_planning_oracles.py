"""Planning backward against a worked example and a simulation."""

from decimal import Decimal

import numpy as np
import pytest

from farmdesk.arithmetic.planning import (
    BackDates,
    BlockYield,
    LeadDays,
    find_blocks,
    find_chance,
    find_dates,
    find_exact_chance,
    find_spawn,
)

LIONS = BlockYield(share=0.94, kg=0.45, packout=0.92)


# Worked example, computed: 12 kg of lion's mane, normal approximation and exact, percent.
@pytest.mark.parametrize(
    ("blocks", "normal", "exact"),
    [(31, 53, 54), (32, 72, 72), (33, 85, 85), (34, 93, 93), (35, 97, 97)],
)
def test_chances_of_twelve_kilograms(blocks, normal, exact):
    assert round(100 * find_chance(blocks, 12, LIONS)) == normal
    assert 100 * find_exact_chance(blocks, 12, LIONS) == pytest.approx(exact, abs=1)


def test_the_average_is_a_coin_toss():
    found = find_blocks(12, LIONS)
    assert LIONS.expected_kg == pytest.approx(0.38916)
    assert (found.even_blocks, found.blocks) == (31, 34)


# numpy's generator: 40,000 simulated orders, block by block.
@pytest.mark.parametrize("blocks", [31, 34])
def test_a_simulation_agrees(blocks):
    chance = np.random.default_rng(11)
    crops = chance.random((40_000, blocks)) < LIONS.share
    kg = (crops * chance.normal(0.45 * 0.92, 0.25 * 0.45 * 0.92, crops.shape)).sum(axis=1)
    assert (kg >= 12).mean() == pytest.approx(find_exact_chance(blocks, 12, LIONS), abs=0.008)


# Worked example, computed by hand.
def test_dates_back_from_a_first_pick():
    found = find_dates("2026-03-09", LeadDays(10, 16, 21, 12))
    assert found == BackDates("2026-03-09", "2026-02-25", "2026-02-04", "2026-01-19", "2026-01-09")


def test_spawn_for_thirty_four_blocks():
    found = find_spawn(34, per_block_mg=125_000, reserve_percent=Decimal(10), expansion=Decimal(10))
    assert (found.total_mg, found.with_reserve_mg, found.master_mg) == (
        4_250_000,
        4_675_000,
        467_500,
    )
