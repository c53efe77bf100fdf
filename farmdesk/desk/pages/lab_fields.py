"""Fields that only the lab has: clock times, probe readings, spawn with its amounts."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from farmdesk.actions.heat_runs import Probe
from farmdesk.actions.inoculation import SpawnUse
from farmdesk.desk.fields import ChoiceField, Field, MassField, NotesField, ReadField
from farmdesk.domain.lab import Spawn
from farmdesk.errors import NotUnderstood, problem
from farmdesk.quantities.temperature import read_temperature
from farmdesk.quantities.times import find_zone, read_day, to_iso, today_in
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr

_CLOCK = re.compile(r"(?:(.+?)[ ,]+)?([0-9]{1,2})[:.h]([0-9]{2}) ?(am|pm)?")
_RANGE = re.compile(r"([0-9]{1,4})(?: ?[-–] ?([0-9]{1,4}))?")


def read_clock(text: str, formats: Formats, *, day: str | None = None) -> str:
    """Read '14:05', '2:05 pm' or '2026-02-05 14:05' on the farm's clock as a UTC instant.

    Without a day it is `day`, else today. Raises NotUnderstood.
    """
    bare = " ".join(text.split())
    found = _CLOCK.fullmatch(bare.casefold())
    hour = int(found[2]) if found else 99
    if found is None or hour > (12 if found[4] else 23) or int(found[3]) > 59:
        raise NotUnderstood(problem("clock_not_understood", text=bare[:40]))
    if found[4]:
        hour = hour % 12 + (12 if found[4] == "pm" else 0)
    today = today_in(formats.zone)
    wanted = read_day(found[1], today, locale=formats.locale) if found[1] else day or today
    plain = datetime.fromisoformat(f"{wanted}T{hour:02d}:{found[3]}:00")
    return to_iso(plain.replace(tzinfo=find_zone(formats.zone)))


class ClockField(ReadField):
    """A clock time, with a day before it when it was not that day. `value()` is UTC ISO text."""

    def __init__(
        self, key: str, label: str, formats: Formats, *, day: str | None = None, hint: str = ""
    ) -> None:
        def read(text: str) -> str:
            return read_clock(text, formats, day=day)

        super().__init__(key, label, read, hint=hint, placeholder="14:05")


class ReadingsField(NotesField):
    """Probe readings, one a line: time, temperature, place. `value()` is a list of Probe."""

    def __init__(
        self, key: str, label: str, formats: Formats, *, day: str | None = None, hint: str = ""
    ) -> None:
        self._formats = formats
        self._day = day
        super().__init__(key, label, hint=hint)
        self.edit.setPlaceholderText(tr("14:40  121 °C  middle of the load"))

    def value(self) -> Any:
        """The readings; raises NotUnderstood with the line that can't be read."""
        return [self._read(line) for line in super().value().splitlines() if line.strip()]

    def _read(self, line: str) -> Probe:
        found = re.fullmatch(
            r"\s*(.*?[0-9]{1,2}[:.h][0-9]{2}(?: ?[ap]m)?)[\s,;]+"
            r"([-+]?[0-9.,]+ ?°? ?[CcFf]?)(?:[\s,;]+(.*))?",
            line,
        )
        if found is None:
            raise NotUnderstood(problem("probe_line_not_understood", text=line.strip()[:60]))
        at = read_clock(found[1], self._formats, day=self._day)
        celsius: Decimal = read_temperature(
            found[2],
            usual_unit=self._formats.temperature_unit,
            decimal_comma=self._formats.decimal_comma,
        ).celsius
        return Probe(at, celsius, (found[3] or "").strip())


class _UseRow(QWidget):
    """One bag of spawn, the amount taken from it, and for which bags."""

    def __init__(self, choices: Sequence[tuple[int, str]], formats: Formats) -> None:
        super().__init__()
        self.spawn = ChoiceField("spawn", tr("Bag of spawn"), choices)
        self.amount = MassField("amount", tr("Amount"), formats, placeholder=tr("2.4 kg"))
        self.bags = ReadField("bags", tr("Into bags"), _read_range, placeholder=tr("all"))
        self.bags.setMaximumWidth(140)
        self.remove = QPushButton(tr("Remove"))
        self.remove.setAutoDefault(False)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        top = Qt.AlignmentFlag.AlignTop
        for field, share in ((self.spawn, 3), (self.amount, 2), (self.bags, 1)):
            row.addWidget(field, share, top)
        row.addWidget(below_label(self.remove), 0, top)

    @property
    def is_empty(self) -> bool:
        """Whether nothing was typed here."""
        return not self.spawn.line.text().strip() and not self.amount.text()


class SpawnUsesField(Field):
    """The spawn of an inoculation, row by row. `value()` is a list of SpawnUse.

    `suggest(spawn)` gives the amount that a bag which was just scanned is filled in with, mg.
    """

    def __init__(
        self, key: str, label: str, formats: Formats, *, suggest: Callable[[Spawn], int]
    ) -> None:
        self._formats = formats
        self._suggest = suggest
        self._spawn: dict[int, Spawn] = {}
        self._choices: list[tuple[int, str]] = []
        self.rows: list[_UseRow] = []
        editor = QWidget()
        self._column = QVBoxLayout(editor)
        self._column.setContentsMargins(0, 0, 0, 0)
        self.add_button = QPushButton(tr("Add a bag of spawn"))
        self.add_button.setAutoDefault(False)
        self.add_button.clicked.connect(self._add_empty)
        foot = QHBoxLayout()
        foot.addWidget(self.add_button)
        foot.addStretch(1)
        self._column.addLayout(foot)
        super().__init__(
            key,
            label,
            editor,
            hint=tr(
                "Scan each bag of spawn, or choose it. One amount for all bags is a mix; "
                "ranges such as 1-20 keep them apart."
            ),
        )
        self.add_row()

    def offer(self, spawn: Sequence[Spawn]) -> None:
        """Offer these bags of spawn."""
        self._spawn = {one.id: one for one in spawn}
        self._choices = [
            (
                one.id,
                tr("{name}  ·  {mass} left").format(
                    name=one.name, mass=self._formats.mass(one.left_mg)
                ),
            )
            for one in spawn
        ]
        for row in self.rows:
            row.spawn.set_choices(self._choices)

    def add_row(self) -> _UseRow:
        """One more line for a bag of spawn."""
        row = _UseRow(self._choices, self._formats)
        row.remove.clicked.connect(lambda _=False: self._remove(row))
        row.spawn.changed.connect(lambda: self._fill_amount(row))
        for field in (row.amount, row.bags):
            field.changed.connect(self._edited)
        self._column.insertWidget(len(self.rows), row)
        self.rows.append(row)
        return row

    def take_spawn(self, spawn: int) -> bool:
        """A bag of spawn was scanned: name it on the first free line; False when not offered."""
        if spawn not in self._spawn:
            return False
        free = [row for row in self.rows if row.is_empty]
        row = free[0] if free else self.add_row()
        row.spawn.set_value(spawn)
        self._fill_amount(row)
        row.amount.setFocus()
        return True

    def value(self) -> list[SpawnUse]:
        """What is taken from which bag of spawn for which bags of the batch."""
        found = []
        for row in self.rows:
            if row.is_empty:
                continue
            row.spawn.required = row.amount.required = True
            spawn, amount = row.spawn.value(), row.amount.value()
            first, last = row.bags.value() or (None, None)
            found.append(SpawnUse(spawn, amount, first, last))
        if not found:
            raise NotUnderstood(problem("no_spawn_named", field=self.key))
        return found

    def set_value(self, value: Any) -> None:
        """Fill in spawn uses."""
        for row in list(self.rows):
            self._remove(row)
        for use in value or ():
            row = self.add_row()
            row.spawn.set_value(use.spawn)
            row.amount.set_value(use.amount_mg)
            row.bags.set_value("" if use.first is None else f"{use.first}-{use.last}")

    def _add_empty(self) -> None:
        self.add_row().spawn.setFocus()

    def _fill_amount(self, row: _UseRow) -> None:
        spawn = self._spawn.get(row.spawn.combo.currentData() or 0)
        if spawn is not None and not row.amount.text():
            row.amount.set_value(min(self._suggest(spawn), spawn.left_mg))
        self._edited()

    def _remove(self, row: _UseRow) -> None:
        self.rows.remove(row)
        self._column.removeWidget(row)
        row.hide()
        row.deleteLater()
        self._edited()

    def _edited(self) -> None:
        self.show_problem("")
        self.changed.emit()


def offer_anew(field: ChoiceField, choices: Sequence[tuple[Any, str]]) -> None:
    """Offer choices that may have changed; what is chosen or half typed stays as it is."""
    text = field.line.text()
    field.set_choices(choices)
    if text and field.line.text() != text and field.chosen() is None:
        field.line.setText(text)


def below_label(button: QPushButton) -> QWidget:
    """A button that stands level with the editors of the fields beside it."""
    holder = QWidget()
    column = QVBoxLayout(holder)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(2)
    column.addWidget(QLabel(" "))
    column.addWidget(button)
    return holder


def _read_range(text: str) -> tuple[int, int] | None:
    bare = text.strip().casefold()
    if bare in ("all", tr("all").casefold()):
        return None
    found = _RANGE.fullmatch(bare)
    if found is None:
        raise NotUnderstood(problem("bag_range_not_understood", text=bare[:40]))
    return int(found[1]), int(found[2] or found[1])
