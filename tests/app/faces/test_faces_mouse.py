"""The faces under the mouse: real events on the real widget."""

import pytest
from PySide6.QtCore import QPoint, Qt

from app.faces import FacesView
from geometry.lines import line_of
from geometry.project import Blank, Cut, Node, Variant


def node(u, z, kind="smooth"):
    return Node((u, z), kind)


SERPENTINE = Variant(
    "A",
    Blank(60.0, 60.0, 420.0),
    front=Cut(nodes=(node(0, 0, "corner"), node(8, 140), node(-6, 280), node(0, 420, "corner"))),
    side=Cut(nodes=(node(0, 0, "corner"), node(-9, 105), node(9, 210), node(0, 420, "corner"))),
)


class Told:
    """All that a view told, in order."""

    def __init__(self, view):
        self.view = view
        self.all = []
        view.gesture_started.connect(lambda name: self.all.append(("started", name)))
        view.gesture_changed.connect(lambda variant: self.all.append(("changed", variant)))
        view.gesture_finished.connect(lambda: self.all.append(("finished",)))
        view.gesture_cancelled.connect(lambda: self.all.append(("cancelled",)))
        view.edited.connect(lambda name, variant: self.all.append(("edited", name, variant)))

    @property
    def kinds(self):
        out = []
        for told in self.all:
            if not out or out[-1] != told[0]:
                out.append(told[0])
        return out


@pytest.fixture
def view(qtbot):
    view = FacesView()
    qtbot.addWidget(view)
    view.resize(420, 760)
    view.show_variant(SERPENTINE, "mm")
    view.show()
    qtbot.waitExposed(view)
    view.told = Told(view)
    return view


def at(view, cut, u, z) -> QPoint:
    return view.sheet.arrangement.face(cut).to_px(u, z).toPoint()


def of_node(view, cut, number) -> QPoint:
    return at(view, cut, *view.variant.cut(cut).nodes[number].at)


def drag(qtbot, view, start, end, modifier=Qt.KeyboardModifier.NoModifier, release=True):
    sheet = view.sheet
    qtbot.mousePress(sheet, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, start)
    for k in range(1, 5):
        send_move(sheet, start + (end - start) * k / 4, modifier)
    if release:
        qtbot.mouseRelease(sheet, Qt.MouseButton.LeftButton, modifier, end)


def send_move(sheet, point, modifier=Qt.KeyboardModifier.NoModifier, button=Qt.MouseButton.LeftButton):
    from PySide6.QtCore import QEvent, QPointF
    from PySide6.QtGui import QMouseEvent
    from PySide6.QtWidgets import QApplication

    event = QMouseEvent(
        QEvent.Type.MouseMove, QPointF(point), QPointF(sheet.mapToGlobal(point)), Qt.MouseButton.NoButton, button, modifier
    )
    QApplication.sendEvent(sheet, event)


def test_a_dragged_node_goes_where_the_mouse_goes_in_one_step(qtbot, view):
    end = at(view, "front", 13.0, 180.0)
    drag(qtbot, view, of_node(view, "front", 1), end, Qt.KeyboardModifier.AltModifier)
    u, z = view.variant.front.nodes[1].at
    one_pixel = 1.0 / view.sheet.arrangement.front.across, 1.0 / view.sheet.arrangement.front.up
    assert abs(u - 13.0) <= one_pixel[0]
    assert abs(z - 180.0) <= one_pixel[1]
    assert view.told.kinds == ["started", "changed", "finished"]
    assert view.told.all[0] == ("started", "Move node")
    assert view.told.all[-2][1] == view.variant
    assert view.selected() == ("front", (1,))


def test_escape_calls_a_drag_off(qtbot, view):
    drag(qtbot, view, of_node(view, "front", 1), at(view, "front", 20.0, 200.0), release=False)
    assert view.variant != SERPENTINE
    qtbot.keyClick(view.sheet, Qt.Key.Key_Escape)
    assert view.variant == SERPENTINE
    assert view.told.kinds == ["started", "changed", "cancelled"]
    qtbot.mouseRelease(view.sheet, Qt.MouseButton.LeftButton, pos=at(view, "front", 20.0, 200.0))
    assert view.variant == SERPENTINE
    assert view.told.kinds[-1] == "cancelled"


def test_a_click_on_the_line_adds_a_node_there(qtbot, view):
    middle = line_of(SERPENTINE.front, 420.0).at([1], __import__("numpy").array([0.5]))[0]
    qtbot.mouseClick(view.sheet, Qt.MouseButton.LeftButton, pos=at(view, "front", *middle))
    nodes = view.variant.front.nodes
    assert len(nodes) == 5
    assert nodes[2].at == pytest.approx(tuple(middle), abs=0.6)
    assert view.selected() == ("front", (2,))
    assert view.told.kinds == ["started", "changed", "finished"]
