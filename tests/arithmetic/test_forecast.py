import random
from collections import Counter
from datetime import date

import numpy as np
import pytest

from farmdesk.arithmetic.crops import Crop, Duration, FlushCrop
from farmdesk.arithmetic.forecast import (
    STAGES,
    Cohort,
    forecast_weeks,
    group_bags,
    replay_weeks,
)
from farmdesk.errors import Refused
from farmdesk.quantities.times import day_plus
from farmdesk.quantities.weeks import IsoWeek

CROP = Crop(
    "Oyster",
    Duration(16, 2),
    0.92,
    (FlushCrop(0.6, 0.98, Duration(10, 1.5)), FlushCrop(0.3, 0.9, Duration(10, 2))),
    source="both",
)
CROPS = {"Oyster": CROP}
TODAY = "2026-03-04"


def test_the_band_holds_the_mean_and_the_mean_all_kg():
    cohorts = [Cohort("Oyster", batch, "fruiting", 1, 4, 40) for batch in range(3)]
    found = forecast_weeks(cohorts, CROPS, today=TODAY)
    assert sum(one.mean_kg for one in found.weeks) == pytest.approx(120 * 0.98 * 0.87, rel=1e-3)
    assert len(found.weeks) == 16
    assert (found.weeks[0].week, found.weeks[0].source) == ("2026-W10", "both")
    for one in found.weeks:
        assert one.low_kg <= one.middle_kg <= one.high_kg
    best = max(found.weeks, key=lambda one: one.mean_kg)
    assert best.low_kg < best.mean_kg < best.high_kg


def test_the_same_seed_gives_the_same_band():
    cohorts = [Cohort("Oyster", 1, "incubating", 1, 5, 40)]
    assert forecast_weeks(cohorts, CROPS, today=TODAY) == forecast_weeks(
        cohorts, CROPS, today=TODAY
    )


def test_one_batch_is_less_sure_than_many():
    one = forecast_weeks([Cohort("Oyster", 1, "fruiting", 1, 4, 120)], CROPS, today=TODAY)
    many = forecast_weeks(
        [Cohort("Oyster", n, "fruiting", 1, 4, 10) for n in range(12)], CROPS, today=TODAY
    )
    assert one.weeks[1].mean_kg == pytest.approx(many.weeks[1].mean_kg)
    widths = [found.weeks[1].high_kg - found.weeks[1].low_kg for found in (one, many)]
    assert widths[1] < 0.6 * widths[0]


def test_bags_are_counted_into_cohorts():
    column = {name: np.array(values) for name, values in {
        "species_at": [0, 0, 0, 1], "batch": [7, 7, 7, 9], "stage_at": [0, 0, 2, 3],
        "flush": [1, 1, 1, 2], "elapsed": [5, 5, 1, 3],
    }.items()}  # fmt: skip
    found = group_bags(["Oyster", "Shiitake"], **column)
    assert set(found) == {
        Cohort("Oyster", 7, "incubating", 1, 5, 2),
        Cohort("Oyster", 7, "fruiting", 1, 1, 1),
        Cohort("Shiitake", 9, "resting", 2, 3, 1),
    }
    assert STAGES[2] == "fruiting"


def test_columns_of_unlike_length_are_refused():
    empty, one = np.array([], dtype=int), np.array([1])
    with pytest.raises(Refused):
        group_bags([], species_at=one, batch=empty, stage_at=one, flush=one, elapsed=one)
    assert group_bags(
        [], species_at=empty, batch=empty, stage_at=empty, flush=empty, elapsed=empty
    ) == ()  # fmt: skip


def test_a_species_without_crop_is_refused():
    with pytest.raises(Refused) as caught:
        forecast_weeks([Cohort("Reishi", 1, "fruiting", 1, 4, 1)], CROPS, today=TODAY)
    assert caught.value.problems[0].facts == {"species": "Reishi"}


def grow_batch(chance, day, bags):
    """One batch of the invented farm, bag by bag: days of colonising and loss, and picks."""
    late = chance.gauss(0, CROP.batch_days)
    rich = chance.lognormvariate(-0.0196, 0.198)
    grown = []
    for _ in range(bags):
        if chance.random() > CROP.clean_share:
            lost = max(1, round(chance.gauss(10, 5)))
            grown.append((day_plus(day, lost), None, []))
            continue
        ready = max(1, round(chance.gauss(16, 2) + late))
        opened = ready + max(0, round(chance.gauss(1, 1)))
        at, picks = opened, []
        for flush in CROP.flushes:
            if chance.random() > flush.share:
                break
            at += max(1, round(chance.gauss(flush.wait.mean, flush.wait.sd)))
            kg = flush.kg_per_bag * rich * max(0, chance.gauss(1, CROP.bag_cv))
            picks.append((day_plus(day, at), kg))
        grown.append((day_plus(day, ready), day_plus(day, opened), picks))
    return grown


def stand(grown, started, today):
    """How one bag stood on a day: stage, next flush and days in the stage, or None when gone."""
    ended, opened, picks = grown
    if ended > today:
        return "incubating", 1, days_between(started, today)
    if opened is None:
        return None
    if opened > today:
        return "colonised", 1, days_between(ended, today)
    done = [day for day, _ in picks if day < today]
    waited = days_between(done[-1] if done else opened, today)
    if len(done) == len(CROP.flushes) or waited > 20:  # the grower gives up on it
        return None
    return "resting" if done else "fruiting", len(done) + 1, waited


def days_between(first, last):
    return (date.fromisoformat(last) - date.fromisoformat(first)).days


def replay_farm(seed):
    """A farm of sixty weekly batches, asked every Monday for the four weeks that lie ahead."""
    chance = random.Random(seed)
    starts = [day_plus("2025-01-06", 7 * week) for week in range(60)]
    farm = [(n, day, grow_batch(chance, day, 30)) for n, day in enumerate(starts)]
    picked = {}
    for day, kg in (pick for _, _, bags in farm for *_, picks in bags for pick in picks):
        key = ("Oyster", str(IsoWeek.of(day)))
        picked[key] = picked.get(key, 0) + kg

    def forecast_on(today):
        stands = (
            (batch, *at)
            for batch, day, bags in farm
            if day <= today
            for bag in bags
            if (at := stand(bag, day, today))
        )
        cohorts = [Cohort("Oyster", *key, bags) for key, bags in Counter(stands).items()]
        # Only weeks that no later inoculation can reach are compared.
        return forecast_weeks(cohorts, CROPS, today=today, weeks=4, runs=500)

    asked = [day_plus("2025-03-03", 7 * week) for week in range(44)]
    return replay_weeks(asked, forecast_on, picked, last_week="2026-W02")


def test_the_band_holds_eight_weeks_of_ten_on_simulated_farms():
    farms = [replay_farm(seed) for seed in range(1, 7)]
    replays = [one for farm in farms for one in farm.replays]
    assert len(replays) > 1000
    assert 0.75 <= sum(farm.held for farm in farms) / len(replays) <= 0.88
    said, picked = (
        sum(each)
        for each in zip(*((r.forecast.mean_kg, r.picked_kg) for r in replays), strict=True)
    )
    assert said / picked == pytest.approx(1, abs=0.03)


def test_a_back_test_without_weeks_has_no_share():
    found = replay_weeks([], lambda _: None, {}, last_week="2026-W02")
    assert found.share_held is None
