"""What every list can do, as a menu: sort, group, choose columns, copy, export, print."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QMenu

from farmdesk.desk.column_dialog import ColumnDialog
from farmdesk.desk.exporting import export_list, print_list
from farmdesk.wording.language import tr

if TYPE_CHECKING:
    from farmdesk.desk.list_view import ListView


def fill_list_menu(view: ListView, menu: QMenu) -> None:
    """Put the list's own entries into a menu."""
    _add_sorts(view, menu.addMenu(tr("Sort by")))
    _add_groups(view, menu.addMenu(tr("Group by")))
    menu.addAction(tr("Columns …"), partial(choose_columns, view))
    menu.addSeparator()
    copy = menu.addAction(tr("Copy chosen rows (Ctrl+C)"), view.copy_chosen)
    copy.setEnabled(bool(view.view.selectionModel().selectedRows()))
    menu.addAction(tr("Export …"), partial(export_list, view))
    menu.addAction(tr("Print …"), partial(print_list, view))


def fill_header_menu(view: ListView, menu: QMenu, number: int) -> None:
    """What the title of a column offers; `number` is the column's, -1 beside all titles."""
    columns = view.table.columns
    if 0 <= number < len(columns):
        key = columns[number].key
        is_group = view.table.group == key
        text = tr("No groups") if is_group else tr("Group by {column}")
        menu.addAction(
            text.format(column=columns[number].title),
            partial(view.table.group_by, "" if is_group else key),
        )
        menu.addSeparator()
    hidden = view.look.hidden()
    for one in columns:
        action = menu.addAction(one.title)
        action.setCheckable(True)
        action.setChecked(one.key not in hidden)
        action.toggled.connect(partial(view.turn_column, one.key))
    menu.addSeparator()
    menu.addAction(tr("Columns …"), partial(choose_columns, view))


def choose_columns(view: ListView) -> None:
    """Open the dialog that shows, hides, moves and widens columns."""
    dialog = ColumnDialog(view.look, view.table.columns, view)
    dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    dialog.open()


def _add_sorts(view: ListView, menu: QMenu) -> None:
    """What a click on a title does, for who has no mouse."""
    now = view.table.order()
    for at, one in enumerate(view.table.columns):
        if one.sortable:
            action = menu.addAction(one.title, partial(view.sort_by, at))
            action.setCheckable(True)
            action.setChecked(one.key == now.column)
    if now.column:
        menu.addSeparator()
        at = [one.key for one in view.table.columns].index(now.column)
        menu.addAction(
            tr("The other way round"), partial(view.sort_by, at, descending=not now.descending)
        )
        menu.addAction(tr("As it was at first"), partial(view.sort_by, -1))


def _add_groups(view: ListView, menu: QMenu) -> None:
    group = view.table.group
    for key, title in (
        ("", tr("Nothing")),
        *((one.key, one.title) for one in view.table.columns if one.sortable),
    ):
        action = menu.addAction(title, partial(view.table.group_by, key))
        action.setCheckable(True)
        action.setChecked(key == group)
    if group:
        menu.addSeparator()
        menu.addAction(tr("Open all groups"), partial(view.table.open_all, opened=True))
        menu.addAction(tr("Close all groups"), partial(view.table.open_all, opened=False))
