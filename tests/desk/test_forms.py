"""Fields read what a grower types, and every problem stands beside its field."""

from __future__ import annotations

from decimal import Decimal

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QScrollArea

from farmdesk.desk.fields import (
    CheckField,
    ChoiceField,
    DayField,
    MassField,
    MoneyField,
    NotesField,
    NumberField,
    ReadField,
    TextField,
)
from farmdesk.desk.forms import Form
from farmdesk.errors import NotUnderstood, Refused, problem
from farmdesk.quantities.mass import MG_PER_LB, MG_PER_OZ
from farmdesk.wording.formats import Formats

FORMATS = Formats(locale="en_US", mass_unit="lb_oz", zone="America/New_York", currency="USD")
STRAINS = [(11, "Blue Fog (pearl oyster)"), (12, "Amber (king oyster)"), (13, "Amber Late")]


@pytest.fixture
def form(qtbot, light) -> Form:
    form = Form()
    qtbot.addWidget(form)
    form.resize(500, 600)
    form.show()
    return form


def test_days_are_named_in_the_language_of_the_desk(form, monkeypatch) -> None:
    words = {"today": "hoy", "yesterday": "ayer", "tomorrow": "mañana"}
    monkeypatch.setattr("farmdesk.desk.fields._DAY_WORDS", words)
    day = form.add(DayField("day", "Day", FORMATS, value="today"))
    assert day.text() == "hoy"
    today = day.value()
    for typed in ("today", "Hoy", today):
        day.line.setText(typed)
        assert day.value() == today


def test_a_form_is_as_wide_as_its_fields_and_the_bar_beside_them(form) -> None:
    wide = form.add(TextField("note", "Note"))
    wide.line.setMinimumWidth(700)
    QCoreApplication.processEvents()
    bar = form.findChild(QScrollArea).verticalScrollBar().sizeHint().width()
    assert form.minimumSizeHint().width() >= 700 + bar


def test_a_weight_is_read_back_as_it_is_typed(form, qtbot) -> None:
    field = form.add(MassField("gross", "Gross weight", FORMATS, required=True))
    qtbot.keyClicks(field.line, "9 lb 6.5 oz")
    assert field.value() == round(9 * MG_PER_LB + 13 * MG_PER_OZ / 2)
    assert field.hint_text() == "= 9 lb 6.5 oz"
    field.line.setText("9.65 lb")
    assert "⚠" in field.hint_text()
    assert field.reading().doubts[0].code == "pounds_point_ounces"
    field.line.setText("9 stone")
    assert field.hint_text() == ""


def test_a_bad_weight_is_explained_under_its_field_and_gets_the_focus(form, qtbot) -> None:
    form.add(TextField("note", "Note"))
    field = form.add(MassField("gross", "Gross weight", FORMATS, required=True))
    field.line.setText("twelve")
    assert form.values() is None
    assert "could not be read as a weight" in field.problem_text()
    assert field.editor.accessibleDescription() == field.problem_text()
    assert form.focusWidget() is field.line
    qtbot.keyClicks(field.line, "!")
    assert field.problem_text() == ""


def test_a_field_that_must_be_filled_says_so(form) -> None:
    field = form.add(TextField("name", "Room name", required=True))
    assert form.values() is None
    assert field.problem_text() == "Room name must be filled in."


def test_every_kind_of_field_gives_its_value(form) -> None:
    form.add(TextField("name", "Name", value="North tent"))
    form.add(MassField("net", "Net", FORMATS, value=4_260_000))
    form.add(DayField("day", "Day", FORMATS, value="5 Feb 2026"))
    form.add(MoneyField("price", "Price", FORMATS, value="$1,234.50"))
    form.add(NumberField("bags", "Bags", FORMATS, value="1,000"))
    form.add(NumberField("share", "Share", FORMATS, digits=2, value="12.25"))
    form.add(NumberField("change", "Change", FORMATS, value="-3"))
    form.add(ChoiceField("strain", "Strain", STRAINS, value=12))
    form.add(NotesField("notes", "Notes", value="two\nlines"))
    form.add(CheckField("organic", "Organic", value=True))
    form.add(ReadField("even", "Even", lambda text: int(text) * 2, value="21"))
    form.add(TextField("empty", "Empty"))
    values = form.values()
    assert values == {
        "name": "North tent",
        "net": pytest.approx(4_260_000, abs=1500),  # shown to 0.1 oz, so read back to that
        "day": "2026-02-05",
        "price": Decimal("1234.50"),
        "bags": 1000,
        "share": Decimal("12.25"),
        "change": -3,
        "strain": 12,
        "notes": "two\nlines",
        "organic": True,
        "even": 42,
        "empty": None,
    }
    assert isinstance(values["bags"], int)


@pytest.mark.parametrize(
    ("make", "typed", "says"),
    [
        (lambda: DayField("x", "Day", FORMATS), "02/03/2026", "different day in different"),
        (lambda: MoneyField("x", "Price", FORMATS), "4.505", "more decimals"),
        (lambda: NumberField("x", "Bags", FORMATS), "2.5", "not a whole number"),
        (lambda: NumberField("x", "Bags", FORMATS), "some", "could not be read as a number"),
        (lambda: MassField("x", "Net", FORMATS), "540", "no unit"),
    ],
)
def test_what_can_not_be_read_is_said_in_words(form, make, typed, says) -> None:
    field = form.add(make())
    field.line.setText(typed)
    assert form.values() is None
    assert says in field.problem_text()


def test_a_choice_is_found_by_what_is_typed(form) -> None:
    field = form.add(ChoiceField("strain", "Strain", STRAINS))
    assert field.value() is None
    field.line.setText("blue")
    assert field.value() == 11
    field.line.setText("amber late")
    assert field.value() == 13
    field.line.setText("amber")
    assert form.values() is None
    assert "not one of the choices" in field.problem_text()
    field.set_choices([(13, "Amber Late"), (14, "Birch")])
    field.set_value(14)
    assert field.value() == 14
    field.set_choices([(14, "Birch"), (15, "Cloud")])
    assert field.value() == 14


def test_problems_of_a_refusal_go_to_their_fields_and_the_rest_on_top(form) -> None:
    gross = form.add(MassField("gross", "Gross", FORMATS))
    form.show_error(Refused(problem("mass_zero", field="gross", text="0 g"), problem("room_full")))
    assert "Weigh again" in gross.problem_text()
    assert form.problem_on_top().startswith("room_full")
    form.clear_problems()
    assert gross.problem_text() == form.problem_on_top() == ""


def test_two_keys_save_and_cancel(form, qtbot) -> None:
    field = form.add(TextField("name", "Name"))
    notes = form.add(NotesField("notes", "Notes"))
    asked: list[str] = []
    form.save_asked.connect(lambda: asked.append("save"))
    form.cancel_asked.connect(lambda: asked.append("cancel"))
    qtbot.keyClick(field.line, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    qtbot.keyClick(notes.edit, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    qtbot.keyClick(field.line, Qt.Key.Key_Escape)
    assert asked == ["save", "save", "cancel"]


def test_tab_leaves_every_field(form, qtbot) -> None:
    notes = form.add(NotesField("notes", "Notes"))
    after = form.add(TextField("name", "Name"))
    form.activateWindow()
    notes.edit.setFocus()
    qtbot.waitUntil(lambda: notes.edit.hasFocus() and after.line.isVisible())
    qtbot.keyClick(notes.edit, Qt.Key.Key_Tab)
    assert after.line.hasFocus()


def test_a_screen_reader_has_the_label_of_every_field(form) -> None:
    for field in (
        TextField("a", "Name"),
        ChoiceField("b", "Strain", STRAINS),
        NotesField("c", "Notes"),
        CheckField("d", "Organic"),
    ):
        form.add(field)
        assert field.editor.accessibleName() == field.label_text


def test_a_value_of_another_kind_is_refused_by_its_reader(form) -> None:
    def read(text: str) -> str:
        raise NotUnderstood(problem("week_not_understood", text=text))

    field = form.add(ReadField("week", "Week", read, value="soon"))
    assert form.values() is None
    assert "2026-W47" in field.problem_text()


def test_ctrl_enter_keeps_the_form_while_choices_are_offered(qtbot) -> None:
    form = Form()
    field = form.add(ChoiceField("paper", "Paper", [(1, "A4"), (2, "Letter")]))
    qtbot.addWidget(form)
    form.show()
    field.setFocus()
    for sign in "let":
        key = QKeyEvent(QEvent.Type.KeyPress, ord(sign), Qt.KeyboardModifier.NoModifier, sign)
        QCoreApplication.sendEvent(form.windowHandle(), key)
    offer = field.combo.completer().popup()
    assert offer.isVisible()
    with qtbot.waitSignal(form.save_asked):
        qtbot.keyClick(offer, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert not offer.isVisible()
    assert field.value() == 2
