"""Fields of the catalogue's forms from their descriptions, and how a list shows each value."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from decimal import Decimal
from functools import partial
from typing import Any, get_type_hints

from PySide6.QtWidgets import QLabel

from farmdesk.desk.fields import (
    CheckField,
    ChoiceField,
    Field,
    MassField,
    MoneyField,
    NotesField,
    NumberField,
    ReadField,
    TextField,
)
from farmdesk.desk.forms import Form
from farmdesk.desk.pages.catalogue_kinds import FieldSpec, KindSpec
from farmdesk.desk.pages.catalogue_parts import PartsField
from farmdesk.quantities.percent import read_percent
from farmdesk.quantities.temperature import read_temperature
from farmdesk.reports.catalogue import Catalogue
from farmdesk.wording.formats import Formats
from farmdesk.wording.language import tr
from farmdesk.wording.states import say_code

_UM_PER_MM = 1_000
Maker = Callable[[FieldSpec, Formats, Catalogue, Any], Field]


class ThingForm:
    """The fields of one thing in a form; what was not touched is kept exactly as it was."""

    def __init__(
        self, form: Form, spec: KindSpec, thing: Any, *, formats: Formats, catalogue: Catalogue
    ) -> None:
        self._spec = spec
        self._thing = thing
        self._optional = _optional_names(type(thing))
        self._fields: dict[str, Field] = {}
        for one in spec.fields:
            if one.group:
                form.add_widget(_heading(one.group))
            field = _MAKERS[one.kind](one, formats, catalogue, thing)
            self._fields[one.name] = form.add(field)
        self._shown = {name: _content(field) for name, field in self._fields.items()}

    def thing_from(self, values: Mapping[str, Any]) -> Any:
        """The thing with what was typed; `values` are the form's."""
        changed: dict[str, Any] = {}
        for one in self._spec.fields:
            if one.kind == "parts":
                continue
            if self._thing.id and _content(self._fields[one.name]) == self._shown[one.name]:
                continue
            changed[one.name] = self._cell(one, values[one.name])
        return replace(self._thing, **changed)

    def _cell(self, one: FieldSpec, value: Any) -> Any:
        if one.kind == "check":
            return int(value)
        if value is None:
            return None if one.name in self._optional else "" if _is_words(one) else 0
        if one.kind == "length":
            return round(value * _UM_PER_MM)
        return _bare(value) if isinstance(value, Decimal) else value


def show_cell(one: FieldSpec, value: Any, formats: Formats, catalogue: Catalogue) -> str:
    """A value of a field as a list shows it."""
    if value is None or value == "":
        return ""
    if one.kind == "ref":
        return catalogue.name(one.ref, value)
    if one.kind == "choice" and one.choices is not None:
        return dict(one.choices()).get(value, str(value))
    if one.words:
        return say_code(one.words, value)
    return _SHOWS.get(one.kind, _show_plain)(value, formats)


def _show_plain(value: Any, _formats: Formats) -> str:
    return " ".join(str(value).split())


def _heading(text: str) -> QLabel:
    label = QLabel(text)
    label.setObjectName("group")
    return label


def _content(field: Field) -> Any:
    if isinstance(field, TextField):
        return field.text()
    if isinstance(field, ChoiceField):
        return field.combo.currentText()
    return field.value()


def _optional_names(cls: type[Any]) -> frozenset[str]:
    hints = get_type_hints(cls)
    return frozenset(
        name for name, hint in hints.items() if type(None) in getattr(hint, "__args__", ())
    )


def _is_words(one: FieldSpec) -> bool:
    return one.kind in ("text", "notes", "choice")


def _bare(value: Decimal) -> Decimal:
    """The same figure without needless zeros: 62.0000 is kept as 62."""
    return value.quantize(Decimal(1)) if value == value.to_integral() else value.normalize()


def _mm(um: int) -> Decimal:
    return Decimal(um) / _UM_PER_MM


def _number_text(value: Decimal | int, formats: Formats) -> str:
    """A number without needless zeros, as it would be typed here."""
    text = format(Decimal(value), "f")
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return text.replace(".", ",") if formats.decimal_comma else text


_SHOWS: Mapping[str, Callable[[Any, Formats], str]] = {
    "whole": lambda value, formats: formats.number(value),
    "number": _number_text,
    "percent": lambda value, formats: f"{_number_text(value, formats)} %",
    "celsius": lambda value, formats: formats.temperature(value),
    "mass": lambda value, formats: formats.mass(value),
    "money": lambda value, formats: formats.money(value),
    "check": lambda value, _formats: tr("yes") if value else tr("no"),
    "length": lambda value, formats: f"{_number_text(_mm(value), formats)} mm",
}


def _options(one: FieldSpec, **more: Any) -> dict[str, Any]:
    return {"hint": one.hint, "required": one.required, **more}


def _text(one: FieldSpec, _formats: Formats, _catalogue: Catalogue, thing: Any) -> Field:
    value = getattr(thing, one.name)
    if not one.words:
        return TextField(one.name, one.label, **_options(one, value=value))
    codes = {tr(word).casefold(): code for code, word in one.words.items()}

    def read(text: str) -> str:
        return codes.get(text.strip().casefold(), text)

    return ReadField(one.name, one.label, read, **_options(one, value=say_code(one.words, value)))


def _notes(one: FieldSpec, _formats: Formats, _catalogue: Catalogue, thing: Any) -> Field:
    return NotesField(one.name, one.label, hint=one.hint, value=getattr(thing, one.name))


def _number(
    one: FieldSpec, formats: Formats, _catalogue: Catalogue, thing: Any, *, digits: int = 0
) -> Field:
    value = getattr(thing, one.name)
    if value is not None:
        value = _number_text(_mm(value) if one.kind == "length" else value, formats)
    return NumberField(one.name, one.label, formats, digits=digits, **_options(one, value=value))


def _percent(one: FieldSpec, formats: Formats, _catalogue: Catalogue, thing: Any) -> Field:
    def read(text: str) -> Decimal:
        return read_percent(text, decimal_comma=formats.decimal_comma, highest=one.highest).percent

    value = getattr(thing, one.name)
    shown = None if value is None else _number_text(value, formats)
    return ReadField(one.name, one.label, read, **_options(one, value=shown))


def _celsius(one: FieldSpec, formats: Formats, _catalogue: Catalogue, thing: Any) -> Field:
    def read(text: str) -> Decimal:
        return read_temperature(
            text, usual_unit=formats.temperature_unit, decimal_comma=formats.decimal_comma
        ).celsius

    value = getattr(thing, one.name)
    shown = None if value is None else formats.temperature(value)
    return ReadField(one.name, one.label, read, **_options(one, value=shown))


def _mass(one: FieldSpec, formats: Formats, _catalogue: Catalogue, thing: Any) -> Field:
    value = getattr(thing, one.name)
    if not value and not thing.id:
        value = None
    return MassField(one.name, one.label, formats, **_options(one, value=value))


def _money(one: FieldSpec, formats: Formats, _catalogue: Catalogue, thing: Any) -> Field:
    value = getattr(thing, one.name)
    if not value and not thing.id:
        value = None
    return MoneyField(one.name, one.label, formats, **_options(one, value=value))


def _choice(one: FieldSpec, _formats: Formats, _catalogue: Catalogue, thing: Any) -> Field:
    choices = one.choices() if one.choices is not None else ()
    value = getattr(thing, one.name)
    known = [key for key, _ in choices]
    offered = [*choices, *([(value, str(value))] if value and value not in known else [])]
    return ChoiceField(one.name, one.label, offered, **_options(one, value=value))


def _ref(one: FieldSpec, _formats: Formats, catalogue: Catalogue, thing: Any) -> Field:
    value = getattr(thing, one.name) or None
    choices = catalogue.choices(one.ref, also=value)
    if not value and one.required and len(choices) == 1:
        value = choices[0][0]
    return ChoiceField(one.name, one.label, choices, **_options(one, value=value))


def _check(one: FieldSpec, _formats: Formats, _catalogue: Catalogue, thing: Any) -> Field:
    return CheckField(one.name, one.label, hint=one.hint, value=bool(getattr(thing, one.name)))


def _parts(one: FieldSpec, formats: Formats, catalogue: Catalogue, thing: Any) -> Field:
    return PartsField(one.name, one.label, formats, catalogue, recipe=thing.id, hint=one.hint)


_MAKERS: Mapping[str, Maker] = {
    "text": _text,
    "notes": _notes,
    "whole": _number,
    "number": partial(_number, digits=2),
    "length": partial(_number, digits=3),
    "percent": _percent,
    "celsius": _celsius,
    "mass": _mass,
    "money": _money,
    "choice": _choice,
    "ref": _ref,
    "check": _check,
    "parts": _parts,
}
