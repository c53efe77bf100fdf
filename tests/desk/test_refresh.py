"""A page in sight refreshes, a hidden one when it is shown, an uninterested one never."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from farmdesk.desk.refresh import Refresher


class Sheet(QWidget):
    """Counts its refreshes; tells the refresher when it is shown, as pages do."""

    def __init__(self, refresher: Refresher, *kinds: str) -> None:
        super().__init__()
        self.count = 0
        self.refresher = refresher
        refresher.register(self, kinds)

    def refresh(self) -> None:
        self.count += 1

    def showEvent(self, event) -> None:  # noqa: N802
        super().showEvent(event)
        self.refresher.shown(self)


def test_a_page_is_filled_when_first_shown_and_not_again(qtbot) -> None:
    sheet = Sheet(Refresher(), "bag")
    qtbot.addWidget(sheet)
    assert sheet.count == 0
    sheet.show()
    sheet.hide()
    sheet.show()
    assert sheet.count == 1


def test_only_pages_that_show_the_kind_refresh(qtbot) -> None:
    refresher = Refresher()
    bags, picks, all_kinds = (
        Sheet(refresher, "bag"),
        Sheet(refresher, "pick"),
        Sheet(refresher, "*"),
    )
    for sheet in (bags, picks, all_kinds):
        qtbot.addWidget(sheet)
        sheet.show()
    refresher.broadcast(frozenset({"bag", "room"}))
    assert (bags.count, picks.count, all_kinds.count) == (2, 1, 2)


def test_a_hidden_page_goes_stale_and_refreshes_once_when_shown(qtbot) -> None:
    refresher = Refresher()
    sheet = Sheet(refresher, "bag")
    qtbot.addWidget(sheet)
    sheet.show()
    sheet.hide()
    for _ in range(5):
        refresher.broadcast({"bag"})
    assert sheet.count == 1
    assert refresher.is_stale(sheet)
    sheet.show()
    assert sheet.count == 2


def test_a_page_that_is_gone_is_forgotten(qapp) -> None:
    import shiboken6

    refresher = Refresher()
    sheet = Sheet(refresher, "bag")
    shiboken6.delete(sheet)
    refresher.broadcast({"bag"})
    assert not refresher.is_stale(sheet)
