from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.arithmetic import substrate
from farmdesk.arithmetic.substrate import RecipePart, Weighed
from farmdesk.errors import Refused
from farmdesk.wording.sentences import say_all

PERCENT = st.decimals(0, 99, places=1)


def parts(*lines):
    return [RecipePart(name, Decimal(share), Decimal(own)) for name, share, own in lines]


def answer_of(ask, *given, **named):
    try:
        return ask(*given, **named), []
    except Refused as error:
        return None, [one.code for one in error.problems]


SAWDUST_AND_BRAN = parts(("pellets", "80", "8"), ("bran", "20", "12"))


@st.composite
def recipes(draw):
    cuts = sorted(draw(st.lists(st.integers(1, 999), max_size=4, unique=True)))
    edges = [0, *cuts, 1000]
    return [
        RecipePart(f"part {place}", Decimal(high - low) / 10, draw(PERCENT))
        for place, (low, high) in enumerate(pairwise(edges))
    ]


@given(
    recipe=recipes(),
    blocks=st.integers(1, 500),
    block_mg=st.integers(100_000, 10_000_000),
    moisture=PERCENT,
)
def test_a_mix_adds_up_or_is_refused_as_too_wet(recipe, blocks, block_mg, moisture):
    mix, refusals = answer_of(
        substrate.plan_mix, recipe, blocks=blocks, block_mg=block_mg, moisture_percent=moisture
    )
    if mix is None:
        assert refusals == ["substrate_too_wet"]
        return
    assert mix.water_mg >= 0
    assert mix.water_mg + sum(one.as_is_mg for one in mix.ingredients) == mix.total_mg
    assert mix.total_mg == blocks * block_mg
    assert sum(one.dry_mg for one in mix.ingredients) == mix.dry_mg


@given(
    weighed=st.lists(
        st.builds(Weighed, st.just("stock"), st.integers(1_000, 10**9), PERCENT),
        min_size=1,
        max_size=5,
    ),
    moisture=PERCENT,
)
def test_water_to_add_reaches_the_target_or_is_refused(weighed, moisture):
    answer, refusals = answer_of(substrate.add_water, weighed, moisture_percent=moisture)
    if answer is None:
        assert refusals == ["substrate_too_wet"]
        return
    assert answer.water_mg >= 0
    with_water = [*weighed, Weighed("water", answer.water_mg, Decimal(0))]
    assert answer.total_mg == sum(one.as_is_mg for one in with_water)
    reached = 100 * (answer.total_mg - answer.dry_mg) / Decimal(answer.total_mg)
    assert abs(reached - moisture) < Decimal("0.2")


@given(
    total=st.integers(1_000_000, 10**9),
    now=st.integers(1, 99),
    target=st.integers(20, 90),
    stock=st.integers(0, 15),
)
def test_dry_stock_brings_a_wet_mix_to_the_target_and_no_further(total, now, target, stock):
    dry = total * (100 - now) // 100
    added = substrate.find_dry_stock(
        total_mg=total,
        dry_mg=dry,
        moisture_percent=Decimal(target),
        stock_moisture_percent=Decimal(stock),
    )
    if 100 * dry >= (100 - target) * total:
        assert added == 0
        return
    after = Decimal(dry) + Decimal(added) * (100 - stock) / 100
    reached = 100 - 100 * after / (total + added)
    assert target - Decimal("0.001") < reached <= target


def test_several_things_wrong_are_said_together():
    with pytest.raises(Refused) as caught:
        substrate.plan_mix(
            parts(("pellets", "80", "8"), ("bran", "10", "120")),
            blocks=0,
            block_mg=-5,
            moisture_percent=Decimal(100),
        )
    assert [one.code for one in caught.value.problems] == [
        "amount_not_positive",
        "amount_not_positive",
        "percent_out_of_range",
        "percent_out_of_range",
    ]
    assert "moisture of bran is 120 %" in say_all(caught.value.problems)


@pytest.mark.parametrize(
    ("shares", "accepted"),
    [
        (("33.33", "33.33", "33.33"), True),
        (("33.3", "33.3", "33.3"), False),
        (("60", "30", "20"), False),
        (("50", "25", "25"), True),
    ],
)
def test_shares_must_add_up(shares, accepted):
    recipe = parts(*((f"part {place}", share, "8") for place, share in enumerate(shares)))
    assert (not substrate.check_recipe(recipe)) is accepted


def test_the_sentence_names_how_far_the_shares_are_off():
    recipe = parts(("pellets", "60", "8"), ("bran", "30", "12"))
    text = say_all(substrate.check_recipe(recipe))
    assert "90 %" in text
    assert "10 points" in text


def test_a_recipe_without_ingredients_is_refused():
    assert [one.code for one in substrate.check_recipe([])] == ["recipe_empty"]


def test_loss_in_the_hopper_is_mixed_on_top():
    mix = substrate.plan_mix(
        SAWDUST_AND_BRAN,
        blocks=10,
        block_mg=2_000_000,
        moisture_percent=Decimal(60),
        loss_percent=Decimal(2),
    )
    assert mix.total_mg == 20_408_163  # 20 kg / 0.98
    assert substrate.count_blocks(mix.total_mg * 98 // 100, mix.block_mg).remainder_mg < 2_000_000


def test_not_a_number_is_out_of_range():
    with pytest.raises(Refused):
        substrate.find_dry_mass(1000, Decimal("NaN"))


def test_a_sample_that_gained_weight_in_the_oven_is_refused():
    with pytest.raises(Refused) as caught:
        substrate.measure_moisture(wet_mg=38_600, dry_mg=100_000)
    assert "swapped" in say_all(caught.value.problems)


def test_wet_stock_cannot_dry_a_mix():
    with pytest.raises(Refused) as caught:
        substrate.find_dry_stock(
            total_mg=10,
            dry_mg=2,
            moisture_percent=Decimal(60),
            stock_moisture_percent=Decimal(60),
        )
    assert caught.value.problems[0].code == "stock_not_dry_enough"


@given(share=st.decimals(0, 90, places=1))
def test_both_ways_of_saying_a_supplement_agree(share):
    base = substrate.convert_supplement_to_base(share)
    assert abs(substrate.convert_supplement_to_total(base) - share) < Decimal("1e-20")


def test_a_supplement_is_measured_both_ways():
    measured = substrate.measure_supplement(supplement_mg=20, base_mg=79, other_mg=1)
    assert measured.of_total_percent == 20
    assert round(measured.of_base_percent, 1) == Decimal("25.3")


def test_a_blend_has_the_moisture_of_all_its_water():
    blend = [Weighed("wet", 100, Decimal(60)), Weighed("dry", 300, Decimal(20))]
    assert substrate.blend_moisture(blend) == 30
    with pytest.raises(Refused):
        substrate.blend_moisture([Weighed("nothing", 0, Decimal(0))])
