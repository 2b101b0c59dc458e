"""What the mouse does on the sheet: point, click, drag, band, draw with the pen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QContextMenuEvent, QMouseEvent, QWheelEvent

from app.faces.gestures import Band, NodeDrag, Pen, snapping_for, with_node_put
from app.faces.hit import Hit, hit_at, nodes_within
from app.faces.selection import Selection
from geometry.copying import with_cut
from geometry.editing import with_kind
from geometry.project import CutName
from geometry.snapping import Snapping, snapped

if TYPE_CHECKING:
    from app.faces.sheet import Sheet

_DRAG_PX = 3.0
"""A click may tremble so far before it is a drag."""

_FREE = Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.ControlModifier
"""Held while dragging: nothing catches. (Some desktops keep Alt and the mouse for themselves, so Ctrl does too.)"""

_MORE = Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.ControlModifier
"""Held while clicking: one more, or one less."""


class Hand:
    """The mouse on the sheet.

    Attributes
    ----------
    gesture : what is being done, or None
    pointed : what the mouse is over while nothing is being done
    """

    def __init__(self, sheet: Sheet) -> None:
        """Make the hand of a sheet."""
        self._sheet = sheet
        self.gesture: NodeDrag | Band | Pen | None = None
        self.pointed: Hit | None = None

    def hit(self, point: QPointF) -> Hit:
        """Return what lies under a point."""
        sheet = self._sheet
        return hit_at(point, sheet.variant, sheet.drawn, sheet.arrangement, sheet.selection.cut)

    def drop(self) -> None:
        """Let go without a word: what was held is no longer there."""
        self.gesture, self.pointed = None, None

    def cancel(self) -> bool:
        """Call off what is being done; give False where nothing was."""
        gesture, self.gesture = self.gesture, None
        if isinstance(gesture, NodeDrag):
            if gesture.is_under_way:
                self._sheet.call_off(gesture.origin)
        elif isinstance(gesture, Band):
            self._sheet.select(gesture.before)
        elif gesture is None:
            return False
        self._sheet.update()
        return True

    # -------------------------------------------------------------- pressing

    def press(self, event: QMouseEvent) -> None:
        """Take hold of what is under the mouse."""
        sheet, point = self._sheet, event.position()
        sheet.setFocus(Qt.FocusReason.MouseFocusReason)
        hit = self.hit(point)
        if event.button() == Qt.MouseButton.RightButton:
            if hit.node is None or hit.cut != sheet.selection.cut or hit.node not in sheet.selection.nodes:
                sheet.select(Selection.of(hit.cut, () if hit.node is None else (hit.node,)))
            return
        if event.button() != Qt.MouseButton.LeftButton or isinstance(self.gesture, NodeDrag | Band):
            return
        more = bool(event.modifiers() & _MORE)
        if sheet.tool == "pen":
            self._draw_to(hit, point, event.modifiers())
        elif self._is_on_finding(point):
            pass
        elif hit.node is not None:
            self._press_node(hit, point, more)
        elif (hit.on_line is not None or hit.grows) and not more:
            self._add_node(hit, point, event.modifiers())
        else:
            before = sheet.selection
            if not more or before.cut != hit.cut:
                sheet.select(Selection(hit.cut))
            self.gesture = Band(hit.cut, point, point, before, more)
        sheet.update()

    def _is_on_finding(self, point: QPointF) -> bool:
        for mark in reversed(self._sheet.marks):
            if mark.finding is not None and mark.box.contains(point):
                self._sheet.choose_finding(mark.finding)
                self._sheet.finding_chosen.emit(mark.finding)
                return True
        return False

    def _press_node(self, hit: Hit, point: QPointF, more: bool) -> None:
        sheet = self._sheet
        assert hit.node is not None  # only pressed where there is one
        if more:
            sheet.select(sheet.selection.toggled(hit.cut, hit.node))
            return
        kept = sheet.selection.nodes if hit.cut == sheet.selection.cut else ()
        sheet.select(Selection.of(hit.cut, kept if hit.node in kept else (hit.node,), hit.node))
        name = "Move node" if len(sheet.selection.nodes) == 1 else "Move nodes"
        self.gesture = NodeDrag(name, sheet.variant, sheet.variant, sheet.selection, point)

    def _add_node(self, hit: Hit, point: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        sheet = self._sheet
        face = sheet.arrangement.face(hit.cut)
        on_line = hit.on_line is not None
        snapping = None if on_line else self._snapping(hit.cut, modifiers)
        base, number = with_node_put(sheet.variant, hit.cut, hit.place, face.across / face.up, on_line, snapping)
        selection = Selection.of(hit.cut, (number,))
        drag = NodeDrag("Add a node", sheet.variant, base, selection, point, base != sheet.variant)
        self.gesture = drag
        if drag.is_under_way:
            sheet.begin(drag.name)
            sheet.go_on(base, selection)
        else:
            drag.name = "Move node"
            sheet.select(selection)
        sheet.point_at_level(base.cut(hit.cut).nodes[number].at[1])

    def _snapping(self, cut: CutName, modifiers: Qt.KeyboardModifier) -> Snapping | None:
        if modifiers & _FREE:
            return None
        return snapping_for(self._sheet.variant, cut, self._sheet.arrangement.face(cut), self._sheet.grid_mm)

    # -------------------------------------------------------------- moving

    def move(self, event: QMouseEvent) -> None:
        """Go on with what is being done, or point."""
        sheet, point, gesture = self._sheet, event.position(), self.gesture
        if isinstance(gesture, NodeDrag):
            if not gesture.is_under_way:
                if (point - gesture.press).manhattanLength() < _DRAG_PX:
                    return
                gesture.is_under_way = True
                sheet.begin(gesture.name)
            face = sheet.arrangement.face(gesture.selection.cut)
            moved = gesture.moved_to(point, face, self._snapping(gesture.selection.cut, event.modifiers()))
            sheet.go_on(moved, gesture.selection)
            assert gesture.selection.at is not None
            sheet.point_at_level(moved.cut(gesture.selection.cut).nodes[gesture.selection.at].at[1])
            sheet.update()
        elif isinstance(gesture, Band):
            gesture.end = point
            if gesture.is_drawn:
                chosen = nodes_within(gesture.box, sheet.variant, gesture.cut, sheet.arrangement)
                if gesture.adds and gesture.before.cut == gesture.cut:
                    chosen |= set(gesture.before.nodes)
                sheet.select(Selection.of(gesture.cut, chosen, gesture.before.at))
            sheet.point_at_level(sheet.arrangement.height_at(point))
            sheet.update()
        else:
            if isinstance(gesture, Pen):
                gesture.pointer = self._pen_place(gesture.cut, point, event.modifiers())
            self._point(point)

    def _point(self, point: QPointF) -> None:
        sheet = self._sheet
        hit = self.hit(point)
        self.pointed = hit
        sheet.point_at_level(sheet.arrangement.height_at(point))
        if sheet.tool == "select":
            if hit.node is not None:
                sheet.setCursor(Qt.CursorShape.SizeAllCursor)
            elif hit.on_line is not None or hit.grows:
                sheet.setCursor(Qt.CursorShape.CrossCursor)
            else:
                sheet.setCursor(Qt.CursorShape.ArrowCursor)
        sheet.update()

    def leave(self) -> None:
        """Point at nothing any more."""
        self.pointed = None
        if self.gesture is None:
            self._sheet.point_at_level(None)
        self._sheet.update()

    # -------------------------------------------------------------- letting go

    def release(self, event: QMouseEvent) -> None:
        """End a drag or a band."""
        if event.button() != Qt.MouseButton.LeftButton or isinstance(self.gesture, Pen):
            return
        gesture, self.gesture = self.gesture, None
        if isinstance(gesture, NodeDrag) and gesture.is_under_way:
            self._sheet.finish()
        self._sheet.update()

    def double_click(self, event: QMouseEvent) -> None:
        """Turn a smooth node into a corner and back; end a line drawn with the pen."""
        sheet = self._sheet
        if event.button() != Qt.MouseButton.LeftButton:
            return
        if sheet.tool == "pen":
            self.finish_drawing()
            return
        hit = self.hit(event.position())
        if hit.node is None:
            self.press(event)
            return
        cut = sheet.variant.cut(hit.cut)
        is_smooth = cut.nodes[hit.node].kind == "smooth"
        changed = with_kind(cut, sheet.variant.blank.length, (hit.node,), "corner" if is_smooth else "smooth")
        name = "Make a corner" if is_smooth else "Make smooth"
        sheet.edit(name, with_cut(sheet.variant, hit.cut, changed), Selection.of(hit.cut, (hit.node,)))

    # -------------------------------------------------------------- the pen

    def _pen_place(self, cut: CutName, point: QPointF, modifiers: Qt.KeyboardModifier) -> tuple[float, float]:
        sheet = self._sheet
        u, z = sheet.arrangement.face(cut).to_mm(point)
        length = sheet.variant.blank.length
        place = (u, min(max(z, 0.0), length))
        snapping = self._snapping(cut, modifiers)
        return snapped(place, length, snapping).at if snapping else place

    def _draw_to(self, hit: Hit, point: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        sheet = self._sheet
        if not isinstance(self.gesture, Pen):
            face = sheet.arrangement.face_at(point)
            self.gesture = Pen(face)
            sheet.select(Selection(face))
        place = self._pen_place(self.gesture.cut, point, modifiers)
        if not self.gesture.places or self.gesture.places[-1] != place:
            self.gesture.places.append(place)
        if self.gesture.is_at_other_end(sheet.variant.blank.length):
            self.finish_drawing()

    def finish_drawing(self) -> bool:
        """Take the line drawn with the pen; give False where none was being drawn."""
        pen = self.gesture
        if not isinstance(pen, Pen):
            return False
        self.gesture = None
        drawn = pen.drawn(self._sheet.variant)
        self._sheet.set_tool("select")
        self._sheet.edit("Draw a line", drawn, Selection(pen.cut))
        self._sheet.update()
        return True

    def take_back_place(self) -> bool:
        """Take back the pen's last place; give False where there is none."""
        if not isinstance(self.gesture, Pen) or not self.gesture.places:
            return False
        self.gesture.places.pop()
        self._sheet.update()
        return True

    # -------------------------------------------------------------- wheel and menu

    def wheel(self, event: QWheelEvent) -> None:
        """Zoom along the length with Ctrl; without, move along it where zoomed."""
        sheet = self._sheet
        steps = event.angleDelta().y() / 120.0
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            sheet.zoom_by(1.2**steps, sheet.arrangement.height_at(event.position()))
        elif sheet.zoom > 1.0:
            placed = sheet.arrangement
            sheet.move_to((placed.low + placed.high) / 2.0 + 0.12 * steps * (placed.high - placed.low))
            self._point(event.position())
        else:
            event.ignore()
            return
        event.accept()

    def ask_menu(self, event: QContextMenuEvent) -> None:
        """Ask for the menu where the mouse is, or from the keyboard at the node in hand."""
        sheet = self._sheet
        at = event.globalPos()
        if event.reason() == QContextMenuEvent.Reason.Keyboard and sheet.selection.at is not None:
            node = sheet.variant.cut(sheet.selection.cut).nodes[sheet.selection.at]
            at = sheet.mapToGlobal(sheet.arrangement.face(sheet.selection.cut).to_px(*node.at).toPoint())
        event.accept()
        sheet.menu_asked.emit(at)
