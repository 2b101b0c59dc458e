"""Working at the window as a maker does: real mouse, real keys, and answers to what it asks."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from msgspec.structs import replace
from PySide6.QtCore import QEvent, QPoint, Qt
from PySide6.QtWidgets import QApplication, QScrollArea, QWidget

from app.faces.selection import Selection
from app.files_session import Answer
from app.window.main_window import MainWindow
from geometry.project import Blank, Cut, Node, Project, Variant
from tests.app.faces import hands
from tests.app.piece_view.looking import pixels

LEFT, NONE = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
CTRL, SHIFT, ALT = (
    Qt.KeyboardModifier.ControlModifier,
    Qt.KeyboardModifier.ShiftModifier,
    Qt.KeyboardModifier.AltModifier,
)
SIZE = (1100, 700)
"""Most tests have a window of this size: large enough to hit things, small enough to be drawn fast."""

WAIT_MS = 30_000  # how long a test may hang, not how long it takes

STRAIGHT = Project(variants=(Variant("A", Blank(60.0, 60.0, 420.0)), Variant("B", Blank(60.0, 60.0, 420.0))))


def curve(swing: float) -> Cut:
    nodes = (Node((0.0, 0.0), "corner"), Node((swing, 140.0)), Node((-6.0, 280.0)), Node((0.0, 420.0), "corner"))
    return Cut(nodes=nodes)


_A = Variant("A", Blank(60.0, 60.0, 420.0), front=curve(8.0), side=curve(-9.0))
LEG = Project(variants=(_A, replace(_A, name="B", front=curve(-12.0))), name="Leg")


class Answers:
    """Someone who answers by themselves, and remembers what they were told."""

    def __init__(self) -> None:
        self.about_losing: Answer = "discard"
        self.replaces = True
        self.opens: Path | None = None
        self.saves: Path | None = None
        self.asked: list[str] = []
        self.told: list[str] = []

    def ask_save_before_losing(self, name: str) -> Answer:
        self.asked.append(name)
        return self.about_losing

    def ask_replace(self, path: Path) -> bool:
        self.asked.append(str(path))
        return self.replaces

    def open_path(self, folder: Path) -> Path | None:
        return self.opens

    def save_path(self, suggested: Path) -> Path | None:
        return self.saves

    def tell(self, sentence: str) -> None:
        self.told.append(sentence)


class Work:
    """A window and two hands at it."""

    def __init__(self, qtbot, window: MainWindow, answers: Answers) -> None:
        self.qtbot, self.window, self.answers = qtbot, window, answers
        window.files.ask = answers
        self.is_open = True
        self.document, self.faces, self.piece = window.document, window.faces, window.piece

    def begin_with(self, qtbot, project: Project) -> None:
        """Make the window as it is when it has just been opened on a project."""
        window, self.qtbot = self.window, qtbot
        window.files.ask = self.answers = Answers()
        window.remembered.clear_recent()
        window.resize(*SIZE)
        window.columns.setSizes([430, 520, 320])
        window.bench.fold_sections(("Taper", "If something is off", "Limits", "Horns"))
        window.findChild(QScrollArea).verticalScrollBar().setValue(0)
        if window.remembered.choice("look", "") != "light":
            window.wear_look("light")
        if window.is_side_by_side:
            window.show_side_by_side(False)
        window.show_work()
        self.faces.sheet.select(Selection())
        self.faces.sheet.show_all()
        self.document.replace(project)
        self.piece.turn = 1.0
        self.piece.viewpoint.stand("three-quarter")
        window.activateWindow()
        self.sheet()
        self.settle()

    def rest(self) -> None:
        """Let go of everything."""
        self.press(Qt.Key.Key_Escape, widget=self.faces.sheet)
        self.document.commit()
        self.window.statusBar().clearMessage()
        self.point_at_nothing()

    # ---- waiting

    def until(self, is_so) -> None:
        self.qtbot.waitUntil(is_so, timeout=WAIT_MS)

    def settle(self) -> None:
        """Wait until the pieces are those of the lines as they are, and finely painted."""
        views = self.piece.views.values()
        self.until(
            lambda: (
                self.window.pieces.are_up_to_date
                and not self.window.pieces.builder.is_busy
                and all(view.is_at_rest for view in views if view.isVisible())
            )
        )

    # ---- the mouse on the faces

    def at(self, cut, u, z) -> QPoint:
        return hands.at(self.faces, cut, u, z)

    def node(self, cut, number) -> QPoint:
        return hands.of_node(self.faces, cut, number)

    def click(self, point: QPoint, modifier=NONE) -> None:
        hands.click(self.qtbot, self.faces, point, modifier)

    def drag(self, start: QPoint, end: QPoint, release=True) -> None:
        hands.drag(self.qtbot, self.faces, start, end, release=release)

    def move(self, point: QPoint) -> None:
        hands.move(self.faces, point)

    def let_go(self, point: QPoint) -> None:
        self.qtbot.mouseRelease(self.faces.sheet, LEFT, NONE, point)

    def point_at_nothing(self) -> None:
        """Take the mouse off the faces."""
        QApplication.sendEvent(self.faces.sheet, QEvent(QEvent.Type.Leave))

    # ---- keys

    def sheet(self) -> QWidget:
        """Put the keyboard on the faces."""
        self.faces.sheet.setFocus()
        return self.faces.sheet

    def press(self, key, modifier=NONE, widget: QWidget | None = None) -> None:
        """Press a key where the keyboard is."""
        self.qtbot.keyClick(widget or QApplication.focusWidget() or self.window, key, modifier)

    def undo(self) -> None:
        self.press(Qt.Key.Key_Z, CTRL)

    def redo(self) -> None:
        self.press(Qt.Key.Key_Z, CTRL | SHIFT)

    def type_in(self, field: QWidget, text: str) -> None:
        """Type into a field and end with Enter."""
        field.setFocus()
        field.selectAll()
        self.qtbot.keyClicks(field, text)
        self.qtbot.keyClick(field, Qt.Key.Key_Return)

    # ---- seeing

    def looked_at(self, slot="A") -> np.ndarray:
        """What is painted of a piece once it is fitted into its view and nothing is pointed at, (h, w, 3)."""
        self.point_at_nothing()
        self.settle()
        self.piece.fit()
        self.settle()
        return self.seen(slot)

    def seen(self, slot="A") -> np.ndarray:
        """What is painted of a piece, (h, w, 3)."""
        return pixels(self.piece.views[slot])

    def piece_level(self, slot="A") -> float | None:
        """The height of the level line on a piece."""
        return self.piece.views[slot]._level

    @property
    def steps(self) -> int:
        """How many steps can be taken back."""
        return self.document.undo_stack.index()

    @property
    def said(self) -> str:
        return self.window.statusBar().currentMessage()

    # ---- the end

    def end(self) -> None:
        """Close the window, whatever is unsaved, and let go of it."""
        if self.is_open:
            self.is_open = False
            self.answers.about_losing = "discard"
            self.window.close()
            self.window.deleteLater()
            del self.window, self.document, self.faces, self.piece
