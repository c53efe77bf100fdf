"""The lab: cultures, spawn, mixes and heat runs, and the inoculation that follows from them."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QScrollArea, QWidget

from farmdesk.actions.base import Act
from farmdesk.actions.lab import discard_lab
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.exporting import offer_taking, print_table, table_of
from farmdesk.desk.fields import NotesField
from farmdesk.desk.life_dialog import open_life
from farmdesk.desk.list_view import ListView
from farmdesk.desk.page import Page
from farmdesk.desk.pages.lab_dialogs import CultureDialog, HeatDialog, RunDialog, SpawnDialog
from farmdesk.desk.pages.lab_growth import GrowthList, MeasureDialog
from farmdesk.desk.pages.lab_inoculation import InoculationDialog
from farmdesk.desk.pages.lab_substrate import SubstrateSums
from farmdesk.desk.part_tabs import PartTabs
from farmdesk.desk.tables import Column
from farmdesk.domain.codes import code_of, group_code, read_code
from farmdesk.domain.lab import Culture, Spawn
from farmdesk.domain.mixing import Vessel
from farmdesk.errors import NotUnderstood
from farmdesk.paper.tables import Kind
from farmdesk.reports.lab_choices import LabThings, RunRow, load_lab
from farmdesk.reports.lab_growth import GrowthRow
from farmdesk.wording.language import tr
from farmdesk.wording.states import FORMS, say_code, say_state

_STATUS_WORDS = {
    "discarded": tr("thrown away"),
    "planned": tr("planned, not weighed yet"),
    "mixed": tr("mixed, not heated yet"),
}
"""States that the lab says more of than their word."""


class LabPage(Page):
    """Three lists in tabs; Ctrl+N adds to the one shown, Ctrl+I inoculates."""

    title = tr("Lab")
    help_text = tr(
        "Cultures, grain spawn and heat runs. Ctrl+N registers a new one in the list shown; "
        "Ctrl+I makes a batch from spawn and blocks; its labels are printed next. Growth is the "
        "radius of a colony gained a day (the median of all slopes, Theil and Sen); a culture 15 % "
        "slower than its strain was before is named. Moisture is water over the whole wet weight; "
        "a supplement is said both as a share of all dry matter and of the base alone."
    )
    interest = frozenset(
        {"culture", "spawn", "run", "probe_reading", "batch", "strain", "species", "recipe",
         "recipe_part", "ingredient", "room", "person", "label_stock", "growth_look", "vessel",
         "mixing_note"}
    )  # fmt: skip

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(context, parent)
        self.things: LabThings | None = None
        self._wanted = ""
        self._growth_of: dict[int, GrowthRow] = {}
        self.add_page_action(
            tr("Inoculate"),
            self.inoculate,
            shortcut="Ctrl+I",
            hint=tr("Spawn and blocks become a batch"),
        )
        self._new = self.add_page_action(tr("New"), self.add_one, shortcut="Ctrl+N")
        self.cultures = self._make_cultures()
        self.spawn = self._make_spawn()
        self.runs = self._make_runs()
        self.growth = GrowthList(lambda: self.context, self._measure)
        self.sums = SubstrateSums(lambda: self.context)
        self.sums_area = QScrollArea()
        self.sums_area.setWidgetResizable(True)
        self.sums_area.setFrameShape(QScrollArea.Shape.NoFrame)
        self.sums_area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.sums_area.setWidget(self.sums)
        self.tabs = PartTabs()
        self.tabs.setUsesScrollButtons(True)
        self.tabs.setAccessibleName(tr("Lists of the lab"))
        for view, title in (
            (self.cultures, tr("Cultures")), (self.spawn, tr("Spawn")),
            (self.runs, tr("Heat runs")), (self.growth, tr("Growth")),
            (self.sums_area, tr("Substrate sums")),
        ):  # fmt: skip
            self.tabs.addTab(view, title)
        self.tabs.currentChanged.connect(self._tab_chosen)
        self.body.addWidget(self.tabs, 1)
        self._tab_chosen(0)

    # ---- what pages do

    def refresh(self) -> None:
        """Read the lab again."""
        self.context.workplace.read_newest(load_lab, self.context.farm, then=self._show)

    def show_subject(self, subject: str) -> None:
        """Show a culture, bag of spawn or heat run by its code or name."""
        self._wanted = subject
        self._choose_wanted()

    def print_page(self) -> bool:
        """Print the list shown, or the mix sheet of the sums."""
        if self.tabs.currentWidget() is self.sums_area:
            self.sums.show_sheet()
            return self.sums.plan is not None
        view, title = self._shown()
        print_table(self.context, table_of(view, title, {}))
        return True

    def _show(self, things: LabThings) -> None:
        self.things = things
        self._growth_of = {one.id: one for one in things.growth}
        self.cultures.set_rows(things.cultures)
        self.spawn.set_rows(things.spawn)
        self.runs.set_rows(things.runs)
        self.growth.set_rows(things.growth)
        self.sums.show_things(things, things.vessels)
        self._choose_wanted()

    def _choose_wanted(self) -> None:
        if not self._wanted or self.things is None:
            return
        for at, view in enumerate((self.cultures, self.spawn, self.runs)):
            if view.choose(self._is_wanted):
                self.tabs.show_part(at)
                self._wanted = ""
                return

    def _is_wanted(self, row: Any) -> bool:
        try:
            return bool(row.id == read_code(self._wanted))
        except NotUnderstood:
            return bool(_name(row).casefold() == self._wanted.strip().casefold())

    def _shown(self) -> tuple[ListView, str]:
        view = self.tabs.currentWidget()
        if view is self.growth:
            view = self.growth.view
        assert isinstance(view, ListView)
        return view, self.tabs.tabText(self.tabs.currentIndex())

    def _tab_chosen(self, at: int) -> None:
        titles = (
            tr("New culture"), tr("New spawn"), tr("New heat run"), tr("New measure"),
            tr("New vessel"),
        )  # fmt: skip
        self._new.setText(titles[at])

    # ---- the lists

    def _make_cultures(self) -> ListView:
        view = ListView(
            [
                Column("name", tr("Culture"), width=14),
                Column("strain", tr("Strain"), self._strain, width=22),
                Column("form", tr("Form"), text=partial(say_code, FORMS), width=14),
                Column("transfers", tr("Transfers"), self._transfers, width=12, right=True),
                Column("made_on", tr("Made"), text=self._day, width=14),
                Column("growth", tr("Growth"), self._growth, width=21),
                Column("status", tr("State"), text=_status, width=12),
                Column("origin", tr("From"), width=24),
                Column("code", tr("Code"), _code, width=14),
            ],
            name=tr("Cultures"),
            empty_text=tr(
                "No cultures yet. Add your strains in the catalogue (Ctrl+9), then press "
                "Ctrl+N to register the first culture."
            ),
        )
        view.row_opened.connect(self._open)
        view.add_row_action(tr("Transfer …"), self._transfer, single=True)
        view.add_row_action(tr("Make spawn …"), self._spawn_from, single=True)
        view.add_row_action(tr("Measure …"), self._measure_rows, single=True)
        view.add_row_action(tr("Throw away …"), self._throw_away, shortcut="Del")
        offer_taking(view, self, tr("Cultures"))
        return view

    def _make_spawn(self) -> ListView:
        kinds: dict[str, Kind] = {"made_mg": "mass", "left_mg": "mass", "used": "mass"}
        view = ListView(
            [
                Column("name", tr("Spawn"), width=14),
                Column("strain", tr("Strain"), self._strain, width=22),
                Column("generation", tr("Grain"), text=lambda one: f"G{one}", width=6),
                Column("left_mg", tr("Left"), text=self._mass, width=9, right=True),
                Column("used", tr("Used"), _used, self._mass, width=9, right=True),
                Column("made_mg", tr("Made"), text=self._mass, width=9, right=True),
                Column("made_on", tr("Made on"), text=self._day, width=13),
                Column("use_by", tr("Use by"), text=self._day, width=13),
                Column("status", tr("State"), text=_status, width=11),
                Column("code", tr("Code"), _code, width=14),
            ],
            name=tr("Spawn"),
            empty_text=tr("No spawn yet. Press Ctrl+N to register what you made or bought in."),
        )
        view.row_opened.connect(self._open)
        view.add_row_action(tr("Make spawn from it …"), self._spawn_from, single=True)
        view.add_row_action(tr("Throw away …"), self._throw_away, shortcut="Del")
        offer_taking(view, self, tr("Spawn"), kinds)
        return view

    def _make_runs(self) -> ListView:
        view = ListView(
            [
                Column("name", tr("Run"), _name, width=10),
                Column("recipe", tr("Recipe"), width=26),
                Column("run_on", tr("Mixed on"), lambda row: row.run.run_on, self._day, width=14),
                Column("blocks", tr("Blocks"), lambda row: row.run.blocks, width=9, right=True),
                Column("left", tr("Not inoculated"), width=15, right=True),
                Column("status", tr("State"), lambda row: row.run.status, _status, width=22),
                Column("hot", tr("At temperature"), lambda row: row.run.hot_at, self._at, width=20),
                Column("note", tr("Note"), lambda row: row.run.note, width=20),
            ],
            name=tr("Heat runs"),
            empty_text=tr("No heat runs yet. Press Ctrl+N to plan and record the first mix."),
        )
        view.row_opened.connect(lambda row: self._record_heat([row]))
        view.add_row_action(tr("Record heat …"), self._record_heat, shortcut="Ctrl+E", single=True)
        view.add_row_action(tr("Inoculate …"), self._inoculate_run, single=True)
        offer_taking(view, self, tr("Heat runs"))
        return view

    def _strain(self, row: Any) -> str:
        return self.things.strain_name(row.strain) if self.things else ""

    def _transfers(self, row: Culture) -> str:
        strain = self.things.strain(row.strain) if self.things else None
        over = strain is not None and row.transfers >= strain.max_transfers
        return (
            tr("{transfers} ⚠ at its limit").format(transfers=row.transfers)
            if over
            else str(row.transfers)
        )

    def _mass(self, mg: int) -> str:
        return self.context.formats.mass(mg)

    def _day(self, day: str) -> str:
        return self.context.formats.day(day) if day else ""

    def _at(self, instant: str) -> str:
        return self.context.formats.instant(instant)

    # ---- acts

    def add_one(self) -> None:
        """A form for a new thing of the list shown."""
        if self.tabs.currentWidget() is self.sums_area:
            self.sums.edit_vessel(Vessel(0, ""))
        elif self.things is not None:
            makers: tuple[Callable[..., FormDialog], ...] = (
                CultureDialog, SpawnDialog, RunDialog, MeasureDialog,
            )  # fmt: skip
            self._open_form(makers[self.tabs.currentIndex()](self.context, self.things))

    def inoculate(self, run: int | None = None) -> None:
        """The form that makes a batch."""
        if self.things is not None:
            self._open_form(InoculationDialog(self.context, self.things, run))

    def _open_form(self, dialog: FormDialog) -> None:
        dialog.saved.connect(self._saved)
        self.context.open_dialog(dialog)

    def _saved(self, made: Any) -> None:
        first = made[0] if isinstance(made, list) and made else made
        if first is not None and hasattr(first, "name"):
            self._wanted = first.name
            told = tr("{name}: kept. Ctrl+Z takes it back.")
            if isinstance(made, list) and made[1:]:
                told = tr("{name} and {n} more: kept. Ctrl+Z takes it back.")
            more = len(made) - 1 if isinstance(made, list) else 0
            self.context.say(told.format(name=first.name, n=self.context.formats.number(more)))

    def _measure(self, culture: int | None) -> None:
        if self.things is not None:
            self._open_form(MeasureDialog(self.context, self.things, culture))

    def _measure_rows(self, rows: list[Culture]) -> None:
        self._measure(rows[0].id)

    def _growth(self, row: Culture) -> str:
        """A culture's growth a day; a slow one says so."""
        found = self._growth_of.get(row.id)
        if found is None or found.rate is None:
            return ""
        rate = tr("{mm} mm a day").format(mm=self.context.formats.number(found.rate.mm_per_day, 1))
        return tr("⚠ slow, {rate}").format(rate=rate) if found.is_alarm else rate

    def _transfer(self, rows: list[Culture]) -> None:
        if self.things is not None:
            self._open_form(CultureDialog(self.context, self.things, rows[0]))

    def _spawn_from(self, rows: list[Culture | Spawn]) -> None:
        if self.things is not None:
            self._open_form(SpawnDialog(self.context, self.things, rows[0]))

    def _record_heat(self, rows: list[RunRow]) -> None:
        self._open_form(HeatDialog(self.context, rows[0]))

    def _inoculate_run(self, rows: list[RunRow]) -> None:
        self.inoculate(rows[0].id)

    def _throw_away(self, rows: list[Culture | Spawn]) -> None:
        names = ", ".join(one.name for one in rows)
        dialog = FormDialog(tr("Throw away"), sentence=f"{names}", save_title=tr("Throw away"))
        dialog.form.add(NotesField("note", tr("Why")))
        ids = [one.id for one in rows]
        dialog.on_save = lambda values: dialog.run(
            self.context.act, partial(_discard_all, ids=ids, note=values["note"])
        )
        self.context.open_dialog(dialog)

    def _open(self, row: Culture | Spawn) -> None:
        open_life(self.context, row.id)


def _discard_all(act: Act, *, ids: list[int], note: str) -> None:
    for one in ids:
        discard_lab(act, one, note)


def _name(row: Any) -> str:
    return str(row.run.name if isinstance(row, RunRow) else row.name)


def _code(row: Any) -> str:
    return group_code(code_of(row.id))


def _used(row: Spawn) -> int:
    return row.made_mg - row.left_mg


def _status(status: str) -> str:
    return _STATUS_WORDS.get(status) or say_state(status)
