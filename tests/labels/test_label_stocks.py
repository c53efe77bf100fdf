import dataclasses

import pytest

from farmdesk.domain.catalogue import LabelStock
from farmdesk.errors import Refused
from farmdesk.labels.stocks import (
    Stock,
    check_stock,
    find_stock,
    load_stocks,
    shipped_stocks,
    stock_of,
)
from farmdesk.settings.places import resource_path
from farmdesk.wording.sentences import say_all, say_error

GOOD = shipped_stocks()["letter-3x10"]


def toml_of(stock):
    return "\n".join(
        f"{key} = {value!r}" if not isinstance(value, str) else f'{key} = "{value}"'
        for key, value in dataclasses.asdict(stock).items()
    )


def test_the_stocks_that_come_along():
    stocks = shipped_stocks()
    assert {"letter-3x10", "a4-3x8", "roll-57x32", "roll-100x50", "roll-4x6in"} <= set(stocks)
    assert stocks["letter-3x10"].labels == 30
    assert stocks["a4-3x8"].labels == 24
    assert stocks["roll-4x6in"].dpi == 203
    assert (stocks["roll-57x32"].label_width_um, stocks["roll-57x32"].label_height_um) == (
        57_000,
        32_000,
    )
    for stock in stocks.values():
        assert not check_stock(stock)


def test_paper_sizes_are_the_standard_ones():
    # ISO 216: A4 is 210 x 297 mm. ANSI/ASME Y14.1: size A (Letter) is 8.5 x 11 in.
    stocks = shipped_stocks()
    assert (stocks["a4-3x8"].page_width_um, stocks["a4-3x8"].page_height_um) == (210_000, 297_000)
    letter = stocks["letter-3x10"]
    assert (letter.page_width_um, letter.page_height_um) == (8.5 * 25_400, 11 * 25_400)
    assert stocks["roll-4x6in"].label_height_um == 6 * 25_400


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"left_um": 20_000}, "right edge"),
        ({"top_um": 40_000}, "bottom edge"),
        ({"column_step_um": 60_000}, "column step"),
        ({"row_step_um": 20_000}, "row step"),
        ({"dpi": 20}, "100 to 2400"),
        ({"rows": 0}, "rows"),
        ({"label_width_um": -5}, "label_width_um"),
        ({"feed": "tray"}, "sheet or roll"),
        ({"name": " "}, "a name"),
    ],
)
def test_a_stock_that_cannot_be_is_told(change, said, tmp_path):
    bad = dataclasses.replace(GOOD, **change)
    assert said in say_all(check_stock(bad))
    (tmp_path / "bad.toml").write_text(toml_of(bad), encoding="utf-8")
    with pytest.raises(Refused) as refused:
        load_stocks(tmp_path)
    assert said in say_error(refused.value)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("name = ", "cannot be read"),
        (toml_of(GOOD).replace("dpi = 600", ""), "does not say dpi"),
        (toml_of(GOOD) + "\ncolour = 3", "colour"),
        (toml_of(GOOD).replace("dpi = 600", "dpi = 1.5"), "1.5"),
        (toml_of(GOOD).replace("rows = 10", "rows = true"), "True"),
    ],
)
def test_a_stock_file_that_is_not_right_is_told(text, said, tmp_path):
    (tmp_path / "mine.toml").write_text(text, encoding="utf-8")
    with pytest.raises(Refused) as refused:
        load_stocks(tmp_path)
    assert said in say_error(refused.value)


def test_bytes_that_are_no_text_are_told(tmp_path):
    (tmp_path / "mine.toml").write_bytes(b"\xff\xfe\x00name")
    with pytest.raises(Refused) as refused:
        load_stocks(tmp_path)
    assert "mine.toml" in say_error(refused.value)


def test_a_stock_of_ones_own_is_added_but_not_under_a_taken_name(tmp_path):
    own = dataclasses.replace(GOOD, name="own")
    (tmp_path / "own.toml").write_text(toml_of(own), encoding="utf-8")
    stocks = load_stocks(resource_path("stocks"), tmp_path)
    assert find_stock(stocks, "own") == own
    (tmp_path / "twice.toml").write_text(toml_of(GOOD), encoding="utf-8")
    with pytest.raises(Refused) as refused:
        load_stocks(resource_path("stocks"), tmp_path)
    assert "Two label stocks are called letter-3x10" in say_error(refused.value)


def test_an_unknown_stock_names_those_there_are():
    with pytest.raises(Refused) as refused:
        find_stock(shipped_stocks(), "letter-4x4")
    assert "roll-57x32" in say_error(refused.value)


def test_a_row_of_the_catalogue_is_a_stock():
    row = LabelStock(id=3, **dataclasses.asdict(GOOD))
    assert stock_of(row) == GOOD
    assert isinstance(stock_of(row), Stock)
