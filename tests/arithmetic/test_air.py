import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.arithmetic.air import Ventilation, describe_air, find_co2, find_steady_co2
from farmdesk.errors import Refused

ROOMS = st.builds(
    Ventilation, st.floats(5, 500), st.floats(1, 5_000), st.floats(300, 600), st.floats(0, 1)
)


@given(temperature=st.floats(1, 40), humidity=st.floats(10, 100))
def test_dew_point_and_wet_bulb_lie_below_the_air(temperature, humidity):
    air = describe_air(temperature, humidity)
    assert air.dew_point_c <= air.wet_bulb_c + 0.01
    assert air.wet_bulb_c <= temperature + 0.01
    assert air.vapour_deficit_kpa >= 0


@given(room=ROOMS, start=st.floats(300, 40_000), hours=st.floats(0, 100))
def test_co2_goes_from_the_start_towards_the_steady_level(room, start, hours):
    steady = find_steady_co2(room)
    found = find_co2(room, start_ppm=start, hours=hours)
    low, high = sorted((start, steady))
    assert low - 1e-6 <= found <= high + 1e-6
    assert find_co2(room, start_ppm=start, hours=0) == pytest.approx(start)


@pytest.mark.parametrize(
    ("temperature", "humidity", "pressure", "code"),
    [
        (float("nan"), 50, 101_325, "air_temperature_out_of_range"),
        (90, 50, 101_325, "air_temperature_out_of_range"),
        (20, 0, 101_325, "humidity_out_of_range"),
        (20, 101, 101_325, "humidity_out_of_range"),
        (20, 50, 1_013, "air_pressure_out_of_range"),
    ],
)
def test_readings_that_cannot_be_are_refused(temperature, humidity, pressure, code):
    with pytest.raises(Refused) as caught:
        describe_air(temperature, humidity, pressure_pa=pressure)
    assert caught.value.problems[0].code == code


@pytest.mark.parametrize(
    "room",
    [Ventilation(0, 60, 420, 0), Ventilation(30, 0, 420, 0), Ventilation(30, 60, 420, -1)],
)
def test_a_room_without_air_is_refused(room):
    with pytest.raises(Refused):
        find_steady_co2(room)


def test_time_does_not_run_back():
    with pytest.raises(Refused):
        find_co2(Ventilation(30, 60, 420, 0), start_ppm=420, hours=-1)
