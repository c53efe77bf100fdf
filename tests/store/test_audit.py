"""`check` sees every kind of difference between the tables and the day book."""

from __future__ import annotations

import pytest
from small_farm import begin_small

from farmdesk.reports.check import check_farm
from farmdesk.store.farm_store import FarmStore


def spoil(store: FarmStore, sql: str) -> set[str]:
    with store.engine.begin() as connection:
        connection.exec_driver_sql(sql)
    return {one.code for one in check_farm(store).differences}


@pytest.mark.parametrize(
    ("sql", "code"),
    [
        ("UPDATE bag SET stage = 'spent' WHERE number = 2", "differs"),
        ("DELETE FROM bag WHERE number = 2", "missing"),
        (
            "INSERT INTO person (id, name, initials, retired) VALUES (7, 'Nobody', 'NN', 0)",
            "differs",
        ),
        ("UPDATE daybook SET after = '{}' WHERE number = 3", "differs"),
        ("DELETE FROM daybook WHERE number = 2", "gap"),
        ("UPDATE counter SET next = 1 WHERE kind = 'bag'", "counter"),
        ("UPDATE daybook SET before = '{\"stage\":\"spent\"}' WHERE thing = 'bag'", "torn"),
    ],
)
def test_a_spoiled_row_is_found(store: FarmStore, sql: str, code: str) -> None:
    begin_small(store)
    assert check_farm(store).is_clean
    assert code in spoil(store, sql)
