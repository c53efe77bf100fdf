from __future__ import annotations

from pathlib import Path

import pytest
from trading_farm import NOW, TradingFarm, begin_trading

from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.week import WeekQuestion, WeekReport, week_report
from farmdesk.store.farm_store import FarmStore


@pytest.fixture
def trading(store: FarmStore) -> TradingFarm:
    return begin_trading(store)


@pytest.fixture
def week_47(store: FarmStore, trading: TradingFarm) -> WeekReport:
    with store.reading() as reading:
        return week_report(reading, WeekQuestion(IsoWeek(2026, 47)), now=NOW)


@pytest.fixture
def out(tmp_path: Path) -> Path:
    return tmp_path
