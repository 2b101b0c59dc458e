"""What the mouse does on the sheet: point, click, drag, band, draw with the pen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QContextMenuEvent, QMouseEvent, QWheelEvent

from app.faces.flats import flats_profile
from app.faces.gestures import Band, NodeDrag, Pen, snapping_for, with_node_put
from app.faces.hit import Hit, hit_at, hit_on_flats, nodes_within
from app.faces.selection import Selection, cut_of, lines_on, with_cut_of
from geometry.editing import with_kind
from geometry.project import CutName
from geometry.snapping import Snapping, snapped
from geometry.trim_editing import is_outside

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
        if sheet.view == "flats":
            return hit_on_flats(point, sheet.variant, sheet.flats, sheet.arrangement, sheet.selection)
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
            if (
                hit.node is None
                or not sheet.selection.is_on(hit.cut, hit.trim)
                or hit.node not in sheet.selection.nodes
            ):
                sheet.select(Selection.of(hit.cut, () if hit.node is None else (hit.node,), trim=hit.trim))
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
        elif self._begins_first_trim(hit):
            sheet.set_tool("pen")
            self._draw_to(hit, point, event.modifiers())
        else:
            before = sheet.selection
            if not more or before.cut != hit.cut:
                sheet.select(Selection(hit.cut, trim=hit.trim))
            self.gesture = Band(hit.cut, point, point, before, more)
        sheet.update()

    def _begins_first_trim(self, hit: Hit) -> bool:
        """True for a click beside the wood of a direction that has no trim yet: that is where one begins."""
        variant = self._sheet.variant
        if self._sheet.view == "faces" or variant.cut(hit.cut).trims or variant.blank.is_tapered:
            return False
        return is_outside(flats_profile(variant, hit.cut), hit.place)

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
            sheet.select(sheet.selection.toggled(hit.cut, hit.node, hit.trim))
            return
        kept = sheet.selection.nodes if sheet.selection.is_on(hit.cut, hit.trim) else ()
        sheet.select(Selection.of(hit.cut, kept if hit.node in kept else (hit.node,), hit.node, hit.trim))
        name = "Move node" if len(sheet.selection.nodes) == 1 else "Move nodes"
        self.gesture = NodeDrag(name, sheet.variant, sheet.variant, sheet.selection, point)

    def _add_node(self, hit: Hit, point: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        sheet = self._sheet
        face = sheet.arrangement.face(hit.cut)
        on_line = hit.on_line is not None
        on = Selection(hit.cut, trim=hit.trim)
        snapping = None if on_line else self._snapping(on, modifiers)
        base, number = with_node_put(sheet.variant, on, hit.place, face.across / face.up, on_line, snapping)
        selection = Selection.of(hit.cut, (number,), trim=hit.trim)
        drag = NodeDrag("Add a node", sheet.variant, base, selection, point, base != sheet.variant)
        self.gesture = drag
        if drag.is_under_way:
            sheet.begin(drag.name)
            sheet.go_on(base, selection)
        else:
            drag.name = "Move node"
            sheet.select(selection)
        sheet.point_at_level(cut_of(base, selection).nodes[number].at[1])

    def _snapping(self, selection: Selection, modifiers: Qt.KeyboardModifier) -> Snapping | None:
        if modifiers & _FREE:
            return None
        sheet = self._sheet
        face = sheet.arrangement.face(selection.cut)
        return snapping_for(sheet.variant, selection, sheet.view, face, sheet.grid_mm)

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
            moved = gesture.moved_to(point, face, self._snapping(gesture.selection, event.modifiers()))
            sheet.go_on(moved, gesture.selection)
            assert gesture.selection.at is not None
            sheet.point_at_level(cut_of(moved, gesture.selection).nodes[gesture.selection.at].at[1])
            sheet.update()
        elif isinstance(gesture, Band):
            gesture.end = point
            if gesture.is_drawn:
                on, chosen = self._banded(gesture)
                if gesture.adds and gesture.before.is_on(on.cut, on.trim):
                    chosen |= set(gesture.before.nodes)
                sheet.select(Selection.of(on.cut, chosen, gesture.before.at, on.trim))
            sheet.point_at_level(sheet.arrangement.height_at(point))
            sheet.update()
        else:
            if isinstance(gesture, Pen):
                gesture.pointer = self._pen_place(gesture.cut, point, event.modifiers())
            self._point(point)

    def _banded(self, band: Band) -> tuple[Selection, set[int]]:
        """Return the line or trim of which a band holds nodes, and the nodes: flats together of the fullest trim."""
        sheet = self._sheet
        found = [
            (on, nodes_within(band.box, sheet.variant, on, sheet.arrangement))
            for on in (Selection(cut, trim=t) for cut, t in lines_on(sheet.variant, sheet.view) if cut == band.cut)
        ]
        return max(found, key=lambda f: len(f[1])) if found else (Selection(band.cut), set())

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
        on = Selection.of(hit.cut, (hit.node,), trim=hit.trim)
        cut = cut_of(sheet.variant, on)
        is_smooth = cut.nodes[hit.node].kind == "smooth"
        changed = with_kind(cut, sheet.variant.blank.length, (hit.node,), "corner" if is_smooth else "smooth")
        name = "Make a corner" if is_smooth else "Make smooth"
        sheet.edit(name, with_cut_of(sheet.variant, on, changed), on)

    # -------------------------------------------------------------- the pen

    def _pen_place(self, cut: CutName, point: QPointF, modifiers: Qt.KeyboardModifier) -> tuple[float, float]:
        sheet = self._sheet
        u, z = sheet.arrangement.face(cut).to_mm(point)
        length = sheet.variant.blank.length
        # a line ends at the ends of its face, a trim beside the wood
        place = (u, min(max(z, 0.0), length) if sheet.view == "faces" else z)
        snapping = self._snapping(Selection(cut), modifiers)
        return snapped(place, length, snapping).at if snapping else place

    def _draw_to(self, hit: Hit, point: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        sheet = self._sheet
        if not isinstance(self.gesture, Pen):
            face = sheet.arrangement.face_at(point)
            self.gesture = Pen(face, sheet.view)
            sheet.select(Selection(face))
        place = self._pen_place(self.gesture.cut, point, modifiers)
        if not self.gesture.places or self.gesture.places[-1] != place:
            self.gesture.places.append(place)
        if self.gesture.is_done(sheet.variant):
            self.finish_drawing()

    def finish_drawing(self) -> bool:
        """Take the line drawn with the pen; give False where none was being drawn."""
        pen = self.gesture
        if not isinstance(pen, Pen):
            return False
        self.gesture = None
        drawn = pen.drawn(self._sheet.variant)
        self._sheet.set_tool("select")
        is_line = pen.view == "faces"
        trim = None if is_line or drawn == self._sheet.variant else len(drawn.cut(pen.cut).trims) - 1
        self._sheet.edit("Draw a line" if is_line else "Draw a trim", drawn, Selection(pen.cut, trim=trim))
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
            node = cut_of(sheet.variant, sheet.selection).nodes[sheet.selection.at]
            at = sheet.mapToGlobal(sheet.arrangement.face(sheet.selection.cut).to_px(*node.at).toPoint())
        event.accept()
        sheet.menu_asked.emit(at)
