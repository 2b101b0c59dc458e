"""The slider that turns the piece from sawn to glued; its four stops are words."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFont, QFontMetricsF, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QWheelEvent
from PySide6.QtWidgets import QSizePolicy, QSlider, QWidget

from app.look import look_of, small_font
from geometry.turning import STOPS

STEPS: Final = 1200
"""Divisible by three, so that every stop is a whole step."""

_CATCH = 0.03
"""A stop draws the handle to it from this far away."""

_HANDLE = 8.0


class TurningSlider(QSlider):
    """A slider from 0, sawn, to 1, glued. It is an ordinary slider to the keyboard and to screen readers.

    Signals
    -------
    turn_changed : float
    """

    turn_changed = Signal(float)

    def __init__(self, parent: QWidget | None = None) -> None:
        """Begin glued."""
        super().__init__(Qt.Orientation.Horizontal, parent)
        self.setRange(0, STEPS)
        self.setSingleStep(STEPS // 60)
        self.setPageStep(STEPS // 3)
        self.setValue(STEPS)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("Turning")
        self.valueChanged.connect(self._tell)
        self._tell()

    @property
    def turn(self) -> float:
        """Where it stands, 0 to 1."""
        return self.value() / STEPS

    def set_turn(self, turn: float) -> None:
        """Stand there."""
        self.setValue(round(turn * STEPS))

    def stage(self) -> str:
        """Return in words where it stands."""
        below = [name for name, at in STOPS if self.turn >= at - 1e-9][-1]
        above = next(name for name, at in STOPS if self.turn <= at + 1e-9)
        return below if below == above else f"between {below} and {above}"

    def stop_places(self) -> dict[str, float]:
        """Where each stop lies on the track, from the left edge."""
        return {name: self._x(at) for name, at in STOPS}

    def _tell(self) -> None:
        stage = self.stage()
        self.setAccessibleDescription(f"From sawn over opened and turned to glued; now {stage}.")
        self.setToolTip(f"Now {stage}. Drag, or click a word.")
        self.turn_changed.emit(self.turn)

    # ---- how it looks

    def _words_font(self) -> QFont:
        return small_font(self.font())

    def _ends(self) -> tuple[float, float]:
        """First and last place of the track: half a word in, so that no word is cut off."""
        metrics = QFontMetricsF(self._words_font())
        first, last = (metrics.horizontalAdvance(STOPS[i][0]) / 2.0 for i in (0, -1))
        return max(first, _HANDLE) + 2.0, self.width() - max(last, _HANDLE) - 2.0

    def _x(self, turn: float) -> float:
        first, last = self._ends()
        return first + turn * (last - first)

    def _track_y(self) -> float:
        return 14.0

    def sizeHint(self) -> QSize:  # noqa: D102
        return QSize(360, self.minimumSizeHint().height())

    def minimumSizeHint(self) -> QSize:  # noqa: D102
        metrics = QFontMetricsF(self._words_font())
        words = sum(metrics.horizontalAdvance(name) for name, _ in STOPS)
        return QSize(round(words + 3 * 10.0 + 8.0), round(self._track_y() + 12.0 + metrics.height() + 2.0))

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: D102
        look = look_of(self.palette())
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        y, (first, last), here = self._track_y(), self._ends(), self._x(self.turn)
        painter.setPen(QPen(look.rule, 3.0, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
        painter.drawLine(QPointF(first, y), QPointF(last, y))
        painter.setPen(QPen(look.accent, 3.0, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
        painter.drawLine(QPointF(first, y), QPointF(here, y))
        painter.setFont(self._words_font())
        metrics = QFontMetricsF(painter.font())
        for name, at in STOPS:
            x, reached = self._x(at), self.turn >= at - 1e-9
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(look.accent if reached else look.rule)
            painter.drawEllipse(QPointF(x, y), 4.0, 4.0)
            painter.setPen(look.ink if abs(self.turn - at) < 1e-9 else look.faint_ink)
            wide = metrics.horizontalAdvance(name) + 2.0
            box = QRectF(x - wide / 2.0, y + 11.0, wide, metrics.height())
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, name)
        painter.setPen(QPen(look.window, 2.0))
        painter.setBrush(look.accent)
        painter.drawEllipse(QPointF(here, y), _HANDLE, _HANDLE)
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(look.accent, 2.0))
            painter.drawEllipse(QPointF(here, y), _HANDLE + 3.5, _HANDLE + 3.5)
        painter.end()

    # ---- how it is moved

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: D102
        if event.button() != Qt.MouseButton.LeftButton:
            event.ignore()
            return
        self.setSliderDown(True)
        self._follow(event.position(), on_words=event.position().y() > self._track_y() + 10.0)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: D102
        if self.isSliderDown():
            self._follow(event.position(), on_words=False)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: D102
        if event.button() == Qt.MouseButton.LeftButton:
            self.setSliderDown(False)

    def _follow(self, place: QPointF, on_words: bool) -> None:
        first, last = self._ends()
        turn = min(max((place.x() - first) / max(last - first, 1.0), 0.0), 1.0)
        nearest = min((at for _, at in STOPS), key=lambda at: abs(at - turn))
        self.set_turn(nearest if on_words or abs(nearest - turn) < _CATCH else turn)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: D102
        here = self.turn
        if event.key() == Qt.Key.Key_PageUp:
            self.set_turn(min((at for _, at in STOPS if at > here + 1e-9), default=1.0))
        elif event.key() == Qt.Key.Key_PageDown:
            self.set_turn(max((at for _, at in STOPS if at < here - 1e-9), default=0.0))
        else:
            super().keyPressEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: D102
        event.ignore()  # a wheel that rolls past must not turn the piece
