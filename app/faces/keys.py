"""What the keys do on the sheet, beside the shortcuts of its actions: nudge, walk, call off, move the level."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from app.faces.gestures import Nudge
from app.faces.selection import Selection, cut_of, stepped, with_cut_of
from geometry.editing import nudge_step, with_nodes_moved

if TYPE_CHECKING:
    from app.faces.sheet import Sheet

_UPRIGHT = {
    Qt.Key.Key_Left: (-1.0, 0.0),
    Qt.Key.Key_Right: (1.0, 0.0),
    Qt.Key.Key_Up: (0.0, 1.0),
    Qt.Key.Key_Down: (0.0, -1.0),
}
"""Which way (across, up) an arrow key moves a node on the upright sheet."""

_LYING = {
    Qt.Key.Key_Left: (0.0, -1.0),
    Qt.Key.Key_Right: (0.0, 1.0),
    Qt.Key.Key_Up: (-1.0, 0.0),
    Qt.Key.Key_Down: (1.0, 0.0),
}
"""The same where up runs to the right: the node goes where the arrow points."""

_LEVEL_STEPS = 20.0
_FINE_LEVEL_STEPS = 200.0


class Keys:
    """The keyboard on the sheet."""

    def __init__(self, sheet: Sheet) -> None:
        """Make the keys of a sheet."""
        self._sheet = sheet
        self._nudge: Nudge | None = None
        self._lets_out = False

    def drop(self) -> None:
        """Forget a nudge without a word: what it moved is no longer there."""
        self._nudge = None

    # -------------------------------------------------------------- pressing and releasing

    def press(self, event: QKeyEvent) -> bool:
        """Answer a key; give False for one that means nothing here."""
        sheet, key = self._sheet, Qt.Key(event.key())
        shift = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        if key in _UPRIGHT and not event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            return self._nudge_by(key, shift)
        if key == Qt.Key.Key_Escape:
            return self._escape()
        if key in (Qt.Key.Key_Home, Qt.Key.Key_End):
            return self._to_end(last=key == Qt.Key.Key_End)
        if key in (Qt.Key.Key_PageUp, Qt.Key.Key_PageDown):
            return self._move_level(1.0 if key == Qt.Key.Key_PageUp else -1.0, shift)
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            return sheet.hand.finish_drawing()
        if key == Qt.Key.Key_Backspace:
            return sheet.hand.take_back_place()
        return False

    def release(self, event: QKeyEvent) -> bool:
        """End a nudge when its last key comes up."""
        if self._nudge is None or event.isAutoRepeat() or event.key() not in self._nudge.keys:
            return False
        self._nudge.keys.discard(event.key())
        if not self._nudge.keys:
            self.left()
        return True

    def left(self) -> None:
        """End a nudge."""
        if self._nudge is not None:
            self._nudge = None
            self._sheet.finish()

    def _nudge_by(self, key: Qt.Key, fine: bool) -> bool:
        sheet = self._sheet
        selection = sheet.selection
        if not selection.nodes or sheet.hand.gesture is not None:
            return False
        step = nudge_step(sheet.units, fine)
        across, up = (_LYING if sheet.lying else _UPRIGHT)[key]
        cut, length, held = cut_of(sheet.variant, selection), sheet.variant.blank.length, selection.trim is None
        moved = with_nodes_moved(cut, length, selection.nodes, across * step, up * step, hold_ends=held)
        if self._nudge is None:
            self._nudge = Nudge("Nudge node" if len(selection.nodes) == 1 else "Nudge nodes", sheet.variant)
            sheet.begin(self._nudge.name)
        self._nudge.keys.add(int(key))
        sheet.go_on(with_cut_of(sheet.variant, selection, moved))
        self._show_node()
        return True

    def _escape(self) -> bool:
        sheet = self._sheet
        if self._nudge is not None:
            origin = self._nudge.origin
            self._nudge = None
            sheet.call_off(origin)
        elif not sheet.hand.cancel():
            if sheet.tool == "pen":
                sheet.set_tool("select")
            elif sheet.selection.nodes:
                sheet.select(Selection(sheet.selection.cut, trim=sheet.selection.trim))
                self._lets_out = True
            elif sheet.selection.trim is not None:
                sheet.select(Selection(sheet.selection.cut))
            elif sheet.chosen_finding is not None:
                sheet.choose_finding(None)
            else:
                return False
        return True

    def _to_end(self, last: bool) -> bool:
        sheet = self._sheet
        here = sheet.selection
        if sheet.view == "flats" and here.trim is None:
            return False
        count = len(cut_of(sheet.variant, here).nodes)
        if not count:
            return False
        sheet.select(Selection.of(here.cut, (count - 1 if last else 0,), trim=here.trim))
        self._show_node()
        return True

    def _move_level(self, by: float, fine: bool) -> bool:
        sheet = self._sheet
        length = sheet.variant.blank.length
        step = length / (_FINE_LEVEL_STEPS if fine else _LEVEL_STEPS)
        start = length / 2.0 - by * step if sheet.level is None else sheet.level
        sheet.point_at_level(start + by * step)
        sheet.bring_into_view(start + by * step)
        return True

    # -------------------------------------------------------------- walking

    def walk(self, by: int) -> bool:
        """Go on to the next node; give False where Tab should leave the sheet."""
        sheet = self._sheet
        if self._lets_out and not sheet.selection.nodes:
            self._lets_out = False
            return False
        to = stepped(sheet.variant, sheet.selection, by, sheet.view)
        if to is None:
            return False
        sheet.select(to)
        self._show_node()
        return True

    def came_in(self, reason: Qt.FocusReason) -> None:
        """Take a node in hand when the keyboard comes in by Tab: the first, or from behind the last."""
        self._lets_out = False
        forward = reason == Qt.FocusReason.TabFocusReason
        if not forward and reason != Qt.FocusReason.BacktabFocusReason:
            return
        to = stepped(self._sheet.variant, Selection(), 1 if forward else -1, self._sheet.view)
        if to is not None:
            self._sheet.select(to)
            self._show_node()

    def _show_node(self) -> None:
        sheet = self._sheet
        if sheet.selection.at is not None:
            z = cut_of(sheet.variant, sheet.selection).nodes[sheet.selection.at].at[1]
            sheet.bring_into_view(z)
            sheet.point_at_level(z)
