"""Real events sent to the bench, and the design the tests begin with."""

from PySide6.QtCore import QPoint, Qt

from geometry.project import Blank, Cut, Node, Variant

NODES = (Node((0.0, 0.0), "corner"), Node((6.0, 200.0)), Node((0.0, 420.0), "corner"))
PLAIN = Variant("A", Blank(60.0, 60.0, 420.0), front=Cut(nodes=NODES), side=Cut())


def type_in(qtbot, field, text, key=Qt.Key.Key_Return):
    field.setFocus()
    field.selectAll()
    qtbot.keyClick(field, Qt.Key.Key_Delete)
    qtbot.keyClicks(field, text)
    qtbot.keyClick(field, key)


def choose(qtbot, box, text):
    """Choose an entry from the keyboard, as a maker would."""
    index = next(i for i in range(box.count()) if box.itemText(i).startswith(text))
    box.setFocus()
    box.showPopup()
    view = box.view()
    qtbot.waitUntil(view.isVisible)
    view.setCurrentIndex(box.model().index(index, 0))
    qtbot.keyClick(view, Qt.Key.Key_Return)


def press(qtbot, button):
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton, pos=QPoint(8, button.height() // 2))


def only_edit(bench):
    assert len(bench.edits) == 1
    return bench.edits[0]
