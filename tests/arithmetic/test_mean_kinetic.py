import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.arithmetic.mean_kinetic import find_mean_kinetic
from farmdesk.arithmetic.shelf import Stay
from farmdesk.errors import Refused

HISTORIES = st.lists(
    st.builds(Stay, st.floats(0.1, 500), st.floats(-30, 60)), min_size=1, max_size=10
)


@given(history=HISTORIES)
def test_it_lies_between_the_plain_mean_and_the_warmest(history):
    found = find_mean_kinetic(history)
    hours = sum(stay.hours for stay in history)
    mean = sum(stay.hours * stay.temperature_c for stay in history) / hours
    assert mean - 1e-6 <= found <= max(stay.temperature_c for stay in history) + 1e-6


@pytest.mark.parametrize(
    "history",
    [[], [Stay(0, 5)], [Stay(-1, 5), Stay(3, 5)], [Stay(1, float("nan"))], [Stay(1, -300)]],
)
def test_a_history_that_says_nothing_is_refused(history):
    with pytest.raises(Refused):
        find_mean_kinetic(history)
