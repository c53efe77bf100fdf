"""The thread of a device: troubles told once, a clean end, whatever the driver raises."""

import queue

import pytest
from device_streams import WAIT_SECONDS, Heard, PipeSource

from farmdesk.devices.device_thread import Connected, DeviceThread, Lost


class OddDriverError(Exception):
    """No OSError, as termios.error is none."""


class Attempts:
    """Opens nothing so many times, then a pipe; each attempt can be waited for."""

    def __init__(self, failures):
        self.made = queue.Queue()
        self.pipe = PipeSource()
        self._left = failures

    def open_source(self):
        self.made.put(None)
        if self._left:
            self._left -= 1
            raise OddDriverError("cannot set the speed")
        return self.pipe


@pytest.fixture
def played():
    """Starts a device thread over attempts and stops it after the test."""
    threads = []

    def play(attempts, news, retry_seconds=0.01):
        thread = DeviceThread(
            "bench",
            attempts.open_source,
            fresh=lambda: None,
            take=news.put,
            tell=news.put,
            retry_seconds=retry_seconds,
        )
        threads.append(thread)
        thread.start()
        return thread

    yield play
    for thread in threads:
        thread.stop()
        assert not thread.is_running()


def test_many_attempts_are_told_once(played):
    attempts, news = Attempts(failures=5), Heard()
    played(attempts, news)
    first = news.get(timeout=WAIT_SECONDS)
    assert isinstance(first, Lost)
    assert first.problem.facts == {"device": "bench", "reason": "cannot set the speed"}
    assert isinstance(news.get(timeout=WAIT_SECONDS), Connected)
    assert attempts.made.qsize() == 6


def test_stopping_lets_the_device_go_once(played):
    attempts, news = Attempts(failures=0), Heard()
    thread = played(attempts, news)
    news.wait_for(Connected)
    thread.stop()
    assert not thread.is_running()
    assert attempts.pipe.closed == 1


def test_stopping_does_not_wait_for_the_next_attempt(played):
    attempts, news = Attempts(failures=1), Heard()
    thread = played(attempts, news, retry_seconds=10_000)
    news.wait_for(Lost)
    thread.stop()
    assert not thread.is_running()


def test_a_device_that_cannot_even_be_closed_does_no_harm(played):
    attempts, news = Attempts(failures=0), Heard()

    def refuse():
        raise OddDriverError

    attempts.pipe.close = refuse
    thread = played(attempts, news)
    news.wait_for(Connected)
    attempts.pipe.pull_out()
    news.wait_for(Lost)
    news.wait_for(Connected)
    assert thread.is_running()
