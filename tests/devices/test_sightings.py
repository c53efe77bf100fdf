"""A code in a camera's frames is told once, and again when it was away for two seconds."""

from hypothesis import given
from hypothesis import strategies as st

from farmdesk.devices.sightings import AWAY_SECONDS, Sightings


class Clock:
    def __init__(self):
        self.now = 100.0

    def __call__(self):
        return self.now


def told(frames):
    """What is told of frames, each its time in seconds and its codes."""
    clock = Clock()
    seen = Sightings(clock)
    news = []
    for clock.now, codes in frames:
        news.append(seen.look(codes))
    return news


def test_a_code_that_stays_is_told_once():
    assert told([(at / 4, ["a"]) for at in range(40)]) == [["a"]] + [[]] * 39


def test_two_codes_come_in_the_order_of_the_frame_each_once():
    assert told([(0, ["b", "a", "b"]), (1, ["a", "b"])]) == [["b", "a"], []]


def test_a_short_absence_does_not_count():
    assert told([(0, "a"), (0.5, ""), (2.4, ""), (2.5, "a")]) == [["a"], [], [], []]


def test_after_two_seconds_away_it_is_told_again():
    frames = [(0, "a"), (0.5, ""), (1.5, ""), (2.5, ""), (2.75, "a"), (3, "a")]
    assert told(frames) == [["a"], [], [], [], ["a"], []]


def test_time_without_frames_is_no_absence():
    """The lanes may be busy with a long report; one blurred frame before it proves nothing."""
    assert told([(0, "a"), (0.5, ""), (60, "a")]) == [["a"], [], []]


def test_absences_are_not_added_up():
    frames = [(0, "a"), (1, ""), (2.9, ""), (3, "a"), (3.1, ""), (4.9, ""), (5, "a")]
    assert [one for one in told(frames) if one] == [["a"]]


@given(st.lists(st.tuples(st.floats(0.05, 3), st.sets(st.sampled_from("abc")))))
def test_told_again_only_after_frames_without_it_over_the_whole_time(steps):
    at, frames = 0.0, []
    for step, codes in steps:
        at += step
        frames.append((at, sorted(codes)))
    last_seen = {}
    for number, (news, (_, codes)) in enumerate(zip(told(frames), frames, strict=True)):
        for code in codes:
            before = last_seen.get(code)
            away = [time for time, _ in frames[before + 1 : number]] if before is not None else []
            is_new = before is None or (len(away) > 1 and away[-1] - away[0] >= AWAY_SECONDS)
            assert (code in news) == is_new
            last_seen[code] = number
