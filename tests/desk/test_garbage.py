from __future__ import annotations

import gc
import threading

import pytest

from farmdesk.desk.garbage import GarbageCollector


class Loop:
    """A cycle that tells which thread let it go."""

    gone_in: list[str]

    def __init__(self, gone_in: list[str]) -> None:
        self.gone_in = gone_in
        self.me = self

    def __del__(self) -> None:
        self.gone_in.append(threading.current_thread().name)


@pytest.fixture
def collector(qapp):
    gc.collect()
    made = GarbageCollector()
    yield made
    made.close()
    gc.disable()


def test_a_worker_that_allocates_much_collects_nothing(collector) -> None:
    gone: list[str] = []
    Loop(gone)

    def allocate() -> None:
        kept = [[n] for n in range(300_000)]
        kept.clear()

    worker = threading.Thread(target=allocate, name="lane")
    worker.start()
    worker.join()
    assert gone == []
    for _ in range(4):
        collector.look()
    gc.collect()
    assert gone == ["MainThread"]


def test_look_collects_only_what_is_due(collector) -> None:
    gc.collect()
    assert collector.look() is None
    kept = [[n] for n in range(gc.get_threshold()[0] + 100)]
    assert collector.look() == 0
    assert len(kept) > 0


def test_closing_gives_the_collection_back(qapp) -> None:
    gc.enable()
    collector = GarbageCollector()
    assert not gc.isenabled()
    collector.close()
    assert gc.isenabled()
    gc.disable()
