"""What a drag, a wheel and a key mean to the viewpoint."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QPointF, QSize, Qt

from app.piece_view.viewpoint import Viewpoint

DEG_PER_PX: Final = 0.4
WHEEL_ZOOM: Final = 1.0012
"""For each unit of the wheel; a notch is 120."""

KEY_DEG: Final = 7.5
KEY_ZOOM: Final = 1.15
KEY_PAN_PX: Final = 30.0

_WAYS: Final = {
    Qt.Key.Key_Left: (1, 0),
    Qt.Key.Key_Right: (-1, 0),
    Qt.Key.Key_Up: (0, 1),
    Qt.Key.Key_Down: (0, -1),
}

IN_WORDS: Final = "Arrow keys go round, with Shift they move the picture; plus and minus zoom; Home fits."


def mm_per_px(viewpoint: Viewpoint, size: QSize) -> float:
    """How much of the piece one unit of a widget of that size shows, at what is in the middle."""
    return 2.0 * viewpoint.pose.half_height / max(size.height(), 1)


def drag(
    viewpoint: Viewpoint, step: QPointF, buttons: Qt.MouseButton, modifiers: Qt.KeyboardModifier, size: QSize
) -> None:
    """The left button goes round; with Shift, or with another button, the picture is moved."""
    if buttons & Qt.MouseButton.LeftButton and not modifiers & Qt.KeyboardModifier.ShiftModifier:
        viewpoint.orbit(-DEG_PER_PX * step.x(), DEG_PER_PX * step.y())
    else:
        scale = mm_per_px(viewpoint, size)
        viewpoint.pan(step.x() * scale, -step.y() * scale)


def zoom_at(viewpoint: Viewpoint, factor: float, place: QPointF, size: QSize) -> None:
    """Show ``factor`` times as much, holding what is under that place of the widget."""
    scale = mm_per_px(viewpoint, size)
    viewpoint.zoom(factor, (place.x() - size.width() / 2.0) * scale, (size.height() / 2.0 - place.y()) * scale)


def press(viewpoint: Viewpoint, key: int, modifiers: Qt.KeyboardModifier, size: QSize) -> bool:
    """Do what a key means; give False when it means nothing here."""
    shifted = bool(modifiers & Qt.KeyboardModifier.ShiftModifier)
    if modifiers & ~(Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.KeypadModifier):
        return False
    if key in _WAYS:
        across, up = _WAYS[Qt.Key(key)]
        if shifted:
            step = KEY_PAN_PX * mm_per_px(viewpoint, size)
            viewpoint.pan(-across * step, up * step)
        else:
            viewpoint.orbit(across * KEY_DEG, up * KEY_DEG)
    elif key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
        viewpoint.zoom(1.0 / KEY_ZOOM)
    elif key == Qt.Key.Key_Minus:
        viewpoint.zoom(KEY_ZOOM)
    elif key == Qt.Key.Key_Home:
        viewpoint.fit()
    else:
        return False
    return True
