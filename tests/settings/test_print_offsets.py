"""Corrections are kept for each printer and stock, and a damaged file only loses them."""

from __future__ import annotations

from pathlib import Path

import pytest

from farmdesk.errors import NotWritten
from farmdesk.settings.print_offsets import Offset, PrintOffsets


def test_a_correction_is_kept_for_its_printer_and_stock_alone(tmp_path: Path) -> None:
    path = tmp_path / "print_offsets.json"
    PrintOffsets(path).keep("Bench laser", "a4-3x8", Offset(1_500, -800))
    again = PrintOffsets(path)
    assert again.find("Bench laser", "a4-3x8") == Offset(1_500, -800)
    assert again.find("Bench laser", "roll-57x32") == Offset()
    assert again.find("Office", "a4-3x8") == Offset()
    again.keep("Bench laser", "a4-3x8", Offset())
    assert "Bench" not in path.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "text",
    ["", "[]", "{", '{"a\\nb": 7}', '{"a\\nb": {"right_um": true, "down_um": 0}}',
     '{"a\\nb": {"right_um": 99999999, "down_um": 0}}'],
)  # fmt: skip
def test_a_damaged_file_counts_as_no_correction(tmp_path: Path, text: str) -> None:
    path = tmp_path / "print_offsets.json"
    path.write_text(text, encoding="utf-8")
    assert PrintOffsets(path).find("a", "b") == Offset()


def test_a_file_that_cannot_be_written_is_told_and_changes_nothing(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x", encoding="utf-8")
    offsets = PrintOffsets(tmp_path / "file" / "print_offsets.json")
    with pytest.raises(NotWritten):
        offsets.keep("a", "b", Offset(1, 1))
    assert offsets.find("a", "b") == Offset()
