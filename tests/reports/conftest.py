from __future__ import annotations

from copy import deepcopy
from pathlib import Path

import pytest
from databases import Fill, nothing
from trading_farm import NOW, TradingFarm, begin_trading

from farmdesk.quantities.weeks import IsoWeek
from farmdesk.reports.week import WeekQuestion, WeekReport, week_report
from farmdesk.store.farm_store import FarmStore


@pytest.fixture
def filling(request: pytest.FixtureRequest) -> Fill:
    return begin_trading if "trading" in request.fixturenames else nothing


@pytest.fixture
def trading(filled: tuple[FarmStore, TradingFarm]) -> TradingFarm:
    return deepcopy(filled[1])


@pytest.fixture
def week_47(store: FarmStore, trading: TradingFarm) -> WeekReport:
    with store.reading() as reading:
        return week_report(reading, WeekQuestion(IsoWeek(2026, 47)), now=NOW)


@pytest.fixture
def out(tmp_path: Path) -> Path:
    return tmp_path
