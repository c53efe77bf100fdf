"""The catalogue: every kind of thing the farm knows beforehand, in one list and one form each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QLabel, QListWidget, QStackedWidget, QVBoxLayout, QWidget

from farmdesk.actions import catalogue as acts
from farmdesk.actions.base import Act
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.exporting import export_table, offer_taking, print_table, table_of
from farmdesk.desk.list_view import ListView
from farmdesk.desk.page import Page
from farmdesk.desk.pages.catalogue_fields import ThingForm, show_cell
from farmdesk.desk.pages.catalogue_kinds import KINDS, FieldSpec, KindSpec
from farmdesk.desk.tables import Column
from farmdesk.domain.things import CATALOGUE
from farmdesk.paper.tables import Kind
from farmdesk.reports.catalogue import Catalogue, is_retired, load_catalogue, name_of
from farmdesk.wording.language import tr

_WIDE = ("name", "source", "status", "note", "treatment", "contact", "origin", "parts")
_FIGURES = ("whole", "number", "percent", "celsius", "mass", "money", "length")
_TAKEN_AS: Mapping[str, Kind] = {
    "whole": "integer",
    "number": "number",
    "mass": "mass",
    "money": "money",
}


class CataloguePage(Page):
    """Kinds on the left, their things on the right, a form for each."""

    title = tr("Catalogue")
    help_text = tr(
        "What the farm knows beforehand. Choose a kind on the left; Ctrl+N adds "
        "one, Enter changes the chosen one. Retire what is no longer used: its "
        "history stays."
    )
    interest = frozenset(CATALOGUE)

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(context, parent)
        self.catalogue = Catalogue({})
        self._wanted = ""
        self.lists: dict[str, ListView] = {}
        self._new = self.add_page_action(tr("New"), self.add_thing, shortcut="Ctrl+N")
        self._retired_shown = self.add_page_action(
            tr("Show retired"),
            self._fill,
            shortcut="Ctrl+H",
            hint=tr("Show or hide what is retired"),
        )
        self._retired_shown.setCheckable(True)
        self.kinds = QListWidget()
        self.kinds.setObjectName("kinds")
        self.kinds.setAccessibleName(tr("Kinds of thing"))
        for spec in KINDS:
            self.kinds.addItem(spec.title)
        letters = max(len(spec.title) for spec in KINDS) + 8
        self.kinds.setFixedWidth(self.kinds.fontMetrics().averageCharWidth() * letters + 36)
        self.kinds.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.about = QLabel()
        self.about.setObjectName("muted")
        self.about.setWordWrap(True)
        self.stack = QStackedWidget()
        right = QVBoxLayout()
        right.addWidget(self.about)
        right.addWidget(self.stack, 1)
        row = QHBoxLayout()
        row.setSpacing(12)
        row.addWidget(self.kinds)
        row.addLayout(right, 1)
        self.body.addLayout(row, 1)
        self.kinds.currentRowChanged.connect(self._kind_chosen)
        self.kinds.setCurrentRow(0)

    # ---- what pages do

    def refresh(self) -> None:
        """Read the whole catalogue again."""
        self.context.workplace.read_newest(load_catalogue, self.context.farm, then=self._show)

    def show_subject(self, subject: str) -> None:
        """Show a kind ('crate'), or a thing of it ('crate:12')."""
        kind, _, thing = subject.partition(":")
        rows = [at for at, spec in enumerate(KINDS) if spec.kind == kind]
        if rows:
            self.kinds.setCurrentRow(rows[0])
            self._wanted = thing
            self._choose_wanted()

    def print_page(self) -> bool:
        """Print the list shown."""
        print_table(
            self.context, table_of(self.view, self.spec.title, _taken(self.spec), for_paper=True)
        )
        return True

    def export_page(self) -> None:
        """Write the list shown to a file."""
        table = table_of(self.view, self.spec.title, _taken(self.spec))
        export_table(self.context, self, table)

    # ---- what is shown

    @property
    def spec(self) -> KindSpec:
        """The kind shown."""
        return KINDS[max(self.kinds.currentRow(), 0)]

    @property
    def view(self) -> ListView:
        """The list shown."""
        return self.lists[self.spec.kind]

    def _show(self, catalogue: Catalogue) -> None:
        self.catalogue = catalogue
        self._fill()
        self._choose_wanted()

    def _fill(self) -> None:
        shown = self._retired_shown.isChecked()
        for at, spec in enumerate(KINDS):
            things = self.catalogue.all(spec.kind, retired=shown)
            text = f"{spec.title}  ({len(things)})" if spec.can_add else spec.title
            self.kinds.item(at).setText(text)
            if spec.kind in self.lists:
                self.lists[spec.kind].set_rows(things)

    def _choose_wanted(self) -> None:
        if self._wanted and self.view.choose(lambda row: str(row.id) == self._wanted):
            self._wanted = ""

    def _kind_chosen(self, _row: int) -> None:
        spec = self.spec
        if spec.kind not in self.lists:
            self.lists[spec.kind] = self._make_list(spec)
            self.stack.addWidget(self.view)
            shown = self._retired_shown.isChecked()
            self.view.set_rows(self.catalogue.all(spec.kind, retired=shown))
        self.stack.setCurrentWidget(self.view)
        self.about.setText(spec.about)
        self.about.setVisible(bool(spec.about))
        self._new.setText(tr("New {value}").format(value=spec.one))
        self._new.setEnabled(spec.can_add)

    # ---- building a list

    def _make_list(self, spec: KindSpec) -> ListView:
        columns = [self._column(spec, name) for name in spec.columns]
        if spec.can_add and hasattr(spec.blank, "retired"):
            columns.append(Column("retired", tr("Retired"), is_retired, _retired_word, width=9))
        view = ListView(
            columns,
            name=spec.title,
            empty_text=tr("No {title} yet. Press Ctrl+N to add the first.").format(
                title=spec.title.lower()
            ),
        )
        view.row_opened.connect(self.edit_thing)
        view.add_row_action(
            tr("Change …"), lambda rows: self.edit_thing(rows[0]), shortcut="Ctrl+E"
        )
        if spec.can_add:
            if hasattr(spec.blank, "retired"):
                view.add_row_action(
                    tr("Retire or bring back"), self._turn_retired, shortcut="Ctrl+R"
                )
            view.add_row_action(tr("Delete"), self._delete, shortcut="Del")
        offer_taking(view, self, spec.title, _taken(spec))
        return view

    def _column(self, spec: KindSpec, name: str) -> Column:
        if name == "parts":
            return Column(name, tr("Ingredients"), self._parts_text, width=44)
        found = [one for one in spec.fields if one.name == name]
        if not found:
            low, high = spec.field(f"{name}_low"), spec.field(f"{name}_high")
            title = low.column_title
            shown = partial(self._range_text, low, high)
            return Column(name, title, shown, width=max(12, len(title) + 2))
        one = found[0]
        width = 30 if name in _WIDE else max(12, len(one.column_title) + 2)
        if one.kind in ("ref", "choice"):
            return Column(name, one.column_title, partial(self._text, one), width=max(width, 16))
        return Column(
            name,
            one.column_title,
            partial(_value, name),
            partial(self._shown, one),
            width=width,
            right=one.kind in _FIGURES,
        )

    def _shown(self, one: FieldSpec, value: Any) -> str:
        return show_cell(one, value, self.context.formats, self.catalogue)

    def _text(self, one: FieldSpec, row: Any) -> str:
        return self._shown(one, getattr(row, one.name))

    def _range_text(self, low: FieldSpec, high: FieldSpec, row: Any) -> str:
        texts = [self._text(low, row), self._text(high, row)]
        if texts[0] == texts[1] or not all(texts):
            return texts[0] or texts[1]
        return f"{texts[0].removesuffix(' %')} – {texts[1]}"

    def _parts_text(self, row: Any) -> str:
        parts = [one for one in self.catalogue.all("recipe_part") if one.recipe == row.id]
        names = [
            f"{self.catalogue.name('ingredient', one.ingredient)} {one.share_percent} %"
            for one in parts
        ]
        return ", ".join(names)

    # ---- acts

    def add_thing(self) -> None:
        """A form for a new thing of the kind shown."""
        if self.spec.can_add:
            self._open_form(self.spec, self.spec.blank)

    def edit_thing(self, thing: Any) -> None:
        """The form of a thing that is there."""
        self._open_form(self.spec, thing)

    def _open_form(self, spec: KindSpec, thing: Any) -> None:
        dialog = ThingDialog(self.context, spec, thing, self.catalogue)
        dialog.saved.connect(partial(self._saved, spec))
        self.context.open_dialog(dialog)

    def _saved(self, spec: KindSpec, kept: Any) -> None:
        self._wanted = str(kept.id) if kept is not None else ""
        if kept is not None:
            self.view.view.setFocus()
            self.context.say(
                tr("{capitalize} kept: {kept}.").format(
                    capitalize=spec.one.capitalize(), kept=name_of(kept, self.catalogue)
                )
            )

    def _turn_retired(self, rows: list[Any]) -> None:
        kind = self.spec.kind

        def turn(act: Act) -> None:
            for one in rows:
                if is_retired(one):
                    acts.save(act, replace(one, retired=0))
                else:
                    acts.retire(act, kind, one.id)

        self.context.act(turn, then=lambda _done: self._told(tr("changed"), rows))

    def _delete(self, rows: list[Any]) -> None:
        kind = self.spec.kind

        def remove(act: Act) -> None:
            for one in rows:
                acts.delete(act, kind, one.id)

        self.context.act(remove, then=lambda _done: self._told(tr("deleted"), rows))

    def _told(self, word: str, rows: list[Any]) -> None:
        names = ", ".join(name_of(one, self.catalogue) for one in rows)
        self.context.say(
            tr("{names}: {word}. Ctrl+Z takes it back.").format(names=names, word=word)
        )


class ThingDialog(FormDialog):
    """The form of one thing of the catalogue."""

    def __init__(
        self, context: DeskContext, spec: KindSpec, thing: Any, catalogue: Catalogue
    ) -> None:
        title = (
            tr("Change: {thing}").format(thing=name_of(thing, catalogue))
            if thing.id
            else tr("New {value}").format(value=spec.one)
        )
        super().__init__(title, save_title=tr("Keep"))
        self._context = context
        self.fill = ThingForm(self.form, spec, thing, formats=context.formats, catalogue=catalogue)

    def save(self, values: dict[str, Any]) -> None:
        """Keep what the form says."""
        thing = self.fill.thing_from(values)
        parts = values.get("parts")
        if parts is None:
            self.run(self._context.act, partial(acts.save, thing=thing))
        else:
            self.run(self._context.act, partial(acts.save_recipe, recipe=thing, parts=parts))


def _value(name: str, row: Any) -> Any:
    return getattr(row, name)


def _retired_word(retired: bool) -> str:
    return tr("retired") if retired else ""


def _taken(spec: KindSpec) -> dict[str, Kind]:
    return {one.name: _TAKEN_AS[one.kind] for one in spec.fields if one.kind in _TAKEN_AS}
