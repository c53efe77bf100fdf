"""Charts with bands, whiskers and dots, in PDF and in a workbook."""

from __future__ import annotations

from pathlib import Path

import pytest
from openpyxl import load_workbook

from farmdesk.paper.charts import Chart, Series, find_runs, spell_bounds
from farmdesk.paper.documents import Document, write_document
from farmdesk.paper.spreadsheet import Sheet, write_workbook
from farmdesk.paper.tables import Column, Table
from farmdesk.wording.formats import Formats

BOUNDED = Series("Rate", [10.0, None, 30.0], low=[5.0, None, 20.0], high=[20.0, None, 45.0])


def test_bounds_count_for_the_extent() -> None:
    assert Chart("bar", "C", ["a", "b", "c"], [BOUNDED]).extent == (0.0, 45.0)


def test_bounds_must_fit_the_categories() -> None:
    with pytest.raises(ValueError, match="bounds of Rate"):
        Chart("bar", "C", ["a"], [Series("Rate", [1.0], low=[1.0, 2.0], high=[1.0])])


def test_a_band_is_drawn_where_both_bounds_are_known() -> None:
    assert find_runs(BOUNDED) == [[(0, 5.0, 20.0)], [(2, 20.0, 45.0)]]


def test_bounds_can_be_spelled_out() -> None:
    plain = spell_bounds(Chart("dots", "C", ["a", "b", "c"], [BOUNDED]), low="from", high="to")
    assert [one.name for one in plain.series] == ["Rate", "Rate, from", "Rate, to"]
    assert not any(one.is_bounded for one in plain.series)


@pytest.mark.parametrize("kind", ["bar", "line", "stacked", "dots"])
def test_every_kind_is_drawn_on_paper(kind: str, tmp_path: Path) -> None:
    names = [str(at) for at in range(3)]
    level = Series("All", [12.0, 12.0, 12.0], low=[10.0] * 3, high=[14.0] * 3)
    with_bounds = Chart(kind, "C", names, [BOUNDED, level], unit="%")
    bare = Chart(kind, "C", names, [Series("Rate", BOUNDED.values), Series("All", level.values)])
    for name, chart in (("bounds", with_bounds), ("bare", bare)):
        write_document(Document("D", [chart]), tmp_path / f"{name}.pdf", formats=Formats())
    assert (tmp_path / "bounds.pdf").read_bytes() != (tmp_path / "bare.pdf").read_bytes()


def test_a_workbook_has_the_bounds_as_figures(tmp_path: Path) -> None:
    table = Table("t", "T", [Column("a", "A")], [("x",)])
    chart = Chart("line", "C", ["a", "b", "c"], [BOUNDED])
    path = tmp_path / "w.xlsx"
    write_workbook([Sheet("T", [table], [chart])], path, formats=Formats())
    book = load_workbook(path)
    cells = [cell.value for row in book["Chart figures"].iter_rows() for cell in row]
    assert "Rate, at least" in cells
    assert 45 in cells
