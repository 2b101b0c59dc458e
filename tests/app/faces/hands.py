"""Real events sent to the faces, and the designs the tests use."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPoint, QPointF, QRect, Qt
from PySide6.QtGui import QHelpEvent, QImage, QMouseEvent
from PySide6.QtWidgets import QApplication, QToolTip

from app.faces import FacesView
from geometry.project import Blade, Blank, Cut, Node, Variant

NONE, ALT, SHIFT = Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.AltModifier, Qt.KeyboardModifier.ShiftModifier
LEFT = Qt.MouseButton.LeftButton


def node(u, z, kind="smooth", tangent=False):
    return Node((float(u), float(z)), kind, tangent)


STRAIGHT = Variant("A", Blank(60.0, 60.0, 420.0))
SERPENTINE = Variant(
    "A",
    Blank(60.0, 60.0, 420.0),
    front=Cut(nodes=(node(0, 0, "corner"), node(8, 140), node(-6, 280), node(0, 420, "corner"))),
    side=Cut(nodes=(node(0, 0, "corner"), node(-9, 105), node(9, 210), node(-9, 315), node(0, 420, "corner"))),
)
WITH_A_POST = Variant(
    "A",
    Blank(90.0, 45.0, 600.0),
    front=Cut(nodes=(node(-20, 0), node(14, 150), node(18, 330), node(0, 480, "corner", True), node(0, 600, "corner"))),
)
WRONG = Variant(
    "A",
    Blank(60.0, 60.0, 420.0),
    front=Cut(blade=Blade(19.0), nodes=(node(0, 0, "corner"), node(26, 120), node(-10, 200), node(5, 420, "corner"))),
)
"""A wall too thin at the right edge, and a bend too tight for its blade."""


class Told:
    """All that a view told, in order."""

    def __init__(self, view: FacesView) -> None:
        self.steps: list[tuple[object, ...]] = []
        self.levels: list[float | None] = []
        self.selections = 0
        view.gesture_started.connect(lambda name: self.steps.append(("started", name)))
        view.gesture_changed.connect(lambda variant: self.steps.append(("changed", variant)))
        view.gesture_finished.connect(lambda: self.steps.append(("finished",)))
        view.gesture_cancelled.connect(lambda: self.steps.append(("cancelled",)))
        view.edited.connect(lambda name, variant: self.steps.append(("edited", name, variant)))
        view.level_changed.connect(self.levels.append)
        view.selection_changed.connect(self._count)

    def _count(self) -> None:
        self.selections += 1

    @property
    def course(self) -> list[str]:
        """What happened, without what it came to and without repeats."""
        out: list[str] = []
        for step in self.steps:
            if step[0] == "changed" and out and out[-1] == "changed":
                continue
            out.append(" ".join(s for s in step if isinstance(s, str)))
        return out


def at(view, cut, u, z) -> QPoint:
    """Return where a place lies on the sheet."""
    return view.sheet.arrangement.face(cut).to_px(u, z).toPoint()


def of_node(view, cut, number) -> QPoint:
    return at(view, cut, *view.variant.cut(cut).nodes[number].at)


def pixel(view, cut="front") -> tuple[float, float]:
    """Return what a pixel is in millimetres, across and up."""
    face = view.sheet.arrangement.face(cut)
    return 1.0 / face.across, 1.0 / face.up


def move(view, point: QPoint, modifier=NONE, held=LEFT) -> None:
    sheet = view.sheet
    where = QPointF(point), QPointF(sheet.mapToGlobal(point))
    QApplication.sendEvent(sheet, QMouseEvent(QEvent.Type.MouseMove, *where, Qt.MouseButton.NoButton, held, modifier))


def hover(view, point: QPoint) -> None:
    move(view, point, held=Qt.MouseButton.NoButton)


def drag(qtbot, view, start: QPoint, end: QPoint, modifier=NONE, pressed_with=NONE, release=True) -> None:
    qtbot.mousePress(view.sheet, LEFT, pressed_with, start)
    for k in range(1, 6):
        move(view, start + (end - start) * k / 5, modifier)
    if release:
        qtbot.mouseRelease(view.sheet, LEFT, modifier, end)


def click(qtbot, view, point: QPoint, modifier=NONE) -> None:
    qtbot.mouseClick(view.sheet, LEFT, modifier, point)


def double_click(qtbot, view, point: QPoint) -> None:
    """Do what a real double click does: press, release, double click, release."""
    click(qtbot, view, point)
    qtbot.mouseDClick(view.sheet, LEFT, NONE, point)
    qtbot.mouseRelease(view.sheet, LEFT, NONE, point)


def tip(view, point: QPoint) -> str:
    """Point at a place and return what is said there."""
    QApplication.sendEvent(view.sheet, QHelpEvent(QEvent.Type.ToolTip, point, view.sheet.mapToGlobal(point)))
    return QToolTip.text()


def picture(view) -> QImage:
    return view.sheet.grab().toImage()


def differing(a: QImage, b: QImage, box: QRect) -> int:
    """Return how many pixels of a box differ between two pictures."""
    return sum(
        a.pixel(x, y) != b.pixel(x, y)
        for x in range(box.left(), box.right() + 1)
        for y in range(box.top(), box.bottom() + 1)
    )
