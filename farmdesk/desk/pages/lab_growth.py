"""Growth of cultures: measures, rates against the strain's own, and the form for a measure."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from farmdesk.actions.growth import measure_culture, take_away_look
from farmdesk.desk.context import DeskContext
from farmdesk.desk.dialogs import FormDialog
from farmdesk.desk.exporting import offer_taking
from farmdesk.desk.fields import ChoiceField, DayField, NotesField, ReadField
from farmdesk.desk.list_view import ListView
from farmdesk.desk.tables import Column
from farmdesk.paper.tables import Kind
from farmdesk.quantities.lengths import read_length
from farmdesk.reports.lab_choices import LabThings
from farmdesk.reports.lab_growth import GrowthRow
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr
from farmdesk.wording.sentences import say


class GrowthList(QWidget):
    """The cultures that were measured; those that lag are named above the list."""

    def __init__(
        self, context: Callable[[], DeskContext], measure: Callable[[int | None], object]
    ) -> None:
        super().__init__()
        self._context = context
        self.setAccessibleName(tr("Growth"))
        self.alarm = QLabel()
        self.alarm.setObjectName("problem")
        self.alarm.setWordWrap(True)
        self.alarm.setAccessibleName(tr("Cultures that lag"))
        self.alarm.hide()
        self.view = ListView(
            [
                Column("culture", tr("Culture"), lambda row: row.culture.name, width=14),
                Column("strain", tr("Strain"), width=20),
                Column("looks", tr("Measures"), lambda row: len(row.looks), width=9, right=True),
                Column("last_on", tr("Last on"), _last_on, self._day, width=13),
                Column("radius", tr("Radius, mm"), _radius, self._tenth, width=11, right=True),
                Column("rate", tr("mm a day"), _rate, self._tenth, width=10, right=True),
                Column("before", tr("Strain before"), _before, self._tenth, width=13, right=True),
                Column("change", tr("Change"), _change, self._change, width=18, right=True),
            ],
            name=tr("Growth"),
            empty_text=tr(
                "No culture is measured yet. Press Ctrl+N to enter the radius of a colony; from"
                " the second day on its growth is compared with what its strain did before."
            ),
        )
        self.view.add_row_action(tr("Measure again …"), self._again, single=True)
        self.view.add_row_action(tr("Take away the last measure"), self._take_away, single=True)
        self.view.row_opened.connect(lambda row: self._again([row]))
        kinds: dict[str, Kind] = {"looks": "integer", "last_on": "day"}
        offer_taking(self.view, self, tr("Growth"), kinds)
        self._measure = measure
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.alarm)
        column.addWidget(self.view, 1)

    @property
    def context(self) -> DeskContext:
        """The farm and the ways to it."""
        return self._context()

    def set_rows(self, rows: Sequence[GrowthRow]) -> None:
        """Show the cultures measured, and say which lag."""
        self.view.set_rows(rows)
        found = [row.warning(self.context.formats) for row in rows if row.culture.status == "kept"]
        told = [say(one) for one in found if one is not None]
        self.alarm.setText("\n".join(f"⚠ {one}" for one in told))
        self.alarm.setVisible(bool(told))

    def _again(self, rows: list[GrowthRow]) -> None:
        self._measure(rows[0].id)

    def _take_away(self, rows: list[GrowthRow]) -> None:
        self.context.act(partial(take_away_look, look=rows[0].last.id))

    def _day(self, day: str) -> str:
        return self.context.formats.day(day)

    def _tenth(self, value: float | None) -> str:
        return "" if value is None else self.context.formats.number(value, 1)

    def _change(self, percent: float | None) -> str:
        if percent is None:
            return ""
        shown = self.context.formats.percent(percent, 0)
        return tr("⚠ {change}, slow").format(change=shown) if percent <= -15 else shown


class MeasureDialog(FormDialog):
    """A colony's radius or diameter on a day."""

    def __init__(self, context: DeskContext, things: LabThings, culture: int | None = None) -> None:
        super().__init__(
            tr("Measure a colony"),
            sentence=tr(
                "Measure from below, through the closed plate. A radius is read from the edge of"
                " the plug; take two at right angles and enter their middle."
            ),
            save_title=tr("Keep"),
        )
        self._context = context
        cultures = [
            (one.id, tr("{culture}  ·  {strain}").format(
                culture=one.name, strain=things.strain_name(one.strain)))
            for one in things.kept_cultures()
        ]  # fmt: skip
        add, formats = self.form.add, context.formats
        self.culture = add(
            ChoiceField("culture", tr("Culture"), cultures, required=True, value=culture)
        )
        ways = [("radius", tr("radius")), ("diameter", tr("diameter"))]
        add(ChoiceField("way", tr("Measured as"), ways, required=True, value="radius"))
        add(
            ReadField("radius", tr("Length"), self._reader(formats), required=True,
                      hint=tr("Such as 23 mm, 2.3 cm or 0.9 in; without a unit it is mm."))
        )  # fmt: skip
        add(DayField("looked_on", tr("On"), formats, value="today"))
        add(NotesField("note", tr("Note")))

    def take_scan(self, line: str) -> bool:
        """A culture's label scanned while the form is open names it."""
        found = self.read_scan(line)
        if found is None:
            return True
        self.culture.set_value(found)
        is_known = self.culture.chosen() == found
        self.form.show_on_top("" if is_known else tr("That code is no culture that is kept."))
        return True

    def save(self, values: dict[str, Any]) -> None:
        """Keep the measure."""
        way = values.pop("way")
        radius = values.pop("radius")
        values["radius_um"] = radius // 2 if way == "diameter" else radius
        self.run(self._context.act, partial(measure_culture, **values))

    def _reader(self, formats: Formats) -> Callable[[str], int]:
        def read(text: str) -> int:
            return read_length(text, decimal_comma=formats.decimal_comma)

        return read


def _last_on(row: GrowthRow) -> str:
    return row.last.looked_on


def _radius(row: GrowthRow) -> float:
    return row.last.radius_um / 1000


def _rate(row: GrowthRow) -> float | None:
    return row.rate.mm_per_day if row.rate else None


def _before(row: GrowthRow) -> float | None:
    return row.judgement.baseline if row.judgement else None


def _change(row: GrowthRow) -> float | None:
    return row.judgement.change_percent if row.judgement else None
