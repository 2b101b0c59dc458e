"""Nothing is cut off: on a small laptop, in a small window, in either unit, with one piece or two."""

import pytest
from PySide6.QtCore import QPoint, QRect
from PySide6.QtWidgets import QAbstractButton, QAbstractScrollArea, QComboBox, QLabel, QWidget

from geometry.project import Project
from tests.app.window.working import LEG

SIZES = ((1366, 768), (1000, 640))


@pytest.fixture(params=SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
def small(work, request):
    work.window.resize(*request.param)
    work.settle()
    return work


def in_a_scrolled_page(widget: QWidget) -> bool:
    while widget is not None:
        if isinstance(widget.parent(), QWidget) and isinstance(widget.parent().parent(), QAbstractScrollArea):
            return True
        widget = widget.parent()
    return False


def cut_off(window) -> list[str]:
    """Name what is too small for its words, or lies outside of what holds it."""
    troubles = []
    for widget in window.findChildren(QWidget):
        if not widget.isVisible() or widget.window() is not window or widget.objectName().startswith("qt_"):
            continue
        who = f"{type(widget).__name__} {widget.accessibleName() or getattr(widget, 'text', str)()!r}"
        room = widget.size()
        if isinstance(widget, QLabel) and widget.text():
            if widget.wordWrap():
                if widget.heightForWidth(room.width()) > room.height():
                    troubles.append(f"{who} is too low: {room} for {widget.heightForWidth(room.width())}")
            elif widget.sizeHint().width() > room.width():
                troubles.append(f"{who} is too narrow: {room} for {widget.sizeHint()}")
        elif (
            isinstance(widget, QAbstractButton) and widget.text() and widget.minimumSizeHint().width() > room.width()
        ) or (isinstance(widget, QComboBox) and widget.minimumSizeHint().width() > room.width()):
            troubles.append(f"{who} is too narrow: {room} for {widget.minimumSizeHint()}")
        if not in_a_scrolled_page(widget):
            place = QRect(widget.mapTo(window, QPoint(0, 0)), room)
            if not window.rect().contains(place):
                troubles.append(f"{who} is outside the window: {place}")
    return troubles


def test_the_window_can_be_made_smaller_than_a_small_laptop(work):
    least = work.window.minimumSizeHint().expandedTo(work.window.minimumSize())
    assert least.width() <= 1000
    assert least.height() <= 640


@pytest.mark.parametrize("units", ["mm", "in"])
def test_one_piece_has_room(small, units):
    in_units(small, units)
    assert (small.window.width(), small.window.height()) in SIZES
    assert cut_off(small.window) == []
    assert small.piece.views["A"].width() >= 260
    assert small.faces.sheet.height() >= 200


def test_two_pieces_have_room(small):
    small.window.show_side_by_side(True)
    small.settle()
    assert (small.window.width(), small.window.height()) in SIZES
    assert cut_off(small.window) == []


def test_the_start_page_has_room(small):
    small.window.show_start_page()
    assert (small.window.width(), small.window.height()) in SIZES
    assert cut_off(small.window) == []


def test_a_sentence_below_and_the_numbers_of_a_node_do_not_meet(small):
    small.click(small.node("front", 1))
    small.window.say("A sentence that is said below the panels while a node is selected on the faces.")
    bar, numbers = small.window.statusBar(), small.window.node_numbers
    assert numbers.isVisible()
    words = bar.fontMetrics().horizontalAdvance(bar.currentMessage())
    assert words + 8 <= numbers.mapTo(bar, QPoint(0, 0)).x() or small.window.width() < 1366
    right = numbers.mapTo(small.window, QPoint(numbers.width(), 0)).x()
    assert 0 <= small.window.width() - right <= 16


def in_units(work, units) -> None:
    project: Project = LEG
    work.document.replace(project)
    if units != project.display_units:
        work.window.bench.units_changed.emit(units)
    work.settle()
