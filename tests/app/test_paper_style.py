"""Plain widgets are seen by night as by day: their edges stand out from the ground they lie on."""

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QCheckBox, QPushButton, QRadioButton, QVBoxLayout, QWidget

from app.look import DARK, LIGHT, contrast, palette_of
from app.paper_style import PaperStyle

SEEN = 3.0
"""WCAG 2, success criterion 1.4.11: what is needed to make out a control has 3 to 1 against what is beside it."""


@pytest.fixture(params=[LIGHT, DARK], ids=["light", "dark"])
def window(request, qtbot):
    """A window in a look, with one of each, none of them in focus."""
    style = PaperStyle()
    window = QWidget()
    qtbot.addWidget(window)
    window.look = request.param
    window.setPalette(palette_of(window.look))
    window.tick, window.choice, window.button = QCheckBox("Tick"), QRadioButton("Choice"), QPushButton("Button")
    column = QVBoxLayout(window)
    for widget in (window.tick, window.choice, window.button):
        widget.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        widget.setStyle(style)
        column.addWidget(widget)
    window.resize(200, 120)
    window.show()
    yield window
    style.deleteLater()


def strongest(window, widget, width):
    """The strongest contrast with the window's ground in the first columns of a widget, along its middle."""
    image = window.grab().toImage()
    start = widget.mapTo(window, QPoint(0, widget.height() // 2))
    return max(contrast(image.pixelColor(start.x() + i, start.y()), window.look.window) for i in range(width))


@pytest.mark.parametrize("name", ["tick", "choice"])
def test_what_can_be_chosen_is_made_out(window, name):
    assert strongest(window, getattr(window, name), 8) >= SEEN


@pytest.mark.parametrize("name", ["tick", "choice"])
def test_chosen_and_not_chosen_are_told_apart(qtbot, window, name):
    widget = getattr(window, name)
    before = widget.grab().toImage()
    qtbot.mouseClick(widget, Qt.MouseButton.LeftButton, pos=QPoint(8, widget.height() // 2))
    assert widget.isChecked()
    after = widget.grab().toImage()
    middle = [(x, widget.height() // 2) for x in range(2, 12)]
    assert max(contrast(before.pixelColor(*at), after.pixelColor(*at)) for at in middle) >= SEEN


def test_a_pressed_button_looks_pressed(qtbot, window):
    before = window.button.grab().toImage()
    qtbot.mousePress(window.button, Qt.MouseButton.LeftButton)
    assert window.button.grab().toImage() != before
    qtbot.mouseRelease(window.button, Qt.MouseButton.LeftButton)


def test_the_button_that_enter_presses_is_marked(window):
    before = window.button.grab().toImage()
    window.button.setDefault(True)
    assert window.button.grab().toImage() != before
