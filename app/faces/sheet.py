"""The sheet with both faces: the design it shows, what is selected on it, and how it is drawn.

What the mouse does is in ``app.faces.hand``, what the keys do in ``app.faces.keys``.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, Literal

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, QSizeF, Qt, Signal
from PySide6.QtGui import (
    QAccessible,
    QAccessibleEvent,
    QContextMenuEvent,
    QFocusEvent,
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPixmap,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from app.faces.arrangement import Arrangement, arrange
from app.faces.drawn import DrawnLine, drawn_line
from app.faces.flats import DrawnFlats, FlatsRoom, drawn_flats, room_for
from app.faces.gestures import NodeDrag, Pen
from app.faces.ground import margins_for, painted_ground
from app.faces.hand import Hand
from app.faces.keys import Keys
from app.faces.marks import Mark, OnSheet, lines_of, place_marks
from app.faces.pointing import tip_at
from app.faces.scene import paint_scene
from app.faces.selection import Selection, View
from app.faces.wood import WoodPictures
from app.faces.words import selection_words, trim_of
from app.look import look_of
from geometry.findings import Finding
from geometry.project import CUT_NAMES, Blank, CutName, DisplayUnits, Variant

Tool = Literal["select", "pen"]

_NAMES: Final[dict[View, str]] = {
    "faces": "Faces: front line and side line",
    "flats": "Flats together: trims from the front and from the right",
}


class Sheet(QWidget):
    """Both faces on one sheet, to be drawn on."""

    gesture_started = Signal(str)
    gesture_changed = Signal(object)
    gesture_finished = Signal()
    gesture_cancelled = Signal()
    edited = Signal(str, object)
    level_changed = Signal(object)
    selection_changed = Signal()
    finding_chosen = Signal(object)
    tool_changed = Signal(str)
    view_changed = Signal(str)
    arranged = Signal()
    menu_asked = Signal(object)
    """Where on the screen the menu is wanted."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make a sheet with a straight blank on it."""
        super().__init__(parent)
        self.variant = Variant("A", Blank(60.0, 60.0, 420.0))
        self.units: DisplayUnits = "mm"
        self.selection = Selection()
        self.findings: tuple[Finding, ...] = ()
        self.chosen_finding: Finding | None = None
        self.level: float | None = None
        self.grid_mm: float | None = None
        self.is_impossible = False
        self.fills, self.lying = True, False
        self.zoom, self.middle = 1.0, 210.0
        self.tool: Tool = "select"
        self.view: View = "faces"
        self.hand = Hand(self)
        self.keys = Keys(self)
        self._in_gesture = False
        self.wood_pictures = WoodPictures(self)
        self.wood_pictures.ready.connect(self.update)
        self._ground: tuple[object, QPixmap] | None = None
        self._marks: tuple[object, tuple[Mark, ...]] | None = None
        self._arrangement: tuple[object, Arrangement] | None = None
        self._flats_room: FlatsRoom | None = None
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setAccessibleName(_NAMES["faces"])
        self._describe()

    # -------------------------------------------------------------- what is shown

    def show_variant(self, variant: Variant, units: DisplayUnits) -> None:
        """Show a design; while the hand is at work on another one, it lets go."""
        if variant == self.variant and units == self.units:
            return
        if self._in_gesture and variant != self.variant:
            self.hand.drop()
            self.keys.drop()
            self._in_gesture = False
        if variant.blank.length != self.variant.blank.length:
            self.zoom, self.middle = 1.0, variant.blank.length / 2.0
        self.variant, self.units = variant, units
        self._set_selection(self.selection.within(variant))
        self.update()

    def show_findings(self, findings: Sequence[Finding]) -> None:
        """Mark the findings that have a place."""
        self.findings = tuple(findings)
        if self.chosen_finding not in self.findings:
            self.chosen_finding = None
        self.update()

    def choose_finding(self, finding: Finding | None) -> None:
        """Lead to the place of a finding: its face, its height, a ring about its mark."""
        self.chosen_finding = finding
        if finding is not None:
            if finding.cut is not None:
                trim = trim_of(finding)
                self.set_view("faces" if trim is None else "flats")
                self.select(Selection(finding.cut, trim=trim))
            if finding.at is not None:
                self.bring_into_view(finding.at[1])
                self.point_at_level(finding.at[1])
        self.update()

    def set_level(self, z: float | None) -> None:
        """Show the level line at a height, or none."""
        if z != self.level:
            self.level = z
            self.update()

    def point_at_level(self, z: float | None) -> None:
        """Show the level line and say so."""
        if z is not None:
            z = min(max(z, 0.0), self.variant.blank.length)
        if z != self.level:
            self.set_level(z)
            self.level_changed.emit(z)

    def set_tool(self, tool: Tool) -> None:
        """Take the pen in the hand, or put it down."""
        if tool != self.tool:
            self.tool = tool
            self.hand.drop()
            self.setCursor(Qt.CursorShape.CrossCursor if tool == "pen" else Qt.CursorShape.ArrowCursor)
            self.tool_changed.emit(tool)
            self.update()

    def set_view(self, view: View) -> None:
        """Show the faces, or both directions flats together."""
        if view == self.view:
            return
        self.hand.cancel()
        self.keys.left()
        self.set_tool("select")
        self.view = view
        self.hand.drop()
        self._set_selection(Selection(self.selection.cut))
        self.setAccessibleName(_NAMES[view])
        self.update()
        self.view_changed.emit(view)
        self.arranged.emit()

    def lay(self, *, fills: bool | None = None, lying: bool | None = None) -> None:
        """Stretch across to fill the room or not; lay the faces down or stand them up."""
        self.fills = self.fills if fills is None else fills
        self.lying = self.lying if lying is None else lying
        self.update()
        self.arranged.emit()

    # -------------------------------------------------------------- selection

    def select(self, selection: Selection) -> None:
        """Select nodes of one face."""
        self._set_selection(selection.within(self.variant))

    def _set_selection(self, selection: Selection) -> None:
        changed = selection != self.selection
        self.selection = selection
        self._describe()
        if changed:
            self.update()
            self.selection_changed.emit()

    def _describe(self) -> None:
        words = selection_words(self.variant, self.selection, self.units)
        if words != self.accessibleDescription():
            self.setAccessibleDescription(words)
            QAccessible.updateAccessibility(QAccessibleEvent(self, QAccessible.Event.DescriptionChanged))

    # -------------------------------------------------------------- changing the design

    def edit(self, name: str, variant: Variant, selection: Selection | None = None) -> None:
        """Change the design in one step; no step where nothing changes."""
        if variant == self.variant:
            if selection is not None:
                self.select(selection)
            return
        self.variant = variant
        self._set_selection((selection or self.selection).within(variant))
        self.update()
        self.edited.emit(name, variant)

    def begin(self, name: str) -> None:
        """Begin a gesture: all that follows is one step."""
        self._in_gesture = True
        self.gesture_started.emit(name)

    def go_on(self, variant: Variant, selection: Selection | None = None) -> None:
        """Show and tell where a gesture has come to."""
        if variant == self.variant and (selection is None or selection == self.selection):
            return
        changed = variant != self.variant
        self.variant = variant
        self._set_selection(selection or self.selection)
        self._describe()
        self.update()
        if changed:
            self.gesture_changed.emit(variant)

    def finish(self) -> None:
        """End a gesture."""
        self._in_gesture = False
        self.update()
        self.gesture_finished.emit()

    def call_off(self, origin: Variant) -> None:
        """Give a gesture up: the design is what it was."""
        self._in_gesture = False
        self.variant = origin
        self._set_selection(self.selection.within(origin))
        self.update()
        self.gesture_cancelled.emit()

    # -------------------------------------------------------------- where things are

    @property
    def arrangement(self) -> Arrangement:
        """Where the faces lie now."""
        font = self.font()
        flats = self._room_of_flats()
        key = (self.variant.blank, self.units, self.size(), self.fills, self.lying, self.zoom, self.middle, font.key(),
               flats)  # fmt: skip
        if self._arrangement is None or self._arrangement[0] != key:
            room = margins_for(font, self.variant, self.units, self.lying).within(QSizeF(self.size()))
            placed = arrange(
                self.variant.blank, room, self.fills, self.lying, self.zoom, self.middle,
                flats.halves if flats else None, flats.beyond if flats else 0.0,
            )  # fmt: skip
            self._arrangement = (key, placed)
        return self._arrangement[1]

    def _room_of_flats(self) -> FlatsRoom | None:
        """Return the room flats together; it stays as it is while something is dragged."""
        if self.view == "faces":
            self._flats_room = None
        elif self._flats_room is None or not (self._in_gesture or isinstance(self.hand.gesture, NodeDrag | Pen)):
            self._flats_room = room_for(self.variant)
        return self._flats_room

    @property
    def beyond(self) -> float:
        """How much is seen below the foot and above the top."""
        room = self._room_of_flats()
        return 0.0 if room is None else room.beyond

    @property
    def flats(self) -> dict[CutName, DrawnFlats]:
        """What is drawn of the two directions flats together."""
        return {cut: drawn_flats(self.variant, cut) for cut in CUT_NAMES}

    @property
    def drawn(self) -> dict[CutName, DrawnLine]:
        """What is drawn of the two lines."""
        return {cut: drawn_line(self.variant, cut) for cut in CUT_NAMES}

    @property
    def marks(self) -> tuple[Mark, ...]:
        """The marks of findings and radii, where they stand."""
        placed = self.arrangement
        key = (self.variant, self.findings, placed, self.units, self.view)
        if self._marks is None or self._marks[0] != key:
            room = QRectF(self.rect()).adjusted(2.0, 2.0, -2.0, -2.0)
            marks = place_marks(self._on_sheet(), self._marked(), placed, room, self.units, self.font())
            self._marks = (key, marks)
        return self._marks[1]

    def _on_sheet(self) -> tuple[OnSheet, ...]:
        if self.view == "faces":
            return lines_of(self.variant, self.drawn)
        return tuple(
            OnSheet(cut, i, trim.sawn.trim.nodes, trim.line)
            for cut, flats in self.flats.items()
            for i, trim in enumerate(flats.trims)
        )

    def _marked(self) -> list[Finding]:
        """Return the findings that have their place in what is on the sheet."""
        is_flats = self.view == "flats"
        return [f for f in self.findings if f.cut is None or (trim_of(f) is not None) == is_flats]

    def bring_into_view(self, z: float) -> None:
        """Move a zoomed sheet so far that a height is seen."""
        placed = self.arrangement
        margin = 0.08 * (placed.high - placed.low)
        if z < placed.low + margin or z > placed.high - margin:
            self.middle = z
            self.update()
            self.arranged.emit()

    def zoom_by(self, factor: float, about: float | None = None) -> None:
        """Zoom along the length; a height stays where it is on the sheet."""
        placed = self.arrangement
        at = (placed.low + placed.high) / 2.0 if about is None else about
        share = (at - placed.low) / max(placed.high - placed.low, 1e-9)
        self.zoom = min(max(self.zoom * factor, 1.0), max(placed.most_zoom, 1.0))
        seen = self.arrangement.high - self.arrangement.low
        self.move_to(at + (0.5 - share) * seen)

    def move_to(self, middle: float) -> None:
        """Show a height in the middle, as far as the ends allow."""
        half = (self.arrangement.high - self.arrangement.low) / 2.0 - self.beyond
        self.middle = min(max(middle, half), self.variant.blank.length - half)
        self.update()
        self.arranged.emit()

    def show_all(self) -> None:
        """Show the whole length."""
        self.zoom = 1.0
        self.move_to(self.variant.blank.length / 2.0)

    # -------------------------------------------------------------- painting

    def sizeHint(self) -> QSize:
        """Return a size a leg can be drawn on."""
        return QSize(400, 520)

    def minimumSizeHint(self) -> QSize:
        """Return the least size that still shows both faces."""
        return QSize(200, 160)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the kept ground and what changes over it."""
        look = look_of(self.palette())
        placed = self.arrangement
        ratio = self.devicePixelRatioF()
        v = self.variant
        key = (placed, v.blank, v.layup, v.horn, self.size(), ratio, self.units, look.is_dark, self.font().key(),
               self.wood_pictures.serial, self._profiles_key())  # fmt: skip
        if self._ground is None or self._ground[0] != key:
            size, flats = QSizeF(self.size()), self.flats if self.view == "flats" else None
            ground = painted_ground(size, ratio, v, placed, self.units, self.font(), look, self.wood_pictures, flats)
            self._ground = (key, ground)
        painter = QPainter(self)
        painter.drawPixmap(QPointF(0.0, 0.0), self._ground[1])
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        paint_scene(painter, self, look)
        painter.end()

    def _profiles_key(self) -> object:
        """What the halves depend on flats together: the lines and not the trims."""
        v = self.variant
        if self.view == "faces":
            return None
        return v.sanding, *((c.nodes, c.kerf) for c in (v.front, v.side))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Tell that the faces lie elsewhere now."""
        super().resizeEvent(event)
        self.arranged.emit()

    def event(self, event: QEvent) -> bool:
        """Answer pointing with words."""
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            words = tip_at(self, QPointF(event.pos()))
            if words:
                QToolTip.showText(event.globalPos(), words, self)
            else:
                QToolTip.hideText()
                event.ignore()
            return True
        return super().event(event)

    # -------------------------------------------------------------- handing on to the hand and the keys

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take hold."""
        self.hand.press(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag, or point."""
        self.hand.move(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Let go."""
        self.hand.release(event)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Make a node smooth or a corner."""
        self.hand.double_click(event)

    def leaveEvent(self, event: QEvent) -> None:
        """Point at nothing."""
        self.hand.leave()
        super().leaveEvent(event)

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        """Ask for the menu, where the mouse or the node in the keyboard's hand is."""
        self.hand.ask_menu(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom with Ctrl; move along where zoomed."""
        self.hand.wheel(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Move nodes, walk from one to the next."""
        if not self.keys.press(event):
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        """End a nudge."""
        if not self.keys.release(event):
            super().keyReleaseEvent(event)

    def focusNextPrevChild(self, next: bool) -> bool:
        """Let Tab walk the nodes before it goes on to the next widget."""
        return self.keys.walk(1 if next else -1) or super().focusNextPrevChild(next)

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Take the first node in hand when Tab comes in."""
        super().focusInEvent(event)
        self.keys.came_in(event.reason())
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """End what the keys have begun."""
        super().focusOutEvent(event)
        self.keys.left()
        self.update()
