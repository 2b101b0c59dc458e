"""A picture in the maker's hand: what mouse, wheel, touchpad and keys do to it."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPointF, Qt, QTimer
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent, QNativeGestureEvent, QWheelEvent
from PySide6.QtWidgets import QWidget

from app.piece_view import gestures
from app.piece_view.viewpoint import Viewpoint


class HandledView(QWidget):
    """A widget whose picture is taken from a viewpoint that mouse and keys move.

    Its children say in ``pointed_at`` what a place under the pointer means; it is asked once the events at hand are
    done, and with None when the pointer leaves.
    """

    def __init__(self, viewpoint: Viewpoint, parent: QWidget | None = None) -> None:
        """Take the mouse and the keys."""
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self._viewpoint = viewpoint
        self._pointer: QPointF | None = None
        self._drag_from: QPointF | None = None
        self._point = QTimer(self, singleShot=True, interval=0)
        self._point.timeout.connect(self._look_under_pointer)

    def pointed_at(self, place: QPointF | None) -> None:
        """Find what lies at a place of the widget."""
        raise NotImplementedError

    def _look_under_pointer(self) -> None:
        if self._pointer is not None:
            self.pointed_at(self._pointer)

    @property
    def is_dragged(self) -> bool:
        """True while a button is held down on it."""
        return self._drag_from is not None

    def stop_pointing(self) -> None:
        """Ask no more what lies under the pointer."""
        self._point.stop()

    # ---- mouse

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: D102
        self._drag_from = event.position()
        self._point.stop()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: D102
        here = event.position()
        if self._drag_from is None or event.buttons() == Qt.MouseButton.NoButton:
            self._drag_from = None
            self._pointer = here
            self._point.start()
            return
        step, self._drag_from = here - self._drag_from, here
        gestures.drag(self._viewpoint, step, event.buttons(), event.modifiers(), self.size())

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: D102
        if event.buttons() == Qt.MouseButton.NoButton:
            self._drag_from = None

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:  # noqa: D102
        if event.button() == Qt.MouseButton.LeftButton:
            self._viewpoint.fit()

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: D102
        turned = event.angleDelta().y() or event.angleDelta().x()
        gestures.zoom_at(self._viewpoint, gestures.WHEEL_ZOOM**-turned, event.position(), self.size())
        event.accept()

    def event(self, event: QEvent) -> bool:  # noqa: D102
        if isinstance(event, QNativeGestureEvent) and event.gestureType() == Qt.NativeGestureType.ZoomNativeGesture:
            factor = 1.0 / max(1.0 + event.value(), 0.1)
            gestures.zoom_at(self._viewpoint, factor, event.position(), self.size())
            return True
        return super().event(event)

    def leaveEvent(self, event: QEvent) -> None:  # noqa: D102
        self._pointer = None
        self._point.stop()
        self.pointed_at(None)
        super().leaveEvent(event)

    # ---- keys

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: D102
        if not gestures.press(self._viewpoint, event.key(), event.modifiers(), self.size()):
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: D102
        self.update()
        super().focusInEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: D102
        self.update()
        super().focusOutEvent(event)
