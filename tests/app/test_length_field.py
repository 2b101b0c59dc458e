"""The field for a length: takes what people type, keeps what it cannot read, never rounds behind their back."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.length_field import SIZES, THICKNESSES, LengthField, Span


@pytest.fixture
def field(qtbot):
    """A field with 60.33 mm in it, in a window with another one to go to."""
    window = QWidget()
    qtbot.addWidget(window)
    field = LengthField("width of the blank", Span(5.0, 5000.0), SIZES)
    field.other = LengthField("depth of the blank")
    column = QVBoxLayout(window)
    column.addWidget(field)
    column.addWidget(field.other)
    field.show_value(60.325, "mm")
    window.show()
    window.activateWindow()
    field.setFocus()
    qtbot.waitUntil(field.hasFocus)
    field.taken = []
    field.committed.connect(field.taken.append)
    yield field  # the window lives until then


def type_in(qtbot, field, text):
    field.selectAll()
    qtbot.keyClick(field, Qt.Key.Key_Delete)
    qtbot.keyClicks(field, text)


@pytest.mark.parametrize(
    ("text", "mm"),
    [("70", 70.0), ("70,5 mm", 70.5), ('2 1/2"', 63.5), ("7 cm", 70.0), ("1' 2 1/2\"", 368.3)],
)
def test_enter_takes_what_was_typed(qtbot, field, text, mm):
    type_in(qtbot, field, text)
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert field.taken == [mm]
    assert field.value == mm


def test_leaving_the_field_takes_it_and_only_once(qtbot, field):
    type_in(qtbot, field, "70")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    qtbot.keyClick(field, Qt.Key.Key_Tab)
    assert field.other.hasFocus()
    assert field.taken == [70.0]


def test_tab_takes_it(qtbot, field):
    type_in(qtbot, field, "71")
    qtbot.keyClick(field, Qt.Key.Key_Tab)
    assert field.taken == [71.0]


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_what_is_only_looked_at_is_never_rounded(qtbot, field, unit):
    field.show_value(60.3271, unit)
    shown = field.text()
    type_in(qtbot, field, shown)
    qtbot.keyClick(field, Qt.Key.Key_Return)
    qtbot.keyClick(field, Qt.Key.Key_Tab)
    assert field.taken == []
    assert field.value == 60.3271


def test_what_cannot_be_read_stays_with_a_sentence_and_the_value_stays(qtbot, field):
    type_in(qtbot, field, "wide")
    qtbot.keyClick(field, Qt.Key.Key_Tab)
    assert field.text() == "wide"
    assert "cannot be read as a length" in field.trouble
    assert field.trouble in field.toolTip()
    assert field.trouble == field.accessibleDescription()
    assert (field.taken, field.value) == ([], 60.325)


def test_trouble_is_outlined(qtbot, field):
    before = field.grab().toImage()
    type_in(qtbot, field, "60.33 mmm")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    after = field.grab().toImage()
    red = after.pixelColor(1, after.height() // 2)
    assert red.red() > red.blue() + 60
    assert before.pixelColor(1, before.height() // 2) != red


def test_escape_brings_the_value_back(qtbot, field):
    type_in(qtbot, field, "wide")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    qtbot.keyClick(field, Qt.Key.Key_Escape)
    assert (field.text(), field.trouble, field.taken) == ("60.33 mm", "", [])


def test_typing_again_ends_the_complaint(qtbot, field):
    type_in(qtbot, field, "wide")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    qtbot.keyClick(field, Qt.Key.Key_Backspace)
    assert field.trouble == ""


@pytest.mark.parametrize(
    ("unit", "text", "sentence"),
    [
        ("mm", "3", "The width of the blank can be anything from 5 mm to 5000 mm."),
        ("mm", "-60", "The width of the blank can be anything from 5 mm to 5000 mm."),
        ("in", "300", 'The width of the blank can be anything from 7/32" to 196 27/32".'),
    ],
)
def test_what_is_out_of_range_is_refused_in_the_unit_on_show(qtbot, field, unit, text, sentence):
    field.show_value(60.325, unit)
    type_in(qtbot, field, text)
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert field.trouble == sentence
    assert (field.text(), field.value, field.taken) == (text, 60.325, [])


@pytest.mark.parametrize("limit", ['7/32"', '196 27/32"'])
def test_the_limits_named_in_inches_can_be_typed(qtbot, field, limit):
    field.show_value(60.325, "in")
    type_in(qtbot, field, limit)
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert field.trouble == ""
    assert len(field.taken) == 1


def test_whoever_asked_may_refuse(qtbot, field):
    field.committed.connect(lambda _: field.refuse("The strips would not fill it."))
    type_in(qtbot, field, "70 mm")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert (field.text(), field.value) == ("70 mm", 60.325)
    assert field.trouble == "The strips would not fill it."
    qtbot.keyClick(field, Qt.Key.Key_Escape)
    assert field.text() == "60.33 mm"


def test_arrow_keys_step_and_steps_do_not_creep(qtbot, field):
    for _ in range(3):
        qtbot.keyClick(field, Qt.Key.Key_Up, Qt.KeyboardModifier.ShiftModifier)
    assert field.taken == [60.425, 60.525, 60.625]
    qtbot.keyClick(field, Qt.Key.Key_Down)
    qtbot.keyClick(field, Qt.Key.Key_PageUp)
    assert field.taken[3:] == [59.625, 69.625]


def test_arrow_keys_step_in_inches(qtbot, field):
    field.show_value(25.4, "in")
    qtbot.keyClick(field, Qt.Key.Key_Up)
    assert field.taken == [26.9875]
    assert field.text() == '1 1/16"'


def test_arrow_keys_stop_at_the_limits(qtbot, field):
    field.show_value(5.5, "mm")
    for _ in range(3):
        qtbot.keyClick(field, Qt.Key.Key_Down)
    assert field.taken == [5.0]


def test_kerfs_in_inches_are_in_thousandths(qtbot):
    field = LengthField("kerf", Span(0.0, 10.0), THICKNESSES)
    qtbot.addWidget(field)
    field.show_value(0.9, "in")
    assert field.text() == '0.035"'
    assert "0.9 mm" in field.toolTip()


def test_the_same_value_again_leaves_typing_alone_and_another_replaces_it(qtbot, field):
    type_in(qtbot, field, "7")
    field.show_value(60.325, "mm")
    assert field.text() == "7"
    field.show_value(80.0, "mm")
    assert field.text() == "80 mm"


def test_undo_goes_to_the_window_unless_something_was_typed(qtbot, field):
    undone = []
    shortcut = QShortcut(QKeySequence(QKeySequence.StandardKey.Undo), field.window())
    shortcut.activated.connect(lambda: undone.append(True))
    qtbot.keyClick(field, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert undone == [True]
    qtbot.keyClicks(field, "9")
    qtbot.keyClick(field, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert undone == [True]
    assert field.text() == "60.33 mm"
