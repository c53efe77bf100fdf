"""A read that is stopped ends in the database, at once, and the next one is none the worse."""

from __future__ import annotations

import threading

import pytest
from sqlalchemy import text

from farmdesk.errors import Stopped
from farmdesk.store.farm_store import FarmStore
from farmdesk.store.stopping import StopSign

# Counts to a hundred thousand millions: an hour's work for either database.
ENDLESS = text(
    "WITH RECURSIVE n(x) AS (SELECT 1 UNION ALL SELECT x + 1 FROM n WHERE x < 100000000000)"
    " SELECT count(*) FROM n"
)
PATIENCE_S = 60


def count_for_ever(store: FarmStore) -> None:
    with store.reading() as reading:
        reading.run(ENDLESS)


def test_a_statement_ends_when_it_is_stopped(store: FarmStore) -> None:
    sign, ended = StopSign(), list[BaseException]()

    def work() -> None:
        try:
            sign.run(count_for_ever, store)
        except Stopped as error:
            ended.append(error)

    thread = threading.Thread(target=work)
    thread.start()
    thread.join(0.3)
    assert thread.is_alive()
    sign.stop()
    thread.join(PATIENCE_S)
    assert not thread.is_alive()
    assert [one.args for one in ended] == [("stopped",)]
    for _ in range(3):
        with store.reading() as reading:
            assert reading.run(text("SELECT 7"))[0][0] == 7


def test_nothing_begins_after_a_stop(store: FarmStore) -> None:
    sign = StopSign()

    def work() -> None:
        with store.reading() as reading:
            assert reading.run(text("SELECT 7"))[0][0] == 7
            sign.stop()
            reading.run(ENDLESS)

    with pytest.raises(Stopped):
        sign.run(work)
    with pytest.raises(Stopped):
        sign.run(count_for_ever, store)


def test_other_faults_stay_what_they_are(store: FarmStore) -> None:
    def work() -> None:
        with store.reading():
            raise ValueError("a slip of ours")

    with pytest.raises(ValueError, match="a slip of ours"):
        StopSign().run(work)
