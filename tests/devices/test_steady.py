"""A steady weight: marked or equal often enough, and frozen once taken."""

from device_streams import CRATE_PUT_ON, NO_MARKS
from hypothesis import given
from hypothesis import strategies as st

from farmdesk.devices.scale_lines import read_scale_line
from farmdesk.devices.steady import SteadyWatch


def offer_all(watch, stream):
    taken = [watch.offer(read_scale_line(line)) for line in stream.decode().splitlines()]
    return [one for one in taken if one is not None]


def test_marked_reading_is_taken_once_and_not_the_empty_scale():
    watch = SteadyWatch()
    assert [one.mg for one in offer_all(watch, CRATE_PUT_ON)] == [5_060_000]
    assert watch.taken.mg == 5_060_000


def test_equal_readings_within_a_division_are_steady():
    watch = SteadyWatch(5)
    taken = offer_all(watch, NO_MARKS)
    assert [one.text for one in taken] == ["1.550 lb"]


def test_taken_stays_until_started_over():
    watch = SteadyWatch()
    first = watch.offer(read_scale_line("ST,GS,+  4.260kg"))
    assert watch.offer(read_scale_line("ST,GS,+  9.990kg")) is None
    assert watch.taken is first
    watch.start_over()
    assert watch.offer(read_scale_line("ST,GS,+  9.990kg")).mg == 9_990_000


def test_a_load_left_on_the_scale_is_not_taken_twice():
    watch = SteadyWatch()
    crate = read_scale_line("ST,GS,+  4.260kg")
    assert watch.offer(crate) is crate
    watch.start_over()
    assert watch.offer(crate) is None
    assert watch.offer(read_scale_line("US,GS,+  4.900kg")) is None
    assert watch.offer(crate) is None
    assert watch.offer(read_scale_line("ST,GS,+  0.000kg")) is None
    assert watch.offer(crate) is crate


def test_the_same_load_is_taken_again_when_that_is_asked():
    watch = SteadyWatch()
    crate = read_scale_line("ST,GS,+  4.260kg")
    watch.offer(crate)
    watch.start_over(same_load=True)
    assert watch.offer(crate) is crate


def test_below_zero_after_a_tare_means_the_load_is_gone():
    watch = SteadyWatch()
    crate = read_scale_line("ST,NT,+  3.460kg")
    watch.offer(crate)
    watch.start_over()
    watch.interrupt()
    assert watch.offer(crate) is None
    watch.interrupt(load_gone=True)
    assert watch.offer(crate) is crate


def test_a_reading_in_motion_or_an_interruption_begins_anew():
    watch = SteadyWatch(3)
    line = read_scale_line("1.00 kg")
    assert watch.offer(line) is None
    assert watch.offer(line) is None
    watch.interrupt()
    assert watch.offer(line) is None
    assert watch.offer(read_scale_line("1.00 kg ?")) is None
    assert watch.offer(line) is None
    assert watch.offer(line) is None
    assert watch.offer(line) is not None


def test_a_change_of_unit_or_of_net_begins_anew():
    watch = SteadyWatch(2)
    lines = ("1.00 kg", "1.00 lb", "1.00 lb N", "1.00 lb G")
    assert all(watch.offer(read_scale_line(line)) is None for line in lines)


@given(st.lists(st.integers(1, 400), max_size=30), st.integers(2, 6))
def test_what_is_taken_was_seen_often_enough(grams, equal):
    watch = SteadyWatch(equal)
    for at, value in enumerate(grams):
        if watch.offer(read_scale_line(f"{value} g")):
            last = grams[at + 1 - equal : at + 1]
            assert len(last) == equal
            assert max(last) - min(last) <= 1
            return
    for at in range(equal, len(grams) + 1):
        last = grams[at - equal : at]
        assert max(last) - min(last) > 1
